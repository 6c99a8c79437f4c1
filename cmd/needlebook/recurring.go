package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
)

func (p *program) recurring() *cobra.Command {
	var a asking
	c := &cobra.Command{
		Use:   "recurring",
		Short: "Recurring findings: holder, position, fuel, gauge, person",
		Long: `Asks which holder, position, nozzle batch, bunker, gauge, season or person
occurs with valves that failed as found, and with opening pressures off the
ship's normal, more often than chance explains, allowing for all that was
asked. It shows numbers and effect, and what occurs together, never whose
fault it is.`,
		Example: `  needlebook recurring
  needlebook recurring --format json`,
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.answerAbout(&a, args, func(o *opened) (paper.Paper, error) { return o.evidence().RecurringPaper(), nil })
		},
	}
	p.asks(c, &a)
	p.takesAbout(c)
	return c
}
