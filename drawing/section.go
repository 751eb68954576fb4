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
	part     placement.Placed
	at       geom.Vec // a place on the connector
	normal   geom.Vec // of the cutting plane, horizontal unit vector
	right    geom.Vec // what points to the reader's right, in the plane, horizontal
	bar      bool     // a lower connector, cut across its length
	sagittal bool     // along the midline
	tooth    tooth.Number
	index    int
	title    string
	left     string // what lies at the left and right ends
	end      string
}

// stations chooses where the connectors are cut: a bar at its middle and at the outermost
// teeth where its borders were measured; a palatal connector along the midline and across.
func (d *draft) stations() []station {
	var out []station
	for _, q := range d.order {
		if q.Part.Kind != design.MajorConnector {
			continue
		}
		if bar, ok := barOf(q); ok && d.Cast.Arch == tooth.Lower {
			out = append(out, d.barStations(q, bar)...)
			continue
		}
		out = append(out, d.plateStations(q)...)
	}
	for i := range out {
		out[i].index = i
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
	arch := geom.NewWalk(d.Cast.Marks.Arch.Points)
	type stop struct {
		s      float64
		n      tooth.Number
		at     geom.Vec // on the bar
		normal geom.Vec
	}
	stopAt := func(s float64) stop {
		const end = 3.0 // a bar is cut where it is one, not at its very end [mm]
		s = math.Max(end, math.Min(w.Length()-end, s))
		return stop{s: s, at: w.At(s), normal: w.Tangent(s)}
	}
	// Cut as it was measured: across the arch, through the same place.
	measured := func(m placement.Measure) stop {
		s, _ := arch.Nearest(m.From)
		t := arch.Tangent(s)
		normal := geom.V(t.X, t.Y, 0).Unit()
		s, _ = w.Nearest(m.To)
		if p, ok := crossing(bar.Points, normal, m.From.Dot(normal), m.To); ok {
			return stop{s, m.Tooth, p, normal}
		}
		at := stopAt(s)
		at.n = m.Tooth
		return at
	}
	var stops, beside []stop
	seen := map[tooth.Number]bool{}
	for _, m := range q.Measures {
		if (m.Name != "upper_border_to_margin" && m.Name != "bar_height") || m.Tooth == 0 || seen[m.Tooth] || m.From == m.To {
			continue
		}
		seen[m.Tooth] = true
		// By a papilla measures run evenly from one tooth's margin to the next's, and a
		// section would show another.
		if t := d.Cast.Teeth[m.Tooth]; t != nil && m.Name == "upper_border_to_margin" && off(t.Margin, m.From) > 0.3 {
			beside = append(beside, measured(m))
		} else {
			stops = append(stops, measured(m))
		}
	}
	if len(stops) == 0 {
		stops = beside
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
		stops = []stop{stopAt(0.2 * w.Length()), stopAt(0.5 * w.Length()), stopAt(0.8 * w.Length())}
	}
	var out []station
	for _, s := range stops {
		n := geom.V(s.normal.X, s.normal.Y, 0).Unit()
		if n == (geom.Vec{}) {
			continue
		}
		in := d.outward(s.at).Neg()
		right := in.Sub(n.Scale(in.Dot(n))).Unit()
		st := station{part: q, bar: true, tooth: s.n, at: s.at, normal: n, right: right, left: d.say(words.FacialSide), end: d.say(words.LingualSide)}
		st.title = d.partName(q.Part)
		if s.n != 0 {
			st.title += ", " + d.say(words.AtTooth, words.ToothAndISO(d.Lang, s.n))
		}
		out = append(out, st)
	}
	return out
}

// off is how far a place lies from a closed line.
func off(line []geom.Vec, p geom.Vec) float64 {
	_, d := geom.NewWalk(geom.Closed(line)).Nearest(p)
	return d
}

// crossing is where a line passes through a plane, nearest to a place.
func crossing(line []geom.Vec, normal geom.Vec, level float64, near geom.Vec) (found geom.Vec, ok bool) {
	best := math.Inf(1)
	for i := 1; i < len(line); i++ {
		a, b := line[i-1].Dot(normal)-level, line[i].Dot(normal)-level
		if (a > 0) == (b > 0) {
			continue
		}
		if p := line[i-1].Lerp(line[i], a/(a-b)); p.Dist(near) < best {
			found, best, ok = p, p.Dist(near), true
		}
	}
	return found, ok
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
	rim := geom.BoxOf(plate)
	mid := geom.V(0, (rim.Min.Y+rim.Max.Y)/2, 0)
	name := d.partName(q.Part)
	rightward := geom.V(-cast1(d.Cast.Arch), 0, 0) // patient's left on the reader's right
	both := []station{
		{part: q, sagittal: true, at: mid, normal: geom.V(1, 0, 0), right: geom.V(0, -1, 0), title: name + ", " + d.say(words.AlongMidline), left: d.say(words.Front), end: d.say(words.Back)},
		{part: q, at: mid, normal: geom.V(0, 1, 0), right: rightward, title: name + ", " + d.say(words.Across), left: d.say(words.RightLetter), end: d.say(words.LeftLetter)},
	}
	outline := make([]geom.Vec2, len(plate))
	for i, v := range plate {
		outline[i] = v.XY()
	}
	near := nearness(plate)
	var out []station
	for _, st := range both { // a scan may have a hole where the plate is cut
		seen, high := geom.Vec{}, 0
		for _, c := range d.cutAt(st) {
			for _, v := range c.points {
				if geom.Contains2(outline, v.XY()) && near(v) {
					seen, high = seen.Add(v), high+1
				}
			}
		}
		if high > 0 {
			st.at.Z = seen.Z / float64(high)
			out = append(out, st)
		}
	}
	return out
}

// cutAt is where a station's plane meets the cast.
func (d *draft) cutAt(st station) []chain {
	level := st.at.Dot(st.normal)
	return trace(d.Cast.Mesh, nil, func(k int32) float64 { return d.Cast.Mesh.Vertices[k].Dot(st.normal) - level })
}

// cast1 is the sign of x on the patient's right.
func cast1(a tooth.Arch) float64 {
	if a == tooth.Upper {
		return -1
	}
	return 1
}

// section draws the cut through cast and metal within a cell.
func (d *draft) section(p *sheet.Page, cell sheet.Rect, st station) {
	p.Picture(cell, d.say(words.PictureSection, st.name(), st.title))
	up := geom.V(0, 0, 1)
	if d.Cast.Arch == tooth.Upper {
		up = up.Neg()
	}
	frame := geom.Frame{Origin: geom.Vec{}, X: st.right, Y: up, Z: st.right.Cross(up)}
	head := sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6}
	p.Write(head, sheet.Pt(cell.X0+1, cell.Y0+3), st.name())
	w0 := head.Face.Width(st.name(), head.Size) + 2
	for i, l := range sheet.Plain.Wrap(st.title, 2.3, cell.W()-w0-2) {
		p.Write(sheet.Type{Layer: layerText, Size: 2.3}, sheet.Pt(cell.X0+1+w0, cell.Y0+3+float64(i)*3), l)
	}
	window := sheet.Rect{X0: cell.X0 + 0.5, Y0: cell.Y0 + 7.5, X1: cell.X1 - 0.5, Y1: cell.Y1 - 0.5}

	level := st.at.Dot(st.normal)
	cut := d.cutAt(st)
	center := frame.Local(st.at).XY()
	if st.bar {
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

	var widths []reading
	for _, q := range d.order {
		w := d.cutPart(f, q, st, level, cut)
		if q.Part.ID == st.part.Part.ID && !st.bar {
			widths = st.named(w)
		}
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
	for _, r := range append(d.readings(st, level, cut), widths...) {
		if d.drawReading(f, b, st, r) {
			d.read[st.index] = append(d.read[st.index], r)
		}
	}
}

// middleOfCut is the middle of the connector in a cut across a plate: on the surface, or
// where a scan has a hole there at the height of what it shows beside it.
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
func (d *draft) cutPart(f *figure, q placement.Placed, st station, level float64, cut []chain) (widths []reading) {
	metal := d.pens.metal
	metal.Width = 0.25
	fill := metal.Ink.Tint(0.45)
	for _, c := range q.Curves {
		if c.Role != placement.BarLine && c.Role != placement.Rigid || plated(q) && d.Cast.Arch == tooth.Upper {
			continue
		}
		for i := 1; i < len(c.Points); i++ {
			a, b := c.Points[i-1].Dot(st.normal)-level, c.Points[i].Dot(st.normal)-level
			if (a > 0) == (b > 0) || a == b {
				continue
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
		case patch.Role == placement.Plate && q.Part.Kind == design.MajorConnector && (!st.bar || d.hasApron(q)), patch.Role == placement.Lattice:
			pen, tint := metal, fill
			if patch.Role == placement.Lattice {
				tint = sheet.None
			}
			widths = append(widths, d.cutPatch(f, patch, st, cut, pen, tint)...)
		}
	}
	return widths
}

// hasApron tells the lower connectors that rise over the crowns as a plate.
func (d *draft) hasApron(q placement.Placed) bool { return q.Part.Form == design.LingualPlate }

// cutPatch draws a plate in section: the surface inside its outline, lifted by the relief,
// as thick as the metal.
func (d *draft) cutPatch(f *figure, patch placement.Patch, st station, cut []chain, pen sheet.Pen, fill sheet.Color) (widths []reading) {
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
	side := -1.0 // of sheet.Offset, on which a line from left to right has the outside
	if f.direction(st.right).Left().Dot(f.direction(d.Placement.Path.Direction)) > 0 {
		side = 1
	}
	var run []geom.Vec
	end := func() {
		if len(run) > 3 && geom.Length(run) > 0.8 {
			line := f.points(run)
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
			widths = append(widths, reading{"strap_width", geom.Length(run), run})
		}
		run = nil
	}
	for _, line := range blockedOut(cut, st, d.Placement.Path.Direction) {
		for _, q := range line {
			if in(q) {
				run = append(run, q)
			} else {
				end()
			}
		}
		end()
	}
	return widths
}

// blockedOut is what a cut shows from above along the path, from the station's left to its
// right: the surface a plate is laid on, with what lies under an overhang filled parallel to
// the path. Where a scan has a hole the line is broken.
func blockedOut(cut []chain, st station, path geom.Vec) [][]geom.Vec {
	const (
		step  = 0.1  // [mm]
		sheer = 1.0  // rise in one step that is a wall, not a slope [mm]
		apart = 0.15 // places on a wall [mm]
	)
	up := path.Sub(st.normal.Scale(path.Dot(st.normal))).Unit()
	right := st.right.Sub(up.Scale(st.right.Dot(up))).Unit()
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range cut {
		for _, p := range c.points {
			lo, hi = math.Min(lo, p.Dot(right)), math.Max(hi, p.Dot(right))
		}
	}
	if lo > hi {
		return nil
	}
	top := make([]float64, int((hi-lo)/step)+1)
	for i := range top {
		top[i] = math.Inf(-1)
	}
	for _, c := range cut {
		pts := c.points
		if c.closed {
			pts = geom.Closed(pts)
		}
		for i := 1; i < len(pts); i++ {
			a, b := pts[i-1], pts[i]
			if a.Dot(right) > b.Dot(right) {
				a, b = b, a
			}
			u, w := (a.Dot(right)-lo)/step, (b.Dot(right)-lo)/step
			for k := int(math.Ceil(u)); float64(k) <= w && k < len(top); k++ {
				t := 0.0
				if w > u {
					t = (float64(k) - u) / (w - u)
				}
				top[k] = math.Max(top[k], a.Lerp(b, t).Dot(up))
			}
		}
	}
	level := st.normal.Scale(st.at.Dot(st.normal))
	var lines [][]geom.Vec
	var out []geom.Vec
	for k, h := range append(top, math.Inf(-1)) {
		if math.IsInf(h, -1) {
			if len(out) > 0 {
				lines = append(lines, out)
			}
			out = nil
			continue
		}
		at := right.Scale(lo + float64(k)*step).Add(level)
		if n := len(out); n > 0 && math.Abs(h-out[n-1].Dot(up)) > sheer {
			was, foot := out[n-1].Dot(up), at // the filling stands clear of what it falls from
			if was < h {
				foot = at.Sub(right.Scale(step))
			}
			for m, many := 1, int(math.Abs(h-was)/apart); m < many; m++ {
				out = append(out, foot.Add(up.Scale(was+(h-was)*float64(m)/float64(many))))
			}
		}
		out = append(out, at.Add(up.Scale(h)))
	}
	return lines
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

// sectionOutline is a bar's cross-section on the page.
func sectionOutline(f *figure, c placement.Curve, i int, p geom.Vec, st station) []sheet.Point {
	w, t := at(c.Width, i), at(c.Thickness, i)
	out := geom.V(0, 0, 0)
	if i < len(c.Out) {
		out = c.Out[i]
	}
	out = out.Sub(st.normal.Scale(out.Dot(st.normal))).Unit()
	side := st.normal.Cross(out).Unit()
	if side.Z < 0 {
		side = side.Neg() // toward the teeth
	}
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

// reading is a distance read on a section along the surface, as a ruler laid on the gum
// reads it.
type reading struct {
	name  string // of the measure it corresponds to
	value float64
	line  []geom.Vec
}

// readings are the distances read on a section: for a bar from margin to upper border, the
// bar's height and from its lower border to the floor; for a plate its width.
func (d *draft) readings(st station, level float64, cut []chain) []reading {
	cross := func(line []geom.Vec, closed bool) []geom.Vec {
		if closed {
			line = geom.Closed(line)
		}
		var out []geom.Vec
		for i := 1; i < len(line); i++ {
			a, b := line[i-1].Dot(st.normal)-level, line[i].Dot(st.normal)-level
			if (a > 0) != (b > 0) {
				if p := line[i-1].Lerp(line[i], a/(a-b)); !st.bar || p.Dist(st.at) < 20 {
					out = append(out, p)
				}
			}
		}
		return out
	}
	if !st.bar {
		return nil // read where the plate is drawn
	}
	var borders []geom.Vec
	for _, c := range st.part.Curves {
		if c.Role == placement.Border {
			borders = append(borders, cross(c.Points, c.Closed)...)
		}
	}
	if len(borders) < 2 {
		return nil
	}
	sort.Slice(borders, func(i, j int) bool { return borders[i].Z > borders[j].Z })
	upper, lower := borders[0], borders[len(borders)-1]
	var out []reading
	add := func(name string, a, b geom.Vec) {
		if line := along(cut, a, b); len(line) > 1 {
			out = append(out, reading{name, geom.Length(line), line})
		}
	}
	plate := st.part.Part.Form == design.LingualPlate // it covers the margin and has no height of a bar
	if t := d.Cast.Teeth[st.tooth]; t != nil && !plate {
		found, best := geom.Vec{}, math.Inf(1)
		for _, m := range cross(t.Margin, true) {
			if e := m.Dist(upper); e < best {
				found, best = m, e
			}
		}
		if best < 20 {
			add("upper_border_to_margin", found, upper)
		}
	}
	if !plate {
		add("bar_height", upper, lower)
	}
	floor := d.Cast.Marks.Floor
	if st.part.Part.Form == design.LabialBar {
		floor = d.Cast.Marks.Vestibule
	}
	if fl := cross(floor.Points, floor.Closed); len(fl) > 0 {
		sort.Slice(fl, func(i, j int) bool { return fl[i].Dist(lower) < fl[j].Dist(lower) })
		if fl[0].Z < lower.Z {
			add("lower_border_to_floor", lower, fl[0])
		}
	}
	return out
}

// along is the stretch of a cut between two places on it.
func along(cut []chain, a, b geom.Vec) []geom.Vec {
	for _, c := range cut {
		pts := c.points
		if c.closed {
			pts = geom.Closed(pts)
		}
		if len(pts) < 2 {
			continue
		}
		w := geom.NewWalk(pts)
		s0, d0 := w.Nearest(a)
		s1, d1 := w.Nearest(b)
		const off = 0.6 // placed lines lie close to the surface [mm]
		if d0 > off || d1 > off {
			continue
		}
		lo, hi := math.Min(s0, s1), math.Max(s0, s1)
		if c.closed && hi-lo > w.Length()/2 { // the shorter way round
			return append(stretch(pts, w, hi, w.Length()), stretch(pts, w, 0, lo)...)
		}
		return stretch(pts, w, lo, hi)
	}
	return nil
}

// drawReading draws a distance along the surface, with ticks at its ends, and its value.
func (d *draft) drawReading(f *figure, b *sheet.Board, st station, r reading) bool {
	line := f.points(r.line)
	if box, _ := sheet.Bounds(line); !b.Area().Holds(box) {
		return false
	}
	pen := d.pens.dim
	pen.Name = st.lineName(r.name)
	pen.Width = 0.35
	pen.Ink = d.Palette.Accent
	f.draw(pen, false, line)
	tick := d.pens.dim
	tick.Ink = d.Palette.Accent
	n := len(line)
	for _, e := range [2][2]sheet.Point{{line[0], line[1]}, {line[n-1], line[n-2]}} {
		s := e[1].Sub(e[0]).Unit().Left().Scale(1.2)
		f.draw(tick, false, []sheet.Point{e[0].Sub(s), e[0].Add(s)})
	}
	w := sheetWalk(line)
	toward := f.direction(st.right.Neg())
	if !st.bar {
		toward = sheet.Point{}
	}
	b.Place(sheet.Label{Type: sheet.Type{Layer: layerDims, Size: sizeDim, Ink: d.Palette.Accent}, Text: words.Number(d.Lang, r.value, 2),
		At: w, Toward: toward, Near: 1.5, Reach: 16, Leader: d.pens.leader})
	return true
}

// sheetWalk is the middle of a line by its length.
func sheetWalk(l []sheet.Point) sheet.Point {
	half := 0.0
	for i := 1; i < len(l); i++ {
		half += l[i].Dist(l[i-1])
	}
	half /= 2
	for i := 1; i < len(l); i++ {
		s := l[i].Dist(l[i-1])
		if s >= half && s > 0 {
			return l[i-1].Lerp(l[i], half/s)
		}
		half -= s
	}
	return l[len(l)-1]
}

// named gives a plate's readings the names of the measures they are: its width where it
// is cut along the midline, its length where it is cut across; two straps are the anterior
// and the posterior.
func (st station) named(w []reading) []reading {
	sort.SliceStable(w, func(i, j int) bool { return w[i].line[0].Y > w[j].line[0].Y })
	for i := range w {
		switch {
		case !st.sagittal:
			w[i].name = "connector_length"
		case len(w) == 2:
			w[i].name = [...]string{"anterior_strap_width", "posterior_strap_width"}[i]
		}
	}
	return w
}

// name is the section's letters.
func (st station) name() string { return sectionLetter(st.index) }

// lineName names a reading's line for whoever measures the drawing.
func (st station) lineName(measure string) string {
	return "section " + string(rune('A'+st.index%26)) + " " + measure
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
	type cell struct {
		w    float64
		draw func(p *sheet.Page, cell sheet.Rect)
	}
	type row struct {
		h, w  float64
		cells []cell
	}
	begin := func() (sheet.Page, sheet.Rect) {
		p, area := d.page(d.say(words.Details))
		openLayers(&p)
		return p, area
	}
	_, area := begin()
	var rows []row
	add := func(h float64, c cell) {
		if n := len(rows); n == 0 || rows[n-1].h != h || rows[n-1].w+c.w > area.W()+0.01 {
			rows = append(rows, row{h: h})
		}
		r := &rows[len(rows)-1]
		r.cells, r.w = append(r.cells, c), r.w+c.w
	}
	for _, n := range d.carrying() {
		add(d.cellHeight(), cell{2 * cellW, func(p *sheet.Page, cell sheet.Rect) {
			a, b := cell, cell
			a.X1 = cell.X0 + cell.W()/2
			b.X0 = a.X1
			d.elevation(p, a, n, true)
			d.elevation(p, b, n, false)
		}})
	}
	for k, st := range d.stations() {
		w := 62.0
		if !st.bar {
			w = 2 * cellW
		}
		c := cell{w, func(p *sheet.Page, cell sheet.Rect) { d.section(p, cell, st) }}
		if k == 0 { // sections begin a row
			rows = append(rows, row{h: sectionH, w: w, cells: []cell{c}})
			continue
		}
		add(sectionH, c)
	}
	var sheets [][]row
	y := area.H() // of a page that is full: the first row begins one
	for _, r := range rows {
		if y+r.h > area.H() {
			sheets, y = append(sheets, nil), 0
		}
		sheets[len(sheets)-1] = append(sheets[len(sheets)-1], r)
		y += r.h
	}
	// A last page of one row takes another over from the one before.
	if n := len(sheets); n > 1 && len(sheets[n-1]) == 1 && len(sheets[n-2]) > 2 {
		before := sheets[n-2]
		if over := before[len(before)-1]; over.h+y <= area.H() {
			sheets[n-2], sheets[n-1] = before[:len(before)-1], append([]row{over}, sheets[n-1]...)
		}
	}
	var pages []sheet.Page
	for _, rows := range sheets {
		p, area := begin()
		y := area.Y0
		for _, r := range rows {
			x := area.X0
			for _, c := range r.cells {
				box := sheet.Box(x, y, c.w, r.h)
				c.draw(&p, box)
				p.Draw(sheet.Pen{Layer: layerText, Width: 0.1, Ink: lightGrey}, true, box.Outline())
				x += c.w
			}
			y += r.h
		}
		pages = append(pages, p)
	}
	return pages
}

func sectionLetter(i int) string {
	l := string(rune('A' + i%26))
	return l + "–" + l
}
