package rulebook

import (
	"math"
	"strings"

	"halfpear/arch"
	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/tooth"
	"halfpear/unit"
)

// placed finds a part on the cast.
func (g *gatherer) placed(id design.ID) (placement.Placed, bool) {
	if g.in.Placement == nil {
		return placement.Placed{}, false
	}
	return g.in.Placement.Part(id)
}

// flat is a point of the cast frame with +x on the patient's right.
func (g *gatherer) flat(p geom.Vec) geom.Vec {
	return geom.Vec{X: p.X * cast.RightSign(g.in.Chart.Arch), Y: p.Y}
}

// restAt is where a rest acts: on the cast when placed, else on average.
func (g *gatherer) restAt(p design.Part) (geom.Vec, unit.Origin) {
	if q, ok := g.placed(p.ID); ok {
		for _, patch := range q.Patches {
			if patch.Role == placement.Seat && len(patch.Outline) > 0 {
				var sum geom.Vec
				for _, v := range patch.Outline {
					sum = sum.Add(v)
				}
				return g.flat(sum.Scale(1 / float64(len(patch.Outline)))), g.in.CastIs
			}
		}
	}
	return restPlace(p), unit.Average
}

func (g *gatherer) tipAt(p design.Part) geom.Vec {
	if q, ok := g.placed(p.ID); ok && q.Tip != nil {
		return g.flat(q.Tip.Point)
	}
	return tipPlace(p.Tooth, p.Undercut.Site)
}

// tips lists the retainers with a retentive tip.
func (g *gatherer) tips() []design.Part {
	var out []design.Part
	for _, p := range g.parts(design.Retainer) {
		if hasTip(p) {
			out = append(out, p)
		}
	}
	return out
}

func hasTip(p design.Part) bool { return p.Form != design.ClaspNone && p.Undercut != nil }

// alongArch orders rests from the patient's right end of the arch to the left: within a
// tooth the distal one is nearer to its end.
func alongArch(p design.Part) float64 {
	v := float64(p.Tooth.Index())
	side := 0.0
	switch p.Site {
	case tooth.Mesial:
		side = 0.3
	case tooth.Distal:
		side = -0.3
	}
	if !p.Tooth.Right() {
		side = -side
	}
	return v + side
}

// fulcrum is the line the denture turns about when its base sinks: through the rests
// nearest to the extension bases, in Class II to the rearmost rest of the other side, in
// a long Class IV through the rests beside the space.
func (g *gatherer) fulcrum() axis {
	var rests []design.Part
	for _, r := range g.parts(design.Rest) {
		if g.in.Chart.Stands(r.Tooth) {
			rests = append(rests, r)
		}
	}
	if len(rests) < 2 {
		return axis{}
	}
	first, last := rests[0], rests[0]
	switch {
	case g.class.Class == arch.I || g.class.Class == arch.II:
		for _, r := range rests {
			if alongArch(r) < alongArch(first) {
				first = r
			}
			if alongArch(r) > alongArch(last) {
				last = r
			}
		}
	case g.class.Class == arch.IV:
		a := g.class.Areas[0].Teeth
		lo, hi := float64(a[0].Index()), float64(a[len(a)-1].Index())
		found := [2]bool{}
		for _, r := range rests {
			if x := alongArch(r); x < lo && (!found[0] || x > alongArch(first)) {
				first, found[0] = r, true
			} else if x > hi && (!found[1] || x < alongArch(last)) {
				last, found[1] = r, true
			}
		}
		if !found[0] || !found[1] {
			return axis{}
		}
	default:
		return axis{}
	}
	a, _ := g.restAt(first)
	b, _ := g.restAt(last)
	if a.Dist(b) < 1 {
		return axis{}
	}
	return axis{a, b, true}
}

// baseMiddle is the middle of an area's teeth.
func baseMiddle(a arch.Area) geom.Vec {
	var sum geom.Vec
	for _, n := range a.Teeth {
		sum = sum.Add(place(n))
	}
	return sum.Scale(1 / float64(len(a.Teeth)))
}

// beyond tells how far p lies on the side of the axis away from every extension base;
// not positive where it does not.
func (g *gatherer) beyond(p geom.Vec) float64 {
	d := g.line.distance(p)
	if g.class.Class == arch.IV {
		return -d
	}
	return d
}

