package proposal

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"halfpear/arch"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/source"
	"halfpear/tooth"
	"halfpear/words"
)

// builder assembles one design from the choices of one draft.
type builder struct {
	s       *search
	plan    plan
	d       design.Design
	reasons []Reason
	decide  []words.Text // what the dentist has to decide
	major   design.ID
	kind    []words.Text

	unclasped map[tooth.Number]unclasped
}

// unclasped is what was said of a tooth that its row gives a rest only.
type unclasped struct {
	reason int    // of the rest that tells why, among the reasons
	before Reason // as it was without that
	kind   int    // where the kind says "rest only"
}

// add puts a part into the design with its reason; a part that is already there keeps
// its first reason.
func (b *builder) add(p design.Part, r Reason) {
	if _, ok := b.d.Part(p.ID); ok {
		return
	}
	b.d.Parts = append(b.d.Parts, p)
	r.Part = p.ID
	b.reasons = append(b.reasons, r)
}

func id(kind string, parts ...any) design.ID {
	words := []string{kind}
	for _, p := range parts {
		words = append(words, fmt.Sprint(p))
	}
	return design.ID(strings.Join(words, "-"))
}

// why makes a reason from a rule of the reference and its sources.
func (b *builder) why(rule rulebook.RuleID, because words.Text, keys ...string) Reason {
	return Reason{Rule: rule, Because: because, Sources: b.s.sources(keys...)}
}

func (s *search) sources(keys ...string) []source.Ref {
	var out []source.Ref
	for _, k := range keys {
		if r, ok := s.book.Source(k); ok {
			out = append(out, r)
		}
	}
	return out
}

// bases lays a base into every space, with its stops, finish lines and teeth.
func (b *builder) bases() {
	c, s := b.s.in.Chart, b.s
	for _, a := range s.class.Areas {
		var teeth []tooth.Number
		for _, n := range a.Teeth {
			if c.Replaced(n) {
				teeth = append(teeth, n)
			}
		}
		if len(teeth) == 0 {
			continue
		}
		name := baseName(teeth)
		p := design.Part{ID: id("base", name), Kind: design.Base, Teeth: teeth, Support: string(a.Kind), Attachment: "lattice", Material: "resin",
			Dimensions: map[string]float64{"relief": s.book.Limit("base.reliefDefault"), "relief_start": s.book.Limit("base.reliefStart")}}
		reason := b.why("BAS-02", words.Tell("An open lattice holds the resin best and lets the base be relined."), "oklahoma-items")
		room, fresh := 99.0, false
		for _, n := range teeth {
			t := c.Teeth[n]
			if t.OpposingRoomMM != nil {
				room = min(room, *t.OpposingRoomMM)
			}
			fresh = fresh || t.ExtractedMonths != nil && *t.ExtractedMonths < s.book.Limit("base.healed") || c.State(n) == "extract"
		}
		if room < s.book.Limit("base.minSpaceResin") {
			if a.Kind == arch.Bounded && !fresh {
				p.Attachment, p.Material = "beads", s.frame
				p.Material = "metal"
				delete(p.Dimensions, "relief")
				delete(p.Dimensions, "relief_start")
				reason = b.why("TTH-04", words.Tell("Only %v stand between ridge and opponent: resin would break, so the base is metal.", words.Length(room)), "oklahoma-items")
				reason.Rejected = []Rejection{{words.Tell("lattice"), words.Tell("less than 3 mm of room for resin")}}
			} else {
				b.decide = append(b.decide, words.Tell("Only %v of room over %v: shorten the opponents before a resin base is made.", words.Length(room), words.Teeth(teeth)))
			}
		} else {
			reason.Rejected = []Rejection{{words.Tell("metal base with beads"), words.Tell("it cannot be relined")}, {words.Tell("mesh"), words.Tell("its small holes hold the resin less well")}}
		}
		for _, n := range teeth {
			if u, ok := c.Tissues.TissueUndercutMM[n]; ok && u.DepthMM > s.book.Limit("base.flangeUndercut") {
				p.Note = "border shortened over the tissue undercut"
			}
		}
		b.add(p, reason)
		if a.Kind == arch.Extension {
			b.add(design.Part{ID: id("tissue-stop", name), Kind: design.TissueStop, Joins: p.ID, Tooth: 0, Teeth: []tooth.Number{last(teeth)},
				Dimensions: map[string]float64{"size": s.book.Limit("stop.size")}},
				b.why("STP-01", words.Tell("The stop keeps the far end of the lattice off the ridge while the resin is packed."), "refractory-text"))
		}
		if p.Material != "metal" {
			for _, side := range []string{"internal", "external"} {
				b.add(design.Part{ID: id("finish-line", side, name), Kind: design.FinishLine, Side: side, Joins: p.ID, Teeth: teeth,
					Dimensions: map[string]float64{"offset": s.book.Limit("fin.offset") + 0.5}},
					b.why(map[string]rulebook.RuleID{"internal": "FIN-02", "external": "FIN-01"}[side], words.Tell("Resin meets metal in a step, not in a thin edge; the two lines are set off from each other."), "oklahoma-items", "mccracken-2011"))
			}
		}
		b.teeth(a, teeth, room, p.Material == "metal")
	}
}

