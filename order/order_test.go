package order_test

import (
	. "halfpear/order"
	"halfpear/order/ordertest"
	"maps"
	"slices"
	"strings"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

func place1(t *testing.T, name string) Jurisdiction {
	t.Helper()
	j, err := JurisdictionNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func TestACompleteOrderIsCompleteEverywhere(t *testing.T) {
	for _, j := range Jurisdictions() {
		for _, l := range []words.Lang{words.English, words.German} {
			o := Write(ordertest.Lower(), j, l)
			for _, g := range o.Gaps {
				t.Errorf("%s in %s: %s (%s; %s)", j.Name, l, g.Text, g.Where, g.Rule)
			}
			if o.State != Complete {
				t.Errorf("%s: %s", j.Name, o.State)
			}
		}
	}
}

// Every field that any profile or the technician asks for is missed when it is taken
// away, with the place to enter it and who asks.
func TestEveryRequiredFieldIsMissed(t *testing.T) {
	for _, j := range Jurisdictions() {
		for _, f := range Fields {
			if f.Filled != Entered || f.Need != Buildable && !j.Asks(f.Name) {
				continue
			}
			w := ordertest.Lower()
			delete(w.Case.Order.Fields, f.Name)
			switch f.Name {
			case "allergies":
				w.Case.Chart.Patient.Allergies = nil
			case "date.written", "date.sent":
				continue // the day of making stands in
			}
			o := Write(w, j, words.English)
			i := slices.IndexFunc(o.Gaps, func(g Gap) bool { return g.Field == f.Name })
			if i < 0 {
				t.Errorf("%s: nothing misses %s", j.Name, f.Name)
				continue
			}
			g := o.Gaps[i]
			if g.Where == "" || g.Rule == "" || j.Asks(f.Name) && !strings.Contains(g.Rule, j.Source) {
				t.Errorf("%s: %+v does not say where to enter it and who asks", j.Name, g)
			}
			if o.State != Draft {
				t.Errorf("%s without %s is %s", j.Name, f.Name, o.State)
			}
		}
	}
}

// What the statutes ask, transcribed from the texts that the profiles name.
func TestJurisdictionsAskWhatTheirTextsSay(t *testing.T) {
	for name, want := range map[string][]string{
		// Fla. Stat. 466.021, F.A.C. 64B5-17.006: title, laboratory with licence, dentist with licence, patient, date, description, materials, signature.
		"us-fl": {"title", "lab.name", "lab.address", "lab.licence", "dentist.name", "dentist.address", "dentist.licence", "patient.id", "date.sent", "work.kind", "alloy", "signature"},
		// W. Va. Code 30-4B-2.
		"us-wv": {"lab.name", "lab.address", "patient.id", "alloy", "work.kind", "date.written", "signature", "dentist.address"},
		// N.C.G.S. 90-29.2: type and quality of materials.
		"us-nc": {"alloy", "alloy.quality", "patient.name", "dentist.licence"},
		"us-md": {"patient.id", "date.written", "dentist.name", "dentist.licence", "signature"},
	} {
		j := place1(t, name)
		for _, f := range want {
			if !j.Asks(f) {
				t.Errorf("%s does not ask for %s", name, f)
			}
		}
	}
	if got := place1(t, "us-fl").Title(words.German); !strings.HasPrefix(got, "Laboratory Procedure Prescription") {
		t.Errorf("Florida's title is prescribed, the German paper says %q", got)
	}
	// Retention: Fla. 4 years, W. Va. 2, Okla. 3, Conn. 1, EU 10 (Annex XIII 4), GB 5.
	for name, years := range map[string]int{"us-fl": 4, "us-wv": 2, "us-nc": 2, "us-ok": 3, "us-ct": 1, "eu": 10, "gb": 5} {
		if got := place1(t, name).KeepLaboratory; got != years {
			t.Errorf("%s: the laboratory keeps %d years, expected %d", name, got, years)
		}
	}
	if got := Write(ordertest.Lower(), place1(t, "eu"), words.English).KeepUntil["laboratory"]; got != "2036-03-02" {
		t.Errorf("kept until %s", got)
	}
}

// A part without what its builder needs is refused, whichever part and whatever is gone.
func TestABuilderNeedsEveryPartWhole(t *testing.T) {
	generic := place1(t, "generic")
	for name, c := range map[string]struct {
		change func(*design.Part)
		kind   design.Kind
	}{
		"undercut":   {func(p *design.Part) { p.Undercut = nil }, design.Retainer},
		"depth":      {func(p *design.Part) { p.Undercut = &design.Undercut{Site: tooth.MidFacial} }, design.Retainer},
		"form":       {func(p *design.Part) { p.Form = "" }, design.Retainer},
		"gauge":      {func(p *design.Part) { p.Form, p.Material = design.ClaspCombination, "wrought-wire-steel" }, design.Retainer},
		"rest site":  {func(p *design.Part) { p.Site = "" }, design.Rest},
		"rest gone":  {func(p *design.Part) { p.Kind = design.TissueStop; p.Joins = "base-34" }, design.Rest},
		"plate":      {func(p *design.Part) { p.Surface = "" }, design.GuidePlate},
		"reciprocal": {func(p *design.Part) { p.Tooth = 33 }, design.GuidePlate},
		"joins":      {func(p *design.Part) { p.Joins = "" }, design.MinorConnector},
		"joins what": {func(p *design.Part) { p.Joins = "nothing" }, design.MinorConnector},
		"at":         {func(p *design.Part) { p.At = nil }, design.MinorConnector},
		"bar form":   {func(p *design.Part) { p.Form = "" }, design.MajorConnector},
		"bar size":   {func(p *design.Part) { p.Dimensions = map[string]float64{"height": 4} }, design.MajorConnector},
		"bar gone":   {func(p *design.Part) { p.Kind = design.TissueStop }, design.MajorConnector},
		"teeth":      {func(p *design.Part) { p.Teeth = nil }, design.Base},
		"support":    {func(p *design.Part) { p.Support = "" }, design.Base},
		"attachment": {func(p *design.Part) { p.Attachment = "" }, design.Base},
		"stop":       {func(p *design.Part) { p.Joins = "" }, design.TissueStop},
		"finish":     {func(p *design.Part) { p.Side = "external" }, design.FinishLine},
	} {
		w := ordertest.Lower()
		for i := range w.Case.Design.Parts {
			if p := &w.Case.Design.Parts[i]; p.Kind == c.kind {
				c.change(p)
				break
			}
		}
		o := Write(w, generic, words.English)
		if len(o.Gaps) == 0 {
			t.Errorf("%s: nothing is missed", name)
		}
		for _, g := range o.Gaps {
			if g.Where == "" || g.Rule == "" {
				t.Errorf("%s: %+v", name, g)
			}
		}
	}
	w := ordertest.Lower()
	w.Placement = nil
	if o := Write(w, generic, words.English); len(o.Gaps) == 0 {
		t.Error("an order without a drawing is complete")
	}
	w = ordertest.Lower()
	w.Case.Design = nil
	if o := Write(w, generic, words.English); len(o.Gaps) == 0 {
		t.Error("an order without a design is complete")
	}
}

func TestACaseWithoutANumberIsNotOrdered(t *testing.T) {
	w := ordertest.Lower()
	w.Case.ID = ""
	o := Write(w, place1(t, "us-fl"), words.English)
	if o.State != Draft || o.Number != "" || !slices.ContainsFunc(o.Gaps, func(g Gap) bool { return g.Field == "patient.id" && strings.HasSuffix(g.Where, "case") }) {
		t.Errorf("%s %q %+v", o.State, o.Number, o.Gaps)
	}
}

func TestAStopIsOverruledOnlyByName(t *testing.T) {
	stop := rulebook.Finding{Rule: "CHK-031", Severity: rulebook.Stop, Status: rulebook.Failed, Place: rulebook.Place{Tooth: 44}, Message: words.Plain("The margin is 2.1 mm from the bar; 3 mm are asked.")}
	caution := rulebook.Finding{Rule: "CHK-101", Severity: rulebook.Caution, Status: rulebook.Failed, Message: words.Plain("The tooth is mobile.")}
	w := ordertest.Lower()
	w.Findings = []rulebook.Finding{stop, caution}
	generic := place1(t, "generic")
	if o := Write(w, generic, words.English); o.State != Draft || o.Gaps[0].Rule != "CHK-031" || len(o.Open) != 2 {
		t.Errorf("%s, %+v", o.State, o.Gaps)
	}
	w.Case.SetAside = []casebook.SetAside{{Rule: "CHK-031", Reason: "the patient knows"}, {Rule: "CHK-101", Reason: "splinted"}}
	if o := Write(w, generic, words.English); o.State != Draft || len(o.SetAside) != 1 {
		t.Errorf("a stop went through without a name: %s, %+v", o.State, o.SetAside)
	}
	w.Case.SetAside[0].By = "A. S."
	if o := Write(w, generic, words.English); o.State != Complete || len(o.SetAside) != 2 {
		t.Errorf("%s, %+v", o.State, o.Gaps)
	}
	w.Case.SetAside[0].Place.Tooth = 34
	if o := Write(w, generic, words.English); o.State != Draft {
		t.Error("a decision about 34 set aside a finding at 44")
	}
}

func TestAllergyStopsTheAlloy(t *testing.T) {
	w := ordertest.Lower()
	w.Case.Chart.Patient.Allergies = []string{"cobalt"}
	o := Write(w, place1(t, "generic"), words.English)
	if len(o.Gaps) != 1 || o.Gaps[0].Field != "alloy" {
		t.Errorf("%+v", o.Gaps)
	}
	w.Case.Order.Fields["alloy"] = "cp-ti"
	if o := Write(w, place1(t, "generic"), words.English); o.State != Complete {
		t.Errorf("titanium against a cobalt allergy: %+v", o.Gaps)
	}
	// Heat-cured denture resin is poly(methyl methacrylate) (ISO 20795-1, from memory).
	for _, c := range []struct {
		base, by string
		gaps     int
	}{{"resin", "", 1}, {"resin", "A. S.", 0}, {"polyamide", "", 0}} {
		w := ordertest.Lower()
		w.Case.Chart.Patient.Allergies = []string{"acrylic"}
		w.Case.Order.Fields["base.material"], w.Case.Order.Fields["allergies.accepted_by"] = c.base, c.by
		if o := Write(w, place1(t, "generic"), words.English); len(o.Gaps) != c.gaps || c.gaps > 0 && o.Gaps[0].Field != "base.material" {
			t.Errorf("%v: %+v", c, o.Gaps)
		}
	}
}

func TestEveryFormHasAWord(t *testing.T) {
	for k, forms := range design.Forms {
		for _, f := range forms {
			if !words.HasTerm(string(k), string(f)) {
				t.Errorf("%s.%s has no word", k, f)
			}
		}
	}
	for _, k := range design.Kinds {
		if !words.HasTerm("kind", string(k)) {
			t.Errorf("%s has no word", k)
		}
	}
	for _, f := range Fields {
		if f.Group == "" {
			continue
		}
		for _, c := range f.Choices {
			if !words.HasTerm(f.Group, c) {
				t.Errorf("%s.%s has no word", f.Group, c)
			}
		}
	}
	seen := map[int]bool{}
	for _, f := range Fields {
		seen[f.Number] = true
	}
	for n := 1; n <= 41; n++ {
		if !seen[n] {
			t.Errorf("field %d of the list is not there", n)
		}
	}
}

func TestOldToothNumbersPrintAsThePlaceReadsThem(t *testing.T) {
	for name, want := range map[string][2]string{"us-fl": {"#21", "#21 (ISO\u00a034)"}, "gb": {"LL4", "LL4 (ISO\u00a034)"}, "eu": {"34", "34"}} {
		l := words.English.Numbered(place1(t, name).Numbering)
		if got := [2]string{words.ToothName(l, 34), words.ToothAndISO(l, 34)}; got != want {
			t.Errorf("%s: %q, expected %q", name, got, want)
		}
	}
}

// Where a connector crosses a torus the laboratory is told the relief over it, beside that
// of the rest of the connector (clinical teaching: cover a torus only with relief, 0.5 to
// 1.0 mm); where it keeps off, nothing is said of the torus.
func TestReliefOverATorus(t *testing.T) {
	for _, crossed := range []bool{true, false} {
		w := ordertest.Lower()
		pl := *w.Placement
		pl.Parts = slices.Clone(pl.Parts)
		for i, q := range pl.Parts {
			if q.Part.Kind == design.MajorConnector && crossed {
				q.Measures = append(slices.Clone(q.Measures), placement.Measure{Name: "torus_relief", Quantity: unit.MM(0.75, unit.Computed, 0)})
				pl.Parts[i] = q
			}
		}
		w.Placement = &pl
		var told []string
		for _, s := range Write(w, place1(t, "generic"), words.English).Spaces {
			if s.Part == "bar" {
				told = append(told, strings.ReplaceAll(s.Told, "\u00a0", " "))
			}
		}
		want := []string{"relief 0.25 mm", "relief 0.75 mm"}
		if !crossed {
			want = want[:1]
		}
		if !slices.Equal(told, want) {
			t.Errorf("torus crossed: %v; told %q", crossed, told)
		}
	}
}

// A connector whose borders were drawn over a hole in the scan is not built from guesses;
// who sends the cast as well says so by name.
func TestAConnectorOverNothingKeepsTheOrderBack(t *testing.T) {
	w := ordertest.Lower()
	pl := *w.Placement
	pl.Parts = slices.Clone(pl.Parts)
	for i, q := range pl.Parts {
		if q.Part.Kind == design.MajorConnector {
			q.Shortfalls = append(slices.Clone(q.Shortfalls), placement.Shortfall{Measure: "palate_seen_share", Wanted: 1, Got: 0.4})
			pl.Parts[i] = q
		}
	}
	w.Placement = &pl
	j := place1(t, "generic")
	if o := Write(w, j, words.English); o.State != Draft || len(o.Gaps) != 1 || o.Gaps[0].Part != "bar" {
		t.Errorf("%s with %v", o.State, o.Gaps)
	}
	w.Case.SetAside = []casebook.SetAside{{Rule: "CHK-177", Reason: "the master cast is enclosed", By: "A. S.", Place: rulebook.Place{Part: "bar"}}}
	if o := Write(w, j, words.English); o.State != Complete {
		t.Errorf("answered for by name: %s with %v", o.State, o.Gaps)
	}
}

// Teeth that the program found on a scan are looked at before anything is built on them: a
// case with no point of its own, or with points that are still proposals, is no order yet.
func TestTeethThatNobodyLookedAtKeepTheOrderBack(t *testing.T) {
	j := place1(t, "generic")
	point := map[tooth.Number]geom.Vec{34: {X: 1}}
	for _, c := range []struct {
		scan casebook.Scan
		want State
	}{
		{casebook.Scan{File: "lower.stl"}, Draft},
		{casebook.Scan{File: "lower.stl", Points: point, Proposed: []tooth.Number{34}}, Draft},
		{casebook.Scan{File: "lower.stl", Points: point}, Complete},
	} {
		w := ordertest.Lower()
		w.Case.Scan = &c.scan
		if o := Write(w, j, words.English); o.State != c.want {
			t.Errorf("%+v: %s with %v", c.scan, o.State, o.Gaps)
		}
	}
}

// A laboratory plans by the dates of the stages: each is asked for, and they follow one
// another (common practice).
func TestStagesAndTheirDatesAgree(t *testing.T) {
	for name, c := range map[string]struct {
		fields map[string]string
		field  string // that is missed; empty for none
		stages []string
	}{
		"as given":           {nil, "", []string{"framework", "altered-cast", "teeth"}},
		"altered cast alone": {map[string]string{"try_in": "teeth, framework", "altered_cast": "yes"}, "", []string{"framework", "altered-cast", "teeth"}},
		"none":               {map[string]string{"try_in": "none", "date.framework_try_in": "", "date.tooth_try_in": ""}, "", []string{"none"}},
		"none and some":      {map[string]string{"try_in": "none, framework", "date.tooth_try_in": ""}, "try_in", []string{"framework"}},
		"no altered cast":    {map[string]string{"altered_cast": "no"}, "try_in", []string{"framework", "altered-cast", "teeth"}},
		"date of no stage":   {map[string]string{"try_in": "framework"}, "date.tooth_try_in", []string{"framework"}},
		"teeth first":        {map[string]string{"date.framework_try_in": "2026-03-17"}, "date.tooth_try_in", nil},
		"wanted too early":   {map[string]string{"date.wanted": "2026-03-14"}, "date.wanted", nil},
		"wanted yesterday":   {map[string]string{"date.wanted": "2026-03-01", "try_in": "altered-cast", "date.framework_try_in": "", "date.tooth_try_in": ""}, "date.wanted", nil},
	} {
		w := ordertest.Lower()
		for k, v := range c.fields {
			w.Case.Order.Fields[k] = v
		}
		o := Write(w, place1(t, "generic"), words.English)
		var missed []string
		for _, g := range o.Gaps {
			missed = append(missed, g.Field)
		}
		if want := strings.Fields(c.field); !slices.Equal(missed, want) {
			t.Errorf("%s: misses %v, expected %v", name, o.Gaps, want)
		}
		if c.stages != nil && !slices.Equal(o.Stages(), c.stages) {
			t.Errorf("%s: stages %v, expected %v", name, o.Stages(), c.stages)
		}
	}
}

// A revision tells what else the technician's work depends on: whose form it is, what stands
// opposite, which teeth there are, and that there is a new scan.
func TestARevisionTellsMoreThanParts(t *testing.T) {
	before := ordertest.Lower()
	before.Inputs = []Input{{Name: "lower.stl", Kind: "scan", Digest: strings.Repeat("a", 64)}, {Name: "case.yaml", Kind: "case", Digest: strings.Repeat("c", 64)}}
	_, r, err := Write(before, place1(t, "us-fl"), words.English).Sign("A. S.", nil)
	if err != nil {
		t.Fatal(err)
	}
	w := ordertest.Lower()
	w.Before = &r
	w.Inputs = []Input{{Name: "lower.stl", Kind: "scan", Digest: strings.Repeat("b", 64)}, {Name: "case.yaml", Kind: "case", Digest: strings.Repeat("d", 64)}}
	w.Case.Chart.Opposing.Kind = "complete-denture"
	w.Case.Chart.Teeth = maps.Clone(w.Case.Chart.Teeth)
	w.Case.Chart.Teeth[32] = chart.Tooth{State: chart.Extract}
	var said []string
	for _, c := range Write(w, place1(t, "eu"), words.English).Changes {
		said = append(said, c.Text)
	}
	all := strings.Join(said, "\n")
	for _, want := range []string{"form was Florida, USA, is now European Union", "opposing arch was natural teeth, is now complete denture", "was missing 48 47 46 45 35 36 37 38;", "is now missing 48 47 46 45 32 35 36 37 38;",
		"scan was lower.stl aaaa aaaa aaaa, is now lower.stl bbbb bbbb bbbb"} {
		if !strings.Contains(all, want) {
			t.Errorf("the changes do not say %q:\n%s", want, all)
		}
	}
	if len(said) != 4 {
		t.Errorf("%d changes, expected 4:\n%s", len(said), all)
	}
}

// What the papers have no letters for keeps the order back, rather than to print boxes or a
// name from the wrong end (Unicode Standard Annex 9: Hebrew and Arabic run from the right).
func TestWhatCannotBeSetIsMissed(t *testing.T) {
	for text, want := range map[string]string{"Łódź, Ζήτα, Жуков, ſ, ½ × 2 µm, „so“ – –": "", "歯科": "U+6B6F '歯', U+79D1 '科'", "🦷": "U+1F9B7 '🦷'", "שלום": "U+05E9", "مرحبا": "U+0645", "A\u202e3": "U+202E"} {
		for _, field := range []string{"lab.name", "shade", "instructions"} {
			w := ordertest.Lower()
			w.Case.Order.Fields[field] = text
			var said []string
			for _, g := range Write(w, place1(t, "generic"), words.English).Gaps {
				said = append(said, g.Text+" "+g.Where)
			}
			all := strings.Join(said, "\n")
			if want == "" && all != "" || want != "" && (!strings.Contains(all, want) || !strings.Contains(all, "order.fields."+field)) {
				t.Errorf("%s %q: %q", field, text, all)
			}
		}
	}
}

// A framework is cast in one piece of one metal; wire and a clasp that is soldered on are of
// another (common practice).
func TestPartsAreOfTheOrdersMetal(t *testing.T) {
	for name, c := range map[string]struct {
		part   design.ID
		change func(*design.Part)
		gaps   int
	}{
		"connector":   {"bar", func(p *design.Part) { p.Material = "cp-ti" }, 1},
		"clasp":       {"retainer-34", func(p *design.Part) { p.Material = "gold-iv" }, 1},
		"joined":      {"retainer-34", func(p *design.Part) { p.Material, p.Note = "gold-iv", "soldered to the lattice" }, 0},
		"wire":        {"retainer-34", func(p *design.Part) { p.Material, p.GaugeMM = "wrought-wire-steel", 0.9 }, 0},
		"same":        {"bar", func(p *design.Part) { p.Material = "co-cr-cast" }, 0},
		"metal base":  {"base-34", func(p *design.Part) { p.Material = "gold-iv" }, 0},
		"not told of": {"bar", func(p *design.Part) {}, 0},
	} {
		w := ordertest.Lower()
		p, ok := w.Case.Design.Part(c.part)
		if !ok {
			t.Fatal(c.part)
		}
		c.change(&p)
		d := w.Case.Design.With(p)
		w.Case.Design = &d
		o := Write(w, place1(t, "generic"), words.English)
		if len(o.Gaps) != c.gaps || c.gaps > 0 && (o.Gaps[0].Part != c.part || !strings.Contains(o.Gaps[0].Text, "cobalt-chromium")) {
			t.Errorf("%s: %v", name, o.Gaps)
		}
	}
}
