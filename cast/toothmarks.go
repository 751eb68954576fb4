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
	own := func(g int32) bool { return g >= 0 && c.Labels[g] == n }
	type side struct{ face, edge int32 }
	var starts []side
	touch := map[int32]bool{}
	for f, face := range c.Mesh.Faces {
		if c.Labels[f] != n {
			continue
		}
		for k := range face {
			g := across[f][k]
			if own(g) {
				continue
			}
			starts = append(starts, side{int32(f), int32(k)})
			if g >= 0 && c.Labels[g] != 0 {
				touch[face[k]], touch[face[(k+1)%3]] = true, true
			}
		}
	}
	// The border goes on, after an edge, at the next edge round its end that has the crown on
	// one side only: so it goes right even where the crown touches itself in one vertex.
	onward := func(s side) side {
		f, k := s.face, (s.edge+1)%3
		for range 64 {
			g := across[f][k]
			if !own(g) {
				break
			}
			v := c.Mesh.Faces[f][k]
			j := int32(slices.Index(c.Mesh.Faces[g][:], v))
			if j < 0 {
				break
			}
			f, k = g, j
		}
		return side{f, k}
	}
	var best []int32
	longest := 0.0
	used := map[side]bool{}
	for _, s := range starts {
		var loop []int32
		long := 0.0
		for ; !used[s]; s = onward(s) {
			used[s] = true
			face := c.Mesh.Faces[s.face]
			a, b := face[s.edge], face[(s.edge+1)%3]
			loop = append(loop, a)
			long += c.Mesh.Vertices[a].Dist(c.Mesh.Vertices[b])
		}
		if long > longest {
			best, longest = loop, long
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
	// Evening takes the triangles' teeth off and draws bends inward. Half of what it took
	// off is evened again and given back: that keeps bends and few of the teeth.
	even := evened(line)
	rest := make([]geom.Vec, n)
	for i := range rest {
		rest[i] = line[i].Sub(even[i]).Scale(0.5)
	}
	for i, r := range evened(rest) {
		line[i] = even[i].Add(r)
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

// evened is a closed line with each point drawn to its neighbours, seven times.
func evened(line []geom.Vec) []geom.Vec {
	n := len(line)
	for range 7 {
		out := make([]geom.Vec, n)
		for i := range line {
			out[i] = line[i].Scale(0.5).Add(line[(i+1)%n].Add(line[(i+n-1)%n]).Scale(0.25))
		}
		line = out
	}
	return line
}
