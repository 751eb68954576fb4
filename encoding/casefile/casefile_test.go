package casefile

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const example = `format: case/1
case: K7-3FQ2
title: Two-sided extension, shallow floor
arch: lower
profile: i-bar-first
teeth:
  38: {state: missing, replace: false}
  37: {state: missing}
  36: {state: missing}
  34: {state: present, mobility: 1, bone_loss_percent: 20, crown_root_ratio: 0.8, tilt_deg: 5, root_filled: false,
       crown: none, caries: none, prognosis: good}
tissues:
  floor_depth_mm: {34: 9.0, 33: 8.5, 43: 8.0, 44: 9.0}
  vestibule_depth_mm: {34: 8, 44: 8}
  tissue_undercut_mm: {34: {depth: 0.3, below_margin: 4}}
  frenum_near: [34]
  tori: [{place: lingual, teeth: [33, 34], size: large}]
  ridge: {left: firm, right: flabby}
patient: {allergies: [nickel], smile_line: high, gag: false, dexterity: good, caries_risk: high}
opposing: {kind: natural}
survey:
  tilt: {anterior_deg: 0, right_deg: 0}
  undercuts:
    34: {mid-facial: {mm: 0.25, above_margin_mm: 2.5}, mesio-facial: {mm: 0.5, above_margin_mm: 2}}
scan: {file: lower.stl, unit: mm}
design:
  parts:
    - {id: rest-34, kind: rest, tooth: 34, form: occlusal, site: mesial, role: primary}
    - {id: minor-34, kind: minor-connector, at: [33, 34], joins: major}
    - {id: minor-35, kind: minor-connector, at: 35, joins: major}
    - {id: retainer-34, kind: retainer, tooth: 34, form: i-bar, undercut: {site: mid-facial, mm: 0.25}, material: co-cr-cast}
    - {id: major, kind: major-connector, form: lingual-bar, dimensions: {height: 4.5}}
set_aside:
  - {rule: CHK-108, part: retainer-34, reason: short crown, by: AB, at: "2026-03-01T10:30:00Z"}
order: {jurisdiction: us-fl, fields: {shade: A2}}
`

func TestACaseSurvivesWritingAndReading(t *testing.T) {
	c, err := Read("example.yaml", []byte(example))
	if err != nil {
		t.Fatal(err)
	}
	if got := *c.Chart.Teeth[34].CrownRootRatio; got != 0.8 {
		t.Errorf("crown-root ratio %v, the file says 0.8", got)
	}
	if got := c.Design.Parts[2].At; len(got) != 1 || got[0] != 35 {
		t.Errorf("a bare tooth number in at: got %v", got)
	}
	first, err := Write(c)
	if err != nil {
		t.Fatal(err)
	}
	again, err := Read("again.yaml", first)
	if err != nil {
		t.Fatalf("%v\n%s", err, first)
	}
	if diff := cmp.Diff(c, again); diff != "" {
		t.Error(diff)
	}
	second, _ := Write(again)
	if string(first) != string(second) {
		t.Error("writing twice gave two files")
	}
}