// last is the tooth of an extension farthest from the midline.
func last(teeth []tooth.Number) tooth.Number {
	out := teeth[0]
	for _, n := range teeth {
		if n.Place() > out.Place() {
			out = n
		}
	}
	return out
}

func baseName(teeth []tooth.Number) string {
	if len(teeth) == 1 {
		return teeth[0].String()
	}
	return teeth[0].String() + "-" + teeth[len(teeth)-1].String()
}

// teeth chooses the artificial teeth of a base.
func (b *builder) teeth(a arch.Area, teeth []tooth.Number, room float64, metal bool) {
	lim := b.s.book.Limit
	for _, n := range teeth {
		form, r := design.ToothResin, b.why("TTH-01", words.Tell("A resin tooth on a resin base is the usual replacement where there is room."), "ankara-etextbook")
		single := len(a.Teeth) == 1
		switch {
		case metal || room < lim("base.minSpaceResin"):
			form, r = design.ToothMetal, b.why("TTH-04", words.Tell("Less than 3 mm of room: the occlusal surface is metal."), "oklahoma-items")
		case single && n.Kind().Anterior() && room < lim("base.toothSpace"):
			form, r = design.ToothBacking, b.why("TTH-02", words.Tell("A narrow front space with little room: a facing on a cast backing."), "ankara-etextbook")
		case single && n.Kind().Anterior():
			form, r = design.ToothReinforced, b.why("TTH-05", words.Tell("A single front tooth of plain resin may come off: it gets a post or loop."), "ankara-etextbook")
		case room < lim("base.toothSpace") && single && room >= 4:
			form, r = design.ToothTube, b.why("TTH-03", words.Tell("A small single space with little height: a tooth drilled over a post."), "mccracken-2011")
		case room < lim("base.toothSpace"):
			form, r = design.ToothBacking, b.why("TTH-02", words.Tell("Little height: facings on a cast backing."), "ankara-etextbook")
		}
		if b.s.in.Chart.Opposing.Kind == "natural" {
			r.Rejected = append(r.Rejected, Rejection{words.Tell("porcelain"), words.Tell("it wears natural teeth")})
		}
		b.add(design.Part{ID: id("tooth", n), Kind: design.ReplacementTooth, Tooth: n, Form: form}, r)
	}
}

