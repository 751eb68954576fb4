package cast

import (
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// archRow is the arch laid out straight: what the surface is like at every place along
// the line of the teeth, from behind the last right one to behind the last left one.
type archRow struct {
	arch   tooth.Arch
	mesh   *mesh.Mesh
	on     *Surface
	line   []geom.Vec // every rowStep, level
	mid    int        // the place on the line that is nearest to the midline
	expect [16]float64
	high   []float64 // highest surface near the line
	before []float64 // how high it reaches within a tooth and a half before here, and after
	after  []float64
	wide   []float64 // how wide what stands up is, a little below the tops nearby [mm]
	side   []float64 // how far outward of the line its middle lies [mm]
	valley []float64 // how deep a hollow runs along the line between a facial and a lingual rise [mm]
	furrow []float64 // how like a gap between two teeth it is here, 0 to 1
	rough  []float64 // how much the surface bends [1/mm]
	crown  []float64 // how much it looks like a tooth, 0 to 1
}

const rowStep = 0.25 // mm

// rowCut is a row divided among the teeth.
type rowCut struct {
	arch  tooth.Arch
	teeth [16]stretch
	cost  float64
}

type stretch struct {
	stands   bool
	from, to int
	sure     float64
}

// unroll follows the ridge of the teeth on a levelled scan whose frame is the cast frame
// but for a few millimetres.
func unroll(m *mesh.Mesh, a tooth.Arch) *archRow {
	r := &archRow{arch: a, mesh: m, on: NewSurface(m)}
	h := heightsOf(m, 0.6)
	ridge := h.ridges()
	// Average places, and how far the ridge lies beside them.
	var knots []geom.Vec
	all := tooth.All(a)
	{
		var sites []geom.Vec
		for _, n := range all {
			if n.Kind() != tooth.ThirdMolar {
				sites = append(sites, spot(n, AverageOf(n)))
			}
		}
		var near []pose
		for _, w := range []float64{0.85, 0.92, 1, 1.08, 1.16, 1.24} {
			for _, l := range []float64{0.85, 0.92, 1, 1.08, 1.16, 1.24} {
				for x := -3.0; x <= 3; x++ {
					for y := -6.0; y <= 6; y++ {
						for _, t := range []float64{-6, -3, 0, 3, 6} {
							near = append(near, pose{x, y, geom.Deg(t), w, l})
						}
					}
				}
			}
		}
		p, _ := layBest(ridge, sites, near)
		for _, n := range all {
			x, y := p.place(spot(n, AverageOf(n)))
			knots = append(knots, geom.V(x, y, 0))
		}
	}
	first := knots[0].Add(knots[0].Sub(knots[1]).Unit().Scale(12))
	last := knots[15].Add(knots[15].Sub(knots[14]).Unit().Scale(12))
	line := resampled(append(append([]geom.Vec{first}, knots...), last), 1)
	line = softLine(line, 4)
	for range 3 {
		side := make([]float64, len(line))
		weight := make([]float64, len(line))
		for i, p := range line {
			out := outwardAt(line, i, a)
			for n := -5.0; n <= 5; n += 0.5 {
				q := p.Add(out.Scale(n))
				z := ridge.at(q.X, q.Y)
				if math.IsNaN(z) || z < 0.5 {
					continue
				}
				w := z * z * math.Exp(-n*n/18)
				side[i] += w * n
				weight[i] += w
			}
		}
		next := make([]geom.Vec, len(line))
		for i := range line {
			sum, total := 0.0, 6.0
			for j := max(0, i-8); j <= min(len(line)-1, i+8); j++ {
				g := math.Exp(-float64((i-j)*(i-j)) / 18)
				sum += g * side[j]
				total += g * weight[j]
			}
			next[i] = line[i].Add(outwardAt(line, i, a).Scale(sum / total))
		}
		line = softLine(resampled(next, 1), 2)
	}
	r.line = resampled(line, rowStep)
	for i, k := range knots {
		best := math.Inf(1)
		for j, p := range r.line {
			if d := p.XY().Dist(k.XY()); d < best {
				best, r.expect[i] = d, float64(j)
			}
		}
	}
	r.mid = int(math.Round((r.expect[7] + r.expect[8]) / 2))
	r.read(h)
	return r
}

// resampled is a line with points every step.
func resampled(line []geom.Vec, step float64) []geom.Vec {
	return geom.Resample(line, max(2, int(geom.Length(line)/step)+1))
}

// softLine smooths a line, its ends fixed.
func softLine(line []geom.Vec, rounds int) []geom.Vec {
	for range rounds {
		next := slices.Clone(line)
		for i := 1; i < len(line)-1; i++ {
			next[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
		}
		line = next
	}
	return line
}

// outwardAt is the level direction from a line toward the facial.
func outwardAt(line []geom.Vec, i int, a tooth.Arch) geom.Vec {
	d := line[min(i+2, len(line)-1)].Sub(line[max(i-2, 0)]).Unit()
	out := geom.V(d.Y, -d.X, 0)
	if a == tooth.Upper {
		return out.Neg()
	}
	return out
}

// read measures the surface along the line.
func (r *archRow) read(h *heights) {
	n := len(r.line)
	r.high, r.rough, r.crown = make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range r.line {
		out := outwardAt(r.line, i, r.arch)
		top := math.Inf(-1)
		for d := -3.0; d <= 3; d += 0.5 {
			q := p.Add(out.Scale(d))
			if z := h.at(q.X, q.Y); z > top {
				top = z
			}
		}
		if math.IsInf(top, -1) {
			top = -12
		}
		r.high[i] = top
	}
	soft := slideMax(r.high, 16)
	r.readWidths()
	// Which place on the line is nearest, by cell.
	near := newNearLine(r.line, 8)
	across := mesh.EdgesOf(r.mesh).Across
	nf := len(r.mesh.Faces)
	centre, normal := make([]geom.Vec, nf), make([]geom.Vec, nf)
	for f := range r.mesh.Faces {
		a, b, c := r.mesh.Corners(f)
		centre[f] = a.Add(b).Add(c).Scale(1.0 / 3)
		normal[f] = b.Sub(a).Cross(c.Sub(a)).Unit()
	}
	up := 0.0
	for f := range centre {
		if i, d := near.of(centre[f]); i >= 0 && d < 3 && centre[f].Z > soft[i]-1 {
			up += normal[f].Z
		}
	}
	sign := 1.0
	if up < 0 {
		sign = -1
	}
	normal = evenNormals(normal, across, evenRounds(r.mesh))
	area := make([]float64, n)
	for f := range centre {
		i, d := near.of(centre[f])
		if i < 0 || d > 6.5 {
			continue
		}
		below := soft[i] - centre[f].Z
		if below > 6 {
			continue
		}
		for _, g := range across[f] {
			if g < 0 {
				continue
			}
			step := centre[g].Sub(centre[f])
			l := step.Norm()
			if l < 1e-9 {
				continue
			}
			bend := sign * normal[f].Sub(normal[g]).Dot(step) / (l * l)
			bend = math.Max(-2, math.Min(2, bend))
			a, b, c := r.mesh.Corners(f)
			size := b.Sub(a).Cross(c.Sub(a)).Norm() / 6
			if below < 3.5 && d < 4.5 {
				// The rim of a trimmed base bends too, but only outward.
				hollow, bulge := math.Min(0.8, math.Max(0, bend)), math.Min(0.8, math.Max(0, -bend))
				r.rough[i] += (1.5*hollow + 0.5*bulge) * size
				area[i] += size
			}
		}
	}
	r.rough, area = smooth(r.rough, 5), smooth(area, 5)
	for i := range r.rough {
		r.rough[i] /= math.Max(area[i], 0.02)
	}
	// Teeth bend much, gum and plaster between them about half as much; how much that is
	// depends on the scan.
	bends := slices.Clone(r.rough)
	slices.Sort(bends)
	edge := 0.55 * bends[len(bends)*3/4]
	closed := !opens(r.mesh)
	even := smooth(r.high, 3)
	level := slideMax(even, 8)
	const near12 = int(12 / rowStep)
	r.before, r.after = make([]float64, n), make([]float64, n)
	for i := range even {
		r.before[i] = slices.Max(even[max(0, i-near12) : i+1])
		r.after[i] = slices.Max(even[i:min(n, i+near12+1)])
	}
	for i := range r.crown {
		height := 1 / (1 + math.Exp(-(level[i]+3.3)/0.6))
		bent := 1 / (1 + math.Exp(-(r.rough[i]-edge)/(0.2*edge)))
		r.crown[i] = height * (0.15 + 0.85*bent)
		if r.high[i] <= -12 {
			r.crown[i] = 0
		} else if closed && r.brink(h, i) {
			r.crown[i] *= 0.3
		}
	}
}

// brink tells whether the base of a cast ends right beside the line: its trimmed edge may
// stand as high as teeth do, but no tooth stands there.
func (r *archRow) brink(h *heights, i int) bool {
	out := outwardAt(r.line, i, r.arch)
	if math.Abs(float64(i-r.mid))*rowStep < 34 {
		return false // only heels end there
	}
	for d := -5.0; d <= 5; d += 0.5 {
		q := r.line[i].Add(out.Scale(d))
		if z := h.at(q.X, q.Y); math.IsNaN(z) || z < r.high[i]-15 {
			return true
		}
	}
	return false
}

// opens tells whether a scan is a shell open to one side, or a body with a base.
func opens(m *mesh.Mesh) bool { return faced(m).Norm() > 0.05*m.Area() }

// faced is the sum of the faces' areas, each along its normal.
func faced(m *mesh.Mesh) geom.Vec {
	var sum geom.Vec
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		sum = sum.Add(b.Sub(a).Cross(c.Sub(a)).Scale(0.5))
	}
	return sum
}

// readWidths measures how wide the teeth are from facial to lingual, a little below their
// tops: molars twice as wide as incisors, and everything narrow between two crowns.
func (r *archRow) readWidths() {
	const step, reach, drop = 0.25, 40, 3.0
	h := heightsOf(r.mesh, 0.4)
	n := len(r.line)
	r.wide, r.side, r.furrow, r.valley = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	tops := slideMax(r.high, 12)
	for i, p := range r.line {
		out := outwardAt(r.line, i, r.arch)
		var z [2*reach + 1]float64
		at := -1
		for k := range z {
			q := p.Add(out.Scale(float64(k-reach) * step))
			if z[k] = h.at(q.X, q.Y); math.IsNaN(z[k]) {
				z[k] = math.Inf(-1)
			}
			if math.Abs(float64(k-reach)*step) <= 4 && (at < 0 || z[k] > z[at]) {
				at = k
			}
		}
		if z[at] < tops[i]-drop {
			continue
		}
		a, b := at, at
		for a > 0 && z[a-1] > tops[i]-drop {
			a--
		}
		for b < 2*reach && z[b+1] > tops[i]-drop {
			b++
		}
		r.wide[i] = float64(b-a+1) * step
		right := make([]float64, b-a+2)
		right[b-a+1] = math.Inf(-1)
		for k := b; k >= a; k-- {
			right[k-a] = math.Max(right[k-a+1], z[k])
		}
		left := math.Inf(-1)
		for k := a; k <= b; k++ {
			left = math.Max(left, z[k])
			r.valley[i] = math.Max(r.valley[i], math.Min(left, right[k-a])-z[k])
		}
		r.side[i] = (float64(a+b)/2 - reach) * step
	}
	r.wide = smooth(r.wide, 1)
	for i := range r.wide {
		left, right := slices.Max(r.wide[max(0, i-20):i+1]), slices.Max(r.wide[i:min(n, i+21)])
		r.furrow[i] = math.Max(0, 1-r.wide[i]/math.Max(3, math.Min(left, right)))
	}
	r.furrow = smooth(r.furrow, 1)
	peaks := slices.Clone(r.furrow)
	slices.Sort(peaks)
	full := math.Max(peaks[len(peaks)*92/100], 0.1)
	for i := range r.furrow {
		r.furrow[i] = math.Min(1.2, r.furrow[i]/full)
	}
}

// smooth is a running mean under a bell of so many steps.
func smooth(v []float64, s float64) []float64 {
	out := make([]float64, len(v))
	k := int(3 * s)
	for i := range v {
		sum, total := 0.0, 0.0
		for j := max(0, i-k); j <= min(len(v)-1, i+k); j++ {
			g := math.Exp(-float64((i-j)*(i-j)) / (2 * s * s))
			sum += g * v[j]
			total += g
		}
		out[i] = sum / total
	}
	return out
}

func slideMax(v []float64, k int) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = slices.Max(v[max(0, i-k):min(len(v), i+k+1)])
	}
	return out
}

