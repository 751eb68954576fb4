// Package pdf writes pages as one PDF file, true to scale, with real text, named layers,
// a bookmark for each page, and files attached where asked. The same pages with the same
// date give the same bytes.
//
// What the archive profile PDF/A-3 asks of a file is there (embedded fonts, an sRGB
// output intent, XMP metadata, no transparency, no script), but the file does not claim
// the profile: no validator has judged it.
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
	for i := range pages {
		writePage(f, &pages[i], layers)
	}
	var buf bytes.Buffer
	if err := f.Output(&buf); err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	out, err := finish(buf.Bytes(), doc.Attachments)
	if err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	if _, err := w.Write(out); err != nil {
		return fmt.Errorf("writing %q as PDF: %w", doc.Title, err)
	}
	return nil
}

func writePage(f *fpdf.Fpdf, page *sheet.Page, layers map[sheet.Layer]int) {
	f.AddPageFormat("P", fpdf.SizeType{Wd: page.Size.W, Ht: page.Size.H})
	if page.Name != "" {
		f.Bookmark(page.Name, 0, 0)
	}
	f.RawWriteStr("1 J 1 j")
	var open sheet.Layer
	for i, it := range page.Ordered() {
		if l := sheet.LayerOf(it); i == 0 || l != open {
			id, ok := layers[l]
			if !ok {
				id = f.AddLayer(string(l), true)
				layers[l] = id
			}
			f.BeginLayer(id)
			open = l
		}
		switch it := it.(type) {
		case *sheet.Path:
			f.RawWriteStr(operators(it, page.Size.H))
		case *sheet.Text:
			writeText(f, it)
		}
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
		b = append(b, "f*\nQ\n"...)
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

func writeText(f *fpdf.Fpdf, t *sheet.Text) {
	f.SetFont(faceName[t.Face], "", t.Size*mm)
	r, g, b := t.Ink.RGB()
	f.SetTextColor(int(r), int(g), int(b))
	if t.Turn != 0 {
		f.TransformBegin()
		f.TransformRotate(t.Turn*180/math.Pi, t.At.X, t.At.Y)
		f.Text(t.At.X, t.At.Y, t.Str)
		f.TransformEnd()
		return
	}
	f.Text(t.At.X, t.At.Y, t.Str)
}

// finish puts into the catalogue what the library has no words for: that the page is to
// be printed unscaled, names for the set of layers and the attachments, and the file's
// identifier. The
// catalogue is the last object, so only the start of the cross-reference table moves.
func finish(file []byte, attached []Attachment) ([]byte, error) {
	cat := bytes.LastIndex(file, []byte("/Type /Catalog"))
	xref := bytes.LastIndex(file, []byte("\nxref\n"))
	start := bytes.LastIndex(file, []byte("startxref\n"))
	if cat < 0 || xref < cat || start < xref {
		return nil, fmt.Errorf("the file has no catalogue where one was expected")
	}
	sum := fmt.Sprintf("%x", sha256.Sum256(file))[:32]
	head := file[:cat]
	catalog := "/ViewerPreferences << /PrintScaling /None /DisplayDocTitle true >>\n/MarkInfo << /Marked false >>\n" +
		strings.Replace(string(file[cat:xref]), "/D <</OFF", "/D <</Name (Layers) /OFF", 1)
	for i, a := range attached {
		key := strings.NewReplacer("\\", "\\\\", "(", "\\(", ")", "\\)").Replace(a.Name)
		catalog = strings.Replace(catalog, fmt.Sprintf("(Attachement%d)", i+1), "("+key+")", 1)
	}
	table := string(file[xref:start])
	// The library counts the document information as the last object but one; the output
	// intent's profile stands there.
	var root int
	if i := strings.LastIndex(table, "/Root "); i < 0 {
		return nil, fmt.Errorf("the file has no root where one was expected")
	} else if _, err := fmt.Sscanf(table[i:], "/Root %d 0 R", &root); err != nil {
		return nil, fmt.Errorf("reading the file's root: %w", err)
	}
	table = strings.Replace(table, fmt.Sprintf("/Info %d 0 R", root-1), fmt.Sprintf("/Info %d 0 R", root-2), 1)
	table = strings.TrimSuffix(strings.TrimRight(table, "\n"), ">>") + fmt.Sprintf("/ID [<%s><%s>]\n>>\n", sum, sum)
	at := len(head) + len(catalog) + 1
	var out bytes.Buffer
	out.Write(head)
	out.WriteString(catalog)
	out.WriteString(table)
	fmt.Fprintf(&out, "startxref\n%d\n%%%%EOF\n", at)
	return out.Bytes(), nil
}

func xmp(doc Document) []byte {
	date := doc.Date.UTC().Format("2006-01-02T15:04:05Z")
	var b bytes.Buffer
	fmt.Fprintf(&b, `<?xpacket begin="%s" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
   <dc:format>application/pdf</dc:format>
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:title>
   <dc:description><rdf:Alt><rdf:li xml:lang="x-default">%s</rdf:li></rdf:Alt></dc:description>
   <xmp:CreateDate>%s</xmp:CreateDate>
   <xmp:ModifyDate>%s</xmp:ModifyDate>
   <xmp:CreatorTool>%s</xmp:CreatorTool>
   <pdf:Producer>%s</pdf:Producer>
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>`, "\ufeff", escape(doc.Title), escape(doc.Subject), date, date, escape(doc.Maker), escape(doc.Maker))
	return b.Bytes()
}

var escape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace
