package web

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"maps"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/encoding/scan"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// readScan is a scan's file, read and mended.
type readScan struct {
	scan.File
	factor float64 // to mm; 0 where the file and the case leave it open
	notes  []words.Text
}

// scanOf reads the case's scan.
func (s *Server) scanOf(ctx context.Context, c casebook.Case) (readScan, error) {
	return take(ctx, s.bench.scans, keyed(c.ID, c.Scan.File, c.Scan.Unit), func(ctx context.Context) (readScan, error) {
		tell(ctx, "read", 0, 0)
		data, err := s.Store.Attachment(ctx, c.ID, c.Scan.File)
		if err != nil {
			return readScan{}, err
		}
		f, report, notes, err := workflow.ReadScan(c.Scan.File, data)
		if err != nil {
			return readScan{}, shown{err}
		}
		return readScan{f, workflow.ScanFactor(*c.Scan, report), notes}, ctx.Err()
	})
}

// mountScan mounts the case's scan by the points on its teeth, which the program looks for
// where none is given. A scan whose teeth cannot be found is shown all the same, in its own
// frame, so that they can be pointed out.
func (s *Server) mountScan(ctx context.Context, c casebook.Case, key string) (*mounted, error) {
	read, err := s.scanOf(ctx, c)
	if err != nil {
		return nil, err
	}
	m := &mounted{key: key, report: read.notes, points: c.Scan.Points}
	if len(m.points) == 0 {
		m.points, err = s.found(ctx, c, read)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
	}
	gone := unpointed(c.Chart, m.points)
	switch {
	case err != nil:
		m.trouble = words.Tell("%v; point out the middle of each tooth that stands", err)
	case len(m.points) < 3 || len(gone) > len(m.points):
		m.trouble = words.Tell("still to be pointed out: %v", gone)
	default:
		tell(ctx, "mount", 0, 0)
		on := *c.Scan
		on.Points = m.points
		if len(c.Scan.Points) == 0 {
			on.Proposed = slices.Collect(maps.Keys(m.points))
		}
		c.Scan = &on
		st, err := s.stand(ctx, c, read)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err == nil {
			var told []words.Text
			if m.cast, told, err = workflow.MountStood(c, st.Stood); err == nil {
				m.whole, m.surface, m.report = true, st.surface, append(append([]words.Text{}, read.notes...), told...)
				return m, ctx.Err()
			}
		}
		m.trouble = words.OfError(err)
	}
	factor := read.factor
	if factor == 0 {
		factor = 1
	}
	// The scan stays in its own frame; only its unit is changed, so that it fills the view.
	same := geom.Similarity{From: geom.World(), To: geom.World(), Scale: factor}
	m.cast = &cast.Cast{Arch: c.Chart.Arch, Mesh: read.Mesh.Map(same.Apply), Labels: make([]tooth.Number, len(read.Mesh.Faces)), Origin: unit.Measured, Scan: same}
	m.surface = &surface{shape: key, mesh: m.cast.Mesh}
	return m, nil
}

// stand sets a scan up by the points on its teeth; the same points set it up once, whatever
// becomes of its margins.
func (s *Server) stand(ctx context.Context, c casebook.Case, read readScan) (*stood, error) {
	key := surfaceKey(c)
	return take(ctx, s.bench.stood, key, func(context.Context) (*stood, error) {
		st, err := workflow.StandScan(c, read.File, read.factor)
		if err != nil {
			return nil, shown{err}
		}
		return &stood{st, &surface{shape: key, mesh: st.Mesh(), near: st.Surface()}}, nil
	})
}

// found are points on the charted teeth that the program sees on a scan.
func (s *Server) found(ctx context.Context, c casebook.Case, read readScan) (map[tooth.Number]geom.Vec, error) {
	return take(ctx, s.bench.found, keyed(c.ID, c.Scan.File, c.Scan.Unit, c.Chart.Pattern(false).Text()), func(ctx context.Context) (map[tooth.Number]geom.Vec, error) {
		tell(ctx, "locate", 0, 0)
		teeth, _, err := workflow.LocateScan(c, read.File, read.factor)
		if err != nil {
			return nil, shown{err}
		}
		out := map[tooth.Number]geom.Vec{}
		for _, t := range teeth {
			out[t.Tooth] = t.Point
		}
		return out, ctx.Err()
	})
}

