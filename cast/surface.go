package cast

import (
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// Surface finds places on a mesh: the nearest point of it, and what is met from above.
// It may be used by several goroutines at once.
type Surface struct {
	mesh       *mesh.Mesh
	low        geom.Vec
	cell       float64
	nx, ny, nz int
	boxes      [][]int32 // faces by cell, x fastest
	columns    [][]int32 // faces by (x, y) cell
	balls      []ball    // round each face
}

// ball holds a face.
type ball struct {
	centre geom.Vec
	radius float64
}

// NewSurface prepares a mesh for searching. A mesh without faces, or with a vertex that is
// no finite point, holds nothing to find.
func NewSurface(m *mesh.Mesh) *Surface {
	b := geom.BoxOf(m.Vertices)
	size := b.Size()
	s := &Surface{mesh: m, low: b.Min}
	if len(m.Faces) == 0 || !size.IsFinite() {
		return s
	}
	// A few triangles a cell.
	s.cell = math.Max(1e-9, 2.5*math.Sqrt(m.Area()/float64(len(m.Faces))))
	s.cell = math.Max(s.cell, math.Cbrt(math.Max(size.X, s.cell)*math.Max(size.Y, s.cell)*math.Max(size.Z, s.cell)/4e6))
	s.nx, s.ny, s.nz = int(size.X/s.cell)+1, int(size.Y/s.cell)+1, int(size.Z/s.cell)+1
	s.boxes = make([][]int32, s.nx*s.ny*s.nz)
	s.columns = make([][]int32, s.nx*s.ny)
	s.balls = make([]ball, len(m.Faces))
	for f := range m.Faces {
		p, q, r := m.Corners(f)
		o := p.Add(q).Add(r).Scale(1.0 / 3)
		// A hair wider than the corners, so that rounding never hides a face.
		s.balls[f] = ball{o, math.Sqrt(max(p.Sub(o).Dot(p.Sub(o)), q.Sub(o).Dot(q.Sub(o)), r.Sub(o).Dot(r.Sub(o))))*(1+1e-9) + 1e-9}
		x0, y0, z0 := s.index(geom.V(min(p.X, q.X, r.X), min(p.Y, q.Y, r.Y), min(p.Z, q.Z, r.Z)))
		x1, y1, z1 := s.index(geom.V(max(p.X, q.X, r.X), max(p.Y, q.Y, r.Y), max(p.Z, q.Z, r.Z)))
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				s.columns[y*s.nx+x] = append(s.columns[y*s.nx+x], int32(f))
				for z := z0; z <= z1; z++ {
					i := (z*s.ny+y)*s.nx + x
					s.boxes[i] = append(s.boxes[i], int32(f))
				}
			}
		}
	}
	return s
}

func (s *Surface) index(p geom.Vec) (x, y, z int) {
	clamp := func(v float64, n int) int { return max(0, min(n-1, int(v/s.cell))) }
	d := p.Sub(s.low)
	return clamp(d.X, s.nx), clamp(d.Y, s.ny), clamp(d.Z, s.nz)
}

// Nearest is the point of the surface nearest to p, and its face; -1 where the mesh has
// no faces.
func (s *Surface) Nearest(p geom.Vec) (geom.Vec, int) { return s.NearestOf(p, nil) }

// NearestOf is Nearest among the faces that pass; a nil test passes all.
func (s *Surface) NearestOf(p geom.Vec, pass func(face int) bool) (geom.Vec, int) {
	return s.NearestWithin(p, math.Inf(1), pass)
}

