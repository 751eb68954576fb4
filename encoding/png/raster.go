package png

import (
	"image"
	"math"
	"slices"

	"halfpear/sheet"
)

// sub is how many lines each row of pixels is sampled on; across a line the coverage is
// exact.
const sub = 4

// crossing is where an outline passes a sample line: at x, downward (+1) or upward (-1).
type crossing struct {
	x  float32
	up bool
}

// raster fills outlines on an image. Unlike summed signed coverage, sampling with the
// winding number keeps overlapping pieces of one stroke free of beads.
type raster struct {
	img   *image.RGBA
	scale float64 // pixels a millimetre
	rows  [][]crossing
	lo    int // first sample line in use
	hi    int // one past the last
	cover []float32
}

func newRaster(img *image.RGBA, scale float64) *raster {
	return &raster{img: img, scale: scale, rows: make([][]crossing, img.Rect.Dy()*sub), lo: math.MaxInt, cover: make([]float32, img.Rect.Dx()+1)}
}

// edge adds a straight edge, in millimetres.
func (r *raster) edge(a, b sheet.Point) {
	x0, y0, x1, y1 := a.X*r.scale, a.Y*r.scale*sub, b.X*r.scale, b.Y*r.scale*sub
	up := y1 < y0
	if up {
		x0, y0, x1, y1 = x1, y1, x0, y0
	}
	first, last := int(math.Ceil(y0-0.5)), int(math.Ceil(y1-0.5))
	first, last = max(first, 0), min(last, len(r.rows))
	if first >= last {
		return
	}
	slope := (x1 - x0) / (y1 - y0)
	for k := first; k < last; k++ {
		r.rows[k] = append(r.rows[k], crossing{float32(x0 + (float64(k)+0.5-y0)*slope), up})
	}
	r.lo, r.hi = min(r.lo, first), max(r.hi, last)
}

// outline adds a closed outline.
func (r *raster) outline(o []sheet.Point) {
	for i, p := range o {
		r.edge(p, o[(i+1)%len(o)])
	}
}

// fill paints what has been added and forgets it.
func (r *raster) fill(c sheet.Color, evenOdd bool) {
	if r.lo >= r.hi {
		return
	}
	width := r.img.Rect.Dx()
	for y := r.lo / sub; y*sub < r.hi; y++ {
		x0, x1 := width, 0
		for k := y * sub; k < min((y+1)*sub, len(r.rows)); k++ {
			row := r.rows[k]
			slices.SortFunc(row, func(a, b crossing) int {
				switch {
				case a.x < b.x:
					return -1
				case a.x > b.x:
					return 1
				}
				return 0
			})
			wind := 0
			for i, cr := range row {
				was := wind
				if cr.up {
					wind--
				} else {
					wind++
				}
				in := was != 0
				if evenOdd {
					in = i%2 == 1
				}
				if in && i > 0 {
					a, b := r.span(row[i-1].x, cr.x)
					x0, x1 = min(x0, a), max(x1, b)
				}
			}
			r.rows[k] = row[:0]
		}
		r.paint(y, x0, min(x1, width), c)
	}
	r.lo, r.hi = math.MaxInt, 0
}

// span adds one sample line's coverage from a to b and gives the pixels it touched.
func (r *raster) span(a, b float32) (int, int) {
	width := float32(len(r.cover) - 1)
	a, b = max(a, 0), min(b, width)
	if b <= a {
		return len(r.cover), 0
	}
	i, j := int(a), int(b)
	if i == j {
		r.cover[i] += b - a
		return i, j + 1
	}
	r.cover[i] += float32(i+1) - a
	for k := i + 1; k < j; k++ {
		r.cover[k]++
	}
	r.cover[j] += b - float32(j)
	return i, j + 1
}

func (r *raster) paint(y, x0, x1 int, c sheet.Color) {
	cr, cg, cb := c.RGB()
	mix := func(old, new uint8, a float32) uint8 {
		return uint8(float32(old) + (float32(new)-float32(old))*a + 0.5)
	}
	for x := x0; x < x1; x++ {
		a := r.cover[x] / sub
		r.cover[x] = 0
		if a <= 0 {
			continue
		}
		a = min(a, 1)
		p := r.img.Pix[r.img.PixOffset(x, y):]
		p[0], p[1], p[2] = mix(p[0], cr, a), mix(p[1], cg, a), mix(p[2], cb, a)
	}
	r.cover[len(r.cover)-1] = 0
}

// stroke adds a line as wide as the pen, with round ends and corners: a piece for each
// segment and a disc wherever the line turns. All pieces wind the same way.
func (r *raster) stroke(line []sheet.Point, closed bool, width float64) {
	h := width / 2
	n := len(line)
	segs := n - 1
	if closed {
		segs = n
	}
	var before sheet.Point
	for i := 0; i < segs; i++ {
		a, b := line[i], line[(i+1)%n]
		d := b.Sub(a)
		if d.Norm() == 0 {
			continue
		}
		d = d.Unit()
		s := d.Left().Scale(h)
		r.outline([]sheet.Point{a.Sub(s), b.Sub(s), b.Add(s), a.Add(s)})
		if i == 0 && !closed || math.Abs(before.Cross(d)) > 0.05 || before.Dot(d) < 0.5 {
			r.disc(a, h)
		}
		before = d
	}
	if !closed {
		r.disc(line[n-1], h)
	}
}

func (r *raster) disc(c sheet.Point, radius float64) {
	n := 8 + int(radius*r.scale*2)
	prev := sheet.Pt(c.X+radius, c.Y)
	for i := 1; i <= n; i++ {
		s, co := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		next := sheet.Pt(c.X+radius*co, c.Y+radius*s)
		r.edge(prev, next)
		prev = next
	}
}
