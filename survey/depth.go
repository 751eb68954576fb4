package survey

import (
	"context"
	"math"
	"math/bits"
)

// finder finds how far a place is from the nearest place where a rod may stand. Results
// do not depend on what it was asked before; that only makes it faster.
type finder struct {
	w        *view
	last     int32   // the edge found last
	found    []int32 // the edge found last from each column, since it is near what is asked next there
	pieces   []int32
	cuts     []cut
	cells    []int32 // whose faces may be nearer
	unlisted []int32 // of these, the ones whose faces are not listed
}

const column = 4 // side of a column [pixels]

func (w *view) finder(pieces []int32) *finder {
	q := &finder{w: w, last: -1, pieces: pieces, found: make([]int32, (w.w/column+1)*(w.h/column+1))}
	for i := range q.found {
		q.found[i] = -1
	}
	return q
}

// cut is the line in which a face reaches a height.
type cut struct {
	ax, ay, bx, by float32
	face           int32
}

// from is the squared distance from a hidden vertex to the nearest place where the surface
// is no higher than the vertex [pixels]. The rims of that region are edges of the outline,
// over the heights they bound, and lines in which visible faces reach the vertex's height.
// It is infinite where there is none.
func (q *finder) from(i int32) float32 {
	w := q.w
	x, y, z := w.v[i].x, w.v[i].y, w.v[i].z
	zq, inf := z+w.tol, float32(math.Inf(1))
	level := w.level(zq)
	best := inf
	if q.last >= 0 {
		best = w.edges[q.last].dist2(x, y, z, zq)
	}
	column := &q.found[int(y)/column*(w.w/column+1)+int(x)/column]
	if e := *column; e >= 0 && e != q.last {
		if d := w.edges[e].dist2(x, y, z, zq); d < best {
			best, q.last = d, e
		}
	}
	q.cells, q.unlisted = q.cells[:0], q.unlisted[:0]
	for r := float32(4 * cell); best == inf && r < 4*float32(w.w+w.h); r *= 4 {
		if d := q.scan(level, x, y, z, r*r); d < r*r {
			best = d
		}
		q.cells = q.cells[:0]
	}
	best = q.scan(level, x, y, z, best)
	for _, c := range q.cells {
		if !w.near(int(c), x, y, best) {
			continue
		}
		if w.known[c]&listed == 0 {
			q.unlisted = append(q.unlisted, c)
			continue
		}
		best = q.faces(int(c), i, zq, best)
	}
	*column = q.last
	return best
}

