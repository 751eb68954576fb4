// Package chart holds what was found in the mouth: tooth by tooth, in the soft tissues,
// and about the patient as far as the design asks. (Findings, not a graph.)
//
// A finding that was not recorded is absent: it is unknown, never normal.
package chart

import (
	"fmt"
	"sort"

	"halfpear/arch"
	"halfpear/tooth"
	"halfpear/words"
)

// State is what stands at a tooth's place.
type State string

const (
	Present State = "present"
	Missing State = "missing"
	Extract State = "extract" // present, to be extracted
	Pontic  State = "pontic"  // of a fixed bridge
	Implant State = "implant" // with a fixed crown
	Root    State = "root"    // retained under the base
	Closed  State = "closed"  // missing, and the neighbours touch
)

// States lists them.
var States = [...]State{Present, Missing, Extract, Pontic, Implant, Root, Closed}

// Tooth is what is known of one tooth. Nil and empty mean not known.
type Tooth struct {
	State    State // empty means present
	Replace  *bool // of a missing tooth: to be replaced; nil takes the default of its kind
	Abutment *bool // of a present tooth: may carry parts; nil is undecided

	Mobility        *int     // Miller, 0 to 3
	BoneLossPercent *float64 // of the root's length
	CrownRootRatio  *float64 // length out of bone over length in bone
	TiltDeg         *float64 // from upright
	TiltToward      string   // mesial, distal, facial, lingual
	RotationDeg     *float64
	RootFilled      *bool
	Crown           string // none, metal, ceramic, survey
	Caries          string // none, treated, active
	Periodontal     string // healthy, treated, active
	Prognosis       string // good, doubtful, hopeless
	RestSeat        string // none, present: a prepared seat already there
	SeatMaterial    string // enamel, gold, amalgam, composite, dentine
	ProbingMM       *float64
	Furcation       *int
	CrownHeightMM   *float64
	MesialContact   string // free, blocked: room for a mesial rest in occlusion
	OpposingRoomMM  *float64
	ArmRoomMM       *float64 // between a clasp arm on the tooth and the opponent
	ExtractedMonths *float64 // of a missing tooth: months since it was lost
	Diastema        *bool    // open space to the mesial neighbour
	Note            string
}

// Torus is a bony swelling.
type Torus struct {
	Place         string         // lingual or palatal
	Teeth         []tooth.Number // beside which teeth; a lingual torus only
	Size          string         // small, large
	Operable      *bool
	ToVibratingMM *float64 // palatal: from its rear end to the vibrating line
}

// TissueUndercut is a soft-tissue undercut on the facial of a tooth or ridge.
type TissueUndercut struct {
	DepthMM       float64
	BelowMarginMM float64 // where it begins, below the gingival margin
}

// Ridge is how firm the mucosa of an edentulous ridge is.
type Ridge string

const (
	Firm   Ridge = "firm"
	Flabby Ridge = "flabby"
	Flat   Ridge = "flat"
)

// Tissues is what is known of the soft tissues [mm].
type Tissues struct {
	FloorDepthMM      map[tooth.Number]float64 // lower: lingual gingival margin to the functional floor
	FloorIsFunctional *bool                    // recorded in function
	VestibuleDepthMM  map[tooth.Number]float64 // gingival margin to the movable mucosa, facial
	TissueUndercutMM  map[tooth.Number]TissueUndercut
	FrenumNear        []tooth.Number
	LingualFrenum     string // low, high
	Tori              []Torus
	RidgeLeft         Ridge
	RidgeRight        Ridge
	VibratingLineMM   *float64 // upper: behind the line of the second molars' distal faces
	FlabbyFront       *bool
}

// Patient is what the design asks about the person; never who it is.
type Patient struct {
	Allergies  []string // nickel, cobalt, chromium, acrylic …
	SmileLine  string   // low, medium, high
	Gag        *bool
	Dexterity  string // good, poor
	CariesRisk string // low, medium, high
	Hygiene    string // good, poor
	DryMouth   *bool
	Bruxism    *bool
	Epilepsy   *bool
}

// Opposing is what stands in the other arch.
type Opposing struct {
	Kind string // natural, complete-denture, partial-denture, implant, mixed; empty not known
}

