package words

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// Text is something to say to whoever reads, in the language they chose: a word with its
// values, or several texts one after another. The zero Text says nothing.
type Text struct {
	word   Word
	values []any
	said   Said // where it is one value alone
	parts  []Text
	sep    string // between parts; the text itself where there are none
}

// Said is a value that is written differently in different languages: a Text, a Code, a
// Length. A tooth's number and a bare number need no wrapping to be said so; any other value
// of a Word is written as it is.
type Said interface{ In(l Lang) string }

// With puts values into a word, to be said later.
func (w Word) With(values ...any) Text { return Text{word: w, values: values} }

// Tell is a sentence that belongs to one place of the program and is written there, in
// English, with its values. Its German stands in this package under the English (see
// told); the tests fail while it does not, and readers see the English marked as such.
func Tell(english string, values ...any) Text {
	return Text{word: Word{english, told[english]}, values: values}
}

// Errorf is an error in words for people, told as Tell tells. Its Error is the English; a
// value that is an error itself is wrapped.
func Errorf(english string, values ...any) error { return &failure{Tell(english, values...)} }

type failure struct{ text Text }

func (e *failure) Error() string    { return e.text.String() }
func (e *failure) In(l Lang) string { return e.text.In(l) }
func (e *failure) Unwrap() error {
	for _, v := range e.text.values {
		if err, ok := v.(error); ok {
			return err
		}
	}
	return nil
}

// OfError is what an error says: in the reader's language where it was made by Errorf, and
// as it stands, marked as English, where it was not.
func OfError(err error) Text {
	if s, ok := err.(Said); ok {
		return Say(s)
	}
	return Own(strings.ReplaceAll(err.Error(), "%", "%%"), "").With()
}

// Own is a word that is no part of the catalogue: a rule's, or a school's. A language it
// lacks is stood in for by the other one, marked.
func Own(english, german string) Word { return Word{english, german} }

// Say is a value as a text of its own.
func Say(s Said) Text { return Text{said: s} }

// Plain is what a person typed or a file is called: the same in every language.
func Plain(s string) Text { return Text{parts: []Text{}, sep: s} }

// Join says texts one after another with sep between them; empty ones are left out.
func Join(sep string, texts ...Text) Text {
	out := Text{parts: []Text{}, sep: sep}
	for _, t := range texts {
		if !t.Empty() {
			out.parts = append(out.parts, t)
		}
	}
	switch len(out.parts) {
	case 0:
		return Text{}
	case 1:
		return out.parts[0]
	}
	return out
}

// Listed says texts with commas between them.
func Listed(texts ...Text) Text { return Join(", ", texts...) }

// Empty tells a text that says nothing.
func (t Text) Empty() bool {
	return t.word.Blank() && t.said == nil && len(t.parts) == 0 && t.sep == ""
}

// In says the text in a language.
func (t Text) In(l Lang) string {
	if t.said != nil {
		return t.said.In(l)
	}
	if t.parts != nil {
		if len(t.parts) == 0 {
			return t.sep
		}
		said := make([]string, len(t.parts))
		for i, p := range t.parts {
			said[i] = p.In(l)
		}
		return strings.Join(said, t.sep)
	}
	return t.word.In(l, t.values...)
}

// decimal is a bare number in a text: written as its place asks, for people.
type decimal struct {
	v float64
	l Lang
}

func (d decimal) Format(f fmt.State, verb rune) {
	io.WriteString(f, written(d.l, fmt.Sprintf(fmt.FormatString(f, verb), d.v)))
}

// String is the English.
func (t Text) String() string { return t.In(English) }

// Lines says texts one by one.
func Lines(l Lang, texts []Text) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = t.In(l)
	}
	return out
}

// Code is a trade term to be said in the reader's language, as in Code{"rest", "occlusal"}.
type Code struct{ Group, Code string }

// In is the term.
func (c Code) In(l Lang) string { return Term(l, c.Group, c.Code) }

// Length is a length in millimetres, written with its unit.
type Length float64

// In writes the length.
func (v Length) In(l Lang) string { return MM(l, float64(v)) }

// Amount is a number with its unit, written as a finding writes it.
type Amount struct {
	Value float64
	Unit  string // "mm", "deg", "N", "MPa", "teeth", "" for a ratio
}

// In writes the amount: with two digits, one from 10 on and none from 100 on; degrees with
// one, counts with none.
func (a Amount) In(l Lang) string {
	switch a.Unit {
	case "mm":
		return MM(l, a.Value)
	case "deg":
		return Deg(l, a.Value)
	case "":
		return Number(l, a.Value, 2)
	case "teeth", "months", "grade":
		return Number(l, a.Value, 0) + "\u00a0" + Term(l, "unit", a.Unit)
	case "MPa":
		return Number(l, a.Value, 0) + "\u00a0MPa"
	}
	digits := 2
	switch v := math.Abs(a.Value); {
	case v >= 100:
		digits = 0
	case v >= 10:
		digits = 1
	}
	return Number(l, a.Value, digits) + "\u00a0" + a.Unit
}

// Figure is a number with a fixed number of digits.
type Figure struct {
	Value  float64
	Digits int
}

// In writes the number.
func (f Figure) In(l Lang) string { return Number(l, f.Value, f.Digits) }

// told holds the German of what Tell says, by the English.
var told = map[string]string{}

// tell enters German sentences by their English.
func tell(german map[string]string) struct{} {
	for en, de := range german {
		if _, twice := told[en]; twice {
			panic(fmt.Sprintf("%q is told twice", en))
		}
		told[en] = de
	}
	return struct{}{}
}
