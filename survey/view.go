package survey

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// How the mesh is looked at along the path. Lengths across the path are in pixels, heights
// along it in the mesh's own unit.
const (
	cell      = 2    // side of a cell [pixels]; a cell lists the faces and the edges over it
	margin    = 4    // empty pixels round the mesh
	levels    = 64   // heights told apart in a cell's masks
	wallSlope = 1e-4 // a face within this angle of the path stands along it, unless a finer error bound is asked [rad]
	wallWidth = 2e-4 // or one so narrow that rounding decides which way it looks [pixels]
)

// How far outside an edge the height beside it is taken bounds the error of a depth.
const (
	leastBeside = 0.02 // at the least [pixels]
	besideWall  = 1.5  // times how far a wall may lean over the whole height
	errorBeside = 2.5  // the error bound over that distance
)

// empty is the height where there is no surface.
var empty = float32(math.Inf(-1))

// point is a vertex seen along the path: across it in pixels, along it in the mesh's unit.
type point struct{ x, y, z float32 }

// view is a mesh seen along one direction.
type view struct {
	m       *mesh.Mesh
	adj     *mesh.Edges
	mid     geom.Vec   // of the mesh's box
	across  float64    // the box, from corner to corner
	frame   geom.Frame // Z along the path; the origin is the map's corner at the lowest height
	px      float64
	usual   float64 // pixel of the grid unless another is asked
	threads int
	both    bool    // faces that look away are drawn too: the mesh is not closed
	asked   float64 // error bound wanted, in the mesh's unit; 0 takes what the pixel gives

	v        []point
	side     []int8  // of each face: 1 looks along the path, -1 away from it, 0 stands along it
	zhi      float32 // the lowest height is 0
	perLevel float32
	perFine  float32
	slope    float64 // a face within this angle of the path stands along it [rad]
	tol      float32 // heights closer than this are the same height
	beside   float32 // how far outside an edge the height beside it is taken [pixels]
	w, h     int     // pixels
	covered  []bool  // of each face: no corner is seen
	bw, bh   int     // cells
	home     []int32 // of each face: the cell of its least corner and how far it reaches, nowhere or everywhere
	stands   []uint8 // of each vertex: what it stands on
	shares   []share
	known    []uint8  // of each cell
	region   []int32  // of each cell: the region without bends
	surf     []uint64 // of each cell: heights its faces span
	bends    []bend

	first, end []int32 // of each cell: its faces in the list
	keys       []uint64
	faces      []int32
	about      homes

	edges     []edge
	edgeStart []int32
	edgeCell  []int32   // of each edge as it was found: the cell its middle lies in
	rim       []uint64  // of each cell: heights its edges bound
	rims      []stretch // of each cell with edges
	tiles     tiles     // cells in which something is at a height
	folds     []fold
}

// each runs f over 0..n in stretches, on as many threads as the view may use. What f does
// must not depend on which thread runs it or when.
func each(ctx context.Context, threads, n, stretch int, f func(from, to int)) {
	if threads <= 1 || n <= stretch {
		for a := 0; a < n && ctx.Err() == nil; a += stretch {
			f(a, min(n, a+stretch))
		}
		return
	}
	var wg sync.WaitGroup
	var next atomic.Int64
	for i := 0; i < threads; i++ {
		wg.Go(func() {
			for ctx.Err() == nil {
				a := int(next.Add(int64(stretch))) - stretch
				if a >= n {
					return
				}
				f(a, min(n, a+stretch))
			}
		})
	}
	wg.Wait()
}

