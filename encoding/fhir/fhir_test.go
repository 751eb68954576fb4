package fhir

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"halfpear/casebook"
	"halfpear/internal/schematest"
	"halfpear/order"
	"halfpear/order/ordertest"
	"halfpear/words"
)

func written(t *testing.T, o order.Order) []byte {
	t.Helper()
	var buf bytes.Buffer
	docs := []Document{{Name: "order.pdf", Title: "Work order", ContentType: "application/pdf", Data: []byte("%PDF")},
		{Name: "case.yaml", Title: "Case file", ContentType: "application/yaml", Data: []byte("format: case/1\n"), Inline: true}}
	if err := Write(&buf, o, docs); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func orders(t *testing.T) map[string]order.Order {
	t.Helper()
	out := map[string]order.Order{}
	fl, err := order.JurisdictionNamed("us-fl")
	if err != nil {
		t.Fatal(err)
	}
	out["complete"] = order.Write(ordertest.Lower(), fl, words.English)
	signed, r, err := out["complete"].Sign("A. S.", nil)
	if err != nil {
		t.Fatal(err)
	}
	out["signed"] = signed
	w := ordertest.Lower()
	w.Before = &r
	w.Case.Order.Fields["instructions"] = "two\nlines,  two spaces "
	w.Case.Order.Queries = []casebook.Query{{Part: "bar", Asked: "May the bar be 4.5 mm high?", By: "laboratory"}}
	out["asked"] = order.Write(w, fl, words.German)
	bare := ordertest.Lower()
	bare.Case.Design, bare.Placement, bare.Case.Order.Fields = nil, nil, nil
	out["bare"] = order.Write(bare, fl, words.English)
	return out
}

// The Bundle keeps HL7's published JSON schema of R4 (testdata/fhir-r4.schema.json, from
// http://hl7.org/fhir/R4/downloads.html).
func TestBundlesKeepThePublishedSchema(t *testing.T) {
	text, err := os.ReadFile("testdata/fhir-r4.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	schema := schematest.Compiled(t, text)
	for name, o := range orders(t) {
		data := written(t, o)
		if err := schema.Validate(schematest.Value(t, data)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		// The schema is no rubber stamp: each of these is refused.
		for old, bad := range map[string]string{`"resourceType": "Task"`: `"resourceType": "Chore"`, `"status": "current"`: `"status": "fresh"`, `"type": "collection"`: `"type": "heap"`, `"bodySite"`: `"toothSite"`} {
			wrong := bytes.ReplaceAll(data, []byte(old), []byte(bad))
			if bytes.Equal(wrong, data) {
				continue
			}
			if schema.Validate(schematest.Value(t, wrong)) == nil {
				t.Errorf("%s: the schema accepts %s", name, bad)
			}
		}
	}
}

// required is what the R4 resource pages give a minimum cardinality of 1, and required
// bindings with their codes, which the JSON schema leaves open: "element: codes". Sources:
// http://hl7.org/fhir/R4/servicerequest.html, devicerequest.html, task.html,
// bodystructure.html, documentreference.html, bundle.html; value sets request-status,
// request-intent, task-status, task-intent.
var required = map[string]map[string]string{
	"Bundle":            {"type": "document message transaction transaction-response batch batch-response history searchset collection"},
	"ServiceRequest":    {"status": "draft active on-hold revoked completed entered-in-error unknown", "intent": "proposal plan directive order original-order reflex-order filler-order instance-order option", "subject": ""},
	"DeviceRequest":     {"intent": "proposal plan directive order original-order reflex-order filler-order instance-order option", "codeCodeableConcept": "", "subject": ""},
	"Task":              {"status": "draft requested received accepted rejected ready cancelled in-progress on-hold failed completed entered-in-error", "intent": "unknown proposal plan order original-order reflex-order filler-order instance-order option"},
	"BodyStructure":     {"patient": ""},
	"DocumentReference": {"status": "current superseded entered-in-error", "content": ""},
}

// targets are the types that the R4 pages allow a reference to lead to.
var targets = map[string]string{
	"ServiceRequest.subject": "Patient Group Location Device", "ServiceRequest.requester": "Practitioner PractitionerRole Organization Patient RelatedPerson Device",
	"ServiceRequest.performer":      "Practitioner PractitionerRole Organization CareTeam HealthcareService Patient Device RelatedPerson",
	"ServiceRequest.supportingInfo": "*", "DeviceRequest.supportingInfo": "*", "DeviceRequest.basedOn": "*", "DeviceRequest.subject": "Patient Group Location Device",
	"DeviceRequest.requester": "Device Practitioner PractitionerRole Organization", "DeviceRequest.performer": "Practitioner PractitionerRole Organization CareTeam HealthcareService Patient Device RelatedPerson",
	"Task.focus": "*", "Task.for": "*", "Task.basedOn": "*", "Task.requester": "Device Organization Patient Practitioner PractitionerRole RelatedPerson",
	"Task.owner":            "Practitioner PractitionerRole Organization CareTeam HealthcareService Patient Device RelatedPerson",
	"BodyStructure.patient": "Patient", "DocumentReference.subject": "Patient Practitioner Group Device",
	"DocumentReference.author": "Practitioner PractitionerRole Organization Device Patient RelatedPerson", "DocumentReference.authenticator": "Practitioner PractitionerRole Organization",
}

func TestBundlesKeepCardinalitiesBindingsAndReferences(t *testing.T) {
	fhirID := regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)
	for name, o := range orders(t) {
		var b struct {
			ResourceType, Type string
			Entry              []struct {
				FullURL  string `json:"fullUrl"`
				Resource map[string]any
			}
		}
		if err := json.Unmarshal(written(t, o), &b); err != nil {
			t.Fatal(err)
		}
		kinds := map[string]string{}
		count := map[string]int{}
		for _, e := range b.Entry {
			kind := e.Resource["resourceType"].(string)
			if !fhirID.MatchString(e.FullURL) || kinds[e.FullURL] != "" {
				t.Errorf("%s: fullUrl %s is no UUID or stands twice (bdl-7)", name, e.FullURL)
			}
			kinds[e.FullURL] = kind
			count[kind]++
		}
		for _, kind := range []string{"Patient", "Practitioner", "Organization", "ServiceRequest", "DeviceRequest", "Task", "DocumentReference"} {
			if count[kind] == 0 {
				t.Errorf("%s: no %s", name, kind)
			}
		}
		if name != "bare" && count["BodyStructure"] != len(o.Work.Case.Design.Abutments()) {
			t.Errorf("%s: %d body structures", name, count["BodyStructure"])
		}
		for _, e := range b.Entry {
			kind := e.Resource["resourceType"].(string)
			for field, codes := range required[kind] {
				v, ok := e.Resource[field]
				if !ok {
					t.Errorf("%s: %s has no %s", name, kind, field)
				} else if codes != "" && !slices.Contains(strings.Fields(codes), v.(string)) {
					t.Errorf("%s: %s.%s is %v, expected one of %s", name, kind, field, v, codes)
				}
			}
			for field, v := range e.Resource {
				for _, r := range references(v) {
					to, ok := kinds[r]
					if !ok {
						t.Errorf("%s: %s.%s leads to %s, which is not in the Bundle", name, kind, field, r)
						continue
					}
					allowed, known := targets[kind+"."+field]
					if !known {
						t.Errorf("%s: %s.%s is a reference this test does not know", name, kind, field)
					} else if allowed != "*" && !slices.Contains(strings.Fields(allowed), to) {
						t.Errorf("%s: %s.%s leads to a %s, expected one of %s", name, kind, field, to, allowed)
					}
				}
			}
			if kind == "Patient" {
				for _, f := range []string{"name", "birthDate", "address", "telecom", "gender", "photo"} {
					if _, ok := e.Resource[f]; ok {
						t.Errorf("%s: the patient has a %s", name, f)
					}
				}
			}
		}
	}
}

func references(v any) []string {
	var out []string
	switch v := v.(type) {
	case map[string]any:
		if r, ok := v["reference"].(string); ok {
			out = append(out, r)
		}
		for _, w := range v {
			out = append(out, references(w)...)
		}
	case []any:
		for _, w := range v {
			out = append(out, references(w)...)
		}
	}
	return out
}

// Who reads only the Bundle has what the paper asks for: materials, shade, occlusion, try-ins
// and the path (fields of the work authorisations that practice asks for).
func TestTheBundleHoldsTheOrdersEntries(t *testing.T) {
	o := orders(t)["complete"]
	var b struct {
		Entry []struct {
			Resource struct {
				ResourceType string
				Parameter    []struct {
					Code, ValueCodeableConcept struct{ Text string }
					ValueQuantity              *struct{ Value float64 }
				}
			}
		}
	}
	if err := json.Unmarshal(written(t, o), &b); err != nil {
		t.Fatal(err)
	}
	said, measured := map[string]string{}, map[string]float64{}
	for _, e := range b.Entry {
		for _, p := range e.Resource.Parameter {
			if p.ValueQuantity != nil {
				measured[p.Code.Text] = p.ValueQuantity.Value
			} else {
				said[p.Code.Text] = p.ValueCodeableConcept.Text
			}
		}
	}
	for _, name := range []string{"work.kind", "alloy", "alloy.contents", "base.material", "mould", "shade", "shade.guide", "allergies", "occlusion.scheme", "occlusion.opposing", "occlusion.record", "disinfection.agent", "try_in", "mark", "consent.foreign", "class", "teeth"} {
		if want := strings.Join(strings.Fields(o.Value(name).Text), " "); want == "" || said[name] != want {
			t.Errorf("%s is %q in the Bundle, %q on paper", name, said[name], want)
		}
	}
	for name, want := range map[string]float64{"path anterior_deg": o.Work.Path.AnteriorDeg, "path right_deg": o.Work.Path.RightDeg} {
		if got, ok := measured[name]; !ok || got != want {
			t.Errorf("%s is %v in the Bundle, %v in the order", name, got, want)
		}
	}
	for _, name := range []string{"dentist.name", "patient.age_band", "date.sent"} {
		if said[name] != "" {
			t.Errorf("%s is among the device's parameters", name)
		}
	}
}

// Both numberings of a tooth, by the table of the two systems: 34 is Universal 21.
func TestTeethInBothSystems(t *testing.T) {
	text := string(written(t, orders(t)["signed"]))
	for _, want := range []string{`"system": "urn:iso:std:iso:3950"`, `"code": "34"`, `"code": "21"`, `"status": "active"`, `"status": "requested"`, `"docStatus": "final"`} {
		if !strings.Contains(text, want) {
			t.Errorf("%s is not in the Bundle", want)
		}
	}
	if a, b := written(t, orders(t)["signed"]), written(t, orders(t)["signed"]); !bytes.Equal(a, b) {
		t.Error("the same order gives other bytes")
	}
}
