// Package png writes a page as a picture of a chosen fineness.
package png

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"

	"halfpear/sheet"
)

// Draw paints a page at so many dots an inch.
func Draw(page *sheet.Page, dpi float64) *image.RGBA {
	scale := dpi / 25.4
	img := image.NewRGBA(image.Rect(0, 0, int(math.Round(page.Size.W*scale)), int(math.Round(page.Size.H*scale))))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	r := newRaster(img, scale)
	for _, it := range page.Ordered() {
		switch it := it.(type) {
		case *sheet.Path:
			if it.Fill != sheet.None {
				for _, l := range it.Lines {
					r.outline(l)
				}
				r.fill(it.Fill, !it.Solid)
			}
			if it.Ink != sheet.None && it.Width > 0 {
				for _, l := range it.Lines {
					r.stroke(l, it.Closed, it.Width)
				}
				r.fill(it.Ink, false)
			}
		case *sheet.Text:
			for _, o := range it.Outlines() {
				r.outline(o)
			}
			r.fill(it.Ink, false)
		}
	}
	return img
}

// Write writes one page as PNG, with its true size noted in the file.
func Write(w io.Writer, page *sheet.Page, dpi float64) error {
	var buf bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&buf, Draw(page, dpi)); err != nil {
		return fmt.Errorf("writing the page %q as PNG: %w", page.Name, err)
	}
	if _, err := w.Write(withSize(buf.Bytes(), dpi)); err != nil {
		return fmt.Errorf("writing the page %q as PNG: %w", page.Name, err)
	}
	return nil
}

// withSize puts a pHYs chunk behind the header, so that the picture prints at 1:1.
func withSize(file []byte, dpi float64) []byte {
	const header = 8 + 25 // signature and IHDR
	perMetre := uint32(math.Round(dpi / 0.0254))
	chunk := make([]byte, 0, 21)
	chunk = binary.BigEndian.AppendUint32(chunk, 9)
	chunk = append(chunk, "pHYs"...)
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = binary.BigEndian.AppendUint32(chunk, perMetre)
	chunk = append(chunk, 1)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	out := append(append(make([]byte, 0, len(file)+len(chunk)), file[:header]...), chunk...)
	return append(out, file[header:]...)
}
