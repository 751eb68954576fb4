// Package sheet is paper in millimetres: pages of lines, areas and text, and what a
// technical drawing needs on them (dashes, hatches, dimension lines, tables, running text,
// title block, labels that keep clear of one another). Devices in encoding/svg,
// encoding/pdf and encoding/png write the same page.
//
// The origin is the page's top left corner; x runs right, y down; lengths are millimetres.
// Everything a device must draw is spelled out here: curves are points, dashes and hatches
// are segments, text stands at a known baseline. So the devices cannot disagree.
package sheet

import (
	"math"

	"halfpear/geom"
)

// Point is a place on the page [mm].
type Point = geom.Vec2

// Pt is short for a Point literal.
func Pt(x, y float64) Point { return Point{X: x, Y: y} }

// Size is the size of a page [mm].
type Size struct{ W, H float64 }

// Paper sizes, upright.
var (
	A4     = Size{210, 297}
	Letter = Size{215.9, 279.4}
	A3     = Size{297, 420}
)

// Landscape is the size lying on its long side.
func (s Size) Landscape() Size { return Size{math.Max(s.W, s.H), math.Min(s.W, s.H)} }

// Color is an opaque sRGB colour, or None. There is no transparency: tints are mixed
// beforehand, so that every printer and every archive shows the same.
type Color uint32

// None paints nothing.
const None Color = 0

// Black and White are what they say.
const (
	Black Color = 0xFF000000
	White Color = 0xFFFFFFFF
)

// RGB is an opaque colour.
func RGB(r, g, b uint8) Color {
	return Color(0xFF000000 | uint32(r)<<16 | uint32(g)<<8 | uint32(b))
}

// RGB gives the three parts.
func (c Color) RGB() (r, g, b uint8) { return uint8(c >> 16), uint8(c >> 8), uint8(c) }

// Tint is c mixed with white: 1 is c itself, 0 is white.
func (c Color) Tint(part float64) Color {
	mix := func(v uint8) uint8 { return uint8(math.Round(255 + (float64(v)-255)*part)) }
	r, g, b := c.RGB()
	return RGB(mix(r), mix(g), mix(b))
}

// Luminance is how light c is in grey print, 0 black to 1 white (Rec. 709 weights on the
// encoded values).
func (c Color) Luminance() float64 {
	r, g, b := c.RGB()
	return (0.2126*float64(r) + 0.7152*float64(g) + 0.0722*float64(b)) / 255
}

// Layer names a group of things that are shown or hidden together, as in "survey lines".
// Layers are drawn in the order they first appear on the page.
type Layer string

// Item is one thing on a page: a *Path or a *Text.
type Item interface{ layer() Layer }

// Path is one or more lines with one pen and one filling. Fill uses the even-odd rule, so
// an inner outline is a hole; with Solid set it uses the winding number, so that an outline
// that runs over itself has none. Pens have round ends and round corners.
type Path struct {
	Layer  Layer
	Name   string // what it shows, for whoever reads or measures the drawing; may be empty
	Lines  [][]Point
	Closed bool
	Width  float64 // of the pen [mm]
	Ink    Color   // of the pen; None draws no line
	Fill   Color   // None fills nothing
	Solid  bool
}

func (p *Path) layer() Layer { return p.Layer }

// Text is one line of type, its baseline starting at At and running at Turn.
type Text struct {
	Layer Layer
	Name  string
	At    Point
	Face  Face
	Size  float64 // em height [mm]
	Ink   Color
	Str   string
	Turn  float64 // angle of the baseline [rad], counter-clockwise on the page
	Cell  Cell    // where in a table it stands; the zero Cell is no table
}

// Cell is a place in a table, for what reads pages aloud: the page's tables, their rows
// and columns, all counted from 1. Head is a cell that names its column or the rows below.
type Cell struct {
	Table, Row, Column int
	Head               bool
}

func (t *Text) layer() Layer { return t.Layer }

