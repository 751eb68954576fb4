// Package casefile reads and writes case files: one YAML document a case, as described by
// the published schema. JSON is YAML, so a JSON case is read too.
package casefile

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"sort"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"

	"halfpear/casebook"
	"halfpear/words"
)

// Format is the version this package writes, and the only one it reads.
const Format = "case/1"

// largestFile is far above any case written by hand or by the program [bytes].
const largestFile = 16 << 20

//go:embed schema.json
var schemaText []byte

// Schema is the published JSON Schema (2020-12) of case files.
func Schema() []byte { return bytes.Clone(schemaText) }

// Problem is one thing wrong with a case file.
type Problem struct {
	Line, Column int    // 1-based; 0 where the place has no line of its own
	Field        string // as in "teeth.34.mobility"; empty for the file as a whole
	Text         words.Text
}

// Error says everything that is wrong with a case file.
type Error struct {
	Name     string // of the file; "" where it has none
	Problems []Problem
}

func (e *Error) Error() string { return e.Says().String() }

// In says it in a language.
func (e *Error) In(l words.Lang) string { return e.Says().In(l) }

// Says is all that is wrong, a line each.
func (e *Error) Says() words.Text {
	lines := make([]words.Text, len(e.Problems))
	for i, p := range e.Problems {
		at := e.Name
		if p.Line > 0 {
			at = strings.TrimPrefix(fmt.Sprintf("%s:%d:%d", e.Name, p.Line, p.Column), ":")
		}
		lines[i] = words.Join(": ", words.Plain(at), words.Plain(p.Field), p.Text)
	}
	return words.Tell("could not read the case: %v", words.Join("\n", lines...))
}

var compiled = sync.OnceValues(func() (*jsonschema.Schema, error) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaText))
	if err != nil {
		return nil, err
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("case.json", doc); err != nil {
		return nil, err
	}
	return c.Compile("case.json")
})

// Read reads one case. name is only used in errors, which are of type *Error and list
// every problem with its line and column.
func Read(name string, data []byte) (casebook.Case, error) {
	fail := func(problems ...Problem) (casebook.Case, error) {
		return casebook.Case{}, &Error{name, problems}
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return fail(Problem{Text: words.Tell("expected a case in YAML, the file is empty")})
	}
	if len(data) > largestFile {
		return fail(Problem{Text: words.Tell("expected a case in YAML of at most %d MB, the file has %d MB", largestFile>>20, len(data)>>20)})
	}
	data, wrongly := text(data)
	if wrongly != nil {
		return fail(*wrongly)
	}
	file, err := parser.ParseBytes(data, 0)
	if err != nil {
		return fail(syntax(err))
	}
	var root ast.Node
	for _, d := range file.Docs {
		if d.Body == nil {
			continue
		}
		if root != nil {
			return fail(at(d.Body, nil, words.Tell("expected one case in the file, a second document begins here")))
		}
		root = d.Body
	}
	if root == nil {
		return fail(Problem{Text: words.Tell("expected a case in YAML, the file holds only comments")})
	}
	if wrong := look(root); len(wrong) > 0 {
		return fail(wrong...)
	}
	var tree any
	if err := yaml.NodeToValue(root, &tree); err != nil {
		return fail(syntax(err))
	}
	top, ok := tree.(map[string]any)
	if !ok {
		return fail(at(root, nil, words.Tell("expected fields such as format, arch and teeth, found %s", sort1(tree))))
	}
	if f, ok := top["format"]; !ok {
		return fail(at(root, nil, words.Tell("expected the field format: %s, it is not there", Format)))
	} else if f != Format {
		return fail(at(root, []string{"format"}, words.Tell("expected %s, found %v; a newer program may have written this case", Format, f)))
	}
	asJSON, err := json.Marshal(tree)
	if err != nil {
		return fail(Problem{Text: words.Tell("a number is infinite or not a number: %v", err)})
	}
	plain, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
	if err != nil {
		return fail(Problem{Text: words.OfError(err)})
	}
	schema, err := compiled()
	if err != nil {
		return casebook.Case{}, fmt.Errorf("compiling the case schema: %w", err)
	}
	if err := schema.Validate(plain); err != nil {
		var v *jsonschema.ValidationError
		if !errors.As(err, &v) {
			return fail(Problem{Text: words.OfError(err)})
		}
		return fail(violations(root, v)...)
	}
	var wire File
	if err := json.Unmarshal(asJSON, &wire); err != nil {
		return fail(Problem{Text: words.OfError(err)})
	}
	c, wrong := wire.AsCase()
	for _, p := range c.Chart.Validate() {
		wrong = append(wrong, Problem{Field: p.Field, Text: p.Text})
	}
	if len(wrong) > 0 {
		for i, p := range wrong {
			pos := at(root, strings.Split(p.Field, "."), p.Text)
			wrong[i] = pos
		}
		return fail(wrong...)
	}
	return c, nil
}

