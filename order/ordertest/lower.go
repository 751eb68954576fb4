// Package ordertest has a made-up case with everything said, for the tests of what is
// made from an order.
package ordertest

import (
	"time"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/order"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
	"halfpear/unit"
)

// Noon is when the example is made.
var Noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// fields are an order for the lower case below.
func fields() map[string]string {
	return map[string]string{
		"lab.name": "Example Laboratory", "lab.address": "1 Sample Square, Exampletown", "lab.licence": "L-0000",
		"dentist.name": "A. Sample", "dentist.address": "2 Sample Square, Exampletown", "dentist.licence": "D-0000", "clinic": "Teaching clinic",
		"date.wanted": "2026-03-20", "date.framework_try_in": "2026-03-12", "date.tooth_try_in": "2026-03-16", "work.kind": "framework-and-teeth",
		"alloy": "co-cr-cast", "alloy.quality": "ISO 22674, type 5", "base.material": "resin", "tooth.material": "resin", "mould": "medium, square", "shade": "A3", "shade.guide": "of the practice",
		"occlusion.scheme": "as-natural", "occlusion.record": "wax rims at the try-in", "enclosures": "lower scan, opposing scan",
		"disinfection.items": "bite record", "disinfection.agent": "sodium hypochlorite 0.5 %", "disinfection.time": "10 min", "disinfection.by": "nurse 2",
		"try_in": "framework, altered-cast, teeth", "mark": "declined", "consent.subcontract": "no", "consent.foreign": "no",
	}
}

// Lower is a made-up lower case with two extension bases and everything said.
func Lower() order.Work {
	teeth := map[tooth.Number]chart.Tooth{}
	for _, n := range []tooth.Number{35, 36, 37, 45, 46, 47} {
		teeth[n] = chart.Tooth{State: chart.Missing}
	}
	no := false
	for _, n := range []tooth.Number{38, 48} {
		teeth[n] = chart.Tooth{State: chart.Missing, Replace: &no}
	}
	d := design.Design{Arch: tooth.Lower}
	add := func(p design.Part) { d.Parts = append(d.Parts, p) }
	add(design.Part{ID: "bar", Kind: design.MajorConnector, Form: design.LingualBar, Dimensions: map[string]float64{"height": 4, "thickness": 2}})
	for _, s := range []struct {
		n        tooth.Number
		replaced []tooth.Number
	}{{34, []tooth.Number{35, 36, 37}}, {44, []tooth.Number{45, 46, 47}}} {
		id := s.n.String()
		add(design.Part{ID: design.ID("rest-" + id), Kind: design.Rest, Form: design.RestOcclusal, Tooth: s.n, Site: tooth.Mesial, Role: design.Primary})
		add(design.Part{ID: design.ID("plate-" + id), Kind: design.GuidePlate, Tooth: s.n, Surface: tooth.Distal, Joins: design.ID("base-" + id)})
		add(design.Part{ID: design.ID("retainer-" + id), Kind: design.Retainer, Form: design.ClaspIBar, Tooth: s.n, Undercut: &design.Undercut{Site: tooth.MidFacial, MM: 0.25}, Joins: design.ID("base-" + id)})
		add(design.Part{ID: design.ID("minor-" + id), Kind: design.MinorConnector, At: []tooth.Number{s.n, s.n.Mesial()}, Joins: "bar"})
		add(design.Part{ID: design.ID("base-" + id), Kind: design.Base, Teeth: s.replaced, Support: "extension", Attachment: "lattice"})
		add(design.Part{ID: design.ID("stop-" + id), Kind: design.TissueStop, Joins: design.ID("base-" + id)})
		for _, side := range []string{"internal", "external"} {
			add(design.Part{ID: design.ID("finish-" + id + "-" + side), Kind: design.FinishLine, Side: side, Joins: design.ID("base-" + id)})
		}
	}
	w := order.Work{
		Case: casebook.Case{ID: "K7-3FQ2", Title: "Two extension bases", Chart: chart.Chart{Arch: tooth.Lower, Teeth: teeth,
			Patient: chart.Patient{Allergies: []string{}}, Opposing: chart.Opposing{Kind: "natural"}}, Design: &d, Order: casebook.Order{Fields: fields()}},
		Path:   survey.PathFromTilt(tooth.Lower, 2, 0),
		Inputs: []order.Input{{Name: "case.yaml", Kind: "case", Digest: "00aa11bb22cc33dd44ee55ff66aa77bb88cc99dd00ee11ff22aa33bb44cc55dd", Bytes: 10}},
		Made:   order.Made{Program: "test", Rulebook: "test", At: Noon},
	}
	w.Class, _ = arch.Classify(w.Case.Chart.Pattern(false))
	pl := &placement.Placement{Path: w.Path}
	for _, p := range d.Parts {
		q := placement.Placed{Part: p}
		if p.Kind == design.Retainer {
			q.Tip = &placement.Tip{Site: tooth.MidFacial, UndercutMM: 0.26}
		}
		if p.Kind == design.MajorConnector {
			q.Measures = []placement.Measure{{Name: "upper_border_to_margin", Label: "upper border to gingival margin", Quantity: unit.MM(3.4, unit.Average, 0.2)}}
		}
		pl.Parts = append(pl.Parts, q)
	}
	w.Placement = pl
	return w
}

// OnCast is Lower on a made cast, with its preparations.
func OnCast() (order.Work, error) {
	w := Lower()
	spec := typodont.Spec{Arch: tooth.Lower, Teeth: map[tooth.Number]typodont.Tooth{}}
	for _, n := range tooth.All(tooth.Lower) {
		if w.Case.Chart.Stands(n) {
			spec.Teeth[n] = typodont.Tooth{}
		}
	}
	var err error
	if w.Cast, err = typodont.Make(spec); err != nil {
		return w, err
	}
	d := w.Case.Design.With(design.Part{ID: "rest-33", Kind: design.Rest, Form: design.RestCingulum, Tooth: 33, Site: tooth.Lingual, Role: design.Indirect})
	w.Case.Design = &d
	w.Placement.Parts = append(w.Placement.Parts, placement.Placed{Part: d.Parts[len(d.Parts)-1]})
	plan := prep.Make(prep.Input{Chart: w.Case.Chart, Class: w.Class, Design: d, Placement: w.Placement})
	w.Prep = &plan
	return w, nil
}
