package rulebook

import (
	"math"

	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/prep"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/unit"
)

// Input is what facts are gathered from. Everything but the chart may be absent; what is
// absent is not known, and checks that need it are not done.
type Input struct {
	Chart     chart.Chart
	Undercuts Undercuts       // read with a gauge, or measured on the cast
	Gauged    []Gauged        // readings by hand beside those on a scan
	Tissues   *survey.Tissues // measured on a scan; they serve where the chart is silent
	Path      *Path
	Design    *design.Design
	Placement *placement.Placement
	// CastIs says what the placement's cast is: Measured on a scan, Average where it was
	// made from the chart.
	CastIs unit.Origin
	Spread float64 // of lengths on the cast [mm]; 0 takes scan.uncertainty

	Plan     *prep.Plan
	Treated  bool // the plan's treatments count as decided, as in a proposal
	Order    Order
	Forces   *Forces
	Returned *Returned
}

// Reading is an undercut at one site.
type Reading struct {
	MM            float64
	AboveMarginMM *float64 // of the place where it was read
	Origin        unit.Origin
	Spread        float64
}

// Gauged is an undercut read by hand beside what the scan shows at the same place, each
// with how far it may be off.
type Gauged struct {
	Tooth        tooth.Number
	Site         tooth.Site
	ByHand, Scan unit.Quantity
}

// Uncertainty is how far the two may differ though both are right [mm].
func (g Gauged) Uncertainty() float64 { return g.ByHand.Spread + g.Scan.Spread }

// Agrees tells whether they differ by no more.
func (g Gauged) Agrees() bool { return math.Abs(g.ByHand.Value-g.Scan.Value) <= g.Uncertainty() }

// Undercuts are the undercuts known, tooth by tooth. A tooth that is there but has no
// reading at a site has no undercut worth clasping there.
type Undercuts map[tooth.Number]map[tooth.Site]Reading

// At is the undercut at a site, be it an average crown's; false where the tooth is not
// known at all.
func (u Undercuts) At(n tooth.Number, s tooth.Site) (Reading, bool) {
	m, ok := u[n]
	if !ok {
		return Reading{}, false
	}
	return m[s], true
}

// Found is the undercut found in this mouth at a site, by gauge or on a scan; false where
// nothing was found out. What an average crown shows is no finding.
func (u Undercuts) Found(n tooth.Number, s tooth.Site) (Reading, bool) {
	if !u.Known(n) {
		return Reading{}, false
	}
	return u[n][s], true
}

// Known tells whether the undercuts of a tooth of this mouth are known.
func (u Undercuts) Known(n tooth.Number) bool {
	for _, r := range u[n] {
		if r.Origin != unit.Average {
			return true
		}
	}
	return false
}

// Path is the chosen path of insertion.
type Path struct {
	AnteriorDeg, RightDeg float64
	TiltDeg               float64
	Tripod                []geom.Vec     // nil: whether there are marks is not known
	TripodOn              []tooth.Number // teeth that a mark lies on
}

// Order is what is decided for the laboratory. A nil Fields is no order at all.
type Order struct {
	Fields map[string]string // by the order's field names
}

// Forces are the results of mechanics that rules judge; what was not reckoned is nil.
type Forces struct {
	Arms      map[design.ID]ArmForces
	Tipping   map[tooth.Number]unit.Quantity // greatest moment on an abutment under a bite [N·mm]
	Retention *unit.Quantity                 // of the whole denture [N]
	Sinking   *unit.Quantity                 // of a base under a bite [mm]
	Indirect  *unit.Quantity                 // on the indirect retainers under a sticky pull [N]
	Pulls     int                            // sticky pulls reckoned
	Lifted    int                            // of these, how many the clasps alone do not hold
	LeastHeld *unit.Quantity                 // the least that they hold of a pull [N]
	Gives     *unit.Quantity                 // of the major connector under the standard load [mm]
	Twists    *unit.Quantity                 // the same [deg]
}

// ArmForces are those of a retainer's most stressed arm.
type ArmForces struct {
	StressRatio *unit.Quantity // peak stress over the proportional limit
	Hold        *unit.Quantity // against withdrawal [N]
	MayGo       *unit.Quantity // how far the tip may be bent [mm]
	Set         *unit.Quantity // that it keeps after the first time [mm]
	AsWire      *unit.Quantity // the stress ratio of a wire on the same way
	OnBite      string         // what the tip does when the base is bitten on; empty where that is not sure
}

