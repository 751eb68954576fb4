package rulebook

import (
	"math"
	"sort"
	"strings"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// rootArea is the mean root area [mm²] by place, from memory after Jepsen 1963; a later
// study of lower teeth found up to 40 % more or less, so it serves for comparison only.
var rootArea = map[tooth.Arch][9]float64{
	tooth.Upper: {0, 204, 179, 273, 234, 220, 433, 431, 0},
	tooth.Lower: {0, 154, 168, 268, 180, 207, 431, 426, 0},
}

// Written is a class as facts and orders write it, as in "II mod 1".
func Written(r arch.Result) string {
	switch {
	case r.Class == arch.None:
		return "none"
	case r.Class == arch.IV || r.Modifications == 0:
		return string(r.Class)
	}
	return string(r.Class) + " mod " + string(rune('0'+r.Modifications))
}

// normalClass rewrites what a person wrote for a class: "Class II mod 1", "II, 1".
func normalClass(s string) string {
	s = strings.ToUpper(s)
	for _, w := range []string{"KENNEDY", "CLASS", "MODIFICATION", "MOD", ",", ".", "/"} {
		s = strings.ReplaceAll(s, w, " ")
	}
	f := strings.Fields(s)
	if len(f) == 0 {
		return ""
	}
	if len(f) == 1 || f[1] == "0" {
		return f[0]
	}
	return f[0] + " mod " + f[1]
}

func (g *gatherer) theCase() {
	s, c := g.out.Case, g.in.Chart
	s.text("case.arch", c.Arch.String())
	s.text("case.class", string(g.class.Class))
	s.count("case.modifications", g.class.Modifications)
	s.text("case.class_written", Written(g.class))
	if f := g.in.Order.Fields["class"]; f != "" {
		s.text("case.stated_class", normalClass(f))
	}
	other, _ := arch.Classify(c.Pattern(!g.book.Strict()))
	s.flag("case.readings_differ", other.Class != g.class.Class || other.Modifications != g.class.Modifications)

	standing, candidates, side := 0, 0, [2]int{}
	missingRoots := 0.0
	for _, n := range tooth.All(c.Arch) {
		if c.Stands(n) {
			standing++
			if !Unfit(g.book, c, n) {
				candidates++
			}
			if n.Right() {
				side[0]++
			} else {
				side[1]++
			}
		} else if c.Replaced(n) {
			missingRoots += rootArea[c.Arch][n.Place()]
		}
	}
	s.count("case.standing", standing)
	s.count("case.rest_candidates", candidates)
	s.flag("case.one_side_empty", standing > 0 && (side[0] == 0 || side[1] == 0))
	s.num("case.missing_root_area_mm2", missingRoots, "mm²", unit.Average, 0)

	supported, last := g.class.Class != arch.None, 0
	for _, a := range g.class.Areas {
		if a.Kind != arch.Extension {
			continue
		}
		supported = false
		for _, n := range neighbours(c, a) {
			if n != 0 && (last == 0 || n.Place() < last) {
				last = n.Place()
			}
		}
	}
	long := g.class.Class == arch.IV && len(g.class.Areas[0].Teeth) >= int(g.book.Limit("ind.classIVAxisTeeth"))
	s.flag("case.tooth_supported", supported && !long)
	s.flag("case.has_axis", g.class.Class == arch.I || g.class.Class == arch.II || long)
	if last > 0 {
		s.count("case.last_abutment_place", last)
	}
	lo, hi := usualRetainers(g.class)
	s.count("case.retainers_min", lo)
	s.count("case.retainers_max", hi)

	p := c.Patient
	s.word("patient.smile_line", p.SmileLine)
	s.maybe("patient.gag", p.Gag)
	s.word("patient.dexterity", p.Dexterity)
	s.word("patient.caries_risk", p.CariesRisk)
	s.word("patient.hygiene", p.Hygiene)
	if p.Allergies != nil {
		s.list("patient.allergies", p.Allergies)
	}
	s.word("opposing.kind", c.Opposing.Kind)
}

// usualRetainers is how many retainers a class usually has: two beside two extensions,
// three with one, four round bounded spaces and fewer where they are short (from memory,
// after Stewart's).
func usualRetainers(r arch.Result) (lo, hi int) {
	switch r.Class {
	case arch.I:
		return 2, 2
	case arch.II:
		return 3, 3
	case arch.III:
		return 2, 4
	case arch.IV:
		return 2, 4
	}
	return 0, 0
}

func (g *gatherer) theTissues() {
	s, c, t := g.out.Case, g.in.Chart, g.in.Chart.Tissues
	if c.Arch == tooth.Lower && len(t.FloorDepthMM) > 0 {
		s.num("tissue.floor_min_mm", least(t.FloorDepthMM), "mm", unit.Entered, 0)
	} else if c.Arch == tooth.Lower && g.in.CastIs == unit.Measured {
		// Not probed: as deep as the scan shows it where the connector passes.
		for _, p := range g.parts(design.MajorConnector) {
			g.measured(s, p, "tissue.floor_min_mm", "floor_depth")
		}
	}
	s.maybe("tissue.floor_functional", t.FloorIsFunctional)
	open, known := diastema(c)
	if known {
		s.flag("tissue.diastema", open)
	}
	if t.Tori != nil {
		palatal := false
		for _, x := range t.Tori {
			palatal = palatal || x.Place == "palatal"
		}
		s.flag("tissue.palatal_torus", palatal)
	}
	front, unsteady := map[tooth.Number]float64{}, 0.0 // of the least
	for n, v := range t.VestibuleDepthMM {
		if n.Kind().Anterior() {
			front[n] = v
		}
	}
	for _, p := range g.scanned() {
		if d := p.Facial.Depth; d != nil && p.Ridge == nil && p.Tooth.Kind().Anterior() && len(t.VestibuleDepthMM) == 0 {
			front[p.Tooth] = d.Straight
			if d.Straight <= least(front) {
				unsteady = d.Spread
			}
		}
	}
	switch {
	case len(front) > 0 && len(t.VestibuleDepthMM) > 0:
		s.num("tissue.labial_depth_mm", least(front), "mm", unit.Entered, 0)
	case len(front) > 0:
		s.num("tissue.labial_depth_mm", least(front), "mm", unit.Measured, foldSpread+unsteady)
	}
	for i, x := range t.Tori {
		sub := Subject{Label: words.Tori.With(words.Code{Group: "torus", Code: x.Place}), Scope: newScope(s)}
		sub.text("torus.place", x.Place)
		sub.maybe("torus.operable", x.Operable)
		if g.in.Design != nil {
			g.torus(sub.Scope, t.Tori[i])
		}
		g.subject(OverTorus, sub)
	}
}

// foldSpread is how far the fold that a scan shows may lie from where the tissue moves to
// in function: impressions press it down or end short of it [mm]. Our own estimate.
const foldSpread = 2.0

// scanned are the places whose soft tissue a scan shows.
func (g *gatherer) scanned() []survey.Place {
	if g.in.Tissues == nil {
		return nil
	}
	return g.in.Tissues.Places
}

// scannedAt is what a scan shows of the soft tissue at a tooth or its place.
func (g *gatherer) scannedAt(n tooth.Number) survey.Place {
	for _, p := range g.scanned() {
		if p.Tooth == n {
			return p
		}
	}
	return survey.Place{}
}

func (g *gatherer) torus(s *Scope, x chart.Torus) {
	connectors := g.parts(design.MajorConnector)
	if len(connectors) == 0 {
		return
	}
	p := connectors[0]
	crossed := false
	switch p.Form {
	case design.PalatalPlate, design.PalatalStrap, design.PalatalBar:
		crossed = x.Place == "palatal"
	case design.LingualBar, design.SublingualBar, design.LingualPlate, design.LingualBarWithCingulumBar:
		crossed = x.Place == "lingual"
	}
	relief := p.Dimensions["torus_relief"]
	if v, ok := p.Dimensions["relief"]; ok && relief == 0 {
		relief = v
	}
	if q, ok := g.placed(p.ID); ok {
		// Where it was laid it is seen whether it crosses, and how much it is relieved there.
		if m, ok := q.Measure("torus_crossed_share", 0); ok {
			crossed = m.Quantity.Value > 0
		}
		if m, ok := q.Measure("torus_relief", 0); ok {
			relief = m.Quantity.Value
		}
	}
	s.flag("torus.crossed", crossed)
	s.num("torus.relief_mm", relief, "mm", "", 0)
}

// diastema tells whether a space is open among the front teeth, and whether that is
// known: it is when any front tooth says yes, or every standing one says no.
func diastema(c chart.Chart) (open, known bool) {
	known = true
	for _, n := range tooth.All(c.Arch) {
		if !n.Kind().Anterior() || !c.Stands(n) {
			continue
		}
		d := c.Teeth[n].Diastema
		if d != nil && *d {
			return true, true
		}
		known = known && d != nil
	}
	return false, known
}

func least(m map[tooth.Number]float64) float64 {
	v := math.Inf(1)
	for _, x := range m {
		v = math.Min(v, x)
	}
	return v
}

func (g *gatherer) thePath() {
	s, p := g.out.Case, g.in.Path
	if p == nil {
		return
	}
	s.flag("path.stored", true)
	s.num("path.tilt_deg", p.TiltDeg, "deg", unit.Entered, 0)
	if p.Tripod == nil {
		return
	}
	s.count("path.tripod_marks", len(p.Tripod))
	if len(p.Tripod) < 2 {
		return
	}
	near, lo, hi := math.Inf(1), math.Inf(1), math.Inf(-1)
	dir := survey.PathFromTilt(g.in.Chart.Arch, p.AnteriorDeg, p.RightDeg).Direction
	for i, a := range p.Tripod {
		h := a.Dot(dir)
		lo, hi = math.Min(lo, h), math.Max(hi, h)
		for _, b := range p.Tripod[i+1:] {
			near = math.Min(near, a.Dist(b))
		}
	}
	s.num("path.tripod_spacing_mm", near, "mm", unit.Measured, 0)
	s.num("path.tripod_step_mm", hi-lo, "mm", unit.Measured, 0)
	cut := false
	if g.in.Plan != nil {
		for _, n := range p.TripodOn {
			cut = cut || len(g.in.Plan.On(n)) > 0
		}
		s.flag("path.tripod_on_prepared_tooth", cut)
	}
}

func (g *gatherer) theTeeth() {
	g.teeth = map[tooth.Number]*Scope{}
	c := g.in.Chart
	carries := map[tooth.Number]bool{}
	if g.in.Design != nil {
		for _, n := range g.in.Design.Abutments() {
			carries[n] = true
		}
	}
	for _, n := range tooth.All(c.Arch) {
		s := newScope(g.out.Case)
		g.teeth[n] = s
		g.toothFound(s, n)
		if g.in.Design != nil {
			g.toothDesigned(s, n)
		}
		if f := g.in.Forces; f != nil {
			if q, ok := f.Tipping[n]; ok {
				s.quantity("tooth.tipping_Nmm", &q)
			}
		}
		sub := Subject{Place: Place{Tooth: n}, Label: words.ToothNo.With(n), Scope: s}
		g.subject(OverTooth, sub)
		if carries[n] && c.Stands(n) {
			g.subject(OverAbutment, sub)
		}
	}
}

func (g *gatherer) toothFound(s *Scope, n tooth.Number) {
	c, t := g.in.Chart, g.in.Chart.Teeth[n]
	s.set("tooth.number", Value{V: n})
	s.count("tooth.place", n.Place())
	s.text("tooth.kind", KindWord(n))
	s.flag("tooth.stands", c.Stands(n))
	state := c.State(n)
	missing := state == chart.Missing || state == chart.Extract || state == chart.Root
	s.flag("tooth.missing", missing)
	s.flag("tooth.replaced", c.Replaced(n))
	s.flag("tooth.replace_decided", t.Replace != nil)
	s.flag("tooth.abutment_decided", t.Abutment != nil)
	if t.Mobility != nil {
		s.count("tooth.mobility", *t.Mobility)
	}
	s.number("tooth.bone_loss_percent", t.BoneLossPercent, "%")
	s.number("tooth.crown_root_ratio", t.CrownRootRatio, "")
	s.number("tooth.tilt_deg", t.TiltDeg, "deg")
	s.word("tooth.tilt_toward", t.TiltToward)
	s.maybe("tooth.root_filled", t.RootFilled)
	s.word("tooth.crown", t.Crown)
	s.word("tooth.caries", t.Caries)
	s.word("tooth.periodontal", t.Periodontal)
	s.word("tooth.prognosis", t.Prognosis)
	s.number("tooth.crown_height_mm", t.CrownHeightMM, "mm")
	s.number("tooth.opposing_room_mm", t.OpposingRoomMM, "mm")
	onScan := g.scannedAt(n)
	if v, ok := c.Tissues.VestibuleDepthMM[n]; ok {
		s.num("tooth.vestibule_mm", v, "mm", unit.Entered, 0)
	} else if d := onScan.Facial.Depth; d != nil && onScan.Ridge == nil {
		s.num("tooth.vestibule_mm", d.Straight, "mm", unit.Measured, foldSpread+d.Spread)
	}
	if u, ok := c.Tissues.TissueUndercutMM[n]; ok {
		s.num("tooth.tissue_undercut_mm", u.DepthMM, "mm", unit.Entered, 0)
		s.num("tooth.tissue_undercut_start_mm", u.BelowMarginMM, "mm", unit.Entered, 0)
	} else if u := onScan.Facial.Undercut; u != nil && onScan.Ridge == nil {
		s.num("tooth.tissue_undercut_mm", u.Depth, "mm", unit.Measured, g.in.Spread)
		s.num("tooth.tissue_undercut_start_mm", u.Below, "mm", unit.Measured, g.in.Spread)
	}
	if c.Tissues.FrenumNear != nil {
		near := false
		for _, m := range c.Tissues.FrenumNear {
			near = near || m == n
		}
		s.flag("tooth.frenum_near", near)
	}
	kind, _ := Beside(g.class, c, n)
	s.flag("tooth.beside_extension", c.Stands(n) && kind == "extension")
	s.flag("tooth.pier", c.Stands(n) && Pier(g.class, c, n))
	for _, site := range []struct {
		s    tooth.Site
		name string
	}{{tooth.MesioFacial, "tooth.undercut_mesiofacial_mm"}, {tooth.DistoFacial, "tooth.undercut_distofacial_mm"}} {
		if r, ok := g.in.Undercuts.Found(n, site.s); ok {
			s.num(site.name, r.MM, "mm", r.Origin, r.Spread)
		}
	}
	// Treatment and planned loss are known to be absent only where there is a design, a
	// plan or an order that would name them.
	treated := namedIn(g.in.Order.Fields, n, "treatment", "treatments", "before_preparation")
	if g.in.Treated && g.in.Plan != nil {
		treated = treated || g.in.Plan.Has(n, "treat-disease")
	}
	s.flag("tooth.treatment_planned", treated)
	planned := namedIn(g.in.Order.Fields, n, "planned_additions", "additions")
	if g.in.Design != nil {
		for _, p := range g.in.Design.Parts {
			if i := strings.Index(p.Note, "planned addition"); i >= 0 && strings.Contains(p.Note[i:], n.String()) {
				planned = true
			}
		}
	}
	s.flag("tooth.loss_planned", planned)
}

// theReadings sets readings by hand beside those on the scan.
func (g *gatherer) theReadings() {
	for _, r := range g.in.Gauged {
		sub := Subject{Place: Place{Tooth: r.Tooth, Surface: r.Site.Surface()}, Label: words.PartOn.With(words.Code{Group: "site", Code: string(r.Site)}, r.Tooth), Scope: newScope(g.teeth[r.Tooth])}
		sub.text("reading.site", string(r.Site))
		sub.set("reading.by_hand_mm", quantityFact(r.ByHand))
		sub.set("reading.scan_mm", quantityFact(r.Scan))
		sub.num("reading.difference_mm", math.Abs(r.ByHand.Value-r.Scan.Value), "mm", unit.Computed, 0)
		sub.num("reading.uncertainty_mm", r.Uncertainty(), "mm", unit.Computed, 0)
		g.subject(OverReading, sub)
	}
}

// namedIn tells whether any of the order's fields names a tooth.
func namedIn(fields map[string]string, n tooth.Number, names ...string) bool {
	for _, f := range names {
		for _, w := range strings.FieldsFunc(fields[f], func(r rune) bool { return r < '0' || r > '9' }) {
			if w == n.String() {
				return true
			}
		}
	}
	return false
}

func (g *gatherer) thePlan() {
	s := g.out.Case
	if p := g.in.Plan; p != nil {
		s.count("plan.items", len(p.Items))
		polish, fluoride := false, false
		plane, early := map[tooth.Number]int{}, map[tooth.Number]bool{}
		for i, it := range p.Items {
			polish = polish || it.Operation == "polish"
			fluoride = fluoride || it.Operation == "fluoride"
			if it.Operation == "guide-plane" {
				plane[it.Tooth] = i
			}
		}
		var bad words.Teeth
		for i, it := range p.Items {
			if at, ok := plane[it.Tooth]; ok && strings.HasSuffix(string(it.Operation), "-seat") && i < at && !early[it.Tooth] {
				early[it.Tooth] = true
				bad = append(bad, it.Tooth)
			}
		}
		s.flag("plan.polish", polish)
		s.flag("plan.fluoride", fluoride)
		s.teeth("plan.seat_before_plane", bad)
		for _, it := range p.Items {
			if it.Tooth == 0 {
				continue
			}
			sub := Subject{Place: Place{Tooth: it.Tooth, Surface: it.Surface, Part: it.For}, Label: words.PartOn.With(words.Operations[string(it.Operation)], it.Tooth), Scope: newScope(g.teeth[it.Tooth])}
			sub.text("preparation.operation", string(it.Operation))
			sub.word("preparation.material", it.Material)
			sub.num("preparation.removal_mm", it.RemovalMM, "mm", "", 0)
			sub.flag("preparation.axial", it.Operation == "guide-plane" || it.Operation == "lower-survey-line" || it.Operation == "recontour")
			if it.EnamelMM > 0 {
				sub.num("preparation.enamel_mm", it.EnamelMM, "mm", "", 0)
				sub.num("preparation.enamel_left_mm", it.EnamelLeftMM(), "mm", "", 0)
			} else if it.RemovalMM == 0 || it.Material != "enamel" {
				// Nothing of the tooth's own enamel is cut: there is nothing to exceed.
				sub.num("preparation.enamel_mm", math.Max(1, it.RemovalMM), "mm", "", 0)
			}
			g.subject(OverPreparation, sub)
		}
	}
}

// orderNeeds are the fields an order cannot do without.
var orderNeeds = []string{"alloy", "class", "path", "connector"}

func (g *gatherer) theOrder() {
	s, f := g.out.Case, g.in.Order.Fields
	if f == nil {
		return
	}
	var lacks, vague []string
	for _, k := range orderNeeds {
		if strings.TrimSpace(f[k]) == "" {
			lacks = append(lacks, k)
		}
	}
	for _, p := range g.parts(design.Retainer) {
		if p.Form != design.ClaspNone && p.Undercut == nil {
			lacks = append(lacks, "undercut:"+string(p.ID))
		}
	}
	for _, k := range sortedKeys(f) {
		v := strings.ToLower(f[k])
		for _, w := range []string{"as usual", "usual", "as always", "you decide", "lab decides", "technician decides", "tbd", "standard design"} {
			if strings.Contains(v, w) {
				vague = append(vague, k)
				break
			}
		}
	}
	s.list("order.lacks", lacks)
	s.list("order.vague", vague)
	s.flag("order.recall", f["recall"] != "" || f["recall_date"] != "")
	s.flag("plan.altered_cast_decided", f["altered_cast"] != "" || f["reline"] != "")
	if a, b := f["impression_date"], f["last_preparation_date"]; a != "" && b != "" {
		s.flag("plan.impression_first", a < b) // dates are written year first
	}
	if a, b := f["crown_date"], f["framework_date"]; a != "" && b != "" {
		s.flag("plan.crown_after_framework", a > b)
	}
}

func (g *gatherer) theReturn() {
	s := g.out.Case
	if r := g.in.Returned; r != nil {
		if r.RestGap != nil {
			s.set("returned.rest_gap_mm", quantityFact(*r.RestGap))
		}
		if r.Difference != nil {
			s.set("returned.difference_mm", quantityFact(*r.Difference))
		}
		s.list("returned.absent", r.Absent)
	}
}

func quantityFact(q unit.Quantity) Value {
	return Value{V: q.Value, Unit: q.Unit, Spread: q.Spread, Origin: q.Origin}
}

func sortTeeth(list []tooth.Number) {
	sort.Slice(list, func(i, j int) bool { return list[i].Index() < list[j].Index() })
}
