package drawing

import (
	"fmt"
	"math"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

const (
	detailScale = 2.0
	cellW       = 46.5 // of one elevation on paper [mm]
	sectionH    = 60.0
	toothCell   = 0.06
)

// undercutWidth and undercutDash tell the three contours apart without colour.
var (
	undercutWidth = [3]float64{0.18, 0.22, 0.3}
	undercutDash  = [3]sheet.Dash{{1.4, 0.7}, {0.6, 0.6}, nil}
	undercutDepth = [3]float64{0.25, 0.50, 0.75}
)

// seenBelow is how far below the margin the elevations reach [mm]: as far as bar clasps or
// a lower connector, else as far as a minor connector tells anything.
func (d *draft) seenBelow() float64 {
	if d.Cast.Arch == tooth.Lower {
		return 9.5
	}
	for _, q := range d.order {
		for _, c := range q.Curves {
			if c.Role == placement.Approach {
				return 9.5
			}
		}
	}
	return 5
}

// cellHeight is how high an elevation's cell is on paper [mm].
func (d *draft) cellHeight() float64 { return (19.5 + d.seenBelow()) * d.detail }

// carrying lists the standing teeth that carry a part, round the arch.
func (d *draft) carrying() []tooth.Number {
	on := map[tooth.Number]bool{}
	for _, q := range d.order {
		switch q.Part.Kind {
		case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
			on[q.Part.Tooth] = true
		}
	}
	var out []tooth.Number
	for _, n := range d.Cast.Standing() {
		if on[n] {
			out = append(out, n)
		}
	}
	return out
}

// elevation draws one tooth from the facial or the lingual within a cell.
func (d *draft) elevation(p *sheet.Page, cell sheet.Rect, n tooth.Number, facial bool) {
	t := d.Cast.Teeth[n]
	p.Picture(cell, d.say(words.PictureElevation, words.ToothAndISO(d.Lang, n), words.Term(d.Lang, "surface", string(surfaceOf(facial)))))
	path := d.Placement.Path.Direction
	if path == (geom.Vec{}) {
		path = geom.V(0, 0, 1)
	}
	eye := t.Frame.Y.Across(path).Unit()
	if !facial {
		eye = eye.Neg()
	}
	up := path
	if d.Cast.Arch == tooth.Upper {
		up = path.Neg()
	}
	frame := geom.Frame{X: up.Cross(eye), Y: up, Z: eye}
	m := d.Cast.Mesh
	v := look(m, d.faces[n], frame, toothCell)

	// The crown stands so that what lies below its margin has room.
	top, low := math.Inf(-1), math.Inf(1)
	for _, q := range t.Margin {
		low = math.Min(low, q.Dot(path))
	}
	for _, i := range d.faces[n] {
		for _, k := range m.Faces[i] {
			top = math.Max(top, m.Vertices[k].Dot(path))
		}
	}
	mid := frame.Local(t.Frame.Origin)
	height := (top + low - d.seenBelow()) / 2 // of the middle of what is shown, along the path
	center := geom.Vec2{X: mid.X, Y: height * up.Dot(path)}

	title := words.ToothAndISO(d.Lang, n) + "  " + words.Term(d.Lang, "surface", string(surfaceOf(facial)))
	p.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6}, sheet.Pt(cell.X0+1, cell.Y0+3), title)
	window := sheet.Rect{X0: cell.X0 + 0.5, Y0: cell.Y0 + 4.5, X1: cell.X1 - 0.5, Y1: cell.Y1 - 0.5}
	f := newFigure(p, frame, center, window.Center(), d.detail, window)

	// The neighbours pale, for what stands in the embrasures; then crown, margin, thirds.
	var beside []int32
	for _, o := range [...]tooth.Number{n.Mesial(), n.Distal()} {
		beside = append(beside, d.faces[o]...)
	}
	pale := d.pens.crown
	pale.Width, pale.Ink = 0.13, lightGrey
	if len(beside) > 0 {
		f.draw(pale, true, f.flat(look(m, beside, frame, toothCell).rim())...)
	}
	rim := f.flat(v.rim())
	f.area(layerGround, sheet.White, rim...)
	crown := d.pens.crown
	crown.Width = 0.3
	f.draw(crown, true, rim...)
	margin := d.pens.margin
	margin.Width, margin.Ink = 0.3, grey
	f.draw(margin, false, f.flat(v.surfaceRuns(t.Margin, true, 0.15))...)
	d.thirds(f, v, n)
	d.undercutContours(f, v, n)
	d.surveyLines(f, v, n)

	near := nearTooth{axis: t.Frame.Origin, eye: eye, across: frame.X}
	for _, q := range d.order {
		if d.showsOn(q, n, facial) {
			d.drawPart(f, q, &eyed{near: near, view: v, facial: facial})
		}
	}
	b := sheet.NewBoard(p, window)
	d.weigh(b, p)
	d.elevationLabels(f, b, n, near.facing, frame, t.Frame.X)
}