// nearLine finds the nearest place of a level line, within a reach.
type nearLine struct {
	line []geom.Vec
	low  geom.Vec2
	nx   int
	at   []int32
	dist []float32
}

func newNearLine(line []geom.Vec, reach float64) *nearLine {
	b := geom.BoxOf(line)
	const cell = 0.25
	l := &nearLine{line: line, low: geom.Vec2{X: b.Min.X - reach, Y: b.Min.Y - reach}}
	l.nx = int((b.Size().X+2*reach)/cell) + 1
	ny := int((b.Size().Y+2*reach)/cell) + 1
	l.at, l.dist = make([]int32, l.nx*ny), make([]float32, l.nx*ny)
	for i := range l.at {
		l.at[i], l.dist[i] = -1, float32(reach)
	}
	k := int(reach / cell)
	for i, p := range line {
		x, y := int((p.X-l.low.X)/cell), int((p.Y-l.low.Y)/cell)
		for v := max(0, y-k); v <= min(ny-1, y+k); v++ {
			for u := max(0, x-k); u <= min(l.nx-1, x+k); u++ {
				d := float32(math.Hypot(l.low.X+(float64(u)+0.5)*cell-p.X, l.low.Y+(float64(v)+0.5)*cell-p.Y))
				if c := v*l.nx + u; d < l.dist[c] {
					l.dist[c], l.at[c] = d, int32(i)
				}
			}
		}
	}
	return l
}

