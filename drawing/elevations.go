package drawing

import (
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// elevationScale is the scale of an elevation on a page of its own.
const elevationScale = 4.0

// Elevations draws teeth from the facial and the lingual at 4:1, a page each: margin,
// survey lines, undercut contours, thirds, and what of a design lies on them. The input's
// placement may have no parts.
func Elevations(in Input, teeth []tooth.Number) ([]sheet.Page, error) {
	d, err := newDraft(in)
	if err != nil {
		return nil, err
	}
	d.detail = elevationScale
	var out []sheet.Page
	for _, n := range teeth {
		if d.Cast.Teeth[n] != nil {
			out = append(out, d.elevationPage(n))
		}
	}
	return out, nil
}

func (d *draft) elevationPage(n tooth.Number) sheet.Page {
	l := d.elevationLegend()
	w := 2 * cellW * elevationScale / detailScale
	p := sheet.Page{Name: "elevation " + n.String(), Size: sheet.Size{W: w + 2*sheet.Margin, H: d.cellHeight() + l.height(w) + 52}}
	f := d.frame(d.say(words.ElevationOf, words.ToothAndISO(d.Lang, n)))
	// Of the title block what tells the survey apart: case, path and surface.
	var fields []sheet.Field
	for _, e := range f.Fields {
		switch e.Label {
		case d.say(words.CaseNumber), d.say(words.Dated), d.say(words.PathOfInsertion), d.say(words.SurfaceFrom):
			fields = append(fields, e)
		}
	}
	f.Fields, f.BarText = fields, ""
	area := f.Draw(&p)
	openLayers(&p)
	cell := sheet.Box(area.X0, area.Y0, w/2, d.cellHeight())
	d.elevation(&p, cell, n, true)
	second := sheet.Box(cell.X1, area.Y0, w/2, d.cellHeight())
	d.elevation(&p, second, n, false)
	p.Draw(sheet.Pen{Layer: layerText, Width: 0.1, Ink: lightGrey}, true, cell.Outline(), second.Outline())
	bar := sheet.Pen{Layer: layerText, Name: "scale bar 5 mm", Width: 0.35, Ink: sheet.Black}
	x, y := area.X0, cell.Y1+4
	long := 5 * elevationScale
	p.Line(bar, sheet.Pt(x, y), sheet.Pt(x+long, y))
	for _, e := range [2]float64{x, x + long} {
		p.Line(bar, sheet.Pt(e, y-1), sheet.Pt(e, y+1))
	}
	p.Write(sheet.Type{Layer: layerText, Size: 2.2}, sheet.Pt(x+long+2, y+0.8), d.say(words.UnitScale))
	l.draw(d, &p, sheet.Rect{X0: area.X0, Y0: y + 2, X1: area.X1, Y1: area.Y1})
	return p
}

// elevationLegend is what an elevation shows of the legend, and the lines that only
// elevations have.
func (d *draft) elevationLegend() legend {
	mid := func(r sheet.Rect) float64 { return (r.Y0 + r.Y1) / 2 }
	stroke := func(pen sheet.Pen) func(p *sheet.Page, r sheet.Rect) {
		return func(p *sheet.Page, r sheet.Rect) { p.Line(pen, sheet.Pt(r.X0, mid(r)), sheet.Pt(r.X1, mid(r))) }
	}
	margin := d.pens.margin
	margin.Width, margin.Ink = 0.3, grey
	var out legend
	for _, e := range d.legend() {
		switch e.word {
		case words.LegendSurvey, words.LegendVertical, words.LegendContours:
			out = append(out, e)
		case words.LegendArm, words.LegendWire, words.LegendUndercut, words.LegendRest, words.LegendBracing, words.LegendMetal, words.LegendPlane:
			if len(d.order) > 0 {
				out = append(out, e)
			}
		}
	}
	return append(out, entry{words.GingivalMargin, stroke(margin)}, entry{words.ThirdsOfCrown, stroke(d.pens.thirds)})
}
