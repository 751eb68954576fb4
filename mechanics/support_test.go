package mechanics

import (
	"encoding/json"
	"math"
	"math/rand"
	"strconv"
	"testing"

	"halfpear/geom"
)

// statics is a case worked elsewhere by another solver to 1e-9.
type statics struct {
	Contacts []struct {
		ID        string
		R, N      [3]float64
		K         float64
		Bilateral bool
	}
	Loads []struct {
		R [3]float64
		F [3]float64
	}
	Results struct {
		U, Theta [3]float64
		Screw    struct {
			Direction, Point [3]float64
			Angle            float64 `json:"angle_deg"`
			Pitch            float64 `json:"pitch_mm_per_rad"`
		} `json:"screw_axis"`
		Forces map[string]float64 `json:"contact_forces"`
		Facets map[string]float64 `json:"base_facet_forces"`
		Active []string
	}
}

func openStatics(t testing.TB, id string) (c []Contact, l []Load, want statics) {
	if err := json.Unmarshal(checks(t, "statics", id+".json"), &want); err != nil {
		t.Fatal(err)
	}
	for _, k := range want.Contacts {
		c = append(c, Contact{ID: k.ID, R: v3(k.R), N: v3(k.N), K: k.K, Bilateral: k.Bilateral})
	}
	for _, f := range want.Loads {
		l = append(l, Load{v3(f.R), v3(f.F)})
	}
	return c, l, want
}

// Two lower Kennedy class I frameworks with 36 contacts, a bite and a sticky pull, solved
// elsewhere by minimising the same energy.
func TestWholeFrameworks(t *testing.T) {
	for _, id := range []string{"st-open-class1-occlusal", "st-open-class1-sticky-uplift"} {
		c, l, want := openStatics(t, id)
		r, err := Support(c, l)
		if err != nil {
			t.Fatal(err)
		}
		if r.Free != nil {
			t.Fatalf("%s: no mechanism is expected", id)
		}
		if r.Move.Dist(v3(want.Results.U)) > 1e-6*r.Move.Norm() || r.Turn.Dist(v3(want.Results.Theta)) > 1e-6*r.Turn.Norm() {
			t.Errorf("%s: motion %v expected, got %v", id, want.Results, r.Motion)
		}
		for i, k := range c {
			f, ok := want.Results.Forces[k.ID]
			if !ok {
				if f, ok = want.Results.Facets[k.ID]; !ok {
					t.Fatalf("%s: no answer for %s", id, k.ID)
				}
			}
			if math.Abs(r.Force[i]-f) > 1e-6*math.Max(1, math.Abs(f)) {
				t.Errorf("%s %s: %.9g N expected, got %.9g", id, k.ID, f, r.Force[i])
			}
		}
		s, ok := r.Screw()
		if !ok || geom.InDeg(s.Angle)-want.Results.Screw.Angle > 1e-6 || s.Direction.Dist(v3(want.Results.Screw.Direction)) > 1e-6 || s.Point.Dist(v3(want.Results.Screw.Point)) > 1e-5 || math.Abs(s.Pitch-want.Results.Screw.Pitch) > 1e-6 {
			t.Errorf("%s: axis %+v expected, got %+v", id, want.Results.Screw, s)
		}
		t.Logf("%s: %d rounds", id, r.Rounds)
	}
}

func down(x, y, f float64) []Load { return []Load{{geom.V(x, y, 0), geom.V(0, 0, -f)}} }

// Three rests, load at their centroid: each bears a third (statics, exact fractions).
func TestThreeRests(t *testing.T) {
	up := geom.V(0, 0, 1)
	r, err := Support([]Contact{{R: geom.V(0, 0, 0), N: up, K: 500}, {R: geom.V(24, 0, 0), N: up, K: 1000}, {R: geom.V(12, 18, 0), N: up, K: 250}}, down(12, 6, 90))
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range r.Force {
		near(t, "reaction "+strconv.Itoa(i), f, 30, 1e-6)
	}
	near(t, "uz", r.Move.Z, -3.0/50, 1e-6)
	near(t, "theta x", r.Turn.X, -1.0/240, 1e-6)
	near(t, "theta y", r.Turn.Y, -1.0/800, 1e-6)
	if math.Abs(r.Turn.Z)+math.Abs(r.Move.X)+math.Abs(r.Move.Y) > 1e-12 {
		t.Errorf("nothing asks for a shift or a turn in the plane: %+v", r.Motion)
	}
}

