package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"halfpear/geom"
	"halfpear/material"
	"halfpear/mechanics"
)

func newArm(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "arm FILE.json",
		Short: "Force, movement and stress of one clasp arm",
		Long: `Reckon one clasp arm as a tapered beam in space, fixed at the first point of its path and
loaded at the last: by a force on the tip, or by a movement the tip is forced to make.
Lengths mm, forces N, stresses MPa. The file "-" is standard input.

The peak stress is the largest equivalent stress (bending, stretching and torsion
together) anywhere along the arm; away_from_clamp gives it without the first root width,
where a real clamp differs from a beam's.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return runArm(c, args[0]) },
	}
}

type triple [3]float64

func (t *triple) UnmarshalJSON(data []byte) error {
	var v []float64
	if err := json.Unmarshal(data, &v); err != nil || len(v) != 3 {
		return fmt.Errorf("expected three numbers [x,y,z], found %s", data)
	}
	for _, x := range v {
		if math.Abs(x) > largest {
			return fmt.Errorf("%g: expected numbers of at most %g", x, float64(largest))
		}
	}
	copy(t[:], v)
	return nil
}

// largest is beyond every length [mm], force [N] and stiffness that a denture can have, and
// small enough that reckoning with it loses no place of a sum.
const largest = 1e9

func (t triple) vec() geom.Vec { return geom.V(t[0], t[1], t[2]) }

func tripleOf(v geom.Vec) triple { return triple{v.X, v.Y, v.Z} }

// triples is one vector, or one for each point.
type triples []triple

func (t *triples) UnmarshalJSON(data []byte) error {
	var one triple
	if err := strictly(data, &one); err == nil {
		*t = triples{one}
		return nil
	}
	var many []triple
	if err := strictly(data, &many); err != nil {
		return fmt.Errorf("expected [x,y,z] or a list of them: %w", err)
	}
	*t = many
	return nil
}

type armSize struct {
	Width     float64 `json:"width"`
	Thickness float64 `json:"thickness"`
}

type armSection struct {
	Shape string   `json:"shape"`
	Root  *armSize `json:"root"`
	Tip   *armSize `json:"tip"`
}

type armMaterial struct {
	name  string
	E     float64  `json:"E"`
	Nu    *float64 `json:"nu"`
	Proof float64  `json:"proof"`
}

func (m *armMaterial) UnmarshalJSON(data []byte) error {
	if err := json.Unmarshal(data, &m.name); err == nil {
		return nil
	}
	type plain armMaterial
	return strictly(data, (*plain)(m))
}

type armLoad struct {
	TipForce        *triple `json:"tip_force"`
	TipDisplacement *triple `json:"tip_displacement"`
}

type armFile struct {
	Path               []triple    `json:"path"`
	Section            armSection  `json:"section"`
	ThicknessDirection triples     `json:"thickness_direction"`
	Material           armMaterial `json:"material"`
	Load               armLoad     `json:"load"`
}

type armPeak struct {
	Stress float64 `json:"peak_stress_MPa"`
	Fibre  float64 `json:"peak_fibre_stress_MPa"`
	At     float64 `json:"peak_at_mm"`
}

type armAnswer struct {
	ArcLength       float64  `json:"arc_length_mm"`
	TipDisplacement triple   `json:"tip_displacement_mm"`
	TipRotation     triple   `json:"tip_rotation_rad"`
	TipForce        triple   `json:"tip_force_N"`
	ReactionForce   triple   `json:"reaction_force_N"`
	ReactionMoment  triple   `json:"reaction_moment_Nmm"`
	PeakStress      float64  `json:"peak_stress_MPa"`
	PeakFibre       float64  `json:"peak_fibre_stress_MPa"`
	PeakAt          float64  `json:"peak_at_mm"`
	Ratio           *float64 `json:"stress_ratio_to_proof"`
	AwayFromClamp   armPeak  `json:"away_from_clamp"`
}

// largeShare is the share of an arm's length beyond which a movement of its tip is no small one.
const largeShare = 0.25

// strictly decodes JSON and refuses fields it does not know.
func strictly(data []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	return d.Decode(into)
}

// readJSON reads a JSON file, or standard input where the name is "-". Fields it does not
// know are passed over, since such files carry notes and results of other programs; but they
// are named, since one of them may be a field misspelt.
func (c *console) readJSON(what, name string, into any) error {
	var data []byte
	var err error
	if name == "-" {
		data, err = io.ReadAll(io.LimitReader(c.in, 64<<20))
	} else {
		data, err = readFile(what, name)
	}
	if err != nil {
		return err
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return fmt.Errorf("could not read the %s %s: expected JSON, the file is empty", what, name)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(into); err != nil {
		at := d.InputOffset()
		why := strings.TrimPrefix(err.Error(), "json: ")
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at = syntax.Offset
		}
		var kind *json.UnmarshalTypeError
		if errors.As(err, &kind) {
			field := kind.Field
			if field == "" {
				field = "the document"
			}
			why = fmt.Sprintf("%s: expected %s, found %s", field, jsonKind(kind.Type.Kind()), kind.Value)
		}
		line := 1 + bytes.Count(data[:min(len(data), int(at))], []byte("\n"))
		return fmt.Errorf("could not read the %s %s, near line %d: %s", what, name, line, why)
	}
	if _, err := d.Token(); err != io.EOF {
		return fmt.Errorf("could not read the %s %s: more follows after the JSON document", what, name)
	}
	if odd := strangers(data, reflect.TypeOf(into).Elem(), ""); len(odd) > 0 {
		fmt.Fprintf(c.err, "%s %s: fields that are not known were passed over: %s\n", what, name, strings.Join(odd, ", "))
	}
	return nil
}

// jsonKind is what JSON calls what a field of a kind is read from.
func jsonKind(k reflect.Kind) string {
	switch k {
	case reflect.Struct, reflect.Map:
		return "an object {…}"
	case reflect.Slice, reflect.Array:
		return "a list […]"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	}
	return "a number"
}

// strangers names the fields of a JSON document that a type has no place for, each once. Types
// that read themselves are left to see to theirs.
func strangers(data []byte, t reflect.Type, at string) (odd []string) {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if reflect.PointerTo(t).Implements(reflect.TypeFor[json.Unmarshaler]()) {
		return nil
	}
	switch t.Kind() {
	case reflect.Slice:
		var items []json.RawMessage
		if json.Unmarshal(data, &items) != nil {
			return nil
		}
		for _, item := range items {
			odd = append(odd, strangers(item, t.Elem(), at)...)
		}
	case reflect.Struct:
		var fields map[string]json.RawMessage
		if json.Unmarshal(data, &fields) != nil {
			return nil
		}
		for name, value := range fields {
			path := strings.TrimPrefix(at+"."+name, ".")
			field, ok := t.FieldByNameFunc(func(f string) bool {
				known, _ := t.FieldByName(f)
				return strings.EqualFold(known.Tag.Get("json"), name)
			})
			if !ok {
				odd = append(odd, path)
				continue
			}
			odd = append(odd, strangers(value, field.Type, path)...)
		}
	}
	slices.Sort(odd)
	return slices.Compact(odd)
}

func (f armFile) arm() (mechanics.Arm, error) {
	var a mechanics.Arm
	for _, p := range f.Path {
		a.Path = append(a.Path, p.vec())
	}
	for _, v := range f.ThicknessDirection {
		a.Out = append(a.Out, v.vec())
	}
	if len(a.Path) < 2 {
		return a, fmt.Errorf("path: expected at least two points, found %d", len(a.Path))
	}
	if f.Section.Root == nil {
		return a, fmt.Errorf("section.root: expected width and thickness, it is not there")
	}
	tip := f.Section.Tip
	if tip == nil {
		tip = f.Section.Root
	}
	for _, s := range []armSize{*f.Section.Root, *tip} {
		a.Sections = append(a.Sections, mechanics.Section{Shape: mechanics.Shape(f.Section.Shape), Width: s.Width, Thickness: s.Thickness})
	}
	if len(a.Out) == 0 && a.Sections[0].Shape != mechanics.Round {
		return a, fmt.Errorf("thickness_direction: expected [x,y,z] away from the flat side, it is not there")
	}
	switch m := f.Material; {
	case m.name != "":
		known, err := material.ByName(m.name)
		if err != nil {
			return a, err
		}
		a.Metal = mechanics.Elastic{E: known.E.Typical, Nu: known.Nu.Typical, Proof: known.Proof.Typical}
	case m.E == 0:
		return a, fmt.Errorf("material: expected a name such as co-cr-cast, or {\"E\":…,\"nu\":…,\"proof\":…}")
	case m.Nu == nil:
		return a, fmt.Errorf("material.nu: expected Poisson's ratio, it is not there; it is 0.3 for most metals")
	default:
		a.Metal = mechanics.Elastic{E: m.E, Nu: *m.Nu, Proof: m.Proof}
	}
	if (f.Load.TipForce == nil) == (f.Load.TipDisplacement == nil) {
		return a, fmt.Errorf("load: expected either tip_force or tip_displacement")
	}
	return a, nil
}

func runArm(c *console, name string) error {
	var f armFile
	if err := c.readJSON("arm", name, &f); err != nil {
		return err
	}
	a, err := f.arm()
	if err != nil {
		return fmt.Errorf("could not reckon the arm %s: %w", name, err)
	}
	if f.Section.Tip == nil {
		fmt.Fprintf(c.err, "arm %s: section.tip is not there: the arm is taken as even from root to tip\n", name)
	}
	b, err := mechanics.NewBeam(a)
	if err != nil {
		return fmt.Errorf("could not reckon the arm %s: %w", name, err)
	}
	var w mechanics.Wrench
	if f.Load.TipForce != nil {
		w.Force = f.Load.TipForce.vec()
	} else if w.Force, err = b.Hold(f.Load.TipDisplacement.vec()); err != nil {
		return fmt.Errorf("could not reckon the arm %s: %w", name, err)
	}
	if !w.Force.IsFinite() {
		return fmt.Errorf("could not reckon the arm %s: load: expected three numbers", name)
	}
	move, turn := b.Tip(w)
	reaction := b.Reaction(w)
	peak := b.PeakOf(w)
	if !move.IsFinite() || !(peak.Mises < math.MaxFloat64) {
		return fmt.Errorf("could not reckon the arm %s: its sizes are too far apart to be reckoned with; check the units: mm, N, MPa", name)
	}
	if move.Norm() > largeShare*b.Length() {
		fmt.Fprintf(c.err, "arm %s: the tip moves %.3g mm on an arm of %.3g mm: small movements are reckoned with, so that this is no more than a hint; check the units: mm, N, MPa\n", name, move.Norm(), b.Length())
	}
	away := b.Peak(w, b.ClampZone(), b.Length()-a.Sections[0].Width/2)
	ans := armAnswer{ArcLength: b.Length(), TipDisplacement: tripleOf(move), TipRotation: tripleOf(turn), TipForce: tripleOf(w.Force),
		ReactionForce: tripleOf(reaction.Force), ReactionMoment: tripleOf(reaction.Moment), PeakStress: peak.Mises, PeakFibre: peak.Fibre(), PeakAt: peak.At,
		AwayFromClamp: armPeak{away.Mises, away.Fibre(), away.At}}
	if a.Metal.Proof > 0 {
		r := peak.Mises / a.Metal.Proof
		ans.Ratio = &r
	}
	if c.json {
		return c.answer(ans)
	}
	fmt.Fprintf(c.out, "arm of %.2f mm\n  tip moves %.3f mm under %.2f N\n  peak stress %.0f MPa at %.1f mm from the root", b.Length(), move.Norm(), w.Force.Norm(), peak.Mises, peak.At)
	if ans.Ratio != nil {
		fmt.Fprintf(c.out, ", %.0f %% of the proof stress", 100*(*ans.Ratio))
	}
	fmt.Fprintln(c.out, "\n  an estimate: a beam, small movements, elastic metal")
	return nil
}