// abutment equips one tooth: rests, retainer, reciprocation, guide plates and the minor
// connectors that join them.
func (b *builder) abutment(p *post, o option) {
	s, n := b.s, p.tooth
	reason := b.retainerReason(p, o)
	b.rests(p, o, reason)
	b.guidePlates(p)
	if o.rotational() {
		b.rotational(p)
	}
	if o.Form == design.ClaspNone {
		if o.rotational() {
			b.kind = append(b.kind, words.Tell("%v rotational path", n))
		} else {
			b.kind = append(b.kind, words.Tell("%v rest only", n))
		}
		b.noClasp(n, reason)
		if o.Reciprocation == design.ReciprocalPlate {
			b.add(design.Part{ID: id("reciprocation", n), Kind: design.Reciprocation, Tooth: n, Form: design.ReciprocalPlate},
				b.why("FUT-04", words.Tell("A plate ties the weak tooth to its sound neighbours."), "labial-bar-lectures"))
		}
		if o.Rest == "none" {
			b.add(design.Part{ID: id("retainer", n), Kind: design.Retainer, Tooth: n, Form: design.ClaspNone}, reason)
		}
		return
	}
	part := design.Part{ID: id("retainer", n), Kind: design.Retainer, Tooth: n, Form: o.Form, Undercut: &design.Undercut{Site: o.site, MM: o.mm}, Material: s.frame}
	if o.Metal == "wire" || o.Form == design.ClaspCombination {
		part.Material, part.GaugeMM = s.wire, s.book.Limit("clasp.wirePremolar")
		if n.Kind().Molar() {
			part.GaugeMM = s.book.Limit("clasp.wireMolar")
		}
	}
	if o.Form == design.ClaspEmbrasure {
		part.Teeth = []tooth.Number{p.partner, n}
	}
	var notes []string
	switch o.Make {
	case "composite", "dimple", "recontour", "survey-crown":
		word := strings.ReplaceAll(o.Make, "-", " ")
		notes = append(notes, "undercut made by "+word)
		b.decide = append(b.decide, words.Tell("%v: no usable undercut at the site %v; it is to be made by %v, with the patient's consent.", n, siteOf(o.site), words.Code{Group: "make", Code: o.Make}))
	case "splint":
		notes = append(notes, "crowns joined first")
		b.decide = append(b.decide, words.Tell("%v: the crowns of the two weak teeth are to be joined before the framework.", n))
	}
	if o.says("placed low") {
		notes = append(notes, "placed low")
	}
	part.Note = strings.Join(notes, "; ")
	if o.Form.Infrabulge() {
		clear := s.book.Limit("bar.gmClear")
		if v, ok := s.in.Chart.Tissues.VestibuleDepthMM[n]; !ok || v >= s.book.Limit("bar.vestibuleAdvice") {
			clear += 0.5 // there is room to spare
		}
		part.Dimensions = map[string]float64{"relief": s.book.Limit("bar.relief"), "clearance": clear}
		for _, base := range b.d.Of(design.Base) {
			for _, t := range base.Teeth {
				if t == n.Mesial() || t == n.Distal() {
					part.Joins = base.ID
				}
			}
		}
	}
	b.add(part, reason)
	b.kind = append(b.kind, named(part))
	b.reciprocate(p, o)
}

// named is a retainer in the few words that tell drafts apart.
func named(retainer design.Part) words.Text {
	return words.Tell("%v %v", retainer.Tooth, words.Code{Group: "retainer", Code: string(retainer.Form)})
}

// rotational makes the guide plates of a tooth into rigid retainers that seat first, and its
// rest into the long one that the framework turns about.
func (b *builder) rotational(p *post) {
	for i, q := range b.d.Parts {
		if q.Tooth != p.tooth {
			continue
		}
		switch q.Kind {
		case design.GuidePlate:
			b.d.Parts[i].Note = design.RotationalPath + ": rigid in the undercut beside the space, seats first"
		case design.Rest:
			if q.Form == design.RestOcclusal {
				b.d.Parts[i].Form = design.RestExtended
			}
			b.d.Parts[i].Note = design.RotationalPath + ": half the crown long, 1.5 to 2 mm deep, walls parallel"
		}
	}
	b.decide = append(b.decide, words.Tell("Rotational path at %v: a specialist's design with little tolerance; it is swept on the cast for interference, and what that shows holds as far as the cast shows this mouth.", p.tooth))
}

