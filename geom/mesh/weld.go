package mesh

import (
	"math"

	"halfpear/geom"
)

// Weld makes a mesh of loose triangles, three corners of three coordinates each: corners
// with the very same coordinates become one vertex. Vertices are numbered in order of
// appearance. Coordinates that differ only in the sign of zero are the same.
func Weld(corners []float32) *Mesh {
	n := len(corners) / 3
	size := 16
	for size < n { // at most half full: a closed mesh has a vertex for every six corners
		size *= 2
	}
	mask := uint32(size - 1)
	table := make([]int32, size) // vertex number + 1
	keys := make([]float32, 0, n)
	faces := make([][3]int32, n/3)
	count := int32(0)
	for i := 0; i < n/3*3; i++ {
		x, y, z := corners[3*i]+0, corners[3*i+1]+0, corners[3*i+2]+0
		h := hash3(math.Float32bits(x), math.Float32bits(y), math.Float32bits(z)) & mask
		var v int32
		for {
			v = table[h] - 1
			if v < 0 {
				v = count
				count++
				table[h] = count
				keys = append(keys, x, y, z)
				break
			}
			if k := keys[3*v : 3*v+3]; k[0] == x && k[1] == y && k[2] == z {
				break
			}
			h = (h + 1) & mask
		}
		faces[i/3][i%3] = v
	}
	m := &Mesh{Vertices: make([]geom.Vec, count), Faces: faces}
	for v := range m.Vertices {
		m.Vertices[v] = geom.Vec{X: float64(keys[3*v]), Y: float64(keys[3*v+1]), Z: float64(keys[3*v+2])}
	}
	return m
}

// WeldVertices is m with vertices at the very same place made one.
func (m *Mesh) WeldVertices() *Mesh {
	seen := make(map[geom.Vec]int32, len(m.Vertices))
	to := make([]int32, len(m.Vertices))
	out := &Mesh{Faces: make([][3]int32, len(m.Faces))}
	for i, v := range m.Vertices {
		v = v.Add(geom.Vec{})
		at, ok := seen[v]
		if !ok {
			at = int32(len(out.Vertices))
			seen[v] = at
			out.Vertices = append(out.Vertices, v)
		}
		to[i] = at
	}
	for i, f := range m.Faces {
		out.Faces[i] = [3]int32{to[f[0]], to[f[1]], to[f[2]]}
	}
	return out
}

func hash3(x, y, z uint32) uint32 {
	h := uint64(x)*0x9E3779B97F4A7C15 ^ uint64(y)*0xC2B2AE3D27D4EB4F ^ uint64(z)*0x165667B19E3779F9
	h ^= h >> 29
	h *= 0xBF58476D1CE4E5B9
	return uint32(h >> 32)
}
