package survey

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"reflect"
	"testing"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// The shapes here have undercut depths in closed form: plane geometry, derived beside each.
// Bounds are those asked of the engine on meshes of about 0.05 mm: worst 0.01 mm, mean
// 0.002 mm. Shapes are meshed at 0.06 to 0.1 mm to keep the tests quick.

func moved(m *mesh.Mesh, v geom.Vec) *mesh.Mesh {
	return m.Map(func(p geom.Vec) geom.Vec { return p.Add(v) })
}

func joined(ms ...*mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	for _, m := range ms {
		n := int32(len(out.Vertices))
		out.Vertices = append(out.Vertices, m.Vertices...)
		for _, f := range m.Faces {
			out.Faces = append(out.Faces, [3]int32{f[0] + n, f[1] + n, f[2] + n})
		}
	}
	return out
}

// ring is a profile from point to point with steps of about the given length.
func ring(step float64, corners ...[2]float64) [][2]float64 {
	out := [][2]float64{corners[0]}
	for i := 1; i < len(corners); i++ {
		a, b := corners[i-1], corners[i]
		n := max(1, int(math.Hypot(b[0]-a[0], b[1]-a[1])/step))
		for k := 1; k <= n; k++ {
			t := float64(k) / float64(n)
			out = append(out, [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
		}
	}
	return out
}

// turnMesh turns a mesh so that +z becomes d.
func turnMesh(m *mesh.Mesh, d geom.Vec) *mesh.Mesh {
	f := geom.FrameAlong(d)
	return m.Map(f.Dir)
}

// An upright spheroid of half axes p across and q along: p (1 - sqrt(1 - s²/q²)).
func TestSpheroid(t *testing.T) {
	const p, q = 2.5, 3.5
	m := spheroid(p, q, 0.08)
	want := func(v geom.Vec) float64 {
		if v.Z >= 0 {
			return 0
		}
		return p * (1 - math.Sqrt(math.Max(0, 1-v.Z*v.Z/(q*q))))
	}
	compare(t, m, geom.V(0, 0, 1), want)
	d := geom.V(0.3, -0.4, 0.7).Unit()
	f := geom.FrameAlong(d)
	compare(t, turnMesh(m, d), d, func(v geom.Vec) float64 { return want(f.Local(v)) })
}

// A tilted spheroid: its outline from above is an ellipse with half axes p and
// w = sqrt(p² cos² a + q² sin² a); the part above height z, where that height passes below
// the outline, is bounded by the outline there. Truth by walking the boundary of the
// projection of the part above z in fine steps.
func TestTiltedSpheroid(t *testing.T) {
	const p, q = 2.0, 3.0
	m := spheroid(p, q, 0.12)
	a := geom.Deg(10)
	s, c := math.Sincos(a)
	d := geom.V(s, 0, c)
	// In the path's frame: e1 = (c,0,-s), e2 = y, d. The spheroid is v'Av = 1.
	e1 := geom.V(c, 0, -s)
	ip, iq := 1/(p*p), 1/(q*q)
	dot := func(u, v geom.Vec) float64 { return u.X*v.X*ip + u.Y*v.Y*ip + u.Z*v.Z*iq }
	axx, axz, azz, ayy := dot(e1, e1), dot(e1, d), dot(d, d), ip
	top := func(x, y float64) float64 { // height of the upper surface over (x, y), -inf outside
		b, k := axz*x, axx*x*x+ayy*y*y-1
		disc := b*b - azz*k
		if disc < 0 {
			return math.Inf(-1)
		}
		return (-b + math.Sqrt(disc)) / azz
	}
	sv, err := Of(context.Background(), m, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var st stats
	for i := 0; i < len(m.Vertices); i += 23 {
		v := m.Vertices[i]
		x, y, z := v.Dot(e1), v.Y, v.Dot(d)
		want := 0.0
		if top(x*0.9999, y*0.9999) > z+2e-3 {
			// Along each heading the part above z reaches from the inside out to one place.
			want = math.Inf(1)
			for k := 0; k < 720; k++ {
				sy, cx := math.Sincos(float64(k) * math.Pi / 360)
				lo, hi := 0.0, 2*q
				for n := 0; n < 40; n++ {
					mid := (lo + hi) / 2
					if top(x+cx*mid, y+sy*mid) > z {
						lo = mid
					} else {
						hi = mid
					}
				}
				want = math.Min(want, lo)
			}
		}
		st.add(sv.Depth[i], want, v)
	}
	st.judge(t)
}

// An inverted cone, wall leaning out by b: s tan b below its rim.
func TestInvertedCone(t *testing.T) {
	const r, h = 2.0, 5.0
	for _, b := range []float64{8, 12, 20} {
		k := math.Tan(geom.Deg(b))
		m := turned(ring(0.08, [2]float64{0, 0}, [2]float64{r, 0}, [2]float64{r + h*k, h}, [2]float64{0, h}), 160)
		compare(t, m, geom.V(0, 0, 1), func(v geom.Vec) float64 {
			if v.Z > h-1e-9 {
				return 0
			}
			return r + h*k - math.Hypot(v.X, v.Y)
		})
	}
}

// A cylinder whose axis leans by a against the path: on the side it overhangs, the top rim
// shades the wall by its distance below the rim along the wall times sin a.
func TestLeaningCylinder(t *testing.T) {
	const r, h = 2.0, 6.0
	a := geom.Deg(7)
	s, c := math.Sincos(a)
	d := geom.V(s, 0, c)
	m := turned(ring(0.1, [2]float64{0, 0}, [2]float64{r, 0}, [2]float64{r, h}, [2]float64{0, h}), 400)
	e1 := geom.V(c, 0, -s)
	sv, err := Of(context.Background(), m, d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var st stats
	for i, v := range m.Vertices {
		if math.Abs(v.Z-h/2) > h/2-0.5 || v.X > 0 || math.Abs(v.Y) > 0.05 || math.Hypot(v.X, v.Y) < r-1e-6 {
			continue
		}
		// Seen across the path the wall at x = -r lies at -r cos a - z sin a, and the top rim
		// over it at -r cos a - h sin a: (h - z) sin a farther out.
		if -r*c-h*s >= v.Dot(e1) {
			t.Fatalf("%v is not overhung by the rim", v)
		}
		st.add(sv.Depth[i], (h-v.Z)*s, v)
	}
	st.judge(t)
}

// A ring (torus) of radius R and thickness 2r: on its lower half, outside R the rod stands
// outside, inside R it stands in the hole, each r - sqrt(r² - z²)-wise off the tube; the
// nearer counts.
func TestTorus(t *testing.T) {
	const R, r = 3.0, 1.2
	m := &mesh.Mesh{}
	const nu, nv = 260, 110
	for i := 0; i < nu; i++ {
		su, cu := math.Sincos(2 * math.Pi * float64(i) / nu)
		for j := 0; j < nv; j++ {
			sv, cv := math.Sincos(2 * math.Pi * float64(j) / nv)
			m.Vertices = append(m.Vertices, geom.V((R+r*cv)*cu, (R+r*cv)*su, r*sv))
		}
	}
	for i := 0; i < nu; i++ {
		for j := 0; j < nv; j++ {
			a, b := int32(i*nv+j), int32(i*nv+(j+1)%nv)
			c, d := int32((i+1)%nu*nv+j), int32((i+1)%nu*nv+(j+1)%nv)
			m.Faces = append(m.Faces, [3]int32{a, c, b}, [3]int32{b, c, d})
		}
	}
	compare(t, m, geom.V(0, 0, 1), func(v geom.Vec) float64 {
		if v.Z >= 0 {
			return 0
		}
		return r - math.Abs(math.Hypot(v.X, v.Y)-R)
	})
}

type orb struct {
	at geom.Vec
	r  float64
}

// discs is the exact depth among spheres seen along z: what lies above z is a union of
// discs, and the nearest place outside a union of discs lies on one circle at its nearest
// or where two circles cross.
func discs(orbs []orb, p geom.Vec) float64 {
	type disc struct{ x, y, r float64 }
	var ds []disc
	under := false
	for _, o := range orbs {
		h := p.Z - o.at.Z
		if h >= o.r {
			continue
		}
		r := o.r
		if h > 0 {
			r = math.Sqrt(o.r*o.r - h*h)
		}
		ds = append(ds, disc{o.at.X, o.at.Y, r})
		if q := math.Hypot(p.X-o.at.X, p.Y-o.at.Y); q < r-1e-6 {
			under = true
		}
	}
	if !under {
		return 0
	}
	free := func(x, y float64) bool {
		for _, d := range ds {
			if math.Hypot(x-d.x, y-d.y) < d.r-1e-9 {
				return false
			}
		}
		return true
	}
	best := math.Inf(1)
	try := func(x, y float64) {
		if d := math.Hypot(x-p.X, y-p.Y); d < best && free(x, y) {
			best = d
		}
	}
	for i, d := range ds {
		vx, vy := p.X-d.x, p.Y-d.y
		if l := math.Hypot(vx, vy); l > 1e-9 {
			try(d.x+vx*d.r/l, d.y+vy*d.r/l)
		} else { // in the middle every heading is the nearest, as far as it is free
			for k := 0; k < 720; k++ {
				sy, cx := math.Sincos(float64(k) * math.Pi / 360)
				try(d.x+cx*d.r, d.y+sy*d.r)
			}
		}
		for _, e := range ds[i+1:] {
			dx, dy := e.x-d.x, e.y-d.y
			l := math.Hypot(dx, dy)
			if l == 0 || l > d.r+e.r || l < math.Abs(d.r-e.r) {
				continue
			}
			a := (d.r*d.r - e.r*e.r + l*l) / (2 * l)
			h := math.Sqrt(math.Max(0, d.r*d.r-a*a))
			try(d.x+(a*dx-h*dy)/l, d.y+(a*dy+h*dx)/l)
			try(d.x+(a*dx+h*dy)/l, d.y+(a*dy-h*dx)/l)
		}
	}
	return best
}

func (s *stats) judge(t *testing.T) {
	t.Helper()
	if s.n == 0 {
		t.Fatal("nothing was compared")
	}
	t.Logf("%d places: mean %.5f, worst %.5f at %.4v (%.5f, should be %.5f)", s.n, s.sum/float64(s.n), s.worst, s.at, s.got, s.want)
	if s.worst > 0.01 || s.sum/float64(s.n) > 0.002 {
		t.Errorf("worst error %.4f mm, mean %.4f mm", s.worst, s.sum/float64(s.n))
	}
}

// Two stacked bodies, one off the other's axis, and a third overhanging from the side; the
// bodies run into each other as scans pieced together do.
func TestStackedAndOverhangingBodies(t *testing.T) {
	for name, orbs := range map[string][]orb{
		"stacked":          {{geom.V(0, 0, 0), 3}, {geom.V(0, 0, 3.2), 1.5}},
		"stacked off axis": {{geom.V(0, 0, 0), 3}, {geom.V(1.1, 0.4, 2.6), 1.6}},
		"large over small": {{geom.V(0, 0, 0), 1.5}, {geom.V(0.8, 0, 3.4), 2.5}},
		"side by side":     {{geom.V(-1.6, 0, 0), 2}, {geom.V(1.6, 0.3, 0.5), 2}},
		"apart":            {{geom.V(0, 0, 0), 2}, {geom.V(1.5, 0.5, 5), 1}, {geom.V(-0.8, -1.2, 4), 0.9}},
	} {
		var ms []*mesh.Mesh
		for _, o := range orbs {
			ms = append(ms, moved(sphere(o.r, 0.07), o.at))
		}
		m := joined(ms...)
		t.Run(name, func(t *testing.T) {
			s, err := Of(context.Background(), m, geom.V(0, 0, 1), Options{})
			if err != nil {
				t.Fatal(err)
			}
			var st stats
			for i, p := range m.Vertices {
				want := discs(orbs, p)
				// Within the mesh's own chord error of a shadow's edge both answers stand.
				if near := discs(orbs, p.Add(geom.V(0, 0, 3e-3))); math.Abs(near-want) > 0.05 {
					continue
				}
				st.add(s.Depth[i], want, p)
			}
			st.judge(t)
		})
	}
}

// Turning the mesh and the path together changes nothing; mirroring mirrors; moving far
// from the origin changes nothing; and no thread count changes a bit of the answer.
func TestLaws(t *testing.T) {
	m := joined(sphere(2, 0.12), moved(sphere(1.3, 0.12), geom.V(0.7, 0.2, 2)))
	d := geom.V(0.1, 0.15, 1)
	of := func(m *mesh.Mesh, d geom.Vec, threads int) []float64 {
		t.Helper()
		s, err := Of(context.Background(), m, d, Options{Threads: threads})
		if err != nil {
			t.Fatal(err)
		}
		return s.Depth
	}
	base := of(m, d, 1)
	raw := func(v []float64) []byte {
		var b bytes.Buffer
		_ = binary.Write(&b, binary.LittleEndian, v)
		return b.Bytes()
	}
	for _, n := range []int{2, 3, 7} {
		if !bytes.Equal(raw(base), raw(of(m, d, n))) {
			t.Errorf("%d threads give another answer than one", n)
		}
	}
	axis := geom.V(1, 2, 3).Unit()
	turn := func(p geom.Vec) geom.Vec { return geom.RotateAbout(p, axis, 0.8) }
	mirror := func(p geom.Vec) geom.Vec { return geom.V(-p.X, p.Y, p.Z) }
	far := func(p geom.Vec) geom.Vec { return p.Add(geom.V(300, -200, 100)) }
	same := func(p geom.Vec) geom.Vec { return p }
	for name, c := range map[string][2]func(geom.Vec) geom.Vec{"turned": {turn, turn}, "mirrored": {mirror, mirror}, "moved": {far, same}} {
		got := of(m.Map(c[0]), c[1](d), 2)
		off, sum := 0, 0.0
		for i := range got {
			e := math.Abs(got[i] - base[i])
			sum += e
			if e > 1e-3 {
				off++
			}
		}
		if off > len(got)/1000 || sum/float64(len(got)) > 2e-4 {
			t.Errorf("%s: %d of %d depths differ by over a micrometre, by %.6f in the mean", name, off, len(got), sum/float64(len(got)))
		}
	}
}

// A mesh large enough to be shared out among threads is surveyed to the same bits and lines
// on any number of them, closed or open.
func TestSharedOut(t *testing.T) {
	m := joined(sphere(2, 0.06), moved(sphere(1.3, 0.06), geom.V(0.7, 0.2, 2)))
	open := &mesh.Mesh{Vertices: m.Vertices, Faces: m.Faces[:len(m.Faces)-5000]}
	for name, m := range map[string]*mesh.Mesh{"closed": m, "open": open} {
		if len(m.Faces) < 20000 {
			t.Fatalf("%d faces are not shared out", len(m.Faces))
		}
		var first *Survey
		for _, n := range []int{1, 2, 3, 7} {
			s, err := Of(context.Background(), m, geom.V(0.1, 0.15, 1), Options{Threads: n})
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = s
			} else if !reflect.DeepEqual(s, first) {
				t.Errorf("%s: %d threads give another survey than one", name, n)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	m := sphere(1, 0.3)
	for name, c := range map[string]struct {
		m *mesh.Mesh
		d geom.Vec
	}{
		"no direction":   {m, geom.Vec{}},
		"no number":      {m, geom.V(math.NaN(), 0, 1)},
		"nothing":        {&mesh.Mesh{}, geom.V(0, 0, 1)},
		"sheet, edge on": {&mesh.Mesh{Vertices: []geom.Vec{{}, {Z: 1}, {X: 1}}, Faces: [][3]int32{{0, 1, 2}}}, geom.V(0, 0, 1)},
		"sheet, facing":  {&mesh.Mesh{Vertices: []geom.Vec{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}, Faces: [][3]int32{{0, 1, 2}, {0, 2, 3}}}, geom.V(0, 0, 1)},
	} {
		if _, err := Of(context.Background(), c.m, c.d, Options{}); err == nil {
			t.Errorf("%s: surveyed", name)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Of(ctx, m, geom.V(0, 0, 1), Options{}); err == nil {
		t.Error("a cancelled survey gave an answer")
	}
}

// A plate over a valley: the plate's edge is the line y = 0 and it covers y < 0; from a
// little under the edge outward the ground is the valley z = |x - c|·steep. A low block
// under the plate stands up from it to a height h; a rod may stand from h upward only
// outside the edge where the valley is no higher, |x - c| <= h/steep. So the depth at a place
// (x, y) of the block's top is the hypotenuse of -y and of what |x - c| is more than
// h/steep. However narrow the valley is, its opening is to be found, and no other.
func TestNarrowOpeningsUnderAnEdge(t *testing.T) {
	for _, v := range []struct{ h, steep, c float64 }{
		{0.01, 0.4, 0.03}, {0.02, 1, -0.31}, {0.05, 1, 0.4}, {0.1, 3, -0.77}, {0.2, 2, 0.51}, {0.3, 6, 0.123},
	} {
		valley := &mesh.Mesh{}
		for _, x := range []float64{v.c - 4, v.c, v.c + 4} {
			for _, y := range []float64{-0.3, 4} {
				valley.Vertices = append(valley.Vertices, geom.V(x, y, math.Abs(x-v.c)*v.steep))
			}
		}
		valley.Faces = [][3]int32{{0, 2, 1}, {1, 2, 3}, {2, 4, 3}, {3, 4, 5}}
		block := brick(geom.V(-1.2, -1.4, -0.5), geom.V(1.2, -0.35, v.h))
		for x := -1.1; x < 1.2; x += 0.1 { // places on the block's top
			for y := -1.3; y < -0.4; y += 0.1 {
				n := int32(len(block.Vertices))
				block.Vertices = append(block.Vertices, geom.V(x, y, v.h), geom.V(x+0.01, y, v.h), geom.V(x, y+0.01, v.h))
				block.Faces = append(block.Faces, [3]int32{n, n + 1, n + 2})
			}
		}
		plate := brick(geom.V(-20, -20, 25), geom.V(20, 0, 26))
		m := joined(valley, plate, block)
		s, err := Of(context.Background(), m, geom.V(0, 0, 1), Options{})
		if err != nil {
			t.Fatal(err)
		}
		var st stats
		for i, p := range m.Vertices {
			if p.Z == v.h && p.Y < -0.35 {
				st.add(s.Depth[i], math.Hypot(p.Y, math.Max(0, math.Abs(p.X-v.c)-v.h/v.steep)), p)
			}
		}
		st.judge(t)
	}
}

// An open surface says that it looks away from the path where it does; a ball with a small
// hole looks nowhere, wherever the hole is (the area vectors of a closed surface add up to
// nothing: Gauss).
func TestWhichSurfacesLookAway(t *testing.T) {
	ball := sphere(3, 0.3)
	holed := &mesh.Mesh{Vertices: ball.Vertices}
	cap := &mesh.Mesh{Vertices: ball.Vertices}
	for i, f := range ball.Faces {
		a, b, c := ball.Corners(i)
		if i > 3 {
			holed.Faces = append(holed.Faces, f)
		}
		if a.Add(b).Add(c).Z > 0 {
			cap.Faces = append(cap.Faces, f)
		}
	}
	for name, v := range map[string]struct {
		m    *mesh.Mesh
		z    float64
		away bool
	}{"holed": {holed, 1, false}, "holed from below": {holed, -1, false}, "cap": {cap, 1, false}, "cap from below": {cap, -1, true}} {
		s, err := Of(context.Background(), v.m, geom.V(0, 0, v.z), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if said := len(s.Assumed); said != map[bool]int{false: 1, true: 2}[v.away] { // that it is open is always said
			t.Errorf("%s: assumed %v", name, s.Assumed)
		}
	}
}
