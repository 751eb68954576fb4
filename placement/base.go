package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// latticeBegins is how far from the abutment the lattice's first cross strut lies [mm].
const latticeBegins = 1.75

// lingualStrut and facialStrut are how far down the ridge's profiles the long struts of
// a lattice lie: below the crest on the inner side, just over it on the outer.
func (l *layout) lingualStrut(a *area) float64 {
	if a.anterior() {
		return 4.0
	}
	if l.g.cast.Arch == tooth.Upper {
		return 5.0
	}
	return 4.5
}

func (l *layout) facialStrut(a *area) float64 {
	if a.anterior() {
		return 1.5
	}
	return 2.2
}

// anterior tells whether a stretch holds front teeth only.
func (a *area) anterior() bool {
	for _, n := range a.teeth {
		if !n.Kind().Anterior() {
			return false
		}
	}
	return len(a.teeth) > 0
}

// across is the place on a stretch a run down the facial (v > 0) or lingual slope from
// the crest.
func (l *layout) across(s, v float64) geom.Vec {
	if v >= 0 {
		return l.g.on(s, v, facialSide)
	}
	return l.g.on(s, -v, lingualSide)
}

// base lays the lattice that holds the resin, its relief, and the resin itself.
func (l *layout) base(q *Placed) {
	a := l.areaNamed(q.Part.ID)
	g, lim := l.g, l.lim
	if a == nil || len(a.crest) < 2 || a.length() < 3 {
		q.short("ridge_length", 3, 0, 0, "the cast has no ridge where the part's teeth are missing")
		return
	}
	total := a.length()
	begin := dimension(q.Part, "relief_start", lim.BaseReliefStart)
	share := 1.0
	if a.extension() && g.cast.Arch == tooth.Lower {
		share = lim.LatticeShareLower
	}
	share = dimension(q.Part, "lattice_share", share)
	end := total * share
	if !a.extension() {
		end = total - begin
	}
	if a.extension() && g.cast.Arch == tooth.Upper {
		end = total*share - 1
	}
	end = math.Max(end, begin+3)
	a.latticeEnd = end
	relief := dimension(q.Part, "relief", lim.BaseRelief)

	// Stations of the lattice, dense enough for smooth struts.
	n := max(4, int((end-begin)/0.8)+1)
	at := make([]float64, n)
	for i := range at {
		_, at[i] = a.along(begin + (end-begin)*float64(i)/float64(n-1))
	}
	inner, outer := l.lingualStrut(a), l.facialStrut(a)
	// Beside the lower connector the inner strut comes out of the bar: about 2 mm above
	// its lower border, and runs up to its own height from there.
	innerAt := func(i int) float64 {
		v := inner
		if l.bar != nil && l.bar.side == lingualSide {
			if t, ok := l.bar.upperAt(at[i]); ok && a.abutment != 0 {
				f := math.Max(0, 1-float64(i)*0.8/7)
				v = inner + (math.Max(inner, t+1)-inner)*f
			}
		}
		return v
	}
	var lingual, facial []geom.Vec
	for i, s := range at {
		lingual = append(lingual, g.snapSoft(l.across(s, -innerAt(i))))
		facial = append(facial, g.snapSoft(l.across(s, outer)))
	}
	even := func(line []geom.Vec) []geom.Vec {
		for r := 0; r < 4; r++ {
			old := append([]geom.Vec{}, line...)
			for i := 1; i+1 < len(line); i++ {
				line[i] = old[i].Scale(0.5).Add(old[i-1].Add(old[i+1]).Scale(0.25))
			}
		}
		return line
	}
	lingual, facial = even(lingual), even(facial)
	strut := func(line []geom.Vec, w, t float64) {
		out := g.normalsOf(line)
		q.Curves = append(q.Curves, l.curve(StrutLine, lift(line, out, relief), out, HalfRound, w, w, t, t))
	}
	attachment := q.Part.Attachment
	metalBase := attachment == "beads" || attachment == "posts"
	long, cross := 1.8, 1.3
	if attachment == "mesh" {
		long, cross = 1.2, 0.8
	}
	var crossings int
	if !metalBase {
		strut(lingual, long, 1.2)
		strut(facial, long, 1.2)
		pitch := 5.4
		if attachment == "mesh" {
			pitch = 2.8
		}
		crossings = max(2, int((end-begin)/pitch)+1)
		for c := 0; c < crossings; c++ {
			i := int(math.Round(float64(c) / float64(crossings-1) * float64(n-1)))
			var line []geom.Vec
			lo, hi := -innerAt(i), outer
			for x := 0; x <= 8; x++ {
				line = append(line, g.snapSoft(l.across(at[i], lo+(hi-lo)*float64(x)/8)))
			}
			line[0], line[8] = lingual[i], facial[i]
			strut(line, cross, 1.0)
		}
		pitchReal := (end - begin) / float64(crossings-1)
		l.measure(q, "lattice_opening_length", pitchReal-cross, 0, facial[0], facial[min(n-1, n/crossings)])
		narrow := math.Inf(1)
		for i := range lingual {
			narrow = math.Min(narrow, g.over(lingual[i], facial[i])-long)
		}
		l.measure(q, "lattice_opening_width", narrow, 0, lingual[0], facial[0])
	}
	outline := append(append([]geom.Vec{}, facial...), reversed(lingual)...)
	lat := Patch{Role: Lattice, Outline: outline, Lift: relief, Thickness: 1.2}
	if metalBase {
		lat.Lift, lat.Thickness = 0, 0.6
		relief = 0
	}
	q.Patches = append(q.Patches, lat)

	// The relief's edge stands out from under the struts all round.
	if relief > 0 {
		var ro []geom.Vec
		s0, s1 := at[0], at[n-1]
		ro = append(ro, g.on(s0, outer+1.2, facialSide))
		for i := 1; i+1 < n; i++ {
			ro = append(ro, g.on(at[i], outer+1.2, facialSide))
		}
		ro = append(ro, g.on(s1, outer+1.2, facialSide), g.on(s1, inner+1.0, lingualSide))
		for i := n - 2; i > 0; i-- {
			ro = append(ro, g.on(at[i], innerAt(i)+1.0, lingualSide))
		}
		ro = append(ro, g.on(s0, innerAt(0)+1.0, lingualSide))
		q.Patches = append(q.Patches, Patch{Role: Relief, Outline: ro, Thickness: relief})
	}
	resin := l.resinOutline(a)
	q.Patches = append(q.Patches, Patch{Role: Resin, Outline: resin, Thickness: lim.ResinThickness})

	p0, _ := a.along(0)
	pb, _ := a.along(begin)
	pe, _ := a.along(end)
	pz, _ := a.along(total)
	l.measure(q, "lattice_length", end-begin, 0, pb, pe)
	l.measure(q, "ridge_length", total, 0, p0, pz)
	l.ratio(q, "lattice_share", end/total, 0)
	l.planned(q, "relief", relief, 0)
	l.measure(q, "relief_start", l.crestRun(a, at[0]), 0, p0, pb)
	if a.extension() {
		l.measure(q, "lattice_to_pad", total-end, 0, pe, pz)
		pad := g.cast.Marks.Pad(a.right)
		if pad.Known() {
			l.ratio(q, "pad_covered_share", coveredShare(pad.Points, resin), 0)
		}
	}
	l.note(q, "base_area", areaQuantity(g, flatArea(resin)), 0, geom.Vec{}, geom.Vec{})
	if !metalBase && a.extension() && total-end < 0 {
		q.short("lattice_to_pad", 0, total-end, 0, "the ridge is too short for a lattice in front of the pad")
	}
}

