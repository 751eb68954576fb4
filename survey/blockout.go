package survey

import (
	"context"
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/words"
)

// Shaping says how a block-out is shaped. The zero value fills every undercut parallel to
// the path.
type Shaping struct {
	TaperDeg float64  // of the walls below the survey line to the path; 0 is parallel
	Cell     float64  // of the grid the solid is drawn on, in the mesh's unit; 0 the usual one
	Ledges   []Ledge  // above them the undercut stays free
	Shelves  []Ledge  // under them the filling stands out beyond the surface by their reach
	Keep     []Patch  // what is above them stays free
	Relief   []Relief // sheets laid over the surface

	// Counts tells which places count for the largest gap; nil counts all. The base of a
	// cast is filled too, and nothing passes there.
	Counts func(geom.Vec) bool

	Progress func(share float64) // is told how far the work has come; may be nil
}

// Ledge is the lower border of a clasp's arm on the tooth: the undercut is filled up to it
// and stays free above, so that the filling is a ledge on which the arm is laid.
type Ledge struct {
	Line  []geom.Vec
	Reach float64 // how far from the line the ledge goes, across the path
}

// Patch is an area of the surface inside an outline, as the path sees it.
type Patch struct {
	Outline []geom.Vec
	Holes   [][]geom.Vec
}

// Relief is a sheet of a thickness over a patch.
type Relief struct {
	Patch
	Thickness float64
}

// BlockOut is a surface with its undercuts filled: a closed solid on a base at its lowest height.
type BlockOut struct {
	Mesh       *mesh.Mesh
	Cell       float64 // of the grid; edges are rounded by half of it, faces are truer by far
	Volume     float64 // of the filling; not a number where the surface's triangles disagree which side is outside
	LargestGap float64 // deepest undercut that was filled, across the path
	Kept       float64 // volume of the undercuts left free
	Shelved    float64 // volume of the shelves
	Relieved   float64 // volume of the relief
}

const (
	largestTaper = 30  // far beyond any blade used for trimming wax [deg]
	cellsAcross  = 400 // of the usual grid, along its longer side
	mostNodes    = 1 << 28
	seatRoom     = 4.0 // above a kept patch nothing is filled to this height [mm]
)

// BlockOut fills the undercuts of the table's mesh along a direction. Nothing is filled on
// the part of the surface above the survey line.
func (t *Table) BlockOut(ctx context.Context, direction geom.Vec, how Shaping) (*BlockOut, error) {
	if !(how.TaperDeg >= 0 && how.TaperDeg <= largestTaper) {
		return nil, words.Errorf("blocking out with a taper of %g degrees: expected 0 to %d", how.TaperDeg, largestTaper)
	}
	s, err := t.Survey(ctx, direction)
	if err != nil {
		return nil, err
	}
	b := newFiller(t, s, how)
	if b.err != nil {
		return nil, b.err
	}
	out := &BlockOut{Cell: b.cell, LargestGap: b.largestGap()}
	tell := func(share float64) {
		if how.Progress != nil {
			how.Progress(share)
		}
	}
	tell(0.1)
	b.lean()
	b.lay(ctx)
	tell(0.3)
	b.columns(ctx)
	tell(0.5)
	b.settle(ctx)
	tell(0.6)
	if out.Mesh = b.mesh(ctx); ctx.Err() != nil {
		return nil, words.Errorf("blocking out: %v", ctx.Err())
	}
	tell(0.9)
	if len(out.Mesh.Faces) == 0 {
		return nil, words.Errorf("blocking out: the surface is too small or too thin for a grid of %.3g; choose a finer one", b.cell)
	}
	b.volumes(out)
	if t.view.adj.Turned > 0 {
		out.Volume = math.NaN()
	}
	return out, nil
}

// filler builds a block-out. Everything in it is in the frame of the path: Z along it, the
// grid's first node at the origin.
type filler struct {
	how     Shaping
	survey  *Survey
	frame   geom.Frame
	surface *cast.Surface // the mesh in that frame
	turned  *mesh.Mesh
	threads int
	cell    float64
	floor   float64 // lowest height of the surface
	nx, ny  int
	nz      int
	top     []float64 // height of the surface over each node of the plan
	taper   []float64 // and of the tapered filling; nil without a taper
	solid   []bool    // nodes, z fastest
	freed
	shelves []ledge
	relief  []area
	sheet   []float32 // how far each node lies within a sheet of relief, below 0 outside one; nil without any
	touched []bool    // nodes of the plan where something is kept free or relieved

	before    float64 // volume under the surface as it was
	insideOut bool    // the surface's faces look inward
	err       error
}

