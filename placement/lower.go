package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/unit"
)

// barShape is a connector that runs along one face of the lower arch: its two borders as
// runs down the profiles of its stations.
type barShape struct {
	side         side
	at           []float64 // stations, rising
	upper, lower []float64
	top          [][]geom.Vec // of a plate: its border over the teeth, in order along the arch
}

func (b *barShape) upperAt(s float64) (float64, bool) {
	n := len(b.at)
	if n < 2 || s < b.at[0]-1.5 || s > b.at[n-1]+1.5 {
		return 0, false
	}
	if s <= b.at[0] {
		return b.upper[0], true
	}
	if s >= b.at[n-1] {
		return b.upper[n-1], true
	}
	i := seek(b.at, s)
	f := (s - b.at[i]) / (b.at[i+1] - b.at[i])
	return b.upper[i] + f*(b.upper[i+1]-b.upper[i]), true
}

// lowerAt is the run of the lower border, that of the nearest end past the ends.
func (b *barShape) lowerAt(s, otherwise float64) float64 {
	n := len(b.at)
	if n < 2 {
		return otherwise
	}
	i := seek(b.at, s)
	f := math.Max(0, math.Min(1, (s-b.at[i])/(b.at[i+1]-b.at[i])))
	return b.lower[i] + f*(b.lower[i+1]-b.lower[i])
}

func (b *barShape) tangentAt(g *ground, s float64) geom.Vec {
	u0, _ := b.upperAt(s - 1)
	u1, _ := b.upperAt(s + 1)
	return g.on(s+1, u1, b.side).Sub(g.on(s-1, u0, b.side))
}

// major lays the major connector by its form.
func (l *layout) major(q *Placed) {
	switch q.Part.Form {
	case design.PalatalStrap, design.PalatalBar, design.APStrap, design.APBar, design.PalatalPlate, design.UShaped:
		l.upper(q)
	case design.CingulumBar:
		l.bar = nil
		l.cingulumBar(q)
	case design.LabialBar:
		l.alongBar(q, facialSide)
	default:
		l.alongBar(q, lingualSide)
	}
}

// reachOfConnector is the stretch of stations the lower connector must cover: from the
// farthest upright or base on the right to the farthest on the left.
func (l *layout) reachOfConnector() (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	add := func(s float64) { lo, hi = math.Min(lo, s), math.Max(hi, s) }
	for _, u := range l.minor {
		if u != nil {
			add(u.station - 1.3)
			add(u.station + 1.3)
		}
	}
	mid := l.g.arch.Length() / 2
	for _, a := range l.bases {
		if len(a.crest) == 0 {
			continue
		}
		into := latticeBegins + 2.2
		spans := (a.from-mid)*(a.to-mid) < 0
		farInFront := a.far != 0 && math.Abs(a.to-mid) < math.Abs(a.from-mid)
		// Only the end toward the front needs to be met.
		if a.abutment != 0 && (!farInFront || spans) {
			add(a.from + a.dir*into)
		}
		if a.far != 0 && (farInFront || spans) {
			add(a.to - a.dir*into)
		}
	}
	for _, p := range l.d.Of(design.Retainer) {
		// What comes up from the connector on the lingual.
		if k := l.g.crown(p.Tooth); k != nil && p.Undercut != nil {
			if fromBar := p.Form.Infrabulge() && !p.Undercut.Site.Facial(); fromBar || p.Form == design.ClaspBackAction && p.Undercut.Site.Facial() {
				s := l.g.stationOf(k.tooth.Frame.Origin)
				add(s - 1.3)
				add(s + 1.3)
			}
		}
	}
	for _, p := range l.d.Of(design.Rest) {
		if k := l.g.crown(p.Tooth); k != nil && p.Form == design.RestCingulum {
			add(l.g.stationOf(k.tooth.Frame.Origin))
		}
	}
	return lo, hi, lo < hi
}

