package placement

import (
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
)

// globe is a sphere about a centre, of rings of triangles.
func globe(centre geom.Vec, r float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	at := func(i, j int) geom.Vec {
		s, c := math.Sincos(math.Pi * float64(i) / float64(n))
		u, v := math.Sincos(2 * math.Pi * float64(j) / float64(2*n))
		return centre.Add(geom.V(r*s*v, r*s*u, r*c))
	}
	for i := 0; i <= n; i++ {
		for j := 0; j < 2*n; j++ {
			m.Vertices = append(m.Vertices, at(i, j))
		}
	}
	id := func(i, j int) int32 { return int32(i*2*n + j%(2*n)) }
	for i := 0; i < n; i++ {
		for j := 0; j < 2*n; j++ {
			if i > 0 {
				m.Faces = append(m.Faces, [3]int32{id(i, j), id(i+1, j), id(i, j+1)})
			}
			if i < n-1 {
				m.Faces = append(m.Faces, [3]int32{id(i, j+1), id(i+1, j), id(i+1, j+1)})
			}
		}
	}
	return m
}

// A point under the equator of a sphere, turned about a level axis, runs on a circle: how
// deep it comes into the sphere, and from which angle it can be lifted straight, are known
// in closed form.
func TestATurnMeetsASphereAsReckoned(t *testing.T) {
	const r = 5.0
	s := cast.NewSurface(globe(geom.Vec{}, r, 90))
	up := geom.V(0, 0, 1)
	for _, c := range []struct {
		name   string
		centre geom.Vec // of the turn; the axis runs along x
		below  float64  // latitude of the point under the equator [deg]
		aside  float64  // its longitude from +y toward the axis [deg]
	}{
		{"hinge on the far side of the top", geom.V(0, -4, 4), 30, 0},
		{"hinge above the point", geom.V(0, 4.2, 3.5), 30, 0},
		{"hinge below it", geom.V(0, 5.5, -4), 25, 0},
		{"hinge on the far side, below", geom.V(0, -4, -4), 30, 0},
		{"hinge below, inside", geom.V(0, 3.5, -4.5), 20, 0},
		{"beside the sphere, hinge behind", geom.V(0, -6, -2), 30, 90},
		{"beside the sphere, hinge in front", geom.V(0, 7, -6), 35, 80},
	} {
		sin, cos := math.Sincos(geom.Deg(c.below))
		east, north := math.Sincos(geom.Deg(c.aside))
		p := geom.V(r*cos*east, r*cos*north, -r*sin)
		// A positive angle about +x takes +y toward +z.
		g := turning{surface: s, up: up, centre: c.centre, axis: geom.V(1, 0, 0), metal: []followed{{at: p, hook: true}}}
		for deg := 1.0; deg <= 40; deg++ {
			q := c.centre.Add(geom.RotateAbout(p.Sub(c.centre), geom.V(1, 0, 0), geom.Deg(deg)))
			want := math.Max(0, r-q.Norm())
			if got := g.at(deg, geom.Vec{}, math.Inf(1), nil).depth; math.Abs(got-want) > 0.01 {
				t.Errorf("%s: turned by %.0f° the point is %.3f deep, reckoned %.3f", c.name, deg, got, want)
			}
		}
		// Lifted straight from its seat, it passes the equator at its own distance from the
		// sphere's axis: as deep as its undercut.
		if got, want := g.engaged(), r-r*cos; math.Abs(got-want) > 0.02 {
			t.Errorf("%s: holds %.3f, the undercut is %.3f", c.name, got, want)
		}
		deg, _, worst := g.sweep()
		// The least that can be met: over all angles, the worse of the way there and of the
		// best straight way off, each known from circles and lines about the sphere.
		way, best, at := 0.0, math.Inf(1), 0.0
		for d := 1.0; d <= 40; d++ {
			q := c.centre.Add(geom.RotateAbout(p.Sub(c.centre), geom.V(1, 0, 0), geom.Deg(d)))
			way = math.Max(way, r-q.Norm())
			off := math.Inf(1)
			for lean := -straightLean; lean <= straightLean; lean += 10 {
				dir := geom.RotateAbout(up, geom.V(1, 0, 0), geom.Deg(lean))
				near := q.Add(dir.Scale(math.Min(6, math.Max(0, -q.Dot(dir))))).Norm()
				off = math.Min(off, math.Max(0, r-near))
			}
			if all := math.Max(way, off); all < best-0.01 {
				best, at = all, d
			}
		}
		if math.Abs(worst.depth-best) > 0.03 || math.Abs(deg-at) > 2 {
			t.Errorf("%s: comes off at %.0f° with %.3f mm in the way, reckoned %.3f at %.0f°", c.name, deg, worst.depth, best, at)
		}
		t.Logf("%s: free at %.0f°, %.3f mm in the way", c.name, deg, worst.depth)
	}
}