func threadsOr(n int) int {
	if n > 0 {
		return n
	}
	return runtime.GOMAXPROCS(0)
}

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// look turns the mesh so that d points up and lays the pixels.
func (w *view) look(ctx context.Context, d geom.Vec, px float64) {
	box := w.m.Vertices
	mid := w.mid
	f := geom.FrameAlong(d)
	n := len(box)
	w.v = resized(w.v, n)
	const stretch = 1 << 14
	type bounds struct{ x0, y0, z0, x1, y1, z1 float64 }
	part := make([]bounds, (n+stretch-1)/stretch)
	each(ctx, w.threads, n, stretch, func(from, to int) {
		inf := math.Inf(1)
		b := bounds{inf, inf, inf, -inf, -inf, -inf}
		for _, v := range box[from:to] {
			q := v.Sub(mid)
			x, y, z := q.Dot(f.X), q.Dot(f.Y), q.Dot(f.Z)
			b.x0, b.y0, b.z0 = min(b.x0, x), min(b.y0, y), min(b.z0, z)
			b.x1, b.y1, b.z1 = max(b.x1, x), max(b.y1, y), max(b.z1, z)
		}
		part[from/stretch] = b
	})
	b := part[0]
	for _, p := range part[1:] {
		b.x0, b.y0, b.z0 = min(b.x0, p.x0), min(b.y0, p.y0), min(b.z0, p.z0)
		b.x1, b.y1, b.z1 = max(b.x1, p.x1), max(b.y1, p.y1), max(b.z1, p.z1)
	}
	w.usual = pixelFor(b.x1-b.x0, b.y1-b.y0, b.z1-b.z0)
	if px <= 0 {
		px = w.usual
	}
	w.slope = wallSlope
	if w.asked > 0 {
		px = math.Min(px, w.asked/errorBeside/leastBeside)
		w.slope = math.Min(w.slope, w.asked/errorBeside/besideWall/math.Max(b.z1-b.z0, 1e-9))
	}
	w.px = px
	ox, oy := b.x0-margin*px, b.y0-margin*px
	w.frame = geom.Frame{Origin: mid.Add(f.X.Scale(ox)).Add(f.Y.Scale(oy)).Add(f.Z.Scale(b.z0)), X: f.X, Y: f.Y, Z: f.Z}
	round := func(v float64) int { return (int(v) + 2*margin + cell) / cell * cell }
	w.w, w.h = round((b.x1-b.x0)/px), round((b.y1-b.y0)/px)
	per, oz := 1/px, b.z0
	each(ctx, w.threads, n, stretch, func(from, to int) {
		out := w.v[from:to]
		for i, v := range box[from:to] {
			q := v.Sub(mid)
			out[i] = point{float32((q.Dot(f.X) - ox) * per), float32((q.Dot(f.Y) - oy) * per), float32(q.Dot(f.Z) - oz)}
		}
	})
	w.zhi = float32(b.z1 - b.z0)
	w.perLevel = (levels - 0.01) / max(w.zhi, 1e-30)
	w.perFine = steps * w.perLevel
	// Heights are kept in 24 bits; planes interpolated in them differ by a few of the last.
	// A wall may lean by its slope over the whole height and must not be met beside its rim.
	w.beside = float32(math.Max(leastBeside, besideWall*w.slope*(b.z1-b.z0)/px))
	w.tol = float32(4e-7 * math.Max(math.Max(b.x1-b.x0, b.y1-b.y0), math.Max(b.z1-b.z0, 1e-9)))
}

// pixelFor is the pixel for a mesh of this size: a tenth of a millimetre on a
// dental arch, finer on what is small, coarser on what would not fit in memory.
func pixelFor(x, y, z float64) float64 {
	px := math.Min(0.1, math.Max(x, math.Max(y, z))/500)
	return math.Max(px, math.Sqrt(x*y/16e6))
}

// span is the stretch of x that a triangle covers between y0 and y1.
func span(a, b, c point, y0, y1 float32) (l, r float32, ok bool) {
	l, r = float32(math.Inf(1)), float32(math.Inf(-1))
	side := func(p, q point) {
		if p.y > q.y {
			p, q = q, p
		}
		if q.y < y0 || p.y > y1 {
			return
		}
		xa, xb := p.x, q.x
		if d := q.y - p.y; d > 0 {
			if p.y < y0 {
				xa = p.x + (q.x-p.x)*(y0-p.y)/d
			}
			if q.y > y1 {
				xb = p.x + (q.x-p.x)*(y1-p.y)/d
			}
		}
		l, r = min(l, xa, xb), max(r, xa, xb)
	}
	side(a, b)
	side(b, c)
	side(c, a)
	return l, r, l <= r
}

// level is the mask's bit of a height.
func (w *view) level(z float32) int {
	return min(levels-1, max(0, int(z*w.perLevel)))
}

func (w *view) mask(lo, hi float32) uint64 {
	a, b := w.level(lo), w.level(hi)
	return (^uint64(0) << a) & (^uint64(0) >> (levels - 1 - b))
}