// noClasp tells at the rest of a tooth why the tooth has no clasp.
func (b *builder) noClasp(n tooth.Number, chosen Reason) {
	for i, r := range b.reasons {
		if part, ok := b.d.Part(r.Part); ok && part.Kind == design.Rest && part.Tooth == n {
			if b.unclasped == nil {
				b.unclasped = map[tooth.Number]unclasped{}
			}
			before := r
			before.Rejected = slices.Clone(r.Rejected)
			b.unclasped[n] = unclasped{reason: i, before: before, kind: len(b.kind) - 1}
			b.reasons[i].Because = words.Join(" ", r.Because, words.Tell("No clasp: %v", chosen.Because))
			b.reasons[i].Rejected = append(b.reasons[i].Rejected, chosen.Rejected...)
			return
		}
	}
}

func (b *builder) retainerReason(p *post, o option) Reason {
	d := p.decision
	because := []words.Text{words.Join(". ", d.Situation.With(), d.Why.With())}
	if o.Form != design.ClaspNone {
		switch {
		case o.Make != "":
			because = append(because, words.Tell("The undercut of %v at the site %v is made first.", words.Length(o.mm), siteOf(o.site)))
		case o.seen:
			because = append(because, words.Tell("The undercut of %v at the site %v is there.", words.Length(o.mm), siteOf(o.site)))
		}
	}
	if p.skipped != 0 {
		because = append(because, words.Tell("It stands in for %v, which is unfit.", p.skipped))
	}
	r := Reason{Rule: d.ID, Because: words.Join(" ", because...), Sources: d.Sources, Rejected: append([]Rejection(nil), p.rejected...)}
	if o.Form != design.ClaspNone && o.Make == "" {
		r.Assumed = p.assumed
	}
	if why := b.plan.forced[p.tooth]; !why.Empty() {
		r.Because = words.Join(" ", r.Because, why)
	}
	for _, other := range p.options {
		if other.rank == o.rank || other.spare {
			continue
		}
		if o.spare {
			r.Rejected = append(r.Rejected, Rejection{describe(other.Choice), words.Tell("left out here")})
			continue
		}
		why := words.Tell("this school ranks it lower")
		if other.rank < o.rank {
			why = words.Tell("this is the alternative to it")
		}
		r.Rejected = append(r.Rejected, Rejection{describe(other.Choice), why})
	}
	return r
}

// restForm is the form of a rest on a tooth and the surface it lies on.
func (b *builder) restForm(n tooth.Number, site tooth.Surface) (design.Form, tooth.Surface) {
	if n.Kind().Anterior() {
		return design.RestCingulum, tooth.Lingual
	}
	return design.RestOcclusal, site
}

func (b *builder) rest(n tooth.Number, form design.Form, site tooth.Surface, role design.Role, r Reason) design.Part {
	p := design.Part{ID: id("rest", n, string(site)), Kind: design.Rest, Tooth: n, Form: form, Site: site, Role: role}
	b.add(p, r)
	return p
}

