package survey

import (
	"context"
	"math"
)

// hidden finds which vertices have surface above them.
func (w *view) hidden(ctx context.Context) []bool {
	n := len(w.v)
	away := make([]bool, n) // no face of the vertex looks along the path or stands along it
	if !w.both {
		for i := range away {
			away[i] = true
		}
		for t, f := range w.m.Faces {
			if w.side[t] >= 0 {
				away[f[0]], away[f[1]], away[f[2]] = false, false, false
			}
		}
	}
	out := make([]bool, n)
	each(ctx, w.threads, n, 1<<12, func(from, to int) {
		for i := from; i < to; i++ {
			out[i] = away[i] || w.covered(int32(i))
		}
	})
	return out
}

// covered tells whether a face that does not stand on the vertex lies above it.
func (w *view) covered(i int32) bool {
	p := w.v[i]
	z := p.z + w.tol
	c := int(p.y)/cell*w.bw + int(p.x)/cell
	for _, e := range w.entries[w.start[c]:w.start[c+1]] {
		if e.hi <= z {
			continue
		}
		f := w.m.Faces[e.face]
		if f[0] == i || f[1] == i || f[2] == i {
			continue
		}
		a, b, c := w.v[f[0]], w.v[f[1]], w.v[f[2]]
		if min(a.x, b.x, c.x) > p.x || max(a.x, b.x, c.x) < p.x || min(a.y, b.y, c.y) > p.y || max(a.y, b.y, c.y) < p.y {
			continue
		}
		if h, ok := w.over(f, p.x, p.y); ok && h > z {
			return true
		}
	}
	return false
}

// finder finds how far a place is from the nearest place where a rod may stand. Results
// do not depend on what it was asked before; that only makes it faster.
type finder struct {
	w      *view
	last   int32 // the edge found last
	pieces []int32
	cuts   []cut
}

// cut is the line in which a face reaches a height.
type cut struct {
	ax, ay, bx, by float32
	face           int32
}

// from is the distance from a place to the nearest place where the surface is no higher
// than z [pixels]. The place itself must have surface above z. The rims of that region are
// edges of the outline, over the heights they bound, and lines in which visible faces
// reach the height z. It is infinite where there is none.
func (q *finder) from(x, y, z float32) float32 {
	w := q.w
	zq := z + w.tol
	inf := float32(math.Inf(1))
	best := inf
	if q.last >= 0 {
		if d, ok := w.edges[q.last].dist2(x, y, z, zq); ok {
			best = d
		}
	}
	level := w.level(zq)
	best = q.edges(x, y, z, zq, level, best)
	best = q.faces(x, y, zq, level, best)
	if best == inf {
		return inf
	}
	return float32(math.Sqrt(float64(best)))
}

func (q *finder) edges(x, y, z, zq float32, level int, best float32) float32 {
	w := q.w
	return w.rimRows.near(level, x, y, best, func(cx, cy int, best float32) float32 {
		c := cy*w.bw + cx
		for _, i := range w.edgeIDs[w.edgeStart[c]:w.edgeStart[c+1]] {
			if d, ok := w.edges[i].dist2(x, y, z, zq); ok && d < best {
				best, q.last = d, i
			}
		}
		return best
	})
}

// dist2 is the squared distance to the part of the edge that bounds what lies above z.
func (e *edge) dist2(x, y, z, zq float32) (float32, bool) {
	s0, s1 := float32(0), float32(1)
	if e.outA > zq || e.outB > zq {
		if e.outA > zq && e.outB > zq {
			return 0, false
		}
		if s := (zq - e.outA) / (e.outB - e.outA); e.outA > zq {
			s0 = max(s0, s)
		} else {
			s1 = min(s1, s)
		}
	}
	if e.za < z || e.zb < z {
		if e.za < z && e.zb < z {
			return 0, false
		}
		if s := (z - e.za) / (e.zb - e.za); e.za < z {
			s0 = max(s0, s)
		} else {
			s1 = min(s1, s)
		}
	}
	if s0 > s1 {
		return 0, false
	}
	ex, ey, px, py := e.bx-e.ax, e.by-e.ay, x-e.ax, y-e.ay
	s := (px*ex + py*ey) / max(ex*ex+ey*ey, 1e-20)
	s = min(s1, max(s0, s))
	dx, dy := px-s*ex, py-s*ey
	return dx*dx + dy*dy, true
}

