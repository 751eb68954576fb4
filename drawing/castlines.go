package drawing

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
)

// castCell is how fine the cast is looked at [mm].
const castCell = 0.12

// occlusalFrame looks at a cast from the occlusal the way a clinician's chart does: the
// patient's right on the reader's left, the front of the upper arch at the top, of the
// lower at the bottom.
func occlusalFrame(a tooth.Arch) geom.Frame {
	if a == tooth.Lower {
		return geom.Frame{X: geom.V(-1, 0, 0), Y: geom.V(0, -1, 0), Z: geom.V(0, 0, 1)}
	}
	return geom.World()
}

// castLines is a cast as a line drawing, in the plane of a view from the occlusal.
type castLines struct {
	view      *view
	rim       [][]geom.Vec2                  // outline of the whole cast
	crowns    map[tooth.Number][][]geom.Vec2 // area of each crown as it is seen
	crown     [][]geom.Vec2                  // crown outlines and other contours on teeth
	tissue    [][]geom.Vec2                  // contours of ridges and gums
	furrows   [][]geom.Vec2                  // grooves and fossae
	ridges    [][]geom.Vec2                  // cusp and marginal ridges
	margins   [][]geom.Vec2                  // gingival margins where they are seen
	landmarks [][]geom.Vec2                  // sulcus, crest, pads, rugae
}

// drawCast looks at a cast from the occlusal.
func drawCast(c *cast.Cast, normal []geom.Vec) *castLines {
	v := look(c.Mesh, nil, occlusalFrame(c.Arch), castCell)
	out := &castLines{view: v, crowns: map[tooth.Number][][]geom.Vec2{}}

	labelAt := make([]tooth.Number, len(v.face))
	for k, f := range v.face {
		if f >= 0 {
			labelAt[k] = c.Labels[f]
		}
	}
	out.rim = v.rim()
	var teeth, rest []int32
	for i, n := range c.Labels {
		if n != 0 {
			teeth = append(teeth, int32(i))
		} else {
			rest = append(rest, int32(i))
		}
	}
	out.crown = v.contours(c.Mesh, teeth, normal)
	for _, l := range v.contours(c.Mesh, rest, normal) {
		if lengthOf(l) > 2.5 {
			out.tissue = append(out.tissue, l)
		}
	}
	for _, n := range c.Standing() {
		out.crowns[n] = v.borderNear(c.Teeth[n].Margin, func(k int) bool { return labelAt[k] == n })
		out.margins = append(out.margins, v.surfaceRuns(c.Teeth[n].Margin, true, 0.15)...)
	}
	out.creases(labelAt)
	marks := c.Marks
	for _, l := range []cast.Curve{marks.PadRight, marks.PadLeft, marks.Papilla, marks.Rugae} {
		if l.Known() {
			out.landmarks = append(out.landmarks, v.surfaceRuns(l.Points, l.Closed, 0.8)...)
		}
	}
	return out
}

// creases finds the grooves and ridges of the crowns in the height field.
func (l *castLines) creases(labelAt []tooth.Number) {
	v := l.view
	floor := float32(math.Inf(1))
	for _, z := range v.near {
		if z != never && z < floor {
			floor = z
		}
	}
	h := make([]float32, len(v.near))
	for k, z := range v.near {
		h[k] = max(z, floor)
	}
	h = blur(h, v.nx, v.ny, 0.26/v.cell)
	// Away from a crown's edge, where the height field falls off, and on its own tooth.
	const steep = 1.6
	pass := func(k int) bool {
		n := labelAt[k]
		if n == 0 {
			return false
		}
		for _, d := range [...]int{-3, 3, -3 * v.nx, 3 * v.nx} {
			if j := k + d; j < 0 || j >= len(labelAt) || labelAt[j] != n {
				return false
			}
		}
		gx, gy := float64(h[k+1]-h[k-1])/2/v.cell, float64(h[k+v.nx]-h[k-v.nx])/2/v.cell
		return math.Hypot(gx, gy) < steep
	}
	place := func(lines [][]geom.Vec2, least float64) [][]geom.Vec2 {
		var out [][]geom.Vec2
		for _, line := range lines {
			for i, p := range line {
				line[i] = geom.Vec2{X: v.x0 + (p.X+0.5)*v.cell, Y: v.y0 + (p.Y+0.5)*v.cell}
			}
			if lengthOf(line) > least {
				out = append(out, line)
			}
		}
		return out
	}
	l.furrows = place(furrows(h, v.nx, v.ny, v.cell, 0.45, pass), 0.9)
	for k := range h {
		h[k] = -h[k]
	}
	l.ridges = place(furrows(h, v.nx, v.ny, v.cell, 0.8, pass), 1.2)
}

