package placement

// Limits are the numbers a design is laid out to. A zero field takes its default, so the
// zero Limits is the common profile. Lengths in mm, shares as fractions of one, angles in
// degrees. Where a part carries a dimension of its own, that goes before the limit.
type Limits struct {
	TipMarginClear float64 // retentive tip's lower edge above the gingival margin, 1.0
	TipShare       float64 // share of a cast circumferential arm that lies below the survey line, 0.33
	Taper          float64 // tip thickness over root thickness of a retentive arm, 0.5
	WireMinLength  float64 // wrought arm, 8
	MaxUndercut    float64 // no tip deeper, 0.75

	RestMinWidth                      float64 // occlusal seat, 2.5
	RestWidthShare                    float64 // of the crown's faciolingual width, 0.33
	RestLengthMin, RestLengthMax      float64 // shares of the crown's mesiodistal width, 0.33 and 0.50
	RestDepthRidge, RestDepthCentre   float64 // 1.5 and 2.0
	RestMetalRidge, RestMetalMin      float64 // 1.0 and 0.5
	CingLength, CingWidth, CingDepth  float64 // 2.5, 2.0, 1.5
	IncisalWidth, IncisalDepth        float64 // 2.5, 1.5
	IncisalFromAngle                  float64 // middle of the notch from the incisal angle, 1.75
	BallDiameter                      float64 // 1.75
	EmbrasureChannel                  float64 // faciolingual width, 3.2
	PlaneHeightBounded                float64 // 3.5
	PlaneHeightExtension              float64 // 2.0
	PlaneHeightLingual                float64 // 3.0
	PlaneMaxEnamel                    float64 // what making a plane may cut, 0.5
	PlateThickness, PlateTissueExtent float64 // 1.0, 2.5
	PlateRelief                       float64 // over the margin, 0.25
	BarMarginClear                    float64 // approach arm below the margin, 3.0
	BarRelief                         float64 // under the approach arm, 0.25
	FootHeight                        float64 // 2.0
	LingualBarClear, LingualBarHeight float64 // 3.0, 4.5
	LingualBarLeast                   float64 // least height, 4.0
	LingualBarThickness               float64 // 2.0
	LingualBarRelief                  float64 // 0.25
	LingualPlateThickness             float64 // 0.6
	FrenumClear                       float64 // lower border above the lingual frenum, 1.0
	LabialBarHeight                   float64 // 5.0
	PalateMarginClear                 float64 // 6.0
	PalatePosteriorClear              float64 // in front of the vibrating line, 2.0
	PalateThickness                   float64 // 0.5
	TorusRelief, TorusClear           float64 // over a torus that metal crosses, 0.75; round one that it does not, 1.0
	BeadWidth                         float64 // 0.75
	StrapWidth                        float64 // 8
	APStrapWidth, APLateralWidth      float64 // 8, 8
	APOpeningLength, APOpeningWidth   float64 // 15, 20
	UShapedWidth                      float64 // 8
	MinorSpacing                      float64 // 5
	MinorWidth, MinorThickness        float64 // 2.2, 1.5
	MinorRelief                       float64 // over the margin, 0.25
	BaseRelief, BaseReliefStart       float64 // 1.0, 1.75
	LatticeShareLower                 float64 // of abutment to pad, 0.67
	StopSize                          float64 // 2
	FinishOffset                      float64 // 1.5
	ResinThickness                    float64 // 2.0
	StrutToMargin                     float64 // of ring and back-action clasps, 3.0
	ClassIVAxisTeeth                  int     // span from which a front area has a fulcrum line, 6
}

// Defaults are the limits of the common profile.
func Defaults() Limits {
	return Limits{
		TipMarginClear: 1.0, TipShare: 0.33, Taper: 0.5, WireMinLength: 8, MaxUndercut: 0.75,
		RestMinWidth: 2.5, RestWidthShare: 0.33, RestLengthMin: 0.33, RestLengthMax: 0.5,
		RestDepthRidge: 1.5, RestDepthCentre: 2.0, RestMetalRidge: 1.0, RestMetalMin: 0.5,
		CingLength: 2.5, CingWidth: 2.0, CingDepth: 1.5, IncisalWidth: 2.5, IncisalDepth: 1.5, IncisalFromAngle: 1.75,
		BallDiameter: 1.75, EmbrasureChannel: 3.2,
		PlaneHeightBounded: 3.5, PlaneHeightExtension: 2.0, PlaneHeightLingual: 3.0, PlaneMaxEnamel: 0.5,
		PlateThickness: 1.0, PlateTissueExtent: 2.5, PlateRelief: 0.25,
		BarMarginClear: 3.0, BarRelief: 0.25, FootHeight: 2.0,
		LingualBarClear: 3.0, LingualBarHeight: 4.5, LingualBarLeast: 4.0, LingualBarThickness: 2.0, LingualBarRelief: 0.25,
		LingualPlateThickness: 0.6, FrenumClear: 1.0, LabialBarHeight: 5.0,
		PalateMarginClear: 6.0, PalatePosteriorClear: 2.0, PalateThickness: 0.5, TorusRelief: 0.75, TorusClear: 1.0, BeadWidth: 0.75,
		StrapWidth: 8, APStrapWidth: 8, APLateralWidth: 8, APOpeningLength: 15, APOpeningWidth: 20, UShapedWidth: 8,
		MinorSpacing: 5, MinorWidth: 2.2, MinorThickness: 1.5, MinorRelief: 0.25,
		BaseRelief: 1.0, BaseReliefStart: 1.75, LatticeShareLower: 0.67, StopSize: 2, FinishOffset: 1.5, ResinThickness: 2.0,
		StrutToMargin: 3.0, ClassIVAxisTeeth: 6,
	}
}

