package workflow_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"halfpear/arch"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/unit"
	"halfpear/workflow"
)

// open reads a case and takes it as far as a surveyed cast.
func open(t testing.TB, name string, scan []byte) *workflow.Study {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := casefile.Read(filepath.Base(name), data)
	if err != nil {
		t.Fatal(err)
	}
	b, err := rulebook.Open(c.Profile)
	if err != nil {
		t.Fatal(err)
	}
	s, err := workflow.Open(context.Background(), workflow.Input{Case: c, Scan: scan, Book: b})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// plaster is a real plaster cast, where the scans stand beside the project.
func plaster(t testing.TB) *workflow.Study {
	t.Helper()
	scan, err := os.ReadFile("../../shared/scans/plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply")
	if err != nil {
		t.Skip("no scans beside the project")
	}
	return open(t, "testdata/plaster-class1.yaml", scan)
}

// The real cast goes the whole way: proposals, a plan laid and checked on the scan, sheets,
// and an order, which stays a draft while its fields are empty.
func TestThePlasterCastGoesTheWholeWay(t *testing.T) {
	s := plaster(t)
	if s.Class.Class != arch.I || len(s.Cast.Teeth) != 8 || s.Cast.Origin != unit.Measured {
		t.Fatalf("%s with %d teeth, %s", s.Class, len(s.Cast.Teeth), s.Cast.Origin)
	}
	goesTheWholeWay(t, s, "plaster")
}

// The intraoral scan goes the whole way too, open as it is, and with no point given on any
// tooth.
func TestTheIntraoralScanGoesTheWholeWay(t *testing.T) {
	scan, err := os.ReadFile("../../shared/scans/maxilla-intraoral/maxilla_kennedy3mod1_no_16-15_25-26.ply")
	if err != nil {
		t.Skip("no scans beside the project")
	}
	s := open(t, "testdata/maxilla-class3.yaml", scan)
	if s.Class.Class != arch.III || len(s.Cast.Teeth) != 10 || s.Cast.Origin != unit.Measured {
		t.Fatalf("%s with %d teeth, %s", s.Class, len(s.Cast.Teeth), s.Cast.Origin)
	}
	goesTheWholeWay(t, s, "maxilla")
}

func goesTheWholeWay(t *testing.T, s *workflow.Study, name string) {
	t.Helper()
	proposals, err := s.Propose(context.Background(), 3, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(proposals) < 2 {
		t.Errorf("%d proposals, expected alternatives", len(proposals))
	}
	for _, p := range proposals {
		t.Logf("%d %s: %d stops, %d cautions, %d checked", p.Rank, p.Kind, p.Report.Stops(), p.Report.Cautions(), p.Report.Checked)
	}
	if n := proposals[0].Report.Stops(); n != 0 {
		t.Errorf("the first proposal has %d stops", n)
	}
	c := s.Case
	c.Design = &proposals[0].Design
	s = s.With(c)
	plan, err := s.PlanOf()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range plan.Report.Findings {
		if f.Status == rulebook.Failed && f.Severity == rulebook.Stop {
			t.Errorf("%s %v %s", f.Rule, f.Place, f.Message)
		}
	}
	made := order.Made{Program: "test", Rulebook: s.Book.Profile, At: time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)}
	papers, err := workflow.MakePapers(workflow.PapersInput{Study: s, Plan: plan, Files: map[string][]byte{}, Made: made, DraftToo: true})
	if err != nil {
		t.Fatal(err)
	}
	if papers.Order.State != order.Draft || len(papers.Order.Gaps) == 0 {
		t.Errorf("an order without a shade is %s", papers.Order.State)
	}
	if !bytes.HasPrefix(papers.PDF, []byte("%PDF-")) || len(papers.Pages) < 6 {
		t.Errorf("%d pages, %d bytes", len(papers.Pages), len(papers.PDF))
	}
	again, err := workflow.MakePapers(workflow.PapersInput{Study: s, Plan: plan, Files: map[string][]byte{}, Made: made, DraftToo: true})
	if err != nil || !bytes.Equal(papers.PDF, again.PDF) {
		t.Errorf("the same case gave two papers (%v)", err)
	}
	if dir := os.Getenv("HALFPEAR_PAPERS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), papers.PDF, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// BenchmarkTheWholeWay is a case from its file to the order's PDF.
func BenchmarkTheWholeWay(b *testing.B) {
	for b.Loop() {
		s := open(b, "../cmd/halfpear/cli/demo/lower-extension.yaml", nil)
		proposals, err := s.Propose(context.Background(), 3, nil)
		if err != nil {
			b.Fatal(err)
		}
		plan, err := s.Plan(proposals[0].Design)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := workflow.MakePapers(workflow.PapersInput{Study: s, Plan: plan, Made: order.Made{Program: "test", Rulebook: s.Book.Profile}}); err != nil {
			b.Fatal(err)
		}
	}
}

func TestTheDemoCasesGetDesignsWithoutStops(t *testing.T) {
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		s := open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil)
		proposals, err := s.Propose(context.Background(), 3, nil)
		if err != nil {
			t.Fatal(err)
		}
		if n := proposals[0].Report.Stops(); n != 0 {
			t.Errorf("%s: the first proposal has %d stops", name, n)
		}
	}
}

// The plan for the chair takes as much for a guide plane as the plate laid on it needs: the
// triangle under a leaning face, its height times the tangent of its lean.
func TestAPlaneIsCutForThePlateOnIt(t *testing.T) {
	cut := 0
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		s := open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil)
		proposals, err := s.Propose(context.Background(), 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := s.Plan(proposals[0].Design)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range plan.Prep.Items {
			if i.Operation != prep.GuidePlane || i.RemovalMM == 0 {
				continue
			}
			q, _ := plan.Placement.Part(i.For)
			height, _ := q.Measure("plate_height", 0)
			lean, _ := q.Measure("plane_angle_deg", 0)
			want := height.Quantity.Value * math.Tan(lean.Quantity.Value*math.Pi/180)
			if h := height.Quantity.Value; h < i.HeightMM[0] || h > i.HeightMM[1] || want > 0.5 {
				continue // the plan keeps to what is taught
			}
			cut++
			if math.Abs(i.RemovalMM-want) > 0.005 {
				t.Errorf("%s, %s: a plate %.2f mm high on a face that leans by %.1f° takes %.3f mm, expected %.3f", name, i.For, height.Quantity.Value, lean.Quantity.Value, i.RemovalMM, want)
			}
		}
	}
	if cut == 0 {
		t.Error("no plane was compared")
	}
}
