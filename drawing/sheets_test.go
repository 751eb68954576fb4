package drawing_test

import (
	"bytes"
	"context"
	"encoding/xml"
	"flag"
	"fmt"
	"math"
	"math/rand"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/drawing"
	"halfpear/encoding/svg"
	"halfpear/placement"
	"halfpear/proposal"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
	"halfpear/workflow"
)

var cases = flag.Int("cases", 5, "how many random cases' sheets are looked at for overlaps")

// gaps are the missing teeth of one case of every class, both arches; a random case adds
// and takes away teeth.
var gaps = []struct {
	arch    tooth.Arch
	missing []tooth.Number
}{
	{tooth.Lower, []tooth.Number{36, 37, 46, 47}},
	{tooth.Upper, []tooth.Number{15, 16, 25, 26}},
	{tooth.Lower, []tooth.Number{35, 36, 37}},
	{tooth.Upper, []tooth.Number{12, 11, 21, 22}},
	{tooth.Lower, []tooth.Number{32, 31, 41, 42}},
	{tooth.Upper, []tooth.Number{16, 17, 26, 27}},
	{tooth.Lower, []tooth.Number{36, 45, 46}},
	{tooth.Upper, []tooth.Number{15, 16, 17, 24}},
}

// laid is a design on a made cast.
type laid struct {
	study     *workflow.Study
	design    design.Design
	Placement *placement.Placement
}

// plan is a chart with its first proposal laid on a made cast; ok is false where the
// rules found no design for such a mouth.
func plan(t testing.TB, c chart.Chart, profile string, tilt [2]float64) (laid, bool) {
	t.Helper()
	key := fmt.Sprint(c.Pattern(false).Text(), profile, tilt)
	if p, ok := made[key]; ok {
		return p, true
	}
	book, err := rulebook.Open(profile)
	if err != nil {
		t.Fatal(err)
	}
	study, err := workflow.Open(context.Background(), workflow.Input{Book: book, Case: casebook.Case{ID: "T0-TEST", Title: "A made-up mouth", Chart: c,
		Survey: casebook.Survey{Tilted: tilt != [2]float64{}, AnteriorDeg: tilt[0], RightDeg: tilt[1]}}})
	if err != nil {
		t.Logf("%v", err)
		return laid{}, false
	}
	list, err := proposal.Propose(proposal.Input{Chart: c, Book: book, Undercuts: study.Undercuts(), Most: 1})
	if err != nil || len(list) == 0 {
		t.Logf("no proposal: %v", err)
		return laid{}, false
	}
	p := laid{study: study, design: list[0].Design}
	if p.Placement, err = study.Lay(p.design); err != nil {
		t.Fatal(err)
	}
	made[key] = p
	return p, true
}

// made keeps the plans that several tests look at.
var made = map[string]laid{}

func mouth(a tooth.Arch, missing ...tooth.Number) chart.Chart {
	c := chart.Chart{Arch: a, Teeth: map[tooth.Number]chart.Tooth{}}
	no := false
	for _, n := range tooth.All(a) {
		if n.Kind() == tooth.ThirdMolar {
			c.Teeth[n] = chart.Tooth{State: chart.Missing, Replace: &no}
		}
	}
	for _, n := range missing {
		c.Teeth[n] = chart.Tooth{State: chart.Missing}
	}
	c.Tissues.FloorDepthMM, c.Tissues.VestibuleDepthMM = map[tooth.Number]float64{}, map[tooth.Number]float64{}
	for _, n := range tooth.All(a) {
		c.Tissues.VestibuleDepthMM[n] = 9
		if a == tooth.Lower {
			c.Tissues.FloorDepthMM[n] = 9.5
		}
	}
	return c
}

