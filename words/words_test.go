package words

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"halfpear/tooth"
)

var verb = regexp.MustCompile(`%(\[\d+\])?[-+#0]*\d*(\.\d+)?[a-zA-Z]`)

// Every word says something in every language, and asks for the same values there.
func TestTheCatalogueIsComplete(t *testing.T) {
	if len(catalogue) < 80 {
		t.Fatalf("the catalogue has %d words", len(catalogue))
	}
	for _, w := range catalogue {
		for _, l := range Langs {
			text := w.In(l)
			if strings.TrimSpace(text) == "" || text != strings.TrimSpace(text) {
				t.Errorf("%q has no clean text in %s: %q", w.en, l, text)
			}
			if strings.Contains(text, "  ") {
				t.Errorf("%q has two spaces in a row", text)
			}
		}
		if a, b := verb.FindAllString(w.en, -1), verb.FindAllString(w.de, -1); len(a) != len(b) {
			t.Errorf("%q takes %d values, its German %q takes %d", w.en, len(a), w.de, len(b))
		} else if numbered := strings.Contains(w.de, "%["); !numbered && !slices.Equal(a, b) {
			t.Errorf("%q and %q take their values in another order", w.en, w.de)
		}
		if a, b := verb.FindAllString(w.en, -1), verb.FindAllString(w.In(Pseudo), -1); !slices.Equal(a, b) {
			t.Errorf("%q loses its values in the pseudo-language: %q", w.en, w.In(Pseudo))
		}
	}
}

// German is not English left standing: words alike in both are the few that the trade
// writes alike.
func TestGermanIsTranslated(t *testing.T) {
	alike := map[string]bool{"mesial": true, "distal": true, "PEEK": true, "PEKK": true, "Name": true, "Version": true, "Material": true}
	for _, w := range catalogue {
		if w.en == w.de && !alike[w.en] && strings.ContainsAny(verb.ReplaceAllString(w.en, ""), "abcdefghijklmnopqrstuvwxyz") {
			t.Errorf("%q is the same in German", w.en)
		}
	}
}

func TestPseudoIsLongerAndMarked(t *testing.T) {
	for _, w := range catalogue {
		p := []rune(w.In(Pseudo))
		if p[0] != '⟦' || p[len(p)-1] != '⟧' {
			t.Errorf("%q is not in brackets", string(p))
		}
		if len(p) < len([]rune(w.en))*5/4 {
			t.Errorf("%q is hardly longer than %q", string(p), w.en)
		}
	}
	if got := say("%d of %s", "%d von %s").In(Pseudo, 3, "x"); !strings.Contains(got, "3") || !strings.Contains(got, "x") {
		t.Errorf("values got lost: %s", got)
	}
}

// Decimal signs as the two languages' typesetting has them (DIN 1333 asks for a comma).
func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		l    Lang
		v    float64
		want string
	}{{English, 0.25, "0.25\u00a0mm"}, {German, 0.25, "0,25\u00a0mm"}, {German, 12.34, "12,3\u00a0mm"}, {English, -0.001, "0.00\u00a0mm"}, {English, -0.25, "−0.25\u00a0mm"}, {German, -0.25, "−0,25\u00a0mm"}} {
		if got := MM(c.l, c.v); got != c.want {
			t.Errorf("MM(%s, %g) = %q, expected %q", c.l, c.v, got, c.want)
		}
	}
	if got := List(German, []string{"33", "34", "35"}); got != "33, 34 und 35" {
		t.Errorf("got %q", got)
	}
}

func TestParseLang(t *testing.T) {
	for s, want := range map[string]Lang{"de": German, "de-AT": German, "EN": English, "x-pseudo": Pseudo} {
		if got, err := ParseLang(s); err != nil || got != want {
			t.Errorf("ParseLang(%q) = %q, %v", s, got, err)
		}
	}
	if _, err := ParseLang("fr"); err == nil {
		t.Error("French is not in the catalogue, yet it was accepted")
	}
}

func TestSitesAndSurfacesHaveTerms(t *testing.T) {
	for _, s := range tooth.Sites {
		if !HasTerm("site", string(s)) {
			t.Errorf("site %s has no word", s)
		}
	}
}
