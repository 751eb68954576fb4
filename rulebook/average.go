package rulebook

import (
	"math"
	"sort"

	"halfpear/arch"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/tooth"
)

// averageOf is the average crown at n's place; a zero one where there is no such tooth.
func averageOf(n tooth.Number) cast.Average {
	if !n.Valid() {
		return cast.Average{}
	}
	return cast.AverageOf(n)
}

// place is the average middle of a tooth, in a frame with +x on the patient's right.
func place(n tooth.Number) geom.Vec {
	a := averageOf(n)
	x := a.X
	if !n.Right() {
		x = -x
	}
	return geom.Vec{X: x, Y: a.Y}
}

// along is the unit vector at n toward its mesial neighbour; outward the unit vector
// toward the facial.
func along(n tooth.Number) geom.Vec {
	m, d := n.Mesial(), n.Distal()
	a, b := place(n), place(n)
	if m != 0 {
		a = place(m)
	}
	if d != 0 {
		b = place(d)
	}
	return a.Sub(b).Unit()
}

func outward(n tooth.Number) geom.Vec {
	t := along(n)
	// Turning the mesial direction by a right angle gives the facial: to the patient's
	// right on the right side, to the left on the left.
	o := geom.Vec{X: t.Y, Y: -t.X}
	if !n.Right() {
		o = geom.Vec{X: -t.Y, Y: t.X}
	}
	return o
}

// restPlace is where a rest's load acts: half way from the middle of the crown to its
// mesial or distal edge, or to its lingual.
func restPlace(p design.Part) geom.Vec {
	c, a := place(p.Tooth), averageOf(p.Tooth)
	switch p.Site {
	case tooth.Mesial:
		return c.Add(along(p.Tooth).Scale(a.MD * 0.35))
	case tooth.Distal:
		return c.Sub(along(p.Tooth).Scale(a.MD * 0.35))
	case tooth.Lingual:
		return c.Sub(outward(p.Tooth).Scale(a.FL * 0.3))
	}
	return c
}

// tipPlace is where a retentive tip at a site lies.
func tipPlace(n tooth.Number, s tooth.Site) geom.Vec {
	a := averageOf(n)
	out := outward(n).Scale(a.FL * 0.5)
	if !s.Facial() {
		out = out.Scale(-1)
	}
	return place(n).Add(out).Add(along(n).Scale(float64(s.MesialSide()) * a.MD * 0.35))
}

// axis is a straight line over the occlusal plane.
type axis struct {
	a, b  geom.Vec
	known bool
}

// distance is how far p lies off the axis; the sign tells the side, + to the front.
func (x axis) distance(p geom.Vec) float64 {
	d := x.b.Sub(x.a)
	n := geom.Vec{X: -d.Y, Y: d.X}.Unit()
	if n.Y < 0 || n.Y == 0 && n.X < 0 {
		n = n.Scale(-1)
	}
	return p.Sub(x.a).Dot(n)
}

// strip is half the width of the narrowest straight strip that holds all points.
func strip(points []geom.Vec) float64 {
	if len(points) < 3 {
		return 0
	}
	best := math.Inf(1)
	for i := range points {
		for j := i + 1; j < len(points); j++ {
			d := points[j].Sub(points[i])
			if math.Hypot(d.X, d.Y) < 1e-6 {
				continue
			}
			n := geom.Vec{X: -d.Y, Y: d.X}.Unit()
			lo, hi := 0.0, 0.0
			for _, p := range points {
				h := p.Sub(points[i]).Dot(n)
				lo, hi = math.Min(lo, h), math.Max(hi, h)
			}
			best = math.Min(best, (hi-lo)/2)
		}
	}
	if math.IsInf(best, 1) {
		return 0
	}
	return best
}

// CrownSize is the average mesiodistal and faciolingual size of n's crown [mm].
func CrownSize(n tooth.Number) (md, fl float64) {
	a := averageOf(n)
	return a.MD, a.FL
}

// Lever is the fulcrum line of a design on average tooth places, as the search for an
// indirect retainer needs it.
type Lever struct {
	g     *gatherer
	Known bool
}

