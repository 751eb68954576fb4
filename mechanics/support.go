package mechanics

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"halfpear/geom"
)

// Contact is one place where something holds the framework: a tooth under a rest, a guide
// plane, a clasp's tip, a small area of mucosa under a base.
//
// It pushes the framework along N with K newtons for each millimetre that the framework has
// come against it beyond Gap. A bilateral contact pulls as well as pushes. A contact with a
// capacity gives way at that force and keeps it.
type Contact struct {
	ID        string
	R         geom.Vec // where
	N         geom.Vec // unit direction in which it pushes the framework
	K         float64  // [N/mm]
	Gap       float64  // [mm]
	Capacity  float64  // [N]; 0 has no limit
	Bilateral bool
}

// Load is a force on the framework at a place.
type Load struct {
	R, Force geom.Vec
}

// Motion is a small movement of the framework: that of the origin, and a rotation.
type Motion struct {
	Move geom.Vec // [mm]
	Turn geom.Vec // [rad]
}

// At is how far the framework moves at a place.
func (m Motion) At(r geom.Vec) geom.Vec { return m.Move.Add(m.Turn.Cross(r)) }

// Screw is a motion seen as a turn about an axis and a slide along it.
type Screw struct {
	Point, Direction geom.Vec
	Angle            float64 // [rad]
	Pitch            float64 // slide for each radian [mm]
}

// screwReach is the arm that a turn is judged on, about an arch's half length [mm], and
// screwLeast the movement there below which a motion is called a mere shift [mm].
const (
	screwReach = 30
	screwLeast = 1e-3
)

// Screw gives the motion's axis; ok is false where the framework shifts without turning.
func (m Motion) Screw() (s Screw, ok bool) {
	a := m.Turn.Norm()
	if a*screwReach < screwLeast*1e-3 || a == 0 {
		return Screw{}, false
	}
	return Screw{
		Point:     m.Turn.Cross(m.Move).Scale(1 / (a * a)),
		Direction: m.Turn.Scale(1 / a),
		Angle:     a,
		Pitch:     m.Turn.Dot(m.Move) / (a * a),
	}, true
}

// Shifts tells whether the turn is too small to speak of.
func (m Motion) Shifts() bool { return m.Turn.Norm()*screwReach < screwLeast }

// Rest is the framework at rest under a load.
type Rest struct {
	Motion
	Force  []float64 // of each contact along its N [N]
	Active []bool    // whether it holds
	Gone   []bool    // whether it has given way at its capacity
	Rounds int

	// Free is the motion that nothing holds, where the load moves the framework without
	// end: it lifts off or turns freely. The other results are then nought.
	Free *Motion
}

// turnScale makes turns comparable with shifts [mm].
const turnScale = 20

// wrench6 is a contact's or a load's six components, turns scaled.
type wrench6 [6]float64

func wrenchAt(r, f geom.Vec) wrench6 {
	m := r.Cross(f).Scale(1.0 / turnScale)
	return wrench6{f.X, f.Y, f.Z, m.X, m.Y, m.Z}
}

func (a *wrench6) dot(b *wrench6) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

func (a *wrench6) add(f float64, b *wrench6) {
	for i, v := range b {
		a[i] += f * v
	}
}

func motionOf(q *wrench6) Motion {
	return Motion{geom.V(q[0], q[1], q[2]), geom.V(q[3], q[4], q[5]).Scale(1.0 / turnScale)}
}

// force of a contact at closing d, and its stiffness there.
func (c *Contact) force(d float64) (f, k float64) {
	f, k = c.K*d, c.K
	if d <= 0 && !c.Bilateral {
		return 0, 0
	}
	if c.Capacity > 0 && math.Abs(f) > c.Capacity {
		return math.Copysign(c.Capacity, f), 0
	}
	return f, k
}

