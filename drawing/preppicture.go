package drawing

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// singleCell is how fine a single crown is looked at [mm].
const singleCell = 0.12

var (
	crownPen   = sheet.Pen{Layer: "preparation", Name: "crown", Width: 0.3, Ink: sheet.Black}
	cutPen     = sheet.Pen{Layer: "preparation", Name: "cut", Width: 0.3, Ink: sheet.RGB(0xB0, 0x20, 0x20)}
	cutHatch   = sheet.Pen{Layer: "preparation", Width: 0.12, Ink: sheet.RGB(0xB0, 0x20, 0x20)}
	pathPen    = sheet.Pen{Layer: "preparation", Name: "path", Width: 0.2, Ink: sheet.RGB(0x1F, 0x4E, 0x5F), Dash: sheet.DashDot}
	pictureTyp = sheet.Type{Layer: "preparation", Size: 2}
)

// pictures draws a preparation twice: the surface with the outline of what is cut, and the
// profile with its depth.
func (w *writer) pictures(p *sheet.Page, surface, profile sheet.Rect, i prep.Item) {
	k := w.o.Work.Cast
	if k == nil || k.Teeth[i.Tooth] == nil {
		return
	}
	t := k.Teeth[i.Tooth]
	var faces []int32
	for f, n := range k.Labels {
		if n == i.Tooth {
			faces = append(faces, int32(f))
		}
	}
	if len(faces) == 0 {
		return
	}
	c := crownPicture{w: w, p: p, k: k, t: t, faces: faces, item: i}
	d := w.o.Work.Path.Direction
	if d.Norm() == 0 {
		d = t.Frame.Z
	}
	switch i.Operation {
	case prep.GuidePlane, prep.LowerContour, prep.Recontour:
		c.upright(surface, profile, d)
	case prep.OcclusalSeat, prep.ExtendedSeat, prep.EmbrasureSeat, prep.OnlaySeat:
		c.occlusalSeat(surface, profile)
	case prep.CingulumSeat, prep.BallSeat, prep.IncisalSeat, prep.Dimple, prep.Composite:
		c.spot(surface, profile)
	default:
		c.plain(surface, tooth.Facial)
	}
}

// crownPicture draws one crown.
type crownPicture struct {
	w     *writer
	p     *sheet.Page
	k     *cast.Cast
	t     *cast.Tooth
	faces []int32
	item  prep.Item
}

// eye is a right-handed frame looking at a surface of the tooth. Crowns of the upper arch
// hang downward, as they stand in the mouth; from the occlusal, the facial is at the top.
func (c *crownPicture) eye(s tooth.Surface, up geom.Vec) geom.Frame {
	f := geom.Frame{Origin: c.t.Frame.Origin}
	m, b := surfaceSide(s)
	if m == 0 && b == 0 {
		f.Z, f.Y = c.t.Frame.Z, c.t.Frame.Y
	} else {
		if c.k.Arch == tooth.Upper {
			up = up.Neg()
		}
		out := c.t.Frame.X.Scale(m).Add(c.t.Frame.Y.Scale(b))
		f.Z, f.Y = out.Across(up).Unit(), up
	}
	f.X = f.Y.Cross(f.Z).Unit()
	return f
}

// panel draws the crown's outline in a box and gives the way from its plane to the page.
func (c *crownPicture) panel(r sheet.Rect, f geom.Frame, caption string) (*view, func(geom.Vec2) sheet.Point) {
	v := look(c.k.Mesh, c.faces, f, singleCell)
	rim := v.rim()
	box, ok := planeBounds(rim)
	if !ok {
		return v, nil
	}
	area := sheet.Rect{X0: r.X0, Y0: r.Y0, X1: r.X1, Y1: r.Y1 - 2.6}
	scale := math.Min(3, math.Min(area.W()/(box.X1-box.X0+1.5), area.H()/(box.Y1-box.Y0+1)))
	place := onPage(geom.Vec2{X: (box.X0 + box.X1) / 2, Y: (box.Y0 + box.Y1) / 2}, area.Center(), scale)
	for _, l := range rim {
		c.p.Draw(crownPen, true, onto(l, place))
	}
	ty := pictureTyp
	ty.Align = sheet.Center
	c.p.Write(ty, sheet.Pt(r.Center().X, r.Y1-0.6), caption)
	return v, place
}

func planeBounds(lines [][]geom.Vec2) (sheet.Rect, bool) {
	return sheet.Bounds(lines...)
}

func onto(line []geom.Vec2, place func(geom.Vec2) sheet.Point) []sheet.Point {
	out := make([]sheet.Point, len(line))
	for i, q := range line {
		out[i] = place(q)
	}
	return out
}

func (c *crownPicture) caption(s tooth.Surface) string {
	return c.w.say(words.PrepView, words.Term(c.w.l, "surface", string(s)))
}

func (c *crownPicture) plain(r sheet.Rect, s tooth.Surface) {
	c.panel(r, c.eye(s, c.t.Frame.Z), c.caption(s))
}

// hatch fills an outline with slanting lines and draws round it.
func (c *crownPicture) hatch(outlines ...[]sheet.Point) {
	c.p.Draw(cutHatch, false, sheet.Hatch(math.Pi/4, 0.7, outlines...)...)
	c.p.Draw(cutPen, true, outlines...)
}

// section is the crown's outline in the plane through a point across a direction, as seen
// in a frame, longest line first.
func (c *crownPicture) section(at, across geom.Vec, f geom.Frame) [][]geom.Vec2 {
	var out [][]geom.Vec2
	best, length := 0, 0.0
	for _, ch := range trace(c.k.Mesh, c.faces, func(v int32) float64 { return c.k.Mesh.Vertices[v].Sub(at).Dot(across) + 1e-9 }) {
		l := make([]geom.Vec2, len(ch.points))
		n := 0.0
		for i, q := range ch.points {
			l[i] = f.Local(q).XY()
			if i > 0 {
				n += l[i].Dist(l[i-1])
			}
		}
		if n > length {
			best, length = len(out), n
		}
		out = append(out, l)
	}
	if len(out) > 0 {
		out[0], out[best] = out[best], out[0]
	}
	return out
}

// profile draws a section in a box, up to three times its size; under is the room kept
// free below it.
func (c *crownPicture) profile(r sheet.Rect, lines [][]geom.Vec2, under float64) func(geom.Vec2) sheet.Point {
	box, ok := planeBounds(lines)
	if !ok {
		return nil
	}
	area := sheet.Rect{X0: r.X0, Y0: r.Y0, X1: r.X1 - 5, Y1: r.Y1 - 2.6 - under} // the depth stands on the right
	scale := math.Min(3, math.Min(area.W()/(box.X1-box.X0+3), area.H()/(box.Y1-box.Y0+1.5)))
	place := onPage(geom.Vec2{X: (box.X0 + box.X1) / 2, Y: (box.Y0 + box.Y1) / 2}, area.Center(), scale)
	for _, l := range lines {
		c.p.Draw(crownPen, false, onto(l, place))
	}
	ty := pictureTyp
	ty.Align = sheet.Center
	c.p.Write(ty, sheet.Pt(r.Center().X, r.Y1-0.6), c.w.say(words.PrepProfile))
	return place
}