func (l *nearLine) of(p geom.Vec) (int, float64) {
	x, y := int(math.Floor((p.X-l.low.X)*4)), int(math.Floor((p.Y-l.low.Y)*4))
	if x < 0 || y < 0 || x >= l.nx || y*l.nx+x >= len(l.at) {
		return -1, 0
	}
	c := y*l.nx + x
	return int(l.at[c]), float64(l.dist[c])
}

// split divides the row among the sixteen teeth by dynamic programming: each stands over a
// stretch about as wide as its kind, with gaps at both ends and a crown between, or is
// missing, and then its stretch is of any width and holds none.
func (r *archRow) split(gone map[tooth.Number]bool, charted bool) rowCut {
	// How large the teeth are and where the midline lies are not known either.
	var best *division
	least := math.Inf(1)
	laid := false
	try := func(scale, shift float64) { // shift in mm
		d := r.divide(scale, shift, laid, gone, charted)
		if cost := d.least() + 60*(scale-1)*(scale-1) + shift*shift/40; cost < least {
			best, least = d, cost
		}
	}
	for _, scale := range []float64{0.88, 1, 1.14} {
		for _, shift := range []float64{-7, -3.5, 0, 3.5, 7} {
			try(scale, shift)
		}
	}
	near := *best
	// Counted over a wide gap, which the line crosses on a shorter way than the teeth would
	// stand, places come out too far off: there the average arch's are better.
	laid = true
	for _, shift := range []float64{-3.5, 0, 3.5} {
		try(near.scale, shift)
	}
	laid = best.laid
	for _, more := range []float64{-0.09, -0.05, 0.05, 0.09} {
		try(near.scale+more, best.shift)
	}
	out := best.cut()
	out.cost = least
	return out
}

