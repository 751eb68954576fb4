package mechanics

import (
	"math"
	"sort"

	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
)

// mucosaStiffness is that of a firm ridge under chewing, with the band that published
// figures leave [N/mm3]: an estimate, never a known value.
var mucosaStiffness = Range{0.3, 1, 3}

// The mucosa is pressed to nothing, as far as its stiffening goes, at 0.6 of its thickness
// [mm]: of a ridge 2 mm, of the palate 3 mm (from memory). The law is of our own; an
// estimate.
const (
	ridgeLayer  = 0.6 * 2
	palateLayer = 0.6 * 3
	flabbyShare = 0.3 // of a firm ridge's stiffness
)

// Springs of a sound tooth [N/mm]: soft until softWay, then stiff along its axis; one
// value sideways. Derived from measured displacements; an estimate.
const (
	toothSoft, toothStiff, softWay = 200.0, 2000.0, 0.015
	toothSide                      = 80.0
)

// hooksFrom is the undercut from which rigid metal in it is counted on [mm]: that of a cast
// clasp.
const hooksFrom = 0.25

// rest is one rest on its tooth.
type rest struct {
	part design.Part
	r    geom.Vec
}

// braced is a tooth that is held sideways, and where.
type braced struct {
	tooth tooth.Number
	r     geom.Vec
}

// model is the denture on its supports.
type model struct {
	k     *cast.Cast
	c     chart.Chart
	p     *placement.Placement
	holds []Hold

	rests  []rest
	braces []braced
	hooks  []braced  // rigid metal in an undercut, which the tooth holds down
	bed    []Contact // K is the area; the stiffness multiplies it
	teeth  []placement.Placed
	ends   []geom.Vec // far corners of the bases
	owners []owner    // of the contacts
}

// owner says what a contact stands for: a rest, a clasp, a braced tooth, or the mucosa where
// it is no tooth's.
type owner struct {
	tooth tooth.Number
	part  design.ID
	clasp bool
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
	held := map[tooth.Number][]geom.Vec{} // where something keeps a tooth from the side
	keep := func(n tooth.Number, at geom.Vec) { held[n] = append(held[n], at) }
	var patches []placement.Patch
	for _, q := range m.p.Parts {
		n := q.Part.Tooth
		switch q.Part.Kind {
		case design.Rest:
			for _, patch := range q.Patches {
				if patch.Role == placement.Seat && len(patch.Outline) > 2 {
					m.rests = append(m.rests, rest{q.Part, centroid(patch.Outline)})
					break
				}
			}
		case design.GuidePlate:
			for _, patch := range q.Patches {
				if patch.Role == placement.Plate && len(patch.Outline) > 2 {
					keep(n, centroid(patch.Outline))
					if t := m.p.Turn; t != nil && t.Engaged >= hooksFrom && q.Part.SeatsFirst() {
						m.hooks = append(m.hooks, braced{n, centroid(patch.Outline)})
					}
					break
				}
			}
		case design.Reciprocation:
			for _, c := range q.Curves {
				if c.Role == placement.Rigid && len(c.Points) > 1 {
					keep(n, centroid(c.Points))
					break
				}
			}
		case design.Retainer:
			for _, t := range q.Tips {
				keep(t.Tooth, t.Point)
			}
		case design.ReplacementTooth:
			m.teeth = append(m.teeth, q)
		}
		for _, patch := range q.Patches {
			upper := q.Part.Kind == design.MajorConnector && m.k.Arch == tooth.Upper && patch.Role == placement.Plate
			if len(patch.Outline) > 2 && (patch.Role == placement.Resin || upper) {
				patches = append(patches, patch)
			}
		}
	}
	for _, n := range tooth.All(m.k.Arch) {
		if at := held[n]; len(at) > 0 {
			m.braces = append(m.braces, braced{n, centroid(at)})
		}
	}
	for _, patch := range patches {
		if patch.Role == placement.Resin {
			m.ends = append(m.ends, m.farthest(patch.Outline))
		}
	}
	m.lieOn(patches)
	sort.SliceStable(m.teeth, func(i, j int) bool { return m.teeth[i].Part.Tooth.Index() < m.teeth[j].Part.Tooth.Index() })
}

