package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// read measures an upper connector against the margins, the vibrating line, the midline
// and its own mirror.
func (a *palate) read(q *Placed) {
	l, g := a.l, a.l.g
	shape := l.palat
	type near struct {
		v        float64
		from, to geom.Vec
	}
	least := map[tooth.Number]near{}
	for _, pr := range g.lingual {
		if pr.tooth == 0 || a.plated[pr.tooth] || !pr.known() || a.besideBase(pr) {
			continue
		}
		t, in := first(0, math.Min(pr.length(), 16), 0.6, func(t float64) bool { return shape.covers(pr.point(t).XY()) })
		if o, ok := least[pr.tooth]; in && (!ok || t < o.v) {
			least[pr.tooth] = near{t, pr.points[0], pr.point(t)}
		}
	}
	tightest, at := math.Inf(1), tooth.Number(0)
	start, first := len(q.Measures), -1
	for _, n := range g.cast.Standing() {
		if m, ok := least[n]; ok {
			l.measure(q, "border_to_margin", m.v, n, m.from, m.to)
			if m.v < tightest {
				tightest, at, first = m.v, n, len(q.Measures)-1
			}
		}
	}
	if first > start {
		q.Measures[start], q.Measures[first] = q.Measures[first], q.Measures[start]
	}
	if tightest < a.clear-0.15 {
		q.short("border_to_margin", a.clear, tightest, at, "the connector has to join a part that stands nearer to this tooth")
	}
	var rear, front []geom.Vec
	for _, c := range q.Curves {
		if c.Role == Border && !c.Closed {
			if front == nil {
				front = c.Points
			} else if rear == nil {
				rear = c.Points
			}
		}
	}
	if len(rear) > 2 && q.Part.Form != design.UShaped {
		clear := math.Inf(1)
		var from, to geom.Vec
		for _, p := range rear {
			if y, ok := a.vibratingY(p.X); ok && math.Abs(p.X) < 18 && p.Y-y < clear {
				clear, from, to = p.Y-y, p, geom.V(p.X, y, p.Z)
			}
		}
		if !math.IsInf(clear, 1) {
			l.measure(q, "border_to_vibrating_line", clear, 0, from, to)
		}
		for i := 1; i < len(rear); i++ {
			if rear[i-1].X*rear[i].X <= 0 && rear[i].X != rear[i-1].X {
				d := rear[i].Sub(rear[i-1])
				l.angle(q, "midline_crossing_deg", geom.InDeg(math.Atan2(math.Abs(d.X), math.Abs(d.Y))), 0, rear[i-1], rear[i])
				break
			}
		}
		worst := 0.0
		for _, line := range [][]geom.Vec{front, rear} {
			for x := 1.0; x < 16; x++ {
				y0, ok := yOn(line, x)
				y1, ok2 := yOn(line, -x)
				if ok && ok2 {
					worst = math.Max(worst, math.Abs(y0-y1))
				}
			}
		}
		l.measure(q, "asymmetry", worst, 0, geom.Vec{}, geom.Vec{})
	}
	a.readRugae(q, front)
	if q.Part.Form == design.PalatalBar {
		a.l.ratio(q, "front_of_second_premolar", a.frontOfSecondPremolar(), 0)
	}
	a.readCover(q)
}

// ruga is how far the palate at a place stands proud of the places in front of and behind
// it: above zero on the crest of a ruga, below in a valley.
func (g *ground) ruga(x, y float64) (float64, bool) {
	const beside = 1.2
	at, ok := g.dropSoft(x, y)
	fore, ok2 := g.dropSoft(x, y+beside)
	aft, ok3 := g.dropSoft(x, y-beside)
	return at.Z - (fore.Z+aft.Z)/2, ok && ok2 && ok3
}

// overRugae is the mean of ruga over the points of a border that lie among the rugae,
// moved forward by a little; false where too few do.
func (a *palate) overRugae(line []geom.Vec, forward float64) (float64, bool) {
	zone := a.l.g.cast.Marks.Rugae
	if !zone.Known() {
		return 0, false
	}
	rim := flat(zone.Points)
	sum, n := 0.0, 0
	for _, p := range line {
		v := geom.Vec2{X: p.X, Y: p.Y + forward}
		if !geom.Contains2(rim, v) {
			continue
		}
		if r, ok := a.l.g.ruga(v.X, v.Y); ok {
			sum, n = sum+r, n+1
		}
	}
	if n < 4 {
		return 0, false
	}
	return sum / float64(n), true
}

