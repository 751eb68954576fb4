package drawing

import (
	"fmt"
	"strings"

	"halfpear/design"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// partName is a part in words, as in "I-bar".
func (d *draft) partName(p design.Part) string {
	switch {
	case p.Kind == design.Base && p.Support != "":
		return words.Term(d.Lang, "support", p.Support)
	case p.Kind == design.FinishLine && p.Side != "":
		return words.Term(d.Lang, "kind", string(p.Kind)) + ", " + words.Term(d.Lang, "side", p.Side)
	case p.Form != "":
		return words.Term(d.Lang, string(p.Kind), string(p.Form))
	}
	return words.Term(d.Lang, "kind", string(p.Kind))
}

func (d *draft) names(ns []tooth.Number) string {
	return words.Teeth(ns).In(d.Lang)
}

// teeth are the teeth a part belongs to, for the list's column.
func (d *draft) teeth(p design.Part) string {
	switch {
	case p.Tooth != 0:
		return d.name(p.Tooth)
	case len(p.At) > 0:
		return d.names(p.At)
	case len(p.Teeth) > 4:
		return d.name(p.Teeth[0]) + "–" + d.name(p.Teeth[len(p.Teeth)-1])
	}
	return d.names(p.Teeth)
}

// how says of a part what its name does not: where on the tooth, the undercut, the
// material, what it joins.
func (d *draft) how(q placement.Placed) string {
	p := q.Part
	var out []string
	add := func(s string) {
		if s != "" {
			out = append(out, s)
		}
	}
	switch p.Kind {
	case design.Rest:
		if p.Site != "" {
			add(words.Term(d.Lang, "surface", string(p.Site)))
		}
		if p.Role != "" {
			add(words.Term(d.Lang, "role", string(p.Role)))
		}
	case design.GuidePlate:
		add(words.Term(d.Lang, "surface", string(p.Surface)))
	case design.Retainer:
		if p.Undercut != nil {
			add(d.say(words.PlannedUndercut, words.Term(d.Lang, "site", string(p.Undercut.Site)), words.MM(d.Lang, p.Undercut.MM), unit.Inches(p.Undercut.MM)))
		}
		if held := q.Held(); len(held) > 1 {
			for _, tip := range held {
				add(d.say(words.ReachedOn, words.MM(d.Lang, tip.UndercutMM), d.name(tip.Tooth)))
			}
		} else if q.Tip != nil {
			add(d.say(words.ReachedUndercut, words.MM(d.Lang, q.Tip.UndercutMM)))
			if crown, ok := d.Placement.Crowns[q.Tip.Tooth]; ok && len(crown.Columns) > 0 {
				least, most := crown.Sway(q.Tip.AngleDeg, q.Tip.AboveMargin)
				add(d.say(words.SwayOfTip, words.Number(d.Lang, least, 2), words.MM(d.Lang, most)))
			}
		}
		if p.GaugeMM > 0 {
			add(d.say(words.WireOf, words.MM(d.Lang, p.GaugeMM)))
		}
	case design.Base:
		if p.Attachment != "" {
			add(words.Term(d.Lang, "attachment", p.Attachment))
		}
	case design.MajorConnector:
		if len(p.Teeth) > 0 {
			add(d.say(words.LiesOnTeeth, d.teeth(p)))
		}
	}
	if p.Material != "" {
		add(words.Term(d.Lang, "material", p.Material))
	}
	if p.Joins != "" {
		if n := d.numbers[p.Joins]; n > 0 {
			add(d.say(words.JoinsPart, n))
		}
	}
	add(rulebook.Noted(p.Note).In(d.Lang))
	return strings.Join(out, "; ")
}

// dimensions are a part's measures in words, those on one tooth together.
func (d *draft) dimensions(q placement.Placed) string {
	type entry struct {
		name   string
		label  string
		values []string
		all    []placement.Measure
	}
	var list []*entry
	byName := map[string]*entry{}
	for _, m := range q.Measures {
		if m.Quantity.Unit != "mm" && m.Quantity.Unit != "deg" {
			continue
		}
		if hidden[m.Name] {
			continue
		}
		e := byName[m.Name]
		if e == nil {
			e = &entry{name: m.Name, label: d.measureLabel(m)}
			byName[m.Name] = e
			list = append(list, e)
		}
		e.all = append(e.all, m)
		v := d.value(m.Quantity)
		if m.Tooth != 0 && m.Tooth != q.Part.Tooth && q.Part.Kind != design.MinorConnector {
			v = d.name(m.Tooth) + ": " + v
		}
		e.values = append(e.values, v)
	}
	var out []string
	for _, e := range list {
		if manyTeeth(e.all) {
			least, most := e.all[0], e.all[0]
			for _, m := range e.all {
				if m.Quantity.Value < least.Quantity.Value {
					least = m
				}
				if m.Quantity.Value > most.Quantity.Value {
					most = m
				}
			}
			out = append(out, e.label+"\u00a0"+d.say(words.LeastToMost, words.Number(d.Lang, least.Quantity.Value, 2), d.value(most.Quantity), d.name(least.Tooth)))
			continue
		}
		out = append(out, e.label+"\u00a0"+strings.Join(e.values, ", "))
	}
	for _, s := range q.Shortfalls {
		out = append(out, "! "+s.Why.In(d.Lang))
	}
	return strings.Join(out, "; ")
}

// manyTeeth tells the measures that were read at so many teeth that they stand in a table
// along the arch.
func manyTeeth(ms []placement.Measure) bool { return len(ms) > 3 && ms[0].Tooth != 0 }

// alongTable lists tooth by tooth, round the arch, what was read of a connector.
func (d *draft) alongTable(flow *sheet.Flow) {
	for _, q := range d.order {
		byName := map[string][]placement.Measure{}
		var names []string
		for _, m := range q.Measures {
			if m.Quantity.Unit == "mm" && !hidden[m.Name] {
				if byName[m.Name] == nil {
					names = append(names, m.Name)
				}
				byName[m.Name] = append(byName[m.Name], m)
			}
		}
		at := map[tooth.Number]bool{}
		for _, name := range names {
			if manyTeeth(byName[name]) {
				for _, m := range byName[name] {
					at[m.Tooth] = true
				}
			}
		}
		if len(at) == 0 {
			continue
		}
		t := sheet.Table{Size: 2.3, Columns: []sheet.Column{{Head: itoa(d.numbers[q.Part.ID]) + "  " + d.partName(q.Part) + ", " + d.say(words.AlongTheArch), Width: 66}}}
		var teeth []tooth.Number
		for _, n := range tooth.All(d.Cast.Arch) {
			if at[n] {
				teeth = append(teeth, n)
				t.Columns = append(t.Columns, sheet.Column{Head: d.name(n), Align: sheet.Right, Width: 8.8})
			}
		}
		for _, name := range names {
			if !manyTeeth(byName[name]) {
				continue
			}
			row := sheet.Row{Cells: []string{d.measureLabel(byName[name][0])}}
			for _, n := range teeth {
				cell := ""
				for _, m := range byName[name] {
					if m.Tooth == n {
						cell = words.Number(d.Lang, m.Quantity.Value, 2)
					}
				}
				row.Cells = append(row.Cells, cell)
			}
			t.Rows = append(t.Rows, row)
		}
		flow.Table(t)
	}
}

// hidden are the measures that only the checks look at.
var hidden = map[string]bool{
	"tip_slope_deg": true, "tip_past_bulge_deg": true, "rigid_undercut": true, "rigid_above_survey_line": true, "encirclement_deg": true,
	"guide_travel": true, "plane_angle_deg": true, "ridge_slope_deg": true, "midline_crossing_deg": true, "asymmetry": true,
	"behind_lattice": true, "on_convex": true, "on_rugae_crest": true, "front_of_second_premolar": true,
	"head_gap": true, "finger_gap": true, "interference": true, "bulk_height_share": true,
}

func (d *draft) measureLabel(m placement.Measure) string {
	if words.HasTerm("measure", m.Name) {
		return words.Term(d.Lang, "measure", m.Name)
	}
	if m.Label != "" {
		return m.Label
	}
	return strings.ReplaceAll(m.Name, "_", " ")
}

// value writes a quantity as the list prints it.
func (d *draft) value(q unit.Quantity) string {
	switch q.Unit {
	case "mm":
		return words.MM(d.Lang, q.Value)
	case "deg":
		return words.Deg(d.Lang, q.Value)
	}
	return words.Number(d.Lang, q.Value, 2)
}

// partSheets is the list of parts, the findings that stand open, and what was set aside.
func (d *draft) partSheets(foot float64) *sheet.Flow {
	flow := &sheet.Flow{Layer: layerText, Size: 2.5, Foot: foot, Accent: d.Palette.Accent, New: func() (sheet.Page, sheet.Rect) {
		return d.page(d.say(words.PartList))
	}}
	t := sheet.Table{Size: 2.3, Columns: []sheet.Column{
		{Head: d.say(words.PartNo), Width: 8, Align: sheet.Right, Bold: true}, {Head: d.say(words.ToothOrTeeth), Width: 18}, {Head: d.say(words.PartWord), Width: 38},
		{Head: d.say(words.HowPlaced), Width: 58}, {Head: d.say(words.DimensionsRead)},
	}}
	first, group := true, tooth.Number(0)
	for _, q := range d.order {
		g := tooth.Number(0)
		switch q.Part.Kind {
		case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
			g = q.Part.Tooth
		}
		if first || g != group {
			first, group = false, g
			title := d.say(words.JoiningParts)
			if g != 0 {
				title = words.ToothAndISO(d.Lang, g)
			}
			t.Rows = append(t.Rows, sheet.Row{Group: title, Fill: plaster})
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{itoa(d.numbers[q.Part.ID]), d.teeth(q.Part), d.partName(q.Part), d.how(q), d.dimensions(q)}})
	}
	flow.Table(t)
	d.alongTable(flow)
	d.sectionTable(flow)
	flow.Small(d.say(words.SpreadNote, words.MM(d.Lang, d.Cast.Spread)))
	d.findings(flow)
	return flow
}

