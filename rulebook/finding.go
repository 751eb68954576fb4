// Package rulebook holds the rules of framework design as data and judges a case by
// them. It never changes a design.
package rulebook

import (
	"halfpear/design"
	"halfpear/source"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// RuleID names a rule, as in "CHK-031".
type RuleID string

// Severity is how much a finding weighs.
type Severity string

const (
	Stop    Severity = "stop"    // may not leave for the laboratory; overruled only by name
	Caution Severity = "caution" // may be set aside with a written reason
	Note    Severity = "note"    // shown, never blocks
)

// Status is what a check saw.
type Status string

const (
	Failed     Status = "failed"
	Borderline Status = "borderline"  // within measuring uncertainty of the limit
	NotChecked Status = "not-checked" // the facts it needs are not known
)

// Place is where a finding belongs; any field may be empty.
type Place struct {
	Tooth   tooth.Number
	Surface tooth.Surface
	Part    design.ID
}

// Asked is the range a rule asks for; a nil end is open.
type Asked struct {
	Min, Max *float64
	Unit     string
	Text     words.Text // for what is no number, as in "a rest on each bounding tooth"
}

// Finding is one thing the rulebook has to say about a case.
type Finding struct {
	Rule     RuleID
	Severity Severity
	Status   Status
	Place    Place
	Found    *unit.Quantity // nil where nothing was measured
	Asked    Asked
	Message  words.Text // what was found and asked, in a sentence
	Why      words.Text // the reason, for a student
	Sources  []source.Ref
	Remedy   words.Text
	Missing  []string // facts that a check not done lacked
}
