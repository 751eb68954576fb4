package survey

import (
	"context"
	"math"
	"testing"

	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/typodont"
)

// A sphere of radius R on its equator: at an angle below the equator's plane seen along
// any path through its centre the undercut is R(1 - cos a), in closed form.
func TestUndercutOfAColumnAgainstItself(t *testing.T) {
	const r = 5.0
	var outline []geom.Vec
	for a := -60.0; a <= 80; a += 0.5 {
		s, c := math.Sincos(geom.Deg(a))
		outline = append(outline, geom.V(r*c, 0, r*s))
	}
	column := ray{outline: outline, up: geom.V(0, 0, 1), out: geom.V(1, 0, 0), margin: outline[0]}
	for _, tilt := range []float64{-10, 0, 10} {
		s, c := math.Sincos(geom.Deg(tilt))
		d := geom.V(s, 0, c)
		got, _ := column.undercut(d, 0.25, 0)
		if want := r * (1 - math.Cos(geom.Deg(60-tilt))); math.Abs(got-want) > 2e-3*want+1e-3 {
			t.Errorf("tilt %g: undercut %.4f, in closed form %.4f", tilt, got, want)
		}
	}
	if _, above := column.undercut(geom.V(0, 0, 1), 0.25, 0); math.Abs(above-(r*math.Sin(geom.Deg(60))-r*math.Sin(math.Acos(1-0.25/r)))) > 0.05 {
		t.Errorf("0.25 mm is reached %.3f above the margin", above)
	}
}

// A made cast is the mirror image of itself, so the best path leans to neither side, and
// the sweep's undercuts agree with a whole survey's crown chart.
func TestSweepOfAMirroredCast(t *testing.T) {
	c, err := typodont.Make(typodont.Full(tooth.Lower, 36, 37, 46, 47))
	if err != nil {
		t.Fatal(err)
	}
	s, err := Of(context.Background(), c.Mesh, geom.V(0, 0, 1), Options{NoLines: true})
	if err != nil {
		t.Fatal(err)
	}
	crowns := map[tooth.Number]Crown{}
	for _, n := range []tooth.Number{35, 45} {
		if crowns[n], err = CrownOf(c, s, n); err != nil {
			t.Fatal(err)
		}
	}
	plan := Plan{Guides: []Guide{{35, tooth.Distal}, {45, tooth.Distal}}, Tissues: true,
		Grips: []Grip{{35, []tooth.Site{tooth.MidFacial}, 0.25, 0}, {45, []tooth.Site{tooth.MidFacial}, 0.25, 0}}}
	swept, err := Sweep(context.Background(), c, crowns, plan, 15, 400, nil)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(swept.Best.RightDeg) > 1.5 {
		t.Errorf("the best path leans %.1f degrees to one side", swept.Best.RightDeg)
	}
	if n := len(swept.Tries); n < 300 || n > 500 {
		t.Errorf("%d paths, about 400 were asked for", n)
	}
	for _, h := range swept.Best.Held {
		want, _ := crowns[h.Tooth].Greatest(h.Site)
		if math.Abs(h.Vertical-want) > 0.1 {
			t.Errorf("tooth %d: the sweep has %.2f mm along the vertical, the survey %.2f", h.Tooth, h.Vertical, want)
		}
	}
	if _, err := Sweep(context.Background(), c, crowns, Plan{}, 15, 400, nil); err == nil {
		t.Error("a sweep without abutments was done")
	}
	done, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Sweep(done, c, crowns, plan, 15, 400, nil); err == nil {
		t.Error("a cancelled sweep went on")
	}
}

// Appearance (SUR-04): on a sphere the place where 0.25 mm is reached follows from the
// closed form above, so the share of the crown's height at which a front tooth's tip stands
// does too; a molar's tip does not show.
func TestTipsOfFrontTeethShow(t *testing.T) {
	const r = 5.0
	var outline []geom.Vec
	for a := -60.0; a <= 80; a += 0.5 {
		s, c := math.Sincos(geom.Deg(a))
		outline = append(outline, geom.V(r*c, 0, r*s))
	}
	top := outline[len(outline)-1].Z - outline[0].Z
	column := ray{site: tooth.MidFacial, outline: outline, up: geom.V(0, 0, 1), out: geom.V(1, 0, 0), margin: outline[0], top: top}
	at := func(n tooth.Number, tilt float64) Try {
		w := &sweeper{arch: tooth.Lower, plan: Plan{Grips: []Grip{{n, []tooth.Site{tooth.MidFacial}, 0.25, 0}}}, grips: [][]ray{{column}}}
		s, c := math.Sincos(geom.Deg(tilt))
		return w.try(Path{Direction: geom.V(s, 0, c)})
	}
	want := (r*math.Sin(geom.Deg(60)) - r*math.Sin(math.Acos(1-0.25/r))) / top
	if got := at(34, 0).Shows; math.Abs(got-want) > 0.02 {
		t.Errorf("the tip on 34 stands at %.3f of the crown, in closed form %.3f", got, want)
	}
	if lower := at(34, 8).Shows; !(lower < at(34, 0).Shows-0.02) {
		t.Errorf("a tilt that lowers the survey line leaves the tip at %.3f of the crown", lower)
	}
	if got := at(36, 0).Shows; got != 0 {
		t.Errorf("a molar's tip counts for appearance: %.3f", got)
	}
}
