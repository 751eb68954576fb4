package cli

import (
	"context"
	"fmt"
	"io"
	"time"

	"halfpear/design"
	"halfpear/geom"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
	"halfpear/workflow"
)

// caseSurvey is what the survey of a case's cast says beyond that of a mesh.
type caseSurvey struct {
	Anterior float64       `json:"anterior_deg"`
	Right    float64       `json:"right_deg"`
	Teeth    []crownChart  `json:"teeth"`
	Tissues  *tissueChart  `json:"tissues"`
	ByHand   []handReading `json:"by_hand"`
	Tips     []plannedTip  `json:"tips"`                            // of the case's design, where they were laid
	Vertical []surveyLine  `json:"vertical_survey_lines,omitempty"` // where the path is tilted
}

// crownChart is the chart of one crown.
type crownChart struct {
	Tooth  int          `json:"tooth"`
	Sites  []crownSite  `json:"sites"`
	Lines  []lineType   `json:"survey_line_types"`
	Planes []guidePlane `json:"guide_planes"`
}

type crownSite struct {
	Site     string    `json:"site"`
	Greatest float64   `json:"greatest_mm"`
	Contour  float64   `json:"contour_above_margin_mm"`
	Reached  []reached `json:"reached"`
}

type reached struct {
	MM           float64 `json:"mm"`
	AboveMargin  float64 `json:"above_margin_mm"`
	BelowContour float64 `json:"below_contour_mm"`
	SlopeDeg     float64 `json:"slope_deg"`
	Least        float64 `json:"within_one_degree_least_mm"` // a degree of tilt either way makes of it
	Most         float64 `json:"within_one_degree_most_mm"`
}

type lineType struct {
	Side   string `json:"side"` // facial or lingual
	Near   string `json:"near"` // the side the rest lies on: mesial or distal
	Height string `json:"height"`
	Course string `json:"course"`
	Form   string `json:"form"`
}

type guidePlane struct {
	Surface   string  `json:"surface"`
	Height    float64 `json:"height_mm"`
	Width     float64 `json:"width_mm"`
	AngleDeg  float64 `json:"angle_deg"`
	Reduction float64 `json:"reduction_mm"`
	Parallel  float64 `json:"parallel_already_mm"`
}

type tissueChart struct {
	Places []tissuePlace `json:"places"`
	Vault  []tissueVault `json:"vault,omitempty"`
	Tori   *tissueSpan   `json:"between_tori,omitempty"`
}

type tissuePlace struct {
	Tooth     int           `json:"tooth"`
	Vestibule *tissueSpan   `json:"vestibule,omitempty"`
	Floor     *tissueSpan   `json:"floor,omitempty"`
	Facial    *tissueRecess `json:"facial_undercut,omitempty"`
	Lingual   *tissueRecess `json:"lingual_undercut,omitempty"`
	Ridge     *tissueRidge  `json:"ridge,omitempty"`
}

type tissueSpan struct {
	Straight float64 `json:"straight_mm"`
	Along    float64 `json:"along_surface_mm"`
	Spread   float64 `json:"spread_mm"`
	From     triple  `json:"from"`
	To       triple  `json:"to"`
}

type tissueRecess struct {
	Depth float64 `json:"depth_mm"`
	Below float64 `json:"begins_below_margin_mm"`
	At    triple  `json:"at"`
}

type tissueRidge struct {
	Height *float64 `json:"height_mm,omitempty"`
	Width  *float64 `json:"width_mm,omitempty"` // 3 mm below the crest
	Crest  triple   `json:"crest"`
}

type tissueVault struct {
	Right int     `json:"right"`
	Left  int     `json:"left"`
	Depth float64 `json:"depth_mm"`
	Width float64 `json:"width_mm"`
	To    triple  `json:"deepest"`
}

type handReading struct {
	Tooth       int     `json:"tooth"`
	Site        string  `json:"site"`
	ByHand      float64 `json:"by_hand_mm"`
	Scan        float64 `json:"scan_mm"`
	Uncertainty float64 `json:"uncertainty_mm"`
	Agrees      bool    `json:"agrees"`
}

