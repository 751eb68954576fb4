package casefile

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"time"

	"halfpear/casebook"
	"halfpear/chart"
	"halfpear/design"
	"halfpear/geom"
	"halfpear/rulebook"
	"halfpear/tooth"
	"halfpear/words"
)

// Numbers is a list of tooth numbers; a file may give a single one bare.
type Numbers []int

// UnmarshalJSON reads a number or a list of numbers.
func (n *Numbers) UnmarshalJSON(data []byte) error {
	var one int
	if json.Unmarshal(data, &one) == nil {
		*n = Numbers{one}
		return nil
	}
	var many []int
	if err := json.Unmarshal(data, &many); err != nil {
		return err
	}
	*n = many
	return nil
}

// reader collects what is wrong while a file becomes a case.
type reader struct{ wrong []Problem }

func (r *reader) say(field string, text words.Text) {
	r.wrong = append(r.wrong, Problem{Field: field, Text: text})
}

func (r *reader) number(field string, n int) tooth.Number {
	if n < 0 || n > 48 || !tooth.Number(n).Valid() {
		r.say(field, words.Tell("%d is no tooth: expected an FDI number such as 34", n))
		return 0
	}
	return tooth.Number(n)
}

func (r *reader) optional(field string, n int) tooth.Number {
	if n == 0 {
		return 0
	}
	return r.number(field, n)
}

func (r *reader) list(field string, ns []int) []tooth.Number {
	var out []tooth.Number
	for i, n := range ns {
		if t := r.number(field+"."+strconv.Itoa(i), n); t != 0 {
			out = append(out, t)
		}
	}
	return out
}

// moment reads a time; an empty one is the zero time.
func (r *reader) moment(field, s string) time.Time {
	if s == "" {
		return time.Time{}
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		r.say(field, words.Tell("%q: expected a time such as 2026-03-01T10:30:00Z", s))
	}
	return t
}

// keyed turns a map with tooth numbers as keys; a key that is no tooth is a problem.
func keyed[A, B any](r *reader, field string, m map[string]A, f func(at string, a A) B) map[tooth.Number]B {
	if len(m) == 0 {
		return nil
	}
	out := map[tooth.Number]B{}
	for _, k := range slices.Sorted(maps.Keys(m)) {
		n, err := tooth.Parse(k)
		if err != nil {
			r.say(field+"."+k, words.Tell("%q is no tooth: expected an FDI number such as 34", k))
			continue
		}
		out[n] = f(field+"."+k, m[k])
	}
	return out
}

func same[T any](_ string, v T) T { return v }

