package sheet

import "math"

// Dimension is a measured distance drawn with arrows.
type Dimension struct {
	Pen   Pen // its Name is kept on the line that spans the distance
	Type  Type
	A, B  Point
	Text  string
	Aside []float64 // how far beside the distance the line may stand, in order of liking; none means on it
}

const (
	arrowLength = 1.6
	arrowWidth  = 0.55
)

// Dimension draws a dimension line and its text where both keep clear of all that is
// placed; ok is false, and nothing is drawn, where there is no such place.
func (b *Board) Dimension(d Dimension) bool {
	length := d.A.Dist(d.B)
	if length < 0.2 {
		return false
	}
	dir := d.B.Sub(d.A).Scale(1 / length)
	side := dir.Left()
	aside := d.Aside
	if len(aside) == 0 {
		aside = []float64{0, 3, -3, 6, -6, 9, -9, 12, -12}
	}
	for _, off := range aside {
		p, q := d.A.Add(side.Scale(off)), d.B.Add(side.Scale(off))
		from, to := p, q
		if length < 3*arrowLength { // arrows point inward from outside
			from, to = p.Sub(dir.Scale(2.2*arrowLength)), q.Add(dir.Scale(2.2*arrowLength))
		}
		if !b.roomFor(from, to) || off != 0 && (!b.clear(d.A, p) || !b.clear(d.B, q)) {
			continue
		}
		text, ok := b.dimensionText(d, from, to, p, q, dir)
		if !ok {
			continue
		}
		b.drawDimension(d, p, q, dir, off, from, to)
		b.page.Area(d.Type.Layer, White, text.Box().Grow(0.2).Outline())
		b.page.Items = append(b.page.Items, text)
		b.Keep(text.Box().Grow(0.2))
		return true
	}
	return false
}

// roomFor tells whether a dimension line keeps within the area and a little away from
// other dimension lines, also from those beside it.
func (b *Board) roomFor(p, q Point) bool {
	n := q.Sub(p).Unit().Left().Scale(1)
	for _, o := range [...]float64{0, 1, -1} {
		u, v := p.Add(n.Scale(o)), q.Add(n.Scale(o))
		r, _ := Bounds([]Point{u, v})
		if !b.area.Holds(r) || !b.clear(u, v) {
			return false
		}
	}
	return true
}

// dimensionText finds a place for the text: beside the line's middle, or past an end.
func (b *Board) dimensionText(d Dimension, from, to, p, q, dir Point) (*Text, bool) {
	ty := d.Type
	ty.Align, ty.Turn = Left, 0
	w, h := ty.Face.Width(d.Text, ty.Size), (Ascent+Descent)*ty.Size
	mid := p.Lerp(q, 0.5)
	n := dir.Left()
	half := math.Abs(n.X)*w/2 + math.Abs(n.Y)*h/2
	halfAlong := math.Abs(dir.X)*w/2 + math.Abs(dir.Y)*h/2
	var tries []Point
	for _, more := range [...]float64{0.7, 2, 4, 6} {
		tries = append(tries, mid.Add(n.Scale(half+more)), mid.Sub(n.Scale(half+more)),
			to.Add(dir.Scale(halfAlong+more)), from.Sub(dir.Scale(halfAlong+more)))
	}
	best := math.Inf(1)
	var found *Text
	for i, c := range tries {
		box := Rect{c.X - w/2, c.Y - h/2, c.X + w/2, c.Y + h/2}
		if meetsLine(box, from, to) || !b.free(box.Grow(0.3)) {
			continue
		}
		if cost := float64(i) + 0.2*b.covered(box); cost < best {
			best = cost
			found = ty.Text(Pt(box.X0, box.Y1-Descent*ty.Size), d.Text)
		}
	}
	return found, found != nil
}

func (b *Board) drawDimension(d Dimension, p, q, dir Point, off float64, from, to Point) {
	plain := d.Pen
	plain.Name = ""
	b.page.Line(d.Pen, p, q)
	outside := from != p
	if outside {
		b.page.Line(plain, from, p)
		b.page.Line(plain, q, to)
	}
	for _, end := range [2]struct {
		at, dir Point
	}{{p, dir}, {q, dir.Scale(-1)}} {
		way := end.dir
		if outside {
			way = way.Scale(-1)
		}
		back := end.at.Add(way.Scale(arrowLength))
		s := way.Left().Scale(arrowWidth / 2)
		b.page.Area(d.Pen.Layer, inkOr(d.Pen.Ink), []Point{end.at, back.Add(s), back.Sub(s)})
	}
	b.lines = append(b.lines, [2]Point{from, to})
	if off != 0 {
		thin := plain
		thin.Width *= 0.7
		over := dir.Left().Scale(math.Copysign(0.8, off))
		for _, e := range [2][2]Point{{d.A, p}, {d.B, q}} {
			b.page.Line(thin, e[0], e[1].Add(over))
			b.lines = append(b.lines, [2]Point{e[0], e[1].Add(over)})
		}
	}
}
