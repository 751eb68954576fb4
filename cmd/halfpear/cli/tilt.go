package cli

import (
	"context"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"halfpear/drawing"
	"halfpear/encoding/svg"
	"halfpear/internal/atomicfile"
	"halfpear/order"
	"halfpear/survey"
	"halfpear/tooth"
	"halfpear/words"
)

type tiltOptions struct {
	within  float64
	mapTo   string
	profile string
}

func newTilt(c *console) *cobra.Command {
	var o tiltOptions
	cmd := &cobra.Command{
		Use:   "tilt CASE",
		Short: "Sweep the paths of insertion and say which serves the abutments best",
		Long: `Sweep the paths of insertion within a cone about the occlusal plane's normal. Paths are
weighed by guide planes first, then retentive undercuts, then interference of the soft
tissues, then how high tips stand on the teeth that show, then by how little they tilt. With a design in the case its guide plates and
retainers are weighed; else the teeth beside every edentulous area.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runTilt(cmd.Context(), c, args[0], o) },
	}
	f := cmd.Flags()
	f.Float64Var(&o.within, "within", 20, "half-angle of the cone, in degrees")
	f.StringVar(&o.mapTo, "map", "", "draw the sweep as SVG")
	f.StringVar(&o.profile, "profile", "", "rulebook profile; the case's own where left out")
	return cmd
}

type tiltPath struct {
	Anterior  float64 `json:"anterior_deg"`
	Right     float64 `json:"right_deg"`
	Direction triple  `json:"direction"`
	Score     float64 `json:"score"`
	Guide     float64 `json:"guide_lean_deg"`
	Retention float64 `json:"retention_fault"`
	Interfere float64 `json:"interference"`
	Shows     float64 `json:"appearance"`
	Feasible  int     `json:"abutments_held"`
}

func tiltPathOf(t survey.Try) tiltPath {
	return tiltPath{t.AnteriorDeg, t.RightDeg, tripleOf(t.Direction), t.Score, t.Guide, t.Retention, t.Interfere, t.Shows, t.Feasible}
}

type tiltSite struct {
	Site        string  `json:"site"`
	Greatest    float64 `json:"greatest_mm"`
	Vertical    float64 `json:"vertical_mm"`
	Reached     bool    `json:"reached"`
	AboveMargin float64 `json:"above_margin_mm"`
	Least       float64 `json:"within_one_degree_least_mm"`
	Most        float64 `json:"within_one_degree_most_mm"`
}

type tiltAbutment struct {
	Tooth int        `json:"tooth"`
	Sites []tiltSite `json:"sites"`
}

type tiltAnswer struct {
	Directions int            `json:"directions"`
	Best       tiltPath       `json:"best"`
	FlatDeg    float64        `json:"flat_within_deg"`
	Chosen     tiltPath       `json:"chosen"`
	Tripod     []triple       `json:"tripod"`
	Candidates []tiltPath     `json:"candidates"`
	Abutments  []tiltAbutment `json:"abutments"`
	Seconds    float64        `json:"seconds"`
}

func runTilt(ctx context.Context, c *console, name string, o tiltOptions) error {
	if !(o.within > 0 && o.within <= 45) {
		return usagef("--within %g: expected more than 0 and at most 45 degrees", o.within)
	}
	_, s, err := c.opened(ctx, name, o.profile)
	if err != nil {
		return err
	}
	start := time.Now()
	tell, end := c.progress("sweeping paths")
	swept, plan, err := s.Tilt(ctx, o.within, tell)
	end()
	if err != nil {
		return err
	}
	a := tiltAnswer{Directions: len(swept.Tries), Best: tiltPathOf(swept.Best), FlatDeg: swept.Flat, Candidates: []tiltPath{}, Abutments: []tiltAbutment{}}
	a.Chosen = tiltPathOf(survey.Weigh(s.Cast, s.Crowns, plan, s.Path))
	for _, p := range order.Tripod(s.Cast, swept.Best.Path) {
		a.Tripod = append(a.Tripod, tripleOf(p))
	}
	for _, t := range swept.Best5 {
		a.Candidates = append(a.Candidates, tiltPathOf(t))
	}
	for _, g := range plan.Grips {
		ab := tiltAbutment{Tooth: int(g.Tooth), Sites: []tiltSite{}}
		for _, h := range swept.Best.Held {
			if h.Tooth == g.Tooth {
				least, most := survey.Sway(s.Cast, s.Crowns[g.Tooth], g, h.Site, swept.Best.Path)
				ab.Sites = append(ab.Sites, tiltSite{string(h.Site), h.Greatest, h.Vertical, h.Reached, h.AboveMargin, least, most})
			}
		}
		a.Abutments = append(a.Abutments, ab)
	}
	a.Seconds = time.Since(start).Seconds()
	if o.mapTo != "" {
		page := drawing.TiltMap(swept, s.Cast.Arch, &s.Path, o.within, c.lang)
		if err := atomicfile.Write(o.mapTo, func(w io.Writer) error { return svg.Write(w, &page) }); err != nil {
			return err
		}
	}
	if c.json {
		return c.answer(a)
	}
	fmt.Fprintln(c.out, words.Tell("%d paths within %g°", a.Directions, o.within).In(c.lang))
	for i, p := range a.Candidates {
		fmt.Fprintf(c.out, "  %d  %s\n", i+1, words.Tell("%5.1f° anterior %5.1f° right   guide planes lean %4.1f°, %d of %d abutments held, score %.3f", p.Anterior, p.Right, p.Guide, p.Feasible, len(plan.Grips), p.Score).In(c.lang))
	}
	fmt.Fprintln(c.out, words.Tell("flat within %.1f° of the first", a.FlatDeg).In(c.lang))
	for _, ab := range a.Abutments {
		fmt.Fprintf(c.out, "  %s\n", words.ToothName(c.lang, tooth.Number(ab.Tooth)))
		for _, t := range ab.Sites {
			held := words.Tell("not held")
			if t.Reached {
				held = words.Tell("reached %.1f mm above the margin", t.AboveMargin)
			}
			fmt.Fprintf(c.out, "    %s\n", words.Tell("%v: %.2f mm (%.2f to %.2f within a degree), vertical %.2f; %v", site(t.Site), t.Greatest, t.Least, t.Most, t.Vertical, held).In(c.lang))
		}
	}
	return nil
}
