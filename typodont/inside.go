package typodont

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// meshInside spans the palate, or the floor of the mouth and the tongue's place, between
// the lingual edge of the gum and a straight line from heel to heel. It gives the part of
// the cast's rim that lies behind: the line, then the right heel.
func (b *builder) meshInside(ring []int32) (rear []int32, err error) {
	var plane []geom.Vec2
	var name []int32
	var loop []int32
	for i, v := range ring {
		plane, name, loop = append(plane, b.vertices[v].XY()), append(name, v), append(loop, int32(i))
	}
	step := 1.1 * b.edge
	if b.spec.Arch == tooth.Lower {
		step = 1.5 * b.edge
	}
	ringLine := make([]geom.Vec, len(ring))
	for i, v := range ring {
		ringLine[i] = b.vertices[v]
	}
	add := func(q geom.Vec2) int32 {
		v := b.addVertex(geom.V(q.X, q.Y, b.insideHeight(q, ringLine)))
		plane, name = append(plane, q), append(name, v)
		b.soft = append(b.soft, softPoint{v: v, inner: true})
		return v
	}
	from, to := plane[len(plane)-1], plane[0]
	m := int(math.Ceil(from.Dist(to) / (1.3 * step)))
	for i := 1; i < m; i++ {
		loop = append(loop, int32(len(plane)))
		rear = append(rear, add(from.Lerp(to, float64(i)/float64(m))))
	}
	border := make([]geom.Vec2, 0, len(loop))
	box := geom.EmptyBox()
	for _, i := range loop {
		border = append(border, plane[i])
		box = box.Add(geom.V(plane[i].X, plane[i].Y, 0))
	}
	row := 0
	for y := box.Min.Y + 0.7*step; y < box.Max.Y-0.3*step; y += 0.866 * step {
		row++
		x := -math.Ceil(-box.Min.X/step) * step
		if row%2 == 1 {
			x += step / 2
		}
		for ; x < box.Max.X; x += step {
			q := geom.Vec2{X: x, Y: y}
			if geom.Contains2(border, q) && !nearAny(border, q, 0.6*step) {
				add(q)
			}
		}
	}
	tris, err := triangulate(plane, [][]int32{loop})
	if err != nil {
		return nil, err
	}
	b.addFaces(tris, name, false)

	rounds := 60
	if b.spec.Arch == tooth.Upper {
		rounds = 25
	}
	b.relax(tris, name, len(ring), rounds)
	if b.spec.Arch == tooth.Upper {
		b.setVault(name[len(ring):], ringLine)
	}
	return append(rear, b.heel...), nil
}

// relax evens the heights inside; the first fixed vertices stay.
func (b *builder) relax(tris [][3]int32, name []int32, fixed, rounds int) {
	near := make([][]int32, len(name))
	for _, f := range tris {
		for i := range f {
			near[f[i]] = append(near[f[i]], f[(i+1)%3], f[(i+2)%3])
		}
	}
	z := make([]float64, len(name))
	for i, v := range name {
		z[i] = b.vertices[v].Z
	}
	next := append([]float64(nil), z...)
	for range rounds {
		for i := fixed; i < len(z); i++ {
			sum := 0.0
			for _, j := range near[i] {
				sum += z[j]
			}
			next[i] = 0.3*z[i] + 0.7*sum/float64(len(near[i]))
		}
		z, next = next, z
	}
	for i := fixed; i < len(z); i++ {
		b.vertices[name[i]].Z = z[i]
	}
}

