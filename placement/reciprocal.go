package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// reciprocation lays the rigid side that faces a retentive tip: an arm in the middle
// third at or above the survey line, a plate, or guide plates alone.
func (l *layout) reciprocation(q *Placed) {
	p := q.Part
	k := l.g.crown(p.Tooth)
	facial := false // the side of the rigid part
	var tips []Tip
	for _, r := range l.d.Of(design.Retainer) {
		placed := l.parts[r.ID]
		if placed == nil {
			continue
		}
		for _, t := range placed.Tips {
			if t.Tooth == p.Tooth {
				tips = append(tips, t)
				facial = !t.Site.Facial()
			}
		}
	}
	mid := 180.0
	if facial {
		mid = 0
	}
	travel := 0.0
	switch p.Form {
	case design.ReciprocalPlate:
		travel = l.reciprocalPlate(q, k, mid)
	case design.ReciprocalGuidePlates:
		for _, gp := range l.d.On(design.GuidePlate, p.Tooth) {
			if m, ok := l.parts[gp.ID].Measure("plate_height", p.Tooth); ok {
				travel = math.Max(travel, m.Quantity.Value)
			}
		}
		for _, mc := range l.d.Of(design.MinorConnector) {
			if contains(mc.At, p.Tooth) {
				// The connector's contact with its own guide plane counts as well.
				travel = math.Max(travel, l.planeAt(k, mid+math.Copysign(38, 1), l.lim.PlaneHeightExtension))
			}
		}
	default:
		travel = l.reciprocalArm(q, k, facial)
	}
	l.measure(q, "guide_travel", travel, p.Tooth, k.at(mid, k.contour(mid)), k.at(mid, k.contour(mid)+travel))
	for _, t := range tips {
		if t.BelowContour > 0.02 {
			l.ratio(q, "guide_travel_share", travel/t.BelowContour, p.Tooth)
			break
		}
	}
}

// opposesItself is the clasp that goes round a tooth and is its own rigid arm.
func (l *layout) opposesItself(n tooth.Number) (design.Part, bool) {
	for _, r := range l.d.On(design.Retainer, n) {
		if r.Form == design.ClaspRing || r.Form == design.ClaspBackAction {
			return r, true
		}
	}
	return design.Part{}, false
}

