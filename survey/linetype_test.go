package survey_test

import (
	"math"
	"testing"

	"halfpear/geom"
	"halfpear/survey"
)

// Blatterfein's four types as they are taught, the facial surface split in a near and a far
// zone by its middle (rule SUR-51), and the survey line as high, medium or low (SUR-52):
// lines drawn on a round crown, heights as shares of it, from the near line angle to the
// far one.
func TestSurveyLineTypes(t *testing.T) {
	c := ball(4, 3)
	cr, err := survey.CrownOf(c, surveyed(t, c, geom.V(0, 0, 1)), 36)
	if err != nil {
		t.Fatal(err)
	}
	for name, w := range map[string]struct {
		near, mid, far       float64
		form, height, course string
	}{
		"typical: middle third near, between middle and gingival third far":    {0.55, 0.42, 0.30, "typical", "medium", "falling"},
		"A: occlusal third near, falling to the gingival margin far":           {0.90, 0.45, 0.00, "A", "medium", "falling"},
		"B: occlusal third in both zones":                                      {0.85, 0.85, 0.85, "B", "high", "level"},
		"C: at the gingival margin in both zones":                              {0.00, 0.02, 0.00, "C", "low", "level"},
		"rising: low near, high far, as on a tooth that leans toward its rest": {0.20, 0.45, 0.75, "typical", "medium", "rising"},
	} {
		for _, nearMesial := range []bool{true, false} {
			drawn := cr
			drawn.Columns = append([]survey.Column(nil), cr.Columns...)
			for i, col := range drawn.Columns {
				a := math.Mod(col.AngleDeg+180, 360) - 180 // mesial from 0 up to 45, distal down to -45
				u := math.Max(-1, math.Min(1, a/45))
				if !nearMesial {
					u = -u
				}
				share := w.mid + u*(w.near-w.mid)
				if u < 0 {
					share = w.mid - u*(w.far-w.mid)
				}
				drawn.Columns[i].ContourHeight = share * col.Top
			}
			got := drawn.LineType(true, nearMesial)
			if got.Form != w.form || got.Height != w.height || got.Course != w.course {
				t.Errorf("%s, near side mesial %v: %s, %s, %s", name, nearMesial, got.Form, got.Height, got.Course)
			}
		}
	}
}
