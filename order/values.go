package order

import (
	"slices"
	"strings"
	"time"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/material"
	"halfpear/tooth"
	"halfpear/words"
)

// values fills in every field of the order.
func values(o *Order) []Value {
	var out []Value
	for _, f := range Fields {
		v := Value{Field: f}
		switch f.Filled {
		case Entered:
			v.Code, v.Text = o.entered(f)
		case Computed:
			v.Text = o.computed(f.Name)
			v.Code = o.computedCode(f.Name)
		}
		out = append(out, v)
	}
	return out
}

// entered is a field as the dentist filled it, with what another part of the case already
// says standing in for an empty one, so that nothing is asked twice.
func (o *Order) entered(f Field) (code, text string) {
	l := o.Lang
	code = strings.TrimSpace(o.Work.Case.Order.Fields[f.Name])
	switch f.Name {
	case "date.written":
		if code == "" && !o.Work.Made.At.IsZero() {
			code = o.Work.Made.At.Format(time.DateOnly)
		}
	case "date.sent":
		if code == "" && !o.Work.Made.At.IsZero() {
			code = o.Work.Made.At.Format(time.DateOnly)
		}
	case "allergies":
		if code != "" {
			return code, o.list("allergy", code)
		}
		a := o.Work.Case.Chart.Patient.Allergies
		if a == nil {
			return "", ""
		}
		if len(a) == 0 {
			return "none", words.Term(l, "allergy", "none")
		}
		return strings.Join(a, ", "), o.list("allergy", strings.Join(a, ","))
	case "tooth.material":
		if code == "" {
			code = commonForm(o.Work.Case.Design)
		}
	case "try_in":
		return code, o.list("tryin", code)
	case "enclosures":
		if code == "" {
			for _, i := range o.Work.Inputs {
				if i.Kind == "scan" {
					return i.Name, i.Name
				}
			}
		}
	}
	if f.Group != "" && code != "" {
		return code, words.Term(l, f.Group, code)
	}
	return code, code
}

// commonForm is the form of all replacement teeth where they have one form only.
func commonForm(d *design.Design) string {
	if d == nil {
		return ""
	}
	var form design.Form
	for _, p := range d.Of(design.ReplacementTooth) {
		if p.Form == "" || form != "" && p.Form != form {
			return ""
		}
		form = p.Form
	}
	return string(form)
}

// codes are the codes of a field that holds several, separated by commas.
func codes(field string) []string {
	var out []string
	for _, c := range strings.Split(field, ",") {
		if c = strings.TrimSpace(c); c != "" {
			out = append(out, c)
		}
	}
	return out
}

// list writes codes separated by commas in words.
func (o *Order) list(group, field string) string {
	var out []string
	for _, c := range codes(field) {
		out = append(out, words.Term(o.Lang, group, c))
	}
	return strings.Join(out, ", ")
}

func (o *Order) tryIns() []string { return codes(o.code("try_in")) }

// Stages are the try-ins that the work comes back for, in order; the impression of the ridges
// on the framework is one, wherever it was asked for.
func (o *Order) Stages() []string {
	asked := o.tryIns()
	if o.code("altered_cast") == "yes" && !slices.Contains(asked, "altered-cast") {
		asked = append(asked, "altered-cast")
	}
	var out []string
	for _, c := range tryIns {
		if slices.Contains(asked, c) && (c != "none" || len(asked) == 1) {
			out = append(out, c)
		}
	}
	return out
}

func (o *Order) computed(name string) string {
	w, l := o.Work, o.Lang
	switch name {
	case "title":
		return o.Jurisdiction.Title(l)
	case "order.number":
		return o.Number
	case "patient.id":
		return string(w.Case.ID)
	case "arch":
		if a := w.Case.Chart.Arch; a != 0 {
			return words.Term(l, "arch", a.String()) + " (ISO 3950: " + map[string]string{"upper": "01", "lower": "02"}[a.String()] + ")"
		}
	case "teeth":
		return o.teeth()
	case "class":
		return o.Class()
	case "path":
		if o.Work.Path.Direction.Norm() > 0 {
			return words.PathTilt.In(l, words.Deg(l, w.Path.AnteriorDeg), words.Deg(l, w.Path.RightDeg))
		}
	case "major_connector":
		if w.Case.Design != nil {
			var names []string
			for _, p := range w.Case.Design.Of(design.MajorConnector) {
				names = append(names, partName(p, l))
			}
			return strings.Join(names, ", ")
		}
	case "abutments":
		if w.Case.Design != nil {
			return words.Teeth(w.Case.Design.Abutments()).In(l)
		}
	case "other_parts":
		if w.Case.Design != nil {
			n := 0
			for _, k := range []design.Kind{design.MinorConnector, design.Base, design.TissueStop, design.FinishLine, design.ReplacementTooth} {
				n += len(w.Case.Design.Of(k))
			}
			return words.PartsListed.In(l, n)
		}
	case "relief":
		return words.SeeTable.In(l)
	case "drawing":
		if w.Placement != nil {
			return words.SeeDrawing.In(l)
		}
	case "alloy.contents":
		return o.contents()
	case "occlusion.opposing":
		if k := w.Case.Chart.Opposing.Kind; k != "" {
			return words.Term(l, "opposing", k)
		}
		if k := strings.TrimSpace(w.Case.Order.Fields[name]); k != "" {
			return words.Term(l, "opposing", k)
		}
	case "set_aside":
		return itoa(len(o.SetAside))
	case "keep_until":
		d, b := o.KeepUntil["dentist"], o.KeepUntil["laboratory"]
		if d == "" && b == "" {
			return words.KeepNotStated.In(l)
		}
		if d == "" {
			d = words.NotStated.In(l)
		}
		if b == "" {
			b = words.NotStated.In(l)
		}
		return words.KeepBoth.In(l, d, b)
	}
	return ""
}

