package survey

import (
	"context"
	"math"
	"sync"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/words"
)

// Options of a survey. The zero value is a full survey at the usual resolution.
type Options struct {
	Pixel   float64     // of the grid that faces are looked up in, in the mesh's unit; 0 chooses one by the mesh's size
	Threads int         // 0 takes all there are; the result is the same at any number
	Edges   *mesh.Edges // of the mesh, where they are known already
	NoLines bool        // depths only

	// Resolution is the error bound of a depth that is asked, in the mesh's unit; 0 takes
	// what the pixel gives. A finer one costs time and memory.
	Resolution float64
}

// Of surveys a mesh along a direction, which need not be of unit length.
func Of(ctx context.Context, m *mesh.Mesh, direction geom.Vec, opt Options) (*Survey, error) {
	t, err := NewTable(m, opt)
	if err != nil {
		return nil, err
	}
	return t.Survey(ctx, direction)
}

// Table holds a mesh ready to be surveyed along one direction after another. It is used
// by one goroutine at a time.
type Table struct {
	opt    Options
	view   view
	pieces []int32 // of each face, where there are several
	notes  []words.Text
	facing geom.Vec // where an open surface looks, as a whole, as a share of its area
}

// looksAway is the share of an open surface's area from which it is said to look away: what a
// small hole leaves of a closed one looks nowhere.
const looksAway = 0.05

// NewTable prepares a mesh.
func NewTable(m *mesh.Mesh, opt Options) (*Table, error) {
	if len(m.Faces) == 0 || len(m.Vertices) == 0 {
		return nil, words.Errorf("surveying: expected a surface, the mesh has %d vertices and %d faces", len(m.Vertices), len(m.Faces))
	}
	if err := refuseFlat(m); err != nil {
		return nil, err
	}
	e := opt.Edges
	if e == nil {
		e = mesh.EdgesOf(m)
	}
	t := &Table{opt: opt}
	box := geom.BoxOf(m.Vertices)
	t.view = view{m: m, adj: e, mid: box.Centre(), across: box.Size().Norm(), threads: threadsOr(opt.Threads)}
	of, sizes := e.Pieces()
	if len(sizes) > 1 {
		t.pieces = of
	}
	t.view.both = !e.Closed() || !outward(m, t.view.mid, of, len(sizes))
	if e.Opens > 0 {
		area := 0.0
		for i := range m.Faces {
			a, b, c := m.Corners(i)
			n := b.Sub(a).Cross(c.Sub(a))
			t.facing, area = t.facing.Add(n), area+n.Norm()
		}
		t.facing = t.facing.Scale(1 / math.Max(area, 1e-300))
	}
	t.assume(len(sizes), sizes)
	return t, nil
}

// outward tells whether every piece of a closed mesh looks outward.
func outward(m *mesh.Mesh, mid geom.Vec, of []int32, n int) bool {
	const parts = 16 // a fixed number, that the sums be the same on any number of threads
	volume := make([][]float64, parts)
	each(context.Background(), threadsOr(0), parts, 1, func(k, _ int) {
		sum := make([]float64, n)
		for i := k * len(m.Faces) / parts; i < (k+1)*len(m.Faces)/parts; i++ {
			a, b, c := m.Corners(i)
			sum[of[i]] += a.Sub(mid).Dot(b.Sub(mid).Cross(c.Sub(mid)))
		}
		volume[k] = sum
	})
	for i := range n {
		sum := 0.0
		for _, v := range volume {
			sum += v[i]
		}
		if sum <= 0 {
			return false
		}
	}
	return true
}

