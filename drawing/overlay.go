package drawing

import (
	"halfpear/geom"
	"halfpear/order"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/words"
)

// Pens of the overlay: what was is dashed and red, what is is full and black, so that the
// two are told apart in grey print.
var (
	wasPen = sheet.Pen{Layer: "last revision", Name: "was", Width: 0.45, Ink: sheet.RGB(0xC0, 0x20, 0x20), Dash: sheet.Dash{1.6, 1.2}}
	isPen  = sheet.Pen{Layer: "this revision", Name: "is", Width: 0.35, Ink: sheet.Black}
)

// Overlay draws this revision's framework over the one signed last, at 2:1 on the cast,
// with what changed beside it in words. Parts that did not change are drawn once, thin.
func Overlay(o order.Order, was *placement.Placement, size sheet.Size) []sheet.Page {
	before := o.Work.Before
	if before == nil || was == nil || o.Work.Placement == nil || o.Work.Cast == nil {
		return nil
	}
	if size == (sheet.Size{}) {
		size = sheet.A4
	}
	w := writer{Papers: Papers{Order: o, Size: size}, o: o, l: o.Lang}
	title := w.say(words.OverlayTitle, o.Revision, before.Revision)
	f := w.flow(title, bodySize)
	changed := map[string]bool{}
	for _, c := range o.Changes {
		changed[string(c.Part)] = true
	}
	lines := drawCast(o.Work.Cast, o.Work.Cast.Mesh.VertexNormals())
	v := lines.view
	const scale = 2.0
	high := scale*float64(v.ny)*v.cell + 2
	f.Figure(min(high, f.Left().H()-40), func(p *sheet.Page, r sheet.Rect) {
		p.Picture(r, w.say(words.PictureOverlay))
		center := geom.Vec2{X: v.x0 + float64(v.nx)*v.cell/2, Y: v.y0 + float64(v.ny)*v.cell/2}
		fig := newFigure(p, v.frame, center, r.Center(), scale, r)
		ground := sheet.Pen{Layer: "cast", Width: 0.13, Ink: sheet.RGB(0x90, 0x90, 0x90)}
		fig.draw(ground, true, fig.flat(lines.rim)...)
		fig.draw(ground, false, fig.flat(lines.crown)...)
		fig.draw(ground, false, fig.flat(lines.margins)...)
		drawPlain := func(pl *placement.Placement, pen sheet.Pen, only bool) {
			for _, q := range pl.Parts {
				use := pen
				if !changed[string(q.Part.ID)] {
					if only {
						continue
					}
					use = sheet.Pen{Layer: "unchanged", Width: 0.13, Ink: sheet.RGB(0x70, 0x70, 0x70)}
				}
				for _, c := range q.Curves {
					outline := outlineOf(c, fig)
					fig.draw(use, len(outline) > 0 && len(c.Width) == len(c.Points), outline)
				}
				for _, a := range q.Patches {
					if a.Role != placement.Relief && a.Role != placement.Floor {
						fig.draw(use, true, fig.points(a.Outline))
					}
				}
			}
		}
		drawPlain(o.Work.Placement, isPen, false)
		drawPlain(was, wasPen, true) // dashed, over what is: where they part both are seen
		number := sheet.Type{Layer: "text", Size: 2.4, Ink: sheet.RGB(0x60, 0x60, 0x60), Align: sheet.Center}
		for _, n := range o.Work.Cast.Standing() {
			at := fig.point(o.Work.Cast.Teeth[n].Frame.Origin)
			p.Write(number, sheet.Pt(at.X, at.Y+0.8), words.ToothName(o.Lang, n))
		}
		side := sheet.Type{Layer: "text", Face: sheet.Bold, Size: 5, Ink: number.Ink, Align: sheet.Center}
		p.Write(side, sheet.Pt(r.X0+6, r.Y1-2), w.say(words.RightLetter)) // as on the design sheets, the patient's right is on the reader's left
		p.Write(side, sheet.Pt(r.X1-6, r.Y1-2), w.say(words.LeftLetter))
		b := sheet.NewBoard(p, r)
		for _, row := range o.Parts {
			if !changed[string(row.Part.ID)] {
				continue
			}
			if q, ok := o.Work.Placement.Part(row.Part.ID); ok {
				if at, ok := middle(q); ok {
					b.Place(sheet.Label{Type: sheet.Type{Layer: "text", Face: sheet.Bold, Size: 2.4}, Text: itoa(row.Number), At: fig.point(at), Near: 2.5, Ring: true,
						Leader: sheet.Pen{Layer: "text", Width: 0.13, Ink: sheet.Black}})
				}
			}
		}
	})
	f.Small(w.say(words.OverlayLegend, before.Revision))
	w.changes(f)
	return f.Pages()
}

// outlineOf is a curve as it lies on the page: its outline where it has a width, its line
// where it has none.
func outlineOf(c placement.Curve, f *figure) []sheet.Point {
	line := f.points(c.Points)
	if len(c.Width) != len(c.Points) || len(line) < 2 {
		return line
	}
	width := make([]float64, len(c.Width))
	for i, v := range c.Width {
		width[i] = v * f.scale
	}
	return sheet.Ribbon(line, width, c.Role == placement.Arm)
}

// middle is a place on a part that its number can point at.
func middle(q placement.Placed) (geom.Vec, bool) {
	for _, c := range q.Curves {
		if n := len(c.Points); n > 0 {
			return c.Points[n/2], true
		}
	}
	for _, p := range q.Patches {
		if len(p.Outline) > 0 {
			return p.Outline[0], true
		}
	}
	return geom.Vec{}, false
}