// upright draws what is planed off a side: all that stands out beyond a plane parallel to
// the path, at the depth of the cut inside the greatest bulge.
func (c *crownPicture) upright(surface, profile sheet.Rect, path geom.Vec) {
	s := c.item.Surface
	if m, b := surfaceSide(s); m == 0 && b == 0 {
		s = tooth.Lingual
	}
	f := c.eye(s, path)
	v, place := c.panel(surface, f, c.caption(s))
	if place == nil {
		return
	}
	bulge := math.Inf(-1)
	var at geom.Vec2
	for k, z := range v.near {
		if z != never && float64(z) > bulge {
			bulge = float64(z)
			at = geom.Vec2{X: v.x0 + (float64(k%v.nx)+0.5)*v.cell, Y: v.y0 + (float64(k/v.nx)+0.5)*v.cell}
		}
	}
	// The profile through the bulge, seen along the surface.
	side := geom.Frame{Origin: f.Origin, X: f.Z, Y: f.Y, Z: f.Z.Cross(f.Y)}
	lines := c.section(f.Outer(geom.V(at.X, at.Y, 0)), f.X, side)
	depth := c.item.RemovalMM
	if h := c.item.HeightMM[1]; h > 0 && c.item.Operation == prep.GuidePlane {
		depth = depthFor(lines, bulge, h, depth)
	}
	show := math.Max(depth, 0.1) // a plane that is only polished still shows where it lies
	for _, l := range v.border(func(k int) bool { return v.near[k] != never && float64(v.near[k]) > bulge-show }) {
		c.hatch(onto(l, place))
	}
	q := c.profile(profile, lines, 0)
	if q == nil {
		return
	}
	box, _ := planeBounds(lines)
	c.p.Draw(pathPen, false, []sheet.Point{q(geom.Vec2{X: bulge - depth, Y: box.Y0 - 0.6}), q(geom.Vec2{X: bulge - depth, Y: box.Y1 + 0.6})})
	if depth > 0 {
		var cut []geom.Vec2
		for _, l := range lines {
			for _, p := range l {
				if p.X > bulge-depth {
					cut = append(cut, p)
				}
			}
		}
		if len(cut) > 2 {
			c.hatch(onto(cut, q))
		}
		c.depth(q(geom.Vec2{X: bulge, Y: at.Y}), depth)
	}
}

// depthFor is the least cut into a profile's bulge that leaves a flat of a height, no more
// than most.
func depthFor(lines [][]geom.Vec2, bulge, height, most float64) float64 {
	flat := func(depth float64) float64 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, l := range lines {
			for _, p := range l {
				if p.X > bulge-depth {
					lo, hi = math.Min(lo, p.Y), math.Max(hi, p.Y)
				}
			}
		}
		return hi - lo
	}
	for d := 0.02; d < most; d += 0.02 {
		if flat(d) >= height {
			return d
		}
	}
	return most
}

// depth writes a depth beside a place.
func (c *crownPicture) depth(at sheet.Point, mm float64) {
	ty := pictureTyp
	ty.Face = sheet.Bold
	ty.Size = 2.3
	c.p.Write(ty, sheet.Pt(at.X+0.7, at.Y+0.8), words.Number(c.w.l, mm, 2))
}

