package mechanics

import (
	"math"
	"math/cmplx"
	"sync"

	"gonum.org/v1/gonum/mat"

	"halfpear/geom"
)

// torsion is how a section takes torque, freed of its size: j = J/thickness⁴, and at each
// fibre of the profile the shear stress per unit torque times thickness³, and how far the
// fibre leaves its plane per unit twist over thickness².
type torsion struct {
	j    float64
	tau  []float64
	warp []float64
}

// memo keeps solved sections: proposals try the same few forms over and over.
var memo = struct {
	sync.Mutex
	of map[Section]torsion
}{of: map[Section]torsion{}}

const memoLimit = 4096

func torsionOf(s Section, p profile) torsion {
	t := s.Thickness
	unit := Section{Shape: s.Shape, Width: s.Width / t, Thickness: 1, Plinth: s.Plinth / t, Flange: s.Flange / t, Web: s.Web / t}
	if s.Shape == HalfPear {
		unit.Crest = s.crest() / t
	}
	memo.Lock()
	known, ok := memo.of[unit]
	memo.Unlock()
	if ok {
		return known
	}
	var out torsion
	switch s.Shape {
	case Round, Ellipse:
		out = ellipseTorsion(unit)
	case Rectangle:
		out = rectangleTorsion(unit)
	default:
		out = saintVenant(unit)
	}
	memo.Lock()
	if len(memo.of) >= memoLimit {
		clear(memo.of)
	}
	memo.of[unit] = out
	memo.Unlock()
	return out
}

func ellipseTorsion(s Section) torsion {
	a, b := s.Width/2, s.Thickness/2
	out := torsion{j: math.Pi * a * a * a * b * b * b / (a*a + b*b)}
	for _, f := range profileOf(s).fibres {
		out.tau = append(out.tau, 2/(math.Pi*a*b)*math.Hypot(f.X/(a*a), f.Y/(b*b)))
		out.warp = append(out.warp, (b*b-a*a)/(a*a+b*b)*f.X*f.Y)
	}
	return out
}

// rectangleTorsion sums the series for a rectangle (Timoshenko & Goodier, Theory of
// Elasticity, torsion of rectangular bars) with the short side as the thickness.
func rectangleTorsion(s Section) torsion {
	a, b := s.Width/2, s.Thickness/2
	turned := a < b
	if turned {
		a, b = b, a
	}
	j := 16 * a * b * b * b / 3
	for n := 1; n < 40; n += 2 {
		k := float64(n)
		j -= 16 * a * b * b * b / 3 * 192 / math.Pow(math.Pi, 5) * b / a * math.Tanh(k*math.Pi*a/(2*b)) / math.Pow(k, 5)
	}
	out := torsion{j: j}
	for _, f := range profileOf(s).fibres {
		y, z := f.X, f.Y
		if turned {
			y, z = z, y
		}
		// Shear along and across the long side; the ratios of hyperbolic functions are
		// written with falling exponentials so that slender sections do not overflow.
		along, across, warp := -2*z, 0.0, -y*z
		for n := 1; n < 60; n += 2 {
			k := float64(n) * math.Pi / (2 * b)
			sign := 1.0
			if n%4 == 3 {
				sign = -1
			}
			f := 16 * b / (math.Pi * math.Pi * float64(n) * float64(n)) * sign
			up, down := math.Exp(-k*(a-math.Abs(y))), math.Exp(-k*(a+math.Abs(y)))
			over := 1 + math.Exp(-2*k*a)
			along += f * (up + down) / over * math.Sin(k*z)
			across += f * math.Copysign(up-down, y) / over * math.Cos(k*z)
			warp += f / k * math.Copysign(up-down, y) / over * math.Sin(k*z)
		}
		if turned {
			warp = -warp
		}
		out.warp = append(out.warp, warp)
		out.tau = append(out.tau, math.Hypot(along, across)/j)
	}
	return out
}

// Degrees of the harmonic functions that saintVenant fits: powers of the place itself, and
// of the distance from each corner that bites into the metal.
const (
	harmonicDegree = 18
	cornerTerms    = 6
)

