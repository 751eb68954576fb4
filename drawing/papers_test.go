package drawing

import (
	"bytes"
	"os"
	"testing"

	"halfpear/encoding/pdf"
	"halfpear/order"
	"halfpear/order/ordertest"
	"halfpear/sheet"
	"halfpear/words"
)

// example is the order of the made-up case.
func example(t *testing.T, place string, l words.Lang, change func(*order.Work)) Papers {
	t.Helper()
	j, err := order.JurisdictionNamed(place)
	if err != nil {
		t.Fatal(err)
	}
	w := ordertest.Lower()
	if change != nil {
		change(&w)
	}
	return Papers{Order: order.Write(w, j, l), Size: sheet.A4}
}

func TestLookAtPapers(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip()
	}
	for name, p := range map[string]Papers{
		"fl-en": example(t, "us-fl", words.English, nil),
		"eu-de": example(t, "eu", words.German, func(w *order.Work) {
			delete(w.Case.Order.Fields, "shade")
			w.Case.Order.Fields["instructions"] = "wie üblich, Frau Muster"
		}),
		"gb-psdo": example(t, "gb", words.Pseudo, nil),
	} {
		var b bytes.Buffer
		if err := pdf.Write(&b, p.Pages(), pdf.Document{Title: "x", Date: ordertest.Noon, Lang: "en"}); err != nil {
			t.Fatal(err)
		}
		os.WriteFile(dir+"/"+name+".pdf", b.Bytes(), 0o644)
	}
}
