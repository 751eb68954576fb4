package survey

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/words"
)

// columnsRound is how many columns stand round a crown: one every three degrees, about
// 0.25 mm apart on a molar, which is the width of a gauge's disc.
const columnsRound = 120

// leastUndercut is the depth a column must reach to have a height of contour above its
// margin: below it scan noise would draw one [mm].
const leastUndercut = 0.02

// atContour is the depth where the undercut is taken to begin [mm].
const atContour = 0.003

// CrownOf makes the crown chart of one tooth. The survey must be of the cast's own mesh.
func CrownOf(c *cast.Cast, s *Survey, n tooth.Number) (Crown, error) {
	t := c.Teeth[n]
	if t == nil {
		return Crown{}, words.Errorf("charting the crown of tooth %v: the cast has no such tooth", n)
	}
	if len(t.Margin) < 3 {
		return Crown{}, words.Errorf("charting the crown of tooth %v: its gingival margin is not known", n)
	}
	if len(s.Depth) != len(c.Mesh.Vertices) {
		return Crown{}, words.Errorf("charting the crown of tooth %v: the survey is of another surface (%d vertices, the cast has %d)", n, len(s.Depth), len(c.Mesh.Vertices))
	}
	var faces []int32
	for i, l := range c.Labels {
		if l == n {
			faces = append(faces, int32(i))
		}
	}
	if len(faces) == 0 {
		return Crown{}, words.Errorf("charting the crown of tooth %v: no part of the surface is labelled with it", n)
	}
	d := s.Direction
	cr := Crown{Tooth: n, Path: PathAlong(c.Arch, d), axis: axisOf(t, d)}
	cr.Columns = make([]Column, columnsRound)
	missing := 0
	round := cr.facesRound(c.Mesh, faces)
	for i := range cr.Columns {
		col, ok := cr.column(c.Mesh, s.Depth, round[i], t.Margin, 360*float64(i)/columnsRound)
		if !ok {
			missing++
		}
		cr.Columns[i] = col
	}
	if missing > columnsRound/3 {
		return Crown{}, words.Errorf("charting the crown of tooth %v: its surface does not go round: %d of %d columns are empty; check its margin and its place on the scan", n, missing, columnsRound)
	}
	cr.fill()
	return cr, nil
}

// facesRound lists, for each column, the faces that its half plane may meet: those whose
// corners stand on either side of its angle, and those round the axis itself.
func (c Crown) facesRound(m *mesh.Mesh, faces []int32) [columnsRound][]int32 {
	var out [columnsRound][]int32
	const step = 360.0 / columnsRound
	for _, f := range faces {
		t := m.Faces[f]
		first := c.AngleOf(m.Vertices[t[0]])
		lo, hi := first, first
		for _, v := range t[1:] {
			a := c.AngleOf(m.Vertices[v])
			for a > first+180 {
				a -= 360
			}
			for a < first-180 {
				a += 360
			}
			lo, hi = math.Min(lo, a), math.Max(hi, a)
		}
		from, to := int(math.Floor(lo/step)), int(math.Ceil(hi/step))
		if hi-lo > 120 {
			from, to = 0, columnsRound-1
		}
		for i := from; i <= to; i++ {
			k := ((i % columnsRound) + columnsRound) % columnsRound
			out[k] = append(out[k], f)
		}
	}
	return out
}

// axisOf is the frame columns stand round: Z along the path, Y facial, X mesial.
func axisOf(t *cast.Tooth, d geom.Vec) geom.Frame {
	y := t.Frame.Y.Across(d).Unit()
	x := t.Frame.X.Across(d)
	x = x.Across(y).Unit()
	return geom.Frame{Origin: t.Frame.Origin, X: x, Y: y, Z: d}
}

// Look is the direction that the column at an angle faces.
func (c Crown) Look(angleDeg float64) geom.Vec {
	s, k := math.Sincos(geom.Deg(angleDeg))
	return c.axis.Y.Scale(k).Add(c.axis.X.Scale(s))
}

