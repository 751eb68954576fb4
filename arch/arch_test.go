package arch

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"halfpear/tooth"
)

// teeth reads "36 37 44-48": a dash runs along the arch.
func teeth(t testing.TB, a tooth.Arch, s string) []tooth.Number {
	t.Helper()
	var out []tooth.Number
	for _, w := range strings.Fields(s) {
		from, to, ranged := strings.Cut(w, "-")
		n, err := tooth.Parse(from)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, n)
		if ranged {
			m, err := tooth.Parse(to)
			if err != nil {
				t.Fatal(err)
			}
			out = append(append(out, tooth.Between(n, m)...), m)
		}
	}
	return out
}

func set(ns []tooth.Number) map[tooth.Number]bool {
	m := map[tooth.Number]bool{}
	for _, n := range ns {
		m[n] = true
	}
	return m
}

// Worked examples. Those marked P are published patterns, by their source; D are our own
// reading of Kennedy's classes and Applegate's rules.
var worked = []struct {
	name                     string
	arch                     tooth.Arch
	missing                  string
	notReplaced, notAbutment string
	want                     string
	areas                    string // areas kept, patient's right to left
}{
	{"P University of Oklahoma, RPD review questions, items 3 and 93", tooth.Lower, "36 37 38 46 47 48", "", "", "Class I mod 0", "47,46 36,37"},
	{"P University of Western Australia, Class I course case on 34 and 44", tooth.Lower, "35-38 45-48", "", "", "Class I mod 0", "47,46,45 35,36,37"},
	{"P altered-cast case report, Hail J Health Sci, December 2021", tooth.Lower, "36 37 38 44-48", "", "", "Class I mod 0", "47,46,45,44 36,37"},
	{"P American Board of General Dentistry practice item", tooth.Upper, "15 13 12 11 21 22 23 18 28", "", "", "Class III mod 1", "15 13,12,11,21,22,23"},
	{"P textbook example, second premolars and first molars with a lateral and a canine", tooth.Upper, "15 16 25 26 12 13 18 28", "", "", "Class III mod 2", "16,15 13,12 25,26"},
	{"P University of Oklahoma, item 1: two extension areas and nothing else", tooth.Lower, "36 37 38 46 47 48", "", "", "Class I mod 0", "47,46 36,37"},
	{"D front gap in a Class I", tooth.Lower, "31 32 41 42 36 37 38 46 47 48", "", "", "Class I mod 1", "47,46 42,41,31,32 36,37"},
	{"D pier 35", tooth.Lower, "34 36 37 38 44-48", "", "", "Class I mod 1", "47,46,45,44 34 36,37"},
	{"D one side", tooth.Lower, "46 47 48 38", "", "", "Class II mod 0", "47,46"},
	{"D one side and a gap", tooth.Lower, "35 36 37 38 44 45 48", "", "", "Class II mod 1", "45,44 35,36,37"},
	{"D one side and two gaps", tooth.Lower, "36 37 38 46 48 31 32 41 42", "", "", "Class II mod 2", "46 42,41,31,32 36,37"},
	{"D one side and three gaps", tooth.Upper, "13 15 16 17 18 22 24 28", "", "", "Class II mod 3", "17,16,15 13 22 24"},
	{"D one gap", tooth.Upper, "14 15 18 28", "", "", "Class III mod 0", "15,14"},
	{"D two gaps", tooth.Upper, "15 16 25 26 18 28", "", "", "Class III mod 1", "16,15 25,26"},
	{"D three gaps", tooth.Upper, "15 16 25 26 12 11 21 22 18 28", "", "", "Class III mod 2", "16,15 12,11,21,22 25,26"},
	{"D two centrals", tooth.Upper, "11 21 18 28", "", "", "Class IV", "11,21"},
	{"D four incisors", tooth.Upper, "12 11 21 22 18 28", "", "", "Class IV", "12,11,21,22"},
	{"D long front", tooth.Upper, "15-25 18 28", "", "", "Class IV", "15,14,13,12,11,21,22,23,24,25"},
	{"D one central does not cross the midline", tooth.Upper, "11 18 28", "", "", "Class III mod 0", "11"},
	{"D lateral and central of one side", tooth.Upper, "12 11 18 28", "", "", "Class III mod 0", "12,11"},
	{"D two laterals", tooth.Upper, "12 22 18 28", "", "", "Class III mod 1", "12 22"},
	{"D two canines", tooth.Upper, "13 23 18 28", "", "", "Class III mod 1", "13 23"},
	{"D rule 3: third molar as abutment", tooth.Lower, "36 37 48", "", "", "Class III mod 0", "36,37"},
	{"D rule 3 backwards: third molar not used", tooth.Lower, "36 37 48", "", "38", "Class II mod 0", "36,37"},
	{"D rule 4 on both sides", tooth.Upper, "17 27 24 18 28", "17 27", "", "Class III mod 0", "24"},
	{"D rule 4 on one side", tooth.Upper, "17 24 27 18 28", "17", "", "Class II mod 1", "24 27"},
	{"D rule 4: the first molar is the end of the arch", tooth.Upper, "16 17 27 18 28", "17 27", "", "Class II mod 0", "16"},
	{"D rule 4 in a Class I", tooth.Lower, "36 37 38 46 47 48", "37 47", "", "Class I mod 0", "46 36"},
	{"D an area left out in the wider reading", tooth.Lower, "36 38 46 48", "46", "", "Class III mod 0", "36"},
	{"D a pontic counts as a tooth (25 is one)", tooth.Upper, "16 18 28", "", "", "Class III mod 0", "16"},
	{"D three front teeth left", tooth.Lower, "31-38 44-48", "", "", "Class I mod 0", "47,46,45,44 31,32,33,34,35,36,37"},
	{"D four molars and premolars left", tooth.Lower, "34 33 32 31 41 42 43 44 37 38 47 48", "", "", "Class I mod 1", "47 44,43,42,41,31,32,33,34 37"},
	{"D two canines left", tooth.Upper, "12-22 14-18 24-28", "", "", "Class I mod 1", "17,16,15,14 12,11,21,22 24,25,26,27"},
	{"D one tooth left", tooth.Lower, "31 32 34-38 41-48", "", "", "Class I mod 0", "47,46,45,44,43,42,41,31,32 34,35,36,37"},
	{"D one side empty", tooth.Upper, "18-21 28", "", "", "Class II mod 0", "17,16,15,14,13,12,11,21"},
	{"D pier 34", tooth.Lower, "33 35-38 45-48", "", "", "Class I mod 1", "47,46,45 33 35,36,37"},
	{"D two centrals and a premolar on the other side", tooth.Lower, "31 34 38 41 45 46 48", "", "", "Class III mod 2", "46,45 41,31 34"},
	{"D last molar stands on one side", tooth.Upper, "14-18 24 25 26 28", "", "", "Class II mod 1", "17,16,15,14 24,25,26"},
}

