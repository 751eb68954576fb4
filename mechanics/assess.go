package mechanics

import (
	"fmt"
	"math"
	"sort"

	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/material"
	"halfpear/placement"
	"halfpear/tooth"
)

// Range is an estimate: what is typical, and the band that tolerances and friction leave.
type Range struct{ Low, Typical, High float64 }

// Friction of enamel on metal: from memory, common in clasp models.
var friction = Range{0.1, 0.2, 0.3}

// castTolerance is how far a finished arm's width and thickness may differ from the pattern
// [mm]: finishing takes or leaves 0.1 to 0.15 a side (common practice).
const castTolerance = 0.1

// Hold is what one retentive arm does.
type Hold struct {
	Part       design.ID
	Tooth      tooth.Number
	Metal      string
	Length     float64      // of the flexible arm [mm]
	Undercut   float64      // that its tip stands in [mm]
	Stiffness  Range        // across the tooth's surface at the tip [N/mm]
	Side       Range        // force on the tooth when the tip passes the bulge [N]
	Withdrawal Range        // force along the path to pull it off [N]
	Insertion  Range        // force along the path to seat it [N]
	Stress     Range        // greatest equivalent stress on the way [MPa]
	Ratio      Range        // of the stress to the proof stress
	MayGo      float64      // how far the tip may be bent before the proof stress [mm]
	Mend       string       // what would bring the stress under four fifths; empty where it is
	Curve      [][2]float64 // tip movement [mm] and side force [N], to the proof stress
}

// Share is what one tooth carries under a load.
type Share struct {
	Tooth tooth.Number
	Force float64 // along the path, toward the gum [N]
	Side  float64 // across the path [N]
}

// Case is one load on the denture, at one stiffness of the mucosa.
type Case struct {
	Name     string
	Kind     LoadKind
	Tooth    tooth.Number // the replacement tooth that is loaded
	At       geom.Vec
	Force    geom.Vec
	Shares   []Share
	Mucosa   float64 // carried by the mucosa along the path [N]
	Sinking  float64 // of the farthest corner of a base, + toward the tissue [mm]
	Indirect float64 // on the indirect retainers [N]
	Clasps   float64 // held by the clasps [N]
	LetGo    []design.ID
	Open     []design.ID           // rests that lose their seat
	Tips     map[design.ID]float64 // movement of each tip along the path, - toward the gum [mm]
	Screw    *Screw
	Free     bool // nothing holds the denture against this load: it lifts or turns off
}

// LoadKind says what a load stands for.
type LoadKind string

const (
	Bite  LoadKind = "bite"
	Cross LoadKind = "lateral"
	Pull  LoadKind = "sticky pull"
)

// Loads taken: a firm bite of 100 N, a fifth of it sideways (common practice), and a sticky
// pull of 8 N, between the 1.7 and 12.2 N measured on one artificial tooth (Alageel et al.).
const (
	biteForce  = 100.0
	crossForce = 20.0
	pullForce  = 8.0
)

// mucosaStiffness is that of a firm ridge under chewing, with the band that published
// figures leave [N/mm3]: an estimate, never a known value.
var mucosaStiffness = Range{0.3, 1, 3}

// Springs of a sound tooth [N/mm]: soft until softWay, then stiff along its axis; one
// value sideways. Derived from measured displacements; an estimate.
const (
	toothSoft, toothStiff, softWay = 200.0, 2000.0, 0.015
	toothSide                      = 80.0
)

// Report is what mechanics has to say of a placed design. All of it is estimate.
type Report struct {
	Holds     []Hold
	Retention Range     // of the whole denture along the path [N]
	Cases     []Case    // at the typical mucosa
	Band      [2][]Case // the same at the softest and the stiffest mucosa
	Unknown   []string  // what could not be reckoned, and why
}

// Hold finds an arm's result.
func (r *Report) Hold(id design.ID) (Hold, bool) {
	for _, h := range r.Holds {
		if h.Part == id {
			return h, true
		}
	}
	return Hold{}, false
}

