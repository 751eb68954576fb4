package proposal

import (
	"math"
	"slices"

	"halfpear/design"
	"halfpear/mechanics"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Whole designs are compared by points; fewer are better. A stop outweighs everything. A
// step down the school's list weighs as much as three cautions, so that the school's order
// holds unless several findings speak against it. Measures together weigh as much as that
// step, so they decide between designs that school and findings leave level, and overturn
// the school only together with findings. Mechanics is an estimate: it weighs less than
// one caution. All weights are ours.
const (
	perStop      = 100000.0
	perBareSide  = 300.0 // for a side with teeth and nothing that holds
	perRotation  = 40.0  // for a rotational path: no clasp shows, but few can make or mend it
	perStep      = 30.0
	perCaution   = 10.0
	perBorder    = 3.0 // for a caution that the spread of the numbers leaves open
	perNote      = 1.0
	forSupport   = 8.0 // for a support polygon of no area, beside the largest the teeth allow
	forIndirect  = 8.0 // for an indirect retainer on the fulcrum line
	forBalance   = 6.0 // for retention on one side only
	forCover     = 6.0 // for every margin covered; twice that where school, caries or hygiene want them free
	perPart      = 0.1
	forMechanics = 6.0 // at most, for the worse of designs on the same cast
)

// MeasureNames are the measures of a proposal in the order they are shown; those that are
// not known are absent. Package words has their names for people.
var MeasureNames = []string{"support_area", "rests_off_line", "indirect_ratio", "retention_balance", "margin_cover", "clasps", "rests", "parts",
	"retention", "arm_stress", "tipping", "base_sinking", "pulls_held", "connector_gives"}

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
	if seen.Placement != nil && seen.Placement.Turn != nil {
		t := seen.Placement.Turn
		d.Decisions = uniq(append(d.Decisions, words.Tell("Swept on this cast, rigid metal comes %v into it at most; turned back by %v° the framework comes off straight, %v° off the path; its rigid parts hold in %v of undercut.",
			words.Length(t.Deepest), words.Figure{Value: t.FreeDeg}, words.Figure{Value: math.Abs(t.LeanDeg)}, words.Length(t.Engaged))), words.Text.String)
	}
	d.Preparations = prep.Make(prep.Input{Chart: s.in.Chart, Class: s.class, Design: d.Design, Placement: seen.Placement, Undercut: undercut, Amounts: s.book.Amounts()})
	in := rulebook.Input{Chart: s.in.Chart, Undercuts: s.in.Undercuts, Gauged: s.in.Gauged, Tissues: s.in.Tissues, Path: s.in.Path, Design: &d.Design, Placement: seen.Placement, CastIs: seen.CastIs, Spread: seen.Spread,
		Plan: &d.Preparations, Treated: true, Order: s.in.Order, Forces: seen.Forces}
	facts := rulebook.Gather(s.book, in)
	d.Report = s.book.Judge(facts)
	d.Measures = s.measures(d.Design, facts, seen)
	j := Judged{Steps: d.steps, School: perStep * d.steps, Measures: s.points(d.Design, d.Measures)}
	open := 0
	for _, f := range d.Report.Findings {
		if atOrder[f.Rule] {
			continue
		}
		if f.Status == rulebook.Borderline && f.Severity == rulebook.Caution && !reckoned[f.Rule] {
			open++
		}
		if f.Status != rulebook.Failed {
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
	j.Findings = perCaution*float64(j.Cautions) + perBorder*float64(open) + perNote*float64(j.Notes)
	if seen.Placement == nil {
		j.Findings += perCaution * float64(s.crowded(d.Design)) // on the cast CHK-201 says so
	}
	if rotates(d.Design) {
		j.School += perRotation
	}
	j.Findings += perBareSide * float64(s.bareSides(d.Design))
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
	hold := func(n tooth.Number, v float64) {
		if n.Right() {
			right += v
		} else {
			left += v
		}
	}
	for _, p := range d.Of(design.Retainer) {
		if p.Undercut == nil {
			continue
		}
		clasps++
		if seen.Mechanics == nil {
			hold(p.Tooth, 1)
		}
	}
	if seen.Mechanics != nil {
		for _, h := range seen.Mechanics.Holds {
			hold(h.Tooth, h.Withdrawal.Typical)
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
	if who := s.in.Chart.Patient; s.book.Base == "open-hygienic" || who.CariesRisk == "high" || who.Hygiene == "poor" {
		cover *= 2
	}
	return sum + cover*m["margin_cover"].Value
}

// bareSides counts the sides with fit canines, premolars or molars where nothing holds.
func (s *search) bareSides(d design.Design) int {
	n := 0
	for _, right := range []bool{true, false} {
		held, could := false, false
		for _, r := range d.Of(design.Retainer) {
			held = held || r.Undercut != nil && (r.Tooth.Right() == right || len(r.Teeth) > 0 && r.Teeth[0].Right() == right)
		}
		for _, t := range tooth.All(s.in.Chart.Arch) {
			could = could || t.Right() == right && s.holds(t) && !t.Kind().Incisor()
		}
		if could && !held {
			n++
		}
	}
	return n
}

// rotates tells a design on a rotational path.
func rotates(d design.Design) bool {
	return slices.ContainsFunc(d.Parts, func(p design.Part) bool { return p.SeatsFirst() })
}

// crowded counts the struts that stand nearer to the next one than is asked, on average
// crowns: in embrasures on both sides of one narrow tooth.
func (s *search) crowded(d design.Design) int {
	n := 0
	minors := d.Of(design.MinorConnector)
	for i, a := range minors {
		for _, b := range minors[i+1:] {
			if len(a.At) < 2 || len(b.At) < 2 {
				continue
			}
			for _, t := range a.At {
				if md, _ := rulebook.CrownSize(t); slices.Contains(b.At, t) && md-s.book.Limit("min.width") < s.book.Limit("min.spacing") {
					n++
				}
			}
		}
	}
	return n
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

// reckon is what mechanics estimates of a design, with the band that mucosa, tolerances
// and friction leave.
func reckon(r *mechanics.Report) map[string]unit.Quantity {
	out := map[string]unit.Quantity{}
	band := func(name, u string, v mechanics.Range) {
		if v.Typical > 0 {
			out[name] = unit.Quantity{Value: v.Typical, Unit: u, Spread: (v.High - v.Low) / 2, Origin: unit.Computed}
		}
	}
	m := r.Measures()
	band("base_sinking", "mm", m.Sinking)
	band("tipping", "N·mm", m.Tipping)
	band("retention", "N", m.Retention)
	band("connector_gives", "mm", m.Give)
	stress := mechanics.Range{Typical: m.Stress}
	for _, h := range r.Holds {
		if h.Ratio.Typical == m.Stress {
			stress = h.Ratio
		}
	}
	band("arm_stress", "", stress)
	if m.Pulls > 0 {
		out["pulls_held"] = unit.Quantity{Value: m.Held, Origin: unit.Computed}
	}
	return out
}

// weigh adds what mechanics estimates to drafts that lie on the same cast. How far the
// base sinks, how hard a tooth is tipped and how much of a sticky pull is held are
// compared with the best of the drafts. The first two count only as far as they do at the
// softest, the typical and the stiffest mucosa alike: what the unknown mucosa could reverse
// decides nothing.
func (s *search) weigh(drafts []draft) {
	all := make([]mechanics.Measures, len(drafts))
	var best mechanics.Measures
	held, found := 0.0, false
	share := func(m mechanics.Measures) float64 { return m.Held }
	for i, d := range drafts {
		if d.Seen.Mechanics == nil {
			return
		}
		all[i] = d.Seen.Mechanics.Measures()
		switch {
		case d.Report.Stops() > 0:
			// what may not be built is no yardstick
		case !found:
			best, held, found = all[i], share(all[i]), true
		default:
			best.Sinking, best.Tipping = lesser(best.Sinking, all[i].Sinking), lesser(best.Tipping, all[i].Tipping)
			held = math.Max(held, share(all[i]))
		}
	}
	if !found {
		return
	}
	for i := range drafts {
		d, m := &drafts[i], all[i]
		d.Judged.Mechanics = forMechanics / 3 * (worse(m.Sinking, best.Sinking) + worse(m.Tipping, best.Tipping) + math.Max(0, held-share(m)))
		d.score = perStop*float64(d.Judged.Stops) + d.Judged.Points()
	}
}

// lesser takes the lesser of two bands end by end.
func lesser(a, b mechanics.Range) mechanics.Range {
	return mechanics.Range{Low: math.Min(a.Low, b.Low), Typical: math.Min(a.Typical, b.Typical), High: math.Min(a.High, b.High)}
}

// worse is the share by which a band lies above the best at each of its places alike.
func worse(v, best mechanics.Range) float64 {
	least := 1.0
	for _, x := range [3][2]float64{{v.Low, best.Low}, {v.Typical, best.Typical}, {v.High, best.High}} {
		if x[0] <= 0 {
			return 0
		}
		least = math.Min(least, math.Max(0, 1-math.Max(0, x[1])/x[0]))
	}
	return least
}
