package cli

import (
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfpear/cast"
	"halfpear/encoding/ply"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/internal/atomicfile"
	"halfpear/tooth"
	"halfpear/typodont"
)

// arch is a coarse lower cast without its right first molar, in metres and lying askew, with
// the way from the cast's frame.
func askew(t *testing.T, missing ...tooth.Number) (*cast.Cast, *mesh.Mesh, func(geom.Vec) geom.Vec) {
	t.Helper()
	s := typodont.Full(tooth.Lower, missing...)
	s.Edge = 1.5
	c, err := typodont.Make(s)
	if err != nil {
		t.Fatal(err)
	}
	move := func(p geom.Vec) geom.Vec {
		return geom.RotateAbout(p, geom.V(1, 0.4, -2).Unit(), 1.9).Add(geom.V(12, -80, 5)).Scale(0.001)
	}
	return c, c.Mesh.Map(move), move
}

func saved(t *testing.T, m *mesh.Mesh) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "scan.ply")
	if err := atomicfile.Write(name, func(w io.Writer) error { return ply.Write(w, &ply.File{Mesh: m}, true) }); err != nil {
		t.Fatal(err)
	}
	return name
}

func locate(t *testing.T, args ...string) (int, locateAnswer, string) {
	t.Helper()
	status, out, errs := run(append([]string{"locate", "--json"}, args...)...)
	var a locateAnswer
	if out != "" {
		if err := json.Unmarshal([]byte(out), &a); err != nil {
			t.Fatalf("%v in %s", err, out)
		}
	}
	return status, a, errs
}

func (a locateAnswer) kinds() string {
	var out []string
	for _, f := range a.Findings {
		out = append(out, f.Severity+" "+f.Kind)
	}
	return strings.Join(out, ", ")
}

// What was made is known to the last triangle: numbers, margins and labels are held
// against it, in the scan's own metres.
func TestLocateWithoutPoints(t *testing.T) {
	c, m, move := askew(t, 46)
	labels, picture := filepath.Join(t.TempDir(), "l.ply"), filepath.Join(t.TempDir(), "p.png")
	status, a, errs := locate(t, saved(t, m), "--arch", "lower", "--missing", "46", "--labels", labels, "--picture", picture)
	if status != 0 {
		t.Fatalf("status %d: %s %s", status, errs, a.kinds())
	}
	if a.Unit != "m" || a.UnitFactor != 1000 {
		t.Errorf("unit %q, factor %g, expected metres", a.Unit, a.UnitFactor)
	}
	up := move(geom.V(0, 0, 1)).Sub(move(geom.Vec{})).Unit()
	if lean := geom.InDeg(up.AngleTo(geom.V(a.Occlusal[0], a.Occlusal[1], a.Occlusal[2]))); lean > 10 {
		t.Errorf("the occlusal direction leans %.0f degrees", lean)
	}
	if len(a.Teeth) != 13 {
		t.Fatalf("%d teeth found, 13 stand", len(a.Teeth))
	}
	on := cast.NewSurface(m)
	for _, f := range a.Teeth {
		_, face := on.Nearest(geom.V(f.Point[0], f.Point[1], f.Point[2]))
		if int(c.Labels[face]) != f.Tooth {
			t.Errorf("the point on %d lies on %v", f.Tooth, c.Labels[face])
			continue
		}
		sum := 0.0
		for _, p := range f.Margin {
			best := math.Inf(1)
			for _, q := range c.Teeth[tooth.Number(f.Tooth)].Margin {
				best = math.Min(best, move(q).Dist(geom.V(p[0], p[1], p[2])))
			}
			sum += best * 1000 / float64(len(f.Margin))
		}
		if sum > 0.8 {
			t.Errorf("the margin of %d lies %.2f mm off on average", f.Tooth, sum)
		}
	}
	data, err := os.ReadFile(labels)
	if err != nil {
		t.Fatal(err)
	}
	f, err := ply.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.FaceLabels) != len(m.Faces) || len(f.Mesh.Vertices) != len(m.Vertices) {
		t.Fatalf("%d labels for %d triangles", len(f.FaceLabels), len(m.Faces))
	}
	same := 0
	for i, n := range f.FaceLabels {
		if f.Mesh.Faces[i] != m.Faces[i] {
			t.Fatalf("triangle %d is not the scan's", i)
		}
		if tooth.Number(n) == c.Labels[i] {
			same++
		}
	}
	if share := float64(same) / float64(len(m.Faces)); share < 0.95 {
		t.Errorf("%.0f %% of the triangles have the right label", 100*share)
	}
	if _, err := os.Stat(picture); err != nil {
		t.Error(err)
	}
}

