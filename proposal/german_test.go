package proposal

import (
	"math/rand"
	"regexp"
	"strings"
	"testing"

	"halfpear/rulebook"
	"halfpear/words"
)

var (
	english = regexp.MustCompile(`\b(the|of|and|with|is|are|for|to|a|on|from|no|at|or|by|its)\b|\[en\]`)
	letters = regexp.MustCompile(`[a-z]{3,}`)
	names   = regexp.MustCompile(`(retainer|rest|base|reciprocation|guide-plate|minor-connector|tissue-stop|finish-line|major-connector|tooth|strut)(-[a-z0-9]+)*|proposal`)
)

// Whatever is said of designs for made-up mouths is said in German to those who read
// German, and all of it comes from the catalogues.
func TestProposalsSpeakTheReadersLanguage(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	said := 0
	for i := 0; i < 12; i++ {
		c, u := anyMouth(r)
		book, err := rulebook.Open(rulebook.Profiles[i%len(rulebook.Profiles)])
		if err != nil {
			t.Fatal(err)
		}
		list, err := Propose(Input{Chart: c, Book: book, Undercuts: u, Order: rulebook.Order{Fields: map[string]string{"alloy": ""}}})
		if err != nil {
			continue
		}
		for _, p := range list {
			say := func(where string, x words.Text) {
				t.Helper()
				if x.Empty() {
					return
				}
				said++
				de, pseudo := x.In(words.German), x.In(words.Pseudo)
				if english.MatchString(de) {
					t.Errorf("%s: English left in %q", where, de)
				}
				if strings.Contains(pseudo, "%!") || strings.Contains(de, "%!") {
					t.Errorf("%s: values do not fit: %q", where, de)
				}
				if s := names.ReplaceAllString(pseudo, ""); letters.MatchString(s) {
					t.Errorf("%s: %q is not from a catalogue in %q", where, letters.FindString(s), x)
				}
			}
			say("kind", p.Kind)
			for _, d := range p.Decisions {
				say("decision", d)
			}
			for _, r := range p.Reasons {
				say(string(r.Part), r.Because)
				for _, a := range r.Assumed {
					say(string(r.Part)+", assumed", a)
				}
				for _, x := range r.Rejected {
					say(string(r.Part)+", rejected", x.Form)
					say(string(r.Part)+", rejected", x.Because)
				}
			}
			for _, f := range p.Report.Findings {
				say(string(f.Rule), f.Message)
				say(string(f.Rule), f.Why)
				say(string(f.Rule), f.Remedy)
				say(string(f.Rule), f.Asked.Text)
			}
			for _, q := range p.Preparations.Items {
				say(string(q.Operation), q.Text)
				say(string(q.Operation), q.Check)
				for _, x := range q.Cautions {
					say(string(q.Operation), x)
				}
			}
			for _, q := range p.Design.Parts {
				if q.Note != "" {
					say(string(q.ID)+", note", rulebook.Noted(q.Note))
				}
			}
		}
	}
	if said < 5000 {
		t.Fatalf("only %d sentences were looked at", said)
	}
}
