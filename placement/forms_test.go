package placement_test

import (
	"image"
	"image/draw"
	"os"
	"path/filepath"
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