// plannedTip is a retentive tip of the design, and what a degree of tilt makes of it.
type plannedTip struct {
	Tooth       int     `json:"tooth"`
	Part        string  `json:"part"`
	Site        string  `json:"site"`
	MM          float64 `json:"mm"`
	Vertical    float64 `json:"vertical_mm"`
	AboveMargin float64 `json:"above_margin_mm"`
	Least       float64 `json:"within_one_degree_least_mm"`
	Most        float64 `json:"within_one_degree_most_mm"`
}

// runCaseSurvey surveys a case's cast.
func runCaseSurvey(ctx context.Context, c *console, name string, o surveyOptions) error {
	l, err := c.load(name)
	if err != nil {
		return err
	}
	if o.direction != "" || o.tilt != "" {
		o.arch = l.c.Chart.Arch.String()
		d, err := o.path()
		if err != nil {
			return err
		}
		if d.Norm() == 0 || !d.IsFinite() {
			return usagef("--direction %q has no length; expected three numbers that are not all 0", o.direction)
		}
		if d.Z <= 0 {
			return fmt.Errorf("%s: surveying along (%.3g, %.3g, %.3g): this path hides all the teeth; expected one that points away from the base of the cast, with a positive z", name, d.X, d.Y, d.Z)
		}
		p := survey.PathAlong(l.c.Chart.Arch, d)
		l.c.Survey.Tilted, l.c.Survey.AnteriorDeg, l.c.Survey.RightDeg = true, p.AnteriorDeg, p.RightDeg
	}
	start := time.Now()
	s, err := l.studyTo(ctx, "", survey.Options{Pixel: o.pixel, Resolution: o.resolution})
	if err != nil {
		return err
	}
	a := answerOf(s.Along, words.Text{}, c.lang)
	a.Assumed = append(words.Lines(c.lang, s.Notes), a.Assumed...)
	lines := s.Along.CastLines(s.Cast)
	a.Lines = len(lines)
	a.caseSurvey = surveyOfCase(s)
	var plan *workflow.Plan
	if s.Case.Design != nil && len(s.Case.Design.Parts) > 0 {
		if plan, err = s.PlanOf(); err != nil {
			return err
		}
		for _, q := range plan.Placement.Parts {
			for _, t := range q.Tips {
				tip := plannedTip{int(t.Tooth), string(q.Part.ID), string(t.Site), t.UndercutMM, t.VerticalUndercut, t.AboveMargin, 0, 0}
				if crown, ok := s.Crowns[t.Tooth]; ok {
					tip.Least, tip.Most = crown.Sway(t.AngleDeg, t.AboveMargin)
				}
				a.Tips = append(a.Tips, tip)
			}
		}
	}
	a.Seconds = time.Since(start).Seconds()
	if o.blockout != "" {
		how := survey.Shaping{TaperDeg: o.taper}
		if plan != nil && !o.plain {
			how = plan.Placement.Shaping(o.taper, o.relief)
		}
		base := survey.BelowFold(s.Cast)
		how.Counts = func(p geom.Vec) bool { return !base(p) }
		t, err := survey.NewTable(s.Cast.Mesh, survey.Options{})
		if err != nil {
			return err
		}
		tell, end := c.progress("blocking out")
		how.Progress = tell
		b, err := t.BlockOut(ctx, s.Path.Direction, how)
		end()
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := a.blockOut(o.blockout, b); err != nil {
			return err
		}
	}
	if err := o.write(s.Along, lines); err != nil {
		return err
	}
	if o.pictures != "" {
		in := workflow.SheetsInput{Program: "Halfpear " + Version, Lang: l.lang, Digests: l.digests()}
		if in.At, err = timeOf(o.at); err != nil {
			return err
		}
		page, elevations, err := s.SurveyPictures(plan, abutments(s), in)
		if err != nil {
			return err
		}
		if err := writePictures(o.pictures, page, elevations); err != nil {
			return err
		}
	}
	return c.tellSurvey(name, a)
}

