package rulebook

import (
	_ "embed"
	"strconv"
	"strings"
	"testing"

	"halfpear/unit"
	"halfpear/words"
)

//go:embed testdata/checks.txt
var checkCases string

// Every check of the list fails, passes and goes unchecked where it should.
func TestEveryCheckFailsPassesAndLacks(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	done := map[RuleID]bool{}
	for _, line := range strings.Split(checkCases, "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		f := strings.Split(line, "|")
		if len(f) != 5 {
			t.Fatalf("expected five columns: %s", line)
		}
		id := RuleID(strings.TrimSpace(f[0]))
		c, ok := b.Rule(id)
		if !ok {
			t.Errorf("%s is no check", id)
			continue
		}
		done[id] = true
		base, _ := factsIn(t, f[1])
		for _, variant := range strings.Split(f[2], " / ") {
			word, text, _ := strings.Cut(variant, ":")
			over, _ := factsIn(t, text)
			got, lacked, err := b.askOne(c, subjectOf(base, over))
			if err != nil || got == nil || got.Status != Failed || string(got.Severity) != strings.TrimSpace(word) {
				t.Errorf("%s with %s: expected a %s, got %+v, lacking %v, %v", id, variant, word, got, lacked, err)
				continue
			}
			if strings.Contains(got.Message.In(words.English), "{") || got.Why.Empty() || got.Remedy.Empty() || len(got.Sources) == 0 {
				t.Errorf("%s: the finding is not whole: %+v", id, got)
			}
		}
		pass, _ := factsIn(t, f[3])
		if got, lacked, err := b.askOne(c, subjectOf(base, pass)); err != nil || got != nil || len(lacked) > 0 {
			t.Errorf("%s with %s: expected it to pass, got %+v, lacking %v, %v", id, f[3], got, lacked, err)
		}
		lacking := subjectOf(base, nil)
		for _, name := range strings.Fields(f[4]) {
			delete(lacking.known, name)
		}
		if got, lacked, err := b.askOne(c, lacking); err != nil || got != nil || len(lacked) == 0 {
			t.Errorf("%s without %s: expected it not to be checked, got %+v, lacking %v, %v", id, f[4], got, lacked, err)
		}
	}
	for _, c := range b.Checks {
		if !done[c.ID] {
			t.Errorf("%s has no test case", c.ID)
		}
	}
}

func factsIn(t *testing.T, text string) (map[string]Value, []string) {
	t.Helper()
	out := map[string]Value{}
	var names []string
	for _, w := range strings.Fields(text) {
		name, v, _ := strings.Cut(w, "=")
		f, ok := known(name)
		if !ok {
			t.Fatalf("%q is no fact", name)
		}
		names = append(names, name)
		switch f.Type {
		case Number:
			x, err := strconv.ParseFloat(v, 64)
			if err != nil {
				t.Fatalf("%s: %v", w, err)
			}
			out[name] = Value{V: x, Unit: f.Unit}
		case Count:
			x, err := strconv.ParseInt(v, 10, 64)
			if err != nil {
				t.Fatalf("%s: %v", w, err)
			}
			out[name] = Value{V: x, Unit: f.Unit}
		case Flag:
			out[name] = Value{V: v == "true"}
		case List:
			list := []string{}
			if v = strings.Trim(v, "[]"); v != "" {
				list = strings.Split(v, ",")
			}
			out[name] = Value{V: list}
		default:
			out[name] = Value{V: v}
		}
	}
	return out, names
}

func subjectOf(base, over map[string]Value) Subject {
	s := Subject{Label: words.Plain("it"), Scope: newScope(nil)}
	for _, m := range []map[string]Value{base, over} {
		for n, v := range m {
			s.known[n] = v
		}
	}
	return s
}

// A length measured on a scan that lies within the scan's uncertainty of a limit is
// borderline; a number read by hand, or an exact one, is not.
func TestBorderline(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	c, _ := b.Rule("CHK-068")
	for _, x := range []struct {
		mm, spread float64
		origin     unit.Origin
		want       Status
		severity   Severity
	}{
		{0.97, 0.05, unit.Measured, Borderline, Caution},
		{1.03, 0.05, unit.Measured, Borderline, Caution},
		{1.10, 0.05, unit.Measured, "", ""},
		{0.90, 0.05, unit.Measured, Failed, Caution},
		{0.52, 0.05, unit.Measured, Failed, Caution}, // surely under the milder limit
		{0.40, 0.05, unit.Measured, Failed, Stop},
		{0.97, 0, unit.Entered, Failed, Caution},
		{1.00, 0, unit.Entered, "", ""},
		{0.40, 0, unit.Average, Borderline, Stop},
	} {
		s := subjectOf(map[string]Value{"retainer.has_tip": {V: true}, "retainer.tip_margin_mm": {V: x.mm, Unit: "mm", Spread: x.spread, Origin: x.origin}}, nil)
		f, lacked, err := b.askOne(c, s)
		if err != nil || len(lacked) > 0 {
			t.Fatal(lacked, err)
		}
		if f == nil && x.want != "" || f != nil && (f.Status != x.want || f.Severity != x.severity) {
			t.Errorf("%.2f ± %.2f %s: got %+v, expected %s %s", x.mm, x.spread, x.origin, f, x.want, x.severity)
		}
	}
}

// What is counted is told in whole numbers: of rests, not of 3.00.
func TestCountsAreWhole(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, f := range b.Check(lowerII(0.25, "")).Findings {
		if f.Rule != "CHK-081" && f.Rule != "CHK-033" && f.Rule != "CHK-020" || f.Status != Failed {
			continue
		}
		seen++
		if s := f.Message.String(); strings.Contains(s, ".0") {
			t.Errorf("%s: %s", f.Rule, s)
		}
	}
	if seen == 0 {
		t.Error("no such finding of this design")
	}
}