// OnAxis is how near to the fulcrum line a part counts as lying on it [mm] (ours).
const OnAxis = 1.0

func (g *gatherer) theDesign() {
	s, c := g.out.Case, g.in.Chart
	g.line = g.fulcrum()
	rests := g.parts(design.Rest)
	s.count("design.rests", len(rests))
	var points []geom.Vec
	origin := g.in.CastIs
	indirect := 0
	for _, r := range rests {
		p, o := g.restAt(r)
		points = append(points, p)
		if o == unit.Average {
			origin = unit.Average
		}
		if r.Role == design.Indirect {
			indirect++
		}
	}
	s.num("design.rests_off_line_mm", strip(points), "mm", origin, 0)
	s.count("design.indirect_rests", indirect)

	count, tips := 0, g.tips()
	sides := map[bool]map[bool]bool{true: {}, false: {}} // right side -> facial?
	for _, p := range g.parts(design.Retainer) {
		switch p.Form {
		case design.ClaspNone:
		case design.ClaspEmbrasure, design.ClaspMultiple:
			count += 2
			for _, q := range g.parts(design.Retainer) {
				// Written as two parts, one on each tooth, it is counted by its parts.
				if q.ID != p.ID && q.Form == p.Form && (q.Tooth == p.Tooth.Mesial() || q.Tooth == p.Tooth.Distal()) {
					count--
				}
			}
		default:
			count++
		}
	}
	for _, p := range tips {
		sides[p.Tooth.Right()][p.Undercut.Site.Facial()] = true
	}
	s.count("design.retainers", count)
	s.count("design.tips", len(tips))
	s.flag("design.tips_both_sides", len(sides[true]) > 0 && len(sides[false]) > 0)
	s.flag("design.tips_opposed", sides[true][true] && sides[false][true] || sides[true][false] && sides[false][false])
	planes := map[string]bool{}
	for _, p := range g.parts(design.GuidePlate) {
		planes[p.Tooth.String()+string(p.Surface)] = true
	}
	if g.in.Plan != nil {
		for _, i := range g.in.Plan.Items {
			if i.Operation == prep.GuidePlane {
				planes[i.Tooth.String()+string(i.Surface)] = true
			}
		}
	}
	s.count("design.guide_planes", len(planes))
	s.flag("design.crosses_arch", g.crossesArch())

	roots, baseArea, baseKnown := 0.0, 0.0, g.in.Placement != nil
	for _, n := range g.in.Design.Abutments() {
		if c.Stands(n) && c.State(n) != chart.Pontic && c.State(n) != chart.Implant { // those have no root
			roots += rootArea[c.Arch][n.Place()]
		}
	}
	s.num("design.root_area_mm2", roots, "mm²", unit.Average, 0)
	for _, b := range g.parts(design.Base) {
		if q, ok := g.placed(b.ID); ok {
			if m, ok := q.Measure("base_area", 0); ok {
				baseArea += m.Quantity.Value
				continue
			}
		}
		baseKnown = false
	}
	if baseKnown && len(g.parts(design.Base)) > 0 {
		s.num("design.base_area_mm2", baseArea, "mm²", g.in.CastIs, 0)
	}

	g.indirect(rests, tips)
	posterior := 0
	if g.class.Class == arch.IV {
		ends := neighbours(c, g.class.Areas[0])
		for _, r := range rests {
			if r.Tooth != ends[0] && r.Tooth != ends[1] && r.Tooth.Place() >= 5 {
				posterior++
			}
		}
	}
	s.count("design.posterior_rests", posterior)

	rotational, clasp := false, false
	for _, p := range g.in.Design.Parts {
		rotational = rotational || p.SeatsFirst()
		clasp = clasp || p.SeatsFirst() && p.Kind == design.Retainer && hasTip(p)
	}
	s.flag("design.rotational", rotational)
	s.flag("design.rotational_clasp", clasp)
	g.turn()
	g.allergens()
	g.whole()
}

