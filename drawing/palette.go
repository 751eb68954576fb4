package drawing

import (
	"embed"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"

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

//go:embed palettes/*.yaml
var shippedPalettes embed.FS

// Palettes are the schemes that come with the program, the default first.
func Palettes() []Palette { return palettes() }

var palettes = sync.OnceValue(func() []Palette {
	var out []Palette
	for _, name := range [...]string{"house", "us-prep-red", "uk-function"} {
		text, err := shippedPalettes.ReadFile("palettes/" + name + ".yaml")
		if err == nil {
			var p Palette
			if p, err = ReadPalette(text); err == nil {
				out = append(out, p)
			}
		}
		if err != nil {
			panic(err) // the shipped files are read by the tests
		}
	}
	return out
})

// House is the default palette.
func House() Palette { return Palettes()[0] }

// PaletteNamed finds a scheme by its name.
func PaletteNamed(name string) (Palette, error) {
	var known []string
	for _, p := range Palettes() {
		if p.Name == name {
			return p, nil
		}
		known = append(known, p.Name)
	}
	return Palette{}, fmt.Errorf("palette %q: expected one of %s, or a YAML file of your own", name, strings.Join(known, ", "))
}

// darkest is how light a colour of the drawing may be, so that it is seen in grey print.
const darkest = 0.6

// ReadPalette reads a school's own colours: YAML with a name and a colour for every item,
// written as "#D55E00". A colour too light for grey print, or undercut contours that do
// not get darker in clear steps, are refused.
func ReadPalette(text []byte) (Palette, error) {
	var file struct {
		Name                                       string
		Accent, Metal, Bracing, Retention, Support string
		Stop, Preparation, Resin, Survey, Vertical string
		Fulcrum                                    string
		Undercut                                   []string
	}
	if err := yaml.UnmarshalWithOptions(text, &file, yaml.Strict()); err != nil {
		return Palette{}, fmt.Errorf("reading the palette: %s", yaml.FormatError(err, false, true))
	}
	p := Palette{Name: file.Name}
	if p.Name == "" {
		return p, errors.New("reading the palette: it has no name; say name: and how the school calls its colours")
	}
	if len(file.Undercut) != len(p.Undercut) {
		return p, fmt.Errorf("reading the palette %q: undercut: expected three colours, for 0.25, 0.50 and 0.75 mm, found %d", p.Name, len(file.Undercut))
	}
	for _, e := range []struct {
		name, text string
		to         *sheet.Color
	}{
		{"accent", file.Accent, &p.Accent}, {"metal", file.Metal, &p.Metal}, {"bracing", file.Bracing, &p.Bracing},
		{"retention", file.Retention, &p.Retention}, {"support", file.Support, &p.Support}, {"stop", file.Stop, &p.Stop},
		{"preparation", file.Preparation, &p.Preparation}, {"resin", file.Resin, &p.Resin}, {"survey", file.Survey, &p.Survey},
		{"vertical", file.Vertical, &p.Vertical}, {"fulcrum", file.Fulcrum, &p.Fulcrum},
		{"undercut", file.Undercut[0], &p.Undercut[0]}, {"undercut", file.Undercut[1], &p.Undercut[1]}, {"undercut", file.Undercut[2], &p.Undercut[2]},
	} {
		v, err := strconv.ParseUint(strings.TrimPrefix(e.text, "#"), 16, 32)
		if err != nil || len(e.text) != 7 || e.text[0] != '#' {
			return p, fmt.Errorf("reading the palette %q: %s: expected a colour such as \"#D55E00\", found %q", p.Name, e.name, e.text)
		}
		*e.to = sheet.RGB(uint8(v>>16), uint8(v>>8), uint8(v))
		if l := e.to.Luminance(); l > darkest {
			return p, fmt.Errorf("reading the palette %q: %s: %s is too light to be seen in grey print (%.2f of white, at most %.2f)", p.Name, e.name, e.text, l, darkest)
		}
	}
	for i := 1; i < len(p.Undercut); i++ {
		if p.Undercut[i-1].Luminance()-p.Undercut[i].Luminance() < 0.1 {
			return p, fmt.Errorf("reading the palette %q: undercut: each contour must be clearly darker than the one before it (by 0.10 of white), %s is not", p.Name, file.Undercut[i])
		}
	}
	return p, nil
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
	arm, rest, plane, resin, stop, relief     sheet.Pen
	finishOut, finishIn, deep                 sheet.Pen
	survey, vertical, thirds                  sheet.Pen
	fulcrum, turn, perpendicular, tripod      sheet.Pen
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
		plane: pen(layerRests, 0.35, p.Preparation, nil),
		resin: pen(layerResin, 0.4, p.Resin, sheet.Dashed),
		stop:  pen(layerRests, 0.25, p.Stop, nil),

		relief: pen(layerMetal, 0.2, p.Metal, nil),

		finishOut: pen(layerMetal, 0.5, p.Metal, nil),
		finishIn:  pen(layerMetal, 0.45, p.Metal, sheet.Dotted),

		deep:     pen(layerTissue, 0.15, p.Survey, nil),
		survey:   pen(layerSurvey, 0.25, p.Survey, nil),
		vertical: pen(layerSurvey, 0.25, p.Vertical, sheet.Dotted),
		thirds:   pen(layerSurvey, 0.1, grey, sheet.Dash{0.8, 0.6}),

		fulcrum:       pen(layerAxis, 0.35, p.Fulcrum, sheet.DashDot),
		turn:          pen(layerAxis, 0.3, p.Fulcrum, sheet.Dash{2.2, 0.8, 0, 0.8, 0, 0.8}),
		perpendicular: pen(layerAxis, 0.25, p.Fulcrum, sheet.Dash{1.2, 0.8}),
		tripod:        pen(layerAxis, 0.2, sheet.Black, nil),

		dim:      pen(layerDims, 0.15, sheet.Black, nil),
		leader:   pen(layerDims, 0.1, grey, nil),
		replaced: pen(layerTissue, 0.2, grey, nil),
	}
}