func sheets(t testing.TB, p laid, in drawing.Input) []sheet.Page {
	t.Helper()
	in.Title, in.Case, in.Class, in.Program, in.Date = p.study.Case.Title, string(p.study.Case.ID), p.study.Class.String(), "test", "2026-11-25"
	in.Cast, in.Survey, in.Placement, in.Design = p.study.Cast, p.study.Along, p.Placement, p.design
	pages, err := drawing.DesignSheets(in)
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// judge looks for text over text, text off the page, and dimension lines that cross.
func judge(t *testing.T, what string, pages []sheet.Page) {
	t.Helper()
	for i := range pages {
		p := &pages[i]
		paper := sheet.Rect{X1: p.Size.W, Y1: p.Size.H}
		var texts []*sheet.Text
		for _, x := range p.Texts() {
			if x.Layer != sheet.StampLayer {
				texts = append(texts, x)
			}
		}
		boxes := make([]sheet.Rect, len(texts))
		for j, a := range texts {
			box := tight(a)
			boxes[j] = box
			if !paper.Grow(-4).Holds(box) {
				t.Errorf("%s, sheet %d: %q leaves the page", what, i+1, a.Str)
			}
			for k, b := range texts[:j] {
				if box.Meets(boxes[k]) {
					t.Errorf("%s, sheet %d: %q lies over %q at %.0f, %.0f", what, i+1, a.Str, b.Str, a.At.X, a.At.Y)
				}
			}
		}
		var dims []*sheet.Path
		for _, it := range p.Items {
			if q, ok := it.(*sheet.Path); ok && strings.HasPrefix(q.Name, "measure ") {
				dims = append(dims, q)
			}
		}
		for j, a := range dims {
			for _, b := range dims[:j] {
				if cross(a.Lines[0], b.Lines[0]) {
					t.Errorf("%s, sheet %d: the dimension lines of %s and %s cross", what, i+1, a.Name, b.Name)
				}
			}
		}
	}
}

// tight is the box of a text's ink.
func tight(x *sheet.Text) sheet.Rect {
	if r, ok := sheet.Bounds(x.Outlines()...); ok {
		return r
	}
	return sheet.Rect{X0: x.At.X, X1: x.At.X, Y0: x.At.Y, Y1: x.At.Y}
}

func cross(a, b []sheet.Point) bool {
	side := func(p, q, r sheet.Point) float64 { return q.Sub(p).Cross(r.Sub(p)) }
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			if side(a[i-1], a[i], b[j-1])*side(a[i-1], a[i], b[j]) < 0 && side(b[j-1], b[j], a[i-1])*side(b[j-1], b[j], a[i]) < 0 {
				return true
			}
		}
	}
	return false
}

// Random mouths of every class in both arches: labels keep clear of one another, stay on
// the page, and every part that is drawn carries its number.
func TestLabelsKeepClear(t *testing.T) {
	r := rand.New(rand.NewSource(6))
	drawn := 0
	for i := range *cases {
		g := gaps[i%len(gaps)]
		missing := append([]tooth.Number(nil), g.missing...)
		for len(missing) > 1 && r.Intn(3) == 0 {
			missing = missing[1:]
		}
		for r.Intn(3) == 0 {
			if n := tooth.All(g.arch)[1+r.Intn(14)]; n != 0 {
				missing = append(missing, n)
			}
		}
		profile := rulebook.Profiles[r.Intn(len(rulebook.Profiles))]
		tilt := [2]float64{}
		if r.Intn(2) == 0 {
			tilt = [2]float64{8*r.Float64() - 4, 6*r.Float64() - 3}
		}
		in := drawing.Input{Paper: []sheet.Size{sheet.A4, sheet.Letter}[r.Intn(2)], Lang: words.Langs[r.Intn(2)].Numbered(tooth.Numberings[r.Intn(3)]),
			Draft: r.Intn(4) == 0}
		what := fmt.Sprintf("case %d, %s without %v, %s, %s", i, g.arch, missing, profile, in.Lang)
		p, ok := plan(t, mouth(g.arch, missing...), profile, tilt)
		if !ok {
			continue
		}
		drawn++
		pages := sheets(t, p, in)
		judge(t, what, pages)
		numbered := map[string]bool{}
		for _, x := range pages[1].Texts() {
			numbered[x.Name] = true
		}
		for _, q := range p.Placement.Parts {
			if q.Part.Kind != design.ReplacementTooth && len(q.Curves)+len(q.Patches) > 0 && !numbered["part "+string(q.Part.ID)] {
				t.Errorf("%s: %s carries no number", what, q.Part.ID)
			}
		}
	}
	if drawn < *cases*3/4 {
		t.Errorf("only %d of %d mouths got a design to draw", drawn, *cases)
	}
	t.Logf("%d designs drawn", drawn)
}

