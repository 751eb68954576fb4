package survey_test

import (
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
)

// drawn is a profile (x, z) drawn along y from -10 to 10.
func drawn(profile [][2]float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	const rows = 41
	for j := range rows {
		for _, p := range profile {
			m.Vertices = append(m.Vertices, geom.V(p[0], -10+20*float64(j)/(rows-1), p[1]))
		}
	}
	n := int32(len(profile))
	for j := range int32(rows - 1) {
		for i := range n - 1 {
			a := j*n + i
			m.Faces = append(m.Faces, [3]int32{a, a + 1, a + n + 1}, [3]int32{a, a + n + 1, a + n})
		}
	}
	return m
}

// bow is a part of a circle of a radius about (x, z), from one angle to another.
func bow(x, z, r, from, to float64) (out [][2]float64) {
	const n = 120
	for i := 0; i <= n; i++ {
		s, c := math.Sincos(geom.Deg(from + (to-from)*float64(i)/n))
		out = append(out, [2]float64{x + r*c, z + r*s})
	}
	return out
}

func along(x, z float64) cast.Curve {
	var c cast.Curve
	for y := -10.0; y <= 10; y++ {
		c.Points = append(c.Points, geom.V(x, y, z))
	}
	return c
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %.3f, should be %.3f", what, got, want)
	}
}

// A ridge that is three quarters of a circle of radius 6, in closed form: 3 mm below the
// crest it is 2 sqrt(6² - 3²) wide; the fold lies at 30 degrees below the middle, 6 + 3
// below the crest and 120 degrees of the circle along it; and there the side is recessed by
// 6 - 6 cos 30° below the bulge at 6 mm.
func TestRidgeOfACircle(t *testing.T) {
	const r = 6.0
	profile := bow(20, -r, r, -30, 210)
	lo, hi := profile[0], profile[len(profile)-1]
	profile = append([][2]float64{{40, lo[1]}}, append(profile, [2]float64{0, hi[1]})...)
	c := &cast.Cast{Arch: tooth.Lower, Mesh: drawn(profile)}
	c.Labels = make([]tooth.Number, len(c.Mesh.Faces))
	c.Marks.Arch = along(20, 0)
	c.Marks.Ridges = []cast.Ridge{{Teeth: []tooth.Number{46}, Crest: along(20, 0)}}
	c.Marks.Vestibule, c.Marks.Floor = along(lo[0], lo[1]), along(hi[0], hi[1])
	got := survey.TissuesOf(c, survey.PathFromTilt(tooth.Lower, 0, 0))
	if len(got.Places) != 1 || got.Places[0].Ridge == nil {
		t.Fatalf("places: %+v", got.Places)
	}
	p := got.Places[0]
	near(t, "width", p.Ridge.Width, 2*math.Sqrt(r*r-9), 0.02)
	h, ok := p.Height()
	if !ok {
		t.Fatal("the ridge has no height")
	}
	near(t, "height", h, r+r/2, 0.02)
	for name, s := range map[string]survey.Slope{"facial": p.Facial, "lingual": p.Lingual} {
		if s.Depth == nil || s.Undercut == nil {
			t.Fatalf("%s: %+v", name, s)
		}
		near(t, name+" over the surface", s.Depth.Along, r*geom.Deg(120), 0.05)
		near(t, name+" recess", s.Undercut.Depth, r*(1-math.Cos(geom.Deg(30))), 0.02)
		near(t, name+" bulge below the crest", s.Undercut.Below, r, 0.2)
	}
	if p.Facial.Side[len(p.Facial.Side)-1].X < 20 {
		t.Error("the facial side runs to the midline")
	}
	// Leaning 10 degrees to the patient's right, the path meets the far wall at its middle
	// turned by 10 degrees: the recess on the lingual is R - R cos 40°, on the facial
	// R - R cos 20°.
	leaning := survey.TissuesOf(c, survey.PathFromTilt(tooth.Lower, 0, 10)).Places[0]
	near(t, "facial recess, leaning", leaning.Facial.Undercut.Depth, r*(1-math.Cos(geom.Deg(20))), 0.03)
	near(t, "lingual recess, leaning", leaning.Lingual.Undercut.Depth, r*(1-math.Cos(geom.Deg(40))), 0.03)
}

