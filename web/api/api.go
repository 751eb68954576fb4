// Package api holds the shapes that the workbench's page and its server exchange. The
// case itself travels in the shape of the case file. The TypeScript of these shapes is
// generated (go generate), so the two sides cannot drift apart.
//
// Lengths are mm, angles degrees, teeth FDI, points [x, y, z] in the cast frame.
package api

import "halfpear/encoding/casefile"

//go:generate go run ./wire ../ui/src/api/wire.ts

// Point is a point or a direction in the cast frame.
type Point [3]float64

// Vector is three numbers as they were reckoned.
type Vector [3]float64

// About is what the page has to know before any case is open.
type About struct {
	Version   string              `json:"version"`
	Rulebook  string              `json:"rulebook"`
	Profiles  []Choice            `json:"profiles"` // schools of design, the usual one first
	Materials []Choice            `json:"materials"`
	Forms     map[string][]string `json:"forms"` // by kind of part
	Teeth     []ToothName         `json:"teeth"`
	Sites     []string            `json:"sites"`
	// Terms are the words of the trade by language, group and code, as in
	// en, "rest.occlusal".
	Terms map[string]map[string]string `json:"terms"`
}

// Choice is a name to store and a label to show.
type Choice struct {
	Name  string `json:"name"`
	Label string `json:"label"`
}

// ToothName is one tooth in every way of writing it.
type ToothName struct {
	Tooth     int    `json:"tooth"`
	Universal int    `json:"universal"`
	Spoken    string `json:"spoken"`
	Kind      int    `json:"kind"` // 1 central incisor to 8 third molar
}

// Listed is a case in the list.
type Listed struct {
	Case    string `json:"case"`
	Title   string `json:"title"`
	Arch    string `json:"arch"`
	Class   string `json:"class"`
	Created string `json:"created"`
	Changed string `json:"changed"`
}

// NewCase asks for a new case.
type NewCase struct {
	Arch  string `json:"arch" jsonschema:"enum=upper,enum=lower"`
	Title string `json:"title"`
}

// State is an open case as it stands.
type State struct {
	Case     casefile.File `json:"case"`
	Revision int           `json:"revision"`
	Undo     string        `json:"undo"` // label of the edit that undo takes back; empty where there is none
	Redo     string        `json:"redo"`
	Changed  string        `json:"changed"`
	Class    Class         `json:"class"`
	// Digests name the inputs of the cast, the survey and the placement: what was
	// fetched under an old one is stale.
	CastKey    string `json:"cast_key"`
	SurfaceKey string `json:"surface_key"` // what the cast's surface and its undercuts follow from, whatever its margins
	Numbering  string `json:"numbering"`   // of teeth, where the case's order goes
}

// Class is the arch's class. What is said of it is given in every language by its short
// name, because a page that changes its language does not ask for the state anew.
type Class struct {
	Text          map[string]string   `json:"text"`
	Class         string              `json:"class"`
	Modifications int                 `json:"modifications"`
	Areas         []Area              `json:"areas"`
	Notes         map[string][]string `json:"notes"`
}

// Area is an edentulous area that counts.
type Area struct {
	Teeth []int  `json:"teeth"`
	Kind  string `json:"kind" jsonschema:"enum=extension,enum=bounded"`
}

// Save asks to make case the new state on top of the revision base.
type Save struct {
	Base  int           `json:"base"`
	Label string        `json:"label"`
	Case  casefile.File `json:"case"`
}

// OnTop asks for an undo or a redo on top of the revision base, or to bring back the
// revision to.
type OnTop struct {
	Base int `json:"base"`
	To   int `json:"to,omitempty"`
}

// Step is one line of the history.
type Step struct {
	Revision int    `json:"revision"`
	Parent   int    `json:"parent"`
	Label    string `json:"label"`
	At       string `json:"at"`
	Head     bool   `json:"head"`
}

// Progress is one line of an answer that is streamed: how far the work has come, or its
// end. The last line has Done or Failed.
type Progress struct {
	Step   string   `json:"step,omitempty"`  // what is being done, as a code: read, locate, mount, survey, …
	Share  float64  `json:"share,omitempty"` // of the step that is done; 0 where that is not known
	Count  int      `json:"count,omitempty"` // of what the step has gone through
	Done   any      `json:"done,omitempty"`
	Failed *Failure `json:"failed,omitempty"`
	Status int      `json:"status,omitempty"` // with Failed, the status it would have had unstreamed
}

// Failure is the answer to a request that could not be carried out.
type Failure struct {
	Error    string    `json:"error"`
	Head     int       `json:"head,omitempty"` // after a conflict, the revision that is there
	Problems []Problem `json:"problems,omitempty"`
}

// Problem is one thing wrong with what was sent, and where.
type Problem struct {
	Field string `json:"field"`
	Text  string `json:"text"`
}

// Plan is the arch seen from the occlusal, in x and y of the cast frame.
type Plan struct {
	Origin string      `json:"origin"` // measured, or average for a cast made from the chart
	Teeth  []PlanTooth `json:"teeth"`
	Lines  []PlanLine  `json:"lines"`
}

// PlanTooth is a standing tooth's outline, or the place of a missing one on the ridge.
type PlanTooth struct {
	Tooth    int          `json:"tooth"`
	Standing bool         `json:"standing"`
	Outline  [][2]float64 `json:"outline"`
	Margin   [][2]float64 `json:"margin"`
	Middle   [2]float64   `json:"middle"`
}

// PlanLine is a landmark: crest, floor, vestibule, pad, midline, papilla, rugae,
// vibrating, torus.
type PlanLine struct {
	Name   string       `json:"name"`
	Closed bool         `json:"closed"`
	Points [][2]float64 `json:"points"`
}
