package proposal

import (
	"fmt"
	"sort"
	"strings"

	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
)

// Difference is one place where a design and a proposal differ.
type Difference struct {
	Tooth    tooth.Number // 0 for what stands on no single tooth
	Kind     design.Kind
	Design   string // what the design has there; "nothing" where it has none
	Proposal string
	Because  string // the proposal's reason
	Rule     rulebook.RuleID
}

// Where names the place for people.
func (d Difference) Where() string {
	kind := strings.ReplaceAll(string(d.Kind), "-", " ")
	if d.Tooth == 0 {
		return kind
	}
	return fmt.Sprintf("%s on %d", kind, d.Tooth)
}

// Compare sets a design beside a proposal, part by part: by tooth and kind, whatever the
// parts are called. Only what differs is listed.
func Compare(d design.Design, p Proposal) []Difference {
	type key struct {
		n tooth.Number
		k design.Kind
	}
	text := func(d design.Design) (map[key][]string, map[key]design.ID) {
		out, ids := map[key][]string{}, map[key]design.ID{}
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
				out[k] = append(out[k], fmt.Sprintf("%v %s %s", teeth, q.Support, q.Attachment))
			default:
				out[k] = append(out[k], sketch(q))
			}
			ids[k] = q.ID
		}
		for k := range out {
			sort.Strings(out[k])
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
		a, b := strings.Join(mine[k], " and "), strings.Join(theirs[k], " and ")
		if a == b {
			continue
		}
		diff := Difference{Tooth: k.n, Kind: k.k, Design: a, Proposal: b}
		if a == "" {
			diff.Design = "nothing"
		}
		if b == "" {
			diff.Proposal = "nothing"
		}
		if r, ok := p.Why(ids[k]); ok {
			diff.Because, diff.Rule = r.Because, r.Rule
		}
		out = append(out, diff)
	}
	return out
}

// sketch is a part in a few words.
func sketch(p design.Part) string {
	words := []string{}
	for _, w := range []string{string(p.Form), string(p.Site), string(p.Surface)} {
		if w != "" {
			words = append(words, w)
		}
	}
	if p.Undercut != nil {
		words = append(words, fmt.Sprintf("%s %.2f mm", p.Undercut.Site, p.Undercut.MM))
	}
	if p.Kind == design.Retainer && p.Material != "" {
		words = append(words, p.Material)
	}
	return strings.Join(words, " ")
}
