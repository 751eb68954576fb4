package mechanics

import (
	"fmt"
	"math"

	"halfpear/geom"
)

// Contact is one place where something holds the framework: a tooth under a rest, a guide
// plane, a clasp's tip, a small area of mucosa under a base.
//
// It pushes the framework along N with K newtons for each millimetre that the framework has
// come against it beyond Gap. A bilateral contact pulls as well as pushes. A contact with a
// capacity gives way at that force and keeps it. A layer of soft tissue stiffens as it is
// pressed thin: its force is K·d/(1 - d/Layer).
type Contact struct {
	ID        string
	R         geom.Vec // where
	N         geom.Vec // unit direction in which it pushes the framework
	K         float64  // [N/mm]
	Gap       float64  // [mm]
	Capacity  float64  // [N]; 0 has no limit
	Layer     float64  // closing at which the tissue would be pressed to nothing [mm]; 0 for a straight spring
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

// flattest is the share of a layer beyond which its stiffness grows no more.
const flattest = 0.9

// force of a contact at closing d, and its stiffness there.
func (c *Contact) force(d float64) (f, k float64) {
	if d <= 0 && !c.Bilateral {
		return 0, 0
	}
	f, k = c.K*d, c.K
	if c.Layer > 0 {
		x := math.Min(math.Abs(d)/c.Layer, flattest)
		k = c.K / ((1 - x) * (1 - x))
		f = math.Copysign(c.K*x*c.Layer/(1-x)+k*(math.Abs(d)-x*c.Layer), d)
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
	// restShare: at rest what is left of the load is less than this share of it, or than what
	// rounding leaves of the contacts' forces where the framework has moved far.
	restShare = 1e-11
	rounding  = 1e-15
	// looseRate is the stiffness along a step below which nothing is said to hold it [N/mm].
	looseRate = 1e-9
	maxRounds = 200
	// nearEnough: the search along a step ends where this share of the energy's slope is left.
	// A step to the place of rest itself leaves none.
	nearEnough = 1e-3
)

// Supports are contacts made ready for one load after another.
type Supports struct {
	contacts []Contact
	at       []wrench6
}

// NewSupports checks the contacts.
func NewSupports(contacts []Contact) (*Supports, error) {
	s := &Supports{contacts, make([]wrench6, len(contacts))}
	for i, c := range contacts {
		name := c.ID
		if name == "" {
			name = fmt.Sprintf("number %d", i+1)
		}
		if !c.R.IsFinite() || !c.N.IsFinite() || c.N.Norm() == 0 {
			return nil, fmt.Errorf("contact %s: place %v and direction %v: numbers are expected, and a direction with a length", name, c.R, c.N)
		}
		if !(c.K > 0) || math.IsInf(c.K, 0) || !(c.Capacity >= 0) || !(c.Layer >= 0) || math.IsNaN(c.Gap) || math.IsInf(c.Gap, 0) {
			return nil, fmt.Errorf("contact %s: stiffness %g N/mm, capacity %g N, gap %g mm, layer %g mm: a stiffness above 0, and a capacity and a layer of 0 (no limit) or above are expected", name, c.K, c.Capacity, c.Gap, c.Layer)
		}
		s.at[i] = wrenchAt(c.R, c.N.Unit())
	}
	return s, nil
}

// Support finds the place of rest of a framework on contacts under loads.
func Support(contacts []Contact, loads []Load) (Rest, error) {
	s, err := NewSupports(contacts)
	if err != nil {
		return Rest{}, err
	}
	return s.Under(loads)
}

// closing is how far the framework at q has come against contact i beyond its gap.
func (s *Supports) closing(i int, q *wrench6) float64 { return -s.at[i].dot(q) - s.contacts[i].Gap }

// net is what is left of the load at q, and how much of it rounding may be to blame for.
func (s *Supports) net(q, pull *wrench6) (g wrench6, noise float64) {
	g = *pull
	for i := range s.contacts {
		f, k := s.contacts[i].force(s.closing(i, q))
		if f == 0 {
			continue
		}
		g.add(f, &s.at[i])
		sum := 0.0
		for j, v := range s.at[i] {
			sum += math.Abs(v * q[j])
		}
		noise += rounding * k * sum
	}
	return g, noise
}

// stiffness is that of the contacts together, each with its own.
func (s *Supports) stiffness(of func(i int) float64) (k [6][6]float64) {
	for i := range s.contacts {
		stiff := of(i)
		if stiff == 0 {
			continue
		}
		for r, v := range s.at[i] {
			for c := r; c < 6; c++ {
				k[r][c] += stiff * v * s.at[i][c]
			}
		}
	}
	for r := range 6 {
		for c := range r {
			k[r][c] = k[c][r]
		}
	}
	return k
}

// Under finds the framework's place of rest: the least of a convex energy, by Newton's
// method with the contacts that hold and a search along each step.
func (s *Supports) Under(loads []Load) (Rest, error) {
	n := len(s.contacts)
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
	holding := func(i int) float64 {
		_, k := s.contacts[i].force(s.closing(i, &q))
		return k
	}
	for round := 0; ; round++ {
		g, noise := s.net(&q, &pull)
		if math.Sqrt(g.dot(&g)) <= restShare*math.Max(scale, 1e-300)+noise {
			out.Rounds = round
			break
		}
		if round == maxRounds {
			return Rest{}, fmt.Errorf("the framework's place of rest was not found in %d rounds: %.3g N of the load are left over; look for contacts whose stiffness differs by more than a million", maxRounds, math.Sqrt(g.dot(&g)))
		}
		of := holding
		if round == 0 { // nothing is pressed yet: all that touches may hold
			of = func(i int) float64 {
				if s.contacts[i].Gap > 0 {
					return 0
				}
				return s.contacts[i].K
			}
		}
		k := s.stiffness(of)
		step, _ := solve6(&k, &g)
		t, end := s.search(&q, &step, &pull)
		if !end {
			m := motionOf(&step)
			norm := math.Max(m.Move.Norm(), m.Turn.Norm()*turnScale)
			out.Free = &Motion{m.Move.Scale(1 / norm), m.Turn.Scale(1 / norm)}
			return out, nil
		}
		q.add(t, &step)
	}
	q = s.settle(q, &pull, scale)
	out.Motion = motionOf(&q)
	for i := range s.contacts {
		f, k := s.contacts[i].force(s.closing(i, &q))
		out.Force[i], out.Active[i], out.Gone[i] = f, f != 0 || s.contacts[i].Bilateral, f != 0 && k == 0
	}
	return out, nil
}

// solve6 is the step that the stiffness k answers g with. Where a part of g lies in a
// direction that nothing holds, the step is that part alone: it goes on until something
// does. null are all such directions.
func solve6(k *[6][6]float64, g *wrench6) (step wrench6, null []wrench6) {
	if x, ok := cholesky6(k, g); ok {
		return x, nil
	}
	values, vectors := eigen6(*k)
	top := 1.0
	for _, l := range values {
		top = math.Max(top, l)
	}
	size := math.Sqrt(g.dot(g))
	var loose wrench6
	for i, l := range values {
		v := &vectors[i]
		along := v.dot(g)
		if l >= nullShare*top {
			step.add(along/l, v)
			continue
		}
		null = append(null, *v)
		if math.Abs(along) > 1e-9*size {
			loose.add(along/size, v)
		}
	}
	if loose.dot(&loose) > 0 {
		return loose, null
	}
	return step, null
}

// cholesky6 solves k·x = g where k is well clear of singular; it says where it is not.
func cholesky6(k *[6][6]float64, g *wrench6) (x wrench6, ok bool) {
	var l [6][6]float64
	top := 1.0
	for i := range 6 {
		top = math.Max(top, k[i][i])
	}
	for j := range 6 {
		d := k[j][j]
		for m := range j {
			d -= l[j][m] * l[j][m]
		}
		if d < 1e4*nullShare*top {
			return x, false
		}
		l[j][j] = math.Sqrt(d)
		for i := j + 1; i < 6; i++ {
			v := k[i][j]
			for m := range j {
				v -= l[i][m] * l[j][m]
			}
			l[i][j] = v / l[j][j]
		}
	}
	x = *g
	for i := range 6 {
		for m := range i {
			x[i] -= l[i][m] * x[m]
		}
		x[i] /= l[i][i]
	}
	for i := 5; i >= 0; i-- {
		for m := i + 1; m < 6; m++ {
			x[i] -= l[m][i] * x[m]
		}
		x[i] /= l[i][i]
	}
	return x, true
}

// eigen6 gives the eigenvalues and eigenvectors of a symmetric matrix by Jacobi's
// rotations.
func eigen6(a [6][6]float64) (values [6]float64, vectors [6]wrench6) {
	for i := range vectors {
		vectors[i][i] = 1
	}
	for range 40 {
		off, size := 0.0, 0.0
		for p := range 6 {
			size += a[p][p] * a[p][p]
			for q := p + 1; q < 6; q++ {
				off += a[p][q] * a[p][q]
			}
		}
		if off <= 1e-34*size {
			break
		}
		for p := range 6 {
			for q := p + 1; q < 6; q++ {
				if a[p][q] == 0 {
					continue
				}
				theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
				t := math.Copysign(1/(math.Abs(theta)+math.Hypot(theta, 1)), theta)
				c := 1 / math.Hypot(t, 1)
				s := t * c
				for i := range 6 {
					x, y := a[i][p], a[i][q]
					a[i][p], a[i][q] = c*x-s*y, s*x+c*y
				}
				for i := range 6 {
					x, y := a[p][i], a[q][i]
					a[p][i], a[q][i] = c*x-s*y, s*x+c*y
					u, v := vectors[p][i], vectors[q][i]
					vectors[p][i], vectors[q][i] = c*u-s*v, s*u+c*v
				}
			}
		}
	}
	for i := range values {
		values[i] = a[i][i]
	}
	return values, vectors
}

// search finds how far along a step the energy is least: the slope of the energy never
// falls on the way. It reports false where the slope never turns.
func (s *Supports) search(q, step, pull *wrench6) (t float64, end bool) {
	along := make([]float64, len(s.contacts)) // closing for each unit of t
	base := make([]float64, len(s.contacts))
	against := -pull.dot(step)
	// What the slope comes to far away: what holds without limit, and what gives way.
	far, rate := against, 0.0
	for i := range s.contacts {
		c := &s.contacts[i]
		v := -s.at[i].dot(step)
		along[i], base[i] = v, s.closing(i, q)
		switch {
		case c.Capacity == 0 && (v > 0 || c.Bilateral):
			rate += c.K * v * v
		case v > 0 || c.Bilateral:
			far += c.Capacity * math.Abs(v)
		}
	}
	if rate <= looseRate*step.dot(step) && far <= 0 {
		return 0, false
	}
	slope := func(t float64) (v, rate float64) {
		v = against
		for i, a := range along {
			if a == 0 {
				continue
			}
			f, k := s.contacts[i].force(base[i] + t*a)
			v += f * a
			rate += k * a * a
		}
		return v, rate
	}
	first, _ := slope(0)
	lo, hi := 0.0, math.Inf(1)
	t = 1
	for range 200 {
		v, k := slope(t)
		if math.Abs(v) <= nearEnough*math.Abs(first) {
			break
		}
		if v < 0 {
			lo = t
		} else {
			hi = t
		}
		next := t - v/k
		switch {
		case k > 0 && next > lo && next < hi:
		case math.IsInf(hi, 1):
			next = 4 * t
		default:
			next = (lo + hi) / 2
		}
		if next == t {
			break
		}
		t = next
	}
	return t, true
}

// settle takes out of q what nothing holds and the load does not ask for.
func (s *Supports) settle(q wrench6, pull *wrench6, scale float64) wrench6 {
	k := s.stiffness(func(i int) float64 {
		_, stiff := s.contacts[i].force(s.closing(i, &q))
		return stiff
	})
	_, null := solve6(&k, &wrench6{})
	if null == nil {
		return q
	}
	still := q
	for _, v := range null {
		still.add(-v.dot(&q), &v)
	}
	if g, noise := s.net(&still, pull); math.Sqrt(g.dot(&g)) <= 10*restShare*scale+noise {
		return still
	}
	return q
}
