package survey

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// Tissues are the measures of the soft tissues, taken on sections of the cast square to
// the arch. What a section does not show is absent.
type Tissues struct {
	Places []Place // by place of the arch, in tooth.All's order
	Vault  []Vault // upper: front to back
	Tori   *Span   // lower: the narrowest way between swellings on the two sides
}

// Place is a section at one tooth, or at the middle of a missing tooth's place.
type Place struct {
	Tooth           tooth.Number
	Facial, Lingual Slope
	Ridge           *Ridge // where no tooth stands
}

// Slope is the soft tissue on one side of the arch, from the gingival margin or the crest
// of the ridge down to the fold of the vestibule or the floor of the mouth.
type Slope struct {
	Side     []geom.Vec // the section from the top down
	Depth    *Span      // top to fold or floor
	Undercut *Recess
}

// Span is the way between two places of the surface.
type Span struct {
	From, To geom.Vec
	Straight float64 // along the occlusal plane's normal; between tori across the path [mm]
	Along    float64 // over the surface, as a ruler laid on the gum reads it [mm]
	Spread   float64 // how far fold or floor may lie otherwise, from how unsteadily it runs there [mm]
}

// Recess is an undercut of the soft tissue against its own bulge above it.
type Recess struct {
	Depth float64  // across the path [mm]
	Below float64  // where it begins: the bulge below the margin, along the path [mm]
	From  geom.Vec // the bulge
	At    geom.Vec // the deepest place
}

// Ridge is the section of an edentulous ridge. Heights are along the occlusal plane's
// normal, widths level.
type Ridge struct {
	Crest geom.Vec
	Width float64 // ridgeLevel below the crest; 0 where the ridge is not so high there
	Left  geom.Vec
	Right geom.Vec // the two ends of the width
}

// Height is how high the crest stands over the nearer of fold and floor; false where
// neither is known.
func (p Place) Height() (float64, bool) {
	h, ok := math.Inf(1), false
	for _, s := range []Slope{p.Facial, p.Lingual} {
		if p.Ridge != nil && s.Depth != nil {
			h, ok = math.Min(h, s.Depth.Straight), true
		}
	}
	return h, ok
}

// Vault is how deep the palate lies below the line that joins the palatal margins, or the
// crests of the ridges, of two like places.
type Vault struct {
	Right, Left tooth.Number
	Width       float64 // between the two [mm]
	Depth       float64 // square to their line [mm]
	From, To    geom.Vec
}

const (
	ridgeLevel  = 3.0  // below the crest where a ridge's width is read; ridge mapping's usual level [mm]
	slopeReach  = 22.0 // a slope is followed no farther than this over the surface [mm]
	leastRecess = 0.05 // a shallower recess is none [mm]
	onSection   = 1.5  // how far a landmark may lie off the section's line [mm]
)

// TissuesOf takes the measures of a cast on its sections. Undercuts are against a path.
func TissuesOf(c *cast.Cast, path Path) Tissues {
	t := tissues{c: c, up: geom.V(0, 0, 1), path: path.Direction}
	var out Tissues
	for _, n := range tooth.All(c.Arch) {
		if k := c.Teeth[n]; k != nil && len(k.Margin) > 2 {
			out.Places = append(out.Places, t.standing(k))
		} else if p, ok := t.missing(n); ok {
			out.Places = append(out.Places, p)
		}
	}
	if c.Arch == tooth.Upper {
		out.Vault = t.vaults(out.Places)
	} else {
		out.Tori = t.betweenTori()
	}
	return out
}

type tissues struct {
	c        *cast.Cast
	up, path geom.Vec
}

// standing are the sections through the margin where it lies farthest to the facial and to
// the lingual, where floor and vestibule are probed.
func (t *tissues) standing(k *cast.Tooth) Place {
	out := Place{Tooth: k.Number}
	facial := k.Frame.Y.Across(t.up).Unit()
	for _, side := range []struct {
		to   *Slope
		away geom.Vec
		mark cast.Curve
	}{{&out.Facial, facial, t.c.Marks.Vestibule}, {&out.Lingual, facial.Neg(), t.c.Marks.Floor}} {
		far, from := math.Inf(-1), geom.Vec{}
		for _, p := range k.Margin {
			if d := p.Sub(k.Frame.Origin).Dot(side.away); d > far {
				far, from = d, p
			}
		}
		plane := geom.Plane{Point: from, Normal: k.Frame.X.Across(t.up).Unit()}
		*side.to = t.slope(t.c.Mesh.Slices(plane, nil), plane, from, side.away, side.mark)
	}
	return out
}

