package mesh

import (
	"math"

	"halfpear/geom"
)

// Weld makes a mesh of n loose triangles: corners with the very same coordinates become
// one vertex. Vertices are numbered in order of appearance. Coordinates that differ only
// in the sign of zero are the same.
//
// fill gives the corners of the triangles from one number to before another, nine
// coordinates each. It may be called for several stretches at once; the mesh does not
// depend on how. Of several errors the one of the first stretch is returned.
func Weld(n int, fill func(from, to int, corners []float32) error) (*Mesh, error) {
	parts := threads()
	if n < few {
		parts = 1
	}
	m := &Mesh{Faces: make([][3]int32, n)}
	welds := make([]weld, parts)
	together(parts, func(k int) {
		w := &welds[k]
		from, to := k*n/parts, (k+1)*n/parts
		if k == 0 { // takes in the others' points in the end
			w.hold(n)
		} else {
			w.hold(to - from)
		}
		corners := make([]float32, 9*chunk)
		for a := from; a < to; a += chunk {
			b := min(to, a+chunk)
			some := corners[:9*(b-a)]
			if w.err = fill(a, b, some); w.err != nil {
				return
			}
			w.number(m.Faces[a:b], some)
		}
	})
	for _, w := range welds {
		if w.err != nil {
			return nil, w.err
		}
	}
	// The later parts' vertices are sought among the earlier ones' and take their numbers.
	all := &welds[0]
	number := make([][]int32, parts)
	for k := 1; k < parts; k++ {
		number[k] = all.take(welds[k].points)
	}
	together(parts, func(k int) {
		if k > 0 {
			for i, f := range m.Faces[k*n/parts : (k+1)*n/parts] {
				to := number[k]
				m.Faces[k*n/parts+i] = [3]int32{to[f[0]], to[f[1]], to[f[2]]}
			}
		}
	})
	m.Vertices = make([]geom.Vec, len(all.points))
	each(len(all.points), func(from, to int) {
		for i, p := range all.points[from:to] {
			m.Vertices[from+i] = geom.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])}
		}
	})
	return m, nil
}

// weld numbers points, the same point with the same number.
type weld struct {
	points [][3]float32
	table  []int32 // open addressing: number of the point + 1, 0 where there is none
	seen   int32   // keeps the look-ahead from being left out
	err    error
}

// hold makes room for the points of n triangles of a closed mesh, which has half as many.
func (w *weld) hold(n int) {
	size := 16
	for size < n {
		size *= 2
	}
	w.points = make([][3]float32, 0, n/2+n/16)
	w.table = make([]int32, size)
}

// chunk is how many triangles are welded at a time.
const chunk = 64

// number gives the corners of a chunk their numbers.
func (w *weld) number(faces [][3]int32, corners []float32) {
	var hashes [3 * chunk]uint32
	for i := range 3 * len(faces) {
		c := corners[3*i : 3*i+3 : 3*i+3]
		c[0], c[1], c[2] = c[0]+0, c[1]+0, c[2]+0
		hashes[i] = w.ahead(c[0], c[1], c[2])
	}
	for i := range faces {
		c, h := corners[9*i:9*i+9:9*i+9], hashes[3*i:3*i+3:3*i+3]
		faces[i] = [3]int32{w.at(h[0], c[0], c[1], c[2]), w.at(h[1], c[3], c[4], c[5]), w.at(h[2], c[6], c[7], c[8])}
	}
}

// take gives points their numbers.
func (w *weld) take(points [][3]float32) []int32 {
	out := make([]int32, len(points))
	var hashes [3 * chunk]uint32
	for a := 0; a < len(points); a += len(hashes) {
		some := points[a:min(len(points), a+len(hashes))]
		for i, p := range some {
			hashes[i] = w.ahead(p[0], p[1], p[2])
		}
		for i, p := range some {
			out[a+i] = w.at(hashes[i], p[0], p[1], p[2])
		}
	}
	return out
}

// ahead is the hash of a point. It looks up the point's place in the table before it is
// needed, so that many come from memory together.
func (w *weld) ahead(x, y, z float32) uint32 {
	h := hash(x, y, z)
	w.seen += w.table[h&uint32(len(w.table)-1)]
	return h
}

// at is the number of a point with its hash.
func (w *weld) at(h uint32, x, y, z float32) int32 {
	mask := uint32(len(w.table) - 1)
	for h &= mask; ; h = (h + 1) & mask {
		v := w.table[h] - 1
		if v < 0 {
			v = int32(len(w.points))
			w.points = append(w.points, [3]float32{x, y, z})
			w.table[h] = v + 1
			if 4*len(w.points) > 3*len(w.table) {
				w.grow()
			}
			return v
		}
		if p := &w.points[v]; p[0] == x && p[1] == y && p[2] == z {
			return v
		}
	}
}

func (w *weld) grow() {
	w.table = make([]int32, 2*len(w.table))
	mask := uint32(len(w.table) - 1)
	for v, p := range w.points {
		h := hash(p[0], p[1], p[2]) & mask
		for w.table[h] != 0 {
			h = (h + 1) & mask
		}
		w.table[h] = int32(v + 1)
	}
}

func hash(x, y, z float32) uint32 {
	h := uint64(math.Float32bits(x))*0x9E3779B97F4A7C15 ^ uint64(math.Float32bits(y))*0xC2B2AE3D27D4EB4F ^ uint64(math.Float32bits(z))*0x165667B19E3779F9
	h ^= h >> 29
	h *= 0xBF58476D1CE4E5B9
	return uint32(h >> 32)
}

// WeldVertices is m with vertices at the very same place made one.
func (m *Mesh) WeldVertices() *Mesh {
	size := 16
	for size < 2*len(m.Vertices) {
		size *= 2
	}
	table, mask := make([]int32, size), uint64(size-1)
	to := make([]int32, len(m.Vertices))
	out := &Mesh{Faces: make([][3]int32, len(m.Faces)), Vertices: make([]geom.Vec, 0, len(m.Vertices))}
	for i, v := range m.Vertices {
		v = v.Add(geom.Vec{}) // zeros lose their sign
		h := math.Float64bits(v.X)*0x9E3779B97F4A7C15 ^ math.Float64bits(v.Y)*0xC2B2AE3D27D4EB4F ^ math.Float64bits(v.Z)*0x165667B19E3779F9
		h = (h ^ h>>29) * 0xBF58476D1CE4E5B9 >> 24
		for ; ; h++ {
			at := &table[h&mask]
			if *at == 0 {
				out.Vertices = append(out.Vertices, v)
				*at = int32(len(out.Vertices))
			}
			if out.Vertices[*at-1] == v {
				to[i] = *at - 1
				break
			}
		}
	}
	each(len(m.Faces), func(from, t int) {
		for i, f := range m.Faces[from:t] {
			out.Faces[from+i] = [3]int32{to[f[0]], to[f[1]], to[f[2]]}
		}
	})
	return out
}
