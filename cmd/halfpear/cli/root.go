// Package cli is the command line: one file a verb. A verb reads files, calls a step of
// workflow and prints what came of it; it holds no trade knowledge of its own.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"halfpear/arch"
	"halfpear/words"
)

// Version is set when a release is built.
var Version = "development"

// Exit statuses, the same for every verb.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	exitStop   = 10
)

const exitHelp = `
Exit status: 0 done, nothing stops the design; 1 it could not be done; 2 wrong usage;
10 done, and at least one finding says stop.`

// console is where a verb reads and writes.
type console struct {
	in       io.Reader
	out, err io.Writer
	json     bool
	lang     words.Lang // of findings, reasons and papers
}

// class is a class as a line on the screen gives it: short in English, as on a chart.
func (c *console) class(r arch.Result) string {
	if c.lang.Language() == words.English {
		return r.String()
	}
	return r.In(c.lang)
}

// answer prints v as the one JSON document on standard output.
func (c *console) answer(v any) error {
	enc := json.NewEncoder(c.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return fmt.Errorf("writing the answer: %w", err)
	}
	return nil
}

// langFlag is a language on the command line.
type langFlag words.Lang

func (l *langFlag) String() string { return string(*l) }
func (l *langFlag) Type() string   { return "language" }
func (l *langFlag) Set(s string) error {
	v, err := words.ParseLang(s)
	if err == nil {
		*l = langFlag(v)
	}
	return err
}

// stopped is returned by a verb that did its work and found something that stops the
// design.
var stopped = errors.New("at least one finding stops the design")

// usageError is wrong use of the command line.
type usageError struct{ error }

func usagef(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// Main runs the program and gives its exit status. No panic gets out of it.
func Main(args []string, in io.Reader, out, errs io.Writer) (status int) {
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(errs, "halfpear: a fault in the program itself: %v\nNothing was half-written. Please report this with the lines below.\n%s", r, debug.Stack())
			status = exitFailed
		}
	}()
	c := &console{in: in, out: out, err: errs, lang: words.English}
	root := newRoot(c)
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitDone
	}
	if errors.Is(err, stopped) {
		return exitStop
	}
	text := err.Error()
	if said, ok := err.(words.Said); ok {
		text = said.In(c.lang)
	}
	fmt.Fprintln(errs, "halfpear:", text)
	var u usageError
	if errors.As(err, &u) || isUsage(err) {
		return exitUsage
	}
	return exitFailed
}

// isUsage knows the errors the command parser makes itself.
func isUsage(err error) bool {
	s := err.Error()
	for _, start := range []string{"unknown command", "unknown flag", "unknown shorthand flag", "flag needs an argument",
		"invalid argument", "accepts ", "requires at least", "required flag", "if any flags in the group", "at least one of the flags"} {
		if strings.HasPrefix(s, start) {
			return true
		}
	}
	return false
}

func newRoot(c *console) *cobra.Command {
	root := &cobra.Command{
		Use:   "halfpear",
		Short: "Design, check, draw and order removable partial denture frameworks",
		Long: `Halfpear designs, checks, draws and orders the metal framework of a removable partial denture.

A design aid for licensed practitioners and students, who remain responsible; not cleared
or certified by any authority; local law and the alloy maker's instructions prevail.
` + exitHelp,
		Version:       Version,
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	root.PersistentFlags().Var((*langFlag)(&c.lang), "lang", "language of findings, reasons and papers: en or de")
	_ = root.RegisterFlagCompletionFunc("lang", cobra.FixedCompletions([]string{"en", "de"}, cobra.ShellCompDirectiveNoFileComp))
	root.PersistentFlags().BoolVar(&c.json, "json", false, "print one JSON document on standard output")
	root.AddCommand(
		newArm(c),
		newClassify(c),
		newDemo(c),
		newDraw(c),
		newLocate(c),
		newOrder(c),
		newQuery(c),
		newSchema(c),
		newSupport(c),
		newReckon(c),
		newSurvey(c),
		newTilt(c),
		newServe(c),
		newPropose(c),
		newCheck(c),
		newRules(c),
	)
	root.InitDefaultHelpCmd()
	if help, _, err := root.Find([]string{"help"}); err == nil {
		show := help.Run
		help.Run = nil
		help.RunE = func(cmd *cobra.Command, args []string) error {
			if _, rest, err := root.Find(args); err != nil || len(rest) > 0 {
				return usagef("help: there is no verb %q; halfpear help lists them", strings.Join(args, " "))
			}
			show(cmd, args)
			return nil
		}
	}
	return root
}
