package drawing

import (
	"math"
	"strings"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// Sizes of type on the drawings [mm].
const (
	sizeTooth = 3.0
	sizeSmall = 1.9
	sizeLabel = 2.3
	sizeDim   = 2.2
	sizePart  = 2.1
)

// inPlan are the measures that the occlusal view shows as dimension lines where they lie
// across the line of sight.
var inPlan = map[string]bool{
	"strap_width": true, "anterior_strap_width": true, "posterior_strap_width": true, "lateral_strap_width": true,
	"opening_length": true, "opening_width": true, "border_to_margin": true, "border_to_vibrating_line": true, "connector_spacing": true,
}

// occlusalSheet is the first sheet: the whole design at 1:1, seen from the occlusal, and
// in words tooth by tooth.
func (d *draft) occlusalSheet() sheet.Page {
	p, area := d.page(d.say(words.OcclusalView))
	openLayers(&p)
	legend := d.legend()
	below := math.Max(legend.height(area.W()*0.66)+2, 44) + 2
	v := d.lines.view
	summary := d.summary(area.W())
	room := area.H() - below
	fig := area
	fig.Y1 = area.Y0 + math.Min(room, float64(v.ny)*v.cell+24)
	if fig.H()+summary.Height()+4 > room { // the list of parts says it all again
		summary.Rows = nil
		fig.Y1 = area.Y0 + room
	}
	d.occlusal(&p, fig, 1)
	if len(summary.Rows) > 0 {
		summary.Draw(&p, sheet.Pt(area.X0, fig.Y1+2))
	}
	panel := sheet.Rect{X0: area.X0, Y0: area.Y1 - below + 2, X1: area.X1, Y1: area.Y1}
	p.Line(sheet.Pen{Layer: layerText, Width: 0.15, Ink: lightGrey}, sheet.Pt(panel.X0, panel.Y0), sheet.Pt(panel.X1, panel.Y0))
	left := panel
	left.X1 = left.X0 + area.W()*0.32
	d.pathPanel(&p, left)
	right := panel
	right.X0 = right.X1 - area.W()*0.66
	legend.draw(d, &p, right)
	return p
}

// enlargedSheet is the second sheet: the design at 2:1 with every part's number, the
// dimensions that lie in the plane of the view, and where the sections are cut.
func (d *draft) enlargedSheet() sheet.Page {
	p, area := d.page(d.say(words.EnlargedView))
	openLayers(&p)
	d.occlusal(&p, area, 2)
	return p
}

// designBounds is what the enlarged view shows: teeth, ridges and all parts.
func (d *draft) designBounds(frame geom.Frame) (lo, hi geom.Vec2) {
	lo, hi = geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	add := func(q geom.Vec2) {
		lo.X, lo.Y = math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)
		hi.X, hi.Y = math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)
	}
	for _, n := range d.Cast.Standing() {
		for _, l := range d.lines.crowns[n] {
			for _, q := range l {
				add(q)
			}
		}
	}
	for _, q := range d.order {
		for _, c := range q.Curves {
			for _, v := range c.Points {
				add(frame.Local(v).XY())
			}
		}
		for _, c := range q.Patches {
			for _, v := range c.Outline {
				add(frame.Local(v).XY())
			}
		}
	}
	return lo, hi
}

// occlusal draws the cast and the design over it within a rectangle. At 1:1 it carries
// what is read at a glance; enlarged, the parts' numbers, dimensions and sections.
func (d *draft) occlusal(p *sheet.Page, area sheet.Rect, scale float64) {
	v := d.lines.view
	p.Picture(area, d.say(words.PictureOcclusal, words.Term(d.Lang, "arch", d.Cast.Arch.String()), words.Number(d.Lang, scale, 0), len(d.order)))
	center := geom.Vec2{X: v.x0 + float64(v.nx)*v.cell/2, Y: v.y0 + float64(v.ny)*v.cell/2}
	enlarged := scale > 1
	if enlarged {
		lo, hi := d.designBounds(v.frame)
		center = lo.Lerp(hi, 0.5)
	}
	f := newFigure(p, v.frame, center, area.Center(), scale, area)
	w, h := float64(v.nx)*v.cell*scale, float64(v.ny)*v.cell*scale
	f.whole = !enlarged && w <= area.W() && h <= area.H()

	d.drawCastLines(f)
	for _, q := range d.order {
		d.drawPart(f, q, nil)
	}
	d.drawBase(f)
	if len(d.deep) > 0 {
		deep := f.flat(d.deep)
		if !f.whole {
			deep = f.clipAreas(deep)
		}
		f.draw(d.pens.deep, false, sheet.Hatch(geom.Deg(135), 1, deep...)...)
		f.draw(d.pens.deep, true, deep...)
	}

	b := sheet.NewBoard(p, area)
	d.weigh(b, p)
	d.weighArms(b, p)
	for _, n := range d.Cast.Standing() { // labels rather stand beside the crowns
		b.Weigh(1, false, sheet.Hatch(0, 0.5, f.flat(d.lines.crowns[n])...)...)
	}
	d.sides(b, area)
	if enlarged {
		d.sectionMarks(f, b)
	}
	d.toothNumbers(f, b)
	d.tipLabels(f, b)
	d.axes(f, b)
	if enlarged {
		d.planDimensions(f, b)
		d.balloons(f, b)
		return
	}
	d.tripodMarks(f, b)
}

