// Package prep lists the mouth preparations that a design needs, tooth by tooth and in the
// order of work: treatment, crowns, guide planes, survey lines, undercuts, rest seats,
// polish. Amounts are in mm, angles in degrees to the path of insertion.
package prep

import (
	"math"
	"sort"
	"strings"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/placement"
	"halfpear/source"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

// Stage is the order of work. Seats come last because cutting a guide plane afterwards
// would take away the marginal ridge a seat stands in.
type Stage int

const (
	Treatment Stage = iota
	Crowns
	GuidePlanes
	SurveyLines
	Undercuts
	Seats
	Finish
)

var stageNames = [...]string{"treatment", "crowns", "guide planes", "survey lines", "undercuts", "rest seats", "polish and fluoride"}

func (s Stage) String() string { return stageNames[s] }

// Operation is what is done.
type Operation string

const (
	Treat         Operation = "treat-disease"
	Extract       Operation = "extract"
	FixedBridge   Operation = "fixed-bridge"
	Splint        Operation = "splint"
	SurveyCrown   Operation = "survey-crown"
	GuidePlane    Operation = "guide-plane"
	LowerContour  Operation = "lower-survey-line"
	Recontour     Operation = "recontour"
	Dimple        Operation = "dimple"
	Composite     Operation = "composite-undercut"
	OcclusalSeat  Operation = "occlusal-seat"
	ExtendedSeat  Operation = "extended-seat"
	EmbrasureSeat Operation = "embrasure-seat"
	CingulumSeat  Operation = "cingulum-seat"
	IncisalSeat   Operation = "incisal-seat"
	BallSeat      Operation = "ball-seat"
	OnlaySeat     Operation = "onlay-preparation"
	Polish        Operation = "polish"
	Fluoride      Operation = "fluoride"
)

// Item is one preparation on one surface of one tooth; Polish and Fluoride stand for all.
type Item struct {
	Stage     Stage
	Tooth     tooth.Number
	Surface   tooth.Surface
	Operation Operation
	For       design.ID // the part that needs it

	RemovalMM float64        // depth taken from the tooth; 0 where something is added
	BeforeMM  float64        // depth that an earlier step takes from the same upright surface
	ReachMM   float64        // height of a plane that the removal is enough for; 0: all that is asked
	AddMM     float64        // thickness added
	HeightMM  [2]float64     // least and greatest height; zero where it has none
	WidthMM   float64        // least width
	LengthMM  float64        // least length
	AngleDeg  *unit.Quantity // of the surface to the path as found; nil where not measured
	Material  string         // what is cut or added: enamel, gold, composite …
	EnamelMM  float64        // thickness of enamel there, a table's value; 0 not known
	AtRisk    bool           // the enamel may be cut through

	Text     words.Text   // the preparation in a sentence
	Check    words.Text   // how it is checked afterwards
	Cautions []words.Text // what to watch
	Sources  []source.Ref
}

// EnamelLeftMM is the enamel that remains; 0 where the table says nothing.
func (i Item) EnamelLeftMM() float64 {
	if i.EnamelMM == 0 {
		return 0
	}
	return i.EnamelMM - i.BeforeMM - i.RemovalMM
}

// upright tells of a cut into an upright surface, where little enamel may be taken in all.
func (i Item) upright() bool {
	return i.Operation == GuidePlane || i.Operation == LowerContour || i.Operation == Recontour
}

// Plan is all preparations in order of work.
type Plan struct{ Items []Item }

// On lists the preparations of one tooth in order of work.
func (p Plan) On(n tooth.Number) []Item {
	var out []Item
	for _, i := range p.Items {
		if i.Tooth == n {
			out = append(out, i)
		}
	}
	return out
}

// Has tells whether the plan does something to a tooth.
func (p Plan) Has(n tooth.Number, ops ...Operation) bool {
	for _, i := range p.Items {
		for _, op := range ops {
			if i.Tooth == n && i.Operation == op {
				return true
			}
		}
	}
	return false
}

// Amounts are the sizes that a school may set.
type Amounts struct {
	GuideBounded   [2]float64 // height of a guide plane beside a bounded base
	GuideExtension [2]float64 // and beside an extension base
	MaxEnamel      float64    // most taken from an upright surface
	SeatDepth      float64    // of an occlusal seat at the marginal ridge
	SeatDeepest    float64
	SeatWidth      float64
	CingLength     float64
	CingWidth      float64
	CingDepth      float64
	IncWidth       float64
	IncDepth       float64
	Embrasure      float64    // room for metal through an embrasure
	Dimple         [3]float64 // length, height, depth
	Parallel       float64    // a plane nearer to the path than this needs no cutting [deg]
}

// Usual are the taught sizes: guide planes and dimple as in the course sets cited with
// each item, seats as in the examination keys.
func Usual() Amounts {
	return Amounts{GuideBounded: [2]float64{3, 4}, GuideExtension: [2]float64{1.5, 2}, MaxEnamel: 0.5, SeatDepth: 1.5, SeatDeepest: 2, SeatWidth: 2.5,
		CingLength: 2.5, CingWidth: 2, CingDepth: 1.5, IncWidth: 2.5, IncDepth: 1.5, Embrasure: 1.5, Dimple: [3]float64{4, 2, 0.25}, Parallel: 2}
}

// Input is what the preparations follow from.
type Input struct {
	Chart     chart.Chart
	Class     arch.Result
	Design    design.Design
	Placement *placement.Placement // nil: nothing is measured
	// Undercut gives what was found at a site; nil or false where nothing is known.
	Undercut func(tooth.Number, tooth.Site) (float64, bool)
	Amounts  Amounts
}

var (
	loney      = source.Ref{Key: "loney-2011", Cite: "Loney RW. Removable Partial Denture Manual. Dalhousie University 2011, pp. 14, 20, 27, 48, 49, 68", Mark: source.LookedUp, Grade: "C"}
	examKeys   = source.Ref{Key: "exam-keys", Cite: "Dental examination keys (Georgia; US licensing; Missouri-Kansas City cards)", Mark: source.LookedUp, Grade: "D"}
	lectures   = source.Ref{Key: "preparation-lectures", Cite: "Lecture notes on mouth preparation, after McCracken", Mark: source.LookedUp, Grade: "D"}
	stewart    = source.Ref{Key: "stewart-2008", Cite: "Phoenix RD, Cagna DR, DeFreest CF. Stewart's Clinical Removable Partial Prosthodontics, 4th ed. Quintessence 2008", Mark: source.FromMemory, Grade: "C"}
	jones      = source.Ref{Key: "jones-1992", Cite: "Jones RM, Goodacre CJ, Brown DT, Munoz CA, Rake PC. Int J Prosthodont 1992;5:227-236", Mark: source.LookedUp, Grade: "B"}
	canine     = source.Ref{Key: "lower-canine-casts", Cite: "Facial surfaces of lower canines, 50 casts", Mark: source.LookedUp, Grade: "B"}
	chandler   = source.Ref{Key: "chandler-1973", Cite: "Chandler HT, Brudvik JS, Fisher WT. 1973, survey crowns", Mark: source.LookedUp, Grade: "C"}
	ankara     = source.Ref{Key: "ankara-etextbook", Cite: "Ankara University, open e-textbook on removable partial dentures, 2024-25", Mark: source.LookedUp, Grade: "C"}
	mccracken  = source.Ref{Key: "mccracken-2011", Cite: "Carr AB, Brown DT. McCracken's Removable Partial Prosthodontics, 12th ed. Elsevier 2011", Mark: source.FromMemory, Grade: "C"}
	habit      = source.Ref{Key: "common-practice", Cite: "the trade does it so; no single source", Mark: source.CommonPractice}
	splintRefs = source.Ref{Key: "splinting-review-2004", Cite: "Splinting of abutments, Acta Odontol Venez 2004", Mark: source.LookedUp, Grade: "C"}
)

// Making tells how a retainer's undercut is to be made first, from what the part says.
func Making(p design.Part) (Operation, bool) {
	for _, m := range []struct {
		word string
		op   Operation
	}{{"survey crown", SurveyCrown}, {"composite", Composite}, {"dimple", Dimple}, {"recontour", Recontour}} {
		if strings.Contains(p.Note, "undercut made by "+m.word) {
			return m.op, true
		}
	}
	return "", false
}

// enamel is the usual thickness of enamel [mm] where a preparation is cut: proximal 0.8,
// marginal ridge 1.5, cervical third 0.3 to 0.5, a lower canine's cingulum less than 1
// (from memory, McCracken's and Stewart's); the lesser end of each range.
func enamel(op Operation, n tooth.Number) float64 {
	switch op {
	case GuidePlane, LowerContour, Recontour:
		return 0.8
	case OcclusalSeat, ExtendedSeat, EmbrasureSeat:
		return 1.5
	case Dimple:
		return 0.4
	case CingulumSeat, BallSeat:
		if n.Arch() == tooth.Lower {
			return 0.7
		}
		return 0 // no value for the upper cingulum is at hand
	case IncisalSeat:
		return 1.5
	}
	return 0
}

// Make lists the preparations of a design in order of work.
func Make(in Input) Plan {
	if in.Amounts == (Amounts{}) {
		in.Amounts = Usual()
	}
	m := maker{in: in}
	for _, n := range tooth.All(in.Chart.Arch) {
		if in.Chart.State(n) == chart.Extract {
			m.items = append(m.items, Item{Stage: Treatment, Tooth: n, Operation: Extract, Text: words.Tell("Extract %d early, so that the ridge has healed before the final impression.", n),
				Check: words.Tell("Healed, without sharp edges of bone under the base."), Sources: []source.Ref{lectures}})
		}
	}
	for _, n := range in.Design.Abutments() {
		if in.Chart.Stands(n) {
			m.treat(n)
		}
	}
	for _, p := range in.Design.Parts {
		if p.Tooth != 0 && !in.Chart.Stands(p.Tooth) {
			continue // a part on a missing tooth is the checklist's business
		}
		switch p.Kind {
		case design.GuidePlate:
			m.guidePlane(p)
		case design.Retainer:
			m.undercut(p)
		case design.Reciprocation:
			m.reciprocal(p)
		case design.Rest:
			m.seat(p)
		}
	}
	if len(m.items) > 0 {
		m.add(Item{Stage: Finish, Operation: Polish, Text: words.Tell("Polish every cut surface."), Check: words.Tell("Smooth to the probe."), Sources: []source.Ref{lectures}})
		m.add(Item{Stage: Finish, Operation: Fluoride, Text: words.Tell("Fluoride on every cut surface."), Check: words.Tell("Inspect the surfaces at each recall."), Sources: []source.Ref{jones}})
	}
	sort.SliceStable(m.items, func(i, j int) bool {
		a, b := m.items[i], m.items[j]
		if a.Stage != b.Stage {
			return a.Stage < b.Stage
		}
		return a.Tooth.Index() < b.Tooth.Index()
	})
	return Plan{Items: m.items}
}

type maker struct {
	in    Input
	items []Item
}

func (m *maker) add(i Item) {
	for _, have := range m.items {
		if have.Tooth == i.Tooth && have.Operation == i.Operation && have.Surface == i.Surface {
			return
		}
	}
	if i.EnamelMM == 0 && i.RemovalMM > 0 && i.Material == "enamel" {
		i.EnamelMM = enamel(i.Operation, i.Tooth)
	}
	if i.upright() {
		for _, have := range m.items {
			if have.upright() && have.Tooth == i.Tooth && have.Surface == i.Surface {
				i.BeforeMM += have.RemovalMM
			}
		}
		if most := m.in.Amounts.MaxEnamel; i.BeforeMM > 0 && i.BeforeMM+i.RemovalMM > most {
			i.RemovalMM = max(0, most-i.BeforeMM)
			i.Cautions = append(i.Cautions, words.Tell("Together with the guide plane on this surface no more than %.1f mm: cut the plane so that it takes the line down with it; where that is not enough, plan a plate or a crown.", most))
		}
	}
	if i.EnamelMM > 0 && i.RemovalMM >= i.EnamelMM {
		i.AtRisk = true
		i.Cautions = append(i.Cautions, words.Tell("The cut may pass the enamel; restore the floor where dentine shows, and give fluoride."))
	}
	m.items = append(m.items, i)
}

func (m *maker) treat(n tooth.Number) {
	t := m.in.Chart.Teeth[n]
	var what []words.Text
	if t.Caries == "active" {
		what = append(what, words.Tell("caries"))
	}
	if t.Periodontal == "active" {
		what = append(what, words.Tell("periodontal infection"))
	}
	if len(what) > 0 {
		m.add(Item{Stage: Treatment, Tooth: n, Operation: Treat, Text: words.Tell("Treat before anything is cut: %v of %d.", words.Listed(what...), n),
			Check: words.Tell("Sound and calm before the tooth is prepared."), Sources: []source.Ref{lectures}})
	}
	for _, p := range m.in.Design.On(design.Retainer, n) {
		if strings.Contains(p.Note, "crowns joined first") {
			m.add(Item{Stage: Crowns, Tooth: n, Operation: Splint, For: p.ID, Text: words.Tell("Join the crown of %d to its weak neighbour on the path of the denture.", n),
				Check: words.Tell("Survey the wax and the veneer."), Cautions: []words.Text{words.Tell("Joining more than two teeth is of doubtful use.")}, Sources: []source.Ref{splintRefs}})
		}
		if op, ok := Making(p); ok && op == SurveyCrown {
			m.add(Item{Stage: Crowns, Tooth: n, Operation: SurveyCrown, For: p.ID, RemovalMM: 0,
				Text:  words.Tell("Survey crown on %d: guide plane on the path, seat in the wax, ledge in the middle third of the lingual, undercut of %.2f mm on the facial; 1.0 to 1.5 mm more reduction where the rest lies.", n, planned(p)),
				Check: words.Tell("Survey the wax and the finished crown."), Cautions: []words.Text{words.Tell("The crown is made before the framework, on the same path.")}, Sources: []source.Ref{chandler, mccracken}})
		}
	}
}

func planned(p design.Part) float64 {
	if p.Undercut == nil {
		return 0.25
	}
	return p.Undercut.MM
}

// crowned tells whether a tooth gets a survey crown; then nothing is cut in its enamel.
func (m *maker) crowned(n tooth.Number) bool {
	for _, p := range m.in.Design.On(design.Retainer, n) {
		if op, ok := Making(p); ok && op == SurveyCrown {
			return true
		}
	}
	return m.in.Chart.Teeth[n].Crown == "survey"
}

// cutIn is what a cut goes into.
func (m *maker) cutIn(n tooth.Number) string {
	switch m.in.Chart.Teeth[n].Crown {
	case "metal", "survey":
		return "metal"
	case "ceramic":
		return "ceramic"
	}
	if s := m.in.Chart.State(n); s == chart.Pontic || s == chart.Implant {
		return "ceramic" // it has no enamel; of what it is made the chart does not say
	}
	return "enamel"
}

func (m *maker) besideExtension(n tooth.Number, s tooth.Surface) bool {
	next := n.Distal()
	if s == tooth.Mesial {
		next = n.Mesial()
	}
	if next == 0 {
		return false
	}
	a, ok := m.in.Class.Tooth(next)
	return ok && a.Kind == arch.Extension
}

func (m *maker) measure(id design.ID, name string) (float64, bool) {
	if m.in.Placement == nil {
		return 0, false
	}
	q, ok := m.in.Placement.Part(id)
	if !ok {
		return 0, false
	}
	v, ok := q.Measure(name, 0)
	return v.Quantity.Value, ok
}

func (m *maker) guidePlane(p design.Part) {
	if m.crowned(p.Tooth) || p.SeatsFirst() {
		return // on a rotational path the undercut under the plate is what it holds in
	}
	a := m.in.Amounts
	i := Item{Stage: GuidePlanes, Tooth: p.Tooth, Surface: p.Surface, Operation: GuidePlane, For: p.ID, HeightMM: a.GuideBounded, Material: m.cutIn(p.Tooth),
		RemovalMM: a.MaxEnamel, Check: words.Tell("A quick cast on the surveyor: the analysing rod lies flat on the plane."), Sources: []source.Ref{examKeys, loney}}
	beside := words.Tell("beside the bounded base")
	if m.besideExtension(p.Tooth, p.Surface) {
		i.HeightMM, beside = a.GuideExtension, words.Tell("beside the extension base")
	}
	if p.Surface == tooth.Lingual {
		i.HeightMM, beside = [2]float64{2, 4}, words.Tell("opposite the retentive arm")
	}
	angle := words.Tell("parallel to the path")
	if v, ok := m.measure(p.ID, "plane_angle_deg"); ok {
		i.AngleDeg = &unit.Quantity{Value: v, Unit: "deg", Origin: unit.Measured}
		if v <= a.Parallel {
			i.RemovalMM = 0
			angle = words.Tell("already within %.0f° of the path: polish only", a.Parallel)
		} else {
			angle = words.Tell("parallel to the path, from which it stands off %.1f° now", v)
			// A face of height h that leans by v is upright after h·tan(v) is taken at its
			// bulge. The plane is as high as the plate on it, within what is taught.
			high := i.HeightMM[0]
			if laid, ok := m.measure(p.ID, "plate_height"); ok {
				high = max(high, min(laid, i.HeightMM[1]))
			}
			i.RemovalMM = min(a.MaxEnamel, high*tanDeg(v))
			if reach := a.MaxEnamel / tanDeg(v); reach < i.HeightMM[0] {
				i.ReachMM = reach
				i.Cautions = append(i.Cautions, words.Tell("The whole height would take %.1f mm here. What may be taken gives a plane of %.1f mm: change the tilt, block out below the shorter plane, or plan a crown.",
					i.HeightMM[0]*tanDeg(v), reach))
			}
		}
	}
	i.Text = words.Tell("Guide plane on the surface %v of %d, %.1f to %.1f mm high, %v, %v; follow the curve of the tooth, as wide as the rest.",
		surface(p.Surface), p.Tooth, i.HeightMM[0], i.HeightMM[1], beside, angle)
	i.Cautions = append(i.Cautions, words.Tell("No more than %.1f mm of enamel; no cut into the cervical third.", a.MaxEnamel))
	m.add(i)
}

// tanDeg is the tangent of an angle; beyond 80 degrees it grows no more, as nothing can be
// cut there.
func tanDeg(d float64) float64 { return math.Tan(min(d, 80) * math.Pi / 180) }

func (m *maker) reciprocal(p design.Part) {
	if p.Form != design.ReciprocalArm || m.crowned(p.Tooth) {
		return
	}
	k := p.Tooth.Kind()
	side := tooth.Lingual
	if p.Surface != "" {
		side = p.Surface
	}
	if side == tooth.Lingual {
		m.add(Item{Stage: GuidePlanes, Tooth: p.Tooth, Surface: side, Operation: GuidePlane, For: p.ID, HeightMM: [2]float64{2, 4}, Material: m.cutIn(p.Tooth), RemovalMM: m.in.Amounts.MaxEnamel,
			Text:     words.Tell("Guide plane on the lingual of %d, 2 to 4 mm high in the middle third, parallel to the path, where the rigid arm slides.", p.Tooth),
			Check:    words.Tell("A quick cast on the surveyor: the arm's plane touches before the tip meets the survey line."),
			Cautions: []words.Text{words.Tell("Only where the surface is not upright already; no more than 0.5 mm of enamel.")}, Sources: []source.Ref{loney}})
	}
	if v, ok := m.measure(p.ID, "arm_height_share"); ok && v <= 0.67 {
		return
	} else if !ok && !(p.Tooth.Arch() == tooth.Lower && (k.Premolar() || k.Molar())) {
		return
	}
	m.add(Item{Stage: SurveyLines, Tooth: p.Tooth, Surface: side, Operation: LowerContour, For: p.ID, RemovalMM: m.in.Amounts.MaxEnamel, Material: m.cutIn(p.Tooth),
		Text:     words.Tell("Lower the survey line on the surface %v of %d into the middle third where the reciprocal arm lies.", surface(side), p.Tooth),
		Check:    words.Tell("Survey again: the line lies in the middle third."),
		Cautions: []words.Text{words.Tell("Only where the survey shows the line in the occlusal third; no more than 0.5 mm.")}, Sources: []source.Ref{mccracken, loney}})
}

func (m *maker) undercut(p design.Part) {
	if p.Undercut == nil || m.crowned(p.Tooth) {
		return
	}
	op, made := Making(p)
	if !made && m.in.Undercut != nil {
		if have, ok := m.in.Undercut(p.Tooth, p.Undercut.Site); ok && have < p.Undercut.MM-0.10 {
			op, made = Composite, true
		}
	}
	if !made {
		return
	}
	a, site := m.in.Amounts, words.Code{Group: "site", Code: string(p.Undercut.Site)}
	i := Item{Stage: Undercuts, Tooth: p.Tooth, Surface: p.Undercut.Site.Surface(), Operation: op, For: p.ID,
		Check: words.Tell("Survey again: the gauge reads %.2f mm at the site %v.", p.Undercut.MM, site)}
	switch op {
	case Dimple:
		i.RemovalMM, i.LengthMM, i.HeightMM, i.Material = a.Dimple[2], a.Dimple[0], [2]float64{a.Dimple[1], a.Dimple[1]}, m.cutIn(p.Tooth)
		i.Text = words.Tell("Dimple at the site %v of %d, %.0f mm long, %.0f mm high, %.2f mm deep, parallel to the gingival margin, just inside the gingival third.",
			site, p.Tooth, a.Dimple[0], a.Dimple[1], a.Dimple[2])
		i.Sources = []source.Ref{stewart}
		i.Cautions = []words.Text{words.Tell("The enamel near the neck is thin: if less than 0.5 mm would be left, add composite instead.")}
	case Recontour:
		i.Stage, i.RemovalMM, i.Material = SurveyLines, a.MaxEnamel, m.cutIn(p.Tooth)
		i.Text = words.Tell("Recontour the facial of %d so that an undercut of %.2f mm is left at the site %v.", p.Tooth, p.Undercut.MM, site)
		i.Sources = []source.Ref{mccracken}
	default:
		i.AddMM, i.Material = p.Undercut.MM, "composite"
		i.Text = words.Tell("Add composite of %.2f mm above the site %v of %d, blended, so that an undercut of %.2f mm is made below it.", p.Undercut.MM, site, p.Tooth, p.Undercut.MM)
		i.Cautions = []words.Text{words.Tell("Composite wears under the clasp: check it each year.")}
		i.Sources = []source.Ref{canine}
	}
	m.add(i)
}

func surface(s tooth.Surface) words.Code { return words.Code{Group: "surface", Code: string(s)} }

func (m *maker) seat(p design.Part) {
	t := m.in.Chart.Teeth[p.Tooth]
	if t.RestSeat == "present" || m.crowned(p.Tooth) {
		return
	}
	a := m.in.Amounts
	i := Item{Stage: Seats, Tooth: p.Tooth, Surface: p.Site, For: p.ID, Material: m.cutIn(p.Tooth), Check: words.Tell("Wax bite: the metal has its thickness, and the floor falls toward the middle of the tooth."),
		Sources: []source.Ref{examKeys, jones}}
	if t.SeatMaterial != "" {
		i.Material = t.SeatMaterial
	}
	switch p.Form {
	case design.RestExtended:
		i.Operation, i.RemovalMM, i.WidthMM = ExtendedSeat, a.SeatDepth, a.SeatWidth
		i.Text = words.Tell("Extended seat from the marginal ridge (%v) of %d past the middle of the crown, %.1f mm deep at the ridge, %.1f mm wide at least.", surface(p.Site), p.Tooth, a.SeatDepth, a.SeatWidth)
	case design.RestEmbrasure:
		i.Operation, i.RemovalMM, i.WidthMM = EmbrasureSeat, a.SeatDepth, a.SeatWidth
		i.Text = words.Tell("Embrasure seat at the side %v of %d, %.1f mm deep, with a channel of 3.0 to 3.5 mm only where an arm crosses; keep the contact point.", surface(p.Site), p.Tooth, a.Embrasure)
		i.Sources = []source.Ref{loney, stewart}
	case design.RestCingulum:
		i.Operation, i.RemovalMM, i.WidthMM, i.LengthMM = CingulumSeat, a.CingDepth, a.CingWidth, a.CingLength
		i.Surface = tooth.Lingual
		if p.Tooth.Arch() == tooth.Lower && i.Material == "enamel" {
			i.RemovalMM, i.AddMM, i.Material = 0, a.CingDepth, "composite"
			i.Text = words.Tell("Bonded cingulum seat on %d, built up in composite or metal: %.1f mm deep, %.1f mm long, %.1f mm wide.", p.Tooth, a.CingDepth, a.CingLength, a.CingWidth)
			i.Cautions = append(i.Cautions, words.Tell("The enamel of a lower front tooth is too thin to cut a seat."))
			i.Sources = []source.Ref{ankara}
		} else {
			i.Text = words.Tell("Cingulum seat on %d where gingival and middle third meet, crescent form, %.1f mm deep, %.1f mm long, %.1f mm wide.", p.Tooth, a.CingDepth, a.CingLength, a.CingWidth)
		}
	case design.RestBall:
		i.Operation, i.RemovalMM, i.WidthMM = BallSeat, 1, 1.75
		i.Text = words.Tell("Round seat on the lingual of %d, 1.5 to 2.0 mm across.", p.Tooth)
		i.Sources = []source.Ref{stewart}
	case design.RestIncisal:
		i.Operation, i.RemovalMM, i.WidthMM = IncisalSeat, a.IncDepth, a.IncWidth
		i.Text = words.Tell("Incisal seat at the angle (%v) of %d, %.1f mm wide, %.1f mm deep, 1.5 to 2.0 mm from the corner, rounded, bevelled to both sides.", surface(p.Site), p.Tooth, a.IncWidth, a.IncDepth)
		i.Sources = []source.Ref{examKeys, stewart}
	case design.RestOnlay:
		i.Operation = OnlaySeat
		i.Text = words.Tell("Shape the occlusal surface of %d for an onlay rest.", p.Tooth)
		i.Sources = []source.Ref{habit}
	default:
		i.Operation, i.RemovalMM, i.WidthMM, i.LengthMM = OcclusalSeat, a.SeatDepth, a.SeatWidth, a.SeatWidth
		i.Text = words.Tell("Occlusal seat at the marginal ridge (%v) of %d, spoon-shaped: %.1f mm deep at the ridge, %.1f mm in its middle, %.1f mm wide at least, a third to a half of the crown long.",
			surface(p.Site), p.Tooth, a.SeatDepth, a.SeatDeepest, a.SeatWidth)
	}
	if i.Operation != CingulumSeat || i.AddMM == 0 {
		i.Cautions = append(i.Cautions, words.Tell("Dentine shows in six of ten seats: look, restore where it does, and give fluoride."))
	}
	m.add(i)
}
