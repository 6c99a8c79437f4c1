package main

import (
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// period are the flags of an extract.
type period struct{ from, to string }

func (d *period) flags(c *cobra.Command) {
	c.Flags().StringVar(&d.from, "from", "", "first day")
	c.Flags().StringVar(&d.to, "to", "", "last day (default: the last counter reading)")
}

func (d *period) days() (from, to logbook.Day, err error) {
	if from, err = dayOf("from", d.from); err != nil {
		return 0, 0, err
	}
	if to, err = dayOf("to", d.to); err != nil {
		return 0, 0, err
	}
	if to != 0 && to < from {
		return 0, 0, use("--to %s is before --from %s", d.to, d.from)
	}
	return from, to, nil
}

func (p *program) nox() *cobra.Command {
	var a asking
	var d period
	c := &cobra.Command{
		Use:   "nox",
		Short: "Nozzle changes with their identification, for the record book of engine parameters",
		Long: `Lists every change of nozzle in time order, engine by engine: position, engine
hours, marking, and whether it was in the permitted list of that day. For
copying into the record book of engine parameters, which it supports and never
replaces.`,
		Example: `  needlebook nox --from 2024-01-01
  needlebook nox --format csv --table me1 > me1-nozzles.csv`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			from, to, err := d.days()
			if err != nil {
				return err
			}
			return p.answer(&a, func(o *opened) (paper.Paper, error) { return o.plan().NOx(from, to), nil })
		},
	}
	p.asks(c, &a)
	d.flags(c)
	return c
}

// surveyKinds are the kinds of things whose engine a survey is of.
var surveyKinds = []logbook.ThingKind{logbook.ThingEngine, logbook.ThingPosition}

func (p *program) survey() *cobra.Command {
	var a asking
	var d period
	c := &cobra.Command{
		Use:   "survey [WHAT]",
		Short: "Overhauls of a period by cylinder, for the surveyor",
		Long: `Lists the overhauls of a period cylinder by cylinder: hours, who did them in
which rank, who saw them, the limits in force, leak check and shields, and
what is not complete. It supports the approved books and never replaces them.`,
		Example: `  needlebook survey ME1 --from 2023-07-01 --to 2024-06-30
  needlebook survey --from 2024-01-01 --format csv`,
		ValidArgsFunction: p.complete(surveyKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, to, err := d.days()
			if err != nil {
				return err
			}
			return p.answer(&a, func(o *opened) (paper.Paper, error) {
				engine := ""
				if len(args) > 0 {
					t, err := p.one(o, strings.Join(args, " "), surveyKinds...)
					if err != nil {
						return paper.Paper{}, err
					}
					engine = t.Position.Engine
				}
				return o.plan().Survey(engine, from, to), nil
			})
		},
	}
	p.asks(c, &a)
	d.flags(c)
	return c
}
