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

	shelfReach   = 0.25 // as wide as the usual undercut leaves a ledge [mm]
	worthLedging = 0.05 // less undercut no filling is felt in [mm]
	onLine       = 0.1  // how near the survey line a border lies to be shelved [mm]
)

// Shaping is how the cast is blocked out for the framework: the undercut above the lower
// border of each retentive end, and of rigid retainers that seat first, stays free, so that
// the filling ends there in a ledge, and rest seats stay free. What other rigid parts cross is
// filled; where the lower border of a rigid arm runs along the survey line, the filling under
// it stands out in a shelf that shows where the arm is laid. Where the arm runs above the
// line there is nothing to shape, for no filling goes on the tooth there. With relief, sheets
// are laid where the metal is to stand off, with windows for tissue stops.
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
		if q.Part.Kind == design.GuidePlate && q.Part.SeatsFirst() && len(q.Patches) > 0 {
			line, reach := p.underPlate(q.Part)
			out.Ledges = append(out.Ledges, survey.Ledge{Line: line, Reach: reach})
		}
		if q.Part.Kind != design.Retainer && q.Part.Kind != design.Reciprocation {
			continue
		}
		for _, c := range q.Curves {
			if len(c.Points) < 2 {
				continue
			}
			switch c.Role {
			case Rigid:
				for _, line := range p.alongSurveyLine(q.Part, c) {
					out.Shelves = append(out.Shelves, survey.Ledge{Line: line, Reach: shelfReach})
				}
			case Arm:
				out.Ledges = append(out.Ledges, survey.Ledge{Line: p.lowerBorder(c, 1-p.limits.TipShare), Reach: ledgeReach})
			case Foot:
				out.Ledges = append(out.Ledges, survey.Ledge{Line: p.underFoot(c), Reach: ledgeReach})
			}
		}
	}
	return out
}

// underPlate is the lower edge of a guide plate's contact with its tooth, a little beyond it
// on either side, and how far from it the plate goes, across the path.
func (p *Placement) underPlate(q design.Part) (edge []geom.Vec, reach float64) {
	k := p.ground.crown(q.Tooth)
	b := p.made.bandOf(q, k)
	const n = 12
	var line []geom.Vec
	for i := 0; i <= n; i++ {
		d := b.facial + (b.lingual-b.facial)*float64(i)/n
		low := k.at(d, b.low(d))
		line = append(line, low)
		reach = math.Max(reach, k.at(d, b.top(d)).Sub(low).Across(p.Path.Direction).Norm())
	}
	first, last := line[0].Sub(line[1]).Unit(), line[n].Sub(line[n-1]).Unit()
	edge = append(append([]geom.Vec{line[0].Add(first.Scale(ledgeBeyond))}, line...), line[n].Add(last.Scale(ledgeBeyond)))
	return edge, reach + ledgeReach
}

// alongSurveyLine are the stretches of a rigid arm's lower border that run along the survey
// line.
func (p *Placement) alongSurveyLine(q design.Part, c Curve) [][]geom.Vec {
	k := p.ground.crown(q.Tooth)
	if k == nil {
		return nil
	}
	var out [][]geom.Vec
	var run []geom.Vec
	end := func() {
		if len(run) > 1 && geom.Length(run) > 1 {
			out = append(out, run)
		}
		run = nil
	}
	border := p.lowerBorder(c, 0)
	for _, v := range border[:len(border)-2] {
		d, h := k.locate(v)
		if s := k.at(d, h); math.Abs(h-k.contour(d)) > onLine || s.Dist(v) > 0.5 {
			end()
			continue
		}
		run = append(run, k.at(d, h))
	}
	end()
	return out
}

// Blocked is what blocking out for the framework does to it.
type Blocked struct {
	Ledges, Shelves int
	Filled          []design.ID // parts whose planned undercut would be filled
	Above           []design.ID // parts under which filling would go on the tooth above the survey line
}