// A rest and a base on a bed of springs, in a plane: the exact continuum answers, with the
// bed cut into strips at Gauss points, so that linear pressures are integrated exactly.
func TestExtensionBase(t *testing.T) {
	up := geom.V(0, 0, 1)
	bed := func(pieces int) []Contact {
		c := []Contact{{ID: "rest", R: geom.Vec{}, N: up, K: 1000}, {R: geom.V(0, 5, 0), N: geom.V(0, 1, 0), K: 1e4, Bilateral: true}}
		for i := range pieces {
			for _, x := range gauss2x {
				w := 30 / float64(pieces)
				for _, y := range []float64{-5, 5} { // the plane problem, held from tipping sideways
					c = append(c, Contact{R: geom.V((float64(i)+x)*w, y, 0), N: up, K: 10 * w / 4, Bilateral: false})
				}
			}
		}
		return c
	}
	r, err := Support(bed(40), down(15, 0, 100))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rest", r.Force[0], 1000.0/43, 1e-6)
	near(t, "settlement", -r.At(geom.Vec{}).Z, 1.0/43, 1e-6)
	near(t, "end", -r.At(geom.V(30, 0, 0)).Z, 21.0/43, 1e-6)
	near(t, "slope", r.Turn.Y, 2.0/129, 1e-6)
	s, _ := r.Screw()
	near(t, "centre of rotation", s.Point.X, -1.5, 1e-6)

	r, _ = Support(bed(40), down(20, 0, 100))
	near(t, "slope at two thirds", r.Turn.Y, 1.0/45, 1e-6)
	if math.Abs(r.Force[0]) > 1e-6 {
		t.Errorf("the rest should bear nothing, it bears %g N", r.Force[0])
	}

	r, _ = Support(bed(2000), down(25, 0, 100))
	near(t, "end, tipped up", -r.At(geom.V(30, 0, 0)).Z, 4.0/3, 1e-5)
	near(t, "uplift at the rest", r.At(geom.Vec{}).Z, 4.0/3, 1e-5)
	if r.Force[0] != 0 || r.Active[0] {
		t.Error("the rest should be open")
	}
}

// A sticky pull F at 27 mm behind the clasps, an indirect rest 18 mm before them: the rest
// bears 3F/2, the clasps 5F/2, and clasps that hold 10 N let go at 4 N. Without the rest
// the base turns freely.
func TestIndirectRetainer(t *testing.T) {
	up, dn := geom.V(0, 0, 1), geom.V(0, 0, -1)
	with := func(capacity float64) []Contact {
		return []Contact{
			{ID: "left", R: geom.V(0, 20, 0), N: dn, K: 20, Capacity: capacity}, {ID: "right", R: geom.V(0, -20, 0), N: dn, K: 20, Capacity: capacity},
			{ID: "indirect", R: geom.V(-18, 0, 0), N: up, K: 1500},
		}
	}
	pull := func(f float64) []Load { return []Load{{geom.V(27, 0, 0), geom.V(0, 0, f)}} }
	r, err := Support(with(0), pull(2))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "indirect", r.Force[2], 3, 1e-6)
	near(t, "clasps", r.Force[0]+r.Force[1], 5, 1e-6)

	if r, _ = Support(with(5), pull(3.999)); r.Free != nil {
		t.Error("3.999 N should be held")
	}
	if r, _ = Support(with(5), pull(4.001)); r.Free == nil {
		t.Error("4.001 N should pull the clasps off")
	} else if s, _ := r.Free.Screw(); math.Abs(math.Abs(s.Direction.Y)-1) > 1e-6 || math.Abs(s.Point.X+18) > 1e-6 {
		t.Errorf("it should turn about the indirect rest, not about %+v", s)
	}
	if r, _ = Support(with(0)[:2], pull(1)); r.Free == nil {
		t.Error("without the indirect rest the base should turn freely")
	} else if s, _ := r.Free.Screw(); math.Abs(math.Abs(s.Direction.Y)-1) > 1e-6 || math.Abs(s.Point.X) > 1e-6 {
		t.Errorf("it should turn about the clasps, not about %+v", s)
	}
	if r, _ = Support(with(0)[2:], []Load{{geom.Vec{}, up}}); r.Free == nil {
		t.Error("nothing holds a lifted denture without clasps")
	}
}