func surfaceOf(facial bool) tooth.Surface {
	if facial {
		return tooth.Facial
	}
	return tooth.Lingual
}

// nearTooth is the side of a tooth that is looked at.
type nearTooth struct {
	axis        geom.Vec
	eye, across geom.Vec
}

const (
	behindAxis = 0.3  // how far past the middle of a crown its parts still show [mm]
	besideAxis = 11.0 // how far to either side of a crown parts are drawn [mm]
	alongTooth = 7.5  // how far to either side a major connector is drawn: it bends away with the arch [mm]
	beforeAxis = 14.0 // how far before a crown parts are drawn [mm]
)

// facing tells whether a place lies on the side that is looked at.
func (n nearTooth) facing(q geom.Vec) bool {
	v := q.Sub(n.axis)
	return v.Dot(n.eye) > -behindAxis && math.Abs(v.Dot(n.across)) < besideAxis
}

// cut is the part of an outline on the side that is looked at, as far as beside to either
// side of the crown. What crosses to the other half of the mouth is left out.
func (n nearTooth) cut(o []geom.Vec, beside float64) []geom.Vec {
	return clipped(o,
		func(q geom.Vec) float64 { return q.Sub(n.axis).Dot(n.eye) + behindAxis },
		func(q geom.Vec) float64 { return beside - q.Sub(n.axis).Dot(n.across) },
		func(q geom.Vec) float64 { return beside + q.Sub(n.axis).Dot(n.across) },
		func(q geom.Vec) float64 { return beforeAxis - q.Sub(n.axis).Dot(n.eye) },
	)
}

// eyed is how an elevation looks at parts: only their side of the tooth, and rests only as
// far as the crown does not hide them.
type eyed struct {
	near   nearTooth
	view   *view
	facial bool
}

// beside tells whether a place lies close enough to the tooth to be drawn.
func (n nearTooth) beside(q geom.Vec) bool {
	return math.Abs(q.Sub(n.axis).Dot(n.across)) < besideAxis
}

// showsOn tells whether a part belongs on a tooth's elevation. What joins lingually is
// left out of the facial one, and palates out of both: sections show them.
func (d *draft) showsOn(q placement.Placed, n tooth.Number, facial bool) bool {
	on := func(list []tooth.Number) bool {
		for _, t := range list {
			if t == n {
				return true
			}
		}
		return false
	}
	switch q.Part.Kind {
	case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
		return q.Part.Tooth == n || on(q.Part.Teeth)
	case design.MinorConnector:
		if r, ok := d.Placement.Part(q.Part.Joins); ok && r.Part.Kind == design.Retainer && r.Part.Undercut != nil {
			// A ring's strut stands on the side away from its tip.
			return facial != r.Part.Undercut.Site.Facial() && on(q.Part.At)
		}
		return !facial && on(q.Part.At)
	case design.MajorConnector:
		return d.Cast.Arch == tooth.Lower && facial == (q.Part.Form == design.LabialBar)
	}
	return false
}

// thirds draws the lines that split the clinical crown in three.
func (d *draft) thirds(f *figure, v *view, n tooth.Number) {
	c, ok := d.Placement.Crowns[n]
	if !ok || len(c.Columns) == 0 {
		return
	}
	for _, share := range [...]float64{1.0 / 3, 2.0 / 3} {
		var line []geom.Vec
		for _, col := range c.Columns {
			if q, ok := atHeight(col, share*col.Top); ok {
				line = append(line, q)
			}
		}
		if len(line) > 2 {
			for _, l := range f.flat(v.surfaceRuns(line, true, 0.25)) {
				f.draw(d.pens.thirds, false, l)
			}
		}
	}
}

// atHeight is the place on a column's outline at a height above the margin.
func atHeight(c survey.Column, h float64) (geom.Vec, bool) {
	for i := 1; i < len(c.Height) && i < len(c.Outline); i++ {
		if c.Height[i] >= h {
			a, b := c.Height[i-1], c.Height[i]
			if b == a {
				return c.Outline[i], true
			}
			return c.Outline[i-1].Lerp(c.Outline[i], math.Max(0, (h-a)/(b-a))), true
		}
	}
	return geom.Vec{}, false
}

