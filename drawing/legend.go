package drawing

import (
	"math"
	"strconv"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

func itoa(n int) string { return strconv.Itoa(n) }

// entry is one line of the legend: a sample drawn in a box, and what it means.
type entry struct {
	word words.Word
	draw func(p *sheet.Page, r sheet.Rect)
}

// legend is the entries for what a drawing shows.
type legend []entry

const (
	legendRow    = 4.4
	legendSample = 11.0
	legendSize   = 2.3
)

// columns is how many columns the legend is set in.
func (l legend) columns(width float64) int { return max(1, int(width/60)) }

func (l legend) height(width float64) float64 {
	rows := (len(l) + l.columns(width) - 1) / l.columns(width)
	return float64(rows)*legendRow + 6
}

func (l legend) draw(d *draft, p *sheet.Page, r sheet.Rect) {
	p.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6, Ink: d.Palette.Accent}, sheet.Pt(r.X0, r.Y0+3.6), d.say(words.Legend))
	cols := l.columns(r.W())
	rows := (len(l) + cols - 1) / cols
	w := r.W() / float64(cols)
	for i, e := range l {
		x, y := r.X0+float64(i/rows)*w, r.Y0+5+float64(i%rows)*legendRow
		e.draw(p, sheet.Box(x, y+0.5, legendSample, legendRow-1))
		text := e.word.In(d.Lang)
		size := legendSize
		for size > 1.5 && sheet.Plain.Width(text, size) > w-legendSample-3 {
			size -= 0.05
		}
		p.Write(sheet.Type{Layer: layerText, Size: size}, sheet.Pt(x+legendSample+2, y+legendRow/2+sheet.CapHeight*size/2), text)
	}
}

// relieved tells the parts that stand off the tissue in a patch of their own.
func relieved(q placement.Placed) bool {
	for _, p := range q.Patches {
		if p.Role == placement.Relief {
			return true
		}
	}
	return false
}

