package cast_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// quartered has every triangle cut in four.
func quartered(m *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{Vertices: append([]geom.Vec{}, m.Vertices...)}
	mid := map[[2]int32]int32{}
	middle := func(a, b int32) int32 {
		k := [2]int32{min(a, b), max(a, b)}
		i, ok := mid[k]
		if !ok {
			i = int32(len(out.Vertices))
			mid[k] = i
			out.Vertices = append(out.Vertices, m.Vertices[a].Lerp(m.Vertices[b], 0.5))
		}
		return i
	}
	for _, f := range m.Faces {
		a, b, c := middle(f[0], f[1]), middle(f[1], f[2]), middle(f[2], f[0])
		out.Faces = append(out.Faces, [3]int32{f[0], a, c}, [3]int32{a, f[1], b}, [3]int32{c, b, f[2]}, [3]int32{a, b, c})
	}
	return out
}

// BenchmarkLook finds the teeth of a lower arch of about 87 000, 350 000 and 1.4 million
// triangles, with one point a tooth and without any.
func BenchmarkLook(b *testing.B) {
	p := modelled(b, tooth.Lower, 1)
	r := rand.New(rand.NewPCG(1, 1))
	points := p.points(r)
	m := p.mesh
	for range 3 {
		for _, given := range []map[tooth.Number]geom.Vec{points, nil} {
			b.Run(fmt.Sprintf("%d triangles, %d points", len(m.Faces), len(given)), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := (cast.Sighting{Scan: m, Arch: tooth.Lower, Points: given, Charted: true}).Look(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
		m = quartered(m)
	}
}
