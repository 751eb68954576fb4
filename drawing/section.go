package drawing

import (
	"math"
	"sort"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// station is one place where a connector is cut through.
type station struct {
	part   placement.Placed
	at     geom.Vec // a place on the connector
	normal geom.Vec // of the cutting plane, horizontal unit vector
	right  geom.Vec // what points to the reader's right, in the plane, horizontal
	title  string
	left   string // what lies at the left and right ends
	end    string
}

// stations chooses where the connectors are cut: a bar at its middle and at the outermost
// teeth where its borders were measured; a palatal connector along the midline and across.
func (d *draft) stations() []station {
	var out []station
	for _, q := range d.order {
		if q.Part.Kind != design.MajorConnector {
			continue
		}
		if bar, ok := barOf(q); ok {
			out = append(out, d.barStations(q, bar)...)
			continue
		}
		out = append(out, d.plateStations(q)...)
	}
	return out
}

// barOf is a connector's bar line.
func barOf(q placement.Placed) (placement.Curve, bool) {
	for _, c := range q.Curves {
		if c.Role == placement.BarLine && len(c.Points) > 2 {
			return c, true
		}
	}
	return placement.Curve{}, false
}

func (d *draft) barStations(q placement.Placed, bar placement.Curve) []station {
	w := geom.NewWalk(bar.Points)
	type stop struct {
		s float64
		n tooth.Number
	}
	var stops []stop
	seen := map[tooth.Number]bool{}
	for _, m := range q.Measures {
		if (m.Name == "upper_border_to_margin" || m.Name == "bar_height") && m.Tooth != 0 && !seen[m.Tooth] && m.From != m.To {
			seen[m.Tooth] = true
			s, _ := w.Nearest(m.From)
			if m.Name == "bar_height" {
				s, _ = w.Nearest(m.From.Lerp(m.To, 0.5))
			}
			stops = append(stops, stop{s, m.Tooth})
		}
	}
	sort.Slice(stops, func(i, j int) bool { return stops[i].s < stops[j].s })
	if len(stops) > 3 {
		mid := stops[0]
		for _, s := range stops {
			if math.Abs(s.s-w.Length()/2) < math.Abs(mid.s-w.Length()/2) {
				mid = s
			}
		}
		stops = []stop{stops[0], mid, stops[len(stops)-1]}
	}
	if len(stops) == 0 {
		stops = []stop{{0.2 * w.Length(), 0}, {0.5 * w.Length(), 0}, {0.8 * w.Length(), 0}}
	}
	facialBar := q.Part.Form == design.LabialBar
	var out []station
	for _, s := range stops {
		at := w.At(s.s)
		t := w.Tangent(s.s)
		n := geom.V(t.X, t.Y, 0).Unit()
		if n == (geom.Vec{}) {
			continue
		}
		in := d.outward(at).Neg()
		right := in.Sub(n.Scale(in.Dot(n))).Unit()
		st := station{part: q, at: at, normal: n, right: right, left: d.say(words.FacialSide), end: d.say(words.LingualSide)}
		_ = facialBar
		st.title = d.partName(q.Part)
		if s.n != 0 {
			st.title += ", " + d.say(words.AtTooth, d.nameBoth(s.n))
		}
		out = append(out, st)
	}
	return out
}

// plateStations cuts an upper connector along the midline, and across where it is widest.
func (d *draft) plateStations(q placement.Placed) []station {
	var plate []geom.Vec
	for _, p := range q.Patches {
		if p.Role == placement.Plate && len(p.Outline) > len(plate) {
			plate = p.Outline
		}
	}
	if len(plate) == 0 {
		return nil
	}
	lo, hi := plate[0], plate[0]
	for _, p := range plate {
		lo.Y, hi.Y = math.Min(lo.Y, p.Y), math.Max(hi.Y, p.Y)
	}
	mid := geom.V(0, (lo.Y+hi.Y)/2, 0)
	name := d.partName(q.Part)
	rightward := geom.V(-cast1(d.Cast.Arch), 0, 0) // patient's left on the reader's right
	return []station{
		{part: q, at: mid, normal: geom.V(1, 0, 0), right: geom.V(0, -1, 0), title: name + ", " + d.say(words.AlongMidline), left: d.say(words.Front), end: d.say(words.Back)},
		{part: q, at: mid, normal: geom.V(0, 1, 0), right: rightward, title: name + ", " + d.say(words.Across), left: d.say(words.RightLetter), end: d.say(words.LeftLetter)},
	}
}

// cast1 is the sign of x on the patient's right.
func cast1(a tooth.Arch) float64 {
	if a == tooth.Upper {
		return -1
	}
	return 1
}

// section draws the cut through cast and metal within a cell.
func (d *draft) section(p *sheet.Page, cell sheet.Rect, st station, number string) {
	up := geom.V(0, 0, 1)
	if d.Cast.Arch == tooth.Upper {
		up = up.Neg()
	}
	frame := geom.Frame{Origin: geom.Vec{}, X: st.right, Y: up, Z: st.right.Cross(up)}
	head := sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6}
	p.Write(head, sheet.Pt(cell.X0+1, cell.Y0+3), number)
	w0 := head.Face.Width(number, head.Size) + 2
	for i, l := range sheet.Plain.Wrap(st.title, 2.3, cell.W()-w0-2) {
		p.Write(sheet.Type{Layer: layerText, Size: 2.3}, sheet.Pt(cell.X0+1+w0, cell.Y0+3+float64(i)*3), l)
	}
	window := sheet.Rect{X0: cell.X0 + 0.5, Y0: cell.Y0 + 7.5, X1: cell.X1 - 0.5, Y1: cell.Y1 - 0.5}

	level := st.at.Dot(st.normal)
	cut := trace(d.Cast.Mesh, nil, func(k int32) float64 { return d.Cast.Mesh.Vertices[k].Dot(st.normal) - level })
	center := frame.Local(st.at).XY()
	if bar, ok := barOf(st.part); ok && len(bar.Points) > 0 {
		center.Y += 1.5 * frame.LocalDir(geom.V(0, 0, 1)).Y // a little toward the teeth
	} else {
		center = middleOfCut(cut, frame, st)
	}
	f := newFigure(p, frame, center, window.Center(), detailScale, window)

	var area [][]sheet.Point
	for _, c := range cut {
		line := sheet.Simplify(f.points(c.points), simpleTol)
		if c.closed {
			if in := clipArea(line, window); len(in) > 2 {
				area = append(area, in)
			}
			f.draw(d.pens.rim, true, line)
			continue
		}
		f.draw(d.pens.rim, false, line)
	}
	hatch := sheet.Pen{Layer: layerTissue, Width: 0.1, Ink: lightGrey}
	p.Draw(hatch, false, sheet.Hatch(geom.Deg(45), 1.4, area...)...)

	for _, q := range d.order {
		d.cutPart(f, q, st, level, cut)
	}
	b := sheet.NewBoard(p, window)
	d.weigh(b, p)
	ty := sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey}
	right := ty
	right.Align = sheet.Right
	for _, t := range []*sheet.Text{ty.Text(sheet.Pt(window.X0+0.5, window.Y1-0.8), st.left), right.Text(sheet.Pt(window.X1-0.5, window.Y1-0.8), st.end)} {
		p.Area(layerText, sheet.White, t.Box().Grow(0.2).Outline())
		p.Items = append(p.Items, t)
		b.Keep(t.Box())
	}
	d.sectionDimensions(f, b, st, level, cut)
}

