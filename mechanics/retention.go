package mechanics

import (
	"math"

	"halfpear/geom"
	"halfpear/placement"
	"halfpear/survey"
)

// Withdrawal is the force along the path that a lateral force h at a contact resists with,
// where the surface leans by a tangent t to the path and friction is mu: h·tan(alpha+rho).
func Withdrawal(h, t, mu float64) float64 {
	if mu*t >= 1 {
		return math.Inf(1) // it jams
	}
	return h * (t + mu) / (1 - mu*t)
}

// Track is the surface that a tip slides over: for heights above the tip's seat, how far
// the surface stands out there beyond the seat. Both in mm, heights rising.
type Track struct{ Height, Out []float64 }

// Pull is the greatest force along the path met on the way between two heights, and the
// height it is met at. A flexure that the surface does not yet ask for is none. Where down
// is set the tip comes from above, so that the slope counts the other way.
func (tr Track) Pull(stiffness, mu float64, from, to float64, down bool) (most, at float64) {
	for i := 1; i < len(tr.Height); i++ {
		h := (tr.Height[i] + tr.Height[i-1]) / 2
		dh := tr.Height[i] - tr.Height[i-1]
		if h < from || h > to || dh <= 0 {
			continue
		}
		t := (tr.Out[i] - tr.Out[i-1]) / dh
		if down {
			t = -t
		}
		flex := math.Max(0, math.Max(tr.Out[i], tr.Out[i-1]))
		if w := Withdrawal(stiffness*flex, t, mu); w > most && t+mu > 0 {
			most, at = w, h
		}
	}
	return most, at
}

// Crest is the height at which the track stands out most, and how far.
func (tr Track) Crest() (height, out float64) {
	for i, o := range tr.Out {
		if o > out {
			height, out = tr.Height[i], o
		}
	}
	return height, out
}

// trackStep is how closely a tip's way is followed [mm]: far enough apart that the
// roughness of a scan makes no slopes of its own.
const trackStep = 0.25

// trackOf is the way of a tip over its crown, straight up along the path, and the height
// of the bulge above the seat. The crown's column gives the shape; its size is scaled to
// the undercut that was surveyed. Where the column shows no bulge the way is a constant
// slope to the survey line, and as steep down again.
func trackOf(crown survey.Crown, tip *placement.Tip, out geom.Vec) (tr Track, crest float64) {
	col := crown.Column(tip.AngleDeg)
	if len(col.Outline) > 1 {
		seat, _ := col.At(tip.AboveMargin)
		for h := tip.AboveMargin; h < col.Top; h += trackStep {
			p, _ := col.At(h)
			tr.Height = append(tr.Height, h-tip.AboveMargin)
			tr.Out = append(tr.Out, p.Sub(seat).Dot(out))
		}
	}
	crest, most := tr.Crest()
	if most < 0.2*tip.UndercutMM || crest <= 0 {
		crest = math.Max(trackStep, tip.BelowContour)
		return Track{Height: []float64{0, crest, 2 * crest}, Out: []float64{0, tip.UndercutMM, 0}}, crest
	}
	for i := range tr.Out {
		tr.Out[i] *= tip.UndercutMM / most
	}
	return tr, crest
}