// svgPage is what a page's SVG says: named lines in millimetres of paper, and all text.
type svgPage struct {
	lines map[string][]sheet.Point
	text  string
}

func readSVG(t *testing.T, p *sheet.Page) svgPage {
	t.Helper()
	var buf bytes.Buffer
	if err := svg.Write(&buf, p); err != nil {
		t.Fatal(err)
	}
	out := svgPage{lines: map[string][]sheet.Point{}}
	dec := xml.NewDecoder(&buf)
	for {
		tok, err := dec.Token()
		if err != nil {
			return out
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]string{}
		for _, a := range e.Attr {
			at[a.Name.Local] = a.Value
		}
		out.text += " " + strings.ReplaceAll(at["aria-label"], "\u00a0", " ")
		if name := at["data-name"]; e.Name.Local == "path" && name != "" && out.lines[name] == nil {
			var line []sheet.Point
			f := strings.Fields(strings.NewReplacer("M", " ", "L", " ", "Z", "").Replace(at["d"]))
			for i := 0; i+1 < len(f); i += 2 {
				x, _ := strconv.ParseFloat(f[i], 64)
				y, _ := strconv.ParseFloat(f[i+1], 64)
				line = append(line, sheet.Pt(x, y))
			}
			out.lines[name] = line
		}
	}
}

func length(l []sheet.Point) float64 {
	sum := 0.0
	for i := 1; i < len(l); i++ {
		sum += l[i].Dist(l[i-1])
	}
	return sum
}

// What a ruler reads on the drawing is what the list of parts says, to 0.05 mm: the
// dimension lines against the placement, and the bar's height and clearances on the
// sections against the list as printed.
func TestTheDrawingMeasuresWhatTheListSays(t *testing.T) {
	compared := map[string]int{}
	for _, g := range gaps[:3] {
		p, ok := plan(t, mouth(g.arch, g.missing...), "i-bar-first", [2]float64{2, 0})
		if !ok {
			t.Fatalf("%s without %v got no design", g.arch, g.missing)
		}
		pages := sheets(t, p, drawing.Input{})
		list := ""
		named := map[string]float64{}
		for i := range pages {
			s := readSVG(t, &pages[i])
			scale := 2.0
			if i == 0 {
				scale = 1
			}
			for name, l := range s.lines {
				named[name] = length(l) / scale
			}
			if strings.Contains(s.text, words.PartList.In(words.English)) {
				list += s.text
			}
		}
		for name, got := range named {
			f := strings.Fields(name)
			switch {
			case f[0] == "measure":
				want, ok := measured(p.Placement, f[1:])
				if !ok {
					t.Errorf("%s names no measure", name)
				} else if math.Abs(got-want) > 0.05 {
					t.Errorf("%s is drawn as %.3f mm, the list says %.3f", name, got, want)
				}
				compared["plan"]++
			case f[0] == "section":
				label := placement.Label(f[2])
				re := regexp.MustCompile(regexp.QuoteMeta(f[1]+"–"+f[1]) + `.*?` + regexp.QuoteMeta(label) + ` ([0-9.]+) mm`)
				m := re.FindStringSubmatch(list)
				if m == nil {
					t.Errorf("%s: the list does not say %q", name, label)
					continue
				}
				want, _ := strconv.ParseFloat(m[1], 64)
				if math.Abs(got-want) > 0.05 {
					t.Errorf("%s is drawn as %.3f mm, the list says %.2f", name, got, want)
				}
				compared[f[2]]++
				// A section is cut where the table of the bar was measured: one tooth, one clearance.
				if m := regexp.MustCompile(regexp.QuoteMeta(f[1]+"–"+f[1]) + `.*?, at ([0-9]+)`).FindStringSubmatch(list); m != nil && f[2] == "upper_border_to_margin" {
					for _, q := range p.Placement.Parts {
						for _, x := range q.Measures {
							if q.Part.Kind == design.MajorConnector && x.Name == f[2] && x.Tooth.String() == m[1] {
								if math.Abs(got-x.Quantity.Value) > 0.15 {
									t.Errorf("%s without %v: %s reads %.2f mm, the table has %.2f at %s", g.arch, g.missing, name, got, x.Quantity.Value, m[1])
								}
								compared["at its tooth"]++
							}
						}
					}
				}
				// The placement gives the least of each tooth.
				if f[2] == "bar_height" || f[2] == "upper_border_to_margin" {
					least := math.Inf(1)
					for _, q := range p.Placement.Parts {
						for _, m := range q.Measures {
							if q.Part.Kind == design.MajorConnector && m.Name == f[2] {
								least = math.Min(least, m.Quantity.Value)
							}
						}
					}
					if got < least-0.15 {
						t.Errorf("%s without %v: %s reads %.2f mm, less than the least that was placed, %.2f", g.arch, g.missing, name, got, least)
					}
				}
			}
		}
	}
	for _, name := range []string{"plan", "bar_height", "upper_border_to_margin", "lower_border_to_floor", "strap_width", "at its tooth"} {
		if compared[name] == 0 {
			t.Errorf("nothing was compared for %s: %v", name, compared)
		}
	}
}

