package order

import (
	"math"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/survey"
)

// Tripod finds three marks on the cast's tissue at one height along the path: in front
// near the midline, and at the back on the patient's right and left. With them, and the
// analysing rod locked at one height, the cast is set up again as it was surveyed. It
// takes the height, between the gums and 6 mm below them, at which the triangle of the
// marks is largest; there are none where the cast shows no such height.
func Tripod(c *cast.Cast, p survey.Path) []geom.Vec {
	if c == nil || c.Mesh == nil || p.Direction == (geom.Vec{}) {
		return nil
	}
	d := p.Direction
	var margins float64
	var n int
	for _, t := range c.Standing() {
		for _, q := range c.Teeth[t].Margin {
			margins += q.Dot(d)
			n++
		}
	}
	if n == 0 {
		return nil
	}
	margins /= float64(n)
	right := cast.RightSign(c.Arch)
	// A mark on a tooth may be cut away, and one on its margin is soon taken for one.
	onTooth := make([]bool, len(c.Mesh.Vertices))
	for i, f := range c.Mesh.Faces {
		if i < len(c.Labels) && c.Labels[i] != 0 {
			onTooth[f[0]], onTooth[f[1]], onTooth[f[2]] = true, true, true
		}
	}
	var best []geom.Vec
	var widest float64
	for below := 1.0; below <= 6; below += 0.5 {
		h := margins - below
		marks := [3]geom.Vec{}
		score := [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
		for _, f := range c.Mesh.Faces {
			if onTooth[f[0]] || onTooth[f[1]] || onTooth[f[2]] {
				continue
			}
			for k := range 3 {
				a, b := c.Mesh.Vertices[f[k]], c.Mesh.Vertices[f[(k+1)%3]]
				ha, hb := a.Dot(d)-h, b.Dot(d)-h
				if ha*hb > 0 || ha == hb {
					continue
				}
				q := a.Add(b.Sub(a).Scale(ha / (ha - hb)))
				if !inside(c, q) {
					continue
				}
				for i, s := range [3]float64{q.Y - 3*math.Abs(q.X), right*q.X - q.Y, -right*q.X - q.Y} {
					if s > score[i] {
						score[i], marks[i] = s, q
					}
				}
			}
		}
		if math.IsInf(score[0], -1) {
			continue
		}
		area := marks[1].Sub(marks[0]).Cross(marks[2].Sub(marks[0])).Norm() / 2
		if area > widest {
			widest, best = area, []geom.Vec{marks[0], marks[1], marks[2]}
		}
	}
	// A triangle under a square centimetre would not steady the cast.
	if widest < 100 {
		return nil
	}
	return best
}

// inside tells whether q lies on the lingual or palatal side of the arch's middle line.
func inside(c *cast.Cast, q geom.Vec) bool {
	line := c.Marks.Arch.Points
	if len(line) < 2 {
		return false
	}
	near, at := math.Inf(1), 0
	for i, p := range line {
		if e := math.Hypot(p.X-q.X, p.Y-q.Y); e < near {
			near, at = e, i
		}
	}
	// Closer to the middle of the arch than the line is, and clear of the crowns.
	p := line[at]
	mid := geom.V(0, line[0].Y/2+line[len(line)-1].Y/2, 0)
	return near > 2 && math.Hypot(q.X-mid.X, q.Y-mid.Y) < math.Hypot(p.X-mid.X, p.Y-mid.Y) && q.Y > mid.Y-2
}