// abutments are the teeth that carry the design, or else those beside the edentulous areas.
func abutments(s *workflow.Study) []tooth.Number {
	wanted := map[tooth.Number]bool{}
	if d := s.Case.Design; d != nil {
		for _, p := range d.Parts {
			switch p.Kind {
			case design.Rest, design.Retainer, design.Reciprocation, design.GuidePlate:
				wanted[p.Tooth] = true
			}
		}
	}
	if len(wanted) == 0 {
		for _, g := range s.TiltPlan().Grips {
			wanted[g.Tooth] = true
		}
	}
	var out []tooth.Number
	for _, n := range s.Cast.Standing() {
		if wanted[n] {
			out = append(out, n)
		}
	}
	return out
}

// surveyOfCase gathers the charts of a surveyed cast.
func surveyOfCase(s *workflow.Study) *caseSurvey {
	out := &caseSurvey{Anterior: s.Path.AnteriorDeg, Right: s.Path.RightDeg, Teeth: []crownChart{}, ByHand: []handReading{}, Tips: []plannedTip{}, Tissues: tissueChartOf(s.Tissues)}
	for _, n := range s.Cast.Standing() {
		if crown, ok := s.Crowns[n]; ok {
			out.Teeth = append(out.Teeth, crownChartOf(s, crown))
		}
	}
	for _, r := range s.Readings() {
		out.ByHand = append(out.ByHand, handReading{int(r.Tooth), string(r.Site), r.ByHand.Value, r.Scan.Value, r.Uncertainty(), r.Agrees()})
	}
	if s.Vertical != s.Along {
		for _, l := range s.Vertical.CastLines(s.Cast) {
			line := surveyLine{Closed: l.Closed, Tooth: int(l.Tooth)}
			for _, p := range l.Points {
				line.Points = append(line.Points, tripleOf(p))
			}
			out.Vertical = append(out.Vertical, line)
		}
	}
	return out
}

// gauges are the undercuts a surveyor has gauges for [mm].
var gauges = [...]float64{0.25, 0.50, 0.75}

func crownChartOf(s *workflow.Study, crown survey.Crown) crownChart {
	out := crownChart{Tooth: int(crown.Tooth), Sites: []crownSite{}, Lines: []lineType{}, Planes: []guidePlane{}}
	for _, site := range tooth.Sites {
		deep, _ := crown.Greatest(site)
		row := crownSite{Site: string(site), Greatest: deep, Contour: crown.Column(crown.Site(site)).ContourHeight, Reached: []reached{}}
		for _, mm := range gauges {
			if r, ok := crown.ReachAt(site, mm); ok {
				least, most := crown.Sway(crown.Site(site), r.AboveMargin)
				row.Reached = append(row.Reached, reached{mm, r.AboveMargin, r.BelowContour, r.SlopeDeg, least, most})
			}
		}
		out.Sites = append(out.Sites, row)
	}
	for _, facial := range []bool{true, false} {
		for _, nearMesial := range []bool{true, false} {
			t := crown.LineType(facial, nearMesial)
			row := lineType{Side: "facial", Near: "mesial", Height: t.Height, Course: t.Course, Form: t.Form}
			if !facial {
				row.Side = "lingual"
			}
			if !nearMesial {
				row.Near = "distal"
			}
			out.Lines = append(out.Lines, row)
		}
	}
	height, limit := s.Book.Limit("gp.heightBoundedMax"), s.Book.Limit("gp.maxEnamel")
	for _, surface := range []tooth.Surface{tooth.Mesial, tooth.Distal, tooth.Lingual} {
		if g, ok := crown.GuidePlane(surface, height, limit); ok {
			out.Planes = append(out.Planes, guidePlane{string(surface), g.Height, g.Width, g.AngleDeg, g.Reduction, g.Parallel})
		}
	}
	return out
}

func tissueChartOf(t survey.Tissues) *tissueChart {
	span := func(s *survey.Span) *tissueSpan {
		if s == nil {
			return nil
		}
		return &tissueSpan{s.Straight, s.Along, s.Spread, tripleOf(s.From), tripleOf(s.To)}
	}
	recess := func(r *survey.Recess) *tissueRecess {
		if r == nil {
			return nil
		}
		return &tissueRecess{r.Depth, r.Below, tripleOf(r.At)}
	}
	out := &tissueChart{Places: []tissuePlace{}, Tori: span(t.Tori)}
	for _, p := range t.Places {
		row := tissuePlace{Tooth: int(p.Tooth), Vestibule: span(p.Facial.Depth), Floor: span(p.Lingual.Depth), Facial: recess(p.Facial.Undercut), Lingual: recess(p.Lingual.Undercut)}
		if p.Ridge != nil {
			row.Ridge = &tissueRidge{Crest: tripleOf(p.Ridge.Crest)}
			if h, ok := p.Height(); ok {
				row.Ridge.Height = &h
			}
			if p.Ridge.Width > 0 {
				row.Ridge.Width = &p.Ridge.Width
			}
		}
		out.Places = append(out.Places, row)
	}
	for _, v := range t.Vault {
		out.Vault = append(out.Vault, tissueVault{int(v.Right), int(v.Left), v.Depth, v.Width, tripleOf(v.To)})
	}
	return out
}