// occlusalSeat draws a spoon-shaped seat from above and in the profile along the arch.
func (c *crownPicture) occlusalSeat(surface, profile sheet.Rect) {
	f := c.eye(tooth.Occlusal, geom.Vec{})
	inner := surface // beside it stand the letters of the sides
	inner.X0, inner.X1 = inner.X0+sideLetters, inner.X1-sideLetters
	v, place := c.panel(inner, f, c.caption(tooth.Occlusal))
	if place == nil {
		return
	}
	c.sides(f, v, place)
	ridge, toward := c.t.MesialRidge, c.t.DistalRidge
	if c.item.Surface == tooth.Distal {
		ridge, toward = toward, ridge
	}
	length := c.item.LengthMM
	if length == 0 {
		length = c.item.WidthMM
	}
	if c.item.Operation == prep.ExtendedSeat {
		length = 0.6 * ridge.Dist(toward)
	}
	length = math.Max(length, ridge.Dist(toward)/3)
	if outline := c.seat(); outline != nil {
		c.hatch(onto(flatten(outline, f), place))
	} else {
		a, b := f.Local(ridge).XY(), f.Local(toward).XY()
		along := b.Sub(a).Unit()
		a = a.Sub(along.Scale(0.9)) // the ridge's rim is cut through
		length += 0.9
		var spoon []geom.Vec2
		for k := range 25 { // half an egg, widest at the ridge
			u := math.Pi * (float64(k)/24 - 0.5)
			spoon = append(spoon, a.Add(along.Scale(length*math.Cos(u))).Add(along.Left().Scale(c.item.WidthMM/2*math.Sin(u))))
		}
		c.hatch(onto(spoon, place))
	}
	// Profile through the ridge, the tooth's facial at right angles to it.
	side := c.eye(tooth.Facial, c.t.Frame.Z)
	lines := c.section(ridge, c.t.Frame.Y, side)
	if len(lines) == 0 {
		return
	}
	up, under := 1.0, 0.0
	if c.k.Arch == tooth.Upper {
		up, under = -1, 2.6 // the depth stands below the edge
	} else {
		profile.Y0 += 2.2 // and above it
	}
	q := c.profile(profile, lines[:1], under)
	if q == nil {
		return
	}
	a, b := side.Local(ridge).XY(), side.Local(toward).XY()
	dir := 1.0
	if b.X < a.X {
		dir = -1
	}
	depth := c.item.RemovalMM
	floor := func(s float64) float64 { // height of the floor, s along the seat
		u := s / length
		return a.Y - up*(depth+0.5*math.Sin(math.Pi*math.Min(1, u)))
	}
	// What is cut: the surface above the floor, from just outside the ridge inward.
	var top, bottom []geom.Vec2
	for _, p := range lines[0] {
		s := (p.X - a.X) * dir
		if s > -1.2 && s < length && up*(p.Y-floor(math.Max(0, s))) > 0 {
			top = append(top, p)
		}
	}
	if len(top) < 3 {
		return
	}
	for k := range 21 {
		t := float64(k) / 20
		x := top[len(top)-1].X + (top[0].X-top[len(top)-1].X)*t
		s := math.Max(0, (x-a.X)*dir)
		bottom = append(bottom, geom.Vec2{X: x, Y: floor(s)})
	}
	c.hatch(onto(append(top, bottom...), q))
	at := q(geom.Vec2{X: a.X + dir*length/2, Y: a.Y + up*0.9})
	if up < 0 {
		at.Y += 2.3 // below the edge that hangs down
	}
	ty := pictureTyp
	ty.Face, ty.Size, ty.Align = sheet.Bold, 2.3, sheet.Center
	c.p.Write(ty, at, words.Number(c.w.l, depth, 2))
}

// sideLetters is the room for the name of a side beside a crown [mm].
const sideLetters = 4.2

// sides writes which side is mesial and which distal, clear of the outline.
func (c *crownPicture) sides(f geom.Frame, v *view, place func(geom.Vec2) sheet.Point) {
	box, ok := planeBounds(v.rim())
	if !ok {
		return
	}
	left, right := place(geom.Vec2{X: box.X0, Y: box.Y0}).X, place(geom.Vec2{X: box.X1, Y: box.Y0}).X
	ty := pictureTyp
	for _, s := range []struct {
		at   geom.Vec
		word words.Word
		m    float64
	}{{c.t.MesialContact, words.MesialLetter, 1}, {c.t.DistalContact, words.DistalLetter, -1}} {
		at := place(f.Local(s.at).XY())
		at.Y += 0.7
		if f.LocalDir(c.t.Frame.X.Scale(s.m)).X < 0 {
			at.X, ty.Align = left-0.7, sheet.Right
		} else {
			at.X, ty.Align = right+0.7, sheet.Left
		}
		c.p.Write(ty, at, c.w.say(s.word))
	}
}

