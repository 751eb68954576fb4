package rulebook

import (
	"testing"

	"halfpear/chart"
	"halfpear/design"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// lowerII is a lower Class II with one clasp on 34, read with the gauge.
func lowerII(undercut float64, note string) Input {
	c := chart.Chart{Arch: tooth.Lower, Teeth: map[tooth.Number]chart.Tooth{}}
	for _, n := range []tooth.Number{35, 36, 37, 38, 48} {
		c.Teeth[n] = chart.Tooth{State: chart.Missing}
	}
	return Input{Chart: c, Undercuts: Undercuts{34: {tooth.MidFacial: {MM: undercut, Origin: unit.Entered}}},
		Design: &design.Design{Arch: tooth.Lower, Parts: []design.Part{
			{ID: "rest-34", Kind: design.Rest, Tooth: 34, Form: design.RestOcclusal, Site: tooth.Mesial},
			{ID: "rest-47", Kind: design.Rest, Tooth: 47, Form: design.RestOcclusal, Site: tooth.Mesial},
			{ID: "rest-44", Kind: design.Rest, Tooth: 44, Form: design.RestOcclusal, Site: tooth.Mesial, Role: design.Indirect},
			{ID: "plate-34", Kind: design.GuidePlate, Tooth: 34, Surface: tooth.Distal},
			{ID: "minor-34", Kind: design.MinorConnector, At: []tooth.Number{33, 34}},
			{ID: "bar-34", Kind: design.Retainer, Tooth: 34, Form: design.ClaspIBar, Material: "co-cr-cast", Note: note, Undercut: &design.Undercut{Site: tooth.MidFacial, MM: 0.25}},
			{ID: "lingual-bar", Kind: design.MajorConnector, Form: design.LingualBar},
		}}}
}

func status(r Report, id RuleID) Status {
	for _, f := range r.Findings {
		if f.Rule == id {
			return f.Status
		}
	}
	return "passed"
}

// From chart and design to findings: what the facts of a whole case lead to.
func TestFactsOfACase(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		in   Input
		rule RuleID
		want Status
	}{
		{"an undercut that is there", lowerII(0.25, ""), "CHK-064", "passed"},
		{"a tip where the gauge found nothing", lowerII(0.05, ""), "CHK-064", Failed},
		{"an undercut that is to be made", lowerII(0.05, "undercut made by composite"), "CHK-064", "passed"},
		{"a bar with its plate and minor connector", lowerII(0.25, ""), "CHK-102", "passed"},
		{"it holds round more than half", lowerII(0.25, ""), "CHK-101", "passed"},
		{"a rest on the far side of the line", lowerII(0.25, ""), "CHK-151", "passed"},
		{"the tip beside its mesial rest", lowerII(0.25, ""), "CHK-123", "passed"},
		{"no floor was measured", lowerII(0.25, ""), "CHK-164", NotChecked},
		{"no vestibule was measured", lowerII(0.25, ""), "CHK-115", NotChecked},
		{"nothing was laid on a cast", lowerII(0.25, ""), "CHK-103", NotChecked},
		{"no base carries the missing teeth", lowerII(0.25, ""), "CHK-003", Failed},
		{"no plan", lowerII(0.25, ""), "CHK-037", NotChecked},
	} {
		if got := status(b.Check(c.in), c.rule); got != c.want {
			t.Errorf("%s: %s is %s, expected %s", c.name, c.rule, got, c.want)
		}
	}
	in := lowerII(0.05, "")
	in.Undercuts[34][tooth.MidFacial] = Reading{MM: 0.05, Origin: unit.Average}
	if got := status(b.Check(in), "CHK-064"); got != NotChecked {
		t.Errorf("an average crown's undercut was taken for a finding: %s", got)
	}
	in = lowerII(0.05, "")
	plan := prep.Make(prep.Input{Chart: in.Chart, Design: *in.Design, Undercut: func(tooth.Number, tooth.Site) (float64, bool) { return 0.05, true }})
	in.Plan = &plan
	if got := status(b.Check(in), "CHK-064"); got != Failed {
		t.Errorf("a preparation the design does not ask for mends it: %s", got)
	}
}

// A check judges what was measured on the cast. What the design states stands only where
// nothing was measured, and only on a cast of average sizes; laid as stated, as fine as
// papers print it, it is what is stated.
func TestMeasuredBeforeStated(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name             string
		castIs           unit.Origin
		stated, measured float64
		want             float64
		origin           unit.Origin
		set              bool
	}{
		{"laid lower than stated", unit.Average, 4.5, 3.0, 3.0, unit.Average, true},
		{"laid as stated", unit.Average, 3.0, 3.01, 3.0, "", true},
		{"laid a hair below", unit.Average, 4.0, 3.99, 4.0, "", true}, // 4.0 is what is asked at least
		{"not measured on a made cast", unit.Average, 4.5, 0, 4.5, "", true},
		{"laid lower than stated, on a scan", unit.Measured, 4.5, 3.0, 3.0, unit.Measured, true},
		{"stated and not measured, on a scan", unit.Measured, 3.0, 0, 0, "", false},
	} {
		in := lowerII(0.25, "")
		plate := &in.Design.Parts[3]
		plate.Dimensions = map[string]float64{"height": c.stated}
		q := placement.Placed{Part: *plate}
		if c.measured > 0 {
			q.Measures = []placement.Measure{{Name: "plate_height", Quantity: unit.MM(c.measured, c.castIs, 0)}}
		}
		in.Placement, in.CastIs = &placement.Placement{Parts: []placement.Placed{q}}, c.castIs
		for _, s := range Gather(b, in).Subjects[OverPlate] {
			v, ok := s.Lookup("plate.height_mm")
			if ok != c.set || ok && (v.V != c.want || v.Origin != c.origin) {
				t.Errorf("%s: %v %+v, expected %.2f %q", c.name, ok, v, c.want, c.origin)
			}
		}
	}
}

// Every fact that is set is a documented one, of its documented type.
func TestFactsSetAreDocumented(t *testing.T) {
	b, err := Open("")
	if err != nil {
		t.Fatal(err)
	}
	facts := Gather(b, lowerII(0.25, ""))
	look := func(s *Scope) {
		for _, n := range s.Names() {
			f, ok := known(n)
			if !ok {
				t.Errorf("%s is not documented", n)
				continue
			}
			v, _ := s.Lookup(n)
			var is Type
			switch v.V.(type) {
			case float64:
				is = Number
			case int64, tooth.Number:
				is = Count
			case bool:
				is = Flag
			case string:
				is = Text
			case []string, words.Teeth:
				is = List
			}
			if is != f.Type {
				t.Errorf("%s is a %s, documented as %s", n, is, f.Type)
			}
		}
	}
	look(facts.Case)
	for _, list := range facts.Subjects {
		for _, s := range list {
			look(s.Scope)
		}
	}
}