// measured finds a measure by part, name and tooth.
func measured(p *placement.Placement, f []string) (float64, bool) {
	q, ok := p.Part(design.ID(f[0]))
	if !ok {
		return 0, false
	}
	n := tooth.Number(0)
	if len(f) > 2 {
		n, _ = tooth.Parse(f[2])
	}
	for _, m := range q.Measures {
		if m.Name == f[1] && m.Tooth == n {
			return m.Quantity.Value, true
		}
	}
	return 0, false
}

// The chart's convention: the patient's right on the reader's left in both arches; the
// front of the upper arch above, of the lower below.
func TestSidesAndFront(t *testing.T) {
	for _, g := range gaps[:2] {
		p, _ := plan(t, mouth(g.arch, g.missing...), "i-bar-first", [2]float64{2, 0})
		page := sheets(t, p, drawing.Input{})[0]
		at := map[string]sheet.Point{}
		for _, x := range page.Texts() {
			at[x.Name] = x.At
		}
		right, left, front := "tooth 44", "tooth 34", "tooth 41"
		if g.arch == tooth.Upper {
			right, left, front = "tooth 14", "tooth 24", "tooth 11"
		}
		for _, n := range []string{right, left, front} {
			if _, ok := at[n]; !ok {
				t.Fatalf("%s is not numbered", n)
			}
		}
		if at[right].X >= at[left].X {
			t.Errorf("%s stands right of %s", right, left)
		}
		if (at[front].Y < at[right].Y) != (g.arch == tooth.Upper) {
			t.Errorf("%s: the front lies on the wrong side", g.arch)
		}
	}
}

