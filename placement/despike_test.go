package placement

import (
	"math"
	"testing"

	"halfpear/geom"
)

// An edge round an ellipse as large as a molar or as narrow as an incisor stays as it is;
// one place that a flaw threw out of it, or in, comes back to it (the ellipse is known).
func TestAFlawInAnEdgeIsTakenOutAndNothingElse(t *testing.T) {
	o := geom.V(3, -7, 1)
	for _, half := range [][2]float64{{5.5, 5}, {2.5, 3.2}, {3.5, 4}} {
		var want []geom.Vec
		for i := range 23 {
			s, c := math.Sincos(geom.Deg(306 - 4*float64(i)))
			want = append(want, o.Add(geom.V(half[0]*c, half[1]*s, 0.1*float64(i))))
		}
		line := append([]geom.Vec(nil), want...)
		despike(o, line)
		for i := range line {
			if line[i] != want[i] {
				t.Errorf("%v: a sound place is moved by %.3f mm", half, line[i].Dist(want[i]))
			}
		}
		for _, share := range []float64{0.6, 1.5} {
			line[9] = o.Add(want[9].Sub(o).Scale(share))
			despike(o, line)
			if d := math.Hypot(line[9].X-want[9].X, line[9].Y-want[9].Y); d > 0.25 {
				t.Errorf("%v: a place thrown to %.1f of its distance comes back %.2f mm off", half, share, d)
			}
		}
	}
}
