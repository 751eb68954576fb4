package placement

import (
	"fmt"
	"math"
	"sync"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
)

// ground is a cast made ready for laying parts on: its surface searchable, its crowns
// charted, and profiles cut across the arch. It depends on the cast and the surveys only,
// so that a changed design is laid again on the same ground.
type ground struct {
	cast    *cast.Cast
	surface *cast.Surface
	edges   *mesh.Edges
	normals []geom.Vec // of each vertex, outward
	path    survey.Path
	up      geom.Vec // the path's direction

	survey   *survey.Survey
	vertical *survey.Survey // nil where not surveyed

	charting sync.Mutex
	crowns   map[tooth.Number]*crown // as far as they were asked for
	bad      map[tooth.Number]error  // teeth whose crown could not be charted

	arch    geom.Walk // the arch curve, evened out and laid flat
	step    float64   // between stations [mm]
	lingual []profile // at each station
	facial  []profile
	spans   map[tooth.Number][2]float64 // where each tooth stands along the arch
	margins map[tooth.Number]geom.Walk  // each tooth's gingival margin, closed
}

// stationStep is the distance between profiles along the arch [mm].
const stationStep = 0.75

func newGround(c *cast.Cast, s, vertical *survey.Survey) (*ground, error) {
	if c == nil || c.Mesh == nil || len(c.Mesh.Faces) == 0 {
		return nil, fmt.Errorf("placement: laying a design: expected a cast with a surface, got none; mount or make a cast first")
	}
	if s == nil || len(s.Depth) != len(c.Mesh.Vertices) {
		return nil, fmt.Errorf("placement: laying a design: expected a survey of this cast's %d vertices; survey the cast along the path of insertion first", len(c.Mesh.Vertices))
	}
	if len(c.Marks.Arch.Points) < 2 {
		return nil, fmt.Errorf("placement: laying a design: the cast has no arch curve; give the points of the teeth first")
	}
	g := &ground{cast: c, path: survey.PathAlong(c.Arch, s.Direction), up: s.Direction.Unit(), step: stationStep, survey: s,
		crowns: map[tooth.Number]*crown{}, bad: map[tooth.Number]error{}, spans: map[tooth.Number][2]float64{}, margins: map[tooth.Number]geom.Walk{}}
	if vertical != nil && len(vertical.Depth) == len(c.Mesh.Vertices) {
		g.vertical = vertical
	}
	var wait sync.WaitGroup
	wait.Add(2)
	go func() { defer wait.Done(); g.edges = mesh.EdgesOf(c.Mesh) }()
	go func() { defer wait.Done(); g.normals = c.Mesh.VertexNormals() }()
	g.surface = cast.NewSurface(c.Mesh)
	wait.Wait()
	g.layArch()
	g.cutProfiles()
	return g, nil
}

// stands tells whether a tooth is on the cast and may carry parts.
func (g *ground) stands(n tooth.Number) bool { return n != 0 && g.cast.Teeth[n] != nil }

// crown is the chart of a standing tooth, made when first asked for; nil where the tooth
// does not stand or its crown cannot be charted.
func (g *ground) crown(n tooth.Number) *crown {
	if !g.stands(n) {
		return nil
	}
	g.charting.Lock()
	defer g.charting.Unlock()
	if k, ok := g.crowns[n]; ok {
		return k
	}
	k, err := newCrown(g, g.cast.Teeth[n], g.survey)
	if err != nil {
		k, g.bad[n] = nil, err
	}
	g.crowns[n] = k
	return k
}

// chart makes the charts of several teeth at once.
func (g *ground) chart(teeth []tooth.Number) {
	var missing []tooth.Number
	g.charting.Lock()
	for _, n := range teeth {
		if _, ok := g.crowns[n]; !ok && g.stands(n) {
			missing = append(missing, n)
		}
	}
	g.charting.Unlock()
	made := make([]*crown, len(missing))
	errs := make([]error, len(missing))
	var wait sync.WaitGroup
	for i, n := range missing {
		wait.Add(1)
		go func() {
			defer wait.Done()
			made[i], errs[i] = newCrown(g, g.cast.Teeth[n], g.survey)
		}()
	}
	wait.Wait()
	g.charting.Lock()
	defer g.charting.Unlock()
	for i, n := range missing {
		if errs[i] != nil {
			made[i], g.bad[n] = nil, errs[i]
		}
		g.crowns[n] = made[i]
	}
}

