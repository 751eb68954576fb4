package workflow_test

import (
	"math/rand"
	"reflect"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/encoding/casefile"
	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// Every design that is proposed can be written as a case and read back as the same: the
// published schema knows every form, surface and site the search may choose.
func TestWhatIsProposedCanBeWritten(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	forms := map[string]int{}
	for i := 0; i < 80; i++ {
		c := chart.Chart{Arch: []tooth.Arch{tooth.Upper, tooth.Lower}[i%2], Teeth: map[tooth.Number]chart.Tooth{}}
		undercuts := rulebook.Undercuts{}
		for _, n := range tooth.All(c.Arch) {
			var here chart.Tooth
			switch {
			case r.Intn(3) == 0 || n.Kind() == tooth.ThirdMolar && r.Intn(4) > 0:
				here.State = chart.Missing
			default:
				here.State = chart.Present
				if tilt := 40 * r.Float64(); r.Intn(3) == 0 {
					here.TiltDeg, here.TiltToward = &tilt, []string{"mesial", "lingual"}[r.Intn(2)]
				}
				if r.Intn(2) == 0 {
					undercuts[n] = map[tooth.Site]rulebook.Reading{}
					for _, s := range tooth.Sites {
						undercuts[n][s] = rulebook.Reading{MM: []float64{0, 0.1, 0.25, 0.5}[r.Intn(4)], Origin: unit.Entered}
					}
				}
			}
			c.Teeth[n] = here
		}
		book, err := rulebook.Open(rulebook.Profiles[i%len(rulebook.Profiles)])
		if err != nil {
			t.Fatal(err)
		}
		list, err := proposal.Propose(proposal.Input{Chart: c, Book: book, Undercuts: undercuts})
		if err != nil {
			continue
		}
		for _, p := range list {
			for _, q := range p.Design.Parts {
				forms[string(q.Form)]++
			}
			d := p.Design
			text, err := casefile.Write(casebook.Case{ID: "WR-1TTN", Chart: c, Profile: rulebook.Profiles[i%len(rulebook.Profiles)], Design: &d})
			if err != nil {
				t.Fatal(err)
			}
			back, err := casefile.Read("written", text)
			if err != nil {
				t.Errorf("mouth %d, proposal %d: %v", i, p.Rank, err)
				continue
			}
			if !reflect.DeepEqual(casefile.Parts(*back.Design), casefile.Parts(d)) {
				t.Errorf("mouth %d, proposal %d: the design that was read is another one", i, p.Rank)
			}
		}
	}
	for _, f := range []string{"ring", "half-and-half", "embrasure", "combination"} {
		if forms[f] == 0 {
			t.Errorf("no %s was proposed, so none was written", f)
		}
	}
}