// unpointed lists the charted teeth that stand and have no point on the scan yet.
func unpointed(c chart.Chart, points map[tooth.Number]geom.Vec) words.Teeth {
	var out words.Teeth
	for _, n := range tooth.All(c.Arch) {
		if _, ok := points[n]; !ok && c.Stands(n) {
			out = append(out, n)
		}
	}
	return out
}

func (s *Server) castOf(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return nil, err
	}
	k := m.cast
	box := geom.BoxOf(k.Mesh.Vertices)
	out := api.Cast{Key: m.key, Scan: scanFile(c), Mounted: m.whole, Origin: string(k.Origin), SpreadMM: k.Spread, Vertices: len(k.Mesh.Vertices), Triangles: len(k.Mesh.Faces),
		Frame: frameOf(c, k), Min: point(box.Min), Max: point(box.Max), Teeth: []api.CastTooth{}, Lines: []api.CastLine{}, Report: words.Lines(reader(r, c), m.report), Trouble: m.trouble.In(reader(r, c))}
	for _, n := range k.Standing() {
		t := k.Teeth[n]
		ct := api.CastTooth{Tooth: int(n), Point: point(middle(t.CuspTips, t.Frame.Origin)), Margin: points(t.Margin), Confidence: t.Confidence}
		if c.Scan != nil {
			if p, ok := m.points[n]; ok {
				ct.Point = point(k.Scan.Apply(p))
			}
			_, kept := c.Scan.Points[n]
			ct.Given = kept && !slices.Contains(c.Scan.Proposed, n)
			_, ct.Corrected = c.Scan.Margins[n]
		}
		out.Teeth = append(out.Teeth, ct)
	}
	if !m.whole && c.Scan != nil {
		for n, p := range c.Scan.Points {
			out.Teeth = append(out.Teeth, api.CastTooth{Tooth: int(n), Point: point(k.Scan.Apply(p)), Margin: []api.Point{}, Given: true})
		}
	}
	for _, l := range landmarks(k) {
		out.Lines = append(out.Lines, api.CastLine{Name: l.name, Closed: l.curve.Closed, Points: points(l.curve.Points)})
	}
	return out, nil
}

func scanFile(c casebook.Case) string {
	if c.Scan == nil {
		return ""
	}
	return c.Scan.File
}

type landmark struct {
	name  string
	curve cast.Curve
}

func landmarks(k *cast.Cast) []landmark {
	var out []landmark
	add := func(name string, c cast.Curve) {
		if c.Known() {
			out = append(out, landmark{name, c})
		}
	}
	for _, r := range k.Marks.Ridges {
		add("crest", r.Crest)
	}
	add("floor", k.Marks.Floor)
	add("vestibule", k.Marks.Vestibule)
	add("pad", k.Marks.PadRight)
	add("pad", k.Marks.PadLeft)
	add("midline", k.Marks.Midline)
	add("papilla", k.Marks.Papilla)
	add("rugae", k.Marks.Rugae)
	add("vibrating", k.Marks.Vibrating)
	for _, t := range k.Marks.Tori {
		add("torus", t.Outline)
	}
	return out
}

func point(v geom.Vec) api.Point {
	round := func(x float64) float64 { return math.Round(x*1e4) / 1e4 }
	return api.Point{round(v.X), round(v.Y), round(v.Z)}
}

func points(vs []geom.Vec) []api.Point {
	out := make([]api.Point, len(vs))
	for i, v := range vs {
		out[i] = point(v)
	}
	return out
}

func vec(p api.Point) geom.Vec { return geom.Vec{X: p[0], Y: p[1], Z: p[2]} }

func middle(ps []geom.Vec, otherwise geom.Vec) geom.Vec {
	if len(ps) == 0 {
		return otherwise
	}
	var sum geom.Vec
	for _, p := range ps {
		sum = sum.Add(p)
	}
	return sum.Scale(1 / float64(len(ps)))
}

// castMesh sends the mesh as the page draws it: two counts, the points (float32) and the
// faces (uint32), little-endian. A scan's is sent in the scan's own frame, so that it is sent
// once, wherever its teeth turn out to be; the cast says where its frame lies.
func (s *Server) castMesh(w http.ResponseWriter, r *http.Request) {
	c, _, err := s.load(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	var sent *mesh.Mesh
	if c.Scan != nil {
		var read readScan
		if read, err = s.scanOf(r.Context(), c); err == nil {
			sent = read.Mesh
		}
	} else {
		var m *mounted
		if m, err = s.mount(r.Context(), c); err == nil {
			sent = m.cast.Mesh
		}
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	sendBytes(w, meshBytes(sent))
}

// castLabels sends the tooth (uint8) that each face of the mesh belongs to; 0 is none.
func (s *Server) castLabels(w http.ResponseWriter, r *http.Request) {
	c, _, err := s.load(r)
	if err == nil {
		var m *mounted
		if m, err = s.mount(r.Context(), c); err == nil {
			out := make([]byte, len(m.cast.Mesh.Faces))
			for i, n := range m.cast.Labels {
				out[i] = byte(n)
			}
			sendBytes(w, out)
			return
		}
	}
	s.fail(w, r, err)
}

func sendBytes(w http.ResponseWriter, data []byte) {
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data)
}

func meshBytes(m *mesh.Mesh) []byte {
	nv, nf := len(m.Vertices), len(m.Faces)
	out := make([]byte, 0, 8+12*nv+12*nf)
	le := binary.LittleEndian
	out = le.AppendUint32(out, uint32(nv))
	out = le.AppendUint32(out, uint32(nf))
	for _, v := range m.Vertices {
		out = le.AppendUint32(out, math.Float32bits(float32(v.X)))
		out = le.AppendUint32(out, math.Float32bits(float32(v.Y)))
		out = le.AppendUint32(out, math.Float32bits(float32(v.Z)))
	}
	for _, f := range m.Faces {
		out = le.AppendUint32(out, uint32(f[0]))
		out = le.AppendUint32(out, uint32(f[1]))
		out = le.AppendUint32(out, uint32(f[2]))
	}
	return out
}

// frameOf is where a cast's mesh lies in the cast frame, as it is sent.
func frameOf(c casebook.Case, k *cast.Cast) [4]api.Vector {
	out := [4]api.Vector{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	if c.Scan == nil {
		return out
	}
	at := k.Scan.Apply(geom.Vec{})
	for i, axis := range [...]geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		v := k.Scan.Apply(axis).Sub(at)
		out[i] = api.Vector{v.X, v.Y, v.Z}
	}
	out[3] = api.Vector{at.X, at.Y, at.Z}
	return out
}

// fromFrame takes points back from where frameOf put them, to the scan's own frame.
func fromFrame(f [4]api.Vector) (func(geom.Vec) geom.Vec, error) {
	var axes [4]geom.Vec
	for i, v := range f {
		axes[i] = geom.Vec{X: v[0], Y: v[1], Z: v[2]}
	}
	scale := axes[0].Dot(axes[0])
	if !(scale > 0) || math.IsInf(scale, 1) || !axes[3].IsFinite() {
		return nil, refusef(http.StatusBadRequest, "the frame that the point was given in is none")
	}
	return func(p geom.Vec) geom.Vec {
		d := p.Sub(axes[3])
		return geom.V(d.Dot(axes[0])/scale, d.Dot(axes[1])/scale, d.Dot(axes[2])/scale)
	}, nil
}

// putScan takes a scan in: it is read and judged first, then kept, then named in the case.
func (s *Server) putScan(w http.ResponseWriter, r *http.Request) (any, error) {
	base, err := strconv.Atoi(r.URL.Query().Get("base"))
	if err != nil {
		return nil, refusef(http.StatusBadRequest, "expected the revision that the scan is added to")
	}
	name := fileName(r.URL.Query().Get("name"))
	c, rev, err := s.load(r)
	if err != nil {
		return nil, err
	}
	var data bytes.Buffer
	if r.ContentLength > 0 && r.ContentLength <= largestScan {
		data.Grow(int(r.ContentLength))
	}
	if _, err := io.Copy(&data, http.MaxBytesReader(w, r.Body, largestScan)); err != nil {
		return nil, err
	}
	tell(r.Context(), "read", 0, 0)
	if _, _, _, err := workflow.ReadScan(name, data.Bytes()); err != nil {
		return nil, shown{err}
	}
	if err := r.Context().Err(); err != nil {
		return nil, err // broken off: nothing is kept
	}
	tell(r.Context(), "keep", 0, 0)
	kept, err := s.Store.Attach(r.Context(), rev.ID, name, data.Bytes())
	if err != nil {
		return nil, err
	}
	c.Scan = &casebook.Scan{File: kept}
	return s.saveOn(r.Context(), c, base, "scan "+kept)
}

// saveOn keeps a case that the server itself changed.
func (s *Server) saveOn(ctx context.Context, c casebook.Case, base int, label string) (any, error) {
	content, err := contentOf(c, label)
	if err != nil {
		return nil, err
	}
	rev, err := s.Store.Save(ctx, c.ID, base, content)
	if err != nil {
		return nil, err
	}
	return s.state(rev)
}

// placeTooth keeps a tooth's point or margin that was given on the cast, in the scan's own
// coordinates.
func (s *Server) placeTooth(w http.ResponseWriter, r *http.Request) (any, error) {
	var in api.PlaceTooth
	if err := read(w, r, &in); err != nil {
		return nil, err
	}
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	n := tooth.Number(in.Tooth)
	if c.Scan == nil {
		return nil, refusef(http.StatusUnprocessableEntity, "a cast made from the chart knows its teeth; points are given on a scan")
	}
	if !(in.Confirm && n == 0) && (in.Tooth < 11 || in.Tooth > 48 || !n.Valid() || n.Arch() != c.Chart.Arch) {
		return nil, refusef(http.StatusUnprocessableEntity, "%d is no tooth of the %s arch", in.Tooth, archWord(c.Chart.Arch))
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return nil, err
	}
	toScan := m.cast.Scan.Inverse().Apply
	if in.Frame != nil {
		toScan, err = fromFrame(*in.Frame)
		if err != nil {
			return nil, err
		}
	}
	scan := *c.Scan
	scan.Margins = copied(scan.Margins)
	// What the program found is kept with the first word of the user, and stays a proposal
	// where that word is not about it.
	scan.Points = copied(m.points)
	open := scan.Proposed
	if len(c.Scan.Points) == 0 {
		open = slices.Sorted(maps.Keys(m.points))
	}
	scan.Proposed = nil
	for _, p := range open {
		if p != n && !(in.Confirm && n == 0) {
			scan.Proposed = append(scan.Proposed, p)
		}
	}
	if in.Remove {
		delete(scan.Points, n)
		delete(scan.Margins, n)
	}
	if in.Point != nil {
		scan.Points[n] = toScan(vec(*in.Point))
	}
	if in.Margin != nil {
		var line []geom.Vec
		for _, p := range *in.Margin {
			line = append(line, toScan(vec(p)))
		}
		if len(line) < 6 || len(line) > 2000 {
			return nil, refusef(http.StatusUnprocessableEntity, "a margin needs 6 to 2000 points, %d were given", len(line))
		}
		scan.Margins[n] = line
	}
	c.Scan = &scan
	label := fmt.Sprintf("place %d", in.Tooth)
	if in.Confirm {
		label = strings.TrimSuffix(fmt.Sprintf("confirm %d", in.Tooth), " 0")
	}
	return s.saveOn(r.Context(), c, in.Base, label)
}

func copied[V any](m map[tooth.Number]V) map[tooth.Number]V {
	out := make(map[tooth.Number]V, len(m)+1)
	for k, v := range m {
		out[k] = v
	}
	return out
}
