package cast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"halfpear/cast"
	"halfpear/geom"
	"halfpear/geom/mesh"
	"halfpear/tooth"
)

// parted is scanned in two pieces: a slit as wide as a tooth's half was not seen.
func (p patient) parted(x float64) patient {
	return p.only(func(v geom.Vec) bool { return math.Abs(v.X-x) > 1.5 }).named("in two pieces")
}

// trimmed has its base cut off so far under the teeth.
func (p patient) trimmed(by float64) patient {
	low := math.Inf(1)
	for f, n := range p.labels {
		if n != 0 {
			low = math.Min(low, p.mesh.Vertices[p.mesh.Faces[f][0]].Z)
		}
	}
	return p.only(func(v geom.Vec) bool { return v.Z > low-by }).named(fmt.Sprintf("trimmed %g", by))
}

// inward looks into the model.
func (p patient) inward() patient {
	p.mesh = turned(p.mesh)
	return p.named("inward")
}

// sparse keeps about a share of the triangles.
func (p patient) sparse(share float64) patient {
	want := share * float64(len(p.mesh.Faces))
	lo, hi := 0.1, 4.0
	for range 12 {
		if mid := (lo + hi) / 2; float64(len(p.coarse(mid).mesh.Faces)) > want {
			lo = mid
		} else {
			hi = mid
		}
	}
	q := p.coarse(hi)
	q.name = p.name
	return q.named(fmt.Sprintf("sparse %g", share))
}

// patterns are sets of missing teeth such as mouths show: runs of any length, more often
// behind than in front, a few to an arch.
func (p patient) patterns(count int, r *rand.Rand) [][]tooth.Number {
	stand := p.standing()
	var out [][]tooth.Number
	for len(out) < count {
		gone := map[tooth.Number]bool{}
		for range 1 + r.IntN(3) {
			at, long := r.IntN(len(stand)), 1+r.IntN(4)
			for i := at; i < min(at+long, len(stand)); i++ {
				gone[stand[i]] = true
			}
		}
		if len(stand)-len(gone) < 6 {
			continue
		}
		var list []tooth.Number
		for _, n := range stand {
			if gone[n] {
				list = append(list, n)
			}
		}
		out = append(out, list)
	}
	return out
}

