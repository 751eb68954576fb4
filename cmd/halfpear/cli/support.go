package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfpear/mechanics"
)

func newSupport(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "support FILE.json",
		Short: "Who carries the load of a rigid framework on springs",
		Long: `Find where a rigid framework comes to rest on springs, which of them carry, and how it
turns. A contact pushes only along n, with k newtons a millimetre; a bilateral one pulls as
well; one with a capacity gives way at that force; one with a layer stiffens as tissue does
that would be pressed to nothing at that closing. Lengths mm, forces N. The file "-" is
standard input.
` + exitHelp,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return runSupport(c, args[0]) },
	}
}

type supportFile struct {
	Contacts []struct {
		ID        string  `json:"id"`
		R         *triple `json:"r"`
		N         *triple `json:"n"`
		K         float64 `json:"k"`
		Gap       float64 `json:"gap"`
		Capacity  float64 `json:"capacity"`
		Layer     float64 `json:"layer"`
		Bilateral bool    `json:"bilateral"`
	} `json:"contacts"`
	Loads []struct {
		R     *triple `json:"r"`
		Force *triple `json:"force"`
		F     *triple `json:"F"` // the same by its letter
	} `json:"loads"`
}

type supportContact struct {
	ID     string  `json:"id"`
	Force  float64 `json:"force_N"`
	Active bool    `json:"active"`
	Gone   bool    `json:"gave_way,omitempty"`
}

type supportAxis struct {
	Point     triple  `json:"point"`
	Direction triple  `json:"direction"`
	Pitch     float64 `json:"pitch_mm_per_rad"`
	Angle     float64 `json:"angle_rad"`
}

type supportAnswer struct {
	Translation triple           `json:"translation_mm"`
	Rotation    triple           `json:"rotation_rad"`
	Contacts    []supportContact `json:"contacts"`
	Axis        *supportAxis     `json:"axis"` // null where the framework shifts without turning
}

func runSupport(c *console, name string) error {
	var f supportFile
	if err := c.readJSON("support case", name, &f); err != nil {
		return err
	}
	if len(f.Contacts) == 0 || len(f.Loads) == 0 {
		return fmt.Errorf("could not reckon %s: expected contacts and loads, found %d and %d", name, len(f.Contacts), len(f.Loads))
	}
	var contacts []mechanics.Contact
	for i, k := range f.Contacts {
		if k.R == nil || k.N == nil {
			return fmt.Errorf("could not reckon %s: contact %d (%s): expected r, where it is, and n, where it pushes, each [x,y,z]", name, i+1, k.ID)
		}
		for _, v := range []struct {
			name  string
			value float64
		}{{"k", k.K}, {"gap", k.Gap}, {"capacity", k.Capacity}, {"layer", k.Layer}} {
			if v.value > largest {
				return fmt.Errorf("could not reckon %s: contact %d (%s): %s %g: expected at most %g", name, i+1, k.ID, v.name, v.value, float64(largest))
			}
		}
		contacts = append(contacts, mechanics.Contact{ID: k.ID, R: k.R.vec(), N: k.N.vec().Unit(), K: k.K, Gap: k.Gap, Capacity: k.Capacity, Layer: k.Layer, Bilateral: k.Bilateral})
	}
	var loads []mechanics.Load
	for i, l := range f.Loads {
		if l.Force == nil {
			l.Force = l.F
		}
		if l.Force == nil || l.R == nil {
			return fmt.Errorf("could not reckon %s: load %d: expected r, where it acts, and force, each [x,y,z]", name, i+1)
		}
		loads = append(loads, mechanics.Load{R: l.R.vec(), Force: l.Force.vec()})
	}
	r, err := mechanics.Support(contacts, loads)
	if err != nil {
		return fmt.Errorf("could not reckon %s: %w", name, err)
	}
	if r.Free != nil {
		how := "shifts"
		if s, ok := r.Free.Screw(); ok && !r.Free.Shifts() {
			how = fmt.Sprintf("turns about the line through (%.3g, %.3g, %.3g) along (%.3g, %.3g, %.3g)", s.Point.X, s.Point.Y, s.Point.Z, s.Direction.X, s.Direction.Y, s.Direction.Z)
		}
		return fmt.Errorf("could not find a place of rest for %s: nothing holds the framework against this load: it %s without end; add a contact that opposes it", name, how)
	}
	a := supportAnswer{Translation: tripleOf(r.Move), Rotation: tripleOf(r.Turn)}
	for i, k := range contacts {
		a.Contacts = append(a.Contacts, supportContact{k.ID, r.Force[i], r.Active[i], r.Gone[i]})
	}
	if s, ok := r.Screw(); ok {
		a.Axis = &supportAxis{tripleOf(s.Point), tripleOf(s.Direction), s.Pitch, s.Angle}
	}
	if c.json {
		return c.answer(a)
	}
	fmt.Fprintf(c.out, "moves (%.4f, %.4f, %.4f) mm, turns (%.5f, %.5f, %.5f) rad\n", r.Move.X, r.Move.Y, r.Move.Z, r.Turn.X, r.Turn.Y, r.Turn.Z)
	for _, k := range a.Contacts {
		state := ""
		if !k.Active {
			state = "  open"
		}
		if k.Gone {
			state = "  gave way"
		}
		fmt.Fprintf(c.out, "  %-16s %9.3f N%s\n", k.ID, k.Force, state)
	}
	return nil
}
