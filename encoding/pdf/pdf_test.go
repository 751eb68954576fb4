package pdf

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/pdfcpu/pdfcpu/pkg/api"
	"github.com/pdfcpu/pdfcpu/pkg/pdfcpu/model"

	"halfpear/sheet"
)

func written(t *testing.T, attached ...Attachment) []byte {
	t.Helper()
	var pages []sheet.Page
	for i := range 3 {
		p := sheet.Page{Name: fmt.Sprintf("page %d (ä)", i+1), Size: sheet.A4}
		p.Write(sheet.Type{Layer: sheet.FrameLayer, Face: sheet.Bold, Size: 5}, sheet.Pt(20, 20), "Heading ≥ ½")
		for k, s := range []string{"one paragraph", "of two lines"} {
			p.Write(sheet.Type{Layer: "text", Size: 3}, sheet.Pt(20, 30+4*float64(k)), s)
		}
		p.Line(sheet.Pen{Layer: "drawing", Width: 0.3, Ink: sheet.Black}, sheet.Pt(20, 50), sheet.Pt(70, 50))
		pages = append(pages, p)
	}
	var b bytes.Buffer
	if err := Write(&b, pages, Document{Title: "A (title) & more", Subject: "subject", Maker: "maker", Lang: "de", Date: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC), Attachments: attached}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The file stands up to a general-purpose checker in its strict mode, with attachments
// and without.
func TestFilesAreValid(t *testing.T) {
	files := [][]Attachment{nil, {{Name: "case.yaml", Description: "the case", Content: []byte("x: 1\n")}, {Name: "odd (name)\\.csv", Content: []byte("a,b\r\n")}}}
	for _, as := range files {
		data := written(t, as...)
		conf := model.NewDefaultConfiguration()
		conf.ValidationMode = model.ValidationStrict
		if len(as) > 0 { // its strict mode takes PDF/A-3's AFRelationship for PDF 2.0
			conf.ValidationMode = model.ValidationRelaxed
		}
		if err := api.Validate(bytes.NewReader(data), conf); err != nil {
			t.Error(err)
		}
		got, err := api.Attachments(bytes.NewReader(data), nil)
		if err != nil || len(got) != len(as) {
			t.Errorf("%d attachments, %v; expected %d", len(got), err, len(as))
		}
		marks, err := api.Bookmarks(bytes.NewReader(data), nil)
		if err != nil || len(marks) != 3 {
			t.Fatalf("%d bookmarks, %v", len(marks), err)
		}
		for i, m := range marks {
			if m.PageFrom != i+1 {
				t.Errorf("bookmark %q leads to page %d, expected %d", m.Title, m.PageFrom, i+1)
			}
		}
	}
}

// What ISO 19005-3 (PDF/A-3, level U) asks of a file, as far as it can be read off it; the
// clauses are numbered as in that standard (from memory).
func TestFilesKeepTheArchiveProfilesPoints(t *testing.T) {
	data := written(t, Attachment{Name: "case.yaml", Description: "the case", Content: []byte("x: 1\n")})
	text := string(data)
	has := func(clause, pattern string) {
		t.Helper()
		if !regexp.MustCompile(pattern).MatchString(text) {
			t.Errorf("%s: %s is not there", clause, pattern)
		}
	}
	not := func(clause, pattern string) {
		t.Helper()
		if m := regexp.MustCompile(pattern).FindString(text); m != "" {
			t.Errorf("%s: %q is there", clause, m)
		}
	}
	if !strings.HasPrefix(text, "%PDF-1.7\n%") || data[10] < 128 || data[11] < 128 || data[12] < 128 || data[13] < 128 {
		t.Errorf("6.1.2 header: %q", data[:16])
	}
	has("6.1.3 file identifier", `/ID \[<[0-9a-f]{32}><[0-9a-f]{32}>\]`)
	not("6.1.3 encryption", `/Encrypt`)
	has("6.2.3 output intent", `/OutputIntent /S /GTS_PDFA1`)
	not("6.2.10 transparency", `/SMask|/ca 0|/CA 0|/BM /`)
	has("6.2.11.4 embedded fonts", `/FontFile2 `)
	has("6.2.11.7 Unicode", `/ToUnicode `)
	not("6.2.11 unembedded fonts", `/Subtype /Type1`)
	not("6.5 actions", `/JavaScript|/Launch|/JS `)
	has("6.6.2 metadata", `<pdfaid:part>3</pdfaid:part>\s*<pdfaid:conformance>U`)
	has("6.6.2 title in metadata as in the file", `<rdf:li xml:lang="x-default">A \(title\) &amp; more</rdf:li>`)
	has("6.8 relation of attachments", `/AFRelationship /Data`)
	has("6.8 attachments' kind", `/Subtype /application#2Fyaml`)
	has("6.8 associated files", `/AF \[\d+ 0 R\]`)
	has("6.8 name of the file", `/F \(case\.yaml\)`)
	has("6.9 optional content has a name", `/D <</Name \(Layers\)`)
	has("6.7 language", `/Lang \(de\)`)
	has("6.7 tags", `/MarkInfo << /Marked true >>`)
	for _, m := range regexp.MustCompile(`/Filter ?/(\w+)`).FindAllStringSubmatch(text, -1) {
		if m[1] == "LZWDecode" {
			t.Error("6.1.7: LZW is there")
		}
	}
}

// Every marked stretch of text has its element, in reading order, and a paragraph of two
// lines is one.
func TestPagesAreTagged(t *testing.T) {
	text := string(written(t))
	for kind, want := range map[string]int{"H1": 3, "P": 3, "Sect": 3, "Document": 1} {
		if n := strings.Count(text, "/Type /StructElem /S /"+kind+" "); n != want {
			t.Errorf("%d elements of kind %s, expected %d", n, kind, want)
		}
	}
	if n := strings.Count(text, "/StructParents "); n != 3 {
		t.Errorf("%d pages lead to the structure", n)
	}
}

func TestTheSamePagesGiveTheSameBytes(t *testing.T) {
	a := Attachment{Name: "case.yaml", Content: []byte("x")}
	if !bytes.Equal(written(t, a), written(t, a)) {
		t.Error("two files differ")
	}
}

// Tables are read cell by cell, a cell of two lines as one; a picture is one thing with
// what is said in its place. What is not of the page's content is mere drawing.
func TestTablesAndPicturesAreTagged(t *testing.T) {
	p := sheet.Page{Name: "page", Size: sheet.A4}
	sheet.Frame{Title: "Title"}.Draw(&p)
	tab := sheet.Table{Layer: "text", Size: 3, Columns: []sheet.Column{{Head: "tooth", Width: 20}, {Head: "what", Width: 25}},
		Rows: []sheet.Row{{Group: "abutments"}, {Cells: []string{"34", "a rest that takes two lines here"}}, {Cells: []string{"44", ""}}}}
	tab.Draw(&p, sheet.Pt(20, 40))
	p.Picture(sheet.Box(100, 100, 40, 40), "a crown (ä)")
	p.Line(sheet.Pen{Layer: "drawing", Width: 0.3, Ink: sheet.Black}, sheet.Pt(110, 110), sheet.Pt(120, 130))
	p.Write(sheet.Type{Layer: "letters", Size: 3}, sheet.Pt(112, 125), "34")
	p.Line(sheet.Pen{Layer: "drawing", Width: 0.3, Ink: sheet.Black}, sheet.Pt(10, 200), sheet.Pt(20, 210))
	var b bytes.Buffer
	if err := Write(&b, []sheet.Page{p}, Document{Title: "t", Maker: "m", Lang: "en", Date: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)}); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for kind, want := range map[string]int{"Table": 1, "TR": 4, "TH": 3, "TD": 3, "Figure": 1, "H1": 1} {
		if n := strings.Count(text, "/Type /StructElem /S /"+kind+" "); n != want {
			t.Errorf("%d elements of kind %s, expected %d", n, kind, want)
		}
	}
	// The figure has both its lines and its letters, from two layers.
	fig := regexp.MustCompile(`/S /Figure /Alt <FEFF([0-9A-F]+)> /A <</O /Layout /BBox \[([0-9. ]+)\]>>.*?/K \[(\d+ \d+)\]`).FindStringSubmatch(text)
	if fig == nil || !strings.HasSuffix(fig[1], "002800E40029") || fig[2] != "283.46 445.04 396.85 558.43" {
		t.Errorf("the figure is %q", fig)
	}
	conf := model.NewDefaultConfiguration()
	conf.ValidationMode = model.ValidationStrict
	if err := api.Validate(bytes.NewReader(b.Bytes()), conf); err != nil {
		t.Error(err)
	}
	// Poppler's reader of the structure, where it is installed, finds the same.
	if bin, err := exec.LookPath("pdfinfo"); err == nil {
		name := filepath.Join(t.TempDir(), "tagged.pdf")
		if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(bin, "-struct-text", name).Output()
		if err != nil {
			t.Fatal(err)
		}
		got := strings.NewReplacer(" (block)", "", ": /Scope /Column", "").Replace(strings.Join(strings.Fields(string(out)), " "))
		for _, want := range []string{`TR TH "tooth" TH "what"`, `TR TH "abutments"`, `TD "34" TD "a rest that takes two lines here"`, `TR TD "44"`} {
			if !strings.Contains(got, want) {
				t.Errorf("pdfinfo does not read %q in\n%s", want, out)
			}
		}
	}
}
