package mechanics

import (
	"math"

	"halfpear/geom"
)

// shapes gives the section anywhere along an arm without solving its torsion anew each
// time: similar sections are one shape scaled; of forms with two measures the torsion is
// solved at set aspects, the same for all arms, and interpolated between them; of others at
// three places between the first and the last.
type shapes struct {
	similar bool
	one     profile // of thickness 1
	width   float64 // of one
	nodes   []float64
	solved  []torsion
}

// cut is the section at one place: a profile stretched by ky across its width and kz
// through its thickness.
type cut struct {
	Constants
	base   *profile
	ky, kz float64
	solved []torsion  // up to three
	weight [3]float64 // of each
	t      float64    // thickness
}

// aspectStep is the ratio of one set aspect to the next: the square root of the square root
// of two, so that quadratic interpolation is good to a thousandth.
var aspectStep = math.Pow(2, 0.25)

func newShapes(sections []Section) shapes {
	lo, hi := math.Inf(1), 0.0
	same := true
	first := resize(sections[0], 1/sections[0].Thickness)
	for _, s := range sections {
		u := resize(s, 1/s.Thickness)
		lo, hi = math.Min(lo, u.Width), math.Max(hi, u.Width)
		same = same && math.Abs(u.Width-first.Width)+math.Abs(u.Crest-first.Crest)+math.Abs(u.Plinth-first.Plinth)+
			math.Abs(u.Flange-first.Flange)+math.Abs(u.Web-first.Web) < 1e-12
	}
	sh := shapes{similar: same, one: profileOf(first), width: first.Width}
	solve := func(width float64) {
		s := first
		if s.Shape == HalfPear && oneMeasure(sections) {
			s.Crest = crestShare
		}
		s.Width = width
		sh.nodes = append(sh.nodes, width)
		sh.solved = append(sh.solved, torsionOf(s, profile{}))
	}
	switch {
	case same:
		solve(first.Width)
	case oneMeasure(sections):
		from, to := int(math.Floor(math.Log(lo)/math.Log(aspectStep))), int(math.Ceil(math.Log(hi)/math.Log(aspectStep)))
		for k := from; k <= max(to, from+2); k++ {
			solve(math.Pow(aspectStep, float64(k)))
		}
	default:
		if hi-lo < 1e-9 {
			hi = lo * 1.01 // the aspect stays while another measure changes
		}
		for i := range 3 {
			solve(lo + (hi-lo)*float64(i)/2)
		}
	}
	return sh
}

// stretches tells whether every section of the form is one profile stretched.
func stretches(s Section) bool {
	switch s.Shape {
	case Round, Ellipse, Rectangle, HalfRound, HalfOval:
		return true
	}
	return false
}

// oneMeasure tells whether the aspect alone decides the form of every section.
func oneMeasure(sections []Section) bool {
	for _, s := range sections {
		if !stretches(s) && (s.Shape != HalfPear || math.Abs(s.crest()-crestShare*s.Thickness) > 1e-9*s.Thickness) {
			return false
		}
	}
	return true
}

func resize(s Section, f float64) Section {
	if s.Shape == HalfPear {
		s.Crest = s.crest()
	}
	return Section{s.Shape, s.Width * f, s.Thickness * f, s.Crest * f, s.Plinth * f, s.Flange * f, s.Web * f}
}

// compact grows with width and thickness as the torsion constant of an ellipse does.
func compact(w, t float64) float64 { return w * w * w * t * t * t / (w*w + t*t) }

func (sh *shapes) at(s Section) cut {
	t := s.Thickness
	c := cut{base: &sh.one, ky: s.Width / sh.width, kz: t, solved: sh.solved, t: t}
	if !sh.similar && !stretches(s) {
		p := profileOf(s)
		c.base, c.ky, c.kz = &p, 1, 1
	}
	p, ky, kz := c.base, c.ky, c.kz
	c.Constants = Constants{A: p.A * ky * kz, Y: p.Y * ky, Z: p.Z * kz,
		It: p.It * ky * kz * kz * kz, Iw: p.Iw * ky * ky * ky * kz, Iyz: p.Iyz * ky * ky * kz * kz}
	if sh.similar {
		c.weight[0] = 1
		c.J = sh.solved[0].j * t * t * t * t
		return c
	}
	// Quadratic interpolation in the aspect, of the torsion constant against that of an
	// ellipse, because their ratio hardly changes.
	a, from := s.Width/t, 0
	for from+3 < len(sh.nodes) && a > sh.nodes[from+1]*0.5+sh.nodes[from+2]*0.5 {
		from++
	}
	n := sh.nodes[from : from+3]
	c.solved = sh.solved[from : from+3]
	for i := range n {
		j, k := (i+1)%3, (i+2)%3
		w := (a - n[j]) * (a - n[k]) / ((n[i] - n[j]) * (n[i] - n[k]))
		c.weight[i] = w
		c.J += w * c.solved[i].j / compact(n[i], 1) * compact(s.Width, t)
	}
	return c
}

