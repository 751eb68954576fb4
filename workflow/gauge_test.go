package workflow_test

import (
	"context"
	"testing"

	"halfpear/casebook"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
)

// What was read by hand stands beside the scan: a reading that agrees is no finding, one
// that is off by half a gauge more than the two are exact is; a made cast is no scan.
func TestReadingsByHandAreSetBesideTheScan(t *testing.T) {
	s := open(t, "../cmd/halfpear/cli/demo/lower-extension.yaml", nil)
	proposals, err := s.Propose(context.Background(), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	height := 2.0
	depth, spread := s.Crowns[34].Gauge(tooth.MesioFacial, &height)
	_, far := s.Crowns[34].Gauge(tooth.DistoFacial, &height)
	wrong, _ := s.Crowns[34].Gauge(tooth.DistoFacial, &height)
	c := s.Case
	c.Survey.Undercuts = map[tooth.Number]map[tooth.Site]casebook.HandUndercut{34: {
		tooth.MesioFacial: {MM: depth + 0.05, AboveMarginMM: &height},
		tooth.DistoFacial: {MM: wrong + 0.05 + far + 0.05 + 0.125, AboveMarginMM: &height},
	}}
	if spread <= 0 || spread > 0.4 {
		t.Errorf("a second reading may be off by %.3f mm for its place", spread)
	}
	for _, is := range []unit.Origin{unit.Measured, unit.Average} {
		k := *s.Cast
		k.Origin, k.Spread = is, 0.05
		study := s.With(c)
		study.Cast = &k
		plan, err := study.Plan(proposals[0].Design)
		if err != nil {
			t.Fatal(err)
		}
		var found []rulebook.Finding
		for _, f := range plan.Report.Findings {
			if f.Rule == "CHK-073" {
				found = append(found, f)
			}
		}
		if is == unit.Average {
			if len(found) != 0 {
				t.Errorf("on a cast made from averages: %+v", found)
			}
			continue
		}
		if len(found) != 1 || found[0].Status != rulebook.Failed || found[0].Place.Tooth != 34 {
			t.Fatalf("expected one failed finding on 34, got %+v", found)
		}
		t.Log(found[0].Message)
	}
}

// The lingual sulcus of the plaster cast lies 5 to 9 mm below the margin at canines and
// incisors and 6 to 9 mm at premolars, as measured on the cast by hand and written beside
// it.
func TestFloorOfThePlasterCast(t *testing.T) {
	s := plaster(t)
	read := 0
	for _, p := range s.Tissues.Places {
		if p.Ridge != nil || p.Lingual.Depth == nil {
			continue
		}
		read++
		low := 5.0
		if p.Tooth.Kind().Premolar() {
			low = 6
		}
		if d := p.Lingual.Depth.Straight; d < low || d > 9 {
			t.Errorf("%v: floor %.1f mm below the margin, expected %g to 9", p.Tooth, d, low)
		}
	}
	if read != 8 {
		t.Errorf("the floor was read at %d of eight teeth", read)
	}
}
