package drawing_test

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"halfpear/drawing"
	"halfpear/mechanics"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/words"
)

func mechanicsPages(t *testing.T, p laid, r *mechanics.Report, in drawing.Input) []sheet.Page {
	t.Helper()
	in.Title, in.Case, in.Class, in.Program, in.Date = p.study.Case.Title, string(p.study.Case.ID), p.study.Class.String(), "test", "2026-11-25"
	in.Cast, in.Survey, in.Placement, in.Design = p.study.Cast, p.study.Along, p.Placement, p.design
	pages, err := drawing.MechanicsPage(in, r)
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

var shareText = regexp.MustCompile(`^([AB]) ([-−]?\d+) %$`)

// On one page in every language and both papers nothing lies over anything else; the
// shares printed on the plan come to the whole load, by statics, but for what rounding
// takes; and the bite on the patient's right stands on the reader's left.
func TestTheMechanicsPage(t *testing.T) {
	for _, g := range gaps[:3] {
		p, ok := plan(t, mouth(g.arch, g.missing...), rulebook.Profiles[0], [2]float64{})
		if !ok {
			t.Fatalf("no design for %v", g.missing)
		}
		r := mechanics.Assess(p.study.Cast, p.study.Case.Chart, p.design, p.Placement)
		for _, l := range []words.Lang{words.English, words.German, words.Pseudo} {
			for _, paper := range []sheet.Size{sheet.A4, sheet.Letter} {
				pages := mechanicsPages(t, p, r, drawing.Input{Lang: l, Paper: paper})
				judge(t, "mechanics, "+string(l), pages)
				if len(pages) != 1 && l != words.Pseudo {
					t.Errorf("%v, %s: %d pages, expected one", g.missing, l, len(pages))
				}
				sum, n := map[string]int{}, map[string]int{}
				var at [2]float64
				for _, x := range pages[0].Texts() {
					s := strings.ReplaceAll(x.Str, "\u00a0", " ")
					if f := shareText.FindStringSubmatch(s); f != nil && strings.HasPrefix(x.Name, "share ") {
						v, _ := strconv.Atoi(strings.Replace(f[2], "−", "-", 1))
						sum[f[1]] += v
						n[f[1]]++
					}
					if s == "A" && x.Ink == sheet.White {
						at[0] = x.At.X
					}
					if s == "B" && x.Ink == sheet.White {
						at[1] = x.At.X
					}
				}
				if len(sum) == 0 {
					t.Errorf("%v, %s: no share is on the plan", g.missing, l)
				}
				for k, v := range sum {
					if math.Abs(float64(v-100)) > 1+0.5*float64(n[k]) {
						t.Errorf("%v, %s: the shares of %s come to %d %%", g.missing, l, k, v)
					}
				}
				if at[1] != 0 && at[0] >= at[1] {
					t.Errorf("%v: the bite on the right stands at %.0f, that on the left at %.0f", g.missing, at[0], at[1])
				}
			}
		}
	}
}

func TestMechanicsWithoutAReport(t *testing.T) {
	p, ok := plan(t, mouth(gaps[0].arch, gaps[0].missing...), rulebook.Profiles[0], [2]float64{})
	if !ok {
		t.Fatal("no design")
	}
	if _, err := drawing.MechanicsPage(drawing.Input{Cast: p.study.Cast, Placement: p.Placement}, nil); err == nil {
		t.Error("a page was drawn of no report")
	}
	pages := mechanicsPages(t, p, &mechanics.Report{Unknown: []mechanics.Unknown{{Why: mechanics.NoRest}}}, drawing.Input{})
	found := false
	for _, x := range pages[0].Texts() {
		found = found || strings.Contains(x.Str, "no rest is placed")
	}
	if !found {
		t.Error("what was not reckoned is not told")
	}
}
