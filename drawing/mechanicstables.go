package drawing

import (
	"math"
	"strings"

	"halfpear/mechanics"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// retainers sets the table of clasps with the plot of force over bend beside it.
func (m *mechanicsPage) retainers(flow *sheet.Flow) {
	if len(m.r.Holds) == 0 {
		return
	}
	flow.Heading(3, m.say(words.RetainersHead))
	const width = 134.0
	t, mend := m.holds()
	height := t.Height() + 1
	for _, line := range mend {
		height += mendSize * (sheet.Leading*float64(len(sheet.Plain.Wrap(line, mendSize, width))) + paraGap)
	}
	flow.Figure(math.Max(height, plotHeight), func(p *sheet.Page, r sheet.Rect) {
		t.Draw(p, sheet.Pt(r.X0, r.Y0))
		under := sheet.Box(r.X0, r.Y0+t.Height()+1, width, r.H())
		m.paras(p, under, mendSize, mend)
		r.X0 += width + 3
		r.Y1 = r.Y0 + plotHeight
		m.plot(p, r)
	})
}

// holds is the table of clasps, and what would mend those that are bent too far.
func (m *mechanicsPage) holds() (t sheet.Table, mend []string) {
	t = sheet.Table{Size: 2.1, Layer: layerText, Accent: m.Palette.Accent, Columns: []sheet.Column{
		{Head: m.say(words.PartWord), Width: 24}, {Head: m.say(words.UndercutHead), Width: 18, Align: sheet.Right},
		{Head: m.say(words.SideForceHead), Width: 18, Align: sheet.Right}, {Head: m.say(words.WithdrawalHead), Width: 16, Align: sheet.Right},
		{Head: m.say(words.StressRatioHead), Width: 21, Align: sheet.Right}, {Head: m.say(words.VerdictHead), Width: 20}, {Head: m.say(words.OnBiteHead), Width: 17}}}
	of := map[string][]string{} // teeth that one sentence is true of
	var order []string
	for _, h := range m.r.Holds {
		name := m.name(h.Tooth)
		if q, ok := m.Placement.Part(h.Part); ok {
			name += " " + m.partName(q.Part)
		}
		ratio, tells := "–", ""
		if h.Ratio.Typical > 0 {
			ratio, tells = m.rangeText(h.Ratio, 2), m.say(verdict(h.Ratio))
			if h.Set >= 0.005 {
				tells = m.say(words.KeepsSet, words.MM(m.Lang, h.Set))
			}
		}
		grip := ""
		if g, sure := m.r.OnBite(h.Part); g != "" {
			grip = m.sure(sure, m.say(grips[g]))
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{name, m.num(h.Undercut, 2), m.rangeText(h.Side, 1), m.rangeText(h.Withdrawal, 1), ratio, tells, grip}})
		if v := h.Ratio.Typical; v > 0.8 {
			text := m.say(words.ArmMend, words.MM(m.Lang, math.Floor(h.Undercut*80/v)/100), m.percent(math.Floor(16/v)/20), m.percent(math.Ceil(20*math.Sqrt(v/0.8))/20))
			if h.AsWire > 0 {
				text += " " + m.say(words.WireMend, m.num(h.AsWire, 1))
			}
			if of[text] == nil {
				order = append(order, text)
			}
			of[text] = append(of[text], m.name(h.Tooth))
		}
	}
	for _, text := range order {
		mend = append(mend, strings.Join(of[text], ", ")+": "+text)
	}
	return t, mend
}

var grips = map[mechanics.Grip]words.Word{mechanics.Eases: words.TipEases, mechanics.Grips: words.TipGrips, mechanics.Stays: words.TipStays}

// leastTipping is the moment below which a tooth is not told to be tipped [N·mm].
const leastTipping = 10

// abutments is the table of what bites do to each abutment.
func (m *mechanicsPage) abutments() (t sheet.Table, ok bool) {
	t = sheet.Table{Size: 2.1, Layer: layerText, Accent: m.Palette.Accent, Columns: []sheet.Column{{Head: m.say(words.AbutmentHead), Width: 15, Bold: true},
		{Head: m.say(words.TippingHead), Width: 25, Align: sheet.Right}, {Head: m.say(words.TowardHead), Width: 18}, {Head: m.say(words.SideHead), Width: 20, Align: sheet.Right}, {Head: m.say(words.UnderHead), Width: 13}}}
	for _, n := range tooth.All(m.Cast.Arch) {
		share := func(c mechanics.Case) (s mechanics.Share) {
			for _, s = range c.Shares {
				if s.Tooth == n {
					return s
				}
			}
			return mechanics.Share{}
		}
		tips := func(c mechanics.Case) float64 { return share(c).Tipping() }
		worst := -1
		for i, c := range m.r.Cases {
			if c.Kind == mechanics.Bite && !c.Free && tips(c) > leastTipping && (worst < 0 || tips(c) > tips(m.r.Cases[worst])) {
				worst = i
			}
		}
		if worst < 0 {
			continue
		}
		c := m.r.Cases[worst]
		toward, agreed := share(c).Toward(), true
		for _, band := range m.r.Band {
			agreed = agreed && worst < len(band) && !band[worst].Free && share(band[worst]).Toward() == toward
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []string{m.name(n), m.rangeText(m.r.Over(worst, tips), 0), m.sure(agreed, words.Term(m.Lang, "surface", string(toward))),
			m.rangeText(m.r.Over(worst, func(c mechanics.Case) float64 { return share(c).Side }), 1), m.name(c.Tooth)}})
	}
	return t, len(t.Rows) > 0
}

// connector is the table of how the major connector gives, as it is and with its sizes
// changed.
func (m *mechanicsPage) connector() (t sheet.Table, head, note string, ok bool) {
	c := m.r.Connector
	if c == nil {
		return t, "", "", false
	}
	t = sheet.Table{Size: 2.1, Layer: layerText, Accent: m.Palette.Accent, Columns: []sheet.Column{{Head: m.say(words.ConnectorWord), Width: 28, Bold: true},
		{Head: m.say(words.SinksHead), Width: 21, Align: sheet.Right}, {Head: m.say(words.ClosesHead), Width: 21, Align: sheet.Right}, {Head: m.say(words.TwistsHead), Width: 21, Align: sheet.Right}}}
	row := func(name string, f mechanics.Flex, band bool) {
		cells := []string{name}
		for _, r := range [...]mechanics.Range{f.Sinks, f.Closes, f.TwistDeg} {
			if band {
				cells = append(cells, m.sure(!c.Beyond, m.rangeText(r, 2)))
			} else {
				cells = append(cells, m.sure(!c.Beyond, m.num(r.Typical, 2)))
			}
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: cells})
	}
	row(m.say(words.AsPlanned), c.Flex, true)
	for _, o := range c.Others {
		name := words.MoreThick
		if o.Change == mechanics.Wider {
			name = words.MoreWide
		}
		row(m.say(name, m.num(o.By, 1)+"\u00a0mm"), o.Flex, false)
	}
	note = m.say(words.ConnectorBeam)
	if c.Beyond {
		note = m.say(words.ConnectorBeyond)
	}
	return t, m.say(words.ConnectorHead, m.newtons(mechanics.Assumed().Connector)), note, true
}

