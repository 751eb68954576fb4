package drawing

import (
	"os"
	"testing"
	"time"

	"halfpear/encoding/png"
	"halfpear/geom"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/typodont"
)

func TestLook(t *testing.T) {
	for _, s := range []typodont.Spec{typodont.Full(tooth.Lower, 36, 37, 46, 47), typodont.Full(tooth.Upper, 15, 16, 25, 26)} {
		c, err := typodont.Make(s)
		if err != nil {
			t.Fatal(err)
		}
		t0 := time.Now()
		l := drawCast(c)
		t.Log(len(c.Mesh.Faces), time.Since(t0), len(l.crown), len(l.furrows), len(l.ridges), len(l.tissue))
		p := sheet.Page{Size: sheet.A4}
		f := onPage(geom.Vec2{X: l.view.x0 + float64(l.view.nx)*castCell/2, Y: l.view.y0 + float64(l.view.ny)*castCell/2}, sheet.Pt(105, 120), 2)
		m := func(ls [][]geom.Vec2) [][]sheet.Point {
			var out [][]sheet.Point
			for _, l := range ls {
				var q []sheet.Point
				for _, p := range l {
					q = append(q, f(p))
				}
				out = append(out, sheet.Simplify(q, 0.02))
			}
			return out
		}
		p.Area("a", sheet.RGB(0xF4, 0xF1, 0xEC), m(l.rim)...)
		for _, n := range c.Standing() {
			p.Area("a", sheet.White, m(l.crowns[n])...)
		}
		p.Draw(sheet.Pen{Layer: "b", Width: 0.35, Ink: sheet.Black}, true, m(l.rim)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.3, Ink: sheet.Black}, false, m(l.crown)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.2, Ink: sheet.RGB(0x80, 0x80, 0x80)}, false, m(l.tissue)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.18, Ink: sheet.RGB(0x60, 0x60, 0x60)}, false, m(l.furrows)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.18, Ink: sheet.RGB(0xC0, 0xA0, 0x80)}, false, m(l.ridges)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.18, Ink: sheet.RGB(0xC0, 0x0, 0x0)}, false, m(l.margins)...)
		p.Draw(sheet.Pen{Layer: "b", Width: 0.18, Ink: sheet.RGB(0x0, 0x80, 0x0)}, false, m(l.landmarks)...)
		w, _ := os.Create("/tmp/look-" + string(c.Arch.String()) + ".png")
		png.Write(w, &p, 150)
		w.Close()
	}
}
