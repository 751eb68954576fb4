// Package svg writes a page as scalable vector graphics, true to scale: one user unit is
// one millimetre. Type is written as outlines, each line of it with its text as the label
// that a reading machine speaks, so the drawing looks the same with no font installed.
package svg

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"halfpear/sheet"
)

// Write writes one page. The same page gives the same bytes.
func Write(w io.Writer, page *sheet.Page) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" stroke-linecap="round" stroke-linejoin="round" fill="none">`+"\n",
		num(page.Size.W), num(page.Size.H), num(page.Size.W), num(page.Size.H))
	fmt.Fprintf(b, "<title>%s</title>\n", escape(page.Name))
	writeGlyphs(b, page)
	fmt.Fprintf(b, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", num(page.Size.W), num(page.Size.H))
	var open sheet.Layer
	for i, it := range page.Ordered() {
		if l := sheet.LayerOf(it); i == 0 || l != open {
			if i > 0 {
				b.WriteString("</g>\n")
			}
			fmt.Fprintf(b, `<g data-layer="%s">`+"\n", escape(string(l)))
			open = l
		}
		switch it := it.(type) {
		case *sheet.Path:
			writePath(b, it)
		case *sheet.Text:
			writeText(b, it)
		}
	}
	if len(page.Items) > 0 {
		b.WriteString("</g>\n")
	}
	b.WriteString("</svg>\n")
	if err := b.Flush(); err != nil {
		return fmt.Errorf("writing the page %q as SVG: %w", page.Name, err)
	}
	return nil
}

func writePath(b *bufio.Writer, p *sheet.Path) {
	if len(p.Lines) == 0 {
		return
	}
	b.WriteString("<path")
	if p.Name != "" {
		fmt.Fprintf(b, ` data-name="%s"`, escape(p.Name))
	}
	if p.Fill != sheet.None {
		rule := "evenodd"
		if p.Solid {
			rule = "nonzero"
		}
		fmt.Fprintf(b, ` fill="%s" fill-rule="%s"`, hex(p.Fill), rule)
	}
	if p.Ink != sheet.None && p.Width > 0 {
		fmt.Fprintf(b, ` stroke="%s" stroke-width="%s"`, hex(p.Ink), num(p.Width))
	}
	b.WriteString(` d="`)
	for _, l := range p.Lines {
		writeLine(b, l, p.Closed)
	}
	b.WriteString(`"/>` + "\n")
}

func writeLine(b *bufio.Writer, l []sheet.Point, closed bool) {
	for i, q := range l {
		switch i {
		case 0:
			b.WriteByte('M')
		case 1:
			b.WriteByte('L')
		default:
			b.WriteByte(' ')
		}
		b.WriteString(num(q.X))
		b.WriteByte(' ')
		b.WriteString(num(q.Y))
	}
	if closed {
		b.WriteByte('Z')
	}
}

func glyphID(f sheet.Face, r rune) string { return fmt.Sprintf("g%d-%x", f, r) }

// writeGlyphs defines every glyph the page uses once, in thousandths of the em.
func writeGlyphs(b *bufio.Writer, page *sheet.Page) {
	seen := map[string]bool{}
	b.WriteString("<defs>\n")
	for _, t := range page.Texts() {
		for _, r := range t.Str {
			id := glyphID(t.Face, r)
			g := t.Face.Shape(r)
			if seen[id] || len(g.Outlines) == 0 {
				continue
			}
			seen[id] = true
			fmt.Fprintf(b, `<path id="%s" d="`, id)
			for _, o := range g.Outlines {
				for i, q := range o {
					b.WriteByte("ML"[min(i, 1)])
					fmt.Fprintf(b, "%d %d", int(math.Round(q.X*1000)), int(math.Round(q.Y*1000)))
				}
				b.WriteByte('Z')
			}
			b.WriteString(`"/>` + "\n")
		}
	}
	b.WriteString("</defs>\n")
}

func writeText(b *bufio.Writer, t *sheet.Text) {
	fmt.Fprintf(b, `<g role="text" aria-label="%s"`, escape(t.Str))
	if t.Name != "" {
		fmt.Fprintf(b, ` data-name="%s"`, escape(t.Name))
	}
	fmt.Fprintf(b, ` fill="%s" transform="translate(%s %s)`, hex(t.Ink), num(t.At.X), num(t.At.Y))
	if t.Turn != 0 {
		fmt.Fprintf(b, ` rotate(%s)`, num(-t.Turn*180/math.Pi))
	}
	fmt.Fprintf(b, ` scale(%s)">`, strconv.FormatFloat(t.Size/1000, 'g', 6, 64))
	x := 0.0
	for _, r := range t.Str {
		g := t.Face.Shape(r)
		if len(g.Outlines) > 0 {
			fmt.Fprintf(b, `<use href="#%s" x="%s"/>`, glyphID(t.Face, r), num(x*1000))
		}
		x += g.Advance
	}
	b.WriteString("</g>\n")
}

func hex(c sheet.Color) string {
	r, g, b := c.RGB()
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// num writes a length to a thousandth of a millimetre.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

func escape(s string) string {
	return escaper.Replace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0xFFFE || r == 0xFFFF {
			return ' '
		}
		return r
	}, s))
}