// legend lists what this design's sheets show.
func (d *draft) legend() legend {
	pens, pal := d.pens, d.Palette
	has := func(test func(placement.Placed) bool) bool {
		for _, q := range d.order {
			if test(q) {
				return true
			}
		}
		return false
	}
	kind := func(k design.Kind) bool { return has(func(q placement.Placed) bool { return q.Part.Kind == k }) }
	curve := func(r placement.CurveRole) bool {
		return has(func(q placement.Placed) bool {
			for _, c := range q.Curves {
				if c.Role == r {
					return true
				}
			}
			return false
		})
	}
	patch := func(r placement.PatchRole) bool {
		return has(func(q placement.Placed) bool {
			for _, c := range q.Patches {
				if c.Role == r {
					return true
				}
			}
			return false
		})
	}
	mid := func(r sheet.Rect) float64 { return (r.Y0 + r.Y1) / 2 }
	stroke := func(pen sheet.Pen) func(p *sheet.Page, r sheet.Rect) {
		return func(p *sheet.Page, r sheet.Rect) { p.Line(pen, sheet.Pt(r.X0, mid(r)), sheet.Pt(r.X1, mid(r))) }
	}
	arm := func(r sheet.Rect) ([]sheet.Point, []float64) {
		var l []sheet.Point
		var w []float64
		for i := range 13 {
			u := float64(i) / 12
			l = append(l, sheet.Pt(r.X0+u*r.W(), mid(r)+0.8-2.2*u*(1-u)))
			w = append(w, 1.3-0.7*u)
		}
		return l, w
	}
	var out legend
	add := func(when bool, w words.Word, draw func(p *sheet.Page, r sheet.Rect)) {
		if when {
			out = append(out, entry{w, draw})
		}
	}
	add(true, words.LegendMetal, func(p *sheet.Page, r sheet.Rect) {
		p.Area(layerTints, pal.Metal.Tint(0.2), r.Outline())
		p.Draw(pens.metal, true, r.Outline())
	})
	add(kind(design.Rest), words.LegendRest, func(p *sheet.Page, r sheet.Rect) {
		p.Area(layerRests, pal.Support, sheet.Circle(r.Center(), 1.5))
	})
	castArm := has(func(q placement.Placed) bool { return retentive(q) && !wrought(q) && len(q.Curves) > 0 })
	add(castArm, words.LegendArm, func(p *sheet.Page, r sheet.Rect) {
		l, w := arm(r)
		p.Area(layerArms, pal.Retention, sheet.Ribbon(l, w, true))
	})
	add(has(func(q placement.Placed) bool { return retentive(q) && wrought(q) }), words.LegendWire, func(p *sheet.Page, r sheet.Rect) {
		l, w := arm(r)
		for i := range w {
			w[i] = 0.9
		}
		pen := pens.arm
		pen.Width = 0.2
		p.Draw(pen, true, sheet.Ribbon(l, w, true))
	})
	add(has(func(q placement.Placed) bool { return q.Tip != nil }), words.LegendUndercut, func(p *sheet.Page, r sheet.Rect) {
		p.Write(sheet.Type{Layer: layerText, Size: sizeLabel, Face: sheet.Bold, Ink: pal.Retention.Dark(), Align: sheet.Center}, sheet.Pt(r.Center().X, mid(r)+0.8), words.Number(d.Lang, 0.25, 2))
	})
	add(kind(design.Reciprocation), words.LegendBracing, func(p *sheet.Page, r sheet.Rect) {
		in := sheet.Box(r.X0, mid(r)-0.7, r.W(), 1.4).Outline()
		p.Area(layerTints, pal.Bracing.Tint(0.2), in)
		pen := pens.bracing
		pen.Width = 0.3
		p.Draw(pen, true, in)
	})
	add(kind(design.GuidePlate), words.LegendPlate, func(p *sheet.Page, r sheet.Rect) {
		p.Line(pens.metal, sheet.Pt(r.Center().X, r.Y0), sheet.Pt(r.Center().X, r.Y1))
	})
	add(curve(placement.Plane), words.LegendPlane, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.plane, true, sheet.Box(r.Center().X-0.4, r.Y0, 0.8, r.H()).Outline())
	})
	add(has(func(q placement.Placed) bool { return q.Part.Kind != design.Base && relieved(q) }), words.LegendRelief, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.relief, false, sheet.Stipple(1, r.Outline())...)
		p.Draw(pens.relief, true, r.Outline())
	})
	held := func(open bool) bool {
		return has(func(q placement.Placed) bool {
			for _, c := range q.Patches {
				if c.Role == placement.Lattice && hasStruts(q) == open {
					return true
				}
			}
			return false
		})
	}
	add(held(true), words.LegendLattice, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.lattice, true, r.Outline())
		for i := range 4 {
			x := r.X0 + r.W()*float64(i+1)/5
			p.Line(pens.lattice, sheet.Pt(x, r.Y0), sheet.Pt(x, r.Y1))
		}
		for _, y := range [...]float64{r.Y0 + 0.6, r.Y1 - 0.6} {
			p.Line(pens.lattice, sheet.Pt(r.X0, y), sheet.Pt(r.X1, y))
		}
	})
	add(held(false), words.LegendMesh, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.lattice, false, sheet.Hatch(geom.Deg(45), 1.6, r.Outline())...)
		p.Draw(pens.lattice, false, sheet.Hatch(geom.Deg(135), 1.6, r.Outline())...)
		p.Draw(pens.lattice, true, r.Outline())
	})
	add(patch(placement.Resin), words.LegendResin, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(sheet.Pen{Layer: layerTints, Width: 0.25, Ink: pal.Resin.Tint(0.7)}, false, sheet.Stipple(1.8, r.Outline())...)
		p.Draw(pens.resin, true, r.Outline())
	})
	finish := func(side string) bool {
		return has(func(q placement.Placed) bool { return q.Part.Kind == design.FinishLine && q.Part.Side == side })
	}
	add(finish("external"), words.LegendFinishOut, stroke(pens.finishOut))
	add(finish("internal"), words.LegendFinishIn, stroke(pens.finishIn))
	add(curve(placement.Bead), words.LegendBead, stroke(pens.bead))
	add(patch(placement.Stop), words.LegendStop, func(p *sheet.Page, r sheet.Rect) {
		p.Area(layerRests, pal.Stop, sheet.Box(r.Center().X-1, mid(r)-1, 2, 2).Outline())
	})
	add(kind(design.ReplacementTooth), words.LegendReplaced, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.replaced, true, sheet.Circle(r.Center(), 1.5))
	})
	add(len(d.Placement.SupportFulcrum) == 2, words.LegendFulcrum, stroke(pens.fulcrum))
	add(d.Placement.Turn != nil, words.LegendTurn, func(p *sheet.Page, r sheet.Rect) {
		p.Line(pens.turn, sheet.Pt(r.X0, mid(r)), sheet.Pt(r.X1, mid(r)))
		p.Draw(pens.tripod, true, sheet.Circle(r.Center(), 0.8))
	})
	add(true, words.LegendSurvey, stroke(pens.survey))
	add(d.Placement.Path.TiltDeg() > 0.3, words.LegendVertical, stroke(pens.vertical))
	add(d.Survey != nil, words.LegendContours, func(p *sheet.Page, r sheet.Rect) {
		for i, c := range pal.Undercut {
			y := r.Y0 + (float64(i)+0.5)*r.H()/3
			p.Line(sheet.Pen{Layer: layerUndercut, Width: undercutWidth[i], Ink: c, Dash: undercutDash[i]}, sheet.Pt(r.X0, y), sheet.Pt(r.X1, y))
		}
	})
	add(len(d.deep) > 0, words.LegendDeepTissue, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(pens.deep, false, sheet.Hatch(geom.Deg(135), 1, r.Outline())...)
		p.Draw(pens.deep, true, r.Outline())
	})
	add(len(d.stations()) > 0, words.LegendReading, func(p *sheet.Page, r sheet.Rect) {
		pen := sheet.Pen{Layer: layerDims, Width: 0.35, Ink: pal.Accent}
		p.Line(pen, sheet.Pt(r.X0+1, mid(r)), sheet.Pt(r.X1-1, mid(r)))
		pen.Width = 0.15
		for _, x := range [...]float64{r.X0 + 1, r.X1 - 1} {
			p.Line(pen, sheet.Pt(x, r.Y0), sheet.Pt(x, r.Y1))
		}
	})
	add(len(d.tripod) == 3, words.LegendTripod, func(p *sheet.Page, r sheet.Rect) {
		c := r.Center()
		p.Draw(pens.tripod, true, sheet.Circle(c, 1.5))
		p.Line(pens.tripod, c.Sub(sheet.Pt(1, 0)), c.Add(sheet.Pt(1, 0)))
		p.Line(pens.tripod, c.Sub(sheet.Pt(0, 1)), c.Add(sheet.Pt(0, 1)))
	})
	add(true, words.LegendPart, func(p *sheet.Page, r sheet.Rect) {
		p.Draw(sheet.Pen{Layer: layerText, Width: 0.18, Ink: sheet.Black}, true, sheet.Circle(r.Center(), 1.6))
		p.Write(sheet.Type{Layer: layerText, Size: sizePart, Align: sheet.Center}, sheet.Pt(r.Center().X, mid(r)+sheet.CapHeight*sizePart/2), "7")
	})
	return out
}

