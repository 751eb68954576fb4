package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// palateShape is an upper connector seen from the occlusal.
type palateShape struct {
	outline []geom.Vec2
	holes   [][]geom.Vec2
}

func (p *palateShape) covers(q geom.Vec2) bool {
	if !geom.Contains2(p.outline, q) {
		return false
	}
	for _, h := range p.holes {
		if geom.Contains2(h, q) {
			return false
		}
	}
	return true
}

// first is the first place from x on, before end, where ok holds, sought in steps and
// then to a hundredth; false where it holds nowhere.
func first(x, end, step float64, ok func(float64) bool) (float64, bool) {
	if ok(x) {
		return x, true
	}
	for x < end {
		next := math.Min(x+step, end)
		if ok(next) {
			for next-x > 0.01 {
				if m := (x + next) / 2; ok(m) {
					next = m
				} else {
					x = m
				}
			}
			return next, true
		}
		x = next
	}
	return end, false
}

// palate gathers what an upper connector is laid out from. Places along the arch are
// given as r, the distance from the midline; side is -1 on the patient's right (toward
// the arch's start) and +1 on the left.
type palate struct {
	l         *layout
	part      design.Part
	mid       float64 // station of the midline
	clear     float64
	front     [2]float64 // least r that has to be joined, right and left
	back      [2]float64 // greatest
	plated    map[tooth.Number]bool
	posterior float64    // clearance to the vibrating line
	unseen    int        // points of borders over what the scan does not show
	guarded   []geom.Vec // the gingival margins that borders keep clear of
}

func (l *layout) newPalate(p design.Part) (*palate, bool) {
	g := l.g
	a := &palate{l: l, part: p, clear: dimension(p, "border_to_margin", l.lim.PalateMarginClear), plated: map[tooth.Number]bool{}}
	a.posterior = dimension(p, "posterior_clear", l.lim.PalatePosteriorClear)
	for _, n := range p.Teeth {
		if g.stands(n) {
			a.plated[n] = true
		}
	}
	a.mid = g.midline()
	inf := math.Inf(1)
	a.front, a.back = [2]float64{inf, inf}, [2]float64{-inf, -inf}
	add := func(s0, s1 float64) {
		for _, s := range []float64{s0, s1} {
			i, r := 0, a.mid-s
			if s > a.mid {
				i, r = 1, s-a.mid
			}
			a.front[i], a.back[i] = math.Min(a.front[i], r), math.Max(a.back[i], r)
		}
		if (s0-a.mid)*(s1-a.mid) < 0 {
			a.front = [2]float64{0, 0}
		}
	}
	for _, u := range l.minor {
		if u != nil {
			add(u.station-1.6, u.station+1.6)
		}
	}
	for _, x := range l.bases {
		if len(x.crest) > 1 {
			add(x.from, x.to)
		}
	}
	ok := a.back[0] > 0 || a.back[1] > 0
	for i := range a.front {
		// A side with nothing to join borrows the other side's place.
		if math.IsInf(a.front[i], 1) {
			a.front[i], a.back[i] = a.front[1-i], a.back[1-i]
		}
	}
	for _, n := range g.cast.Standing() {
		if a.plated[n] {
			continue
		}
		for _, p := range geom.ResampleClosed(g.cast.Teeth[n].Margin, 48) {
			if !a.within(profile{at: g.stationOf(p), tooth: n}, 0.55) {
				a.guarded = append(a.guarded, p)
			}
		}
	}
	return a, ok
}

// keep moves a border off the margins of the teeth it passes, over the palate, until it
// is clear of them on all sides.
func (a *palate) keep(line []geom.Vec) []geom.Vec {
	want := a.clear + 0.05
	for i := range line {
		for round := 0; round < 6; round++ {
			near, at := math.Inf(1), geom.Vec{}
			for _, m := range a.guarded {
				if d := m.Sub(line[i]); d.Dot(d) < near {
					near, at = d.Dot(d), m
				}
			}
			near = math.Sqrt(near)
			if near >= want {
				break
			}
			away := line[i].Sub(at)
			away.Z = 0
			if away.Norm() < 0.5 {
				away = a.l.g.inward(a.l.g.tangent(a.l.g.stationOf(at)))
			}
			q := line[i].Add(away.Unit().Scale(want - near + 0.05))
			if p, ok := a.l.g.dropSoft(q.X, q.Y); ok {
				q = p
			}
			line[i] = q
		}
	}
	return line
}

