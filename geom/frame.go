package geom

import "math"

// Frame is a place and three unit axes at right angles, given in an outer frame. It may
// be left-handed: a tooth's mesial, facial and occlusal directions are mirrored between
// the two sides of the mouth.
type Frame struct {
	Origin  Vec
	X, Y, Z Vec
}

// World is the outer frame itself.
func World() Frame { return Frame{X: Vec{X: 1}, Y: Vec{Y: 1}, Z: Vec{Z: 1}} }

// Local gives an outer point in f's coordinates.
func (f Frame) Local(p Vec) Vec {
	q := p.Sub(f.Origin)
	return Vec{q.Dot(f.X), q.Dot(f.Y), q.Dot(f.Z)}
}

// Outer gives a point of f's coordinates in the outer frame.
func (f Frame) Outer(p Vec) Vec { return f.Origin.Add(f.Dir(p)) }

// Dir turns a direction of f's coordinates into the outer frame.
func (f Frame) Dir(v Vec) Vec {
	return f.X.Scale(v.X).Add(f.Y.Scale(v.Y)).Add(f.Z.Scale(v.Z))
}

// LocalDir turns an outer direction into f's coordinates.
func (f Frame) LocalDir(v Vec) Vec { return Vec{v.Dot(f.X), v.Dot(f.Y), v.Dot(f.Z)} }

// FrameAlong is a right-handed frame whose Z is the unit vector d; X and Y are chosen
// so that turning d a little turns them a little.
func FrameAlong(d Vec) Frame {
	d = d.Unit()
	up := Vec{Y: 1}
	if math.Abs(d.Y) > 0.9 {
		up = Vec{X: 1}
	}
	x := up.Cross(d).Unit()
	return Frame{X: x, Y: d.Cross(x), Z: d}
}

// Similarity maps a point p to Scale·(p seen from From) placed at To: a rigid motion
// with a uniform scale, as between a scan and the cast made from it.
type Similarity struct {
	From  Frame   // in the first frame
	To    Frame   // in the second frame
	Scale float64 // length in the second frame over length in the first
}

// Identity leaves every point where it is.
func Identity() Similarity { return Similarity{From: World(), To: World(), Scale: 1} }

// Apply maps a point of the first frame into the second.
func (s Similarity) Apply(p Vec) Vec { return s.To.Outer(s.From.Local(p).Scale(s.Scale)) }

// ApplyDir maps a direction; its length is kept.
func (s Similarity) ApplyDir(v Vec) Vec { return s.To.Dir(s.From.LocalDir(v)) }

// Inverse maps back.
func (s Similarity) Inverse() Similarity {
	return Similarity{From: s.To, To: s.From, Scale: 1 / s.Scale}
}

// RotateAbout turns v by angle [rad] about the unit axis, counter-clockwise seen against
// the axis.
func RotateAbout(v, axis Vec, angle float64) Vec {
	s, c := math.Sincos(angle)
	return v.Scale(c).Add(axis.Cross(v).Scale(s)).Add(axis.Scale(axis.Dot(v) * (1 - c)))
}

// Deg turns degrees into radians.
func Deg(d float64) float64 { return d * math.Pi / 180 }

// InDeg turns radians into degrees.
func InDeg(r float64) float64 { return r * 180 / math.Pi }
