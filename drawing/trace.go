package drawing

import (
	"halfpear/geom"
	"halfpear/geom/mesh"
)

// chain is a line over a mesh. A closed one does not repeat its first point.
type chain struct {
	points []geom.Vec
	closed bool
}

// trace gives the lines on the faces (all of them where faces is nil) along which the
// value given at each vertex is zero, between vertices by straight interpolation.
// Positive values lie to the left of a line seen from outside.
func trace(m *mesh.Mesh, faces []int32, value func(v int32) float64) []chain {
	type link struct {
		to    uint64
		point geom.Vec
	}
	next := map[uint64]link{}
	come := map[uint64]bool{}
	var order []uint64
	key := func(a, b int32) uint64 {
		if a > b {
			a, b = b, a
		}
		return uint64(uint32(a))<<32 | uint64(uint32(b))
	}
	at := func(a, b int32) geom.Vec {
		if a > b { // the same point from both faces, to the last bit
			a, b = b, a
		}
		u, v := value(a), value(b)
		return m.Vertices[a].Lerp(m.Vertices[b], u/(u-v))
	}
	one := func(f [3]int32) {
		up := [3]bool{value(f[0]) > 0, value(f[1]) > 0, value(f[2]) > 0}
		if up[0] == up[1] && up[1] == up[2] {
			return
		}
		// The line enters over the edge that goes down and leaves over the one that rises.
		var in, out uint64
		var p geom.Vec
		for i := range 3 {
			j := (i + 1) % 3
			switch {
			case up[i] && !up[j]:
				in, p = key(f[i], f[j]), at(f[i], f[j])
			case !up[i] && up[j]:
				out = key(f[i], f[j])
				if _, ok := next[out]; !ok {
					next[out] = link{0, at(f[i], f[j])}
				}
			}
		}
		if l, ok := next[in]; ok && l.to != 0 {
			return // two faces wound against each other share this edge
		}
		next[in] = link{out, p}
		come[out] = true
		order = append(order, in)
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
	used := map[uint64]bool{}
	var out []chain
	walk := func(from uint64) {
		var c chain
		for k := from; ; {
			l := next[k]
			if used[k] {
				c.closed = k == from && len(c.points) > 2
				break
			}
			used[k] = true
			c.points = append(c.points, l.point)
			if l.to == 0 {
				break
			}
			k = l.to
		}
		if len(c.points) > 1 {
			out = append(out, c)
		}
	}
	for _, k := range order { // open lines from their beginning, then rings
		if !come[k] && !used[k] {
			walk(k)
		}
	}
	for _, k := range order {
		if !used[k] {
			walk(k)
		}
	}
	return out
}
