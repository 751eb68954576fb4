package drawing

import (
	"math"

	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
)

// figure is one view drawn on a page: a frame to look from, and where its plane lies on
// the paper at which scale. Everything outside its window is cut off.
type figure struct {
	page   *sheet.Page
	frame  geom.Frame
	place  func(geom.Vec2) sheet.Point
	scale  float64
	window sheet.Rect
	whole  bool // nothing lies outside the window
}

func newFigure(p *sheet.Page, frame geom.Frame, center geom.Vec2, at sheet.Point, scale float64, window sheet.Rect) *figure {
	return &figure{page: p, frame: frame, place: onPage(center, at, scale), scale: scale, window: window}
}

// point is a place of the outer frame on the page.
func (f *figure) point(p geom.Vec) sheet.Point { return f.place(f.frame.Local(p).XY()) }

// points is a line of the outer frame on the page.
func (f *figure) points(line []geom.Vec) []sheet.Point {
	out := make([]sheet.Point, len(line))
	for i, p := range line {
		out[i] = f.point(p)
	}
	return out
}

// simpleTol is how far a drawn line may leave the true one on paper [mm].
const simpleTol = 0.015

// flat is lines of the view's plane on the page.
func (f *figure) flat(lines [][]geom.Vec2) [][]sheet.Point {
	out := make([][]sheet.Point, 0, len(lines))
	for _, l := range lines {
		q := make([]sheet.Point, len(l))
		for i, p := range l {
			q[i] = f.place(p)
		}
		out = append(out, sheet.Simplify(q, simpleTol))
	}
	return out
}

// draw draws lines with a pen, cut off at the window.
func (f *figure) draw(pen sheet.Pen, closed bool, lines ...[]sheet.Point) {
	if f.whole {
		f.page.Draw(pen, closed, lines...)
		return
	}
	for _, l := range lines {
		if r, ok := sheet.Bounds(l); ok && f.window.Holds(r) {
			f.page.Draw(pen, closed, l)
			continue
		}
		if closed {
			l = append(append([]sheet.Point(nil), l...), l[0])
		}
		f.page.Draw(pen, false, clipLine(l, f.window)...)
	}
}

// area fills outlines, cut off at the window.
func (f *figure) area(layer sheet.Layer, c sheet.Color, outlines ...[]sheet.Point) {
	if f.whole {
		f.page.Area(layer, c, outlines...)
		return
	}
	f.page.Area(layer, c, f.clipAreas(outlines)...)
}

// ground fills outlines beneath all that the page has, so that a stamp across it is read.
func (f *figure) ground(c sheet.Color, outlines ...[]sheet.Point) {
	if !f.whole {
		outlines = f.clipAreas(outlines)
	}
	f.page.Ground(layerGround, c, outlines...)
}

// solid fills an outline that may run over itself.
func (f *figure) solid(layer sheet.Layer, c sheet.Color, outline []sheet.Point) {
	n := len(f.page.Items)
	f.area(layer, c, outline)
	for _, it := range f.page.Items[n:] {
		if p, ok := it.(*sheet.Path); ok {
			p.Solid = true
		}
	}
}

func (f *figure) clipAreas(outlines [][]sheet.Point) [][]sheet.Point {
	var out [][]sheet.Point
	for _, o := range outlines {
		if o = clipArea(o, f.window); len(o) > 2 {
			out = append(out, o)
		}
	}
	return out
}

// clipLine is the stretches of a line within a rectangle.
func clipLine(l []sheet.Point, r sheet.Rect) [][]sheet.Point {
	var out [][]sheet.Point
	var run []sheet.Point
	for i := 1; i < len(l); i++ {
		a, b, ok := clipSegment(l[i-1], l[i], r)
		if !ok {
			if len(run) > 1 {
				out = append(out, run)
			}
			run = nil
			continue
		}
		if len(run) == 0 || run[len(run)-1].Dist(a) > 1e-9 {
			if len(run) > 1 {
				out = append(out, run)
			}
			run = []sheet.Point{a}
		}
		run = append(run, b)
	}
	if len(run) > 1 {
		out = append(out, run)
	}
	return out
}

