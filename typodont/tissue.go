package typodont

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// Average depths by place from the midline. Lower floor: Cameron, Torres, Lefler and
// Parker, J Prosthodont 2002, central incisor and second premolar, the others between or
// beyond them by us. Vestibule: a published study of healthy adults over fifty (mean 10
// lower, 12 upper), shallower behind by us.
var (
	floorDepth     = [8]float64{7.4, 7.9, 8.6, 9.5, 10.3, 10.2, 10.4, 9.5}
	vestibuleDepth = map[tooth.Arch][8]float64{
		tooth.Upper: {11.5, 12, 12.5, 12, 12, 11.5, 10, 8},
		tooth.Lower: {9, 9.5, 10, 10, 10, 9.5, 8.5, 7},
	}
)

const (
	defaultRidgeDrop = 2.5 // ours, within the 1.5 to 5 of fresh and resorbed ridges
	defaultVault     = 13.2
	cuff             = 4.0 // upper: height of the gum before the palate begins
)

// depthAt is a measured depth, or the average scaled as the nearest measured ones are.
func (b *builder) depthAt(i int, given map[tooth.Number]float64, average [8]float64) float64 {
	n := b.slots[i].n
	if v, ok := given[n]; ok {
		return v
	}
	own := average[n.Place()-1]
	ratio := func(step int) (float64, int) {
		for j := i + step; j >= 0 && j < 16; j += step {
			m := b.slots[j].n
			if v, ok := given[m]; ok {
				return v / average[m.Place()-1], max(j-i, i-j)
			}
		}
		return 1, 0
	}
	r0, d0 := ratio(-1)
	r1, d1 := ratio(1)
	switch {
	case d0 == 0 && d1 == 0:
		return own
	case d0 == 0:
		return own * r1
	case d1 == 0:
		return own * r0
	}
	w := float64(d0) / float64(d0+d1)
	return own * (r0 + w*(r1-r0))
}

// layGum works out the stations and the outlines.
func (b *builder) layGum() {
	a := b.spec.Arch
	count := len(b.arch.normal)
	raw := make([]station, count)
	var bySlot [16]station
	var floorPts, foldPts [][2]float64
	b.crest = b.crestLine()
	for i := range b.slots {
		bySlot[i] = b.slotStation(i)
		floorPts = append(floorPts, [2]float64{b.across(i, -1, 3.2), bySlot[i].zS})
		foldPts = append(foldPts, [2]float64{b.across(i, 1, 4), bySlot[i].zV})
	}
	for _, pts := range []*[][2]float64{&floorPts, &foldPts} {
		// Both shallow a little behind the last molar.
		first, last := (*pts)[0], (*pts)[15]
		*pts = append(*pts, [2]float64{0, first[1] + 1}, [2]float64{b.arch.length, last[1] + 1})
	}
	floor, fold := newCurve(floorPts...), newCurve(foldPts...)
	for k := range raw {
		s := float64(k) * b.arch.step
		i := 0
		for i < 15 && s > b.slots[i].to {
			i++
		}
		raw[k] = b.behind(b.besideTooth(bySlot, i, s), s)
	}
	// Neighbouring places run into each other.
	out := even(raw, int(1.6/b.arch.step))
	deep := even(out, int(5/b.arch.step))
	for k := range out {
		s := float64(k) * b.arch.step
		st := &out[k]
		st.zV = fold.at(s)
		st.dF, st.dL = deep[k].nF, deep[k].nL
		st.land = st.zV + 1.8
		if a == tooth.Lower {
			st.zS = floor.at(s)
		} else {
			st.zS = st.zL - cuff
		}
		// Between standing neighbours the gum falls back over the embrasure.
		for i := 0; i < 15; i++ {
			if b.crowns[b.slots[i].n] == nil || b.crowns[b.slots[i+1].n] == nil {
				continue
			}
			x := (s - b.slots[i].to) / 1.2
			w := math.Exp(-x * x)
			lo, hi := b.slots[i].form, b.slots[i+1].form
			rise := (lo.riseM + hi.riseD) / 2
			if !b.slots[i].n.Right() {
				rise = (lo.riseD + hi.riseM) / 2
			}
			st.nF -= (0.35 + 0.25*rise) * w
			st.zF += 0.5 * rise * w
			st.nL += (0.35 + 0.15*rise) * w
			st.zL += 0.4 * rise * w
			st.zC += 0.35 * rise * w
		}
		for _, n := range b.spec.Frena {
			x := s - b.frenumAt(n)
			lift := 0.5 * (st.zF - st.zV) * math.Exp(-x*x/(2*0.8*0.8))
			st.zV += lift
		}
	}
	b.trim(out)
	g := &gum{arch: b.arch, stations: out}
	for k, st := range out {
		o := st.section(a)
		if k < 2 || k > len(out)-3 { // a heel is cut straight: its edge must not turn back under itself
			for i := 1; i < len(o.n); i++ {
				o.n[i] = math.Max(o.n[i], o.n[i-1]+0.01)
			}
		}
		last := len(o.t) - 1
		if extra := st.outer - o.n[last]; extra > 0.1 {
			o.t, o.n, o.z = append(o.t, o.t[last]+extra), append(o.n, st.outer), append(o.z, st.land)
		}
		g.sections = append(g.sections, o)
	}
	b.gum = g
}

