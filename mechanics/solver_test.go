package mechanics

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"halfpear/geom"
)

// calculix runs a deck and gives what its result file says of the one node printed.
func calculix(t *testing.T, ccx, deck string, node int) []geom.Vec {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "case.inp"), []byte(deck), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(ccx, "-i", "case")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("CalculiX failed: %v\n%s", err, out)
	}
	text, err := os.ReadFile(filepath.Join(dir, "case.dat"))
	if err != nil {
		t.Fatal(err)
	}
	var answers []geom.Vec
	for _, l := range strings.Split(string(text), "\n") {
		var n int
		var v geom.Vec
		if k, _ := fmt.Sscan(l, &n, &v.X, &v.Y, &v.Z); k == 4 && n == node {
			answers = append(answers, v)
		}
	}
	return answers
}

// The same helical wire, built as three-node beams for CalculiX, a general-purpose
// finite-element program: tips agree within 1.5 % of their length, for three loads. Such
// a coil bends and twists in every direction at once.
func TestAgainstCalculiX(t *testing.T) {
	ccx, err := exec.LookPath("ccx")
	if err != nil {
		t.Skip("CalculiX is not installed")
	}
	const nodes, radius, rise, d = 81, 5.0, 4.0, 1.0
	var path []geom.Vec
	var deck strings.Builder
	deck.WriteString("*NODE,NSET=ALL\n")
	for i := range nodes {
		a := 1.5 * math.Pi / 2 * float64(i) / (nodes - 1)
		p := geom.V(radius*math.Sin(a), radius*(1-math.Cos(a)), rise*float64(i)/(nodes-1))
		path = append(path, p)
		fmt.Fprintf(&deck, "%d,%.9f,%.9f,%.9f\n", i+1, p.X, p.Y, p.Z)
	}
	deck.WriteString("*ELEMENT,TYPE=B32R,ELSET=WIRE\n")
	for i := 1; i+2 <= nodes; i += 2 {
		fmt.Fprintf(&deck, "%d,%d,%d,%d\n", i, i, i+1, i+2)
	}
	fmt.Fprintf(&deck, "*MATERIAL,NAME=M\n*ELASTIC\n%g,%g\n*BEAM SECTION,ELSET=WIRE,MATERIAL=M,SECTION=CIRC\n%g,%g\n0,0,1\n*BOUNDARY\n1,1,6,0.\n*NSET,NSET=TIP\n%d\n", steel.E, steel.Nu, d, d, nodes)
	for axis := 1; axis <= 3; axis++ {
		fmt.Fprintf(&deck, "*STEP\n*STATIC\n*CLOAD,OP=NEW\n%d,%d,5.\n*NODE PRINT,NSET=TIP\nU\n*END STEP\n", nodes, axis)
	}
	answers := calculix(t, ccx, deck.String(), nodes)
	if len(answers) != 3 {
		t.Fatalf("three answers expected, got %v", answers)
	}
	s := Section{Shape: Round, Width: d, Thickness: d}
	b := beam(t, Arm{Path: path, Sections: []Section{s, s}, Metal: steel})
	for i, f := range []geom.Vec{{X: 5}, {Y: 5}, {Z: 5}} {
		move, _ := b.Tip(Wrench{Force: f})
		off := move.Dist(answers[i]) / answers[i].Norm()
		t.Logf("load %v: CalculiX %v, here %v, %.2f %% apart", f, answers[i], move, 100*off)
		if off > 0.015 {
			t.Errorf("load %v: CalculiX moves the tip by %v, this by %v", f, answers[i], move)
		}
	}
}

// A connector of two bows joined at their ends, as a front and a rear bar are, held at one
// junction and loaded at the other in every direction: CalculiX and the frame agree within
// 1.5 %.
func TestFrameAgainstCalculiX(t *testing.T) {
	ccx, err := exec.LookPath("ccx")
	if err != nil {
		t.Skip("CalculiX is not installed")
	}
	const d, half, pieces = 1.6, 18.0, 80
	bow := func(forward float64) (path []geom.Vec) {
		for i := 0; i <= pieces; i++ {
			x := half * (2*float64(i)/pieces - 1)
			y := 1 - x*x/(half*half)
			path = append(path, geom.V(x, forward*y, 9*y)) // over the palate
		}
		return path
	}
	bows := [2][]geom.Vec{bow(14), bow(-10)}
	var deck strings.Builder
	deck.WriteString("*NODE,NSET=ALL\n")
	number := func(b, i int) int { // the bows share their ends
		if i == 0 || i == pieces {
			return 1 + i
		}
		return 1 + i + 1000*b
	}
	for b, path := range bows {
		for i, p := range path {
			if b == 0 || number(b, i) > 1000 {
				fmt.Fprintf(&deck, "%d,%.9f,%.9f,%.9f\n", number(b, i), p.X, p.Y, p.Z)
			}
		}
	}
	deck.WriteString("*ELEMENT,TYPE=B32R,ELSET=WIRE\n")
	for b := range bows {
		for i := 0; i+2 <= pieces; i += 2 {
			fmt.Fprintf(&deck, "%d,%d,%d,%d\n", 1+i+1000*b, number(b, i), number(b, i+1), number(b, i+2))
		}
	}
	fmt.Fprintf(&deck, "*MATERIAL,NAME=M\n*ELASTIC\n%g,%g\n*BEAM SECTION,ELSET=WIRE,MATERIAL=M,SECTION=CIRC\n%g,%g\n0,1,0.3\n*BOUNDARY\n1,1,6,0.\n*NSET,NSET=TIP\n%d\n", steel.E, steel.Nu, d, d, 1+pieces)
	for axis := 1; axis <= 3; axis++ {
		fmt.Fprintf(&deck, "*STEP\n*STATIC\n*CLOAD,OP=NEW\n%d,%d,5.\n*NODE PRINT,NSET=TIP\nU\n*END STEP\n", 1+pieces, axis)
	}
	answers := calculix(t, ccx, deck.String(), 1+pieces)
	if len(answers) != 3 {
		t.Fatalf("three answers expected, got %v", answers)
	}
	var f Frame
	a, z := f.Node(bows[0][0]), f.Node(bows[0][pieces])
	s := Section{Shape: Round, Width: d, Thickness: d}
	for _, path := range bows {
		f.Bar(a, z, beam(t, Arm{Path: path, Sections: []Section{s, s}, Metal: steel}))
	}
	f.Fix(a)
	g, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for i, force := range []geom.Vec{{X: 5}, {Y: 5}, {Z: 5}} {
		u, _ := g.Under(z, bows[0][pieces], force)
		off := u[z].Move.Dist(answers[i]) / answers[i].Norm()
		t.Logf("load %v: CalculiX %v, here %v, %.2f %% apart", force, answers[i], u[z].Move, 100*off)
		if off > 0.015 {
			t.Errorf("load %v: CalculiX moves the end by %v, this by %v", force, answers[i], u[z].Move)
		}
	}
}
