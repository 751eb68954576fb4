package drawing

import (
	"fmt"
	"math"
	"strings"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/sheet"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

// MapInput is what an undercut map shows.
type MapInput struct {
	Title   string
	Date    string
	Program string
	Surface string // the file it was read from, or how the cast was made
	Path    string // of insertion, in words; "" gives its direction
	Survey  *survey.Survey
	Cast    *cast.Cast // nil for a surface whose teeth are not known
	Tips    []geom.Vec // retentive tips of a design, if any
	Palette Palette    // the zero Palette is House
	Lang    words.Lang // "" is English
}

const (
	stripCells  = 1000 // a strip's longer side is looked at in so many cells
	stripReach  = 13.0 // how far outside the middle line of the arch a strip goes [mm]
	stripInside = 9.0  // and inside it, where the arch bends back on itself before long [mm]
	stripBelow  = 9.0  // and how far below the lowest gingival margin [mm]
	stripBeyond = 7.0  // and how far past the arch's ends [mm]
	leastDepth  = 0.02 // from here on a place is drawn as undercut [mm]
)

// UndercutMap draws how deep a surface is undercut: its outside and its inside as strips,
// developed along the dental arch (round the middle of a surface whose arch is not known),
// with the undercut in four steps of lightness, its contours at the gauges' depths, the
// survey lines and the gingival margins. The path of insertion is upright on the page; an
// upper arch hangs down.
func UndercutMap(in MapInput) sheet.Page {
	if in.Palette.Name == "" {
		in.Palette = House()
	}
	if in.Lang == "" {
		in.Lang = words.English
	}
	p := sheet.Page{Name: "undercut map", Size: sheet.A4.Landscape()}
	deepest := 0.0
	for i, f := range in.Survey.Mesh.Faces {
		if in.Cast != nil && in.Cast.Labels[i] == 0 {
			continue
		}
		for _, v := range f {
			deepest = math.Max(deepest, in.Survey.Depth[v])
		}
	}
	d := in.Survey.Direction
	say := func(w words.Word, v ...any) string { return w.In(in.Lang, v...) }
	num := func(v float64, digits int) string { return words.Number(in.Lang, v, digits) }
	path := sheet.Field{Label: say(words.PathDirection), Value: num(d.X, 3) + " / " + num(d.Y, 3) + " / " + num(d.Z, 3)}
	depth := say(words.DeepestUndercut)
	if in.Path != "" {
		path = sheet.Field{Label: say(words.PathOfInsertion), Value: in.Path}
		depth = say(words.DeepestOnTeeth)
	}
	title := in.Title
	if title == "" {
		title = say(words.UndercutMap)
	}
	path.Span = 2
	frame := sheet.Frame{Title: title, Subtitle: strings.Join([]string{say(words.UndercutMap), in.Date, in.Program}, "   "), Accent: in.Palette.Accent, Notice: say(words.Safety) + " " + say(words.VerifyBefore),
		Fields: []sheet.Field{
			{Label: say(words.SurfaceFile), Value: in.Surface, Span: 2},
			path,
			{Label: depth, Value: num(deepest, 2) + " mm"},
			{Label: say(words.DepthsGoodTo), Value: "±" + num(in.Survey.Resolution, 3) + " mm"},
		}}
	area := frame.Draw(&p)
	openLayers(&p)
	m := newUndercutMap(in, &p)
	legendH := m.legend(sheet.Rect{X0: area.X0, Y0: area.Y1 - 19, X1: area.X1, Y1: area.Y1})
	area.Y1 -= legendH
	p.Picture(area, say(words.PictureMap))
	m.draw(area)
	return p
}

// unrolled lays the surroundings of a line out flat: X along the line, Y outward from it,
// Z along the path. The line lies in the plane square to the path.
type unrolled struct {
	frame  geom.Frame
	line   []geom.Vec2
	at     []float64
	closed bool
	out    float64 // +1 where outward is to the left of the line's course
}

func (u *unrolled) place(p geom.Vec) (q geom.Vec, outward geom.Vec) {
	l := u.frame.Local(p)
	x := l.XY()
	best, s, off, dir := math.Inf(1), 0.0, 0.0, geom.Vec2{}
	for i := 1; i < len(u.line); i++ {
		a, b := u.line[i-1], u.line[i]
		ab := b.Sub(a)
		long := ab.Norm()
		if long == 0 {
			continue
		}
		t := x.Sub(a).Dot(ab) / (long * long)
		// The ends go on straight.
		if (t < 0 && (i > 1 || u.closed)) || (t > 1 && (i+1 < len(u.line) || u.closed)) {
			t = math.Max(0, math.Min(1, t))
		}
		foot := a.Lerp(b, t)
		if d := x.Dist(foot); d < best {
			best = d
			s = u.at[i-1] + t*long
			side := ab.Cross(x.Sub(a))
			off = math.Copysign(d, side*u.out)
			dir = geom.Vec2{X: -ab.Y / long, Y: ab.X / long}.Scale(u.out)
		}
	}
	return geom.V(s, off, l.Z), u.frame.X.Scale(dir.X).Add(u.frame.Y.Scale(dir.Y))
}

// newUnrolled follows the arch from the patient's right to left, or goes once round the
// middle of the surface, beginning behind.
func newUnrolled(in MapInput) *unrolled {
	d := in.Survey.Direction
	u := &unrolled{frame: geom.FrameAlong(d)}
	if in.Cast != nil && len(in.Cast.Marks.Arch.Points) > 2 {
		pts := in.Cast.Marks.Arch.Points
		for _, p := range geom.Resample(pts, 41) {
			u.line = append(u.line, u.frame.Local(p).XY())
		}
		u.line = smooth(u.line, 6)
		inside := u.line[0].Lerp(u.line[len(u.line)-1], 0.5)
		u.out = -1
		mid := len(u.line) / 2
		if u.line[mid+1].Sub(u.line[mid]).Cross(inside.Sub(u.line[mid])) < 0 {
			u.out = 1
		}
	} else {
		u.frame.Origin = geom.BoxOf(in.Survey.Mesh.Vertices).Centre()
		r := 0.0
		for _, p := range in.Survey.Mesh.Vertices {
			r += u.frame.Local(p).XY().Norm() / float64(len(in.Survey.Mesh.Vertices))
		}
		const n = 180
		for i := 0; i <= n; i++ {
			s, c := math.Sincos(2*math.Pi*float64(i)/n - math.Pi/2)
			u.line = append(u.line, geom.Vec2{X: r * c, Y: r * s})
		}
		u.closed, u.out = true, -1
	}
	u.at = make([]float64, len(u.line))
	for i := 1; i < len(u.line); i++ {
		u.at[i] = u.at[i-1] + u.line[i].Dist(u.line[i-1])
	}
	return u
}

// undercutMap is a map in the making.
type undercutMap struct {
	MapInput
	page     *sheet.Page
	pens     pens
	roll     *unrolled
	flat     *mesh.Mesh // the mesh, developed
	outside  []int32    // faces of each strip
	inside   []int32
	lo, hi   geom.Vec // what the strips show
	contours [3][]chain
}

func newUndercutMap(in MapInput, p *sheet.Page) *undercutMap {
	m := &undercutMap{MapInput: in, page: p, pens: in.Palette.pens(), roll: newUnrolled(in)}
	src := in.Survey.Mesh
	outward := make([]geom.Vec, len(src.Vertices))
	m.flat = &mesh.Mesh{Vertices: make([]geom.Vec, len(src.Vertices)), Faces: src.Faces}
	for i, v := range src.Vertices {
		m.flat.Vertices[i], outward[i] = m.roll.place(v)
	}
	long := m.roll.at[len(m.roll.at)-1]
	from, to, low := 0.0, long, math.Inf(-1)
	if !m.roll.closed {
		from, to = -stripBeyond, long+stripBeyond
		low = math.Inf(1)
		for _, t := range in.Cast.Teeth {
			for _, q := range t.Margin {
				low = math.Min(low, q.Dot(in.Survey.Direction)-stripBelow)
			}
		}
	}
	m.lo, m.hi = geom.V(math.Inf(1), 0, math.Inf(1)), geom.V(math.Inf(-1), 0, math.Inf(-1))
	for i, f := range m.flat.Faces {
		a, b, c := m.flat.Corners(i)
		wide := math.Max(a.X, math.Max(b.X, c.X)) - math.Min(a.X, math.Min(b.X, c.X))
		p, q, r := src.Corners(i)
		n := q.Sub(p).Cross(r.Sub(p))
		edge := math.Max(p.Dist(q), math.Max(q.Dist(r), r.Dist(p)))
		mid := a.Add(b).Add(c).Scale(1.0 / 3)
		if wide > 2.5*edge+0.5 || mid.X < from || mid.X > to || mid.Z < low-2*edge {
			continue // across the seam or a fold of the development, or off the strip
		}
		if !m.roll.closed && (mid.Y > stripReach || mid.Y < -stripInside || m.behind(mid.X, n, outward[f[0]])) {
			continue
		}
		m.lo = geom.V(math.Min(m.lo.X, mid.X), 0, math.Min(m.lo.Z, math.Max(mid.Z, low)))
		m.hi = geom.V(math.Max(m.hi.X, mid.X), 0, math.Max(m.hi.Z, mid.Z))
		// What looks away from the eye is the far side seen through.
		side := n.Dot(outward[f[0]])
		if side >= 0 {
			m.outside = append(m.outside, int32(i))
		}
		if side <= 0 {
			m.inside = append(m.inside, int32(i))
		}
	}
	return m
}

// behind tells the walls at the back of a cast, which look along the arch past its ends.
func (m *undercutMap) behind(s float64, normal, outward geom.Vec) bool {
	if s > 0 && s < m.roll.at[len(m.roll.at)-1] {
		return false
	}
	n := normal.Unit()
	return math.Abs(n.Dot(outward)) < 0.5 && math.Abs(n.Dot(m.roll.frame.Z)) < 0.5
}

// draw draws the two strips.
func (m *undercutMap) draw(area sheet.Rect) {
	if len(m.outside)+len(m.inside) == 0 {
		return
	}
	const head = 5.0
	gap := 3.0
	high := (area.H() - 2*head - gap) / 2
	scale := math.Min(area.W()/(m.hi.X-m.lo.X+2), high/(m.hi.Z-m.lo.Z+2))
	if scale > 0.2 {
		scale = math.Floor(scale*20) / 20
	}
	hangs := m.Cast != nil && m.Cast.Arch == tooth.Upper
	up := 1.0
	if hangs {
		up = -1
	}
	titles := [2]words.Word{words.FacialStrip, words.LingualStrip}
	if m.roll.closed {
		titles = [2]words.Word{words.OutsideStrip, words.InsideStrip}
	}
	y := area.Y0
	for i, faces := range [2][]int32{m.outside, m.inside} {
		m.page.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6, Ink: m.Palette.Accent}, sheet.Pt(area.X0, y+3.2), titles[i].In(m.Lang))
		window := sheet.Rect{X0: area.X0, Y0: y + head, X1: area.X1, Y1: y + head + high}
		m.strip(window, faces, i == 1, up, scale)
		y = window.Y1 + gap
	}
	m.scaleBar(sheet.Pt(area.X1-62, area.Y0+3), scale)
}

