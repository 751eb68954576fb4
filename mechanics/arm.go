package mechanics

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"halfpear/geom"
)

// Elastic is what a beam's metal does: Young's modulus [MPa], Poisson's ratio, and the
// 0.2 % proof stress [MPa], 0 where it is not known.
type Elastic struct{ E, Nu, Proof float64 }

// Arm is a clasp arm or any other cantilever: fixed at the first point of the path, free
// at the last. The path is the line of section centroids, its points joined by straight
// pieces.
type Arm struct {
	Path     []geom.Vec
	Out      []geom.Vec // thickness direction, away from the flat: one, or one a point
	Sections []Section  // at the root and the tip, or one a point; sizes between are in proportion to the way
	Metal    Elastic

	// Slender leaves out what textbook formulas leave out: shear, stretching, and the
	// curved-beam terms. For comparing with closed forms.
	Slender bool
}

const (
	// shearFactor is Timoshenko's for compact solid sections.
	shearFactor = 0.87
	// leastPieces is how many straight pieces the path is cut into at the least; with two
	// Gauss points each, a taper to a half is integrated to 1e-7.
	leastPieces = 36
	// kinkDeg: a turn of more than this at one point is a sharp corner, not a point of a
	// bend; no radius can be told from it.
	kinkDeg = 31
	// mostTwistDeg is how far the thickness direction may turn from one point to the next.
	mostTwistDeg = 150
)

// station is one place along the arm, with the section there.
type station struct {
	s       float64
	p       geom.Vec
	t, y, z geom.Vec // tangent, width and thickness directions
	bend    geom.Vec2
	cut     cut
	weight  float64 // of the arm's length, for integrating
}

// Beam is an arm made ready for loads.
type Beam struct {
	arm    Arm
	length float64
	knots  []float64  // arc length of each path point
	marks  []float64  // ends of the pieces that integrals run over
	turns  []geom.Vec // of each piece of the path: axis of its bend times its curvature
	shapes shapes
	phi    [6][6]float64 // tip flexibility, force then moment

	// Kinks are the sharp corners, as arc lengths; no stress of a bend is reckoned there.
	Kinks []float64
}

// NewBeam checks the arm and reckons its flexibility.
func NewBeam(a Arm) (*Beam, error) {
	a, err := a.clean()
	if err != nil {
		return nil, err
	}
	b := &Beam{arm: a}
	b.knots = make([]float64, len(a.Path))
	for i := 1; i < len(a.Path); i++ {
		b.knots[i] = b.knots[i-1] + a.Path[i].Dist(a.Path[i-1])
	}
	b.length = b.knots[len(b.knots)-1]
	b.turn()
	b.shapes = newShapes(a.Sections)
	for i := 0; i+1 < len(a.Path); i++ {
		l := b.knots[i+1] - b.knots[i]
		n := max(1, int(math.Ceil(l/b.length*leastPieces)))
		for k := range n {
			from, piece := b.knots[i]+l*float64(k)/float64(n), l/float64(n)
			b.marks = append(b.marks, from)
			for _, x := range gauss2x {
				st, err := b.station(i, from+x*piece)
				if err != nil {
					return nil, err
				}
				st.weight = piece / 2
				b.gather(&st)
			}
		}
	}
	b.marks = append(b.marks, b.length)
	return b, nil
}

