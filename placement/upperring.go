package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/words"
)

// ring lays a front and a rear band with lateral bands between, round an opening.
func (a *palate) ring(q *Placed) {
	l, p := a.l, a.part
	g, lim := l.g, l.lim
	wf := dimension(p, "anterior_strap_width", dimension(p, "width", lim.APStrapWidth))
	wr := dimension(p, "posterior_strap_width", dimension(p, "width", lim.APStrapWidth))
	wl := dimension(p, "lateral_strap_width", lim.APLateralWidth)
	thick := dimension(p, "thickness", math.Max(lim.PalateThickness, 0.6))
	if p.Form == design.APBar {
		wf, wr, wl = dimension(p, "anterior_strap_width", 6), dimension(p, "posterior_strap_width", 5), dimension(p, "lateral_strap_width", 6)
		thick = dimension(p, "thickness", 1.5)
	}
	f, b := a.front, a.back
	// The opening needs its length, and the palate is widest behind: the ring reaches from
	// the foremost place joined to as far back as the teeth or the hard palate go.
	limit := a.rearLimit()
	for i := range b {
		for r := b[i]; r < a.behind(i)-4 && a.point(i, r).Y > limit+1; r += 0.5 {
			b[i] = r
		}
	}
	frontEnds := [2]geom.Vec{a.point(0, f[0]), a.point(1, f[1])}
	yF := (frontEnds[0].Y + frontEnds[1].Y) / 2
	backEnds := [2]geom.Vec{a.point(0, b[0]), a.point(1, b[1])}
	yB := (backEnds[0].Y + backEnds[1].Y) / 2
	need := (wf+wr)*0.95 + lim.APOpeningLength + 1.0 // the bands lie on slopes, so that less is needed seen from above
	if yF-yB < need {
		yB = yF - need
	}
	// A torus that stays lies in the opening.
	if front, back, ok := g.palatalTorus(); ok {
		yF = math.Max(yF, math.Min(a.point(0, 0.5).Y, front+lim.TorusClear+wf))
		yB = math.Min(yB, back-lim.TorusClear-wr)
	}
	yB = math.Max(yB, limit)
	if yF-yB < need {
		// Forward along the teeth, as near as the margins allow.
		most := a.point(0, 0.5).Y
		yF = math.Min(most, yB+need)
	}
	// The lateral ends follow: as far back as the rear border crosses, where the arch
	// reaches that far, and as far forward as the front one does.
	for i := range b {
		for r := b[i]; r < a.behind(i)-3; r += 0.5 {
			s := a.station(i, r)
			if s <= 0.1 || s >= g.arch.Length()-0.1 || a.point(i, r).Y < yB+1 {
				break
			}
			b[i] = r
		}
		for r := f[i]; r > 0; r -= 0.5 {
			if a.point(i, r).Y > yF-1 {
				break
			}
			f[i] = r
		}
	}
	frontEnds = [2]geom.Vec{a.point(0, f[0]), a.point(1, f[1])}
	backEnds = [2]geom.Vec{a.point(0, b[0]), a.point(1, b[1])}
	if y := a.intoValley(frontEnds[0], frontEnds[1], yF); y > yF || y-yB >= need {
		yF = y
	}
	front := a.across(frontEnds[0], frontEnds[1], yF)
	rear := a.hold(a.across(backEnds[0], backEnds[1], yB))
	right := a.edge(0, f[0], b[0], 0)
	left := a.edge(1, f[1], b[1], 0)

	// Where the front border runs along the arch all round, as behind a front space, its
	// ends meet at the midline, and the front band follows the sides' foremost stretches.
	band := front
	if frontEnds[0].XY().Dist(frontEnds[1].XY()) < 2*wf {
		const far = 22 // along the arch from the midline: beyond the opening's corners
		band = append(reversed(a.edge(0, f[0], math.Min(b[0], f[0]+far), 0)), a.edge(1, f[1], math.Min(b[1], f[1]+far), 0)[1:]...)
	}
	// A narrow palate gets the narrower lateral bands that are still rigid (7 to 9 mm).
	midR, midL := (f[0]+b[0])/2, (f[1]+b[1])/2
	if room := math.Abs(a.point(1, midL).X - a.point(0, midR).X); p.Form == design.APStrap && room-2*wl < lim.APOpeningWidth+6 {
		wl = dimension(p, "lateral_strap_width", math.Min(wl, 7))
	}
	around := flat(append(append(append(append([]geom.Vec{}, front...), left...), reversed(rear)...), reversed(right)...))
	borders := []struct {
		line  geom.Walk
		width float64
	}{{geom.NewWalk(band), wf}, {geom.NewWalk(rear), wr}, {geom.NewWalk(right), wl}, {geom.NewWalk(left), wl}}
	free := func(v geom.Vec2) bool {
		p, ok := g.dropSoft(v.X, v.Y)
		if !ok || !geom.Contains2(around, v) {
			return false
		}
		for _, b := range borders {
			if _, d := b.line.Nearest(p); d < b.width+0.05 {
				return false
			}
		}
		return true
	}
	// It is looked for round the place that lies deepest inside all bands.
	var c geom.Vec2
	deepest := math.Inf(-1)
	for y := yB; y < yF; y += 0.5 {
		p, ok := g.dropSoft(0, y)
		if !ok {
			continue
		}
		least := math.Inf(1)
		for _, b := range borders {
			_, d := b.line.Nearest(p)
			least = math.Min(least, d-b.width)
		}
		if least > deepest {
			deepest, c = least, geom.Vec2{Y: y}
		}
	}
	var hole []geom.Vec
	if deepest > 1.5 {
		const rays = 96
		var rim []geom.Vec2
		for i := 0; i < rays; i++ {
			s, co := math.Sincos(2 * math.Pi * float64(i) / rays)
			d, _ := first(0, 40, 1.6, func(d float64) bool { return !free(geom.Vec2{X: c.X + co*d, Y: c.Y + s*d}) })
			d = math.Max(0, d-0.01)
			rim = append(rim, geom.Vec2{X: c.X + co*d, Y: c.Y + s*d})
		}
		for r := 0; r < 14; r++ {
			old := append([]geom.Vec2{}, rim...)
			for i := range rim {
				m := old[(i+1)%rays].Add(old[(i+rays-1)%rays]).Scale(0.25).Add(old[i].Scale(0.5))
				if m.Sub(c).Norm() < old[i].Sub(c).Norm() { // only inward: the bands keep their width
					rim[i] = m
				}
			}
		}
		for _, v := range rim {
			if pt, ok := g.drop(v.X, v.Y); ok {
				hole = append(hole, pt)
			}
		}
	}
	if len(hole) < 12 {
		q.short("opening_length", lim.APOpeningLength, 0, 0, "the palate is too short for two bands and an opening; a plate or a single strap fits it better")
		a.finish(q, front, rear, right, left, nil, thick)
	} else {
		a.finish(q, front, rear, right, left, [][]geom.Vec{hole}, thick)
		a.bead(q, hole)
		a.readRing(q, band, rear, hole, wf, wr, wl)
	}
	sec := Flat
	if p.Form == design.APBar {
		sec = HalfOval
	}
	centre := func(line []geom.Vec, w float64, back bool) {
		c := a.offset(line, w/2, back)
		q.Curves = append(q.Curves, l.curve(BarLine, c, g.normalsOf(c), sec, w, w, thick, thick))
	}
	centre(band, wf, true)
	centre(rear, wr, false)
	for i := 0; i < 2; i++ {
		c := a.edge(i, f[i], b[i], wl/2)
		q.Curves = append(q.Curves, l.curve(BarLine, c, g.normalsOf(c), sec, wl, wl, thick, thick))
	}
}

