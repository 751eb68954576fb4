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
	title := d.say(words.MechanicsTitle)
	flow := &sheet.Flow{Layer: layerText, Size: 2.4, Accent: d.Palette.Accent, New: func() (sheet.Page, sheet.Rect) {
		p, area := d.page(title)
		openLayers(&p)
		return p, area
	}}
	flow.Figure(m.planHeight(), m.plan)
	flow.Space(1)
	m.retainers(flow)
	if shown := m.shown(); shown > 0 {
		flow.Heading(3, d.say(words.LoadsHead, shown, len(r.Cases)))
		flow.Table(m.loads())
	}
	flow.Heading(3, m.say(words.AssumptionsHead))
	for _, text := range m.assumptions() {
		flow.Small(text)
	}
	return flow.Pages(), nil
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
	if in.Numbering == "" {
		in.Numbering = FDI
	}
	m := mechanicsOf(&draft{Input: in}, r)
	out := MechanicsText{Sentences: m.sentences(), Assumed: m.assumptions()}
	if len(r.Holds) > 0 {
		var t sheet.Table
		t, out.Mend = m.holds()
		out.Heads, out.Tables = append(out.Heads, m.say(words.RetainersHead)), append(out.Tables, t)
	}
	if shown := m.shown(); shown > 0 {
		out.Heads, out.Tables = append(out.Heads, m.say(words.LoadsHead, shown, len(r.Cases))), append(out.Tables, m.loads())
	}
	return out
}