// missing is the section through the middle of a missing tooth's place.
func (t *tissues) missing(n tooth.Number) (Place, bool) {
	r, ok := t.c.RidgeOf(n)
	if !ok || len(r.Crest.Points) < 2 {
		return Place{}, false
	}
	w := geom.NewWalk(r.Crest.Points)
	at := 0
	for i, m := range r.Teeth {
		if m == n {
			at = i
		}
	}
	s := w.Length() * (float64(at) + 0.5) / float64(len(r.Teeth))
	// The crest wavers; its course over two millimetres each way is the ridge's.
	ahead := w.At(s + 2).Sub(w.At(s - 2)).Across(t.up).Unit()
	if ahead == (geom.Vec{}) {
		return Place{}, false
	}
	plane := geom.Plane{Point: w.At(s), Normal: ahead}
	facial := ahead.Cross(t.up)
	if facial.XY().Dot(plane.Point.XY().Sub(t.inside(plane.Point))) < 0 {
		facial = facial.Neg()
	}
	slices := t.c.Mesh.Slices(plane, nil)
	line, i, ok := nearestCut(slices, plane.Point, 3)
	if !ok {
		return Place{}, false
	}
	crest := line[i]
	for _, p := range line { // the highest place about the crest as it is marked
		if p.Sub(plane.Point).Across(t.up).Norm() < 2.5 && p.Z > crest.Z && math.Abs(p.Z-plane.Point.Z) < 3 {
			crest = p
		}
	}
	out := Place{Tooth: n, Ridge: &Ridge{Crest: crest}}
	out.Facial = t.slope(slices, plane, crest, facial, t.c.Marks.Vestibule)
	out.Lingual = t.slope(slices, plane, crest, facial.Neg(), t.c.Marks.Floor)
	f, okf := level(out.Facial.Side, crest.Z-ridgeLevel)
	l, okl := level(out.Lingual.Side, crest.Z-ridgeLevel)
	if okf && okl {
		out.Ridge.Width, out.Ridge.Left, out.Ridge.Right = f.Sub(l).Across(t.up).Norm(), f, l
	}
	return out, true
}

// inside is a place on the midline that the lingual side of p looks to.
func (t *tissues) inside(p geom.Vec) geom.Vec2 {
	front := -math.MaxFloat64
	for _, q := range t.c.Marks.Arch.Points {
		front = math.Max(front, q.Y)
	}
	return geom.Vec2{Y: math.Min(p.Y, front-20)}
}

// slope follows the section from a place down the side that looks away.
func (t *tissues) slope(slices []mesh.Slice, plane geom.Plane, from, away geom.Vec, mark cast.Curve) Slope {
	line, at, ok := nearestCut(slices, from, onSection)
	if !ok {
		return Slope{}
	}
	// Of the two ways along the section the one that gets lower and farther out.
	way := func(step int) (side []geom.Vec, gain float64) {
		side = []geom.Vec{from}
		long := 0.0
		for i := at; i >= 0 && i < len(line) && long < slopeReach; i += step {
			p := line[i]
			if i == at && p.Sub(from).Dot(line[max(0, min(len(line)-1, i+step))].Sub(from)) < 0 {
				continue // behind the start
			}
			long += p.Dist(side[len(side)-1])
			side = append(side, p)
			if d := p.Sub(from); long < 4 {
				gain = d.Dot(away) - d.Dot(t.up)
			}
		}
		return side, gain
	}
	side, gain := way(1)
	if other, g := way(-1); g > gain {
		side = other
	}
	out := Slope{Side: side}
	w := geom.NewWalk(side)
	if long, p, ok := landmark(w, mark, plane, from, away); ok {
		out.Depth = &Span{From: from, To: p, Straight: from.Sub(p).Dot(t.up), Along: long, Spread: t.unsteady(mark, p)}
		end := 1
		for end < len(side) && geom.Length(side[:end+1]) <= long {
			end++
		}
		out.Side = side[:end]
	}
	out.Undercut = t.recess(out.Side, from, away)
	return out
}

