package cast

import (
	"cmp"
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/words"
)

// Found is a tooth seen on a scan.
type Found struct {
	Tooth      tooth.Number
	Point      geom.Vec // on the crown, in the scan's frame and unit
	Confidence float64  // 0 to 1
}

// Located is what a scan shows before anyone has said where its teeth are.
type Located struct {
	Teeth    []Found         // in tooth.All's order
	Turn     geom.Similarity // from the scan's frame and unit to the cast frame, to a few degrees
	Unit     string
	Inward   bool // the triangles look into the model: normals are turned over
	Mirrored bool // the gaps fit the chart only with left and right exchanged

	// Other is how much better the teeth fit the other arch than the one given, as a
	// logarithm of likelihoods; below zero where they fit it worse.
	Other float64
}

// Locate finds the teeth of a scan that lies any way it likes. Missing are the teeth that
// the chart says do not stand; nil where nothing is known. What stands is judged by the
// surface, with the chart as a hint, so that the two can be compared.
func Locate(scan *mesh.Mesh, a tooth.Arch, missing []tooth.Number, factor float64) (Located, error) {
	var l Located
	fail := func(err error) (Located, error) {
		return l, words.Errorf("finding teeth on the scan of the %v arch: %v", words.Code{Group: "arch", Code: a.String()}, err)
	}
	if a != tooth.Upper && a != tooth.Lower {
		return fail(words.Errorf("expected upper or lower"))
	}
	if scan == nil || len(scan.Faces) == 0 {
		return fail(words.Errorf("it has no triangles"))
	}
	for i, v := range scan.Vertices {
		if !v.IsFinite() {
			return fail(words.Errorf("vertex %d is no finite point", i))
		}
	}
	look := mesh.Inspect(scan)
	l.Unit = look.Unit
	if factor == 0 {
		if factor = look.UnitFactor; look.Unit == "" {
			s := look.Box.Size()
			return fail(words.Errorf("its widest side measures %.4g, which is the size of an arch in no common unit (mm, cm, m, inch): say the unit", math.Max(s.X, math.Max(s.Y, s.Z))))
		}
	}
	if s := look.Box.Size(); look.UnitFactor != 0 && math.Abs(math.Log(factor/look.UnitFactor)) > math.Log(2) {
		return fail(words.Errorf("with the unit given (1 = %g mm) its widest side would measure %.4g mm; the scan looks as if it were in %s", factor, factor*math.Max(s.X, math.Max(s.Y, s.Z)), look.Unit))
	}
	mm := scan.Map(func(v geom.Vec) geom.Vec { return v.Scale(factor) })
	gone := map[tooth.Number]bool{}
	for _, n := range missing {
		gone[n] = true
	}
	turn := func(f geom.Frame) geom.Similarity {
		return geom.Similarity{From: f, To: geom.World(), Scale: 1}
	}
	// The way of lying in which the row of teeth makes most sense.
	var f geom.Frame
	var row *archRow
	cut := rowCut{cost: math.Inf(1)}
	for _, lying := range lie(mm, a, gone) {
		r := unroll(mm.Map(turn(lying.frame).Apply), a)
		c := r.split(gone, missing != nil)
		if c.cost += lying.doubt; c.cost < cut.cost {
			f, row, cut = lying.frame, r, c
		}
	}
	if row == nil {
		return fail(words.Errorf("nothing on it stands up along the line of an arch; give one point on each tooth"))
	}
	for range 2 {
		f = relevel(f, row, cut)
		row = unroll(mm.Map(turn(f).Apply), a)
		cut = row.split(gone, missing != nil)
	}
	if missing != nil && !sameBothSides(gone) {
		swapped := map[tooth.Number]bool{}
		for n := range gone {
			swapped[n.Opposite()] = true
		}
		better := cut.cost - row.split(swapped, true).cost
		l.Mirrored = better > 9 || better > 5 && disagreement(cut, gone) >= 2
	}
	l.Other = row.split(nil, false).cost - unroll(row.mesh, otherArch(a)).split(nil, false).cost
	l.Turn = geom.Similarity{From: geom.World(), To: geom.World(), Scale: factor}
	inv := geom.Frame{X: geom.V(f.X.X, f.Y.X, f.Z.X), Y: geom.V(f.X.Y, f.Y.Y, f.Z.Y), Z: geom.V(f.X.Z, f.Y.Z, f.Z.Z)}
	inv.Origin = f.Local(geom.Vec{})
	l.Turn.To = inv
	up := 0.0
	for i, n := range tooth.All(a) {
		s := cut.teeth[i]
		if !s.stands {
			continue
		}
		q := row.top(s.from, s.to)
		if (missing == nil || gone[n]) && n.Kind() == tooth.ThirdMolar {
			// A pad or the heel of a base may stand there as high and as broad as a tooth.
			s.sure = math.Min(s.sure, 0.5)
		}
		l.Teeth = append(l.Teeth, Found{n, l.Turn.Inverse().Apply(q), s.sure})
		up += row.lookUp(q)
	}
	l.Inward = up < 0
	if len(l.Teeth) < 2 {
		return fail(words.Errorf("only %d teeth were found, at least two are needed; give one point on each tooth", len(l.Teeth)))
	}
	return l, nil
}