// sectionMarks draws where the sections are cut: a stroke and a letter at either end.
func (d *draft) sectionMarks(f *figure, b *sheet.Board) {
	for _, st := range d.stations() {
		half := 7.0
		if !st.bar {
			half = 24
		}
		letter := string(rune('A' + st.index%26))
		for _, s := range [...]float64{-1, 1} {
			end := st.at.Add(st.right.Scale(s * half))
			p, q := f.point(end), f.point(end.Add(st.right.Scale(s*2)))
			pen := d.pens.dim
			pen.Width = 0.45
			f.draw(pen, false, []sheet.Point{p, q})
			b.Weigh(6, false, []sheet.Point{p, q})
			b.Place(sheet.Label{Type: sheet.Type{Layer: layerDims, Size: 2.8, Face: sheet.Bold}, Text: letter, At: q, Toward: q.Sub(p).Unit(), Near: 0.5, Reach: 8})
		}
	}
}

func (d *draft) drawCastLines(f *figure) {
	l := d.lines
	f.ground(plaster, f.flat(l.rim)...)
	for _, n := range d.Cast.Standing() {
		crown := f.flat(l.crowns[n])
		f.area(layerGround, sheet.White, crown...)
		thin := d.pens.crown
		thin.Width = 0.15
		f.draw(thin, true, crown...)
	}
	for _, r := range l.rim {
		q := f.flat([][]geom.Vec2{r})
		f.draw(d.pens.rim, true, sheet.Simplify(q[0], 0.06))
	}
	f.draw(d.pens.crown, false, f.flat(l.crown)...)
	f.draw(d.pens.tissue, false, f.flat(l.tissue)...)
	f.draw(d.pens.crease, false, f.flat(l.furrows)...)
	f.draw(d.pens.ridge, false, f.flat(l.ridges)...)
	f.draw(d.pens.margin, false, f.flat(l.margins)...)
	f.draw(d.pens.tissue, false, f.flat(l.landmarks)...)
}

// drawBase draws the landmarks that are lines of their own: sulcus and floor, crest,
// midline, vibrating line.
func (d *draft) drawBase(f *figure) {
	m := d.Cast.Marks
	line := func(c cast.Curve, dash sheet.Dash) {
		if !c.Known() {
			return
		}
		pen := d.pens.tissue
		pen.Dash = dash
		f.draw(pen, c.Closed, sheet.Simplify(f.points(c.Points), simpleTol))
	}
	line(m.Vestibule, nil)
	line(m.Floor, nil)
	for _, r := range m.Ridges {
		line(r.Crest, sheet.Dash{0.5, 0.7})
	}
	line(m.Midline, sheet.DashDot)
	line(m.Vibrating, sheet.Dash{1.2, 0.8})
	for _, t := range m.Tori {
		line(t.Outline, sheet.Dash{0.8, 0.5})
	}
}

// weigh tells a board what has been drawn on its page.
func (d *draft) weigh(b *sheet.Board, p *sheet.Page) {
	weight := map[sheet.Layer]uint8{layerCast: 3, layerTissue: 1, layerResin: 2, layerMetal: 5, layerRests: 8, layerArms: 10, layerSurvey: 4, layerUndercut: 3, layerAxis: 3}
	for _, it := range p.Items {
		if q, ok := it.(*sheet.Path); ok {
			if w := weight[q.Layer]; w > 0 {
				b.Weigh(w, q.Closed, q.Lines...)
			}
		}
	}
}

