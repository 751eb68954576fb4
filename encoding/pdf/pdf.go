// Package pdf writes pages as one PDF file, true to scale, with real text, named layers,
// a bookmark for each page, and files attached where asked. The same pages with the same
// date give the same bytes.
//
// Files are made to the archive profile PDF/A-3u (ISO 19005-3) and say so: embedded fonts
// with Unicode, an sRGB output intent, XMP metadata, attachments with their relation, no
// transparency, no script, no encryption. The tests hold these points one by one; no
// validator of the profile has judged a file. Pages are tagged: headings, paragraphs, tables
// cell by cell, and pictures with what is said in their place, in reading order; mere
// drawing is marked as such.
package pdf

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"halfpear/sheet"
)

// Attachment is a file carried inside the PDF.
type Attachment struct {
	Name, Description string
	Content           []byte
}

// Document is what a PDF says of itself besides its pages.
type Document struct {
	Title, Subject string
	Maker          string    // the program and its version
	Lang           string    // BCP 47, as in "en"
	Date           time.Time // creation and modification; passed in so that bytes repeat
	Attachments    []Attachment
}

const mm = 72 / 25.4 // points a millimetre

var faceName = [sheet.Faces]string{"dejavu-condensed", "dejavu-condensed-bold"}

// Write writes the pages.
func Write(w io.Writer, pages []sheet.Page, doc Document) error {
	if len(pages) == 0 {
		return fmt.Errorf("writing %q as PDF: expected at least one page, there is none", doc.Title)
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: pages[0].Size.W, Ht: pages[0].Size.H}})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCellMargin(0)
	f.SetCatalogSort(true)
	f.SetCreationDate(doc.Date.UTC())
	f.SetModificationDate(doc.Date.UTC())
	f.SetTitle(doc.Title, true)
	f.SetSubject(doc.Subject, true)
	f.SetCreator(doc.Maker, true)
	f.SetProducer(doc.Maker, true)
	f.SetLang(doc.Lang)
	f.SetXmpMetadata(xmp(doc))
	f.AddOutputIntent(fpdf.OutputIntentType{SubtypeIdent: fpdf.OutputIntent_GTS_PDFA1, OutputConditionIdentifier: "sRGB", Info: "sRGB IEC61966-2.1", ICCProfile: sRGB()})
	for i := range sheet.Faces {
		f.AddUTF8FontFromBytes(faceName[i], "", bytes.Clone(sheet.Face(i).TTF()))
	}
	if len(doc.Attachments) > 0 {
		var as []fpdf.Attachment
		for _, a := range doc.Attachments {
			as = append(as, fpdf.Attachment{Filename: a.Name, Description: a.Description, Content: a.Content})
		}
		f.SetAttachments(as)
	}
	layers := map[sheet.Layer]int{}
	tags := &tagger{}
	for i := range pages {
		writePage(f, &pages[i], layers, tags)
	}
	var buf bytes.Buffer
	if err := f.Output(&buf); err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	out, err := finish(buf.Bytes(), pages, tags, doc.Attachments)
	if err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	if _, err := w.Write(out); err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	return nil
}

func writePage(f *fpdf.Fpdf, page *sheet.Page, layers map[sheet.Layer]int, tags *tagger) {
	tags.page()
	f.AddPageFormat("P", fpdf.SizeType{Wd: page.Size.W, Ht: page.Size.H})
	if page.Name != "" {
		f.Bookmark(page.Name, 0, 0)
	}
	f.RawWriteStr("1 J 1 j")
	var open sheet.Layer
	var before *sheet.Text
	var in stretch
	marked := false
	items := page.Ordered()
	for i, it := range items {
		t, _ := it.(*sheet.Text)
		s := stretchOf(page, it)
		newLayer := i == 0 || sheet.LayerOf(it) != open
		// A marked stretch goes on while a paragraph, a cell, a picture or mere drawing does.
		running := s == in && (s.cell.Table != 0 || s.picture != 0 || s.kind == "" || before != nil && follows(before, t))
		if marked && (newLayer || !running) {
			f.RawWriteStr("EMC")
			marked = false
		}
		if l := sheet.LayerOf(it); newLayer {
			id, ok := layers[l]
			if !ok {
				id = f.AddLayer(string(l), true)
				layers[l] = id
			}
			f.BeginLayer(id)
			open = l
		}
		if !marked {
			if s.kind != "" {
				f.RawWriteStr(tags.mark(s))
			} else {
				f.RawWriteStr("/Artifact BMC")
			}
			marked = true
		}
		before, in = t, s
		switch it := it.(type) {
		case *sheet.Path:
			f.RawWriteStr(operators(it, page.Size.H))
		case *sheet.Text:
			str := it.Str
			if i+1 < len(items) { // lines of one stretch are words apart when they are read aloud
				if next, ok := items[i+1].(*sheet.Text); ok && s.picture == 0 && stretchOf(page, next) == s && (s.cell.Table != 0 || follows(it, next)) {
					str += " "
				}
			}
			writeText(f, it, str)
		}
	}
	if marked {
		f.RawWriteStr("EMC")
	}
	f.EndLayer()
}

