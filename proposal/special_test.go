package proposal

import (
	"slices"
	"strings"
	"testing"

	"halfpear/design"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// decides tells whether a proposal leaves something to the dentist that holds a text.
func decides(p Proposal, text string) bool {
	return slices.ContainsFunc(p.Decisions, func(d words.Text) bool { return strings.Contains(d.In(words.English), text) })
}

func majorOf(p Proposal) design.Part {
	m, _ := p.Design.Part("major-connector")
	return m
}

func claspOn(p Proposal, n tooth.Number) design.Part {
	if r := p.Design.On(design.Retainer, n); len(r) > 0 {
		return r[0]
	}
	return design.Part{Form: design.ClaspNone}
}

func restsOn(p Proposal, n tooth.Number) string {
	var out []string
	for _, r := range p.Design.On(design.Rest, n) {
		out = append(out, string(r.Form)+" "+string(r.Site))
	}
	return strings.Join(out, ", ")
}

// Findings that change a design, each against the same mouth without it. The source that
// asks for the change stands with each.
func TestFindingsChangeTheProposal(t *testing.T) {
	const one = "lower; missing 36,37,46,47; floor=9 vestibule=8;"
	const hold = " 35 mid-facial .25 mesio-facial .5; 45 mid-facial .25 mesio-facial .5;"
	for _, c := range []struct {
		what, source, profile string
		before, after         string
		changed               func(p Proposal) bool // false before, true after
	}{
		{"pier beside an extension base: no stiff clasp on it, a bridge is named", "McCracken's, isolated teeth as abutments (ABT-12)", "i-bar-first",
			one + hold, "lower; missing 34,36,37,46,47; floor=9 vestibule=8; 33 mesio-facial .5;" + hold,
			func(p Proposal) bool {
				r := claspOn(p, 35)
				return (r.Form == design.ClaspNone || strings.HasPrefix(r.Material, "wrought")) && decides(p, "35 stands alone")
			}},
		{"molar tilted to mesial and lingual: ring, strut and a distal rest", "lecture on clasps (RNG-01, RNG-02); UK teaching on rests (RST-52)", "i-bar-first",
			"lower; missing 36; floor=9; 37 disto-facial .25; 35 mesio-facial .25", "lower; missing 36; floor=9; 37 tilt=25 toward=mesial mesio-lingual .4; 35 mesio-facial .25",
			func(p Proposal) bool {
				_, strut := p.Design.Part("strut-37")
				return claspOn(p, 37).Form == design.ClaspRing && strut && strings.Contains(restsOn(p, 37), "distal")
			}},
		{"molar tilted to mesial only: an extended rest", "examination key (RST-51)", "i-bar-first",
			"lower; missing 36; floor=9; 37 disto-facial .25; 35 mesio-facial .25", "lower; missing 36; floor=9; 37 tilt=20 toward=mesial disto-facial .25; 35 mesio-facial .25",
			func(p Proposal) bool { return strings.Contains(restsOn(p, 37), "extended mesial") }},
		{"abutment tilted so that the plate acts first: wire and distal rest", "Oklahoma items 124, 187 (IBR-10)", "i-bar-first",
			one + hold, one + hold + "35 tilt=20 toward=mesial",
			func(p Proposal) bool {
				return claspOn(p, 35).Form == design.ClaspCombination && restsOn(p, 35) == "occlusal distal"
			}},
		{"two weak neighbours: plate and rests, no clasp", "loss of stiffness shared, less retention (FUT-04); J Dent Sci 2010", "gingival-approach",
			one + hold, one + hold + "35 mobility=2; 34 mobility=2",
			func(p Proposal) bool {
				return claspOn(p, 35).Form == design.ClaspNone && len(p.Design.On(design.Reciprocation, 35)) > 0
			}},
		{"a loose abutment: wire instead of a cast arm", "Miller's grades (ABT-05)", "i-bar-first",
			one + hold, one + hold + "35 mobility=2", func(p Proposal) bool { return strings.HasPrefix(claspOn(p, 35).Material, "wrought") }},
		{"an abutment of mobility III: it carries nothing", "lecture on mouth preparations (ABT-05)", "i-bar-first",
			one + hold, one + hold + "35 mobility=3; 34 mid-facial .25", func(p Proposal) bool {
				return restsOn(p, 35) == "" && restsOn(p, 34) != "" && decides(p, "35 stands but is unfit")
			}},
		{"a third of the bone lost: a second tooth shares the load", "common practice (ABT-11)", "i-bar-first",
			"lower; missing 37,47; floor=9 vestibule=8; 36 mid-facial .25; 46 mid-facial .25", "lower; missing 37,47; floor=9 vestibule=8; 36 mid-facial .25 bone=40; 46 mid-facial .25",
			func(p Proposal) bool { return restsOn(p, 35) != "" }},
		{"lingual torus that stays: a plate above or over it", "connector cards, tori (LGP-01)", "i-bar-first",
			one + hold, one + hold + "torus", func(p Proposal) bool {
				m := majorOf(p)
				return m.Form == design.LingualPlate && (m.Dimensions["torus_relief"] > 0 || strings.Contains(m.Note, "torus"))
			}},
		{"palatal torus that stays: a ring round it", "Ankara e-textbook (TOR-01)", "i-bar-first",
			"upper; missing 15,16,25,26", "upper; missing 15,16,25,26; torus=20", func(p Proposal) bool { return majorOf(p).Form == design.APStrap }},
		{"palatal torus to the vibrating line: a U, with its caution in Class I", "contraindication cards (USH-01, USH-03)", "i-bar-first",
			"upper; missing 16,17,26,27", "upper; missing 16,17,26,27; torus=4", func(p Proposal) bool {
				return majorOf(p).Form == design.UShaped && failed(p, "CHK-180")
			}},
		{"floor of 6 mm: a plate", "Oklahoma, connector cards (LGP-01)", "i-bar-first",
			one + hold, "lower; missing 36,37,46,47; floor=6 vestibule=8;" + hold, func(p Proposal) bool { return majorOf(p).Form == design.LingualPlate }},
		{"floor of 6 mm: a sublingual bar", "UK connector cards (SLB-01)", "gingival-approach",
			one + hold, "lower; missing 36,37,46,47; floor=6 vestibule=8;" + hold, func(p Proposal) bool { return majorOf(p).Form == design.SublingualBar }},
		{"vestibule of 4 mm: no bar clasp", "Dental College of Georgia key (IBR-06)", "i-bar-first",
			one + hold, "lower; missing 36,37,46,47; floor=9 vestibule=4;" + hold, func(p Proposal) bool { return claspOn(p, 35).Form == design.ClaspCombination }},
		{"tissue undercut that begins 2 mm from the margin: an arm from above", "LaVere 1986 (IBR-07)", "gingival-approach",
			one + hold, one + hold + "35 tissue=1.5@2", func(p Proposal) bool { return claspOn(p, 35).Form == design.ClaspMesialRestCircumferential }},
		{"high smile line: no cast arm from above on an upper front abutment", "Dalhousie 2011 p. 48, Oklahoma item 78 (IBR-02)", "i-bar-first",
			"upper; missing 14,15; vestibule=8; 13 mid-facial .25 mesio-facial .3; 16 disto-facial .3", "upper; missing 14,15; vestibule=8; smile=high; 13 mid-facial .25 mesio-facial .3; 16 disto-facial .3",
			func(p Proposal) bool {
				return claspOn(p, 13).Form == design.ClaspIBar && decides(p, "Attachments on 13")
			}},
		{"gag reflex: an open ring, its rear border 5 mm in front of the vibrating line", "common practice (PTN-01)", "i-bar-first",
			"upper; missing 14,15,16,17,24,25,26,27; vestibule=8", "upper; missing 14,15,16,17,24,25,26,27; vestibule=8; gag", func(p Proposal) bool {
				m := majorOf(p)
				return m.Form == design.APStrap && m.Dimensions["posterior_clear"] >= 5
			}},
		{"nickel allergy: a noble wire, a nickel-free alloy to be ordered", "ADA News 2014 on ISO 22674 (PTN-02)", "combination-first",
			one + hold, one + hold + "nickel", func(p Proposal) bool {
				return claspOn(p, 35).Material == "wrought-wire-pgp" && decides(p, "nickel")
			}},
		{"upper complete denture: full cover, no front contact, and a plate that holds the front teeth", "Kelly 1972 and Palmqvist 2003 (CMS-01, CMS-03)", "combination-first",
			one + hold, one + hold + "opposing=complete-denture", func(p Proposal) bool {
				return majorOf(p).Form == design.LingualPlate && decides(p, "upper complete denture")
			}},
		{"rear abutment likely to be lost: wire in front, rest on it, planned addition, what follows", "Dalhousie 2011 p. 48 (FUT-01)", "i-bar-first",
			"lower; missing 35,36; floor=9 vestibule=8; 37 disto-facial .25; 34 mesio-facial .5", "lower; missing 35,36; floor=9 vestibule=8; 37 prognosis=doubtful disto-facial .25; 34 mesio-facial .5",
			func(p Proposal) bool {
				return strings.HasPrefix(claspOn(p, 34).Material, "wrought") && claspOn(p, 37).Form == design.ClaspNone && restsOn(p, 37) != "" &&
					strings.Contains(majorOf(p).Note, "addition of 37") && decides(p, "If 37 is lost: Class II")
			}},
		{"incisor likely to be lost: a plate it can be added to", "lectures on labial bars (FUT-02)", "i-bar-first",
			one + hold, one + hold + "41 prognosis=doubtful", func(p Proposal) bool {
				return majorOf(p).Form == design.LingualPlate && restsOn(p, 41) == ""
			}},
	} {
		before, after := propose(t, c.profile, c.before)[0], propose(t, c.profile, c.after)[0]
		if c.changed(before) {
			t.Errorf("%s (%s): so already without the finding: %s", c.what, c.source, before.Kind)
		}
		if !c.changed(after) {
			t.Errorf("%s (%s): not so: %s; rests %v; connector %s %s; to decide %v", c.what, c.source, after.Kind, ids(after, design.Rest), majorOf(after).Form, majorOf(after).Note, after.Decisions)
		}
		if n := after.Report.Stops(); n > 0 {
			t.Errorf("%s: the first proposal has %d stops", c.what, n)
		}
	}
}

func failed(p Proposal, id rulebook.RuleID) bool {
	return slices.ContainsFunc(p.Report.Findings, func(f rulebook.Finding) bool { return f.Rule == id && f.Status == rulebook.Failed })
}

func unchecked(p Proposal, id rulebook.RuleID) bool {
	return slices.ContainsFunc(p.Report.Findings, func(f rulebook.Finding) bool { return f.Rule == id && f.Status == rulebook.NotChecked })
}

func ids(p Proposal, k design.Kind) []design.ID {
	var out []design.ID
	for _, q := range p.Design.Of(k) {
		out = append(out, q.ID)
	}
	return out
}

// LaVere 1986: a soft-tissue undercut that starts 3 mm or more below the margin leaves the
// bar clasp, whatever its depth.
func TestLowTissueUndercutLeavesTheBar(t *testing.T) {
	p := propose(t, "gingival-approach", "lower; missing 36,37,46,47; floor=9 vestibule=8; 35 tissue=2@4 mid-facial .25; 45 mid-facial .25")[0]
	if f := claspOn(p, 35).Form; f != design.ClaspIBar {
		t.Errorf("%s over an undercut that begins 4 mm from the margin", f)
	}
}

// A rotational path is drafted for a Class IV and refused beside an extension base, for
// unsure hands and for weak teeth (Jacobson 1994; course cards on when it is used).
func TestRotationalPath(t *testing.T) {
	const four = "upper; missing 12,11,21,22; vestibule=9; 13 mid-facial .3; 23 mid-facial .3; 17 disto-facial .3; 27 disto-facial .3;"
	drafted := func(list []Proposal) (Proposal, bool) {
		for _, p := range list {
			if strings.Contains(p.Kind.In(words.English), "rotational") {
				return p, true
			}
		}
		return Proposal{}, false
	}
	p, ok := drafted(propose(t, "", four))
	if !ok {
		t.Fatal("no rotational path among the alternatives of a Class IV")
	}
	for _, n := range []tooth.Number{13, 23} {
		if claspOn(p, n).Form != design.ClaspNone || len(p.Design.On(design.GuidePlate, n)) == 0 {
			t.Errorf("%d has a clasp, or no rigid part that seats first", n)
		}
	}
	if claspOn(p, 17).Form == design.ClaspNone || claspOn(p, 27).Form == design.ClaspNone {
		t.Error("nothing locks the rotation at the back")
	}
	for _, i := range p.Preparations.Items {
		if i.Operation == prep.GuidePlane && (i.Tooth == 13 || i.Tooth == 23) && i.Surface == tooth.Mesial {
			t.Errorf("%d: the undercut that the rigid part is to hold in is cut away", i.Tooth)
		}
	}
	// Without a cast there is nothing to sweep the path on.
	if !unchecked(p, "CHK-139") || !decides(p, "swept on the cast") {
		t.Error("the sweep that nobody could make is passed over")
	}
	for _, more := range []string{"13 mobility=2; 23 mobility=2", "dexterity=poor"} {
		if p, ok := drafted(propose(t, "", four+more)); ok {
			t.Errorf("drafted with %s: %s", more, p.Kind)
		}
	}
	for _, p := range propose(t, "", four+"dexterity=poor") {
		r, ok := p.Why("retainer-13")
		if ok && !slices.ContainsFunc(r.Rejected, func(x Rejection) bool { return strings.Contains(x.Because.In(words.English), "hands") }) {
			t.Errorf("the refusal gives no reason: %v", r.Rejected)
		}
	}
}

// Four clasps at the corners are what a tooth-supported denture usually has (Stewart's
// quadrilateral, from memory): a fifth abutment between two of a side is left without.
func TestNoFifthClasp(t *testing.T) {
	p := propose(t, "", "upper; missing 15,16,24,26; vestibule=9; 14 mesio-facial .25; 17 disto-facial .3; 23 mesio-facial .3; 25 disto-facial .3; 27 disto-facial .3")[0]
	if n := len(p.Design.Of(design.Retainer)); n != 4 || claspOn(p, 25).Form != design.ClaspNone || restsOn(p, 25) == "" {
		t.Errorf("%d clasps, on 25 %s with rests %q", n, claspOn(p, 25).Form, restsOn(p, 25))
	}
	r, _ := p.Why("rest-25-mesial")
	if !strings.Contains(r.Because.In(words.English), "Four clasps") {
		t.Errorf("the rest on 25 does not say why it has no clasp: %s", r.Because)
	}
}

// A Class II whose other side has a bounded space is held by three clasps (Stewart's
// tripod, from memory): the terminal abutment and both abutments of the space.
func TestClassIITripod(t *testing.T) {
	p := propose(t, "", "lower; missing 36,37,44,45; floor=9 vestibule=8; 35 mid-facial .25; 43 mesio-facial .5; 46 disto-facial .3")[0]
	for _, n := range []tooth.Number{35, 43, 46} {
		if claspOn(p, n).Form == design.ClaspNone {
			t.Errorf("%d is not clasped: %s", n, p.Kind)
		}
	}
	if m := claspOn(p, 43).Material; !strings.HasPrefix(m, "wrought") {
		t.Errorf("the arm in front of the fulcrum line is of %s (Oklahoma items 127, 146)", m)
	}
}

// Struts stand 5 mm apart where a choice is (MIN-02, looked up): with the mesial rest of a
// first premolar, an indirect retainer on the canine beside it is not served by a second
// strut across that narrow tooth.
func TestStrutsStandApart(t *testing.T) {
	for _, chart := range []string{"lower; missing 36,37,46,47; floor=9 vestibule=8", "lower; missing 36,37; floor=9 vestibule=8", "upper; missing 16,17,26,27"} {
		for _, profile := range rulebook.Profiles {
			p := propose(t, profile, chart)[0]
			if n := (&search{book: mustBook(t, profile)}).crowded(p.Design); n > 0 {
				t.Errorf("%s, %s: %d struts stand a narrow tooth apart: %v", profile, chart, n, ids(p, design.MinorConnector))
			}
		}
	}
}

// Measures decide where school and findings leave designs level: of two places for an
// indirect retainer, the one farther from the line; and a plate weighs more than a bar.
func TestMeasuresSteer(t *testing.T) {
	list := propose(t, "", "lower; missing 36,37,46,47; floor=9 vestibule=8; opposing=complete-denture; 35 mid-facial .25; 45 mid-facial .25")
	bar, plate := list[0], list[1]
	if majorOf(bar).Form != design.LingualBar || majorOf(plate).Form != design.LingualPlate {
		t.Fatalf("%s, %s", bar.Kind, plate.Kind)
	}
	if !(plate.Measures["margin_cover"].Value > 2*bar.Measures["margin_cover"].Value) || !(plate.Judged.Measures > bar.Judged.Measures) {
		t.Errorf("a plate covers %v at %v points, a bar %v at %v", plate.Measures["margin_cover"], plate.Judged.Measures, bar.Measures["margin_cover"], bar.Judged.Measures)
	}
	for _, p := range list {
		for _, name := range []string{"support_area", "indirect_ratio", "retention_balance", "margin_cover", "parts", "clasps"} {
			if _, ok := p.Measures[name]; !ok {
				t.Errorf("%s has no %s", p.Kind, name)
			}
		}
		if j := p.Judged; j.Measures < 0 || j.Measures > forSupport+forIndirect+forBalance+2*forCover+perPart*60 {
			t.Errorf("%s: measures weigh %v", p.Kind, j.Measures)
		}
	}
}

func mustBook(t *testing.T, profile string) *rulebook.Book {
	t.Helper()
	b, err := rulebook.Open(profile)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// With one side of the arch empty an incisor ends the row: it carries a rest, and a premolar
// and molars of the side that stands hold the denture (ABT-07: incisors are spared clasps).
// No arm passes between front teeth that touch: the contact is kept (RST-22, by textbook
// notes on rests), and an embrasure is cut in posterior teeth only (EMB-01).
func TestOneSideEmpty(t *testing.T) {
	for _, profile := range rulebook.Profiles {
		p := propose(t, profile, "upper; missing 17,16,15,14,13,12,11; vestibule=9; 23 disto-facial .3 mid-facial .3; 26 mesio-facial .3; 27 disto-facial .3")[0]
		if claspOn(p, 21).Form != design.ClaspNone || restsOn(p, 21) == "" {
			t.Errorf("%s: 21 has %s and rests %q", profile, claspOn(p, 21).Form, restsOn(p, 21))
		}
		if claspOn(p, 23).Form != design.ClaspNone {
			t.Errorf("%s: the arm on 23 would pass between 22 and 23: %s", profile, p.Kind)
		}
		if n := len(p.Design.Of(design.Retainer)); n < 2 || claspOn(p, 27).Form == design.ClaspNone {
			t.Errorf("%s: %d clasps: %s", profile, n, p.Kind)
		}
		if p.Report.Stops() > 0 {
			t.Errorf("%s: the first proposal has stops", profile)
		}
	}
}

// With all teeth on one side, two clasps hold as far apart as the row allows (three are
// usual for a Class II; the second of the dentate side cannot be had elsewhere).
func TestOneSideEmptyBehindAPremolar(t *testing.T) {
	for _, profile := range rulebook.Profiles {
		for _, chart := range []string{
			"upper; missing 17,16,15,14,13,12,11,21,22,23,24; vestibule=9",
			"lower; missing 47,46,45,44,43,42,41,31,32; vestibule=9; floor=10",
		} {
			p := propose(t, profile, chart)[0]
			first, last := tooth.Number(0), tooth.Number(0)
			for _, r := range p.Design.Of(design.Retainer) {
				if r.Form == design.ClaspNone {
					continue
				}
				if first == 0 || r.Tooth.Place() < first.Place() {
					first = r.Tooth
				}
				if r.Tooth.Place() > last.Place() {
					last = r.Tooth
				}
			}
			if last.Place() != 7 || first.Place() > 5 {
				t.Errorf("%s, %s: the clasps stand on %d to %d: %s", profile, chart, first, last, p.Kind)
			}
			for _, d := range p.Decisions {
				if strings.Contains(d.String(), "none of the teeth may be clasped") {
					t.Errorf("%s: %s, where no tooth stands", profile, d)
				}
			}
		}
	}
}

// A tooth that its row gives a rest only, and that gets a clasp because its side would have
// none, is not said to have none.
func TestAClaspAfterAll(t *testing.T) {
	seen := 0
	for _, profile := range rulebook.Profiles {
		p := propose(t, profile, "lower; missing 34,36,37,44,45,46,47; floor=10 vestibule=9")[0]
		for _, r := range p.Design.Of(design.Retainer) {
			if why, _ := p.Why(r.ID); why.Rule != "CMB-02" || r.Form == design.ClaspNone {
				continue
			}
			seen++
			for _, rest := range p.Design.On(design.Rest, r.Tooth) {
				if why, _ := p.Why(rest.ID); strings.Contains(why.Because.String(), "No clasp") {
					t.Errorf("%s: %s is clasped, and its rest says: %s", profile, r.Tooth, why.Because)
				}
			}
			if strings.Contains(p.Kind.String(), r.Tooth.String()+" rest only") {
				t.Errorf("%s: %s is clasped, and the design is called %s", profile, r.Tooth, p.Kind)
			}
		}
	}
	if seen == 0 {
		t.Error("no side wanted a clasp beyond its rows")
	}
}

// A pontic stands, so it bounds a space and may carry a rest; it has no root, so it carries
// no clasp, and nothing is cut into enamel that it has not.
func TestAPonticCarriesNoClasp(t *testing.T) {
	for _, profile := range rulebook.Profiles {
		for _, chart := range []string{
			"lower; missing 35,36,37; 45 state=pontic; floor=10 vestibule=9",
			"lower; missing 35,36; 34 state=pontic; floor=10 vestibule=9",
			"upper; missing 16,25,26; 15 state=pontic; 27 state=pontic; vestibule=9",
		} {
			p := propose(t, profile, chart)[0]
			for _, r := range p.Design.Of(design.Retainer) {
				if r.Form != design.ClaspNone && (r.Tooth == 45 || r.Tooth == 15 || r.Tooth == 27 || r.Tooth == 34 && strings.Contains(chart, "34 state=pontic")) {
					t.Errorf("%s, %s: %s clasps a pontic", profile, chart, r.ID)
				}
			}
			for _, i := range p.Preparations.Items {
				if i.Material == "enamel" && (i.Tooth == 45 || i.Tooth == 15 || i.Tooth == 27) {
					t.Errorf("%s, %s: %s on %d cuts enamel", profile, chart, i.Operation, i.Tooth)
				}
			}
		}
	}
}

// A rest on a canine that stands too near to the fulcrum line to serve alone is not said to
// make the clasps act while incisors are asked for because nothing stands far enough in
// front: the reasons of one design do not contradict one another.
func TestReasonsOfIndirectRetainersAgree(t *testing.T) {
	seen := 0
	for _, chart := range []string{
		"upper; missing 15,16,17,25,26,27; vestibule=9; 14 mid-facial .25; 24 mid-facial .25",
		"upper; missing 14,15,16,17,24,25,26,27; vestibule=9; 13 mid-facial .25; 23 mid-facial .25",
	} {
		for _, profile := range rulebook.Profiles {
			for _, p := range propose(t, profile, chart) {
				alone, together := false, false
				for _, r := range p.Reasons {
					text := r.Because.In(words.English)
					together = together || strings.Contains(text, "two incisors together do")
					alone = alone || r.Rule == "IND-13" && strings.Contains(text, "so that the clasps act")
				}
				if together {
					seen++
				}
				if alone && together {
					t.Errorf("%s, %s: a canine serves, and no canine stands far enough in front: %s", profile, chart, p.Kind)
				}
			}
		}
	}
	if seen == 0 {
		t.Error("no design asked for incisors")
	}
}
