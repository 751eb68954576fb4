package api

import (
	"fmt"
	"reflect"
	"sort"
	"strings"
)

// roots are the shapes that travel by themselves; the others follow from their fields.
var roots = []any{About{}, Listed{}, NewCase{}, State{}, Save{}, OnTop{}, Step{}, Failure{}, Progress{}, Plan{},
	Cast{}, PlaceTooth{}, Surveyed{}, Probe{}, TiltMap{},
	Proposals{}, Laid{}, MoveTip{}, Judged{}, Reckoned{}, OrderForm{}, Sign{}}

// TypeScript writes every shape as an interface. The same shapes give the same text.
func TypeScript() string {
	g := generator{seen: map[reflect.Type]string{}, names: map[string]reflect.Type{}}
	for _, r := range roots {
		g.name(reflect.TypeOf(r))
	}
	sort.Strings(g.out)
	return "// Generated from package api by `go generate ./web/api`. Do not edit.\n\n" + strings.Join(g.out, "\n")
}

type generator struct {
	seen  map[reflect.Type]string
	names map[string]reflect.Type
	out   []string
}

// name gives the TypeScript name of a struct, writing its interface the first time. A
// name that two packages use gets the package's name in front the second time.
func (g *generator) name(t reflect.Type) string {
	if n, ok := g.seen[t]; ok {
		return n
	}
	n := t.Name()
	if other, taken := g.names[n]; taken && other != t {
		n = "File" + n
	}
	if n == "File" {
		n = "CaseFile"
	}
	g.seen[t], g.names[n] = n, t
	var b strings.Builder
	fmt.Fprintf(&b, "export interface %s {\n", n)
	for _, f := range reflect.VisibleFields(t) {
		if f.Anonymous {
			continue // its fields are visible themselves
		}
		key, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if key == "" || key == "-" {
			panic(fmt.Sprintf("field %s.%s has no JSON name", t, f.Name))
		}
		opt := ""
		if strings.Contains(options, "omitempty") {
			opt = "?"
		}
		// An optional pointer is simply left out; only a required one can be null.
		ft := f.Type
		if opt != "" && ft.Kind() == reflect.Pointer {
			ft = ft.Elem()
		}
		fmt.Fprintf(&b, "  %s%s: %s;\n", key, opt, g.typ(ft, f.Tag.Get("jsonschema")))
	}
	b.WriteString("}\n")
	g.out = append(g.out, b.String())
	return n
}

func (g *generator) typ(t reflect.Type, schema string) string {
	switch t.Kind() {
	case reflect.String:
		var words []string
		for _, part := range strings.Split(schema, ",") {
			if w, ok := strings.CutPrefix(part, "enum="); ok {
				words = append(words, fmt.Sprintf("%q", w))
			}
		}
		if len(words) > 0 {
			return strings.Join(words, " | ")
		}
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int, reflect.Int64, reflect.Uint8, reflect.Float64:
		return "number"
	case reflect.Pointer:
		return g.typ(t.Elem(), schema) + " | null"
	case reflect.Slice:
		return "readonly " + bracket(g.typ(t.Elem(), schema)) + "[]"
	case reflect.Array:
		parts := make([]string, t.Len())
		for i := range parts {
			parts[i] = g.typ(t.Elem(), "")
		}
		return "readonly [" + strings.Join(parts, ", ") + "]"
	case reflect.Map:
		return "{ [key: string]: " + g.typ(t.Elem(), "") + " }"
	case reflect.Interface:
		return "unknown"
	case reflect.Struct:
		return g.name(t)
	}
	panic(fmt.Sprintf("no TypeScript for %s", t))
}

func bracket(s string) string {
	if strings.ContainsAny(s, " |") {
		return "(" + s + ")"
	}
	return s
}
