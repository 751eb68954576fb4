package cast_test

import (
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/typodont"
)

// A cast that is made with a vestibule of a known depth is found again as a scan, from one
// point on each tooth: the fold is read as deep as it was made.
func TestFoldIsReadAsDeepAsItWasMade(t *testing.T) {
	for _, k := range []struct {
		name    string
		arch    tooth.Arch
		missing []tooth.Number
		depth   map[tooth.Number]float64
	}{
		{"lower, as usual", tooth.Lower, []tooth.Number{36, 37, 46, 47}, nil},
		{"lower, shallow on the right", tooth.Lower, []tooth.Number{36, 37, 46, 47}, map[tooth.Number]float64{45: 5, 44: 5, 43: 5, 42: 6, 41: 7, 31: 8, 32: 9, 33: 10, 34: 10, 35: 10}},
		{"upper", tooth.Upper, []tooth.Number{15, 16, 25, 26}, map[tooth.Number]float64{14: 8, 13: 9, 12: 10, 11: 10, 21: 10, 22: 10, 23: 12, 24: 12}},
	} {
		s := typodont.Full(k.arch, k.missing...)
		s.VestibuleDepth = k.depth
		made, err := typodont.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		points := map[tooth.Number]geom.Vec{}
		for _, n := range made.Standing() {
			points[n] = made.Teeth[n].CuspTips[0]
		}
		c, _, err := cast.Mount(made.Mesh, k.arch, points, k.missing...)
		if err != nil {
			t.Fatal(err)
		}
		read, sum := 0, 0.0
		for _, n := range made.Standing() {
			if n.Place() > 5 {
				continue
			}
			want, ok := made.VestibuleDepth(n)
			got, seen := c.VestibuleDepth(n)
			if !ok || !seen {
				t.Logf("%s: %d not read (%v, %v)", k.name, n, ok, seen)
				continue
			}
			read++
			sum += math.Abs(got - want)
			t.Logf("%s: %d %.1f of %.1f", k.name, n, got, want)
			if math.Abs(got-want) > 1.1 {
				t.Errorf("%s: the vestibule at %d is read %.1f mm deep, made %.1f", k.name, n, got, want)
			}
		}
		if read < 8 || sum/float64(read) > 0.35 {
			t.Errorf("%s: %d teeth read, off by %.2f mm on average", k.name, read, sum/float64(read))
		}
		t.Logf("%s: %d teeth, off by %.2f mm on average, sure to %.2f", k.name, read, sum/float64(read), c.Marks.Vestibule.Confidence)
	}
}

// On the plaster cast a groove lies facial to the teeth, and beyond it the trimmed land. How
// far below the margin that land begins was read by eye off upright sections of the mesh, to
// half a millimetre, which is half a triangle there; the groove before it goes down to a
// millimetre and a half farther.
func TestFoldOfThePlasterCast(t *testing.T) {
	f := load(t, "plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply")
	c, _, err := cast.Mount(f.Mesh, tooth.Lower, plasterFront, 35, 36, 37, 38, 45, 46, 47, 48)
	if err != nil {
		t.Fatal(err)
	}
	for n, land := range map[tooth.Number]float64{44: 6.5, 43: 3.5, 42: 4, 32: 5.5, 33: 4.5, 34: 8} {
		if d, ok := c.VestibuleDepth(n); !ok || d < land-0.5 || d > land+2 {
			t.Errorf("%v: the vestibule is read %.1f mm deep (%v), the land begins at %.1f", n, d, ok, land)
		}
	}
	// The roots of the two middle incisors are bare: the labels' border lies within half a
	// millimetre of the land. A deep vestibule there would be read from a margin far too high.
	for _, n := range []tooth.Number{41, 31} {
		if d, ok := c.VestibuleDepth(n); ok && d > 3.5 {
			t.Errorf("%v: a vestibule of %.1f mm before a bare root", n, d)
		}
	}
}
