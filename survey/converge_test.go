package survey

import (
	"context"
	"math"
	"testing"

	"halfpear/geom"
)

// ballError is the mean error of the depths on a ball of radius 3 against R - sqrt(R² - s²),
// s below the equator.
func ballError(t *testing.T, step, resolution float64) (mean, worst float64) {
	t.Helper()
	const r = 3.0
	m := sphere(r, step)
	s, err := Of(context.Background(), m, geom.V(0.1, -0.2, 1), Options{Resolution: resolution, NoLines: true})
	if err != nil {
		t.Fatal(err)
	}
	n := 0.0
	for i, p := range m.Vertices {
		h := math.Min(0, p.Dot(s.Direction))
		if h == 0 {
			continue
		}
		e := math.Abs(s.Depth[i] - (r - math.Sqrt(math.Max(0, r*r-h*h))))
		mean, worst, n = mean+e, math.Max(worst, e), n+1
	}
	return mean / n, worst
}

// Refining the mesh converges: a chord of length e lies e²/8R within a ball, so halving the
// edges quarters the error, until the error bound of the survey itself is reached.
func TestRefiningTheMeshConverges(t *testing.T) {
	const bound = 1e-3
	last := math.Inf(1)
	for _, step := range []float64{0.8, 0.4, 0.2, 0.1} {
		mean, worst := ballError(t, step, bound)
		if chord := step * step / 8 / 3; worst > 4*chord+2*bound {
			t.Errorf("edges of %g: worst error %.5f, their chords lie %.5f within", step, worst, chord)
		}
		if mean > last/3+bound {
			t.Errorf("edges of %g: mean error %.5f, at twice the edges %.5f: expected about a quarter", step, mean, last)
		}
		t.Logf("edges of %g: mean %.6f, worst %.6f", step, mean, worst)
		last = mean
	}
}

// Asking for a finer resolution is met, and the depths come nearer to what the finest
// gives, within the bounds stated.
func TestRefiningTheResolutionConverges(t *testing.T) {
	m := joined(sphere(2, 0.15), moved(sphere(1.3, 0.15), geom.V(0.7, 0.2, 2)))
	d := geom.V(0.1, 0.15, 1)
	of := func(r float64) *Survey {
		s, err := Of(context.Background(), m, d, Options{Resolution: r})
		if err != nil {
			t.Fatal(err)
		}
		if r > 0 && s.Resolution > r*(1+1e-6) {
			t.Errorf("asked for a resolution of %g, stated %g", r, s.Resolution)
		}
		return s
	}
	finest := of(2e-4)
	for _, r := range []float64{2e-3, 1e-3, 5e-4} {
		s := of(r)
		off, sum := 0, 0.0
		for i, v := range s.Depth {
			e := math.Abs(v - finest.Depth[i])
			sum += e
			if e > s.Resolution+finest.Resolution {
				off++
			}
		}
		t.Logf("resolution %g: mean %.6f, %d of %d beyond the bound", s.Resolution, sum/float64(len(s.Depth)), off, len(s.Depth))
		if off > len(s.Depth)/500 {
			t.Errorf("resolution %g: %d of %d depths differ from the finest by more than the bounds", s.Resolution, off, len(s.Depth))
		}
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1), 1e-9} {
		if _, err := Of(context.Background(), m, d, Options{Resolution: bad}); err == nil {
			t.Errorf("a resolution of %g was taken", bad)
		}
	}
}
