package proposal

import (
	"strings"
	"testing"

	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
)

// The rows of the retainer decision table (§6.21 of the clinical rules), each profile's
// first feasible choice. Forms and rests are the table's; "none" is a rest without a
// clasp. Source of the rows: our own deduction from the taught rules named in the
// rulebook under each row; DEC-17 after Loney 2011 p. 48.
func TestDecisionRows(t *testing.T) {
	extension := "lower; missing 35,36,37,45,46,47; floor=9 vestibule=8;"
	bounded := "lower; missing 35,36; floor=9 vestibule=8;"
	for _, c := range []struct {
		row, chart string
		n          tooth.Number
		want       [4]string // by profile: form/rest
	}{
		{"DEC-01", extension + "34 mid-facial .25 mesio-facial .5", 34, [4]string{"i-bar/mesial", "combination/mesial", "i-bar/mesial", "combination/mesial"}},
		{"DEC-02", extension + "34 vestibule=4 mesio-facial .5", 34, [4]string{"combination/mesial", "combination/mesial", "mesial-rest-circumferential/mesial", "combination/mesial"}},
		{"DEC-02", extension + "34 vestibule=4", 34, [4]string{"combination/mesial", "combination/mesial", "mesial-rest-circumferential/mesial", "combination/mesial"}},
		{"DEC-02", extension + "34 frenum mesio-facial .5", 34, [4]string{"combination/mesial", "combination/mesial", "mesial-rest-circumferential/mesial", "combination/mesial"}},
		{"DEC-02", extension + "34 tissue=1.5@2 mesio-facial .5", 34, [4]string{"combination/mesial", "combination/mesial", "mesial-rest-circumferential/mesial", "combination/mesial"}},
		{"DEC-03", extension + "34 disto-facial .25", 34, [4]string{"half-t-bar/mesial", "half-t-bar/mesial", "half-t-bar/mesial", "combination/mesial"}},
		{"DEC-04", extension + "34 vestibule=4 disto-facial .25", 34, [4]string{"combination/mesial", "reverse-circlet/mesial", "mesial-rest-circumferential/mesial", "combination/mesial"}},
		{"DEC-05", extension + "34 mid-lingual .3", 34, [4]string{"i-bar/mesial", "half-and-half/mesial distal", "i-bar/mesial", "combination/mesial"}},
		{"DEC-06", extension + "34 tilt=20 toward=mesial mid-facial .25 mesio-facial .5", 34, [4]string{"combination/distal", "combination/distal", "combination/distal", "combination/distal"}},
		{"DEC-06", extension + "34 mesial=blocked mid-facial .25 mesio-facial .5", 34, [4]string{"combination/distal", "combination/distal", "combination/distal", "combination/distal"}},
		{"DEC-07", "lower; missing 34,35,36,37,44,45,46,47; floor=9 vestibule=8; 33 mid-facial .25 mesio-facial .5", 33,
			[4]string{"i-bar/lingual", "combination/lingual", "i-bar/lingual", "i-bar/lingual"}},
		{"DEC-08", "lower; missing 37,47; floor=9 vestibule=8; 36 mid-facial .25 mesio-facial .5", 36,
			[4]string{"i-bar/mesial", "combination/mesial", "i-bar/mesial", "combination/mesial"}},
		{"DEC-09", bounded + "37 disto-facial .25; 34 mesio-facial .5", 37, [4]string{"circumferential/mesial", "circumferential/mesial", "circumferential/mesial", "circumferential/mesial"}},
		{"DEC-09", bounded + "37 disto-facial .25; 34 mesio-facial .5", 34, [4]string{"circumferential/distal", "circumferential/distal", "combination/distal", "circumferential/distal"}},
		{"IBR-02", "upper; missing 14,15; vestibule=8; 13 mid-facial .25 mesio-facial .5", 13,
			[4]string{"i-bar/lingual", "combination/lingual", "i-bar/lingual", "combination/lingual"}},
		{"IBR-02", "lower; missing 34,35; floor=9 vestibule=4; 33 mid-facial .25 mesio-facial .5", 33,
			[4]string{"combination/lingual", "combination/lingual", "combination/lingual", "combination/lingual"}},
		{"DEC-10", bounded + "34 disto-facial .25", 34, [4]string{"half-t-bar/distal", "half-t-bar/distal", "half-t-bar/distal", "half-t-bar/distal"}},
		{"DEC-11", bounded + "37 vestibule=4 mesio-facial .25", 37, [4]string{"ring/mesial distal", "ring/mesial distal", "ring/mesial distal", "circumferential/mesial"}},
		{"DEC-12", bounded + "37 tilt=20 toward=mesial mesio-lingual .5", 37, [4]string{"ring/mesial distal", "ring/mesial distal", "ring/mesial distal", "circumferential/mesial distal"}},
		{"DEC-13", "lower; missing 35,36,37; floor=9 vestibule=8; 34 mid-facial .25", 47, [4]string{"embrasure/mesial", "embrasure/mesial", "embrasure/mesial", "circumferential/mesial"}},
		{"DEC-14", "upper; missing 14,15; vestibule=8; smile=high; 13 mid-facial .25 mesio-facial .5", 13,
			[4]string{"i-bar/lingual", "combination/lingual", "i-bar/lingual", "none/lingual"}},
		{"DEC-15", "lower; missing 35,36,37,45,46; floor=9 vestibule=8; 34 mid-facial .25 mesio-facial .5; 44 mesio-facial .5", 44,
			[4]string{"combination/distal", "combination/distal", "combination/distal", "none/distal"}},
		{"DEC-16", extension + "34 mobility=2 mid-facial .25 mesio-facial .5; 33 mobility=2", 34, [4]string{"i-bar/mesial", "combination/mesial", "none/mesial", "none/mesial"}},
		{"DEC-17", bounded + "37 prognosis=doubtful; 34 mesio-facial .5", 34, [4]string{"combination/distal", "combination/distal", "combination/distal", "combination/distal"}},
		{"DEC-17", bounded + "37 prognosis=doubtful; 34 mesio-facial .5", 37, [4]string{"none/mesial", "none/mesial", "none/mesial", "none/mesial"}},
		{"DEC-18", "upper; missing 12,11,21,22; vestibule=8; 13 mid-facial .25; 23 mid-facial .25", 13, [4]string{"i-bar/lingual", "none/lingual", "none/lingual", "none/lingual"}},
		{"DEC-18", "upper; missing 12,11,21,22; vestibule=8; 17 disto-facial .25; 27 disto-facial .25", 17,
			[4]string{"circumferential/mesial", "circumferential/mesial", "circumferential/mesial", "circumferential/mesial"}},
		{"DEC-19", extension + "34 mid-facial .05", 34, [4]string{"i-bar/mesial", "combination/mesial", "i-bar/mesial", "combination/mesial"}},
		{"DEC-19", bounded + "34 mid-facial .05", 34, [4]string{"circumferential/distal", "circumferential/distal", "circumferential/distal", "circumferential/distal"}},
		{"DEC-20", "lower; missing 34,36,37,44,45,46,47; floor=9 vestibule=8; 35 mid-facial .25 mesio-facial .5; 33 mesio-facial .5", 35,
			[4]string{"none/mesial", "combination/mesial", "combination/mesial", "none/mesial"}},
	} {
		for i, profile := range rulebook.Profiles {
			p := propose(t, profile, c.chart)[0]
			got := formOn(p.Design, c.n)
			if got != c.want[i] {
				t.Errorf("%s %s, %s: tooth %d has %s, expected %s", c.row, profile, c.chart, c.n, got, c.want[i])
			}
			if !strings.HasPrefix(c.want[i], "none") {
				if r, _ := p.Why(design.ID("retainer-" + c.n.String())); string(r.Rule) != c.row {
					t.Errorf("%s %s, %s: retainer on %d follows %s", c.row, profile, c.chart, c.n, r.Rule)
				}
			}
			if n := p.Report.Stops(); n > 0 {
				for _, f := range p.Report.Findings {
					if f.Severity == rulebook.Stop && f.Status == rulebook.Failed {
						t.Errorf("%s %s: first proposal stops: %s %s", c.row, profile, f.Rule, f.Message)
					}
				}
			}
		}
	}
}

