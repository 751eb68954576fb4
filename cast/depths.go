package cast

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// UnseenStep is how far two points of a mark lie apart at least [mm] where what is between
// them was not seen on the scan: nothing is measured there.
const UnseenStep = 4.0

// FloorDepth is the probed depth of the floor of the mouth at a standing tooth [mm]: from
// its lingual gingival margin straight down, along the occlusal plane's normal, to the
// level of the functional floor across the arch from there, as a graduated probe held
// upright reads it with the tongue a little raised. It is less than the way down the
// slope of the gum. It is false where the tooth or the floor is not known.
func (c *Cast) FloorDepth(n tooth.Number) (mm float64, ok bool) {
	return c.probed(n, c.Marks.Floor, -1)
}

// VestibuleDepth is the probed depth of the vestibule at a standing tooth's facial [mm],
// taken in the same way.
func (c *Cast) VestibuleDepth(n tooth.Number) (mm float64, ok bool) {
	return c.probed(n, c.Marks.Vestibule, 1)
}

// probed is how far below the margin point farthest to the facial (+1) or lingual (-1) a
// line lies, where it crosses the plane through that point square to the tooth's mesial
// direction.
func (c *Cast) probed(n tooth.Number, to Curve, sign float64) (float64, bool) {
	t := c.Teeth[n]
	if t == nil || len(t.Margin) == 0 || len(to.Points) < 2 {
		return 0, false
	}
	most, margin := math.Inf(-1), geom.Vec{}
	for _, p := range t.Margin {
		if y := sign * t.Frame.Local(p).Y; y > most {
			most, margin = y, p
		}
	}
	mesial := geom.V(t.Frame.X.X, t.Frame.X.Y, 0).Unit()
	const across = 14 // a line farther off is that of the other side
	near, z := across+0.0, 0.0
	for i := 1; i < len(to.Points); i++ {
		a, b := to.Points[i-1].Sub(margin).Dot(mesial), to.Points[i].Sub(margin).Dot(mesial)
		if (a > 0) == (b > 0) || to.Points[i].Dist(to.Points[i-1]) > UnseenStep {
			continue
		}
		p := to.Points[i-1].Lerp(to.Points[i], a/(a-b))
		if d := p.XY().Dist(margin.XY()); d < near {
			near, z = d, p.Z
		}
	}
	return margin.Z - z, near < across
}
