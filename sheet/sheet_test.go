package sheet

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"halfpear/geom"
)

func total(lines [][]Point) float64 {
	sum := 0.0
	for _, l := range lines {
		for i := 1; i < len(l); i++ {
			sum += l[i].Dist(l[i-1])
		}
	}
	return sum
}

// Strokes and gaps of a pattern have their lengths on a straight line: 10 periods of
// 1.8 mm + 1.0 mm give 18 mm of ink, in closed form.
func TestDashesHaveTheirLengths(t *testing.T) {
	got := Dash{1.8, 1.0}.Cut([]Point{{X: 0}, {X: 28}}, false)
	if len(got) != 10 || math.Abs(total(got)-18) > 1e-9 {
		t.Errorf("%d strokes of %.3f mm together, expected 10 of 18", len(got), total(got))
	}
	// Round a circle the pattern closes without a seam.
	ring := Dash{2, 1}.Cut(Circle(Pt(0, 0), 10), true)
	first, last := ring[0][0], ring[len(ring)-1]
	if gap := last[len(last)-1].Dist(first); math.Abs(gap-1) > 0.1 {
		t.Errorf("the last gap round the circle is %.2f mm, expected about 1", gap)
	}
	if dots := Dotted.Cut([]Point{{X: 0}, {X: 8}}, false); len(dots) != 10 && len(dots) != 11 {
		t.Errorf("%d dots on 8 mm, expected one each 0.8 mm", len(dots))
	}
}

// Hatching of an area is as long as the area over the distance between the lines, in the
// limit; a hole is left out.
func TestHatchFillsTheArea(t *testing.T) {
	outer, hole := Circle(Pt(50, 50), 30), Circle(Pt(55, 48), 12)
	area := math.Pi * (30*30 - 12*12)
	for _, deg := range []float64{0, 30, 45, 135} {
		lines := Hatch(geom.Deg(deg), 0.2, outer, hole)
		if got := total(lines) * 0.2; math.Abs(got/area-1) > 0.01 {
			t.Errorf("%g°: hatched %.1f mm², expected %.1f", deg, got, area)
		}
		for _, l := range lines {
			if m := l[0].Lerp(l[1], 0.5); m.Dist(Pt(55, 48)) < 11.9 || m.Dist(Pt(50, 50)) > 30.1 {
				t.Fatalf("%g°: a line runs outside the area at %v", deg, m)
			}
		}
	}
	if n, want := len(Stipple(1, outer)), math.Pi*900/(math.Sqrt(3)/2); math.Abs(float64(n)/want-1) > 0.03 {
		t.Errorf("%d dots, expected about %.0f", n, want)
	}
}

// A ribbon's area is its length times its mean width, in closed form for a straight one.
func TestRibbonIsAsWideAsAsked(t *testing.T) {
	line := []Point{{X: 0}, {X: 5}, {X: 10}}
	o := Ribbon(line, []float64{2, 1.5, 1}, false)
	if a := math.Abs(geom.Area2(o)); math.Abs(a-15) > 1e-9 {
		t.Errorf("area %.4f mm², expected 15", a)
	}
	if a := math.Abs(geom.Area2(Ribbon(line, []float64{2, 1.5, 1}, true))); math.Abs(a-15-math.Pi/8) > 0.03 {
		t.Errorf("with a round end %.4f mm², expected 15 and half a disc", a)
	}
}

func TestSimplifyKeepsWithinTolerance(t *testing.T) {
	var wave []Point
	for x := 0.0; x < 40; x += 0.05 {
		wave = append(wave, Pt(x, 3*math.Sin(x)))
	}
	few := Simplify(wave, 0.02)
	if len(few) > len(wave)/4 {
		t.Errorf("%d of %d points were kept", len(few), len(wave))
	}
	for _, p := range wave {
		best := math.Inf(1)
		for i := 1; i < len(few); i++ {
			a, ab := few[i-1], few[i].Sub(few[i-1])
			u := math.Max(0, math.Min(1, p.Sub(a).Dot(ab)/ab.Dot(ab)))
			best = math.Min(best, p.Dist(a.Add(ab.Scale(u))))
		}
		if best > 0.0201 {
			t.Fatalf("%v lies %.3f mm off the simplified line", p, best)
		}
	}
}

// Wrapped lines fit the width and lose no word.
func TestWrapFitsAndLosesNothing(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 300 {
		var words []string
		for range 1 + r.Intn(30) {
			words = append(words, strings.Repeat(string(rune('a'+r.Intn(26))), 1+r.Intn(14)))
		}
		width := 8 + 60*r.Float64()
		lines := Plain.Wrap(strings.Join(words, " "), 2.5, width)
		for _, l := range lines {
			if Plain.Width(l, 2.5) > width+1e-9 {
				t.Fatalf("%q is wider than %.1f mm", l, width)
			}
		}
		if got := strings.ReplaceAll(strings.Join(lines, ""), " ", ""); got != strings.Join(words, "") {
			t.Fatalf("%v became %v", words, lines)
		}
	}
}

