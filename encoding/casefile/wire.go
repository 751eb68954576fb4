package casefile

// The shapes below are the file's, field by field; docs/casefile.md explains them. Their
// comments become the schema's descriptions.

// File is a whole case file.
type File struct {
	Format   string           `yaml:"format" json:"format" jsonschema:"enum=case/1"`
	Case     string           `yaml:"case,omitempty" json:"case,omitempty" jsonschema:"pattern=^[A-Z0-9]{2}-[A-Z0-9]{4}$"`
	Title    string           `yaml:"title,omitempty" json:"title,omitempty"`
	Arch     string           `yaml:"arch" json:"arch" jsonschema:"enum=upper,enum=lower"`
	Profile  string           `yaml:"profile,omitempty" json:"profile,omitempty"`
	Teeth    map[string]Tooth `yaml:"teeth,omitempty" json:"teeth,omitempty"`
	Tissues  *Tissues         `yaml:"tissues,omitempty" json:"tissues,omitempty"`
	Patient  *Patient         `yaml:"patient,omitempty" json:"patient,omitempty"`
	Opposing *Opposing        `yaml:"opposing,omitempty" json:"opposing,omitempty"`
	Survey   *Survey          `yaml:"survey,omitempty" json:"survey,omitempty"`
	Scan     *Scan            `yaml:"scan,omitempty" json:"scan,omitempty"`
	Design   *Design          `yaml:"design,omitempty" json:"design,omitempty"`
	SetAside []SetAside       `yaml:"set_aside,omitempty" json:"set_aside,omitempty"`
	Order    *Order           `yaml:"order,omitempty" json:"order,omitempty"`
	Returned *Returned        `yaml:"returned,omitempty" json:"returned,omitempty"`
}

// Returned is what was measured on the framework that came back.
type Returned struct {
	RestGapMM    *float64 `yaml:"rest_gap_mm,omitempty" json:"rest_gap_mm,omitempty"`
	DifferenceMM *float64 `yaml:"difference_mm,omitempty" json:"difference_mm,omitempty"`
	Absent       []string `yaml:"absent,omitempty" json:"absent,omitempty"`
}

// Tooth is what was found at one tooth's place.
type Tooth struct {
	State           string   `yaml:"state,omitempty" json:"state,omitempty" jsonschema:"enum=present,enum=missing,enum=extract,enum=pontic,enum=implant,enum=root,enum=closed"`
	Replace         *bool    `yaml:"replace,omitempty" json:"replace,omitempty"`
	Abutment        *bool    `yaml:"abutment,omitempty" json:"abutment,omitempty"`
	Mobility        *int     `yaml:"mobility,omitempty" json:"mobility,omitempty" jsonschema:"minimum=0,maximum=3"`
	BoneLossPercent *float64 `yaml:"bone_loss_percent,omitempty" json:"bone_loss_percent,omitempty"`
	CrownRootRatio  *float64 `yaml:"crown_root_ratio,omitempty" json:"crown_root_ratio,omitempty"`
	TiltDeg         *float64 `yaml:"tilt_deg,omitempty" json:"tilt_deg,omitempty"`
	TiltToward      string   `yaml:"tilt_toward,omitempty" json:"tilt_toward,omitempty" jsonschema:"enum=mesial,enum=distal,enum=facial,enum=lingual"`
	RotationDeg     *float64 `yaml:"rotation_deg,omitempty" json:"rotation_deg,omitempty"`
	RootFilled      *bool    `yaml:"root_filled,omitempty" json:"root_filled,omitempty"`
	Crown           string   `yaml:"crown,omitempty" json:"crown,omitempty" jsonschema:"enum=none,enum=metal,enum=ceramic,enum=survey"`
	Caries          string   `yaml:"caries,omitempty" json:"caries,omitempty" jsonschema:"enum=none,enum=treated,enum=active"`
	Periodontal     string   `yaml:"periodontal,omitempty" json:"periodontal,omitempty" jsonschema:"enum=healthy,enum=treated,enum=active"`
	Prognosis       string   `yaml:"prognosis,omitempty" json:"prognosis,omitempty" jsonschema:"enum=good,enum=doubtful,enum=hopeless"`
	RestSeat        string   `yaml:"rest_seat,omitempty" json:"rest_seat,omitempty" jsonschema:"enum=none,enum=present"`
	SeatMaterial    string   `yaml:"seat_material,omitempty" json:"seat_material,omitempty" jsonschema:"enum=enamel,enum=gold,enum=alloy,enum=amalgam,enum=composite,enum=ceramic,enum=dentine"`
	ProbingMM       *float64 `yaml:"probing_mm,omitempty" json:"probing_mm,omitempty"`
	Furcation       *int     `yaml:"furcation,omitempty" json:"furcation,omitempty" jsonschema:"minimum=0,maximum=3"`
	CrownHeightMM   *float64 `yaml:"crown_height_mm,omitempty" json:"crown_height_mm,omitempty"`
	MesialContact   string   `yaml:"mesial_contact,omitempty" json:"mesial_contact,omitempty" jsonschema:"enum=free,enum=blocked"`
	OpposingRoomMM  *float64 `yaml:"opposing_room_mm,omitempty" json:"opposing_room_mm,omitempty"`
	ArmRoomMM       *float64 `yaml:"arm_room_mm,omitempty" json:"arm_room_mm,omitempty"`
	ExtractedMonths *float64 `yaml:"extracted_months,omitempty" json:"extracted_months,omitempty"`
	Diastema        *bool    `yaml:"diastema,omitempty" json:"diastema,omitempty"`
	Note            string   `yaml:"note,omitempty" json:"note,omitempty"`
}