// evenSeam takes the crease out of the place where gum and palate or floor meet. The rim
// of the cast stays.
func (b *builder) evenSeam(rim ...[]int32) {
	move := make([]bool, len(b.vertices))
	for _, p := range b.soft {
		from := b.gum.pick(p.s, func(o *outline) float64 { return o.t[0] })
		if b.spec.Arch == tooth.Lower {
			from = b.gum.pick(p.s, func(o *outline) float64 { return o.tFloor }) - 1.8
		}
		move[p.v] = p.inner || p.t < from+1.3
	}
	for _, r := range rim {
		for _, v := range r {
			move[v] = false
		}
	}
	sum, count := make([]geom.Vec, len(b.vertices)), make([]float64, len(b.vertices))
	for range 10 {
		clear(sum)
		clear(count)
		for _, f := range b.faces {
			for i, a := range f {
				if !move[a] {
					continue
				}
				for _, c := range []int32{f[(i+1)%3], f[(i+2)%3]} {
					sum[a], count[a] = sum[a].Add(b.vertices[c]), count[a]+1
				}
			}
		}
		for i, m := range move {
			if m {
				b.vertices[i] = b.vertices[i].Lerp(sum[i].Scale(1/count[i]), 0.6)
			}
		}
	}
}

// insideHeight is the first guess of the height at q.
func (b *builder) insideHeight(q geom.Vec2, ring []geom.Vec) float64 {
	sum, total, e := 0.0, 0.0, math.Inf(1)
	for _, p := range ring {
		d := p.XY().Dist(q)
		e = math.Min(e, d)
		w := math.Pow(d*d+1.5, -2)
		sum, total = sum+w*p.Z, total+w
	}
	z := sum / total
	if b.spec.Arch == tooth.Lower {
		return z
	}
	behind := archMiddle - q.Y // behind the labial face of the incisors
	u := e / (e + 0.7*math.Abs(q.X) + 0.8)
	return z - math.Max(0, vault.at(behind)-cuff)*(1-math.Pow(1-u, 1.9))
}

// vault is the palate's depth below the palatal margins, by the distance behind the
// incisors' labial face. The figures at the first premolars and first molars were
// measured on one cast (5.9 and 13.2); the rest is ours.
var vault = newCurve([2]float64{6, 2.2}, [2]float64{11, 3.6}, [2]float64{17, 6.4}, [2]float64{24, 10.5}, [2]float64{31, 13.0},
	[2]float64{38, 13.4}, [2]float64{46, 12.6}, [2]float64{54, 9.5}, [2]float64{62, 6.0})

// setVault scales the depth so that it is right at the first molars.
func (b *builder) setVault(inner []int32, ring []geom.Vec) {
	want := b.spec.VaultDepth
	if want == 0 {
		want = defaultVault
	}
	s := b.slots[tooth.Number(16).Index()]
	y := s.middle.Y
	margin := s.z0 + 0.25
	if c := b.crowns[s.n]; c != nil {
		margin = b.marginPoint(c, 0, -1).Z
	}
	base := make([]float64, len(inner))
	for i, v := range inner {
		p := b.vertices[v]
		sum, total := 0.0, 0.0
		for _, r := range ring {
			d := r.XY().Dist(p.XY())
			w := math.Pow(d*d+1.5, -2)
			sum, total = sum+w*r.Z, total+w
		}
		base[i] = sum / total
	}
	for range 4 {
		deepest := margin
		for _, v := range inner {
			p := b.vertices[v]
			if math.Abs(p.X) < 1 && math.Abs(p.Y-y) < 1 {
				deepest = math.Min(deepest, p.Z)
			}
		}
		if deepest > margin-4 {
			return
		}
		scale := (want - cuff) / (margin - cuff - deepest)
		for i, v := range inner {
			if p := &b.vertices[v]; p.Z < base[i] {
				p.Z = base[i] - (base[i]-p.Z)*scale
			}
		}
	}
}

// details adds what stands on the smooth tissue: rugae, papilla, raphe, tori.
func (b *builder) details() {
	for _, p := range b.soft {
		v := &b.vertices[p.v]
		if b.spec.Arch == tooth.Upper {
			v.Z += b.palateDetail(*v)
			continue
		}
		if p.inner {
			continue
		}
		for _, t := range b.spec.Tori {
			from, to := b.reach(t)
			mid, half := b.torusAcross(p.s)
			x, y := (p.t-mid)/(1.5*half), (p.s-(from+to)/2)/((to-from)/2+3.2)
			w := bell(0.8 * (x*x + y*y))
			_, n := b.arch.frame(p.s)
			v.X -= n.X * w * t.Height
			v.Y -= n.Y * w * t.Height
			v.Z += 0.25 * w * t.Height
		}
		right := p.s < b.arch.length/2
		mid, along, across := b.padAt(right)
		r := p.s
		if !right {
			r = b.arch.length - p.s
		}
		x, y := (r-mid)/along, (p.t-b.padMiddle(right))/across
		v.Z += 1.3 * bell(0.75*(x*x+y*y))
	}
}