// AngleOf is the angle at which a place stands round the tooth, 0 to 360 [deg].
func (c Crown) AngleOf(p geom.Vec) float64 {
	q := c.axis.Local(p)
	a := geom.InDeg(math.Atan2(q.X, q.Y))
	return math.Mod(a+360, 360)
}

// HeightOf is how high a place stands over the gingival margin below it [mm].
func (c Crown) HeightOf(p geom.Vec) float64 {
	q := c.Column(c.AngleOf(p))
	return p.Sub(q.Margin).Dot(c.axis.Z)
}

func (c Crown) column(m *mesh.Mesh, depth []float64, faces []int32, margin []geom.Vec, angle float64) (Column, bool) {
	out := c.Look(angle)
	plane := geom.Plane{Point: c.axis.Origin, Normal: c.axis.Z.Cross(out)}
	col := Column{AngleDeg: angle}
	found := false
	radius := func(p geom.Vec) float64 { return p.Sub(plane.Point).Dot(out) }
	for i, a := range margin {
		b := margin[(i+1)%len(margin)]
		ha, hb := plane.Above(a), plane.Above(b)
		if (ha >= 0) == (hb >= 0) {
			continue
		}
		p := a.Lerp(b, ha/(ha-hb))
		if r := radius(p); r > 0 && (!found || r > radius(col.Margin)) {
			col.Margin, found = p, true
		}
	}
	if !found {
		return col, false
	}
	// The outline is the slice that comes nearest to the margin, from there to its top.
	var best []mesh.Cut
	bestAt, near := 0, math.Inf(1)
	for _, s := range m.Slices(plane, faces) {
		cuts := s.Cuts
		for i, k := range cuts {
			if radius(k.Point) <= 0 {
				continue
			}
			if d := k.Point.Dist(col.Margin); d < near {
				near, best, bestAt = d, cuts, i
			}
		}
	}
	if best == nil || near > 2 {
		return col, false
	}
	up := c.axis.Z
	base := col.Margin.Dot(up)
	top := func(step int) (last int, high float64) {
		last, high = bestAt, math.Inf(-1)
		for i := bestAt; i >= 0 && i < len(best) && radius(best[i].Point) > 0; i += step {
			if h := best[i].Point.Dot(up); h > high {
				last, high = i, h
			}
		}
		return last, high
	}
	step := 1
	end, high := top(1)
	if e, h := top(-1); h > high {
		step, end, high = -1, e, h
	}
	depthAt := func(k mesh.Cut) float64 { return depth[k.A] + (depth[k.B]-depth[k.A])*k.T }
	add := func(p geom.Vec, d float64) {
		col.Outline = append(col.Outline, p)
		col.Height = append(col.Height, p.Dot(up)-base)
		col.Depth = append(col.Depth, d)
	}
	// The depth at the margin itself, from the part of the slice that passes it.
	at, off := depthAt(best[bestAt]), near
	for _, j := range []int{bestAt - 1, bestAt + 1} {
		if j < 0 || j >= len(best) {
			continue
		}
		p, q := best[bestAt].Point, best[j].Point
		v := q.Sub(p)
		t := math.Max(0, math.Min(1, col.Margin.Sub(p).Dot(v)/math.Max(v.Dot(v), 1e-18)))
		if d := p.Lerp(q, t).Dist(col.Margin); d < off {
			off, at = d, depthAt(best[bestAt])*(1-t)+depthAt(best[j])*t
		}
	}
	add(col.Margin, at)
	for i := bestAt; ; i += step {
		if k := best[i]; k.Point.Dist(col.Margin) > 0.02 || i == end {
			add(k.Point, depthAt(k))
		}
		if i == end {
			break
		}
	}
	col.Top = high - base
	col.findContour(radius)
	return col, true
}

