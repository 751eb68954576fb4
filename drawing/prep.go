package drawing

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfpear/prep"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// fit is how large the plan for the chair is set: entries beside each other, its type and
// the least height of a row of entries [mm].
type fit struct {
	columns   int
	text, row float64
}

// fits are tried from the largest; the first that lets the whole plan stand on one page is
// taken, and a plan for which none does runs over several in the second.
var fits = func() []fit {
	out := []fit{}
	for _, row := range []float64{36, 32, 29, 26, 24} {
		out = append(out, fit{1, 3.4, row})
	}
	for _, text := range []float64{3.3, 3.0, 2.7} {
		for _, row := range []float64{34, 29, 25, 22, 19, 17} {
			out = append(out, fit{2, text, row})
		}
	}
	return append(out, fit{2, 2.5, 15.5})
}()

// preparationPages is the plan for the chair: tooth by tooth in the order of work.
func (w *writer) preparationPages() []sheet.Page {
	for _, f := range fits {
		if len(w.preparations(f, 0, false).Pages()) == 1 {
			return w.preparations(f, 0, true).Pages()
		}
	}
	return sheet.Settle(func(foot float64) *sheet.Flow { return w.preparations(fit{2, 3.0, 25}, foot, true) })
}

// preparations sets the plan; without drawing it leaves the entries empty, to see how many
// pages it takes.
func (w *writer) preparations(z fit, foot float64, draw bool) *sheet.Flow {
	f := w.flow(w.say(words.PrepTitle), z.text)
	f.Foot = foot
	var items []prep.Item
	if w.o.Work.Prep != nil {
		for _, i := range w.o.Work.Prep.Items {
			if i.Tooth != 0 { // polish and fluoride stand for all teeth and come below
				items = append(items, i)
			}
		}
	}
	if len(items) == 0 {
		f.Para(w.say(words.PrepNothing))
		return f
	}
	f.Para(w.say(words.PrepOrder))
	f.Small(w.say(words.PrepPictures))
	f.Check(false, w.say(words.PrepRehearse))
	step, number := 0, 0
	for len(items) > 0 {
		stage := items[0].Stage
		n := 0
		for n < len(items) && items[n].Stage == stage {
			n++
		}
		if step > 0 && stage >= prep.Seats {
			w.resurvey(f)
		}
		step++
		f.Need(z.row + 12*z.text) // a heading stays with its first entries
		f.Heading(2, w.say(words.PrepStep, step, w.say(words.Stages[stage])))
		for _, s := range w.shared(items[:n]) {
			f.Para(s)
		}
		for k := 0; k < n; k += z.columns {
			beside := items[k:min(k+z.columns, n)]
			first := number + 1
			number += len(beside)
			f.Figure(w.rowHeight(z, f.Width(), beside), func(p *sheet.Page, r sheet.Rect) {
				if !draw {
					return
				}
				for j, i := range beside {
					wide := z.entryWide(r.W())
					w.entry(p, sheet.Box(r.X0+float64(j)*(wide+columnGap), r.Y0, wide, r.H()), z, first+j, i)
				}
			})
		}
		items = items[n:]
		if len(items) == 0 && stage < prep.Seats {
			w.resurvey(f)
		}
	}
	f.Space(1)
	if w.anySeat() {
		f.Check(false, w.say(words.PrepWax, words.MM(w.l, 1)))
	}
	f.Check(false, w.say(words.PrepPolish))
	f.Check(false, w.say(words.PrepFluoride))
	f.Check(false, w.say(words.PrepFinal))
	return f
}

func (w *writer) anySeat() bool {
	for _, i := range w.o.Work.Prep.Items {
		if i.Stage == prep.Seats {
			return true
		}
	}
	return false
}

func (w *writer) resurvey(f *sheet.Flow) {
	p := w.o.Work.Path
	f.Space(1)
	f.Check(false, w.say(words.PrepResurvey, words.Deg(w.l, p.AnteriorDeg), words.Deg(w.l, p.RightDeg)))
}

// Columns of an entry [mm]: box to tick and tooth number, two pictures, then the words.
const (
	columnGap = 5.0
	tickWide  = 18.0
)

// entryWide is the width of an entry in a row.
func (z fit) entryWide(row float64) float64 {
	return (row - float64(z.columns-1)*columnGap) / float64(z.columns)
}