// recess is the deepest place of a side below its own bulge, across the path.
func (t *tissues) recess(side []geom.Vec, from, away geom.Vec) *Recess {
	out := away.Across(t.path).Unit()
	far, bulge := math.Inf(-1), geom.Vec{}
	var best *Recess
	for _, p := range side {
		r := p.Dot(out)
		if r > far {
			far, bulge = r, p
		}
		if d := far - r; d > leastRecess && (best == nil || d > best.Depth) {
			best = &Recess{Depth: d, Below: from.Sub(bulge).Dot(t.path), From: bulge, At: p}
		}
	}
	return best
}

// landmark is where a curve on the cast meets a section, as a way along the section.
func landmark(w geom.Walk, mark cast.Curve, plane geom.Plane, from, away geom.Vec) (float64, geom.Vec, bool) {
	best, at, near := 0.0, geom.Vec{}, onSection
	for _, p := range seen(mark.Points, mark.Closed, plane) {
		if d := p.Sub(from); d.Dot(away) < -3 || d.Norm() > slopeReach {
			continue
		}
		if s, d := w.Nearest(p); d < near && s > 0 {
			best, at, near = s, p, d
		}
	}
	return best, at, near < onSection
}

// unsteady is how far the points of a mark about a place lie off the straight line that fits
// them best, in height: the reading of one section is no surer than its neighbours agree.
func (t *tissues) unsteady(mark cast.Curve, p geom.Vec) float64 {
	const about = 5.0
	w := geom.NewWalk(mark.Points)
	at, _ := w.Nearest(p)
	var n, sx, sz, sxx, sxz float64
	var xs, zs []float64
	s := 0.0
	for i, q := range mark.Points {
		if i > 0 {
			s += q.Dist(mark.Points[i-1])
		}
		if x := s - at; math.Abs(x) < about {
			z := q.Dot(t.up)
			xs, zs = append(xs, x), append(zs, z)
			n, sx, sz, sxx, sxz = n+1, sx+x, sz+z, sxx+x*x, sxz+x*z
		}
	}
	if n < 3 {
		return about / 2
	}
	slope := 0.0
	if d := n*sxx - sx*sx; d > 0 {
		slope = (n*sxz - sx*sz) / d
	}
	off := 0.0
	for i := range xs {
		off = math.Max(off, math.Abs(zs[i]-(sz-slope*sx)/n-slope*xs[i]))
	}
	return off
}

// seen are the places where a mark passes a plane, but where it runs over what the scan did
// not show.
func seen(line []geom.Vec, closed bool, plane geom.Plane) []geom.Vec {
	if closed {
		line = geom.Closed(line)
	}
	var out []geom.Vec
	for i := 1; i < len(line); i++ {
		a, b := plane.Above(line[i-1]), plane.Above(line[i])
		if (a >= 0) != (b >= 0) && line[i].Dist(line[i-1]) <= cast.UnseenStep {
			out = append(out, line[i-1].Lerp(line[i], a/(a-b)))
		}
	}
	return out
}

// nearestCut is the slice that passes nearest to a place, turned so that the place lies in
// its middle where it is closed, and which of its points is nearest.
func nearestCut(slices []mesh.Slice, p geom.Vec, within float64) ([]geom.Vec, int, bool) {
	best, at, near := -1, 0, within
	for i, s := range slices {
		for k, c := range s.Cuts {
			if d := c.Point.Dist(p); d < near {
				best, at, near = i, k, d
			}
		}
	}
	if best < 0 {
		return nil, 0, false
	}
	line := slices[best].Points()
	if n := len(line); slices[best].Closed {
		turned := make([]geom.Vec, 0, n)
		for k := range n {
			turned = append(turned, line[(at+n/2+k+n%2)%n])
		}
		return turned, n / 2, true
	}
	return line, at, true
}