// formOn is a tooth's retainer and the sites of its rests, as in "i-bar/mesial".
func formOn(d design.Design, n tooth.Number) string {
	form := "none"
	for _, p := range d.On(design.Retainer, n) {
		form = string(p.Form)
	}
	var rests []string
	for _, s := range []tooth.Surface{tooth.Mesial, tooth.Distal, tooth.Lingual} {
		for _, r := range d.On(design.Rest, n) {
			if r.Site == s {
				rests = append(rests, string(s))
			}
		}
	}
	return form + "/" + strings.Join(rests, " ")
}

// The lower connector table (§9.4) and the upper one (§9.6): first choice by profile.
func TestConnectorRows(t *testing.T) {
	lower := "lower; missing 35,36,37,45,46,47; vestibule=9;"
	for _, c := range []struct {
		chart string
		want  [4]string
	}{
		{lower + "floor=9", [4]string{"lingual-bar", "lingual-bar", "lingual-bar", "lingual-bar"}},
		{lower + "floor=8", [4]string{"lingual-bar", "lingual-bar", "lingual-bar", "lingual-bar"}},
		{lower + "floor=7.5", [4]string{"lingual-bar", "lingual-bar", "lingual-bar", "lingual-bar"}},
		{lower + "floor=7", [4]string{"lingual-bar", "lingual-bar", "lingual-bar", "lingual-bar"}},
		{lower + "floor=6", [4]string{"lingual-plate", "lingual-plate", "sublingual-bar", "sublingual-bar"}},
		{lower + "floor=4", [4]string{"lingual-plate", "lingual-plate", "lingual-plate", "lingual-plate"}},
		{lower + "floor=4; 31 rotated=30", [4]string{"cingulum-bar", "cingulum-bar", "cingulum-bar", "cingulum-bar"}},
		{lower + "floor=9; 31 mobility=2 diastema; 41 mobility=2", [4]string{"lingual-bar-with-cingulum-bar", "lingual-bar-with-cingulum-bar", "lingual-bar-with-cingulum-bar", "lingual-bar-with-cingulum-bar"}},
		{lower + "floor=9; 31 mobility=2; 41 mobility=2", [4]string{"lingual-plate", "lingual-plate", "lingual-plate", "lingual-plate"}},
		{lower + "floor=9; torus", [4]string{"lingual-plate", "lingual-plate", "lingual-plate", "lingual-plate"}},
		{lower + "floor=9; 34 tilt=40 toward=lingual", [4]string{"labial-bar", "labial-bar", "labial-bar", "labial-bar"}},
		{lower + "floor=9; 31 prognosis=doubtful", [4]string{"lingual-plate", "lingual-plate", "lingual-plate", "lingual-plate"}},
		{lower + "floor=9; frenum=high", [4]string{"lingual-plate", "lingual-plate", "lingual-plate", "lingual-plate"}},
		{"upper; missing 15,16,25,26", [4]string{"palatal-strap", "palatal-strap", "palatal-strap", "palatal-strap"}},
		{"upper; missing 14,15,16", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
		{"upper; missing 15,16,25,26,12,11", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
		{"upper; missing 15,16,25,26; torus=20", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
		{"upper; missing 15,16,25,26; torus=4", [4]string{"u-shaped", "u-shaped", "u-shaped", "u-shaped"}},
		{"upper; missing 16,17", [4]string{"palatal-strap", "palatal-strap", "palatal-strap", "palatal-strap"}},
		{"upper; missing 15,16,17,25", [4]string{"palatal-plate", "palatal-plate", "palatal-plate", "palatal-plate"}},
		{"upper; missing 16,17,26,27", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
		{"upper; missing 14,15,16,17,24,25,26,27", [4]string{"palatal-plate", "palatal-plate", "palatal-plate", "palatal-plate"}},
		{"upper; missing 12,11,21,22", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
		{"upper; missing 14,15,16,17,24,25,26,27; gag", [4]string{"anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap", "anterior-posterior-strap"}},
	} {
		for i, profile := range rulebook.Profiles {
			p := propose(t, profile, c.chart)[0]
			m, _ := p.Design.Part("major-connector")
			if string(m.Form) != c.want[i] {
				t.Errorf("%s, %s: %s, expected %s", profile, c.chart, m.Form, c.want[i])
			}
		}
	}
}

// Published test case: lower Class II, primary rests distal of 35 and distal of 47; the
// best indirect retainer is the mesio-occlusal of 44 (lecture after McCracken's).
func TestPublishedIndirectRetainer(t *testing.T) {
	c, _ := mouth(t, "lower; missing 36,37,38,48; 48 replace=no")
	book, err := rulebook.Open("")
	if err != nil {
		t.Fatal(err)
	}
	in := Input{Chart: c, Book: book}
	s := &search{in: in, book: book, shown: c}
	s.class = mustClass(t, c)
	b := &builder{s: s, d: design.Design{Arch: tooth.Lower}}
	b.rest(35, design.RestOcclusal, tooth.Distal, design.Primary, Reason{})
	b.rest(47, design.RestOcclusal, tooth.Distal, design.Primary, Reason{})
	b.indirect()
	var got []design.ID
	for _, p := range b.d.Of(design.Rest) {
		if p.Role == design.Indirect {
			got = append(got, p.ID)
		}
	}
	if len(got) != 1 || got[0] != "rest-44-mesial" {
		t.Errorf("indirect retainers %v, expected rest-44-mesial alone", got)
	}
}

// Published patterns: University of Oklahoma review items 3 and 93 (teeth 35 to 45 left),
// University of Western Australia (abutments 34 and 44), Hail Journal of Health Sciences
// 2021 (35 and 43 terminal). Each gives its class and a first proposal that no stop holds
// up, with a rest, a plate and a clasp on the terminal abutments and a rest in front of
// the fulcrum line.
func TestPublishedPatterns(t *testing.T) {
	for _, c := range []struct {
		source, chart, class string
		terminal             []tooth.Number
	}{
		{"Oklahoma items 3, 93", "lower; missing 36,37,46,47; floor=9 vestibule=8", "I", []tooth.Number{35, 45}},
		{"UWA course notes", "lower; missing 35,36,37,45,46,47; floor=9 vestibule=8", "I", []tooth.Number{34, 44}},
		{"Hail Journal 2021", "lower; missing 36,37,44,45,46,47; floor=9 vestibule=8", "I", []tooth.Number{35, 43}},
		{"ABGD practice item", "upper; missing 15,13,12,11,21,22,23", "III mod 1", nil},
	} {
		for _, profile := range rulebook.Profiles {
			p := propose(t, profile, c.chart)[0]
			if got := rulebook.Written(p.Class); got != c.class {
				t.Errorf("%s: class %s, expected %s", c.source, got, c.class)
			}
			if p.Report.Stops() > 0 {
				t.Errorf("%s, %s: first proposal stops", c.source, profile)
			}
			for _, n := range c.terminal {
				if len(p.Design.On(design.Rest, n)) == 0 || len(p.Design.On(design.Retainer, n)) == 0 || len(p.Design.On(design.GuidePlate, n)) == 0 {
					t.Errorf("%s, %s: %d lacks its rest, plate or clasp", c.source, profile, n)
				}
			}
		}
	}
}

func TestEveryPartHasAReason(t *testing.T) {
	for _, chart := range []string{"lower; missing 36,37,46,47; floor=6", "upper; missing 12,11,21,22,16; nickel", "lower; missing 34,36,37,44,45,46,47"} {
		for _, p := range propose(t, "", chart) {
			for _, part := range p.Design.Parts {
				r, ok := p.Why(part.ID)
				if !ok || r.Rule == "" || len(r.Because.String()) < 20 || len(r.Sources) == 0 {
					t.Errorf("%s: %s has no full reason: %+v", chart, part.ID, r)
				}
				if len(r.Rejected) == 0 && part.Kind != design.MajorConnector {
					t.Errorf("%s: %s does not say what was rejected and why", chart, part.ID)
				}
			}
		}
	}
}

func TestAlternativesDifferInKind(t *testing.T) {
	list := propose(t, "", "lower; missing 36,37,46,47; floor=7.5 vestibule=8; 35 mid-facial .25 mesio-facial .5; 45 mid-facial .25 mesio-facial .5")
	if len(list) < 2 {
		t.Fatalf("only %d proposals", len(list))
	}
	seen := map[string]bool{}
	for _, p := range list {
		k := kindKey(p.Design)
		if seen[k] {
			t.Errorf("two proposals are of one kind: %s", k)
		}
		seen[k] = true
	}
}

func TestNickelAllergy(t *testing.T) {
	p := propose(t, "combination-first", "lower; missing 36,37,46,47; floor=9; nickel")[0]
	for _, part := range p.Design.Parts {
		for _, e := range rulebook.Elements(part.Material) {
			if e == "nickel" {
				t.Errorf("%s is of %s, which holds nickel", part.ID, part.Material)
			}
		}
	}
}

func TestComparePartByPart(t *testing.T) {
	p := propose(t, "", "lower; missing 36,37,46,47; floor=9 vestibule=8")[0]
	if d := Compare(p.Design, p); len(d) != 0 {
		t.Errorf("a proposal differs from itself: %v", d)
	}
	changed := p.Design.Without("rest-35-mesial")
	d := Compare(changed, p)
	if len(d) != 1 || d[0].Tooth != 35 || d[0].Design.String() != "nothing" || d[0].Rule != "RST-61" {
		t.Errorf("differences %+v", d)
	}
}

// Figures by which practitioners work at the bench (common practice), in the default
// profile: a lingual bar from 8 mm of floor and a plate at 6 (CPF-04); two indirect
// retainers in a lower Class I, one each side (CPF-05); cast arms in 0.25 mm, wire in 0.50
// mm mesiofacially (CPF-16); a plate behind front teeth that may be lost (CPF-23).
func TestCommonPracticeFigures(t *testing.T) {
	major := func(p Proposal) design.Form {
		m, _ := p.Design.Part("major-connector")
		return m.Form
	}
	at8 := propose(t, "", "lower; missing 36,37,46,47; floor=8 vestibule=8; 35 mid-facial .25; 45 mid-facial .25")[0]
	if f := major(at8); f != design.LingualBar {
		t.Errorf("CPF-04, common practice: %s at 8 mm", f)
	}
	if f := major(propose(t, "", "lower; missing 36,37,46,47; floor=6 vestibule=8")[0]); f != design.LingualPlate {
		t.Errorf("CPF-04, common practice: %s at 6 mm", f)
	}
	sides := map[bool]int{}
	for _, r := range at8.Design.Of(design.Rest) {
		if r.Role == design.Indirect {
			sides[r.Tooth.Right()]++
		}
	}
	if sides[true] != 1 || sides[false] != 1 {
		t.Errorf("CPF-05, common practice: indirect retainers %v", sides)
	}
	if r := at8.Design.On(design.Retainer, 35)[0]; r.Undercut.MM != 0.25 {
		t.Errorf("CPF-16, common practice: cast arm in %.2f mm", r.Undercut.MM)
	}
	wire := propose(t, "combination-first", "lower; missing 36,37,46,47; floor=8 vestibule=8; 35 mesio-facial .5; 45 mesio-facial .5")[0]
	if r := wire.Design.On(design.Retainer, 35)[0]; r.Undercut.MM != 0.5 || r.Undercut.Site != tooth.MesioFacial {
		t.Errorf("CPF-16, common practice: wire in %.2f mm at the %s", r.Undercut.MM, r.Undercut.Site)
	}
	if f := major(propose(t, "", "lower; missing 36,37,46,47; floor=9 vestibule=8; 41 prognosis=doubtful")[0]); f != design.LingualPlate {
		t.Errorf("CPF-23, common practice: %s behind a doubtful incisor", f)
	}
}
