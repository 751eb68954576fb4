package survey

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
)

const (
	belowFold   = 1.5 // surface so far below fold and floor is the trimmed base of the cast [mm]
	leastTissue = 2.0 // a shorter stretch of line on soft tissue tells nothing [mm]
	leastGum    = 0.2 // nor does one over an undercut that gum gives way to [mm]
)

// CastLines are the survey lines of a cast by tooth and on soft tissue, as ToothLines cuts
// them, without what runs round the base of the cast, where nothing of a denture passes,
// and without the shallow swellings of the gum.
func (s *Survey) CastLines(c *cast.Cast) []Line {
	var out []Line
	for _, l := range s.ToothLines(c) {
		switch {
		case l.Tooth != 0:
			out = append(out, l)
		case l.under > leastGum:
			out = append(out, l.without(BelowFold(c))...)
		}
	}
	return out
}

// BelowFold tells what lies below the depth of the vestibule and the floor of the mouth: on
// a cast the trimmed base. Where neither is known nothing does.
func BelowFold(c *cast.Cast) func(geom.Vec) bool {
	trough := append(append([]geom.Vec(nil), c.Marks.Vestibule.Points...), c.Marks.Floor.Points...)
	return func(p geom.Vec) bool {
		near, z := math.Inf(1), math.Inf(-1)
		for _, q := range trough {
			if d := q.XY().Dist(p.XY()); d < near {
				near, z = d, q.Z
			}
		}
		return p.Z < z-belowFold
	}
}

// without is what is left of a line where its points do not pass a test.
func (l Line) without(test func(geom.Vec) bool) []Line {
	n := len(l.Points)
	drop := make([]bool, n)
	first, any := 0, false
	for i, p := range l.Points {
		if drop[i] = test(p); drop[i] {
			first, any = i, true
		}
	}
	if !any {
		return []Line{l}
	}
	if !l.Closed {
		first = 0
	}
	var out []Line
	part := Line{Tooth: l.Tooth}
	end := func() {
		if len(part.Points) > 1 && geom.Length(part.Points) >= leastTissue {
			out = append(out, part)
		}
		part = Line{Tooth: l.Tooth}
	}
	for k := range n {
		i := (first + k) % n
		if drop[i] {
			end()
			continue
		}
		part.Points = append(part.Points, l.Points[i])
		part.faces = append(part.faces, l.faces[i])
	}
	end()
	return out
}
