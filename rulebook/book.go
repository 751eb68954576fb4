package rulebook

import (
	"embed"
	"fmt"
	"sync"

	"github.com/goccy/go-yaml"

	"halfpear/design"
	"halfpear/source"
	"halfpear/tooth"
	"halfpear/words"
)

//go:embed data
var data embed.FS

// Profiles are the shipped schools of teaching, the default first.
var Profiles = [...]string{"i-bar-first", "combination-first", "gingival-approach", "open-hygienic"}

// Limit is one number that rules ask for.
type Limit struct {
	Name   string
	Value  float64
	Bool   bool
	IsBool bool
	Unit   string
	Doc    words.Word
	Basis  string
	Mark   source.Mark
	Own    bool // set by the profile
}

// Grade is one step of a check: how much it weighs, and when.
type Grade struct {
	Severity Severity
	Below    string // limit: fails when the value is less
	Above    string // limit: fails when the value is more
	AtLeast  string // limit: fails when the value is this or more
	AtMost   string // limit: fails when the value is this or less
	Fails    string // a question: fails when the answer is yes
	If       string // a question: the grade counts only when the answer is yes

	limit, fails, when *expression
}

// Check is one rule of the checklist.
type Check struct {
	ID      RuleID
	Title   words.Word
	Over    Over
	When    string // a question: the check applies only when the answer is yes
	Value   string // the number that is compared; empty where the grades ask questions
	Unit    string
	Grades  []Grade    // worst first
	Asks    words.Word // what is asked, where it is no number
	Message Prose
	Why     words.Word
	Remedy  Prose
	Basis   []string // rules of the reference it rests on
	Sources []source.Ref
	Mark    source.Mark
	Off     bool // not part of this profile

	when, value *expression
	fault       error // a broken expression: the check is reported as not done
}

// Choice is one way to equip an abutment, or one major connector.
type Choice struct {
	Form          design.Form
	Rest          string   // mesial, distal, cingulum, near, both, embrasure, none
	Sites         []string // where to look for the undercut, in this order
	Metal         string   // cast or wire
	Make          string   // what must be done first
	Reciprocation design.Form
	Only          string  // only on this kind of tooth
	MinArm        bool    // only where the arm reaches clasp.castMinLength
	Rule          string  // the rule it rests on, where it is not the row's own
	Height        float64 // of a bar [mm]
	Say           words.Word
}

// Decision is one row of a decision table.
type Decision struct {
	ID        RuleID
	Arch      tooth.Arch // of a connector's row
	Situation words.Word
	When      string
	Why       words.Word
	Basis     []string
	Sources   []source.Ref
	Choices   []Choice // of the book's profile, best first

	when *expression
}

// Book is the rulebook as one profile reads it. It is not changed once made and may be
// used from several goroutines.
type Book struct {
	Profile    string
	Title      words.Word
	Base       string // the shipped profile a school's own rests on; itself for a shipped one
	Limits     []Limit
	Checks     []*Check
	Retainers  []Decision
	Connectors []Decision

	values map[string]any // "limit." + name
	refs   map[string]source.Ref
	limits map[string]Limit
	says   map[string]string // German of what shipped choices say, by the English
}

// Limit is a number of the book by its name, as in "lb.minF"; 0 where there is none.
func (b *Book) Limit(name string) float64 { return b.limits[name].Value }

// Strict tells whether the classification keeps to Applegate's own exceptions.
func (b *Book) Strict() bool { return b.limits["cls.strictApplegate"].Bool }

// Rule finds a check by its ID.
func (b *Book) Rule(id RuleID) (*Check, bool) {
	for _, c := range b.Checks {
		if c.ID == id {
			return c, true
		}
	}
	return nil, false
}

// Source finds a published source by its short name.
func (b *Book) Source(key string) (source.Ref, bool) { r, ok := b.refs[key]; return r, ok }

var (
	booksMu sync.Mutex
	books   = map[string]*Book{}
)

