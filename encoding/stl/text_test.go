package stl

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// The short way of reading a number gives what strconv gives, or gives way to it.
func TestNumber(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	words := []string{"0", "-0", "+1", "1.", ".5", "-.5e-3", "1e5", "1E+05", "16777217", "16777217.0000001", "0.1", "3.4e38", "3.5e38", "1e-45", "1e39", "9007199254740993",
		"1_0", "0x1p3", "inf", "nan", "-", ".", "e5", "1e", "1e+", "1.5.2", "1,5", "12345678901234567890", "1e0000000000000000000005"}
	for range 200000 {
		v := float64(math.Float32frombits(r.Uint32()))
		if r.IntN(2) == 0 {
			v = 100 * r.NormFloat64()
		}
		words = append(words, strconv.FormatFloat(v, "efg"[r.IntN(3)], r.IntN(12), 64))
	}
	// The middles between two numbers of 32 bits, and what lies beside them.
	for range 20000 {
		f := math.Float32frombits(r.Uint32()&0x007fffff | uint32(120+r.IntN(16))<<23)
		mid := (float64(f) + float64(math.Nextafter32(f, 1000))) / 2
		for _, v := range []float64{mid, math.Nextafter(mid, 0), math.Nextafter(mid, 1000)} {
			words = append(words, strconv.FormatFloat(v, 'g', -1, 64))
		}
	}
	short := 0
	for _, w := range words {
		got, rest, ok := number([]byte(" " + w + " 7"))
		if !ok {
			continue
		}
		short++
		want, err := strconv.ParseFloat(w, 32)
		if err != nil || math.Float32bits(float32(want)) != math.Float32bits(got) || string(rest) != " 7" {
			t.Fatalf("%q read as %v, rest %q; strconv says %v, %v", w, got, rest, want, err)
		}
	}
	if short < len(words)/3 {
		t.Errorf("only %d of %d numbers were read the short way", short, len(words))
	}
}

// text is a mesh of so many triangles as text.
func text(n int) []byte {
	var b bytes.Buffer
	b.WriteString("solid a\n")
	r := rand.New(rand.NewPCG(3, 4))
	for range n {
		b.WriteString("  facet normal 0.577350 -0.577350 0.577350\n    outer loop\n")
		for range 3 {
			fmt.Fprintf(&b, "      vertex %.6e %.6e %.6e\n", 30*r.NormFloat64(), 30*r.NormFloat64(), 10*r.NormFloat64())
		}
		b.WriteString("    endloop\n  endfacet\n")
	}
	b.WriteString("endsolid a\n")
	return b.Bytes()
}

func BenchmarkReadText(b *testing.B) {
	data := text(100000)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := Read(data); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTextAlone(b *testing.B) {
	data := bytes.Repeat([]byte("      vertex 1.234567e+01 -2.345678e+00 3.456789e+00\n"), 100000)
	data = append([]byte("solid a\nfacet normal 0 0 0\n"), data...) // no endsolid: nothing is welded
	for b.Loop() {
		if _, err := Read(data); err == nil {
			b.Fatal("read a file that ends before its end")
		}
	}
}
