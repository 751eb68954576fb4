package placement

import (
	"math"

	"halfpear/geom"
)

// outer is the border along the whole arch from the right's far end to the left's, over
// the teeth where they are plated.
func (a *palate) outer(q *Placed, right, left float64) []geom.Vec {
	g := a.l.g
	var line []geom.Vec
	at := a.station(0, right)
	end := a.station(1, left)
	var runs, stations []float64
	for s := at; s <= end; s += 0.9 {
		stations = append(stations, s)
		runs = append(runs, a.run(s))
	}
	runs = a.even(runs, stations)
	for i, s := range stations {
		pr := g.profileAt(s, lingualSide)
		if pr.tooth != 0 && a.plated[pr.tooth] {
			k := g.crown(pr.tooth)
			d, _ := k.locate(pr.points[0])
			low := 0.42 * k.top(180)
			if !pr.tooth.Kind().Anterior() {
				low = math.Min(k.contour(180), 0.6*k.top(180))
			}
			e := math.Min(1, math.Abs(d-180)/60)
			line = append(line, k.at(d, low+1.2*math.Pow(e, 2.5)))
			continue
		}
		line = append(line, g.on(s, runs[i], lingualSide))
	}
	if len(a.plated) == 0 {
		line = evenOpen(line, 50)
	}
	line = evenOpen(line, 4)
	for i := range line {
		line[i] = g.snap(line[i])
	}
	if len(a.plated) == 0 {
		line = a.keep(line)
	}
	for _, n := range sortedTeeth(a.plated) {
		k := g.crown(n)
		low := 0.42
		if !n.Kind().Anterior() {
			low = math.Min(k.contour(180), 0.6*k.top(180)) / k.top(180)
		}
		a.l.ratio(q, "plate_top_share", low, n)
	}
	return line
}

// platedHorseshoe is a plate whose front border lies on the teeth.
func (a *palate) platedHorseshoe(q *Placed, back [2]float64) {
	thick := dimension(a.part, "thickness", a.l.lim.PalateThickness)
	outer := a.outer(q, back[0], back[1])
	yB := (outer[0].Y + outer[len(outer)-1].Y) / 2
	if !math.IsInf(a.rearLimit(), -1) {
		yB = a.rearLimit()
	}
	rear := a.hold(a.across(outer[0], outer[len(outer)-1], yB))
	a.finish(q, outer, rear, nil, nil, nil, thick)
	c := a.offset(rear, 6, false)
	q.Curves = append(q.Curves, a.l.curve(BarLine, c, a.l.g.normalsOf(c), Flat, 12, 12, thick, thick))
	a.readWidth(q, "strap_width", outer, rear, a.l.lim.StrapWidth)
}

// horseshoe is a band along the teeth that is open behind.
func (a *palate) horseshoe(q *Placed) {
	l, g := a.l, a.l.g
	width := dimension(a.part, "width", l.lim.UShapedWidth)
	thick := dimension(a.part, "thickness", 0.85)
	outer := a.outer(q, a.back[0], a.back[1])
	n := len(outer)
	inner := make([]geom.Vec, 0, n)
	course := evenOpen(append([]geom.Vec{}, outer...), 60)
	// The inner border lies a width inside the outer one, square to it.
	for i, p := range outer {
		t := course[min(n-1, i+3)].Sub(course[max(0, i-3)])
		t.Z = 0
		in := g.inward(t.Unit())
		s, f := g.surface.Nearest(p)
		if f < 0 {
			continue
		}
		extra := 0.0
		if pr := g.profileAt(g.stationOf(p), lingualSide); pr.tooth != 0 && a.plated[pr.tooth] {
			extra = a.clear
		}
		across := t.Unit()
		w := g.walk(s, f, across, in.Sub(geom.V(0, 0, 0.4)), width+extra, nil)
		inner = append(inner, w[len(w)-1])
	}
	// Where the band turns more tightly than its width the inner border would loop: what
	// comes nearer to the outer border than the width is left out.
	var kept []geom.Vec
	rim0 := geom.NewWalk(outer)
	for _, p := range inner {
		if _, d := rim0.Nearest(p); d > 0.8*width {
			kept = append(kept, p)
		}
	}
	if len(kept) > 10 {
		inner = geom.Resample(kept, n)
	}
	inner = evenOpen(inner, 12)
	for i := range inner {
		inner[i] = g.snapSoft(inner[i])
	}
	rim := append(append([]geom.Vec{}, outer...), reversed(inner)...)
	rim = tidy(rim)
	q.Patches = append(q.Patches, Patch{Role: Plate, Outline: rim, Thickness: thick})
	l.palat = &palateShape{outline: flat(rim)}
	for _, b := range [][]geom.Vec{outer, inner} {
		q.Curves = append(q.Curves, l.curve(Border, b, g.normalsOf(b), Flat, 0, 0, 0, 0))
	}
	a.bead(q, inner)
	var centre []geom.Vec
	for i := range inner {
		centre = append(centre, g.snapSoft(outer[i].Lerp(inner[i], 0.5)))
	}
	q.Curves = append(q.Curves, l.curve(BarLine, centre, g.normalsOf(centre), Flat, width, width, thick, thick))
	l.planned(q, "plate_thickness", thick, 0)
	least := math.Inf(1)
	var from, to geom.Vec
	w := geom.NewWalk(inner)
	for i := 4; i+4 < n; i++ {
		s, _ := w.Nearest(outer[i])
		if d := g.over(outer[i], w.At(s)); d < least {
			least, from, to = d, outer[i], w.At(s)
		}
	}
	l.measure(q, "strap_width", least, 0, from, to)
	if least < width-0.3 {
		q.short("strap_width", width, least, 0, "the arch turns too sharply for the band to keep its width")
	}
}