// NearestWithin is NearestOf among what lies nearer than reach; face -1 where nothing does.
// Over a gap of a scan it saves the search for a surface that lies too far off to matter.
func (s *Surface) NearestWithin(p geom.Vec, reach float64, pass func(face int) bool) (geom.Vec, int) {
	best, at, face := reach, geom.Vec{}, -1
	if s.nx == 0 {
		return at, face
	}
	cx, cy, cz := s.index(p)
	most := max(s.nx, s.ny, s.nz)
	// How far p lies outside the grid bounds what a ring of cells can still hold.
	b := geom.Vec{X: s.low.X + float64(s.nx)*s.cell, Y: s.low.Y + float64(s.ny)*s.cell, Z: s.low.Z + float64(s.nz)*s.cell}
	out := geom.V(math.Max(0, math.Max(s.low.X-p.X, p.X-b.X)), math.Max(0, math.Max(s.low.Y-p.Y, p.Y-b.Y)),
		math.Max(0, math.Max(s.low.Z-p.Z, p.Z-b.Z))).Norm()
	for r := 0; r <= most; r++ {
		if math.Max(float64(r-1)*s.cell, out) > best {
			break
		}
		for z := cz - r; z <= cz+r; z++ {
			for y := cy - r; y <= cy+r; y++ {
				for x := cx - r; x <= cx+r; x++ {
					shell := max(abs(x-cx), abs(y-cy), abs(z-cz)) == r
					if !shell {
						x = cx + r - 1 // jump over the inside, already searched
						continue
					}
					if x < 0 || y < 0 || z < 0 || x >= s.nx || y >= s.ny || z >= s.nz {
						continue
					}
					for _, f := range s.boxes[(z*s.ny+y)*s.nx+x] {
						// A face whose ball lies farther off than the best cannot be nearer.
						if v := p.Sub(s.balls[f].centre); v.Dot(v) > (best+s.balls[f].radius)*(best+s.balls[f].radius) {
							continue
						}
						if pass != nil && !pass(int(f)) {
							continue
						}
						a, b, c := s.mesh.Corners(int(f))
						q := NearestOnTriangle(p, a, b, c)
						if d := q.Dist(p); d < best || d == best && int(f) < face {
							best, at, face = d, q, int(f)
						}
					}
				}
			}
		}
	}
	return at, face
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}

// Top is the highest point of the surface over (x, y), and its face; false where there
// is none.
func (s *Surface) Top(x, y float64) (geom.Vec, int, bool) { return s.TopOf(x, y, nil) }

// TopOf is Top among the faces that pass; a nil test passes all.
func (s *Surface) TopOf(x, y float64, pass func(face int) bool) (geom.Vec, int, bool) {
	at, face := geom.Vec{}, -1
	dx, dy := x-s.low.X, y-s.low.Y
	if s.nx == 0 || dx < 0 || dy < 0 || dx > float64(s.nx)*s.cell || dy > float64(s.ny)*s.cell {
		return at, face, false
	}
	ix, iy, _ := s.index(geom.V(x, y, s.low.Z))
	q := geom.Vec2{X: x, Y: y}
	for _, f := range s.columns[iy*s.nx+ix] {
		if pass != nil && !pass(int(f)) {
			continue
		}
		a, b, c := s.mesh.Corners(int(f))
		u := b.XY().Sub(q).Cross(c.XY().Sub(q))
		v := c.XY().Sub(q).Cross(a.XY().Sub(q))
		w := a.XY().Sub(q).Cross(b.XY().Sub(q))
		sum := u + v + w
		if sum == 0 || u*sum < 0 || v*sum < 0 || w*sum < 0 {
			continue
		}
		z := (u*a.Z + v*b.Z + w*c.Z) / sum
		if face < 0 || z > at.Z {
			at, face = geom.V(x, y, z), int(f)
		}
	}
	return at, face, face >= 0
}

// NearestOnTriangle is the point of a triangle nearest to p. It follows the regions of the
// triangle's corners, edges and inside, as in Ericson, Real-Time Collision Detection, 5.1.5.
func NearestOnTriangle(p, a, b, c geom.Vec) geom.Vec {
	ab, ac, ap := b.Sub(a), c.Sub(a), p.Sub(a)
	d1, d2 := ab.Dot(ap), ac.Dot(ap)
	if d1 <= 0 && d2 <= 0 {
		return a
	}
	bp := p.Sub(b)
	d3, d4 := ab.Dot(bp), ac.Dot(bp)
	if d3 >= 0 && d4 <= d3 {
		return b
	}
	if vc := d1*d4 - d3*d2; vc <= 0 && d1 >= 0 && d3 <= 0 {
		return a.Lerp(b, d1/(d1-d3))
	}
	cp := p.Sub(c)
	d5, d6 := ab.Dot(cp), ac.Dot(cp)
	if d6 >= 0 && d5 <= d6 {
		return c
	}
	if vb := d5*d2 - d1*d6; vb <= 0 && d2 >= 0 && d6 <= 0 {
		return a.Lerp(c, d2/(d2-d6))
	}
	if va := d3*d6 - d5*d4; va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		return b.Lerp(c, (d4-d3)/((d4-d3)+(d5-d6)))
	}
	va, vb, vc := d3*d6-d5*d4, d5*d2-d1*d6, d1*d4-d3*d2
	den := 1 / (va + vb + vc)
	return a.Add(ab.Scale(vb * den)).Add(ac.Scale(vc * den))
}