// AsCase turns the file into a case and lists what cannot be one.
func (f File) AsCase() (casebook.Case, []Problem) {
	r := &reader{}
	c := casebook.Case{ID: casebook.ID(f.Case), Title: f.Title, Profile: f.Profile}
	a, err := tooth.ParseArch(f.Arch)
	if err != nil {
		r.say("arch", words.Tell("expected upper or lower"))
	}
	c.Chart.Arch = a
	c.Chart.Teeth = keyed(r, "teeth", f.Teeth, func(_ string, t Tooth) chart.Tooth {
		return chart.Tooth{State: chart.State(t.State), Replace: t.Replace, Abutment: t.Abutment, Mobility: t.Mobility,
			BoneLossPercent: t.BoneLossPercent, CrownRootRatio: t.CrownRootRatio, TiltDeg: t.TiltDeg, TiltToward: t.TiltToward,
			RotationDeg: t.RotationDeg, RootFilled: t.RootFilled, Crown: t.Crown, Caries: t.Caries, Periodontal: t.Periodontal,
			Prognosis: t.Prognosis, RestSeat: t.RestSeat, SeatMaterial: t.SeatMaterial, ProbingMM: t.ProbingMM, Furcation: t.Furcation,
			CrownHeightMM: t.CrownHeightMM, MesialContact: t.MesialContact, OpposingRoomMM: t.OpposingRoomMM, ArmRoomMM: t.ArmRoomMM,
			ExtractedMonths: t.ExtractedMonths, Diastema: t.Diastema, Note: t.Note}
	})
	if t := f.Tissues; t != nil {
		to := &c.Chart.Tissues
		to.FloorDepthMM = keyed(r, "tissues.floor_depth_mm", t.FloorDepthMM, same[float64])
		to.FloorIsFunctional = t.FloorIsFunctional
		to.VestibuleDepthMM = keyed(r, "tissues.vestibule_depth_mm", t.VestibuleDepthMM, same[float64])
		to.TissueUndercutMM = keyed(r, "tissues.tissue_undercut_mm", t.TissueUndercutMM, func(_ string, u TissueUndercut) chart.TissueUndercut {
			return chart.TissueUndercut{DepthMM: u.Depth, BelowMarginMM: u.BelowMargin}
		})
		to.FrenumNear = r.list("tissues.frenum_near", t.FrenumNear)
		to.LingualFrenum = t.LingualFrenum
		for i, o := range t.Tori {
			to.Tori = append(to.Tori, chart.Torus{Place: o.Place, Teeth: r.list(fmt.Sprintf("tissues.tori.%d.teeth", i), o.Teeth),
				Size: o.Size, Operable: o.Operable, ToVibratingMM: o.ToVibratingMM})
		}
		if t.Ridge != nil {
			to.RidgeLeft, to.RidgeRight = chart.Ridge(t.Ridge.Left), chart.Ridge(t.Ridge.Right)
		}
		to.VibratingLineMM, to.FlabbyFront = t.VibratingLineMM, t.FlabbyFront
	}
	if p := f.Patient; p != nil {
		c.Chart.Patient = chart.Patient{SmileLine: p.SmileLine, Gag: p.Gag, Dexterity: p.Dexterity,
			CariesRisk: p.CariesRisk, Hygiene: p.Hygiene, DryMouth: p.DryMouth, Bruxism: p.Bruxism, Epilepsy: p.Epilepsy}
		if p.Allergies != nil {
			// An empty list says that there are none; no list, that nobody asked.
			c.Chart.Patient.Allergies = append([]string{}, *p.Allergies...)
		}
	}
	if f.Opposing != nil {
		c.Chart.Opposing.Kind = f.Opposing.Kind
	}
	if b := f.Returned; b != nil {
		c.Returned = &casebook.Returned{RestGapMM: b.RestGapMM, DifferenceMM: b.DifferenceMM, Absent: append([]string{}, b.Absent...)}
		for name, v := range map[string]*float64{"rest_gap_mm": b.RestGapMM, "difference_mm": b.DifferenceMM} {
			if v != nil && !(*v >= 0 && *v <= 20) {
				r.say("returned."+name, words.Tell("%g mm: expected a length from 0 to 20", *v))
			}
		}
	}
	if s := f.Survey; s != nil {
		if s.Tilt != nil {
			c.Survey.Tilted, c.Survey.AnteriorDeg, c.Survey.RightDeg = true, s.Tilt.AnteriorDeg, s.Tilt.RightDeg
			for name, v := range map[string]float64{"anterior_deg": s.Tilt.AnteriorDeg, "right_deg": s.Tilt.RightDeg} {
				if !(v > -90 && v < 90) {
					r.say("survey.tilt."+name, words.Tell("%g degrees: expected an angle between -90 and 90", v))
				}
			}
		}
		c.Survey.Undercuts = keyed(r, "survey.undercuts", s.Undercuts, func(at string, m map[string]HandUndercut) map[tooth.Site]casebook.HandUndercut {
			out := map[tooth.Site]casebook.HandUndercut{}
			for _, k := range slices.Sorted(maps.Keys(m)) {
				if !slices.Contains(tooth.Sites[:], tooth.Site(k)) {
					r.say(at+"."+k, words.Tell("%q is no undercut site: expected one of %v", k, tooth.Sites))
					continue
				}
				if u := m[k]; !(u.MM >= 0 && u.MM <= 5) {
					r.say(at+"."+k+".mm", words.Tell("%g mm: expected a depth from 0 to 5", u.MM))
				}
				out[tooth.Site(k)] = casebook.HandUndercut{MM: m[k].MM, AboveMarginMM: m[k].AboveMarginMM}
			}
			return out
		})
	}
	if s := f.Scan; s != nil {
		c.Scan = &casebook.Scan{File: s.File, Unit: s.Unit,
			Points: keyed(r, "scan.points", s.Points, func(_ string, p [3]float64) geom.Vec { return geom.V(p[0], p[1], p[2]) }),
			Margins: keyed(r, "scan.margins", s.Margins, func(_ string, ps [][3]float64) []geom.Vec {
				out := make([]geom.Vec, len(ps))
				for i, p := range ps {
					out[i] = geom.V(p[0], p[1], p[2])
				}
				return out
			}), Proposed: r.list("scan.proposed", s.Proposed)}
	}
	if f.Design != nil {
		d := design.Design{Arch: a}
		seen := map[string]bool{}
		for i, p := range f.Design.Parts {
			at := fmt.Sprintf("design.parts.%d", i)
			if seen[p.ID] {
				r.say(at+".id", words.Tell("the id %q stands twice: every part needs its own", p.ID))
			}
			seen[p.ID] = true
			d.Parts = append(d.Parts, r.part(at, p))
		}
		c.Design = &d
	}
	for i, s := range f.SetAside {
		at := fmt.Sprintf("set_aside.%d", i)
		v := casebook.SetAside{Rule: rulebook.RuleID(s.Rule), Reason: s.Reason, By: s.By,
			Place: rulebook.Place{Tooth: r.optional(at+".tooth", s.Tooth), Surface: tooth.Surface(s.Surface), Part: design.ID(s.Part)}}
		v.At = r.moment(at+".at", s.At)
		c.SetAside = append(c.SetAside, v)
	}
	if f.Order != nil {
		c.Order = casebook.Order{Jurisdiction: f.Order.Jurisdiction, Fields: f.Order.Fields, Revision: f.Order.Revision}
		for i, q := range f.Order.Queries {
			at := fmt.Sprintf("order.queries.%d", i)
			c.Order.Queries = append(c.Order.Queries, casebook.Query{Part: design.ID(q.Part), Asked: q.Asked, By: q.By, At: r.moment(at+".at", q.At),
				Answer: q.Answer, Answered: q.AnsweredBy, When: r.moment(at+".answered_at", q.AnsweredAt)})
		}
	}
	return c, r.wrong
}

