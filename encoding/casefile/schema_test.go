package casefile

import (
	"reflect"
	"testing"

	"github.com/invopop/jsonschema"

	"halfpear/internal/schematest"
)

// The published schema is made from the wire types; go test -update ./encoding/casefile
// rewrites it.
func TestSchemaIsMadeFromTheTypes(t *testing.T) {
	r := jsonschema.Reflector{Mapper: func(t reflect.Type) *jsonschema.Schema {
		if t == reflect.TypeOf(Numbers{}) {
			one := &jsonschema.Schema{Type: "integer"}
			return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{one, {Type: "array", Items: one}}}
		}
		return nil
	}}
	schematest.MadeFrom(t, r, &File{}, Format,
		"One case for one dental arch: what was found, what was measured, the design and the order. Lengths in mm, angles in degrees, teeth in FDI numbers.")
}
