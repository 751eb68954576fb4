package typodont

import (
	"math"
	"slices"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// spread is how far an average mouth may differ from a real one: of the order of one
// standard deviation of arch widths on real arches. Ours.
const spread = 2.0

// cast turns what was built into the finished cast with its marks.
func (b *builder) cast() *cast.Cast {
	m := b.mesh()
	c := &cast.Cast{Arch: b.spec.Arch, Mesh: m, Labels: b.labels, Teeth: map[tooth.Number]*cast.Tooth{},
		Origin: unit.Average, Spread: spread, Scan: geom.Identity()}
	on := cast.NewSurface(m)
	for _, n := range b.order {
		c.Teeth[n] = b.toothMarks(n, on)
	}
	b.archMarks(&c.Marks, on)
	return c
}

// toothMarks reads one tooth's marks off the surface.
func (b *builder) toothMarks(n tooth.Number, on *cast.Surface) *cast.Tooth {
	st := b.crowns[n]
	s, c := st.slot, st.crown
	own := func(f int) bool { return b.labels[f] == n }
	snap := func(local geom.Vec) geom.Vec {
		q, _ := on.NearestOf(b.outward(b.toOuter(s, c, local)), own)
		return q
	}
	t := &cast.Tooth{Number: n, Confidence: 1}
	for _, v := range st.margin {
		t.Margin = append(t.Margin, b.outward(b.vertices[v]))
	}
	if b.spec.Arch == tooth.Upper {
		slices.Reverse(t.Margin)
	}
	for _, q := range c.tips {
		t.CuspTips = append(t.CuspTips, snap(q))
	}
	t.Marks = cast.Certain(n, len(t.CuspTips))
	mesial := b.outward(geom.V(s.mesial.X, s.mesial.Y, 0))
	facial := b.outward(geom.V(s.facial.X, s.facial.Y, 0))
	t.Frame = cast.CrownFrame(t.Margin, t.CuspTips, mesial, facial)
	far := func(dir geom.Vec) geom.Vec {
		best, at := math.Inf(-1), geom.Vec{}
		for v := st.first; v < st.first+int32(st.count); v++ {
			p := b.outward(b.vertices[v])
			if d := p.Dot(dir); d > best {
				best, at = d, p
			}
		}
		return at
	}
	t.MesialContact, t.DistalContact = far(t.Frame.X), far(t.Frame.X.Neg())
	if n.Kind().Anterior() {
		t.MesialRidge, t.DistalRidge = t.CuspTips[0], t.CuspTips[2]
		t.Cingulum = snap(c.section(c.cingulum, 1.5*math.Pi))
		return t
	}
	mid := c.centre.Y
	ridgeTop := func(side, half float64) geom.Vec {
		best, at := math.Inf(-1), geom.Vec{}
		for x := 0.55 * half; x <= half; x += 0.02 {
			if z := c.surfaceHeight(geom.Vec2{X: side * x, Y: mid}); z > best {
				best, at = z, geom.V(side*x, mid, z)
			}
		}
		return at
	}
	fossa := func(side float64, ridge geom.Vec) geom.Vec {
		best, at := math.Inf(1), geom.Vec{}
		for x := 0.25 * math.Abs(ridge.X); x <= 0.9*math.Abs(ridge.X); x += 0.1 {
			for y := mid - 0.15*c.fl; y <= mid+0.15*c.fl; y += 0.1 {
				if z := c.surfaceHeight(geom.Vec2{X: side * x, Y: y}); z < best {
					best, at = z, geom.V(side*x, y, z)
				}
			}
		}
		return at
	}
	m, d := ridgeTop(1, c.md/2-c.topM), ridgeTop(-1, c.md/2-c.topD)
	t.MesialRidge, t.DistalRidge = snap(m), snap(d)
	t.MesialFossa, t.DistalFossa = snap(fossa(1, m)), snap(fossa(-1, d))
	return t
}

// archMarks draws the landmarks of the arch and lays them on the surface.
func (b *builder) archMarks(l *cast.Landmarks, on *cast.Surface) {
	g := b.gum
	soft := func(f int) bool { return b.labels[f] == 0 }
	curve := func(closed bool, pts []geom.Vec) cast.Curve {
		out := cast.Curve{Closed: closed, Confidence: 1, Origin: unit.Average}
		for _, p := range pts {
			q, _ := on.NearestOf(b.outward(p), soft)
			out.Points = append(out.Points, q)
		}
		return out
	}
	along := func(from, to float64, t func(s float64) float64) (pts []geom.Vec) {
		n := int(math.Max(2, math.Ceil(to-from)))
		for i := 0; i <= n; i++ {
			s := from + (to-from)*float64(i)/float64(n)
			pts = append(pts, g.at(s, t(s)))
		}
		return pts
	}
	padStart := func(right bool) float64 { // the arch's side of the pad
		mid, long, _ := b.padAt(right)
		return mid + long
	}
	first, last := padStart(true), b.arch.length-padStart(false)

	l.Plane.Confidence = 1
	var middle []geom.Vec
	for s := first; s <= last; s++ {
		q := b.gum.flat(s, g.pick(s, func(o *outline) float64 { return o.tC }))
		p := b.outward(geom.V(q.X, q.Y, 0))
		if top, _, ok := on.Top(p.X, p.Y); ok {
			middle = append(middle, top)
		}
	}
	l.Arch = cast.Curve{Points: middle, Confidence: 1, Origin: unit.Average}

	for _, run := range b.spec.stretches() {
		from, to := math.Inf(1), math.Inf(-1)
		for _, n := range run {
			s := b.slots[n.Index()]
			from, to = math.Min(from, s.from), math.Max(to, s.to)
		}
		from, to = math.Max(from, first), math.Min(to, last)
		teeth := slices.Clone(run)
		slices.SortFunc(teeth, func(a, c tooth.Number) int { return a.Index() - c.Index() })
		if to-from < 2 {
			continue
		}
		l.Ridges = append(l.Ridges, cast.Ridge{Teeth: teeth, Crest: curve(false, along(from+0.4, to-0.4, func(s float64) float64 {
			return g.pick(s, func(o *outline) float64 { return o.tC })
		}))})
	}
	l.Vestibule = curve(false, along(first, last, func(s float64) float64 {
		return g.pick(s, func(o *outline) float64 { return o.tFold })
	}))
	pad := func(right bool) cast.Curve {
		mid, long, wide := b.padAt(right)
		var pts []geom.Vec
		for i := range 36 {
			a := 2 * math.Pi * float64(i) / 36
			s := mid + long*math.Cos(a)
			if !right {
				s = b.arch.length - s
			}
			// Pear-shaped: narrower to the front in the lower arch.
			w := wide * math.Sin(a)
			if b.spec.Arch == tooth.Lower {
				w *= 1 - 0.18*math.Cos(a)
			}
			n := b.padMiddle(right) + w
			pts = append(pts, g.at(s, n))
		}
		if !right == (b.spec.Arch == tooth.Lower) {
			slices.Reverse(pts)
		}
		return curve(true, pts)
	}
	l.PadRight, l.PadLeft = pad(true), pad(false)

	if b.spec.Arch == tooth.Lower {
		l.Floor = curve(false, along(first, last, func(s float64) float64 {
			return g.pick(s, func(o *outline) float64 { return o.tFloor })
		}))
		for _, t := range b.spec.Tori {
			from, to := b.reach(t)
			var pts []geom.Vec
			for i := range 36 {
				a := 2 * math.Pi * float64(i) / 36
				s := (from+to)/2 + ((to-from)/2+2.6)*math.Cos(a)
				mid, half := b.torusAcross(s)
				pts = append(pts, g.at(s, mid+1.4*half*math.Sin(a)))
			}
			l.Tori = append(l.Tori, cast.Torus{Outline: curve(true, pts)})
		}
		return
	}
	plan := func(closed bool, pts []geom.Vec2) cast.Curve {
		out := cast.Curve{Closed: closed, Confidence: 1, Origin: unit.Average}
		for _, q := range pts {
			p := b.outward(geom.V(q.X, q.Y, 0))
			if top, _, ok := on.TopOf(p.X, p.Y, soft); ok {
				out.Points = append(out.Points, top)
			}
		}
		return out
	}
	round := func(c geom.Vec2, wide, long float64) (pts []geom.Vec2) {
		for i := range 36 {
			a := 2 * math.Pi * float64(i) / 36
			// Counter-clockwise seen from above in the cast frame.
			pts = append(pts, geom.Vec2{X: c.X - wide*math.Cos(a), Y: c.Y + long*math.Sin(a)})
		}
		return pts
	}
	top := b.papillaAt()
	l.Papilla = plan(true, round(top, papillaWide, papillaLong))
	mid := (rugaeFrom + rugaeTo) / 2
	l.Rugae = plan(true, round(geom.Vec2{Y: top.Y - mid}, rugaeWide*0.85, (rugaeTo-rugaeFrom)/2))
	// The vibrating line runs from notch to notch, a little forward in the middle.
	notch, _ := b.notchAt()
	back := notch.Y
	var vib, line []geom.Vec2
	for i := 0; i <= 40; i++ {
		u := 1 - float64(i)/20 // +1 right to -1 left
		vib = append(vib, geom.Vec2{X: u * notch.X, Y: back + 1.8*(1-u*u)})
	}
	l.Vibrating = plan(false, vib)
	for y := top.Y - papillaLong; y >= back+1.8; y-- {
		line = append(line, geom.Vec2{Y: y})
	}
	l.Midline = plan(false, line)
	for _, t := range b.spec.Tori {
		from, to := b.palatalReach(t)
		l.Tori = append(l.Tori, cast.Torus{Palatal: true,
			Outline: plan(true, round(geom.Vec2{Y: (from + to) / 2}, 7, (from-to)/2+4.5))})
	}
}

// notchAt is the right hamular notch: the lowest place of the crest line behind the
// tuberosity.
func (b *builder) notchAt() (geom.Vec2, float64) {
	mid, long, _ := b.padAt(true)
	best, at := math.Inf(1), 0.0
	for s := 0.5; s < mid-0.3*long; s += 0.25 {
		z := b.gum.at(s, b.gum.pick(s, func(o *outline) float64 { return o.tC })).Z
		if z < best-1e-3 {
			best, at = z, s
		}
	}
	at = math.Max(at, math.Max(1.5, mid-1.45*long))
	return b.gum.flat(at, b.gum.pick(at, func(o *outline) float64 { return o.tC })), at
}
