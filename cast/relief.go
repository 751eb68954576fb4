package cast

import (
	"cmp"
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// relief is a crown seen along its own axis: how high its surface reaches over a fine grid
// across the crown, in the crown's frame. It is evened over a fifth of a millimetre, less
// than the finest mark is wide and more than a scanner's noise.
type relief struct {
	frame  geom.Frame
	low    geom.Vec2
	nx, ny int
	z      []float64 // NaN beside the crown
	base   float64   // the lowest of it
}

const (
	reliefCell = 0.15 // mm
	reliefSoft = 0.2  // mm
)

func newRelief(m *mesh.Mesh, faces []int32, f geom.Frame) *relief {
	corner := make([][3]geom.Vec, len(faces))
	lo, hi := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for i, k := range faces {
		a, b, c := m.Corners(int(k))
		corner[i] = [3]geom.Vec{f.Local(a), f.Local(b), f.Local(c)}
		for _, q := range corner[i] {
			lo = geom.Vec2{X: math.Min(lo.X, q.X), Y: math.Min(lo.Y, q.Y)}
			hi = geom.Vec2{X: math.Max(hi.X, q.X), Y: math.Max(hi.Y, q.Y)}
		}
	}
	r := &relief{frame: f, low: lo, nx: int((hi.X-lo.X)/reliefCell) + 1, ny: int((hi.Y-lo.Y)/reliefCell) + 1}
	raw := make([]float64, r.nx*r.ny)
	for i := range raw {
		raw[i] = math.NaN()
	}
	for _, t := range corner {
		a, b, c := t[0], t[1], t[2]
		area := b.XY().Sub(a.XY()).Cross(c.XY().Sub(a.XY()))
		if area == 0 {
			continue
		}
		x0, x1 := r.column(min(a.X, b.X, c.X)), r.column(max(a.X, b.X, c.X))
		y0, y1 := r.row(min(a.Y, b.Y, c.Y)), r.row(max(a.Y, b.Y, c.Y))
		for j := y0; j <= y1; j++ {
			for i := x0; i <= x1; i++ {
				o := geom.Vec2{X: r.x(i), Y: r.y(j)}
				u := b.XY().Sub(o).Cross(c.XY().Sub(o)) / area
				v := c.XY().Sub(o).Cross(a.XY().Sub(o)) / area
				if u < 0 || v < 0 || u+v > 1 {
					continue
				}
				if z := u*a.Z + v*b.Z + (1-u-v)*c.Z; math.IsNaN(raw[j*r.nx+i]) || z > raw[j*r.nx+i] {
					raw[j*r.nx+i] = z
				}
			}
		}
	}
	r.z = r.even(raw)
	r.base = math.Inf(1)
	for _, z := range r.z {
		if !math.IsNaN(z) {
			r.base = math.Min(r.base, z)
		}
	}
	return r
}

// even smooths a grid under a bell; cells beside the crown stay out of it.
func (r *relief) even(raw []float64) []float64 {
	const k = 3 // cells: two and a half times its width
	var bell [2*k + 1]float64
	for i := range bell {
		d := float64(i-k) * reliefCell / reliefSoft
		bell[i] = math.Exp(-d * d / 2)
	}
	out := make([]float64, len(raw))
	for j := range r.ny {
		for i := range r.nx {
			at := j*r.nx + i
			if out[at] = raw[at]; math.IsNaN(raw[at]) {
				continue
			}
			sum, total := raw[at], 1.0
			for v := max(0, j-k); v <= min(r.ny-1, j+k); v++ {
				for u := max(0, i-k); u <= min(r.nx-1, i+k); u++ {
					// Only with the place opposite: else a slope at the border would be
					// lifted.
					p, q := 2*i-u, 2*j-v
					if p < 0 || q < 0 || p >= r.nx || q >= r.ny || u == i && v == j {
						continue
					}
					if z := raw[v*r.nx+u] + raw[q*r.nx+p]; !math.IsNaN(z) {
						w := bell[u-i+k] * bell[v-j+k]
						sum, total = sum+w*z/2, total+w
					}
				}
			}
			out[at] = sum / total
		}
	}
	return out
}

func (r *relief) column(x float64) int {
	return max(0, min(r.nx-1, int((x-r.low.X)/reliefCell)))
}
func (r *relief) row(y float64) int { return max(0, min(r.ny-1, int((y-r.low.Y)/reliefCell))) }

func (r *relief) x(i int) float64 { return r.low.X + (float64(i)+0.5)*reliefCell }
func (r *relief) y(j int) float64 { return r.low.Y + (float64(j)+0.5)*reliefCell }

// at is the height over a place of the crown's frame; NaN beside the crown.
func (r *relief) at(x, y float64) float64 {
	i, j := int(math.Floor((x-r.low.X)/reliefCell)), int(math.Floor((y-r.low.Y)/reliefCell))
	if i < 0 || j < 0 || i >= r.nx || j >= r.ny {
		return math.NaN()
	}
	return r.z[j*r.nx+i]
}

// peak is a place higher than all round it, in the crown's frame.
type peak struct {
	at geom.Vec

	// stands is how far one must go down from it before a higher place can be reached.
	stands float64
}

// peaks lists the peaks of a relief, those that stand out most first. A place at the
// crown's border is none: there the crown was cut, and what lies beyond is not seen.
func (r *relief) peaks() []peak {
	var order []int32
	for i, z := range r.z {
		if !math.IsNaN(z) {
			order = append(order, int32(i))
		}
	}
	slices.SortFunc(order, func(a, b int32) int {
		if c := cmp.Compare(r.z[b], r.z[a]); c != 0 {
			return c
		}
		return cmp.Compare(a, b)
	})
	// Cells join the hill they touch, from the top down; where two hills meet, the lower
	// one's peak stands out by what lies between it and the pass.
	hill := make([]int32, len(r.z))
	for i := range hill {
		hill[i] = -1
	}
	root := func(i int32) int32 {
		for hill[i] != i {
			hill[i] = hill[hill[i]]
			i = hill[i]
		}
		return i
	}
	var out []peak
	done := func(top int32, pass float64) {
		i, j := int(top)%r.nx, int(top)/r.nx
		const rim = 3 // cells
		for v := j - rim; v <= j+rim; v++ {
			for u := i - rim; u <= i+rim; u++ {
				if u < 0 || v < 0 || u >= r.nx || v >= r.ny || math.IsNaN(r.z[v*r.nx+u]) {
					return
				}
			}
		}
		if s := r.z[top] - pass; s > 0 {
			out = append(out, peak{geom.V(r.x(i), r.y(j), r.z[top]), s})
		}
	}
	for _, c := range order {
		hill[c] = c // roots are peaks: the first, highest cell of each hill
		i, j := int(c)%r.nx, int(c)/r.nx
		for v := max(0, j-1); v <= min(r.ny-1, j+1); v++ {
			for u := max(0, i-1); u <= min(r.nx-1, i+1); u++ {
				n := int32(v*r.nx + u)
				if n == c || hill[n] < 0 {
					continue
				}
				a, b := root(n), root(c)
				if a == b {
					continue
				}
				if r.z[a] < r.z[b] || r.z[a] == r.z[b] && a > b {
					a, b = b, a
				}
				if b != c {
					done(b, r.z[c])
				}
				hill[b] = a
			}
		}
	}
	if len(order) > 0 {
		done(root(order[0]), r.base)
	}
	slices.SortStableFunc(out, func(a, b peak) int { return cmp.Compare(b.stands, a.stands) })
	return out
}

// saddle is the middle of a marginal ridge: along the crown it is the highest place
// between fossa and contact, across the crown the lowest between the cusps.
type saddle struct {
	at     geom.Vec
	rises  float64 // above the lowest place between it and the middle of the crown
	dips   float64 // below the ridge's ends
	traced bool    // a ridge was found by its form; else it is laid where one is expected
}

// marginal follows the ridge line of a side (+1 mesial, -1 distal) from one row of cusps
// to the other. Mid and half are the crown's middle and half its width along x.
func (r *relief) marginal(side, mid, half, lingual, facial float64) saddle {
	from, to := lingual+0.2*(facial-lingual), facial-0.2*(facial-lingual)
	type crossing struct {
		at    geom.Vec
		rises float64
	}
	var line []crossing
	for j := r.row(from); j <= r.row(to); j++ {
		y := r.y(j)
		// Out from the middle of the crown: the highest place that has fallen on both sides.
		floor := math.Inf(1)
		best := crossing{rises: -1}
		var zs, xs []float64
		for t := 0.2; t <= 1.2; t += reliefCell / half / 2 {
			x := mid + side*t*half
			z := r.at(x, y)
			if math.IsNaN(z) {
				break
			}
			zs, xs = append(zs, z), append(xs, x)
		}
		for i, z := range zs {
			floor = math.Min(floor, z)
			t := (xs[i] - mid) * side / half
			if t < 0.55 || i == 0 || i == len(zs)-1 || z < zs[i-1] || z < zs[i+1] {
				continue
			}
			if z-slices.Min(zs[i:]) < 0.15 {
				continue // it does not fall toward the contact
			}
			if k := z - floor; k > best.rises {
				best = crossing{geom.V(xs[i], y, z), k}
			}
		}
		if best.rises > 0.03 {
			line = append(line, best)
		}
	}
	centre := (from + to) / 2
	if len(line) == 0 || float64(len(line)) < 0.4*(to-from)/reliefCell {
		at := geom.V(mid, centre, r.base)
		for t := 0.8; t > 0.3; t -= 0.05 { // as far out as the crown goes here
			if z := r.at(mid+t*half*side, centre); !math.IsNaN(z) {
				at = geom.V(mid+t*half*side, centre, z)
				break
			}
		}
		return saddle{at: at}
	}
	// The lowest place of the line; where it runs level, its middle.
	low := slices.MinFunc(line, func(a, b crossing) int {
		return cmp.Compare(a.at.Z+0.04*math.Pow(a.at.Y-centre, 2), b.at.Z+0.04*math.Pow(b.at.Y-centre, 2))
	})
	left, right := low.at.Z, low.at.Z
	for _, c := range line {
		if c.at.Y < low.at.Y {
			left = math.Max(left, c.at.Z)
		} else {
			right = math.Max(right, c.at.Z)
		}
	}
	return saddle{at: low.at, rises: low.rises, dips: math.Min(left, right) - low.at.Z, traced: true}
}

// fossa is the deepest place between the crown's middle and a marginal ridge, and how far
// it lies below that ridge.
func (r *relief) fossa(side, mid, half, lingual, facial float64, ridge saddle) (geom.Vec, float64) {
	centre, wide := (lingual+facial)/2, facial-lingual
	lim := 0.7
	if ridge.traced {
		lim = (ridge.at.X - mid) * side / half
	}
	best, at := math.Inf(1), ridge.at
	for j := r.row(centre - 0.25*wide); j <= r.row(centre+0.25*wide); j++ {
		for t := 0.25 * lim; t < lim; t += reliefCell / half {
			x := mid + side*t*half
			if z := r.at(x, r.y(j)); z < best {
				best, at = z, geom.V(x, r.y(j), z)
			}
		}
	}
	return at, ridge.at.Z - at.Z
}
