package order

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/survey"
	"halfpear/words"
)

// Filled says who gives a field its value.
type Filled uint8

const (
	Entered      Filled = iota // by the dentist, in the case's order
	Computed                   // by the program, from the chart, the survey and the design
	ByHand                     // with a pen, on the paper: never stored
	ByLaboratory               // at the return of the work
)

// Need says why a field must be filled before the order is complete.
type Need uint8

const (
	Optional    Need = iota
	Legal            // where the jurisdiction asks for it
	Buildable        // always: the technician would have to guess
	Conditional      // in the cases that its check knows
)

// Field is one entry of the order. Number is its place in the list of the order's 41
// fields; some places hold more than one entry.
type Field struct {
	Number  int
	Name    string // key in the case file's order.fields
	Label   words.Word
	Filled  Filled
	Need    Need
	Group   string // term group of the allowed codes; empty for free words
	Choices []string
	Free    bool // free text, read for what could identify a person
}

// Fields are all entries in the order in which the paper names them.
var Fields = [...]Field{
	{1, "title", words.FieldTitle, Computed, Legal, "", nil, false},
	{2, "order.number", words.FieldOrderNumber, Computed, Buildable, "", nil, false},
	{3, "lab.name", words.FieldLabName, Entered, Buildable, "", nil, false},
	{3, "lab.address", words.FieldLabAddress, Entered, Legal, "", nil, false},
	{4, "lab.licence", words.FieldLabLicence, Entered, Legal, "", nil, false},
	{5, "dentist.name", words.FieldDentistName, Entered, Buildable, "", nil, false},
	{5, "dentist.address", words.FieldDentistAddress, Entered, Legal, "", nil, false},
	{6, "dentist.licence", words.FieldDentistLicence, Entered, Legal, "", nil, false},
	{7, "clinic", words.FieldClinic, Entered, Legal, "", nil, false},
	{8, "patient.id", words.FieldPatientID, Computed, Buildable, "", nil, false},
	{9, "patient.name", words.FieldPatientName, ByHand, Optional, "", nil, false},
	{10, "patient.age_band", words.FieldAgeBand, Entered, Optional, "age", []string{"18-39", "40-59", "60-79", "80-"}, false},
	{10, "patient.sex", words.FieldSex, Entered, Optional, "sex", []string{"female", "male"}, false},
	{11, "date.written", words.FieldDateWritten, Entered, Legal, "", nil, false},
	{11, "date.sent", words.FieldDateSent, Entered, Legal, "", nil, false},
	{12, "date.wanted", words.FieldDateWanted, Entered, Buildable, "", nil, false},
	{12, "date.framework_try_in", words.FieldDateFramework, Entered, Conditional, "", nil, false},
	{12, "date.tooth_try_in", words.FieldDateTeeth, Entered, Conditional, "", nil, false},
	{12, "impression_date", words.FieldImpression, Entered, Optional, "", nil, false},
	{12, "last_preparation_date", words.FieldLastPreparation, Entered, Optional, "", nil, false},
	{12, "crown_date", words.FieldCrownDate, Entered, Optional, "", nil, false},
	{12, "framework_date", words.FieldFrameworkDate, Entered, Optional, "", nil, false},
	{12, "recall", words.FieldRecall, Entered, Optional, "", nil, true},
	{13, "signature", words.FieldSignature, ByHand, Legal, "", nil, false},
	{14, "arch", words.FieldArch, Computed, Buildable, "arch", nil, false},
	{15, "work.kind", words.FieldWorkKind, Entered, Buildable, "work", []string{"framework", "framework-and-teeth", "finish", "repair", "rebase"}, false},
	{16, "teeth", words.FieldTeeth, Computed, Buildable, "", nil, false},
	{17, "class", words.FieldClass, Computed, Buildable, "", nil, false},
	{18, "path", words.FieldPath, Computed, Buildable, "", nil, false},
	{19, "abutments", words.FieldAbutments, Computed, Buildable, "", nil, false},
	{20, "major_connector", words.FieldMajorConnector, Computed, Buildable, "", nil, false},
	{21, "other_parts", words.FieldOtherParts, Computed, Buildable, "", nil, false},
	{22, "relief", words.FieldRelief, Computed, Buildable, "", nil, false},
	{23, "drawing", words.FieldDrawing, Computed, Buildable, "", nil, false},
	{24, "alloy", words.FieldAlloy, Entered, Buildable, "material", []string{"co-cr-cast", "co-cr-laser", "gold-iv", "cp-ti", "ti-6al-4v", "ti-6al-7nb", "peek"}, false},
	{24, "alloy.quality", words.FieldAlloyQuality, Entered, Legal, "", nil, false},
	{24, "alloy.brand", words.FieldAlloyBrand, Entered, Optional, "", nil, false},
	{24, "alloy.contents", words.FieldAlloyContents, Computed, Buildable, "", nil, false},
	{25, "base.material", words.FieldBaseMaterial, Entered, Buildable, "material", nil, false},
	{25, "tooth.material", words.FieldToothMaterial, Entered, Buildable, "replacement-tooth", nil, false},
	{25, "mould", words.FieldMould, Entered, Buildable, "", nil, false},
	{25, "shade", words.FieldShade, Entered, Buildable, "", nil, false},
	{25, "shade.guide", words.FieldShadeGuide, Entered, Buildable, "", nil, false},
	{26, "allergies", words.FieldAllergies, Entered, Buildable, "allergy", nil, false},
	{26, "allergies.accepted_by", words.FieldAllergyAccepted, Entered, Optional, "", nil, false},
	{27, "occlusion.scheme", words.FieldOcclusion, Entered, Buildable, "occlusion", []string{"canine", "group", "balanced", "as-natural"}, false},
	{27, "occlusion.opposing", words.FieldOpposing, Computed, Buildable, "opposing", nil, false},
	{27, "occlusion.record", words.FieldBite, Entered, Buildable, "", nil, true},
	{28, "enclosures", words.FieldEnclosures, Entered, Buildable, "", nil, true},
	{29, "disinfection.items", words.FieldDisinfected, Entered, Buildable, "", nil, true},
	{29, "disinfection.agent", words.FieldAgent, Entered, Buildable, "", nil, false},
	{29, "disinfection.time", words.FieldExposure, Entered, Buildable, "", nil, false},
	{29, "disinfection.by", words.FieldDisinfectedBy, Entered, Buildable, "", nil, false},
	{30, "try_in", words.FieldTryIn, Entered, Buildable, "", nil, false},
	{30, "altered_cast", words.FieldAlteredCast, Entered, Optional, "answer", []string{"yes", "no"}, false},
	{30, "reline", words.FieldReline, Entered, Optional, "", nil, true},
	{31, "mark", words.FieldMark, Entered, Buildable, "mark", []string{"wanted", "declined", "not-practicable"}, false},
	{31, "mark.text", words.FieldMarkText, Entered, Conditional, "", nil, true},
	{32, "instructions", words.FieldInstructions, Entered, Optional, "", nil, true},
	{32, "treatment", words.FieldTreatment, Entered, Optional, "", nil, true},
	{32, "planned_additions", words.FieldAdditions, Entered, Optional, "", nil, true},
	{33, "consent.subcontract", words.FieldSubcontract, Entered, Buildable, "answer", []string{"yes", "no"}, false},
	{33, "consent.foreign", words.FieldForeign, Entered, Buildable, "answer", []string{"yes", "no"}, false},
	{34, "set_aside", words.FieldSetAside, Computed, Buildable, "", nil, false},
	{35, "return.receipt", words.FieldReceipt, ByLaboratory, Optional, "", nil, false},
	{36, "return.materials", words.FieldMaterialsUsed, ByLaboratory, Optional, "", nil, false},
	{37, "return.made_at", words.FieldMadeAt, ByLaboratory, Optional, "", nil, false},
	{38, "return.statement", words.FieldStatement, ByLaboratory, Optional, "", nil, false},
	{39, "return.cleaned", words.FieldReturnCleaned, ByLaboratory, Optional, "", nil, false},
	{40, "keep_until", words.FieldKeepUntil, Computed, Legal, "", nil, false},
	{41, "price", words.FieldPrice, ByHand, Optional, "", nil, false},
}

