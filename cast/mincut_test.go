package cast

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The cost of the cut found is the least of all possible cuts, tried one by one.
func TestCutIsLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for round := range 300 {
		n := 2 + r.IntN(10)
		g := newCutGraph(n, n*n)
		lean := make([]float64, n)
		for i := range lean {
			if r.IntN(3) > 0 {
				lean[i] = r.NormFloat64()
			}
		}
		copy(g.lean, lean)
		type link struct {
			a, b int
			w    float64
		}
		var links []link
		for a := range n {
			for b := range a {
				if r.IntN(2) == 0 {
					w := r.Float64()
					links = append(links, link{a, b, w})
					g.link(int32(a), int32(b), w)
				}
			}
		}
		cost := func(in func(i int) bool) float64 {
			sum := 0.0
			for i, v := range lean {
				if v > 0 && !in(i) || v < 0 && in(i) {
					sum += math.Abs(v)
				}
			}
			for _, l := range links {
				if in(l.a) != in(l.b) {
					sum += l.w
				}
			}
			return sum
		}
		got := g.cut()
		least := math.Inf(1)
		for set := range 1 << n {
			least = math.Min(least, cost(func(i int) bool { return set>>i&1 == 1 }))
		}
		if c := cost(func(i int) bool { return got[i] }); math.Abs(c-least) > 1e-9 {
			t.Fatalf("round %d: the cut costs %.6f, the least possible %.6f", round, c, least)
		}
	}
}
