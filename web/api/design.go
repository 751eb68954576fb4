package api

import "halfpear/encoding/casefile"

// Proposals are designs for a case, best first.
type Proposals struct {
	Class     string     `json:"class"`
	Proposals []Proposal `json:"proposals"`
}

// Proposal is one design with its reasons.
type Proposal struct {
	Rank     int             `json:"rank"`
	Profile  string          `json:"profile"`
	Title    string          `json:"title"`
	Parts    []casefile.Part `json:"parts"`
	Reasons  []Reason        `json:"reasons"`
	Findings []Finding       `json:"findings"`
	Stops    int             `json:"stops"`
	Cautions int             `json:"cautions"`
	Prepared int             `json:"prepared"` // teeth that need preparation
	Measures []Measured      `json:"measures"`
	Apart    []string        `json:"apart"`  // parts that differ in kind from the first's: IDs
	Decide   []string        `json:"decide"` // what the dentist has to decide or prepare first
	Laid     []LaidPart      `json:"laid"`   // for the small drawing
}

// Reason says why a part is there and what was rejected for it.
type Reason struct {
	Part     string     `json:"part"`
	Rule     string     `json:"rule"`
	Because  string     `json:"because"`
	Sources  []Source   `json:"sources"`
	Rejected []Rejected `json:"rejected"`
}

// Rejected is a form that was not taken.
type Rejected struct {
	Form    string `json:"form"`
	Because string `json:"because"`
}

// Source is where a fact was published.
type Source struct {
	Key   string `json:"key"`
	Cite  string `json:"cite"`
	Mark  string `json:"mark"`
	Grade string `json:"grade"`
}

// Measured is a number with what it is.
type Measured struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Spread float64 `json:"spread"`
	Origin string  `json:"origin"`
}

// Laid is the design on the cast.
type Laid struct {
	Parts            []LaidPart `json:"parts"`
	SupportFulcrum   []Point    `json:"support_fulcrum"`
	RetentiveFulcrum []Point    `json:"retentive_fulcrum"`
}

// LaidPart is one part on the cast.
type LaidPart struct {
	ID       string      `json:"id"`
	Number   int         `json:"number"` // in the list of parts, on every paper
	Kind     string      `json:"kind"`
	Curves   []LaidCurve `json:"curves"`
	Patches  []LaidPatch `json:"patches"`
	Measures []LaidRead  `json:"measures"`
	Short    []Shortfall `json:"short"`
	Tip      *LaidTip    `json:"tip"`
}

// LaidCurve is a line of a part with its width.
type LaidCurve struct {
	Role   string    `json:"role"`
	Closed bool      `json:"closed"`
	Points []Point   `json:"points"`
	Width  []float64 `json:"width"`
}

// LaidPatch is an area of a part.
type LaidPatch struct {
	Role    string    `json:"role"`
	Outline []Point   `json:"outline"`
	Holes   [][]Point `json:"holes"`
}

// LaidRead is a dimension read on the cast. Where Set names a dimension of the part, the
// dimension can be chosen: typed, or dragged at To along the line from From.
type LaidRead struct {
	Measured
	Tooth int    `json:"tooth"`
	From  Point  `json:"from"`
	To    Point  `json:"to"`
	Set   string `json:"set"`
}

// Shortfall says that a part could not be laid within a limit.
type Shortfall struct {
	Measure string  `json:"measure"`
	Wanted  float64 `json:"wanted"`
	Got     float64 `json:"got"`
	Why     string  `json:"why"`
	Tooth   int     `json:"tooth"`
}

// LaidTip is the end of a retentive arm.
type LaidTip struct {
	Point         Point   `json:"point"`
	Site          string  `json:"site"`
	UndercutMM    float64 `json:"undercut_mm"`
	AboveMarginMM float64 `json:"above_margin_mm"`
	SlopeDeg      float64 `json:"slope_deg"`
}

// MoveTip asks which undercut a retentive arm's tip would stand in at a point.
type MoveTip struct {
	Part  string `json:"part"`
	Point Point  `json:"point"`
}

// Judged are the findings on a case.
type Judged struct {
	Findings   []Finding `json:"findings"`
	Checked    int       `json:"checked"`
	NotChecked int       `json:"not_checked"`
	Stops      int       `json:"stops"`
	Cautions   int       `json:"cautions"`
}

// Finding is one thing the rulebook has to say.
type Finding struct {
	Rule     string   `json:"rule"`
	Severity string   `json:"severity" jsonschema:"enum=stop,enum=caution,enum=note"`
	Status   string   `json:"status" jsonschema:"enum=failed,enum=borderline,enum=not-checked"`
	Tooth    int      `json:"tooth"`
	Surface  string   `json:"surface"`
	Part     string   `json:"part"`
	Found    string   `json:"found"`
	Asked    string   `json:"asked"`
	Message  string   `json:"message"`
	Why      string   `json:"why"`
	Sources  []Source `json:"sources"`
	Remedy   string   `json:"remedy"`
	Missing  []string `json:"missing"`
	Aside    string   `json:"aside"` // the reason it was set aside with; empty where it stands
	AsideBy  string   `json:"aside_by"`
}

// Reckoned is what mechanics estimates for a laid design, in words.
type Reckoned struct {
	Says    []string `json:"says"` // who carries a bite, what the clasps hold
	Tables  []Table  `json:"tables"`
	Mend    []string `json:"mend"`    // what would bring an arm's stress down
	Assumed []string `json:"assumed"` // what the figures rest on
}

// Table is a table for people.
type Table struct {
	Title   string     `json:"title"`
	Columns []Column   `json:"columns"`
	Rows    [][]string `json:"rows"` // a row may end early where its last cell says all that is left
}

// Column is the head of a table's column.
type Column struct {
	Head   string `json:"head"`
	Figure bool   `json:"figure"` // it holds figures
}
