package mechanics

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol*math.Max(math.Abs(want), 1e-12) {
		t.Errorf("%s: %.7g expected, got %.7g (%.3g off)", what, want, got, (got-want)/want)
	}
}

func checks(t testing.TB, name ...string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(append([]string{"..", "..", "shared", "checks", "mechanics"}, name...)...))
	if err != nil {
		t.Skip("the outside answers are not here")
	}
	return text
}

// Closed forms: circle, ellipse and half-ellipse from the integrals; the torsion of the
// semicircle from the theory of elasticity (J = (π/2 - 4/π) r⁴, largest shear 2.85 T/r³ in
// the middle of the flat); square 0.1406 a⁴ and 4.81 T/a³ (Timoshenko & Goodier).
func TestClosedSections(t *testing.T) {
	get := func(s Section) Constants {
		c, err := s.Constants()
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	c := get(Section{Shape: Round, Width: 1, Thickness: 1})
	near(t, "round A", c.A, math.Pi/4, 1e-9)
	near(t, "round I", c.It, math.Pi/64, 1e-9)
	near(t, "round J", c.J, math.Pi/32, 1e-9)
	near(t, "round tau", c.TauMax, 16/math.Pi, 1e-9)
	c = get(Section{Shape: HalfOval, Width: 2, Thickness: 1.3})
	near(t, "half-oval A", c.A, math.Pi*1.3/2, 1e-9)
	near(t, "half-oval z", c.Z, 4*1.3/(3*math.Pi), 1e-9)
	near(t, "half-oval It", c.It, math.Pow(1.3, 3)*(math.Pi/8-8/(9*math.Pi)), 1e-9)
	near(t, "half-oval Iw", c.Iw, math.Pi*1.3/8, 1e-9)
	c = get(Section{Shape: HalfRound, Width: 2, Thickness: 1})
	near(t, "half-round J", c.J, math.Pi/2-4/math.Pi, 1e-5)
	near(t, "half-round tau", c.TauMax, 2.8535, 1e-3)
	c = get(Section{Shape: Rectangle, Width: 1, Thickness: 1})
	near(t, "square J", c.J, 0.140577, 1e-5)
	near(t, "square tau", c.TauMax, 4.8037, 2e-3)
	wide, tall := get(Section{Shape: Rectangle, Width: 4, Thickness: 1.6}), get(Section{Shape: Rectangle, Width: 1.6, Thickness: 4})
	near(t, "turned rectangle J", tall.J, wide.J, 1e-9)
	near(t, "turned rectangle tau", tall.TauMax, wide.TauMax, 1e-9)
}

// Fifteen sections against a converged finite-element solution of the torsion problem and
// the exact moments: within 0.5 %.
func TestSectionsAgainstFiniteElements(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(string(checks(t, "sections.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	shapes := map[string]Shape{"round": Round, "half-round": HalfRound, "half-oval": HalfOval, "semi-ellipse": HalfOval, "half-pear": HalfPear,
		"ellipse": Ellipse, "D-bar": DBar, "strap": Rectangle, "bar": Rectangle, "I-section": IBeam}
	seen := 0
	for _, row := range rows[1:] {
		var p struct{ D, W, T, H, R1, R2, T0, B, Bf, Tf, Hw, Tw float64 }
		if err := json.Unmarshal([]byte(row[1]), &p); err != nil {
			t.Fatal(err)
		}
		s := Section{Shape: shapes[strings.Fields(row[0])[0]]}
		switch s.Shape {
		case Round:
			s.Width, s.Thickness = p.D, p.D
		case HalfPear:
			s.Width, s.Thickness, s.Crest = p.H, p.R1, p.R2
		case DBar:
			s.Width, s.Thickness, s.Plinth = p.W, p.T0+p.B, p.T0
		case IBeam:
			s.Width, s.Thickness, s.Flange, s.Web = p.Bf, p.Hw+2*p.Tf, p.Tf, p.Tw
		default:
			s.Width, s.Thickness = p.W, p.T
		}
		c, err := s.Constants()
		if err != nil {
			t.Errorf("%s: %v", row[0], err)
			continue
		}
		seen++
		want := func(col int) float64 {
			v, err := strconv.ParseFloat(row[col], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		near(t, row[0]+" A", c.A, want(2), 0.005)
		near(t, row[0]+" It", c.It, want(5), 0.005)
		near(t, row[0]+" Iw", c.Iw, want(6), 0.005)
		if s.Shape == HalfPear {
			near(t, row[0]+" Iyz", c.Iyz, want(7), 0.005)
			near(t, row[0]+" y", c.Y, want(3), 0.005)
		}
		near(t, row[0]+" J", c.J, want(8), 0.005)
		if s.Shape != IBeam { // a sharp re-entrant corner has no largest stress
			near(t, row[0]+" tau", c.TauMax, want(11), 0.005)
		}
	}
	if seen != 15 {
		t.Errorf("%d sections were compared", seen)
	}
}

func TestBadSections(t *testing.T) {
	for _, s := range []Section{{Shape: "star", Width: 1, Thickness: 1}, {Shape: Round, Width: 1, Thickness: 2}, {Shape: HalfRound, Width: 0, Thickness: 1},
		{Shape: HalfPear, Width: 2, Thickness: 1.9, Crest: 0.7}, {Shape: Rectangle, Width: math.NaN(), Thickness: 1}, {}} {
		if _, err := s.Constants(); err == nil {
			t.Errorf("%+v passed for a section", s)
		}
	}
}

func BenchmarkTorsion(b *testing.B) {
	s := Section{Shape: HalfOval, Width: 2, Thickness: 1.2}
	for range b.N {
		saintVenant(s)
	}
}

// Along an arm whose sections are not alike the torsion is interpolated between set aspects:
// anywhere between them it is that of the section itself.
func TestTorsionBetweenAspects(t *testing.T) {
	for _, shape := range []Shape{HalfRound, Rectangle, HalfPear, Ellipse} {
		root, tip := Section{Shape: shape, Width: 6, Thickness: 1}, Section{Shape: shape, Width: 1.6, Thickness: 0.8}
		tolerance := 1e-3
		if shape == HalfPear { // its form changes its law where it begins to be stretched
			root.Width, tolerance = 4, 0.02
		}
		sh := newShapes([]Section{root, tip})
		for i := 0; i <= 20; i++ {
			s := mix(root, tip, float64(i)/20)
			want, err := s.Constants()
			if err != nil {
				t.Fatal(err)
			}
			c := sh.at(s)
			near(t, string(shape)+" torsion constant", c.J, want.J, tolerance)
			near(t, string(shape)+" area", c.A, want.A, 1e-9)
			most := 0.0
			for k := range c.base.fibres {
				tau, _ := c.twist(k)
				most = math.Max(most, tau)
			}
			near(t, string(shape)+" greatest shear", most, want.TauMax, 0.02)
		}
	}
}