// operators is a path in PDF's own words.
func operators(p *sheet.Path, height float64) string {
	b := make([]byte, 0, 64)
	number := func(v float64) {
		b = strconv.AppendFloat(b, math.Round(v*1000)/1000, 'f', -1, 64)
		b = append(b, ' ')
	}
	color := func(c sheet.Color, op string) {
		r, g, bl := c.RGB()
		for _, v := range [...]uint8{r, g, bl} {
			number(float64(v) / 255)
		}
		b = append(b, op...)
		b = append(b, ' ')
	}
	lines := func() {
		for _, l := range p.Lines {
			for i, q := range l {
				number(q.X * mm)
				number((height - q.Y) * mm)
				b = append(b, "ml"[min(i, 1)], '\n')
			}
			if p.Closed {
				b = append(b, "h\n"...)
			}
		}
	}
	if p.Fill != sheet.None {
		b = append(b, "q "...) // the library keeps count of the filling colour itself
		color(p.Fill, "rg")
		lines()
		if p.Solid {
			b = append(b, "f\nQ\n"...)
		} else {
			b = append(b, "f*\nQ\n"...)
		}
	}
	if p.Ink != sheet.None && p.Width > 0 {
		color(p.Ink, "RG")
		number(p.Width * mm)
		b = append(b, "w\n"...)
		lines()
		b = append(b, "S\n"...)
	}
	return string(b)
}

func writeText(f *fpdf.Fpdf, t *sheet.Text, str string) {
	f.SetFont(faceName[t.Face], "", t.Size*mm)
	r, g, b := t.Ink.RGB()
	f.SetTextColor(int(r), int(g), int(b))
	if t.Turn != 0 {
		f.TransformBegin()
		f.TransformRotate(t.Turn*180/math.Pi, t.At.X, t.At.Y)
		f.Text(t.At.X, t.At.Y, str)
		f.TransformEnd()
		return
	}
	f.Text(t.At.X, t.At.Y, str)
}

