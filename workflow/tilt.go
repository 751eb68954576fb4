package workflow

import (
	"context"
	"slices"

	"halfpear/design"
	"halfpear/survey"
	"halfpear/tooth"
)

// sweptPaths is about how many paths a sweep looks at: half-degree steps in a cone of 12.
const sweptPaths = 2000

// TiltPlan names what the path has to serve: the design's guide plates and retainers where
// the case has a design, else the abutments beside every edentulous area.
func (s *Study) TiltPlan() survey.Plan {
	plan := survey.Plan{Tissues: true}
	clear, mm := s.Book.Limit("tip.gmClear"), s.Book.Limit("und.castCoCr")
	if d := s.Case.Design; d != nil && len(d.Parts) > 0 {
		for _, p := range d.Of(design.GuidePlate) {
			plan.Guides = append(plan.Guides, survey.Guide{Tooth: p.Tooth, Surface: p.Surface})
		}
		for _, p := range d.Of(design.Retainer) {
			if p.Undercut != nil {
				plan.Grips = append(plan.Grips, survey.Grip{Tooth: p.Tooth, Sites: []tooth.Site{p.Undercut.Site}, MM: p.Undercut.MM, Clear: clear})
			}
		}
		if len(plan.Grips) > 0 {
			return plan
		}
	}
	var abutments []tooth.Number
	for _, a := range s.Class.Areas {
		first, last := a.Teeth[0], a.Teeth[len(a.Teeth)-1]
		for _, end := range []tooth.Number{tooth.At(s.Cast.Arch, first.Index()-1), tooth.At(s.Cast.Arch, last.Index()+1)} {
			if end == 0 || !s.Case.Chart.Stands(end) {
				continue
			}
			side := tooth.Distal
			if slices.Contains(a.Teeth, end.Mesial()) {
				side = tooth.Mesial
			}
			plan.Guides = append(plan.Guides, survey.Guide{Tooth: end, Surface: side})
			if !slices.Contains(abutments, end) {
				abutments = append(abutments, end)
			}
		}
	}
	for _, n := range abutments {
		plan.Grips = append(plan.Grips, survey.Grip{Tooth: n, Sites: tooth.Sites[:], MM: mm, Clear: clear})
	}
	return plan
}

// Tilt sweeps the paths of insertion within a cone.
func (s *Study) Tilt(ctx context.Context, withinDeg float64, progress func(float64)) (survey.Swept, survey.Plan, error) {
	plan := s.TiltPlan()
	swept, err := survey.Sweep(ctx, s.Cast, s.Crowns, plan, withinDeg, sweptPaths, progress)
	return swept, plan, err
}