// Assess reckons a placed design: each retentive arm, and where the denture comes to rest
// under the loads of chewing and of sticky food.
func Assess(k *cast.Cast, c chart.Chart, d design.Design, p *placement.Placement) *Report {
	r := &Report{}
	for _, q := range p.Parts {
		if q.Part.Kind != design.Retainer || q.Tip == nil {
			continue
		}
		h, err := holdOf(q, p)
		if err != nil {
			r.Unknown = append(r.Unknown, fmt.Sprintf("%s: %v", q.Part.ID, err))
			continue
		}
		r.Holds = append(r.Holds, h)
		guide := 0.0
		if guided(p, q.Part.Tooth) { // the tooth is pressed against a plane along the path
			guide = 1
		}
		r.Retention.Low += h.Withdrawal.Low + guide*friction.Low*h.Side.Low
		r.Retention.Typical += h.Withdrawal.Typical + guide*friction.Typical*h.Side.Typical
		r.Retention.High += h.Withdrawal.High + guide*friction.High*h.Side.High
	}
	m := model{k: k, c: c, d: d, p: p, holds: r.Holds}
	m.gather()
	if len(m.seats) == 0 {
		r.Unknown = append(r.Unknown, "no rest is placed: nothing carries the denture")
		return r
	}
	r.Cases = m.cases(mucosaStiffness.Typical)
	r.Band = [2][]Case{m.cases(mucosaStiffness.Low), m.cases(mucosaStiffness.High)}
	return r
}

// guided tells whether a guide plate lies on the tooth.
func guided(p *placement.Placement, n tooth.Number) bool {
	for _, q := range p.Parts {
		if q.Part.Kind == design.GuidePlate && q.Part.Tooth == n {
			return true
		}
	}
	return false
}

// holdOf reckons one retentive arm from its placed centre line.
func holdOf(q placement.Placed, p *placement.Placement) (Hold, error) {
	h := Hold{Part: q.Part.ID, Tooth: q.Part.Tooth, Metal: q.Part.Material, Undercut: q.Tip.UndercutMM}
	if h.Metal == "" {
		h.Metal = "co-cr-cast"
	}
	metal, err := material.ByName(h.Metal)
	if err != nil {
		return h, err
	}
	line := flexible(q)
	if line == nil {
		return h, fmt.Errorf("its flexible arm is not placed")
	}
	crown := p.Crowns[q.Part.Tooth]
	out := crown.Look(q.Tip.AngleDeg).Across(p.Path.Direction).Unit()
	if out == (geom.Vec{}) {
		return h, fmt.Errorf("the crown of tooth %d is not charted", q.Part.Tooth)
	}
	h.Length = geom.Length(line.Points)
	path, outs, from := smoothed(line)
	beam := func(more float64, e float64) (*Beam, error) {
		a := Arm{Path: path, Out: outs, Metal: Elastic{E: e, Nu: metal.Nu.Typical, Proof: metal.Proof.Typical}, Slender: true}
		shape := Shape(line.Section)
		for _, i := range from {
			w, t := at(line.Width, i, 1.2)+more, at(line.Thickness, i, 0.8)+more
			if shape == Round {
				w = t
			}
			a.Sections = append(a.Sections, Section{Shape: shape, Width: w, Thickness: t})
		}
		return NewBeam(a)
	}
	var side, stiff, stress Range
	for i, v := range []struct{ more, e float64 }{{0, metal.E.Typical}, {-castTolerance, metal.E.Low}, {castTolerance, metal.E.High}} {
		if v.e == 0 {
			v.e = metal.E.Typical
		}
		b, err := beam(v.more, v.e)
		if err != nil {
			return h, err
		}
		k := b.Stiffness(out)
		w := Wrench{Force: out.Scale(k * h.Undercut)}
		s := b.Peak(w, b.ClampZone(), b.Length()).Mises
		switch i {
		case 0:
			side.Typical, stiff.Typical, stress.Typical = k*h.Undercut, k, s
			if metal.Proof.Typical > 0 && s > 0 {
				h.MayGo = h.Undercut * metal.Proof.Typical / s
				for n := 0; n <= 10; n++ {
					u := h.MayGo * float64(n) / 10
					h.Curve = append(h.Curve, [2]float64{u, k * u})
				}
			}
		case 1:
			side.Low, stiff.Low, stress.Low = k*h.Undercut, k, s
		case 2:
			side.High, stiff.High, stress.High = k*h.Undercut, k, s
		}
	}
	h.Side, h.Stiffness, h.Stress = side, stiff, stress
	// The way of the tip over the crown as charted, seat to survey line and beyond; without
	// it a constant slope to the survey line.
	track, crest := trackOf(crown, q.Tip, out)
	top := math.Inf(1)
	over := func(k, mu float64) (off, on float64) {
		off, _ = track.Pull(k, mu, 0, crest, false)
		on, _ = track.Pull(k, mu, crest, top, true)
		return off, on
	}
	h.Withdrawal.Typical, h.Insertion.Typical = over(stiff.Typical, friction.Typical)
	h.Withdrawal.Low, h.Insertion.Low = over(stiff.Low, friction.Low)
	h.Withdrawal.High, h.Insertion.High = over(stiff.High, friction.High)
	if proof := metal.Proof; proof.Typical > 0 {
		low, high := proof.Low, proof.High
		if low == 0 {
			low = proof.Typical
		}
		if high == 0 {
			high = proof.Typical
		}
		h.Ratio = Range{stress.Low / high, stress.Typical / proof.Typical, stress.High / low}
		if r := h.Ratio.Typical; r > 0.8 {
			// At a given tip movement stress falls with thickness and with the square of length.
			h.Mend = fmt.Sprintf("a thickness of %.0f %% of this, or an arm %.0f %% as long, would bring the stress to four fifths of the proof stress",
				80/r, 100*math.Sqrt(r/0.8))
		}
	}
	return h, nil
}

