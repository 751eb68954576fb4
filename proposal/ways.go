package proposal

import (
	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// ways are the decisions that would open a design free of stops where the mouth as it
// stands allows none. Each was tried on the changed chart: only what leads to such a design
// is named.
func (s *search) ways(d draft) []words.Text {
	c := s.in.Chart
	var out []words.Text
	try := func(say words.Text, change func(map[tooth.Number]chart.Tooth)) bool {
		other := c
		other.Teeth = map[tooth.Number]chart.Tooth{}
		for n, t := range c.Teeth {
			other.Teeth[n] = t
		}
		change(other.Teeth)
		if s.opens(other) {
			out = append(out, say)
			return true
		}
		return false
	}
	if d.Seen.CastIs == unit.Measured {
		for _, b := range d.Design.Of(design.Base) {
			for _, n := range b.Teeth {
				if c.State(n) == chart.Extract {
					out = append(out, words.Tell("Scan again after the extraction of %v, or trim it off the cast: no base can be laid where the scan still shows the tooth.", n))
				}
			}
		}
	}
	yes, no := true, false
	for _, n := range tooth.All(c.Arch) {
		t := c.Teeth[n]
		switch {
		case !c.Stands(n):
		case t.Abutment != nil && !*t.Abutment:
			try(words.Tell("Let %v serve as an abutment, which the chart rules out.", n), func(m map[tooth.Number]chart.Tooth) {
				t.Abutment = &yes
				m[n] = t
			})
		case t.Prognosis == "hopeless":
			// nothing is built on it
		case rulebook.Unfit(s.book, c, n):
			try(words.Tell("Treat %v until it can carry a rest (periodontal therapy, splint), if that can be done.", n), func(m map[tooth.Number]chart.Tooth) {
				t.Mobility = nil
				m[n] = t
			})
		}
	}
	for _, a := range s.class.Areas {
		if a.Kind != arch.Extension {
			continue
		}
		var end tooth.Number // the rearmost place an implant is set in
		for _, n := range a.Teeth {
			if n.Place() <= 7 && n.Place() > end.Place() {
				end = n
			}
		}
		try(words.Tell("An implant at %v: the base is then held at both ends.", end), func(m map[tooth.Number]chart.Tooth) {
			m[end] = chart.Tooth{State: chart.Implant}
		})
		try(words.Tell("Leave the space %v without replacement (shortened arch).", words.Teeth(a.Teeth)), func(m map[tooth.Number]chart.Tooth) {
			for _, n := range a.Teeth {
				t := m[n]
				t.Replace = &no
				m[n] = t
			}
		})
	}
	fit := 0
	for _, n := range tooth.All(c.Arch) {
		if s.fit(n) {
			fit++
		}
	}
	if fit < 3 {
		out = append(out, words.Tell("With one or two teeth that can carry, a complete denture over kept roots is the usual treatment."))
	}
	return out
}

// opens tells whether a changed chart has a design that no stop holds up.
func (s *search) opens(c chart.Chart) bool {
	class, err := arch.Classify(c.Pattern(s.book.Strict()))
	if err != nil || class.Class == arch.None {
		return false
	}
	in := s.in
	in.Chart = c
	t := &search{in: in, class: class, book: s.book, frame: s.frame, wire: s.wire, most: 12, shown: rulebook.Scanned(s.book, c, in.Tissues, in.Spread)}
	if !t.anyFit() {
		return false
	}
	list := t.drafts()
	return list[0].Report.Stops() == 0 && len(list[0].Design.Of(design.Base)) > 0
}
