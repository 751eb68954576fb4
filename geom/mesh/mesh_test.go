package mesh

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"halfpear/geom"
)

// soup is n loose triangles on a grid of few places, so that corners, edges and whole
// triangles coincide in every way.
func soup(n int, places int32) []float32 {
	r := rand.New(rand.NewPCG(1, 2))
	out := make([]float32, 9*n)
	for i := range out {
		out[i] = float32(r.Int32N(places)) / 7
		if out[i] == 0 && r.IntN(2) == 0 {
			out[i] = float32(math.Copysign(0, -1))
		}
	}
	return out
}

func onThreads(n int, do func()) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(n))
	do()
}

// A welded mesh is what its definition says, found with a map of the places, on any number
// of threads.
func TestWeldIsItsDefinition(t *testing.T) {
	for _, places := range []int32{2, 11, 60} {
		corners := soup(3*few, places)
		want := &Mesh{}
		seen := map[geom.Vec]int32{}
		for i := 0; i < len(corners); i += 9 {
			var f [3]int32
			for k := range f {
				c := corners[i+3*k:]
				p := geom.V(float64(c[0]+0), float64(c[1]+0), float64(c[2]+0))
				v, ok := seen[p]
				if !ok {
					v = int32(len(want.Vertices))
					seen[p] = v
					want.Vertices = append(want.Vertices, p)
				}
				f[k] = v
			}
			want.Faces = append(want.Faces, f)
		}
		for _, n := range []int{1, 2, 5} {
			onThreads(n, func() {
				got, err := Weld(len(corners)/9, func(from, to int, out []float32) error {
					copy(out, corners[9*from:9*to])
					return nil
				})
				if err != nil || !slices.Equal(got.Faces, want.Faces) || !slices.Equal(got.Vertices, want.Vertices) {
					t.Errorf("%d places, %d threads: not the mesh it should be (%v)", places, n, err)
				}
			})
		}
		loose := &Mesh{}
		for i := 0; i < len(corners); i += 3 {
			loose.Vertices = append(loose.Vertices, geom.V(float64(corners[i]), float64(corners[i+1]), float64(corners[i+2])))
			if i%9 == 0 {
				loose.Faces = append(loose.Faces, [3]int32{int32(i / 3), int32(i/3 + 1), int32(i/3 + 2)})
			}
		}
		if got := loose.WeldVertices(); !reflect.DeepEqual(got, want) {
			t.Errorf("%d places: welding the vertices gives another mesh", places)
		}
	}
}

// The neighbours are those that a map of the edges gives, on any number of threads.
func TestEdgesAreTheirDefinition(t *testing.T) {
	for _, places := range []int32{3, 9, 40} {
		corners := soup(2*few, places)
		m, _ := Weld(len(corners)/9, func(from, to int, out []float32) error {
			copy(out, corners[9*from:9*to])
			return nil
		})
		at := map[[2]int32][]int{}
		for i, f := range m.Faces {
			for k := range f {
				if a, b := f[k], f[(k+1)%3]; a != b {
					key := [2]int32{min(a, b), max(a, b)}
					at[key] = append(at[key], 3*i+k)
				}
			}
		}
		want := &Edges{Across: make([][3]int32, len(m.Faces))}
		for i := range want.Across {
			want.Across[i] = [3]int32{Open, Open, Open}
		}
		for _, l := range at {
			switch len(l) {
			case 1:
				want.Opens++
			case 2:
				a, b := l[0], l[1]
				want.Across[a/3][a%3], want.Across[b/3][b%3] = int32(b/3), int32(a/3)
				if m.Faces[a/3][a%3] == m.Faces[b/3][b%3] {
					want.Turned++
				}
			default:
				want.Shareds++
				for _, a := range l {
					want.Across[a/3][a%3] = Shared
				}
			}
		}
		for _, n := range []int{1, 2, 5} {
			onThreads(n, func() {
				if got := EdgesOf(m); !reflect.DeepEqual(got, want) {
					t.Errorf("%d places, %d threads: other neighbours", places, n)
				}
			})
		}
		// Pieces by spreading from face to face.
		of := make([]int32, len(m.Faces))
		var sizes []int
		for i := range of {
			if of[i] != 0 {
				continue
			}
			sizes = append(sizes, 0)
			of[i] = int32(len(sizes))
			for queue := []int32{int32(i)}; len(queue) > 0; queue = queue[1:] {
				sizes[len(sizes)-1]++
				for _, g := range want.Across[queue[0]] {
					if g >= 0 && of[g] == 0 {
						of[g] = int32(len(sizes))
						queue = append(queue, g)
					}
				}
			}
		}
		got, gotSizes := want.Pieces()
		for i := range got {
			if got[i] != of[i]-1 {
				t.Fatalf("%d places: face %d lies in piece %d, expected %d", places, i, got[i], of[i]-1)
			}
		}
		if !slices.Equal(gotSizes, sizes) {
			t.Errorf("%d places: other sizes", places)
		}
		// Useless faces, one after another.
		seen := map[[3]int32]bool{}
		for i, u := range useless(m, want) {
			f := m.Faces[i]
			a, b, c := m.Corners(i)
			expect := useful
			if b.Sub(a).Cross(c.Sub(a)).Norm() == 0 {
				expect = noArea
			} else if key := turnedToLeast(f); seen[key] {
				expect = doubled
			} else {
				seen[key] = true
			}
			if u != expect {
				t.Fatalf("%d places: face %d %v is %d, expected %d", places, i, f, u, expect)
			}
		}
	}
}
