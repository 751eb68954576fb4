package workflow_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfpear/cast"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/drawing"
	"halfpear/encoding/casefile"
	"halfpear/encoding/png"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/workflow"
)

// mouth is one invented case of the sweep: the missing teeth, then what else of the case
// file its findings need.
type mouth struct {
	name    string
	arch    tooth.Arch
	missing string
	teeth   string // more lines of teeth, in the case file's format
	rest    string // tissues and patient
	quick   bool   // also in the short run
}

var mouths = []mouth{
	{name: "lower I premolars", arch: tooth.Lower, missing: "36 37 46 47", rest: deep, quick: true},
	{name: "lower I first premolars", arch: tooth.Lower, missing: "35 36 37 45 46 47", rest: deep},
	{name: "lower I canines", arch: tooth.Lower, missing: "34 35 36 37 44 45 46 47", rest: deep},
	{name: "lower I canine and premolar", arch: tooth.Lower, missing: "34 35 36 37 46 47", rest: deep},
	{name: "lower I shallow floor", arch: tooth.Lower, missing: "35 36 37 45 46 47", rest: shallowFloor},
	{name: "lower I shallow vestibule", arch: tooth.Lower, missing: "36 37 46 47", rest: shallowVestibule},
	{name: "lower I tori", arch: tooth.Lower, missing: "36 37 46 47", rest: deep + "  tori: [{place: lingual, teeth: [33, 34, 43, 44], size: large, operable: false}]\n"},
	{name: "lower I weak teeth", arch: tooth.Lower, missing: "35 36 37 45 46 47", rest: deep,
		teeth: "  34: {mobility: 2, bone_loss_percent: 50, crown_root_ratio: 1.2}\n  44: {mobility: 1, bone_loss_percent: 40, crown_root_ratio: 1}\n"},
	{name: "lower I pier", arch: tooth.Lower, missing: "34 36 37 46 47", rest: deep},
	{name: "lower II", arch: tooth.Lower, missing: "35 36 37", rest: deep, quick: true},
	{name: "lower II mod 1", arch: tooth.Lower, missing: "35 36 37 46", rest: deep},
	{name: "lower II mod 1 long", arch: tooth.Lower, missing: "36 37 45 46", rest: deep},
	{name: "lower II canine", arch: tooth.Lower, missing: "44 45 46 47", rest: deep},
	{name: "lower III", arch: tooth.Lower, missing: "35 36", rest: deep},
	{name: "lower III mod 1", arch: tooth.Lower, missing: "35 36 45 46", rest: deep},
	{name: "lower III tilted molar", arch: tooth.Lower, missing: "36 46", rest: deep, teeth: "  37: {tilt_deg: 25, tilt_toward: mesial}\n"},
	{name: "lower III third molar", arch: tooth.Lower, missing: "36 37 46", rest: deep, teeth: "  38: {state: present, abutment: true}\n"},
	{name: "lower IV", arch: tooth.Lower, missing: "32 31 41 42", rest: deep},
	{name: "upper I premolars", arch: tooth.Upper, missing: "16 17 26 27", rest: high, quick: true},
	{name: "upper I first premolars", arch: tooth.Upper, missing: "15 16 17 25 26 27", rest: high},
	{name: "upper I canines", arch: tooth.Upper, missing: "14 15 16 17 24 25 26 27", rest: high},
	{name: "upper I gag", arch: tooth.Upper, missing: "16 17 26 27", rest: high + "patient: {gag: true, smile_line: low}\n"},
	{name: "upper I torus", arch: tooth.Upper, missing: "15 16 17 26 27", rest: high + "  tori: [{place: palatal, size: large, operable: false}]\n"},
	{name: "upper II", arch: tooth.Upper, missing: "15 16 17", rest: high},
	{name: "upper II mod 1", arch: tooth.Upper, missing: "25 26 27 15", rest: high},
	{name: "upper III", arch: tooth.Upper, missing: "25 26", rest: high},
	{name: "upper III mod 1", arch: tooth.Upper, missing: "15 16 25 26", rest: high},
	{name: "upper III mod 2", arch: tooth.Upper, missing: "14 16 25", rest: high},
	{name: "upper III nickel", arch: tooth.Upper, missing: "15 16 25", rest: high + "patient: {allergies: [nickel], smile_line: high}\n"},
	{name: "upper IV", arch: tooth.Upper, missing: "12 11 21 22", rest: high, quick: true},
	{name: "upper IV short", arch: tooth.Upper, missing: "11 21", rest: high},
}

