package mechanics

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/material"
	"halfpear/placement"
	"halfpear/tooth"
)

// Friction of enamel on metal: from memory, common in clasp models.
var friction = Range{0.1, 0.2, 0.3}

// How far a finished arm's width and thickness may differ from the plan [mm]: finishing a
// casting takes or leaves 0.1 (common practice), a drawn wire keeps its gauge.
const (
	castTolerance = 0.1
	wireTolerance = 0.02
)

// Hold is what one retentive arm does.
type Hold struct {
	Part       design.ID
	Tooth      tooth.Number // that the tip stands on
	At         geom.Vec     // where the tip stands
	Metal      string
	Length     float64      // from where the arm is held fast to its tip [mm]
	Undercut   float64      // that its tip stands in [mm]
	Stiffness  Range        // across the tooth's surface at the tip [N/mm]
	Side       Range        // force on the tooth when the tip passes the bulge [N]
	Withdrawal Range        // force along the path to pull it off [N]
	Insertion  Range        // force along the path to seat it [N]
	Guide      Range        // friction of the guide planes that the arm presses its tooth against [N]; nought without any
	Stress     Range        // greatest equivalent stress on the way [MPa]
	Ratio      Range        // of the stress to the proof stress
	MayGo      float64      // how far the tip may be bent before the proof stress [mm]
	Set        float64      // that the tip keeps after it was first bent over the bulge [mm]
	AsWire     float64      // the ratio of a wire of the usual gauge on the same way; 0 for wires and bars
	Curve      [][2]float64 // tip movement [mm] and side force [N], to the proof stress

	rise geom.Vec // up the tooth's surface at the tip
}

// Hold finds the result of a retainer's first arm.
func (r *Report) Hold(id design.ID) (Hold, bool) {
	for _, h := range r.Holds {
		if h.Part == id {
			return h, true
		}
	}
	return Hold{}, false
}

// Worst is the most stressed arm of a retainer.
func (r *Report) Worst(id design.ID) (Hold, bool) {
	var out Hold
	found := false
	for _, h := range r.Holds {
		if h.Part == id && (!found || h.Ratio.Typical > out.Ratio.Typical) {
			out, found = h, true
		}
	}
	return out, found
}

// guided tells whether what a tooth is pressed against stands along the path: plates. An arm
// lies on the bulge and holds nothing by friction.
func guided(p *placement.Placement, n tooth.Number) bool {
	for _, q := range p.Parts {
		if q.Part.Tooth != n {
			continue
		}
		if q.Part.Kind == design.GuidePlate && q.Part.Surface == tooth.Lingual ||
			q.Part.Kind == design.Reciprocation && (q.Part.Form == design.ReciprocalPlate || q.Part.Form == design.ReciprocalGuidePlates) {
			return true
		}
	}
	return false
}

// resinOf are the outlines of the resin bases, seen from the occlusal.
func resinOf(p *placement.Placement) [][]geom.Vec2 {
	var out [][]geom.Vec2
	for _, q := range p.Parts {
		for _, patch := range q.Patches {
			if patch.Role == placement.Resin && len(patch.Outline) > 2 {
				var line []geom.Vec2
				for _, v := range patch.Outline {
					line = append(line, v.XY())
				}
				out = append(out, line)
			}
		}
	}
	return out
}

// spring is a retentive arm's centre line with its sections, from where it is held fast to
// its tip.
type spring struct {
	path, out        []geom.Vec
	width, thickness []float64
	shape            Shape
}

// add takes up a placed curve, which runs along the underside of its metal: a spring runs
// through the centroids of its sections.
func (s *spring) add(c *placement.Curve) {
	for i, p := range c.Points {
		out, t := geom.V(0, 0, 1), at(c.Thickness, i)
		if i < len(c.Out) {
			out = c.Out[i]
		}
		p = p.Add(out.Scale(t * centroidShare(s.shape)))
		if m := len(s.path); m > 0 && p.Dist(s.path[m-1]) < 0.05 {
			continue
		}
		s.path, s.out = append(s.path, p), append(s.out, out)
		s.width, s.thickness = append(s.width, at(c.Width, i)), append(s.thickness, t)
	}
}

// centroidShare is how far a section's centroid lies off its underside, as a share of its
// thickness: 4/(3π) for half an oval, near enough for half a pear.
func centroidShare(s Shape) float64 {
	switch s {
	case HalfRound, HalfOval, HalfPear:
		return 4 / (3 * math.Pi)
	}
	return 0.5
}

func at(v []float64, i int) float64 { return v[min(i, len(v)-1)] }

// touching is how near two ends of curves lie to count as one place [mm].
const touching = 0.3

// bodyReach is how much of the body that an arm springs from bends with it, at the most
// [mm]: farther back the rest and the minor connector hold it.
const bodyReach = 4.0