// armStep is the distance at which an arm's centre line is taken up [mm]: about its
// thickness, so that the roughness of the surface it lies on makes no bends of its own.
const armStep = 1.0

// smoothed is an arm's centre line at equal steps, each point the mean of its neighbours
// and itself, with the outward direction there and the index of the nearest given point.
func smoothed(c *placement.Curve) (path, outs []geom.Vec, from []int) {
	n := max(6, int(geom.Length(c.Points)/armStep)+1)
	rough := geom.Resample(c.Points, n)
	for i, p := range rough {
		if i > 0 && i+1 < n {
			p = rough[i-1].Add(rough[i+1]).Scale(0.25).Add(p.Scale(0.5))
		}
		near, far := 0, math.Inf(1)
		for j, q := range c.Points {
			if d := q.Dist(rough[i]); d < far {
				near, far = j, d
			}
		}
		out := geom.V(0, 0, 1)
		if len(c.Out) > 0 {
			out = c.Out[min(near, len(c.Out)-1)]
		}
		path, outs, from = append(path, p), append(outs, out), append(from, near)
	}
	return path, outs, from
}

// flexible is the curve of a retainer that bends: a bar's approach arm, else its arm.
func flexible(q placement.Placed) *placement.Curve {
	for _, role := range []placement.CurveRole{placement.Approach, placement.Arm} {
		for i := range q.Curves {
			if c := &q.Curves[i]; c.Role == role && len(c.Points) > 1 {
				return c
			}
		}
	}
	return nil
}

func at(v []float64, i int, otherwise float64) float64 {
	switch {
	case len(v) == 0:
		return otherwise
	case i < len(v):
		return v[i]
	}
	return v[len(v)-1]
}

// seat is one rest on its tooth.
type seat struct {
	part  design.Part
	r     geom.Vec
	share float64 // of a sound tooth's stiffness
}

// model is the denture on its supports.
type model struct {
	k     *cast.Cast
	c     chart.Chart
	d     design.Design
	p     *placement.Placement
	holds []Hold

	seats []seat
	side  []seat // where a tooth is held sideways, once a tooth
	plate []Contact
	bed   []Contact // K is the area; the stiffness multiplies it
	teeth []placement.Placed
	ends  []geom.Vec // far corners of the bases
}

func centroid(ps []geom.Vec) geom.Vec {
	var sum geom.Vec
	for _, p := range ps {
		sum = sum.Add(p.Scale(1 / float64(len(ps))))
	}
	return sum
}

// attachment is how much of a sound tooth's stiffness is left: the square of the bone that
// is left, a crude rule of our own.
func (m *model) attachment(n tooth.Number) float64 {
	if b := m.c.Teeth[n].BoneLossPercent; b != nil {
		s := 1 - *b/100
		return math.Max(0.05, s*s)
	}
	return 1
}

