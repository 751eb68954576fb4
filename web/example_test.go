package web_test

import (
	"os"
	"strings"
	"testing"

	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/web/api"
)

// example keeps the worked example and gives its address.
func example(t testing.TB) (*client, string, api.State) {
	t.Helper()
	doc, err := os.ReadFile("../cmd/halfpear/cli/demo/lower-extension.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c := serveExample(t, doc)
	var st api.State
	c.do("POST", "/api/cases/example", nil, &st)
	return c, "/api/cases/" + st.Case.Case, st
}

func TestExample(t *testing.T) {
	c, at, st := example(t)
	if st.Case.Design == nil || len(st.Case.Design.Parts) == 0 || st.Undo != "accept" {
		t.Fatalf("the example came as %+v", st)
	}
	var mech api.Reckoned
	c.do("GET", at+"/mechanics?lang=en", nil, &mech)
	holds := 0
	for _, p := range st.Case.Design.Parts {
		if p.Kind == "retainer" && p.Form != "none" {
			holds++
		}
	}
	// The sentences, the table of clasps with a row each and the others, what is assumed.
	if len(mech.Says) == 0 || len(mech.Tables) < 2 || len(mech.Tables[0].Rows) != holds || len(mech.Assumed) == 0 {
		t.Fatalf("mechanics of %d retainers: %+v", holds, mech)
	}
	var german api.Reckoned
	c.do("GET", at+"/mechanics?lang=de", nil, &german)
	if german.Says[0] == mech.Says[0] || german.Tables[0].Title == mech.Tables[0].Title {
		t.Fatal("mechanics in German is mechanics in English")
	}
	if status, text, _ := c.ask("GET", at+"/mechanics.svg?lang=de", nil, nil); status != 200 || !strings.HasPrefix(string(text), "<") {
		t.Fatalf("the drawn mechanics answered %d", status)
	}
}

func TestSolids(t *testing.T) {
	c, at, _ := example(t)
	solid := func(path string) *mesh.Mesh {
		t.Helper()
		status, data, header := c.ask("GET", at+path, nil, nil)
		if status != 200 || !strings.Contains(header.Get("Content-Disposition"), ".stl") {
			t.Fatalf("%s answered %d %v", path, status, header)
		}
		m, err := stl.Read(data)
		if err != nil {
			t.Fatal(err)
		}
		return m.WeldVertices()
	}
	// undercut is the share of the crowns' vertices that lie deeper than a gauge would notice.
	// Below the crowns a cast ends in a base, whose underside faces away.
	undercut := func(m *mesh.Mesh) float64 {
		t.Helper()
		table, err := survey.NewTable(m, survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := table.Survey(t.Context(), survey.PathFromTilt(tooth.Lower, 0, 0).Direction)
		if err != nil {
			t.Fatal(err)
		}
		deep, all, top := 0.0, 0.0, geom.BoxOf(m.Vertices).Max.Z
		for i, d := range s.Depth {
			if m.Vertices[i].Z > top-8 {
				all++
				if d > 0.1 {
					deep++
				}
			}
		}
		return deep / all
	}
	// By what an undercut is (see package survey) a cast that was blocked out has none along
	// its path, but for slits between teeth that are narrower than the filling's grid.
	before, after := undercut(solid("/cast.stl")), undercut(solid("/blockout.stl"))
	t.Logf("undercut: %.3f of the crowns on the cast, %.4f blocked out", before, after)
	if before < 0.1 || after > 0.03 {
		t.Errorf("undercut is %.3f of the crowns on the cast, %.4f blocked out; want some, and next to none", before, after)
	}
	if status, _, _ := c.ask("GET", at+"/blockout.stl?taper=80", nil, nil); status != 422 {
		t.Fatalf("a taper of 80 degrees answered %d", status)
	}
}
