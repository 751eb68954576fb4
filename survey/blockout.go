package survey

import (
	"context"
	"fmt"
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// BlockOut is a surface with every undercut filled parallel to the path, or with walls that
// lean outward by the taper: a closed solid on a flat base, drawn on a grid.
type BlockOut struct {
	Mesh       *mesh.Mesh
	Pixel      float64 // of the grid; walls stand within one pixel of where they belong
	Volume     float64 // of the filling; not a number where the surface is not closed
	LargestGap float64 // deepest undercut that was filled, across the path
}

// largestTaper is far beyond any blade used for trimming wax [deg].
const largestTaper = 30

// BlockOut fills the undercuts of the table's mesh along a direction. Taper is the angle of
// the walls to the path [deg], 0 for parallel. Pixel is the grid's, 0 the usual one.
func (t *Table) BlockOut(ctx context.Context, direction geom.Vec, taperDeg, pixel float64) (*BlockOut, error) {
	if !(taperDeg >= 0 && taperDeg <= largestTaper) {
		return nil, fmt.Errorf("blocking out with a taper of %g degrees: expected 0 to %d", taperDeg, largestTaper)
	}
	s, err := t.Survey(ctx, direction)
	if err != nil {
		return nil, err
	}
	out := &BlockOut{}
	for _, d := range s.Depth {
		out.LargestGap = math.Max(out.LargestGap, d)
	}
	w := &t.view
	if pixel == 0 {
		pixel = 1.5 * w.px
	}
	w.look(ctx, direction.Unit(), pixel)
	w.cover(ctx)
	w.draw(ctx, nil)
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("blocking out: %w", err)
	}
	out.Pixel = w.px
	top := make([]float64, len(w.height))
	const floor = 0.0
	for i, z := range w.height {
		top[i] = float64(z)
		if z == empty {
			top[i] = math.Inf(-1)
		}
	}
	if taperDeg > 0 {
		w.taper(top, math.Tan(geom.Deg(taperDeg)), floor)
	}
	var filled float64
	out.Mesh, filled = w.solid(top, floor)
	if len(out.Mesh.Faces) == 0 {
		return nil, fmt.Errorf("blocking out: the surface is too small or too thin for a grid of %.3g; choose a finer one", w.px)
	}
	out.Volume = math.NaN()
	if !w.both {
		out.Volume = math.Max(0, filled-w.m.Volume())
	}
	return out, nil
}

// taper raises the grid to the upper envelope of cones standing on it, whose sides lean by
// the slope (across over along): the nearest source is handed from pixel to pixel in four
// sweeps, which is exact to a fraction of a pixel.
func (w *view) taper(top []float64, slope, floor float64) {
	from := make([]int32, len(top))
	source := make([]float64, len(top))
	copy(source, top)
	for i := range from {
		from[i] = int32(i)
	}
	drop := w.px / slope
	try := func(i, j int) {
		if math.IsInf(source[from[j]], -1) {
			return
		}
		k := int(from[j])
		dx, dy := float64(i%w.w-k%w.w), float64(i/w.w-k/w.w)
		if z := source[k] - math.Hypot(dx, dy)*drop; z > top[i] && z > floor {
			top[i], from[i] = z, int32(k)
		}
	}
	for pass := 0; pass < 2; pass++ {
		for y := 1; y+1 < w.h; y++ {
			for x := 1; x+1 < w.w; x++ {
				i := y*w.w + x
				try(i, i-1)
				try(i, i-w.w)
				try(i, i-w.w-1)
				try(i, i-w.w+1)
			}
			for x := w.w - 2; x > 0; x-- {
				try(y*w.w+x, y*w.w+x+1)
			}
		}
		for y := w.h - 2; y > 0; y-- {
			for x := w.w - 2; x > 0; x-- {
				i := y*w.w + x
				try(i, i+1)
				try(i, i+w.w)
				try(i, i+w.w+1)
				try(i, i+w.w-1)
			}
			for x := 1; x+1 < w.w; x++ {
				try(y*w.w+x, y*w.w+x-1)
			}
		}
	}
}

// solid closes the grid with upright walls and a flat base, and gives the volume. A square
// of the grid is there when its four corners are; squares that meet at a corner only would
// make an edge of four faces, so one of them is left out.
func (w *view) solid(top []float64, floor float64) (*mesh.Mesh, float64) {
	there := make([]bool, len(top)) // square with its least corner here
	at := func(x, y int) bool { return x >= 0 && y >= 0 && x+1 < w.w && y+1 < w.h && there[y*w.w+x] }
	for y := 0; y+1 < w.h; y++ {
		for x := 0; x+1 < w.w; x++ {
			i := y*w.w + x
			there[i] = !math.IsInf(top[i], -1) && !math.IsInf(top[i+1], -1) && !math.IsInf(top[i+w.w], -1) && !math.IsInf(top[i+w.w+1], -1)
		}
	}
	for changed := true; changed; {
		changed = false
		for y := 0; y < w.h; y++ {
			for x := 0; x < w.w; x++ {
				a, b, c, d := at(x-1, y-1), at(x, y-1), at(x-1, y), at(x, y)
				switch {
				case a && d && !b && !c:
					there[y*w.w+x], changed = false, true
				case b && c && !a && !d:
					there[(y-1)*w.w+x], changed = false, true
				}
			}
		}
	}
	out := &mesh.Mesh{}
	upper, lower := make([]int32, len(top)), make([]int32, len(top))
	vertex := func(i int, z float64) int32 {
		f := w.frame
		out.Vertices = append(out.Vertices, f.Outer(geom.V(float64(i%w.w)*w.px, float64(i/w.w)*w.px, z)))
		return int32(len(out.Vertices))
	}
	// A wall needs height: nothing lies lower than a pixel over the base.
	base := floor - w.px
	up := func(i int) int32 {
		if upper[i] == 0 {
			upper[i] = vertex(i, top[i])
		}
		return upper[i] - 1
	}
	down := func(i int) int32 {
		if lower[i] == 0 {
			lower[i] = vertex(i, base)
		}
		return lower[i] - 1
	}
	volume := 0.0 // of all columns, those at the rim too, which the solid leaves out
	for _, z := range top {
		if !math.IsInf(z, -1) {
			volume += w.px * w.px * (z - floor)
		}
	}
	quad := func(a, b, c, d int32) {
		out.Faces = append(out.Faces, [3]int32{a, b, c}, [3]int32{a, c, d})
	}
	for y := 0; y+1 < w.h; y++ {
		for x := 0; x+1 < w.w; x++ {
			if !at(x, y) {
				continue
			}
			i, j, k, l := y*w.w+x, y*w.w+x+1, (y+1)*w.w+x+1, (y+1)*w.w+x
			quad(up(i), up(j), up(k), up(l))
			quad(down(i), down(l), down(k), down(j))
			if !at(x, y-1) {
				quad(down(i), down(j), up(j), up(i))
			}
			if !at(x+1, y) {
				quad(down(j), down(k), up(k), up(j))
			}
			if !at(x, y+1) {
				quad(down(k), down(l), up(l), up(k))
			}
			if !at(x-1, y) {
				quad(down(l), down(i), up(i), up(l))
			}
		}
	}
	return out, volume
}
