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

// half is an edge as one face has it, kept with the edge's smaller vertex.
type half struct {
	far int32  // the edge's larger vertex; -1 once matched
	at  uint32 // twice face*3+corner, and 1 where it runs from the larger vertex to the smaller
}

// EdgesOf matches the edges of a mesh. Edges of degenerate faces (a corner twice) match
// nothing.
func EdgesOf(m *Mesh) *Edges {
	nv, n := len(m.Vertices), len(m.Faces)
	e := &Edges{Across: make([][3]int32, n)}
	parts := threads()
	if n < few {
		parts = 1
	}
	next := make([][]int32, parts) // of each vertex: where the part's next half goes
	together(parts, func(k int) {
		count := make([]int32, nv)
		for i, f := range m.Faces[k*n/parts : (k+1)*n/parts] {
			e.Across[k*n/parts+i] = [3]int32{Open, Open, Open}
			if f[0] != f[1] {
				count[min(f[0], f[1])]++
			}
			if f[1] != f[2] {
				count[min(f[1], f[2])]++
			}
			if f[2] != f[0] {
				count[min(f[2], f[0])]++
			}
		}
		next[k] = count
	})
	start := make([]int32, nv+1)
	sum := int32(0)
	for v := range nv {
		start[v] = sum
		for _, count := range next {
			count[v], sum = sum, sum+count[v]
		}
	}
	start[nv] = sum
	halves := make([]half, sum)
	together(parts, func(k int) {
		at := next[k]
		put := func(a, b int32, i uint32) {
			if a < b {
				halves[at[a]] = half{b, 2 * i}
				at[a]++
			} else if a > b {
				halves[at[b]] = half{a, 2*i + 1}
				at[b]++
			}
		}
		for i := k * n / parts; i < (k+1)*n/parts; i++ {
			f := m.Faces[i]
			put(f[0], f[1], uint32(3*i))
			put(f[1], f[2], uint32(3*i+1))
			put(f[2], f[0], uint32(3*i+2))
		}
	})
	found := make([]Edges, parts)
	together(parts, func(k int) {
		for v := k * nv / parts; v < (k+1)*nv/parts; v++ {
			e.match(halves[start[v]:start[v+1]], &found[k])
		}
	})
	for _, f := range found {
		e.Opens, e.Shareds, e.Turned = e.Opens+f.Opens, e.Shareds+f.Shareds, e.Turned+f.Turned
	}
	return e
}

// match matches the halves of one vertex and counts what is found.
func (e *Edges) match(list []half, found *Edges) {
	for i := range list {
		far := list[i].far
		if far < 0 {
			continue
		}
		mate, n := 0, 1
		for j := i + 1; j < len(list); j++ {
			if list[j].far == far {
				n++
				mate = j
			}
		}
		switch n {
		case 1:
			found.Opens++
		case 2:
			a, b := list[i].at/2, list[mate].at/2
			e.Across[a/3][a%3] = int32(b / 3)
			e.Across[b/3][b%3] = int32(a / 3)
			if list[i].at%2 == list[mate].at%2 {
				found.Turned++
			}
			list[mate].far = -1
		default:
			found.Shareds++
			for j := i; j < len(list); j++ {
				if list[j].far == far {
					e.Across[list[j].at/6][list[j].at/2%3] = Shared
					list[j].far = -1
				}
			}
		}
	}
}

// Closed tells whether every edge has exactly two faces that run opposite ways along it.
func (e *Edges) Closed() bool { return e.Opens == 0 && e.Shareds == 0 && e.Turned == 0 }

// Pieces numbers the connected pieces: the piece of each face, and the number of faces of
// each piece. Faces hang together across edges with two faces.
func (e *Edges) Pieces() (of []int32, sizes []int) {
	of = make([]int32, len(e.Across)) // first a face of the same piece, none behind it
	for f := range of {
		of[f] = int32(f)
	}
	for f, across := range e.Across {
		for _, g := range across {
			if int(g) < f && g >= 0 {
				join(of, int32(f), g)
			}
		}
	}
	return of, number(of)
}

// join makes two of a forest's trees one; every tree's root is its first member.
func join(root []int32, a, b int32) {
	a, b = rootOf(root, a), rootOf(root, b)
	if a != b {
		root[max(a, b)] = min(a, b)
	}
}

func rootOf(root []int32, a int32) int32 {
	for root[a] != a {
		root[a] = root[root[a]]
		a = root[a]
	}
	return a
}

// number turns a forest into the number of each member's tree, in order of their first
// members, and gives the trees' sizes.
func number(root []int32) (sizes []int) {
	for i, r := range root {
		if int(r) == i {
			root[i] = int32(len(sizes))
			sizes = append(sizes, 0)
		} else {
			root[i] = root[r] // which has its number: it stands before
		}
		sizes[root[i]]++
	}
	return sizes
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
