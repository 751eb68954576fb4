package proposal

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// drafts builds the whole designs that are compared: for each group of abutments in the
// same situation every choice that can be carried out, with every connector that fits,
// one departure from the first choice at a time and the two departures together.
func (s *search) drafts() []draft {
	posts := s.posts()
	row, fits, rejected := s.links()
	groups := groupsOf(posts)
	base := make([]int, len(groups))
	var plans [][]int
	plans = append(plans, append(base, 0)) // the last number is the connector
	for g := range groups {
		for o := 1; o < len(groups[g][0].options); o++ {
			p := append([]int(nil), plans[0]...)
			p[g] = o
			plans = append(plans, p)
		}
	}
	single := len(plans)
	for l := 1; l < len(fits); l++ {
		for i := 0; i < single; i++ {
			p := append([]int(nil), plans[i]...)
			p[len(p)-1] = l
			plans = append(plans, p)
		}
	}
	var out []draft
	for _, p := range plans {
		out = append(out, s.draft(groups, p, row, fits, rejected))
	}
	return out
}

// groupsOf puts abutments together that the table treats alike and that have the same
// choices: both sides of a symmetrical mouth change together.
func groupsOf(posts []*post) [][]*post {
	key := func(p *post) string {
		k := string(p.decision.ID)
		for _, o := range p.options {
			k += fmt.Sprint(o.rank)
		}
		return k
	}
	at := map[string]int{}
	var out [][]*post
	for _, p := range posts {
		k := key(p)
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], p)
	}
	return out
}

func (s *search) draft(groups [][]*post, plan []int, row rulebook.Decision, fits []link, rejected []Rejection) draft {
	b := &builder{s: s, d: design.Design{Arch: s.in.Chart.Arch}}
	b.bases()
	type chosen struct {
		p *post
		o option
	}
	var all []chosen
	cost := 0.0
	for g, list := range groups {
		for _, p := range list {
			o := p.options[min(plan[g], len(p.options)-1)]
			all = append(all, chosen{p, o})
			cost += 100 * float64(o.rank-p.options[0].rank)
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].p.tooth.Index() < all[j].p.tooth.Index() })
	l := fits[plan[len(plan)-1]]
	cost += 100 * float64(l.rank-fits[0].rank)
	b.connector(row, l, fits, rejected)
	for _, c := range all {
		b.abutment(c.p, c.o)
	}
	b.keepRetention(len(all), func(i int) (*post, option) { return all[i].p, all[i].o })
	b.indirect()
	b.thirdRests()
	b.endRests()
	b.minors()
	b.decide = append(b.decide, s.metal...)
	b.generalDecisions(all0(groups))
	d := draft{cost: cost}
	d.Profile, d.Class, d.Design, d.Reasons, d.Decisions = s.book.Profile, s.class, b.d, b.reasons, uniq(b.decide)
	sortParts(&d.Proposal)
	d.Kind = strings.Join(b.kind, ", ")
	d.key = kindKey(b.d)
	return d
}

func all0(groups [][]*post) []*post {
	var out []*post
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}

// kindKey names what makes a design of another kind: the forms on the abutments, the
// side of their rests, and the connector; not a millimetre.
func kindKey(d design.Design) string {
	var words []string
	for _, p := range d.Parts {
		switch p.Kind {
		case design.Retainer:
			words = append(words, fmt.Sprintf("%d:%s:%v", p.Tooth, p.Form, strings.HasPrefix(p.Note, "undercut made")))
		case design.MajorConnector:
			words = append(words, string(p.Form))
		}
	}
	sort.Strings(words)
	return strings.Join(words, " ")
}

