package cast

import (
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/words"
)

// Sighting is a scan just as it came, with what is known of its teeth.
type Sighting struct {
	Scan       *mesh.Mesh
	Arch       tooth.Arch
	Points     map[tooth.Number]geom.Vec // nil where they are to be found
	Missing    []tooth.Number
	Charted    bool    // the missing teeth are known; those not among them stand
	UnitFactor float64 // to mm; 0 to be guessed
}

// Finding is something about a scan that a person should know: stop, caution or note.
type Finding struct {
	Severity string
	Kind     string
	Tooth    tooth.Number // 0 for the whole
	Text     words.Text
	At       *geom.Vec // where on the scan, in its own frame and unit; nil for the whole
}

// Seen is what was made of a scan.
type Seen struct {
	Cast     *Cast // of the mended scan
	Report   Report
	Teeth    []Found
	Labels   []tooth.Number // one a face of the scan as it came
	Findings []Finding
}

// Look mends a copy of the scan, finds its teeth where no points were given, mounts it and
// compares it with the chart.
func (s Sighting) Look() (Seen, error) {
	var out Seen
	say := func(severity, kind string, n tooth.Number, t words.Text) {
		out.Findings = append(out.Findings, Finding{Severity: severity, Kind: kind, Tooth: n, Text: t})
	}
	if s.Scan == nil || len(s.Scan.Faces) == 0 {
		return out, words.Errorf("the scan has no triangles")
	}
	look := mesh.Inspect(s.Scan)
	for _, text := range look.Notes {
		say("note", "mesh", 0, text)
	}
	whole, repair, kept := mesh.MendKeeping(s.Scan.WeldVertices())
	if text := repair.Text(); !text.Empty() {
		say("note", "repair", 0, words.Tell("on a copy: %s", text))
	}
	if len(whole.Faces) == 0 {
		return out, words.Errorf("none of the scan's %d triangles has an area", len(s.Scan.Faces))
	}
	missing := s.Missing
	if s.Charted && missing == nil {
		missing = []tooth.Number{}
	}
	m := Mounting{Scan: whole, Arch: s.Arch, Points: s.Points, UnitFactor: s.UnitFactor}
	sure := map[tooth.Number]float64{}
	inward := false
	if s.Points == nil {
		var chart []tooth.Number
		if s.Charted {
			chart = missing
		}
		l, err := Locate(whole, s.Arch, chart, s.UnitFactor)
		if err != nil {
			return out, err
		}
		m.Points = map[tooth.Number]geom.Vec{}
		for _, f := range l.Teeth {
			m.Points[f.Tooth] = f.Point
			sure[f.Tooth] = f.Confidence
		}
		inward = l.Inward
		if l.Other > 10 {
			say("caution", "arch", 0, words.Tell("the teeth look more like those of the other arch: check the arch"))
		}
		if l.Mirrored {
			say("stop", "mirrored", 0, words.Tell("the gaps fit the chart only with left and right exchanged: the scan is mirrored, or the chart has its sides exchanged"))
		}
		if inward {
			m.Scan = turnedOver(whole)
		}
	}
	c, r, err := m.Cast()
	if err != nil && s.Points != nil {
		// Normals that look inward make the arch seem to run round the other way.
		over := m
		over.Scan = turnedOver(whole)
		if k, q, e := over.Cast(); e == nil && k.standsUp() {
			c, r, err, inward = k, q, nil, true
		}
	}
	if err != nil && s.Points == nil {
		return out, words.Errorf("the teeth that were found make no arch; give one point on each tooth (%v)", err)
	}
	if err != nil {
		return out, err
	}
	if s.Points != nil && !c.standsUp() {
		return out, words.Errorf("the teeth given stand up only with left and right exchanged: the scan is mirrored, the points are named on the wrong side, or the arch is not the %v", words.Code{Group: "arch", Code: s.Arch.String()})
	}
	if inward || repair.Inverted {
		say("caution", "flipped", 0, words.Tell("the triangles look into the model: they were turned over on a copy (a mirrored export does this too; check left and right)"))
	}
	out.Cast, out.Report = c, r
	say("note", "unit", 0, words.Tell("neighbouring teeth stand %.3g apart in the file: taken as %v, which makes it %.1f mm (an average arch: %.1f mm)",
		r.Apart/r.UnitFactor, r.Unit, r.Apart, r.ApartAverage))
	for _, n := range r.Notes {
		if n.Tooth != 0 {
			say("caution", "crown", n.Tooth, words.Join(": ", words.ToothNo.With(n.Tooth), n.Text))
		} else {
			say("note", "mount", 0, n.Text)
		}
	}
	for _, n := range tooth.All(s.Arch) {
		p, ok := m.Points[n]
		if !ok {
			continue
		}
		f := Found{Tooth: n, Point: p, Confidence: 0.1}
		if t := c.Teeth[n]; t != nil {
			f.Confidence = t.Confidence
			if v, ok := sure[n]; ok {
				f.Confidence = math.Min(v, t.Confidence)
			}
		}
		if v, ok := sure[n]; ok && v < 0.6 && n.Kind() == tooth.ThirdMolar {
			if slices.Contains(s.Missing, n) {
				out.Teeth = append(out.Teeth, f)
				continue // told with the chart
			}
			say("caution", "number", n, words.Tell("tooth %v: a third molar, or the heel of the cast; look at it, and take the point away if there is none", n))
		} else if ok && v < 0.6 {
			say("caution", "number", n, words.Tell("tooth %v: the row of teeth may be counted otherwise here; check its number", n))
		}
		out.Teeth = append(out.Teeth, f)
	}
	if s.Charted {
		s.compare(m.Points, say)
	}
	s.place(&out)
	holes(look, &out)
	out.Labels = make([]tooth.Number, len(s.Scan.Faces))
	for i, n := range c.Labels {
		out.Labels[kept[i]] = n
	}
	return out, nil
}

