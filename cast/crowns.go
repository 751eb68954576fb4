package cast

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// plan is where the sixteen teeth of an arch stand or would stand, in the cast frame:
// average places shifted to where the given ones are.
type plan struct {
	arch  tooth.Arch
	stand map[tooth.Number]geom.Vec // the given points
	spots [16]site
}

type site struct {
	n              tooth.Number
	at             geom.Vec
	mesial, facial geom.Vec // unit, level
	size           Average
	given          bool
}

func newPlan(a tooth.Arch, points map[tooth.Number]geom.Vec) *plan {
	p := &plan{arch: a, stand: points}
	all := tooth.All(a)
	stands := func(i int) bool { _, ok := points[all[i]]; return ok }
	// A missing tooth's place between two given points lies as it does in an average arch laid
	// on those two; beyond the last point it is shifted like the nearest given ones.
	for i, n := range all {
		s := site{n: n, size: AverageOf(n)}
		s.at, s.given = points[n], stands(i)
		if !s.given {
			e := spot(n, s.size)
			before, after := i-1, i+1
			for before >= 0 && !stands(before) {
				before--
			}
			for after < 16 && !stands(after) {
				after++
			}
			if before >= 0 && after < 16 {
				s.at = laid(e, spot(all[before], AverageOf(all[before])), spot(all[after], AverageOf(all[after])), points[all[before]], points[all[after]])
			} else {
				var shift geom.Vec
				total := 0.0
				for j, m := range all {
					if q, ok := points[m]; ok {
						d := math.Abs(float64(i - j))
						w := 1 / (d * d * d)
						shift = shift.Add(q.Sub(spot(m, AverageOf(m))).Scale(w))
						total += w
					}
				}
				s.at = e.Add(shift.Scale(1 / total))
			}
		}
		p.spots[i] = s
	}
	for i := range p.spots {
		s := &p.spots[i]
		b, c := p.spots[max(i-1, 0)].at, p.spots[min(i+1, 15)].at
		along := c.Sub(b) // toward the patient's left
		along.Z = 0
		along = along.Unit()
		s.mesial = along
		if !s.n.Right() {
			s.mesial = along.Neg()
		}
		s.facial = geom.V(along.Y, -along.X, 0) // lower: to the right of travel
		if a == tooth.Upper {
			s.facial = s.facial.Neg()
		}
	}
	return p
}

// laid carries a place along as a and b are carried to c and d, turned and stretched alike in
// the level; its height is shared out between theirs.
func laid(p, a, b, c, d geom.Vec) geom.Vec {
	from, to, q := b.Sub(a).XY(), d.Sub(c).XY(), p.Sub(a).XY()
	u, v := q.Dot(from)/from.Dot(from), from.Cross(q)/from.Dot(from)
	return geom.V(c.X+u*to.X-v*to.Y, c.Y+u*to.Y+v*to.X, c.Z+math.Max(0, math.Min(1, u))*(d.Z-c.Z))
}

func (p *plan) of(n tooth.Number) *site { return &p.spots[n.Index()] }

// along is the way from a place toward the patient's left.
func (p *plan) along(i int) geom.Vec {
	if s := &p.spots[i]; !s.n.Right() {
		return s.mesial.Neg()
	}
	return p.spots[i].mesial
}

// local gives a point beside a site: X mesial, Y facial, Z up from the given point.
func (s *site) local(q geom.Vec) geom.Vec {
	d := q.Sub(s.at)
	return geom.V(d.Dot(s.mesial), d.Dot(s.facial), d.Z)
}

// findCrowns labels the faces of each standing tooth. Every crown is cut off all that is not
// it, gum and neighbours alike, along the line that costs least: a cut through a furrow costs
// little, one across a flat or bulging place its full length. What lies round a tooth's top
// leans to the tooth, what lies farther off or deeper than its kind reaches leans away from
// it, and between the two only the furrows decide. So the papilla between two teeth, which
// has a furrow on either side, belongs to neither. Neighbours that both claim a place are
// then cut from each other.
//
// All is done twice. The second time the middles and widths of the crowns are no longer those
// of the points given and of an average, but what was found; and the lingual margin, which
// runs on evenly from tooth to tooth but often has no furrow, leans to where the margins of
// the two neighbours say that it runs.
func findCrowns(m *mesh.Mesh, on *Surface, across [][3]int32, p *plan) []tooth.Number {
	k := newCrownCut(m, across, on, p)
	for range 2 {
		labels := k.teeth()
		k.recentre(labels)
		k.readLevels(labels)
	}
	return tidy(m, k.teeth(), across, p)
}

