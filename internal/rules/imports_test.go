package rules

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "halfpear/"

// Groups of rooms that a row of the table may name at once.
var groups = map[string]string{
	"@words":    "unit source tooth words geom geom/mesh geom/solid",
	"@mouth":    "arch chart cast typodont survey material",
	"@design":   "design placement mechanics prep rulebook proposal",
	"@record":   "casebook",
	"@papers":   "framework order inspection sheet drawing",
	"@formats":  "encoding/stl encoding/ply encoding/obj encoding/scan encoding/threemf encoding/svg encoding/pdf encoding/png encoding/casefile encoding/orderfile encoding/fhir",
	"@stores":   "store/sqlite store/storetest",
	"@internal": "internal/atomicfile internal/plaster internal/schematest",
}

// table says which rooms each room may import. Direction, left to right only:
// words <- geometry <- mouth <- design <- record <- papers <- workflow <- web and commands;
// formats and stores hang on the side and know only what they store or write.
var table = map[string]string{
	"unit": "", "source": "", "tooth": "", "words": "tooth", // words say teeth as the reader numbers them
	"geom":                "",
	"geom/mesh":           "geom words",
	"geom/solid":          "geom geom/mesh",
	"arch":                "tooth words",
	"chart":               "tooth arch unit words",
	"material":            "unit source",
	"cast":                "tooth words geom geom/mesh unit",
	"typodont":            "tooth geom geom/mesh geom/solid cast unit",
	"survey":              "tooth words geom geom/mesh geom/solid cast unit source",
	"design":              "tooth arch material geom",
	"placement":           "@words cast survey design material",
	"mechanics":           "@words cast survey design placement material chart",
	"prep":                "@words arch chart cast survey design placement material",
	"rulebook":            "@words @mouth design placement mechanics prep",
	"proposal":            "@words @mouth design placement mechanics prep rulebook",
	"casebook":            "@words arch chart cast design rulebook",
	"framework":           "@words cast survey design placement material",
	"order":               "@words @mouth @design casebook sheet", // an order must be printable
	"inspection":          "@words cast design placement framework order",
	"sheet":               "geom unit words",
	"drawing":             "@words @mouth @design @record sheet order framework inspection",
	"encoding/stl":        "geom geom/mesh words",
	"encoding/ply":        "geom geom/mesh words",
	"encoding/obj":        "geom geom/mesh words",
	"encoding/scan":       "geom geom/mesh words encoding/stl encoding/ply encoding/obj",
	"encoding/threemf":    "geom geom/mesh unit",
	"encoding/svg":        "geom sheet",
	"encoding/pdf":        "geom sheet",
	"encoding/png":        "geom sheet",
	"encoding/casefile":   "@words arch chart design rulebook casebook",
	"order/ordertest":     "@words @mouth @design casebook order",
	"encoding/orderfile":  "@words @mouth @design casebook order encoding/casefile",
	"encoding/fhir":       "@words @mouth @design casebook order",
	"workflow":            "@words @mouth @design @record @papers @formats",
	"store/sqlite":        "@words chart casebook encoding/casefile store/storetest",
	"store/storetest":     "@words chart casebook",
	"web/api":             "@words @mouth @design @record @papers encoding/casefile",
	"web/api/wire":        "web/api",
	"web/ui":              "",
	"web":                 "@words @mouth @design @record @papers @formats @stores workflow web/api web/ui",
	"cmd/halfpear":        "cmd/halfpear/cli",
	"cmd/halfpear/cli":    "@words @mouth @design @record @papers @formats @stores @internal workflow web web/api",
	"internal/rules":      "",
	"internal/plaster":    "@words cast",
	"internal/atomicfile": "",
	"internal/schematest": "",
	"bench":               "@words @mouth @design @formats",
}

// outside are the rooms that may touch files, the network and the clock.
func outside(pkg string) bool {
	for _, p := range []string{"encoding/", "store/", "web", "cmd/", "internal/", "bench"} {
		if pkg == strings.TrimSuffix(p, "/") || strings.HasPrefix(pkg, p) {
			return true
		}
	}
	return false
}

var forbidden = []string{"os", "os/exec", "net", "net/http", "database/sql", "math/rand", "math/rand/v2", "io/ioutil", "path/filepath"}

type source struct {
	pkg, file string
	ast       *ast.File
	lines     int
}

