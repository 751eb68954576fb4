package cast_test

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"halfpear/cast"
	"halfpear/encoding/scan"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/internal/plaster"
	"halfpear/tooth"
	"halfpear/typodont"
)

// scans lies beside the project and is not part of it.
const scans = "../../shared/scans"

func load(t *testing.T, name string) scan.File {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(scans, name))
	if os.IsNotExist(err) {
		t.Skip("the scans are not here")
	}
	if err != nil {
		t.Fatal(err)
	}
	f, err := scan.Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Points set by hand on the middle of each crown, to a millimetre.
var (
	plasterFront = map[tooth.Number]geom.Vec{
		31: geom.V(-1, 25, 16), 32: geom.V(-6, 23, 16), 33: geom.V(-11, 19, 17), 34: geom.V(-16, 13, 16),
		41: geom.V(4, 26, 16), 42: geom.V(9, 24, 16), 43: geom.V(14, 19, 17), 44: geom.V(18, 13, 14),
	}
	plasterBack = map[tooth.Number]geom.Vec{
		35: geom.V(-18, 6, 15), 36: geom.V(-21, -2, 15), 37: geom.V(-24, -12, 16), 38: geom.V(-23, -21, 18),
		45: geom.V(21, 7, 14), 46: geom.V(23, -2, 13), 47: geom.V(26, -11, 14),
	}
	maxilla = map[tooth.Number]geom.Vec{
		11: geom.V(-5, 25, -6), 12: geom.V(-14, 22, -4), 13: geom.V(-19, 16, -1), 14: geom.V(-23, 8, -2), 15: geom.V(-25, 0, -1),
		16: geom.V(-28, -10, -2), 17: geom.V(-30, -22, -3), 21: geom.V(5, 26, -6), 22: geom.V(12, 22, -5), 23: geom.V(18, 17, -1),
		24: geom.V(23, 9, -1), 25: geom.V(25, 1, -1), 26: geom.V(26, -9, -1), 27: geom.V(31, -21, -3),
	}
)

func joined(maps ...map[tooth.Number]geom.Vec) map[tooth.Number]geom.Vec {
	out := map[tooth.Number]geom.Vec{}
	for _, m := range maps {
		for k, v := range m {
			out[k] = v
		}
	}
	return out
}

// overlap is the area that found and given label share, over the area that either has.
func overlap(m *mesh.Mesh, found []tooth.Number, given []uint8, n tooth.Number) float64 {
	both, either := 0.0, 0.0
	for f := range m.Faces {
		a, b, c := m.Corners(f)
		area := b.Sub(a).Cross(c.Sub(a)).Norm()
		x, y := found[f] == n, given[f] == uint8(n)
		if x && y {
			both += area
		}
		if x || y {
			either += area
		}
	}
	return both / math.Max(either, 1e-9)
}

// The labels that came with the scans were set by software and by hand, with borders good
// to about a millimetre on the plaster cast; they judge what was found and are never its
// input.
func TestMountScans(t *testing.T) {
	back := []tooth.Number{35, 36, 37, 38, 45, 46, 47, 48}
	for _, k := range []struct {
		file        string
		arch        tooth.Arch
		points      map[tooth.Number]geom.Vec
		missing     []tooth.Number
		least, mean float64
	}{
		{"plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply", tooth.Lower, plasterFront, back, 0.65, 0.77},
		{"plaster-cast/lower_cast.ply", tooth.Lower, joined(plasterFront, plasterBack), nil, 0.58, 0.81},
		{"maxilla-intraoral/maxilla_full.ply", tooth.Upper, maxilla, nil, 0.93, 0.95},
	} {
		t.Run(filepath.Base(k.file), func(t *testing.T) {
			f := load(t, k.file)
			c, r, err := cast.Mount(f.Mesh, k.arch, k.points, k.missing...)
			if err != nil {
				t.Fatal(err)
			}
			if r.Unit != "mm" {
				t.Errorf("taken to be in %s, it is in mm", r.Unit)
			}
			// Both files are said to have z occlusal.
			up := c.Scan.Inverse().ApplyDir(geom.V(0, 0, 1))
			if lean := geom.InDeg(up.AngleTo(geom.V(0, 0, 1))); lean > 8 {
				t.Errorf("the occlusal direction leans %.1f degrees from the file's", lean)
			}
			for _, n := range r.Notes {
				t.Logf("%v %s", n.Tooth, n.Text)
			}
			sum := 0.0
			on := cast.NewSurface(c.Mesh)
			for _, n := range tooth.All(k.arch) {
				if k.points[n] == (geom.Vec{}) {
					continue
				}
				o := overlap(f.Mesh, c.Labels, f.FaceLabels, n)
				sum += o / float64(len(k.points))
				found := c.Teeth[n]
				if found == nil {
					t.Errorf("%v was not found", n)
					continue
				}
				t.Logf("%v overlap %.2f confidence %.2f", n, o, found.Confidence)
				if o < k.least {
					t.Errorf("%v: found and given crown share %.2f of their area, expected %.2f", n, o, k.least)
				}
				for i, p := range found.Margin {
					if q, _ := on.Nearest(p); !found.Unseen[i] && q.Dist(p) > 1e-6 {
						t.Errorf("%v: a margin point lies %.3f mm off the surface", n, q.Dist(p))
						break
					}
				}
			}
			t.Logf("mean overlap %.3f, floor %d points, fold %d, ridges %d", sum, len(c.Marks.Floor.Points), len(c.Marks.Vestibule.Points), len(c.Marks.Ridges))
			if sum < k.mean {
				t.Errorf("crowns share %.2f of their area on average, expected %.2f", sum, k.mean)
			}
			draw(t, filepath.Base(k.file), c)
		})
	}
}