// LeverOf finds the fulcrum line of a design.
func LeverOf(b *Book, c chart.Chart, class arch.Result, d design.Design) Lever {
	g := &gatherer{book: b, in: Input{Chart: c, Design: &d}, class: class}
	g.line = g.fulcrum()
	return Lever{g, g.line.known}
}

// Beyond is how far a rest stands on the side of the line away from the base [mm].
func (l Lever) Beyond(rest design.Part) float64 { return l.g.beyond(restPlace(rest)) }

// Base is how far the middle of the nearest extension base lies behind the line [mm].
func (l Lever) Base() float64 {
	far := 0.0
	for _, a := range l.g.class.Areas {
		if a.Kind == arch.Extension || l.g.class.Class == arch.IV {
			far = math.Max(far, -l.g.beyond(baseMiddle(a)))
		}
	}
	return far
}

// Points are the two ends of the line, in a frame with +x on the patient's right [mm].
func (l Lever) Points() (a, b geom.Vec) { return l.g.line.a, l.g.line.b }

// SupportArea is the area of the polygon round all rests of a design, on average tooth
// places [mm²].
func SupportArea(d design.Design) float64 {
	var pts []geom.Vec
	for _, r := range d.Of(design.Rest) {
		if r.Tooth.Valid() {
			pts = append(pts, restPlace(r))
		}
	}
	if len(pts) < 3 {
		return 0
	}
	sort.Slice(pts, func(i, j int) bool {
		if pts[i].X != pts[j].X {
			return pts[i].X < pts[j].X
		}
		return pts[i].Y < pts[j].Y
	})
	cross := func(o, a, b geom.Vec) float64 { return (a.X-o.X)*(b.Y-o.Y) - (a.Y-o.Y)*(b.X-o.X) }
	var hull []geom.Vec
	for pass := 0; pass < 2; pass++ {
		start := len(hull)
		for i := range pts {
			p := pts[i]
			if pass == 1 {
				p = pts[len(pts)-1-i]
			}
			for len(hull) >= start+2 && cross(hull[len(hull)-2], hull[len(hull)-1], p) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
		hull = hull[:len(hull)-1]
	}
	area := 0.0
	for i := range hull {
		a, b := hull[i], hull[(i+1)%len(hull)]
		area += a.X*b.Y - b.X*a.Y
	}
	return math.Abs(area) / 2
}

// MarginCover is the share of the standing teeth's gingival margins that a design covers,
// on average crowns: metal on a whole side of a tooth takes that side, a guide plate the
// side it lies on, a strut or a bar arm its own width. It stands in for the measure that a
// design laid on a cast gives.
func MarginCover(c chart.Chart, d design.Design) float64 {
	covered := map[tooth.Number]float64{} // share of a tooth's margin
	lingual := map[tooth.Number]bool{}
	around := func(n tooth.Number) float64 {
		md, fl := CrownSize(n)
		return 2 * (md + fl)
	}
	add := func(n tooth.Number, mm float64) {
		if n.Valid() {
			covered[n] += mm / around(n)
		}
	}
	for _, p := range d.Parts {
		md, fl := CrownSize(p.Tooth)
		switch {
		case p.Kind == design.MajorConnector && p.Form == design.LingualPlate:
			for _, n := range tooth.All(c.Arch) {
				lingual[n] = lingual[n] || c.Stands(n) && coveredBy(p, n)
			}
		case p.Kind == design.Reciprocation && p.Form == design.ReciprocalPlate:
			lingual[p.Tooth] = true
		case p.Kind == design.GuidePlate && p.Surface == tooth.Lingual:
			add(p.Tooth, md)
		case p.Kind == design.GuidePlate:
			add(p.Tooth, 0.6*fl)
		case p.Kind == design.Retainer && p.Form.Infrabulge():
			add(p.Tooth, 2)
		case p.Kind == design.MinorConnector:
			for _, n := range p.At {
				add(n, 2.5/float64(len(p.At)))
			}
		}
	}
	sum, total := 0.0, 0.0
	for _, n := range tooth.All(c.Arch) {
		if !c.Stands(n) {
			continue
		}
		share := covered[n]
		if lingual[n] {
			md, _ := CrownSize(n)
			share += md / around(n)
		}
		sum, total = sum+math.Min(1, share)*around(n), total+around(n)
	}
	if total == 0 {
		return 0
	}
	return sum / total
}