func (m *model) gather() {
	d := m.p.Path.Direction
	held := map[tooth.Number]bool{}
	for _, q := range m.p.Parts {
		switch q.Part.Kind {
		case design.Rest:
			for _, patch := range q.Patches {
				if patch.Role == placement.Seat && len(patch.Outline) > 2 {
					m.seats = append(m.seats, seat{q.Part, centroid(patch.Outline), m.attachment(q.Part.Tooth)})
					break
				}
			}
		case design.GuidePlate:
			crown := m.p.Crowns[q.Part.Tooth]
			for _, patch := range q.Patches {
				if patch.Role != placement.Plate || len(patch.Outline) < 3 {
					continue
				}
				mid := centroid(patch.Outline)
				n := crown.Look(crown.AngleOf(mid)).Across(d).Unit()
				m.plate = append(m.plate, Contact{ID: string(q.Part.ID), R: mid, N: n, K: toothSide * m.attachment(q.Part.Tooth)})
				if !held[q.Part.Tooth] {
					held[q.Part.Tooth] = true
					m.side = append(m.side, seat{q.Part, mid, m.attachment(q.Part.Tooth)})
				}
				break
			}
		case design.ReplacementTooth:
			m.teeth = append(m.teeth, q)
		}
		for _, patch := range q.Patches {
			upper := q.Part.Kind == design.MajorConnector && m.k.Arch == tooth.Upper && patch.Role == placement.Plate
			if patch.Role == placement.Resin || upper {
				m.bedUnder(patch)
			}
			if patch.Role == placement.Resin && len(patch.Outline) > 2 {
				m.ends = append(m.ends, m.farthest(patch.Outline))
			}
		}
	}
	sort.SliceStable(m.teeth, func(i, j int) bool { return m.teeth[i].Part.Tooth.Index() < m.teeth[j].Part.Tooth.Index() })
}

// farthest is the point of an outline farthest from all rests.
func (m *model) farthest(ps []geom.Vec) geom.Vec {
	best, far := ps[0], -1.0
	for _, p := range ps {
		near := math.Inf(1)
		for _, s := range m.seats {
			near = math.Min(near, p.Dist(s.r))
		}
		if near > far && !math.IsInf(near, 1) {
			best, far = p, near
		}
	}
	return best
}

// bedCell is the side of the squares that the mucosa under a base is gathered in [mm].
const bedCell = 3.0

// bedUnder adds the tissue that a patch lies on, facet by facet, gathered in squares.
func (m *model) bedUnder(patch placement.Patch) {
	outline := make([]geom.Vec2, len(patch.Outline))
	box := geom.EmptyBox()
	for i, p := range patch.Outline {
		outline[i] = p.XY()
		box = box.Add(p)
	}
	type key struct{ x, y int }
	cells := map[key]*Contact{}
	var order []key
	for i, label := range m.k.Labels {
		if label != 0 {
			continue
		}
		a, b, c := m.k.Mesh.Corners(i)
		mid := a.Add(b).Add(c).Scale(1.0 / 3)
		if mid.X < box.Min.X || mid.X > box.Max.X || mid.Y < box.Min.Y || mid.Y > box.Max.Y || mid.Z < box.Min.Z-8 || mid.Z > box.Max.Z+8 {
			continue
		}
		v := b.Sub(a).Cross(c.Sub(a)).Scale(0.5)
		if area := v.Norm(); area == 0 || v.Z < 0.1*area || !geom.Contains2(outline, mid.XY()) {
			continue
		}
		k := key{int(math.Floor(mid.X / bedCell)), int(math.Floor(mid.Y / bedCell))}
		e := cells[k]
		if e == nil {
			e = &Contact{}
			cells[k] = e
			order = append(order, k)
		}
		area := v.Norm()
		e.R = e.R.Add(mid.Scale(area))
		e.N = e.N.Add(v)
		e.K += area
	}
	for _, k := range order {
		e := cells[k]
		m.bed = append(m.bed, Contact{ID: "mucosa", R: e.R.Scale(1 / e.K), N: e.N.Unit(), K: e.K})
	}
}

// contacts are all supports at one stiffness of the mucosa [N/mm3].
func (m *model) contacts(mucosa float64) []Contact {
	d := m.p.Path.Direction
	var out []Contact
	for _, s := range m.seats {
		id := string(s.part.ID)
		out = append(out,
			Contact{ID: id, R: s.r, N: d, K: toothSoft * s.share},
			Contact{ID: id, R: s.r, N: d, K: (toothStiff - toothSoft) * s.share, Gap: softWay})
	}
	f := geom.FrameAlong(d)
	side := m.side
	if len(side) == 0 {
		side = m.seats
	}
	for _, s := range side {
		id := "side-" + s.part.Tooth.String()
		out = append(out, Contact{ID: id, R: s.r, N: f.X, K: toothSide * s.share, Bilateral: true}, Contact{ID: id, R: s.r, N: f.Y, K: toothSide * s.share, Bilateral: true})
	}
	out = append(out, m.plate...)
	for _, h := range m.holds {
		q, _ := m.p.Part(h.Part)
		stiff := h.Stiffness.Typical * (h.Withdrawal.Typical / math.Max(h.Side.Typical, 1e-9))
		out = append(out, Contact{ID: string(h.Part), R: q.Tip.Point, N: d.Neg(), K: math.Max(stiff, 0.1), Capacity: math.Max(h.Withdrawal.Typical, 0.01)})
	}
	for _, b := range m.bed {
		b.K *= mucosa * m.firmness(b.R)
		out = append(out, b)
	}
	return out
}

