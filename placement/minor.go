package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// upright is where a minor connector stands: a station along the arch, and the place on
// the teeth it comes down from.
type upright struct {
	station float64
	on      *crown     // the tooth whose rest it carries
	mesial  bool       // the side of that tooth it comes down
	start   []geom.Vec // on the rests it carries
	of      []*crown   // the crown of each of them
	facial  bool       // joins a labial bar
}

// stand finds the place of a minor connector from its rests and its embrasure.
func (l *layout) stand(p design.Part) *upright {
	g := l.g
	at := p.At
	if len(at) == 0 && p.Tooth != 0 {
		at = []tooth.Number{p.Tooth}
	}
	if len(at) == 0 {
		return nil
	}
	u := &upright{}
	n := at[0]
	var other tooth.Number
	if len(at) > 1 {
		other = at[1]
	} else {
		other = l.sideOfRest(n)
	}
	u.mesial = other != 0 && n.Mesial() == other
	// The tooth whose rest is carried: the one with a rest facing the embrasure.
	carriers := []tooth.Number{}
	for _, c := range at {
		o := other
		if c == other {
			o = n
		}
		for _, r := range l.restsOn(c) {
			faces := r.Site == tooth.Mesial && c.Mesial() == o || r.Site == tooth.Distal && c.Distal() == o ||
				r.Site == tooth.Lingual && !l.servedElsewhere(p, c)
			if faces {
				carriers = append(carriers, c)
				break
			}
		}
	}
	if len(carriers) == 0 {
		carriers = []tooth.Number{n}
	}
	charted := carriers[:0:0]
	for _, c := range append(carriers, at...) {
		if g.crown(c) != nil && !contains(charted, c) {
			charted = append(charted, c)
		}
	}
	if len(charted) == 0 {
		return nil
	}
	if len(charted) > len(carriers) {
		charted = charted[:len(carriers)]
	}
	carriers = charted
	u.on = g.crown(carriers[0])
	o := other
	if carriers[0] == other {
		o = n
	}
	u.mesial = o != 0 && carriers[0].Mesial() == o
	t := g.cast.Teeth[carriers[0]]
	contact := t.DistalContact
	if u.mesial {
		contact = t.MesialContact
	}
	u.station = g.stationOf(contact)
	if o != 0 && g.stands(o) {
		t2 := g.cast.Teeth[o]
		c2 := t2.MesialContact
		if o.Distal() == carriers[0] {
			c2 = t2.DistalContact
		}
		u.station = (u.station + g.stationOf(c2)) / 2
	}
	for _, c := range carriers {
		for _, r := range l.restsOn(c) {
			q := l.parts[r.ID]
			if q == nil {
				continue
			}
			s, ok := q.seatCentre()
			if !ok {
				continue
			}
			facesMesial := r.Site == tooth.Mesial
			if r.Site == tooth.Lingual && !l.servedElsewhere(p, c) || (c == carriers[0] && facesMesial == u.mesial) || c != carriers[0] {
				if r.Site == tooth.Lingual || r.Form == design.RestIncisal {
					u.start = append(u.start, s)
				} else {
					ridge, _ := g.crown(c).ridgeOf(facesMesial)
					u.start = append(u.start, ridge.Lerp(s, 0.3))
				}
				u.of = append(u.of, g.crown(c))
				break
			}
		}
	}
	if len(u.start) == 0 {
		ridge, _ := u.on.ridgeOf(u.mesial)
		u.start, u.of = []geom.Vec{ridge}, []*crown{u.on}
	}
	return u
}

// servedElsewhere tells whether another upright connector stands at a tooth as its first
// one, so that its lingual rest belongs to that.
func (l *layout) servedElsewhere(p design.Part, n tooth.Number) bool {
	if len(p.At) > 0 && p.At[0] == n {
		return false
	}
	for _, o := range l.d.Of(design.MinorConnector) {
		if o.ID != p.ID && contains(o.At, n) {
			return true
		}
	}
	return false
}

// sideOfRest is the neighbour toward which a single tooth's connector comes down: the
// side its rest is on, else a standing neighbour.
func (l *layout) sideOfRest(n tooth.Number) tooth.Number {
	for _, r := range l.restsOn(n) {
		switch r.Site {
		case tooth.Mesial:
			return n.Mesial()
		case tooth.Distal:
			return n.Distal()
		}
	}
	if l.g.stands(n.Mesial()) {
		return n.Mesial()
	}
	return n.Distal()
}

