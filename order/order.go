// Package order makes the work order for the laboratory: the field values of a case, the
// part table, what is missing before a technician could build without guessing, and the
// record of what was signed. It draws nothing; package drawing puts it on paper.
package order

import (
	"strings"
	"time"

	"halfpear/arch"
	"halfpear/casebook"
	"halfpear/cast"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/survey"
	"halfpear/words"
)

// Work is everything an order is written from.
type Work struct {
	Case      casebook.Case
	Class     arch.Result
	Cast      *cast.Cast // nil where none could be made
	Path      survey.Path
	Placement *placement.Placement // nil where nothing was laid
	Prep      *prep.Plan           // nil where it was not reckoned
	Findings  []rulebook.Finding
	Inputs    []Input // files the order was made from and goes out with
	Made      Made
	Before    *Record // the last signed revision; nil where none was signed
}

// Input is a file with its SHA-256 in hexadecimal.
type Input struct {
	Name   string
	Kind   string // case, scan, rulebook, drawing, enclosure
	Digest string
	Bytes  int64
}

// Short is the digest as a person compares it: its first twelve letters, in groups of four.
func (i Input) Short() string {
	if len(i.Digest) < 12 {
		return i.Digest
	}
	return i.Digest[:4] + " " + i.Digest[4:8] + " " + i.Digest[8:12]
}

// Made says with what and when an order was made. The time is passed in.
type Made struct {
	Program, Rulebook string
	At                time.Time
}

// State is how far an order has come.
type State string

const (
	Draft    State = "draft"    // something is missing
	Complete State = "complete" // a technician can build from it; not yet signed
	Signed   State = "signed"   // frozen
)

// Value is one field filled in.
type Value struct {
	Field Field
	Text  string // as printed
	Code  string // as entered; empty for computed fields
}

// Order is a work order in one language.
type Order struct {
	Lang         words.Lang
	Jurisdiction Jurisdiction
	Number       string // case, revision and check character, as in "K7-3FQ2/1-H"
	Revision     int
	State        State
	Values       []Value
	Parts        []Row
	Spaces       []Space            // block-out and relief
	Tripod       []geom.Vec         // three marks on the cast at one height along the path; none without a cast
	Gaps         []Gap              // what is missing; none in a complete order
	SetAside     []SetAside         // cautions lived with
	Open         []rulebook.Finding // cautions that failed and were not set aside
	Unchecked    []rulebook.Finding // rules that lacked a fact
	Changes      []Change           // against the last signed revision
	KeepUntil    map[string]string  // "dentist", "laboratory": a date, or empty where none is stated
	Work         Work
}

// SetAside is a finding that the dentist decided to live with.
type SetAside struct {
	Finding rulebook.Finding
	Reason  string
	By      string
	At      time.Time
	Known   bool // the finding still stands; false where the design no longer gives rise to it
}

// Write makes the order of a case in a language. It never fails: what is missing is in Gaps.
func Write(w Work, j Jurisdiction, l words.Lang) Order {
	l = l.Numbered(j.Numbering) // as the people there read them
	o := Order{Lang: l, Jurisdiction: j, Work: w, Revision: 1}
	if w.Before != nil {
		o.Revision = w.Before.Revision + 1
	}
	if r := w.Case.Order.Revision; r > o.Revision {
		o.Revision = r
	}
	o.Number = Number(string(w.Case.ID), o.Revision)
	o.Parts = rows(w, l)
	o.Spaces = spaces(w, l)
	o.Tripod = Tripod(w.Cast, w.Path)
	o.KeepUntil = keepUntil(j, w.Made.At)
	o.judge()
	o.Values = values(&o)
	o.Gaps = gaps(&o)
	if w.Before != nil {
		o.Changes = Compare(*w.Before, snapshot(o), l)
	}
	o.State = Complete
	if len(o.Gaps) > 0 {
		o.State = Draft
	}
	return o
}

// judge sorts the findings into those set aside and those open.
func (o *Order) judge() {
	w := o.Work
	used := make([]bool, len(w.Case.SetAside))
	for _, f := range w.Findings {
		if f.Status == rulebook.NotChecked {
			o.Unchecked = append(o.Unchecked, f)
			continue
		}
		if f.Severity == rulebook.Note {
			continue
		}
		aside := false
		for i, s := range w.Case.SetAside {
			if s.Rule == f.Rule && samePlace(s.Place, f.Place) {
				used[i], aside = true, strings.TrimSpace(s.Reason) != "" && (f.Severity != rulebook.Stop || strings.TrimSpace(s.By) != "")
				if aside {
					o.SetAside = append(o.SetAside, SetAside{f, s.Reason, s.By, s.At, true})
					break
				}
			}
		}
		if !aside {
			o.Open = append(o.Open, f)
		}
	}
	for i, s := range w.Case.SetAside {
		if !used[i] {
			o.SetAside = append(o.SetAside, SetAside{rulebook.Finding{Rule: s.Rule, Place: s.Place}, s.Reason, s.By, s.At, false})
		}
	}
}

// samePlace lets a decision with an empty place stand for its rule wherever it speaks.
func samePlace(decided, found rulebook.Place) bool {
	return (decided.Tooth == 0 || decided.Tooth == found.Tooth) && (decided.Surface == "" || decided.Surface == found.Surface) && (decided.Part == "" || decided.Part == found.Part)
}

// Value finds a field's value by its name.
func (o Order) Value(name string) Value {
	for _, v := range o.Values {
		if v.Field.Name == name {
			return v
		}
	}
	return Value{}
}

// keepUntil reckons when each side may let the order go, from the day it was made.
func keepUntil(j Jurisdiction, made time.Time) map[string]string {
	out := map[string]string{}
	if made.IsZero() {
		return out
	}
	for side, years := range map[string]int{"dentist": j.KeepDentist, "laboratory": j.KeepLaboratory} {
		if years > 0 {
			out[side] = made.AddDate(years, 0, 0).Format(time.DateOnly)
		}
	}
	return out
}

// Number is an order's number: the case, the revision, and the check character of both
// by ISO 7064, MOD 37,36.
func Number(id string, revision int) string {
	if id == "" {
		return ""
	}
	n := id + "/" + itoa(revision)
	return n + "-" + string(checkCharacter(n))
}

// NumberHolds tells whether an order's number was copied without a slip.
func NumberHolds(number string) bool {
	i := strings.LastIndexByte(number, '-')
	return i > 0 && i == len(number)-2 && number[i+1] == checkCharacter(number[:i])
}

const alphanumeric = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// checkCharacter is the hybrid system MOD 37,36 of ISO 7064 over the letters and digits of s.
func checkCharacter(s string) byte {
	p := 36
	for _, c := range strings.ToUpper(s) {
		a := strings.IndexRune(alphanumeric, c)
		if a < 0 {
			continue
		}
		p += a
		if p > 36 {
			p -= 36
		}
		p *= 2
		if p >= 37 {
			p -= 37
		}
	}
	return alphanumeric[(37-p)%36]
}