// computedCode is a computed field as it is the same in every language, for those in which
// two revisions may differ without a part being changed.
func (o *Order) computedCode(name string) string {
	c := o.Work.Case.Chart
	switch name {
	case "occlusion.opposing":
		if c.Opposing.Kind != "" {
			return c.Opposing.Kind
		}
		return strings.TrimSpace(o.Work.Case.Order.Fields[name])
	case "teeth":
		var gone, replaced []string
		for _, n := range tooth.All(c.Arch) {
			if !c.Stands(n) {
				gone = append(gone, n.String())
			}
			if c.Replaced(n) {
				replaced = append(replaced, n.String())
			}
		}
		return strings.Join(gone, " ") + "/" + strings.Join(replaced, " ")
	}
	return ""
}

// teethOfCode tells in words what computedCode says of teeth.
func teethOfCode(l words.Lang, code string) string {
	said := func(list string) string {
		var names []string
		for _, f := range strings.Fields(list) {
			if n, err := tooth.Parse(f); err == nil {
				names = append(names, words.ToothName(l, n))
			}
		}
		return strings.Join(names, " ")
	}
	gone, replaced, _ := strings.Cut(code, "/")
	return words.TeethGone.In(l, said(gone), said(replaced))
}

// Class is the arch's class in words.
func (o *Order) Class() string { return ClassText(o.Work.Class, o.Lang) }

// ClassText is an arch's class in words, as in "Kennedy class I, modifications: 1".
func ClassText(c arch.Result, l words.Lang) string {
	switch {
	case c.Class == "":
		return words.NotKnown.In(l)
	}
	return c.In(l)
}

// teeth tells which teeth stand, are missing, and are replaced.
func (o *Order) teeth() string {
	c := o.Work.Case.Chart
	var stand, gone, replaced []string
	for _, n := range tooth.All(c.Arch) {
		switch {
		case c.Stands(n):
			stand = append(stand, words.ToothName(o.Lang, n))
		default:
			s := words.ToothName(o.Lang, n)
			if st := c.State(n); st != chart.Missing {
				s += "*"
			}
			gone = append(gone, s)
		}
		if c.Replaced(n) {
			replaced = append(replaced, words.ToothName(o.Lang, n))
		}
	}
	said := words.TeethAre.In(o.Lang, strings.Join(stand, " "), strings.Join(gone, " "), strings.Join(replaced, " "))
	if slices.ContainsFunc(gone, func(s string) bool { return strings.HasSuffix(s, "*") }) {
		said += " " + words.TeethStar.In(o.Lang)
	}
	return said
}

// materials lists the names of what the framework is made of: the order's alloy, then
// what single parts have of their own.
func (o *Order) materials() []string {
	var out []string
	add := func(name string) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	add(o.Work.Case.Order.Fields["alloy"])
	if d := o.Work.Case.Design; d != nil {
		for _, p := range d.Parts {
			add(p.Material)
		}
	}
	return out
}

// acrylicBase is the material of a base that is made of methacrylate, as heat-cured denture
// resin is (ISO 20795-1, from memory); empty where none is.
func (o *Order) acrylicBase() string {
	const heatCured = "resin"
	if d := o.Work.Case.Design; d != nil {
		for _, p := range d.Of(design.Base) {
			if p.Material == heatCured || p.Material == "" && o.code("base.material") == heatCured {
				return heatCured
			}
		}
	}
	return ""
}

// holds tells whether any of the materials holds an element.
func holds(names []string, element string) bool {
	for _, n := range names {
		if m, err := material.ByName(n); err == nil && m.Contains(element) {
			return true
		}
	}
	return false
}

// contents tells which of nickel, cobalt and beryllium the framework's materials hold.
// ISO 22674 lets a maker leave nickel undeclared below 0.1 % by mass and bounds beryllium
// at 0.02 % (from memory).
func (o *Order) contents() string {
	names := o.materials()
	if len(names) == 0 || o.Work.Case.Order.Fields["alloy"] == "" {
		return ""
	}
	state := func(element string) string {
		if holds(names, element) {
			return words.Yes.In(o.Lang)
		}
		return words.No.In(o.Lang)
	}
	return words.ContentsAre.In(o.Lang, state("nickel"), state("cobalt"), state("beryllium"))
}
