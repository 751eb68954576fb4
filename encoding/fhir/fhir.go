// Package fhir writes a work order as an HL7 FHIR R4 Bundle (collection): a ServiceRequest
// to make the denture, a DeviceRequest for the denture itself with its parts as
// parameters, a Task that follows it through the laboratory, a BodyStructure for each
// tooth that carries it, and a DocumentReference for each paper. The patient has the case
// number and nothing else.
//
// Teeth carry three codings: ISO 3950 numbers, the Universal numbers that HL7 Terminology
// registers, and FHIR's own example set of FDI codes. The same order gives the same bytes.
package fhir

import (
	"bytes"
	"crypto/sha1"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"halfpear/design"
	"halfpear/order"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Systems of codes and identifiers.
const (
	iso3950   = "urn:iso:std:iso:3950" // RFC 5141 name of the standard
	universal = "http://terminology.hl7.org/CodeSystem/ADAUniversalToothDesignationSystem"
	example   = "http://terminology.hl7.org/CodeSystem/ex-tooth"
	ucum      = "http://unitsofmeasure.org"
)

// Document is a paper that goes with the order.
type Document struct {
	Name, Title, ContentType string
	Data                     []byte
	Inline                   bool // carry the bytes; else only size and hash
}

type object = map[string]any

// bundle collects resources under names that do not depend on chance.
type bundle struct {
	order   order.Order
	entries []any
}

// url is a resource's identity: a UUID made from the order's number and the resource's name.
func (b *bundle) url(name string) string {
	return "urn:uuid:" + uuid.NewSHA1(uuid.NameSpaceURL, []byte("order:"+b.order.Number+":"+name)).String()
}

func (b *bundle) ref(name, display string) object {
	r := object{"reference": b.url(name)}
	if display != "" {
		r["display"] = display
	}
	return r
}

func (b *bundle) add(name string, resource object) {
	b.entries = append(b.entries, object{"fullUrl": b.url(name), "resource": resource})
}

// Write writes the order with the papers that go with it.
func Write(w io.Writer, o order.Order, papers []Document) error {
	b := &bundle{order: o}
	b.people()
	teeth := b.bodyStructures()
	docs := b.documents(papers)
	b.requests(teeth, docs)
	root := object{"resourceType": "Bundle", "type": "collection", "identifier": object{"system": "urn:ietf:rfc:3986", "value": b.url("bundle")}, "entry": b.entries}
	if t := o.Work.Made.At; !t.IsZero() {
		root["timestamp"] = t.UTC().Format(time.RFC3339)
	}
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(root); err != nil {
		return fmt.Errorf("writing order %s as a FHIR Bundle: %w", o.Number, err)
	}
	if _, err := w.Write(buf.Bytes()); err != nil {
		return fmt.Errorf("writing order %s as a FHIR Bundle: %w", o.Number, err)
	}
	return nil
}

func (b *bundle) value(name string) string { return clean(b.order.Value(name).Text) }
func (b *bundle) code(name string) string  { return clean(b.order.Value(name).Code) }

// clean makes a text fit FHIR's strings: no line breaks, no space at the ends.
func clean(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")), " ")
}

// people are the patient by number, the dentist and the laboratory.
func (b *bundle) people() {
	o := b.order
	b.add("patient", object{"resourceType": "Patient", "identifier": []any{object{"use": "usual", "type": object{"text": words.FieldPatientID.In(o.Lang)}, "value": string(o.Work.Case.ID)}}})
	dentist := object{"resourceType": "Practitioner"}
	if s := b.value("dentist.name"); s != "" {
		dentist["name"] = []any{object{"text": s}}
	}
	if s := b.value("dentist.address"); s != "" {
		dentist["address"] = []any{object{"use": "work", "text": s}}
	}
	if s := b.value("dentist.licence"); s != "" {
		dentist["qualification"] = []any{object{"identifier": []any{object{"value": s}}, "code": object{"text": words.FieldDentistLicence.In(o.Lang)}}}
	}
	b.add("dentist", dentist)
	organization := func(name, title, address, licence string) {
		r := object{"resourceType": "Organization"}
		// An organization has a name or an identifier (invariant org-1).
		if title == "" {
			title = words.NotStated.In(o.Lang)
		}
		r["name"] = title
		if address != "" {
			r["address"] = []any{object{"use": "work", "text": address}}
		}
		if licence != "" {
			r["identifier"] = []any{object{"value": licence}}
		}
		b.add(name, r)
	}
	organization("laboratory", b.value("lab.name"), b.value("lab.address"), b.value("lab.licence"))
	if s := b.value("clinic"); s != "" {
		organization("clinic", s, b.value("dentist.address"), "")
	}
}

// toothCoding names a tooth in the three systems.
func toothCoding(n tooth.Number) object {
	return object{"text": "ISO 3950: " + n.String() + ", Universal: " + strconv.Itoa(n.Universal()), "coding": []any{
		object{"system": iso3950, "code": n.String(), "display": n.Name()},
		object{"system": universal, "code": strconv.Itoa(n.Universal())},
		object{"system": example, "code": n.String()},
	}}
}

// bodyStructures are the teeth that carry the denture.
func (b *bundle) bodyStructures() []any {
	var out []any
	o := b.order
	if o.Work.Case.Design == nil {
		return nil
	}
	for _, n := range o.Work.Case.Design.Abutments() {
		name := "tooth-" + n.String()
		var parts []string
		for _, r := range o.Parts {
			if r.Part.Tooth == n {
				parts = append(parts, r.What)
			}
		}
		b.add(name, object{"resourceType": "BodyStructure", "active": true, "location": toothCoding(n), "description": clean(strings.Join(parts, "; ")), "patient": b.ref("patient", "")})
		out = append(out, b.ref(name, n.Name()))
	}
	return out
}

func (b *bundle) documents(papers []Document) []any {
	var out []any
	o := b.order
	for _, d := range papers {
		sum := sha1.Sum(d.Data) // R4's Attachment.hash is SHA-1
		a := object{"contentType": d.ContentType, "language": language(o.Lang), "size": len(d.Data), "hash": base64.StdEncoding.EncodeToString(sum[:]), "title": clean(d.Name)}
		if d.Inline {
			a["data"] = base64.StdEncoding.EncodeToString(d.Data)
		}
		r := object{"resourceType": "DocumentReference", "status": "current", "docStatus": "preliminary", "description": clean(d.Title),
			"type": object{"text": clean(d.Title)}, "subject": b.ref("patient", ""), "author": []any{b.ref("dentist", "")}, "content": []any{object{"attachment": a}}}
		if o.State == order.Signed {
			r["docStatus"] = "final"
			r["authenticator"] = b.ref("dentist", "")
		}
		if t := o.Work.Made.At; !t.IsZero() {
			r["date"] = t.UTC().Format(time.RFC3339)
		}
		if o.Work.Before != nil {
			r["relatesTo"] = []any{object{"code": "replaces", "target": object{"display": o.Work.Before.Number}}}
		}
		b.add("document-"+d.Name, r)
		out = append(out, b.ref("document-"+d.Name, clean(d.Title)))
	}
	return out
}

func language(l words.Lang) string {
	if l.Language() == words.Pseudo {
		return string(words.English)
	}
	return string(l.Language())
}

// requests are the service, the device and the task.
func (b *bundle) requests(teeth, docs []any) {
	o := b.order
	status, task := "draft", "draft"
	if o.State == order.Signed {
		status, task = "active", "requested"
	}
	for _, q := range o.Work.Case.Order.Queries {
		if q.Answer == "" && o.State == order.Signed {
			task = "on-hold"
		}
	}
	number := object{"value": o.Number}
	common := func(resource, kind string) object {
		r := object{"resourceType": resource, "identifier": []any{number}, "intent": "order", "requester": b.ref("dentist", ""), "subject": b.ref("patient", "")}
		if kind != "" {
			r["status"] = kind
		}
		if t := o.Work.Made.At; !t.IsZero() {
			r["authoredOn"] = t.UTC().Format(time.RFC3339)
		}
		return r
	}
	what := clean(o.Jurisdiction.Title(o.Lang) + ": " + words.Term(o.Lang, "arch", o.Work.Case.Chart.Arch.String()) + ", " + b.value("work.kind"))
	var notes []any
	note := func(s string) {
		if s = clean(s); s != "" {
			notes = append(notes, object{"text": s})
		}
	}
	note(b.value("instructions"))
	for _, s := range o.SetAside {
		note(string(s.Finding.Rule) + ": " + s.Finding.Message.In(o.Lang.Language()) + " " + s.Reason + " " + s.By)
	}
	note(words.Safety.In(o.Lang))

	service := common("ServiceRequest", status)
	service["requisition"] = number
	service["code"] = object{"text": what}
	service["performer"] = []any{b.ref("laboratory", "")}
	service["note"] = notes
	var replaced []any
	for _, n := range tooth.All(o.Work.Case.Chart.Arch) {
		if o.Work.Case.Chart.Replaced(n) {
			replaced = append(replaced, toothCoding(n))
		}
	}
	if len(replaced) > 0 {
		service["bodySite"] = replaced
	}
	if date := b.code("date.wanted"); isDate(date) {
		service["occurrenceDateTime"] = date
	}
	if len(docs) > 0 {
		service["supportingInfo"] = docs
	}
	b.add("service", service)

	device := common("DeviceRequest", status)
	device["groupIdentifier"] = number
	device["basedOn"] = []any{b.ref("service", "")}
	device["codeCodeableConcept"] = object{"text": what}
	device["performer"] = b.ref("laboratory", "")
	if p := b.parameters(); len(p) > 0 {
		device["parameter"] = p
	}
	if support := append(append([]any{}, teeth...), docs...); len(support) > 0 {
		device["supportingInfo"] = support
	}
	b.add("device", device)

	t := object{"resourceType": "Task", "identifier": []any{number}, "groupIdentifier": number, "status": task, "intent": "order", "code": object{"text": what},
		"focus": b.ref("device", ""), "for": b.ref("patient", ""), "requester": b.ref("dentist", ""), "owner": b.ref("laboratory", ""), "basedOn": []any{b.ref("service", "")}}
	if at := o.Work.Made.At; !at.IsZero() {
		t["authoredOn"], t["lastModified"] = at.UTC().Format(time.RFC3339), at.UTC().Format(time.RFC3339)
	}
	if date := b.code("date.wanted"); isDate(date) {
		t["restriction"] = object{"period": object{"end": date}}
	}
	var asked []any
	for _, q := range o.Work.Case.Order.Queries {
		text := clean(string(q.Part) + " ? " + q.Asked)
		if q.Answer != "" {
			text += " ! " + clean(q.Answer)
		}
		asked = append(asked, object{"text": text})
	}
	if len(asked) > 0 {
		t["note"] = asked
	}
	b.add("task", t)
}

func isDate(s string) bool {
	_, err := time.Parse(time.DateOnly, s)
	return err == nil
}

// parameters are the order's own entries, the path of insertion, and the parts: what and
// where, the undercut of each arm, and every measure.
func (b *bundle) parameters() []any {
	var out []any
	quantity := func(text string, v float64, code string) {
		q := object{"value": json.Number(strconv.FormatFloat(unit.Thousandths(v), 'f', -1, 64)), "unit": code, "system": ucum, "code": code}
		if code == "" {
			q["unit"], q["code"] = "1", "1"
		}
		out = append(out, object{"code": object{"text": clean(text)}, "valueQuantity": q})
	}
	for _, v := range b.order.Values {
		const work, consent = 15, 33 // from the kind of work to the laboratory's leave to pass it on
		switch f := v.Field; {
		case v.Text == "" || f.Number < work || f.Number > consent || f.Filled != order.Entered && v.Code == "" && f.Name != "class" && f.Name != "alloy.contents":
		default:
			out = append(out, object{"code": object{"text": f.Name}, "valueCodeableConcept": object{"text": clean(v.Text)}})
		}
	}
	if p := b.order.Work.Path; p.Direction.Norm() > 0 {
		quantity("path anterior_deg", p.AnteriorDeg, "deg")
		quantity("path right_deg", p.RightDeg, "deg")
	}
	for _, r := range b.order.Parts {
		name := string(r.Part.ID)
		text := r.What
		if r.Where != "" {
			text += "; " + r.Where
		}
		if r.Material != "" {
			text += "; " + r.Material
		}
		concept := object{"text": clean(text)}
		if n := r.Part.Tooth; n != 0 {
			concept["coding"] = toothCoding(n)["coding"]
		}
		out = append(out, object{"code": object{"text": name}, "valueCodeableConcept": concept})
		if u := r.Part.Undercut; u != nil && r.Part.Kind == design.Retainer {
			quantity(name+" undercut "+string(u.Site), u.MM, "mm")
		}
		for _, d := range r.Dimensions {
			label := name + " " + d.Name
			if d.Tooth != 0 {
				label += " at " + d.Tooth.String()
			}
			switch d.Value.Unit {
			case "mm", "deg", "N", "MPa":
				quantity(label, d.Value.Value, d.Value.Unit)
			case "mm²":
				quantity(label, d.Value.Value, "mm2")
			case "":
				quantity(label, d.Value.Value, "")
			}
		}
	}
	return out
}