// beside sets the tables of abutments and connector side by side.
func (m *mechanicsPage) beside(flow *sheet.Flow) {
	left, one := m.abutments()
	right, head, note, two := m.connector()
	if !one && !two {
		return
	}
	const gap, headSize = 4.0, 2.6
	flow.Space(1)
	heads := func(text string, width float64) float64 {
		return headSize * sheet.Leading * float64(len(sheet.Plain.Wrap(text, headSize, width)))
	}
	half := 91.0
	headHeight := math.Max(heads(m.say(words.AbutmentsHead), half), heads(head, half))
	noteHeight := mendSize * (sheet.Leading*float64(len(sheet.Plain.Wrap(note, mendSize, half))) + paraGap)
	flow.Figure(headHeight+1+math.Max(left.Height(), right.Height()+1+noteHeight), func(p *sheet.Page, r sheet.Rect) {
		put := func(x float64, head string, t sheet.Table) {
			y := r.Y0
			for _, l := range sheet.Plain.Wrap(head, headSize, half) {
				p.Write(sheet.Type{Layer: layerText, Face: sheet.Bold, Size: headSize, Ink: m.Palette.Accent}, sheet.Pt(x, y+sheet.Ascent*headSize), l)
				y += sheet.Leading * headSize
			}
			t.Draw(p, sheet.Pt(x, r.Y0+headHeight+1))
		}
		if one {
			put(r.X0, m.say(words.AbutmentsHead), left)
		}
		if two {
			x := r.X1 - half
			put(x, head, right)
			m.paras(p, sheet.Box(x, r.Y0+headHeight+2+right.Height(), half, noteHeight), mendSize, []string{note})
		}
	})
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
	p.Picture(r, m.say(words.PicturePlot))
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

// farOff is the lift of a base beyond which it is not told how far [mm]: small movements
// are reckoned with.
const farOff = 1.0

// loads is the table of the worst loads.
func (m *mechanicsPage) loads() sheet.Table {
	t := sheet.Table{Size: 2.1, Columns: []sheet.Column{{Head: m.say(words.LoadHead), Width: 37, Bold: true}, {Head: m.say(words.ToothShareHead)},
		{Head: m.say(words.MucosaHead), Width: 20, Align: sheet.Right}, {Head: m.say(words.SinkingHead), Width: 29, Align: sheet.Right}, {Head: m.say(words.TurnsHead), Width: 12, Align: sheet.Right},
		{Head: m.say(words.IndirectHead), Width: 20, Align: sheet.Right}, {Head: m.say(words.LetGoHead), Width: 33}}}
	name := map[mechanics.LoadKind]words.Word{mechanics.Bite: words.LoadBite, mechanics.Cross: words.LoadCross, mechanics.Incise: words.LoadIncise, mechanics.Pull: words.LoadPull}
	for _, kind := range mechanics.LoadKinds {
		for _, s := range m.worst[kind] {
			values := []any{m.name(s.Tooth), m.newtons(m.load(s.Case))}
			switch kind {
			case mechanics.Cross:
				across := s.Force.Across(m.Placement.Path.Direction)
				to := tooth.Lingual
				if m.outward(s.At).Dot(across) > 0 {
					to = tooth.Facial
				}
				values = append(values, m.newtons(across.Norm()), words.Term(m.Lang, "surface", string(to)))
			case mechanics.Incise:
				values[1] = m.newtons(s.Force.Norm())
			}
			row := sheet.Row{Cells: []string{m.say(name[kind], values...)}}
			if s.Free {
				off := m.say(words.ComesOff)
				if s.Held > 0 {
					off = m.say(words.HeldUpTo, m.num(s.Held*s.Force.Norm(), 1)+"\u00a0N")
				}
				row.Cells = append(row.Cells, m.sure(s.Sure.Held, off), "", "", "", "", "")
				if s.Held > 0 {
					row.Cells[5] = m.num(s.Indirect, 0)
				}
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
				moves = append(moves, m.sure(s.Sure.LetGo, m.say(words.ClaspShort, gone)))
			}
			if open := m.teethOf(s.Open); open != "" {
				moves = append(moves, m.sure(s.Sure.Open, m.say(words.RestShort, open)))
			}
			for _, c := range s.all {
				if c.Free {
					moves = append(moves, m.say(words.ComesOff))
					break
				}
			}
			turns := ""
			if s.Screw != nil {
				turns = m.turn(s)
			}
			sinks := of(sinkingOf, 2)
			if s.Sinking < -farOff {
				sinks = m.say(words.LiftsMore, m.num(farOff, 0)+"\u00a0mm")
			}
			row.Cells = append(row.Cells, strings.Join(by, "; "), of(mucosaOf, 0), sinks, turns, m.sure(s.Sure.Indirect, of(indirectOf, 0)), strings.Join(moves, "; "))
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
		m.say(words.AssumedSure),
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
