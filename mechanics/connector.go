package mechanics

import (
	"math"
	"sort"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/material"
	"halfpear/placement"
)

// connectorForce is the standard load on one side of a major connector while the other is
// held [N]: for comparing connectors, no load of a mouth.
const connectorForce = 5.0

// Connector is how the major connector gives under the standard load: held fast on the
// patient's right, loaded on the left where a denture is bitten on.
type Connector struct {
	Part  design.ID
	Metal string
	At    geom.Vec // where it is loaded
	Held  geom.Vec
	Flex
	Beyond bool // wider and thinner, for how it is bent, than beams may be: an estimate
	Others []Other
}

// Flex is what the standard load does.
type Flex struct {
	Sinks    Range // the loaded side, pressed toward the tissue [mm]
	Closes   Range // the loaded side, pressed toward the other [mm]
	TwistDeg Range // the loaded side against the other about the line across the arch, when pressed toward the tissue
}

// Other is the same connector with one thing changed.
type Other struct {
	Change Change
	By     float64 // [mm]
	Flex
}

// Change is what is different in another connector.
type Change string

const (
	Thicker Change = "thicker"
	Wider   Change = "wider" // of a bar that runs along the arch: higher
)

// How much the others differ [mm]: a bar half a millimetre (common practice for long arches),
// a strap's thickness a third of a millimetre and its width two.
const (
	barMore       = 0.5
	strapThicker  = 0.3
	strapWider    = 2.0
	connectorStep = 2.0  // distance at which its centre line is taken up [mm]
	junctionReach = 12.0 // how far a bar's end may lie from the bar it joins [mm]
	junctionEnd   = 4.0  // how near an end of that bar it joins the end itself [mm]
	beyondBeams   = 1.0  // of width²/(radius·thickness): above it a bent strap is no beam
	beyondShare   = 0.2  // of the length that must lie above it
	bendReach     = 8.0  // over which a bend is read, either way [mm]
)

// ConnectorOf reckons the placed major connector; nil where it cannot be.
func ConnectorOf(k *cast.Cast, p *placement.Placement) *Connector {
	if c, why, ok := connectorOf(k, p); ok && why == "" {
		return &c
	}
	return nil
}

// connectorOf reckons the placed major connector; ok is false where none is placed.
func connectorOf(k *cast.Cast, p *placement.Placement) (out Connector, why Reason, ok bool) {
	for _, q := range p.Parts {
		if q.Part.Kind != design.MajorConnector {
			continue
		}
		var bars []spring
		for i := range q.Curves {
			c := &q.Curves[i]
			if c.Role == placement.BarLine && len(c.Points) > 2 && len(c.Width) > 0 && len(c.Thickness) > 0 {
				s := spring{shape: Shape(c.Section)}
				s.add(c)
				if geom.Length(s.path) > 2*connectorStep {
					bars = append(bars, s.smooth(connectorStep))
				}
			}
		}
		if len(bars) == 0 {
			return out, NotLaid, false
		}
		out.Part, out.Metal = q.Part.ID, q.Part.Material
		if out.Metal == "" {
			out.Metal = "co-cr-cast"
		}
		metal, err := material.ByName(out.Metal)
		if err != nil {
			return out, NoMetal, false
		}
		var right, left bool
		out.Held, right = sidePlace(k, p, 1)
		out.At, left = sidePlace(k, p, -1)
		if !right || !left {
			return out, NoRest, false
		}
		return out, out.reckon(newNet(bars, p.Path.Direction), metal, p.Path.Direction), true
	}
	return out, "", false
}