const (
	// nullShare: a direction whose stiffness is less than this share of the stiffest is one
	// that nothing holds. Tooth against mucosa is 1 to 1e-4.
	nullShare = 1e-10
	// restShare: at rest what is left of the load is less than this share of it.
	restShare = 1e-11
	// looseRate is the stiffness along a step below which nothing is said to hold it [N/mm].
	looseRate = 1e-9
	maxRounds = 200
)

// Support finds the framework's place of rest: the least of a convex energy, by Newton's
// method with the contacts that hold and an exact search along each step.
func Support(contacts []Contact, loads []Load) (Rest, error) {
	n := len(contacts)
	a := make([]wrench6, n)
	for i, c := range contacts {
		name := c.ID
		if name == "" {
			name = fmt.Sprintf("number %d", i+1)
		}
		if !c.R.IsFinite() || !c.N.IsFinite() || c.N.Norm() == 0 {
			return Rest{}, fmt.Errorf("contact %s: place %v and direction %v: numbers are expected, and a direction with a length", name, c.R, c.N)
		}
		if !(c.K > 0) || math.IsInf(c.K, 0) || !(c.Capacity >= 0) || math.IsNaN(c.Gap) || math.IsInf(c.Gap, 0) {
			return Rest{}, fmt.Errorf("contact %s: stiffness %g N/mm, capacity %g N, gap %g mm: a stiffness above 0 and a capacity of 0 (no limit) or above are expected", name, c.K, c.Capacity, c.Gap)
		}
		a[i] = wrenchAt(c.R, c.N.Unit())
	}
	var pull wrench6
	scale := 0.0
	for i, l := range loads {
		if !l.R.IsFinite() || !l.Force.IsFinite() {
			return Rest{}, fmt.Errorf("load %d: place %v and force %v: numbers are expected", i+1, l.R, l.Force)
		}
		w := wrenchAt(l.R, l.Force)
		pull.add(1, &w)
		scale = math.Max(scale, math.Sqrt(w.dot(&w)))
	}
	out := Rest{Force: make([]float64, n), Active: make([]bool, n), Gone: make([]bool, n)}
	var q wrench6
	closing := func(i int) float64 { return -a[i].dot(&q) - contacts[i].Gap }
	// net is what is left of the load at q.
	net := func() wrench6 {
		g := pull
		for i := range contacts {
			f, _ := contacts[i].force(closing(i))
			g.add(f, &a[i])
		}
		return g
	}
	for round := 0; ; round++ {
		g := net()
		if math.Sqrt(g.dot(&g)) <= restShare*math.Max(scale, 1e-300) {
			out.Rounds = round
			break
		}
		if round == maxRounds {
			return Rest{}, fmt.Errorf("the framework's place of rest was not found in %d rounds: %.3g N of the load are left over; look for contacts whose stiffness differs by more than a million", maxRounds, math.Sqrt(g.dot(&g)))
		}
		var k [6][6]float64
		for i := range contacts {
			stiff := contacts[i].K
			if round > 0 {
				_, stiff = contacts[i].force(closing(i))
			} else if contacts[i].Gap > 0 {
				continue
			}
			if stiff == 0 {
				continue
			}
			for r := range 6 {
				for c := r; c < 6; c++ {
					k[r][c] += stiff * a[i][r] * a[i][c]
				}
			}
		}
		step, _ := solve6(&k, &g)
		t, end := search(contacts, a, &q, &step, &pull)
		if !end {
			m := motionOf(&step)
			norm := math.Max(m.Move.Norm(), m.Turn.Norm()*turnScale)
			out.Free = &Motion{m.Move.Scale(1 / norm), m.Turn.Scale(1 / norm)}
			return out, nil
		}
		q.add(t, &step)
	}
	q = settle(contacts, a, q, &pull, scale)
	out.Motion = motionOf(&q)
	for i := range contacts {
		d := closing(i)
		f, k := contacts[i].force(d)
		out.Force[i], out.Active[i], out.Gone[i] = f, f != 0 || contacts[i].Bilateral, f != 0 && k == 0
	}
	return out, nil
}

