package workflow_test

import (
	"context"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/placement"
	"halfpear/survey"
)

// Blocked out for its design, a cast still shows the planned undercuts and the rest seats:
// each tip lies on the solid's surface. Blocked out without regard to the design, the wall
// stands off each tip by its undercut. Both solids are closed.
func TestBlockOutForADesign(t *testing.T) {
	s := open(t, "../cmd/halfpear/cli/demo/lower-extension.yaml", nil)
	proposals, err := s.Propose(context.Background(), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Plan(proposals[0].Design)
	if err != nil {
		t.Fatal(err)
	}
	table, err := survey.NewTable(s.Cast.Mesh, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	solid := func(how survey.Shaping, cell float64) (*survey.BlockOut, *cast.Surface) {
		how.Cell = cell // edges are rounded by half of it
		b, err := table.BlockOut(context.Background(), s.Path.Direction, how)
		if err != nil {
			t.Fatal(err)
		}
		if e := mesh.EdgesOf(b.Mesh); !e.Closed() || e.Turned > 0 || !(b.Mesh.Volume() > 0) {
			t.Errorf("not a closed solid: %d open, %d shared, %d turned edges, volume %g", e.Opens, e.Shareds, e.Turned, b.Mesh.Volume())
		}
		return b, cast.NewSurface(b.Mesh)
	}
	plain, wall := solid(survey.Shaping{}, 0.25)
	// What is blocked out has no undercut, but for half a cell in slits between teeth. The
	// underside of its base faces away.
	again, err := survey.Of(context.Background(), plain.Mesh, s.Path.Direction, survey.Options{NoLines: true})
	if err != nil {
		t.Fatal(err)
	}
	low := geom.BoxOf(plain.Mesh.Vertices).Min.Z
	for i, d := range again.Depth {
		if v := plain.Mesh.Vertices[i]; v.Z > low+0.5 && d > plain.Cell/2 {
			t.Fatalf("an undercut of %.3f mm is left at %v", d, v)
		}
	}
	ledged, shaped := solid(p.Placement.Shaping(0, false), 0.25)
	relieved, _ := solid(p.Placement.Shaping(0, true), 0.5)
	tips, seats := 0, 0
	for _, q := range p.Placement.Parts {
		for _, tip := range q.Tips {
			tips++
			at, _ := shaped.Nearest(tip.Point)
			off, _ := wall.Nearest(tip.Point)
			if at.Dist(tip.Point) > 0.15 {
				t.Errorf("%s: the tip lies %.3f mm off the shaped block-out", q.Part.ID, at.Dist(tip.Point))
			}
			if d := off.Dist(tip.Point); d < tip.UndercutMM-0.08 || d > tip.UndercutMM+0.08 {
				t.Errorf("%s: the parallel wall stands %.3f mm off the tip, its undercut is %.3f", q.Part.ID, d, tip.UndercutMM)
			}
		}
		for _, a := range q.Patches {
			if a.Role != placement.Seat {
				continue
			}
			seats++
			for _, v := range a.Outline {
				if at, _ := shaped.Nearest(v); at.Dist(v) > 0.15 {
					t.Errorf("%s: its seat lies %.3f mm off the block-out", q.Part.ID, at.Dist(v))
					break
				}
			}
		}
	}
	if tips < 2 || seats < 2 {
		t.Errorf("%d tips and %d seats looked at", tips, seats)
	}
	if !(ledged.Kept > 0) || ledged.Volume >= plain.Volume || plain.Kept != 0 {
		t.Errorf("kept free %.2f of %.2f, filled %.2f", ledged.Kept, plain.Volume, ledged.Volume)
	}
	if !(relieved.Relieved > 50) || ledged.Relieved != 0 {
		t.Errorf("relief of %.1f mm³ under two lattices and a bar, without it %.1f", relieved.Relieved, ledged.Relieved)
	}
}