// The same case gives the same sheets, and every sheet carries the notice, the check bar
// and the case's number.
func TestEverySheetSaysWhatItIs(t *testing.T) {
	p, _ := plan(t, mouth(tooth.Lower, 36, 37, 46, 47), "i-bar-first", [2]float64{2, 0})
	in := drawing.Input{Digests: []drawing.Digest{{Name: "case", Hex: "00aa11bb22cc33dd"}}, Draft: true,
		SetAside: []drawing.SetAside{{Rule: "CHK-031", Tooth: 35, Reason: "shallow floor on this side", By: "AB"}}}
	a, b := sheets(t, p, in), sheets(t, p, in)
	for i := range a {
		var x, y bytes.Buffer
		if svg.Write(&x, &a[i]) != nil || svg.Write(&y, &b[i]) != nil || !bytes.Equal(x.Bytes(), y.Bytes()) {
			t.Errorf("sheet %d comes out otherwise the second time", i+1)
		}
		s := readSVG(t, &a[i])
		for _, want := range []string{"design aid for licensed practitioners", "T0-TEST", "CHK-031", "00aa11bb22cc33dd", words.Draft.In(words.English), "sheet " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(a)), "lower"} {
			if !strings.Contains(s.text, want) {
				t.Errorf("sheet %d does not say %q", i+1, want)
			}
		}
		if bar := s.lines["check bar 50 mm"]; math.Abs(length(bar)-50) > 0.001 {
			t.Errorf("sheet %d: the check bar measures %.3f mm", i+1, length(bar))
		}
	}
}

// A draft's design sheets say so where nothing lies over it: in the head of every page, and
// across it above the ground of the cast.
func TestADraftIsReadOnEverySheet(t *testing.T) {
	g := gaps[1]
	p, ok := plan(t, mouth(g.arch, g.missing...), "i-bar-first", [2]float64{2, 0})
	if !ok {
		t.Fatal("no design")
	}
	for i, pg := range sheets(t, p, drawing.Input{Draft: true}) {
		stamp, head := -1, false
		for k, it := range pg.Items {
			switch x := it.(type) {
			case *sheet.Text:
				if x.Str == words.Draft.In(words.English) && x.Layer == sheet.StampLayer {
					stamp = k
				}
				head = head || x.Str == words.Draft.In(words.English) && x.Layer == sheet.FrameLayer
			case *sheet.Path:
				if box, ok := sheet.Bounds(x.Lines...); ok && stamp >= 0 && x.Fill != sheet.None && box.W()*box.H() > 0.15*pg.Size.W*pg.Size.H {
					t.Errorf("sheet %d: a filled area of %.0f × %.0f mm lies over the stamp", i+1, box.W(), box.H())
				}
			}
		}
		if stamp < 0 || !head {
			t.Errorf("sheet %d: across the page %v, in its head %v", i+1, stamp >= 0, head)
		}
	}
}

// An embrasure clasp holds both of its teeth, at the far line angles (Stewart's, from
// memory): the plan says at either tip how deep it stands, and the list names the second
// tooth too.
func TestBothTipsOfAnEmbrasureClaspAreTold(t *testing.T) {
	g := gaps[2]
	p, ok := plan(t, mouth(g.arch, g.missing...), "i-bar-first", [2]float64{2, 0})
	if !ok {
		t.Fatal("no design")
	}
	pages := sheets(t, p, drawing.Input{})
	two := 0
	for _, q := range p.Placement.Parts {
		labels := 0
		for _, x := range pages[0].Texts() {
			if x.Name == "undercut "+string(q.Part.ID) {
				labels++
			}
		}
		if labels != len(q.Held()) {
			t.Errorf("%s: %d labels for %d tips", q.Part.ID, labels, len(q.Held()))
		}
		if q.Part.Form != design.ClaspEmbrasure {
			continue
		}
		for _, tip := range q.Held() {
			if tip.Tooth == q.Part.Tooth {
				continue
			}
			two++
			told := false
			for _, x := range pages[0].Texts() {
				told = told || strings.HasPrefix(x.Str, "arm of the clasp on "+q.Part.Tooth.String())
			}
			if !told {
				t.Errorf("the table says nothing of the arm on %v", tip.Tooth)
			}
		}
	}
	if two != 1 {
		t.Errorf("%d embrasure clasps hold two teeth, expected 1", two)
	}
}

