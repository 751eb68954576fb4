package order_test

import (
	. "halfpear/order"
	"halfpear/order/ordertest"
	"testing"

	"halfpear/words"
)

func TestIdentifiersAreFound(t *testing.T) {
	for text, what := range map[string]words.Word{
		"Mrs Miller prefers a light shade":    words.HitName,
		"Patientin Meier wünscht helle Zähne": words.HitName,
		"Frau K. Schulze kommt Montag":        words.HitName,
		"call Mr. John Smith":                 words.HitName,
		"Hr. Dr. med. Schmidt wünscht":        words.HitName,
		"Name: Alice Beispiel":                words.HitName,
		"DOB unknown":                         words.HitBirth,
		"geb. im Herbst":                      words.HitBirth,
		"seen on 03/14/1956":                  words.HitDate,
		"am 14.03.1956 gesehen":               words.HitDate,
		"14. März 1956":                       words.HitDate,
		"March 14, 1956":                      words.HitDate,
		"1956-03-14":                          words.HitDate,
		"call 0171 2345678":                   words.HitTelephone,
		"+49 30 1234567":                      words.HitTelephone,
		"(555) 123-4567":                      words.HitTelephone,
		"someone@example.org":                 words.HitEmail,
		"123-45-6789":                         words.HitSocial,
		"NHS 943 476 5919":                    words.HitHealth,
		"A123456780":                          words.HitInsurance,
		"patient no. 4711":                    words.HitRecord,
		"Aktennr 4711, Akte Nr. 12":           words.HitRecord,
		"see www.example.org/case":            words.HitWeb,
		"88123456":                            words.HitLong,
		"wohnt Musterstraße 12":               words.HitStreet,
		"12 Sample Street":                    words.HitStreet,
	} {
		hits := Identifiers("x", text)
		if len(hits) == 0 || hits[0].What != what {
			t.Errorf("%q: found %v, expected %q", text, hits, what.In(words.English))
		}
	}
}

func TestTradeTextIsNoIdentifier(t *testing.T) {
	for _, text := range []string{
		"Lingual bar 4 x 2 mm, 3.5 mm below the margin of 34 33 32", "Please keep the bar 0.25 mm off the mucosa, ISO 22674 type 5",
		"Patient has a strong gag reflex", "I-bar 34 in 0.010 in undercut; 1.5/2.0 mm seat", "Occlusion: group function 34-37, 44-47", "Farbe A3, Form mittel, 8,5 mm breit",
		"Gerüstanprobe gewünscht, Sattel 35 36 37", "Shade A3.5 / A4 at the necks", "10 min in 0.5 % hypochlorite",
	} {
		if hits := Identifiers("x", text); len(hits) > 0 {
			t.Errorf("%q: %v", text, hits)
		}
	}
}

func TestAnIdentifierKeepsTheOrderBack(t *testing.T) {
	w := ordertest.Lower()
	w.Case.Order.Fields["instructions"] = "Mrs Miller was born 14.03.1956"
	o := Write(w, place1(t, "generic"), words.English)
	if o.State != Draft || len(o.Gaps) < 2 {
		t.Errorf("%s, %+v", o.State, o.Gaps)
	}
	w.Case.Order.Fields["identifiers_confirmed_by"] = "A. S."
	if o := Write(w, place1(t, "generic"), words.English); o.State != Complete {
		t.Errorf("%+v", o.Gaps)
	}
}

func TestNothingIsLeftToTheTechnician(t *testing.T) {
	w := ordertest.Lower()
	w.Case.Order.Fields["shade"] = "as usual"
	if o := Write(w, place1(t, "generic"), words.English); o.State != Draft {
		t.Error("a shade as usual went through")
	}
	for _, text := range []string{"clasps as usual", "Connector: your choice", "wie üblich", "lab to decide"} {
		w := ordertest.Lower()
		w.Case.Order.Fields["instructions"] = text
		if o := Write(w, place1(t, "generic"), words.English); o.State != Draft {
			t.Errorf("%q went through", text)
		}
	}
}
