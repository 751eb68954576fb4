package typodont

import (
	"math"
	"sort"

	"halfpear/geom"
)

// crown is a form made ready to be asked for its surface.
type crown struct {
	form
	facialY, lingualY curve // y of the two outlines by height
	mesialX, distalX  curve // half widths by height
	ridges            []ridge
	fissures          []fissure
	top               float64 // height of the highest point
	anterior          bool
	tips              []geom.Vec // cusp tips or ends and middle of the edge, as designed
	centre            geom.Vec2  // a point inside every section near the top
}

// ridge is a crest running straight from a to b, with the surface falling away to its
// sides. Where the surface of one ridge meets that of another there is a groove.
type ridge struct {
	a, b    geom.Vec
	out     geom.Vec2 // the side that falls steeply; zero when neither does
	in, off float64   // slopes: inward, and on the out side
	blunt   float64   // radius of the crest
}

// fissure is a fine furrow of the occlusal surface.
type fissure struct {
	a, b  geom.Vec2
	depth float64
}

// curve is a smooth function through points, never running past its neighbours.
type curve struct{ x, y, m []float64 }

func newCurve(pts ...[2]float64) curve {
	sort.SliceStable(pts, func(i, j int) bool { return pts[i][0] < pts[j][0] })
	n := len(pts)
	c := curve{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i, p := range pts {
		c.x[i], c.y[i] = p[0], p[1]
	}
	slope := func(i int) float64 { return (c.y[i+1] - c.y[i]) / (c.x[i+1] - c.x[i]) }
	for i := range c.m {
		switch {
		case n == 1:
		case i == 0:
			c.m[i] = slope(0)
		case i == n-1:
			c.m[i] = slope(n - 2)
		default:
			// Weighted harmonic mean (Fritsch and Butland 1984), zero at a turning point.
			a, b := slope(i-1), slope(i)
			if a*b > 0 {
				h0, h1 := c.x[i]-c.x[i-1], c.x[i+1]-c.x[i]
				c.m[i] = 3 * (h0 + h1) / ((2*h1+h0)/a + (h1+2*h0)/b)
			}
		}
	}
	return c
}

// at evaluates the curve; it runs straight on beyond its ends.
func (c curve) at(x float64) float64 {
	n := len(c.x)
	if x <= c.x[0] {
		return c.y[0] + (x-c.x[0])*c.m[0]
	}
	if x >= c.x[n-1] {
		return c.y[n-1] + (x-c.x[n-1])*c.m[n-1]
	}
	i := sort.SearchFloat64s(c.x, x) - 1
	h := c.x[i+1] - c.x[i]
	t := (x - c.x[i]) / h
	t2, t3 := t*t, t*t*t
	return (2*t3-3*t2+1)*c.y[i] + (t3-2*t2+t)*h*c.m[i] + (-2*t3+3*t2)*c.y[i+1] + (t3-t2)*h*c.m[i+1]
}

// outline turns a profile into y by height, sign +1 facial and -1 lingual.
func (p profile) outline(half, height, sign float64) curve {
	pts := [][2]float64{{0, half - p.undercut}, {0.3 * p.contour, half - 0.74*p.undercut},
		{0.55 * p.contour, half - 0.5*p.undercut}, {0.78 * p.contour, half - 0.16*p.undercut}, {p.contour, half}}
	for _, u := range []float64{0.2, 0.4, 0.6, 0.8, 1} {
		pts = append(pts, [2]float64{p.contour + u*(height-p.contour), half - p.lean*math.Pow(u, p.bend)})
	}
	for i := range pts {
		pts[i][1] *= sign
	}
	return newCurve(pts...)
}

func newCrown(f form, anterior, incisor bool) *crown {
	c := &crown{form: f, anterior: anterior}
	half := f.fl / 2
	c.facialY = f.facial.outline(half, f.height, 1)
	edge := half - f.facial.lean - edgeThickness
	if anterior {
		var pts [][2]float64
		for _, q := range lingualFront {
			pts = append(pts, [2]float64{q.h * f.height, -half + q.y*(edge+half)})
		}
		c.lingualY = newCurve(pts...)
	} else {
		c.lingualY = f.lingual.outline(half, f.height, -1)
	}
	side := func(contact, top float64) curve {
		w, w0 := f.md/2, f.mdCervix/2
		return newCurve([2]float64{0, w0}, [2]float64{0.25 * contact, w0 + 0.42*(w-w0)},
			[2]float64{0.6 * contact, w0 + 0.85*(w-w0)}, [2]float64{contact, w},
			[2]float64{contact + 0.5*(f.height-contact), w - 0.22*top}, [2]float64{f.height, w - top})
	}
	c.mesialX, c.distalX = side(f.contactM, f.topM), side(f.contactD, f.topD)
	if anterior {
		c.incisal(incisor)
	} else {
		c.occlusal()
	}
	for _, r := range c.ridges {
		c.top = math.Max(c.top, math.Max(r.a.Z, r.b.Z))
	}
	return c
}

// incisal lays the incisal edge, or the two cusp ridges of a canine.
func (c *crown) incisal(incisor bool) {
	h, y := c.height, c.facialY.at(c.height)-0.55*edgeThickness
	m, d := c.md/2-c.topM-0.3, c.md/2-c.topD-0.3
	mid := geom.V(0, y, h)
	mEnd, dEnd := geom.V(m, y-0.15, h-0.12), geom.V(-d, y-0.2, h-0.12-0.45*c.topD)
	if !incisor {
		mid = geom.V(0.25, y, h)
		mEnd, dEnd = geom.V(c.md/2-c.topM-0.4, y-0.3, c.contactM+0.75), geom.V(-(c.md/2-c.topD-0.3), y-0.35, c.contactD+0.95)
	}
	c.tips = []geom.Vec{mEnd, mid, dEnd}
	out := geom.Vec2{Y: 1}
	c.ridges = []ridge{{mid, mEnd, out, 0.75, 1.5, 0.3}, {mid, dEnd, out, 0.75, 1.5, 0.3}}
	if !incisor {
		// The canine's lingual ridge.
		c.ridges = append(c.ridges, ridge{mid, geom.V(0.15, y-2.2, h-2.4), geom.Vec2{}, 0.9, 0.9, 0.4})
	}
	c.centre = geom.Vec2{Y: y}
}

// occlusal lays the cusp ridges, triangular ridges and marginal ridges of a back tooth.
func (c *crown) occlusal() {
	f, l := c.facialY.at(c.height), c.lingualY.at(c.height)
	row := func(lingual bool) []geom.Vec {
		var tips []geom.Vec
		for _, q := range c.cusps {
			if q.lingual != lingual {
				continue
			}
			y := f - 0.35 - q.in
			if lingual {
				h := c.height - q.drop
				y = c.lingualY.at(h) + 0.55 + q.in
			}
			tips = append(tips, geom.V(q.x, y, c.height-q.drop))
		}
		return tips
	}
	mx, dx := c.md/2-c.topM-0.55, c.md/2-c.topD-0.55
	mr := c.height - c.marginal
	for _, lingual := range []bool{false, true} {
		tips := row(lingual)
		out := geom.Vec2{Y: 1}
		corner := 0.80 * f
		if lingual {
			out, corner = geom.Vec2{Y: -1}, 0.80*l
		}
		for i, t := range tips {
			c.tips = append(c.tips, t)
			// Ridges mesially and distally, to the next cusp's valley or to the corner.
			for _, side := range []float64{1, -1} {
				end := geom.V(side*mx, corner*(1-c.taperAt(lingual)), mr+0.25)
				if side < 0 {
					end.X = -dx
				}
				j := i - int(side)
				if j >= 0 && j < len(tips) {
					mid := t.Lerp(tips[j], 0.5)
					end = geom.V(mid.X, mid.Y, math.Min(t.Z, tips[j].Z)-1.0)
				}
				c.ridges = append(c.ridges, ridge{t, end, out, 0.85, 1.3, 0.25})
			}
			// The triangular ridge toward the central groove.
			reach := t.Y - 0.12*(f+l)
			in := geom.V(t.X*0.72, t.Y-0.92*reach, t.Z-0.68*math.Abs(0.92*reach))
			c.ridges = append(c.ridges, ridge{t, in, geom.Vec2{}, 0.85, 0.85, 0.3})
		}
	}
	for _, side := range []float64{1, -1} {
		x := side * mx
		if side < 0 {
			x = -dx
		}
		mid := geom.V(x, 0.5*(f+l)*0.8, mr-0.1)
		a := geom.V(x-side*0.25, 0.80*f, mr+0.25)
		b := geom.V(x-side*0.25, 0.80*l*(1-c.taperAt(true)), mr+0.25)
		out := geom.Vec2{X: side}
		c.ridges = append(c.ridges, ridge{mid, a, out, 0.7, 1.1, 0.4}, ridge{mid, b, out, 0.7, 1.1, 0.4})
	}
	// Fissures: along the middle from pit to pit, and out between neighbouring cusps.
	mid := 0.12 * (f + l)
	c.fissures = append(c.fissures, fissure{geom.Vec2{X: -dx + 1.3, Y: mid}, geom.Vec2{X: mx - 1.3, Y: mid}, 0.3})
	for _, lingual := range []bool{false, true} {
		tips := row(lingual)
		for i := 0; i+1 < len(tips); i++ {
			v := tips[i].Lerp(tips[i+1], 0.5)
			c.fissures = append(c.fissures, fissure{geom.Vec2{X: v.X * 0.8, Y: mid}, geom.Vec2{X: v.X, Y: v.Y * 1.05}, 0.28})
		}
	}
	if c.oblique {
		a, b := c.tips[1], c.tips[2]
		mid := a.Lerp(b, 0.5)
		mid.Z = math.Min(a.Z, b.Z) - 1.15
		c.ridges = append(c.ridges, ridge{a, mid, geom.Vec2{}, 0.7, 0.7, 0.4}, ridge{b, mid, geom.Vec2{}, 0.7, 0.7, 0.4})
	}
	c.centre = geom.Vec2{Y: 0.5 * (f + l)}
}

func (c *crown) taperAt(lingual bool) float64 {
	if lingual {
		return c.taper * 0.6
	}
	return 0
}

// surfaceHeight is the height of the occlusal surface over (x, y), as if it went on
// beyond the crown's outline.
func (c *crown) surfaceHeight(q geom.Vec2) float64 {
	best := math.Inf(-1)
	for _, r := range c.ridges {
		a, b := r.a.XY(), r.b.XY()
		ab := b.Sub(a)
		t := 0.0
		if l := ab.Dot(ab); l > 0 {
			t = math.Max(0, math.Min(1, q.Sub(a).Dot(ab)/l))
		}
		v := q.Sub(a.Lerp(b, t))
		z := r.a.Z + t*(r.b.Z-r.a.Z)
		slope := r.in
		if o := v.Dot(r.out); o > 0 {
			d := v.Norm() + 1e-12
			slope = r.in + (r.off-r.in)*o/d
		}
		z -= slope * (math.Sqrt(v.Dot(v)+r.blunt*r.blunt) - r.blunt)
		best = math.Max(best, z)
	}
	for _, f := range c.fissures {
		a, b := f.a, f.b
		ab := b.Sub(a)
		t := math.Max(0, math.Min(1, q.Sub(a).Dot(ab)/ab.Dot(ab)))
		d := q.Dist(a.Lerp(b, t)) / 0.24
		best -= f.depth * math.Exp(-d*d)
	}
	return best
}

// section is the crown's outline at height h in the direction theta, 0 mesial, a quarter
// turn facial.
func (c *crown) section(h, theta float64) geom.Vec {
	s, co := math.Sincos(theta)
	f, l := c.facialY.at(h), c.lingualY.at(h)
	if f-l < 0.5 {
		mid := (f + l) / 2
		f, l = mid+0.25, mid-0.25
	}
	mid, half := (f+l)/2, (f-l)/2
	x := c.mesialX.at(h)
	if co < 0 {
		x = c.distalX.at(h)
	}
	e := 2 / c.round
	u := math.Copysign(math.Pow(math.Abs(s), e), s)
	x *= math.Copysign(math.Pow(math.Abs(co), e), co)
	if u < 0 {
		x *= 1 - c.taper*u*u
	} else {
		x *= 1 - 0.03*u*u
	}
	y := mid + u*half
	share := h / c.height
	for _, g := range c.grooves {
		if g.lingual == (u < 0) {
			t := (x - g.x) / g.width
			y -= u * u * math.Copysign(g.depth, u) * math.Exp(-t*t) * ramp((share-g.fromShare)/(g.topShare-g.fromShare))
		}
	}
	if c.fossa > 0 && u < 0 {
		t, v := x/(0.28*c.md), (share-0.62)/0.26
		y += u * u * c.fossa * math.Exp(-t*t*t*t-v*v)
	}
	return geom.V(x, y, h)
}

// ramp goes smoothly from 0 to 1.
func ramp(t float64) float64 {
	t = math.Max(0, math.Min(1, t))
	return t * t * (3 - 2*t)
}

// marginAt is the height of the gingival margin in the direction theta.
func (c *crown) marginAt(theta float64) float64 {
	co := math.Cos(theta)
	rise := c.riseM
	if co < 0 {
		rise = c.riseD
	}
	k := co * co
	h := rise * k * math.Sqrt(k)
	if s := math.Sin(theta); s < 0 {
		h += 0.25 * s * s // the lingual margin lies a little higher
	}
	return h
}

// patch is a crown's surface: rows of wall columns from the margin to the rim, then the
// top. Vertex 0 to columns-1 are the margin, counter-clockwise seen from the top when x
// is turned a quarter counter-clockwise to reach y.
type patch struct {
	vertices []geom.Vec
	faces    [][3]int32
	columns  int
}

// surface meshes the crown with edges of about the given length.
func (c *crown) surface(edge float64) (*patch, error) {
	// Columns at equal distances round the crown at mid-height.
	const fine = 720
	ring := make([]geom.Vec, fine)
	for i := range ring {
		ring[i] = c.section(0.5*c.height, 2*math.Pi*float64(i)/fine)
	}
	w := geom.NewWalk(geom.Closed(ring))
	n := int(math.Max(36, math.Round(w.Length()/edge)))
	theta := make([]float64, n)
	acc, k := 0.0, 0
	for i := range theta {
		want := w.Length() * float64(i) / float64(n)
		for {
			step := ring[k%fine].Dist(ring[(k+1)%fine])
			if acc+step >= want {
				theta[i] = 2 * math.Pi * (float64(k) + (want-acc)/step) / fine
				break
			}
			acc += step
			k++
		}
	}
	rows := int(math.Max(12, math.Round(c.height/edge)))
	p := &patch{columns: n}
	rim := make([]float64, n)
	for i, th := range theta {
		rim[i] = c.rimHeight(th)
	}
	for j := 0; j <= rows; j++ {
		for i, th := range theta {
			t := float64(j) / float64(rows)
			h0 := c.marginAt(th)
			p.vertices = append(p.vertices, c.section(h0+t*(rim[i]-h0), th))
		}
	}
	for j := 0; j < rows; j++ {
		for i := 0; i < n; i++ {
			a, b := int32(j*n+i), int32(j*n+(i+1)%n)
			d, e := a+int32(n), b+int32(n)
			if (i+j)%2 == 0 {
				p.faces = append(p.faces, [3]int32{a, b, e}, [3]int32{a, e, d})
			} else {
				p.faces = append(p.faces, [3]int32{a, b, d}, [3]int32{b, e, d})
			}
		}
	}
	// The top: a height over the plane, inside the rim.
	base := int32(rows * n)
	plane := make([]geom.Vec2, 0, 3*n)
	loop := make([]int32, n)
	for i := 0; i < n; i++ {
		plane = append(plane, p.vertices[int(base)+i].XY())
		loop[i] = int32(i)
	}
	border := append([]geom.Vec2(nil), plane...)
	step := 0.72 * edge
	add := func(q geom.Vec2, clear float64) {
		if !geom.Contains2(border, q) || nearAny(plane, q, clear) {
			return
		}
		plane = append(plane, q)
		p.vertices = append(p.vertices, geom.V(q.X, q.Y, c.surfaceHeight(q)))
	}
	for _, r := range c.ridges {
		m := int(math.Max(1, math.Ceil(r.a.Dist(r.b)/step)))
		for i := 0; i <= m; i++ {
			add(r.a.XY().Lerp(r.b.XY(), float64(i)/float64(m)), 0.45*step)
		}
	}
	for _, f := range c.fissures {
		m := int(math.Max(1, math.Ceil(f.a.Dist(f.b)/step)))
		for i := 0; i <= m; i++ {
			add(f.a.Lerp(f.b, float64(i)/float64(m)), 0.45*step)
		}
	}
	row := 0
	for y := -c.fl / 2; y <= c.fl/2; y += step * 0.866 {
		x := -c.md / 2
		if row%2 == 1 {
			x += step / 2
		}
		row++
		for ; x <= c.md/2; x += step {
			add(geom.Vec2{X: x, Y: y}, 0.62*step)
		}
	}
	tris, err := triangulate(plane, [][]int32{loop})
	if err != nil {
		return nil, err
	}
	for _, t := range tris {
		p.faces = append(p.faces, [3]int32{base + t[0], base + t[1], base + t[2]})
	}
	// Round the rim off, and leave the rest as cut.
	share := make([]float64, len(p.vertices))
	for i := int(base) - 2*n; i < len(p.vertices); i++ {
		d := 0.0
		if i >= int(base)+n {
			d = math.Inf(1)
			for _, q := range border {
				d = math.Min(d, q.Dist(p.vertices[i].XY()))
			}
		}
		share[i] = 0.12 + 0.28*(1-ramp(d/0.8))
	}
	p.soften(share, 3)
	return p, nil
}

// rimHeight is where the wall at theta meets the occlusal surface.
func (c *crown) rimHeight(theta float64) float64 {
	over := func(h float64) bool { return c.surfaceHeight(c.section(h, theta).XY()) < h }
	h := 0.35 * c.height
	for h < c.top && !over(h) {
		h += 0.15
	}
	lo, hi := h-0.15, h
	for range 30 {
		m := (lo + hi) / 2
		if over(m) {
			hi = m
		} else {
			lo = m
		}
	}
	return lo
}

// soften moves each vertex its share of the way toward the mean of its neighbours.
func (p *patch) soften(share []float64, rounds int) {
	for range rounds {
		sum := make([]geom.Vec, len(p.vertices))
		count := make([]float64, len(p.vertices))
		for _, f := range p.faces {
			for i := range f {
				a, b := f[i], f[(i+1)%3]
				sum[a] = sum[a].Add(p.vertices[b])
				count[a]++
			}
		}
		for i := range p.vertices {
			if count[i] > 0 && share[i] > 0 {
				p.vertices[i] = p.vertices[i].Lerp(sum[i].Scale(1/count[i]), share[i])
			}
		}
	}
}

func nearAny(pts []geom.Vec2, q geom.Vec2, d float64) bool {
	d *= d
	for _, p := range pts {
		if v := p.Sub(q); v.X*v.X+v.Y*v.Y < d {
			return true
		}
	}
	return false
}
