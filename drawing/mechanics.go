package drawing

import (
	"fmt"
	"math"
	"strings"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/mechanics"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// spread is one load at typical, softest and stiffest mucosa.
type spread struct {
	mechanics.Case
	at  int              // its place in the report
	all []mechanics.Case // the typical first
}

// span is the least and the greatest of a figure over the three stiffnesses; a load that
// nothing holds has none.
func (s spread) span(of func(mechanics.Case) float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, c := range s.all {
		if !c.Free {
			lo, hi = math.Min(lo, of(c)), math.Max(hi, of(c))
		}
	}
	return lo, hi
}

// load is how great the load along the path is [N].
func (d *draft) load(c mechanics.Case) float64 {
	return math.Abs(c.Force.Dot(d.Placement.Path.Direction))
}

func mucosaOf(c mechanics.Case) float64   { return c.Mucosa }
func sinkingOf(c mechanics.Case) float64  { return c.Sinking }
func indirectOf(c mechanics.Case) float64 { return c.Indirect }

func shareOf(n tooth.Number) func(mechanics.Case) float64 {
	return func(c mechanics.Case) float64 {
		for _, s := range c.Shares {
			if s.Tooth == n {
				return s.Force
			}
		}
		return 0
	}
}

// mechanicsPage is the page in the making.
type mechanicsPage struct {
	*draft
	r     *mechanics.Report
	worst map[mechanics.LoadKind][]spread // the patient's right first
}

// MechanicsPage draws what mechanics estimates of a design: who carries a bite, what the
// clasps do, what each load comes to, and what all of it rests on.
func MechanicsPage(in Input, r *mechanics.Report) ([]sheet.Page, error) {
	if r == nil {
		return nil, fmt.Errorf("drawing the mechanics of case %s: expected a report of mechanics, there is none: assess the design first", in.Case)
	}
	d, err := newDraft(in)
	if err != nil {
		return nil, err
	}
	m := mechanicsOf(d, r)
	for h := m.planHeight(); h >= leastPlan; h -= 8 { // the plan gives way where one page would not do
		if pages := m.pages(h, false); len(pages) == 1 {
			return pages, nil
		}
	}
	return m.pages(m.planHeight(), true), nil
}

// leastPlan is the least height of the plan [mm].
const leastPlan = 56

// pages sets the page with a plan of at least a height; two pages share what one cannot
// hold, the loads and what is assumed on the second.
func (m *mechanicsPage) pages(plan float64, two bool) []sheet.Page {
	d, r := m.draft, m.r
	title := d.say(words.MechanicsTitle)
	flow := &sheet.Flow{Layer: layerText, Size: 2.4, Accent: d.Palette.Accent, New: func() (sheet.Page, sheet.Rect) {
		p, area := d.page(title)
		openLayers(&p)
		return p, area
	}}
	_, beside := planColumns(flow.Left())
	flow.Figure(math.Max(plan, m.parasHeight(beside.W(), sentenceSize, m.sentences())+2*sentenceGap), m.plan)
	flow.Space(1)
	m.retainers(flow)
	m.beside(flow)
	if two && len(flow.Pages()) == 1 {
		flow.Turn()
	}
	if shown := m.shown(); shown > 0 {
		flow.Heading(3, d.say(words.LoadsHead, shown, len(r.Cases)))
		flow.Table(m.loads())
	}
	flow.Heading(3, m.say(words.AssumptionsHead))
	for _, text := range m.assumptions() {
		flow.Small(text)
	}
	return flow.Pages()
}

// MechanicsText is the mechanics page without its pictures, for a screen.
type MechanicsText struct {
	Sentences []string // who carries a bite, and what the clasps hold
	Heads     []string // of the tables
	Tables    []sheet.Table
	Mend      []string // what would bring an arm's stress down
	Assumed   []string
}

// MechanicsInWords says what MechanicsPage draws.
func MechanicsInWords(in Input, r *mechanics.Report) MechanicsText {
	if in.Lang == "" {
		in.Lang = words.English
	}
	m := mechanicsOf(&draft{Input: in}, r)
	out := MechanicsText{Sentences: m.sentences(), Assumed: m.assumptions()}
	if len(r.Holds) > 0 {
		var t sheet.Table
		t, out.Mend = m.holds()
		out.Heads, out.Tables = append(out.Heads, m.say(words.RetainersHead)), append(out.Tables, t)
	}
	if t, ok := m.abutments(); ok {
		out.Heads, out.Tables = append(out.Heads, m.say(words.AbutmentsHead)), append(out.Tables, t)
	}
	if t, head, note, ok := m.connector(); ok {
		out.Heads, out.Tables = append(out.Heads, head), append(out.Tables, t)
		out.Assumed = append([]string{note}, out.Assumed...)
	}
	if shown := m.shown(); shown > 0 {
		out.Heads, out.Tables = append(out.Heads, m.say(words.LoadsHead, shown, len(r.Cases))), append(out.Tables, m.loads())
	}
	return out
}

// mechanicsOf picks the worst loads of a report.
func mechanicsOf(d *draft, r *mechanics.Report) *mechanicsPage {
	m := &mechanicsPage{draft: d, r: r, worst: map[mechanics.LoadKind][]spread{}}
	for _, kind := range mechanics.LoadKinds {
		for _, side := range [...]float64{1, -1} {
			if kind == mechanics.Incise && len(m.worst[kind]) > 0 {
				break // front teeth stand together
			}
			if s, ok := m.worstOn(kind, side); ok {
				m.worst[kind] = append(m.worst[kind], s)
			}
		}
	}
	return m
}

// shown is how many loads the table has.
func (m *mechanicsPage) shown() int {
	n := 0
	for _, w := range m.worst {
		n += len(w)
	}
	return n
}

// worstOn finds the worst load of a kind on one side (+1 the patient's right): the one
// that nothing holds, else the one under which the denture moves most; the farthest back
// of equals.
func (m *mechanicsPage) worstOn(kind mechanics.LoadKind, side float64) (spread, bool) {
	var out spread
	best, found := math.Inf(-1), false
	for i, c := range m.r.Cases {
		if c.Kind != kind || c.At.X*cast.RightSign(m.Cast.Arch)*side < 0 {
			continue
		}
		bad := math.Abs(c.Sinking) + 0.1*float64(len(c.LetGo)) + 1e-4*float64(c.Tooth.Place())
		if c.Free {
			bad = 1e6 - 100*c.Held + 1e-2*float64(c.Tooth.Place())
		}
		if bad <= best {
			continue
		}
		best, found = bad, true
		out = spread{Case: c, at: i, all: []mechanics.Case{c}}
		for _, band := range m.r.Band {
			if i < len(band) {
				out.all = append(out.all, band[i])
			}
		}
	}
	return out, found
}

// letter names a bite on the plan.
func letter(i int) string { return string(rune('A' + i)) }

func (m *mechanicsPage) num(v float64, digits int) string { return words.Number(m.Lang, v, digits) }

func (m *mechanicsPage) newtons(v float64) string { return m.num(v, 0) + "\u00a0N" }

func (m *mechanicsPage) percent(v float64) string { return m.num(100*v, 0) + "\u00a0%" }

// band writes a figure with its span, as in "2.1 (1.4–3.0)"; the span is left out where
// it would repeat the figure.
func (m *mechanicsPage) band(v, lo, hi float64, digits int) string {
	s, a, b := m.num(v, digits), m.num(lo, digits), m.num(hi, digits)
	if a == s && b == s || math.IsInf(lo, 0) {
		return s
	}
	return s + " (" + m.between(a, b) + ")"
}

// between joins the ends of a span; with a minus in it a dash would mislead.
func (m *mechanicsPage) between(a, b string) string {
	if strings.HasPrefix(a, "−") || strings.HasPrefix(b, "−") {
		return m.say(words.SpanWord, a, b)
	}
	return a + "–" + b
}

func (m *mechanicsPage) rangeText(r mechanics.Range, digits int) string {
	return m.band(r.Typical, r.Low, r.High, digits)
}

// paras writes paragraphs into a column and gives where they end.
func (m *mechanicsPage) paras(p *sheet.Page, r sheet.Rect, size float64, texts []string) float64 {
	y := r.Y0
	for _, t := range texts {
		for _, l := range sheet.Plain.Wrap(t, size, r.W()) {
			p.Write(sheet.Type{Layer: layerText, Size: size}, sheet.Pt(r.X0, y+sheet.Ascent*size), l)
			y += sheet.Leading * size
		}
		y += paraGap * size
	}
	return y
}

// parasHeight is how much of a column of a width paras would fill.
func (m *mechanicsPage) parasHeight(width, size float64, texts []string) float64 {
	h := 0.0
	for _, t := range texts {
		h += (float64(len(sheet.Plain.Wrap(t, size, width)))*sheet.Leading + paraGap) * size
	}
	return h
}

// Type of the sentences beside the plan, and the space above and below them [mm].
const (
	sentenceSize = 2.6
	sentenceGap  = 2
)

// planColumns parts a width between the plan and the sentences beside it.
func planColumns(r sheet.Rect) (plan, beside sheet.Rect) {
	plan, beside = r, r
	plan.X1 = r.X0 + r.W()*0.58
	beside.X0 = plan.X1 + 4
	return plan, beside
}

func (m *mechanicsPage) planHeight() float64 {
	return math.Min(96, math.Max(80, float64(m.lines.view.ny)*m.lines.view.cell+14))
}

// plan draws the arch with who carries the worst bite on each side, and says it in words.
func (m *mechanicsPage) plan(p *sheet.Page, r sheet.Rect) {
	left, right := planColumns(r)
	area := left
	area.Y1 -= 4
	caption := m.say(words.SharesOnPlan)
	if m.turning() {
		caption += " " + m.say(words.AxesOnPlan)
	}
	if len(m.Placement.SupportFulcrum) == 2 {
		caption += " " + m.say(words.FulcrumOnPlan)
	}
	p.Write(sheet.Type{Layer: layerText, Size: sizeLabel, Ink: grey}, sheet.Pt(left.X0, left.Y1-0.8), caption)

	p.Picture(area, m.say(words.PictureShares))
	v := m.lines.view
	w, h := float64(v.nx)*v.cell, float64(v.ny)*v.cell
	scale := math.Min(1, math.Min(area.W()/w, area.H()/h))
	f := newFigure(p, v.frame, geom.Vec2{X: v.x0 + w/2, Y: v.y0 + h/2}, area.Center(), scale, area)
	m.drawCastLines(f)
	for _, q := range m.order {
		m.drawPart(f, q, nil)
	}
	b := sheet.NewBoard(p, area)
	m.weigh(b, p)
	m.sides(b, area)
	bites := m.worst[mechanics.Bite]
	ink := m.inks()
	for i, s := range bites { // the places of the loads come first: labels keep clear of them
		c := f.point(s.At)
		p.Area(layerText, ink[i], sheet.Circle(c, 2))
		p.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: 2.6, Ink: sheet.White, Align: sheet.Center}, sheet.Pt(c.X, c.Y+sheet.CapHeight*1.3), letter(i))
		b.Keep(sheet.Box(c.X-2.2, c.Y-2.2, 4.4, 4.4))
	}
	m.toothNumbers(f, b)
	m.fulcrum(f, b)
	m.axes(f, b)
	for i, s := range bites {
		m.shares(f, b, i, s, ink[i])
	}
	right.Y0 += sentenceGap
	m.paras(p, right, sentenceSize, m.sentences())
}