// freed is what a shaping keeps free, in the frame of the path.
type freed struct {
	ledges []ledge
	keep   []area
}

// Frees tells of places of the mesh whether the shaping keeps them free of filling, along a
// direction.
func (how Shaping) Frees(direction geom.Vec) func(geom.Vec) bool {
	f := geom.FrameAlong(direction)
	free := how.freed(f)
	return func(p geom.Vec) bool { return free.free(f.Local(p)) }
}

func (how Shaping) freed(f geom.Frame) freed {
	out := freed{ledges: ledgesIn(f, how.Ledges)}
	for _, p := range how.Keep {
		if len(p.Outline) > 2 {
			out.keep = append(out.keep, areaIn(f, p, 0))
		}
	}
	return out
}

func localLine(f geom.Frame, line []geom.Vec) []geom.Vec {
	out := make([]geom.Vec, len(line))
	for i, p := range line {
		out[i] = f.Local(p)
	}
	return out
}

func ledgesIn(f geom.Frame, list []Ledge) []ledge {
	var out []ledge
	for _, l := range list {
		if len(l.Line) > 1 {
			g := ledge{line: localLine(f, l.Line), reach: l.Reach}
			g.box = geom.BoxOf(g.line)
			side := geom.V(l.Reach, l.Reach, 0)
			g.box.Min, g.box.Max = g.box.Min.Sub(side), g.box.Max.Add(side)
			out = append(out, g)
		}
	}
	return out
}

func areaIn(f geom.Frame, p Patch, thickness float64) area {
	flat := func(line []geom.Vec) []geom.Vec2 {
		out := make([]geom.Vec2, len(line))
		for i, p := range localLine(f, line) {
			out[i] = p.XY()
		}
		return out
	}
	a := area{box: geom.BoxOf(localLine(f, p.Outline)), outline: flat(p.Outline), thickness: thickness}
	for _, h := range p.Holes {
		a.holes = append(a.holes, flat(h))
	}
	return a
}

type ledge struct {
	line  []geom.Vec
	reach float64
	box   geom.Box // round all that the ledge may keep free, open upward
}

// area is a patch in the frame of the path.
type area struct {
	box       geom.Box
	outline   []geom.Vec2
	holes     [][]geom.Vec2
	thickness float64
}

func (a area) holds(q geom.Vec2) bool {
	if q.X < a.box.Min.X || q.X > a.box.Max.X || q.Y < a.box.Min.Y || q.Y > a.box.Max.Y || !geom.Contains2(a.outline, q) {
		return false
	}
	for _, h := range a.holes {
		if geom.Contains2(h, q) {
			return false
		}
	}
	return true
}

func newFiller(t *Table, s *Survey, how Shaping) *filler {
	b := &filler{how: how, survey: s, threads: threadsOr(t.opt.Threads)}
	f := geom.FrameAlong(s.Direction)
	box := geom.BoxOf(s.Mesh.Map(f.Local).Vertices)
	size := box.Size()
	if b.cell = how.Cell; b.cell == 0 {
		b.cell = math.Max(size.X, size.Y) / cellsAcross
	}
	if !(b.cell > 0) || size.X/b.cell*size.Y/b.cell*(size.Z/b.cell+4) > mostNodes {
		b.err = words.Errorf("blocking out on a grid of %g: expected a length that divides a body of %.3g by %.3g by %.3g into at most %d nodes", b.cell, size.X, size.Y, size.Z, mostNodes)
		return b
	}
	// Room for what widens: the taper's foot and the relief.
	room, thick := size.Z*math.Tan(geom.Deg(how.TaperDeg)), 0.0
	for _, r := range how.Relief {
		thick = math.Max(thick, r.Thickness)
	}
	room = math.Max(room, thick)
	for _, l := range how.Shelves {
		room = math.Max(room, l.Reach)
	}
	// Off the round, so that nodes seldom lie on the mesh's edges; the lowest just over the base.
	off := geom.V(2.382*b.cell+room, 2.618*b.cell+room, 2.98*b.cell)
	b.frame = f
	b.frame.Origin = f.Dir(box.Min.Sub(off))
	b.turned = s.Mesh.Map(b.frame.Local)
	b.surface = cast.NewSurface(b.turned)
	b.floor = off.Z
	for i := range b.turned.Faces {
		p, q, r := b.turned.Corners(i)
		b.before += q.Sub(p).Cross(r.Sub(p)).Z / 2 * ((p.Z+q.Z+r.Z)/3 - b.floor)
	}
	b.insideOut = b.before < 0
	b.nx, b.ny, b.nz = int((size.X+2*room)/b.cell)+6, int((size.Y+2*room)/b.cell)+6, int((size.Z+thick)/b.cell)+6
	b.freed = how.freed(b.frame)
	b.shelves = ledgesIn(b.frame, how.Shelves)
	for _, r := range how.Relief {
		if len(r.Outline) > 2 && r.Thickness > 0 {
			b.relief = append(b.relief, areaIn(b.frame, r.Patch, r.Thickness))
		}
	}
	b.touch()
	return b
}