func sameBothSides(gone map[tooth.Number]bool) bool {
	for n := range gone {
		if !gone[n.Opposite()] {
			return false
		}
	}
	return true
}

// disagreement counts the teeth, third molars aside, that stand against the chart.
func disagreement(c rowCut, gone map[tooth.Number]bool) int {
	k := 0
	for i, s := range c.teeth {
		n := tooth.At(c.arch, i)
		if n.Kind() != tooth.ThirdMolar && s.stands == gone[n] {
			k++
		}
	}
	return k
}

// heights is a map of the highest surface over a level grid; NaN where there is none.
type heights struct {
	low    geom.Vec2
	cell   float64
	nx, ny int
	z      []float64
}

func heightsOf(m *mesh.Mesh, cell float64) *heights {
	b := geom.BoxOf(m.Vertices)
	s := b.Size()
	h := &heights{low: b.Min.XY(), cell: cell, nx: int(s.X/cell) + 1, ny: int(s.Y/cell) + 1}
	h.z = make([]float64, h.nx*h.ny)
	for i := range h.z {
		h.z[i] = math.NaN()
	}
	put := func(p geom.Vec) {
		x, y := int((p.X-h.low.X)/cell), int((p.Y-h.low.Y)/cell)
		if i := y*h.nx + x; math.IsNaN(h.z[i]) || h.z[i] < p.Z {
			h.z[i] = p.Z
		}
	}
	for f := range m.Faces {
		a, b, c := m.Corners(f)
		// Enough points of the triangle that no cell under it is left out.
		k := 1 + int(math.Max(a.Dist(b), math.Max(b.Dist(c), c.Dist(a)))/(0.8*cell))
		k = min(k, 60)
		for i := 0; i <= k; i++ {
			for j := 0; i+j <= k; j++ {
				u, v := float64(i)/float64(k), float64(j)/float64(k)
				put(a.Scale(1 - u - v).Add(b.Scale(u)).Add(c.Scale(v)))
			}
		}
	}
	return h
}

func (h *heights) at(x, y float64) float64 {
	i, j := int(math.Floor((x-h.low.X)/h.cell)), int(math.Floor((y-h.low.Y)/h.cell))
	if i < 0 || j < 0 || i >= h.nx || j >= h.ny {
		return math.NaN()
	}
	return h.z[j*h.nx+i]
}

// ridges says of every cell how far it stands above its surroundings 6 and 9 mm off. Where
// there is nothing beside it, it counts as hardly standing above: else the rim of an open
// scan would be a ridge.
func (h *heights) ridges() *heights {
	out := &heights{low: h.low, cell: h.cell, nx: h.nx, ny: h.ny, z: make([]float64, len(h.z))}
	type step struct{ dx, dy float64 }
	var ring []step
	for _, r := range []float64{6, 9} {
		for k := range 12 {
			s, c := math.Sincos(2 * math.Pi * float64(k) / 12)
			ring = append(ring, step{r * c, r * s})
		}
	}
	for j := range h.ny {
		for i := range h.nx {
			z := h.z[j*h.nx+i]
			if math.IsNaN(z) {
				out.z[j*h.nx+i] = math.NaN()
				continue
			}
			x, y := h.low.X+(float64(i)+0.5)*h.cell, h.low.Y+(float64(j)+0.5)*h.cell
			sum := 0.0
			for _, s := range ring {
				w := h.at(x+s.dx, y+s.dy)
				if math.IsNaN(w) {
					w = z - 0.5
				}
				sum += math.Max(-4, math.Min(8, z-w))
			}
			out.z[j*h.nx+i] = math.Max(-3, math.Min(5, sum/float64(len(ring))))
		}
	}
	return out
}

