package drawing

import (
	"halfpear/arch"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/order"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// smallDenture tells dentures that are easily swallowed: on one side only, or with fewer
// than two clasps, or replacing one or two teeth.
func smallDenture(d *design.Design, c chart.Chart) bool {
	if d == nil {
		return false
	}
	right, left := false, false
	clasps := 0
	for _, p := range d.Parts {
		if p.Kind == design.Retainer && p.Form != design.ClaspNone {
			clasps++
		}
		for _, n := range append(p.Teeth[:len(p.Teeth):len(p.Teeth)], p.Tooth) {
			if n != 0 && n.Right() {
				right = true
			} else if n != 0 {
				left = true
			}
		}
	}
	replaced := 0
	for _, n := range tooth.All(c.Arch) {
		if c.Replaced(n) {
			replaced++
		}
	}
	return !(right && left) || clasps < 2 || replaced <= 2
}

// deliveryPages are for the day of delivery and for the patient to keep: safe to hand out,
// because nothing on them says who it is.
func (w *writer) deliveryPages() []sheet.Page {
	o := w.o
	c := o.Work.Case.Chart
	f := w.flow(w.say(words.DeliveryTitle), 2.9)
	f.Para(w.say(words.DeliveryFor))
	var carried, replaced []tooth.Number
	if o.Work.Case.Design != nil {
		carried = o.Work.Case.Design.Abutments()
	}
	for _, n := range tooth.All(c.Arch) {
		if c.Replaced(n) {
			replaced = append(replaced, n)
		}
	}
	f.Para(w.say(words.DeliveryTeeth, w.teethText(carried), w.teethText(replaced)))
	if alloy := o.Value("alloy").Text; alloy != "" {
		f.Para(w.say(words.DeliveryContents, alloy, o.Value("alloy.contents").Text))
	}
	f.Heading(2, w.say(words.DeliveryDanger))
	if smallDenture(o.Work.Case.Design, c) {
		f.Strong(w.say(words.DeliverySmall))
	}
	if e := c.Patient.Epilepsy; e != nil && *e {
		f.Strong(w.say(words.DeliveryEpilepsy))
	}
	for _, s := range words.DeliveryDangers {
		f.Bullet("!", w.say(s))
	}
	f.Heading(2, w.say(words.DeliveryHome))
	for _, s := range words.DeliveryHints {
		f.Bullet("•", w.say(s))
	}
	f.Heading(2, w.say(words.DeliveryCheck))
	for _, s := range words.DeliveryChecks {
		f.Check(false, w.say(s))
	}
	f.Line(w.say(words.DeliveryDelivered), "")
	f.Line(w.say(words.DeliveryBy), "")
	f.Heading(2, w.say(words.DeliveryRecall))
	f.Check(false, w.say(words.RecallFirst))
	if asked := o.Value("recall").Text; asked != "" {
		f.Check(false, w.say(words.RecallAsked, asked))
	} else {
		f.Check(false, w.say(words.RecallEvery, order.RecallMonths(c.Patient)))
	}
	for _, a := range o.Work.Class.Areas {
		if a.Kind == arch.Extension {
			f.Bullet("•", w.say(words.RecallBase))
			break
		}
	}
	f.Bullet("•", w.say(words.RecallClasp))
	f.Small(w.say(words.RecallWhy))
	f.Line(w.say(words.RecallDates), "")
	return f.Pages()
}
