package mechanics

import (
	"encoding/json"
	"math"
	"testing"

	"halfpear/geom"
)

// A surface of constant slope and a round one of one radius: closed form, and maximising
// one variable.
func TestWithdrawal(t *testing.T) {
	var file struct {
		Cases []struct {
			ID, Model string
			Inputs    struct {
				K      float64 `json:"arm_stiffness"`
				U      float64 `json:"undercut"`
				Slope  float64 `json:"slope_deg"`
				Mu     float64
				Radius float64 `json:"profile_radius"`
			}
			Arm  float64 `json:"arm_withdrawal_force"`
			Peak float64 `json:"peak_withdrawal_force"`
			At   float64 `json:"depth_at_peak"`
		}
	}
	if err := json.Unmarshal(checks(t, "retention_examples.json"), &file); err != nil {
		t.Fatal(err)
	}
	for _, c := range file.Cases {
		in := c.Inputs
		if in.Radius == 0 {
			near(t, c.ID, Withdrawal(in.K*in.U, math.Tan(geom.Deg(in.Slope)), in.Mu), c.Arm, 1e-6)
			continue
		}
		h := math.Sqrt(in.Radius*in.Radius - (in.Radius-in.U)*(in.Radius-in.U))
		var tr Track
		for i := range 4001 {
			y := h * (1 - float64(i)/4000) // below the survey line
			tr.Height = append(tr.Height, h-y)
			tr.Out = append(tr.Out, in.U-in.Radius+math.Sqrt(in.Radius*in.Radius-y*y))
		}
		most, at := tr.Pull(in.K, in.Mu, 0, h, false)
		near(t, c.ID, most, c.Peak, 1e-3)
		near(t, c.ID+" place", h-at, c.At, 2e-3)
	}
}