// One point a tooth decides which teeth there are; a chart that says otherwise is a stop,
// and the place is told.
func TestLocateWithPoints(t *testing.T) {
	c, m, move := askew(t, 46)
	points := map[string][3]float64{}
	for n, k := range c.Teeth {
		p := move(k.CuspTips[0])
		points[n.String()] = [3]float64{p.X, p.Y, p.Z}
	}
	data, err := json.Marshal(points)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "points.json")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	scan := saved(t, m)
	status, a, errs := locate(t, scan, "--arch", "lower", "--points", file, "--missing", "46")
	if status != 0 || len(a.Teeth) != 13 {
		t.Fatalf("status %d, %d teeth: %s %s", status, len(a.Teeth), errs, a.kinds())
	}
	status, a, _ = locate(t, scan, "--arch", "lower", "--points", file, "--missing", "34")
	if status != 10 || !strings.Contains(a.kinds(), "stop charted-missing") || !strings.Contains(a.kinds(), "stop not-on-scan") {
		t.Errorf("status %d, findings %s; expected stops for 34 and 46", status, a.kinds())
	}
	gap := move(c.Marks.Ridges[0].Crest.Points[len(c.Marks.Ridges[0].Crest.Points)/2])
	for _, f := range a.Findings {
		if f.Kind == "not-on-scan" {
			if f.At == nil {
				t.Fatal("the place of the tooth that is not there is not told")
			}
			if d := gap.Dist(geom.V(f.At[0], f.At[1], f.At[2])) * 1000; d > 10 {
				t.Errorf("the missing tooth's place lies %.1f mm from the gap", d)
			}
		}
	}
	if status, _, errs := locate(t, scan, "--arch", "lower", "--points", filepath.Join(t.TempDir(), "none.json")); status == 0 || errs == "" {
		t.Errorf("a file of points that is not there: status %d, %q", status, errs)
	}
	if status, _, _ := locate(t, scan, "--arch", "sideways"); status == 0 {
		t.Error("an arch that does not exist was taken")
	}
}

// A mirrored scan, one whose triangles look inward, and one with a hole are told.
func TestLocateSpoiltScans(t *testing.T) {
	c, m, _ := askew(t, 46, 47, 34)
	over := &mesh.Mesh{Vertices: m.Vertices}
	for _, f := range m.Faces {
		over.Faces = append(over.Faces, [3]int32{f[0], f[2], f[1]})
	}
	swapped := &mesh.Mesh{Faces: over.Faces}
	for _, v := range m.Vertices {
		swapped.Vertices = append(swapped.Vertices, geom.V(-v.X, v.Y, v.Z))
	}
	// An open shell, for a closed one is turned outside out whatever it was.
	open := func(whole *mesh.Mesh, drop func(f int) bool) *mesh.Mesh {
		out := &mesh.Mesh{Vertices: whole.Vertices}
		for f, k := range whole.Faces {
			if !drop(f) {
				out.Faces = append(out.Faces, k)
			}
		}
		return out
	}
	base := func(f int) bool { a, _, _ := c.Mesh.Corners(f); return a.Z < -14 }
	peg := c.Teeth[43].Frame.Outer(geom.V(0, 3, 0))
	hole := func(f int) bool { a, _, _ := c.Mesh.Corners(f); return base(f) || a.Dist(peg) < 1.6 }
	for _, k := range []struct {
		name, want string
		m          *mesh.Mesh
	}{
		{"mirrored", "stop mirrored", swapped},
		{"inward", "caution flipped", open(over, base)},
		{"holed", "caution hole", open(m, hole)},
	} {
		_, a, errs := locate(t, saved(t, k.m), "--arch", "lower", "--missing", "46,47,34")
		if !strings.Contains(a.kinds(), k.want) {
			t.Errorf("%s: findings %s %s, expected %s", k.name, a.kinds(), errs, k.want)
		}
	}
}

