// Package proposal drafts designs for a chart: it searches the choices that the rulebook
// allows, judges whole designs by the rulebook's findings and by measures, and says of
// every part why it is there and what was not chosen. It never judges a design itself.
package proposal

import (
	"fmt"
	"slices"
	"sort"
	"sync"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/mechanics"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/source"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Input is what a proposal follows from.
type Input struct {
	Chart     chart.Chart
	Book      *rulebook.Book
	Undercuts rulebook.Undercuts // read with a gauge or measured on the cast
	Gauged    []rulebook.Gauged  // readings by hand beside those on a scan
	Tissues   *survey.Tissues    // measured on a scan
	Spread    float64            // of lengths on the scan [mm]; 0 takes the rulebook's
	Path      *rulebook.Path
	Order     rulebook.Order
	Metal     string // of the frame; empty takes cobalt-chromium, or what an allergy allows
	Most      int    // proposals wanted; 0 takes three

	// Look lays a design on the case's cast; nil where there is none. It is called for
	// the designs that are proposed, not for all that are searched, and for two at a time.
	Look func(design.Design) (Seen, error)
}

// Seen is a design on the cast.
type Seen struct {
	Placement *placement.Placement
	CastIs    unit.Origin
	Spread    float64
	Forces    *rulebook.Forces
	Mechanics *mechanics.Report // nil where it was not reckoned
}

// Rejection is what else could have been chosen, and why it was not.
type Rejection struct {
	Form    words.Text
	Because words.Text
}

// Reason says why a part is there.
type Reason struct {
	Part     design.ID
	Rule     rulebook.RuleID
	Because  words.Text
	Sources  []source.Ref
	Rejected []Rejection
	Assumed  []words.Text // what was not known and taken for granted
}

// Proposal is one whole design with its reasons.
type Proposal struct {
	Rank         int
	Profile      string
	Kind         words.Text // how it differs from the others, in a line
	Class        arch.Result
	Design       design.Design
	Reasons      []Reason
	Report       rulebook.Report
	Preparations prep.Plan
	Measures     map[string]unit.Quantity
	Judged       Judged
	Decisions    []words.Text // what the dentist has to decide or prepare first
	Ways         []words.Text // where a stop stays: what would open a design without one
	Seen         Seen
}

// Why finds the reason of a part.
func (p Proposal) Why(id design.ID) (Reason, bool) {
	for _, r := range p.Reasons {
		if r.Part == id {
			return r, true
		}
	}
	return Reason{}, false
}

// Propose drafts designs, best first. It is an error when there is nothing to design:
// no tooth left, or no space to restore.
func Propose(in Input) ([]Proposal, error) {
	if in.Book == nil {
		b, err := rulebook.Open("")
		if err != nil {
			return nil, words.Errorf("drafting a design: %v", err)
		}
		in.Book = b
	}
	if problems := in.Chart.Validate(); len(problems) > 0 {
		return nil, words.Errorf("drafting a design: the chart contradicts itself: %s: %s", problems[0].Field, problems[0].Text)
	}
	class, err := arch.Classify(in.Chart.Pattern(in.Book.Strict()))
	if err != nil {
		return nil, words.Errorf("drafting a design: %v", err)
	}
	if class.Class == arch.None {
		return nil, words.Errorf("drafting a design: a partial denture needs teeth left and a space to restore: %s", class.Notes[len(class.Notes)-1])
	}
	s := &search{in: in, class: class, book: in.Book, most: evaluated}
	if !s.anyFit() {
		return nil, words.Errorf("drafting a design: none of the standing teeth can carry a part: every one is hopeless, loose beyond use or marked as no abutment")
	}
	s.shown = rulebook.Scanned(s.book, in.Chart, in.Tissues, in.Spread)
	s.metals()
	s.reach = s.fullReach()
	most := in.Most
	if most <= 0 {
		most = 3
	}
	all := s.drafts()
	drafts := anotherWayIn(differing(all, len(all)), most)
	drafts = drafts[:min(len(drafts), max(most, 2*lookedAt))]
	if in.Look != nil {
		if drafts, err = s.lookAt(drafts, rival(all), most); err != nil {
			return nil, err
		}
	}
	if len(drafts) > most {
		drafts = drafts[:most]
	}
	if len(drafts) > 0 && drafts[0].Report.Stops() > 0 {
		drafts[0].Ways = s.ways(drafts[0])
	}
	var out []Proposal
	for i, d := range drafts {
		d.Rank = i + 1
		out = append(out, d.Proposal)
	}
	return out, nil
}

// lookedAt is how many designs are laid on the cast at most; twice as many while every one
// is stopped there.
const lookedAt = 8

// rival is the draft of the first one's kind whose indirect retainers stand farther from
// the fulcrum line and which comes so near that the cast has to decide; nil where there is
// none.
func rival(all []draft) *draft {
	var best *draft
	far := all[0].Measures["indirect_ratio"].Value
	for i, d := range all {
		if r := d.Measures["indirect_ratio"].Value; d.key == all[0].key && d.score <= all[0].score+nearRival && r > far+0.05 {
			best, far = &all[i], r
		}
	}
	return best
}

// nearRival is how many points a rival may be behind: two cautions, as many as the spacing
// of struts on two sides, which average crowns may get wrong.
const nearRival = 2 * perCaution

// lookAt lays drafts on the cast and judges them there: as many kinds as are wanted that
// no stop holds up, and no more than lookedAt. What the cast stops is mended where it can
// be, and what it says against the first is answered if that is the better design.
func (s *search) lookAt(drafts []draft, rival *draft, most int) ([]draft, error) {
	looks := 0
	look := func(list ...*draft) error {
		looks += len(list)
		return s.look(list)
	}
	var clear, stopped []draft
	kinds := map[string]bool{}
	keep := func(d draft) error {
		asked := d
		for range 5 {
			next, ok := s.mend(d)
			if d.Report.Stops() == 0 || !ok || looks >= lookedAt && len(clear) > 0 || looks >= 2*lookedAt {
				break
			}
			d = s.draft(next)
			if kinds[d.key] {
				// Mended it is a kind that is there already: it is shown with its stop.
				if !kinds[asked.key] {
					kinds[asked.key] = true
					stopped = append(stopped, asked)
				}
				return nil
			}
			if err := look(&d); err != nil {
				return err
			}
		}
		kinds[d.key] = true
		if d.Report.Stops() > 0 {
			stopped = append(stopped, d)
			return nil
		}
		if next, ok := s.better(d); ok && len(clear) == 0 {
			other := s.draft(next)
			if err := look(&other); err != nil {
				return err
			}
			if other.score < d.score && other.key == d.key {
				d = other
			}
		}
		clear = append(clear, d)
		return nil
	}
	first := drafts[0]
	if rival == nil {
		if err := look(&first); err != nil {
			return nil, err
		}
	} else {
		if err := look(&first, rival); err != nil {
			return nil, err
		}
		if rival.score < first.score {
			first = *rival
		}
	}
	if err := keep(first); err != nil {
		return nil, err
	}
	for rest := drafts[1:]; len(rest) > 0 && len(clear) < most && (looks < lookedAt || len(clear) == 0 && looks < 2*lookedAt); {
		var batch []*draft
		for len(rest) > 0 && len(batch) < min(2, most-len(clear)) {
			if d := rest[0]; !kinds[d.key] {
				batch = append(batch, &d)
			}
			rest = rest[1:]
		}
		if err := look(batch...); err != nil {
			return nil, err
		}
		for _, d := range batch {
			if kinds[d.key] {
				continue
			}
			if err := keep(*d); err != nil {
				return nil, err
			}
		}
	}
	out := append(clear, stopped...)
	s.weigh(out)
	sortDrafts(out)
	return out, nil
}

// look lays designs on the cast side by side and judges them there.
func (s *search) look(list []*draft) error {
	seen, errs := make([]Seen, len(list)), make([]error, len(list))
	var wait sync.WaitGroup
	for i, d := range list {
		wait.Go(func() {
			// A fault in laying one design must not take the program down with it.
			defer func() {
				if r := recover(); r != nil {
					errs[i] = fmt.Errorf("laying %s broke off: %v", d.Kind, r)
				}
			}()
			seen[i], errs[i] = s.in.Look(d.Design)
		})
	}
	wait.Wait()
	for i, d := range list {
		if errs[i] != nil {
			return words.Errorf("laying a drafted design on the cast: %v", errs[i])
		}
		s.judge(d, seen[i])
	}
	return nil
}

// draft is a proposal in the making.
type draft struct {
	Proposal
	plan  plan
	steps float64 // down the school's lists
	score float64
	key   string
}

func sortDrafts(d []draft) {
	sort.SliceStable(d, func(i, j int) bool {
		if d[i].score != d[j].score {
			return d[i].score < d[j].score
		}
		return d[i].key < d[j].key
	})
}

// differing keeps the best draft of each kind.
func differing(in []draft, most int) []draft {
	var out []draft
	seen := map[string]bool{}
	for _, d := range in {
		if seen[d.key] {
			continue
		}
		seen[d.key] = true
		if out = append(out, d); len(out) == most {
			break
		}
	}
	return out
}

// anotherWayIn puts the best draft that seats on a rotational path last of those that are
// shown, where the school's list has such a choice and all before it go straight in: it
// differs more in kind than one more clasp does.
func anotherWayIn(list []draft, shown int) []draft {
	turns := func(d draft) bool { return slices.ContainsFunc(d.Design.Parts, design.Part.SeatsFirst) }
	i := slices.IndexFunc(list, turns)
	if shown < 3 || i < shown {
		return list
	}
	out := slices.Insert(slices.Clone(list[:i]), shown-1, list[i])
	return append(out, list[i+1:]...)
}

// search holds what stays the same over all drafts of one case.
type search struct {
	in    Input
	class arch.Result
	book  *rulebook.Book
	frame string // metal of the frame and the cast arms
	wire  string // metal of wrought arms
	metal []words.Text

	shown  chart.Chart // with what a scan shows of the tissue beside the teeth
	posts  []*post
	groups [][]*post             // posts that change together
	spared map[tooth.Number]bool // left without a clasp because four hold already
	row    rulebook.Decision
	fits   []link
	unfits []Rejection
	most   int     // drafts that are judged at most
	reach  float64 // greatest support area the fit teeth allow [mm²]
}

func (s *search) fit(n tooth.Number) bool {
	return n != 0 && s.in.Chart.Stands(n) && !rulebook.Unfit(s.book, s.in.Chart, n) && s.counted(n)
}

// holds tells whether a tooth may carry a clasp as far as the chart goes: a fit one with a
// root of its own.
func (s *search) holds(n tooth.Number) bool { return s.fit(n) && s.in.Chart.State(n) != chart.Pontic }

// counted tells whether a tooth belongs to the row that is classified: a third molar that
// is no abutment does not.
func (s *search) counted(n tooth.Number) bool {
	a := s.in.Chart.Teeth[n].Abutment
	return n.Kind() != tooth.ThirdMolar || a == nil || *a
}

func (s *search) anyFit() bool {
	for _, n := range tooth.All(s.in.Chart.Arch) {
		if s.fit(n) {
			return true
		}
	}
	return false
}

// metals chooses the frame's metal and the wire: cobalt-chromium and steel, unless the
// patient does not bear what they hold.
func (s *search) metals() {
	allergic := func(material string) bool {
		for _, e := range rulebook.Elements(material) {
			for _, a := range s.in.Chart.Patient.Allergies {
				if a == e || a == "chrome" && e == "chromium" {
					return true
				}
			}
		}
		return false
	}
	pick := func(list ...string) string {
		for _, m := range list {
			if !allergic(m) {
				return m
			}
		}
		return list[len(list)-1]
	}
	s.frame = s.in.Metal
	if s.frame == "" {
		s.frame = pick("co-cr-cast", "ti-6al-7nb", "gold-iv", "peek")
	}
	s.wire = pick("wrought-wire-steel", "wrought-wire-pgp")
	for _, a := range s.in.Chart.Patient.Allergies {
		if a == "nickel" {
			s.metal = append(s.metal, words.Tell("nickel allergy: an alloy that its maker states to be free of nickel, and a noble wire"))
		} else if s.frame != "co-cr-cast" {
			s.metal = append(s.metal, words.Tell("allergy to %v: %v instead of cobalt-chromium", words.Code{Group: "allergy", Code: a}, words.Code{Group: "material", Code: s.frame}))
		}
	}
}
