package workflow_test

import (
	"context"
	"math/rand"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/encoding/casefile"
	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/workflow"
)

// strange is a chart that may be usual, odd or hardly possible.
func strange(r *rand.Rand) chart.Chart {
	c := chart.Chart{Arch: []tooth.Arch{tooth.Upper, tooth.Lower}[r.Intn(2)], Teeth: map[tooth.Number]chart.Tooth{}}
	gone := 0.8 * r.Float64()
	for _, n := range tooth.All(c.Arch) {
		var t chart.Tooth
		switch {
		case n.Kind() == tooth.ThirdMolar && r.Intn(5) > 0:
			t.State = chart.Missing
		case r.Float64() < gone:
			t.State = []chart.State{chart.Missing, chart.Missing, chart.Missing, chart.Missing, chart.Extract, chart.Root, chart.Closed}[r.Intn(7)]
			if r.Intn(3) == 0 && t.State != chart.Closed {
				b := r.Intn(2) == 0
				t.Replace = &b
			}
		default:
			t.State = []chart.State{chart.Present, chart.Present, chart.Present, chart.Present, chart.Pontic, chart.Implant}[r.Intn(6)]
			if v := 45 * r.Float64(); r.Intn(3) == 0 {
				t.TiltDeg, t.TiltToward = &v, []string{"mesial", "distal", "facial", "lingual"}[r.Intn(4)]
			}
			if v := 60 * r.Float64(); r.Intn(8) == 0 {
				t.RotationDeg = &v
			}
		}
		c.Teeth[n] = t
	}
	c.Tissues.FloorDepthMM, c.Tissues.VestibuleDepthMM = map[tooth.Number]float64{}, map[tooth.Number]float64{}
	floor, fold := 2+10*r.Float64(), 2+10*r.Float64()
	for _, n := range tooth.All(c.Arch) {
		if c.Arch == tooth.Lower {
			c.Tissues.FloorDepthMM[n] = floor + r.Float64()
		}
		c.Tissues.VestibuleDepthMM[n] = fold + r.Float64()
	}
	if r.Intn(4) == 0 {
		c.Tissues.Tori = []chart.Torus{{Place: map[tooth.Arch]string{tooth.Upper: "palatal", tooth.Lower: "lingual"}[c.Arch], Size: []string{"small", "large"}[r.Intn(2)]}}
	}
	return c
}

// crowded has a turned and tipped lower incisor between its neighbours, in a row that has
// closed over a lost one.
const crowded = `format: case/1
arch: lower
profile: open-hygienic
teeth:
  32: {state: closed}
  42: {tilt_deg: 26, tilt_toward: distal, rotation_deg: 49}
  43: {tilt_deg: 23, tilt_toward: facial}
  45: {state: root}
  48: {state: missing, replace: false}
  38: {state: missing, replace: false}
`

// bridged has a pontic between two gaps and a floor for a cingulum bar.
const bridged = `format: case/1
arch: lower
profile: open-hygienic
teeth:
  44: {state: missing, replace: false}
  45: {tilt_deg: 25, tilt_toward: lingual}
  31: {state: missing}
  32: {tilt_deg: 27, tilt_toward: distal}
  33: {state: missing}
  35: {state: missing}
  36: {state: pontic}
  37: {state: missing, replace: false}
  38: {state: missing, replace: false}
  48: {state: missing, replace: false}
tissues: {floor_depth_mm: {34: 9.3, 33: 10.2, 31: 5.4, 41: 4.4, 43: 2.8, 44: 9.5}, lingual_frenum: high}
`

// Whatever a chart says, a cast can be made of it, and every design that is proposed for
// it can be laid, reckoned and checked.
func TestStrangeMouths(t *testing.T) {
	charts := []chart.Chart{}
	for _, text := range []string{crowded, bridged} {
		c, err := casefile.Read("strange", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		charts = append(charts, c.Chart)
	}
	for seed := range 6 {
		charts = append(charts, strange(rand.New(rand.NewSource(int64(seed)))))
	}
	for i, c := range charts {
		book, err := rulebook.Open("open-hygienic")
		if err != nil {
			t.Fatal(err)
		}
		list, err := proposal.Propose(proposal.Input{Chart: c, Book: book})
		if err != nil {
			continue // nothing to design, or no tooth to carry it: said by an error
		}
		s, err := workflow.Open(context.Background(), workflow.Input{Case: casebook.Case{Chart: c}, Book: book})
		if err != nil {
			t.Errorf("chart %d: %v", i, err)
			continue
		}
		for _, p := range list {
			if _, err := s.Plan(p.Design); err != nil {
				t.Errorf("chart %d: %s: %v", i, p.Kind, err)
			}
		}
	}
}

// Crowding that the made cast cannot show is drawn smaller and told, as is a space that has
// closed and is shown open.
func TestCrowdingIsTold(t *testing.T) {
	c, err := casefile.Read("crowded", []byte(crowded))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := workflow.Typodont(c.Chart); err == nil {
		t.Skip("this crowding can be drawn as charted")
	}
	k, notes, err := workflow.MakeCast(c.Chart)
	if err != nil || k == nil || len(notes) != 3 {
		t.Errorf("%v, notes %v", err, notes)
	}
}
