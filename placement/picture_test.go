package placement_test

import (
	"image"
	"image/color"
	"math"
	"os"
	"path/filepath"
	"testing"

	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/internal/plaster"
	"halfpear/placement"
)

// pen draws lines over a picture of a cast, hidden where the cast stands before them.
type pen struct {
	img  *image.RGBA
	v    plaster.View
	near []float64 // how far toward the viewer the cast comes at each pixel
}

func newPen(img *image.RGBA, v plaster.View, m *mesh.Mesh) pen {
	p := pen{img: img, v: v, near: make([]float64, img.Rect.Dx()*img.Rect.Dy())}
	for i := range p.near {
		p.near[i] = math.Inf(-1)
	}
	w := img.Rect.Dx()
	for f := range m.Faces {
		a, b, c := m.Corners(f)
		ax, ay := p.page(a)
		bx, by := p.page(b)
		cx, cy := p.page(c)
		area := (bx-ax)*(cy-ay) - (by-ay)*(cx-ax)
		if area == 0 {
			continue
		}
		for y := int(math.Max(0, min(ay, by, cy))); y <= int(math.Min(float64(img.Rect.Dy()-1), max(ay, by, cy)+1)); y++ {
			for x := int(math.Max(0, min(ax, bx, cx))); x <= int(math.Min(float64(w-1), max(ax, bx, cx)+1)); x++ {
				u := ((bx-float64(x))*(cy-float64(y)) - (by-float64(y))*(cx-float64(x))) / area
				t := ((cx-float64(x))*(ay-float64(y)) - (cy-float64(y))*(ax-float64(x))) / area
				if u < -0.01 || t < -0.01 || u+t > 1.01 {
					continue
				}
				d := p.depth(a)*u + p.depth(b)*t + p.depth(c)*(1-u-t)
				p.near[y*w+x] = math.Max(p.near[y*w+x], d)
			}
		}
	}
	return p
}

func (p pen) depth(q geom.Vec) float64 { return q.Sub(p.v.Around).Dot(p.v.From.Unit()) }

func (p pen) page(q geom.Vec) (float64, float64) {
	from := p.v.From.Unit()
	x := p.v.Up.Cross(from).Unit()
	y := from.Cross(x)
	s := float64(p.img.Rect.Dx()) / p.v.Wide
	d := q.Sub(p.v.Around)
	return float64(p.img.Rect.Dx())/2 + d.Dot(x)*s, float64(p.img.Rect.Dy())/2 - d.Dot(y)*s
}

func (p pen) line(pts []geom.Vec, closed bool, wide func(i int) float64, col color.RGBA) {
	s := float64(p.img.Rect.Dx()) / p.v.Wide
	n := len(pts)
	for i := 0; i < n; i++ {
		if i == n-1 && !closed {
			break
		}
		a, b := pts[i], pts[(i+1)%n]
		x0, y0 := p.page(a)
		x1, y1 := p.page(b)
		r := math.Max(1, wide(i)*s/2)
		steps := int(math.Hypot(x1-x0, y1-y0)/math.Max(1, r/3)) + 1
		for k := 0; k <= steps; k++ {
			f := float64(k) / float64(steps)
			cx, cy := x0+(x1-x0)*f, y0+(y1-y0)*f
			deep := p.depth(a.Lerp(b, f)) + 0.8
			if p.near != nil && (image.Point{X: int(cx), Y: int(cy)}).In(p.img.Rect) && p.near[int(cy)*p.img.Rect.Dx()+int(cx)] > deep {
				continue
			}
			for yy := int(cy - r); yy <= int(cy+r); yy++ {
				for xx := int(cx - r); xx <= int(cx+r); xx++ {
					if math.Hypot(float64(xx)-cx, float64(yy)-cy) <= r && (image.Point{X: xx, Y: yy}).In(p.img.Rect) {
						o := p.img.RGBAAt(xx, yy)
						a := float64(col.A) / 255
						mix := func(u, v uint8) uint8 { return uint8(float64(u)*(1-a) + float64(v)*a) }
						if o == (color.RGBA{col.R, col.G, col.B, 255}) {
							continue
						}
						p.img.SetRGBA(xx, yy, color.RGBA{mix(o.R, col.R), mix(o.G, col.G), mix(o.B, col.B), 255})
					}
				}
			}
		}
	}
}

