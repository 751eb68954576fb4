package cast_test

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/internal/plaster"
	"halfpear/tooth"
)

// paint leaves a picture of where found and true crowns differ, where HALFPEAR_PICTURES
// says: what both call this tooth is cream or green by turns, what is only found is red,
// what is only true is blue, and margins are black.
func (p patient) paint(t testing.TB, name string, s cast.Seen) {
	t.Helper()
	dir := os.Getenv("HALFPEAR_PICTURES")
	if dir == "" {
		return
	}
	const w, h = 900, 800
	views := plaster.Views(p.arch)
	views = append(views[:0:0], views[0], views[1], views[2], views[3], views[8], views[7])
	sheet := image.NewRGBA(image.Rect(0, 0, 3*w, 2*h))
	for k, v := range views {
		from := v.From.Unit()
		x := v.Up.Cross(from).Unit()
		y := from.Cross(x)
		depth := make([]float64, w*h)
		for i := range depth {
			depth[i] = math.Inf(-1)
		}
		scale := float64(w) / v.Wide
		at := func(q geom.Vec) geom.Vec {
			d := q.Sub(v.Around)
			return geom.V(w/2+d.Dot(x)*scale, h/2-d.Dot(y)*scale, d.Dot(from))
		}
		ox, oy := k%3*w, k/3*h
		for f := range p.mesh.Faces {
			ca, cb, cc := p.mesh.Corners(f)
			ca, cb, cc = s.Cast.Scan.Apply(ca), s.Cast.Scan.Apply(cb), s.Cast.Scan.Apply(cc)
			a, b, c := at(ca), at(cb), at(cc)
			area := b.XY().Sub(a.XY()).Cross(c.XY().Sub(a.XY()))
			if area == 0 {
				continue
			}
			light := 0.35 + 0.65*math.Abs(cb.Sub(ca).Cross(cc.Sub(ca)).Unit().Dot(from.Add(x.Scale(-0.4)).Add(y.Scale(0.5)).Unit()))
			is, was := s.Labels[f], p.labels[f]
			base := geom.V(0.85, 0.65, 0.62)
			switch {
			case is != was && is != 0:
				base = geom.V(0.95, 0.2, 0.1)
			case is != was:
				base = geom.V(0.2, 0.4, 1)
			case is != 0 && int(is)%2 == 0:
				base = geom.V(0.95, 0.93, 0.8)
			case is != 0:
				base = geom.V(0.75, 0.92, 0.75)
			}
			for py := int(max(0, min(a.Y, b.Y, c.Y))); py < h && py <= int(max(a.Y, b.Y, c.Y)); py++ {
				for px := int(max(0, min(a.X, b.X, c.X))); px < w && px <= int(max(a.X, b.X, c.X)); px++ {
					o := geom.Vec2{X: float64(px) + 0.5, Y: float64(py) + 0.5}
					u := b.XY().Sub(o).Cross(c.XY().Sub(o)) / area
					r := c.XY().Sub(o).Cross(a.XY().Sub(o)) / area
					if u < 0 || r < 0 || u+r > 1 {
						continue
					}
					if z := u*a.Z + r*b.Z + (1-u-r)*c.Z; z > depth[py*w+px] {
						depth[py*w+px] = z
						q := base.Scale(255 * light)
						sheet.SetRGBA(ox+px, oy+py, color.RGBA{uint8(q.X), uint8(q.Y), uint8(q.Z), 255})
					}
				}
			}
		}
		for _, n := range tooth.All(p.arch) {
			if k := s.Cast.Teeth[n]; k != nil {
				for _, q := range geom.Resample(geom.Closed(k.Margin), 400) {
					d := at(q)
					if i, j := int(d.X), int(d.Y); i > 0 && j > 0 && i < w-1 && j < h-1 && depth[j*w+i] < d.Z+0.4 {
						sheet.SetRGBA(ox+i, oy+j, color.RGBA{0, 0, 0, 255})
						sheet.SetRGBA(ox+i+1, oy+j, color.RGBA{0, 0, 0, 255})
					}
				}
			}
		}
	}
	out, err := os.Create(filepath.Join(dir, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	if err := plaster.Write(out, sheet); err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
}
