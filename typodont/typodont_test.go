package typodont_test

import (
	"testing"

	"halfpear/cast"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/typodont"
)

func make1(t testing.TB, s typodont.Spec) *cast.Cast {
	t.Helper()
	c, err := typodont.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// openEdges counts edges that are not shared by exactly two faces running opposite ways.
func openEdges(m *mesh.Mesh) int {
	seen := map[[2]int32]int{}
	for _, f := range m.Faces {
		for i := range f {
			seen[[2]int32{f[i], f[(i+1)%3]}]++
		}
	}
	bad := 0
	for e, n := range seen {
		if n != 1 || seen[[2]int32{e[1], e[0]}] != 1 {
			bad++
		}
	}
	return bad
}

func TestClosed(t *testing.T) {
	for _, a := range []tooth.Arch{tooth.Lower, tooth.Upper} {
		c := make1(t, typodont.Full(a))
		if n := openEdges(c.Mesh); n != 0 {
			t.Errorf("%v: %d open or doubled edges", a, n)
		}
		t.Logf("%v: %d vertices, %d faces, volume %.0f mm3", a, len(c.Mesh.Vertices), len(c.Mesh.Faces), c.Mesh.Volume())
		if c.Mesh.Volume() < 0 {
			t.Errorf("%v: inside out", a)
		}
	}
}
