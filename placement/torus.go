package placement

import (
	"math"

	"halfpear/geom"
)

// tori reads how a laid connector lies to each torus: how far its metal stays off, or how
// much of the torus it crosses, and then the relief over the whole of it (TOR-01, TOR-02).
// covers tells whether a place of the surface lies under the connector's metal.
func (l *layout) tori(q *Placed, covers func(p geom.Vec) bool) {
	for _, t := range l.g.cast.Marks.Tori {
		rim := t.Outline.Points
		if len(rim) < 3 {
			continue
		}
		middle := geom.Vec{}
		for _, p := range rim {
			middle = middle.Add(p.Scale(1 / float64(len(rim))))
		}
		under, all := 0, 0
		const rings = 5
		for i := 1; i <= rings; i++ {
			// Rings of equal area.
			share := math.Sqrt((float64(i) - 0.5) / rings)
			for _, p := range rim {
				all++
				if covers(l.g.snapSoft(middle.Lerp(p, share))) {
					under++
				}
			}
		}
		l.ratio(q, "torus_crossed_share", float64(under)/float64(all), 0)
		if under > 0 {
			relief := dimension(q.Part, "torus_relief", l.lim.TorusRelief)
			q.Patches = append(q.Patches, Patch{Role: Relief, Outline: rim, Thickness: relief})
			l.planned(q, "torus_relief", relief, 0)
			continue
		}
		least := math.Inf(1)
		var from, to geom.Vec
		for _, c := range q.Curves {
			if c.Role != Border {
				continue
			}
			line := c.Points
			if c.Closed {
				line = geom.Closed(line)
			}
			w := geom.NewWalk(line)
			for _, p := range rim {
				if s, d := w.Nearest(p); d < least {
					least, from, to = d, p, w.At(s)
				}
			}
		}
		if !math.IsInf(least, 1) {
			l.measure(q, "torus_clearance", least, 0, from, to)
		}
	}
}

// palatalTorus is how far forward and back a palatal torus reaches on the midline; false
// where the palate has none.
func (g *ground) palatalTorus() (front, back float64, ok bool) {
	front, back = math.Inf(-1), math.Inf(1)
	for _, t := range g.cast.Marks.Tori {
		for _, p := range t.Outline.Points {
			if t.Palatal {
				front, back, ok = math.Max(front, p.Y), math.Min(back, p.Y), true
			}
		}
	}
	return front, back, ok
}

// covers tells whether a place on the gum lies under the bar, or under the plate that
// goes up from it.
func (b *barShape) covers(g *ground, p geom.Vec) bool {
	s := g.stationOf(p)
	up, ok := b.upperAt(s)
	if !ok {
		return false
	}
	if len(b.top) > 0 {
		up = 0
	}
	t, d := g.profileAt(s, b.side).nearest(p)
	return d < 2 && t > up && t < b.lower[seek(b.at, s)]
}