// Tissues is what was found in the soft tissues.
type Tissues struct {
	FloorDepthMM      map[string]float64        `yaml:"floor_depth_mm,omitempty" json:"floor_depth_mm,omitempty"`
	FloorIsFunctional *bool                     `yaml:"floor_is_functional,omitempty" json:"floor_is_functional,omitempty"`
	VestibuleDepthMM  map[string]float64        `yaml:"vestibule_depth_mm,omitempty" json:"vestibule_depth_mm,omitempty"`
	TissueUndercutMM  map[string]TissueUndercut `yaml:"tissue_undercut_mm,omitempty" json:"tissue_undercut_mm,omitempty"`
	FrenumNear        []int                     `yaml:"frenum_near,omitempty" json:"frenum_near,omitempty"`
	LingualFrenum     string                    `yaml:"lingual_frenum,omitempty" json:"lingual_frenum,omitempty" jsonschema:"enum=low,enum=high"`
	Tori              []Torus                   `yaml:"tori,omitempty" json:"tori,omitempty"`
	Ridge             *Ridge                    `yaml:"ridge,omitempty" json:"ridge,omitempty"`
	VibratingLineMM   *float64                  `yaml:"vibrating_line_mm,omitempty" json:"vibrating_line_mm,omitempty"`
	FlabbyFront       *bool                     `yaml:"flabby_front,omitempty" json:"flabby_front,omitempty"`
}

// TissueUndercut is a soft-tissue undercut beside a tooth.
type TissueUndercut struct {
	Depth       float64 `yaml:"depth" json:"depth"`
	BelowMargin float64 `yaml:"below_margin" json:"below_margin"`
}

// Torus is a bony swelling.
type Torus struct {
	Place         string   `yaml:"place" json:"place" jsonschema:"enum=lingual,enum=palatal"`
	Teeth         []int    `yaml:"teeth,omitempty" json:"teeth,omitempty"`
	Size          string   `yaml:"size,omitempty" json:"size,omitempty" jsonschema:"enum=small,enum=large"`
	Operable      *bool    `yaml:"operable,omitempty" json:"operable,omitempty"`
	ToVibratingMM *float64 `yaml:"to_vibrating_mm,omitempty" json:"to_vibrating_mm,omitempty"`
}

