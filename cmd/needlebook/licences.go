package main

import (
	_ "embed"

	"github.com/spf13/cobra"
)

// licenceTexts are the licences of every module in the program, for all systems; a test makes them of the modules.
//
//go:embed licences.txt
var licenceTexts []byte

func (p *program) licences() *cobra.Command {
	return &cobra.Command{
		Use:   "licences",
		Short: "The licences of all that is inside the program",
		Long: `Prints which libraries are inside the program, in which version, and the text of
each licence as it came with them.`,
		Example: "  needlebook licences",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := p.data.Write(licenceTexts)
			return err
		},
	}
}