// behind is the greatest r that a border may reach on a side: the far end of what stands
// or is replaced there.
func (a *palate) behind(side int) float64 {
	r := 0.0
	add := func(s float64) {
		if d := s - a.mid; (d > 0) == (side == 1) {
			r = math.Max(r, math.Abs(d))
		}
	}
	for _, n := range a.l.g.cast.Standing() {
		add(a.l.g.spans[n][0])
		add(a.l.g.spans[n][1])
	}
	for _, x := range a.l.bases {
		if len(x.crest) > 1 {
			add(x.from)
			add(x.to)
		}
	}
	return r
}

func (a *palate) station(side int, r float64) float64 {
	if side == 0 {
		return math.Max(0, a.mid-r)
	}
	return math.Min(a.l.g.arch.Length(), a.mid+r)
}

// run is how far down the palatal profile the border lies at a station.
func (a *palate) run(s float64) float64 {
	pr := a.l.g.profileAt(s, lingualSide)
	if pr.tooth != 0 {
		return a.clear + 0.75 // what evening the border out may take
	}
	for _, x := range a.l.bases {
		if (s-x.from)*(s-x.to) <= 0 {
			return a.l.upperFinish(x)
		}
	}
	return a.clear
}

// edge is the border beside the teeth and ridges between two places of one side, from
// the first to the second, deeper by more than the border itself.
func (a *palate) edge(side int, r0, r1, deeper float64) []geom.Vec {
	g := a.l.g
	n := max(2, int(math.Abs(r1-r0)/0.9)+1)
	runs := make([]float64, n)
	at := make([]float64, n)
	for i := range runs {
		at[i] = a.station(side, r0+(r1-r0)*float64(i)/float64(n-1))
		runs[i] = a.run(at[i])
	}
	runs = a.even(runs, at)
	line := make([]geom.Vec, n)
	for i := range line {
		line[i] = g.on(at[i], runs[i]+deeper, lingualSide)
	}
	line = evenOpen(line, 10)
	for i := range line {
		line[i] = g.snapSoft(line[i])
	}
	if deeper == 0 {
		line = a.keep(line)
	}
	return line
}

// even smooths the border's runs without coming nearer to a tooth than its clearance.
func (a *palate) even(runs, at []float64) []float64 {
	n := len(runs)
	out := append([]float64{}, runs...)
	for i := range out {
		for j := max(0, i-3); j <= min(n-1, i+3); j++ {
			out[i] = math.Max(out[i], runs[j])
		}
	}
	for r := 0; r < 8; r++ {
		old := append([]float64{}, out...)
		for i := 1; i+1 < n; i++ {
			out[i] = 0.5*old[i] + 0.25*(old[i-1]+old[i+1])
		}
	}
	return out
}

// across draws a border over the palate between two lateral ends, square to the midline
// in the middle, where it crosses at y.
func (a *palate) across(right, left geom.Vec, y float64) []geom.Vec {
	const n = 28
	var line []geom.Vec
	for i := 0; i <= n; i++ {
		f := float64(i) / n
		x := right.X + (left.X-right.X)*f
		end, u := right, 0.0
		if (x > 0) == (left.X > 0) && x != 0 {
			end = left
		}
		if end.X != 0 {
			u = math.Min(1, math.Abs(x/end.X))
		}
		yy := y + (end.Y-y)*math.Pow(u, 2.4)
		p, ok := a.l.g.drop(x, yy)
		if !ok {
			p = geom.V(x, yy, right.Z+(left.Z-right.Z)*f)
			a.unseen++
		}
		line = append(line, p)
	}
	line[0], line[n] = right, left
	if a.unseen > 0 { // a gap in the scan is spanned evenly
		line = evenOpen(line, 12)
	}
	return a.keep(line)
}

