package drawing

import (
	"fmt"
	"strings"

	"halfpear/order"
	"halfpear/prep"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// Heights of one entry of the preparation plan [mm]: as much as lets all stand on one
// page, between these.
const (
	entryTall  = 28.0
	entryShort = 17.5
)

// preparationPages is the plan for the chair: tooth by tooth in the order of work.
func (w *writer) preparationPages() []sheet.Page {
	f := w.flow(w.say(words.PrepTitle), chairSize)
	var items []prep.Item
	if w.o.Work.Prep != nil {
		items = w.o.Work.Prep.Items
	}
	if len(items) == 0 {
		f.Para(w.say(words.PrepNothing))
		return f.Pages()
	}
	f.Para(w.say(words.PrepOrder))
	f.Small(w.say(words.PrepPictures))
	f.Check(false, w.say(words.PrepRehearse))

	entries, stages := 0, map[prep.Stage]bool{}
	for _, i := range items {
		if i.Tooth != 0 {
			entries++
			stages[i.Stage] = true
		}
	}
	const below = 6 * (sheet.Leading + 0.3) * chairSize // the closing steps
	room := f.Left().H() - below - float64(len(stages))*2.6*chairSize
	tall := entryTall
	if entries > 0 {
		tall = max(entryShort, min(entryTall, room/float64(entries)))
	}
	step, stage := 0, prep.Stage(-1)
	for _, i := range items {
		if i.Tooth == 0 {
			continue // polish and fluoride stand for all teeth and come below
		}
		if i.Stage != stage {
			if stage >= 0 && stage < prep.Seats && i.Stage >= prep.Seats {
				w.resurvey(f)
			}
			stage = i.Stage
			step++
			f.Need(max(tall, w.entryNeeds(f.Width(), i)) + 4*chairSize) // a heading stays with its first entry
			f.Heading(3, w.say(words.PrepStep, step, w.say(words.Stages[stage])))
		}
		w.entry(f, i, max(tall, w.entryNeeds(f.Width(), i)))
	}
	f.Space(2)
	if stage < prep.Seats {
		w.resurvey(f)
	} else {
		f.Check(false, w.say(words.PrepWax, words.MM(w.l, 1)))
	}
	f.Check(false, w.say(words.PrepPolish))
	f.Check(false, w.say(words.PrepFluoride))
	f.Check(false, w.say(words.PrepFinal))
	return f.Pages()
}

func (w *writer) resurvey(f *sheet.Flow) {
	p := w.o.Work.Path
	f.Space(2)
	f.Check(false, w.say(words.PrepResurvey, words.Deg(w.l, p.AnteriorDeg), words.Deg(w.l, p.RightDeg)))
}

// Columns of an entry [mm]: box to tick and tooth number, two pictures, then the words.
const (
	tickWide    = 20.0
	pictureWide = 24.0
)

// entryNeeds is the height that an entry's words ask for.
func (w *writer) entryNeeds(width float64, i prep.Item) float64 {
	head, lines := w.entryText(i)
	h := 1.0
	for k, s := range append([]string{head}, lines...) {
		face, size := sheet.Plain, 2.7
		if k == 0 {
			face, size = sheet.Bold, chairSize
		}
		h += float64(len(face.Wrap(s, size, width-tickWide-2*pictureWide-4))) * sheet.Leading * size
	}
	return h + 1
}

// entry draws one preparation.
func (w *writer) entry(f *sheet.Flow, i prep.Item, h float64) {
	f.Figure(h, func(p *sheet.Page, r sheet.Rect) {
		thin := sheet.Pen{Layer: "text", Width: 0.12, Ink: sheet.RGB(0x99, 0x99, 0x99)}
		p.Line(thin, sheet.Pt(r.X0, r.Y1), sheet.Pt(r.X1, r.Y1))
		box := sheet.Box(r.X0+0.5, r.Y0+2, 5, 5)
		p.Draw(sheet.Pen{Layer: "text", Name: "tick box", Width: 0.35, Ink: sheet.Black}, true, box.Outline())
		n := order.ToothText(w.o.Jurisdiction, i.Tooth)
		first, rest, _ := strings.Cut(n, " ")
		p.Write(sheet.Type{Layer: "text", Face: sheet.Bold, Size: 6}, sheet.Pt(r.X0+7, r.Y0+7), first)
		p.Write(sheet.Type{Layer: "text", Size: 3}, sheet.Pt(r.X0+7, r.Y0+11), rest)
		if i.Surface != "" {
			surface := words.Term(w.l, "surface", string(i.Surface))
			p.Write(sheet.Type{Layer: "text", Size: 2.6}, sheet.Pt(r.X0+0.5, r.Y0+15), surface)
		}
		w.pictures(p, sheet.Box(r.X0+tickWide, r.Y0+0.6, pictureWide, r.H()-1.2), sheet.Box(r.X0+tickWide+pictureWide+1, r.Y0+0.6, pictureWide, r.H()-1.2), i)
		x, y := r.X0+tickWide+2*pictureWide+4, r.Y0+1
		head, lines := w.entryText(i)
		for k, s := range append([]string{head}, lines...) {
			ty := sheet.Type{Layer: "text", Size: 2.7}
			if k == 0 {
				ty.Face, ty.Size = sheet.Bold, chairSize
			}
			for _, l := range ty.Face.Wrap(s, ty.Size, r.X1-x) {
				p.Write(ty, sheet.Pt(x, y+sheet.Ascent*ty.Size), l)
				y += sheet.Leading * ty.Size
			}
		}
	})
}

// seats are the operations that cut a rest seat.
var seats = map[prep.Operation]bool{prep.OcclusalSeat: true, prep.ExtendedSeat: true, prep.EmbrasureSeat: true, prep.CingulumSeat: true, prep.IncisalSeat: true, prep.BallSeat: true, prep.OnlaySeat: true}

// entryText tells what is done: the operation with its amount, sizes, tool, check, caution.
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
		head += ": " + amount
	}
	var sizes []string
	add := func(x words.Word, v ...any) { sizes = append(sizes, w.say(x, v...)) }
	if i.HeightMM[1] > 0 {
		add(words.PrepHigh, mm(i.HeightMM[0]), mm(i.HeightMM[1]))
	}
	if i.WidthMM > 0 {
		add(words.PrepWide, mm(i.WidthMM))
	}
	if i.LengthMM > 0 {
		add(words.PrepLong, mm(i.LengthMM))
	}
	if i.Operation == prep.GuidePlane {
		if i.AngleDeg != nil {
			add(words.PrepAngle, words.Deg(w.l, i.AngleDeg.Value))
		}
		add(words.PrepParallel)
	}
	if m, ok := words.Substances[i.Material]; ok && i.AddMM == 0 && i.RemovalMM > 0 {
		add(words.PrepIn, w.say(m))
	}
	if len(sizes) > 0 {
		lines = append(lines, strings.Join(sizes, "; "))
	}
	tool := string(i.Operation)
	if i.AddMM > 0 {
		tool = string(prep.Composite)
	}
	if b, ok := words.Burs[tool]; ok {
		lines = append(lines, w.say(b))
	}
	check := string(i.Operation)
	if seats[i.Operation] {
		check = "seat"
	}
	if c, ok := words.Checks[check]; ok {
		lines = append(lines, w.say(c))
	}
	watch := string(i.Operation)
	if seats[i.Operation] && i.AddMM > 0 {
		watch = "bonded-seat"
	}
	if c, ok := words.PrepCautions[watch]; ok {
		lines = append(lines, "⚠ "+w.say(c))
	}
	if c := w.enamel(i); c != "" {
		lines = append(lines, "⚠ "+c)
	}
	return head, lines
}

// enamel tells how the depth stands to the enamel there.
func (w *writer) enamel(i prep.Item) string {
	if i.RemovalMM == 0 || i.Material != "enamel" {
		return ""
	}
	switch {
	case i.EnamelMM == 0:
		return w.say(words.PrepCheckEn)
	case i.AtRisk || i.RemovalMM >= i.EnamelMM || seats[i.Operation]:
		return w.say(words.PrepDentine, words.MM(w.l, i.EnamelMM), words.MM(w.l, i.RemovalMM))
	case i.Operation == prep.GuidePlane:
		return fmt.Sprintf("%s. %s", w.say(words.PrepLeft, words.MM(w.l, i.EnamelLeftMM())), w.say(words.PrepLimit))
	}
	return w.say(words.PrepLeft, words.MM(w.l, i.EnamelLeftMM()))
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
