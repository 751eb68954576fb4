// Package typodont makes a cast from a chart: crowns of average size and taught shape on
// an average arch, with gums, ridges, floor or palate at the depths that were measured,
// on a trimmed base. It stands in where there is no scan, and it is the same to the last
// byte for the same Spec.
//
// Crowns follow published averages of crown size, inclination and heights of contour;
// the sources stand beside the figures in anatomy.go and arch.go. What no source gives is
// our own choice and says so.
package typodont

import (
	"fmt"
	"math"

	"halfpear/cast"
	"halfpear/tooth"
)

// Spec says what the cast is to show. Lengths are mm. A zero or absent value means the
// average.
type Spec struct {
	Arch  tooth.Arch
	Teeth map[tooth.Number]Tooth // the teeth that stand

	// Stretches are the edentulous stretches. When nil they are the runs of missing teeth,
	// without third molars at their end.
	Stretches [][]tooth.Number

	FloorDepth      map[tooth.Number]float64 // lower: lingual margin to functional floor
	VestibuleDepth  map[tooth.Number]float64 // facial margin to the fold
	TissueUndercuts map[tooth.Number]TissueUndercut
	Frena           []tooth.Number // a frenum comes close to the facial margin here
	Tori            []Torus
	RidgeDrop       map[tooth.Number]float64 // how far the crest lies below the neighbouring margins, 1.5 to 5
	VaultDepth      float64                  // upper: palate below the palatal margins at the first molars

	Edge float64 // wanted edge length of the gum's triangles, 0.3 to 1.5; the crowns' are finer
}

// Tooth is how one standing tooth departs from its average place.
type Tooth struct {
	MesialTiltDeg float64 // + leans the crown mesially
	FacialTiltDeg float64 // + leans the crown facially
	RotationDeg   float64 // + turns the facial surface mesially
	CrownHeight   float64 // from the facial margin to the top, 3 to 15; 0 is the average
}

// TissueUndercut is a recess of the facial gum.
type TissueUndercut struct {
	Depth       float64
	BelowMargin float64 // from the margin down to where the recess begins
}

// Torus is a bony swelling.
type Torus struct {
	Palatal bool
	Teeth   []tooth.Number // lingual: beside these; palatal: reaching from the first to the last of them
	Height  float64        // how far it stands up
}

// Full is the Spec of an arch with every tooth but the third molars, less the missing.
func Full(a tooth.Arch, missing ...tooth.Number) Spec {
	s := Spec{Arch: a, Teeth: map[tooth.Number]Tooth{}}
	for _, n := range tooth.All(a) {
		if n.Kind() != tooth.ThirdMolar {
			s.Teeth[n] = Tooth{}
		}
	}
	for _, n := range missing {
		delete(s.Teeth, n)
	}
	return s
}

// Make builds the cast. It is an error to ask for teeth of the other arch or for figures
// that no mouth has.
func Make(spec Spec) (*cast.Cast, error) {
	if err := spec.check(); err != nil {
		return nil, fmt.Errorf("typodont: %w", err)
	}
	b := newBuilder(spec)
	if err := b.build(); err != nil {
		return nil, fmt.Errorf("typodont: %w", err)
	}
	return b.cast(), nil
}

func (s Spec) check() error {
	if s.Arch != tooth.Upper && s.Arch != tooth.Lower {
		return fmt.Errorf("the arch is neither upper nor lower")
	}
	within := func(what string, n tooth.Number, v, lo, hi float64) error {
		if math.IsNaN(v) || v < lo || v > hi {
			return fmt.Errorf("%s at %v is %g, expected %g to %g", what, n, v, lo, hi)
		}
		return nil
	}
	ours := func(what string, n tooth.Number) error {
		if !n.Valid() || n.Arch() != s.Arch {
			return fmt.Errorf("%s at %v: no tooth of the %v arch", what, n, s.Arch)
		}
		return nil
	}
	// In the arch's order, so that the same fault is named every time.
	for n := tooth.Number(0); n < 100; n++ {
		var errs []error
		if t, ok := s.Teeth[n]; ok {
			errs = append(errs, ours("tooth", n), within("mesial tilt", n, t.MesialTiltDeg, -45, 45),
				within("facial tilt", n, t.FacialTiltDeg, -45, 45), within("rotation", n, t.RotationDeg, -60, 60))
			if t.CrownHeight != 0 {
				errs = append(errs, within("crown height", n, t.CrownHeight, 3, 15))
			}
		}
		if v, ok := s.FloorDepth[n]; ok {
			errs = append(errs, ours("floor depth", n), within("floor depth", n, v, 1.5, 25))
		}
		if v, ok := s.VestibuleDepth[n]; ok {
			errs = append(errs, ours("vestibule depth", n), within("vestibule depth", n, v, 1.5, 25))
		}
		if v, ok := s.RidgeDrop[n]; ok {
			errs = append(errs, ours("ridge drop", n), within("ridge drop", n, v, 0, 12))
		}
		if v, ok := s.TissueUndercuts[n]; ok {
			errs = append(errs, ours("tissue undercut", n), within("tissue undercut", n, v.Depth, 0, 4),
				within("tissue undercut below the margin", n, v.BelowMargin, 1, 15))
		}
		for _, err := range errs {
			if err != nil {
				return err
			}
		}
	}
	for _, n := range s.Frena {
		if err := ours("frenum", n); err != nil {
			return err
		}
	}
	for _, t := range s.Tori {
		if t.Palatal != (s.Arch == tooth.Upper) {
			return fmt.Errorf("a torus is palatal in the upper arch and lingual in the lower")
		}
		if len(t.Teeth) == 0 {
			return fmt.Errorf("a torus is beside no tooth")
		}
		for _, n := range t.Teeth {
			if err := ours("torus", n); err != nil {
				return err
			}
		}
		if err := within("torus height", t.Teeth[0], t.Height, 0, 8); err != nil {
			return err
		}
	}
	for _, run := range s.Stretches {
		for _, n := range run {
			if err := ours("edentulous stretch", n); err != nil {
				return err
			}
			if _, ok := s.Teeth[n]; ok {
				return fmt.Errorf("tooth %v both stands and is part of an edentulous stretch", n)
			}
		}
	}
	if s.Edge != 0 {
		if err := within("edge length", 0, s.Edge, 0.3, 1.5); err != nil {
			return err
		}
	}
	if s.VaultDepth != 0 {
		return within("vault depth", 0, s.VaultDepth, 4, 25)
	}
	return nil
}

// stretches are the edentulous stretches in the arch's order.
func (s Spec) stretches() [][]tooth.Number {
	if s.Stretches != nil {
		return s.Stretches
	}
	var out [][]tooth.Number
	var run []tooth.Number
	flush := func() {
		run = tooth.WithoutThirdMolars(run)
		if len(run) > 0 {
			out = append(out, run)
		}
		run = nil
	}
	for _, n := range tooth.All(s.Arch) {
		if _, ok := s.Teeth[n]; ok {
			flush()
		} else {
			run = append(run, n)
		}
	}
	flush()
	return out
}