// finish puts into the file what the library has no words for: that pages are printed
// unscaled, what is read aloud and in which order, where bookmarks lead, what the
// attachments are, and the file's identifier.
func finish(file []byte, pages []sheet.Page, tags *tagger, attached []Attachment) ([]byte, error) {
	header, objects, trailer, err := split(file)
	if err != nil {
		return nil, err
	}
	sum := fmt.Sprintf("%x", sha256.Sum256(file))[:32]
	// Unicode names of attachments are PDF 1.7's; the library counts only its layers.
	header = bytes.Replace(header, []byte("%PDF-1.5"), []byte("%PDF-1.7"), 1)

	var pageAt []int
	catalog := -1
	for i, o := range objects {
		switch {
		case bytes.HasPrefix(o.text, []byte("<</Type /Pages")):
			k := bytes.Index(o.text, []byte("/Kids ["))
			pageAt = numbersIn(string(o.text[k+7 : bytes.IndexByte(o.text[k:], ']')+k]))
		case bytes.Contains(o.text[:min(len(o.text), 40)], []byte("/Type /Catalog")):
			catalog = i
		}
	}
	if catalog < 0 || len(pageAt) != len(pages) {
		return nil, fmt.Errorf("the file has %d pages and catalogue %d, expected %d pages", len(pageAt), catalog, len(pages))
	}
	edit := func(n int, old, new string) error {
		t := objects[n-1].text
		if !bytes.Contains(t, []byte(old)) {
			return fmt.Errorf("object %d has no %q", n, old)
		}
		objects[n-1].text = bytes.Replace(t, []byte(old), []byte(new), 1)
		return nil
	}
	for i, n := range pageAt {
		if err := edit(n, "<</Type /Page", fmt.Sprintf("<</Type /Page\n/StructParents %d\n/Tabs /S", i)); err != nil {
			return nil, err
		}
	}
	var specs []string
	for i := range objects {
		t := string(objects[i].text)
		switch {
		case strings.HasPrefix(t, "<</Title "): // a bookmark: the library counts pages as if nothing stood before them
			k := strings.Index(t, "/Dest [")
			var n int
			if _, err := fmt.Sscanf(t[k:], "/Dest [%d", &n); k < 0 || err != nil || n < 3 || (n-3)/2 >= len(pageAt) {
				return nil, fmt.Errorf("a bookmark leads nowhere: %q", t)
			}
			t = strings.Replace(t, fmt.Sprintf("/Dest [%d 0 R", n), fmt.Sprintf("/Dest [%d 0 R", pageAt[(n-3)/2]), 1)
		case strings.HasPrefix(t, "<< /Type /Filespec") && len(specs) < len(attached):
			a := attached[len(specs)]
			specs = append(specs, fmt.Sprintf("%d 0 R", objects[i].number))
			t = strings.Replace(t, "/F ()", "/F "+literal(a.Name)+" /AFRelationship /Data", 1)
			if m := numbersIn(t[strings.Index(t, "/EF"):]); len(m) > 0 {
				if err := edit(m[0], "/Type /EmbeddedFile", "/Type /EmbeddedFile /Subtype /"+mimeName(a.Name)); err != nil {
					return nil, err
				}
			}
		default:
			continue
		}
		objects[i].text = []byte(t)
	}
	objects, root := structure(objects, tags, pageAt, pages)

	c := strings.Replace(string(objects[catalog].text), "/D <</OFF", "/D <</Name (Layers) /OFF", 1)
	for i, a := range attached {
		c = strings.Replace(c, fmt.Sprintf("(Attachement%d)", i+1), literal(a.Name), 1)
	}
	more := fmt.Sprintf("/ViewerPreferences << /PrintScaling /None /DisplayDocTitle true >>\n/MarkInfo << /Marked true >>\n/StructTreeRoot %d 0 R\n", root)
	if len(specs) > 0 {
		more += "/AF [" + strings.Join(specs, " ") + "]\n"
	}
	objects[catalog].text = []byte(strings.Replace(c, "/Type /Catalog", more+"/Type /Catalog", 1))

	// The library counts the document information as the last object but one; the output
	// intent's profile stands there.
	var size, rootAt int
	if i := strings.Index(trailer, "/Root "); i < 0 {
		return nil, fmt.Errorf("the file has no root where one was expected")
	} else if _, err := fmt.Sscanf(trailer[i:], "/Root %d 0 R", &rootAt); err != nil {
		return nil, fmt.Errorf("reading the file's root: %w", err)
	}
	if i := strings.Index(trailer, "/Size "); i >= 0 {
		if _, err := fmt.Sscanf(trailer[i:], "/Size %d", &size); err == nil {
			trailer = strings.Replace(trailer, fmt.Sprintf("/Size %d", size), fmt.Sprintf("/Size %d", len(objects)+1), 1)
		}
	}
	trailer = strings.Replace(trailer, fmt.Sprintf("/Info %d 0 R", rootAt-1), fmt.Sprintf("/Info %d 0 R", rootAt-2), 1)
	trailer = strings.TrimSuffix(strings.TrimRight(trailer, "\n"), ">>") + fmt.Sprintf("/ID [<%s><%s>]\n>>\n", sum, sum)
	return join(header, objects, trailer), nil
}

// literal is a text as PDF writes it between brackets.
func literal(s string) string {
	return "(" + strings.NewReplacer("\\", "\\\\", "(", "\\(", ")", "\\)").Replace(s) + ")"
}

// mimeName is what kind of file a name says it is, as a PDF name.
func mimeName(file string) string {
	kind := "application/octet-stream"
	for end, k := range map[string]string{".json": "application/json", ".yaml": "application/yaml", ".csv": "text/csv", ".svg": "image/svg+xml", ".stl": "model/stl", ".3mf": "model/3mf"} {
		if strings.HasSuffix(file, end) {
			kind = k
		}
	}
	return strings.ReplaceAll(kind, "/", "#2F")
}

func xmp(doc Document) []byte {
	date := doc.Date.UTC().Format("2006-01-02T15:04:05Z")
	var b bytes.Buffer
	fmt.Fprintf(&b, `<?xpacket begin="%s" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/">
   <dc:format>application/pdf</dc:format>
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:title>
   <dc:description><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:description>
   <xmp:CreateDate>%s</xmp:CreateDate>
   <xmp:ModifyDate>%s</xmp:ModifyDate>
   <xmp:CreatorTool>%s</xmp:CreatorTool>
   <pdf:Producer>%s</pdf:Producer>
   <pdfaid:part>3</pdfaid:part>
   <pdfaid:conformance>U</pdfaid:conformance>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>`, "\ufeff", escape(doc.Title), escape(doc.Subject), date, date, escape(doc.Maker), escape(doc.Maker))
	return b.Bytes()
}

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace
