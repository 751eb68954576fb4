package sheet

import "math"

// Dash is a line pattern: lengths of strokes and gaps in turn [mm]. A stroke of length 0
// is a dot. nil is a full line.
type Dash []float64

// Line patterns of the drawings.
var (
	Dashed  = Dash{1.8, 1.0}
	Dotted  = Dash{0, 0.8}
	DashDot = Dash{4.0, 0.9, 0, 0.9}
)

// Pen says how a line is drawn.
type Pen struct {
	Layer Layer
	Name  string
	Width float64
	Ink   Color
	Dash  Dash
}

// Draw puts lines on the page with a pen.
func (p *Page) Draw(pen Pen, closed bool, lines ...[]Point) {
	var keep [][]Point
	for _, l := range lines {
		if len(l) > 1 {
			keep = append(keep, l)
		}
	}
	if len(keep) == 0 {
		return
	}
	if len(pen.Dash) > 0 {
		var dashes [][]Point
		for _, l := range keep {
			dashes = append(dashes, pen.Dash.Cut(l, closed)...)
		}
		keep, closed = dashes, false
	}
	p.Items = append(p.Items, &Path{Layer: pen.Layer, Name: pen.Name, Lines: keep, Closed: closed, Width: pen.Width, Ink: pen.Ink})
}

// Line draws one straight line.
func (p *Page) Line(pen Pen, a, b Point) { p.Draw(pen, false, []Point{a, b}) }

// Area fills outlines; inner ones are holes.
func (p *Page) Area(layer Layer, fill Color, outlines ...[]Point) {
	var keep [][]Point
	for _, l := range outlines {
		if len(l) > 2 {
			keep = append(keep, l)
		}
	}
	if len(keep) > 0 {
		p.Items = append(p.Items, &Path{Layer: layer, Lines: keep, Closed: true, Fill: fill})
	}
}

// Ground fills areas beneath everything drawn before, a stamp too.
func (p *Page) Ground(layer Layer, fill Color, outlines ...[]Point) {
	above := p.Items
	p.Items = nil
	p.Area(layer, fill, outlines...)
	p.Items = append(p.Items, above...)
}

// dot is the length a dot is drawn with: too short to see, long enough for every device
// to give it its round ends.
const dot = 0.01

// Cut is a line in strokes. On a closed line the pattern is fitted to a whole number of
// repeats, so that it has no seam.
func (d Dash) Cut(line []Point, closed bool) [][]Point {
	if closed {
		line = append(append(make([]Point, 0, len(line)+1), line...), line[0])
	}
	period, length := 0.0, 0.0
	for _, v := range d {
		period += v
	}
	for i := 1; i < len(line); i++ {
		length += line[i].Dist(line[i-1])
	}
	if period <= 0 || length <= 0 {
		return [][]Point{line}
	}
	scale := 1.0
	if closed {
		scale = length / period / math.Max(1, math.Round(length/period))
	}
	var out [][]Point
	var cur []Point
	k, on := 0, true
	left := d[0] * scale
	start := func(p Point) { cur = []Point{p} }
	end := func(p, dir Point) {
		if len(cur) == 1 && cur[0].Dist(p) < dot {
			p = cur[0].Add(dir.Scale(dot))
		}
		out = append(out, append(cur, p))
		cur = nil
	}
	start(line[0])
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		seg := a.Dist(b)
		if seg == 0 {
			continue
		}
		dir := b.Sub(a).Scale(1 / seg)
		pos := 0.0
		for seg-pos >= left {
			pos += left
			at := a.Add(dir.Scale(pos))
			if on {
				end(at, dir)
			} else {
				start(at)
			}
			on = !on
			k++
			left = d[k%len(d)] * scale
		}
		left -= seg - pos
		if on && cur != nil {
			cur = append(cur, b)
		}
	}
	if len(cur) > 1 {
		out = append(out, cur)
	}
	return out
}

// Circle is a circle as points, no further than a hundredth of a millimetre from true.
func Circle(c Point, r float64) []Point {
	n := max(12, int(math.Ceil(math.Pi/math.Acos(1-math.Min(1, 0.01/math.Max(r, 0.01))))))
	out := make([]Point, n)
	for i := range out {
		s, co := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = Pt(c.X+r*co, c.Y+r*s)
	}
	return out
}

// Ribbon is the outline of a line of changing width, with a round end at its last point
// when round is set and square ends otherwise. Widths are full widths at each point.
func Ribbon(line []Point, width []float64, round bool) []Point {
	n := len(line)
	if n < 2 {
		return nil
	}
	normal := func(i int) Point {
		a, b := line[max(0, i-1)], line[min(n-1, i+1)]
		return b.Sub(a).Unit().Left()
	}
	left, right := make([]Point, 0, n+8), make([]Point, 0, n)
	for i, p := range line {
		h := normal(i).Scale(width[i] / 2)
		left = append(left, p.Add(h))
		right = append(right, p.Sub(h))
	}
	if round {
		r, c, nn := width[n-1]/2, line[n-1], normal(n-1)
		from := math.Atan2(nn.Y, nn.X)
		for k := 1; k < 8; k++ {
			s, co := math.Sincos(from - math.Pi*float64(k)/8)
			left = append(left, Pt(c.X+r*co, c.Y+r*s))
		}
	}
	for i := n - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return left
}

// Offset is the line moved sideways by d: to the left of its direction for d > 0, as a
// reader sees it with y upward (to the right on the page).
func Offset(line []Point, d float64, closed bool) []Point {
	n := len(line)
	out := make([]Point, n)
	for i, p := range line {
		a, b := line[max(0, i-1)], line[min(n-1, i+1)]
		if closed {
			a, b = line[(i+n-1)%n], line[(i+1)%n]
		}
		out[i] = p.Add(b.Sub(a).Unit().Left().Scale(d))
	}
	return out
}

// Simplify drops points that lie no further than tol from the line through the others.
func Simplify(line []Point, tol float64) []Point {
	if len(line) < 3 {
		return line
	}
	keep := make([]bool, len(line))
	keep[0], keep[len(line)-1] = true, true
	stack := [][2]int{{0, len(line) - 1}}
	for len(stack) > 0 {
		i, j := stack[len(stack)-1][0], stack[len(stack)-1][1]
		stack = stack[:len(stack)-1]
		a, ab := line[i], line[j].Sub(line[i])
		l2 := ab.Dot(ab)
		far, at := tol, -1
		for k := i + 1; k < j; k++ {
			t := 0.0
			if l2 > 0 {
				t = math.Max(0, math.Min(1, line[k].Sub(a).Dot(ab)/l2))
			}
			if d := line[k].Dist(a.Add(ab.Scale(t))); d > far {
				far, at = d, k
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, [2]int{i, at}, [2]int{at, j})
		}
	}
	out := make([]Point, 0, len(line)/4+2)
	for i, k := range keep {
		if k {
			out = append(out, line[i])
		}
	}
	return out
}