// twist is the shear stress at fibre k per unit torque, and how far the fibre leaves its
// plane per unit twist.
func (c *cut) twist(k int) (tau, warp float64) {
	for i := range c.solved {
		tau += c.weight[i] * c.solved[i].tau[k]
		warp += c.weight[i] * c.solved[i].warp[k]
	}
	return tau / (c.t * c.t * c.t), warp * c.t * c.t
}

// Stress is what the metal bears across one section.
type Stress struct {
	At      float64 // from the root [mm]
	Tension float64 // largest fibre stress, 0 or above [MPa]
	Press   float64 // smallest fibre stress, 0 or below
	Mises   float64 // largest equivalent stress, fibre stress and torsion together
	Torque  float64 // about the centre line [N·mm]
}

// StressAt is the stress at arc length s under a wrench on the tip. In a bend it is that of
// a curved beam: higher on the inside.
func (b *Beam) StressAt(w Wrench, s float64) Stress {
	st, err := b.station(b.pieceAt(s), s)
	if err != nil {
		return Stress{At: s}
	}
	return b.stress(w, &st)
}

// pieceAt is the piece of the path that arc length s lies on.
func (b *Beam) pieceAt(s float64) int {
	i := 0
	for i+2 < len(b.knots) && b.knots[i+1] < s {
		i++
	}
	return i
}

func (b *Beam) stress(w Wrench, st *station) Stress {
	m := w.Moment.Add(b.arm.Path[len(b.arm.Path)-1].Sub(st.p).Cross(w.Force))
	out := Stress{At: st.s, Torque: m.Dot(st.t)}
	inv := st.compliance()
	load := [3]float64{w.Force.Dot(st.t), -m.Dot(st.z), m.Dot(st.y)}
	var c [3]float64
	for i := range c {
		for k, l := range load {
			c[i] += inv[i][k] * l
		}
	}
	// Along a bend the torque changes by the bending moment about the direction to the
	// centre, and uneven twist strains what warps: E over G is 2(1+nu).
	uneven := 2 * (1 + b.arm.Metal.Nu) / st.cut.J * (st.bend.X*m.Dot(st.y) + st.bend.Y*m.Dot(st.z))
	for k, f := range st.cut.base.fibres {
		y, z := f.X*st.cut.ky, f.Y*st.cut.kz
		stretch := st.stretch(y, z)
		tau, warp := st.cut.twist(k)
		sigma := (c[0]+c[1]*y+c[2]*z)*stretch + uneven*warp
		tau *= out.Torque * (1 + torsionInBend*(stretch-1))
		out.Tension = math.Max(out.Tension, sigma)
		out.Press = math.Min(out.Press, sigma)
		out.Mises = math.Max(out.Mises, math.Sqrt(sigma*sigma+3*tau*tau))
	}
	return out
}

// torsionInBend is how much of a fibre's shortening on the inside of a bend goes into its
// torsional stress: three quarters for round wire (A. M. Wahl, Mechanical Springs: from
// memory), taken for all shapes.
const torsionInBend = 0.75

// plasticReserve is how much more moment than at first yield a section bears when all of it
// has yielded, bent across its thickness.
func plasticReserve(s Shape) float64 {
	switch s {
	case Round, Ellipse:
		return 16 / (3 * math.Pi)
	case HalfRound, HalfOval, HalfPear:
		return 1.856 // of the half-round
	}
	return 1.5
}

