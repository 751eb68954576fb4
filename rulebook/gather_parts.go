package rulebook

import (
	"math"
	"sort"
	"strings"

	"halfpear/chart"
	"halfpear/design"
	"halfpear/prep"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// label names a part for people, as in "I-bar on 44".
func label(p design.Part) words.Text {
	name := words.Code{Group: "kind", Code: string(p.Kind)}
	if words.HasTerm(string(p.Kind), string(p.Form)) && p.Form != design.ClaspNone {
		name = words.Code{Group: string(p.Kind), Code: string(p.Form)}
	}
	side := string(p.Site)
	if side == "" {
		side = string(p.Surface)
	}
	switch {
	case p.Kind == design.MajorConnector:
		return words.Say(name)
	case p.Tooth != 0 && side != "":
		return words.PartOnSide.With(name, p.Tooth, words.Code{Group: "surface", Code: side})
	case p.Tooth != 0:
		return words.PartOn.With(name, p.Tooth)
	case len(p.Teeth) > 0:
		return words.PartOver.With(name, words.Teeth(p.Teeth))
	case len(p.At) > 0:
		return words.PartAt.With(name, words.Teeth(p.At))
	}
	return words.Plain(string(p.ID))
}

func (g *gatherer) theParts() {
	for _, p := range g.in.Design.Parts {
		over := g.out.Case
		if s, ok := g.teeth[p.Tooth]; ok {
			over = s
		}
		sub := Subject{Place: Place{Tooth: p.Tooth, Surface: p.Surface, Part: p.ID}, Label: label(p), Scope: newScope(over)}
		if p.Kind == design.Rest {
			sub.Place.Surface = p.Site
		}
		g.part(sub, p)
		switch p.Kind {
		case design.Rest:
			g.rest(sub, p)
		case design.Retainer:
			g.retainer(sub, p)
		case design.GuidePlate:
			g.plate(sub, p)
		case design.Base:
			g.base(sub, p)
		case design.MajorConnector:
			g.connector(sub, p)
		case design.MinorConnector:
			g.minor(sub, p)
		case design.ReplacementTooth:
			g.replacement(sub, p)
		}
	}
}

func (g *gatherer) part(sub Subject, p design.Part) {
	s := Subject{Place: sub.Place, Label: sub.Label, Scope: newScope(sub.parent)}
	s.text("part.kind", string(p.Kind))
	var under []tooth.Number
	switch p.Kind {
	case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
		under = append(under, p.Tooth)
		if p.Form == design.ClaspEmbrasure || p.Form == design.ClaspMultiple {
			under = append(under, p.Teeth...)
		}
	case design.MinorConnector:
		// In an embrasure it needs one of the two teeth.
		stands := len(p.At) == 0
		for _, n := range p.At {
			stands = stands || g.in.Chart.Stands(n)
		}
		if !stands {
			under = p.At
		}
	}
	var gone words.Teeth
	for _, n := range under {
		if !n.Valid() || n.Arch() != g.in.Chart.Arch || !g.in.Chart.Stands(n) {
			gone = append(gone, n)
		}
	}
	s.teeth("part.missing_teeth", gone)
	rigid := p.Kind == design.Rest || p.Kind == design.Reciprocation || p.Kind == design.GuidePlate || p.Kind == design.MinorConnector
	s.flag("part.rigid", rigid)
	if rigid {
		g.measured(s.Scope, p, "part.rigid_undercut_mm", "rigid_undercut")
		// The order asks for it under every rigid part, and the block-out made for a design
		// fills what rigid parts cross.
		s.flag("part.blocked_out", !strings.Contains(p.Note, "no block-out"))
	}
	g.subject(OverPart, s)
}

// measured sets a fact from a placed part's measure. A check judges what lies on the cast;
// a dimension the design states is what was asked for, and stands in for it only on a cast
// of average sizes where nothing was measured. Laid there as stated, it is the design's own
// number and no average.
func (g *gatherer) measured(s *Scope, p design.Part, fact string, names ...string) bool {
	f, _ := known(fact)
	if q, ok := g.placed(p.ID); ok {
		for _, name := range names {
			if m, ok := q.Measure(name, 0); ok {
				v := quantityFact(m.Quantity)
				// The worst of several places counts: a measure below its limit is the
				// smallest, one above is the largest; placement gives the worst first.
				if v.Unit == "" {
					v.Unit = f.Unit
				}
				if v.Origin == "" {
					v.Origin = g.in.CastIs
				}
				if g.in.CastIs == unit.Average {
					// A made cast is exact in itself; that its sizes are averages is said by
					// the origin and would drown every finding as a spread.
					v.Spread = 0
					if asked, ok := dimensionOf(p, stated[fact]...); ok && math.Abs(asked-m.Quantity.Value) < asAsked {
						v.V, v.Origin = asked, ""
					}
				}
				s.set(fact, v)
				return true
			}
		}
	}
	return g.in.CastIs == unit.Average && g.dimension(s, p, fact, stated[fact]...)
}

// asAsked is how near a laid dimension [mm] comes to the stated one to be called the same:
// as fine as the papers print it.
const asAsked = 0.05

// stated are the dimensions a design may state itself, by the fact they decide.
var stated = map[string][]string{
	"connector.border_margin_mm": {"below_margin", "above_margin", "upper_border_to_margin", "border_to_margin"},
	"connector.height_mm":        {"height", "bar_height"}, "connector.thickness_mm": {"thickness"}, "connector.width_mm": {"width"},
	"connector.opening_mm": {"opening_length"}, "connector.vibrating_mm": {"posterior_clear"},
	"retainer.approach_margin_mm": {"clearance", "approach_clearance"}, "retainer.origin_thickness_mm": {"root_thickness"}, "retainer.arm_mm": {"arm_length"},
	"rest.seat_width_mm": {"width"}, "rest.seat_length_mm": {"length"}, "rest.seat_depth_mm": {"depth"},
	"plate.height_mm": {"height"}, "plate.thickness_mm": {"thickness"}, "minor.thickness_mm": {"thickness"},
	"base.lattice_share": {"lattice_share"}, "base.relief_start_mm": {"relief_start"}, "base.finish_offset_mm": {"offset"},
}

func (g *gatherer) dimension(s *Scope, p design.Part, fact string, names ...string) bool {
	f, _ := known(fact)
	v, ok := dimensionOf(p, names...)
	if ok {
		s.num(fact, v, f.Unit, "", 0)
	}
	return ok
}

// dimensionOf is the first of a part's own dimensions of these names.
func dimensionOf(p design.Part, names ...string) (float64, bool) {
	for _, name := range names {
		if v, ok := p.Dimensions[name]; ok {
			return v, true
		}
	}
	return 0, false
}

func (g *gatherer) measuredFlag(s *Scope, p design.Part, fact string, name string) {
	if q, ok := g.placed(p.ID); ok {
		if m, ok := q.Measure(name, 0); ok {
			s.flag(fact, m.Quantity.Value != 0)
		}
	}
}

func (g *gatherer) rest(sub Subject, p design.Part) {
	s, t := sub.Scope, g.in.Chart.Teeth[p.Tooth]
	s.text("rest.form", string(p.Form))
	s.text("rest.site", string(p.Site))
	s.text("rest.role", string(p.Role))
	s.flag("rest.seat_present", t.RestSeat == "present")
	s.flag("rest.seat_material_known", t.SeatMaterial != "")
	if g.in.Plan != nil {
		planned, leaves := false, false
		for _, i := range g.in.Plan.On(p.Tooth) {
			seat := i.For == p.ID || strings.HasSuffix(string(i.Operation), "-seat") && i.Surface == p.Site || i.Operation == "survey-crown"
			planned = planned || seat
			leaves = leaves || seat && i.EnamelMM > 0 && i.RemovalMM > i.EnamelMM
		}
		s.flag("rest.seat_planned", planned || t.Crown == "survey")
		s.flag("rest.seat_leaves_enamel", leaves)
	}
	for fact, name := range map[string]string{"rest.seat_width_mm": "seat_width", "rest.seat_length_mm": "seat_length", "rest.seat_depth_mm": "seat_depth_ridge",
		"rest.seat_width_share": "seat_width_share", "rest.seat_length_share": "seat_length_share", "rest.floor_angle_deg": "seat_floor_angle_deg", "rest.metal_min_mm": "metal_least",
		"rest.metal_ridge_mm": "metal_at_ridge", "rest.room_mm": "opponent_room"} {
		g.measured(s, p, fact, name)
	}
	if _, ok := s.Lookup("rest.room_mm"); !ok && t.OpposingRoomMM != nil {
		// The room over the tooth as it is, and what a planned seat adds to it.
		switch depth, planned := g.seatDepth(p); {
		case t.RestSeat == "present":
			s.num("rest.room_mm", *t.OpposingRoomMM, "mm", unit.Entered, 0)
		case planned:
			s.num("rest.room_mm", *t.OpposingRoomMM+depth, "mm", unit.Entered, 0)
		}
	}
	single := p.Tooth.Kind().Incisor()
	if single {
		for _, n := range []tooth.Number{p.Tooth.Mesial(), p.Tooth.Distal()} {
			if n != 0 && len(g.in.Design.On(design.Rest, n)) > 0 {
				single = false
			}
		}
	}
	s.flag("rest.single_incisor", single)
	g.subject(OverRest, sub)
}

// seatDepth is how deep the plan cuts a rest's seat; false where it cuts none.
func (g *gatherer) seatDepth(p design.Part) (float64, bool) {
	if g.in.Plan == nil {
		return 0, false
	}
	for _, i := range g.in.Plan.On(p.Tooth) {
		if i.For == p.ID && i.Stage == prep.Seats && i.RemovalMM > 0 {
			return i.RemovalMM, true
		}
	}
	return 0, false
}

// suprabulge tells the arms that come from above.
func suprabulge(f design.Form) bool {
	switch f {
	case design.ClaspCircumferential, design.ClaspMesialRestCircumferential, design.ClaspRing, design.ClaspEmbrasure, design.ClaspReverseCirclet, design.ClaspHairpin,
		design.ClaspBackAction, design.ClaspHalfAndHalf, design.ClaspCombination, design.ClaspExtended, design.ClaspMultiple:
		return true
	}
	return false
}

func (g *gatherer) retainer(sub Subject, p design.Part) {
	s, d := sub.Scope, g.in.Design
	s.text("retainer.form", string(p.Form))
	s.flag("retainer.infrabulge", p.Form.Infrabulge())
	s.flag("retainer.suprabulge", suprabulge(p.Form))
	s.flag("retainer.has_tip", hasTip(p))
	metal := g.material(p)
	if c := classOf(metal); c != metalUnknown || p.Form == design.ClaspNone {
		s.flag("retainer.cast", c == metalCast)
		s.flag("retainer.wrought", c == metalWire)
		s.flag("retainer.polymer", c == metalPolymer)
		s.flag("retainer.cast_cocr", metal == "co-cr-cast" || metal == "co-cr-laser")
	}
	if v, ok := g.book.Target(metal); ok {
		s.num("retainer.target_mm", v, "mm", "", 0)
	}
	rests := d.On(design.Rest, p.Tooth)
	mesial, distal := false, false
	for _, r := range rests {
		mesial = mesial || r.Site == tooth.Mesial
		distal = distal || r.Site == tooth.Distal
	}
	s.count("retainer.rests", len(rests))
	s.flag("retainer.rest_mesial", mesial)
	s.flag("retainer.rest_distal", distal)
	s.count("retainer.embrasure_rests", g.embrasureRests(p))
	s.flag("retainer.strut", g.strut(p))
	s.flag("retainer.reciprocated", g.reciprocated(p))
	arm := false
	for _, r := range d.On(design.Reciprocation, p.Tooth) {
		arm = arm || r.Form == design.ReciprocalArm
		if r.Form == design.ReciprocalArm {
			g.measured(s, r, "retainer.reciprocal_height", "arm_height_share")
			g.measured(s, r, "retainer.reciprocal_thickness_mm", "root_thickness")
			if q, ok := g.placed(r.ID); ok {
				if m, ok := q.Measure("thickness_ratio", 0); ok {
					s.num("retainer.reciprocal_taper", 1-m.Quantity.Value, "", g.in.CastIs, 0)
				}
			}
		}
		g.measured(s, r, "retainer.reciprocal_cover", "guide_travel_share")
	}
	s.flag("retainer.reciprocal_arm", arm)
	s.num("retainer.encirclement_deg", g.encirclement(p), "deg", "", 0)
	only := true
	for _, o := range g.tips() {
		if o.ID != p.ID && o.Tooth.Right() == p.Tooth.Right() {
			only = false
		}
	}
	s.flag("retainer.only_on_side", only)
	if hasTip(p) {
		g.tip(s, p, metal)
	}
	for _, m := range []struct{ fact, name string }{{"retainer.arm_mm", "arm_length"}, {"retainer.below_contour_share", "below_survey_line_share"}, {"retainer.taper", "thickness_ratio"},
		{"retainer.origin_thickness_mm", "root_thickness"}, {"retainer.foot_above_contour_mm", "foot_above_survey_line"}, {"retainer.approach_margin_mm", "approach_clearance"},
		{"retainer.crossing_deg", "crossing_angle_deg"}, {"retainer.rigid_above_contour_mm", "rigid_above_survey_line"}, {"retainer.opponent_mm", "opponent_clearance"},
		{"retainer.head_gap_mm", "head_gap"}, {"retainer.finger_gap_mm", "finger_gap"}, {"retainer.interference_mm", "interference"}} {
		g.measured(s, p, m.fact, m.name)
	}
	if t := g.in.Chart.Teeth[p.Tooth]; t.ArmRoomMM != nil && p.Form != design.ClaspNone {
		if _, ok := s.Lookup("retainer.opponent_mm"); !ok {
			s.num("retainer.opponent_mm", *t.ArmRoomMM, "mm", unit.Entered, 0)
		}
	}
	if hasTip(p) {
		past := p.Undercut.Site.MesialSide() < 0
		if q, ok := g.placed(p.ID); ok && g.in.CastIs == unit.Measured {
			if m, ok := q.Measure("tip_past_bulge_deg", 0); ok {
				past = past || m.Quantity.Value < -g.book.Limit("bar.pastBulge")
			}
		}
		s.flag("retainer.tip_distal", past)
	}
	if _, ok := s.Lookup("tooth.crown_height_mm"); !ok {
		g.measured(s, p, "tooth.crown_height_mm", "crown_height")
	}
	if !g.measured(s, p, "retainer.relief_mm", "approach_relief") {
		g.dimension(s, p, "retainer.relief_mm", "relief")
	}
	if f := g.in.Forces; f != nil {
		a := f.Arms[p.ID]
		s.quantity("retainer.stress_ratio", a.StressRatio)
		s.quantity("retainer.hold_N", a.Hold)
		s.quantity("retainer.may_go_mm", a.MayGo)
		s.quantity("retainer.set_mm", a.Set)
		s.quantity("retainer.as_wire", a.AsWire)
		s.word("retainer.on_bite", a.OnBite)
	}
	g.subject(OverRetainer, sub)
}

// tip sets what is known of a retentive tip: planned by the design, read with a gauge,
// or found on the cast.
func (g *gatherer) tip(s *Scope, p design.Part, metal string) {
	site := p.Undercut.Site
	s.text("retainer.site", string(site))
	s.text("retainer.side", map[int]string{-1: "distal", 0: "mid", 1: "mesial"}[site.MesialSide()])
	s.flag("retainer.site_facial", site.Facial())
	s.flag("retainer.site_at_origin", g.atOrigin(p))
	if g.line.known {
		s.flag("retainer.in_front_of_axis", g.inFront(p))
	}
	// Only what the design itself says is to be made counts; that the preparation plan
	// could make it does not mend a design that overlooked it.
	_, made := prep.Making(p)
	s.flag("retainer.undercut_to_be_made", made)
	planned := p.Undercut.MM
	read, known := g.in.Undercuts.Found(p.Tooth, site)
	q, placed := g.placed(p.ID)
	onScan := placed && q.Tip != nil && g.in.CastIs == unit.Measured
	switch {
	case made:
		s.num("retainer.undercut_mm", planned, "mm", unit.Computed, 0)
	case onScan:
		s.num("retainer.undercut_mm", q.Tip.UndercutMM, "mm", unit.Measured, g.in.Spread)
		s.num("retainer.tip_undercut_mm", q.Tip.UndercutMM, "mm", unit.Measured, g.in.Spread)
		s.num("retainer.tip_vertical_mm", q.Tip.VerticalUndercut, "mm", unit.Measured, g.in.Spread)
		s.num("retainer.tip_margin_mm", q.Tip.AboveMargin, "mm", unit.Measured, g.in.Spread)
	case known:
		// The tip stands where the design says, but no deeper than the gauge found.
		v := planned
		if v == 0 || read.MM < v {
			v = read.MM
		}
		s.num("retainer.undercut_mm", v, "mm", read.Origin, read.Spread)
		if t, ok := g.book.Target(metal); ok && planned > t+g.book.Limit("und.offTarget") {
			// Too deep a plan is a fault even where the tooth cannot give it.
			s.num("retainer.undercut_mm", planned, "mm", "", 0)
		}
		s.num("retainer.tip_undercut_mm", v, "mm", read.Origin, read.Spread)
		if read.AboveMarginMM != nil {
			s.num("retainer.tip_margin_mm", *read.AboveMarginMM, "mm", read.Origin, read.Spread)
		}
		if g.in.Path != nil && g.in.Path.TiltDeg < 0.5 {
			s.num("retainer.tip_vertical_mm", v, "mm", read.Origin, read.Spread)
		}
	default:
		// The crown of a made cast is an average one: it does not say whether this tooth
		// has an undercut.
		if planned > 0 {
			s.num("retainer.undercut_mm", planned, "mm", "", 0)
		}
	}
}

// atOrigin tells whether an arm's undercut lies at the side the arm starts from: the side
// of the space, or else of the rest.
func (g *gatherer) atOrigin(p design.Part) bool {
	side := p.Undercut.Site.MesialSide()
	if side == 0 {
		return false
	}
	kind, from := Beside(g.class, g.in.Chart, p.Tooth)
	if kind == "bounded" && Pier(g.class, g.in.Chart, p.Tooth) {
		return false // the arm starts from the space on the other side
	}
	if kind == "none" {
		mesial, distal := false, false
		for _, r := range g.in.Design.On(design.Rest, p.Tooth) {
			mesial = mesial || r.Site == tooth.Mesial
			distal = distal || r.Site == tooth.Distal
		}
		if mesial == distal {
			return false
		}
		from = tooth.Distal
		if mesial {
			from = tooth.Mesial
		}
	}
	return (from == tooth.Mesial) == (side > 0)
}

func (g *gatherer) embrasureRests(p design.Part) int {
	if p.Form != design.ClaspEmbrasure {
		return 0
	}
	if len(p.Teeth) == 2 {
		n := 0
		for _, t := range p.Teeth {
			n += min(1, len(g.in.Design.On(design.Rest, t)))
		}
		return n
	}
	// Only one tooth is named: a rest on it and one on the neighbour across the embrasure.
	n := min(1, len(g.in.Design.On(design.Rest, p.Tooth)))
	for _, t := range []tooth.Number{p.Tooth.Mesial(), p.Tooth.Distal()} {
		if t == 0 {
			continue
		}
		for _, r := range g.in.Design.On(design.Rest, t) {
			if r.Site == tooth.Distal && t == p.Tooth.Mesial() || r.Site == tooth.Mesial && t == p.Tooth.Distal() {
				n++
			}
		}
	}
	return min(n, 2)
}

// strut tells whether a ring or back-action clasp has its supporting strut: a minor
// connector on its tooth that joins it, or one the retainer's own text names.
func (g *gatherer) strut(p design.Part) bool {
	if strings.Contains(p.Note, "strut") && !strings.Contains(p.Note, "no strut") {
		return true
	}
	for name := range p.Dimensions {
		if strings.HasPrefix(name, "strut") {
			return true
		}
	}
	for _, m := range g.parts(design.MinorConnector) {
		on := false
		for _, n := range m.At {
			on = on || n == p.Tooth
		}
		if m.Joins == p.ID || on && (strings.Contains(string(m.ID), "strut") || strings.Contains(m.Note, "strut")) {
			return true
		}
	}
	return false
}

func (g *gatherer) reciprocated(p design.Part) bool {
	d := g.in.Design
	for _, r := range d.On(design.Reciprocation, p.Tooth) {
		if r.Form != design.ReciprocalGuidePlates || len(d.On(design.GuidePlate, p.Tooth)) > 0 {
			return true
		}
	}
	for _, r := range d.Of(design.Reciprocation) {
		for _, n := range r.Teeth {
			if n == p.Tooth {
				return true
			}
		}
	}
	switch p.Form {
	case design.ClaspEmbrasure, design.ClaspMultiple, design.ClaspHalfAndHalf:
		return true
	case design.ClaspRing, design.ClaspBackAction:
		return g.strut(p)
	}
	plates, minors := len(d.On(design.GuidePlate, p.Tooth)), 0
	for _, m := range d.Of(design.MinorConnector) {
		for _, n := range m.At {
			if n == p.Tooth {
				minors++
			}
		}
	}
	if plates >= 2 || plates >= 1 && minors >= 1 {
		return true
	}
	for _, m := range d.Of(design.MajorConnector) {
		if m.Form == design.LingualPlate && p.Undercut != nil && p.Undercut.Site.Facial() && coveredBy(m, p.Tooth) {
			return true
		}
	}
	return false
}

// coveredBy tells whether a plate lies on a tooth: those it names, else the front teeth
// and first premolars.
func coveredBy(m design.Part, n tooth.Number) bool {
	for _, t := range m.Teeth {
		if t == n {
			return true
		}
	}
	return len(m.Teeth) == 0 && n.Place() <= 4
}

// siteAngle is where a site lies round the crown: 0 facial, 90 mesial, 180 lingual, 270
// distal.
var siteAngle = map[tooth.Site]float64{tooth.MidFacial: 0, tooth.MesioFacial: 45, tooth.MesioLingual: 135, tooth.MidLingual: 180, tooth.DistoLingual: 225, tooth.DistoFacial: 315}

// encirclement is the angle round the tooth between the outermost contacts of the parts
// on it, seen along the path: the full turn less the widest gap between contacts. Each
// part covers a taught arc (ours): a rest 30°, a plate 65° with its wrap, an arm from its
// origin to its end.
func (g *gatherer) encirclement(p design.Part) float64 {
	d, n := g.in.Design, p.Tooth
	var arcs [][2]float64
	add := func(lo, hi float64) {
		if lo < 0 {
			lo, hi = lo+360, hi+360
		}
		arcs = append(arcs, [2]float64{lo, hi})
	}
	surface := map[tooth.Surface]float64{tooth.Facial: 0, tooth.Mesial: 90, tooth.Lingual: 180, tooth.Distal: 270}
	origin := 270.0 // where an arm starts
	if _, side := Beside(g.class, g.in.Chart, n); side == tooth.Mesial {
		origin = 90
	} else if side == "" {
		for _, r := range d.On(design.Rest, n) {
			if r.Site == tooth.Mesial {
				origin = 90
			}
		}
	}
	for _, r := range d.On(design.Rest, n) {
		if a, ok := surface[r.Site]; ok {
			add(a-15, a+15)
		}
	}
	for _, r := range d.On(design.GuidePlate, n) {
		switch r.Surface {
		case tooth.Mesial:
			add(65, 130)
		case tooth.Distal:
			add(230, 295)
		case tooth.Lingual:
			add(140, 220)
		}
	}
	for _, m := range d.Of(design.MinorConnector) {
		for _, t := range m.At {
			if t != n {
				continue
			}
			for _, o := range m.At {
				switch o {
				case n.Mesial():
					add(100, 140)
				case n.Distal():
					add(220, 260)
				}
			}
			if len(m.At) == 1 {
				for _, r := range d.On(design.Rest, n) {
					if r.Site == tooth.Mesial {
						add(100, 140)
					}
				}
			}
		}
	}
	lingualTip := p.Undercut != nil && !p.Undercut.Site.Facial()
	for _, r := range d.On(design.Reciprocation, n) {
		switch {
		case r.Form == design.ReciprocalArm && lingualTip:
			add(-70, 70)
		case r.Form == design.ReciprocalArm && origin == 90:
			add(90, 235)
		case r.Form == design.ReciprocalArm:
			add(125, 270)
		case r.Form == design.ReciprocalPlate:
			add(120, 240)
		}
	}
	for _, m := range d.Of(design.MajorConnector) {
		if (m.Form == design.LingualPlate || m.Form == design.PalatalPlate && len(m.Teeth) > 0) && coveredBy(m, n) {
			add(120, 240)
		}
	}
	at := 0.0
	if p.Undercut != nil {
		at = siteAngle[p.Undercut.Site]
	}
	switch p.Form {
	case design.ClaspIBar:
		add(at-8, at+8)
	case design.ClaspHalfTBar, design.ClaspTBar, design.ClaspYBar:
		add(at-20, at+20)
	case design.ClaspRing:
		add(0, 300)
	case design.ClaspBackAction, design.ClaspEmbrasure, design.ClaspMultiple, design.ClaspHalfAndHalf:
		add(0, 250)
	case design.ClaspReverseCirclet:
		if at > 180 {
			add(at-360, 90)
		} else {
			add(at, 270)
		}
	default:
		if p.Undercut != nil {
			a := at
			if origin == 270 && a < 90 {
				a += 360
			}
			add(min(origin, a), max(origin, a))
		}
	}
	return 360 - widestGap(arcs)
}

// widestGap is the widest stretch of the full turn that no arc covers.
func widestGap(arcs [][2]float64) float64 {
	if len(arcs) == 0 {
		return 360
	}
	var flat [][2]float64
	for _, a := range arcs {
		lo, hi := a[0], a[1]
		for lo >= 360 {
			lo, hi = lo-360, hi-360
		}
		if hi > 360 {
			flat = append(flat, [2]float64{lo, 360}, [2]float64{0, hi - 360})
		} else {
			flat = append(flat, [2]float64{lo, hi})
		}
	}
	sort.Slice(flat, func(i, j int) bool { return flat[i][0] < flat[j][0] })
	gap, end := 0.0, flat[0][1]
	for _, a := range flat[1:] {
		gap = max(gap, a[0]-end)
		end = max(end, a[1])
	}
	return max(gap, flat[0][0]+360-end)
}

func (g *gatherer) plate(sub Subject, p design.Part) {
	s := sub.Scope
	s.text("plate.surface", string(p.Surface))
	beside := "none"
	if p.Surface == tooth.Mesial || p.Surface == tooth.Distal {
		if a, ok := areaBeside(g.class, g.in.Chart, p.Tooth, p.Surface == tooth.Mesial); ok {
			beside = string(a.Kind)
		}
	}
	s.text("plate.beside", beside)
	mesial := false
	for _, r := range g.in.Design.On(design.Rest, p.Tooth) {
		mesial = mesial || r.Site == tooth.Mesial
	}
	s.flag("plate.mesial_rest", mesial)
	s.flag("plate.seats_first", p.SeatsFirst())
	for _, m := range []struct{ fact, name string }{{"plate.height_mm", "plate_height"}, {"plate.width_of_crown", "plate_width_share"}, {"plate.divergence_deg", "plane_angle_deg"},
		{"plate.above_contour_mm", "plate_above_survey_line"}, {"plate.relief_mm", "plate_relief"}, {"plate.thickness_mm", "plate_thickness"}, {"plate.tissue_extent_mm", "plate_tissue_extent"}} {
		g.measured(s, p, m.fact, m.name)
	}
	g.subject(OverPlate, sub)
}

func (g *gatherer) minor(sub Subject, p design.Part) {
	for _, m := range []struct{ fact, name string }{{"minor.nearest_mm", "connector_spacing"}, {"minor.thickness_mm", "connector_thickness"}, {"minor.joint_radius_mm", "joint_radius"}} {
		g.measured(sub.Scope, p, m.fact, m.name)
	}
	g.measuredFlag(sub.Scope, p, "minor.on_convex", "on_convex")
	g.subject(OverMinor, sub)
}

func (g *gatherer) replacement(sub Subject, p design.Part) {
	s, c := sub.Scope, g.in.Chart
	s.word("replacement.form", string(p.Form))
	m, d := p.Tooth.Mesial(), p.Tooth.Distal()
	s.flag("replacement.single_front", p.Tooth.Kind().Anterior() && m != 0 && d != 0 && stands(c, m) && stands(c, d))
	g.subject(OverReplacement, sub)
}

func stands(c chart.Chart, n tooth.Number) bool { return n != 0 && c.Stands(n) }

// thePairs compares like clasps on the same tooth of both sides.
func (g *gatherer) thePairs() {
	byTooth := map[tooth.Number]Subject{}
	form := map[tooth.Number]string{}
	for _, s := range g.out.Subjects[OverRetainer] {
		if v, ok := s.Lookup("retainer.form"); ok && s.Place.Tooth.Valid() {
			byTooth[s.Place.Tooth] = s
			form[s.Place.Tooth] = v.V.(string)
		}
	}
	for _, n := range tooth.All(g.in.Chart.Arch)[:8] {
		a, ok := byTooth[n]
		b, ok2 := byTooth[n.Opposite()]
		if !ok || !ok2 || form[n] != form[n.Opposite()] || form[n] == "none" {
			continue
		}
		sub := Subject{Place: Place{Tooth: n, Part: a.Place.Part}, Label: words.PartAnd.With(a.Label, b.Place.Tooth), Scope: newScope(g.out.Case)}
		x, ok := a.Lookup("retainer.tip_undercut_mm")
		y, ok2 := b.Lookup("retainer.tip_undercut_mm")
		if ok && ok2 {
			d := abs(x.V.(float64) - y.V.(float64))
			if d <= max(x.Spread, y.Spread) {
				d = min(d, g.book.Limit("und.sideTolerance")) // not told apart
			}
			sub.num("pair.undercut_difference_mm", d, "mm", x.Origin, 0)
		}
		g.subject(OverPair, sub)
	}
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