// farthest is the point of an outline farthest from all rests.
func (m *model) farthest(ps []geom.Vec) geom.Vec {
	best, far := ps[0], -1.0
	for _, p := range ps {
		near := math.Inf(1)
		for _, s := range m.rests {
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

// lieOn adds the tissue that patches lie on, facet by facet, gathered in squares. Where two
// lie over one another the first bears.
func (m *model) lieOn(patches []placement.Patch) {
	type area struct {
		outline []geom.Vec2
		holes   [][]geom.Vec2
		box     geom.Box
		layer   float64
	}
	flat := func(line []geom.Vec) []geom.Vec2 {
		out := make([]geom.Vec2, len(line))
		for i, p := range line {
			out[i] = p.XY()
		}
		return out
	}
	var areas []area
	for _, patch := range patches {
		a := area{outline: flat(patch.Outline), box: geom.BoxOf(patch.Outline), layer: palateLayer}
		for _, h := range patch.Holes {
			a.holes = append(a.holes, flat(h))
		}
		if patch.Role == placement.Resin {
			a.layer = ridgeLayer
		}
		areas = append(areas, a)
	}
	type key struct{ area, x, y int }
	cells := map[key]*Contact{}
	var order []key
	v := m.k.Mesh.Vertices
	for i, label := range m.k.Labels {
		if label != 0 {
			continue
		}
		first := v[m.k.Mesh.Faces[i][0]]
		for j := range areas {
			a := &areas[j]
			if first.X < a.box.Min.X || first.X > a.box.Max.X || first.Y < a.box.Min.Y || first.Y > a.box.Max.Y || first.Z < a.box.Min.Z-8 || first.Z > a.box.Max.Z+8 {
				continue
			}
			p, q, r := m.k.Mesh.Corners(i)
			mid := p.Add(q).Add(r).Scale(1.0 / 3)
			n := q.Sub(p).Cross(r.Sub(p)).Scale(0.5)
			size := n.Norm()
			if size == 0 || n.Z < 0.1*size || !geom.Contains2(a.outline, mid.XY()) {
				continue
			}
			open := false
			for _, h := range a.holes {
				open = open || geom.Contains2(h, mid.XY())
			}
			if open {
				continue
			}
			k := key{j, int(math.Floor(mid.X / bedCell)), int(math.Floor(mid.Y / bedCell))}
			e := cells[k]
			if e == nil {
				e = &Contact{Layer: a.layer}
				cells[k] = e
				order = append(order, k)
			}
			e.R = e.R.Add(mid.Scale(size))
			e.N = e.N.Add(n)
			e.K += size
			break
		}
	}
	for _, k := range order {
		e := *cells[k]
		e.ID, e.R, e.N = "mucosa", e.R.Scale(1/e.K), e.N.Unit()
		m.bed = append(m.bed, e)
	}
}

// contacts are all supports at one stiffness of the mucosa [N/mm3].
func (m *model) contacts(mucosa float64) []Contact {
	up := m.p.Path.Direction
	var out []Contact
	m.owners = m.owners[:0]
	add := func(o owner, c Contact) {
		out = append(out, c)
		m.owners = append(m.owners, o)
	}
	on := map[tooth.Number]float64{}
	for _, s := range m.rests {
		on[s.part.Tooth]++
	}
	for _, s := range m.rests {
		n := s.part.Tooth
		share := m.attachment(n) / on[n] // rests on one tooth stand on one root
		o := owner{tooth: n, part: s.part.ID}
		add(o, Contact{R: s.r, N: up, K: toothSoft * share})
		add(o, Contact{R: s.r, N: up, K: (toothStiff - toothSoft) * share, Gap: softWay})
	}
	f := geom.FrameAlong(up)
	braces := m.braces
	if len(braces) == 0 {
		for _, s := range m.rests {
			braces = append(braces, braced{s.part.Tooth, s.r})
		}
	}
	for _, b := range braces {
		for _, across := range [...]geom.Vec{f.X, f.Y} {
			add(owner{tooth: b.tooth}, Contact{R: b.r, N: across, K: toothSide * m.attachment(b.tooth), Bilateral: true})
		}
	}
	for _, h := range m.holds {
		hold := h.Withdrawal.Typical + h.Guide.Typical
		stiff := h.Stiffness.Typical * (hold / math.Max(h.Side.Typical, 1e-9))
		add(owner{tooth: h.Tooth, part: h.Part, clasp: true},
			Contact{R: h.At, N: up.Neg(), K: math.Max(stiff, 0.1), Capacity: math.Max(hold, 0.01)})
	}
	for _, b := range m.hooks { // it cannot bend off: the denture has to turn out of there
		add(owner{tooth: b.tooth}, Contact{R: b.r, N: up.Neg(), K: toothSoft * m.attachment(b.tooth)})
	}
	for _, b := range m.bed {
		b.K *= mucosa * m.firmness(b.R)
		add(owner{}, b)
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
		return flabbyShare
	}
	return 1
}

// under reckons the loads at one stiffness of the mucosa.
func (m *model) under(loads []Case, mucosa float64) []Case {
	contacts := m.contacts(mucosa)
	supports, err := NewSupports(contacts)
	out := make([]Case, len(loads))
	for i, c := range loads {
		var at Rest
		if err == nil {
			at, err = supports.Under([]Load{{c.At, c.Force}})
		}
		if err != nil || off(at) {
			c.Free = true
			if err == nil {
				motion := at.Free
				if motion == nil {
					motion = &at.Motion
				}
				var last Rest
				if c.Kind == Pull && mucosa == mucosaStiffness.Typical { // the mucosa has no part in it
					c.Held, last = heldShare(supports, c)
				}
				if c.Held > 0 {
					c = m.read(c, contacts, &last)
				}
				c.Screw = nil
				if axis, ok := motion.Screw(); ok {
					c.Screw = &axis
				}
			}
			out[i] = c
			continue
		}
		out[i] = m.read(c, contacts, &at)
	}
	return out
}

// offWay is how far a denture may go before it is said to have come off [mm]: no clasp
// reaches that far.
const offWay = 3.0

// off tells whether nothing holds the denture: it moves without end, or so far that only the
// sides of the teeth stop it.
func off(at Rest) bool {
	return at.Free != nil || at.Move.Norm() > offWay || at.Turn.Norm()*screwReach > offWay
}

// heldShare is how much of a load that nothing holds is held yet, to a hundredth, and where
// the denture rests under that.
func heldShare(s *Supports, c Case) (lo float64, last Rest) {
	hi := 1.0
	for hi-lo > 0.01 {
		mid := (lo + hi) / 2
		if at, err := s.Under([]Load{{c.At, c.Force.Scale(mid)}}); err == nil && !off(at) {
			lo, last = mid, at
		} else {
			hi = mid
		}
	}
	return lo, last
}

// read tells what comes of a load from the place of rest.
func (m *model) read(c Case, contacts []Contact, at *Rest) Case {
	up := m.p.Path.Direction
	c.Motion = at.Motion
	type load struct{ force, moment geom.Vec } // on a tooth, the moment about its centre
	on := map[tooth.Number]*load{}
	carried := map[design.ID]float64{}
	for i, k := range contacts {
		o, f := m.owners[i], k.N.Scale(at.Force[i])
		if o.tooth == 0 {
			c.Mucosa += f.Dot(up)
			continue
		}
		if on[o.tooth] == nil {
			on[o.tooth] = &load{}
		}
		l := on[o.tooth]
		l.force = l.force.Sub(f)
		l.moment = l.moment.Sub(k.R.Sub(m.centreOf(o.tooth)).Cross(f))
		switch {
		case o.clasp:
			c.Clasps -= f.Dot(up)
			if at.Gone[i] {
				c.LetGo = append(c.LetGo, o.part)
			}
		case o.part != "":
			carried[o.part] += f.Dot(up)
		}
	}
	for _, s := range m.rests {
		f := carried[s.part.ID]
		if s.part.Role == design.Indirect {
			c.Indirect += f
		}
		if f < 0.01 {
			c.Open = append(c.Open, s.part.ID)
		}
	}
	for _, n := range tooth.All(m.k.Arch) {
		l := on[n]
		if l == nil {
			continue
		}
		s := Share{Tooth: n, Force: -l.force.Dot(up), Side: l.force.Across(up).Norm()}
		if t := m.k.Teeth[n]; t != nil { // a force F at a height h tips with h·up × F
			toward := l.moment.Cross(up)
			s.Mesial, s.Facial = toward.Dot(t.Frame.X), toward.Dot(t.Frame.Y)
		}
		c.Shares = append(c.Shares, s)
	}
	for _, e := range m.ends {
		// Where a base is bitten on it is asked how far it sinks, else how far it goes.
		sink, presses := -at.At(e).Dot(up), c.Kind == Bite || c.Kind == Incise
		if presses && sink > c.Sinking || !presses && math.Abs(sink) > math.Abs(c.Sinking) {
			c.Sinking = sink
		}
	}
	for _, h := range m.holds {
		// Seen from the tooth, which goes sideways with the denture and down with its rest.
		move := at.At(h.At)
		for _, b := range m.braces {
			if b.tooth == h.Tooth {
				move = move.Sub(at.At(b.r).Across(up))
				break
			}
		}
		for _, s := range m.rests {
			if s.part.Tooth == h.Tooth && carried[s.part.ID] > 0 {
				move = move.Sub(up.Scale(at.At(s.r).Dot(up)))
				break
			}
		}
		c.Tips = append(c.Tips, TipMove{Part: h.Part, Tooth: h.Tooth, Along: move.Dot(h.rise)})
	}
	if axis, ok := at.Screw(); ok && !at.Shifts() {
		c.Screw = &axis
	}
	return c
}

// rootLength are average roots [mm] (Wheeler's tables, part from memory), by arch and kind.
var rootLength = map[tooth.Arch][8]float64{
	tooth.Upper: {13, 13, 17, 14, 14, 13, 12, 11},
	tooth.Lower: {12.5, 14, 16, 14, 14.5, 14, 13, 11},
}

// crestBelow is how far the bone's crest lies below the gingival margin of a sound tooth
// [mm]: from memory.
const crestBelow = 2.0

// centreOf is a tooth's centre of resistance: a third of the root in the bone below its
// crest (from memory).
func (m *model) centreOf(n tooth.Number) geom.Vec {
	t := m.k.Teeth[n]
	if t == nil || len(t.Margin) == 0 {
		return geom.Vec{}
	}
	root := rootLength[m.k.Arch][n.Place()-1]
	crest := crestBelow
	if b := m.c.Teeth[n].BoneLossPercent; b != nil {
		crest += (root - crestBelow) * *b / 100
	}
	return centroid(t.Margin).Sub(t.Frame.Z.Scale(crest + (root-crest)/3))
}
