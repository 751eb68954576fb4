package workflow

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"

	"halfpear/drawing"
	"halfpear/encoding/casefile"
	"halfpear/encoding/fhir"
	"halfpear/encoding/orderfile"
	"halfpear/encoding/pdf"
	"halfpear/encoding/svg"
	"halfpear/order"
	"halfpear/sheet"
	"halfpear/words"
)

// PapersInput is what papers are made from.
type PapersInput struct {
	Study     *Study
	Plan      *Plan // nil where the case has no design
	Mechanics []sheet.Page

	Files        map[string][]byte // what goes along, by name: the case file, the scan
	Made         order.Made
	Jurisdiction string // "" is the case's own
	Lang         words.Lang
	Size         sheet.Size // the zero Size is A4

	DraftToo bool   // draws an order that lacks something too, marked as a draft
	SignedBy string // signs a complete order with this name; "" leaves it unsigned
	Before   *order.Record
	Was      *Plan // of Before, for the overlay; nil tells what changed in words only
}

// Papers are an order with all its forms. A record is there when it was signed.
type Papers struct {
	Order  order.Order
	Record *order.Record
	Pages  []sheet.Page
	PDF    []byte
	JSON   []byte
	FHIR   []byte
	CSV    []byte
}

// MakePapers writes the order of a case. An order that lacks something comes out as an
// unsigned draft whose gaps say what, and without its papers unless drafts are asked for.
func MakePapers(in PapersInput) (Papers, error) {
	w, err := in.work()
	if err != nil {
		return Papers{}, err
	}
	place := in.Jurisdiction
	if place == "" {
		place = in.Study.Case.Order.Jurisdiction
	}
	j, err := order.JurisdictionNamed(place)
	if err != nil {
		return Papers{}, err
	}
	if in.Lang == "" {
		in.Lang = words.English
	}
	out := Papers{Order: order.Write(w, j, in.Lang)}
	caseFile, err := casefile.Write(in.Study.Case)
	if err != nil {
		return Papers{}, err
	}
	if out.Order.State == order.Draft && !in.DraftToo {
		return out, nil
	}
	if in.SignedBy != "" && out.Order.State == order.Complete {
		signed, record, err := out.Order.Sign(in.SignedBy, caseFile)
		if err != nil {
			return Papers{}, err
		}
		out.Order, out.Record = signed, &record
	}
	if out.Record != nil {
		out.JSON, err = orderfile.WriteSigned(out.Order, *out.Record)
	} else {
		out.JSON, err = orderfile.Write(out.Order)
	}
	if err != nil {
		return Papers{}, err
	}
	var csv bytes.Buffer
	if err := orderfile.WriteCSV(&csv, out.Order); err != nil {
		return Papers{}, err
	}
	out.CSV = csv.Bytes()
	if err := in.draw(&out, caseFile); err != nil {
		return Papers{}, err
	}
	var bundle bytes.Buffer
	number := fileName(out.Order)
	if err := fhir.Write(&bundle, out.Order, []fhir.Document{
		{Name: number + ".pdf", Title: j.Title(in.Lang), ContentType: "application/pdf", Data: out.PDF},
		{Name: number + ".json", Title: words.WorkOrder.In(in.Lang), ContentType: "application/json", Data: out.JSON},
		{Name: number + ".case.yaml", Title: words.CaseFile.In(in.Lang), ContentType: "application/yaml", Data: caseFile, Inline: true},
	}); err != nil {
		return Papers{}, err
	}
	out.FHIR = bundle.Bytes()
	return out, nil
}

// work gathers what the order is written from.
func (in PapersInput) work() (order.Work, error) {
	s := in.Study
	w := order.Work{Case: s.Case, Class: s.Class, Cast: s.Cast, Path: s.Path, Made: in.Made, Before: in.Before}
	if in.Plan != nil {
		d := in.Plan.Design
		w.Case.Design = &d
		w.Placement, w.Prep = in.Plan.Placement, &in.Plan.Prep
		w.Findings = in.Plan.Report.Findings
	}
	for _, name := range slices.Sorted(maps.Keys(in.Files)) {
		data := in.Files[name]
		sum := sha256.Sum256(data)
		kind := "case"
		if s.Case.Scan != nil && s.Case.Scan.File == name {
			kind = "scan"
		}
		w.Inputs = append(w.Inputs, order.Input{Name: name, Kind: kind, Digest: hex.EncodeToString(sum[:]), Bytes: int64(len(data))})
	}
	return w, nil
}

// fileName is an order's number as a file's name.
func fileName(o order.Order) string {
	return fmt.Sprintf("%s-r%d", o.Work.Case.ID, o.Revision)
}

// draw sets the pages and writes them as one PDF that carries the case file, the
// machine-readable order and the drawings.
func (in PapersInput) draw(out *Papers, caseFile []byte) error {
	o := out.Order
	p := drawing.Papers{Order: o, Size: in.Size, Mechanics: in.Mechanics, Seal: orderfile.Seal(out.JSON)}
	if in.Plan != nil && in.Plan.Placement != nil {
		var digests []drawing.Digest
		for _, i := range o.Work.Inputs {
			digests = append(digests, drawing.Digest{Name: i.Name, Hex: i.Digest})
		}
		var aside []drawing.SetAside
		for _, a := range o.SetAside {
			aside = append(aside, drawing.SetAside{Rule: a.Finding.Rule, Tooth: a.Finding.Place.Tooth, Reason: a.Reason, By: a.By})
		}
		pages, err := in.Plan.Sheets(SheetsInput{Program: in.Made.Program, At: in.Made.At, Digests: digests, Draft: o.State == order.Draft, SetAside: aside,
			Size: in.Size, Numbering: drawing.Numbering(o.Jurisdiction.Numbering), Lang: in.Lang})
		if err != nil {
			return err
		}
		p.Design = pages
		if in.Was != nil {
			p.Overlay = drawing.Overlay(o, in.Was.Placement, in.Size)
		}
	}
	out.Pages = p.Pages()
	number := fileName(o)
	doc := pdf.Document{Title: o.Jurisdiction.Title(in.Lang) + " " + o.Number, Subject: o.Class(), Maker: in.Made.Program, Lang: string(in.Lang), Date: in.Made.At,
		Attachments: []pdf.Attachment{
			{Name: number + ".case.yaml", Description: words.CaseFile.In(in.Lang), Content: caseFile},
			{Name: number + ".json", Description: words.WorkOrder.In(in.Lang), Content: out.JSON},
			{Name: number + ".parts.csv", Description: words.SectionParts.In(in.Lang), Content: out.CSV},
		}}
	if in.Lang == words.Pseudo {
		doc.Lang = string(words.English)
	}
	for i := range p.Design {
		var b bytes.Buffer
		if err := svg.Write(&b, &p.Design[i]); err != nil {
			return err
		}
		doc.Attachments = append(doc.Attachments, pdf.Attachment{Name: fmt.Sprintf("%s.sheet-%d.svg", number, i+1), Description: p.Design[i].Name, Content: b.Bytes()})
	}
	var b bytes.Buffer
	if err := pdf.Write(&b, out.Pages, doc); err != nil {
		return err
	}
	out.PDF = b.Bytes()
	return nil
}
