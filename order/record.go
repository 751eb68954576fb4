package order

import (
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"halfpear/casebook"
	"halfpear/design"
	"halfpear/rulebook"
	"halfpear/words"
)

// Record is an order as it was signed. It is kept as written and never changed; what
// comes after it is a new revision.
type Record struct {
	Number       string
	Case         casebook.ID
	Revision     int
	Jurisdiction string
	Lang         words.Lang
	Signature    Signature
	Inputs       []Input
	Made         Made
	Fields       map[string]string // codes as entered, and what stood in for empty ones
	AnteriorDeg  float64
	RightDeg     float64
	Parts        []design.Part
	CaseFile     []byte // the case as it stood
}

// Signature is who signed an order and when.
type Signature struct {
	By string // name or initials of the dentist
	At time.Time
}

// Sign freezes a complete order. An order that lacks something cannot be signed.
func (o Order) Sign(by string, caseFile []byte) (Order, Record, error) {
	if strings.TrimSpace(by) == "" {
		return o, Record{}, words.Errorf("signing order %s: expected the name or the initials of the dentist", o.Number)
	}
	if len(o.Gaps) > 0 {
		return o, Record{}, words.Errorf("signing order %s: %d things are missing, the first: %s", o.Number, len(o.Gaps), o.Gaps[0].Text)
	}
	if o.Work.Made.At.IsZero() {
		return o, Record{}, words.Errorf("signing order %s: the time of signing was not given", o.Number)
	}
	r := snapshot(o)
	r.Signature = Signature{By: strings.TrimSpace(by), At: o.Work.Made.At}
	r.CaseFile = append([]byte(nil), caseFile...)
	o.State = Signed
	for i, v := range o.Values {
		if v.Field.Name == "signature" {
			o.Values[i].Code = r.Signature.By
			o.Values[i].Text = words.SignedBy.In(o.Lang, r.Signature.By, r.Signature.At.UTC().Format("2006-01-02 15:04 UTC"))
		}
	}
	return o, r, nil
}

// Snapshot is an order as a record without a signature.
func Snapshot(o Order) Record { return snapshot(o) }

func snapshot(o Order) Record {
	w := o.Work
	r := Record{Number: o.Number, Case: w.Case.ID, Revision: o.Revision, Jurisdiction: o.Jurisdiction.Name, Lang: o.Lang,
		Inputs: append([]Input(nil), w.Inputs...), Made: w.Made, Fields: map[string]string{}, AnteriorDeg: w.Path.AnteriorDeg, RightDeg: w.Path.RightDeg}
	for _, v := range o.Values {
		if v.Code != "" && !strings.HasPrefix(v.Field.Name, "date.written") {
			r.Fields[v.Field.Name] = v.Code
		}
	}
	if w.Case.Design != nil {
		r.Parts = append(r.Parts, w.Case.Design.Parts...)
	}
	return r
}

// Change is one difference between two revisions.
type Change struct {
	Part  design.ID // empty for a field
	Field string
	Kind  string // added, removed, changed
	Text  string
}

// Compare tells part by part, then field by field, what b has different from a.
func Compare(a, b Record, l words.Lang) []Change {
	var out []Change
	title := func(p design.Part) string { return Title(p, l) }
	joined := func(r Record, id design.ID) string {
		for _, p := range r.Parts {
			if p.ID == id {
				return title(p)
			}
		}
		return string(id)
	}
	was := map[design.ID]design.Part{}
	for _, p := range a.Parts {
		was[p.ID] = p
	}
	is := map[design.ID]bool{}
	for _, p := range b.Parts {
		is[p.ID] = true
		q, ok := was[p.ID]
		if !ok {
			out = append(out, Change{Part: p.ID, Kind: "added", Text: words.ChangeAdded.In(l, title(p))})
			continue
		}
		changed := aspects(q, p, l)
		if q.Joins != p.Joins {
			changed = append(changed, [3]string{words.AspectJoins.In(l), joined(a, q.Joins), joined(b, p.Joins)})
		}
		for _, d := range changed {
			out = append(out, Change{Part: p.ID, Kind: "changed", Text: words.ChangeFrom.In(l, title(p), d[0], d[1], d[2])})
		}
	}
	for _, p := range a.Parts {
		if !is[p.ID] {
			out = append(out, Change{Part: p.ID, Kind: "removed", Text: words.ChangeRemoved.In(l, title(p))})
		}
	}
	// Documents keep a thousandth of a degree.
	if math.Abs(a.AnteriorDeg-b.AnteriorDeg) > 0.002 || math.Abs(a.RightDeg-b.RightDeg) > 0.002 {
		tilt := func(r Record) string { return words.Deg(l, r.AnteriorDeg) + " / " + words.Deg(l, r.RightDeg) }
		out = append(out, Change{Field: "path", Kind: "changed", Text: words.ChangeFrom.In(l, words.AspectField.In(l), words.AspectPath.In(l), tilt(a), tilt(b))})
	}
	if a.Jurisdiction != b.Jurisdiction {
		place := func(name string) string {
			if j, err := JurisdictionNamed(name); err == nil {
				return j.Label(l)
			}
			return name
		}
		out = append(out, Change{Field: "jurisdiction", Kind: "changed", Text: words.ChangeFrom.In(l, words.AspectField.In(l), words.AspectPlace.In(l), place(a.Jurisdiction), place(b.Jurisdiction))})
	}
	for _, x := range a.Inputs {
		for _, y := range b.Inputs {
			if x.Kind == "scan" && y.Kind == "scan" && x.Digest != y.Digest {
				out = append(out, Change{Field: "enclosures", Kind: "changed", Text: words.ChangeFrom.In(l, words.AspectField.In(l), words.AspectScan.In(l), x.Name+" "+x.Short(), y.Name+" "+y.Short())})
			}
		}
	}
	for _, f := range Fields {
		if f.Name == "date.written" || f.Name == "date.sent" {
			continue
		}
		x, y := a.Fields[f.Name], b.Fields[f.Name]
		if f.Filled == Computed && x == "" {
			continue // an order signed before such fields were kept
		}
		if x != y {
			text := func(code string) string {
				switch {
				case code == "":
					return words.ChangeNothing.In(l)
				case f.Name == "teeth":
					return teethOfCode(l, code)
				case f.Group != "":
					return words.Term(l, f.Group, code)
				}
				return code
			}
			out = append(out, Change{Field: f.Name, Kind: "changed", Text: words.ChangeFrom.In(l, words.AspectField.In(l), f.Label.In(l), text(x), text(y))})
		}
	}
	return out
}

