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
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "wire.inp"), []byte(deck.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(ccx, "-i", "wire")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("CalculiX failed: %v\n%s", err, out)
	}
	text, err := os.ReadFile(filepath.Join(dir, "wire.dat"))
	if err != nil {
		t.Fatal(err)
	}
	var answers []geom.Vec
	for _, l := range strings.Split(string(text), "\n") {
		var n int
		var v geom.Vec
		if k, _ := fmt.Sscan(l, &n, &v.X, &v.Y, &v.Z); k == 4 && n == nodes {
			answers = append(answers, v)
		}
	}
	if len(answers) != 3 {
		t.Fatalf("three answers expected in:\n%s", text)
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
