package rulebook

import (
	"fmt"
	"sort"
	"strings"
	"sync"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
	"cel.dev/cel-go/interpreter"
)

// costLimit stops an expression that would run away; the shipped rules need under 200.
const costLimit = 20000

// environment knows every fact and every limit by its full name and type, so that a
// misspelt one does not compile. It is the same for all books.
var environment = sync.OnceValues(func() (*cel.Env, error) {
	opts := []cel.EnvOption{cel.CrossTypeNumericComparisons(true)}
	for _, f := range Known {
		opts = append(opts, cel.Variable(f.Name, celType(f.Type)))
	}
	limits, err := shippedLimits()
	if err != nil {
		return nil, err
	}
	for _, l := range limits {
		t := cel.DoubleType
		if l.IsBool {
			t = cel.BoolType
		}
		opts = append(opts, cel.Variable("limit."+l.Name, t))
	}
	return cel.NewEnv(opts...)
})

func celType(t Type) *cel.Type {
	switch t {
	case Number:
		return cel.DoubleType
	case Count:
		return cel.IntType
	case Flag:
		return cel.BoolType
	case List:
		return cel.ListType(cel.StringType)
	}
	return cel.StringType
}

// expression is a compiled rule expression and the facts it reads.
type expression struct {
	source string
	refs   []string // facts and limits, in order
	prg    cel.Program
	bool   bool
}

// compiled keeps the programs of expressions already seen: every book shares most of
// them.
var compiled sync.Map // string -> *expression or error

// exprError says where in an expression the fault lies; line and column count from 1.
type exprError struct {
	line, column int
	text         string
}

func (e *exprError) Error() string { return e.text }

func compile(src string) (*expression, error) {
	if v, ok := compiled.Load(src); ok {
		if e, ok := v.(*expression); ok {
			return e, nil
		}
		return nil, v.(error)
	}
	e, err := compileFresh(src)
	if err != nil {
		compiled.Store(src, err)
		return nil, err
	}
	compiled.Store(src, e)
	return e, nil
}

func compileFresh(src string) (*expression, error) {
	env, err := environment()
	if err != nil {
		return nil, err
	}
	ast, issues := env.Compile(src)
	if issues != nil && issues.Err() != nil {
		first := issues.Errors()[0]
		return nil, &exprError{first.Location.Line(), first.Location.Column() + 1, plainCEL(first.Message)}
	}
	kind := ast.OutputType()
	isBool := kind.IsExactType(cel.BoolType)
	if !isBool && !kind.IsExactType(cel.DoubleType) && !kind.IsExactType(cel.IntType) && !kind.IsExactType(cel.StringType) {
		return nil, &exprError{1, 1, fmt.Sprintf("expected a yes/no question, a number or a text, this gives %s", kind)}
	}
	prg, err := env.Program(ast, cel.EvalOptions(cel.OptPartialEval), cel.CostLimit(costLimit))
	if err != nil {
		return nil, &exprError{1, 1, err.Error()}
	}
	seen := map[string]bool{}
	for _, r := range ast.NativeRep().ReferenceMap() {
		if r.Name != "" && len(r.OverloadIDs) == 0 && strings.Contains(r.Name, ".") {
			seen[r.Name] = true
		}
	}
	e := &expression{source: src, prg: prg, bool: isBool}
	for n := range seen {
		e.refs = append(e.refs, n)
	}
	sort.Strings(e.refs)
	return e, nil
}

// plainCEL rewords the compiler's commonest complaint.
func plainCEL(msg string) string {
	if name, ok := strings.CutPrefix(msg, "undeclared reference to '"); ok {
		name, _, _ = strings.Cut(name, "'")
		return fmt.Sprintf("%q is no fact and no limit; list them with: halfpear rules facts", name)
	}
	return msg
}

// activation hands a scope and a book's limits to CEL, and marks as unknown what the
// expression reads and the scope does not hold.
type activation struct {
	scope   *Scope
	limits  map[string]any
	unknown []*interpreter.AttributePattern
}

func (a *activation) ResolveName(name string) (any, bool) {
	if v, ok := a.limits[name]; ok {
		return v, true
	}
	v, ok := a.scope.Lookup(name)
	return v.forRules(), ok
}
func (a *activation) Parent() interpreter.Activation { return nil }
func (a *activation) UnknownAttributePatterns() []*interpreter.AttributePattern {
	return a.unknown
}

// outcome is what an expression gave: a value, or the facts it lacked, or a fault.
type outcome struct {
	val     ref.Val
	missing []string
	fault   error
}

func (o outcome) known() bool { return o.val != nil }
func (o outcome) yes() bool   { b, _ := o.val.(types.Bool); return o.val != nil && bool(b) }
func (o outcome) no() bool    { b, ok := o.val.(types.Bool); return ok && !bool(b) }
func (o outcome) float() float64 {
	switch v := o.val.(type) {
	case types.Double:
		return float64(v)
	case types.Int:
		return float64(v)
	}
	return 0
}

// eval never panics: a fault within an expression is an outcome like any other.
func (e *expression) eval(s *Scope, limits map[string]any) (out outcome) {
	defer func() {
		if r := recover(); r != nil {
			out = outcome{fault: fmt.Errorf("%q could not be worked out: %v", e.source, r)}
		}
	}()
	a := &activation{scope: s, limits: limits}
	var missing []string
	for _, n := range e.refs {
		if _, ok := a.ResolveName(n); !ok {
			missing = append(missing, n)
			a.unknown = append(a.unknown, interpreter.NewAttributePattern(n))
		}
	}
	v, _, err := e.prg.Eval(a)
	switch {
	case types.IsUnknown(v):
		return outcome{missing: missing}
	case err != nil && len(missing) > 0:
		return outcome{missing: missing}
	case err != nil:
		return outcome{fault: fmt.Errorf("%q could not be worked out: %w", e.source, err)}
	}
	return outcome{val: v}
}
