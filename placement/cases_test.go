package placement_test

import (
	"context"
	"fmt"
	"sync"
	"testing"

	"halfpear/cast"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
)

// study is one case of the tests: an arch, what is missing, and a design.
type study struct {
	arch    tooth.Arch
	missing []tooth.Number
	tune    func(*typodont.Spec)
	parts   []design.Part
}

func rest(n tooth.Number, form design.Form, site tooth.Surface, role design.Role) design.Part {
	return design.Part{ID: design.ID(fmt.Sprintf("rest-%d-%s", n, site)), Kind: design.Rest, Tooth: n, Form: form, Site: site, Role: role}
}

func plate(n tooth.Number, s tooth.Surface) design.Part {
	return design.Part{ID: design.ID(fmt.Sprintf("plate-%d-%s", n, s)), Kind: design.GuidePlate, Tooth: n, Surface: s}
}

func clasp(n tooth.Number, form design.Form, site tooth.Site, mm float64, material string) design.Part {
	return design.Part{ID: design.ID(fmt.Sprintf("retainer-%d", n)), Kind: design.Retainer, Tooth: n, Form: form, Material: material,
		Undercut: &design.Undercut{Site: site, MM: mm}}
}

func recip(n tooth.Number, form design.Form) design.Part {
	return design.Part{ID: design.ID(fmt.Sprintf("reciprocation-%d", n)), Kind: design.Reciprocation, Tooth: n, Form: form}
}

func upright(at ...tooth.Number) design.Part {
	return design.Part{ID: design.ID(fmt.Sprintf("minor-%d", at[0])), Kind: design.MinorConnector, At: at, Joins: "major"}
}

func major(f design.Form) design.Part {
	return design.Part{ID: "major", Kind: design.MajorConnector, Form: f, Material: "co-cr-cast"}
}

func base(id design.ID, support string, teeth ...tooth.Number) []design.Part {
	out := []design.Part{{ID: id, Kind: design.Base, Teeth: teeth, Support: support, Attachment: "lattice", Material: "pmma"},
		{ID: id + "-finish-internal", Kind: design.FinishLine, Side: "internal", Joins: id},
		{ID: id + "-finish-external", Kind: design.FinishLine, Side: "external", Joins: id}}
	if support == "extension" {
		out = append(out, design.Part{ID: id + "-stop", Kind: design.TissueStop, Joins: id})
	}
	for _, n := range teeth {
		out = append(out, design.Part{ID: design.ID(fmt.Sprintf("tooth-%d", n)), Kind: design.ReplacementTooth, Tooth: n, Form: design.ToothResin})
	}
	return out
}

func parts(list ...any) []design.Part {
	var out []design.Part
	for _, x := range list {
		switch v := x.(type) {
		case design.Part:
			out = append(out, v)
		case []design.Part:
			out = append(out, v...)
		}
	}
	return out
}