// tell prints the charts for people.
func (s *caseSurvey) tell(w io.Writer, l words.Lang) {
	for _, t := range s.Teeth {
		fmt.Fprintf(w, "  %s\n", words.ToothName(l, tooth.Number(t.Tooth)))
		for _, r := range t.Sites {
			fmt.Fprintf(w, "    %s", words.Tell("%v: %.2f mm at most, survey line %.1f mm above the margin", site(r.Site), r.Greatest, r.Contour).In(l))
			for _, x := range r.Reached {
				fmt.Fprintf(w, "; %s", words.Tell("%.2f at %.1f (%.2f to %.2f within a degree)", x.MM, x.AboveMargin, x.Least, x.Most).In(l))
			}
			fmt.Fprintln(w)
		}
	}
	length := func(what words.Text, d *tissueSpan) {
		if d != nil {
			fmt.Fprintf(w, "  %s", words.Tell("%v %.1f ±%.1f mm (%.1f over the surface)", what, d.Straight, d.Spread, d.Along).In(l))
		}
	}
	for _, p := range s.Tissues.Places {
		fmt.Fprintf(w, "  %s", words.Tell("tissues at %v:", tooth.Number(p.Tooth)).In(l))
		length(words.Tell("vestibule"), p.Vestibule)
		length(words.Tell("floor"), p.Floor)
		recess := func(side string, r *tissueRecess) {
			if r != nil {
				fmt.Fprintf(w, "  %s", words.Tell("%v undercut %.2f mm from %.1f below", words.Code{Group: "surface", Code: side}, r.Depth, r.Below).In(l))
			}
		}
		recess("facial", p.Facial)
		recess("lingual", p.Lingual)
		if p.Ridge != nil && p.Ridge.Height != nil {
			fmt.Fprintf(w, "  %s", words.Tell("ridge %.1f mm high", *p.Ridge.Height).In(l))
		}
		if p.Ridge != nil && p.Ridge.Width != nil {
			fmt.Fprintf(w, "  %s", words.Tell("%.1f mm wide 3 mm down", *p.Ridge.Width).In(l))
		}
		fmt.Fprintln(w)
	}
	for _, v := range s.Tissues.Vault {
		fmt.Fprintf(w, "  %s\n", words.Tell("vault between %v and %v: %.1f mm deep, %.1f mm wide", tooth.Number(v.Right), tooth.Number(v.Left), v.Depth, v.Width).In(l))
	}
	if t := s.Tissues.Tori; t != nil {
		fmt.Fprintf(w, "  %s\n", words.Tell("between the tori: %.1f mm", t.Straight).In(l))
	}
	for _, t := range s.Tips {
		fmt.Fprintf(w, "  %s\n", words.Tell("tip on %v: %.2f mm (%.2f to %.2f within a degree), %.2f vertical, %.1f above the margin", tooth.Number(t.Tooth), t.MM, t.Least, t.Most, t.Vertical, t.AboveMargin).In(l))
	}
	for _, r := range s.ByHand {
		agree := words.Tell("they agree")
		if !r.Agrees {
			agree = words.Tell("they do not agree")
		}
		fmt.Fprintf(w, "  %s\n", words.Tell("%v %v: %.2f mm by hand, %.2f mm on the scan, ±%.2f mm: %v", tooth.Number(r.Tooth), site(r.Site), r.ByHand, r.Scan, r.Uncertainty, agree).In(l))
	}
}

func site(name string) words.Code { return words.Code{Group: "site", Code: name} }