// pose lays an average arch on a level map.
type pose struct{ x, y, turn, wide, long float64 }

func (p pose) place(q geom.Vec) (x, y float64) {
	s, c := math.Sincos(p.turn)
	u, v := q.X*p.wide, q.Y*p.long
	return p.x + c*u - s*v, p.y + s*u + c*v
}

// lying is a way a scan may lie: a frame whose z is occlusal and y anterior.
type lying struct {
	frame geom.Frame
	stand float64 // how far the teeth's places stand above what lies beside them [mm]
	doubt float64 // what speaks against it
}

// score is the mean height of the ridges under the sites, less what an unlikely shape
// costs: an arch is rarely much wider or longer than the average.
func (p pose) score(h *heights, sites []geom.Vec) float64 {
	sum := 0.0
	sn, c := math.Sincos(p.turn)
	for _, q := range sites {
		u, v := q.X*p.wide, q.Y*p.long
		z := h.at(p.x+c*u-sn*v, p.y+sn*u+c*v)
		if math.IsNaN(z) {
			z = -3
		}
		sum += z
	}
	return sum/float64(len(sites)) - 6*(p.wide-1)*(p.wide-1) - 6*(p.long-1)*(p.long-1) - 3*(p.wide-p.long)*(p.wide-p.long)
}

// layBest picks the pose of those given that scores best.
func layBest(h *heights, sites []geom.Vec, from []pose) (pose, float64) {
	var best pose
	top := math.Inf(-1)
	for _, p := range from {
		if s := p.score(h, sites); s > top {
			best, top = p, s
		}
	}
	return best, top
}

// lie finds the ways a scan may lie, likeliest first. Teeth make a ridge along the arch that
// stands up from what lies beside it, seen from the occlusal and from hardly anywhere else;
// so an average arch is laid on the map of ridges seen from every likely side.
func lie(m *mesh.Mesh, a tooth.Arch, gone map[tooth.Number]bool) []lying {
	var sites []geom.Vec
	for _, n := range tooth.All(a) {
		if n.Kind() != tooth.ThirdMolar && !gone[n] {
			sites = append(sites, spot(n, AverageOf(n)))
		}
	}
	// The places of missing teeth lie on the ridge too, though lower: they count once, the
	// standing ones twice.
	for _, n := range tooth.All(a) {
		if n.Kind() != tooth.ThirdMolar {
			sites = append(sites, spot(n, AverageOf(n)))
		}
	}
	axes, centre := principal(m)
	// The triangles of an open scan look occlusally on the whole, unless they are turned
	// over; that speaks, but does not decide.
	facing, open := faced(m), opens(m)
	var out []lying
	try := func(up geom.Vec) {
		f := geom.FrameAlong(up)
		f.Origin = centre
		h := heightsOf(m.Map(f.Local), 1).ridges()
		p, s := lay(h, sites)
		if s < 0.2 {
			return
		}
		x, y := p.place(geom.Vec{})
		sn, c := math.Sincos(p.turn)
		l := lying{stand: s, frame: geom.Frame{Origin: f.Outer(geom.V(x, y, 0)), X: f.Dir(geom.V(c, sn, 0)), Y: f.Dir(geom.V(-sn, c, 0)), Z: f.Z}}
		if open && facing.Dot(up) < 0 {
			l.stand *= 0.75
			l.doubt = 6
		}
		out = append(out, l)
	}
	for _, d := range axes {
		try(d)
		try(d.Neg())
	}
	slices.SortStableFunc(out, func(a, b lying) int { return cmp.Compare(b.stand, a.stand) })
	for i, l := range out {
		if i == 3 || l.stand < 0.5*out[0].stand {
			return out[:i]
		}
	}
	return out
}

