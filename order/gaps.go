package order

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"halfpear/design"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// Gap is one thing that is missing before the order is complete: what, where to enter it
// and which rule asks.
type Gap struct {
	Field string // the order's field, where one is concerned
	Part  design.ID
	Tooth tooth.Number
	Text  string
	Where string
	Rule  string
}

// gaps lists all that is missing: fields, then the design part by part, then findings,
// free texts and open questions.
func gaps(o *Order) []Gap {
	g := gapper{o: o, l: o.Lang}
	g.fields()
	g.design()
	g.findings()
	g.texts()
	if s := o.Work.Case.Scan; s != nil && (len(s.Points) == 0 || len(s.Proposed) > 0) {
		g.add(Gap{Text: words.GapUnlooked.In(g.l), Where: words.WhereCase.In(g.l, "scan.points, scan.proposed"), Rule: words.RuleRightTooth.In(g.l)})
	}
	for i, q := range o.Work.Case.Order.Queries {
		if strings.TrimSpace(q.Answer) == "" {
			g.add(Gap{Part: q.Part, Text: words.GapOpenQuery.In(g.l, i+1), Where: words.WhereCase.In(g.l, "order.queries["+itoa(i)+"].answer"), Rule: words.RuleBuildable.In(g.l)})
		}
	}
	return g.out
}

type gapper struct {
	o   *Order
	l   words.Lang
	out []Gap
}

// address is a place in the case file. Teeth have their numbers of ISO 3950 there, which is
// said to who reads other ones.
func address(l words.Lang, at string) string {
	if l.Teeth() != tooth.FDI && strings.ContainsAny(at, "0123456789") {
		return at + " (ISO 3950)"
	}
	return at
}

func (g *gapper) add(x Gap) { g.out = append(g.out, x) }

