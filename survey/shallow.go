package survey

import (
	"math"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/words"
)

// An undercut is deeper than roughness, and the line over it a height of contour, from so
// many times the error bound and from this share of the surface's size across: 0.05 mm on
// a whole arch, a fifth of the smallest gauge.
const (
	tellsBound = 4
	tellsShare = 5e-4
	lookDown   = 6 // how far beyond that it is looked how deep the undercut is
)

// deepLines leaves out the lines with no undercut under them that is deeper than
// roughness: the pimples and scratches of a cast.
func (s *Survey) deepLines(w *view) {
	limit := math.Max(tellsBound*s.Resolution, tellsShare*w.across)
	kept := s.Lines[:0]
	met := make([]int32, len(s.Mesh.Faces)) // the last line each face was met from, counted from 1
	for i, l := range s.Lines {
		if l.under = s.under(l, w.adj, lookDown*limit, met, int32(i+1)); l.under > limit {
			kept = append(kept, l)
		}
	}
	s.Lines = kept
}

// under is the deepest undercut of the hidden stretch of surface that a line borders, as
// soon as one deeper than enough is met.
func (s *Survey) under(l Line, adj *mesh.Edges, enough float64, met []int32, line int32) float64 {
	var q deepest
	put := func(f int32) {
		if f < 0 || met[f] == line {
			return
		}
		met[f] = line
		c := s.Mesh.Faces[f]
		if d := max(s.Depth[c[0]], s.Depth[c[1]], s.Depth[c[2]]); d > 0 {
			q.put(hiddenFace{f, d})
		}
	}
	for _, f := range l.faces {
		put(f)
		for _, g := range adj.Across[f] {
			put(g)
		}
	}
	most := 0.0
	for len(q) > 0 && most <= enough {
		h := q.take()
		most = math.Max(most, h.depth)
		for _, g := range adj.Across[h.face] {
			put(g)
		}
	}
	return most
}

// hiddenFace is a face with the undercut of its deepest corner.
type hiddenFace struct {
	face  int32
	depth float64
}

// deepest is a heap of faces, the deepest first: none is deeper than the one at half its
// place.
type deepest []hiddenFace

func (q *deepest) put(h hiddenFace) {
	*q = append(*q, h)
	a := *q
	i := len(a) - 1
	for ; i > 0 && a[(i-1)/2].depth < h.depth; i = (i - 1) / 2 {
		a[i] = a[(i-1)/2]
	}
	a[i] = h
}

func (q *deepest) take() hiddenFace {
	a := *q
	top, h := a[0], a[len(a)-1]
	a = a[:len(a)-1]
	*q = a
	for i, k := 0, 1; k < len(a); k = 2*i + 1 {
		if k+1 < len(a) && a[k+1].depth > a[k].depth {
			k++
		}
		if a[k].depth <= h.depth {
			a[i] = h
			return top
		}
		a[i], a[k] = a[k], h
		i = k
	}
	if len(a) == 1 {
		a[0] = h
	}
	return top
}

// flat tells whether all the points of a mesh lie in one plane, to a ten-thousandth of its
// size.
func flat(m *mesh.Mesh) bool {
	box := geom.BoxOf(m.Vertices)
	near := 1e-4 * box.Size().Norm()
	for i := range m.Faces {
		a, b, c := m.Corners(i)
		n := b.Sub(a).Cross(c.Sub(a))
		if n.Norm() < near*near {
			continue
		}
		n = n.Unit()
		for _, v := range m.Vertices {
			if math.Abs(v.Sub(a).Dot(n)) > near {
				return false
			}
		}
		return true
	}
	return true
}

func refuseFlat(m *mesh.Mesh) error {
	if !flat(m) {
		return nil
	}
	size := geom.BoxOf(m.Vertices).Size()
	return words.Errorf("surveying: the mesh is a flat sheet (its %d points lie in one plane, %.3g by %.3g by %.3g across): expected the surface of a cast; check that the right file was read", len(m.Vertices), size.X, size.Y, size.Z)
}

// ShowsTeeth tells whether the path sees anything of the teeth that the faces are labelled
// with: some crown's face that looks along the path and lies under nothing.
func (s *Survey) ShowsTeeth(labels []tooth.Number) bool {
	for i, n := range labels {
		if n == 0 {
			continue
		}
		f := s.Mesh.Faces[i]
		a, b, c := s.Mesh.Corners(i)
		if s.Depth[f[0]] == 0 && s.Depth[f[1]] == 0 && s.Depth[f[2]] == 0 && b.Sub(a).Cross(c.Sub(a)).Dot(s.Direction) > 0 {
			return true
		}
	}
	return false
}
