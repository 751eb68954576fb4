package cli

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"halfpear/design"
	"halfpear/drawing"
	"halfpear/encoding/pdf"
	"halfpear/mechanics"
	"halfpear/words"
	"halfpear/workflow"
)

type reckonOptions struct {
	paperFlags
	out        string
	connectors bool
}

func newReckon(c *console) *cobra.Command {
	var o reckonOptions
	cmd := &cobra.Command{
		Use:   "mechanics CASE",
		Short: "What a case's design does under load: estimates",
		Long: `Reckon the design of a case: what each clasp holds and how it is stressed, who carries a
bite, how the abutments are tipped, where the denture turns, how much of a sticky pull is
held, how the major connector gives. All figures are estimates for comparing designs. Every
load is reckoned at three stiffnesses of the mucosa; "agreed" says which results are the
same at all three. -o writes the page of the order as PDF, SVG or PNG; --connectors lays the
other forms of major connector in the same design and compares how they give.

Exit status: 0 done; 1 it could not be done; 2 wrong usage.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runReckon(cmd.Context(), c, args[0], o) },
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "output", "o", "", "write the page to a file: .pdf, .svg or .png")
	o.add(f)
	f.BoolVar(&o.connectors, "connectors", false, "compare the forms of major connector")
	return cmd
}

type wireRange struct {
	Low     float64 `json:"low"`
	Typical float64 `json:"typical"`
	High    float64 `json:"high"`
}

func rangeOf(r mechanics.Range) wireRange { return wireRange(r) }

type wireHold struct {
	Part       string    `json:"part"`
	Tooth      int       `json:"tooth"`
	Metal      string    `json:"metal"`
	Length     float64   `json:"length_mm"`
	Undercut   float64   `json:"undercut_mm"`
	Stiffness  wireRange `json:"stiffness_N_per_mm"`
	Side       wireRange `json:"side_force_N"`
	Withdrawal wireRange `json:"withdrawal_N"`
	Insertion  wireRange `json:"insertion_N"`
	Stress     wireRange `json:"peak_stress_MPa"`
	Ratio      wireRange `json:"stress_ratio_to_proof"`
	MayGo      float64   `json:"may_go_mm"`
	Set        float64   `json:"set_mm"`
	AsWire     float64   `json:"ratio_as_wire,omitempty"`
	OnBite     string    `json:"tip_on_bite,omitempty"`
	OnBiteSure bool      `json:"tip_on_bite_agreed"`
}

type wireShare struct {
	Tooth   int       `json:"tooth"`
	Force   wireRange `json:"force_N"`
	Side    wireRange `json:"side_force_N"`
	Tipping wireRange `json:"tipping_Nmm"`
	Toward  string    `json:"toward"`
}

type wireTip struct {
	Part  string  `json:"part"`
	Tooth int     `json:"tooth"`
	Along float64 `json:"up_the_tooth_mm"`
	Does  string  `json:"does"`
}

type wireCase struct {
	Load     string         `json:"load"`
	Tooth    int            `json:"tooth"`
	At       triple         `json:"at"`
	Force    triple         `json:"force_N"`
	Held     bool           `json:"held"`
	HeldUpTo float64        `json:"held_up_to_N,omitempty"`
	Shares   []wireShare    `json:"shares"`
	Mucosa   wireRange      `json:"mucosa_N"`
	Sinking  wireRange      `json:"sinking_mm"`
	Indirect wireRange      `json:"indirect_retainers_N"`
	LetGo    []string       `json:"clasps_let_go"`
	Open     []string       `json:"rests_open"`
	Tips     []wireTip      `json:"tips"`
	Axis     *supportAxis   `json:"axis"`
	Agreed   mechanicsAgree `json:"agreed"`
}

type mechanicsAgree struct {
	Held     bool `json:"held"`
	Axis     bool `json:"axis"`
	Open     bool `json:"rests_open"`
	LetGo    bool `json:"clasps_let_go"`
	Indirect bool `json:"indirect_retainers"`
	Most     bool `json:"carries_most"`
	Tips     bool `json:"tips"`
}

type wireFlex struct {
	Form   string    `json:"form,omitempty"`
	Change string    `json:"change,omitempty"`
	By     float64   `json:"by_mm,omitempty"`
	Sinks  wireRange `json:"sinks_mm"`
	Closes wireRange `json:"closes_mm"`
	Twists wireRange `json:"twists_deg"`
	Beyond bool      `json:"beyond_beam_theory"`
	Misses []string  `json:"misses,omitempty"`
}

func flexOf(f mechanics.Flex, beyond bool) wireFlex {
	return wireFlex{Sinks: rangeOf(f.Sinks), Closes: rangeOf(f.Closes), Twists: rangeOf(f.TwistDeg), Beyond: beyond}
}

type wireWhy struct {
	Part string `json:"part,omitempty"`
	Why  string `json:"why"`
}

type wireMechanics struct {
	Retainers  []wireHold `json:"retainers"`
	Retention  wireRange  `json:"retention_N"`
	Cases      []wireCase `json:"cases"`
	Connector  *wireFlex  `json:"connector"`
	Changed    []wireFlex `json:"connector_changed,omitempty"`
	Connectors []wireFlex `json:"connectors,omitempty"`
	Unknown    []wireWhy  `json:"not_reckoned"`
	File       string     `json:"file,omitempty"`
}

func reckonedOf(r *mechanics.Report) wireMechanics {
	out := wireMechanics{Retention: rangeOf(r.Retention), Retainers: []wireHold{}, Cases: []wireCase{}, Unknown: []wireWhy{}}
	for _, h := range r.Holds {
		w := wireHold{Part: string(h.Part), Tooth: int(h.Tooth), Metal: h.Metal, Length: h.Length, Undercut: h.Undercut, Stiffness: rangeOf(h.Stiffness),
			Side: rangeOf(h.Side), Withdrawal: rangeOf(h.Withdrawal), Insertion: rangeOf(h.Insertion), Stress: rangeOf(h.Stress), Ratio: rangeOf(h.Ratio),
			MayGo: h.MayGo, Set: h.Set, AsWire: h.AsWire}
		grip, sure := r.OnBite(h.Part)
		w.OnBite, w.OnBiteSure = string(grip), sure
		out.Retainers = append(out.Retainers, w)
	}
	for i, k := range r.Cases {
		over := func(of func(mechanics.Case) float64) wireRange { return rangeOf(r.Over(i, of)) }
		w := wireCase{Load: string(k.Kind), Tooth: int(k.Tooth), At: tripleOf(k.At), Force: tripleOf(k.Force), Held: !k.Free, HeldUpTo: k.Held * k.Force.Norm(),
			Shares: []wireShare{}, LetGo: []string{}, Open: []string{}, Tips: []wireTip{}, Agreed: mechanicsAgree(k.Sure),
			Mucosa:   over(func(c mechanics.Case) float64 { return c.Mucosa }),
			Sinking:  over(func(c mechanics.Case) float64 { return c.Sinking }),
			Indirect: over(func(c mechanics.Case) float64 { return c.Indirect })}
		for _, s := range k.Shares {
			of := func(c mechanics.Case) (out mechanics.Share) {
				for _, v := range c.Shares {
					if v.Tooth == s.Tooth {
						out = v
					}
				}
				return out
			}
			w.Shares = append(w.Shares, wireShare{int(s.Tooth), over(func(c mechanics.Case) float64 { return of(c).Force }),
				over(func(c mechanics.Case) float64 { return of(c).Side }), over(func(c mechanics.Case) float64 { return of(c).Tipping() }), string(s.Toward())})
		}
		for _, id := range k.LetGo {
			w.LetGo = append(w.LetGo, string(id))
		}
		for _, id := range k.Open {
			w.Open = append(w.Open, string(id))
		}
		for _, t := range k.Tips {
			w.Tips = append(w.Tips, wireTip{string(t.Part), int(t.Tooth), t.Along, string(t.Grip())})
		}
		if s := k.Screw; s != nil {
			w.Axis = &supportAxis{tripleOf(s.Point), tripleOf(s.Direction), s.Pitch, s.Angle}
		}
		out.Cases = append(out.Cases, w)
	}
	if k := r.Connector; k != nil {
		f := flexOf(k.Flex, k.Beyond)
		out.Connector = &f
		for _, o := range k.Others {
			v := o.Flex
			v.Sinks.Low, v.Sinks.High, v.Closes.Low, v.Closes.High, v.TwistDeg.Low, v.TwistDeg.High =
				v.Sinks.Typical, v.Sinks.Typical, v.Closes.Typical, v.Closes.Typical, v.TwistDeg.Typical, v.TwistDeg.Typical
			f := flexOf(v, k.Beyond)
			f.Change, f.By = string(o.Change), o.By
			out.Changed = append(out.Changed, f)
		}
	}
	for _, u := range r.Unknown {
		out.Unknown = append(out.Unknown, wireWhy{string(u.Part), string(u.Why)})
	}
	return out
}

func runReckon(ctx context.Context, c *console, name string, o reckonOptions) error {
	kind := strings.ToLower(filepath.Ext(o.out))
	if o.out != "" && kind != ".pdf" && kind != ".svg" && kind != ".png" {
		return usagef("-o %q: expected a file ending in .pdf, .svg or .png", o.out)
	}
	in := workflow.SheetsInput{Program: "Halfpear " + Version, Palette: drawing.House()}
	var err error
	if in.Size, in.At, err = o.set(); err != nil {
		return err
	}
	l, plan, err := c.planned(ctx, name, o.profile)
	if err != nil {
		return err
	}
	in.Lang = l.lang
	if plan.Mechanics == nil {
		return fmt.Errorf("reckoning the mechanics of case %s: the design could not be reckoned; halfpear check says what it lacks", l.c.ID)
	}
	var forms []workflow.ConnectorForm
	if o.connectors {
		if forms, err = plan.Connectors(); err != nil {
			return err
		}
	}
	if o.out != "" {
		in.Digests = l.digests()
		pages, err := plan.MechanicsPage(in)
		if err != nil {
			return err
		}
		if err := writePages(o.out, pages, 1, 150, pdf.Document{Title: l.c.Title, Subject: plan.Class.String(), Maker: in.Program, Lang: string(in.Lang.Language()), Date: in.At}); err != nil {
			return err
		}
	}
	if c.json {
		w := reckonedOf(plan.Mechanics)
		w.File = o.out
		for _, f := range forms {
			v := wireFlex{Form: string(f.Form)}
			if f.Gives != nil {
				v = flexOf(f.Gives.Flex, f.Gives.Beyond)
				v.Form = string(f.Form)
			}
			for _, s := range f.Misses {
				v.Misses = append(v.Misses, s.Measure)
			}
			w.Connectors = append(w.Connectors, v)
		}
		return c.answer(w)
	}
	text := plan.MechanicsInWords(c.lang)
	for _, s := range text.Sentences {
		fmt.Fprintln(c.out, s)
	}
	w := tabwriter.NewWriter(c.out, 0, 0, 2, ' ', 0)
	for i, t := range text.Tables {
		fmt.Fprintf(w, "\n%s\n", text.Heads[i])
		var heads []string
		for _, k := range t.Columns {
			heads = append(heads, k.Head)
		}
		fmt.Fprintln(w, "  "+strings.Join(heads, "\t"))
		for _, r := range t.Rows {
			fmt.Fprintln(w, "  "+strings.Join(r.Cells, "\t"))
		}
		if i == 0 {
			for _, s := range text.Mend {
				fmt.Fprintln(w, "  "+s)
			}
		}
	}
	if len(forms) > 0 {
		fmt.Fprintf(w, "\n%s\n  %s\t%s\t%s\t%s\n", words.ConnectorForms.In(c.lang), words.ConnectorWord.In(c.lang), words.SinksHead.In(c.lang), words.ClosesHead.In(c.lang), words.TwistsHead.In(c.lang))
		for _, f := range forms {
			cells := []string{words.Term(c.lang, string(design.MajorConnector), string(f.Form))}
			if g := f.Gives; g != nil {
				mark := ""
				if g.Beyond {
					mark = "≈ "
				}
				for _, r := range [...]mechanics.Range{g.Sinks, g.Closes, g.TwistDeg} {
					cells = append(cells, mark+words.Number(c.lang, r.Typical, 2))
				}
			} else {
				cells = append(cells, "–", "–", "–")
			}
			if len(f.Misses) > 0 {
				cells = append(cells, words.NoRoomForIt.In(c.lang))
			}
			fmt.Fprintln(w, "  "+strings.Join(cells, "\t"))
		}
	}
	fmt.Fprintln(w)
	if err := w.Flush(); err != nil {
		return err
	}
	for _, s := range text.Assumed {
		fmt.Fprintln(c.out, s)
	}
	if o.out != "" {
		fmt.Fprintf(c.out, "wrote %s\n", o.out)
	}
	return nil
}
