package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

func (p *program) due() *cobra.Command {
	var a asking
	var before string
	c := &cobra.Command{
		Use:   "due",
		Short: "What is due when: valves, nozzles, calibrations, promises",
		Long: `Lists what is due, the soonest first: every valve against its interval, the life
of every fitted nozzle, calibrations, deferrals, trials and reviews, missing
countersignatures, seals and tests on the rack. Hours become dates at the present
running rate; the column between gives the soonest and the latest at the rates of
the months before. It fits one A4 page.`,
		Example: `  needlebook due
  needlebook due --before 2024-08-20
  needlebook due --format csv > due.csv`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			day := logbook.Day(0)
			if before != "" {
				var err error
				if day, err = logbook.ParseDay(before); err != nil {
					return use("--before %s: a date of the calendar, written 2024-08-20", before)
				}
			}
			return p.answer(&a, func(o *opened) (paper.Paper, error) { return o.plan().Due(day), nil })
		},
	}
	p.asks(c, &a)
	c.Flags().StringVar(&before, "before", "", "only what may fall before this day, such as the next port stay")
	return c
}
