package cast

import (
	"container/heap"
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

// findCrowns labels the faces of each standing tooth. Fronts start on the upper half of
// every crown and, from below, on the gum; they spread over the surface, slowly across
// furrows, and each face falls to the front that reaches it first. So the border comes to
// lie in the furrow between gum and crown and between neighbouring crowns.
func findCrowns(m *mesh.Mesh, on *Surface, across [][3]int32, p *plan) []tooth.Number {
	nf := len(m.Faces)
	centre, normal := make([]geom.Vec, nf), make([]geom.Vec, nf)
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		centre[i] = a.Add(b).Add(c).Scale(1.0 / 3)
		normal[i] = b.Sub(a).Cross(c.Sub(a)).Unit()
	}
	normal = evenNormals(normal, across, 2)

	const gum = 200 // stands for the gum among tooth numbers
	owner := make([]tooth.Number, nf)
	cost := make([]float64, nf)
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	q := &front{}
	start := func(f int, who tooth.Number, c float64) {
		if c < cost[f] {
			cost[f], owner[f] = c, who
			heap.Push(q, reached{c, int32(f), who})
		}
	}
	tops := map[tooth.Number]float64{}
	for i := range p.spots {
		if s := &p.spots[i]; s.given {
			tops[s.n] = topNear(on, s.at, s.size).Z
		}
	}
	for f := range centre {
		best, near := math.Inf(1), -1
		for i := range p.spots {
			if d := centre[f].XY().Dist(p.spots[i].at.XY()); d < best {
				best, near = d, i
			}
		}
		s := &p.spots[near]
		if !s.given {
			// The place of a missing tooth is gum, unless a neighbour's crown leans into it.
			if l := s.local(centre[f]); math.Abs(l.X) < 0.25*s.size.MD {
				start(f, gum, 0)
			}
			continue
		}
		l := s.local(centre[f])
		below := tops[s.n] - centre[f].Z
		u, v := l.X/(0.36*s.size.MD), l.Y/(0.40*s.size.FL)
		switch {
		case u*u+v*v < 1 && below < 0.45*s.size.Clinical && normal[f].Z > -0.2:
			start(f, s.n, 0)
		case below > s.size.Clinical+2.2 || math.Abs(l.Y) > 0.5*s.size.FL+3.5 || best > 0.5*s.size.FL+5:
			// The gum's front starts nearer to the margin than the crown's: it waits.
			start(f, gum, 3*(0.55*s.size.Clinical-2.2))
		}
	}
	for q.Len() > 0 {
		r := heap.Pop(q).(reached)
		if r.cost > cost[r.face] || owner[r.face] != r.who {
			continue
		}
		for _, g := range across[r.face] {
			if g < 0 {
				continue
			}
			step := centre[g].Sub(centre[r.face])
			d := step.Norm()
			// The bend between the two faces, over the way: positive in a furrow.
			hollow := normal[r.face].Sub(normal[g]).Dot(step) / math.Max(d*d, 1e-9)
			c := r.cost + d*(3+22*math.Min(1.2, math.Max(0, hollow)))
			if r.who != gum {
				s := p.of(r.who)
				l := s.local(centre[g])
				u, v := math.Abs(l.X)/(0.5*s.size.MD), math.Abs(l.Y)/(0.5*s.size.FL)
				if u > 1.45 || v > 1.6 || tops[r.who]-centre[g].Z > s.size.Clinical+4 {
					continue
				}
			}
			if c < cost[g] {
				cost[g], owner[g] = c, r.who
				heap.Push(q, reached{c, g, r.who})
			}
		}
	}
	labels := make([]tooth.Number, nf)
	for f, o := range owner {
		if o != gum {
			labels[f] = o
		}
	}
	return tidy(labels, across, on, p)
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

// front is a queue of faces, nearest first; equal costs in face order, so that the result
// does not depend on chance.
type front []reached

type reached struct {
	cost float64
	face int32
	who  tooth.Number
}

func (q front) Len() int { return len(q) }
func (q front) Less(i, j int) bool {
	if q[i].cost != q[j].cost {
		return q[i].cost < q[j].cost
	}
	if q[i].face != q[j].face {
		return q[i].face < q[j].face
	}
	return q[i].who < q[j].who
}
func (q front) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *front) Push(x any)   { *q = append(*q, x.(reached)) }
func (q *front) Pop() any {
	o := *q
	x := o[len(o)-1]
	*q = o[:len(o)-1]
	return x
}
