package survey

import (
	"context"
	"math"
	"sort"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/tooth"
	"halfpear/words"
)

// Plan names what a path of insertion has to serve: the surfaces that guide planes are
// wanted on, and the abutments with the sites that may hold a clasp's tip and the
// undercut its metal asks for.
type Plan struct {
	Guides  []Guide
	Grips   []Grip
	Tissues bool // soft-tissue undercuts count as interference
}

// Guide is a tooth surface that is to guide the denture.
type Guide struct {
	Tooth   tooth.Number
	Surface tooth.Surface
}

// Grip is an abutment that is to hold the denture.
type Grip struct {
	Tooth tooth.Number
	Sites []tooth.Site
	MM    float64 // undercut wanted
	Clear float64 // above the gingival margin at the least [mm]
}

// Held is what one site of an abutment gives along a path.
type Held struct {
	Tooth       tooth.Number
	Site        tooth.Site
	Greatest    float64 // undercut at least Clear above the margin [mm]
	Vertical    float64 // the same along the occlusal plane's normal
	Reached     bool    // the wanted undercut is there, and some of it against a vertical pull
	AboveMargin float64 // of the place where the wanted undercut is reached; 0 where it is not
}

// Try is one path that was looked at. The five parts of its score are the aims of a
// surveyor in their order: guide planes, retentive undercuts, interference, appearance, and
// a tilt no larger than need be; each runs from 0, at its best, upward.
type Try struct {
	Path
	Score     float64 // the parts weighed; smaller is better
	Guide     float64 // mean lean of the guide surfaces from the path [deg]
	Retention float64 // share of the abutments without their undercut, and how unequal the rest are [mm]
	Interfere float64 // undercut of the soft tissue facing the path, as a share of its area
	Shows     float64 // how high the tips stand on front teeth and premolars, as a mean share of the crown
	Feasible  int     // abutments whose undercut is reached
	Held      []Held
}

// Swept is the outcome of a sweep.
type Swept struct {
	Tries []Try // all paths looked at, in the order of the grid
	Best  Try
	Best5 []Try   // candidates that lie at least 3 degrees apart, best first
	Flat  float64 // how far from the best, in degrees, the score stays within a tenth of its range
}

// The weights keep the aims in their taught order (guide planes before retention before
// interference before appearance before tilt): a worse guide plane of 4 degrees weighs as much as a lost
// abutment's quarter. Our own choice.
const (
	guideWeight     = 1.0 / 6 // a lean of 6 degrees is the most that is cut without looking at the enamel
	retentionWeight = 1.5
	interfereWeight = 0.8
	showsWeight     = 0.4
	tiltWeight      = 1.0 / 40
)

