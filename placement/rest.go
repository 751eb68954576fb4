package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// rest lays a rest's seat on its crown.
func (l *layout) rest(q *Placed) {
	k := l.g.crown(q.Part.Tooth)
	switch q.Part.Form {
	case design.RestCingulum:
		l.cingulumRest(q, k)
	case design.RestBall:
		l.ballRest(q, k)
	case design.RestIncisal:
		l.incisalRest(q, k)
	case design.RestOnlay:
		l.onlayRest(q, k)
	default:
		l.occlusalRest(q, k)
	}
	l.restToPlate(q, k)
}

// restToPlate joins a rest beside a space to the guide plate under it: the metal runs down
// from the marginal ridge to the plate's top edge.
func (l *layout) restToPlate(q *Placed, k *crown) {
	p := q.Part
	if p.Site == tooth.Lingual {
		l.lingualRestToPlate(q, k)
		return
	}
	if p.Site != tooth.Mesial && p.Site != tooth.Distal {
		return
	}
	for _, plate := range l.d.On(design.GuidePlate, p.Tooth) {
		if plate.Surface != p.Site {
			continue
		}
		mid := 270.0
		if p.Site == tooth.Mesial {
			mid = 90
		}
		ridge, _ := k.ridgeOf(p.Site == tooth.Mesial)
		end := k.at(mid, l.bandOf(plate, k).top(mid))
		n := max(2, int(ridge.Dist(end)/0.5)+1)
		line := make([]geom.Vec, n)
		for i := range line {
			line[i] = ridge.Lerp(end, float64(i)/float64(n-1))
			if i > 0 && i < n-1 {
				line[i] = l.g.snap(line[i])
			}
		}
		w, t := math.Max(2, l.lim.MinorWidth*0.7), l.lim.PlateThickness
		q.Curves = append(q.Curves, l.curve(Rigid, line, l.g.normalsOf(line), Flat, w, w, t, t))
		return
	}
}

// lingualRestToPlate joins a rest on the lingual that no upright carries to the guide
// plate of its tooth, along the lingual surface.
func (l *layout) lingualRestToPlate(q *Placed, k *crown) {
	n := q.Part.Tooth
	for _, m := range l.d.Of(design.MinorConnector) {
		if contains(m.At, n) {
			return
		}
	}
	from, ok := q.seatCentre()
	if !ok {
		return
	}
	deg, h := k.locate(from)
	for _, plate := range l.d.On(design.GuidePlate, n) {
		if plate.Surface == tooth.Lingual {
			continue
		}
		b := l.bandOf(plate, k)
		end := b.lingual
		if end < 0 {
			end += 360
		}
		way := []geom.Vec{from}
		for i := 1; i <= 8; i++ {
			d := deg + (end-deg)*float64(i)/8
			way = append(way, k.at(d, h+(0.5*(b.top(end)+b.low(end))-h)*float64(i)/8))
		}
		line := geom.Resample(way, max(4, int(geom.Length(way)/0.5)))
		w, t := math.Max(2, l.lim.MinorWidth*0.7), l.lim.PlateThickness
		q.Curves = append(q.Curves, l.curve(Rigid, line, l.g.normalsOf(line), HalfRound, w, w, t, t))
		return
	}
}

// onTooth is the top of a crown under a point, looking along the path; where the crown
// does not reach there it is the crown's nearest point.
func (g *ground) onTooth(n tooth.Number, p geom.Vec) geom.Vec {
	own := func(f int) bool { return g.cast.Labels[f] == n }
	if q, _, ok := g.surface.TopOf(p.X, p.Y, own); ok {
		return q
	}
	q, f := g.surface.NearestOf(p, own)
	if f < 0 {
		return p
	}
	return q
}

// ridgeOf is the middle of the marginal ridge (or the incisal angle) of a side, and the
// level direction from it into the crown.
func (k *crown) ridgeOf(mesial bool) (ridge, inward geom.Vec) {
	ridge, in := k.tooth.DistalRidge, k.x
	if mesial {
		ridge, in = k.tooth.MesialRidge, k.x.Neg()
	}
	fossa := k.tooth.DistalFossa
	if mesial {
		fossa = k.tooth.MesialFossa
	}
	if fossa != (geom.Vec{}) {
		if v := fossa.Sub(ridge).Across(k.up); v.Norm() > 0.3 && v.Unit().Dot(in) > 0.6 {
			in = v.Unit()
		}
	}
	return ridge, in
}