// sectionTable lists what was read on the sections.
func (d *draft) sectionTable(flow *sheet.Flow) {
	t := sheet.Table{Size: 2.3, Columns: []sheet.Column{{Head: d.say(words.Section), Width: 18, Bold: true}, {Head: d.say(words.PartWord), Width: 70}, {Head: d.say(words.ReadAlong)}}}
	for _, st := range d.stations() {
		var out []string
		for _, r := range d.read[st.index] {
			out = append(out, d.measureLabel(placement.Measure{Name: r.name, Label: placement.Label(r.name)})+"\u00a0"+d.mm2(r.value))
		}
		if len(out) > 0 {
			t.Rows = append(t.Rows, sheet.Row{Cells: []string{st.name(), st.title, strings.Join(out, "; ")}})
		}
	}
	if len(t.Rows) > 0 {
		flow.Table(t)
	}
}

// mm2 writes a length to a hundredth of a millimetre, as the sections' figures do.
func (d *draft) mm2(v float64) string { return words.Number(d.Lang, v, 2) + "\u00a0mm" }

// summary is the design in words: a row for each abutment, then what joins them.
func (d *draft) summary(width float64) sheet.Table {
	first := 20.0
	col := (width - first) / 4
	t := sheet.Table{Size: 2.3, Layer: layerText, Accent: d.Palette.Accent, Columns: []sheet.Column{{Head: d.say(words.ToothOrTeeth), Width: first, Bold: true},
		{Head: words.Term(d.Lang, "kind", string(design.Rest)), Width: col}, {Head: words.Term(d.Lang, "kind", string(design.GuidePlate)), Width: col},
		{Head: words.Term(d.Lang, "kind", string(design.Retainer)), Width: col}, {Head: words.Term(d.Lang, "kind", string(design.Reciprocation)), Width: col}}}
	cells := map[tooth.Number]*[4][]string{}
	var order []tooth.Number
	var rest []string
	seen := map[string]int{}
	for _, q := range d.order {
		p := q.Part
		k := -1
		text := d.partName(p)
		switch p.Kind {
		case design.Rest:
			k = 0
			text = d.say(words.FormAt, words.Term(d.Lang, "surface", string(p.Site)), text)
			if p.Role == design.Indirect {
				text += " (" + words.Term(d.Lang, "role", string(p.Role)) + ")"
			}
		case design.GuidePlate:
			k, text = 1, words.Term(d.Lang, "surface", string(p.Surface))
		case design.Retainer:
			k = 2
			if p.Undercut != nil {
				text += ", " + words.Term(d.Lang, "site", string(p.Undercut.Site)) + " " + words.MM(d.Lang, p.Undercut.MM)
			}
			if wrought(q) {
				text += ", WW"
			}
		case design.Reciprocation:
			k = 3
		case design.MajorConnector, design.Base:
			if at := d.teeth(p); at != "" && p.Kind == design.Base {
				text += " " + at
			}
			if seen[text]++; seen[text] == 1 {
				rest = append(rest, text)
			}
		}
		if k < 0 {
			continue
		}
		if cells[p.Tooth] == nil {
			cells[p.Tooth] = &[4][]string{}
			order = append(order, p.Tooth)
		}
		cells[p.Tooth][k] = append(cells[p.Tooth][k], text)
		for _, tip := range q.Held() {
			if tip.Tooth == p.Tooth || p.Undercut == nil {
				continue
			}
			if cells[tip.Tooth] == nil {
				cells[tip.Tooth] = &[4][]string{}
				order = append(order, tip.Tooth)
			}
			cells[tip.Tooth][k] = append(cells[tip.Tooth][k], d.say(words.ArmFrom, d.name(p.Tooth), words.Term(d.Lang, "site", string(tip.Site))+" "+words.MM(d.Lang, p.Undercut.MM)))
		}
	}
	for _, n := range order {
		row := sheet.Row{Cells: []string{words.ToothAndISO(d.Lang, n)}}
		for _, c := range cells[n] {
			row.Cells = append(row.Cells, strings.Join(c, "; "))
		}
		t.Rows = append(t.Rows, row)
	}
	if len(rest) > 0 {
		t.Rows = append(t.Rows, sheet.Row{Group: strings.Join(rest, "; "), Fill: plaster})
	}
	return t
}

