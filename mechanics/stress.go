package mechanics

import (
	"math"

	"halfpear/geom"
)

// shapes gives the section anywhere along an arm without solving its torsion anew each
// time: similar sections are one shape scaled; of others the torsion is solved at three
// aspects and interpolated.
type shapes struct {
	similar bool
	one     profile // of thickness 1
	width   float64 // of one
	nodes   [3]float64
	solved  [3]torsion
}

// cut is the section at one place: a profile stretched by ky across its width and kz
// through its thickness.
type cut struct {
	Constants
	base   *profile
	ky, kz float64
	solved *[3]torsion
	weight [3]float64 // of each solved torsion
	t      float64    // thickness
}

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
	if same {
		sh.solved[0] = torsionOf(first, sh.one)
		return sh
	}
	if hi-lo < 1e-9 {
		hi = lo * 1.01 // the aspect stays while another measure changes
	}
	for i := range sh.nodes {
		s := first
		s.Width = lo + (hi-lo)*float64(i)/2
		sh.nodes[i] = s.Width
		sh.solved[i] = torsionOf(s, profile{})
	}
	return sh
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
	c := cut{base: &sh.one, ky: s.Width / sh.width, kz: t, solved: &sh.solved, t: t}
	if !sh.similar {
		switch s.Shape {
		case Round, Ellipse, Rectangle, HalfRound, HalfOval:
		default:
			p := profileOf(s)
			c.base, c.ky, c.kz = &p, 1, 1
		}
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
	a, n := s.Width/t, &sh.nodes
	for i := range n {
		j, k := (i+1)%3, (i+2)%3
		w := (a - n[j]) * (a - n[k]) / ((n[i] - n[j]) * (n[i] - n[k]))
		c.weight[i] = w
		c.J += w * sh.solved[i].j / compact(n[i], 1) * compact(s.Width, t)
	}
	return c
}

// twist is the shear stress at fibre k per unit torque, and how far the fibre leaves its
// plane per unit twist.
func (c *cut) twist(k int) (tau, warp float64) {
	for i, w := range c.weight {
		if w != 0 {
			tau += w * c.solved[i].tau[k]
			warp += w * c.solved[i].warp[k]
		}
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
	i := 0
	for i+2 < len(b.knots) && b.knots[i+1] < s {
		i++
	}
	st, err := b.station(i, s)
	if err != nil {
		return Stress{At: s}
	}
	return b.stress(w, &st)
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
