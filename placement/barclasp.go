package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// upTooth is the gum straight below the margin at an angle, from the margin down, in the
// upright plane that looks out from the tooth there.
func (g *ground) upTooth(k *crown, deg, length float64) profile {
	m := k.margin(deg)
	out := k.outward(deg)
	p, f := g.surface.NearestOf(m.Add(out.Scale(0.05)), func(f int) bool { return g.cast.Labels[f] == 0 })
	if f < 0 {
		return profile{}
	}
	pr := profile{tooth: k.tooth.Number, points: g.walk(p, f, k.up.Cross(out).Unit(), out.Scale(0.3).Sub(k.up), length, nil)}
	pr.run = make([]float64, len(pr.points))
	for i := 1; i < len(pr.points); i++ {
		pr.run[i] = pr.run[i-1] + pr.points[i].Dist(pr.points[i-1])
	}
	return pr
}

// approachLine leads from the facial strut of a base's lattice, level along the gum clear
// of the margins, and up across the margin at a right angle to a height on the crown.
// w is the width of the bar, whose upper edge stays clear.
func (l *layout) approachLine(k *crown, a *area, deg, top, clear, w float64) []geom.Vec {
	// Rounding its corner brings a short level part nearer to the margin: ask for as much
	// more as that takes.
	ask := clear
	var line []geom.Vec
	for round := 0; round < 7; round++ {
		line = l.approachOnce(k, a, deg, top, ask, w)
		probe := &Placed{}
		l.readApproach(probe, k, line, w, deg, "approach_clearance", "", "")
		m, ok := probe.Measure("approach_clearance", 0)
		if !ok || m.Quantity.Value >= clear-0.02 && m.Quantity.Value < clear+0.12 {
			break
		}
		miss := clear - m.Quantity.Value + 0.02
		if miss > 0 {
			miss *= 2 // lowering the corner helps least beside the base
		}
		ask = math.Max(1, ask+miss)
	}
	return line
}

func (l *layout) approachOnce(k *crown, a *area, deg, top, clear, w float64) []geom.Vec {
	g := l.g
	down := g.upTooth(k, deg, 14)
	if !down.known() {
		return nil
	}
	depth := clear + w/2
	corner := down.point(depth)
	n := k.tooth.Number
	foot := g.stationOf(corner)
	edge := a.stationFrom(n, 0)
	into := a.stationFrom(n, latticeBegins+2.5)
	var way []geom.Vec
	way = append(way, g.on(into, l.facialStrut(a), facialSide))
	// From the base forward, level with the corner, and never nearer to a margin.
	step := math.Copysign(0.8, foot-into)
	for s := into + step; (s-foot)*step < -1.2*math.Abs(step); s += step {
		p := g.profileAt(s, facialSide)
		t, _ := p.below(corner.Z)
		if p.tooth != 0 {
			t = math.Max(t, depth)
		} else {
			share := math.Min(1, math.Abs(s-into)/math.Max(1, math.Abs(edge-into)))
			t = l.facialStrut(a) + (math.Max(t, l.facialStrut(a))-l.facialStrut(a))*share
		}
		way = append(way, g.on(s, math.Min(t, p.length()), facialSide))
	}
	way = append(way, corner)
	for t := depth - 0.8; t > 0.1; t -= 0.8 {
		way = append(way, down.point(t))
	}
	way = append(way, k.margin(deg))
	for h := 0.5; h < top; h += 0.5 {
		way = append(way, k.at(deg, h))
	}
	way = append(way, k.at(deg, top))
	line := geom.Resample(way, max(16, int(geom.Length(way)/0.5)))
	// Round the corner off without moving what crosses the margin.
	stay := depth * 0.55
	keep := make([]bool, len(line))
	m := k.margin(deg)
	for i, p := range line {
		keep[i] = i == 0 || i == len(line)-1 || p.Sub(m).Dot(k.up) > -0.2 || p.Dist(m) < stay
	}
	old := make([]geom.Vec, len(line))
	for r := 0; r < 14; r++ {
		copy(old, line)
		for i := range line {
			if !keep[i] {
				line[i] = old[i].Scale(0.5).Add(old[i-1].Add(old[i+1]).Scale(0.25))
			}
		}
		if r%4 == 3 || r == 13 {
			for i := range line {
				if !keep[i] {
					line[i] = g.snapSoft(line[i])
				}
			}
		}
	}
	// Rounding drew the level part toward the margin: back to its clearance.
	flat := k.up.Cross(k.outward(deg)).Unit()
	for i, p := range line {
		if keep[i] || math.Abs(p.Sub(m).Dot(flat)) < 1.1*w {
			continue
		}
		pr := g.profileAt(g.stationOf(p), facialSide)
		if pr.tooth == 0 || !pr.known() {
			continue
		}
		if t, _ := pr.nearest(p); t < depth {
			line[i] = p.Add(pr.point(depth + 0.02).Sub(pr.point(t)))
		}
	}
	return line
}