// fields asks for what the jurisdiction or the technician needs.
func (g *gapper) fields() {
	o, l := g.o, g.l
	for name := range o.Work.Case.Order.Fields {
		if _, ok := FieldNamed(name); !ok && name != confirmField {
			g.add(Gap{Field: name, Text: words.GapUnknown.In(l, name), Where: words.WhereCase.In(l, "order.fields"), Rule: words.RuleBuildable.In(l)})
		}
	}
	slices.SortFunc(g.out, func(a, b Gap) int { return strings.Compare(a.Field, b.Field) })
	teeth := o.Work.Case.Order.Fields["work.kind"] != "framework"
	for _, v := range o.Values {
		f := v.Field
		if f.Filled == ByHand || f.Filled == ByLaboratory {
			continue
		}
		at := words.WhereCase.In(l, "order.fields."+f.Name)
		law := o.Jurisdiction.Asks(f.Name)
		asked := f.Need == Buildable || law
		switch f.Name {
		case "mould", "shade", "shade.guide", "base.material", "tooth.material":
			// Where only the framework is ordered, teeth and resin come later, unless the law asks.
			asked = law || teeth
		case "date.framework_try_in":
			asked = slices.Contains(o.tryIns(), "framework")
		case "date.tooth_try_in":
			asked = slices.Contains(o.tryIns(), "teeth")
		case "mark.text":
			asked = o.code("mark") == "wanted"
		case "class":
			if o.Work.Class.Class == "" {
				v.Text = ""
			}
		case "path", "abutments", "major_connector", "other_parts", "drawing", "relief":
			continue // asked for with more to say below
		case "alloy.contents":
			asked = o.code("alloy") != ""
		}
		switch f.Name {
		case "order.number", "patient.id":
			at = words.WhereCase.In(l, "case")
		case "arch":
			at = words.WhereCase.In(l, "arch")
		case "class", "teeth":
			at = words.WhereCase.In(l, "teeth")
		case "occlusion.opposing":
			at = words.WhereCase.In(l, "opposing.kind")
		case "allergies":
			at = words.WhereCase.In(l, "patient.allergies")
		}
		rule := words.RuleBuildable.In(l)
		if law {
			rule = words.RuleLaw.In(l, o.Jurisdiction.Source)
		} else if f.Number == 29 {
			rule = words.RuleInfection.In(l)
		}
		label := f.Label.In(l)
		if v.Text == "" {
			if asked {
				text := words.GapField.In(l, label)
				if f.Name == "class" {
					text = words.GapClass.In(l)
				}
				g.add(Gap{Field: f.Name, Text: text, Where: at, Rule: rule})
			}
			continue
		}
		if f.Filled != Entered {
			continue
		}
		if len(f.Choices) > 0 && !slices.Contains(f.Choices, v.Code) {
			g.add(Gap{Field: f.Name, Text: words.GapChoice.In(l, label, v.Code, strings.Join(f.Choices, ", ")), Where: at, Rule: rule})
		}
		if strings.HasPrefix(f.Name, "date.") || strings.HasSuffix(f.Name, "_date") {
			if _, err := time.Parse(time.DateOnly, v.Code); err != nil {
				g.add(Gap{Field: f.Name, Text: words.GapDate.In(l, label, v.Code), Where: at, Rule: rule})
			}
		}
		if f.Name == "try_in" {
			for _, c := range codes(v.Code) {
				if !slices.Contains(tryIns, c) {
					g.add(Gap{Field: f.Name, Text: words.GapChoice.In(l, label, c, strings.Join(tryIns, ", ")), Where: at, Rule: rule})
				}
			}
		}
	}
	g.stages()
	for _, i := range o.Work.Inputs {
		if i.Digest == "" {
			g.add(Gap{Field: "enclosures", Text: words.GapEnclosure.In(l, i.Name), Where: words.WhereCase.In(l, "scan.file"), Rule: words.RuleBuildable.In(l)})
		}
	}
	// Allergy against what the framework is made of.
	for _, a := range codes(o.code("allergies")) {
		if o.code("allergies.accepted_by") != "" {
			break
		}
		if holds(o.materials(), a) {
			g.add(Gap{Field: "alloy", Text: words.GapAllergy.In(l, words.Term(l, "allergy", a)), Where: words.WhereCase.In(l, "order.fields.alloy"), Rule: words.RuleSafety.In(l)})
		}
		if resin := o.acrylicBase(); a == "acrylic" && resin != "" {
			g.add(Gap{Field: "base.material", Text: words.GapAllergyBase.In(l, words.Term(l, "allergy", a), words.Term(l, "material", resin)), Where: words.WhereCase.In(l, "order.fields.base.material, order.fields.allergies.accepted_by"), Rule: words.RuleSafety.In(l)})
		}
	}
}

// stages lets try-ins and their dates not contradict one another: the work comes back for
// each stage in turn, and the laboratory plans by these dates.
func (g *gapper) stages() {
	o, l := g.o, g.l
	miss := func(field string, w words.Word, values ...any) {
		g.add(Gap{Field: field, Text: w.In(l, values...), Where: words.WhereCase.In(l, "order.fields."+field), Rule: words.RuleBuildable.In(l)})
	}
	wanted := o.tryIns()
	if len(wanted) > 1 && slices.Contains(wanted, "none") || o.code("altered_cast") == "no" && slices.Contains(wanted, "altered-cast") {
		miss("try_in", words.GapTryIns, o.Value("try_in").Field.Label.In(l), o.Value("try_in").Text)
	}
	last := ""
	for _, s := range []struct{ date, stage string }{{"date.written", ""}, {"date.framework_try_in", "framework"}, {"date.tooth_try_in", "teeth"}, {"date.wanted", ""}} {
		code := o.code(s.date)
		if _, err := time.Parse(time.DateOnly, code); err != nil {
			continue // missing or no date, which is said of the field
		}
		label := o.Value(s.date).Field.Label.In(l)
		if s.stage != "" && !slices.Contains(wanted, s.stage) {
			miss(s.date, words.GapNoStage, label, code, words.Term(l, "tryin", s.stage))
			continue
		}
		if last != "" && code < o.code(last) {
			miss(s.date, words.GapBefore, label, code, o.Value(last).Field.Label.In(l), o.code(last))
		}
		last = s.date
	}
}

