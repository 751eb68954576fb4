package mechanics

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
)

// LoadKind says what a load stands for.
type LoadKind string

const (
	Bite   LoadKind = "bite"
	Cross  LoadKind = "lateral"
	Incise LoadKind = "incision"
	Pull   LoadKind = "sticky pull"
)

// LoadKinds lists them.
var LoadKinds = [...]LoadKind{Bite, Incise, Cross, Pull}

// Loads taken: a firm bite of 100 N; half of it with a fifth outward or inward; biting off with 50 N
// on a front tooth, 30° off the path as incisors meet (all common practice); and a sticky
// pull of 8 N, between the 1.7 and 12.2 N measured on one artificial tooth (Alageel et al.).
const (
	biteForce   = 100.0
	crossForce  = 20.0
	inciseForce = 50.0
	inciseDeg   = 30.0
	pullForce   = 8.0
)

// Case is one load and what comes of it.
type Case struct {
	Kind     LoadKind
	Tooth    tooth.Number // the replacement tooth that is loaded
	At       geom.Vec
	Force    geom.Vec
	Motion   Motion
	Shares   []Share
	Mucosa   float64 // carried by the mucosa along the path [N]
	Sinking  float64 // of the farthest corner of a base, + toward the tissue [mm]
	Indirect float64 // on the indirect retainers [N]
	Clasps   float64 // held by the clasps [N]
	LetGo    []design.ID
	Open     []design.ID // rests that lose their seat
	Tips     []TipMove
	Screw    *Screw
	Free     bool // nothing holds the denture against this load: it lifts or turns off
	// Held is, of a pull that nothing holds, the share of it that still is held; the case then
	// tells of that share, but for the screw, which is that of coming off.
	Held float64
	Sure Sure // of the typical case: what all three stiffnesses of the mucosa agree on
}

// Name tells a case apart, as in "bite on 36".
func (c Case) Name() string { return string(c.Kind) + " on " + c.Tooth.String() }

// Share is what one tooth carries under a load.
type Share struct {
	Tooth  tooth.Number
	Force  float64 // along the path toward its root [N]
	Side   float64 // across the path [N]
	Mesial float64 // moment that tips its crown to the mesial, about its centre of resistance [N·mm]
	Facial float64 // the same to the facial
}

// Tipping is the whole moment that tips the tooth [N·mm].
func (s Share) Tipping() float64 { return math.Hypot(s.Mesial, s.Facial) }

// Toward is the side to which the crown is tipped most.
func (s Share) Toward() tooth.Surface {
	switch m, f := s.Mesial, s.Facial; {
	case math.Abs(m) >= math.Abs(f) && m >= 0:
		return tooth.Mesial
	case math.Abs(m) >= math.Abs(f):
		return tooth.Distal
	case f >= 0:
		return tooth.Facial
	}
	return tooth.Lingual
}

// TipMove is how a retentive tip moves on its tooth under a load.
type TipMove struct {
	Part  design.ID
	Tooth tooth.Number
	Along float64 // up the tooth's surface, + toward the bulge, - deeper into the undercut [mm]
}

// Grip is what a tip's movement does to its tooth.
type Grip string

const (
	Eases Grip = "eases" // it goes deeper into the undercut and lets the tooth be
	Grips Grip = "grips" // it is drawn toward the bulge and pulls at the tooth
	Stays Grip = "stays" // it hardly moves
)

// gripLeast is the movement below which a tip is said to stay [mm]; our own choice.
const gripLeast = 0.005

// Grip judges a tip's movement.
func (t TipMove) Grip() Grip {
	switch {
	case t.Along > gripLeast:
		return Grips
	case t.Along < -gripLeast:
		return Eases
	}
	return Stays
}

// Sure says on which results of a case all three stiffnesses of the mucosa agree. What they
// do not agree on is an estimate; so is every share and every sinking, whose span is shown.
type Sure struct {
	Held     bool // whether anything holds the denture
	Axis     bool // where it turns: within 15° and 5 mm
	Open     bool // which rests lose their seat
	LetGo    bool // which clasps give way
	Indirect bool // whether the indirect retainers bear
	Most     bool // who carries the most
	Tips     bool // what every tip does
}

