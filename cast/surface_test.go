package cast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
)

// The nearest place is the nearest of all triangles, each asked by itself; and none is
// found where all lie farther off than the reach.
func TestNearestIsTheNearestOfAllFaces(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	m := &mesh.Mesh{}
	for i := 0; i < 300; i++ {
		o := geom.V(40*r.Float64(), 40*r.Float64(), 8*r.Float64())
		for c := 0; c < 3; c++ {
			m.Vertices = append(m.Vertices, o.Add(geom.V(r.Float64(), r.Float64(), r.Float64())))
		}
		n := int32(3 * i)
		m.Faces = append(m.Faces, [3]int32{n, n + 1, n + 2})
	}
	s := cast.NewSurface(m)
	near, far := 0, 0
	for i := 0; i < 400; i++ {
		p := geom.V(60*r.Float64()-10, 60*r.Float64()-10, 28*r.Float64()-10)
		want := math.Inf(1)
		for f := range m.Faces {
			a, b, c := m.Corners(f)
			want = math.Min(want, cast.NearestOnTriangle(p, a, b, c).Dist(p))
		}
		if q, f := s.Nearest(p); f < 0 || math.Abs(q.Dist(p)-want) > 1e-12 {
			t.Fatalf("nearest to %v: %v away, expected %v", p, q.Dist(p), want)
		}
		q, f := s.NearestWithin(p, 3, nil)
		if (f >= 0) != (want < 3) || f >= 0 && math.Abs(q.Dist(p)-want) > 1e-12 {
			t.Fatalf("within 3 of %v: face %d, %v away, the nearest is %v away", p, f, q.Dist(p), want)
		}
		if f >= 0 {
			near++
		} else {
			far++
		}
	}
	if near < 50 || far < 50 {
		t.Errorf("%d near and %d far: both are meant to be asked", near, far)
	}
}
