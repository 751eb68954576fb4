package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strings"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/placement"
	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/source"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/web/api"
	"halfpear/words"
	"halfpear/workflow"
)

// study gives the case with its cast and survey, made of what lies on the shelves.
func (s *Server) study(ctx context.Context, c casebook.Case) (*workflow.Study, error) {
	book, err := rulebook.Open(c.Profile)
	if err != nil {
		return nil, shown{err}
	}
	class, err := workflow.Classify(c.Chart, book.Strict())
	if err != nil {
		return nil, shown{err}
	}
	if class.Class == arch.None {
		return nil, refusef(http.StatusConflict, "there is nothing to design: the %s arch has %s; a partial denture needs teeth that carry it and a gap to fill: mark both in the chart", archWord(c.Chart.Arch), class)
	}
	m, err := s.mount(ctx, c)
	if err != nil {
		return nil, err
	}
	if !m.whole {
		return nil, refusef(http.StatusConflict, "the scan cannot be designed on yet: %v", m.trouble)
	}
	path := survey.PathFromTilt(c.Chart.Arch, c.Survey.AnteriorDeg, c.Survey.RightDeg)
	along, err := s.surveyed(ctx, m, path)
	if err != nil {
		return nil, err
	}
	vertical := along
	if path.TiltDeg() > 1e-6 {
		if vertical, err = s.surveyed(ctx, m, survey.PathFromTilt(c.Chart.Arch, 0, 0)); err != nil {
			return nil, err
		}
	}
	return &workflow.Study{Case: c, Book: book, Class: class, Cast: m.cast, Notes: m.report,
		Surveyed: workflow.Surveyed{Path: path, Along: along.Survey, Vertical: vertical.Survey, Crowns: along.crowns, Tissues: along.tissues(), Tripod: along.tripod()}}, nil
}

// contentKey names everything that a design follows from and is judged by.
func contentKey(c casebook.Case) (string, error) {
	c.ID, c.Title = "", ""
	doc, err := casefile.Write(c)
	if err != nil {
		return "", err
	}
	return keyed(castKey(c), string(doc)), nil
}

// planned lays, reckons, prepares and checks the design that the case holds.
func (s *Server) planned(ctx context.Context, c casebook.Case) (*workflow.Plan, error) {
	if c.Design == nil || len(c.Design.Parts) == 0 {
		return nil, refusef(http.StatusConflict, "the case has no design yet")
	}
	judged := c
	judged.SetAside = nil // what was set aside changes no finding
	key, err := contentKey(judged)
	if err != nil {
		return nil, err
	}
	return take(ctx, s.bench.plans, key, func(ctx context.Context) (*workflow.Plan, error) {
		st, p, err := s.laidCase(ctx, c)
		if err != nil {
			return nil, err
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		tell(ctx, "check", 0, 0)
		plan, err := st.PlanLaid(*c.Design, p)
		if err != nil {
			return nil, shown{err}
		}
		return plan, nil
	})
}

func (s *Server) proposals(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	list, err := s.proposed(r.Context(), c)
	if err != nil {
		return nil, err
	}
	out := api.Proposals{Class: list[0].Class.String(), Proposals: []api.Proposal{}}
	for _, p := range list {
		ap := proposalOf(p, reader(r, c))
		ap.Apart = apart(list[0].Design, p.Design)
		out.Proposals = append(out.Proposals, ap)
	}
	return out, nil
}

// proposed drafts designs for a case, best first; there is at least one.
func (s *Server) proposed(ctx context.Context, c casebook.Case) ([]proposal.Proposal, error) {
	c.Design, c.SetAside = nil, nil // neither changes what is proposed
	key, err := contentKey(c)
	if err != nil {
		return nil, err
	}
	return take(ctx, s.bench.proposals, key, func(ctx context.Context) ([]proposal.Proposal, error) {
		st, err := s.study(ctx, c)
		if err != nil {
			return nil, err
		}
		tell(ctx, "propose", 0, 0)
		list, err := st.Propose(ctx, 3, func(looked int) { tell(ctx, "propose", 0, looked) })
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil:
			return nil, shown{err}
		case len(list) == 0:
			return nil, refusef(http.StatusConflict, "the rules propose nothing for this chart")
		}
		return list, nil
	})
}

func proposalOf(p proposal.Proposal, l words.Lang) api.Proposal {
	out := api.Proposal{Rank: p.Rank, Profile: p.Profile, Title: p.Kind.In(l), Parts: casefile.Parts(p.Design), Reasons: []api.Reason{}, Findings: findings(p.Report, nil, l),
		Stops: p.Report.Stops(), Cautions: p.Report.Cautions(), Measures: []api.Measured{}, Apart: []string{}, Decide: []string{}, Laid: []api.LaidPart{}}
	for _, d := range p.Decisions {
		out.Decide = append(out.Decide, d.In(l))
	}
	for _, r := range p.Reasons {
		ar := api.Reason{Part: string(r.Part), Rule: string(r.Rule), Because: r.Because.In(l), Sources: sources(r.Sources), Rejected: []api.Rejected{}}
		for _, x := range r.Rejected {
			ar.Rejected = append(ar.Rejected, api.Rejected{Form: x.Form.In(l), Because: x.Because.In(l)})
		}
		out.Reasons = append(out.Reasons, ar)
	}
	teeth := map[tooth.Number]bool{}
	for _, i := range p.Preparations.Items {
		teeth[i.Tooth] = true
	}
	out.Prepared = len(teeth)
	for _, d := range p.Ways {
		out.Decide = append(out.Decide, words.OpensTheWay.With(d).In(l))
	}
	for _, name := range proposal.MeasureNames {
		if q, ok := p.Measures[name]; ok {
			out.Measures = append(out.Measures, measured(name, words.Term(l, "measure", name), q))
		}
	}
	num := func(v float64) unit.Quantity { return unit.Quantity{Value: v, Origin: unit.Computed} }
	out.Measures = append(out.Measures, measured("points", words.PointsWeighed.In(l), num(p.Judged.Points())))
	if p.Seen.Placement != nil {
		out.Laid = laidParts(p.Seen.Placement, l)
	}
	return out
}