const (
	perCrown  = 1.6 // cost of a millimetre wrongly called tooth or gum
	perEnd    = 3.0 // gain of gaps at both ends of a tooth
	perGap    = 4.0 // cost of a millimetre of clear gap within one
	perGroove = 5.0 // cost of a groove where none belongs, or of none where one does
	perDip    = 3.0 // cost of a millimetre that it lies lower than what is beside it
	dip       = 1.5 // how much lower a tooth may lie than its neighbours on both sides [mm]
)

// standWide is how wide each kind of tooth is from facial to lingual 3 mm below its
// neighbourhood's top, by place from the midline [mm]; as measured on typodonts and on one
// scan of each arch.
var standWide = map[tooth.Arch][8]float64{
	tooth.Upper: {3, 2.8, 3.4, 7.6, 7.6, 9.6, 9.6, 9},
	tooth.Lower: {3, 3, 3.2, 5.9, 6.7, 8.3, 8.2, 8},
}

// division is a row with all that its dynamic programme knows: the least cost of what lies
// before, and of what lies after, when tooth i's stretch begins at a place.
type division struct {
	row           *archRow
	scale, shift  float64
	laid          bool // places are those of the average arch laid on the scan
	charted       bool
	gone          map[tooth.Number]bool
	crown, narrow []float64 // sums along the row
	clear, high   []float64
	valley        []float64
	grooved       float64 // how far the scan shows the back teeth's grooves, 0 to 1
	expect        [16]float64
	before, after [17]costs
}