// crestRun is the length along the crest from the abutment to a station.
func (l *layout) crestRun(a *area, s float64) float64 {
	run := 0.0
	for i := 1; i < len(a.crest); i++ {
		if (a.at[i]-s)*a.dir >= 0 {
			d := a.at[i] - a.at[i-1]
			if d != 0 {
				run += a.crest[i].Dist(a.crest[i-1]) * (s - a.at[i-1]) / d
			}
			return run
		}
		run += a.crest[i].Dist(a.crest[i-1])
	}
	return run
}

// resinOutline is the border of the resin: from the abutment along the facial flange,
// over the pad or tuberosity where the base ends free, and back along the inner flange.
func (l *layout) resinOutline(a *area) []geom.Vec {
	g := l.g
	total := a.length()
	lower := g.cast.Arch == tooth.Lower
	n := max(6, int(total/0.8)+1)
	var facial, lingual []geom.Vec
	for i := 0; i < n; i++ {
		f := float64(i) / float64(n-1)
		_, s := a.along(0.3 + f*(total-0.3))
		if !a.extension() {
			_, s = a.along(0.3 + f*(total-0.6))
		}
		pf, pl := g.profileAt(s, facialSide), g.profileAt(s, lingualSide)
		// How near the ends: flanges rise toward an abutment.
		ends := math.Min(1, (0.25+f*total/5)*1)
		if !a.extension() {
			ends = math.Min(ends, 0.25+(1-f)*total/5)
		}
		vf, vl := 5.0, 5.0
		if a.extension() {
			vf, vl = 9, 9
			if t, ok := g.foldAt(pf); ok {
				vf = t - 0.3
			}
			if t, ok := g.floorAt(pl); ok && lower {
				vl = t - 0.3
			}
			if !lower {
				vl = 6.5
			}
		} else if t, ok := g.foldAt(pf); ok {
			vf = math.Min(vf+1, t-0.5)
		}
		if !lower {
			vl = l.upperFinish(a)
		}
		if a.extension() {
			// Toward the pad the flanges come in to its width.
			in := math.Max(0, math.Min(1, (f*total-(total-8))/8))
			in = in * in * (3 - 2*in)
			vf += (math.Min(vf, 5.2) - vf) * in
			vl += (math.Min(vl, 5.2) - vl) * in
		}
		facial = append(facial, g.on(s, 2.5+(math.Max(3, vf)-2.5)*ends, facialSide))
		lingual = append(lingual, g.on(s, 2.5+(math.Max(3, vl)-2.5)*ends, lingualSide))
	}
	facial, lingual = evenOpen(facial, 4), evenOpen(lingual, 4)
	rim := append([]geom.Vec{}, facial...)
	if a.extension() {
		rim = append(rim, l.roundPad(a, facial[len(facial)-1], lingual[len(lingual)-1])...)
	}
	rim = append(rim, reversed(lingual)...)
	if a.extension() {
		// Round the joints of flange and pad off.
		dense := geom.Resample(rim, max(20, int(geom.Length(rim)/1.2)))
		rim = evenOpen(dense, 4)
	}
	for i := range rim {
		rim[i] = g.snapSoft(rim[i])
		// Rounding must not carry it past the fold beside a frenum.
		pf := g.profileAt(g.stationOf(rim[i]), facialSide)
		if f, ok := g.foldAt(pf); ok {
			if t, d := pf.nearest(rim[i]); d < 0.8 && t > f-0.2 {
				rim[i] = pf.point(f - 0.3)
			}
		}
	}
	return rim
}