// strip draws one side. The inner one is mirrored, so that both have the patient's right
// on the reader's left.
func (m *undercutMap) strip(window sheet.Rect, faces []int32, inner bool, up, scale float64) {
	eye := geom.V(0, 1, 0)
	if inner {
		eye = eye.Neg()
	}
	frame := geom.Frame{X: geom.V(1, 0, 0), Y: geom.V(0, 0, up), Z: eye}
	v := look(m.flat, faces, frame, math.Max(m.hi.X-m.lo.X, m.hi.Z-m.lo.Z)/stripCells)
	if len(v.near) == 0 {
		return
	}
	if m.Cast != nil {
		v.keepNear(func(face int32) bool { return m.Cast.Labels[face] != 0 })
	}
	center := geom.Vec2{X: (m.lo.X + m.hi.X) / 2, Y: up * (m.lo.Z + m.hi.Z) / 2}
	// What is cut off at the bottom is cut off straight.
	half := scale * (m.hi.Z - m.lo.Z) / 2
	cut := window
	if up > 0 {
		cut.Y1 = math.Min(cut.Y1, window.Center().Y+half)
	} else {
		cut.Y0 = math.Max(cut.Y0, window.Center().Y-half)
	}
	f := newFigure(m.page, frame, center, window.Center(), scale, cut)
	rim := f.flat(v.rim())
	f.ground(plaster, rim...)

	depth := v.interpolate(m.flat, m.Survey.Depth)
	smoothed := blur(depth, v.nx, v.ny, 1)
	for k, d := range depth {
		if d < 0 { // the rim stays where it is
			smoothed[k] = -1
		}
	}
	place := func(x, y float64) geom.Vec2 {
		return geom.Vec2{X: v.x0 + (x+0.5)*v.cell, Y: v.y0 + (y+0.5)*v.cell}
	}
	for i, from := range [4]float64{leastDepth, undercutDepth[0], undercutDepth[1], undercutDepth[2]} {
		f.area(layerTints, m.tint(i), f.flat(march(smoothed, v.nx, v.ny, float32(from), place))...)
	}
	pen := m.pens.rim
	pen.Width = 0.2
	f.draw(pen, true, rim...)
	in := map[int32]bool{}
	for _, i := range faces {
		in[i] = true
	}
	for i, at := range undercutDepth {
		pen := sheet.Pen{Layer: layerUndercut, Width: undercutWidth[i], Ink: m.Palette.Undercut[i], Dash: undercutDash[i], Name: fmt.Sprintf("undercut contour %.2f", at)}
		for _, c := range trace(m.flat, faces, func(k int32) float64 { return m.Survey.Depth[k] - at }) {
			for _, l := range v.runsOn(c.points, c.closed) {
				if lengthOf(l) > 1.2 {
					f.draw(pen, false, f.flat([][]geom.Vec2{smooth(l, 2)})...)
				}
			}
		}
	}
	laid := func(points []geom.Vec) []geom.Vec {
		out := make([]geom.Vec, len(points))
		for i, q := range points {
			out[i], _ = m.roll.place(q)
		}
		return out
	}
	// line draws a line of the cast where the strip shows it; where the development tears, it
	// is cut.
	line := func(pen sheet.Pen, points []geom.Vec, closed bool) {
		if closed {
			points = geom.Closed(points)
		}
		flat := laid(points)
		start := 0
		for i := 1; i <= len(flat); i++ {
			if i == len(flat) || flat[i].Dist(flat[i-1]) > 3*points[i].Dist(points[i-1])+0.5 {
				for _, l := range v.runsOn(flat[start:i], false) {
					f.draw(pen, false, f.flat([][]geom.Vec2{l})...)
				}
				start = i
			}
		}
	}
	survey := m.pens.survey
	survey.Width = 0.4
	for _, l := range m.lines() {
		line(survey, l.Points, l.Closed)
	}
	if m.Cast == nil {
		return
	}
	for _, n := range m.Cast.Standing() {
		t := m.Cast.Teeth[n]
		margin := m.pens.margin
		margin.Width, margin.Dash = 0.3, nil
		line(margin, t.Margin, true)
		at, _ := m.roll.place(t.Frame.Origin)
		y := window.Y0 + 2
		if up < 0 {
			y = window.Y1 - 0.5
		}
		m.page.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6, Align: sheet.Center}, sheet.Pt(f.point(at).X, y), words.ToothName(m.Lang, n))
	}
	for _, tip := range m.Tips {
		q, _ := m.roll.place(tip)
		if !v.seen(q, 0.8) {
			continue
		}
		at := f.point(q)
		m.page.Area(layerText, m.Palette.Retention, sheet.Circle(at, 0.8))
		m.page.Draw(sheet.Pen{Layer: layerText, Width: 0.2, Ink: sheet.White}, true, sheet.Circle(at, 0.8))
	}
}

