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
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/words"
)

// PapersInput is what papers are made from.
type PapersInput struct {
	Study     *Study
	Plan      *Plan        // nil where the case has no design
	Mechanics []sheet.Page // nil draws the plan's own

	Files        map[string][]byte // what goes along, by name: the case file, the scan
	Made         order.Made
	Jurisdiction string // "" is the case's own
	Lang         words.Lang
	Size         sheet.Size // the zero Size is A4
	Palette      drawing.Palette

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
	set := Drawn{Size: in.Size, Mechanics: in.Mechanics}
	if err := in.draw(&set, out.Order); err != nil {
		return Papers{}, err
	}
	return Publish(out.Order, in.SignedBy, caseFile, set)
}

// Drawn are the pages of an order that are drawn from the design.
type Drawn struct {
	Size      sheet.Size // the zero Size is A4
	Design    []sheet.Page
	Mechanics []sheet.Page
	Was       *placement.Placement // of the revision signed before, laid over this one; nil draws none
}

// Publish writes an order in all its forms: one PDF with the case file, the machine-readable
// order and the drawings inside, JSON, FHIR and CSV. A complete order is signed where a
// name is given.
func Publish(o order.Order, signedBy string, caseFile []byte, set Drawn) (Papers, error) {
	o.Work.Inputs = enclosing(o, caseFile)
	out := Papers{Order: o}
	var err error
	if signedBy != "" && o.State == order.Complete {
		signed, record, err := o.Sign(signedBy, caseFile)
		if err != nil {
			return Papers{}, err
		}
		out.Order, out.Record = signed, &record
		out.JSON, err = orderfile.WriteSigned(signed, record)
		if err != nil {
			return Papers{}, err
		}
	} else if out.JSON, err = orderfile.Write(o); err != nil {
		return Papers{}, err
	}
	var csv bytes.Buffer
	if err := orderfile.WriteCSV(&csv, out.Order); err != nil {
		return Papers{}, err
	}
	out.CSV = csv.Bytes()
	out.Pages = drawing.Papers{Order: out.Order, Size: set.Size, Design: set.Design, Mechanics: set.Mechanics, Overlay: drawing.Overlay(out.Order, set.Was, set.Size), Seal: orderfile.Seal(out.JSON)}.Pages()
	if out.PDF, err = bound(out, caseFile, set.Design); err != nil {
		return Papers{}, err
	}
	var bundle bytes.Buffer
	number, l := fileName(out.Order), o.Lang
	if err := fhir.Write(&bundle, out.Order, []fhir.Document{
		{Name: number + ".pdf", Title: o.Jurisdiction.Title(l), ContentType: "application/pdf", Data: out.PDF},
		{Name: number + ".json", Title: words.WorkOrder.In(l), ContentType: "application/json", Data: out.JSON},
		{Name: caseName(o), Title: words.CaseFile.In(l), ContentType: "application/yaml", Data: caseFile, Inline: true},
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

// enclosing are an order's files with the case file as it goes out, which need not be that
// of the disk to the letter: it has no comments.
func enclosing(o order.Order, caseFile []byte) []order.Input {
	sum := sha256.Sum256(caseFile)
	digest := hex.EncodeToString(sum[:])
	if slices.ContainsFunc(o.Work.Inputs, func(i order.Input) bool { return i.Digest == digest }) {
		return o.Work.Inputs
	}
	return append(slices.Clone(o.Work.Inputs), order.Input{Name: caseName(o), Kind: "enclosure", Digest: digest, Bytes: int64(len(caseFile))})
}

// caseName is the case file's name within the papers.
func caseName(o order.Order) string { return fileName(o) + ".case.yaml" }

// fileName is an order's number as a file's name.
func fileName(o order.Order) string {
	return fmt.Sprintf("%s-r%d", o.Work.Case.ID, o.Revision)
}

// draw draws the design sheets and, after a signed revision, the overlay.
func (in PapersInput) draw(set *Drawn, o order.Order) error {
	if in.Plan == nil || in.Plan.Placement == nil {
		return nil
	}
	var digests []drawing.Digest
	for _, i := range o.Work.Inputs {
		digests = append(digests, drawing.Digest{Name: i.Name, Hex: i.Digest})
	}
	var aside []drawing.SetAside
	for _, a := range o.SetAside {
		aside = append(aside, drawing.SetAside{Rule: a.Finding.Rule, Tooth: a.Finding.Place.Tooth, Reason: a.Reason, By: a.By})
	}
	how := SheetsInput{Program: in.Made.Program, At: in.Made.At, Digests: digests, Draft: o.State == order.Draft, SetAside: aside,
		Size: in.Size, Palette: in.Palette, Lang: o.Lang}
	var err error
	if set.Design, err = in.Plan.Sheets(how); err != nil {
		return err
	}
	if set.Mechanics == nil {
		set.Mechanics, err = in.Plan.MechanicsPage(how)
	}
	if err == nil && in.Was != nil {
		set.Was = in.Was.Placement
	}
	return err
}

// bound writes the pages as one PDF that carries the case file, the machine-readable order
// and the drawings.
func bound(p Papers, caseFile []byte, design []sheet.Page) ([]byte, error) {
	o, l := p.Order, p.Order.Lang
	number := fileName(o)
	doc := pdf.Document{Title: o.Jurisdiction.Title(l) + " " + o.Number, Subject: o.Class(), Maker: o.Work.Made.Program, Lang: string(l.Language()), Date: o.Work.Made.At,
		Attachments: []pdf.Attachment{
			{Name: caseName(o), Description: words.CaseFile.In(l), Content: caseFile},
			{Name: number + ".json", Description: words.WorkOrder.In(l), Content: p.JSON},
			{Name: number + ".parts.csv", Description: words.SectionParts.In(l), Content: p.CSV},
		}}
	if l.Language() == words.Pseudo {
		doc.Lang = string(words.English)
	}
	for i := range design {
		var b bytes.Buffer
		if err := svg.Write(&b, &design[i]); err != nil {
			return nil, err
		}
		doc.Attachments = append(doc.Attachments, pdf.Attachment{Name: fmt.Sprintf("%s.sheet-%d.svg", number, i+1), Description: design[i].Name, Content: b.Bytes()})
	}
	var b bytes.Buffer
	if err := pdf.Write(&b, p.Pages, doc); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