// lay finds the best pose of sites on a map of ridges and its mean ridge height.
func lay(h *heights, sites []geom.Vec) (pose, float64) {
	mid := geom.Vec2{X: h.low.X + float64(h.nx)*h.cell/2, Y: h.low.Y + float64(h.ny)*h.cell/2}
	var anywhere []pose
	for k := range 36 {
		for dx := -24.0; dx <= 24; dx += 2.5 {
			for dy := -24.0; dy <= 24; dy += 2.5 {
				for _, w := range []float64{0.9, 1, 1.1} {
					anywhere = append(anywhere, pose{mid.X + dx, mid.Y + dy, 2 * math.Pi * float64(k) / 36, w, w})
				}
			}
		}
	}
	best, top := layBest(h, sites, anywhere)
	score := func(p pose) float64 { return p.score(h, sites) }
	step := pose{1.2, 1.2, geom.Deg(5), 0.05, 0.05}
	for range 5 {
		for range 12 {
			moved := false
			for _, d := range []pose{{x: step.x}, {y: step.y}, {turn: step.turn}, {wide: step.wide}, {long: step.long}} {
				for _, sign := range []float64{1, -1} {
					p := pose{best.x + sign*d.x, best.y + sign*d.y, best.turn + sign*d.turn, best.wide + sign*d.wide, best.long + sign*d.long}
					if s := score(p); s > top {
						best, top, moved = p, s, true
					}
				}
			}
			if !moved {
				break
			}
		}
		step = pose{step.x / 2, step.y / 2, step.turn / 2, step.wide / 2, step.long / 2}
	}
	return best, top
}

// principal gives the axes along which the surface spreads, the narrowest first, and its
// middle.
func principal(m *mesh.Mesh) ([3]geom.Vec, geom.Vec) {
	var sum geom.Vec
	total := 0.0
	each := func(do func(p geom.Vec, w float64)) {
		for f := range m.Faces {
			a, b, c := m.Corners(f)
			do(a.Add(b).Add(c).Scale(1.0/3), b.Sub(a).Cross(c.Sub(a)).Norm())
		}
	}
	each(func(p geom.Vec, w float64) { sum, total = sum.Add(p.Scale(w)), total+w })
	mid := sum.Scale(1 / math.Max(total, 1e-12))
	var c [3][3]float64
	each(func(p geom.Vec, w float64) {
		d := p.Sub(mid)
		v := [3]float64{d.X, d.Y, d.Z}
		for i := range 3 {
			for j := range 3 {
				c[i][j] += w * v[i] * v[j] / math.Max(total, 1e-12)
			}
		}
	})
	trace := c[0][0] + c[1][1] + c[2][2]
	// The eigenvector of the greatest value of trace·1 - c is that of c's least.
	var n [4][4]float64
	for i := range 3 {
		for j := range 3 {
			n[i][j] = -c[i][j]
		}
		n[i][i] += trace
	}
	e := largestEigenvector(n)
	z := geom.V(e[0], e[1], e[2]).Unit()
	for i := range 3 {
		for j := range 3 {
			n[i][j] = c[i][j]
		}
	}
	e = largestEigenvector(n)
	x := geom.V(e[0], e[1], e[2]).Across(z).Unit()
	return [3]geom.Vec{z, z.Cross(x), x}, mid
}

// relevel turns a frame so that the tops of the teeth found lie level at height 0, and
// moves it so that they lie round the middle.
func relevel(f geom.Frame, row *archRow, cut rowCut) geom.Frame {
	prior := math.Pow(0.7/math.Tan(geom.Deg(8)), 2)
	var a [3][3]float64
	var b [3]float64
	for _, s := range cut.teeth {
		if !s.stands {
			continue
		}
		q := row.top(s.from, s.to)
		r := [3]float64{1, q.X, q.Y}
		for i := range 3 {
			for j := range 3 {
				a[i][j] += r[i] * r[j]
			}
			b[i] += r[i] * q.Z
		}
	}
	if a[0][0] < 3 {
		return f
	}
	a[1][1] += prior
	a[2][2] += prior
	p := solve3(a, b)
	up := geom.V(-p[1], -p[2], 1).Unit()
	x := geom.V(1, 0, 0).Across(up).Unit()
	return geom.Frame{Origin: f.Outer(geom.V(0, 0, p[0])), X: f.Dir(x), Y: f.Dir(up.Cross(x)), Z: f.Dir(up)}
}
