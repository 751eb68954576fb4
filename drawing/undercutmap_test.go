package drawing_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"halfpear/drawing"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/sheet"
	"halfpear/survey"
)

// On a sphere of radius 4 mm the gauges reach their depths 1.392, 1.936 and 2.332 mm below
// the survey line: s = sqrt(2 R d - d²), plane geometry. The map shows them there, as level
// lines all round, to scale.
func TestUndercutMapOfASphere(t *testing.T) {
	const r, n = 4.0, 90
	m := &mesh.Mesh{}
	for i := 0; i <= n; i++ {
		for j := 0; j < 2*n; j++ {
			u, v := math.Pi*float64(i)/n, math.Pi*float64(j)/n
			m.Vertices = append(m.Vertices, geom.V(r*math.Sin(u)*math.Cos(v), r*math.Sin(u)*math.Sin(v), r*math.Cos(u)))
		}
	}
	at := func(i, j int) int32 { return int32(i*2*n + j%(2*n)) }
	for i := 0; i < n; i++ {
		for j := 0; j < 2*n; j++ {
			m.Faces = append(m.Faces, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	m, _ = mesh.Mend(m.WeldVertices())
	for _, d := range []geom.Vec{{Z: 1}, {X: 1, Y: 2, Z: 3}} {
		s, err := survey.Of(context.Background(), m, d, survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		page := drawing.UndercutMap(drawing.MapInput{Surface: "sphere", Survey: s})
		scale := 0.0
		line := math.NaN()
		heights := map[string][]float64{}
		wide := map[string]float64{}
		for _, it := range page.Items {
			p, ok := it.(*sheet.Path)
			if !ok {
				continue
			}
			box, ok := sheet.Bounds(p.Lines...)
			switch {
			case !ok:
			case p.Name == "scale bar" && box.W() > 3:
				scale = box.W() // a millimetre on so small a thing
			case strings.HasPrefix(p.Name, "undercut contour"):
				name := strings.TrimPrefix(p.Name, "undercut contour ")
				heights[name] = append(heights[name], box.Y0, box.Y1)
				wide[name] += box.W()
			case p.Layer == "survey lines" && box.W() > 30 && math.IsNaN(line): // the outside strip comes first
				line = (box.Y0 + box.Y1) / 2
			}
		}
		if scale == 0 || math.IsNaN(line) {
			t.Fatalf("along %v: no scale bar, or no survey line across the map", d)
		}
		for name, want := range map[string]float64{"0.25": 1.392, "0.50": 1.936, "0.75": 2.332} {
			if len(heights[name]) == 0 || wide[name] < 2*math.Pi*r*scale {
				t.Errorf("along %v: the contour at %s runs %.0f mm across the map", d, name, wide[name])
			}
			for _, y := range heights[name] {
				if got := (y - line) / scale; math.Abs(got) < 2*r && math.Abs(got-want) > 0.06 {
					t.Errorf("along %v: contour %s lies %.3f mm below the survey line, should be %.3f", d, name, got, want)
				}
			}
		}
	}
}