func (p Pattern) with(missing []tooth.Number) Pattern {
	p.Standing = map[tooth.Number]Standing{}
	for _, n := range missing {
		p.Standing[n] = Missing
	}
	return p
}

func areas(r Result) string {
	var words []string
	for _, a := range r.Areas {
		var ns []string
		for _, n := range a.Teeth {
			ns = append(ns, n.String())
		}
		words = append(words, strings.Join(ns, ","))
	}
	return strings.Join(words, " ")
}

func TestWorkedExamples(t *testing.T) {
	if len(worked) != 38 {
		t.Fatalf("%d worked examples", len(worked))
	}
	for _, w := range worked {
		p := Pattern{Arch: w.arch, NotReplaced: set(teeth(t, w.arch, w.notReplaced)), NotAbutment: set(teeth(t, w.arch, w.notAbutment))}.with(teeth(t, w.arch, w.missing))
		r, err := Classify(p)
		if err != nil {
			t.Errorf("%s: %v", w.name, err)
			continue
		}
		if r.String() != w.want || areas(r) != w.areas {
			t.Errorf("%s\n%s\ngot  %s with %s\nwant %s with %s", w.name, p.Text(), r, areas(r), w.want, w.areas)
		}
		q, err := Parse(p.Text())
		if err != nil || q.Text() != p.Text() {
			t.Errorf("%s: the text form %q reads back as %q (%v)", w.name, p.Text(), q.Text(), err)
		}
	}
}