// Blocked looks at the block-out that Shaping asks for; false for a placement that was laid
// on no cast.
func (p *Placement) Blocked() (Blocked, bool) {
	if p.ground == nil {
		return Blocked{}, false
	}
	how := p.Shaping(0, false)
	free := how.Frees(p.Path.Direction)
	out := Blocked{Ledges: len(how.Ledges), Shelves: len(how.Shelves)}
	for _, q := range p.Parts {
		filled := false
		at := func(v geom.Vec) {
			// What lies in undercut is filled unless it is kept free; a hair above a ledge's own
			// line it has to be.
			v = v.Add(p.Path.Direction.Scale(0.05))
			filled = filled || p.ground.undercutAt(p.ground.survey, v) > worthLedging && !free(v)
		}
		switch {
		case q.Part.Kind == design.Retainer:
			for _, t := range q.Tips {
				at(t.Point)
			}
			for _, c := range q.Curves {
				from := len(c.Points)
				switch c.Role {
				case Foot:
					from = 0
				case Arm:
					from = int(math.Ceil(float64(len(c.Points)) * (1 - p.limits.TipShare)))
				}
				for _, v := range c.Points[from:] {
					at(v)
				}
			}
		case q.Part.Kind == design.GuidePlate && q.Part.SeatsFirst() && len(q.Patches) > 0:
			k := p.ground.crown(q.Part.Tooth)
			b := p.made.bandOf(q.Part, k)
			mid := (b.facial + b.lingual) / 2
			for h := b.low(mid); h < b.top(mid); h += 0.2 {
				at(k.at(mid, h))
			}
		}
		if filled {
			out.Filled = append(out.Filled, q.Part.ID)
		}
		if k := p.ground.crown(q.Part.Tooth); k != nil && (q.Part.Kind == design.Retainer || q.Part.Kind == design.Reciprocation) {
			for _, c := range q.Curves {
				if c.Role != Rigid || len(c.Points) < 2 {
					continue
				}
				for _, line := range p.alongSurveyLine(q.Part, c) {
					for _, v := range line {
						if d, h := k.locate(v); h > k.contour(d)+onLine+0.05 {
							out.Above = append(out.Above, q.Part.ID)
							break
						}
					}
				}
			}
		}
	}
	return out, true
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
	// Round the end, which may dive steeply, and past it.
	end, half := c.Points[len(c.Points)-1], at(c.Width, len(c.Points)-1)/2
	on := w.Tangent(long)
	down := p.gingival(c, len(c.Points)-1, on)
	return append(line, end.Add(down.Add(on).Unit().Scale(half)), end.Add(on.Scale(half+ledgeBeyond)))
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

// underRigid reads how deep an undercut lies under rigid parts that lie over one, and under
// the rigid metal of the whole framework: so far the filling stands off the cast there.
func (l *layout) underRigid() {
	most, from := 0.0, geom.Vec{}
	for _, p := range l.d.Parts {
		q := l.parts[p.ID]
		deepest, place, found := 0.0, geom.Vec{}, false
		at := func(v geom.Vec) {
			found = true
			if u := l.g.undercutAt(l.g.survey, v); u > deepest {
				deepest, place = u, v
			}
		}
		switch {
		case p.Kind == design.GuidePlate && p.SeatsFirst(): // goes into its undercut
			continue
		case p.Kind == design.GuidePlate, p.Kind == design.MinorConnector, p.Kind == design.MajorConnector, p.Kind == design.Rest, p.Form == design.ReciprocalPlate:
			for _, c := range q.Curves {
				if c.Role == Rigid || c.Role == BarLine {
					for _, v := range c.Points {
						at(v)
					}
				}
			}
			for _, a := range q.Patches {
				if a.Role == Plate && len(a.Outline) > 2 {
					for _, v := range l.inPatch(a, p.Kind == design.MajorConnector) {
						at(v)
					}
				}
			}
		}
		if m, ok := q.Measure("rigid_undercut", 0); ok {
			deepest, place = m.Quantity.Value, m.From
		} else if found {
			l.measure(q, "rigid_undercut", deepest, p.Tooth, place, place)
		}
		if deepest > most {
			most, from = deepest, place
		}
	}
	l.wholeNote("blockout_gap", l.g.length(most), 0, from, from)
}
