package placement

import (
	"math"
	"slices"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

func computedDeg(v float64) unit.Quantity {
	return unit.Quantity{Value: v, Unit: "deg", Origin: unit.Computed}
}

// planeWorthCutting is the least that a guide plane has to take off to be a preparation
// [mm]; less is polishing.
const planeWorthCutting = 0.05

// plateBand is a plate's place on the crown chart: from its facial to its lingual edge,
// with the top and the bottom of its contact at each angle.
type plateBand struct {
	facial, lingual float64 // angles; lingual may be the smaller
	tissueEnd       float64 // angle where the part on the gum ends, between the two
	top, low        func(deg float64) float64
	planed          func(deg float64) bool // a plane within the enamel's limit makes its contact parallel
}

// bandOf places a proximal or lingual guide plate on a crown.
func (l *layout) bandOf(p design.Part, k *crown) plateBand {
	extension := false
	if a := l.beside(p.Tooth, p.Surface == tooth.Mesial); a != nil && p.Surface != tooth.Lingual {
		extension = a.extension()
	}
	height := l.lim.PlaneHeightBounded
	if extension {
		height = l.lim.PlaneHeightExtension
	}
	facialWay := 36.0
	if p.Tooth.Kind().Anterior() {
		facialWay = 12
	}
	wrap := 52.0
	b := plateBand{}
	switch p.Surface {
	case tooth.Mesial:
		b.facial, b.lingual, b.tissueEnd = 90-facialWay, 90+wrap, 90+34
	case tooth.Lingual:
		b.facial, b.lingual, b.tissueEnd = 145, 215, 180
		height = l.lim.PlaneHeightLingual
	default:
		b.facial, b.lingual, b.tissueEnd = 270+facialWay, 270-wrap, 270-34
	}
	height = dimension(p, "height", height)
	if w := dimension(p, "width", 0); w > 0 && p.Surface != tooth.Lingual {
		mid := 90.0
		if p.Surface != tooth.Mesial {
			mid = 270
		}
		toFacial := math.Copysign(1, b.facial-mid)
		b.facial = mid + toFacial*k.halfSpan(mid, w/2, toFacial)
		b.lingual = mid - toFacial*k.halfSpan(mid, w/2, -toFacial)
		b.tissueEnd = mid + (b.lingual-mid)*0.8
	}
	b.top = func(deg float64) float64 {
		t := k.top(deg)
		c := k.contour(deg)
		if extension {
			// At the survey line; where that lies at the margin, at the top of the plane
			// that has to be cut, if the enamel allows one: a plate above the line that no
			// plane brings up would be the pivot.
			far, near := math.Inf(-1), math.Inf(1)
			for h := 0.3; h <= 0.3+height; h += 0.2 {
				r := k.reachOut(deg, h)
				far, near = math.Max(far, r), math.Min(near, r)
			}
			if far-near > l.lim.PlaneMaxEnamel {
				return math.Max(0, math.Min(math.Max(c, 0.3), t-0.7))
			}
			return math.Max(0, math.Min(math.Max(c, 0.3+height), t-0.7))
		}
		if p.Surface == tooth.Lingual {
			return math.Min(c+height/2, t*0.75)
		}
		return math.Max(0, math.Min(math.Max(c, math.Min(0.4+height, t-1.0)), t-0.7))
	}
	b.low = func(deg float64) float64 {
		low := math.Min(b.top(deg), math.Max(0.3, b.top(deg)-height))
		if p.SeatsFirst() {
			// Rigid metal goes no deeper into an undercut than any tip does.
			h := b.top(deg)
			for h > low && k.depth(deg, h-0.1) <= l.lim.MaxUndercut {
				h -= 0.1
			}
			low = math.Max(low, h)
		}
		return low
	}
	b.planed = func(deg float64) bool {
		far, near := math.Inf(-1), math.Inf(1)
		for h, top := b.low(deg), b.top(deg); h <= top+1e-9; h += 0.2 {
			r := k.reachOut(deg, h)
			far, near = math.Max(far, r), math.Min(near, r)
		}
		return far-near <= l.lim.PlaneMaxEnamel
	}
	return b
}

// halfSpan is how many degrees from mid on the side of turn the crown stands half wide
// across, measured straight at the height of contour.
func (k *crown) halfSpan(mid, half, turn float64) float64 {
	o := k.at(mid, k.contour(mid))
	dir := k.outward(mid + 90*turn)
	for d := 1.0; d < 75; d++ {
		if k.at(mid+turn*d, k.contour(mid+turn*d)).Sub(o).Dot(dir) >= half {
			return d
		}
	}
	return 75
}

// guidePlate lays a proximal plate: its contact with the tooth, a wrap round the lingual
// line angle, and its skirt on the gum of the space.
func (l *layout) guidePlate(q *Placed) {
	p := q.Part
	k := l.g.crown(p.Tooth)
	b := l.bandOf(p, k)
	a := l.beside(p.Tooth, p.Surface == tooth.Mesial)
	if p.Surface == tooth.Lingual {
		a = nil
	}
	extent := dimension(p, "tissue_extent", l.lim.PlateTissueExtent)
	const n = 22
	angle := func(i int) float64 { return b.facial + (b.lingual-b.facial)*float64(i)/n }
	var top, low, skirt []geom.Vec
	for i := 0; i <= n; i++ {
		d := angle(i)
		top = append(top, k.at(d, b.top(d)))
	}
	onGum := func(d float64) bool {
		return a != nil && (d-b.tissueEnd)*(b.lingual-b.tissueEnd) <= 0
	}
	for i := n; i >= 0; i-- {
		d := angle(i)
		if onGum(d) {
			skirt = append(skirt, l.skirt(k, d, extent))
		} else {
			low = append(low, k.at(d, b.low(d)))
		}
	}
	for _, line := range [][]geom.Vec{top, low, skirt} {
		l.even(k, line)
	}
	outline := append(append(top, low...), skirt...)
	thick := dimension(p, "thickness", l.lim.PlateThickness)
	q.Patches = append(q.Patches, Patch{Role: Plate, Outline: outline, Thickness: thick})

	mid := 270.0
	if p.Surface == tooth.Mesial {
		mid = 90
	} else if p.Surface == tooth.Lingual {
		mid = 180
	}
	hi, lo := b.top(mid), b.low(mid)
	upper, lower := k.at(mid, hi), k.at(mid, lo)
	height := upper.Sub(lower).Dot(k.up)
	l.measure(q, "plate_height", height, p.Tooth, lower, upper)
	wide := k.y
	if p.Surface == tooth.Lingual {
		wide = k.x
	}
	e0, e1 := k.at(b.facial, b.top(b.facial)), k.at(b.lingual, b.top(b.lingual))
	w := math.Abs(e1.Sub(e0).Dot(wide))
	l.measure(q, "plate_width", w, p.Tooth, e0, e1)
	l.ratio(q, "plate_width_share", w/k.fl, p.Tooth)
	above, worst := math.Inf(-1), 0.0
	place := geom.Vec{}
	lean := 0.0
	for i := 0; i <= n; i++ {
		d := angle(i)
		at, h := k.locate(top[i])
		line := k.contour(at)
		if b.planed(at) {
			line = math.Max(line, b.top(at)) // the plane cut there brings the survey line up to its top
		}
		if x := h - line; x > above {
			above, place = x, top[i]
		}
		if math.Abs(d-mid) > 25 {
			continue
		}
		out0, out1 := k.reachOut(d, b.low(d)), k.reachOut(d, b.top(d))
		far := math.Max(out0, out1)
		for h := b.low(d); h <= b.top(d); h += 0.2 {
			far = math.Max(far, k.reachOut(d, h))
		}
		worst = math.Max(worst, far-math.Min(out0, out1))
		lean = math.Max(lean, geom.InDeg(math.Atan2(math.Abs(out1-out0), math.Max(0.1, b.top(d)-b.low(d)))))
	}
	l.measure(q, "plate_above_survey_line", above, p.Tooth, place, place)
	l.angle(q, "plane_angle_deg", lean, p.Tooth, lower, upper)
	// A plate that seats first keeps the undercut it goes into: no plane is cut under it.
	if !p.SeatsFirst() {
		l.measure(q, "plane_reduction", worst, p.Tooth, lower, upper)
	}
	if worst > planeWorthCutting && !p.SeatsFirst() {
		var foot []geom.Vec
		for i := n; i >= 0; i-- {
			foot = append(foot, k.at(angle(i), b.low(angle(i))))
		}
		l.even(k, foot)
		plane := append(slices.Clone(top), foot...)
		c := l.curve(Plane, plane, l.g.normalsOf(plane), Flat, 0, 0, 0, 0)
		c.Closed = true
		q.Curves = append(q.Curves, c)
	}
	if len(skirt) > 0 {
		mg := k.margin(mid)
		s := skirt[len(skirt)/2]
		for _, v := range skirt {
			if d, _ := k.locate(v); math.Abs(d-mid) < 4 {
				s = v
			}
		}
		l.measure(q, "plate_tissue_extent", l.g.over(mg, s), p.Tooth, mg, s)
		l.tongue(q, a, mg, s)
	}
	l.planned(q, "plate_thickness", thick, p.Tooth)
	l.planned(q, "plate_relief", l.lim.PlateRelief, p.Tooth)
	want := dimension(p, "height", l.lim.PlaneHeightBounded)
	if a != nil && a.extension() {
		want = dimension(p, "height", l.lim.PlaneHeightExtension)
	} else if p.Surface == tooth.Lingual {
		want = dimension(p, "height", l.lim.PlaneHeightLingual)
	}
	if height < want-0.05 && !p.SeatsFirst() {
		q.short("plate_height", want, height, p.Tooth, "the crown is too low there between the gingival margin and the plate's top edge")
	}
}

// tongue joins a plate's skirt to the base's metal where that begins farther from the tooth
// than the skirt reaches: beside a tipped tooth, whose crown hides the ridge at its neck.
func (l *layout) tongue(q *Placed, a *area, margin, end geom.Vec) {
	const (
		bridged     = 0.8 // gap that skirt and strut still close between them [mm]
		wide, thick = 3.0, 1.2
		n           = 8
	)
	if a == nil || len(a.crest) < 2 {
		return
	}
	run := dimension(a.part, "relief_start", l.lim.BaseReliefStart)
	if margin.Dist(a.crest[len(a.crest)-1]) < margin.Dist(a.crest[0]) {
		run = a.length() - run
	}
	to, _ := a.along(run)
	if l.g.over(margin, to) < l.g.over(margin, end)+bridged {
		return
	}
	var line []geom.Vec
	for i := range n + 1 {
		line = append(line, l.g.snapSoft(end.Lerp(to, float64(i)/n)))
	}
	out := l.g.normalsOf(line)
	q.Curves = append(q.Curves, l.curve(Rigid, lift(line, out, l.lim.PlateRelief), out, Flat, wide, wide, thick, thick))
}

// even takes a scan's roughness out of a plate's edge; on a smooth crown this moves it by
// hundredths.
func (l *layout) even(k *crown, line []geom.Vec) {
	despike(k.tooth.Frame.Origin, line)
	evenOpen(line, 3)
	for i := 1; i+1 < len(line); i++ {
		line[i] = l.g.snap(line[i])
	}
}

// despike pulls places of an edge round a tooth that jump out of it, or into it, to where
// those beside them stand: a column of the crown chart that runs into a pit or a flaw of a
// scan. On a sound crown the distance from the middle changes steadily and nothing moves.
func despike(middle geom.Vec, line []geom.Vec) {
	const (
		jump = 0.25 // from the middle of five neighbours [mm]
		side = 2
	)
	away := make([]float64, len(line))
	for i, p := range line {
		away[i] = math.Hypot(p.X-middle.X, p.Y-middle.Y)
	}
	for i := side; i+side < len(line); i++ {
		p := line[i]
		usual := slices.Sorted(slices.Values(away[i-side : i+side+1]))[side]
		if math.Abs(away[i]-usual) < jump || away[i] == 0 {
			continue
		}
		at := middle.Add(p.Sub(middle).Scale(usual / away[i]))
		line[i] = geom.V(at.X, at.Y, p.Z)
	}
}

// skirt is the place on the gum a length below the margin, straight out from the tooth.
func (l *layout) skirt(k *crown, deg, length float64) geom.Vec {
	m := k.margin(deg)
	out := k.outward(deg)
	p, f := l.g.surface.NearestOf(m.Add(out.Scale(0.05)), func(f int) bool { return l.g.cast.Labels[f] == 0 })
	if f < 0 {
		return m
	}
	line := l.g.walk(p, f, k.up.Cross(out).Unit(), out.Sub(k.up.Scale(0.3)), length, nil)
	return line[len(line)-1]
}

// over is the distance between two points along the surface, in the upright plane
// through both.
func (g *ground) over(a, b geom.Vec) float64 {
	d := b.Sub(a)
	chord := d.Norm()
	if chord < 0.2 {
		return chord
	}
	sum, last := 0.0, a
	const n = 12
	for i := 1; i <= n; i++ {
		p := a.Lerp(b, float64(i)/n)
		if i < n {
			if q, f := g.surface.NearestWithin(p, 3, nil); f >= 0 {
				p = q
			}
		}
		sum += p.Dist(last)
		last = p
	}
	return sum
}

// across is the distance between two places of the palate along its surface, however
// deep the vault between them.
func (g *ground) across(a, b geom.Vec) float64 {
	sum, last := 0.0, a
	const n = 30
	for i := 1; i <= n; i++ {
		p := a.Lerp(b, float64(i)/n)
		if q, ok := g.dropSoft(p.X, p.Y); ok && i < n {
			p = q
		}
		sum += p.Dist(last)
		last = p
	}
	return sum
}