// Write gives the case as YAML. The same case gives the same bytes.
func Write(c casebook.Case) ([]byte, error) {
	out, err := yaml.MarshalWithOptions(FromCase(c), yaml.IndentSequence(true), yaml.UseSingleQuote(false))
	if err != nil {
		return nil, fmt.Errorf("writing case %s: %w", c.ID, err)
	}
	return out, nil
}

// at makes a Problem at the deepest part of path that the document holds.
func at(root ast.Node, path []string, text words.Text) Problem {
	p := Problem{Field: strings.Join(path, "."), Text: text}
	node, pos := root, root.GetToken().Position
	if m, ok := root.(*ast.MappingNode); ok && len(m.Values) > 0 {
		pos = m.Values[0].Key.GetToken().Position
	}
	for _, name := range path {
		next := child(node, name)
		if next == nil {
			break
		}
		pos = next.GetToken().Position
		node = next
		if v, ok := next.(*ast.MappingValueNode); ok {
			pos, node = v.Key.GetToken().Position, v.Value
		}
	}
	if pos != nil {
		p.Line, p.Column = pos.Line, pos.Column
	}
	return p
}

func child(node ast.Node, name string) ast.Node {
	switch n := node.(type) {
	case *ast.MappingNode:
		for _, v := range n.Values {
			if v.Key.GetToken().Value == name {
				return v
			}
		}
	case *ast.MappingValueNode:
		if n.Key.GetToken().Value == name {
			return n
		}
	case *ast.SequenceNode:
		var i int
		if _, err := fmt.Sscanf(name, "%d", &i); err == nil && i < len(n.Values) {
			return n.Values[i]
		}
	case *ast.AnchorNode:
		return child(n.Value, name)
	}
	return nil
}

// ownWords are what the YAML library says most often, told in words of our own.
var ownWords = []struct {
	library *regexp.Regexp
	tell    func(found []string) words.Text
}{
	{regexp.MustCompile(`^mapping key "(.*)" already defined at \[(\d+):\d+\]$`), func(m []string) words.Text {
		return words.Tell("the field %s stands twice, first in line %s", m[1], m[2])
	}},
	{regexp.MustCompile(`^could not find alias "(.*)"$`), func(m []string) words.Text {
		return words.Tell("nothing before this place is marked &%s", m[1])
	}},
	{regexp.MustCompile(`^found character '\t' that cannot start any token$`), func([]string) words.Text {
		return words.Tell("the line is indented with a tab; expected spaces")
	}},
	{regexp.MustCompile(`^could not find end character of (?:single|double)-quoted text$`), func([]string) words.Text {
		return words.Tell("the text in quotation marks does not end")
	}},
	{regexp.MustCompile(`^exceeded max depth$`), func([]string) words.Text {
		return words.Tell("its brackets or aliases stand too deep in one another")
	}},
}

func syntax(err error) Problem {
	var p Problem
	message := err.Error()
	var e yaml.Error
	if errors.As(err, &e) {
		message = e.GetMessage()
		if t := e.GetToken(); t != nil && t.Position != nil {
			p.Line, p.Column = t.Position.Line, t.Position.Column
		}
	}
	for _, own := range ownWords {
		if m := own.library.FindStringSubmatch(message); m != nil {
			p.Text = own.tell(m)
			return p
		}
	}
	p.Text = words.OfError(errors.New(message))
	return p
}

