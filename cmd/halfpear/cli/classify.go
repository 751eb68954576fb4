package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"halfpear/arch"
	"halfpear/tooth"
	"halfpear/words"
)

type classifyOptions struct {
	arch                                                                          string
	missing, extract, replace, notReplaced, notAbutment, pontics, closed, present []string
	strict                                                                        bool
}

func newClassify(c *console) *cobra.Command {
	var o classifyOptions
	cmd := &cobra.Command{
		Use:   "classify --arch lower --missing 36,37,46,47",
		Short: "Kennedy class of an arch by Applegate's rules",
		Long: `Kennedy class, modification spaces and edentulous areas of one arch, by Applegate's rules.

A missing third molar is left out unless it is named in --replace; one that is present
counts as an abutment unless it is named in --not-abutment. Where no flag names a third
molar at all, both are taken to be absent, as third molars mostly are where a partial
denture is made, and a note says so; --present names one that stands. Where any flag names
one, the others are present.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return runClassify(c, o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.arch, "arch", "", "upper or lower")
	f.StringSliceVar(&o.missing, "missing", nil, "missing teeth, FDI numbers with commas")
	f.StringSliceVar(&o.extract, "extract", nil, "teeth to be extracted")
	f.StringSliceVar(&o.replace, "replace", nil, "missing third molars that are to be replaced")
	f.StringSliceVar(&o.notReplaced, "not-replaced", nil, "missing teeth that are not to be replaced")
	f.StringSliceVar(&o.notAbutment, "not-abutment", nil, "third molars present but not used")
	f.StringSliceVar(&o.pontics, "pontics", nil, "pontics of fixed bridges, which count as present")
	f.StringSliceVar(&o.closed, "closed", nil, "lost teeth whose space has closed")
	f.StringSliceVar(&o.present, "present", nil, "third molars that are present")
	f.BoolVar(&o.strict, "strict", false, "only Applegate's rules 2 and 4 may leave an area out")
	_ = cmd.RegisterFlagCompletionFunc("arch", cobra.FixedCompletions([]string{"upper", "lower"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

type classifyArea struct {
	Teeth []int  `json:"teeth"`
	Kind  string `json:"kind"`
}

type classifyAnswer struct {
	Arch          string         `json:"arch"`
	Class         string         `json:"class"`
	Modifications int            `json:"modifications"`
	Areas         []classifyArea `json:"areas"`
	Notes         []string       `json:"notes"`
}

func answerClass(r arch.Result, l words.Lang) classifyAnswer {
	a := classifyAnswer{Arch: r.Arch.String(), Class: string(r.Class), Modifications: r.Modifications, Areas: []classifyArea{}, Notes: []string{}}
	for _, area := range r.Areas {
		v := classifyArea{Kind: string(area.Kind)}
		for _, n := range area.Teeth {
			v.Teeth = append(v.Teeth, int(n))
		}
		a.Areas = append(a.Areas, v)
	}
	a.Notes = append(a.Notes, words.Lines(l, r.Notes)...)
	return a
}

func runClassify(c *console, o classifyOptions) error {
	p, err := o.pattern()
	if err != nil {
		return usageError{err}
	}
	r, err := arch.Classify(p)
	if err != nil {
		return usageError{err}
	}
	if !o.namesThirdMolars() {
		r.Notes = append(r.Notes, words.Tell("no third molar was named: both are taken to be absent"))
	}
	if c.json {
		return c.answer(answerClass(r, c.lang))
	}
	head := words.Term(c.lang, "arch", o.arch)
	if c.lang.Language() == words.English {
		head += " arch"
	}
	fmt.Fprintf(c.out, "%s: %s\n%s\n", head, c.class(r), p.Text())
	for _, a := range r.Areas {
		teeth := make([]string, len(a.Teeth))
		for i, n := range a.Teeth {
			teeth[i] = n.String()
		}
		fmt.Fprintf(c.out, "  %s: %s\n", words.Term(c.lang, "support", string(a.Kind)), strings.Join(teeth, " "))
	}
	for _, n := range r.Notes {
		fmt.Fprintf(c.out, "  %s: %s\n", words.Term(c.lang, "severity", "note"), n.In(c.lang))
	}
	return nil
}

// pattern reads the flags; a tooth named in two contradicting ones is an error.
func (o classifyOptions) pattern() (arch.Pattern, error) {
	a, err := tooth.ParseArch(o.arch)
	if err != nil {
		return arch.Pattern{}, fmt.Errorf("--arch: %w", err)
	}
	p := arch.Pattern{Arch: a, Standing: map[tooth.Number]arch.Standing{}, Replaced: map[tooth.Number]bool{},
		NotReplaced: map[tooth.Number]bool{}, NotAbutment: map[tooth.Number]bool{}, Strict: o.strict}
	said := map[tooth.Number]string{}
	each := func(flag string, words []string, exclusive bool, do func(tooth.Number)) {
		for _, w := range words {
			n, e := tooth.Parse(strings.TrimSpace(w))
			if e == nil && n.Arch() != a {
				e = fmt.Errorf("tooth %s does not belong to the %s arch", n, a)
			}
			if e == nil && exclusive && said[n] != "" && said[n] != flag {
				e = fmt.Errorf("tooth %s is also named in --%s", n, said[n])
			}
			if e != nil {
				if err == nil {
					err = fmt.Errorf("--%s: %w", flag, e)
				}
				continue
			}
			if exclusive {
				said[n] = flag
			}
			do(n)
		}
	}
	each("missing", o.missing, true, func(n tooth.Number) { p.Standing[n] = arch.Missing })
	each("closed", o.closed, true, func(n tooth.Number) { p.Standing[n] = arch.Closed })
	each("extract", o.extract, true, func(n tooth.Number) { p.Standing[n] = arch.Missing })
	// A pontic stands where the natural tooth is missing, so both may be said of one place.
	each("pontics", o.pontics, false, func(n tooth.Number) { p.Standing[n] = arch.Present })
	each("replace", o.replace, false, func(n tooth.Number) {
		if p.Standing[n] != arch.Missing {
			p.Standing[n] = arch.Missing
		}
		p.Replaced[n] = true
	})
	each("not-replaced", o.notReplaced, false, func(n tooth.Number) { p.Standing[n], p.NotReplaced[n] = arch.Missing, true })
	each("not-abutment", o.notAbutment, false, func(n tooth.Number) { p.NotAbutment[n] = true })
	each("present", o.present, true, func(tooth.Number) {})
	if !o.namesThirdMolars() {
		for _, n := range tooth.All(a) {
			if n.Kind() == tooth.ThirdMolar {
				p.Standing[n] = arch.Missing
			}
		}
	}
	return p, err
}

// namesThirdMolars tells whether any flag speaks of a third molar.
func (o classifyOptions) namesThirdMolars() bool {
	for _, list := range [][]string{o.missing, o.extract, o.replace, o.notReplaced, o.notAbutment, o.pontics, o.closed, o.present} {
		for _, w := range list {
			if strings.HasSuffix(strings.TrimSpace(w), "8") {
				return true
			}
		}
	}
	return false
}
