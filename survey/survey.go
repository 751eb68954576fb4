// Package survey measures a cast along a path of insertion as a surveyor does: the
// height of contour, how deep every place is undercut, and round each crown where a
// clasp's tip would find its undercut.
//
// A path of insertion is the unit vector that the denture is lifted off along. The
// undercut depth at a point p is the distance, at right angles to the path, from p to the
// nearest place where a rod parallel to the path can stand from the height of p upward
// without meeting the surface; 0 where p is not undercut.
package survey

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/words"
)

// Path is a path of insertion in the cast frame, with its lean from the occlusal plane's
// normal.
type Path struct {
	Direction   geom.Vec // unit
	AnteriorDeg float64  // + leans to +y
	RightDeg    float64  // + leans to the patient's right
}

// PathFromTilt is the path that leans by the two angles: its direction's projections on
// the sagittal and frontal planes make those angles with +z.
func PathFromTilt(a tooth.Arch, anteriorDeg, rightDeg float64) Path {
	d := geom.Vec{
		X: cast.RightSign(a) * math.Tan(geom.Deg(rightDeg)),
		Y: math.Tan(geom.Deg(anteriorDeg)),
		Z: 1,
	}.Unit()
	return Path{Direction: d, AnteriorDeg: anteriorDeg, RightDeg: rightDeg}
}

// PathAlong is the path along a direction, which must have a positive z.
func PathAlong(a tooth.Arch, d geom.Vec) Path {
	d = d.Unit()
	return Path{
		Direction:   d,
		AnteriorDeg: geom.InDeg(math.Atan2(d.Y, d.Z)),
		RightDeg:    geom.InDeg(math.Atan2(cast.RightSign(a)*d.X, d.Z)),
	}
}

// TiltDeg is the angle between the path and the occlusal plane's normal.
func (p Path) TiltDeg() float64 {
	return geom.InDeg(math.Acos(math.Max(-1, math.Min(1, p.Direction.Z))))
}

// Survey is one mesh measured along one direction.
type Survey struct {
	Direction  geom.Vec
	Mesh       *mesh.Mesh
	Depth      []float64 // undercut depth of each vertex [mm]
	Lines      []Line
	Resolution float64 // bound on the error of a depth [mm]
	Assumed    []words.Text
}

// Line is a stretch of the survey line. A closed line does not repeat its first point.
type Line struct {
	Closed bool
	Points []geom.Vec
	Tooth  tooth.Number // 0 on soft tissue, and when no cast was given

	faces []int32 // the face each point lies on or beside
	under float64 // deepest undercut under it, as far down as was looked [mesh's unit]
}

// Crown is the crown chart of one tooth: the surface round the tooth as the path sees it.
//
// Columns stand at equal angles round the tooth's axis. Angle 0 looks facial, 90 mesial,
// 180 lingual, 270 distal, on either side of the mouth.
type Crown struct {
	Tooth   tooth.Number
	Path    Path
	Columns []Column

	axis geom.Frame // Z along the path, Y facial, X mesial, at right angles
}

// Column is the outline of a crown at one angle, from the gingival margin up to the
// highest point there. Heights are along the path, above the margin of this column [mm].
type Column struct {
	AngleDeg      float64
	Margin        geom.Vec   // on the gingival margin
	Outline       []geom.Vec // from the margin upward
	Height        []float64  // of each outline point
	Depth         []float64  // undercut depth of each outline point
	Contour       geom.Vec   // on the height of contour
	ContourHeight float64    // of Contour above the margin
	Top           float64    // height of the highest outline point

	lent bool // the outline is a neighbour's: no surface was met here
}

// Reach is the place on a column where an undercut is reached, going down from the
// height of contour.
type Reach struct {
	Point        geom.Vec
	AboveMargin  float64 // along the path [mm]
	BelowContour float64 // along the path [mm]
	SlopeDeg     float64 // angle between the surface there and the path
}
