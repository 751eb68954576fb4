package sheet

// Flow sets running text, tables and figures one below the other and turns the page where
// one is full.
type Flow struct {
	// New begins a page, with its frame drawn, and says where its text may stand.
	New func() (Page, Rect)

	Layer  Layer
	Size   float64 // of running text [mm]
	Accent Color   // of headings and rules
	Foot   float64 // left empty below the text of every page [mm]

	pages []Page
	area  Rect
	y     float64
}

// Pages are the pages so far.
func (f *Flow) Pages() []Page { return f.pages }

// Page is the page being filled; a first one is begun where there is none.
func (f *Flow) Page() *Page {
	if len(f.pages) == 0 {
		f.Turn()
	}
	return &f.pages[len(f.pages)-1]
}

// Turn begins a new page.
func (f *Flow) Turn() {
	p, area := f.New()
	area.Y1 -= f.Foot
	f.pages = append(f.pages, p)
	f.area, f.y = area, area.Y0
}

// Width is the width of the text.
func (f *Flow) Width() float64 {
	f.Page()
	return f.area.W()
}

// Left is what is left of the page, from the next line down.
func (f *Flow) Left() Rect {
	f.Page()
	return Rect{f.area.X0, f.y, f.area.X1, f.area.Y1}
}

// Need turns the page unless so much height is left on it. A page with nothing on it yet
// is never turned, and none for what no page can hold.
func (f *Flow) Need(h float64) {
	f.Page()
	if f.y+h > f.area.Y1 && f.y > f.area.Y0 && h <= f.area.H() {
		f.Turn()
	}
}

// Space leaves a gap; none at the top of a page.
func (f *Flow) Space(h float64) {
	f.Page()
	if f.y > f.area.Y0 {
		f.y += h
	}
}

// Heading sets a heading, level 1 to 3, and keeps it with what follows.
func (f *Flow) Heading(level int, s string) {
	size := f.Size * [...]float64{1, 1.5, 1.2, 1}[level]
	f.Page()
	f.Space(size * 0.8)
	lines := Bold.Wrap(s, size, f.area.W())
	f.Need(float64(len(lines))*Leading*size + 4*Leading*f.Size)
	for _, l := range lines {
		f.Page().Write(Type{Layer: f.Layer, Face: Bold, Size: size, Ink: f.Accent}, Pt(f.area.X0, f.y+Ascent*size), l)
		f.y += Leading * size
	}
	if level == 1 {
		f.Page().Line(Pen{Layer: f.Layer, Width: 0.35, Ink: inkOr(f.Accent)}, Pt(f.area.X0, f.y), Pt(f.area.X1, f.y))
		f.y += 1
	}
	f.y += 0.4
}

// Para sets a paragraph.
func (f *Flow) Para(s string) { f.text(Plain, f.Size, 0, "", s) }

// Small sets a paragraph in small type.
func (f *Flow) Small(s string) { f.text(Plain, f.Size*0.8, 0, "", s) }

// Strong sets a paragraph in bold.
func (f *Flow) Strong(s string) { f.text(Bold, f.Size, 0, "", s) }

// Bullet sets one entry of a list; mark stands before it, as in "•" or "3."
func (f *Flow) Bullet(mark, s string) { f.text(Plain, f.Size, 5, mark, s) }

func (f *Flow) text(face Face, size, indent float64, mark, s string) {
	f.Page()
	for i, l := range face.Wrap(s, size, f.area.W()-indent) {
		f.Need(Leading * size)
		if i == 0 && mark != "" {
			f.Page().Write(Type{Layer: f.Layer, Face: face, Size: size}, Pt(f.area.X0, f.y+Ascent*size), mark)
		}
		f.Page().Write(Type{Layer: f.Layer, Face: face, Size: size}, Pt(f.area.X0+indent, f.y+Ascent*size), l)
		f.y += Leading * size
	}
	f.y += 0.3 * size
}

// Check sets a box to tick with its text, ticked or empty.
func (f *Flow) Check(ticked bool, s string) {
	f.Need(Leading * f.Size)
	side := f.Size * 0.85
	top := f.y + (Ascent-CapHeight)*f.Size/2
	box := Box(f.area.X0, top, side, side)
	f.Page().Draw(Pen{Layer: f.Layer, Width: 0.25, Ink: Black}, true, box.Outline())
	if ticked {
		f.Page().Draw(Pen{Layer: f.Layer, Width: 0.4, Ink: Black}, false,
			[]Point{{X: box.X0 + 0.2*side, Y: box.Y0 + 0.5*side}, {X: box.X0 + 0.45*side, Y: box.Y0 + 0.8*side}, {X: box.X0 + 0.9*side, Y: box.Y0 + 0.1*side}})
	}
	f.text(Plain, f.Size, side+1.5, "", s)
}

