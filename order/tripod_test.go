package order_test

import (
	"testing"

	"halfpear/geom"
	. "halfpear/order"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
)

// Tripod marks stand on gum that stays as it is, clear of every gingival margin, at one
// height along the path (common teaching: on tissue, not on teeth to be prepared).
func TestTripodMarksStandOnTheGum(t *testing.T) {
	for _, c := range []struct {
		arch    tooth.Arch
		missing []tooth.Number
	}{
		{tooth.Upper, []tooth.Number{14, 15, 25, 26, 11, 18, 28}},
		{tooth.Upper, []tooth.Number{12, 11, 21, 22, 18, 28}},
		{tooth.Lower, []tooth.Number{36, 46, 38, 48}},
		{tooth.Lower, []tooth.Number{35, 36, 37, 38, 48}},
	} {
		k, err := typodont.Make(typodont.Full(c.arch, c.missing...))
		if err != nil {
			t.Fatal(err)
		}
		p := survey.PathFromTilt(c.arch, 0, 0)
		marks := Tripod(k, p)
		if len(marks) != 3 {
			t.Errorf("%s without %v: %d marks", c.arch, c.missing, len(marks))
			continue
		}
		for _, m := range marks {
			if d := m.Sub(marks[0]).Dot(p.Direction); d > 1e-6 || d < -1e-6 {
				t.Errorf("%s without %v: a mark stands %v mm above another", c.arch, c.missing, d)
			}
			for _, n := range k.Standing() {
				if _, d := geom.NewWalk(geom.Closed(k.Teeth[n].Margin)).Nearest(m); d < 0.3 {
					t.Errorf("%s without %v: a mark stands %.2f mm from the margin of %s", c.arch, c.missing, d, n)
				}
			}
		}
	}
}