// besideTooth lets a ridge rise to the standing tooth it ends at, over a few millimetres.
func (b *builder) besideTooth(bySlot [16]station, i int, s float64) station {
	st := bySlot[i]
	if st.bare == 0 {
		return st
	}
	const over = 6.5 // ours
	for step := -1; step <= 1; step += 2 {
		for j := i + step; j >= 0 && j < 16; j += step {
			if b.crowns[b.slots[j].n] == nil {
				continue
			}
			way := b.slots[j].from - s
			if step < 0 {
				way = s - b.slots[j].to
			}
			to := bySlot[j]
			to.zC = math.Min(to.zF, to.zL) - 0.6
			to.zF, to.zL = to.zC-1, to.zC-1
			to.nF -= 0.3
			to.nL += 0.3
			to.bare = 1
			st = st.blend(to, 0.85*(1-ramp(way/over)))
			break
		}
	}
	return st
}

// across is the station that lies the given way straight facially (+1) or lingually (-1)
// of a place's margin: where its depth is measured.
func (b *builder) across(i int, sign, way float64) float64 {
	s := b.slots[i]
	c := b.crowns[s.n]
	if c == nil || math.Abs(b.spec.Teeth[s.n].RotationDeg) > 10 {
		return s.s
	}
	at := b.marginPoint(c, 0, sign).XY().Add(s.facial.Scale(sign * way))
	k, _ := b.arch.locate(at)
	return math.Max(s.s-2.5, math.Min(s.s+2.5, k))
}

// even averages stations with their neighbours, a bell of the given half width.
func even(raw []station, wide int) []station {
	out := make([]station, len(raw))
	for k := range raw {
		var sum station
		total := 0.0
		for d := -3 * wide; d <= 3*wide; d++ {
			x := float64(d) / float64(wide)
			w := math.Exp(-x * x / 2)
			sum, total = sum.plus(raw[min(max(k+d, 0), len(raw)-1)], w), total+w
		}
		out[k] = station{}.plus(sum, 1/total)
	}
	return out
}

// frenumAt is where along the arch a frenum stands: at the midline for a central incisor,
// else beside the tooth.
func (b *builder) frenumAt(n tooth.Number) float64 {
	if n.Kind() == tooth.CentralIncisor {
		return b.arch.length / 2
	}
	return b.slots[n.Index()].s
}

// slotStation is what one tooth, or its empty place, asks of the gum.
func (b *builder) slotStation(i int) station {
	s := b.slots[i]
	var st station
	marginF, marginL := s.z0, s.z0+0.25
	if c := b.crowns[s.n]; c != nil {
		f, l := b.marginPoint(c, 0, 1), b.marginPoint(c, 0, -1)
		_, nf := b.arch.locate(f.XY())
		_, nl := b.arch.locate(l.XY())
		st = station{nF: nf, zF: f.Z, nL: nl, zL: l.Z, nC: (nf + nl) / 2, zC: math.Max(f.Z, l.Z) + 0.4*(s.form.riseM+s.form.riseD)/2}
		marginF, marginL = f.Z, l.Z
	} else {
		half := 2.4
		switch {
		case s.n.Kind().Molar():
			half = 3.4
		case s.n.Kind().Premolar():
			half = 2.9
		}
		c := 0.8 * s.inset
		st = station{nC: c, zC: b.crest[i], nF: c + half, nL: c - half, bare: 1}
		st.zF, st.zL = st.zC-1.7, st.zC-1.7
	}
	st.zV = math.Min(marginF-b.depthAt(i, b.spec.VestibuleDepth, vestibuleDepth[b.spec.Arch]), st.zF-1.5)
	st.zS = math.Min(marginL-b.depthAt(i, b.spec.FloorDepth, floorDepth), st.zL-1)
	st.undercutFrom = 0.5 * (st.zF - st.zV)
	if u, ok := b.spec.TissueUndercuts[s.n]; ok {
		st.undercut, st.undercutFrom = u.Depth, u.BelowMargin
	}
	return st
}