// springOf is the arm that ends at a tip: a bar's approach and finger, or an arm with the
// shoulder, or the free end of the wire, that it springs from. A wire is held fast in resin.
func springOf(q placement.Placed, i int, inResin func(geom.Vec) bool) (s spring, ok bool) {
	tip := q.Tips[i]
	near := func(role placement.CurveRole) *placement.Curve {
		var best *placement.Curve
		for k := range q.Curves {
			c := &q.Curves[k]
			if c.Role != role || len(c.Points) < 2 || len(c.Width) == 0 || len(c.Thickness) == 0 {
				continue
			}
			last := c.Points[len(c.Points)-1]
			if best == nil || last.Dist(tip.Point) < best.Points[len(best.Points)-1].Dist(tip.Point) {
				best = c
			}
		}
		return best
	}
	if bar := near(placement.Approach); bar != nil {
		s.shape = Shape(bar.Section)
		s.add(bar)
		// A T's finger carries the tip on; an I's foot starts at its tip.
		end := s.path[len(s.path)-1]
		if f := near(placement.Foot); f != nil && Shape(f.Section) == s.shape && f.Points[0].Dist(end) < 2 &&
			f.Points[len(f.Points)-1].Dist(tip.Point) < f.Points[0].Dist(tip.Point) {
			s.add(f)
		}
		return s, true
	}
	arm := near(placement.Arm)
	if arm == nil {
		return s, false
	}
	s.shape = Shape(arm.Section)
	root := arm.Points[0]
	for k := range q.Curves {
		c := &q.Curves[k]
		n := len(c.Points)
		if c.Role != placement.Rigid || n < 2 || Shape(c.Section) != s.shape || len(c.Width) == 0 || len(c.Thickness) == 0 {
			continue
		}
		if c.Points[n-1].Dist(root) < touching {
			s.add(c)
			break
		}
	}
	s.trim(func(p geom.Vec) bool { return s.shape == Round && inResin(p) })
	s.add(arm)
	return s, true
}

// trim leaves of a body what bends: nothing from where it is held, or too far back.
func (s *spring) trim(fast func(geom.Vec) bool) {
	from, run := len(s.path)-1, 0.0
	for ; from > 0; from-- {
		run += s.path[from].Dist(s.path[from-1])
		if run > bodyReach || fast(s.path[from-1]) {
			break
		}
	}
	if from > 0 {
		s.path, s.out, s.width, s.thickness = s.path[from:], s.out[from:], s.width[from:], s.thickness[from:]
	}
}

// resinOverMargin is how far a base's resin rises over an abutment's gingival margin beside
// it [mm]: our own choice.
const resinOverMargin = 1.0

// armStep is the distance at which an arm's centre line is taken up [mm]: about its
// thickness, so that the roughness of the surface it lies on makes no bends of its own.
const armStep = 1.0

// cut is the stretch of a spring from one arc length to another, taken up anew in pieces of
// equal length.
func (s spring) cut(from, to float64, pieces int) spring {
	out := spring{shape: s.shape}
	k, run := 0, 0.0
	for i := range pieces + 1 {
		at := from + (to-from)*float64(i)/float64(pieces)
		for k+2 < len(s.path) && run+s.path[k].Dist(s.path[k+1]) < at {
			run += s.path[k].Dist(s.path[k+1])
			k++
		}
		f := math.Max(0, math.Min(1, (at-run)/math.Max(1e-9, s.path[k].Dist(s.path[k+1]))))
		out.path, out.out = append(out.path, s.path[k].Lerp(s.path[k+1], f)), append(out.out, s.out[k].Lerp(s.out[k+1], f))
		out.width = append(out.width, s.width[k]+f*(s.width[k+1]-s.width[k]))
		out.thickness = append(out.thickness, s.thickness[k]+f*(s.thickness[k+1]-s.thickness[k]))
	}
	return out
}

// smooth is the spring at equal steps, each point the mean of its neighbours and itself.
func (s spring) smooth(step float64) spring {
	length := geom.Length(s.path)
	out := s.cut(0, length, max(5, int(length/step)))
	rough := append([]geom.Vec(nil), out.path...)
	for i := 1; i+1 < len(rough); i++ {
		out.path[i] = rough[i-1].Add(rough[i+1]).Scale(0.25).Add(rough[i].Scale(0.5))
	}
	return out
}

// beam makes the spring of a metal, its sections wider and thicker by so much.
func (s spring) beam(wider, thicker float64, m Elastic) (*Beam, error) {
	a := Arm{Path: s.path, Out: s.out, Metal: m}
	for i := range s.path {
		w, t := s.width[i]+wider, s.thickness[i]+thicker
		if s.shape == Round {
			w = t
		}
		a.Sections = append(a.Sections, Section{Shape: s.shape, Width: w, Thickness: t})
	}
	return NewBeam(a)
}

// Gauges of a wire arm [mm]: premolars and front teeth, molars (common practice).
const wireGauge, wireGaugeMolar = 0.91, 1.02

