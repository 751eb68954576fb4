package placement

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

// crown is a crown chart that can be read at any angle and height. Angles are in degrees
// round the tooth (0 facial, 90 mesial, 180 lingual, 270 distal) and may run past 360;
// heights are along the path above the margin of the same angle.
type crown struct {
	survey.Crown
	tooth *cast.Tooth
	up    geom.Vec
	x, y  geom.Vec  // mesial and facial, at right angles to the path
	line  []float64 // height of contour of each column, evened out
	md    float64   // mesiodistal width
	fl    float64   // faciolingual width
}

func newCrown(g *ground, t *cast.Tooth, s *survey.Survey) (*crown, error) {
	chart, err := survey.CrownOf(g.cast, s, t.Number)
	if err != nil {
		return nil, err
	}
	if len(chart.Columns) < 8 {
		return nil, words.Errorf("too little of the crown of tooth %v is on the cast: its chart has %d columns, expected at least 8; check the tooth's margin", t.Number, len(chart.Columns))
	}
	k := &crown{Crown: chart, tooth: t, up: s.Direction.Unit()}
	k.y = t.Frame.Y.Across(k.up).Unit()
	k.x = t.Frame.X.Across(k.up).Across(k.y).Unit()
	n := len(chart.Columns)
	k.line = make([]float64, n)
	for i := range k.line {
		k.line[i] = chart.Columns[i].ContourHeight
	}
	old := make([]float64, n)
	for r := 0; r < 3; r++ {
		copy(old, k.line)
		for i := range k.line {
			k.line[i] = 0.5*old[i] + 0.25*(old[(i+1)%n]+old[(i+n-1)%n])
		}
	}
	lox, hix, loy, hiy := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, c := range chart.Columns {
		for _, p := range c.Outline {
			q := p.Sub(t.Frame.Origin)
			u, v := q.Dot(k.x), q.Dot(k.y)
			lox, hix, loy, hiy = math.Min(lox, u), math.Max(hix, u), math.Min(loy, v), math.Max(hiy, v)
		}
	}
	k.md, k.fl = hix-lox, hiy-loy
	return k, nil
}

// columns finds the two columns beside an angle and the share of the second.
func (k *crown) columns(deg float64) (i, j int, f float64) {
	n := len(k.Columns)
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	x := d / 360 * float64(n)
	i = int(x)
	return i % n, (i + 1) % n, x - float64(i)
}

func columnAt(c *survey.Column, h float64) (geom.Vec, float64) {
	n := len(c.Outline)
	switch {
	case n == 0:
		return c.Margin, 0
	case n == 1 || h <= c.Height[0]:
		return c.Outline[0], c.Depth[0]
	case h >= c.Height[n-1]:
		return c.Outline[n-1], c.Depth[n-1]
	}
	i := seek(c.Height, h)
	f := 0.0
	if d := c.Height[i+1] - c.Height[i]; d > 0 {
		f = (h - c.Height[i]) / d
	}
	return c.Outline[i].Lerp(c.Outline[i+1], f), c.Depth[i] + f*(c.Depth[i+1]-c.Depth[i])
}

// at is the surface at an angle and height; below 0 it is the margin.
func (k *crown) at(deg, h float64) geom.Vec {
	i, j, f := k.columns(deg)
	a, _ := columnAt(&k.Columns[i], h)
	b, _ := columnAt(&k.Columns[j], h)
	return a.Lerp(b, f)
}

// depth is the undercut at an angle and height.
func (k *crown) depth(deg, h float64) float64 {
	i, j, f := k.columns(deg)
	_, a := columnAt(&k.Columns[i], h)
	_, b := columnAt(&k.Columns[j], h)
	return a + f*(b-a)
}

func (k *crown) mix(deg float64, of func(i int) float64) float64 {
	i, j, f := k.columns(deg)
	return of(i) + f*(of(j)-of(i))
}

// contour is the height of contour.
func (k *crown) contour(deg float64) float64 {
	return k.mix(deg, func(i int) float64 { return k.line[i] })
}

// top is the crown's height at an angle.
func (k *crown) top(deg float64) float64 {
	return k.mix(deg, func(i int) float64 { return k.Columns[i].Top })
}

