package scan

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"halfpear/encoding/ply"
	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
)

// cube is a closed cube of side 10: 8 vertices, 12 faces, volume 1000, area 600.
func cube() *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := 0; i < 8; i++ {
		m.Vertices = append(m.Vertices, geom.V(float64(i&1)*10, float64(i>>1&1)*10, float64(i>>2&1)*10))
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Faces = append(m.Faces, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

func textSTL(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	b.WriteString("solid cube\n")
	for i := range m.Faces {
		p, q, r := m.Corners(i)
		fmt.Fprintf(&b, "facet normal 0 0 0\n outer loop\n  vertex %g %g %g\n  vertex %g %g %g\n  vertex %g %g %g\n endloop\nendfacet\n", p.X, p.Y, p.Z, q.X, q.Y, q.Z, r.X, r.Y, r.Z)
	}
	b.WriteString("endsolid cube\n")
	return b.Bytes()
}

func textPLY(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "ply\nformat ascii 1.0\ncomment made by hand\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n", len(m.Vertices), len(m.Faces))
	for _, v := range m.Vertices {
		fmt.Fprintf(&b, "%g %g %g\n", v.X, v.Y, v.Z)
	}
	for _, f := range m.Faces {
		fmt.Fprintf(&b, "3 %d %d %d\n", f[0], f[1], f[2])
	}
	return b.Bytes()
}

func bigEndianPLY(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "ply\nformat binary_big_endian 1.0\nelement vertex %d\nproperty double x\nproperty double y\nproperty double z\nproperty uchar red\nelement face %d\nproperty uchar label\nproperty list uchar uint vertex_index\nend_header\n", len(m.Vertices), len(m.Faces))
	for _, v := range m.Vertices {
		_ = binary.Write(&b, binary.BigEndian, []float64{v.X, v.Y, v.Z})
		b.WriteByte(7)
	}
	for _, f := range m.Faces {
		b.WriteByte(36)
		b.WriteByte(3)
		_ = binary.Write(&b, binary.BigEndian, f[:])
	}
	return b.Bytes()
}

func textOBJ(m *mesh.Mesh) []byte {
	var b bytes.Buffer
	b.WriteString("# a cube\no cube\n")
	for _, v := range m.Vertices {
		fmt.Fprintf(&b, "v %g %g %g\n", v.X, v.Y, v.Z)
	}
	for i, f := range m.Faces {
		if i%2 == 0 {
			fmt.Fprintf(&b, "f %d//1 %d//1 %d//1\n", f[0]+1, f[1]+1, f[2]+1)
		} else { // counted back from the end
			fmt.Fprintf(&b, "f %d %d %d\n", f[0]-8, f[1]-8, f[2]-8)
		}
	}
	return b.Bytes()
}

