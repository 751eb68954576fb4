package proposal

import (
	"math"
	"math/rand"
	"testing"

	"halfpear/arch"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// anyMouth makes a chart that may be usual, strange or impossible.
func anyMouth(r *rand.Rand) (chart.Chart, rulebook.Undercuts) {
	c := chart.Chart{Arch: tooth.Lower, Teeth: map[tooth.Number]chart.Tooth{}}
	if r.Intn(2) == 0 {
		c.Arch = tooth.Upper
	}
	u := rulebook.Undercuts{}
	gone := r.Float64()
	some := func() bool { return r.Intn(3) == 0 }
	for _, n := range tooth.All(c.Arch) {
		var t chart.Tooth
		if r.Float64() < gone {
			t.State = []chart.State{chart.Missing, chart.Missing, chart.Missing, chart.Extract, chart.Root, chart.Closed}[r.Intn(6)]
			if some() {
				b := r.Intn(2) == 0 && t.State != chart.Closed
				t.Replace = &b
			}
		} else {
			t.State = []chart.State{chart.Present, chart.Present, chart.Present, chart.Pontic, chart.Implant}[r.Intn(5)]
			if some() {
				m := r.Intn(4)
				t.Mobility = &m
			}
			if some() {
				v := 90 * r.Float64()
				t.BoneLossPercent = &v
			}
			if some() {
				v := 0.3 + 2*r.Float64()
				t.CrownRootRatio = &v
			}
			if some() {
				v := 45 * r.Float64()
				t.TiltDeg = &v
				t.TiltToward = []string{"", "mesial", "distal", "facial", "lingual"}[r.Intn(5)]
			}
			if some() {
				b := r.Intn(2) == 0
				t.Abutment = &b
			}
			t.Prognosis = []string{"", "", "", "good", "doubtful", "hopeless"}[r.Intn(6)]
			t.Caries = []string{"", "none", "active"}[r.Intn(3)]
			t.MesialContact = []string{"", "free", "blocked"}[r.Intn(3)]
			if some() {
				u[n] = map[tooth.Site]rulebook.Reading{}
				for _, s := range tooth.Sites {
					u[n][s] = rulebook.Reading{MM: r.Float64(), Origin: unit.Entered}
				}
			}
		}
		if some() {
			v := 8 * r.Float64()
			t.OpposingRoomMM = &v
		}
		if r.Intn(400) == 0 {
			m := 7 // impossible
			t.Mobility = &m
		}
		c.Teeth[n] = t
	}
	if c.Arch == tooth.Lower && some() {
		c.Tissues.FloorDepthMM = map[tooth.Number]float64{33: 12 * r.Float64(), 43: 12 * r.Float64()}
	}
	if some() {
		c.Tissues.VestibuleDepthMM = map[tooth.Number]float64{}
		for _, n := range tooth.All(c.Arch) {
			c.Tissues.VestibuleDepthMM[n] = 12 * r.Float64()
		}
	}
	if some() {
		c.Tissues.Tori = []chart.Torus{{Place: map[tooth.Arch]string{tooth.Upper: "palatal", tooth.Lower: "lingual"}[c.Arch], Size: "large"}}
	}
	if some() {
		c.Patient.Allergies = []string{[]string{"nickel", "cobalt", "titanium", "gold"}[r.Intn(4)]}
	}
	c.Patient.SmileLine = []string{"", "high"}[r.Intn(2)]
	return c, u
}

// A thousand mouths, seeded: no panic, no part on a missing or unfit tooth, no check that
// claims to have been done on what nobody knows.
func TestAThousandMouths(t *testing.T) {
	r := rand.New(rand.NewSource(20261125))
	drafted, stopped := 0, map[rulebook.RuleID]int{}
	for i := 0; i < 1000; i++ {
		c, u := anyMouth(r)
		book, err := rulebook.Open(rulebook.Profiles[i%4])
		if err != nil {
			t.Fatal(err)
		}
		list, err := Propose(Input{Chart: c, Book: book, Undercuts: u, Most: 1})
		if err != nil {
			continue
		}
		drafted++
		p := list[0]
		ids := map[design.ID]bool{}
		for _, part := range p.Design.Parts {
			if ids[part.ID] {
				t.Errorf("mouth %d: two parts are called %s", i, part.ID)
			}
			ids[part.ID] = true
			switch part.Kind {
			case design.Rest, design.Retainer, design.GuidePlate, design.Reciprocation:
				if !c.Stands(part.Tooth) || rulebook.Unfit(book, c, part.Tooth) {
					t.Errorf("mouth %d: %s stands on %d, which is missing or unfit", i, part.ID, part.Tooth)
				}
			case design.ReplacementTooth:
				if c.Stands(part.Tooth) || !c.Replaced(part.Tooth) {
					t.Errorf("mouth %d: %s replaces a tooth that stands or is not to be replaced", i, part.ID)
				}
			}
		}
		for _, f := range p.Report.Findings {
			if f.Status == rulebook.Failed && f.Severity == rulebook.Stop {
				stopped[f.Rule]++
				switch n := inFront(c, book, p); {
				case f.Rule != "CHK-151":
					t.Errorf("mouth %d: the first proposal is stopped by %s: %s", i, f.Rule, f.Message)
				case n != 0:
					t.Errorf("mouth %d: stopped for want of an indirect retainer, though %d stands in front of the line", i, n)
				case opens(c, u, book, p) != "":
					t.Errorf("mouth %d: stopped for want of an indirect retainer, though %s would be one", i, opens(c, u, book, p))
				case len(p.Ways) == 0 && standing(c) > 2:
					t.Errorf("mouth %d: stopped, and nothing is said that opens the way", i)
				}
			}
			if f.Status == rulebook.NotChecked && len(f.Missing) == 0 {
				t.Errorf("mouth %d: %s was not done and lacks nothing", i, f.Rule)
			}
		}
		for _, id := range []rulebook.RuleID{"CHK-104", "CHK-135", "CHK-161", "CHK-174", "CHK-246", "CHK-137"} {
			for _, f := range p.Report.Findings {
				if f.Rule == id && id != "CHK-104" && f.Status != rulebook.NotChecked {
					t.Errorf("mouth %d: %s claims %s though nothing was laid on a cast", i, id, f.Status)
				}
			}
		}
		if len(p.Report.Faults) > 0 {
			t.Errorf("mouth %d: %v", i, p.Report.Faults)
		}
	}
	if drafted < 600 {
		t.Errorf("only %d of 1000 mouths got a design", drafted)
	}
	t.Logf("%d designs; stops by rule %v", drafted, stopped)
}

// inFront is a fit tooth without a rest whose middle stands half a crown or more in front
// of the line through the two rests that are farthest apart along the arch, on average
// tooth places; 0 where there is none. It is reckoned here from the averages alone.
func inFront(c chart.Chart, book *rulebook.Book, p Proposal) tooth.Number {
	at := func(n tooth.Number) (x, y float64) {
		a := cast.AverageOf(n)
		if n.Right() {
			return a.X, a.Y
		}
		return -a.X, a.Y
	}
	var first, last tooth.Number
	for _, r := range p.Design.Of(design.Rest) {
		if first == 0 || r.Tooth.Index() < first.Index() {
			first = r.Tooth
		}
		if last == 0 || r.Tooth.Index() > last.Index() {
			last = r.Tooth
		}
	}
	if first == last {
		return 0
	}
	ax, ay := at(first)
	bx, by := at(last)
	nx, ny := ay-by, bx-ax
	if ny < 0 || ny == 0 && nx < 0 {
		nx, ny = -nx, -ny
	}
	l := math.Hypot(nx, ny)
	for _, n := range tooth.All(c.Arch) {
		if !c.Stands(n) || rulebook.Unfit(book, c, n) || len(p.Design.On(design.Rest, n)) > 0 || n.Place() == 8 {
			continue
		}
		x, y := at(n)
		if ((x-ax)*nx+(y-ay)*ny)/l > 4 {
			return n
		}
	}
	return 0
}

// opens tries every fit tooth without a rest, on either site, as indirect retainer, with the
// rests of the design as they are and with any of them turned to their teeth's other site, and
// tells which is one. A second rest on a tooth that has one is not tried: the denture lifts
// about the foremost of the two with or without the other, so that nothing is gained but
// the look of it, and the tooth beside the base is tipped.
func opens(c chart.Chart, u rulebook.Undercuts, book *rulebook.Book, p Proposal) string {
	rests := p.Design.Of(design.Rest)
	other := map[tooth.Surface]tooth.Surface{tooth.Mesial: tooth.Distal, tooth.Distal: tooth.Mesial}
	for turned := 0; turned < 1<<min(len(rests), 6); turned++ {
		d := p.Design
		for i, r := range rests {
			if turned&(1<<i) != 0 && other[r.Site] != "" {
				r.Site = other[r.Site]
				d = d.With(r)
			}
		}
		for _, n := range tooth.All(c.Arch) {
			if rulebook.Unfit(book, c, n) || len(d.On(design.Rest, n)) > 0 {
				continue
			}
			sites := []tooth.Surface{tooth.Mesial, tooth.Distal}
			if n.Kind().Anterior() {
				sites = []tooth.Surface{tooth.Lingual}
			}
			for _, s := range sites {
				more := d.With(design.Part{ID: "one-more", Kind: design.Rest, Tooth: n, Form: design.RestOcclusal, Site: s, Role: design.Indirect})
				f := rulebook.Gather(book, rulebook.Input{Chart: c, Undercuts: u, Design: &more})
				if v, ok := f.Case.Lookup("design.rests_beyond_axis"); ok && v.V.(int64) > 0 {
					return n.String() + " " + string(s)
				}
			}
		}
	}
	return ""
}

func standing(c chart.Chart) int {
	n := 0
	for _, t := range tooth.All(c.Arch) {
		if c.Stands(t) {
			n++
		}
	}
	return n
}

// BenchmarkWholeCase is classification, proposals and all checks of one case whose survey
// is at hand.
func BenchmarkWholeCase(b *testing.B) {
	c, u := mouth(b, "lower; missing 36,37,46,47; floor=9 vestibule=8; 35 mid-facial .25 mesio-facial .5; 45 mid-facial .25 mesio-facial .5")
	book, err := rulebook.Open("")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := arch.Classify(c.Pattern(false)); err != nil {
			b.Fatal(err)
		}
		if _, err := Propose(Input{Chart: c, Book: book, Undercuts: u}); err != nil {
			b.Fatal(err)
		}
	}
}