// middleOfCut is the middle of the connector in a cut across a plate.
func middleOfCut(cut []chain, frame geom.Frame, st station) geom.Vec2 {
	top := math.Inf(-1)
	at := frame.Local(st.at).XY()
	for _, c := range cut {
		for _, q := range c.points {
			if math.Abs(q.Sub(st.at).Dot(st.right)) < 1 && q.Z > top {
				top = q.Z
				at = frame.Local(q).XY()
			}
		}
	}
	return at
}

// cutPart draws what a cutting plane meets of one part: a bar's section where its line
// passes through, a plate over the stretches of the surface inside its outline.
func (d *draft) cutPart(f *figure, q placement.Placed, st station, level float64, cut []chain) {
	metal := d.pens.metal
	metal.Width = 0.25
	fill := metal.Ink.Tint(0.45)
	bar := false
	for _, c := range q.Curves {
		if c.Role != placement.BarLine && c.Role != placement.Rigid {
			continue
		}
		for i := 1; i < len(c.Points); i++ {
			a, b := c.Points[i-1].Dot(st.normal)-level, c.Points[i].Dot(st.normal)-level
			if (a > 0) == (b > 0) || a == b {
				continue
			}
			if c.Role == placement.BarLine {
				bar = true
			}
			p := c.Points[i-1].Lerp(c.Points[i], a/(a-b))
			if p.Dist(st.at) > 25 {
				continue
			}
			o := sectionOutline(f, c, i, p, st)
			f.area(layerMetal, fill, o)
			f.draw(metal, true, o)
		}
	}
	for _, patch := range q.Patches {
		switch {
		case patch.Role == placement.Plate && !bar, patch.Role == placement.Lattice:
			pen, tint := metal, fill
			if patch.Role == placement.Lattice {
				tint = sheet.None
			}
			d.cutPatch(f, patch, st, cut, pen, tint)
		}
	}
}

