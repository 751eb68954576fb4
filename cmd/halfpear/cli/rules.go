package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/words"
)

func newRules(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rules",
		Short: "The rulebook: its rules, its facts, and a school's own profile",
		Long:  "List and explain the rules, list the facts they may ask for, and judge a school's own profile.\n" + exitHelp,
	}
	profile := ""
	cmd.PersistentFlags().StringVar(&profile, "profile", "", "a shipped profile or a school's own file")
	cmd.AddCommand(
		&cobra.Command{Use: "list", Short: "List checks, decision rows and limits", Args: cobra.NoArgs,
			RunE: func(*cobra.Command, []string) error { return runRulesList(c, profile) }},
		&cobra.Command{Use: "explain ID", Short: "Explain a check, a decision row or a limit", Args: cobra.ExactArgs(1),
			RunE: func(_ *cobra.Command, args []string) error { return runRulesExplain(c, profile, args[0]) }},
		&cobra.Command{Use: "facts", Short: "List the facts that rules may ask for", Args: cobra.NoArgs,
			RunE: func(*cobra.Command, []string) error { return runRulesFacts(c) }},
		&cobra.Command{Use: "validate FILE", Short: "Judge a school's own profile", Args: cobra.ExactArgs(1),
			RunE: func(_ *cobra.Command, args []string) error { return runRulesValidate(c, args[0]) }},
	)
	return cmd
}

type wireGrade struct {
	Severity string `json:"severity"`
	When     string `json:"when"`
}

type wireRule struct {
	ID      string       `json:"id"`
	Title   string       `json:"title"`
	Over    string       `json:"over,omitempty"`
	Applies string       `json:"applies,omitempty"`
	Value   string       `json:"value,omitempty"`
	Grades  []wireGrade  `json:"grades,omitempty"`
	Choices []string     `json:"choices,omitempty"`
	Why     string       `json:"why"`
	Remedy  string       `json:"remedy,omitempty"`
	Basis   []string     `json:"basis"`
	Mark    string       `json:"mark,omitempty"`
	Sources []wireSource `json:"sources"`
	Off     bool         `json:"off,omitempty"`
}

type wireLimit struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit,omitempty"`
	Doc   string  `json:"doc"`
	Basis string  `json:"basis"`
	Mark  string  `json:"mark"`
	Own   bool    `json:"own,omitempty"`
}

func gradesOf(k *rulebook.Check, l words.Lang) []wireGrade {
	var out []wireGrade
	for _, g := range k.Grades {
		when := g.Fails
		for _, x := range []struct {
			word  words.Word
			limit string
		}{{words.LessThan, g.Below}, {words.MoreThan, g.Above}, {words.NoLess, g.AtLeast}, {words.NoMore, g.AtMost}} {
			if x.limit != "" {
				when = x.word.In(l, k.Value, x.limit)
			}
		}
		if g.If != "" {
			when = words.OnlyIf.In(l, when, g.If)
		}
		out = append(out, wireGrade{string(g.Severity), when})
	}
	return out
}

func ruleOf(k *rulebook.Check, l words.Lang) wireRule {
	w := wireRule{ID: string(k.ID), Title: k.Title.In(l), Over: string(k.Over), Applies: k.When, Value: k.Value, Grades: gradesOf(k, l), Why: k.Why.In(l), Remedy: k.Remedy.In(l), Basis: k.Basis, Mark: string(k.Mark), Off: k.Off, Sources: []wireSource{}}
	for _, s := range k.Sources {
		w.Sources = append(w.Sources, wireSource{s.Key, s.Cite, string(s.Mark), s.Grade})
	}
	return w
}