// Random labels and dimension lines on a crowded board: none over another, none outside.
func TestBoardKeepsThingsApart(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for round := range 40 {
		p := &Page{Size: A4}
		area := Box(20, 20, 120, 120)
		b := NewBoard(p, area)
		pen := Pen{Layer: "d", Width: 0.15, Ink: Black}
		placed := 0
		for range 60 {
			at := Pt(20+120*r.Float64(), 20+120*r.Float64())
			if r.Intn(3) == 0 {
				to := at.Add(Pt(20*r.Float64()-10, 20*r.Float64()-10))
				pen.Name = "measure"
				if b.Dimension(Dimension{Pen: pen, Type: Type{Layer: "t", Size: 2.2}, A: at, B: to, Text: "12.3"}) {
					placed++
				}
				continue
			}
			pen.Name = ""
			if _, ok := b.Place(Label{Type: Type{Layer: "t", Size: 2.4}, Text: "label", At: at, Near: 1, Leader: pen, Ring: r.Intn(2) == 0}); ok {
				placed++
			}
		}
		if placed < 20 {
			t.Fatalf("round %d: only %d of 60 found room", round, placed)
		}
		texts := p.Texts()
		for i, a := range texts {
			if !area.Holds(a.Box()) {
				t.Fatalf("round %d: a label stands outside", round)
			}
			for _, c := range texts[:i] {
				if a.Box().Meets(c.Box()) {
					t.Fatalf("round %d: %q at %v stands over %q at %v", round, a.Str, a.At, c.Str, c.At)
				}
			}
		}
	}
}

// A long table turns the page, repeats its head and stays within the text's area.
func TestFlowTurnsThePage(t *testing.T) {
	area := Box(20, 20, 100, 60)
	f := &Flow{Layer: "t", Size: 2.5, New: func() (Page, Rect) { return Page{Size: A4}, area }}
	f.Heading(1, "Heading")
	tb := Table{Columns: []Column{{Head: "no.", Width: 10}, {Head: "what"}}}
	for range 60 {
		tb.Rows = append(tb.Rows, Row{Cells: []string{"1", strings.Repeat("word ", 12)}})
	}
	f.Table(tb)
	f.Check(true, "ticked")
	f.Line("name", "value")
	if len(f.Pages()) < 5 {
		t.Fatalf("%d pages", len(f.Pages()))
	}
	words := 0
	for i, p := range f.Pages() {
		heads := 0
		for _, x := range p.Texts() {
			if !area.Grow(0.5).Holds(x.Box()) {
				t.Errorf("page %d: %q leaves the text's area", i+1, x.Str)
			}
			if x.Str == "what" {
				heads++
			}
			words += strings.Count(x.Str, "word")
		}
		if heads != 1 && i < len(f.Pages())-1 {
			t.Errorf("page %d has %d heads", i+1, heads)
		}
	}
	if words != 60*12 {
		t.Errorf("%d words came out, expected %d", words, 60*12)
	}
}

// A remark longer than a page goes on over the next, begun where there is room; a long value
// behind a label takes more lines.
func TestWhatNoPageHoldsIsParted(t *testing.T) {
	area := Box(20, 20, 100, 60)
	f := &Flow{Layer: "t", Size: 2.5, New: func() (Page, Rect) { return Page{Size: A4}, area }}
	f.Table(Table{Columns: []Column{{Head: "no.", Width: 10}, {Head: "what"}}, Rows: []Row{
		{Cells: []string{"1", "short"}},
		{Cells: []string{"2", strings.Repeat("word ", 2000)}},
		{Cells: []string{"3", "last"}},
	}})
	f.Line("name", strings.Repeat("word ", 60))
	words := 0
	for i, p := range f.Pages() {
		low := 0.0
		for _, x := range p.Texts() {
			if !area.Grow(0.5).Holds(x.Box()) {
				t.Errorf("page %d: %q leaves the text's area", i+1, x.Str)
			}
			low = max(low, x.Box().Y1)
			words += strings.Count(x.Str, "word")
		}
		if i < len(f.Pages())-1 && low < area.Y1-8 {
			t.Errorf("page %d ends at %.0f of %.0f mm", i+1, low, area.Y1)
		}
	}
	if words != 2060 {
		t.Errorf("%d words came out, expected 2060", words)
	}
}

// A character that the typeface lacks is seen to be missing.
func TestMissingCharactersShow(t *testing.T) {
	if got := (Type{Size: 3}).Text(Pt(0, 0), "a\u4e00\tb").Str; got != "a□ b" {
		t.Errorf("%q", got)
	}
}

// What a title block holds is never cut off: cautions that were set aside and digests of the
// inputs must all stand on every sheet.
func TestATitleBlockHoldsItsValuesWhole(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("CHK-101 (44), ", 60))
	p := Page{Size: A4}
	area := Frame{Title: "Title", Fields: []Field{{Label: "a", Value: "short"}, {Label: "b", Value: "a program / a long name of a rulebook"}, {Label: "c", Value: long, Span: 6}}, Notice: "notice"}.Draw(&p)
	all, whole := "", Rect{Margin - 0.5, Margin - 0.5, A4.W - Margin + 0.5, A4.H - Margin + 0.5}
	for i, x := range p.Texts() {
		if !whole.Holds(x.Box()) {
			t.Errorf("%q leaves the page", x.Str)
		}
		if x.Str != "Title" && x.Box().Y0 < area.Y1 {
			t.Errorf("%q stands in the content", x.Str)
		}
		for _, y := range p.Texts()[:i] {
			if a, b := x.Box(), y.Box(); a.X0 < b.X1 && b.X0 < a.X1 && a.Y0 < b.Y1-0.6 && b.Y0 < a.Y1-0.6 {
				t.Errorf("%q stands over %q", x.Str, y.Str)
			}
		}
		all += x.Str + " "
	}
	if n := strings.Count(all, "CHK-101 (44)"); n != 60 || !strings.Contains(all, "rulebook") {
		t.Errorf("%d of 60 cautions in %q", n, all)
	}
}
