// Package orderfile writes a work order as one JSON document for machines, the part table
// as CSV, and reads a signed order back. The seal of a signed order is the SHA-256 of the
// document with its seal left empty; a document that was altered by one byte does not read.
package orderfile

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfpear/casebook"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Format is the document's format version.
const Format = "order/1"

//go:embed schema.json
var schemaText []byte

// Schema is the JSON Schema of order documents.
func Schema() []byte { return bytes.Clone(schemaText) }

// Document is the order as the file has it.
func Document(o order.Order) File {
	w := o.Work
	fdi := o.Lang.Language() // findings name teeth as the rest of the file does
	f := File{Format: Format, Fields: []Field{}, Parts: []Row{}, Spaces: []Space{}, Inputs: []Input{}, Number: o.Number, Case: string(w.Case.ID), Revision: o.Revision, State: string(o.State), Language: string(o.Lang.Language()),
		Title: o.Jurisdiction.Title(o.Lang), Arch: w.Case.Chart.Arch.String(), Class: string(w.Class.Class), Modifications: w.Class.Modifications,
		Jurisdiction: Jurisdiction{Name: o.Jurisdiction.Name, Label: o.Jurisdiction.Label(o.Lang), CheckedOn: o.Jurisdiction.CheckedOn, Source: o.Jurisdiction.Source},
		Made:         Made{Program: w.Made.Program, Rulebook: w.Made.Rulebook, At: stamp(w.Made.At)}, KeepUntil: o.KeepUntil,
		NotChecked: len(o.Unchecked), Notice: words.Safety.In(o.Lang) + " " + words.VerifyBefore.In(o.Lang)}
	if d := w.Path.Direction; d.Norm() > 0 {
		f.Path = &Path{AnteriorDeg: unit.Thousandths(w.Path.AnteriorDeg), RightDeg: unit.Thousandths(w.Path.RightDeg), Direction: [3]float64{unit.Thousandths(d.X), unit.Thousandths(d.Y), unit.Thousandths(d.Z)}}
		for _, p := range o.Tripod {
			f.Path.TripodMM = append(f.Path.TripodMM, [3]float64{unit.Thousandths(p.X), unit.Thousandths(p.Y), unit.Thousandths(p.Z)})
		}
	}
	for _, v := range o.Values {
		f.Fields = append(f.Fields, Field{Number: v.Field.Number, Name: v.Field.Name, Label: v.Field.Label.In(o.Lang), Value: v.Text, Code: v.Code})
	}
	for _, r := range o.Parts {
		p := Row{Number: r.Number, What: r.What, Where: r.Where, MadeOf: r.Material, Design: casefile.Parts(designOf(r))[0]}
		for _, n := range teethOf(r) {
			p.Universal = append(p.Universal, n.Universal())
		}
		for _, d := range r.Dimensions {
			p.Dimensions = append(p.Dimensions, Dimension{Name: d.Name, Label: d.Label, Tooth: int(d.Tooth), Value: unit.Thousandths(d.Value.Value), Unit: d.Value.Unit,
				Spread: unit.Thousandths(d.Value.Spread), Origin: string(d.Value.Origin)})
		}
		f.Parts = append(f.Parts, p)
	}
	for _, s := range o.Spaces {
		f.Spaces = append(f.Spaces, Space{Part: string(s.Part), What: s.What, Told: s.Told, ReliefMM: s.MM, From: s.From, Source: s.Source.Cite, Mark: string(s.Source.Mark)})
	}
	for _, s := range o.SetAside {
		f.SetAside = append(f.SetAside, SetAside{Rule: string(s.Finding.Rule), Severity: string(s.Finding.Severity), Tooth: int(s.Finding.Place.Tooth), Part: string(s.Finding.Place.Part),
			Found: s.Finding.Message.In(fdi), Reason: s.Reason, By: s.By, At: stamp(s.At), StillFound: s.Known})
	}
	for _, c := range o.Open {
		f.Open = append(f.Open, Finding{Rule: string(c.Rule), Severity: string(c.Severity), Tooth: int(c.Place.Tooth), Part: string(c.Place.Part), Found: c.Message.In(fdi), Remedy: c.Remedy.In(fdi)})
	}
	for _, q := range w.Case.Order.Queries {
		f.Queries = append(f.Queries, casefile.Query{Part: string(q.Part), Asked: q.Asked, By: q.By, At: stamp(q.At), Answer: q.Answer, AnsweredBy: q.Answered, AnsweredAt: stamp(q.When)})
	}
	for _, c := range o.Changes {
		f.Changes = append(f.Changes, Change{Part: string(c.Part), Field: c.Field, Kind: c.Kind, Text: c.Text})
	}
	for _, g := range o.Gaps {
		f.Missing = append(f.Missing, Missing{Field: g.Field, Part: string(g.Part), Tooth: int(g.Tooth), Text: g.Text, Where: g.Where, Rule: g.Rule})
	}
	for _, i := range w.Inputs {
		f.Inputs = append(f.Inputs, Input{Name: i.Name, Kind: i.Kind, SHA256: i.Digest, Bytes: i.Bytes})
	}
	return f
}

// Write writes an order that is not signed.
func Write(o order.Order) ([]byte, error) { return encode(Document(o)) }