// intoValley moves the middle of a front border by no more than 1.5 mm, so that it runs
// in a valley between rugae.
func (a *palate) intoValley(right, left geom.Vec, y float64) float64 {
	best, at := math.Inf(1), y
	line := a.across(right, left, y)
	for d := -1.5; d <= 1.5; d += 0.25 {
		if r, ok := a.overRugae(line, d); ok && r+0.01*math.Abs(d) < best {
			best, at = r+0.01*math.Abs(d), y+d
		}
	}
	return at
}

// readRugae tells whether the front border runs on a crest of the rugae.
func (a *palate) readRugae(q *Placed, front []geom.Vec) {
	const crest = 0.1
	if r, ok := a.overRugae(front, 0); ok {
		on := 0.0
		if r > crest {
			on = 1
		}
		a.l.ratio(q, "on_rugae_crest", on, 0)
	}
}

// frontOfSecondPremolar is 1 where the connector's front border lies in front of a second
// premolar's place, else 0.
func (a *palate) frontOfSecondPremolar() float64 {
	for side := 0; side < 2; side++ {
		first := tooth.Number(14)
		if side == 1 {
			first = 24
		}
		if a.l.g.stands(first) {
			far := a.l.g.spans[first][0] // its distal end: nearer to the arch's start on the right
			if side == 1 {
				far = a.l.g.spans[first][1]
			}
			if a.front[side] < math.Abs(far-a.mid)-0.5 {
				return 1
			}
		}
	}
	return 0
}

// besideBase tells whether a profile stands at the end of a tooth that a base adjoins:
// there the connector comes up to the guide plate.
func (a *palate) besideBase(pr profile) bool { return a.within(pr, 0.65) }

// within tells whether a profile stands within a share of its tooth's width from the end
// that a base adjoins.
func (a *palate) within(pr profile, share float64) bool {
	sp := a.l.g.spans[pr.tooth]
	for _, x := range a.l.bases {
		if x.abutment == pr.tooth || x.far == pr.tooth {
			near := sp[0]
			if math.Abs(x.from-sp[1]) < 1.5 || math.Abs(x.to-sp[1]) < 1.5 {
				near = sp[1]
			}
			if math.Abs(pr.at-near) < share*(sp[1]-sp[0]) {
				return true
			}
		}
	}
	return false
}

func yOn(line []geom.Vec, x float64) (float64, bool) {
	for i := 1; i < len(line); i++ {
		p, q := line[i-1], line[i]
		if (p.X-x)*(q.X-x) <= 0 && p.X != q.X {
			return p.Y + (x-p.X)/(q.X-p.X)*(q.Y-p.Y), true
		}
	}
	return 0, false
}

// readCover measures the share of the hard palate under the connector: of what lies
// inside the palatal margins and crests in front of the vibrating line.
func (a *palate) readCover(q *Placed) {
	g := a.l.g
	var rim []geom.Vec2
	for _, pr := range g.lingual {
		if pr.known() {
			rim = append(rim, pr.points[0].XY())
		}
	}
	all, in := 0, 0
	var box geom.Box = geom.EmptyBox()
	for _, v := range rim {
		box = box.Add(geom.V(v.X, v.Y, 0))
	}
	for y := box.Min.Y; y < box.Max.Y; y += 1.2 {
		for x := box.Min.X; x < box.Max.X; x += 1.2 {
			v := geom.Vec2{X: x, Y: y}
			if !geom.Contains2(rim, v) {
				continue
			}
			if yv, ok := a.vibratingY(x); ok && y < yv {
				continue
			}
			all++
			if a.l.palat.covers(v) {
				in++
			}
		}
	}
	if all > 0 {
		a.l.note(q, "palate_covered_share", unit.Quantity{Value: float64(in) / float64(all), Origin: g.cast.Origin}, 0, geom.Vec{}, geom.Vec{})
	}
}