func paint(p *placement.Placement, m *mesh.Mesh, img *image.RGBA, v plaster.View) {
	w := newPen(img, v, m)
	thin := func(int) float64 { return 0.18 }
	patch := map[placement.PatchRole]color.RGBA{placement.Seat: {0, 0, 0, 255}, placement.Floor: {120, 120, 120, 255}, placement.Plate: {120, 60, 20, 255}, placement.Lattice: {120, 90, 60, 255},
		placement.Resin: {30, 60, 220, 255}, placement.Relief: {160, 160, 40, 255}, placement.Stop: {220, 0, 120, 255}, placement.Crown: {80, 80, 80, 255}}
	curve := map[placement.CurveRole]color.RGBA{placement.Arm: {220, 90, 0, 255}, placement.Approach: {220, 90, 0, 255}, placement.Foot: {255, 0, 0, 255},
		placement.Rigid: {120, 60, 20, 255}, placement.BarLine: {120, 60, 20, 60}, placement.Border: {90, 30, 0, 255}, placement.Bead: {0, 120, 120, 255},
		placement.StrutLine: {140, 110, 70, 255}, placement.Finish: {0, 150, 0, 255}}
	for _, q := range p.Parts {
		for _, a := range q.Patches {
			w.line(a.Outline, true, thin, patch[a.Role])
			for _, h := range a.Holes {
				w.line(h, true, thin, patch[a.Role])
			}
		}
		for _, c := range q.Curves {
			wide := func(i int) float64 { return c.Width[i] }
			if c.Role == placement.BarLine || c.Role == placement.Border || c.Role == placement.Finish || c.Role == placement.Bead {
				wide = thin
			}
			w.line(c.Points, c.Closed, wide, curve[c.Role])
		}
	}
	w.line(p.SupportFulcrum, false, thin, color.RGBA{200, 80, 160, 255})
	w.line(p.RetentiveFulcrum, false, thin, color.RGBA{160, 80, 200, 255})
}

// TestPictures draws the studies over their casts into the folder HALFPEAR_PICTURES, for
// people to judge by eye; HALFPEAR_PICTURE picks one.
func TestPictures(t *testing.T) {
	dir := os.Getenv("HALFPEAR_PICTURES")
	if dir == "" {
		t.Skip("set HALFPEAR_PICTURES to a folder to draw placements")
	}
	only := os.Getenv("HALFPEAR_PICTURE")
	names := []string{"plaster", "maxilla"}
	for name := range studies {
		names = append(names, name)
	}
	for _, name := range names {
		if only != "" && only != name {
			continue
		}
		var l laid
		switch name {
		case "plaster":
			l = plasterStudy(t)
		case "maxilla":
			l = maxillaStudy(t)
		default:
			l = lay(t, name)
		}
		for _, v := range plaster.Views(l.cast.Arch) {
			if look := os.Getenv("HALFPEAR_VIEW"); look != "" && look != v.Name {
				continue
			}
			img := plaster.Draw(l.cast, v, 1300, 1100)
			paint(l.placed, l.cast.Mesh, img, v)
			f, err := os.Create(filepath.Join(dir, name+"-"+v.Name+".png"))
			if err != nil {
				t.Fatal(err)
			}
			if err := plaster.Write(f, img); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
		for _, q := range l.placed.Parts {
			for _, m := range q.Measures {
				t.Logf("%s %s %s %v", q.Part.ID, m.Name, m.Tooth, m.Quantity)
			}
			for _, s := range q.Shortfalls {
				t.Logf("SHORT %s %+v", q.Part.ID, s)
			}
		}
		for _, m := range l.placed.Measures {
			t.Logf("whole %s %s %v", m.Name, m.Tooth, m.Quantity)
		}
	}
}
