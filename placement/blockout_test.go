package placement_test

import (
	"testing"

	"halfpear/design"
	"halfpear/placement"
)

// Blocked out for a design, no planned undercut is filled and nothing lies on a tooth above
// the survey line (refractory-cast text on block-out); every retentive end and every head of a
// bar has its ledge.
func TestBlockOutLeavesThePlannedUndercuts(t *testing.T) {
	check := func(name string, p *placement.Placement) {
		b, _ := p.Blocked()
		if len(b.Filled) > 0 || len(b.Above) > 0 {
			t.Errorf("%s: planned undercut filled at %v, filling above the line at %v", name, b.Filled, b.Above)
		}
		ends := 0
		for _, q := range p.Parts {
			for _, c := range q.Curves {
				if q.Part.Kind == design.Retainer && (c.Role == placement.Arm || c.Role == placement.Foot) {
					ends++
				}
			}
		}
		if b.Ledges != ends {
			t.Errorf("%s: %d ledges for %d retentive ends", name, b.Ledges, ends)
		}
	}
	for name := range studies {
		check(name, lay(t, name).placed)
	}
	for _, f := range forms {
		if f.parts[0].Kind == design.Retainer {
			_, p := layForm(t, f)
			check(f.name, p)
		}
	}
	check("plaster", plasterStudy(t).placed)
	check("maxilla", maxillaStudy(t).placed)
}

// Along the survey line a rigid arm is shown by a shelf, as long as the arm runs along it.
func TestRigidArmsOnTheLineHaveAShelf(t *testing.T) {
	l := lay(t, "upper-3")
	if b, _ := l.placed.Blocked(); b.Shelves == 0 {
		t.Error("no shelf under four reciprocal arms")
	}
	for _, s := range l.placed.Shaping(0, false).Shelves {
		for _, v := range s.Line {
			near := 99.0
			for _, line := range l.s.Lines {
				for _, w := range line.Points {
					near = min(near, w.Dist(v))
				}
			}
			if near > 0.4 {
				t.Errorf("a shelf at %v lies %.2f mm off the survey line", v, near)
			}
		}
	}
}