func (r *reader) part(at string, p Part) design.Part {
	out := design.Part{ID: design.ID(p.ID), Kind: design.Kind(p.Kind), Tooth: r.optional(at+".tooth", p.Tooth),
		Teeth: r.list(at+".teeth", p.Teeth), Form: design.Form(p.Form), Site: tooth.Surface(p.Site), Role: design.Role(p.Role),
		Surface: tooth.Surface(p.Surface), Material: p.Material, GaugeMM: p.GaugeMM, At: r.list(at+".at", p.At), Joins: design.ID(p.Joins),
		Support: p.Support, Attachment: p.Attachment, Side: p.Side, Dimensions: p.Dimensions, Note: p.Note}
	if p.ID == "" {
		r.say(at+".id", words.Tell("expected a name for the part, such as rest-44-mesial"))
	}
	if forms, ok := design.Forms[out.Kind]; ok && (out.Form != "" || out.Kind != design.ReplacementTooth) && !slices.Contains(forms, out.Form) {
		r.say(at+".form", words.Tell("%q is no form of a %s: expected one of %v", p.Form, p.Kind, forms))
	}
	if out.Surface == tooth.Facial && out.Kind != design.Reciprocation {
		r.say(at+".surface", words.Tell("expected one of mesial, distal, lingual, found facial: only an arm that opposes a lingual tip lies there"))
	}
	for _, name := range slices.Sorted(maps.Keys(p.Dimensions)) {
		if v := p.Dimensions[name]; !(v >= 0 && v <= 200) {
			r.say(at+".dimensions."+name, words.Tell("%g mm: expected a length from 0 to 200", v))
		}
	}
	if !(p.GaugeMM >= 0 && p.GaugeMM <= 5) {
		r.say(at+".gauge_mm", words.Tell("%g mm: expected a diameter from 0 to 5", p.GaugeMM))
	}
	if p.Undercut != nil {
		out.Undercut = &design.Undercut{Site: tooth.Site(p.Undercut.Site), MM: p.Undercut.MM}
		if !(p.Undercut.MM >= 0 && p.Undercut.MM <= 5) {
			r.say(at+".undercut.mm", words.Tell("%g mm: expected a depth from 0 to 5", p.Undercut.MM))
		}
	}
	return out
}

