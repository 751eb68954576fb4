package casefile

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"reflect"
	"testing"

	"github.com/invopop/jsonschema"
)

var update = flag.Bool("update", false, "rewrite schema.json from the wire types")

// The published schema is made from the wire types; go test -update ./encoding/casefile
// rewrites it.
func TestSchemaIsMadeFromTheTypes(t *testing.T) {
	r := jsonschema.Reflector{ExpandedStruct: true, Anonymous: true, Mapper: func(t reflect.Type) *jsonschema.Schema {
		if t == reflect.TypeOf(Numbers{}) {
			one := &jsonschema.Schema{Type: "integer"}
			return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{one, {Type: "array", Items: one}}}
		}
		return nil
	}}
	s := r.Reflect(&File{})
	s.Title = "case/1"
	s.Description = "One case for one dental arch: what was found, what was measured, the design and the order. Lengths in mm, angles in degrees, teeth in FDI numbers."
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
		t.Error("schema.json is not what the types say: run go test -update ./encoding/casefile")
	}
}
