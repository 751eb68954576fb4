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
		out, seen := make([]edge, 0, 2*(to-from)), make([]fold, 0, to-from)
		for _, b := range w.bends[from:to] {
			var mid float32
			out, mid = w.edgesOf(out, b.face, int(b.corner))
			seen = w.foldOf(seen, b.face, int(b.corner), mid)
		}
		parts[from/stretch], folds[from/stretch] = out, seen
	})
	w.folds = w.folds[:0]
	for _, f := range folds {
		w.folds = append(w.folds, f...)
	}
	w.file(parts)
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
	in := min(0.15, inset/l)
	o := outer{view: w, edge: edge{ax: a.x, ay: a.y, ex: ex, ey: ey, za: a.z, zb: b.z}, nx: nx * w.beside, ny: ny * w.beside, l: l, in: in}
	n := max(1, int(l+longest-1))
	mid := empty
	last := o.at(in)
	for i := range n {
		next := o.at(min(float32(i+1)/float32(n), 1-in))
		if i == n/2 {
			mid = last.z
		}
		out = o.divide(out, last, next)
		last = next
	}
	return out, mid
}

// outer is an edge and where what lies just outside it is looked up.
type outer struct {
	*view
	edge
	nx, ny float32 // from the edge outwards
	l, in  float32 // the edge's length, and how much of its ends is left out of what is looked up
}

// foot is what lies outside a place of an edge: how far along it, how high, and which face;
// less than 0 where there is none.
type foot struct {
	s, z float32
	face int32
}

func (o *outer) at(s float32) foot {
	z, face := o.heightAt(o.ax+o.ex*s+o.nx, o.ay+o.ey*s+o.ny)
	return foot{s, z, face}
}

// under tells whether what is outside a place is no lower than the edge there.
func (o *outer) under(f foot) bool { return f.z >= o.za+(o.zb-o.za)*f.s-o.tol }

// divide adds the stretch between two places of an edge, in pieces along which the height
// outside it runs straight: parted where two faces meet there, or else in the middle.
func (o *outer) divide(out []edge, from, to foot) []edge {
	if from.face < 0 || from.face != to.face {
		flat, long := straightTo*o.beside*float32(o.px), to.s-from.s
		under, whole := o.under(from) && o.under(to), long*o.l <= shortest
		if s, z := o.meet(from, to); !under && !whole && s > from.s+long/64 && s < to.s-long/64 {
			if p := o.at(s); size(p.z-z) <= flat {
				return o.divide(o.divide(out, from, p), p, to)
			}
		}
		mid := o.at((from.s + to.s) / 2)
		if under && o.under(mid) {
			return out
		}
		straight := from.z == to.z && mid.z == from.z || size(mid.z-(from.z+to.z)/2) <= flat // infinite where the surface ends
		if !straight && !whole {
			return o.divide(o.divide(out, from, mid), mid, to)
		}
		if !straight { // a last piece over a jump: bounded from the higher side
			from.z = max(from.z, to.z)
			to.z = from.z
		}
	}
	if o.under(from) && o.under(to) {
		return out
	}
	s0, s1 := from.s, to.s
	if s0 <= o.in {
		s0 = 0
	}
	if s1 >= 1-o.in {
		s1 = 1
	}
	z0, z1 := o.za+(o.zb-o.za)*s0, o.za+(o.zb-o.za)*s1
	dx, dy := o.ex*(s1-s0), o.ey*(s1-s0)
	return append(out, edge{o.ax + o.ex*s0, o.ay + o.ey*s0, dx, dy, 1 / max(dx*dx+dy*dy, 1e-20), from.z, to.z, z0, z1})
}

// meet is how far along an edge, and how high, the planes of the faces outside two of its
// places meet; not a number where there is no face.
func (o *outer) meet(from, to foot) (s, z float32) {
	if from.face < 0 || to.face < 0 {
		return float32(math.NaN()), 0
	}
	g, h := o.rise(from.face, o.ex, o.ey), o.rise(to.face, o.ex, o.ey)
	s = (to.z - from.z + g*from.s - h*to.s) / (g - h)
	return s, from.z + g*(s-from.s)
}

// rise is how much higher a face's plane is a way farther on.
func (w *view) rise(face int32, dx, dy float32) float32 {
	f := w.m.Faces[face]
	a, b, c := w.v[f[0]], w.v[f[1]], w.v[f[2]]
	bx, by, bz, cx, cy, cz := b.x-a.x, b.y-a.y, b.z-a.z, c.x-a.x, c.y-a.y, c.z-a.z
	return ((bz*cy-cz*by)*dx + (cz*bx-bz*cx)*dy) / (bx*cy - cx*by)
}

// file puts the edges in order of the cells their middles lie in.
func (w *view) file(parts [][]edge) {
	cells := w.bw * w.bh
	w.rims = resized(w.rims, cells)
	w.edgeStart, w.rim = zeroed(w.edgeStart, cells+1), zeroed(w.rim, cells)
	w.edgeCell = w.edgeCell[:0]
	for _, edges := range parts {
		for i := range edges {
			e := &edges[i]
			x, y := e.ax+e.ex/2, e.ay+e.ey/2
			c := cellOf(y)*w.bw + cellOf(x)
			w.edgeCell = append(w.edgeCell, int32(c))
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
	}
	sum := int32(0)
	for i, n := range w.edgeStart {
		sum += n
		w.edgeStart[i] = sum
	}
	w.edges = resized(w.edges, len(w.edgeCell))
	at := len(w.edgeCell)
	for p := len(parts) - 1; p >= 0; p-- {
		for i := len(parts[p]) - 1; i >= 0; i-- {
			at--
			c := w.edgeCell[at]
			w.edgeStart[c]--
			w.edges[w.edgeStart[c]] = parts[p][i]
		}
	}
}