// fulcrum draws the fulcrum lines, without the levers that the design sheets measure.
func (m *mechanicsPage) fulcrum(f *figure, b *sheet.Board) {
	thin := m.pens.fulcrum
	thin.Width = 0.18
	for i, ends := range [...][]geom.Vec{m.Placement.SupportFulcrum, m.Placement.RetentiveFulcrum} {
		if len(ends) != 2 {
			continue
		}
		pen := m.pens.fulcrum
		if i == 1 {
			pen = thin
		}
		p, q := f.point(ends[0]), f.point(ends[1])
		dir := q.Sub(p).Unit().Scale(5)
		line := []sheet.Point{p.Sub(dir), q.Add(dir)}
		f.draw(pen, false, line)
		b.Weigh(4, false, line)
	}
}

// turning tells whether an axis is drawn.
func (m *mechanicsPage) turning() bool {
	for _, s := range m.worst[mechanics.Bite] {
		if s.Screw != nil && !s.Free {
			return true
		}
	}
	return false
}

// axes draws where the denture turns under each bite: the screw axis of its motion, seen
// from the occlusal.
func (m *mechanicsPage) axes(f *figure, b *sheet.Board) {
	ink := m.inks()
	box := geom.BoxOf(m.Cast.Mesh.Vertices)
	if arch := m.Cast.Marks.Arch.Points; len(arch) > 1 { // what stands beside the cast stays clear
		const beside = 6
		in := geom.BoxOf(arch)
		box.Min = geom.V(math.Max(box.Min.X, in.Min.X-beside), math.Max(box.Min.Y, in.Min.Y-beside), box.Min.Z)
		box.Max = geom.V(math.Min(box.Max.X, in.Max.X+beside), math.Min(box.Max.Y, in.Max.Y+beside), box.Max.Z)
	}
	for i, s := range m.worst[mechanics.Bite] {
		if s.Screw == nil || s.Free {
			continue
		}
		// The stretch of the axis that lies over the cast.
		d := geom.V(s.Screw.Direction.X, s.Screw.Direction.Y, 0)
		if d.Norm() < 0.2 {
			continue // it stands nearly upright
		}
		p := geom.V(s.Screw.Point.X, s.Screw.Point.Y, 0)
		lo, hi := math.Inf(-1), math.Inf(1)
		for _, side := range [...][3]float64{{p.X, d.X, 0}, {p.Y, d.Y, 1}} {
			from, to := box.Min.X, box.Max.X
			if side[2] == 1 {
				from, to = box.Min.Y, box.Max.Y
			}
			if side[1] == 0 {
				if side[0] < from || side[0] > to {
					lo, hi = 1, 0
				}
				continue
			}
			a, z := (from-side[0])/side[1], (to-side[0])/side[1]
			lo, hi = math.Max(lo, math.Min(a, z)), math.Min(hi, math.Max(a, z))
		}
		if hi <= lo {
			continue // beside the cast
		}
		line := []sheet.Point{f.point(p.Add(d.Scale(lo))), f.point(p.Add(d.Scale(hi)))}
		f.draw(sheet.Pen{Layer: layerText, Name: "axis " + letter(i), Width: 0.35, Ink: ink[i], Dash: sheet.Dotted}, false, line)
		b.Weigh(3, false, line)
		text := letter(i) + "\u00a0" + m.turn(s)
		end, in := line[0], line[1]
		if (i == 0) == (end.X > in.X) { // A's stands on the reader's left, B's on the right
			end, in = in, end
		}
		b.Place(sheet.Label{Type: sheet.Type{Layer: layerText, Face: sheet.Bold, Size: sizeLabel, Ink: ink[i], Name: text}, Text: text, At: end.Add(in.Sub(end).Unit().Scale(6)),
			Toward: sheet.Pt(0, -1), Near: 1.2, Reach: 20})
	}
}