// cutPatch draws a plate in section: the surface inside its outline, lifted by the relief,
// as thick as the metal.
func (d *draft) cutPatch(f *figure, patch placement.Patch, st station, cut []chain, pen sheet.Pen, fill sheet.Color) {
	outline := make([]geom.Vec2, len(patch.Outline))
	for i, q := range patch.Outline {
		outline[i] = q.XY()
	}
	holes := make([][]geom.Vec2, len(patch.Holes))
	for i, h := range patch.Holes {
		for _, q := range h {
			holes[i] = append(holes[i], q.XY())
		}
	}
	near := nearness(patch.Outline)
	in := func(q geom.Vec) bool {
		if !geom.Contains2(outline, q.XY()) || !near(q) {
			return false
		}
		for _, h := range holes {
			if geom.Contains2(h, q.XY()) {
				return false
			}
		}
		return true
	}
	thick := math.Max(patch.Thickness, 0.3)
	for _, c := range cut {
		pts := fine(c.points, c.closed, 0.15)
		var run []geom.Vec
		end := func() {
			if len(run) > 3 && geom.Length(run) > 0.8 {
				line := f.points(run)
				side := outwardSide(f, run, st)
				under := sheet.Offset(line, side*patch.Lift*f.scale, false)
				over := sheet.Offset(line, side*(patch.Lift+thick)*f.scale, false)
				band := append([]sheet.Point(nil), under...)
				for i := len(over) - 1; i >= 0; i-- {
					band = append(band, over[i])
				}
				if fill != sheet.None {
					f.area(layerMetal, fill, band)
				}
				f.draw(pen, true, band)
			}
			run = nil
		}
		for _, q := range pts {
			if in(q) {
				run = append(run, q)
			} else {
				end()
			}
		}
		end()
	}
}

// nearness keeps to the side of the cast that the outline lies on: the base of a cast has
// places under the same outline.
func nearness(outline []geom.Vec) func(geom.Vec) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range outline {
		lo, hi = math.Min(lo, q.Z), math.Max(hi, q.Z)
	}
	return func(q geom.Vec) bool { return q.Z > lo-6 && q.Z < hi+8 }
}

