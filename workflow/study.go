package workflow

import (
	"context"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/words"
)

// Input is a case with what its steps need from outside.
type Input struct {
	Case casebook.Case
	Scan []byte // the scan's file; nil where the case has none
	Book *rulebook.Book

	Survey survey.Options // the zero value is the usual survey
}

// Study is a case with its cast mounted and surveyed: what every later step starts from.
// It is not changed once made; a design is studied in a Plan.
type Study struct {
	Case  casebook.Case
	Book  *rulebook.Book
	Class arch.Result
	Cast  *cast.Cast
	Surveyed
	Notes []words.Text // what was found and assumed on the way
}

// Open classifies, mounts and surveys a case.
func Open(ctx context.Context, in Input) (*Study, error) {
	class, err := Classify(in.Case.Chart, in.Book.Strict())
	if err != nil {
		return nil, err
	}
	if class.Class == arch.None {
		return nil, words.Errorf("there is nothing to design: %v arch, %v; a partial denture needs teeth that carry it and a gap to fill: mark both in the chart", words.Code{Group: "arch", Code: in.Case.Chart.Arch.String()}, words.Listed(class.Notes...))
	}
	k, notes, err := Mount(in.Case, in.Scan)
	if err != nil {
		return nil, err
	}
	return Resume(ctx, in, class, k, notes)
}

// Resume surveys a case whose cast is at hand already.
func Resume(ctx context.Context, in Input, class arch.Result, k *cast.Cast, notes []words.Text) (*Study, error) {
	s, err := Survey(ctx, k, in.Case.Survey, in.Survey)
	if err != nil {
		return nil, err
	}
	return &Study{Case: in.Case, Book: in.Book, Class: class, Cast: k, Surveyed: s, Notes: notes}, nil
}

// With is the study of a changed case whose cast and survey stay the same: the design,
// the order or what was set aside.
func (s *Study) With(c casebook.Case) *Study {
	out := *s
	out.Case = c
	return &out
}