// sidePlace is where one side (+1 the patient's right) is loaded or held: the replaced tooth
// nearest to the first molar, else the rest farthest back.
func sidePlace(k *cast.Cast, p *placement.Placement, side float64) (geom.Vec, bool) {
	var best geom.Vec
	cost, found := math.Inf(1), false
	for _, q := range p.Parts {
		n := q.Part.Tooth
		if n == 0 || n.Right() != (side > 0) {
			continue
		}
		c := math.Inf(1)
		var at geom.Vec
		switch q.Part.Kind {
		case design.ReplacementTooth:
			if r, ok := biteAt(q); ok && n.Place() > 3 {
				at, c = r, math.Abs(float64(n.Place()-6))
			}
		case design.Rest:
			for _, patch := range q.Patches {
				if patch.Role == placement.Seat && len(patch.Outline) > 2 {
					at, c = centroid(patch.Outline), 100-float64(n.Place())
				}
			}
		}
		if c < cost {
			best, cost, found = at, c, true
		}
	}
	return best, found
}

// net is a connector's bars, cut where they join one another and where they are held and
// loaded.
type net struct {
	bars []spring
	ways []geom.Walk
	cuts [][]cutAt // of each bar, in order
	node []geom.Vec
	up   geom.Vec
}

type cutAt struct {
	s    float64
	node int
}

func newNet(bars []spring, up geom.Vec) *net {
	n := &net{bars: bars, up: up, cuts: make([][]cutAt, len(bars))}
	for i, b := range bars {
		if b.shape == HalfPear { // its heavy end lies low, on the side of -Y
			m := len(b.path) / 2
			if b.out[m].Cross(b.path[m+1].Sub(b.path[m-1])).Dot(up) < 0 {
				bars[i] = b.reversed()
			}
		}
		n.ways = append(n.ways, geom.NewWalk(bars[i].path))
	}
	for i, w := range n.ways {
		for _, s := range [...]float64{0, w.Length()} {
			end := w.At(s)
			best, at, near := -1, 0.0, junctionReach
			for j, other := range n.ways {
				if j == i {
					continue
				}
				if t, d := other.Nearest(end); d < near {
					best, at, near = j, t, d
				}
			}
			if best < 0 {
				n.cut(i, s)
				continue
			}
			n.join(i, s, n.cut(best, at))
		}
	}
	return n
}

// cut gives the node at a place of a bar, a new one where none is near.
func (n *net) cut(bar int, s float64) int {
	length := n.ways[bar].Length()
	if s < junctionEnd {
		s = 0
	} else if s > length-junctionEnd {
		s = length
	}
	for _, c := range n.cuts[bar] {
		if math.Abs(c.s-s) < 0.5*junctionEnd {
			return c.node
		}
	}
	n.node = append(n.node, n.ways[bar].At(s))
	n.cuts[bar] = append(n.cuts[bar], cutAt{s, len(n.node) - 1})
	return len(n.node) - 1
}

// join puts a node at a place of a bar; where that has one already the two become one.
func (n *net) join(bar int, s float64, node int) {
	for _, c := range n.cuts[bar] {
		if math.Abs(c.s-s) < 0.5*junctionEnd {
			for i := range n.cuts {
				for k := range n.cuts[i] {
					if n.cuts[i][k].node == c.node {
						n.cuts[i][k].node = node
					}
				}
			}
			return
		}
	}
	n.cuts[bar] = append(n.cuts[bar], cutAt{s, node})
}

// hold cuts the bar nearest to a place and gives the node there.
func (n *net) hold(at geom.Vec) int {
	best, s, near := 0, 0.0, math.Inf(1)
	for i, w := range n.ways {
		if t, d := w.Nearest(at); d < near {
			best, s, near = i, t, d
		}
	}
	return n.cut(best, s)
}

// reversed runs the other way.
func (s spring) reversed() spring {
	out := spring{shape: s.shape}
	for i := len(s.path) - 1; i >= 0; i-- {
		out.path, out.out = append(out.path, s.path[i]), append(out.out, s.out[i])
		out.width, out.thickness = append(out.width, s.width[i]), append(out.thickness, s.thickness[i])
	}
	return out
}

