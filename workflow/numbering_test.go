package workflow

import (
	"context"
	"os"
	"regexp"
	"strings"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// marked are numbers that are surely no tooth's, and those said to be of ISO 3950: decimals,
// amounts with their unit, a page's number, and shares with their ranges.
var marked = regexp.MustCompile(`ISO\x{a0}\d+|#\d+|[−-]?\d+[.,]\d+|\d+[\x{a0} ]?(mm|N|MPa|%|°)|(page|Seite) \d+ (of|von) \d+|:\x{a0}\d+|\([^()]*\d–[^()]*\)`)

var number = regexp.MustCompile(`\d+`)

// isoNumbers lists the standing teeth that a text names bare by their numbers of ISO 3950.
func isoNumbers(text string, stand map[string]bool) []string {
	var out []string
	for _, n := range number.FindAllString(marked.ReplaceAllString(text, " "), -1) {
		if stand[n] {
			out = append(out, n)
		}
	}
	return out
}

// Where teeth are numbered from 1 to 32, no paper and nothing that is said of a case names
// a standing tooth by its number of ISO 3950 without saying so: to a reader there, 24 is a
// lower incisor and no upper premolar. Lower arches are looked at, whose numbers, from 31
// on, are seldom anything else: from 33 on, since a tooth may be #32 there.
func TestTeethAreNumberedAsTheOrderGoes(t *testing.T) {
	data, err := os.ReadFile("../cmd/halfpear/cli/demo/lower-extension.yaml")
	if err != nil {
		t.Fatal(err)
	}
	extension, err := casefile.Read("demo", data)
	if err != nil {
		t.Fatal(err)
	}
	extension.Title = "" // holds numbers
	bounded := extension
	doubtful := chart.Tooth{Prognosis: "doubtful"}
	bounded.Chart.Teeth = map[tooth.Number]chart.Tooth{36: {State: chart.Missing}, 37: doubtful, 45: {State: chart.Missing}, 46: {State: chart.Missing}, 33: {Prognosis: "hopeless"}}
	bounded.Survey = casebook.Survey{}
	for name, c := range map[string]casebook.Case{"extension": extension, "bounded": bounded} {
		c.Order.Jurisdiction = "us-fl"
		b, err := rulebook.Open(c.Profile)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Open(context.Background(), Input{Case: c, Book: b})
		if err != nil {
			t.Fatal(err)
		}
		proposals, err := s.Propose(context.Background(), 2, nil)
		if err != nil {
			t.Fatal(err)
		}
		c.Design = &proposals[0].Design
		plan, err := s.With(c).PlanOf()
		if err != nil {
			t.Fatal(err)
		}
		stand := map[string]bool{}
		for _, n := range tooth.All(c.Chart.Arch) {
			if c.Chart.Stands(n) && n > 32 {
				stand[n.String()] = true
			}
		}
		for _, l := range words.Langs {
			papers, err := MakePapers(PapersInput{Study: plan.Study, Plan: plan, Made: order.Made{Program: "test"}, Lang: l, DraftToo: true})
			if err != nil {
				t.Fatal(err)
			}
			own := false
			for _, p := range papers.Pages {
				for _, x := range p.Texts() {
					own = own || strings.Contains(x.Str, "#")
					if strings.HasPrefix(x.Name, "ISO ") {
						continue
					}
					for _, n := range isoNumbers(x.Str, stand) {
						t.Errorf("%s, %s, %s: %q names tooth %s by ISO 3950", name, l, p.Name, x.Str, n)
					}
				}
			}
			if !own {
				t.Errorf("%s: no tooth is numbered as in Florida", name)
			}
			l = l.Numbered(order.Numbering(c))
			said := func(what string, text words.Text) {
				for _, n := range isoNumbers(text.In(l), stand) {
					t.Errorf("%s, %s: %s %q names tooth %s by ISO 3950", name, l, what, text.In(l), n)
				}
			}
			for _, p := range proposals {
				said("title", p.Kind)
				for _, r := range p.Reasons {
					said("reason", r.Because)
					for _, x := range r.Rejected {
						said("rejected", x.Form)
						said("rejected", x.Because)
					}
				}
				for _, d := range append(p.Decisions, p.Ways...) {
					said("decision", d)
				}
				for _, f := range p.Report.Findings {
					said("finding", f.Message)
					said("remedy", f.Remedy)
				}
			}
		}
	}
}
