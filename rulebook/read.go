package rulebook

import (
	"errors"
	"fmt"
	"sort"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"halfpear/design"
	"halfpear/source"
	"halfpear/tooth"
	"halfpear/words"
)

// Problem is one fault of a school's profile, with where it stands in the file.
type Problem struct {
	Line, Column int
	Text         string
}

func (p Problem) Error() string {
	return fmt.Sprintf("line %d, column %d: %s", p.Line, p.Column, p.Text)
}

// Read makes a book of a school's own profile. When there are problems the book is nil.
func Read(raw []byte) (*Book, []Problem) { return read(raw, "") }

var profileKeys = []string{"profile", "language", "base", "title", "limits", "severities", "off", "choices", "connectors", "checks"}

func read(raw []byte, own string) (*Book, []Problem) {
	where, problems := locate(raw)
	if len(problems) > 0 {
		return nil, problems
	}
	say := func(path, format string, args ...any) {
		p := where.at(path)
		p.Text = fmt.Sprintf(format, args...)
		problems = append(problems, p)
	}
	for _, k := range where.keys("$") {
		if !contains(profileKeys, k) {
			say("$."+k, "%q is no part of a profile; expected one of %s", k, strings.Join(profileKeys, ", "))
		}
	}
	if len(problems) > 0 {
		return nil, problems
	}
	var w wireProfile
	if err := yaml.UnmarshalWithOptions(raw, &w, yaml.Strict()); err != nil {
		return nil, []Problem{yamlProblem(err)}
	}
	if w.Profile == "" {
		say("$", "a profile says its name, as in: profile: my-school")
	}
	base := own
	if own == "" {
		if base = w.Base; base == "" {
			base = Profiles[0]
		}
		if !contains(Profiles[:], base) {
			say("$.base", "%q is no shipped profile; expected one of %s", base, strings.Join(Profiles[:], ", "))
			return nil, problems
		}
	}
	b, err := makeBook(base, own == "")
	if err != nil {
		return nil, []Problem{{1, 1, err.Error()}}
	}
	lang := words.English
	if w.Language != "" {
		if lang, err = words.ParseLang(w.Language); err != nil || lang == words.Pseudo {
			say("$.language", "%q is no language of the program; expected one of %v", w.Language, words.Langs)
		}
	}
	b.Profile, b.Title = w.Profile, b.sentence(lang, w.Title)
	if own != "" {
		s, err := shipped()
		if err != nil {
			return nil, []Problem{{1, 1, err.Error()}}
		}
		b.Title = words.Own(w.Title, s.titles[own])
	}

	for _, name := range sortedKeys(w.Limits) {
		path := "$.limits." + name
		l, ok := b.limits[name]
		if !ok {
			say(path, "%q is no limit of the rulebook%s", name, nearest(name, b.limits))
			continue
		}
		was := l.IsBool
		if err := l.take(w.Limits[name]); err != nil || l.IsBool != was {
			want := "a number"
			if was {
				want = "true or false"
			}
			say(path, "limit %s: expected %s, found %v", name, want, w.Limits[name])
			continue
		}
		l.Own = true
		b.setLimit(l)
	}
	for _, id := range sortedKeys(w.Severities) {
		path := "$.severities." + id
		c, ok := b.Rule(RuleID(id))
		if !ok {
			say(path, "%q is no check of the rulebook", id)
			continue
		}
		grades := severities(w.Severities[id])
		if len(grades) == 0 {
			say(path, "expected stop, caution or note, or a list of them, worst first; found %v", w.Severities[id])
			continue
		}
		if len(grades) > 1 && len(grades) != len(c.Grades) {
			say(path, "%s has %d grades, %d severities are given", id, len(c.Grades), len(grades))
			continue
		}
		for i := range c.Grades {
			c.Grades[i].Severity = grades[min(i, len(grades)-1)]
		}
	}
	for i, id := range w.Off {
		if c, ok := b.Rule(RuleID(id)); ok {
			c.Off = true
		} else {
			say(fmt.Sprintf("$.off[%d]", i), "%q is no check of the rulebook", id)
		}
	}
	for _, part := range []struct {
		key    string
		chosen map[string][]wireChoice
		rows   []Decision
	}{{"choices", w.Choices, b.Retainers}, {"connectors", w.Connectors, b.Connectors}} {
		for _, id := range sortedKeys(part.chosen) {
			path := "$." + part.key + "." + id
			choices, err := b.takeChoices(lang, part.chosen[id], part.key == "connectors")
			if err != nil {
				say(path, "%v", err)
				continue
			}
			found := false
			for i := range part.rows {
				if part.rows[i].ID == RuleID(id) {
					part.rows[i].Choices, found = choices, true
				}
			}
			if !found {
				say(path, "%q is no row of this decision table", id)
			}
		}
	}
	for i, wc := range w.Checks {
		path := fmt.Sprintf("$.checks[%d]", i)
		c, faults := b.takeCheck(lang, wc)
		for _, f := range faults {
			p := where.at(path + "." + f.field)
			p.Text = f.text
			if f.column > 0 {
				v := where.value(path + "." + f.field)
				if v.Line > 0 {
					p.Line, p.Column = v.Line+f.line-1, v.Column+f.column-1
				}
			}
			problems = append(problems, p)
		}
		if len(faults) > 0 {
			continue
		}
		replaced := false
		for j := range b.Checks {
			if b.Checks[j].ID == c.ID {
				b.Checks[j], replaced = c, true
			}
		}
		if !replaced {
			b.Checks = append(b.Checks, c)
		}
	}
	if len(problems) > 0 {
		return nil, problems
	}
	return b, nil
}