// toMargin is the straight distance from a place on the gum to the nearest gingival margin
// of any tooth, and where that is; along the gum it is a little more.
func (g *ground) toMargin(p geom.Vec) (float64, geom.Vec) {
	near, at := math.Inf(1), geom.Vec{}
	for _, n := range g.cast.Standing() {
		w, ok := g.margins[n]
		if !ok || g.cast.Teeth[n].Frame.Origin.XY().Dist(p.XY()) > 25 {
			continue
		}
		if s, d := w.Nearest(p); d < near {
			near, at = d, w.At(s)
		}
	}
	return near, at
}

// readApproach measures a bar's course over the gum: how far its level part's upper edge
// stays from the margins, how low its lower edge comes, and how much vestibule is left.
func (l *layout) readApproach(q *Placed, k *crown, line []geom.Vec, w, deg float64, clearName, lowName, foldName string) {
	g := l.g
	n := k.tooth.Number
	m := k.margin(deg)
	out := k.outward(deg)
	flat := k.up.Cross(out).Unit()
	near, low, fold := math.Inf(1), math.Inf(-1), math.Inf(1)
	var nf, nt, lf, lt, ff, ft geom.Vec
	for _, p := range line {
		if math.Abs(p.Sub(m).Dot(flat)) < 1.2*w || p.Sub(m).Dot(g.up) > 0 {
			continue // the upright part
		}
		if v, at := g.toMargin(p); v-w/2 < near {
			near, nf, nt = v-w/2, at, p.Lerp(at, w/2/math.Max(v, w/2))
		}
		pr := g.profileAt(g.stationOf(p), facialSide)
		if !pr.known() {
			continue
		}
		t, _ := pr.nearest(p)
		if pr.tooth != 0 {
			if d := t + w/2; d > low {
				low, lf, lt = d, pr.points[0], pr.point(d)
			}
		}
		if f, ok := g.foldAt(pr); ok && pr.tooth != 0 {
			if d := f - (t + w/2); d < fold {
				fold, ff, ft = d, pr.point(t+w/2), pr.point(f)
			}
		}
	}
	if math.IsInf(near, 1) {
		// The bar goes straight into a base beside it: its corner is the level part.
		pr := g.upTooth(k, deg, 14)
		far := 0.0
		for _, p := range line {
			if p.Sub(m).Dot(g.up) < 0 && math.Abs(p.Sub(m).Dot(flat)) < 1.2*w {
				if t, d := pr.nearest(p); d < 1 {
					far = math.Max(far, t)
				}
			}
		}
		if far > 0 {
			near, nf, nt = far-w/2, m, pr.point(far-w/2)
			low, lf, lt = far+w/2, m, pr.point(far+w/2)
		}
	}
	l.measure(q, clearName, near, n, nf, nt)
	if lowName != "" {
		l.measure(q, lowName, low, n, lf, lt)
	}
	if foldName != "" && !math.IsInf(fold, 1) {
		l.measure(q, foldName, fold, n, ff, ft)
	}
}

// Sizes of a bar clasp's arm [mm]. Widths are common practice; its thickness is less than the
// 1.6 to 0.8 often taught, because arms that are wide and thin are stressed least (Sato et
// al., J Oral Rehabil 2001;28:413): on a premolar in 0.25 mm it then holds some 5 N and not 9.
const (
	barRootWidth, barRootThickness = 2.0, 1.2
	barTipWidth, barTipThickness   = 1.2, 0.7
)

