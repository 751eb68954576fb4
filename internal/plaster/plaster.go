// Package plaster draws shaded pictures of casts, lit like plaster models, for people who
// judge by eye whether a cast is well made. Tests use it; no paper does.
package plaster

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
)

// View is a direction to look from, in the cast frame, with the page's up.
type View struct {
	Name     string
	From, Up geom.Vec
	Around   geom.Vec // middle of the picture
	Wide     float64  // mm across
}

// Draw draws a cast as a lit plaster model seen from far away.
func Draw(c *cast.Cast, v View, w, h int) *image.RGBA {
	from := v.From.Unit()
	x := v.Up.Cross(from).Unit()
	y := from.Cross(x)
	m := c.Mesh
	normal := m.VertexNormals()
	const over = 2
	W, H := w*over, h*over
	depth := make([]float64, W*H)
	shade := make([]geom.Vec, W*H)
	for i := range depth {
		depth[i] = math.Inf(-1)
	}
	scale := float64(W) / v.Wide
	at := func(p geom.Vec) geom.Vec {
		d := p.Sub(v.Around)
		return geom.V(float64(W)/2+d.Dot(x)*scale, float64(H)/2-d.Dot(y)*scale, d.Dot(from))
	}
	for i, f := range m.Faces {
		p, q, r := m.Corners(i)
		face := q.Sub(p).Cross(r.Sub(p)).Unit()
		a, b, d := at(p), at(q), at(r)
		x0, x1 := math.Floor(min(a.X, b.X, d.X)), math.Ceil(max(a.X, b.X, d.X))
		y0, y1 := math.Floor(min(a.Y, b.Y, d.Y)), math.Ceil(max(a.Y, b.Y, d.Y))
		area := b.XY().Sub(a.XY()).Cross(d.XY().Sub(a.XY()))
		if area == 0 {
			continue
		}
		for py := int(max(0, y0)); py < H && py <= int(y1); py++ {
			for px := int(max(0, x0)); px < W && px <= int(x1); px++ {
				o := geom.Vec2{X: float64(px) + 0.5, Y: float64(py) + 0.5}
				u := b.XY().Sub(o).Cross(d.XY().Sub(o)) / area
				s := d.XY().Sub(o).Cross(a.XY().Sub(o)) / area
				t := 1 - u - s
				if u < 0 || s < 0 || t < 0 {
					continue
				}
				z := u*a.Z + s*b.Z + t*d.Z
				if z <= depth[py*W+px] {
					continue
				}
				depth[py*W+px] = z
				n := normal[f[0]].Scale(u).Add(normal[f[1]].Scale(s)).Add(normal[f[2]].Scale(t)).Unit()
				if n.Dot(face) < 0.6 {
					n = face
				}
				base := geom.V(0.93, 0.84, 0.68)
				if c.Labels[i] != 0 {
					base = geom.V(0.95, 0.91, 0.80)
				}
				key := geom.V(-0.45, 0.65, 0.65).Unit()
				fill := geom.V(0.7, 0.1, 0.6).Unit()
				local := geom.V(n.Dot(x), n.Dot(y), n.Dot(from))
				l := 0.16 + 0.66*math.Max(0, local.Dot(key)) + 0.22*math.Max(0, local.Dot(fill))
				half := key.Add(geom.V(0, 0, 1)).Unit()
				g := 0.10 * math.Pow(math.Max(0, local.Dot(half)), 24)
				shade[py*W+px] = base.Scale(l).Add(geom.V(g, g, g))
				if face.Dot(from) < -0.02 { // seen from the inside: a fault
					shade[py*W+px] = geom.V(0.9, 0.1, 0.1)
				}
			}
		}
	}
	// Crevices lie in shade: compare each place with the depth around it.
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for py := range h {
		for px := range w {
			var sum geom.Vec
			for dy := range over {
				for dx := range over {
					k := (py*over+dy)*W + px*over + dx
					if math.IsInf(depth[k], -1) {
						sum = sum.Add(geom.V(0.32, 0.36, 0.42))
						continue
					}
					dark := 0.0
					for _, ring := range []int{3, 7, 14} {
						for j := range 8 {
							a := float64(j) * math.Pi / 4
							qx, qy := px*over+dx+int(float64(ring)*math.Cos(a)), py*over+dy+int(float64(ring)*math.Sin(a))
							if qx < 0 || qy < 0 || qx >= W || qy >= H || math.IsInf(depth[qy*W+qx], -1) {
								continue
							}
							rise := (depth[qy*W+qx] - depth[k]) / (float64(ring) / scale)
							dark += math.Max(0, math.Min(1, (rise-0.15)/1.6)) / 24
						}
					}
					sum = sum.Add(shade[k].Scale(1 - 0.55*dark))
				}
			}
			sum = sum.Scale(1.0 / (over * over))
			to := func(f float64) uint8 {
				return uint8(255 * math.Pow(math.Max(0, math.Min(1, f)), 1/1.6))
			}
			img.Set(px, py, color.RGBA{to(sum.X), to(sum.Y), to(sum.Z), 255})
		}
	}
	return img
}