// clean is the arm with doubled points left out, or the reason it cannot be reckoned.
func (a Arm) clean() (Arm, error) {
	n := len(a.Path)
	if n < 2 {
		return a, fmt.Errorf("the arm's path has %d points: at least two are needed, root first", n)
	}
	if len(a.Out) > 1 && len(a.Out) != n {
		return a, fmt.Errorf("%d thickness directions for %d points of the path: give one, or one for each point", len(a.Out), n)
	}
	if len(a.Sections) != 2 && len(a.Sections) != n {
		return a, fmt.Errorf("%d sections for %d points of the path: give root and tip, or one for each point", len(a.Sections), n)
	}
	for i, s := range a.Sections {
		if s.Shape != a.Sections[0].Shape {
			return a, fmt.Errorf("the arm's section changes from %s to %s: one shape is expected along an arm", a.Sections[0].Shape, s.Shape)
		}
		if err := s.check(); err != nil {
			return a, fmt.Errorf("at %s of the arm: %w", place(i, len(a.Sections)), err)
		}
	}
	if len(a.Out) == 0 {
		if a.Sections[0].Shape != Round {
			return a, errors.New("the arm has no thickness direction: only a round section can do without")
		}
		a.Out = []geom.Vec{a.anyAcross()}
	}
	for i, v := range a.Out {
		if !v.IsFinite() || v.Norm() == 0 {
			return a, fmt.Errorf("thickness direction %d is %v: a direction with a length is expected", i+1, v)
		}
	}
	m := a.Metal
	if !(m.E > 0) || !(m.Nu > -1 && m.Nu < 0.5) || !(m.Proof >= 0) || math.IsInf(m.E, 0) || math.IsInf(m.Proof, 0) {
		return a, fmt.Errorf("material E %g MPa, nu %g, proof stress %g MPa: expected E above 0, nu between -1 and 0.5, proof 0 (not known) or above", m.E, m.Nu, m.Proof)
	}
	total := geom.Length(a.Path)
	keep := Arm{Metal: m, Slender: a.Slender}
	for i, p := range a.Path {
		if !p.IsFinite() {
			return a, fmt.Errorf("point %d of the path is %v: numbers are expected", i+1, p)
		}
		if k := len(keep.Path); k > 0 && p.Dist(keep.Path[k-1]) <= 1e-9*total {
			continue
		}
		keep.Path = append(keep.Path, p)
		if len(a.Out) > 1 {
			keep.Out = append(keep.Out, a.Out[i].Unit())
			if k := len(keep.Out); k > 1 && keep.Out[k-1].AngleTo(keep.Out[k-2]) > geom.Deg(mostTwistDeg) {
				return a, fmt.Errorf("from point %d to %d of the path the thickness direction turns by %.0f degrees: which way round cannot be told; expected at most %d, with points between", i, i+1, geom.InDeg(keep.Out[k-1].AngleTo(keep.Out[k-2])), mostTwistDeg)
			}
		}
		if len(a.Sections) == n && n > 2 {
			keep.Sections = append(keep.Sections, a.Sections[i])
		}
	}
	if len(keep.Path) < 2 {
		return a, errors.New("all points of the arm's path lie in one place: the arm has no length")
	}
	if len(a.Out) == 1 {
		keep.Out = []geom.Vec{a.Out[0].Unit()}
	}
	if len(a.Sections) == 2 {
		keep.Sections = a.Sections
	}
	return keep, nil
}

func place(i, n int) string {
	if n > 2 {
		return fmt.Sprintf("point %d", i+1)
	}
	return [...]string{"the root", "the tip"}[i]
}

// anyAcross is a direction that lies along no piece of the path.
func (a Arm) anyAcross() geom.Vec {
	best, least := geom.Vec{}, math.Inf(1)
	for _, v := range []geom.Vec{{Z: 1}, {Y: 1}, {X: 1}, {X: 1, Y: 1, Z: 1}, {X: 1, Y: -1, Z: 1}, {X: 1, Y: 1, Z: -1}} {
		worst := 0.0
		for i := 1; i < len(a.Path); i++ {
			worst = math.Max(worst, math.Abs(a.Path[i].Sub(a.Path[i-1]).Unit().Dot(v.Unit())))
		}
		if worst < least {
			best, least = v.Unit(), worst
		}
	}
	return best
}

// turn reckons how sharply each piece of the path bends: the turn at every point is shared
// between its two pieces, the shorter taking more, so that a bend sampled in short pieces
// keeps its turn beside a long straight piece.
func (b *Beam) turn() {
	p := b.arm.Path
	b.turns = make([]geom.Vec, len(p)-1)
	for i := 1; i+1 < len(p); i++ {
		u, v := p[i].Sub(p[i-1]), p[i+1].Sub(p[i])
		axis := u.Cross(v)
		angle := u.AngleTo(v)
		if angle > geom.Deg(kinkDeg) {
			b.Kinks = append(b.Kinks, b.knots[i])
			continue
		}
		lu, lv := u.Norm(), v.Norm()
		turn := axis.Unit().Scale(angle)
		b.turns[i-1] = b.turns[i-1].Add(turn.Scale(lv / (lu + lv) / lu))
		b.turns[i] = b.turns[i].Add(turn.Scale(lu / (lu + lv) / lv))
	}
	if b.arm.Slender {
		clear(b.turns)
	}
}

