// Package cast is the model of one dental arch that a design stands on: a surface in the
// cast frame, which part of it is which tooth, where the gum ends, and the landmarks of
// the arch. It may come from a scan or have been made from the chart; what comes after
// does not ask which, except to say how sure a number is.
//
// The cast frame is right-handed, in mm: +z occlusal, +y anterior, +x the patient's right
// in the lower arch and the patient's left in the upper. The origin lies on the occlusal
// plane in the middle of the arch.
package cast

import (
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/unit"
)

// Cast is one arch. It is not changed once made.
type Cast struct {
	Arch   tooth.Arch
	Mesh   *mesh.Mesh     // in the cast frame
	Labels []tooth.Number // one a face; 0 where it is no tooth
	Teeth  map[tooth.Number]*Tooth
	Marks  Landmarks
	Origin unit.Origin     // Measured on a scan, Average for a made cast
	Spread float64         // how far the surface may be off, half-width [mm]
	Scan   geom.Similarity // from the scan's frame and unit to the cast frame
}

// RightSign is the sign of x on the patient's right: +1 in the lower arch, -1 in the
// upper.
func RightSign(a tooth.Arch) float64 {
	if a == tooth.Upper {
		return -1
	}
	return 1
}

// Tooth is one tooth standing on the cast. Points are on the surface, in the cast frame.
type Tooth struct {
	Number tooth.Number

	// Frame stands in the middle of the crown, halfway between margin and highest point:
	// X mesial, Y facial, Z occlusal along the crown's long axis. X and Y lie at right
	// angles to Z; the frame is left-handed on one side of the mouth.
	Frame geom.Frame

	// Margin is the gingival margin, closed, its first point not repeated, running
	// counter-clockwise seen from the occlusal (+z).
	Margin []geom.Vec

	// Unseen marks the margin's points that the scan does not show, because the crown
	// touches its neighbour there: they lie on a straight line under the contact and not
	// on the surface. It is nil where all are seen.
	Unseen []bool

	CuspTips                 []geom.Vec // cusp tips, or the ends and middle of an incisal edge
	MesialContact            geom.Vec   // most mesial point of the crown, the contact area
	DistalContact            geom.Vec
	MesialRidge, DistalRidge geom.Vec  // middle of each marginal ridge (posterior), mesial and distal incisal angle (anterior)
	MesialFossa, DistalFossa geom.Vec  // deepest point of each fossa (posterior); the zero Vec on front teeth
	Cingulum                 geom.Vec  // top of the cingulum on front teeth; the zero Vec on the others
	Confidence               float64   // 0 to 1; 1 on a made cast
	Marks                    MarkTrust // how sure each of the marks is
}

// Curve is a line on the cast with how sure it is. An absent curve has no points.
type Curve struct {
	Points     []geom.Vec
	Closed     bool
	Confidence float64
	Origin     unit.Origin
}

// Known tells whether the curve is there at all.
func (c Curve) Known() bool { return len(c.Points) > 0 }

// Plane says how well the teeth tell the occlusal plane.
type Plane struct {
	RMS        float64 // of the teeth's highest points off it [mm]
	TiltDeg    float64 // by how much it would lean if they lay that far off the other way
	Confidence float64 // 0 where too few teeth stand
}

// Ridge is an edentulous stretch.
type Ridge struct {
	Teeth []tooth.Number // the missing teeth whose place it is, in tooth.All's order
	Crest Curve          // along the top, in tooth.All's order (patient's right to left)
}

// Landmarks are the places of the arch that a design is measured from. What the cast does
// not show is absent.
type Landmarks struct {
	Plane     Plane   // the occlusal plane, at height 0
	Arch      Curve   // middle of the teeth and ridges, patient's right end to left end
	Ridges    []Ridge // edentulous stretches, patient's right to left
	Floor     Curve   // lower: functional floor of the mouth along the lingual, right to left
	Vestibule Curve   // depth of the vestibule along the facial, right to left
	PadRight  Curve   // lower: retromolar pad's outline; upper: tuberosity's outline
	PadLeft   Curve
	Midline   Curve // upper: median palatal line, front to back
	Papilla   Curve // upper: incisive papilla's outline
	Rugae     Curve // upper: outline of the rugae zone
	Vibrating Curve // upper: vibrating line, right to left
	Tori      []Torus
}

// Torus is a bony swelling.
type Torus struct {
	Palatal bool // else lingual
	Outline Curve
}

// Pad is the pad or tuberosity of one side.
func (l Landmarks) Pad(right bool) Curve {
	if right {
		return l.PadRight
	}
	return l.PadLeft
}

// RidgeOf is the edentulous stretch that holds the place of a missing tooth.
func (c *Cast) RidgeOf(n tooth.Number) (Ridge, bool) {
	for _, r := range c.Marks.Ridges {
		for _, t := range r.Teeth {
			if t == n {
				return r, true
			}
		}
	}
	return Ridge{}, false
}

// Standing lists the teeth on the cast in tooth.All's order.
func (c *Cast) Standing() []tooth.Number {
	var out []tooth.Number
	for _, n := range tooth.All(c.Arch) {
		if c.Teeth[n] != nil {
			out = append(out, n)
		}
	}
	return out
}
