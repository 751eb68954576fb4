package prep

import (
	"math"
	"strings"
	"testing"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/tooth"
)

func lowerClassII(t *testing.T) Input {
	t.Helper()
	c := chart.Chart{Arch: tooth.Lower, Teeth: map[tooth.Number]chart.Tooth{}}
	for _, n := range []tooth.Number{35, 36, 37, 38, 48} {
		c.Teeth[n] = chart.Tooth{State: chart.Missing}
	}
	class, err := arch.Classify(c.Pattern(false))
	if err != nil {
		t.Fatal(err)
	}
	d := design.Design{Arch: tooth.Lower, Parts: []design.Part{
		{ID: "rest-34-mesial", Kind: design.Rest, Tooth: 34, Form: design.RestOcclusal, Site: tooth.Mesial},
		{ID: "guide-plate-34-distal", Kind: design.GuidePlate, Tooth: 34, Surface: tooth.Distal},
		{ID: "retainer-34", Kind: design.Retainer, Tooth: 34, Form: design.ClaspIBar, Undercut: &design.Undercut{Site: tooth.MidFacial, MM: 0.25}, Note: "undercut made by composite"},
		{ID: "rest-43-lingual", Kind: design.Rest, Tooth: 43, Form: design.RestCingulum, Site: tooth.Lingual},
		{ID: "rest-36-mesial", Kind: design.Rest, Tooth: 36, Form: design.RestOcclusal, Site: tooth.Mesial},
	}}
	return Input{Chart: c, Class: class, Design: d, Amounts: Usual()}
}

// The order of work is guide planes, survey lines, undercuts, rest seats (lecture after
// McCracken's; course cards), with treatment before and polish and fluoride after.
func TestOrderOfWork(t *testing.T) {
	in := lowerClassII(t)
	in.Chart.Teeth[34] = chart.Tooth{Caries: "active"}
	p := Make(in)
	for i := 1; i < len(p.Items); i++ {
		if p.Items[i].Stage < p.Items[i-1].Stage {
			t.Errorf("%s comes after %s", p.Items[i].Text, p.Items[i-1].Text)
		}
	}
	var ops []string
	for _, i := range p.On(34) {
		ops = append(ops, string(i.Operation))
	}
	if got := strings.Join(ops, " "); got != "treat-disease guide-plane composite-undercut occlusal-seat" {
		t.Errorf("on 34: %s", got)
	}
	if !p.Has(0, Polish) || !p.Has(0, Fluoride) {
		t.Error("polish and fluoride are missing")
	}
}

// Seat 1.5 mm at the ridge and 2.5 mm wide (examination keys), guide plane 1.5 to 2.0 mm
// beside an extension base (US course sets), at most 0.5 mm of enamel (from memory).
func TestAmounts(t *testing.T) {
	p := Make(lowerClassII(t))
	for _, i := range p.Items {
		switch i.Operation {
		case OcclusalSeat:
			if i.RemovalMM != 1.5 || i.WidthMM != 2.5 {
				t.Errorf("seat %.2f deep, %.2f wide", i.RemovalMM, i.WidthMM)
			}
		case GuidePlane:
			if i.HeightMM != [2]float64{1.5, 2} || i.RemovalMM > 0.5 {
				t.Errorf("guide plane %v high, %.2f deep", i.HeightMM, i.RemovalMM)
			}
		case CingulumSeat:
			if i.RemovalMM != 0 || i.Material != "composite" {
				t.Errorf("a lower canine's seat is cut %.2f into %s", i.RemovalMM, i.Material)
			}
		}
		if len(i.Text.String()) < 20 || i.Check.Empty() || len(i.Sources) == 0 {
			t.Errorf("%s on %d is not whole", i.Operation, i.Tooth)
		}
	}
}

func TestNothingIsPreparedOnAMissingTooth(t *testing.T) {
	for _, i := range Make(lowerClassII(t)).Items {
		if i.Tooth == 36 {
			t.Errorf("%s on 36, which is missing", i.Operation)
		}
	}
}

func TestASeatThatIsThereIsNotCutAgain(t *testing.T) {
	in := lowerClassII(t)
	in.Chart.Teeth[34] = chart.Tooth{RestSeat: "present"}
	if Make(in).Has(34, OcclusalSeat) {
		t.Error("a seat is cut where one is")
	}
}

func TestShallowUndercutIsMade(t *testing.T) {
	in := lowerClassII(t)
	in.Design.Parts[2].Note = ""
	in.Undercut = func(tooth.Number, tooth.Site) (float64, bool) { return 0.05, true }
	if !Make(in).Has(34, Composite) {
		t.Error("the missing undercut is not made")
	}
	in.Undercut = func(tooth.Number, tooth.Site) (float64, bool) { return 0.25, true }
	if Make(in).Has(34, Composite) {
		t.Error("an undercut is made where one is")
	}
}

// No more than half a millimetre of enamel comes off an upright surface (from memory,
// McCracken's), whatever steps it takes: plane and lowered survey line share it.
func TestOneSurfaceIsCutOnce(t *testing.T) {
	in := lowerClassII(t)
	in.Design.Parts = append(in.Design.Parts, design.Part{ID: "reciprocation-34", Kind: design.Reciprocation, Tooth: 34, Form: design.ReciprocalArm, Surface: tooth.Lingual})
	taken := map[tooth.Surface]float64{}
	lowered := false
	for _, i := range Make(in).On(34) {
		switch i.Operation {
		case GuidePlane, LowerContour:
			taken[i.Surface] += i.RemovalMM
			if left := i.EnamelLeftMM(); math.Abs(left-(0.8-taken[i.Surface])) > 1e-9 {
				t.Errorf("%s leaves %v mm of 0.8 after %v", i.Operation, left, taken[i.Surface])
			}
			lowered = lowered || i.Operation == LowerContour && len(i.Cautions) > 1
		}
	}
	if taken[tooth.Lingual] != 0.5 || !lowered {
		t.Errorf("%v mm come off the lingual, and the second step says so: %v", taken[tooth.Lingual], lowered)
	}
}

// What is to be extracted goes first, so that the ridge heals before the impression
// (lecture notes: surgery early, then preparation).
func TestExtractionsComeFirst(t *testing.T) {
	in := lowerClassII(t)
	in.Chart.Teeth[37] = chart.Tooth{State: chart.Extract}
	p := Make(in)
	if first := p.Items[0]; first.Operation != Extract || first.Tooth != 37 || first.Stage != Treatment {
		t.Errorf("the first step is %s on %d", first.Operation, first.Tooth)
	}
}