// undercutAt reads a survey's depth at the surface point nearest to p.
func (g *ground) undercutAt(s *survey.Survey, p geom.Vec) float64 {
	q, f := g.surface.Nearest(p)
	if f < 0 {
		return 0
	}
	u, v, w := g.weights(q, f)
	t := g.cast.Mesh.Faces[f]
	return u*s.Depth[t[0]] + v*s.Depth[t[1]] + w*s.Depth[t[2]]
}

// weights are a point's shares of a face's corners.
func (g *ground) weights(q geom.Vec, f int) (u, v, w float64) {
	a, b, c := g.cast.Mesh.Corners(f)
	n := b.Sub(a).Cross(c.Sub(a))
	l2 := n.Dot(n)
	if l2 == 0 {
		return 1, 0, 0
	}
	u = n.Dot(b.Sub(q).Cross(c.Sub(q))) / l2
	v = n.Dot(c.Sub(q).Cross(a.Sub(q))) / l2
	return u, v, 1 - u - v
}

// inward is the side of travel along the arch that looks to the tongue.
func (g *ground) inward(tangent geom.Vec) geom.Vec {
	return geom.V(0, 0, 1).Cross(tangent).Unit().Scale(cast.RightSign(g.cast.Arch))
}

// layArch evens out the arch curve, so that planes across it do not waver.
func (g *ground) layArch() {
	pts := geom.Resample(g.cast.Marks.Arch.Points, 161)
	flat := make([]geom.Vec, len(pts))
	for round := 0; round < 12; round++ {
		copy(flat, pts)
		for i := 1; i+1 < len(pts); i++ {
			pts[i] = flat[i].Scale(0.5).Add(flat[i-1].Add(flat[i+1]).Scale(0.25))
		}
	}
	// Stations are counted seen from the occlusal: a ridge lies lower than the teeth.
	for i := range pts {
		pts[i].Z = 0
	}
	g.arch = geom.NewWalk(pts)
	for n, t := range g.cast.Teeth {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range t.Margin {
			s := g.stationOf(p)
			lo, hi = math.Min(lo, s), math.Max(hi, s)
		}
		g.spans[n] = [2]float64{lo, hi}
		if len(t.Margin) > 2 {
			g.margins[n] = geom.NewWalk(geom.Closed(t.Margin))
		}
	}
}

// stationOf is how far along the arch p lies, seen from above.
func (g *ground) stationOf(p geom.Vec) float64 {
	s, _ := g.arch.Nearest(geom.V(p.X, p.Y, 0))
	return s
}

// midline is the station in the middle of the mouth.
func (g *ground) midline() float64 {
	best, at := math.Inf(1), g.arch.Length()/2
	for s := g.arch.Length() * 0.3; s < g.arch.Length()*0.7; s += 0.25 {
		if x := math.Abs(g.arch.At(s).X); x < best {
			best, at = x, s
		}
	}
	return at
}

// tangent is the level direction of travel along the arch, patient's right to left.
func (g *ground) tangent(s float64) geom.Vec {
	v := g.arch.At(s + 2).Sub(g.arch.At(s - 2))
	v.Z = 0
	if v.Norm() == 0 {
		v = g.arch.Tangent(s)
		v.Z = 0
	}
	return v.Unit()
}

// snap is the surface point nearest to p.
func (g *ground) snap(p geom.Vec) geom.Vec {
	q, f := g.surface.Nearest(p)
	if f < 0 {
		return p
	}
	return q
}

// snapSoft is the nearest point of the gum and ridge, no tooth.
func (g *ground) snapSoft(p geom.Vec) geom.Vec {
	q, f := g.surface.NearestOf(p, g.soft())
	if f < 0 {
		return p
	}
	return q
}

// soft passes the faces of gum and ridge; all of them on a cast that does not tell its
// teeth.
func (g *ground) soft() func(face int) bool {
	if len(g.cast.Labels) != len(g.cast.Mesh.Faces) {
		return nil
	}
	return func(f int) bool { return g.cast.Labels[f] == 0 }
}

