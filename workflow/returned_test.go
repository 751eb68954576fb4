package workflow_test

import (
	"context"
	"os"
	"strings"
	"testing"

	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/rulebook"
	"halfpear/workflow"
)

// What is read on a framework that came back, and on mounted casts, is judged once it is
// entered and not before: a gap of 0.5 mm at a rest and an arm that the opponent touches
// stop the design, and lacking finish lines are a caution. Limits: CHK-246 to 248 and
// CHK-135 of the checklist.
func TestWhatIsEnteredOfTheReturnAndTheOpponent(t *testing.T) {
	text, err := os.ReadFile("../cmd/halfpear/cli/demo/lower-extension.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var judged design.Design // the same in every case
	status := func(more, room string) map[rulebook.RuleID]rulebook.Finding {
		file := string(text) + more
		if room != "" {
			file = strings.Replace(file, "35: {", "35: {arm_room_mm: "+room+", ", 1)
		}
		c, err := casefile.Read("case", []byte(file))
		if err != nil {
			t.Fatal(err)
		}
		book, err := rulebook.Open(c.Profile)
		if err != nil {
			t.Fatal(err)
		}
		s, err := workflow.Open(context.Background(), workflow.Input{Case: c, Book: book})
		if err != nil {
			t.Fatal(err)
		}
		if len(judged.Parts) == 0 {
			list, err := s.Propose(context.Background(), 1, nil)
			if err != nil {
				t.Fatal(err)
			}
			judged = list[0].Design
		}
		p, err := s.Plan(judged)
		if err != nil {
			t.Fatal(err)
		}
		out := map[rulebook.RuleID]rulebook.Finding{}
		for _, f := range p.Report.Findings {
			if have, ok := out[f.Rule]; !ok || have.Status == rulebook.NotChecked {
				out[f.Rule] = f
			}
		}
		return out
	}
	bare := status("", "")
	for _, id := range []rulebook.RuleID{"CHK-246", "CHK-247", "CHK-248", "CHK-135"} {
		if bare[id].Status != rulebook.NotChecked {
			t.Errorf("%s is %q though nothing was entered", id, bare[id].Status)
		}
	}
	bad := status("returned: {rest_gap_mm: 0.5, difference_mm: 0.1, absent: [finish-line-internal]}\n", "")
	if f := bad["CHK-246"]; f.Status != rulebook.Failed || f.Severity != rulebook.Stop {
		t.Errorf("CHK-246 is %s %s at a gap of 0.5 mm", f.Severity, f.Status)
	}
	if f, there := bad["CHK-247"]; there {
		t.Errorf("CHK-247 is %s at a difference of 0.1 mm", f.Status)
	}
	if f := status("", "0")["CHK-135"]; f.Status != rulebook.Failed || f.Severity != rulebook.Stop {
		t.Errorf("CHK-135 is %s %s with an arm that the opponent touches", f.Severity, f.Status)
	}
	if f := bad["CHK-248"]; f.Status != rulebook.Failed {
		t.Errorf("CHK-248 is %q with a finish line absent", f.Status)
	}
}