// code is a field's code as entered.
func (o *Order) code(name string) string { return o.Value(name).Code }

// design asks every part for what its builder needs.
func (g *gapper) design() {
	o, l := g.o, g.l
	d := o.Work.Case.Design
	build := words.RuleBuildable.In(l)
	if d == nil || len(d.Parts) == 0 {
		g.add(Gap{Text: words.GapNoDesign.In(l), Where: words.WhereCase.In(l, "design.parts"), Rule: build})
		return
	}
	if o.Work.Path.Direction.Norm() == 0 {
		g.add(Gap{Field: "path", Text: words.GapPath.In(l), Where: words.WhereSurvey.In(l), Rule: build})
	}
	if o.Work.Placement == nil {
		g.add(Gap{Field: "drawing", Text: words.GapPlacement.In(l), Where: words.WhereCase.In(l, "design.parts"), Rule: build})
	}
	if len(d.Of(design.MajorConnector)) == 0 {
		g.add(Gap{Field: "major_connector", Text: words.GapNoMajor.In(l), Where: words.WhereCase.In(l, "design.parts"), Rule: build})
	}
	carried := map[tooth.Number]bool{}
	for _, r := range o.Parts {
		p := r.Part
		name := Title(p, l)
		miss := func(w words.Word, values ...any) {
			g.add(Gap{Part: p.ID, Tooth: p.Tooth, Text: w.In(l, append([]any{name}, values...)...), Where: words.WhereDesign.In(l, address(l, string(p.ID))), Rule: build})
		}
		if o.Work.Placement != nil && !r.Placed && p.Form != design.ClaspNone {
			miss(words.GapNotPlaced)
		}
		if _, forms := design.Forms[p.Kind]; forms && p.Form == "" && p.Kind != design.ReplacementTooth {
			miss(words.GapForm)
		}
		switch p.Kind {
		case design.Rest, design.GuidePlate, design.Retainer, design.Reciprocation, design.ReplacementTooth:
			if p.Tooth == 0 {
				miss(words.GapTooth)
			}
		}
		if other, ok := g.otherMetal(p); ok {
			miss(words.GapAlloyPart, words.Term(l, "material", other), o.Value("alloy").Text)
		}
		if p.Joins != "" {
			if _, ok := d.Part(p.Joins); !ok {
				miss(words.GapJoins, p.Joins)
			}
		}
		switch p.Kind {
		case design.Rest:
			if p.Site == "" {
				miss(words.GapSite)
			}
		case design.GuidePlate:
			if p.Surface == "" {
				miss(words.GapSite)
			}
		case design.Retainer:
			g.retainer(d, p, miss)
		case design.MajorConnector:
			if r.Placed || len(p.Dimensions) > 0 {
				g.sized(r, miss)
			}
			if g.overNothing(p.ID) {
				g.add(Gap{Part: p.ID, Text: words.GapUnseen.In(l, name), Where: words.WhereUnseen.In(l, unseenRule), Rule: build})
			}
		case design.MinorConnector:
			if p.Joins == "" {
				miss(words.GapJoin)
			}
			if len(p.At) == 0 && p.Tooth == 0 {
				miss(words.GapSite)
			}
		case design.Base:
			for _, n := range p.Teeth {
				carried[n] = true
			}
			g.base(d, p, miss)
		case design.ReplacementTooth:
			carried[p.Tooth] = true
		}
	}
	c := o.Work.Case.Chart
	for _, n := range tooth.All(c.Arch) {
		if c.Replaced(n) && !carried[n] {
			g.add(Gap{Tooth: n, Text: words.GapNotReplaced.In(l, n), Where: words.WhereCase.In(l, address(l, "teeth."+n.String()+".replace")), Rule: build})
		}
	}
}

// unseenRule is the check of the rear border on the palate. It cannot be made where the scan
// does not show the palate; who has the cast sets it aside by name.
const unseenRule = "CHK-177"

