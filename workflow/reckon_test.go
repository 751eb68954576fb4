package workflow_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfpear/drawing"
	"halfpear/encoding/casefile"
	"halfpear/mechanics"
	"halfpear/rulebook"
	"halfpear/words"
	"halfpear/workflow"
)

// The load goes somewhere: what teeth and mucosa carry along the path adds up to it, by
// statics; and a clasp's forces lie in the span published for cobalt-chromium clasps at
// 0.25 mm (2 to 16 N a clasp: retention measured in several studies).
func TestMechanicsOfTheDemoCases(t *testing.T) {
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		s := open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil)
		proposals, err := s.Propose(context.Background(), 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.Plan(proposals[0].Design)
		if err != nil {
			t.Fatal(err)
		}
		r := p.Mechanics
		if len(r.Holds) < 2 || len(r.Unknown) > 0 {
			t.Fatalf("%s: %d arms reckoned, not: %v", name, len(r.Holds), r.Unknown)
		}
		for _, h := range r.Holds {
			t.Logf("%s: %.1f mm, %.2f mm, side %.1f N, off %.1f (%.1f to %.1f) N, %.0f MPa, ratio %.2f", h.Part, h.Length, h.Undercut, h.Side.Typical, h.Withdrawal.Typical, h.Withdrawal.Low, h.Withdrawal.High, h.Stress.Typical, h.Ratio.Typical)
			if !(h.Withdrawal.Low <= h.Withdrawal.Typical && h.Withdrawal.Typical <= h.Withdrawal.High) {
				t.Errorf("%s: the band %v does not hold its middle", h.Part, h.Withdrawal)
			}
		}
		for _, c := range r.Cases {
			if c.Free {
				if c.Kind == mechanics.Bite {
					t.Errorf("%s: %s lifts the denture off", name, c.Name())
				}
				continue
			}
			sum := c.Mucosa
			for _, v := range c.Shares {
				sum += v.Force
			}
			load := -c.Force.Dot(s.Path.Direction)
			t.Logf("%s %s: mucosa %.1f, sinks %.3f, clasps %.1f, indirect %.1f, shares %.0v", name, c.Name(), c.Mucosa, c.Sinking, c.Clasps, c.Indirect, c.Shares)
			if c.Kind != mechanics.Cross && math.Abs(sum-load) > 0.02*math.Abs(load)+0.01 {
				t.Errorf("%s %s: teeth and mucosa carry %.3f N of %.3f", name, c.Name(), sum, load)
			}
		}
	}
}

// The mechanics of the demo cases and of mouths of other classes come onto one page, in
// both languages; the pages go into the folder HALFPEAR_PICTURES as pictures.
func TestMechanicsPages(t *testing.T) {
	dir := os.Getenv("HALFPEAR_PICTURES")
	page := func(name string, s *workflow.Study) {
		proposals, err := s.Propose(context.Background(), 1, nil)
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.Plan(proposals[0].Design)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range words.Langs[:2] {
			pages, err := p.MechanicsPage(workflow.SheetsInput{Program: "test", Lang: l, At: time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC), Palette: drawing.House()})
			if err != nil {
				t.Fatal(err)
			}
			if len(pages) != 1 {
				t.Errorf("%s, %s: %d pages", name, l, len(pages))
			}
			if dir != "" {
				picture(t, filepath.Join(dir, "mechanics-"+strings.ReplaceAll(name, " ", "-")+"-"+string(l)+".png"), pages[0])
			}
		}
	}
	for _, name := range []string{"lower-extension", "upper-bounded"} {
		page(name, open(t, "../cmd/halfpear/cli/demo/"+name+".yaml", nil))
	}
	if dir == "" {
		return
	}
	if _, err := os.Stat("../../shared/scans/plaster-cast"); err == nil {
		page("plaster", plaster(t))
	}
	for _, m := range mouths {
		switch m.name {
		case "lower II mod 1", "upper IV", "upper I first premolars":
			c, err := casefile.Read(m.name, []byte(m.file(rulebook.Profiles[0])))
			if err != nil {
				t.Fatal(err)
			}
			book, err := rulebook.Open(rulebook.Profiles[0])
			if err != nil {
				t.Fatal(err)
			}
			s, err := workflow.Open(context.Background(), workflow.Input{Case: c, Book: book})
			if err != nil {
				t.Fatal(err)
			}
			page(m.name, s)
		}
	}
}
