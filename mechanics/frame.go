package mechanics

import (
	"errors"
	"fmt"

	"gonum.org/v1/gonum/mat"

	"halfpear/geom"
)

// Frame is a framework of bars joined at nodes, each with three shifts and three turns. A
// bar is a whole beam, curved and tapered as it is: its stiffness between the nodes at its
// ends comes from its flexibility, and its ends may stand off the nodes by rigid links.
type Frame struct {
	nodes []geom.Vec
	bars  []frameBar
	fixed map[int]bool
}

type frameBar struct {
	a, b int // nodes at the first and the last point
	beam *Beam
}

// Node adds a node and gives its number.
func (f *Frame) Node(at geom.Vec) int {
	f.nodes = append(f.nodes, at)
	return len(f.nodes) - 1
}

// Bar adds a bar from node a, where its path begins, to node b.
func (f *Frame) Bar(a, b int, beam *Beam) { f.bars = append(f.bars, frameBar{a, b, beam}) }

// Fix holds a node against every movement.
func (f *Frame) Fix(node int) {
	if f.fixed == nil {
		f.fixed = map[int]bool{}
	}
	f.fixed[node] = true
}

// Give is a frame with its stiffness solved, ready for loads.
type Give struct {
	frame *Frame
	row   []int // of each node's first unknown; -1 where it is held or no bar ends there
	chol  mat.Cholesky
	size  int
}

// ErrLoose says that a part of a frame is not held.
var ErrLoose = errors.New("a part of the frame is joined to nothing that is held")

// Solve sets the stiffness up.
func (f *Frame) Solve() (*Give, error) {
	g := &Give{frame: f, row: make([]int, len(f.nodes))}
	joined := make([]bool, len(f.nodes))
	for _, b := range f.bars {
		joined[b.a], joined[b.b] = true, true
	}
	for i := range f.nodes {
		g.row[i] = -1
		if joined[i] && !f.fixed[i] {
			g.row[i] = g.size
			g.size += 6
		}
	}
	if g.size == 0 {
		return g, nil
	}
	k := mat.NewSymDense(g.size, nil)
	for n, bar := range f.bars {
		e, err := f.stiffness(bar)
		if err != nil {
			return nil, fmt.Errorf("bar %d of the frame: %w", n+1, err)
		}
		rows := [2]int{g.row[bar.a], g.row[bar.b]}
		for i := range 12 {
			for j := range 12 {
				r, c := rows[i/6], rows[j/6]
				if r < 0 || c < 0 || r+i%6 > c+j%6 {
					continue
				}
				k.SetSym(r+i%6, c+j%6, k.At(r+i%6, c+j%6)+e[i][j])
			}
		}
	}
	if !g.chol.Factorize(k) {
		return nil, ErrLoose
	}
	return g, nil
}

// stiffness is a bar's, of its two nodes: w = k·u with forces before moments, shifts before
// turns.
func (f *Frame) stiffness(bar frameBar) (k [12][12]float64, err error) {
	tip := mat.NewSymDense(6, nil)
	for i := range 6 {
		for j := i; j < 6; j++ {
			tip.SetSym(i, j, (bar.beam.phi[i][j]+bar.beam.phi[j][i])/2)
		}
	}
	var chol mat.Cholesky
	var stiff mat.SymDense
	if !chol.Factorize(tip) {
		return k, errors.New("the bar cannot be bent in every direction")
	}
	if err := chol.InverseTo(&stiff); err != nil {
		return k, fmt.Errorf("turning its flexibility into stiffness: %w", err)
	}
	// The tip's movement beyond what the root's takes it along: u = B·(root, tip), seen at
	// the nodes. Row i of B gives the tip's i-th movement.
	end := bar.beam.End()
	var b [6][12]float64
	carry := func(col int, from geom.Vec, sign float64) {
		r := end.Sub(from)
		cross := [3][3]float64{{0, r.Z, -r.Y}, {-r.Z, 0, r.X}, {r.Y, -r.X, 0}} // θ × r
		for i := range 3 {
			b[i][col+i] += sign
			b[i+3][col+i+3] += sign
			for j := range 3 {
				b[i][col+3+j] += sign * cross[i][j]
			}
		}
	}
	carry(0, f.nodes[bar.a], -1)
	carry(6, f.nodes[bar.b], 1)
	for i := range 12 {
		for j := range 12 {
			for m := range 6 {
				if b[m][i] == 0 {
					continue
				}
				for n := range 6 {
					k[i][j] += b[m][i] * stiff.At(m, n) * b[n][j]
				}
			}
		}
	}
	return k, nil
}

// Under is the motion of each node, its turn about itself, under a force at a place that is
// linked to a node.
func (g *Give) Under(node int, at, force geom.Vec) ([]Motion, error) {
	out := make([]Motion, len(g.frame.nodes))
	if g.size == 0 || g.row[node] < 0 {
		return out, nil
	}
	m := at.Sub(g.frame.nodes[node]).Cross(force)
	load := mat.NewVecDense(g.size, nil)
	for i, v := range [6]float64{force.X, force.Y, force.Z, m.X, m.Y, m.Z} {
		load.SetVec(g.row[node]+i, v)
	}
	var x mat.VecDense
	if err := g.chol.SolveVecTo(&x, load); err != nil {
		return nil, fmt.Errorf("solving the frame: %w", err)
	}
	for i, r := range g.row {
		if r >= 0 {
			out[i] = Motion{geom.V(x.AtVec(r), x.AtVec(r+1), x.AtVec(r+2)), geom.V(x.AtVec(r+3), x.AtVec(r+4), x.AtVec(r+5))}
		}
	}
	return out, nil
}
