// Package words is the catalogue of all words that people read on paper and screen, in
// every language the program speaks. A word is a value with its texts side by side, so
// that a missing translation does not compile and a misspelt key cannot exist:
//
//	words.WorkOrder.In(words.German)
//
// Terms of the trade that files name by code ("i-bar", "lingual-bar") are found with Term.
package words

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfpear/tooth"
)

// Lang is what somebody reads: a language by its short name (BCP 47) and, where teeth are
// not numbered by ISO 3950, how they are, as in "en-x-universal".
type Lang string

const (
	English Lang = "en"
	German  Lang = "de"
	// Pseudo is English in strange letters, longer by a third and in brackets: a text on
	// a page drawn in it that has no brackets did not come from the catalogue, and one that
	// runs over its frame would do so in some language.
	Pseudo Lang = "x-pseudo"
)

// Langs lists the languages a user may choose.
var Langs = [...]Lang{English, German}

// ParseLang reads a language's short name; a region behind it is dropped, as in "de-AT".
func ParseLang(s string) (Lang, error) {
	short, _, _ := strings.Cut(strings.ToLower(s), "-")
	if strings.ToLower(s) == string(Pseudo) {
		return Pseudo, nil
	}
	for _, l := range Langs {
		if short == string(l) {
			return l, nil
		}
	}
	return "", fmt.Errorf("language %q: expected one of %v", s, Langs)
}

// numberingMark stands between a language and a way of numbering teeth.
const numberingMark = "-x-"

// Numbered is the language with teeth numbered another way.
func (l Lang) Numbered(n tooth.Numbering) Lang {
	l = l.Language()
	if n == "" || n == tooth.FDI {
		return l
	}
	return l + numberingMark + Lang(n)
}

// Language is the language alone, with teeth numbered by ISO 3950.
func (l Lang) Language() Lang {
	short, _, _ := strings.Cut(string(l), numberingMark)
	return Lang(short)
}

// Teeth is how teeth are numbered.
func (l Lang) Teeth() tooth.Numbering {
	if _, n, ok := strings.Cut(string(l), numberingMark); ok {
		return tooth.Numbering(n)
	}
	return tooth.FDI
}

// ToothName is a tooth's number as it is read, as in "34" or "#21".
func ToothName(l Lang, n tooth.Number) string { return n.In(l.Teeth()) }

// ToothAndISO is a tooth's number as it is read, with that of ISO 3950 where it is another,
// as in "#21 (ISO 34)".
func ToothAndISO(l Lang, n tooth.Number) string {
	if l.Teeth() == tooth.FDI {
		return n.String()
	}
	return ToothName(l, n) + " (ISO\u00a0" + n.String() + ")"
}

// Teeth are several teeth, said one after another.
type Teeth []tooth.Number

// In says the teeth's numbers.
func (ts Teeth) In(l Lang) string {
	out := make([]string, len(ts))
	for i, n := range ts {
		out[i] = ToothName(l, n)
	}
	return strings.Join(out, " ")
}

// Word is one text in all languages. It may hold places for values, written as package
// fmt writes them; a language that needs another order numbers them, as in %[2]s.
type Word struct{ en, de string }

// catalogue holds every word once, for the tests.
var catalogue []Word

// say enters a word into the catalogue.
func say(en, de string) Word {
	w := Word{en, de}
	catalogue = append(catalogue, w)
	return w
}

// In is the text in a language, with the values put in their places. A text that the word
// does not have in that language is said in the one it has, with that language's short
// name before it.
// Values that are written differently from reader to reader (a Word, a Said, a tooth's
// number, a bare number) are said for this one.
func (w Word) In(l Lang, values ...any) string {
	text, mark := w.en, ""
	switch language := l.Language(); {
	case language == German && w.de != "":
		text = w.de
	case language == German && w.en != "":
		mark = "[en] "
	case w.en == "" && w.de != "":
		text, mark = w.de, "[de] "
	}
	if l.Language() == Pseudo {
		text, mark = pseudo(text), ""
	}
	if len(values) > 0 {
		said := make([]any, len(values))
		for i, v := range values {
			said[i] = l.value(v)
		}
		text = fmt.Sprintf(text, said...)
	}
	return mark + text
}