// mechanicsOf picks the worst loads of a report.
func mechanicsOf(d *draft, r *mechanics.Report) *mechanicsPage {
	m := &mechanicsPage{draft: d, r: r, worst: map[mechanics.LoadKind][]spread{}}
	for _, kind := range []mechanics.LoadKind{mechanics.Bite, mechanics.Cross, mechanics.Pull} {
		for _, side := range [...]float64{1, -1} {
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
			bad = 1e6 + float64(c.Tooth.Place())
		}
		if bad <= best {
			continue
		}
		best, found = bad, true
		out = spread{Case: c, all: []mechanics.Case{c}}
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
	if strings.HasPrefix(a, "-") || strings.HasPrefix(b, "-") {
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

func (m *mechanicsPage) planHeight() float64 {
	return math.Min(96, math.Max(80, float64(m.lines.view.ny)*m.lines.view.cell+14))
}

// plan draws the arch with who carries the worst bite on each side, and says it in words.
func (m *mechanicsPage) plan(p *sheet.Page, r sheet.Rect) {
	left, right := r, r
	left.X1 = r.X0 + r.W()*0.58
	right.X0 = left.X1 + 4
	area := left
	area.Y1 -= 4
	caption := m.say(words.SharesOnPlan)
	if len(m.Placement.SupportFulcrum) == 2 {
		caption += " " + m.say(words.FulcrumOnPlan)
	}
	p.Write(sheet.Type{Layer: layerText, Size: sizeLabel, Ink: grey}, sheet.Pt(left.X0, left.Y1-0.8), caption)

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
	for i, s := range bites {
		m.shares(f, b, i, s, ink[i])
	}
	right.Y0 += 2
	m.paras(p, right, 2.6, m.sentences())
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
			put(v.Tooth.String(), part, f.point(t.Frame.Origin).Add(along), f.direction(t.Frame.Y).Scale(-1), 4, m.pens.leader)
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
		if s.Indirect >= 0.5 {
			text += " " + m.say(words.IndirectCarries, m.newtons(s.Indirect))
		}
		if open := m.teethOf(s.Open); open != "" {
			text += " " + m.say(words.SeatLost, open)
		}
		if gone := m.teethOf(s.LetGo); gone != "" {
			text += " " + m.say(words.ClaspsLetGo, gone)
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

// retainers sets the table of clasps with the plot of force over bend beside it.
func (m *mechanicsPage) retainers(flow *sheet.Flow) {
	if len(m.r.Holds) == 0 {
		return
	}
	flow.Heading(3, m.say(words.RetainersHead))
	const width = 130.0
	t, mend := m.holds()
	height := t.Height() + 1
	for _, line := range mend {
		height += mendSize * (sheet.Leading*float64(len(sheet.Plain.Wrap(line, mendSize, width))) + paraGap)
	}
	flow.Figure(math.Max(height, plotHeight), func(p *sheet.Page, r sheet.Rect) {
		t.Draw(p, sheet.Pt(r.X0, r.Y0))
		under := sheet.Box(r.X0, r.Y0+t.Height()+1, width, r.H())
		m.paras(p, under, mendSize, mend)
		r.X0 += width + 4
		r.Y1 = r.Y0 + plotHeight
		m.plot(p, r)
	})
}

// holds is the table of clasps, and what would mend those that are bent too far.
func (m *mechanicsPage) holds() (t sheet.Table, mend []string) {
	t = sheet.Table{Size: 2.1, Layer: layerText, Accent: m.Palette.Accent, Columns: []sheet.Column{
		{Head: m.say(words.PartWord), Width: 31}, {Head: m.say(words.UndercutHead), Width: 18, Align: sheet.Right},
		{Head: m.say(words.SideForceHead), Width: 21, Align: sheet.Right}, {Head: m.say(words.WithdrawalHead), Width: 19, Align: sheet.Right},
		{Head: m.say(words.StressRatioHead), Width: 20, Align: sheet.Right}, {Head: m.say(words.VerdictHead), Width: 21}}}
	for _, h := range m.r.Holds {
		name := m.name(h.Tooth)
		if q, ok := m.Placement.Part(h.Part); ok {
			name += " " + m.partName(q.Part)
		}
		ratio, tells := "–", ""
		if h.Ratio.Typical > 0 {
			ratio, tells = m.rangeText(h.Ratio, 2), m.say(verdict(h.Ratio))
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{name, m.num(h.Undercut, 2), m.rangeText(h.Side, 1), m.rangeText(h.Withdrawal, 1), ratio, tells}})
		if v := h.Ratio.Typical; v > 0.8 {
			mend = append(mend, m.say(words.ArmMend, m.name(h.Tooth), m.percent(0.8/v), m.percent(math.Sqrt(v/0.8))))
		}
	}
	return t, mend
}

// Sizes of the retainers' part of the page [mm]; paraGap is in heights of type.
const (
	mendSize   = 1.95
	plotHeight = 40.0
	paraGap    = 0.5
)

// verdict says what a stress means: beyond the proof stress an arm does not spring back. It
// is certain only where the whole band lies beyond.
func verdict(r mechanics.Range) words.Word {
	switch {
	case r.Low > 1:
		return words.BendsForGood
	case r.High > 1:
		return words.MayBendForGood
	case r.Typical > 0.8:
		return words.NearProof
	}
	return words.StaysElastic
}

// plot draws the side force of each arm over the bend of its tip, the planned undercut
// and the bend at which the proof stress is reached.
func (m *mechanicsPage) plot(p *sheet.Page, r sheet.Rect) {
	reach, most := 0.0, 0.0
	for _, h := range m.r.Holds {
		reach = math.Max(reach, math.Max(1.2*h.Undercut, math.Min(1.15*h.MayGo, 4*h.Undercut)))
	}
	if reach <= 0 {
		return
	}
	for _, h := range m.r.Holds {
		most = math.Max(most, h.Stiffness.Typical*math.Min(reach, math.Max(h.Undercut, h.MayGo)))
	}
	const small = 1.9
	box := sheet.Rect{X0: r.X0 + 7, Y0: r.Y0 + 3.4, X1: r.X1 - 4, Y1: r.Y1 - 9.5}
	at := func(u, force float64) sheet.Point {
		return sheet.Pt(box.X0+box.W()*u/reach, box.Y1-box.H()*force/(most*1.08))
	}
	axis := sheet.Pen{Layer: layerText, Width: 0.2, Ink: sheet.Black}
	p.Draw(axis, false, []sheet.Point{{X: box.X0, Y: box.Y0}, {X: box.X0, Y: box.Y1}, {X: box.X1, Y: box.Y1}})
	text := sheet.Type{Layer: layerText, Size: small}
	p.Write(text, sheet.Pt(r.X0, r.Y0+2), m.say(words.ForceAxis))
	for _, step := range ticks(reach) {
		q := at(step, 0)
		p.Line(axis, q, q.Add(sheet.Pt(0, 0.8)))
		p.Write(sheet.Type{Layer: layerText, Size: small, Align: sheet.Center}, q.Add(sheet.Pt(0, 2.8)), m.num(step, 2))
	}
	for _, step := range ticks(most) {
		q := at(0, step)
		p.Line(axis, q, q.Sub(sheet.Pt(0.8, 0)))
		p.Write(sheet.Type{Layer: layerText, Size: small, Align: sheet.Right}, q.Add(sheet.Pt(-1.2, 0.6)), m.num(step, 0))
	}
	p.Write(sheet.Type{Layer: layerText, Size: small, Align: sheet.Right}, sheet.Pt(box.X1, box.Y1+5.4), m.say(words.TipMoves))
	p.Write(sheet.Type{Layer: layerText, Size: small, Ink: grey}, sheet.Pt(r.X0, r.Y1-0.6), m.say(words.PlotCaption))

	b := sheet.NewBoard(p, box.Grow(3.5))
	b.KeepTexts()
	dashes := []sheet.Dash{nil, sheet.Dashed, sheet.DashDot, sheet.Dotted}
	ink := m.inks()
	for i, h := range m.r.Holds {
		k := h.Stiffness.Typical
		to := h.MayGo
		if to == 0 {
			to = h.Undercut
		}
		to = math.Max(to, h.Undercut)
		pen := sheet.Pen{Layer: layerText, Name: "force " + string(h.Part), Width: 0.3, Ink: ink[i%2], Dash: dashes[i/2%4]}
		end := at(math.Min(to, reach), k*math.Min(to, reach))
		p.Line(pen, at(0, 0), end)
		b.Weigh(6, false, []sheet.Point{at(0, 0), end})
		p.Area(layerText, pen.Ink, sheet.Circle(at(h.Undercut, k*h.Undercut), 0.7))
		if h.MayGo > 0 && h.MayGo <= reach {
			q := at(h.MayGo, k*h.MayGo)
			p.Line(sheet.Pen{Layer: layerText, Width: 0.4, Ink: pen.Ink}, q.Sub(sheet.Pt(0, 1.2)), q.Add(sheet.Pt(0, 1.2)))
		}
	}
	for i, h := range m.r.Holds {
		to := math.Min(reach, math.Max(h.MayGo, h.Undercut))
		q := at(to, h.Stiffness.Typical*to)
		b.Place(sheet.Label{Type: sheet.Type{Layer: layerText, Face: sheet.Bold, Size: small, Ink: ink[i%2]}, Text: m.name(h.Tooth), At: q, Toward: sheet.Pt(0.5, -1), Near: 1.4, Reach: 14, Leader: m.pens.leader, Bare: true})
	}
}

// ticks are three to six round steps up to a value.
func ticks(most float64) []float64 {
	step := math.Pow(10, math.Floor(math.Log10(most)))
	for _, part := range [...]float64{1, 0.5, 0.25, 0.2, 0.1} {
		if n := most / (step * part); n >= 3 {
			step *= part
			break
		}
	}
	var out []float64
	for k := 0; float64(k)*step <= most; k++ {
		out = append(out, float64(k)*step)
	}
	return out
}

// loads is the table of the worst loads.
func (m *mechanicsPage) loads() sheet.Table {
	t := sheet.Table{Size: 2.1, Columns: []sheet.Column{{Head: m.say(words.LoadHead), Width: 37, Bold: true}, {Head: m.say(words.ToothShareHead)},
		{Head: m.say(words.MucosaHead), Width: 22, Align: sheet.Right}, {Head: m.say(words.SinkingHead), Width: 30, Align: sheet.Right},
		{Head: m.say(words.IndirectHead), Width: 22, Align: sheet.Right}, {Head: m.say(words.LetGoHead), Width: 36}}}
	name := map[mechanics.LoadKind]words.Word{mechanics.Bite: words.LoadBite, mechanics.Cross: words.LoadCross, mechanics.Pull: words.LoadPull}
	for _, kind := range []mechanics.LoadKind{mechanics.Bite, mechanics.Cross, mechanics.Pull} {
		for _, s := range m.worst[kind] {
			values := []any{m.name(s.Tooth), m.newtons(m.load(s.Case))}
			if kind == mechanics.Cross {
				values = append(values, m.newtons(s.Force.Across(m.Placement.Path.Direction).Norm()))
			}
			row := sheet.Row{Cells: []string{m.say(name[kind], values...)}}
			if s.Free {
				row.Cells = append(row.Cells, m.say(words.ComesOff))
				t.Rows = append(t.Rows, row)
				continue
			}
			var by []string
			for _, v := range s.Shares {
				lo, hi := s.span(shareOf(v.Tooth))
				if math.Max(math.Abs(lo), math.Abs(hi)) >= 1 {
					by = append(by, m.name(v.Tooth)+":\u00a0"+m.band(v.Force, lo, hi, 0))
				}
			}
			of := func(f func(mechanics.Case) float64, digits int) string {
				lo, hi := s.span(f)
				return m.band(f(s.Case), lo, hi, digits)
			}
			var moves []string
			if gone := m.teethOf(s.LetGo); gone != "" {
				moves = append(moves, m.say(words.ClaspShort, gone))
			}
			if open := m.teethOf(s.Open); open != "" {
				moves = append(moves, m.say(words.RestShort, open))
			}
			for _, c := range s.all {
				if c.Free {
					moves = append(moves, m.say(words.ComesOff))
					break
				}
			}
			row.Cells = append(row.Cells, strings.Join(by, "; "), of(mucosaOf, 0), of(sinkingOf, 2), of(indirectOf, 0), strings.Join(moves, "; "))
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// assumptions say what the figures rest on.
func (m *mechanicsPage) assumptions() []string {
	a := mechanics.Assumed()
	out := []string{
		m.say(words.AssumedForces),
		m.say(words.AssumedMucosa, m.num(a.Mucosa.Typical, 1), m.num(a.Mucosa.Low, 1), m.num(a.Mucosa.High, 1)) + " " +
			m.say(words.AssumedArms, m.num(a.Friction.Typical, 1), m.num(a.Friction.Low, 1)+"–"+m.num(a.Friction.High, 1), words.MM(m.Lang, a.CastTolerance)),
		m.say(words.AssumedLeftOut),
	}
	if len(m.r.Unknown) > 0 {
		var why []string
		for _, u := range m.r.Unknown {
			text := m.say(reasons[u.Why])
			if q, ok := m.Placement.Part(u.Part); ok {
				text = m.say(words.PartWhy, m.name(q.Part.Tooth)+" "+m.partName(q.Part), text)
			}
			why = append(why, text)
		}
		out = append(out, m.say(words.NotReckoned, strings.Join(why, "; ")))
	}
	return out
}

var reasons = map[mechanics.Reason]words.Word{mechanics.NoRest: words.NoRestPlaced, mechanics.NotLaid: words.ArmNotLaid,
	mechanics.NoCrown: words.CrownNotCharted, mechanics.NoMetal: words.MetalNotKnown, mechanics.NoBeam: words.NoBeamOfSizes}
