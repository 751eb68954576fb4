package rulebook

import (
	"fmt"
	"sort"

	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Report is what the rulebook has to say about a case.
type Report struct {
	Findings   []Finding // stops first, then by rule and place; checks not done last
	Checked    int       // checks that had all they needed
	NotChecked int       // checks that lacked something on at least one thing
	Faults     []string  // rules that could not be worked out; each is not checked as well
}

// Stops counts the findings that stop the design: failed, not merely borderline.
func (r Report) Stops() int { return r.count(Stop) }

// Cautions counts the failed findings of that weight.
func (r Report) Cautions() int { return r.count(Caution) }

func (r Report) count(s Severity) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == s && f.Status == Failed {
			n++
		}
	}
	return n
}

// Check asks every rule of the book about the facts.
func (b *Book) Check(in Input) Report { return b.Judge(Gather(b, in)) }

// Judge asks every rule of the book about facts already gathered.
func (b *Book) Judge(facts *Facts) Report {
	var r Report
	for _, c := range b.Checks {
		if c.Off {
			continue
		}
		found, missing := b.ask(c, facts, &r)
		r.Findings = append(r.Findings, found...)
		if missing == nil {
			r.Checked++
			continue
		}
		r.NotChecked++
		r.Findings = append(r.Findings, *missing)
	}
	order := map[Severity]int{Stop: 0, Caution: 1, Note: 2}
	sort.SliceStable(r.Findings, func(i, j int) bool {
		a, z := r.Findings[i], r.Findings[j]
		if (a.Status == NotChecked) != (z.Status == NotChecked) {
			return z.Status == NotChecked
		}
		if a.Status != NotChecked && a.Severity != z.Severity {
			return order[a.Severity] < order[z.Severity]
		}
		if a.Rule != z.Rule {
			return a.Rule < z.Rule
		}
		if x, y := a.Place.Tooth.Index(), z.Place.Tooth.Index(); x != y {
			return x < y
		}
		return a.Place.Part < z.Place.Part
	})
	return r
}

// ask puts one check to every subject. What could not be decided comes back as one
// finding for the check, naming the things and the facts it lacked.
func (b *Book) ask(c *Check, facts *Facts, r *Report) (found []Finding, missing *Finding) {
	subjects := facts.Subjects[c.Over]
	if c.Over == OverCase {
		subjects = []Subject{{Scope: facts.Case}}
	}
	lack := map[string]bool{}
	var at []Subject
	for _, s := range subjects {
		f, lacked, err := b.askOne(c, s)
		if err != nil {
			r.Faults = append(r.Faults, fmt.Sprintf("%s: %v", c.ID, err))
			lacked = []string{workingRule}
		}
		if f != nil {
			found = append(found, *f)
		}
		if len(lacked) > 0 {
			for _, l := range lacked {
				lack[l] = true
			}
			at = append(at, s)
		}
	}
	if len(at) == 0 {
		return found, nil
	}
	f := Finding{Rule: c.ID, Severity: c.Grades[0].Severity, Status: NotChecked, Why: c.Why.With(), Sources: c.Sources, Asked: b.asked(c, c.Grades[0], nil), Missing: sortedKeys(lack)}
	if len(at) == 1 {
		f.Place = at[0].Place
	}
	var names []words.Text
	for _, n := range f.Missing {
		names = append(names, FactLabel(n).With())
	}
	lacking := words.Join("; ", names...)
	f.Message = words.NotCheckedFor.With(c.Title, lacking)
	if c.Over != OverCase {
		var labels []words.Text
		for _, s := range at {
			labels = append(labels, s.Label)
		}
		if len(labels) > 4 {
			labels = append(labels[:3], words.More.With(len(labels)-3))
		}
		f.Message = words.NotCheckedAt.With(c.Title, words.Listed(labels...), lacking)
	}
	f.Remedy = words.MeasureIt.With()
	return found, &f
}

// askOne puts a check to one subject: a finding when it fails or is borderline, the facts
// that were lacking when it could not be decided, neither when it passes or does not apply.
func (b *Book) askOne(c *Check, s Subject) (*Finding, []string, error) {
	if c.fault != nil {
		return nil, nil, c.fault
	}
	if c.when != nil {
		switch o := c.when.eval(s.Scope, b.values); {
		case o.fault != nil:
			return nil, nil, o.fault
		case o.no():
			return nil, nil, nil
		case !o.known():
			return nil, o.missing, nil
		}
	}
	var value outcome
	var quantity *unit.Quantity
	if c.value != nil {
		value = c.value.eval(s.Scope, b.values)
		if value.fault != nil {
			return nil, nil, value.fault
		}
		if value.known() {
			q := c.quantity(s.Scope, value.float())
			quantity = &q
		}
	}
	var lacked []string
	var near *Grade
	var nearLimit float64
	nearFails := false
	for i := range c.Grades {
		g := &c.Grades[i]
		if g.when != nil {
			o := g.when.eval(s.Scope, b.values)
			if o.fault != nil {
				return nil, nil, o.fault
			}
			if o.no() {
				continue
			}
			if !o.known() {
				lacked = append(lacked, o.missing...)
				continue
			}
		}
		if g.fails != nil {
			o := g.fails.eval(s.Scope, b.values)
			switch {
			case o.fault != nil:
				return nil, nil, o.fault
			case o.yes():
				status := Failed
				for _, n := range g.fails.refs {
					if v, ok := s.Lookup(n); ok && v.Origin == unit.Average {
						status = Borderline
					}
				}
				f := b.finding(c, *g, s, status, quantity, nil)
				return &f, nil, nil
			case !o.known():
				lacked = append(lacked, o.missing...)
			}
			continue
		}
		if !value.known() {
			lacked = append(lacked, value.missing...)
			continue
		}
		limit := g.limit.eval(s.Scope, b.values)
		if limit.fault != nil {
			return nil, nil, limit.fault
		}
		if !limit.known() {
			lacked = append(lacked, limit.missing...)
			continue
		}
		fails, close := g.compare(*quantity, limit.float())
		if fails && !close {
			l, status := limit.float(), Failed
			if quantity.Origin == unit.Average {
				status = Borderline
			}
			f := b.finding(c, *g, s, status, quantity, &l)
			return &f, nil, nil
		}
		// Of two limits of one weight, below and above, the one that is missed is meant.
		if close && (near == nil || fails && !nearFails && g.Severity == near.Severity) {
			near, nearLimit, nearFails = g, limit.float(), fails
		}
	}
	if near != nil {
		f := b.finding(c, *near, s, Borderline, quantity, &nearLimit)
		return &f, nil, nil
	}
	return nil, lacked, nil
}