// crownCut is a surface with what its faces say of crown and gum.
type crownCut struct {
	mesh   *mesh.Mesh
	across [][3]int32
	plan   *plan
	centre []geom.Vec
	normal []geom.Vec
	area   []float64
	hollow []float64    // how sharply the surface is bent inward [1/mm]
	tops   [16]float64  // heights of the given teeth
	mid    [16]geom.Vec // middles of the given teeth's crowns, seen from above
	wide   [16]float64  // widths of the given teeth's crowns
	level  [16]float64  // heights of lingual margins as the neighbours' have it; NaN where unknown
	node   []int32      // of each face in the graph that is being cut; -1 outside it
}

func newCrownCut(m *mesh.Mesh, across [][3]int32, on *Surface, p *plan) *crownCut {
	nf := len(m.Faces)
	k := &crownCut{mesh: m, across: across, plan: p, centre: make([]geom.Vec, nf), normal: make([]geom.Vec, nf), area: make([]float64, nf), node: make([]int32, nf)}
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		k.centre[i] = a.Add(b).Add(c).Scale(1.0 / 3)
		n := b.Sub(a).Cross(c.Sub(a))
		k.area[i], k.normal[i] = n.Norm()/2, n.Unit()
		k.node[i] = -1
	}
	k.hollow = hollows(m, across, k.normal, k.area, hollowRounds(m))
	k.normal = evenNormals(k.normal, across, evenRounds(m))
	for i := range p.spots {
		s := &p.spots[i]
		if !s.given {
			continue
		}
		top := topNear(on, s.at, s.size)
		k.tops[i] = top.Z
		k.mid[i], k.wide[i] = s.at, s.size.MD
		if s.n.Kind().Anterior() {
			// The crown lies lingual to its edge.
			k.mid[i] = s.at.Lerp(top, 0.5).Sub(s.facial.Scale(0.2 * s.size.FL))
		}
	}
	k.spread()
	for i := range k.level {
		k.level[i] = math.NaN()
	}
	return k
}

// spread moves middles of neighbours apart that lie nearer together along the arch than two
// crowns do, however crowded: points on the near corners of two incisors lie in one place.
func (k *crownCut) spread() {
	for range 4 {
		for i := range 15 {
			a, b := &k.plan.spots[i], &k.plan.spots[i+1]
			if !a.given || !b.given {
				continue
			}
			along := k.plan.along(i).Add(k.plan.along(i + 1)).Unit()
			if lack := crowd*(a.size.MD+b.size.MD)/2 - k.mid[i+1].Sub(k.mid[i]).Dot(along); lack > 0 {
				k.mid[i], k.mid[i+1] = k.mid[i].Sub(along.Scale(lack/2)), k.mid[i+1].Add(along.Scale(lack/2))
			}
		}
	}
}

const (
	cutHollow   = 0.42 // the curvature of a clear furrow [1/mm]
	cutFloor    = 0.03 // what a cut through the deepest furrow still costs, against 1
	cutLean     = 0.3  // how much a place leans to the crown or the gum it is likely to be [1/mm]
	cutRun      = 0.2  // the same where only the neighbours' margins speak [1/mm]
	crowd       = 0.65 // how near two crowns' middles may lie, as a share of their mean width
	contactWide = 0.7  // how far apart two crowns may be found that touch [mm]
	pieceReach  = 1.0  // how far beside its point a crown may lie that a flake hides [mm]
	runSpread   = 0.5  // how far a lingual margin may lie above or below its neighbours' [mm]
)

// price is what a millimetre of cut costs where the surface is so hollow.
func price(hollow float64) float64 { return cutFloor + math.Exp(-hollow/cutHollow) }

