package orderfile

import (
	"time"

	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/order"
	"halfpear/tooth"
)

// File is a work order with all that belongs to it. Lengths in mm, angles in degrees,
// teeth in FDI numbers.
type File struct {
	Format        string            `json:"format" jsonschema:"enum=order/1"`
	Number        string            `json:"number"`
	Case          string            `json:"case"`
	Revision      int               `json:"revision" jsonschema:"minimum=1"`
	State         string            `json:"state" jsonschema:"enum=draft,enum=complete,enum=signed"`
	Language      string            `json:"language"`
	Title         string            `json:"title"`
	Jurisdiction  Jurisdiction      `json:"jurisdiction"`
	Arch          string            `json:"arch" jsonschema:"enum=upper,enum=lower"`
	Class         string            `json:"class" jsonschema:"enum=I,enum=II,enum=III,enum=IV,enum="`
	Modifications int               `json:"modifications"`
	Path          *Path             `json:"path,omitempty"`
	Fields        []Field           `json:"fields"`
	Parts         []Row             `json:"parts"`
	Spaces        []Space           `json:"block_out_and_relief"`
	SetAside      []SetAside        `json:"set_aside,omitempty"`
	Open          []Finding         `json:"open_cautions,omitempty"`
	NotChecked    int               `json:"not_checked"`
	Queries       []casefile.Query  `json:"queries,omitempty"`
	Changes       []Change          `json:"changes,omitempty"`
	Missing       []Missing         `json:"missing,omitempty"`
	Inputs        []Input           `json:"inputs"`
	KeepUntil     map[string]string `json:"keep_until"`
	Made          Made              `json:"made"`
	Notice        string            `json:"notice"`
	CaseFile      string            `json:"case_file,omitempty"`
	Signature     *Signature        `json:"signature,omitempty"`
}

// Jurisdiction is the place whose fields are asked for, and when its text was read.
type Jurisdiction struct {
	Name      string `json:"name"`
	Label     string `json:"label"`
	CheckedOn string `json:"checked_on"`
	Source    string `json:"source"`
}

// Path is the path of insertion; the tripod marks are in the cast frame.
type Path struct {
	AnteriorDeg float64      `json:"anterior_deg"`
	RightDeg    float64      `json:"right_deg"`
	Direction   [3]float64   `json:"direction"`
	TripodMM    [][3]float64 `json:"tripod_mm,omitempty"`
}

// Field is one field of the order: its place in the list of 41, and its value as printed
// and as entered.
type Field struct {
	Number int    `json:"number" jsonschema:"minimum=1,maximum=41"`
	Name   string `json:"name"`
	Label  string `json:"label"`
	Value  string `json:"value,omitempty"`
	Code   string `json:"code,omitempty"`
}

// Row is one part of the framework with its measures.
type Row struct {
	Number     int           `json:"number" jsonschema:"minimum=1"`
	What       string        `json:"what"`
	Where      string        `json:"where,omitempty"`
	MadeOf     string        `json:"made_of,omitempty"`
	Universal  []int         `json:"teeth_universal,omitempty"`
	Design     casefile.Part `json:"design"`
	Dimensions []Dimension   `json:"dimensions,omitempty"`
}

// Dimension is a measure of a part and where it came from.
type Dimension struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Tooth  int     `json:"tooth,omitempty"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Spread float64 `json:"spread,omitempty"`
	Origin string  `json:"origin"`
}

// Space is block-out or relief.
type Space struct {
	Part     string   `json:"part,omitempty"`
	What     string   `json:"what"`
	Told     string   `json:"told"`
	ReliefMM *float64 `json:"relief_mm,omitempty"`
	From     string   `json:"from"`
	Source   string   `json:"source"`
	Mark     string   `json:"mark"`
}

// SetAside is a caution lived with for a reason.
type SetAside struct {
	Rule       string `json:"rule"`
	Severity   string `json:"severity,omitempty"`
	Tooth      int    `json:"tooth,omitempty"`
	Part       string `json:"part,omitempty"`
	Found      string `json:"found,omitempty"`
	Reason     string `json:"reason"`
	By         string `json:"by,omitempty"`
	At         string `json:"at,omitempty"`
	StillFound bool   `json:"still_found"`
}

// Finding is a caution that was not set aside.
type Finding struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Tooth    int    `json:"tooth,omitempty"`
	Part     string `json:"part,omitempty"`
	Found    string `json:"found"`
	Remedy   string `json:"remedy,omitempty"`
}

// Change is one difference from the last signed revision.
type Change struct {
	Part  string `json:"part,omitempty"`
	Field string `json:"field,omitempty"`
	Kind  string `json:"kind" jsonschema:"enum=added,enum=removed,enum=changed"`
	Text  string `json:"text"`
}

// Missing is one thing that keeps the order a draft.
type Missing struct {
	Field string `json:"field,omitempty"`
	Part  string `json:"part,omitempty"`
	Tooth int    `json:"tooth,omitempty"`
	Text  string `json:"text"`
	Where string `json:"where"`
	Rule  string `json:"rule"`
}

// Input is a file the order was made from.
type Input struct {
	Name   string `json:"name"`
	Kind   string `json:"kind"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Made says with what and when.
type Made struct {
	Program  string `json:"program"`
	Rulebook string `json:"rulebook"`
	At       string `json:"at"`
}

// Signature freezes the document: the seal is the SHA-256 of the document with an empty
// seal.
type Signature struct {
	By   string `json:"by"`
	At   string `json:"at"`
	Seal string `json:"seal"`
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

// round keeps a thousandth: finer than any cast or gauge.
func designOf(r order.Row) design.Design { return design.Design{Parts: []design.Part{r.Part}} }

func teethOf(r order.Row) []tooth.Number {
	if r.Part.Tooth != 0 {
		return []tooth.Number{r.Part.Tooth}
	}
	if len(r.Part.Teeth) > 0 {
		return r.Part.Teeth
	}
	return r.Part.At
}
