// Package design is the written design of a framework: its parts, each with its form, its
// place in the mouth and its material. It holds no coordinates; placement lays the parts
// on a cast.
package design

import (
	"strings"

	"sort"

	"halfpear/tooth"
)

// Kind is what a part is.
type Kind string

const (
	Rest             Kind = "rest"
	Retainer         Kind = "retainer"
	Reciprocation    Kind = "reciprocation"
	GuidePlate       Kind = "guide-plate"
	MinorConnector   Kind = "minor-connector"
	MajorConnector   Kind = "major-connector"
	Base             Kind = "base"
	TissueStop       Kind = "tissue-stop"
	FinishLine       Kind = "finish-line"
	ReplacementTooth Kind = "replacement-tooth"
)

// Kinds lists all kinds in the order a part list names them.
var Kinds = [...]Kind{Rest, GuidePlate, Retainer, Reciprocation, MinorConnector, MajorConnector, Base, TissueStop, FinishLine, ReplacementTooth}

// Form is the shape of a part, a trade term; which forms go with which kind is in Forms.
type Form string

const (
	RestOcclusal, RestExtended, RestEmbrasure, RestCingulum, RestBall, RestIncisal, RestOnlay Form = "occlusal", "extended", "embrasure", "cingulum", "ball", "incisal", "onlay"

	ClaspIBar, ClaspHalfTBar, ClaspTBar, ClaspYBar                                  Form = "i-bar", "half-t-bar", "t-bar", "y-bar"
	ClaspCircumferential, ClaspMesialRestCircumferential, ClaspRing, ClaspEmbrasure Form = "circumferential", "mesial-rest-circumferential", "ring", "embrasure"
	ClaspReverseCirclet, ClaspHairpin, ClaspBackAction, ClaspHalfAndHalf            Form = "reverse-circlet", "hairpin", "back-action", "half-and-half"
	ClaspCombination, ClaspExtended, ClaspMultiple, ClaspNone                       Form = "combination", "extended-arm", "multiple", "none"

	ReciprocalArm, ReciprocalPlate, ReciprocalGuidePlates Form = "arm", "plate", "guide-plates"

	LingualBar, SublingualBar, LingualPlate, LingualBarWithCingulumBar, CingulumBar, LabialBar Form = "lingual-bar", "sublingual-bar", "lingual-plate", "lingual-bar-with-cingulum-bar", "cingulum-bar", "labial-bar"
	PalatalStrap, PalatalBar, APStrap, APBar, PalatalPlate, UShaped                            Form = "palatal-strap", "palatal-bar", "anterior-posterior-strap", "anterior-posterior-bar", "palatal-plate", "u-shaped"

	ToothResin, ToothBacking, ToothTube, ToothReinforced, ToothMetal, ToothPorcelain Form = "resin", "backing", "tube", "reinforced", "metal", "porcelain"
)

// Forms lists the forms each kind may take; a kind that is not there has none.
var Forms = map[Kind][]Form{
	Rest:             {RestOcclusal, RestExtended, RestEmbrasure, RestCingulum, RestBall, RestIncisal, RestOnlay},
	Retainer:         {ClaspIBar, ClaspHalfTBar, ClaspTBar, ClaspYBar, ClaspCircumferential, ClaspMesialRestCircumferential, ClaspRing, ClaspEmbrasure, ClaspReverseCirclet, ClaspHairpin, ClaspBackAction, ClaspHalfAndHalf, ClaspCombination, ClaspExtended, ClaspMultiple, ClaspNone},
	Reciprocation:    {ReciprocalArm, ReciprocalPlate, ReciprocalGuidePlates},
	MajorConnector:   {LingualBar, SublingualBar, LingualPlate, LingualBarWithCingulumBar, CingulumBar, LabialBar, PalatalStrap, PalatalBar, APStrap, APBar, PalatalPlate, UShaped},
	ReplacementTooth: {ToothResin, ToothBacking, ToothTube, ToothReinforced, ToothMetal, ToothPorcelain},
}