// weighArms keeps labels off the inside of arms that are drawn broad enough to hold one.
func (d *draft) weighArms(b *sheet.Board, p *sheet.Page) {
	for _, it := range p.Items {
		if q, ok := it.(*sheet.Path); ok && q.Layer == layerArms && q.Fill != sheet.None {
			b.Weigh(2, false, sheet.Hatch(0, 0.5, q.Lines...)...)
		}
	}
}

// sides writes which side is which.
func (d *draft) sides(b *sheet.Board, area sheet.Rect) {
	place := func(at sheet.Point, align sheet.Align, letter, text string) {
		big := sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 5, Ink: grey, Align: align}
		small := sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey, Align: align}
		for _, t := range []*sheet.Text{big.Text(at, letter), small.Text(at.Add(sheet.Pt(0, 3)), text)} {
			b.Page().Items = append(b.Page().Items, t)
			b.Keep(t.Box().Grow(0.5))
		}
	}
	y := area.Y0 + 6
	if d.Cast.Arch == tooth.Lower {
		y = area.Y1 - 5
	}
	place(sheet.Pt(area.X0+1, y), sheet.Left, d.say(words.RightLetter), d.say(words.PatientsRight))
	place(sheet.Pt(area.X1-1, y), sheet.Right, d.say(words.LeftLetter), d.say(words.PatientsLeft))
}

// toothNumbers numbers every tooth on its facial side: standing teeth in bold, replaced
// ones plain.
func (d *draft) toothNumbers(f *figure, b *sheet.Board) {
	for _, n := range d.Cast.Standing() {
		t := d.Cast.Teeth[n]
		d.toothNumber(f, b, n, sheet.Bold, d.facialMost(f, n, t.Frame.Origin, t.Frame.Y), f.direction(t.Frame.Y))
	}
	for _, q := range d.order {
		if q.Part.Kind != design.ReplacementTooth || d.Cast.Teeth[q.Part.Tooth] != nil {
			continue
		}
		for _, c := range q.Patches {
			if c.Role != placement.Crown || len(c.Outline) < 3 {
				continue
			}
			mid := geom.Vec{}
			for _, p := range c.Outline {
				mid = mid.Add(p.Scale(1 / float64(len(c.Outline))))
			}
			out := d.outward(mid)
			far := mid
			for _, p := range c.Outline {
				if p.Dot(out) > far.Dot(out) {
					far = p
				}
			}
			d.toothNumber(f, b, q.Part.Tooth, sheet.Plain, f.point(far), f.direction(out))
			break
		}
	}
}

// direction is a direction of the outer frame on the page, as a unit vector.
func (f *figure) direction(v geom.Vec) sheet.Point {
	q := f.frame.LocalDir(v)
	return sheet.Pt(q.X, -q.Y).Unit()
}

// outward points from the middle of the arch to the facial at a place.
func (d *draft) outward(p geom.Vec) geom.Vec {
	line := d.Cast.Marks.Arch.Points
	if len(line) < 2 {
		return geom.V(p.X, p.Y, 0).Unit()
	}
	w := geom.NewWalk(line)
	s, _ := w.Nearest(p)
	// The curve runs from the patient's right to the left: facial lies to the left of it
	// in the upper arch, where x points to the patient's left, and to the right of it in the lower.
	t := w.Tangent(s)
	n := geom.V(-t.Y, t.X, 0).Unit()
	if d.Cast.Arch == tooth.Lower {
		n = n.Neg()
	}
	return n
}

// facialMost is the outermost place of a crown as it is seen.
func (d *draft) facialMost(f *figure, n tooth.Number, origin, facial geom.Vec) sheet.Point {
	dir := f.direction(facial)
	best := f.point(origin)
	far := best.Dot(dir)
	mid := best
	for _, l := range f.flat(d.lines.crowns[n]) {
		for _, p := range l {
			if v := p.Dot(dir); v > far {
				far, best = v, p
			}
		}
	}
	// Straight out from the middle, so that numbers stand evenly.
	return mid.Add(dir.Scale(far - mid.Dot(dir)))
}

