package survey

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// corner is the angle of the line angle between two sides of the crown at right angles,
// the first at quarter·90 degrees: where the girth, scaled so that its two half widths are
// equal, stands out farthest between them.
func (c Crown) corner(quarter int) float64 {
	n := len(c.Columns)
	first := quarter * n / 4
	half := func(at int) float64 {
		far := 0.0
		out := c.Look(float64(at) * 90)
		for k := -n / 8; k <= n/8; k++ {
			col := c.Columns[((at*n/4+k)%n+n)%n]
			far = math.Max(far, c.girth(col).Sub(c.axis.Origin).Dot(out))
		}
		return math.Max(far, 1e-6)
	}
	ha, hb := half(quarter), half(quarter+1)
	a, b := c.Look(float64(quarter)*90), c.Look(float64(quarter+1)*90)
	best, angle := math.Inf(-1), 0.0
	for k := n / 24; k <= n/4-n/24; k++ {
		col := c.Columns[(first+k)%n]
		p := c.girth(col).Sub(c.axis.Origin)
		if s := p.Dot(a)/ha + p.Dot(b)/hb; s > best {
			best, angle = s, col.AngleDeg
		}
	}
	return angle
}

// girth is the place of a column that stands out farthest from the axis.
func (c Crown) girth(col Column) geom.Vec {
	far, at := -1.0, col.Contour
	out := c.Look(col.AngleDeg)
	for _, p := range col.Outline {
		if r := p.Sub(c.axis.Origin).Dot(out); r > far {
			far, at = r, p
		}
	}
	return at
}

// LineAngles are the angles of the four line angles: mesio-facial, mesio-lingual,
// disto-lingual, disto-facial [deg].
func (c Crown) LineAngles() [4]float64 {
	return [4]float64{c.corner(0), c.corner(1), c.corner(2), c.corner(3)}
}

// Site is the angle of the column at which the undercut of a site is read. The middle
// sites look straight facial and lingual. The others stand on the facial or lingual side
// of their line angle, at four fifths of the way from the middle to it, where a clasp's
// tip rests and the gauge's disc still meets the facial or lingual surface.
func (c Crown) Site(s tooth.Site) float64 {
	const share = 0.8
	switch s {
	case tooth.MesioFacial:
		return share * c.corner(0)
	case tooth.DistoFacial:
		return math.Mod(360-share*(360-c.corner(3)), 360)
	case tooth.MesioLingual:
		return 180 - share*(180-c.corner(1))
	case tooth.DistoLingual:
		return 180 + share*(c.corner(2)-180)
	case tooth.MidLingual:
		return 180
	}
	return 0
}

// Bulge is the angle at which the facial, or the lingual, surface stands out farthest.
func (c Crown) Bulge(facial bool) float64 {
	out, from, to := c.axis.Y, c.corner(3)-360, c.corner(0)
	if !facial {
		out, from, to = c.axis.Y.Neg(), c.corner(1), c.corner(2)
	}
	far, angle := math.Inf(-1), from
	for _, col := range c.Columns {
		a := col.AngleDeg
		if facial && a > 180 {
			a -= 360
		}
		if a < from || a > to {
			continue
		}
		if r := c.girth(col).Sub(c.axis.Origin).Dot(out); r > far {
			far, angle = r, col.AngleDeg
		}
	}
	return angle
}

// Third is a third of the clinical crown's height, counted on the column.
type Third string

const (
	GingivalThird Third = "gingival"
	MiddleThird   Third = "middle"
	OcclusalThird Third = "occlusal"
)

// ThirdAt is the third that a height above the margin lies in.
func (c Column) ThirdAt(height float64) Third {
	switch s := height / math.Max(c.Top, 1e-9); {
	case s < 1.0/3:
		return GingivalThird
	case s > 2.0/3:
		return OcclusalThird
	}
	return MiddleThird
}

// Height is the clinical crown's height on one side: the mean over the 30 degrees about
// its middle, along the path.
func (c Crown) Height(s tooth.Surface) float64 {
	sum, n := 0.0, 0
	for a := -15.0; a <= 15; a += 3 {
		sum += c.Column(Angle(s) + a).Top
		n++
	}
	return sum / float64(n)
}

// Angle is where a side of a crown looks: facial 0, mesial 90, lingual 180, distal 270.
func Angle(s tooth.Surface) float64 {
	switch s {
	case tooth.Mesial:
		return 90
	case tooth.Lingual:
		return 180
	case tooth.Distal:
		return 270
	}
	return 0
}

// Width is how wide the crown is from side to side at right angles to the path: at its
// widest mesiodistally, or faciolingually.
func (c Crown) Width(mesiodistal bool) float64 {
	axis := c.axis.Y
	if mesiodistal {
		axis = c.axis.X
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, col := range c.Columns {
		for _, p := range col.Outline {
			r := p.Sub(c.axis.Origin).Dot(axis)
			lo, hi = math.Min(lo, r), math.Max(hi, r)
		}
	}
	return hi - lo
}

// Usable is the stretch about a site in which an undercut is reached with at least clear
// millimetres left above the margin: from the first to the last angle, and its length
// along the surface there. False where the site itself does not reach it.
func (c Crown) Usable(s tooth.Site, mm, clear float64) (fromDeg, toDeg, width float64, ok bool) {
	n := len(c.Columns)
	at := int(math.Round(c.Site(s)/360*float64(n))) % n
	reach := func(i int) (geom.Vec, bool) {
		col := c.Columns[((i%n)+n)%n]
		r, ok := col.Reach(c.axis.Z, mm)
		return r.Point, ok && r.AboveMargin >= clear && !col.lent
	}
	p, ok := reach(at)
	if !ok {
		return 0, 0, 0, false
	}
	walk := func(step int) (last int, long float64) {
		last, prev := at, p
		for k := 1; k < n/2; k++ {
			q, ok := reach(at + step*k)
			if !ok {
				break
			}
			long += q.Dist(prev)
			prev, last = q, at+step*k
		}
		return last, long
	}
	lo, a := walk(-1)
	hi, b := walk(1)
	deg := func(i int) float64 { return float64(((i%n)+n)%n) * 360 / float64(n) }
	return deg(lo), deg(hi), a + b, true
}

// LineType says how the survey line runs over one side of a crown.
type LineType struct {
	Form   string  // after Blatterfein: "typical", "A", "B" or "C"
	Height string  // "high", "medium" or "low"
	Course string  // from near to far: "falling", "level" or "rising"
	Near   float64 // mean height of the line in the near half over the crown's height, 0 to 1
	Far    float64 // the same in the far half
}

// LineType classifies the survey line on the facial or lingual side, split by the side's
// middle into the half near the clasp's origin (mesial where nearMesial) and the far half.
// The line's height is told by thirds; the course by a difference of a tenth, our choice.
func (c Crown) LineType(facial, nearMesial bool) LineType {
	mid, to := 0.0, [2]float64{c.corner(3) - 360, c.corner(0)} // distal end, mesial end
	if !facial {
		mid, to = 180, [2]float64{c.corner(2), c.corner(1)}
	}
	mean := func(end float64) float64 {
		sum, n := 0.0, 0
		lo, hi := math.Min(mid, end), math.Max(mid, end)
		for a := lo; a <= hi; a += 3 {
			col := c.Column(a)
			sum += col.ContourHeight / math.Max(col.Top, 1e-9)
			n++
		}
		return sum / math.Max(1, float64(n))
	}
	distal, mesial := mean(to[0]), mean(to[1])
	l := LineType{Near: distal, Far: mesial}
	if nearMesial {
		l.Near, l.Far = mesial, distal
	}
	switch m := (l.Near + l.Far) / 2; {
	case m > 2.0/3:
		l.Height = "high"
	case m < 1.0/3:
		l.Height = "low"
	default:
		l.Height = "medium"
	}
	switch d := l.Far - l.Near; {
	case d < -0.1:
		l.Course = "falling"
	case d > 0.1:
		l.Course = "rising"
	default:
		l.Course = "level"
	}
	switch {
	case l.Near > 2.0/3 && l.Far > 2.0/3:
		l.Form = "B"
	case l.Near < 0.15 && l.Far < 0.15:
		l.Form = "C"
	case l.Near > l.Far && l.Near > 0.55 && l.Far < 0.25:
		l.Form = "A"
	default:
		l.Form = "typical"
	}
	return l
}

// GuidePlane is a place for a guide plane on one side of a crown.
type GuidePlane struct {
	Surface   tooth.Surface
	AngleDeg  float64    // mean angle of the uncut surface to the path over the plane's height, either way
	Parallel  float64    // height over which the uncut surface already lies within two degrees of the path [mm]
	Height    float64    // height that can be cut [mm]
	Width     float64    // straight across, where cutting stays within the limit [mm]
	Reduction float64    // how deep the cut goes in the middle [mm]
	Low, High geom.Vec   // lower and upper end of the plane in the middle
	Outline   []geom.Vec // of the cut, counter-clockwise seen from outside
}

// GuidePlane is the plane of at most a height [mm] on a side of the crown that can be cut
// parallel to the path without going deeper than a limit [mm]. In each column the plane is
// the chord that cuts off what stands out farthest; false where no column allows 0.5 mm.
func (c Crown) GuidePlane(s tooth.Surface, height, limit float64) (GuidePlane, bool) {
	g := GuidePlane{Surface: s}
	mid := Angle(s)
	col, ok := c.chord(mid, height, limit)
	if !ok || col.high-col.low < 0.5 {
		return g, false
	}
	g.Height, g.Reduction, g.Parallel, g.AngleDeg = col.high-col.low, col.cut, col.parallel, col.lean
	at := c.Column(mid)
	g.Low, _ = at.At(col.low)
	g.High, _ = at.At(col.high)
	var lows, highs []geom.Vec
	end := func(step float64) geom.Vec {
		p := g.Low.Lerp(g.High, 0.5)
		for a := step; math.Abs(a) <= 45; a += step {
			k, ok := c.chord(mid+a, height, limit)
			// A flat plane across the tooth goes as much deeper as the girth falls back.
			back := c.girth(at).Sub(c.girth(c.Column(mid + a))).Dot(c.Look(mid))
			if !ok || k.high-k.low < 0.5*g.Height || back > limit {
				break
			}
			lo, _ := c.Column(mid + a).At(k.low)
			hi, _ := c.Column(mid + a).At(k.high)
			p = lo.Lerp(hi, 0.5)
			if step < 0 {
				lows, highs = append([]geom.Vec{lo}, lows...), append([]geom.Vec{hi}, highs...)
			} else {
				lows, highs = append(lows, lo), append(highs, hi)
			}
		}
		return p
	}
	a := end(-3)
	lows, highs = append(lows, g.Low), append(highs, g.High)
	b := end(3)
	g.Width = b.Sub(a).Across(c.axis.Z).Norm()
	g.Outline = append(g.Outline, lows...)
	for i := len(highs) - 1; i >= 0; i-- {
		g.Outline = append(g.Outline, highs[i])
	}
	return g, true
}

type chord struct{ low, high, cut, parallel, lean float64 }

// chord finds in one column the upright cut of at most a height that goes at most limit
// deep: heights of its ends above the margin, its depth, the height that is parallel
// already, and the lean of the uncut surface between the ends [deg].
func (c Crown) chord(angle, height, limit float64) (chord, bool) {
	col := c.Column(angle)
	if col.lent || len(col.Outline) < 3 {
		return chord{}, false
	}
	out := c.Look(col.AngleDeg)
	r := make([]float64, len(col.Outline))
	far := 0
	for i, p := range col.Outline {
		r[i] = p.Sub(c.axis.Origin).Dot(out)
		if r[i] > r[far] {
			far = i
		}
	}
	// ends of the stretch about the girth that stands out beyond a cut.
	ends := func(cut float64) (lo, hi float64) {
		lim := r[far] - cut
		lo, hi = col.Height[0], col.Height[len(r)-1]
		for i := far; i > 0; i-- {
			if r[i-1] < lim {
				lo = col.Height[i] + (col.Height[i-1]-col.Height[i])*(r[i]-lim)/(r[i]-r[i-1])
				break
			}
		}
		for i := far; i+1 < len(r); i++ {
			if r[i+1] < lim {
				hi = col.Height[i] + (col.Height[i+1]-col.Height[i])*(r[i]-lim)/(r[i]-r[i+1])
				break
			}
		}
		return lo, hi
	}
	var k chord
	lo, hi := ends(limit)
	cut := limit
	if hi-lo > height {
		a, b := 0.0, limit
		for i := 0; i < 40; i++ {
			cut = (a + b) / 2
			if lo, hi = ends(cut); hi-lo > height {
				b = cut
			} else {
				a = cut
			}
		}
	}
	k.low, k.high, k.cut = lo, hi, cut
	k.lean = geom.InDeg(math.Atan2(2*cut, math.Max(1e-9, hi-lo))) // out to the girth and in again
	if lo <= col.Height[0] || hi >= col.Height[len(r)-1] {        // one way only
		k.lean = geom.InDeg(math.Atan2(math.Max(r[far]-r[0], r[far]-r[len(r)-1]), math.Max(1e-9, hi-lo)))
	}
	// Natural height: the stretch about the girth no more than tan 2° off it a millimetre.
	for i := far; i > 0 && r[far]-r[i-1] <= math.Tan(geom.Deg(2))*math.Max(0.5, math.Abs(col.Height[i-1]-col.Height[far])); i-- {
		k.parallel += col.Height[i] - col.Height[i-1]
	}
	for i := far; i+1 < len(r) && r[far]-r[i+1] <= math.Tan(geom.Deg(2))*math.Max(0.5, math.Abs(col.Height[i+1]-col.Height[far])); i++ {
		k.parallel += col.Height[i+1] - col.Height[i]
	}
	return k, true
}

const (
	heldWithin = 0.25 // a height above the margin is read to half a millimetre, to either side [mm]
	heldAcross = 6.0  // and the gauge stands within half a millimetre of its site, to either side [deg]
	heldAskew  = 1.0  // the cast on the table leans as the path does to a degree, either way
)

// Gauge is the undercut that a gauge held at a site finds: at a height above the margin, or
// where the site is deepest if the height is nil. Spread is how far a second reading may be
// off for its place and the cast's tilt alone, though both are right [mm].
func (c Crown) Gauge(s tooth.Site, aboveMargin *float64) (depth, spread float64) {
	at := c.Site(s)
	read := func(angle float64) (float64, float64) {
		if aboveMargin == nil {
			col := c.Column(angle)
			deep := 0
			for i, d := range col.Depth {
				if d > col.Depth[deep] {
					deep = i
				}
			}
			return col.Depth[deep], col.Height[deep]
		}
		_, d := c.At(angle, *aboveMargin)
		return d, *aboveMargin
	}
	depth, h := read(at)
	off := func(d float64) { spread = math.Max(spread, math.Abs(d-depth)) }
	for _, a := range [...]float64{-heldAcross, heldAcross} {
		d, _ := read(at + a)
		off(d)
	}
	if aboveMargin != nil {
		for _, up := range [...]float64{-heldWithin, heldWithin} {
			_, d := c.At(at, h+up)
			off(d)
		}
	}
	below := math.Max(0, c.Column(at).ContourHeight-h)
	return depth, spread + below*math.Tan(geom.Deg(heldAskew))
}

// Sway is what an error of a degree in the path, in any direction, makes of the undercut at
// a place of the crown: the least and the most [mm]. It is the crown's own undercut, as of
// a crown that stands free.
func (c Crown) Sway(angleDeg, aboveMargin float64) (least, most float64) {
	col := c.Column(angleDeg)
	p, _ := col.At(aboveMargin)
	least, most = math.Inf(1), math.Inf(-1)
	for i := range 9 {
		d := c.axis.Z
		if i > 0 {
			s, k := math.Sincos(float64(i) * math.Pi / 4)
			d = d.Add(c.axis.X.Scale(s).Add(c.axis.Y.Scale(k)).Scale(math.Tan(geom.Deg(heldAskew)))).Unit()
		}
		out := c.Look(col.AngleDeg).Across(d).Unit()
		far := p.Dot(out)
		for _, q := range col.Outline {
			if q.Sub(p).Dot(d) > 0 {
				far = math.Max(far, q.Dot(out))
			}
		}
		least, most = math.Min(least, far-p.Dot(out)), math.Max(most, far-p.Dot(out))
	}
	return least, most
}