func clipSegment(a, b sheet.Point, r sheet.Rect) (sheet.Point, sheet.Point, bool) {
	t0, t1 := 0.0, 1.0
	d := b.Sub(a)
	for _, s := range [4][2]float64{{-d.X, a.X - r.X0}, {d.X, r.X1 - a.X}, {-d.Y, a.Y - r.Y0}, {d.Y, r.Y1 - a.Y}} {
		switch {
		case s[0] == 0:
			if s[1] < 0 {
				return a, b, false
			}
		case s[0] < 0:
			t0 = math.Max(t0, s[1]/s[0])
		default:
			t1 = math.Min(t1, s[1]/s[0])
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	return a.Add(d.Scale(t0)), a.Add(d.Scale(t1)), true
}

// clipArea is the part of an area within a rectangle.
func clipArea(o []sheet.Point, r sheet.Rect) []sheet.Point {
	return clipped(o,
		func(p sheet.Point) float64 { return p.X - r.X0 },
		func(p sheet.Point) float64 { return r.X1 - p.X },
		func(p sheet.Point) float64 { return p.Y - r.Y0 },
		func(p sheet.Point) float64 { return r.Y1 - p.Y },
	)
}

// clipped is the part of an outline that lies inside of every border: where none of the
// distances into them is below 0 (Sutherland and Hodgman, on the page or in space).
func clipped[P interface{ Lerp(P, float64) P }](o []P, into ...func(P) float64) []P {
	for _, in := range into {
		var out []P
		for i, p := range o {
			q := o[(i+1)%len(o)]
			a, b := in(p), in(q)
			if a >= 0 {
				out = append(out, p)
			}
			if (a >= 0) != (b >= 0) {
				out = append(out, p.Lerp(q, a/(a-b)))
			}
		}
		o = out
	}
	return o
}

// ribbon is a placed curve as its true outline in the view: at each point the cross-
// section's corners are seen along the eye's direction, and the outermost kept.
func (f *figure) ribbon(c placement.Curve, round bool) []sheet.Point {
	n := len(c.Points)
	if n < 2 {
		return nil
	}
	left, right := make([]sheet.Point, 0, n+9), make([]sheet.Point, n)
	var endNormal geom.Vec2
	var endHalf float64
	var endMid sheet.Point
	for i, p := range c.Points {
		tangent := c.Points[min(n-1, i+1)].Sub(c.Points[max(0, i-1)])
		flat := f.frame.LocalDir(tangent).XY()
		if flat.Norm() < 1e-9 {
			flat = geom.Vec2{X: 1}
		}
		nrm := flat.Unit().Left()
		out := geom.Vec{}
		if i < len(c.Out) {
			out = c.Out[i]
		}
		w, t := at(c.Width, i), at(c.Thickness, i)
		side := tangent.Cross(out).Unit()
		if side == (geom.Vec{}) { // no outward direction: as wide in the view as it is
			side = f.frame.Dir(geom.Vec{X: nrm.X, Y: nrm.Y})
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, s := range [...]float64{-0.5, 0.5} {
			for _, h := range [...]float64{0, 1} {
				if h == 1 && c.Section != placement.Flat && s != 0.5 {
					continue
				}
				v := side.Scale(s * w)
				switch {
				case h == 1 && c.Section == placement.Flat:
					v = v.Add(out.Scale(t))
				case h == 1:
					v = out.Scale(t) // the crown of a round section
				}
				o := f.frame.LocalDir(v).XY().Dot(nrm)
				lo, hi = math.Min(lo, o), math.Max(hi, o)
			}
		}
		q := f.frame.Local(p).XY()
		const least = 0.12 // half of what is still seen on paper [mm]
		if (hi-lo)*f.scale < 2*least {
			m := (hi + lo) / 2
			lo, hi = m-least/f.scale, m+least/f.scale
		}
		a, b := f.place(q.Add(nrm.Scale(hi))), f.place(q.Add(nrm.Scale(lo)))
		left = append(left, a)
		right[i] = b
		endNormal, endHalf, endMid = nrm, (hi-lo)/2*f.scale, a.Lerp(b, 0.5)
	}
	if round {
		from := math.Atan2(-endNormal.Y, endNormal.X)
		for k := 1; k < 9; k++ {
			s, co := math.Sincos(from + math.Pi*float64(k)/9)
			left = append(left, endMid.Add(sheet.Pt(endHalf*co, endHalf*s)))
		}
	}
	for i := n - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return left
}

func at(v []float64, i int) float64 {
	if len(v) == 0 {
		return 0
	}
	return v[min(i, len(v)-1)]
}

// fromAbove tells a view from the occlusal.
func (f *figure) fromAbove() bool { return f.frame.Z.Z > 0.9 }
