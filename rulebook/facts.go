package rulebook

import (
	"sort"

	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Value is one known fact. A fact that is not known has no Value at all: it is never
// stored as zero.
type Value struct {
	V      any // float64, int64, bool, string, []string, tooth.Number or words.Teeth
	Unit   string
	Spread float64     // half-width of the band the true number lies in; 0 not stated
	Origin unit.Origin // empty for what the design or the chart simply says
}

// forRules is the value as an expression sees it: teeth by their numbers of ISO 3950, in a
// list as texts.
func (v Value) forRules() any {
	switch x := v.V.(type) {
	case tooth.Number:
		return int64(x)
	case words.Teeth:
		out := make([]string, len(x))
		for i, n := range x {
			out[i] = n.String()
		}
		return out
	}
	return v.V
}

// Scope holds the facts of one thing, over those of the whole case.
type Scope struct {
	known  map[string]Value
	parent *Scope
}

func newScope(parent *Scope) *Scope { return &Scope{known: map[string]Value{}, parent: parent} }

// Lookup finds a fact by its full name, as in "tooth.mobility".
func (s *Scope) Lookup(name string) (Value, bool) {
	for ; s != nil; s = s.parent {
		if v, ok := s.known[name]; ok {
			return v, true
		}
	}
	return Value{}, false
}

// Names lists the facts that are known here and in the case, in order.
func (s *Scope) Names() []string {
	seen := map[string]bool{}
	for ; s != nil; s = s.parent {
		for n := range s.known {
			seen[n] = true
		}
	}
	out := make([]string, 0, len(seen))
	for n := range seen {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

func (s *Scope) set(name string, v Value) { s.known[name] = v }
func (s *Scope) text(name, v string)      { s.known[name] = Value{V: v} }
func (s *Scope) flag(name string, v bool) { s.known[name] = Value{V: v} }
func (s *Scope) list(name string, v []string) {
	if v == nil {
		v = []string{}
	}
	s.known[name] = Value{V: v}
}

func (s *Scope) teeth(name string, v words.Teeth) { s.known[name] = Value{V: v} }

func (s *Scope) count(name string, v int) { s.known[name] = Value{V: int64(v)} }
func (s *Scope) num(name string, v float64, u string, o unit.Origin, spread float64) {
	s.known[name] = Value{V: v, Unit: u, Origin: o, Spread: spread}
}

// quantity sets a number that may not be known.
func (s *Scope) quantity(name string, q *unit.Quantity) {
	if q != nil {
		s.set(name, quantityFact(*q))
	}
}

// word sets a text that is known only where it is not empty.
func (s *Scope) word(name, v string) {
	if v != "" {
		s.text(name, v)
	}
}

// number sets an entered number that may not be known.
func (s *Scope) number(name string, v *float64, u string) {
	if v != nil {
		s.num(name, *v, u, unit.Entered, 0)
	}
}

func (s *Scope) maybe(name string, v *bool) {
	if v != nil {
		s.flag(name, *v)
	}
}

// Subject is one thing that rules are asked about: a tooth, a rest, a base …
type Subject struct {
	Place Place
	Label words.Text // for people, as in "I-bar on 44"
	*Scope
}

// Facts is everything known about a case, gathered once; the rulebook judges it.
type Facts struct {
	Case     *Scope
	Subjects map[Over][]Subject
}

// Over says which things a rule is asked about.
type Over string

const (
	OverCase        Over = "case"
	OverTooth       Over = "tooth"    // every place of the arch
	OverAbutment    Over = "abutment" // every tooth that carries a rest, retainer or guide plate
	OverPart        Over = "part"
	OverRest        Over = "rest"
	OverRetainer    Over = "retainer"
	OverPlate       Over = "plate"
	OverBase        Over = "base"
	OverConnector   Over = "connector"
	OverMinor       Over = "minor"
	OverReplacement Over = "replacement"
	OverTorus       Over = "torus"
	OverPreparation Over = "preparation"
	OverPair        Over = "pair"    // two retainers of one form, left and right
	OverReading     Over = "reading" // an undercut read by hand where there is a scan too
	OverSituation   Over = "situation"
	OverArch        Over = "arch"
)

// overs lists each Over with the groups of facts (the part of a name before its dot) that
// are known there beside those of the case.
var overs = map[Over][]string{
	OverCase:        nil,
	OverTooth:       {"tooth"},
	OverAbutment:    {"tooth"},
	OverPart:        {"part", "tooth"},
	OverRest:        {"rest", "tooth"},
	OverRetainer:    {"retainer", "tooth"},
	OverPlate:       {"plate", "tooth"},
	OverBase:        {"base"},
	OverConnector:   {"connector"},
	OverMinor:       {"minor"},
	OverReplacement: {"replacement", "tooth"},
	OverTorus:       {"torus"},
	OverPreparation: {"preparation", "tooth"},
	OverPair:        {"pair"},
	OverReading:     {"reading", "tooth"},
	OverSituation:   {"abutment", "tooth"},
	OverArch:        {"lower", "upper"},
}

var caseGroups = []string{"case", "design", "patient", "opposing", "tissue", "path", "plan", "order", "returned", "whole", "limit"}
