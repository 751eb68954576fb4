// Package arch classifies one dental arch by its edentulous areas: Kennedy's classes with
// Applegate's rules. (A dental arch, not a processor's.)
//
// Sources: Kennedy 1925 and Applegate 1960 as restated in McCracken's Removable Partial
// Prosthodontics and in Şakar (ed.), Removable Partial Dentures, 2016, chapter 3.
package arch

import (
	"fmt"
	"sort"
	"strings"

	"halfpear/tooth"
	"halfpear/words"
)

// Standing says what is found at one tooth's place, as far as the class asks.
type Standing uint8

const (
	Present Standing = iota // a tooth, a pontic or a fixed implant crown
	Missing                 // no tooth, or one to be extracted, or a root
	Closed                  // no tooth and no space: the neighbours touch
)

// Pattern is the row of teeth that is classified. A tooth that is not named is present.
type Pattern struct {
	Arch        tooth.Arch
	Standing    map[tooth.Number]Standing
	NotReplaced map[tooth.Number]bool // missing, and not to be replaced
	Replaced    map[tooth.Number]bool // missing third molars that are to be replaced
	NotAbutment map[tooth.Number]bool // present third molars that carry nothing
	Strict      bool                  // only Applegate's rules 2 and 4 may leave an area out
}

// AreaKind says at how many ends teeth stand.
type AreaKind string

const (
	Extension AreaKind = "extension" // a tooth at one end only, or at none
	Bounded   AreaKind = "bounded"
)

// Area is one edentulous area that counts.
type Area struct {
	Teeth   []tooth.Number // in tooth.All's order
	Kind    AreaKind
	Midline bool // crosses it: replaces a tooth on each side
}

// Class is Kennedy's class; None where the arch has no area or no tooth.
type Class string

const (
	None Class = ""
	I    Class = "I"
	II   Class = "II"
	III  Class = "III"
	IV   Class = "IV"
)

// Result is the class, the number of modification spaces and the areas in tooth.All's
// order.
type Result struct {
	Arch          tooth.Arch
	Class         Class
	Modifications int
	Areas         []Area
	Notes         []words.Text
}

// In says the class in a language, as in "Kennedy class II, modifications: 1".
func (r Result) In(l words.Lang) string {
	switch {
	case r.Class == None:
		return words.NoClass.In(l)
	case r.Modifications == 0:
		return words.ClassIs.In(l, r.Class)
	}
	return words.ClassModified.In(l, r.Class, r.Modifications)
}

// String writes the class as on a chart, as in "Class II mod 1".
func (r Result) String() string {
	switch r.Class {
	case None:
		return "no Kennedy class"
	case IV:
		return "Class IV"
	}
	return fmt.Sprintf("Class %s mod %d", r.Class, r.Modifications)
}

// Validate tells where a pattern contradicts itself.
func (p Pattern) Validate() error {
	if p.Arch != tooth.Upper && p.Arch != tooth.Lower {
		return fmt.Errorf("classifying an arch: expected upper or lower, neither was given")
	}
	for _, group := range []struct {
		name string
		set  map[tooth.Number]bool
		want Standing
	}{{"not replaced", p.NotReplaced, Missing}, {"replaced", p.Replaced, Missing}, {"not an abutment", p.NotAbutment, Present}} {
		for _, n := range sorted(group.set) {
			if n.Arch() != p.Arch || !n.Valid() {
				return fmt.Errorf("tooth %d is marked %s: expected a tooth of the %s arch", n, group.name, p.Arch)
			}
			if p.Standing[n] != group.want {
				is := [...]string{"present", "missing", "closed"}
				return fmt.Errorf("tooth %d is marked %s, which asks for a %s tooth, but it is %s", n, group.name, is[group.want], is[p.Standing[n]])
			}
		}
	}
	for n := range p.Standing {
		if !n.Valid() || n.Arch() != p.Arch {
			return fmt.Errorf("tooth %d: expected a tooth of the %s arch", n, p.Arch)
		}
	}
	for _, n := range sorted(p.Replaced) {
		if p.NotReplaced[n] {
			return fmt.Errorf("tooth %d is marked both replaced and not replaced", n)
		}
	}
	return nil
}

// Classify applies Kennedy's classes and Applegate's eight rules.
func Classify(p Pattern) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	r := p.classify()
	other := p
	other.Strict = !p.Strict
	if o := other.classify(); o.Class != r.Class || o.Modifications != r.Modifications {
		r.Notes = append(r.Notes, words.Tell("the wider reading of Applegate's rules gives %v", o))
		if other.Strict {
			r.Notes[len(r.Notes)-1] = words.Tell("the strict reading of Applegate's rules gives %v", o)
		}
	}
	return r, nil
}