// On the plaster cast the lingual sulcus lies 5 to 9 mm below the margin at canines and
// incisors and 6 to 9 mm at premolars, as its description says; a millimetre is allowed
// for a margin found on a coarse mesh.
func TestMountFloor(t *testing.T) {
	f := load(t, "plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply")
	c, _, err := cast.Mount(f.Mesh, tooth.Lower, plasterFront, 35, 36, 37, 38, 45, 46, 47, 48)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Marks.Ridges) != 2 {
		t.Fatalf("found %d ridges, expected the two behind the first premolars", len(c.Marks.Ridges))
	}
	for _, k := range []struct {
		n      tooth.Number
		lo, hi float64
	}{{34, 5, 10}, {33, 4, 10}, {43, 4, 10}, {44, 5, 10}} {
		if d := lingualDepth(c, k.n); d < k.lo || d > k.hi {
			t.Errorf("%v: floor %.1f mm below the lingual margin, expected %g to %g", k.n, d, k.lo, k.hi)
		} else {
			t.Logf("%v: floor %.1f mm below the lingual margin", k.n, d)
		}
	}
}

// lingualDepth is the height from the lingual margin's middle down to the floor line.
func lingualDepth(c *cast.Cast, n tooth.Number) float64 {
	tt := c.Teeth[n]
	best, at := math.Inf(1), geom.Vec{}
	for _, p := range tt.Margin {
		if d := tt.Frame.Local(p).Y; d < best {
			best, at = d, p
		}
	}
	near, z := math.Inf(1), 0.0
	for _, p := range c.Marks.Floor.Points {
		if d := p.XY().Dist(at.XY()); d < near {
			near, z = d, p.Z
		}
	}
	return at.Z - z
}

// A scan in another unit, lying any way it likes, gives the same cast.
func TestMountTurned(t *testing.T) {
	f := load(t, "plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply")
	plain, _, err := cast.Mount(f.Mesh, tooth.Lower, plasterFront)
	if err != nil {
		t.Fatal(err)
	}
	axis := geom.V(1, 2, -0.5).Unit()
	move := func(p geom.Vec) geom.Vec { return geom.RotateAbout(p, axis, 2).Add(geom.V(30, -200, 11)).Scale(0.001) }
	points := map[tooth.Number]geom.Vec{}
	for n, p := range plasterFront {
		points[n] = move(p)
	}
	c, r, err := cast.Mount(f.Mesh.Map(move), tooth.Lower, points)
	if err != nil {
		t.Fatal(err)
	}
	if r.Unit != "m" || r.UnitFactor != 1000 {
		t.Errorf("unit %q factor %g, expected metres", r.Unit, r.UnitFactor)
	}
	worst := 0.0
	for i := range c.Mesh.Vertices {
		worst = math.Max(worst, c.Mesh.Vertices[i].Dist(plain.Mesh.Vertices[i]))
	}
	if worst > 1e-6 {
		t.Errorf("the two casts differ by up to %.3g mm", worst)
	}
	for i, v := range f.Mesh.Vertices {
		if d := c.Scan.Apply(move(v)).Dist(c.Mesh.Vertices[i]); d > 1e-9 {
			t.Fatalf("the cast's own record of how it was turned misses vertex %d by %.3g mm", i, d)
		}
	}
}