// findContour walks from the deepest place of the outline up to where the undercut ends,
// and on to where the outline stands out farthest there.
func (c *Column) findContour(radius func(geom.Vec) float64) {
	deep := 0
	for i, d := range c.Depth {
		if d > c.Depth[deep] {
			deep = i
		}
	}
	c.Contour, c.ContourHeight = c.Margin, 0
	if c.Depth[deep] < leastUndercut {
		return
	}
	last := len(c.Outline) - 1
	i := deep
	for i < last && c.Depth[i] > atContour {
		i++
	}
	// Chords between the slice's points make the radius ragged, so the outermost place is
	// the top of the parabola that fits it best about its greatest value.
	const reach = 0.5
	far := i
	for j := i; j <= last && c.Height[j] <= c.Height[i]+reach; j++ {
		if radius(c.Outline[j]) > radius(c.Outline[far]) {
			far = j
		}
	}
	c.Contour, c.ContourHeight = c.Outline[far], c.Height[far]
	var m [3][4]float64
	for j := range c.Outline {
		h := c.Height[j] - c.Height[far]
		if math.Abs(h) > reach {
			continue
		}
		row := [4]float64{1, h, h * h, radius(c.Outline[j]) - radius(c.Outline[far])}
		for a := range m {
			for b := range row {
				m[a][b] += row[a] * row[b]
			}
		}
	}
	if k, ok := solve3(m); ok && k[2] < 0 {
		h := c.Height[far] + math.Max(-reach/2, math.Min(reach/2, -k[1]/(2*k[2])))
		if h > 0 && h < c.Top {
			c.Contour, _ = c.At(h)
			c.ContourHeight = h
		}
	}
}

// solve3 solves three linear equations, the right side in the last column; false where
// they do not determine the answer.
func solve3(m [3][4]float64) (x [3]float64, ok bool) {
	for i := range m {
		p := i
		for j := i + 1; j < 3; j++ {
			if math.Abs(m[j][i]) > math.Abs(m[p][i]) {
				p = j
			}
		}
		m[i], m[p] = m[p], m[i]
		if math.Abs(m[i][i]) < 1e-12 {
			return x, false
		}
		for j := i + 1; j < 3; j++ {
			f := m[j][i] / m[i][i]
			for k := i; k < 4; k++ {
				m[j][k] -= f * m[i][k]
			}
		}
	}
	for i := 2; i >= 0; i-- {
		x[i] = m[i][3]
		for j := i + 1; j < 3; j++ {
			x[i] -= m[i][j] * x[j]
		}
		x[i] /= m[i][i]
	}
	return x, true
}

// fill gives columns that met no surface the outline of the nearest one that did, turned
// to their angle.
func (c *Crown) fill() {
	n := len(c.Columns)
	for i := range c.Columns {
		if len(c.Columns[i].Outline) > 0 {
			continue
		}
		for k := 1; k < n; k++ {
			j := (i + k) % n
			if k%2 == 1 {
				j = ((i-k)%n + n) % n
			}
			src := c.Columns[j]
			if len(src.Outline) == 0 || src.lent {
				continue
			}
			turn := func(p geom.Vec) geom.Vec {
				q := c.axis.Local(p)
				return c.axis.Outer(geom.V(0, 0, q.Z)).Add(c.Look(c.Columns[i].AngleDeg).Scale(math.Hypot(q.X, q.Y)))
			}
			q := src
			q.AngleDeg, q.lent = c.Columns[i].AngleDeg, true
			q.Margin, q.Contour = turn(src.Margin), turn(src.Contour)
			q.Outline = make([]geom.Vec, len(src.Outline))
			for m, p := range src.Outline {
				q.Outline[m] = turn(p)
			}
			c.Columns[i] = q
			break
		}
	}
}

// Column is the column nearest to an angle [deg].
func (c Crown) Column(angleDeg float64) Column {
	n := len(c.Columns)
	i := int(math.Round(angleDeg/360*float64(n))) % n
	return c.Columns[(i+n)%n]
}

// between gives the columns on either side of an angle and how far it is from the first.
func (c Crown) between(angleDeg float64) (a, b *Column, t float64) {
	n := len(c.Columns)
	x := math.Mod(math.Mod(angleDeg, 360)+360, 360) / 360 * float64(n)
	i := int(x) % n
	return &c.Columns[i], &c.Columns[(i+1)%n], x - math.Floor(x)
}

