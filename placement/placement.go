// Package placement lays each part of a design on a cast: as curves and patches in the
// cast frame, in mm, with the measures read back from them. A part that cannot be laid
// within its limits is laid as well as it can be, and a Shortfall says by how much it
// misses.
package placement

import (
	"slices"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Section is the shape of a cross-section.
type Section string

const (
	Round     Section = "round"
	HalfRound Section = "half-round"
	HalfOval  Section = "half-oval"
	HalfPear  Section = "half-pear"
	Flat      Section = "rectangle"
)

// CurveRole says what a curve of a part is.
type CurveRole string

const (
	Arm       CurveRole = "arm"      // centre line of a retentive arm, root to tip
	Approach  CurveRole = "approach" // centre line of a bar clasp, base to foot
	Foot      CurveRole = "foot"     // contact line of a bar clasp's head
	Rigid     CurveRole = "rigid"    // centre line of a reciprocal arm, strut or minor connector
	BarLine   CurveRole = "bar"      // centre line of a bar connector
	Border    CurveRole = "border"   // a free edge
	Bead      CurveRole = "bead"     // bead line
	StrutLine CurveRole = "strut"    // lattice strut
	Finish    CurveRole = "finish"   // finish line
	Plane     CurveRole = "plane"    // outline of what is cut on the tooth for a guide plane
)

// Curve is a line on or near the cast's surface. Width is measured along the surface and
// Thickness away from it; both are given at each point. Out is the direction away from
// the surface at each point (the round side of a half section).
type Curve struct {
	Role      CurveRole
	Points    []geom.Vec
	Closed    bool
	Section   Section
	Width     []float64
	Thickness []float64
	Out       []geom.Vec
}

// PatchRole says what a patch of a part is.
type PatchRole string

const (
	Seat    PatchRole = "seat"    // rest seat outline
	Floor   PatchRole = "floor"   // floor of a seat, as deep in the crown as it is to be cut
	Plate   PatchRole = "plate"   // metal plate on tooth or tissue
	Lattice PatchRole = "lattice" // extent of the retention for resin
	Resin   PatchRole = "resin"   // resin base
	Relief  PatchRole = "relief"  // area relieved under a part
	Stop    PatchRole = "stop"    // tissue stop
	Crown   PatchRole = "crown"   // replacement tooth, its outline seen from the occlusal
)

// Patch is an area of the cast's surface inside a closed outline, with the openings in
// it. Lift is how far the underside stands off the surface (relief); Thickness is the
// metal or resin over it.
type Patch struct {
	Role      PatchRole
	Outline   []geom.Vec
	Holes     [][]geom.Vec
	Lift      float64
	Thickness float64
}

// Measure is one dimension read back from the placed part on the cast.
type Measure struct {
	Name     string // as in "upper_border_to_margin"; the fact's name
	Label    string // for people, as in "upper border to gingival margin"
	Quantity unit.Quantity
	Tooth    tooth.Number // where it was taken, 0 for the whole part
	From, To geom.Vec     // the two ends, for drawing it
}

// Shortfall says that a part could not be laid within a limit.
type Shortfall struct {
	Measure string // name of the measure
	Wanted  float64
	Got     float64
	Why     words.Text
	Tooth   tooth.Number
}

// Placed is one part on the cast.
type Placed struct {
	Part       design.Part
	Curves     []Curve
	Patches    []Patch
	Measures   []Measure
	Shortfalls []Shortfall

	// Tip is where a retentive arm ends, with the undercut it truly stands in, on the
	// path of insertion and on the vertical; nil where there is no retentive tip.
	Tip *Tip

	// Tips are all retentive tips, Tip first: an embrasure or multiple clasp has more than
	// one. Each belongs to the curve of role Arm (or Foot) with the same place among them.
	Tips []Tip
}

// Tip is the end of a retentive arm.
type Tip struct {
	Tooth            tooth.Number
	Point            geom.Vec
	Site             tooth.Site
	AngleDeg         float64 // on the crown chart
	UndercutMM       float64 // along the path of insertion
	VerticalUndercut float64 // along the occlusal plane's normal [mm]
	AboveMargin      float64 // [mm]
	BelowContour     float64 // [mm]
	SlopeDeg         float64 // of the surface to the path
}

// Held are the tips of a part, the first on each tooth that it holds: an embrasure or
// multiple clasp holds two.
func (q Placed) Held() []Tip {
	var out []Tip
	for _, t := range q.Tips {
		if !slices.ContainsFunc(out, func(o Tip) bool { return o.Tooth == t.Tooth }) {
			out = append(out, t)
		}
	}
	return out
}

// Placement is a whole design on a cast.
type Placement struct {
	Parts  []Placed
	Crowns map[tooth.Number]survey.Crown // of every tooth that carries a part
	Path   survey.Path

	// Fulcrum lines in the cast frame; absent where the class has none.
	SupportFulcrum   []geom.Vec // two points: through the rests nearest the extension bases
	RetentiveFulcrum []geom.Vec // two points: through the retentive tips nearest the bases

	Turn *Turn // nil where the design has no rotational path, or nothing to turn about

	Measures []Measure // of the whole framework, and of each abutment as a whole

	ground *ground
	design design.Design
	limits Limits
	made   *layout // what an edit may keep
}

// Design is the design as placed.
func (p *Placement) Design() design.Design { return p.design }

// Whole finds a measure of the whole framework by name; tooth 0 takes the first of it.
func (p *Placement) Whole(name string, n tooth.Number) (Measure, bool) {
	return Placed{Measures: p.Measures}.Measure(name, n)
}

// Part finds a placed part by its ID.
func (p *Placement) Part(id design.ID) (Placed, bool) {
	for _, q := range p.Parts {
		if q.Part.ID == id {
			return q, true
		}
	}
	return Placed{}, false
}

// Measure finds a placed part's measure by name; tooth 0 takes the first of that name.
func (q Placed) Measure(name string, n tooth.Number) (Measure, bool) {
	for _, m := range q.Measures {
		if m.Name == name && (n == 0 || m.Tooth == n) {
			return m, true
		}
	}
	return Measure{}, false
}