func (b *builder) rests(p *post, o option, chosen Reason) {
	n, c := p.tooth, b.s.in.Chart
	t := c.Teeth[n]
	near := p.side
	if near == "" {
		near = tooth.Mesial
	}
	tilted := n.Kind().Molar() && t.TiltDeg != nil && *t.TiltDeg > b.s.book.Limit("abt.tiltRest") && (t.TiltToward == "mesial" || t.TiltToward == "")
	place := func(site tooth.Surface, role design.Role, r Reason) {
		form, at := b.restForm(n, site)
		if tilted && at == tooth.Mesial && o.Form != design.ClaspRing && o.Rest != "both" {
			form = design.RestExtended
			r = b.why("RST-51", words.Tell("%v leans to mesial: the rest runs past its middle so that the load does not tip it further.", n), "exam-keys")
			r.Rejected = []Rejection{{words.Tell("short mesial rest"), words.Tell("it loads the mesial edge of a tilted molar")}}
		}
		b.rest(n, form, at, role, r)
	}
	switch o.Rest {
	case "embrasure":
		m := p.partner
		r := b.why("EMB-03", words.Tell("The two rests fill the embrasure, so that the clasp does not wedge the teeth apart."), "clasp-lectures", "loney-2011")
		b.rest(m, design.RestEmbrasure, tooth.Distal, design.Primary, r)
		b.rest(n, design.RestEmbrasure, tooth.Mesial, design.Primary, r)
	case "mesial", "cingulum":
		rule, because := rulebook.RuleID("RST-61"), words.Tell("The rest lies away from the extension base, so that the lever on the tooth is turned forward; taught widely, the evidence is weak.")
		if n.Kind().Anterior() {
			rule, because = "RST-62", words.Tell("A front tooth is loaded on its cingulum, low and near its axis.")
		} else if p.beside != "extension" {
			rule, because = "RST-67", words.Tell("The clasp has its own rest, so that it cannot sink.")
		}
		r := b.why(rule, because, "oklahoma-items")
		if p.beside == "extension" && !n.Kind().Anterior() {
			r.Rejected = []Rejection{{words.Tell("distal rest"), words.Tell("it puts the pivot beside the base and levers the tooth back")}}
		}
		if n.Kind().Anterior() && n.Arch() == tooth.Lower {
			r.Rejected = append(r.Rejected, Rejection{words.Tell("incisal rest"), words.Tell("it shows and is a longer lever; the cingulum seat is bonded instead")})
		}
		place(tooth.Mesial, design.Primary, r)
		b.besideBounded(p, place)
	case "distal":
		defer func() {
			for i, q := range b.d.Parts {
				if q.Kind == design.Rest && q.Tooth == n && q.Site == tooth.Distal && q.Note == "" {
					b.d.Parts[i].Note = "RST-63: the plate would act before a mesial rest"
				}
			}
		}()
		place(tooth.Distal, design.Primary, b.why("RST-63", words.Tell("The mesial rest cannot serve here: the tooth leans or is turned, or the opponent leaves no room; the distal rest takes the load first."), "oklahoma-items"))
		b.besideBounded(p, place)
	case "both":
		r := b.why("RST-52", words.Tell("Rests at both ends carry the load along the root."), "uk-connector-cards")
		if o.Form == design.ClaspRing {
			r = b.why("RNG-02", words.Tell("The ring is held at both ends: by the rest beside the space and by a second one on the far ridge."), "clasp-lectures")
		}
		if o.Form == design.ClaspHalfAndHalf {
			r = b.why("RST-66", words.Tell("Each of the two arms starts from its own rest."), "oklahoma-items")
		}
		place(near, design.Primary, r)
		if !n.Kind().Anterior() {
			far := tooth.Distal
			if near == tooth.Distal {
				far = tooth.Mesial
			}
			place(far, design.Auxiliary, r)
		}
	default: // near
		because, rule := words.Tell("The rest next to the space carries the base and closes the gap to it."), rulebook.RuleID("RST-64")
		if n.Kind().Anterior() {
			because = words.Tell("The base beside it is carried on the cingulum of the front tooth.")
		}
		if b.s.class.Class == arch.IV {
			rule = "RST-65"
		}
		if chosen.Rule == "DEC-17" || chosen.Rule == "DEC-15" || chosen.Rule == "DEC-20" {
			because = words.Join(" ", because, p.decision.Why.With())
		}
		r := b.why(rule, because, "mccracken-lectures")
		spaces := p.spaces
		if len(spaces) == 0 {
			spaces = []tooth.Surface{near}
		}
		for _, side := range spaces {
			if p.beside == "extension" && side == p.side && len(spaces) > 1 {
				continue
			}
			if p.beside == "extension" && side == p.side && !n.Kind().Anterior() {
				side = tooth.Mesial
			}
			place(side, design.Primary, r)
		}
	}
}

// besideBounded adds the rest that a bounded space on the other side of an extension
// abutment needs.
func (b *builder) besideBounded(p *post, place func(tooth.Surface, design.Role, Reason)) {
	if len(p.spaces) < 2 || p.tooth.Kind().Anterior() {
		return
	}
	for _, side := range p.spaces {
		if side == p.side && p.beside == "extension" {
			continue
		}
		if len(b.d.On(design.Rest, p.tooth)) > 0 && b.d.On(design.Rest, p.tooth)[0].Site == side {
			continue
		}
		place(side, design.Primary, b.why("RST-64", words.Tell("The bounded base on this side is carried by a rest next to it."), "mccracken-lectures"))
	}
}

