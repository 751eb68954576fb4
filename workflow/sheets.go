package workflow

import (
	"time"

	"halfpear/drawing"
	"halfpear/order"
	"halfpear/placement"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/words"
)

// SheetsInput is what a plan's design sheets say beside the design.
type SheetsInput struct {
	Program  string // name and version
	At       time.Time
	Digests  []drawing.Digest // of the inputs
	Draft    bool
	SetAside []drawing.SetAside
	Size     sheet.Size // the zero Size is A4
	Palette  drawing.Palette
	Lang     words.Lang
}

// Sheets draws a plan's design sheets.
func (p *Plan) Sheets(in SheetsInput) ([]sheet.Page, error) {
	return drawing.DesignSheets(p.drawingInput(in))
}

// MechanicsPage draws what mechanics estimates of the plan; none where it was not reckoned.
func (p *Plan) MechanicsPage(in SheetsInput) ([]sheet.Page, error) {
	if p.Mechanics == nil {
		return nil, nil
	}
	return drawing.MechanicsPage(p.drawingInput(in), p.Mechanics)
}

// MechanicsInWords says what mechanics estimates of the plan.
func (p *Plan) MechanicsInWords(l words.Lang) drawing.MechanicsText {
	return drawing.MechanicsInWords(p.drawingInput(SheetsInput{Lang: l}), p.Mechanics)
}

// SurveyPictures are the survey's own drawings: the undercut map, and the elevations of the
// teeth named. The plan may be nil; its tips and parts are shown where it is not.
func (s *Study) SurveyPictures(p *Plan, teeth []tooth.Number, in SheetsInput) (undercuts sheet.Page, elevations []sheet.Page, err error) {
	if p == nil {
		p = &Plan{Study: s, Placement: &placement.Placement{Crowns: s.Crowns, Path: s.Path}}
	}
	drawn := p.drawingInput(in)
	m := drawing.MapInput{Title: drawn.Title, Date: drawn.Date, Program: in.Program, Surface: drawing.SurfaceText(s.Cast, in.Lang), Path: drawing.PathText(s.Path, in.Lang), Survey: s.Along, Cast: s.Cast, Palette: in.Palette, Lang: in.Lang}
	for _, q := range p.Placement.Parts {
		for _, t := range q.Tips {
			m.Tips = append(m.Tips, t.Point)
		}
	}
	elevations, err = drawing.Elevations(drawn, teeth)
	return drawing.UndercutMap(m), elevations, err
}

func (p *Plan) drawingInput(in SheetsInput) drawing.Input {
	aside := in.SetAside
	if aside == nil {
		for _, a := range p.Case.SetAside {
			aside = append(aside, drawing.SetAside{Rule: a.Rule, Tooth: a.Place.Tooth, Reason: a.Reason, By: a.By})
		}
	}
	return drawing.Input{
		Title: p.Case.Title, Case: string(p.Case.ID), Class: order.ClassText(p.Class, in.Lang), Profile: p.Book.Profile,
		Date: in.At.UTC().Format("2006-01-02"), Program: in.Program, Rules: p.Book.Profile, Digests: in.Digests, Draft: in.Draft,
		Cast: p.Cast, Survey: p.Along, Placement: p.Placement, Design: p.Design, Findings: p.Report.Findings, SetAside: aside,
		Palette: in.Palette, Paper: in.Size, Lang: in.Lang,
	}
}