func (m *undercutMap) lines() []survey.Line {
	if m.Cast != nil {
		return m.Survey.CastLines(m.Cast)
	}
	return m.Survey.Lines
}

// tint is the fill of a step of depth, each darker than the one before.
func (m *undercutMap) tint(i int) sheet.Color {
	u := m.Palette.Undercut
	return [4]sheet.Color{u[0].Tint(0.25), u[0].Tint(0.6), u[1].Tint(0.7), u[2].Tint(0.8)}[i]
}

// legend says what the map's tints and lines are, and gives the height it took.
func (m *undercutMap) legend(r sheet.Rect) float64 {
	mm := func(v float64) string { return words.Number(m.Lang, v, 2) + " mm" }
	type row struct {
		text string
		draw func(b sheet.Rect)
	}
	fill := func(i int) func(sheet.Rect) {
		return func(b sheet.Rect) {
			m.page.Area(layerTints, m.tint(i), b.Outline())
			m.page.Draw(sheet.Pen{Layer: layerCast, Width: 0.1, Ink: grey}, true, b.Outline())
		}
	}
	stroke := func(pen sheet.Pen) func(sheet.Rect) {
		return func(b sheet.Rect) {
			y := (b.Y0 + b.Y1) / 2
			m.page.Line(pen, sheet.Pt(b.X0, y), sheet.Pt(b.X1, y))
		}
	}
	rows := []row{
		{words.UndercutTo.In(m.Lang, mm(undercutDepth[0])), fill(0)},
		{words.UndercutFromTo.In(m.Lang, mm(undercutDepth[0]), mm(undercutDepth[1])), fill(1)},
		{words.UndercutFromTo.In(m.Lang, mm(undercutDepth[1]), mm(undercutDepth[2])), fill(2)},
		{words.UndercutFrom.In(m.Lang, mm(undercutDepth[2])), fill(3)},
	}
	for i, at := range undercutDepth {
		rows = append(rows, row{words.ContourAt.In(m.Lang, mm(at)), stroke(sheet.Pen{Layer: layerUndercut, Width: undercutWidth[i], Ink: m.Palette.Undercut[i], Dash: undercutDash[i]})})
	}
	survey := m.pens.survey
	survey.Width = 0.4
	rows = append(rows, row{words.LegendSurvey.In(m.Lang), stroke(survey)})
	if m.Cast != nil {
		margin := m.pens.margin
		margin.Width, margin.Dash = 0.3, nil
		rows = append(rows, row{words.GingivalMargin.In(m.Lang), stroke(margin)})
	}
	if len(m.Tips) > 0 {
		rows = append(rows, row{words.TipMark.In(m.Lang), func(b sheet.Rect) { m.page.Area(layerText, m.Palette.Retention, sheet.Circle(b.Center(), 0.8)) }})
	}
	const columns, rowH = 4, 4.2
	high := (len(rows) + columns - 1) / columns
	top := r.Y1 - float64(high)*rowH
	w := r.W() / columns
	for i, e := range rows {
		x, y := r.X0+float64(i/high)*w, top+float64(i%high)*rowH
		e.draw(sheet.Box(x, y+0.6, legendSample, rowH-1.2))
		m.page.Write(sheet.Type{Layer: layerText, Size: legendSize}, sheet.Pt(x+legendSample+2, y+rowH/2+sheet.CapHeight*legendSize/2), e.text)
	}
	return float64(high)*rowH + 2
}

