package cast

import (
	"math"

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
	// How far each given point stands from its average place; the others are shifted like
	// their nearest given neighbours.
	for i, n := range all {
		e := spot(n, AverageOf(n))
		s := site{n: n, size: AverageOf(n)}
		if q, ok := points[n]; ok {
			s.at, s.given = q, true
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

func (p *plan) of(n tooth.Number) *site { return &p.spots[n.Index()] }

// local gives a point beside a site: X mesial, Y facial, Z up from the given point.
func (s *site) local(q geom.Vec) geom.Vec {
	d := q.Sub(s.at)
	return geom.V(d.Dot(s.mesial), d.Dot(s.facial), d.Z)
}

// findCrowns labels the faces of each standing tooth. The teeth together are cut off the
// gum, then neighbours from each other, each time along the line that costs least: a cut
// through a furrow costs little, one across a flat or bulging place its full length. What
// lies round a tooth's top leans to the tooth, what lies farther off or deeper than its
// kind reaches leans to the gum, and between the two only the furrows decide.
func findCrowns(m *mesh.Mesh, on *Surface, across [][3]int32, p *plan) []tooth.Number {
	k := newCrownCut(m, across, on, p)
	labels := k.split(k.offGum())
	return tidy(labels, across, on, p)
}

// crownCut is a surface with what its faces say of crown and gum.
type crownCut struct {
	mesh   *mesh.Mesh
	across [][3]int32
	plan   *plan
	centre []geom.Vec
	normal []geom.Vec
	area   []float64
	front  []bool       // whether the nearest tooth is an upper front tooth
	deep   []float64    // how far a furrow here may be the gum's border and no fissure, 0 to 1
	tops   [16]float64  // heights of the given teeth
	mid    [16]geom.Vec // middles of the given teeth's crowns, seen from above
}

func newCrownCut(m *mesh.Mesh, across [][3]int32, on *Surface, p *plan) *crownCut {
	nf := len(m.Faces)
	k := &crownCut{mesh: m, across: across, plan: p, centre: make([]geom.Vec, nf), normal: make([]geom.Vec, nf), area: make([]float64, nf), deep: make([]float64, nf), front: make([]bool, nf)}
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		k.centre[i] = a.Add(b).Add(c).Scale(1.0 / 3)
		n := b.Sub(a).Cross(c.Sub(a))
		k.area[i], k.normal[i] = n.Norm()/2, n.Unit()
	}
	k.normal = evenNormals(k.normal, across, evenRounds(m))
	for i := range p.spots {
		s := &p.spots[i]
		if !s.given {
			continue
		}
		top := topNear(on, s.at, s.size)
		k.tops[i] = top.Z
		k.mid[i] = s.at
		if s.n.Kind().Anterior() {
			// The crown lies lingual to its edge.
			k.mid[i] = s.at.Lerp(top, 0.5).Sub(s.facial.Scale(0.2 * s.size.FL))
		}
	}
	return k
}

const (
	cutHollow = 0.35 // the curvature of a clear furrow [1/mm]
	cutFloor  = 0.03 // what a cut through the deepest furrow still costs, against 1
	cutLean   = 0.3  // how much a place leans to the crown or the gum it is likely to be [1/mm]
)

// cost is what a cut along the k-th edge of a face costs.
func (k *crownCut) cost(f int, i int) float64 {
	g := k.across[f][i]
	c := k.mesh.Faces[f]
	step := k.centre[g].Sub(k.centre[f])
	d := step.Dot(step)
	hollow := math.Max(0, k.normal[f].Sub(k.normal[g]).Dot(step)/math.Max(d, 1e-9))
	// A furrow whose two sides look up is a fissure, not a border.
	hollow *= k.deep[f]
	level := 0.75
	if k.front[f] {
		level = 0.95 // no fissures there, and the palate beside them looks up
	}
	hollow *= math.Max(0, math.Min(1, (level-math.Min(k.normal[f].Z, k.normal[g].Z))/0.3))
	return k.mesh.Vertices[c[i]].Dist(k.mesh.Vertices[c[(i+1)%3]]) * (cutFloor + math.Exp(-hollow/cutHollow))
}

// nearest is the given site whose crown a face lies nearest to, and how far off it lies
// against the crown's half width and half depth; -1 where it is far from all.
func (k *crownCut) nearest(f int) (at int, off float64) {
	at, off = -1, math.Inf(1)
	for i := range k.plan.spots {
		s := &k.plan.spots[i]
		if !s.given || s.at.XY().Dist(k.centre[f].XY()) > 14 {
			continue
		}
		if d := k.off(i, k.centre[f]); d < off {
			at, off = i, d
		}
	}
	return at, off
}

// local gives a point beside the middle of a crown: X mesial, Y facial.
func (k *crownCut) local(i int, q geom.Vec) geom.Vec2 {
	s, d := &k.plan.spots[i], q.Sub(k.mid[i])
	return geom.Vec2{X: d.Dot(s.mesial), Y: d.Dot(s.facial)}
}

// off is how far a point lies from the middle of a crown, in its half width and depth.
func (k *crownCut) off(i int, q geom.Vec) float64 {
	s, l := &k.plan.spots[i], k.local(i, q)
	return math.Hypot(l.X/(0.5*s.size.MD), l.Y/(0.5*s.size.FL))
}

// offGum tells which faces are crown.
func (k *crownCut) offGum() []bool {
	node := make([]int32, len(k.centre))
	var faces []int32
	var lean []float64
	var low []bool
	for f := range k.centre {
		node[f] = -1
		k.deep[f] = 1
		at, off := k.nearest(f)
		if at < 0 || off > 2.2 {
			continue
		}
		s := &k.plan.spots[at]
		k.front[f] = s.n.Kind().Anterior() && k.plan.arch == tooth.Upper
		tall := s.size.Clinical
		below := k.tops[at] - k.centre[f].Z
		if below > tall+6 {
			continue
		}
		node[f] = int32(len(faces))
		faces = append(faces, int32(f))
		if off < 1.2 {
			k.deep[f] = math.Max(0.1, math.Min(1, (below/tall-0.25)/0.25))
		}
		l := k.local(at, k.centre[f])
		// How far beyond what a crown of this kind reaches, in mm.
		out := math.Max(below-tall-1, math.Max(math.Abs(l.X)-0.5*s.size.MD-0.8, math.Abs(l.Y)-0.5*s.size.FL-1.2))
		v := 0.0
		switch {
		case k.centre[f].Dist(s.at) < 0.16*s.size.MD:
			v = 1e3
		case off < 1 && below < 0.35*tall:
			v = 1
		case off < 0.75 && below < 0.5*tall && k.normal[f].Z > -0.3:
			v = cutLean
		case out > 0:
			v = math.Min(v, -cutLean*math.Min(1, out/2))
		}
		if k.gap(f) {
			v = -1
		}
		lean = append(lean, v*k.area[f])
		low = append(low, below > 0.6*tall || off > 1)
	}
	g := newCutGraph(len(faces), 2*len(faces))
	copy(g.lean, lean)
	for i, f := range faces {
		for e, h := range k.across[f] {
			switch {
			case h < 0:
				if h == mesh.Open && low[i] { // the scan ends in gum
					c := k.mesh.Faces[f]
					g.lean[i] -= k.mesh.Vertices[c[e]].Dist(k.mesh.Vertices[c[(e+1)%3]])
				}
			case node[h] < 0:
				g.lean[i] -= k.cost(int(f), e) // beyond it all is gum
			case h > f:
				g.link(int32(i), node[h], k.cost(int(f), e))
			}
		}
	}
	in := g.cut()
	crown := make([]bool, len(k.centre))
	for i, f := range faces {
		crown[f] = in[i]
	}
	for f := range k.deep {
		k.deep[f] = 1
	}
	return crown
}

// gap tells whether a face lies in the middle of a missing tooth's place.
func (k *crownCut) gap(f int) bool {
	for i := range k.plan.spots {
		s := &k.plan.spots[i]
		if s.given || s.at.XY().Dist(k.centre[f].XY()) > 8 {
			continue
		}
		if l := s.local(k.centre[f]); math.Abs(l.X) < 0.25*s.size.MD {
			return true
		}
	}
	return false
}

// split divides the crowns' faces among the teeth: first to the nearest, then between
// every two neighbours anew.
func (k *crownCut) split(crown []bool) []tooth.Number {
	labels := make([]tooth.Number, len(crown))
	for f, ok := range crown {
		if ok {
			if at, _ := k.nearest(f); at >= 0 {
				labels[f] = k.plan.spots[at].n
			}
		}
	}
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

// between divides the faces of two neighbours anew.
func (k *crownCut) between(labels []tooth.Number, i, j int) {
	a, b := &k.plan.spots[i], &k.plan.spots[j]
	node := map[int32]int32{}
	var faces []int32
	for f, n := range labels {
		if n == a.n || n == b.n {
			node[int32(f)] = int32(len(faces))
			faces = append(faces, int32(f))
		}
	}
	g := newCutGraph(len(faces), 2*len(faces))
	offs := func(q geom.Vec) float64 { return k.off(j, q) - k.off(i, q) }
	for i, f := range faces {
		// Positive leans to a.
		c := k.centre[f]
		d := offs(c)
		switch {
		case c.Dist(a.at) < 0.16*a.size.MD:
			g.lean[i] = 1e3
		case c.Dist(b.at) < 0.16*b.size.MD:
			g.lean[i] = -1e3
		case d > 0.6:
			g.lean[i] = cutLean * k.area[f]
		case d < -0.6:
			g.lean[i] = -cutLean * k.area[f]
		}
		for e, h := range k.across[f] {
			if h > f {
				if j, ok := node[h]; ok {
					g.link(int32(i), j, k.cost(int(f), e))
				}
			}
		}
	}
	in := g.cut()
	for i, f := range faces {
		labels[f] = b.n
		if in[i] {
			labels[f] = a.n
		}
	}
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
		for f := range n {
			sum := n[f]
			for _, g := range across[f] {
				if g >= 0 {
					sum = sum.Add(n[g].Scale(0.7))
				}
			}
			out[f] = sum.Unit()
		}
		n = out
	}
	return n
}

// tidy keeps the piece of each crown that its point lies on, fills what it encloses and
// takes single teeth off its border.
func tidy(labels []tooth.Number, across [][3]int32, on *Surface, p *plan) []tooth.Number {
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
		s := &p.spots[i]
		if !s.given {
			continue
		}
		_, seed := on.NearestOf(s.at, func(f int) bool { return labels[f] == s.n })
		if seed < 0 {
			continue
		}
		stack := []int32{int32(seed)}
		keep[seed] = s.n
		for len(stack) > 0 {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for _, g := range across[f] {
				if g >= 0 && labels[g] == s.n && keep[g] == 0 {
					keep[g] = s.n
					stack = append(stack, g)
				}
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
