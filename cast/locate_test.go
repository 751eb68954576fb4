package cast_test

import (
	"path/filepath"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

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

// An arch that lost one side, and was scanned close round its teeth, hardly looks like an arch;
// it is still not taken for its own underside. Without a chart its front teeth may be counted
// one off, its back teeth are told by their form.
func TestLocateOneSideLeft(t *testing.T) {
	p := scanned(t, "maxilla-intraoral/maxilla_full.ply", tooth.Upper).coarse(0.5).pulled(22, 23, 24, 25, 26, 27).strip(6)
	q := p.lying(newRand(3))
	l, err := cast.Locate(q.mesh, q.arch, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	if lean := q.lean(p, l.Turn)[0]; lean > 25 {
		t.Errorf("the arch leans by %.0f degrees", lean)
	}
	on := cast.NewSurface(q.mesh)
	back := map[tooth.Number]bool{}
	for _, f := range l.Teeth {
		_, face := on.Nearest(f.Point)
		back[f.Tooth] = q.labels[face] == f.Tooth
	}
	for _, n := range []tooth.Number{17, 16, 15, 14} {
		if !back[n] {
			t.Errorf("%v was not found where it stands", n)
		}
	}
}
