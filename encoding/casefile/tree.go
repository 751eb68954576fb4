package casefile

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"

	"halfpear/words"
)

// mostValues is far above what any case holds. A few short lines of aliases that repeat one
// another can stand for more values than there is memory for.
const mostValues = 500_000

// jsonNumber is a number as JSON writes it with an exponent, such as 1e-05. YAML's parser
// takes those without a point for words, though JSON is YAML.
var jsonNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?[eE][+-]?[0-9]+$`)

// values goes through a document before it is turned into values: it makes numbers of bare
// words that are numbers in JSON, and says of what cannot be a case's value where it stands.
type values struct {
	root    ast.Node
	sizes   map[string]int // of the anchors met so far, with their aliases written out
	wrong   []Problem
	tooMany bool
}

func (v *values) visit(node ast.Node, path []string) (size int) {
	at1 := func(name string) []string { return append(path[:len(path):len(path)], name) }
	defer func() {
		if size > mostValues {
			size, v.tooMany = mostValues, true
		}
	}()
	switch n := node.(type) {
	case *ast.MappingNode:
		for _, m := range n.Values {
			size += v.visit(m, path)
		}
	case *ast.MappingValueNode:
		if f := number(n.Value); f != nil {
			n.Value = f
		}
		size = v.visit(n.Value, at1(n.Key.GetToken().Value))
	case *ast.SequenceNode:
		for i, e := range n.Values {
			if f := number(e); f != nil {
				n.Values[i] = f
			}
			size += v.visit(n.Values[i], at1(strconv.Itoa(i)))
		}
	case *ast.AnchorNode:
		if f := number(n.Value); f != nil {
			n.Value = f
		}
		size = v.visit(n.Value, path)
		v.sizes[n.Name.GetToken().Value] = size
	case *ast.AliasNode:
		size = v.sizes[n.Value.GetToken().Value]
	case *ast.TagNode:
		size = v.visit(n.Value, path)
	case *ast.StringNode:
		v.controls(n.Value, path)
	case *ast.LiteralNode:
		v.controls(n.Value.Value, path)
	case *ast.NanNode, *ast.InfinityNode:
		v.wrong = append(v.wrong, at(v.root, path, words.Tell("expected a number, found %v", node.GetToken().Value)))
	}
	return size + 1
}

// controls refuses control characters, which a text in quotation marks may spell out (as
// in "\u0000") and no paper can show.
func (v *values) controls(s string, path []string) {
	if i := strings.IndexFunc(s, control); i >= 0 {
		v.wrong = append(v.wrong, at(v.root, path, words.Tell("expected a text that can be printed, found the control character %U", rune(s[i]))))
	}
}

// control tells a control character other than tab and line break.
func control(r rune) bool { return r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0x7f }

// text is a file as the UTF-8 that YAML is read from, without the mark that some editors put
// in front; or why it is none.
func text(data []byte) ([]byte, *Problem) {
	for _, mark := range []string{"\xff\xfe", "\xfe\xff"} {
		if bytes.HasPrefix(data, []byte(mark)) {
			return nil, &Problem{Text: words.Tell("expected a text in UTF-8, found one in UTF-16; save it as UTF-8")}
		}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	line, column := 1, 1
	for rest := data; len(rest) > 0; {
		r, size := utf8.DecodeRune(rest)
		switch {
		case r == utf8.RuneError && size == 1:
			return nil, &Problem{Line: line, Column: column, Text: words.Tell("expected a text in UTF-8, found the byte %#x; save it as UTF-8", rest[0])}
		case control(r):
			return nil, &Problem{Line: line, Column: column, Text: words.Tell("expected a text that can be printed, found the control character %U", r)}
		case r == '\n':
			line, column = line+1, 0
		}
		column++
		rest = rest[size:]
	}
	return data, nil
}

// number is the number that a bare word stands for; nil where it is a word.
func number(node ast.Node) ast.Node {
	n, ok := node.(*ast.StringNode)
	if !ok || n.Token.Type != token.StringType || !jsonNumber.MatchString(n.Value) {
		return nil
	}
	f, err := strconv.ParseFloat(n.Value, 64)
	if err != nil {
		return nil // too large: stays a word, and is said to be none
	}
	return &ast.FloatNode{BaseNode: n.BaseNode, Token: n.Token, Value: f}
}

// look makes the document ready to be turned into values and lists what is wrong with it.
func look(root ast.Node) []Problem {
	v := values{root: root, sizes: map[string]int{}}
	v.visit(root, nil)
	if v.tooMany {
		v.wrong = append(v.wrong, Problem{Text: words.Tell("expected at most %d values, its aliases stand for more", mostValues)})
	}
	return v.wrong
}
