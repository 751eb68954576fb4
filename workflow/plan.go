package workflow

import (
	"context"
	"math"
	"sync"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/mechanics"
	"halfpear/order"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Plan is one design on a study's cast: laid, reckoned, prepared for and checked.
type Plan struct {
	*Study
	Design    design.Design
	Placement *placement.Placement
	Mechanics *mechanics.Report
	Prep      prep.Plan
	Report    rulebook.Report
}

// handSpread is how far a reading with an undercut gauge may be off [mm]. Our own choice:
// a fifth of the smallest gauge.
const handSpread = 0.05

// Undercuts are what is known of the standing teeth's undercuts: read with a gauge where
// it was, else measured on the cast.
func (s *Study) Undercuts() rulebook.Undercuts {
	return s.gauged().Over(rulebook.UndercutsOf(s.Crowns, s.Book.Limit("tip.gmClear"), s.Cast.Origin, max(s.spread(), s.Book.Limit("scan.uncertainty"))))
}

// Readings sets the undercuts read by hand beside the scan's at the same place; none on a
// cast made from the chart, whose crowns are averages.
func (s *Study) Readings() []rulebook.Gauged {
	if s.Cast.Origin == unit.Average {
		return nil
	}
	var out []rulebook.Gauged
	for _, n := range s.Cast.Standing() {
		crown, ok := s.Crowns[n]
		if !ok {
			continue
		}
		for _, site := range tooth.Sites {
			u, ok := s.Case.Survey.Undercuts[n][site]
			if !ok {
				continue
			}
			depth, spread := crown.Gauge(site, u.AboveMarginMM)
			out = append(out, rulebook.Gauged{Tooth: n, Site: site,
				ByHand: unit.MM(u.MM, unit.Entered, handSpread),
				Scan:   unit.MM(depth, unit.Measured, spread+max(s.spread(), s.Book.Limit("scan.uncertainty")))})
		}
	}
	return out
}

// scanned are the measures of the soft tissues on a scan; none on a made cast, which has
// them from the chart or from averages.
func (s *Study) scanned() *survey.Tissues {
	if s.Cast.Origin == unit.Average {
		return nil
	}
	return &s.Tissues
}

// gauged are the undercuts read by hand.
func (s *Study) gauged() rulebook.Undercuts {
	out := rulebook.Undercuts{}
	for n, sites := range s.Case.Survey.Undercuts {
		m := map[tooth.Site]rulebook.Reading{}
		for site, u := range sites {
			m[site] = rulebook.Reading{MM: u.MM, AboveMarginMM: u.AboveMarginMM, Origin: unit.Entered, Spread: handSpread}
		}
		out[n] = m
	}
	return out
}

// spread is how far a length on the cast may be off [mm]; 0 takes the rulebook's. A made
// cast is exact in itself: that its sizes are averages is said by the origin of each
// number, and would drown every finding if it were a spread too.
func (s *Study) spread() float64 {
	if s.Cast.Origin == unit.Average {
		return 0
	}
	return s.Cast.Spread
}

// Propose drafts up to n designs, best first. looked, where it is not nil, is told how many
// designs were laid on the cast so far.
func (s *Study) Propose(ctx context.Context, n int, looked func(int)) ([]proposal.Proposal, error) {
	var mu sync.Mutex
	count := 0
	return proposal.Propose(proposal.Input{
		Chart:     s.Case.Chart,
		Book:      s.Book,
		Undercuts: s.Undercuts(),
		Gauged:    s.Readings(),
		Tissues:   s.scanned(),
		Spread:    s.spread(),
		Path:      s.path(),
		Order:     s.orderOf(nil),
		Most:      n,
		Look: func(d design.Design) (proposal.Seen, error) {
			if err := ctx.Err(); err != nil {
				return proposal.Seen{}, err
			}
			mu.Lock()
			count++
			if looked != nil {
				looked(count)
			}
			mu.Unlock()
			laid, err := s.Lay(d)
			if err != nil {
				return proposal.Seen{}, err
			}
			// What is reckoned is an estimate: it is shown and weighed within a band, and the
			// checks of forces say borderline where it does not tell.
			r := mechanics.Assess(s.Cast, s.Case.Chart, d, laid)
			return proposal.Seen{Placement: laid, CastIs: s.Cast.Origin, Spread: s.spread(), Mechanics: r, Forces: s.forcesOf(r)}, nil
		},
	})
}

// orderOf is the case's order as the rulebook asks for it, with a design; every design that
// is proposed brings its own connector.
func (s *Study) orderOf(d *design.Design) rulebook.Order {
	c := s.Case
	c.Design = d
	f := order.RulebookFields(c, s.Class, s.Path)
	if d == nil && f != nil && f["connector"] == "" {
		f["connector"] = "of the proposal"
	}
	return rulebook.Order{Fields: f}
}

// returned is what was measured on the framework that came back; nil where none has.
func (s *Study) returned() *rulebook.Returned {
	b := s.Case.Returned
	if b == nil {
		return nil
	}
	read := func(v *float64) *unit.Quantity {
		if v == nil {
			return nil
		}
		q := unit.MM(*v, unit.Entered, handSpread)
		return &q
	}
	return &rulebook.Returned{RestGap: read(b.RestGapMM), Difference: read(b.DifferenceMM), Absent: b.Absent}
}

// Lay lays a design on the study's cast, to the school's limits.
func (s *Study) Lay(d design.Design) (*placement.Placement, error) {
	return placement.Lay(s.Cast, s.Along, s.Vertical, d, s.Book.Laying())
}

// path is the path of insertion as the rulebook asks for it, with the tripod marks that the
// papers give. A cast that shows no place for them leaves them to be set by hand.
func (s *Study) path() *rulebook.Path {
	out := &rulebook.Path{AnteriorDeg: s.Path.AnteriorDeg, RightDeg: s.Path.RightDeg, TiltDeg: s.Path.TiltDeg(), Tripod: s.Tripod}
	for _, mark := range out.Tripod {
		if n := s.toothAt(mark); n != 0 {
			out.TripodOn = append(out.TripodOn, n)
		}
	}
	return out
}

// toothAt is the tooth whose surface is nearest a point of the cast; 0 where that is gum.
func (s *Study) toothAt(q geom.Vec) tooth.Number {
	near, at := math.Inf(1), 0
	for i, f := range s.Cast.Mesh.Faces {
		v := s.Cast.Mesh.Vertices
		if d := v[f[0]].Add(v[f[1]]).Add(v[f[2]]).Scale(1.0 / 3).Dist(q); d < near {
			near, at = d, i
		}
	}
	if at < len(s.Cast.Labels) {
		return s.Cast.Labels[at]
	}
	return 0
}

// Plan lays, reckons, prepares and checks a design.
func (s *Study) Plan(d design.Design) (*Plan, error) {
	laid, err := s.Lay(d)
	if err != nil {
		return nil, err
	}
	return s.PlanLaid(d, laid)
}

// PlanLaid is Plan of a design that was laid already, as when only a part of it changed.
func (s *Study) PlanLaid(d design.Design, laid *placement.Placement) (*Plan, error) {
	p := &Plan{Study: s, Design: d, Placement: laid, Mechanics: mechanics.Assess(s.Cast, s.Case.Chart, d, laid)}
	known := s.Undercuts()
	p.Prep = prep.Make(prep.Input{Chart: s.Case.Chart, Class: s.Class, Design: d, Placement: laid, Amounts: s.Book.Amounts(),
		Undercut: func(n tooth.Number, site tooth.Site) (float64, bool) {
			r, ok := known.Found(n, site)
			return r.MM, ok
		}})
	p.Report = s.Book.Check(rulebook.Input{
		Chart:     s.Case.Chart,
		Undercuts: known,
		Gauged:    s.Readings(),
		Tissues:   s.scanned(),
		Path:      s.path(),
		Design:    &p.Design,
		Placement: laid,
		CastIs:    s.Cast.Origin,
		Spread:    s.spread(),
		Plan:      &p.Prep,
		Forces:    s.forcesOf(p.Mechanics),
		Order:     s.orderOf(&p.Design),
		Returned:  s.returned(),
	})
	return p, nil
}

// How far a computed figure may be off beside its band, as a share of it: the beam and the
// yielding of its stress by 15 % (against solid finite elements), a withdrawal force by half.
const (
	stressShare = 0.15
	forceShare  = 0.5
)

// forcesOf hands the rulebook what it judges of mechanics. On a made cast the arms have
// average lengths, so what follows from them is no finding of this mouth.
func (s *Study) forcesOf(r *mechanics.Report) *rulebook.Forces {
	origin := unit.Computed
	if s.Cast.Origin == unit.Average {
		origin = unit.Average
	}
	quantity := func(v mechanics.Range, share float64, u string) *unit.Quantity {
		return &unit.Quantity{Value: v.Typical, Unit: u, Spread: max(v.High-v.Typical, v.Typical-v.Low, share*v.Typical), Origin: origin}
	}
	plain := func(v, share float64, u string) *unit.Quantity {
		return quantity(mechanics.Range{Low: v, Typical: v, High: v}, share, u)
	}
	m := r.Measures()
	out := &rulebook.Forces{Arms: map[design.ID]rulebook.ArmForces{}, Tipping: map[tooth.Number]unit.Quantity{}, Pulls: m.Pulls, Lifted: m.Lifted}
	for _, first := range r.Holds {
		h, _ := r.Worst(first.Part)
		a := rulebook.ArmForces{Hold: quantity(h.Withdrawal, forceShare, "N")}
		if h.Ratio.Typical > 0 {
			a.StressRatio = quantity(h.Ratio, stressShare, "")
			a.MayGo = plain(h.MayGo, stressShare, "mm")
			a.Set = plain(h.Set, forceShare, "mm")
		}
		if h.AsWire > 0 {
			a.AsWire = plain(h.AsWire, stressShare, "")
		}
		if grip, sure := r.OnBite(h.Part); sure {
			a.OnBite = string(grip)
		}
		out.Arms[h.Part] = a
	}
	for _, n := range s.Cast.Standing() {
		if v := r.Tipping(n); v.Typical > 0 {
			out.Tipping[n] = *quantity(v, forceShare, "N·mm")
		}
	}
	if len(r.Holds) > 0 {
		out.Retention = quantity(r.Retention, forceShare, "N")
	}
	if len(r.Cases) > 0 {
		out.LeastHeld = plain(m.LeastHeld, forceShare, "N")
		out.Sinking, out.Indirect = quantity(m.Sinking, 0, "mm"), quantity(m.Indirect, 0, "N")
	}
	if c := r.Connector; c != nil {
		out.Gives, out.Twists = quantity(c.Sinks, 0, "mm"), quantity(c.TwistDeg, 0, "deg")
	}
	return out
}

// PlanOf is the plan of the design the case holds.
func (s *Study) PlanOf() (*Plan, error) {
	if s.Case.Design == nil || len(s.Case.Design.Parts) == 0 {
		return nil, words.Errorf("the case has no design: propose one, or write its parts under design")
	}
	return s.Plan(*s.Case.Design)
}