func (d *draft) toothNumber(f *figure, b *sheet.Board, n tooth.Number, face sheet.Face, at, toward sheet.Point) {
	ty := sheet.Type{Layer: layerText, Face: face, Size: sizeTooth, Name: "tooth " + n.String()}
	if face == sheet.Plain {
		ty.Ink = grey
	}
	text := n.String()
	corner := 0
	switch d.Lang.Teeth() {
	case tooth.Universal:
		text = itoa(n.Universal())
	case tooth.Zsigmondy:
		text = itoa(n.Place())
		corner = n.Quadrant()
		text = " " + text + " " // room for the corner
	}
	l := sheet.Label{Type: ty, Text: text, At: at, Toward: toward, Near: 1, Reach: 14, Leader: d.pens.leader, Bare: true}
	r, ok := b.Place(l)
	if !ok {
		l.Reach = 0
		if r, ok = b.Place(l); !ok {
			return
		}
	}
	if corner > 0 {
		drawCorner(b.Page(), r, corner)
	}
	if d.Lang.Teeth() != tooth.FDI {
		small := sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey, Name: "ISO " + n.String()}
		b.Place(sheet.Label{Type: small, Text: n.String(), At: r.Center(), Toward: toward, Near: r.H() / 2, Reach: 12, Bare: true})
	}
}

// drawCorner draws the quadrant's corner of the Zsigmondy system round a digit, as seen
// facing the patient: the upright on the midline's side, the bar toward the other jaw.
func drawCorner(p *sheet.Page, r sheet.Rect, quadrant int) {
	pen := sheet.Pen{Layer: layerText, Width: 0.25, Ink: sheet.Black}
	left, right := r.X0+0.3, r.X1-0.3
	top, foot := r.Y0+0.2, r.Y1-0.1
	x, bar := right, foot // upper right quadrant: upright right, bar below
	if quadrant == 2 || quadrant == 3 {
		x = left
	}
	if quadrant == 3 || quadrant == 4 {
		bar = top
	}
	p.Draw(pen, false, []sheet.Point{{X: x, Y: top + foot - bar}, {X: x, Y: bar}, {X: left + right - x, Y: bar}})
}

// tipLabels writes beside each retentive tip the undercut that it stands in.
func (d *draft) tipLabels(f *figure, b *sheet.Board) {
	for _, q := range d.order {
		for _, tip := range q.Held() {
			toward := f.direction(d.outward(tip.Point))
			if !tip.Site.Facial() {
				toward = toward.Scale(-1)
			}
			b.Place(sheet.Label{
				Type: sheet.Type{Layer: layerText, Size: sizeLabel, Ink: d.Palette.Retention.Dark(), Face: sheet.Bold, Name: "undercut " + string(q.Part.ID)},
				Text: d.tipText(q, tip), At: f.point(tip.Point), Toward: toward, Near: 2.5, Leader: d.pens.leader,
			})
		}
	}
}

func (d *draft) tipText(q placement.Placed, tip placement.Tip) string {
	s := words.Number(d.Lang, tip.UndercutMM, 2)
	if wrought(q) {
		s = "WW " + s
	}
	return s
}

// axes draws the axis of a rotational path with its two centres, the fulcrum lines, and from the support fulcrum the arm to each indirect
// retainer.
func (d *draft) axes(f *figure, b *sheet.Board) {
	line := func(ends []geom.Vec, pen sheet.Pen) (sheet.Point, sheet.Point, bool) {
		if len(ends) != 2 {
			return sheet.Point{}, sheet.Point{}, false
		}
		p, q := f.point(ends[0]), f.point(ends[1])
		dir := q.Sub(p).Unit().Scale(5)
		f.draw(pen, false, []sheet.Point{p.Sub(dir), q.Add(dir)})
		b.Weigh(4, false, []sheet.Point{p.Sub(dir), q.Add(dir)})
		return p, q, true
	}
	if t := d.Placement.Turn; t != nil {
		if p, q, ok := line(t.Axis[:], d.pens.turn); ok {
			for _, c := range []sheet.Point{p, q} {
				f.draw(d.pens.tripod, true, sheet.Circle(c, 0.8))
			}
		}
	}
	thin := d.pens.fulcrum
	thin.Width = 0.18
	line(d.Placement.RetentiveFulcrum, thin)
	p, q, ok := line(d.Placement.SupportFulcrum, d.pens.fulcrum)
	if !ok {
		return
	}
	dir := q.Sub(p).Unit()
	for _, r := range d.order {
		if r.Part.Kind != design.Rest || r.Part.Role != design.Indirect {
			continue
		}
		rest, ok := f.spot(r)
		if !ok {
			continue
		}
		foot := p.Add(dir.Scale(rest.Sub(p).Dot(dir)))
		arm := rest.Sub(foot)
		length := arm.Norm()
		if length < 1 {
			continue
		}
		f.draw(d.pens.perpendicular, false, []sheet.Point{foot, rest})
		b.Weigh(4, false, []sheet.Point{foot, rest})
		u := arm.Unit().Scale(1.3)
		e := dir.Scale(1.3)
		if foot.Sub(p).Dot(dir) > q.Sub(p).Dot(dir)/2 {
			e = e.Scale(-1)
		}
		square := d.pens.perpendicular
		square.Dash, square.Width = nil, 0.15
		f.draw(square, false, []sheet.Point{foot.Add(u), foot.Add(u).Add(e), foot.Add(e)})
		b.Place(sheet.Label{Type: sheet.Type{Layer: layerDims, Size: sizeDim, Ink: d.Palette.Fulcrum.Dark()}, Text: words.MM(d.Lang, length/f.scale),
			At: foot.Lerp(rest, 0.5), Near: 0.4, Reach: 12, Toward: dir.Left(), Leader: d.pens.leader})
	}
}