// Open gives a shipped profile's book; the empty name is the default profile.
func Open(profile string) (*Book, error) {
	if profile == "" {
		profile = Profiles[0]
	}
	booksMu.Lock()
	defer booksMu.Unlock()
	if b, ok := books[profile]; ok {
		return b, nil
	}
	raw, err := data.ReadFile("data/profiles/" + profile + ".yaml")
	if err != nil {
		return nil, words.Errorf("profile %q: expected one of %v, or a school's own file", profile, Profiles)
	}
	b, problems := read(raw, profile)
	if len(problems) > 0 {
		return nil, fmt.Errorf("shipped profile %s: %w", profile, problems[0])
	}
	books[profile] = b
	return b, nil
}

type wireLimit struct {
	Name  string `yaml:"name"`
	Value any    `yaml:"value"`
	Unit  string `yaml:"unit"`
	Doc   string `yaml:"doc"`
	Basis string `yaml:"basis"`
	Mark  string `yaml:"mark"`
}

type wireGrade struct {
	Is      string `yaml:"is"`
	Below   string `yaml:"below"`
	Above   string `yaml:"above"`
	AtLeast string `yaml:"at_least"`
	AtMost  string `yaml:"at_most"`
	Fails   string `yaml:"fails"`
	If      string `yaml:"if"`
}

// wireProse is what a rule says to people, in one language.
type wireProse struct {
	Title   string `yaml:"title"`
	Asks    string `yaml:"asks"`
	Message string `yaml:"message"`
	Why     string `yaml:"why"`
	Remedy  string `yaml:"remedy"`
}

type wireCheck struct {
	ID      string      `yaml:"id"`
	Title   string      `yaml:"title"`
	Over    string      `yaml:"over"`
	When    string      `yaml:"when"`
	Value   string      `yaml:"value"`
	Unit    string      `yaml:"unit"`
	Grades  []wireGrade `yaml:"grades"`
	Asks    string      `yaml:"asks"`
	Message string      `yaml:"message"`
	Why     string      `yaml:"why"`
	Remedy  string      `yaml:"remedy"`
	Basis   []string    `yaml:"basis"`
	Sources []string    `yaml:"sources"`
	Mark    string      `yaml:"mark"`
	DE      wireProse   `yaml:"de"` // the same in German, beside English
	EN      wireProse   `yaml:"en"` // the same in English, where the profile's language is German
}

type wireSource struct {
	Key   string `yaml:"key"`
	Cite  string `yaml:"cite"`
	Mark  string `yaml:"mark"`
	Grade string `yaml:"grade"`
}

type wireChoice struct {
	Form          string   `yaml:"form"`
	Rest          string   `yaml:"rest"`
	Site          []string `yaml:"site"`
	Metal         string   `yaml:"metal"`
	Make          string   `yaml:"make"`
	Reciprocation string   `yaml:"reciprocation"`
	Only          string   `yaml:"only"`
	MinArm        bool     `yaml:"min_arm"`
	Rule          string   `yaml:"rule"`
	Height        float64  `yaml:"height"`
	Say           string   `yaml:"say"`
}

type wireDecision struct {
	ID        string   `yaml:"id"`
	Arch      string   `yaml:"arch"`
	Situation string   `yaml:"situation"`
	When      string   `yaml:"when"`
	Why       string   `yaml:"why"`
	Basis     []string `yaml:"basis"`
	Sources   []string `yaml:"sources"`
	Choices   any      `yaml:"choices"`
	DE        wireRow  `yaml:"-"`
}

// wireRow is what a row of a decision table says, in one language.
type wireRow struct {
	Situation string `yaml:"situation"`
	Why       string `yaml:"why"`
}

type wireProfile struct {
	Profile    string                  `yaml:"profile"`
	Language   string                  `yaml:"language"` // of its own sentences; English where it says none
	Base       string                  `yaml:"base"`
	Title      string                  `yaml:"title"`
	Limits     map[string]any          `yaml:"limits"`
	Severities map[string]any          `yaml:"severities"`
	Off        []string                `yaml:"off"`
	Choices    map[string][]wireChoice `yaml:"choices"`
	Connectors map[string][]wireChoice `yaml:"connectors"`
	Checks     []wireCheck             `yaml:"checks"`
}