// compare sets the chart against what stands on the scan.
func (s Sighting) compare(points map[tooth.Number]geom.Vec, say func(severity, kind string, n tooth.Number, t words.Text)) {
	gone := map[tooth.Number]bool{}
	for _, n := range s.Missing {
		gone[n] = true
	}
	for _, n := range tooth.All(s.Arch) {
		_, stands := points[n]
		switch {
		case stands && gone[n] && n.Kind() == tooth.ThirdMolar && s.Points == nil:
			// As likely the heel of the cast.
			say("caution", "charted-missing", n, words.Tell("tooth %v is charted missing, and a third molar or the heel of the cast stands there: correct the chart, or take the point away", n))
		case stands && gone[n]:
			say("stop", "charted-missing", n, words.Tell("tooth %v is charted missing, and one seems to stand there: correct the chart, or take the point away", n))
		case !stands && !gone[n] && n.Kind() != tooth.ThirdMolar:
			say("stop", "not-on-scan", n, words.Tell("tooth %v is charted as standing, and none is seen there: correct the chart, or set a point on it", n))
		}
	}
}

// place says of every finding about a tooth where on the scan it is: at its point, or where
// it would stand among its neighbours.
func (s Sighting) place(out *Seen) {
	points := map[tooth.Number]geom.Vec{}
	for _, f := range out.Teeth {
		points[f.Tooth] = out.Cast.Scan.Apply(f.Point)
	}
	var p *plan
	var on *Surface
	for i := range out.Findings {
		f := &out.Findings[i]
		if f.Tooth == 0 {
			continue
		}
		q, ok := points[f.Tooth]
		if !ok {
			if p == nil {
				p, on = newPlan(s.Arch, points), NewSurface(out.Cast.Mesh)
			}
			q, _ = on.Nearest(p.of(f.Tooth).at)
		}
		q = out.Cast.Scan.Inverse().Apply(q)
		f.At = &q
	}
}

// holes says where the scan does not show a crown whole. The longest rim of an open scan is
// its outer edge; a rim shorter than a millimetre is a pinhole, which counts among the mesh's
// notes.
func holes(look mesh.Report, out *Seen) {
	if len(look.Holes) < 2 {
		return
	}
	on := NewSurface(out.Cast.Mesh)
	wide := map[tooth.Number]float64{}
	at := map[tooth.Number]geom.Vec{}
	for _, h := range look.Holes[1:] {
		long := h.Length * out.Report.UnitFactor
		if long < 1 {
			continue
		}
		_, f := on.Nearest(out.Cast.Scan.Apply(h.Centre))
		if n := out.Cast.Labels[f]; n != 0 && long > wide[n] {
			wide[n], at[n] = long, h.Centre
		}
	}
	for _, n := range tooth.All(out.Cast.Arch) {
		if q, ok := at[n]; ok {
			out.Findings = append(out.Findings, Finding{"caution", "hole", n, words.Tell("tooth %v: its crown has a hole of %.1f mm round; what would be measured there is not known", n, wide[n]), &q})
		}
	}
}

// turnedOver is the mesh with every face looking the other way.
func turnedOver(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: m.Vertices, Faces: make([][3]int32, len(m.Faces))}
	for i, f := range m.Faces {
		out.Faces[i] = [3]int32{f[0], f[2], f[1]}
	}
	return out
}

// standsUp tells whether the crowns rise above what lies beside them, as they do unless
// the cast lies upside down.
func (c *Cast) standsUp() bool {
	up, down := c.rise(1), c.rise(-1)
	return up > down
}

func (c *Cast) rise(sign float64) float64 {
	h := heightsOf(c.Mesh.Map(func(p geom.Vec) geom.Vec { return geom.V(p.X, p.Y, sign*p.Z) }), 1).ridges()
	sum := 0.0
	for _, n := range c.Standing() {
		o := c.Teeth[n].Frame.Origin
		if z := h.at(o.X, o.Y); !math.IsNaN(z) {
			sum += z
		}
	}
	return sum
}
