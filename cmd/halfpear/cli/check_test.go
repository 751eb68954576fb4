package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A design made by hand with errors that examination items name: a cast circumferential arm
// in a mesiofacial undercut from a distal rest beside an extension base (Oklahoma item 163),
// no indirect retainer (Oklahoma item 7), and no rest under the other clasp. The check finds
// each with a remedy, and the comparison names the tooth, what stands there, what is
// proposed and why.
func TestCheckOfADesignMadeByHand(t *testing.T) {
	name := filepath.Join(t.TempDir(), "student.yaml")
	text := `format: case/1
arch: lower
teeth:
  38: {state: missing, replace: false}
  48: {state: missing, replace: false}
  37: {state: missing, replace: true}
  36: {state: missing}
  46: {state: missing}
  47: {state: missing, replace: true}
tissues: {floor_depth_mm: {33: 9, 34: 9, 43: 9, 44: 9}, vestibule_depth_mm: {35: 8, 45: 8}}
design:
  parts:
    - {id: rest-35, kind: rest, tooth: 35, form: occlusal, site: distal, role: primary}
    - {id: retainer-35, kind: retainer, tooth: 35, form: circumferential, undercut: {site: mesio-facial, mm: 0.25}, material: co-cr-cast}
    - {id: reciprocation-35, kind: reciprocation, tooth: 35, form: arm}
    - {id: retainer-45, kind: retainer, tooth: 45, form: i-bar, undercut: {site: mid-facial, mm: 0.25}, material: co-cr-cast}
    - {id: plate-45, kind: guide-plate, tooth: 45, surface: distal}
    - {id: bar, kind: major-connector, form: lingual-bar, material: co-cr-cast}
    - {id: base-left, kind: base, teeth: [36, 37], support: extension, attachment: lattice, material: resin}
    - {id: base-right, kind: base, teeth: [46, 47], support: extension, attachment: lattice, material: resin}
`
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	status, out, errs := run("check", name, "--compare", "--json")
	if status != 10 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a struct {
		Findings []struct {
			Rule, Severity, Status, Message, Remedy, Why string
			Place                                        struct{ Tooth int }
		}
		Compared []struct {
			Tooth                                 int
			Kind, Design, Proposal, Because, Rule string
		}
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	for rule, tooth := range map[string]int{"CHK-122": 35, "CHK-151": 0, "CHK-031": 45, "CHK-205": 0} {
		found := false
		for _, f := range a.Findings {
			if f.Rule == rule && f.Status == "failed" && (tooth == 0 || f.Place.Tooth == tooth) {
				found = true
				if f.Remedy == "" || f.Why == "" {
					t.Errorf("%s on %d has no remedy or no reason: %+v", rule, tooth, f)
				}
			}
		}
		if !found {
			t.Errorf("%s on %d is not found", rule, tooth)
		}
	}
	differs := func(tooth int, kind, design string) bool {
		for _, c := range a.Compared {
			if c.Tooth == tooth && c.Kind == kind && (c.Design == design || design == "") && c.Proposal != "" && (c.Because != "" || c.Proposal == "nothing") {
				return true
			}
		}
		return false
	}
	if !differs(35, "rest", "") || !differs(35, "retainer", "") || !differs(45, "rest", "nothing") {
		t.Errorf("the comparison passes over the rests or the clasp: %+v", a.Compared)
	}
}

// The lines on the screen are in the reader's language as well as the JSON's texts.
func TestClassifySpeaksGerman(t *testing.T) {
	status, out, errs := run("classify", "--arch", "lower", "--missing", "34,36,37,46,47", "--lang", "de")
	want := "Unterkiefer: Kennedy-Klasse I, Modifikationen: 1\n"
	if status != exitDone || !strings.HasPrefix(out, want) || !strings.Contains(out, "Schaltsattel: 34") {
		t.Errorf("status %d, %q %q, expected %q", status, out, errs, want)
	}
}
