package placement_test

import (
	"image"
	"image/draw"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/internal/plaster"
	"halfpear/placement"
	"halfpear/tooth"
)

// form is one form of a part laid on a study's cast in place of what stands there.
type form struct {
	name  string
	on    string // the study
	at    tooth.Number
	parts []design.Part
}

func on(p design.Part, teeth ...tooth.Number) design.Part {
	p.Teeth = teeth
	return p
}

var forms = []form{
	{"i-bar", "lower-1", 44, parts(clasp(44, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"))},
	{"half-t", "lower-1", 44, parts(clasp(44, design.ClaspHalfTBar, tooth.DistoFacial, 0.25, "co-cr-cast"))},
	{"t-bar", "lower-1", 44, parts(clasp(44, design.ClaspTBar, tooth.DistoFacial, 0.25, "co-cr-cast"))},
	{"y-bar", "lower-1", 44, parts(clasp(44, design.ClaspYBar, tooth.DistoFacial, 0.25, "co-cr-cast"))},
	{"combination", "lower-1", 44, parts(clasp(44, design.ClaspCombination, tooth.MesioFacial, 0.5, "wrought-wire-steel"))},
	{"mesial rest circumferential", "lower-1", 44, parts(clasp(44, design.ClaspMesialRestCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"))},
	{"back-action", "lower-1", 44, parts(clasp(44, design.ClaspBackAction, tooth.MesioFacial, 0.25, "co-cr-cast"))},
	{"half-and-half", "lower-2", 45, parts(clasp(45, design.ClaspHalfAndHalf, tooth.MesioLingual, 0.25, "co-cr-cast"), rest(45, design.RestOcclusal, tooth.Mesial, design.Auxiliary))},
	{"circumferential", "lower-2", 45, parts(clasp(45, design.ClaspCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"))},
	{"ring", "lower-2", 47, parts(clasp(47, design.ClaspRing, tooth.MesioLingual, 0.25, "co-cr-cast"))},
	{"hairpin", "lower-2", 47, parts(clasp(47, design.ClaspHairpin, tooth.MesioFacial, 0.25, "co-cr-cast"))},
	{"reverse circlet", "lower-1", 44, parts(clasp(44, design.ClaspReverseCirclet, tooth.DistoFacial, 0.25, "co-cr-cast"))},
	{"extended arm", "lower-2", 45, parts(on(clasp(45, design.ClaspExtended, tooth.MesioFacial, 0.25, "co-cr-cast"), 45, 44))},
	{"multiple", "lower-2", 45, parts(on(clasp(45, design.ClaspMultiple, tooth.MesioFacial, 0.25, "co-cr-cast"), 45, 44))},
	{"embrasure", "upper-4", 16, parts(clasp(16, design.ClaspEmbrasure, tooth.MesioFacial, 0.25, "co-cr-cast"))},
	{"front i-bar", "upper-4", 13, parts(clasp(13, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"))},
	{"canine i-bar", "lower-canine", 43, parts(clasp(43, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"))},
	{"lingual i-bar", "lower-2", 47, parts(clasp(47, design.ClaspIBar, tooth.MidLingual, 0.25, "co-cr-cast"))},
	{"ball", "lower-1", 43, parts(rest(43, design.RestBall, tooth.Lingual, design.Indirect))},
	{"incisal", "lower-1", 43, parts(rest(43, design.RestIncisal, tooth.Distal, design.Indirect))},
	{"cingulum", "lower-1", 43, parts(rest(43, design.RestCingulum, tooth.Lingual, design.Indirect))},
	{"onlay", "lower-2", 47, parts(rest(47, design.RestOnlay, tooth.Mesial, design.Primary))},
	{"extended", "lower-2", 47, parts(rest(47, design.RestExtended, tooth.Mesial, design.Primary))},
	{"sublingual bar", "lower-1", 41, parts(major(design.SublingualBar))},
	{"lingual plate", "lower-1", 41, parts(major(design.LingualPlate))},
	{"cingulum bar", "lower-1", 41, parts(major(design.CingulumBar))},
	{"double lingual", "lower-1", 41, parts(major(design.LingualBarWithCingulumBar))},
	{"labial bar", "lower-1", 41, parts(major(design.LabialBar))},
	{"palatal bar", "upper-3", 15, parts(major(design.PalatalBar))},
	{"palatal plate", "upper-1", 15, parts(major(design.PalatalPlate))},
	{"u-shaped", "upper-4", 15, parts(major(design.UShaped))},
	{"a-p bar", "upper-1", 15, parts(major(design.APBar))},
}

// layForm lays a form; the rests it replaces go.
func layForm(t testing.TB, f form) (laid, *placement.Placement) {
	t.Helper()
	l := lay(t, f.on)
	d := l.design
	for _, p := range f.parts {
		if p.Kind == design.Rest && p.Role != design.Auxiliary {
			for _, r := range d.On(design.Rest, p.Tooth) {
				d = d.Without(r.ID)
			}
		}
		d = d.With(p)
	}
	p, err := placement.RelayDesign(l.placed, d)
	if err != nil {
		t.Fatal(err)
	}
	return l, p
}

// TestFormPictures draws every form from the facial, the lingual and the occlusal into the
// folder HALFPEAR_PICTURES, for people to judge by eye.
func TestFormPictures(t *testing.T) {
	dir := os.Getenv("HALFPEAR_PICTURES")
	if dir == "" {
		t.Skip("set HALFPEAR_PICTURES to a folder to draw placements")
	}
	only := os.Getenv("HALFPEAR_PICTURE")
	for _, f := range forms {
		if only != "" && only != f.name {
			continue
		}
		l, p := layForm(t, f)
		at := l.cast.Teeth[f.at]
		wide, o := 26.0, geom.V(0, 2, -10)
		face := geom.V(0, 1, 0)
		z := geom.V(0, 0, 1)
		if l.cast.Arch == tooth.Upper {
			z = z.Neg()
		}
		if at != nil {
			o, face = at.Frame.Origin, at.Frame.Y
		}
		if f.at.Place() == 1 || f.parts[0].Kind == design.MajorConnector {
			wide, o, face = 62, geom.V(0, 2, -8), geom.V(0, 1, 0)
		}
		up := geom.V(0, 1, 0)
		if l.cast.Arch == tooth.Lower {
			up = up.Neg()
		}
		s := 520
		if wide > 50 {
			s = 760
		}
		sheet := image.NewRGBA(image.Rect(0, 0, 3*s, s))
		for i, v := range []plaster.View{
			{Name: "facial", From: face.Add(geom.V(0, 0, 0.15)), Up: z, Around: o, Wide: wide},
			{Name: "lingual", From: face.Neg().Add(geom.V(0, 0, 0.5)), Up: z, Around: o, Wide: wide},
			{Name: "occlusal", From: geom.V(0, 0, 1), Up: up, Around: o, Wide: wide}} {
			img := plaster.Draw(l.cast, v, s, s)
			paint(p, l.cast.Mesh, img, v)
			draw.Draw(sheet, img.Bounds().Add(image.Pt(i*s, 0)), img, image.Point{}, draw.Src)
		}
		w, err := os.Create(filepath.Join(dir, "form-"+f.name+".png"))
		if err != nil {
			t.Fatal(err)
		}
		if err := plaster.Write(w, sheet); err != nil {
			t.Fatal(err)
		}
		w.Close()
		for _, q := range p.Parts {
			for _, mine := range f.parts {
				if q.Part.ID != mine.ID {
					continue
				}
				for _, m := range q.Measures {
					t.Logf("%s: %s %s %v", f.name, m.Name, m.Tooth, m.Quantity)
				}
				for _, x := range q.Shortfalls {
					t.Logf("%s: SHORT %+v", f.name, x)
				}
			}
		}
	}
}

// The figures are those taught for each form (the data sheets of clasps and rests in the
// texts that docs/measures.md names); where none is published they are common practice.
func TestEveryFormIsMeasuredBackAsTaught(t *testing.T) {
	inf := math.Inf(1)
	for name, asked := range map[string][]struct {
		measure string
		lo, hi  float64
	}{
		"i-bar":                       {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"crossing_angle_deg", 75, 105}, {"foot_above_survey_line", -inf, 0.05}, {"tip_past_bulge_deg", 0, 30}, {"root_width", 2, 2.5}},
		"canine i-bar":                {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"crossing_angle_deg", 75, 105}, {"foot_above_survey_line", -inf, 0.05}, {"tip_past_bulge_deg", 0, 30}},
		"front i-bar":                 {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"crossing_angle_deg", 75, 105}},
		"half-t":                      {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"finger_length", 2.5, 3.2}},
		"t-bar":                       {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"finger_length", 2.5, 3.2}},
		"y-bar":                       {{"tip_undercut", 0.2, 0.3}, {"approach_clearance", 2.95, 4}, {"finger_length", 2.5, 3.4}},
		"circumferential":             {{"tip_undercut", 0.2, 0.3}, {"tip_to_margin", 0.9, 3}, {"below_survey_line_share", 0.25, 0.36}, {"thickness_ratio", 0.5, 0.7}, {"arm_length", 7, 13}},
		"combination":                 {{"root_width", 0.8, 1}, {"thickness_ratio", 1, 1}, {"below_survey_line_share", 0.25, 0.36}},
		"mesial rest circumferential": {{"rigid_above_survey_line", -0.3, 0.15}, {"tip_undercut", 0.2, 0.3}},
		"back-action":                 {{"arm_length", 12, 22}, {"tip_undercut", 0.2, 0.3}},
		"ring":                        {{"arm_length", 22, 36}, {"strut_to_margin", 2.95, 4}, {"tip_undercut", 0.2, 0.3}},
		"hairpin":                     {{"slot", 0.9, 2}, {"tip_undercut", 0.2, 0.3}},
		"half-and-half":               {{"tip_undercut", 0.2, 0.3}, {"tip_to_margin", 0.9, 3}},
		"reverse circlet":             {{"tip_undercut", 0.2, 0.3}, {"below_survey_line_share", 0.25, 0.36}},
		"extended arm":                {{"arm_length", 12, 22}, {"tip_undercut", 0.2, 0.3}, {"rigid_undercut", 0, 0.03}},
		"multiple":                    {{"tip_undercut", 0.2, 0.3}},
		"embrasure":                   {{"below_survey_line_share", 0.25, 0.36}},
		"lingual i-bar":               {{"tip_undercut", 0.2, 0.3}, {"foot_above_survey_line", -inf, 0.05}},
		"ball":                        {{"seat_width", 1.5, 2}},
		"incisal":                     {{"seat_width", 2.3, 2.7}, {"seat_to_incisal_angle", 1.5, 2}, {"seat_depth_ridge", 1.45, 1.55}},
		"cingulum":                    {{"seat_length", 2.5, 4}, {"seat_depth_ridge", 1, 1.55}, {"seat_height_share", 0.25, 0.45}},
		"extended":                    {{"seat_length_share", 0.5, 0.7}},
		"onlay":                       {{"seat_length_share", 0.5, 1}},
		"sublingual bar":              {{"upper_border_to_margin", 2.95, 20}, {"lower_border_to_floor", -0.1, 1.6}, {"bar_thickness", 3, 4}},
		"lingual plate":               {{"plate_thickness", 0.5, 0.7}, {"plate_top_share", 0.3, 0.67}},
		"cingulum bar":                {{"bar_thickness", 1.5, 2}, {"bar_height", 3, 4}},
		"double lingual":              {{"upper_border_to_margin", 2.95, 4}, {"bar_height", 3.95, 5}},
		"labial bar":                  {{"upper_border_to_margin", 2.95, 4}, {"bar_height", 4.7, 5.2}},
		"palatal bar":                 {{"strap_width", 5, 8}, {"plate_thickness", 2, 3}},
		"palatal plate":               {{"palate_covered_share", 0.5, 1}, {"border_to_margin", 5.9, 20}, {"border_to_vibrating_line", 1.9, 5}},
		"u-shaped":                    {{"strap_width", 7.6, 12}, {"border_to_margin", 5.9, 9}},
		"a-p bar":                     {{"opening_length", 15, 40}, {"border_to_margin", 5.9, 20}},
	} {
		var f form
		for _, x := range forms {
			if x.name == name {
				f = x
			}
		}
		if len(f.parts) == 0 {
			t.Fatalf("there is no form %s", name)
		}
		_, p := layForm(t, f)
		q, _ := p.Part(f.parts[0].ID)
		for _, m := range asked {
			if got, ok := q.Measure(m.measure, 0); !ok || got.Quantity.Value < m.lo || got.Quantity.Value > m.hi {
				t.Errorf("%s: %s is %v, taught %g to %g", name, m.measure, got.Quantity, m.lo, m.hi)
			}
		}
		if w, ok := p.Whole("pieces", 0); !ok || w.Quantity.Value != 1 {
			t.Errorf("%s: the metal makes %v bodies", name, w.Quantity)
		}
	}
}

// A ring's first half is the rigid arm that opposes its tip: it is as thick as the ring where
// it begins (1.4 mm, common practice), and what bends is never the thicker of the two
// (McCracken: the reciprocal arm has the greater mean diameter).
func TestARingOpposesItselfAsThickAsItIs(t *testing.T) {
	for _, f := range forms {
		if f.name != "ring" {
			continue
		}
		f.parts = append(f.parts, design.Part{ID: "reciprocation-47", Kind: design.Reciprocation, Tooth: 47, Form: design.ReciprocalArm})
		_, p := layForm(t, f)
		ring, _ := p.Part(f.parts[0].ID)
		own, _ := p.Part("reciprocation-47")
		a, ok := ring.Measure("root_thickness", 0)
		b, found := own.Measure("root_thickness", 0)
		if !ok || !found || a.Quantity.Value < 1.35 || math.Abs(a.Quantity.Value-b.Quantity.Value) > 1e-9 {
			t.Errorf("the ring begins %v thick, its rigid half is said to be %v", a.Quantity, b.Quantity)
		}
	}
}

// What a form is made of, and which teeth its tips stand on.
func TestFormsHaveTheirParts(t *testing.T) {
	for name, want := range map[string]struct {
		tips          []tooth.Number
		arms, rigid   int // at least so many
		feet, barline int
	}{
		"multiple": {tips: []tooth.Number{45, 44}, arms: 2, rigid: 3}, "embrasure": {tips: []tooth.Number{16, 17}, arms: 2, rigid: 3},
		"extended arm": {tips: []tooth.Number{44}, arms: 1}, "half-and-half": {tips: []tooth.Number{45}, arms: 1, rigid: 1},
		"ring": {tips: []tooth.Number{47}, arms: 1, rigid: 2}, "back-action": {tips: []tooth.Number{44}, arms: 1, rigid: 1},
		"t-bar": {tips: []tooth.Number{44}, feet: 2}, "half-t": {tips: []tooth.Number{44}, feet: 1},
		"double lingual": {barline: 2}, "a-p bar": {barline: 4},
	} {
		for _, f := range forms {
			if f.name != name {
				continue
			}
			_, p := layForm(t, f)
			q, _ := p.Part(f.parts[0].ID)
			count := map[placement.CurveRole]int{}
			for _, c := range q.Curves {
				count[c.Role]++
			}
			if count[placement.Arm] < want.arms || count[placement.Rigid] < want.rigid || count[placement.Foot] < want.feet || count[placement.BarLine] < want.barline {
				t.Errorf("%s is made of %v", name, count)
			}
			var on []tooth.Number
			for _, tip := range q.Tips {
				on = append(on, tip.Tooth)
			}
			if want.tips != nil && !slices.Equal(on, want.tips) {
				t.Errorf("%s: tips on %v, asked %v", name, on, want.tips)
			}
		}
	}
}

// An approach arm goes one way from the base to its foot: it does not run past the tooth
// and come back.
func TestApproachArmsDoNotTurnBack(t *testing.T) {
	for _, name := range []string{"i-bar", "canine i-bar", "front i-bar", "half-t", "t-bar", "y-bar"} {
		for _, f := range forms {
			if f.name != name {
				continue
			}
			l, p := layForm(t, f)
			q, _ := p.Part(f.parts[0].ID)
			at := l.cast.Teeth[f.at]
			for _, c := range q.Curves {
				if c.Role != placement.Approach {
					continue
				}
				// Along the tooth's own mesiodistal direction, from the base's side.
				end := at.Frame.Local(c.Points[len(c.Points)-1]).X
				sign := math.Copysign(1, end-at.Frame.Local(c.Points[0]).X)
				far := math.Inf(-1)
				for _, v := range c.Points {
					x := sign * at.Frame.Local(v).X
					if x < far-0.4 {
						t.Errorf("%s: the arm turns back by %.2f mm", name, far-x)
						break
					}
					far = math.Max(far, x)
				}
				if far > sign*end+0.4 {
					t.Errorf("%s: the arm runs %.2f mm past its foot", name, far-sign*end)
				}
			}
		}
	}
}
