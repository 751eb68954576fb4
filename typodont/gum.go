package typodont

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// station holds what the gum's profile is built from at one place along the arch.
// n is measured facially from the arch line, z occlusally.
type station struct {
	nF, zF, nL, zL float64 // facial and lingual margin, or the shoulders of a ridge
	nC, zC         float64 // crest between them
	zV             float64 // bottom of the vestibule
	zS             float64 // lower: functional floor; upper: where the palate takes over
	bare           float64 // 1 on an edentulous ridge, 0 among teeth
	undercut       float64 // facial tissue undercut
	undercutFrom   float64 // how far below the facial margin it begins
	outer          float64 // how far out the base is trimmed
	dF, dL         float64 // nF and nL far from the margin, evened out along the arch
	land           float64 // height of the base's land
}

func (a station) blend(b station, w float64) station {
	m := func(x, y float64) float64 { return x + w*(y-x) }
	return station{m(a.nF, b.nF), m(a.zF, b.zF), m(a.nL, b.nL), m(a.zL, b.zL), m(a.nC, b.nC), m(a.zC, b.zC),
		m(a.zV, b.zV), m(a.zS, b.zS), m(a.bare, b.bare), m(a.undercut, b.undercut), m(a.undercutFrom, b.undercutFrom),
		m(a.outer, b.outer), m(a.dF, b.dF), m(a.dL, b.dL), m(a.land, b.land)}
}

// scaled and plus let stations be averaged.
func (a station) plus(b station, w float64) station {
	return station{a.nF + w*b.nF, a.zF + w*b.zF, a.nL + w*b.nL, a.zL + w*b.zL, a.nC + w*b.nC, a.zC + w*b.zC,
		a.zV + w*b.zV, a.zS + w*b.zS, a.bare + w*b.bare, a.undercut + w*b.undercut, a.undercutFrom + w*b.undercutFrom,
		a.outer + w*b.outer, a.dF + w*b.dF, a.dL + w*b.dL, a.land + w*b.land}
}

// outline is one cross-section of the gum, from its lingual to its facial end. t is the
// coordinate that the surface is laid out flat in: the distance from the arch line near
// the crest, the length of the outline further down.
type outline struct {
	t, n, z    []float64
	tFold      float64 // bottom of the vestibule
	tFloor     float64 // lower: functional floor
	tF, tL, tC float64 // margins or shoulders, crest
}

func (o *outline) at(t float64) (n, z float64) {
	k := len(o.t)
	lo, hi := 0, k-1
	if t <= o.t[0] {
		return o.n[0], o.z[0]
	}
	if t >= o.t[hi] {
		return o.n[hi] + t - o.t[hi], o.z[hi]
	}
	for hi-lo > 1 {
		m := (lo + hi) / 2
		if o.t[m] <= t {
			lo = m
		} else {
			hi = m
		}
	}
	w := (t - o.t[lo]) / (o.t[hi] - o.t[lo])
	return o.n[lo] + w*(o.n[hi]-o.n[lo]), o.z[lo] + w*(o.z[hi]-o.z[lo])
}

type nz struct{ n, z float64 }

// section draws the outline at a station.
func (s station) section(a tooth.Arch) *outline {
	land := s.land
	// Toward the fold and the floor the outline forgets the single teeth.
	far := func(k float64) float64 { return s.nF + k*(s.dF-s.nF) }
	farL := func(k float64) float64 { return s.nL + k*(s.dL-s.nL) }
	down := s.zF - s.zV
	b := s.bare
	// Facial half, from the crest outward.
	f := []nz{{s.nC, s.zC}}
	s.nF, s.nL = math.Max(s.nF, s.nC+0.3), math.Min(s.nL, s.nC-0.3)
	f = append(f, nz{s.nC + 0.55*(s.nF-s.nC), s.zC + (0.22+0.1*(1-b))*(s.zF-s.zC)}, nz{s.nF, s.zF})
	mF := len(f) - 1
	f = append(f, nz{s.nF + 0.45 + 0.15*b, s.zF - 0.085*down}, nz{far(0.25) + 0.85, s.zF - 0.24*down})
	// A shallow vestibule has no room for a deep recess.
	recess := s.undercut * ramp((down-2.5)/3)
	h := math.Min(s.undercutFrom, 0.65*down)
	f = append(f, nz{far(0.5) + 1.1, s.zF - h}, nz{far(0.75) + 1.25 - recess, s.zF - h - 0.45*(down-h)},
		nz{far(0.9) + 1.55 - 0.6*recess, s.zF - 0.92*down})
	f = append(f, nz{s.dF + 2.7, s.zV})
	mV := len(f) - 1
	top := math.Max(s.zV+0.4, math.Min(land, s.zV+2.5))
	f = append(f, nz{s.dF + 4.4, s.zV + 0.55*(top-s.zV)}, nz{s.dF + 6.0, top}, nz{s.dF + 7.5, land})
	// Lingual half, from the crest inward.
	l := []nz{{s.nC, s.zC}}
	l = append(l, nz{s.nC - 0.55*(s.nC-s.nL), s.zC + (0.22+0.1*(1-b))*(s.zL-s.zC)}, nz{s.nL, s.zL})
	mL := len(l) - 1
	deep := s.zL - s.zS
	mS := 0
	if a == tooth.Lower {
		l = append(l, nz{s.nL - 0.45 - 0.15*b, s.zL - 0.09*deep}, nz{farL(0.25) - 0.85, s.zL - 0.25*deep},
			nz{farL(0.6) - 1.2, s.zL - 0.55*deep}, nz{farL(0.9) - 1.75, s.zL - 0.86*deep}, nz{s.dL - 2.9, s.zS})
		mS = len(l) - 1
		l = append(l, nz{s.dL - 4.2, s.zS + 0.35}, nz{s.dL - 5.6, s.zS + 0.8})
	} else {
		l = append(l, nz{s.nL - 0.5, s.zL - 0.13*deep}, nz{farL(0.5) - 1.4, s.zL - 0.42*deep}, nz{s.dL - 3.4, s.zS})
	}
	o := &outline{}
	fp, fk := smoothLine(f)
	lp, lk := smoothLine(l)
	ft, lt := flatten(fp, fk[mF], 1), flatten(lp, lk[mL], -1)
	for i := len(lp) - 1; i > 0; i-- {
		o.t, o.n, o.z = append(o.t, lt[i]), append(o.n, lp[i].n), append(o.z, lp[i].z)
	}
	for i := range fp {
		o.t, o.n, o.z = append(o.t, ft[i]), append(o.n, fp[i].n), append(o.z, fp[i].z)
	}
	o.tC, o.tF, o.tL, o.tFold = s.nC, ft[fk[mF]], lt[lk[mL]], ft[fk[mV]]
	o.tFloor = lt[lk[mS]]
	return o
}

