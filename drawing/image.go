package drawing

import (
	"math"
	"sort"

	"halfpear/geom"
)

// blur smooths a grid with a bell of standard deviation sigma [cells].
func blur(g []float32, nx, ny int, sigma float64) []float32 {
	r := int(math.Ceil(2.5 * sigma))
	k := make([]float32, 2*r+1)
	sum := float32(0)
	for i := range k {
		d := float64(i - r)
		k[i] = float32(math.Exp(-d * d / 2 / sigma / sigma))
		sum += k[i]
	}
	for i := range k {
		k[i] /= sum
	}
	tmp, out := make([]float32, len(g)), make([]float32, len(g))
	for y := range ny {
		row, to := g[y*nx:(y+1)*nx], tmp[y*nx:(y+1)*nx]
		for x := range nx {
			s := float32(0)
			for i, w := range k {
				s += w * row[min(nx-1, max(0, x+i-r))]
			}
			to[x] = s
		}
	}
	for y := range ny {
		to := out[y*nx : (y+1)*nx]
		for i, w := range k {
			from := tmp[min(ny-1, max(0, y+i-r))*nx:]
			for x := range nx {
				to[x] += w * from[x]
			}
		}
	}
	return out
}

// march gives the closed lines along which a grid has a value. Lines that leave the grid
// are closed along it, so the grid should have a border below the value.
func march(g []float32, nx, ny int, value float32, place func(x, y float64) geom.Vec2) [][]geom.Vec2 {
	type node struct{ x, y, dir int } // edge from (x,y) to its right (0) or upper (1) neighbour
	cross := func(n node) geom.Vec2 {
		a := g[n.y*nx+n.x]
		x, y := float64(n.x), float64(n.y)
		if n.dir == 0 {
			return place(x+float64((value-a)/(g[n.y*nx+n.x+1]-a)), y)
		}
		return place(x, y+float64((value-a)/(g[(n.y+1)*nx+n.x]-a)))
	}
	next := map[node]node{}
	var order []node
	for y := 0; y+1 < ny; y++ {
		for x := 0; x+1 < nx; x++ {
			c := [4]bool{g[y*nx+x] > value, g[y*nx+x+1] > value, g[(y+1)*nx+x+1] > value, g[(y+1)*nx+x] > value}
			e := [4]node{{x, y, 0}, {x + 1, y, 1}, {x, y + 1, 0}, {x, y, 1}}
			// Each edge where a corner inside is followed by one outside (counter-
			// clockwise) begins a line that leaves by the next edge going the other way.
			for i := range 4 {
				if !c[i] || c[(i+1)%4] {
					continue
				}
				for k := 1; k < 4; k++ {
					j := (i + k) % 4
					if !c[j] && c[(j+1)%4] {
						next[e[i]] = e[j]
						order = append(order, e[i])
						break
					}
				}
			}
		}
	}
	used := map[node]bool{}
	var out [][]geom.Vec2
	for _, s := range order {
		var line []geom.Vec2
		for n := s; !used[n]; {
			used[n] = true
			line = append(line, cross(n))
			to, ok := next[n]
			if !ok {
				break
			}
			n = to
		}
		if len(line) > 3 {
			out = append(out, line)
		}
	}
	return out
}

