package drawing

import (
	"math"
	"testing"

	"halfpear/geom"
)

// A ball that stands on a post over a floor: along the path the block-out falls straight
// from the ball's equator to the floor (Euclidean geometry: the tangents of a circle), and
// the underside of the cast below is not seen.
func TestAPlateIsCutOverTheBlockOut(t *testing.T) {
	const r, floor = 5.0, -9.0
	var ball, base []geom.Vec
	for i := range 720 {
		s, c := math.Sincos(geom.Deg(float64(i) / 2))
		ball = append(ball, geom.V(r*c, 0, r*s))
	}
	for _, q := range [][2]float64{{-20, floor}, {-1, floor}, {-1, -2}, {1, -2}, {1, floor}, {20, floor}, {20, -25}, {-20, -25}} {
		base = append(base, geom.V(q[0], 0, q[1]))
	}
	cut := []chain{{points: base, closed: true}, {points: ball, closed: true}}
	for _, tilt := range []float64{0, 8} {
		s, c := math.Sincos(geom.Deg(tilt))
		up, right := geom.V(s, 0, c), geom.V(c, 0, -s)
		st := station{normal: geom.V(0, 1, 0), right: geom.V(1, 0, 0)}
		walls, last := 0, math.Inf(-1)
		lines := blockedOut(cut, st, up)
		if len(lines) != 1 {
			t.Fatalf("tilt %v°: %d lines over one surface", tilt, len(lines))
		}
		for _, q := range lines[0] {
			x, z := q.Dot(right), q.Dot(up)
			if x < last-1e-9 {
				t.Fatalf("tilt %v°: the line turns back at %v", tilt, q)
			}
			last = x
			over := math.Abs(x) < r-0.1
			switch {
			case over && math.Abs(z-math.Sqrt(r*r-x*x)) > 0.05:
				t.Fatalf("tilt %v°: at %.2f the ball is %.3f high, not %.3f", tilt, x, math.Sqrt(r*r-x*x), z)
			case !over && q.Z > floor+0.3 && q.Z < -0.5: // between ball and floor
				walls++
				if math.Abs(math.Abs(x)-r) > 0.11 {
					t.Fatalf("tilt %v°: the block-out falls at %.2f from the axis, not at %v", tilt, x, r)
				}
			case q.Z < floor-0.1 && math.Abs(q.X) < 19.8:
				t.Fatalf("tilt %v°: the underside of the cast is taken for its surface at %v", tilt, q)
			}
		}
		if walls < 40 {
			t.Errorf("tilt %v°: the block-out has %d places on its walls", tilt, walls)
		}
	}
}

// Over a hole of a scan nothing is known: the section shows no metal laid on air.
func TestAHoleOfAScanIsNotBridged(t *testing.T) {
	cut := []chain{{points: []geom.Vec{geom.V(-10, 0, 0), geom.V(-5, 0, 2)}}, {points: []geom.Vec{geom.V(5, 0, 2), geom.V(10, 0, 0)}}}
	lines := blockedOut(cut, station{normal: geom.V(0, 1, 0), right: geom.V(1, 0, 0)}, geom.V(0, 0, 1))
	if len(lines) != 2 {
		t.Fatalf("%d lines over two stretches", len(lines))
	}
	for _, l := range lines {
		for _, q := range l {
			if math.Abs(q.X) < 4.9 {
				t.Errorf("a place over the hole, at %v", q)
			}
		}
	}
}
