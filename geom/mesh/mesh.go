// Package mesh holds triangle meshes: how they hang together, what is wrong with them,
// and how they are searched and cut. Millimetres throughout, except in a mesh just read
// from a file, which is in the file's unit.
package mesh

import "halfpear/geom"

// Mesh is a surface of triangles. Faces index Vertices, counter-clockwise seen from
// outside. A Mesh is not changed once made.
type Mesh struct {
	Vertices []geom.Vec
	Faces    [][3]int32
}

// Corners are a face's three points.
func (m *Mesh) Corners(face int) (a, b, c geom.Vec) {
	f := m.Faces[face]
	return m.Vertices[f[0]], m.Vertices[f[1]], m.Vertices[f[2]]
}

// Map is m with every vertex moved by f; the faces are shared.
func (m *Mesh) Map(f func(geom.Vec) geom.Vec) *Mesh {
	out := &Mesh{Vertices: make([]geom.Vec, len(m.Vertices)), Faces: m.Faces}
	for i, v := range m.Vertices {
		out.Vertices[i] = f(v)
	}
	return out
}

// VertexNormals are the outward unit normals at the vertices, weighted by area.
func (m *Mesh) VertexNormals() []geom.Vec {
	out := make([]geom.Vec, len(m.Vertices))
	for i, f := range m.Faces {
		a, b, c := m.Corners(i)
		n := b.Sub(a).Cross(c.Sub(a))
		for _, v := range f {
			out[v] = out[v].Add(n)
		}
	}
	for i := range out {
		out[i] = out[i].Unit()
	}
	return out
}

// Area is the sum of the faces' areas.
func (m *Mesh) Area() float64 {
	sum := 0.0
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		sum += b.Sub(a).Cross(c.Sub(a)).Norm() / 2
	}
	return sum
}

// Volume is the signed volume enclosed, meaningful for a closed mesh and positive when
// its faces look outward.
func (m *Mesh) Volume() float64 {
	sum := 0.0
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		sum += a.Dot(b.Cross(c)) / 6
	}
	return sum
}