// settle is the nearest point of the gum where one lies close by; over what the scan does
// not show, p stays.
func (g *ground) settle(p geom.Vec) geom.Vec {
	if q, f := g.surface.NearestWithin(p, 2.5, g.soft()); f >= 0 {
		return q
	}
	return p
}

// normal is the outward direction of the surface nearest to p.
func (g *ground) normal(p geom.Vec) geom.Vec {
	q, f := g.surface.Nearest(p)
	if f < 0 {
		return g.up
	}
	u, v, w := g.weights(q, f)
	t := g.cast.Mesh.Faces[f]
	return g.normals[t[0]].Scale(u).Add(g.normals[t[1]].Scale(v)).Add(g.normals[t[2]].Scale(w)).Unit()
}

func (g *ground) normalsOf(line []geom.Vec) []geom.Vec {
	out := make([]geom.Vec, len(line))
	for i, p := range line {
		out[i] = g.normal(p)
	}
	return out
}

// drop is the surface seen from the occlusal at (x, y).
func (g *ground) drop(x, y float64) (geom.Vec, bool) {
	p, _, ok := g.surface.Top(x, y)
	return p, ok
}

// dropSoft is the gum or palate seen from the occlusal at (x, y).
func (g *ground) dropSoft(x, y float64) (geom.Vec, bool) {
	p, _, ok := g.surface.TopOf(x, y, g.soft())
	return p, ok
}

// lift moves each point off the surface.
func lift(line, out []geom.Vec, by float64) []geom.Vec {
	moved := make([]geom.Vec, len(line))
	for i := range line {
		moved[i] = line[i].Add(out[i].Scale(by))
	}
	return moved
}

// origin is where a number measured on this cast comes from.
func (g *ground) length(v float64) unit.Quantity { return unit.MM(v, g.cast.Origin, g.cast.Spread) }

// walk follows the surface from p, which lies on a face, in the plane through p at right
// angles to the unit vector across, setting out on the side of heading, for at most
// length. It ends at an edge of the surface, or where stop says so.
func (g *ground) walk(p geom.Vec, face int, across, heading geom.Vec, length float64, stop func(p geom.Vec, face int) bool) []geom.Vec {
	m := g.cast.Mesh
	off := p.Dot(across)
	side := func(v int32) float64 {
		d := m.Vertices[v].Dot(across) - off
		if d == 0 {
			d = 1e-12
		}
		return d
	}
	cut := func(f int, k int) (geom.Vec, bool) {
		a, b := m.Faces[f][k], m.Faces[f][(k+1)%3]
		da, db := side(a), side(b)
		if (da > 0) == (db > 0) {
			return geom.Vec{}, false
		}
		if a > b { // the same point from either face
			a, b, da, db = b, a, db, da
		}
		return m.Vertices[a].Lerp(m.Vertices[b], da/(da-db)), true
	}
	out := []geom.Vec{p}
	from, best := -1, math.Inf(-1)
	at := geom.Vec{}
	for k := 0; k < 3; k++ {
		if q, ok := cut(face, k); ok {
			if d := q.Sub(p).Dot(heading); d > best {
				best, from, at = d, k, q
			}
		}
	}
	if from < 0 {
		return out
	}
	gone := 0.0
	for n := 0; n < 20000; n++ {
		last := out[len(out)-1]
		d := at.Dist(last)
		if gone+d >= length {
			return append(out, last.Lerp(at, (length-gone)/d))
		}
		gone += d
		if d > 1e-9 {
			out = append(out, at)
		}
		next := g.edges.Across[face][from]
		if next < 0 || stop != nil && stop(at, int(next)) {
			return out
		}
		entered := -1
		for k := 0; k < 3; k++ {
			if g.edges.Across[next][k] == int32(face) {
				entered = k
			}
		}
		face, from = int(next), -1
		for k := 0; k < 3; k++ {
			if k == entered {
				continue
			}
			if q, ok := cut(face, k); ok {
				from, at = k, q
			}
		}
		if from < 0 {
			return out
		}
	}
	return out
}
