package mechanics

import (
	"fmt"
	"math"
	"sort"

	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
)

// Range is an estimate: what is typical, and the band that tolerances and friction leave.
type Range struct{ Low, Typical, High float64 }

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

// Assess reckons a placed design: each retentive arm, and where the denture comes to rest
// under the loads of chewing and of sticky food.
func Assess(k *cast.Cast, c chart.Chart, d design.Design, p *placement.Placement) *Report {
	r := &Report{}
	resin := resinOf(p)
	for _, q := range p.Parts {
		if q.Part.Kind != design.Retainer {
			continue
		}
		for i := range q.Tips {
			h, err := holdOf(q, i, p, resin)
			if err != nil {
				r.Unknown = append(r.Unknown, fmt.Sprintf("%s: %v", q.Part.ID, err))
				continue
			}
			r.Holds = append(r.Holds, h)
			guide := 0.0
			if guided(p, h.Tooth) { // the tooth is pressed against a plane along the path
				guide = 1
			}
			r.Retention.Low += h.Withdrawal.Low + guide*friction.Low*h.Side.Low
			r.Retention.Typical += h.Withdrawal.Typical + guide*friction.Typical*h.Side.Typical
			r.Retention.High += h.Withdrawal.High + guide*friction.High*h.Side.High
		}
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
		stiff := h.Stiffness.Typical * (h.Withdrawal.Typical / math.Max(h.Side.Typical, 1e-9))
		out = append(out, Contact{ID: string(h.Part), R: h.At, N: d.Neg(), K: math.Max(stiff, 0.1), Capacity: math.Max(h.Withdrawal.Typical, 0.01)})
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
		c.Tips[h.Part] = s.At(h.At).Dot(d)
	}
	if axis, ok := s.Screw(); ok && !s.Shifts() {
		c.Screw = &axis
	}
	return c
}
