package mechanics

import (
	"math"

	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/placement"
	"halfpear/tooth"
)

// Range is an estimate: what is typical, and the band that tolerances and friction leave.
type Range struct{ Low, Typical, High float64 }

// widen takes v into the band.
func (r *Range) widen(v float64) { r.Low, r.High = min(r.Low, v), max(r.High, v) }

// Report is what mechanics has to say of a placed design. All of it is estimate, but for
// what a case is Sure of.
type Report struct {
	Holds     []Hold
	Retention Range      // of the whole denture along the path [N]
	Cases     []Case     // at the typical mucosa
	Band      [2][]Case  // the same at the softest and the stiffest mucosa
	Connector *Connector // nil where none could be reckoned
	Unknown   []Unknown  // what could not be reckoned
}

// Unknown is a part that could not be reckoned, and why; a part of no name is the whole.
type Unknown struct {
	Part design.ID
	Why  Reason
}

// Reason says why something could not be reckoned.
type Reason string

const (
	NoRest  Reason = "no rest"            // no rest is placed: nothing carries the denture
	NotLaid Reason = "arm not laid"       // the flexible arm is not placed
	NoCrown Reason = "crown not charted"  // the tip's crown is not charted
	NoMetal Reason = "metal not known"    // the material's figures are not known
	NoBeam  Reason = "sizes make no beam" // the sizes of the arm make no beam
)

// Assess reckons a placed design: each retentive arm, and where the denture comes to rest
// under the loads of chewing, biting off and sticky food. It takes some ten milliseconds, so
// that designs can be ranked by it: Measures gives what such a ranking wants.
func Assess(k *cast.Cast, c chart.Chart, d design.Design, p *placement.Placement) *Report {
	r := &Report{}
	resin := resinOf(p)
	for _, q := range p.Parts {
		if q.Part.Kind != design.Retainer {
			continue
		}
		for i := range q.Tips {
			h, why := holdOf(q, i, p, resin)
			if why != "" {
				r.Unknown = append(r.Unknown, Unknown{q.Part.ID, why})
				continue
			}
			if guided(p, h.Tooth) { // the tooth is pressed against a plane along the path
				h.Guide = Range{friction.Low * h.Side.Low, friction.Typical * h.Side.Typical, friction.High * h.Side.High}
			}
			r.Holds = append(r.Holds, h)
			r.Retention.Low += h.Withdrawal.Low + h.Guide.Low
			r.Retention.Typical += h.Withdrawal.Typical + h.Guide.Typical
			r.Retention.High += h.Withdrawal.High + h.Guide.High
		}
	}
	if major, why, ok := connectorOf(k, p); why != "" {
		r.Unknown = append(r.Unknown, Unknown{major.Part, why})
	} else if ok {
		r.Connector = &major
	}
	m := model{k: k, c: c, p: p, holds: r.Holds}
	m.gather()
	if len(m.rests) == 0 {
		r.Unknown = append(r.Unknown, Unknown{Why: NoRest})
		return r
	}
	loads := m.loads()
	r.Cases = m.under(loads, mucosaStiffness.Typical)
	r.Band = [2][]Case{m.under(loads, mucosaStiffness.Low), m.under(loads, mucosaStiffness.High)}
	for i := range r.Cases {
		r.Cases[i].Sure = agree(r.Cases[i], r.Band[0][i], r.Band[1][i])
	}
	return r
}

// Measures are the figures by which designs of one mouth compare: the worst of each over the
// loads, with its band over the stiffness of the mucosa. They are good for comparing, not as
// absolute values.
type Measures struct {
	Stress    float64 // greatest share of the proof stress that an arm bears
	Set       float64 // greatest set that an arm keeps [mm]
	Retention Range   // of the whole denture [N]
	Sinking   Range   // of a base under a bite [mm]
	Tipping   Range   // greatest moment that tips an abutment under a bite [N·mm]
	Indirect  Range   // greatest force on the indirect retainers under a pull, or what of it is held [N]
	Give      Range   // of the major connector under the standard load [mm]; nought where it was not reckoned
	Adrift    int     // bites and loads sideways that nothing holds
	Lifted    int     // sticky pulls that the clasps alone do not hold at the typical mucosa
	Pulls     int     // sticky pulls reckoned
	Held      float64 // of the pulls on the mean, the share that is held
	LeastHeld float64 // the least that is held of any pull [N]; the pull itself where all are held
}

// Measures gives the worst of each figure.
func (r *Report) Measures() Measures {
	m := Measures{Retention: r.Retention}
	if r.Connector != nil {
		m.Give = r.Connector.Sinks
	}
	for _, h := range r.Holds {
		m.Stress, m.Set = max(m.Stress, h.Ratio.Typical), max(m.Set, h.Set)
	}
	worst := func(to *Range, i int, of func(Case) float64) {
		if v := of(r.Cases[i]); v > to.Typical {
			*to = r.Over(i, of)
		}
	}
	for i, c := range r.Cases {
		switch {
		case c.Kind == Pull:
			held := 1.0
			if c.Free {
				m.Lifted++
				held = c.Held
			}
			m.Held += held
			if f := held * c.Force.Norm(); m.Pulls == 0 || f < m.LeastHeld {
				m.LeastHeld = f
			}
			m.Pulls++
			worst(&m.Indirect, i, func(c Case) float64 { return c.Indirect })
		case c.Free:
			m.Adrift++
		case c.Kind == Bite:
			worst(&m.Sinking, i, func(c Case) float64 { return c.Sinking })
			worst(&m.Tipping, i, func(c Case) float64 {
				most := 0.0
				for _, s := range c.Shares {
					most = max(most, s.Tipping())
				}
				return most
			})
		}
	}
	if m.Pulls > 0 {
		m.Held /= float64(m.Pulls)
	}
	return m
}

// Tipping is the greatest moment that a bite tips a tooth with [N·mm].
func (r *Report) Tipping(n tooth.Number) Range {
	var out Range
	of := func(c Case) float64 {
		for _, s := range c.Shares {
			if s.Tooth == n {
				return s.Tipping()
			}
		}
		return 0
	}
	for i, c := range r.Cases {
		if c.Kind == Bite && !c.Free && of(c) > out.Typical {
			out = r.Over(i, of)
		}
	}
	return out
}

// OnBite is what a retainer's tip does under the bite on its own side that moves it most,
// or of all bites where none is on its side; sure where that is so at every stiffness of the
// mucosa.
func (r *Report) OnBite(id design.ID) (grip Grip, sure bool) {
	most, own := -1.0, false
	for i, c := range r.Cases {
		if c.Kind != Bite || c.Free {
			continue
		}
		for k, t := range c.Tips {
			same := t.Tooth.Right() == c.Tooth.Right()
			if t.Part != id || own && !same || own == same && math.Abs(t.Along) <= most {
				continue
			}
			own, most, grip, sure = same, math.Abs(t.Along), t.Grip(), true
			for _, band := range r.Band {
				sure = sure && i < len(band) && !band[i].Free && band[i].Tips[k].Grip() == grip
			}
		}
	}
	return grip, sure
}

// Over is a figure of one case with its band over the stiffness of the mucosa; a stiffness
// at which nothing holds the denture has no part in it.
func (r *Report) Over(i int, of func(Case) float64) Range {
	v := of(r.Cases[i])
	out := Range{v, v, v}
	for _, band := range r.Band {
		if i < len(band) && !band[i].Free {
			out.widen(of(band[i]))
		}
	}
	return out
}
