package cast_test

import (
	"path/filepath"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// Crowns and margins with one point a tooth, against the labels that came with the scans:
// Dice of each crown, and how far in mm the margin lies from the labels' border to the gum.
// The plaster cast's labels are good to a millimetre, says its description.
func TestCrownsOfScans(t *testing.T) {
	for _, k := range []struct {
		file         string
		arch         tooth.Arch
		points       map[tooth.Number]geom.Vec
		dice, margin float64
	}{
		{"plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply", tooth.Lower, plasterFront, 0.85, 1.3},
		{"plaster-cast/lower_cast.ply", tooth.Lower, joined(plasterFront, plasterBack), 0.88, 1.3},
		{"maxilla-intraoral/maxilla_full.ply", tooth.Upper, maxilla, 0.96, 0.4},
	} {
		t.Run(filepath.Base(k.file), func(t *testing.T) {
			s := scanned(t, k.file, k.arch).look(t, k.points, true)
			if s.err != nil {
				t.Fatal(s.err)
			}
			t.Logf("mean dice %.3f, least %.2f on %v; margins %.2f mm off", s.dice, s.low, s.worst, s.margin)
			if s.dice < k.dice || s.margin > k.margin {
				t.Errorf("mean dice %.3f and margins %.2f mm off, expected %.2f and %.1f mm", s.dice, s.margin, k.dice, k.margin)
			}
		})
	}
}

// scanCase is a scan with what stands on it.
type scanCase struct {
	file    string
	arch    tooth.Arch
	missing []tooth.Number
}

var scanCases = []scanCase{
	{"plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply", tooth.Lower, []tooth.Number{35, 36, 37, 38, 45, 46, 47, 48}},
	{"plaster-cast/lower_cast.ply", tooth.Lower, []tooth.Number{48}},
	{"maxilla-intraoral/maxilla_full.ply", tooth.Upper, []tooth.Number{18, 28}},
	{"maxilla-intraoral/maxilla_kennedy3mod1_no_16-15_25-26.ply", tooth.Upper, []tooth.Number{18, 16, 15, 25, 26, 28}},
}

// judge counts the teeth whose point lies on a face of that tooth, those that stand, and
// those found that do not stand.
func judge(t *testing.T, m *mesh.Mesh, labels []uint8, l cast.Located) (right, stand, wrong int) {
	t.Helper()
	there := map[tooth.Number]bool{}
	for _, n := range labels {
		if n != 0 && !there[tooth.Number(n)] {
			there[tooth.Number(n)] = true
			stand++
		}
	}
	on := cast.NewSurface(m)
	for _, f := range l.Teeth {
		_, face := on.Nearest(f.Point)
		if tooth.Number(labels[face]) == f.Tooth {
			right++
		} else {
			wrong++
			t.Logf("%v: its point lies on %d (confidence %.2f)", f.Tooth, labels[face], f.Confidence)
		}
	}
	return right, stand, wrong
}

func TestLocateScans(t *testing.T) {
	turns := []struct {
		axis  geom.Vec
		angle float64
	}{{geom.V(1, 2, -0.5), 2}}
	for _, k := range scanCases {
		t.Run(filepath.Base(k.file), func(t *testing.T) {
			f := load(t, k.file)
			for i, turn := range turns {
				m := f.Mesh.Map(func(p geom.Vec) geom.Vec { return geom.RotateAbout(p, turn.axis.Unit(), turn.angle) })
				for _, known := range []bool{false, true} {
					var missing []tooth.Number
					if known {
						missing = k.missing
					}
					l, err := cast.Locate(m, k.arch, missing, 0)
					if err != nil {
						t.Error(err)
						continue
					}
					right, stand, wrong := judge(t, m, f.FaceLabels, l)
					t.Logf("turn %d, chart %v: %d of %d right, %d wrong", i, known, right, stand, wrong)
					if share := float64(right) / float64(stand); share < 0.95 {
						t.Errorf("%d of %d teeth have the right number, expected 95 %%", right, stand)
					}
				}
			}
		})
	}
}