// sortParts orders parts by kind as a part list names them, then along the arch.
func sortParts(p *Proposal) {
	order := map[design.Kind]int{}
	for i, k := range design.Kinds {
		order[k] = i
	}
	place := func(p design.Part) int {
		switch {
		case p.Tooth != 0:
			return p.Tooth.Index()
		case len(p.Teeth) > 0:
			return p.Teeth[0].Index()
		case len(p.At) > 0:
			return p.At[0].Index()
		}
		return 0
	}
	parts := p.Design.Parts
	sort.SliceStable(parts, func(i, j int) bool {
		a, b := parts[i], parts[j]
		if order[a.Kind] != order[b.Kind] {
			return order[a.Kind] < order[b.Kind]
		}
		return place(a) < place(b)
	})
	at := map[design.ID]int{}
	for i, q := range parts {
		at[q.ID] = i
	}
	sort.SliceStable(p.Reasons, func(i, j int) bool { return at[p.Reasons[i].Part] < at[p.Reasons[j].Part] })
}

// keepRetention sees to it that each side that has fit teeth is held: where the table
// gave every tooth of a side a rest only, a wire goes on the best tooth there.
func (b *builder) keepRetention(n int, get func(int) (*post, option)) {
	s := b.s
	for _, right := range []bool{true, false} {
		held := false
		for _, r := range b.d.Of(design.Retainer) {
			held = held || r.Tooth.Right() == right && r.Undercut != nil
		}
		if held {
			continue
		}
		var best, pier *post
		for i := 0; i < n; i++ {
			p, _ := get(i)
			if p.tooth.Right() != right || p.tooth.Kind().Incisor() || p.decision.ID == "DEC-16" || rulebook.Doubtful(s.book, s.in.Chart, p.tooth) {
				continue
			}
			if rulebook.Pier(s.class, s.in.Chart, p.tooth) && p.beside == "extension" {
				pier = p
				continue
			}
			if s.class.Class == arch.IV || best != nil && best.tooth.Place() >= p.tooth.Place() {
				continue
			}
			best = p
		}
		if best == nil {
			best = pier // the last resort of the table's row for a lone tooth
		}
		if best == nil {
			b.decide = append(b.decide, fmt.Sprintf("The %s side has no retention: none of its teeth may be clasped; consider a crown, an attachment or an implant there.", sideName(right)))
			continue
		}
		o := option{Choice: rulebook.Choice{Form: design.ClaspCombination, Metal: "wire", Rest: "near", Sites: []string{"far", "mesial", "mid", "near", "lingual"}}, rank: 9}
		if why := s.takeSite(best, &o); why != "" {
			b.decide = append(b.decide, fmt.Sprintf("The %s side has no retention: %s of %d; an undercut has to be made there.", sideName(right), why, best.tooth))
			continue
		}
		part := design.Part{ID: id("retainer", best.tooth), Kind: design.Retainer, Tooth: best.tooth, Form: o.Form, Undercut: &design.Undercut{Site: o.site, MM: o.mm}, Material: s.wire,
			GaugeMM: s.book.Limit("clasp.wirePremolar")}
		if best.tooth.Kind().Molar() {
			part.GaugeMM = s.book.Limit("clasp.wireMolar")
		}
		b.add(part, b.why("CMB-02", "This side would have no retention at all; a wire arm lies in front of the fulcrum line without levering the tooth.", "oklahoma-items"))
		b.reciprocate(best, o)
		b.kind = append(b.kind, fmt.Sprintf("%d wire", best.tooth))
	}
}

func sideName(right bool) string {
	if right {
		return "right"
	}
	return "left"
}

// generalDecisions says what the dentist decides that no single part asks for.
func (b *builder) generalDecisions(posts []*post) {
	s, c := b.s, b.s.in.Chart
	for _, p := range posts {
		if p.skipped != 0 {
			b.decide = append(b.decide, fmt.Sprintf("%d stands but is unfit to carry anything: keep it without parts, or extract it and classify again.", p.skipped))
		}
		if p.decision.ID == "DEC-20" {
			b.decide = append(b.decide, fmt.Sprintf("%d stands alone: a fixed bridge over the front gap would be the better support, and the class would lose a modification.", p.tooth))
		}
		if p.decision.ID == "DEC-18" && p.tooth.Kind() == tooth.Canine {
			b.decide = append(b.decide, "A rotational path would show less metal; it needs a specialist.")
		}
		t := c.Teeth[p.tooth]
		if t.Caries == "active" || t.Periodontal == "active" {
			b.decide = append(b.decide, fmt.Sprintf("%d has active disease: it is treated before anything is cut.", p.tooth))
		}
	}
	for _, n := range tooth.All(c.Arch) {
		if c.Teeth[n].Prognosis == "hopeless" && c.Stands(n) {
			b.decide = append(b.decide, fmt.Sprintf("%d is hopeless: decide on its extraction; the class may change.", n))
		}
	}
	if c.Arch == tooth.Lower && (s.class.Class == arch.I || s.class.Class == arch.II) {
		b.decide = append(b.decide, "Decide whether an altered cast or a reline is made.")
	}
	if c.Arch == tooth.Lower && s.class.Class == arch.I && c.Opposing.Kind == "complete-denture" {
		b.decide = append(b.decide, "Against the upper complete denture: full cover of the lower ridges, light or no contact of the front teeth, recall for relining.")
	}
}