// station lays out the section at arc length s, which lies on piece i.
func (b *Beam) station(i int, s float64) (station, error) {
	p := b.arm.Path
	f := (s - b.knots[i]) / (b.knots[i+1] - b.knots[i])
	st := station{s: s, p: p[i].Lerp(p[i+1], f), t: p[i+1].Sub(p[i]).Unit()}
	if k := b.turns[i].Norm(); k > 0 { // within a bend the tangent turns along the piece, too
		st.t = geom.RotateAbout(st.t, b.turns[i].Scale(1/k), k*(s-(b.knots[i]+b.knots[i+1])/2))
	}
	out := b.arm.Out[0]
	if len(b.arm.Out) > 1 {
		out = b.arm.Out[i].Lerp(b.arm.Out[i+1], f)
	}
	z := out.Across(st.t)
	if z.Norm() < 1e-3 {
		return st, fmt.Errorf("%.2f mm from the root the thickness direction runs along the arm: it must point across it", s)
	}
	st.z = z.Unit()
	st.y = st.z.Cross(st.t)
	if n := b.turns[i].Cross(st.t); n.Norm() > 0 { // towards the centre of the bend, times its curvature
		st.bend = geom.Vec2{X: n.Dot(st.y), Y: n.Dot(st.z)}
	}
	sec := b.arm.Sections
	if len(sec) == len(p) && len(sec) > 2 {
		st.cut = b.shapes.at(mix(sec[i], sec[i+1], f))
	} else {
		st.cut = b.shapes.at(mix(sec[0], sec[1], s/b.length))
	}
	return st, nil
}

func mix(a, b Section, f float64) Section {
	l := func(x, y float64) float64 { return x + (y-x)*f }
	return Section{Shape: a.Shape, Width: l(a.Width, b.Width), Thickness: l(a.Thickness, b.Thickness), Crest: l(a.crest(), b.crest()),
		Plinth: l(a.Plinth, b.Plinth), Flange: l(a.Flange, b.Flange), Web: l(a.Web, b.Web)}
}

// gather adds one station's share to the tip flexibility.
func (b *Beam) gather(st *station) {
	r := b.End().Sub(st.p)
	row := func(axis geom.Vec, moment bool) [6]float64 {
		if !moment {
			return [6]float64{axis.X, axis.Y, axis.Z}
		}
		l := axis.Cross(r) // axis·(r×f) = (axis×r)·f
		return [6]float64{l.X, l.Y, l.Z, axis.X, axis.Y, axis.Z}
	}
	n, my, mz := row(st.t, false), row(st.y, true), row(st.z, true)
	for i := range mz {
		mz[i] = -mz[i] // so that stress is b·z + c·y with b from My and c from -Mz
	}
	e, nu := b.arm.Metal.E, b.arm.Metal.Nu
	g := e / (2 * (1 + nu))
	add := func(c float64, u, v *[6]float64) {
		c *= st.weight
		for i := range u {
			for k := range v {
				b.phi[i][k] += c * u[i] * v[k]
			}
		}
	}
	inv := st.compliance()
	if !b.arm.Slender {
		shear := 1 / (shearFactor * g * st.cut.A)
		vy, vz := row(st.y, false), row(st.z, false)
		add(shear, &vy, &vy)
		add(shear, &vz, &vz)
		add(inv[0][0]/e, &n, &n)
		if st.bend != (geom.Vec2{}) {
			add(inv[0][1]/e, &n, &mz)
			add(inv[0][1]/e, &mz, &n)
			add(inv[0][2]/e, &n, &my)
			add(inv[0][2]/e, &my, &n)
		}
	}
	mx := row(st.t, true)
	add(1/(g*st.cut.J), &mx, &mx)
	add(inv[1][1]/e, &mz, &mz)
	add(inv[2][2]/e, &my, &my)
	if inv[1][2] != 0 {
		add(inv[1][2]/e, &my, &mz)
		add(inv[1][2]/e, &mz, &my)
	}
}

