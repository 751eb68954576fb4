package typodont

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
)

// While building, x is the patient's right in both arches; the upper arch is mirrored
// into the cast frame at the end.

// stance is how a crown stands in an average arch: how its tip leans mesially, and how
// far its highest cusp stands above the occlusal plane.
type stance struct{ angulationDeg, tip float64 }

// stances: angulation from a study of casts with good occlusion in northern Thai adults
// (Chiang Mai Dental Journal), third molars ours. Tips follow a curve of Spee 1.7 mm deep
// in the lower arch, as measured on ten arches.
var stances = map[tooth.Arch][8]stance{
	tooth.Upper: {{3.5, 0.0}, {4.8, -0.6}, {2.5, 0.1}, {-1.3, 0.1}, {-0.2, 0.3}, {-2.2, 0.3}, {-7.5, -0.3}, {-8, -1.3}},
	tooth.Lower: {{-0.2, -0.2}, {-0.6, -0.1}, {0, 0.0}, {0.9, -0.9}, {3.6, -1.6}, {5.6, -1.7}, {7.6, -0.7}, {8, 0.9}},
}

const (
	archMiddle = 24.0 // from the incisors' labial face back to the origin
	heel       = 12.0 // the arch runs on behind the third molar's place
	fade       = 8.0  // over which it turns to run straight back
)

// widen stretches the average arch across, so that with crowns of textbook size the widths
// come to those measured on real arches.
var widen = map[tooth.Arch]float64{tooth.Upper: 1, tooth.Lower: 1.025}

// slot is the place of one tooth, standing or not.
type slot struct {
	n        tooth.Number
	form     form
	middle   geom.Vec2 // between the contacts
	mesial   geom.Vec2 // unit
	facial   geom.Vec2 // unit
	contactM geom.Vec2
	contactD geom.Vec2
	inset    float64 // from the contacts facially to the middle of the crown (negative: lingually)
	z0       float64 // of the margin at mid-facial
	s        float64 // along the arch
	from, to float64 // its stretch of the arch
}

// archLine is the curve through the contacts, patient's right end to left end.
type archLine struct {
	walk   geom.Walk
	normal []geom.Vec2 // facial, at each station
	step   float64
	length float64
}

// layOut places the sixteen slots and the line through them.
func layOut(a tooth.Arch) ([16]slot, *archLine) {
	pl := stances[a]
	left := tooth.All(a)[8:]
	var inset [8]float64
	pts := []geom.Vec2{}
	for i := range pl {
		k := tooth.Kind(i + 1)
		c := newCrown(formOf(left[i]), k.Anterior(), k.Incisor())
		inset[i] = -(c.facialY.at(c.contactM) + c.lingualY.at(c.contactM)) / 2
	}
	// Evened out along the arch, so that the contacts lie on one smooth line.
	for range 2 {
		was := inset
		for i := range inset {
			inset[i] = 0.25*was[max(i-1, 0)] + 0.5*was[i] + 0.25*was[min(i+1, 7)]
		}
	}
	for i := range pl {
		p := cast.AverageOf(left[i])
		face := geom.Vec2{X: math.Sin(geom.Deg(p.FacingDeg)), Y: math.Cos(geom.Deg(p.FacingDeg))}
		pts = append(pts, geom.Vec2{X: p.X * widen[a], Y: p.Y}.Add(face.Scale(-inset[i])))
	}
	// Mirror the first two to the other side so that the curve crosses the midline level.
	m := func(q geom.Vec2) geom.Vec2 { return geom.Vec2{X: -q.X, Y: q.Y} }
	knots := append([]geom.Vec2{m(pts[1]), m(pts[0])}, pts...)
	last := pts[7].Sub(pts[6]).Unit()
	knots = append(knots, pts[7].Add(last.Scale(8)), pts[7].Add(last.Scale(12)))
	var half []geom.Vec // from the midline back
	line := spline(knots, 40)
	for _, q := range line {
		if q.X >= 0 {
			half = append(half, geom.V(q.X, q.Y, 0))
		}
	}
	half[0].X = 0
	w := geom.NewWalk(half)
	// Chain the contacts along it at each crown's true width.
	var slots [16]slot
	at, p := 0.0, w.At(0)
	for i := range 8 {
		f := formOf(left[i])
		next := at + f.md
		for range 40 {
			next += f.md - w.At(next).Dist(p)
		}
		q := w.At(next)
		mes := p.Sub(q).Unit().XY()
		for _, right := range []bool{true, false} {
			n := tooth.All(a)[7-i]
			sx := 1.0
			if !right {
				n = n.Opposite()
				sx = -1
			}
			s := slot{n: n, form: f, inset: inset[i], z0: pl[i].tip - f.height}
			s.contactM, s.contactD = geom.Vec2{X: sx * p.X, Y: p.Y}, geom.Vec2{X: sx * q.X, Y: q.Y}
			s.middle = s.contactM.Lerp(s.contactD, 0.5)
			s.mesial = geom.Vec2{X: sx * mes.X, Y: mes.Y}
			s.facial = geom.Vec2{X: sx * -mes.Y, Y: mes.X}
			if s.facial.Dot(s.middle.Sub(geom.Vec2{Y: -20})) < 0 {
				s.facial = s.facial.Scale(-1)
			}
			s.from, s.to = at, next
			slots[n.Index()] = s
		}
		at, p = next, q
	}
	// The line runs through the middles of the crowns and, behind the third molar, turns
	// to run straight back.
	middles := []geom.Vec2{}
	for i := range 8 {
		s := slots[i+8]
		middles = append(middles, s.middle.Add(s.facial.Scale(s.inset)))
	}
	knots = append([]geom.Vec2{m(middles[1]), m(middles[0])}, middles...)
	for i := range knots {
		knots[i] = m(knots[i]) // the left side lies at negative x
	}
	tan := knots[9].Sub(knots[8]).Unit()
	rear := knots[9]
	third := slots[15].form.md / 2
	for s := 2.0; s <= third+heel; s += 2 {
		d := tan.Lerp(geom.Vec2{Y: -1}, ramp((s-third+2)/fade)).Unit()
		rear = rear.Add(d.Scale(2))
		knots = append(knots, rear)
	}
	knots = append(knots, rear.Add(geom.Vec2{Y: -2}))
	var back []geom.Vec
	for _, q := range geom.Resample(lift(spline(knots, 40)), 600) {
		if q.X >= 0 {
			back = append(back, q)
		}
	}
	back[0].X = 0
	back = soften(back, 3.5)
	var whole []geom.Vec
	for i := len(back) - 1; i > 0; i-- {
		whole = append(whole, back[i])
	}
	for _, v := range back {
		whole = append(whole, geom.V(-v.X, v.Y, 0))
	}
	l := &archLine{walk: geom.NewWalk(whole), step: 0.25}
	l.length = l.walk.Length()
	count := int(math.Ceil(l.length/l.step)) + 1
	l.step = l.length / float64(count-1)
	raw := make([]geom.Vec2, count)
	for i := range raw {
		s := float64(i) * l.step
		t := l.walk.At(s + 0.6).Sub(l.walk.At(s - 0.6)).Unit()
		raw[i] = geom.Vec2{X: t.Y, Y: -t.X}
	}
	l.normal = make([]geom.Vec2, count)
	for i := range raw {
		var sum geom.Vec2
		for k := -10; k <= 10; k++ {
			j := min(max(i+k, 0), count-1)
			sum = sum.Add(raw[j].Scale(math.Exp(-float64(k*k) / 30)))
		}
		l.normal[i] = sum.Unit()
	}
	l.normal[0], l.normal[count-1] = geom.Vec2{X: 1}, geom.Vec2{X: -1}
	for i := range slots {
		s := &slots[i]
		s.s, _ = l.locate(s.middle)
		s.from, _ = l.locate(s.contactD)
		s.to, _ = l.locate(s.contactM)
		if !s.n.Right() {
			s.from, s.to = s.to, s.from
		}
	}
	return slots, l
}

