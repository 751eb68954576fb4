package order

import (
	"halfpear/design"
	"halfpear/placement"
	"halfpear/source"
	"halfpear/words"
)

// Space is one line of the block-out and relief table.
type Space struct {
	Part   design.ID // empty for what holds over the whole cast
	What   string
	Told   string
	MM     *float64 // relief [mm]; nil for block-out
	From   string
	Source source.Ref
}

// reliefs are the usual reliefs [mm] under parts for which neither the design nor the
// placement gives one.
var reliefs = []struct {
	kind   design.Kind
	form   design.Form // empty: any other
	upper  bool        // only upper connectors
	mm     float64
	source source.Ref
}{
	{design.MajorConnector, design.LingualBar, false, 0.25, source.Ref{Key: "relief-bar", Cite: "30-gauge wax under a lingual bar, teaching texts on refractory casts", Mark: source.LookedUp}},
	{design.MajorConnector, design.LingualBarWithCingulumBar, false, 0.25, source.Ref{Key: "relief-bar", Cite: "30-gauge wax under a lingual bar, teaching texts on refractory casts", Mark: source.LookedUp}},
	{design.MajorConnector, design.SublingualBar, false, 0.2, source.Ref{Key: "relief-sublingual", Cite: "an alloy maker's guide", Mark: source.LookedUp}},
	{design.MajorConnector, design.LingualPlate, false, 0.25, source.Ref{Key: "relief-plate", Cite: "30-gauge wax over margins and embrasures", Mark: source.FromMemory}},
	{design.MajorConnector, design.LabialBar, false, 0.25, source.Ref{Key: "relief-bar", Cite: "as under a lingual bar", Mark: source.CommonPractice}},
	{design.MajorConnector, "", true, 0, source.Ref{Key: "relief-palate", Cite: "no relief under upper connectors but over a torus", Mark: source.LookedUp}},
	{design.MinorConnector, "", false, 0.25, source.Ref{Key: "relief-minor", Cite: "30- to 28-gauge wax where a minor connector crosses the margin", Mark: source.FromMemory}},
	{design.Retainer, design.ClaspIBar, false, 0.25, source.Ref{Key: "relief-approach", Cite: "30- to 28-gauge wax under an approach arm, university manual", Mark: source.LookedUp}},
	{design.Base, "lattice", false, 1.0, source.Ref{Key: "relief-lattice", Cite: "20-gauge wax and more under retention for resin", Mark: source.CommonPractice}},
	{design.Base, "mesh", false, 1.0, source.Ref{Key: "relief-lattice", Cite: "20-gauge wax and more under retention for resin", Mark: source.CommonPractice}},
	{design.TissueStop, "", false, 0, source.Ref{Key: "relief-stop", Cite: "a window in the relief: the stop touches the cast", Mark: source.LookedUp}},
}

// spaces lists block-out, then relief part by part.
func spaces(w Work, l words.Lang) []Space {
	if w.Case.Design == nil {
		return nil
	}
	taper := 2.0 // 2° to 3° elsewhere than under guide plates: common practice
	practice := source.Ref{Key: "block-out", Cite: "common practice", Mark: source.CommonPractice}
	out := []Space{
		{What: words.SpacePlanes.In(l), Told: words.BlockParallel.In(l), From: words.ByPractice.In(l), Source: practice},
		{What: words.SpaceParallel.In(l), Told: words.BlockTaper.In(l, words.Deg(l, taper)), From: words.ByPractice.In(l), Source: practice},
		{What: words.SpaceLedges.In(l), Told: words.BlockLedge.In(l), From: words.ByPractice.In(l), Source: practice},
		{What: words.SpaceTips.In(l), Told: words.BlockNone.In(l), From: words.ByPractice.In(l), Source: practice},
	}
	for _, p := range w.Case.Design.Parts {
		if p.Kind == design.GuidePlate && p.SeatsFirst() {
			turning := source.Ref{Key: "jacobson-1994", Cite: "Jacobson, J Prosthet Dent 1994;71:271", Mark: source.LookedUp}
			out = append(out,
				Space{What: words.SpaceRigid.In(l), Told: words.BlockNone.In(l), From: words.ByPractice.In(l), Source: turning},
				Space{What: words.SpaceArc.In(l), Told: words.BlockArc.In(l), From: words.ByPractice.In(l), Source: turning})
			break
		}
	}
	for _, r := range rows(w, l) {
		if s, ok := relief(w, r, l); ok {
			out = append(out, s)
		}
		if s, ok := overTorus(w, r, l); ok {
			out = append(out, s)
		}
	}
	return out
}

// overTorus is the relief where a connector crosses a torus: there more than under the
// rest of it, or at all.
func overTorus(w Work, r Row, l words.Lang) (Space, bool) {
	mm, chosen := r.Part.Dimensions["torus_relief"]
	from, ref := words.Chosen, source.Ref{Key: "design", Cite: "the design", Mark: source.Ours}
	if w.Placement != nil {
		q, ok := w.Placement.Part(r.Part.ID)
		if m, laid := q.Measure("torus_relief", 0); ok && laid {
			if !chosen || mm != m.Quantity.Value {
				from, ref = words.OnTheCast, source.Ref{Key: "placement", Cite: "the placement", Mark: source.Ours}
			}
			mm, chosen = m.Quantity.Value, true
		} else if ok {
			return Space{}, false // it keeps off the torus
		}
	}
	if !chosen {
		return Space{}, false
	}
	return Space{Part: r.Part.ID, What: words.SpaceTorus.In(l, Title(r.Part, l)), Told: words.ReliefOf.In(l, words.MM(l, mm)), MM: &mm, From: from.In(l), Source: ref}, true
}

// relief finds a part's relief: chosen in the design, laid by the placement, or usual.
func relief(w Work, r Row, l words.Lang) (Space, bool) {
	s := Space{Part: r.Part.ID, What: Title(r.Part, l)}
	tell := func(mm float64, from words.Word, ref source.Ref) (Space, bool) {
		s.MM, s.From, s.Source = &mm, from.In(l), ref
		s.Told = words.ReliefNone.In(l)
		if mm > 0 {
			s.Told = words.ReliefOf.In(l, words.MM(l, mm))
		}
		return s, true
	}
	if mm, ok := r.Part.Dimensions["relief"]; ok {
		return tell(mm, words.Chosen, source.Ref{Key: "design", Cite: "the design", Mark: source.Ours})
	}
	if w.Placement != nil {
		if q, ok := w.Placement.Part(r.Part.ID); ok {
			lift, found := 0.0, false
			for _, p := range q.Patches {
				if p.Role == placement.Relief || p.Lift > 0 {
					found = true
					lift = max(lift, p.Lift)
				}
			}
			if found && lift > 0 {
				return tell(lift, words.OnTheCast, source.Ref{Key: "placement", Cite: "the placement", Mark: source.Ours})
			}
		}
	}
	for _, u := range reliefs {
		form := r.Part.Form
		if r.Part.Kind == design.Base {
			form = design.Form(r.Part.Attachment)
		}
		if u.kind == design.Retainer && r.Part.Kind == design.Retainer && form.Infrabulge() {
			form = u.form
		}
		if u.kind == r.Part.Kind && (u.form == "" || u.form == form) && (!u.upper || w.Case.Chart.Arch.String() == "upper") {
			return tell(u.mm, words.ByPractice, u.source)
		}
	}
	return Space{}, false
}