// largestGap is the deepest undercut that is filled. The underside of a flat base, below
// which nothing is filled, is none.
func (b *filler) largestGap() float64 {
	over := make([]bool, len(b.turned.Vertices)) // some face of the vertex leaves the base
	for _, f := range b.turned.Faces {
		if v := b.turned.Vertices; math.Max(v[f[0]].Z, math.Max(v[f[1]].Z, v[f[2]].Z)) > b.floor+b.cell/10 {
			over[f[0]], over[f[1]], over[f[2]] = true, true, true
		}
	}
	most := 0.0
	for i, d := range b.survey.Depth {
		if d > most && over[i] && !b.free(b.turned.Vertices[i]) && (b.how.Counts == nil || b.how.Counts(b.survey.Mesh.Vertices[i])) {
			most = d
		}
	}
	return most
}

// touch marks the nodes of the plan about what is kept free or relieved.
func (b *filler) touch() {
	b.touched = make([]bool, b.nx*b.ny)
	mark := func(box geom.Box, room float64) {
		room += 2 * b.cell
		for y := max(0, int((box.Min.Y-room)/b.cell)); y < min(b.ny, int((box.Max.Y+room)/b.cell)+1); y++ {
			for x := max(0, int((box.Min.X-room)/b.cell)); x < min(b.nx, int((box.Max.X+room)/b.cell)+1); x++ {
				b.touched[y*b.nx+x] = true
			}
		}
	}
	for _, l := range append(append([]ledge{}, b.ledges...), b.shelves...) {
		mark(l.box, 0)
	}
	for _, a := range b.keep {
		mark(a.box, 0)
	}
	for _, a := range b.relief {
		mark(a.box, a.thickness)
	}
}

// free tells whether a place is to be kept free where it is not solid.
func (b freed) free(q geom.Vec) bool {
	for _, a := range b.keep {
		if q.Z > a.box.Min.Z-0.5 && q.Z < a.box.Max.Z+seatRoom && a.holds(q.XY()) {
			return true
		}
	}
	for _, l := range b.ledges {
		if q.X < l.box.Min.X || q.X > l.box.Max.X || q.Y < l.box.Min.Y || q.Y > l.box.Max.Y || q.Z < l.box.Min.Z {
			continue
		}
		if level, ok := l.level(q.XY()); ok && q.Z >= level {
			return true
		}
	}
	return false
}

// level is the height of a ledge at a place of the plan; false where it does not go.
func (l ledge) level(q geom.Vec2) (z float64, ok bool) {
	best := l.reach
	for i := 1; i < len(l.line); i++ {
		a, c := l.line[i-1], l.line[i]
		ac := c.XY().Sub(a.XY())
		l2 := ac.Dot(ac)
		if l2 == 0 {
			continue
		}
		t := q.Sub(a.XY()).Dot(ac) / l2
		past := t < 0 && i == 1 || t > 1 && i == len(l.line)-1
		t = math.Max(0, math.Min(1, t))
		if d := q.Dist(a.XY().Lerp(c.XY(), t)); d <= best {
			best, z, ok = d, a.Z+t*(c.Z-a.Z), !past
		}
	}
	return z, ok
}