// turn is how far the denture turns, marked where the axis is not the same at every
// stiffness of the mucosa.
func (m *mechanicsPage) turn(s spread) string {
	return m.sure(s.Sure.Axis, m.num(geom.InDeg(s.Screw.Angle), 1)+"°")
}

// sure marks what the three stiffnesses do not agree on.
func (m *mechanicsPage) sure(agreed bool, text string) string {
	if agreed || text == "" {
		return text
	}
	return "≈\u00a0" + text
}

// inks are the colours of the two bites; their letters say the same.
func (m *mechanicsPage) inks() [2]sheet.Color {
	return [2]sheet.Color{m.Palette.Resin.Dark(), m.Palette.Retention.Dark()}
}

// shares writes each support's part of one bite beside it, over a bar as long as the part.
func (m *mechanicsPage) shares(f *figure, b *sheet.Board, i int, s spread, ink sheet.Color) {
	if s.Free {
		return
	}
	put := func(name string, part float64, at, toward sheet.Point, near float64, leader sheet.Pen) {
		text := letter(i) + "\u00a0" + m.percent(part)
		r, ok := b.Place(sheet.Label{Type: sheet.Type{Layer: layerText, Face: sheet.Bold, Size: sizeLabel, Ink: ink, Name: "share " + letter(i) + " " + name},
			Text: text, At: at, Toward: toward, Near: near, Reach: 26, Leader: leader})
		if ok && part > 0 {
			y := r.Y1 + 0.25
			f.page.Line(sheet.Pen{Layer: layerText, Width: 0.7, Ink: ink}, sheet.Pt(r.X0, y), sheet.Pt(r.X0+r.W()*math.Min(1, part), y))
			b.Keep(sheet.Rect{X0: r.X0 - 0.4, Y0: r.Y1, X1: r.X1 + 0.4, Y1: r.Y1 + 0.8})
		}
	}
	load := m.load(s.Case)
	out := f.direction(m.outward(s.At))
	if part := s.Mucosa / load; math.Abs(part) >= 0.005 {
		put("mucosa", part, f.point(s.At), out.Scale(-1), 2.6, sheet.Pen{})
	}
	for _, v := range s.Shares {
		t := m.Cast.Teeth[v.Tooth]
		if part := v.Force / load; t != nil && math.Abs(part) >= 0.005 {
			// Each bite points at a place of its own on the crown, so that their lines keep apart.
			along := f.direction(t.Frame.X).Scale(1.6 * (float64(i) - 0.5))
			put(m.name(v.Tooth), part, f.point(t.Frame.Origin).Add(along), f.direction(t.Frame.Y).Scale(-1), 4, m.pens.leader)
		}
	}
}

