package mesh

import "halfpear/geom"

// Cut is a point where a plane meets an edge of a mesh: a fraction T of the way from
// vertex A to vertex B. What is known at the vertices is known there by interpolation.
type Cut struct {
	A, B  int32
	T     float64
	Point geom.Vec
}

// Slice is a line in which a plane meets a mesh. A closed slice does not repeat its first
// point.
type Slice struct {
	Cuts   []Cut
	Closed bool
}

// Points are the slice's points.
func (s Slice) Points() []geom.Vec {
	out := make([]geom.Vec, len(s.Cuts))
	for i, c := range s.Cuts {
		out[i] = c.Point
	}
	return out
}

// Slices cuts the faces listed, or all faces where the list is nil. A vertex on the plane
// counts as lying above it, so that no face is met in a single point.
func (m *Mesh) Slices(p geom.Plane, faces []int32) []Slice {
	type part struct {
		ends [2]uint64
		used bool
	}
	var parts []part
	at := map[uint64][]int32{}
	one := func(f [3]int32) {
		var h [3]bool
		for k, v := range f {
			h[k] = p.Above(m.Vertices[v]) >= 0
		}
		if h[0] == h[1] && h[1] == h[2] {
			return
		}
		var q part
		n := 0
		for k := 0; k < 3 && n < 2; k++ {
			a, b := f[k], f[(k+1)%3]
			if h[k] != h[(k+1)%3] {
				q.ends[n] = uint64(min(a, b))<<32 | uint64(max(a, b))
				n++
			}
		}
		if n < 2 || q.ends[0] == q.ends[1] {
			return
		}
		i := int32(len(parts))
		parts = append(parts, q)
		at[q.ends[0]] = append(at[q.ends[0]], i)
		at[q.ends[1]] = append(at[q.ends[1]], i)
	}
	if faces == nil {
		for _, f := range m.Faces {
			one(f)
		}
	} else {
		for _, i := range faces {
			one(m.Faces[i])
		}
	}
	cut := func(key uint64) Cut {
		a, b := int32(key>>32), int32(key)
		ha, hb := p.Above(m.Vertices[a]), p.Above(m.Vertices[b])
		t := ha / (ha - hb)
		return Cut{a, b, t, m.Vertices[a].Lerp(m.Vertices[b], t)}
	}
	// follow walks from one end of a part as far as the line goes.
	follow := func(from int32, end uint64) (keys []uint64) {
		for i := from; ; {
			keys = append(keys, end)
			next := int32(-1)
			for _, j := range at[end] {
				if j != i && !parts[j].used {
					next = j
					break
				}
			}
			if next < 0 {
				return keys
			}
			parts[next].used = true
			if parts[next].ends[0] == end {
				end = parts[next].ends[1]
			} else {
				end = parts[next].ends[0]
			}
			i = next
		}
	}
	var out []Slice
	for i := range parts {
		if parts[i].used {
			continue
		}
		parts[i].used = true
		ahead := follow(int32(i), parts[i].ends[1])
		var s Slice
		if len(ahead) > 1 && ahead[len(ahead)-1] == parts[i].ends[0] {
			s.Closed = true
			for _, k := range ahead {
				s.Cuts = append(s.Cuts, cut(k))
			}
		} else {
			back := follow(int32(i), parts[i].ends[0])
			for j := len(back) - 1; j >= 0; j-- {
				s.Cuts = append(s.Cuts, cut(back[j]))
			}
			for _, k := range ahead {
				s.Cuts = append(s.Cuts, cut(k))
			}
		}
		out = append(out, s)
	}
	return out
}

// Section is where a plane meets the mesh. Closed lines repeat their first point.
func (m *Mesh) Section(p geom.Plane) [][]geom.Vec {
	var out [][]geom.Vec
	for _, s := range m.Slices(p, nil) {
		pts := s.Points()
		if s.Closed {
			pts = geom.Closed(pts)
		}
		out = append(out, pts)
	}
	return out
}
