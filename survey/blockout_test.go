package survey

import (
	"context"
	"math"
	"math/rand"
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

// shape is a block-out of a mesh, which must be a closed solid.
func shape(t *testing.T, m *mesh.Mesh, d geom.Vec, how Shaping) *BlockOut {
	t.Helper()
	table, err := NewTable(m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := table.BlockOut(context.Background(), d, how)
	if err != nil {
		t.Fatal(err)
	}
	e := mesh.EdgesOf(b.Mesh)
	if !e.Closed() || e.Turned > 0 {
		t.Errorf("not a closed surface: %d open, %d shared, %d turned edges", e.Opens, e.Shareds, e.Turned)
	}
	if v := b.Mesh.Volume(); !(v > 0) {
		t.Errorf("the solid's volume is %g", v)
	}
	return b
}

// Under a sphere's equator a cylinder of the same radius and height less the half ball is
// filled: pi r³ (1 - 2/3), in closed form. With a taper a cone widens from the equator down
// to the base: the frustum less the half ball, and nothing above the equator.
func TestBlockOutOfABall(t *testing.T) {
	const r = 5.0
	m := ball(r, 90)
	d := geom.V(0, 0.2, 1)
	for _, taper := range []float64{0, 6} {
		b := shape(t, m, d, Shaping{TaperDeg: taper, Cell: 0.1})
		R := r + r*math.Tan(geom.Deg(taper))
		want := math.Pi*r/3*(r*r+r*R+R*R) - 2.0/3*math.Pi*r*r*r
		if math.Abs(b.Volume-want) > 0.01*want {
			t.Errorf("taper %g: filled %.2f, in closed form %.2f", taper, b.Volume, want)
		}
		if more := b.Mesh.Volume() - 4.0/3*math.Pi*r*r*r - want; math.Abs(more) > 0.01*want {
			t.Errorf("taper %g: the solid has %.2f more than ball and filling", taper, more)
		}
		if math.Abs(b.LargestGap-r) > 0.2 {
			t.Errorf("largest gap %.3f, the pole is %.1f from the equator's shadow", b.LargestGap, r)
		}
		// Every place of the solid above the equator lies on the ball, every wall below on the
		// cone.
		u := d.Unit()
		for _, p := range b.Mesh.Vertices {
			h := p.Dot(u)
			far := p.Across(u).Norm()
			if h > 0.2 && math.Abs(p.Norm()-r) > 0.02 {
				t.Errorf("taper %g: %.3f off the ball, %.2f above the equator", taper, p.Norm()-r, h)
				break
			}
			if wall := r - h*math.Tan(geom.Deg(taper)); h < -0.2 && h > -r+0.2 && math.Abs(far-wall) > 0.03+0.005*taper {
				t.Errorf("taper %g: a wall stands %.3f from where it belongs, %.2f below the equator", taper, far-wall, -h)
				break
			}
		}
	}
	table, err := NewTable(m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	last := 0.0
	_, err = table.BlockOut(ctx, d, Shaping{Progress: func(share float64) {
		if share < last || share > 1 {
			t.Errorf("progress went from %g to %g", last, share)
		}
		if last = share; share >= 0.5 {
			stop()
		}
	}})
	if err == nil || last < 0.5 {
		t.Errorf("broken off at %g: an answer was given", last)
	}
	for _, how := range []Shaping{{TaperDeg: 60}, {TaperDeg: -1}, {TaperDeg: math.NaN()}, {Cell: 1e-9}} {
		if _, err := table.BlockOut(context.Background(), d, how); err == nil {
			t.Errorf("%+v was taken", how)
		}
	}
}

// A ledge half round a ball, s below its equator, leaves free what lies above it: half of
// pi s³/3, the space between a cylinder and the ball, in closed form. Below the ledge and on
// the other half everything is filled.
func TestBlockOutKeepsTheUndercutAboveALedge(t *testing.T) {
	const r, s = 5.0, 2.0
	var line []geom.Vec
	for i := 0; i <= 60; i++ {
		y, x := math.Sincos(math.Pi * float64(i) / 60)
		w := math.Sqrt(r*r - s*s)
		line = append(line, geom.V(w*x, w*y, -s))
	}
	b := shape(t, ball(r, 90), geom.V(0, 0, 1), Shaping{Cell: 0.1, Ledges: []Ledge{{line, 1.5}}})
	if want := math.Pi * s * s * s / 6; math.Abs(b.Kept-want) > 0.03*want {
		t.Errorf("kept free %.3f, in closed form %.3f", b.Kept, want)
	}
	if want := math.Pi*r*r*r/3 - math.Pi*s*s*s/6; math.Abs(b.Volume-want) > 0.015*want {
		t.Errorf("filled %.2f, in closed form %.2f", b.Volume, want)
	}
	free, filled, ledge := 0, 0, 0
	for _, p := range b.Mesh.Vertices {
		far := math.Hypot(p.X, p.Y)
		switch {
		case p.Z > -0.2 || p.Z < -r+0.2 || math.Abs(p.Y) < 0.3:
		case p.Z > -s+0.15 && p.Y > 0:
			free++
			if math.Abs(p.Norm()-r) > 0.03 {
				t.Fatalf("above the ledge at %v: %.3f off the ball", p, p.Norm()-r)
			}
		case p.Z < -s-0.15 || p.Y < 0:
			filled++
			if math.Abs(far-r) > 0.03 {
				t.Fatalf("filled at %v: %.3f off the wall", p, far-r)
			}
		default:
			ledge++
		}
	}
	if free < 500 || filled < 2000 || ledge < 50 {
		t.Errorf("%d places above the ledge, %d on walls, %d on the ledge", free, filled, ledge)
	}
	if math.Abs(b.LargestGap-r) > 0.2 {
		t.Errorf("largest gap %.2f: the pole is still filled", b.LargestGap)
	}
}

// A shelf half round a ball, under its equator, is half a ring as high as the ball's lower
// half, in closed form; the other half keeps the plain wall.
func TestBlockOutStandsOutUnderAShelf(t *testing.T) {
	const r, out = 5.0, 0.4
	var line []geom.Vec
	for i := 0; i <= 90; i++ {
		y, x := math.Sincos(math.Pi * float64(i) / 90)
		line = append(line, geom.V(r*x, r*y, 0))
	}
	plain := shape(t, ball(r, 90), geom.V(0, 0, 1), Shaping{Cell: 0.1})
	b := shape(t, ball(r, 90), geom.V(0, 0, 1), Shaping{Cell: 0.1, Shelves: []Ledge{{line, out}}})
	if want := math.Pi * ((r+out)*(r+out) - r*r) / 2 * r; math.Abs(b.Shelved-want) > 0.03*want {
		t.Errorf("shelves of %.2f, in closed form %.2f", b.Shelved, want)
	}
	if math.Abs(b.Volume-plain.Volume) > 0.005*plain.Volume {
		t.Errorf("filled %.2f, without the shelf %.2f", b.Volume, plain.Volume)
	}
	seen := 0
	for _, p := range b.Mesh.Vertices {
		if p.Z > -0.3 || p.Z < -r+0.3 || math.Abs(p.Y) < 0.6 {
			continue
		}
		want := r
		if p.Y > 0 {
			want += out
		}
		seen++
		if far := math.Hypot(p.X, p.Y); math.Abs(far-want) > 0.05 {
			t.Fatalf("at %v the wall stands %.3f from the axis, not %.3f", p, far, want)
		}
	}
	if seen < 2000 {
		t.Errorf("%d places of the wall looked at", seen)
	}
}

// A sheet of relief on a slab is as thick as it is told; what stands over a kept patch is
// left out of a taper's filling.
func TestReliefOnASlab(t *testing.T) {
	slab := brick(geom.V(0, 0, 0), geom.V(20, 16, 5))
	square := func(x0, y0, x1, y1, z float64) Patch {
		return Patch{Outline: []geom.Vec{geom.V(x0, y0, z), geom.V(x1, y0, z), geom.V(x1, y1, z), geom.V(x0, y1, z)}}
	}
	b := shape(t, slab, geom.V(0, 0, 1), Shaping{Cell: 0.1, Relief: []Relief{{square(4, 4, 10, 9, 5), 0.5}}})
	if want := 6 * 5 * 0.5; math.Abs(b.Relieved-want) > 0.05*want {
		t.Errorf("relief of %.2f, a sheet of 6 by 5 by 0.5 has %.2f", b.Relieved, want)
	}
	if b.Volume > 0.2 {
		t.Errorf("filled %.2f under a slab with upright walls", b.Volume)
	}
	over, beside := 0.0, 0.0
	for _, p := range b.Mesh.Vertices {
		if p.X > 5 && p.X < 9 && p.Y > 5 && p.Y < 8 {
			over = math.Max(over, p.Z)
		} else if p.X > 11 {
			beside = math.Max(beside, p.Z)
		}
	}
	if math.Abs(over-5.5) > 0.02 || math.Abs(beside-5) > 0.02 {
		t.Errorf("the sheet's top lies at %.3f, the slab's at %.3f", over, beside)
	}
	// A mushroom: a wide slab over the low one. Its undercut is filled but for the patch.
	cap := brick(geom.V(0, 0, 8), geom.V(20, 4, 11))
	both := joined(slab, cap)
	full := shape(t, both, geom.V(0, 0, 1), Shaping{Cell: 0.1})
	kept := shape(t, both, geom.V(0, 0, 1), Shaping{Cell: 0.1, Keep: []Patch{square(5, 0.5, 9, 3.5, 5)}})
	if want := 20 * 4 * 3.0; math.Abs(full.Volume-want) > 0.03*want {
		t.Errorf("filled %.2f between the slabs, there is room for %.2f", full.Volume, want)
	}
	if want := 4 * 3 * 3.0; math.Abs(full.Volume-kept.Volume-want) > 0.05*want {
		t.Errorf("a patch kept free takes %.2f off the filling, its room is %.2f", full.Volume-kept.Volume, want)
	}
}

// brick is a solid from one corner to another.
func brick(a, b geom.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := a
		if i&1 > 0 {
			p.X = b.X
		}
		if i&2 > 0 {
			p.Y = b.Y
		}
		if i&4 > 0 {
			p.Z = b.Z
		}
		m.Vertices = append(m.Vertices, p)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Faces = append(m.Faces, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// Whatever bodies lie about, whole or open, and however the filling is shaped: the block-out
// is one closed surface that meets itself along no edge.
func TestBlockOutIsAlwaysClosed(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	somewhere := func() geom.Vec { return geom.V(10*r.Float64(), 10*r.Float64(), 10*r.Float64()) }
	some := func() float64 { return 0.2 + 3*r.Float64() }
	anyway := func() geom.Vec { return geom.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()) }
	for range 40 {
		var bodies []*mesh.Mesh
		for range 1 + r.Intn(6) {
			if r.Intn(2) == 0 {
				bodies = append(bodies, moved(ball(some(), 12), somewhere()))
			} else {
				a := somewhere()
				bodies = append(bodies, turnMesh(brick(a, a.Add(geom.V(some(), some(), some()))), anyway()))
			}
		}
		m := joined(bodies...)
		if r.Intn(3) == 0 {
			m.Faces = m.Faces[:2*len(m.Faces)/3]
		}
		how := Shaping{Cell: 0.15 + 0.3*r.Float64(), TaperDeg: 10 * float64(r.Intn(2)) * r.Float64()}
		for range r.Intn(4) {
			c := somewhere()
			corner := Patch{Outline: []geom.Vec{c, c.Add(geom.V(3, 0, 0)), c.Add(geom.V(0, 3, 0))}}
			how.Ledges = append(how.Ledges, Ledge{[]geom.Vec{c, c.Add(geom.V(r.NormFloat64(), r.NormFloat64(), 0)), c.Add(geom.V(2, 2, 0))}, 1.5})
			how.Shelves = append(how.Shelves, Ledge{[]geom.Vec{somewhere(), somewhere()}, 0.3})
			how.Keep, how.Relief = append(how.Keep, corner), append(how.Relief, Relief{corner, 0.5})
		}
		shape(t, m, anyway(), how)
	}
}
