package cli

import (
	"bytes"
	"context"
	"embed"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpear/encoding/casefile"
	"halfpear/encoding/stl"
	"halfpear/encoding/svg"
	"halfpear/internal/atomicfile"
	"halfpear/order"
	"halfpear/rulebook"
	"halfpear/words"
	"halfpear/workflow"
)

// The demo's cases are made up; no person stands behind them.
//
//go:embed demo/*.yaml
var demoCases embed.FS

func newDemo(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Play made-up cases the whole way and leave all their papers",
		Long: `Play the demo's cases the whole way: a cast made from the chart, the best proposal, checked,
drawn and ordered. Each case gets a folder under DIR (halfpear-demo where left out) with the
case file, the cast, the sheets and the order.
` + exitHelp,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := "halfpear-demo"
			if len(args) > 0 {
				dir = args[0]
			}
			return runDemo(cmd.Context(), c, dir)
		},
	}
}

type demoAnswer struct {
	Case    string   `json:"case"`
	Class   string   `json:"class"`
	Design  string   `json:"design"`
	Stops   int      `json:"stops"`
	Order   string   `json:"order"`
	Files   []string `json:"files"`
	Seconds float64  `json:"seconds"`
}

func runDemo(ctx context.Context, c *console, dir string) error {
	names, err := demoCases.ReadDir("demo")
	if err != nil {
		return fmt.Errorf("reading the demo's cases: %w", err)
	}
	var answers []demoAnswer
	stops := 0
	for _, n := range names {
		fmt.Fprintf(c.err, "%s\n", strings.TrimSuffix(n.Name(), ".yaml"))
		a, err := playDemo(ctx, c.lang, dir, n.Name())
		if err != nil {
			return fmt.Errorf("demo case %s: %w", n.Name(), err)
		}
		stops += a.Stops
		answers = append(answers, a)
	}
	if c.json {
		if err := c.answer(answers); err != nil {
			return err
		}
	} else {
		for _, a := range answers {
			fmt.Fprintf(c.out, "%s, %s: %s\n  order: %s, %.1f s\n", a.Case, a.Class, a.Design, a.Order, a.Seconds)
			for _, f := range a.Files {
				fmt.Fprintf(c.out, "  %s\n", f)
			}
		}
		self, err := os.Executable()
		if err != nil {
			self = "halfpear"
		}
		if here, err := os.Getwd(); err == nil {
			if rel, err := filepath.Rel(here, self); err == nil && !strings.HasPrefix(rel, "..") {
				self = rel
			}
		}
		fmt.Fprintf(c.out, "\nThe workbench in the browser: %s serve\n", self)
		fmt.Fprintln(c.out, "A design aid for licensed practitioners and students, who remain responsible; not cleared or certified by any authority.")
	}
	if stops > 0 {
		return stopped
	}
	return nil
}

// playDemo takes one case the whole way.
func playDemo(ctx context.Context, lang words.Lang, dir, name string) (demoAnswer, error) {
	start := time.Now()
	text, err := demoCases.ReadFile(path.Join("demo", name))
	if err != nil {
		return demoAnswer{}, err
	}
	kase, err := casefile.Read(name, text)
	if err != nil {
		return demoAnswer{}, err
	}
	book, err := rulebook.Open(kase.Profile)
	if err != nil {
		return demoAnswer{}, err
	}
	study, err := workflow.Open(ctx, workflow.Input{Case: kase, Book: book})
	if err != nil {
		return demoAnswer{}, err
	}
	proposals, err := study.Propose(ctx, 3, nil)
	if err != nil {
		return demoAnswer{}, err
	}
	kase.Design = &proposals[0].Design
	study = study.With(kase)
	plan, err := study.PlanOf()
	if err != nil {
		return demoAnswer{}, err
	}
	file, err := casefile.Write(kase)
	if err != nil {
		return demoAnswer{}, err
	}
	made := order.Made{Program: "Halfpear " + Version, Rulebook: book.Profile, At: start.UTC().Truncate(time.Second)}
	papers, err := workflow.MakePapers(workflow.PapersInput{Study: study, Plan: plan, Files: map[string][]byte{"case.yaml": file}, Made: made, Lang: lang, DraftToo: true})
	if err != nil {
		return demoAnswer{}, err
	}
	var cast, sheet bytes.Buffer
	if err := stl.Write(&cast, study.Cast.Mesh); err != nil {
		return demoAnswer{}, err
	}
	pages, err := plan.Sheets(workflow.SheetsInput{Program: made.Program, At: made.At, Lang: lang, Draft: plan.Report.Stops() > 0})
	if err != nil {
		return demoAnswer{}, err
	}
	if err := svg.Write(&sheet, &pages[0]); err != nil {
		return demoAnswer{}, err
	}
	into := filepath.Join(dir, strings.TrimSuffix(name, ".yaml"))
	if err := os.MkdirAll(into, 0o755); err != nil {
		return demoAnswer{}, fmt.Errorf("making the demo's folder: %w", err)
	}
	a := demoAnswer{Case: string(kase.ID), Class: study.Class.String(), Design: proposals[0].Kind.In(lang), Stops: plan.Report.Stops(), Order: string(papers.Order.State)}
	for _, f := range []struct {
		name string
		data []byte
	}{{"case.yaml", file}, {"cast.stl", cast.Bytes()}, {"design-sheet.svg", sheet.Bytes()}, {"order.pdf", papers.PDF}, {"order.json", papers.JSON},
		{"order.fhir.json", papers.FHIR}, {"parts.csv", papers.CSV}} {
		to := filepath.Join(into, f.name)
		if err := atomicfile.WriteBytes(to, f.data); err != nil {
			return demoAnswer{}, err
		}
		a.Files = append(a.Files, to)
	}
	a.Seconds = time.Since(start).Seconds()
	return a, nil
}