func (b *builder) padMiddle(right bool) float64 { return 0.8 * b.slots[0].inset }

// bell is 1 in the middle and 0 from 1 outward.
func bell(q float64) float64 {
	if q >= 1 {
		return 0
	}
	return (1 - q) * (1 - q)
}

// torusAcross is the middle and half width of a lingual torus at s, in the flat layout.
func (b *builder) torusAcross(s float64) (mid, half float64) {
	mid = b.gum.pick(s, func(o *outline) float64 { return 0.5*o.tL + 0.5*o.tFloor })
	return mid, math.Max(0.6, b.gum.pick(s, func(o *outline) float64 { return 0.32 * (o.tL - o.tFloor) }))
}

// reach is the stretch of the arch a torus lies along.
func (b *builder) reach(t Torus) (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, n := range t.Teeth {
		s := b.slots[n.Index()].s
		from, to = math.Min(from, s), math.Max(to, s)
	}
	return from, to
}

// papillaAt is the middle of the incisive papilla.
func (b *builder) papillaAt() geom.Vec2 {
	s := b.slots[tooth.Number(11).Index()]
	return geom.Vec2{Y: s.middle.Y + s.inset - s.form.fl/2 - 2.6}
}

const (
	papillaLong, papillaWide = 2.9, 1.7 // half
	rugaeFrom, rugaeTo       = 5.0, 17.0
	rugaeWide                = 13.0 // half
)

// palateDetail is how far papilla, raphe, rugae and a torus raise the palate at p.
func (b *builder) palateDetail(p geom.Vec) float64 {
	top := b.papillaAt()
	x, d := math.Abs(p.X), top.Y-p.Y // behind the papilla's middle
	z := 1.3 * bell((x/papillaWide)*(x/papillaWide)+(d/papillaLong)*(d/papillaLong))
	// Raphe: a low line that fades backward.
	if d > 2 {
		z += 0.35 * math.Exp(-x*x/0.5) * ramp((d-2)/2) * (1 - 0.7*ramp((d-14)/20))
	}
	// Rugae: a few crests each side, running outward and a little forward, never quite
	// alike on the two sides.
	side := 0.0
	if p.X < 0 {
		side = 0.9
	}
	wave := d + 0.16*x + 0.5*math.Sin(0.55*x+2.1*side) + 0.25*math.Sin(1.3*x+side)
	c := 0.5 + 0.5*math.Cos(2*math.Pi*(wave-rugaeFrom-0.8-0.5*side)/3.3)
	window := ramp((d-rugaeFrom+1.5)/2) * (1 - ramp((d-rugaeTo+2)/3)) * ramp((x-0.7)/1.2) *
		(1 - ramp((x-rugaeWide+4.5+0.12*d)/4))
	z += 0.75 * c * (0.35 + 0.65*c) * window * (1 - 0.25*math.Sin(0.7*d+side*2))
	for _, t := range b.spec.Tori {
		from, to := b.palatalReach(t)
		y := 0.0
		if p.Y > from {
			y = p.Y - from
		} else if p.Y < to {
			y = to - p.Y
		}
		w := math.Exp(-y*y/12) * math.Exp(-math.Pow(x/6.5, 4))
		z += t.Height * w * (1 - 0.25*math.Exp(-x*x/1.2))
	}
	return z
}

// palatalReach is the stretch of the midline, front to back, that a palatal torus lies on.
func (b *builder) palatalReach(t Torus) (front, back float64) {
	front, back = math.Inf(-1), math.Inf(1)
	for _, n := range t.Teeth {
		y := b.slots[n.Index()].middle.Y
		front, back = math.Max(front, y), math.Min(back, y)
	}
	return front, back
}