// judge checks a draft and gives it its score: less is better. A stop outweighs any
// preference of the school, the school's order outweighs cautions, and measures decide
// between what is otherwise equal.
func (s *search) judge(d *draft, seen Seen) {
	undercut := func(n tooth.Number, site tooth.Site) (float64, bool) {
		r, ok := s.in.Undercuts.Found(n, site)
		return r.MM, ok
	}
	d.Seen = seen
	d.Preparations = prep.Make(prep.Input{Chart: s.in.Chart, Class: s.class, Design: d.Design, Placement: seen.Placement, Undercut: undercut, Amounts: s.book.Amounts()})
	in := rulebook.Input{Chart: s.in.Chart, Undercuts: s.in.Undercuts, Path: s.in.Path, Design: &d.Design, Placement: seen.Placement, CastIs: seen.CastIs, Spread: seen.Spread,
		Plan: &d.Preparations, Treated: true, Order: s.in.Order, Forces: seen.Forces}
	facts := rulebook.Gather(s.book, in)
	d.Report = s.book.Judge(facts)
	d.Measures = s.measures(d.Design, facts)
	stops, cautions, notes := 0, 0, 0
	for _, f := range d.Report.Findings {
		if f.Status != rulebook.Failed || atOrder[f.Rule] {
			continue
		}
		switch f.Severity {
		case rulebook.Stop:
			stops++
		case rulebook.Caution:
			cautions++
		default:
			notes++
		}
	}
	d.score = 100000*float64(stops) + d.cost + 8*float64(cautions) + float64(notes) + 0.1*float64(len(d.Design.Parts))
	if q, ok := d.Measures["retention_balance"]; ok {
		d.score += 5 * (1 - q.Value)
	}
}

// atOrder are the checks that speak of the order or the chart, the same for every draft.
var atOrder = map[rulebook.RuleID]bool{"CHK-002": true, "CHK-004": true, "CHK-005": true, "CHK-006": true, "CHK-007": true, "CHK-008": true, "CHK-061": true, "CHK-062": true,
	"CHK-232": true, "CHK-235": true, "CHK-237": true, "CHK-238": true, "CHK-242": true, "CHK-243": true, "CHK-245": true, "CHK-246": true, "CHK-247": true, "CHK-248": true}

// measures are the numbers that whole designs are compared by.
func (s *search) measures(d design.Design, facts *rulebook.Facts) map[string]unit.Quantity {
	out := map[string]unit.Quantity{
		"parts": {Value: float64(len(d.Parts)), Origin: unit.Computed},
		"rests": {Value: float64(len(d.Of(design.Rest))), Origin: unit.Computed},
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
	copyFact("retention", "whole.retention_N")
	area := rulebook.SupportArea(d)
	out["support_area"] = unit.Quantity{Value: area, Unit: "mm²", Origin: unit.Average}
	left, right := 0.0, 0.0
	for _, p := range d.Of(design.Retainer) {
		if p.Undercut == nil {
			continue
		}
		if p.Tooth.Right() {
			right++
		} else {
			left++
		}
	}
	if left+right > 0 {
		out["retention_balance"] = unit.Quantity{Value: math.Min(left, right) / math.Max(left, right), Origin: unit.Computed}
	}
	return out
}
