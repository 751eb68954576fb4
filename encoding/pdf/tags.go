package pdf

import (
	"bytes"
	"fmt"
	"strings"

	"halfpear/sheet"
)

// tagger collects the logical structure of the pages while they are written: what a screen
// reader reads aloud, in which order, and what is mere drawing.
type tagger struct{ pages [][]stretch }

// stretch is one marked stretch of a page's content, and what it belongs to.
type stretch struct {
	kind    string     // H1, H2, P, TH, TD or Figure
	cell    sheet.Cell // of TH and TD
	picture int        // of a Figure: which of the page's pictures, from 1
}

func (t *tagger) page() { t.pages = append(t.pages, nil) }

// mark opens a stretch and gives the operator that begins it.
func (t *tagger) mark(s stretch) string {
	n := len(t.pages) - 1
	t.pages[n] = append(t.pages[n], s)
	return fmt.Sprintf("/%s <</MCID %d>> BDC", s.kind, len(t.pages[n])-1)
}

// stretchOf is what an item of a page belongs to; the zero stretch is mere drawing, which
// nobody reads aloud.
func stretchOf(page *sheet.Page, it sheet.Item) stretch {
	layer := sheet.LayerOf(it)
	if layer == sheet.StampLayer {
		return stretch{}
	}
	t, isText := it.(*sheet.Text)
	if layer != sheet.FrameLayer && (!isText || t.Cell.Table == 0) {
		if box, ok := boxOf(it); ok {
			for i, p := range page.Pictures {
				if p.Box.Grow(0.5).Holds(box) {
					return stretch{kind: "Figure", picture: i + 1}
				}
			}
		}
	}
	switch {
	case !isText:
		return stretch{}
	case t.Cell.Table != 0 && t.Cell.Head:
		return stretch{kind: "TH", cell: t.Cell}
	case t.Cell.Table != 0:
		return stretch{kind: "TD", cell: t.Cell}
	}
	return stretch{kind: kindOf(t)}
}

func boxOf(it sheet.Item) (sheet.Rect, bool) {
	switch it := it.(type) {
	case *sheet.Path:
		return sheet.Bounds(it.Lines...)
	case *sheet.Text:
		return it.Box(), true
	}
	return sheet.Rect{}, false
}

// kindOf tells headings from running text by their type.
func kindOf(t *sheet.Text) string {
	switch {
	case t.Layer == sheet.FrameLayer && t.Face == sheet.Bold && t.Size >= 3:
		return "H1"
	case t.Face == sheet.Bold && t.Size >= 3 && t.Ink != sheet.Black:
		return "H2"
	}
	return "P"
}

// follows tells whether a line of text goes on the paragraph of the one before it.
func follows(before, t *sheet.Text) bool {
	down := t.At.Y - before.At.Y
	return before.Turn == 0 && t.Turn == 0 && before.At.X == t.At.X && before.Size == t.Size && before.Face == t.Face && before.Ink == t.Ink && down > 0 && down < 1.6*t.Size
}

// body is one object of the file: its number and all that stands between "obj" and
// "endobj".
type body struct {
	number int
	text   []byte
}

// split takes a file apart into its objects.
func split(file []byte) (header []byte, objects []body, trailer string, err error) {
	xref := bytes.LastIndex(file, []byte("\nxref\n"))
	end := bytes.LastIndex(file, []byte("startxref\n"))
	if xref < 0 || end < xref {
		return nil, nil, "", fmt.Errorf("the file has no cross-reference table where one was expected")
	}
	var first, count int
	table := file[xref+1 : end]
	if _, err := fmt.Sscanf(string(table), "xref\n%d %d\n", &first, &count); err != nil || first != 0 {
		return nil, nil, "", fmt.Errorf("reading the cross-reference table: %w", err)
	}
	i := bytes.Index(table, []byte("trailer"))
	if i < 0 {
		return nil, nil, "", fmt.Errorf("the file has no trailer where one was expected")
	}
	trailer = string(table[i:])
	lines := strings.Split(string(table[:i]), "\n")[2:]
	starts := make([]int, count)
	low := len(file)
	for n := 1; n < count; n++ {
		if _, err := fmt.Sscanf(lines[n], "%d", &starts[n]); err != nil {
			return nil, nil, "", fmt.Errorf("reading the place of object %d: %w", n, err)
		}
		low = min(low, starts[n])
	}
	for n := 1; n < count; n++ {
		stop := xref + 1
		for m := 1; m < count; m++ {
			if starts[m] > starts[n] && starts[m] < stop {
				stop = starts[m]
			}
		}
		text := file[starts[n]:stop]
		head := []byte(fmt.Sprintf("%d 0 obj\n", n))
		tail := bytes.LastIndex(text, []byte("endobj"))
		if !bytes.HasPrefix(text, head) || tail < 0 {
			return nil, nil, "", fmt.Errorf("object %d does not stand where the table says", n)
		}
		objects = append(objects, body{n, bytes.TrimRight(text[len(head):tail], "\n")})
	}
	return file[:low], objects, trailer, nil
}

