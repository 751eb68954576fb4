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
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Lang is a language by its short name (BCP 47).
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
func (w Word) In(l Lang, values ...any) string {
	text, mark := w.en, ""
	switch {
	case l == German && w.de != "":
		text = w.de
	case l == German && w.en != "":
		mark = "[en] "
	case w.en == "" && w.de != "":
		text, mark = w.de, "[de] "
	}
	if l == Pseudo {
		text, mark = pseudo(text), ""
	}
	if len(values) > 0 {
		text = fmt.Sprintf(text, values...)
	}
	return mark + text
}

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

// Number writes v with a fixed number of digits as the language does: a comma in German.
func Number(l Lang, v float64, digits int) string {
	if math.Abs(v) < 0.5*math.Pow(10, -float64(digits)) {
		v = 0
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if l == German {
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
