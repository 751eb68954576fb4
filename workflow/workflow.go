// Package workflow is the list of steps from a chart and a cast to papers, in their order.
// It holds no trade knowledge: each step hands values to the room that knows, and its
// result to the next. The command line and the workbench both call these steps and hold no
// second copy of them.
//
//	read      case file, scan file     -> case, mesh and what was wrong with it
//	classify  chart                    -> Kennedy class, areas
//	mount     chart, or scan and points-> cast
//	survey    cast, path               -> depths, survey lines, crown charts
//	propose   all of the above, rules  -> designs, best first, with reasons
//	place     design on the cast       -> curves, patches, measures
//	reckon    placement, materials     -> forces, shares, movements
//	prepare   design, placement, chart -> mouth preparations in order of work
//	check     facts of all the above   -> findings
//	draw      all of the above         -> sheets
//	order     all of the above         -> papers, or what is missing for them
package workflow

import (
	"fmt"
	"math"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/encoding/scan"
	"halfpear/geom/mesh"
	"halfpear/tooth"
	"halfpear/typodont"
	"halfpear/words"
)

// Classify gives the class of a charted arch.
func Classify(c chart.Chart, strict bool) (arch.Result, error) {
	return arch.Classify(c.Pattern(strict))
}

// ReadScan reads a scan file and mends what can be mended without moving a point. The
// notes say what was found and what was mended.
func ReadScan(name string, data []byte) (scan.File, mesh.Report, []words.Text, error) {
	f, err := scan.Read(name, data)
	if err != nil {
		return scan.File{}, mesh.Report{}, nil, err
	}
	if f.Format != "STL" {
		f.Mesh = f.Mesh.WeldVertices()
	}
	report := mesh.Inspect(f.Mesh)
	notes := report.Notes
	if f.FaceLabels == nil {
		mended, rep := mesh.Mend(f.Mesh)
		f.Mesh = mended
		if s := rep.Text(); !s.Empty() {
			notes = append(notes, s)
		}
	}
	if len(f.Mesh.Faces) == 0 {
		return scan.File{}, report, notes, words.Errorf("could not use %s: none of its %d triangles has an area", name, report.Faces)
	}
	return f, report, notes, nil
}

// Typodont makes the cast of a case that has no scan.
func Typodont(c chart.Chart) (*cast.Cast, error) {
	made, err := typodont.Make(typodontSpec(c))
	if err != nil {
		return nil, words.Errorf("making a cast from the chart: %v", err)
	}
	return made, nil
}

// typodontSpec hands on what the chart knows of the shape of the mouth.
func typodontSpec(c chart.Chart) typodont.Spec {
	s := typodont.Spec{Arch: c.Arch, Teeth: map[tooth.Number]typodont.Tooth{},
		FloorDepth: clamped(c.Tissues.FloorDepthMM, 1.5, 25), VestibuleDepth: clamped(c.Tissues.VestibuleDepthMM, 1.5, 25),
		TissueUndercuts: map[tooth.Number]typodont.TissueUndercut{}, Frena: c.Tissues.FrenumNear, RidgeDrop: map[tooth.Number]float64{}}
	for _, n := range tooth.All(c.Arch) {
		t := c.Teeth[n]
		if c.Stands(n) {
			made := typodont.Tooth{}
			if t.CrownHeightMM != nil {
				made.CrownHeight = math.Max(3, math.Min(15, *t.CrownHeightMM))
			}
			if t.RotationDeg != nil {
				made.RotationDeg = math.Max(-60, math.Min(60, *t.RotationDeg))
			}
			if t.TiltDeg != nil {
				lean := math.Min(45, *t.TiltDeg)
				switch t.TiltToward {
				case "mesial":
					made.MesialTiltDeg = lean
				case "distal":
					made.MesialTiltDeg = -lean
				case "facial":
					made.FacialTiltDeg = lean
				case "lingual":
					made.FacialTiltDeg = -lean
				}
			}
			s.Teeth[n] = made
			continue
		}
		side := c.Tissues.RidgeLeft
		if n.Right() {
			side = c.Tissues.RidgeRight
		}
		if side == chart.Flat {
			s.RidgeDrop[n] = 5
		}
	}
	for n, u := range c.Tissues.TissueUndercutMM {
		s.TissueUndercuts[n] = typodont.TissueUndercut{Depth: math.Max(0, math.Min(4, u.DepthMM)), BelowMargin: math.Max(1, math.Min(15, u.BelowMarginMM))}
	}
	for _, t := range c.Tissues.Tori {
		made := typodont.Torus{Palatal: t.Place == "palatal", Teeth: t.Teeth, Height: 2}
		if t.Size == "large" {
			made.Height = 4
		}
		if len(made.Teeth) == 0 && made.Palatal {
			made.Teeth = []tooth.Number{15, 16, 25, 26}
		}
		if len(made.Teeth) > 0 {
			s.Tori = append(s.Tori, made)
		}
	}
	return s
}

func clamped(m map[tooth.Number]float64, lo, hi float64) map[tooth.Number]float64 {
	out := map[tooth.Number]float64{}
	for n, v := range m {
		out[n] = math.Max(lo, math.Min(hi, v))
	}
	return out
}

// CastKey names everything a case's cast is made from: two cases with the same key have
// the same cast.
func CastKey(c casebook.Case, scanDigest string) string {
	if c.Scan != nil {
		return fmt.Sprintf("scan %s %v %v", scanDigest, c.Scan, c.Chart.Pattern(false).Text())
	}
	return fmt.Sprintf("chart %+v", typodontSpec(c.Chart))
}