type costs []float64

func (d *division) fill() costs {
	c := make(costs, len(d.row.line))
	for i := range c {
		c[i] = math.Inf(1)
	}
	return c
}

// least is what the best division costs.
func (d *division) least() float64 {
	least := math.Inf(1)
	for b, c := range d.before[16] {
		least = math.Min(least, c+d.after[16][b])
	}
	return least
}

func (r *archRow) divide(scale, shift float64, laid bool, gone map[tooth.Number]bool, charted bool) *division {
	n := len(r.line)
	d := &division{row: r, scale: scale, shift: shift, laid: laid, charted: charted, gone: gone, crown: make([]float64, n+1), narrow: make([]float64, n+1), clear: make([]float64, n+1), high: make([]float64, n+1), valley: make([]float64, n+1)}
	for i, c := range r.crown {
		d.crown[i+1] = d.crown[i] + (c-0.5)*rowStep
		d.clear[i+1] = d.clear[i] + math.Max(0, r.furrow[i]-0.5)*rowStep
		d.narrow[i+1] = d.narrow[i] + math.Log(math.Max(1, r.wide[i]))
		d.high[i+1] = d.high[i] + r.high[i]
		d.valley[i+1] = d.valley[i] + math.Min(2, r.valley[i])
	}
	deep := slices.Clone(r.valley)
	slices.Sort(deep)
	d.grooved = math.Max(0, math.Min(1, (deep[len(deep)*4/5]-0.3)/0.6))
	// Where the teeth stand if all do, counted from the midline.
	for side, sign := range []float64{-1, 1} {
		at := float64(r.mid) + shift/rowStep
		for k := range 8 {
			i := 7 - k
			if side == 1 {
				i = 8 + k
			}
			w := AverageOf(tooth.At(r.arch, i)).MD * scale / rowStep
			d.expect[i] = at + sign*w/2
			at += sign * w
			if laid {
				d.expect[i] = r.expect[i] + shift/rowStep
			}
		}
	}
	d.before[0], d.after[16] = d.fill(), d.fill()
	for i := range n {
		d.before[0][i] = perCrown * d.crown[i]
		d.after[16][i] = perCrown * (d.crown[n-1] - d.crown[i])
	}
	for i := range 16 {
		d.before[i+1] = d.fill()
		for b := range n {
			d.each(i, b, func(a int, stands bool, cost float64) {
				if c := d.before[i][a] + cost; c < d.before[i+1][b] {
					d.before[i+1][b] = c
				}
			})
		}
	}
	return d
}

// each gives the cost of every stretch of tooth i that ends at b.
func (d *division) each(i, b int, do func(a int, stands bool, cost float64)) {
	num := tooth.At(d.row.arch, i)
	md := AverageOf(num).MD * d.scale
	third := num.Kind() == tooth.ThirdMolar
	absent, present := 1.0, 0.0
	switch {
	case third && d.gone[num]:
		absent, present = 0, 9
	case third && d.charted:
		absent, present = 0, 1
	case third:
		absent, present = 0, 4
	case d.charted && d.gone[num]:
		absent, present = 0, 5
	case d.charted:
		absent, present = 5, 0
	}
	like := math.Log(standWide[d.row.arch][num.Place()-1] * d.scale)
	ends := perEnd / 2 * d.row.furrow[b]
	for a := max(0, b-int(1.5*md/rowStep)); a <= b; a++ {
		w := float64(b-a) * rowStep
		inside := perCrown * (d.crown[b] - d.crown[a])
		gap := absent + inside
		if !third {
			off := (w - md) / (0.45 * md)
			if w > md {
				off *= 3 // teeth close up on a gap, and seldom make way
			}
			gap += 0.3 * off * off
		}
		do(a, false, gap)
		if w < 0.55*md {
			continue
		}
		size := (w - md) / (0.11 * md)
		off := (float64(a+b)/2 - d.expect[i]) * rowStep / 3
		q := (b - a) / 4
		wide := ((d.narrow[b-q]-d.narrow[a+q])/float64(b-a-2*q) - like) / 0.25
		if wide < 0 {
			wide *= 1.25 // the rim of a base is high and narrow
		}
		// Back teeth have a groove between their cusps, front teeth and ridges have none; that
		// of a lower first premolar is shallow, and a third molar may be anything.
		valley := (d.valley[b-q] - d.valley[a+q]) / float64(b-a-2*q)
		groove := 0.0
		switch {
		case num.Kind().Anterior():
			groove = perGroove * min(2, math.Max(0, valley-0.1)/0.5)
		case !third && !(num.Kind() == tooth.FirstPremolar && num.Arch() == tooth.Lower):
			groove = 0.6 * perGroove * d.grooved * (1 - min(1, valley/0.3))
		}
		// A ridge between teeth lies lower than both.
		lower := min(d.row.before[a], d.row.after[b]) - (d.high[b-q]-d.high[a+q])/float64(b-a-2*q)
		do(a, true, present+groove+perDip*min(4, math.Max(0, lower-dip))-inside+perGap*(d.clear[b-q]-d.clear[a+q])+0.5*(size*size+off*off+min(16, wide*wide))-ends-perEnd/2*d.row.furrow[a])
	}
}

