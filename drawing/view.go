package drawing

import (
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/sheet"
)

// view is a mesh seen from far away: a frame whose X runs right, Y up and Z toward the
// eye, and how near the surface is at each place of a grid.
type view struct {
	frame  geom.Frame
	cell   float64 // [mm]
	x0, y0 float64 // the grid's corner, in the frame
	nx, ny int
	near   []float32 // Z of the nearest surface; -Inf where there is none
	face   []int32   // which face that is; -1
}

var never = float32(math.Inf(-1))

// look draws the faces (all of them where faces is nil) into the view's grid.
func look(m *mesh.Mesh, faces []int32, frame geom.Frame, cell float64) *view {
	v := &view{frame: frame, cell: cell}
	local := make([]geom.Vec, 0, 0)
	each := func(do func(face int32)) {
		if faces == nil {
			for i := range m.Faces {
				do(int32(i))
			}
			return
		}
		for _, i := range faces {
			do(i)
		}
	}
	local = make([]geom.Vec, len(m.Vertices))
	known := make([]bool, len(m.Vertices))
	lo, hi := geom.V(math.Inf(1), math.Inf(1), 0), geom.V(math.Inf(-1), math.Inf(-1), 0)
	each(func(i int32) {
		for _, k := range m.Faces[i] {
			if known[k] {
				continue
			}
			known[k] = true
			p := frame.Local(m.Vertices[k])
			local[k] = p
			lo.X, lo.Y = math.Min(lo.X, p.X), math.Min(lo.Y, p.Y)
			hi.X, hi.Y = math.Max(hi.X, p.X), math.Max(hi.Y, p.Y)
		}
	})
	if lo.X > hi.X {
		return v
	}
	const rim = 3 // empty cells round the mesh
	v.x0, v.y0 = lo.X-rim*cell, lo.Y-rim*cell
	v.nx, v.ny = int((hi.X-lo.X)/cell)+2*rim+1, int((hi.Y-lo.Y)/cell)+2*rim+1
	v.near = make([]float32, v.nx*v.ny)
	v.face = make([]int32, v.nx*v.ny)
	for i := range v.near {
		v.near[i], v.face[i] = never, -1
	}
	each(func(i int32) {
		f := m.Faces[i]
		v.paint(i, local[f[0]], local[f[1]], local[f[2]])
	})
	return v
}

// paint draws one triangle. Cells are sampled at their middles.
func (v *view) paint(id int32, a, b, c geom.Vec) {
	area := (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X)
	if area == 0 {
		return
	}
	s := v.cell
	i0, i1 := int(math.Ceil((min(a.X, b.X, c.X)-v.x0)/s-0.5)), int((max(a.X, b.X, c.X)-v.x0)/s-0.5)
	j0, j1 := int(math.Ceil((min(a.Y, b.Y, c.Y)-v.y0)/s-0.5)), int((max(a.Y, b.Y, c.Y)-v.y0)/s-0.5)
	for j := max(0, j0); j <= min(v.ny-1, j1); j++ {
		y := v.y0 + (float64(j)+0.5)*s
		for i := max(0, i0); i <= min(v.nx-1, i1); i++ {
			x := v.x0 + (float64(i)+0.5)*s
			wa := ((b.X-x)*(c.Y-y) - (b.Y-y)*(c.X-x)) / area
			wb := ((c.X-x)*(a.Y-y) - (c.Y-y)*(a.X-x)) / area
			wc := 1 - wa - wb
			const slack = -1e-9
			if wa < slack || wb < slack || wc < slack {
				continue
			}
			z := float32(wa*a.Z + wb*b.Z + wc*c.Z)
			if k := j*v.nx + i; z > v.near[k] {
				v.near[k], v.face[k] = z, id
			}
		}
	}
}

// at is the grid's place of a point of the frame; ok is false outside it.
func (v *view) at(p geom.Vec2) (int, bool) {
	i, j := int(math.Floor((p.X-v.x0)/v.cell)), int(math.Floor((p.Y-v.y0)/v.cell))
	if i < 0 || j < 0 || i >= v.nx || j >= v.ny {
		return 0, false
	}
	return j*v.nx + i, true
}

// seen tells whether a point on or near the surface, given in the outer frame, is seen:
// whether some place within a cell of it is no nearer to the eye, but for slack.
func (v *view) seen(p geom.Vec, slack float64) bool {
	q := v.frame.Local(p)
	i, j := int(math.Floor((q.X-v.x0)/v.cell)), int(math.Floor((q.Y-v.y0)/v.cell))
	for dj := -1; dj <= 1; dj++ {
		for di := -1; di <= 1; di++ {
			x, y := i+di, j+dj
			if x < 0 || y < 0 || x >= v.nx || y >= v.ny || float64(v.near[y*v.nx+x]) <= q.Z+slack {
				return true
			}
		}
	}
	return false
}