// join puts objects together as a file with a new cross-reference table.
func join(header []byte, objects []body, trailer string) []byte {
	var out bytes.Buffer
	out.Write(header)
	places := make([]int, len(objects)+1)
	for _, o := range objects {
		places[o.number] = out.Len()
		fmt.Fprintf(&out, "%d 0 obj\n", o.number)
		out.Write(o.text)
		out.WriteString("\nendobj\n")
	}
	at := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(places))
	for _, p := range places[1:] {
		fmt.Fprintf(&out, "%010d 00000 n \n", p)
	}
	out.WriteString(trailer)
	fmt.Fprintf(&out, "startxref\n%d\n%%%%EOF\n", at)
	return out.Bytes()
}

// numbersIn lists the object numbers referred to in a text such as "[3 0 R 5 0 R]".
func numbersIn(text string) []int {
	var out []int
	f := strings.Fields(strings.NewReplacer("[", " ", "]", " ").Replace(text))
	for i := 0; i+2 < len(f); i++ {
		var n int
		if f[i+1] == "0" && f[i+2] == "R" {
			if _, err := fmt.Sscanf(f[i], "%d", &n); err == nil {
				out = append(out, n)
			}
		}
	}
	return out
}

// structure appends the tree of what is read aloud and gives the root's number. A page is
// a section of headings, paragraphs, tables of rows of cells, and pictures, in the order
// in which they begin on the page.
func structure(objects []body, tags *tagger, pageAt []int, pages []sheet.Page) ([]body, int) {
	next := len(objects) + 1
	add := func(text string) int {
		objects = append(objects, body{next, []byte(text)})
		next++
		return next - 1
	}
	root, document, parents := next, next+1, next+2
	add("")
	add("")
	add("")
	var sections, nums strings.Builder
	for i, stretches := range tags.pages {
		section := add("")
		fmt.Fprintf(&sections, "%d 0 R ", section)
		fmt.Fprintf(&nums, "%d [", i)
		// Each element is opened by its first stretch and gathers the others that belong
		// to it; an element without content of its own gathers elements.
		type element struct {
			number, parent int
			head           string
			kids           []string
		}
		var order []*element
		byKey := map[any]*element{}
		open := func(key any, parent int, head string) *element {
			if key != nil {
				if e, ok := byKey[key]; ok {
					return e
				}
			}
			e := &element{number: add(""), parent: parent, head: head}
			order = append(order, e)
			if key != nil {
				byKey[key] = e
			}
			return e
		}
		var top []string
		adopt := func(parent *element, e *element) {
			ref := fmt.Sprintf("%d 0 R", e.number)
			list := &top
			if parent != nil {
				list = &parent.kids
			}
			for _, k := range *list {
				if k == ref {
					return
				}
			}
			*list = append(*list, ref)
		}
		type tableKey struct{ table int }
		type rowKey struct{ table, row int }
		type pictureKey struct{ picture int }
		for mcid, s := range stretches {
			var e *element
			switch s.kind {
			case "TH", "TD":
				table := open(tableKey{s.cell.Table}, section, "/S /Table")
				adopt(nil, table)
				row := open(rowKey{s.cell.Table, s.cell.Row}, table.number, "/S /TR")
				adopt(table, row)
				head := "/S /" + s.kind
				if s.kind == "TH" {
					head += " /A <</O /Table /Scope /Column>>"
				}
				e = open(s.cell, row.number, head)
				adopt(row, e)
			case "Figure":
				p := pages[i].Pictures[s.picture-1]
				h := pages[i].Size.H
				e = open(pictureKey{s.picture}, section, fmt.Sprintf("/S /Figure /Alt %s /A <</O /Layout /BBox [%.2f %.2f %.2f %.2f]>>", hexText(p.Alt), p.Box.X0*mm, (h-p.Box.Y1)*mm, p.Box.X1*mm, (h-p.Box.Y0)*mm))
				adopt(nil, e)
			default:
				e = open(nil, section, "/S /"+s.kind)
				adopt(nil, e)
			}
			e.kids = append(e.kids, fmt.Sprint(mcid))
			fmt.Fprintf(&nums, "%d 0 R ", e.number)
		}
		for _, e := range order {
			objects[e.number-1].text = []byte(fmt.Sprintf("<</Type /StructElem %s /P %d 0 R /Pg %d 0 R /K [%s]>>", e.head, e.parent, pageAt[i], strings.Join(e.kids, " ")))
		}
		nums.WriteString("]\n")
		title := ""
		if pages[i].Name != "" {
			title = " /T " + hexText(pages[i].Name)
		}
		objects[section-1].text = []byte(fmt.Sprintf("<</Type /StructElem /S /Sect%s /P %d 0 R /K [%s]>>", title, document, strings.Join(top, " ")))
	}
	objects[root-1].text = []byte(fmt.Sprintf("<</Type /StructTreeRoot /K %d 0 R /ParentTree %d 0 R /ParentTreeNextKey %d>>", document, parents, len(tags.pages)))
	objects[document-1].text = []byte(fmt.Sprintf("<</Type /StructElem /S /Document /P %d 0 R /K [%s]>>", root, sections.String()))
	objects[parents-1].text = []byte("<</Nums [" + nums.String() + "]>>")
	return objects, root
}

// hexText is a text string in UTF-16, written in hexadecimal.
func hexText(s string) string {
	var b strings.Builder
	b.WriteString("<FEFF")
	for _, r := range s {
		if r > 0xFFFF {
			r = 0xFFFD
		}
		fmt.Fprintf(&b, "%04X", r)
	}
	b.WriteString(">")
	return b.String()
}
