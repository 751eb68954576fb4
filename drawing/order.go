package drawing

import (
	"fmt"
	"strings"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/order"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/words"
)

// orderPages are the work order itself.
func (w *writer) orderPages(foot float64) *sheet.Flow {
	o := w.o
	f := w.flow(o.Jurisdiction.Title(w.l), bodySize)
	f.Foot = foot
	if len(o.Gaps) > 0 {
		w.missing(f)
	}
	w.fields(f, words.SectionParties, 3, 4, 5, 6, 7)
	w.fields(f, words.SectionPatient, 8, 10)
	line := words.NameLabCopy
	if o.Jurisdiction.NameOnDentistsCopy {
		line = words.NameByHand
	}
	f.Line(w.say(line), "")
	w.fields(f, words.SectionDates, 11, 12)
	w.fields(f, words.SectionWork, 14, 15, 16, 17, 20)
	w.path(f)
	w.fields(f, words.SectionMaterials, 24, 25, 26)
	w.fields(f, words.SectionOcclusion, 27)
	w.fields(f, words.SectionInfection, 29)
	w.enclosed(f)
	w.tryIns(f)
	w.fields(f, words.SectionConsent, 31, 33, 32)
	w.parts(f)
	w.spaces(f)
	if len(o.Work.Case.Order.Queries) > 0 {
		f.Heading(2, w.say(words.SectionQueries))
		f.Table(w.queries())
	}
	if o.Work.Before != nil {
		w.changes(f)
	}
	w.signature(f)
	w.laboratory(f)
	w.records(f)
	return f
}

// missing lists what keeps the order a draft.
func (w *writer) missing(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionMissing))
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.ColumnNumber), Width: 9}, {Head: w.say(words.ColumnWhat)}, {Head: w.say(words.ColumnWhere), Width: 52}, {Head: w.say(words.ColumnRule), Width: 52}}}
	for i, g := range w.o.Gaps {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{fmt.Sprint(i + 1), g.Text, g.Where, g.Rule}})
	}
	f.Table(t)
}

// fields sets the fields with the given numbers as labels and values, two columns wide.
func (w *writer) fields(f *sheet.Flow, heading words.Word, numbers ...int) {
	f.Heading(2, w.say(heading))
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Width: 62}, {Bold: true}}}
	for _, n := range numbers {
		for _, v := range w.o.Values {
			if v.Field.Number != n || v.Field.Filled == order.ByHand {
				continue
			}
			text := v.Text
			if text == "" {
				text = "—"
				if v.Field.Need == order.Optional || !w.gap(v.Field.Name) {
					continue // nothing asked, nothing said
				}
			}
			t.Rows = append(t.Rows, sheet.Row{Cells: []string{v.Field.Label.In(w.l), text}})
		}
	}
	f.Table(t)
}

// gap tells whether a field is missed.
func (w *writer) gap(field string) bool {
	for _, g := range w.o.Gaps {
		if g.Field == field {
			return true
		}
	}
	return false
}

func (w *writer) path(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionPath))
	if s := w.o.Value("path").Text; s != "" {
		f.Strong(s)
		f.Para(w.say(words.PathHow))
	}
	if len(w.o.Tripod) == 0 {
		f.Para(w.say(words.TripodNone))
		return
	}
	right := cast.RightSign(w.o.Work.Case.Chart.Arch)
	var marks []string
	for i, p := range w.o.Tripod {
		marks = append(marks, fmt.Sprintf("%d: %s / %s / %s", i+1, words.Number(w.l, right*p.X, 1), words.Number(w.l, p.Y, 1), words.Number(w.l, p.Z, 1)))
	}
	f.Para(w.say(words.TripodMarks, strings.Join(marks, "; ")))
}

func (w *writer) enclosed(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionEnclosed))
	if s := w.o.Value("enclosures").Text; s != "" {
		f.Para(s)
	}
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.ColumnFile)}, {Head: w.say(words.ColumnDigest), Width: 45, Bold: true}, {Head: w.say(words.ColumnSize), Width: 28, Align: sheet.Right}}}
	for _, i := range w.o.Work.Inputs {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{i.Name, i.Short(), fmt.Sprint(i.Bytes)}})
	}
	f.Table(t)
}

func (w *writer) tryIns(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionTryIns))
	t := sheet.Table{Size: bodySize, Columns: []sheet.Column{{Head: w.say(words.ColumnStage), Width: 80}, {Head: w.say(words.ColumnDate), Width: 32}, {Head: w.say(words.ColumnSignOff)}}}
	date := map[string]string{"framework": "date.framework_try_in", "teeth": "date.tooth_try_in"}
	if len(w.o.Stages()) == 0 {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{"—", "", ""}})
	}
	for _, c := range w.o.Stages() {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{words.Term(w.l, "tryin", c), w.o.Value(date[c]).Text, ""}})
	}
	f.Table(t)
	if v := w.o.Value("reline"); v.Text != "" {
		f.Para(v.Field.Label.In(w.l) + ": " + v.Text)
	}
}