// FromCase turns a case into the file that Read makes the same case of.
func FromCase(c casebook.Case) File {
	f := File{Format: Format, Case: string(c.ID), Title: c.Title, Arch: c.Chart.Arch.String(), Profile: c.Profile}
	f.Teeth = named(c.Chart.Teeth, func(t chart.Tooth) Tooth {
		return Tooth{State: string(t.State), Replace: t.Replace, Abutment: t.Abutment, Mobility: t.Mobility,
			BoneLossPercent: t.BoneLossPercent, CrownRootRatio: t.CrownRootRatio, TiltDeg: t.TiltDeg, TiltToward: t.TiltToward,
			RotationDeg: t.RotationDeg, RootFilled: t.RootFilled, Crown: t.Crown, Caries: t.Caries, Periodontal: t.Periodontal,
			Prognosis: t.Prognosis, RestSeat: t.RestSeat, SeatMaterial: t.SeatMaterial, ProbingMM: t.ProbingMM, Furcation: t.Furcation,
			CrownHeightMM: t.CrownHeightMM, MesialContact: t.MesialContact, OpposingRoomMM: t.OpposingRoomMM, ArmRoomMM: t.ArmRoomMM,
			ExtractedMonths: t.ExtractedMonths, Diastema: t.Diastema, Note: t.Note}
	})
	t := c.Chart.Tissues
	tissues := Tissues{
		FloorDepthMM:      named(t.FloorDepthMM, identity[float64]),
		FloorIsFunctional: t.FloorIsFunctional,
		VestibuleDepthMM:  named(t.VestibuleDepthMM, identity[float64]),
		TissueUndercutMM: named(t.TissueUndercutMM, func(u chart.TissueUndercut) TissueUndercut {
			return TissueUndercut{Depth: u.DepthMM, BelowMargin: u.BelowMarginMM}
		}),
		FrenumNear: ints(t.FrenumNear), LingualFrenum: t.LingualFrenum, VibratingLineMM: t.VibratingLineMM, FlabbyFront: t.FlabbyFront}
	for _, o := range t.Tori {
		tissues.Tori = append(tissues.Tori, Torus{Place: o.Place, Teeth: ints(o.Teeth), Size: o.Size, Operable: o.Operable, ToVibratingMM: o.ToVibratingMM})
	}
	if t.RidgeLeft != "" || t.RidgeRight != "" {
		tissues.Ridge = &Ridge{Left: string(t.RidgeLeft), Right: string(t.RidgeRight)}
	}
	f.Tissues = unlessEmpty(tissues)
	p := c.Chart.Patient
	patient := Patient{SmileLine: p.SmileLine, Gag: p.Gag, Dexterity: p.Dexterity,
		CariesRisk: p.CariesRisk, Hygiene: p.Hygiene, DryMouth: p.DryMouth, Bruxism: p.Bruxism, Epilepsy: p.Epilepsy}
	if p.Allergies != nil {
		patient.Allergies = &p.Allergies
	}
	f.Patient = unlessEmpty(patient)
	f.Opposing = unlessEmpty(Opposing{Kind: c.Chart.Opposing.Kind})
	if b := c.Returned; b != nil {
		f.Returned = &Returned{RestGapMM: b.RestGapMM, DifferenceMM: b.DifferenceMM, Absent: b.Absent}
	}
	s := Survey{Undercuts: named(c.Survey.Undercuts, func(m map[tooth.Site]casebook.HandUndercut) map[string]HandUndercut {
		out := map[string]HandUndercut{}
		for k, u := range m {
			out[string(k)] = HandUndercut{MM: u.MM, AboveMarginMM: u.AboveMarginMM}
		}
		return out
	})}
	if c.Survey.Tilted {
		s.Tilt = &Tilt{AnteriorDeg: c.Survey.AnteriorDeg, RightDeg: c.Survey.RightDeg}
	}
	f.Survey = unlessEmpty(s)
	if c.Scan != nil {
		f.Scan = &Scan{File: c.Scan.File, Unit: c.Scan.Unit,
			Points: named(c.Scan.Points, func(p geom.Vec) [3]float64 { return [3]float64{p.X, p.Y, p.Z} }),
			Margins: named(c.Scan.Margins, func(ps []geom.Vec) [][3]float64 {
				out := make([][3]float64, len(ps))
				for i, p := range ps {
					out[i] = [3]float64{p.X, p.Y, p.Z}
				}
				return out
			}), Proposed: ints(c.Scan.Proposed)}
	}
	if c.Design != nil {
		f.Design = &Design{Parts: Parts(*c.Design)}
	}
	for _, v := range c.SetAside {
		w := SetAside{Rule: string(v.Rule), Tooth: int(v.Place.Tooth), Surface: string(v.Place.Surface), Part: string(v.Place.Part), Reason: v.Reason, By: v.By}
		w.At = moment(v.At)
		f.SetAside = append(f.SetAside, w)
	}
	o := Order{Jurisdiction: c.Order.Jurisdiction, Fields: c.Order.Fields, Revision: c.Order.Revision}
	for _, q := range c.Order.Queries {
		o.Queries = append(o.Queries, Query{Part: string(q.Part), Asked: q.Asked, By: q.By, At: moment(q.At), Answer: q.Answer, AnsweredBy: q.Answered, AnsweredAt: moment(q.When)})
	}
	f.Order = unlessEmpty(o)
	return f
}