// A number that comes from averages cannot fail a limit for certain: what the average
// mouth would fail is borderline until this mouth is measured.

// tiny keeps sums of decimal fractions from failing an exact limit. A number read off a
// cast is laid and read to no better than a hundredth.
const (
	tiny     = 1e-9
	castTiny = 0.01
)

// compare tells whether a value fails the grade's limit and whether it lies within its
// spread of it.
func (g *Grade) compare(q unit.Quantity, limit float64) (fails, close bool) {
	v, spread, tiny := q.Value, q.Spread, tiny
	if q.Origin == unit.Average || q.Origin == unit.Measured {
		tiny = castTiny
	}
	switch {
	case g.Below != "":
		fails = v < limit-tiny
	case g.Above != "":
		fails = v > limit+tiny
	case g.AtLeast != "":
		fails = v >= limit-tiny
	case g.AtMost != "":
		fails = v <= limit+tiny
	}
	if spread > 0 {
		d := v - limit
		close = d <= spread+tiny && d >= -spread-tiny
	}
	return fails, close
}

// quantity is the compared number with the unit, origin and spread of the facts it was
// worked out from: the widest spread, and the least sure origin.
func (c *Check) quantity(s *Scope, v float64) unit.Quantity {
	q := unit.Quantity{Value: v, Unit: c.Unit}
	rank := map[unit.Origin]int{"": 0, unit.Measured: 1, unit.Entered: 2, unit.Computed: 3, unit.Average: 4}
	for _, n := range c.value.refs {
		f, ok := s.Lookup(n)
		if !ok {
			continue
		}
		if f.Spread > q.Spread {
			q.Spread = f.Spread
		}
		if rank[f.Origin] > rank[q.Origin] {
			q.Origin = f.Origin
		}
		if q.Unit == "" && len(c.value.refs) == 1 {
			q.Unit = f.Unit
		}
	}
	return q
}

// asked is the range a grade asks for.
func (b *Book) asked(c *Check, g Grade, limit *float64) Asked {
	a := Asked{Unit: c.Unit, Text: c.Asks.With()}
	if limit == nil && g.limit != nil {
		if o := g.limit.eval(newScope(nil), b.values); o.known() {
			v := o.float()
			limit = &v
		}
	}
	if limit != nil {
		if g.Below != "" || g.AtMost != "" {
			a.Min = limit
		} else {
			a.Max = limit
		}
	}
	if a.Text.Empty() && a.Min == nil && a.Max == nil {
		a.Text = c.Title.With()
	}
	return a
}

func (b *Book) finding(c *Check, g Grade, s Subject, status Status, q *unit.Quantity, limit *float64) Finding {
	f := Finding{Rule: c.ID, Severity: g.Severity, Status: status, Place: s.Place, Found: q, Asked: b.asked(c, g, limit), Why: c.Why.With(), Sources: c.Sources}
	f.Message, f.Remedy = b.fill(c.Message, s, c, q, limit), b.fill(c.Remedy, s, c, q, limit)
	switch {
	case status == Borderline && (q == nil || q.Origin == unit.Average):
		f.Message = words.Join(" ", f.Message, words.OnlyAverage.With())
	case status == Borderline:
		f.Message = words.Join(" ", f.Message, words.WithinSpread.With())
	}
	return f
}

// DecideRetainer finds the row of the retainer table for an abutment's facts.
func (b *Book) DecideRetainer(s *Scope) (Decision, bool) { return b.decide(b.Retainers, s) }

// DecideConnector finds the row of the connector table for an arch's facts.
func (b *Book) DecideConnector(s *Scope, a tooth.Arch) (Decision, bool) {
	var rows []Decision
	for _, r := range b.Connectors {
		if r.Arch == a {
			rows = append(rows, r)
		}
	}
	return b.decide(rows, s)
}

// decide takes the first row that is surely met; a row whose facts are lacking is passed
// over, never taken for true.
func (b *Book) decide(rows []Decision, s *Scope) (Decision, bool) {
	for _, r := range rows {
		if r.when.eval(s, b.values).yes() {
			return r, true
		}
	}
	return Decision{}, false
}
