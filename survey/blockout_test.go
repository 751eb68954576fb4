package survey

import (
	"context"
	"math"
	"testing"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// ball is a sphere of radius r about the origin.
func ball(r float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{Vertices: []geom.Vec{{Z: r}, {Z: -r}}}
	for i := 1; i < n; i++ {
		for j := 0; j < 2*n; j++ {
			a, b := math.Pi*float64(i)/float64(n), math.Pi*float64(j)/float64(n)
			m.Vertices = append(m.Vertices, geom.V(r*math.Sin(a)*math.Cos(b), r*math.Sin(a)*math.Sin(b), r*math.Cos(a)))
		}
	}
	at := func(i, j int) int32 { return int32(2 + (i-1)*2*n + j%(2*n)) }
	for j := 0; j < 2*n; j++ {
		m.Faces = append(m.Faces, [3]int32{0, at(1, j), at(1, j+1)}, [3]int32{1, at(n-1, j+1), at(n-1, j)})
		for i := 1; i+1 < n; i++ {
			m.Faces = append(m.Faces, [3]int32{at(i, j), at(i+1, j), at(i+1, j+1)}, [3]int32{at(i, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return m
}

// Under a sphere's equator a cylinder of the same radius and height less the half ball is
// filled: pi r^3 (1 - 2/3), in closed form.
func TestBlockOutOfABall(t *testing.T) {
	const r = 5.0
	m := ball(r, 90)
	table, err := NewTable(m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, taper := range []float64{0, 6} {
		b, err := table.BlockOut(context.Background(), geom.V(0, 0.2, 1), taper, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if report := mesh.Inspect(b.Mesh); !report.Closed || report.InsideOut {
			t.Errorf("taper %g: not closed: %v", taper, report.Notes)
		}
		// With a taper a collar is added outside: the cone that touches the ball where its
		// surface leans by the taper, from there down to the base, less the ball's own part.
		want := math.Pi * r * r * r / 3
		if taper > 0 {
			a := geom.Deg(taper)
			rc, h := r*math.Cos(a), r*(1+math.Sin(a)) // where the cone touches, and its height over the base
			R := rc + h*math.Tan(a)
			cone := math.Pi * h / 3 * (rc*rc + rc*R + R*R)
			cap := math.Pi * math.Pow(r-r*math.Sin(a), 2) * (3*r - (r - r*math.Sin(a))) / 3
			want = cone + cap - 4*math.Pi*r*r*r/3
		}
		// The walls stand within one pixel of where they belong: half a pixel on average.
		if wall := 2 * math.Pi * (r + 1) * 1.1 * r; math.Abs(b.Volume-want) > 0.01*want+wall*b.Pixel/2 {
			t.Errorf("taper %g: filled %.2f, in closed form %.2f", taper, b.Volume, want)
		}
		if math.Abs(b.LargestGap-r) > 0.1 {
			t.Errorf("largest gap %.3f, the pole is %.1f from the equator's shadow", b.LargestGap, r)
		}
	}
	if _, err := table.BlockOut(context.Background(), geom.V(0, 0, 1), 60, 0); err == nil {
		t.Error("a taper of 60 degrees was taken")
	}
}