// in tells whether a place belongs to the block-out; height is that of surface and filling
// over it.
func (b *filler) in(q geom.Vec, height float64, touched bool) bool {
	if q.Z < b.floor {
		return false
	}
	if q.Z < height && (!touched || !b.free(q)) {
		return true
	}
	if !touched {
		return false
	}
	return q.Z < height && b.filledFree(q) || b.shelved(q)
}

// within tells whether a place lies inside the grid's outermost nodes, which stay empty so
// that the solid is closed.
func (b *filler) within(q geom.Vec) bool {
	c := b.cell
	return q.X > c && q.Y > c && q.X < float64(b.nx-2)*c && q.Y < float64(b.ny-2)*c && q.Z < float64(b.nz-2)*c
}

// shelved tells whether a place belongs to a shelf.
func (b *filler) shelved(q geom.Vec) bool {
	if len(b.shelves) == 0 || !b.within(q) {
		return false
	}
	for _, l := range b.shelves {
		if q.Z < b.floor || q.Z > l.box.Max.Z || q.X < l.box.Min.X || q.X > l.box.Max.X || q.Y < l.box.Min.Y || q.Y > l.box.Max.Y {
			continue
		}
		if level, ok := l.level(q.XY()); ok && q.Z <= level {
			return !b.free(q)
		}
	}
	return false
}

// filledFree tells whether a place that is to stay free is solid by itself.
func (b *filler) filledFree(q geom.Vec) bool {
	_, up, ok := b.surface.Over(q)
	return ok && up != b.insideOut
}

// heightOver is the height of surface and filling over a place; minus infinity where there
// is none.
func (b *filler) heightOver(x, y float64) float64 {
	z := math.Inf(-1)
	if p, _, ok := b.surface.Top(x, y); ok {
		z = p.Z
	}
	i, j := int(x/b.cell), int(y/b.cell)
	if b.taper == nil || i < 0 || j < 0 || i+1 >= b.nx || j+1 >= b.ny {
		return z
	}
	u, v := x/b.cell-float64(i), y/b.cell-float64(j)
	k := j*b.nx + i
	h := (b.taper[k]*(1-u)+b.taper[k+1]*u)*(1-v) + (b.taper[k+b.nx]*(1-u)+b.taper[k+b.nx+1]*u)*v
	if h < b.floor {
		return z
	}
	return math.Max(z, h)
}

// lean works out how high the tapered filling stands: the upper envelope of cones that hang
// from the survey line.
func (b *filler) lean() {
	slope := math.Tan(geom.Deg(b.how.TaperDeg))
	if slope == 0 {
		return
	}
	b.taper = make([]float64, b.nx*b.ny)
	source := make([]geom.Vec, len(b.taper))
	for i := range b.taper {
		b.taper[i] = math.Inf(-1)
	}
	put := func(k int, p geom.Vec) {
		x, y := float64(k%b.nx)*b.cell, float64(k/b.nx)*b.cell
		if z := p.Z - p.XY().Dist(geom.Vec2{X: x, Y: y})/slope; z > b.taper[k] {
			b.taper[k], source[k] = z, p
		}
	}
	for _, l := range b.survey.Lines {
		pts := l.Points
		if l.Closed {
			pts = geom.Closed(pts)
		}
		w := geom.NewWalk(pts)
		n := int(w.Length()/b.cell*3) + 1
		for i := 0; i <= n; i++ {
			p := b.frame.Local(w.At(w.Length() * float64(i) / float64(n)))
			x, y := int(p.X/b.cell), int(p.Y/b.cell)
			for _, k := range [4]int{y*b.nx + x, y*b.nx + x + 1, (y+1)*b.nx + x, (y+1)*b.nx + x + 1} {
				put(k, p)
			}
		}
	}
	// The nearest source is handed from node to node in sweeps, exact to a part of a cell.
	hand := func(k, from int) {
		if !math.IsInf(b.taper[from], -1) {
			put(k, source[from])
		}
	}
	for pass := 0; pass < 2; pass++ {
		for y := 1; y+1 < b.ny; y++ {
			for x := 1; x+1 < b.nx; x++ {
				k := y*b.nx + x
				hand(k, k-1)
				hand(k, k-b.nx)
				hand(k, k-b.nx-1)
				hand(k, k-b.nx+1)
			}
			for x := b.nx - 2; x > 0; x-- {
				hand(y*b.nx+x, y*b.nx+x+1)
			}
		}
		for y := b.ny - 2; y > 0; y-- {
			for x := b.nx - 2; x > 0; x-- {
				k := y*b.nx + x
				hand(k, k+1)
				hand(k, k+b.nx)
				hand(k, k+b.nx+1)
				hand(k, k+b.nx-1)
			}
			for x := 1; x+1 < b.nx; x++ {
				hand(y*b.nx+x, y*b.nx+x-1)
			}
		}
	}
	low := b.floor - b.cell
	for i, z := range b.taper {
		b.taper[i] = math.Max(z, low)
	}
}