// compliance is the inverse of the stiffness of a section that may lie in a bend, for the
// strain (1, y, z)·R/r at distance r from the centre of the bend (Winkler and Bach): it
// turns the normal force, -Mz and My into the three coefficients of the stress.
func (st *station) compliance() [3][3]float64 {
	c := &st.cut.Constants
	if k := st.bend.Norm() * math.Sqrt(c.A); k < 1e-4 {
		det := c.Iw*c.It - c.Iyz*c.Iyz
		return [3][3]float64{{1 / c.A, 0, 0}, {0, c.It / det, -c.Iyz / det}, {0, -c.Iyz / det, c.Iw / det}}
	}
	var k [3][3]float64
	ky, kz := st.cut.ky, st.cut.kz
	for _, g := range st.cut.base.grains {
		y, z := g.y*ky, g.z*kz
		w := g.a * ky * kz * st.stretch(y, z)
		k[0][0] += w
		k[0][1] += w * y
		k[0][2] += w * z
		k[1][1] += w * y * y
		k[1][2] += w * y * z
		k[2][2] += w * z * z
	}
	k[1][0], k[2][0], k[2][1] = k[0][1], k[0][2], k[1][2]
	return invert3(k)
}

// tightest is the least R/r reckoned with: a bend whose inner fibre would lie at its very
// centre is taken as one that is a little wider.
const tightest = 0.05

// stretch is R/r: how much more a fibre towards the centre of the bend is strained, because
// it is shorter.
func (st *station) stretch(y, z float64) float64 {
	return 1 / math.Max(tightest, 1-y*st.bend.X-z*st.bend.Y)
}

func invert3(m [3][3]float64) (out [3][3]float64) {
	cof := func(a, b, c, d int) float64 { return m[a][c]*m[b][d] - m[a][d]*m[b][c] }
	det := m[0][0]*cof(1, 2, 1, 2) - m[0][1]*cof(1, 2, 0, 2) + m[0][2]*cof(1, 2, 0, 1)
	for i := range 3 {
		for k := range 3 {
			a, b := (k+1)%3, (k+2)%3
			c, d := (i+1)%3, (i+2)%3
			out[i][k] = cof(a, b, c, d) / det
		}
	}
	return out
}

// Length is the arm's length along its centre line [mm].
func (b *Beam) Length() float64 { return b.length }

// Wrench is a force and a moment acting on the tip.
type Wrench struct{ Force, Moment geom.Vec }

// Tip is how far the tip moves and turns under a wrench.
func (b *Beam) Tip(w Wrench) (move, turn geom.Vec) {
	in := [6]float64{w.Force.X, w.Force.Y, w.Force.Z, w.Moment.X, w.Moment.Y, w.Moment.Z}
	var out [6]float64
	for i := range out {
		for k, v := range in {
			out[i] += b.phi[i][k] * v
		}
	}
	return geom.V(out[0], out[1], out[2]), geom.V(out[3], out[4], out[5])
}

// Stiffness is the force per millimetre that a frictionless contact with unit normal n
// feels at the tip [N/mm].
func (b *Beam) Stiffness(n geom.Vec) float64 {
	move, _ := b.Tip(Wrench{Force: n})
	return 1 / move.Dot(n)
}

// Hold is the force that moves the tip by u in all three directions, its turning left free.
func (b *Beam) Hold(u geom.Vec) (geom.Vec, error) {
	a := mat.NewSymDense(3, nil)
	for i := range 3 {
		for k := i; k < 3; k++ {
			a.SetSym(i, k, b.phi[i][k])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(a) {
		return geom.Vec{}, errors.New("the arm cannot be moved in every direction: give a tip force instead, or leave slender off")
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, mat.NewVecDense(3, []float64{u.X, u.Y, u.Z})); err != nil {
		return geom.Vec{}, fmt.Errorf("finding the force that moves the tip by %v: %w", u, err)
	}
	return geom.V(x.AtVec(0), x.AtVec(1), x.AtVec(2)), nil
}

// Reaction is what the root must bear: force and moment about the root's centroid, as they
// act on the arm.
func (b *Beam) Reaction(w Wrench) Wrench {
	r := b.End().Sub(b.arm.Path[0])
	return Wrench{w.Force.Neg(), w.Moment.Add(r.Cross(w.Force)).Neg()}
}
