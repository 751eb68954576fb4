package placement

import (
	"math"
	"strings"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// section is an arm's cross-section at its root and its tip [mm].
type section struct {
	shape          Section
	w0, t0, w1, t1 float64
}

// armSection is the section of a retentive arm: of common practice by tooth, or as the
// part asks.
func (l *layout) armSection(p design.Part, n tooth.Number) section {
	s := section{HalfRound, 1.6, 1.0, 1.0, 0.6}
	if n.Kind().Molar() {
		s = section{HalfRound, 2.0, 1.2, 1.2, 0.7}
	}
	switch p.Form {
	case design.ClaspRing, design.ClaspBackAction:
		s = section{HalfRound, 2.2, 1.4, 1.2, 0.8}
	case design.ClaspExtended:
		s = section{HalfRound, 2.0, 1.2, 1.0, 0.6}
	case design.ClaspHairpin:
		s = section{HalfRound, 1.5, 1.1, 1.0, 0.6}
	}
	if strings.Contains(p.Material, "peek") || strings.Contains(p.Material, "polymer") || strings.Contains(p.Material, "acetal") {
		s = section{HalfRound, 2.0, 1.5, 1.5, 1.2}
	}
	if wrought(p) {
		d := p.GaugeMM
		if d == 0 {
			d = 0.91
			if n.Kind().Molar() {
				d = 1.02
			}
		}
		s = section{Round, d, d, d, d}
	}
	s.w0, s.t0 = dimension(p, "root_width", s.w0), dimension(p, "root_thickness", s.t0)
	s.w1, s.t1 = dimension(p, "tip_width", s.w1), dimension(p, "tip_thickness", s.t1)
	return s
}

func wrought(p design.Part) bool {
	return p.Form == design.ClaspCombination || strings.HasPrefix(p.Material, "wrought")
}

// monotone is a smooth curve through points of rising x that does not overshoot
// (Fritsch and Carlson, SIAM J Numer Anal 1980;17:238).
func monotone(x, y []float64) func(float64) float64 {
	n := len(x)
	d, m := make([]float64, n-1), make([]float64, n)
	for i := range d {
		d[i] = (y[i+1] - y[i]) / (x[i+1] - x[i])
	}
	m[0], m[n-1] = d[0], d[n-2]
	for i := 1; i < n-1; i++ {
		if d[i-1]*d[i] > 0 {
			m[i] = 2 * d[i-1] * d[i] / (d[i-1] + d[i])
		}
	}
	return func(v float64) float64 {
		if v <= x[0] {
			return y[0]
		}
		if v >= x[n-1] {
			return y[n-1]
		}
		i := seek(x, v)
		h := x[i+1] - x[i]
		t := (v - x[i]) / h
		t2, t3 := t*t, t*t*t
		return (2*t3-3*t2+1)*y[i] + (t3-2*t2+t)*h*m[i] + (3*t2-2*t3)*y[i+1] + (t3-t2)*h*m[i+1]
	}
}

// reachTip finds where a tip stands: the angle nearest to the wanted one, within the
// window, at which the undercut is reached with the tip's lower edge clear of the margin.
// Where none is, the second best is what comes nearest to both.
func (l *layout) reachTip(k *crown, want, lo, hi, undercut, halfWidth float64) (deg, h float64, clear, deep bool) {
	need := l.lim.TipMarginClear + halfWidth
	best, bestH, bestCost := want, 0.0, math.Inf(1)
	found := false
	var reached, cleared bool
	for d := lo; d <= hi+1e-9; d += 1.5 {
		r, ok := k.reach(d, undercut)
		cost := 0.02 * math.Abs(d-want)
		at := r
		c, e := true, true
		if !ok || r < halfWidth+0.5 {
			// Not reached with half a millimetre to spare: as deep as that allows.
			at = math.Min(halfWidth+0.5, k.contour(d))
			e = math.Abs(k.depth(d, at)-undercut) < 0.02
			cost += 20 * math.Max(0, undercut-k.depth(d, at))
		}
		if at < need-1e-6 {
			c = false
			cost += 3 * (need - at)
		}
		if cost < bestCost {
			best, bestH, bestCost = d, at, cost
			cleared, reached = c, e
			found = true
		}
	}
	if !found {
		return want, k.contour(want), false, false
	}
	return best, bestH, cleared, reached
}

// armCourse is an arm's way round a crown.
type armCourse struct {
	from, to float64 // angles, in the sense of travel
	off      float64 // centre line above the survey line along the rigid part
	tip      float64 // height of the tip; NaN for an arm that stays rigid
	share    float64 // of the length that lies below the survey line
}

// follow traces a course on the crown, with the outward direction at each point.
func (k *crown) follow(c armCourse) (line, out []geom.Vec) {
	const n = 72
	deg := make([]float64, n+1)
	base := make([]float64, n+1)
	for i := range deg {
		deg[i] = c.from + (c.to-c.from)*float64(i)/n
		base[i] = k.contour(deg[i])
	}
	old := make([]float64, n+1)
	for r := 0; r < 25; r++ {
		copy(old, base)
		for i := 1; i < n; i++ {
			base[i] = 0.5*old[i] + 0.25*(old[i-1]+old[i+1])
		}
	}
	way := make([]float64, n+1)
	for i := 1; i <= n; i++ {
		way[i] = way[i-1] + k.at(deg[i], base[i]).Dist(k.at(deg[i-1], base[i-1]))
	}
	total := way[n]
	lowest := math.Inf(1)
	for i := range base {
		lowest = math.Min(lowest, k.top(deg[i])-base[i])
	}
	off := math.Min(c.off, math.Max(0.1, lowest-0.5))
	if c.off < 0 {
		off = c.off
	}
	rise := func(float64) float64 { return off }
	if !math.IsNaN(c.tip) {
		drop := c.tip - base[n]
		cross := 1 - c.share
		rise = monotone([]float64{0, 0.72 * cross, cross, 1}, []float64{off, off * 0.8, math.Min(0, off), math.Min(drop, -0.01)})
		if off <= 0 {
			rise = monotone([]float64{0, cross, 1}, []float64{off, off, math.Min(drop, off)})
		}
	}
	count := max(12, int(total/0.4)+1)
	for i := 0; i <= count; i++ {
		f := float64(i) / float64(count)
		j := seek(way, f*total)
		t := 0.0
		if d := way[j+1] - way[j]; d > 0 {
			t = math.Min(1, (f*total-way[j])/d)
		}
		d, b := deg[j]+t*(deg[j+1]-deg[j]), base[j]+t*(base[j+1]-base[j])
		h := math.Max(0.3, b+rise(f))
		line = append(line, k.at(d, h))
		out = append(out, k.normal(d, h))
	}
	return line, out
}

// below is the share of a line's length that lies below the height of contour.
func (k *crown) below(line []geom.Vec) float64 {
	under, all := 0.0, 0.0
	for i := 1; i < len(line); i++ {
		step := line[i].Dist(line[i-1])
		all += step
		if d, h := k.locate(line[i]); h < k.contour(d)-0.03 {
			under += step
		}
	}
	if all == 0 {
		return 0
	}
	return under / all
}

// originAngle is where an arm sets out: the facial or lingual line angle of a side.
func originAngle(mesial, facial bool) float64 {
	switch {
	case mesial && facial:
		return 58
	case mesial:
		return 122
	case facial:
		return -58
	}
	return 238
}

// retainer lays a retainer by its form.
func (l *layout) retainer(q *Placed) {
	p := q.Part
	k := l.g.crown(p.Tooth)
	if p.Form == design.ClaspNone {
		return
	}
	site := tooth.MidFacial
	if p.Undercut != nil {
		site = p.Undercut.Site
	} else if !p.Form.Infrabulge() {
		site = tooth.MesioFacial
	}
	mesialNear, _, _ := l.nearSide(p.Tooth)
	originMesial := mesialNear
	switch site.MesialSide() {
	case 1:
		originMesial = false
	case -1:
		originMesial = true
	}
	switch p.Form {
	case design.ClaspIBar, design.ClaspHalfTBar, design.ClaspTBar, design.ClaspYBar:
		l.barClasp(q, k, site)
	case design.ClaspRing:
		l.ring(q, k, site)
	case design.ClaspBackAction:
		l.backAction(q, k, site)
	case design.ClaspHairpin:
		l.hairpin(q, k, site)
	case design.ClaspEmbrasure:
		l.embrasureClasp(q, k, site)
	case design.ClaspMultiple:
		l.multiple(q, k, site)
	case design.ClaspExtended:
		l.extendedArm(q, k, site, originMesial)
	case design.ClaspHalfAndHalf:
		l.circlet(q, k, site, originMesial)
		l.rigidArm(q, k, !site.Facial(), !originMesial)
	default:
		l.circlet(q, k, site, originMesial)
	}
	l.noteCrownHeight(q, k, site.Facial())
	l.seatArms(q)
	l.readContact(q)
}

// seatArms puts the arms of a retainer on the cast's own surface: the crown chart that they
// were laid by is interpolated between its columns, and lies off it by hundredths.
func (l *layout) seatArms(q *Placed) {
	const chartOff = 0.1 // what lies farther off was not laid on the tooth there [mm]
	for _, c := range q.Curves {
		if c.Role != Arm && c.Role != Foot {
			continue
		}
		for i, p := range c.Points {
			if s, f := l.g.surface.NearestWithin(p, chartOff, nil); f >= 0 {
				c.Points[i] = s
			}
		}
	}
}

// readContact reads how the arms of a retainer lie on the cast when seated: how far a bar's
// head and its fingers stand off the tooth, and how deep an arm presses into it. Both are
// read against the surface they were laid on, so that what a scan may be off does not count.
func (l *layout) readContact(q *Placed) {
	gap, finger, press := -1.0, -1.0, -1.0
	var off, out, in [2]geom.Vec // on the arm and on the cast
	for _, c := range q.Curves {
		if c.Role != Arm && c.Role != Foot {
			continue
		}
		for i, p := range c.Points {
			s, f := l.g.surface.Nearest(p)
			if f < 0 {
				continue
			}
			d := s.Dist(p)
			if deep := math.Min(d, into(l.g.surface, p)); deep > press {
				press, in = deep, [2]geom.Vec{p, s}
			}
			if c.Role != Foot {
				continue
			}
			if i == 0 || q.Part.Form == design.ClaspIBar {
				if d > gap {
					gap, off = d, [2]geom.Vec{p, s}
				}
			} else if d > finger {
				finger, out = d, [2]geom.Vec{p, s}
			}
		}
	}
	for _, m := range []struct {
		name string
		v    float64
		at   [2]geom.Vec
	}{{"head_gap", gap, off}, {"finger_gap", finger, out}, {"interference", press, in}} {
		if m.v >= 0 {
			l.note(q, m.name, unit.MM(m.v, unit.Computed, 0), q.Part.Tooth, m.at[0], m.at[1])
		}
	}
}

func (l *layout) noteCrownHeight(q *Placed, k *crown, facial bool) {
	mid := 180.0
	if facial {
		mid = 0
	}
	l.measure(q, "crown_height", k.top(mid), q.Part.Tooth, k.margin(mid), k.at(mid, k.top(mid)))
}

// circlet lays one retentive arm from the origin's line angle to the far undercut.
func (l *layout) circlet(q *Placed, k *crown, site tooth.Site, originMesial bool) {
	l.circletOn(q, k, q.Part.Tooth, site, originMesial, true)
}

func (l *layout) circletOn(q *Placed, k *crown, n tooth.Number, site tooth.Site, originMesial, shoulder bool) {
	p := q.Part
	sec := l.armSection(p, n)
	from := originAngle(originMesial, site.Facial())
	want := siteAngle(site)
	if site.MesialSide() == 0 {
		// A mid-surface site: a little past the middle, away from the origin.
		want += 12 * math.Copysign(1, want-from)
	}
	deg, h, clear, deep := l.reachTip(k, want, want-18, want+18, l.undercut(p), sec.w1/2)
	c := armCourse{from: from, to: deg, off: sec.w0 / 2, tip: h, share: l.lim.TipShare * 0.97}
	released := p.Form == design.ClaspMesialRestCircumferential
	if released {
		c.off = -sec.w0 / 2
	}
	if share := dimension(p, "below_survey_line_share", 0); share > 0 {
		c.share = share
	}
	line, out := k.follow(c)
	// Where the survey line rises or falls along the arm more or less of it comes to lie
	// below: the place where it crosses is moved until the share is the one asked.
	for round, asked := 0, c.share; round < 4 && !released; round++ {
		share := k.below(line)
		if math.Abs(share-asked) < 0.02 || share == 0 {
			break
		}
		c.share = math.Max(0.1, math.Min(0.6, c.share*asked/share))
		line, out = k.follow(c)
	}
	arm := l.curve(Arm, line, out, sec.shape, sec.w0, sec.w1, sec.t0, sec.t1)
	q.Curves = append(q.Curves, arm)
	l.tipAt(q, k, n, deg, h, sec.w1/2, clear, deep)
	l.readArm(q, k, n, arm, released)
	if wrought(p) {
		l.tang(q, k, line[0], originMesial)
	} else if shoulder {
		l.shoulder(q, k, originMesial, line[0], sec)
	}
}

// undercut is the depth a retainer's tip is planned for: as designed, or the usual one of
// its metal.
func (l *layout) undercut(p design.Part) float64 {
	if p.Undercut != nil && p.Undercut.MM > 0 {
		return p.Undercut.MM
	}
	if wrought(p) {
		return 0.5
	}
	return 0.25
}

// tipAt records a retentive tip and its measures.
func (l *layout) tipAt(q *Placed, k *crown, n tooth.Number, deg, h, halfWidth float64, clear, deep bool) {
	deg = math.Mod(math.Mod(deg, 360)+360, 360)
	pt := k.at(deg, h)
	t := Tip{Tooth: n, Point: pt, Site: siteOf(deg), AngleDeg: deg, UndercutMM: k.depth(deg, h), AboveMargin: h,
		BelowContour: k.contour(deg) - h, SlopeDeg: k.slope(deg, h)}
	if v := l.g.vertical; v != nil {
		t.VerticalUndercut = l.g.undercutAt(v, pt)
		l.measure(q, "tip_undercut_vertical", t.VerticalUndercut, n, pt, pt)
	}
	l.measure(q, "tip_undercut", t.UndercutMM, n, k.at(deg, k.contour(deg)), pt)
	edge := k.at(deg, math.Max(0, h-halfWidth))
	l.measure(q, "tip_to_margin", edge.Sub(k.margin(deg)).Dot(k.up), n, k.margin(deg), edge)
	l.measure(q, "tip_travel", t.BelowContour, n, pt, k.at(deg, k.contour(deg)))
	l.angle(q, "tip_slope_deg", t.SlopeDeg, n, pt, pt)
	facial := t.Site.Facial()
	past := deg - k.bulge(facial)
	if past > 180 {
		past -= 360
	}
	if past < -180 {
		past += 360
	}
	if !facial {
		past = -past
	}
	l.angle(q, "tip_past_bulge_deg", past, n, pt, pt)
	want := l.undercut(q.Part)
	if !deep || math.Abs(t.UndercutMM-want) > 0.03 {
		q.short("tip_undercut", want, t.UndercutMM, n, "the crown offers no deeper undercut there clear of the gingival margin")
	}
	if got := h - halfWidth; !clear && got < l.lim.TipMarginClear-0.02 {
		q.short("tip_to_margin", l.lim.TipMarginClear, got, n, "the undercut is reached only nearer to the gingival margin")
	}
	q.Tips = append(q.Tips, t)
	if q.Tip == nil {
		first := q.Tips[0]
		q.Tip = &first
	}
}

// readArm measures a placed circumferential arm on its crown. A released arm touches the
// tooth along its upper edge only, which is then what counts as above or below the survey
// line.
func (l *layout) readArm(q *Placed, k *crown, n tooth.Number, arm Curve, released bool) {
	pts := arm.Points
	total := geom.Length(pts)
	below, deepest, highest, share := 0.0, 0.0, math.Inf(-1), 0.0
	var worst, high geom.Vec
	run := 0.0
	for i, p := range pts {
		deg, h := k.locate(p)
		line := k.contour(deg)
		contact := h
		if released {
			contact += arm.Width[i] / 2
		}
		step := 0.0
		if i > 0 {
			step = p.Dist(pts[i-1])
			run += step
			if contact < line-0.03 {
				below += step
			}
		}
		share = math.Max(share, h/k.top(deg))
		if run < total*(1-l.lim.TipShare)*0.85 {
			if d := k.depth(deg, contact); d > deepest {
				deepest, worst = d, p
			}
			if x := h + arm.Width[i]/2 - line; x > highest {
				highest, high = x, p
			}
		}
	}
	l.measure(q, "arm_length", total, n, pts[0], pts[len(pts)-1])
	l.ratio(q, "below_survey_line_share", below/total, n)
	l.measure(q, "rigid_undercut", deepest, n, worst, worst)
	l.measure(q, "rigid_above_survey_line", highest, n, high, high)
	l.ratio(q, "arm_height_share", share, n)
	l.sections(q, arm, n)
	if wrought(q.Part) && total < l.lim.WireMinLength {
		q.short("arm_length", l.lim.WireMinLength, total, n, "the tooth is too small for a longer wire")
	}
}

func (l *layout) sections(q *Placed, c Curve, n tooth.Number) {
	e := len(c.Points) - 1
	l.planned(q, "root_width", c.Width[0], n)
	l.planned(q, "root_thickness", c.Thickness[0], n)
	l.planned(q, "tip_width", c.Width[e], n)
	l.planned(q, "tip_thickness", c.Thickness[e], n)
	l.ratio(q, "thickness_ratio", c.Thickness[e]/c.Thickness[0], n)
}

// shoulder joins an arm's root to the marginal ridge it comes from.
func (l *layout) shoulder(q *Placed, k *crown, mesial bool, root geom.Vec, sec section) {
	ridge, in := k.ridgeOf(mesial)
	line := l.onCrown(k.tooth.Number, []geom.Vec{ridge.Add(in.Scale(0.4)), ridge.Lerp(root, 0.5), root}, 9)
	q.Curves = append(q.Curves, l.curve(Rigid, line, l.g.normalsOf(line), HalfRound, sec.w0*1.15, sec.w0, math.Max(1.2, sec.t0), sec.t0))
}

// onCrown draws a smooth line through waypoints on one crown.
func (l *layout) onCrown(n tooth.Number, way []geom.Vec, count int) []geom.Vec {
	line := geom.Resample(way, count)
	own := func(f int) bool { return l.g.cast.Labels[f] == n }
	for r := 0; r < 2; r++ {
		for i := range line {
			if i > 0 && i+1 < len(line) {
				line[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
			}
			if p, f := l.g.surface.NearestOf(line[i], own); f >= 0 && (i > 0 && i+1 < len(line)) {
				line[i] = p
			}
		}
	}
	return line
}

// tang leads a wrought wire from its arm's root back into the base, where it is held.
func (l *layout) tang(q *Placed, k *crown, root geom.Vec, mesial bool) {
	a := l.beside(k.tooth.Number, mesial)
	if a == nil {
		sec := l.armSection(q.Part, k.tooth.Number)
		l.shoulder(q, k, mesial, root, sec)
		return
	}
	s0 := a.stationFrom(k.tooth.Number, 1.2)
	s1 := a.stationFrom(k.tooth.Number, 5.5)
	way := []geom.Vec{l.g.on(s1, 2.0, facialSide), l.g.on(s0, 2.2, facialSide), root}
	line := geom.Resample(way, 14)
	for i := 1; i+1 < len(line); i++ {
		line[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
	}
	d := l.armSection(q.Part, k.tooth.Number).w0
	q.Curves = append(q.Curves, l.curve(Rigid, line, l.g.normalsOf(line), Round, d, d, d, d))
}

// stationFrom is the station a length along the crest from the tooth n, which bounds the
// stretch at either end.
func (a *area) stationFrom(n tooth.Number, s float64) float64 {
	if n == a.far {
		s = a.length() - s
	}
	_, at := a.along(s)
	return at
}

// rigidArm adds a rigid arm on one side of a crown, from the origin's line angle to the
// far one.
func (l *layout) rigidArm(q *Placed, k *crown, facial, originMesial bool) Curve {
	from, to := originAngle(originMesial, facial), originAngle(!originMesial, facial)
	to = from + (to-from)*0.86
	w, t := dimension(q.Part, "root_width", 2.2), dimension(q.Part, "root_thickness", 1.2)
	line, out := k.follow(armCourse{from: from, to: to, off: w / 2, tip: math.NaN()})
	c := l.curve(Rigid, line, out, HalfRound, w, w*0.92, t, t*0.92)
	q.Curves = append(q.Curves, c)
	return c
}