func (b *filler) at(x, y, z int) int { return (y*b.nx+x)*b.nz + z }

func (b *filler) node(x, y, z int) geom.Vec {
	return geom.V(float64(x)*b.cell, float64(y)*b.cell, float64(z)*b.cell)
}

// lay finds how far the nodes about the relief lie within its sheets: the nearest place of
// the surface decides whether a sheet lies there.
func (b *filler) lay(ctx context.Context) {
	if len(b.relief) == 0 {
		return
	}
	b.sheet = make([]float32, b.nx*b.ny*b.nz)
	for _, a := range b.relief {
		room := a.thickness + b.cell
		lo, hi := a.box.Min.Sub(geom.V(room, room, room)), a.box.Max.Add(geom.V(room, room, room))
		from := [3]int{max(0, int(lo.X/b.cell)), max(0, int(lo.Y/b.cell)), max(0, int(lo.Z/b.cell))}
		to := [3]int{min(b.nx-1, int(hi.X/b.cell)+1), min(b.ny-1, int(hi.Y/b.cell)+1), min(b.nz-1, int(hi.Z/b.cell)+1)}
		w := [3]int{to[0] - from[0] + 1, to[1] - from[1] + 1, to[2] - from[2] + 1}
		if w[0] < 1 || w[1] < 1 || w[2] < 1 {
			continue
		}
		near := make([]float64, w[0]*w[1]*w[2])
		for i := range near {
			near[i] = room
		}
		under := make([]bool, len(near))
		if ctx.Err() != nil {
			return
		}
		for f := range b.turned.Faces {
			p, q, r := b.turned.Corners(f)
			t := geom.BoxOf([]geom.Vec{p, q, r})
			if t.Max.X < lo.X || t.Min.X > hi.X || t.Max.Y < lo.Y || t.Min.Y > hi.Y || t.Max.Z < lo.Z || t.Min.Z > hi.Z {
				continue
			}
			span := func(least, most float64, axis int) (int, int) {
				return max(from[axis], int((least-room)/b.cell)), min(to[axis], int((most+room)/b.cell)+1)
			}
			x0, x1 := span(t.Min.X, t.Max.X, 0)
			y0, y1 := span(t.Min.Y, t.Max.Y, 1)
			z0, z1 := span(t.Min.Z, t.Max.Z, 2)
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					for z := z0; z <= z1; z++ {
						n := b.node(x, y, z)
						m := cast.NearestOnTriangle(n, p, q, r)
						i := ((y-from[1])*w[0]+x-from[0])*w[2] + z - from[2]
						if d := m.Dist(n); d < near[i] {
							near[i], under[i] = d, a.holds(m.XY())
						}
					}
				}
			}
		}
		for i, d := range near {
			if !under[i] {
				continue
			}
			k := b.at(from[0]+i/w[2]%w[0], from[1]+i/w[2]/w[0], from[2]+i%w[2])
			if v := float32(a.thickness - d); b.sheet[k] == 0 || v > b.sheet[k] {
				b.sheet[k] = v
			}
		}
	}
}

// sheeted tells whether a node lies in a sheet of relief.
func (b *filler) sheeted(x, y, z int) bool { return b.sheet != nil && b.sheet[b.at(x, y, z)] > 0 }

// columns finds which nodes are solid.
func (b *filler) columns(ctx context.Context) {
	b.top = make([]float64, b.nx*b.ny)
	b.solid = make([]bool, b.nx*b.ny*b.nz)
	each(ctx, b.threads, b.nx*b.ny, 1<<10, func(from, to int) {
		for k := from; k < to; k++ {
			x, y := k%b.nx, k/b.nx
			h := b.heightOver(float64(x)*b.cell, float64(y)*b.cell)
			b.top[k] = h
			if math.IsInf(h, -1) && !b.touched[k] {
				continue
			}
			for z := 0; z < b.nz; z++ {
				b.solid[b.at(x, y, z)] = b.sheeted(x, y, z) || b.in(b.node(x, y, z), h, b.touched[k])
			}
		}
	})
}

