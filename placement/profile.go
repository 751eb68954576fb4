package placement

import (
	"math"
	"sync"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
)

// side is the inner or the outer face of the arch.
type side int

const (
	lingualSide side = iota
	facialSide
)

// profile is the section of the cast across the arch at one station, from the gingival
// margin (on a ridge, from the crest) away from the teeth.
type profile struct {
	at     float64      // along the arch [mm]
	tooth  tooth.Number // whose margin it starts from; 0 on a ridge
	points []geom.Vec
	run    []float64 // along the section from its start, of each point [mm]
}

func (p profile) known() bool { return len(p.points) > 1 }

func (p profile) length() float64 {
	if len(p.run) == 0 {
		return 0
	}
	return p.run[len(p.run)-1]
}

// point is the place t along the section, held within it.
func (p profile) point(t float64) geom.Vec {
	n := len(p.points)
	if n == 0 {
		return geom.Vec{}
	}
	if t <= 0 || n == 1 {
		return p.points[0]
	}
	if t >= p.run[n-1] {
		return p.points[n-1]
	}
	i := seek(p.run, t)
	return p.points[i].Lerp(p.points[i+1], (t-p.run[i])/(p.run[i+1]-p.run[i]))
}

// seek is the i with v[i] <= x < v[i+1] in an ascending list, held within it.
func seek(v []float64, x float64) int {
	lo, hi := 0, len(v)-2
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if v[mid] <= x {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return lo
}

// below is how far along the section the height z is first gone under.
func (p profile) below(z float64) (float64, bool) {
	for i := range p.points {
		if p.points[i].Z <= z {
			if i == 0 {
				return 0, true
			}
			a, b := p.points[i-1], p.points[i]
			return p.run[i-1] + (a.Z-z)/(a.Z-b.Z)*(p.run[i]-p.run[i-1]), true
		}
	}
	return p.length(), false
}

// nearest is how far along the section the point nearest to q lies, and how near it is.
func (p profile) nearest(q geom.Vec) (t, dist float64) {
	if len(p.points) == 0 {
		return 0, math.Inf(1)
	}
	return geom.NewWalk(p.points).Nearest(q)
}

// profileReach is how far a profile is followed [mm].
const profileReach = 26

func (g *ground) cutProfiles() {
	n := int(g.arch.Length()/g.step) + 1
	g.lingual = make([]profile, n)
	g.facial = make([]profile, n)
	var wait sync.WaitGroup
	wait.Add(2)
	side := func(sd side, out []profile) {
		defer wait.Done()
		starts := g.starts(n, sd)
		for i := range out {
			out[i] = g.cut(float64(i)*g.step, sd, starts[i])
		}
	}
	go side(lingualSide, g.lingual)
	go side(facialSide, g.facial)
	wait.Wait()
}

// beginning is where a profile starts, and whose margin that is.
type beginning struct {
	at    geom.Vec
	tooth tooth.Number
}

// starts finds where the profiles of one side start. In the middle of a tooth that is
// where the plane across the arch meets its margin; round the embrasures, where the plane
// grazes the margin's end, it runs evenly from one tooth's margin to the next's.
func (g *ground) starts(n int, sd side) []beginning {
	out := make([]beginning, n)
	firm := make([]bool, n)
	for i := range out {
		s := float64(i) * g.step
		at, tangent := g.arch.At(s), g.tangent(s)
		away := g.inward(tangent)
		if sd == facialSide {
			away = away.Neg()
		}
		out[i].at, out[i].tooth = g.marginAt(s, at, tangent, away)
		if t := out[i].tooth; t != 0 {
			sp := g.spans[t]
			edge := math.Min(1.4, (sp[1]-sp[0])*0.25)
			firm[i] = s > sp[0]+edge && s < sp[1]-edge
		}
	}
	last := -1
	for i := range out {
		if !firm[i] {
			continue
		}
		if last >= 0 && i-last > 1 {
			a, b := out[last], out[i]
			if a.tooth == b.tooth || g.neighbour(a.tooth, true) == b.tooth {
				for j := last + 1; j < i; j++ {
					f := float64(j-last) / float64(i-last)
					out[j].at = a.at.Lerp(b.at, f)
					out[j].tooth = a.tooth
					if f > 0.5 {
						out[j].tooth = b.tooth
					}
				}
			}
		}
		last = i
	}
	return out
}

// cut makes the profile at one station.
func (g *ground) cut(s float64, sd side, from beginning) profile {
	at, tangent := g.arch.At(s), g.tangent(s)
	away := g.inward(tangent)
	if sd == facialSide {
		away = away.Neg()
	}
	out := profile{at: s}
	start, n := from.at, from.tooth
	heading := away.Scale(0.3).Sub(geom.V(0, 0, 1))
	if n == 0 {
		start = g.crestAt(at, tangent)
		heading = away.Sub(geom.V(0, 0, 0.3))
	}
	out.tooth = n
	var face int
	if n != 0 {
		// Start on the gum just below the margin.
		if len(g.cast.Labels) == len(g.cast.Mesh.Faces) {
			start, face = g.surface.NearestOf(start, func(f int) bool { return g.cast.Labels[f] == 0 })
		} else {
			start, face = g.surface.Nearest(start)
		}
	} else {
		start, face = g.surface.Nearest(start)
	}
	if face < 0 {
		return out
	}
	follow := func(p geom.Vec, face int) []geom.Vec {
		gone, last := 0.0, p
		return g.walk(p, face, tangent, heading, profileReach, func(p geom.Vec, f int) bool {
			gone += p.Dist(last)
			last = p
			return gone > 1 && f < len(g.cast.Labels) && g.cast.Labels[f] != 0
		})
	}
	out.points = follow(start, face)
	// Close beside a tooth the crest's section runs into its crown: begin past that.
	for off := 1.5; n == 0 && off < 6 && geom.Length(out.points) < 5; off += 1 {
		p := start.Add(away.Scale(off)).Sub(geom.V(0, 0, 0.4*off))
		q, f := g.surface.NearestOf(p, func(f int) bool { return g.cast.Labels[f] == 0 })
		if f < 0 {
			break
		}
		q = q.Sub(tangent.Scale(q.Sub(at).Dot(tangent))) // back into the plane
		if q, f = g.surface.NearestOf(q, func(f int) bool { return g.cast.Labels[f] == 0 }); f < 0 {
			break
		}
		heading = away.Scale(0.3).Sub(geom.V(0, 0, 1))
		if line := follow(q, f); geom.Length(line) >= 5 {
			out.points = append([]geom.Vec{start}, line...)
		}
	}
	out.run = make([]float64, len(out.points))
	for i := 1; i < len(out.points); i++ {
		out.run[i] = out.run[i-1] + out.points[i].Dist(out.points[i-1])
	}
	return out
}

// square is a profile cut anew from its start in the plane square to a direction
// along the margin.
func (g *ground) square(p profile, along geom.Vec, sd side) profile {
	across := along.Unit() // the margin climbs and falls along the arch, so the plane leans with it
	if across.Norm() == 0 || !p.known() {
		return p
	}
	away := g.inward(geom.V(across.X, across.Y, 0).Unit())
	if sd == facialSide {
		away = away.Neg()
	}
	start, f := g.surface.Nearest(p.points[0])
	if f < 0 {
		return p
	}
	out := profile{at: p.at, tooth: p.tooth, points: g.walk(start, f, across, away.Scale(0.3).Sub(geom.V(0, 0, 1)), p.length(), nil)}
	if len(out.points) < 2 {
		return p
	}
	out.run = make([]float64, len(out.points))
	for i := 1; i < len(out.points); i++ {
		out.run[i] = out.run[i-1] + out.points[i].Dist(out.points[i-1])
	}
	return out
}

// marginAt is where the plane across the arch meets a gingival margin on the side away
// looks to.
func (g *ground) marginAt(s float64, at, tangent, away geom.Vec) (geom.Vec, tooth.Number) {
	best, most, whose := geom.Vec{}, math.Inf(-1), tooth.Number(0)
	for _, n := range g.cast.Standing() {
		sp := g.spans[n]
		if s < sp[0]-1 || s > sp[1]+1 {
			continue
		}
		m := g.cast.Teeth[n].Margin
		for i, a := range m {
			b := m[(i+1)%len(m)]
			da, db := a.Sub(at).Dot(tangent), b.Sub(at).Dot(tangent)
			if (da > 0) == (db > 0) {
				continue
			}
			p := a.Lerp(b, da/(da-db))
			if w := p.Sub(at).Dot(away); w > most && math.Abs(w) < 15 {
				best, most, whose = p, w, n
			}
		}
	}
	if whose != 0 {
		return best, whose
	}
	// Between two teeth that nearly touch the gum counts as the nearer one's.
	for _, n := range g.cast.Standing() {
		sp := g.spans[n]
		d := math.Max(sp[0]-s, s-sp[1])
		if d < 0 || d > 1.5 {
			continue
		}
		if other := g.neighbour(n, s > sp[1]); other != 0 {
			a, b := g.lingualEnd(n, away, tangent, s > sp[1]), g.lingualEnd(other, away, tangent, s < sp[0])
			return a.Lerp(b, 0.5), n
		}
	}
	return geom.Vec{}, 0
}

// neighbour is the standing tooth next to n toward the patient's left (ahead) or right,
// where no gap of a tooth's width lies between.
func (g *ground) neighbour(n tooth.Number, ahead bool) tooth.Number {
	i := n.Index() - 1
	if ahead {
		i = n.Index() + 1
	}
	o := tooth.At(g.cast.Arch, i)
	if o != 0 && g.cast.Teeth[o] != nil {
		return o
	}
	return 0
}

// lingualEnd is the margin point of n farthest along the arch, on the side away looks to.
func (g *ground) lingualEnd(n tooth.Number, away, tangent geom.Vec, ahead bool) geom.Vec {
	dir := tangent
	if !ahead {
		dir = tangent.Neg()
	}
	dir = dir.Add(away.Scale(0.7))
	best, most := geom.Vec{}, math.Inf(-1)
	for _, p := range g.cast.Teeth[n].Margin {
		if d := p.Dot(dir); d > most {
			best, most = p, d
		}
	}
	return best
}

// crestAt is the top of the ridge in the plane across the arch.
func (g *ground) crestAt(at, tangent geom.Vec) geom.Vec {
	best, near := geom.Vec{}, math.Inf(1)
	for _, r := range g.cast.Marks.Ridges {
		for i := 1; i < len(r.Crest.Points); i++ {
			a, b := r.Crest.Points[i-1], r.Crest.Points[i]
			da, db := a.Sub(at).Dot(tangent), b.Sub(at).Dot(tangent)
			if (da > 0) == (db > 0) {
				continue
			}
			p := a.Lerp(b, da/(da-db))
			if d := p.XY().Dist(at.XY()); d < near && d < 12 {
				best, near = p, d
			}
		}
	}
	if !math.IsInf(near, 1) {
		return best
	}
	if p, ok := g.drop(at.X, at.Y); ok {
		return p
	}
	return at
}

func (g *ground) profiles(sd side) []profile {
	if sd == facialSide {
		return g.facial
	}
	return g.lingual
}

// profileAt is the profile nearest to a station.
func (g *ground) profileAt(s float64, sd side) profile {
	ps := g.profiles(sd)
	i := int(math.Round(s / g.step))
	return ps[max(0, min(len(ps)-1, i))]
}

// on is the place t along the profile at station s, between stations in proportion.
func (g *ground) on(s, t float64, sd side) geom.Vec {
	ps := g.profiles(sd)
	x := s / g.step
	i := max(0, min(len(ps)-2, int(x)))
	f := math.Max(0, math.Min(1, x-float64(i)))
	a, b := ps[i], ps[i+1]
	if a.tooth != b.tooth || !a.known() || !b.known() {
		if f < 0.5 {
			b = a
		} else {
			a = b
		}
	}
	return a.point(t).Lerp(b.point(t), f)
}

// floorAt is how far along the lingual profile the functional floor lies.
func (g *ground) floorAt(p profile) (float64, bool) { return g.crossing(p, g.cast.Marks.Floor.Points) }

// foldAt is how far along the facial profile the depth of the vestibule lies.
func (g *ground) foldAt(p profile) (float64, bool) {
	return g.crossing(p, g.cast.Marks.Vestibule.Points)
}

// bottomAt is how far along a profile its floor (lingual) or its fold (facial) lies.
func (g *ground) bottomAt(p profile, sd side) (float64, bool) {
	if sd == lingualSide {
		return g.floorAt(p)
	}
	return g.foldAt(p)
}

// roomAt is how much of a profile a bar may take: down to the floor or the fold, and below
// a tooth no more than their probed depth, against which clearance and height are taught
// to be reckoned (8 mm for 3 clear and 5 of bar). The gum slopes, so that its own length to
// the floor is longer.
func (g *ground) roomAt(p profile, sd side) (float64, bool) {
	run, ok := g.bottomAt(p, sd)
	if ok && p.tooth != 0 {
		run = math.Min(run, math.Max(0, p.points[0].Z-p.point(run).Z))
	}
	return run, ok
}

// crossing is where a line on the cast meets a profile.
func (g *ground) crossing(p profile, line []geom.Vec) (float64, bool) {
	if !p.known() || len(line) < 2 {
		return 0, false
	}
	at, tangent := g.arch.At(p.at), g.tangent(p.at)
	best, near := 0.0, 3.0
	for i := 1; i < len(line); i++ {
		da, db := line[i-1].Sub(at).Dot(tangent), line[i].Sub(at).Dot(tangent)
		if (da > 0) == (db > 0) || line[i].Dist(line[i-1]) > cast.UnseenStep {
			continue
		}
		q := line[i-1].Lerp(line[i], da/(da-db))
		if q.XY().Dist(at.XY()) > 22 {
			continue
		}
		if t, d := p.nearest(q); d < near {
			best, near = t, d
		}
	}
	return best, near < 3
}