// borderNear is border, looking only round some points.
func (v *view) borderNear(points []geom.Vec, in func(k int) bool) [][]geom.Vec2 {
	lo, hi := geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range points {
		q := v.flat(p)
		lo.X, lo.Y = math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)
		hi.X, hi.Y = math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)
	}
	const room = 4.0 // a crown may overhang its margin this far [mm]
	i0, j0 := max(0, int((lo.X-room-v.x0)/v.cell)), max(0, int((lo.Y-room-v.y0)/v.cell))
	i1, j1 := min(v.nx, int((hi.X+room-v.x0)/v.cell)), min(v.ny, int((hi.Y+room-v.y0)/v.cell))
	if i1 <= i0 || j1 <= j0 {
		return nil
	}
	w, h := i1-i0, j1-j0
	g := make([]float32, w*h)
	for j := 1; j < h-1; j++ {
		for i := 1; i < w-1; i++ {
			if in((j+j0)*v.nx + i + i0) {
				g[j*w+i] = 1
			}
		}
	}
	g = blur(g, w, h, 1)
	return march(g, w, h, 0.5, func(x, y float64) geom.Vec2 {
		return geom.Vec2{X: v.x0 + (x+float64(i0)+0.5)*v.cell, Y: v.y0 + (y+float64(j0)+0.5)*v.cell}
	})
}

const (
	deepTissue  = 0.5  // an undercut of the gum that a rigid part has to avoid or be relieved over [mm]
	tissueReach = 9.0  // how far beside a margin or a crest the gum still matters [mm]
	tissueSpeck = 1.0  // a smaller area says nothing [mm²]
	tissueAbove = 2.0  // nearer to the margin than this the shadow is the crown's, not the gum's [mm]
	tissueBelow = 14.0 // how far below a margin or a crest the denture may reach [mm]
)

// tissueUndercuts is where the gum beside teeth and ridges lies deeper under an overhang
// than a rigid part may go, as it would be seen through the overhang of the gum from the
// occlusal. What lies under a crown is left out, as hatching over the crown would read as
// something to be done to the tooth; the base of the cast does not count.
func (d *draft) tissueUndercuts() [][]geom.Vec2 {
	s, m := d.Survey, d.Cast.Mesh
	if s == nil || len(s.Depth) != len(m.Vertices) {
		return nil
	}
	var along []geom.Vec
	for _, n := range d.Cast.Standing() {
		along = append(along, d.Cast.Teeth[n].Margin...)
	}
	for _, r := range d.Cast.Marks.Ridges {
		along = append(along, r.Crest.Points...)
	}
	bottom := append(append([]geom.Vec(nil), d.Cast.Marks.Vestibule.Points...), d.Cast.Marks.Floor.Points...)
	near, below := heightsBeside(along, tissueReach), heightsBeside(bottom, tissueReach)
	var deep []int32
	for i, f := range m.Faces {
		if d.Cast.Labels[i] != 0 || s.Depth[f[0]] < deepTissue || s.Depth[f[1]] < deepTissue || s.Depth[f[2]] < deepTissue {
			continue
		}
		p := m.Vertices[f[0]]
		rim, ok := near[cellOf(p.X, p.Y)]
		if !ok || p.Z < rim-tissueBelow || p.Z > rim-tissueAbove {
			continue
		}
		if low, ok := below[cellOf(p.X, p.Y)]; ok && p.Z < low {
			continue
		}
		if d.underCrown(d.lines.view.flat(p)) {
			continue
		}
		deep = append(deep, int32(i))
	}
	if len(deep) == 0 {
		return nil
	}
	var out [][]geom.Vec2
	for _, o := range look(m, deep, d.lines.view.frame, castCell).rim() {
		if math.Abs(geom.Area2(o)) > tissueSpeck {
			out = append(out, o)
		}
	}
	return out
}

// underCrown tells whether a crown hides a place from the occlusal view.
func (d *draft) underCrown(p geom.Vec2) bool {
	for _, crown := range d.lines.crowns {
		for _, outline := range crown {
			if geom.Contains2(outline, p) {
				return true
			}
		}
	}
	return false
}

func cellOf(x, y float64) [2]int { return [2]int{int(math.Floor(x)), int(math.Floor(y))} }

// heightsBeside gives for the square millimetres within reach of some points the height of
// the nearest of them.
func heightsBeside(points []geom.Vec, reach float64) map[[2]int]float64 {
	height, dist := map[[2]int]float64{}, map[[2]int]float64{}
	for _, p := range points {
		c := cellOf(p.X, p.Y)
		n := int(reach)
		for i := c[0] - n; i <= c[0]+n; i++ {
			for j := c[1] - n; j <= c[1]+n; j++ {
				r := math.Hypot(float64(i)+0.5-p.X, float64(j)+0.5-p.Y)
				if old, ok := dist[[2]int{i, j}]; r < reach && (!ok || r < old) {
					dist[[2]int{i, j}], height[[2]int{i, j}] = r, p.Z
				}
			}
		}
	}
	return height
}
