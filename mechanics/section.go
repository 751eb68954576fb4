package mechanics

import (
	"fmt"
	"math"

	"halfpear/geom"
)

// Shape is the form of a cross-section. Half forms have one flat side.
type Shape string

const (
	Round     Shape = "round"
	HalfRound Shape = "half-round"
	HalfOval  Shape = "half-oval"
	Ellipse   Shape = "ellipse"
	Rectangle Shape = "rectangle"
	HalfPear  Shape = "half-pear"
	DBar      Shape = "d-bar"     // a rectangle with half an oval on it
	IBeam     Shape = "i-section" // two flanges and a web
)

// Shapes lists the forms an arm may have.
var Shapes = [...]Shape{Round, HalfRound, HalfOval, Ellipse, Rectangle, HalfPear}

// Section is one cross-section. Width runs along the surface, Thickness away from it.
//
// A half-round section is half an oval too: a true semicircle where Width is twice
// Thickness. A half-pear is half of the hull of two discs: Width is its height, the larger
// disc's radius is Thickness, the smaller one's is Crest (0 takes 7/16 of Thickness). Where
// no crest is given and the height is too little for such discs, it is the outline of the
// least height that suits them, stretched in thickness. Its heavy end lies on the side of
// -Y, Y being thickness direction cross run of the centre line.
type Section struct {
	Shape            Shape
	Width, Thickness float64
	Crest            float64 // half-pear: radius of the smaller disc
	Plinth           float64 // D-bar: height of the rectangle, a part of Thickness
	Flange, Web      float64 // I-section: thickness of flange and web; Width is the flange's, Thickness the whole depth
}

const crestShare = 7.0 / 16

// check says why a section cannot be reckoned with.
func (s Section) check() error {
	if !(s.Width > 0) || !(s.Thickness > 0) || math.IsInf(s.Width, 0) || math.IsInf(s.Thickness, 0) {
		return fmt.Errorf("section %g × %g mm: width and thickness must both be greater than 0", s.Width, s.Thickness)
	}
	switch s.Shape {
	case HalfRound, HalfOval, Ellipse, Rectangle:
	case Round:
		if math.Abs(s.Width-s.Thickness) > 1e-9*s.Width {
			return fmt.Errorf("round section %g × %g mm: a round wire has one diameter, so width and thickness must be equal (an oval one is an ellipse)", s.Width, s.Thickness)
		}
	case HalfPear:
		if r1, r2, _ := s.pear(); !(r2 > 0) || s.Width-r1-r2 <= math.Abs(r1-r2) {
			return fmt.Errorf("half-pear %g mm high with discs of radius %g and %g mm: the height must leave room for both discs side by side", s.Width, r1, r2)
		}
	case DBar:
		if s.Plinth <= 0 || s.Plinth >= s.Thickness {
			return fmt.Errorf("D-bar %g mm thick with a plinth of %g mm: the plinth must be a part of the thickness", s.Thickness, s.Plinth)
		}
	case IBeam:
		if s.Flange <= 0 || s.Web <= 0 || 2*s.Flange >= s.Thickness || s.Web >= s.Width {
			return fmt.Errorf("I-section %g × %g mm with flanges of %g and a web of %g mm: they do not fit", s.Width, s.Thickness, s.Flange, s.Web)
		}
	default:
		return fmt.Errorf("section shape %q: expected one of %v", s.Shape, Shapes)
	}
	return nil
}

// pearLeast is the least height of a half-pear over its thickness that is not stretched.
const pearLeast = 2.3

// pear are the radii of a half-pear's discs, and how much their outline is stretched in
// thickness.
func (s Section) pear() (r1, r2, stretch float64) {
	r1, r2 = s.Thickness, s.crest()
	if math.Abs(r2-crestShare*r1) < 1e-9*r1 && s.Width < pearLeast*r1 {
		r1 = s.Width / pearLeast
		r2 = crestShare * r1
	}
	return r1, r2, s.Thickness / r1
}

func (s Section) crest() float64 {
	if s.Crest == 0 {
		return crestShare * s.Thickness
	}
	return s.Crest
}