// scan looks for edges nearer than best (squared) at a level, and notes the cells whose
// faces may be nearer.
func (q *finder) scan(level int, x, y, z, best float32) float32 {
	w := q.w
	t := &w.tiles
	zq := z + w.tol
	// An edge lies at most half its length beyond its cell.
	reach := int(min(float32(math.Sqrt(float64(best))), float32(w.w+w.h))+longest/2)/cell + 1
	cx, cy := cellOf(x), cellOf(y)
	x0, x1, y0, y1 := max(0, cx-reach), min(w.bw-1, cx+reach), max(0, cy-reach), min(w.bh-1, cy+reach)
	const half = tile*cell/2 + longest/2 + 0.01 // of what a tile's edges span
	top, bottom := y1/tile, y0/tile
	for n := 0; n <= 2*max(top-cy/tile, cy/tile-bottom); n++ {
		ty := cy/tile + (n+1)/2 // the place's own row first, then by turns above and below
		if n%2 == 0 {
			ty = cy/tile - n/2
		}
		if ty < bottom || ty > top {
			continue
		}
		row := level*t.high + ty
		for tx := t.next(row, x0/tile); tx <= x1/tile; tx = t.next(row, tx+1) {
			word := &t.words[(ty*t.wide+tx)*levels+level]
			if mx, my := float32((2*tx+1)*tile*cell/2), float32((2*ty+1)*tile*cell/2); outside(x-mx, half)+outside(y-my, half) >= 4*best {
				continue
			}
			in := window(x0-tx*tile, x1-tx*tile, y0-ty*tile, y1-ty*tile)
			first := ty*tile*w.bw + tx*tile
			for m := word[0] & in; m != 0; m &= m - 1 {
				i := bits.TrailingZeros64(m)
				c := first + i/tile*w.bw + i%tile
				r := &w.rims[c]
				if outside(x-r.x, r.wide)+outside(y-r.y, r.high) >= 4*best {
					continue
				}
				start := w.edgeStart[c]
				edges := w.edges[start:w.edgeStart[c+1]]
				for i := range edges {
					e := &edges[i]
					px, py := x-e.ax, y-e.ay
					s := (px*e.ex + py*e.ey) * e.per
					if s < 0 {
						s = 0
					} else if s > 1 {
						s = 1
					}
					dx, dy := px-s*e.ex, py-s*e.ey
					if dx*dx+dy*dy >= best {
						continue // nor can a part of it be nearer
					}
					if d := e.dist2(x, y, z, zq); d < best {
						best, q.last = d, start+int32(i)
					}
				}
			}
			for m := word[1] & in; m != 0; m &= m - 1 {
				i := bits.TrailingZeros64(m)
				if c := first + i/tile*w.bw + i%tile; w.near(c, x, y, best) {
					q.cells = append(q.cells, int32(c))
				}
			}
		}
	}
	return best
}

// outside is four times the square of how far a place lies outside a stretch, from its
// distance from the middle and half the stretch.
func outside(from, half float32) float32 {
	d := size(from) - half
	d += size(d)
	return d * d
}

// size is x without its sign.
func size(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }

// near tells whether a cell has places nearer than best (squared).
func (w *view) near(c int, x, y, best float32) bool {
	cx, cy := float32(c%w.bw*cell+cell/2), float32(c/w.bw*cell+cell/2)
	return outside(x-cx, cell/2)+outside(y-cy, cell/2) < 4*best
}

// dist2 is the squared distance to the part of the edge that bounds what lies above z;
// infinite where none does.
func (e *edge) dist2(x, y, z, zq float32) float32 {
	px, py := x-e.ax, y-e.ay
	s := (px*e.ex + py*e.ey) * e.per
	if max(e.outA, e.outB) <= zq && min(e.za, e.zb) >= z {
		s = min(1, max(0, s))
	} else {
		s0, s1 := float32(0), float32(1)
		if e.outA > zq || e.outB > zq {
			if e.outA > zq && e.outB > zq {
				return float32(math.Inf(1))
			}
			if s := (zq - e.outA) / (e.outB - e.outA); e.outA > zq {
				s0 = max(s0, s)
			} else {
				s1 = min(s1, s)
			}
		}
		if e.za < z || e.zb < z {
			if e.za < z && e.zb < z {
				return float32(math.Inf(1))
			}
			if s := (z - e.za) / (e.zb - e.za); e.za < z {
				s0 = max(s0, s)
			} else {
				s1 = min(s1, s)
			}
		}
		if s0 > s1 {
			return float32(math.Inf(1))
		}
		s = min(s1, max(s0, s))
	}
	dx, dy := px-s*e.ex, py-s*e.ey
	return dx*dx + dy*dy
}

