package survey

import (
	"context"
	"iter"
	"math"
)

// What a vertex stands on.
const (
	onSeen uint8 = 1 << iota // a face that is drawn
	onWall                   // a face along the path
)

// What may be known of a cell.
const (
	folded uint8 = 1 << iota // the surface folds back or ends in it
	single                   // one sheet of surface lies over all of it and no more
	wanted                   // its faces are to be listed
	listed                   // and have been
)

// Homes of faces that are in no one place.
const (
	nowhere    int32 = -1 // not drawn
	everywhere int32 = -2 // over more than atHome cells by as many
)

const atHome = 3

// cover finds which way each face looks, what each vertex stands on, how many faces may lie
// over each cell and at which heights.
func (w *view) cover(ctx context.Context) {
	w.bw, w.bh = w.w/cell, w.h/cell
	cells, n := w.bw*w.bh, len(w.m.Faces)
	w.side, w.home = resized(w.side, n), resized(w.home, n)
	parts := w.parts()
	for len(w.shares) < parts {
		w.shares = append(w.shares, share{})
	}
	w.shares = w.shares[:parts]
	each(ctx, parts, parts, 1, func(k, _ int) {
		s := &w.shares[k]
		s.stands, s.counts, s.surf = zeroed(s.stands, len(w.v)), zeroed(s.counts, cells), zeroed(s.surf, cells)
		for from, to := range w.part(k) {
			w.coverFaces(s, from, to)
		}
	})
	if ctx.Err() != nil {
		return
	}
	w.surf, w.stands = w.shares[0].surf, w.shares[0].stands
	for _, s := range w.shares[1:] {
		for i, m := range s.surf {
			w.surf[i] |= m
		}
		for i, b := range s.stands {
			w.stands[i] |= b
		}
	}
}

// share is what one stretch of the faces adds. No result depends on how many there are.
type share struct {
	stands []uint8  // of each vertex
	counts []int32  // of each cell: faces that may lie over it; then where the next is listed
	surf   []uint64 // of each cell: heights they span
}

const mostParts = 8

func (w *view) parts() int {
	if len(w.m.Faces) < 20000 {
		return 1
	}
	return min(w.threads, mostParts)
}

// part gives the stretches of the faces that one part takes: by turns, since some regions
// of a surface are more work than others.
func (w *view) part(k int) iter.Seq2[int, int] {
	const stretch = 1 << 12
	return func(do func(from, to int) bool) {
		n := len(w.m.Faces)
		for from := k * stretch; from < n; from += len(w.shares) * stretch {
			if !do(from, min(n, from+stretch)) {
				return
			}
		}
	}
}

func (w *view) coverFaces(share *share, from, to int) {
	v, stands := w.v, share.stands
	wall := float32(w.slope / w.px)
	for t := from; t < to; t++ {
		f := &w.m.Faces[t]
		a, b, c := v[f[0]], v[f[1]], v[f[2]]
		box := boxOf(a, b, c)
		area := (b.x-a.x)*(c.y-a.y) - (c.x-a.x)*(b.y-a.y)
		wide, high, lean := box.xh-box.xl, box.yh-box.yl, wall*(box.zh-box.zl)+wallWidth
		rise := (wide + high) * lean // at the least enough
		if area <= rise && area >= -rise {
			rise = max(wide, high) * lean
		}
		side, on := int8(0), onWall
		if area > rise {
			side, on = 1, onSeen
		} else if area < -rise {
			side, on = -1, 0
			if w.both {
				on = onSeen
			}
		}
		w.side[t] = side
		for _, i := range f {
			if stands[i]&on != on {
				stands[i] |= on
			}
		}
		if on != onSeen {
			w.home[t] = nowhere
			continue
		}
		m := w.mask(box.zl, box.zh)
		x0, x1, y0, y1 := cellOf(box.xl), cellOf(box.xh), cellOf(box.yl), cellOf(box.yh)
		if x1-x0 >= atHome || y1-y0 >= atHome {
			w.home[t] = everywhere
			w.eachCell(a, b, c, box, func(i int) {
				share.counts[i]++
				share.surf[i] |= m
			})
			continue
		}
		w.home[t] = int32((y0*w.bw+x0)*(atHome+1) + max(x1-x0, y1-y0))
		for y := y0; y <= y1; y++ {
			for i := y*w.bw + x0; i <= y*w.bw+x1; i++ {
				share.counts[i]++
				share.surf[i] |= m
			}
		}
	}
}

