package mesh

import (
	"cmp"
	"math"
	"slices"

	"halfpear/geom"
	"halfpear/words"
)

// Report is what a look at a mesh found. Lengths are in the mesh's own unit.
type Report struct {
	Vertices, Faces int
	Box             geom.Box
	MedianEdge      float64
	Area, Volume    float64
	Pieces          []int // faces of each piece, largest first
	Holes           []Hole
	OpenEdges       int
	SharedEdges     int // where more than two faces meet
	TurnedEdges     int // where two neighbours disagree which side is outside
	Degenerate      int // faces with no area
	Doubled         int // faces that stand there twice
	Closed          bool
	InsideOut       bool    // closed, and its faces look inward
	Unit            string  // likely unit: "mm", "cm", "m", "inch" or "" where no one fits an arch
	UnitFactor      float64 // from the mesh's unit to mm
	Notes           []words.Text
}

// Hole is a loop of open edges. The largest of an open scan is its outer rim.
type Hole struct {
	Edges  int
	Length float64
	Centre geom.Vec
}

// archSpan is how wide a scanned arch or cast of one may be, from a short quadrant to a
// cast with a wide base [mm]. Second molars stand 52 to 73 mm apart, outer to outer.
var archSpan = [2]float64{25, 120}

// Inspect looks at a mesh just read.
func Inspect(m *Mesh) Report {
	r := Report{Vertices: len(m.Vertices), Faces: len(m.Faces), Box: geom.BoxOf(m.Vertices), UnitFactor: 1}
	e := EdgesOf(m)
	r.OpenEdges, r.SharedEdges, r.TurnedEdges = e.Opens, e.Shareds, e.Turned
	r.Closed = e.Closed()
	r.Pieces = islands(m)
	for _, u := range useless(m, e) {
		switch u {
		case noArea:
			r.Degenerate++
		case doubled:
			r.Doubled++
		}
	}
	var lengths []float64
	for i := 0; i < len(m.Faces); i += max(1, len(m.Faces)/20000) {
		a, b, _ := m.Corners(i)
		lengths = append(lengths, a.Dist(b))
	}
	r.MedianEdge = median(lengths)
	r.Area, r.Volume = m.Area(), m.Volume()
	r.InsideOut = r.Closed && r.Volume < 0
	for _, rim := range e.Rims(m) {
		h := Hole{Edges: len(rim)}
		for i, v := range rim {
			p := m.Vertices[v]
			h.Length += p.Dist(m.Vertices[rim[(i+1)%len(rim)]])
			h.Centre = h.Centre.Add(p.Scale(1 / float64(len(rim))))
		}
		r.Holes = append(r.Holes, h)
	}
	slices.SortStableFunc(r.Holes, func(a, b Hole) int { return cmp.Compare(b.Length, a.Length) })
	r.guessUnit()
	r.tell()
	return r
}

// guessUnit takes the unit in which the mesh's widest side is as wide as an arch.
func (r *Report) guessUnit() {
	s := r.Box.Size()
	widest := math.Max(s.X, math.Max(s.Y, s.Z))
	for _, u := range []struct {
		name   string
		factor float64
	}{{"mm", 1}, {"m", 1000}, {"inch", 25.4}, {"cm", 10}} {
		if w := widest * u.factor; w >= archSpan[0] && w <= archSpan[1] {
			r.Unit, r.UnitFactor = u.name, u.factor
			return
		}
	}
}

