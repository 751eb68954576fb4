package sheet

import (
	"math"
	"sort"
)

// Hatch is the straight lines at an angle [rad, counter-clockwise on the page] and a
// distance apart [mm] that lie within the outlines (even-odd). Lines of one angle and
// distance fall on one raster over the whole page, so that neighbouring areas match.
func Hatch(angle, apart float64, outlines ...[]Point) [][]Point {
	s, c := math.Sincos(-angle)
	along, across := Pt(c, s), Pt(-s, c)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, o := range outlines {
		for _, p := range o {
			v := p.Dot(across)
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	var out [][]Point
	for k := math.Ceil(lo / apart); k*apart < hi; k++ {
		out = append(out, inside(along, across, k*apart, outlines)...)
	}
	return out
}

// inside is the parts of the line {p: p·across = v} within the outlines.
func inside(along, across Point, v float64, outlines [][]Point) [][]Point {
	var cuts []float64
	for _, o := range outlines {
		for i, p := range o {
			q := o[(i+1)%len(o)]
			a, b := p.Dot(across)-v, q.Dot(across)-v
			if (a > 0) != (b > 0) {
				cuts = append(cuts, p.Lerp(q, a/(a-b)).Dot(along))
			}
		}
	}
	sort.Float64s(cuts)
	var out [][]Point
	for i := 0; i+1 < len(cuts); i += 2 {
		if cuts[i+1]-cuts[i] > 0.05 {
			out = append(out, []Point{
				along.Scale(cuts[i]).Add(across.Scale(v)),
				along.Scale(cuts[i+1]).Add(across.Scale(v))})
		}
	}
	return out
}

// Stipple is a raster of dots within the outlines (even-odd), each as a line too short to
// see.
func Stipple(apart float64, outlines ...[]Point) [][]Point {
	var out [][]Point
	r, ok := Bounds(outlines...)
	if !ok {
		return nil
	}
	row := math.Sqrt(3) / 2 * apart
	for k := math.Ceil(r.Y0 / row); k*row < r.Y1; k++ {
		shift := 0.0
		if int(k)%2 != 0 {
			shift = apart / 2
		}
		for _, seg := range inside(Pt(1, 0), Pt(0, 1), k*row, outlines) {
			for i := math.Ceil((seg[0].X - shift) / apart); i*apart+shift < seg[1].X; i++ {
				x := i*apart + shift
				out = append(out, []Point{{X: x, Y: k * row}, {X: x + dot, Y: k * row}})
			}
		}
	}
	return out
}
