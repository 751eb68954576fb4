package proposal

import (
	"math"

	"halfpear/design"
	"halfpear/mechanics"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// Whole designs are compared by points; fewer are better. A stop outweighs everything. A
// step down the school's list weighs as much as three cautions, so that the school's order
// holds unless several findings speak against it. Measures together weigh as much as that
// step, so they decide between designs that school and findings leave level, and overturn
// the school only together with findings. Mechanics is an estimate: it weighs less than
// one caution. All weights are ours.
const (
	perStop      = 100000.0
	perStep      = 30.0
	perCaution   = 10.0
	perNote      = 1.0
	forSupport   = 8.0 // for a support polygon of no area, beside the largest the teeth allow
	forIndirect  = 8.0 // for an indirect retainer on the fulcrum line
	forBalance   = 6.0 // for retention on one side only
	forCover     = 6.0 // for every margin covered; twice that where the school wants them free
	perPart      = 0.1
	forMechanics = 6.0 // at most, for the worse of designs on the same cast
)

// MeasureNames are the measures of a proposal in the order they are shown; those that are
// not known are absent. Package words has their names for people.
var MeasureNames = []string{"support_area", "rests_off_line", "indirect_ratio", "retention_balance", "margin_cover", "clasps", "rests", "parts",
	"retention", "arm_stress", "side_load", "base_sinking"}

// Judged is how a design was weighed against the others, in points; fewer are better.
type Judged struct {
	Stops, Cautions, Notes int
	Steps                  float64 // down the school's lists of choices
	Findings               float64 // points for cautions and notes
	School                 float64 // for the steps
	Measures               float64
	Mechanics              float64 // an estimate, 0 to 6
}

// Points is the sum; stops are counted first and apart.
func (j Judged) Points() float64 { return j.Findings + j.School + j.Measures + j.Mechanics }

// judge checks a draft and weighs it, but for the mechanics.
func (s *search) judge(d *draft, seen Seen) {
	undercut := func(n tooth.Number, site tooth.Site) (float64, bool) {
		r, ok := s.in.Undercuts.Found(n, site)
		return r.MM, ok
	}
	d.Seen = seen
	d.Preparations = prep.Make(prep.Input{Chart: s.in.Chart, Class: s.class, Design: d.Design, Placement: seen.Placement, Undercut: undercut, Amounts: s.book.Amounts()})
	in := rulebook.Input{Chart: s.in.Chart, Undercuts: s.in.Undercuts, Gauged: s.in.Gauged, Tissues: s.in.Tissues, Path: s.in.Path, Design: &d.Design, Placement: seen.Placement, CastIs: seen.CastIs, Spread: seen.Spread,
		Plan: &d.Preparations, Treated: true, Order: s.in.Order, Forces: seen.Forces}
	facts := rulebook.Gather(s.book, in)
	d.Report = s.book.Judge(facts)
	d.Measures = s.measures(d.Design, facts, seen)
	j := Judged{Steps: d.steps, School: perStep * d.steps, Measures: s.points(d.Design, d.Measures)}
	for _, f := range d.Report.Findings {
		if f.Status != rulebook.Failed || atOrder[f.Rule] {
			continue
		}
		switch {
		case f.Severity == rulebook.Stop:
			j.Stops++
		case reckoned[f.Rule]:
			// weighed with the mechanics
		case f.Severity == rulebook.Caution:
			j.Cautions++
		default:
			j.Notes++
		}
	}
	j.Findings = perCaution*float64(j.Cautions) + perNote*float64(j.Notes)
	d.Judged = j
	d.score = perStop*float64(j.Stops) + j.Points()
}

// reckoned are the checks of what mechanics estimates.
var reckoned = map[rulebook.RuleID]bool{"CHK-110": true, "CHK-111": true}

// measures are the numbers that whole designs are compared by. What is read on the cast
// stands for the average where both are known.
func (s *search) measures(d design.Design, facts *rulebook.Facts, seen Seen) map[string]unit.Quantity {
	out := map[string]unit.Quantity{
		"parts":        {Value: float64(len(d.Parts)), Origin: unit.Computed},
		"rests":        {Value: float64(len(d.Of(design.Rest))), Origin: unit.Computed},
		"support_area": {Value: rulebook.SupportArea(d), Unit: "mm²", Origin: unit.Average},
		"margin_cover": {Value: rulebook.MarginCover(s.in.Chart, d), Origin: unit.Average},
	}
	copyFact := func(name, fact string) {
		if v, ok := facts.Case.Lookup(fact); ok {
			if x, ok := v.V.(float64); ok {
				out[name] = unit.Quantity{Value: x, Unit: v.Unit, Origin: v.Origin, Spread: v.Spread}
			}
		}
	}
	copyFact("indirect_ratio", "whole.indirect_ratio")
	copyFact("rests_off_line", "design.rests_off_line_mm")
	copyFact("margin_cover", "whole.margin_cover")
	clasps, left, right := 0, 0.0, 0.0
	for _, p := range d.Of(design.Retainer) {
		if p.Undercut == nil {
			continue
		}
		clasps++
		hold := 1.0
		if seen.Mechanics != nil {
			if h, ok := seen.Mechanics.Hold(p.ID); ok {
				hold = h.Withdrawal.Typical
			}
		}
		if p.Tooth.Right() {
			right += hold
		} else {
			left += hold
		}
	}
	out["clasps"] = unit.Quantity{Value: float64(clasps), Origin: unit.Computed}
	if left+right > 0 {
		out["retention_balance"] = unit.Quantity{Value: math.Min(left, right) / math.Max(left, right), Origin: unit.Computed}
	}
	if seen.Mechanics != nil {
		for name, q := range reckon(seen.Mechanics) {
			out[name] = q
		}
	}
	return out
}

// points weighs the measures.
func (s *search) points(d design.Design, m map[string]unit.Quantity) float64 {
	sum := perPart * m["parts"].Value
	if s.reach > 0 {
		sum += forSupport * (1 - math.Min(1, m["support_area"].Value/s.reach))
	}
	if lever := rulebook.LeverOf(s.book, s.in.Chart, s.class, d); lever.Known {
		sum += forIndirect * (1 - math.Min(1, m["indirect_ratio"].Value/s.book.Limit("ind.ratioGood")))
	}
	sum += forBalance * (1 - m["retention_balance"].Value)
	cover := forCover
	if s.book.Base == "open-hygienic" {
		cover *= 2
	}
	return sum + cover*m["margin_cover"].Value
}

// fullReach is the support area of rests on every fit tooth.
func (s *search) fullReach() float64 {
	var d design.Design
	for _, n := range tooth.All(s.in.Chart.Arch) {
		if !s.fit(n) {
			continue
		}
		for _, site := range []tooth.Surface{tooth.Mesial, tooth.Distal} {
			d.Parts = append(d.Parts, design.Part{Kind: design.Rest, Tooth: n, Site: site})
		}
	}
	return rulebook.SupportArea(d)
}

// loads are the mechanical measures of a design at the softest, the typical and the
// stiffest mucosa; less is better.
func loads(r *mechanics.Report) (sinking, side [3]float64) {
	for i, list := range [3][]mechanics.Case{r.Band[0], r.Cases, r.Band[1]} {
		for _, c := range list {
			if c.Free {
				continue
			}
			if c.Kind == mechanics.Bite {
				sinking[i] = math.Max(sinking[i], c.Sinking)
			}
			for _, t := range c.Shares {
				side[i] = math.Max(side[i], math.Abs(t.Side))
			}
		}
	}
	return sinking, side
}

// reckon is what mechanics estimates of a design, with the band that mucosa, tolerances
// and friction leave.
func reckon(r *mechanics.Report) map[string]unit.Quantity {
	out := map[string]unit.Quantity{}
	band := func(name, u string, v [3]float64) {
		if v[1] == 0 {
			return
		}
		lo, hi := math.Min(v[0], math.Min(v[1], v[2])), math.Max(v[0], math.Max(v[1], v[2]))
		out[name] = unit.Quantity{Value: v[1], Unit: u, Spread: (hi - lo) / 2, Origin: unit.Computed}
	}
	sinking, side := loads(r)
	band("base_sinking", "mm", sinking)
	band("side_load", "N", side)
	if len(r.Holds) > 0 {
		band("retention", "N", [3]float64{r.Retention.Low, r.Retention.Typical, r.Retention.High})
	}
	worst := [3]float64{}
	for _, h := range r.Holds {
		if h.Ratio.Typical > worst[1] {
			worst = [3]float64{h.Ratio.Low, h.Ratio.Typical, h.Ratio.High}
		}
	}
	band("arm_stress", "", worst)
	return out
}

// weigh adds what mechanics estimates to drafts that lie on the same cast. How far the
// base sinks and how hard a tooth is pushed sideways are compared with the best of the
// drafts, and count only as far as they do at the softest, the typical and the stiffest
// mucosa alike: what the unknown mucosa could reverse decides nothing.
func (s *search) weigh(drafts []draft) {
	type pair struct{ sinking, side [3]float64 }
	all := make([]pair, len(drafts))
	best := pair{sinking: [3]float64{9, 9, 9}, side: [3]float64{999, 999, 999}}
	for i, d := range drafts {
		if d.Seen.Mechanics == nil {
			return
		}
		all[i].sinking, all[i].side = loads(d.Seen.Mechanics)
		if d.Report.Stops() > 0 {
			continue // what may not be built is no yardstick
		}
		for k := range best.side {
			best.sinking[k], best.side[k] = math.Min(best.sinking[k], all[i].sinking[k]), math.Min(best.side[k], all[i].side[k])
		}
	}
	worse := func(v, best [3]float64) float64 {
		least := 1.0
		for k := range v {
			if v[k] <= 0 {
				return 0
			}
			least = math.Min(least, math.Max(0, 1-best[k]/v[k]))
		}
		return least
	}
	for i := range drafts {
		d := &drafts[i]
		d.Judged.Mechanics = forMechanics / 2 * (worse(all[i].sinking, best.sinking) + worse(all[i].side, best.side))
		d.score = perStop*float64(d.Judged.Stops) + d.Judged.Points()
	}
}
