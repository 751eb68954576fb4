package sheet

import (
	"math"
	"slices"
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Face is a typeface.
type Face int

const (
	Plain Face = iota
	Bold
	Faces = 2
)

// TTF is the face's font file.
func (f Face) TTF() []byte {
	if f == Bold {
		return dejavusanscondensedbold.TTF
	}
	return dejavusanscondensed.TTF
}

// Glyph is one character's shape in units of the em, y down, baseline at 0.
type Glyph struct {
	Advance  float64
	Outlines [][]Point // filled by the non-zero rule
	Missing  bool      // the face has no such character; the outline is that of a box
}

type typeface struct {
	font *sfnt.Font
	err  error

	mu     sync.Mutex
	buf    sfnt.Buffer
	glyphs map[rune]Glyph
}

var typefaces [Faces]struct {
	once sync.Once
	face typeface
}

func (f Face) load() *typeface {
	t := &typefaces[f]
	t.once.Do(func() {
		t.face.font, t.face.err = sfnt.Parse(f.TTF())
		t.face.glyphs = map[rune]Glyph{}
		if t.face.err != nil {
			panic("the typeface built into the program cannot be read: " + t.face.err.Error())
		}
	})
	return &t.face
}

// Shape is the glyph of a character.
func (f Face) Shape(r rune) Glyph {
	t := f.load()
	t.mu.Lock()
	defer t.mu.Unlock()
	if g, ok := t.glyphs[r]; ok {
		return g
	}
	g := t.shape(r)
	t.glyphs[r] = g
	return g
}

const boxRune = '□'

func (t *typeface) shape(r rune) Glyph {
	var g Glyph
	if r == '\u00a0' {
		r = ' '
	}
	idx, err := t.font.GlyphIndex(&t.buf, r)
	if err != nil || idx == 0 {
		g.Missing = true
		idx, _ = t.font.GlyphIndex(&t.buf, boxRune)
	}
	ppem := fixed.Int26_6(t.font.UnitsPerEm()) << 6
	em := float64(ppem)
	adv, _ := t.font.GlyphAdvance(&t.buf, idx, ppem, font.HintingNone)
	g.Advance = float64(adv) / em
	segs, err := t.font.LoadGlyph(&t.buf, idx, ppem, nil)
	if err != nil {
		return g
	}
	pt := func(p fixed.Point26_6) Point { return Pt(float64(p.X)/em, float64(p.Y)/em) }
	var cur []Point
	flush := func() {
		if len(cur) > 2 {
			g.Outlines = append(g.Outlines, cur)
		}
		cur = nil
	}
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			flush()
			cur = []Point{pt(s.Args[0])}
		case sfnt.SegmentOpLineTo:
			cur = append(cur, pt(s.Args[0]))
		case sfnt.SegmentOpQuadTo:
			a, b, c := cur[len(cur)-1], pt(s.Args[0]), pt(s.Args[1])
			n := 2 + int(6*math.Sqrt(a.Dist(b)+b.Dist(c)))
			for i := 1; i <= n; i++ {
				u := float64(i) / float64(n)
				cur = append(cur, a.Lerp(b, u).Lerp(b.Lerp(c, u), u))
			}
		case sfnt.SegmentOpCubeTo:
			a, b, c, d := cur[len(cur)-1], pt(s.Args[0]), pt(s.Args[1]), pt(s.Args[2])
			for i := 1; i <= 8; i++ {
				u := float64(i) / 8
				ab, bc, cd := a.Lerp(b, u), b.Lerp(c, u), c.Lerp(d, u)
				cur = append(cur, ab.Lerp(bc, u).Lerp(bc.Lerp(cd, u), u))
			}
		}
	}
	flush()
	return g
}

// unset are scripts that run from right to left or whose letters join and change, which are
// not set here.
var unset = []*unicode.RangeTable{unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Lao}

// Lacks gives the characters of a text that cannot be set rightly, each once: those that a
// face does not have, those of scripts that are not set here, and marks that only direct how
// others are set.
func Lacks(s string) string {
	var out []rune
	for _, r := range s {
		if r == '\n' || r == '\t' || r == '\r' || slices.Contains(out, r) {
			continue
		}
		if unicode.In(r, unset...) || unicode.Is(unicode.Cf, r) && r != '\u00ad' || Plain.Shape(r).Missing || Bold.Shape(r).Missing {
			out = append(out, r)
		}
	}
	return string(out)
}

// Width is how far s runs in type of a size [mm].
func (f Face) Width(s string, size float64) float64 {
	w := 0.0
	for _, r := range s {
		w += f.Shape(r).Advance
	}
	return w * size
}