// barClasp lays a retainer that reaches its undercut from below: I, half-T, T or Y.
func (l *layout) barClasp(q *Placed, k *crown, site tooth.Site) {
	p, g := q.Part, l.g
	n := p.Tooth
	if !site.Facial() {
		l.lingualBarClasp(q, k, site)
		return
	}
	mesialNear, a, ok := l.nearSide(n)
	if named := l.areaNamed(p.Joins); named != nil && (named.abutment == n || named.far == n) {
		a, ok = named, true
		mesialNear = l.beside(n, true) == named
	}
	clear := dimension(p, "clearance", l.lim.BarMarginClear)
	w0, t0 := dimension(p, "root_width", barRootWidth), dimension(p, "root_thickness", barRootThickness)
	w1, t1 := dimension(p, "tip_width", barTipWidth), dimension(p, "tip_thickness", barTipThickness)
	if p.Form == design.ClaspIBar && w1 == barTipWidth {
		w1 = dimension(p, "tip_width", 1.6)
	}
	under := l.undercut(p)
	height := dimension(p, "foot_height", l.lim.FootHeight)
	onExtension := a != nil && a.extension()

	bulge := k.bulge(true)
	var stem, tipDeg, tipH float64
	var clearOK, deep bool
	toNear := -1.0 // the sense of turning toward the space
	if mesialNear {
		toNear = 1
	}
	switch p.Form {
	case design.ClaspIBar:
		want := math.Max(bulge, siteAngle(site)*0.4) + 4
		tipDeg, tipH, clearOK, deep = l.reachTip(k, want, bulge+0.5, bulge+26, under, 0)
		stem = tipDeg
	default:
		// The head's finger reaches the undercut beside the space (or the site asked for).
		want := siteAngle(site) * 0.8
		if site.MesialSide() == 0 {
			want = toNear * 36
		}
		tipDeg, tipH, clearOK, deep = l.reachTip(k, want, want-12, want+12, under, 0.5)
		length := dimension(p, "finger_length", 2.8)
		stem = tipDeg
		for i := 0; i < 90 && k.at(stem, tipH).Dist(k.at(tipDeg, tipH)) < length; i++ {
			stem -= math.Copysign(0.5, want)
		}
	}

	// The foot: contact from the undercut upward.
	var feet [][]geom.Vec
	topH := math.Min(tipH+height, k.top(stem)-0.8)
	if line := k.contour(stem); onExtension && topH > line || topH > line+0.3 {
		topH = line
	}
	switch p.Form {
	case design.ClaspIBar:
		var f []geom.Vec
		for i := 0; i <= 6; i++ {
			f = append(f, k.at(tipDeg, tipH+(topH-tipH)*float64(i)/6))
		}
		feet = append(feet, f)
	default:
		headH := math.Max(tipH+0.2, k.contour(stem)-w1/2)
		if p.Form == design.ClaspYBar {
			// Its arms part below the tip's height and rise to both sides.
			headH = math.Max(math.Min(0.8, tipH), tipH-1.2)
		}
		topH = headH
		finger := func(toward, endH float64) []geom.Vec {
			var f []geom.Vec
			for i := 0; i <= 8; i++ {
				x := float64(i) / 8
				rise := x * x * (3 - 2*x)
				if p.Form == design.ClaspYBar {
					rise = x
				}
				f = append(f, k.at(stem+(toward-stem)*x, headH+(endH-headH)*rise))
			}
			return f
		}
		feet = append(feet, finger(tipDeg, tipH))
		if p.Form == design.ClaspTBar || p.Form == design.ClaspYBar {
			other := 2*stem - tipDeg
			end := math.Min(k.contour(other)+0.7, k.top(other)-0.8)
			if p.Form == design.ClaspYBar {
				end = math.Min(k.contour(other)+0.3, k.top(other)-0.8)
			}
			feet = append(feet, finger(other, end))
		}
	}
	if !ok || a == nil {
		q.short("approach_clearance", clear, 0, n, "there is no base beside the tooth for the approach arm to start in")
	} else {
		stop := tipH
		if p.Form != design.ClaspIBar {
			stop = topH
		}
		line := l.approachLine(k, a, stem, stop, clear, w0)
		if len(line) > 1 {
			m := k.margin(stem)
			out := g.normalsOf(line)
			lifted := make([]geom.Vec, len(line))
			relief := dimension(p, "relief", l.lim.BarRelief)
			for i, v := range line {
				// The relief runs out where the bar comes onto the tooth.
				by := relief
				if h := v.Sub(m).Dot(k.up); h > 0 {
					by = relief * math.Max(0, 1-h/math.Max(0.6, stop))
				}
				if i < 3 {
					by = math.Max(by, relief)
				}
				lifted[i] = v.Add(out[i].Scale(by))
			}
			c := l.curve(Approach, lifted, out, HalfRound, w0, w1, t0, t1)
			q.Curves = append(q.Curves, c)
			l.readApproach(q, k, line, w0, stem, "approach_clearance", "approach_lower_border", "approach_to_fold")
			l.crossing(q, k, line, stem)
			l.measure(q, "arm_length", geom.Length(lifted), n, lifted[0], lifted[len(lifted)-1])
			l.sections(q, c, n)
			l.planned(q, "approach_relief", relief, n)
			if mm, ok := (*q).Measure("approach_clearance", n); ok && mm.Quantity.Value < clear-0.05 {
				q.short("approach_clearance", clear, mm.Quantity.Value, n, "the gum beside the tooth is too low for the bar to run farther from the margin")
			}
			if mm, ok := (*q).Measure("approach_to_fold", n); ok && mm.Quantity.Value < 0 {
				q.short("approach_to_fold", 0, mm.Quantity.Value, n, "the vestibule is too shallow for the clearance and the width of the bar")
			}
		}
	}
	for _, f := range feet {
		out := make([]geom.Vec, len(f))
		for i, v := range f {
			d, h := k.locate(v)
			out[i] = k.normal(d, h)
		}
		w := w1
		if p.Form == design.ClaspIBar {
			w = math.Max(w1, 1.8)
		}
		q.Curves = append(q.Curves, l.curve(Foot, f, out, HalfRound, w, w1, t1, math.Min(t1, 0.7)))
	}
	first := feet[0]
	lowEnd, highEnd := first[0], first[len(first)-1]
	if p.Form == design.ClaspIBar {
		l.measure(q, "foot_height", lowEnd.Dist(highEnd), n, lowEnd, highEnd)
		if got := lowEnd.Dist(highEnd); got < height-0.1 {
			q.short("foot_height", height, got, n, "the survey line lies too low over the undercut for a longer foot below it")
		}
	} else {
		l.measure(q, "finger_length", geom.Length(first), n, lowEnd, highEnd)
	}
	highest := math.Inf(-1)
	var at geom.Vec
	for _, v := range first {
		d, h := k.locate(v)
		if x := h - k.contour(d); x > highest {
			highest, at = x, v
		}
	}
	l.measure(q, "foot_above_survey_line", highest, n, at, at)
	if v, ok := g.cast.VestibuleDepth(n); ok {
		m := k.margin(stem)
		l.measure(q, "vestibule_depth", v, n, m, m.Sub(geom.V(0, 0, v)))
	}
	l.tipAt(q, k, n, tipDeg, tipH, 0, clearOK, deep)
}

