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
	own := func(f int) bool { return c.Labels[f] == n }
	var ids []int32
	seen := map[int32]bool{}
	area := 0.0
	for f := range c.Mesh.Faces {
		if !own(f) {
			continue
		}
		a, b, d := c.Mesh.Corners(f)
		area += b.Sub(a).Cross(d.Sub(a)).Norm() / 2
		for _, v := range c.Mesh.Faces[f] {
			if !seen[v] {
				seen[v] = true
				ids = append(ids, v)
			}
		}
	}
	// A crown shows about half the area of a box round it.
	want := s.size.Clinical*(s.size.MD+s.size.FL)*1.3 + s.size.MD*s.size.FL
	if len(ids) < 12 || area < 0.15*want {
		return nil
	}
	t := &Tooth{Number: n}
	if t.Margin, t.Unseen = given, make([]bool, len(given)); given == nil {
		t.Margin, t.Unseen = margin(c, on, across, n)
	}
	if len(t.Margin) < 8 {
		return nil
	}
	pts := make([]geom.Vec, len(ids))
	for i, v := range ids {
		pts[i] = c.Mesh.Vertices[v]
	}
	slices.SortFunc(pts, func(a, b geom.Vec) int {
		if a.Z != b.Z {
			if a.Z > b.Z {
				return -1
			}
			return 1
		}
		if a.X != b.X {
			if a.X > b.X {
				return -1
			}
			return 1
		}
		return 0
	})
	t.CuspTips = tips(pts, s)
	t.Frame = CrownFrame(t.Margin, t.CuspTips, s.mesial, s.facial)
	most := func(dir geom.Vec) geom.Vec {
		best, at := math.Inf(-1), pts[0]
		for _, q := range pts {
			if d := q.Dot(dir); d > best {
				best, at = d, q
			}
		}
		return at
	}
	t.MesialContact, t.DistalContact = most(t.Frame.X), most(t.Frame.X.Neg())
	half := t.MesialContact.Sub(t.DistalContact).Dot(t.Frame.X) / 2
	mid := t.Frame.Local(t.MesialContact.Lerp(t.DistalContact, 0.5)).X
	deep := most(t.Frame.Y).Sub(most(t.Frame.Y.Neg())).Dot(t.Frame.Y)
	if n.Kind().Anterior() {
		t.MesialRidge, t.DistalRidge = t.CuspTips[0], t.CuspTips[len(t.CuspTips)-1]
		t.Cingulum = cingulum(pts, t.Frame, mid, half)
	} else {
		ridge := func(side float64) geom.Vec {
			best, at := math.Inf(-1), geom.Vec{}
			for _, q := range pts {
				l := t.Frame.Local(q)
				x := (l.X - mid) * side / half
				if x > 0.45 && x < 1 && math.Abs(l.Y) < 0.16*deep && l.Z > best {
					best, at = l.Z, q
				}
			}
			return at
		}
		t.MesialRidge, t.DistalRidge = ridge(1), ridge(-1)
		fossa := func(side float64, top geom.Vec) geom.Vec {
			best, at := math.Inf(1), top
			lim := (t.Frame.Local(top).X - mid) * side / half
			for _, q := range pts {
				l := t.Frame.Local(q)
				x := (l.X - mid) * side / half
				if x > 0.1 && x < lim && math.Abs(l.Y) < 0.14*deep && l.Z > 0 && l.Z < best {
					best, at = l.Z, q
				}
			}
			return at
		}
		t.MesialFossa, t.DistalFossa = fossa(1, t.MesialRidge), fossa(-1, t.DistalRidge)
	}
	t.Confidence = trust(t, s, 2*half, deep)
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

// tips picks the cusp tips of a back tooth, or the ends and middle of a front tooth's
// edge. pts are the crown's points, highest first.
func tips(pts []geom.Vec, s *site) []geom.Vec {
	top := pts[0].Z
	if s.n.Kind().Anterior() {
		depth := 1.3
		if s.n.Kind() == tooth.Canine {
			depth = 2.4
		}
		var m, d geom.Vec
		bm, bd := math.Inf(-1), math.Inf(-1)
		for _, q := range pts {
			if q.Z < top-depth {
				break
			}
			x := s.local(q).X
			// Far out and high: the corner of the edge.
			if k := x + 0.6*(q.Z-top); k > bm {
				bm, m = k, q
			}
			if k := -x + 0.6*(q.Z-top); k > bd {
				bd, d = k, q
			}
		}
		mid := pts[0]
		if s.n.Kind().Incisor() {
			centre := (s.local(m).X + s.local(d).X) / 2
			best := math.Inf(-1)
			for _, q := range pts {
				if q.Z < top-depth {
					break
				}
				if k := q.Z - top - math.Abs(s.local(q).X-centre); k > best {
					best, mid = k, q
				}
			}
		}
		return []geom.Vec{m, mid, d}
	}
	most, apart := 2, 2.6
	if s.n.Kind().Molar() {
		most, apart = 5, 2.4
		if s.n.Arch() == tooth.Upper {
			most = 4
		}
	}
	var out []geom.Vec
	for _, q := range pts {
		if q.Z < top-3 || len(out) == most {
			break
		}
		far := true
		for _, o := range out {
			if o.Dist(q) < apart {
				far = false
			}
		}
		// A tip is the highest place round itself.
		if far && highest(pts, q, 0.9) {
			out = append(out, q)
		}
	}
	return out
}

func highest(pts []geom.Vec, q geom.Vec, r float64) bool {
	for _, o := range pts {
		if o.Z <= q.Z {
			return true // the rest lie lower
		}
		if o.XY().Dist(q.XY()) < r {
			return false
		}
	}
	return true
}

// cingulum is the top of the swelling on the lingual of a front tooth: going up the middle
// of the lingual surface, where it turns from facing sideways to facing up.
func cingulum(pts []geom.Vec, f geom.Frame, mid, half float64) geom.Vec {
	var strip []geom.Vec // local
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range pts {
		l := f.Local(q)
		if math.Abs(l.X-mid) < 0.3*half && l.Y < 0 {
			strip = append(strip, l)
		}
		low, high = math.Min(low, l.Z), math.Max(high, l.Z)
	}
	best, at := math.Inf(-1), geom.Vec{}
	for _, l := range strip {
		h := (l.Z - low) / math.Max(high-low, 1e-9)
		if h < 0.12 || h > 0.5 {
			continue
		}
		if k := -l.Y + 0.5*l.Z; k > best {
			best, at = k, f.Outer(l)
		}
	}
	return at
}
