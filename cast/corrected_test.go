package cast_test

import (
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// borderOf is the longest border of the faces that carry a label.
func borderOf(m *mesh.Mesh, labels []uint8, n uint8) []geom.Vec {
	next := map[int32]int32{}
	in := map[[2]int32]bool{}
	for f, face := range m.Faces {
		for k := range face {
			if labels[f] == n {
				in[[2]int32{face[k], face[(k+1)%3]}] = true
			}
		}
	}
	for e := range in {
		if !in[[2]int32{e[1], e[0]}] {
			next[e[0]] = e[1]
		}
	}
	var best []geom.Vec
	for s := range next {
		var loop []geom.Vec
		for v, used := s, map[int32]bool{}; !used[v]; v = next[v] {
			used[v] = true
			loop = append(loop, m.Vertices[v])
		}
		if len(loop) > len(best) {
			best = loop
		}
	}
	return best
}

// TestCorrectedMargins gives each crown of the plaster cast the border that its labels have,
// as a person would who corrects the margin: crown and margin are then those, where what is
// found by itself is off by a millimetre. The labels are those of the scan's publisher (see
// its README).
func TestCorrectedMargins(t *testing.T) {
	f := load(t, "plaster-cast/lower_cast.ply")
	points := joined(plasterFront, plasterBack)
	own := cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: points}
	before, _, err := own.Cast()
	if err != nil {
		t.Fatal(err)
	}
	own.Margins = map[tooth.Number][]geom.Vec{}
	for _, n := range []tooth.Number{33, 34, 35, 44} {
		own.Margins[n] = borderOf(f.Mesh, f.FaceLabels, uint8(n))
	}
	after, _, err := own.Cast()
	if err != nil {
		t.Fatal(err)
	}
	on := cast.NewSurface(after.Mesh)
	for n, line := range own.Margins {
		was, is := overlap(f.Mesh, before.Labels, f.FaceLabels, n), overlap(f.Mesh, after.Labels, f.FaceLabels, n)
		t.Logf("%v: %d points, overlap %.3f before, %.3f after", n, len(line), was, is)
		if is < 0.93 || is < was {
			t.Errorf("tooth %v shares %.2f of its area with its corrected crown, %.2f before it was corrected", n, is, was)
		}
		for _, p := range after.Teeth[n].Margin {
			if q, _ := on.Nearest(p); q.Dist(p) > 1e-6 {
				t.Fatalf("the margin of %v leaves the surface by %g mm", n, q.Dist(p))
			}
		}
		if got := len(after.Teeth[n].Margin); got != len(line) {
			t.Errorf("the margin of %v has %d points, %d were given", n, got, len(line))
		}
	}
	// Other teeth keep what they had.
	for _, n := range []tooth.Number{31, 42, 47} {
		if s := overlap(f.Mesh, after.Labels, f.FaceLabels, n); s < overlap(f.Mesh, before.Labels, f.FaceLabels, n)-0.02 {
			t.Errorf("tooth %v lost area to corrected neighbours: %.2f", n, s)
		}
	}
}
