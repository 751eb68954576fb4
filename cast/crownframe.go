package cast

import (
	"math"

	"halfpear/geom"
)

// CrownFrame stands a frame in a crown from its margin and cusp tips: Z from the middle
// of the margin to the middle of the tips, X as mesial as can be at right angles to it, Y
// on the facial side, the origin halfway between margin and highest tip.
func CrownFrame(margin, tips []geom.Vec, mesial, facial geom.Vec) geom.Frame {
	low, top := mean(margin), mean(tips)
	z := top.Sub(low).Unit()
	if z.Z < 0.3 {
		z = geom.V(0, 0, 1)
	}
	x := mesial.Across(z).Unit()
	y := z.Cross(x)
	if y.Dot(facial) < 0 {
		y = y.Neg()
	}
	high := math.Inf(-1)
	for _, t := range tips {
		high = math.Max(high, t.Sub(low).Dot(z))
	}
	return geom.Frame{Origin: low.Add(z.Scale(high / 2)), X: x, Y: y, Z: z}
}

func mean(pts []geom.Vec) geom.Vec {
	var sum geom.Vec
	for _, p := range pts {
		sum = sum.Add(p)
	}
	return sum.Scale(1 / math.Max(1, float64(len(pts))))
}