func decisionOf(d rulebook.Decision, l words.Lang) wireRule {
	w := wireRule{ID: string(d.ID), Title: d.Situation.In(l), Applies: d.When, Why: d.Why.In(l), Basis: d.Basis, Sources: []wireSource{}}
	group := string(design.Retainer)
	if d.Arch != 0 {
		group = string(design.MajorConnector)
	}
	for _, ch := range d.Choices {
		text := words.Term(l, group, string(ch.Form))
		if ch.Rest != "" {
			text += ", " + words.ChoiceRest.In(l, words.Term(l, "where", ch.Rest))
		}
		var sites []string
		for _, at := range ch.Sites {
			sites = append(sites, words.Term(l, "where", at))
		}
		if len(sites) > 0 {
			text += ", " + words.ChoiceUndercut.In(l, strings.Join(sites, " / "))
		}
		if ch.Make != "" {
			text += ", " + words.ChoiceAfter.In(l, words.Term(l, "make", ch.Make))
		}
		if !ch.Say.Blank() {
			text += " (" + ch.Say.In(l) + ")"
		}
		w.Choices = append(w.Choices, text)
	}
	for _, s := range d.Sources {
		w.Sources = append(w.Sources, wireSource{s.Key, s.Cite, string(s.Mark), s.Grade})
	}
	return w
}

func bookFor(profile string) (*rulebook.Book, error) {
	return loaded{}.book(profile)
}

func runRulesList(c *console, profile string) error {
	b, err := bookFor(profile)
	if err != nil {
		return err
	}
	var rules []wireRule
	for _, k := range b.Checks {
		rules = append(rules, ruleOf(k, c.lang))
	}
	for _, d := range b.Retainers {
		rules = append(rules, decisionOf(d, c.lang))
	}
	for _, d := range b.Connectors {
		rules = append(rules, decisionOf(d, c.lang))
	}
	var limits []wireLimit
	for _, l := range b.Limits {
		limits = append(limits, wireLimit{l.Name, l.Value, l.Unit, l.Doc.In(c.lang), l.Basis, string(l.Mark), l.Own})
	}
	if c.json {
		return c.answer(map[string]any{"profile": b.Profile, "title": b.Title.In(c.lang), "rules": rules, "limits": limits})
	}
	fmt.Fprintf(c.out, "Profile %s: %s\n\nChecks\n", b.Profile, b.Title.In(c.lang))
	for _, r := range rules {
		if len(r.Grades) == 0 {
			continue
		}
		var words []string
		for _, g := range r.Grades {
			words = append(words, g.Severity)
		}
		off := ""
		if r.Off {
			off = " (not in this profile)"
		}
		fmt.Fprintf(c.out, "  %s  %-22s %s%s\n", r.ID, strings.Join(words, "/"), r.Title, off)
	}
	fmt.Fprintln(c.out, "\nDecisions")
	for _, r := range rules {
		if len(r.Choices) > 0 {
			fmt.Fprintf(c.out, "  %-8s %s\n           %s\n", r.ID, r.Title, strings.Join(r.Choices, "; "))
		}
	}
	fmt.Fprintln(c.out, "\nLimits")
	for _, l := range limits {
		fmt.Fprintf(c.out, "  %-24s %8g %-6s %s [%s]\n", l.Name, l.Value, l.Unit, l.Doc, l.Mark)
	}
	return nil
}

