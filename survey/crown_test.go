package survey_test

import (
	"context"
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
	"halfpear/unit"
)

func surveyed(t testing.TB, c *cast.Cast, d geom.Vec) *survey.Survey {
	t.Helper()
	s, err := survey.Of(context.Background(), c.Mesh, d, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ball is a cast with one round tooth, 36, of a radius: its margin lies low below the
// middle, and the surface goes on below it.
func ball(r, low float64) *cast.Cast {
	const rings, round = 120, 180
	m := &mesh.Mesh{Vertices: []geom.Vec{geom.V(0, 0, -r)}}
	var labels []tooth.Number
	for i := 1; i < rings; i++ {
		for k := 0; k < round; k++ {
			s, c := math.Sincos(math.Pi * (float64(i)/rings - 0.5))
			y, x := math.Sincos(2 * math.Pi * (float64(k) + 0.5*float64(i%2)) / round)
			m.Vertices = append(m.Vertices, geom.V(r*c*x, r*c*y, r*s))
		}
	}
	m.Vertices = append(m.Vertices, geom.V(0, 0, r))
	at := func(i, k int) int32 {
		switch i {
		case 0:
			return 0
		case rings:
			return int32(len(m.Vertices) - 1)
		}
		return int32(1 + (i-1)*round + k%round)
	}
	for i := 0; i < rings; i++ {
		for k := 0; k < round; k++ {
			for _, f := range [][3]int32{{at(i, k), at(i, k+1), at(i+1, k+1)}, {at(i, k), at(i+1, k+1), at(i+1, k)}} {
				if f[0] == f[1] || f[1] == f[2] || f[2] == f[0] {
					continue
				}
				m.Faces = append(m.Faces, f)
				n := tooth.Number(36)
				for _, v := range f {
					if m.Vertices[v].Z < -low-0.2 {
						n = 0
					}
				}
				labels = append(labels, n)
			}
		}
	}
	tt := &cast.Tooth{Number: 36, Frame: geom.Frame{X: geom.V(0, 1, 0), Y: geom.V(-1, 0, 0), Z: geom.V(0, 0, 1)}, Confidence: 1}
	for k := 0; k < round; k++ {
		y, x := math.Sincos(2 * math.Pi * float64(k) / round)
		w := math.Sqrt(r*r - low*low)
		tt.Margin = append(tt.Margin, geom.V(w*x, w*y, -low))
	}
	return &cast.Cast{Arch: tooth.Lower, Mesh: m, Labels: labels, Teeth: map[tooth.Number]*cast.Tooth{36: tt}, Origin: unit.Measured, Scan: geom.Identity()}
}

// On a sphere of radius R an undercut d lies sqrt(2 R d - d²) below the equator, and the
// surface there leans asin((R-d)/R) away from the vertical: plane geometry.
func TestCrownChartOfASphere(t *testing.T) {
	const r, low = 4.0, 3.0
	c := ball(r, low)
	cr, err := survey.CrownOf(c, surveyed(t, c, geom.V(0, 0, 1)), 36)
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if math.Abs(got-want) > tol {
			t.Errorf("%s: %.4f, should be %.4f", what, got, want)
		}
	}
	for _, col := range cr.Columns {
		near("height of contour", col.ContourHeight, low, 0.03)
		near("top", col.Top, low+r, 0.01)
	}
	for _, site := range tooth.Sites {
		for _, d := range []float64{0.25, 0.50, 0.75} {
			reach, ok := cr.ReachAt(site, d)
			if !ok {
				t.Fatalf("%s: %.2f mm not reached", site, d)
			}
			s := math.Sqrt(2*r*d - d*d)
			near("height above the margin", reach.AboveMargin, low-s, 0.01)
			near("slope", reach.SlopeDeg, geom.InDeg(math.Acos((r-d)/r)), 1)
		}
		_, ok := cr.ReachAt(site, 1.5) // 1.354 at the margin
		if ok {
			t.Errorf("%s: 1.5 mm reached above the margin", site)
		}
		deep, _ := cr.Greatest(site)
		near("greatest", deep, r-math.Sqrt(r*r-low*low), 0.01)
	}
	// A gauge 2 mm below the equator reads R - sqrt(R² - 4); held 0.25 mm lower it reads
	// R - sqrt(R² - 2.25²), and a degree of tilt adds 2 tan 1°.
	above := low - 2
	read, spread := cr.Gauge(tooth.MidFacial, &above)
	near("gauge", read, r-math.Sqrt(r*r-4), 0.01)
	near("spread of the gauge", spread, math.Sqrt(r*r-4)-math.Sqrt(r*r-2.25*2.25)+2*math.Tan(geom.Deg(1)), 0.01)
	// Tilting the path tilts the equator with it: at the same place the ball's depth is that
	// of a point s·cos 1° ± w·sin 1° below it, w being its distance from the axis.
	w := math.Sqrt(r*r - 4)
	ballDepth := func(s float64) float64 { return r - math.Sqrt(r*r-s*s) }
	least, most := cr.Sway(0, above)
	k1, s1 := math.Cos(geom.Deg(1)), math.Sin(geom.Deg(1))
	near("least within a degree", least, ballDepth(2*k1-w*s1), 0.01)
	near("most within a degree", most, ballDepth(2*k1+w*s1), 0.01)
	read, _ = cr.Gauge(tooth.MidFacial, nil)
	near("deepest reading of the gauge", read, r-math.Sqrt(r*r-low*low), 0.01)
	p, d := cr.At(90, low-2)
	near("mesial of the point at 90 degrees", p.Y, math.Sqrt(r*r-4), 0.01)
	near("its depth", d, r-math.Sqrt(r*r-4), 0.01)
	near("its angle", cr.AngleOf(p), 90, 0.1)
	near("its height", cr.HeightOf(p), low-2, 0.01)
	// A chord of 3 mm on a circle of radius 4 cuts R - sqrt(R² - 1.5²) = 0.292 mm off it.
	g, ok := cr.GuidePlane(tooth.Distal, 3, 0.5)
	if !ok {
		t.Fatal("no guide plane")
	}
	near("height of the plane", g.Height, 3, 0.01)
	near("cut for the plane", g.Reduction, r-math.Sqrt(r*r-2.25), 0.01)
	for i, want := range [4]float64{45, 135, 225, 315} {
		near("line angle", cr.LineAngles()[i], want, 4)
	}
	if l := cr.LineType(true, true); l.Course != "level" || l.Height != "medium" {
		t.Errorf("line type of a sphere: %+v", l)
	}
}

// Heights of contour by tooth, Ash and Nelson's figures as the typodont is built to them:
// facial in the gingival third, and no facial undercut deeper than a millimetre.
func TestCrownChartsOfTypodonts(t *testing.T) {
	for _, a := range []tooth.Arch{tooth.Lower, tooth.Upper} {
		c, err := typodont.Make(typodont.Full(a))
		if err != nil {
			t.Fatal(err)
		}
		s := surveyed(t, c, geom.V(0, 0, 1))
		for _, n := range c.Standing() {
			cr, err := survey.CrownOf(c, s, n)
			if err != nil {
				t.Error(err)
				continue
			}
			q, err := survey.CrownOf(c, s, n.Opposite())
			if err != nil {
				t.Error(err)
				continue
			}
			for _, site := range tooth.Sites {
				if a, b := cr.Site(site), q.Site(site); math.Abs(a-b) > 6 {
					t.Errorf("%v %s stands at %.0f degrees, on %v at %.0f: the arch is built alike on both sides", n, site, a, n.Opposite(), b)
				}
				d, r := cr.Greatest(site)
				e, _ := q.Greatest(site)
				if math.Abs(d-e) > 0.1 {
					t.Errorf("%v %s: %.3f mm, on %v %.3f", n, site, d, n.Opposite(), e)
				}
				if d < 0 || d > 2 || r.AboveMargin < -0.01 || r.AboveMargin > cr.Column(cr.Site(site)).Top {
					t.Errorf("%v %s: %.3f mm at %.2f above the margin", n, site, d, r.AboveMargin)
				}
			}
		}
	}
}

func TestCrownErrors(t *testing.T) {
	c := ball(4, 3)
	s := surveyed(t, c, geom.V(0, 0, 1))
	if _, err := survey.CrownOf(c, s, 37); err == nil {
		t.Error("a tooth that is not there was charted")
	}
	other := ball(3, 1)
	other.Mesh.Vertices = other.Mesh.Vertices[:len(other.Mesh.Vertices)-1]
	if _, err := survey.CrownOf(other, s, 36); err == nil {
		t.Error("a survey of another surface was taken")
	}
}