// Parts are a design's parts as the file and the JSON answers write them.
func Parts(d design.Design) []Part {
	out := make([]Part, len(d.Parts))
	for i, p := range d.Parts {
		out[i] = Part{ID: string(p.ID), Kind: string(p.Kind), Tooth: int(p.Tooth), Teeth: ints(p.Teeth), Form: string(p.Form), Site: string(p.Site),
			Role: string(p.Role), Surface: string(p.Surface), Material: p.Material, GaugeMM: p.GaugeMM, At: ints(p.At), Joins: string(p.Joins),
			Support: p.Support, Attachment: p.Attachment, Side: p.Side, Dimensions: p.Dimensions, Note: p.Note}
		if p.Undercut != nil {
			out[i].Undercut = &PartUndercut{Site: string(p.Undercut.Site), MM: p.Undercut.MM}
		}
	}
	return out
}

// Design reads parts back, with what is wrong with them.
func (f Design) Design(a tooth.Arch) (design.Design, []Problem) {
	c, wrong := File{Arch: a.String(), Design: &f}.AsCase()
	return *c.Design, wrong
}

func named[A, B any](m map[tooth.Number]A, f func(A) B) map[string]B {
	if len(m) == 0 {
		return nil
	}
	out := map[string]B{}
	for n, a := range m {
		out[n.String()] = f(a)
	}
	return out
}

// moment writes a time to the second; the zero time is empty.
func moment(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

func identity[T any](v T) T { return v }

func ints(ns []tooth.Number) []int {
	var out []int
	for _, n := range ns {
		out = append(out, int(n))
	}
	return out
}

func unlessEmpty[T any](v T) *T {
	b, err := json.Marshal(v)
	if err == nil && string(b) == "{}" {
		return nil
	}
	return &v
}