const (
	deep = "tissues:\n  floor_depth_mm: {35: 10, 34: 10, 33: 9, 32: 9, 31: 9, 41: 9, 42: 9, 43: 9, 44: 10, 45: 10}\n" +
		"  floor_is_functional: true\n  vestibule_depth_mm: {33: 9, 34: 9, 35: 9, 37: 9, 43: 9, 44: 9, 45: 9, 47: 9}\n"
	shallowFloor = "tissues:\n  floor_depth_mm: {34: 5.5, 33: 5, 32: 5, 31: 5, 41: 5, 42: 5, 43: 5, 44: 5.5}\n" +
		"  floor_is_functional: true\n  vestibule_depth_mm: {33: 9, 34: 9, 43: 9, 44: 9}\n"
	shallowVestibule = "tissues:\n  floor_depth_mm: {35: 10, 34: 10, 33: 9, 32: 9, 31: 9, 41: 9, 42: 9, 43: 9, 44: 10, 45: 10}\n" +
		"  floor_is_functional: true\n  vestibule_depth_mm: {33: 4, 34: 4, 35: 4, 43: 4, 44: 4, 45: 4}\n"
	high = "tissues:\n  vestibule_depth_mm: {13: 10, 14: 10, 15: 10, 17: 10, 23: 10, 24: 10, 25: 10, 27: 10}\n"
)

// file writes the mouth as a case file.
func (m mouth) file(profile string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "format: case/1\ncase: SW-TEST\ntitle: %s\narch: %s\nprofile: %s\nteeth:\n", m.name, m.arch, profile)
	for _, w := range strings.Fields(m.missing) {
		fmt.Fprintf(&b, "  %s: {state: missing, replace: true}\n", w)
	}
	for _, n := range tooth.All(m.arch) {
		if n.Kind() == tooth.ThirdMolar && !strings.Contains(m.teeth, n.String()+":") {
			fmt.Fprintf(&b, "  %d: {state: missing, replace: false}\n", n)
		}
	}
	b.WriteString(m.teeth + m.rest)
	return b.String()
}

// TestSweep takes invented mouths of every class the whole way from the chart to the sheet
// and asks of each what must hold whatever the design: parts on standing teeth, on the
// cast, on the right side; one body of metal; no stop on the first proposal. A few mouths
// as a rule; all of them where HALFPEAR_SWEEP is set; the sheets go into the folder
// HALFPEAR_PICTURES as pictures.
func TestSweep(t *testing.T) {
	full := os.Getenv("HALFPEAR_SWEEP")
	for i, m := range mouths {
		if full == "" && !m.quick || full != "" && full != "all" && !strings.Contains(m.name, full) {
			continue
		}
		profile := rulebook.Profiles[i%len(rulebook.Profiles)]
		t.Run(m.name, func(t *testing.T) { m.goes(t, profile) })
	}
}

func (m mouth) goes(t *testing.T, profile string) {
	c, err := casefile.Read(m.name, []byte(m.file(profile)))
	if err != nil {
		t.Fatal(err)
	}
	book, err := rulebook.Open(profile)
	if err != nil {
		t.Fatal(err)
	}
	s, err := workflow.Open(context.Background(), workflow.Input{Case: c, Book: book})
	if err != nil {
		t.Fatal(err)
	}
	proposals, err := s.Propose(context.Background(), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Plan(proposals[0].Design)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s, %s: %s; %s; %d parts", s.Class, profile, proposals[0].Kind, major(p), len(p.Design.Parts))
	for _, f := range p.Report.Findings {
		line := fmt.Sprintf("%s %s %s %v %s", f.Rule, f.Severity, f.Status, f.Place, f.Message)
		switch {
		case f.Status == rulebook.Failed && f.Severity == rulebook.Stop:
			t.Errorf("the first proposal: %s", line)
		case f.Status != rulebook.NotChecked && f.Severity != rulebook.Note:
			t.Log(line)
		}
	}
	onTeeth(t, c.Chart, p)
	onCast(t, p)
	for _, w := range p.Placement.Measures {
		if w.Name == "pieces" && w.Quantity.Value != 1 {
			t.Errorf("the framework is %v bodies", w.Quantity)
		}
	}
	pages, err := p.Sheets(workflow.SheetsInput{Program: "test", At: time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC), Palette: drawing.House()})
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) == 0 || len(pages[0].Items) == 0 {
		t.Errorf("%d sheets, the first empty", len(pages))
	}
	if dir := os.Getenv("HALFPEAR_PICTURES"); dir != "" {
		picture(t, filepath.Join(dir, strings.ReplaceAll(m.name, " ", "-")+".png"), pages[0])
	}
}

func major(p *workflow.Plan) string {
	for _, q := range p.Design.Parts {
		if q.ID == "major" || strings.Contains(string(q.Kind), "major") {
			return string(q.Form)
		}
	}
	return "no connector"
}