// flatten gives each point its flat coordinate: n out to the margin, the length of the
// line beyond.
func flatten(p []nz, margin int, sign float64) []float64 {
	t := make([]float64, len(p))
	for i := range p {
		if i <= margin {
			t[i] = p[i].n
			if i > 0 && (t[i]-t[i-1])*sign < 1e-4 {
				t[i] = t[i-1] + sign*1e-4
			}
			continue
		}
		d := math.Hypot(p[i].n-p[i-1].n, p[i].z-p[i-1].z)
		if sign < 0 {
			d *= 0.6
		}
		t[i] = t[i-1] + sign*math.Max(d, 1e-4)
	}
	return t
}

// smoothLine draws a curve through the points; knots are their places in it.
func smoothLine(p []nz) (line []nz, knots []int) {
	const per = 8
	k := len(p)
	knots = make([]int, k)
	get := func(i int) nz {
		if i < 0 {
			return nz{2*p[0].n - p[1].n, p[1].z} // mirrored: level over the crest
		}
		if i >= k {
			return nz{2*p[k-1].n - p[k-2].n, 2*p[k-1].z - p[k-2].z}
		}
		return p[i]
	}
	d := func(a, b nz) float64 { return math.Sqrt(math.Hypot(a.n-b.n, a.z-b.z) + 1e-9) }
	mix := func(a, b nz, w float64) nz { return nz{a.n + w*(b.n-a.n), a.z + w*(b.z-a.z)} }
	for i := 0; i+1 < k; i++ {
		knots[i] = len(line)
		p0, p1, p2, p3 := get(i-1), get(i), get(i+1), get(i+2)
		t1 := d(p0, p1)
		t2 := t1 + d(p1, p2)
		t3 := t2 + d(p2, p3)
		for j := 0; j < per; j++ {
			t := t1 + (t2-t1)*float64(j)/per
			a1, a2, a3 := mix(p0, p1, t/t1), mix(p1, p2, (t-t1)/(t2-t1)), mix(p2, p3, (t-t2)/(t3-t2))
			b1, b2 := mix(a1, a2, t/t2), mix(a2, a3, (t-t1)/(t3-t1))
			line = append(line, mix(b1, b2, (t-t1)/(t2-t1)))
		}
	}
	knots[k-1] = len(line)
	return append(line, p[k-1]), knots
}

// gum is the soft tissue as a map from the flat layout to the cast.
type gum struct {
	arch     *archLine
	stations []station
	sections []*outline
}

// outlineAt blends the two outlines beside s at flat coordinate t.
func (g *gum) at(s, t float64) geom.Vec {
	f := math.Max(0, math.Min(float64(len(g.sections)-1), s/g.arch.step))
	i := min(int(f), len(g.sections)-2)
	w := f - float64(i)
	n0, z0 := g.sections[i].at(t)
	n1, z1 := g.sections[i+1].at(t)
	c, nn := g.arch.frame(s)
	q := c.Add(nn.Scale(n0 + w*(n1-n0)))
	return geom.V(q.X, q.Y, z0+w*(z1-z0))
}

// pick reads one number of the outlines beside s.
func (g *gum) pick(s float64, of func(*outline) float64) float64 {
	f := math.Max(0, math.Min(float64(len(g.sections)-1), s/g.arch.step))
	i := min(int(f), len(g.sections)-2)
	a, b := of(g.sections[i]), of(g.sections[i+1])
	return a + (f-float64(i))*(b-a)
}

// flat is a place of the layout as a point of the plane.
func (g *gum) flat(s, t float64) geom.Vec2 {
	c, n := g.arch.frame(s)
	return c.Add(n.Scale(t))
}