func (p Pattern) classify() Result {
	type place struct {
		n       tooth.Number
		missing bool
	}
	var row []place
	present := [2]int{} // on the patient's right, on the left
	for _, n := range tooth.All(p.Arch) {
		missing := p.Standing[n] == Missing
		switch {
		case p.Standing[n] == Closed:
			continue
		case n.Kind() == tooth.ThirdMolar && missing && !p.Replaced[n]: // rule 2
			continue
		case n.Kind() == tooth.ThirdMolar && !missing && p.NotAbutment[n]: // rule 3, read backwards
			continue
		case missing && p.NotReplaced[n] && (n.Kind() == tooth.SecondMolar || !p.Strict): // rule 4; wider reading
			continue
		}
		row = append(row, place{n, missing})
		if !missing {
			side := 1
			if n.Right() {
				side = 0
			}
			present[side]++
		}
	}

	r := Result{Arch: p.Arch}
	standing := present[0] + present[1]
	free := 0
	for i := 0; i < len(row); {
		if !row[i].missing {
			i++
			continue
		}
		j := i
		a := Area{Kind: Bounded}
		right, left := false, false
		for ; j < len(row) && row[j].missing; j++ {
			a.Teeth = append(a.Teeth, row[j].n)
			right, left = right || row[j].n.Right(), left || !row[j].n.Right()
		}
		a.Midline = right && left
		if i == 0 {
			a.Kind, free = Extension, free+1
		}
		if j == len(row) {
			a.Kind, free = Extension, free+1
		}
		r.Areas = append(r.Areas, a)
		i = j
	}
	switch {
	case standing == 0:
		r.Areas = nil
		r.Notes = append(r.Notes, words.Tell("no tooth is left to carry a partial denture"))
		return r
	case len(r.Areas) == 0:
		r.Notes = append(r.Notes, words.Tell("no edentulous area is to be restored"))
		return r
	case free == 2:
		r.Class, r.Modifications = I, len(r.Areas)-2
	case free == 1:
		r.Class, r.Modifications = II, len(r.Areas)-1
	case len(r.Areas) == 1 && r.Areas[0].Midline:
		r.Class = IV
	default:
		r.Class, r.Modifications = III, len(r.Areas)-1
	}
	if standing == 1 {
		r.Notes = append(r.Notes, words.Tell("one tooth is left: an overdenture or a complete denture is usually considered"))
	}
	if free == 1 && (present[0] == 0 || present[1] == 0) {
		r.Notes = append(r.Notes, words.Tell("one side has no tooth: the base crosses the midline, unusual leverage"))
	}
	return r
}

// Tooth tells which area holds a missing tooth's place.
func (r Result) Tooth(n tooth.Number) (Area, bool) {
	for _, a := range r.Areas {
		for _, t := range a.Teeth {
			if t == n {
				return a, true
			}
		}
	}
	return Area{}, false
}

// Text writes a pattern as one line that people and tests can read: the teeth from the
// patient's right to the left, a bar at the midline. A missing tooth is "--", one that is
// missing and not replaced "..", a closed space "><"; a third molar that is present but no
// abutment stands in brackets, as in "(38)", and a missing one to be replaced is "-8".
func (p Pattern) Text() string {
	var b strings.Builder
	b.WriteString(p.Arch.String() + " ")
	for _, n := range tooth.All(p.Arch) {
		if n.Index() == 8 {
			b.WriteString(" |")
		}
		b.WriteByte(' ')
		switch {
		case p.Standing[n] == Closed:
			b.WriteString("><")
		case p.Standing[n] == Missing && p.Replaced[n]:
			b.WriteString("-8")
		case p.Standing[n] == Missing && p.NotReplaced[n]:
			b.WriteString("..")
		case p.Standing[n] == Missing:
			b.WriteString("--")
		case p.NotAbutment[n]:
			b.WriteString("(" + n.String() + ")")
		default:
			b.WriteString(n.String())
		}
	}
	return b.String()
}

// Parse reads what Text writes.
func Parse(s string) (Pattern, error) {
	words := strings.Fields(s)
	if len(words) == 0 {
		return Pattern{}, fmt.Errorf("reading a chart line: expected it to begin with upper or lower, it is empty")
	}
	a, err := tooth.ParseArch(words[0])
	if err != nil {
		return Pattern{}, fmt.Errorf("reading a chart line: %w", err)
	}
	p := Pattern{Arch: a, Standing: map[tooth.Number]Standing{}, NotReplaced: map[tooth.Number]bool{}, Replaced: map[tooth.Number]bool{}, NotAbutment: map[tooth.Number]bool{}}
	i := 0
	for _, w := range words[1:] {
		if w == "|" {
			if i != 8 {
				return Pattern{}, fmt.Errorf("reading a chart line: expected the midline bar after 8 places, it stands after %d", i)
			}
			continue
		}
		n := tooth.At(a, i)
		if n == 0 {
			return Pattern{}, fmt.Errorf("reading a chart line: expected 16 places, there are more; %q is the 17th", w)
		}
		switch w {
		case "--":
			p.Standing[n] = Missing
		case "..":
			p.Standing[n], p.NotReplaced[n] = Missing, true
		case "><":
			p.Standing[n] = Closed
		case "-8":
			p.Standing[n], p.Replaced[n] = Missing, true
		case "(" + n.String() + ")":
			p.NotAbutment[n] = true
		case n.String():
		default:
			return Pattern{}, fmt.Errorf("reading a chart line: expected %s, -- or .. at place %d, found %q", n, i+1, w)
		}
		i++
	}
	if i != 16 {
		return Pattern{}, fmt.Errorf("reading a chart line: expected 16 places, found %d", i)
	}
	return p, p.Validate()
}

func sorted(set map[tooth.Number]bool) []tooth.Number {
	var out []tooth.Number
	for n, on := range set {
		if on {
			out = append(out, n)
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}