// fill makes a node solid, and what lies under it, so that no shaft is roofed over; but not
// where something is kept free.
func (b *filler) fill(k int) {
	column := k / b.nz * b.nz
	b.solid[k] = true
	if b.touched[k/b.nz] {
		return
	}
	for k--; k >= column && !b.solid[k] && float64(k-column)*b.cell > b.floor; k-- {
		b.solid[k] = true
	}
}

// settle fills single nodes until every cell's surface is one sheet: no four nodes of a
// side lie crosswise, and no two corners stand alone across a cell. Then the surface that
// is laid through the cells meets itself nowhere.
func (b *filler) settle(ctx context.Context) {
	sx, sy, sz := b.nz, b.nx*b.nz, 1
	steps := [3][2]int{{sx, sy}, {sy, sz}, {sz, sx}}
	for changed := true; changed; {
		changed = false
		for y := 0; y+1 < b.ny && ctx.Err() == nil; y++ {
			for x := 0; x+1 < b.nx; x++ {
				for z := 0; z+1 < b.nz; z++ {
					o := b.at(x, y, z)
					for _, s := range steps {
						p, q, r, t := b.solid[o], b.solid[o+s[0]], b.solid[o+s[1]], b.solid[o+s[0]+s[1]]
						if p == t && q == r && p != q {
							if p {
								b.fill(o + s[0])
							} else {
								b.fill(o)
							}
							changed = true
						}
					}
					n, alone := 0, [2]int{}
					c := [8]int{o, o + sx, o + sy, o + sx + sy, o + sz, o + sx + sz, o + sy + sz, o + sx + sy + sz}
					for i := range c {
						if b.solid[c[i]] {
							n++
						}
					}
					if n == 2 || n == 6 {
						k := 0
						for i := range c {
							if b.solid[c[i]] == (n == 2) {
								alone[k] = i
								k++
							}
						}
						if alone[0]+alone[1] == 7 { // across the cell
							if n == 6 {
								b.fill(c[alone[0]])
							} else {
								for _, i := range c {
									b.fill(i)
								}
							}
							changed = true
						}
					}
				}
			}
		}
	}
}

// passed is an edge of the grid that the surface passes.
type passed struct {
	x, y, z int32
	axis    int8
	out     bool // solid at its start
	point   geom.Vec
}

