package placement_test

import (
	"math"
	"testing"

	"halfpear/design"
	"halfpear/placement"
)

// Where the framework turns is published: in front spaces about the gingival ends of the
// rigid retainers, which go in straight first; on tipped molars about the ends of their
// rests (Jacobson, J Prosthet Dent 1994;71:271; Krol and Finzen, Int J Prosthodont 1988;1:135).
func TestRotationalPathsTurnWhereTheyAreTaughtTo(t *testing.T) {
	for _, c := range []struct {
		on       string
		first    []design.ID
		gingival bool
	}{
		{"upper-4", []design.ID{"plate-13-mesial", "plate-23-mesial"}, true},
		{"upper-3", []design.ID{"plate-17-mesial", "plate-27-mesial"}, false},
	} {
		l := lay(t, c.on)
		if l.placed.Turn != nil {
			t.Errorf("%s: a path that does not turn is swept", c.on)
		}
		d := l.design
		for _, id := range c.first {
			p, _ := d.Part(id)
			p.Note = design.RotationalPath
			d = d.With(p)
		}
		p, err := placement.RelayDesign(l.placed, d)
		if err != nil {
			t.Fatal(err)
		}
		r := p.Turn
		if r == nil {
			t.Fatalf("%s: not swept", c.on)
		}
		t.Logf("%s: %.2f mm in the way near %d, free at %.0f° and %+.0f°, holds %.2f mm", c.on, r.Deepest, r.Tooth, r.FreeDeg, r.LeanDeg, r.Engaged)
		if r.Gingival != c.gingival {
			t.Errorf("%s: turns about the gingival ends %v, taught %v", c.on, r.Gingival, c.gingival)
		}
		// The cast is the same left and right, and so is the axis.
		a, b := r.Axis[0], r.Axis[1]
		if math.Abs(a.Y-b.Y) > 0.1 || math.Abs(a.Z-b.Z) > 0.1 || math.Abs(a.X+b.X) > 0.1 {
			t.Errorf("%s: the axis runs askew from %v to %v", c.on, a, b)
		}
		// What holds is undercut beside the space: no more than the deepest there on the crown.
		for _, id := range c.first {
			q, _ := p.Part(id)
			deepest := 0.0
			for _, col := range p.Crowns[q.Part.Tooth].Columns {
				for _, u := range col.Depth {
					deepest = math.Max(deepest, u)
				}
			}
			if r.Engaged > deepest+0.05 {
				t.Errorf("%s: holds in %.2f mm, tooth %d is undercut by %.2f at most", c.on, r.Engaged, q.Part.Tooth, deepest)
			}
		}
	}
}

// Rigid metal goes no deeper into an undercut than the 0.75 mm that any tip does.
func TestRigidRetainersHoldInNoMoreThanATipMay(t *testing.T) {
	for on, first := range map[string][]design.ID{"upper-4": {"plate-13-mesial", "plate-23-mesial"}, "upper-3": {"plate-14-distal", "plate-24-distal"}, "lower-2": {"plate-47-mesial"}} {
		l := lay(t, on)
		d := l.design
		for _, id := range first {
			p, _ := d.Part(id)
			p.Note = design.RotationalPath
			d = d.With(p)
		}
		p, err := placement.RelayDesign(l.placed, d)
		if err != nil {
			t.Fatal(err)
		}
		if p.Turn == nil || p.Turn.Engaged > 0.8 {
			t.Errorf("%s: %+v", on, p.Turn)
		}
		b, _ := p.Blocked()
		if len(b.Filled) > 0 {
			t.Errorf("%s: block-out fills what %v hold in", on, b.Filled)
		}
		for _, id := range first {
			q, _ := p.Part(id)
			for _, c := range q.Curves {
				if c.Role == placement.Plane {
					t.Errorf("%s: a guide plane is cut under %s", on, id)
				}
			}
		}
	}
}