func (l *layout) reciprocalArm(q *Placed, k *crown, facial bool) float64 {
	p := q.Part
	mesialNear, _, ok := l.nearSide(p.Tooth)
	// It starts from the rest's own side: the side of the space where a rest stands
	// there, else where the rest is.
	originMesial := mesialNear
	has := map[tooth.Surface]bool{}
	for _, r := range l.restsOn(p.Tooth) {
		has[r.Site] = true
	}
	side := func(m bool) tooth.Surface {
		if m {
			return tooth.Mesial
		}
		return tooth.Distal
	}
	plateThere := false
	for _, gp := range l.d.On(design.GuidePlate, p.Tooth) {
		plateThere = plateThere || gp.Surface == side(mesialNear)
	}
	if !ok || !has[side(mesialNear)] && !plateThere && has[side(!mesialNear)] {
		originMesial = has[tooth.Mesial]
	}
	w, t := dimension(p, "root_width", 2.2), dimension(p, "root_thickness", 1.2)
	round, own := l.opposesItself(p.Tooth)
	if own {
		sec := l.armSection(round, p.Tooth)
		w, t = sec.w0, sec.t0
	}
	from, to := originAngle(originMesial, facial), originAngle(!originMesial, facial)
	to = from + (to-from)*0.9
	mid := 180.0
	if facial {
		mid = 0
	}
	// It ends where the crown is too low to carry its width, though not before it stands
	// across from the tip.
	whole := to
	for step := math.Copysign(2, to-from); k.top(to) < w+0.3 && (to-mid)*step > 10*math.Abs(step); {
		to -= step
	}
	// The middle third, at or above the survey line.
	off := w / 2
	if low := k.top(mid)/3 + w/2 - k.contour(mid); low > off {
		off = low
	}
	if high := k.top(mid)*2/3 - k.contour(mid); high < off {
		off = math.Max(high, w/2)
	}
	line, out := k.follow(armCourse{from: from, to: to, off: off, tip: math.NaN()})
	c := l.curve(Rigid, line, out, HalfRound, w, w*0.95, t, t*0.95)
	if !own {
		q.Curves = append(q.Curves, c)
	}
	total := geom.Length(line)
	share, high, deepest := 0.0, 0.0, 0.0
	var worst geom.Vec
	for i, pt := range line {
		d, h := k.locate(pt)
		share += h / k.top(d)
		high = math.Max(high, h/k.top(d))
		if u := k.depth(d, math.Max(0, h-c.Width[i]/2)); u > deepest {
			deepest, worst = u, pt
		}
	}
	share /= float64(len(line))
	l.measure(q, "arm_length", total, p.Tooth, line[0], line[len(line)-1])
	l.ratio(q, "arm_height_share", share, p.Tooth)
	l.ratio(q, "arm_highest_share", high, p.Tooth)
	l.measure(q, "rigid_undercut", deepest, p.Tooth, worst, worst)
	l.sections(q, c, p.Tooth)
	if share > 2.0/3 {
		q.short("arm_height_share", 2.0/3, share, p.Tooth, "the survey line lies so high that the arm comes into the occlusal third; lower the survey line first")
	}
	if to != whole {
		full, _ := k.follow(armCourse{from: from, to: whole, off: off, tip: math.NaN()})
		q.short("arm_length", geom.Length(full), total, p.Tooth, "the crown is too low toward the arm's end to carry its width")
	}
	sec := section{HalfRound, w, t, w, t}
	if ok && originMesial == mesialNear || has[side(originMesial)] {
		l.shoulder(q, k, originMesial, line[0], sec)
	}
	return l.planeAt(k, mid, l.lim.PlaneHeightLingual)
}

// planeAt is the height, up to the wanted one, over which the surface at an angle can be
// made parallel to the path by cutting no more than a guide plane may: the longest run of
// the column that stays within that depth of its widest place.
func (l *layout) planeAt(k *crown, deg, want float64) float64 {
	h := k.contour(deg)
	out := k.reachOut(deg, h)
	lo, hi := h, h
	for lo > 0.5 && out-k.reachOut(deg, lo-0.1) <= l.lim.PlaneMaxEnamel*0.6 {
		lo -= 0.1
	}
	for hi < k.top(deg)-0.8 && out-k.reachOut(deg, hi+0.1) <= l.lim.PlaneMaxEnamel {
		hi += 0.1
	}
	return math.Min(want, hi-lo)
}

// reciprocalPlate covers the lingual surface from the survey line down over the margin to
// the major connector.
func (l *layout) reciprocalPlate(q *Placed, k *crown, mid float64) float64 {
	p := q.Part
	const half, n = 42.0, 18
	var top, low []geom.Vec
	height := dimension(p, "height", l.lim.PlaneHeightLingual)
	for i := 0; i <= n; i++ {
		d := mid - half + 2*half*float64(i)/n
		h := math.Min(math.Max(k.contour(d), 0.45*k.top(d)), 0.66*k.top(d))
		top = append(top, k.at(d, h))
	}
	for i := n; i >= 0; i-- {
		d := mid - half + 2*half*float64(i)/n
		pr := l.g.upTooth(k, d, 14)
		if mid == 180 && l.bar != nil {
			s := l.g.stationOf(k.margin(d))
			low = append(low, pr.point(l.connectorRun(l.g.profileAt(s, lingualSide))))
		} else if mid == 180 && l.palat != nil {
			low = append(low, pr.point(6))
		} else {
			low = append(low, k.at(d, math.Max(0.5, k.contour(d)-height)))
		}
	}
	q.Patches = append(q.Patches, Patch{Role: Plate, Outline: append(top, low...), Thickness: math.Max(0.8, l.lim.LingualPlateThickness)})
	_, h := k.locate(top[n/2])
	l.ratio(q, "plate_top_share", h/k.top(mid), p.Tooth)
	return l.planeAt(k, mid, height)
}
