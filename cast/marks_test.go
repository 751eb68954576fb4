package cast_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/typodont"
)

// irregular is a cast made from a chart, its teeth a little out of line, with the seed's
// chance.
func irregular(t testing.TB, a tooth.Arch, seed uint64) *cast.Cast {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 1))
	s := typodont.Full(a)
	for _, n := range tooth.All(a) {
		if _, ok := s.Teeth[n]; ok {
			s.Teeth[n] = typodont.Tooth{MesialTiltDeg: 4 * r.NormFloat64(), FacialTiltDeg: 4 * r.NormFloat64(), RotationDeg: 6 * r.NormFloat64()}
		}
	}
	c, err := typodont.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The marks that are read off the surface of a made cast lie where they were made.
func TestMarksOnMadeTeeth(t *testing.T) {
	type sum struct {
		kind tooth.Kind
		mark string
	}
	off := map[sum][]float64{}
	for _, a := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		for seed := range uint64(3) {
			made := irregular(t, a, seed)
			p := patient{"", a, made.Mesh, made.Labels}
			got, _, err := cast.Mount(made.Mesh, a, p.points(newRand(seed)))
			if err != nil {
				t.Fatal(err)
			}
			back := got.Scan.Inverse()
			for _, n := range tooth.All(a) {
				w, g := made.Teeth[n], got.Teeth[n]
				if w == nil {
					continue
				}
				if g == nil {
					t.Errorf("%v was not found", n)
					continue
				}
				add := func(mark string, d float64) {
					k := sum{n.Kind(), mark}
					if n.Arch() == tooth.Lower {
						k.mark = "lower " + mark
					}
					off[k] = append(off[k], d)
				}
				d := func(x, y geom.Vec) float64 { return x.Dist(back.Apply(y)) }
				for _, x := range w.CuspTips {
					best := math.Inf(1)
					for _, y := range g.CuspTips {
						best = math.Min(best, d(x, y))
					}
					add("tip", best)
				}
				add("axis", geom.InDeg(w.Frame.Z.AngleTo(back.ApplyDir(g.Frame.Z))))
				// Where along its flank the crown reaches farthest is open to a millimetre or
				// two; how far it reaches is not.
				reach := func(x, y geom.Vec) float64 { return math.Abs(back.Apply(y).Sub(x).Dot(w.Frame.X)) }
				add("contact", reach(w.MesialContact, g.MesialContact))
				add("contact", reach(w.DistalContact, g.DistalContact))
				if n.Kind().Anterior() {
					add("cingulum", d(w.Cingulum, g.Cingulum))
					continue
				}
				add("ridge", d(w.MesialRidge, g.MesialRidge))
				add("ridge", d(w.DistalRidge, g.DistalRidge))
				add("fossa", d(w.MesialFossa, g.MesialFossa))
				add("fossa", d(w.DistalFossa, g.DistalFossa))
			}
		}
	}
	// Half of each kind's marks lie within a millimetre, a cingulum within two; the low lingual
	// cusp of lower first premolars is a shoulder and no peak, and what hangs on it is free
	// by as much.
	within := map[string]float64{"tip": 0.7, "axis": 5, "contact": 0.3, "cingulum": 2, "ridge": 0.6, "fossa": 0.8}
	for k, v := range off {
		mark := k.mark
		lim, ok := within[mark]
		if !ok {
			lim = within[mark[len("lower "):]]
		}
		slices.Sort(v)
		t.Logf("kind %v %s: half within %.2f, nine tenths within %.2f, all within %.2f", k.kind, mark, v[len(v)/2], v[len(v)*9/10], v[len(v)-1])
		if k.kind == tooth.FirstPremolar && mark != "tip" && k.mark[0] == 'l' {
			lim = 2.5
			if mark == "lower axis" {
				lim = 12
			}
		}
		if m := v[len(v)/2]; m > lim {
			t.Errorf("kind %v %s: half lie within %.2f of where they were made, expected %.2f", k.kind, mark, m, lim)
		}
	}
}

// Points that are set carelessly, on holed and cut scans, give a cast or a reason, and marks
// that are finite.
func TestMarksOfCarelessPoints(t *testing.T) {
	base := scanned(t, "plaster-cast/lower_cast.ply", tooth.Lower)
	for seed := range uint64(10) {
		r := newRand(seed)
		p := base.holed(r, 30)
		if seed%2 == 1 {
			p = p.parted(-20 + 40*r.Float64())
		}
		on := cast.NewSurface(p.mesh)
		points := map[tooth.Number]geom.Vec{}
		for n, q := range p.points(r) {
			points[n], _ = on.Nearest(q.Add(geom.V(3*r.NormFloat64(), 3*r.NormFloat64(), 3*r.NormFloat64())))
		}
		c, _, err := cast.Mount(p.mesh, p.arch, points)
		if err != nil {
			t.Log(err)
			continue
		}
		for _, n := range c.Standing() {
			for _, m := range c.Teeth[n].Named() {
				if !m.At.IsFinite() || m.Sure < 0 || m.Sure > 1 || math.IsNaN(m.Sure) {
					t.Errorf("seed %d: %v %s at %v, sure %v", seed, n, m.Name, m.At, m.Sure)
				}
			}
			if k := c.Teeth[n]; !(k.Marks.Axis >= 0 && k.Marks.Axis <= 1) || !(k.Marks.Facing >= 0 && k.Marks.Facing <= 1) {
				t.Errorf("seed %d: %v axis sure %v, facing %v", seed, n, k.Marks.Axis, k.Marks.Facing)
			}
		}
	}
}