// findings lists stops and cautions still open, and what was set aside with its reason.
func (d *draft) findings(flow *sheet.Flow) {
	if len(d.SetAside) > 0 {
		flow.Heading(2, d.say(words.CautionsSetAside))
		for _, s := range d.SetAside {
			text := string(s.Rule)
			if s.Tooth != 0 {
				text += ", " + d.name(s.Tooth)
			}
			text += ": " + s.Reason
			if s.By != "" {
				text += " (" + s.By + ")"
			}
			flow.Bullet("–", text)
		}
	}
	for _, part := range []struct {
		heading  words.Word
		severity rulebook.Severity // empty: stops and cautions alike
		status   rulebook.Status
	}{{words.OpenStops, rulebook.Stop, rulebook.Failed}, {words.OpenCautions, rulebook.Caution, rulebook.Failed}, {words.OpenBorderline, "", rulebook.Borderline}} {
		var open []rulebook.Finding
		for _, f := range d.Findings {
			counts := f.Severity == part.severity || part.severity == "" && f.Severity != rulebook.Note
			if counts && f.Status == part.status && !d.isAside(f) {
				open = append(open, f)
			}
		}
		if len(open) == 0 {
			continue
		}
		flow.Heading(2, d.say(part.heading))
		for _, f := range open {
			text := f.Message.In(d.Lang)
			if part.status == rulebook.Borderline { // the heading says it of all
				text = strings.TrimSuffix(text, " "+words.OnlyAverage.In(d.Lang))
			}
			flow.Bullet("–", fmt.Sprintf("%s: %s", f.Rule, text))
		}
	}
}

func (d *draft) isAside(f rulebook.Finding) bool {
	for _, s := range d.SetAside {
		if s.Rule == f.Rule && (s.Tooth == 0 || s.Tooth == f.Place.Tooth) {
			return true
		}
	}
	return false
}
