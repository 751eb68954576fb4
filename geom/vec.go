package geom

import "math"

// Vec is a point or a vector in space [mm].
type Vec struct{ X, Y, Z float64 }

// V is short for a Vec literal.
func V(x, y, z float64) Vec { return Vec{x, y, z} }

func (a Vec) Add(b Vec) Vec       { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec) Sub(b Vec) Vec       { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec) Scale(s float64) Vec { return Vec{a.X * s, a.Y * s, a.Z * s} }
func (a Vec) Dot(b Vec) float64   { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec) Norm() float64       { return math.Sqrt(a.Dot(a)) }
func (a Vec) Dist(b Vec) float64  { return a.Sub(b).Norm() }
func (a Vec) Neg() Vec            { return Vec{-a.X, -a.Y, -a.Z} }
func (a Vec) XY() Vec2            { return Vec2{a.X, a.Y} }

func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Unit is a scaled to length 1; the zero vector stays zero.
func (a Vec) Unit() Vec {
	n := a.Norm()
	if n == 0 {
		return Vec{}
	}
	return a.Scale(1 / n)
}

// Lerp is the point a fraction t of the way from a to b.
func (a Vec) Lerp(b Vec, t float64) Vec { return a.Add(b.Sub(a).Scale(t)) }

// Across is the part of a at right angles to the unit vector d.
func (a Vec) Across(d Vec) Vec { return a.Sub(d.Scale(a.Dot(d))) }

// IsFinite tells whether no coordinate is infinite or not a number.
func (a Vec) IsFinite() bool {
	s := a.X + a.Y + a.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// AngleTo is the angle between two vectors [rad], 0 to pi.
func (a Vec) AngleTo(b Vec) float64 {
	return math.Atan2(a.Cross(b).Norm(), a.Dot(b))
}

// Vec2 is a point or a vector in a plane [mm].
type Vec2 struct{ X, Y float64 }

func (a Vec2) Add(b Vec2) Vec2             { return Vec2{a.X + b.X, a.Y + b.Y} }
func (a Vec2) Sub(b Vec2) Vec2             { return Vec2{a.X - b.X, a.Y - b.Y} }
func (a Vec2) Scale(s float64) Vec2        { return Vec2{a.X * s, a.Y * s} }
func (a Vec2) Dot(b Vec2) float64          { return a.X*b.X + a.Y*b.Y }
func (a Vec2) Cross(b Vec2) float64        { return a.X*b.Y - a.Y*b.X }
func (a Vec2) Norm() float64               { return math.Hypot(a.X, a.Y) }
func (a Vec2) Dist(b Vec2) float64         { return math.Hypot(a.X-b.X, a.Y-b.Y) }
func (a Vec2) Lerp(b Vec2, t float64) Vec2 { return a.Add(b.Sub(a).Scale(t)) }
func (a Vec2) Left() Vec2                  { return Vec2{-a.Y, a.X} }

// Unit is a scaled to length 1; the zero vector stays zero.
func (a Vec2) Unit() Vec2 {
	n := a.Norm()
	if n == 0 {
		return Vec2{}
	}
	return a.Scale(1 / n)
}

// Box is an axis-aligned box. The zero Box holds only the origin; start from EmptyBox.
type Box struct{ Min, Max Vec }

// EmptyBox holds nothing; Add makes it grow.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Vec{inf, inf, inf}, Vec{-inf, -inf, -inf}}
}

// Add is b grown so that it holds p.
func (b Box) Add(p Vec) Box {
	return Box{
		Vec{min(b.Min.X, p.X), min(b.Min.Y, p.Y), min(b.Min.Z, p.Z)},
		Vec{max(b.Max.X, p.X), max(b.Max.Y, p.Y), max(b.Max.Z, p.Z)},
	}
}

// Size is the length of each side.
func (b Box) Size() Vec { return b.Max.Sub(b.Min) }

// Centre is the middle of the box.
func (b Box) Centre() Vec { return b.Min.Lerp(b.Max, 0.5) }

// BoxOf is the smallest box round the points.
func BoxOf(points []Vec) Box {
	b := EmptyBox()
	for _, p := range points {
		b = b.Add(p)
	}
	return b
}
