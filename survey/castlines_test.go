package survey_test

import (
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// balls is a mesh of balls that stand free, each given by its middle and radius [mm].
func balls(at ...[4]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, b := range at {
		const n = 48
		first := int32(len(m.Vertices))
		for i := 0; i <= n; i++ {
			for j := 0; j < 2*n; j++ {
				u, v := math.Pi*float64(i)/n, math.Pi*float64(j)/n
				m.Vertices = append(m.Vertices, geom.V(b[0]+b[3]*math.Sin(u)*math.Cos(v), b[1]+b[3]*math.Sin(u)*math.Sin(v), b[2]+b[3]*math.Cos(u)))
			}
		}
		at := func(i, j int) int32 { return first + int32(i*2*n+j%(2*n)) }
		for i := 0; i < n; i++ {
			for j := 0; j < 2*n; j++ {
				m.Faces = append(m.Faces, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
			}
		}
	}
	mended, _ := mesh.Mend(m.WeldVertices())
	return mended
}

// A survey line that runs below the fold is the rim of the cast's base and is left out;
// those on teeth and on the gum above the fold stay.
func TestLinesOfTheBaseAreLeftOut(t *testing.T) {
	m := balls([4]float64{0, 0, 0, 3}, [4]float64{12, 0, -4, 3}, [4]float64{24, 0, -15, 3})
	k := &cast.Cast{Arch: tooth.Lower, Mesh: m, Labels: make([]tooth.Number, len(m.Faces))}
	for i := range m.Faces {
		if a, _, _ := m.Corners(i); a.X < 5 {
			k.Labels[i] = 34
		}
	}
	k.Marks.Vestibule.Points = []geom.Vec{geom.V(0, 0, -8), geom.V(12, 0, -8), geom.V(24, 0, -8)}
	s := surveyed(t, k, geom.V(0, 0, 1))
	if len(s.Lines) != 3 {
		t.Fatalf("%d survey lines, each of the three balls has one", len(s.Lines))
	}
	found := map[tooth.Number]int{}
	for _, l := range s.CastLines(k) {
		found[l.Tooth]++
		if l.Points[0].Z < -10 {
			t.Error("the line round the ball below the fold was kept")
		}
	}
	if found[34] != 1 || found[0] != 1 {
		t.Errorf("lines by tooth: %v, expected one on 34 and one on soft tissue", found)
	}
}

// A step 2 mm high that overhangs by less than roughness has no survey line, one that
// overhangs by 0.07 mm has: an upright wall seen at an angle a is undercut by 2 tan a. The
// ball beside it makes the surface 40 mm across.
func TestRoughnessHasNoSurveyLine(t *testing.T) {
	const n, r, h = 120, 5.0, 2.0
	m := balls([4]float64{30, 0, 0, 3})
	first := int32(len(m.Vertices))
	m.Vertices = append(m.Vertices, geom.V(0, 0, h))
	for j := range n {
		s, c := math.Sincos(2 * math.Pi * float64(j) / n)
		m.Vertices = append(m.Vertices, geom.V(r*c, r*s, h), geom.V(r*c, r*s, 0))
	}
	for j := range int32(n) {
		a, b := first+1+2*j, first+1+2*((j+1)%n)
		m.Faces = append(m.Faces, [3]int32{first, a, b}, [3]int32{a, a + 1, b + 1}, [3]int32{a, b + 1, b})
	}
	k := &cast.Cast{Arch: tooth.Lower, Mesh: m, Labels: make([]tooth.Number, len(m.Faces))}
	for _, c := range []struct {
		deg  float64
		want int
	}{{0.3, 1}, {2, 2}} {
		s := surveyed(t, k, geom.V(0, math.Tan(geom.Deg(c.deg)), 1))
		if len(s.Lines) != c.want {
			t.Errorf("overhanging by %.3f mm: %d survey lines, expected %d", h*math.Tan(geom.Deg(c.deg)), len(s.Lines), c.want)
		}
	}
}
