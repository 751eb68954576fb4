// Package drawing lays out designs on sheets: the occlusal view at 1:1 with the framework
// over the cast, elevations of every abutment, cross-sections where a connector runs, and
// the list of parts. Everything is drawn from the placement and measured on it, so that
// drawing and list cannot disagree.
//
// The conventions are those of clinical practice as far as there are any: the patient's
// right lies on the reader's left; the front of the upper arch points up, of the lower
// arch down. Colours are nobody's standard, so every sheet carries its legend, and
// nothing is told by colour alone.
package drawing

import (
	"fmt"
	"strings"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/order"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

// Digest is what a file's or a value's content comes to.
type Digest struct{ Name, Hex string }

// SetAside is a caution that the dentist lives with, or a stop overruled by name.
type SetAside struct {
	Rule   rulebook.RuleID
	Tooth  tooth.Number
	Reason string
	By     string
}

// Input is everything a design's sheets show. Cast, Placement and Design must be there.
type Input struct {
	Title   string // of the case
	Case    string // its number
	Class   string // Kennedy class in words
	Profile string
	Date    string // as it is to be printed
	Program string // version of the program
	Rules   string // version of the rulebook
	Digests []Digest
	Draft   bool

	Cast      *cast.Cast
	Survey    *survey.Survey // along the path of insertion; nil leaves undercut contours out
	Placement *placement.Placement
	Design    design.Design
	Findings  []rulebook.Finding
	SetAside  []SetAside

	Palette Palette    // the zero Palette is House
	Paper   sheet.Size // the zero Size is A4
	Lang    words.Lang // "" is English
}

// draft is a set of sheets in the making.
type draft struct {
	Input
	pens       pens
	numbers    map[design.ID]int // parts' numbers in the list
	order      []placement.Placed
	lines      *castLines
	toothLines []survey.Line
	deep       [][]geom.Vec2 // deep undercuts of the gum, in the plane of lines.view
	normal     []geom.Vec    // at the cast's vertices
	faces      map[tooth.Number][]int32
	read       map[int][]reading // what was read on each section
	tripod     []geom.Vec        // marks on the cast; none or three
	detail     float64           // scale of the elevations
}

// DesignSheets draws a design's sheets: the occlusal view, the elevations, the
// cross-sections and the list of parts.
func DesignSheets(in Input) ([]sheet.Page, error) {
	d, err := newDraft(in)
	if err != nil {
		return nil, err
	}
	var pages []sheet.Page
	pages = append(pages, d.occlusalSheet(), d.enlargedSheet())
	pages = append(pages, d.detailSheets()...)
	pages = append(pages, sheet.Settle(d.partSheets)...)
	for i := range pages {
		d.frame("").Number(&pages[i], words.SheetOf.In(d.Lang, i+1, len(pages)))
	}
	return pages, nil
}

// newDraft fills in what an input leaves to the defaults and draws the cast.
func newDraft(in Input) (*draft, error) {
	if in.Cast == nil || in.Cast.Mesh == nil || in.Placement == nil {
		return nil, fmt.Errorf("drawing the design of case %s: expected a cast and a placement on it, one is missing", in.Case)
	}
	if in.Palette.Name == "" {
		in.Palette = House()
	}
	if in.Paper == (sheet.Size{}) {
		in.Paper = sheet.A4
	}
	if in.Lang == "" {
		in.Lang = words.English
	}
	d := &draft{Input: in, pens: in.Palette.pens(), normal: in.Cast.Mesh.VertexNormals(), faces: map[tooth.Number][]int32{}, read: map[int][]reading{}, detail: detailScale}
	for i, n := range in.Cast.Labels {
		if n != 0 {
			d.faces[n] = append(d.faces[n], int32(i))
		}
	}
	d.order, d.numbers = partOrder(in.Placement)
	d.lines = drawCast(in.Cast, d.normal)
	d.deep = d.tissueUndercuts()
	if in.Survey != nil {
		d.toothLines = in.Survey.ToothLines(in.Cast)
	}
	d.tripod = order.Tripod(in.Cast, in.Placement.Path)
	return d, nil
}

// say is a word in the sheets' language.
func (d *draft) say(w words.Word, values ...any) string { return w.In(d.Lang, values...) }

// frame is the frame of one sheet.
func (d *draft) frame(subtitle string) sheet.Frame {
	archWord := words.Term(d.Lang, "arch", d.Cast.Arch.String())
	path := d.Placement.Path
	fields := []sheet.Field{
		{Label: d.say(words.CaseNumber), Value: d.Case},
		{Label: d.say(words.ArchWord), Value: archWord},
		{Label: d.say(words.KennedyClass), Value: d.Class, Span: 2},
		{Label: d.say(words.ToothNumbers), Value: d.numberingName()},
		{Label: d.say(words.Dated), Value: d.Date},
		{Label: d.say(words.PathOfInsertion), Value: d.tiltText(path), Span: 2},
		{Label: d.say(words.SurfaceFrom), Value: d.originText(), Span: 2},
		{Label: d.say(words.Profile), Value: d.Profile},
		{Label: d.say(words.Program), Value: d.versions()},
	}
	var digests string
	for i, g := range d.Digests {
		if i > 0 {
			digests += "   "
		}
		digests += g.Name + "\u00a0" + g.Hex[:min(len(g.Hex), 16)]
	}
	if digests != "" {
		fields = append(fields, sheet.Field{Label: d.say(words.DigestsOfInputs), Value: digests, Span: 6})
	}
	if len(d.SetAside) > 0 {
		var aside []string
		for _, s := range d.SetAside {
			text := string(s.Rule)
			if s.Tooth != 0 {
				text += " (" + d.name(s.Tooth) + ")"
			}
			aside = append(aside, text)
		}
		fields = append(fields, sheet.Field{Label: d.say(words.SetAsideField), Value: strings.Join(aside, ", "), Span: 6})
	}
	title := d.Title
	if title == "" {
		title = d.say(words.DesignSheet)
	}
	f := sheet.Frame{Title: title, Subtitle: subtitle, Fields: fields, BarText: d.say(words.CheckBar),
		Notice: d.say(words.Safety) + " " + d.say(words.VerifyBefore), Accent: d.Palette.Accent,
		Picture: func(p *sheet.Page, r sheet.Rect) { d.archPicture(p, r) }}
	if d.Draft {
		f.Stamp = d.say(words.Draft)
	}
	return f
}

// page begins a sheet and gives the rectangle left for content.
func (d *draft) page(name string) (sheet.Page, sheet.Rect) {
	p := sheet.Page{Name: name, Size: d.Paper}
	area := d.frame(name).Draw(&p)
	return p, area
}

func (d *draft) versions() string {
	if d.Rules == "" {
		return d.Program
	}
	return d.Program + " / " + d.Rules
}

func (d *draft) numberingName() string {
	switch d.Lang.Teeth() {
	case tooth.Universal:
		return d.say(words.UniversalNumbers)
	case tooth.Zsigmondy:
		return d.say(words.ZsigmondyNumbers)
	}
	return d.say(words.FDINumbers)
}

func (d *draft) tiltText(p survey.Path) string { return PathText(p, d.Lang) }

// PathText says how the path leans, in words a technician sets a surveyor by.
func PathText(p survey.Path, l words.Lang) string {
	lean := func(deg float64, plus, minus words.Word) string {
		if deg < 0 {
			return minus.In(l, words.Deg(l, -deg))
		}
		return plus.In(l, words.Deg(l, deg))
	}
	if p.TiltDeg() < 0.05 {
		return words.NoTilt.In(l)
	}
	return lean(p.AnteriorDeg, words.LeansForward, words.LeansBack) + ", " + lean(p.RightDeg, words.LeansRight, words.LeansLeft)
}

func (d *draft) originText() string { return SurfaceText(d.Cast, d.Lang) }

// SurfaceText says where a cast's surface comes from.
func SurfaceText(c *cast.Cast, l words.Lang) string {
	if c.Origin == "measured" {
		return words.FromScan.In(l, words.MM(l, c.Spread))
	}
	return words.FromAverages.In(l)
}

// name is a tooth's number as the reader numbers teeth.
func (d *draft) name(n tooth.Number) string { return words.ToothName(d.Lang, n) }
