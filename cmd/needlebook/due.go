package main

import (
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
)

func (p *program) due() *cobra.Command {
	var a asking
	var before string
	var all bool
	c := &cobra.Command{
		Use:   "due",
		Short: "What is due when: valves, nozzles, calibrations, deferrals",
		Long: `Lists what is due, the first at the top: every valve against its interval, the
life of every fitted nozzle, calibrations, deferrals, trials and reviews,
missing countersignatures, seals and tests in the spares rack.

Hours become dates at the present running rate; the column between gives the
soonest and the latest at the rates of the months before.

The list keeps to one A4 page: where there is much, what falls together is in
one row, and what falls last is only counted; --all lists everything, each by
itself.`,
		Example: `  needlebook due
  needlebook due ME1-3 PG-01
  needlebook due --before 2024-08-20
  needlebook due --all --format csv > due.csv`,
		RunE: func(cmd *cobra.Command, args []string) error {
			day, err := dayOf("before", before)
			if err != nil {
				return err
			}
			return p.answerAbout(&a, args, func(o *opened) (paper.Paper, error) {
				return o.plan().Due(day, all || len(args) > 0), nil
			})
		},
	}
	p.asks(c, &a)
	p.takesAbout(c)
	c.Flags().StringVar(&before, "before", "", "only what may fall before this day, such as the next port stay")
	c.Flags().BoolVar(&all, "all", false, "everything, however far off, a row for each")
	return c
}
