package typodont

import (
	"fmt"
	"math"
	"sort"

	"halfpear/geom"
)

// planar is a constrained Delaunay triangulation of points in a plane. It is used on
// flattened surfaces; only the connections are kept.
type planar struct {
	p    []geom.Vec2
	tri  [][3]int32 // counter-clockwise
	nb   [][3]int32 // nb[t][i] lies across the edge opposite corner i; -1 none
	of   []int32    // a triangle at each point
	last int32
	held map[[2]int32]bool // directed edges that bound the region, region on the left
}

// triangulate connects the points inside the loops. Each loop lists points with the
// region on its left: an outer loop counter-clockwise, a hole clockwise. Points that
// belong to no loop must lie inside the region.
func triangulate(points []geom.Vec2, loops [][]int32) ([][3]int32, error) {
	n := len(points)
	t := &planar{p: make([]geom.Vec2, n, n+3), of: make([]int32, n+3), held: map[[2]int32]bool{}}
	lo, hi := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for i, q := range points {
		// A fixed scatter far below any wanted accuracy keeps rows of points from lying
		// exactly on a line or a circle.
		h := uint32(i)*2654435761 + 12345
		h ^= h >> 15
		h *= 2246822519
		h ^= h >> 13
		q.X += (float64(h&0xffff)/65536 - 0.5) * 2e-4
		q.Y += (float64(h>>16)/65536 - 0.5) * 2e-4
		t.p[i] = q
		lo.X, lo.Y = math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)
		hi.X, hi.Y = math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)
	}
	size := math.Max(hi.X-lo.X, hi.Y-lo.Y) + 1
	c := lo.Lerp(hi, 0.5)
	t.p = append(t.p, geom.Vec2{X: c.X - 30*size, Y: c.Y - 20*size}, geom.Vec2{X: c.X + 30*size, Y: c.Y - 20*size},
		geom.Vec2{X: c.X, Y: c.Y + 30*size})
	a := int32(n)
	t.tri, t.nb = [][3]int32{{a, a + 1, a + 2}}, [][3]int32{{-1, -1, -1}}

	order := make([]int, n)
	key := make([]float64, n)
	cell := size / math.Max(1, math.Sqrt(float64(n)/2))
	for i := range order {
		order[i] = i
		row := math.Floor((t.p[i].Y - lo.Y) / cell)
		x := t.p[i].X - lo.X
		if int(row)%2 == 1 {
			x = size - x
		}
		key[i] = row*2*size + x
	}
	sort.SliceStable(order, func(i, j int) bool { return key[order[i]] < key[order[j]] })
	for _, i := range order {
		if err := t.insert(int32(i)); err != nil {
			return nil, err
		}
	}
	for _, loop := range loops {
		for i, u := range loop {
			v := loop[(i+1)%len(loop)]
			if err := t.force(u, v); err != nil {
				return nil, err
			}
			t.held[[2]int32{u, v}] = true
		}
	}
	return t.inside(int32(n)), nil
}

func orient(a, b, c geom.Vec2) float64 { return b.Sub(a).Cross(c.Sub(a)) }

// inCircle is positive when d lies inside the circle through a, b, c (counter-clockwise).
func inCircle(a, b, c, d geom.Vec2) float64 {
	a, b, c = a.Sub(d), b.Sub(d), c.Sub(d)
	return a.Dot(a)*b.Cross(c) + b.Dot(b)*c.Cross(a) + c.Dot(c)*a.Cross(b)
}

func (t *planar) insert(v int32) error {
	q := t.p[v]
	k := t.last
	for steps := 0; ; steps++ {
		if steps > 4*len(t.tri)+100 {
			return fmt.Errorf("flat triangulation: no triangle holds point %d", v)
		}
		moved := false
		for i := 0; i < 3; i++ {
			a, b := t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
			if orient(t.p[a], t.p[b], q) < 0 && t.nb[k][i] >= 0 {
				k, moved = t.nb[k][i], true
				break
			}
		}
		if !moved {
			break
		}
	}
	c, nb := t.tri[k], t.nb[k]
	k1, k2 := int32(len(t.tri)), int32(len(t.tri)+1)
	t.tri[k], t.nb[k] = [3]int32{v, c[1], c[2]}, [3]int32{nb[0], k1, k2}
	t.tri = append(t.tri, [3]int32{v, c[2], c[0]}, [3]int32{v, c[0], c[1]})
	t.nb = append(t.nb, [3]int32{nb[1], k2, k}, [3]int32{nb[2], k, k1})
	t.relink(nb[1], k, k1)
	t.relink(nb[2], k, k2)
	t.of[v], t.of[c[0]], t.of[c[1]], t.of[c[2]] = k, k1, k, k
	t.last = k
	stack := []int32{k, k1, k2}
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		i := t.corner(k, v)
		o := t.nb[k][i]
		if o < 0 {
			continue
		}
		a, b := t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
		d := t.across(o, a, b)
		if inCircle(q, t.p[a], t.p[b], t.p[d]) > 0 {
			t.flip(k, i)
			stack = append(stack, k, o)
		}
	}
	return nil
}