// dot marks a landmark on a picture.
func dot(img *image.RGBA, v View, p geom.Vec, col color.RGBA) {
	from := v.From.Unit()
	x := v.Up.Cross(from).Unit()
	y := from.Cross(x)
	s := float64(img.Rect.Dx()) / v.Wide
	d := p.Sub(v.Around)
	cx, cy := float64(img.Rect.Dx())/2+d.Dot(x)*s, float64(img.Rect.Dy())/2-d.Dot(y)*s
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			if dx*dx+dy*dy <= 4 {
				img.SetRGBA(int(cx)+dx, int(cy)+dy, col)
			}
		}
	}
}

// Marks draws a cast's landmarks as dots, seen through the cast where they lie behind.
func Marks(img *image.RGBA, v View, c *cast.Cast) {
	red, blue := color.RGBA{200, 30, 30, 255}, color.RGBA{30, 60, 200, 255}
	green, black := color.RGBA{20, 140, 60, 255}, color.RGBA{0, 0, 0, 255}
	line := func(l cast.Curve, col color.RGBA) {
		for _, p := range l.Points {
			dot(img, v, p, col)
		}
	}
	for _, n := range c.Standing() {
		t := c.Teeth[n]
		line(cast.Curve{Points: t.Margin}, red)
		line(cast.Curve{Points: t.CuspTips}, blue)
		for _, p := range []geom.Vec{t.MesialContact, t.DistalContact} {
			dot(img, v, p, black)
		}
		for _, p := range []geom.Vec{t.MesialRidge, t.DistalRidge} {
			dot(img, v, p, color.RGBA{180, 0, 180, 255})
		}
		for _, p := range []geom.Vec{t.MesialFossa, t.DistalFossa, t.Cingulum} {
			if p != (geom.Vec{}) {
				dot(img, v, p, color.RGBA{220, 140, 0, 255})
			}
		}
	}
	k := c.Marks
	line(k.Arch, black)
	for _, r := range k.Ridges {
		line(r.Crest, red)
	}
	line(k.Floor, blue)
	line(k.Vestibule, green)
	line(k.PadRight, red)
	line(k.PadLeft, blue)
	line(k.Midline, black)
	line(k.Papilla, red)
	line(k.Rugae, blue)
	line(k.Vibrating, green)
	for _, t := range k.Tori {
		line(t.Outline, red)
	}
}

// Margins draws each tooth's margin and number. Where the cast hides the margin it is pale
// and broken.
func Margins(img *image.RGBA, v View, c *cast.Cast) {
	from := v.From.Unit()
	x := v.Up.Cross(from).Unit()
	turn := geom.Frame{X: x, Y: from.Cross(x), Z: from}
	on := cast.NewSurface(c.Mesh.Map(turn.Local))
	for _, n := range c.Standing() {
		t := c.Teeth[n]
		for i, p := range geom.Resample(geom.Closed(t.Margin), 300) {
			q := turn.Local(p)
			if top, _, ok := on.Top(q.X, q.Y); !ok || top.Z < q.Z+0.3 {
				dot(img, v, p, color.RGBA{200, 30, 30, 255})
			} else if i%6 < 2 {
				dot(img, v, p, color.RGBA{225, 150, 140, 255})
			}
		}
		write(img, v, t.Frame.Origin, n.String(), color.RGBA{20, 30, 120, 255})
	}
}