// readRing measures the bands and the opening of a ring.
func (a *palate) readRing(q *Placed, front, rear, hole []geom.Vec, wf, wr, wl float64) {
	l, g := a.l, a.l.g
	// The hole's front and rear edge, by x.
	var hf, hr []geom.Vec
	box := geom.BoxOf(hole)
	cy := box.Centre().Y
	for x := box.Min.X * 0.6; x <= box.Max.X*0.6; x += 0.5 {
		top, bottom := math.Inf(-1), math.Inf(1)
		for i, p := range hole {
			r := hole[(i+1)%len(hole)]
			if (p.X-x)*(r.X-x) <= 0 && p.X != r.X {
				y := p.Y + (x-p.X)/(r.X-p.X)*(r.Y-p.Y)
				top, bottom = math.Max(top, y), math.Min(bottom, y)
			}
		}
		if p, ok := g.drop(x, top); ok && top > cy {
			hf = append(hf, p)
		}
		if p, ok := g.drop(x, bottom); ok && bottom < cy {
			hr = append(hr, p)
		}
	}
	if len(hf) > 1 && len(hr) > 1 {
		a.readWidthBetween(q, "anterior_strap_width", front, hf, wf)
		a.readWidthBetween(q, "posterior_strap_width", hr, rear, wr)
		_, p, r, ok := g.acrossWidth(hf, hr, 0)
		if ok {
			d := g.across(p, r)
			l.measure(q, "opening_length", d, 0, p, r)
			if d < l.lim.APOpeningLength-0.05 {
				q.short("opening_length", l.lim.APOpeningLength, d, 0, "the bands take what the palate has; a plate or a single strap fits it better")
			}
		}
	}
	lo, hi := spread(hole, geom.V(1, 0, 0))
	d := g.across(lo, hi)
	l.measure(q, "opening_width", d, 0, lo, hi)
	if d < l.lim.APOpeningWidth-0.05 {
		q.Shortfalls = append(q.Shortfalls, Shortfall{Measure: "opening_width", Wanted: l.lim.APOpeningWidth, Got: d,
			Why: words.Tell("on either side %v clear of the gingival margins and a lateral band of %v leave no wider opening in this palate", words.Length(l.lim.PalateMarginClear), words.Length(wl))})
	}
	// Lateral bands: down each profile from the border to the opening.
	shape := l.palat
	for side := 0; side < 2; side++ {
		least := math.Inf(1)
		var from, to geom.Vec
		for r := a.front[side]; r <= a.back[side]+6; r += 0.75 {
			pr := g.profileAt(a.station(side, r), lingualSide)
			if !pr.known() {
				continue
			}
			in, ok := first(1, pr.length(), 1.2, func(t float64) bool { return shape.covers(pr.point(t).XY()) })
			if !ok {
				continue
			}
			out, ok := first(in+0.02, pr.length(), 1.2, func(t float64) bool { return !shape.covers(pr.point(t).XY()) })
			if ok && geom.Contains2(shape.holes[0], pr.point(out+0.02).XY()) && out-in < least {
				least, from, to = out-in, pr.point(in), pr.point(out)
			}
		}
		if !math.IsInf(least, 1) {
			l.measure(q, "lateral_strap_width", least, 0, from, to)
			if least < wl-0.2 {
				q.short("lateral_strap_width", wl, least, 0, "the palate is too narrow beside the opening")
			}
		}
	}
}

func (a *palate) readWidthBetween(q *Placed, name string, front, rear []geom.Vec, want float64) {
	least := math.Inf(1)
	var from, to geom.Vec
	for x := -7.0; x <= 7; x++ {
		if w, p, r, ok := a.l.g.acrossWidth(front, rear, x); ok && w < least {
			least, from, to = w, p, r
		}
	}
	if math.IsInf(least, 1) {
		return
	}
	a.l.measure(q, name, least, 0, from, to)
	if least < want-0.1 {
		q.short(name, want, least, 0, "the palate has no room for a wider band")
	}
}