// Line sets a label with a line to write on behind it, filled with a value where there is
// one; a long value takes more lines.
func (f *Flow) Line(label, value string) {
	f.Page()
	h := Leading*f.Size + 2
	w := Plain.Width(label, f.Size)
	for i, v := range Bold.Wrap(value, f.Size, f.area.W()-w-4) {
		f.Need(h)
		base := f.y + 1 + Ascent*f.Size
		if i == 0 {
			f.Page().Write(Type{Layer: f.Layer, Size: f.Size}, Pt(f.area.X0, base), label)
		}
		f.Page().Write(Type{Layer: f.Layer, Size: f.Size, Face: Bold}, Pt(f.area.X0+w+3, base), v)
		f.Page().Line(Pen{Layer: f.Layer, Width: 0.18, Ink: Black}, Pt(f.area.X0+w+2, base+0.8), Pt(f.area.X1, base+0.8))
		f.y += h
	}
}

// Rule draws a thin line across.
func (f *Flow) Rule() {
	f.Need(2)
	f.Page().Line(Pen{Layer: f.Layer, Width: 0.18, Ink: inkOr(f.Accent)}, Pt(f.area.X0, f.y+1), Pt(f.area.X1, f.y+1))
	f.y += 2
}

// Table sets a table; where the page turns, its head is repeated. Columns of width 0
// share what is left of the page's width.
func (f *Flow) Table(t Table) {
	f.Page()
	if t.Size == 0 {
		t.Size = f.Size
	}
	if t.Accent == None {
		t.Accent = f.Accent
	}
	t.Layer, t.rows = f.Layer, &rows{}
	t.Columns = spread(t.Columns, f.area.W())
	first := t.HeadHeight()
	if len(t.Rows) > 0 {
		first += t.RowHeight(t.Rows[0])
	}
	f.Need(first)
	f.y += t.DrawHead(f.Page(), Pt(f.area.X0, f.y))
	turn := func() {
		f.Turn()
		f.y += t.DrawHead(f.Page(), Pt(f.area.X0, f.y))
	}
	page := f.area.H() - t.HeadHeight()
	for i, r := range t.Rows {
		h := t.RowHeight(r)
		for h > page && page > 4*Leading*t.Size && r.Group == "" { // no page holds it whole
			var part Row
			if part, r = t.split(r, f.area.Y1-f.y); part.Cells != nil {
				f.y += t.DrawRow(f.Page(), Pt(f.area.X0, f.y), part)
			}
			turn()
			h = t.RowHeight(r)
		}
		if r.Group != "" && i+1 < len(t.Rows) { // a heading stays with its first row
			h += min(t.RowHeight(t.Rows[i+1]), page/2)
		}
		if f.y+h > f.area.Y1 && f.y > f.area.Y0+t.HeadHeight() {
			turn()
		}
		f.y += t.DrawRow(f.Page(), Pt(f.area.X0, f.y), r)
	}
	f.y += 1.5
}

// Settle sets text so that its last page is not there for a few lines' sake: where it would
// be, the pages before it end higher. set fills a new flow with so much left empty at its foot.
func Settle(set func(foot float64) *Flow) []Page {
	const least = 1.0 / 4 // of a page
	first := set(0)
	n := len(first.pages)
	if n < 2 {
		return first.pages
	}
	page := first.area.H()
	lacks := least*page - (first.y - first.area.Y0)
	if lacks <= 0 {
		return first.pages
	}
	for foot := max(4, lacks/float64(n-1)); foot < page/2; foot += 4 {
		f := set(foot)
		if len(f.pages) > n {
			break
		}
		if f.y-f.area.Y0 >= least*page {
			return f.pages
		}
	}
	return first.pages
}

func spread(cols []Column, width float64) []Column {
	out := append([]Column(nil), cols...)
	left, open := width, 0
	for _, c := range out {
		left -= c.Width
		if c.Width == 0 {
			open++
		}
	}
	for i := range out {
		if out[i].Width == 0 {
			out[i].Width = left / float64(open)
		}
	}
	return out
}

// Figure keeps a space of a height over the text's whole width and lets draw fill it.
func (f *Flow) Figure(h float64, draw func(p *Page, r Rect)) {
	f.Need(h)
	draw(f.Page(), Box(f.area.X0, f.y, f.area.W(), h))
	f.y += h
}