// makeBook is the shipped rulebook as a shipped profile reads it. Where that profile is
// only the base of another, its own settings are taken first.
func makeBook(base string, withSettings bool) (*Book, error) {
	s, err := shipped()
	if err != nil {
		return nil, err
	}
	b := &Book{Base: base, values: map[string]any{}, refs: s.sources, limits: map[string]Limit{}, says: s.says}
	limits, err := shippedLimits()
	if err != nil {
		return nil, err
	}
	for _, l := range limits {
		b.setLimit(l)
	}
	for _, w := range s.checks {
		c, faults := b.takeCheck(words.English, w)
		if len(faults) > 0 {
			return nil, fmt.Errorf("shipped check %s, %s: %s", w.ID, faults[0].field, faults[0].text)
		}
		b.Checks = append(b.Checks, c)
	}
	sort.SliceStable(b.Checks, func(i, j int) bool { return b.Checks[i].ID < b.Checks[j].ID })
	if b.Retainers, err = b.takeDecisions(s.retainers, base, false); err != nil {
		return nil, err
	}
	if b.Connectors, err = b.takeDecisions(s.connectors, base, true); err != nil {
		return nil, err
	}
	if withSettings {
		from, err := Open(base)
		if err != nil {
			return nil, err
		}
		for _, l := range from.Limits {
			b.setLimit(l)
		}
		for i, c := range from.Checks {
			own := *c
			own.Grades = append([]Grade(nil), c.Grades...)
			b.Checks[i] = &own
		}
	}
	return b, nil
}

func (b *Book) setLimit(l Limit) {
	found := false
	for i := range b.Limits {
		if b.Limits[i].Name == l.Name {
			b.Limits[i], found = l, true
		}
	}
	if !found {
		b.Limits = append(b.Limits, l)
	}
	b.limits[l.Name] = l
	if l.IsBool {
		b.values["limit."+l.Name] = l.Bool
	} else {
		b.values["limit."+l.Name] = l.Value
	}
}

func severities(v any) []Severity {
	var words []any
	switch v := v.(type) {
	case string:
		words = []any{v}
	case []any:
		words = v
	}
	var out []Severity
	for _, w := range words {
		s := Severity(fmt.Sprint(w))
		if s != Stop && s != Caution && s != Note {
			return nil
		}
		out = append(out, s)
	}
	return out
}

// fault is what is wrong with one field of a check.
type fault struct {
	field        string
	line, column int // within the field, from 1; 0 for the whole field
	text         string
}

// sentence is a sentence of a profile in its own language; what the shipped rulebook says
// in both is known in both.
func (b *Book) sentence(lang words.Lang, s string) words.Word {
	if lang == words.German {
		return words.Own("", s)
	}
	return words.Own(s, b.says[s])
}

