package proposal

import (
	"math"
	"strings"

	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// decide finds the row of the retainer table for a tooth and which of its choices can be
// carried out there.
func (s *search) decide(p *post) {
	facts := rulebook.AbutmentFacts(s.book, s.shown, s.class, s.in.Undercuts, p.tooth)
	d, ok := s.book.DecideRetainer(facts)
	if !ok {
		d = rulebook.Decision{ID: "RST-64", Situation: words.NoRowTooth, Why: words.RestOnlyThere,
			Choices: []rulebook.Choice{{Form: design.ClaspNone, Rest: "near"}}}
	}
	p.decision = d
	front, _ := facts.Lookup("abutment.front_of_axis")
	for i, c := range d.Choices {
		o := option{Choice: c, rank: i}
		why := s.feasible(p, &o)
		if why.Empty() && front.V == true && p.beside != "extension" && c.Form != design.ClaspNone && c.Metal != "wire" && s.stopsInFront() {
			why = words.Tell("a cast tip in front of the fulcrum line is levered up when the base sinks (CMB-02)")
		}
		if !why.Empty() {
			p.rejected = append(p.rejected, Rejection{describe(c), why})
			continue
		}
		p.options = append(p.options, o)
	}
	if len(p.options) == 0 {
		// Nothing of the school's list is there: its first arm, on an undercut that is made.
		for _, c := range d.Choices {
			o := option{Choice: c, rank: len(d.Choices)}
			if c.Form == design.ClaspNone || c.Make != "" {
				continue
			}
			if o.Make = "composite"; s.feasible(p, &o).Empty() {
				p.options = append(p.options, o)
				break
			}
		}
	}
	if len(p.options) == 0 {
		p.options = []option{{Choice: rulebook.Choice{Form: design.ClaspNone, Rest: restFor(d), Say: words.NoRetainerFits}, rank: len(d.Choices)}}
	}
	s.spares(p, len(d.Choices))
	if !s.in.Undercuts.Known(p.tooth) && p.options[0].Form != design.ClaspNone && p.options[0].Make == "" {
		p.assumed = append(p.assumed, words.Tell("undercut at the site %v of %v", siteOf(p.options[0].site), p.tooth))
	}
	if p.options[0].Form.Infrabulge() {
		_, _, unknown := rulebook.BarRoom(s.book, s.shown, p.tooth)
		p.assumed = append(p.assumed, unknown...)
	}
}

// spares adds what may be taken where every choice of the school is stopped: a wire, which
// gives way, and last a rest alone.
func (s *search) spares(p *post, rank int) {
	hold, bare := false, false // the list has a wire, a rest alone
	for _, o := range p.options {
		hold = hold || o.Form == design.ClaspCombination
		bare = bare || o.Form == design.ClaspNone && !o.rotational()
	}
	rest := restFor(p.decision)
	if !hold && !bare {
		wire := option{Choice: rulebook.Choice{Form: design.ClaspCombination, Metal: "wire", Rest: rest, Sites: []string{"far", "mesial", "mid", "near", "lingual"}}, rank: rank + 1, spare: true}
		if s.feasible(p, &wire).Empty() {
			p.options = append(p.options, wire)
		} else if wire.Make = "composite"; s.feasible(p, &wire).Empty() {
			p.options = append(p.options, wire)
		}
	}
	if p.beside == "extension" && !p.tooth.Kind().Anterior() && !bare {
		// Where the plate would act before a mesial rest.
		distal := option{Choice: rulebook.Choice{Form: design.ClaspCombination, Metal: "wire", Rest: "distal", Sites: []string{"mesial", "mid"}, Reciprocation: design.ReciprocalArm}, rank: rank + 2, spare: true}
		if s.feasible(p, &distal).Empty() {
			p.options = append(p.options, distal)
		} else if distal.Make = "composite"; s.feasible(p, &distal).Empty() {
			p.options = append(p.options, distal)
		}
	}
	if !bare {
		p.options = append(p.options, option{Choice: rulebook.Choice{Form: design.ClaspNone, Rest: rest}, rank: rank + 3, spare: true})
	}
}

// stopsInFront tells whether the school stops cast tips in front of the fulcrum line.
func (s *search) stopsInFront() bool {
	c, ok := s.book.Rule("CHK-123")
	return ok && !c.Off && c.Grades[0].Severity == rulebook.Stop
}

func restFor(d rulebook.Decision) string {
	if len(d.Choices) > 0 && d.Choices[0].Rest != "" && d.Choices[0].Rest != "embrasure" {
		return d.Choices[0].Rest
	}
	return "near"
}

func describe(c rulebook.Choice) words.Text {
	text := words.Say(words.Code{Group: "retainer", Code: string(c.Form)})
	if c.Form == design.ClaspNone {
		text = words.Tell("no retention")
	}
	if c.Make != "" {
		text = words.Tell("%v after %v", text, words.Code{Group: "make", Code: c.Make})
	}
	return remarked(text, c.Say)
}

// remarked puts the table's remark behind a choice.
func remarked(text words.Text, say words.Word) words.Text {
	if say.Blank() {
		return text
	}
	return words.Tell("%v (%v)", text, say)
}

// says tells whether the table's remark to a choice is this one.
func (o option) says(english string) bool { return o.Say.In(words.English) == english }

func siteOf(s tooth.Site) words.Code { return words.Code{Group: "site", Code: string(s)} }

// rotational tells a choice that seats on a rotational path.
func (o option) rotational() bool {
	return strings.HasPrefix(o.Say.In(words.English), "rotational path")
}

// feasible tells why a choice cannot be carried out on a tooth, empty where it can, and
// sets the site and depth of the undercut that it takes.
func (s *search) feasible(p *post, o *option) words.Text {
	c, n := s.in.Chart, p.tooth
	t := c.Teeth[n]
	if o.Make == "fixed-bridge" {
		return words.Tell("it is the better way, but needs the dentist's decision for a fixed bridge; the space then no longer counts")
	}
	if o.rotational() {
		return s.rotates(p)
	}
	if o.Make == "splint" && o.Form == design.ClaspNone {
		return words.Tell("it needs the dentist's decision to join the teeth by fixed work first")
	}
	if o.Form == design.ClaspNone {
		return words.Text{}
	}
	if o.Only != "" && o.Only != rulebook.KindWord(n) {
		return words.Tell("only for a tooth of the kind %v", words.Code{Group: "tooth", Code: o.Only})
	}
	if o.Form.Infrabulge() {
		if room, why, _ := rulebook.BarRoom(s.book, s.shown, n); !room {
			return words.Tell("no room for a bar: %v", why)
		}
	}
	cast := o.Metal != "wire"
	if cast && t.CrownRootRatio != nil && *t.CrownRootRatio > s.book.Limit("abt.crrError") {
		return words.Tell("a cast clasp on a tooth with that crown-root ratio is not allowed")
	}
	if cast && t.Mobility != nil && *t.Mobility >= 2 && o.Make != "splint" {
		return words.Tell("a stiff arm works on a loose tooth like a forceps; a wire gives way")
	}
	if o.MinArm {
		if l := armLength(n); l < s.book.Limit("clasp.castMinLength") {
			return words.Tell("its arm would be about %v mm long, this school asks for %v mm", words.Figure{Value: l}, words.Figure{Value: s.book.Limit("clasp.castMinLength")})
		}
	}
	if o.Form == design.ClaspHairpin && t.CrownHeightMM != nil && *t.CrownHeightMM < s.book.Limit("clasp.hairpinHeight") {
		return words.Tell("the crown is too short for a hairpin")
	}
	if o.Form == design.ClaspEmbrasure {
		if p.partner == 0 {
			return words.Tell("no two teeth touch that could share it")
		}
		for _, x := range []tooth.Number{n, p.partner} {
			if r := c.Teeth[x].OpposingRoomMM; r != nil && *r < s.book.Limit("rest.embrasureStop") {
				return words.Tell("only %v of room over the ridges", words.Length(*r))
			}
		}
	}
	if o.Form == design.ClaspReverseCirclet || o.Form == design.ClaspEmbrasure {
		if r := t.OpposingRoomMM; r != nil && *r < s.book.Limit("rest.embrasureStop") {
			return words.Tell("only %v of room through the embrasure", words.Length(*r))
		}
	}
	return s.takeSite(p, o)
}

// takeSite chooses the undercut: the first place of the choice's list that is there. An
// undercut that is to be made is there once it is made.
func (s *search) takeSite(p *post, o *option) words.Text {
	material := s.frame
	if o.Metal == "wire" || o.Form == design.ClaspCombination {
		material = s.wire
	}
	target, ok := s.book.Target(material)
	if !ok {
		target = s.book.Limit("und.castCoCr")
	}
	if o.Make == "composite" || o.Make == "dimple" || o.Make == "recontour" || o.Make == "survey-crown" {
		o.site, o.mm = s.sites(p, o.Sites)[0], math.Min(target, 0.5)
		return words.Text{}
	}
	sites := s.sites(p, o.Sites)
	if !s.in.Undercuts.Known(p.tooth) {
		// Nothing was found out: the first place of the list, or one where an average
		// crown has the undercut.
		o.site, o.mm = sites[0], target
		for _, site := range sites {
			if r, _ := s.in.Undercuts.At(p.tooth, site); r.MM >= s.book.Enough() {
				o.site = site
				break
			}
		}
		return words.Text{}
	}
	// First a place that gives the metal its full undercut, then one that gives enough.
	for _, least := range []float64{target - s.book.Limit("und.offTarget"), s.book.Enough()} {
		for _, site := range sites {
			r, _ := s.in.Undercuts.Found(p.tooth, site)
			if r.MM >= math.Max(least, s.book.Enough())-1e-9 {
				o.site, o.mm, o.seen = site, math.Min(target, nearestGauge(r.MM)), true
				return words.Text{}
			}
		}
	}
	var tried []words.Text
	for _, site := range sites {
		tried = append(tried, words.Say(siteOf(site)))
	}
	return words.Tell("no undercut of %v at the sites %v", words.Length(0.25), words.Listed(tried...))
}

// nearestGauge is the deepest gauge that an undercut fills: 0.25, 0.50 or 0.75 mm; what
// lies a few hundredths below a gauge counts as it.
func nearestGauge(mm float64) float64 {
	g := math.Floor((mm+0.03)/0.25) * 0.25
	return math.Max(0.25, math.Min(0.75, g))
}

// sites turns the table's words into places on the crown.
func (s *search) sites(p *post, places []string) []tooth.Site {
	facial := map[string]tooth.Site{"mesial": tooth.MesioFacial, "mid": tooth.MidFacial, "distal": tooth.DistoFacial}
	var out []tooth.Site
	for _, w := range places {
		switch w {
		case "far", "near":
			mesialSpace := p.side == tooth.Mesial
			if p.beside == "none" {
				mesialSpace = true // an arm through the embrasure in front ends on the distal
			}
			if (w == "near") == mesialSpace {
				out = append(out, tooth.MesioFacial)
			} else {
				out = append(out, tooth.DistoFacial)
			}
			if w == "far" && p.beside == "bounded" && len(p.spaces) == 2 {
				out = append(out, tooth.DistoFacial) // from the space in front
			}
		case "lingual":
			if p.side == tooth.Mesial || p.beside == "none" {
				out = append(out, tooth.DistoLingual, tooth.MidLingual, tooth.MesioLingual)
			} else {
				out = append(out, tooth.MesioLingual, tooth.MidLingual, tooth.DistoLingual)
			}
		case "mesiolingual":
			out = append(out, tooth.MesioLingual)
		default:
			out = append(out, facial[w])
		}
	}
	if len(out) == 0 {
		out = []tooth.Site{tooth.MidFacial}
	}
	return out
}

// armLength is about how long a circumferential arm on an average crown is [mm]: from the
// origin at one side to the far third of the facial it covers 48 % of the way round an
// ellipse of the crown's size (ours).
func armLength(n tooth.Number) float64 {
	md, fl := rulebook.CrownSize(n)
	a, b := md/2, fl/2
	h := (a - b) * (a - b) / ((a + b) * (a + b))
	around := math.Pi * (a + b) * (1 + 3*h/(10+math.Sqrt(4-3*h)))
	return 0.48 * around
}