var studies = map[string]study{
	"lower-1": {arch: tooth.Lower, missing: []tooth.Number{35, 36, 37, 45, 46, 47}, parts: parts(
		rest(34, design.RestOcclusal, tooth.Mesial, design.Primary), rest(44, design.RestOcclusal, tooth.Mesial, design.Primary),
		rest(33, design.RestCingulum, tooth.Lingual, design.Indirect), rest(43, design.RestCingulum, tooth.Lingual, design.Indirect),
		plate(34, tooth.Distal), plate(44, tooth.Distal),
		clasp(34, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"), clasp(44, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"),
		recip(34, design.ReciprocalGuidePlates), recip(44, design.ReciprocalGuidePlates),
		upright(34, 33), upright(44, 43), upright(33, 32), upright(43, 42), major(design.LingualBar),
		base("base-left", "extension", 35, 36, 37), base("base-right", "extension", 45, 46, 47))},
	"lower-2": {arch: tooth.Lower, missing: []tooth.Number{35, 36, 37, 46}, parts: parts(
		rest(34, design.RestOcclusal, tooth.Mesial, design.Primary), rest(45, design.RestOcclusal, tooth.Distal, design.Primary),
		rest(47, design.RestOcclusal, tooth.Mesial, design.Primary), rest(44, design.RestOcclusal, tooth.Mesial, design.Indirect),
		plate(34, tooth.Distal), plate(45, tooth.Distal), plate(47, tooth.Mesial),
		clasp(34, design.ClaspMesialRestCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"),
		clasp(45, design.ClaspCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"),
		clasp(47, design.ClaspRing, tooth.MesioLingual, 0.25, "co-cr-cast"),
		recip(34, design.ReciprocalPlate), recip(45, design.ReciprocalArm),
		upright(34, 33), upright(44, 43), major(design.LingualPlate),
		base("base-left", "extension", 35, 36, 37), base("base-right", "bounded", 46))},
	"lower-canine": {arch: tooth.Lower, missing: []tooth.Number{34, 35, 36, 37, 44, 45, 46, 47}, parts: parts(
		rest(33, design.RestCingulum, tooth.Lingual, design.Primary), rest(43, design.RestCingulum, tooth.Lingual, design.Primary),
		plate(33, tooth.Distal), plate(43, tooth.Distal),
		clasp(33, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"), clasp(43, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast"),
		recip(33, design.ReciprocalGuidePlates), recip(43, design.ReciprocalGuidePlates),
		upright(33, 32), upright(43, 42), major(design.LingualBar),
		base("base-left", "extension", 34, 35, 36, 37), base("base-right", "extension", 44, 45, 46, 47))},
	"upper-1": {arch: tooth.Upper, missing: []tooth.Number{15, 16, 17, 25, 26, 27}, parts: parts(
		rest(14, design.RestOcclusal, tooth.Mesial, design.Primary), rest(24, design.RestOcclusal, tooth.Mesial, design.Primary),
		rest(13, design.RestCingulum, tooth.Lingual, design.Indirect), rest(23, design.RestCingulum, tooth.Lingual, design.Indirect),
		plate(14, tooth.Distal), plate(24, tooth.Distal),
		clasp(14, design.ClaspCombination, tooth.MesioFacial, 0.5, "wrought-wire-steel"), clasp(24, design.ClaspHalfTBar, tooth.DistoFacial, 0.25, "co-cr-cast"),
		recip(14, design.ReciprocalArm), recip(24, design.ReciprocalGuidePlates),
		upright(14, 13), upright(24, 23), upright(13, 12), upright(23, 22), major(design.APStrap),
		base("base-left", "extension", 25, 26, 27), base("base-right", "extension", 15, 16, 17))},
	"upper-3": {arch: tooth.Upper, missing: []tooth.Number{15, 16, 25, 26}, parts: parts(
		rest(14, design.RestOcclusal, tooth.Distal, design.Primary), rest(24, design.RestOcclusal, tooth.Distal, design.Primary),
		rest(17, design.RestOcclusal, tooth.Mesial, design.Primary), rest(27, design.RestOcclusal, tooth.Mesial, design.Primary),
		plate(14, tooth.Distal), plate(24, tooth.Distal), plate(17, tooth.Mesial), plate(27, tooth.Mesial),
		clasp(14, design.ClaspCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"), clasp(24, design.ClaspCircumferential, tooth.MesioFacial, 0.25, "co-cr-cast"),
		clasp(17, design.ClaspCircumferential, tooth.DistoFacial, 0.25, "co-cr-cast"), clasp(27, design.ClaspHairpin, tooth.MesioFacial, 0.25, "co-cr-cast"),
		recip(14, design.ReciprocalArm), recip(24, design.ReciprocalArm), recip(17, design.ReciprocalArm), recip(27, design.ReciprocalArm),
		major(design.PalatalStrap), base("base-left", "bounded", 25, 26), base("base-right", "bounded", 15, 16))},
	"upper-single": {arch: tooth.Upper, missing: []tooth.Number{26}, parts: parts(
		rest(25, design.RestOcclusal, tooth.Distal, design.Primary), rest(27, design.RestOcclusal, tooth.Mesial, design.Primary),
		rest(16, design.RestEmbrasure, tooth.Distal, design.Primary), rest(17, design.RestEmbrasure, tooth.Mesial, design.Primary),
		plate(25, tooth.Distal), plate(27, tooth.Mesial),
		clasp(17, design.ClaspEmbrasure, tooth.DistoFacial, 0.25, "co-cr-cast"),
		upright(17, 16), major(design.PalatalStrap), base("base-left", "bounded", 26))},
	"upper-4": {arch: tooth.Upper, missing: []tooth.Number{12, 11, 21, 22}, parts: parts(
		rest(13, design.RestCingulum, tooth.Lingual, design.Primary), rest(23, design.RestCingulum, tooth.Lingual, design.Primary),
		rest(16, design.RestEmbrasure, tooth.Distal, design.Primary), rest(17, design.RestEmbrasure, tooth.Mesial, design.Primary),
		rest(26, design.RestEmbrasure, tooth.Distal, design.Primary), rest(27, design.RestEmbrasure, tooth.Mesial, design.Primary),
		plate(13, tooth.Mesial), plate(23, tooth.Mesial),
		clasp(16, design.ClaspEmbrasure, tooth.MesioFacial, 0.25, "co-cr-cast"), clasp(26, design.ClaspEmbrasure, tooth.MesioFacial, 0.25, "co-cr-cast"),
		upright(16, 17), upright(26, 27), upright(13, 14), upright(23, 24), major(design.UShaped), base("base-front", "bounded", 12, 11, 21, 22))},
}

type laid struct {
	cast   *cast.Cast
	s, v   *survey.Survey
	design design.Design
	placed *placement.Placement
}

var (
	once  sync.Mutex
	cache = map[string]laid{}
)

func surveyed(t testing.TB, c *cast.Cast, d geom.Vec) *survey.Survey {
	t.Helper()
	s, err := survey.Of(context.Background(), c.Mesh, d, survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func lay(t testing.TB, name string) laid {
	t.Helper()
	once.Lock()
	defer once.Unlock()
	if l, ok := cache[name]; ok {
		return l
	}
	st := studies[name]
	spec := typodont.Full(st.arch, st.missing...)
	if st.tune != nil {
		st.tune(&spec)
	}
	c, err := typodont.Make(spec)
	if err != nil {
		t.Fatal(err)
	}
	l := laid{cast: c, s: surveyed(t, c, geom.V(0, 0, 1)), design: design.Design{Arch: st.arch, Parts: st.parts}}
	l.v = l.s
	if l.placed, err = placement.Lay(c, l.s, l.v, l.design, placement.Limits{}); err != nil {
		t.Fatal(err)
	}
	cache[name] = l
	return l
}