func TestWhatIsWrongIsNamedWithItsPlace(t *testing.T) {
	for name, c := range map[string]struct {
		file string
		want []string
	}{
		"empty":        {"", []string{"the file is empty"}},
		"no format":    {"arch: lower\n", []string{"1:1", "format: case/1"}},
		"newer":        {"format: case/9\narch: lower\n", []string{"1:1: format", "case/9"}},
		"unknown key":  {"format: case/1\narch: lower\nteeths: {}\n", []string{"3:1: teeths", "did you mean teeth?"}},
		"nested key":   {"format: case/1\narch: lower\nteeth:\n  34: {mobilty: 1}\n", []string{"4:8: teeth.34.mobilty", "did you mean mobility?"}},
		"no tooth":     {"format: case/1\narch: lower\nteeth:\n  39: {}\n", []string{"4:3: teeth.39", "no tooth"}},
		"wrong arch":   {"format: case/1\narch: lower\nteeth:\n  16: {state: missing}\n", []string{"4:3: teeth.16", "does not belong to the lower arch"}},
		"two problems": {"format: case/1\narch: lower\nteeth:\n  36: {mobility: 7}\n  37: {state: gone}\n", []string{"4:8: teeth.36.mobility", "at most 3", "5:8: teeth.37.state", "expected one of"}},
		"contradiction": {"format: case/1\narch: lower\nteeth:\n  36: {state: missing, mobility: 1}\n",
			[]string{"4:24: teeth.36.mobility", "missing, yet its mobility is recorded"}},
		"text for number": {"format: case/1\narch: lower\nteeth:\n  36: {tilt_deg: steep}\n", []string{"4:8: teeth.36.tilt_deg", "expected a number, found a word"}},
		"not yaml":        {"format: [case/1\n", []string{"could not read"}},
		"a list":          {"- a\n- b\n", []string{"found a list"}},
		"twice the id": {"format: case/1\narch: lower\ndesign:\n  parts:\n    - {id: a, kind: tissue-stop}\n    - {id: a, kind: tissue-stop}\n",
			[]string{"6:8: design.parts.1.id", "stands twice"}},
		"no number": {"format: case/1\narch: lower\ntissues:\n  floor_depth_mm: {34: 8, 33: .nan}\n", []string{"4:27: tissues.floor_depth_mm.33", "expected a number"}},
		"infinite":  {"format: case/1\narch: lower\nscan: {file: a.stl, points: {34: [1, -.inf, 2]}}\n", []string{"3:38: scan.points.34.1", "expected a number"}},
		"too large": {"format: case/1\narch: lower\ntissues:\n  floor_depth_mm: {34: 1e999}\n", []string{"4:20: tissues.floor_depth_mm.34"}},
		"too many":  {"a: &a [1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a, *a]\nc: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b, *b]\nd: &d [*c, *c, *c, *c, *c, *c, *c, *c, *c, *c]\ne: &e [*d, *d, *d, *d, *d, *d, *d, *d, *d, *d]\nf: [*e, *e, *e, *e, *e, *e, *e, *e, *e, *e]\n", []string{"its aliases stand for more"}},
		"long bar": {"format: case/1\narch: lower\ndesign:\n  parts:\n    - {id: a, kind: major-connector, form: lingual-bar, dimensions: {height: 1e12, thickness: -2}}\n",
			[]string{"5:70: design.parts.0.dimensions.height", "from 0 to 200", "dimensions.thickness"}},
		"facial plate": {"format: case/1\narch: lower\ndesign:\n  parts:\n    - {id: a, kind: guide-plate, tooth: 34, surface: facial}\n",
			[]string{"design.parts.0.surface", "expected one of mesial, distal, lingual"}},
		// YAML 1.2, 5.1 and 5.2: printable characters only, in UTF-8 or UTF-16; 6.1: no tabs to indent with.
		"latin 1":       {"format: case/1\narch: lower\ntitle: L\xfccke\n", []string{"x.yaml:3:9: ", "UTF-8", "0xfc"}},
		"UTF-16":        {"\xff\xfef\x00o\x00", []string{"UTF-16"}},
		"NUL":           {"format: case/1\ntitle: a\x00b\n", []string{"2:9: ", "U+0000"}},
		"spelt-out NUL": {"format: case/1\narch: lower\ntitle: \"a\\0b\"\n", []string{"3:1: title", "U+0000"}},
		"tab":           {"format: case/1\nteeth:\n\t34: {}\n", []string{"3:1: ", "tab"}},
		"twice":         {"format: case/1\narch: lower\narch: upper\n", []string{"3:1: ", "arch stands twice, first in line 2"}},
		"no anchor":     {"format: case/1\narch: *a\n", []string{"2:8: ", "marked &a"}},
		"too deep":      {"a: " + strings.Repeat("[", 20000) + strings.Repeat("]", 20000), []string{"too deep"}},
		"open quote":    {"format: case/1\ntitle: \"a\n", []string{"2:8: ", "does not end"}},
		"wrong form": {"format: case/1\narch: lower\ndesign:\n  parts:\n    - {id: a, kind: rest, tooth: 34, form: i-bar}\n",
			[]string{"design.parts.0.form", "no form of a rest"}},
	} {
		_, err := Read("x.yaml", []byte(c.file))
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%s: got %v", name, err)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", name, err, w)
			}
		}
	}
}

// JSON is YAML, and JSON writes some numbers with an exponent and no point; a word in
// quotes stays a word.
func TestNumbersAsJSONWritesThem(t *testing.T) {
	c, err := Read("x.json", []byte(`{"format":"case/1","arch":"lower","title":"1e1","tissues":{"floor_depth_mm":{"34":9e0,"33":1E+1,"31":75e-1}},`+
		`"scan":{"file":"a.stl","points":{"34":[1e-05,-2e1,3]}}}`))
	if err != nil {
		t.Fatal(err)
	}
	f, p := c.Chart.Tissues.FloorDepthMM, c.Scan.Points[34]
	if f[34] != 9 || f[33] != 10 || f[31] != 7.5 || p.X != 1e-5 || p.Y != -20 || c.Title != "1e1" {
		t.Errorf("read %v, %v, %q", f, p, c.Title)
	}
}

// Aliases are YAML too, and handy for teeth that are alike.
func TestAliases(t *testing.T) {
	c, err := Read("x.yaml", []byte("format: case/1\narch: lower\nteeth:\n  34: &sound {mobility: 0, prognosis: good}\n  44: *sound\n"))
	if err != nil {
		t.Fatal(err)
	}
	if c.Chart.Teeth[44].Prognosis != "good" || *c.Chart.Teeth[44].Mobility != 0 {
		t.Errorf("read %+v", c.Chart.Teeth[44])
	}
}

// Editors of Windows put a byte order mark in front and end lines with CR LF (YAML 1.2, 5.2
// and 5.4); merge keys are YAML 1.1's, widely read.
func TestFilesOfOtherEditors(t *testing.T) {
	for name, file := range map[string]string{
		"mark":   "\ufeffformat: case/1\narch: lower\ntitle: Lücke\n",
		"CR LF":  "format: case/1\r\narch: lower\r\ntitle: Lücke\r\n",
		"merged": "format: case/1\narch: lower\ntitle: Lücke\nteeth:\n  34: &a {mobility: 1}\n  35: {<<: *a, prognosis: good}\n",
	} {
		c, err := Read("x.yaml", []byte(file))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if c.Title != "Lücke" || name == "merged" && *c.Chart.Teeth[35].Mobility != 1 {
			t.Errorf("%s: read %q, %+v", name, c.Title, c.Chart.Teeth)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(example))
	f.Add([]byte("format: case/1\narch: upper\nteeth: {11: {state: missing}}\n"))
	f.Add([]byte("a: &a [*a]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Read("fuzz", data)
		if err != nil {
			return
		}
		out, err := Write(c)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Read("again", out); err != nil {
			t.Fatalf("what was written cannot be read: %v\n%s", err, out)
		}
	})
}