// A palate that is a parabola 12 mm deep between ridges 38 mm apart.
func TestVaultOfAParabola(t *testing.T) {
	profile := bow(19, -3, 3, 0, 180)
	for x := 15.5; x > -15.8; x -= 0.5 {
		profile = append(profile, [2]float64{x, -3 - 9*(1-x*x/256)})
	}
	profile = append(profile, bow(-19, -3, 3, 0, 180)...)
	c := &cast.Cast{Arch: tooth.Upper, Mesh: drawn(profile)}
	c.Labels = make([]tooth.Number, len(c.Mesh.Faces))
	c.Marks.Arch = along(0, 0)
	c.Marks.Ridges = []cast.Ridge{{Teeth: []tooth.Number{16}, Crest: along(-19, 0)}, {Teeth: []tooth.Number{26}, Crest: along(19, 0)}}
	got := survey.TissuesOf(c, survey.PathFromTilt(tooth.Upper, 0, 0))
	if len(got.Vault) != 1 {
		t.Fatalf("vaults: %+v", got.Vault)
	}
	near(t, "vault", got.Vault[0].Depth, 12, 0.05)
	near(t, "between the crests", got.Vault[0].Width, 38, 0.05)
}

// What a chart says of the soft tissues is read back off the cast that is made from it.
func TestTissuesOfTypodonts(t *testing.T) {
	s := typodont.Full(tooth.Lower, 36, 37, 46, 47)
	s.FloorDepth = map[tooth.Number]float64{35: 8, 34: 9, 33: 8.5, 32: 7, 43: 6, 44: 7.5, 45: 10}
	s.VestibuleDepth = map[tooth.Number]float64{34: 8, 44: 6, 33: 9}
	s.TissueUndercuts = map[tooth.Number]typodont.TissueUndercut{34: {Depth: 1, BelowMargin: 4}}
	s.Tori = []typodont.Torus{{Teeth: []tooth.Number{33, 34}, Height: 4}, {Teeth: []tooth.Number{43, 44}, Height: 4}}
	c, err := typodont.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	got := survey.TissuesOf(c, survey.PathFromTilt(tooth.Lower, 0, 0))
	for _, p := range got.Places {
		if want, ok := s.FloorDepth[p.Tooth]; ok {
			if p.Lingual.Depth == nil {
				t.Errorf("%v: no floor", p.Tooth)
				continue
			}
			near(t, p.Tooth.String()+" floor", p.Lingual.Depth.Straight, want, 0.4)
		}
		if want, ok := s.VestibuleDepth[p.Tooth]; ok {
			if p.Facial.Depth == nil {
				t.Errorf("%v: no fold", p.Tooth)
				continue
			}
			near(t, p.Tooth.String()+" fold", p.Facial.Depth.Straight, want, 0.4)
		}
		if d, ok := c.FloorDepth(p.Tooth); ok && p.Lingual.Depth != nil {
			near(t, p.Tooth.String()+" floor beside the probe", p.Lingual.Depth.Straight, d, 0.1)
		}
		if p.Tooth == 34 {
			if p.Facial.Undercut == nil {
				t.Fatal("34: no tissue undercut")
			}
			near(t, "34 tissue undercut", p.Facial.Undercut.Depth, 1, 0.35)
			near(t, "34 tissue undercut begins", p.Facial.Undercut.Below, 4, 1.2)
		}
		if p.Tooth == 46 || p.Tooth == 37 {
			h, ok := p.Height()
			if p.Ridge == nil || !ok || h < 2 || p.Ridge.Width < 4 || p.Ridge.Width > 14 {
				t.Errorf("%v: ridge %+v, %.1f high", p.Tooth, p.Ridge, h)
			}
		}
	}
	if got.Tori == nil {
		t.Fatal("the opening between the tori was not read")
	}
	t.Logf("%.2f mm between the tori", got.Tori.Straight)
}