// At is the place on the crown at an angle and a height above the margin [mm], and how
// deep it is undercut. Heights outside the column are held within it.
func (c Crown) At(angleDeg, height float64) (geom.Vec, float64) {
	a, b, t := c.between(angleDeg)
	pa, da := a.At(height)
	pb, db := b.At(height)
	return pa.Lerp(pb, t), da + t*(db-da)
}

// At is the place on the column at a height above its margin, and its undercut depth.
func (c Column) At(height float64) (geom.Vec, float64) {
	for i := 1; i < len(c.Height); i++ {
		if c.Height[i] >= height {
			lo, hi := c.Height[i-1], c.Height[i]
			t := 1.0
			if hi > lo {
				t = math.Max(0, (height-lo)/(hi-lo))
			}
			return c.Outline[i-1].Lerp(c.Outline[i], t), c.Depth[i-1] + t*(c.Depth[i]-c.Depth[i-1])
		}
	}
	n := len(c.Outline) - 1
	return c.Outline[n], c.Depth[n]
}

// Reach finds where an undercut of a depth [mm] is first reached going down a column from
// the height of contour; false where it is not reached above the margin.
func (c Crown) Reach(angleDeg, mm float64) (Reach, bool) {
	return c.Column(angleDeg).Reach(c.axis.Z, mm)
}

// ReachAt is Reach at one of the six sites.
func (c Crown) ReachAt(s tooth.Site, mm float64) (Reach, bool) { return c.Reach(c.Site(s), mm) }

// Reach is Crown.Reach on one column, for a path along up.
func (c Column) Reach(up geom.Vec, mm float64) (Reach, bool) {
	top := len(c.Height) - 1
	for top > 0 && c.Height[top-1] >= c.ContourHeight {
		top--
	}
	for i := top; i > 0; i-- {
		a, b := c.Depth[i], c.Depth[i-1]
		if i == top && c.Height[i] >= c.ContourHeight {
			a = math.Min(a, mm)
		}
		if b < mm || a > mm {
			continue
		}
		t := 1.0
		if b > a {
			t = (mm - a) / (b - a)
		}
		h := c.Height[i] + t*(c.Height[i-1]-c.Height[i])
		return Reach{Point: c.Outline[i].Lerp(c.Outline[i-1], t), AboveMargin: h, BelowContour: c.ContourHeight - h, SlopeDeg: c.slope(up, i, t)}, true
	}
	return Reach{}, false
}

// slope is the angle between the outline about a place and the path, over 0.3 mm each way
// so that one facet does not decide it [deg].
func (c Column) slope(up geom.Vec, i int, t float64) float64 {
	at := c.Outline[i].Lerp(c.Outline[i-1], t)
	const over = 0.3
	lo, hi := at, at
	for j := i - 1; j >= 0; j-- {
		lo = c.Outline[j]
		if lo.Dist(at) >= over {
			break
		}
	}
	for j := i; j < len(c.Outline); j++ {
		hi = c.Outline[j]
		if hi.Dist(at) >= over {
			break
		}
	}
	v := hi.Sub(lo)
	if v.Norm() == 0 {
		return 0
	}
	a := geom.InDeg(v.AngleTo(up))
	return math.Min(a, 180-a)
}

// Greatest is the deepest undercut at a site and where it lies.
func (c Crown) Greatest(s tooth.Site) (float64, Reach) {
	col := c.Column(c.Site(s))
	deep := 0
	for i, d := range col.Depth {
		if d > col.Depth[deep] {
			deep = i
		}
	}
	r := Reach{Point: col.Outline[deep], AboveMargin: col.Height[deep], BelowContour: col.ContourHeight - col.Height[deep]}
	if len(col.Outline) > 1 {
		r.SlopeDeg = col.slope(c.axis.Z, max(deep, 1), float64(boolToInt(deep == 0)))
	}
	return col.Depth[deep], r
}

func boolToInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