func (t *Table) assume(pieces int, sizes []int) {
	e := t.view.adj
	say := func(x words.Text) { t.notes = append(t.notes, x) }
	if e.Opens > 0 {
		say(words.Tell("the surface is open (%d open edges): what it does not show is taken as empty, so a rod may stand in its holes and outside its rim", e.Opens))
	}
	if e.Shareds > 0 {
		say(words.Tell("%d edges where more than two triangles meet: each triangle is taken as it stands", e.Shareds))
	}
	if e.Turned > 0 {
		say(words.Tell("%d edges whose triangles disagree which side is outside: depths do not depend on it", e.Turned))
	}
	if e.Closed() && t.view.both {
		say(words.Tell("a piece of the surface is inside out: depths do not depend on it"))
	}
	if pieces > 1 {
		say(words.Tell("%d pieces: surveyed together, one may hide another", pieces))
	}
}

// reachable refuses an error bound that is none, that rounding does not allow or whose
// grid would not fit into memory.
func (t *Table) reachable() error {
	const mostPixels = 1 << 27
	if px := t.opt.Pixel; px != 0 {
		size := t.view.across
		least, most := size/math.Sqrt(mostPixels), size/8
		if !(px >= least && px <= most) {
			return words.Errorf("surveying with pixels of %g: expected %.2g to %.2g on a mesh %.3g across", px, least, most, size)
		}
	}
	r := t.opt.Resolution
	if r == 0 {
		return nil
	}
	if !(r > 0) || math.IsInf(r, 1) {
		return words.Errorf("surveying to a resolution of %g: expected a length above 0", r)
	}
	size := t.view.across
	if least := size * max(4e-6, errorBeside*leastBeside/math.Sqrt(mostPixels)); r < least {
		return words.Errorf("surveying to a resolution of %g: a mesh %.3g across can be surveyed to %.2g at the finest; ask for that or more", r, size, least)
	}
	return nil
}

// Survey surveys the mesh along a direction.
func (t *Table) Survey(ctx context.Context, direction geom.Vec) (*Survey, error) {
	w := &t.view
	if most := max(math.Abs(direction.X), math.Abs(direction.Y), math.Abs(direction.Z)); most > 0 && !math.IsInf(most, 1) {
		direction = direction.Scale(1 / most) // its square may be beyond what a number holds
	}
	d := direction.Unit()
	if !direction.IsFinite() || d == (geom.Vec{}) {
		return nil, words.Errorf("surveying: the direction (%g, %g, %g) has no length; expected three numbers that are not all 0", direction.X, direction.Y, direction.Z)
	}
	if err := t.reachable(); err != nil {
		return nil, err
	}
	w.asked = t.opt.Resolution
	w.look(ctx, d, t.opt.Pixel)
	w.cover(ctx)
	if ctx.Err() == nil {
		seen := false
		for _, s := range w.side {
			if seen = s > 0 || s < 0 && w.both; seen {
				break
			}
		}
		if !seen {
			return nil, words.Errorf("surveying along (%.4g, %.4g, %.4g): no triangle can be seen from there: the surface stands edge-on to the path; choose another direction", d.X, d.Y, d.Z)
		}
		w.fold(ctx)
	}
	if ctx.Err() == nil {
		w.outline(ctx)
	}
	notes := t.notes
	if t.facing.Dot(d) < -looksAway {
		notes = append(notes[:len(notes):len(notes)], words.Tell("most of the surface looks away from the path: the path points the wrong way, or the surface is inside out"))
	}
	s := &Survey{Direction: d, Mesh: w.m, Resolution: errorBeside * w.px * float64(w.beside), Assumed: notes}
	var others sync.WaitGroup
	lines := func() { s.Lines = w.lines() }
	if ctx.Err() == nil && !t.opt.NoLines {
		if w.threads > 1 {
			others.Go(lines)
		} else {
			lines()
		}
	}
	if ctx.Err() == nil {
		s.Depth = w.depths(ctx, w.hidden(ctx), t.pieces)
	}
	others.Wait()
	if ctx.Err() == nil && !t.opt.NoLines {
		s.deepLines(w)
	}
	if err := ctx.Err(); err != nil {
		return nil, words.Errorf("surveying: %v", err)
	}
	return s, nil
}