// Heights of the typeface in parts of the em.
const (
	Ascent    = 0.76 // top of capitals and accents that matter for spacing
	CapHeight = 0.73
	Descent   = 0.24
	Leading   = 1.3 // from baseline to baseline
)

// Box is the upright rectangle that a text covers.
func (t *Text) Box() Rect {
	w := t.Face.Width(t.Str, t.Size)
	s, c := math.Sincos(-t.Turn)
	r, _ := Bounds(quad(t.At, Pt(c, s), w, Ascent*t.Size, Descent*t.Size))
	return r
}

// Corners is the turned rectangle that a text covers.
func (t *Text) Corners() []Point {
	s, c := math.Sincos(-t.Turn)
	return quad(t.At, Pt(c, s), t.Face.Width(t.Str, t.Size), Ascent*t.Size, Descent*t.Size)
}

func quad(at, dir Point, w, up, down float64) []Point {
	n := Pt(-dir.Y, dir.X) // down the page for dir to the right
	a, b := at.Sub(n.Scale(up)), at.Add(n.Scale(down))
	return []Point{a, a.Add(dir.Scale(w)), b.Add(dir.Scale(w)), b}
}

// Outlines is the text's glyphs as filled outlines on the page (non-zero rule).
func (t *Text) Outlines() [][]Point {
	s, c := math.Sincos(-t.Turn)
	dir, n := Pt(c, s), Pt(-s, c)
	at := t.At
	var out [][]Point
	for _, r := range t.Str {
		g := t.Face.Shape(r)
		for _, o := range g.Outlines {
			q := make([]Point, len(o))
			for i, p := range o {
				q[i] = at.Add(dir.Scale(p.X * t.Size)).Add(n.Scale(p.Y * t.Size))
			}
			out = append(out, q)
		}
		at = at.Add(dir.Scale(g.Advance * t.Size))
	}
	return out
}

// Align says which part of a text stands at its place.
type Align int

const (
	Left Align = iota
	Center
	Right
)

// Type says how text is set.
type Type struct {
	Layer Layer
	Face  Face
	Size  float64 // em height [mm]
	Ink   Color
	Align Align
	Turn  float64 // angle of the baseline [rad], counter-clockwise on the page
	Name  string
}

// Write sets one line of text with its baseline at a place and gives back how far it runs.
func (p *Page) Write(ty Type, at Point, s string) float64 {
	t := ty.Text(at, s)
	if s != "" {
		p.Items = append(p.Items, t)
	}
	return ty.Face.Width(t.Str, ty.Size)
}

// Text is the line of text that Write would set. A character that the typeface does not
// have is set as a box, so that the reader sees that something is missing.
func (ty Type) Text(at Point, s string) *Text {
	if strings.IndexFunc(s, func(r rune) bool { return ty.Face.Shape(r).Missing || r < ' ' }) >= 0 {
		s = strings.Map(func(r rune) rune {
			switch {
			case r < ' ':
				return ' '
			case ty.Face.Shape(r).Missing:
				return boxRune
			}
			return r
		}, s)
	}
	w := ty.Face.Width(s, ty.Size)
	switch ty.Align {
	case Center:
		w /= 2
	case Left:
		w = 0
	}
	sin, cos := math.Sincos(-ty.Turn)
	ink := ty.Ink
	if ink == None {
		ink = Black
	}
	return &Text{Layer: ty.Layer, Name: ty.Name, At: at.Sub(Pt(cos, sin).Scale(w)), Face: ty.Face, Size: ty.Size, Ink: ink, Str: s, Turn: ty.Turn}
}

// Wrap breaks s into lines no wider than width [mm]; line breaks in s are kept. A word
// that is wider than a whole line is cut.
func (f Face) Wrap(s string, size, width float64) []string {
	var out []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Split(para, " ") {
			if word == "" {
				continue
			}
			try := word
			if line != "" {
				try = line + " " + word
			}
			if f.Width(try, size) <= width {
				line = try
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			for f.Width(word, size) > width {
				k := f.fit(word, size, width)
				if k == len(word) {
					break
				}
				out = append(out, word[:k])
				word = word[k:]
			}
			line = word
		}
		out = append(out, line)
	}
	return out
}

// fit is how many bytes of word fit in width, cut behind a hyphen or slash where one is
// near; at least one character.
func (f Face) fit(word string, size, width float64) int {
	w, k, soft := 0.0, 0, 0
	for i, r := range word {
		w += f.Shape(r).Advance * size
		if w > width && i > 0 {
			break
		}
		k = i + len(string(r))
		if r == '-' || r == '/' || r == '_' || r == '.' {
			soft = k
		}
	}
	if soft > k/3 {
		return soft
	}
	return k
}
