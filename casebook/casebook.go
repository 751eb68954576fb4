// Package casebook is the record: one case with everything decided in it, its revisions,
// and what a store of cases must be able to do. No name, number or date of birth of a
// patient has a place here.
package casebook

import (
	"time"

	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/rulebook"
	"halfpear/tooth"
)

// ID is a case's random number, as in "K7-3FQ2".
type ID string

// Case is one case for one arch. It is not changed once made.
type Case struct {
	ID       ID
	Title    string
	Profile  string // a shipped profile's name or a school's own file; empty is the default
	Chart    chart.Chart
	Survey   Survey
	Scan     *Scan // nil: the cast is made from the chart
	Design   *design.Design
	SetAside []SetAside
	Order    Order
	Returned *Returned // nil: no framework has come back
}

// Returned is what was measured on the framework that came back from the laboratory.
type Returned struct {
	RestGapMM    *float64 // greatest gap at a rest
	DifferenceMM *float64 // greatest difference from the order
	Absent       []string // stops and finish lines that it lacks
}

// Survey is what was decided or measured by hand on the surveyor.
type Survey struct {
	Tilted      bool // a tilt was chosen
	AnteriorDeg float64
	RightDeg    float64
	// Undercuts are depths read with a gauge.
	Undercuts map[tooth.Number]map[tooth.Site]HandUndercut
}

// HandUndercut is one reading with an undercut gauge.
type HandUndercut struct {
	MM            float64
	AboveMarginMM *float64
}

// Scan says which file holds the cast's surface, in which unit, and where each tooth is
// on it, in the scan's own coordinates and unit.
type Scan struct {
	File    string
	Unit    string // "" guess, else mm, cm, m, inch
	Points  map[tooth.Number]geom.Vec
	Margins map[tooth.Number][]geom.Vec // corrected by hand; empty where the program's stands

	// Proposed are the teeth whose points the program found and nobody has confirmed yet.
	Proposed []tooth.Number
}

// SetAside is a caution the dentist decided to live with, or a stop overruled by name.
type SetAside struct {
	Rule   rulebook.RuleID
	Place  rulebook.Place
	Reason string
	By     string // initials or role of the dentist; required to overrule a stop
	At     time.Time
}

// Order is what the laboratory is told beyond the design: field values by the order's
// field names, as in "shade". Package order knows the fields.
type Order struct {
	Jurisdiction string
	Fields       map[string]string
	Revision     int
	Queries      []Query
}

// Query is a question of the laboratory about a part, or about the whole order where Part
// is empty, with the dentist's answer.
type Query struct {
	Part     design.ID
	Asked    string
	By       string // who asks: a laboratory or initials
	At       time.Time
	Answer   string // empty while it is open
	Answered string // who answered
	When     time.Time
}
