package rulebook

import (
	"os"
	"strings"
	"testing"

	"halfpear/words"
)

func TestFactsPageIsTheOneInTheDocs(t *testing.T) {
	page, err := os.ReadFile("../docs/facts.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != FactsText(words.English) {
		t.Error("docs/facts.md is not what the code says: write it anew with halfpear rules facts > docs/facts.md")
	}
}

func TestSchoolsOwnProfile(t *testing.T) {
	b, problems := Read([]byte(`profile: our-school
base: combination-first
title: What we teach
limits:
  lb.minF: 7
  cls.strictApplegate: true
severities:
  CHK-164: [caution, note]
  CHK-170: caution
off: ["CHK-138"]
choices:
  DEC-01:
    - {form: i-bar, rest: mesial, site: [mid]}
checks:
  - id: "OUR-001"
    title: No more than five rests
    over: case
    value: design.rests
    grades: [{is: note, above: "5.0"}]
    message: "The design has {design.rests} rests."
    why: We keep designs simple.
    remedy: Leave one out.
    mark: ours
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if b.Limit("lb.minF") != 7 || !b.Strict() || b.Base != "combination-first" {
		t.Errorf("limits were not taken: %v %v %v", b.Limit("lb.minF"), b.Strict(), b.Base)
	}
	c, _ := b.Rule("CHK-164")
	if c.Grades[0].Severity != Caution || c.Grades[1].Severity != Note {
		t.Errorf("CHK-164 has grades %+v", c.Grades)
	}
	if c, _ := b.Rule("CHK-044"); c.Grades[0].Severity != Note {
		t.Error("the base profile's own severities were lost")
	}
	if _, ok := b.Rule("OUR-001"); !ok {
		t.Error("the school's own check was lost")
	}
	plain, err := Open("combination-first")
	if err != nil {
		t.Fatal(err)
	}
	if plain.Limit("lb.minF") != 8 {
		t.Error("a school's profile changed the shipped one")
	}
	if c, _ := plain.Rule("CHK-164"); c.Grades[0].Severity != Stop {
		t.Error("a school's profile changed the shipped one's severities")
	}
	for _, d := range b.Retainers {
		if d.ID == "DEC-01" && (len(d.Choices) != 1 || d.Choices[0].Form != "i-bar") {
			t.Errorf("DEC-01 has choices %v", d.Choices)
		}
	}
}

func TestFaultyProfilesAreShownTheirPlace(t *testing.T) {
	for _, c := range []struct {
		name, text   string
		line, column int
		says         string
	}{
		{"unknown limit", "profile: x\nlimits:\n  lb.minf: 7\n", 3, 3, "did you mean lb.minF?"},
		{"limit that is no number", "profile: x\nlimits:\n  lb.minF: deep\n", 3, 3, "expected a number"},
		{"unknown key", "profile: x\nlimit: {}\n", 2, 1, "is no part of a profile"},
		{"unknown check", "profile: x\nseverities:\n  CHK-999: stop\n", 3, 3, "is no check"},
		{"unknown severity", "profile: x\nseverities:\n  CHK-170: error\n", 3, 3, "expected stop, caution or note"},
		{"unknown base", "profile: x\nbase: kratochvil\n", 2, 1, "is no shipped profile"},
		{"unknown form", "profile: x\nchoices:\n  DEC-01: [{form: j-bar, rest: mesial}]\n", 3, 3, "is no form"},
		{"not YAML", "profile: [x\n", 1, 10, ""},
		{"empty", "", 1, 1, "empty"},
		{"broken expression", "profile: x\nchecks:\n  - id: \"A\"\n    title: t\n    over: tooth\n    grades: [{is: note, fails: tooth.mobilty > 1}]\n    message: m\n    why: w\n    remedy: r\n    mark: ours\n",
			6, 37, "\"tooth.mobilty\" is no fact and no limit"},
		{"fact not known there", "profile: x\nchecks:\n  - id: \"A\"\n    title: t\n    over: rest\n    when: retainer.cast\n    grades: [{is: note, fails: rest.single_incisor}]\n    message: m\n    why: w\n    remedy: r\n    mark: ours\n",
			6, 5, "is not known there"},
	} {
		b, problems := Read([]byte(c.text))
		if b != nil || len(problems) == 0 {
			t.Errorf("%s: it was taken", c.name)
			continue
		}
		p := problems[0]
		if p.Line != c.line || p.Column != c.column || !strings.Contains(p.Text, c.says) {
			t.Errorf("%s: line %d, column %d: %q; expected line %d, column %d, saying %q", c.name, p.Line, p.Column, p.Text, c.line, c.column, c.says)
		}
	}
}

// An expression that compiles and cannot be worked out leaves its check undone and the
// others alone.
func TestAnExpressionThatBreaksStopsNothing(t *testing.T) {
	b, problems := Read([]byte(`profile: x
checks:
  - id: "A-1"
    title: A rule that divides by nothing
    over: case
    grades: [{is: stop, fails: "1 / (case.standing - case.standing) > 0"}]
    message: m
    why: w
    remedy: r
    mark: ours
`))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	r := b.Check(Input{})
	if len(r.Faults) != 1 || !strings.Contains(r.Faults[0], "A-1") {
		t.Errorf("faults %v", r.Faults)
	}
	found := false
	for _, f := range r.Findings {
		found = found || f.Rule == "A-1" && f.Status == NotChecked
	}
	if !found {
		t.Error("the broken rule is not said to be unchecked")
	}
}

func TestEveryCitedSourceIsListed(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	s, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range s.checks {
		for _, key := range c.Sources {
			if _, ok := b.Source(key); !ok {
				t.Errorf("%s cites %q, which is in no list of sources", c.ID, key)
			}
		}
	}
}