// vibratingY is the y of the vibrating line at x; ok is false where it is not known.
func (a *palate) vibratingY(x float64) (float64, bool) {
	v := a.l.g.cast.Marks.Vibrating.Points
	if len(v) < 2 {
		return 0, false
	}
	best, d := v[0].Y, math.Inf(1)
	for i := 1; i < len(v); i++ {
		p, q := v[i-1], v[i]
		if (p.X-x)*(q.X-x) <= 0 && p.X != q.X {
			return p.Y + (x-p.X)/(q.X-p.X)*(q.Y-p.Y), true
		}
		for _, e := range []geom.Vec{p, q} {
			if dd := math.Abs(e.X - x); dd < d {
				d, best = dd, e.Y
			}
		}
	}
	return best, true
}

// hold keeps a rear border in front of the vibrating line by the clearance.
func (a *palate) hold(line []geom.Vec) []geom.Vec {
	for i, p := range line {
		if y, ok := a.vibratingY(p.X); ok && p.Y < y+a.posterior {
			if q, ok := a.l.g.drop(p.X, y+a.posterior); ok {
				line[i] = q
			} else {
				line[i].Y = y + a.posterior
			}
		}
	}
	return line
}

// back is the y of the rearmost place a border may cross the midline.
func (a *palate) rearLimit() float64 {
	if y, ok := a.vibratingY(0); ok {
		return y + a.posterior
	}
	return math.Inf(-1)
}

// upper lays a palatal connector by its form.
func (l *layout) upper(q *Placed) {
	a, ok := l.newPalate(q.Part)
	if !ok {
		q.short("strap_width", l.lim.StrapWidth, 0, 0, "the design has no base or upright connector for it to join")
		return
	}
	switch q.Part.Form {
	case design.UShaped:
		a.horseshoe(q)
	case design.APStrap, design.APBar:
		a.ring(q)
	default:
		a.strap(q)
	}
	if l.palat == nil {
		return
	}
	a.read(q)
	l.tori(q, func(p geom.Vec) bool { return l.palat.covers(p.XY()) })
	if a.unseen > 0 {
		q.short("palate_seen_share", 1, math.Max(0, 1-float64(a.unseen)/58), 0, "the scan does not show the whole palate under the connector; its borders there are drawn straight across")
	}
}

// acrossWidth is how wide a strap is at x, front to back along the palate.
func (g *ground) acrossWidth(front, rear []geom.Vec, x float64) (float64, geom.Vec, geom.Vec, bool) {
	at := func(line []geom.Vec) (geom.Vec, bool) {
		for i := 1; i < len(line); i++ {
			p, q := line[i-1], line[i]
			if (p.X-x)*(q.X-x) <= 0 && p.X != q.X {
				return p.Lerp(q, (x-p.X)/(q.X-p.X)), true
			}
		}
		return geom.Vec{}, false
	}
	a, ok := at(front)
	b, ok2 := at(rear)
	if !ok || !ok2 {
		return 0, a, b, false
	}
	return g.over(a, b), a, b, true
}

// back along the palate from each point of a border by a width, in planes of equal x.
func (a *palate) offset(line []geom.Vec, width float64, backward bool) []geom.Vec {
	g := a.l.g
	out := make([]geom.Vec, 0, len(line))
	head := geom.V(0, -1, 0)
	if !backward {
		head = geom.V(0, 1, 0)
	}
	for _, p := range line {
		s, f := g.surface.Nearest(p)
		if f < 0 {
			continue
		}
		w := g.walk(s, f, geom.V(1, 0, 0), head, width, nil)
		out = append(out, w[len(w)-1])
	}
	return evenOpen(out, 3)
}