// occlusalRest is a rounded triangle, its base on the marginal ridge: the occlusal,
// extended and embrasure forms.
func (l *layout) occlusalRest(q *Placed, k *crown) {
	p, lim := q.Part, l.lim
	mesial := p.Site != tooth.Distal
	ridge, u := k.ridgeOf(mesial)
	v := k.up.Cross(u).Unit()
	if v.Dot(k.y) < 0 {
		v = v.Neg() // facial
	}
	width := dimension(p, "width", math.Max(lim.RestMinWidth, lim.RestWidthShare*k.fl))
	length := dimension(p, "length", math.Min(math.Max(lim.RestLengthMin*k.md, width), math.Max(width, lim.RestLengthMax*k.md)))
	if p.Form == design.RestExtended {
		length = dimension(p, "length", 0.55*k.md)
	}
	const base = 0.16 // share of the length over which the base's corners are rounded
	half := func(x float64) float64 {
		f := x / length
		if f < base {
			c := 1 - f/base
			return width / 2 * (1 - 0.25*c*c)
		}
		f = (f - base) / (1 - base)
		return width / 2 * math.Pow(math.Max(0, 1-math.Pow(f, 2)), 0.62)
	}
	// An embrasure seat opens into a channel, only to the sides over which metal crosses.
	channel := 0.0
	toFacial := false
	if p.Form == design.RestEmbrasure {
		channel = dimension(p, "channel", lim.EmbrasureChannel)
		for _, r := range l.d.Of(design.Retainer) {
			if (r.Form == design.ClaspEmbrasure || r.Form == design.ClaspReverseCirclet) && (r.Tooth == p.Tooth || contains(r.Teeth, p.Tooth) || beside(r.Tooth, p.Tooth, mesial)) {
				toFacial = true
			}
		}
	}
	flare := func(x float64, facial bool) float64 {
		h := half(x)
		if channel > 0 && (!facial || toFacial) {
			h = math.Max(h, channel/2*(1+0.25*math.Max(0, 1-x/1.2)))
			if x > 1.0 {
				h = math.Max(half(x), math.Min(h, channel/2*(1-(x-1.0)/0.8)))
			}
		}
		return h
	}
	const n = 14
	var left, right []geom.Vec2
	for i := 0; i <= n; i++ {
		x := length * (1 - math.Cos(math.Pi*float64(i)/n)) / 2
		right = append(right, geom.Vec2{X: x, Y: flare(x, true)})
		left = append(left, geom.Vec2{X: x, Y: -flare(x, false)})
	}
	flat := append([]geom.Vec2{}, right...)
	for i := n - 1; i >= 0; i-- {
		flat = append(flat, left[i])
	}
	if s := l.g.carry(k, ridge, u, v, right, half); s != 0 {
		ridge = l.g.onTooth(p.Tooth, ridge.Add(v.Scale(s)))
	}
	outline := make([]geom.Vec, len(flat))
	for i, f := range flat {
		outline[i] = l.g.onTooth(p.Tooth, ridge.Add(u.Scale(f.X)).Add(v.Scale(f.Y)))
	}
	metal := dimension(p, "thickness", lim.RestMetalRidge)
	q.Patches = append(q.Patches, Patch{Role: Seat, Outline: outline, Thickness: metal})

	a, b := spread(outline, v)
	l.measure(q, "seat_width", math.Abs(b.Sub(a).Dot(v)), p.Tooth, a, b)
	l.ratio(q, "seat_width_share", math.Abs(b.Sub(a).Dot(v))/k.fl, p.Tooth)
	if wide := math.Abs(b.Sub(a).Dot(v)); wide < width-0.05 {
		q.short("seat_width", width, wide, p.Tooth, "the crown is too narrow there for a wider seat")
	}
	c, d := spread(outline, u)
	l.measure(q, "seat_length", math.Abs(d.Sub(c).Dot(u)), p.Tooth, c, d)
	l.ratio(q, "seat_length_share", math.Abs(d.Sub(c).Dot(u))/k.md, p.Tooth)
	if channel > 0 {
		l.measure(q, "channel_width", math.Abs(b.Sub(a).Dot(v)), p.Tooth, a, b)
	}
	depth := dimension(p, "depth", lim.RestDepthRidge)
	centre := dimension(p, "depth_centre", depth+lim.RestDepthCentre-lim.RestDepthRidge)
	// The floor: as deep under the marginal ridge as asked, spoon-shaped to its deepest place
	// toward the middle of the tooth, then rising to the surface.
	const deepestAt = 0.62 // of the length
	var floor []geom.Vec
	for i, f := range flat {
		t := f.X / length
		down := depth + (centre-depth)*math.Sin(math.Pi/2*math.Min(1, t/deepestAt))
		surface := outline[i].Sub(ridge).Dot(k.up)
		z := math.Min(surface, -down)
		if t > deepestAt {
			rise := (t - deepestAt) / (1 - deepestAt)
			z = math.Min(surface, z+(surface-z)*rise*rise)
		}
		floor = append(floor, ridge.Add(u.Scale(f.X)).Add(v.Scale(0.8*f.Y)).Add(k.up.Scale(z)))
	}
	q.Patches = append(q.Patches, Patch{Role: Floor, Outline: floor, Thickness: metal})
	front, deep := floor[0], floor[0]
	for _, x := range floor[:n+1] { // along one side, from the ridge inward
		if x.Sub(deep).Dot(k.up) < 0 {
			deep = x
		}
	}
	l.measure(q, "seat_depth_ridge", ridge.Sub(front).Dot(k.up), p.Tooth, ridge, front)
	l.measure(q, "seat_depth_centre", ridge.Sub(deep).Dot(k.up), p.Tooth, ridge, deep)
	// Between the floor and the upright connector that comes down from the ridge.
	l.floorAngle(q, k, deep.Sub(front), u, front, deep)
	l.planned(q, "metal_at_ridge", math.Min(metal, depth), p.Tooth)
	l.planned(q, "metal_least", math.Min(metal, depth), p.Tooth)
	if length > lim.RestLengthMax*k.md+0.01 && p.Form == design.RestOcclusal {
		q.short("seat_length_share", lim.RestLengthMax, length/k.md, p.Tooth, "the crown is too short mesiodistally for a seat as long as it is wide")
	}
}