// pathPanel draws how the path of insertion leans, from the patient's right and from the
// front, and says how the cast is set up again.
func (d *draft) pathPanel(p *sheet.Page, r sheet.Rect) {
	p.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6, Ink: d.Palette.Accent}, sheet.Pt(r.X0, r.Y0+3.6), d.say(words.PathOfInsertion))
	path := d.Placement.Path
	w := r.W() / 2
	d.lean(p, sheet.Box(r.X0, r.Y0+5, w-2, 22), path.AnteriorDeg, d.say(words.Back), d.say(words.Front))
	// From the front the patient's right is on the reader's left.
	d.lean(p, sheet.Box(r.X0+w, r.Y0+5, w-2, 22), -path.RightDeg, d.say(words.RightLetter), d.say(words.LeftLetter))
	y := r.Y0 + 31.0
	lines := sheet.Plain.Wrap(d.tiltText(path), 2.2, r.W()-2)
	if n := len(d.tripod); n == 3 {
		lines = append(lines, sheet.Plain.Wrap(d.say(words.TripodSays), 2.2, r.W()-2)...)
	}
	for _, l := range lines {
		p.Write(sheet.Type{Layer: layerText, Size: 2.2}, sheet.Pt(r.X0, y), l)
		y += 2.2 * sheet.Leading
	}
}