func (k *crown) margin(deg float64) geom.Vec {
	i, j, f := k.columns(deg)
	return k.Columns[i].Margin.Lerp(k.Columns[j].Margin, f)
}

// normal is the outward direction of the surface.
func (k *crown) normal(deg, h float64) geom.Vec {
	const da, dh = 2.5, 0.15
	lo, hi := math.Max(0, h-dh), h+dh
	if t := k.top(deg); hi > t {
		lo, hi = t-2*dh, t
	}
	round := k.at(deg+da, h).Sub(k.at(deg-da, h))
	rise := k.at(deg, hi).Sub(k.at(deg, lo))
	n := round.Cross(rise).Unit()
	if n.Dot(k.outward(deg)) < 0 {
		n = n.Neg()
	}
	if n.Norm() == 0 {
		return k.outward(deg)
	}
	return n
}

// outward is the level direction that an angle looks to.
func (k *crown) outward(deg float64) geom.Vec {
	s, c := math.Sincos(geom.Deg(deg))
	return k.x.Scale(s).Add(k.y.Scale(c))
}

// locate reads a point's angle and height above the margin.
func (k *crown) locate(p geom.Vec) (deg, h float64) {
	q := p.Sub(k.tooth.Frame.Origin)
	deg = geom.InDeg(math.Atan2(q.Dot(k.x), q.Dot(k.y)))
	if deg < 0 {
		deg += 360
	}
	return deg, p.Sub(k.margin(deg)).Dot(k.up)
}

// reach is the height at which an undercut is first reached, going down from the height
// of contour; false where the column never reaches it.
func (k *crown) reach(deg, undercut float64) (float64, bool) {
	h := k.contour(deg)
	const step = 0.04
	prev := k.depth(deg, h)
	for ; h > 0; h -= step {
		next := k.depth(deg, h-step)
		if next >= undercut {
			if next == prev {
				return h - step, true
			}
			return math.Max(0, h-step*(undercut-prev)/(next-prev)), true
		}
		prev = next
	}
	return 0, false
}

// slope is the angle of the surface to the path at a place on the crown, in degrees.
func (k *crown) slope(deg, h float64) float64 {
	const dh = 0.2
	lo := math.Max(0, h-dh)
	v := k.at(deg, h+dh).Sub(k.at(deg, lo))
	return geom.InDeg(math.Atan2(v.Across(k.up).Norm(), math.Abs(v.Dot(k.up))))
}

// reachOut is how far out from the tooth's middle the surface stands, along the angle.
func (k *crown) reachOut(deg, h float64) float64 {
	return k.at(deg, h).Sub(k.tooth.Frame.Origin).Dot(k.outward(deg))
}

// bulge is the angle of the greatest bulge of a surface: the place farthest out on the
// facial (or lingual) side.
func (k *crown) bulge(facial bool) float64 {
	mid := 0.0
	if !facial {
		mid = 180
	}
	best, most := mid, math.Inf(-1)
	dir := k.outward(mid)
	for a := mid - 45; a <= mid+45; a++ {
		if d := k.at(a, k.contour(a)).Dot(dir); d > most {
			best, most = a, d
		}
	}
	return best
}

// siteAngle is where a site stands on the chart.
func siteAngle(s tooth.Site) float64 {
	switch s {
	case tooth.MesioFacial:
		return 48
	case tooth.MidFacial:
		return 0
	case tooth.DistoFacial:
		return -48
	case tooth.MesioLingual:
		return 132
	case tooth.MidLingual:
		return 180
	case tooth.DistoLingual:
		return 228
	}
	return 0
}

// siteOf is the site an angle belongs to.
func siteOf(deg float64) tooth.Site {
	d := math.Mod(math.Mod(deg, 360)+360, 360)
	switch {
	case d < 20 || d >= 340:
		return tooth.MidFacial
	case d < 90:
		return tooth.MesioFacial
	case d < 160:
		return tooth.MesioLingual
	case d <= 200:
		return tooth.MidLingual
	case d <= 270:
		return tooth.DistoLingual
	}
	return tooth.DistoFacial
}