// asWire is the share of its proof stress that a steel wire bears where it runs as an arm
// does.
func asWire(s spring, n tooth.Number, u float64, out, up geom.Vec) float64 {
	metal, err := material.ByName("wrought-wire-steel")
	if err != nil {
		return 0
	}
	d := wireGauge
	if n.Kind().Molar() {
		d = wireGaugeMolar
	}
	wire := spring{path: s.path, out: s.out, shape: Round}
	for range s.path {
		wire.width, wire.thickness = append(wire.width, d), append(wire.thickness, d)
	}
	b, err := wire.beam(0, 0, Elastic{E: metal.E.Typical, Nu: metal.Nu.Typical})
	if err != nil {
		return 0
	}
	w := Wrench{Force: out.Sub(up.Scale(friction.Typical)).Scale(b.Stiffness(out) * u)}
	return b.Peak(w, b.ClampZone(), b.Length()).Mises / metal.Proof.Typical
}

// holdOf reckons one retentive arm from its placed centre line.
func holdOf(q placement.Placed, i int, p *placement.Placement, resin [][]geom.Vec2) (Hold, Reason) {
	tip := &q.Tips[i]
	h := Hold{Part: q.Part.ID, Tooth: tip.Tooth, At: tip.Point, Metal: q.Part.Material, Undercut: tip.UndercutMM}
	if h.Metal == "" {
		h.Metal = "co-cr-cast"
	}
	metal, err := material.ByName(h.Metal)
	if err != nil {
		return h, NoMetal
	}
	crown, ok := p.Crowns[tip.Tooth]
	if !ok {
		return h, NoCrown
	}
	s, ok := springOf(q, i, func(v geom.Vec) bool {
		for _, r := range resin {
			if geom.Contains2(r, v.XY()) && crown.HeightOf(v) < resinOverMargin {
				return true
			}
		}
		return false
	})
	if !ok {
		return h, NotLaid
	}
	h.Length = geom.Length(s.path)
	s = s.smooth(armStep)
	up := p.Path.Direction
	out := crown.Look(tip.AngleDeg).Across(up).Unit()
	if out == (geom.Vec{}) {
		return h, NoCrown
	}
	lean := math.Max(0, geom.Deg(tip.SlopeDeg))
	h.rise = up.Scale(math.Cos(lean)).Add(out.Scale(math.Sin(lean)))
	tolerance := castTolerance
	if s.shape == Round {
		tolerance = wireTolerance
	}
	for i, v := range []struct {
		more, e float64
		to      func(*Range) *float64
		mu      float64
	}{
		{0, metal.E.Typical, func(r *Range) *float64 { return &r.Typical }, friction.Typical},
		{-tolerance, metal.E.Low, func(r *Range) *float64 { return &r.Low }, friction.Low},
		{tolerance, metal.E.High, func(r *Range) *float64 { return &r.High }, friction.High},
	} {
		if v.e == 0 {
			v.e = metal.E.Typical
		}
		b, err := s.beam(v.more, v.more, Elastic{E: v.e, Nu: metal.Nu.Typical, Proof: metal.Proof.Typical})
		if err != nil {
			return h, NoBeam
		}
		k := b.Stiffness(out)
		side := k * h.Undercut
		// Over the bulge the tip is bent out, and friction drags it along the path.
		w := Wrench{Force: out.Sub(up.Scale(v.mu)).Scale(side)}
		stress := b.Peak(w, b.ClampZone(), b.Length()).Mises
		*v.to(&h.Stiffness), *v.to(&h.Side), *v.to(&h.Stress) = k, side, stress
		if i == 0 && metal.Proof.Typical > 0 && stress > 0 {
			h.MayGo = h.Undercut * metal.Proof.Typical / stress
			_, h.Set = b.Yield(out, h.Undercut)
			for n := 0; n <= 10; n++ {
				u := h.MayGo * float64(n) / 10
				h.Curve = append(h.Curve, [2]float64{u, k * u})
			}
		}
	}
	// The way of the tip over the crown as charted, seat to survey line and beyond; without
	// it a constant slope to the survey line.
	track, crest := trackOf(crown, tip, out)
	top := math.Inf(1)
	over := func(k, mu float64) (off, on float64) {
		off, _ = track.Pull(k, mu, 0, crest, false)
		on, _ = track.Pull(k, mu, crest, top, true)
		return off, on
	}
	h.Withdrawal.Typical, h.Insertion.Typical = over(h.Stiffness.Typical, friction.Typical)
	h.Withdrawal.Low, h.Insertion.Low = over(h.Stiffness.Low, friction.Low)
	h.Withdrawal.High, h.Insertion.High = over(h.Stiffness.High, friction.High)
	if proof := metal.Proof; proof.Typical > 0 {
		low, high := proof.Low, proof.High
		if low == 0 {
			low = proof.Typical
		}
		if high == 0 {
			high = proof.Typical
		}
		h.Ratio = Range{h.Stress.Low / high, h.Stress.Typical / proof.Typical, h.Stress.High / low}
	}
	if s.shape != Round && !q.Part.Form.Infrabulge() {
		h.AsWire = asWire(s, h.Tooth, h.Undercut, out, up)
	}
	return h, ""
}