// furrows gives the lines along which a height field is furrowed most: where its
// curvature across is concave, greatest across the line, and above least [1/mm]. Only
// places that pass are looked at. Heights and the curvature are in millimetres.
func furrows(h []float32, nx, ny int, cell float64, least float64, pass func(k int) bool) [][]geom.Vec2 {
	type mark struct {
		x, y   float64 // grid coordinates
		tx, ty float64 // along the furrow
		depth  float64
		used   bool
	}
	marks := map[int]*mark{}
	curve := make([]float32, nx*ny)
	dirX, dirY := make([]float32, nx*ny), make([]float32, nx*ny)
	at := func(x, y int) float64 { return float64(h[y*nx+x]) }
	for y := 1; y+1 < ny; y++ {
		for x := 1; x+1 < nx; x++ {
			k := y*nx + x
			if !pass(k) {
				continue
			}
			s := 1 / cell / cell
			xx := (at(x+1, y) - 2*at(x, y) + at(x-1, y)) * s
			yy := (at(x, y+1) - 2*at(x, y) + at(x, y-1)) * s
			xy := (at(x+1, y+1) - at(x-1, y+1) - at(x+1, y-1) + at(x-1, y-1)) * s / 4
			mean, diff := (xx+yy)/2, (xx-yy)/2
			root := math.Hypot(diff, xy)
			curve[k] = float32(mean + root)
			a := math.Atan2(xy, diff) / 2 // direction of greatest curvature
			dirX[k], dirY[k] = float32(math.Cos(a)), float32(math.Sin(a))
		}
	}
	for y := 2; y+2 < ny; y++ {
		for x := 2; x+2 < nx; x++ {
			k := y*nx + x
			c := float64(curve[k])
			if c < least {
				continue
			}
			dx, dy := float64(dirX[k]), float64(dirY[k])
			fore, aft := sample(curve, nx, float64(x)+dx, float64(y)+dy), sample(curve, nx, float64(x)-dx, float64(y)-dy)
			if fore > c || aft >= c {
				continue
			}
			shift := 0.0
			if den := fore - 2*c + aft; den < 0 {
				shift = math.Max(-0.5, math.Min(0.5, (aft-fore)/2/den))
			}
			marks[k] = &mark{x: float64(x) + shift*dx, y: float64(y) + shift*dy, tx: -dy, ty: dx, depth: c}
		}
	}
	keys := make([]int, 0, len(marks))
	for k := range marks {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		if a, b := marks[keys[i]].depth, marks[keys[j]].depth; a != b {
			return a > b
		}
		return keys[i] < keys[j]
	})
	// Grow each line both ways from its deepest mark, always to the neighbour most nearly
	// straight ahead.
	grow := func(k int, tx, ty float64) []geom.Vec2 {
		var line []geom.Vec2
		for {
			m := marks[k]
			best, to := 0.5, -1
			for dy := -2; dy <= 2; dy++ {
				for dx := -2; dx <= 2; dx++ {
					j := k + dy*nx + dx
					q, ok := marks[j]
					if !ok || q.used || j == k {
						continue
					}
					ax, ay := q.x-m.x, q.y-m.y
					d := math.Hypot(ax, ay)
					if d == 0 {
						continue
					}
					if straight := (ax*tx + ay*ty) / d; straight/math.Sqrt(d) > best*0.9 && straight > 0.5 {
						if score := straight / math.Sqrt(d); score > best {
							best, to = score, j
						}
					}
				}
			}
			if to < 0 {
				return line
			}
			q := marks[to]
			q.used = true
			ux, uy := q.x-m.x, q.y-m.y
			d := math.Hypot(ux, uy)
			tx, ty = ux/d, uy/d
			if q.tx*tx+q.ty*ty < 0 {
				q.tx, q.ty = -q.tx, -q.ty
			}
			tx, ty = (tx+q.tx)/2, (ty+q.ty)/2
			n := math.Hypot(tx, ty)
			if n > 0 {
				tx, ty = tx/n, ty/n
			}
			line = append(line, geom.Vec2{X: q.x, Y: q.y})
			k = to
		}
	}
	var out [][]geom.Vec2
	for _, k := range keys {
		m := marks[k]
		if m.used {
			continue
		}
		m.used = true
		fore := grow(k, m.tx, m.ty)
		aft := grow(k, -m.tx, -m.ty)
		line := make([]geom.Vec2, 0, len(fore)+len(aft)+1)
		for i := len(aft) - 1; i >= 0; i-- {
			line = append(line, aft[i])
		}
		line = append(append(line, geom.Vec2{X: m.x, Y: m.y}), fore...)
		out = append(out, smooth(line, 3))
	}
	return out
}

func sample(g []float32, nx int, x, y float64) float64 {
	i, j := int(math.Floor(x)), int(math.Floor(y))
	u, v := x-float64(i), y-float64(j)
	k := j*nx + i
	return (float64(g[k])*(1-u)+float64(g[k+1])*u)*(1-v) + (float64(g[k+nx])*(1-u)+float64(g[k+nx+1])*u)*v
}

// smooth moves each inner point of an open line toward its neighbours, some times over.
func smooth(line []geom.Vec2, times int) []geom.Vec2 {
	for range times {
		out := append([]geom.Vec2(nil), line...)
		for i := 1; i+1 < len(line); i++ {
			out[i] = line[i].Scale(0.5).Add(line[i-1].Add(line[i+1]).Scale(0.25))
		}
		line = out
	}
	return line
}