// outwardSide is +1 where the surface's outside lies to the left of a run as sheet.Offset
// counts, else -1. A cut runs with the outside of the cast on its right seen along the
// plane's normal.
func outwardSide(f *figure, run []geom.Vec, st station) float64 {
	a, b := run[len(run)/2-1], run[len(run)/2+1]
	out := b.Sub(a).Cross(st.normal)
	// trace keeps positive values, ahead of the plane, to the left seen from outside.
	flat := f.points([]geom.Vec{a, b, a.Lerp(b, 0.5).Add(out)})
	if flat[1].Sub(flat[0]).Left().Dot(flat[2].Sub(flat[0].Lerp(flat[1], 0.5))) > 0 {
		return 1
	}
	return -1
}

// sectionOutline is a bar's cross-section on the page.
func sectionOutline(f *figure, c placement.Curve, i int, p geom.Vec, st station) []sheet.Point {
	w, t := at(c.Width, i), at(c.Thickness, i)
	tangent := c.Points[i].Sub(c.Points[i-1]).Unit()
	out := geom.V(0, 0, 0)
	if i < len(c.Out) {
		out = c.Out[i]
	}
	out = out.Sub(st.normal.Scale(out.Dot(st.normal))).Unit()
	side := st.normal.Cross(out).Unit()
	if side.Z < 0 {
		side = side.Neg() // toward the teeth
	}
	_ = tangent
	var shape []geom.Vec2 // x toward the teeth, y outward
	const n = 24
	for k := 0; k <= n; k++ {
		u := float64(k) / n // from the lower border up
		y := 0.0
		switch c.Section {
		case placement.HalfPear:
			// Thickest at a third from below, thinning toward the teeth.
			y = math.Sin(math.Pi*math.Pow(u, 0.63)) * (1 - 0.15*u)
		case placement.Flat:
			y = 1
		default:
			y = math.Sqrt(math.Max(0, 1-(2*u-1)*(2*u-1)))
		}
		shape = append(shape, geom.Vec2{X: (u - 0.5) * w, Y: y * t})
	}
	line := make([]sheet.Point, 0, len(shape)+2)
	add := func(x, y float64) { line = append(line, f.point(p.Add(side.Scale(x)).Add(out.Scale(y)))) }
	add(-w/2, 0)
	for _, s := range shape {
		add(s.X, s.Y)
	}
	add(w/2, 0)
	return line
}

// inSection are the measures a section shows.
var inSection = map[string]bool{
	"upper_border_to_margin": true, "bar_height": true, "lower_border_to_floor": true, "border_to_margin": true,
	"strap_width": true, "anterior_strap_width": true, "posterior_strap_width": true, "floor_depth": true,
}

// sectionDimensions draws the measures that were taken in or close to the cutting plane:
// as straight dimension lines where they are straight, else along the surface, as a ruler
// laid on the gum reads.
func (d *draft) sectionDimensions(f *figure, b *sheet.Board, st station, level float64, cut []chain) {
	for _, m := range st.part.Measures {
		if !inSection[m.Name] || m.Quantity.Unit != "mm" || m.From == m.To {
			continue
		}
		const near = 0.8 // how far off the plane a measure may have been taken [mm]
		if math.Abs(m.From.Dot(st.normal)-level) > near || math.Abs(m.To.Dot(st.normal)-level) > near || m.From.Dist(st.at) > 20 {
			continue
		}
		if d.dimension(f, b, st.part, m, []float64{0, 4, -4, 7, -7, 10, -10}) {
			continue
		}
		d.surfaceDimension(f, b, st.part, m, cut)
	}
}