// Sweep looks at the paths within a cone about the vertical, about n of them, on a grid of
// equal steps. Undercuts are those of each crown against itself, taken from its crown
// chart: exact for a crown that stands free, and confirmed by a whole survey for the path
// that is chosen. progress, where it is not nil, is told the share done.
func Sweep(ctx context.Context, c *cast.Cast, crowns map[tooth.Number]Crown, plan Plan, withinDeg float64, n int, progress func(float64)) (Swept, error) {
	if !(withinDeg > 0 && withinDeg <= 45) {
		return Swept{}, words.Errorf("sweeping paths within %g degrees: expected more than 0 and at most 45", withinDeg)
	}
	if len(plan.Guides) == 0 && len(plan.Grips) == 0 {
		return Swept{}, words.Errorf("sweeping paths: no abutment is named whose guide planes or undercuts could be weighed")
	}
	w := newSweeper(c, crowns, plan)
	step := withinDeg * math.Sqrt(math.Pi/float64(max(n, 7)))
	rings := int(withinDeg / step)
	var out Swept
	for i := -rings; i <= rings; i++ {
		for j := -rings; j <= rings; j++ {
			if err := ctx.Err(); err != nil {
				return Swept{}, words.Errorf("sweeping paths: %v", err)
			}
			a, r := float64(i)*step, float64(j)*step
			p := PathFromTilt(c.Arch, a, r)
			if p.TiltDeg() > withinDeg+1e-9 {
				continue
			}
			out.Tries = append(out.Tries, w.try(p))
		}
		if progress != nil {
			progress(float64(i+rings+1) / float64(2*rings+1))
		}
	}
	order := make([]int, len(out.Tries))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		x, y := out.Tries[order[a]], out.Tries[order[b]]
		if x.Score != y.Score {
			return x.Score < y.Score
		}
		return x.TiltDeg() < y.TiltDeg()
	})
	for _, i := range order {
		t := out.Tries[i]
		far := true
		for _, b := range out.Best5 {
			far = far && geom.InDeg(t.Direction.AngleTo(b.Direction)) >= 3
		}
		if far {
			out.Best5 = append(out.Best5, t)
		}
		if len(out.Best5) == 5 {
			break
		}
	}
	out.Best = out.Best5[0]
	worst := out.Tries[order[len(order)-1]].Score
	limit := out.Best.Score + (worst-out.Best.Score)/10
	out.Flat = withinDeg
	for _, t := range out.Tries {
		if t.Score > limit {
			out.Flat = math.Min(out.Flat, geom.InDeg(t.Direction.AngleTo(out.Best.Direction)))
		}
	}
	return out, nil
}

// Weigh looks at one path as a sweep does.
func Weigh(c *cast.Cast, crowns map[tooth.Number]Crown, plan Plan, p Path) Try {
	return newSweeper(c, crowns, plan).try(p)
}

// sweeper holds what is the same for every path.
type sweeper struct {
	arch   tooth.Arch
	plan   Plan
	guides [][]geom.Vec // normals of each guide surface, in its middle third
	grips  [][]ray      // of each grip, the columns of its sites
	gum    []facet
	area   float64
}

type ray struct {
	site    tooth.Site
	outline []geom.Vec
	up      geom.Vec // of the chart
	out     geom.Vec
	margin  geom.Vec
	top     float64 // height of the outline above the margin [mm]
}

type facet struct {
	normal geom.Vec
	area   float64
}

func newSweeper(c *cast.Cast, crowns map[tooth.Number]Crown, plan Plan) *sweeper {
	w := &sweeper{arch: c.Arch, plan: plan}
	for _, g := range plan.Guides {
		crown, ok := crowns[g.Tooth]
		var normals []geom.Vec
		if ok {
			mid := Angle(g.Surface)
			for a := mid - 15; a <= mid+15; a += 5 {
				col := crown.Column(a)
				for h := col.Top * 0.4; h <= col.Top*0.75; h += 0.25 {
					lo, _ := col.At(h - 0.4)
					hi, _ := col.At(h + 0.4)
					along := hi.Sub(lo)
					if along.Norm() > 0 {
						normals = append(normals, crown.Look(a).Across(along.Unit()).Unit())
					}
				}
			}
		}
		w.guides = append(w.guides, normals)
	}
	for _, g := range plan.Grips {
		var rays []ray
		if crown, ok := crowns[g.Tooth]; ok {
			for _, s := range g.Sites {
				a := crown.Site(s)
				col := crown.Column(a)
				rays = append(rays, ray{s, col.Outline, crown.Path.Direction, crown.Look(a), col.Margin, col.Top})
			}
		}
		w.grips = append(w.grips, rays)
	}
	if plan.Tissues {
		for i, n := range c.Labels {
			if n != 0 {
				continue
			}
			a, b, d := c.Mesh.Corners(i)
			v := b.Sub(a).Cross(d.Sub(a))
			if v.Z < -0.5*v.Norm() { // the cast's base
				continue
			}
			w.gum = append(w.gum, facet{v.Unit(), v.Norm() / 2})
			w.area += v.Norm() / 2
		}
	}
	return w
}

