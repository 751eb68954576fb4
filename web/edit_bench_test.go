package web_test

import (
	"testing"

	"halfpear/encoding/casefile"
	"halfpear/web/api"
)

// BenchmarkEdit is an edit of a part in the workbench: saved, laid, reckoned and judged,
// asked for over the wire as the page asks.
func BenchmarkEdit(b *testing.B) {
	c, at, st := example(b)
	c.do("GET", at+"/findings?lang=en", nil, nil)
	for i := 0; b.Loop(); i++ {
		for k, p := range st.Case.Design.Parts {
			if p.Kind == "retainer" && p.Undercut != nil {
				st.Case.Design.Parts[k].Undercut = &casefile.PartUndercut{Site: p.Undercut.Site, MM: 0.2 + float64(i%300)/1000}
				break
			}
		}
		c.do("PUT", at, api.Save{Base: st.Revision, Label: "part", Case: st.Case}, &st)
		for _, thing := range []string{"/placement", "/findings", "/mechanics"} {
			c.do("GET", at+thing+"?lang=en", nil, nil)
		}
	}
}
