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
	furrow []float64 // how much furrow runs up and down across the line here, 0 to 1
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
		p, _ := layNear(ridge, sites)
		for _, n := range all {
			x, y := p.place(spot(n, AverageOf(n)))
			knots = append(knots, geom.V(x, y, 0))
		}
	}
	first := knots[0].Add(knots[0].Sub(knots[1]).Unit().Scale(8))
	last := knots[15].Add(knots[15].Sub(knots[14]).Unit().Scale(8))
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

// layNear lays sites on a map near where the frame says they are.
func layNear(h *heights, sites []geom.Vec) (pose, float64) {
	best, top := pose{0, 0, 0, 1, 1}, math.Inf(-1)
	score := func(p pose) float64 {
		sum := 0.0
		for _, q := range sites {
			x, y := p.place(q)
			z := h.at(x, y)
			if math.IsNaN(z) {
				z = -3
			}
			sum += z
		}
		return sum/float64(len(sites)) - 6*(p.wide-1)*(p.wide-1) - 6*(p.long-1)*(p.long-1) - 3*(p.wide-p.long)*(p.wide-p.long)
	}
	for _, w := range []float64{0.85, 0.92, 1, 1.08, 1.16, 1.24} {
		for _, l := range []float64{0.85, 0.92, 1, 1.08, 1.16, 1.24} {
			for x := -3.0; x <= 3; x++ {
				for y := -6.0; y <= 6; y++ {
					for _, t := range []float64{-6, -3, 0, 3, 6} {
						p := pose{x, y, geom.Deg(t), w, l}
						if s := score(p); s > top {
							best, top = p, s
						}
					}
				}
			}
		}
	}
	return best, top
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
	r.high, r.furrow, r.rough, r.crown = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
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
	normal = evenNormals(normal, across, 1)
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
		t := r.line[min(i+1, n-1)].Sub(r.line[max(i-1, 0)]).Unit()
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
			along := step.Dot(t) / l
			if bend > 0.1 && math.Abs(normal[f].Z) < 0.85 {
				r.furrow[i] += bend * along * along * size
			}
		}
	}
	r.furrow = smooth(r.furrow, 2)
	r.rough, area = smooth(r.rough, 5), smooth(area, 5)
	peaks := slices.Clone(r.furrow)
	slices.Sort(peaks)
	full := math.Max(peaks[len(peaks)*92/100], 1e-9)
	for i := range r.furrow {
		r.furrow[i] = math.Min(1.2, r.furrow[i]/full)
		r.rough[i] /= math.Max(area[i], 0.02)
	}
	level := slideMax(smooth(r.high, 3), 8)
	for i := range r.crown {
		height := 1 / (1 + math.Exp(-(level[i]+3.6)/0.6))
		bent := 1 / (1 + math.Exp(-(r.rough[i]-0.16)/0.03))
		r.crown[i] = height * (0.15 + 0.85*bent)
		if r.high[i] <= -12 {
			r.crown[i] = 0
		}
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
// stretch about as wide as its kind, with furrows at both ends and a crown between, or is
// missing, and then its stretch is of any width and holds none.
func (r *archRow) split(gone map[tooth.Number]bool, charted bool) rowCut {
	best := rowCut{cost: math.Inf(1)}
	for _, scale := range []float64{0.82, 0.88, 0.94, 1, 1.06, 1.12, 1.18, 1.24} {
		c := r.splitAt(scale, gone, charted)
		c.cost += 60 * (scale - 1) * (scale - 1)
		if c.cost < best.cost {
			best = c
		}
	}
	return best
}

func (r *archRow) splitAt(scale float64, gone map[tooth.Number]bool, charted bool) rowCut {
	n := len(r.line)
	sum := make([]float64, n+1) // of what speaks for a crown
	for i, c := range r.crown {
		sum[i+1] = sum[i] + (c-0.5)*rowStep
	}
	inside := func(a, b int) float64 { return sum[b] - sum[a] }
	const (
		perCrown = 1.6 // cost of a millimetre wrongly called tooth or gum
		perEnd   = 2.2 // gain of a furrow at an end of a tooth
	)
	// Where the teeth stand if all do, counted from the midline.
	var expect [16]float64
	for side, sign := range []float64{-1, 1} {
		at := float64(r.mid)
		for k := range 8 {
			i := 7 - k
			if side == 1 {
				i = 8 + k
			}
			w := AverageOf(tooth.At(r.arch, i)).MD * scale / rowStep
			expect[i] = at + sign*w/2
			at += sign * w
		}
	}
	cost := make([]float64, n)
	type from struct {
		at     int32
		stands bool
	}
	back := make([][]from, 16)
	for i := range cost {
		cost[i] = perCrown * inside(0, i)
	}
	for i := range 16 {
		num := tooth.At(r.arch, i)
		md := AverageOf(num).MD * scale
		third := num.Kind() == tooth.ThirdMolar
		absent, present := 2.0, 0.0
		switch {
		case third && gone[num]:
			absent, present = 0, 6
		case third:
			absent, present = 0, 4
		case charted && gone[num]:
			absent, present = 0, 5
		case charted:
			absent, present = 5, 0
		}
		next := make([]float64, n)
		back[i] = make([]from, n)
		for b := range next {
			next[b] = math.Inf(1)
			lo := max(0, b-int(1.5*md/rowStep))
			for a := lo; a <= b; a++ {
				w := float64(b-a) * rowStep
				gap := cost[a] + absent + perCrown*inside(a, b)
				d := (w - md) / (0.45 * md)
				if w < md || !third {
					gap += 0.5 * d * d * 0.6
				}
				if third {
					gap = cost[a] + absent + perCrown*inside(a, b)
				}
				if gap < next[b] {
					next[b], back[i][b] = gap, from{int32(a), false}
				}
				if w < 0.55*md || b >= n {
					continue
				}
				d = (w - md) / (0.11 * md)
				off := (float64(a+b)/2 - expect[i]) * rowStep / 4
				c := cost[a] + present - perCrown*inside(a, b) + 0.5*d*d + 0.5*off*off - perEnd/2*(r.furrow[a]+r.furrow[b])
				if c < next[b] {
					next[b], back[i][b] = c, from{int32(a), true}
				}
			}
		}
		cost = next
	}
	out := rowCut{arch: r.arch, cost: math.Inf(1)}
	end := 0
	for b := range cost {
		if c := cost[b] + perCrown*inside(b, n-1); c < out.cost {
			out.cost, end = c, b
		}
	}
	for i := 15; i >= 0; i-- {
		f := back[i][end]
		s := stretch{stands: f.stands, from: int(f.at), to: end}
		if s.stands {
			w := float64(s.to-s.from) * rowStep
			md := AverageOf(tooth.At(r.arch, i)).MD * scale
			d := (w - md) / (0.2 * md)
			looks := 0.5 + inside(s.from, s.to)/w
			ends := math.Min(1, (r.furrow[s.from]+r.furrow[s.to])/2)
			s.sure = math.Max(0.05, math.Min(1, looks*math.Exp(-0.5*d*d)*(0.6+0.4*ends)))
		}
		out.teeth[i] = s
		end = int(f.at)
	}
	return out
}

// top is a place on the crown over a stretch: the middle of what stands high.
func (r *archRow) top(from, to int) geom.Vec {
	mid := (from + to) / 2
	half := float64(to-from) * rowStep / 2
	high := math.Inf(-1)
	type spotOn struct {
		p geom.Vec
		w float64
	}
	var seen []spotOn
	for i := from + (to-from)/5; i <= to-(to-from)/5; i++ {
		if (i-mid)%2 != 0 {
			continue
		}
		out := outwardAt(r.line, i, r.arch)
		for d := -4.0; d <= 4; d += 0.5 {
			q := r.line[i].Add(out.Scale(d))
			if p, _, ok := r.on.Top(q.X, q.Y); ok {
				along := float64(i-mid) * rowStep / math.Max(half, 1)
				seen = append(seen, spotOn{p, math.Exp(-along * along)})
				high = math.Max(high, p.Z)
			}
		}
	}
	var sum geom.Vec
	total := 0.0
	for _, s := range seen {
		if w := s.w * math.Exp(-(high-s.p.Z)/0.7); s.p.Z > high-2.5 {
			sum, total = sum.Add(s.p.Scale(w)), total+w
		}
	}
	if total == 0 {
		p := r.line[mid]
		q, _ := r.on.Nearest(p)
		return q
	}
	p := sum.Scale(1 / total)
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
