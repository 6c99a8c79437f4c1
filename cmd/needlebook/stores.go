package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
)

func (p *program) stores() *cobra.Command {
	var a asking
	c := &cobra.Command{
		Use:   "stores",
		Short: "Spares and stores: what is on board, what will be needed, what to order",
		Long: `Compares what is on board and on order with what will be needed until more can
come: nozzles by each one's own running hours, so that a wave of nozzles
bought together is seen coming; everything else by its use. The minimum covers
the lead time with the margin that the book sets. Ends with the order list's
permitted markings.`,
		Example: `  needlebook stores
  needlebook stores --format csv --table ages > nozzles.csv`,
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.answerAbout(&a, args, func(o *opened) (paper.Paper, error) { return o.plan().Stores(), nil })
		},
	}
	p.asks(c, &a)
	p.takesAbout(c)
	return c
}