// seat is the outline that the placement gave the part's seat; nil where it has none.
func (c *crownPicture) seat() []geom.Vec {
	if c.w.o.Work.Placement == nil {
		return nil
	}
	q, ok := c.w.o.Work.Placement.Part(c.item.For)
	if !ok {
		return nil
	}
	for _, p := range q.Patches {
		if p.Role == placement.Seat && len(p.Outline) > 2 {
			return p.Outline
		}
	}
	return nil
}

func flatten(line []geom.Vec, f geom.Frame) []geom.Vec2 {
	out := make([]geom.Vec2, len(line))
	for i, p := range line {
		out[i] = f.Local(p).XY()
	}
	return out
}

// spot draws a small preparation on one side: a cingulum or ball seat, a notch, a dimple
// or an addition.
func (c *crownPicture) spot(surface, profile sheet.Rect) {
	i := c.item
	s := i.Surface
	at := c.t.Cingulum
	switch i.Operation {
	case prep.CingulumSeat, prep.BallSeat:
		s = tooth.Lingual
	case prep.IncisalSeat:
		at = c.t.MesialRidge
		if i.Surface == tooth.Distal {
			at = c.t.DistalRidge
		}
		s = tooth.Facial
	default:
		if q, ok := c.placed(); ok {
			at = q
		}
	}
	f := c.eye(s, c.t.Frame.Z)
	v, place := c.panel(surface, f, c.caption(s))
	if place == nil {
		return
	}
	if at == (geom.Vec{}) { // the middle of the surface
		box, _ := planeBounds(v.rim())
		at = f.Outer(geom.V((box.X0+box.X1)/2, (box.Y0+box.Y1)/2, 0))
	}
	wide, high := math.Max(i.LengthMM, i.WidthMM), i.HeightMM[1]
	if wide == 0 {
		wide = 2
	}
	if high == 0 {
		high = math.Min(wide, math.Max(i.RemovalMM, i.AddMM)+0.5)
	}
	mid := f.Local(at).XY()
	if outline := c.seat(); outline != nil {
		c.hatch(onto(flatten(outline, f), place))
	} else {
		var egg []geom.Vec2
		for k := range 32 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 32)
			egg = append(egg, mid.Add(geom.Vec2{X: cos * wide / 2, Y: sin * high / 2}))
		}
		c.hatch(onto(egg, place))
	}
	side := geom.Frame{Origin: f.Origin, X: f.Z, Y: f.Y, Z: f.Z.Cross(f.Y)}
	lines := c.section(at, f.X, side)
	if len(lines) == 0 {
		return
	}
	q := c.profile(profile, lines[:1], 0)
	if q == nil {
		return
	}
	depth, sign := i.RemovalMM, -1.0
	if i.AddMM > 0 {
		depth, sign = i.AddMM, 1
	}
	if i.Operation == prep.IncisalSeat {
		return // its depth is seen from the front
	}
	// The surface within the spot, and the same stretch moved in (cut) or out (added).
	var line, moved []geom.Vec2
	h := side.Local(at).Y
	for _, p := range lines[0] {
		if math.Abs(p.Y-h) <= high/2 && (p.X > side.Local(at).X-2) {
			line = append(line, p)
			u := (p.Y - h) / (high / 2)
			moved = append(moved, geom.Vec2{X: p.X + sign*depth*(1-u*u), Y: p.Y})
		}
	}
	if len(line) > 1 {
		for k := len(moved) - 1; k >= 0; k-- {
			line = append(line, moved[k])
		}
		c.hatch(onto(line, q))
	}
	c.depth(q(geom.Vec2{X: side.Local(at).X + math.Max(0, sign)*depth, Y: h}), depth)
}

// placed is where the arm's tip lies.
func (c *crownPicture) placed() (geom.Vec, bool) {
	if c.w.o.Work.Placement == nil {
		return geom.Vec{}, false
	}
	q, ok := c.w.o.Work.Placement.Part(c.item.For)
	if !ok || q.Tip == nil {
		return geom.Vec{}, false
	}
	return q.Tip.Point, q.Tip.Point != geom.Vec{}
}