// filled is l with every zero field at its default.
func (l Limits) filled() Limits {
	d := Defaults()
	f := func(v *float64, d float64) {
		if *v == 0 {
			*v = d
		}
	}
	f(&l.TipMarginClear, d.TipMarginClear)
	f(&l.TipShare, d.TipShare)
	f(&l.Taper, d.Taper)
	f(&l.WireMinLength, d.WireMinLength)
	f(&l.MaxUndercut, d.MaxUndercut)
	f(&l.RestMinWidth, d.RestMinWidth)
	f(&l.RestWidthShare, d.RestWidthShare)
	f(&l.RestLengthMin, d.RestLengthMin)
	f(&l.RestLengthMax, d.RestLengthMax)
	f(&l.RestDepthRidge, d.RestDepthRidge)
	f(&l.RestDepthCentre, d.RestDepthCentre)
	f(&l.RestMetalRidge, d.RestMetalRidge)
	f(&l.RestMetalMin, d.RestMetalMin)
	f(&l.CingLength, d.CingLength)
	f(&l.CingWidth, d.CingWidth)
	f(&l.CingDepth, d.CingDepth)
	f(&l.IncisalWidth, d.IncisalWidth)
	f(&l.IncisalDepth, d.IncisalDepth)
	f(&l.IncisalFromAngle, d.IncisalFromAngle)
	f(&l.BallDiameter, d.BallDiameter)
	f(&l.EmbrasureChannel, d.EmbrasureChannel)
	f(&l.PlaneHeightBounded, d.PlaneHeightBounded)
	f(&l.PlaneHeightExtension, d.PlaneHeightExtension)
	f(&l.PlaneHeightLingual, d.PlaneHeightLingual)
	f(&l.PlaneMaxEnamel, d.PlaneMaxEnamel)
	f(&l.PlateThickness, d.PlateThickness)
	f(&l.PlateTissueExtent, d.PlateTissueExtent)
	f(&l.PlateRelief, d.PlateRelief)
	f(&l.BarMarginClear, d.BarMarginClear)
	f(&l.BarRelief, d.BarRelief)
	f(&l.FootHeight, d.FootHeight)
	f(&l.LingualBarClear, d.LingualBarClear)
	f(&l.LingualBarHeight, d.LingualBarHeight)
	f(&l.LingualBarLeast, d.LingualBarLeast)
	f(&l.LingualBarThickness, d.LingualBarThickness)
	f(&l.LingualBarRelief, d.LingualBarRelief)
	f(&l.LingualPlateThickness, d.LingualPlateThickness)
	f(&l.FrenumClear, d.FrenumClear)
	f(&l.LabialBarHeight, d.LabialBarHeight)
	f(&l.PalateMarginClear, d.PalateMarginClear)
	f(&l.PalatePosteriorClear, d.PalatePosteriorClear)
	f(&l.PalateThickness, d.PalateThickness)
	f(&l.TorusRelief, d.TorusRelief)
	f(&l.TorusClear, d.TorusClear)
	f(&l.BeadWidth, d.BeadWidth)
	f(&l.StrapWidth, d.StrapWidth)
	f(&l.APStrapWidth, d.APStrapWidth)
	f(&l.APLateralWidth, d.APLateralWidth)
	f(&l.APOpeningLength, d.APOpeningLength)
	f(&l.APOpeningWidth, d.APOpeningWidth)
	f(&l.UShapedWidth, d.UShapedWidth)
	f(&l.MinorSpacing, d.MinorSpacing)
	f(&l.MinorWidth, d.MinorWidth)
	f(&l.MinorThickness, d.MinorThickness)
	f(&l.MinorRelief, d.MinorRelief)
	f(&l.BaseRelief, d.BaseRelief)
	f(&l.BaseReliefStart, d.BaseReliefStart)
	f(&l.LatticeShareLower, d.LatticeShareLower)
	f(&l.StopSize, d.StopSize)
	f(&l.FinishOffset, d.FinishOffset)
	f(&l.ResinThickness, d.ResinThickness)
	f(&l.StrutToMargin, d.StrutToMargin)
	if l.ClassIVAxisTeeth == 0 {
		l.ClassIVAxisTeeth = d.ClassIVAxisTeeth
	}
	return l
}
