package png_test

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"halfpear/encoding/pdf"
	"halfpear/encoding/png"
	"halfpear/encoding/svg"
	"halfpear/sheet"
)

// proof is a page with one of everything: pens, patterns, filling, hatches, type at
// angles, and a bar of 100 mm.
func proof() sheet.Page {
	p := sheet.Page{Name: "proof", Size: sheet.A4}
	ink := sheet.Pen{Layer: "lines", Width: 0.35, Ink: sheet.Black}
	for i, d := range []sheet.Dash{nil, sheet.Dashed, sheet.Dotted, sheet.DashDot} {
		pen := ink
		pen.Dash = d
		pen.Width = 0.25 + 0.15*float64(i)
		var wave []sheet.Point
		for x := 20.0; x <= 190; x += 0.5 {
			wave = append(wave, sheet.Pt(x, 20+8*float64(i)+3*math.Sin(x/7)))
		}
		p.Draw(pen, false, wave)
		p.Draw(pen, true, sheet.Circle(sheet.Pt(35+40*float64(i), 70), 14))
	}
	ring := [][]sheet.Point{sheet.Circle(sheet.Pt(60, 130), 25), sheet.Circle(sheet.Pt(66, 126), 11)}
	p.Area("areas", sheet.RGB(0x5C, 0x40, 0x33).Tint(0.2), ring...)
	p.Draw(sheet.Pen{Layer: "areas", Width: 0.18, Ink: sheet.Black}, false, sheet.Hatch(math.Pi/4, 1.5, ring...)...)
	p.Draw(ink, true, ring...)
	other := sheet.Box(110, 108, 60, 40).Outline()
	p.Draw(sheet.Pen{Layer: "areas", Width: 0.35, Ink: sheet.RGB(0, 0x72, 0xB2)}, false, sheet.Stipple(2, other)...)
	p.Draw(ink, true, other)
	arm := []sheet.Point{{X: 115, Y: 140}, {X: 130, Y: 120}, {X: 150, Y: 115}, {X: 165, Y: 125}}
	p.Area("areas", sheet.RGB(0xD5, 0x5E, 0), sheet.Ribbon(arm, []float64{3, 2.5, 2, 1}, true))
	for i, s := range []string{"Left edge: 0.25 mm ≥ ½ ± 3.5°", "in the middle ⌀ ∠ ⊥", "right edge: Größe, Ελληνικά, Русский"} {
		p.Write(sheet.Type{Layer: "type", Size: 4, Align: sheet.Align(i), Face: sheet.Face(i % 2)}, sheet.Pt(20+85*float64(i), 180+7*float64(i)), s)
	}
	for i := range 8 {
		p.Write(sheet.Type{Layer: "type", Size: 3, Turn: float64(i) * math.Pi / 4}, sheet.Pt(105, 225), "   turned type")
	}
	// Type over an area of another colour keeps its own.
	p.Area("type", sheet.RGB(0xF0, 0xE0, 0xC0), sheet.Box(20, 240, 60, 12).Outline())
	p.Write(sheet.Type{Layer: "type", Size: 5, Face: sheet.Bold}, sheet.Pt(24, 248), "black on a tint")
	p.Line(sheet.Pen{Layer: "bar", Name: "bar", Width: 0.5, Ink: sheet.Black}, sheet.Pt(50, 270), sheet.Pt(150, 270))
	for _, x := range []float64{50, 150} {
		// Type over an area of another colour keeps its own.
		p.Area("type", sheet.RGB(0xF0, 0xE0, 0xC0), sheet.Box(20, 240, 60, 12).Outline())
		p.Write(sheet.Type{Layer: "type", Size: 5, Face: sheet.Bold}, sheet.Pt(24, 248), "black on a tint")
		p.Line(sheet.Pen{Layer: "bar", Width: 0.18, Ink: sheet.Black}, sheet.Pt(x, 266), sheet.Pt(x, 274))
	}
	return p
}

