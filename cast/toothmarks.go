package cast

import (
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/tooth"
)

// readTooth reads margin, axis and marks off a labelled crown; nil where there is none
// worth the name. The margin is the one given, where one is.
func readTooth(c *Cast, on *Surface, across [][3]int32, p *plan, n tooth.Number, given []geom.Vec) *Tooth {
	s := p.of(n)
	k := newCrownReading(c, on, across, s)
	// A crown shows about half the area of a box round it.
	want := s.size.Clinical*(s.size.MD+s.size.FL)*1.3 + s.size.MD*s.size.FL
	if len(k.pts) < 12 || k.area < 0.15*want {
		return nil
	}
	t := &Tooth{Number: n}
	if t.Margin, t.Unseen = given, make([]bool, len(given)); given == nil {
		t.Margin, t.Unseen = margin(c, on, across, n)
	}
	if len(t.Margin) < 8 {
		return nil
	}
	if !k.read(t) {
		return nil
	}
	return t
}

// trust is how like a crown of its kind the found one is, in size and height.
func trust(t *Tooth, s *site, md, fl float64) float64 {
	tall := 0.0
	low := mean(t.Margin)
	for _, q := range t.CuspTips {
		tall = math.Max(tall, q.Sub(low).Dot(t.Frame.Z))
	}
	like := func(got, want, spread float64) float64 {
		d := math.Log(math.Max(got, 0.1)/want) / spread
		return math.Exp(-d * d / 2)
	}
	unseen := 0.0
	for _, u := range t.Unseen {
		if u {
			unseen++
		}
	}
	return 0.95 * like(md, s.size.MD, 0.35) * like(fl, s.size.FL, 0.35) * like(tall, s.size.Clinical, 0.5) *
		(1 - 0.3*unseen/float64(len(t.Unseen)))
}

// margin is the border of a crown's faces, evened out and laid back on the surface. Where
// the crown touches its neighbour the scan shows no margin; there the line runs straight
// across under the contact and is called unseen.
func margin(c *Cast, on *Surface, across [][3]int32, n tooth.Number) (line []geom.Vec, unseen []bool) {
	next := map[int32]int32{}
	touch := map[int32]bool{}
	var starts []int32
	for f, face := range c.Mesh.Faces {
		if c.Labels[f] != n {
			continue
		}
		for k := range face {
			a, b, g := face[k], face[(k+1)%3], across[f][k]
			if g >= 0 && c.Labels[g] == n {
				continue
			}
			if _, doubled := next[a]; !doubled {
				next[a] = b
				starts = append(starts, a)
			}
			if g >= 0 && c.Labels[g] != 0 {
				touch[a], touch[b] = true, true
			}
		}
	}
	var best []int32
	used := map[int32]bool{}
	for _, s := range starts {
		if used[s] {
			continue
		}
		var loop []int32
		for v := s; !used[v]; {
			used[v] = true
			loop = append(loop, v)
			w, ok := next[v]
			if !ok {
				break
			}
			v = w
		}
		if len(loop) > len(best) {
			best = loop
		}
	}
	if len(best) < 8 {
		return nil, nil
	}
	pts := make([]geom.Vec, len(best))
	hid := make([]bool, len(best))
	for i, v := range best {
		pts[i], hid[i] = c.Mesh.Vertices[v], touch[v]
	}
	pts, hid = straighten(pts, hid)
	return evenLine(pts, hid, on)
}

// straighten replaces the stretches along a neighbour's crown by straight lines from the
// last seen point to the next.
func straighten(p []geom.Vec, hid []bool) ([]geom.Vec, []bool) {
	n := len(p)
	first := slices.Index(hid, false)
	if first < 0 {
		return p, hid
	}
	out, mark := []geom.Vec{}, []bool{}
	for k := 0; k < n; k++ {
		i := (first + k) % n
		if !hid[i] {
			out, mark = append(out, p[i]), append(mark, false)
			continue
		}
		j := k
		for j < n && hid[(first+j)%n] {
			j++
		}
		a, b := out[len(out)-1], p[(first+j)%n]
		m := max(2, int(a.Dist(b)/0.4))
		for q := 1; q < m; q++ {
			out, mark = append(out, a.Lerp(b, float64(q)/float64(m))), append(mark, true)
		}
		k = j - 1
	}
	return out, mark
}

// evenLine spaces the margin's points equally, smooths them and lays the seen ones on the
// surface, counter-clockwise seen from above.
func evenLine(p []geom.Vec, hid []bool, on *Surface) ([]geom.Vec, []bool) {
	const n = 72
	w := geom.NewWalk(geom.Closed(p))
	line, mark := make([]geom.Vec, n), make([]bool, n)
	for i := range line {
		s := w.Length() * float64(i) / n
		line[i] = w.At(s)
		at, best := 0.0, math.Inf(1)
		for k := range p {
			if d := math.Abs(at - s); d < best {
				best, mark[i] = d, hid[k]
			}
			at += p[k].Dist(p[(k+1)%len(p)])
		}
	}
	for range 7 {
		out := make([]geom.Vec, n)
		for i := range line {
			out[i] = line[i].Scale(0.5).Add(line[(i+1)%n].Add(line[(i+n-1)%n]).Scale(0.25))
		}
		line = out
	}
	area := 0.0
	for i := range line {
		if !mark[i] {
			line[i], _ = on.Nearest(line[i])
		}
		area += line[i].XY().Cross(line[(i+1)%n].XY())
	}
	if area < 0 {
		slices.Reverse(line)
		slices.Reverse(mark)
	}
	return line, mark
}