// Constants are a section's properties about its centroid.
type Constants struct {
	A      float64
	Y, Z   float64 // centroid from the middle of the width (half-pear: from the heavy end) and from the flat (symmetric forms: the middle)
	It     float64 // ∫z² dA, bending in the thickness direction [mm4]
	Iw     float64 // ∫y² dA, bending in the width direction
	Iyz    float64
	J      float64 // torsion constant
	TauMax float64 // largest shear stress per unit torque [1/mm3]
}

// Constants reckons the section's properties.
func (s Section) Constants() (Constants, error) {
	if err := s.check(); err != nil {
		return Constants{}, err
	}
	p := profileOf(s)
	t := torsionOf(s, p)
	c := p.Constants
	c.J = t.j * math.Pow(s.Thickness, 4)
	for _, tau := range t.tau {
		c.TauMax = math.Max(c.TauMax, tau/math.Pow(s.Thickness, 3))
	}
	return c, nil
}

// side is one smooth stretch of a section's outline, run through counter-clockwise: a
// straight line from a to b, or an arc of an ellipse about centre.
type side struct {
	a, b           geom.Vec2
	arc            bool
	centre, radius geom.Vec2
	from, to       float64
}

func (e side) at(t float64) (p, dp geom.Vec2) {
	if !e.arc {
		return e.a.Lerp(e.b, t), e.b.Sub(e.a)
	}
	s, c := math.Sincos(e.from + t*(e.to-e.from))
	w := e.to - e.from
	return geom.Vec2{X: e.centre.X + e.radius.X*c, Y: e.centre.Y + e.radius.Y*s},
		geom.Vec2{X: -e.radius.X * s * w, Y: e.radius.Y * c * w}
}

func line(ay, az, by, bz float64) side {
	return side{a: geom.Vec2{X: ay, Y: az}, b: geom.Vec2{X: by, Y: bz}}
}

func arcs(cy, cz, ry, rz, from, to float64, n int) []side {
	out := make([]side, n)
	for i := range out {
		out[i] = side{arc: true, centre: geom.Vec2{X: cy, Y: cz}, radius: geom.Vec2{X: ry, Y: rz},
			from: from + (to-from)*float64(i)/float64(n), to: from + (to-from)*float64(i+1)/float64(n)}
	}
	return out
}

// corner is where two sides meet at an angle: its place, the direction into the metal
// halfway between the sides, and whether it bites into the metal (270°) or not (90°).
type corner struct {
	at        geom.Vec2
	inward    float64 // [rad]
	reentrant bool
}

// outline gives the sides and corners of a section, and a point that sees all of it.
func (s Section) outline() (sides []side, corners []corner, eye geom.Vec2) {
	w, t := s.Width, s.Thickness
	switch s.Shape {
	case Round, Ellipse:
		return arcs(0, 0, w/2, t/2, 0, 2*math.Pi, 8), nil, eye
	case Rectangle:
		p := []geom.Vec2{{X: -w / 2, Y: -t / 2}, {Y: -t / 2}, {X: w / 2, Y: -t / 2}, {X: w / 2}, {X: w / 2, Y: t / 2}, {Y: t / 2}, {X: -w / 2, Y: t / 2}, {X: -w / 2}}
		for i, a := range p {
			b := p[(i+1)%len(p)]
			sides = append(sides, line(a.X, a.Y, b.X, b.Y))
		}
		return sides, nil, eye
	case HalfRound, HalfOval:
		sides = append([]side{line(-w/2, 0, 0, 0), line(0, 0, w/2, 0)}, arcs(0, 0, w/2, t, 0, math.Pi, 4)...)
		return sides, feet(-w/2, w/2), geom.Vec2{}
	case DBar:
		sides = append([]side{line(-w/2, 0, 0, 0), line(0, 0, w/2, 0), line(w/2, 0, w/2, s.Plinth)}, arcs(0, s.Plinth, w/2, t-s.Plinth, 0, math.Pi, 4)...)
		return append(sides, line(-w/2, s.Plinth, -w/2, 0)), feet(-w/2, w/2), geom.Vec2{}
	case HalfPear:
		r1, r2, k := s.pear()
		phi := math.Acos((r1 - r2) / (w - r1 - r2))
		sides = []side{line(0, 0, r1, 0), line(r1, 0, w, 0)}
		sides = append(sides, arcs(w-r2, 0, r2, k*r2, 0, phi, 2)...)
		y1, z1 := r1+r1*math.Cos(phi), k*r1*math.Sin(phi)
		sides = append(sides, line(w-r2+r2*math.Cos(phi), k*r2*math.Sin(phi), y1, z1))
		return append(sides, arcs(r1, 0, r1, k*r1, phi, math.Pi, 4)...), feet(0, w), geom.Vec2{X: r1}
	}
	// The I-section.
	f, g, h := s.Flange, s.Web/2, t/2
	p := []geom.Vec2{{X: -w / 2, Y: -h}, {X: w / 2, Y: -h}, {X: w / 2, Y: f - h}, {X: g, Y: f - h}, {X: g, Y: h - f}, {X: w / 2, Y: h - f},
		{X: w / 2, Y: h}, {X: -w / 2, Y: h}, {X: -w / 2, Y: h - f}, {X: -g, Y: h - f}, {X: -g, Y: f - h}, {X: -w / 2, Y: f - h}}
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sides = append(sides, line(a.X, a.Y, b.X, b.Y))
		in := a.Sub(p[(i+11)%12]).Unit()
		inward := b.Sub(a).Unit().Sub(in)
		c := corner{at: a, inward: math.Atan2(inward.Y, inward.X)}
		if in.Cross(b.Sub(a)) < 0 {
			c.reentrant, c.inward = true, c.inward+math.Pi
		}
		corners = append(corners, c)
	}
	return sides, corners, eye
}