// level is where a side first comes down to a height.
func level(side []geom.Vec, z float64) (geom.Vec, bool) {
	for i := 1; i < len(side); i++ {
		if a, b := side[i-1].Z, side[i].Z; a >= z && b < z {
			return side[i-1].Lerp(side[i], (a-z)/(a-b)), true
		}
	}
	return geom.Vec{}, false
}

// vaults measures the palate between like places of the two sides, canines to second
// molars.
func (t *tissues) vaults(places []Place) []Vault {
	top := map[tooth.Number]geom.Vec{}
	for _, p := range places {
		switch {
		case p.Ridge != nil:
			top[p.Tooth] = p.Ridge.Crest
		case len(p.Lingual.Side) > 0:
			top[p.Tooth] = p.Lingual.Side[0]
		}
	}
	var out []Vault
	for place := 3; place <= 7; place++ {
		right, left := tooth.Number(10+place), tooth.Number(20+place)
		a, okA := top[right]
		b, okB := top[left]
		if !okA || !okB {
			continue
		}
		across := b.Sub(a)
		plane := geom.Plane{Point: a, Normal: across.Cross(t.up).Unit()}
		down := plane.Normal.Cross(across.Unit())
		if down.Z > 0 {
			down = down.Neg()
		}
		v := Vault{Right: right, Left: left, Width: across.Norm()}
		for _, s := range t.c.Mesh.Slices(plane, nil) {
			if line, ok := between(s, a, b); ok {
				for _, p := range line {
					if d := p.Sub(a).Dot(down); d > v.Depth {
						v.Depth, v.To = d, p
						v.From = p.Sub(down.Scale(d))
					}
				}
			}
		}
		if v.Depth > 0 {
			out = append(out, v)
		}
	}
	return out
}

// between is the stretch of a slice that joins two places without leaving the space
// between them; false where the slice is broken there, as on a scan without its palate.
func between(s mesh.Slice, a, b geom.Vec) ([]geom.Vec, bool) {
	pts := s.Points()
	ia, da := nearestPoint(pts, a)
	ib, db := nearestPoint(pts, b)
	if da > onSection || db > onSection {
		return nil, false
	}
	across := b.Sub(a)
	inside := func(line []geom.Vec) bool {
		for _, p := range line {
			if u := p.Sub(a).Dot(across) / across.Dot(across); u < -0.1 || u > 1.1 {
				return false
			}
		}
		return len(line) > 2
	}
	if ia > ib {
		ia, ib = ib, ia
	}
	if line := pts[ia : ib+1]; inside(line) {
		return line, true
	}
	if s.Closed {
		if line := append(append([]geom.Vec(nil), pts[ib:]...), pts[:ia+1]...); inside(line) {
			return line, true
		}
	}
	return nil, false
}

func nearestPoint(pts []geom.Vec, p geom.Vec) (at int, dist float64) {
	dist = math.Inf(1)
	for i, q := range pts {
		if d := q.Dist(p); d < dist {
			at, dist = i, d
		}
	}
	return at, dist
}

// betweenTori is the narrowest way, across the path, between swellings on the two sides.
func (t *tissues) betweenTori() *Span {
	var sides [2][]geom.Vec
	for _, torus := range t.c.Marks.Tori {
		if torus.Palatal || len(torus.Outline.Points) < 3 {
			continue
		}
		var flat []geom.Vec2
		box := geom.BoxOf(torus.Outline.Points)
		for _, p := range torus.Outline.Points {
			flat = append(flat, p.XY())
		}
		side := 0
		if box.Centre().X < 0 {
			side = 1
		}
		sides[side] = append(sides[side], torus.Outline.Points...)
		for _, p := range t.c.Mesh.Vertices {
			if p.Z > box.Min.Z-1 && p.Z < box.Max.Z+1 && geom.Contains2(flat, p.XY()) {
				sides[side] = append(sides[side], p)
			}
		}
	}
	var out *Span
	for _, a := range sides[0] {
		for _, b := range sides[1] {
			if d := b.Sub(a).Across(t.path).Norm(); out == nil || d < out.Straight {
				out = &Span{From: a, To: b, Straight: d, Along: b.Dist(a)}
			}
		}
	}
	return out
}