// beyond tells whether too much of the bars is too wide and thin for how it is bent.
func (n *net) beyond() bool {
	all, over := 0.0, 0.0
	for i, b := range n.bars {
		run := 0.0
		for k := 1; k < len(b.path); k++ {
			l := b.path[k].Dist(b.path[k-1])
			run += l
			all += l
			// The circle through three places.
			p, q, r := n.ways[i].At(run-bendReach), n.ways[i].At(run), n.ways[i].At(run+bendReach)
			area := q.Sub(p).Cross(r.Sub(p)).Norm() / 2
			curvature := 4 * area / math.Max(1e-9, p.Dist(q)*q.Dist(r)*r.Dist(p))
			if b.width[k]*b.width[k]*curvature/b.thickness[k] > beyondBeams {
				over += l
			}
		}
	}
	return over > beyondShare*all
}

// reckon solves the connector as placed, over the spread of its metal and thickness, and
// with its sizes changed.
func (c *Connector) reckon(n *net, metal material.Material, up geom.Vec) Reason {
	c.Beyond = n.beyond()
	held, loaded := n.hold(c.Held), n.hold(c.At)
	if held == loaded {
		return NoBeam
	}
	along := false // a bar along the arch, not across the palate
	for _, b := range n.bars {
		along = along || b.shape == HalfPear || b.shape == HalfOval && b.thickness[len(b.thickness)/2] > 1.2
	}
	flex := func(wider, thicker, e float64) (out [3]float64, ok bool) {
		if e == 0 {
			e = metal.E.Typical
		}
		frame := Frame{nodes: n.node}
		for i, b := range n.bars {
			cuts := append([]cutAt(nil), n.cuts[i]...)
			sort.Slice(cuts, func(a, b int) bool { return cuts[a].s < cuts[b].s })
			for k := 1; k < len(cuts); k++ {
				from, to := cuts[k-1].s, cuts[k].s
				piece := b.cut(from, to, max(2, int(math.Ceil((to-from)/connectorStep))))
				beam, err := piece.beam(wider, thicker, Elastic{E: e, Nu: metal.Nu.Typical})
				if err != nil {
					return out, false
				}
				frame.Bar(cuts[k-1].node, cuts[k].node, beam)
			}
		}
		frame.Fix(held)
		give, err := frame.Solve()
		if err != nil {
			return out, false
		}
		across := c.Held.Sub(c.At).Across(up).Unit()
		place := func(m Motion) geom.Vec { return m.Move.Add(m.Turn.Cross(c.At.Sub(n.node[loaded]))) }
		down, err := give.Under(loaded, c.At, up.Scale(-connectorForce))
		if err != nil {
			return out, false
		}
		closing, err := give.Under(loaded, c.At, across.Scale(connectorForce))
		if err != nil {
			return out, false
		}
		out[0] = -place(down[loaded]).Dot(up)
		out[1] = place(closing[loaded]).Dot(across)
		out[2] = geom.InDeg(math.Abs(down[loaded].Turn.Dot(across)))
		return out, true
	}
	set := func(f *Flex, v [3]float64, to func(*Range) *float64) {
		for i, r := range [...]*Range{&f.Sinks, &f.Closes, &f.TwistDeg} {
			*to(r) = v[i]
		}
	}
	typical := func(r *Range) *float64 { return &r.Typical }
	v, ok := flex(0, 0, metal.E.Typical)
	if !ok {
		return NoBeam
	}
	set(&c.Flex, v, typical)
	// The stiffest comes first: it gives least.
	for _, b := range []struct {
		more, e float64
		to      func(*Range) *float64
	}{{castTolerance, metal.E.High, func(r *Range) *float64 { return &r.Low }}, {-castTolerance, metal.E.Low, func(r *Range) *float64 { return &r.High }}} {
		if v, ok = flex(b.more, b.more, b.e); !ok {
			return NoBeam
		}
		set(&c.Flex, v, b.to)
	}
	thicker, wider := strapThicker, strapWider
	if along {
		thicker, wider = barMore, barMore
	}
	for _, o := range []struct {
		change      Change
		by          float64
		wide, thick float64
	}{{Thicker, thicker, 0, thicker}, {Wider, wider, wider, 0}} {
		if v, ok = flex(o.wide, o.thick, metal.E.Typical); ok {
			other := Other{Change: o.change, By: o.by}
			set(&other.Flex, v, typical)
			c.Others = append(c.Others, other)
		}
	}
	return ""
}
