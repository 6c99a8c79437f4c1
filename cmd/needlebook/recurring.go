package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
)

func (p *program) recurring() *cobra.Command {
	var a asking
	c := &cobra.Command{
		Use:   "recurring",
		Short: "Recurring findings: holder, position, fuel, gauge",
		Long: `Compares what may explain valves that failed, and opening pressures off the
ship's normal: a holder, a position, a cylinder head, a nozzle batch, a round
or its fuel, a gauge, and nothing.

It names what the ship's own rate does not explain, allowing for all that was
asked, or says which two the records cannot tell apart and what would. No
person is asked about: a round has bench, method and instrument in common.`,
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
