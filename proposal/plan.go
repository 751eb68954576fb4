package proposal

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// plan is the choices that one draft is built from; everything else follows from them.
type plan struct {
	option map[tooth.Number]int         // of a post's choices; 0 where none is named
	link   int                          // of the connectors that fit
	oppose map[tooth.Number]design.Form // the rigid part opposite a tip, where the usual one does not serve
	avoid  map[tooth.Number]bool        // teeth that carry no indirect retainer
	low    bool                         // canines carry their indirect retainer on the cingulum or not at all, incisors none
	forced map[tooth.Number]words.Text  // what stopped the choice before it

	forcedLink words.Text // what stopped the connector before it
}

func (p plan) clone() plan {
	return plan{maps.Clone(p.option), p.link, maps.Clone(p.oppose), maps.Clone(p.avoid), p.low, maps.Clone(p.forced), p.forcedLink}
}

// with is the plan with another choice on some teeth.
func (p plan) with(o int, teeth ...tooth.Number) plan {
	out := p.clone()
	if out.option == nil {
		out.option = map[tooth.Number]int{}
	}
	for _, n := range teeth {
		if out.option[n] = o; o == 0 {
			delete(out.option, n)
		}
	}
	return out
}

func (p plan) joined(l int) plan {
	out := p.clone()
	out.link = l
	return out
}

// avoiding is the plan with the indirect retainers of both sides on other teeth.
func (p plan) avoiding(n tooth.Number) plan {
	out := p.clone()
	if out.avoid == nil {
		out.avoid = map[tooth.Number]bool{}
	}
	out.avoid[n], out.avoid[n.Opposite()] = true, true
	return out
}

func (p plan) opposed(n tooth.Number, f design.Form) plan {
	out := p.clone()
	if out.oppose == nil {
		out.oppose = map[tooth.Number]design.Form{}
	}
	out.oppose[n] = f
	return out
}

func (p plan) because(n tooth.Number, why words.Text) plan {
	out := p.clone()
	if out.forced == nil {
		out.forced = map[tooth.Number]words.Text{}
	}
	out.forced[n] = why
	return out
}

// key tells plans apart; fmt prints maps in the order of their keys.
func (p plan) key() string { return fmt.Sprint(p.option, p.link, p.oppose, p.avoid, p.low) }

// steps is how many steps down the school's lists a plan goes: teeth that the table treats
// alike count once where they change together.
func (s *search) steps(p plan) float64 {
	sum := 0.0
	for _, g := range s.groups {
		most, total := 0.0, 0.0
		for _, post := range g {
			o := post.options[p.option[post.tooth]]
			d := float64(o.rank - post.options[0].rank)
			if o.spare && s.spared[post.tooth] && o.Form == design.ClaspNone {
				d = 0
			} else if o.spare {
				d = 2
				if o.Form == design.ClaspNone {
					d = 1
				}
			}
			most, total = max(most, d), total+d
		}
		if total == most*float64(len(g)) {
			total = most
		}
		sum += total
	}
	// A step aside from the foremost indirect retainer has to be worth something.
	return sum + float64(s.fits[p.link].rank-s.fits[0].rank) + 0.02*float64(len(p.avoid))
}

// neighbours are the plans that differ from one in a single decision: the retainer on
// posts that are treated alike, the connector, the place of an indirect retainer, or the
// number of clasps.
func (s *search) neighbours(p plan, d design.Design) []plan {
	var out []plan
	for _, g := range s.groups {
		teeth := make([]tooth.Number, len(g))
		for i, post := range g {
			teeth[i] = post.tooth
		}
		for o := range g[0].options {
			bare := g[0].options[o].spare && g[0].options[o].Form == design.ClaspNone
			if o != p.option[teeth[0]] && (!bare || g[0].options[0].rotational()) {
				out = append(out, p.with(o, teeth...))
			}
		}
	}
	for l := range s.fits {
		if l != p.link {
			out = append(out, p.joined(l))
		}
	}
	for _, r := range d.Of(design.Rest) {
		if r.Role != design.Indirect {
			continue
		}
		out = append(out, p.avoiding(r.Tooth))
		if r.Form == design.RestIncisal && !p.low {
			q := p.clone()
			q.low = true
			out = append(out, q)
		}
	}
	return append(out, s.fewer(p)...)
}

// fewer are the plans with clasps left out of a tooth-supported denture that has four or
// more: on the front abutments, or at the ends of one diagonal.
func (s *search) fewer(p plan) []plan {
	if s.class.Class != arch.III {
		return nil
	}
	var held []*post
	for _, post := range s.posts {
		if post.options[p.option[post.tooth]].Form != design.ClaspNone {
			held = append(held, post)
		}
	}
	if len(held) < 4 {
		return nil
	}
	first, last := held[0], held[len(held)-1]
	var front, one, other []*post
	for _, post := range held {
		if post.tooth.Place() <= 4 {
			front = append(front, post)
		}
	}
	if len(held) == 4 {
		one, other = []*post{first, held[2]}, []*post{held[1], last}
	}
	var out []plan
	for _, drop := range [][]*post{front, one, other} {
		if len(drop) == 0 || len(held)-len(drop) < 2 {
			continue
		}
		q := p
		for _, post := range drop {
			q = q.with(len(post.options)-1, post.tooth)
		}
		right, left := 0, 0
		for _, post := range held {
			if slices.Contains(drop, post) {
				continue
			}
			if post.tooth.Right() {
				right++
			} else {
				left++
			}
		}
		if right > 0 && left > 0 {
			out = append(out, q)
		}
	}
	return out
}

