package cli

import (
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"halfpear/casebook"
	"halfpear/design"
	"halfpear/encoding/casefile"
	"halfpear/internal/atomicfile"
)

type queryOptions struct {
	part, ask, by, reply string
	number               int
}

func newQuery(c *console) *cobra.Command {
	var o queryOptions
	cmd := &cobra.Command{
		Use:   "query CASE [--part ID] --ask TEXT --by NAME | --answer N --text TEXT --by NAME",
		Short: "Hang a laboratory's question on a part, answer it, or list them",
		Long: `Hang a laboratory's question on a part of the design, answer it, or list what was asked.

Questions and answers are kept in the case file and print on the next order. A question
that is not answered keeps the order a draft. A signed order is not touched: the answer goes
out with a new revision. Writing the case file drops comments in it.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return runQuery(c, args[0], o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.part, "part", "", "the part's id, as in retainer-44; left out for the whole order")
	f.StringVar(&o.ask, "ask", "", "the question")
	f.IntVar(&o.number, "answer", 0, "number of the question that is answered")
	f.StringVar(&o.reply, "text", "", "the answer")
	f.StringVar(&o.by, "by", "", "who asks or answers: a laboratory, or initials")
	cmd.MarkFlagsMutuallyExclusive("ask", "answer")
	return cmd
}

type queryLine struct {
	Number   int    `json:"number"`
	Part     string `json:"part,omitempty"`
	Asked    string `json:"asked"`
	By       string `json:"by,omitempty"`
	Answer   string `json:"answer,omitempty"`
	Answered string `json:"answered_by,omitempty"`
}

func runQuery(c *console, name string, o queryOptions) error {
	l, err := c.load(name)
	if err != nil {
		return err
	}
	now := time.Now().UTC().Truncate(time.Second)
	queries := append([]casebook.Query(nil), l.c.Order.Queries...)
	switch {
	case o.ask != "":
		if o.part != "" {
			if l.c.Design == nil {
				return usagef("--part %q: the case has no design", o.part)
			}
			if _, ok := l.c.Design.Part(design.ID(o.part)); !ok {
				return usagef("--part %q: the design has no such part", o.part)
			}
		}
		if o.by == "" {
			return usagef("--ask needs --by: who asks")
		}
		queries = append(queries, casebook.Query{Part: design.ID(o.part), Asked: o.ask, By: o.by, At: now})
	case o.number != 0:
		if len(queries) == 0 {
			return usagef("--answer %d: nothing was asked about this case", o.number)
		}
		if o.number < 1 || o.number > len(queries) {
			return usagef("--answer %d: expected a question's number, 1 to %d", o.number, len(queries))
		}
		if o.reply == "" || o.by == "" {
			return usagef("--answer needs --text and --by")
		}
		q := &queries[o.number-1]
		q.Answer, q.Answered, q.When = o.reply, o.by, now
	default:
		return showQueries(c, queries)
	}
	l.c.Order.Queries = queries
	data, err := casefile.Write(l.c)
	if err != nil {
		return err
	}
	if err := atomicfile.WriteBytes(name, data); err != nil {
		return err
	}
	return showQueries(c, queries)
}

func showQueries(c *console, queries []casebook.Query) error {
	lines := []queryLine{}
	for i, q := range queries {
		lines = append(lines, queryLine{i + 1, string(q.Part), q.Asked, q.By, q.Answer, q.Answered})
	}
	if c.json {
		return c.answer(map[string]any{"queries": lines})
	}
	if len(lines) == 0 {
		fmt.Fprintln(c.out, "nothing was asked about this case")
	}
	for _, q := range lines {
		part := q.Part
		if part == "" {
			part = "the order"
		}
		fmt.Fprintf(c.out, "%d. %s: %s (%s)\n", q.Number, part, q.Asked, q.By)
		if q.Answer != "" {
			fmt.Fprintf(c.out, "   %s (%s)\n", q.Answer, q.Answered)
		} else {
			fmt.Fprintln(c.out, "   not answered")
		}
	}
	return nil
}