// edge is the length of the k-th edge of a face.
func (k *crownCut) edge(f int32, i int) float64 {
	c := k.mesh.Faces[f]
	return k.mesh.Vertices[c[i]].Dist(k.mesh.Vertices[c[(i+1)%3]])
}

// local gives a point beside the middle of a crown: X mesial, Y facial.
func (k *crownCut) local(i int, q geom.Vec) geom.Vec2 {
	s, d := &k.plan.spots[i], q.Sub(k.mid[i])
	return geom.Vec2{X: d.Dot(s.mesial), Y: d.Dot(s.facial)}
}

// off is how far a point lies from the middle of a crown, in its half width and depth.
func (k *crownCut) off(i int, q geom.Vec) float64 {
	s, l := &k.plan.spots[i], k.local(i, q)
	return math.Hypot(l.X/(0.5*k.wide[i]), l.Y/(0.5*s.size.FL))
}

// furrow is how much of a face's hollow may be the border of a crown and no fissure in it.
// Fissures lie on the chewing surface, and their two sides look up; a front tooth has none.
func (k *crownCut) furrow(i int, f int32) float64 {
	s, c := &k.plan.spots[i], k.centre[f]
	h := k.hollow[f]
	if k.off(i, c) < 1.2 {
		h *= math.Max(0.1, math.Min(1, ((k.tops[i]-c.Z)/s.size.Clinical-0.25)/0.25))
	}
	if !s.n.Kind().Anterior() {
		h *= math.Max(0, math.Min(1, (0.93-k.normal[f].Z)/0.3))
	}
	return h
}

// leaning is how much a face leans to a crown, or, below 0, away from it [1/mm].
func (k *crownCut) leaning(i int, f int32) float64 {
	s, c := &k.plan.spots[i], k.centre[f]
	if c.Dist(s.at) < 0.16*s.size.MD {
		return 1e3
	}
	tall := s.size.Clinical
	off, below, l := k.off(i, c), k.tops[i]-c.Z, k.local(i, c)
	// How far beyond what a crown of this kind reaches [mm].
	out := math.Max(below-tall-1, math.Max(math.Abs(l.X)-0.5*k.wide[i]-0.8, math.Abs(l.Y)-0.5*s.size.FL-1.2))
	switch {
	case off > 1 && k.gap(c):
		return -1
	case off < 1 && below < 0.35*tall:
		return 1
	case off < 0.75 && below < 0.5*tall && k.normal[f].Z > -0.3:
		return cutLean
	// In the middle of the facial wall few margins lie higher than four fifths of the kind's
	// median height. Where they do, a furrow has to say so. The share is our own choice.
	case l.Y > 0 && math.Abs(l.X) < 0.35*k.wide[i] && below < 0.8*tall && k.normal[f].Z < 0.6 && off < 1.4:
		return 1
	case l.Y < 0 && math.Abs(l.X) < 0.3*k.wide[i] && off > 0.6 && off < 1.6 && math.Abs(c.Z-k.level[i]) > runSpread:
		return math.Copysign(cutRun, c.Z-k.level[i])
	case out > 0:
		return -cutLean * math.Min(1, out/4)
	}
	return 0
}

// recentre takes the crowns' middles and widths from the sides of the crowns found: a point
// may lie anywhere on its tooth, and teeth differ from the average.
func (k *crownCut) recentre(labels []tooth.Number) {
	var x, y [16][]float64
	for f, n := range labels {
		if n == 0 {
			continue
		}
		i := n.Index()
		if k.tops[i]-k.centre[f].Z < 0.6*k.plan.spots[i].size.Clinical {
			l := k.local(i, k.centre[f])
			x[i], y[i] = append(x[i], l.X), append(y[i], l.Y)
		}
	}
	for i, xs := range x {
		if len(xs) < 12 {
			continue
		}
		slices.Sort(xs)
		// A hundredth on either side may be a spur.
		lo, hi := xs[len(xs)/100], xs[len(xs)-1-len(xs)/100]
		shift := (lo + hi) / 2
		md := k.plan.spots[i].size.MD
		k.wide[i] = math.Max(0.8*md, math.Min(1.3*md, hi-lo))
		k.mid[i] = k.mid[i].Add(k.plan.spots[i].mesial.Scale(math.Max(-0.3*md, math.Min(0.3*md, shift))))
		// Across the arch the facial side tells: a lingual cusp may have been lost. A front tooth's
		// point lies on its edge, and third molars are of any size.
		if kind := k.plan.spots[i].n.Kind(); kind.Anterior() || kind == tooth.ThirdMolar {
			continue
		}
		slices.Sort(y[i])
		fl := k.plan.spots[i].size.FL
		shift = y[i][len(y[i])-1-len(y[i])/100] - 0.5*fl
		k.mid[i] = k.mid[i].Add(k.plan.spots[i].facial.Scale(math.Max(-0.3*fl, math.Min(0.3*fl, shift))))
	}
	k.spread()
}