// solve6 is the step that the stiffness k answers g with. Where a part of g lies in a
// direction that nothing holds, the step is that part alone: it goes on until something
// does. null are all such directions.
func solve6(k *[6][6]float64, g *wrench6) (step wrench6, null []wrench6) {
	sym := mat.NewSymDense(6, nil)
	for r := range 6 {
		for c := r; c < 6; c++ {
			sym.SetSym(r, c, k[r][c])
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, true) {
		return *g, nil
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	top := math.Max(values[5], 1)
	size := math.Sqrt(g.dot(g))
	var loose wrench6
	for i, l := range values {
		var v wrench6
		for r := range v {
			v[r] = vectors.At(r, i)
		}
		along := v.dot(g)
		if l >= nullShare*top {
			step.add(along/l, &v)
			continue
		}
		null = append(null, v)
		if math.Abs(along) > 1e-9*size {
			loose.add(along/size, &v)
		}
	}
	if loose.dot(&loose) > 0 {
		return loose, null
	}
	return step, null
}

// search finds how far along a step the energy is least: the slope of the energy is
// piecewise straight in t and never falls. It reports false where the slope never turns.
func search(contacts []Contact, a []wrench6, q, step, pull *wrench6) (t float64, end bool) {
	// Slope at t is -step·pull - Σ force·(a·step); d = d0 - t·(a·step).
	type knee struct{ t, stiff float64 } // beyond t the slope's own slope changes by stiff
	var knees []knee
	slope, rate := -pull.dot(step), 0.0
	for i := range contacts {
		c := &contacts[i]
		s := -a[i].dot(step) // closing per t
		d0 := -a[i].dot(q) - c.Gap
		f, k := c.force(d0)
		slope += f * s
		rate += k * s * s
		if math.Abs(s) < 1e-300 {
			continue
		}
		// Closings at which the stiffness changes.
		turns := [2]float64{math.Inf(-1), math.Inf(1)}
		if !c.Bilateral {
			turns[0] = 0
		} else if c.Capacity > 0 {
			turns[0] = -c.Capacity / c.K
		}
		if c.Capacity > 0 {
			turns[1] = c.Capacity / c.K
		}
		for side, d := range turns {
			at := (d - d0) / s
			if math.IsInf(d, 0) || at < 0 || at == 0 && (side == 0) == (s < 0) && k == 0 {
				continue
			}
			enters := (side == 0) == (s > 0)
			if at == 0 {
				// On the knee itself force() says which stiffness was counted.
				if enters == (k > 0) {
					continue
				}
			}
			if enters {
				knees = append(knees, knee{at, c.K * s * s})
			} else {
				knees = append(knees, knee{at, -c.K * s * s})
			}
		}
	}
	sort.Slice(knees, func(i, j int) bool { return knees[i].t < knees[j].t })
	here := 0.0
	for _, k := range knees {
		next := slope + rate*(k.t-here)
		if next >= 0 && rate > 0 {
			return here - slope/rate, true
		}
		slope, here = next, k.t
		rate = math.Max(0, rate+k.stiff)
	}
	if rate > looseRate*step.dot(step) {
		return here - slope/rate, true
	}
	return 0, false
}

// settle takes out of q what nothing holds and the load does not ask for.
func settle(contacts []Contact, a []wrench6, q wrench6, pull *wrench6, scale float64) wrench6 {
	var k [6][6]float64
	for i := range contacts {
		if _, stiff := contacts[i].force(-a[i].dot(&q) - contacts[i].Gap); stiff > 0 {
			for r := range 6 {
				for c := r; c < 6; c++ {
					k[r][c] += stiff * a[i][r] * a[i][c]
				}
			}
		}
	}
	_, null := solve6(&k, &wrench6{})
	still := q
	for _, v := range null {
		still.add(-v.dot(&q), &v)
	}
	g := *pull
	for i := range contacts {
		f, _ := contacts[i].force(-a[i].dot(&still) - contacts[i].Gap)
		g.add(f, &a[i])
	}
	if math.Sqrt(g.dot(&g)) <= 10*restShare*scale {
		return still
	}
	return q
}