// violations turns the schema's verdict into sentences, in the order of the file.
func violations(root ast.Node, v *jsonschema.ValidationError) []Problem {
	var out []Problem
	var walk func(v *jsonschema.ValidationError)
	walk = func(v *jsonschema.ValidationError) {
		path := v.InstanceLocation
		switch k := v.ErrorKind.(type) {
		case *kind.AdditionalProperties:
			for _, name := range k.Properties {
				out = append(out, at(root, append(append([]string{}, path...), name), nearest(name, v.SchemaURL)))
			}
		case *kind.Type:
			out = append(out, at(root, path, words.Tell("expected %v, found %v", typeNames(k.Want), typeNames([]string{k.Got}))))
		case *kind.Enum:
			want := make([]string, len(k.Want))
			for i, w := range k.Want {
				want[i] = fmt.Sprint(w)
			}
			out = append(out, at(root, path, words.Tell("expected one of %s, found %v", strings.Join(want, ", "), k.Got)))
		case *kind.Required:
			for _, m := range k.Missing {
				out = append(out, at(root, path, words.Tell("the field %s is missing", m)))
			}
		case *kind.Minimum:
			out = append(out, at(root, path, words.Tell("expected at least %s, found %s", k.Want.RatString(), k.Got.FloatString(2))))
		case *kind.Maximum:
			out = append(out, at(root, path, words.Tell("expected at most %s, found %s", k.Want.RatString(), k.Got.FloatString(2))))
		case *kind.Pattern:
			out = append(out, at(root, path, words.Tell("expected two characters, a dash and four, as in K7-3FQ2, found %q", k.Got)))
		case *kind.PropertyNames:
			out = append(out, at(root, append(append([]string{}, path...), k.Property), words.Tell("%q is no tooth: expected an FDI number such as 34", k.Property)))
			return
		case *kind.Schema, *kind.Group, *kind.Reference, *kind.AllOf:
		case *kind.AnyOf, *kind.OneOf:
			out = append(out, at(root, path, words.Tell("expected one tooth number or a list of them")))
			return
		default:
			if len(v.Causes) == 0 {
				out = append(out, at(root, path, words.Tell("this value is not allowed here")))
			}
		}
		for _, c := range v.Causes {
			walk(c)
		}
	}
	walk(v)
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Line != out[j].Line {
			return out[i].Line < out[j].Line
		}
		return out[i].Column < out[j].Column
	})
	return out
}

func typeNames(types []string) words.Text {
	names := map[string]words.Text{"object": words.Tell("fields"), "array": words.Tell("a list"), "string": words.Tell("a word"), "number": words.Tell("a number"),
		"integer": words.Tell("a whole number"), "boolean": words.Tell("true or false"), "null": words.Tell("nothing")}
	out := names[types[0]]
	for _, t := range types[1:] {
		out = words.Tell("%v or %v", out, names[t])
	}
	return out
}

func sort1(v any) words.Text {
	switch v.(type) {
	case nil:
		return words.Tell("nothing")
	case []any:
		return words.Tell("a list")
	case string:
		return words.Tell("a piece of text; is this a case file?")
	}
	return words.Tell("a single value")
}

// nearest says of an unknown field which known one is most like it, or which there are.
func nearest(name, schemaURL string) words.Text {
	i := strings.LastIndex(schemaURL, "/")
	var schema struct {
		Properties map[string]any `json:"properties"`
		Defs       map[string]struct {
			Properties map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	if json.Unmarshal(schemaText, &schema) != nil {
		return words.Tell("there is no such field")
	}
	known := schema.Properties
	if d, ok := schema.Defs[schemaURL[i+1:]]; ok {
		known = d.Properties
	}
	best, at := "", len(name)/2+1
	names := make([]string, 0, len(known))
	for k := range known {
		names = append(names, k)
	}
	sort.Strings(names)
	for _, k := range names {
		if d := distance(name, k); d < at {
			best, at = k, d
		}
	}
	if best == "" {
		return words.Tell("there is no such field; the known ones here are %v", strings.Join(names, ", "))
	}
	return words.Tell("there is no such field; did you mean %v?", best)
}

// distance is the number of letters to change, add or drop to turn a into b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			diagonal, row[j] = row[j], min(row[j]+1, row[j-1]+1, diagonal+cost)
		}
	}
	return row[len(b)]
}