// tripodMarks draws the three marks that set the cast up again at its tilt.
func (d *draft) tripodMarks(f *figure, b *sheet.Board) {
	for i, m := range d.tripod {
		c := f.point(m)
		f.draw(d.pens.tripod, true, sheet.Circle(c, 1.5))
		f.draw(d.pens.tripod, false, []sheet.Point{c.Sub(sheet.Pt(1, 0)), c.Add(sheet.Pt(1, 0))}, []sheet.Point{c.Sub(sheet.Pt(0, 1)), c.Add(sheet.Pt(0, 1))})
		b.Keep(sheet.Box(c.X-1.6, c.Y-1.6, 3.2, 3.2))
		b.Place(sheet.Label{Type: sheet.Type{Layer: layerText, Size: sizeSmall}, Text: itoa(i + 1), At: c, Near: 1.7, Reach: 8, Bare: true})
	}
}

// planDimensions draws the measures that lie in the plane of the view.
func (d *draft) planDimensions(f *figure, b *sheet.Board) {
	seen := map[string]bool{}
	for _, q := range d.order {
		for _, m := range q.Measures {
			key := string(q.Part.ID) + m.Name
			if !inPlan[m.Name] || m.Quantity.Unit != "mm" || seen[key] {
				continue
			}
			if d.dimension(f, b, q, m, nil) {
				seen[key] = true
			}
		}
	}
}

// dimension draws one measure where it lies across the line of sight, so that its length
// on paper is the measure; ok is false where it does not, or found no room.
func (d *draft) dimension(f *figure, b *sheet.Board, q placement.Placed, m placement.Measure, aside []float64) bool {
	if m.From == m.To {
		return false
	}
	from, to := f.point(m.From), f.point(m.To)
	if math.Abs(from.Dist(to)/f.scale-m.Quantity.Value) > 0.05 {
		return false
	}
	pen := d.pens.dim
	pen.Name = measureName(q, m)
	return b.Dimension(sheet.Dimension{Pen: pen, Type: sheet.Type{Layer: layerDims, Size: sizeDim}, A: from, B: to,
		Text: words.Number(d.Lang, m.Quantity.Value, 1), Aside: aside})
}

// measureName names a dimension line for whoever measures the drawing.
func measureName(q placement.Placed, m placement.Measure) string {
	s := []string{"measure", string(q.Part.ID), m.Name}
	if m.Tooth != 0 {
		s = append(s, m.Tooth.String())
	}
	return strings.Join(s, " ")
}

// balloons writes each part's number in a ring with a line to it.
func (d *draft) balloons(f *figure, b *sheet.Board) {
	for _, q := range d.order {
		if q.Part.Kind == design.ReplacementTooth {
			continue
		}
		l := sheet.Label{Type: sheet.Type{Layer: layerText, Size: sizePart, Name: "part " + string(q.Part.ID)}, Text: itoa(d.numbers[q.Part.ID]),
			Near: 2.5, Leader: d.pens.leader, Ring: true}
		spots := f.spots(q)
		ok := false
		for _, cross := range [...]bool{false, true} {
			for i := 0; i < len(spots) && !ok; i++ {
				l.At, l.Cross = spots[i], cross
				_, ok = b.Place(l)
			}
		}
	}
}
