package proposal

import (
	"context"
	"slices"
	"testing"

	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
	"halfpear/unit"
)

// onCast makes the cast of a chart and lays designs on it along the vertical.
func onCast(t testing.TB, book *rulebook.Book, c chart.Chart) func(design.Design) (Seen, error) {
	t.Helper()
	spec := typodont.Spec{Arch: c.Arch, Teeth: map[tooth.Number]typodont.Tooth{}, FloorDepth: c.Tissues.FloorDepthMM, VestibuleDepth: c.Tissues.VestibuleDepthMM}
	for _, n := range tooth.All(c.Arch) {
		if c.Stands(n) {
			made := typodont.Tooth{}
			if t := c.Teeth[n]; t.TiltDeg != nil && t.TiltToward == "mesial" {
				made.MesialTiltDeg = *t.TiltDeg
			}
			spec.Teeth[n] = made
		}
	}
	k, err := typodont.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	s, err := survey.Of(context.Background(), k.Mesh, geom.V(0, 0, 1), survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return func(d design.Design) (Seen, error) {
		laid, err := placement.Lay(k, s, s, d, book.Laying())
		return Seen{Placement: laid, CastIs: unit.Average}, err
	}
}

// Every kind of arch, laid on a made cast and measured: the first proposal has no stop,
// the checks of placed parts included.
func TestPlacedProposalsHaveNoStops(t *testing.T) {
	charts := []string{
		"lower; missing 36,37,46,47; floor=9 vestibule=8; 35 mid-facial .25; 45 mid-facial .25",
		"lower; missing 35,36,37; floor=6 vestibule=8; 34 mid-facial .25",
		"upper; missing 12,11,21,22; vestibule=9",
	}
	if testing.Short() {
		charts = charts[:2]
	}
	for i, text := range charts {
		c, u := mouth(t, text)
		book, err := rulebook.Open(rulebook.Profiles[i%len(rulebook.Profiles)])
		if err != nil {
			t.Fatal(err)
		}
		list, err := Propose(Input{Chart: c, Book: book, Undercuts: u, Look: onCast(t, book, c), Most: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list[0].Report.Findings {
			if f.Severity == rulebook.Stop && f.Status == rulebook.Failed {
				t.Errorf("%s, %s: %s %s", book.Profile, text, f.Rule, f.Message)
			}
		}
	}
}

// For tipped lower molars behind short spaces a rotational path is taught beside ring clasps
// (Jacobson, J Prosthet Dent 1994;71:271): it is shown among the first three as a way that
// differs in kind, and what seats first hangs on the framework though the crowns lean over
// the ridge.
func TestTippedMolarsAreOfferedARotationalPath(t *testing.T) {
	c, u := mouth(t, "lower; missing 36,46; floor=10 vestibule=9; 37 tilt=22 toward=mesial; 47 tilt=22 toward=mesial")
	book, err := rulebook.Open("i-bar-first")
	if err != nil {
		t.Fatal(err)
	}
	look := onCast(t, book, c)
	list, err := Propose(Input{Chart: c, Book: book, Undercuts: u, Look: look})
	if err != nil {
		t.Fatal(err)
	}
	turned := 0
	for i, p := range list {
		if !slices.ContainsFunc(p.Design.Parts, design.Part.SeatsFirst) {
			continue
		}
		turned++
		if i == 0 {
			t.Error("a specialist's way is the first choice")
		}
		seen, err := look(p.Design)
		if err != nil {
			t.Fatal(err)
		}
		if m, ok := seen.Placement.Whole("pieces", 0); !ok || m.Quantity.Value != 1 {
			t.Errorf("%s: the metal makes %v bodies", p.Kind, m.Quantity)
		}
	}
	if turned != 1 || len(list) != 3 {
		t.Errorf("%d of %d proposals turn in", turned, len(list))
	}
}