// crossing measures the angle of a line to the gingival margin where they cross.
func (l *layout) crossing(q *Placed, k *crown, line []geom.Vec, deg float64) {
	m := k.margin(deg)
	w := geom.NewWalk(line)
	s, _ := w.Nearest(m)
	dir := w.At(s + 1).Sub(w.At(s - 1))
	along := k.margin(deg + 14).Sub(k.margin(deg - 14))
	a := geom.InDeg(dir.AngleTo(along))
	l.angle(q, "crossing_angle_deg", a, k.tooth.Number, m, m)
}

// lingualBarClasp comes up from the lingual bar or plate to a lingual undercut.
func (l *layout) lingualBarClasp(q *Placed, k *crown, site tooth.Site) {
	p := q.Part
	n := p.Tooth
	under := l.undercut(p)
	want := siteAngle(site)
	deg, h, clear, deep := l.reachTip(k, want, want-20, want+20, under, 0)
	down := l.g.upTooth(k, deg, 14)
	s := l.g.stationOf(k.margin(deg))
	end := l.connectorRun(l.g.profileAt(s, lingualSide))
	var line []geom.Vec
	for t := end; t > 0.3; t -= 0.6 {
		line = append(line, down.point(t))
	}
	line = append(line, k.margin(deg))
	for x := 0.5; x < h; x += 0.5 {
		line = append(line, k.at(deg, x))
	}
	line = append(line, k.at(deg, h))
	out := l.g.normalsOf(line)
	c := l.curve(Approach, line, out, HalfRound, barRootWidth, 1.6, barRootThickness, barTipThickness)
	q.Curves = append(q.Curves, c)
	top := math.Min(h+l.lim.FootHeight, k.contour(deg))
	foot := []geom.Vec{k.at(deg, h), k.at(deg, (h+top)/2), k.at(deg, top)}
	q.Curves = append(q.Curves, l.curve(Foot, foot, l.g.normalsOf(foot), HalfRound, 1.8, 1.6, 0.8, 0.7))
	l.measure(q, "arm_length", geom.Length(line), n, line[0], line[len(line)-1])
	l.measure(q, "foot_height", foot[0].Dist(foot[2]), n, foot[0], foot[2])
	l.measure(q, "foot_above_survey_line", top-k.contour(deg), n, foot[2], foot[2])
	l.crossing(q, k, line, deg)
	l.sections(q, c, n)
	l.tipAt(q, k, n, deg, h, 0, clear, deep)
}
