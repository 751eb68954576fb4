package order

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"

	"halfpear/casebook"
	"halfpear/tooth"
	"halfpear/words"
)

// Jurisdiction is what the law of one place asks of a work order, with the text it was
// read in and the day. It is data: see jurisdictions.yaml.
type Jurisdiction struct {
	Name      string
	Source    string
	CheckedOn string          // year-month-day
	Numbering tooth.Numbering // of teeth on papers
	Statement string          // form of the laboratory's statement for a custom-made device; empty where none is asked for
	Required  []string

	// NameOnDentistsCopy asks for a line for a handwritten name on the dentist's copy.
	NameOnDentistsCopy bool

	// KeepDentist and KeepLaboratory are how many years each side keeps the order; 0
	// where the text read states no period.
	KeepDentist, KeepLaboratory int

	label, title map[string]string
	notes        []map[string]string
}

// Label is the place's name.
func (j Jurisdiction) Label(l words.Lang) string { return inLang(j.label, l) }

// Title is what the document must be called there.
func (j Jurisdiction) Title(l words.Lang) string { return inLang(j.title, l) }

// Notes are peculiarities of the place that the paper must tell.
func (j Jurisdiction) Notes(l words.Lang) []string {
	var out []string
	for _, n := range j.notes {
		out = append(out, inLang(n, l))
	}
	return out
}

// Asks tells whether the place requires a field.
func (j Jurisdiction) Asks(field string) bool { return slices.Contains(j.Required, field) }

// inLang falls back on English.
func inLang(texts map[string]string, l words.Lang) string {
	if t, ok := texts[string(l.Language())]; ok {
		return t
	}
	return texts[string(words.English)]
}

//go:embed jurisdictions.yaml
var jurisdictionsYAML []byte

var shipped = sync.OnceValues(func() ([]Jurisdiction, error) { return ReadJurisdictions(jurisdictionsYAML) })

// ReadJurisdictions reads profiles written as jurisdictions.yaml is.
func ReadJurisdictions(data []byte) ([]Jurisdiction, error) {
	var file []struct {
		Name      string              `yaml:"name"`
		Label     map[string]string   `yaml:"label"`
		CheckedOn string              `yaml:"checked_on"`
		Source    string              `yaml:"source"`
		Title     map[string]string   `yaml:"title"`
		Numbering tooth.Numbering     `yaml:"numbering"`
		Statement string              `yaml:"statement"`
		NameLine  bool                `yaml:"name_on_dentists_copy"`
		Required  []string            `yaml:"required"`
		Keep      map[string]int      `yaml:"keep_years"`
		Notes     []map[string]string `yaml:"notes"`
	}
	if err := yaml.UnmarshalWithOptions(data, &file, yaml.Strict()); err != nil {
		return nil, fmt.Errorf("reading the jurisdictions: %w", err)
	}
	var out []Jurisdiction
	for _, f := range file {
		j := Jurisdiction{Name: f.Name, Source: f.Source, CheckedOn: f.CheckedOn, Numbering: f.Numbering, Statement: f.Statement, Required: f.Required,
			NameOnDentistsCopy: f.NameLine, KeepDentist: f.Keep["dentist"], KeepLaboratory: f.Keep["laboratory"], label: f.Label, title: f.Title, notes: f.Notes}
		for _, want := range []struct{ what, got string }{{"checked_on", j.CheckedOn}, {"source", j.Source}, {"an English title", j.title["en"]}, {"an English label", j.label["en"]}} {
			if want.got == "" {
				return nil, fmt.Errorf("reading the jurisdictions: %q lacks %s", f.Name, want.what)
			}
		}
		if j.Numbering != "" && !slices.Contains(tooth.Numberings[:], j.Numbering) {
			return nil, fmt.Errorf("reading the jurisdictions: %q numbers teeth by %q; expected one of %v", f.Name, j.Numbering, tooth.Numberings)
		}
		for _, name := range j.Required {
			if _, ok := FieldNamed(name); !ok {
				return nil, fmt.Errorf("reading the jurisdictions: %q requires the field %q, which the order does not have", f.Name, name)
			}
		}
		out = append(out, j)
	}
	return out, nil
}

// Jurisdictions lists the shipped profiles.
func Jurisdictions() []Jurisdiction {
	all, err := shipped()
	if err != nil {
		panic(err) // the shipped file is read by the tests
	}
	return all
}

// Numbering is how teeth are numbered where a case's order goes: as its jurisdiction does.
func Numbering(c casebook.Case) tooth.Numbering {
	j, err := JurisdictionNamed(c.Order.Jurisdiction)
	if err != nil {
		return tooth.FDI // whoever writes the order is told that there is no such jurisdiction
	}
	return j.Numbering
}

// JurisdictionNamed finds a shipped profile; the empty name is "generic".
func JurisdictionNamed(name string) (Jurisdiction, error) {
	if name == "" {
		name = "generic"
	}
	var names []string
	for _, j := range Jurisdictions() {
		if j.Name == name {
			return j, nil
		}
		names = append(names, j.Name)
	}
	return Jurisdiction{}, words.Errorf("jurisdiction %q: expected one of %s", name, strings.Join(names, ", "))
}