func (r *Report) tell() {
	say := func(t words.Text) { r.Notes = append(r.Notes, t) }
	s := r.Box.Size()
	widest := math.Max(s.X, math.Max(s.Y, s.Z))
	switch r.Unit {
	case "":
		say(words.Tell("the widest side measures %.4g: in no common unit is that the size of a dental arch (%g to %g mm)", widest, archSpan[0], archSpan[1]))
	case "mm":
	default:
		say(words.Tell("the widest side measures %.4g: taken as %s, which makes it %.1f mm", widest, r.Unit, widest*r.UnitFactor))
	}
	if len(r.Pieces) > 1 {
		small := 0
		for _, n := range r.Pieces[1:] {
			small += n
		}
		say(words.Tell("%d pieces: the largest has %d triangles, the others %d together", len(r.Pieces), r.Pieces[0], small))
	}
	if r.OpenEdges > 0 {
		say(words.Tell("%d open edges in %d loops: the surface is not closed", r.OpenEdges, len(r.Holes)))
	}
	if r.SharedEdges > 0 {
		say(words.Tell("%d edges where more than two triangles meet", r.SharedEdges))
	}
	if r.TurnedEdges > 0 {
		say(words.Tell("%d edges where neighbours disagree which side is outside", r.TurnedEdges))
	}
	if r.Degenerate > 0 {
		say(words.Tell("%d triangles without area", r.Degenerate))
	}
	if r.Doubled > 0 {
		say(words.Tell("%d triangles stand there twice", r.Doubled))
	}
	if r.InsideOut {
		say(words.Tell("the surface is inside out: its triangles look inward"))
	}
}

// Repair is what Mend did.
type Repair struct {
	Dropped  int // degenerate and doubled faces
	Turned   int // faces turned over so that neighbours agree
	Inverted bool
	Unused   int // vertices no face uses
}

// Text says what was done; empty when nothing was.
func (r Repair) Text() words.Text {
	var done []words.Text
	if r.Dropped > 0 {
		done = append(done, words.Tell("triangles without area or standing twice dropped: %d", r.Dropped))
	}
	if r.Turned > 0 {
		done = append(done, words.Tell("triangles turned over to agree with their neighbours: %d", r.Turned))
	}
	if r.Unused > 0 {
		done = append(done, words.Tell("points that no triangle uses dropped: %d", r.Unused))
	}
	if r.Inverted {
		done = append(done, words.Tell("the whole surface turned outside out"))
	}
	return words.Join("; ", done...)
}

// Mend drops faces without area or standing twice, turns faces over so that neighbours
// agree, turns a closed inside-out surface outside out, and drops vertices no face uses.
// It fills no hole and moves no vertex.
func Mend(m *Mesh) (*Mesh, Repair) {
	out, rep, _ := MendKeeping(m)
	return out, rep
}

// MendKeeping is Mend that also tells which face of m each face of the result was.
func MendKeeping(m *Mesh) (*Mesh, Repair, []int32) {
	var rep Repair
	e := EdgesOf(m)
	kept := make([]int32, 0, len(m.Faces))
	faces := make([][3]int32, 0, len(m.Faces))
	for i, u := range useless(m, e) {
		if u != useful {
			rep.Dropped++
			continue
		}
		faces = append(faces, m.Faces[i])
		kept = append(kept, int32(i))
	}
	out := &Mesh{Vertices: m.Vertices, Faces: faces}
	if rep.Dropped > 0 {
		e = EdgesOf(out)
	}
	if e.Turned > 0 {
		rep.Turned = orient(out, e)
		e = EdgesOf(out)
	}
	if e.Closed() && out.Volume() < 0 {
		for i, f := range out.Faces {
			out.Faces[i] = [3]int32{f[0], f[2], f[1]}
		}
		rep.Inverted = true
	}
	used := make([]int32, len(out.Vertices))
	for _, f := range out.Faces {
		for _, v := range f {
			used[v] = 1
		}
	}
	var points []geom.Vec
	for v, u := range used {
		if u == 0 {
			rep.Unused++
			continue
		}
		used[v] = int32(len(points))
		points = append(points, out.Vertices[v])
	}
	if rep.Unused > 0 {
		out.Vertices = points
		for i, f := range out.Faces {
			out.Faces[i] = [3]int32{used[f[0]], used[f[1]], used[f[2]]}
		}
	}
	if rep == (Repair{}) {
		return m, rep, kept
	}
	return out, rep, kept
}