// feet are the two square corners at the ends of a flat.
func feet(left, right float64) []corner {
	return []corner{{at: geom.Vec2{X: left}, inward: math.Pi / 4}, {at: geom.Vec2{X: right}, inward: 3 * math.Pi / 4}}
}

// grain is a small piece of a section's area, about the centroid.
type grain struct{ y, z, a float64 }

// profile is a section's shape laid out for reckoning: grains that integrate smooth
// functions over the area, and fibres round the outline where stress is looked for.
type profile struct {
	Constants
	grains []grain
	fibres []geom.Vec2 // about the centroid
}

// Gauss points and weights on 0 to 1.
var (
	gauss2x = [2]float64{0.21132486540518713, 0.7886751345948129}
	gauss3x = [3]float64{0.5 - 0.5*0.7745966692414834, 0.5, 0.5 + 0.5*0.7745966692414834}
	gauss3w = [3]float64{5.0 / 18, 8.0 / 18, 5.0 / 18}
	gauss4x = [4]float64{0.06943184420297371, 0.33000947820757187, 0.6699905217924281, 0.9305681557970263}
	gauss4w = [4]float64{0.17392742256872692, 0.32607257743127305, 0.32607257743127305, 0.17392742256872692}
)

// fibresPerSide keeps the farthest fibre of a round section within 0.3 % of its radius.
const fibresPerSide = 5

func profileOf(s Section) profile {
	sides, _, eye := s.outline()
	var p profile
	for _, e := range sides {
		for i, t := range gauss4x {
			q, dq := e.at(t)
			ray := q.Sub(eye)
			fan := ray.Cross(dq) * gauss4w[i]
			for k, u := range gauss3x {
				at := eye.Add(ray.Scale(u))
				p.grains = append(p.grains, grain{at.X, at.Y, fan * u * gauss3w[k]})
			}
		}
		for i := range fibresPerSide {
			q, _ := e.at(float64(i) / fibresPerSide)
			p.fibres = append(p.fibres, q)
		}
	}
	for _, g := range p.grains {
		p.A += g.a
		p.Y += g.a * g.y
		p.Z += g.a * g.z
	}
	p.Y /= p.A
	p.Z /= p.A
	for i := range p.grains {
		g := &p.grains[i]
		g.y -= p.Y
		g.z -= p.Z
		p.It += g.a * g.z * g.z
		p.Iw += g.a * g.y * g.y
		p.Iyz += g.a * g.y * g.z
	}
	for i := range p.fibres {
		p.fibres[i] = p.fibres[i].Sub(geom.Vec2{X: p.Y, Y: p.Z})
	}
	return p
}