// turn sets what the sweep of a rotational path on the cast has shown.
func (g *gatherer) turn() {
	if g.in.Placement == nil || g.in.Placement.Turn == nil {
		return
	}
	for fact, name := range map[string]string{"design.turn_interference_mm": "turn_interference", "design.turn_engaged_mm": "turn_engaged", "design.turn_free_deg": "turn_free_deg"} {
		if m, ok := g.in.Placement.Whole(name, 0); ok {
			v := quantityFact(m.Quantity)
			if v.Origin = g.in.CastIs; v.Origin == unit.Average {
				v.Spread = 0 // a made cast is exact in itself
			}
			g.out.Case.set(fact, v)
		}
	}
	var at []string
	if n := g.in.Placement.Turn.Tooth; n != 0 {
		at = append(at, n.String())
	}
	g.out.Case.list("design.turn_at", at)
}

// crossesArch tells whether a major connector joins parts on both sides of the midline.
func (g *gatherer) crossesArch() bool {
	if len(g.parts(design.MajorConnector)) == 0 {
		return false
	}
	side := map[bool]bool{}
	for _, p := range g.in.Design.Parts {
		switch p.Kind {
		case design.Rest, design.Retainer, design.GuidePlate, design.Reciprocation:
			side[p.Tooth.Right()] = true
		case design.Base:
			for _, n := range p.Teeth {
				side[n.Right()] = true
			}
		}
	}
	return side[true] && side[false]
}

func (g *gatherer) indirect(rests, tips []design.Part) {
	s := g.out.Case
	if !g.line.known {
		if g.class.Class == arch.I || g.class.Class == arch.II {
			s.count("design.rests_beyond_axis", 0)
		}
		return
	}
	n, far := 0, 0.0
	origin := g.in.CastIs
	if g.in.Placement == nil {
		origin = unit.Average
	}
	for _, r := range rests {
		p, _ := g.restAt(r)
		if d := g.beyond(p); d > OnAxis {
			n++
			far = math.Max(far, d)
		}
	}
	s.count("design.rests_beyond_axis", n)
	if n == 0 {
		return
	}
	ratio := math.Inf(1)
	for _, a := range g.class.Areas {
		if a.Kind != arch.Extension && g.class.Class != arch.IV {
			continue
		}
		if d := -g.beyond(baseMiddle(a)); d > 0 {
			ratio = math.Min(ratio, far/d)
		}
	}
	if !math.IsInf(ratio, 1) {
		s.num("whole.indirect_ratio", ratio, "", origin, 0)
	}
	between := false
	for _, t := range tips {
		if d := g.beyond(g.tipAt(t)); d < far {
			between = true
		}
	}
	s.flag("design.clasp_between", between)
}

// elements lists what the metals hold that patients are known not to bear.
var elements = map[string][]string{
	"co-cr-cast":            {"cobalt", "chromium"},
	"co-cr-laser":           {"cobalt", "chromium"},
	"gold-iv":               {"gold", "copper", "silver", "palladium"},
	"cp-ti":                 {"titanium"},
	"ti-6al-4v":             {"titanium", "aluminium", "vanadium"},
	"ti-6al-7nb":            {"titanium", "aluminium", "niobium"},
	"wrought-wire-steel":    {"nickel", "chromium"},
	"wrought-wire-co-cr-ni": {"cobalt", "chromium", "nickel"},
	"wrought-wire-pgp":      {"platinum", "gold", "palladium"},
}

// Elements lists the elements of a metal that an allergy may be to.
func Elements(material string) []string { return elements[material] }

func (g *gatherer) allergens() {
	if g.in.Chart.Patient.Allergies == nil {
		return
	}
	seen := map[string]bool{}
	var out []string
	for _, p := range g.in.Design.Parts {
		for _, e := range elements[g.material(p)] {
			for _, a := range g.in.Chart.Patient.Allergies {
				if a = strings.ToLower(strings.TrimSpace(a)); (a == e || a == "chrome" && e == "chromium") && !seen[e] {
					seen[e] = true
					out = append(out, e)
				}
			}
		}
	}
	g.out.Case.list("whole.allergens", out)
}

// material is what a part is made of: as stated, else the frame's metal, else not known.
func (g *gatherer) material(p design.Part) string {
	if p.Material != "" && p.Material != "resin" && p.Material != "metal" {
		return p.Material
	}
	switch p.Kind {
	case design.ReplacementTooth:
		return ""
	case design.Retainer:
		if p.Form == design.ClaspCombination {
			return "wrought-wire"
		}
	case design.Base:
		if p.Material == "resin" {
			return ""
		}
	}
	for _, m := range g.parts(design.MajorConnector) {
		if m.Material != "" {
			return m.Material
		}
	}
	return ""
}