// crestLine is the height of each empty place's ridge: below the line of the margins, as
// crowns of unlike height leave it once it is evened out.
func (b *builder) crestLine() [16]float64 {
	var z [16]float64
	for i, s := range b.slots {
		drop, ok := b.spec.RidgeDrop[s.n]
		if !ok {
			drop = defaultRidgeDrop
		}
		z[i] = s.z0 - drop
		if c := b.crowns[s.n]; c != nil {
			z[i] = b.marginPoint(c, 0, 1).Z - drop
		}
	}
	for range 3 {
		was := z
		for i := range z {
			z[i] = 0.25*was[max(i-1, 0)] + 0.5*was[i] + 0.25*was[min(i+1, 15)]
		}
	}
	return z
}

// padAt is how far from the arch's end the middle of the pad or tuberosity lies on a
// side, with its half length and half width. Pads: Lopez et al., Int J Odontostomat 2008
// (11.2 x 7.9); tuberosities by us.
func (b *builder) padAt(right bool) (fromEnd, along, across float64) {
	third := tooth.All(b.spec.Arch)[0]
	if !right {
		third = third.Opposite()
	}
	_, stands := b.spec.Teeth[third]
	if b.spec.Arch == tooth.Lower {
		if stands {
			return 6.2, 4.8, 3.8
		}
		return 12.0, 5.6, 3.95
	}
	if stands {
		return 8, 4.5, 4.8
	}
	return 15, 6, 4.9
}

// behind bends a station behind the last molar's place into pad or tuberosity.
func (b *builder) behind(st station, s float64) station {
	right := s < b.arch.length/2
	r := s
	if !right {
		r = b.arch.length - s
	}
	mid, along, across := b.padAt(right)
	start := mid + along + 3
	if r > start {
		return st
	}
	third := b.slots[0]
	if !right {
		third = b.slots[15]
	}
	z := b.crest[third.n.Index()]
	if b.spec.Arch == tooth.Lower {
		z += (-5.2 - z) * ramp((start-r)/(start-mid+5))
	} else {
		z += 1.2*ramp((start-r)/4) - 5.0*ramp((mid-0.2*along-r)/(1.0*along+1.5))
	}
	to := station{nC: 0.8 * third.inset, zC: z, bare: 1}
	to.nF, to.nL = to.nC+across-0.7, to.nC-across+0.7
	to.zF, to.zL = z-2.0, z-2.0
	return st.blend(to, ramp((start-r)/5))
}

// trim sets how far out the base reaches: plane cuts, each as far out as it must be to
// clear the vestibule.
func (b *builder) trim(st []station) {
	angles := []float64{0, 13, 26, 40, 82}
	if b.spec.Arch == tooth.Upper {
		angles = []float64{24, 52, 82}
	}
	type cut struct {
		dir geom.Vec2
		off float64
	}
	var cuts []cut
	for _, a := range angles {
		for _, sx := range []float64{1, -1} {
			if a == 0 && sx < 0 {
				continue
			}
			c := cut{dir: geom.Vec2{X: sx * math.Sin(geom.Deg(a)), Y: math.Cos(geom.Deg(a))}, off: math.Inf(-1)}
			for k := range st {
				p, n := b.arch.frame(float64(k) * b.arch.step)
				c.off = math.Max(c.off, p.Add(n.Scale(st[k].dF+8.6)).Dot(c.dir))
			}
			cuts = append(cuts, c)
		}
	}
	for k := range st {
		p, n := b.arch.frame(float64(k) * b.arch.step)
		out := st[k].dF + 30
		for _, c := range cuts {
			if d := n.Dot(c.dir); d > 0.05 {
				out = math.Min(out, (c.off-p.Dot(c.dir))/d)
			}
		}
		st[k].outer = out
	}
}
