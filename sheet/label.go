package sheet

import (
	"math"
)

// Board places labels and dimension lines within an area so that no two overlap, none
// leaves the area, and the drawing's lines are covered as little as can be.
type Board struct {
	page  *Page
	area  Rect
	taken []Rect     // texts and whatever must stay clear
	lines [][2]Point // leaders and dimension lines, which no text may cover
	cell  float64
	nx    int
	ny    int
	ink   []uint8 // how much is drawn in each cell
}

// NewBoard is a board over an area of a page with nothing on it.
func NewBoard(page *Page, area Rect) *Board {
	const cell = 0.5
	b := &Board{page: page, area: area, cell: cell, nx: int(area.W()/cell) + 2, ny: int(area.H()/cell) + 2}
	b.ink = make([]uint8, b.nx*b.ny)
	return b
}

// Area is where the board may place things.
func (b *Board) Area() Rect { return b.area }

// Keep reserves a rectangle.
func (b *Board) Keep(r Rect) { b.taken = append(b.taken, r) }

// KeepTexts reserves the texts already on the page.
func (b *Board) KeepTexts() {
	for _, t := range b.page.Texts() {
		if r := t.Box(); r.Meets(b.area) {
			b.Keep(r)
		}
	}
}

// Weigh notes lines that labels should rather not cover; weight 1 to 20.
func (b *Board) Weigh(weight uint8, closed bool, lines ...[]Point) {
	for _, l := range lines {
		for i := range l {
			j := i + 1
			if j == len(l) {
				if !closed {
					break
				}
				j = 0
			}
			n := int(l[i].Dist(l[j])/b.cell) + 1
			for k := range n {
				p := l[i].Lerp(l[j], float64(k)/float64(n))
				x, y := int((p.X-b.area.X0)/b.cell), int((p.Y-b.area.Y0)/b.cell)
				if x >= 0 && y >= 0 && x < b.nx && y < b.ny {
					c := &b.ink[y*b.nx+x]
					*c = max(*c, weight)
				}
			}
		}
	}
}

// covered is how much ink lies under a rectangle.
func (b *Board) covered(r Rect) float64 {
	sum := 0.0
	for y := max(0, int((r.Y0-b.area.Y0)/b.cell)); y <= min(b.ny-1, int((r.Y1-b.area.Y0)/b.cell)); y++ {
		for x := max(0, int((r.X0-b.area.X0)/b.cell)); x <= min(b.nx-1, int((r.X1-b.area.X0)/b.cell)); x++ {
			sum += float64(b.ink[y*b.nx+x])
		}
	}
	return sum
}

// crossed is how much ink a straight line runs over.
func (b *Board) crossed(p, q Point) float64 {
	sum := 0.0
	n := int(p.Dist(q)/b.cell) + 1
	for k := range n {
		at := p.Lerp(q, float64(k)/float64(n))
		x, y := int((at.X-b.area.X0)/b.cell), int((at.Y-b.area.Y0)/b.cell)
		if x >= 0 && y >= 0 && x < b.nx && y < b.ny {
			sum += float64(b.ink[y*b.nx+x])
		}
	}
	return sum
}

// free tells whether a rectangle keeps clear of all that is placed.
func (b *Board) free(r Rect) bool {
	if !b.area.Holds(r) {
		return false
	}
	for _, t := range b.taken {
		if t.Meets(r) {
			return false
		}
	}
	for _, l := range b.lines {
		if meetsLine(r, l[0], l[1]) {
			return false
		}
	}
	return true
}

// clear tells whether a line keeps clear of all texts and crosses no other placed line.
func (b *Board) clear(p, q Point) bool {
	for _, t := range b.taken {
		if meetsLine(t, p, q) {
			return false
		}
	}
	for _, l := range b.lines {
		if crosses(p, q, l[0], l[1]) {
			return false
		}
	}
	return true
}

// open tells whether a line keeps clear of all texts but one that covers its end.
func (b *Board) open(p, end Point) bool {
	for _, t := range b.taken {
		if meetsLine(t, p, end) && !t.Holds(Rect{end.X, end.Y, end.X, end.Y}) {
			return false
		}
	}
	return true
}

// meetsLine tells whether a line passes through the inside of a rectangle.
func meetsLine(r Rect, p, q Point) bool {
	t0, t1 := 0.0, 1.0
	d := q.Sub(p)
	for _, side := range [4][2]float64{{-d.X, p.X - r.X0}, {d.X, r.X1 - p.X}, {-d.Y, p.Y - r.Y0}, {d.Y, r.Y1 - p.Y}} {
		switch {
		case side[0] == 0:
			if side[1] <= 0 {
				return false
			}
		case side[0] < 0:
			t0 = math.Max(t0, side[1]/side[0])
		default:
			t1 = math.Min(t1, side[1]/side[0])
		}
	}
	return t1-t0 > 1e-9
}

