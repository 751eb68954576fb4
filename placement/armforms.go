package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// ring goes round nearly the whole tooth from the near side to an undercut on the near
// side of the other face; a strut stiffens the face it starts on.
func (l *layout) ring(q *Placed, k *crown, site tooth.Site) {
	sec := l.armSection(q.Part, q.Part.Tooth)
	nearMesial := site.MesialSide() >= 0
	startFacial := !site.Facial()
	from := originAngle(nearMesial, startFacial)
	want := siteAngle(site)
	deg, h, clear, deep := l.reachTip(k, want, want-18, want+18, l.undercut(q.Part), sec.w1/2)
	// Travel the long way: over the far side.
	to := deg
	if nearMesial == startFacial { // from 58 (mesial, facial) down, or from 238 (distal, lingual) down
		for to > from-180 {
			to -= 360
		}
	} else {
		for to < from+180 {
			to += 360
		}
	}
	line, out := k.follow(armCourse{from: from, to: to, off: sec.w0 / 2, tip: h, share: l.lim.TipShare * 0.8})
	arm := l.curve(Arm, line, out, sec.shape, sec.w0, sec.w1, sec.t0, sec.t1)
	q.Curves = append(q.Curves, arm)
	l.tipAt(q, k, q.Part.Tooth, deg, h, sec.w1/2, clear, deep)
	l.readArm(q, k, q.Part.Tooth, arm, false)
	l.shoulder(q, k, nearMesial, line[0], sec)
	if !l.strutApart(q.Part.ID) {
		deg, mesial := strutPlace(q.Part, site)
		l.strut(q, k, deg, mesial)
	}
}

// strutPlace is where the strut of a ring or back-action clasp stands on its tooth, and on
// which side it runs to the base.
func strutPlace(clasp design.Part, site tooth.Site) (deg float64, mesial bool) {
	mesial = site.MesialSide() >= 0
	switch {
	case clasp.Form == design.ClaspBackAction:
		deg = originAngle(mesial, !site.Facial())
	case site.Facial():
		deg = 180
	}
	return deg, mesial
}

// strutApart tells whether a clasp's strut is a part of its own in the design.
func (l *layout) strutApart(clasp design.ID) bool {
	for _, m := range l.d.Of(design.MinorConnector) {
		if m.Joins == clasp {
			return true
		}
	}
	return false
}

// struts is the ring or back-action clasp that a minor connector is the strut of.
func (l *layout) struts(p design.Part) (design.Part, bool) {
	r, ok := l.d.Part(p.Joins)
	return r, ok && (r.Form == design.ClaspRing || r.Form == design.ClaspBackAction) && l.g.crown(r.Tooth) != nil
}

// backAction starts from a strut on one face's near corner, goes round the side of the
// space and ends in the undercut of the other face.
func (l *layout) backAction(q *Placed, k *crown, site tooth.Site) {
	sec := l.armSection(q.Part, q.Part.Tooth)
	startFacial := !site.Facial()
	startMesial := site.MesialSide() >= 0
	from := originAngle(startMesial, startFacial)
	want := siteAngle(site)
	deg, h, clear, deep := l.reachTip(k, want, want-18, want+18, l.undercut(q.Part), sec.w1/2)
	to := deg
	if startMesial == startFacial {
		for to > from-150 {
			to -= 360
		}
	} else {
		for to < from+150 {
			to += 360
		}
	}
	line, out := k.follow(armCourse{from: from, to: to, off: sec.w0 / 2, tip: h, share: l.lim.TipShare * 0.9})
	arm := l.curve(Arm, line, out, sec.shape, sec.w0, sec.w1, sec.t0, sec.t1)
	q.Curves = append(q.Curves, arm)
	l.tipAt(q, k, q.Part.Tooth, deg, h, sec.w1/2, clear, deep)
	l.readArm(q, k, q.Part.Tooth, arm, false)
	if !l.strutApart(q.Part.ID) {
		deg, mesial := strutPlace(q.Part, site)
		l.strut(q, k, deg, mesial)
	}
}

