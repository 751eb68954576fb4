package survey

import (
	"context"
	"math"
)

// edge is a stretch of the outline of what is seen along the path: the surface folds back
// or ends there. At heights between the surface outside it and its own it bounds what lies
// above. Places in pixels, heights in the mesh's unit, linear along it.
type edge struct {
	ax, ay, ex, ey float32 // where it begins and how far it goes
	per            float32 // over the square of that
	outA, outB     float32 // height of the surface just outside
	za, zb         float32 // its own height
}

// stretch is the middle and half the sides of what a cell's edges span.
type stretch struct{ x, y, wide, high float32 }

// An edge is divided until the height outside runs straight along each stretch, but into
// none shorter than shortest. A place whose own surface runs level out from under the edge
// lies hardly lower than what is outside: a small error of a height there is a large one of
// a depth.
const (
	straightTo = 0.1  // times how far outside the height is taken
	shortest   = 0.01 // [pixels]
	longest    = 1.5  // stretch of an edge [pixels]
	inset      = 0.04 // of an edge's own ends: beside them lies what is beside the next edge [pixels]
)

// outline finds which bends the surface folds back or ends at as seen along the path.
func (w *view) outline(ctx context.Context) {
	n := len(w.bends)
	const stretch = 1 << 8
	parts := make([][]edge, (n+stretch-1)/stretch)
	folds := make([][]fold, len(parts))
	each(ctx, w.threads, n, stretch, func(from, to int) {
		var out []edge
		var seen []fold
		for _, b := range w.bends[from:to] {
			var mid float32
			out, mid = w.edgesOf(out, b.face, int(b.corner))
			seen = w.foldOf(seen, b.face, int(b.corner), mid)
		}
		parts[from/stretch], folds[from/stretch] = out, seen
	})
	var edges []edge
	w.folds = w.folds[:0]
	for i, p := range parts {
		edges = append(edges, p...)
		w.folds = append(w.folds, folds[i]...)
	}
	w.file(edges)
}

// sameWay tells whether two neighbours run along their edge the same way.
func (w *view) sameWay(t int32, k int, g int32) bool {
	a, b := w.m.Faces[t][k], w.m.Faces[t][(k+1)%3]
	f := w.m.Faces[g]
	return f[0] == a && f[1] == b || f[1] == a && f[2] == b || f[2] == a && f[0] == b
}

// edgesOf adds the bounding stretches of one face's edge, and gives the height outside its
// middle.
func (w *view) edgesOf(out []edge, t int32, k int) ([]edge, float32) {
	f := w.m.Faces[t]
	a, b, c := w.v[f[k]], w.v[f[(k+1)%3]], w.v[f[(k+2)%3]]
	ex, ey := b.x-a.x, b.y-a.y
	l := float32(math.Sqrt(float64(ex*ex + ey*ey)))
	if l < 1e-5 { // seen end on
		return out, empty
	}
	nx, ny := ey/l, -ex/l
	if nx*(c.x-a.x)+ny*(c.y-a.y) > 0 {
		nx, ny = -nx, -ny
	}
	beside := func(s float32) float32 {
		return w.heightAt(a.x+ex*s+nx*w.beside, a.y+ey*s+ny*w.beside)
	}
	n := max(1, int(l+longest-1))
	mid := empty
	in := min(0.15, inset/l)
	last := beside(in)
	for i := range n {
		s0, s1 := float32(i)/float32(n), float32(i+1)/float32(n)
		next := beside(min(s1, 1-in))
		if i == n/2 {
			mid = last
		}
		out = w.divide(out, edge{ax: a.x, ay: a.y, ex: ex, ey: ey, za: a.z, zb: b.z}, s0, s1, last, next, l, beside)
		last = next
	}
	return out, mid
}

// divide adds the stretch from s0 to s1 of an edge, in two where the height outside it does
// not run straight.
func (w *view) divide(out []edge, e edge, s0, s1, out0, out1, l float32, beside func(float32) float32) []edge {
	long, s := (s1-s0)*l, (s0+s1)/2
	mid, flat := beside(s), straightTo*w.beside*float32(w.px)
	straight := out0 == out1 && mid == out0 || size(mid-(out0+out1)/2) <= flat // infinite where the surface ends
	if !straight && long > shortest {
		out = w.divide(out, e, s0, s, out0, mid, l, beside)
		return w.divide(out, e, s, s1, mid, out1, l, beside)
	}
	if !straight { // a last piece over a jump: bounded from the higher side
		out0 = max(out0, out1)
		out1 = out0
	}
	z0, z1 := e.za+(e.zb-e.za)*s0, e.za+(e.zb-e.za)*s1
	if out0 >= z0-w.tol && out1 >= z1-w.tol {
		return out
	}
	dx, dy := e.ex*(s1-s0), e.ey*(s1-s0)
	return append(out, edge{e.ax + e.ex*s0, e.ay + e.ey*s0, dx, dy, 1 / max(dx*dx+dy*dy, 1e-20), out0, out1, z0, z1})
}

// file puts the edges in order of the cells their middles lie in.
func (w *view) file(edges []edge) {
	cells := w.bw * w.bh
	w.rims = resized(w.rims, cells)
	w.edgeStart, w.rim = zeroed(w.edgeStart, cells+1), zeroed(w.rim, cells)
	at := make([]int32, len(edges))
	for i := range edges {
		e := &edges[i]
		x, y := e.ax+e.ex/2, e.ay+e.ey/2
		c := cellOf(y)*w.bw + cellOf(x)
		at[i] = int32(c)
		// Wider by more than the rounding, so that no edge is passed over.
		wide, high := size(e.ex)/2+1e-4, size(e.ey)/2+1e-4
		if r := &w.rims[c]; w.rim[c] == 0 {
			*r = stretch{x, y, wide, high}
		} else {
			xl, xh, yl, yh := min(x-wide, r.x-r.wide), max(x+wide, r.x+r.wide), min(y-high, r.y-r.high), max(y+high, r.y+r.high)
			*r = stretch{(xl + xh) / 2, (yl + yh) / 2, (xh-xl)/2 + 1e-4, (yh-yl)/2 + 1e-4}
		}
		w.rim[c] |= w.mask(min(e.outA, e.outB), max(e.za, e.zb))
		w.edgeStart[c]++
	}
	sum := int32(0)
	for i, n := range w.edgeStart {
		sum += n
		w.edgeStart[i] = sum
	}
	w.edges = resized(w.edges, len(edges))
	for i := len(edges) - 1; i >= 0; i-- {
		w.edgeStart[at[i]]--
		w.edges[w.edgeStart[at[i]]] = edges[i]
	}
}
