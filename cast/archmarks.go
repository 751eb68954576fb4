package cast

import (
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// line is the arch line of a plan: through the sites and a little beyond the last ones.
type line struct {
	walk geom.Walk
	at   [16]float64 // of each site
	out  float64     // +1 or -1: the side of travel that is facial
}

const beyond = 14.0 // how far the line runs on behind the third molars' places

func (p *plan) line() *line {
	var pts []geom.Vec
	flat := func(v geom.Vec) geom.Vec { return geom.V(v.X, v.Y, 0) }
	first, second := flat(p.spots[0].at), flat(p.spots[1].at)
	end := func(a, b geom.Vec) []geom.Vec { // from a on, away from b, bending straight back
		var out []geom.Vec
		d := a.Sub(b).Unit()
		for s := 2.0; s <= beyond; s += 2 {
			d = d.Add(geom.V(0, -0.15, 0)).Unit()
			a = a.Add(d.Scale(2))
			out = append(out, a)
		}
		return out
	}
	start := end(first, second)
	slices.Reverse(start)
	pts = append(pts, start...)
	for i := range p.spots {
		pts = append(pts, flat(p.spots[i].at))
	}
	pts = append(pts, end(flat(p.spots[15].at), flat(p.spots[14].at))...)
	for range 3 { // take the corners off
		out := slices.Clone(pts)
		for i := 1; i+1 < len(pts); i++ {
			out[i] = pts[i].Scale(0.6).Add(pts[i-1].Add(pts[i+1]).Scale(0.2))
		}
		pts = out
	}
	l := &line{walk: geom.NewWalk(pts), out: 1}
	if p.arch == tooth.Upper {
		l.out = -1
	}
	for i := range p.spots {
		l.at[i], _ = l.walk.Nearest(flat(p.spots[i].at))
	}
	return l
}

// frame is a point of the line and its facial direction.
func (l *line) frame(s float64) (c, n geom.Vec2) {
	t := l.walk.At(s + 1.5).Sub(l.walk.At(s - 1.5)).Unit()
	return l.walk.At(s).XY(), geom.Vec2{X: t.Y, Y: -t.X}.Scale(l.out)
}

// readArch reads the arch's marks off the scan. What is not on it stays absent.
func readArch(c *Cast, on *Surface, p *plan, gone map[tooth.Number]bool) {
	l := p.line()
	soft := func(f int) bool { return c.Labels[f] == 0 }
	k := &c.Marks
	measured := func(pts []geom.Vec, confidence float64) Curve {
		if len(pts) < 2 {
			return Curve{}
		}
		return Curve{Points: pts, Confidence: confidence, Origin: unit.Measured}
	}
	standing := c.Standing()
	if len(standing) == 0 {
		return
	}
	runs := c.runs(gone)
	from, to := l.at[standing[0].Index()], l.at[standing[len(standing)-1].Index()]
	for _, run := range runs {
		from = math.Min(from, l.at[run[0].Index()])
		to = math.Max(to, l.at[run[len(run)-1].Index()])
	}

	var middle []geom.Vec
	asked, held := 0.0, 0.0
	for s := from; s <= to; s++ {
		q, _ := l.frame(s)
		asked++
		if top, f, ok := on.Top(q.X, q.Y); ok {
			middle = append(middle, top)
			if c.Labels[f] != 0 {
				held++
			} else {
				held += 0.7 // between teeth and on ridges it runs on from its neighbours
			}
		}
	}
	k.Arch = measured(middle, 0.95*held/math.Max(1, asked))
	k.Plane = c.plane()

	// Ridges: the highest place across the arch, evened along it.
	for _, run := range runs {
		a, b := l.at[run[0].Index()], l.at[run[len(run)-1].Index()]
		step := func(i, d int) float64 { // half way to the next site
			j := i + d
			if j < 0 || j > 15 {
				return l.at[i] + 4*float64(d)
			}
			return (l.at[i] + l.at[j]) / 2
		}
		a, b = step(run[0].Index(), -1), step(run[len(run)-1].Index(), 1)
		var crest []geom.Vec
		var offs []float64
		var ss []float64
		for s := a + 0.5; s <= b-0.5; s++ {
			q, n := l.frame(s)
			best, at := math.Inf(-1), 0.0
			for d := -5.0; d <= 5; d += 0.25 {
				r := q.Add(n.Scale(d))
				// A ridge may be flat on top: prefer its middle.
				if top, _, ok := on.TopOf(r.X, r.Y, soft); ok && top.Z-0.01*d*d > best {
					best, at = top.Z-0.01*d*d, d
				}
			}
			if !math.IsInf(best, -1) {
				ss, offs = append(ss, s), append(offs, at)
			}
		}
		for i, s := range ss {
			sum, count := 0.0, 0.0
			for j := max(0, i-2); j <= min(len(offs)-1, i+2); j++ {
				sum, count = sum+offs[j], count+1
			}
			q, n := l.frame(s)
			r := q.Add(n.Scale(sum / count))
			if top, _, ok := on.TopOf(r.X, r.Y, soft); ok {
				crest = append(crest, top)
			}
		}
		// A crest is as sure as the ridge falls away from it on both sides, and as much of it
		// as the scan shows.
		fall := 0.0
		for i, s := range ss {
			q, n := l.frame(s)
			mid, _, ok := on.TopOf(q.Add(n.Scale(offs[i])).X, q.Add(n.Scale(offs[i])).Y, soft)
			least := math.Inf(1)
			for _, d := range []float64{-3.5, 3.5} {
				r := q.Add(n.Scale(offs[i] + d))
				if top, _, hit := on.TopOf(r.X, r.Y, soft); ok && hit {
					least = math.Min(least, mid.Z-top.Z)
				}
			}
			if !math.IsInf(least, 1) {
				fall += math.Max(0, least) / float64(len(ss))
			}
		}
		conf := math.Min(1, float64(len(crest))/math.Max(1, b-a-1)) * (0.3 + 0.6*clear(fall, 0.7))
		k.Ridges = append(k.Ridges, Ridge{Teeth: run, Crest: measured(crest, conf)})
	}

	// Fold and floor: down the outside and the inside of the arch.
	if v, sure := readFold(c, on, l, from, to); len(v) > 6 {
		k.Vestibule = measured(v, sure)
	}
	if c.Arch == tooth.Lower {
		if v, sure := readTrough(c, on, l, from, to); len(v) > 6 {
			k.Floor = measured(v, sure)
		}
	}
	k.PadRight, k.PadLeft = readPad(c, on, p, l, true), readPad(c, on, p, l, false)
	if c.Arch == tooth.Upper {
		readPalate(c, on, p)
	}
}

// runs are the stretches of teeth that do not stand, without third molars at an end
// unless they are named as missing and another missing tooth stands before them.
func (c *Cast) runs(gone map[tooth.Number]bool) [][]tooth.Number {
	var out [][]tooth.Number
	var run []tooth.Number
	flush := func() {
		run = tooth.WithoutThirdMolars(run)
		known := len(gone) == 0
		for _, n := range run {
			known = known || gone[n]
		}
		if len(run) > 0 && known {
			out = append(out, run)
		}
		run = nil
	}
	for _, n := range tooth.All(c.Arch) {
		if c.Teeth[n] != nil {
			flush()
		} else {
			run = append(run, n)
		}
	}
	flush()
	return out
}

// readTrough follows the lowest line inside the arch: across each place of the arch, down
// from the margin or the ridge to where the surface stops falling. How sure it is says along how much of the arch it was seen and how steadily it
// runs from one place to the next.
func readTrough(c *Cast, on *Surface, l *line, from, to float64) ([]geom.Vec, float64) {
	soft := func(f int) bool { return c.Labels[f] == 0 }
	type found struct{ s, d float64 }
	var all []found
	for s := from; s <= to; s++ {
		q, n := l.frame(s)
		n = n.Scale(-1)
		start, edge := math.Inf(-1), 0.0
		const step = 0.3
		var z []float64
		ok := true
		for d := 0.0; d <= 18; d += step {
			r := q.Add(n.Scale(d))
			top, f, hit := on.Top(r.X, r.Y)
			if !hit {
				break
			}
			if c.Labels[f] != 0 {
				z = z[:0]
				edge = d + step
				continue
			}
			z = append(z, top.Z)
			start = math.Max(start, top.Z)
		}
		best := -1
		for i := range z {
			if i > 0 && z[i] > z[max(best, 0)]+0.4 && best > 0 && start-z[best] > 2 {
				break // it rises again: the trough has been passed
			}
			if best < 0 || z[i] < z[best]-0.02 {
				// Nearly level ground after a fall counts as the bottom.
				if best > 0 && start-z[best] > 3 && (z[best]-z[i])/(step*float64(i-best)) < 0.2 && i-best > 4 {
					break
				}
				best = i
			}
		}
		ok = best > 1 && best < len(z)-3 && start-z[best] > 2
		if ok {
			all = append(all, found{s, edge + step*float64(best)})
		}
	}
	// Stations that see something quite other than their neighbours are left out, and the
	// rest is evened along the line.
	var at []geom.Vec2
	unsteady := 0.0
	for i, f := range all {
		var near []float64
		for j := max(0, i-3); j <= min(len(all)-1, i+3); j++ {
			near = append(near, all[j].d)
		}
		if m := median(near); math.Abs(m-f.d) < 2.5 {
			q, n := l.frame(f.s)
			at = append(at, q.Add(n.Scale(-0.5*f.d-0.5*m)))
			unsteady += math.Abs(m - f.d)
		}
	}
	var out []geom.Vec
	for i := range at {
		var sum geom.Vec2
		count := 0.0
		for j := max(0, i-2); j <= min(len(at)-1, i+2); j++ {
			if at[j].Dist(at[i]) < 6 {
				sum, count = sum.Add(at[j]), count+1
			}
		}
		r := sum.Scale(1 / count)
		if top, _, ok := on.TopOf(r.X, r.Y, soft); ok {
			out = append(out, top)
		}
	}
	n := math.Max(1, float64(len(at)))
	return out, 0.85 * math.Min(1, n/(to-from+1)) * math.Exp(-unsteady/n)
}

// plane says how well the tops of the teeth tell the occlusal plane: how far they lie off
// it, and how much its tilt would change with that.
func (c *Cast) plane() Plane {
	var tops []geom.Vec
	for _, n := range c.Standing() {
		tips := c.Teeth[n].CuspTips
		tops = append(tops, slices.MaxFunc(tips, func(a, b geom.Vec) int { return cmpZ(peak{at: a}, peak{at: b}) }))
	}
	if len(tops) < 3 {
		return Plane{}
	}
	mid := mean(tops)
	var off, xx, xy, yy float64
	for _, q := range tops {
		d := q.Sub(mid)
		off += d.Z * d.Z
		xx, xy, yy = xx+d.X*d.X, xy+d.X*d.Y, yy+d.Y*d.Y
	}
	n := float64(len(tops))
	rms := math.Sqrt(off / n)
	// The teeth's spread across the line on which they lie most nearly.
	narrow := math.Sqrt(math.Max(1e-6, (xx+yy)/2-math.Hypot((xx-yy)/2, xy)))
	tilt := geom.InDeg(math.Atan(math.Max(0.3, rms) / narrow))
	return Plane{RMS: rms, TiltDeg: tilt, Confidence: 0.95 * math.Exp(-tilt/10)}
}

// readPad lays the pad or tuberosity of a side: an oval of average size behind the last
// place, where the ridge rises (lower) or before it falls away (upper).
func readPad(c *Cast, on *Surface, p *plan, l *line, right bool) Curve {
	soft := func(f int) bool { return c.Labels[f] == 0 }
	i := 15
	dir := 1.0
	if right {
		i, dir = 0, -1
	}
	third := tooth.All(c.Arch)[i]
	base := l.at[i]
	if c.Teeth[third] != nil {
		base += dir * (p.spots[i].size.MD/2 + 5)
	} else {
		base += dir * 1.5
	}
	long, wide := 5.6, 3.95 // Lopez et al. 2008: 11.2 x 7.9 mm
	if c.Arch == tooth.Upper {
		long, wide = 6, 4.9
	}
	// Look along the crest for the place that stands out most within a tooth's width.
	best, at := math.Inf(-1), base
	for d := -4.0; d <= 4; d += 0.5 {
		s := base + d*dir
		z, ok := crestAt(on, l, s, soft)
		if !ok {
			continue
		}
		before, ok1 := crestAt(on, l, s-dir*long, soft)
		after, ok2 := crestAt(on, l, s+dir*long, soft)
		if !ok1 || !ok2 {
			continue
		}
		if k := z - (before+after)/2 - 0.05*d*d; k > best {
			best, at = k, s
		}
	}
	if math.IsInf(best, -1) {
		return Curve{}
	}
	conf := math.Max(0.2, math.Min(0.7, 0.3+0.3*best))
	out := Curve{Closed: true, Confidence: conf, Origin: unit.Measured}
	var mid float64
	q, n := l.frame(at)
	high := math.Inf(-1)
	for d := -4.0; d <= 4; d += 0.25 {
		r := q.Add(n.Scale(d))
		if top, _, ok := on.TopOf(r.X, r.Y, soft); ok && top.Z-0.02*d*d > high {
			high, mid = top.Z-0.02*d*d, d
		}
	}
	for k := range 36 {
		a := 2 * math.Pi * float64(k) / 36
		found := false
		for share := 1.0; share > 0.5; share -= 0.1 {
			cc, nn := l.frame(at + share*long*math.Cos(a))
			r := cc.Add(nn.Scale(mid + share*wide*math.Sin(a)))
			if top, _, ok := on.TopOf(r.X, r.Y, soft); ok && top.Z > high-6 {
				out.Points, found = append(out.Points, top), true
				break
			}
			out.Confidence = math.Min(out.Confidence, 0.25) // cut off by the scan's edge
		}
		if !found {
			return Curve{} // the scan ends before the pad does
		}
	}
	area := 0.0
	for k, a := range out.Points {
		area += a.XY().Cross(out.Points[(k+1)%len(out.Points)].XY())
	}
	if area < 0 {
		slices.Reverse(out.Points)
	}
	return out
}

// crestAt is the height of the ridge's top at s.
func crestAt(on *Surface, l *line, s float64, pass func(int) bool) (float64, bool) {
	q, n := l.frame(s)
	best, ok := math.Inf(-1), false
	for d := -4.0; d <= 4; d += 0.5 {
		r := q.Add(n.Scale(d))
		if top, _, hit := on.TopOf(r.X, r.Y, pass); hit {
			best, ok = math.Max(best, top.Z), true
		}
	}
	return best, ok
}

// readPalate lays papilla and rugae zone by the incisors' place, where the scan shows the
// palate, and the midline where left and right of it are most alike. How sure they are says
// how far their form bears it out: a papilla is raised, the rugae are uneven, the two sides
// of a midline match.
func readPalate(c *Cast, on *Surface, p *plan) {
	soft := func(f int) bool { return c.Labels[f] == 0 }
	a, b := p.of(11), p.of(21)
	front := a.at.Lerp(b.at, 0.5)
	front.Y -= 0.5*a.size.FL + 2.6
	oval := func(y, wide, long, conf float64) Curve {
		out := Curve{Closed: true, Confidence: conf, Origin: unit.Measured}
		for k := range 36 {
			t := 2 * math.Pi * float64(k) / 36
			seen := false
			for share := 1.0; share > 0.35 && !seen; share -= 0.1 { // as far out as the scan goes
				var top geom.Vec
				if top, _, seen = on.TopOf(front.X+share*wide*math.Cos(t), y+share*long*math.Sin(t), soft); seen {
					out.Points = append(out.Points, top)
				}
				if share < 1 {
					out.Confidence = conf / 2
				}
			}
			if !seen {
				return Curve{}
			}
		}
		return out
	}
	at := func(x, y float64) (float64, bool) {
		top, _, ok := on.TopOf(x, y, soft)
		return top.Z, ok
	}
	c.Marks.Papilla = oval(front.Y, 1.7, 2.9, 1)
	c.Marks.Papilla.Confidence *= 0.2 + 0.5*clear(raised(at, front.X, front.Y), 0.4)
	// Where the scan ends before the zone's middle does, what it shows of it.
	for _, k := range [][2]float64{{11, 6}, {9, 5}, {7, 3.5}} {
		if c.Marks.Rugae = oval(front.Y-k[0], 11, k[1], 1); c.Marks.Rugae.Known() {
			c.Marks.Rugae.Confidence *= 0.2 + 0.5*clear(uneven(at, front.X, front.Y-k[0], k[1]), 0.15)
			break
		}
	}
	last := math.Min(p.spots[1].at.Y, p.spots[14].at.Y) - 6
	x, slope, unlike := likeness(at, front.X, front.Y-3, last)
	var mid []geom.Vec
	for y := front.Y - 3; y > last; y-- {
		if top, _, ok := on.TopOf(x+slope*(y-front.Y), y, soft); ok {
			mid = append(mid, top)
		}
	}
	if len(mid) > 3 {
		c.Marks.Midline = Curve{Points: mid, Confidence: 0.2 + 0.6*math.Exp(-unlike/0.7), Origin: unit.Measured}
	}
}

// raised is how far a place stands above the ring of gum 4 mm round it.
func raised(at func(x, y float64) (float64, bool), x, y float64) float64 {
	mid, ok := at(x, y)
	// The palate slopes: each place of the ring is paired with the one opposite.
	var up []float64
	for k := range 6 {
		s, c := math.Sincos(math.Pi * float64(k) / 6)
		a, ok1 := at(x+4*c, y+4*s)
		b, ok2 := at(x-4*c, y-4*s)
		if ok && ok1 && ok2 {
			up = append(up, mid-(a+b)/2)
		}
	}
	return median(up)
}

// uneven is how far the surface in a zone lies off its own mean over 5 mm fore and aft.
func uneven(at func(x, y float64) (float64, bool), x, y, long float64) float64 {
	sum, n := 0.0, 0.0
	for u := x - 9; u <= x+9; u++ {
		for v := y - long + 1; v <= y+long-1; v += 0.5 {
			z, ok := at(u, v)
			around, count := 0.0, 0.0
			for d := -2.5; d <= 2.5; d += 0.5 {
				if w, hit := at(u, v+d); hit {
					around, count = around+w, count+1
				}
			}
			if ok && count == 11 {
				sum, n = sum+math.Pow(z-around/count, 2), n+1
			}
		}
	}
	return math.Sqrt(sum / math.Max(1, n))
}

// likeness finds the line front to back, near x, on whose sides the palate is most alike:
// its place at the front, its slope, and how unlike the sides are yet [mm].
func likeness(at func(x, y float64) (float64, bool), x, from, to float64) (best, slope, unlike float64) {
	best, unlike = x, math.Inf(1)
	least := math.Inf(1)
	for shift := -2.5; shift <= 2.5; shift += 0.5 {
		for k := -0.08; k < 0.1; k += 0.04 {
			var off []float64
			for y := from; y > to; y -= 2 {
				m := x + shift + k*(y-from-3)
				for d := 2.0; d <= 10; d += 2 {
					a, ok1 := at(m+d, y)
					b, ok2 := at(m-d, y)
					if ok1 && ok2 {
						off = append(off, math.Abs(a-b))
					}
				}
			}
			if len(off) < 12 {
				continue
			}
			// The teeth's midline holds until the palate speaks against it.
			v := median(off)
			if cost := v + 0.04*shift*shift + 10*k*k; cost < least {
				least, best, slope, unlike = cost, x+shift, k, v
			}
		}
	}
	return best, slope, unlike
}