// readLevels reads where the lingual margins of a tooth's two neighbours run.
func (k *crownCut) readLevels(labels []tooth.Number) {
	var border [16][]float64
	for f, n := range labels {
		if n == 0 {
			continue
		}
		i := n.Index()
		for _, g := range k.across[f] {
			if g < 0 || labels[g] != 0 {
				continue
			}
			c := k.centre[f].Lerp(k.centre[g], 0.5)
			if l := k.local(i, c); l.Y < 0 && math.Abs(l.X) < 0.3*k.wide[i] {
				border[i] = append(border[i], c.Z)
			}
		}
	}
	for i := 1; i < 15; i++ {
		if a, b := border[i-1], border[i+1]; len(a) > 0 && len(b) > 0 {
			k.level[i] = (median(a) + median(b)) / 2
		}
	}
}

// teeth labels the faces of every tooth.
func (k *crownCut) teeth() []tooth.Number {
	owner := make([]int8, len(k.centre))
	for f := range owner {
		owner[f] = -1
	}
	for i, crown := range k.crowns() {
		for _, f := range crown {
			if j := owner[f]; j < 0 || k.off(i, k.centre[f]) < k.off(int(j), k.centre[f]) {
				owner[f] = int8(i)
			}
		}
	}
	labels := make([]tooth.Number, len(owner))
	for f, i := range owner {
		if i >= 0 {
			labels[f] = k.plan.spots[i].n
		}
	}
	k.join(labels)
	last := -1
	for i := range k.plan.spots {
		if !k.plan.spots[i].given {
			continue
		}
		if last >= 0 {
			k.between(labels, last, i)
		}
		last = i
	}
	return labels
}

// join gives what lies between two crowns nearer together than contactWide to the nearer of
// them. A contact is a furrow as wide as the triangles there, of which either crown takes its
// own side only.
func (k *crownCut) join(labels []tooth.Number) {
	const none = math.MaxFloat64
	type claim struct {
		n          tooth.Number
		d, another float64 // to its crown, and to the nearest other one
	}
	claims := map[int32]claim{}
	for i := range k.plan.spots {
		n := k.plan.spots[i].n
		if !k.plan.spots[i].given {
			continue
		}
		way := map[int32]float64{}
		var todo []int32
		for f, l := range labels {
			if l == n {
				todo = append(todo, int32(f))
			}
		}
		for at := 0; at < len(todo); at++ {
			f := todo[at]
			for _, g := range k.across[f] {
				if g < 0 || labels[g] != 0 {
					continue
				}
				d := way[f] + k.centre[f].Dist(k.centre[g])
				if labels[f] == n {
					d /= 2 // the crown ends at the edge between them
				}
				if old, ok := way[g]; d < contactWide && (!ok || d < old) {
					way[g] = d
					todo = append(todo, g)
				}
			}
		}
		for f, d := range way {
			c, ok := claims[f]
			switch {
			case !ok:
				c = claim{n, d, none}
			case d < c.d:
				c = claim{n, d, c.d}
			default:
				c.another = math.Min(c.another, d)
			}
			claims[f] = c
		}
	}
	for f, c := range claims {
		if c.d+c.another < contactWide {
			labels[f] = c.n
		}
	}
}