func written(t testing.TB, fill func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := fill(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestEveryFormatGivesTheSameCube(t *testing.T) {
	m := cube()
	for name, data := range map[string][]byte{
		"binary STL": written(t, func(b *bytes.Buffer) error { return stl.Write(b, m) }),
		"ASCII STL":  textSTL(m),
		"binary PLY": written(t, func(b *bytes.Buffer) error {
			return ply.Write(b, &ply.File{Mesh: m, FaceLabels: make([]uint8, 12)}, false)
		}),
		"wide PLY":       written(t, func(b *bytes.Buffer) error { return ply.Write(b, &ply.File{Mesh: m}, true) }),
		"big-endian PLY": bigEndianPLY(m),
		"ASCII PLY":      textPLY(m),
		"OBJ":            textOBJ(m),
	} {
		f, err := Read("cube", data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		r := mesh.Inspect(f.Mesh)
		if r.Vertices != 8 || r.Faces != 12 || !r.Closed || r.InsideOut || math.Abs(r.Volume-1000) > 1e-6 || math.Abs(r.Area-600) > 1e-6 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

func TestBadFilesAreNamed(t *testing.T) {
	m := cube()
	good := written(t, func(b *bytes.Buffer) error { return stl.Write(b, m) })
	lying := bytes.Clone(good)
	binary.LittleEndian.PutUint32(lying[80:], 4_000_000_000)
	nan := bytes.Clone(good)
	binary.LittleEndian.PutUint32(nan[84+12:], math.Float32bits(float32(math.NaN())))
	goodPLY := textPLY(m)
	for name, c := range map[string]struct {
		file string
		data []byte
		want string
	}{
		"empty":            {"a.stl", nil, "the file is empty"},
		"cut short":        {"a.stl", good[:200], "announces 12 triangles, the file holds 2"},
		"lying count":      {"a.stl", lying, "announces 4000000000 triangles"},
		"not a number":     {"a.stl", nan, "triangle 1, corner 1"},
		"text cut short":   {"a.stl", bytes.TrimSuffix(textSTL(m), []byte("endsolid cube\n")), "before endsolid"},
		"text with words":  {"a.stl", bytes.Replace(textSTL(m), []byte("vertex 0 0 0"), []byte("vertex 0 zero 0"), 1), "line 4: expected a number"},
		"ply cut short":    {"a.ply", goodPLY[:len(goodPLY)-20], "cut short"},
		"ply lying count":  {"a.ply", bytes.Replace(goodPLY, []byte("vertex 8"), []byte("vertex 999999999"), 1), "more than the file has bytes"},
		"ply bad corner":   {"a.ply", bytes.Replace(goodPLY, []byte("3 0 2 3"), []byte("3 0 2 9"), 1), "corner 9 is not there"},
		"ply no header":    {"a.ply", []byte("ply\nformat ascii 1.0\n"), "end_header is missing"},
		"ply cloud":        {"a.ply", []byte("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n0 0 0\n"), "no surface"},
		"obj bad corner":   {"a.obj", []byte("v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n"), "line 4: vertex 4 is not there"},
		"obj without face": {"a.obj", []byte("v 0 0 0\nv 1 0 0\n"), "no face"},
		"a picture":        {"a.stl", []byte("\x89PNG\r\n\x1a\n" + strings.Repeat("x", 200)), "STL"},
		"a letter":         {"letter.txt", []byte("Dear laboratory, please make as usual."), "found text beginning with"},
	} {
		_, err := Read(c.file, c.data)
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), c.file) {
			t.Errorf("%s: got %v, expected it to name %s and say %q", name, err, c.file, c.want)
		}
	}
}

func TestMendAndInspect(t *testing.T) {
	m := cube()
	m.Faces[3] = [3]int32{m.Faces[3][0], m.Faces[3][2], m.Faces[3][1]}
	m.Faces = append(m.Faces, m.Faces[0], [3]int32{1, 1, 2})
	m.Vertices = append(m.Vertices, geom.V(99, 0, 0))
	before := mesh.Inspect(m)
	if before.Closed || before.Degenerate != 1 || before.Doubled != 1 {
		t.Errorf("before: %+v", before)
	}
	fixed, rep := mesh.Mend(m)
	if rep.Dropped != 2 || rep.Turned != 1 || rep.Unused != 1 || rep.Text().Empty() {
		t.Errorf("mended: %+v", rep)
	}
	if r := mesh.Inspect(fixed); !r.Closed || math.Abs(r.Volume-1000) > 1e-9 {
		t.Errorf("after: %+v", r)
	}
	if same, rep := mesh.Mend(fixed); same != fixed || rep.Text().String() != "" {
		t.Errorf("a sound mesh was mended: %v", rep)
	}
	open := cube()
	open.Faces = open.Faces[2:]
	if r := mesh.Inspect(open); len(r.Holes) != 1 || r.Holes[0].Edges != 4 || math.Abs(r.Holes[0].Length-40) > 1e-9 {
		t.Errorf("a cube without its floor: %+v", r.Holes)
	}
}

// The scans say of themselves what they are; their README gives triangles, holes and units.
func TestRealScans(t *testing.T) {
	for name, want := range map[string]struct {
		faces, open, shared, pieces int
		unit                        string
		labels                      bool
	}{
		"maxilla-intraoral/maxilla_full.ply":          {99999, 1327, 27, 3, "mm", true},
		"plaster-cast/lower_cast.ply":                 {26572, 0, 0, 1, "mm", true},
		"plaster-cast/lower_cast.stl":                 {26572, 0, 0, 1, "mm", false},
		"plaster-cast/lowerteeth_original_metres.obj": {26482, -1, -1, -1, "m", false},
		"separate-crowns/subject0_lower_crowns.ply":   {83262, 0, 0, 14, "mm", true},
	} {
		data, err := os.ReadFile("../../../shared/scans/" + name)
		if err != nil {
			t.Skip("no scans beside the project")
		}
		f, err := Read(name, data)
		if err != nil {
			t.Error(err)
			continue
		}
		r := mesh.Inspect(f.Mesh)
		if r.Faces != want.faces || r.Unit != want.unit || (len(f.FaceLabels) == r.Faces) != want.labels ||
			want.open >= 0 && (r.OpenEdges != want.open || r.SharedEdges != want.shared || len(r.Pieces) != want.pieces) {
			t.Errorf("%s: %d faces, unit %s, %d labels, %d open, %d shared, %d pieces; expected %+v", name, r.Faces, r.Unit, len(f.FaceLabels), r.OpenEdges, r.SharedEdges, len(r.Pieces), want)
		}
	}
}

func FuzzRead(f *testing.F) {
	m := cube()
	for _, seed := range [][]byte{textSTL(m), textPLY(m), bigEndianPLY(m), textOBJ(m),
		written(f, func(b *bytes.Buffer) error { return stl.Write(b, m) }),
		written(f, func(b *bytes.Buffer) error { return ply.Write(b, &ply.File{Mesh: m}, false) })} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Read("fuzz.stl", data)
		if err != nil {
			return
		}
		fixed, _ := mesh.Mend(s.Mesh)
		mesh.Inspect(fixed)
	})
}