// firmness of the ridge at a place, as charted.
func (m *model) firmness(r geom.Vec) float64 {
	side := m.c.Tissues.RidgeLeft
	if r.X*cast.RightSign(m.k.Arch) > 0 {
		side = m.c.Tissues.RidgeRight
	}
	if side == chart.Flabby {
		return 0.3
	}
	return 1
}

// cases reckons every load at one stiffness of the mucosa.
func (m *model) cases(mucosa float64) []Case {
	d := m.p.Path.Direction
	contacts := m.contacts(mucosa)
	var out []Case
	for _, q := range m.teeth {
		r := m.biteAt(q)
		if r == (geom.Vec{}) {
			continue
		}
		name := q.Part.Tooth.String()
		out = append(out, m.rest(contacts, Case{Name: "bite on " + name, Kind: Bite, Tooth: q.Part.Tooth, At: r, Force: d.Scale(-biteForce)}))
		facial := r.Sub(geom.V(0, 0, r.Z)).Across(d).Unit()
		out = append(out, m.rest(contacts, Case{Name: "sideways on " + name, Kind: Cross, Tooth: q.Part.Tooth, At: r, Force: d.Scale(-biteForce / 2).Add(facial.Scale(crossForce))}))
		out = append(out, m.rest(contacts, Case{Name: "sticky pull on " + name, Kind: Pull, Tooth: q.Part.Tooth, At: r, Force: d.Scale(pullForce)}))
	}
	return out
}

// biteAt is where the opponent meets a replacement tooth: over the middle of its outline,
// at the occlusal plane.
func (m *model) biteAt(q placement.Placed) geom.Vec {
	for _, patch := range q.Patches {
		if patch.Role == placement.Crown && len(patch.Outline) > 2 {
			c := centroid(patch.Outline)
			return geom.V(c.X, c.Y, math.Max(c.Z, 0))
		}
	}
	return geom.Vec{}
}

// rest finds where the denture comes to rest under one load.
func (m *model) rest(contacts []Contact, c Case) Case {
	d := m.p.Path.Direction
	s, err := Support(contacts, []Load{{c.At, c.Force}})
	if err != nil || s.Free != nil {
		c.Free = true
		if err == nil {
			if axis, ok := s.Free.Screw(); ok {
				c.Screw = &axis
			}
		}
		return c
	}
	share := map[tooth.Number]*Share{}
	of := func(n tooth.Number) *Share {
		if share[n] == nil {
			share[n] = &Share{Tooth: n}
		}
		return share[n]
	}
	carried := map[design.ID]float64{}
	for i, k := range contacts {
		f := k.N.Scale(s.Force[i])
		switch part, ok := m.d.Part(design.ID(k.ID)); {
		case k.ID == "mucosa":
			c.Mucosa += f.Dot(d)
		case ok && part.Kind == design.Rest:
			of(part.Tooth).Force += f.Dot(d)
			carried[part.ID] += f.Dot(d)
		case ok && part.Kind == design.Retainer:
			c.Clasps -= f.Dot(d)
			of(part.Tooth).Force += f.Dot(d)
			if s.Gone[i] {
				c.LetGo = append(c.LetGo, part.ID)
			}
		case ok:
			of(part.Tooth).Side += f.Across(d).Norm()
		default:
			if n, err := tooth.Parse(k.ID[len("side-"):]); err == nil {
				of(n).Side += f.Across(d).Norm()
			}
		}
	}
	for _, st := range m.seats {
		f := carried[st.part.ID]
		if st.part.Role == design.Indirect {
			c.Indirect += f
		}
		if f < 0.01 {
			c.Open = append(c.Open, st.part.ID)
		}
	}
	for _, n := range tooth.All(m.k.Arch) {
		if v := share[n]; v != nil {
			c.Shares = append(c.Shares, *v)
		}
	}
	for _, e := range m.ends {
		if sink := -s.At(e).Dot(d); math.Abs(sink) > math.Abs(c.Sinking) {
			c.Sinking = sink
		}
	}
	c.Tips = map[design.ID]float64{}
	for _, h := range m.holds {
		q, _ := m.p.Part(h.Part)
		c.Tips[h.Part] = s.At(q.Tip.Point).Dot(d)
	}
	if axis, ok := s.Screw(); ok && !s.Shifts() {
		c.Screw = &axis
	}
	return c
}