// strut leads from an arm on the tooth down across the margin: on the lingual to the
// major connector, on the facial below the margin to the base.
func (l *layout) strut(q *Placed, k *crown, deg float64, mesial bool) {
	w, t := dimension(q.Part, "strut_width", 2.5), dimension(q.Part, "strut_thickness", 1.5)
	clear := dimension(q.Part, "strut_clearance", l.lim.StrutToMargin)
	facial := math.Cos(geom.Deg(deg)) > 0
	var line []geom.Vec
	if facial {
		a := l.beside(k.tooth.Number, mesial)
		if a == nil {
			a = l.beside(k.tooth.Number, !mesial)
		}
		if a == nil {
			q.short("strut_to_margin", clear, 0, k.tooth.Number, "there is no base beside the tooth for the strut to run to")
			return
		}
		line = l.approachLine(k, a, deg, k.contour(deg), clear, w)
		l.readApproach(q, k, line, w, deg, "strut_to_margin", "", "")
	} else {
		s := l.g.stationOf(k.margin(deg))
		p := l.g.profileAt(s, lingualSide)
		line = []geom.Vec{k.at(deg, k.contour(deg)), k.at(deg, 0.6), p.point(0.3)}
		end := l.connectorRun(p)
		for x := 1.0; x < end; x += 0.7 {
			line = append(line, p.point(x))
		}
		line = append(line, p.point(end))
	}
	line = geom.Resample(line, max(8, int(geom.Length(line)/0.5)))
	out := l.g.normalsOf(line)
	q.Curves = append(q.Curves, l.curve(Rigid, lift(line, out, l.lim.MinorRelief), out, HalfRound, w, w, t, t))
}

// hairpin goes out along the survey line, turns, and comes back below it into the
// undercut beside its origin.
func (l *layout) hairpin(q *Placed, k *crown, site tooth.Site) {
	sec := l.armSection(q.Part, q.Part.Tooth)
	nearMesial := site.MesialSide() >= 0
	from := originAngle(nearMesial, site.Facial())
	want := siteAngle(site)
	deg, h, clear, deep := l.reachTip(k, want, want-16, want+16, l.undercut(q.Part), sec.w1/2)
	turnTo := originAngle(!nearMesial, site.Facial())
	turnTo = from + (turnTo-from)*0.72
	slot := dimension(q.Part, "slot", 1.0)
	up := func(f float64) (float64, float64) {
		d := from + (turnTo-from)*f
		return d, math.Min(math.Max(k.contour(d), h+slot+sec.w0), k.top(d)-0.8)
	}
	var line, out []geom.Vec
	add := func(d, h float64) {
		line = append(line, k.at(d, h))
		out = append(out, k.normal(d, h))
	}
	for i := 0; i <= 24; i++ {
		d, x := up(float64(i) / 24)
		add(d, x)
	}
	_, hu := up(1)
	hl := math.Max(0.9, hu-slot-sec.w0)
	r := (hu - hl) / 2
	mmPerDeg := k.at(turnTo+1, hu).Dist(k.at(turnTo, hu))
	way := math.Copysign(1, turnTo-from)
	for i := 1; i < 8; i++ {
		a := math.Pi * float64(i) / 8
		add(turnTo+way*r*math.Sin(a)/math.Max(0.02, mmPerDeg), (hu+hl)/2+r*math.Cos(a))
	}
	for i := 0; i <= 24; i++ {
		f := float64(i) / 24
		d := turnTo + (deg-turnTo)*f
		add(d, hl+(h-hl)*f*f*(3-2*f))
	}
	arm := l.curve(Arm, line, out, sec.shape, sec.w0, sec.w1, sec.t0, sec.t1)
	q.Curves = append(q.Curves, arm)
	l.tipAt(q, k, q.Part.Tooth, deg, h, sec.w1/2, clear, deep)
	l.readArm(q, k, q.Part.Tooth, arm, false)
	l.shoulder(q, k, nearMesial, line[0], sec)
	gap := math.Inf(1)
	for i := 6; i < 20; i++ {
		for j := len(line) - 20; j < len(line); j++ {
			gap = math.Min(gap, line[i].Dist(line[j])-(arm.Width[i]+arm.Width[j])/2)
		}
	}
	l.measure(q, "slot", math.Max(0, gap), q.Part.Tooth, line[12], line[len(line)-6])
	if gap < slot-0.1 {
		q.short("slot", slot, math.Max(0, gap), q.Part.Tooth, "the crown is too low for two limbs and a slot between them")
	}
}