func evenOpen(line []geom.Vec, rounds int) []geom.Vec {
	for r := 0; r < rounds; r++ {
		old := append([]geom.Vec{}, line...)
		for i := 1; i+1 < len(line); i++ {
			line[i] = old[i].Scale(0.5).Add(old[i-1].Add(old[i+1]).Scale(0.25))
		}
	}
	return line
}

// roundPad is the far part of the pad's or tuberosity's outline, just outside it, from
// the facial to the inner side.
func (l *layout) roundPad(a *area, from, to geom.Vec) []geom.Vec {
	pad := l.g.cast.Marks.Pad(a.right)
	if !pad.Known() || len(pad.Points) < 5 {
		return nil
	}
	c := geom.Vec{}
	for _, p := range pad.Points {
		c = c.Add(p)
	}
	c = c.Scale(1 / float64(len(pad.Points)))
	pts := geom.ResampleClosed(pad.Points, 40)
	// From the pad's widest place on the facial to that on the inner side; of the two ways
	// between them the one round the back is farther from the stretch's middle.
	widest := func(dir geom.Vec) int {
		best, at := math.Inf(-1), 0
		for i, q := range pts {
			if d := q.Sub(c).Dot(dir); d > best {
				best, at = d, i
			}
		}
		return at
	}
	dir := from.Sub(to)
	dir.Z = 0
	i, j := widest(dir.Unit()), widest(dir.Unit().Neg())
	mid, _ := a.along(a.length() / 2)
	way := func(step int) (line []geom.Vec, far float64) {
		for k := i; ; k = (k + step + len(pts)) % len(pts) {
			line = append(line, pts[k])
			far += pts[k].XY().Dist(mid.XY())
			if k == j {
				break
			}
		}
		return line, far / float64(len(line))
	}
	a1, d1 := way(1)
	a2, d2 := way(-1)
	line := a1
	if d2 > d1 {
		line = a2
	}
	for k := range line {
		out := line[k].Sub(c)
		out.Z = 0
		line[k] = line[k].Add(out.Unit().Scale(0.6))
	}
	return line
}