// parts is the part table: what the drawing shows, with all that is needed to build it.
func (w *writer) parts(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionParts))
	f.Small(w.say(words.OneSource))
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.ColumnNumber), Width: 8}, {Head: w.say(words.ColumnTooth), Width: 19, Bold: true},
		{Head: w.say(words.ColumnPart), Width: 29}, {Head: w.say(words.ColumnPlace), Width: 43}, {Head: w.say(words.ColumnMaterial), Width: 23}, {Head: w.say(words.ColumnMeasures)}}}
	var group string
	for _, r := range w.o.Parts {
		g := words.Term(w.l, "kind", string(r.Part.Kind))
		switch r.Part.Kind {
		case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
			g = w.say(words.AbutmentTooth, words.ToothAndISO(w.l, r.Part.Tooth))
		}
		if g != group {
			group = g
			t.Rows = append(t.Rows, sheet.Row{Group: group})
		}
		n := r.Part.Teeth
		if r.Part.Tooth != 0 {
			n = append(n[:0:0], r.Part.Tooth)
		} else if len(r.Part.At) > 0 {
			n = r.Part.At
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{fmt.Sprint(r.Number), w.teethText(n), r.What, r.Where, r.Material, w.measures(r)}})
	}
	f.Table(t)
}

// measures sets a row's dimensions; readings at several teeth stand together.
func (w *writer) measures(r order.Row) string {
	var out []string
	var built []order.Dimension
	for _, d := range r.Dimensions {
		if d.Build {
			built = append(built, d)
		}
	}
	for i := 0; i < len(built); {
		d := built[i]
		j := i + 1
		for j < len(built) && built[j].Name == d.Name {
			j++
		}
		if j-i == 1 {
			s := d.Label + " " + d.Text
			if d.Tooth != 0 && d.Tooth != r.Part.Tooth {
				s += " (" + words.ToothName(w.l, d.Tooth) + ")"
			}
			out = append(out, s)
		} else {
			low, high := d, d
			for _, e := range built[i:j] {
				if e.Value.Value < low.Value.Value {
					low = e
				}
				if e.Value.Value > high.Value.Value {
					high = e
				}
			}
			s := d.Label + " " + low.Text
			if low.Text != high.Text {
				s += " (" + words.ToothName(w.l, low.Tooth) + ") – " + high.Text + " (" + words.ToothName(w.l, high.Tooth) + ")"
			}
			out = append(out, s)
		}
		i = j
	}
	return strings.Join(out, "; ")
}

func (w *writer) spaces(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionSpaces))
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.ColumnPart), Width: 68}, {Head: w.say(words.ColumnWhat), Bold: true}, {Head: w.say(words.ColumnFrom), Width: 40}}}
	for _, s := range w.o.Spaces {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{s.What, s.Told, s.From}})
	}
	f.Table(t)
}

// queries are what the laboratory asked and was answered.
func (w *writer) queries() sheet.Table {
	t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.ColumnNumber), Width: 8}, {Head: w.say(words.ColumnPart), Width: 32}, {Head: w.say(words.ColumnAsked), Width: 70}, {Head: w.say(words.ColumnAnswer)}}}
	for i, q := range w.o.Work.Case.Order.Queries {
		part := string(q.Part)
		for _, r := range w.o.Parts {
			if r.Part.ID == q.Part {
				part = fmt.Sprintf("%d: %s", r.Number, order.Title(r.Part, w.l))
			}
		}
		asked, answer := q.Asked, q.Answer
		if q.By != "" {
			asked += " — " + q.By
		}
		if q.Answered != "" {
			answer += " — " + q.Answered
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{fmt.Sprint(i + 1), part, asked, answer}})
	}
	return t
}

func (w *writer) changes(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionChanges, w.o.Work.Before.Revision))
	if len(w.o.Changes) == 0 {
		f.Para(w.say(words.NoChange))
	}
	for i, c := range w.o.Changes {
		f.Bullet(fmt.Sprintf("%d.", i+1), c.Text)
	}
}

func (w *writer) signature(f *sheet.Flow) {
	f.Need(34)
	f.Heading(2, w.say(words.SectionSign))
	f.Para(w.say(words.FrozenInputs))
	if w.o.State == order.Signed {
		v := w.o.Value("signature")
		f.Strong(v.Text)
		if w.Seal != "" {
			f.Small("SHA-256: " + w.Seal)
		}
		return
	}
	f.Space(4)
	f.Line(w.say(words.SignHere), "")
	f.Line(w.say(words.SignDate), "")
}