// partnerOf is the other tooth of a clasp that spans two: as the part says, else the
// neighbour that also carries a rest at the same embrasure, else the neighbour.
func (l *layout) partnerOf(p design.Part) tooth.Number {
	for _, n := range p.Teeth {
		if n != p.Tooth && l.g.crown(n) != nil {
			return n
		}
	}
	for _, n := range []tooth.Number{p.Tooth.Distal(), p.Tooth.Mesial()} {
		if n == 0 || l.g.crown(n) == nil {
			continue
		}
		for _, r := range l.restsOn(n) {
			if r.Form == design.RestEmbrasure && (r.Site == tooth.Mesial) == (n == p.Tooth.Distal()) {
				return n
			}
		}
	}
	for _, n := range []tooth.Number{p.Tooth.Distal(), p.Tooth.Mesial()} {
		if n != 0 && l.g.crown(n) != nil {
			return n
		}
	}
	return 0
}

// facing is whether the mesial side of n looks to m.
func facing(n, m tooth.Number) bool { return n.Mesial() == m }

// embrasureClasp crosses two marginal ridges; on each tooth an arm runs to the far line
// angle, retentive on one face and rigid on the other.
func (l *layout) embrasureClasp(q *Placed, k *crown, site tooth.Site) {
	p := q.Part
	other := l.partnerOf(p)
	if other == 0 {
		l.circlet(q, k, site, site.MesialSide() < 0)
		q.short("contact_areas", 2, 1, p.Tooth, "an embrasure clasp needs a second tooth beside the first")
		return
	}
	k2 := l.g.crown(other)
	far := func(n, m tooth.Number, facial bool) tooth.Site {
		mesial := !facing(n, m)
		switch {
		case facial && mesial:
			return tooth.MesioFacial
		case facial:
			return tooth.DistoFacial
		case mesial:
			return tooth.MesioLingual
		}
		return tooth.DistoLingual
	}
	facial := site.Facial()
	l.circletOn(q, k, p.Tooth, far(p.Tooth, other, facial), facing(p.Tooth, other), false)
	l.circletOn(q, k2, other, far(other, p.Tooth, facial), facing(other, p.Tooth), false)
	r1 := l.rigidArm(q, k, !facial, facing(p.Tooth, other))
	r2 := l.rigidArm(q, k2, !facial, facing(other, p.Tooth))
	// The body runs over both ridges from the facial to the lingual arms' roots.
	a, _ := k.ridgeOf(facing(p.Tooth, other))
	b, _ := k2.ridgeOf(facing(other, p.Tooth))
	mid := a.Lerp(b, 0.5)
	arms := q.Curves
	f0 := arms[0].Points[0].Lerp(arms[1].Points[0], 0.5)
	g0 := r1.Points[0].Lerp(r2.Points[0], 0.5)
	line := geom.Resample([]geom.Vec{f0, mid.Add(k.up.Scale(0.1)), g0}, 13)
	for i := 1; i+1 < len(line); i++ {
		line[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
	}
	out := make([]geom.Vec, len(line))
	for i := range out {
		out[i] = k.up
	}
	w := dimension(p, "channel", l.lim.EmbrasureChannel)
	q.Curves = append(q.Curves, l.curve(Rigid, line, out, HalfRound, w, w, 1.5, 1.5))
}

// multiple is two facing circlets whose rigid arms join.
func (l *layout) multiple(q *Placed, k *crown, site tooth.Site) {
	p := q.Part
	other := l.partnerOf(p)
	if other == 0 {
		l.circlet(q, k, site, site.MesialSide() < 0)
		q.short("contact_areas", 2, 1, p.Tooth, "a multiple clasp needs a second tooth beside the first")
		return
	}
	facial := site.Facial()
	sites := func(n, m tooth.Number) tooth.Site {
		// The far end is beside the neighbour: the arms face one another.
		mesial := facing(n, m)
		switch {
		case facial && mesial:
			return tooth.MesioFacial
		case facial:
			return tooth.DistoFacial
		case mesial:
			return tooth.MesioLingual
		}
		return tooth.DistoLingual
	}
	k2 := l.g.crown(other)
	l.circletOn(q, k, p.Tooth, sites(p.Tooth, other), !facing(p.Tooth, other), true)
	l.circletOn(q, k2, other, sites(other, p.Tooth), !facing(other, p.Tooth), true)
	a := l.rigidArm(q, k, !facial, !facing(p.Tooth, other))
	b := l.rigidArm(q, k2, !facial, !facing(other, p.Tooth))
	e, f := len(a.Points)-1, len(b.Points)-1
	line := geom.Resample([]geom.Vec{a.Points[e], b.Points[f]}, 6)
	out := make([]geom.Vec, len(line))
	for i := range out {
		out[i] = a.Out[e].Lerp(b.Out[f], float64(i)/5).Unit()
	}
	q.Curves = append(q.Curves, l.curve(Rigid, line, out, HalfRound, a.Width[e], b.Width[f], a.Thickness[e], b.Thickness[f]))
}

// extendedArm runs above the survey line of its own tooth and ends in the undercut of the
// next one away from the origin.
func (l *layout) extendedArm(q *Placed, k *crown, site tooth.Site, originMesial bool) {
	p := q.Part
	other := p.Tooth.Mesial()
	if originMesial {
		other = p.Tooth.Distal()
	}
	for _, n := range p.Teeth {
		if n != p.Tooth {
			other = n
			originMesial = !facing(p.Tooth, n)
		}
	}
	k2 := l.g.crown(other)
	if k2 == nil {
		l.circlet(q, k, site, originMesial)
		q.short("arm_length", 15, 0, p.Tooth, "there is no next tooth for the arm to run to")
		return
	}
	sec := l.armSection(p, p.Tooth)
	facial := site.Facial()
	from, to := originAngle(originMesial, facial), originAngle(!originMesial, facial)
	to = from + (to-from)*0.92
	first, firstOut := k.follow(armCourse{from: from, to: to, off: sec.w0 / 2, tip: math.NaN()})
	from2 := originAngle(facing(other, p.Tooth), facial)
	mid := 0.0
	if !facial {
		mid = 180
	}
	want := siteAngle(site)
	if site.MesialSide() == 0 || (siteAngle(site) > mid) == (from2 > mid) {
		want = 2*mid - from2*0.8 - mid*0.2
	}
	deg, h, clear, deep := l.reachTip(k2, want, want-22, want+22, l.undercut(p), sec.w1/2)
	start := from2 + (deg-from2)*0.12
	second, secondOut := k2.follow(armCourse{from: start, to: deg, off: sec.w0 / 2 * 0.8, tip: h, share: 0.45})
	bridge := geom.Resample([]geom.Vec{first[len(first)-1], second[0]}, 6)
	line := append(append(append([]geom.Vec{}, first...), bridge[1:5]...), second...)
	out := append([]geom.Vec{}, firstOut...)
	for i := 1; i < 5; i++ {
		out = append(out, firstOut[len(firstOut)-1].Lerp(secondOut[0], float64(i)/5).Unit())
	}
	out = append(out, secondOut...)
	arm := l.curve(Arm, line, out, sec.shape, sec.w0, sec.w1, sec.t0, sec.t1)
	q.Curves = append(q.Curves, arm)
	l.tipAt(q, k2, other, deg, h, sec.w1/2, clear, deep)
	l.measure(q, "arm_length", geom.Length(line), p.Tooth, line[0], line[len(line)-1])
	lowest := 0.0
	for _, pt := range first {
		d, hh := k.locate(pt)
		lowest = math.Max(lowest, k.depth(d, hh))
	}
	l.measure(q, "rigid_undercut", lowest, p.Tooth, first[0], first[len(first)-1])
	below := 0.0
	for i := 1; i < len(second); i++ {
		if d, hh := k2.locate(second[i]); hh < k2.contour(d)-0.03 {
			below += second[i].Dist(second[i-1])
		}
	}
	l.ratio(q, "below_survey_line_share", below/geom.Length(line), p.Tooth)
	l.sections(q, arm, p.Tooth)
	l.shoulder(q, k, originMesial, line[0], sec)
}
