package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfpear/encoding/casefile"
)

func newSchema(c *console) *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON Schema of case files",
		Long:  "Print the JSON Schema (2020-12) that case files are judged by.\n" + exitHelp,
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if _, err := c.out.Write(casefile.Schema()); err != nil {
				return fmt.Errorf("writing the schema: %w", err)
			}
			return nil
		},
	}
}