const (
	sureDeg = 15
	sureMM  = 5
	bears   = 0.5 // a force that counts as bearing [N]
)

func agree(c Case, others ...Case) Sure {
	s := Sure{true, c.Screw != nil, true, true, true, true, true}
	for _, o := range others {
		if c.Free || o.Free {
			return Sure{Held: c.Free == o.Free}
		}
		s.Axis = s.Axis && o.Screw != nil && geom.InDeg(c.Screw.Direction.AngleTo(o.Screw.Direction)) <= sureDeg && c.Screw.Point.Dist(o.Screw.Point) <= sureMM
		s.Open = s.Open && sameParts(c.Open, o.Open)
		s.LetGo = s.LetGo && sameParts(c.LetGo, o.LetGo)
		s.Indirect = s.Indirect && (c.Indirect > bears) == (o.Indirect > bears)
		s.Most = s.Most && c.most() == o.most()
		for i, t := range c.Tips {
			s.Tips = s.Tips && t.Grip() == o.Tips[i].Grip()
		}
	}
	return s
}

func sameParts(a, b []design.ID) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// most is the tooth that carries most of the load along the path; 0 for the mucosa.
func (c Case) most() tooth.Number {
	who, most := tooth.Number(0), math.Abs(c.Mucosa)
	for _, s := range c.Shares {
		if math.Abs(s.Force) > most {
			who, most = s.Tooth, math.Abs(s.Force)
		}
	}
	return who
}

// loads are the cases to reckon, each without its results.
func (m *model) loads() []Case {
	up := m.p.Path.Direction
	var out []Case
	for _, q := range m.teeth {
		r, ok := biteAt(q)
		if !ok {
			continue
		}
		n := q.Part.Tooth
		add := func(k LoadKind, f geom.Vec) { out = append(out, Case{Kind: k, Tooth: n, At: r, Force: f}) }
		facial := m.facialAt(r)
		add(Bite, up.Scale(-biteForce))
		if n.Kind().Anterior() {
			// Lower incisors push the upper ones out, the upper ones the lower ones in.
			out := facial
			if m.k.Arch == tooth.Lower {
				out = facial.Neg()
			}
			add(Incise, up.Scale(-math.Cos(geom.Deg(inciseDeg))).Add(out.Scale(math.Sin(geom.Deg(inciseDeg)))).Scale(inciseForce))
		}
		add(Cross, up.Scale(-biteForce/2).Add(facial.Scale(crossForce)))
		add(Cross, up.Scale(-biteForce/2).Sub(facial.Scale(crossForce)))
		add(Pull, up.Scale(pullForce))
	}
	return out
}

// facialAt is the direction out of the arch at a place on it, across the path.
func (m *model) facialAt(r geom.Vec) geom.Vec {
	up := m.p.Path.Direction
	if line := m.k.Marks.Arch.Points; len(line) > 2 {
		way := geom.NewWalk(line)
		s, _ := way.Nearest(r)
		along := way.At(math.Min(s+4, way.Length())).Sub(way.At(math.Max(s-4, 0)))
		out := along.Cross(up).Across(up).Unit()
		if middle := centroid(line); out.Dot(r.Sub(middle)) < 0 {
			out = out.Neg()
		}
		if out != (geom.Vec{}) {
			return out
		}
	}
	return r.Sub(geom.V(0, 0, r.Z)).Across(up).Unit()
}

// biteAt is where the opponent meets a replacement tooth: over the middle of its outline,
// at the occlusal plane.
func biteAt(q placement.Placed) (geom.Vec, bool) {
	for _, patch := range q.Patches {
		if patch.Role == placement.Crown && len(patch.Outline) > 2 {
			c := centroid(patch.Outline)
			return geom.V(c.X, c.Y, math.Max(c.Z, 0)), true
		}
	}
	return geom.Vec{}, false
}
