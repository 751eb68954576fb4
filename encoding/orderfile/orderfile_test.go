package orderfile

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/invopop/jsonschema"

	"halfpear/internal/schematest"
	"halfpear/order"
	"halfpear/order/ordertest"
	"halfpear/unit"
	"halfpear/words"
)

// The published schema is made from the wire types; go test -update ./encoding/orderfile
// rewrites it.
func TestSchemaIsMadeFromTheTypes(t *testing.T) {
	schematest.MadeFrom(t, jsonschema.Reflector{}, &File{}, Format,
		"A work order for the framework of a removable partial denture. Lengths in mm, angles in degrees, teeth in FDI numbers.")
}

func signed(t *testing.T) (order.Order, order.Record, []byte) {
	t.Helper()
	j, err := order.JurisdictionNamed("us-fl")
	if err != nil {
		t.Fatal(err)
	}
	o, r, err := order.Write(ordertest.Lower(), j, words.English).Sign("A. S.", []byte("format: case/1\n"))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := WriteSigned(o, r)
	if err != nil {
		t.Fatal(err)
	}
	return o, r, doc
}

func TestDocumentsKeepTheirSchema(t *testing.T) {
	_, _, sealed := signed(t)
	w := ordertest.Lower()
	w.Case.Design = nil
	j, _ := order.JurisdictionNamed("eu")
	draft, err := Write(order.Write(w, j, words.German))
	if err != nil {
		t.Fatal(err)
	}
	s := schematest.Compiled(t, Schema())
	for name, doc := range map[string][]byte{"signed": sealed, "draft": draft} {
		if err := s.Validate(schematest.Value(t, doc)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if s.Validate(schematest.Value(t, []byte(`{"format":"order/1","number":1}`))) == nil {
		t.Error("the schema accepts what is no order")
	}
}

func TestASignedOrderReadsBack(t *testing.T) {
	_, r, doc := signed(t)
	got, err := Read("order.json", doc)
	if err != nil {
		t.Fatal(err)
	}
	if got.Number != r.Number || got.Signature != r.Signature || string(got.CaseFile) != string(r.CaseFile) || len(got.Inputs) != len(r.Inputs) {
		t.Errorf("got %+v, expected %+v", got, r)
	}
	if c := order.Compare(got, r, words.English); len(c) != 0 {
		t.Errorf("what was read differs from what was signed: %v", c)
	}
	_, _, again := signed(t)
	if !bytes.Equal(doc, again) {
		t.Error("the same order gives other bytes")
	}
}

// Whatever byte is altered, the document is refused.
func TestATamperedOrderIsRefused(t *testing.T) {
	_, _, doc := signed(t)
	for i := 0; i < len(doc); i += 37 {
		bad := slices.Clone(doc)
		bad[i] ^= 1
		if r, err := Read("order.json", bad); err == nil {
			t.Fatalf("byte %d of %d altered (%q), and it read as %s", i, len(doc), doc[max(0, i-20):min(len(doc), i+20)], r.Number)
		}
	}
	for old, new := range map[string]string{`"shade"`: `"shape"`, "0.25": "0.75", "A. S.": "B. S."} {
		if _, err := Read("order.json", bytes.Replace(doc, []byte(old), []byte(new), 1)); err == nil || !strings.Contains(err.Error(), "altered") {
			t.Errorf("%s made %s: %v", old, new, err)
		}
	}
	j, _ := order.JurisdictionNamed("")
	plain, err := Write(order.Write(ordertest.Lower(), j, words.English))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Read("order.json", plain); err == nil {
		t.Error("an unsigned order read as a signed one")
	}
}

func TestCSV(t *testing.T) {
	o, _, _ := signed(t)
	o.Parts[0].Where, o.Parts[0].Part.Joins = "=1+1", "@SUM(1)"
	o.Parts[1].Part.ID = "-2+3"
	o.Parts[1].Dimensions = append(o.Parts[1].Dimensions, order.Dimension{Name: "test", Value: unit.MM(-0.0001, unit.Computed, 0)})
	var buf bytes.Buffer
	if err := WriteCSV(&buf, o); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&buf).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		seen[r[2]] = true
		for _, cell := range r { // what begins a formula in a spreadsheet, by OWASP's page on CSV injection
			if _, err := strconv.ParseFloat(cell, 64); err != nil && cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("a cell begins like a formula: %q", cell)
			}
		}
		if r[10] == "test" && r[11] != "0" {
			t.Errorf("nothing is written %s", r[11])
		}
	}
	if len(seen) != len(o.Parts) {
		t.Errorf("%d parts in the table, the order has %d", len(seen), len(o.Parts))
	}
	if !slices.ContainsFunc(rows, func(r []string) bool {
		return r[2] == "retainer-34" && r[5] == "34" && r[6] == "21" && r[10] == "undercut mid-facial" && r[11] == "0.25"
	}) {
		t.Errorf("the undercut of 34 (Universal 21) is not in the table: %v", rows)
	}
}