// alongBar lays a bar (or the lower part of a plate) along the arch: its upper border as
// near below the margins as the clearance allows, smooth; its height below that; its
// lower border no lower than the floor where that can be.
//
// The thick part of a plate begins at the teeth where it has to.
func (l *layout) alongBar(q *Placed, sd side) {
	p, g, lim := q.Part, l.g, l.lim
	lo, hi, ok := l.reachOfConnector()
	if !ok {
		q.short("connector_length", 1, 0, 0, "the design has no base or upright connector for it to join")
		return
	}
	clear := dimension(p, "below_margin", dimension(p, "upper_border_to_margin", lim.LingualBarClear))
	height := dimension(p, "height", lim.LingualBarHeight)
	thick := dimension(p, "thickness", lim.LingualBarThickness)
	relief := dimension(p, "relief", lim.LingualBarRelief)
	least := math.Min(height, lim.LingualBarLeast)
	switch p.Form {
	case design.LabialBar:
		height = dimension(p, "height", lim.LabialBarHeight)
		thick = dimension(p, "thickness", lim.LingualBarThickness*1.2)
		least = height
	case design.SublingualBar:
		height = dimension(p, "height", 3)
		thick = dimension(p, "thickness", 3.5)
		relief = dimension(p, "relief", 0.2)
		least = math.Min(height, 2)
	case design.LingualPlate: // its thickness is the apron's
		height = dimension(p, "height", dimension(p, "bar_height", lim.LingualBarHeight))
		thick = dimension(p, "bar_thickness", lim.LingualBarThickness)
		least = math.Min(height, plateBarLeast)
	}
	b := &barShape{side: sd}
	n := max(8, int((hi-lo)/g.step)+1)
	for i := 0; i < n; i++ {
		b.at = append(b.at, lo+(hi-lo)*float64(i)/float64(n-1))
	}
	b.upper, b.lower = make([]float64, n), make([]float64, n)

	// Heights in z: the border is a level matter, not one of each margin's own scallop.
	asked := make([]float64, n) // no higher than this keeps clear of the margin
	fits := make([]float64, n)  // no lower than this keeps off the floor at full height
	needs := make([]float64, n) // the same at the least height
	hard := make([]float64, n)  // two thirds of the clearance, never given up
	for i, s := range b.at {
		pr := g.profileAt(s, sd)
		asked[i], fits[i], needs[i], hard[i] = math.Inf(1), math.Inf(-1), math.Inf(-1), math.Inf(1)
		if !pr.known() {
			continue
		}
		if pr.tooth != 0 {
			asked[i] = pr.point(clear + 0.1).Z // what evening the border out may take
			hard[i] = pr.point(clear * 2 / 3).Z
			if p.Form == design.LingualPlate { // the apron covers the margin, so there is nothing to stay clear of
				hard[i] = pr.point(0).Z
			}
		}
		floor, known := g.roomAt(pr, sd)
		floor -= 0.1 // what evening the border out may take
		if known {
			fits[i] = pr.point(math.Max(0, floor-height)).Z
			needs[i] = pr.point(math.Max(0, floor-least)).Z
			if p.Form == design.LingualPlate {
				needs[i] = fits[i] // it goes up under the apron before it gives up height
			}
		}
	}
	border := smoothUnder(asked, 4)
	// Where the floor comes too near the bar first gives up height, then clearance.
	raised := append([]float64{}, border...)
	for i := range raised {
		if needs[i] > raised[i] {
			raised[i] = math.Min(needs[i], hard[i])
		}
	}
	if p.Form == design.SublingualBar {
		// It lies on the floor, as low as that allows.
		for i := range raised {
			if fits[i] < raised[i] && !math.IsInf(fits[i], -1) && g.profileAt(b.at[i], sd).tooth != 0 {
				raised[i] = fits[i]
			}
		}
	}
	border = smoothUnder(raised, 3)
	for i := range border {
		border[i] = math.Min(border[i], asked[i])
	}
	if anyAbove(needs, border) {
		border = smoothOver(raised, border)
	}
	l.bar = b
	middle := g.midline()
	for i, s := range b.at {
		pr := g.profileAt(s, sd)
		t, _ := pr.below(border[i])
		h := height
		floor, known := g.roomAt(pr, sd)
		if sd == lingualSide && math.Abs(s-middle) < 2 {
			// Over the frenum the bar gives up height, not its clearance above.
			run, _ := g.bottomAt(pr, sd)
			floor = math.Min(floor, run-lim.FrenumClear)
		}
		if known && pr.tooth != 0 && t+h > floor-0.1 {
			h = math.Max(least, floor-0.1-t)
		}
		b.upper[i], b.lower[i] = t, math.Min(t+h, pr.length())
	}
	// Heights change gently from station to station.
	for r := 0; r < 4; r++ {
		old := append([]float64{}, b.lower...)
		for i := 1; i+1 < n; i++ {
			h := 0.5*(old[i]-b.upper[i]) + 0.25*(old[i-1]-b.upper[i-1]) + 0.25*(old[i+1]-b.upper[i+1])
			b.lower[i] = b.upper[i] + math.Max(least, math.Min(h, height))
		}
	}
	if p.Form == design.LingualPlate {
		l.levelBelow(b, least)
	}
	if p.Form != design.SublingualBar {
		l.widenEnds(b, 5)
	}
	up, down := b.lines(g)
	// What is measured is the border as it was drawn.
	for i, s := range b.at {
		if pr := g.profileAt(s, sd); pr.known() {
			if t, d := pr.nearest(up[i]); d < 0.6 {
				b.upper[i] = t
			}
			if t, d := pr.nearest(down[i]); d < 0.6 {
				b.lower[i] = t
			}
		}
	}
	mid := make([]geom.Vec, n)
	for i, s := range b.at {
		mid[i] = g.on(s, (b.upper[i]+b.lower[i])/2, sd)
	}
	mid = evenOpen(mid, 5)
	for i := range mid {
		mid[i] = g.snapSoft(mid[i])
	}
	out := g.normalsOf(mid)
	sec := HalfPear
	if p.Form == design.SublingualBar {
		sec = HalfOval
	}
	c := l.curve(BarLine, lift(mid, out, relief), out, sec, height, height, thick, thick)
	for i := range c.Width {
		c.Width[i] = b.lower[i] - b.upper[i]
	}
	q.Curves = append(q.Curves, c,
		l.curve(Border, up, g.normalsOf(up), Flat, 0, 0, 0, 0),
		l.curve(Border, down, g.normalsOf(down), Flat, 0, 0, 0, 0))
	rim := append(append([]geom.Vec{}, up...), reversed(down)...)
	switch p.Form {
	case design.LingualPlate:
		l.apron(q, b, down)
	case design.LingualBarWithCingulumBar:
		q.Patches = append(q.Patches, Patch{Role: Plate, Outline: rim, Lift: relief, Thickness: thick})
		l.cingulumBar(q)
	default:
		q.Patches = append(q.Patches, Patch{Role: Plate, Outline: rim, Lift: relief, Thickness: thick})
	}
	l.readBar(q, b, clear, height, least)
	l.tori(q, func(p geom.Vec) bool { return b.covers(g, p) })
	l.planned(q, "bar_thickness", thick, 0)
	l.planned(q, "connector_relief", relief, 0)
	l.note(q, "bulk_height_share", unit.Quantity{Value: bulkHeight(c), Origin: unit.Computed}, 0, geom.Vec{}, geom.Vec{})
	l.measure(q, "connector_length", geom.Length(mid), 0, mid[0], mid[n-1])
}

