package cast

import (
	"math"
	"slices"

	"halfpear/geom"
)

// align finds the rotation and shift that carry the first points onto the second best in
// the sense of least squares, as the frame that the first frame becomes. It follows Horn
// (J Opt Soc Am A 1987): the rotation is the eigenvector of a 4x4 matrix.
func align(from, to []geom.Vec) (geom.Frame, float64) {
	cf, ct := mean(from), mean(to)
	var s [3][3]float64
	for i := range from {
		p, q := from[i].Sub(cf), to[i].Sub(ct)
		pv, qv := [3]float64{p.X, p.Y, p.Z}, [3]float64{q.X, q.Y, q.Z}
		for a := range 3 {
			for b := range 3 {
				s[a][b] += pv[a] * qv[b]
			}
		}
	}
	n := [4][4]float64{
		{s[0][0] + s[1][1] + s[2][2], s[1][2] - s[2][1], s[2][0] - s[0][2], s[0][1] - s[1][0]},
		{0, s[0][0] - s[1][1] - s[2][2], s[0][1] + s[1][0], s[2][0] + s[0][2]},
		{0, 0, -s[0][0] + s[1][1] - s[2][2], s[1][2] + s[2][1]},
		{0, 0, 0, -s[0][0] - s[1][1] + s[2][2]},
	}
	for i := range 4 {
		for j := range i {
			n[i][j] = n[j][i]
		}
	}
	q := largestEigenvector(n)
	w, x, y, z := q[0], q[1], q[2], q[3]
	turn := func(v geom.Vec) geom.Vec {
		return geom.V(
			(w*w+x*x-y*y-z*z)*v.X+2*(x*y-w*z)*v.Y+2*(x*z+w*y)*v.Z,
			2*(x*y+w*z)*v.X+(w*w-x*x+y*y-z*z)*v.Y+2*(y*z-w*x)*v.Z,
			2*(x*z-w*y)*v.X+2*(y*z+w*x)*v.Y+(w*w-x*x-y*y+z*z)*v.Z)
	}
	f := geom.Frame{X: turn(geom.V(1, 0, 0)), Y: turn(geom.V(0, 1, 0)), Z: turn(geom.V(0, 0, 1))}
	f.Origin = ct.Sub(turn(cf))
	sum := 0.0
	for i := range from {
		d := f.Outer(from[i]).Dist(to[i])
		sum += d * d
	}
	return f, math.Sqrt(sum / float64(max(1, len(from))))
}

// largestEigenvector turns a symmetric matrix by Jacobi rotations until it is diagonal.
func largestEigenvector(a [4][4]float64) [4]float64 {
	var v [4][4]float64
	for i := range 4 {
		v[i][i] = 1
	}
	for range 60 {
		for p := range 3 {
			for q := p + 1; q < 4; q++ {
				if a[p][q] == 0 {
					continue
				}
				th := (a[q][q] - a[p][p]) / (2 * a[p][q])
				t := math.Copysign(1, th) / (math.Abs(th) + math.Sqrt(th*th+1))
				c := 1 / math.Sqrt(t*t+1)
				s := t * c
				for k := range 4 {
					a[k][p], a[k][q] = c*a[k][p]-s*a[k][q], s*a[k][p]+c*a[k][q]
				}
				for k := range 4 {
					a[p][k], a[q][k] = c*a[p][k]-s*a[q][k], s*a[p][k]+c*a[q][k]
				}
				for k := range 4 {
					v[k][p], v[k][q] = c*v[k][p]-s*v[k][q], s*v[k][p]+c*v[k][q]
				}
			}
		}
	}
	best := 0
	for i := range 4 {
		if a[i][i] > a[best][best] {
			best = i
		}
	}
	return [4]float64{v[0][best], v[1][best], v[2][best], v[3][best]}
}

// solve3 solves three equations by Cramer's rule; the matrix is symmetric and positive.
func solve3(a [3][3]float64, b [3]float64) [3]float64 {
	col := func(i int) geom.Vec { return geom.V(a[0][i], a[1][i], a[2][i]) }
	x, y, z, r := col(0), col(1), col(2), geom.V(b[0], b[1], b[2])
	d := x.Dot(y.Cross(z))
	if d == 0 {
		return [3]float64{}
	}
	return [3]float64{r.Dot(y.Cross(z)) / d, x.Dot(r.Cross(z)) / d, x.Dot(y.Cross(r)) / d}
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return s[len(s)/2]
}