// surfaceDimension draws a measure along the surface, with ticks at its ends.
func (d *draft) surfaceDimension(f *figure, b *sheet.Board, q placement.Placed, m placement.Measure, cut []chain) {
	var best []geom.Vec
	off := 0.05
	for _, c := range cut {
		pts := c.points
		if c.closed {
			pts = geom.Closed(pts)
		}
		if len(pts) < 2 {
			continue
		}
		w := geom.NewWalk(pts)
		s0, d0 := w.Nearest(m.From)
		s1, d1 := w.Nearest(m.To)
		if d0 > 0.8 || d1 > 0.8 {
			continue
		}
		lo, hi := math.Min(s0, s1), math.Max(s0, s1)
		if diff := math.Abs(hi - lo - m.Quantity.Value); diff < off {
			off = diff
			best = stretch(pts, w, lo, hi)
		}
	}
	if len(best) < 2 {
		return
	}
	line := f.points(best)
	r, _ := sheet.Bounds(line)
	if !b.Area().Holds(r) {
		return
	}
	pen := d.pens.dim
	pen.Name = measureName(q, m)
	pen.Width = 0.35
	pen.Ink = d.Palette.Accent
	f.draw(pen, false, line)
	tick := d.pens.dim
	n := len(line)
	for _, e := range [2][2]sheet.Point{{line[0], line[1]}, {line[n-1], line[n-2]}} {
		s := e[1].Sub(e[0]).Unit().Left().Scale(1.2)
		f.draw(tick, false, []sheet.Point{e[0].Sub(s), e[0].Add(s)})
	}
	b.Place(sheet.Label{Type: sheet.Type{Layer: layerDims, Size: sizeDim}, Text: words.Number(d.Lang, m.Quantity.Value, 1),
		At: line[n/2], Near: 1.2, Reach: 14, Leader: d.pens.leader})
}

func stretch(pts []geom.Vec, w geom.Walk, lo, hi float64) []geom.Vec {
	out := []geom.Vec{w.At(lo)}
	s := 0.0
	for i, p := range pts {
		if i > 0 {
			s += p.Dist(pts[i-1])
		}
		if s > lo && s < hi {
			out = append(out, p)
		}
	}
	return append(out, w.At(hi))
}

// detailSheets draws the elevations and the sections at 2:1.
func (d *draft) detailSheets() []sheet.Page {
	type job struct {
		w, h float64
		pair bool
		draw func(p *sheet.Page, cell sheet.Rect)
	}
	var jobs []job
	for _, n := range d.carrying() {
		jobs = append(jobs, job{2 * cellW, cellH, true, func(p *sheet.Page, cell sheet.Rect) {
			a, b := cell, cell
			a.X1 = cell.X0 + cell.W()/2
			b.X0 = a.X1
			d.elevation(p, a, n, true)
			d.elevation(p, b, n, false)
		}})
	}
	elevations := len(jobs)
	for i, st := range d.stations() {
		w := 62.0
		if _, bar := barOf(st.part); !bar {
			w = 2 * cellW
		}
		jobs = append(jobs, job{w, cellH + 2, false, func(p *sheet.Page, cell sheet.Rect) { d.section(p, cell, st, sectionLetter(i)) }})
	}
	var pages []sheet.Page
	var area sheet.Rect
	x, y, rowH := 0.0, 0.0, 0.0
	for i, j := range jobs {
		if i == elevations && len(pages) > 0 && x > area.X0 {
			x, y = area.X0, y+rowH
			rowH = 0
		}
		if len(pages) > 0 && x+j.w > area.X1+0.01 {
			x, y = area.X0, y+rowH
			rowH = 0
		}
		if len(pages) == 0 || y+j.h > area.Y1 {
			p, a := d.page(d.say(words.Details))
			openLayers(&p)
			pages = append(pages, p)
			area = a
			x, y, rowH = area.X0, area.Y0, 0
		}
		p := &pages[len(pages)-1]
		cell := sheet.Box(x, y, j.w, j.h)
		j.draw(p, cell)
		p.Draw(sheet.Pen{Layer: layerText, Width: 0.1, Ink: lightGrey}, true, cell.Outline())
		x += j.w
		rowH = math.Max(rowH, j.h)
	}
	return pages
}

func sectionLetter(i int) string {
	l := string(rune('A' + i%26))
	return l + "–" + l
}
