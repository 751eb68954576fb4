package order

import (
	"sort"
	"strconv"
	"strings"

	"halfpear/design"
	"halfpear/placement"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/unit"
	"halfpear/words"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Row is one part in the part table, as the drawing has it.
type Row struct {
	Number     int // place in the table, from 1
	Part       design.Part
	What       string // form and kind, as in "I-bar"
	Where      string // place on the tooth, undercut, what it joins
	Material   string
	Dimensions []Dimension
	Placed     bool
}

// Dimension is one measure of a part with where it came from.
type Dimension struct {
	Name  string // as in "height"
	Label string
	Tooth tooth.Number // where it was taken; 0 for the whole part
	Value unit.Quantity
	Text  string // as printed, with the unit
	From  string // "chosen", "on the cast", "common practice"
	Build bool   // a technician builds to it; the others judge the design
}

// Title is a part's name in a language, as in "I-bar 34".
func Title(p design.Part, l words.Lang) string {
	name := partName(p, l)
	var teeth []string
	switch {
	case p.Tooth != 0:
		teeth = append(teeth, words.ToothName(l, p.Tooth))
	case p.Kind == design.MinorConnector:
		for _, n := range p.At {
			teeth = append(teeth, words.ToothName(l, n))
		}
	default:
		for _, n := range p.Teeth {
			teeth = append(teeth, words.ToothName(l, n))
		}
	}
	if len(teeth) == 0 {
		return name
	}
	return name + " " + strings.Join(teeth, " ")
}

func partName(p design.Part, l words.Lang) string {
	kind := words.Term(l, "kind", string(p.Kind))
	switch p.Kind {
	case design.Base:
		if p.Support != "" {
			return words.Term(l, "support", p.Support)
		}
	case design.FinishLine:
		if p.Side != "" {
			return kind + ", " + words.Term(l, "side", p.Side)
		}
	default:
		if p.Form != "" {
			return words.Term(l, string(p.Kind), string(p.Form))
		}
	}
	return kind
}

// rows lists the design's parts as the drawing numbers them.
func rows(w Work, l words.Lang) []Row {
	if w.Case.Design == nil {
		return nil
	}
	var out []Row
	for i, p := range w.Case.Design.Listed() {
		r := Row{Number: i + 1, Part: p, What: partName(p, l), Where: where(w, p, l), Material: madeOf(w, p, l)}
		if w.Placement != nil {
			var placed placement.Placed
			placed, r.Placed = w.Placement.Part(p.ID)
			r.Dimensions = dimensions(p, placed, l)
		} else {
			r.Dimensions = dimensions(p, placement.Placed{}, l)
		}
		out = append(out, r)
	}
	return out
}

// where tells a part's place in words.
func where(w Work, p design.Part, l words.Lang) string {
	var out []string
	add := func(s string) { out = append(out, s) }
	switch p.Kind {
	case design.Rest:
		if p.Site != "" {
			add(words.Term(l, "surface", string(p.Site)))
		}
		if p.Role != "" && p.Role != design.Primary {
			add(words.Term(l, "role", string(p.Role)))
		}
		if w.Case.Chart.Teeth[p.Tooth].RestSeat == "present" {
			add(words.PartSeatThere.In(l))
		} else {
			add(words.PartSeatPlan.In(l))
		}
	case design.GuidePlate:
		add(words.PartOnSurface.In(l, words.Term(l, "surface", string(p.Surface))))
	case design.Retainer:
		if p.Undercut != nil {
			add(words.PartTip.In(l, words.Term(l, "site", string(p.Undercut.Site)), words.MM(l, p.Undercut.MM), unit.Inches(p.Undercut.MM)))
		}
		if w.Placement != nil {
			q, _ := w.Placement.Part(p.ID)
			for _, tip := range q.Held() {
				if len(q.Held()) == 1 {
					add(words.PartReached.In(l, words.MM(l, tip.UndercutMM)))
				} else {
					add(words.PartReachedOn.In(l, words.MM(l, tip.UndercutMM), words.ToothName(l, tip.Tooth)))
				}
			}
		}
		if p.GaugeMM > 0 {
			add(words.PartWire.In(l, words.MM(l, p.GaugeMM)))
		}
	case design.Base:
		add(words.PartReplaces.In(l, words.Teeth(p.Teeth)))
		if p.Attachment != "" {
			add(words.Term(l, "attachment", p.Attachment))
		}
	case design.MinorConnector:
		if len(p.At) > 1 {
			add(words.PartBetween.In(l, words.Teeth(p.At)))
		}
	default:
		if len(p.Teeth) > 0 {
			add(words.PartLiesOn.In(l, words.Teeth(p.Teeth)))
		}
	}
	if p.Joins != "" {
		name := string(p.Joins)
		if w.Case.Design != nil {
			if q, ok := w.Case.Design.Part(p.Joins); ok {
				name = Title(q, l)
			}
		}
		add(words.PartJoins.In(l, name))
	}
	if p.Note != "" {
		add(rulebook.Noted(p.Note).In(l))
	}
	return strings.Join(out, "; ")
}

// madeOf is a part's own material, or the order's for what it is made of.
func madeOf(w Work, p design.Part, l words.Lang) string {
	code := p.Material
	if code == "" {
		switch p.Kind {
		case design.Base:
			code = w.Case.Order.Fields["base.material"]
		case design.ReplacementTooth:
			return words.Term(l, "replacement-tooth", w.Case.Order.Fields["tooth.material"])
		default:
			code = w.Case.Order.Fields["alloy"]
		}
	}
	return words.Term(l, "material", code)
}

// dimensions are the part's chosen measures, then what was read back on the cast.
func dimensions(p design.Part, placed placement.Placed, l words.Lang) []Dimension {
	var out []Dimension
	names := make([]string, 0, len(p.Dimensions))
	for name := range p.Dimensions {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		q := unit.Quantity{Value: p.Dimensions[name], Unit: "mm", Origin: unit.Entered}
		if strings.HasSuffix(name, "_deg") {
			q.Unit = "deg"
		}
		out = append(out, Dimension{Name: name, Label: measureLabel(l, name, strings.ReplaceAll(strings.TrimSuffix(name, "_deg"), "_", " ")), Value: q, Text: quantity(l, q), From: words.Chosen.In(l), Build: true})
	}
	for _, m := range placed.Measures {
		if _, ok := p.Dimensions[m.Name]; ok {
			continue
		}
		d := Dimension{Name: m.Name, Label: measureLabel(l, m.Name, m.Label), Tooth: m.Tooth, Value: m.Quantity, Text: quantity(l, m.Quantity), From: words.OnTheCast.In(l), Build: built[m.Name]}
		if v, ok := p.Dimensions[chosenAs[m.Name]]; ok && d.Text == words.MM(l, v) {
			d.Build = false // said already, as it was chosen
		}
		out = append(out, d)
	}
	return out
}

// chosenAs names the dimension that a measure reads back.
var chosenAs = map[string]string{
	"plate_thickness": "thickness", "connector_thickness": "thickness", "bar_thickness": "thickness", "connector_width": "width",
	"approach_relief": "relief", "connector_relief": "relief", "stop_size": "size", "finish_offset": "offset",
}

// built are the measures that a technician builds to. The rest of what is read back on a
// cast judges the design and stands in the machine-readable twin only.
var built = map[string]bool{
	"seat_width": true, "seat_length": true, "seat_depth_ridge": true, "channel_width": true, "metal_at_ridge": true, "metal_least": true,
	"plate_height": true, "plate_width": true, "plate_thickness": true, "plate_relief": true, "plate_tissue_extent": true,
	"arm_length": true, "root_width": true, "root_thickness": true, "tip_width": true, "tip_thickness": true, "tip_to_margin": true,
	"foot_height": true, "finger_length": true, "approach_clearance": true, "approach_relief": true, "strut_to_margin": true, "slot": true,
	"connector_width": true, "connector_thickness": true, "connector_relief": true,
	"bar_height": true, "bar_thickness": true, "upper_border_to_margin": true, "lower_border_to_floor": true, "border_to_margin": true,
	"strap_width": true, "anterior_strap_width": true, "posterior_strap_width": true, "lateral_strap_width": true, "opening_length": true, "opening_width": true,
	"border_to_vibrating_line": true, "bead_width": true, "relief": true, "relief_start": true, "lattice_length": true,
	"lattice_opening_length": true, "lattice_opening_width": true, "stop_size": true, "finish_offset": true, "crown_width": true, "crown_breadth": true,
}

// measureLabel is the catalogue's word for a measure, else the label that came with it.
func measureLabel(l words.Lang, name, label string) string {
	if words.HasTerm("measure", name) {
		return words.Term(l, "measure", name)
	}
	if label == "" {
		return name
	}
	return label
}

func quantity(l words.Lang, q unit.Quantity) string {
	switch q.Unit {
	case "mm":
		return words.MM(l, q.Value)
	case "deg":
		return words.Deg(l, q.Value)
	case "MPa", "teeth":
		return words.Number(l, q.Value, 0) + " " + q.Unit
	case "":
		return words.Number(l, q.Value, 2)
	}
	return words.Number(l, q.Value, 2) + " " + q.Unit
}