func runRulesExplain(c *console, profile, id string) error {
	b, err := bookFor(profile)
	if err != nil {
		return err
	}
	var found []wireRule
	if k, ok := b.Rule(rulebook.RuleID(id)); ok {
		found = append(found, ruleOf(k, c.lang))
	}
	for _, d := range append(append([]rulebook.Decision(nil), b.Retainers...), b.Connectors...) {
		if string(d.ID) == id {
			found = append(found, decisionOf(d, c.lang))
		}
	}
	var limits []wireLimit
	for _, l := range b.Limits {
		if l.Name == id {
			limits = append(limits, wireLimit{l.Name, l.Value, l.Unit, l.Doc.In(c.lang), l.Basis, string(l.Mark), l.Own})
		}
	}
	if len(found)+len(limits) == 0 {
		return fmt.Errorf("no rule %q: expected a check as CHK-031, a decision as DEC-01 or a limit as lb.minF; list them with: halfpear rules list", id)
	}
	if c.json {
		return c.answer(map[string]any{"profile": b.Profile, "rules": found, "limits": limits})
	}
	for _, r := range found {
		fmt.Fprintf(c.out, "%s  %s\n", r.ID, r.Title)
		if r.Over != "" {
			fmt.Fprintf(c.out, "  %s\n", words.AskedOf.In(c.lang, words.Term(c.lang, "over", r.Over)))
		}
		if r.Applies != "" {
			fmt.Fprintf(c.out, "  %s\n", words.AppliesWhen.In(c.lang, r.Applies))
		}
		for _, g := range r.Grades {
			fmt.Fprintf(c.out, "  %s\n", words.GradeWhen.In(c.lang, words.Term(c.lang, "severity", g.Severity), g.When))
		}
		for i, ch := range r.Choices {
			fmt.Fprintf(c.out, "  %d. %s\n", i+1, ch)
		}
		fmt.Fprintf(c.out, "  %s\n", words.WhyLine.In(c.lang, r.Why))
		if r.Remedy != "" {
			fmt.Fprintf(c.out, "  %s\n", words.RemedyLine.In(c.lang, r.Remedy))
		}
		if len(r.Basis) > 0 {
			fmt.Fprintf(c.out, "  %s\n", words.RestsOn.In(c.lang, strings.Join(r.Basis, ", ")))
		}
		if r.Mark != "" {
			fmt.Fprintf(c.out, "  %s\n", words.MarkLine.In(c.lang, words.Term(c.lang, "mark", r.Mark)))
		}
		for _, s := range r.Sources {
			fmt.Fprintf(c.out, "  %s\n", words.SourceLine.In(c.lang, fmt.Sprintf("%s [%s]", s.Cite, words.Term(c.lang, "mark", s.Mark))))
		}
	}
	for _, l := range limits {
		fmt.Fprintf(c.out, "%s = %g %s  %s\n  rests on: %s [%s]\n", l.Name, l.Value, l.Unit, l.Doc, l.Basis, l.Mark)
	}
	return nil
}

type wireFact struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Unit string `json:"unit,omitempty"`
	From string `json:"from"`
	Doc  string `json:"doc"`
}

func runRulesFacts(c *console) error {
	if c.json {
		var out []wireFact
		for _, f := range rulebook.Known {
			out = append(out, wireFact{f.Name, string(f.Type), f.Unit, f.From, rulebook.FactLabel(f.Name).In(c.lang)})
		}
		return c.answer(map[string]any{"facts": out})
	}
	_, err := fmt.Fprint(c.out, rulebook.FactsText(c.lang))
	return err
}

type wireProblem struct {
	Line   int    `json:"line"`
	Column int    `json:"column"`
	Text   string `json:"text"`
}

func runRulesValidate(c *console, name string) error {
	text, err := readFile("profile", name)
	if err != nil {
		return err
	}
	b, problems := rulebook.Read(text)
	if c.json {
		out := []wireProblem{}
		for _, p := range problems {
			out = append(out, wireProblem{p.Line, p.Column, p.Text})
		}
		if err := c.answer(map[string]any{"file": name, "valid": len(problems) == 0, "problems": out}); err != nil {
			return err
		}
	} else {
		for _, p := range problems {
			fmt.Fprintf(c.out, "%s:%d:%d: %s\n", name, p.Line, p.Column, p.Text)
		}
		if len(problems) == 0 {
			fmt.Fprintf(c.out, "%s: profile %s is valid; it rests on %s\n", name, b.Profile, b.Base)
		}
	}
	if len(problems) > 0 {
		return fmt.Errorf("%s cannot be used as a profile: %d problems, the first at line %d, column %d: %s", name, len(problems), problems[0].Line, problems[0].Column, problems[0].Text)
	}
	return nil
}