func sources(t *testing.T) []source {
	t.Helper()
	root := filepath.Join("..", "..")
	var out []source
	fset := token.NewFileSet()
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(root, name)
		if d.IsDir() {
			if base := d.Name(); base == "node_modules" || base == "testdata" || base == "build" || strings.HasPrefix(base, ".") && base != ".." && rel != "." {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(fset, name, text, parser.ParseComments)
		if err != nil {
			return err
		}
		out = append(out, source{filepath.ToSlash(filepath.Dir(rel)), filepath.ToSlash(rel), f, strings.Count(string(text), "\n")})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) == 0 {
		t.Fatal("no Go file was found")
	}
	return out
}

func allowed(t *testing.T, pkg string) []string {
	t.Helper()
	row, ok := table[pkg]
	if !ok {
		t.Errorf("%s is in no row of the import table: add it to internal/rules and to docs/architecture.md, or move its files", pkg)
	}
	var out []string
	for _, w := range strings.Fields(row) {
		if g, ok := groups[w]; ok {
			out = append(out, strings.Fields(g)...)
		} else {
			out = append(out, w)
		}
	}
	return out
}

func TestImportsRunOneWay(t *testing.T) {
	for _, s := range sources(t) {
		if strings.HasSuffix(s.file, "_test.go") {
			continue
		}
		may := allowed(t, s.pkg)
		for _, spec := range s.ast.Imports {
			name, _ := strconv.Unquote(spec.Path.Value)
			if own, ok := strings.CutPrefix(name, module); ok {
				if !slices.Contains(may, own) {
					t.Errorf("%s imports %s: data walks one way, words, geometry, mouth, design, record, papers, workflow, edges; %s may import only: %s", s.file, own, s.pkg, strings.Join(may, " "))
				}
				continue
			}
			if !outside(s.pkg) && slices.Contains(forbidden, name) {
				t.Errorf("%s imports %s: trade packages touch no file, network, clock or chance, so that the whole trade runs in tests without a disk and gives the same answer twice", s.file, name)
			}
		}
		if outside(s.pkg) {
			continue
		}
		ast.Inspect(s.ast, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok && sel.Sel.Name == "Now" {
				if id, ok := sel.X.(*ast.Ident); ok && id.Name == "time" {
					t.Errorf("%s calls time.Now: times are passed in, so that the same case gives the same papers", s.file)
				}
			}
			return true
		})
	}
}

// The table itself may not hold a cycle, or it would allow what the compiler refuses.
func TestTheTableHasNoCycle(t *testing.T) {
	state := map[string]int{}
	var visit func(pkg string, way []string)
	visit = func(pkg string, way []string) {
		switch state[pkg] {
		case 1:
			t.Fatalf("the import table runs in a circle: %s", strings.Join(append(way, pkg), " -> "))
		case 2:
			return
		}
		state[pkg] = 1
		for _, next := range allowed(t, pkg) {
			if next != pkg && table[next] != "" || next != pkg {
				if _, ok := table[next]; ok {
					visit(next, append(way, pkg))
				}
			}
		}
		state[pkg] = 2
	}
	for pkg := range table {
		visit(pkg, nil)
	}
}

func TestEveryPackageSaysOnceWhatItIs(t *testing.T) {
	said := map[string]int{}
	for _, s := range sources(t) {
		if strings.HasSuffix(s.file, "_test.go") {
			continue
		}
		said[s.pkg] += 0
		if doc := s.ast.Doc; doc != nil {
			want := "Package " + s.ast.Name.Name
			if s.ast.Name.Name == "main" {
				want = "Command " + path.Base(s.pkg)
			}
			if strings.HasPrefix(doc.Text(), want) {
				said[s.pkg]++
			} else {
				t.Errorf("%s: the comment above the package clause begins with %q, expected %q", s.file, strings.SplitN(doc.Text(), "\n", 2)[0], want)
			}
		}
	}
	for pkg, n := range said {
		if n != 1 {
			t.Errorf("%s has %d package comments, expected one", pkg, n)
		}
	}
}

func TestNoFileEatsTheProject(t *testing.T) {
	for _, s := range sources(t) {
		if s.lines > 800 && !strings.HasSuffix(s.file, "_test.go") {
			t.Errorf("%s has %d lines: look again at 500, split at 800", s.file, s.lines)
		}
	}
}

func TestNoNameSaysNothing(t *testing.T) {
	for _, s := range sources(t) {
		switch path.Base(s.pkg) {
		case "util", "utils", "common", "helpers", "core", "lib", "misc", "tools":
			t.Errorf("%s: the name of the folder says nothing about what is in it", s.pkg)
		}
	}
}