// crowns are the faces of every given tooth's crown, each cut off by itself; as they do not
// depend on one another, several are cut at a time.
func (k *crownCut) crowns() [16][]int32 {
	var out [16][]int32
	var next atomic.Int32
	var all sync.WaitGroup
	for range min(4, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			node := make([]int32, len(k.node))
			for f := range node {
				node[f] = -1
			}
			for i := int(next.Add(1)) - 1; i < len(out); i = int(next.Add(1)) - 1 {
				if k.plan.spots[i].given {
					out[i] = k.crown(i, node)
				}
			}
		})
	}
	all.Wait()
	return out
}

// crown cuts one crown off all that is not it and gives its faces. It works with node,
// which is -1 everywhere before and after.
func (k *crownCut) crown(i int, node []int32) []int32 {
	s := &k.plan.spots[i]
	tall := s.size.Clinical
	var faces []int32
	var lean, furrow []float64
	var low []bool
	for f := range k.centre {
		c := k.centre[f]
		if math.Abs(s.at.X-c.X) > 14 || math.Abs(s.at.Y-c.Y) > 14 {
			continue
		}
		off, below := k.off(i, c), k.tops[i]-c.Z
		if off > 2.4 || below > tall+6 {
			continue
		}
		node[f] = int32(len(faces))
		faces = append(faces, int32(f))
		v := k.leaning(i, int32(f))
		// What leans to another tooth that it lies nearer to leans away from this one.
		for j := range k.plan.spots {
			o := &k.plan.spots[j]
			if j == i || !o.given || o.at.XY().Dist(c.XY()) > 12 || k.off(j, c) > off-0.4 {
				continue
			}
			v = math.Min(v, -math.Max(0, k.leaning(j, int32(f))))
		}
		lean = append(lean, v*k.area[f])
		furrow = append(furrow, k.furrow(i, int32(f)))
		low = append(low, below > 0.6*tall || off > 1)
	}
	g := newCutGraph(len(faces), 2*len(faces))
	copy(g.lean, lean)
	for n, f := range faces {
		for e, h := range k.across[f] {
			switch {
			case h < 0:
				if h == mesh.Open && low[n] { // the scan ends in gum
					g.lean[n] -= k.edge(f, e)
				}
			case node[h] < 0: // beyond it nothing is of this crown
				g.lean[n] -= k.edge(f, e) * price(furrow[n])
			case h > f:
				g.link(int32(n), node[h], k.edge(f, e)*price((furrow[n]+furrow[node[h]])/2))
			}
		}
	}
	in := g.cut()
	var own []int32
	for n, f := range faces {
		node[f] = -1
		if in[n] {
			own = append(own, f)
		}
	}
	return own
}

// gap tells whether a place lies in the middle of a missing tooth's place.
func (k *crownCut) gap(q geom.Vec) bool {
	for i := range k.plan.spots {
		s := &k.plan.spots[i]
		if s.given || s.at.XY().Dist(q.XY()) > 8 {
			continue
		}
		if l := s.local(q); math.Abs(l.X) < 0.25*s.size.MD {
			return true
		}
	}
	return false
}

// between divides the faces of two neighbours anew.
func (k *crownCut) between(labels []tooth.Number, i, j int) {
	a, b := &k.plan.spots[i], &k.plan.spots[j]
	var faces []int32
	for f, n := range labels {
		if n == a.n || n == b.n {
			k.node[f] = int32(len(faces))
			faces = append(faces, int32(f))
		}
	}
	g := newCutGraph(len(faces), 2*len(faces))
	for n, f := range faces {
		// Positive leans to a.
		c := k.centre[f]
		d := k.off(j, c) - k.off(i, c)
		switch {
		case c.Dist(a.at) < 0.16*a.size.MD:
			g.lean[n] = 1e3
		case c.Dist(b.at) < 0.16*b.size.MD:
			g.lean[n] = -1e3
		case d > 1.3:
			g.lean[n] = k.area[f]
		case d < -1.3:
			g.lean[n] = -k.area[f]
		case d > 0.6:
			g.lean[n] = cutLean * k.area[f]
		case d < -0.6:
			g.lean[n] = -cutLean * k.area[f]
		}
		for e, h := range k.across[f] {
			if h > f && k.node[h] >= 0 {
				g.link(int32(n), k.node[h], k.edge(f, e)*price(k.parting(f, h)))
			}
		}
	}
	in := g.cut()
	for n, f := range faces {
		k.node[f] = -1
		labels[f] = b.n
		if in[n] {
			labels[f] = a.n
		}
	}
}

