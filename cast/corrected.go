package cast

import (
	"math"

	"halfpear/geom"
	"halfpear/tooth"
)

// bulge is how far a crown stands out beyond its margin at most [mm]: more than half the
// difference between the widths of a molar's crown and neck. Our own choice.
const bulge = 3.5

// collar is a margin seen along its own axis: how far out and how high it lies in each
// direction. A margin goes round its crown once, so each direction has one place.
type collar struct {
	middle, x, y, axis geom.Vec
	out, height        [360]float64
}

func newCollar(line []geom.Vec) collar {
	var k collar
	for _, p := range line {
		k.middle = k.middle.Add(p.Scale(1 / float64(len(line))))
	}
	for i, p := range line {
		k.axis = k.axis.Add(p.Sub(k.middle).Cross(line[(i+1)%len(line)].Sub(k.middle)))
	}
	k.axis = k.axis.Unit()
	if k.axis.Z < 0 {
		k.axis = k.axis.Neg()
	}
	k.x = geom.V(0, 1, 0).Cross(k.axis).Unit()
	k.y = k.axis.Cross(k.x)
	for i, p := range line {
		q := line[(i+1)%len(line)]
		steps := int(p.Dist(q)/0.05) + 1
		for s := range steps {
			at := p.Lerp(q, float64(s)/float64(steps))
			d, r, h := k.of(at)
			if r > k.out[d] {
				k.out[d], k.height[d] = r, h
			}
		}
	}
	for d := range k.out { // a direction that no step fell into is like the one before it
		if k.out[d] == 0 {
			k.out[d], k.height[d] = k.out[(d+359)%360], k.height[(d+359)%360]
		}
	}
	return k
}

// of is a point's direction in whole degrees, its distance from the axis and its height.
func (k *collar) of(p geom.Vec) (direction int, out, height float64) {
	d := p.Sub(k.middle)
	x, y := d.Dot(k.x), d.Dot(k.y)
	return (int(math.Floor(geom.InDeg(math.Atan2(y, x)))) + 360) % 360, math.Hypot(x, y), d.Dot(k.axis)
}

// crown tells whether a point of the surface lies on the crown's side of the margin.
func (k *collar) crown(p geom.Vec) bool {
	d, r, h := k.of(p)
	return h > k.height[d] && r < k.out[d]+bulge
}

// correct gives a tooth the crown that a corrected margin bounds: what hangs together with
// the seed on the margin's occlusal side, without other teeth.
func (c *Cast) correct(across [][3]int32, n tooth.Number, seed int, line []geom.Vec) {
	k := newCollar(line)
	for f, l := range c.Labels {
		if l == n {
			c.Labels[f] = 0
		}
	}
	todo := []int32{int32(seed)}
	c.Labels[seed] = n
	for len(todo) > 0 {
		f := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, g := range across[f] {
			if g < 0 || c.Labels[g] != 0 {
				continue
			}
			a, b, d := c.Mesh.Corners(int(g))
			if k.crown(a.Add(b).Add(d).Scale(1.0 / 3)) {
				c.Labels[g] = n
				todo = append(todo, g)
			}
		}
	}
}
