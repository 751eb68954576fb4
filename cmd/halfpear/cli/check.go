package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/words"
)

type checkOptions struct {
	profile string
	all     bool
	compare bool
}

func newCheck(c *console) *cobra.Command {
	var o checkOptions
	cmd := &cobra.Command{
		Use:   "check CASE",
		Short: "Judge a case's design by the rulebook",
		Long: `Judge the design in a case file by the rulebook: what fails, why, by which source, and what
would mend it. A check that lacks its data says "not checked".
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runCheck(cmd.Context(), c, o, args[0]) },
	}
	f := cmd.Flags()
	f.StringVar(&o.profile, "profile", "", "a shipped profile or a school's own file, instead of the case's")
	f.BoolVar(&o.all, "all", false, "list the checks that lacked data too")
	f.BoolVar(&o.compare, "compare", false, "set the design beside the first proposal, part by part")
	return cmd
}

type wireDifference struct {
	Tooth    int    `json:"tooth,omitempty"`
	Kind     string `json:"kind"`
	Design   string `json:"design"`
	Proposal string `json:"proposal"`
	Because  string `json:"because,omitempty"`
	Rule     string `json:"rule,omitempty"`
}

type checkAnswer struct {
	Profile    string           `json:"profile"`
	Class      string           `json:"class"`
	Findings   []wireFinding    `json:"findings"`
	Checked    int              `json:"checked"`
	NotChecked int              `json:"not_checked"`
	Faults     []string         `json:"faults,omitempty"`
	Compared   []wireDifference `json:"compared,omitempty"`
}

func runCheck(ctx context.Context, c *console, o checkOptions, name string) error {
	l, p, err := c.planned(ctx, name, o.profile)
	if err != nil {
		return err
	}
	s := p.Study
	var diffs []proposal.Difference
	if o.compare {
		best, err := s.Propose(ctx, 1, nil)
		if err != nil {
			return err
		}
		diffs = proposal.Compare(p.Design, best[0])
	}
	if c.json {
		a := checkAnswer{Profile: s.Book.Profile, Class: rulebook.Written(s.Class), Findings: wireFindings(p.Report.Findings, c.lang), Checked: p.Report.Checked, NotChecked: p.Report.NotChecked, Faults: p.Report.Faults}
		for _, d := range diffs {
			a.Compared = append(a.Compared, wireDifference{int(d.Tooth), string(d.Kind), d.Design.In(c.lang), d.Proposal.In(c.lang), d.Because.In(c.lang), string(d.Rule)})
		}
		if err := c.answer(a); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(c.out, "%s, %s, %s %s\n", l.c.ID, c.class(s.Class), words.Profile.In(c.lang), s.Book.Profile)
		printFindings(c.out, p.Report, c.lang, o.all)
		for _, d := range diffs {
			fmt.Fprintf(c.out, "  %s\n", words.ComparedPart.With(d.Where(), d.Design, d.Proposal, d.Because).In(c.lang))
		}
	}
	if p.Report.Stops() > 0 {
		return stopped
	}
	return nil
}
