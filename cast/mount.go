package cast

import (
	"math"
	"slices"
	"sync"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Report says how a scan was mounted.
type Report struct {
	Unit       string  // the unit taken: "mm", "cm", "m" or "inch"
	UnitFactor float64 // from it to mm

	// How far neighbouring points stand apart with that unit, and how far in an average
	// arch: the middle one of the distances [mm].
	Apart, ApartAverage float64

	FitRMS float64 // of the tooth points to the average arch [mm]
	Notes  []Note
}

// Note is something worth knowing about a mounted scan.
type Note struct {
	Tooth tooth.Number // 0 for the whole
	Text  words.Text
}

func (r *Report) note(n tooth.Number, t words.Text) {
	r.Notes = append(r.Notes, Note{n, t})
}

// Mounting is a scan with what is known of it.
type Mounting struct {
	Scan       *mesh.Mesh
	Arch       tooth.Arch
	Points     map[tooth.Number]geom.Vec // one on each tooth's crown, in the scan's frame and unit
	Missing    []tooth.Number            // teeth that are known not to stand
	UnitFactor float64                   // from the scan's unit to mm; 0 to be guessed

	// Margins are gingival margins corrected by hand, closed, in the scan's frame and unit;
	// the teeth that have none get the margin that is found.
	Margins map[tooth.Number][]geom.Vec
}

// Mount makes a cast from a scan with one point given on each tooth.
func Mount(scan *mesh.Mesh, a tooth.Arch, points map[tooth.Number]geom.Vec, missing ...tooth.Number) (*Cast, Report, error) {
	return Mounting{Scan: scan, Arch: a, Points: points, Missing: missing}.Cast()
}

// Cast carries the mounting out: unit, frame, crowns, then the marks of teeth and arch. It
// is an error when the points cannot be those of teeth on this scan; what the scan merely
// does not show is left out of the cast.
func (m Mounting) Cast() (*Cast, Report, error) {
	s, err := m.Stand()
	if err != nil {
		return nil, s.report, err
	}
	return s.Cast(m.Margins)
}

// Stood is a scan set up by the points on its teeth, before their margins are read: most of
// the work of a mounting, and the same for whatever margins are given.
type Stood struct {
	arch      tooth.Arch
	cast      Cast // unit, frame and crowns as found
	on        *Surface
	across    [][3]int32
	plan      *plan
	order     []tooth.Number       // of the points
	seedFaces map[tooth.Number]int // that they lie on
	gone      map[tooth.Number]bool
	report    Report
}

// Surface is the scan's surface in the cast frame.
func (s *Stood) Surface() *Surface { return s.on }

// Mesh is the same as triangles.
func (s *Stood) Mesh() *mesh.Mesh { return s.cast.Mesh }

func (s *Stood) failed(err error) error {
	return words.Errorf("mounting the scan as %v arch: %v", words.Code{Group: "arch", Code: s.arch.String()}, err)
}

// Stand sets the scan up. Margins of the mounting are not looked at.
func (m Mounting) Stand() (*Stood, error) {
	s := &Stood{arch: m.Arch, gone: map[tooth.Number]bool{}, seedFaces: map[tooth.Number]int{}}
	r, gone := &s.report, s.gone
	fail := func(err error) (*Stood, error) { return s, s.failed(err) }
	if m.Arch != tooth.Upper && m.Arch != tooth.Lower {
		return fail(words.Errorf("expected upper or lower"))
	}
	if m.Scan == nil || len(m.Scan.Faces) == 0 {
		return fail(words.Errorf("it has no triangles"))
	}
	for i, v := range m.Scan.Vertices {
		if !v.IsFinite() {
			return fail(words.Errorf("vertex %d is no finite point", i))
		}
	}
	for _, n := range m.Missing {
		gone[n] = true
	}
	for n, p := range m.Points {
		if !n.Valid() || n.Arch() != m.Arch {
			return fail(words.Errorf("a point is given for tooth %v, which is not of this arch", n))
		}
		if gone[n] {
			return fail(words.Errorf("tooth %v is called missing and yet a point is given on it", n))
		}
		if !p.IsFinite() {
			return fail(words.Errorf("the point on tooth %v is no finite point", n))
		}
	}
	for _, n := range tooth.All(m.Arch) {
		if _, ok := m.Points[n]; ok {
			s.order = append(s.order, n)
		}
	}
	order := s.order
	if len(order) < 2 {
		return fail(words.Errorf("points on at least two teeth are needed to tell which way the arch lies, got %d", len(order)))
	}
	if err := m.findUnit(order, r); err != nil {
		return fail(err)
	}
	turn, err := m.findFrame(order, r)
	if err != nil {
		return fail(err)
	}
	c := &s.cast
	*c = Cast{Arch: m.Arch, Mesh: m.Scan.Map(turn.Apply), Origin: unit.Measured, Scan: turn, Spread: 0.05}
	if e := medianEdge(c.Mesh); e > 0.5 {
		c.Spread = 0.1
		r.note(0, words.Tell("the scan is coarse (edges of %.2f mm): undercuts are uncertain by about a tenth of a millimetre", e))
	}
	var edges sync.WaitGroup
	edges.Go(func() { s.across = mesh.EdgesOf(c.Mesh).Across })
	s.on = NewSurface(c.Mesh)
	edges.Wait()
	seeds := map[tooth.Number]geom.Vec{}
	for _, n := range order {
		p := turn.Apply(m.Points[n])
		q, face := s.on.Nearest(p)
		// The middle of a crown lies up to half its width inside.
		if off := q.Dist(p); face >= 0 && off > 3 && off < 0.5*AverageOf(n).FL {
			r.note(n, words.Tell("the point given lies %.1f mm off the surface; the nearest place on it was taken", off))
		} else if face < 0 || off > 3 {
			return fail(words.Errorf("the point on tooth %v lies %.1f mm off the scan's surface, expected on it", n, q.Dist(p)))
		}
		seeds[n], s.seedFaces[n] = q, face
	}
	s.plan = newPlan(m.Arch, seeds)
	c.Labels = findCrowns(c.Mesh, s.on, s.across, s.plan)
	for n, q := range seeds { // the point may lie on a flake beside its crown
		if _, face := s.on.NearestOf(q, func(f int) bool { return c.Labels[f] == n }); face >= 0 {
			s.seedFaces[n] = face
		}
	}
	return s, nil
}

// Cast reads the marks of teeth and arch, with the margins that were corrected by hand, as
// in Mounting. The casts of one stood scan share its surface.
func (s *Stood) Cast(margins map[tooth.Number][]geom.Vec) (*Cast, Report, error) {
	c, r := s.cast, s.report
	c.Teeth, c.Labels, r.Notes = map[tooth.Number]*Tooth{}, slices.Clone(s.cast.Labels), slices.Clone(s.report.Notes)
	on, across, plan := s.on, s.across, s.plan
	given := map[tooth.Number][]geom.Vec{}
	for _, n := range s.order {
		line := margins[n]
		if len(line) < 6 {
			continue
		}
		own := make([]geom.Vec, len(line))
		for i, p := range line {
			own[i], _ = on.Nearest(c.Scan.Apply(p))
		}
		area := 0.0
		for i, p := range own {
			area += p.XY().Cross(own[(i+1)%len(own)].XY())
		}
		if area < 0 { // margins run round +z counterclockwise
			slices.Reverse(own)
		}
		given[n] = own
		c.correct(across, n, s.seedFaces[n], given[n])
	}
	for _, n := range s.order {
		t := readTooth(&c, on, across, plan, n, given[n])
		if t == nil {
			r.note(n, words.Tell("no crown was found round the point given; choose a point on the middle of its chewing surface"))
			continue
		}
		if t.Confidence < 0.4 {
			r.note(n, words.Tell("the crown's border is uncertain; look at its margin"))
		}
		c.Teeth[n] = t
	}
	if len(c.Teeth) == 0 {
		return nil, r, s.failed(words.Errorf("no crown was found at any of the points"))
	}
	readArch(&c, on, plan, s.gone)
	for _, miss := range []struct {
		known bool
		what  words.Text
	}{{c.Marks.Vestibule.Known(), words.Tell("the vestibule")}, {s.arch == tooth.Upper || c.Marks.Floor.Known(), words.Tell("the floor of the mouth")},
		{s.arch == tooth.Lower || c.Marks.Midline.Known(), words.Tell("the palate's midline")}, {s.arch == tooth.Lower || c.Marks.Rugae.Known(), words.Tell("the rugae")},
		{c.Marks.PadRight.Known(), words.Tell("the pad or tuberosity on the right")}, {c.Marks.PadLeft.Known(), words.Tell("the pad or tuberosity on the left")}} {
		if !miss.known {
			r.note(0, words.Tell("the scan does not show %v", miss.what))
		}
	}
	return &c, r, nil
}

func medianEdge(m *mesh.Mesh) float64 {
	var l []float64
	for i := 0; i < len(m.Faces); i += max(1, len(m.Faces)/4000) {
		a, b, _ := m.Corners(i)
		l = append(l, a.Dist(b))
	}
	return median(l)
}

// findUnit takes the unit in which neighbouring teeth stand as far apart as teeth do.
func (m Mounting) findUnit(order []tooth.Number, r *Report) error {
	var ratio, wants []float64
	for i := 1; i < len(order); i++ {
		a, b := AverageOf(order[i-1]), AverageOf(order[i])
		want := spot(order[i-1], a).Dist(spot(order[i], b))
		wants = append(wants, want)
		if got := m.Points[order[i-1]].Dist(m.Points[order[i]]); got > 0 {
			ratio = append(ratio, want/got)
		}
	}
	if len(ratio) == 0 {
		return words.Errorf("all tooth points lie in one place")
	}
	want := median(ratio)
	best := math.Inf(1)
	r.ApartAverage = median(wants)
	defer func() { r.Apart = r.ApartAverage / want * r.UnitFactor }()
	for _, u := range []struct {
		name   string
		factor float64
	}{{"mm", 1}, {"cm", 10}, {"inch", 25.4}, {"m", 1000}} {
		if d := math.Abs(math.Log(want / u.factor)); d < best {
			best, r.Unit, r.UnitFactor = d, u.name, u.factor
		}
	}
	if m.UnitFactor > 0 {
		if d := math.Abs(math.Log(want / m.UnitFactor)); d > math.Log(2) {
			return words.Errorf("with the unit given (1 = %g mm) neighbouring teeth would stand %.1f times as far apart as teeth do; the scan looks as if it were in %s",
				m.UnitFactor, m.UnitFactor/want, r.Unit)
		}
		r.UnitFactor = m.UnitFactor
		for _, u := range []struct {
			name   string
			factor float64
		}{{"mm", 1}, {"cm", 10}, {"inch", 25.4}, {"m", 1000}} {
			if u.factor == m.UnitFactor {
				r.Unit = u.name
			}
		}
		return nil
	}
	if best > math.Log(1.8) {
		return words.Errorf("neighbouring teeth stand %.3g of the scan's units apart where about 7 mm are expected: neither mm, cm, m nor inch fits; say which unit it is in, or check the points", 7/want)
	}
	return nil
}

// spot is a tooth's average place in the cast frame, on the occlusal plane.
func spot(n tooth.Number, a Average) geom.Vec {
	x := a.X * RightSign(n.Arch())
	if !n.Right() {
		x = -x
	}
	return geom.V(x, a.Y, 0)
}

// findFrame turns the scan so that its teeth lie as in an average arch, with the surface
// of the crowns facing up, then levels it on the crowns' tops.
func (m Mounting) findFrame(order []tooth.Number, r *Report) (geom.Similarity, error) {
	s := geom.Similarity{From: geom.World(), To: geom.World(), Scale: r.UnitFactor}
	var from, to, swapped []geom.Vec
	const arm = 8.0 // mm; weighs the surface's direction against the points' places
	at := make([]geom.Vec, len(order))
	for i, n := range order {
		at[i] = s.Apply(m.Points[n])
	}
	toward := m.facing(s, at)
	if len(order) == 2 {
		// How two crowns face says too little of the tilt across the line through them: an
		// arch spreads least at right angles to its occlusal plane.
		facing := toward[0].Add(toward[1])
		axes, _ := principal(m.Scan.Map(s.Apply))
		up := axes[0].Scale(math.Copysign(1, axes[0].Dot(facing)))
		toward[0], toward[1] = up, up
		r.note(0, words.Tell("only two teeth carry a point: the tilt across the line through them was read off the form of the whole scan; look at it before choosing a path of insertion"))
	}
	for i, n := range order {
		p := at[i]
		e := spot(n, AverageOf(n))
		mirror := geom.V(-e.X, e.Y, e.Z)
		from = append(from, p, p.Add(toward[i].Scale(arm)))
		to = append(to, e, e.Add(geom.V(0, 0, arm)))
		swapped = append(swapped, mirror, mirror.Add(geom.V(0, 0, arm)))
	}
	f, rms := align(from, to)
	_, other := align(from, swapped)
	r.FitRMS = rms
	if other < 0.6*rms && rms > 5 {
		return s, words.Errorf("the teeth run round the other way: left and right are exchanged in the points, the arch is %v, or the scan is mirrored", words.Code{Group: "arch", Code: otherArch(m.Arch).String()})
	}
	if rms > 9 {
		return s, words.Errorf("the points fit no arch (they miss an average one by %.0f mm): check that each is on the tooth it is named for", rms)
	}
	if rms > 5 {
		r.note(0, words.Tell("the teeth stand unusually (%.1f mm off an average arch); check that each point is on the tooth it is named for", rms))
	}
	out := geom.Similarity{From: geom.World(), To: f, Scale: r.UnitFactor}
	// Level on the tops of the crowns. The few teeth of a short arch say little of the
	// tilt, so the first fit is given some weight: as if it were known to 5 degrees, and
	// each top to 0.7 mm.
	for range 2 {
		for i, n := range order {
			at[i] = out.Apply(m.Points[n])
		}
		// Of the tops that are asked for below, none lies outside these columns.
		const column = 6.0 // mm to either side of a point
		on := NewSurface(m.part(out, func(a, b, c geom.Vec) bool {
			lowX, highX := min(a.X, b.X, c.X)-column, max(a.X, b.X, c.X)+column
			lowY, highY := min(a.Y, b.Y, c.Y)-column, max(a.Y, b.Y, c.Y)+column
			return slices.ContainsFunc(at, func(p geom.Vec) bool { return lowX <= p.X && p.X <= highX && lowY <= p.Y && p.Y <= highY })
		}))
		prior := math.Pow(0.7/math.Tan(geom.Deg(5)), 2)
		var a [3][3]float64
		var b [3]float64
		for i, n := range order {
			top := topNear(on, at[i], AverageOf(n))
			row := [3]float64{1, top.X, top.Y}
			for i := range 3 {
				for j := range 3 {
					a[i][j] += row[i] * row[j]
				}
				b[i] += row[i] * top.Z
			}
		}
		a[1][1] += prior
		a[2][2] += prior
		p := solve3(a, b)
		up := geom.V(-p[1], -p[2], 1).Unit()
		// Turn so that up becomes z, and put the plane's height at the origin to 0.
		x := geom.V(1, 0, 0).Across(up).Unit()
		y := up.Cross(x)
		level := geom.Frame{X: x, Y: y, Z: up, Origin: geom.V(0, 0, p[0])}
		compose := func(v geom.Vec) geom.Vec { return level.LocalDir(v) }
		out.To = geom.Frame{Origin: level.Local(out.To.Origin), X: compose(out.To.X), Y: compose(out.To.Y), Z: compose(out.To.Z)}
	}
	return out, nil
}

func otherArch(a tooth.Arch) tooth.Arch {
	if a == tooth.Upper {
		return tooth.Lower
	}
	return tooth.Upper
}

// part is the scan as s turns it, without the faces that are not wanted: the faces that stay
// keep their order, so that what is found on them is what would be found on the whole.
func (m Mounting) part(s geom.Similarity, wanted func(a, b, c geom.Vec) bool) *mesh.Mesh {
	turned := make([]geom.Vec, len(m.Scan.Vertices))
	for i, v := range m.Scan.Vertices {
		turned[i] = s.Apply(v)
	}
	out := &mesh.Mesh{}
	number := make([]int32, len(turned)) // in the part, from 1
	for _, f := range m.Scan.Faces {
		if !wanted(turned[f[0]], turned[f[1]], turned[f[2]]) {
			continue
		}
		for k, v := range f {
			if number[v] == 0 {
				out.Vertices = append(out.Vertices, turned[v])
				number[v] = int32(len(out.Vertices))
			}
			f[k] = number[v] - 1
		}
		out.Faces = append(out.Faces, f)
	}
	return out
}

// facing is the mean direction of the scan's surface, as s turns it, round the place of it
// that is nearest to each of some points.
func (m Mounting) facing(s geom.Similarity, points []geom.Vec) []geom.Vec {
	const (
		round = 4.0 // mm from the nearest place
		reach = 8.0 // mm from the point, within which all of that lies for a point on a tooth
	)
	near := m.part(s, func(a, b, c geom.Vec) bool {
		o := a.Add(b).Add(c).Scale(1.0 / 3)
		r := math.Sqrt(max(a.Sub(o).Dot(a.Sub(o)), b.Sub(o).Dot(b.Sub(o)), c.Sub(o).Dot(c.Sub(o)))) + reach + 1e-6
		return slices.ContainsFunc(points, func(p geom.Vec) bool { v := p.Sub(o); return v.Dot(v) <= r*r })
	})
	on := NewSurface(near)
	out := make([]geom.Vec, len(points))
	for k, p := range points {
		q, face := on.Nearest(p)
		if (face < 0 || q.Dist(p) > reach-round) && len(near.Faces) < len(m.Scan.Faces) {
			near = m.part(s, func(a, b, c geom.Vec) bool { return true }) // a point far off it
			on = NewSurface(near)
			q, _ = on.Nearest(p)
		}
		var sum geom.Vec
		for i := range near.Faces {
			a, b, c := near.Corners(i)
			if a.Dist(q) < round {
				sum = sum.Add(b.Sub(a).Cross(c.Sub(a)))
			}
		}
		out[k] = sum.Unit()
	}
	return out
}

// topNear is the highest place of the surface within a crown's size of p.
func topNear(on *Surface, p geom.Vec, size Average) geom.Vec {
	best := p
	found := false
	r := 0.42 * math.Min(size.MD, size.FL)
	for dx := -r; dx <= r; dx += r / 4 {
		for dy := -r; dy <= r; dy += r / 4 {
			if q, _, ok := on.Top(p.X+dx, p.Y+dy); ok && (!found || q.Z > best.Z) {
				best, found = q, true
			}
		}
	}
	return best
}
