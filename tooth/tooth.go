// Package tooth names teeth and their surfaces.
//
// Teeth are numbered as in ISO 3950 (FDI): quadrant 1 to 4 from the patient's upper
// right, clockwise as seen facing the patient, then 1 to 8 from the midline backwards.
// Other systems are shown to people and never stored.
package tooth

import (
	"fmt"
	"strconv"
)

// Arch is the upper or the lower jaw's row of teeth.
type Arch uint8

const (
	Upper Arch = 1
	Lower Arch = 2
)

func (a Arch) String() string {
	switch a {
	case Upper:
		return "upper"
	case Lower:
		return "lower"
	}
	return "no arch"
}

// ParseArch reads "upper" or "lower".
func ParseArch(s string) (Arch, error) {
	switch s {
	case "upper":
		return Upper, nil
	case "lower":
		return Lower, nil
	}
	return 0, fmt.Errorf("arch %q: expected upper or lower", s)
}

// Number is a permanent tooth's FDI number, 11 to 48. The zero Number is no tooth.
type Number uint8

// Kind is the type of a tooth, whichever arch and side.
type Kind uint8

const (
	CentralIncisor Kind = 1 + iota
	LateralIncisor
	Canine
	FirstPremolar
	SecondPremolar
	FirstMolar
	SecondMolar
	ThirdMolar
)

var kindNames = [...]string{"", "central incisor", "lateral incisor", "canine", "first premolar",
	"second premolar", "first molar", "second molar", "third molar"}

func (k Kind) String() string { return kindNames[k] }

// Anterior tells incisors and canines from the rest.
func (k Kind) Anterior() bool { return k <= Canine }

// Incisor tells the four front teeth.
func (k Kind) Incisor() bool { return k <= LateralIncisor }

// Premolar tells first and second premolars.
func (k Kind) Premolar() bool { return k == FirstPremolar || k == SecondPremolar }

// Molar tells first to third molars.
func (k Kind) Molar() bool { return k >= FirstMolar }

// Parse reads a two-digit FDI number.
func Parse(s string) (Number, error) {
	v, err := strconv.Atoi(s)
	if err != nil || !Number(v).Valid() || v > 48 {
		return 0, fmt.Errorf("tooth %q: expected an FDI number, 11 to 18, 21 to 28, 31 to 38 or 41 to 48", s)
	}
	return Number(v), nil
}

// Valid tells whether n names a permanent tooth.
func (n Number) Valid() bool {
	q, d := n/10, n%10
	return q >= 1 && q <= 4 && d >= 1 && d <= 8
}

func (n Number) String() string { return strconv.Itoa(int(n)) }

// Arch is the arch n stands in.
func (n Number) Arch() Arch {
	if n.Quadrant() <= 2 {
		return Upper
	}
	return Lower
}

// Quadrant is 1 upper right, 2 upper left, 3 lower left, 4 lower right.
func (n Number) Quadrant() int { return int(n / 10) }

// Place counts from the midline, 1 to 8.
func (n Number) Place() int { return int(n % 10) }

// Kind is n's type.
func (n Number) Kind() Kind { return Kind(n % 10) }

// Right tells whether n stands on the patient's right.
func (n Number) Right() bool { return n.Quadrant() == 1 || n.Quadrant() == 4 }

// Name is n in words, as in "lower right first premolar".
func (n Number) Name() string {
	side := "left"
	if n.Right() {
		side = "right"
	}
	return n.Arch().String() + " " + side + " " + n.Kind().String()
}

// All lists an arch's sixteen teeth from the patient's right third molar to the left.
func All(a Arch) []Number {
	right, left := Number(10), Number(20)
	if a == Lower {
		right, left = 40, 30
	}
	out := make([]Number, 0, 16)
	for d := Number(8); d >= 1; d-- {
		out = append(out, right+d)
	}
	for d := Number(1); d <= 8; d++ {
		out = append(out, left+d)
	}
	return out
}

// WithoutThirdMolars is a row of teeth without third molars at its ends.
func WithoutThirdMolars(row []Number) []Number {
	for len(row) > 0 && row[0].Kind() == ThirdMolar {
		row = row[1:]
	}
	for len(row) > 0 && row[len(row)-1].Kind() == ThirdMolar {
		row = row[:len(row)-1]
	}
	return row
}

