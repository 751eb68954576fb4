package rulebook

import (
	"math"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

func (g *gatherer) base(sub Subject, p design.Part) {
	s, d, c := sub.Scope, g.in.Design, g.in.Chart
	s.word("base.support", p.Support)
	s.word("base.attachment", p.Attachment)
	material := p.Material
	if material == "" && (p.Attachment == "lattice" || p.Attachment == "mesh") {
		material = "resin"
	}
	s.word("base.material", material)
	s.count("base.span", len(p.Teeth))
	if len(p.Teeth) > 0 {
		teeth := append([]tooth.Number(nil), p.Teeth...)
		sortTeeth(teeth)
		var fit, unfit words.Teeth
		for _, n := range neighbours(c, arch.Area{Teeth: teeth}) {
			if n == 0 || len(d.On(design.Rest, n)) > 0 {
				continue
			}
			if Unfit(g.book, c, n) {
				unfit = append(unfit, n)
			} else {
				fit = append(fit, n)
			}
		}
		s.teeth("base.unrested", fit)
		s.teeth("base.unrested_unfit", unfit)
	}
	stops := 0
	finish := map[string]bool{}
	for _, t := range d.Of(design.TissueStop) {
		if t.Joins == p.ID || t.Joins == "" && shareTooth(t, p) {
			stops++
		}
	}
	lines := d.Of(design.FinishLine)
	for _, f := range lines {
		if f.Joins == p.ID || f.Joins == "" && (len(d.Of(design.Base)) == 1 || shareTooth(f, p)) {
			finish[f.Side] = true
		}
	}
	s.count("base.stops", stops)
	if len(lines) > 0 {
		// A design that writes no finish line at all leaves them to the pattern.
		s.flag("base.finish_internal", finish["internal"])
		s.flag("base.finish_external", finish["external"])
	}
	deepest, known := 0.0, false
	read, readIs := 0.0, false // on a scan
	space, spaceKnown := math.Inf(1), false
	youngest, ageKnown := math.Inf(1), true
	for _, n := range p.Teeth {
		if u, ok := c.Tissues.TissueUndercutMM[n]; ok {
			deepest, known = math.Max(deepest, u.DepthMM), true
		}
		if at := g.scannedAt(n); at.Ridge != nil && len(at.Facial.Side) > 0 {
			readIs = true
			if at.Facial.Undercut != nil {
				read = math.Max(read, at.Facial.Undercut.Depth)
			}
		}
		t := c.Teeth[n]
		if t.OpposingRoomMM != nil {
			space, spaceKnown = math.Min(space, *t.OpposingRoomMM), true
		}
		if t.ExtractedMonths != nil {
			youngest = math.Min(youngest, *t.ExtractedMonths)
		} else {
			ageKnown = false
		}
	}
	if known {
		s.num("base.tissue_undercut_mm", deepest, "mm", unit.Entered, 0)
	} else if readIs {
		s.num("base.tissue_undercut_mm", read, "mm", unit.Measured, g.in.Spread)
	}
	s.flag("base.border_eased", strings.Contains(p.Note, "border shortened") || strings.Contains(p.Note, "border relieved"))
	if spaceKnown {
		s.num("base.space_mm", space, "mm", unit.Entered, 0)
	}
	if len(p.Teeth) > 0 && (ageKnown || youngest < g.book.Limit("base.healed")) {
		s.num("base.extraction_months", youngest, "months", unit.Entered, 0)
	}
	for _, m := range []struct{ fact, name string }{{"base.lattice_share", "lattice_share"}, {"base.lattice_to_pad_mm", "lattice_to_pad"}, {"base.relief_start_mm", "relief_start"},
		{"base.finish_angle_deg", "finish_angle_deg"}, {"base.pad_cover", "pad_covered_share"}} {
		g.measured(s, p, m.fact, m.name)
	}
	if !g.measured(s, p, "base.relief_mm", "relief") {
		g.dimension(s, p, "base.relief_mm", "relief")
	}
	if _, ok := s.Lookup("base.relief_start_mm"); !ok {
		g.dimension(s, p, "base.relief_start_mm", "relief_start")
	}
	for _, f := range lines {
		if f.Joins == p.ID || f.Joins == "" && shareTooth(f, p) {
			if g.measured(s, f, "base.finish_offset_mm", "finish_offset") {
				break
			}
		}
	}
	behind, steep, seen := 0, 0.0, false
	for _, n := range p.Teeth {
		for _, t := range d.On(design.ReplacementTooth, n) {
			q, ok := g.placed(t.ID)
			if !ok {
				continue
			}
			if m, ok := q.Measure("behind_lattice", 0); ok && m.Quantity.Value > 0 {
				behind++
			}
			if m, ok := q.Measure("ridge_slope_deg", 0); ok {
				steep, seen = math.Max(steep, m.Quantity.Value), true
			}
		}
	}
	if seen {
		s.num("base.steepest_deg", steep, "deg", g.in.CastIs, 0)
		s.count("base.teeth_behind_lattice", behind)
	}
	g.subject(OverBase, sub)
}

func shareTooth(a, b design.Part) bool {
	for _, x := range append([]tooth.Number{a.Tooth}, append(a.Teeth, a.At...)...) {
		for _, y := range b.Teeth {
			if x == y {
				return true
			}
		}
	}
	return false
}

func (g *gatherer) connector(sub Subject, p design.Part) {
	s, d := sub.Scope, g.in.Design
	s.text("connector.form", string(p.Form))
	lingual := p.Form == design.LingualBar || p.Form == design.LingualBarWithCingulumBar
	s.flag("connector.lingual_bar", lingual)
	s.flag("connector.lower_bar", lingual || p.Form == design.SublingualBar || p.Form == design.LabialBar)
	s.flag("connector.ends_rested", g.endsRested())
	s.flag("connector.named_indirect", p.Role == design.Indirect)
	s.flag("connector.step_back", strings.Contains(p.Note, "step-back"))
	s.flag("connector.plate_reason", p.Note != "" && p.Note != "full" || g.plateReason())
	s.flag("connector.sealed", p.Form == design.PalatalPlate && (strings.Contains(p.Note, "seal") || strings.Contains(p.Note, "full")))
	most := map[bool]int{}
	for _, b := range d.Of(design.Base) {
		for _, n := range b.Teeth {
			most[n.Right()]++
		}
	}
	s.count("connector.most_teeth_a_side", max(most[true], most[false]))
	for _, m := range []struct{ fact, name string }{{"connector.height_mm", "height"}, {"connector.thickness_mm", "thickness"}, {"connector.width_mm", "width"}} {
		placed := map[string][]string{"height": {"bar_height"}, "thickness": {"bar_thickness", "plate_thickness"}, "width": {"strap_width"}}[m.name]
		if !g.measured(s, p, m.fact, placed...) {
			g.dimension(s, p, m.fact, m.name)
		}
	}
	for _, m := range []struct{ fact, name string }{{"connector.relief_mm", "relief"}, {"connector.bead_mm", "bead"}} {
		if !g.measured(s, p, m.fact, map[string]string{"relief": "connector_relief", "bead": "bead_width"}[m.name]) {
			g.dimension(s, p, m.fact, m.name)
		}
	}
	for _, m := range []struct {
		fact  string
		names []string
	}{{"connector.opening_mm", []string{"opening_length"}}, {"connector.blocked_mm", []string{"rigid_undercut"}}, {"connector.floor_mm", []string{"lower_border_to_floor"}},
		{"connector.frenum_mm", []string{"lower_border_to_frenum"}}, {"connector.plate_height", []string{"plate_top_share"}}, {"connector.vibrating_mm", []string{"border_to_vibrating_line"}},
		{"connector.crossing_least_deg", []string{"crossing_min_deg"}}, {"connector.crossing_most_deg", []string{"crossing_max_deg"}}} {
		if m.fact == "connector.frenum_mm" && g.in.Chart.Tissues.LingualFrenum == "high" {
			continue // where it is attached then the cast does not show
		}
		g.measured(s, p, m.fact, m.names...)
	}
	g.border(s, p)
	if q, ok := g.placed(p.ID); ok {
		if m, ok := q.Measure("bulk_height_share", 0); ok {
			s.flag("connector.bulk_high", m.Quantity.Value >= 0.5)
		}
	}
	g.measuredFlag(s, p, "connector.on_rugae_crest", "on_rugae_crest")
	g.measuredFlag(s, p, "connector.front_of_second_premolar", "front_of_second_premolar")
	if f := g.in.Forces; f != nil {
		s.quantity("connector.gives_mm", f.Gives)
		s.quantity("connector.twists_deg", f.Twists)
	}
	g.subject(OverConnector, sub)
}

// border sets how near the connector's border comes to a gingival margin: in the lower
// arch anywhere, in the upper at the teeth it passes. At an upper abutment it has to join
// the parts that stand there, and crosses the margin with them.
func (g *gatherer) border(s *Scope, p design.Part) {
	if g.in.Chart.Arch == tooth.Lower {
		g.measured(s, p, "connector.border_margin_mm", "upper_border_to_margin")
		return
	}
	least, known := math.Inf(1), false
	if q, ok := g.placed(p.ID); ok {
		carries := map[tooth.Number]bool{}
		for _, n := range g.in.Design.Abutments() {
			carries[n] = true
		}
		for _, m := range q.Measures {
			if m.Name == "border_to_margin" && !carries[m.Tooth] && m.Quantity.Value < least {
				least, known = m.Quantity.Value, true
			}
		}
	}
	spread := g.in.Spread
	if g.in.CastIs == unit.Average {
		spread = 0
	}
	switch {
	case known:
		s.num("connector.border_margin_mm", least, "mm", g.in.CastIs, spread)
	case g.in.CastIs == unit.Average:
		g.dimension(s, p, "connector.border_margin_mm", stated["connector.border_margin_mm"]...)
	}
}

// endsRested tells whether a rest stands at each end of a front connector: on each side
// that has a canine or premolar one of them, else on the last tooth of that side.
func (g *gatherer) endsRested() bool {
	c := g.in.Chart
	for _, right := range []bool{true, false} {
		var ends []tooth.Number
		var last tooth.Number
		for _, n := range tooth.All(c.Arch) {
			if n.Right() != right || Unfit(g.book, c, n) {
				continue
			}
			if p := n.Place(); p >= 3 && p <= 5 {
				ends = append(ends, n)
			}
			if last == 0 || n.Place() > last.Place() {
				last = n
			}
		}
		if last == 0 {
			continue
		}
		if len(ends) == 0 {
			// No canine or premolar can carry: any rest of the side serves.
			for _, n := range tooth.All(c.Arch) {
				if n.Right() == right {
					ends = append(ends, n)
				}
			}
		}
		rested := false
		for _, n := range ends {
			rested = rested || len(g.in.Design.On(design.Rest, n)) > 0
		}
		if !rested {
			return false
		}
	}
	return true
}

// plateReason tells whether the chart itself asks for a plate where a bar would fit.
func (g *gatherer) plateReason() bool {
	s := newScope(g.out.Case)
	lowerFacts(g.book, g.in.Chart, s)
	for _, f := range []string{"lower.frenum_high", "lower.torus_stays", "lower.incisor_loss_expected", "lower.front_weak"} {
		if v, ok := s.Lookup(f); ok && v.V == true {
			return true
		}
	}
	return false
}

// whole sets the facts of the framework as one.
func (g *gatherer) whole() {
	s := g.out.Case
	if f := g.in.Forces; f != nil {
		s.quantity("whole.retention_N", f.Retention)
		s.quantity("whole.sinking_mm", f.Sinking)
		s.quantity("whole.indirect_N", f.Indirect)
		if f.Pulls > 0 {
			s.count("whole.pulls", f.Pulls)
			s.count("whole.pulls_lifting", f.Lifted)
			s.quantity("whole.pull_held_N", f.LeastHeld)
		}
	}
	if g.in.Placement == nil {
		return
	}
	for _, m := range g.in.Placement.Measures {
		switch m.Name {
		case "margin_covered_share":
			s.num("whole.margin_cover", m.Quantity.Value, "", g.in.CastIs, 0)
		case "pieces":
			s.count("whole.bodies", int(m.Quantity.Value))
		case "blockout_gap":
			s.num("whole.blockout_gap_mm", m.Quantity.Value, "mm", g.in.CastIs, 0)
		}
	}
	if b, ok := g.in.Placement.Blocked(); ok {
		s.flag("whole.blockout_in_undercut", len(b.Filled) > 0)
		s.flag("whole.blockout_above_line", len(b.Above) > 0)
		s.count("whole.blockout_ledges", b.Ledges)
		s.count("whole.blockout_shelves", b.Shelves)
	}
	if g.in.Path != nil {
		n, known := 0, true
		for _, t := range g.tips() {
			q, ok := g.placed(t.ID)
			if !ok || q.Tip == nil {
				known = false
				continue
			}
			if q.Tip.VerticalUndercut >= g.book.Limit("und.least") {
				n++
			}
		}
		if known {
			s.count("path.tips_without_tilt", n)
		}
	}
}