// Returned is what was measured on a framework that came back.
type Returned struct {
	RestGap, Difference *unit.Quantity
	Absent              []string
}

// Gather computes every fact of a case that can be known.
func Gather(b *Book, in Input) *Facts {
	class, _ := arch.Classify(in.Chart.Pattern(b.Strict()))
	if in.Spread == 0 {
		in.Spread = b.Limit("scan.uncertainty")
	}
	if in.CastIs == "" {
		in.CastIs = unit.Average
	}
	g := &gatherer{book: b, in: in, class: class, out: &Facts{Case: newScope(nil), Subjects: map[Over][]Subject{}}}
	g.theCase()
	g.theTissues()
	g.thePath()
	g.theTeeth()
	g.theReadings()
	if in.Design != nil {
		g.theDesign()
		g.theParts()
		g.thePairs()
	}
	g.thePlan()
	g.theOrder()
	g.theReturn()
	return g.out
}

type gatherer struct {
	book  *Book
	in    Input
	class arch.Result
	out   *Facts
	teeth map[tooth.Number]*Scope
	line  axis // fulcrum line of the design
}

func (g *gatherer) subject(o Over, s Subject) { g.out.Subjects[o] = append(g.out.Subjects[o], s) }

// parts lists the design's parts of a kind; empty where there is no design.
func (g *gatherer) parts(k design.Kind) []design.Part {
	if g.in.Design == nil {
		return nil
	}
	return g.in.Design.Of(k)
}

// areaBeside is the edentulous area next to n on a side; false where a tooth stands there
// or the space is closed or not counted.
func areaBeside(class arch.Result, c chart.Chart, n tooth.Number, mesial bool) (arch.Area, bool) {
	// Steps run along the arch, so that past the midline they go on to the other side.
	step := -1
	if n.Right() == mesial {
		step = 1
	}
	for i := n.Index() + step; ; i += step {
		next := tooth.At(c.Arch, i)
		if next == 0 || c.Stands(next) {
			return arch.Area{}, false
		}
		if a, ok := class.Tooth(next); ok {
			return a, true
		}
		// A closed or left-out place: the tooth beyond it is the neighbour.
	}
}

// Beside says what n stands beside: an extension base, a bounded one or none, and on
// which side that space lies. An extension outranks a bounded space.
func Beside(class arch.Result, c chart.Chart, n tooth.Number) (kind string, side tooth.Surface) {
	kind = "none"
	for _, s := range []struct {
		mesial bool
		side   tooth.Surface
	}{{false, tooth.Distal}, {true, tooth.Mesial}} {
		a, ok := areaBeside(class, c, n, s.mesial)
		if !ok {
			continue
		}
		if a.Kind == arch.Extension {
			return "extension", s.side
		}
		if kind == "none" {
			kind, side = "bounded", s.side
		}
	}
	return kind, side
}

// Pier tells a tooth with a space on both sides.
func Pier(class arch.Result, c chart.Chart, n tooth.Number) bool {
	_, m := areaBeside(class, c, n, true)
	_, d := areaBeside(class, c, n, false)
	return m && d
}

// KindWord is a tooth's kind as facts name it.
func KindWord(n tooth.Number) string {
	switch k := n.Kind(); {
	case k.Incisor():
		return "incisor"
	case k == tooth.Canine:
		return "canine"
	case k.Premolar():
		return "premolar"
	}
	return "molar"
}

// Unfit tells a tooth that may carry nothing.
func Unfit(b *Book, c chart.Chart, n tooth.Number) bool {
	t := c.Teeth[n]
	return !c.Stands(n) || t.Prognosis == "hopeless" || t.Abutment != nil && !*t.Abutment ||
		t.Mobility != nil && float64(*t.Mobility) >= b.Limit("abt.mobilityNoUse")
}

// neighbours are the standing teeth at the two ends of an area, right end first; 0 where
// none stands.
func neighbours(c chart.Chart, a arch.Area) [2]tooth.Number {
	var out [2]tooth.Number
	all := tooth.All(c.Arch)
	for i := a.Teeth[0].Index() - 1; i >= 0; i-- {
		if c.Stands(all[i]) {
			out[0] = all[i]
			break
		}
	}
	for i := a.Teeth[len(a.Teeth)-1].Index() + 1; i < len(all); i++ {
		if c.Stands(all[i]) {
			out[1] = all[i]
			break
		}
	}
	return out
}

// Ends are the standing teeth at the two ends of an area, the patient's right end first;
// 0 where none stands or the one that stands is not to be used.
func Ends(b *Book, c chart.Chart, a arch.Area) [2]tooth.Number { return neighbours(c, a) }