// Index is n's place in All, 0 to 15.
func (n Number) Index() int {
	if n.Right() {
		return 8 - n.Place()
	}
	return 7 + n.Place()
}

// At is the tooth at place i of All(a), or 0 outside it.
func At(a Arch, i int) Number {
	if i < 0 || i > 15 {
		return 0
	}
	return All(a)[i]
}

// Opposite is the same tooth on the other side of the same arch.
func (n Number) Opposite() Number { return At(n.Arch(), 15-n.Index()) }

// Mesial is the neighbour on the mesial side (across the midline for a central incisor).
func (n Number) Mesial() Number { return n.beside(true) }

// Distal is the neighbour on the distal side, 0 behind a third molar.
func (n Number) Distal() Number { return n.beside(false) }

func (n Number) beside(mesial bool) Number {
	i := n.Index()
	if n.Right() == mesial {
		return At(n.Arch(), i+1)
	}
	return At(n.Arch(), i-1)
}

// Between lists the teeth strictly between a and b of the same arch, in All's order.
func Between(a, b Number) []Number {
	i, j := a.Index(), b.Index()
	if i > j {
		i, j = j, i
	}
	if j-i < 2 {
		return nil
	}
	return All(a.Arch())[i+1 : j]
}

// Numbering is a way of numbering teeth that people read.
type Numbering string

const (
	FDI       Numbering = "fdi" // the two digits of ISO 3950
	Universal Numbering = "universal"
	Zsigmondy Numbering = "zsigmondy"
)

// Numberings lists the ways of numbering teeth.
var Numberings = [...]Numbering{FDI, Universal, Zsigmondy}

// In writes n for people, as in "34", "#21" or "LL4". Any numbering but the last two is FDI,
// and so is what is no tooth.
func (n Number) In(s Numbering) string {
	switch {
	case !n.Valid():
		return n.String()
	case s == Universal:
		return "#" + strconv.Itoa(n.Universal())
	case s == Zsigmondy:
		return n.Spoken()
	}
	return n.String()
}

// Universal is n in the Universal system, 1 at the upper right third molar to 32 at the
// lower right.
func (n Number) Universal() int {
	d := n.Place()
	switch n.Quadrant() {
	case 1:
		return 9 - d
	case 2:
		return 8 + d
	case 3:
		return 25 - d
	}
	return 24 + d
}

// FromUniversal turns a Universal number, 1 to 32, into FDI; 0 outside that range.
func FromUniversal(u int) Number {
	switch {
	case u >= 1 && u <= 8:
		return Number(10 + 9 - u)
	case u >= 9 && u <= 16:
		return Number(20 + u - 8)
	case u >= 17 && u <= 24:
		return Number(30 + 25 - u)
	case u >= 25 && u <= 32:
		return Number(40 + u - 24)
	}
	return 0
}

// Zsigmondy writes n with its quadrant's corner as seen facing the patient: the digit
// stands before the corner on the patient's right and after it on the left.
func (n Number) Zsigmondy() string {
	d := strconv.Itoa(n.Place())
	switch n.Quadrant() {
	case 1:
		return d + "\u23CC"
	case 2:
		return "\u23BF" + d
	case 3:
		return "\u23BE" + d
	}
	return d + "\u23CB"
}

// Spoken is the plain-letter twin of Zsigmondy, as in "UR6".
func (n Number) Spoken() string {
	return [...]string{"", "UR", "UL", "LL", "LR"}[n.Quadrant()] + strconv.Itoa(n.Place())
}

// ParseZsigmondy reads either form that Zsigmondy and Spoken write.
func ParseZsigmondy(s string) (Number, error) {
	for q := Number(1); q <= 4; q++ {
		for d := Number(1); d <= 8; d++ {
			if n := q*10 + d; n.Zsigmondy() == s || n.Spoken() == s {
				return n, nil
			}
		}
	}
	return 0, fmt.Errorf("tooth %q: expected a digit 1 to 8 with its quadrant, as in UR6", s)
}