func TestTheStrictReadingKeepsTheArea(t *testing.T) {
	p := Pattern{Arch: tooth.Lower, NotReplaced: set([]tooth.Number{46})}.with(teeth(t, tooth.Lower, "36 38 46 48"))
	p.Strict = true
	r, err := Classify(p)
	if err != nil || r.String() != "Class III mod 1" {
		t.Errorf("got %s, %v", r, err)
	}
	if len(r.Notes) != 1 || !strings.Contains(r.Notes[0].String(), "wider reading") {
		t.Errorf("the other reading is not told: %v", r.Notes)
	}
}

func TestContradictionsAreRefused(t *testing.T) {
	for name, p := range map[string]Pattern{
		"present and not replaced": {Arch: tooth.Lower, NotReplaced: set([]tooth.Number{36})},
		"missing and an abutment":  Pattern{Arch: tooth.Lower, NotAbutment: set([]tooth.Number{38})}.with([]tooth.Number{38}),
		"other arch":               Pattern{Arch: tooth.Lower}.with([]tooth.Number{16}),
		"no arch":                  {},
	} {
		if _, err := Classify(p); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// independent classifies by another route: it writes the arch as a string of letters and
// matches patterns on it, with no list of areas.
func independent(p Pattern) string {
	var row []byte
	for _, n := range tooth.All(p.Arch) {
		gone := p.Standing[n] == Missing
		third, second := n.Place() == 8, n.Place() == 7
		if p.Standing[n] == Closed || third && (gone && !p.Replaced[n] || !gone && p.NotAbutment[n]) || gone && p.NotReplaced[n] && (second || !p.Strict) {
			continue
		}
		c := byte('t')
		if gone {
			c = 'r'
			if !n.Right() {
				c = 'l'
			}
		}
		row = append(row, c)
	}
	s := string(row)
	gaps := strings.FieldsFunc(s, func(r rune) bool { return r == 't' })
	if !strings.Contains(s, "t") || len(gaps) == 0 {
		return "no Kennedy class"
	}
	left, right := s[0] != 't', s[len(s)-1] != 't'
	switch {
	case left && right:
		return fmt.Sprintf("Class I mod %d", len(gaps)-2)
	case left || right:
		return fmt.Sprintf("Class II mod %d", len(gaps)-1)
	case len(gaps) == 1 && strings.Contains(gaps[0], "rl"):
		return "Class IV"
	}
	return fmt.Sprintf("Class III mod %d", len(gaps)-1)
}

// byNeighbours classifies by a third route, tooth by tooth as the rules are taught: of each
// place to be restored it asks which tooth stands next on either hand. Places with the same
// neighbours are one area; without a neighbour behind it ends free.
func byNeighbours(p Pattern) string {
	all := tooth.All(p.Arch)
	stands := func(n tooth.Number) bool {
		return p.Standing[n] == Present && !p.NotAbutment[n] // rule 3
	}
	restored := func(n tooth.Number) bool {
		switch {
		case p.Standing[n] != Missing:
			return false
		case n.Place() == 8:
			return p.Replaced[n] // rule 2
		case n.Place() == 7 || !p.Strict:
			return !p.NotReplaced[n] // rule 4, and the wider reading
		}
		return true
	}
	next := func(i, step int) tooth.Number {
		for i += step; i >= 0 && i < len(all); i += step {
			if stands(all[i]) {
				return all[i]
			}
		}
		return 0
	}
	type ends struct{ right, left tooth.Number }
	areas := map[ends][2]bool{} // whether it restores a tooth of the right, of the left
	standing := 0
	for i, n := range all {
		if stands(n) {
			standing++
		}
		if restored(n) {
			e := ends{next(i, -1), next(i, 1)}
			side := areas[e]
			side[map[bool]int{true: 0, false: 1}[n.Right()]] = true
			areas[e] = side
		}
	}
	if standing == 0 || len(areas) == 0 {
		return "no Kennedy class"
	}
	free := 0
	for e := range areas {
		if e.right == 0 || e.left == 0 {
			free++
		}
	}
	for _, side := range areas {
		if free == 0 && len(areas) == 1 && side == [2]bool{true, true} {
			return "Class IV" // rule 8: no modification
		}
	}
	return fmt.Sprintf("Class %s mod %d", []string{"III", "II", "I"}[free], len(areas)-[]int{1, 1, 2}[free])
}

// A lost central incisor whose space has closed, or that is not restored, leaves an area
// across the midline all the same.
func TestAreaAcrossTheMidlineWithoutACentral(t *testing.T) {
	lower := Pattern{Arch: tooth.Lower}.with(teeth(t, tooth.Lower, "42 31 38 48"))
	lower.Standing[41] = Closed
	upper := Pattern{Arch: tooth.Upper, NotReplaced: set([]tooth.Number{11})}.with(teeth(t, tooth.Upper, "12 11 21 18 28"))
	for _, p := range []Pattern{lower, upper} {
		if r, err := Classify(p); err != nil || r.String() != "Class IV" {
			t.Errorf("%s: got %s, %v", p.Text(), r, err)
		}
	}
}

func randomPattern(t *rapid.T) Pattern {
	p := Pattern{Arch: tooth.Arch(rapid.IntRange(1, 2).Draw(t, "arch")), Standing: map[tooth.Number]Standing{}, NotReplaced: map[tooth.Number]bool{},
		Replaced: map[tooth.Number]bool{}, NotAbutment: map[tooth.Number]bool{}, Strict: rapid.Bool().Draw(t, "strict")}
	for _, n := range tooth.All(p.Arch) {
		switch rapid.IntRange(0, 6).Draw(t, n.String()) {
		case 0, 1:
			p.Standing[n] = Missing
		case 2:
			p.Standing[n] = Missing
			if n.Place() == 8 {
				p.Replaced[n] = true
			} else {
				p.NotReplaced[n] = true
			}
		case 3:
			if n.Place() == 8 {
				p.NotAbutment[n] = true
			}
		case 4:
			if n.Place() < 8 {
				p.Standing[n] = Closed
			}
		}
	}
	return p
}

func TestThreeImplementationsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomPattern(t)
		r, err := Classify(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []func(Pattern) string{independent, byNeighbours} {
			if want := other(p); r.String() != want {
				t.Fatalf("%s\ngot %s, another implementation says %s", p.Text(), r, want)
			}
		}
	})
}