// upperFinish is how far down the palatal slope from the crest the resin meets the metal:
// a little inside the replacement teeth's palatal faces.
func (l *layout) upperFinish(a *area) float64 {
	half := 4.5
	if a.anterior() {
		half = 3.5
	}
	return half + 1.5
}

// coveredShare is the share of a closed outline's inside that lies in another, seen from
// the occlusal.
func coveredShare(inside, cover []geom.Vec) float64 {
	p, q := flat(inside), flat(cover)
	b := geom.BoxOf(inside)
	all, in := 0, 0
	const n = 24
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			v := geom.Vec2{X: b.Min.X + b.Size().X*(float64(i)+0.5)/n, Y: b.Min.Y + b.Size().Y*(float64(j)+0.5)/n}
			if geom.Contains2(p, v) {
				all++
				if geom.Contains2(q, v) {
					in++
				}
			}
		}
	}
	if all == 0 {
		return 0
	}
	return float64(in) / float64(all)
}

func flat(line []geom.Vec) []geom.Vec2 {
	out := make([]geom.Vec2, len(line))
	for i, p := range line {
		out[i] = p.XY()
	}
	return out
}

func flatArea(line []geom.Vec) float64 { return math.Abs(geom.Area2(flat(line))) }

// tissueStop lays a window in the relief at the lattice's far end, on the ridge's middle.
func (l *layout) tissueStop(q *Placed) {
	a := l.areaNamed(q.Part.Joins)
	if a == nil {
		for _, b := range l.bases {
			if a == nil && b.extension() {
				a = b
			}
		}
	}
	if a == nil || len(a.crest) < 2 || a.latticeEnd == 0 {
		q.short("stop_size", l.lim.StopSize, 0, 0, "there is no lattice for the stop to stand under")
		return
	}
	size := dimension(q.Part, "size", l.lim.StopSize)
	_, s0 := a.along(a.latticeEnd - size)
	_, s1 := a.along(a.latticeEnd)
	g := l.g
	var rim []geom.Vec
	const n = 4
	for i := 0; i <= n; i++ {
		rim = append(rim, g.snapSoft(l.across(s0+(s1-s0)*float64(i)/n, size/2)))
	}
	for i := n; i >= 0; i-- {
		rim = append(rim, g.snapSoft(l.across(s0+(s1-s0)*float64(i)/n, -size/2)))
	}
	q.Patches = append(q.Patches, Patch{Role: Stop, Outline: rim, Thickness: l.lim.BaseRelief})
	mid, _ := a.along(a.latticeEnd)
	in, _ := a.along(a.latticeEnd - size)
	l.measure(q, "stop_size", math.Min(mid.Dist(in), l.across((s0+s1)/2, size/2).Dist(l.across((s0+s1)/2, -size/2))), 0, in, mid)
	if a.extension() {
		pz, _ := a.along(a.length())
		l.measure(q, "stop_to_pad", a.length()-a.latticeEnd, 0, mid, pz)
	}
}

// finishLine lays the edge where resin meets the metal of the major connector: the
// external on the polished side, the internal under it, apart from one another.
func (l *layout) finishLine(q *Placed) {
	a := l.areaNamed(q.Part.Joins)
	if a == nil && len(l.bases) == 1 {
		a = l.bases[0]
	}
	if a == nil || len(a.crest) < 2 {
		q.short("finish_offset", l.lim.FinishOffset, 0, 0, "the part names no base that it belongs to")
		return
	}
	offset := dimension(q.Part, "offset", l.lim.FinishOffset)
	inner, outer := l.finishPair(a, offset)
	own, other := outer, inner
	if q.Part.Side == "internal" {
		own, other = inner, outer
	}
	for _, line := range own {
		out := l.g.normalsOf(line)
		q.Curves = append(q.Curves, l.curve(Finish, line, out, Flat, 0, 0, 0, 0))
	}
	if gap, from, to := apart(own, other); !math.IsInf(gap, 1) {
		l.measure(q, "finish_offset", gap, 0, from, to)
		if gap < offset-0.06 {
			q.short("finish_offset", offset, gap, 0, "the border is too short to part the two lines farther")
		}
	}
}