const dpi = 254 // ten pixels a millimetre

func writePDF(t *testing.T, dir string, pages ...sheet.Page) string {
	t.Helper()
	var buf bytes.Buffer
	if err := pdf.Write(&buf, pages, pdf.Document{Title: "proof", Maker: "test", Lang: "en", Date: time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)}); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(name, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func need(t *testing.T, tool string) {
	t.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		t.Skipf("%s is not installed", tool)
	}
}

func run(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
}

func load(t *testing.T, name string) image.Image {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	img, _, err := image.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// mask tells which pixels are dark.
func mask(img image.Image, w, h int) []bool {
	out := make([]bool, w*h)
	for y := range min(h, img.Bounds().Dy()) {
		for x := range min(w, img.Bounds().Dx()) {
			r, g, b, _ := img.At(x, y).RGBA()
			out[y*w+x] = r+g+b < 3*0x7000
		}
	}
	return out
}

// lone counts the dark pixels of a with no dark pixel of b within 0.2 mm.
func lone(a, b []bool, w, h int) (dark, alone int) {
	const reach = 2
	for y := range h {
		for x := range w {
			if !a[y*w+x] {
				continue
			}
			dark++
			found := false
			for dy := -reach; dy <= reach && !found; dy++ {
				for dx := -reach; dx <= reach; dx++ {
					if u, v := x+dx, y+dy; u >= 0 && v >= 0 && u < w && v < h && b[v*w+u] {
						found = true
						break
					}
				}
			}
			if !found {
				alone++
			}
		}
	}
	return dark, alone
}

func compare(t *testing.T, what string, a, b image.Image) {
	t.Helper()
	w, h := a.Bounds().Dx(), a.Bounds().Dy()
	if d := w - b.Bounds().Dx(); d < -2 || d > 2 {
		t.Fatalf("%s: %d and %d pixels wide", what, w, b.Bounds().Dx())
	}
	ma, mb := mask(a, w, h), mask(b, w, h)
	for _, pair := range [][2][]bool{{ma, mb}, {mb, ma}} {
		dark, alone := lone(pair[0], pair[1], w, h)
		if dark < 10000 {
			t.Fatalf("%s: only %d dark pixels, the page is empty", what, dark)
		}
		if alone > 0 {
			t.Errorf("%s: %d of %d dark pixels have no counterpart within 0.2 mm", what, alone, dark)
		}
	}
}

// The three devices draw the same page, judged by poppler and chromium: every dark pixel
// has a counterpart within 0.2 mm.
func TestPDFAgreesWithPNG(t *testing.T) {
	need(t, "pdftoppm")
	dir := t.TempDir()
	page := proof()
	name := writePDF(t, dir, page)
	run(t, "pdftoppm", "-r", fmt.Sprint(dpi), "-png", "-singlefile", name, filepath.Join(dir, "page"))
	compare(t, "PDF and PNG", png.Draw(&page, dpi), load(t, filepath.Join(dir, "page.png")))
}

func TestSVGAgreesWithPNG(t *testing.T) {
	need(t, "chromium")
	dir := t.TempDir()
	page := proof()
	var buf bytes.Buffer
	if err := svg.Write(&buf, &page); err != nil {
		t.Fatal(err)
	}
	// A page as wide as the picture is to be, so that no screen's fineness enters.
	w, h := int(math.Round(page.Size.W*dpi/25.4)), int(math.Round(page.Size.H*dpi/25.4))
	html := fmt.Sprintf(`<!doctype html><style>body{margin:0}svg{display:block;width:%dpx;height:%dpx}</style>%s`, w, h, buf.String())
	name := filepath.Join(dir, "page.html")
	if err := os.WriteFile(name, []byte(html), 0o600); err != nil {
		t.Fatal(err)
	}
	shot := filepath.Join(dir, "shot.png")
	cmd := exec.Command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1",
		"--user-data-dir="+filepath.Join(dir, "profile"), fmt.Sprintf("--window-size=%d,%d", w, h), "--screenshot="+shot, "file://"+name)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Skipf("chromium does not run here: %v\n%s", err, out)
	}
	compare(t, "SVG and PNG", png.Draw(&page, dpi), load(t, shot))
}

