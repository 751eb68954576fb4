package web_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"halfpear/encoding/casefile"
	"halfpear/web/api"
)

func TestCases(t *testing.T) {
	c := serve(t)
	var st api.State
	c.do("POST", "/api/cases", api.NewCase{Arch: "lower", Title: "Two-sided extension"}, &st)
	at := "/api/cases/" + st.Case.Case
	if st.Revision != 1 || st.Case.Title != "Two-sided extension" || st.Class.Class != "" {
		t.Fatalf("a new case is %+v", st)
	}

	// The molars of both sides go: Kennedy's class I (Kennedy 1925).
	st.Case.Teeth = map[string]casefile.Tooth{}
	for _, n := range []string{"36", "37", "38", "46", "47", "48"} {
		st.Case.Teeth[n] = casefile.Tooth{State: "missing"}
	}
	save := api.Save{Base: 1, Label: "teeth", Case: st.Case}
	c.do("PUT", at, save, &st)
	if st.Revision != 2 || st.Class.Class != "I" || len(st.Class.Areas) != 2 || st.Undo != "teeth" {
		t.Fatalf("after the molars went the case is %+v", st)
	}

	// Another tab still stands on revision 1.
	status, text, _ := c.ask("PUT", at, save, nil)
	var f api.Failure
	if err := json.Unmarshal(text, &f); err != nil || status != http.StatusConflict || f.Head != 2 {
		t.Fatalf("a save on an old revision answered %d %s", status, text)
	}

	// A contradiction is named at its place and nothing is saved.
	two := 2
	bad := api.Save{Base: 2, Label: "teeth", Case: st.Case}
	bad.Case.Teeth = map[string]casefile.Tooth{"36": {State: "missing", Mobility: &two}}
	status, text, _ = c.ask("PUT", at, bad, nil)
	f = api.Failure{}
	if err := json.Unmarshal(text, &f); err != nil || status != http.StatusUnprocessableEntity || len(f.Problems) != 1 || f.Problems[0].Field != "teeth.36.mobility" {
		t.Fatalf("a mobile missing tooth answered %d %s", status, text)
	}

	c.do("POST", at+"/undo", api.OnTop{Base: 2}, &st)
	if st.Revision != 1 || st.Redo != "teeth" || len(st.Case.Teeth) != 0 {
		t.Fatalf("undo gave %+v", st)
	}
	c.do("POST", at+"/redo", api.OnTop{Base: 1}, &st)
	c.do("POST", at+"/restore", api.OnTop{Base: 2, To: 1}, &st)
	if st.Revision != 3 || len(st.Case.Teeth) != 0 {
		t.Fatalf("bringing back revision 1 gave %+v", st)
	}
	var steps []api.Step
	c.do("GET", at+"/history", nil, &steps)
	if len(steps) != 3 || !steps[2].Head {
		t.Fatalf("history %+v", steps)
	}

	var twin api.State
	c.do("POST", at+"/duplicate", nil, &twin)
	if twin.Case.Case == st.Case.Case || twin.Case.Title != st.Case.Title {
		t.Fatalf("the duplicate is %+v", twin.Case)
	}
	_, file, header := c.ask("GET", at+"/export", nil, nil)
	if !strings.Contains(header.Get("Content-Disposition"), st.Case.Case+".yaml") {
		t.Fatalf("exported as %q", header.Get("Content-Disposition"))
	}
	var back api.State
	c.do("POST", "/api/cases/import", file, &back)
	if back.Case.Title != st.Case.Title || back.Case.Case == st.Case.Case {
		t.Fatalf("imported as %+v", back.Case)
	}
	var list []api.Listed
	c.do("GET", "/api/cases?q=extension", nil, &list)
	if len(list) != 3 {
		t.Fatalf("%d cases in the list, want 3", len(list))
	}
	c.do("DELETE", at, nil, nil)
	if status, _, _ := c.ask("GET", at, nil, nil); status != http.StatusNotFound {
		t.Fatalf("a removed case answered %d", status)
	}
}

func TestBadImports(t *testing.T) {
	c := serve(t)
	archive := func(files ...string) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for i := 0; i < len(files); i += 2 {
			w, err := z.Create(files[i])
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write([]byte(files[i+1])); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	good := "format: case/1\narch: lower\nscan: {file: lower.stl}\n"
	for name, v := range map[string]struct {
		file []byte
		says string
	}{
		"nothing":              {nil, "empty"},
		"noise":                {[]byte("\x00\x01\x02"), "could not read the case"},
		"another format":       {[]byte("format: case/9\narch: lower\n"), "case/9"},
		"no arch":              {[]byte("format: case/1\n"), "arch"},
		"a scan that is away":  {[]byte(good), "which is not with it"},
		"a cut archive":        {archive("a.yaml", good)[:60], "damaged"},
		"an archive of photos": {archive("a.jpg", "x"), "expected a case file"},
		"three files":          {archive("a.yaml", good, "b.stl", "x", "c.stl", "x"), "found 3 files"},
		"another scan":         {archive("a.yaml", good, "../../etc/passwd", "x"), "the archive holds"},
		"a bomb":               {archive("a.yaml", strings.Repeat(" ", 9<<20)), "larger than"},
	} {
		t.Run(name, func(t *testing.T) {
			c := *c
			c.t = t
			status, text, _ := c.ask("POST", "/api/cases/import", v.file, nil)
			if status < 400 || status >= 500 || !strings.Contains(string(text), v.says) {
				t.Fatalf("answered %d %s; want a refusal that says %q", status, text, v.says)
			}
		})
	}
	var list []api.Listed
	c.do("GET", "/api/cases", nil, &list)
	if len(list) != 0 {
		t.Fatalf("%d cases were half-loaded", len(list))
	}
}