// minorConnector lays an upright connector: from its rest through the embrasure, across
// the margin at a right angle, down the profile into the major connector.
func (l *layout) minorConnector(q *Placed) {
	if clasp, ok := l.struts(q.Part); ok {
		site := tooth.MesioFacial
		if clasp.Undercut != nil {
			site = clasp.Undercut.Site
		}
		deg, mesial := strutPlace(clasp, site)
		l.strut(q, l.g.crown(clasp.Tooth), deg, mesial)
		l.planned(q, "connector_width", 2.5, clasp.Tooth)
		l.planned(q, "connector_thickness", 1.5, clasp.Tooth)
		return
	}
	u := l.minor[q.Part.ID]
	if u == nil {
		q.short("connector_width", l.lim.MinorWidth, 0, 0, "the part names no tooth to stand at")
		return
	}
	g, k := l.g, u.on
	n := k.tooth.Number
	w, t := dimension(q.Part, "width", l.lim.MinorWidth), dimension(q.Part, "thickness", l.lim.MinorThickness)
	if bar := l.barOverTeeth(); bar != nil {
		l.toBarOverTeeth(q, u, bar, w, t)
		return
	}
	sd := lingualSide
	if l.bar != nil && l.bar.side == facialSide {
		sd = facialSide
	}
	pr := g.profileAt(u.station, sd)
	if !pr.known() {
		q.short("connector_width", w, 0, n, "the cast shows no gum beside the embrasure")
		return
	}
	// It crosses the margin square to the margin's general course past the embrasure.
	along := g.tangent(u.station)
	if a, b := g.profileAt(u.station-2.5, sd), g.profileAt(u.station+2.5, sd); a.tooth != 0 && b.tooth != 0 && a.known() && b.known() {
		along = b.points[0].Sub(a.points[0])
	}
	pr = g.square(pr, along, sd)
	end := l.connectorRun(pr)
	// On the crown it keeps to the embrasure: down the proximal line angle.
	angle := originAngle(u.mesial, sd == facialSide)
	for _, start := range u.start[:1] {
		deg, h := k.locate(start)
		line := []geom.Vec{start}
		mid := math.Min(math.Max(k.contour(angle), 0.8), k.top(angle)*0.7)
		// It only ever comes down from its rest.
		mid = math.Max(0.4, math.Min(mid, 0.75*h))
		near := deg + (angle-deg)*0.55
		if math.Abs(angle-deg) > 180 {
			near = angle
		}
		line = append(line, k.at(near, math.Max(mid, 0.9*h)), k.at(angle, (0.6*h+mid)/1.6))
		line = append(line, k.at(angle, mid).Lerp(pr.points[0], 0.25))
		for x := 0.0; x < end; x += 0.6 {
			line = append(line, pr.point(x))
		}
		line = append(line, pr.point(end))
		if l.palat != nil && !l.palat.covers(pr.point(end).XY()) {
			line = append(line, l.toPalate(pr.point(end))...)
		}
		line = geom.Resample(line, max(10, int(geom.Length(line)/0.5)))
		for r := 0; r < 3; r++ {
			for i := 1; i+1 < len(line); i++ {
				if t, d := pr.nearest(line[i]); d < 0.1 && t > 0 && t < end-1 {
					break // on the gum it stays in its plane
				}
				line[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
			}
		}
		away := g.inward(g.tangent(u.station))
		if sd == facialSide {
			away = away.Neg()
		}
		out := g.normalsOf(line)
		for i := range out {
			// In the embrasure the surface turns every way; the metal looks to the tongue.
			out[i] = out[i].Add(away.Scale(1.5)).Unit()
		}
		c := l.curve(Rigid, line, out, HalfRound, w, w*1.15, t, t)
		q.Curves = append(q.Curves, c)
	}
	if len(u.start) > 1 {
		q.Curves = append(q.Curves, l.toSecondRest(u, q.Curves[0].Points, w, t))
	}
	l.planned(q, "connector_width", w, n)
	l.planned(q, "connector_thickness", t, n)
	l.planned(q, "connector_relief", l.lim.MinorRelief, n)
	// The angle to the margin's general course past the embrasure.
	line := q.Curves[0].Points
	walk := geom.NewWalk(line)
	s, _ := walk.Nearest(pr.points[0])
	dir := walk.At(s + 1.4).Sub(walk.At(s + 0.2))
	l.angle(q, "crossing_angle_deg", geom.InDeg(dir.AngleTo(along)), n, pr.points[0], pr.points[0])
	// Whether it comes down over the bulge of the lingual surface, and not in an embrasure.
	convex := 0.0
	s0, s1 := g.stationOf(k.tooth.MesialContact), g.stationOf(k.tooth.DistalContact)
	if s := g.stationOf(pr.points[0]); math.Min(math.Abs(s-s0), math.Abs(s-s1)) > 0.3*k.md {
		convex = 1
	}
	l.ratio(q, "on_convex", convex, n)
	last := len(line) - 1
	if l.bar != nil {
		l.angle(q, "joint_angle_deg", geom.InDeg(line[last].Sub(line[last-2]).AngleTo(l.bar.tangentAt(g, u.station))), n, line[last], line[last])
	}
	l.spacing(q, u, w)
}

// toSecondRest joins the second rest at an embrasure to the upright: over the ridges where
// both are occlusal, along the lingual of its tooth from a cingulum.
func (l *layout) toSecondRest(u *upright, line []geom.Vec, w, t float64) Curve {
	k, from := u.of[1], u.start[1]
	deg, h := k.locate(from)
	if math.Abs(deg-180) > 45 {
		bridge := geom.Resample(u.start[:2], 5)
		out := make([]geom.Vec, len(bridge))
		for i := range out {
			out[i] = l.g.up
		}
		return l.curve(Rigid, bridge, out, HalfRound, w, w, t, t)
	}
	walk := geom.NewWalk(line)
	s, _ := walk.Nearest(k.at(originAngle(facing(k.tooth.Number, u.on.tooth.Number), false), h))
	end := walk.At(s)
	to, _ := k.locate(end)
	var way []geom.Vec
	for i := 0; i < 6; i++ {
		way = append(way, k.at(deg+(to-deg)*float64(i)/6, h))
	}
	way = geom.Resample(append(way, end), 10)
	return l.curve(Rigid, way, l.g.normalsOf(way), HalfRound, w, w, t, t)
}

// barOverTeeth is the line of a cingulum bar that is itself the major connector, or nil.
func (l *layout) barOverTeeth() []geom.Vec {
	for _, p := range l.d.Of(design.MajorConnector) {
		if q := l.parts[p.ID]; p.Form == design.CingulumBar && q != nil {
			for _, c := range q.Curves {
				if c.Role == BarLine {
					return c.Points
				}
			}
		}
	}
	return nil
}

// toBarOverTeeth leads from a rest over the tooth to a cingulum bar; it never comes down
// to the gum.
func (l *layout) toBarOverTeeth(q *Placed, u *upright, bar []geom.Vec, w, t float64) {
	n := u.on.tooth.Number
	walk := geom.NewWalk(bar)
	for _, start := range u.start {
		s, d := walk.Nearest(start)
		line := l.onCrown(n, []geom.Vec{start, walk.At(s)}, max(4, int(d/0.5)))
		q.Curves = append(q.Curves, l.curve(Rigid, line, l.g.normalsOf(line), HalfRound, w, w, t, t))
	}
	l.planned(q, "connector_width", w, n)
	l.planned(q, "connector_thickness", t, n)
	l.spacing(q, u, w)
}

// spacing is the clear gap to the next upright connector or guide plate along the arch.
func (l *layout) spacing(q *Placed, u *upright, w float64) {
	best := math.Inf(1)
	var to float64
	try := func(s, half float64) {
		if d := math.Abs(s-u.station) - half - w/2; d < best && d > -1 {
			best, to = d, s
		}
	}
	for _, p := range l.d.Of(design.MinorConnector) {
		if o := l.minor[p.ID]; o != nil && p.ID != q.Part.ID {
			try(o.station, dimension(p, "width", l.lim.MinorWidth)/2)
		}
	}
	for _, p := range l.d.Of(design.GuidePlate) {
		// With the plate of its own tooth an upright makes one clasp assembly.
		if k := l.g.crown(p.Tooth); k != nil && k != u.on && p.Surface != tooth.Lingual {
			b := l.bandOf(p, k)
			try(l.g.stationOf(k.at(b.lingual, b.top(b.lingual))), 0)
		}
	}
	if !math.IsInf(best, 1) {
		sd := lingualSide
		a, b := l.g.on(u.station, 0.5, sd), l.g.on(to, 0.5, sd)
		l.measure(q, "connector_spacing", math.Max(0, best), u.on.tooth.Number, a, b)
		if best < l.lim.MinorSpacing-0.05 {
			q.short("connector_spacing", l.lim.MinorSpacing, math.Max(0, best), u.on.tooth.Number, "the teeth are too narrow for two uprights farther apart")
		}
	}
}

// toPalate leads from a place on the palate over to the connector's nearest border.
func (l *layout) toPalate(from geom.Vec) []geom.Vec {
	best, at := math.Inf(1), geom.Vec2{}
	for _, v := range l.palat.outline {
		if d := v.Dist(from.XY()); d < best {
			best, at = d, v
		}
	}
	if math.IsInf(best, 1) {
		return nil
	}
	var line []geom.Vec
	n := max(2, int(best/0.7))
	for i := 1; i <= n; i++ {
		v := from.XY().Lerp(at, (1+0.6/math.Max(best, 0.6))*float64(i)/float64(n))
		if p, ok := l.g.drop(v.X, v.Y); ok {
			line = append(line, p)
		}
	}
	return line
}

// connectorRun is how far down a profile an upright has to go to stand in the major
// connector.
func (l *layout) connectorRun(p profile) float64 {
	switch {
	case l.bar != nil:
		if t, ok := l.bar.upperAt(p.at); ok {
			return math.Min(t+1.2, p.length())
		}
		return math.Min(4, p.length())
	case l.palat != nil:
		for t := 1.0; t < p.length(); t += 0.4 {
			if l.palat.covers(p.point(t).XY()) {
				return math.Min(t+1.0, p.length())
			}
		}
		return math.Min(l.lim.PalateMarginClear+1, p.length())
	}
	return math.Min(4, p.length())
}
