package placement

import (
	"math"
	"sort"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

func areaQuantity(g *ground, v float64) unit.Quantity {
	return unit.Quantity{Value: v, Unit: "mm²", Origin: g.cast.Origin}
}

// seeWhole reads what only the whole framework shows: fulcrum lines, encirclement, cover
// of the margins, and whether it is one body.
func (l *layout) seeWhole(p *Placement) {
	l.fulcrums(p)
	l.indirect(p)
	l.encircle()
	l.cover()
	l.bodies()
	l.spreadOfRests()
	l.crossings()
	l.underRigid()
	l.turn(p)
}

// crossings reads on a major connector the least and the greatest angle at which the
// uprights that join it cross the gingival margin.
func (l *layout) crossings() {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range l.d.Of(design.MinorConnector) {
		if m, ok := l.parts[p.ID].Measure("crossing_angle_deg", 0); ok {
			lo, hi = math.Min(lo, m.Quantity.Value), math.Max(hi, m.Quantity.Value)
		}
	}
	for _, p := range l.d.Of(design.MajorConnector) {
		if q := l.parts[p.ID]; !math.IsInf(lo, 1) {
			l.angle(q, "crossing_min_deg", lo, 0, geom.Vec{}, geom.Vec{})
			l.angle(q, "crossing_max_deg", hi, 0, geom.Vec{}, geom.Vec{})
		}
	}
}

func (l *layout) wholeNote(name string, q unit.Quantity, n tooth.Number, from, to geom.Vec) {
	l.whole = append(l.whole, Measure{Name: name, Label: Label(name), Quantity: q, Tooth: n, From: from, To: to})
}

// fulcrums draws the two lines the denture rocks about: through the rests, and through
// the retentive tips, that lie nearest to the extension bases (IND-01 to 04).
func (l *layout) fulcrums(p *Placement) {
	var ext []*area
	var front *area
	for _, a := range l.bases {
		if len(a.crest) < 2 || a.abutment == 0 {
			continue
		}
		if a.extension() {
			ext = append(ext, a)
		} else if a.anterior() || spansMidline(a) {
			front = a
		}
	}
	type place struct {
		at geom.Vec
		n  tooth.Number
	}
	var rests, tips []place
	for _, r := range l.d.Of(design.Rest) {
		if q := l.parts[r.ID]; q != nil && r.Role != design.Indirect {
			if c, ok := q.seatCentre(); ok {
				rests = append(rests, place{c, r.Tooth})
			}
		}
	}
	for _, r := range l.d.Of(design.Retainer) {
		if q := l.parts[r.ID]; q != nil {
			for _, t := range q.Tips {
				tips = append(tips, place{t.Point, t.Tooth})
			}
		}
	}
	nearest := func(list []place, a *area) (geom.Vec, bool) {
		// The one on the terminal abutment; failing that the nearest along the arch.
		best, d := geom.Vec{}, math.Inf(1)
		for _, x := range list {
			v := math.Abs(l.g.stationOf(x.at) - a.from)
			if x.n == a.abutment {
				v -= 100
			}
			if v < d {
				best, d = x.at, v
			}
		}
		return best, !math.IsInf(d, 1)
	}
	hindmost := func(list []place, right bool) (geom.Vec, bool) {
		best, y := geom.Vec{}, math.Inf(1)
		for _, x := range list {
			if x.n.Right() == right && x.at.Y < y {
				best, y = x.at, x.at.Y
			}
		}
		return best, !math.IsInf(y, 1)
	}
	line := func(list []place) []geom.Vec {
		switch {
		case len(ext) >= 2:
			a, ok := nearest(list, ext[0])
			b, ok2 := nearest(list, ext[1])
			if ok && ok2 && a.Dist(b) > 3 {
				return []geom.Vec{a, b}
			}
		case len(ext) == 1:
			a, ok := nearest(list, ext[0])
			b, ok2 := hindmost(list, !ext[0].right)
			if ok && ok2 && a.Dist(b) > 3 {
				return []geom.Vec{a, b}
			}
		case front != nil && l.frontAxis(front):
			var a, b geom.Vec
			da, db := math.Inf(1), math.Inf(1)
			for _, x := range list {
				s := l.g.stationOf(x.at)
				if d := math.Abs(s - front.from); d < da {
					a, da = x.at, d
				}
				if d := math.Abs(s - front.to); d < db {
					b, db = x.at, d
				}
			}
			if !math.IsInf(da, 1) && a.Dist(b) > 3 {
				return []geom.Vec{a, b}
			}
		}
		return nil
	}
	p.SupportFulcrum, p.RetentiveFulcrum = line(rests), line(tips)
	if len(p.SupportFulcrum) == 2 {
		l.wholeNote("fulcrum_length", l.g.length(p.SupportFulcrum[0].Dist(p.SupportFulcrum[1])), 0, p.SupportFulcrum[0], p.SupportFulcrum[1])
	}
}

func spansMidline(a *area) bool {
	r, lft := false, false
	for _, n := range a.teeth {
		r, lft = r || n.Right(), lft || !n.Right()
	}
	return r && lft
}

// frontAxis tells whether a front stretch is long enough to have an axis: by its teeth, or
// because its crest stands more than 10 mm in front of the line between its abutments.
func (l *layout) frontAxis(a *area) bool {
	if !spansMidline(a) {
		return false
	}
	if len(a.teeth) >= l.lim.ClassIVAxisTeeth {
		return true
	}
	return lineDistance(a.crest[len(a.crest)/2], a.crest[0], a.crest[len(a.crest)-1]) > 10
}

// lineDistance is how far p lies from the line through a and b, seen from the occlusal.
func lineDistance(p, a, b geom.Vec) float64 {
	d := b.XY().Sub(a.XY())
	if d.Norm() == 0 {
		return p.XY().Dist(a.XY())
	}
	return math.Abs(p.XY().Sub(a.XY()).Cross(d)) / d.Norm()
}

func lineFoot(p, a, b geom.Vec) geom.Vec {
	d := b.XY().Sub(a.XY())
	t := p.XY().Sub(a.XY()).Dot(d) / d.Dot(d)
	return a.Lerp(b, t)
}

// indirect measures how far each indirect rest stands from the fulcrum line, and that
// over the base's own distance (IND-17).
func (l *layout) indirect(p *Placement) {
	if len(p.SupportFulcrum) != 2 {
		return
	}
	a, b := p.SupportFulcrum[0], p.SupportFulcrum[1]
	side := func(q geom.Vec) float64 { return b.XY().Sub(a.XY()).Cross(q.XY().Sub(a.XY())) }
	far, mid := 0.0, geom.Vec{}
	for _, x := range l.bases {
		if x.extension() && len(x.crest) > 1 || len(x.crest) > 1 && spansMidline(x) && l.frontAxis(x) {
			m, _ := x.along(x.length() / 2)
			if d := lineDistance(m, a, b); d > far {
				far, mid = d, m
			}
		}
	}
	for _, r := range l.d.Of(design.Rest) {
		if r.Role != design.Indirect {
			continue
		}
		q := l.parts[r.ID]
		c, ok := q.seatCentre()
		if !ok {
			continue
		}
		d := lineDistance(c, a, b)
		if side(c)*side(mid) > 0 {
			d = -d // on the base's own side it holds nothing
		}
		l.measure(q, "distance_to_fulcrum", d, r.Tooth, lineFoot(c, a, b), c)
		if far > 0 {
			l.ratio(q, "fulcrum_ratio", d/far, r.Tooth)
		}
	}
}

// span is an arc of a crown touched by a part, in degrees; to may pass 360.
type span struct{ from, to float64 }

// touches lists the arcs of a crown that the parts on it touch.
func (l *layout) touches(n tooth.Number) []span {
	k := l.g.crown(n)
	var out []span
	take := func(points []geom.Vec, pad float64) {
		lo, hi, last := math.Inf(1), math.Inf(-1), math.NaN()
		for _, p := range points {
			if p.Dist(k.tooth.Frame.Origin) > 1.1*(k.md+k.fl) {
				continue
			}
			d, h := k.locate(p)
			if h < 0.2 || h > k.top(d)+0.8 || p.Dist(k.at(d, h)) > 0.7 {
				continue
			}
			if !math.IsNaN(last) {
				for d < last-180 {
					d += 360
				}
				for d > last+180 {
					d -= 360
				}
			}
			last = d
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
		if lo <= hi {
			out = append(out, span{lo - pad, hi + pad})
		}
	}
	for _, p := range l.d.Parts {
		q := l.parts[p.ID]
		if q == nil {
			continue
		}
		switch p.Kind {
		case design.Rest:
			if p.Tooth != n {
				continue
			}
			// A rest holds the tooth at its marginal ridge (or cingulum).
			switch p.Site {
			case tooth.Mesial:
				out = append(out, span{72, 108})
			case tooth.Distal:
				out = append(out, span{252, 288})
			default:
				if c, ok := q.seatCentre(); ok {
					d, _ := k.locate(c)
					out = append(out, span{d - 20, d + 20})
				}
			}
		case design.GuidePlate:
			if p.Tooth == n {
				b := l.bandOf(p, k)
				out = append(out, span{math.Min(b.facial, b.lingual), math.Max(b.facial, b.lingual)})
			}
		case design.MinorConnector:
			u := l.minor[p.ID]
			if u != nil && contains(p.At, n) || u != nil && u.on == k {
				mesial := u.mesial
				if u.on != k {
					mesial = !u.mesial
				}
				c := originAngle(mesial, u.facial)
				out = append(out, span{c - 22, c + 18})
			}
		case design.Retainer, design.Reciprocation:
			if p.Tooth != n && !contains(p.Teeth, n) && l.partnerOfClasp(p) != n {
				continue
			}
			for _, c := range q.Curves {
				if c.Role == Arm || c.Role == Foot || c.Role == Rigid {
					take(c.Points, 2)
				}
			}
			for _, c := range q.Patches {
				take(c.Outline, 0)
			}
		case design.MajorConnector:
			if p.Form == design.LingualPlate || p.Form == design.CingulumBar || p.Form == design.LingualBarWithCingulumBar {
				if contains(l.plated(p), n) {
					out = append(out, span{132, 228})
				}
			} else if contains(p.Teeth, n) {
				out = append(out, span{132, 228})
			}
		}
	}
	return out
}

func (l *layout) partnerOfClasp(p design.Part) tooth.Number {
	if p.Form == design.ClaspEmbrasure || p.Form == design.ClaspMultiple || p.Form == design.ClaspExtended {
		return l.partnerOf(p)
	}
	return 0
}

func (l *layout) plated(p design.Part) []tooth.Number {
	lo, hi, ok := l.reachOfConnector()
	if !ok {
		return nil
	}
	return l.platedTeeth(p, lo, hi)
}

// encircle measures how far round each retained tooth it is held: the whole turn less the
// widest gap between contacts (DRT-02).
func (l *layout) encircle() {
	seen := map[tooth.Number]bool{}
	for _, p := range l.d.Of(design.Retainer) {
		for _, n := range append([]tooth.Number{p.Tooth, l.partnerOfClasp(p)}, p.Teeth...) {
			if l.g.stands(n) {
				seen[n] = true
			}
		}
	}
	for _, n := range sortedTeeth(seen) {
		arcs := l.touches(n)
		free, areas := widestGap(arcs)
		l.wholeNote("encirclement_deg", unit.Quantity{Value: 360 - free, Unit: "deg", Origin: l.g.cast.Origin}, n, geom.Vec{}, geom.Vec{})
		l.wholeNote("contact_areas", unit.Quantity{Value: float64(areas), Origin: l.g.cast.Origin}, n, geom.Vec{}, geom.Vec{})
	}
}

// widestGap is the widest arc between spans, and the number of separate spans.
func widestGap(arcs []span) (free float64, areas int) {
	if len(arcs) == 0 {
		return 360, 0
	}
	held := [720]bool{} // half degrees
	areas = len(arcs)
	for _, a := range arcs {
		for d := math.Ceil(a.from * 2); d <= a.to*2; d++ {
			i := int(math.Mod(math.Mod(d, 720)+720, 720))
			held[i] = true
		}
	}
	run, best := 0, 0
	for i := 0; i < 1440; i++ {
		if held[i%720] {
			run = 0
			continue
		}
		run++
		best = max(best, min(run, 720))
	}
	return float64(best) / 2, areas
}

// cover measures how much of the standing teeth's gingival margins lies under metal or
// resin.
func (l *layout) cover() {
	total, under := 0.0, 0.0
	type disc struct {
		points []geom.Vec
		width  []float64
	}
	var lines []disc
	var patches [][]geom.Vec2
	var boxes []geom.Box
	for _, p := range l.d.Parts {
		q := l.parts[p.ID]
		if q == nil {
			continue
		}
		for _, c := range q.Curves {
			switch {
			case c.Role == Approach, c.Role == Rigid && (p.Kind == design.MinorConnector || p.Form == design.ClaspRing || p.Form == design.ClaspBackAction):
				lines = append(lines, disc{c.Points, c.Width})
			}
		}
		for _, pa := range q.Patches {
			if pa.Role == Plate || pa.Role == Resin {
				patches = append(patches, flat(pa.Outline))
				boxes = append(boxes, geom.BoxOf(pa.Outline))
			}
		}
	}
	for _, n := range l.g.cast.Standing() {
		m := l.g.cast.Teeth[n].Margin
		for i, a := range m {
			b := m[(i+1)%len(m)]
			d, mid := a.Dist(b), a.Lerp(b, 0.5)
			total += d
			in := false
			for j, poly := range patches {
				bx := boxes[j]
				if mid.Z < bx.Min.Z-1 || mid.Z > bx.Max.Z+1 || mid.X < bx.Min.X || mid.X > bx.Max.X || mid.Y < bx.Min.Y || mid.Y > bx.Max.Y {
					continue
				}
				if geom.Contains2(poly, mid.XY()) {
					in = true
					break
				}
			}
			for _, c := range lines {
				if in {
					break
				}
				for k, p := range c.points {
					if p.Dist(mid) < c.width[k]/2+0.25 {
						in = true
						break
					}
				}
			}
			if in {
				under += d
			}
		}
	}
	if total > 0 {
		l.wholeNote("margin_covered_share", unit.Quantity{Value: under / total, Origin: l.g.cast.Origin}, 0, geom.Vec{}, geom.Vec{})
	}
}

// bodies counts how many separate pieces the metal makes: parts whose metal meets hang
// together. Only parts that were laid count.
func (l *layout) bodies() {
	type piece struct {
		id     design.ID
		points []geom.Vec
		radius []float64
		areas  [][]geom.Vec
	}
	var all []piece
	for _, p := range l.d.Parts {
		q := l.parts[p.ID]
		if q == nil || p.Kind == design.ReplacementTooth || p.Kind == design.FinishLine {
			continue
		}
		x := piece{id: p.ID}
		for _, c := range q.Curves {
			if c.Role == Border || c.Role == Bead || c.Role == Finish || c.Role == Plane {
				continue
			}
			for i, v := range c.Points {
				x.points = append(x.points, v)
				x.radius = append(x.radius, math.Max(c.Width[i]/2, 0.4))
			}
		}
		for _, pa := range q.Patches {
			if pa.Role == Resin || pa.Role == Relief || pa.Role == Crown {
				continue
			}
			x.areas = append(x.areas, pa.Outline)
			for _, v := range densely(pa.Outline, 0.8) {
				x.points = append(x.points, v)
				x.radius = append(x.radius, 0.4)
			}
		}
		if len(x.points) > 0 {
			all = append(all, x)
		}
	}
	root := make([]int, len(all))
	for i := range root {
		root[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		if root[i] != i {
			root[i] = find(root[i])
		}
		return root[i]
	}
	const slack = 0.9 // relief, and the distance between the points of a curve
	boxes := make([]geom.Box, len(all))
	for i, x := range all {
		b := geom.BoxOf(x.points)
		grow := geom.V(3, 3, 3)
		boxes[i] = geom.Box{Min: b.Min.Sub(grow), Max: b.Max.Add(grow)}
	}
	meet := func(a, b piece, box geom.Box) bool {
		var near []int
		for j, q := range b.points {
			if q.X >= box.Min.X && q.X <= box.Max.X && q.Y >= box.Min.Y && q.Y <= box.Max.Y && q.Z >= box.Min.Z && q.Z <= box.Max.Z {
				near = append(near, j)
			}
		}
		for i, p := range a.points {
			for _, j := range near {
				if d := a.radius[i] + b.radius[j] + slack; p.Sub(b.points[j]).Dot(p.Sub(b.points[j])) < d*d {
					return true
				}
			}
		}
		return inside(a.points, b.areas) || inside(b.points, a.areas)
	}
	for i := range all {
		for j := i + 1; j < len(all); j++ {
			if find(i) != find(j) && overlap(boxes[i], boxes[j]) && meet(all[i], all[j], boxes[i]) {
				root[find(j)] = find(i)
			}
		}
	}
	n := map[int]bool{}
	for i := range all {
		n[find(i)] = true
	}
	l.wholeNote("pieces", unit.Quantity{Value: float64(len(n)), Origin: unit.Computed}, 0, geom.Vec{}, geom.Vec{})
	// Which part stands alone: every piece but the largest says so itself.
	count := map[int]int{}
	for i := range all {
		count[find(i)]++
	}
	big, most := -1, 0
	var keys []int
	for k := range count {
		keys = append(keys, k)
	}
	sort.Ints(keys)
	for _, k := range keys {
		if count[k] > most {
			big, most = k, count[k]
		}
	}
	for i := range all {
		if find(i) != big {
			l.parts[all[i].id].short("pieces", 1, float64(len(n)), 0, "this part does not reach the rest of the framework")
		}
	}
}

func overlap(a, b geom.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y && a.Min.Z <= b.Max.Z && b.Min.Z <= a.Max.Z
}

// inside tells whether a point lies over one of the areas, seen from the occlusal and no
// more than 3 mm off its border's heights.
func inside(points []geom.Vec, areas [][]geom.Vec) bool {
	for _, a := range areas {
		poly := flat(a)
		b := geom.BoxOf(a)
		for _, p := range points {
			if p.X < b.Min.X || p.X > b.Max.X || p.Y < b.Min.Y || p.Y > b.Max.Y || p.Z < b.Min.Z-1.5 || p.Z > b.Max.Z+1.5 {
				continue
			}
			if geom.Contains2(poly, p.XY()) {
				return true
			}
		}
	}
	return false
}

func densely(rim []geom.Vec, step float64) []geom.Vec {
	if len(rim) < 2 {
		return rim
	}
	return geom.ResampleClosed(rim, max(8, int(geom.Length(geom.Closed(rim))/step)))
}

// spreadOfRests measures how far the rests stand off one straight line (SUP-05).
func (l *layout) spreadOfRests() {
	var pts []geom.Vec
	for _, r := range l.d.Of(design.Rest) {
		if q := l.parts[r.ID]; q != nil {
			if c, ok := q.seatCentre(); ok {
				pts = append(pts, c)
			}
		}
	}
	if len(pts) < 3 {
		return
	}
	best := math.Inf(1)
	for d := 0.0; d < 180; d++ {
		s, c := math.Sincos(geom.Deg(d))
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range pts {
			v := p.X*c + p.Y*s
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		best = math.Min(best, (hi-lo)/2)
	}
	l.wholeNote("rests_off_line", l.g.length(best), 0, geom.Vec{}, geom.Vec{})
}
