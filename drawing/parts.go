package drawing

import (
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/tooth"
)

// partOrder is the placed parts in the order of the list, and their numbers.
func partOrder(p *placement.Placement) ([]placement.Placed, map[design.ID]int) {
	var d design.Design
	for _, q := range p.Parts {
		d.Parts = append(d.Parts, q.Part)
	}
	numbers := map[design.ID]int{}
	var out []placement.Placed
	for i, part := range d.Listed() {
		numbers[part.ID] = i + 1
		if q, ok := p.Part(part.ID); ok {
			out = append(out, q)
		}
	}
	return out, numbers
}

// retentive tells the parts that hold the denture by an undercut.
func retentive(q placement.Placed) bool { return q.Part.Kind == design.Retainer }

// wrought tells arms of wire.
func wrought(q placement.Placed) bool {
	return len(q.Part.Material) > 7 && q.Part.Material[:7] == "wrought" || q.Part.GaugeMM > 0
}

// drawPart draws one placed part in a figure; from is how an elevation looks at it, nil
// sees all of it.
func (d *draft) drawPart(f *figure, q placement.Placed, from *eyed) {
	pens := d.pens
	var facing func(geom.Vec) bool
	if from != nil {
		facing = from.near.facing
	}
	metal := pens.metal
	if q.Part.Kind == design.Reciprocation {
		metal = pens.bracing
	}
	for _, p := range q.Patches {
		outline := p.Outline
		if from == nil && p.Role == placement.Plate && solidBar(q) {
			continue // seen from above the bar is as wide as it is thick
		}
		if from != nil {
			if p.Role == placement.Seat && !from.sees(outline) { // hidden in the crown
				hidden := pens.rest
				hidden.Width, hidden.Dash = 0.18, sheet.Dash{0.7, 0.5}
				f.draw(hidden, true, f.points(outline))
				continue
			}
			beside := besideAxis
			if q.Part.Kind == design.MajorConnector {
				beside = alongTooth
			}
			if outline = from.near.cut(outline, beside); len(outline) < 3 {
				continue
			}
		}
		outlines := [][]sheet.Point{f.points(outline)}
		for _, h := range p.Holes {
			outlines = append(outlines, f.points(h))
		}
		switch p.Role {
		case placement.Seat:
			f.area(layerRests, d.Palette.Support, outlines...)
			f.draw(pens.rest, true, outlines...)
		case placement.Plate:
			f.area(layerTints, metal.Ink.Tint(0.2), outlines...)
			f.draw(metal, true, outlines...)
		case placement.Lattice:
			clipped := outlines
			if !f.whole {
				clipped = f.clipAreas(outlines)
			}
			if !hasStruts(q) {
				f.draw(pens.lattice, false, sheet.Hatch(geom.Deg(45), 1.6, clipped...)...)
				f.draw(pens.lattice, false, sheet.Hatch(geom.Deg(135), 1.6, clipped...)...)
			}
			f.draw(pens.lattice, true, outlines...)
		case placement.Resin:
			clipped := outlines
			if !f.whole {
				clipped = f.clipAreas(outlines)
			}
			f.draw(sheet.Pen{Layer: layerTints, Width: 0.25, Ink: d.Palette.Resin.Tint(0.7)}, false, sheet.Stipple(1.8, clipped...)...)
			f.draw(pens.resin, true, outlines...)
		case placement.Stop:
			f.area(layerRests, d.Palette.Stop, outlines...)
			f.draw(pens.stop, true, outlines...)
		case placement.Relief:
			if q.Part.Kind == design.Base { // the whole lattice stands off; its finish line tells where from
				continue
			}
			clipped := outlines
			if !f.whole {
				clipped = f.clipAreas(outlines)
			}
			f.draw(pens.relief, false, sheet.Stipple(1, clipped...)...)
			f.draw(pens.relief, true, outlines...)
		case placement.Crown:
			f.draw(pens.replaced, true, outlines...)
		}
	}
	for _, c := range q.Curves {
		if len(c.Points) < 2 || plated(q) && (c.Role == placement.Border || c.Role == placement.BarLine && (from != nil && c.Section == placement.HalfPear || d.Cast.Arch == tooth.Upper)) {
			continue // the plate's own outline shows it
		}
		see := facing
		if from != nil && c.Role == placement.Approach && q.Tip != nil {
			// A bar arm lies on its tip's side of the arch all along, also where the arch
			// bends away from the tooth.
			if q.Tip.Site.Facial() != from.facial {
				continue
			}
			see = from.near.beside
		}
		for _, run := range facingRuns(c, see) {
			d.drawCurve(f, q, run, metal)
		}
	}
}

// plated tells the connectors whose whole outline is a patch.
func plated(q placement.Placed) bool {
	if q.Part.Kind != design.MajorConnector {
		return false
	}
	for _, p := range q.Patches {
		if p.Role == placement.Plate {
			return true
		}
	}
	return false
}

// solidBar tells the lower connectors that are a bar and nothing else.
func solidBar(q placement.Placed) bool {
	return q.Part.Form == design.LingualBar || q.Part.Form == design.SublingualBar
}

// sees tells whether most of an outline on the crown is not hidden by it.
func (e *eyed) sees(outline []geom.Vec) bool {
	n := 0
	for _, p := range outline {
		if e.view.seen(p, 0.3) {
			n++
		}
	}
	return 2*n > len(outline)
}

func hasStruts(q placement.Placed) bool {
	for _, c := range q.Curves {
		if c.Role == placement.StrutLine {
			return true
		}
	}
	return false
}

