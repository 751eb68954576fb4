package placement

import (
	"math"
	"testing"
)

// A half-pear is half of the hull of two discs: its thickest place is found along that
// outline, point by point.
func TestHalfPearIsThickestWhereItsOutlineIs(t *testing.T) {
	for _, c := range []struct{ height, thick float64 }{{4.5, 2}, {5, 2}, {6, 2}, {4, 1.5}, {4, 2.4}} {
		r1 := math.Min(c.thick, c.height/2.3) // a lower bar is stretched in thickness only
		r2 := r1 * 7 / 16
		a, b := r1, c.height-r2 // the discs' centres above the lower border
		best, at := 0.0, 0.0
		for i := 0; i <= 2000; i++ {
			// Discs between the two, each as large as the hull allows there, sweep it out.
			f := float64(i) / 2000
			o, r := a+(b-a)*f, r1+(r2-r1)*f
			if r > best {
				best, at = r, o
			}
		}
		got := bulkHeight(Curve{Section: HalfPear, Width: []float64{c.height}, Thickness: []float64{c.thick}})
		if math.Abs(got-at/c.height) > 0.01 {
			t.Errorf("%g high and %g thick: thickest at %.3f of the height, its outline at %.3f", c.height, c.thick, got, at/c.height)
		}
	}
	if got := bulkHeight(Curve{Section: HalfOval, Width: []float64{4}, Thickness: []float64{2}}); got != 0.5 {
		t.Errorf("half an oval is thickest at %.2f of its height", got)
	}
}