// box is what a face spans.
type box struct{ xl, xh, yl, yh, zl, zh float32 }

func boxOf(a, b, c point) box {
	// All coordinates are positive or 0, and such numbers are in order of their bits, which
	// are compared sooner.
	bits, number := math.Float32bits, math.Float32frombits
	ax, bx, cx, ay, by, cy, az, bz, cz := bits(a.x), bits(b.x), bits(c.x), bits(a.y), bits(b.y), bits(c.y), bits(a.z), bits(b.z), bits(c.z)
	return box{number(min(ax, bx, cx)), number(max(ax, bx, cx)), number(min(ay, by, cy)), number(max(ay, by, cy)), number(min(az, bz, cz)), number(max(az, bz, cz))}
}

// cellOf is the row or column of cells a coordinate lies in.
func cellOf(x float32) int { return int(uint32(x) / cell) }

// eachCell gives the cells that a face may lie over.
func (w *view) eachCell(a, b, c point, box box, do func(i int)) {
	x0, x1, y0, y1 := cellOf(box.xl), cellOf(box.xh), cellOf(box.yl), cellOf(box.yh)
	for y := y0; y <= y1; y++ {
		l, r := x0, x1
		if x1-x0 > 3 {
			sl, sr, ok := span(a, b, c, float32(y*cell)-0.01, float32((y+1)*cell)+0.01)
			if !ok {
				continue
			}
			l, r = max(l, cellOf(max(0, sl-0.01))), min(r, cellOf(sr+0.01))
		}
		for x := l; x <= r; x++ {
			do(y*w.bw + x)
		}
	}
}

// bend is an edge of a drawn face that the surface does not go on across as it came: it
// folds back there, goes on along the path or ends.
type bend struct {
	face   int32
	corner int8
}

// fold finds the bends and marks the cells about them. Away from bends the surface lies
// over the cells in whole sheets, one above the other.
func (w *view) fold(ctx context.Context) {
	n := len(w.m.Faces)
	const stretch = 1 << 13
	parts := make([][]bend, (n+stretch-1)/stretch)
	turned := w.adj.Turned > 0
	each(ctx, w.threads, n, stretch, func(from, to int) {
		var out []bend
		for t := from; t < to; t++ {
			if w.home[t] == nowhere {
				continue
			}
			s := w.side[t]
			for k, g := range w.adj.Across[t] {
				if g >= 0 {
					o := w.side[g]
					if turned && w.sameWay(int32(t), k, g) {
						o = -o
					}
					if o == s || o != 0 && w.both && int(g) < t {
						continue
					}
				}
				out = append(out, bend{int32(t), int8(k)})
			}
		}
		parts[from/stretch] = out
	})
	w.bends = w.bends[:0]
	for _, p := range parts {
		w.bends = append(w.bends, p...)
	}
	w.known = zeroed(w.known, w.bw*w.bh)
	room := w.beside + 0.02
	for i, b := range w.bends {
		if i%stretch == 0 && ctx.Err() != nil {
			return
		}
		f := w.m.Faces[b.face]
		p, q := w.v[f[b.corner]], w.v[f[(b.corner+1)%3]]
		x0, x1, y0, y1 := cellOf(min(p.x, q.x)-room), cellOf(max(p.x, q.x)+room), cellOf(min(p.y, q.y)-room), cellOf(max(p.y, q.y)+room)
		for y := y0; y <= y1; y++ {
			l, r := x0, x1
			if x1-x0 > 3 {
				sl, sr, ok := span(p, q, q, float32(y*cell)-room, float32((y+1)*cell)+room)
				if !ok {
					continue
				}
				l, r = max(l, cellOf(sl-room)), min(r, cellOf(sr+room))
			}
			for x := l; x <= r; x++ {
				w.known[y*w.bw+x] |= folded | wanted
			}
		}
	}
	w.sheets(ctx)
}