// scaleBar draws a length that fits the strip, ten millimetres on a dental arch.
func (m *undercutMap) scaleBar(at sheet.Point, scale float64) {
	long := 10.0
	for long*scale > 30 {
		long /= 10
	}
	pen := sheet.Pen{Layer: layerText, Name: "scale bar", Width: 0.35, Ink: sheet.Black}
	text := words.StripScale.In(m.Lang)
	if m.roll.closed {
		r := m.roll.at[len(m.roll.at)-1] / 2 / math.Pi
		text = words.StripScaleRound.In(m.Lang, words.Number(m.Lang, long, int(math.Max(0, -math.Floor(math.Log10(long))))), words.Number(m.Lang, r, 1))
	}
	lines := sheet.Plain.Wrap(text, 2.1, 62-long*scale-2)
	m.page.Line(pen, at, sheet.Pt(at.X+long*scale, at.Y))
	for _, x := range [2]float64{at.X, at.X + long*scale} {
		m.page.Line(pen, sheet.Pt(x, at.Y-1), sheet.Pt(x, at.Y+1))
	}
	for i, l := range lines {
		m.page.Write(sheet.Type{Layer: layerText, Size: 2.1}, sheet.Pt(at.X+long*scale+2, at.Y-0.4+float64(i)*2.7), l)
	}
}

