package web_test

import (
	"bytes"
	"strings"
	"testing"

	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/web/api"
)

// TestScanWithoutTeeth takes a scan in on which the program finds nothing: it is shown in
// its own frame, and its teeth can be pointed out one after another.
func TestScanWithoutTeeth(t *testing.T) {
	c := serve(t)
	var st api.State
	c.do("POST", "/api/cases", api.NewCase{Arch: "lower"}, &st)
	at := "/api/cases/" + st.Case.Case
	flat := &mesh.Mesh{}
	for i := range 40 {
		for j := range 40 {
			k := int32(len(flat.Vertices))
			flat.Vertices = append(flat.Vertices, geom.V(float64(i), float64(j), 0), geom.V(float64(i+1), float64(j), 0), geom.V(float64(i+1), float64(j+1), 0), geom.V(float64(i), float64(j+1), 0))
			flat.Faces = append(flat.Faces, [3]int32{k, k + 1, k + 2}, [3]int32{k, k + 2, k + 3})
		}
	}
	var b bytes.Buffer
	if err := stl.Write(&b, flat); err != nil {
		t.Fatal(err)
	}
	c.do("PUT", at+"/scan?base=1&name=flat.stl", b.Bytes(), &st)
	var cast api.Cast
	c.do("GET", at+"/cast?lang=en", nil, &cast)
	if cast.Mounted || cast.Scan != "flat.stl" || cast.Triangles != 3200 || !strings.Contains(cast.Trouble, "point out the middle") {
		t.Fatalf("a flat scan came as %+v", cast)
	}
	c.do("GET", at+"/cast?lang=de", nil, &cast)
	if !strings.Contains(cast.Trouble, "die Mitte jedes stehenden Zahns zeigen") {
		t.Fatalf("its trouble in German is %q", cast.Trouble)
	}
	point := api.Point{10, 20, 0}
	c.do("POST", at+"/scan/place", api.PlaceTooth{Base: st.Revision, Tooth: 34, Point: &point}, &st)
	c.do("GET", at+"/cast?lang=en", nil, &cast)
	if cast.Mounted || len(cast.Teeth) != 1 || !cast.Teeth[0].Given || cast.Teeth[0].Point != point || !strings.Contains(cast.Trouble, "still to be pointed out: 48") {
		t.Fatalf("with one tooth pointed out it came as %+v", cast)
	}
	// What was pointed out on a cast that lay elsewhere is kept where it was pointed out.
	elsewhere := cast.Frame
	elsewhere[3][0] += 3
	point = api.Point{13, 20, 0}
	c.do("POST", at+"/scan/place", api.PlaceTooth{Base: st.Revision, Tooth: 35, Point: &point, Frame: &elsewhere}, &st)
	c.do("GET", at+"/cast?lang=en", nil, &cast)
	for _, mark := range cast.Teeth {
		if want := (api.Point{10, 20, 0}); mark.Tooth == 35 && mark.Point != want {
			t.Errorf("a point given where the scan lay 3 mm to the side came to %v, expected %v", mark.Point, want)
		}
	}
	if len(cast.Teeth) != 2 {
		t.Errorf("two points were given, the cast has %d", len(cast.Teeth))
	}
	if status, text, _ := c.ask("GET", at+"/survey?anterior=0&right=0", nil, nil); status != 409 || !strings.Contains(string(text), "cannot be surveyed yet") {
		t.Fatalf("surveying it answered %d %s", status, text)
	}
}
