package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfpear/encoding/casefile"
	"halfpear/encoding/orderfile"
)

func newSchema(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "schema [case|order]",
		Short: "Print the JSON Schema of case files, or of orders",
		Long: `Print the JSON Schema (2020-12) that case files are judged by; with "order", that of the
machine-readable orders (order/1).
` + exitHelp,
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: []string{"case", "order"},
		RunE: func(_ *cobra.Command, args []string) error {
			schema := casefile.Schema
			if len(args) > 0 {
				switch args[0] {
				case "case":
				case "order":
					schema = orderfile.Schema
				default:
					return usagef("schema %q: expected case or order", args[0])
				}
			}
			if _, err := c.out.Write(schema()); err != nil {
				return fmt.Errorf("writing the schema: %w", err)
			}
			return nil
		},
	}
}