// sheets lists the faces of the folded cells and finds the cells that one sheet lies over.
// In a region of cells without bends the number of sheets is the same everywhere, so that
// they are counted over one place of it.
func (w *view) sheets(ctx context.Context) {
	cells := w.bw * w.bh
	w.region = zeroed(w.region, cells)
	first := []int32{0}
	var queue []int32
	for i := range cells {
		if w.region[i] != 0 || w.known[i]&folded != 0 || w.surf[i] == 0 {
			continue
		}
		r := int32(len(first))
		first = append(first, int32(i))
		w.known[i] |= wanted
		w.region[i] = r
		queue = append(queue[:0], int32(i))
		for len(queue) > 0 {
			c := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			// The map's margin holds no surface, so all four neighbours are there.
			for _, d := range [4]int32{-1, 1, -int32(w.bw), int32(w.bw)} {
				if g := c + d; w.region[g] == 0 && w.known[g]&folded == 0 && w.surf[g] != 0 {
					w.region[g] = r
					queue = append(queue, g)
				}
			}
		}
	}
	w.first, w.end = zeroed(w.first, cells), zeroed(w.end, cells)
	w.keys, w.faces = w.keys[:0], w.faces[:0]
	w.list(ctx)
	one := make([]bool, len(first))
	for r, c := range first[1:] {
		x, y := (float32(int(c)%w.bw)+0.37)*cell, (float32(int(c)/w.bw)+0.61)*cell
		one[r+1] = w.sheetsOver(x, y) == 1
	}
	for i, r := range w.region {
		if one[r] {
			w.known[i] |= single
		}
	}
}

func (w *view) sheetsOver(x, y float32) int {
	n := 0
	c, qx, qy := w.at(x, y)
	keys, faces := w.over(c)
	for i, k := range keys {
		if fits(key(qx, qy, qx, qy, 0, highest), k) {
			if _, ok := w.heightOf(w.m.Faces[faces[i]], x, y); ok {
				n++
			}
		}
	}
	return n
}

// list lists the faces that may lie over the cells wanted.
func (w *view) list(ctx context.Context) {
	sum := int32(len(w.keys))
	for i, b := range w.known {
		if b&(wanted|listed) != wanted {
			continue
		}
		w.first[i] = sum
		for k := range w.shares {
			at := &w.shares[k].counts[i]
			*at, sum = sum, sum+*at
		}
		w.end[i] = sum
	}
	if int(sum) == len(w.keys) {
		return
	}
	about := w.homes(func(known uint8) bool { return known&(wanted|listed) == wanted })
	w.keys, w.faces = extended(w.keys, int(sum)), extended(w.faces, int(sum))
	parts := len(w.shares)
	each(ctx, parts, parts, 1, func(k, _ int) {
		for from, to := range w.part(k) {
			w.listFaces(w.shares[k].counts, about, from, to)
		}
	})
	for i, b := range w.known {
		if b&wanted != 0 {
			w.known[i] |= listed
		}
	}
}

// listFaces lists some of the faces, each where the next of a cell goes.
func (w *view) listFaces(next []int32, about homes, from, to int) {
	for t := from; t < to; t++ {
		h := w.home[t]
		if h == nowhere || h >= 0 && !about.hold(h) {
			continue
		}
		f := &w.m.Faces[t]
		a, b, c := w.v[f[0]], w.v[f[1]], w.v[f[2]]
		box := boxOf(a, b, c)
		high := key(0, 0, most, most, w.fine(box.zh), w.fine(box.zl))
		enter := func(i int, high uint64) {
			x := float32(i % w.bw * cell)
			at := next[i]
			next[i]++
			w.keys[at] = high | key(within(box.xl-x), 0, within(box.xh-x), most, highest, 0)
			w.faces[at] = int32(t)
		}
		row := func(y int) uint64 {
			return high | key(0, within(box.yl-float32(y*cell)), most, within(box.yh-float32(y*cell)), highest, 0)
		}
		if h == everywhere {
			w.eachCell(a, b, c, box, func(i int) {
				if w.known[i]&(wanted|listed) == wanted {
					enter(i, row(i/w.bw))
				}
			})
			continue
		}
		x0, x1, y0, y1 := cellOf(box.xl), cellOf(box.xh), cellOf(box.yl), cellOf(box.yh)
		for cy := y0; cy <= y1; cy++ {
			high := row(cy)
			for i := cy*w.bw + x0; i <= cy*w.bw+x1; i++ {
				if w.known[i]&(wanted|listed) == wanted {
					enter(i, high)
				}
			}
		}
	}
}