// Chart is everything found for one arch.
type Chart struct {
	Arch     tooth.Arch
	Teeth    map[tooth.Number]Tooth // a tooth that is not listed is sound and present
	Tissues  Tissues
	Patient  Patient
	Opposing Opposing
}

// State is what stands at n's place; a tooth that is not listed is present.
func (c Chart) State(n tooth.Number) State {
	if t, ok := c.Teeth[n]; ok && t.State != "" {
		return t.State
	}
	return Present
}

// Stands tells whether a part can stand on n: a tooth, pontic or implant crown that is
// not to be extracted.
func (c Chart) Stands(n tooth.Number) bool {
	switch c.State(n) {
	case Present, Pontic, Implant:
		return true
	}
	return false
}

// Replaced tells whether the denture is to replace n: a missing, lost or covered tooth,
// by default every one but a third molar.
func (c Chart) Replaced(n tooth.Number) bool {
	switch c.State(n) {
	case Missing, Extract, Root:
	default:
		return false
	}
	if r := c.Teeth[n].Replace; r != nil {
		return *r
	}
	return n.Kind() != tooth.ThirdMolar
}

// Pattern is the chart as the classification sees it.
func (c Chart) Pattern(strict bool) arch.Pattern {
	p := arch.Pattern{Arch: c.Arch, Standing: map[tooth.Number]arch.Standing{}, NotReplaced: map[tooth.Number]bool{},
		Replaced: map[tooth.Number]bool{}, NotAbutment: map[tooth.Number]bool{}, Strict: strict}
	for n, t := range c.Teeth {
		switch c.State(n) {
		case Missing, Extract, Root:
			p.Standing[n] = arch.Missing
			if n.Kind() == tooth.ThirdMolar {
				if c.Replaced(n) {
					p.Replaced[n] = true
				}
			} else if !c.Replaced(n) {
				p.NotReplaced[n] = true
			}
		case Closed:
			p.Standing[n] = arch.Closed
		default:
			if n.Kind() == tooth.ThirdMolar && t.Abutment != nil && !*t.Abutment {
				p.NotAbutment[n] = true
			}
		}
	}
	return p
}

// Problem is one place where a chart contradicts itself or cannot be right.
type Problem struct {
	Field string // as in "teeth.34.mobility"
	Text  words.Text
}