// apart is the least distance between two sets of lines.
func apart(a, b [][]geom.Vec) (gap float64, from, to geom.Vec) {
	gap = math.Inf(1)
	for _, c := range a {
		for _, o := range b {
			w := geom.NewWalk(o)
			for _, p := range c {
				if s, d := w.Nearest(p); d < gap {
					gap, from, to = d, p, w.At(s)
				}
			}
		}
	}
	return gap, from, to
}

// finishPair is the internal and the external finish line of a base, set apart so far
// that they are the offset from one another where they come nearest.
func (l *layout) finishPair(a *area, offset float64) (internal, external [][]geom.Vec) {
	extra := offset
	for round := 0; round < 5; round++ {
		internal, external = l.finishOf(a, true, extra), l.finishOf(a, false, extra)
		gap, _, _ := apart(internal, external)
		if math.IsInf(gap, 1) || gap >= offset && gap < offset+0.05 {
			break
		}
		extra = math.Min(offset*2, extra+offset+0.02-gap)
	}
	return internal, external
}

// finishOf is where the finish lines of a base run. In the lower arch they cross the end
// of the connector, the internal in front; in the upper they follow the palatal side of
// the replacement teeth, the internal farther to the midline.
func (l *layout) finishOf(a *area, internal bool, offset float64) [][]geom.Vec {
	g := l.g
	var lines [][]geom.Vec
	if g.cast.Arch == tooth.Upper {
		v := l.upperFinish(a)
		if internal {
			v += offset
		}
		var line []geom.Vec
		total := a.length()
		n := max(6, int(total/1.0)+1)
		for i := 0; i < n; i++ {
			_, s := a.along(1.2 + (total-2.4)*float64(i)/float64(n-1))
			line = append(line, g.snapSoft(g.on(s, v, lingualSide)))
		}
		return append(lines, evenOpen(line, 4))
	}
	for _, n := range []tooth.Number{a.abutment, a.far} {
		if n == 0 {
			continue
		}
		run := l.lim.BaseReliefStart
		if n == a.far && a.length() < 2*run+3*offset {
			continue // in a short space the lines of both ends would meet; one end is closed
		}
		if !internal {
			run += offset
		}
		s := a.stationFrom(n, run)
		var line []geom.Vec
		const from = 1.0
		to := 6.0
		if l.bar != nil && l.bar.side == lingualSide {
			t, ok := l.bar.upperAt(s)
			if !ok {
				if n == a.far {
					continue // the connector does not come to this end
				}
				t = 3
			}
			to = l.bar.lowerAt(s, t+4.5)
		}
		for i := 0; i <= 10; i++ {
			line = append(line, g.snapSoft(g.on(s, from+(to-from)*float64(i)/10, lingualSide)))
		}
		lines = append(lines, evenOpen(line, 2))
	}
	return lines
}

