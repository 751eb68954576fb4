package typodont

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// pull is how far a margin stands from where the gum's outlines alone would put it.
type pull struct {
	n    tooth.Number
	flat []geom.Vec2 // the margin in the layout, closed
	by   []geom.Vec
	box  geom.Box
}

const (
	pullReach = 5.0 // beyond which a margin no longer moves the gum
	pullHold  = 0.4 // weight of staying [1/mm^2]
)

// meshGum fills the layout between the facial edge, the heels and the lingual edge, around
// the margins, and lifts it onto the cast. It gives the lingual edge from right to left
// and the rim of the cast from the right facial end round to the left lingual end.
func (b *builder) meshGum() (ring, rim []int32, err error) {
	g, l := b.gum, b.arch.length
	var plane []geom.Vec2
	var name []int32
	var loops [][]int32
	put := func(q geom.Vec2, v int32) int32 {
		plane, name = append(plane, q), append(name, v)
		return int32(len(plane) - 1)
	}
	tMin := func(s float64) float64 { return g.pick(s, func(o *outline) float64 { return o.t[0] }) }
	tMax := func(s float64) float64 { return g.pick(s, func(o *outline) float64 { return o.t[len(o.t)-1] }) }

	var pulls []pull
	for _, n := range b.order {
		c := b.crowns[n]
		p := pull{n: n, box: geom.EmptyBox()}
		loop := make([]int32, len(c.margin))
		for i, v := range c.margin {
			q := b.vertices[v].XY()
			s, t := b.arch.locate(q)
			p.flat = append(p.flat, q)
			p.by = append(p.by, b.vertices[v].Sub(g.at(s, t)))
			p.box = p.box.Add(geom.V(q.X, q.Y, 0))
			loop[len(loop)-1-i] = put(q, v)
		}
		loops = append(loops, loop)
		pulls = append(pulls, p)
	}

	place := func(s, t float64) (int32, geom.Vec2) {
		q := g.flat(s, t)
		v := b.addVertex(g.at(s, t).Add(pullAt(pulls, q)))
		b.soft = append(b.soft, softPoint{v: v, s: s, t: t})
		return v, q
	}
	edgeRow := func(of func(float64) float64, gap float64) (ss []float64) {
		var line []geom.Vec
		const k = 600
		for i := 0; i <= k; i++ {
			s := l * float64(i) / k
			line = append(line, g.at(s, of(s)))
		}
		w := geom.NewWalk(line)
		m := int(math.Ceil(w.Length() / gap))
		j := 0
		acc := 0.0
		for i := 0; i <= m; i++ {
			want := w.Length() * float64(i) / float64(m)
			for j < k-1 && acc+line[j].Dist(line[j+1]) < want {
				acc += line[j].Dist(line[j+1])
				j++
			}
			ss = append(ss, math.Min(l, l*(float64(j)+(want-acc)/line[j].Dist(line[j+1]))/k))
		}
		return ss
	}
	heelRow := func(s float64) (ts []float64) { // strictly between the ends, lingual to facial
		const k = 200
		lo, hi := tMin(s), tMax(s)
		run := 0.0
		for i := 1; i < k; i++ {
			t0, t1 := lo+(hi-lo)*float64(i-1)/k, lo+(hi-lo)*float64(i)/k
			run += g.at(s, t0).Dist(g.at(s, t1))
			if run >= b.edge && hi-t1 > 0.5*b.edge && t1-lo > 0.3*b.edge {
				ts, run = append(ts, t1), 0
			}
		}
		return ts
	}
	var border []int32
	for _, s := range edgeRow(tMax, 1.5*b.edge) {
		v, q := place(s, tMax(s))
		border, rim = append(border, put(q, v)), append(rim, v)
	}
	left := heelRow(l)
	for i := len(left) - 1; i >= 0; i-- {
		v, q := place(l, left[i])
		border, rim = append(border, put(q, v)), append(rim, v)
	}
	rows := edgeRow(tMin, 1.2*b.edge)
	ring = make([]int32, len(rows))
	for i := len(rows) - 1; i >= 0; i-- {
		v, q := place(rows[i], tMin(rows[i]))
		border = append(border, put(q, v))
		ring[i] = v
	}
	rim = append(rim, ring[len(ring)-1])
	b.heel = append(b.heel, ring[0])
	for _, t := range heelRow(0) {
		v, q := place(0, t)
		border = append(border, put(q, v))
		b.heel = append(b.heel, v)
	}
	loops = append(loops, border)

	// A row just inside the facial edge, as on the wall.
	for _, s := range edgeRow(tMax, 1.5*b.edge) {
		if s > 0.5 && s < l-0.5 {
			v, q := place(s, tMax(s)-0.4)
			put(q, v)
		}
	}
	// A row of gum along each margin, so that the furrow between gum and crown is even.
	step := b.edge
	var near []geom.Vec2
	for _, p := range pulls {
		m := len(p.flat)
		for i, q := range p.flat {
			along := p.flat[(i+1)%m].Sub(p.flat[(i+m-1)%m]).Unit()
			q = q.Sub(along.Left().Scale(0.55 * step))
			s, t := b.arch.locate(q)
			if !clearOf(pulls, q, 0.4*step) || nearAny(near, q, 0.5*step) ||
				t < tMin(s)+0.6*step || s < 0.6*step || s > l-0.6*step {
				continue
			}
			v, flat := place(s, t)
			put(flat, v)
			near = append(near, flat)
		}
	}
	// Rows along the bottom of the fold and of the lingual sulcus, which depths are read
	// from.
	lines := []func(*outline) float64{func(o *outline) float64 { return o.tFold }}
	if b.spec.Arch == tooth.Lower {
		lines = append(lines, func(o *outline) float64 { return o.tFloor })
	}
	for _, of := range lines {
		for _, off := range []float64{0, -0.75 * step, 0.75 * step} {
			line := func(s float64) float64 { return g.pick(s, of) + off }
			for _, s := range edgeRow(line, 0.75*step) {
				if q := g.flat(s, line(s)); s > 0.6*step && s < l-0.6*step && clearOf(pulls, q, 0.5*step) && !nearAny(near, q, 0.5*step) {
					v, _ := place(s, line(s))
					put(q, v)
					near = append(near, q)
				}
			}
		}
	}
	row := 0
	for t := -30.0; t < 40; t += 0.85 * step {
		row++
		s := 0.45 * step
		if row%2 == 1 {
			s += 0.5 * step
		}
		col := 0
		for ; s < l-0.4*step; s += step / math.Max(0.22, 1+b.arch.bend(s)*t) {
			col++
			if t < tMin(s)+0.45*step || t > tMax(s)-0.4-0.6*step {
				continue
			}
			if t > g.pick(s, func(o *outline) float64 { return o.tFold })+5 && (row%2 == 1 || col%2 == 1) {
				continue
			}
			q := g.flat(s, t)
			if !clearOf(pulls, q, 0.5*step) || nearAny(near, q, 0.6*step) {
				continue
			}
			v, q := place(s, t)
			put(q, v)
		}
	}
	tris, err := triangulate(plane, loops)
	if err != nil {
		return nil, nil, err
	}
	b.addFaces(tris, name, false)
	return ring, rim, nil
}

// clearOf tells whether q lies outside every margin, at least d away.
func clearOf(pulls []pull, q geom.Vec2, d float64) bool {
	for _, p := range pulls {
		if q.X < p.box.Min.X-d || q.X > p.box.Max.X+d || q.Y < p.box.Min.Y-d || q.Y > p.box.Max.Y+d {
			continue
		}
		if geom.Contains2(p.flat, q) || nearAny(p.flat, q, d) {
			return false
		}
	}
	return true
}

// pullAt blends what the margins near q ask for.
func pullAt(pulls []pull, q geom.Vec2) geom.Vec {
	var sum geom.Vec
	total := pullHold
	for _, p := range pulls {
		if q.X < p.box.Min.X-pullReach || q.X > p.box.Max.X+pullReach || q.Y < p.box.Min.Y-pullReach || q.Y > p.box.Max.Y+pullReach {
			continue
		}
		d, by := math.Inf(1), geom.Vec{}
		for i, a := range p.flat {
			j := (i + 1) % len(p.flat)
			ab := p.flat[j].Sub(a)
			t := 0.0
			if k := ab.Dot(ab); k > 0 {
				t = math.Max(0, math.Min(1, q.Sub(a).Dot(ab)/k))
			}
			if e := q.Dist(a.Lerp(p.flat[j], t)); e < d {
				d, by = e, p.by[i].Lerp(p.by[j], t)
			}
		}
		if d >= pullReach {
			continue
		}
		f := 1 - d/pullReach
		w := f * f / (d*d + 1e-6)
		sum, total = sum.Add(by.Scale(w)), total+w
	}
	return sum.Scale(1 / total)
}
