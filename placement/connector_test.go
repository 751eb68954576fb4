package placement_test

import (
	"math"
	"testing"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/tooth"
	"halfpear/typodont"
)

// laidOn lays a study's design, with another connector, on a cast of its own.
func laidOn(t *testing.T, name string, f design.Form, tune func(*typodont.Spec)) (*cast.Cast, *placement.Placement) {
	t.Helper()
	st := studies[name]
	spec := typodont.Full(st.arch, st.missing...)
	if tune != nil {
		tune(&spec)
	}
	c, err := typodont.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	s := surveyed(t, c, geom.V(0, 0, 1))
	p, err := placement.Lay(c, s, s, design.Design{Arch: st.arch, Parts: st.parts}.With(major(f)), placement.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return c, p
}

// A palatal border keeps 6 mm from the margins of the teeth that it passes (Blatterfein
// taught 5 to 6), straight through the air and so along the gum too. Only beside a base
// does it come up to the abutment.
func TestPalatalBordersAreClearAllRound(t *testing.T) {
	for _, name := range []string{"upper-1", "upper-3", "upper-4"} {
		for _, f := range []design.Form{design.PalatalStrap, design.APStrap, design.PalatalPlate, design.UShaped} {
			l := lay(t, name)
			p, err := placement.Relay(l.placed, major(f))
			if err != nil {
				t.Fatal(err)
			}
			q, _ := p.Part("major")
			bounding := map[tooth.Number]bool{}
			for _, b := range l.design.Of(design.Base) {
				for _, n := range b.Teeth {
					bounding[n.Mesial()], bounding[n.Distal()] = true, true
				}
			}
			for n, at := range l.cast.Teeth {
				if bounding[n] {
					continue
				}
				w := geom.NewWalk(geom.Closed(at.Margin))
				near := math.Inf(1)
				for _, v := range q.Patches[0].Outline {
					_, d := w.Nearest(v)
					near = math.Min(near, d)
				}
				if near < 5.9 {
					t.Errorf("%s, %s: the border comes within %.2f mm of the margin of %v", name, f, near, n)
				}
			}
		}
	}
}

// A palatal strap is as wide as the spaces that it joins ask, no less than 8 mm (taught by
// most texts), unless the vibrating line is in its way.
func TestAStrapIsAsWideAsAsked(t *testing.T) {
	for _, name := range []string{"upper-1", "upper-3", "upper-single"} {
		for _, width := range []float64{8, 10, 12, 15} {
			l := lay(t, name)
			strap := major(design.PalatalStrap)
			strap.Dimensions = map[string]float64{"width": width}
			p, err := placement.Relay(l.placed, strap)
			if err != nil {
				t.Fatal(err)
			}
			q, _ := p.Part("major")
			m, ok := q.Measure("strap_width", 0)
			rear, known := q.Measure("border_to_vibrating_line", 0)
			if !ok || m.Quantity.Value < width-0.1 && !(known && rear.Quantity.Value < 2.5) {
				t.Errorf("%s: %v wide, asked %g mm; %v are left to the vibrating line", name, m.Quantity, width, rear.Quantity)
			}
			if len(q.Shortfalls) > 0 && m.Quantity.Value >= width-0.1 {
				t.Errorf("%s: %v", name, q.Shortfalls)
			}
		}
	}
}

// A ring goes round a palatal torus; a plate crosses it relieved by 0.5 to 1.0 mm.
func TestPalatalTorus(t *testing.T) {
	torus := func(s *typodont.Spec) {
		s.Tori = []typodont.Torus{{Palatal: true, Teeth: []tooth.Number{16, 17}, Height: 3}}
	}
	for f, crossed := range map[design.Form]bool{design.APStrap: false, design.PalatalPlate: true} {
		_, p := laidOn(t, "upper-1", f, torus)
		q, _ := p.Part("major")
		m, ok := q.Measure("torus_crossed_share", 0)
		if !ok || m.Quantity.Value > 0 != crossed {
			t.Errorf("%s: %v of the torus under metal", f, m.Quantity)
		}
		relieved := false
		for _, a := range q.Patches {
			relieved = relieved || a.Role == placement.Relief
		}
		if relieved != crossed {
			t.Errorf("%s: relief is %v", f, relieved)
		}
		if r, ok := q.Measure("torus_relief", 0); crossed && (!ok || r.Quantity.Value < 0.5 || r.Quantity.Value > 1) {
			t.Errorf("%s: relief over the torus %v", f, r.Quantity)
		}
		if d, ok := q.Measure("torus_clearance", 0); !crossed && (!ok || d.Quantity.Value <= 0) {
			t.Errorf("%s: the metal stands %v off the torus", f, d.Quantity)
		}
	}
}

func TestLingualTorusIsRelieved(t *testing.T) {
	_, p := laidOn(t, "lower-1", design.LingualPlate, func(s *typodont.Spec) {
		s.Tori = []typodont.Torus{{Teeth: []tooth.Number{33, 34}, Height: 2}, {Teeth: []tooth.Number{43, 44}, Height: 2}}
	})
	q, _ := p.Part("major")
	n := 0
	for _, a := range q.Patches {
		if a.Role == placement.Relief {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d of two tori are relieved", n)
	}
}

// A lingual plate is chosen where the floor comes near the teeth (below 5 mm by the table
// of choices), so that is where it must fit: its lower border stays above the floor.
func TestPlateOverAShallowFloor(t *testing.T) {
	for _, floor := range []float64{3.5, 4, 5} {
		_, p := laidOn(t, "lower-1", design.LingualPlate, func(s *typodont.Spec) {
			s.FloorDepth = map[tooth.Number]float64{}
			for _, n := range tooth.All(tooth.Lower) {
				s.FloorDepth[n] = floor
			}
		})
		q, _ := p.Part("major")
		seen := 0
		for _, m := range q.Measures {
			switch m.Name {
			case "lower_border_to_floor":
				seen++
				if m.Quantity.Value < 0 {
					t.Errorf("floor %v mm deep: at %d the border lies %v above it", floor, m.Tooth, m.Quantity)
				}
			case "lower_border_to_frenum":
				if m.Quantity.Value < 1 { // common teaching: 1 mm of the frenum
					t.Errorf("floor %v mm deep: the border lies %v from the frenum", floor, m.Quantity)
				}
			}
		}
		if seen < 4 {
			t.Errorf("floor %v mm deep: the border was measured at %d teeth", floor, seen)
		}
	}
}

// The ridge of a front space lies lower than the teeth beside it; the bar under it keeps
// its 3 mm from the canines and premolars all the same.
func TestBarBehindAFrontSpace(t *testing.T) {
	c, err := typodont.Make(typodont.Full(tooth.Lower, 32, 31, 41, 42))
	if err != nil {
		t.Fatal(err)
	}
	s := surveyed(t, c, geom.V(0, 0, 1))
	p, err := placement.Lay(c, s, s, design.Design{Arch: tooth.Lower, Parts: parts(
		rest(44, design.RestOcclusal, tooth.Mesial, design.Primary), rest(34, design.RestOcclusal, tooth.Mesial, design.Primary),
		rest(47, design.RestOcclusal, tooth.Mesial, design.Primary), rest(37, design.RestOcclusal, tooth.Mesial, design.Primary),
		plate(43, tooth.Mesial), plate(33, tooth.Mesial), upright(44, 43), upright(34, 33), upright(47, 46), upright(37, 36),
		major(design.LingualBar), base("base-front", "bounded", 42, 41, 31, 32))}, placement.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []tooth.Number{46, 45, 44, 43, 33, 34, 35, 36} {
		atLeast(t, laid{placed: p}, "major", "upper_border_to_margin", n, 2.9)
	}
}

// The resin border stays off the movable mucosa all along: where a frenum raises the fold
// the border is notched round it.
func TestResinBorderIsNotchedAtAFrenum(t *testing.T) {
	for _, frena := range [][]tooth.Number{nil, {45}, {35, 46}} {
		c, p := laidOn(t, "lower-1", design.LingualBar, func(s *typodont.Spec) { s.Frena = frena })
		fold := geom.NewWalk(c.Marks.Vestibule.Points)
		for _, id := range []design.ID{"base-left", "base-right"} {
			q, _ := p.Part(id)
			for _, a := range q.Patches {
				if a.Role != placement.Resin {
					continue
				}
				worst := 0.0
				for _, v := range a.Outline {
					s, _ := fold.Nearest(v)
					f := fold.At(s)
					if f.XY().Dist(v.XY()) < 4 {
						worst = math.Max(worst, f.Z-v.Z)
					}
				}
				if worst > 0.1 { // beside a frenum the fold climbs by that from one station to the next
					t.Errorf("frena at %v: the resin of %s goes %.2f mm past the fold", frena, id, worst)
				}
			}
		}
	}
}

// Behind an abutment the crest of a lost tooth's ridge lies lower than the margin it sinks
// from, and toward the retromolar pad it rises; only the rise pushes a base forward, so the
// measure has a sign: the same as that of the heights of the crest itself.
func TestSlopeOfTheRidgeHasASign(t *testing.T) {
	l := lay(t, "lower-1")
	signs := map[bool]int{}
	for _, q := range l.placed.Parts {
		if q.Part.Kind != design.ReplacementTooth {
			continue
		}
		m, ok := q.Measure("ridge_slope_deg", 0)
		if !ok {
			t.Fatalf("%s has no slope", q.Part.ID)
		}
		if m.From.Y <= m.To.Y {
			t.Errorf("%s: the slope is read from %v to %v, expected away from the abutment, backward", q.Part.ID, m.From, m.To)
		}
		rises := m.To.Z > m.From.Z
		if rises != (m.Quantity.Value > 0) {
			t.Errorf("%s: the crest goes from %.2f to %.2f, its slope is %v", q.Part.ID, m.From.Z, m.To.Z, m.Quantity)
		}
		signs[rises]++
	}
	if signs[false] == 0 {
		t.Errorf("no crest falls away behind an abutment: %v", signs)
	}
}