// wordsOfTheWork tells a short entry in words of one's own about the work, as a shade or a
// mould; names and addresses of dentist and laboratory, dates and codes are none.
func (f Field) wordsOfTheWork() bool {
	switch f.Name {
	case "alloy.quality", "alloy.brand", "mould", "shade", "shade.guide", "disinfection.agent", "disinfection.time":
		return true
	}
	return false
}

// FieldNamed finds a field by its name in the case file.
func FieldNamed(name string) (Field, bool) {
	for _, f := range Fields {
		if f.Name == name {
			return f, true
		}
	}
	return Field{}, false
}

// tryIns are the codes of try-in stages; the field holds several, separated by commas.
var tryIns = []string{"framework", "altered-cast", "teeth", "none"}

// RulebookFields are the order's fields as the rulebook asks for them: what was entered,
// and what the order takes from the case by itself. A case without an order has none.
func RulebookFields(c casebook.Case, class arch.Result, path survey.Path) map[string]string {
	if c.Order.Fields == nil {
		return nil
	}
	out := maps.Clone(c.Order.Fields)
	put := func(name, value string) {
		if strings.TrimSpace(out[name]) == "" && value != "" {
			out[name] = value
		}
	}
	put("class", strings.TrimPrefix(class.String(), "Class "))
	if path.Direction.Norm() > 0 {
		put("path", fmt.Sprintf("%.1f / %.1f", path.AnteriorDeg, path.RightDeg))
	}
	if c.Design != nil {
		for _, p := range c.Design.Of(design.MajorConnector) {
			put("connector", string(p.Form))
		}
	}
	if t := codes(out["try_in"]); slices.Contains(t, "altered-cast") {
		put("altered_cast", "yes")
	} else if len(t) > 0 {
		put("altered_cast", "no")
	}
	put("recall", fmt.Sprintf("every %d months", RecallMonths(c.Chart.Patient)))
	return out
}

// RecallMonths is how often a wearer is seen: twice a year, or four times with high caries
// risk, dry mouth or poor hygiene (common practice). The delivery page prints it.
func RecallMonths(p chart.Patient) int {
	if p.CariesRisk == "high" || p.Hygiene == "poor" || p.DryMouth != nil && *p.DryMouth {
		return 3
	}
	return 6
}
