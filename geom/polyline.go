package geom

import (
	"math"
	"sort"
)

// Length is the length of the open polyline.
func Length(line []Vec) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += line[i].Dist(line[i-1])
	}
	return sum
}

// Closed is line with its first point repeated at the end, as walking functions want it.
func Closed(line []Vec) []Vec {
	if len(line) == 0 {
		return nil
	}
	return append(append(make([]Vec, 0, len(line)+1), line...), line[0])
}

// Walk finds places along an open polyline by distance from its start.
type Walk struct {
	line []Vec
	at   []float64
}

// NewWalk prepares the line for walking. The line must have at least one point.
func NewWalk(line []Vec) Walk {
	at := make([]float64, len(line))
	for i := 1; i < len(line); i++ {
		at[i] = at[i-1] + line[i].Dist(line[i-1])
	}
	return Walk{line, at}
}

// Length is the whole way.
func (w Walk) Length() float64 { return w.at[len(w.at)-1] }

// At is the point s millimetres from the start; s is held within the line.
func (w Walk) At(s float64) Vec {
	i, t := w.locate(s)
	if i+1 >= len(w.line) {
		return w.line[i]
	}
	return w.line[i].Lerp(w.line[i+1], t)
}

// Tangent is the unit direction of travel at s.
func (w Walk) Tangent(s float64) Vec {
	i, _ := w.locate(s)
	for j := i; j+1 < len(w.line); j++ {
		if v := w.line[j+1].Sub(w.line[j]); v.Norm() > 0 {
			return v.Unit()
		}
	}
	for j := i; j > 0; j-- {
		if v := w.line[j].Sub(w.line[j-1]); v.Norm() > 0 {
			return v.Unit()
		}
	}
	return Vec{}
}

func (w Walk) locate(s float64) (int, float64) {
	n := len(w.line)
	if n < 2 || s <= 0 {
		return 0, 0
	}
	if s >= w.at[n-1] {
		return n - 2, 1
	}
	i := sort.SearchFloat64s(w.at, s)
	if w.at[i] > s {
		i--
	}
	for i+1 < n-1 && w.at[i+1] == w.at[i] {
		i++
	}
	d := w.at[i+1] - w.at[i]
	if d == 0 {
		return i, 0
	}
	return i, (s - w.at[i]) / d
}

// Nearest is the distance along the line of the point of it nearest to p, and that
// nearest distance.
func (w Walk) Nearest(p Vec) (s, dist float64) {
	dist = math.Inf(1)
	if len(w.line) == 1 {
		return 0, p.Dist(w.line[0])
	}
	for i := 1; i < len(w.line); i++ {
		a, b := w.line[i-1], w.line[i]
		ab := b.Sub(a)
		t := 0.0
		if l2 := ab.Dot(ab); l2 > 0 {
			t = math.Max(0, math.Min(1, p.Sub(a).Dot(ab)/l2))
		}
		if d := p.Dist(a.Lerp(b, t)); d < dist {
			dist, s = d, w.at[i-1]+t*(w.at[i]-w.at[i-1])
		}
	}
	return s, dist
}

// Resample gives n points at equal distances along the open line, its ends among them.
func Resample(line []Vec, n int) []Vec {
	if len(line) == 0 || n < 1 {
		return nil
	}
	w := NewWalk(line)
	out := make([]Vec, n)
	for i := range out {
		s := 0.0
		if n > 1 {
			s = w.Length() * float64(i) / float64(n-1)
		}
		out[i] = w.At(s)
	}
	return out
}

// ResampleClosed gives n points at equal distances round the closed line; the first
// point is kept and not repeated.
func ResampleClosed(line []Vec, n int) []Vec {
	if len(line) == 0 || n < 1 {
		return nil
	}
	return Resample(Closed(line), n+1)[:n]
}

// Area2 is the signed area of a closed plane polygon, positive when it runs
// counter-clockwise.
func Area2(p []Vec2) float64 {
	sum := 0.0
	for i, a := range p {
		sum += a.Cross(p[(i+1)%len(p)])
	}
	return sum / 2
}

// Contains2 tells whether q lies inside the closed plane polygon (even-odd).
func Contains2(p []Vec2, q Vec2) bool {
	in := false
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}
