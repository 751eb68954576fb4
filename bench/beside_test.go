package bench

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfpear/encoding/stl"
	"halfpear/geom/mesh"
	"halfpear/survey"
)

// peers are programs that do parts of the same work, in a folder with a makefile: each is
// built where what it needs is installed, and passed over elsewhere.
const (
	peerSource = "../../shared/bench"
	peerFolder = "../build/peers"
)

// task is one thing that ours and others are timed at. Others are named by the tasks their
// program tells of, whose times add up.
type task struct {
	name   string
	ours   func(file string) error
	others map[string][]string
}

// The same inputs, by turns with the peers, two threads each, the shortest of all runs: on
// a busy machine the ratios say more than the seconds.
func BenchmarkBesidePeers(b *testing.B) {
	if _, err := os.Stat(peerSource); err != nil {
		b.Skip("the peers' programs are not here")
	}
	peers := buildPeers(b)
	for b.Loop() {
		for _, input := range []string{"arch_200k.stl", "arch_1m.stl"} {
			fmt.Println(beside(b, peers, filepath.Join(peerFolder, "data", input)))
		}
	}
}

// lastAsked is the task after which a peer tells of nothing more that is asked.
const lastAsked = "p.survey"

// runPeer gives the seconds of each task a peer tells of, a line of JSON for each, and of
// the whole run.
func runPeer(b *testing.B, command []string, file string) map[string]float64 {
	args := append([]string(nil), command[1:]...)
	args[0] = file
	c := exec.Command(command[0], args...)
	lines, err := c.StdoutPipe()
	start := time.Now()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		b.Fatalf("%s: %v", command[0], err)
	}
	out := map[string]float64{}
	for scan := bufio.NewScanner(lines); scan.Scan(); {
		var told struct {
			Task string
			Min  float64 `json:"min_s"`
		}
		if json.Unmarshal(scan.Bytes(), &told) == nil && told.Task != "" {
			if old, ok := out[told.Task]; !ok || told.Min < old {
				out[told.Task] = told.Min
			}
		}
		if told.Task == lastAsked {
			_ = c.Process.Kill()
		}
	}
	if err := c.Wait(); err != nil && out[lastAsked] == 0 {
		b.Fatalf("%s: %v", command[0], err)
	}
	out["whole"] = time.Since(start).Seconds()
	return out
}

// buildPeers gives the command of each peer that could be built.
func buildPeers(b *testing.B) map[string][]string {
	need := func(program string) bool { _, err := exec.LookPath(program); return err == nil }
	if !need("make") || !need("g++") {
		b.Skip("the inputs are made by a C++ program; make and g++ are not installed")
	}
	if _, err := os.Stat(peerFolder); err != nil {
		if err := os.CopyFS(peerFolder, os.DirFS(peerSource)); err != nil {
			b.Fatal(err)
		}
	}
	run := func(dir, name string, args ...string) bool {
		c := exec.Command(name, args...)
		c.Dir = dir
		out, err := c.CombinedOutput()
		if err != nil {
			b.Logf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
		}
		return err == nil
	}
	if !run(peerFolder, "make", "data/arch_200k.stl", "data/arch_1m.stl") {
		b.Fatal("the inputs could not be made")
	}
	program := func(name string) string {
		p, err := filepath.Abs(filepath.Join(peerFolder, "build", name))
		if err != nil {
			b.Fatal(err)
		}
		return p
	}
	out := map[string][]string{}
	if run(filepath.Join(peerFolder, "goproto"), "go", "build", "-o", program("goproto"), ".") {
		out["prototype"] = []string{program("goproto"), "FILE", "0.1", "2"}
	}
	if _, err := os.Stat("/usr/include/embree3/rtcore.h"); err == nil && run(peerFolder, "make", "build/embree_bench") {
		out["Embree"] = []string{program("embree_bench"), "FILE", "2"}
	}
	if need("admesh") {
		out["admesh"] = []string{"admesh", "FILE"}
	}
	return out
}

func beside(b *testing.B, peers map[string][]string, file string) string {
	data, err := os.ReadFile(file)
	if err != nil {
		b.Fatal(err)
	}
	m, err := stl.Read(data)
	if err != nil {
		b.Fatal(err)
	}
	table, err := survey.NewTable(m, survey.Options{Threads: 2})
	if err != nil {
		b.Fatal(err)
	}
	tasks := []task{
		{"read, weld, match edges", func(file string) error {
			data, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			m, err := stl.Read(data)
			if err == nil && !mesh.EdgesOf(m).Closed() {
				err = fmt.Errorf("%s is not closed", file)
			}
			return err
		}, map[string][]string{"prototype": {"a.read", "a.weld", "p.adjacency"}, "admesh": {"whole"}}},
		{"whole survey; Embree: is each vertex seen", func(string) error {
			_, err := table.Survey(context.Background(), direction)
			return err
		}, map[string][]string{"prototype": {"p.survey"}, "Embree": {"b.visibility"}}},
	}
	const turns, runs = 4, 5
	ours := map[string]float64{}
	theirs := map[string]map[string]float64{}
	keep := func(m map[string]float64, name string, s float64) {
		if old, ok := m[name]; !ok || s < old {
			m[name] = s
		}
	}
	for range turns {
		for _, t := range tasks {
			for range runs {
				start := time.Now()
				if err := t.ours(file); err != nil {
					b.Fatal(err)
				}
				keep(ours, t.name, time.Since(start).Seconds())
			}
		}
		for name, command := range peers {
			if theirs[name] == nil {
				theirs[name] = map[string]float64{}
			}
			for part, seconds := range runPeer(b, command, file) {
				keep(theirs[name], part, seconds)
			}
		}
	}
	var text strings.Builder
	fmt.Fprintf(&text, "%s, %d triangles, seconds\n", filepath.Base(file), len(m.Faces))
	for _, t := range tasks {
		fmt.Fprintf(&text, "  %-42s %8.4f\n", t.name, ours[t.name])
		for _, name := range []string{"prototype", "admesh", "Embree"} {
			sum := 0.0
			for _, part := range t.others[name] {
				s, ok := theirs[name][part]
				if !ok {
					s = math.NaN()
				}
				sum += s
			}
			if sum > 0 {
				fmt.Fprintf(&text, "  %-42s %8.4f   ours / theirs %.2f\n", "    "+name, sum, ours[t.name]/sum)
			}
		}
	}
	return text.String()
}
