package tooth

import "testing"

// The two-digit and Universal systems, end to end: ISO 3950 and the American Universal
// system as tabled in the published conversion charts.
func TestUniversal(t *testing.T) {
	for fdi, u := range map[Number]int{18: 1, 11: 8, 21: 9, 28: 16, 38: 17, 31: 24, 41: 25, 48: 32, 36: 19, 46: 30, 13: 6, 44: 28, 35: 20} {
		if got := fdi.Universal(); got != u {
			t.Errorf("%d is %d in the Universal system, got %d", fdi, u, got)
		}
	}
	for u := 1; u <= 32; u++ {
		if got := FromUniversal(u).Universal(); got != u {
			t.Errorf("%d came back as %d", u, got)
		}
	}
	for _, u := range []int{0, 33, -1} {
		if FromUniversal(u) != 0 {
			t.Errorf("%d is no tooth", u)
		}
	}
}

// The corners are the Unicode dentistry symbols: upper right opens to the left and below.
func TestZsigmondy(t *testing.T) {
	for fdi, s := range map[Number]string{16: "6⏌", 26: "⎿6", 36: "⎾6", 46: "6⏋"} {
		if got := fdi.Zsigmondy(); got != s {
			t.Errorf("%d is %s, got %s", fdi, s, got)
		}
	}
	for _, a := range []Arch{Upper, Lower} {
		for _, n := range All(a) {
			for _, s := range []string{n.Zsigmondy(), n.Spoken()} {
				if back, err := ParseZsigmondy(s); err != nil || back != n {
					t.Errorf("%s came back as %v, %v", s, back, err)
				}
			}
		}
	}
}

func TestTheRowRunsFromRightToLeft(t *testing.T) {
	for _, a := range []Arch{Upper, Lower} {
		row := All(a)
		if len(row) != 16 || row[0].Kind() != ThirdMolar || !row[0].Right() || row[15].Right() {
			t.Fatalf("%s: %v", a, row)
		}
		for i, n := range row {
			if n.Index() != i || n.Arch() != a || n.Opposite().Index() != 15-i {
				t.Errorf("%d stands at %d", n, n.Index())
			}
		}
	}
	if Number(11).Mesial() != 21 || Number(21).Mesial() != 11 || Number(36).Distal() != 37 || Number(46).Mesial() != 45 || Number(48).Distal() != 0 {
		t.Error("neighbours")
	}
	if got := Between(42, 32); len(got) != 2 || got[0] != 41 || got[1] != 31 {
		t.Errorf("between 42 and 32: %v", got)
	}
	if Number(36).Name() != "lower left first molar" {
		t.Error(Number(36).Name())
	}
}

func TestParse(t *testing.T) {
	for _, bad := range []string{"", "9", "19", "50", "290", "300", "3x", "-11", "011111"} {
		if n, err := Parse(bad); err == nil {
			t.Errorf("%q was read as %d", bad, n)
		}
	}
}