// Yield is the force with which a tip that is moved by u along a unit direction presses on
// what moves it, where the metal yields at its proof stress and hardens no more, and the set
// that stays of the movement afterwards. Sections yield from the outside in: a rectangle as
// in the textbooks of plastic bending, other forms by the same law with their own reserve.
func (b *Beam) Yield(dir geom.Vec, u float64) (force, set float64) {
	k := b.Stiffness(dir)
	proof, reserve := b.arm.Metal.Proof, plasticReserve(b.arm.Sections[0].Shape)
	type part struct{ give, ratio float64 } // to the tip's movement and to the proof stress, for 1 N
	var parts []part
	w := Wrench{Force: dir}
	for i := 0; i+1 < len(b.marks); i++ {
		s := (b.marks[i] + b.marks[i+1]) / 2
		st, err := b.station(b.pieceAt(s), s)
		if err != nil || proof <= 0 {
			return k * u, 0
		}
		p := part{b.give(w, &st) * (b.marks[i+1] - b.marks[i]), b.stress(w, &st).Mises / proof}
		if s < b.ClampZone() { // the clamp itself bears up what lies beside it
			p.ratio = 0
		}
		parts = append(parts, p)
	}
	// What the parts give together for 1 N is taken as the beam's own flexibility.
	sum := 0.0
	for _, p := range parts {
		sum += p.give
	}
	move := func(f float64) float64 {
		d := 0.0
		for _, p := range parts {
			g := 1.0
			if m := f * p.ratio; m >= reserve {
				return math.Inf(1)
			} else if m > 1 {
				g = math.Pow((reserve-1)/(reserve-m), reserve-1) / m
			}
			d += f * p.give / (sum * k) * g
		}
		return d
	}
	lo, hi := 0.0, k*u
	for range 40 {
		if mid := (lo + hi) / 2; move(mid) < u {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi, math.Max(0, u-hi/k)
}

// give is how far the tip moves along the force of a wrench for each millimetre of the arm
// at a station, by bending, stretching and twist.
func (b *Beam) give(w Wrench, st *station) float64 {
	m := w.Moment.Add(b.End().Sub(st.p).Cross(w.Force))
	load := [3]float64{w.Force.Dot(st.t), -m.Dot(st.z), m.Dot(st.y)}
	inv := st.compliance()
	sum := 0.0
	for i, a := range load {
		for k, c := range load {
			sum += inv[i][k] * a * c
		}
	}
	e := b.arm.Metal.E
	t := m.Dot(st.t)
	return sum/e + t*t*2*(1+b.arm.Metal.Nu)/(e*st.cut.J)
}

// Fibre is the larger of tension and pressure.
func (s Stress) Fibre() float64 { return math.Max(s.Tension, -s.Press) }

// Peak is the section under the greatest equivalent stress, looked for from arc length
// from to to. Pieces' ends are looked at first and the place is then closed in on.
func (b *Beam) Peak(w Wrench, from, to float64) Stress {
	best, lo, hi := b.StressAt(w, from), from, to
	last, rising := from, true
	look := func(s float64) {
		st := b.StressAt(w, s)
		switch {
		case st.Mises > best.Mises:
			best, lo, hi, rising = st, last, to, true
		case rising:
			hi, rising = s, false
		}
		last = s
	}
	for _, s := range b.marks {
		if s > from && s < to {
			look(s)
		}
	}
	look(to)
	const golden = 0.381966
	a, c := lo+golden*(hi-lo), hi-golden*(hi-lo)
	sa, sc := b.StressAt(w, a), b.StressAt(w, c)
	for range 12 { // to a hundredth of a piece
		for _, st := range []Stress{sa, sc} {
			if st.Mises > best.Mises {
				best = st
			}
		}
		if sa.Mises > sc.Mises {
			hi, c, sc = c, a, sa
			a = lo + golden*(hi-lo)
			sa = b.StressAt(w, a)
		} else {
			lo, a, sa = a, c, sc
			c = hi - golden*(hi-lo)
			sc = b.StressAt(w, c)
		}
	}
	return best
}

// ClampZone is how far from the root the stress of a real clamp differs from a beam's: one
// width of the root section.
func (b *Beam) ClampZone() float64 { return math.Min(b.arm.Sections[0].Width, b.length/2) }

// PeakOf is the greatest stress anywhere on the arm.
func (b *Beam) PeakOf(w Wrench) Stress { return b.Peak(w, 0, b.length) }

// Stresses gives n sections at equal distances, root to tip.
func (b *Beam) Stresses(w Wrench, n int) []Stress {
	out := make([]Stress, n)
	for i := range out {
		out[i] = b.StressAt(w, b.length*float64(i)/float64(max(1, n-1)))
	}
	return out
}

// End is the tip's place.
func (b *Beam) End() geom.Vec { return b.arm.Path[len(b.arm.Path)-1] }
