package cast

import (
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// MarkTrust says how sure each mark of a tooth is, 0 to 1: how clearly its form shows, how
// fine the triangles under it are, and how like a crown the found one is. A mark that the
// scan does not show, because it ends or has a hole there, has 0; its point is then where
// it is expected.
type MarkTrust struct {
	Axis                         float64 // of Frame.Z
	Facing                       float64 // of Frame.X and Frame.Y
	CuspTips                     []float64
	MesialContact, DistalContact float64
	MesialRidge, DistalRidge     float64
	MesialFossa, DistalFossa     float64 // 0 on front teeth
	Cingulum                     float64 // 0 on back teeth
}

// Certain is the trust in the marks of a made tooth with so many cusp tips.
func Certain(n tooth.Number, tips int) MarkTrust {
	out := MarkTrust{Axis: 1, Facing: 1, CuspTips: slices.Repeat([]float64{1}, tips), MesialContact: 1, DistalContact: 1, MesialRidge: 1, DistalRidge: 1}
	if n.Kind().Anterior() {
		out.Cingulum = 1
	} else {
		out.MesialFossa, out.DistalFossa = 1, 1
	}
	return out
}

// crownReading is one labelled crown on its way to becoming a Tooth.
type crownReading struct {
	cast   *Cast
	on     *Surface
	site   *site
	faces  []int32
	pts    []geom.Vec
	weight []float64 // area round each point
	beside []bool    // whether the point borders on a neighbour's crown
	rims   []geom.Vec
	area   float64
	trust  float64
}

func newCrownReading(c *Cast, on *Surface, across [][3]int32, s *site) *crownReading {
	k := &crownReading{cast: c, on: on, site: s}
	as := map[int32]int{}
	for f := range c.Mesh.Faces {
		if c.Labels[f] != s.n {
			continue
		}
		k.faces = append(k.faces, int32(f))
		a, b, d := c.Mesh.Corners(f)
		area := b.Sub(a).Cross(d.Sub(a)).Norm() / 2
		k.area += area
		for i, v := range c.Mesh.Faces[f] {
			at, ok := as[v]
			if !ok {
				at = len(k.pts)
				as[v] = at
				k.pts, k.weight, k.beside = append(k.pts, c.Mesh.Vertices[v]), append(k.weight, 0), append(k.beside, false)
			}
			k.weight[at] += area / 3
			if g := across[f][i]; g == mesh.Open {
				k.rims = append(k.rims, c.Mesh.Vertices[v].Lerp(c.Mesh.Vertices[c.Mesh.Faces[f][(i+1)%3]], 0.5))
			} else if g >= 0 && c.Labels[g] != 0 && c.Labels[g] != s.n {
				k.beside[at] = true
			}
		}
	}
	return k
}

// own tells whether a face belongs to the crown.
func (k *crownReading) own(f int) bool { return k.cast.Labels[f] == k.site.n }

// lay puts a place of a frame on the crown.
func (k *crownReading) lay(f geom.Frame, local geom.Vec) geom.Vec {
	q, _ := k.on.NearestOf(f.Outer(local), k.own)
	return q
}

// shown is how well the scan shows a place of the crown: 0 at the rim of a hole or where
// the scan ends, less where the triangles are coarse.
func (k *crownReading) shown(q geom.Vec) float64 {
	rim := math.Inf(1)
	for _, r := range k.rims {
		rim = math.Min(rim, r.Dist(q))
	}
	if rim < 0.3 {
		return 0
	}
	_, f := k.on.NearestOf(q, k.own)
	a, b, c := k.cast.Mesh.Corners(f)
	edge := (a.Dist(b) + b.Dist(c) + c.Dist(a)) / 3
	return math.Min(1, rim) * math.Exp(-edge/2) * (0.5 + 0.5*k.trust)
}

// clear turns how far a form stands out into how sure it is: three quarters where it
// stands out one and a half times what is plain.
func clear(by, plain float64) float64 { return 1 - math.Exp(-math.Max(0, by)/plain) }

// read sets frame and marks; false where the faces are no crown that can be seen from above.
func (k *crownReading) read(t *Tooth) bool {
	s := k.site
	front := t.Number.Kind().Anterior()
	// The axis comes from the tips, and the tips are the highest places along the axis.
	frame := geom.Frame{X: s.mesial, Y: s.facial, Z: geom.V(0, 0, 1), Origin: mean(t.Margin)}
	var r *relief
	var tips []peak
	for range 2 {
		r = newRelief(k.cast.Mesh, k.faces, frame)
		if front {
			tips = r.edge(t.Number.Kind())
		} else {
			tips = r.cusps(t.Number)
		}
		if len(tips) == 0 {
			return false
		}
		t.CuspTips = t.CuspTips[:0]
		for _, p := range tips {
			t.CuspTips = append(t.CuspTips, k.lay(frame, p.at))
		}
		frame = CrownFrame(t.Margin, t.CuspTips, s.mesial, s.facial)
	}
	// Where one row of cusps is but a guess, a great lean of the axis is one too.
	if low := mean(t.Margin); !front && rowsSure(frame, t.CuspTips, func(i int) float64 { return clear(tips[i].stands, 0.3) }) < 0.35 && frame.Z.Z < math.Cos(geom.Deg(20)) {
		frame = CrownFrame(t.Margin, []geom.Vec{geom.V(low.X, low.Y, t.CuspTips[0].Z)}, s.mesial, s.facial)
	}
	t.Frame = frame
	r = newRelief(k.cast.Mesh, k.faces, frame)

	lo, hi := geom.V(math.Inf(1), math.Inf(1), math.Inf(1)), geom.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for _, q := range k.pts {
		l := frame.Local(q)
		lo = geom.V(math.Min(lo.X, l.X), math.Min(lo.Y, l.Y), math.Min(lo.Z, l.Z))
		hi = geom.V(math.Max(hi.X, l.X), math.Max(hi.Y, l.Y), math.Max(hi.Z, l.Z))
	}
	mid, half := (lo.X+hi.X)/2, (hi.X-lo.X)/2
	t.Confidence = trust(t, s, hi.X-lo.X, hi.Y-lo.Y)
	k.trust = t.Confidence
	m := &t.Marks
	for i, p := range tips {
		m.CuspTips = append(m.CuspTips, clear(p.stands, 0.3)*k.shown(t.CuspTips[i]))
	}
	t.MesialContact, m.MesialContact = k.contact(frame, 1, hi)
	t.DistalContact, m.DistalContact = k.contact(frame, -1, hi)
	if front {
		last := len(tips) - 1
		t.MesialRidge, t.DistalRidge = t.CuspTips[0], t.CuspTips[last]
		m.MesialRidge, m.DistalRidge = m.CuspTips[0], m.CuspTips[last]
		t.Cingulum, m.Cingulum = k.cingulum(frame, mid, half, lo.Z, hi.Z)
	} else {
		lingual, facial := rows(frame, t.CuspTips)
		side := func(sign float64) (ridge, fossa geom.Vec, sureRidge, sureFossa float64) {
			d := r.marginal(sign, mid, half, lingual, facial)
			ridge = k.lay(frame, d.at)
			low, deep := r.fossa(sign, mid, half, lingual, facial, d)
			fossa = k.lay(frame, low)
			sureFossa = clear(deep, 0.4) * k.shown(fossa)
			if sureRidge = 0.1 * k.shown(ridge); d.traced {
				// Across the crown a level ridge leaves its middle open.
				sureRidge = clear(math.Max(d.rises, deep), 0.4) * (0.6 + 0.4*clear(d.dips, 0.2)) * k.shown(ridge)
			}
			return ridge, fossa, sureRidge, sureFossa
		}
		t.MesialRidge, t.MesialFossa, m.MesialRidge, m.MesialFossa = side(1)
		t.DistalRidge, t.DistalFossa, m.DistalRidge, m.DistalFossa = side(-1)
	}
	unseen := 0.0
	for _, u := range t.Unseen {
		if u {
			unseen++
		}
	}
	m.Axis = 1 - 0.5*unseen/float64(len(t.Unseen))
	if front {
		m.Axis *= (m.CuspTips[0] + m.CuspTips[1] + m.CuspTips[2]) / 3
	} else {
		m.Axis *= rowsSure(frame, t.CuspTips, func(i int) float64 { return m.CuspTips[i] })
	}
	// The facial side is taken from the arch; a tooth that is turned says otherwise by the
	// line of its edge, or from ridge to ridge.
	own := t.MesialRidge.Sub(t.DistalRidge).Across(frame.Z).Unit()
	off := geom.InDeg(own.AngleTo(frame.X)) / 25
	m.Facing = math.Exp(-off*off/2) * math.Sqrt(m.MesialRidge*m.DistalRidge)
	return true
}

// rowsSure is how sure the facial and the lingual row of cusps are together; the axis hangs
// on both.
func rowsSure(f geom.Frame, tips []geom.Vec, sure func(i int) float64) float64 {
	lingual, facial := rows(f, tips)
	var sum, count [2]float64
	for i, q := range tips {
		k := 0
		if f.Local(q).Y > (lingual+facial)/2 {
			k = 1
		}
		sum[k], count[k] = sum[k]+sure(i), count[k]+1
	}
	return math.Sqrt(sum[0] / math.Max(1, count[0]) * sum[1] / math.Max(1, count[1]))
}

// rows are where the lingual and the facial cusps stand, along Y of a crown's frame.
func rows(f geom.Frame, tips []geom.Vec) (lingual, facial float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range tips {
		y := f.Local(q).Y
		lo, hi = math.Min(lo, y), math.Max(hi, y)
	}
	var sum, count [2]float64
	for _, q := range tips {
		y, i := f.Local(q).Y, 0
		if y > (lo+hi)/2 {
			i = 1
		}
		sum[i], count[i] = sum[i]+y, count[i]+1
	}
	return sum[0] / math.Max(1, count[0]), sum[1] / math.Max(1, count[1])
}

// contact is the contact area of a side: the middle of what reaches farthest that way,
// above the gingival fifth. Where it touches the neighbour the scan only bridges it.
func (k *crownReading) contact(f geom.Frame, side float64, hi geom.Vec) (geom.Vec, float64) {
	const cap = 0.25 // mm
	far := math.Inf(-1)
	local := make([]geom.Vec, len(k.pts))
	low := func(l geom.Vec) bool { return l.Z < -0.6*hi.Z }
	for i, q := range k.pts {
		if local[i] = f.Local(q); !low(local[i]) {
			far = math.Max(far, side*local[i].X)
		}
	}
	var sum geom.Vec
	total, touch := 0.0, 0.0
	for i, l := range local {
		if d := far - side*l.X; d < cap && !low(l) {
			w := k.weight[i] * (cap - d)
			sum, total = sum.Add(l.Scale(w)), total+w
			if k.beside[i] {
				touch += w
			}
		}
	}
	if total == 0 {
		return k.lay(f, geom.V(side*far, 0, 0)), 0
	}
	at := sum.Scale(1 / total)
	spread := 0.0
	for i, l := range local {
		if d := far - side*l.X; d < cap && !low(l) {
			v := l.Sub(at)
			spread += k.weight[i] * (cap - d) * (v.Y*v.Y + v.Z*v.Z) / total
		}
	}
	q := k.lay(f, at)
	return q, math.Exp(-math.Sqrt(spread)/1.5) * (1 - 0.5*touch/total) * k.shown(q)
}

// expected is how many cusps a back tooth has at most on its lingual and its facial side
// (Nelson & Ash, Wheeler's Dental Anatomy); Carabelli's tubercle is none.
func expected(n tooth.Number) (lingual, facial int) {
	upper := n.Arch() == tooth.Upper
	switch {
	case n.Kind() == tooth.FirstPremolar || upper && n.Kind() == tooth.SecondPremolar:
		return 1, 1
	case n.Kind() == tooth.SecondPremolar:
		return 2, 1
	case upper || n.Kind() == tooth.SecondMolar:
		return 2, 2
	}
	return 2, 3
}

// cusps picks the cusp tips of a back tooth, highest first: the peaks that stand out most
// on the facial and on the lingual side.
func (r *relief) cusps(n tooth.Number) []peak {
	all := r.peaks()
	lo, hi := r.low.Y, r.y(r.ny-1)
	width := r.x(r.nx-1) - r.low.X
	middle := (lo + hi) / 2
	top := math.Inf(-1)
	for _, z := range r.z {
		if z > top {
			top = z
		}
	}
	if n.Kind().Premolar() && n.Arch() == tooth.Lower {
		// The crown leans inward: its facial cusp stands over the middle.
		middle -= 0.08 * (hi - lo)
	}
	lingual, facial := expected(n)
	var out []peak
	pick := func(most int, side float64) {
		count := 0
		for _, p := range all {
			if count == most {
				break
			}
			if side*(p.at.Y-middle) < 0 || p.stands < 0.06 || p.at.Z < top-4 {
				continue
			}
			// A rise of the marginal ridge is no cusp.
			x := math.Abs(p.at.X-(r.low.X+width/2)) / (width / 2)
			if n.Kind().Premolar() && x > 0.05+0.3*float64(most) || x > 0.6 && math.Abs(p.at.Y-(lo+hi)/2) < 0.12*(hi-lo) {
				continue
			}
			if slices.ContainsFunc(out, func(o peak) bool { return o.at.XY().Dist(p.at.XY()) < 1.8 }) {
				continue
			}
			out = append(out, p)
			count++
		}
		if count > 0 {
			return
		}
		// Worn, low or blurred: where the middle of the surface turns down toward that side.
		best, at := math.Inf(-1), geom.Vec{}
		for j := range r.ny {
			for i := range r.nx {
				z, y := r.z[j*r.nx+i], r.y(j)
				x := math.Abs(r.x(i)-(r.low.X+width/2)) / (width / 2)
				if math.IsNaN(z) || side*(y-middle) < 0 || x > 0.3 {
					continue
				}
				if v := z + side*y; v > best {
					best, at = v, geom.V(r.x(i), y, z)
				}
			}
		}
		if !math.IsInf(best, -1) {
			out = append(out, peak{at: at, stands: 0.03})
		}
	}
	pick(facial, 1)
	pick(lingual, -1)
	slices.SortStableFunc(out, func(a, b peak) int { return cmpZ(b, a) })
	return out
}

func cmpZ(a, b peak) int {
	switch {
	case a.at.Z < b.at.Z:
		return -1
	case a.at.Z > b.at.Z:
		return 1
	}
	return 0
}

// edge is the incisal edge of a front tooth: its mesial corner, its middle or the canine's
// tip, its distal corner. Each stands out by how far the surface falls a millimetre
// lingual and facial of it.
func (r *relief) edge(k tooth.Kind) []peak {
	// The edge, column by column.
	var line []geom.Vec
	for i := range r.nx {
		best := geom.V(r.x(i), 0, math.Inf(-1))
		for j := range r.ny {
			if z := r.z[j*r.nx+i]; z > best.Z {
				best.Y, best.Z = r.y(j), z
			}
		}
		if math.IsInf(best.Z, -1) {
			continue
		}
		// A worn edge is flat: its middle.
		sum, count := 0.0, 0.0
		for j := range r.ny {
			if z := r.z[j*r.nx+i]; z > best.Z-0.06 {
				sum, count = sum+r.y(j), count+1
			}
		}
		best.Y = sum / count
		line = append(line, best)
	}
	if len(line) == 0 {
		return nil
	}
	top := slices.MaxFunc(line, func(a, b geom.Vec) int { return cmpZ(peak{at: a}, peak{at: b}) })
	depth := 1.3
	if k == tooth.Canine {
		depth = 2.4
	}
	mesial, distal, middle := top, top, top
	corner := func(side float64) geom.Vec {
		best, at := math.Inf(-1), top
		for _, q := range line {
			// Far out and high: the corner of the edge.
			if v := side*q.X + q.Z; q.Z > top.Z-depth && v > best {
				best, at = v, q
			}
		}
		return at
	}
	mesial, distal = corner(1), corner(-1)
	if k.Incisor() {
		best := math.Inf(-1)
		for _, q := range line {
			if v := q.Z - math.Abs(q.X-(mesial.X+distal.X)/2); v > best {
				best, middle = v, q
			}
		}
	}
	var out []peak
	for _, q := range []geom.Vec{mesial, middle, distal} {
		fall := math.Inf(1)
		for _, d := range []float64{1, -1} {
			z := r.at(q.X, q.Y+d)
			if math.IsNaN(z) {
				z = q.Z - 2 // a steep face is not seen from above
			}
			fall = math.Min(fall, q.Z-z)
		}
		out = append(out, peak{q, fall})
	}
	return out
}

// cingulum is the top of the swelling on the lingual of a front tooth: going up the middle
// of the lingual surface, where it turns from facing sideways to facing up. It stands out by
// how far it bulges from the straight line between the gingival and the incisal.
func (k *crownReading) cingulum(f geom.Frame, mid, half, low, high float64) (geom.Vec, float64) {
	var strip []geom.Vec // local
	for _, q := range k.pts {
		l := f.Local(q)
		if math.Abs(l.X-mid) < 0.3*half && l.Y < 0 {
			strip = append(strip, l)
		}
	}
	share := func(l geom.Vec) float64 { return (l.Z - low) / math.Max(high-low, 1e-9) }
	best, at := math.Inf(-1), geom.Vec{}
	for _, l := range strip {
		if h := share(l); h < 0.12 || h > 0.5 {
			continue
		}
		if v := -l.Y + 0.5*l.Z - 0.15*(l.X-mid)*(l.X-mid); v > best {
			best, at = v, l
		}
	}
	if math.IsInf(best, -1) {
		return geom.Vec{}, 0
	}
	// The hollow above it.
	hollow := math.Inf(1)
	var upper, count geom.Vec
	for _, l := range strip {
		if h := share(l); h > 0.62 && h < 0.85 {
			upper, count.X = upper.Add(l), count.X+1
		}
	}
	if count.X > 0 {
		upper = upper.Scale(1 / count.X)
		for _, l := range strip {
			if l.Z > at.Z && l.Z < upper.Z {
				on := at.Lerp(upper, (l.Z-at.Z)/math.Max(upper.Z-at.Z, 1e-9))
				hollow = math.Min(hollow, on.Y-l.Y)
			}
		}
	}
	if math.IsInf(hollow, 1) {
		hollow = 0
	}
	q := f.Outer(at)
	return q, clear(-hollow, 0.25) * k.shown(q)
}

// Mark is one named place on a tooth and how sure it is; 0 where the scan does not show it.
type Mark struct {
	Name string
	At   geom.Vec
	Sure float64
}

// Named lists the marks of a tooth that are places.
func (t *Tooth) Named() []Mark {
	var out []Mark
	add := func(name string, at geom.Vec, sure float64) { out = append(out, Mark{name, at, sure}) }
	front := t.Number.Kind().Anterior()
	for i, q := range t.CuspTips {
		name := "cusp-tip"
		if front && len(t.CuspTips) == 3 {
			name = [3]string{"mesial-angle", "incisal-edge", "distal-angle"}[i]
			if i == 1 && t.Number.Kind() == tooth.Canine {
				name = "cusp-tip"
			}
		}
		add(name, q, t.Marks.CuspTips[i])
	}
	m := t.Marks
	add("mesial-contact", t.MesialContact, m.MesialContact)
	add("distal-contact", t.DistalContact, m.DistalContact)
	if front {
		add("cingulum", t.Cingulum, m.Cingulum)
		return out
	}
	add("mesial-marginal-ridge", t.MesialRidge, m.MesialRidge)
	add("distal-marginal-ridge", t.DistalRidge, m.DistalRidge)
	add("mesial-fossa", t.MesialFossa, m.MesialFossa)
	add("distal-fossa", t.DistalFossa, m.DistalFossa)
	return out
}