// Amounts are the book's sizes for mouth preparations.
func (b *Book) Amounts() prep.Amounts {
	return prep.Amounts{
		GuideBounded:   [2]float64{b.Limit("gp.heightBoundedMin"), b.Limit("gp.heightBoundedMax")},
		GuideExtension: [2]float64{b.Limit("gp.heightExtensionMin"), b.Limit("gp.heightExtensionMax")},
		MaxEnamel:      b.Limit("gp.maxEnamel"),
		SeatDepth:      b.Limit("rest.depthRidge"), SeatDeepest: b.Limit("rest.depthCentre"), SeatWidth: b.Limit("rest.minWidth"),
		CingLength: b.Limit("rest.cingLength"), CingWidth: b.Limit("rest.cingWidth"), CingDepth: b.Limit("rest.cingDepth"),
		IncWidth: b.Limit("rest.incWidth"), IncDepth: b.Limit("rest.incDepth"), Embrasure: b.Limit("rest.embrasureRoom"),
		Dimple:   [3]float64{b.Limit("dimple.length"), b.Limit("dimple.height"), b.Limit("dimple.depth")},
		Parallel: b.Limit("gp.parallelTol"),
	}
}

// Laying are the book's limits for laying parts on a cast.
func (b *Book) Laying() placement.Limits {
	l := placement.Defaults()
	l.TipMarginClear, l.TipShare = b.Limit("tip.gmClear"), b.Limit("clasp.tipFraction")
	l.WireMinLength, l.MaxUndercut = b.Limit("clasp.wireMinLength"), b.Limit("und.max")
	l.RestMinWidth, l.RestDepthRidge, l.RestDepthCentre = b.Limit("rest.minWidth"), b.Limit("rest.depthRidge"), b.Limit("rest.depthCentre")
	l.RestMetalRidge, l.RestMetalMin = b.Limit("rest.metalRidge"), b.Limit("rest.metalMin")
	l.CingLength, l.CingWidth, l.CingDepth = b.Limit("rest.cingLength"), b.Limit("rest.cingWidth"), b.Limit("rest.cingDepth")
	l.IncisalWidth, l.IncisalDepth = b.Limit("rest.incWidth"), b.Limit("rest.incDepth")
	l.PlaneHeightBounded = (b.Limit("gp.heightBoundedMin") + b.Limit("gp.heightBoundedMax")) / 2
	l.PlaneHeightExtension = (b.Limit("gp.heightExtensionMin") + b.Limit("gp.heightExtensionMax")) / 2
	l.PlaneMaxEnamel, l.PlateThickness = b.Limit("gp.maxEnamel"), b.Limit("plate.thicknessDefault")
	l.BarMarginClear, l.BarRelief = b.Limit("bar.gmClear"), b.Limit("bar.relief")
	l.LingualBarClear, l.LingualBarHeight, l.LingualBarLeast = max(3, b.Limit("lb.gmClear")), b.Limit("lb.heightDefault"), b.Limit("lb.height")
	l.LingualBarThickness, l.LingualBarRelief, l.LingualPlateThickness = b.Limit("lb.thicknessDefault"), b.Limit("lb.relief"), b.Limit("lp.thickness")
	l.TorusRelief, l.FrenumClear = b.Limit("tor.relief"), b.Limit("lb.frenumClear")
	l.PalateMarginClear, l.PalatePosteriorClear, l.PalateThickness = b.Limit("pal.gmClear"), b.Limit("pal.postClear"), b.Limit("pal.thickness")
	l.BeadWidth, l.StrapWidth, l.APStrapWidth = b.Limit("pal.bead"), b.Limit("strap.minWidth"), b.Limit("aps.strapWidth")
	l.APOpeningLength, l.APOpeningWidth, l.UShapedWidth = b.Limit("aps.minOpening"), b.Limit("aps.minOpeningAcross"), b.Limit("ush.minWidth")
	l.MinorSpacing, l.MinorThickness, l.MinorWidth = b.Limit("min.spacing"), b.Limit("min.thickness"), b.Limit("min.width")
	l.BaseRelief, l.LatticeShareLower, l.StopSize, l.FinishOffset = b.Limit("base.reliefDefault"), b.Limit("base.latticeLower"), b.Limit("stop.size"), b.Limit("fin.offset")
	l.ClassIVAxisTeeth = int(b.Limit("ind.classIVAxisTeeth"))
	return l
}