// decode reads a shipped file strictly: a key it does not know is a fault.
func decode[T any](name string) ([]T, error) {
	raw, err := data.ReadFile("data/" + name)
	if err != nil {
		return nil, fmt.Errorf("reading the shipped %s: %w", name, err)
	}
	var out []T
	if err := yaml.UnmarshalWithOptions(raw, &out, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("reading the shipped %s: %w", name, err)
	}
	return out, nil
}

var shippedLimits = sync.OnceValues(func() ([]Limit, error) {
	wire, err := decode[wireLimit]("limits.yaml")
	if err != nil {
		return nil, err
	}
	german, err := translated[string]("limits.yaml")
	if err != nil {
		return nil, err
	}
	var out []Limit
	for _, w := range wire {
		l := Limit{Name: w.Name, Unit: w.Unit, Doc: words.Own(w.Doc, german[w.Name]), Basis: w.Basis, Mark: source.Mark(w.Mark)}
		if err := l.take(w.Value); err != nil {
			return nil, fmt.Errorf("shipped limit %s: %w", w.Name, err)
		}
		out = append(out, l)
	}
	return out, nil
})

// take sets a limit's value from what a file says.
func (l *Limit) take(v any) error {
	switch v := v.(type) {
	case bool:
		l.Bool, l.IsBool = v, true
	case float64:
		l.Value = v
	case uint64:
		l.Value = float64(v)
	case int64:
		l.Value = float64(v)
	default:
		return fmt.Errorf("expected a number, found %v", v)
	}
	return nil
}

var checkFiles = []string{"checks/chart.yaml", "checks/support.yaml", "checks/survey.yaml", "checks/guides.yaml", "checks/retainers.yaml",
	"checks/connectors.yaml", "checks/bases.yaml", "checks/order.yaml"}

type shippedRules struct {
	checks                []wireCheck
	retainers, connectors []wireDecision
	says                  map[string]string // German of what choices say, by the English
	titles                map[string]string // German of the profiles' titles, by profile
	sources               map[string]source.Ref
}

var shipped = sync.OnceValues(func() (shippedRules, error) {
	s := shippedRules{sources: map[string]source.Ref{}}
	src, err := decode[wireSource]("sources.yaml")
	if err != nil {
		return s, err
	}
	for _, w := range src {
		s.sources[w.Key] = source.Ref{Key: w.Key, Cite: w.Cite, Mark: source.Mark(w.Mark), Grade: w.Grade}
	}
	for _, f := range checkFiles {
		c, err := decode[wireCheck](f)
		if err != nil {
			return s, err
		}
		german, err := translated[wireProse](f)
		if err != nil {
			return s, err
		}
		for _, w := range c {
			w.DE = german[w.ID]
			s.checks = append(s.checks, w)
		}
	}
	if s.retainers, err = decode[wireDecision]("decisions.yaml"); err != nil {
		return s, err
	}
	if s.connectors, err = decode[wireDecision]("connectors.yaml"); err != nil {
		return s, err
	}
	for name, rows := range map[string][]wireDecision{"decisions.yaml": s.retainers, "connectors.yaml": s.connectors} {
		german, err := translated[[]wireRow](name)
		if err != nil {
			return s, err
		}
		nth := map[string]int{}
		for i, w := range rows {
			if n := nth[w.ID]; n < len(german[w.ID]) {
				rows[i].DE = german[w.ID][n]
			}
			nth[w.ID]++
		}
	}
	if s.says, err = translated[string]("says.yaml"); err != nil {
		return s, err
	}
	s.titles, err = translated[string]("profiles.yaml")
	return s, err
})

// translated reads the German that stands beside a shipped file.
func translated[T any](name string) (map[string]T, error) {
	raw, err := data.ReadFile("data/de/" + name)
	if err != nil {
		return nil, fmt.Errorf("reading the German of the shipped %s: %w", name, err)
	}
	var out map[string]T
	if err := yaml.UnmarshalWithOptions(raw, &out, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("reading the German of the shipped %s: %w", name, err)
	}
	return out, nil
}
