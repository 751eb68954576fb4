package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"halfpear/casebook"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/words"
	"halfpear/workflow"
)

// largestInput is more than any scan of one arch [bytes].
const largestInput = 2 << 30

// readFile reads a whole file; what cannot be read is named.
func readFile(what, name string) ([]byte, error) {
	info, err := os.Stat(name)
	if err != nil {
		return nil, fmt.Errorf("could not read the %s: %w", what, err)
	}
	if info.IsDir() {
		return nil, fmt.Errorf("could not read the %s %s: expected a file, it is a folder", what, name)
	}
	if info.Size() > largestInput {
		return nil, fmt.Errorf("could not read the %s %s: expected at most %d MB, it has %d MB", what, name, largestInput>>20, info.Size()>>20)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, fmt.Errorf("could not read the %s: %w", what, err)
	}
	return data, nil
}

// loaded is a case file with the scan beside it.
type loaded struct {
	lang words.Lang // of its papers, with teeth numbered as where its order goes
	name string
	file []byte
	c    casebook.Case
	scan []byte // nil where the case has none
}

// load reads a case file, and the scan it names, which is looked for beside it. From then on
// people are spoken to as the case's papers speak; JSON has the numbers of ISO 3950.
func (c *console) load(name string) (loaded, error) {
	data, err := readFile("case", name)
	if err != nil {
		return loaded{}, err
	}
	k, err := casefile.Read(name, data)
	if err != nil {
		return loaded{}, err
	}
	l := loaded{name: name, file: data, c: k, lang: c.lang.Numbered(order.Numbering(k))}
	if !c.json {
		c.lang = l.lang
	}
	if k.Scan != nil {
		file := k.Scan.File
		if !filepath.IsAbs(file) {
			file = filepath.Join(filepath.Dir(name), file)
		}
		if l.scan, err = readFile("scan named by "+name, file); err != nil {
			return loaded{}, err
		}
	}
	return l, nil
}

// book opens the case's rulebook: a shipped profile's name, or a file of the school's own
// beside the case. over, where it is not empty, is used instead.
func (l loaded) book(over string) (*rulebook.Book, error) {
	profile := l.c.Profile
	if over != "" {
		profile = over
	}
	if b, err := rulebook.Open(profile); err == nil {
		return b, nil
	}
	file := profile
	if over == "" && !filepath.IsAbs(file) {
		file = filepath.Join(filepath.Dir(l.name), file)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("profile %q: expected one of %v, or a rulebook file; no file of that name can be read: %w", profile, rulebook.Profiles, err)
	}
	b, problems := rulebook.Read(text)
	if len(problems) > 0 {
		return nil, fmt.Errorf("the rulebook %s cannot be used: %w (%d problems in all; halfpear rules validate lists them)", file, problems[0], len(problems))
	}
	return b, nil
}

// study opens the case's cast and surveys it.
func (l loaded) study(ctx context.Context, profile string) (*workflow.Study, error) {
	return l.studyTo(ctx, profile, survey.Options{})
}

// opened loads a case and opens its cast.
func (c *console) opened(ctx context.Context, name, profile string) (loaded, *workflow.Study, error) {
	l, err := c.load(name)
	if err != nil {
		return l, nil, err
	}
	s, err := l.study(ctx, profile)
	if err == nil {
		c.notes(s)
	}
	return l, s, err
}

// notes tells on standard error what was found and assumed on the way to a cast. That a made
// cast has average sizes stands on every paper and is not repeated.
func (c *console) notes(s *workflow.Study) {
	told := s.Notes
	if s.Case.Scan == nil && len(told) > 0 {
		told = told[1:]
	}
	for _, n := range told {
		fmt.Fprintf(c.err, "%s: %s\n", words.Term(c.lang, "severity", "note"), n.In(c.lang))
	}
}

// planned loads a case and lays and checks the design that it holds.
func (c *console) planned(ctx context.Context, name, profile string) (loaded, *workflow.Plan, error) {
	l, s, err := c.opened(ctx, name, profile)
	if err != nil {
		return l, nil, err
	}
	p, err := s.PlanOf()
	return l, p, err
}

// studyTo is study with a survey of one's own fineness.
func (l loaded) studyTo(ctx context.Context, profile string, opt survey.Options) (*workflow.Study, error) {
	b, err := l.book(profile)
	if err != nil {
		return nil, err
	}
	return workflow.Open(ctx, workflow.Input{Case: l.c, Scan: l.scan, Book: b, Survey: opt})
}
