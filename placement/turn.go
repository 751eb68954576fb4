package placement

import (
	"math"
	"slices"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// Turn is a rotational path of insertion swept on the cast: the rigid retainers seat first,
// then the framework turns about the axis through their rotation centres until it is seated
// (Jacobson, J Prosthet Dent 1994;71:271; Krol and Finzen, Int J Prosthodont 1988;1:135).
type Turn struct {
	Axis [2]geom.Vec // the rotation centres, or the ends of the axis through the only one
	// Gingival says that the centres are the gingival ends of the rigid retainers, which go
	// in on a straight path first (category II); else they are the ends of the rests on
	// which the framework hinges (category I).
	Gingival bool
	FreeDeg  float64 // turned back so far from where it is seated, the framework comes off straight
	LeanDeg  float64 // of that straight way to the path of insertion; + leans away from the end that rises
	Deepest  float64 // how deep the rigid metal comes into the cast on the way [mm]
	Place    geom.Vec
	Tooth    tooth.Number // that stands there, 0 on the gum
	Part     design.ID    // that comes in there
	Engaged  float64      // how deep the rigid retainers stand in undercut that a straight lift meets [mm]
}

const (
	turnStep     = 1.0  // of the sweep [deg]
	turnMost     = 40.0 // farther back no mouth opens [deg]
	turnSampling = 1.0  // between the points of the metal that are followed [mm]
	straightFar  = 6.0  // of the straight path tried at each angle [mm]
	straightStep = 0.5
	straightLean = 40.0 // of that path to the path of insertion, either way [deg]
)

// followed is a point of the underside of rigid metal.
type followed struct {
	at   geom.Vec
	part design.ID
	hook bool // of a rigid retainer that seats first
	// slack is how deep the point comes into the cast without turning: in its seat, and for
	// what does not seat first on the straight way up too, as far as the block-out under it
	// is coarser than the cast.
	slack float64
}

// turning sweeps points about an axis over a surface.
type turning struct {
	surface *cast.Surface
	up      geom.Vec // the path of insertion
	centre  geom.Vec
	axis    geom.Vec // unit; a positive angle lifts the other end
	metal   []followed
}

// hit is the deepest place of metal in a cast.
type hit struct {
	depth float64
	at    geom.Vec // on the metal
	part  design.ID
}

func (h hit) deeper(o hit) hit {
	if o.depth > h.depth {
		return o
	}
	return h
}

// into is how deep a place lies in the solid under the surface.
func into(s *cast.Surface, p geom.Vec) float64 {
	if _, up, ok := s.Over(p); !ok || !up {
		return 0
	}
	q, f := s.Nearest(p)
	if f < 0 {
		return 0
	}
	return q.Dist(p)
}

func (t *turning) turned(p geom.Vec, deg float64) geom.Vec {
	return t.centre.Add(geom.RotateAbout(p.Sub(t.centre), t.axis, geom.Deg(deg)))
}

// at is the deepest place at an angle, moved by from there. It looks no further once it
// has found one as deep as enough.
func (t *turning) at(deg float64, by geom.Vec, enough float64, takes func(m followed) bool) hit {
	var worst hit
	for _, m := range t.metal {
		if takes != nil && !takes(m) {
			continue
		}
		p := t.turned(m.at, deg).Add(by)
		if d := into(t.surface, p) - m.slack; d > worst.depth {
			if worst = (hit{d, p, m.part}); d >= enough {
				break
			}
		}
	}
	return worst
}

// off is the deepest place met on the freest straight way off at an angle, across the axis,
// and how that leans to the path of insertion; only ways freer than enough count.
func (t *turning) off(deg, enough float64) (best hit, lean float64) {
	best.depth = enough
	for a := -straightLean; a <= straightLean; a += 10 {
		way := geom.RotateAbout(t.up, t.axis, geom.Deg(a))
		var worst hit
		for s := straightStep; s <= straightFar && worst.depth < best.depth; s += straightStep {
			worst = worst.deeper(t.at(deg, way.Scale(s), best.depth, nil))
		}
		if worst.depth < best.depth {
			best, lean = worst, a
		}
	}
	return best, lean
}

// engaged is how deep the points that seat first come into the cast when the seated
// framework is lifted straight.
func (t *turning) engaged() float64 {
	var worst hit
	for s := straightStep / 2; s <= straightFar; s += straightStep / 2 {
		worst = worst.deeper(t.at(0, t.up.Scale(s), math.Inf(1), func(m followed) bool { return m.hook }))
	}
	return worst.depth
}

// sweep turns the framework back from where it is seated. It gives the angle from which it
// comes off straight with the least interference, how that way leans to the path, and the
// deepest interference on either.
func (t *turning) sweep() (deg, lean float64, best hit) {
	const worth = 0.01 // less gained is worth no more turning
	best.depth = math.Inf(1)
	var way hit
	for d := turnStep; d <= turnMost; d += turnStep {
		if way = way.deeper(t.at(d, geom.Vec{}, math.Inf(1), nil)); way.depth >= best.depth-worth {
			break
		}
		off, a := t.off(d, best.depth-worth)
		if all := way.deeper(off); all.depth < best.depth-worth {
			deg, lean, best = d, a, all
		}
	}
	return deg, lean, best
}

// turn sweeps the rotational path of a design that has one.
func (l *layout) turn(p *Placement) {
	first := map[tooth.Number]bool{} // teeth whose retainers seat first
	for _, q := range l.d.Of(design.GuidePlate) {
		if q.SeatsFirst() && len(l.parts[q.ID].Patches) > 0 {
			first[q.Tooth] = true
		}
	}
	if len(first) == 0 {
		return
	}
	var here, there []geom.Vec
	for _, r := range l.d.Of(design.Rest) {
		if c, ok := l.parts[r.ID].seatCentre(); ok && first[r.Tooth] {
			here = append(here, c)
		} else if ok {
			there = append(there, c)
		}
	}
	if len(here) == 0 || len(there) == 0 {
		return
	}
	away := middle(there).Sub(middle(here)).Across(l.g.up).Unit()
	metal := l.rigidMetal(first)
	for _, gingival := range []bool{false, true} {
		ends := l.rotationCentres(first, away, gingival)
		if len(ends) == 0 {
			continue
		}
		a, b := ends[0], ends[len(ends)-1]
		axis := b.Sub(a)
		if axis.Norm() < 5 { // on one tooth, or two beside each other
			mid := a.Lerp(b, 0.5)
			axis = l.g.up.Cross(away)
			a, b = mid.Sub(axis.Scale(10)), mid.Add(axis.Scale(10))
		}
		t := turning{surface: l.g.surface, up: l.g.up, centre: a, axis: axis.Unit(), metal: metal}
		if t.turned(middle(there), 1).Sub(middle(there)).Dot(l.g.up) < 0 {
			t.axis = t.axis.Neg()
		}
		deg, lean, worst := t.sweep()
		if p.Turn != nil && p.Turn.Deepest <= worst.depth {
			continue
		}
		p.Turn = &Turn{Axis: [2]geom.Vec{a, b}, Gingival: gingival, FreeDeg: deg, LeanDeg: lean, Deepest: worst.depth, Part: worst.part, Engaged: t.engaged()}
		q, f := l.g.surface.Nearest(worst.at)
		if p.Turn.Place = q; f >= 0 && worst.depth > 0 {
			p.Turn.Tooth = l.g.cast.Labels[f]
		}
	}
	if p.Turn == nil {
		return
	}
	for _, q := range l.d.Of(design.GuidePlate) {
		if placed := l.parts[q.ID]; q.SeatsFirst() && len(placed.Patches) > 0 {
			l.measure(placed, "turn_engaged", p.Turn.Engaged, q.Tooth, geom.Vec{}, geom.Vec{})
			l.angle(placed, "turn_free_deg", p.Turn.FreeDeg, q.Tooth, p.Turn.Axis[0], p.Turn.Axis[1])
		}
	}
	l.wholeNote("turn_interference", l.g.length(p.Turn.Deepest), p.Turn.Tooth, p.Turn.Place, p.Turn.Place)
	l.wholeNote("turn_engaged", l.g.length(p.Turn.Engaged), 0, geom.Vec{}, geom.Vec{})
	l.wholeNote("turn_free_deg", unit.Quantity{Value: p.Turn.FreeDeg, Unit: "deg", Origin: l.g.cast.Origin, Spread: turnStep / 2}, 0, p.Turn.Axis[0], p.Turn.Axis[1])
}

// rotationCentres are where the framework hinges on the teeth whose retainers seat first,
// from the patient's right to the left: at the end of a rest from which the framework lifts
// last, or at the gingival end of the rigid retainer.
func (l *layout) rotationCentres(first map[tooth.Number]bool, away geom.Vec, gingival bool) []geom.Vec {
	var out []geom.Vec
	for _, n := range sortedTeeth(first) {
		best, least := geom.Vec{}, math.Inf(1)
		take := func(p geom.Vec, v float64) {
			if v < least {
				best, least = p, v
			}
		}
		k := l.g.crown(n)
		if gingival {
			for _, q := range l.d.On(design.GuidePlate, n) {
				if b := l.bandOf(q, k); q.SeatsFirst() {
					mid := (b.facial + b.lingual) / 2
					low := k.at(mid, b.low(mid))
					take(low, low.Dot(l.g.up))
				}
			}
		} else {
			for _, r := range l.d.On(design.Rest, n) {
				for _, a := range l.parts[r.ID].Patches {
					if a.Role == Floor {
						for _, v := range a.Outline {
							take(v, v.Dot(away))
						}
					}
				}
			}
		}
		if !math.IsInf(least, 1) {
			out = append(out, best)
		}
	}
	return out
}

// rigidMetal are points of the underside of everything that does not give, as it stands
// when seated: the retainers that seat first on the teeth as they are, the rest off what is
// blocked out parallel to the path, and off by its relief. Seats are not followed, for the
// cast does not show them cut, nor are bases and teeth.
func (l *layout) rigidMetal(first map[tooth.Number]bool) []followed {
	var out []followed
	add := func(p geom.Vec, id design.ID, hook bool, lift float64) {
		n := l.g.normal(p)
		if !hook {
			p = p.Add(n.Across(l.g.up).Unit().Scale(l.g.undercutAt(l.g.survey, p)))
		}
		m := followed{at: p.Add(n.Scale(lift)), part: id, hook: hook}
		m.slack = into(l.g.surface, m.at)
		for s := straightStep; s <= straightFar && !hook; s += straightStep {
			m.slack = math.Max(m.slack, into(l.g.surface, m.at.Add(l.g.up.Scale(s))))
		}
		out = append(out, m)
	}
	for _, p := range l.d.Parts {
		q := l.parts[p.ID]
		hook := p.Kind == design.GuidePlate && p.SeatsFirst() && first[p.Tooth]
		for _, c := range q.Curves {
			if c.Role != Rigid && c.Role != BarLine {
				continue
			}
			lift := 0.0
			if m, ok := q.Measure("connector_relief", 0); ok {
				lift = m.Quantity.Value
			}
			for _, v := range geom.Resample(c.Points, max(2, int(geom.Length(c.Points)/turnSampling)+1)) {
				add(v, p.ID, false, lift)
			}
		}
		for _, a := range q.Patches {
			if a.Role != Plate || len(a.Outline) < 3 {
				continue
			}
			for _, v := range l.inPatch(a, p.Kind == design.MajorConnector) {
				// Below its contact with the tooth and on the gum it holds nothing: what lies there
				// in undercut is blocked out.
				add(v, p.ID, hook && l.inContact(p, v), a.Lift)
			}
		}
	}
	return out
}

// inContact tells whether a place of a guide plate lies where it touches its tooth.
func (l *layout) inContact(p design.Part, v geom.Vec) bool {
	k := l.g.crown(p.Tooth)
	_, f := l.g.surface.Nearest(v)
	if k == nil || f < 0 || l.g.cast.Labels[f] != p.Tooth {
		return false
	}
	deg, h := k.locate(v)
	return h >= l.bandOf(p, k).low(deg)-0.1
}

// inPatch are points of a patch and its outline: of one that lies flat over the gum on a
// grid, of one that stands on a tooth on lines from its middle.
func (l *layout) inPatch(a Patch, flatly bool) []geom.Vec {
	var out []geom.Vec
	for _, v := range densely(a.Outline, turnSampling) {
		out = append(out, l.g.snap(v))
	}
	if !flatly {
		mid := l.g.snap(middle(a.Outline))
		for _, f := range []float64{0.3, 0.65} {
			for _, v := range densely(a.Outline, 1.5*turnSampling) {
				out = append(out, l.g.snap(mid.Lerp(v, f)))
			}
		}
		return append(out, mid)
	}
	rim, box := flat(a.Outline), geom.BoxOf(a.Outline)
	var holes [][]geom.Vec2
	for _, h := range a.Holes {
		holes = append(holes, flat(h))
	}
	for y := box.Min.Y; y <= box.Max.Y; y += 1.5 * turnSampling {
		for x := box.Min.X; x <= box.Max.X; x += 1.5 * turnSampling {
			p := geom.Vec2{X: x, Y: y}
			if !geom.Contains2(rim, p) || slices.ContainsFunc(holes, func(h []geom.Vec2) bool { return geom.Contains2(h, p) }) {
				continue
			}
			if q, ok := l.g.drop(x, y); ok {
				out = append(out, q)
			}
		}
	}
	return out
}

func middle(list []geom.Vec) geom.Vec {
	var sum geom.Vec
	for _, v := range list {
		sum = sum.Add(v)
	}
	return sum.Scale(1 / float64(len(list)))
}