// replacement lays a replacement tooth's crown outline over its ridge.
func (l *layout) replacement(q *Placed) {
	n := q.Part.Tooth
	var a *area
	for _, b := range l.bases {
		if contains(b.teeth, n) {
			a = b
		}
	}
	if a == nil || len(a.crest) < 2 {
		q.short("crown_width", 0, 0, n, "no base replaces this tooth")
		return
	}
	begin, width, breadth := l.setTooth(a, n)
	if width == 0 {
		q.short("crown_width", 0, 0, n, "the base has no place for this tooth")
		return
	}
	g := l.g
	mid, s := a.along(begin + width/2)
	lead, _ := a.along(begin)
	trail, _ := a.along(begin + width)
	t := trail.Sub(lead)
	t.Z = 0
	t = t.Unit()
	facial := g.inward(g.tangent(s)).Neg()
	facial = facial.Sub(t.Scale(facial.Dot(t))).Unit()
	z := l.occlusalHeight(a)
	centre := geom.V(mid.X, mid.Y, z)
	if n.Kind().Anterior() {
		centre = centre.Add(facial.Scale(1.2))
	}
	power := 2.6
	switch {
	case n.Kind().Molar():
		power = 3.4
	case n.Kind().Anterior():
		power = 2.2
	}
	const m = 40
	var rim []geom.Vec
	for i := 0; i < m; i++ {
		sn, cs := math.Sincos(2 * math.Pi * float64(i) / m)
		x := math.Copysign(math.Pow(math.Abs(cs), 2/power), cs) * width / 2
		y := math.Copysign(math.Pow(math.Abs(sn), 2/power), sn) * breadth / 2
		if n.Kind().Anterior() && y < 0 {
			x *= 1 + 0.28*y/(breadth/2) // front teeth narrow to the lingual
		}
		rim = append(rim, centre.Add(t.Scale(x)).Add(facial.Scale(y)))
	}
	q.Patches = append(q.Patches, Patch{Role: Crown, Outline: rim})
	x0, x1 := spread(rim, t)
	l.measure(q, "crown_width", math.Abs(x1.Sub(x0).Dot(t)), n, x0, x1)
	y0, y1 := spread(rim, facial)
	l.measure(q, "crown_breadth", math.Abs(y1.Sub(y0).Dot(facial)), n, y0, y1)
	if a.extension() {
		far, _ := a.along(begin + width)
		end, _ := a.along(a.latticeEnd)
		if behind := begin + width - a.latticeEnd; behind > 0 {
			l.measure(q, "behind_lattice", behind, n, end, far)
		}
	}
	l.angle(q, "ridge_slope_deg", geom.InDeg(math.Atan2(trail.Z-lead.Z, trail.XY().Dist(lead.XY()))), n, lead, trail)
}

// occlusalHeight is the level the replacement teeth of a stretch are set to: that of the
// teeth beside it, or the occlusal plane.
func (l *layout) occlusalHeight(a *area) float64 {
	sum, n := 0.0, 0.0
	for _, t := range []tooth.Number{a.abutment, a.far} {
		if k := l.g.crown(t); k != nil {
			for _, p := range k.tooth.CuspTips {
				sum += p.Z
				n++
			}
		}
	}
	if n == 0 {
		return 0
	}
	return sum / n
}

// crownSize is the usual mesiodistal width and faciolingual breadth of a tooth [mm]
// (Nelson and Ash, Wheeler's Dental Anatomy, table of average dimensions; from memory in
// part).
func crownSize(n tooth.Number) (md, fl float64) {
	upper := [9][2]float64{{}, {8.5, 7.0}, {6.5, 6.0}, {7.5, 8.0}, {7.0, 9.0}, {7.0, 9.0}, {10.0, 11.0}, {9.0, 11.0}, {8.5, 10.0}}
	lower := [9][2]float64{{}, {5.0, 6.0}, {5.5, 6.5}, {7.0, 7.5}, {7.0, 7.5}, {7.0, 8.0}, {11.0, 10.5}, {10.5, 10.0}, {10.0, 9.5}}
	d := lower[n.Place()]
	if n.Arch() == tooth.Upper {
		d = upper[n.Place()]
	}
	return d[0], d[1]
}

// setTooth is where a replacement tooth begins along its stretch, how wide it is and how
// broad. Between two abutments the teeth share the span; at a free end they follow one
// another from the abutment, a little narrower where they would not fit the ridge. Back
// teeth are set narrower than natural ones, to spare the ridge.
func (l *layout) setTooth(a *area, n tooth.Number) (begin, width, breadth float64) {
	var set []tooth.Number
	for _, t := range a.teeth {
		for _, p := range l.d.Of(design.ReplacementTooth) {
			if p.Tooth == t {
				set = append(set, t)
				break
			}
		}
	}
	sum := 0.0
	for _, t := range set {
		md, _ := crownSize(t)
		sum += md
	}
	if sum == 0 {
		return 0, 0, 0
	}
	scale := 1.0
	room := a.length() - 0.4
	if !a.extension() {
		scale = math.Min(1.12, room/sum)
	} else if sum > room {
		scale = math.Max(0.8, room/sum)
	}
	at := 0.2
	if !a.extension() {
		at = (a.length() - sum*scale) / 2
	}
	for _, t := range set {
		md, fl := crownSize(t)
		if t == n {
			if !t.Kind().Anterior() {
				fl *= 0.85
			}
			return at, md * scale, fl
		}
		at += md * scale
	}
	return 0, 0, 0
}
