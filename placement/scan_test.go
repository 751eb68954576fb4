package placement_test

import (
	"os"
	"path/filepath"
	"testing"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/encoding/scan"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
)

// scanned lays a study's design on a scan, mounted with one point on each tooth.
func scanned(t testing.TB, file, design string, a tooth.Arch, points map[tooth.Number]geom.Vec, missing ...tooth.Number) laid {
	t.Helper()
	name := filepath.Join("..", "..", "shared", "scans", file)
	data, err := os.ReadFile(name)
	if os.IsNotExist(err) {
		t.Skip("the scans are not here")
	}
	if err != nil {
		t.Fatal(err)
	}
	f, err := scan.Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := cast.Mount(f.Mesh, a, points, missing...)
	if err != nil {
		t.Fatal(err)
	}
	return layScan(t, c, design)
}

func layScan(t testing.TB, c *cast.Cast, name string) laid {
	t.Helper()
	s := surveyed(t, c, geom.V(0, 0, 1))
	d := design.Design{Arch: c.Arch, Parts: studies[name].parts}
	p, err := placement.Lay(c, s, s, d, placement.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return laid{cast: c, s: s, v: s, design: d, placed: p}
}

// Points set by hand on the middle of each crown, to a millimetre.
func plasterStudy(t testing.TB) laid {
	return scanned(t, "plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply", "lower-1", tooth.Lower, map[tooth.Number]geom.Vec{
		31: geom.V(-1, 25, 16), 32: geom.V(-6, 23, 16), 33: geom.V(-11, 19, 17), 34: geom.V(-16, 13, 16),
		41: geom.V(4, 26, 16), 42: geom.V(9, 24, 16), 43: geom.V(14, 19, 17), 44: geom.V(18, 13, 14),
	}, 35, 36, 37, 38, 45, 46, 47, 48)
}

func maxillaStudy(t testing.TB) laid {
	return scanned(t, "maxilla-intraoral/maxilla_kennedy3mod1_no_16-15_25-26.ply", "upper-3", tooth.Upper, map[tooth.Number]geom.Vec{
		11: geom.V(-5, 25, -6), 12: geom.V(-14, 22, -4), 13: geom.V(-19, 16, -1), 14: geom.V(-23, 8, -2),
		17: geom.V(-30, -22, -3), 21: geom.V(5, 26, -6), 22: geom.V(12, 22, -5), 23: geom.V(18, 17, -1),
		24: geom.V(23, 9, -1), 27: geom.V(31, -21, -3),
	}, 15, 16, 25, 26)
}

// A real plaster cast carries the whole lower design as one body; its seats and lattices
// have their sizes there too.
func TestPlasterCastCarriesTheDesign(t *testing.T) {
	l := plasterStudy(t)
	if m, ok := l.placed.Whole("pieces", 0); !ok || m.Quantity.Value != 1 {
		t.Errorf("the metal makes %v bodies", m.Quantity.Value)
	}
	for _, q := range l.placed.Parts {
		for _, s := range q.Shortfalls {
			t.Logf("%s on %d: %s %.2f of %.2f: %s", q.Part.ID, s.Tooth, s.Measure, s.Got, s.Wanted, s.Why)
		}
	}
	for _, n := range []tooth.Number{34, 44} {
		want(t, l, design.ID("rest-"+n.String()+"-mesial"), "seat_width", n, 2.5, 0.1)
	}
	want(t, l, "base-left", "relief_start", 0, 1.75, 0.25)
}

func TestIntraoralScanCarriesTheDesign(t *testing.T) {
	l := maxillaStudy(t)
	if m, ok := l.placed.Whole("pieces", 0); !ok || m.Quantity.Value != 1 {
		t.Errorf("the metal makes %v bodies", m.Quantity.Value)
	}
	for _, q := range l.placed.Parts {
		for _, s := range q.Shortfalls {
			t.Logf("%s on %d: %s %.2f of %.2f: %s", q.Part.ID, s.Tooth, s.Measure, s.Got, s.Wanted, s.Why)
		}
	}
}

// On real upper front teeth a cingulum seat gets its taught 2.0 mm width at 1.5 mm depth, at
// the junction of the gingival and middle thirds or on the cingulum's shoulder above it.
func TestCingulumSeatsOnRealTeeth(t *testing.T) {
	l := maxillaStudy(t)
	d := l.design
	teeth := []tooth.Number{13, 12, 11, 22}
	for _, n := range teeth {
		d = d.With(rest(n, design.RestCingulum, tooth.Lingual, design.Indirect))
	}
	p, err := placement.RelayDesign(l.placed, d)
	if err != nil {
		t.Fatal(err)
	}
	l.placed = p
	for _, n := range teeth {
		id := design.ID("rest-" + n.String() + "-lingual")
		want(t, l, id, "seat_width", n, 2, 0.1)
		want(t, l, id, "seat_depth_ridge", n, 1.5, 0.05)
		want(t, l, id, "seat_height_share", n, 0.38, 0.08)
	}
}
