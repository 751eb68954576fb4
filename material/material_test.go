package material

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// ISO 22674 asks 500 MPa, 2 % and 150 GPa of type 5 (the table citing the 2016 edition)
// and, from memory of the standard, 360 MPa and 2 % of type 4. Cast Co-Cr is the usual
// type 5 metal; gold and titanium are not stiff enough for it, whatever their strength.
func TestISOTypes(t *testing.T) {
	for name, want := range map[string]int{"co-cr-cast": 5, "co-cr-laser": 5, "gold-iv": 4, "cp-ti": 4,
		"ti-6al-4v": 4, "ti-6al-7nb": 4, "ni-cr": 3, "peek": 0, "resin": 0} {
		m, err := ByName(name)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.ISOType(); got != want {
			t.Errorf("%s is type %d, got %d", name, want, got)
		}
	}
}

func TestEveryMaterialIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range All() {
		if seen[m.Name] {
			t.Errorf("%s stands twice", m.Name)
		}
		seen[m.Name] = true
		if len(m.Sources) == 0 || m.Label == "" {
			t.Errorf("%s has no source or no label", m.Name)
		}
		for what, v := range map[string]Value{"E": m.E, "nu": m.Nu, "proof": m.Proof, "ultimate": m.Ultimate, "elongation": m.Elongation, "density": m.Density} {
			if !v.Known() || v.Mark == "" {
				t.Errorf("%s: %s is not given", m.Name, what)
			}
			// A default for the proof stress may lie just under what was measured.
			if v.Typical < v.Low*0.95 || v.Typical > v.High*1.05 {
				t.Errorf("%s: %s %g lies outside its band %g to %g", m.Name, what, v.Typical, v.Low, v.High)
			}
		}
		if m.Class == Cast != m.Shrinkage.Known() {
			t.Errorf("%s: only what is cast has a casting shrinkage", m.Name)
		}
		if m.Creeps != !m.Metal() {
			t.Errorf("%s: plastics creep, metals do not", m.Name)
		}
		if m.Proof.Typical > m.Ultimate.Typical {
			t.Errorf("%s yields after it breaks", m.Name)
		}
	}
}

func TestHazards(t *testing.T) {
	for element, names := range map[string]string{"nickel": "ni-cr wrought-wire-steel wrought-wire-co-cr-ni", "cobalt": "co-cr-cast co-cr-laser wrought-wire-co-cr-ni", "beryllium": "ni-cr"} {
		var got []string
		for _, m := range All() {
			if m.Contains(element) {
				got = append(got, m.Name)
			}
		}
		if s := strings.Join(got, " "); s != names {
			t.Errorf("%s is in %s, got %s", element, names, s)
		}
	}
}

func TestUnknownMaterial(t *testing.T) {
	if _, err := ByName("mithril"); err == nil || !strings.Contains(err.Error(), "co-cr-cast") {
		t.Errorf("the error should list what is known: %v", err)
	}
}

// The defaults agree with the collected table of published properties.
func TestAgainstThePublishedTable(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "shared", "checks", "mechanics", "published", "materials.csv"))
	if err != nil {
		t.Skip("the published table is not here")
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]string{"cast Co-Cr": "co-cr-cast", "laser-melted": "co-cr-laser", "Ni-Cr": "ni-cr", "type IV gold": "gold-iv",
		"cp titanium": "cp-ti", "Ti-6Al-4V": "ti-6al-4v", "Ti-6Al-7Nb": "ti-6al-7nb", "wrought wire PGP": "wrought-wire-pgp",
		"wrought wire Co-Cr-Ni": "wrought-wire-co-cr-ni", "wrought wire stainless": "wrought-wire-steel", "PEEK": "peek", "PEKK": "pekk", "acetal": "acetal"}
	found := 0
	for _, row := range rows[1:] {
		for start, name := range names {
			if !strings.HasPrefix(row[0], start) {
				continue
			}
			found++
			m, err := ByName(name)
			if err != nil {
				t.Fatal(err)
			}
			e, _ := strconv.ParseFloat(row[10], 64)
			proof, _ := strconv.ParseFloat(row[11], 64)
			if m.E.Typical != e*1000 || m.Proof.Typical != proof {
				t.Errorf("%s: E %g GPa, proof %g MPa in the table, %g and %g here", name, e, proof, m.E.Typical/1000, m.Proof.Typical)
			}
		}
	}
	if found != len(names) {
		t.Errorf("%d of %d materials were found in the table", found, len(names))
	}
}