// pictureWide is the width of one of an entry's two pictures.
func (z fit) pictureWide() float64 {
	if z.columns == 1 {
		return 36
	}
	return 18.5
}

// wordsAt is where an entry's words begin, from its left.
func (z fit) wordsAt() float64 { return tickWide + 2*z.pictureWide() + 1.5 }

// rowHeight is the height of a row of entries: at least the size's own, more where words
// ask for it.
func (w *writer) rowHeight(z fit, width float64, beside []prep.Item) float64 {
	h := z.row
	for _, i := range beside {
		head, lines := w.entryText(i)
		need := 1.5
		for k, s := range append([]string{head}, lines...) {
			ty := entryType(z, k)
			need += float64(len(ty.Face.Wrap(s, ty.Size, z.entryWide(width)-z.wordsAt()))) * sheet.Leading * ty.Size
		}
		h = max(h, need+0.8)
	}
	return h
}

// entryType is the type of an entry's lines, its head in bold.
func entryType(z fit, line int) sheet.Type {
	if line == 0 {
		return sheet.Type{Layer: "text", Face: sheet.Bold, Size: z.text * 1.08}
	}
	return sheet.Type{Layer: "text", Size: z.text * 0.92}
}

// entry draws one preparation.
func (w *writer) entry(p *sheet.Page, r sheet.Rect, z fit, number int, i prep.Item) {
	thin := sheet.Pen{Layer: "text", Width: 0.12, Ink: sheet.RGB(0x99, 0x99, 0x99)}
	p.Line(thin, sheet.Pt(r.X0, r.Y0), sheet.Pt(r.X1, r.Y0))
	p.Write(sheet.Type{Layer: "text", Size: 2.2, Ink: sheet.RGB(0x66, 0x66, 0x66)}, sheet.Pt(r.X0, r.Y0+3), fmt.Sprint(number))
	box := sheet.Box(r.X0, r.Y0+4, 4.6, 4.6)
	p.Draw(sheet.Pen{Layer: "text", Name: "tick box", Width: 0.35, Ink: sheet.Black}, true, box.Outline())
	n := words.ToothAndISO(w.l, i.Tooth)
	first, rest, _ := strings.Cut(n, " ")
	p.Write(sheet.Type{Layer: "text", Face: sheet.Bold, Size: 5.4}, sheet.Pt(r.X0+5.8, r.Y0+8.3), first)
	p.Write(sheet.Type{Layer: "text", Size: z.text * 0.85}, sheet.Pt(r.X0+5.8, r.Y0+11.4), rest)
	if i.Surface != "" {
		p.Write(sheet.Type{Layer: "text", Size: z.text * 0.92}, sheet.Pt(r.X0, r.Y0+14.3), words.Term(w.l, "surface", string(i.Surface)))
	}
	wide := z.pictureWide()
	head, lines := w.entryText(i)
	p.Picture(sheet.Box(r.X0+tickWide, r.Y0+0.8, 2*wide, r.H()-1.4), w.say(words.PicturePrep, w.say(words.Operations[string(i.Operation)]), n, words.Term(w.l, "surface", string(i.Surface)), head))
	w.pictures(p, sheet.Box(r.X0+tickWide, r.Y0+0.8, wide, r.H()-1.4), sheet.Box(r.X0+tickWide+wide, r.Y0+0.8, wide, r.H()-1.4), i)
	x, y := r.X0+z.wordsAt(), r.Y0+1.5
	for k, s := range append([]string{head}, lines...) {
		ty := entryType(z, k)
		for _, l := range ty.Face.Wrap(s, ty.Size, r.X1-x) {
			p.Write(ty, sheet.Pt(x, y+sheet.Ascent*ty.Size), l)
			y += sheet.Leading * ty.Size
		}
	}
}

// seats are the operations that cut a rest seat.
var seats = map[prep.Operation]bool{prep.OcclusalSeat: true, prep.ExtendedSeat: true, prep.EmbrasureSeat: true, prep.CingulumSeat: true, prep.IncisalSeat: true, prep.BallSeat: true, prep.OnlaySeat: true}

// way is how an item is done: its operation, told apart where a seat is built up instead
// of cut.
type way struct {
	operation prep.Operation
	built     bool
}

func wayOf(i prep.Item) way { return way{i.Operation, i.AddMM > 0} }

