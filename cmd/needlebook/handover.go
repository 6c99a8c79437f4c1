package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
)

func (p *program) handover() *cobra.Command {
	var a asking
	c := &cobra.Command{
		Use:   "handover",
		Short: "What the next engineer must know",
		Long: `Answers the questions of who takes over: what is fitted where, what is ready,
what is suspect, deferrals, what waits for a countersignature, the last thirty
days, what broke, tools and gauges, pockets and rings, records with gaps,
serials that cannot be read, the lessons written, and what not to do.`,
		Example: `  needlebook handover
  needlebook handover --on 2024-01-15
  needlebook handover --format csv --table fitted`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.answer(&a, func(o *opened) (paper.Paper, error) { return o.plan().Handover(), nil })
		},
	}
	p.asks(c, &a)
	return c
}