// overNothing tells whether a connector was laid where the scan shows no palate, and nobody
// has answered for it.
func (g *gapper) overNothing(id design.ID) bool {
	w := g.o.Work
	for _, s := range w.Case.SetAside {
		if s.Rule == unseenRule && s.By != "" && (s.Place.Part == id || s.Place.Part == "") {
			return false
		}
	}
	if w.Placement == nil {
		return false
	}
	q, _ := w.Placement.Part(id)
	return slices.ContainsFunc(q.Shortfalls, func(s placement.Shortfall) bool { return s.Measure == "palate_seen_share" })
}

// otherMetal tells a part of the framework that is to be made of another metal than the order
// says, though a framework is made in one piece. A clasp may be, where a note says how it is
// joined; wire always is.
func (g *gapper) otherMetal(p design.Part) (string, bool) {
	alloy := g.o.code("alloy")
	f, _ := FieldNamed("alloy")
	if alloy == "" || p.Material == alloy || !slices.Contains(f.Choices, p.Material) {
		return "", false
	}
	return p.Material, p.Kind != design.Base && (p.Kind != design.Retainer || strings.TrimSpace(p.Note) == "")
}

func (g *gapper) retainer(d *design.Design, p design.Part, miss func(words.Word, ...any)) {
	if p.Form == design.ClaspNone {
		return
	}
	if p.Undercut == nil || p.Undercut.Site == "" || p.Undercut.MM <= 0 {
		miss(words.GapUndercut)
	}
	alloy := g.o.Work.Case.Order.Fields["alloy"]
	if p.Material == "" && alloy == "" {
		miss(words.GapMaterial)
	}
	if (strings.HasPrefix(p.Material, "wrought") || p.Form == design.ClaspCombination) && p.GaugeMM <= 0 && p.Dimensions["gauge"] <= 0 {
		miss(words.GapGauge)
	}
	if len(d.On(design.Rest, p.Tooth)) == 0 && p.Tooth != 0 {
		g.add(Gap{Part: p.ID, Tooth: p.Tooth, Text: words.GapNoRest.In(g.l, p.Tooth), Where: words.WhereDesign.In(g.l, address(g.l, string(p.ID))), Rule: words.RuleBuildable.In(g.l)})
	}
	opposed := len(d.On(design.Reciprocation, p.Tooth)) > 0 || len(d.On(design.GuidePlate, p.Tooth)) > 0
	for _, q := range d.Of(design.MajorConnector) {
		if slices.Contains(q.Teeth, p.Tooth) {
			opposed = true // a plate on the tooth holds against the arm
		}
	}
	if !opposed {
		miss(words.GapReciprocal)
	}
}

// sized asks a connector for its section.
func (g *gapper) sized(r Row, miss func(words.Word, ...any)) {
	has := func(names ...string) bool {
		for _, d := range r.Dimensions {
			for _, n := range names {
				if strings.Contains(d.Name, n) {
					return true
				}
			}
		}
		return false
	}
	if !has("height", "width") {
		miss(words.GapDimension, words.Term(g.l, "measure", "height"))
	}
	if !has("thickness") {
		miss(words.GapDimension, words.Term(g.l, "measure", "thickness"))
	}
}

func (g *gapper) base(d *design.Design, p design.Part, miss func(words.Word, ...any)) {
	if len(p.Teeth) == 0 {
		miss(words.GapBaseTeeth)
	}
	if p.Support == "" {
		miss(words.GapSupport)
	}
	if p.Attachment == "" {
		miss(words.GapAttachment)
	}
	if p.Material == "" && g.o.Work.Case.Order.Fields["base.material"] == "" && g.o.Work.Case.Order.Fields["work.kind"] != "framework" {
		miss(words.GapMaterial)
	}
	joined := func(k design.Kind, side string) bool {
		for _, q := range d.Of(k) {
			if q.Joins == p.ID && (side == "" || q.Side == "" || q.Side == side) {
				return true
			}
		}
		return false
	}
	for _, side := range []string{"internal", "external"} {
		if !joined(design.FinishLine, side) {
			miss(words.GapFinish, words.Term(g.l, "side", side))
		}
	}
	if p.Support == "extension" && p.Attachment != "" && !joined(design.TissueStop, "") {
		miss(words.GapStop)
	}
}

