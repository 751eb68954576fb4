package rulebook

import (
	"regexp"
	"strings"
	"testing"

	"halfpear/words"
)

// Every check says all it says in both languages; that the values in braces are the same
// is asked when the book is read.
func TestEveryCheckSpeaksGerman(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range b.Checks {
		for what, w := range map[string]interface{ In(words.Lang) string }{"title": c.Title.With(), "asks": c.Asks.With(), "message": c.Message, "why": c.Why.With(), "remedy": c.Remedy} {
			en, de := w.In(words.English), w.In(words.German)
			german(t, string(c.ID)+", "+what, en, de)
		}
	}
}

var (
	// Words that stand in English sentences and in no German one.
	foreign = regexp.MustCompile(`\b(the|of|and|with|is|are|for|to|a|on|from|no|not|at|or|by|its)\b`)
	figures = regexp.MustCompile(`\d+(?:[.,]\d+)?`)
	points  = regexp.MustCompile(`\d\.\d`)
)

// german fails where a German sentence is lacking, is English, or gives other figures.
func german(t *testing.T, where, en, de string) {
	t.Helper()
	switch {
	case (en == "") != (de == ""):
		t.Errorf("%s: English %q, German %q", where, en, de)
	case en == "":
	case strings.HasPrefix(de, "[en]"):
		t.Errorf("%s: no German for %q", where, en)
	case foreign.MatchString(braces.ReplaceAllString(de, "")):
		t.Errorf("%s: English left in %q", where, de)
	case points.MatchString(de):
		t.Errorf("%s: a decimal point in %q", where, de)
	case strings.Contains(de, "  ") || strings.TrimSpace(de) != de:
		t.Errorf("%s: spaces in %q", where, de)
	case strings.HasSuffix(en, ".") != strings.HasSuffix(de, "."):
		t.Errorf("%s: one is a sentence, the other is not: %q, %q", where, en, de)
	}
	a := strings.Join(figures.FindAllString(braces.ReplaceAllString(strings.ReplaceAll(en, ",", ""), ""), -1), " ")
	z := strings.ReplaceAll(strings.Join(figures.FindAllString(braces.ReplaceAllString(de, ""), -1), " "), ",", ".")
	if a != z {
		t.Errorf("%s: the English gives the figures %q, the German %q: %q", where, a, z, de)
	}
}

var braces = regexp.MustCompile(`\{[^}]*\}`)

// What the decision tables, the limits, the facts and the profiles say is in both
// languages, and nothing German is left over.
func TestTheRestOfTheBookSpeaksGerman(t *testing.T) {
	both := func(where string, w words.Word) { german(t, where, w.In(words.English), w.In(words.German)) }
	for _, p := range Profiles {
		b, err := Open(p)
		if err != nil {
			t.Fatal(err)
		}
		both(p, b.Title)
		for _, d := range append(append([]Decision(nil), b.Retainers...), b.Connectors...) {
			both(string(d.ID)+", situation", d.Situation)
			both(string(d.ID)+", why", d.Why)
			for _, c := range d.Choices {
				both(string(d.ID)+", remark", c.Say)
			}
		}
	}
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range b.Limits {
		both(l.Name, l.Doc)
	}
	for _, f := range Known {
		both(f.Name, FactLabel(f.Name))
	}
	limits, _ := translated[string]("limits.yaml")
	for name := range limits {
		if _, ok := b.limits[name]; !ok {
			t.Errorf("the German of limit %s is left over", name)
		}
	}
	for name := range germanFacts() {
		if _, ok := known(name); !ok {
			t.Errorf("the German of fact %s is left over", name)
		}
	}
	for _, file := range checkFiles {
		checks, _ := translated[wireProse](file)
		for id := range checks {
			if _, ok := b.Rule(RuleID(id)); !ok {
				t.Errorf("the German of %s is left over", id)
			}
		}
	}
	s, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	for _, d := range append(append([]wireDecision(nil), s.retainers...), s.connectors...) {
		count[d.ID]++
	}
	for _, name := range []string{"decisions.yaml", "connectors.yaml"} {
		rows, _ := translated[[]wireRow](name)
		for id, list := range rows {
			if count[id] < len(list) {
				t.Errorf("%s has %d rows, %d in German", id, count[id], len(list))
			}
		}
	}
}

// A school's own profile may speak one language only; what it lacks in the reader's is
// said in its own, marked.
func TestASchoolMaySpeakOneLanguage(t *testing.T) {
	check := func(head, more string) *Check {
		t.Helper()
		b, problems := Read([]byte("profile: x\ntitle: Unsere Schule\n" + head + `checks:
  - id: "X-1"
    title: Höchstens fünf Auflagen
    value: design.rests
    grades: [{is: note, above: "5.0"}]
    message: "Der Entwurf hat {design.rests} Auflagen."
    why: Wir bauen einfach.
    remedy: Eine weglassen.
    mark: ours
` + more))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		c, _ := b.Rule("X-1")
		if head != "" && b.Title.In(words.German) != "Unsere Schule" {
			t.Errorf("the title is %q", b.Title.In(words.German))
		}
		return c
	}
	c := check("language: de\n", "")
	if de, en := c.Why.In(words.German), c.Why.In(words.English); de != "Wir bauen einfach." || en != "[de] Wir bauen einfach." {
		t.Errorf("%q, %q", de, en)
	}
	c = check("", "")
	if de := c.Message.In(words.German); de != "[en] Der Entwurf hat {design.rests} Auflagen." {
		t.Errorf("%q", de)
	}
	c = check("language: de\n", "    en: {title: Five rests at most, message: \"The design has {design.rests} rests.\", why: We build simply., remedy: Leave one out.}\n")
	if en := c.Message.In(words.English); en != "The design has {design.rests} rests." {
		t.Errorf("%q", en)
	}
	_, problems := Read([]byte("profile: x\nchecks:\n  - {id: \"X-1\", title: t, value: design.rests, grades: [{is: note, above: \"5.0\"}], message: \"{design.rests}\", why: w, remedy: r, mark: ours, de: {message: \"{design.tips}\"}}\n"))
	if len(problems) != 1 || !strings.Contains(problems[0].Text, "expected the same") {
		t.Errorf("other values in the other language: %v", problems)
	}
	if _, problems := Read([]byte("profile: x\nlanguage: fr\n")); len(problems) != 1 || problems[0].Line != 2 {
		t.Errorf("French: %v", problems)
	}
}