// mesh lays the surface: a point in every cell that it passes, in the middle of where it
// meets the cell's edges, and a quadrangle round every such edge (Gibson, "Constrained
// elastic surface nets", MICCAI 1998).
func (b *filler) mesh(ctx context.Context) *mesh.Mesh {
	step := [3]int{b.nz, b.nx * b.nz, 1}
	rows := make([][]passed, b.ny)
	each(ctx, b.threads, b.ny, 1, func(from, to int) {
		for y := from; y < to; y++ {
			for x := 0; x < b.nx; x++ {
				for z := 0; z < b.nz; z++ {
					o := b.at(x, y, z)
					at := [3]int{x, y, z}
					for axis, s := range step {
						if at[axis]+1 >= [3]int{b.nx, b.ny, b.nz}[axis] || b.solid[o] == b.solid[o+s] {
							continue
						}
						e := passed{int32(x), int32(y), int32(z), int8(axis), b.solid[o], geom.Vec{}}
						e.point = b.crossing(e)
						rows[y] = append(rows[y], e)
					}
				}
			}
		}
	})
	if ctx.Err() != nil {
		return nil
	}
	type cellAt struct{ index, count int32 }
	cells := map[int]cellAt{}
	out := &mesh.Mesh{}
	take := func(x, y, z int32, p geom.Vec) int32 {
		k := b.at(int(x), int(y), int(z))
		c, ok := cells[k]
		if !ok {
			c.index = int32(len(out.Vertices))
			out.Vertices = append(out.Vertices, geom.Vec{})
		}
		out.Vertices[c.index] = out.Vertices[c.index].Add(p)
		c.count++
		cells[k] = c
		return c.index
	}
	var quads [][4]int32
	for _, row := range rows {
		for _, e := range row {
			u, v := [3]int32{}, [3]int32{}
			u[(e.axis+1)%3], v[(e.axis+2)%3] = 1, 1
			q := [4]int32{
				take(e.x-u[0]-v[0], e.y-u[1]-v[1], e.z-u[2]-v[2], e.point),
				take(e.x-v[0], e.y-v[1], e.z-v[2], e.point),
				take(e.x, e.y, e.z, e.point),
				take(e.x-u[0], e.y-u[1], e.z-u[2], e.point),
			}
			if !e.out {
				q[1], q[3] = q[3], q[1]
			}
			quads = append(quads, q)
		}
	}
	for _, c := range cells {
		out.Vertices[c.index] = b.frame.Outer(out.Vertices[c.index].Scale(1 / float64(c.count)))
	}
	for _, q := range quads {
		v := out.Vertices
		if v[q[0]].Dist(v[q[2]]) <= v[q[1]].Dist(v[q[3]]) {
			out.Faces = append(out.Faces, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
		} else {
			out.Faces = append(out.Faces, [3]int32{q[0], q[1], q[3]}, [3]int32{q[1], q[2], q[3]})
		}
	}
	return out
}

// crossing is where the surface passes an edge of the grid.
func (b *filler) crossing(e passed) geom.Vec {
	p := b.node(int(e.x), int(e.y), int(e.z))
	q := p
	k := int(e.y)*b.nx + int(e.x)
	j := k
	switch e.axis {
	case 0:
		q.X += b.cell
		j++
	case 1:
		q.Y += b.cell
		j += b.nx
	default:
		q.Z += b.cell
	}
	touched := b.touched[k] || b.touched[j]
	height := func(r geom.Vec) float64 {
		if e.axis == 2 {
			return b.top[k]
		}
		return b.heightOver(r.X, r.Y)
	}
	pIn, qIn := b.in(p, b.top[k], b.touched[k]), b.in(q, b.top[j], b.touched[j])
	if b.sheet != nil {
		// Between a node in a sheet and one that nothing fills, the sheet ends.
		s0, s1 := float64(b.sheet[b.at(int(e.x), int(e.y), int(e.z))]), float64(b.sheet[b.at(int(math.Round(q.X/b.cell)), int(math.Round(q.Y/b.cell)), int(math.Round(q.Z/b.cell)))])
		if s0 > 0 && !qIn || s1 > 0 && !pIn {
			if s0*s1 < 0 {
				return p.Lerp(q, s0/(s0-s1))
			}
			return p.Lerp(q, 0.5)
		}
	}
	if pIn == qIn {
		return p.Lerp(q, 0.5) // a node that was filled to settle the surface
	}
	lo, hi := 0.0, 1.0
	for range 12 {
		mid := (lo + hi) / 2
		r := p.Lerp(q, mid)
		if b.in(r, height(r), touched) == e.out {
			lo = mid
		} else {
			hi = mid
		}
	}
	return p.Lerp(q, (lo+hi)/2)
}

// volumes are those of the filling, of what was kept free, of shelves and of the relief. The
// filling is what stands over the floor less what stood there before: the prisms under the
// surface's faces, upward ones counted for and downward ones against.
func (b *filler) volumes(out *BlockOut) {
	area := b.cell * b.cell
	filled := 0.0
	for k, h := range b.top {
		if !math.IsInf(h, -1) {
			filled += area * (h - b.floor)
		}
		if !b.touched[k] {
			continue
		}
		x, y := float64(k%b.nx)*b.cell, float64(k/b.nx)*b.cell
		const parts = 4
		for z := b.floor + b.cell/parts/2; z < float64(b.nz)*b.cell; z += b.cell / parts {
			q := geom.V(x, y, z)
			if z < h && b.free(q) && !b.filledFree(q) {
				out.Kept += area * b.cell / parts
			}
			if z >= h && b.shelved(q) {
				out.Shelved += area * b.cell / parts
			}
		}
		for z := range b.nz {
			if b.sheeted(k%b.nx, k/b.nx, z) && !b.in(b.node(k%b.nx, k/b.nx, z), h, true) {
				out.Relieved += area * b.cell
			}
		}
	}
	out.Volume = math.Max(0, filled-math.Abs(b.before)-out.Kept)
}
