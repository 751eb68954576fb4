package proposal

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// evaluated is how many drafts are judged at most before the best are laid on the cast.
const evaluated = 60

// drafts searches the whole designs that are compared, best first: from the school's first
// choices to the plans that differ from them in one decision, and on from the best of
// those. What stops a draft is mended where it can be.
func (s *search) drafts() []draft {
	s.posts = s.findPosts()
	s.row, s.fits, s.unfits = s.links()
	s.groups = groupsOf(s.posts)
	seen := map[string]bool{}
	var out []draft
	try := func(p plan) {
		for range 4 {
			if k := p.key(); seen[k] || len(out) >= s.most {
				return
			} else {
				seen[k] = true
			}
			d := s.draft(p)
			s.judge(&d, Seen{})
			out = append(out, d)
			next, ok := s.mend(d)
			if d.Report.Stops() == 0 || !ok {
				return
			}
			p = next
		}
	}
	try(s.first())
	first := out[0]
	for _, p := range s.neighbours(first.plan, first.Design) {
		try(p)
	}
	sortDrafts(out)
	for _, d := range slices.Clone(out[:min(3, len(out))]) {
		for _, p := range s.neighbours(d.plan, d.Design) {
			try(p)
		}
	}
	sortDrafts(out)
	return out
}

func (s *search) draft(pl plan) draft {
	b := &builder{s: s, plan: pl, d: design.Design{Arch: s.in.Chart.Arch}}
	b.bases()
	b.connector(s.row, s.fits[pl.link], s.fits, s.unfits)
	for _, p := range s.posts {
		b.abutment(p, p.options[pl.option[p.tooth]])
	}
	b.keepRetention()
	b.secondary()
	b.indirect()
	b.thirdRests()
	b.ifLost()
	b.endRests()
	b.minors()
	b.besides()
	b.decide = append(b.decide, s.metal...)
	b.generalDecisions(s.posts)
	b.otherWays()
	d := draft{plan: pl, steps: s.steps(pl)}
	d.Profile, d.Class, d.Design, d.Reasons, d.Decisions = s.book.Profile, s.class, b.d, b.reasons, uniq(b.decide, words.Text.String)
	sortParts(&d.Proposal)
	d.Kind = words.Listed(b.kind...)
	d.key = kindKey(b.d)
	return d
}

// kindKey names what makes a design of another kind: the forms on the abutments, rigid
// retainers that seat first, and the connector; not a millimetre.
func kindKey(d design.Design) string {
	var words []string
	for _, p := range d.Parts {
		switch p.Kind {
		case design.Retainer:
			made, _ := prep.Making(p)
			words = append(words, fmt.Sprintf("%d:%s:%s", p.Tooth, p.Form, made))
		case design.MajorConnector:
			words = append(words, string(p.Form))
		case design.GuidePlate:
			if p.SeatsFirst() {
				words = append(words, fmt.Sprintf("%d:first", p.Tooth))
			}
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
func (b *builder) keepRetention() {
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
		for _, p := range s.posts {
			if o := p.options[b.plan.option[p.tooth]]; o.spare && o.Form == design.ClaspNone && b.plan.option[p.tooth] != 0 {
				continue // every arm was stopped here
			}
			if p.tooth.Right() != right || p.tooth.Kind().Incisor() || !s.holds(p.tooth) || p.decision.ID == "DEC-16" || rulebook.Doubtful(s.book, s.in.Chart, p.tooth) {
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
			if !s.stands(right) {
				b.decide = append(b.decide, words.Tell("%v: no tooth stands there to hold; weigh an implant under the base, or a complete denture.", sideName(right)))
				continue
			}
			b.decide = append(b.decide, words.Tell("%v: no retention there: none of the teeth may be clasped; consider a crown, an attachment or an implant.", sideName(right)))
			continue
		}
		o := option{Choice: rulebook.Choice{Form: design.ClaspCombination, Metal: "wire", Rest: "near", Sites: []string{"far", "mesial", "mid", "near", "lingual"}}, rank: 9}
		if why := s.takeSite(best, &o); !why.Empty() {
			b.decide = append(b.decide, words.Tell("%v: no retention there: %v of %v; an undercut has to be made.", sideName(right), why, best.tooth))
			continue
		}
		part := design.Part{ID: id("retainer", best.tooth), Kind: design.Retainer, Tooth: best.tooth, Form: o.Form, Undercut: &design.Undercut{Site: o.site, MM: o.mm}, Material: s.wire,
			GaugeMM: s.book.Limit("clasp.wirePremolar")}
		if best.tooth.Kind().Molar() {
			part.GaugeMM = s.book.Limit("clasp.wireMolar")
		}
		b.add(part, b.why("CMB-02", words.Tell("This side would have no retention at all; a wire arm lies in front of the fulcrum line without levering the tooth."), "oklahoma-items"))
		b.reciprocate(best, o)
		if u, ok := b.unclasped[best.tooth]; ok { // it gets a clasp after all
			b.reasons[u.reason], b.kind[u.kind] = u.before, named(part)
		} else {
			b.kind = append(b.kind, named(part))
		}
	}
}

func sideName(right bool) words.Word {
	if right {
		return words.RightSide
	}
	return words.LeftSide
}

// generalDecisions says what the dentist decides that no single part asks for.
func (b *builder) generalDecisions(posts []*post) {
	s, c := b.s, b.s.in.Chart
	for _, p := range posts {
		if p.skipped != 0 {
			b.decide = append(b.decide, words.Tell("%v stands but is unfit to carry anything: keep it without parts, or extract it and classify again.", p.skipped))
		}
		if p.decision.ID == "DEC-20" {
			b.decide = append(b.decide, words.Tell("%v stands alone: a fixed bridge over the front gap would be the better support, and the class would lose a modification.", p.tooth))
		}
		t := c.Teeth[p.tooth]
		if t.Caries == "active" || t.Periodontal == "active" {
			b.decide = append(b.decide, words.Tell("%v has active disease: it is treated before anything is cut.", p.tooth))
		}
	}
	for _, n := range tooth.All(c.Arch) {
		if c.Teeth[n].Prognosis == "hopeless" && c.Stands(n) {
			b.decide = append(b.decide, words.Tell("%v is hopeless: decide on its extraction; the class may change.", n))
		}
	}
	if c.Arch == tooth.Lower && (s.class.Class == arch.I || s.class.Class == arch.II) {
		b.decide = append(b.decide, words.Tell("Decide whether an altered cast or a reline is made."))
	}
	if c.Arch == tooth.Lower && s.class.Class == arch.I && c.Opposing.Kind == "complete-denture" {
		b.decide = append(b.decide, words.Tell("Against the upper complete denture: full cover of the lower ridges, light or no contact of the front teeth, recall for relining."))
	}
}

// atOrder are the checks that speak of the order or the chart, the same for every draft.
var atOrder = map[rulebook.RuleID]bool{"CHK-002": true, "CHK-004": true, "CHK-005": true, "CHK-006": true, "CHK-007": true, "CHK-008": true, "CHK-061": true, "CHK-062": true,
	"CHK-232": true, "CHK-235": true, "CHK-237": true, "CHK-238": true, "CHK-242": true, "CHK-243": true, "CHK-245": true, "CHK-246": true, "CHK-247": true, "CHK-248": true}