// strap lays one band across the palate: strap, bar or plate.
func (a *palate) strap(q *Placed) {
	l, p := a.l, a.part
	g, lim := l.g, l.lim
	width := dimension(p, "width", lim.StrapWidth)
	thick := dimension(p, "thickness", lim.PalateThickness)
	sec := Flat
	if p.Form == design.PalatalBar {
		width, thick, sec = dimension(p, "width", 6), dimension(p, "thickness", 2.5), HalfOval
	}
	f, b := a.front, a.back
	if p.Form == design.PalatalBar {
		for i := range f {
			m := (f[i] + b[i]) / 2
			f[i], b[i] = m-width/2, m+width/2
		}
	}
	for i := range f { // a side must be at least as wide as the strap
		if d := width - (b[i] - f[i]); d > 0 {
			f[i], b[i] = math.Max(0, f[i]-d/2), b[i]+d/2
		}
		// Nor does it reach round behind the last tooth: then it gains its width in front.
		if past := b[i] - a.behind(i) + 3; past > 0 && p.Form != design.PalatalPlate {
			f[i], b[i] = math.Max(0, f[i]-past), b[i]-past
		}
	}
	if p.Form == design.PalatalPlate && len(a.plated) > 0 {
		a.platedHorseshoe(q, b)
		return
	}
	frontEnds := [2]geom.Vec{a.point(0, f[0]), a.point(1, f[1])}
	backEnds := [2]geom.Vec{a.point(0, b[0]), a.point(1, b[1])}
	yF := (frontEnds[0].Y + frontEnds[1].Y) / 2
	yB := (backEnds[0].Y + backEnds[1].Y) / 2
	// Behind the rugae where the width allows it.
	if r := g.cast.Marks.Rugae; r.Known() && p.Form != design.PalatalPlate {
		rear := geom.BoxOf(r.Points).Min.Y - 0.5
		if rear < yF && rear-yB >= width {
			yF = rear
		}
	}
	if p.Form == design.PalatalPlate && !math.IsInf(a.rearLimit(), -1) {
		yB = a.rearLimit()
	}
	yB = math.Max(yB, a.rearLimit())
	if yF-yB < width*0.98 {
		yB = math.Max(a.rearLimit(), yF-width*0.98)
		yF = math.Max(yF, yB+width*0.98)
	}
	if p.Form != design.PalatalPlate {
		yF = a.intoValley(frontEnds[0], frontEnds[1], yF)
	}
	front := a.across(frontEnds[0], frontEnds[1], yF)
	rear := a.hold(a.across(backEnds[0], backEnds[1], yB))
	switch p.Form {
	case design.PalatalBar:
		rear = a.offset(front, width, true)
	case design.PalatalStrap: // its borders come nearer to one another on the way: it widens to the rear
		for range 4 {
			least, _, _ := a.leastWidth(front, rear)
			next := math.Max(a.rearLimit(), yB-(width-least))
			if math.IsInf(least, 1) || next > yB-0.1 {
				break
			}
			yB = next
			rear = a.hold(a.across(backEnds[0], backEnds[1], yB))
		}
	}
	right := a.edge(0, f[0], b[0], 0)
	left := a.edge(1, f[1], b[1], 0)
	a.finish(q, front, rear, right, left, nil, thick)
	centre := make([]geom.Vec, len(front))
	w := make([]float64, len(front))
	for i := range front {
		m := front[i].Lerp(rear[min(i, len(rear)-1)], 0.5)
		centre[i] = g.settle(m)
		w[i] = g.over(front[i], rear[min(i, len(rear)-1)])
	}
	out := g.normalsOf(centre)
	c := l.curve(BarLine, centre, out, sec, width, width, thick, thick)
	c.Width = w
	q.Curves = append(q.Curves, c)
	a.readWidth(q, "strap_width", front, rear, width)
}

func (a *palate) point(side int, r float64) geom.Vec {
	s := a.station(side, r)
	return a.keep([]geom.Vec{a.l.g.snapSoft(a.l.g.on(s, a.run(s), lingualSide))})[0]
}

// leastWidth is a band's least width near the midline and over its middle half, infinite
// where it cannot be read.
func (a *palate) leastWidth(front, rear []geom.Vec) (least float64, from, to geom.Vec) {
	least = math.Inf(1)
	half := math.Min(math.Abs(front[0].X), math.Abs(front[len(front)-1].X)) * 0.6
	for i := -6; i <= 6; i++ {
		if w, p, r, ok := a.l.g.acrossWidth(front, rear, half*float64(i)/6); ok && w < least {
			least, from, to = w, p, r
		}
	}
	return least, from, to
}