// bulkHeight is where a bar is thickest, from its lower border up, over its height, where
// that is highest. A half-pear is thickest in the middle of its larger disc, of a radius as
// the bar is thick, or where the bar is too low for that, of one that leaves room for the
// smaller disc; other sections are thickest in the middle.
func bulkHeight(c Curve) float64 {
	const pearLeast = 2.3 // height over radius that both discs take
	most := 0.0
	for i, w := range c.Width {
		share := 0.5
		if c.Section == HalfPear && w > 0 {
			share = math.Min(c.Thickness[i]/w, 1/pearLeast)
		}
		most = math.Max(most, share)
	}
	return most
}

// plateBarLeast is the least height [mm] of the thick lower part of a lingual plate. Where
// the floor comes near the teeth it gives up height before it goes below the floor: the
// apron above stiffens it, and a border in the floor's way wounds.
const plateBarLeast = 2.0

// levelBelow evens out the level of a plate's lower border, which the margins above it
// would otherwise scallop; it goes up rather than nearer to the floor.
func (l *layout) levelBelow(b *barShape, least float64) {
	n := len(b.at)
	level := make([]float64, n)
	for i, s := range b.at {
		level[i] = l.g.profileAt(s, b.side).point(b.lower[i]).Z
	}
	for r := 0; r < 24; r++ {
		old := append([]float64{}, level...)
		for i := 1; i+1 < n; i++ {
			even := 0.5*old[i] + 0.25*(old[i-1]+old[i+1])
			level[i] = math.Max(even, 0.5*(old[i]+even))
		}
	}
	for i, s := range b.at {
		if t, ok := l.g.profileAt(s, b.side).below(level[i]); ok {
			b.lower[i] = math.Max(b.upper[i]+least, math.Min(t, b.lower[i]+0.3))
		}
	}
}