func lift(p []geom.Vec2) (out []geom.Vec) {
	for _, q := range p {
		out = append(out, geom.V(q.X, q.Y, 0))
	}
	return out
}

// soften evens a line from the midline back, which goes on mirrored before its start and
// straight beyond its end, over the given distance.
func soften(line []geom.Vec, over float64) []geom.Vec {
	w := geom.NewWalk(line)
	out := make([]geom.Vec, len(line))
	for i := range line {
		at := w.Length() * float64(i) / float64(len(line)-1)
		var sum geom.Vec
		total := 0.0
		for d := -3 * over; d <= 3*over; d += over / 8 {
			k := math.Exp(-d * d / (2 * over * over))
			p := w.At(math.Abs(at + d))
			if at+d < 0 {
				p.X = -p.X
			}
			if x := at + d - w.Length(); x > 0 {
				p = p.Add(w.Tangent(w.Length()).Scale(x))
			}
			sum, total = sum.Add(p.Scale(k)), total+k
		}
		out[i] = sum.Scale(1 / total)
	}
	out[0].X = 0
	return out
}

// spline runs a centripetal Catmull-Rom curve through the knots but the first and the
// last.
func spline(k []geom.Vec2, per int) []geom.Vec2 {
	var out []geom.Vec2
	for i := 1; i+2 < len(k); i++ {
		p0, p1, p2, p3 := k[i-1], k[i], k[i+1], k[i+2]
		t1 := math.Sqrt(p1.Dist(p0))
		t2 := t1 + math.Sqrt(p2.Dist(p1))
		t3 := t2 + math.Sqrt(p3.Dist(p2))
		for j := 0; j < per; j++ {
			t := t1 + (t2-t1)*float64(j)/float64(per)
			a1 := p0.Lerp(p1, t/t1)
			a2 := p1.Lerp(p2, (t-t1)/(t2-t1))
			a3 := p2.Lerp(p3, (t-t2)/(t3-t2))
			b1 := a1.Lerp(a2, t/t2)
			b2 := a2.Lerp(a3, (t-t1)/(t3-t1))
			out = append(out, b1.Lerp(b2, (t-t1)/(t2-t1)))
		}
	}
	return append(out, k[len(k)-2])
}

// frame is a point of the line and its facial normal.
func (l *archLine) frame(s float64) (c, n geom.Vec2) {
	f := math.Max(0, math.Min(float64(len(l.normal)-1), s/l.step))
	i := min(int(f), len(l.normal)-2)
	return l.walk.At(s).XY(), l.normal[i].Lerp(l.normal[i+1], f-float64(i)).Unit()
}

// locate gives a point's place along the line and its facial distance from it.
func (l *archLine) locate(q geom.Vec2) (s, n float64) {
	s, _ = l.walk.Nearest(geom.V(q.X, q.Y, 0))
	// The smoothed normal and the nearest point agree after a few corrections.
	for range 6 {
		c, nn := l.frame(s)
		v := q.Sub(c)
		n = v.Dot(nn)
		ds := v.Dot(geom.Vec2{X: -nn.Y, Y: nn.X})
		s = math.Max(0, math.Min(l.length, s+0.7*ds))
	}
	return s, n
}

// bend is the curvature of the line at s, positive where it is convex to the facial.
func (l *archLine) bend(s float64) float64 {
	const d = 1.5
	_, a := l.frame(s - d)
	_, b := l.frame(s + d)
	return a.Cross(b) / (2 * d)
}