// readWidth measures a band's least width.
func (a *palate) readWidth(q *Placed, name string, front, rear []geom.Vec, want float64) {
	least, from, to := a.leastWidth(front, rear)
	if math.IsInf(least, 1) {
		return
	}
	a.l.measure(q, name, least, 0, from, to)
	if least < want-0.1 {
		q.short(name, want, least, 0, "the palate between the front border and the vibrating line has no room for more")
	}
}

// finish closes the outline from its borders and keeps it as the connector's shape. The
// lateral lines run from front to back.
func (a *palate) finish(q *Placed, front, rear, right, left []geom.Vec, holes [][]geom.Vec, thick float64) {
	l := a.l
	var rim []geom.Vec
	rim = append(rim, front...) // right to left
	rim = append(rim, left...)
	rim = append(rim, reversed(rear)...)
	rim = append(rim, reversed(right)...)
	rim = a.roundCorners(tidy(rim))
	q.Patches = append(q.Patches, Patch{Role: Plate, Outline: rim, Holes: holes, Thickness: thick})
	l.palat = &palateShape{outline: flat(rim)}
	for _, h := range holes {
		l.palat.holes = append(l.palat.holes, flat(h))
	}
	border := func(line []geom.Vec) {
		q.Curves = append(q.Curves, l.curve(Border, line, l.g.normalsOf(line), Flat, 0, 0, 0, 0))
		if len(line) > 8 {
			a.bead(q, line)
		}
	}
	border(front)
	border(rear)
	for _, h := range holes {
		q.Curves = append(q.Curves, Curve{Role: Border, Points: h, Closed: true, Out: l.g.normalsOf(h),
			Width: make([]float64, len(h)), Thickness: make([]float64, len(h)), Section: Flat})
	}
	l.planned(q, "plate_thickness", thick, 0)
}

// roundCorners takes the points off the corners of a closed outline, over some 2 mm.
func (a *palate) roundCorners(rim []geom.Vec) []geom.Vec {
	n := int(geom.Length(geom.Closed(rim)) / 0.7)
	if len(rim) < 8 || n < 16 {
		return rim
	}
	rim = geom.ResampleClosed(rim, n)
	sharp := make([]bool, n)
	for i := range rim {
		p, q := rim[(i+n-2)%n], rim[(i+2)%n]
		if rim[i].Sub(p).AngleTo(q.Sub(rim[i])) > geom.Deg(40) {
			for d := -3; d <= 3; d++ {
				sharp[(i+d+n)%n] = true
			}
		}
	}
	for r := 0; r < 6; r++ {
		old := append([]geom.Vec{}, rim...)
		for i := range rim {
			if sharp[i] {
				rim[i] = old[i].Scale(0.5).Add(old[(i+1)%n].Add(old[(i+n-1)%n]).Scale(0.25))
			}
		}
	}
	for i := range rim {
		if sharp[i] {
			rim[i] = a.l.g.settle(rim[i])
		}
	}
	return rim
}

// tidy drops points that repeat the one before.
func tidy(rim []geom.Vec) []geom.Vec {
	var out []geom.Vec
	for _, p := range rim {
		if len(out) == 0 || p.Dist(out[len(out)-1]) > 0.05 {
			out = append(out, p)
		}
	}
	if len(out) > 1 && out[0].Dist(out[len(out)-1]) < 0.05 {
		out = out[:len(out)-1]
	}
	return out
}

// bead runs 1 mm inside a border and fades out before its ends.
func (a *palate) bead(q *Placed, line []geom.Vec) {
	shape := a.l.palat
	width := dimension(a.part, "bead", a.l.lim.BeadWidth)
	var pts []geom.Vec
	for i := 2; i+2 < len(line); i++ {
		t := line[i+1].Sub(line[i-1])
		in := geom.V(-t.Y, t.X, 0).Unit()
		p := line[i].Add(in)
		if !shape.covers(p.XY()) {
			p = line[i].Sub(in)
		}
		if shape.covers(p.XY()) {
			pts = append(pts, a.l.g.settle(p))
		}
	}
	if len(pts) > 3 {
		q.Curves = append(q.Curves, a.l.curve(Bead, pts, a.l.g.normalsOf(pts), HalfRound, width, width, width, width))
		if _, ok := q.Measure("bead_width", 0); !ok {
			a.l.planned(q, "bead_width", width, 0)
		}
	}
}
