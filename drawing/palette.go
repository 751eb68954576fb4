package drawing

import (
	"fmt"
	"strings"

	"halfpear/sheet"
)

// Palette is the colours of the drawing. Every item also has a line, a pattern or a label
// of its own, so any palette reads in grey.
type Palette struct {
	Name        string
	Accent      sheet.Color // of the sheet itself
	Metal       sheet.Color // rigid metal: connectors, plates, lattice
	Bracing     sheet.Color // reciprocal arms and plates
	Retention   sheet.Color // retentive arms
	Support     sheet.Color // rests
	Preparation sheet.Color // what is cut on the tooth
	Resin       sheet.Color
	Survey      sheet.Color // survey line on the path of insertion
	Vertical    sheet.Color // survey line on the vertical
	Fulcrum     sheet.Color
	Stop        sheet.Color
	Undercut    [3]sheet.Color // contours at 0.25, 0.50 and 0.75 mm, in even steps of lightness
}

// House is the default. Brown metal, blue resin and red preparations follow older American
// teaching (Dunn, J Prosthet Dent 1961); the rest is ours, from the colours that Okabe and
// Ito proposed for colour-blind readers.
func House() Palette {
	brown := sheet.RGB(0x5C, 0x40, 0x33)
	return Palette{Name: "house", Accent: accent, Metal: brown, Bracing: brown, Retention: sheet.RGB(0xD5, 0x5E, 0x00),
		Support: sheet.Black, Preparation: sheet.RGB(0xCC, 0, 0), Resin: sheet.RGB(0x00, 0x72, 0xB2), Survey: sheet.Black,
		Vertical: sheet.RGB(0x00, 0x7A, 0x5A), Fulcrum: sheet.RGB(0xA0, 0x48, 0x78), Stop: sheet.Black,
		Undercut: [3]sheet.Color{sheet.RGB(0xB0, 0x8A, 0x00), sheet.RGB(0xA8, 0x3E, 0x4E), sheet.RGB(0x4A, 0x1A, 0x6A)}}
}

// PreparationRed is the American school's scheme: red for what is cut and for stops,
// brown metal, blue resin, black survey lines.
func PreparationRed() Palette {
	p := House()
	p.Name = "us-prep-red"
	red := p.Preparation
	p.Retention, p.Stop, p.Support = p.Metal, red, red
	return p
}

// Function is the British scheme by function: support red, retention green, bracing blue,
// connectors black (from memory).
func Function() Palette {
	p := House()
	p.Name = "uk-function"
	p.Support, p.Retention, p.Bracing, p.Metal = sheet.RGB(0xC0, 0x10, 0x10), sheet.RGB(0x00, 0x7A, 0x33), sheet.RGB(0x1A, 0x4F, 0xB4), sheet.Black
	p.Resin, p.Accent = sheet.RGB(0x80, 0x50, 0x70), sheet.RGB(0x33, 0x33, 0x33)
	return p
}

// Palettes are the schemes that come with the program.
func Palettes() []Palette { return []Palette{House(), PreparationRed(), Function()} }

// PaletteNamed finds a scheme by its name.
func PaletteNamed(name string) (Palette, error) {
	var known []string
	for _, p := range Palettes() {
		if p.Name == name {
			return p, nil
		}
		known = append(known, p.Name)
	}
	return Palette{}, fmt.Errorf("palette %q: expected one of %s", name, strings.Join(known, ", "))
}

// Layers, from below upward.
const (
	layerGround   sheet.Layer = "ground"
	layerTints    sheet.Layer = "tints"
	layerCast     sheet.Layer = "cast"
	layerTissue   sheet.Layer = "tissue"
	layerResin    sheet.Layer = "resin"
	layerMetal    sheet.Layer = "metal"
	layerRests    sheet.Layer = "rests"
	layerArms     sheet.Layer = "retentive arms"
	layerSurvey   sheet.Layer = "survey lines"
	layerUndercut sheet.Layer = "undercuts"
	layerAxis     sheet.Layer = "fulcrum lines"
	layerDims     sheet.Layer = "dimensions"
	layerText     sheet.Layer = "text"
)

// layerOrder begins every figure, so that layers lie in this order whatever is drawn first.
var layerOrder = []sheet.Layer{layerGround, layerTints, layerCast, layerTissue, layerResin, layerMetal, layerRests, layerArms, layerSurvey, layerUndercut, layerAxis, layerDims, layerText}

// openLayers puts the layers on a page in their order, each with nothing on it yet.
func openLayers(p *sheet.Page) {
	for _, l := range layerOrder {
		p.Items = append(p.Items, &sheet.Path{Layer: l})
	}
}

var (
	grey      = sheet.RGB(0x70, 0x70, 0x70)
	lightGrey = sheet.RGB(0xA8, 0xA8, 0xA8)
	plaster   = sheet.RGB(0xF5, 0xF2, 0xED)
)

// pens are the lines of the drawing.
type pens struct {
	rim, crown, crease, ridge, tissue, margin sheet.Pen
	metal, bracing, lattice, bead             sheet.Pen
	arm, rest, plane, resin, stop             sheet.Pen
	finishOut, finishIn                       sheet.Pen
	survey, vertical, thirds                  sheet.Pen
	fulcrum, perpendicular, tripod            sheet.Pen
	dim, leader, replaced                     sheet.Pen
}

func (p Palette) pens() pens {
	pen := func(l sheet.Layer, width float64, c sheet.Color, d sheet.Dash) sheet.Pen {
		return sheet.Pen{Layer: l, Width: width, Ink: c, Dash: d}
	}
	return pens{
		rim:    pen(layerCast, 0.3, sheet.RGB(0x50, 0x50, 0x50), nil),
		crown:  pen(layerCast, 0.25, sheet.RGB(0x30, 0x30, 0x30), nil),
		crease: pen(layerCast, 0.13, grey, nil),
		ridge:  pen(layerCast, 0.1, lightGrey, nil),
		tissue: pen(layerTissue, 0.13, lightGrey, nil),
		margin: pen(layerTissue, 0.13, grey, nil),

		metal:   pen(layerMetal, 0.4, p.Metal, nil),
		bracing: pen(layerMetal, 0.4, p.Bracing, nil),
		lattice: pen(layerMetal, 0.22, p.Metal, nil),
		bead:    pen(layerMetal, 0.18, p.Metal, nil),

		arm:   pen(layerArms, 0.25, p.Retention, nil),
		rest:  pen(layerRests, 0.3, p.Support, nil),
		plane: pen(layerRests, 0.6, p.Preparation, nil),
		resin: pen(layerResin, 0.4, p.Resin, sheet.Dashed),
		stop:  pen(layerRests, 0.25, p.Stop, nil),

		finishOut: pen(layerMetal, 0.5, p.Metal, nil),
		finishIn:  pen(layerMetal, 0.45, p.Metal, sheet.Dotted),

		survey:   pen(layerSurvey, 0.25, p.Survey, nil),
		vertical: pen(layerSurvey, 0.25, p.Vertical, sheet.Dotted),
		thirds:   pen(layerSurvey, 0.1, grey, sheet.Dash{0.8, 0.6}),

		fulcrum:       pen(layerAxis, 0.35, p.Fulcrum, sheet.DashDot),
		perpendicular: pen(layerAxis, 0.25, p.Fulcrum, sheet.Dash{1.2, 0.8}),
		tripod:        pen(layerAxis, 0.2, sheet.Black, nil),

		dim:      pen(layerDims, 0.15, sheet.Black, nil),
		leader:   pen(layerDims, 0.1, grey, nil),
		replaced: pen(layerTissue, 0.2, grey, nil),
	}
}
