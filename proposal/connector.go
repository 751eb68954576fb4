package proposal

import (
	"math"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// link is a major connector that can be made in this mouth.
type link struct {
	rulebook.Choice
	rank int
	rule rulebook.RuleID
}

// links finds the row of the connector table and which of its choices can be made.
func (s *search) links() (row rulebook.Decision, fits []link, rejected []Rejection) {
	facts := rulebook.ConnectorFacts(s.book, s.shown, s.class)
	row, ok := s.book.DecideConnector(facts, s.in.Chart.Arch)
	if !ok {
		row = rulebook.Decision{ID: "MJC-01", Situation: words.NoRowArch}
	}
	for i, c := range row.Choices {
		rule := row.ID
		if c.Rule != "" {
			rule = rulebook.RuleID(c.Rule)
		}
		if why := s.linkFault(c); !why.Empty() {
			rejected = append(rejected, Rejection{describeLink(c), why})
			continue
		}
		fits = append(fits, link{c, i, rule})
	}
	if len(fits) == 0 {
		// Something has to join the sides; a plate fits every mouth, at a price.
		form := design.LingualPlate
		if s.in.Chart.Arch == tooth.Upper {
			form = design.PalatalPlate
		}
		fits = []link{{rulebook.Choice{Form: form, Say: words.NoConnectorFits}, len(row.Choices), row.ID}}
	}
	return row, fits, rejected
}

func describeLink(c rulebook.Choice) words.Text {
	text := words.Say(words.Code{Group: "major-connector", Code: string(c.Form)})
	if c.Form == design.ClaspNone {
		text = words.Tell("none yet")
	}
	return remarked(text, c.Say)
}

// linkFault tells why a connector cannot be made here.
func (s *search) linkFault(c rulebook.Choice) words.Text {
	t, lim := s.shown.Tissues, s.book.Limit
	least, known := math.Inf(1), false
	for _, v := range t.FloorDepthMM {
		least, known = math.Min(least, v), true
	}
	switch c.Form {
	case design.ClaspNone:
		return words.Tell("it asks for surgery or crowns first, which the dentist decides")
	case design.LingualBar, design.LingualBarWithCingulumBar:
		if known && least < lim("lb.minFStop") {
			return words.Tell("the floor is only %v deep", words.Length(least))
		}
	case design.SublingualBar:
		if known && least < lim("slb.minF") {
			return words.Tell("the floor is only %v deep", words.Length(least))
		}
		if t.LingualFrenum == "high" {
			return words.Tell("a high frenum lies in its way")
		}
	case design.LabialBar:
		for n, v := range t.VestibuleDepthMM {
			if n.Kind().Anterior() && v < lim("labial.minDepth") {
				return words.Tell("the labial depth is only %v", words.Length(v))
			}
		}
	case design.PalatalPlate:
		if c.Say.In(words.English) == "metal front with a resin rear part" {
			return words.Text{} // differs in its rear part only
		}
	}
	return words.Text{}
}

// connector lays the major connector.
func (b *builder) connector(row rulebook.Decision, l link, all []link, rejected []Rejection) {
	s := b.s
	lim := s.book.Limit
	p := design.Part{ID: "major-connector", Kind: design.MajorConnector, Form: l.Form, Material: s.frame, Dimensions: map[string]float64{}}
	b.major = p.ID
	d := p.Dimensions
	floor := math.Inf(1)
	for _, v := range s.shown.Tissues.FloorDepthMM {
		floor = math.Min(floor, v)
	}
	var notes []string
	switch l.Form {
	case design.LingualBar, design.LingualBarWithCingulumBar:
		d["height"], d["thickness"], d["below_margin"], d["relief"] = lim("lb.heightDefault"), lim("lb.thicknessDefault"), math.Max(3, lim("lb.gmClear")), lim("lb.relief")
		if l.Height > 0 {
			d["height"] = l.Height
		}
		if b.longArch() {
			// A long arch bends more: half a millimetre thicker.
			d["thickness"] += 0.5
			notes = append(notes, "half a millimetre thicker for the long base")
		}
		if d["height"]+d["below_margin"] > floor {
			d["height"] = lim("lb.height")
		}
		if l.Form == design.LingualBarWithCingulumBar {
			d["cingulum_height"], d["cingulum_thickness"] = 2.5, 1
		}
	case design.SublingualBar:
		d["height"], d["width"], d["below_margin"], d["relief"] = lim("slb.height"), lim("slb.width"), 3, 0.2
		if s.in.Chart.Tissues.FloorIsFunctional == nil || !*s.in.Chart.Tissues.FloorIsFunctional {
			b.decide = append(b.decide, words.Tell("The sublingual bar needs a functional impression of the floor."))
		}
	case design.LingualPlate:
		d["thickness"], d["bar_height"], d["bar_thickness"], d["relief"] = lim("lp.thickness"), lim("lb.height"), lim("lb.thickness"), lim("lb.relief")
		p.Teeth = b.plated()
		if diastema(s) {
			notes = append(notes, "step-back at the open spaces")
		}
	case design.CingulumBar:
		d["height"], d["thickness"], d["relief"] = lim("cgb.height"), lim("cgb.thickness"), lim("lb.relief")
		p.Teeth = b.plated()
	case design.LabialBar:
		d["height"], d["thickness"], d["below_margin"], d["relief"] = lim("labial.height"), 1.2*lim("lb.thicknessDefault"), 3, lim("lb.relief")
		b.decide = append(b.decide, words.Tell("The teeth lean far to the lingual: crowns or surgery would allow a lingual connector."))
	case design.PalatalStrap:
		d["width"], d["thickness"] = math.Max(lim("strap.minWidth"), math.Min(20, b.joinedSpan())), lim("strap.thickness")
	case design.APStrap:
		d["anterior_strap_width"], d["posterior_strap_width"], d["lateral_strap_width"], d["opening_length"], d["thickness"] = lim("aps.strapWidth"), lim("aps.strapWidth"), math.Max(8, lim("aps.lateralWidth")), lim("aps.minOpening"), lim("strap.thickness")
	case design.APBar:
		d["anterior_strap_width"], d["posterior_strap_width"], d["thickness"] = 7, 4, 1.5
	case design.PalatalPlate:
		d["thickness"] = lim("pal.thickness")
	case design.UShaped:
		d["width"], d["thickness"] = lim("ush.minWidth"), lim("ush.thickness")
	case design.PalatalBar:
		d["width"], d["thickness"] = 5, lim("pbr.thickness")
	}
	if s.in.Chart.Arch == tooth.Upper {
		d["border_to_margin"], d["bead"] = lim("pal.gmClear"), lim("pal.bead")
		d["posterior_clear"] = lim("pal.postClear")
		if s.in.Chart.Patient.Gag != nil && *s.in.Chart.Patient.Gag {
			d["posterior_clear"] = lim("pal.postClearGag")
		}
	}
	for _, t := range s.in.Chart.Tissues.Tori {
		switch l.Form {
		case design.APStrap, design.APBar, design.UShaped, design.LabialBar:
		default:
			d["torus_relief"] = lim("tor.relief")
			notes = append(notes, "relieved over the "+t.Place+" torus")
		}
		if t.Operable == nil || *t.Operable {
			b.decide = append(b.decide, words.Tell("%v: it could be removed; the design leaves it.", words.Tori.With(words.Code{Group: "torus", Code: t.Place})))
		}
	}
	if add := b.additions(); len(add) > 0 {
		notes = append(notes, "planned addition of "+strings.Join(add, ", "))
	}
	if say := l.Say.In(words.English); say != "" && say != "other schools" && !strings.HasPrefix(say, "if the floor") {
		notes = append(notes, say)
	}
	p.Note = strings.Join(uniq(notes, func(s string) string { return s }), "; ")
	r := Reason{Rule: l.rule, Because: words.Join(". ", row.Situation.With(), row.Why.With()), Sources: row.Sources, Rejected: append([]Rejection(nil), rejected...)}
	if l.rank > 0 {
		why := words.Tell("This is the alternative to the school's first choice.")
		if !b.plan.forcedLink.Empty() {
			why = b.plan.forcedLink
		}
		r.Because = words.Join(". ", row.Situation.With(), why)
	}
	if s.in.Chart.Arch == tooth.Lower && len(s.in.Chart.Tissues.FloorDepthMM) == 0 {
		r.Assumed = append(r.Assumed, words.Tell("depth of the floor of the mouth"))
	}
	for _, o := range all {
		if o.rank != l.rank {
			why := words.Tell("this school ranks it lower here")
			if o.rank < l.rank {
				why = words.Tell("this design is the alternative to it")
			}
			r.Rejected = append(r.Rejected, Rejection{describeLink(o.Choice), why})
		}
	}
	b.add(p, r)
	b.kind = append(b.kind, words.Say(words.Code{Group: "major-connector", Code: string(l.Form)}))
}

// uniq keeps the first of what reads alike.
func uniq[T any](in []T, read func(T) string) []T {
	seen := map[string]bool{}
	var out []T
	for _, s := range in {
		if !seen[read(s)] {
			seen[read(s)] = true
			out = append(out, s)
		}
	}
	return out
}

func diastema(s *search) bool {
	for n, t := range s.in.Chart.Teeth {
		if n.Kind().Anterior() && t.Diastema != nil && *t.Diastema {
			return true
		}
	}
	return false
}

// longArch tells two extension bases of which one replaces three teeth or more.
func (b *builder) longArch() bool {
	if b.s.class.Class != arch.I {
		return false
	}
	for _, a := range b.s.class.Areas {
		if a.Kind == arch.Extension && len(a.Teeth) >= 3 {
			return true
		}
	}
	return false
}

// plated are the standing front teeth and first premolars.
func (b *builder) plated() []tooth.Number {
	var out []tooth.Number
	for _, n := range tooth.All(b.s.in.Chart.Arch) {
		if n.Place() <= 4 && b.s.in.Chart.Stands(n) {
			out = append(out, n)
		}
	}
	return out
}

// joinedSpan is the mesiodistal length of the longest space [mm]: a strap is no narrower
// than the spaces it joins.
func (b *builder) joinedSpan() float64 {
	longest := 0.0
	for _, a := range b.s.class.Areas {
		sum := 0.0
		for _, n := range a.Teeth {
			md, _ := rulebook.CrownSize(n)
			sum += md
		}
		longest = math.Max(longest, sum)
	}
	return math.Round(longest)
}

// additions are the standing teeth that may be lost while the denture is worn.
func (b *builder) additions() []string {
	var out []string
	for _, n := range tooth.All(b.s.in.Chart.Arch) {
		if rulebook.Doubtful(b.s.book, b.s.in.Chart, n) {
			out = append(out, n.String())
		}
	}
	return out
}

// endRests gives plates and cingulum bars the rests they need at both ends.
func (b *builder) endRests() {
	m, ok := b.d.Part(b.major)
	if !ok {
		return
	}
	switch m.Form {
	case design.LingualPlate, design.CingulumBar, design.LingualBarWithCingulumBar:
	default:
		return
	}
	for _, right := range []bool{true, false} {
		rested := false
		var ends []tooth.Number
		for _, place := range []int{4, 3, 5} {
			n := at(b.s.in.Chart.Arch, right, place)
			if b.s.fit(n) {
				ends = append(ends, n)
			}
			rested = rested || n != 0 && len(b.d.On(design.Rest, n)) > 0
		}
		if len(ends) == 0 {
			// No canine or premolar can carry: any fit tooth of the side, if none has a rest.
			for _, n := range tooth.All(b.s.in.Chart.Arch) {
				if n.Right() == right && b.s.fit(n) {
					ends = append(ends, n)
					rested = rested || len(b.d.On(design.Rest, n)) > 0
				}
			}
		}
		if rested || len(ends) == 0 {
			continue
		}
		form, site := b.restForm(ends[0], tooth.Mesial)
		b.rest(ends[0], form, site, design.Auxiliary, b.why("LGP-04", words.Tell("The plate has a rest at each end, so that it cannot slide down the front teeth."), "oklahoma-items"))
	}
}
