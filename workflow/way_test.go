package workflow_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"halfpear/arch"
	"halfpear/encoding/casefile"
	"halfpear/rulebook"
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

func TestThePlasterCastGetsADesign(t *testing.T) {
	s := plaster(t)
	if s.Class.Class != arch.I || len(s.Cast.Teeth) != 8 {
		t.Fatalf("%s with %d teeth", s.Class, len(s.Cast.Teeth))
	}
	proposals, err := s.Propose(3)
	if err != nil {
		t.Fatal(err)
	}
	if len(proposals) < 2 {
		t.Errorf("%d proposals, expected alternatives", len(proposals))
	}
	for _, p := range proposals {
		t.Logf("%d %s: %d stops, %d cautions, %d checked", p.Rank, p.Kind, p.Report.Stops(), p.Report.Cautions(), p.Report.Checked)
		for _, f := range p.Report.Findings {
			if f.Status == rulebook.Failed && f.Severity != rulebook.Note {
				t.Logf("   %s %s %v %s", f.Rule, f.Severity, f.Place, f.Message)
			}
		}
	}
}

func TestTheDemoCasesGetDesignsWithoutStops(t *testing.T) {
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		s := open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil)
		proposals, err := s.Propose(3)
		if err != nil {
			t.Fatal(err)
		}
		if n := proposals[0].Report.Stops(); n != 0 {
			t.Errorf("%s: the first proposal has %d stops", name, n)
		}
	}
}