func (b *builder) guidePlates(p *post) {
	for _, side := range p.spaces {
		because := words.Tell("A guide plane beside the space gives the denture one path and closes the gap to the base.")
		rule, keys := rulebook.RuleID("GPL-11"), []string{"exam-keys"}
		beside := false
		next := p.tooth.Distal()
		if side == tooth.Mesial {
			next = p.tooth.Mesial()
		}
		if a, ok := b.s.class.Tooth(next); ok {
			beside = a.Kind == arch.Extension
		}
		if beside {
			rule, because, keys = "GPL-23", words.Tell("The plate beside an extension base ends at the survey line, so that it does not become the pivot."), []string{"oklahoma-items"}
		}
		part := design.Part{ID: id("guide-plate", p.tooth, string(side)), Kind: design.GuidePlate, Tooth: p.tooth, Surface: side,
			Dimensions: map[string]float64{"thickness": b.s.book.Limit("plate.thicknessDefault")}}
		for _, base := range b.d.Of(design.Base) {
			for _, t := range base.Teeth {
				if t == next {
					part.Joins = base.ID
				}
			}
		}
		b.add(part, b.why(rule, because, keys...))
	}
}

// reciprocate opposes the retentive tip.
func (b *builder) reciprocate(p *post, o option) {
	n := p.tooth
	rid := id("reciprocation", n)
	arm := func(surface tooth.Surface, because words.Text) {
		b.add(design.Part{ID: rid, Kind: design.Reciprocation, Tooth: n, Form: design.ReciprocalArm, Surface: surface, Material: b.s.frame}, b.why("RCP-01", because, "mccracken-2011"))
	}
	plates := func() {
		b.add(design.Part{ID: rid, Kind: design.Reciprocation, Tooth: n, Form: design.ReciprocalGuidePlates},
			b.why("IBR-11", words.Tell("Plate and mesiolingual minor connector together keep the tooth from moving to the lingual; a lingual arm is not needed."), "krol-1973", "eliason-1983"))
	}
	plate := func(because words.Text) {
		b.add(design.Part{ID: rid, Kind: design.Reciprocation, Tooth: n, Form: design.ReciprocalPlate}, b.why("RCP-05", because, "mccracken-2011"))
	}
	extension := p.beside == "extension"
	if f, ok := b.plan.oppose[n]; ok && o.site.Facial() {
		if f == design.ReciprocalPlate {
			plate(words.Join(" ", words.Tell("A plate opposes the tip along the whole lingual."), b.plan.forced[n]))
		} else {
			arm(tooth.Lingual, words.Join(" ", words.Tell("A rigid arm above the survey line opposes the tip."), b.plan.forced[n]))
		}
		return
	}
	switch {
	case o.Reciprocation == design.ReciprocalPlate:
		plate(words.Tell("A plate opposes the tip along the whole lingual."))
	case o.Form == design.ClaspRing:
		b.add(design.Part{ID: id("strut", n), Kind: design.MinorConnector, At: []tooth.Number{n}, Joins: id("retainer", n), Note: "supporting strut of the ring",
			Dimensions: map[string]float64{"width": 2.5, "thickness": 1.5}},
			b.why("RNG-02", words.Tell("The strut on the side away from the tip makes the ring's first half rigid, so that it braces and opposes the tip."), "clasp-lectures"))
		b.add(design.Part{ID: rid, Kind: design.Reciprocation, Tooth: n, Form: design.ReciprocalArm, Surface: tooth.Facial, Material: b.s.frame},
			b.why("RCP-08", words.Tell("The part of the ring between rest and strut is rigid and opposes the tip."), "clasp-lectures"))
	case o.Form == design.ClaspEmbrasure:
		for _, x := range []tooth.Number{p.partner, n} {
			b.add(design.Part{ID: id("reciprocation", x), Kind: design.Reciprocation, Tooth: x, Form: design.ReciprocalArm, Surface: opposite(o.site), Material: b.s.frame},
				b.why("RCP-01", words.Tell("The rigid arms of the embrasure clasp oppose the tip and brace both teeth."), "mccracken-2011"))
		}
	case !o.site.Facial():
		arm(tooth.Facial, words.Tell("The tip is on the lingual, so the rigid arm braces on the facial."))
	case extension && len(p.spaces) > 0 && (o.Form.Infrabulge() || o.Form == design.ClaspMesialRestCircumferential) && (o.Rest == "mesial" || o.Rest == "cingulum"):
		plates()
	case extension && len(p.spaces) > 0 && o.Form == design.ClaspCombination && b.s.book.Base == "open-hygienic" && o.Rest != "distal":
		plates()
	case o.Form == design.ClaspHalfAndHalf:
		arm(tooth.Facial, words.Tell("The second arm of the half-and-half clasp is rigid and opposes the first."))
	case b.plates(n):
		plate(words.Tell("The lingual plate lies on this tooth and opposes the tip; an arm over it would be one too many."))
	default:
		arm(tooth.Lingual, words.Tell("A rigid arm above the survey line opposes the tip from before it springs until it is free."))
	}
}