// carry is how far a seat is moved along v, sideways, so that the crown reaches under its
// whole width: 0 where it does already, the least that does it, and where nothing does, to
// the middle of what the crown reaches. A marginal ridge's highest place may lie near an
// embrasure. The seat is half(x) to either side at the distances x of at, along u from the ridge.
func (g *ground) carry(k *crown, ridge, u, v geom.Vec, at []geom.Vec2, half func(x float64) float64) float64 {
	const step = 0.05
	on := func(x, y float64) bool {
		_, ok := g.topOf(k, ridge.Add(u.Scale(x)).Add(v.Scale(y)))
		return ok
	}
	whole := true
	for _, f := range at {
		h := half(f.X)
		whole = whole && on(f.X, h) && on(f.X, -h)
	}
	if whole {
		return 0
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, f := range at {
		h := half(f.X)
		reach := func(side float64) float64 {
			y := 0.0
			for y < k.fl && on(f.X, side*(y+step)) {
				y += step
			}
			return y
		}
		lo, hi = math.Max(lo, h-reach(-1)), math.Min(hi, reach(1)-h)
	}
	if lo > hi {
		return (lo + hi) / 2
	}
	return math.Max(lo, math.Min(hi, 0))
}

func beside(a, b tooth.Number, mesial bool) bool {
	if a == 0 || b == 0 {
		return false
	}
	if mesial {
		return b.Mesial() == a
	}
	return b.Distal() == a
}

func contains(list []tooth.Number, n tooth.Number) bool {
	for _, t := range list {
		if t == n {
			return true
		}
	}
	return false
}

// spread finds the two points farthest apart along a direction.
func spread(line []geom.Vec, dir geom.Vec) (lo, hi geom.Vec) {
	a, b := math.Inf(1), math.Inf(-1)
	for _, p := range line {
		d := p.Dot(dir)
		if d < a {
			a, lo = d, p
		}
		if d > b {
			b, hi = d, p
		}
	}
	return lo, hi
}

// cingulumRest is a crescent at the junction of the gingival and middle thirds of the
// lingual surface, its apex to the incisal edge.
func (l *layout) cingulumRest(q *Placed, k *crown) {
	p, lim := q.Part, l.lim
	length, depth := dimension(p, "length", math.Max(lim.CingLength, 3)), dimension(p, "depth", lim.CingDepth)
	mid := 180.0
	h := k.top(mid) / 3
	if c := k.tooth.Cingulum; c != (geom.Vec{}) {
		if deg, ch := k.locate(c); math.Abs(deg-180) < 40 && ch > 0.15*k.top(mid) && ch < 0.55*k.top(mid) {
			h = (h + ch) / 2
		}
	}
	width := dimension(p, "width", lim.CingWidth)
	in := k.outward(mid).Neg()
	// On a lower front tooth the enamel is too thin to cut a seat: it is built up there.
	built := k.tooth.Number.Arch() == tooth.Lower
	if !built {
		h = k.widestLedge(h, depth, width)
	}
	h = math.Max(h, depth/2+0.8)
	// The angle that spans the length at this height.
	span := 20.0
	for i := 0; i < 12; i++ {
		if w := k.at(mid-span, h).Dist(k.at(mid+span, h)); w > 0 {
			span = math.Min(70, span*length/w)
		}
	}
	const n = 16
	var high, low, lip, deep []geom.Vec
	for i := 0; i <= n; i++ {
		f := -1 + 2*float64(i)/n
		deg := mid + f*span
		end := math.Sqrt(math.Max(0, 1-f*f*f*f))
		centre := h - 0.3*depth + 0.55*depth*(1-f*f)
		open := depth * end
		if !built {
			open, _ = k.opening(deg, centre, open, width, in)
		}
		u, d := k.at(deg, centre+open/2), k.at(deg, centre-open/2)
		high, low = append(high, u), append(low, d)
		if built {
			run := width * end
			deep, lip = append(deep, d), append(lip, d.Sub(in.Scale(run)).Add(k.up.Scale(ledgeFall*run)))
		} else {
			deep, lip = append(deep, k.ledge(d, u, in, width)), append(lip, d)
		}
	}
	metal := dimension(p, "thickness", lim.RestMetalRidge)
	outline := ring(high, low)
	q.Patches = append(q.Patches, Patch{Role: Seat, Outline: outline, Thickness: metal}, Patch{Role: Floor, Outline: ring(lip, deep), Thickness: metal})
	a, b := spread(outline, k.x)
	l.measure(q, "seat_length", a.Dist(b), p.Tooth, a, b)
	l.ratio(q, "seat_length_share", a.Dist(b)/k.md, p.Tooth)
	const m = n / 2
	got := deep[m].Sub(lip[m])
	wide := got.Dot(in)
	l.measure(q, "seat_width", wide, p.Tooth, lip[m], deep[m])
	l.measure(q, "seat_depth_ridge", high[m].Sub(deep[m]).Dot(k.up), p.Tooth, high[m], deep[m])
	_, hh := k.locate(k.at(mid, h))
	l.ratio(q, "seat_height_share", hh/k.top(mid), p.Tooth)
	l.floorAngle(q, k, got, in, lip[m], deep[m])
	if wide < width-0.05 {
		q.short("seat_width", width, wide, p.Tooth, "the lingual surface is too steep for a wider seat of this depth; cut it deeper where the enamel allows, or build it up")
	}
	l.planned(q, "metal_at_ridge", dimension(p, "thickness", lim.RestMetalRidge), p.Tooth)
	l.planned(q, "metal_least", dimension(p, "thickness", lim.RestMetalRidge), p.Tooth)
}

// opening is how high a seat on a lingual surface opens about a height so that its floor lies
// as deep under the opening's upper edge as asked, and how far the floor then runs in, at
// most to a width.
func (k *crown) opening(deg, centre, depth, width float64, in geom.Vec) (open, wide float64) {
	open = depth
	for r := 0; r < 8; r++ {
		wide = math.Max(0, math.Min(width, k.at(deg, centre+open/2).Sub(k.at(deg, centre-open/2)).Dot(in)))
		open = depth - ledgeFall*wide
	}
	return open, wide
}

// widestLedge is the height near h at which the lingual surface gives a cingulum seat its
// width: the nearest that gives it whole, else where it is widest, if that is worth going
// there. A seat is taught at the junction of the gingival and middle thirds; over a high
// cingulum the shoulder that can carry one lies above that.
func (k *crown) widestLedge(h, depth, width float64) float64 {
	const step, worth = 0.1, 0.3       // [mm]
	const lowest, highest = 0.25, 0.45 // shares of the crown's height: higher up a rest has too long a lever
	apex := 0.25 * depth               // of the crescent above its height
	in := k.outward(180).Neg()
	wide := func(h float64) float64 {
		_, w := k.opening(180, h+apex, depth, width, in)
		return w
	}
	own := wide(h)
	best, at := own, h
	for d := step; own < width; d += step {
		lo, hi := h-d, h+d
		inside := false
		for _, x := range []float64{lo, hi} {
			if x < math.Max(lowest*k.top(180), depth/2+0.8) || x > highest*k.top(180) {
				continue
			}
			inside = true
			if w := wide(x); w > best+1e-9 {
				best, at = w, x
			}
		}
		if best >= width-0.01 || !inside && (lo < lowest*k.top(180) && hi > highest*k.top(180)) {
			break
		}
	}
	if best < width-0.01 && best < own+worth {
		return h
	}
	return at
}

// ledgeFall is how far the floor of a seat on a lingual surface falls toward the tooth, over
// its width: enough that the rest does not slide off. Our own choice; taught is only that
// floor and upright meet at less than a right angle.
const ledgeFall = 0.25

// ledge is the deepest place of a seat that opens on a lingual surface from low to high: its
// floor falls from the low edge toward the tooth, at most to the width asked, and no farther
// than under the upper edge, so that the rest comes in along the path.
func (k *crown) ledge(low, high, in geom.Vec, width float64) geom.Vec {
	toward := high.Sub(low).Across(k.up)
	room := toward.Dot(in)
	if room <= 0 {
		return low
	}
	run := math.Min(width, room)
	return low.Add(toward.Scale(run / room)).Sub(k.up.Scale(ledgeFall * run))
}

// floorAngle writes down the angle between a seat's floor, which runs inward by fall, and
// the upright connector that comes down from its outer edge.
func (l *layout) floorAngle(q *Placed, k *crown, fall, in, from, to geom.Vec) {
	l.angle(q, "seat_floor_angle_deg", geom.InDeg(math.Atan2(fall.Dot(in), -fall.Dot(k.up))), q.Part.Tooth, from, to)
}

// ring closes two lines that run the same way, and meet at their ends, to an outline.
func ring(a, b []geom.Vec) []geom.Vec {
	out := append([]geom.Vec{}, a...)
	for i := len(b) - 2; i > 0; i-- {
		out = append(out, b[i])
	}
	return out
}

// ballRest is a round seat on the lingual surface or over a marginal ridge.
func (l *layout) ballRest(q *Placed, k *crown) {
	p := q.Part
	r := dimension(p, "width", l.lim.BallDiameter) / 2
	mid := 180.0
	switch p.Site {
	case tooth.Mesial:
		mid = 142
	case tooth.Distal:
		mid = 218
	}
	h := math.Max(k.top(mid)*0.4, r+0.8)
	centre := k.at(mid, h)
	n := k.normal(mid, h)
	e := k.up.Across(n).Unit()
	f := n.Cross(e)
	depth := dimension(p, "depth", r)
	in := k.outward(mid).Neg()
	// A floor that runs in by one goes so deep under the surface.
	under := -in.Dot(n) + ledgeFall*k.up.Dot(n)
	const m = 12
	var high, low, floor []geom.Vec
	deepest, lip, bottom := 0.0, geom.Vec{}, geom.Vec{}
	for i := 0; i <= m; i++ {
		s, c := math.Sincos(math.Pi * float64(i) / m)
		side := centre.Add(f.Scale(r * c))
		u, d := l.g.snap(side.Add(e.Scale(r*s))), l.g.snap(side.Sub(e.Scale(r*s)))
		x := k.ledge(d, u, in, depth/math.Max(under, 0.1)*s)
		high, low, floor = append(high, u), append(low, d), append(floor, x)
		if v := d.Sub(x).Dot(n); v > deepest {
			deepest, lip, bottom = v, d, x
		}
	}
	outline := ring(high, low)
	q.Patches = append(q.Patches, Patch{Role: Seat, Outline: outline, Thickness: l.lim.RestMetalRidge}, Patch{Role: Floor, Outline: ring(low, floor), Thickness: l.lim.RestMetalRidge})
	a, b := spread(outline, f)
	l.measure(q, "seat_width", a.Dist(b), p.Tooth, a, b)
	c, d := spread(outline, e)
	l.measure(q, "seat_length", c.Dist(d), p.Tooth, c, d)
	l.measure(q, "seat_depth_ridge", deepest, p.Tooth, lip, bottom)
	if deepest > 0 {
		l.floorAngle(q, k, bottom.Sub(lip), in, lip, bottom)
	}
	if deepest < depth-0.05 {
		q.short("seat_depth_ridge", depth, deepest, p.Tooth, "the lingual surface is too steep for a deeper seat that still opens to the path")
	}
	l.ratio(q, "seat_height_share", h/k.top(mid), p.Tooth)
	l.planned(q, "metal_at_ridge", l.lim.RestMetalRidge, p.Tooth)
	l.planned(q, "metal_least", l.lim.RestMetalRidge, p.Tooth)
}

// incisalRest is a rounded notch over the incisal edge, bevelled to both faces.
func (l *layout) incisalRest(q *Placed, k *crown) {
	p, lim := q.Part, l.lim
	width, depth := dimension(p, "width", lim.IncisalWidth), dimension(p, "depth", lim.IncisalDepth)
	from := dimension(p, "from_angle", lim.IncisalFromAngle)
	corner, in := k.tooth.DistalRidge, k.x
	if p.Site == tooth.Mesial {
		corner, in = k.tooth.MesialRidge, k.x.Neg()
	}
	// The edge at a distance from the corner.
	edge := func(x float64) geom.Vec {
		return l.g.crest(k, l.g.onTooth(p.Tooth, corner.Add(in.Scale(from+x))))
	}
	centre := edge(0)
	const n = 20
	outline := make([]geom.Vec, n)
	for i := range outline {
		s, c := math.Sincos(2 * math.Pi * float64(i) / n)
		// Along the edge the notch's width, across it over both bevels down to its depth.
		side := k.y.Scale(s * 1.4)
		at := edge(width / 2 * c).Add(side).Sub(k.up.Scale(depth * math.Abs(s)))
		own := func(f int) bool { return l.g.cast.Labels[f] == p.Tooth }
		if at2, f := l.g.surface.NearestOf(at, own); f >= 0 {
			at = at2
		}
		outline[i] = at
	}
	q.Patches = append(q.Patches, Patch{Role: Seat, Outline: outline, Thickness: lim.RestMetalRidge})
	a, b := spread(outline, in)
	l.measure(q, "seat_width", math.Abs(b.Sub(a).Dot(in)), p.Tooth, a, b)
	l.measure(q, "seat_to_incisal_angle", math.Abs(centre.Sub(corner).Dot(in)), p.Tooth, corner, centre)
	floor, lingual, facial := l.notch(k, edge, width, depth)
	q.Patches = append(q.Patches, Patch{Role: Floor, Outline: floor, Thickness: lim.RestMetalRidge})
	l.measure(q, "seat_depth_ridge", centre.Sub(lingual).Dot(k.up), p.Tooth, centre, lingual)
	l.measure(q, "seat_length", math.Abs(facial.Sub(lingual).Dot(k.y)), p.Tooth, lingual, facial)
	l.planned(q, "metal_at_ridge", lim.RestMetalRidge, p.Tooth)
	l.planned(q, "metal_least", lim.RestMetalRidge, p.Tooth)
}

// crest is the highest place of an incisal edge near p, looked for across the edge.
func (g *ground) crest(k *crown, p geom.Vec) geom.Vec {
	const step, far = 0.05, 1.5
	best := p
	for y := -far; y <= far; y += step {
		if q, ok := g.topOf(k, p.Add(k.y.Scale(y))); ok && q.Sub(best).Dot(k.up) > 0 {
			best = q
		}
	}
	return best
}

// topOf is the top of a crown over or under a point; false where it does not reach there.
func (g *ground) topOf(k *crown, p geom.Vec) (geom.Vec, bool) {
	q, _, ok := g.surface.TopOf(p.X, p.Y, func(f int) bool { return g.cast.Labels[f] == k.tooth.Number })
	return q, ok
}

// notch carves the floor of an incisal seat: across the edge from face to face, rounded
// along it, and in its middle as deep under the edge as asked. It gives the floor and the
// two ends of its deepest line.
func (l *layout) notch(k *crown, edge func(x float64) geom.Vec, width, depth float64) (floor []geom.Vec, lingual, facial geom.Vec) {
	const n, step, far = 10, 0.05, 4.0
	var a, b []geom.Vec
	for i := 0; i <= n; i++ {
		x := -1 + 2*float64(i)/n
		at := edge(x * width / 2).Sub(k.up.Scale(depth * (1 - x*x)))
		// Out to the face, where the crown no longer reaches up to the floor.
		face := func(dir geom.Vec) geom.Vec {
			end := at
			for y := step; y < far; y += step {
				p := at.Add(dir.Scale(y))
				if q, ok := l.g.topOf(k, p); !ok || q.Sub(p).Dot(k.up) < 0 {
					break
				}
				end = p
			}
			return end
		}
		a, b = append(a, face(k.y.Neg())), append(b, face(k.y))
	}
	lingual, facial = a[n/2], b[n/2]
	return ring(a, b), lingual, facial
}

// onlayRest covers the occlusal surface out to the cusp tips.
func (l *layout) onlayRest(q *Placed, k *crown) {
	const n = 48
	outline := make([]geom.Vec, 0, n)
	for i := 0; i < n; i++ {
		deg := 360 * float64(i) / n
		// The level of the cusps round about, so that the border does not dip into grooves.
		level := 0.0
		for _, d := range []float64{-15, -7.5, 0, 7.5, 15} {
			level += k.top(deg+d) / 5
		}
		outline = append(outline, k.at(deg, math.Min(level, k.top(deg))))
	}
	for r := 0; r < 4; r++ {
		old := append([]geom.Vec{}, outline...)
		for i := range outline {
			outline[i] = old[i].Scale(0.5).Add(old[(i+1)%n].Add(old[(i+n-1)%n]).Scale(0.25))
		}
	}
	for i := range outline {
		outline[i] = l.g.onTooth(q.Part.Tooth, outline[i])
	}
	q.Patches = append(q.Patches, Patch{Role: Seat, Outline: outline, Thickness: dimension(q.Part, "thickness", l.lim.RestMetalRidge)})
	a, b := spread(outline, k.y)
	l.measure(q, "seat_width", math.Abs(b.Sub(a).Dot(k.y)), q.Part.Tooth, a, b)
	c, d := spread(outline, k.x)
	l.measure(q, "seat_length", math.Abs(d.Sub(c).Dot(k.x)), q.Part.Tooth, c, d)
	l.ratio(q, "seat_length_share", math.Abs(d.Sub(c).Dot(k.x))/k.md, q.Part.Tooth)
	// The floor: inside the outline, at least as deep under the crown as asked, and rounded.
	depth := dimension(q.Part, "depth", l.lim.RestMetalRidge)
	centre, _ := q.seatCentre()
	floor, surface := make([]geom.Vec, n), make([]geom.Vec, n)
	down := make([]float64, n)
	for i, p := range outline {
		surface[i] = l.g.onTooth(q.Part.Tooth, centre.Lerp(p, 0.8))
		down[i] = centre.Sub(surface[i]).Dot(k.up) + depth
	}
	for r := 0; r < 4; r++ {
		old := append([]float64{}, down...)
		for i := range down {
			down[i] = math.Max(old[i], (old[(i+1)%n]+old[(i+n-1)%n])/2)
		}
	}
	least := 0
	for i := range floor {
		floor[i] = surface[i].Add(k.up.Scale(centre.Sub(surface[i]).Dot(k.up) - down[i]))
		if surface[i].Sub(floor[i]).Dot(k.up) < surface[least].Sub(floor[least]).Dot(k.up) {
			least = i
		}
	}
	q.Patches = append(q.Patches, Patch{Role: Floor, Outline: floor, Thickness: dimension(q.Part, "thickness", l.lim.RestMetalRidge)})
	l.measure(q, "seat_depth_ridge", surface[least].Sub(floor[least]).Dot(k.up), q.Part.Tooth, surface[least], floor[least])
	l.planned(q, "metal_at_ridge", dimension(q.Part, "thickness", l.lim.RestMetalRidge), q.Part.Tooth)
	l.planned(q, "metal_least", dimension(q.Part, "thickness", l.lim.RestMetalRidge), q.Part.Tooth)
}

// seatCentre is the middle of a placed rest's seat.
func (q *Placed) seatCentre() (geom.Vec, bool) {
	for _, p := range q.Patches {
		if p.Role == Seat && len(p.Outline) > 0 {
			sum := geom.Vec{}
			for _, v := range p.Outline {
				sum = sum.Add(v)
			}
			return sum.Scale(1 / float64(len(p.Outline))), true
		}
	}
	return geom.Vec{}, false
}
