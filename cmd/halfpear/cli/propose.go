package cli

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"halfpear/encoding/casefile"
	"halfpear/internal/atomicfile"
	"halfpear/prep"
	"halfpear/proposal"
	"halfpear/words"
)

type proposeOptions struct {
	profile string
	n       int
	out     string
}

func newPropose(c *console) *cobra.Command {
	o := proposeOptions{}
	cmd := &cobra.Command{
		Use:   "propose CASE",
		Short: "Draft designs for a case, best first, with a reason for every part",
		Long: `Draft designs for a case: best first, alternatives of another kind after it. Every part has
the rule it follows, the reason, the source and what was rejected.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runPropose(cmd.Context(), c, o, args[0]) },
	}
	f := cmd.Flags()
	f.StringVar(&o.profile, "profile", "", "a shipped profile or a school's own file, instead of the case's")
	f.IntVarP(&o.n, "number", "n", 3, "most proposals")
	f.StringVarP(&o.out, "output", "o", "", "write the case with the first proposal as its design to this file")
	return cmd
}

type wireRejection struct {
	Form    string `json:"form"`
	Because string `json:"because"`
}

type wireReason struct {
	Part     string          `json:"part"`
	Rule     string          `json:"rule"`
	Because  string          `json:"because"`
	Source   string          `json:"source"`
	Sources  []wireSource    `json:"sources"`
	Rejected []wireRejection `json:"rejected"`
	Assumed  []string        `json:"assumed,omitempty"`
}

type wirePreparation struct {
	Stage     string   `json:"stage"`
	Tooth     int      `json:"tooth,omitempty"`
	Surface   string   `json:"surface,omitempty"`
	Operation string   `json:"operation"`
	Part      string   `json:"part,omitempty"`
	RemovalMM float64  `json:"removal_mm"`
	AddMM     float64  `json:"add_mm,omitempty"`
	LeastMM   float64  `json:"height_least_mm,omitempty"`
	MostMM    float64  `json:"height_most_mm,omitempty"`
	WidthMM   float64  `json:"width_mm,omitempty"`
	LengthMM  float64  `json:"length_mm,omitempty"`
	BeforeMM  float64  `json:"removed_before_mm,omitempty"`
	ReachMM   float64  `json:"height_reached_mm,omitempty"`
	AngleDeg  *float64 `json:"angle_deg,omitempty"`
	Material  string   `json:"material,omitempty"`
	EnamelMM  float64  `json:"enamel_mm,omitempty"`
	LeftMM    *float64 `json:"enamel_left_mm,omitempty"`
	Text      string   `json:"text"`
	Check     string   `json:"check,omitempty"`
	AtRisk    bool     `json:"enamel_at_risk,omitempty"`
	Cautions  []string `json:"cautions,omitempty"`
	Sources   []string `json:"sources,omitempty"`
}

// wireJudged is how a proposal was weighed, in points; fewer are better.
type wireJudged struct {
	Stops     int     `json:"stops"`
	Cautions  int     `json:"cautions"`
	Notes     int     `json:"notes"`
	Steps     float64 `json:"steps"`
	Findings  float64 `json:"for_findings"`
	School    float64 `json:"for_school"`
	Measures  float64 `json:"for_measures"`
	Mechanics float64 `json:"for_mechanics_estimated"`
	Points    float64 `json:"points"`
}

type wireProposal struct {
	Rank         int                  `json:"rank"`
	Profile      string               `json:"profile"`
	Kind         string               `json:"kind"`
	Parts        []casefile.Part      `json:"parts"`
	Reasons      []wireReason         `json:"reasons"`
	Findings     []wireFinding        `json:"findings"`
	Checked      int                  `json:"checked"`
	NotChecked   int                  `json:"not_checked"`
	Preparations []wirePreparation    `json:"preparations"`
	Decisions    []string             `json:"decisions"`
	Ways         []string             `json:"ways,omitempty"`
	Measures     map[string]wireFound `json:"measures"`
	Judged       wireJudged           `json:"judged"`
}

type proposeAnswer struct {
	Class         string         `json:"class"`
	Modifications int            `json:"modifications"`
	Proposals     []wireProposal `json:"proposals"`
}

func wirePreparations(p prep.Plan, l words.Lang) []wirePreparation {
	out := []wirePreparation{}
	for _, i := range p.Items {
		w := wirePreparation{Stage: i.Stage.String(), Tooth: int(i.Tooth), Surface: string(i.Surface), Operation: string(i.Operation), Part: string(i.For),
			RemovalMM: i.RemovalMM, AddMM: i.AddMM, Text: i.Text.In(l), Check: i.Check.In(l), AtRisk: i.AtRisk, Cautions: words.Lines(l, i.Cautions)}
		w.BeforeMM, w.ReachMM = i.BeforeMM, i.ReachMM
		w.LeastMM, w.MostMM, w.WidthMM, w.LengthMM, w.Material, w.EnamelMM = i.HeightMM[0], i.HeightMM[1], i.WidthMM, i.LengthMM, i.Material, i.EnamelMM
		if i.AngleDeg != nil {
			w.AngleDeg = &i.AngleDeg.Value
		}
		if i.EnamelMM > 0 {
			left := i.EnamelLeftMM()
			w.LeftMM = &left
		}
		for _, r := range i.Sources {
			w.Sources = append(w.Sources, r.Cite+" ["+string(r.Mark)+"]")
		}
		out = append(out, w)
	}
	return out
}

func wireOf(p proposal.Proposal, l words.Lang) wireProposal {
	w := wireProposal{Rank: p.Rank, Profile: p.Profile, Kind: p.Kind.In(l), Parts: casefile.Parts(p.Design), Reasons: []wireReason{}, Findings: wireFindings(p.Report.Findings, l),
		Checked: p.Report.Checked, NotChecked: p.Report.NotChecked, Preparations: wirePreparations(p.Preparations, l), Decisions: []string{}, Measures: map[string]wireFound{}}
	for _, d := range p.Decisions {
		w.Decisions = append(w.Decisions, d.In(l))
	}
	for _, r := range p.Reasons {
		x := wireReason{Part: string(r.Part), Rule: string(r.Rule), Because: r.Because.In(l), Rejected: []wireRejection{}, Sources: []wireSource{}}
		for _, a := range r.Assumed {
			x.Assumed = append(x.Assumed, a.In(l))
		}
		var cites []string
		for _, s := range r.Sources {
			cites = append(cites, s.Cite+" ["+string(s.Mark)+"]")
			x.Sources = append(x.Sources, wireSource{s.Key, s.Cite, string(s.Mark), s.Grade})
		}
		x.Source = strings.Join(cites, "; ")
		for _, j := range r.Rejected {
			x.Rejected = append(x.Rejected, wireRejection{j.Form.In(l), j.Because.In(l)})
		}
		w.Reasons = append(w.Reasons, x)
	}
	for _, x := range p.Ways {
		w.Ways = append(w.Ways, x.In(l))
	}
	j := p.Judged
	w.Judged = wireJudged{j.Stops, j.Cautions, j.Notes, j.Steps, j.Findings, j.School, j.Measures, j.Mechanics, j.Points()}
	for name, q := range p.Measures {
		w.Measures[name] = wireFound{q.Value, q.Unit, string(q.Origin), q.Spread}
	}
	return w
}

func runPropose(ctx context.Context, c *console, o proposeOptions, name string) error {
	if o.n < 1 {
		return usagef("-n %d: expected 1 or more", o.n)
	}
	l, s, err := c.opened(ctx, name, o.profile)
	if err != nil {
		return err
	}
	list, err := s.Propose(ctx, o.n, nil)
	if err != nil {
		return err
	}
	if o.out != "" {
		withDesign := l.c
		withDesign.Design = &list[0].Design
		if o.profile != "" {
			withDesign.Profile = o.profile
		}
		text, err := casefile.Write(withDesign)
		if err != nil {
			return fmt.Errorf("writing the case with its design: %w", err)
		}
		if err := atomicfile.WriteBytes(o.out, text); err != nil {
			return err
		}
	}
	if c.json {
		a := proposeAnswer{Class: string(s.Class.Class), Modifications: s.Class.Modifications, Proposals: []wireProposal{}}
		for _, p := range list {
			a.Proposals = append(a.Proposals, wireOf(p, c.lang))
		}
		if err := c.answer(a); err != nil {
			return err
		}
	} else {
		printProposals(c, l, c.class(s.Class), list)
	}
	if list[0].Report.Stops() > 0 {
		return stopped
	}
	return nil
}

func printProposals(c *console, l loaded, class string, list []proposal.Proposal) {
	fmt.Fprintf(c.out, "%s, %s\n", l.c.ID, class)
	for _, p := range list {
		fmt.Fprintf(c.out, "\n%s\n", words.ProposalNo.With(p.Rank, p.Profile, p.Kind).In(c.lang))
		for _, r := range p.Reasons {
			fmt.Fprintf(c.out, "  %-30s %-8s %s\n", r.Part, r.Rule, r.Because.In(c.lang))
			for _, x := range r.Rejected {
				fmt.Fprintf(c.out, "  %30s          %s\n", "", words.NotThis.With(x.Form, x.Because).In(c.lang))
			}
			for _, x := range r.Assumed {
				fmt.Fprintf(c.out, "  %30s          %s\n", "", words.TakenGranted.With(x).In(c.lang))
			}
		}
		for _, d := range p.Decisions {
			fmt.Fprintf(c.out, "  %s\n", words.ToDecide.With(d).In(c.lang))
		}
		for _, w := range p.Ways {
			fmt.Fprintf(c.out, "  %s\n", words.OpensTheWay.With(w).In(c.lang))
		}
		for _, n := range proposal.MeasureNames {
			q, ok := p.Measures[n]
			if !ok {
				continue
			}
			digits := 2
			if q.Unit == "" && q.Value == math.Trunc(q.Value) { // a count
				digits = 0
			} else if math.Abs(q.Value) >= 10 || q.Unit == "mm²" {
				digits = 1
			}
			line := words.Number(c.lang, q.Value, digits)
			if q.Spread > 0 {
				line += " ± " + words.Number(c.lang, q.Spread, digits)
			}
			line = strings.TrimRight(line+" "+q.Unit, " ")
			fmt.Fprintf(c.out, "  %s: %s\n", words.Term(c.lang, "measure", n), line)
		}
		j := p.Judged
		num := func(v float64) string { return words.Number(c.lang, v, 1) }
		fmt.Fprintf(c.out, "  %s\n", words.Weighed.With(num(j.Points()), num(j.Findings), num(j.School), num(j.Measures), num(j.Mechanics)).In(c.lang))
		printFindings(c.out, p.Report, c.lang, false)
	}
}