// keepNear blots out what the view shows beside the faces that pass and does not hang
// together with them: the land of a cast beyond the fold.
func (v *view) keepNear(pass func(face int32) bool) {
	const step = 1.0 // the surface runs on where the next cell lies no deeper or nearer [mm]
	kept := make([]bool, len(v.near))
	var todo []int
	for k, f := range v.face {
		if f >= 0 && pass(f) {
			kept[k] = true
			todo = append(todo, k)
		}
	}
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, j := range [4]int{k - 1, k + 1, k - v.nx, k + v.nx} { // the view has an empty rim
			if !kept[j] && v.face[j] >= 0 && math.Abs(float64(v.near[j]-v.near[k])) < step {
				kept[j] = true
				todo = append(todo, j)
			}
		}
	}
	for k := range v.near {
		if !kept[k] {
			v.near[k], v.face[k] = never, -1
		}
	}
}

// runsOn is the stretches of a line on the surface that are seen, where there is surface
// near it at all.
func (v *view) runsOn(points []geom.Vec, closed bool) [][]geom.Vec2 {
	const slack = 0.6
	c := chain{fine(points, closed, 2*v.cell), closed}
	return v.runs(c, func(i int) bool {
		q := v.frame.Local(c.points[i])
		x, y := int(math.Floor((q.X-v.x0)/v.cell)), int(math.Floor((q.Y-v.y0)/v.cell))
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				if i, j := x+dx, y+dy; i >= 0 && j >= 0 && i < v.nx && j < v.ny {
					if z := v.near[j*v.nx+i]; z != never && math.Abs(float64(z)-q.Z) < slack {
						return true
					}
				}
			}
		}
		return false
	})
}

// interpolate gives a value known at the vertices at each cell of the view; -1 where there
// is no surface.
func (v *view) interpolate(m *mesh.Mesh, value []float64) []float32 {
	out := make([]float32, len(v.near))
	for k, f := range v.face {
		if f < 0 {
			out[k] = -1
			continue
		}
		t := m.Faces[f]
		a, b, c := v.flat(m.Vertices[t[0]]), v.flat(m.Vertices[t[1]]), v.flat(m.Vertices[t[2]])
		q := geom.Vec2{X: v.x0 + (float64(k%v.nx)+0.5)*v.cell, Y: v.y0 + (float64(k/v.nx)+0.5)*v.cell}
		wa, wb, wc := b.Sub(q).Cross(c.Sub(q)), c.Sub(q).Cross(a.Sub(q)), a.Sub(q).Cross(b.Sub(q))
		out[k] = float32((wa*value[t[0]] + wb*value[t[1]] + wc*value[t[2]]) / (wa + wb + wc))
	}
	return out
}
