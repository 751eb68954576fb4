package sheet

import "strings"

// Column is one column of a table.
type Column struct {
	Head  string
	Width float64 // [mm]
	Align Align
	Bold  bool
}

// Row is one row of a table: a cell for each column, or a Group that spans them all.
type Row struct {
	Cells  []string
	Group  string // a heading within the table
	Fill   Color
	Strong bool // in bold
}

// Table is rows of wrapped text.
type Table struct {
	Columns []Column
	Rows    []Row
	Size    float64 // of the type [mm]
	Layer   Layer
	Accent  Color // of the line under the head

	rows *rows // what was drawn of it
}

// rows counts a table's rows on the page it is being drawn on.
type rows struct {
	page        *Page
	table, last int
}

// next is the place of the first cell of the next row drawn on a page.
func (r *rows) next(p *Page) Cell {
	if r.page != p {
		p.tables++
		r.page, r.table, r.last = p, p.tables, 0
	}
	r.last++
	return Cell{Table: r.table, Row: r.last, Column: 1}
}

// Width is the sum of the columns' widths.
func (t Table) Width() float64 {
	w := 0.0
	for _, c := range t.Columns {
		w += c.Width
	}
	return w
}

const (
	cellPad = 1.0 // left and right of a cell's text
	rowPad  = 0.7 // above and below
)

func (t Table) face(c Column, r Row) Face {
	if c.Bold || r.Strong {
		return Bold
	}
	return Plain
}

// lines wraps a row's cells.
func (t Table) lines(r Row) [][]string {
	if r.Group != "" {
		return [][]string{Bold.Wrap(r.Group, t.Size, t.Width()-2*cellPad)}
	}
	out := make([][]string, len(t.Columns))
	for i, c := range t.Columns {
		if i < len(r.Cells) && r.Cells[i] != "" {
			out[i] = t.face(c, r).Wrap(r.Cells[i], t.Size, c.Width-2*cellPad)
		}
	}
	return out
}

func height(lines [][]string, size float64) float64 {
	most := 1
	for _, l := range lines {
		most = max(most, len(l))
	}
	return (float64(most-1)*Leading+Ascent+Descent)*size + 2*rowPad
}

// RowHeight is how high a row comes out.
func (t Table) RowHeight(r Row) float64 { return height(t.lines(r), t.Size) }

// split parts a row after the lines that a height has room for. The first part has no cells
// where the room is too little to begin the row in.
func (t Table) split(r Row, room float64) (first, rest Row) {
	fit := 1 + int((room-height(nil, t.Size))/(Leading*t.Size))
	if room < height(nil, t.Size) || fit < 3 {
		return Row{}, r
	}
	first, rest = r, r
	first.Cells, rest.Cells = nil, nil
	for _, lines := range t.lines(r) {
		n := min(fit, len(lines))
		first.Cells = append(first.Cells, strings.Join(lines[:n], "\n"))
		rest.Cells = append(rest.Cells, strings.Join(lines[n:], "\n"))
	}
	return first, rest
}

func (t Table) head() Row {
	r := Row{Strong: true}
	some := false
	for _, c := range t.Columns {
		r.Cells = append(r.Cells, c.Head)
		some = some || c.Head != ""
	}
	if !some {
		return Row{}
	}
	return r
}

// HeadHeight is how high the table's head comes out; 0 where no column has one.
func (t Table) HeadHeight() float64 {
	if h := t.head(); h.Cells != nil {
		return t.RowHeight(h)
	}
	return 0
}

// Height is how high the whole table comes out.
func (t Table) Height() float64 {
	h := t.HeadHeight()
	for _, r := range t.Rows {
		h += t.RowHeight(r)
	}
	return h
}

// DrawHead draws the head with its top left corner at a place and gives its height.
func (t Table) DrawHead(p *Page, at Point) float64 {
	r := t.head()
	if r.Cells == nil {
		return 0
	}
	h := t.drawRow(p, at, r, false)
	p.Line(Pen{Layer: t.Layer, Width: 0.35, Ink: inkOr(t.Accent)}, Pt(at.X, at.Y+h), Pt(at.X+t.Width(), at.Y+h))
	return h
}

// DrawRow draws one row and gives its height.
func (t Table) DrawRow(p *Page, at Point, r Row) float64 { return t.drawRow(p, at, r, true) }

func (t Table) drawRow(p *Page, at Point, r Row, rule bool) float64 {
	lines := t.lines(r)
	h := height(lines, t.Size)
	if r.Fill != None {
		p.Area(t.Layer, r.Fill, Box(at.X, at.Y, t.Width(), h).Outline())
	}
	x := at.X
	var place Cell
	if t.rows != nil {
		place = t.rows.next(p)
		place.Head = !rule || r.Group != ""
	}
	for i, cell := range lines {
		ty := Type{Layer: t.Layer, Size: t.Size, Face: Bold}
		w := t.Width()
		if r.Group == "" {
			c := t.Columns[i]
			ty.Face, ty.Align, w = t.face(c, r), c.Align, c.Width
		} else {
			ty.Ink = t.Accent
		}
		tx := x + cellPad
		switch ty.Align {
		case Center:
			tx = x + w/2
		case Right:
			tx = x + w - cellPad
		}
		for k, s := range cell {
			p.Write(ty, Pt(tx, at.Y+rowPad+(Ascent+float64(k)*Leading)*t.Size), s)
			if s != "" {
				p.Items[len(p.Items)-1].(*Text).Cell = place
			}
		}
		x += w
		if t.rows != nil {
			place.Column++
		}
	}
	if rule {
		p.Line(Pen{Layer: t.Layer, Width: 0.1, Ink: RGB(0x99, 0x99, 0x99)}, Pt(at.X, at.Y+h), Pt(at.X+t.Width(), at.Y+h))
	}
	return h
}

// Draw draws the whole table and gives its height.
func (t Table) Draw(p *Page, at Point) float64 {
	t.rows = &rows{}
	y := at.Y + t.DrawHead(p, at)
	for _, r := range t.Rows {
		y += t.DrawRow(p, Pt(at.X, y), r)
	}
	return y - at.Y
}