// Ridge is how firm each side's ridge is.
type Ridge struct {
	Left  string `yaml:"left,omitempty" json:"left,omitempty" jsonschema:"enum=firm,enum=flabby,enum=flat"`
	Right string `yaml:"right,omitempty" json:"right,omitempty" jsonschema:"enum=firm,enum=flabby,enum=flat"`
}

// Patient is what the design asks about the person; never who it is.
type Patient struct {
	Allergies  *[]string `yaml:"allergies,omitempty" json:"allergies,omitempty"`
	SmileLine  string    `yaml:"smile_line,omitempty" json:"smile_line,omitempty" jsonschema:"enum=low,enum=medium,enum=high"`
	Gag        *bool     `yaml:"gag,omitempty" json:"gag,omitempty"`
	Dexterity  string    `yaml:"dexterity,omitempty" json:"dexterity,omitempty" jsonschema:"enum=good,enum=poor"`
	CariesRisk string    `yaml:"caries_risk,omitempty" json:"caries_risk,omitempty" jsonschema:"enum=low,enum=medium,enum=high"`
	Hygiene    string    `yaml:"hygiene,omitempty" json:"hygiene,omitempty" jsonschema:"enum=good,enum=poor"`
	DryMouth   *bool     `yaml:"dry_mouth,omitempty" json:"dry_mouth,omitempty"`
	Bruxism    *bool     `yaml:"bruxism,omitempty" json:"bruxism,omitempty"`
	Epilepsy   *bool     `yaml:"epilepsy,omitempty" json:"epilepsy,omitempty"`
}

// Opposing is what stands in the other arch.
type Opposing struct {
	Kind string `yaml:"kind,omitempty" json:"kind,omitempty" jsonschema:"enum=natural,enum=complete-denture,enum=partial-denture,enum=implant,enum=mixed"`
}

// Survey is what was chosen or measured by hand on the surveyor.
type Survey struct {
	Tilt      *Tilt                              `yaml:"tilt,omitempty" json:"tilt,omitempty"`
	Undercuts map[string]map[string]HandUndercut `yaml:"undercuts,omitempty" json:"undercuts,omitempty"`
}

// Tilt is the chosen path of insertion.
type Tilt struct {
	AnteriorDeg float64 `yaml:"anterior_deg" json:"anterior_deg"`
	RightDeg    float64 `yaml:"right_deg" json:"right_deg"`
}

// HandUndercut is one reading with an undercut gauge.
type HandUndercut struct {
	MM            float64  `yaml:"mm" json:"mm"`
	AboveMarginMM *float64 `yaml:"above_margin_mm,omitempty" json:"above_margin_mm,omitempty"`
}

// Scan says where the cast's surface is and where the teeth are on it.
type Scan struct {
	File    string                  `yaml:"file" json:"file"`
	Unit    string                  `yaml:"unit,omitempty" json:"unit,omitempty" jsonschema:"enum=mm,enum=cm,enum=m,enum=inch"`
	Points  map[string][3]float64   `yaml:"points,omitempty" json:"points,omitempty"`
	Margins map[string][][3]float64 `yaml:"margins,omitempty" json:"margins,omitempty"`

	// Proposed are the teeth whose points the program found and nobody has confirmed yet.
	Proposed []int `yaml:"proposed,omitempty,flow" json:"proposed,omitempty"`
}

// Design is the written design.
type Design struct {
	Parts []Part `yaml:"parts" json:"parts"`
}