// Kennedy's classes know no left and right: the mirrored arch has the same class.
func TestTheMirroredArchHasTheSameClass(t *testing.T) {
	mirror := func(m map[tooth.Number]bool) map[tooth.Number]bool {
		out := map[tooth.Number]bool{}
		for n, on := range m {
			out[n.Opposite()] = on
		}
		return out
	}
	rapid.Check(t, func(t *rapid.T) {
		p := randomPattern(t)
		q := p
		q.Standing = map[tooth.Number]Standing{}
		for n, s := range p.Standing {
			q.Standing[n.Opposite()] = s
		}
		q.NotReplaced, q.Replaced, q.NotAbutment = mirror(p.NotReplaced), mirror(p.Replaced), mirror(p.NotAbutment)
		a, _ := Classify(p)
		b, _ := Classify(q)
		if a.String() != b.String() {
			t.Fatalf("%s is %s\n%s is %s", p.Text(), a, q.Text(), b)
		}
	})
}

func FuzzParse(f *testing.F) {
	f.Add("lower  -- -- -- 45 44 43 42 41 | 31 32 33 34 35 -- -- (38)")
	f.Fuzz(func(t *testing.T, s string) {
		p, err := Parse(s)
		if err != nil {
			return
		}
		q, err := Parse(p.Text())
		if err != nil || p.Text() != q.Text() {
			t.Fatalf("%q -> %q: %v", s, p.Text(), err)
		}
	})
}

func TestMain(m *testing.M) {
	_ = flag.Set("rapid.checks", "500")
	os.Exit(m.Run())
}