// homes tells which faces may lie over some cells by where they are at home: of each cell
// a bit for each number of cells that a face may reach beyond it.
type homes []uint8

func (a homes) hold(home int32) bool {
	h := uint32(home)
	return a[h/(atHome+1)]>>(h%(atHome+1))&1 != 0
}

// homes are those of the faces that may lie over a cell of which something is known.
func (w *view) homes(is func(known uint8) bool) homes {
	const all = 1<<atHome - 1
	w.about = zeroed(w.about, len(w.known))
	for i, b := range w.known {
		if !is(b) {
			continue
		}
		for at, y := i, 0; y < atHome && at >= 0; at, y = at-w.bw, y+1 {
			for x := range min(atHome, at+1) {
				w.about[at-x] |= all << max(x, y)
			}
		}
	}
	return w.about
}

// uncover takes the faces off the lists, and off the heights the surface spans, whose
// corners all lie well below other surface: nothing is seen of them but perhaps in a slit
// narrower than they are, whose rims bound where a rod may stand. Faces that span many cells
// are left, and so are those of the cells that a single sheet lies over.
func (w *view) uncover(ctx context.Context, deep []bool) {
	n := len(w.m.Faces)
	w.covered = resized(w.covered, n)
	each(ctx, w.threads, n, 1<<13, func(from, to int) {
		for t := from; t < to; t++ {
			f := &w.m.Faces[t]
			w.covered[t] = deep[f[0]] && deep[f[1]] && deep[f[2]] && w.home[t] >= 0
		}
	})
	each(ctx, w.threads, len(w.known), 1<<10, func(from, to int) {
		for c := from; c < to; c++ {
			if w.known[c]&(single|listed) != listed {
				continue
			}
			keys, faces := w.over(c)
			n, m := int32(0), uint64(0)
			for i, k := range keys {
				if w.covered[faces[i]] {
					continue
				}
				top, foot := heights(k)
				m |= ^uint64(0) << (foot / steps) & (^uint64(0) >> (levels - 1 - top/steps))
				keys[n], faces[n] = k, faces[i]
				n++
			}
			w.end[c], w.surf[c] = w.first[c]+n, m
		}
	})
	w.tiles.lay(ctx, w.threads, [2][]uint64{w.rim, w.surf}, w.bw, w.bh)
}

// key says where within a cell a face begins and ends across the path, and its highest and
// lowest height, so put that a question put likewise fits a face when none of the
// question's six numbers is the smaller: the face begins no later than the question's first
// place, ends no sooner than its second, reaches up to the question's first height and down
// to its second. A number is followed by a bit left free for the borrow.
func key(x0, y0, x1, y1, top, foot uint64) uint64 {
	return x0 | y0<<7 | (most-x1)<<14 | (most-y1)<<21 | (highest-top)<<28 | foot<<46
}

const (
	most    = 1<<6 - 1         // steps within a cell
	highest = levels*steps - 1 // steps of height
	steps   = 1 << 11          // to a level
)

func fits(question, key uint64) bool {
	const free = 1<<6 | 1<<13 | 1<<20 | 1<<27 | 1<<45 | 1<<63
	return ((question|free)-key)&free == free
}

// heights are the highest and the lowest of a key.
func heights(key uint64) (top, foot uint64) {
	return highest - key>>28&highest, key >> 46 & highest
}

// within is a place within a cell, in steps.
func within(x float32) uint64 {
	return uint64(min(most, max(0, int32(x*(most/float32(cell))))))
}

// fine is a height in steps.
func (w *view) fine(z float32) uint64 {
	return uint64(min(highest, max(0, int32(z*w.perFine))))
}

// at gives the cell of a place, -1 outside the map, and the place in it.
func (w *view) at(x, y float32) (c int, qx, qy uint64) {
	if !(x >= 0 && y >= 0 && x < float32(w.w) && y < float32(w.h)) {
		return -1, 0, 0
	}
	cx, cy := cellOf(x), cellOf(y)
	return cy*w.bw + cx, within(x - float32(cx*cell)), within(y - float32(cy*cell))
}