func (b *Book) takeCheck(lang words.Lang, w wireCheck) (*Check, []fault) {
	var faults []fault
	say := func(field, format string, args ...any) {
		faults = append(faults, fault{field: field, text: fmt.Sprintf(format, args...)})
	}
	en, de := wireProse{w.Title, w.Asks, w.Message, w.Why, w.Remedy}, w.DE
	if lang == words.German {
		en, de = w.EN, en
	}
	c := &Check{ID: RuleID(w.ID), Title: words.Own(en.Title, de.Title), Over: Over(w.Over), When: w.When, Value: w.Value, Unit: w.Unit, Asks: words.Own(en.Asks, de.Asks),
		Why: words.Own(en.Why, de.Why), Basis: w.Basis, Mark: source.Mark(w.Mark)}
	if w.ID == "" {
		say("id", "a check has an id, as in \"MY-001\"")
	}
	if c.Over == "" {
		c.Over = OverCase
	}
	if _, ok := overs[c.Over]; !ok {
		say("over", "%q is nothing a check can be asked over", w.Over)
		return c, faults
	}
	for _, need := range []struct{ field, v string }{{"title", w.Title}, {"message", w.Message}, {"why", w.Why}, {"remedy", w.Remedy}} {
		if need.v == "" {
			say(need.field, "check %s has no %s", w.ID, need.field)
		}
	}
	switch c.Mark {
	case source.LookedUp, source.FromMemory, source.CommonPractice, source.Ours:
	default:
		say("mark", "expected looked up, from memory, common practice or ours; found %q", w.Mark)
	}
	for _, key := range w.Sources {
		r, ok := b.refs[key]
		if !ok {
			r = source.Ref{Key: key, Cite: key, Mark: c.Mark}
		}
		c.Sources = append(c.Sources, r)
	}
	expr := func(field, src string, boolean bool) *expression {
		if src == "" {
			return nil
		}
		e, err := compile(src)
		if err != nil {
			var at *exprError
			f := fault{field: field, text: fmt.Sprintf("check %s: %v", w.ID, err)}
			if errors.As(err, &at) {
				f.line, f.column = at.line, at.column
			}
			faults = append(faults, f)
			return nil
		}
		if e.bool != boolean {
			want := map[bool]string{true: "a yes/no question", false: "a number"}[boolean]
			say(field, "check %s: expected %s, this is not: %s", w.ID, want, src)
		}
		for _, r := range e.refs {
			group, _, _ := strings.Cut(r, ".")
			if !contains(caseGroups, group) && !contains(overs[c.Over], group) {
				say(field, "check %s is asked over %s; %s is not known there", w.ID, c.Over, r)
			}
		}
		return e
	}
	c.when = expr("when", w.When, true)
	c.value = expr("value", w.Value, false)
	if len(w.Grades) == 0 {
		say("grades", "check %s has no grades, so it can never fail", w.ID)
	}
	for i, g := range w.Grades {
		field := fmt.Sprintf("grades[%d]", i)
		grade := Grade{Severity: Severity(g.Is), Below: g.Below, Above: g.Above, AtLeast: g.AtLeast, AtMost: g.AtMost, Fails: g.Fails, If: g.If}
		if grade.Severity != Stop && grade.Severity != Caution && grade.Severity != Note {
			say(field+".is", "expected stop, caution or note; found %q", g.Is)
		}
		n := 0
		for key, src := range map[string]string{"below": g.Below, "above": g.Above, "at_least": g.AtLeast, "at_most": g.AtMost} {
			if src != "" {
				n++
				grade.limit = expr(field+"."+key, src, false)
				if c.Value == "" {
					say(field+"."+key, "check %s compares a number, but says no value", w.ID)
				}
			}
		}
		if g.Fails != "" {
			n++
			grade.fails = expr(field+".fails", g.Fails, true)
		}
		if n != 1 {
			say(field, "check %s: a grade says exactly one of below, above, at_least, at_most or fails", w.ID)
		}
		grade.when = expr(field+".if", g.If, true)
		c.Grades = append(c.Grades, grade)
	}
	for _, t := range []struct {
		field  string
		en, de string
		to     *Prose
	}{{"message", en.Message, de.Message, &c.Message}, {"remedy", en.Remedy, de.Remedy, &c.Remedy}} {
		var err error
		if *t.to, err = prose(t.en, t.de); err != nil {
			say(t.field, "check %s: %v", w.ID, err)
		}
		for _, name := range t.to.slots {
			if !b.knownSlot(name) {
				say(t.field, "check %s: {%s} is no fact and no limit", w.ID, name)
			}
		}
	}
	return c, faults
}