// Page is one side of paper.
type Page struct {
	Name     string // for bookmarks and file names
	Size     Size
	Items    []Item
	Pictures []Picture // which parts of it are pictures

	tables int // drawn so far
}

// Picture is a part of a page that is looked at, not read: whoever has the page read aloud
// hears Alt in place of the lines and letters in it.
type Picture struct {
	Box Rect
	Alt string
}

// Picture says that a part of the page is a picture.
func (p *Page) Picture(box Rect, alt string) {
	p.Pictures = append(p.Pictures, Picture{box, alt})
}

// Layers lists the page's layers in the order they first appear.
func (p *Page) Layers() []Layer {
	seen := map[Layer]bool{}
	var out []Layer
	for _, it := range p.Items {
		if l := it.layer(); !seen[l] {
			seen[l] = true
			out = append(out, l)
		}
	}
	return out
}

// Ordered lists the items layer by layer, as every device draws them.
func (p *Page) Ordered() []Item {
	place := map[Layer]int{}
	for i, l := range p.Layers() {
		place[l] = i
	}
	rows := make([][]Item, len(place))
	for _, it := range p.Items {
		i := place[it.layer()]
		rows[i] = append(rows[i], it)
	}
	out := make([]Item, 0, len(p.Items))
	for _, r := range rows {
		out = append(out, r...)
	}
	return out
}

// Texts lists the page's texts.
func (p *Page) Texts() []*Text {
	var out []*Text
	for _, it := range p.Items {
		if t, ok := it.(*Text); ok {
			out = append(out, t)
		}
	}
	return out
}

// LayerOf is the layer of an item.
func LayerOf(it Item) Layer { return it.layer() }

// Rect is an upright rectangle on the page.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// Box is the rectangle from a corner with a width and a height.
func Box(x, y, w, h float64) Rect { return Rect{x, y, x + w, y + h} }

func (r Rect) W() float64    { return r.X1 - r.X0 }
func (r Rect) H() float64    { return r.Y1 - r.Y0 }
func (r Rect) Center() Point { return Pt((r.X0+r.X1)/2, (r.Y0+r.Y1)/2) }

// Grow is r larger by d on every side.
func (r Rect) Grow(d float64) Rect { return Rect{r.X0 - d, r.Y0 - d, r.X1 + d, r.Y1 + d} }

// Meets tells whether the insides of two rectangles overlap.
func (r Rect) Meets(s Rect) bool {
	return r.X0 < s.X1 && s.X0 < r.X1 && r.Y0 < s.Y1 && s.Y0 < r.Y1
}

// Holds tells whether s lies wholly within r.
func (r Rect) Holds(s Rect) bool {
	return s.X0 >= r.X0 && s.X1 <= r.X1 && s.Y0 >= r.Y0 && s.Y1 <= r.Y1
}

// Outline is r's corners, clockwise on the page.
func (r Rect) Outline() []Point {
	return []Point{{X: r.X0, Y: r.Y0}, {X: r.X1, Y: r.Y0}, {X: r.X1, Y: r.Y1}, {X: r.X0, Y: r.Y1}}
}

// Bounds is the rectangle round all points; ok is false when there are none.
func Bounds(lines ...[]Point) (r Rect, ok bool) {
	r = Rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, l := range lines {
		for _, p := range l {
			r.X0, r.X1 = math.Min(r.X0, p.X), math.Max(r.X1, p.X)
			r.Y0, r.Y1 = math.Min(r.Y0, p.Y), math.Max(r.Y1, p.Y)
			ok = true
		}
	}
	return r, ok
}

// Dark is c dark enough to read as small type: its luminance no more than 0.35.
func (c Color) Dark() Color {
	l := c.Luminance()
	if l <= 0.35 {
		return c
	}
	r, g, b := c.RGB()
	k := 0.35 / l
	return RGB(uint8(float64(r)*k), uint8(float64(g)*k), uint8(float64(b)*k))
}