// WriteSigned writes a signed order and seals it.
func WriteSigned(o order.Order, r order.Record) ([]byte, error) {
	if o.State != order.Signed || r.Signature.By == "" {
		return nil, fmt.Errorf("sealing order %s: it is not signed", o.Number)
	}
	f := Document(o)
	f.Signature = &Signature{By: r.Signature.By, At: stamp(r.Signature.At)}
	f.CaseFile = string(r.CaseFile)
	open, err := encode(f)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(open)
	return bytes.Replace(open, []byte(`"seal": ""`), []byte(`"seal": "`+hex.EncodeToString(sum[:])+`"`), 1), nil
}

func encode(f File) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(f); err != nil {
		return nil, fmt.Errorf("writing order %s as JSON: %w", f.Number, err)
	}
	return buf.Bytes(), nil
}

// Read reads a signed order's document; name is used in what it says. One that was altered
// after it was signed is refused.
func Read(name string, data []byte) (order.Record, error) {
	fail := func(format string, args ...any) (order.Record, error) {
		return order.Record{}, fmt.Errorf("reading the signed order %s: "+format, append([]any{name}, args...)...)
	}
	var f File
	if err := json.Unmarshal(data, &f); err != nil {
		return fail("%w", err)
	}
	if f.Format != Format {
		return fail("the format is %q, expected %q", f.Format, Format)
	}
	if f.Signature == nil || f.Signature.Seal == "" {
		return fail("it is not signed")
	}
	open := bytes.Replace(data, []byte(`"seal": "`+f.Signature.Seal+`"`), []byte(`"seal": ""`), 1)
	if sum := sha256.Sum256(open); hex.EncodeToString(sum[:]) != f.Signature.Seal {
		return fail("it was altered after it was signed: the seal says %.12s…, the text gives %.12x…; take the copy that was issued", f.Signature.Seal, sum)
	}
	r := order.Record{Number: f.Number, Case: casebook.ID(f.Case), Revision: f.Revision, Jurisdiction: f.Jurisdiction.Name, Lang: words.Lang(f.Language),
		Made: order.Made{Program: f.Made.Program, Rulebook: f.Made.Rulebook}, Fields: map[string]string{}, CaseFile: []byte(f.CaseFile)}
	var err error
	if r.Made.At, err = time.Parse(time.RFC3339, f.Made.At); err != nil {
		return fail("the time it was made: %w", err)
	}
	r.Signature.By = f.Signature.By
	if r.Signature.At, err = time.Parse(time.RFC3339, f.Signature.At); err != nil {
		return fail("the time it was signed: %w", err)
	}
	for _, v := range f.Fields {
		if v.Code != "" && v.Name != "signature" {
			r.Fields[v.Name] = v.Code
		}
	}
	if f.Path != nil {
		r.AnteriorDeg, r.RightDeg = f.Path.AnteriorDeg, f.Path.RightDeg
	}
	a, err := tooth.ParseArch(f.Arch)
	if err != nil {
		return fail("%w", err)
	}
	var d casefile.Design
	for _, p := range f.Parts {
		d.Parts = append(d.Parts, p.Design)
	}
	written, wrong := d.Design(a)
	if len(wrong) > 0 {
		return fail("part list: %s: %s", wrong[0].Field, wrong[0].Text)
	}
	r.Parts = written.Parts
	for _, i := range f.Inputs {
		r.Inputs = append(r.Inputs, order.Input{Name: i.Name, Kind: i.Kind, Digest: i.SHA256, Bytes: i.Bytes})
	}
	return r, nil
}

// Seal is the seal of a signed order's document; empty where it has none.
func Seal(data []byte) string {
	var f File
	if json.Unmarshal(data, &f) != nil || f.Signature == nil {
		return ""
	}
	return f.Signature.Seal
}

// WriteCSV writes the part table as RFC 4180 has it, one line a part and dimension.
func WriteCSV(w io.Writer, o order.Order) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	rows := [][]string{{"order", "number", "part", "kind", "form", "teeth_fdi", "teeth_universal", "place", "made_of", "joins", "dimension", "value", "unit", "origin"}}
	for _, r := range o.Parts {
		var fdi, universal []string
		for _, n := range teethOf(r) {
			fdi = append(fdi, n.String())
			universal = append(universal, strconv.Itoa(n.Universal()))
		}
		p := r.Part
		line := []string{o.Number, strconv.Itoa(r.Number), plain(string(p.ID)), string(p.Kind), string(p.Form), strings.Join(fdi, " "), strings.Join(universal, " "), plain(r.Where), plain(r.Material), plain(string(p.Joins))}
		if p.Undercut != nil {
			rows = append(rows, append(slices.Clone(line), "undercut "+string(p.Undercut.Site), number(p.Undercut.MM), "mm", "chosen"))
		}
		for _, d := range r.Dimensions {
			name := d.Name
			if d.Tooth != 0 {
				name += " " + d.Tooth.String()
			}
			rows = append(rows, append(slices.Clone(line), name, number(d.Value.Value), d.Value.Unit, string(d.Value.Origin)))
		}
		if p.Undercut == nil && len(r.Dimensions) == 0 {
			rows = append(rows, append(line, "", "", "", ""))
		}
	}
	if err := c.WriteAll(rows); err != nil {
		return fmt.Errorf("writing the part table of order %s: %w", o.Number, err)
	}
	return nil
}

// plain keeps a spreadsheet from taking a text for a formula.
func plain(s string) string {
	s = strings.ReplaceAll(s, "\u00a0", " ")
	if s != "" && strings.ContainsRune("=+-@\t", rune(s[0])) {
		return "'" + s
	}
	return s
}

func number(v float64) string { return strconv.FormatFloat(unit.Thousandths(v), 'f', -1, 64) }