// Ring draws a ring with a word beside it.
func Ring(img *image.RGBA, v View, p geom.Vec, word string) {
	x, y := v.Up.Cross(v.From.Unit()).Unit(), v.From.Unit()
	y = y.Cross(x)
	red := color.RGBA{220, 0, 160, 255}
	for k := range 240 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 240)
		dot(img, v, p.Add(x.Scale(6*c)).Add(y.Scale(6*s)), red)
	}
	write(img, v, p.Add(y.Scale(7.5)), word+"?", red)
}

// write puts a word in the middle of a place, on a light ground.
func write(img *image.RGBA, v View, p geom.Vec, word string, col color.RGBA) {
	from := v.From.Unit()
	x := v.Up.Cross(from).Unit()
	y := from.Cross(x)
	s := float64(img.Rect.Dx()) / v.Wide
	d := p.Sub(v.Around)
	face := basicfont.Face7x13
	w := font.MeasureString(face, word).Ceil()
	cx, cy := img.Rect.Dx()/2+int(d.Dot(x)*s)-w/2, img.Rect.Dy()/2-int(d.Dot(y)*s)
	draw.Draw(img, image.Rect(cx-3, cy-8, cx+w+3, cy+8), image.NewUniform(color.RGBA{255, 255, 255, 255}), image.Point{}, draw.Src)
	f := font.Drawer{Dst: img, Src: image.NewUniform(col), Face: face, Dot: fixed.P(cx, cy+4)}
	f.DrawString(word)
}

// Views are the usual looks at a cast of an arch.
func Views(a tooth.Arch) []View {
	up := geom.V(0, 1, 0)
	if a == tooth.Lower {
		up = geom.V(0, -1, 0)
	}
	r := cast.RightSign(a)
	z := geom.V(0, 0, 1)
	if a == tooth.Upper {
		z = geom.V(0, 0, -1) // hung the right way up
	}
	o := geom.V(0, -4, -8)
	return []View{
		{"occlusal", geom.V(0, 0, 1), up, o, 88},
		{"front", geom.V(0, 1, 0.12), z, o, 88},
		{"right", geom.V(r, 0.1, 0.1), z, o, 88},
		{"left", geom.V(-r, 0.1, 0.1), z, o, 88},
		{"oblique", geom.V(r*0.6, 1, 0.9), z, o, 95},
		{"close", geom.V(r*0.75, 0.35, 0.75), z, geom.V(r*22, -6, -4), 34},
		{"closer", geom.V(0.1, 0.05, 1), up, geom.V(r*22, -6, -4), 34},
		{"front close", geom.V(0.1, 1, 0.3), z, geom.V(0, 16, -6), 44},
		{"lingual", geom.V(0, -1, 0.75), z, o, 92},
	}
}

// Sheet draws all the usual views side by side.
func Sheet(c *cast.Cast, marks bool) *image.RGBA {
	const w, h = 640, 520
	vs := Views(c.Arch)
	sheet := image.NewRGBA(image.Rect(0, 0, 3*w, (len(vs)+2)/3*h))
	for i, v := range vs {
		img := Draw(c, v, w, h)
		if marks {
			Marks(img, v, c)
		}
		at := image.Pt(i%3*w, i/3*h)
		draw.Draw(sheet, img.Bounds().Add(at), img, image.Point{}, draw.Src)
	}
	return sheet
}

// Write writes a picture as PNG.
func Write(w io.Writer, img image.Image) error {
	if err := png.Encode(w, img); err != nil {
		return fmt.Errorf("writing a picture: %w", err)
	}
	return nil
}