// lines are the borders as curves on the gum, from the patient's right to the left; the
// lower one reaches farther back where the bar ends at a base.
func (b *barShape) lines(g *ground) (up, down []geom.Vec) {
	for i, s := range b.at {
		up = append(up, g.on(s, b.upper[i], b.side))
		down = append(down, g.on(s, b.lower[i], b.side))
	}
	up, down = evenOpen(up, 5), evenOpen(down, 5)
	for i := range up {
		up[i], down[i] = g.snapSoft(up[i]), g.snapSoft(down[i])
	}
	return up, down
}

// widenEnds brings the bar to its width where it ends beside a base.
func (l *layout) widenEnds(b *barShape, width float64) {
	n := len(b.at)
	for i, s := range b.at {
		pr := l.g.profileAt(s, b.side)
		if pr.tooth != 0 {
			continue
		}
		if h := b.lower[i] - b.upper[i]; h < width && (i < n/4 || i > n*3/4) {
			b.upper[i] = math.Max(0.5, b.upper[i]-(width-h))
		}
	}
}

// smoothUnder evens out a line of greatest heights from below: nowhere above it, and
// without its jags. reach is how many stations a low place is felt over.
func smoothUnder(most []float64, reach int) []float64 {
	n := len(most)
	low := math.Inf(1)
	for _, v := range most {
		low = math.Min(low, v)
	}
	out := make([]float64, n)
	for i := range out {
		m := math.Inf(1)
		for j := max(0, i-reach); j <= min(n-1, i+reach); j++ {
			m = math.Min(m, most[j])
		}
		if math.IsInf(m, 1) {
			m = math.NaN()
		}
		out[i] = m
	}
	// Stations without a limit take the nearest one's.
	for i := 1; i < n; i++ {
		if math.IsNaN(out[i]) {
			out[i] = out[i-1]
		}
	}
	for i := n - 2; i >= 0; i-- {
		if math.IsNaN(out[i]) {
			out[i] = out[i+1]
		}
	}
	old := make([]float64, n)
	for r := 0; r < reach*reach; r++ {
		copy(old, out)
		for i := range out {
			a, b := old[max(0, i-1)], old[min(n-1, i+1)]
			out[i] = 0.5*old[i] + 0.25*(a+b)
		}
	}
	// Raise the whole until it touches its limit at the tightest place.
	gap := math.Inf(1)
	for i := range out {
		gap = math.Min(gap, most[i]-out[i])
	}
	if !math.IsInf(gap, 1) && !math.IsNaN(gap) {
		for i := range out {
			out[i] += gap
		}
	}
	return out
}

func anyAbove(need, have []float64) bool {
	for i := range need {
		if need[i] > have[i]+0.05 {
			return true
		}
	}
	return false
}

// smoothOver evens out the raised line where it had to leave the smooth one.
func smoothOver(raised, under []float64) []float64 {
	n := len(raised)
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Max(raised[i], under[i])
		if math.IsInf(out[i], 0) || math.IsNaN(out[i]) {
			out[i] = under[i]
		}
	}
	old := make([]float64, n)
	for r := 0; r < 4; r++ {
		copy(old, out)
		for i := 1; i+1 < n; i++ {
			out[i] = 0.5*old[i] + 0.25*(old[i-1]+old[i+1])
		}
	}
	return out
}

