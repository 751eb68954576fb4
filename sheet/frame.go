package sheet

import (
	"math"
	"slices"
)

// Field is one entry of a title block.
type Field struct {
	Label, Value string
	Span         int // columns of the block's six; 0 means 1
}

// Frame is what stands round the content of every page: a heading, a title block, a bar
// to check the print's scale with, and a notice.
type Frame struct {
	Title    string
	Subtitle string
	Fields   []Field
	BarText  string // beside the check bar; "" draws no bar
	Notice   string // the safety notice
	Stamp    string // across the page, as in "DRAFT"
	Accent   Color
	Picture  func(p *Page, r Rect) // at the top right; may be nil
}

const (
	// Margin is the empty edge of a page: what office printers cannot print on, and room
	// to punch [mm].
	Margin = 10.0

	frameLayer  Layer = "frame"
	stampLayer  Layer = "stamp"
	labelSize         = 1.9
	valueSize         = 2.6
	noticeSize        = 2.1
	fieldHeight       = 7.6
	barLength         = 50.0
)

// FrameLayer is the layer that frames are drawn on.
const FrameLayer = frameLayer

// StampLayer is the layer of the stamp across the page, over which text may stand.
const StampLayer = stampLayer

// Draw draws the frame on a page and gives the rectangle left for content.
func (f Frame) Draw(p *Page) Rect {
	in := Rect{Margin, Margin, p.Size.W - Margin, p.Size.H - Margin}
	if f.Stamp != "" {
		f.drawStamp(p)
	}
	ink := Pen{Layer: frameLayer, Width: 0.25, Ink: Black}
	accent := Pen{Layer: frameLayer, Width: 0.5, Ink: inkOr(f.Accent)}

	const pictureW = 13.0
	right := in.X1
	if f.Picture != nil {
		f.Picture(p, Box(in.X1-pictureW, in.Y0-1, pictureW, 10))
		right -= pictureW + 2
	}
	if f.Stamp != "" { // where no picture can lie over it
		head := Type{Layer: frameLayer, Face: Bold, Size: 4, Align: Right}
		p.Write(head, Pt(right, in.Y0+4), f.Stamp)
		right -= head.Face.Width(f.Stamp, head.Size) + 3
	}
	title := Type{Layer: frameLayer, Face: Bold, Size: 5}
	for title.Size > 3 && title.Face.Width(f.Title, title.Size) > right-in.X0 {
		title.Size -= 0.25
	}
	p.Write(title, Pt(in.X0, in.Y0+4), clip(title.Face, f.Title, title.Size, right-in.X0))
	p.Write(Type{Layer: frameLayer, Size: 3}, Pt(in.X0, in.Y0+8.3), clip(Plain, f.Subtitle, 3, right-in.X0))
	p.Line(accent, Pt(in.X0, in.Y0+10), Pt(in.X1, in.Y0+10))

	// From below upward: notice, bar, fields.
	y := in.Y1
	lines := Plain.Wrap(f.Notice, noticeSize, in.W())
	if f.Notice == "" {
		lines = nil
	}
	y -= float64(len(lines)) * Leading * noticeSize
	for i, l := range lines {
		p.Write(Type{Layer: frameLayer, Size: noticeSize}, Pt(in.X0, y+(Ascent+float64(i)*Leading)*noticeSize), l)
	}
	y -= 1
	if f.BarText != "" {
		y -= 5
		f.drawBar(p, Pt(in.X0, y+2.6))
	}
	col := in.W() / 6
	rows := f.rows()
	high := make([]float64, len(rows))
	for i, row := range rows {
		for _, fd := range row {
			lines, size := fd.set(col*float64(fd.Span) - 2)
			high[i] = max(high[i], fieldHeight+float64(len(lines)-1)*Leading*size)
		}
		y -= high[i]
	}
	top := y
	for k, row := range rows {
		x := in.X0
		for i, fd := range row {
			w := col * float64(fd.Span)
			if i > 0 {
				p.Line(ink, Pt(x, y), Pt(x, y+high[k]))
			}
			p.Write(Type{Layer: frameLayer, Size: labelSize, Ink: RGB(0x44, 0x44, 0x44)}, Pt(x+1, y+0.5+Ascent*labelSize), clip(Plain, fd.Label, labelSize, w-2))
			lines, size := fd.set(w - 2)
			for n, l := range lines {
				p.Write(Type{Layer: frameLayer, Face: Bold, Size: size}, Pt(x+1, y+fieldHeight-1.4+float64(n)*Leading*size), l)
			}
			x += w
		}
		p.Line(ink, Pt(in.X0, y), Pt(in.X1, y))
		y += high[k]
	}
	if len(rows) > 0 {
		p.Draw(ink, true, Rect{in.X0, top, in.X1, y}.Outline())
	}
	return Rect{in.X0, in.Y0 + 11.5, in.X1, top - 2}
}