// plates tells whether the major connector is a plate that lies on a tooth.
func (b *builder) plates(n tooth.Number) bool {
	m, ok := b.d.Part(b.major)
	return ok && m.Form == design.LingualPlate && slices.Contains(m.Teeth, n)
}

func opposite(site tooth.Site) tooth.Surface {
	if site.Facial() {
		return tooth.Lingual
	}
	return tooth.Facial
}

// minors joins every rest that no plate or base joins to the major connector.
func (b *builder) minors() {
	c := b.s.in.Chart
	// Rests on the lingual come last: one may hang on an upright that is there for the
	// neighbour, so that no two uprights stand a tooth's width apart.
	rests := b.d.Of(design.Rest)
	slices.SortStableFunc(rests, func(x, y design.Part) int {
		return cmp.Compare(lingual(x), lingual(y))
	})
	for _, r := range rests {
		if r.Site == tooth.Lingual && (b.upright(r.Tooth) || b.plateJoins(r.Tooth)) {
			continue
		}
		beside := r.Tooth.Mesial()
		switch r.Site {
		case tooth.Distal:
			beside = r.Tooth.Distal()
		case tooth.Lingual:
			if beside == 0 || !c.Stands(beside) {
				if d := r.Tooth.Distal(); d != 0 && c.Stands(d) {
					beside = d
				}
			}
		}
		if beside != 0 {
			if _, space := b.s.class.Tooth(beside); space {
				continue // the plate on that side joins it
			}
		}
		at := []tooth.Number{r.Tooth}
		name := id("minor-connector", r.Tooth)
		if beside != 0 && c.Stands(beside) {
			at = []tooth.Number{r.Tooth, beside}
			if beside.Index() < r.Tooth.Index() {
				at = []tooth.Number{beside, r.Tooth}
			}
			name = id("minor-connector", at[0], at[1])
		}
		b.add(design.Part{ID: name, Kind: design.MinorConnector, At: at, Joins: b.major,
			Dimensions: map[string]float64{"thickness": b.s.book.Limit("min.thickness"), "width": b.s.book.Limit("min.width")}},
			b.why("MIN-03", words.Tell("It joins the rest to the major connector through the embrasure, where the tongue feels it least, and crosses the margin at a right angle."), "mccracken-2011"))
	}
}

// plateJoins tells whether a guide plate beside a bounded space joins a rest on the lingual
// of its tooth to the base.
func (b *builder) plateJoins(n tooth.Number) bool {
	for _, p := range b.d.On(design.GuidePlate, n) {
		next := n.Distal()
		if p.Surface == tooth.Mesial {
			next = n.Mesial()
		}
		if a, ok := b.s.class.Tooth(next); ok && a.Kind == arch.Bounded {
			return true
		}
	}
	return false
}

func lingual(rest design.Part) int {
	if rest.Site == tooth.Lingual {
		return 1
	}
	return 0
}

// upright tells whether a minor connector to the major one stands beside a tooth.
func (b *builder) upright(n tooth.Number) bool {
	for _, m := range b.d.Of(design.MinorConnector) {
		if m.Joins == b.major && len(m.At) == 2 && (m.At[0] == n || m.At[1] == n) {
			return true
		}
	}
	return false
}