// laboratory is what the laboratory writes on: questions, then what it returns with the
// work. It stays together.
func (w *writer) laboratory(f *sheet.Flow) {
	const entries, asking, statement = 60, 32, 70
	need := float64(entries + asking)
	if w.o.Jurisdiction.Statement != "" {
		need += statement
	}
	f.Need(need)
	f.Heading(2, w.say(words.SectionLab))
	f.Para(w.say(words.AskUs))
	t := w.queries()
	t.Rows = nil
	for range 3 {
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{"", "\n", "", ""}})
	}
	f.Table(t)
	for _, v := range w.o.Values {
		if v.Field.Filled == order.ByLaboratory && v.Field.Number != 38 {
			f.Line(v.Field.Label.In(w.l), "")
			f.Space(1.5)
		}
	}
	f.Para(w.say(words.NumberOnModels))
	if w.o.Jurisdiction.Statement == "" {
		return
	}
	f.Need(statement)
	f.Heading(2, w.say(words.SectionStatement))
	for i, s := range words.StatementItems {
		filled := ""
		switch i {
		case 2:
			filled = w.o.Number
		case 3:
			filled = string(w.o.Work.Case.ID)
		case 4:
			filled = strings.Join(nonEmpty(w.o.Value("dentist.name").Text, w.o.Value("clinic").Text), ", ")
		}
		f.Bullet(fmt.Sprintf("%d.", i+1), w.say(s))
		f.Line("", filled)
	}
}

func nonEmpty(s ...string) []string {
	var out []string
	for _, t := range s {
		if t != "" {
			out = append(out, t)
		}
	}
	return out
}

func (w *writer) records(f *sheet.Flow) {
	f.Heading(2, w.say(words.SectionRecords))
	j := w.o.Jurisdiction
	f.Para(words.FieldKeepUntil.In(w.l) + ": " + w.o.Value("keep_until").Text)
	for _, n := range j.Notes(w.l) {
		f.Bullet("•", n)
	}
	f.Small(w.say(words.CheckedOn, j.Label(w.l), j.CheckedOn, j.Source))
}

// cautionPages print what was set aside with its reason, and what stands open.
func (w *writer) cautionPages(foot float64) *sheet.Flow {
	o := w.o
	f := w.flow(w.say(words.CautionsTitle), bodySize)
	f.Foot = foot
	f.Heading(2, w.say(words.SectionAside))
	if len(o.SetAside) == 0 {
		f.Para(w.say(words.NoneSetAside))
	} else {
		t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.RuleHead), Width: 24, Bold: true}, {Head: w.say(words.ColumnFinding)}, {Head: w.say(words.ColumnReason), Width: 70}}}
		for _, s := range o.SetAside {
			found := s.Finding.Message.In(w.l)
			if !s.Known {
				found = strings.TrimSpace(found + " " + w.say(words.NoLonger))
			}
			reason := s.Reason
			if s.By != "" {
				reason += " — " + s.By
			}
			if !s.At.IsZero() {
				reason += ", " + s.At.UTC().Format("2006-01-02")
			}
			t.Rows = append(t.Rows, sheet.Row{Cells: []string{w.rule(s.Finding), found, reason}})
		}
		f.Table(t)
	}
	f.Heading(2, w.say(words.SectionOpen))
	if len(o.Open) == 0 {
		f.Para(w.say(words.NoneOpen))
	} else {
		t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.RuleHead), Width: 24, Bold: true}, {Head: w.say(words.ColumnFinding)}, {Head: w.say(words.ColumnRemedy), Width: 70}}}
		for _, c := range o.Open {
			t.Rows = append(t.Rows, sheet.Row{Cells: []string{w.rule(c), c.Message.In(w.l), c.Remedy.In(w.l)}})
		}
		f.Table(t)
	}
	if len(o.Unchecked) > 0 {
		f.Heading(2, w.say(words.SectionNotChecked))
		f.Para(w.say(words.NotCheckedRules, len(o.Unchecked)))
		t := sheet.Table{Size: tableSize, Columns: []sheet.Column{{Head: w.say(words.RuleHead), Width: 24, Bold: true}, {Head: w.say(words.ColumnFinding)}}}
		for _, c := range o.Unchecked {
			t.Rows = append(t.Rows, sheet.Row{Cells: []string{string(c.Rule), c.Message.In(w.l)}})
		}
		f.Table(t)
	}
	return f
}

// rule names a finding's rule, its weight and its tooth.
func (w *writer) rule(f rulebook.Finding) string {
	s := string(f.Rule)
	switch {
	case f.Status == rulebook.Borderline: // it stops nothing, so it is not called a stop
		s += "\n" + w.say(words.FindingBorderline)
	case f.Severity != "":
		s += "\n" + words.Term(w.l, "severity", string(f.Severity))
	}
	if f.Place.Tooth != 0 {
		s += "\n" + w.say(words.Tooth) + " " + words.ToothName(w.l, f.Place.Tooth)
	}
	return s
}
