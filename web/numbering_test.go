package web_test

import (
	"encoding/json"
	"regexp"
	"testing"

	"halfpear/encoding/casefile"
	"halfpear/web/api"
)

// A case whose order goes to Florida is spoken of there as everywhere in the United States:
// with teeth from #1 to #32. Fields for programs keep the numbers of ISO 3950.
func TestThePageNumbersTeethAsTheOrderGoes(t *testing.T) {
	c, at, st := example(t)
	st.Case.Order = &casefile.Order{Jurisdiction: "us-fl"}
	var now api.State
	c.do("PUT", at, api.Save{Base: st.Revision, Label: "order jurisdiction", Case: st.Case}, &now)
	if now.Numbering != "universal" {
		t.Fatalf("teeth are numbered by %q", now.Numbering)
	}
	// The example has extensions behind 35 and 45: #20 and #29.
	bare := regexp.MustCompile(`(\D|^)(3[3-8]|4[1-8])(\s[^%m]|,|:|\.?$)`)
	for _, path := range []string{"/findings", "/proposals", "/order", "/mechanics"} {
		var answer struct {
			Findings  []api.Finding
			Proposals []api.Proposal
			Gaps      []api.Gap
			Parts     []api.OrderPart
			Says      []string
		}
		c.do("GET", at+path+"?lang=en", nil, &answer)
		var said []string
		for _, p := range answer.Proposals {
			said = append(append(said, p.Title), p.Decide...)
			answer.Findings = append(answer.Findings, p.Findings...)
			for _, r := range p.Reasons {
				said = append(said, r.Because)
			}
		}
		for _, f := range answer.Findings {
			said = append(said, f.Message, f.Remedy)
			if f.Tooth > 0 && (f.Tooth < 31 || f.Tooth > 48) {
				t.Errorf("%s: a program is told tooth %d", path, f.Tooth)
			}
		}
		for _, g := range answer.Gaps {
			said = append(said, g.Text)
		}
		for _, p := range answer.Parts {
			said = append(said, p.Title)
		}
		said = append(said, answer.Says...)
		own := 0
		for _, s := range said {
			if regexp.MustCompile(`#(20|29)\b`).MatchString(s) {
				own++
			}
			if m := bare.FindStringSubmatch(s); m != nil {
				t.Errorf("%s: %q names tooth %s by ISO 3950", path, s, m[2])
			}
		}
		if own == 0 {
			text, _ := json.Marshal(answer)
			t.Errorf("%s names neither #20 nor #29: %.400s", path, text)
		}
	}
}
