package drawing

import (
	"bytes"
	"maps"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/encoding/pdf"
	"halfpear/order"
	"halfpear/order/ordertest"
	"halfpear/prep"
	"halfpear/rulebook"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

var onCast = sync.OnceValues(ordertest.OnCast)

// papers are the papers of the made-up case.
func papers(t *testing.T, place string, l words.Lang, change func(*order.Work)) Papers {
	t.Helper()
	j, err := order.JurisdictionNamed(place)
	if err != nil {
		t.Fatal(err)
	}
	w, err := onCast()
	if err != nil {
		t.Fatal(err)
	}
	fields := map[string]string{}
	for k, v := range w.Case.Order.Fields {
		fields[k] = v
	}
	w.Case.Order.Fields = fields
	if change != nil {
		change(&w)
	}
	return Papers{Order: order.Write(w, j, l), Size: sheet.A4}
}

// full gives the papers something for each of their pages.
func full(w *order.Work) {
	b, err := rulebook.Open("")
	if err != nil {
		panic(err)
	}
	// A chart with something wrong, so that many rules speak, and two tipped-off values.
	ill := w.Case.Chart
	ill.Teeth = maps.Clone(ill.Teeth)
	loose, ratio := 3, 1.8
	ill.Teeth[44] = chart.Tooth{Mobility: &loose, CrownRootRatio: &ratio, Periodontal: "active", Prognosis: "doubtful"}
	w.Findings = b.Check(rulebook.Input{Chart: ill, Design: w.Case.Design, Placement: w.Placement, Plan: w.Prep, Order: rulebook.Order{Fields: map[string]string{"alloy": "as usual"}}}).Findings
	w.Findings = append(w.Findings, rulebook.Finding{Rule: "CHK-101", Severity: rulebook.Caution, Status: rulebook.Failed, Message: words.Plain("data"), Place: rulebook.Place{Tooth: 44}})
	w.Case.SetAside = []casebook.SetAside{{Rule: "CHK-101", Reason: "data", By: "data", At: ordertest.Noon}, {Rule: "CHK-999", Reason: "data"}}
	w.Case.Order.Queries = []casebook.Query{{Part: "bar", Asked: "data", By: "data", Answer: "data", Answered: "data"}}
	yes := true
	w.Case.Chart.Patient.Epilepsy = &yes
	j, _ := order.JurisdictionNamed("eu")
	before := *w
	before.Case.Order.Fields = map[string]string{}
	for k, v := range w.Case.Order.Fields {
		before.Case.Order.Fields[k] = v
	}
	before.Case.Order.Fields["shade"] = "data"
	if _, r, err := order.Write(before, j, words.English).Sign("data", nil); err == nil {
		w.Before = &r
	}
}

// What is no word: numbers, codes, file names, and what the user wrote.
var dataOnly = regexp.MustCompile(`^[\d\s.,:;/()°#+–—•!⚠*−-]*$`)

// Nothing is written into the pages but through the catalogue: drawn in the
// pseudo-language, every text is in brackets or is data.
func TestNoWordIsHardCoded(t *testing.T) {
	for _, place := range []string{"us-fl", "eu", "gb"} {
		for _, broken := range []bool{false, true} {
			p := papers(t, place, words.Pseudo, func(w *order.Work) {
				full(w)
				if broken {
					rest := w.Case.Design.Parts[1]
					rest.Form = ""
					d := w.Case.Design.With(rest)
					w.Case.Design = &d
					delete(w.Case.Order.Fields, "shade")
				}
			})
			known := map[string]bool{}
			data := append([]string{"data", "test", "mm", "UTC", "m", "SHA-256:", "(ISO", "(0.010", "in)", "case.yaml", "K7-3FQ2", p.Order.Number, p.Order.Jurisdiction.Title(words.English), p.Order.Jurisdiction.Source, p.Order.Jurisdiction.Label(words.English)},
				p.Order.Jurisdiction.Notes(words.English)...)
			for _, f := range p.Order.Work.Findings {
				data = append(data, string(f.Rule))
			}
			data = append(data, "CHK-999")
			for _, v := range p.Order.Work.Case.Order.Fields {
				data = append(data, v)
			}
			for _, in := range p.Order.Work.Inputs {
				data = append(data, in.Short())
			}
			for _, n := range tooth.All(tooth.Lower) {
				data = append(data, n.Spoken())
			}
			for _, d := range data {
				for _, w := range strings.Fields(d) {
					known[strings.Trim(w, ".,;")] = true
				}
			}
			for _, pg := range p.Pages() {
				open := 0
				for _, tx := range pg.Texts() {
					s := tx.Str
					// A wrapped text keeps its brackets on its first and last line.
					in := open > 0
					open += strings.Count(s, "⟦") - strings.Count(s, "⟧")
					if in || strings.ContainsAny(s, "⟦⟧") {
						continue
					}
					for _, w := range strings.Fields(s) {
						if !known[strings.Trim(w, ".,;")] && !dataOnly.MatchString(w) {
							t.Errorf("%s, page %q: %q in %q did not come from the catalogue", place, pg.Name, w, tx.Str)
						}
					}
				}
			}
		}
	}
}

// Nothing on a German page is English but what the user wrote: no finding, no reason, no
// shortfall, no remark.
func TestGermanPapersAreGerman(t *testing.T) {
	p := papers(t, "eu", words.German, full)
	if n := len(p.Order.Open); n < 10 {
		t.Fatalf("only %d findings stand on the papers", n)
	}
	written := regexp.MustCompile(regexp.QuoteMeta(p.Order.Jurisdiction.Source))
	english := regexp.MustCompile(`\[en\]|\b(the|of|and|with|is|are|for|from|not|by|its)\b`)
	for _, v := range p.Order.Work.Case.Order.Fields {
		written = regexp.MustCompile(written.String() + "|" + regexp.QuoteMeta(v))
	}
	for i, pg := range p.Pages() {
		for _, tx := range pg.Texts() {
			if s := written.ReplaceAllString(tx.Str, ""); english.MatchString(s) {
				t.Errorf("page %d: %q", i+1, tx.Str)
			}
		}
	}
}

// Nothing runs off the page or over the frame, even a third longer than English.
func TestNothingOverflows(t *testing.T) {
	for _, l := range []words.Lang{words.English, words.German, words.Pseudo} {
		p := papers(t, "eu", l, full)
		pages := p.Pages()
		p.Size = sheet.Letter
		pages = append(pages, p.Pages()...)
		for i, pg := range pages {
			page := sheet.Rect{X1: pg.Size.W, Y1: pg.Size.H}.Grow(-4)
			var bottom float64 = pg.Size.H
			for _, tx := range pg.Texts() {
				if tx.Layer == sheet.StampLayer {
					continue
				}
				if !page.Holds(tx.Box()) {
					t.Errorf("%s, page %d: %q runs off the page", l, i+1, tx.Str)
				}
				if tx.Layer == sheet.FrameLayer && tx.At.Y > pg.Size.H/2 {
					bottom = min(bottom, tx.Box().Y0)
				}
			}
			for _, tx := range pg.Texts() {
				if tx.Layer == "text" && tx.Box().Y1 > bottom+0.6 {
					t.Errorf("%s, page %d: %q runs into the frame", l, i+1, tx.Str)
				}
			}
		}
	}
}

func TestADraftSaysSoOnEveryPage(t *testing.T) {
	for _, l := range []words.Lang{words.English, words.German} {
		p := papers(t, "us-fl", l, func(w *order.Work) { delete(w.Case.Order.Fields, "shade") })
		p.Design = []sheet.Page{{Name: "design sheet", Size: sheet.A4}}
		for i, pg := range p.Pages() {
			found := 0
			for _, tx := range pg.Texts() {
				if tx.Str == words.Draft.In(l) && tx.Layer == sheet.StampLayer {
					found++
				}
			}
			if found != 1 {
				t.Errorf("page %d says %s %d times", i+1, words.Draft.In(l), found)
			}
		}
		for i, pg := range papers(t, "us-fl", l, nil).Pages() {
			for _, tx := range pg.Texts() {
				if strings.Contains(tx.Str, words.Draft.In(l)) {
					t.Errorf("page %d of a complete order says %q", i+1, tx.Str)
				}
			}
		}
	}
}

// Every page carries the number, the arch and the notice.
func TestEveryPageSaysWhoseItIs(t *testing.T) {
	p := papers(t, "us-nc", words.English, full)
	for i, pg := range p.Pages() {
		var all strings.Builder
		for _, tx := range pg.Texts() {
			all.WriteString(tx.Str + " ")
		}
		for _, want := range []string{p.Order.Number, "lower", "design aid for licensed practitioners", "2026-11-25"} {
			if !strings.Contains(all.String(), want) {
				t.Errorf("page %d lacks %q", i+1, want)
			}
		}
	}
	var all strings.Builder
	for _, pg := range p.Pages() {
		for _, tx := range pg.Texts() {
			all.WriteString(tx.Str + " ")
		}
	}
	for _, want := range []string{"Confirm with your board", "dentist's copy only", "CHK-101", "mid-facial", "(0.010 in)", "#21 (ISO\u00a034)", "relief 1.00\u00a0mm", "00aa 11bb 22cc", "occlusal rest seat", "emergency"} {
		if !strings.Contains(all.String(), want) {
			t.Errorf("the papers lack %q", want)
		}
	}
}

// The plan for the chair is in the order of work: planes before seats, then polish and
// fluoride, the impression last (order of preparation: common teaching after McCracken).
func TestThePlanIsInTheOrderOfWork(t *testing.T) {
	w := writer{Papers: papers(t, "eu", words.English, nil)}
	w.o, w.l, w.Size = w.Order, words.English, sheet.A4
	var all strings.Builder
	pages := w.preparationPages()
	for _, pg := range pages {
		for _, tx := range pg.Texts() {
			all.WriteString(tx.Str + "\n")
		}
	}
	at := -1
	for _, s := range []string{"Rehearsed", "Guide planes", "take ", "Re-survey", "Rest seats", "1.50\u00a0mm deep", "polished", "Fluoride", "final impression"} {
		i := strings.Index(all.String()[at+1:], s)
		if i < 0 {
			t.Fatalf("%q does not follow in\n%s", s, all.String())
		}
		at += 1 + i
	}
	if len(pages) != 1 {
		t.Errorf("the plan takes %d pages", len(pages))
	}
	// A picture of every tooth, with what is cut and a box to tick.
	crowns, cuts, boxes := 0, 0, 0
	for _, it := range pages[0].Items {
		if p, ok := it.(*sheet.Path); ok {
			switch p.Name {
			case "crown":
				crowns++
			case "cut":
				cuts++
			case "tick box":
				boxes++
			}
		}
	}
	if n := len(w.o.Work.Prep.Items) - 2; boxes != n || crowns < 2*n || cuts < n {
		t.Errorf("%d preparations: %d boxes, %d outlines, %d cuts", n, boxes, crowns, cuts)
	}
}

func TestEveryPreparationHasWords(t *testing.T) {
	for _, op := range []prep.Operation{prep.Treat, prep.FixedBridge, prep.Splint, prep.SurveyCrown, prep.GuidePlane, prep.LowerContour, prep.Recontour, prep.Dimple, prep.Composite,
		prep.OcclusalSeat, prep.ExtendedSeat, prep.EmbrasureSeat, prep.CingulumSeat, prep.IncisalSeat, prep.BallSeat, prep.OnlaySeat, prep.Polish, prep.Fluoride} {
		if words.Operations[string(op)].Blank() {
			t.Errorf("%s has no word", op)
		}
	}
	if len(words.Stages) != int(prep.Finish)+1 {
		t.Errorf("%d words for %d stages", len(words.Stages), prep.Finish+1)
	}
}

// The least cut into a round bulge of radius 4 mm that leaves a flat 2 mm high is the
// sagitta, 4 - sqrt(16 - 1) = 0.127 mm.
func TestDepthForAFlat(t *testing.T) {
	line := sheet.Circle(sheet.Pt(0, 0), 4)
	if got := depthFor([][]sheet.Point{line}, 4, 2, 0.5); got < 0.12 || got > 0.17 {
		t.Errorf("got %.3f, expected about 0.127", got)
	}
	if got := depthFor([][]sheet.Point{line}, 4, 6, 0.5); got != 0.5 {
		t.Errorf("got %.3f, expected the most that may be taken", got)
	}
}

// LOOK=folder go test ./drawing -run Look writes the papers for the eye.
func TestLookAtPapers(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("LOOK names no folder")
	}
	for name, p := range map[string]Papers{
		"us-fl-en":  papers(t, "us-fl", words.English, full),
		"eu-de":     papers(t, "eu", words.German, func(w *order.Work) { full(w); delete(w.Case.Order.Fields, "shade") }),
		"gb-pseudo": papers(t, "gb", words.Pseudo, full),
	} {
		var b bytes.Buffer
		if err := pdf.Write(&b, p.Pages(), pdf.Document{Title: p.Order.Number, Date: ordertest.Noon, Lang: "en"}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(dir+"/"+name+".pdf", b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// What the order asks for stands on its papers: the altered cast among the stages, the
// laboratory's own page, and the recall that the dentist entered instead of the usual one.
func TestWhatWasEnteredIsPrinted(t *testing.T) {
	p := papers(t, "generic", words.English, func(w *order.Work) {
		f := w.Case.Order.Fields
		f["try_in"], f["altered_cast"], f["reline"], f["recall"] = "framework, teeth", "yes", "both bases after a year", "each spring"
	})
	all := ""
	for _, pg := range p.Pages() {
		for _, tx := range pg.Texts() {
			all += tx.Str + "\n"
		}
	}
	for _, want := range []string{words.Term(words.English, "tryin", "altered-cast") + "\n", "both bases after a year", "each spring: teeth, gums"} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing says %q", want)
		}
	}
	if strings.Contains(all, "every 6 months") {
		t.Error("two recalls are told")
	}
}

// No page of the order is there for the last lines of the one before (common practice).
func TestNoPageIsNearlyEmpty(t *testing.T) {
	for _, size := range []sheet.Size{sheet.A4, sheet.Letter} {
		for _, place := range []string{"us-fl", "eu"} {
			for _, l := range []words.Lang{words.English, words.German} {
				for _, change := range []func(*order.Work){nil, full} {
					p := papers(t, place, l, change)
					p.Size = size
					for i, pg := range p.Pages() {
						low := 0.0
						for _, tx := range pg.Texts() {
							if tx.Layer != sheet.FrameLayer && tx.Layer != sheet.StampLayer {
								low = max(low, tx.Box().Y1)
							}
						}
						if pg.Name == "" && low < size.H/4 { // a part of the papers may be short as a whole
							t.Errorf("%s in %s, %.0f mm: page %d %q ends at %.0f mm", place, l, size.H, i+1, pg.Name, low)
						}
					}
				}
			}
		}
	}
}