// Of an 8 N pull those 5 N clasps hold the half (statics as above: they let go at 4 N), and
// the indirect rest then bears 6 N.
func TestHeldShareOfAPull(t *testing.T) {
	up, dn := geom.V(0, 0, 1), geom.V(0, 0, -1)
	s, err := NewSupports([]Contact{{R: geom.V(0, 20, 0), N: dn, K: 20, Capacity: 5}, {R: geom.V(0, -20, 0), N: dn, K: 20, Capacity: 5}, {R: geom.V(-18, 0, 0), N: up, K: 1500},
		{R: geom.Vec{}, N: geom.V(1, 0, 0), K: 100, Bilateral: true}, {R: geom.Vec{}, N: geom.V(0, 1, 0), K: 100, Bilateral: true}})
	if err != nil {
		t.Fatal(err)
	}
	share, last := heldShare(s, Case{At: geom.V(27, 0, 0), Force: geom.V(0, 0, 8)})
	if share < 0.49 || share > 0.5 {
		t.Errorf("held %.3f of the pull", share)
	}
	near(t, "indirect rest at the limit", last.Force[2], 6, 0.025)
}

func TestScrew(t *testing.T) {
	s, ok := Motion{geom.V(0, 0, -0.1), geom.V(0.002, -0.004, 0)}.Screw()
	if !ok || s.Direction.Dist(geom.V(1, -2, 0).Unit()) > 1e-12 || s.Point.Dist(geom.V(20, 10, 0)) > 1e-9 || s.Pitch != 0 {
		t.Errorf("axis through (20,10,0) along (1,-2,0) expected, got %+v", s)
	}
	near(t, "angle", s.Angle, math.Sqrt(2e-5), 1e-12)
	if _, ok = (Motion{Move: geom.V(0, 0, -0.1)}).Screw(); ok {
		t.Error("a shift has no axis")
	}
}

// Turning and moving the whole mouth turns and moves the answer; a bilinear tooth is two
// contacts.
func TestSupportLaws(t *testing.T) {
	c, l, _ := openStatics(t, "st-open-class1-occlusal")
	r, _ := Support(c, l)
	axis, angle, shift := geom.V(1, 2, 3).Unit(), 0.7, geom.V(5, -3, 2)
	turn := func(v geom.Vec) geom.Vec { return geom.RotateAbout(v, axis, angle) }
	for i := range c {
		c[i].R, c[i].N = turn(c[i].R).Add(shift), turn(c[i].N)
	}
	l[0].R, l[0].Force = turn(l[0].R).Add(shift), turn(l[0].Force)
	s, _ := Support(c, l)
	for i := range c {
		if math.Abs(s.Force[i]-r.Force[i]) > 1e-6 {
			t.Errorf("%s: %g N, turned %g N", c[i].ID, r.Force[i], s.Force[i])
		}
	}
	up := geom.V(0, 0, 1)
	tooth := []Contact{{N: up, K: 200}, {N: up, K: 1800, Gap: 0.015}}
	b, _ := Support(tooth, down(0, 0, 100))
	near(t, "100 N on a tooth", -b.Move.Z, 0.0635, 1e-9)
}