func reversed(line []geom.Vec) []geom.Vec {
	out := make([]geom.Vec, len(line))
	for i, p := range line {
		out[len(line)-1-i] = p
	}
	return out
}

// readBar measures a laid bar tooth by tooth along the profiles.
func (l *layout) readBar(q *Placed, b *barShape, clear, height, least float64) {
	g := l.g
	type least3 struct {
		v    float64
		a, b geom.Vec
	}
	clears, heights, floors := map[tooth.Number]least3{}, map[tooth.Number]least3{}, map[tooth.Number]least3{}
	depths := map[tooth.Number]bool{}
	var plated []tooth.Number
	if q.Part.Form == design.LingualPlate {
		plated = l.platedTeeth(q.Part, b.at[0], b.at[len(b.at)-1])
	}
	keep := func(m map[tooth.Number]least3, n tooth.Number, v float64, a, b geom.Vec) {
		if old, ok := m[n]; !ok || v < old.v {
			m[n] = least3{v, a, b}
		}
	}
	for i, s := range b.at {
		if s < b.at[0]+0.1 || s > b.at[len(b.at)-1]-0.1 {
			continue
		}
		pr := g.profileAt(s, b.side)
		if pr.tooth == 0 || !pr.known() {
			continue
		}
		n := pr.tooth
		if !contains(plated, n) { // a plate covers the margin and has no free upper border
			keep(clears, n, b.upper[i], pr.points[0], pr.point(b.upper[i]))
			keep(heights, n, b.lower[i]-b.upper[i], pr.point(b.upper[i]), pr.point(b.lower[i]))
		}
		depths[n] = true
		if floor, known := g.bottomAt(pr, b.side); known {
			keep(floors, n, floor-b.lower[i], pr.point(b.lower[i]), pr.point(floor))
		}
	}
	write := func(name string, m map[tooth.Number]least3) (tightest float64, at tooth.Number) {
		tightest = math.Inf(1)
		first := -1
		start := len(q.Measures)
		for _, n := range g.cast.Standing() {
			v, ok := m[n]
			if !ok {
				continue
			}
			l.measure(q, name, v.v, n, v.a, v.b)
			if v.v < tightest {
				tightest, at, first = v.v, n, len(q.Measures)-1
			}
		}
		if first > start { // the tightest comes first
			q.Measures[start], q.Measures[first] = q.Measures[first], q.Measures[start]
		}
		return tightest, at
	}
	if v, n := write("upper_border_to_margin", clears); v < clear-0.05 {
		q.short("upper_border_to_margin", clear, v, n, "the floor leaves no room for the clearance and the least height of the bar")
	}
	if v, n := write("bar_height", heights); v < height-0.1 {
		q.short("bar_height", height, v, n, "the floor leaves no room for more height under the clearance")
	}
	if v, n := write("lower_border_to_floor", floors); v < -0.05 {
		q.short("lower_border_to_floor", 0, v, n, "the floor lies too high for the least height of the bar")
	}
	l.readFrenum(q, b)
	l.readDepths(q, b.side, depths)
}

// readFrenum measures the lower border above the lingual frenum, which rises from the
// functional floor in the midline.
func (l *layout) readFrenum(q *Placed, b *barShape) {
	mid := l.g.midline()
	if b.side != lingualSide || mid < b.at[0] || mid > b.at[len(b.at)-1] {
		return
	}
	pr := l.g.profileAt(mid, b.side)
	floor, ok := l.g.floorAt(pr)
	if !ok {
		return
	}
	lower := b.lowerAt(mid, 0)
	l.measure(q, "lower_border_to_frenum", floor-lower, 0, pr.point(lower), pr.point(floor))
	if got := floor - lower; got < l.lim.FrenumClear-0.05 {
		q.short("lower_border_to_frenum", l.lim.FrenumClear, got, 0, "the floor leaves no room for more height under the clearance")
	}
}