func (w *sweeper) try(p Path) Try {
	t := Try{Path: p}
	n := 0
	for _, normals := range w.guides {
		for _, v := range normals {
			// The surface holds the path where its normal stands at right angles to it.
			t.Guide += geom.InDeg(math.Asin(math.Min(1, math.Abs(v.Dot(p.Direction)))))
			n++
		}
	}
	if n > 0 {
		t.Guide /= float64(n)
	}
	var depths []float64
	shown := 0
	for i, rays := range w.grips {
		g := w.plan.Grips[i]
		best, share := Held{Tooth: g.Tooth}, 0.0
		for _, r := range rays {
			h := Held{Tooth: g.Tooth, Site: r.site}
			h.Greatest, h.AboveMargin = r.undercut(p.Direction, g.MM, g.Clear)
			h.Vertical, _ = r.undercut(geom.Vec{Z: 1}, g.MM, g.Clear)
			h.Reached = h.Greatest >= g.MM && h.Vertical >= 0.1
			t.Held = append(t.Held, h)
			if h.Reached && !best.Reached || h.Reached == best.Reached && h.Greatest > best.Greatest {
				best = h
				if r.top > 0 {
					share = h.AboveMargin / r.top
				}
			}
		}
		if best.Reached && g.Tooth.Kind() <= tooth.SecondPremolar {
			t.Shows += share
			shown++
		}
		if best.Reached {
			t.Feasible++
		}
		depths = append(depths, math.Min(best.Greatest, 3*g.MM))
	}
	if shown > 0 {
		t.Shows /= float64(shown)
	}
	if len(w.grips) > 0 {
		lost := 1 - float64(t.Feasible)/float64(len(w.grips))
		lo, hi := math.Inf(1), 0.0
		for _, d := range depths {
			lo, hi = math.Min(lo, d), math.Max(hi, d)
		}
		t.Retention = lost + 0.25*(hi-lo)
	}
	if w.area > 0 {
		for _, f := range w.gum {
			if s := f.normal.Dot(p.Direction); s < 0 {
				t.Interfere -= s * f.area / w.area
			}
		}
	}
	t.Score = guideWeight*t.Guide + retentionWeight*t.Retention + interfereWeight*t.Interfere + showsWeight*t.Shows + tiltWeight*p.TiltDeg()
	return t
}

// Sway is how far the greatest undercut of a grip's site changes when the path is off by
// one degree in any direction: the smallest and the largest value [mm].
func Sway(c *cast.Cast, crown Crown, g Grip, s tooth.Site, p Path) (least, most float64) {
	w := newSweeper(c, map[tooth.Number]Crown{g.Tooth: crown}, Plan{Grips: []Grip{{g.Tooth, []tooth.Site{s}, g.MM, g.Clear}}})
	r := w.grips[0][0]
	least, _ = r.undercut(p.Direction, g.MM, g.Clear)
	most = least
	for i := 0; i < 8; i++ {
		sin, cos := math.Sincos(float64(i) * math.Pi / 4)
		v, _ := r.undercut(PathFromTilt(c.Arch, p.AnteriorDeg+sin, p.RightDeg+cos).Direction, g.MM, g.Clear)
		least, most = math.Min(least, v), math.Max(most, v)
	}
	return least, most
}

// undercut is the greatest undercut of a column's outline against itself along d, at least
// clear above the margin, and the height where mm of it is reached, the highest such place.
func (r ray) undercut(d geom.Vec, mm, clear float64) (greatest, above float64) {
	out := r.out.Across(d).Unit()
	// The outline runs from the margin upward: what lies past its farthest point is the
	// occlusal surface, whose fossae are no undercut.
	k, far := 0, math.Inf(-1)
	for i, p := range r.outline {
		if u := p.Dot(out); u > far {
			k, far = i, u
		}
	}
	for i := k; i >= 0; i-- {
		p := r.outline[i]
		h := p.Sub(r.margin).Dot(d)
		if h < clear {
			break
		}
		depth := far - p.Dot(out)
		greatest = math.Max(greatest, depth)
		if above == 0 && depth >= mm {
			above = h
		}
	}
	return greatest, above
}
