package mechanics

import (
	"context"
	"testing"

	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/placement"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/typodont"
)

// upperBounded is an upper denture with two bounded bases and a connector of a form.
func upperBounded(t testing.TB, form design.Form, thickness float64) *Report {
	t.Helper()
	missing := []tooth.Number{15, 16, 25, 26}
	c, err := typodont.Make(typodont.Full(tooth.Upper, missing...))
	if err != nil {
		t.Fatal(err)
	}
	s, err := survey.Of(context.Background(), c.Mesh, geom.V(0, 0, 1), survey.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var parts []design.Part
	for n, site := range map[tooth.Number]tooth.Surface{14: tooth.Distal, 24: tooth.Distal, 17: tooth.Mesial, 27: tooth.Mesial} {
		parts = append(parts, design.Part{ID: design.ID("rest-" + n.String()), Kind: design.Rest, Tooth: n, Form: design.RestOcclusal, Site: site, Role: design.Primary})
	}
	for i, side := range []string{"right", "left"} {
		parts = append(parts, design.Part{ID: design.ID("base-" + side), Kind: design.Base, Teeth: missing[2*i : 2*i+2], Support: "bounded", Attachment: "lattice", Material: "resin"})
		for _, n := range missing[2*i : 2*i+2] {
			parts = append(parts, design.Part{ID: design.ID("tooth-" + n.String()), Kind: design.ReplacementTooth, Tooth: n, Form: design.ToothResin})
		}
	}
	d := design.Design{Arch: tooth.Upper, Parts: append(parts, design.Part{ID: "major", Kind: design.MajorConnector, Form: form, Material: "co-cr-cast",
		Dimensions: map[string]float64{"thickness": thickness}})}
	p, err := placement.Lay(c, s, s, d, placement.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return Assess(c, chart.Chart{Arch: tooth.Upper}, d, p)
}

// In the upper jaw two bars, front and rear, were the stiffest and a U the least stiff
// (Ben-Ur et al. 1989, abstract); straps are labelled as no beams. Twice the thickness
// stiffens a strap about eightfold, as bending and torsion of a thin section have it.
func TestUpperConnectorsRank(t *testing.T) {
	of := func(form design.Form, thickness float64) *Connector {
		r := upperBounded(t, form, thickness)
		if r.Connector == nil {
			t.Fatalf("%s was not reckoned: %v", form, r.Unknown)
		}
		c := r.Connector
		t.Logf("%-25s %.1f mm: sinks %.3v closes %.3v twists %.3v beyond %v", form, thickness, c.Sinks, c.Closes, c.TwistDeg, c.Beyond)
		for what, x := range map[string]Range{"sinks": c.Sinks, "closes": c.Closes, "twists": c.TwistDeg} {
			if !(0 < x.Low && x.Low < x.Typical && x.Typical < x.High) {
				t.Errorf("%s: %s %v is no range", form, what, x)
			}
		}
		for _, o := range c.Others {
			if o.Sinks.Typical >= c.Sinks.Typical {
				t.Errorf("%s: %s by %.1f mm it gives more: %.3f after %.3f mm", form, o.Change, o.By, o.Sinks.Typical, c.Sinks.Typical)
			}
		}
		return c
	}
	bars, straps, u, thick := of(design.APBar, 1.5), of(design.APStrap, 0.6), of(design.UShaped, 0.6), of(design.UShaped, 1.2)
	if !(bars.Sinks.Typical < straps.Sinks.Typical && straps.Sinks.Typical < u.Sinks.Typical) {
		t.Errorf("bars give %.3f mm, straps %.3f, a U %.3f", bars.Sinks.Typical, straps.Sinks.Typical, u.Sinks.Typical)
	}
	if !straps.Beyond || !u.Beyond {
		t.Error("straps pass for beams")
	}
	near(t, "twice the thickness", u.Sinks.Typical/thick.Sinks.Typical, 8, 0.1)
}

// A lingual bar is a beam; half a millimetre of thickness stiffens it more than half a
// millimetre of height, because torsion and bending through the thickness decide (Ben-Ur et
// al. 1989: 3.75 × 1.75 mm stiffer than 4 × 1.5 mm).
func TestLingualBarGives(t *testing.T) {
	k, c, d, p := classOne(t, design.ClaspIBar, tooth.MidFacial, 0.25, "co-cr-cast", tooth.Mesial)
	r := Assess(k, c, d, p)
	if r.Connector == nil || r.Connector.Beyond || len(r.Connector.Others) != 2 {
		t.Fatalf("a lingual bar is a beam: %+v", r.Connector)
	}
	thick, high := r.Connector.Others[0], r.Connector.Others[1]
	if thick.Change != Thicker || high.Change != Wider || !(thick.Sinks.Typical < high.Sinks.Typical && high.Sinks.Typical < r.Connector.Sinks.Typical) {
		t.Errorf("as it is %.3f mm, thicker %.3f, higher %.3f", r.Connector.Sinks.Typical, thick.Sinks.Typical, high.Sinks.Typical)
	}
}