// readDepths writes down the probed depth of the floor (of a labial bar: of the vestibule)
// at each tooth that the bar passes, the least first.
func (l *layout) readDepths(q *Placed, sd side, at map[tooth.Number]bool) {
	name, read, line := "floor_depth", l.g.cast.FloorDepth, l.g.cast.Marks.Floor.Points
	if sd == facialSide {
		name, read, line = "vestibule_depth", l.g.cast.VestibuleDepth, l.g.cast.Marks.Vestibule.Points
	}
	start, least, first := len(q.Measures), math.Inf(1), -1
	for _, n := range sortedTeeth(at) {
		v, ok := read(n)
		if !ok {
			continue
		}
		span := l.g.spans[n]
		from := l.g.profileAt((span[0]+span[1])/2, sd).point(0)
		to := from
		if w := geom.NewWalk(line); w.Length() > 0 {
			s, _ := w.Nearest(from)
			to = w.At(s)
		}
		l.measure(q, name, v, n, from, geom.V(to.X, to.Y, from.Z-v))
		if v < least {
			least, first = v, len(q.Measures)-1
		}
	}
	if first > start {
		q.Measures[start], q.Measures[first] = q.Measures[first], q.Measures[start]
	}
}

// apron is the thin part of a lingual plate: up over the cingula, scalloped, into the
// contacts.
func (l *layout) apron(q *Placed, b *barShape, down []geom.Vec) {
	top := l.scallop(q, b.at[0], b.at[len(b.at)-1])
	up, _ := b.lines(l.g)
	// Where the bar goes on behind the plated teeth its own upper border closes the plate.
	var rim []geom.Vec
	if len(top) > 1 {
		sFirst, sLast := l.g.stationOf(top[0]), l.g.stationOf(top[len(top)-1])
		for i, s := range b.at {
			if s < sFirst-1 {
				rim = append(rim, up[i])
			}
		}
		rim = append(rim, top...)
		for i, s := range b.at {
			if s > sLast+1 {
				rim = append(rim, up[i])
			}
		}
		b.top = append(b.top, top)
		q.Curves = append(q.Curves, l.curve(Border, top, l.g.normalsOf(top), Flat, 0, 0, 0, 0))
	} else {
		rim = up
	}
	rim = append(rim, reversed(down)...)
	thick := dimension(q.Part, "plate_thickness", dimension(q.Part, "thickness", l.lim.LingualPlateThickness))
	q.Patches = append(q.Patches, Patch{Role: Plate, Outline: rim, Thickness: thick})
	l.planned(q, "plate_thickness", thick, 0)
}

// platedTeeth are the teeth a plate or cingulum bar lies on: as the part says, else the
// standing teeth between its outermost rests, in order.
func (l *layout) platedTeeth(p design.Part, lo, hi float64) []tooth.Number {
	var out []tooth.Number
	for _, n := range l.g.cast.Standing() {
		if len(p.Teeth) > 0 {
			if contains(p.Teeth, n) {
				out = append(out, n)
			}
			continue
		}
		s := l.g.stationOf(l.g.cast.Teeth[n].Frame.Origin)
		if s >= lo && s <= hi && n.Kind() <= tooth.SecondPremolar {
			out = append(out, n)
		}
	}
	return out
}

// scallop draws a plate's upper border: at the cingulum on front teeth, on the survey
// line on back teeth, rising between teeth to the contacts.
func (l *layout) scallop(q *Placed, lo, hi float64) []geom.Vec {
	g := l.g
	teeth := l.platedTeeth(q.Part, lo, hi)
	var line []geom.Vec
	for _, n := range teeth {
		k := g.crown(n)
		if k == nil {
			continue // the cast shows no crown there
		}
		first, last := 232.0, 128.0 // entering from the patient's right: the distal on the right side
		if !n.Right() {
			first, last = 128, 232
		}
		share := 0.0
		for i := 0; i <= 14; i++ {
			f := float64(i) / 14
			d := first + (last-first)*f
			low := 0.40 * k.top(180)
			if c := k.tooth.Cingulum; c != (geom.Vec{}) {
				if _, h := k.locate(c); h > 0.2*k.top(180) {
					low = math.Min(math.Max(h+0.3, 0.33*k.top(180)), 0.5*k.top(180))
				}
			}
			if !n.Kind().Anterior() {
				low = math.Min(k.contour(180), 0.62*k.top(180))
			}
			// Contacts stand at the height of the contact points.
			contact := k.tooth.MesialContact
			if d > 180 {
				contact = k.tooth.DistalContact
			}
			_, hc := k.locate(contact)
			hc = math.Min(math.Max(hc, low+0.4), 0.68*k.top(d))
			e := math.Abs(2*f - 1)
			rise := math.Pow(e, 3.4)
			h := low + (hc-low)*rise
			line = append(line, k.at(d, h))
			if i == 7 {
				share = h / k.top(180)
			}
		}
		l.ratio(q, "plate_top_share", share, n)
	}
	if len(line) > 2 {
		// A scan's roughness and the gaps between crowns must not show in a polished border.
		line = evenOpen(geom.Resample(line, max(12, int(geom.Length(line)/0.6))), 2)
		for i := range line {
			line[i] = g.snap(line[i])
		}
	}
	return line
}