// onTeeth asks that what clasps, rests and plates stand on is there.
func onTeeth(t *testing.T, c chart.Chart, p *workflow.Plan) {
	t.Helper()
	for _, q := range p.Design.Parts {
		switch q.Kind {
		case design.FinishLine, design.TissueStop:
			continue // of a base
		case design.Base, design.ReplacementTooth:
			for _, n := range append([]tooth.Number{}, q.Teeth...) {
				if c.Stands(n) {
					t.Errorf("%s replaces %s, which stands", q.ID, n)
				}
			}
			if q.Kind == design.ReplacementTooth && c.Stands(q.Tooth) {
				t.Errorf("%s replaces %s, which stands", q.ID, q.Tooth)
			}
			continue
		}
		for _, n := range append(append([]tooth.Number{}, q.Teeth...), q.At...) {
			if n != 0 && !c.Stands(n) {
				t.Errorf("%s is on %s, which does not stand", q.ID, n)
			}
		}
		if q.Tooth != 0 && !c.Stands(q.Tooth) {
			t.Errorf("%s is on %s, which does not stand", q.ID, q.Tooth)
		}
	}
}

// onCast asks that every part is laid, within the cast's box, and that each retentive tip
// is on the side and near the tooth that it is said to be.
func onCast(t *testing.T, p *workflow.Plan) {
	t.Helper()
	lo, hi := geom.V(math.Inf(1), math.Inf(1), math.Inf(1)), geom.V(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for _, v := range p.Cast.Mesh.Vertices {
		lo = geom.V(math.Min(lo.X, v.X), math.Min(lo.Y, v.Y), math.Min(lo.Z, v.Z))
		hi = geom.V(math.Max(hi.X, v.X), math.Max(hi.Y, v.Y), math.Max(hi.Z, v.Z))
	}
	// Resin and teeth stand up to a crown's height proud of the cast.
	const proud = 12.0
	held := func(q placement.Placed, v geom.Vec) bool {
		if !(v.X >= lo.X-3 && v.X <= hi.X+3 && v.Y >= lo.Y-3 && v.Y <= hi.Y+3 && v.Z >= lo.Z-3 && v.Z <= hi.Z+proud) {
			t.Errorf("%s has the point %.1f, outside the cast's box %.1f to %.1f", q.Part.ID, v, lo, hi)
			return false
		}
		return true
	}
	for _, q := range p.Placement.Parts {
		for _, short := range q.Shortfalls {
			t.Logf("short: %s %s wanted %.2f, got %.2f at %s: %s", q.Part.ID, short.Measure, short.Wanted, short.Got, short.Tooth, short.Why)
		}
		if len(q.Curves)+len(q.Patches) == 0 && q.Part.Kind != design.Reciprocation {
			t.Errorf("%s is not laid", q.Part.ID)
		}
		all := []geom.Vec{}
		for _, c := range q.Curves {
			all = append(all, c.Points...)
		}
		for _, a := range q.Patches {
			all = append(all, a.Outline...)
		}
		for _, v := range all {
			if !held(q, v) {
				break
			}
		}
		for _, tip := range q.Tips {
			at, ok := p.Cast.Teeth[tip.Tooth]
			if !ok {
				t.Errorf("%s: its tip is on %s, which does not stand", q.Part.ID, tip.Tooth)
				continue
			}
			local := tip.Point.Sub(at.Frame.Origin)
			facial, mesial := local.Dot(at.Frame.Y), local.Dot(at.Frame.X)
			if math.Abs(facial) > 9 || math.Abs(mesial) > 9 {
				t.Errorf("%s: its tip %.1f is not at %s", q.Part.ID, tip.Point, tip.Tooth)
			}
			if strings.HasSuffix(string(tip.Site), "facial") != (facial > 0) {
				t.Errorf("%s: a tip %s of %s lies %.1f mm facial of the tooth's middle", q.Part.ID, tip.Site, tip.Tooth, facial)
			}
			switch {
			case strings.HasPrefix(string(tip.Site), "mesio") && mesial < -1, strings.HasPrefix(string(tip.Site), "disto") && mesial > 1:
				t.Errorf("%s: a tip %s of %s lies %.1f mm mesial of the tooth's middle", q.Part.ID, tip.Site, tip.Tooth, mesial)
			}
			if side := tip.Point.X * cast.RightSign(p.Cast.Arch); tip.Tooth.Right() != (side > 0) {
				t.Errorf("%s: the tip of %s is on the other side of the mouth", q.Part.ID, tip.Tooth)
			}
			if want := q.Part.Undercut; want != nil && len(q.Tips) == 1 && want.Site != tip.Site {
				t.Logf("%s: asked for %s, laid %s", q.Part.ID, want.Site, tip.Site)
			}
		}
	}
}

// picture draws a page into a file, for people to judge by eye.
func picture(t *testing.T, name string, page sheet.Page) {
	t.Helper()
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Write(f, &page, 150); err != nil {
		t.Fatal(err)
	}
}
