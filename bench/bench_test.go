package bench

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"testing"

	"halfpear/cast"
	"halfpear/encoding/stl"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
)

var sizes = []int{200_000, 1_000_000}

var direction = geom.V(0.06, 0.1, 1)

// The whole survey of one direction: every vertex's depth, and the survey lines.
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

// Reading binary STL: parsing, welding, matching of edges.
func BenchmarkRead(b *testing.B) {
	for _, n := range sizes {
		file := archFile(b, n)
		b.Run(fmt.Sprintf("%dk", n/1000), func(b *testing.B) {
			for b.Loop() {
				m, err := stl.Read(file)
				if err != nil {
					b.Fatal(err)
				}
				if e := mesh.EdgesOf(m); !e.Closed() {
					b.Fatal("not closed")
				}
			}
		})
	}
}

func archFile(b *testing.B, n int) []byte {
	var file bytes.Buffer
	if err := stl.Write(&file, Arch(n)); err != nil {
		b.Fatal(err)
	}
	return file.Bytes()
}

// Sweeping 2000 paths for a cast with two free ends, from the survey along the vertical on.
func BenchmarkSweep(b *testing.B) {
	c, err := typodont.Make(typodont.Full(tooth.Lower, 36, 37, 46, 47))
	if err != nil {
		b.Fatal(err)
	}
	var plan survey.Plan
	plan.Tissues = true
	for _, n := range []tooth.Number{35, 45} {
		plan.Guides = append(plan.Guides, survey.Guide{Tooth: n, Surface: tooth.Distal})
		plan.Grips = append(plan.Grips, survey.Grip{Tooth: n, Sites: []tooth.Site{tooth.MidFacial}, MM: 0.25})
	}
	const paths = 2000
	b.ResetTimer()
	for b.Loop() {
		sweep(b, c, plan, paths)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/paths, "ns/path")
}

func sweep(b *testing.B, c *cast.Cast, plan survey.Plan, paths int) {
	s, err := survey.Of(context.Background(), c.Mesh, geom.V(0, 0, 1), survey.Options{NoLines: true})
	if err != nil {
		b.Fatal(err)
	}
	crowns := map[tooth.Number]survey.Crown{}
	for _, g := range plan.Grips {
		if crowns[g.Tooth], err = survey.CrownOf(c, s, g.Tooth); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := survey.Sweep(context.Background(), c, crowns, plan, 20, paths, nil); err != nil {
		b.Fatal(err)
	}
}

// The most memory the program holds while it reads, looks over, mends and surveys a scan of
// two million triangles, file included. Known on Linux only.
func BenchmarkMemory(b *testing.B) {
	file := archFile(b, 2_000_000)
	for b.Loop() {
		debug.FreeOSMemory()
		if os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) != nil {
			b.Skip("the peak of memory cannot be told here")
		}
		m, err := stl.Read(file)
		if err != nil {
			b.Fatal(err)
		}
		mesh.Inspect(m)
		m, _ = mesh.Mend(m)
		if _, err := survey.Of(context.Background(), m, direction, survey.Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(peak(b), "peak-MB")
}

func peak(b *testing.B) float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		b.Skip(err)
	}
	for _, line := range strings.Split(string(status), "\n") {
		var kB float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kB); n == 1 {
			return kB / 1024
		}
	}
	b.Skip("no peak told")
	return 0
}
