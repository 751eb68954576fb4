package order_test

import (
	. "halfpear/order"
	"halfpear/order/ordertest"
	"strings"
	"testing"

	"halfpear/design"
	"halfpear/tooth"
	"halfpear/words"
)

func TestSigningAsksForANameAndACompleteOrder(t *testing.T) {
	o := Write(ordertest.Lower(), place1(t, "generic"), words.English)
	if _, _, err := o.Sign(" ", nil); err == nil {
		t.Error("signed without a name")
	}
	w := ordertest.Lower()
	delete(w.Case.Order.Fields, "shade")
	if _, _, err := Write(w, place1(t, "generic"), words.English).Sign("A. S.", nil); err == nil || !strings.Contains(err.Error(), "missing") {
		t.Errorf("signed an order that lacks its shade: %v", err)
	}
	signed, r, err := o.Sign("A. S.", []byte("case"))
	if err != nil || signed.State != Signed || r.Revision != 1 || !strings.Contains(signed.Value("signature").Text, "A. S.") {
		t.Errorf("%+v, %v", r, err)
	}
	if o.State != Complete || o.Value("signature").Text != "" && o.State == Signed {
		t.Error("signing changed the order it was asked of")
	}
}

func TestALaterChangeMakesARevisionThatSaysWhatChanged(t *testing.T) {
	generic := place1(t, "generic")
	_, r, err := Write(ordertest.Lower(), generic, words.English).Sign("A. S.", nil)
	if err != nil {
		t.Fatal(err)
	}
	w := ordertest.Lower()
	w.Before = &r
	if o := Write(w, generic, words.English); o.Revision != 2 || len(o.Changes) != 0 {
		t.Errorf("nothing changed, yet: revision %d, %v", o.Revision, o.Changes)
	}
	d := *w.Case.Design
	bar, _ := d.Part("bar")
	bar.Dimensions = map[string]float64{"height": 4.5, "thickness": 2}
	clasp, _ := d.Part("retainer-44")
	clasp.Form, clasp.Material, clasp.GaugeMM = design.ClaspCombination, "wrought-wire-steel", 0.9
	clasp.Undercut = &design.Undercut{Site: tooth.MesioFacial, MM: 0.5}
	d = d.With(bar).With(clasp).With(design.Part{ID: "rest-33", Kind: design.Rest, Form: design.RestCingulum, Tooth: 33, Site: tooth.Lingual, Role: design.Indirect}).Without("stop-34")
	w.Case.Design = &d
	w.Case.Order.Fields["shade"] = "A2"
	o := Write(w, generic, words.English)
	var all strings.Builder
	for _, c := range o.Changes {
		all.WriteString(c.Text + "\n")
	}
	for _, want := range []string{
		"lingual bar: height was 4.00\u00a0mm, is now 4.50\u00a0mm",
		"form was I-bar, is now combination clasp",
		"undercut was 0.25\u00a0mm mid-facial, is now 0.50\u00a0mm mesio-facial",
		"wire diameter was nothing, is now 0.90\u00a0mm",
		"cingulum rest 33 is new", "tissue stop is gone", "shade was A3, is now A2",
	} {
		if !strings.Contains(all.String(), want) {
			t.Errorf("%q is not told in\n%s", want, all.String())
		}
	}
	if len(o.Changes) != 8 {
		t.Errorf("%d changes, expected 8:\n%s", len(o.Changes), all.String())
	}
	// The record of revision 1 still says what it said.
	if p := r.Parts[0]; p.ID != "bar" || p.Dimensions["height"] != 4 {
		t.Errorf("the signed record changed: %+v", p)
	}
}
