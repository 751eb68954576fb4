// Package schematest holds published JSON Schemas against the types and the documents they
// are about.
package schematest

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"testing"

	"github.com/invopop/jsonschema"
	validate "github.com/santhosh-tekuri/jsonschema/v6"
)

var update = flag.Bool("update", false, "rewrite schema.json from the wire types")

// MadeFrom fails where schema.json beside the test is not what the wire type of file says;
// with -update it is rewritten.
func MadeFrom(t *testing.T, r jsonschema.Reflector, file any, title, description string) {
	t.Helper()
	r.ExpandedStruct, r.Anonymous = true, true
	s := r.Reflect(file)
	s.Title, s.Description = title, description
	want, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	want = append(want, '\n')
	if *update {
		if err := os.WriteFile("schema.json", want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("schema.json is not what the types say: run go test -update in this folder")
	}
}

// Compiled is a schema ready to judge what Value reads.
func Compiled(t *testing.T, schema []byte) *validate.Schema {
	t.Helper()
	c := validate.NewCompiler()
	if err := c.AddResource("schema.json", Value(t, schema)); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Value is a document as a schema judges it.
func Value(t *testing.T, document []byte) any {
	t.Helper()
	v, err := validate.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		t.Fatal(err)
	}
	return v
}
