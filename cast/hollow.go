package cast

import (
	"math"
	"runtime"
	"sync"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// hollows says of every face how sharply the surface round it is bent inward in the
// direction in which it is most so [1/mm]: the curvature measure of the edges near by, each
// its angle times its length, over their area, as in Cohen-Steiner & Morvan, Restricted
// Delaunay triangulations and normal cycle, 2003. Both are spread over the neighbours before
// they are divided, so that a coarse mesh's facets and a fine mesh's noise even out.
func hollows(m *mesh.Mesh, across [][3]int32, n []geom.Vec, area []float64, rounds int) []float64 {
	type bend struct{ xx, yy, zz, xy, xz, yz, area float64 }
	b := make([]bend, len(m.Faces))
	for f := range b {
		b[f].area = area[f]
	}
	for f, c := range m.Faces {
		for k, g := range across[f] {
			if int(g) <= f {
				continue
			}
			p, q := m.Vertices[c[k]], m.Vertices[c[(k+1)%3]]
			e := q.Sub(p)
			l := e.Norm()
			if l == 0 {
				continue
			}
			u := e.Scale(1 / l)
			// Turning from f to g about the edge is to the left where the surface bulges.
			w := -math.Atan2(n[f].Cross(n[g]).Dot(u), n[f].Dot(n[g])) * l / 2
			for _, h := range [2]int{f, int(g)} {
				t := &b[h]
				t.xx, t.yy, t.zz = t.xx+w*u.X*u.X, t.yy+w*u.Y*u.Y, t.zz+w*u.Z*u.Z
				t.xy, t.xz, t.yz = t.xy+w*u.X*u.Y, t.xz+w*u.X*u.Z, t.yz+w*u.Y*u.Z
			}
		}
	}
	next := make([]bend, len(b))
	for range rounds {
		stretches(len(b), func(from, to int) {
			for f := from; f < to; f++ {
				t := b[f]
				for _, g := range across[f] {
					if g >= 0 {
						o := &b[g]
						t.xx, t.yy, t.zz = t.xx+o.xx, t.yy+o.yy, t.zz+o.zz
						t.xy, t.xz, t.yz = t.xy+o.xy, t.xz+o.xz, t.yz+o.yz
						t.area += o.area
					}
				}
				next[f] = t
			}
		})
		b, next = next, b
	}
	out := make([]float64, len(b))
	stretches(len(b), func(from, to int) {
		for f := from; f < to; f++ {
			if t := b[f]; t.area > 0 {
				out[f] = math.Max(0, largest(t.xx, t.yy, t.zz, t.xy, t.xz, t.yz)/t.area)
			}
		}
	})
	return out
}

// stretches runs f over stretches of 0..n, several at a time; what f does at one place must
// not depend on another.
func stretches(n int, f func(from, to int)) {
	parts := min(4, runtime.GOMAXPROCS(0))
	var all sync.WaitGroup
	for k := range parts {
		all.Go(func() { f(k*n/parts, (k+1)*n/parts) })
	}
	all.Wait()
}

// hollowRounds is how often bends are spread over the neighbours: over about a third of a
// millimetre, as the papilla's and the margin's furrows are no wider on a good scan.
func hollowRounds(m *mesh.Mesh) int {
	e := medianEdge(m)
	return max(1, min(12, int(math.Round(0.15/(e*e)))))
}

// largest is the largest eigenvalue of a symmetric matrix, from the roots of its
// characteristic polynomial.
func largest(xx, yy, zz, xy, xz, yz float64) float64 {
	mean := (xx + yy + zz) / 3
	a, b, c := xx-mean, yy-mean, zz-mean
	p := math.Sqrt((a*a + b*b + c*c + 2*(xy*xy+xz*xz+yz*yz)) / 6)
	if p == 0 {
		return mean
	}
	det := a*(b*c-yz*yz) - xy*(xy*c-yz*xz) + xz*(xy*yz-b*xz)
	r := math.Max(-1, math.Min(1, det/(2*p*p*p)))
	return mean + 2*p*math.Cos(math.Acos(r)/3)
}
