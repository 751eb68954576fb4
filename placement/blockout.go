package placement

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/survey"
)

const (
	ledgeReach  = 1.5 // beyond any undercut that is clasped [mm]
	ledgeBeyond = 0.5 // past the tip, so that its round end is free too [mm]
	ledgeStep   = 0.25
)

// Shaping is how the cast is blocked out for the framework: the undercut above the lower
// border of each retentive end stays free, so that the filling ends there in a ledge, and
// rest seats stay free. With relief, sheets are laid where the metal is to stand off, with
// windows for tissue stops. Rigid parts have no ledge: what they cross is filled.
func (p *Placement) Shaping(taperDeg float64, relief bool) survey.Shaping {
	out := survey.Shaping{TaperDeg: taperDeg}
	windows := p.windows()
	for _, q := range p.Parts {
		for _, a := range q.Patches {
			thick := 0.0
			switch a.Role {
			case Seat:
				out.Keep = append(out.Keep, survey.Patch{Outline: a.Outline})
			case Relief:
				thick = a.Thickness
			case Plate:
				thick = a.Lift
			}
			if relief && thick > 0 {
				holes := append(append([][]geom.Vec{}, a.Holes...), windows...)
				out.Relief = append(out.Relief, survey.Relief{Patch: survey.Patch{Outline: a.Outline, Holes: holes}, Thickness: thick})
			}
		}
		if q.Part.Kind != design.Retainer {
			continue
		}
		for _, c := range q.Curves {
			if len(c.Points) < 2 {
				continue
			}
			switch c.Role {
			case Arm:
				out.Ledges = append(out.Ledges, survey.Ledge{Line: p.lowerBorder(c, 1-p.limits.TipShare), Reach: ledgeReach})
			case Foot:
				out.Ledges = append(out.Ledges, survey.Ledge{Line: p.underFoot(c), Reach: ledgeReach})
			}
		}
	}
	return out
}

// windows are where no relief is laid: tissue stops, and the teeth, on which plates lie.
func (p *Placement) windows() [][]geom.Vec {
	var out [][]geom.Vec
	for _, q := range p.Parts {
		for _, a := range q.Patches {
			if a.Role == Stop {
				out = append(out, a.Outline)
			}
		}
	}
	if p.ground != nil {
		for _, n := range p.ground.cast.Standing() {
			out = append(out, p.ground.cast.Teeth[n].Margin)
		}
	}
	return out
}

// lowerBorder is the border of a curve that lies farther from the occlusal, from a share of
// its length on to a little past its end.
func (p *Placement) lowerBorder(c Curve, from float64) []geom.Vec {
	w := geom.NewWalk(c.Points)
	long := w.Length()
	var line []geom.Vec
	n := int(math.Ceil(long * (1 - from) / ledgeStep))
	for i := 0; i <= n; i++ {
		s := long * (from + (1-from)*float64(i)/float64(max(n, 1)))
		k := int(math.Round(s / long * float64(len(c.Points)-1)))
		line = append(line, w.At(s).Add(p.gingival(c, k, w.Tangent(s)).Scale(at(c.Width, k)/2)))
	}
	last := len(line) - 1
	return append(line, line[last].Add(w.Tangent(long).Scale(ledgeBeyond)))
}

// underFoot is a level line under the head of a bar clasp, as wide as the head and a little
// more to either side.
func (p *Placement) underFoot(c Curve) []geom.Vec {
	up := p.Path.Direction
	low, k := math.Inf(1), 0
	for i, q := range c.Points {
		if h := q.Dot(up); h < low {
			low, k = h, i
		}
	}
	out := up
	if k < len(c.Out) {
		out = c.Out[k]
	}
	side := up.Cross(out).Unit()
	from, to := math.Inf(1), math.Inf(-1)
	for i, q := range c.Points {
		u := q.Sub(c.Points[k]).Dot(side)
		from, to = math.Min(from, u-at(c.Width, i)/2), math.Max(to, u+at(c.Width, i)/2)
	}
	return []geom.Vec{c.Points[k].Add(side.Scale(from - ledgeBeyond)), c.Points[k].Add(side.Scale(to + ledgeBeyond))}
}

// gingival is the direction across a curve, on the surface, that points away from the
// occlusal.
func (p *Placement) gingival(c Curve, k int, tangent geom.Vec) geom.Vec {
	down := p.Path.Direction.Neg().Across(tangent)
	if k < len(c.Out) {
		down = down.Across(c.Out[k]).Across(tangent)
	}
	return down.Unit()
}

func at(v []float64, k int) float64 {
	if len(v) == 0 {
		return 0
	}
	return v[min(k, len(v)-1)]
}
