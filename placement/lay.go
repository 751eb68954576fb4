package placement

import (
	"math"
	"reflect"
	"slices"
	"sort"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// layout is a placement being made.
type layout struct {
	g   *ground
	lim Limits
	d   design.Design

	parts map[design.ID]*Placed
	bases []*area                // the edentulous stretches under bases, in the design's order
	minor map[design.ID]*upright // where upright connectors stand
	bar   *barShape              // the lower connector
	palat *palateShape           // the upper connector
	reach [2]float64             // the stretch of stations the lower connector covers
	whole []Measure

	asLaid map[design.ID]Placed // each part before the framework as a whole was looked at
}

// Lay lays a design on a cast. s is the cast's survey along the path of insertion,
// vertical its survey along the occlusal plane's normal; without the second the vertical
// undercuts stay unmeasured. A part of the design that names no place on this cast, as a
// rest on a tooth that is not there, is placed without curves and with a Shortfall that
// says so.
func Lay(c *cast.Cast, s *survey.Survey, vertical *survey.Survey, d design.Design, limits Limits) (*Placement, error) {
	g, err := newGround(c, s, vertical)
	if err != nil {
		return nil, err
	}
	return layOn(g, d, limits, nil)
}

// Relay is prev with some parts of its design changed or added, laid on the same ground.
func Relay(prev *Placement, changed ...design.Part) (*Placement, error) {
	d := prev.design
	for _, p := range changed {
		d = d.With(p)
	}
	return layOn(prev.ground, d, prev.limits, prev.made)
}

// RelayDesign lays another design on the ground of prev: for edits that take parts away.
func RelayDesign(prev *Placement, d design.Design) (*Placement, error) {
	return layOn(prev.ground, d, prev.limits, prev.made)
}

// leans lists, for each kind of part, the kinds whose parts it is laid by: when none of
// them changed, an unchanged part stays where it was.
var leans = map[design.Kind][]design.Kind{
	design.Rest:             {design.Retainer, design.GuidePlate, design.MinorConnector},
	design.GuidePlate:       {design.Base},
	design.MajorConnector:   {design.MinorConnector, design.Base, design.Rest},
	design.Base:             {design.MajorConnector, design.MinorConnector, design.Rest, design.ReplacementTooth},
	design.MinorConnector:   {design.MajorConnector, design.Rest, design.GuidePlate, design.Base, design.MinorConnector, design.Retainer},
	design.Retainer:         {design.Base, design.Rest, design.MajorConnector, design.MinorConnector},
	design.Reciprocation:    {design.Retainer, design.GuidePlate, design.Rest, design.MinorConnector, design.MajorConnector, design.Base},
	design.TissueStop:       {design.Base},
	design.FinishLine:       {design.Base, design.MajorConnector, design.MinorConnector, design.Rest},
	design.ReplacementTooth: {design.Base, design.ReplacementTooth},
}

// keepable tells which kinds of parts an edit leaves where they were.
func keepable(before, after design.Design) map[design.Kind]bool {
	changed := map[design.Kind]bool{}
	for _, p := range after.Parts {
		if q, ok := before.Part(p.ID); !ok || !reflect.DeepEqual(p, q) {
			changed[p.Kind] = true
			if ok {
				changed[q.Kind] = true
			}
		}
	}
	for _, q := range before.Parts {
		if _, ok := after.Part(q.ID); !ok {
			changed[q.Kind] = true
		}
	}
	keep := map[design.Kind]bool{}
	for k, on := range leans {
		keep[k] = true
		for _, o := range on {
			if changed[o] {
				keep[k] = false
			}
		}
	}
	// The connector's shape and the lattices' ends are kept only with their parts.
	if changed[design.MajorConnector] {
		keep[design.MajorConnector] = false
	}
	if changed[design.Base] {
		keep[design.Base] = false
	}
	return keep
}

func layOn(g *ground, d design.Design, limits Limits, before *layout) (*Placement, error) {
	l := &layout{g: g, lim: limits.filled(), d: d, parts: map[design.ID]*Placed{}, minor: map[design.ID]*upright{}, asLaid: map[design.ID]Placed{}}
	var keep map[design.Kind]bool
	if before != nil {
		keep = keepable(before.d, d)
		if keep[design.MajorConnector] {
			l.bar, l.palat = before.bar, before.palat
		}
	}
	each := func(k design.Kind, lay func(q *Placed)) {
		for _, p := range d.Of(k) {
			if keep[k] {
				if old, ok := before.asLaid[p.ID]; ok && reflect.DeepEqual(old.Part, p) {
					q := old
					l.parts[p.ID], l.asLaid[p.ID] = &q, old
					continue
				}
			}
			q := &Placed{Part: p}
			if missing := l.absent(p); missing != 0 {
				name := "tooth_present"
				if l.g.stands(missing) {
					name = "crown_charted"
				}
				q.Shortfalls = append(q.Shortfalls, Shortfall{Measure: name, Wanted: 1, Got: 0, Tooth: missing,
					Why: l.whyAbsent(missing)})
			} else {
				lay(q)
			}
			q.Measures, q.Shortfalls = slices.Clip(q.Measures), slices.Clip(q.Shortfalls)
			l.parts[p.ID], l.asLaid[p.ID] = q, *q
		}
	}
	g.chart(sortedTeeth(l.carrying()))
	for _, p := range d.Of(design.Base) {
		a := l.areaOf(p)
		if keep[design.Base] {
			if old := before.areaNamed(p.ID); old != nil {
				a.latticeEnd = old.latticeEnd
			}
		}
		l.bases = append(l.bases, a)
	}
	each(design.Rest, l.rest)
	each(design.GuidePlate, l.guidePlate)
	for _, p := range d.Of(design.MinorConnector) {
		if _, strut := l.struts(p); !strut && l.absent(p) == 0 {
			l.minor[p.ID] = l.stand(p)
		}
	}
	// What stands at the ends of the connector may reach farther now.
	l.reach[0], l.reach[1], _ = l.reachOfConnector()
	if before != nil && l.reach != before.reach {
		for k, on := range leans {
			keep[k] = keep[k] && k != design.MajorConnector && !slices.Contains(on, design.MajorConnector)
		}
	}
	each(design.MajorConnector, l.major)
	each(design.Base, l.base)
	each(design.MinorConnector, l.minorConnector)
	each(design.Retainer, l.retainer)
	each(design.Reciprocation, l.reciprocation)
	each(design.TissueStop, l.tissueStop)
	each(design.FinishLine, l.finishLine)
	each(design.ReplacementTooth, l.replacement)
	p := &Placement{made: l, Path: g.path, Crowns: map[tooth.Number]survey.Crown{}, ground: g, design: d, limits: l.lim}
	l.seeWhole(p)
	for _, q := range d.Parts {
		p.Parts = append(p.Parts, *l.parts[q.ID])
	}
	for n := range l.carrying() {
		if k := g.crown(n); k != nil {
			p.Crowns[n] = k.Crown
		}
	}
	p.Measures = l.whole
	return p, nil
}

// absent is the first tooth a part stands on that is not on the cast, or 0.
func (l *layout) absent(p design.Part) tooth.Number {
	on := func(n tooth.Number) bool { return n == 0 || l.g.crown(n) != nil }
	switch p.Kind {
	case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
		if p.Tooth == 0 || !on(p.Tooth) {
			return p.Tooth
		}
	case design.MinorConnector:
		charted := false
		for _, n := range p.At {
			if n != 0 && !l.g.stands(n) {
				return n
			}
			charted = charted || l.g.crown(n) != nil
		}
		if len(p.At) > 0 && !charted {
			return p.At[0]
		}
	}
	return 0
}

func (l *layout) whyAbsent(n tooth.Number) words.Text {
	if err := l.g.bad[n]; err != nil {
		return words.Tell("tooth %v could not be charted: %v", n, err)
	}
	return words.Tell("tooth %v does not stand on this cast", n)
}

// carrying are the standing teeth that carry a part.
func (l *layout) carrying() map[tooth.Number]bool {
	out := map[tooth.Number]bool{}
	add := func(n tooth.Number) {
		if l.g.stands(n) {
			out[n] = true
		}
	}
	for _, p := range l.d.Parts {
		switch p.Kind {
		case design.ReplacementTooth, design.Base:
			continue
		}
		add(p.Tooth)
		for _, n := range p.At {
			add(n)
		}
		for _, n := range p.Teeth {
			add(n)
		}
	}
	return out
}

// dimension is a part's chosen measure, or the default.
func dimension(p design.Part, name string, otherwise float64) float64 {
	if v, ok := p.Dimensions[name]; ok && v > 0 {
		return v
	}
	return otherwise
}

// measure writes down a length read on the cast.
func (l *layout) measure(q *Placed, name string, v float64, n tooth.Number, from, to geom.Vec) {
	l.note(q, name, l.g.length(v), n, from, to)
}

// ratio writes down a number without a unit; angle one in degrees; planned a length that
// is a decision and not read on the cast.
func (l *layout) ratio(q *Placed, name string, v float64, n tooth.Number) {
	l.note(q, name, unit.Quantity{Value: v, Origin: l.g.cast.Origin}, n, geom.Vec{}, geom.Vec{})
}

func (l *layout) angle(q *Placed, name string, v float64, n tooth.Number, from, to geom.Vec) {
	l.note(q, name, unit.Quantity{Value: v, Unit: "deg", Origin: l.g.cast.Origin}, n, from, to)
}

func (l *layout) planned(q *Placed, name string, v float64, n tooth.Number) {
	l.note(q, name, unit.MM(v, unit.Computed, 0), n, geom.Vec{}, geom.Vec{})
}

func (l *layout) note(q *Placed, name string, v unit.Quantity, n tooth.Number, from, to geom.Vec) {
	if math.IsNaN(v.Value) || math.IsInf(v.Value, 0) {
		return
	}
	q.Measures = append(q.Measures, Measure{Name: name, Label: Label(name), Quantity: v, Tooth: n, From: from, To: to})
}

// short says that a part is laid short of a limit, and why; the sentence is English, its
// German stands in package words (see words.Tell).
func (q *Placed) short(name string, wanted, got float64, n tooth.Number, why string) {
	q.Shortfalls = append(q.Shortfalls, Shortfall{Measure: name, Wanted: wanted, Got: got, Tooth: n, Why: words.Tell(why)})
}

// curve makes a curve with section sizes that run evenly from root to tip.
func (l *layout) curve(role CurveRole, line, out []geom.Vec, sec Section, w0, w1, t0, t1 float64) Curve {
	c := Curve{Role: role, Points: line, Out: out, Section: sec}
	c.Width, c.Thickness = make([]float64, len(line)), make([]float64, len(line))
	w := geom.NewWalk(line)
	total := w.Length()
	run := 0.0
	for i := range line {
		if i > 0 {
			run += line[i].Dist(line[i-1])
		}
		f := 0.0
		if total > 0 {
			f = run / total
		}
		c.Width[i], c.Thickness[i] = w0+f*(w1-w0), t0+f*(t1-t0)
	}
	return c
}

// area is the edentulous stretch a base stands on. Stations run along the arch; going
// from the abutment away from it adds dir.
type area struct {
	part       design.Part
	teeth      []tooth.Number // every missing tooth of the stretch, from the abutment on
	abutment   tooth.Number   // 0 where no tooth bounds the stretch
	far        tooth.Number   // the other abutment, 0 at a free end
	from, to   float64        // stations of the abutment's and of the far side's end
	dir        float64
	right      bool // the free end is on the patient's right
	crest      []geom.Vec
	at         []float64 // station of each crest point
	latticeEnd float64   // how far along the crest the lattice reaches [mm]
}

func (a *area) extension() bool { return a.far == 0 }

// areaOf finds the stretch of a base.
func (l *layout) areaOf(p design.Part) *area {
	g := l.g
	a := &area{part: p}
	if len(p.Teeth) == 0 {
		return a
	}
	lo, hi := 16, -1
	for _, n := range p.Teeth {
		lo, hi = min(lo, n.Index()), max(hi, n.Index())
	}
	for lo > 0 && !g.stands(tooth.At(g.cast.Arch, lo-1)) {
		lo--
	}
	for hi < 15 && !g.stands(tooth.At(g.cast.Arch, hi+1)) {
		hi++
	}
	before, after := tooth.At(g.cast.Arch, lo-1), tooth.At(g.cast.Arch, hi+1)
	end := g.arch.Length()
	s0, s1 := 0.0, end
	if before != 0 {
		s0 = g.ridgeEdge(before, +1)
	}
	if after != 0 {
		s1 = g.ridgeEdge(after, -1)
	}
	if before == 0 {
		s0 = g.ridgeEnd(true)
	}
	if after == 0 {
		s1 = g.ridgeEnd(false)
	}
	switch {
	case before != 0:
		a.abutment, a.far, a.from, a.to, a.dir = before, after, s0, s1, 1
		a.right = false
	case after != 0:
		a.abutment, a.from, a.to, a.dir = after, s1, s0, -1
		a.right = true
	default:
		a.from, a.to, a.dir = s0, s1, 1
	}
	for i := lo; i <= hi; i++ {
		a.teeth = append(a.teeth, tooth.At(g.cast.Arch, i))
	}
	if a.dir < 0 {
		for i, j := 0, len(a.teeth)-1; i < j; i, j = i+1, j-1 {
			a.teeth[i], a.teeth[j] = a.teeth[j], a.teeth[i]
		}
	}
	n := max(2, int(math.Abs(a.to-a.from)/g.step)+1)
	for i := 0; i < n; i++ {
		s := a.from + (a.to-a.from)*float64(i)/float64(n-1)
		a.at = append(a.at, s)
		a.crest = append(a.crest, g.snapSoft(g.crestAt(g.arch.At(s), g.tangent(s))))
	}
	return a
}

// ridgeEdge is the station where the tooth n ends on the side of dir.
func (g *ground) ridgeEdge(n tooth.Number, dir float64) float64 {
	t := g.cast.Teeth[n]
	best := math.Inf(-1)
	for _, p := range t.Margin {
		best = math.Max(best, dir*g.stationOf(p))
	}
	for _, p := range []geom.Vec{t.MesialContact, t.DistalContact} {
		if p != (geom.Vec{}) {
			best = math.Max(best, dir*g.stationOf(p))
		}
	}
	return dir * best
}

// ridgeEnd is the station at which a free end's ridge meets the pad or tuberosity's
// front (lower), or the tuberosity's far end (upper); the arch's end where neither is
// known.
func (g *ground) ridgeEnd(right bool) float64 {
	pad := g.cast.Marks.Pad(right)
	end := g.arch.Length()
	if right {
		end = 0
	}
	if !pad.Known() {
		return end
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pad.Points {
		s := g.stationOf(p)
		lo, hi = math.Min(lo, s), math.Max(hi, s)
	}
	front, back := lo, hi
	if right {
		front, back = hi, lo
	}
	if g.cast.Arch == tooth.Upper {
		return back
	}
	return front
}

// along is the place at a length from the abutment along the crest, and its station.
func (a *area) along(s float64) (geom.Vec, float64) {
	if len(a.crest) == 0 {
		return geom.Vec{}, a.from
	}
	gone := 0.0
	for i := 1; i < len(a.crest); i++ {
		d := a.crest[i].Dist(a.crest[i-1])
		if gone+d >= s && d > 0 {
			f := (s - gone) / d
			return a.crest[i-1].Lerp(a.crest[i], f), a.at[i-1] + f*(a.at[i]-a.at[i-1])
		}
		gone += d
	}
	return a.crest[len(a.crest)-1], a.at[len(a.at)-1]
}

func (a *area) length() float64 { return geom.Length(a.crest) }

// of is the stretch of a base, found by the base's ID.
func (l *layout) areaNamed(id design.ID) *area {
	for _, a := range l.bases {
		if a.part.ID == id {
			return a
		}
	}
	return nil
}

// beside is the stretch next to a tooth on its mesial or distal side, or nil.
func (l *layout) beside(n tooth.Number, mesial bool) *area {
	m := n.Distal()
	if mesial {
		m = n.Mesial()
	}
	if m == 0 {
		return nil
	}
	for _, a := range l.bases {
		for _, t := range a.teeth {
			if t == m {
				return a
			}
		}
	}
	return nil
}

// nearSide tells on which side of a tooth its space lies: the extension if there is one,
// else the distal one; ok is false between two neighbours.
func (l *layout) nearSide(n tooth.Number) (mesial bool, a *area, ok bool) {
	d, m := l.beside(n, false), l.beside(n, true)
	switch {
	case d != nil && d.extension():
		return false, d, true
	case m != nil && m.extension():
		return true, m, true
	case d != nil:
		return false, d, true
	case m != nil:
		return true, m, true
	}
	return false, nil, false
}

// restsOn lists the rests on a tooth in the design's order.
func (l *layout) restsOn(n tooth.Number) []design.Part { return l.d.On(design.Rest, n) }

func sortedTeeth(m map[tooth.Number]bool) []tooth.Number {
	var out []tooth.Number
	for n := range m {
		out = append(out, n)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Index() < out[j].Index() })
	return out
}
