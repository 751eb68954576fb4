package rulebook

import (
	"maps"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Enough is the undercut from which a site counts as usable: that of a cast arm, less
// what a gauge reading may be off.
func (b *Book) Enough() float64 { return b.Limit("und.castCoCr") - 0.03 }

// plateFirst tells whether the proximal plate would act before a mesial rest, or the
// mesial rest has no room: tilted to mesial, turned, or blocked by the opponent.
func plateFirst(b *Book, c chart.Chart, n tooth.Number) bool {
	t := c.Teeth[n]
	tilted := t.TiltDeg != nil && *t.TiltDeg > b.Limit("abt.tiltRest") && (t.TiltToward == "mesial" || t.TiltToward == "" && n.Kind().Molar())
	turned := t.RotationDeg != nil && (*t.RotationDeg >= 30 || *t.RotationDeg <= -30)
	return tilted || turned || t.MesialContact == "blocked"
}

// Weak tells a tooth that carries less than a sound one: loose, with half of its bone
// lost, or with the longer part out of the bone.
func Weak(b *Book, c chart.Chart, n tooth.Number) bool {
	t := c.Teeth[n]
	return c.Stands(n) && (t.Mobility != nil && *t.Mobility >= 2 || t.BoneLossPercent != nil && *t.BoneLossPercent >= b.Limit("abt.boneLossDoubt") ||
		t.CrownRootRatio != nil && *t.CrownRootRatio > b.Limit("abt.crrWarn") || t.Prognosis == "doubtful")
}

// Doubtful tells a tooth that may be lost while the denture is worn.
func Doubtful(b *Book, c chart.Chart, n tooth.Number) bool {
	t := c.Teeth[n]
	return c.Stands(n) && (t.Prognosis == "doubtful" || t.Prognosis == "hopeless" || t.BoneLossPercent != nil && *t.BoneLossPercent >= b.Limit("abt.boneLossDoubt"))
}

// BarRoom tells whether a bar clasp has room at a tooth, with the reason where it has
// none and what was not known.
func BarRoom(b *Book, c chart.Chart, n tooth.Number) (room bool, why words.Text, unknown []words.Text) {
	if v, ok := c.Tissues.VestibuleDepthMM[n]; !ok {
		unknown = append(unknown, words.Tell("vestibule depth at %v", n))
	} else if v < b.Limit("bar.vestibuleWarn") {
		return false, words.Tell("the vestibule is only %v deep", words.Length(v)), unknown
	}
	if u, ok := c.Tissues.TissueUndercutMM[n]; ok && u.BelowMarginMM < b.Limit("bar.tissueStart") && u.DepthMM > b.Limit("bar.tissueDepth") {
		return false, words.Tell("a deep tissue undercut begins near the margin"), unknown
	}
	for _, m := range c.Tissues.FrenumNear {
		if m == n {
			return false, words.Tell("a frenum is attached there"), unknown
		}
	}
	return true, words.Text{}, unknown
}

// Scanned is a chart with what a scan shows of the soft tissue beside the teeth where the
// chart is silent: the floor, and fold and tissue undercuts that leave no doubt that a bar
// clasp has no room. It serves the choice of parts; checks read the scan themselves.
func Scanned(b *Book, c chart.Chart, t *survey.Tissues, spread float64) chart.Chart {
	if t == nil {
		return c
	}
	if spread == 0 {
		spread = b.Limit("scan.uncertainty")
	}
	depth, under := maps.Clone(c.Tissues.VestibuleDepthMM), maps.Clone(c.Tissues.TissueUndercutMM)
	for _, p := range t.Places {
		if p.Ridge != nil {
			continue
		}
		if _, charted := depth[p.Tooth]; !charted && p.Facial.Depth != nil {
			if v := p.Facial.Depth.Straight + foldSpread + p.Facial.Depth.Spread; v < b.Limit("bar.vestibuleWarn") {
				if depth == nil {
					depth = map[tooth.Number]float64{}
				}
				depth[p.Tooth] = v
			}
		}
		if _, charted := under[p.Tooth]; !charted && p.Facial.Undercut != nil {
			if u := p.Facial.Undercut; u.Depth-spread > b.Limit("bar.tissueDepth") && u.Below+spread < b.Limit("bar.tissueStart") {
				if under == nil {
					under = map[tooth.Number]chart.TissueUndercut{}
				}
				under[p.Tooth] = chart.TissueUndercut{DepthMM: u.Depth, BelowMarginMM: u.Below}
			}
		}
	}
	c.Tissues.VestibuleDepthMM, c.Tissues.TissueUndercutMM = depth, under
	if c.Arch == tooth.Lower && len(c.Tissues.FloorDepthMM) == 0 {
		floor := map[tooth.Number]float64{}
		for _, p := range t.Places {
			if p.Lingual.Depth != nil && p.Ridge == nil && p.Tooth.Place() <= 4 {
				floor[p.Tooth] = p.Lingual.Depth.Straight
			}
		}
		c.Tissues.FloorDepthMM = floor
	}
	return c
}

// AbutmentFacts are the facts that the retainer table asks of a tooth.
func AbutmentFacts(b *Book, c chart.Chart, class arch.Result, u Undercuts, n tooth.Number) *Scope {
	in := Input{Chart: c, Undercuts: u}
	g := &gatherer{book: b, in: in, class: class, out: &Facts{Case: newScope(nil), Subjects: map[Over][]Subject{}}}
	g.theCase()
	ts := newScope(g.out.Case)
	g.toothFound(ts, n)
	s := newScope(ts)
	kind, side := Beside(class, c, n)
	s.text("abutment.beside", kind)
	s.text("abutment.kind", KindWord(n))
	s.flag("abutment.pontic", c.State(n) == chart.Pontic)
	at := func(site tooth.Site) bool {
		r, _ := u.Found(n, site)
		return r.MM >= b.Enough()
	}
	seen := u.Known(n)
	s.flag("abutment.undercut_known", seen)
	mesial, mid, distal := at(tooth.MesioFacial), at(tooth.MidFacial), at(tooth.DistoFacial)
	ml, l, dl := at(tooth.MesioLingual), at(tooth.MidLingual), at(tooth.DistoLingual)
	near, far := distal, mesial
	if side == tooth.Mesial {
		near, far = mesial, distal
	}
	if kind == "bounded" && Pier(class, c, n) {
		far = mesial || distal // an arm may start from either space
	}
	s.flag("abutment.undercut_mesial", mesial)
	s.flag("abutment.undercut_mid", mid)
	s.flag("abutment.undercut_distal", distal)
	s.flag("abutment.undercut_near", near)
	s.flag("abutment.undercut_far", far)
	s.flag("abutment.undercut_facial", mesial || mid || distal)
	s.flag("abutment.undercut_lingual", ml || l || dl)
	// Where nothing was surveyed a tilted molar is taken to be undercut where tilting
	// makes it so.
	t := c.Teeth[n]
	tilted := t.TiltDeg != nil && *t.TiltDeg > b.Limit("abt.tiltRest") && (t.TiltToward == "mesial" || t.TiltToward == "lingual" || t.TiltToward == "")
	s.flag("abutment.tilted", tilted)
	s.flag("abutment.undercut_mesiolingual", ml || tilted && !seen)
	room, _, _ := BarRoom(b, c, n)
	s.flag("abutment.bar_room", room)
	s.flag("abutment.plate_first", plateFirst(b, c, n))
	pair := false
	for _, m := range []tooth.Number{n.Mesial(), n.Distal()} {
		pair = pair || m != 0 && Weak(b, c, n) && Weak(b, c, m)
	}
	s.flag("abutment.weak_pair", pair && kind != "none")
	s.flag("abutment.pier_by_extension", kind == "extension" && Pier(class, c, n))
	front, rear := g.boundedPair(n)
	s.flag("abutment.rear_doubtful", rear != 0 && front == n && Doubtful(b, c, rear) && kind == "bounded")
	s.flag("abutment.doubtful_rear", rear == n && Doubtful(b, c, n) && kind == "bounded")
	s.flag("abutment.front_of_space", rear != 0 && front == n)
	s.flag("abutment.front_of_axis", g.frontOfAxis(n))
	s.flag("abutment.smile", c.Patient.SmileLine == "high" && n.Place() <= 4)
	s.flag("abutment.embrasure", EmbrasurePartner(b, c, n) != 0)
	return s
}

// boundedPair are the front and the rear abutment of the bounded base that n stands
// beside; zero where it stands beside none or the space is in front.
func (g *gatherer) boundedPair(n tooth.Number) (front, rear tooth.Number) {
	for _, mesial := range []bool{false, true} {
		a, ok := areaBeside(g.class, g.in.Chart, n, mesial)
		if !ok || a.Kind != arch.Bounded {
			continue
		}
		ends := neighbours(g.in.Chart, a)
		if ends[0] == 0 || ends[1] == 0 || ends[0].Right() != ends[1].Right() {
			continue
		}
		if ends[0].Place() < ends[1].Place() {
			return ends[0], ends[1]
		}
		return ends[1], ends[0]
	}
	return 0, 0
}

// frontOfAxis tells whether a tooth stands in front of the line through the terminal
// abutments, or in Class II through the terminal abutment and the last tooth of the other
// side.
func (g *gatherer) frontOfAxis(n tooth.Number) bool {
	if g.class.Class != arch.I && g.class.Class != arch.II {
		return false
	}
	var first, last tooth.Number
	all := tooth.All(g.in.Chart.Arch)
	for _, t := range all {
		if Unfit(g.book, g.in.Chart, t) || t.Kind() == tooth.ThirdMolar && g.in.Chart.Teeth[t].Abutment == nil && g.class.Class == arch.II {
			continue
		}
		if first == 0 {
			first = t
		}
		last = t
	}
	if first == 0 || first == last {
		return false
	}
	// Where the other side has a bounded space, its rear abutment is the end of the line,
	// not a tooth behind it that carries nothing.
	if g.class.Class == arch.II {
		right := g.extensionRight()
		for i := range all {
			t := all[i]
			if right {
				t = all[len(all)-1-i]
			}
			if t.Right() == right {
				break
			}
			if kind, _ := Beside(g.class, g.in.Chart, t); kind == "bounded" && !Unfit(g.book, g.in.Chart, t) {
				if right {
					last = t
				} else {
					first = t
				}
				break
			}
		}
	}
	x := axis{place(first), place(last), true}
	return x.distance(place(n)) > OnAxis
}

// extensionRight tells the side of a Class II's extension.
func (g *gatherer) extensionRight() bool {
	for _, a := range g.class.Areas {
		if a.Kind == arch.Extension {
			return a.Teeth[0].Right() || a.Teeth[len(a.Teeth)-1].Right() && a.Teeth[0].Index() == 0
		}
	}
	return false
}

// EmbrasurePartner is the tooth in front of n that an embrasure clasp would share; 0 where
// none touches it or one of the two is unfit.
func EmbrasurePartner(b *Book, c chart.Chart, n tooth.Number) tooth.Number {
	m := n.Mesial()
	if m == 0 || Unfit(b, c, n) || Unfit(b, c, m) || !n.Kind().Molar() || m.Place() < 5 {
		return 0
	}
	if d := c.Teeth[n].Diastema; d != nil && *d {
		return 0
	}
	return m
}

// ConnectorFacts are the facts that the connector table asks of the arch.
func ConnectorFacts(b *Book, c chart.Chart, class arch.Result) *Scope {
	g := &gatherer{book: b, in: Input{Chart: c}, class: class, out: &Facts{Case: newScope(nil), Subjects: map[Over][]Subject{}}}
	g.theCase()
	s := newScope(g.out.Case)
	if c.Arch == tooth.Lower {
		lowerFacts(b, c, s)
	} else {
		upperFacts(b, c, class, s)
	}
	return s
}

func lowerFacts(b *Book, c chart.Chart, s *Scope) {
	if len(c.Tissues.FloorDepthMM) > 0 && c.Arch == tooth.Lower {
		s.num("lower.floor_mm", least(c.Tissues.FloorDepthMM), "mm", unit.Entered, 0)
	}
	s.flag("lower.frenum_high", c.Tissues.LingualFrenum == "high")
	stays := false
	for _, t := range c.Tissues.Tori {
		stays = stays || t.Place == "lingual" && torusStays(t)
	}
	s.flag("lower.torus_stays", stays)
	lean, loss, weak, tilted := false, false, false, false
	for _, n := range tooth.All(c.Arch) {
		if !c.Stands(n) || n.Place() > 5 {
			continue
		}
		t := c.Teeth[n]
		lean = lean || t.TiltToward == "lingual" && t.TiltDeg != nil && *t.TiltDeg > b.Limit("abt.tiltWarn")
		if !n.Kind().Anterior() {
			continue
		}
		loss = loss || n.Kind().Incisor() && Doubtful(b, c, n)
		weak = weak || t.Mobility != nil && *t.Mobility >= 2 || t.BoneLossPercent != nil && *t.BoneLossPercent >= 30
		tilted = tilted || t.TiltDeg != nil && *t.TiltDeg > b.Limit("abt.tiltRest") || t.RotationDeg != nil && (*t.RotationDeg >= 20 || *t.RotationDeg <= -20)
	}
	s.flag("lower.lingual_tilt_extreme", lean)
	s.flag("lower.incisor_loss_expected", loss)
	s.flag("lower.front_weak", weak)
	s.flag("lower.front_tilted", tilted)
	open, _ := diastema(c)
	s.flag("lower.diastema", open)
}

// torusStays tells a torus that is not to be removed: said so, or large and not said to
// be operable.
func torusStays(t chart.Torus) bool {
	if t.Operable != nil {
		return !*t.Operable
	}
	return t.Size != "small"
}

func upperFacts(b *Book, c chart.Chart, class arch.Result, s *Scope) {
	s.flag("upper.gag", c.Patient.Gag != nil && *c.Patient.Gag)
	stays, far := false, false
	for _, t := range c.Tissues.Tori {
		if t.Place == "palatal" && torusStays(t) {
			stays = true
			far = far || t.ToVibratingMM != nil && *t.ToVibratingMM <= b.Limit("tor.toVibrating")
		}
	}
	s.flag("upper.torus_stays", stays)
	s.flag("upper.torus_to_vibrating", far)
	front, longest, ext, last, weak := false, 0, 0, 9, false
	for _, a := range class.Areas {
		longest = max(longest, len(a.Teeth))
		for _, n := range a.Teeth {
			front = front || n.Kind().Anterior() && a.Kind == arch.Bounded
		}
		if a.Kind != arch.Extension {
			continue
		}
		ext = max(ext, len(a.Teeth))
		for _, n := range neighbours(c, a) {
			if n != 0 {
				last = min(last, n.Place())
				weak = weak || Weak(b, c, n)
			}
		}
	}
	s.flag("upper.front_space", front)
	s.count("upper.longest_span", longest)
	s.count("upper.longest_extension", ext)
	s.count("upper.last_abutment_place", last)
	s.flag("upper.abutments_weak", weak)
}
