package survey

import (
	"context"
	"math"
	"testing"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// turned is a surface of revolution about z from a profile of (radius, height), outward.
func turned(profile [][2]float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	rings := make([][]int32, len(profile))
	for i, p := range profile {
		if p[0] == 0 {
			rings[i] = []int32{int32(len(m.Vertices))}
			m.Vertices = append(m.Vertices, geom.V(0, 0, p[1]))
			continue
		}
		for k := 0; k < n; k++ {
			s, c := math.Sincos(2 * math.Pi * (float64(k) + 0.5*float64(i%2)) / float64(n))
			rings[i] = append(rings[i], int32(len(m.Vertices)))
			m.Vertices = append(m.Vertices, geom.V(p[0]*c, p[0]*s, p[1]))
		}
	}
	at := func(r []int32, k int) int32 { return r[k%len(r)] }
	for i := 1; i < len(rings); i++ {
		lo, hi := rings[i-1], rings[i]
		for k := 0; k < n; k++ {
			a, b, c, d := at(lo, k), at(lo, k+1), at(hi, k), at(hi, k+1)
			if i%2 == 0 { // the lower ring is turned half a step forward
				add(m, a, b, d)
				add(m, a, d, c)
			} else {
				add(m, a, b, c)
				add(m, b, d, c)
			}
		}
	}
	return m
}

func add(m *mesh.Mesh, a, b, c int32) {
	if a != b && b != c && c != a {
		m.Faces = append(m.Faces, [3]int32{a, b, c})
	}
}

func sphere(r, step float64) *mesh.Mesh { return spheroid(r, r, step) }

func spheroid(p, q, step float64) *mesh.Mesh {
	n := int(math.Pi * math.Max(p, q) / step)
	var prof [][2]float64
	for i := 0; i <= n; i++ {
		s, c := math.Sincos(math.Pi * (float64(i)/float64(n) - 0.5))
		if i == 0 || i == n {
			c = 0
		}
		prof = append(prof, [2]float64{p * c, q * s})
	}
	return turned(prof, int(2*math.Pi*p/step))
}

type stats struct {
	n          int
	worst, sum float64
	at         geom.Vec
	got, want  float64
}

func (s *stats) add(got, want float64, p geom.Vec) {
	s.n++
	e := math.Abs(got - want)
	s.sum += e
	if e > s.worst {
		s.worst, s.at, s.got, s.want = e, p, got, want
	}
}

func compare(t *testing.T, m *mesh.Mesh, d geom.Vec, want func(p geom.Vec) float64) stats {
	t.Helper()
	s, err := Of(context.Background(), m, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var st stats
	for i, p := range m.Vertices {
		st.add(s.Depth[i], want(p), p)
	}
	t.Logf("%d vertices: mean %.5f, worst %.5f at %.4v (%.5f, should be %.5f)", st.n, st.sum/float64(st.n), st.worst, st.at, st.got, st.want)
	if st.worst > 0.01 || st.sum/float64(st.n) > 0.002 {
		t.Errorf("worst error %.4f mm, mean %.4f mm", st.worst, st.sum/float64(st.n))
	}
	return st
}

func TestSphere(t *testing.T) {
	const r = 3.0
	m := sphere(r, 0.05)
	for _, d := range []geom.Vec{{Z: 1}, {X: 0.1, Y: -0.2, Z: 1}, {X: 1}, {X: -1, Y: 1, Z: -1}} {
		u := d.Unit()
		compare(t, m, d, func(p geom.Vec) float64 {
			h := p.Dot(u)
			if h >= 0 {
				return 0
			}
			return r - math.Sqrt(math.Max(0, r*r-h*h))
		})
	}
}

func TestLineOfASphere(t *testing.T) {
	const r = 3.0
	for _, d := range []geom.Vec{{Z: 1}, {X: 0.1, Y: -0.2, Z: 1}, {X: 1, Y: 2, Z: -1}} {
		s, err := Of(context.Background(), sphere(r, 0.1), d, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Lines) != 1 || !s.Lines[0].Closed {
			t.Errorf("along %v: %d lines, expected one closed", d, len(s.Lines))
			for _, l := range s.Lines {
				t.Log(l.Closed, len(l.Points), l.Points[0], l.Points[len(l.Points)-1])
			}
			continue
		}
		pts := s.Lines[0].Points
		long := geom.Length(geom.Closed(pts))
		if math.Abs(long-2*math.Pi*r) > 0.05 {
			t.Errorf("along %v: length %.3f, should be %.3f", d, long, 2*math.Pi*r)
		}
		for _, p := range pts {
			if h := p.Dot(d.Unit()); math.Abs(h) > 0.03 || math.Abs(p.Norm()-r) > 0.01 {
				t.Errorf("along %v: %v lies %.4f off the equator", d, p, h)
			}
		}
	}
}

// A convex body has one outline, and it is closed, however finely it is looked at: near its
// height of contour it rises far above an edge within a small pixel.
func TestOneLineAtAnyPixel(t *testing.T) {
	m := turnMesh(spheroid(4, 7, 0.07), geom.V(0.4, 0.3, 0.9))
	for _, px := range []float64{0, 0.05, 0.01, 0.004} {
		s, err := Of(context.Background(), m, geom.V(0.3, -0.2, 0.9), Options{Pixel: px})
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Lines) != 1 || !s.Lines[0].Closed {
			t.Errorf("pixels of %g: %d lines", px, len(s.Lines))
		}
	}
}
