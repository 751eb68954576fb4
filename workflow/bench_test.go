package workflow_test

import (
	"context"
	"testing"
)

// BenchmarkPropose is classification, proposals with their measures and all checks, on a
// cast whose survey is at hand: a made one and, where it is there, a real one.
func BenchmarkPropose(b *testing.B) {
	b.Run("made", func(b *testing.B) {
		s := open(b, "../cmd/halfpear/cli/demo/lower-extension.yaml", nil)
		for b.Loop() {
			if _, err := s.Propose(context.Background(), 3, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("plaster", func(b *testing.B) {
		s := plaster(b)
		for b.Loop() {
			if _, err := s.Propose(context.Background(), 3, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}