// faces looks for a place nearer to a vertex on the faces listed in a cell, where they reach
// a height and are seen.
func (q *finder) faces(c int, v int32, zq, best float32) float32 {
	w := q.w
	x, y := w.v[v].x, w.v[v].y
	cx, cy := float32(c%w.bw*cell), float32(c/w.bw*cell)
	r := float32(math.Sqrt(float64(best))) + 0.01
	zf := w.fine(zq)
	question := key(within(x+r-cx), within(y+r-cy), within(x-r-cx), within(y-r-cy), zf, zf)
	q.cuts = q.cuts[:0]
	keys, faces := w.over(c)
	for i, k := range keys {
		if !fits(question, k) {
			continue
		}
		f := w.m.Faces[faces[i]]
		own := f[0] == v || f[1] == v || f[2] == v // and hidden where it is nearest, as the vertex is
		if own && q.pieces == nil {
			continue
		}
		line, ok := w.cutOf(faces[i], zq)
		if !ok {
			continue
		}
		px, py := line.nearest(x, y)
		d := (px-x)*(px-x) + (py-y)*(py-y)
		if q.pieces != nil {
			q.cuts = append(q.cuts, line)
		}
		if d < best && !own && !w.buried(px, py, zq+w.tol) {
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
				if d < best && !w.buried(px, py, zq+4*w.tol) {
					best = d
				}
			}
		}
	}
	return best
}

// buried tells whether the surface over a place, which lies on it no higher than z, is
// higher than z somewhere.
func (w *view) buried(x, y, z float32) bool {
	return w.known[cellOf(y)*w.bw+cellOf(x)]&single == 0 && w.above(x, y, z)
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
	n := len(w.v)
	const stretch = 1 << 9
	out := make([]float64, n)
	put := func(i int32, d2 float32) {
		if !math.IsInf(float64(d2), 1) {
			out[i] = math.Sqrt(float64(d2)) * w.px
		}
	}
	finders := make(chan *finder, w.threads)
	for range w.threads {
		finders <- w.finder(pieces)
	}
	order := w.inOrder(ctx, hidden)
	parts := (len(order) + stretch - 1) / stretch
	later, unlisted := make([][]int32, parts), make([][]int32, parts)
	each(ctx, w.threads, len(order), stretch, func(from, to int) {
		q := <-finders
		defer func() { finders <- q }()
		for _, i := range order[from:to] {
			d := q.from(i)
			if len(q.unlisted) == 0 {
				put(i, d)
				continue
			}
			later[from/stretch] = append(later[from/stretch], i)
			unlisted[from/stretch] = append(unlisted[from/stretch], q.unlisted...)
		}
	})
	for _, l := range unlisted {
		for _, c := range l {
			w.known[c] |= wanted
		}
	}
	w.list(ctx)
	each(ctx, w.threads, len(later), 1, func(k, _ int) {
		q := <-finders
		defer func() { finders <- q }()
		for _, i := range later[k] {
			put(i, q.from(i))
		}
	})
	return out
}

// inOrder lists the hidden vertices place by place, those of a place level by level: one's
// nearest edge is near the next one's.
func (w *view) inOrder(ctx context.Context, hidden []bool) []int32 {
	side := tile * cell // of a place [pixels]
	for (w.w/side+1)*(w.h/side+1) > 1<<7 {
		side *= 2
	}
	wide := w.w/side + 1
	places := wide * (w.h/side + 1)
	parts, n := w.threads, len(hidden)
	next := make([][]int32, parts) // where each part's next vertex of a place and level goes
	each(ctx, parts, parts, 1, func(k, _ int) { next[k] = make([]int32, levels*places) })
	of := func(k int, do func(i, at int)) {
		for i := k * n / parts; i < (k+1)*n/parts; i++ {
			if hidden[i] {
				p := w.v[i]
				do(i, (int(p.y)/side*wide+int(p.x)/side)*levels+w.level(p.z))
			}
		}
	}
	each(ctx, parts, parts, 1, func(k, _ int) { of(k, func(_, at int) { next[k][at]++ }) })
	if ctx.Err() != nil {
		return nil
	}
	sum := int32(0)
	for at := range next[0] {
		for k := range next {
			next[k][at], sum = sum, sum+next[k][at]
		}
	}
	out := make([]int32, sum)
	each(ctx, parts, parts, 1, func(k, _ int) {
		of(k, func(i, at int) {
			out[next[k][at]] = int32(i)
			next[k][at]++
		})
	})
	return out
}