// surveyLines draws the survey line on the path of insertion, and that on the vertical
// where the two differ.
func (d *draft) surveyLines(f *figure, v *view, n tooth.Number) {
	show := func(c chain) (out [][]sheet.Point) {
		for _, l := range v.surfaceRuns(c.points, c.closed, 0.15) {
			if lengthOf(l) > 1 {
				out = append(out, f.flat([][]geom.Vec2{l})...)
			}
		}
		return out
	}
	contour := func(dir geom.Vec) [][]sheet.Point {
		var out [][]sheet.Point
		for _, c := range trace(d.Cast.Mesh, d.faces[n], func(k int32) float64 { return d.normal[k].Dot(dir) }) {
			out = append(out, show(c)...)
		}
		return out
	}
	if d.Survey != nil {
		for _, l := range d.toothLines {
			if l.Tooth == n {
				f.draw(d.pens.survey, false, show(chain{l.Points, l.Closed})...)
			}
		}
	} else {
		f.draw(d.pens.survey, false, contour(d.Placement.Path.Direction)...)
	}
	if d.Placement.Path.TiltDeg() > 0.3 {
		f.draw(d.pens.vertical, false, contour(geom.V(0, 0, 1))...)
	}
}

// undercutContours draws where the undercut reaches 0.25, 0.50 and 0.75 mm.
func (d *draft) undercutContours(f *figure, v *view, n tooth.Number) {
	s := d.Survey
	if s == nil || len(s.Depth) != len(d.Cast.Mesh.Vertices) {
		return
	}
	for i, depth := range undercutDepth {
		pen := sheet.Pen{Layer: layerUndercut, Width: undercutWidth[i], Ink: d.Palette.Undercut[i], Dash: undercutDash[i], Name: fmt.Sprintf("undercut contour %.2f", depth)}
		for _, c := range trace(d.Cast.Mesh, d.faces[n], func(k int32) float64 { return s.Depth[k] - depth }) {
			for _, l := range v.surfaceRuns(c.points, c.closed, 0.15) {
				if lengthOf(l) > 1 {
					f.draw(pen, false, f.flat([][]geom.Vec2{l})...)
				}
			}
		}
	}
}

// elevationLabels writes mesial and distal, and the undercut at each tip that faces the
// eye, with how far it stands from the margin.
func (d *draft) elevationLabels(f *figure, b *sheet.Board, n tooth.Number, facing func(geom.Vec) bool, frame geom.Frame, mesial geom.Vec) {
	w := b.Area()
	left, right := d.say(words.DistalLetter), d.say(words.MesialLetter)
	if frame.LocalDir(mesial).X < 0 {
		left, right = right, left
	}
	ty := sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey}
	y := w.Y0 + 2.2
	if d.Cast.Arch == tooth.Upper {
		y = w.Y1 - 1
	}
	for _, t := range []*sheet.Text{ty.Text(sheet.Pt(w.X0+0.5, y), left), sheet.Type{Layer: layerText, Size: sizeSmall, Ink: grey, Align: sheet.Right}.Text(sheet.Pt(w.X1-0.5, y), right)} {
		b.Page().Items = append(b.Page().Items, t)
		b.Keep(t.Box())
	}
	// How far the tip keeps from the margin comes first, then its undercut, then the rest.
	dimensions := func(tip bool) {
		for _, q := range d.order {
			if !d.showsOn(q, n, frame.Z.Dot(d.Cast.Teeth[n].Frame.Y) > 0) || q.Part.Kind == design.MajorConnector {
				continue
			}
			for _, m := range q.Measures {
				from := m.From.Lerp(m.To, 0.5)
				for _, t := range q.Held() {
					if t.Tooth == n {
						from = t.Point // an arm's measures stand on the side of its tip, wherever they are read
					}
				}
				if inElevation[m.Name] && (m.Name == "tip_to_margin") == tip && m.Tooth == n && m.Quantity.Unit == "mm" && facing(from) {
					d.dimension(f, b, q, m, nil)
				}
			}
		}
	}
	dimensions(true)
	d.weighArms(b, b.Page())
	for _, q := range d.order {
		for _, tip := range q.Held() {
			if tip.Tooth != n || !facing(tip.Point) {
				continue
			}
			toward := f.direction(tip.Point.Sub(d.Cast.Teeth[n].Frame.Origin))
			b.Place(sheet.Label{Type: sheet.Type{Layer: layerText, Size: sizeLabel, Face: sheet.Bold, Ink: d.Palette.Retention.Dark()}, Text: d.tipText(q, tip),
				At: f.point(tip.Point), Toward: toward, Near: 2, Leader: d.pens.leader})
		}
	}
	dimensions(false)
}

// inElevation are the measures an elevation shows where they lie across the line of sight.
var inElevation = map[string]bool{
	"tip_to_margin": true, "approach_clearance": true, "foot_height": true, "plate_height": true, "approach_to_fold": true,
}
