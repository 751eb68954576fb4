package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpear/drawing"
	"halfpear/encoding/pdf"
	"halfpear/encoding/png"
	"halfpear/encoding/svg"
	"halfpear/internal/atomicfile"
	"halfpear/sheet"
	"halfpear/tooth"
	"halfpear/workflow"
)

type drawOptions struct {
	paperFlags
	out, numbering, palette string
	page                    int
	dpi                     float64
}

// paperFlags are what every verb that makes papers of a case asks for.
type paperFlags struct{ paper, profile, at string }

func (o *paperFlags) add(f *pflag.FlagSet) {
	f.StringVar(&o.paper, "paper", "a4", "a4 or letter")
	f.StringVar(&o.profile, "profile", "", "rulebook profile; the case's own where left out")
	f.StringVar(&o.at, "at", "", "when the papers are made, as in 2026-03-31T10:00:00Z; now where left out")
}

// set is the size of the paper and the time it is made at.
func (o paperFlags) set() (size sheet.Size, at time.Time, err error) {
	if size, err = paperNamed(o.paper); err == nil {
		at, err = timeOf(o.at)
	}
	return size, at, err
}

func newDraw(c *console) *cobra.Command {
	var o drawOptions
	cmd := &cobra.Command{
		Use:   "draw CASE -o FILE.(pdf|svg|png)",
		Short: "Draw the design sheets of a case to scale",
		Long: `Draw the design sheets of a case: the occlusal view at 1:1 with the framework over the
cast, elevations of every abutment, sections where a connector runs, and the part list. A
PDF holds all sheets; SVG and PNG hold one, the first or the one named by --page.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error { return runDraw(cmd.Context(), c, args[0], o) },
	}
	f := cmd.Flags()
	f.StringVarP(&o.out, "output", "o", "", "file to write: .pdf, .svg or .png")
	o.add(f)
	f.StringVar(&o.numbering, "numbering", "", "tooth numbers shown: fdi, universal or zsigmondy; those of the order's jurisdiction where left out")
	f.StringVar(&o.palette, "palette", "house", paletteHelp)
	f.IntVar(&o.page, "page", 1, "which sheet an SVG or PNG holds")
	f.Float64Var(&o.dpi, "dpi", 150, "resolution of a PNG")
	return cmd
}

func paperNamed(s string) (sheet.Size, error) {
	switch strings.ToLower(s) {
	case "a4":
		return sheet.A4, nil
	case "letter":
		return sheet.Letter, nil
	}
	return sheet.Size{}, usagef("--paper %q: expected a4 or letter", s)
}

const paletteHelp = "colours: house, us-prep-red, uk-function or a YAML file of the school's own; the legend says what they mean"

// paletteOf is a scheme of colours by its name or from a school's own file.
func paletteOf(s string) (drawing.Palette, error) {
	switch strings.ToLower(filepath.Ext(s)) {
	case ".yaml", ".yml":
		text, err := os.ReadFile(s)
		if err != nil {
			return drawing.Palette{}, fmt.Errorf("--palette: %w", err)
		}
		p, err := drawing.ReadPalette(text)
		if err != nil {
			return p, fmt.Errorf("--palette %s: %w", s, err)
		}
		return p, nil
	}
	p, err := drawing.PaletteNamed(s)
	if err != nil {
		return p, usageError{fmt.Errorf("--palette: %w", err)}
	}
	return p, nil
}

// timeOf reads the time given with --at; empty is now.
func timeOf(s string) (time.Time, error) {
	if s == "" {
		return time.Now().UTC().Truncate(time.Second), nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return t, usagef("--at %q: expected a time such as 2026-03-31T10:00:00Z", s)
	}
	return t, nil
}

func runDraw(ctx context.Context, c *console, name string, o drawOptions) error {
	kind := strings.ToLower(filepath.Ext(o.out))
	if kind != ".pdf" && kind != ".svg" && kind != ".png" {
		return usagef("-o %q: expected a file ending in .pdf, .svg or .png", o.out)
	}
	in := workflow.SheetsInput{Program: "Halfpear " + Version}
	var err error
	if in.Size, in.At, err = o.set(); err != nil {
		return err
	}
	if in.Palette, err = paletteOf(o.palette); err != nil {
		return err
	}
	if o.numbering != "" && !slices.Contains(tooth.Numberings[:], tooth.Numbering(o.numbering)) {
		return usagef("--numbering %q: expected fdi, universal or zsigmondy", o.numbering)
	}
	if !(o.dpi >= 20 && o.dpi <= 1200) {
		return usagef("--dpi %g: expected 20 to 1200", o.dpi)
	}
	l, plan, err := c.planned(ctx, name, o.profile)
	if err != nil {
		return err
	}
	in.Lang = l.lang
	if o.numbering != "" {
		in.Lang = in.Lang.Numbered(tooth.Numbering(o.numbering))
	}
	in.Digests = l.digests()
	in.Draft = plan.Report.Stops() > 0
	pages, err := plan.Sheets(in)
	if err != nil {
		return err
	}
	if o.page < 1 || o.page > len(pages) {
		return usagef("--page %d: the design has sheets 1 to %d", o.page, len(pages))
	}
	if err := writePages(o.out, pages, o.page, o.dpi, pdf.Document{Title: l.c.Title, Subject: plan.Class.String(), Maker: in.Program, Lang: string(in.Lang.Language()), Date: in.At}); err != nil {
		return err
	}
	stops := plan.Report.Stops()
	if c.json {
		if err := c.answer(map[string]any{"file": o.out, "sheets": len(pages), "stops": stops}); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(c.out, "wrote %s\n", o.out)
	}
	if stops > 0 {
		fmt.Fprintf(c.err, "findings that stop the design: %d; the sheets are marked as a draft, halfpear check says which\n", stops)
		return stopped
	}
	return nil
}

// writePages writes all pages as a PDF, or the page of a number, from 1, as SVG or PNG, by
// the file's ending.
func writePages(file string, pages []sheet.Page, page int, dpi float64, doc pdf.Document) error {
	var b bytes.Buffer
	var err error
	switch strings.ToLower(filepath.Ext(file)) {
	case ".pdf":
		err = pdf.Write(&b, pages, doc)
	case ".svg":
		err = svg.Write(&b, &pages[page-1])
	case ".png":
		err = png.Write(&b, &pages[page-1], dpi)
	}
	if err != nil {
		return err
	}
	return atomicfile.WriteBytes(file, b.Bytes())
}

// digests are the files a case was read from, as sheets print them.
func (l loaded) digests() []drawing.Digest {
	sum := func(data []byte) string { s := sha256.Sum256(data); return hex.EncodeToString(s[:]) }
	out := []drawing.Digest{{Name: filepath.Base(l.name), Hex: sum(l.file)}}
	if l.c.Scan != nil {
		out = append(out, drawing.Digest{Name: l.c.Scan.File, Hex: sum(l.scan)})
	}
	return out
}
