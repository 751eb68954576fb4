package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"halfpear/casebook"
	"halfpear/encoding/casefile"
	"halfpear/encoding/orderfile"
	"halfpear/internal/atomicfile"
	"halfpear/order"
	"halfpear/words"
	"halfpear/workflow"
)

type orderOptions struct {
	paperFlags
	out, jsonOut, fhir, csv string
	jurisdiction, palette   string
	draft, verify           bool
	sign                    string
}

func newOrder(c *console) *cobra.Command {
	var o orderOptions
	cmd := &cobra.Command{
		Use:   "order CASE -o FILE.pdf",
		Short: "Write the work order for the laboratory, or say what it lacks",
		Long: `Write the work order for the laboratory as one PDF: order, what changed since the last
signed revision, design sheets, preparation plan, cautions, delivery and recall page. The
case file, the machine-readable order and the drawings are attached inside.

An order that lacks something is refused with the list of what, where to enter it and
which rule asks. --draft writes it all the same, with DRAFT across every page.

--sign NAME freezes a complete order: its record is kept beside the case in CASE.orders,
read-only and sealed, and the PDF is made read-only. No verb replaces either. A later order
of the same case is a new revision that shows what changed. --verify reads every signed
order of the case and says whether each still holds its seal.

Jurisdictions: ` + strings.Join(jurisdictionNames(), ", ") + `.
` + exitHelp + `
An order that was refused gives 10.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runOrder(cmd.Context(), c, args[0], o) },
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "output", "o", "", "the order as PDF")
	f.StringVar(&o.jsonOut, "json-out", "", "the machine-readable order as JSON")
	f.StringVar(&o.fhir, "fhir", "", "the order as an HL7 FHIR R4 Bundle")
	f.StringVar(&o.csv, "csv", "", "the part table as CSV")
	f.StringVar(&o.jurisdiction, "jurisdiction", "", "whose form; the case's own where left out")
	o.add(f)
	f.StringVar(&o.palette, "palette", "house", paletteHelp)
	f.BoolVar(&o.draft, "draft", false, "write an incomplete order, marked DRAFT on every page")
	f.BoolVar(&o.verify, "verify", false, "only check the seals of the orders signed so far")
	f.StringVar(&o.sign, "sign", "", "sign as this name or these initials, and freeze")
	_ = cmd.RegisterFlagCompletionFunc("jurisdiction", cobra.FixedCompletions(jurisdictionNames(), cobra.ShellCompDirectiveNoFileComp))
	cmd.MarkFlagsMutuallyExclusive("draft", "sign", "verify")
	return cmd
}

func jurisdictionNames() []string {
	var out []string
	for _, j := range order.Jurisdictions() {
		out = append(out, j.Name)
	}
	return out
}

type orderGap struct {
	Field string `json:"field,omitempty"`
	Part  string `json:"part,omitempty"`
	Tooth int    `json:"tooth,omitempty"`
	Text  string `json:"text"`
	Where string `json:"where"`
	Rule  string `json:"rule"`
}

type orderChange struct {
	Part  string `json:"part,omitempty"`
	Field string `json:"field,omitempty"`
	Kind  string `json:"kind"`
	Text  string `json:"text"`
}

type orderAnswer struct {
	Number       string        `json:"number"`
	Revision     int           `json:"revision"`
	State        string        `json:"state"`
	Jurisdiction string        `json:"jurisdiction"`
	CheckedOn    string        `json:"checked_on"`
	Missing      []orderGap    `json:"missing"`
	Changes      []orderChange `json:"changes"`
	Files        []string      `json:"files"`
	Seal         string        `json:"seal,omitempty"`
}

func runOrder(ctx context.Context, c *console, name string, o orderOptions) error {
	if o.verify {
		return verifyOrders(c, name)
	}
	for _, f := range []string{o.out, o.jsonOut, o.fhir, o.csv} {
		if f != "" {
			if err := atomicfile.Replaceable(f); err != nil {
				return err
			}
		}
	}
	in, err := o.input(ctx, c, name)
	if err != nil {
		return err
	}
	c.notes(in.Study)
	papers, err := workflow.MakePapers(in)
	if err != nil {
		return err
	}
	ord := papers.Order
	a := orderAnswer{Number: ord.Number, Revision: ord.Revision, State: string(ord.State), Jurisdiction: ord.Jurisdiction.Name, CheckedOn: ord.Jurisdiction.CheckedOn,
		Missing: []orderGap{}, Changes: []orderChange{}, Files: []string{}}
	for _, g := range ord.Gaps {
		a.Missing = append(a.Missing, orderGap{Field: g.Field, Part: string(g.Part), Tooth: int(g.Tooth), Text: g.Text, Where: g.Where, Rule: g.Rule})
	}
	for _, x := range ord.Changes {
		a.Changes = append(a.Changes, orderChange{Part: string(x.Part), Field: x.Field, Kind: x.Kind, Text: x.Text})
	}
	refused := ord.State == order.Draft && !o.draft
	if !refused {
		a.Seal = orderfile.Seal(papers.JSON)
		if a.Files, err = o.write(name, papers); err != nil {
			return err
		}
	}
	if c.json {
		if err := c.answer(a); err != nil {
			return err
		}
	} else {
		o.tell(c, a, refused)
	}
	// A draft of a design that is stopped is written all the same, and stays stopped.
	if refused || ord.State == order.Draft && in.Plan != nil && in.Plan.Report.Stops() > 0 {
		return stopped
	}
	return nil
}

// input reads the case and works it out as far as it goes.
func (o orderOptions) input(ctx context.Context, c *console, name string) (workflow.PapersInput, error) {
	var in workflow.PapersInput
	var err error
	var at time.Time
	if in.Size, at, err = o.set(); err != nil {
		return in, err
	}
	if in.Palette, err = paletteOf(o.palette); err != nil {
		return in, err
	}
	if o.out != "" && !strings.EqualFold(filepath.Ext(o.out), ".pdf") {
		return in, usagef("-o %q: expected a file ending in .pdf", o.out)
	}
	if o.jurisdiction != "" && !slices.Contains(jurisdictionNames(), o.jurisdiction) {
		return in, usagef("--jurisdiction %q: expected one of %s", o.jurisdiction, strings.Join(jurisdictionNames(), ", "))
	}
	if o.sign != "" && o.out == "" {
		return in, usagef("--sign needs -o: a signed order is a paper")
	}
	l, err := c.load(name)
	if err != nil {
		return in, err
	}
	if in.Study, err = l.study(ctx, o.profile); err != nil {
		return in, err
	}
	if l.c.Design != nil && len(l.c.Design.Parts) > 0 {
		if in.Plan, err = in.Study.PlanOf(); err != nil {
			return in, err
		}
	}
	if in.Before, err = lastSigned(name, l.c.ID); err != nil {
		return in, err
	}
	in.Lang, in.Jurisdiction, in.SignedBy, in.DraftToo = l.lang, o.jurisdiction, o.sign, o.draft
	in.Made = order.Made{Program: "Halfpear " + Version, Rulebook: in.Study.Book.Profile, At: at}
	in.Files = map[string][]byte{filepath.Base(name): l.file}
	if l.c.Scan != nil {
		in.Files[l.c.Scan.File] = l.scan
	}
	if in.Before != nil {
		o.before(ctx, &in, l)
	}
	return in, nil
}

// before lays the last signed design on its own cast, for the overlay. Where that cannot
// be done the changes are told in words only.
func (o orderOptions) before(ctx context.Context, in *workflow.PapersInput, l loaded) {
	c, err := casefile.Read("the last signed revision", in.Before.CaseFile)
	if err != nil {
		return
	}
	l.c = c
	study, err := l.study(ctx, o.profile)
	if err != nil || c.Design == nil {
		return
	}
	if plan, err := study.Plan(*c.Design); err == nil {
		in.Was = plan
	}
}

// ordersOf is the folder beside a case that keeps its signed orders.
func ordersOf(name string) string {
	return strings.TrimSuffix(name, filepath.Ext(name)) + ".orders"
}

// signedOrders reads the signed orders of a case, oldest first. Each must hold its seal;
// seen is told of every one that was looked at.
func signedOrders(name string, seen func(file string, r order.Record, err error)) ([]order.Record, error) {
	files, err := filepath.Glob(filepath.Join(ordersOf(name), "*.json"))
	if err != nil {
		return nil, fmt.Errorf("looking for signed orders of %s: %w", name, err)
	}
	var out []order.Record
	var first error
	for _, f := range files {
		data, err := readFile("signed order", f)
		var r order.Record
		if err == nil {
			r, err = orderfile.Read(f, data)
		}
		if seen != nil {
			seen(f, r, err)
		}
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b order.Record) int { return a.Revision - b.Revision })
	return out, first
}

// lastSigned is the last signed order of a case; nil where none was signed. Orders of another
// case number that lie beside the file are none of it.
func lastSigned(name string, id casebook.ID) (*order.Record, error) {
	all, err := signedOrders(name, nil)
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(r order.Record) bool { return r.Case != id })
	if len(all) == 0 {
		return nil, nil
	}
	return &all[len(all)-1], nil
}

type verifiedOrder struct {
	File     string `json:"file"`
	Number   string `json:"number,omitempty"`
	SignedBy string `json:"signed_by,omitempty"`
	SignedAt string `json:"signed_at,omitempty"`
	Holds    bool   `json:"holds"`
	Damage   string `json:"damage,omitempty"`
}

// verifyOrders says of every signed order whether it is as it was signed.
func verifyOrders(c *console, name string) error {
	if _, err := os.Stat(name); err != nil {
		return fmt.Errorf("could not read the case: %w", err)
	}
	list := []verifiedOrder{}
	_, err := signedOrders(name, func(file string, r order.Record, err error) {
		v := verifiedOrder{File: file, Number: r.Number, SignedBy: r.Signature.By, Holds: err == nil}
		if err != nil {
			v.Damage = err.Error()
		} else {
			v.SignedAt = r.Signature.At.Format(time.RFC3339)
		}
		list = append(list, v)
	})
	if c.json {
		if e := c.answer(map[string]any{"orders": list}); e != nil {
			return e
		}
	} else {
		for _, v := range list {
			if v.Holds {
				fmt.Fprintf(c.out, "%s: %s, signed by %s on %s, holds\n", v.File, v.Number, v.SignedBy, v.SignedAt)
			} else {
				fmt.Fprintf(c.out, "%s: damaged\n", v.File)
			}
		}
		if len(list) == 0 {
			fmt.Fprintln(c.out, "no order of this case was signed")
		}
	}
	return err
}

// write puts out every form that was asked for. Nothing is written before everything is at
// hand and every name may be written to.
func (o orderOptions) write(name string, p workflow.Papers) ([]string, error) {
	type file struct {
		name   string
		data   []byte
		frozen bool
	}
	signed := p.Record != nil
	var files []file
	if signed {
		files = append(files, file{filepath.Join(ordersOf(name), fmt.Sprintf("%s-r%d.json", p.Record.Case, p.Record.Revision)), p.JSON, true})
	}
	for _, f := range []file{{o.out, p.PDF, signed}, {o.jsonOut, p.JSON, false}, {o.fhir, p.FHIR, false}, {o.csv, p.CSV, false}} {
		if f.name != "" {
			files = append(files, f)
		}
	}
	for _, f := range files {
		if f.frozen {
			if _, err := os.Lstat(f.name); err == nil {
				return nil, fmt.Errorf("could not write %s: there is a file of that name, and a signed order replaces nothing; write under another name", f.name)
			}
		}
		if err := atomicfile.Replaceable(f.name); err != nil {
			return nil, err
		}
	}
	if signed {
		if err := os.MkdirAll(ordersOf(name), 0o755); err != nil {
			return nil, fmt.Errorf("making the folder of signed orders: %w", err)
		}
	}
	written := []string{}
	for _, f := range files {
		var err error
		if f.frozen {
			err = atomicfile.Freeze(f.name, f.data)
		} else {
			err = atomicfile.WriteBytes(f.name, f.data)
		}
		if err != nil {
			return nil, err
		}
		written = append(written, f.name)
	}
	return written, nil
}

// tell prints the answer for people.
func (o orderOptions) tell(c *console, a orderAnswer, refused bool) {
	fmt.Fprintln(c.out, words.OrderLine.In(c.lang, a.Number, a.Revision, words.Term(c.lang, "state", a.State), a.Jurisdiction, a.CheckedOn))
	if len(a.Missing) > 0 {
		fmt.Fprintln(c.out, words.MissingCount.In(c.lang, len(a.Missing)))
		for i, g := range a.Missing {
			fmt.Fprintf(c.out, "%3d. %s\n     %s\n     %s\n", i+1, g.Text, words.EnterAt.In(c.lang, g.Where), words.AskedBy.In(c.lang, g.Rule))
		}
	}
	if len(a.Changes) > 0 {
		fmt.Fprintln(c.out, words.ChangedSince.In(c.lang))
		for _, x := range a.Changes {
			fmt.Fprintf(c.out, "  %s\n", x.Text)
		}
	}
	for _, f := range a.Files {
		fmt.Fprintln(c.out, words.FileWritten.In(c.lang, f))
	}
	if a.Seal != "" {
		fmt.Fprintln(c.out, words.SealIs.In(c.lang, a.Seal))
	}
	switch {
	case refused:
		fmt.Fprintln(c.out, words.NothingWrit.In(c.lang))
	case len(a.Files) == 0 && len(a.Missing) == 0:
		fmt.Fprintln(c.out, words.NothingNamed.In(c.lang))
	}
}