// What is written is read: no stroke of a section runs through a number, and no undercut
// stands on the arm that it belongs to.
func TestNumbersStandClearOfStrokesAndArms(t *testing.T) {
	strokes, figures := 0, 0
	for _, g := range gaps {
		p, ok := plan(t, mouth(g.arch, g.missing...), "i-bar-first", [2]float64{2, 0})
		if !ok {
			continue
		}
		for i, pg := range sheets(t, p, drawing.Input{}) {
			var arms [][]sheet.Point
			for _, it := range pg.Items {
				q, ok := it.(*sheet.Path)
				if !ok {
					continue
				}
				if q.Layer == "retentive arms" && q.Fill != sheet.None {
					arms = append(arms, q.Lines...)
				}
				if i != 1 || q.Layer != "dimensions" || math.Abs(q.Width-0.45) > 1e-9 {
					continue
				}
				strokes++
				for _, x := range pg.Texts() {
					box := tight(x)
					if x.Layer == sheet.StampLayer || len(x.Str) == 1 {
						continue // the stroke's own letter may touch it
					}
					if cross(q.Lines[0], []sheet.Point{{X: box.X0, Y: box.Y0}, {X: box.X1, Y: box.Y1}}) || cross(q.Lines[0], []sheet.Point{{X: box.X0, Y: box.Y1}, {X: box.X1, Y: box.Y0}}) {
						t.Errorf("%s without %v: a section's stroke runs through %q", g.arch, g.missing, x.Str)
					}
				}
			}
			for _, x := range pg.Texts() {
				if i < 2 || !regexp.MustCompile(`^(WW )?0\.\d\d$`).MatchString(x.Str) || x.Layer != "text" {
					continue
				}
				figures++
				for _, a := range arms {
					if inside(tight(x).Center(), a) {
						t.Errorf("%s without %v, sheet %d: %q stands on an arm", g.arch, g.missing, i+1, x.Str)
					}
				}
			}
		}
	}
	if strokes < 8 || figures < 8 {
		t.Errorf("%d strokes and %d undercuts were looked at", strokes, figures)
	}
}

// inside tells whether a point lies within an outline.
func inside(p sheet.Point, l []sheet.Point) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

func TestWithoutACastThereIsNoSheet(t *testing.T) {
	if _, err := drawing.DesignSheets(drawing.Input{Case: "X"}); err == nil || !strings.Contains(err.Error(), "X") {
		t.Errorf("expected an error that names the case, got %v", err)
	}
}

// Every colour of every palette is dark enough to be seen in grey print.
func TestPalettesReadInGrey(t *testing.T) {
	for _, p := range drawing.Palettes() {
		for i, c := range []sheet.Color{p.Metal, p.Bracing, p.Retention, p.Support, p.Preparation, p.Resin, p.Survey, p.Vertical, p.Fulcrum, p.Stop, p.Undercut[0], p.Undercut[1], p.Undercut[2]} {
			if c.Luminance() > 0.6 {
				t.Errorf("%s, colour %d is too light for grey print: %.2f", p.Name, i, c.Luminance())
			}
		}
		if !(p.Undercut[0].Luminance()-p.Undercut[1].Luminance() > 0.1 && p.Undercut[1].Luminance()-p.Undercut[2].Luminance() > 0.1) {
			t.Errorf("%s: the undercut contours do not get darker in clear steps", p.Name)
		}
	}
}

// BenchmarkDesignSheets is all sheets of one case.
func BenchmarkDesignSheets(b *testing.B) {
	p, _ := plan(b, mouth(tooth.Lower, 36, 37, 46, 47), "i-bar-first", [2]float64{2, 0})
	for b.Loop() {
		sheets(b, p, drawing.Input{})
	}
}