// seenBeside is seen for a point on a contour, where the surface turns away from the eye:
// it asks a little outside the surface, along its normal.
func (v *view) seenBeside(p, normal geom.Vec) bool {
	q := v.frame.Local(p)
	n := v.frame.LocalDir(normal)
	out := geom.Vec2{X: n.X, Y: n.Y}.Unit().Scale(1.6 * v.cell)
	k, ok := v.at(geom.Vec2{X: q.X, Y: q.Y}.Add(out))
	return !ok || float64(v.near[k]) <= q.Z+0.1
}

// flat is a point in the view's plane.
func (v *view) flat(p geom.Vec) geom.Vec2 { return v.frame.Local(p).XY() }

// runs cuts a line into the stretches whose points pass a test, in the view's plane. A
// gap of a point or two within a stretch is closed, and specks are left out.
func (v *view) runs(c chain, pass func(i int) bool) [][]geom.Vec2 {
	n := len(c.points)
	ok := make([]bool, n)
	all := true
	for i := range ok {
		ok[i] = pass(i)
		all = all && ok[i]
	}
	const bridge = 2
	for i := range ok {
		if ok[i] {
			continue
		}
		j := i
		for j < n && !ok[j] {
			j++
		}
		if i > 0 && j < n && j-i <= bridge {
			for ; i < j; i++ {
				ok[i] = true
			}
		}
	}
	start := 0
	if c.closed {
		if all {
			line := make([]geom.Vec2, 0, n+1)
			for _, p := range c.points {
				line = append(line, v.flat(p))
			}
			return [][]geom.Vec2{append(line, line[0])}
		}
		for start < n && ok[start] { // begin behind a gap, so that no stretch is cut in two
			start++
		}
		if start == n {
			start = 0
		}
	}
	var out [][]geom.Vec2
	var run []geom.Vec2
	end := func() {
		if len(run) > 1 && lengthOf(run) > 0.4 {
			out = append(out, run)
		}
		run = nil
	}
	for k := range n {
		i := (start + k) % n
		if ok[i] {
			run = append(run, v.flat(c.points[i]))
		} else {
			end()
		}
	}
	end()
	return out
}

func lengthOf(l []geom.Vec2) float64 {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += l[i].Dist(l[i-1])
	}
	return sum
}

// surfaceRuns is the stretches of a line on the surface that are seen.
func (v *view) surfaceRuns(points []geom.Vec, closed bool, slack float64) [][]geom.Vec2 {
	return v.runs(chain{fine(points, closed, 2*v.cell), closed}, nil2seen(v, fine(points, closed, 2*v.cell), slack))
}

func nil2seen(v *view, points []geom.Vec, slack float64) func(int) bool {
	return func(i int) bool { return v.seen(points[i], slack) }
}

// fine puts points between those of a line that are far apart.
func fine(points []geom.Vec, closed bool, apart float64) []geom.Vec {
	out := make([]geom.Vec, 0, len(points))
	for i, p := range points {
		out = append(out, p)
		j := i + 1
		if j == len(points) {
			if !closed {
				break
			}
			j = 0
		}
		n := int(p.Dist(points[j]) / apart)
		for k := 1; k <= n; k++ {
			out = append(out, p.Lerp(points[j], float64(k)/float64(n+1)))
		}
	}
	return out
}

// contours is the lines where the surface turns away from the eye, as far as they are
// seen.
func (v *view) contours(m *mesh.Mesh, faces []int32, normal []geom.Vec) [][]geom.Vec2 {
	z := v.frame.Z
	value := func(k int32) float64 { return normal[k].Dot(z) }
	var out [][]geom.Vec2
	for _, c := range trace(m, faces, value) {
		// Outward is across the line, away from the side that faces the eye: to the right.
		n := len(c.points)
		out = append(out, v.runs(c, func(i int) bool {
			a, b := c.points[max(0, i-1)], c.points[min(n-1, i+1)]
			if c.closed {
				a, b = c.points[(i+n-1)%n], c.points[(i+1)%n]
			}
			return v.seenBeside(c.points[i], b.Sub(a).Cross(z))
		})...)
	}
	return out
}

// rim is the outline of all that the view shows: closed lines, holes among them.
func (v *view) rim() [][]geom.Vec2 {
	return v.border(func(k int) bool { return v.near[k] != never })
}

// border is the lines round the cells that pass a test, smoothed by marching squares with
// a blurred value.
func (v *view) border(in func(k int) bool) [][]geom.Vec2 {
	g := make([]float32, v.nx*v.ny)
	for k := range g {
		if in(k) {
			g[k] = 1
		}
	}
	g = blur(g, v.nx, v.ny, 1)
	return march(g, v.nx, v.ny, 0.5, func(x, y float64) geom.Vec2 {
		return geom.Vec2{X: v.x0 + (x+0.5)*v.cell, Y: v.y0 + (y+0.5)*v.cell}
	})
}

// onPage gives a mapping from the view's plane to the page.
func onPage(center geom.Vec2, at sheet.Point, scale float64) func(geom.Vec2) sheet.Point {
	return func(p geom.Vec2) sheet.Point {
		return sheet.Pt(at.X+(p.X-center.X)*scale, at.Y-(p.Y-center.Y)*scale)
	}
}
