// Package bench measures the speed of the heavy geometry on casts made in the program.
package bench

import (
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
)

// Arch makes a closed surface the size of a lower cast with about n triangles: a ridge
// bent into an arch, with bulging crowns on narrower necks that lean this way and that.
// It is no anatomy; it has the size, the undercuts and the shadows of one.
func Arch(n int) *mesh.Mesh {
	// A parametric tube: u runs along the arch, v round the section. The top of the section
	// is pushed out where a crown stands.
	const radius, height = 24.0, 20.0
	nu := int(math.Sqrt(float64(n) / 2 * 2.2))
	nv := n / 2 / nu
	m := &mesh.Mesh{Vertices: make([]geom.Vec, 0, nu*nv+2), Faces: make([][3]int32, 0, 2*nu*nv+2*nv)}
	for i := 0; i < nu; i++ {
		u := float64(i) / float64(nu-1)
		angle := math.Pi * (-0.1 + 1.2*u)
		s, c := math.Sincos(angle)
		mid := geom.V(radius*c, 1.3*radius*s, 0)
		out := geom.V(c*1.3, s, 0).Unit()
		for j := 0; j < nv; j++ {
			m.Vertices = append(m.Vertices, section(mid, out, u, 2*math.Pi*float64(j)/float64(nv), height))
		}
	}
	for i := 0; i+1 < nu; i++ {
		for j := 0; j < nv; j++ {
			a, b := int32(i*nv+j), int32(i*nv+(j+1)%nv)
			c, d := a+int32(nv), b+int32(nv)
			m.Faces = append(m.Faces, [3]int32{a, c, b}, [3]int32{b, c, d})
		}
	}
	for end := 0; end < 2; end++ { // close the two ends
		row := int32(end * (nu - 1) * nv)
		var mid geom.Vec
		for j := 0; j < nv; j++ {
			mid = mid.Add(m.Vertices[row+int32(j)].Scale(1 / float64(nv)))
		}
		at := int32(len(m.Vertices))
		m.Vertices = append(m.Vertices, mid)
		for j := 0; j < nv; j++ {
			a, b := row+int32(j), row+int32((j+1)%nv)
			if end == 0 {
				m.Faces = append(m.Faces, [3]int32{at, a, b})
			} else {
				m.Faces = append(m.Faces, [3]int32{at, b, a})
			}
		}
	}
	if m.Volume() < 0 {
		for i, f := range m.Faces {
			m.Faces[i] = [3]int32{f[0], f[2], f[1]}
		}
	}
	// What a file in single precision would hold.
	for i, v := range m.Vertices {
		m.Vertices[i] = geom.V(float64(float32(v.X)), float64(float32(v.Y)), float64(float32(v.Z)))
	}
	return m
}

const places = 14 // teeth round the arch, four of them missing

func section(mid, out geom.Vec, u, v, height float64) geom.Vec {
	s, c := math.Sincos(v)
	// A rounded upright section: wide foot, narrower top.
	r, z := 5*c, height/2*s
	if s > 0 {
		r *= 1 - 0.35*s
	}
	p := u * places
	k := math.Floor(p)
	missing := k == 2 || k == 3 || k == 9 || k == 12
	t := p - k - 0.5
	if !missing && s > 0 {
		dome := math.Max(0, 1-4*t*t) // along the arch
		crown := math.Sqrt(dome)
		lean := 0.15 * math.Sin(3*k)
		bulge := 1.6 * crown * math.Exp(-math.Pow((s-0.75)/0.18, 2)) // wider than the neck
		r += math.Copysign(bulge, c) * math.Min(1, 3*math.Abs(c))
		z += 4.5 * crown * s * s
		r += lean * 4.5 * crown * s * s
	}
	return mid.Add(out.Scale(r)).Add(geom.V(0, 0, z))
}