// faces looks for a nearer place on the visible faces that reach the height.
func (q *finder) faces(x, y, zq float32, level int, best float32) float32 {
	w := q.w
	return w.surfRows.near(level, x, y, best, func(cx, cy int, best float32) float32 {
		c := cy*w.bw + cx
		q.cuts = q.cuts[:0]
		for _, e := range w.entries[w.start[c]:w.start[c+1]] {
			if e.lo > zq || e.hi < zq || e.lo == e.hi {
				continue
			}
			k, ok := w.cutOf(e.face, zq)
			if !ok {
				continue
			}
			px, py := k.nearest(x, y)
			d := (px-x)*(px-x) + (py-y)*(py-y)
			if q.pieces != nil {
				q.cuts = append(q.cuts, k)
			}
			if d < best && w.heightAt(px, py, -1) <= zq+w.tol {
				best = d
			}
		}
		// Where two bodies run into each other the nearest place may be where their lines
		// cross, though neither line's own nearest place can be seen.
		for i, a := range q.cuts {
			for _, b := range q.cuts[i+1:] {
				if q.pieces[a.face] == q.pieces[b.face] {
					continue
				}
				if px, py, ok := a.cross(b); ok {
					d := (px-x)*(px-x) + (py-y)*(py-y)
					if d < best && w.heightAt(px, py, -1) <= zq+4*w.tol {
						best = d
					}
				}
			}
		}
		return best
	})
}

// cutOf is where a face reaches a height.
func (w *view) cutOf(t int32, z float32) (cut, bool) {
	f := w.m.Faces[t]
	k := cut{face: t}
	n := 0
	for i := 0; i < 3; i++ {
		a, b := w.v[f[i]], w.v[f[(i+1)%3]]
		if (a.z < z) == (b.z < z) {
			continue
		}
		s := (z - a.z) / (b.z - a.z)
		x, y := a.x+(b.x-a.x)*s, a.y+(b.y-a.y)*s
		if n == 0 {
			k.ax, k.ay = x, y
		} else {
			k.bx, k.by = x, y
		}
		n++
	}
	return k, n == 2
}

func (k cut) nearest(x, y float32) (float32, float32) {
	ex, ey := k.bx-k.ax, k.by-k.ay
	s := ((x-k.ax)*ex + (y-k.ay)*ey) / max(ex*ex+ey*ey, 1e-20)
	s = min(1, max(0, s))
	return k.ax + s*ex, k.ay + s*ey
}

func (k cut) cross(o cut) (x, y float32, ok bool) {
	ex, ey, fx, fy := k.bx-k.ax, k.by-k.ay, o.bx-o.ax, o.by-o.ay
	det := ex*fy - ey*fx
	if det == 0 {
		return 0, 0, false
	}
	s := ((o.ax-k.ax)*fy - (o.ay-k.ay)*fx) / det
	t := ((o.ax-k.ax)*ey - (o.ay-k.ay)*ex) / det
	return k.ax + s*ex, k.ay + s*ey, s >= 0 && s <= 1 && t >= 0 && t <= 1
}

// depths is the undercut depth of each vertex, in the mesh's unit; 0 where the vertex is
// not hidden.
func (w *view) depths(ctx context.Context, hidden []bool, pieces []int32) []float64 {
	out := make([]float64, len(w.v))
	each(ctx, w.threads, len(w.v), 1<<11, func(from, to int) {
		q := finder{w: w, last: -1, pieces: pieces}
		for i := from; i < to; i++ {
			if !hidden[i] {
				continue
			}
			p := w.v[i]
			if d := q.from(p.x, p.y, p.z); !math.IsInf(float64(d), 1) {
				out[i] = float64(d) * w.px
			}
		}
	})
	return out
}
