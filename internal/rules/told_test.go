package rules

import (
	"go/ast"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// tellers are the functions that hand an English sentence on to words.Tell, with the place
// of the sentence among their arguments.
var tellers = map[string]int{"words.Tell": 0, "words.Errorf": 0, "Tell": 0, "refusef": 1, "short": 4}

var valuePlace = regexp.MustCompile(`%(\[\d+\])?[-+#0]*\d*(\.\d+)?[a-zA-Z]`)

// Every sentence that the program tells has its German in package words, which asks for as
// many values, and no German is left over.
func TestWhatIsToldIsToldInGerman(t *testing.T) {
	german := map[string]string{}
	told := map[string]string{}
	for _, s := range sources(t) {
		test := strings.HasSuffix(s.file, "_test.go")
		ast.Inspect(s.ast, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			name := callee(call)
			if s.pkg == "words" && name == "tell" {
				for en, de := range entries(t, s.file, call) {
					german[en] = de
				}
				return true
			}
			at, ok := tellers[name]
			if !ok || test || s.pkg != "words" && name == "Tell" || len(call.Args) <= at {
				return true
			}
			text, ok := literal(call.Args[at])
			switch {
			case !ok && name == "words.Tell" && s.pkg != "placement" && !forwards(call.Args[at]):
				t.Errorf("%s: words.Tell is given something that is no plain string: its German cannot be looked up", s.file)
			case ok:
				told[text] = s.file
			}
			return true
		})
	}
	if len(told) < 50 {
		t.Fatalf("only %d told sentences were found", len(told))
	}
	for en, file := range told {
		de, ok := german[en]
		if !ok {
			t.Errorf("%s: no German for %q: put it into words/told_….go", file, en)
			continue
		}
		if a, b := valuePlace.FindAllString(en, -1), valuePlace.FindAllString(de, -1); len(a) != len(b) {
			t.Errorf("%q takes %d values, its German %q takes %d", en, len(a), de, len(b))
		}
		if en == de && strings.ContainsAny(strings.ReplaceAll(valuePlace.ReplaceAllString(en, ""), " ", ""), "abcdefghijklmnopqrstuvwxyz") {
			t.Errorf("%q is the same in German", en)
		}
	}
	for en := range german {
		if _, ok := told[en]; !ok {
			t.Errorf("nobody tells %q any more: take its German out of package words", en)
		}
	}
}

// callee names what is called: "Tell", "words.Tell", and a method by its own name alone.
func callee(c *ast.CallExpr) string {
	switch f := c.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok && x.Name == "words" {
			return "words." + f.Sel.Name
		}
		return f.Sel.Name
	}
	return ""
}

// forwards tells a sentence that a teller only hands on: a parameter of its own.
func forwards(e ast.Expr) bool {
	id, ok := e.(*ast.Ident)
	return ok && slices.Contains([]string{"why", "format", "english"}, id.Name)
}

func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

// entries reads the map that tell is given.
func entries(t *testing.T, file string, call *ast.CallExpr) map[string]string {
	t.Helper()
	out := map[string]string{}
	m, ok := call.Args[0].(*ast.CompositeLit)
	if !ok {
		t.Fatalf("%s: tell is given no map", file)
	}
	for _, e := range m.Elts {
		kv := e.(*ast.KeyValueExpr)
		en, ok1 := literal(kv.Key)
		de, ok2 := literal(kv.Value)
		if !ok1 || !ok2 {
			t.Errorf("%s: %v is no pair of plain strings", file, kv.Key)
			continue
		}
		out[en] = de
	}
	return out
}