// lean draws an upright, and the path leaning from it to the right for a positive angle.
// The lower arch opens upward, the upper downward.
func (d *draft) lean(p *sheet.Page, r sheet.Rect, deg float64, left, right string) {
	up := -1.0
	foot := sheet.Pt(r.Center().X, r.Y1-5)
	if d.Cast.Arch == tooth.Upper {
		up = 1
		foot.Y = r.Y0 + 3
	}
	pen := sheet.Pen{Layer: layerText, Width: 0.25, Ink: grey}
	p.Line(pen, sheet.Pt(r.X0+2, foot.Y), sheet.Pt(r.X1-2, foot.Y))
	length := r.H() - 9
	dashed := pen
	dashed.Dash, dashed.Width = sheet.Dash{1, 0.8}, 0.15
	p.Line(dashed, foot, foot.Add(sheet.Pt(0, up*length)))
	s, c := math.Sincos(geom.Deg(deg))
	tip := foot.Add(sheet.Pt(s*length, up*c*length))
	ink := sheet.Pen{Layer: layerText, Width: 0.4, Ink: d.Palette.Accent}
	p.Line(ink, foot, tip)
	back := foot.Sub(tip).Unit().Scale(1.8)
	side := back.Left().Scale(0.35)
	p.Area(layerText, d.Palette.Accent, []sheet.Point{tip, tip.Add(back).Add(side), tip.Add(back).Sub(side)})
	small := sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey}
	y := foot.Y + 2.8
	if up > 0 {
		y = foot.Y - 1
	}
	p.Write(small, sheet.Pt(r.X0+1, y), left)
	small.Align = sheet.Right
	p.Write(small, sheet.Pt(r.X1-1, y), right)
	at := sheet.Type{Layer: layerText, Size: sizeLabel, Face: sheet.Bold}
	x := tip.X + 1.5
	if s < 0 {
		at.Align = sheet.Right
		x = tip.X - 1.5
	}
	p.Write(at, sheet.Pt(x, foot.Y+up*length*0.6), words.Deg(d.Lang, math.Abs(deg)))
}

// archPicture draws which arch it is: a horseshoe open toward the throat.
func (d *draft) archPicture(p *sheet.Page, r sheet.Rect) {
	var l []sheet.Point
	turn := 1.0 // lower: front below
	if d.Cast.Arch == tooth.Upper {
		turn = -1
	}
	c := r.Center()
	for i := range 41 {
		u := float64(i)/20 - 1
		l = append(l, sheet.Pt(c.X+4*u*math.Sqrt(1-0.15*u*u), c.Y+turn*(3.6-6.5*u*u)))
	}
	p.Draw(sheet.Pen{Layer: sheet.FrameLayer, Width: 1.6, Ink: d.Palette.Accent}, false, l)
	small := sheet.Type{Layer: sheet.FrameLayer, Size: 1.9, Ink: grey, Align: sheet.Right}
	p.Write(small, sheet.Pt(r.X0+1.6, r.Y0+2), d.say(words.RightLetter))
	small.Align = sheet.Left
	p.Write(small, sheet.Pt(r.X1-1.6, r.Y0+2), d.say(words.LeftLetter))
}