// Tissue that stiffens as it is pressed thin, loaded by F: K·d/(1 - d/w) = F gives
// d = F·w/(K·w + F). Pressed beyond nine tenths of the layer it goes on as a straight spring.
func TestStiffeningLayer(t *testing.T) {
	const k, w = 100.0, 1.2
	for _, f := range []float64{1, 50, 400} {
		r, err := Support([]Contact{{N: geom.V(0, 0, 1), K: k, Layer: w}}, down(0, 0, f))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sinking", -r.Move.Z, f*w/(k*w+f), 1e-9)
	}
	r, _ := Support([]Contact{{N: geom.V(0, 0, 1), K: k, Layer: w}}, down(0, 0, 2*k*w*0.9/0.1))
	near(t, "pressed flat", -r.Move.Z, 0.9*w+k*w*9/(k*100), 1e-9)
}

func TestBadContacts(t *testing.T) {
	for _, c := range []Contact{{K: 1}, {N: geom.V(0, 0, 1)}, {N: geom.V(0, 0, 1), K: math.NaN()}, {N: geom.V(0, 0, 1), K: 1, Capacity: -1}, {N: geom.V(math.Inf(1), 0, 1), K: 1}} {
		if _, err := Support([]Contact{c}, nil); err == nil {
			t.Errorf("%+v passed for a contact", c)
		}
	}
	if r, err := Support(nil, down(0, 0, 1)); err != nil || r.Free == nil {
		t.Error("a framework without contacts is free")
	}
}

func BenchmarkSupport(b *testing.B) {
	c, l, _ := openStatics(b, "st-open-class1-occlusal")
	for range b.N {
		if _, err := Support(c, l); err != nil {
			b.Fatal(err)
		}
	}
}

// Contacts that lie about anyhow, from soft mucosa to stiff teeth, often all but loose: a
// place of rest is found, or a motion that no contact opposes. At rest the forces and moments
// add up to nothing (Newton), a one-sided contact only pushes, and each pushes as far as it is
// pressed.
func TestAnyContactsComeToRest(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	somewhere := func() geom.Vec {
		return geom.V(60*r.Float64()-30, 60*r.Float64()-30, 20*r.Float64()-10)
	}
	found, free := 0, 0
	for range 3000 {
		var c []Contact
		for range 3 + r.Intn(8) {
			n := geom.V(r.NormFloat64(), r.NormFloat64(), r.NormFloat64()).Unit()
			c = append(c, Contact{R: somewhere(), N: n, K: math.Pow(10, 5*r.Float64()-1), Bilateral: r.Float64() < 0.45})
		}
		load := Load{somewhere(), geom.V(3*r.NormFloat64(), 3*r.NormFloat64(), 20*r.NormFloat64())}
		got, err := Support(c, []Load{load})
		if err != nil {
			t.Fatal(err)
		}
		if got.Free != nil {
			free++
			for _, k := range c {
				if v := got.Free.At(k.R).Dot(k.N); v < -1e-7 || k.Bilateral && v > 1e-7 {
					t.Fatalf("a motion that nothing opposes presses a contact by %g", v)
				}
			}
			continue
		}
		found++
		force, moment := load.Force, load.R.Cross(load.Force)
		size := force.Norm()
		for i, k := range c {
			push := -k.K * got.At(k.R).Dot(k.N)
			if !k.Bilateral {
				push = math.Max(0, push)
			}
			if math.Abs(push-got.Force[i]) > 1e-8*math.Max(size, push) {
				t.Fatalf("a contact pushes %g N, pressed as far as it is it pushes %g", got.Force[i], push)
			}
			f := k.N.Scale(got.Force[i])
			force, moment, size = force.Add(f), moment.Add(k.R.Cross(f)), math.Max(size, f.Norm())
		}
		if force.Norm() > 1e-8*size || moment.Norm() > 3e-7*size {
			t.Fatalf("at rest %g N and %g N·mm are left over, forces are of %g N", force.Norm(), moment.Norm(), size)
		}
	}
	if found < 300 || free < 300 {
		t.Errorf("%d came to rest, %d moved freely: the cases are too much alike", found, free)
	}
}
