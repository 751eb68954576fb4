package drawing

import (
	"fmt"
	"slices"
	"strings"

	"halfpear/order"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// Papers are the pages that an order is made up of, each set already drawn.
type Papers struct {
	Order     order.Order
	Size      sheet.Size
	Design    []sheet.Page // design sheets, true to scale
	Mechanics []sheet.Page
	Overlay   []sheet.Page // this revision over the last signed one

	// Seal is the signed document's; empty before signing.
	Seal string
}

// Pages are all pages in the order they are read: order, what changed, design sheets,
// mechanics, preparation plan, cautions, delivery and recall. A draft carries the word
// DRAFT across each of them.
func (p Papers) Pages() []sheet.Page {
	w := writer{Papers: p, o: p.Order, l: p.Order.Lang}
	if w.Size == (sheet.Size{}) {
		w.Size = sheet.A4
	}
	var out []sheet.Page
	add := func(pages []sheet.Page) { out = append(out, pages...) }
	add(sheet.Settle(w.orderPages))
	add(p.Overlay)
	add(p.Design)
	add(p.Mechanics)
	add(w.preparationPages())
	add(sheet.Settle(w.cautionPages))
	add(w.deliveryPages())
	for i := range out {
		if w.o.State == order.Draft {
			w.stamp(&out[i])
		}
		frame := sheet.Frame{}
		frame.Number(&out[i], words.PageOf.In(w.l, i+1, len(out))+" · "+w.o.Number)
	}
	return out
}

// Type sizes of running pages [mm].
const (
	bodySize  = 2.7
	tableSize = 2.3
	chairSize = 3.6 // read at arm's length beside the chair
)

var accent = sheet.RGB(0x1F, 0x4E, 0x5F)

// writer sets the pages of one order.
type writer struct {
	Papers
	o order.Order
	l words.Lang
}

func (w *writer) say(x words.Word, values ...any) string { return x.In(w.l, values...) }

// flow begins running pages with a frame; name is the bookmark of the first of them.
func (w *writer) flow(name string, size float64) *sheet.Flow {
	f := &sheet.Flow{Layer: "text", Size: size, Accent: accent}
	f.New = func() (sheet.Page, sheet.Rect) {
		p := sheet.Page{Size: w.Size}
		if len(f.Pages()) == 0 {
			p.Name = name
		}
		return p, w.frame(name).Draw(&p)
	}
	return f
}

// frame is what stands round every page of the order.
func (w *writer) frame(title string) sheet.Frame {
	o, l := w.o, w.l
	arch := words.Term(l, "arch", o.Work.Case.Chart.Arch.String())
	state := map[order.State]words.Word{order.Draft: words.StateDraft, order.Complete: words.StateComplete, order.Signed: words.StateSigned}[o.State]
	made := ""
	if !o.Work.Made.At.IsZero() {
		made = o.Work.Made.At.UTC().Format("2006-01-02 15:04 UTC")
	}
	f := sheet.Frame{
		Title: title, Subtitle: arch + " · " + o.Class() + " · " + o.Number, Accent: accent,
		Fields: []sheet.Field{
			{Label: w.say(words.BoxOrder), Value: o.Number}, {Label: w.say(words.BoxCase), Value: string(o.Work.Case.ID)}, {Label: w.say(words.BoxArch), Value: arch},
			{Label: w.say(words.BoxRevision), Value: fmt.Sprint(o.Revision)}, {Label: w.say(words.BoxState), Value: w.say(state)}, {Label: w.say(words.BoxDate), Value: made},
			{Label: w.say(words.BoxProgram), Value: o.Work.Made.Program, Span: 2}, {Label: w.say(words.BoxRulebook), Value: o.Work.Made.Rulebook, Span: 2},
			{Label: w.say(words.BoxCheckedOn), Value: o.Jurisdiction.CheckedOn, Span: 2},
		},
		Notice: w.say(words.Safety) + " " + w.say(words.VerifyBefore), BarText: w.say(words.CheckBar), Picture: w.pictogram,
	}
	return f
}

// stamp writes DRAFT across a page, beneath all else.
func (w *writer) stamp(p *sheet.Page) {
	stamped := slices.ContainsFunc(p.Texts(), func(t *sheet.Text) bool { return t.Layer == sheet.StampLayer })
	if !stamped {
		under := sheet.Page{Size: p.Size}
		sheet.Frame{Stamp: w.say(words.Draft)}.Draw(&under)
		var stamp []sheet.Item
		for _, it := range under.Items {
			if sheet.LayerOf(it) == sheet.StampLayer {
				stamp = append(stamp, it)
			}
		}
		p.Items = append(stamp, p.Items...)
	}
	p.Write(sheet.Type{Layer: sheet.FrameLayer, Face: sheet.Bold, Size: 2.4, Ink: sheet.RGB(0xA0, 0x10, 0x10)}, sheet.Pt(sheet.Margin, p.Size.H-sheet.Margin+3.4), w.say(words.DraftNotice))
}

// pictogram shows which arch is meant: two arches, the one of the order filled.
func (w *writer) pictogram(p *sheet.Page, r sheet.Rect) {
	pen := sheet.Pen{Layer: sheet.FrameLayer, Width: 0.25, Ink: sheet.Black}
	mid, half := r.Center(), r.H()/2-0.4
	for _, a := range []tooth.Arch{tooth.Upper, tooth.Lower} {
		up := -1.0 // the upper arch opens downward, its front at the top
		if a == tooth.Lower {
			up = 1
		}
		var outer, inner []sheet.Point
		for i := 0; i <= 24; i++ {
			t := -1 + float64(i)/12
			y := mid.Y + up*(0.4+(half-0.4)*(1-t*t))
			outer = append(outer, sheet.Pt(mid.X+t*5.6, y))
			s := t * 0.62
			inner = append(inner, sheet.Pt(mid.X+t*3.6, mid.Y+up*(0.4+(half-2)*(1-t*t)*(1-0.1*s*s))))
		}
		line := append([]sheet.Point{}, outer...)
		for i := len(inner) - 1; i >= 0; i-- {
			line = append(line, inner[i])
		}
		if a == w.o.Work.Case.Chart.Arch {
			p.Area(sheet.FrameLayer, sheet.Black, line)
		}
		p.Draw(pen, true, line)
	}
}

// teethText writes teeth as the jurisdiction reads them.
func (w *writer) teethText(ns []tooth.Number) string {
	s := make([]string, len(ns))
	for i, n := range ns {
		s[i] = words.ToothName(w.l, n)
	}
	return strings.Join(s, ", ")
}