// TestJudgeHardScans says, by kind of hardship, how many teeth of the scans get the right
// number without points, and how many are seen where none stand.
func TestJudgeHardScans(t *testing.T) {
	pick := os.Getenv("HALFPEAR_JUDGE")
	if pick != "hard" && pick != "all" {
		t.Skip("set HALFPEAR_JUDGE to hard or all to judge spoilt scans")
	}
	only := os.Getenv("HALFPEAR_ONLY")
	type group struct {
		name string
		of   func(p patient, r *rand.Rand) []patient
	}
	one := func(q patient) []patient { return []patient{q} }
	groups := []group{
		{"as it came", func(p patient, r *rand.Rand) []patient { return one(p) }},
		{"sparse", func(p patient, r *rand.Rand) []patient { return one(p.sparse(0.2)) }},
		{"noise", func(p patient, r *rand.Rand) []patient { return one(p.rough(r, 0.05)) }},
		{"holes", func(p patient, r *rand.Rand) []patient { return one(p.holed(r, 25)) }},
		{"trimmed", func(p patient, r *rand.Rand) []patient { return []patient{p.trimmed(3), p.strip(4)} }},
		{"inward", func(p patient, r *rand.Rand) []patient { return one(p.inward()) }},
		{"two pieces", func(p patient, r *rand.Rand) []patient { return []patient{p.parted(2), p.parted(-16)} }},
		{"gaps", func(p patient, r *rand.Rand) []patient {
			var out []patient
			for _, gone := range p.patterns(12, r) {
				out = append(out, p.pulled(gone...))
			}
			return out
		}},
		{"gaps, trimmed", func(p patient, r *rand.Rand) []patient {
			var out []patient
			for _, gone := range p.patterns(6, r) {
				out = append(out, p.pulled(gone...).strip(6))
			}
			return out
		}},
	}
	seed := uint64(11)
	if os.Getenv("HALFPEAR_SEED") != "" {
		_, _ = fmt.Sscan(os.Getenv("HALFPEAR_SEED"), &seed)
	}
	for _, g := range groups {
		if !strings.Contains(g.name, only) {
			continue
		}
		var stand, right, wrong, lowRight, lowWrong [2]int
		for i, base := range []patient{scanned(t, "plaster-cast/lower_cast.ply", tooth.Lower), scanned(t, "maxilla-intraoral/maxilla_full.ply", tooth.Upper)} {
			r := rand.New(rand.NewPCG(seed, uint64(i)))
			for _, p := range g.of(base, r) {
				q := p.lying(r)
				on := cast.NewSurface(q.mesh)
				for k, missing := range [][]tooth.Number{nil, p.missing()} {
					stand[k] += len(p.standing())
					l, err := cast.Locate(q.mesh, q.arch, missing, 0)
					if err != nil {
						t.Logf("%-60s chart %d: %v", p.name, k, err)
						continue
					}
					good, bad := 0, ""
					for _, f := range l.Teeth {
						if _, face := on.Nearest(f.Point); q.labels[face] == f.Tooth {
							good++
							if f.Confidence < 0.6 {
								lowRight[k]++
							}
						} else {
							wrong[k]++
							if f.Confidence < 0.6 {
								lowWrong[k]++
							}
							bad += fmt.Sprintf(" %v:%v(%.2f)", f.Tooth, q.labels[face], f.Confidence)
						}
					}
					right[k] += good
					lost := ""
					for _, n := range p.standing() {
						if !slices.ContainsFunc(l.Teeth, func(f cast.Found) bool { return f.Tooth == n }) {
							lost += " " + n.String()
						}
					}
					if good < len(p.standing()) || bad != "" || l.Mirrored {
						t.Logf("%-60s chart %d: %2d/%d wrong%s lost%s mirrored %v lean %.0f", p.name, k, good, len(p.standing()), bad, lost, l.Mirrored, q.lean(p, l.Turn)[0])
					}
				}
			}
		}
		t.Logf("== %-14s without chart %d of %d right (%d in doubt), %d wrong (%d in doubt); with it %d of %d (%d in doubt), %d wrong (%d in doubt)", g.name,
			right[0], stand[0], lowRight[0], wrong[0], lowWrong[0], right[1], stand[1], lowRight[1], wrong[1], lowWrong[1])
	}
}

// A scan that was mirrored on export is told from its chart, where the chart is not the
// same on both sides.
func TestJudgeMirrored(t *testing.T) {
	pick := os.Getenv("HALFPEAR_JUDGE")
	if pick != "hard" && pick != "all" {
		t.Skip("set HALFPEAR_JUDGE to hard or all to judge spoilt scans")
	}
	var told, asked, false1, plain int
	for i, base := range []patient{scanned(t, "plaster-cast/lower_cast.ply", tooth.Lower), scanned(t, "maxilla-intraoral/maxilla_full.ply", tooth.Upper)} {
		r := rand.New(rand.NewPCG(5, uint64(i)))
		for _, gone := range base.patterns(6, r) {
			p := base.pulled(gone...)
			alike := 0
			for _, n := range tooth.All(p.arch) {
				if n.Kind() != tooth.ThirdMolar && slices.Contains(p.missing(), n) != slices.Contains(p.missing(), n.Opposite()) {
					alike++
				}
			}
			if alike == 0 {
				continue
			}
			m := &mesh.Mesh{Faces: p.mesh.Faces}
			for _, v := range p.mesh.Vertices {
				m.Vertices = append(m.Vertices, geom.V(-v.X, v.Y, v.Z))
			}
			asked++
			if l, err := cast.Locate(m, p.arch, p.missing(), 0); err == nil && l.Mirrored {
				told++
			} else {
				t.Logf("%s: not told (%v)", p.name, err)
			}
			plain++
			if l, err := cast.Locate(p.mesh, p.arch, p.missing(), 0); err != nil || l.Mirrored {
				false1++
				t.Logf("%s: called mirrored as it came (%v)", p.name, err)
			}
		}
	}
	t.Logf("== mirrored: %d of %d told; %d of %d called mirrored that are not", told, asked, false1, plain)
}
