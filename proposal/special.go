package proposal

import (
	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// rotates tells why no rotational path can be drafted at a tooth, empty where one can: the
// base beside it is bounded and a rigid part can seat first there, while clasps hold at the
// other end only.
func (s *search) rotates(p *post) words.Text {
	c := s.in.Chart
	switch {
	case s.class.Class != arch.III && s.class.Class != arch.IV:
		return words.Tell("a rotational path is no way for an extension base: the rigid part would lever the tooth")
	case p.beside != "bounded":
		return words.Tell("a rotational path needs a bounded space beside the tooth")
	case c.Patient.Dexterity == "poor":
		return words.Tell("the patient's hands are not sure enough for a rotational path")
	case rulebook.Weak(s.book, c, p.tooth):
		return words.Tell("the tooth is too weak to be held by rigid metal in its undercut")
	case c.Teeth[p.tooth].CrownHeightMM != nil && *c.Teeth[p.tooth].CrownHeightMM < s.book.Limit("clasp.crownHeight"):
		return words.Tell("the crown is too short for the long rest of a rotational path")
	}
	for _, n := range tooth.All(c.Arch) {
		if k := n.Kind(); s.fit(n) && n != p.tooth && (k.Molar() || k.Premolar()) && (n.Right() != p.tooth.Right() || n.Place() != p.tooth.Place()) {
			return words.Text{}
		}
	}
	return words.Tell("no tooth at the other end could be clasped to lock the rotation")
}

// fullSet is how many clasps a tooth-supported denture has use for: one at each corner.
const fullSet = 4

// first is the school's first choices. Where a tooth-supported denture would get more than
// four clasps, those that stand between two others on a side are left out.
func (s *search) first() plan {
	var p plan
	if s.class.Class != arch.III {
		return p
	}
	var held []*post
	for _, x := range s.posts {
		if x.options[0].Form != design.ClaspNone {
			held = append(held, x)
		}
	}
	for i := 1; i+1 < len(held); i++ {
		x := held[i]
		if len(held) <= fullSet {
			break
		}
		if held[i-1].tooth.Right() != x.tooth.Right() || held[i+1].tooth.Right() != x.tooth.Right() {
			continue
		}
		if last := len(x.options) - 1; x.options[last].Form == design.ClaspNone {
			p = p.with(last, x.tooth).because(x.tooth, words.Tell("Four clasps hold at the four corners; a fifth between them would only cover more tooth."))
			if s.spared == nil {
				s.spared = map[tooth.Number]bool{}
			}
			s.spared[x.tooth] = true
			held = append(held[:i], held[i+1:]...)
			i--
		}
	}
	return p
}

// ifLost looks at the design as if the doubtful rear abutments of bounded bases were gone:
// their bases would then be extensions, and want a rest in front of the new fulcrum line.
func (b *builder) ifLost() {
	s := b.s
	later := s.in.Chart
	later.Teeth = map[tooth.Number]chart.Tooth{}
	for n, t := range s.in.Chart.Teeth {
		later.Teeth[n] = t
	}
	var lost []tooth.Number
	for _, p := range s.posts {
		if p.beside != "bounded" || p.side != tooth.Mesial || !rulebook.Doubtful(s.book, s.in.Chart, p.tooth) {
			continue
		}
		lost = append(lost, p.tooth)
		t := later.Teeth[p.tooth]
		t.State = chart.Extract
		later.Teeth[p.tooth] = t
	}
	if len(lost) == 0 {
		return
	}
	class, err := arch.Classify(later.Pattern(s.book.Strict()))
	if err != nil || class.Class != arch.I && class.Class != arch.II {
		return
	}
	left := b.d
	for _, n := range lost {
		for _, r := range b.d.On(design.Rest, n) {
			left = left.Without(r.ID)
		}
	}
	lever := rulebook.LeverOf(s.book, later, class, left)
	base := 0.0
	if lever.Known {
		base = lever.Base()
	}
	if base <= 0 {
		return
	}
	best, far := design.Part{}, 0.0
	for _, r := range left.Of(design.Rest) {
		if d := lever.Beyond(r); d > far {
			best, far = r, d
		}
	}
	if far < s.book.Limit("ind.ratioWarn")*base {
		if p, ok := b.bestIndirect(lever, nil, base); ok && lever.Beyond(p) > far {
			p.Role = design.Auxiliary
			best, far = p, lever.Beyond(p)
			r := b.why("FUT-01", words.Tell("If %v is lost the base becomes an extension; this rest then keeps it from lifting, %v in front of the new fulcrum line.", words.Teeth(lost), words.Length(far)), "loney-2011")
			b.add(p, r)
		}
	}
	if far > 0 {
		b.decide = append(b.decide, words.Tell("If %v is lost: Class %v; the rest on %v then stands %v in front of the new fulcrum line, and the tooth is added to the denture.", words.Teeth(lost), string(class.Class), best.Tooth, words.Length(far)))
	} else {
		b.decide = append(b.decide, words.Tell("If %v is lost: Class %v; nothing would keep the new extension from lifting, so a new framework is to be expected.", words.Teeth(lost), string(class.Class)))
	}
}

// otherWays names what the dentist could do instead of parts of this design, with what it
// takes.
func (b *builder) otherWays() {
	s, c := b.s, b.s.in.Chart
	if len(s.class.Areas) == 1 && (s.class.Class == arch.III || s.class.Class == arch.IV) && len(s.class.Areas[0].Teeth) <= 2 {
		sound := true
		for _, n := range rulebook.Ends(s.book, c, s.class.Areas[0]) {
			sound = sound && s.fit(n) && !rulebook.Weak(s.book, c, n)
		}
		if sound {
			b.decide = append(b.decide, words.Tell("The space %v alone could be closed by a fixed bridge or an implant; a framework is the choice where bone, other plans or cost speak against them.", words.Teeth(s.class.Areas[0].Teeth)))
		}
	}
	if c.Patient.SmileLine != "high" || s.class.Class != arch.III && s.class.Class != arch.IV {
		return
	}
	var shown []tooth.Number
	for _, p := range s.posts {
		if p.beside == "bounded" && p.tooth.Place() <= 4 && len(b.d.On(design.Retainer, p.tooth)) > 0 && c.Arch == tooth.Upper {
			shown = append(shown, p.tooth)
		}
	}
	if len(shown) > 0 {
		b.decide = append(b.decide, words.Tell("Attachments on %v would show no arm: they need crowns with a box of near-parallel walls, serve tooth-borne bases only, and are costly to mend.", words.Teeth(shown)))
	}
}

// secondary gives the tooth beside a terminal abutment that has lost a third of its bone a
// rest of its own, so that two teeth carry the base's near end.
func (b *builder) secondary() {
	s := b.s
	for _, p := range s.posts {
		t, next := s.in.Chart.Teeth[p.tooth], p.tooth.Mesial()
		if p.beside != "extension" || t.BoneLossPercent == nil || *t.BoneLossPercent <= 100-s.book.Limit("abt.boneSecondary") || !b.firm(next) || len(b.d.On(design.Rest, next)) > 0 || next.Kind().Incisor() {
			continue
		}
		form, site := b.restForm(next, tooth.Mesial)
		b.rest(next, form, site, design.Auxiliary, b.why("ABT-11", words.Tell("%v has lost a third of its bone or more: a rest on %v shares the load of the base.", p.tooth, next), "common-practice"))
	}
}
