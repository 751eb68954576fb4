package mechanics

import (
	"math"
	"testing"

	"halfpear/geom"
)

// barOf is a bar along points with one section throughout, without shear and stretching, as
// closed forms have it.
func barOf(t *testing.T, s Section, e, nu float64, slender bool, path ...geom.Vec) *Beam {
	t.Helper()
	b, err := NewBeam(Arm{Path: path, Out: []geom.Vec{{Z: 1}}, Sections: []Section{s, s}, Metal: Elastic{E: e, Nu: nu}, Slender: slender})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A beam held at both ends and loaded in the middle sinks by F·L³/(192·E·I); one that is
// held there and pushed in by a spring of four posts, likewise (Euler and Bernoulli, any
// textbook).
func TestFrameHeldAtBothEnds(t *testing.T) {
	s := Section{Shape: Rectangle, Width: 2, Thickness: 1}
	const l, e = 60.0, 200e3
	var f Frame
	a, m, z := f.Node(geom.Vec{}), f.Node(geom.V(l/2, 0, 0)), f.Node(geom.V(l, 0, 0))
	f.Bar(a, m, barOf(t, s, e, 0.3, false, geom.Vec{}, geom.V(l/2, 0, 0)))
	f.Bar(m, z, barOf(t, s, e, 0.3, false, geom.V(l/2, 0, 0), geom.V(l, 0, 0)))
	f.Fix(a)
	f.Fix(z)
	g, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	u, err := g.Under(m, geom.V(l/2, 0, 0), geom.V(0, 0, -10))
	if err != nil {
		t.Fatal(err)
	}
	inertia := 2.0 / 12
	shear := 10 * l / 4 / (shearFactor * e / 2.6 * 2) // Timoshenko's share
	near(t, "middle", -u[m].Move.Z, 10*l*l*l/(192*e*inertia)+shear, 1e-6)
}

// A circular ring pressed at two opposite points closes by (π/4 - 2/π)·P·R³/(E·I)
// (Timoshenko, Strength of Materials: from memory).
func TestFrameOfARing(t *testing.T) {
	const r, e = 20.0, 200e3
	s := Section{Shape: Round, Width: 1, Thickness: 1}
	half := func(from float64) []geom.Vec {
		var out []geom.Vec
		for i := 0; i <= 180; i++ {
			a := geom.Deg(from + float64(i))
			out = append(out, geom.V(r*math.Cos(a), r*math.Sin(a), 0))
		}
		return out
	}
	var f Frame
	a, b := f.Node(geom.V(r, 0, 0)), f.Node(geom.V(-r, 0, 0))
	f.Bar(a, b, barOf(t, s, e, 0.3, false, half(0)...))
	f.Bar(b, a, barOf(t, s, e, 0.3, false, half(180)...))
	f.Fix(b)
	g, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	u, _ := g.Under(a, geom.V(r, 0, 0), geom.V(-1, 0, 0))
	near(t, "ring closes", -u[a].Move.X, (math.Pi/4-2/math.Pi)*r*r*r/(e*math.Pi/64), 0.005)
}

// Cut in three with nodes off its line, a curved bar gives as it does whole; a bar that
// nothing holds is told.
func TestFrameOfPieces(t *testing.T) {
	s := Section{Shape: HalfPear, Width: 4.1, Thickness: 1.6, Crest: 0.7}
	var path []geom.Vec
	for i := 0; i <= 60; i++ {
		a := geom.Deg(3 * float64(i))
		path = append(path, geom.V(20*math.Cos(a), 25*math.Sin(a), 2*math.Sin(2*a)))
	}
	whole := barOf(t, s, 220e3, 0.3, false, path...)
	force := geom.V(1, -0.5, -2)
	want, _ := whole.Tip(Wrench{Force: force})
	var f Frame
	n := []int{f.Node(path[0]), f.Node(path[20].Add(geom.V(1, 2, 3))), f.Node(path[40].Add(geom.V(-2, 0, 1))), f.Node(path[60].Add(geom.V(0, 4, 0)))}
	for i := range 3 {
		f.Bar(n[i], n[i+1], barOf(t, s, 220e3, 0.3, false, path[20*i:20*i+21]...))
	}
	if _, err := f.Solve(); err == nil {
		t.Error("a frame that nothing holds was solved")
	}
	f.Fix(n[0])
	g, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	u, _ := g.Under(n[3], path[60], force)
	got := u[n[3]].Move.Add(u[n[3]].Turn.Cross(path[60].Sub(f.nodes[n[3]])))
	if got.Dist(want) > 0.003*want.Norm() { // the cuts lose the bends at two points
		t.Errorf("whole it moves %v, in pieces %v", want, got)
	}
}