// shared is what holds for all items of a stage that are done in one way, a sentence or two
// for each way: the tool, how it is checked and what to watch.
func (w *writer) shared(items []prep.Item) []string {
	var out []string
	seen := map[way]bool{}
	enamel := false
	for _, i := range items {
		enamel = enamel || i.Material == "enamel" && i.RemovalMM > 0
		if seen[wayOf(i)] {
			continue
		}
		seen[wayOf(i)] = true
		op := string(i.Operation)
		var say []string
		add := func(s words.Word) {
			if !s.Blank() {
				say = append(say, sentence(w.say(s)))
			}
		}
		if i.AddMM > 0 {
			add(words.Burs[string(prep.Composite)])
		} else {
			add(words.Burs[op])
		}
		if i.Operation == prep.GuidePlane {
			add(words.PrepLimit)
		}
		if seats[i.Operation] {
			add(words.Checks["seat"])
		} else {
			add(words.Checks[op])
		}
		switch {
		case seats[i.Operation] && i.AddMM > 0:
			add(words.PrepCautions["bonded-seat"])
		case seats[i.Operation] && i.Material == "enamel":
			add(words.PrepDentine)
		default:
			add(words.PrepCautions[op])
		}
		if len(say) > 0 {
			out = append(out, strings.TrimSuffix(sentence(w.say(words.Operations[op])), ".")+": "+strings.Join(say, " "))
		}
	}
	if enamel && len(out) > 0 {
		out[len(out)-1] += " " + w.say(words.PrepTable)
	}
	return out
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	s = string(unicode.ToUpper(r)) + s[n:]
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "⟧") {
		s += "."
	}
	return s
}

// entryText tells what is done on one surface: the amount, sizes, and how it stands to the
// enamel there.
func (w *writer) entryText(i prep.Item) (head string, lines []string) {
	mm := func(v float64) string { return words.MM(w.l, v) }
	head = w.say(words.Operations[string(i.Operation)])
	amount := ""
	switch {
	case i.AddMM > 0:
		amount = w.say(words.PrepAdd, mm(i.AddMM))
	case i.RemovalMM > 0 && seats[i.Operation]:
		amount = w.say(words.PrepDeep, mm(i.RemovalMM))
	case i.RemovalMM > 0:
		amount = w.say(words.PrepTake, mm(i.RemovalMM))
	case i.Operation == prep.GuidePlane:
		amount = w.say(words.PrepPolishOn)
	}
	if amount != "" {
		head, lines = amount, []string{head}
	}
	add := func(x words.Word, v ...any) { lines = append(lines, w.say(x, v...)) }
	if i.HeightMM[1] > 0 {
		add(words.PrepHigh, words.Number(w.l, i.HeightMM[0], 1), words.Number(w.l, i.HeightMM[1], 1))
	}
	if i.WidthMM > 0 {
		add(words.PrepWide, mm(i.WidthMM))
	}
	if i.LengthMM > 0 {
		add(words.PrepLong, mm(i.LengthMM))
	}
	if i.Operation == prep.GuidePlane && i.AngleDeg != nil {
		add(words.PrepAngle, words.Deg(w.l, i.AngleDeg.Value))
	}
	if i.ReachMM > 0 {
		lines = append(lines, "⚠ "+w.say(words.PrepReach, mm(i.ReachMM)))
	}
	if i.BeforeMM > 0 {
		add(words.PrepTogether, mm(i.BeforeMM+i.RemovalMM))
	}
	if m, ok := words.Substances[i.Material]; ok && i.AddMM == 0 && i.RemovalMM > 0 && i.Material != "enamel" {
		add(words.PrepIn, w.say(m))
	}
	if i.RemovalMM > 0 && i.Material == "enamel" {
		switch {
		case i.EnamelMM == 0:
			lines = append(lines, "⚠ "+w.say(words.PrepCheckEn))
		case i.AtRisk || i.RemovalMM >= i.EnamelMM || seats[i.Operation]:
			lines = append(lines, "⚠ "+w.say(words.PrepEnamel, mm(i.EnamelMM)))
		default:
			add(words.PrepLeft, mm(i.EnamelLeftMM()))
		}
	}
	return head, lines
}

// surfaceSide is which way along a tooth's own axes a surface looks.
func surfaceSide(s tooth.Surface) (mesial, facial float64) {
	switch s {
	case tooth.Mesial:
		return 1, 0
	case tooth.Distal:
		return -1, 0
	case tooth.Facial:
		return 0, 1
	case tooth.Lingual:
		return 0, -1
	}
	return 0, 0
}