func (b *Book) takeDecisions(wire []wireDecision, profile string, connectors bool) ([]Decision, error) {
	var out []Decision
	for _, w := range wire {
		d := Decision{ID: RuleID(w.ID), Situation: words.Own(w.Situation, w.DE.Situation), When: w.When, Why: words.Own(w.Why, w.DE.Why), Basis: w.Basis}
		if w.Arch != "" {
			a, err := tooth.ParseArch(w.Arch)
			if err != nil {
				return nil, fmt.Errorf("decision %s: %w", w.ID, err)
			}
			d.Arch = a
		}
		for _, key := range w.Sources {
			r, ok := b.refs[key]
			if !ok {
				return nil, fmt.Errorf("decision %s: %q is no source", w.ID, key)
			}
			d.Sources = append(d.Sources, r)
		}
		var err error
		if d.when, err = compile(w.When); err != nil {
			return nil, fmt.Errorf("decision %s: %w", w.ID, err)
		}
		raw := w.Choices
		if m, ok := raw.(map[string]any); ok {
			raw = m[profile]
		}
		text, err := yaml.Marshal(raw)
		if err != nil {
			return nil, fmt.Errorf("decision %s: %w", w.ID, err)
		}
		var choices []wireChoice
		if err := yaml.UnmarshalWithOptions(text, &choices, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("decision %s: %w", w.ID, err)
		}
		if d.Choices, err = b.takeChoices(words.English, choices, connectors); err != nil {
			return nil, fmt.Errorf("decision %s: %w", w.ID, err)
		}
		if len(d.Choices) == 0 {
			return nil, fmt.Errorf("decision %s has no choices for %s", w.ID, profile)
		}
		out = append(out, d)
	}
	return out, nil
}

func (b *Book) takeChoices(lang words.Lang, wire []wireChoice, connectors bool) ([]Choice, error) {
	kind := design.Retainer
	if connectors {
		kind = design.MajorConnector
	}
	var out []Choice
	for _, w := range wire {
		c := Choice{Form: design.Form(w.Form), Rest: w.Rest, Sites: w.Site, Metal: w.Metal, Make: w.Make, Reciprocation: design.Form(w.Reciprocation),
			Only: w.Only, MinArm: w.MinArm, Rule: w.Rule, Height: w.Height}
		if w.Say != "" {
			c.Say = b.sentence(lang, w.Say)
		}
		known := c.Form == design.ClaspNone
		for _, f := range design.Forms[kind] {
			known = known || f == c.Form
		}
		if !known {
			return nil, fmt.Errorf("%q is no form of a %s; expected one of %v", w.Form, kind, design.Forms[kind])
		}
		if !connectors && !contains([]string{"mesial", "distal", "cingulum", "near", "both", "embrasure", "none"}, c.Rest) {
			return nil, fmt.Errorf("%q is no place for a rest; expected mesial, distal, cingulum, near, both, embrasure or none", w.Rest)
		}
		for _, s := range c.Sites {
			if !contains([]string{"mesial", "mid", "distal", "far", "near", "lingual", "mesiolingual"}, s) {
				return nil, fmt.Errorf("%q is no place for an undercut; expected mesial, mid, distal, far, near, lingual or mesiolingual", s)
			}
		}
		out = append(out, c)
	}
	return out, nil
}

// places finds where the parts of a YAML file stand.
type places struct{ file *ast.File }

func locate(raw []byte) (places, []Problem) {
	f, err := parser.ParseBytes(raw, 0)
	if err != nil {
		return places{}, []Problem{yamlProblem(err)}
	}
	if len(f.Docs) == 0 || f.Docs[0].Body == nil {
		return places{}, []Problem{{1, 1, "the file is empty; expected a profile"}}
	}
	if f.Docs[0].Body.Type() != ast.MappingType {
		return places{}, []Problem{{1, 1, "expected a profile, which is a list of names and values"}}
	}
	return places{f}, nil
}