// aspects lists in which respects two states of one part differ: the respect, what it
// was and what it is.
func aspects(a, b design.Part, l words.Lang) [][3]string {
	var out [][3]string
	diff := func(w words.Word, x, y string) {
		if x == y {
			return
		}
		for _, s := range []*string{&x, &y} {
			if *s == "" {
				*s = words.ChangeNothing.In(l)
			}
		}
		out = append(out, [3]string{w.In(l), x, y})
	}
	term := func(group, code string) string {
		if code == "" {
			return ""
		}
		return words.Term(l, group, code)
	}
	undercut := func(p design.Part) string {
		if p.Undercut == nil {
			return ""
		}
		return words.MM(l, p.Undercut.MM) + " " + words.Term(l, "site", string(p.Undercut.Site))
	}
	mm := func(v float64) string {
		if v == 0 {
			return ""
		}
		return words.MM(l, v)
	}
	number := func(p design.Part) string {
		if p.Tooth == 0 {
			return ""
		}
		return words.ToothName(l, p.Tooth)
	}
	teeth := func(p design.Part) string { return words.Teeth(slices.Concat(p.Teeth, p.At)).In(l) }
	if a.Kind != b.Kind {
		diff(words.AspectForm, partName(a, l), partName(b, l))
	} else {
		diff(words.AspectForm, term(string(a.Kind), string(a.Form)), term(string(b.Kind), string(b.Form)))
	}
	diff(words.AspectTooth, number(a), number(b))
	diff(words.AspectTeeth, teeth(a), teeth(b))
	diff(words.AspectSite, term("surface", string(a.Site)+string(a.Surface)), term("surface", string(b.Site)+string(b.Surface)))
	diff(words.AspectUndercut, undercut(a), undercut(b))
	diff(words.AspectRole, term("role", string(a.Role)), term("role", string(b.Role)))
	diff(words.AspectMaterial, term("material", a.Material), term("material", b.Material))
	diff(words.AspectGauge, mm(a.GaugeMM), mm(b.GaugeMM))
	diff(words.AspectSupport, term("support", a.Support), term("support", b.Support))
	diff(words.AspectRetains, term("attachment", a.Attachment), term("attachment", b.Attachment))
	diff(words.AspectSide, term("side", a.Side), term("side", b.Side))
	diff(words.AspectNote, rulebook.Noted(a.Note).In(l), rulebook.Noted(b.Note).In(l))
	names := map[string]bool{}
	for n := range a.Dimensions {
		names[n] = true
	}
	for n := range b.Dimensions {
		names[n] = true
	}
	sorted := make([]string, 0, len(names))
	for n := range names {
		sorted = append(sorted, n)
	}
	sort.Strings(sorted)
	for _, n := range sorted {
		x, xok := a.Dimensions[n]
		y, yok := b.Dimensions[n]
		if xok == yok && x == y {
			continue
		}
		text := func(v float64, ok bool) string {
			switch {
			case !ok:
				return words.ChangeNothing.In(l)
			case strings.HasSuffix(n, "_deg"):
				return words.Deg(l, v)
			}
			return words.MM(l, v)
		}
		out = append(out, [3]string{measureLabel(l, n, strings.ReplaceAll(n, "_", " ")), text(x, xok), text(y, yok)})
	}
	return out
}