// Validate lists every contradiction and impossible value, in the order of the teeth.
func (c Chart) Validate() []Problem {
	var out []Problem
	say := func(field string, text words.Text) { out = append(out, Problem{field, text}) }
	if c.Arch != tooth.Upper && c.Arch != tooth.Lower {
		say("arch", words.Tell("expected upper or lower"))
		return out
	}
	arch := words.Code{Group: "arch", Code: c.Arch.String()}
	stands := func(s State) words.Code {
		if s == "" {
			s = Present
		}
		return words.Code{Group: "stands", Code: string(s)}
	}
	for _, n := range numbers(c.Teeth) {
		t, at := c.Teeth[n], "teeth."+n.String()
		if !n.Valid() || n.Arch() != c.Arch {
			say(at, words.Tell("tooth %d does not belong to the %v arch", n, arch))
			continue
		}
		if !oneOf(string(t.State), "", "present", "missing", "extract", "pontic", "implant", "root", "closed") {
			say(at+".state", words.Tell("%q: expected present, missing, extract, pontic, implant, root or closed", t.State))
			continue
		}
		gone := !c.Stands(n)
		if t.Replace != nil && !gone {
			say(at+".replace", words.Tell("tooth %d is %s: only a tooth that is missing or to be extracted can be replaced", n, stands(c.State(n))))
		}
		if t.Replace != nil && *t.Replace && c.State(n) == Closed {
			say(at+".replace", words.Tell("the space of tooth %d is closed: there is no room to replace it", n))
		}
		if t.Abutment != nil && *t.Abutment && gone {
			say(at+".abutment", words.Tell("tooth %d is %s and cannot be an abutment", n, stands(c.State(n))))
		}
		if c.State(n) == Missing || c.State(n) == Closed {
			for _, f := range []struct {
				name string
				set  bool
			}{{"mobility", t.Mobility != nil}, {"bone_loss_percent", t.BoneLossPercent != nil}, {"crown_root_ratio", t.CrownRootRatio != nil},
				{"tilt_deg", t.TiltDeg != nil}, {"root_filled", t.RootFilled != nil}, {"crown", t.Crown != ""}, {"caries", t.Caries != ""}} {
				if f.set {
					say(at+"."+f.name, words.Tell("tooth %d is missing, yet its %s is recorded", n, f.name))
				}
			}
		}
		within := func(name string, v *float64, lo, hi float64) {
			if v != nil && !(*v >= lo && *v <= hi) {
				say(at+"."+name, words.Tell("%g: expected %g to %g", *v, lo, hi))
			}
		}
		if t.Mobility != nil && (*t.Mobility < 0 || *t.Mobility > 3) {
			say(at+".mobility", words.Tell("%d: expected a grade 0 to 3", *t.Mobility))
		}
		if t.Furcation != nil && (*t.Furcation < 0 || *t.Furcation > 3) {
			say(at+".furcation", words.Tell("%d: expected a grade 0 to 3", *t.Furcation))
		}
		within("bone_loss_percent", t.BoneLossPercent, 0, 100)
		within("crown_root_ratio", t.CrownRootRatio, 0.1, 10)
		within("tilt_deg", t.TiltDeg, 0, 90)
		within("rotation_deg", t.RotationDeg, -180, 180)
		within("probing_mm", t.ProbingMM, 0, 20)
		within("crown_height_mm", t.CrownHeightMM, 0, 20)
		within("opposing_room_mm", t.OpposingRoomMM, 0, 30)
		within("arm_room_mm", t.ArmRoomMM, 0, 30)
		word := func(name, v string, allowed ...string) {
			if v != "" && !oneOf(v, allowed...) {
				say(at+"."+name, words.Tell("%q: expected one of %v", v, allowed))
			}
		}
		word("tilt_toward", t.TiltToward, "mesial", "distal", "facial", "lingual")
		word("crown", t.Crown, "none", "metal", "ceramic", "survey")
		word("caries", t.Caries, "none", "treated", "active")
		word("periodontal", t.Periodontal, "healthy", "treated", "active")
		word("prognosis", t.Prognosis, "good", "doubtful", "hopeless")
	}
	depths := func(name string, m map[tooth.Number]float64, hi float64) {
		for _, n := range numbers(m) {
			at := "tissues." + name + "." + n.String()
			if !n.Valid() || n.Arch() != c.Arch {
				say(at, words.Tell("tooth %d does not belong to the %v arch", n, arch))
			} else if v := m[n]; !(v >= 0 && v <= hi) {
				say(at, words.Tell("%g mm: expected 0 to %g", v, hi))
			}
		}
	}
	depths("floor_depth_mm", c.Tissues.FloorDepthMM, 30)
	depths("vestibule_depth_mm", c.Tissues.VestibuleDepthMM, 30)
	if c.Arch == tooth.Upper && len(c.Tissues.FloorDepthMM) > 0 {
		say("tissues.floor_depth_mm", words.Tell("the upper arch has no floor of the mouth"))
	}
	for _, n := range numbers(c.Tissues.TissueUndercutMM) {
		if !n.Valid() || n.Arch() != c.Arch {
			say("tissues.tissue_undercut_mm."+n.String(), words.Tell("tooth %d does not belong to the %v arch", n, arch))
		}
	}
	for i, t := range c.Tissues.Tori {
		want := map[tooth.Arch]string{tooth.Upper: "palatal", tooth.Lower: "lingual"}[c.Arch]
		if t.Place != want {
			say(fmt.Sprintf("tissues.tori[%d].place", i), words.Tell("%q: expected %s in the %v arch", t.Place, want, arch))
		}
	}
	return out
}

func oneOf(s string, words ...string) bool {
	for _, w := range words {
		if s == w {
			return true
		}
	}
	return false
}

func numbers[V any](m map[tooth.Number]V) []tooth.Number {
	out := make([]tooth.Number, 0, len(m))
	for n := range m {
		out = append(out, n)
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}
