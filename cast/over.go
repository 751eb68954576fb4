package cast

import (
	"math"

	"halfpear/geom"
)

// Over is the lowest place of the surface above p, and whether it looks upward there; false
// where nothing lies above p. What lies above a point inside a solid looks upward, what
// lies above a hollow looks down.
func (s *Surface) Over(p geom.Vec) (z float64, up, ok bool) {
	dx, dy := p.X-s.low.X, p.Y-s.low.Y
	if s.nx == 0 || dx < 0 || dy < 0 || dx > float64(s.nx)*s.cell || dy > float64(s.ny)*s.cell {
		return 0, false, false
	}
	ix, iy, _ := s.index(geom.V(p.X, p.Y, s.low.Z))
	z = math.Inf(1)
	q := p.XY()
	for _, f := range s.columns[iy*s.nx+ix] {
		a, b, c := s.mesh.Corners(int(f))
		u := b.XY().Sub(q).Cross(c.XY().Sub(q))
		v := c.XY().Sub(q).Cross(a.XY().Sub(q))
		w := a.XY().Sub(q).Cross(b.XY().Sub(q))
		sum := u + v + w
		if sum == 0 || u*sum < 0 || v*sum < 0 || w*sum < 0 {
			continue
		}
		if at := (u*a.Z + v*b.Z + w*c.Z) / sum; at > p.Z && at < z {
			z, up, ok = at, sum > 0, true
		}
	}
	return z, up, ok
}
