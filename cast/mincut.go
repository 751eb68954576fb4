package cast

import "math"

// cutGraph is a graph to be cut in two where that costs least: every node leans to one
// side or the other by what it would cost to put it on the wrong one, and every link costs
// its weight when its ends fall apart. The cut is found by augmenting paths grown from
// both sides at once, as in Boykov & Kolmogorov, IEEE PAMI 26 (2004) 1124.
type cutGraph struct {
	lean  []float64 // left over: > 0 towards the inside, < 0 towards the outside
	first []int32   // of each node's links; -1 for none
	to    []int32   // link k and k^1 are the two ways along one
	next  []int32
	left  []float64 // capacity left

	side   []int8  // +1 inside's tree, -1 outside's tree, 0 free
	parent []int32 // the link from a node to its parent; root or orphan below
	stamp  []int32
	dist   []int32
	time   int32
	active []int32
	queued []bool
	lost   []int32 // orphans
}

const (
	cutRoot   = -1
	cutOrphan = -2
)

func newCutGraph(nodes, links int) *cutGraph {
	g := &cutGraph{lean: make([]float64, nodes), first: make([]int32, nodes)}
	g.to, g.next, g.left = make([]int32, 0, 2*links), make([]int32, 0, 2*links), make([]float64, 0, 2*links)
	for i := range g.first {
		g.first[i] = -1
	}
	return g
}

func (g *cutGraph) link(a, b int32, cost float64) {
	k := int32(len(g.to))
	g.to = append(g.to, b, a)
	g.next = append(g.next, g.first[a], g.first[b])
	g.left = append(g.left, cost, cost)
	g.first[a], g.first[b] = k, k+1
}

// cut tells which nodes fall inside.
func (g *cutGraph) cut() []bool {
	n := len(g.lean)
	g.side, g.parent, g.stamp, g.dist, g.queued = make([]int8, n), make([]int32, n), make([]int32, n), make([]int32, n), make([]bool, n)
	for i, v := range g.lean {
		switch {
		case v > 0:
			g.side[i] = 1
		case v < 0:
			g.side[i] = -1
		default:
			continue
		}
		g.parent[i], g.dist[i] = cutRoot, 1
		g.wake(int32(i))
	}
	for at := 0; at < len(g.active); {
		p := g.active[at]
		if g.side[p] == 0 {
			g.queued[p] = false
			at++
			continue
		}
		bridge := g.grow(p)
		if bridge < 0 {
			g.queued[p] = false
			at++
			if at > 1<<16 && at > len(g.active)/2 {
				g.active = append(g.active[:0], g.active[at:]...)
				at = 0
			}
			continue
		}
		g.time++
		g.push(bridge)
		for len(g.lost) > 0 {
			o := g.lost[len(g.lost)-1]
			g.lost = g.lost[:len(g.lost)-1]
			g.adopt(o)
		}
	}
	in := make([]bool, n)
	for i, s := range g.side {
		in[i] = s > 0
	}
	return in
}

func (g *cutGraph) wake(p int32) {
	if !g.queued[p] {
		g.queued[p] = true
		g.active = append(g.active, p)
	}
}

// open is what can still flow along link k from the inside toward the outside, k leading
// away from a node on side s.
func (g *cutGraph) open(k int32, s int8) float64 {
	if s > 0 {
		return g.left[k]
	}
	return g.left[k^1]
}

// grow spreads a node's tree to free neighbours; it gives a link from the inside's tree
// to the outside's where the two meet, else -1.
func (g *cutGraph) grow(p int32) int32 {
	s := g.side[p]
	for k := g.first[p]; k >= 0; k = g.next[k] {
		if g.open(k, s) <= 0 {
			continue
		}
		q := g.to[k]
		switch g.side[q] {
		case 0:
			g.side[q], g.parent[q] = s, k^1
			g.stamp[q], g.dist[q] = g.stamp[p], g.dist[p]+1
			g.wake(q)
		case s:
			if g.stamp[q] <= g.stamp[p] && g.dist[q] > g.dist[p]+1 && g.parent[q] >= 0 {
				g.parent[q], g.stamp[q], g.dist[q] = k^1, g.stamp[p], g.dist[p]+1
			}
		default:
			if s > 0 {
				return k
			}
			return k ^ 1
		}
	}
	return -1
}

// push sends as much as will go along the path through a bridge.
func (g *cutGraph) push(bridge int32) {
	most := g.left[bridge]
	tail, head := g.to[bridge^1], g.to[bridge]
	p := tail
	for ; g.parent[p] >= 0; p = g.to[g.parent[p]] {
		most = math.Min(most, g.left[g.parent[p]^1])
	}
	most = math.Min(most, g.lean[p])
	p = head
	for ; g.parent[p] >= 0; p = g.to[g.parent[p]] {
		most = math.Min(most, g.left[g.parent[p]])
	}
	most = math.Min(most, -g.lean[p])

	send := func(k int32) bool {
		g.left[k] -= most
		g.left[k^1] += most
		if g.left[k] < 1e-12 {
			g.left[k] = 0
			return true
		}
		return false
	}
	orphan := func(p int32) { g.parent[p] = cutOrphan; g.lost = append(g.lost, p) }
	send(bridge)
	for p = tail; g.parent[p] >= 0; {
		k := g.parent[p]
		up := g.to[k]
		if send(k ^ 1) {
			orphan(p)
		}
		p = up
	}
	if g.lean[p] -= most; g.lean[p] < 1e-12 {
		g.lean[p] = 0
		orphan(p)
	}
	for p = head; g.parent[p] >= 0; {
		k := g.parent[p]
		up := g.to[k]
		if send(k) {
			orphan(p)
		}
		p = up
	}
	if g.lean[p] += most; g.lean[p] > -1e-12 {
		g.lean[p] = 0
		orphan(p)
	}
}

// adopt finds an orphan another parent in its tree, nearest to the root; where there is
// none it becomes free and its children orphans.
func (g *cutGraph) adopt(p int32) {
	s := g.side[p]
	best, parent := int32(math.MaxInt32), int32(cutOrphan)
	for k := g.first[p]; k >= 0; k = g.next[k] {
		q := g.to[k]
		if g.side[q] != s || g.open(k^1, s) <= 0 {
			continue
		}
		if d, ok := g.depth(q); ok && d < best {
			best, parent = d, k
		}
	}
	if parent >= 0 {
		g.parent[p], g.stamp[p], g.dist[p] = parent, g.time, best+1
		return
	}
	for k := g.first[p]; k >= 0; k = g.next[k] {
		q := g.to[k]
		if g.side[q] != s {
			continue
		}
		if g.open(k^1, s) > 0 {
			g.wake(q)
		}
		if g.parent[q] == k^1 {
			g.parent[q] = cutOrphan
			g.lost = append(g.lost, q)
		}
	}
	g.side[p], g.parent[p] = 0, cutOrphan
}

// depth is how far a node is from its root, or false where it hangs on an orphan.
func (g *cutGraph) depth(p int32) (int32, bool) {
	d := int32(0)
	for q := p; ; q = g.to[g.parent[q]] {
		if g.stamp[q] == g.time {
			d += g.dist[q]
			break
		}
		if g.parent[q] == cutOrphan {
			return 0, false
		}
		d++
		if g.parent[q] == cutRoot {
			g.stamp[q], g.dist[q] = g.time, 1
			break
		}
	}
	left := d
	for q := p; g.stamp[q] != g.time; q = g.to[g.parent[q]] {
		g.stamp[q], g.dist[q] = g.time, left
		left--
	}
	return d, true
}