// over are the faces listed in a cell, with their keys.
func (w *view) over(c int) (keys []uint64, faces []int32) {
	if c < 0 {
		return nil, nil
	}
	a, b := w.first[c], w.end[c]
	return w.keys[a:b], w.faces[a:b]
}

// heightAt is the height of the surface over a place, exactly, and its face there, less than
// 0 where there is none. The place must lie in a listed cell, or where there is no surface.
func (w *view) heightAt(x, y float32) (height float32, face int32) {
	height, face = empty, -1
	c, qx, qy := w.at(x, y)
	keys, faces := w.over(c)
	q := key(qx, qy, qx, qy, 0, highest)
	for i, k := range keys {
		if !fits(q, k) {
			continue
		}
		if z, ok := w.heightOf(w.m.Faces[faces[i]], x, y); ok && z > height {
			height, face = z, faces[i]
			q = key(qx, qy, qx, qy, w.fine(z), highest)
		}
	}
	return height, face
}

// above tells whether a face lies higher than z over a place in a listed cell.
func (w *view) above(x, y, z float32) bool { return w.highest(x, y, z, z, -1) > z }

// highest is the height of a face over a place in a listed cell that does not stand on the
// vertex without: of the first that is higher than enough, or else of the highest that is
// higher than z, or else z.
func (w *view) highest(x, y, z, enough float32, without int32) float32 {
	c, qx, qy := w.at(x, y)
	q := key(qx, qy, qx, qy, w.fine(z), highest)
	keys, faces := w.over(c)
	for i, k := range keys {
		if !fits(q, k) {
			continue
		}
		f := w.m.Faces[faces[i]]
		if f[0] == without || f[1] == without || f[2] == without {
			continue
		}
		if h, ok := w.heightOf(f, x, y); ok && h > z {
			if z = h; z > enough {
				break
			}
			q = key(qx, qy, qx, qy, w.fine(z), highest)
		}
	}
	return z
}

// heightOf is the height of a face over a place; false where it does not lie over it.
func (w *view) heightOf(f [3]int32, x, y float32) (float32, bool) {
	a, b, c := w.v[f[0]], w.v[f[1]], w.v[f[2]]
	ax, ay, bx, by, cx, cy := a.x-x, a.y-y, b.x-x, b.y-y, c.x-x, c.y-y
	p, q, r := bx*cy-cx*by, cx*ay-ax*cy, ax*by-bx*ay
	if (p < 0 || q < 0 || r < 0) && (p > 0 || q > 0 || r > 0) {
		return 0, false
	}
	s := p + q + r
	if s == 0 {
		return 0, false
	}
	return (p*a.z + q*b.z + r*c.z) / s, true
}

// hidden finds which vertices have surface above them.
func (w *view) hidden(ctx context.Context) []bool {
	n := len(w.v)
	const stretch = 1 << 11
	out, deep := make([]bool, n), make([]bool, n)
	well := coveredBy * float32(w.px)
	unsure := make([][]int32, (n+stretch-1)/stretch)
	each(ctx, w.threads, n, stretch, func(from, to int) {
		var list []int32
		for i, on := range w.stands[from:to] {
			if on == 0 && !w.both {
				out[from+i] = true
			} else if p := w.v[from+i]; on&onSeen == 0 || w.known[cellOf(p.y)*w.bw+cellOf(p.x)]&single == 0 {
				list = append(list, int32(from+i))
			}
		}
		unsure[from/stretch] = list
	})
	for _, list := range unsure {
		for _, i := range list {
			w.known[cellOf(w.v[i].y)*w.bw+cellOf(w.v[i].x)] |= wanted
		}
	}
	for i, m := range w.surf {
		if m != 0 && w.known[i]&single == 0 {
			w.known[i] |= wanted
		}
	}
	w.list(ctx)
	each(ctx, w.threads, len(unsure), 1, func(k, _ int) {
		for _, i := range unsure[k] {
			p := w.v[i]
			least := p.z + w.tol
			top := w.highest(p.x, p.y, least, p.z+well, i)
			out[i], deep[i] = top > least, top > p.z+well
		}
	})
	w.uncover(ctx, deep)
	return out
}

func zeroed[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// extended is s with room for n in all.
func extended[T any](s []T, n int) []T {
	if cap(s) >= n {
		return s[:n]
	}
	return append(make([]T, 0, n+n/4), s...)[:n]
}