// set fits a field's value into a width: on one line, in smaller type, or on several lines.
func (fd Field) set(width float64) (lines []string, size float64) {
	const least = 2.0
	for size = valueSize; size > least; size -= 0.1 {
		if Bold.Width(fd.Value, size) <= width {
			return []string{fd.Value}, size
		}
	}
	return Bold.Wrap(fd.Value, least, width), least
}

// rows spreads the fields over rows of six columns; the last of a row takes what is left.
func (f Frame) rows() [][]Field {
	var rows [][]Field
	var row []Field
	used := 0
	end := func() {
		if len(row) > 0 {
			row[len(row)-1].Span += 6 - used
			rows = append(rows, row)
		}
		row, used = nil, 0
	}
	for _, fd := range f.Fields {
		fd.Span = min(6, max(1, fd.Span))
		if used+fd.Span > 6 {
			end()
		}
		row = append(row, fd)
		used += fd.Span
	}
	end()
	return rows
}

// drawBar draws 50 mm across and 50 mm upright, to see whether the printer kept the scale.
func (f Frame) drawBar(p *Page, at Point) {
	pen := Pen{Layer: frameLayer, Name: "check bar 50 mm", Width: 0.35, Ink: Black}
	tick := Pen{Layer: frameLayer, Width: 0.25, Ink: Black}
	p.Line(pen, at, Pt(at.X+barLength, at.Y))
	for k := range 6 {
		h := 0.8
		if k%5 == 0 {
			h = 1.5
		}
		x := at.X + barLength/5*float64(k)
		p.Line(tick, Pt(x, at.Y-h), Pt(x, at.Y+h))
	}
	const size = 2.2
	p.Write(Type{Layer: frameLayer, Size: size}, Pt(at.X+barLength+2.5, at.Y+CapHeight*size/2), clip(Plain, f.BarText, size, p.Size.W-Margin-at.X-barLength-2.5))
	x, y := Margin-3, p.Size.H/2
	p.Line(pen, Pt(x, y-barLength/2), Pt(x, y+barLength/2))
	for _, s := range [...]float64{-1, 1} {
		p.Line(tick, Pt(x-1, y+s*barLength/2), Pt(x+1, y+s*barLength/2))
	}
}

func (f Frame) drawStamp(p *Page) {
	turn := math.Atan2(p.Size.H, p.Size.W)
	size := math.Min(45, math.Hypot(p.Size.W, p.Size.H)*0.7/math.Max(0.1, Bold.Width(f.Stamp, 1)))
	down := CapHeight * size / 2
	s, c := math.Sincos(turn)
	p.Write(Type{Layer: stampLayer, Face: Bold, Size: size, Ink: RGB(0xE4, 0xE4, 0xE4), Align: Center, Turn: turn},
		Pt(p.Size.W/2+s*down, p.Size.H/2+c*down), f.Stamp)
}

// Number writes which page of how many this is, at the bottom right, in place of a number
// the page had before.
func (f Frame) Number(p *Page, text string) {
	const name = "page number"
	p.Items = slices.DeleteFunc(p.Items, func(it Item) bool {
		t, ok := it.(*Text)
		return ok && t.Name == name
	})
	p.Write(Type{Layer: frameLayer, Name: name, Size: 2.4, Align: Right}, Pt(p.Size.W-Margin, p.Size.H-Margin+3.4), text)
}

// clip shortens s with an ellipsis to fit a width.
func clip(f Face, s string, size, width float64) string {
	if f.Width(s, size) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && f.Width(string(r)+"…", size) > width {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}
