package proposal

import (
	"sort"

	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// Difference is one place where a design and a proposal differ.
type Difference struct {
	Tooth    tooth.Number // 0 for what stands on no single tooth
	Kind     design.Kind
	Design   words.Text // what the design has there; "nothing" where it has none
	Proposal words.Text
	Because  words.Text // the proposal's reason
	Rule     rulebook.RuleID
}

// Where names the place for people.
func (d Difference) Where() words.Text {
	kind := words.Code{Group: "kind", Code: string(d.Kind)}
	if d.Tooth == 0 {
		return words.Say(kind)
	}
	return words.PartOn.With(kind, d.Tooth)
}

// Compare sets a design beside a proposal, part by part: by tooth and kind, whatever the
// parts are called. Only what differs is listed.
func Compare(d design.Design, p Proposal) []Difference {
	type key struct {
		n tooth.Number
		k design.Kind
	}
	text := func(d design.Design) (map[key][]words.Text, map[key]design.ID) {
		out, ids := map[key][]words.Text{}, map[key]design.ID{}
		for _, q := range d.Parts {
			k := key{q.Tooth, q.Kind}
			switch q.Kind {
			case design.MinorConnector, design.FinishLine, design.TissueStop:
				continue // they follow from the others
			case design.Base:
				teeth := append([]tooth.Number(nil), q.Teeth...)
				sort.Slice(teeth, func(i, j int) bool { return teeth[i].Index() < teeth[j].Index() })
				if len(teeth) > 0 {
					k.n = teeth[0]
				}
				out[k] = append(out[k], words.Join(", ", words.Say(words.Teeth(teeth)), code("support", q.Support), code("attachment", q.Attachment)))
			default:
				out[k] = append(out[k], sketch(q))
			}
			ids[k] = q.ID
		}
		for k := range out {
			sort.Slice(out[k], func(i, j int) bool { return out[k][i].String() < out[k][j].String() })
		}
		return out, ids
	}
	mine, _ := text(d)
	theirs, ids := text(p.Design)
	var keys []key
	for k := range mine {
		keys = append(keys, k)
	}
	for k := range theirs {
		if _, ok := mine[k]; !ok {
			keys = append(keys, k)
		}
	}
	order := map[design.Kind]int{}
	for i, k := range design.Kinds {
		order[k] = i
	}
	sort.Slice(keys, func(i, j int) bool {
		if order[keys[i].k] != order[keys[j].k] {
			return order[keys[i].k] < order[keys[j].k]
		}
		return keys[i].n < keys[j].n
	})
	var out []Difference
	for _, k := range keys {
		a, b := words.Join(" + ", mine[k]...), words.Join(" + ", theirs[k]...)
		if a.String() == b.String() {
			continue
		}
		diff := Difference{Tooth: k.n, Kind: k.k, Design: a, Proposal: b}
		if a.Empty() {
			diff.Design = words.ChangeNothing.With()
		}
		if b.Empty() {
			diff.Proposal = words.ChangeNothing.With()
		}
		if r, ok := p.Why(ids[k]); ok {
			diff.Because, diff.Rule = r.Because, r.Rule
		}
		out = append(out, diff)
	}
	return out
}

// sketch is a part in a few words.
func sketch(p design.Part) words.Text {
	out := []words.Text{code(string(p.Kind), string(p.Form)), code("surface", string(p.Site)), code("surface", string(p.Surface))}
	if p.Undercut != nil {
		out = append(out, words.Tell("%v %v", siteOf(p.Undercut.Site), words.Length(p.Undercut.MM)))
	}
	if p.Kind == design.Retainer {
		out = append(out, code("material", p.Material))
	}
	return words.Listed(out...)
}

// code is a trade term, nothing where there is none.
func code(group, c string) words.Text {
	if c == "" {
		return words.Text{}
	}
	return words.Say(words.Code{Group: group, Code: c})
}