// facingRuns is the stretches of a curve that face the eye.
func facingRuns(c placement.Curve, facing func(geom.Vec) bool) []placement.Curve {
	if facing == nil {
		return []placement.Curve{c}
	}
	var out []placement.Curve
	cut := func(i, j int) {
		const speck = 1.5 // a shorter stretch says nothing [mm]
		if j-i < 2 || geom.Length(c.Points[i:j]) < math.Min(speck, geom.Length(c.Points)/2) {
			return
		}
		r := c
		r.Closed = c.Closed && i == 0 && j == len(c.Points)
		r.Points = c.Points[i:j]
		r.Width, r.Thickness = part(c.Width, i, j), part(c.Thickness, i, j)
		if len(c.Out) == len(c.Points) {
			r.Out = c.Out[i:j]
		}
		out = append(out, r)
	}
	from := -1
	for i, p := range c.Points {
		switch in := facing(p); {
		case in && from < 0:
			from = i
		case !in && from >= 0:
			cut(from, i)
			from = -1
		}
	}
	if from >= 0 {
		cut(from, len(c.Points))
	}
	return out
}

func part(v []float64, i, j int) []float64 {
	if len(v) < j {
		return v
	}
	return v[i:j]
}

func (d *draft) drawCurve(f *figure, q placement.Placed, c placement.Curve, metal sheet.Pen) {
	pens := d.pens
	switch c.Role {
	case placement.Arm, placement.Approach:
		if wrought(q) && c.Role == placement.Arm {
			// Wire: its two edges, open between them.
			o := f.ribbon(c, true)
			f.solid(layerArms, sheet.White, o)
			pen := pens.arm
			pen.Width = 0.2
			f.draw(pen, true, o)
			return
		}
		o := f.ribbon(c, c.Role == placement.Arm)
		f.solid(layerArms, d.Palette.Retention, o)
		pen := pens.arm
		pen.Width = 0.12
		f.draw(pen, true, o)
	case placement.Foot:
		if len(c.Width) > 0 {
			o := f.ribbon(c, true)
			f.solid(layerArms, d.Palette.Retention, o)
			return
		}
		pen := pens.arm
		pen.Width = 0.7
		f.draw(pen, c.Closed, f.points(c.Points))
	case placement.Rigid, placement.BarLine:
		o := f.ribbon(c, false)
		if len(c.Width) == 0 {
			f.draw(metal, false, f.points(c.Points))
			return
		}
		f.solid(layerTints, metal.Ink.Tint(0.2), o)
		pen := metal
		pen.Width = 0.3
		f.draw(pen, true, o)
	case placement.Border:
		f.draw(metal, c.Closed, f.points(c.Points))
	case placement.Bead:
		f.draw(pens.bead, c.Closed, f.points(c.Points))
	case placement.StrutLine:
		f.draw(pens.lattice, c.Closed, f.points(c.Points))
	case placement.Plane:
		if f.fromAbove() { // the plane stands upright: its upper edge tells it
			edge := pens.plane
			edge.Width = 0.6
			f.draw(edge, false, f.points(c.Points[:len(c.Points)/2]))
			return
		}
		f.draw(pens.plane, true, f.points(c.Points))
	case placement.Finish:
		pen := pens.finishOut
		if q.Part.Side == "internal" {
			pen = pens.finishIn
		}
		f.draw(pen, c.Closed, f.points(c.Points))
	}
}

// spots are where a label for a part may point in a figure, the best first: the middle of
// its main patch, or places along its main curve or outline.
func (f *figure) spots(q placement.Placed) []sheet.Point {
	var out []sheet.Point
	outline := func(line []geom.Vec, shares ...float64) {
		w := geom.NewWalk(geom.Closed(line))
		for _, s := range shares {
			out = append(out, f.point(w.At(s*w.Length())))
		}
	}
	for _, p := range q.Patches {
		if len(p.Outline) < 3 || p.Role == placement.Relief {
			continue
		}
		switch q.Part.Kind {
		case design.Base:
			if p.Role == placement.Resin {
				outline(p.Outline, 0.33, 0.2, 0.5, 0.7, 0.85)
			}
		case design.MajorConnector:
			outline(p.Outline, 0.2, 0.3, 0.1, 0.4, 0.7)
		default:
			line := f.points(p.Outline)
			if c := centroid(line); geom.Contains2(line, c) {
				out = append(out, c)
			} else {
				r, _ := sheet.Bounds(line)
				out = append(out, r.Center())
			}
			outline(p.Outline, 0, 0.25, 0.5, 0.75)
		}
	}
	for _, c := range q.Curves {
		if len(c.Points) < 2 {
			continue
		}
		w := geom.NewWalk(c.Points)
		for _, s := range [...]float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95} {
			out = append(out, f.point(w.At(s*w.Length())))
		}
	}
	return out
}

// spot is the best of the spots.
func (f *figure) spot(q placement.Placed) (sheet.Point, bool) {
	if all := f.spots(q); len(all) > 0 {
		return all[0], true
	}
	return sheet.Point{}, false
}

func centroid(l []sheet.Point) sheet.Point {
	var c sheet.Point
	area := 0.0
	for i, p := range l {
		q := l[(i+1)%len(l)]
		k := p.Cross(q)
		area += k
		c = c.Add(p.Add(q).Scale(k))
	}
	if area == 0 {
		return l[0]
	}
	return c.Scale(1 / (3 * area))
}