func (t *planar) relink(k, from, to int32) {
	if k < 0 {
		return
	}
	for i := range t.nb[k] {
		if t.nb[k][i] == from {
			t.nb[k][i] = to
		}
	}
}

func (t *planar) corner(k, v int32) int {
	for i, c := range t.tri[k] {
		if c == v {
			return i
		}
	}
	return -1
}

// across is the corner of triangle k that is neither a nor b.
func (t *planar) across(k, a, b int32) int32 {
	for _, c := range t.tri[k] {
		if c != a && c != b {
			return c
		}
	}
	return -1
}

// flip turns the edge opposite corner i of triangle k.
func (t *planar) flip(k int32, i int) {
	o := t.nb[k][i]
	v, a, b := t.tri[k][i], t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
	d := t.across(o, a, b)
	na, nbb := t.nb[k][(i+1)%3], t.nb[k][(i+2)%3] // across b-v and v-a
	ia, ib := t.corner(o, a), t.corner(o, b)
	oa, ob := t.nb[o][ia], t.nb[o][ib] // across b-d and a-d
	t.tri[k], t.nb[k] = [3]int32{v, a, d}, [3]int32{ob, o, nbb}
	t.tri[o], t.nb[o] = [3]int32{v, d, b}, [3]int32{oa, na, k}
	t.relink(ob, o, k)
	t.relink(na, k, o)
	t.of[v], t.of[a], t.of[d], t.of[b] = k, k, k, o
}

// edge finds the triangle that has the directed edge u-v, and the corner opposite to it.
func (t *planar) edge(u, v int32) (int32, int, bool) {
	start := t.of[u]
	k := start
	for {
		i := t.corner(k, u)
		if t.tri[k][(i+1)%3] == v {
			return k, (i + 2) % 3, true
		}
		k = t.nb[k][(i+1)%3]
		if k < 0 || k == start {
			return 0, 0, false
		}
	}
}

// force makes u-v an edge by turning the edges that cross it.
func (t *planar) force(u, v int32) error {
	for round := 0; round < 500; round++ {
		if _, _, ok := t.edge(u, v); ok {
			return nil
		}
		if _, _, ok := t.edge(v, u); ok {
			return nil
		}
		// The triangle at u that the segment leaves through.
		start := t.of[u]
		k, done := start, false
		for !done {
			i := t.corner(k, u)
			a, b := t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
			if orient(t.p[u], t.p[v], t.p[a]) <= 0 && orient(t.p[u], t.p[v], t.p[b]) > 0 &&
				orient(t.p[a], t.p[b], t.p[v]) <= 0 {
				break
			}
			k = t.nb[k][(i+1)%3]
			if k < 0 || k == start {
				return fmt.Errorf("flat triangulation: edge %d-%d cannot be forced", u, v)
			}
		}
		// Walk along the segment and turn the first edge that may be turned.
		i := t.corner(k, u)
		turned := false
		for steps := 0; steps < 10000; steps++ {
			w, a, b := t.tri[k][i], t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
			o := t.nb[k][i]
			if o < 0 {
				break
			}
			d := t.across(o, a, b)
			if orient(t.p[w], t.p[a], t.p[d]) > 0 && orient(t.p[w], t.p[d], t.p[b]) > 0 {
				if t.held[[2]int32{a, b}] || t.held[[2]int32{b, a}] {
					return fmt.Errorf("flat triangulation: two border lines cross near (%.2f, %.2f)", t.p[a].X, t.p[a].Y)
				}
				t.flip(k, i)
				turned = true
				break
			}
			if d == v {
				break
			}
			if orient(t.p[u], t.p[v], t.p[d]) <= 0 {
				i = t.corner(o, a)
			} else {
				i = t.corner(o, b)
			}
			k = o
		}
		if !turned {
			return fmt.Errorf("flat triangulation: edge %d-%d cannot be forced", u, v)
		}
	}
	return fmt.Errorf("flat triangulation: edge %d-%d crosses too many others", u, v)
}

// inside lists the triangles on the region's side of the held edges.
func (t *planar) inside(n int32) [][3]int32 {
	mark := make([]int8, len(t.tri))
	var stack []int32
	for k := range t.tri {
		for i := 0; i < 3; i++ {
			a, b := t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
			if t.held[[2]int32{a, b}] {
				mark[k] = 1
			} else if t.held[[2]int32{b, a}] && mark[k] == 0 {
				mark[k] = -1
			}
		}
		if mark[k] == 1 {
			stack = append(stack, int32(k))
		}
	}
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		for i := 0; i < 3; i++ {
			a, b := t.tri[k][(i+1)%3], t.tri[k][(i+2)%3]
			o := t.nb[k][i]
			if o >= 0 && mark[o] == 0 && !t.held[[2]int32{a, b}] && !t.held[[2]int32{b, a}] {
				mark[o] = 1
				stack = append(stack, o)
			}
		}
	}
	var out [][3]int32
	for k, f := range t.tri {
		if mark[k] == 1 && f[0] < n && f[1] < n && f[2] < n {
			out = append(out, f)
		}
	}
	return out
}