// apart names the parts whose kind and place the first design has in another form, or not
// at all.
func apart(first, other design.Design) []string {
	same := map[string]bool{}
	name := func(p design.Part) string {
		return fmt.Sprint(p.Kind, p.Tooth, p.Teeth, p.At, p.Form, p.Site, p.Surface, p.Material, p.Attachment)
	}
	for _, p := range first.Parts {
		same[name(p)] = true
	}
	out := []string{}
	for _, p := range other.Parts {
		if !same[name(p)] {
			out = append(out, string(p.ID))
		}
	}
	return out
}

func measured(name, label string, q unit.Quantity) api.Measured {
	if label == name {
		label = strings.ReplaceAll(name, "_", " ")
	}
	return api.Measured{Name: name, Label: label, Value: math.Round(q.Value*1000) / 1000, Unit: q.Unit, Spread: q.Spread, Origin: string(q.Origin)}
}

func sources(refs []source.Ref) []api.Source {
	out := []api.Source{}
	for _, r := range refs {
		out = append(out, api.Source{Key: r.Key, Cite: r.Cite, Mark: string(r.Mark), Grade: r.Grade})
	}
	return out
}

func findings(r rulebook.Report, aside []casebook.SetAside, l words.Lang) []api.Finding {
	out := []api.Finding{}
	for _, f := range r.Findings {
		af := api.Finding{Rule: string(f.Rule), Severity: string(f.Severity), Status: string(f.Status), Tooth: int(f.Place.Tooth), Surface: string(f.Place.Surface),
			Part: string(f.Place.Part), Asked: askedText(f.Asked, l), Message: f.Message.In(l), Why: f.Why.In(l), Sources: sources(f.Sources), Remedy: f.Remedy.In(l), Missing: []string{}}
		for _, name := range f.Missing {
			af.Missing = append(af.Missing, rulebook.FactLabel(name).In(l))
		}
		if f.Found != nil {
			af.Found = words.Amount{Value: f.Found.Value, Unit: f.Found.Unit}.In(l)
			if f.Found.Spread > 0 {
				af.Found += " ± " + words.Number(l, f.Found.Spread, 2)
			}
			if f.Found.Origin != "" {
				af.Found += " (" + words.Term(l, "origin", string(f.Found.Origin)) + ")"
			}
		}
		for _, a := range aside {
			if a.Rule == f.Rule && (a.Place.Tooth == 0 || a.Place.Tooth == f.Place.Tooth) && (a.Place.Surface == "" || a.Place.Surface == f.Place.Surface) &&
				(a.Place.Part == "" || a.Place.Part == f.Place.Part) && (f.Severity != rulebook.Stop || a.By != "") {
				af.Aside, af.AsideBy = a.Reason, a.By
			}
		}
		out = append(out, af)
	}
	return out
}

func askedText(a rulebook.Asked, l words.Lang) string {
	amount := func(v *float64) words.Amount { return words.Amount{Value: *v, Unit: a.Unit} }
	var text words.Text
	switch {
	case a.Min != nil && a.Max != nil:
		text = words.FromTo.With(amount(a.Min), amount(a.Max))
	case a.Min != nil:
		text = words.AtLeast.With(amount(a.Min))
	case a.Max != nil:
		text = words.AtMost.With(amount(a.Max))
	}
	return words.Join("; ", text, a.Text).In(l)
}

// measureLabel names a measure for people.
func measureLabel(name string, l words.Lang) string {
	if words.HasTerm("measure", name) {
		return words.Term(l, "measure", name)
	}
	return placement.Label(name)
}

func (s *Server) findings(_ http.ResponseWriter, r *http.Request) (any, error) {
	c, _, err := s.load(r)
	if err != nil {
		return nil, err
	}
	p, err := s.planned(r.Context(), c)
	if err != nil {
		return nil, err
	}
	out := api.Judged{Findings: findings(p.Report, c.SetAside, reader(r, c)), Checked: p.Report.Checked, NotChecked: p.Report.NotChecked}
	for _, f := range out.Findings {
		if f.Aside == "" && f.Status == string(rulebook.Failed) {
			switch f.Severity {
			case string(rulebook.Stop):
				out.Stops++
			case string(rulebook.Caution):
				out.Cautions++
			}
		}
	}
	return out, nil
}