// cut follows the least cost back.
func (d *division) cut() rowCut {
	out := rowCut{arch: d.row.arch}
	n := len(d.row.line)
	end, least := 0, math.Inf(1)
	for b := range n {
		if c := d.before[16][b] + d.after[16][b]; c < least {
			least, end = c, b
		}
	}
	for i := 15; i >= 0; i-- {
		s, best := stretch{to: end}, math.Inf(1)
		d.each(i, end, func(a int, stands bool, cost float64) {
			if c := d.before[i][a] + cost; c < best {
				best, s.from, s.stands = c, a, stands
			}
		})
		out.teeth[i] = s
		end = s.from
	}
	for i := 15; i >= 0; i-- {
		d.after[i] = d.fill()
		for b := range n {
			d.each(i, b, func(a int, stands bool, cost float64) {
				if c := d.after[i+1][b] + cost; c < d.after[i][a] {
					d.after[i][a] = c
				}
			})
		}
	}
	// How sure a number is: what it would cost more to call the same place another tooth, or to
	// let this one be missing.
	other := make([][16]float64, n)
	for k := range other {
		for j := range other[k] {
			other[k][j] = math.Inf(1)
		}
	}
	var none [16]float64
	for j := range 16 {
		none[j] = math.Inf(1)
		for b := range n {
			d.each(j, b, func(a int, stands bool, cost float64) {
				c := d.before[j][a] + cost + d.after[j+1][b]
				if !stands {
					none[j] = min(none[j], c)
				} else {
					for i, s := range out.teeth {
						if mid := (s.from + s.to) / 2; s.stands && i != j && a+(b-a)/4 < mid && mid < b-(b-a)/4 {
							other[i][j] = min(other[i][j], c)
						}
					}
				}
			})
		}
	}
	for i := range out.teeth {
		s := &out.teeth[i]
		if !s.stands {
			continue
		}
		more := min(none[i], slices.Min(other[i][:])) - least
		looks := math.Min(1, 0.5+(d.crown[s.to]-d.crown[s.from])/(float64(s.to-s.from)*rowStep))
		s.sure = math.Max(0.05, looks*(1-math.Exp(-math.Max(0, more)/3)))
	}
	return out
}

// top is a place on the crown over a stretch: the middle of what stands up.
func (r *archRow) top(from, to int) geom.Vec {
	mid := (from + to) / 2
	sum, total := 0.0, 0.0
	for i := from + (to-from)/5; i <= to-(to-from)/5; i++ {
		sum, total = sum+r.wide[i]*r.side[i], total+r.wide[i]
	}
	p := r.line[mid]
	if total > 0 {
		p = p.Add(outwardAt(r.line, mid, r.arch).Scale(sum / total))
	}
	if q, _, ok := r.on.Top(p.X, p.Y); ok {
		return q
	}
	q, _ := r.on.Nearest(p)
	return q
}

// lookUp is +1 where the face under a point looks up, -1 where it looks down.
func (r *archRow) lookUp(p geom.Vec) float64 {
	_, f := r.on.Nearest(p)
	if f < 0 {
		return 0
	}
	a, b, c := r.mesh.Corners(f)
	return b.Sub(a).Cross(c.Sub(a)).Unit().Z
}
