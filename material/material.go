// Package material holds the alloys, wires and plastics that frameworks are made of: each
// property with its band and how it was come by, what ISO 22674 makes of the metal, and
// what a patient may not tolerate in it.
//
// Values are for a first calculation; the maker's own figures go before them.
package material

import (
	"fmt"
	"sort"
	"strings"

	"halfpear/source"
)

// Class is how a material is worked.
type Class string

const (
	Cast    Class = "cast alloy"
	Melted  Class = "laser-melted alloy"
	Wrought Class = "wrought wire"
	Plastic Class = "plastic"
)

// Value is one property: what to reckon with, and the band it was found in. A zero Value
// is not known.
type Value struct {
	Typical   float64
	Low, High float64
	Mark      source.Mark
}

// Known tells whether there is a figure at all.
func (v Value) Known() bool { return v.Typical != 0 }

// Hazard is something in a material that harms some people.
type Hazard struct {
	Element string // as in "nickel"
	Harms   string // whom and how
	Source  source.Ref
}

// Material is one alloy, wire or plastic.
type Material struct {
	Name  string // as in case files, for example "co-cr-cast"
	Label string // for people
	Class Class

	E          Value // Young's modulus [MPa]
	Nu         Value // Poisson's ratio
	Proof      Value // 0.2 % proof stress; of a plastic, its yield stress [MPa]
	Ultimate   Value // tensile strength [MPa]
	Elongation Value // after fracture [%]
	Hardness   Value // Vickers
	Density    Value // [g/cm3]
	Shrinkage  Value // linear casting shrinkage [%]

	// Creeps is set for plastics: under lasting load they give way, and LastingE is the
	// share of E that is left.
	Creeps   bool
	LastingE float64

	Hazards []Hazard
	Note    string
	Sources []source.Ref
}

// G is the shear modulus [MPa].
func (m Material) G() float64 { return m.E.Typical / (2 * (1 + m.Nu.Typical)) }

// Metal tells metals from plastics.
func (m Material) Metal() bool { return m.Class != Plastic }

// Contains tells whether one of the hazards is the named element.
func (m Material) Contains(element string) bool {
	for _, h := range m.Hazards {
		if strings.EqualFold(h.Element, element) {
			return true
		}
	}
	return false
}

// Type is a type of ISO 22674 with the least values a metal of that type must reach.
type Type struct {
	Number     int
	Proof      float64 // [MPa]
	Elongation float64 // [%]
	E          float64 // [MPa], 0 not asked
	Use        string
	Mark       source.Mark
}

// Types are those of ISO 22674 that ask for a strength, weakest first. Type 5 was read in
// a table that cites the 2016 edition; the others are from memory.
var Types = [...]Type{
	{1, 80, 18, 0, "single fixed restorations under low stress", source.FromMemory},
	{2, 180, 10, 0, "single fixed restorations", source.FromMemory},
	{3, 270, 5, 0, "fixed restorations of several units", source.FromMemory},
	{4, 360, 2, 0, "thin sections under very high force: removable dentures, clasps, bars", source.FromMemory},
	{5, 500, 2, 150_000, "thin sections that must be stiff and strong: removable dentures, clasps", source.LookedUp},
}

// ISOType is the highest type of ISO 22674 whose least values the material's typical
// figures reach; 0 where none is, and for plastics, which the standard does not cover.
func (m Material) ISOType() int {
	if !m.Metal() {
		return 0
	}
	best := 0
	for _, t := range Types {
		if m.Proof.Typical >= t.Proof && m.Elongation.Typical >= t.Elongation && m.E.Typical >= t.E {
			best = t.Number
		}
	}
	return best
}

// All lists the materials in the order they are offered.
func All() []Material {
	out := make([]Material, len(table))
	copy(out, table)
	return out
}

// Names lists the names that ByName knows, in alphabetical order.
func Names() []string {
	out := make([]string, len(table))
	for i, m := range table {
		out[i] = m.Name
	}
	sort.Strings(out)
	return out
}

// ByName finds a material by the name that case files use.
func ByName(name string) (Material, error) {
	for _, m := range table {
		if m.Name == name {
			return m, nil
		}
	}
	return Material{}, fmt.Errorf("material %q is not known: expected one of %s", name, strings.Join(Names(), ", "))
}
