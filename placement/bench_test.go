package placement_test

import (
	"testing"

	"halfpear/placement"
)

func BenchmarkLay(b *testing.B) {
	for _, name := range []string{"lower-1", "upper-1"} {
		b.Run(name, func(b *testing.B) {
			l := lay(b, name)
			b.ResetTimer()
			for i := 0; i < b.N; i++ {
				if _, err := placement.Lay(l.cast, l.s, l.v, l.design, placement.Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRelay(b *testing.B) {
	l := lay(b, "lower-1")
	p, _ := l.design.Part("retainer-44")
	b.ResetTimer()
	for i := 0; i < b.N; i++ {
		p.Dimensions = map[string]float64{"clearance": 3 + 0.1*float64(i%5)}
		if _, err := placement.Relay(l.placed, p); err != nil {
			b.Fatal(err)
		}
	}
}