// Part is one part of a design; which fields it has depends on its kind.
type Part struct {
	ID         string             `yaml:"id" json:"id"`
	Kind       string             `yaml:"kind" json:"kind" jsonschema:"enum=rest,enum=retainer,enum=reciprocation,enum=guide-plate,enum=minor-connector,enum=major-connector,enum=base,enum=tissue-stop,enum=finish-line,enum=replacement-tooth"`
	Tooth      int                `yaml:"tooth,omitempty" json:"tooth,omitempty"`
	Teeth      []int              `yaml:"teeth,omitempty,flow" json:"teeth,omitempty"`
	Form       string             `yaml:"form,omitempty" json:"form,omitempty"`
	Site       string             `yaml:"site,omitempty" json:"site,omitempty" jsonschema:"enum=mesial,enum=distal,enum=lingual"`
	Role       string             `yaml:"role,omitempty" json:"role,omitempty" jsonschema:"enum=primary,enum=indirect,enum=auxiliary"`
	Surface    string             `yaml:"surface,omitempty" json:"surface,omitempty" jsonschema:"enum=mesial,enum=distal,enum=lingual,enum=facial"`
	Undercut   *PartUndercut      `yaml:"undercut,omitempty,flow" json:"undercut,omitempty"`
	Material   string             `yaml:"material,omitempty" json:"material,omitempty"`
	GaugeMM    float64            `yaml:"gauge_mm,omitempty" json:"gauge_mm,omitempty"`
	At         Numbers            `yaml:"at,omitempty,flow" json:"at,omitempty"`
	Joins      string             `yaml:"joins,omitempty" json:"joins,omitempty"`
	Support    string             `yaml:"support,omitempty" json:"support,omitempty" jsonschema:"enum=extension,enum=bounded"`
	Attachment string             `yaml:"attachment,omitempty" json:"attachment,omitempty" jsonschema:"enum=lattice,enum=mesh,enum=beads,enum=posts"`
	Side       string             `yaml:"side,omitempty" json:"side,omitempty" jsonschema:"enum=internal,enum=external"`
	Dimensions map[string]float64 `yaml:"dimensions,omitempty" json:"dimensions,omitempty"`
	Note       string             `yaml:"note,omitempty" json:"note,omitempty"`
}

// PartUndercut is the undercut a retentive tip is planned for.
type PartUndercut struct {
	Site string  `yaml:"site" json:"site" jsonschema:"enum=mesio-facial,enum=mid-facial,enum=disto-facial,enum=mesio-lingual,enum=mid-lingual,enum=disto-lingual"`
	MM   float64 `yaml:"mm" json:"mm"`
}

// SetAside is a caution lived with for a reason, or a stop overruled by name.
type SetAside struct {
	Rule    string `yaml:"rule" json:"rule"`
	Tooth   int    `yaml:"tooth,omitempty" json:"tooth,omitempty"`
	Surface string `yaml:"surface,omitempty" json:"surface,omitempty"`
	Part    string `yaml:"part,omitempty" json:"part,omitempty"`
	Reason  string `yaml:"reason" json:"reason"`
	By      string `yaml:"by,omitempty" json:"by,omitempty"`
	At      string `yaml:"at,omitempty" json:"at,omitempty"`
}

// Order is what the laboratory is told beyond the design.
type Order struct {
	Jurisdiction string            `yaml:"jurisdiction,omitempty" json:"jurisdiction,omitempty"`
	Revision     int               `yaml:"revision,omitempty" json:"revision,omitempty"`
	Fields       map[string]string `yaml:"fields,omitempty" json:"fields,omitempty"`
	Queries      []Query           `yaml:"queries,omitempty" json:"queries,omitempty"`
}

// Query is a question of the laboratory about a part, or about the whole order where no
// part is named, with the dentist's answer.
type Query struct {
	Part       string `yaml:"part,omitempty" json:"part,omitempty"`
	Asked      string `yaml:"asked" json:"asked"`
	By         string `yaml:"by,omitempty" json:"by,omitempty"`
	At         string `yaml:"at,omitempty" json:"at,omitempty"`
	Answer     string `yaml:"answer,omitempty" json:"answer,omitempty"`
	AnsweredBy string `yaml:"answered_by,omitempty" json:"answered_by,omitempty"`
	AnsweredAt string `yaml:"answered_at,omitempty" json:"answered_at,omitempty"`
}