// sentences say in words what the plan shows.
func (m *mechanicsPage) sentences() []string {
	var out []string
	for i, s := range m.worst[mechanics.Bite] {
		name := m.name(s.Tooth)
		if s.Free {
			out = append(out, m.say(words.NothingHolds, letter(i), name))
			continue
		}
		load := m.load(s.Case)
		var by []string
		for _, v := range s.Shares {
			if v.Force/load >= 0.005 {
				by = append(by, m.say(words.CarriedBy, m.percent(v.Force/load), m.name(v.Tooth)))
			}
		}
		lo, hi := s.span(mucosaOf)
		by = append(by, m.say(words.CarriedByMucosa, m.percent(s.Mucosa/load), m.between(m.num(100*lo/load, 0), m.num(100*hi/load, 0))))
		text := m.say(words.BiteCarried, letter(i), m.newtons(load), name, words.List(m.Lang, by))
		for _, v := range s.Shares {
			if v.Force/load <= -0.005 {
				text += " " + m.say(words.HeldDown, m.name(v.Tooth), m.newtons(-v.Force))
			}
		}
		if lo, hi := s.span(sinkingOf); hi < 0.005 {
			text += " " + m.say(words.BaseStays)
		} else {
			text += " " + m.say(words.BaseSinks, words.MM(m.Lang, s.Sinking), m.between(m.num(lo, 2), m.num(hi, 2)))
		}
		if s.Screw != nil {
			text += " " + m.say(words.TurnsBy, m.turn(s))
		}
		if s.Indirect >= 0.5 {
			text += " " + m.say(words.IndirectCarries, m.sure(s.Sure.Indirect, m.newtons(s.Indirect)))
		}
		if open := m.teethOf(s.Open); open != "" {
			text += " " + m.say(words.SeatLost, m.sure(s.Sure.Open, open))
		}
		if gone := m.teethOf(s.LetGo); gone != "" {
			text += " " + m.say(words.ClaspsLetGo, m.sure(s.Sure.LetGo, gone))
		}
		out = append(out, text)
	}
	if w := m.r.Retention; len(m.r.Holds) > 0 {
		out = append(out, m.say(words.WholeRetention, m.newtons(w.Typical), m.between(m.num(w.Low, 0), m.num(w.High, 0))))
	}
	return out
}

// teethOf names the teeth of parts; a rest also by its place, since a tooth may carry two.
func (m *mechanicsPage) teethOf(ids []design.ID) string {
	var out []string
	for _, id := range ids {
		if q, ok := m.Placement.Part(id); ok {
			text := m.name(q.Part.Tooth)
			if q.Part.Kind == design.Rest && q.Part.Site != "" {
				text += " " + words.Term(m.Lang, "surface", string(q.Part.Site))
			}
			out = append(out, text)
		}
	}
	return strings.Join(out, ", ")
}