// value is a value as this reader reads it.
func (l Lang) value(v any) any {
	switch v := v.(type) {
	case Word:
		return v.In(l)
	case Said:
		return v.In(l)
	case tooth.Number:
		return toothName(ToothName(l, v))
	case float64:
		return decimal{v, l}
	case error:
		return OfError(v).In(l)
	}
	return v
}

// toothName is written in whatever way its place asks for a number.
type toothName string

func (t toothName) Format(f fmt.State, _ rune) { io.WriteString(f, string(t)) }

// Blank tells the zero Word from a real one.
func (w Word) Blank() bool { return w.en == "" && w.de == "" }

// strange maps letters to look-alikes that the drawing's typeface has.
var strange = map[rune]rune{
	'a': 'å', 'b': 'ƀ', 'c': 'ç', 'd': 'đ', 'e': 'é', 'f': 'ƒ', 'g': 'ĝ', 'h': 'ĥ', 'i': 'î', 'j': 'ĵ', 'k': 'ķ', 'l': 'ļ', 'm': 'ɱ',
	'n': 'ñ', 'o': 'ö', 'p': 'þ', 'q': 'ǫ', 'r': 'ŕ', 's': 'š', 't': 'ţ', 'u': 'û', 'v': 'ṽ', 'w': 'ŵ', 'x': 'ẋ', 'y': 'ý', 'z': 'ž',
	'A': 'Å', 'B': 'Ɓ', 'C': 'Ç', 'D': 'Đ', 'E': 'É', 'F': 'Ƒ', 'G': 'Ĝ', 'H': 'Ĥ', 'I': 'Î', 'J': 'Ĵ', 'K': 'Ķ', 'L': 'Ļ', 'M': 'Ṁ',
	'N': 'Ñ', 'O': 'Ö', 'P': 'Þ', 'R': 'Ŕ', 'S': 'Š', 'T': 'Ţ', 'U': 'Û', 'V': 'Ṽ', 'W': 'Ŵ', 'X': 'Ẋ', 'Y': 'Ý', 'Z': 'Ž',
}

// pseudo writes a text in strange letters, longer by a third, in brackets; the places for
// values stay as they are.
func pseudo(en string) string {
	var b strings.Builder
	b.WriteRune('⟦')
	for i := 0; i < len(en); {
		if en[i] == '%' {
			j := i + 1
			for j < len(en) && !unicode.IsLetter(rune(en[j])) && en[j] != '%' {
				j++
			}
			if j < len(en) {
				j++
			}
			b.WriteString(en[i:j])
			i = j
			continue
		}
		r := []rune(en[i:])[0]
		i += len(string(r))
		if s, ok := strange[r]; ok {
			r = s
		}
		b.WriteRune(r)
	}
	b.WriteString(strings.Repeat("·", (utf8.RuneCountInString(en)+2)/3))
	b.WriteRune('⟧')
	return b.String()
}

// Number writes v for people with a fixed number of digits.
func Number(l Lang, v float64, digits int) string {
	if math.Abs(v) < 0.5*math.Pow(10, -float64(digits)) {
		v = 0
	}
	return written(l, strconv.FormatFloat(v, 'f', digits, 64))
}

// written turns a number as programs write it into one for people: with a minus sign
// instead of a hyphen, and in German with a decimal comma.
func written(l Lang, s string) string {
	s = strings.Replace(s, "-", "\u2212", 1)
	if l.Language() == German {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

// MM writes a length in millimetres, as in "0.25 mm": two digits, one from 10 mm on.
func MM(l Lang, v float64) string {
	digits := 2
	if math.Abs(v) >= 10 {
		digits = 1
	}
	return Number(l, v, digits) + "\u00a0mm"
}

// Deg writes an angle in degrees, as in "3.5°".
func Deg(l Lang, v float64) string { return Number(l, v, 1) + "°" }

// List joins items with commas and the language's "and" before the last.
func List(l Lang, items []string) string {
	switch len(items) {
	case 0:
		return ""
	case 1:
		return items[0]
	}
	return strings.Join(items[:len(items)-1], ", ") + " " + And.In(l) + " " + items[len(items)-1]
}
