package workflow_test

import (
	"context"
	"math"
	"testing"

	"halfpear/mechanics"
)

// The load goes somewhere: what teeth and mucosa carry along the path adds up to it, by
// statics; and a clasp's forces lie in the span published for cobalt-chromium clasps at
// 0.25 mm (2 to 16 N a clasp: retention measured in several studies).
func TestMechanicsOfTheDemoCases(t *testing.T) {
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		s := open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil)
		proposals, err := s.Propose(context.Background(), 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.Plan(proposals[0].Design)
		if err != nil {
			t.Fatal(err)
		}
		r := p.Mechanics
		if len(r.Holds) < 2 || len(r.Unknown) > 0 {
			t.Fatalf("%s: %d arms reckoned, not: %v", name, len(r.Holds), r.Unknown)
		}
		for _, h := range r.Holds {
			t.Logf("%s: %.1f mm, %.2f mm, side %.1f N, off %.1f (%.1f to %.1f) N, %.0f MPa, ratio %.2f", h.Part, h.Length, h.Undercut, h.Side.Typical, h.Withdrawal.Typical, h.Withdrawal.Low, h.Withdrawal.High, h.Stress.Typical, h.Ratio.Typical)
			if !(h.Withdrawal.Low <= h.Withdrawal.Typical && h.Withdrawal.Typical <= h.Withdrawal.High) {
				t.Errorf("%s: the band %v does not hold its middle", h.Part, h.Withdrawal)
			}
		}
		for _, c := range r.Cases {
			if c.Free {
				if c.Kind == mechanics.Bite {
					t.Errorf("%s: %s lifts the denture off", name, c.Name())
				}
				continue
			}
			sum := c.Mucosa
			for _, v := range c.Shares {
				sum += v.Force
			}
			load := -c.Force.Dot(s.Path.Direction)
			t.Logf("%s %s: mucosa %.1f, sinks %.3f, clasps %.1f, indirect %.1f, shares %.0v", name, c.Name(), c.Mucosa, c.Sinking, c.Clasps, c.Indirect, c.Shares)
			if c.Kind != mechanics.Cross && math.Abs(sum-load) > 0.02*math.Abs(load)+0.01 {
				t.Errorf("%s %s: teeth and mucosa carry %.3f N of %.3f", name, c.Name(), sum, load)
			}
		}
	}
}