// Every landmark has a confidence of its own; one that lies in a hole, or that the scan ends
// before, is said to be missing and has no place.
func TestLocateTellsLandmarks(t *testing.T) {
	c, m, move := askew(t, 46)
	points := map[string][3]float64{}
	for n, k := range c.Teeth {
		p := move(k.CuspTips[0])
		points[n.String()] = [3]float64{p.X, p.Y, p.Z}
	}
	data, err := json.Marshal(points)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "points.json")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	pit := c.Teeth[37].DistalFossa
	holed := &mesh.Mesh{Vertices: m.Vertices}
	for f, k := range m.Faces {
		p, q, r := c.Mesh.Corners(f)
		if q := cast.NearestOnTriangle(pit, p, q, r); q.Dist(pit) > 1.2 && min(p.Z, q.Z, r.Z) > -14 {
			holed.Faces = append(holed.Faces, k)
		}
	}
	_, a, errs := locate(t, saved(t, holed), "--arch", "lower", "--points", file, "--missing", "46")
	if len(a.Teeth) != 13 {
		t.Fatalf("%d teeth: %s %s", len(a.Teeth), errs, a.kinds())
	}
	for _, w := range a.Teeth {
		if w.Axis == nil || w.Facial == nil || w.Mesial == nil {
			t.Errorf("%d: axis, facial or mesial side is not told", w.Tooth)
			continue
		}
		k := c.Teeth[tooth.Number(w.Tooth)]
		up := move(k.Frame.Z).Sub(move(geom.Vec{})).Unit()
		if off := geom.InDeg(up.AngleTo(geom.V(w.Axis.Direction[0], w.Axis.Direction[1], w.Axis.Direction[2]))); off > 15 {
			t.Errorf("%d: its axis lies %.0f degrees off, confidence %.2f", w.Tooth, off, w.Axis.Confidence)
		}
		names := map[string]int{}
		for _, x := range w.Marks {
			names[x.Mark]++
			if x.Missing != (x.Point == nil) || x.Missing != (x.Confidence == 0) || x.Confidence < 0 || x.Confidence > 1 {
				t.Errorf("%d %s: missing %v, point %v, confidence %g", w.Tooth, x.Mark, x.Missing, x.Point, x.Confidence)
			}
			if w.Tooth == 37 && x.Mark == "distal-fossa" && !x.Missing {
				t.Errorf("the fossa that was cut out is told with confidence %.2f", x.Confidence)
			}
			if w.Tooth == 36 && x.Mark == "distal-fossa" && x.Missing {
				t.Error("a fossa that is there is said to be missing")
			}
		}
		want := []string{"mesial-contact", "distal-contact", "mesial-marginal-ridge", "distal-marginal-ridge", "mesial-fossa", "distal-fossa", "cusp-tip"}
		if k.Number.Kind().Incisor() {
			want = []string{"mesial-contact", "distal-contact", "mesial-angle", "incisal-edge", "distal-angle", "cingulum"}
		} else if k.Number.Kind() == tooth.Canine {
			want = []string{"mesial-contact", "distal-contact", "mesial-angle", "cusp-tip", "distal-angle", "cingulum"}
		}
		for _, name := range want {
			if names[name] == 0 {
				t.Errorf("%d: no word of its %s", w.Tooth, name)
			}
		}
	}
	if a.Plane == nil || a.Plane.Confidence <= 0 {
		t.Error("no word of the occlusal plane")
	}
	told := map[string]bool{}
	for _, l := range a.Arch {
		told[l.Mark] = true
		if l.Missing != (len(l.Points) == 0) {
			t.Errorf("%s: missing %v with %d points", l.Mark, l.Missing, len(l.Points))
		}
	}
	for _, name := range []string{"arch-curve", "ridge-crest", "floor", "vestibule", "retromolar-pad-right", "retromolar-pad-left"} {
		if !told[name] {
			t.Errorf("no word of the %s", name)
		}
	}
}