// mend is a plan that meets what stops a draft; false where nothing is left to try.
func (s *search) mend(d draft) (plan, bool) {
	p, changed := d.plan, false
	for _, f := range d.Report.Findings {
		if f.Status != rulebook.Failed || f.Severity != rulebook.Stop || atOrder[f.Rule] {
			continue
		}
		n := f.Place.Tooth
		why := words.Tell("%v stops the usual choice here: %v", f.Rule, f.Message)
		if f.Rule == "CHK-102" || f.Rule == "CHK-103" {
			if next := nextOpposed(d.Design, n); next != "" {
				p, changed = p.opposed(n, next).because(n, why), true
				continue
			}
		}
		part, ok := d.Design.Part(f.Place.Part)
		if post := s.post(n); post != nil {
			if k := part.Kind; k != design.Retainer && k != design.Reciprocation && f.Rule != "CHK-086" && ok {
				continue // another arm would not mend a rest or a plate
			}
			o := post.next(p.option[n], f.Rule)
			if o < len(post.options) {
				p, changed = p.with(o, n).because(n, why), true
			}
			continue
		}
		if ok && part.Kind == design.MajorConnector && d.plan.link+1 < len(s.fits) {
			p, changed = p.joined(d.plan.link+1), true
			p.forcedLink = words.Tell("%v stops this connector: %v: %v", f.Rule, words.Code{Group: "major-connector", Code: string(part.Form)}, f.Message)
		}
	}
	return p, changed
}

// better is a plan that answers what the cast says against a draft that no stop holds up:
// rigid parts that guide a tip too short a way, and an indirect retainer whose strut stands
// too near to the next one. False where there is no such thing.
func (s *search) better(d draft) (plan, bool) {
	p, changed := d.plan, false
	for _, f := range d.Report.Findings {
		if f.Status != rulebook.Failed || f.Severity != rulebook.Caution {
			continue
		}
		switch n := f.Place.Tooth; f.Rule {
		case "CHK-103":
			if next := nextOpposed(d.Design, n); next == design.ReciprocalPlate {
				p, changed = p.opposed(n, next).because(n, words.Tell("%v asks for more: %v", f.Rule, f.Message)), true
			}
		case "CHK-201":
			part, _ := d.Design.Part(f.Place.Part)
			for _, r := range d.Design.Of(design.Rest) {
				if r.Role != design.Indirect || !slices.Contains(part.At, r.Tooth) {
					continue
				}
				if changed = true; r.Form == design.RestIncisal {
					p = p.clone()
					p.low = true
				} else {
					p = p.avoiding(r.Tooth)
				}
			}
		}
	}
	return p, changed
}

// nextOpposed is what else may oppose the tip on a tooth: a plate after plate and minor
// connector or an arm, an arm after a plate that is too short. Empty when all was tried.
func nextOpposed(d design.Design, n tooth.Number) design.Form {
	for _, r := range d.On(design.Reciprocation, n) {
		switch r.Form {
		case design.ReciprocalGuidePlates:
			return design.ReciprocalPlate
		case design.ReciprocalPlate:
			return design.ReciprocalArm
		}
		return ""
	}
	return design.ReciprocalArm
}

// next is the choice to try when a rule stops one on a post: the school's next, and when
// those are used up the spare ones. A cast tip in front of the fulcrum line is followed by
// a wire at once, a plate that would act before a mesial rest by a distal one. A rotational
// path is nobody's makeshift.
func (p *post) next(o int, rule rulebook.RuleID) int {
	for i := o + 1; i < len(p.options); i++ {
		f := p.options[i]
		switch {
		case f.rotational():
		case rule == "CHK-086":
			if f.Rest == "distal" {
				return i
			}
		case rule == "CHK-123":
			if f.Form == design.ClaspNone || f.Form == design.ClaspCombination || f.Metal == "wire" {
				return i
			}
		default:
			return i
		}
	}
	return len(p.options)
}

func (s *search) post(n tooth.Number) *post {
	for _, p := range s.posts {
		if p.tooth == n {
			return p
		}
	}
	return nil
}

// groupsOf puts abutments together that the table treats alike and that have the same
// choices: both sides of a symmetrical mouth change together.
func groupsOf(posts []*post) [][]*post {
	at := map[string]int{}
	var out [][]*post
	for _, p := range posts {
		var k strings.Builder
		k.WriteString(string(p.decision.ID))
		for _, o := range p.options {
			fmt.Fprint(&k, " ", o.rank)
		}
		i, ok := at[k.String()]
		if !ok {
			i = len(out)
			at[k.String()] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], p)
	}
	return out
}
