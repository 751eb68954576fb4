package api

// Cast is the cast of a case. Its mesh travels apart, as bytes.
type Cast struct {
	Key       string  `json:"key"`
	Mounted   bool    `json:"mounted"` // false: teeth have still to be pointed out, and points are in the scan's frame
	Scan      string  `json:"scan"`    // the file it was made from; empty where it was made from the chart
	Origin    string  `json:"origin"`  // measured, or average for a cast made from the chart
	SpreadMM  float64 `json:"spread_mm"`
	Vertices  int     `json:"vertices"`
	Triangles int     `json:"triangles"`
	// Frame takes a point of the mesh, as it is sent, to the cast frame: the images of its
	// three axes and of its origin.
	Frame   [4]Vector   `json:"frame"`
	Min     Point       `json:"min"`
	Max     Point       `json:"max"`
	Teeth   []CastTooth `json:"teeth"`
	Lines   []CastLine  `json:"lines"`
	Report  []string    `json:"report"` // what the intake of the scan found
	Trouble string      `json:"trouble,omitempty"`
}

// CastTooth is one tooth on the cast.
type CastTooth struct {
	Tooth      int     `json:"tooth"`
	Point      Point   `json:"point"`
	Margin     []Point `json:"margin"`
	Confidence float64 `json:"confidence"`
	Given      bool    `json:"given"`     // its point was given or confirmed by the user
	Corrected  bool    `json:"corrected"` // its margin was corrected by the user
}

// CastLine is a landmark on the cast.
type CastLine struct {
	Name   string  `json:"name"`
	Closed bool    `json:"closed"`
	Points []Point `json:"points"`
}

// PlaceTooth sets or removes a tooth's point on the scan, or the corrected margin of a
// tooth, in the frame of the cast that was shown.
type PlaceTooth struct {
	Base   int      `json:"base"`
	Tooth  int      `json:"tooth"`
	Point  *Point   `json:"point"`
	Margin *[]Point `json:"margin"`
	Remove bool     `json:"remove"` // forget what was given for this tooth
	// Confirm says that the point the program found is right; with no tooth, all are.
	Confirm bool `json:"confirm"`
	// Frame is where the scan lay on that cast (Cast.Frame); a point taken in meanwhile may
	// have shifted it. Without it the cast as it is now is meant.
	Frame *[4]Vector `json:"frame"`
}

// Surveyed is a cast measured along one path. The depth of each vertex travels apart.
type Surveyed struct {
	AnteriorDeg  float64      `json:"anterior_deg"`
	RightDeg     float64      `json:"right_deg"`
	Direction    Point        `json:"direction"`
	ResolutionMM float64      `json:"resolution_mm"`
	MaxMM        float64      `json:"max_mm"`
	Lines        []SurveyLine `json:"lines"`
	Teeth        []ToothSites `json:"teeth"`
	Assumed      []string     `json:"assumed"`
	Seconds      float64      `json:"seconds"`
}

// SurveyLine is a stretch of the survey line.
type SurveyLine struct {
	Closed bool    `json:"closed"`
	Tooth  int     `json:"tooth"`
	Points []Point `json:"points"`
}

// ToothSites are the undercuts of one tooth at the six sites.
type ToothSites struct {
	Tooth int        `json:"tooth"`
	Sites []SiteRead `json:"sites"`
}

// SiteRead is what the gauge reads at one site.
type SiteRead struct {
	Site            string   `json:"site"`
	MaxMM           float64  `json:"max_mm"`
	ContourMM       float64  `json:"contour_mm"` // height of contour above the margin
	QuarterAboveMM  *float64 `json:"quarter_above_mm"`
	HalfAboveMM     *float64 `json:"half_above_mm"`
	QuarterSlopeDeg *float64 `json:"quarter_slope_deg"`
	GaugeMM         *float64 `json:"gauge_mm"` // read by hand
}

// Probe is what a surveyor's gauge reads at a point.
type Probe struct {
	Point         Point    `json:"point"`
	Tooth         int      `json:"tooth"`
	DepthMM       float64  `json:"depth_mm"`
	AboveMarginMM *float64 `json:"above_margin_mm"`
	SlopeDeg      float64  `json:"slope_deg"` // of the surface to the path; negative where it faces away
}

// TiltMap is how well each path of a cone suits.
type TiltMap struct {
	WithinDeg float64     `json:"within_deg"`
	Paths     []TiltScore `json:"paths"`
	Best      TiltScore   `json:"best"`
	Chosen    []TiltScore `json:"candidates"`
	Seconds   float64     `json:"seconds"`
}

// TiltScore is one path.
type TiltScore struct {
	AnteriorDeg float64 `json:"anterior_deg"`
	RightDeg    float64 `json:"right_deg"`
	Score       float64 `json:"score"` // smaller is better
	Why         string  `json:"why"`
}