// Infrabulge tells the bar clasps, which reach the undercut from below.
func (f Form) Infrabulge() bool {
	return f == ClaspIBar || f == ClaspHalfTBar || f == ClaspTBar || f == ClaspYBar
}

// Role is what a rest is there for.
type Role string

const (
	Primary   Role = "primary"
	Indirect  Role = "indirect"
	Auxiliary Role = "auxiliary"
)

// Undercut is the place and depth [mm] that a retentive tip is planned for.
type Undercut struct {
	Site tooth.Site
	MM   float64
}

// ID names a part within its design, as in "retainer-44".
type ID string

// Part is one part. Only the fields its kind uses are set; see the file format's page.
type Part struct {
	ID         ID
	Kind       Kind
	Tooth      tooth.Number   // the tooth it stands on, or replaces
	Teeth      []tooth.Number // base: the teeth replaced; plate: the teeth it lies on; multiple clasp: both teeth
	Form       Form
	Site       tooth.Surface  // rest: mesial, distal or lingual
	Role       Role           // rest
	Surface    tooth.Surface  // guide plate
	Undercut   *Undercut      // retainer with a retentive tip
	Material   string         // retainer, base, connector: a name of package material
	GaugeMM    float64        // wire diameter; 0 not stated
	At         []tooth.Number // minor connector: the embrasure's two teeth, or one
	Joins      ID             // minor connector, stop, finish line, approach arm's base: the part it joins
	Support    string         // base: extension or bounded
	Attachment string         // base: lattice, mesh, beads, posts
	Side       string         // finish line: internal, external

	// Dimensions are the part's chosen measures by name, as in "height" or
	// "above_margin" [mm, or degrees for a name ending in _deg]; a measure that is not
	// there is the rulebook's default.
	Dimensions map[string]float64
	Note       string
}

// RotationalPath begins the note of a part that seats first on a rotational path of
// insertion.
const RotationalPath = "rotational path"

// SeatsFirst tells a part that seats first, before the framework turns into place; its note
// says so.
func (p Part) SeatsFirst() bool { return strings.Contains(p.Note, RotationalPath) }

// Design is a framework for one arch. It is not changed once made; edits make new ones.
type Design struct {
	Arch  tooth.Arch
	Parts []Part
}

// Of lists the parts of a kind.
func (d Design) Of(k Kind) []Part {
	var out []Part
	for _, p := range d.Parts {
		if p.Kind == k {
			out = append(out, p)
		}
	}
	return out
}

// On lists the parts of a kind standing on a tooth.
func (d Design) On(k Kind, n tooth.Number) []Part {
	var out []Part
	for _, p := range d.Parts {
		if p.Kind == k && p.Tooth == n {
			out = append(out, p)
		}
	}
	return out
}

// Part finds a part by its ID.
func (d Design) Part(id ID) (Part, bool) {
	for _, p := range d.Parts {
		if p.ID == id {
			return p, true
		}
	}
	return Part{}, false
}

// With is d with the part of the same ID replaced, or p added.
func (d Design) With(p Part) Design {
	out := Design{Arch: d.Arch, Parts: append([]Part(nil), d.Parts...)}
	for i := range out.Parts {
		if out.Parts[i].ID == p.ID {
			out.Parts[i] = p
			return out
		}
	}
	out.Parts = append(out.Parts, p)
	return out
}

// Without is d less one part.
func (d Design) Without(id ID) Design {
	out := Design{Arch: d.Arch}
	for _, p := range d.Parts {
		if p.ID != id {
			out.Parts = append(out.Parts, p)
		}
	}
	return out
}

// Abutments lists the teeth that carry a rest, a retainer or a guide plate, in
// tooth.All's order.
func (d Design) Abutments() []tooth.Number {
	seen := map[tooth.Number]bool{}
	var out []tooth.Number
	for _, p := range d.Parts {
		switch p.Kind {
		case Rest, Retainer, GuidePlate:
			if p.Tooth != 0 && !seen[p.Tooth] {
				seen[p.Tooth] = true
				out = append(out, p.Tooth)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Index() < out[j].Index() })
	return out
}