// findings lets no stop pass that was not overruled by name.
func (g *gapper) findings() {
	for _, f := range g.o.Open {
		// CHK-237 asks for what the fields above ask for in more detail.
		if f.Severity == rulebook.Stop && f.Status == rulebook.Failed && f.Rule != "CHK-237" {
			g.add(Gap{Part: f.Place.Part, Tooth: f.Place.Tooth, Text: f.Message.In(g.l), Where: words.WhereFinding.In(g.l), Rule: string(f.Rule)})
		}
	}
}

// confirmField holds the name of who confirmed that a free text identifies nobody.
const confirmField = "identifiers_confirmed_by"

// freeTexts are all texts that leave with the order and are nobody's address.
func freeTexts(o *Order) [][2]string {
	c := o.Work.Case
	out := [][2]string{{"title", c.Title}}
	for _, f := range Fields {
		if f.Free || f.wordsOfTheWork() {
			out = append(out, [2]string{"order.fields." + f.Name, c.Order.Fields[f.Name]})
		}
	}
	for _, n := range tooth.All(c.Chart.Arch) {
		out = append(out, [2]string{"teeth." + n.String() + ".note", c.Chart.Teeth[n].Note})
	}
	if c.Design != nil {
		for _, p := range c.Design.Parts {
			out = append(out, [2]string{"design.parts." + string(p.ID) + ".note", p.Note})
		}
	}
	for i, s := range c.SetAside {
		out = append(out, [2]string{"set_aside[" + itoa(i) + "].reason", s.Reason})
	}
	for i, q := range c.Order.Queries {
		out = append(out, [2]string{"order.queries[" + itoa(i) + "].asked", q.Asked}, [2]string{"order.queries[" + itoa(i) + "].answer", q.Answer})
	}
	if c.Scan != nil {
		out = append(out, [2]string{"scan.file", c.Scan.File})
	}
	return out
}

// texts reads the free texts for what identifies a person or leaves a choice open, and all
// that is printed for what the papers have no letters for.
func (g *gapper) texts() {
	printed := freeTexts(g.o)
	for _, v := range g.o.Values {
		if v.Field.Filled == Entered && !v.Field.Free && !v.Field.wordsOfTheWork() {
			printed = append(printed, [2]string{"order.fields." + v.Field.Name, v.Code})
		}
	}
	for i, s := range g.o.Work.Case.SetAside {
		printed = append(printed, [2]string{"set_aside[" + itoa(i) + "].by", s.By})
	}
	for i, q := range g.o.Work.Case.Order.Queries {
		printed = append(printed, [2]string{"order.queries[" + itoa(i) + "].by", q.By}, [2]string{"order.queries[" + itoa(i) + "].answered_by", q.Answered})
	}
	for _, t := range printed {
		var lacks []string
		for _, r := range sheet.Lacks(t[1]) {
			lacks = append(lacks, fmt.Sprintf("%#U", r))
		}
		if len(lacks) > 0 {
			g.add(Gap{Text: words.GapLetters.In(g.l, strings.Join(lacks[:min(len(lacks), 5)], ", ")), Where: words.WhereCase.In(g.l, address(g.l, t[0])), Rule: words.RuleBuildable.In(g.l)})
		}
	}
	confirmed := strings.TrimSpace(g.o.Work.Case.Order.Fields[confirmField]) != ""
	for _, t := range freeTexts(g.o) {
		if !confirmed {
			for _, h := range Identifiers(t[0], t[1]) {
				g.add(Gap{Text: words.GapIdentifier.In(g.l, h.Text, h.What.In(g.l)), Where: address(g.l, t[0]) + " — " + words.WhereConfirm.In(g.l), Rule: words.RulePrivacy.In(g.l)})
			}
		}
		if s := Leaves(t[1]); s != "" {
			g.add(Gap{Text: words.GapLeaves.In(g.l, s), Where: words.WhereCase.In(g.l, address(g.l, t[0])), Rule: words.RuleNoGuess.In(g.l)})
		}
	}
}
