package bench

import (
	"bytes"
	"context"
	"fmt"
	"runtime"
	"testing"

	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
)

var sizes = []int{200_000, 1_000_000}

var direction = geom.V(0.06, 0.1, 1)

func BenchmarkSurvey(b *testing.B) {
	for _, n := range sizes {
		m := Arch(n)
		e := mesh.EdgesOf(m)
		for _, threads := range []int{1, 2} {
			b.Run(fmt.Sprintf("%dk/threads=%d", n/1000, threads), func(b *testing.B) {
				t, err := survey.NewTable(m, survey.Options{Edges: e, Threads: threads})
				if err != nil {
					b.Fatal(err)
				}
				for b.Loop() {
					if _, err := t.Survey(context.Background(), direction); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkRead(b *testing.B) {
	for _, n := range sizes {
		var file bytes.Buffer
		if err := stl.Write(&file, Arch(n)); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("%dk", n/1000), func(b *testing.B) {
			for b.Loop() {
				m, err := stl.Read(file.Bytes())
				if err != nil {
					b.Fatal(err)
				}
				if e := mesh.EdgesOf(m); !e.Closed() {
					b.Fatal("not closed")
				}
			}
			runtime.GC()
		})
	}
}
