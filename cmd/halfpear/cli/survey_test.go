package cli

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"halfpear/encoding/ply"
	"halfpear/encoding/scan"
	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/internal/atomicfile"

	"io"
)

// frustum is a cone standing on its tip side: radius r below, R above, height h, R > r.
func frustum(r, R, h float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{Vertices: []geom.Vec{{}, {Z: h}}}
	for i := 0; i < n; i++ {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.Vertices = append(m.Vertices, geom.V(r*c, r*s, 0), geom.V(R*c, R*s, h))
	}
	for i := 0; i < n; i++ {
		a, b := int32(2+2*i), int32(2+2*((i+1)%n))
		m.Faces = append(m.Faces, [3]int32{0, b, a}, [3]int32{1, a + 1, b + 1}, [3]int32{a, b, b + 1}, [3]int32{a, b + 1, a + 1})
	}
	return m
}

// The lower rim of an upright inverted cone lies R - r inside the shadow of the upper one,
// in closed form; the survey line is the upper rim.
func TestSurveyOfAnInvertedCone(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "cone.stl")
	if err := atomicfile.Write(file, func(w io.Writer) error { return stl.Write(w, frustum(3, 4, 6, 720)) }); err != nil {
		t.Fatal(err)
	}
	depth, lines, block := filepath.Join(dir, "d.ply"), filepath.Join(dir, "l.json"), filepath.Join(dir, "b.stl")
	status, out, errs := run("survey", file, "--direction", "0,0,1", "--depth-map", depth, "--lines", lines, "--blockout", block, "--json")
	if status != 0 {
		t.Fatalf("status %d: %s", status, errs)
	}
	var a surveyAnswer
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(depth)
	if err != nil {
		t.Fatal(err)
	}
	f, err := ply.Read(data)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Undercut) != len(f.Mesh.Vertices) {
		t.Fatalf("%d depths for %d vertices", len(f.Undercut), len(f.Mesh.Vertices))
	}
	for i, v := range f.Mesh.Vertices {
		want := 0.0
		switch rho := math.Hypot(v.X, v.Y); {
		case v.Z == 0 && rho > 1:
			want = 1
		case v.Z == 0:
			want = 4
		}
		if math.Abs(float64(f.Undercut[i])-want) > 0.005 {
			t.Fatalf("depth %v at %v, in closed form %v", f.Undercut[i], v, want)
		}
	}
	var l surveyLines
	if data, err = os.ReadFile(lines); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &l); err != nil {
		t.Fatal(err)
	}
	if len(l.Lines) != 1 || !l.Lines[0].Closed {
		t.Fatalf("%d survey lines, expected the upper rim alone, closed", len(l.Lines))
	}
	for _, p := range l.Lines[0].Points {
		if math.Abs(math.Hypot(p[0], p[1])-4) > 0.02 || math.Abs(p[2]-6) > 0.02 {
			t.Fatalf("survey line at %v, expected radius 4 at height 6", p)
		}
	}
	if data, err = os.ReadFile(block); err != nil {
		t.Fatal(err)
	}
	b, err := scan.Read(block, data)
	if err != nil {
		t.Fatal(err)
	}
	if r := mesh.Inspect(b.Mesh); !r.Closed {
		t.Errorf("the block-out is not closed: %v", r.Notes)
	}
}

func TestSurveyRefusesWhatItCannotDo(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "cone.stl")
	if err := atomicfile.Write(file, func(w io.Writer) error { return stl.Write(w, frustum(3, 4, 6, 12)) }); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "d.ply")
	for name, c := range map[string]struct {
		status int
		args   []string
	}{
		"no length":        {2, []string{file, "--direction", "0,0,0"}},
		"two numbers":      {2, []string{file, "--direction", "0,1"}},
		"decimal comma":    {2, []string{file, "--tilt", "3,5,1"}},
		"neither":          {2, []string{file}},
		"both":             {2, []string{file, "--direction", "0,0,1", "--tilt", "0,0"}},
		"no file":          {1, []string{filepath.Join(dir, "none.stl"), "--direction", "0,0,1"}},
		"a folder":         {1, []string{dir, "--direction", "0,0,1"}},
		"large taper":      {2, []string{file, "--direction", "0,0,1", "--blockout", filepath.Join(dir, "b.stl"), "--taper", "80"}},
		"taper of nothing": {2, []string{file, "--direction", "0,0,1", "--taper", "3"}},
		"below 0":          {2, []string{file, "--direction", "0,0,1", "--resolution", "-1"}},
		"no such folder":   {1, []string{file, "--direction", "0,0,1", "--lines", filepath.Join(dir, "no", "l.json")}},
		"not a direction":  {2, []string{file, "--direction", "0,0,up"}},
	} {
		status, printed, errs := run(append([]string{"survey", "--json", "--depth-map", out}, c.args...)...)
		if status != c.status || printed != "" || errs == "" {
			t.Errorf("%s: status %d, printed %q, said %q", name, status, printed, errs)
		}
	}
}

// A mesh in metres or micrometres is surveyed as it is, and that is said; one in millimetres
// is surveyed without a word.
func TestSurveySaysWhatIsNoMillimetre(t *testing.T) {
	for scale, said := range map[float64]bool{0.001: true, 1: false, 1000: true} {
		file := filepath.Join(t.TempDir(), "cone.stl")
		m := frustum(3*scale, 4*scale, 6*scale, 360)
		if err := atomicfile.Write(file, func(w io.Writer) error { return stl.Write(w, m) }); err != nil {
			t.Fatal(err)
		}
		status, out, errs := runWith(t, "", "survey", file, "--direction", "0,0,1", "--json")
		var a surveyAnswer
		if err := json.Unmarshal([]byte(out), &a); err != nil || status != 0 {
			t.Fatalf("status %d, %v: %s", status, err, errs)
		}
		if (len(a.Assumed) > 0) != said {
			t.Errorf("scaled by %g: assumed %q", scale, a.Assumed)
		}
	}
	if status, _, errs := runWith(t, "", "survey", "x.stl", "--direction", "0,0,1", "--relief"); status != 2 {
		t.Errorf("--relief of a mesh: status %d, %s", status, errs)
	}
}
