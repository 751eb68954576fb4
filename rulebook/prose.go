package rulebook

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Prose is a sentence of a rule in the languages it has. Values stand in it in braces:
// {value}, {limit}, {place}, a fact's name, or limit. and a limit's name.
type Prose struct {
	word  words.Word // with numbered places for the values
	slots []string
}

// In is the sentence with its braces, as the rule file has it.
func (p Prose) In(l words.Lang) string {
	values := make([]any, len(p.slots))
	for i, s := range p.slots {
		values[i] = "{" + s + "}"
	}
	return p.word.In(l, values...)
}

// prose reads a sentence in the languages it has; an empty one is lacking. Both ask for
// the same values.
func prose(english, german string) (Prose, error) {
	var p Prose
	texts := [2]string{english, german}
	var sets [2][]string
	for i, t := range texts {
		for _, s := range slots(t) {
			if !slices.Contains(sets[i], s) {
				sets[i] = append(sets[i], s)
			}
			if !slices.Contains(p.slots, s) {
				p.slots = append(p.slots, s)
			}
		}
	}
	if english != "" && german != "" && (len(sets[0]) != len(p.slots) || len(sets[1]) != len(p.slots)) {
		return p, fmt.Errorf("the English asks for the values %v, the German for %v; expected the same", sets[0], sets[1])
	}
	if len(p.slots) > 0 {
		for i, t := range texts {
			t = strings.ReplaceAll(t, "%", "%%")
			for n, s := range p.slots {
				t = strings.ReplaceAll(t, "{"+s+"}", fmt.Sprintf("%%[%d]v", n+1))
			}
			texts[i] = t
		}
	}
	p.word = words.Own(texts[0], texts[1])
	return p, nil
}

// slots lists the names in braces in a text.
func slots(text string) []string {
	var out []string
	for {
		_, after, ok := strings.Cut(text, "{")
		if !ok {
			return out
		}
		name, rest, ok := strings.Cut(after, "}")
		if !ok {
			return out
		}
		out = append(out, name)
		text = rest
	}
}

func (b *Book) knownSlot(name string) bool {
	if name == "value" || name == "limit" || name == "place" {
		return true
	}
	if l, ok := strings.CutPrefix(name, "limit."); ok {
		_, ok := b.limits[l]
		return ok
	}
	_, ok := known(name)
	return ok
}

// fill puts values into a sentence's braces.
func (b *Book) fill(p Prose, s Subject, c *Check, q *unit.Quantity, limit *float64) words.Text {
	values := make([]any, len(p.slots))
	for i, name := range p.slots {
		values[i] = words.NotKnown
		switch {
		case name == "value" && q != nil:
			values[i] = words.Amount{Value: q.Value, Unit: q.Unit}
		case name == "limit" && limit != nil:
			values[i] = words.Amount{Value: *limit, Unit: c.Unit}
			if f, ok := known(c.Value); ok && f.Type == Count && c.Unit == "" && *limit == math.Trunc(*limit) {
				values[i] = int64(*limit) // things that are counted
			}
		case name == "place":
			values[i] = s.Label
		case strings.HasPrefix(name, "limit."):
			l := b.limits[strings.TrimPrefix(name, "limit.")]
			values[i] = words.Amount{Value: l.Value, Unit: l.Unit}
		default:
			if v, ok := s.Lookup(name); ok {
				values[i] = v
			}
		}
	}
	return p.word.With(values...)
}

// In writes a fact for people.
func (v Value) In(l words.Lang) string {
	switch x := v.V.(type) {
	case float64:
		return words.Amount{Value: x, Unit: v.Unit}.In(l)
	case bool:
		if x {
			return words.Yes.In(l)
		}
		return words.No.In(l)
	case string:
		return coded(l, x)
	case tooth.Number:
		return words.ToothName(l, x)
	case words.Teeth:
		if len(x) == 0 {
			return words.NoneOfThem.In(l)
		}
		return strings.ReplaceAll(x.In(l), " ", ", ")
	case []string:
		if len(x) == 0 {
			return words.NoneOfThem.In(l)
		}
		out := make([]string, len(x))
		for i, s := range x {
			out[i] = coded(l, s)
		}
		return strings.Join(out, ", ")
	}
	return fmt.Sprint(v.V)
}

// coded says a fact's text: an element, or something an order lacks, in the reader's
// language, what is neither as it stands. What lacks at a part is written "undercut:ID".
func coded(l words.Lang, s string) string {
	code, of, whose := strings.Cut(s, ":")
	for _, group := range []string{"allergy", "lack"} {
		if words.HasTerm(group, code) {
			if s = words.Term(l, group, code); whose {
				s += " " + of
			}
			return s
		}
	}
	return s
}
