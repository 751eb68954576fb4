package cast

import (
	"math"
	"slices"

	"halfpear/geom"
)

const (
	foldReach = 22.0 // the gum is followed no farther than this down a section [mm]
	foldFall  = 2.0  // least way down to a fold [mm]
	foldRise  = 0.25 // a fold is passed where the section rises so far again [mm]
	foldShelf = 1.5  // or runs out level so far: the land of a plaster cast [mm]
	foldLevel = 0.3  // in height over that [mm]
)

// readFold follows the depth of the vestibule: on sections square to the arch, down the
// facial gum from the margin or the crest of a ridge to where the section turns up or out.
// A section that ends before it turns, at the edge of a scan, shows none; so does one that
// runs on down the trimmed side of a cast. How sure it is says along how much of the arch it
// was seen and how steadily it runs from one section to the next.
func readFold(c *Cast, on *Surface, l *line, from, to float64) ([]geom.Vec, float64) {
	type found struct {
		s  float64
		at geom.Vec
	}
	var all []found
	for s := from; s <= to; s++ {
		q, n := l.frame(s)
		plane := geom.Plane{Point: geom.V(q.X, q.Y, 0), Normal: geom.V(-n.Y, n.X, 0)}
		if p, ok := foldOn(c, on, plane, geom.V(n.X, n.Y, 0)); ok {
			all = append(all, found{s, p})
		}
	}
	// What lies quite elsewhere than its neighbours, across the arch or in height, is none.
	var out []geom.Vec
	unsteady := 0.0
	for i, f := range all {
		q, n := l.frame(f.s)
		var far, high []float64
		for j := max(0, i-4); j <= min(len(all)-1, i+4); j++ {
			if math.Abs(all[j].s-f.s) < 6 {
				qj, nj := l.frame(all[j].s)
				far, high = append(far, all[j].at.XY().Sub(qj).Dot(nj)), append(high, all[j].at.Z)
			}
		}
		off := math.Max(math.Abs(f.at.XY().Sub(q).Dot(n)-median(far)), math.Abs(f.at.Z-median(high)))
		if len(far) >= 4 && off < 2 {
			out = append(out, f.at)
			unsteady += off
		}
	}
	n := math.Max(1, float64(len(out)))
	return out, 0.85 * math.Min(1, n/(to-from+1)) * math.Exp(-unsteady/n)
}

// foldOn is where the fold lies on one section.
func foldOn(c *Cast, on *Surface, plane geom.Plane, facial geom.Vec) (geom.Vec, bool) {
	faces := on.along(plane.Point.Sub(facial.Scale(8)), plane.Point.Add(facial.Scale(foldReach)))
	best, start := -1, 0
	var line []geom.Vec
	top := geom.V(0, 0, math.Inf(-1))
	// It starts at the tooth's most facial margin, or where there is none, on the crest.
	margin, ok := geom.Vec{}, false
	for _, n := range c.Standing() {
		m := c.Teeth[n].Margin
		for i, a := range m {
			b := m[(i+1)%len(m)]
			da, db := plane.Above(a), plane.Above(b)
			if (da >= 0) == (db >= 0) {
				continue
			}
			p := a.Lerp(b, da/(da-db))
			if d := p.Sub(plane.Point).Dot(facial); math.Abs(d) < 10 && (!ok || d > margin.Sub(plane.Point).Dot(facial)) {
				margin, ok = p, true
			}
		}
	}
	near := 1.5
	for k, s := range c.Mesh.Slices(plane, faces) {
		pts := s.Points()
		for i, p := range pts {
			d := p.Sub(plane.Point).Dot(facial)
			if ok {
				if off := p.Dist(margin); off < near {
					best, start, line, near = k, i, pts, off
				}
			} else if math.Abs(d) < 5 && p.Z > top.Z {
				best, start, line, top = k, i, pts, p
			}
		}
	}
	if best < 0 {
		return geom.Vec{}, false
	}
	a, okA := turnOf(line[start:], facial)
	back := slices.Clone(line[:start+1])
	slices.Reverse(back)
	b, okB := turnOf(back, facial)
	switch {
	case okA && okB: // the tooth's other side lies lingual
		if b.Sub(a).Dot(facial) > 0 {
			return b, true
		}
		return a, true
	case okB:
		return b, true
	}
	return a, okA
}

// turnOf is where a section, followed from its top down, turns up or out; false where it
// does not lead down to the facial, or ends before it turns.
func turnOf(line []geom.Vec, facial geom.Vec) (geom.Vec, bool) {
	long, low := 0.0, 0
	for i := 1; i < len(line) && long < foldReach; i++ {
		long += line[i].Dist(line[i-1])
		if long > 3 && line[i].Sub(line[0]).Dot(facial) < -3 {
			return geom.Vec{}, false // to the lingual
		}
		if line[i].Z < line[low].Z-0.02 {
			// After the fall nearly level ground counts as the bottom, where it begins.
			out := line[i].Sub(line[low]).Dot(facial)
			if line[0].Z-line[low].Z > foldFall && out > foldShelf && line[low].Z-line[i].Z < foldLevel {
				return line[low], true
			}
			if line[low].Z-line[i].Z > foldLevel || out < foldShelf/4 {
				low = i
			}
			continue
		}
		fell := line[0].Z-line[low].Z > foldFall
		if fell && line[i].Z-line[low].Z > foldRise {
			return line[low], true
		}
		if fell && line[i].Sub(line[low]).Dot(facial) > foldShelf {
			return line[low], true
		}
	}
	return geom.Vec{}, false
}

// along are the faces in the columns of cells that a level way passes.
func (s *Surface) along(a, b geom.Vec) []int32 {
	if s.nx == 0 {
		return nil
	}
	seen := map[int32]bool{}
	var out []int32
	n := int(a.XY().Dist(b.XY())/s.cell*2) + 1
	last := -1
	for i := 0; i <= n; i++ {
		p := a.Lerp(b, float64(i)/float64(n))
		d := p.Sub(s.low)
		if d.X < 0 || d.Y < 0 || d.X > float64(s.nx)*s.cell || d.Y > float64(s.ny)*s.cell {
			continue
		}
		x, y, _ := s.index(p)
		if y*s.nx+x == last {
			continue
		}
		last = y*s.nx + x
		for j := max(0, y-1); j <= min(s.ny-1, y+1); j++ {
			for k := max(0, x-1); k <= min(s.nx-1, x+1); k++ {
				for _, f := range s.columns[j*s.nx+k] {
					if !seen[f] {
						seen[f] = true
						out = append(out, f)
					}
				}
			}
		}
	}
	slices.Sort(out)
	return out
}
