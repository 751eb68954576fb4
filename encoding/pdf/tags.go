package pdf

import (
	"bytes"
	"fmt"
	"strings"

	"halfpear/sheet"
)

// tagger collects the logical structure of the pages while they are written: what a screen
// reader reads aloud, in which order, and what is mere drawing.
type tagger struct{ pages [][]string } // of each page the kind of each marked stretch: H1, H2, P

func (t *tagger) page() { t.pages = append(t.pages, nil) }

// mark opens a stretch of text of a kind and gives the operator that begins it.
func (t *tagger) mark(kind string) string {
	n := len(t.pages) - 1
	t.pages[n] = append(t.pages[n], kind)
	return fmt.Sprintf("/%s <</MCID %d>> BDC", kind, len(t.pages[n])-1)
}

// kindOf tells headings from running text by their type.
func kindOf(t *sheet.Text) string {
	switch {
	case t.Face == sheet.Bold && t.Size >= 4.5:
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

// structure appends the tree of what is read aloud and gives the root's number.
func structure(objects []body, tags *tagger, pageAt []int, titles []string) ([]body, int) {
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
	for i, kinds := range tags.pages {
		section := add("")
		fmt.Fprintf(&sections, "%d 0 R ", section)
		fmt.Fprintf(&nums, "%d [", i)
		var kids strings.Builder
		for mcid, kind := range kinds {
			n := add(fmt.Sprintf("<</Type /StructElem /S /%s /P %d 0 R /Pg %d 0 R /K %d>>", kind, section, pageAt[i], mcid))
			fmt.Fprintf(&kids, "%d 0 R ", n)
			fmt.Fprintf(&nums, "%d 0 R ", n)
		}
		nums.WriteString("]\n")
		title := ""
		if titles[i] != "" {
			title = " /T " + hexText(titles[i])
		}
		objects[section-1].text = []byte(fmt.Sprintf("<</Type /StructElem /S /Sect%s /P %d 0 R /K [%s]>>", title, document, kids.String()))
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