// A length printed on paper, measured on the rasterised PDF: 100 mm within 0.2 mm.
func TestAHundredMillimetresPrintAsSuch(t *testing.T) {
	need(t, "pdftoppm")
	dir := t.TempDir()
	for _, size := range []sheet.Size{sheet.A4, sheet.Letter} {
		page := proof()
		page.Size = size
		name := writePDF(t, dir, page)
		const fine = 600
		run(t, "pdftoppm", "-r", fmt.Sprint(fine), "-png", "-gray", "-singlefile", name, filepath.Join(dir, "fine"))
		img := load(t, filepath.Join(dir, "fine.png"))
		// Along a row above the bar only its two end strokes are dark; from the left of
		// the first to the left of the second is what a ruler reads.
		y := int(math.Round(267.0 / 25.4 * fine))
		var starts []int
		was := false
		for x := range img.Bounds().Dx() {
			r, _, _, _ := img.At(x, y).RGBA()
			if dark := r < 0x8000; dark != was {
				if dark {
					starts = append(starts, x)
				}
				was = dark
			}
		}
		if len(starts) != 2 {
			t.Fatalf("expected two strokes on the row, found %d", len(starts))
		}
		if got := float64(starts[1]-starts[0]) / fine * 25.4; math.Abs(got-100) > 0.2 {
			t.Errorf("a bar of 100 mm measures %.2f mm on paper", got)
		}
	}
}

func TestTextComesBackFromThePDF(t *testing.T) {
	need(t, "pdftotext")
	name := writePDF(t, t.TempDir(), proof())
	out, err := exec.Command("pdftotext", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"0.25 mm ≥ ½ ± 3.5°", "⌀ ∠ ⊥", "Größe, Ελληνικά, Русский"} {
		if !bytes.Contains(out, []byte(s)) {
			t.Errorf("%q is not in the PDF's text", s)
		}
	}
}

func TestTheSamePageGivesTheSameBytes(t *testing.T) {
	var first [3][]byte
	for round := range 2 {
		page := proof()
		var a, b, c bytes.Buffer
		if err := svg.Write(&a, &page); err != nil {
			t.Fatal(err)
		}
		if err := pdf.Write(&b, []sheet.Page{page}, pdf.Document{Title: "x", Date: time.Unix(0, 0)}); err != nil {
			t.Fatal(err)
		}
		if err := png.Write(&c, &page, 100); err != nil {
			t.Fatal(err)
		}
		for i, buf := range []*bytes.Buffer{&a, &b, &c} {
			if round == 0 {
				first[i] = buf.Bytes()
			} else if !bytes.Equal(first[i], buf.Bytes()) {
				t.Errorf("device %d writes other bytes the second time", i)
			}
		}
	}
}

// qpdf reads the file's structure strictly.
func TestThePDFIsWellFormed(t *testing.T) {
	need(t, "qpdf")
	dir := t.TempDir()
	var buf bytes.Buffer
	doc := pdf.Document{Title: "proof", Date: time.Unix(0, 0), Attachments: []pdf.Attachment{{Name: "case.json", Content: []byte("{}")}}}
	if err := pdf.Write(&buf, []sheet.Page{proof(), proof()}, doc); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(dir, "page.pdf")
	if err := os.WriteFile(name, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	run(t, "qpdf", "--check", name)
	out, err := exec.Command("qpdf", "--list-attachments", name).CombinedOutput()
	if err != nil || !bytes.Contains(out, []byte("case.json")) {
		t.Errorf("the attachment is not listed: %v\n%s", err, out)
	}
}
