package web

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"sync"

	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/geom"
	"halfpear/order"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/web/api"
	"halfpear/words"
)

// steepest is the most that a path may lean [degrees]; a denture is never lifted off at
// more.
const steepest = 45

// pathOf reads the path a request asks for.
func pathOf(r *http.Request, m *mounted) (survey.Path, error) {
	var angle [2]float64
	for i, name := range [...]string{"anterior", "right"} {
		text := r.URL.Query().Get(name)
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(math.Abs(v) <= steepest) {
			return survey.Path{}, refusef(http.StatusBadRequest, "expected the path's lean %s as an angle of at most %d°, found %q", name, steepest, text)
		}
		angle[i] = v
	}
	return survey.PathFromTilt(m.cast.Arch, angle[0], angle[1]), nil
}

// timed is a survey with how long it took.
type timed struct {
	*survey.Survey
	path    survey.Path
	crowns  map[tooth.Number]survey.Crown // of every standing tooth that the surface shows enough of
	seconds float64

	// What only a design asks for, worked out once where it does.
	tissues func() survey.Tissues
	tripod  func() []geom.Vec
}

// surveyTable is the surface on its surveying table, made once; the caller holds f.mu.
func (f *surface) surveyTable() (*survey.Table, error) {
	if f.table == nil {
		t, err := survey.NewTable(f.mesh, survey.Options{})
		if err != nil {
			return nil, shown{err}
		}
		f.table = t
	}
	return f.table, nil
}

// nearest is the surface to be asked what lies nearest to a point, made once.
func (f *surface) nearest() *cast.Surface {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.near == nil {
		f.near = cast.NewSurface(f.mesh)
	}
	return f.near
}

// timedDepths is what is surveyed of a surface, whatever teeth it has.
type timedDepths struct {
	*survey.Survey
	seconds float64
}

func (s *Server) depths(ctx context.Context, f *surface, p survey.Path) (timedDepths, error) {
	return take(ctx, s.bench.depths, fmt.Sprintf("%s %.3f %.3f", f.shape, p.AnteriorDeg, p.RightDeg), func(ctx context.Context) (timedDepths, error) {
		f.mu.Lock()
		defer f.mu.Unlock()
		if err := ctx.Err(); err != nil {
			return timedDepths{}, err
		}
		tell(ctx, "survey", 0, 0)
		began := s.Now()
		t, err := f.surveyTable()
		if err != nil {
			return timedDepths{}, err
		}
		got, err := t.Survey(ctx, p.Direction)
		if err != nil {
			if ctx.Err() != nil {
				return timedDepths{}, ctx.Err()
			}
			return timedDepths{}, shown{err}
		}
		return timedDepths{got, s.Now().Sub(began).Seconds()}, nil
	})
}

func (s *Server) surveyed(ctx context.Context, m *mounted, p survey.Path) (timed, error) {
	return take(ctx, s.bench.surveys, fmt.Sprintf("%s %.3f %.3f", m.key, p.AnteriorDeg, p.RightDeg), func(ctx context.Context) (timed, error) {
		got, err := s.depths(ctx, m.surface, p)
		if err != nil {
			return timed{}, err
		}
		crowns := map[tooth.Number]survey.Crown{}
		for i, n := range m.cast.Standing() {
			if err := ctx.Err(); err != nil {
				return timed{}, err
			}
			tell(ctx, "crowns", 0, i+1)
			if crown, err := survey.CrownOf(m.cast, got.Survey, n); err == nil {
				crowns[n] = crown
			}
		}
		return timed{Survey: got.Survey, path: p, crowns: crowns, seconds: got.seconds,
			tissues: sync.OnceValue(func() survey.Tissues { return survey.TissuesOf(m.cast, p) }),
			tripod:  sync.OnceValue(func() []geom.Vec { return order.Tripod(m.cast, p) })}, nil
	})
}

// asked gives the cast and the survey that a request asks for.
func (s *Server) asked(r *http.Request) (*mounted, timed, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, timed{}, err
	}
	m, err := s.mount(r.Context(), c)
	if err != nil {
		return nil, timed{}, err
	}
	if !m.whole {
		return nil, timed{}, refusef(http.StatusConflict, "the scan cannot be surveyed yet: %v", m.trouble)
	}
	p, err := pathOf(r, m)
	if err != nil {
		return nil, timed{}, err
	}
	got, err := s.surveyed(r.Context(), m, p)
	return m, got, err
}

func (s *Server) survey(_ http.ResponseWriter, r *http.Request) (any, error) {
	m, got, err := s.asked(r)
	if err != nil {
		return nil, err
	}
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	out := api.Surveyed{AnteriorDeg: got.path.AnteriorDeg, RightDeg: got.path.RightDeg, Direction: point(got.Direction), ResolutionMM: got.Resolution,
		Lines: []api.SurveyLine{}, Teeth: []api.ToothSites{}, Assumed: words.Lines(reader(r, c), got.Assumed), Seconds: math.Round(got.seconds*1000) / 1000}
	for _, d := range got.Depth {
		out.MaxMM = math.Max(out.MaxMM, d)
	}
	for _, l := range got.CastLines(m.cast) {
		out.Lines = append(out.Lines, api.SurveyLine{Closed: l.Closed, Tooth: int(l.Tooth), Points: points(l.Points)})
	}
	for _, n := range m.cast.Standing() {
		if crown, ok := got.crowns[n]; ok {
			out.Teeth = append(out.Teeth, sites(crown, c.Survey.Undercuts[n]))
		}
	}
	return out, nil
}

// sites are what the gauge reads at a crown's six sites, by the program and by hand.
func sites(crown survey.Crown, byHand map[tooth.Site]casebook.HandUndercut) api.ToothSites {
	out := api.ToothSites{Tooth: int(crown.Tooth), Sites: []api.SiteRead{}}
	for _, site := range tooth.Sites {
		deepest, _ := crown.Greatest(site)
		read := api.SiteRead{Site: string(site), MaxMM: hundredth(deepest), ContourMM: hundredth(crown.Column(crown.Site(site)).ContourHeight)}
		if x, ok := crown.ReachAt(site, 0.25); ok {
			above, slope := hundredth(x.AboveMargin), hundredth(x.SlopeDeg)
			read.QuarterAboveMM, read.QuarterSlopeDeg = &above, &slope
		}
		if x, ok := crown.ReachAt(site, 0.5); ok {
			above := hundredth(x.AboveMargin)
			read.HalfAboveMM = &above
		}
		if u, ok := byHand[site]; ok {
			read.GaugeMM = &u.MM
		}
		out.Sites = append(out.Sites, read)
	}
	return out
}

func hundredth(v float64) float64 { return math.Round(v*100) / 100 }

// surveyDepth sends each vertex's undercut depth as little-endian float32.
func (s *Server) surveyDepth(w http.ResponseWriter, r *http.Request) {
	_, got, err := s.asked(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	out := make([]byte, 0, 4*len(got.Depth))
	for _, d := range got.Depth {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(d)))
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Length", strconv.Itoa(len(out)))
	_, _ = w.Write(out)
}

// probe reads the gauge at a point of the surface.
func (s *Server) probe(_ http.ResponseWriter, r *http.Request) (any, error) {
	var at [3]float64
	for i, name := range [...]string{"x", "y", "z"} {
		v, err := strconv.ParseFloat(r.URL.Query().Get(name), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, refusef(http.StatusBadRequest, "expected the probe's place in millimetres")
		}
		at[i] = v
	}
	m, got, err := s.asked(r)
	if err != nil {
		return nil, err
	}
	p, face := m.nearest().Nearest(geom.Vec{X: at[0], Y: at[1], Z: at[2]})
	if face < 0 {
		return nil, refusef(http.StatusUnprocessableEntity, "there is no surface under the probe")
	}
	a, b, c := m.cast.Mesh.Corners(face)
	u, v, w := weights(p, a, b, c)
	f := m.cast.Mesh.Faces[face]
	out := api.Probe{Point: point(p), Tooth: int(m.cast.Labels[face]), DepthMM: u*got.Depth[f[0]] + v*got.Depth[f[1]] + w*got.Depth[f[2]]}
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	out.SlopeDeg = geom.InDeg(math.Asin(math.Max(-1, math.Min(1, n.Dot(got.Direction)))))
	if t := m.cast.Teeth[m.cast.Labels[face]]; t != nil && len(t.Margin) > 0 {
		h := aboveMargin(p, t.Margin, got.Direction)
		out.AboveMarginMM = &h
	}
	return out, nil
}

// weights are the barycentric coordinates of a point in a triangle.
func weights(p, a, b, c geom.Vec) (u, v, w float64) {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d00, d01, d11, d20, d21 := ab.Dot(ab), ab.Dot(ac), ac.Dot(ac), ap.Dot(ab), ap.Dot(ac)
	det := d00*d11 - d01*d01
	if det == 0 {
		return 1, 0, 0
	}
	v = (d11*d20 - d01*d21) / det
	w = (d00*d21 - d01*d20) / det
	return 1 - v - w, v, w
}

// aboveMargin is the height along the path over the margin's point nearest to the side of p.
func aboveMargin(p geom.Vec, margin []geom.Vec, path geom.Vec) float64 {
	best, height := math.Inf(1), 0.0
	for _, q := range margin {
		d := p.Sub(q)
		h := d.Dot(path)
		if off := d.Sub(path.Scale(h)).Norm(); off < best {
			best, height = off, h
		}
	}
	return height
}