// crosses tells whether two lines meet, ends included.
func crosses(a, b, c, d Point) bool {
	o := func(p, q, r Point) float64 { return q.Sub(p).Cross(r.Sub(p)) }
	if math.Max(a.X, b.X) < math.Min(c.X, d.X) || math.Max(c.X, d.X) < math.Min(a.X, b.X) ||
		math.Max(a.Y, b.Y) < math.Min(c.Y, d.Y) || math.Max(c.Y, d.Y) < math.Min(a.Y, b.Y) {
		return false
	}
	return o(a, b, c)*o(a, b, d) <= 0 && o(c, d, a)*o(c, d, b) <= 0
}

// Label is a text with the place it speaks of.
type Label struct {
	Type   Type // Align and Turn are not used
	Text   string
	At     Point   // what it speaks of
	Toward Point   // direction it should rather stand in; zero for none
	Near   float64 // how close it may stand [mm]
	Reach  float64 // how far it may stand [mm]; 0 takes the whole area
	Leader Pen     // line to At where the label stands off; Width 0 draws none
	Ring   bool    // the text stands in a circle (a part's number)
	Bare   bool    // no white under the text
	Cross  bool    // the line to At may cross other lines, and end under another text
}

const ringPad = 1.0

// Place sets a label; ok is false where no free place was left.
func (b *Board) Place(l Label) (r Rect, ok bool) {
	ty := l.Type
	w := ty.Face.Width(l.Text, ty.Size)
	h := (Ascent + Descent) * ty.Size
	if l.Ring {
		w = math.Max(w, CapHeight*ty.Size) + 2*ringPad
		h = w
	}
	reach := l.Reach
	if reach == 0 {
		reach = math.Hypot(b.area.W(), b.area.H())
	}
	prefer, norm := l.Toward, l.Toward.Norm()
	if norm > 0 {
		prefer = prefer.Scale(1 / norm)
	}
	best := math.Inf(1)
	var at Point // centre of the box
	var from Point
	turns := 24
	for dist := l.Near; dist <= reach; dist += math.Max(1, dist*0.08) {
		if dist*0.5 >= best {
			break // farther cannot be better: distance alone costs more
		}
		for k := range turns {
			// Clockwise and counter-clockwise in turn, from the preferred direction.
			turn := float64((k+1)/2) * 2 * math.Pi / float64(turns)
			if k%2 == 1 {
				turn = -turn
			}
			dir := Pt(0, -1)
			if norm > 0 {
				dir = prefer
			}
			s, c := math.Sincos(turn)
			dir = Pt(dir.X*c-dir.Y*s, dir.X*s+dir.Y*c)
			// The box touches the circle of radius dist round At from outside.
			reachBox := math.Min(w/2/math.Max(1e-9, math.Abs(dir.X)), h/2/math.Max(1e-9, math.Abs(dir.Y)))
			if l.Ring {
				reachBox = w / 2
			}
			mid := l.At.Add(dir.Scale(dist + reachBox))
			box := Rect{mid.X - w/2, mid.Y - h/2, mid.X + w/2, mid.Y + h/2}
			clear := box.Grow(0.4)
			if !b.free(clear) {
				continue
			}
			cost := dist*0.5 + 0.25*b.covered(box)
			if norm > 0 {
				cost += 5 * (1 - dir.Dot(prefer))
			}
			start := edgeOf(box, l.At, l.Ring)
			if l.Leader.Width > 0 && start.Dist(l.At) > 1 {
				if l.Cross && !b.open(start, l.At) || !l.Cross && !b.clear(start, l.At) {
					continue
				}
				cost += 0.15 * b.crossed(start, l.At)
			}
			if cost < best {
				best, at, from = cost, mid, start
			}
		}
	}
	if math.IsInf(best, 1) {
		return Rect{}, false
	}
	box := Rect{at.X - w/2, at.Y - h/2, at.X + w/2, at.Y + h/2}
	if l.Leader.Width > 0 && from.Dist(l.At) > 1 {
		b.page.Line(l.Leader, from, l.At)
		b.page.Area(l.Leader.Layer, l.Leader.Ink, Circle(l.At, 0.35))
		b.lines = append(b.lines, [2]Point{from, l.At})
	}
	switch {
	case l.Ring:
		b.page.Area(ty.Layer, White, Circle(at, w/2))
		b.page.Draw(Pen{Layer: ty.Layer, Width: 0.18, Ink: inkOr(ty.Ink)}, true, Circle(at, w/2))
	case !l.Bare:
		b.page.Area(ty.Layer, White, box.Grow(0.2).Outline())
	}
	ty.Align, ty.Turn = Center, 0
	base := at.Y + h/2 - Descent*ty.Size
	if l.Ring {
		base = at.Y + CapHeight*ty.Size/2
	}
	b.page.Write(ty, Pt(at.X, base), l.Text)
	b.Keep(box.Grow(0.2))
	return box, true
}

func inkOr(c Color) Color {
	if c == None {
		return Black
	}
	return c
}

// edgeOf is where a leader from a box to p starts.
func edgeOf(box Rect, p Point, ring bool) Point {
	if ring {
		c := box.Center()
		return c.Add(p.Sub(c).Unit().Scale(box.W() / 2))
	}
	return Pt(math.Max(box.X0, math.Min(box.X1, p.X)), math.Max(box.Y0, math.Min(box.Y1, p.Y)))
}

// Page is the page the board places things on.
func (b *Board) Page() *Page { return b.page }
