package web_test

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"halfpear/encoding/casefile"
	"halfpear/web/api"
)

// What the page asks for in German it is told in German: findings, proposals with their
// reasons, shortfalls, the report on the cast, the survey's assumptions, the order's gaps.
func TestThePageIsToldInGerman(t *testing.T) {
	c, at, _ := example(t)
	english := regexp.MustCompile(`\[en\]|\b(the|of|and|with|is|are|for|from|not|its)\b`)
	codes := map[string]bool{"cite": true, "name": true, "rule": true, "part": true, "id": true, "kind": true, "form": true, "status": true, "state": true, "origin": true,
		"profile": true, "mark": true, "note": true, "code": true, "role": true, "source": true, "key": true}
	for _, path := range []string{"/findings", "/proposals", "/placement", "/order", "/mechanics", "/survey?anterior=0&right=0"} {
		var answer any
		sep := "?"
		if strings.Contains(path, "?") {
			sep = "&"
		}
		c.do("GET", at+path+sep+"lang=de", nil, &answer)
		said := 0
		var walk func(key string, v any)
		walk = func(key string, v any) {
			switch v := v.(type) {
			case map[string]any:
				for k, x := range v {
					walk(k, x)
				}
			case []any:
				for _, x := range v {
					walk(key, x)
				}
			case string:
				if codes[key] || v == "" || v == "wax rim record on the framework, at the try-in" { // the dentist's own words
					return
				}
				said++
				if english.MatchString(v) {
					t.Errorf("%s: %s is %q", path, key, v)
				}
			}
		}
		walk("", answer)
		if said < 1 {
			text, _ := json.Marshal(answer)
			t.Errorf("%s said only %d things: %.300s", path, said, text)
		}
	}
}

// What is refused is refused in German.
func TestThePageIsRefusedInGerman(t *testing.T) {
	c, at, st := example(t)
	english := regexp.MustCompile(`\[en\]|\b(the|of|and|with|is|are|for|from|not|its|this|there|found)\b`)
	var fresh api.State
	c.do("POST", "/api/cases", api.NewCase{Arch: "lower"}, &fresh)
	wrong := st.Case
	wrong.Teeth = map[string]casefile.Tooth{"36": {State: "missing", Caries: "active"}, "34": {Mobility: new(int)}, "18": {State: "missing"}}
	*wrong.Teeth["34"].Mobility = 7
	for _, ask := range []struct {
		method, path string
		body         any
	}{
		{"GET", "/api/cases/XX-XXXX", nil},
		{"GET", "/api/nowhere", nil},
		{"PUT", at, api.Save{Base: st.Revision, Case: wrong}},
		{"PUT", at, api.Save{Base: 0, Case: st.Case}},
		{"PUT", at + "/scan?base=0&name=mouth.jpg", []byte("\xff\xd8\xff\xe0 a picture")},
		{"PUT", at + "/scan?base=0&name=cut.stl", make([]byte, 84)},
		{"POST", at + "/scan/place", api.PlaceTooth{Tooth: 34}},
		{"POST", at + "/placement/tip", api.MoveTip{Part: "nothing"}},
		{"POST", at + "/order/sign", api.Sign{Base: st.Revision, By: "A. B.", Language: "de", Arch: "upper"}},
		{"POST", "/api/cases/" + fresh.Case.Case + "/order/sign", api.Sign{Base: fresh.Revision, By: "A. B.", Language: "de", Arch: "lower"}},
		{"GET", "/api/cases/" + fresh.Case.Case + "/proposals", nil},
		{"GET", "/api/cases/" + fresh.Case.Case + "/findings", nil},
		{"GET", at + "/survey?anterior=80&right=0", nil},
		{"GET", at + "/blockout.stl?taper=99", nil},
		{"POST", "/api/cases/import", []byte("PK\x03\x04 no archive")},
		{"POST", "/api/cases/import", []byte("just words")},
		{"POST", at + "/redo", api.OnTop{Base: st.Revision}},
	} {
		status, text, _ := c.ask(ask.method, ask.path, ask.body, map[string]string{"Accept-Language": "de-AT,de;q=0.9,en;q=0.5"})
		var f api.Failure
		if err := json.Unmarshal(text, &f); err != nil || status < 400 {
			t.Errorf("%s %s answered %d: %s", ask.method, ask.path, status, text)
			continue
		}
		said := []string{f.Error}
		for _, p := range f.Problems {
			said = append(said, p.Text)
		}
		for _, s := range said {
			if english.MatchString(s) {
				t.Errorf("%s %s is refused with %q", ask.method, ask.path, s)
			}
		}
	}
}