// at is where the key at a path stands, or the nearest thing above it.
func (p places) at(path string) Problem {
	for path != "" {
		if node := p.find(path, true); node != nil && node.GetToken() != nil {
			pos := node.GetToken().Position
			return Problem{Line: pos.Line, Column: pos.Column}
		}
		i := strings.LastIndexAny(path, ".[")
		if i < 0 {
			break
		}
		path = path[:i]
	}
	return Problem{Line: 1, Column: 1}
}

// value is where the value at a path stands.
func (p places) value(path string) Problem {
	if node := p.find(path, false); node != nil && node.GetToken() != nil {
		pos := node.GetToken().Position
		col := pos.Column
		if o := node.GetToken().Origin; strings.HasPrefix(strings.TrimLeft(o, " "), "\"") || strings.HasPrefix(strings.TrimLeft(o, " "), "'") {
			col++
		}
		return Problem{Line: pos.Line, Column: col}
	}
	return Problem{}
}

// find walks the tree by hand: names of this file hold dots, which a path query would
// take apart.
func (p places) find(path string, key bool) ast.Node {
	node := p.file.Docs[0].Body
	rest := strings.TrimPrefix(path, "$")
	var keyNode ast.Node = node
	for rest != "" {
		switch rest[0] {
		case '.':
			pairs := mapping(node)
			best, bestLen := -1, 0
			for i, kv := range pairs {
				k := kv.Key.GetToken().Value
				if strings.HasPrefix(rest[1:], k) && len(k) > bestLen {
					after := rest[1+len(k):]
					if after == "" || after[0] == '.' || after[0] == '[' {
						best, bestLen = i, len(k)
					}
				}
			}
			if best < 0 {
				return nil
			}
			keyNode, node = pairs[best].Key, pairs[best].Value
			rest = rest[1+bestLen:]
		case '[':
			var i, n int
			if _, err := fmt.Sscanf(rest, "[%d]%n", &i, &n); err != nil {
				if _, err := fmt.Sscanf(rest, "[%d]", &i); err != nil {
					return nil
				}
			}
			seq, ok := node.(*ast.SequenceNode)
			if !ok || i >= len(seq.Values) {
				return nil
			}
			node = seq.Values[i]
			keyNode = node
			rest = rest[strings.IndexByte(rest, ']')+1:]
		default:
			return nil
		}
	}
	if key {
		return keyNode
	}
	return node
}

func mapping(n ast.Node) []*ast.MappingValueNode {
	switch n := n.(type) {
	case *ast.MappingNode:
		return n.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}
	}
	return nil
}

func (p places) keys(path string) []string {
	var out []string
	for _, kv := range mapping(p.find(path, false)) {
		out = append(out, kv.Key.GetToken().Value)
	}
	return out
}

// yamlProblem turns a YAML reader's complaint into a place and a sentence.
func yamlProblem(err error) Problem {
	var yerr yaml.Error
	if errors.As(err, &yerr) {
		p := Problem{Line: 1, Column: 1, Text: yerr.GetMessage()}
		if t := yerr.GetToken(); t != nil {
			p.Line, p.Column = t.Position.Line, t.Position.Column
		}
		return p
	}
	return Problem{1, 1, err.Error()}
}

func contains[S ~string](list []S, s S) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// nearest names a limit that was perhaps meant: one that differs in case or by two
// letters at most.
func nearest(name string, limits map[string]Limit) string {
	best, bestDist := "", 3
	for _, l := range sortedKeys(limits) {
		if d := distance(strings.ToLower(name), strings.ToLower(l)); d < bestDist {
			best, bestDist = l, d
		}
	}
	if best == "" {
		return "; list them with: halfpear rules list"
	}
	return fmt.Sprintf("; did you mean %s?", best)
}

// distance counts the single-letter changes that turn a into b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diag := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diag
			if a[i-1] != b[j-1] {
				cost = 1 + min(diag, row[j], row[j-1])
			}
			diag, row[j] = row[j], cost
		}
	}
	return row[len(b)]
}