// cingulumBar runs over the cingula of the front teeth, resting at both ends.
func (l *layout) cingulumBar(q *Placed) {
	g := l.g
	lo, hi, ok := l.reachOfConnector()
	if !ok {
		q.short("connector_length", 1, 0, 0, "the design has no rest for it to end on")
		return
	}
	height, thick := dimension(q.Part, "cingulum_height", 3.0), dimension(q.Part, "cingulum_thickness", 1.5)
	if q.Part.Form == design.LingualBarWithCingulumBar {
		height, thick = dimension(q.Part, "cingulum_height", 2.5), dimension(q.Part, "cingulum_thickness", 1.0)
	}
	var line []geom.Vec
	for _, n := range l.platedTeeth(q.Part, lo, hi) {
		k := g.crown(n)
		if k == nil {
			continue // a crown that the scan does not show
		}
		first, last := 222.0, 138.0
		if !n.Right() {
			first, last = 138, 222
		}
		for i := 0; i <= 8; i++ {
			f := float64(i) / 8
			d := first + (last-first)*f
			h := math.Max(0.40*k.top(180), height/2+0.6)
			if h2 := k.top(180)*0.62 - height/2; h > h2 {
				h = math.Max(height/2+0.4, h2)
			}
			e := math.Abs(2*f - 1)
			line = append(line, k.at(d, h+0.7*math.Pow(e, 2.2)))
			if i == 4 {
				l.ratio(q, "plate_top_share", (h+height/2)/k.top(180), n)
			}
		}
	}
	if len(line) < 2 {
		return
	}
	line = geom.Resample(line, max(12, int(geom.Length(line)/0.8)))
	for r := 0; r < 3; r++ {
		for i := 1; i+1 < len(line); i++ {
			line[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
		}
	}
	// A cingulum bar that is the connector itself runs on into the bases.
	if q.Part.Form == design.CingulumBar {
		line = l.intoBases(line)
		l.planned(q, "bar_thickness", thick, 0)
		l.measure(q, "bar_height", height, 0, line[0], line[0])
		l.measure(q, "connector_length", geom.Length(line), 0, line[0], line[len(line)-1])
	}
	out := g.normalsOf(line)
	q.Curves = append(q.Curves, l.curve(BarLine, line, out, HalfOval, height, height, thick, thick))
}

// intoBases lengthens a line over the teeth so that it ends in the lattices at both ends.
func (l *layout) intoBases(line []geom.Vec) []geom.Vec {
	for _, a := range l.bases {
		if a.abutment == 0 || len(a.crest) == 0 {
			continue
		}
		s := a.stationFrom(a.abutment, latticeBegins+2)
		end := l.g.on(s, l.lingualStrut(a), lingualSide)
		lead := []geom.Vec{end}
		if k := l.g.crown(a.abutment); k != nil {
			via := k.at(238, k.contour(238)*0.8)
			if l.beside(a.abutment, true) == a {
				via = k.at(122, k.contour(122)*0.8)
			}
			lead = geom.Resample([]geom.Vec{end, via}, 6)
		}
		if line[0].Dist(end) < line[len(line)-1].Dist(end) {
			line = append(lead, line...)
		} else {
			line = append(line, reversed(lead)...)
		}
	}
	return line
}
