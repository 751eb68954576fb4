package cli

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A case is surveyed on its cast: crown charts, sections of the soft tissues, the readings
// by hand and the pictures come with the answer that any mesh gives.
func TestSurveyOfACase(t *testing.T) {
	dir := t.TempDir()
	pictures := filepath.Join(dir, "pictures")
	lines := filepath.Join(dir, "lines.json")
	status, out, errs := run("survey", "demo/lower-extension.yaml", "--tilt", "3,0", "--pictures", pictures, "--lines", lines, "--at", "2026-03-31T10:00:00Z", "--json")
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a struct {
		Anterior float64 `json:"anterior_deg"`
		Max      float64 `json:"max_undercut_mm"`
		Teeth    []struct {
			Tooth int
			Sites []struct {
				Site    string
				Reached []struct {
					MM    float64
					Least float64 `json:"within_one_degree_least_mm"`
					Most  float64 `json:"within_one_degree_most_mm"`
				}
			}
		}
		Tissues struct {
			Places []struct {
				Tooth int
				Floor *struct {
					Straight float64 `json:"straight_mm"`
				}
				Ridge *struct {
					Height *float64 `json:"height_mm"`
					Width  *float64 `json:"width_mm"`
				}
			}
		}
		Vertical []surveyLine `json:"vertical_survey_lines"`
	}
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	if a.Anterior < 2.99 || a.Anterior > 3.01 || a.Max <= 0 || len(a.Vertical) == 0 {
		t.Errorf("tilt %g, deepest %g, %d lines on the vertical", a.Anterior, a.Max, len(a.Vertical))
	}
	reached := 0
	for _, c := range a.Teeth {
		for _, s := range c.Sites {
			for _, r := range s.Reached {
				reached++
				if !(r.Least <= r.MM+0.06 && r.Most >= r.MM-0.06 && r.Least < r.Most) {
					t.Errorf("%d %s: %.2f mm becomes %.2f to %.2f within a degree", c.Tooth, s.Site, r.MM, r.Least, r.Most)
				}
			}
		}
	}
	if len(a.Teeth) != 10 || reached < 20 {
		t.Errorf("%d crown charts, %d depths reached", len(a.Teeth), reached)
	}
	ridges := 0
	for _, p := range a.Tissues.Places {
		if p.Ridge != nil && p.Ridge.Height != nil && p.Ridge.Width != nil {
			ridges++
		}
		if p.Ridge == nil && p.Floor == nil {
			t.Errorf("no floor at %d", p.Tooth)
		}
	}
	if ridges != 4 {
		t.Errorf("%d ridge sections, four places are edentulous", ridges)
	}
	for _, name := range []string{"undercuts.svg", "undercuts.png", "elevation-35.svg", "elevation-45.svg"} {
		data, err := os.ReadFile(filepath.Join(pictures, name))
		if err != nil {
			t.Error(err)
			continue
		}
		if strings.HasSuffix(name, ".svg") && !bytes.Contains(data, []byte("licensed practitioners")) {
			t.Errorf("%s: the notice is missing", name)
		}
	}
	if data, err := os.ReadFile(lines); err != nil || !bytes.Contains(data, []byte(`"tooth":35`)) {
		t.Errorf("the lines do not say their teeth: %v", err)
	}
}

// What cannot be surveyed is refused in words that say what was expected.
func TestSurveyRefusals(t *testing.T) {
	dir := t.TempDir()
	sheet := filepath.Join(dir, "sheet.obj")
	if err := os.WriteFile(sheet, []byte("v 0 0 0\nv 10 0 0\nv 10 10 0\nv 0 10 0\nf 1 2 3\nf 1 3 4\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	body := filepath.Join(dir, "body.obj")
	if err := os.WriteFile(body, []byte("v 0 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args []string
		says string
	}{
		"no direction":             {[]string{body, "--direction", "0,0,0"}, "not all 0"},
		"no path":                  {[]string{body}, "give --direction or --tilt"},
		"flat sheet":               {[]string{sheet, "--direction", "0,0,1"}, "flat sheet"},
		"no pixel":                 {[]string{body, "--direction", "0,0,1", "--pixel", "NaN"}, "expected"},
		"too fine a pixel":         {[]string{body, "--direction", "0,0,1", "--pixel", "1e-9"}, "expected"},
		"no resolution":            {[]string{body, "--direction", "0,0,1", "--resolution", "-1"}, "expected a length above 0"},
		"path hides all teeth":     {[]string{"demo/lower-extension.yaml", "--direction", "0,0,-1"}, "hides all the teeth"},
		"no direction, and a case": {[]string{"demo/lower-extension.yaml", "--direction", "0,0,0"}, "not all 0"},
	} {
		status, out, errs := run(append([]string{"survey"}, c.args...)...)
		if status == 0 || out != "" || !strings.Contains(errs, c.says) {
			t.Errorf("%s: status %d, %q %q, expected %q", name, status, out, errs, c.says)
		}
	}
}

// The chosen path of a sweep is the case's own, no neighbour on the grid; the tripod marks of
// the best one stand at one height along it and at least 15 mm apart (common practice).
func TestTiltTellsTheChosenPath(t *testing.T) {
	file := filepath.Join(t.TempDir(), "case.yaml")
	body := "format: case/1\ncase: K7-3FQ2\narch: lower\nteeth: {37: {state: missing}, 36: {state: missing}, 35: {state: missing}}\nsurvey: {tilt: {anterior_deg: 3.3, right_deg: -2.2}}\n"
	if err := os.WriteFile(file, []byte(body), 0o644); err != nil {
		t.Fatal(err)
	}
	status, out, errs := run("tilt", file, "--json")
	var a tiltAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil || status != 0 {
		t.Fatalf("status %d, %v: %s", status, err, errs)
	}
	if math.Abs(a.Chosen.Anterior-3.3) > 1e-9 || math.Abs(a.Chosen.Right+2.2) > 1e-9 {
		t.Errorf("chosen %g anterior, %g right", a.Chosen.Anterior, a.Chosen.Right)
	}
	if len(a.Tripod) != 3 {
		t.Fatalf("%d tripod marks", len(a.Tripod))
	}
	d := a.Best.Direction.vec()
	for i, p := range a.Tripod {
		q := a.Tripod[(i+1)%3].vec()
		if rise := q.Sub(p.vec()).Dot(d); math.Abs(rise) > 1e-6 || q.Dist(p.vec()) < 15 {
			t.Errorf("marks %v and %v: %g mm higher, %g apart", p, q, rise, q.Dist(p.vec()))
		}
	}
}