// saintVenant solves the torsion of a section of any form: Prandtl's stress function is a
// harmonic function less half the squared distance, and vanishes on the outline. The
// harmonic part is fitted on the outline by least squares with powers of y + iz and, at
// the corners, the singular functions that belong to their angles.
func saintVenant(s Section) torsion {
	sides, corners, eye := s.outline()
	size := 0.0
	for _, e := range sides {
		p, _ := e.at(0)
		size = math.Max(size, p.Dist(eye))
	}
	basis := func(p geom.Vec2) (f, df []complex128) {
		z := complex(p.X-eye.X, p.Y-eye.Y) / complex(size, 0)
		power, n := complex(1, 0), complex(0, 0)
		prev := complex(0, 0)
		for range harmonicDegree + 1 {
			f = append(f, power)
			df = append(df, n*prev)
			prev, power, n = power, power*z, n+1
		}
		for _, c := range corners {
			d := complex(p.X-c.at.X, p.Y-c.at.Y) / complex(size, 0) * cmplx.Rect(1, -c.inward)
			turn := cmplx.Rect(1, -c.inward)
			if cmplx.Abs(d) < 1e-12 {
				d = 1e-12
			}
			if !c.reentrant {
				l := cmplx.Log(d)
				f = append(f, d*d*l)
				df = append(df, (2*d*l+d)*turn)
				continue
			}
			for k := 1; k <= cornerTerms; k++ {
				if k%3 == 0 {
					continue // a whole power
				}
				e := complex(2*float64(k)/3, 0)
				v := cmplx.Pow(d, e)
				f = append(f, v)
				df = append(df, e*v/d*turn)
			}
		}
		return f, df
	}

	type sample struct {
		p, dp geom.Vec2
		w     float64
		f     []complex128
	}
	var samples []sample
	for _, e := range sides {
		for third := range 3 { // so that corners are felt
			for i, t := range gauss4x {
				p, dp := e.at((t + float64(third)) / 3)
				f, _ := basis(p)
				samples = append(samples, sample{p, dp.Scale(1.0 / 3), gauss4w[i], f})
			}
		}
	}
	n := 2 * len(samples[0].f)
	a := mat.NewDense(len(samples), n, nil)
	rhs := mat.NewVecDense(len(samples), nil)
	for i, q := range samples {
		w := math.Sqrt(q.w * q.dp.Norm())
		d := q.p.Sub(eye)
		rhs.SetVec(i, w*d.Dot(d)/2)
		for k, f := range q.f {
			a.Set(i, 2*k, w*real(f))
			a.Set(i, 2*k+1, -w*imag(f))
		}
	}
	coef := leastSquares(a, rhs)

	// The area integral of an analytic function is half its line integral with the
	// conjugate of the place, over i.
	var area complex128
	polar := 0.0
	for _, q := range samples {
		h := complex(0, 0)
		for k, f := range q.f {
			h += complex(coef[2*k], coef[2*k+1]) * f
		}
		d := q.p.Sub(eye)
		area += complex(q.w, 0) * h * complex(d.X, -d.Y) * complex(q.dp.X, q.dp.Y) / 2i
		polar += q.w * d.Dot(d) * d.Cross(q.dp) / 4
	}
	out := torsion{j: 2*real(area) - polar}
	p := profileOf(s)
	solved := func(f geom.Vec2) (h, dh complex128) {
		v, dv := basis(f.Add(geom.Vec2{X: p.Y, Y: p.Z}))
		for k := range v {
			c := complex(coef[2*k], coef[2*k+1])
			h += c * v[k]
			dh += c * dv[k]
		}
		return h, dh / complex(size, 0)
	}
	// The warping is the conjugate of the harmonic part. What of it is a shift or a turn of
	// the whole section strains nothing.
	var shift [3]float64
	for _, g := range p.grains {
		h, _ := solved(geom.Vec2{X: g.y, Y: g.z})
		w := -imag(h) * g.a
		shift[0] += w
		shift[1] += w * g.y
		shift[2] += w * g.z
	}
	det := p.Iw*p.It - p.Iyz*p.Iyz
	turnY, turnZ := (shift[1]*p.It-shift[2]*p.Iyz)/det, (shift[2]*p.Iw-shift[1]*p.Iyz)/det
	for _, f := range p.fibres {
		h, dh := solved(f)
		d := f.Add(geom.Vec2{X: p.Y, Y: p.Z}).Sub(eye)
		out.tau = append(out.tau, math.Hypot(real(dh)-d.X, -imag(dh)-d.Y)/out.j)
		out.warp = append(out.warp, -imag(h)-shift[0]/p.A-turnY*f.X-turnZ*f.Y)
	}
	return out
}

// leastSquares solves a·x ≈ b by singular values, leaving out directions that the samples
// do not tell apart.
func leastSquares(a *mat.Dense, b *mat.VecDense) []float64 {
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return make([]float64, a.RawMatrix().Cols)
	}
	var x mat.VecDense
	svd.SolveVecTo(&x, b, svd.Rank(1e-12))
	return x.RawVector().Data
}