// parting is how much of the hollow between two faces may part two neighbours. A furrow
// whose two sides look up is a fissure.
func (k *crownCut) parting(f, g int32) float64 {
	up := math.Min(k.normal[f].Z, k.normal[g].Z)
	return (k.hollow[f] + k.hollow[g]) / 2 * math.Max(0, math.Min(1, (0.75-up)/0.3))
}

// evenRounds is how often normals are averaged with their neighbours' to even them over a
// third of a millimetre, however fine the triangles are.
func evenRounds(m *mesh.Mesh) int {
	e := medianEdge(m)
	return max(1, min(8, int(math.Round(0.5/(e*e)))))
}

// evenNormals averages each face's normal with its neighbours'.
func evenNormals(n []geom.Vec, across [][3]int32, rounds int) []geom.Vec {
	for range rounds {
		out := make([]geom.Vec, len(n))
		stretches(len(n), func(from, to int) {
			for f := from; f < to; f++ {
				sum := n[f]
				for _, g := range across[f] {
					if g >= 0 {
						sum = sum.Add(n[g].Scale(0.7))
					}
				}
				out[f] = sum.Unit()
			}
		})
		n = out
	}
	return n
}

// tidy keeps one piece of each crown, fills what it encloses and takes single teeth off its
// border.
func tidy(m *mesh.Mesh, labels []tooth.Number, across [][3]int32, p *plan) []tooth.Number {
	for range 4 {
		next := append([]tooth.Number(nil), labels...)
		for f := range labels {
			var other tooth.Number
			same, count := 0, 0
			for _, g := range across[f] {
				if g < 0 {
					continue
				}
				if labels[g] == labels[f] {
					same++
				} else {
					other, count = labels[g], count+1
				}
			}
			if count >= 2 && same <= 1 {
				next[f] = other
			}
		}
		labels = next
	}
	keep := make([]tooth.Number, len(labels))
	for i := range p.spots {
		if s := &p.spots[i]; s.given {
			for _, f := range piece(m, labels, across, s) {
				keep[f] = s.n
			}
		}
	}
	// Islands of gum within one crown, small against it, belong to it.
	seen := make([]bool, len(keep))
	for f := range keep {
		if keep[f] != 0 || seen[f] {
			continue
		}
		island := []int32{int32(f)}
		seen[f] = true
		var beside tooth.Number
		one := true
		for k := 0; k < len(island); k++ {
			for _, g := range across[island[k]] {
				switch {
				case g < 0:
					one = false
				case keep[g] != 0:
					one = one && (beside == 0 || beside == keep[g])
					beside = keep[g]
				case !seen[g]:
					seen[g] = true
					island = append(island, g)
				}
			}
		}
		if one && beside != 0 && len(island) < 400 {
			for _, g := range island {
				keep[g] = beside
			}
		}
	}
	return keep
}

// piece is what hangs together of a crown where its point lies: the largest piece within
// reach of the point, as a flake of the scan may lie on the crown just there. Where none is
// within reach it is the nearest.
func piece(m *mesh.Mesh, labels []tooth.Number, across [][3]int32, s *site) []int32 {
	var best []int32
	most, near := 0.0, math.Inf(1)
	seen := map[int32]bool{}
	for f, n := range labels {
		if n != s.n || seen[int32(f)] {
			continue
		}
		seen[int32(f)] = true
		all := []int32{int32(f)}
		area, off := 0.0, math.Inf(1)
		for at := 0; at < len(all); at++ {
			a, b, c := m.Corners(int(all[at]))
			area += b.Sub(a).Cross(c.Sub(a)).Norm() / 2
			off = math.Min(off, NearestOnTriangle(s.at, a, b, c).Dist(s.at))
			for _, g := range across[all[at]] {
				if g >= 0 && labels[g] == s.n && !seen[g] {
					seen[g] = true
					all = append(all, g)
				}
			}
		}
		off = math.Max(0, off-pieceReach)
		if off < near || off == near && area > most {
			best, most, near = all, area, off
		}
	}
	return best
}