type metalClass int

const (
	metalUnknown metalClass = iota
	metalCast
	metalWire
	metalPolymer
)

func classOf(material string) metalClass {
	switch {
	case material == "":
		return metalUnknown
	case strings.HasPrefix(material, "wrought"):
		return metalWire
	}
	switch material {
	case "peek", "pekk", "pom", "acetal", "polyamide", "resin":
		return metalPolymer
	}
	return metalCast
}

// Target is the undercut [mm] that suits an arm's metal; false where it is not known.
func (b *Book) Target(material string) (float64, bool) {
	switch material {
	case "co-cr-cast":
		return b.Limit("und.castCoCr"), true
	case "co-cr-laser":
		return b.Limit("und.laserCoCr"), true
	case "gold-iv":
		return b.Limit("und.gold"), true
	case "cp-ti":
		return b.Limit("und.cpTi"), true
	case "ti-6al-4v", "ti-6al-7nb":
		return b.Limit("und.ti67"), true
	case "peek", "pekk", "pom", "acetal", "polyamide":
		return b.Limit("und.polymer"), true
	}
	if classOf(material) == metalWire {
		return b.Limit("und.wire"), true
	}
	return 0, false
}

// toothDesigned adds what the design puts on a tooth.
func (g *gatherer) toothDesigned(s *Scope, n tooth.Number) {
	d := g.in.Design
	replaced := len(d.On(design.ReplacementTooth, n)) > 0
	for _, b := range d.Of(design.Base) {
		for _, t := range b.Teeth {
			replaced = replaced || t == n
		}
	}
	s.flag("tooth.has_replacement", replaced)
	rests, retainers := d.On(design.Rest, n), d.On(design.Retainer, n)
	clasped, cast, arms, double := false, false, 0, false
	sure := true
	for _, r := range retainers {
		if r.Form == design.ClaspNone {
			continue
		}
		clasped = true
		switch classOf(g.material(r)) {
		case metalCast:
			cast = true
		case metalUnknown:
			sure = false
		}
		if hasTip(r) {
			arms++
		}
		if r.Form == design.ClaspHalfAndHalf || r.Form == design.ClaspMultiple {
			double = true
		}
	}
	s.flag("tooth.carries", len(rests) > 0 || clasped)
	s.flag("tooth.carries_rest", len(rests) > 0)
	if cast || sure {
		s.flag("tooth.cast_clasp", cast)
	}
	s.count("tooth.retentive_arms", arms)
	s.flag("tooth.double_arm_form", double)
	distal, other, longOrDistal := false, false, false
	for _, r := range rests {
		if r.Site == tooth.Distal {
			distal = true
		} else {
			other = true
		}
		longOrDistal = longOrDistal || r.Site == tooth.Distal || r.Form == design.RestExtended || r.Form == design.RestOnlay
	}
	s.flag("tooth.rests_distal_only", distal && !other)
	s.flag("tooth.only_short_mesial_rest", len(rests) > 0 && !longOrDistal)
	reason := plateFirst(g.book, g.in.Chart, n)
	for _, r := range append(append([]design.Part(nil), rests...), retainers...) {
		reason = reason || strings.Contains(r.Note, "RST-63") || strings.Contains(r.Note, "distal rest because")
	}
	s.flag("tooth.distal_rest_reason", reason)
}

// inFront tells whether a retentive tip lies in front of the fulcrum line. On a tooth
// whose own rest the line runs through, what counts is which of the two lies more mesial:
// a tip beside its rest moves with it, one mesial to it is lifted when the base sinks. A
// rest in the middle of the lingual has the tip beside it wherever it is.
func (g *gatherer) inFront(p design.Part) bool {
	rests := g.in.Design.On(design.Rest, p.Tooth)
	own, found := -2, false
	for _, r := range rests {
		at, _ := g.restAt(r)
		if at.Dist(g.line.a) > 1e-6 && at.Dist(g.line.b) > 1e-6 {
			continue
		}
		found = true
		switch r.Site {
		case tooth.Mesial:
			own = 1
		case tooth.Distal:
			own = max(own, -1)
		default:
			return false
		}
	}
	if found {
		return p.Undercut.Site.MesialSide() > own
	}
	return g.beyond(g.tipAt(p)) > OnAxis/2
}
