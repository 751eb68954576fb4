package mesh

// What may stand in place of a neighbour.
const (
	Open   int32 = -1 // no face on the other side
	Shared int32 = -2 // more than two faces meet at the edge
)

// Edges tells which face lies across each edge of each face.
type Edges struct {
	// Across[f][k] is the face across the edge from corner k to corner k+1 of face f, or
	// Open, or Shared.
	Across [][3]int32

	Opens   int // edges with one face
	Shareds int // edges with more than two faces
	Turned  int // edges whose two faces run the same way along it: one of them is flipped
}

// EdgesOf matches the edges of a mesh. Edges of degenerate faces (a corner twice) match
// nothing.
func EdgesOf(m *Mesh) *Edges {
	nv := len(m.Vertices)
	start := make([]int32, nv+1)
	for _, f := range m.Faces {
		for k := 0; k < 3; k++ {
			a, b := f[k], f[(k+1)%3]
			if a != b {
				start[min(a, b)+1]++
			}
		}
	}
	for i := 0; i < nv; i++ {
		start[i+1] += start[i]
	}
	type half struct {
		far  int32 // the edge's larger vertex
		at   int32 // face*3+corner; the order of filling keeps faces in order
		back bool  // runs from the larger vertex to the smaller
	}
	halves := make([]half, start[nv])
	fill := make([]int32, nv)
	copy(fill, start[:nv])
	for i, f := range m.Faces {
		for k := 0; k < 3; k++ {
			a, b := f[k], f[(k+1)%3]
			if a == b {
				continue
			}
			lo, hi := min(a, b), max(a, b)
			halves[fill[lo]] = half{hi, int32(3*i + k), a > b}
			fill[lo]++
		}
	}
	e := &Edges{Across: make([][3]int32, len(m.Faces))}
	for i := range e.Across {
		e.Across[i] = [3]int32{Open, Open, Open}
	}
	for v := 0; v < nv; v++ {
		list := halves[start[v]:start[v+1]]
		for i := range list {
			if list[i].far < 0 {
				continue
			}
			mate, n := -1, 1
			for j := i + 1; j < len(list); j++ {
				if list[j].far == list[i].far {
					n++
					mate = j
				}
			}
			switch {
			case n == 1:
				e.Opens++
			case n == 2:
				a, b := list[i].at, list[mate].at
				e.Across[a/3][a%3] = b / 3
				e.Across[b/3][b%3] = a / 3
				if list[i].back == list[mate].back {
					e.Turned++
				}
				list[mate].far = -1
			default:
				e.Shareds++
				far := list[i].far
				for j := i; j < len(list); j++ {
					if list[j].far == far {
						e.Across[list[j].at/3][list[j].at%3] = Shared
						list[j].far = -1
					}
				}
			}
		}
	}
	return e
}

// Closed tells whether every edge has exactly two faces that run opposite ways along it.
func (e *Edges) Closed() bool { return e.Opens == 0 && e.Shareds == 0 && e.Turned == 0 }

// Pieces numbers the connected pieces: the piece of each face, and the number of faces of
// each piece. Faces hang together across edges with two faces.
func (e *Edges) Pieces() (of []int32, sizes []int) {
	of = make([]int32, len(e.Across))
	for i := range of {
		of[i] = -1
	}
	var stack []int32
	for i := range of {
		if of[i] >= 0 {
			continue
		}
		p := int32(len(sizes))
		sizes = append(sizes, 0)
		of[i] = p
		stack = append(stack[:0], int32(i))
		for len(stack) > 0 {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			sizes[p]++
			for _, g := range e.Across[f] {
				if g >= 0 && of[g] < 0 {
					of[g] = p
					stack = append(stack, g)
				}
			}
		}
	}
	return of, sizes
}

// Rims are the closed loops of open edges, as vertex numbers in walking order with the
// surface on the left.
func (e *Edges) Rims(m *Mesh) [][]int32 {
	next := map[int32][]int32{}
	var starts []int32
	for f, across := range e.Across {
		for k, g := range across {
			a, b := m.Faces[f][k], m.Faces[f][(k+1)%3]
			if g == Open && a != b {
				if len(next[a]) == 0 {
					starts = append(starts, a)
				}
				next[a] = append(next[a], b)
			}
		}
	}
	var out [][]int32
	for _, s := range starts {
		for len(next[s]) > 0 {
			loop := []int32{}
			v := s
			for len(next[v]) > 0 {
				w := next[v][0]
				next[v] = next[v][1:]
				loop = append(loop, v)
				v = w
				if v == s {
					break
				}
			}
			out = append(out, loop)
		}
	}
	return out
}