// orient walks each piece and turns over faces that run along a shared edge the same way
// as their neighbour; of each piece the smaller part is turned. It changes m.Faces, which
// must be m's own.
func orient(m *Mesh, e *Edges) int {
	state := make([]int8, len(m.Faces)) // 0 unseen, 1 kept, 2 turned
	turned := 0
	var stack, piece []int32
	for i := range m.Faces {
		if state[i] != 0 {
			continue
		}
		state[i] = 1
		stack, piece = append(stack[:0], int32(i)), piece[:0]
		over := 0
		for len(stack) > 0 {
			f := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			piece = append(piece, f)
			if state[f] == 2 {
				over++
			}
			for k, g := range e.Across[f] {
				if g < 0 || state[g] != 0 {
					continue
				}
				a, b := m.Faces[f][k], m.Faces[f][(k+1)%3]
				same := false
				for j := 0; j < 3; j++ {
					if m.Faces[g][j] == a && m.Faces[g][(j+1)%3] == b {
						same = true
					}
				}
				state[g] = state[f]
				if same {
					state[g] = 3 - state[f]
				}
				stack = append(stack, g)
			}
		}
		turn := int8(2)
		if over > len(piece)/2 {
			turn = 1
		}
		for _, f := range piece {
			if state[f] == turn {
				v := m.Faces[f]
				m.Faces[f] = [3]int32{v[0], v[2], v[1]}
				turned++
			}
		}
	}
	return turned
}

// What a face is good for.
const (
	useful uint8 = iota
	noArea
	doubled // the same as one before it
)

// useless finds the faces without area and those that stand there twice.
func useless(m *Mesh, e *Edges) []uint8 {
	out := make([]uint8, len(m.Faces))
	each(len(m.Faces), func(from, to int) {
		for i := from; i < to; i++ {
			f := m.Faces[i]
			a, b, c := m.Corners(i)
			if f[0] == f[1] || f[1] == f[2] || f[2] == f[0] || b.Sub(a).Cross(c.Sub(a)).Norm() == 0 {
				out[i] = noArea
			}
		}
	})
	if e.Turned == 0 && e.Shareds == 0 {
		return out // both faces of a pair would run the same way along their edges
	}
	// Faces that are the same have the same least corner.
	start := make([]int32, len(m.Vertices)+1)
	for _, f := range m.Faces {
		start[min(f[0], f[1], f[2])+1]++
	}
	for v := range m.Vertices {
		start[v+1] += start[v]
	}
	next, list := slices.Clone(start), make([]int32, len(m.Faces))
	for i, f := range m.Faces {
		v := min(f[0], f[1], f[2])
		list[next[v]] = int32(i)
		next[v]++
	}
	for v := range m.Vertices {
		same := list[start[v]:start[v+1]]
		for k, i := range same {
			for _, j := range same[k+1:] {
				if out[j] == useful && out[i] != noArea && turnedToLeast(m.Faces[i]) == turnedToLeast(m.Faces[j]) {
					out[j] = doubled
				}
			}
		}
	}
	return out
}

// turnedToLeast writes a face with its least corner first, in the same sense of turning.
func turnedToLeast(f [3]int32) [3]int32 {
	switch {
	case f[1] <= f[0] && f[1] <= f[2]:
		return [3]int32{f[1], f[2], f[0]}
	case f[2] <= f[0] && f[2] <= f[1]:
		return [3]int32{f[2], f[0], f[1]}
	}
	return f
}

// islands counts the faces of each set that hangs together by corners, as a person sees
// pieces: faces that meet at a bad edge only are one piece all the same. The largest comes
// first.
func islands(m *Mesh) []int {
	root := make([]int32, len(m.Vertices))
	for i := range root {
		root[i] = int32(i)
	}
	for _, f := range m.Faces {
		join(root, f[0], f[1])
		join(root, f[0], f[2])
	}
	faces := make([]int, len(number(root)))
	for _, f := range m.Faces {
		faces[root[f[0]]]++
	}
	faces = slices.DeleteFunc(faces, func(n int) bool { return n == 0 })
	slices.Sort(faces)
	slices.Reverse(faces)
	return faces
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return v[len(v)/2]
}