// A school's own palette: what is wrong with it is said, with the place.
func TestASchoolsOwnPalette(t *testing.T) {
	own := `name: ours
accent: "#1F4E5F"
metal: "#404040"
bracing: "#404040"
retention: "#7A2000"
support: "#000000"
stop: "#000000"
preparation: "#CC0000"
resin: "#0072B2"
survey: "#000000"
vertical: "#007A5A"
fulcrum: "#A04878"
undercut: ["#B08A00", "#A83E4E", "#4A1A6A"]
`
	p, err := drawing.ReadPalette([]byte(own))
	if err != nil || p.Name != "ours" || p.Retention != sheet.RGB(0x7A, 0x20, 0) {
		t.Fatalf("got %+v, %v", p, err)
	}
	for _, c := range []struct{ old, new, says string }{
		{"metal:", "mettal:", "mettal"},
		{`"#7A2000"`, `"orange"`, "retention"},
		{`"#7A2000"`, `"#FFEE88"`, "grey print"},
		{`, "#4A1A6A"]`, `]`, "three colours"},
		{`"#A83E4E"`, `"#B08A01"`, "darker"},
		{"name: ours\n", "", "no name"},
		{"support: \"#000000\"\n", "", "support"},
	} {
		if _, err := drawing.ReadPalette([]byte(strings.Replace(own, c.old, c.new, 1))); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q for %q: expected an error that says %q, got %v", c.new, c.old, c.says, err)
		}
	}
}

// Sheets drawn in the pseudo-language, findings, shortfalls and remarks with them: every
// word is from a catalogue, and none runs off the page.
func TestSheetsAreFromTheCatalogues(t *testing.T) {
	ascii := regexp.MustCompile(`[A-Za-z]{3,}`)
	short := 0
	for _, c := range []chart.Chart{mouth(tooth.Lower, 36, 37, 45, 46, 47), mouth(tooth.Upper, 14, 15, 16, 25, 26, 27)} {
		p, ok := plan(t, c, "i-bar-first", [2]float64{})
		if !ok {
			t.Fatal("no design")
		}
		for _, q := range p.Placement.Parts {
			short += len(q.Shortfalls)
		}
		b, err := rulebook.Open("")
		if err != nil {
			t.Fatal(err)
		}
		in := drawing.Input{Lang: words.Pseudo, Findings: b.Check(rulebook.Input{Chart: c, Design: &p.design, Placement: p.Placement}).Findings}
		data := map[string]bool{"test": true, "made": true, "mouth": true, "TEST": true, "Class": true, "mod": true, "bar": true, "first": true}
		pages := sheets(t, p, in)
		for i := range pages {
			for _, x := range pages[i].Texts() {
				if x.Layer == sheet.StampLayer {
					continue
				}
				if b := tight(x); b.X0 < 2 || b.X1 > pages[i].Size.W-2 || b.Y0 < 2 || b.Y1 > pages[i].Size.H-2 {
					t.Errorf("sheet %d: %q runs off the page", i+1, x.Str)
				}
				for _, w := range ascii.FindAllString(x.Str, -1) {
					if !data[w] && w != "CHK" {
						t.Errorf("sheet %d: %q in %q is not from a catalogue", i+1, w, x.Str)
					}
				}
			}
		}
	}
	if short == 0 {
		t.Error("no shortfall was among the parts")
	}
}

// An arm's measures stand in the drawing of the side that its tip is on, on both sides of
// the mouth: bars that come from a front space are read near the midline.
func TestArmMeasuresStandOnTheSideOfTheTip(t *testing.T) {
	p, ok := plan(t, mouth(tooth.Upper, 12, 11, 21, 22), "i-bar-first", [2]float64{})
	if !ok {
		t.Fatal("no design")
	}
	pages := sheets(t, p, drawing.Input{})
	seen := 0
	for i := range pages {
		s := readSVG(t, &pages[i])
		for name, line := range s.lines {
			if !strings.HasPrefix(name, "measure retainer-") || len(line) == 0 {
				continue
			}
			for _, pic := range pages[i].Pictures {
				in := true
				for _, q := range line {
					in = in && q.X >= pic.Box.X0 && q.X <= pic.Box.X1 && q.Y >= pic.Box.Y0 && q.Y <= pic.Box.Y1
				}
				if in && strings.HasPrefix(pic.Alt, "Drawing of tooth") {
					seen++
					if !strings.Contains(pic.Alt, "facial side") {
						t.Errorf("%s stands in: %s", name, pic.Alt)
					}
				}
			}
		}
	}
	if seen < 2 {
		t.Errorf("%d measures of arms were found in elevations", seen)
	}
}