// The two canines are often all that is left. How the cast was made says which way it lies.
func TestMountOnTwoTeeth(t *testing.T) {
	for _, k := range []struct {
		arch  tooth.Arch
		teeth []tooth.Number
	}{{tooth.Lower, []tooth.Number{33, 43}}, {tooth.Upper, []tooth.Number{13, 23}}, {tooth.Lower, []tooth.Number{34, 45}}, {tooth.Upper, []tooth.Number{16, 17}}, {tooth.Lower, []tooth.Number{43, 44}}} {
		var missing []tooth.Number
		for _, n := range tooth.All(k.arch) {
			if !slices.Contains(k.teeth, n) {
				missing = append(missing, n)
			}
		}
		made, err := typodont.Make(typodont.Full(k.arch, missing...))
		if err != nil {
			t.Fatal(err)
		}
		axis := geom.V(1, -2, 0.7).Unit()
		move := func(p geom.Vec) geom.Vec { return geom.RotateAbout(p, axis, 2.2).Add(geom.V(-40, 7, 300)) }
		points := map[tooth.Number]geom.Vec{}
		for _, n := range k.teeth {
			points[n] = move(made.Teeth[n].CuspTips[0])
		}
		c, r, err := cast.Mount(made.Mesh.Map(move), k.arch, points, missing...)
		if err != nil {
			t.Errorf("%v: %v", k.teeth, err)
			continue
		}
		// The cast's own directions, seen from the cast that was made.
		origin := c.Scan.Apply(move(geom.Vec{}))
		up, front := c.Scan.Apply(move(geom.V(0, 0, 1))).Sub(origin), c.Scan.Apply(move(geom.V(0, 1, 0))).Sub(origin)
		t.Logf("%v: leans %.1f degrees, turned %.1f, %d crowns", k.teeth, geom.InDeg(up.AngleTo(geom.V(0, 0, 1))), geom.InDeg(front.AngleTo(geom.V(0, 1, 0))), len(c.Teeth))
		if lean := geom.InDeg(up.AngleTo(geom.V(0, 0, 1))); lean > 4 {
			t.Errorf("%v: the cast leans %.1f degrees", k.teeth, lean)
		}
		if turn := geom.InDeg(front.AngleTo(geom.V(0, 1, 0))); turn > 4 {
			t.Errorf("%v: the cast is turned by %.1f degrees", k.teeth, turn)
		}
		if len(c.Teeth) != 2 {
			t.Errorf("%v: %d crowns found: %v", k.teeth, len(c.Teeth), r.Notes)
		}
	}
}

func TestMountRefuses(t *testing.T) {
	f := load(t, "plaster-cast/lower_cast_kennedy1_no_38-37-36-35_45-46-47.ply")
	swapped := map[tooth.Number]geom.Vec{}
	for n, p := range plasterFront {
		swapped[n.Opposite()] = p
	}
	far := joined(plasterFront)
	far[34] = geom.V(-16, 13, 30)
	other := joined(plasterFront)
	other[14] = geom.V(0, 0, 0)
	for _, k := range []struct {
		name, want string
		m          cast.Mounting
	}{
		{"left and right exchanged", "left and right", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: swapped}},
		{"a point in the air", "34", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: far}},
		{"a tooth of the other arch", "14", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: other}},
		{"no triangles", "no triangles", cast.Mounting{Scan: &mesh.Mesh{}, Arch: tooth.Lower, Points: plasterFront}},
		{"one point", "two", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: map[tooth.Number]geom.Vec{44: far[44]}}},
		{"the wrong unit", "unit", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: plasterFront, UnitFactor: 25.4}},
		{"missing and yet there", "missing", cast.Mounting{Scan: f.Mesh, Arch: tooth.Lower, Points: plasterFront, Missing: []tooth.Number{34}}},
	} {
		_, _, err := k.m.Cast()
		if err == nil || !strings.Contains(err.Error(), k.want) {
			t.Errorf("%s: got %v, expected an error that speaks of %q", k.name, err, k.want)
		}
	}
}

// draw leaves a picture where HALFPEAR_PICTURES says.
func draw(t *testing.T, name string, c *cast.Cast) {
	t.Helper()
	dir := os.Getenv("HALFPEAR_PICTURES")
	if dir == "" {
		return
	}
	v := plaster.Views(c.Arch)[0]
	img := plaster.Draw(c, v, 1400, 1200)
	plaster.Marks(img, v, c)
	w, err := os.Create(filepath.Join(dir, name+".png"))
	if err != nil {
		t.Fatal(err)
	}
	if err := plaster.Write(w, img); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

// However many processors share the work, the cast is the same.
func TestThreadsDoNotChangeACast(t *testing.T) {
	p := modelled(t, tooth.Lower, 1)
	points := p.points(rand.New(rand.NewPCG(1, 1)))
	mounted := func(threads int) *cast.Cast {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(threads))
		c, _, err := cast.Mount(p.mesh, tooth.Lower, points)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if one, four := mounted(1), mounted(4); !reflect.DeepEqual(one, four) {
		t.Error("a cast mounted on one thread differs from the same mounted on four")
	}
}
