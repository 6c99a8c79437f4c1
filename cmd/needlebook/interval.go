package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/evidence"
	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/logbook/edit"
)

func (o *opened) evidence() *evidence.Evidence {
	return evidence.New(o.book, o.report.Rounds, o.report.Judgement, o.report.Today)
}

var decisionID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9-]{0,40}$`)

func (p *program) interval() *cobra.Command {
	var a asking
	var since, write string
	var ask evidence.Ask
	c := &cobra.Command{
		Use:   "interval",
		Short: "How long may the next one wait: the evidence for the interval",
		Long: `Reviews the interval between overhauls on the evidence in the book: what the
openings at full age prove, with and without the special causes, each named; what
N openings would prove; drift with the hours to each limit; lives, where the ages
are spread enough; how the service lives were run; and what trial would prove
more. It never proposes more than maker and class allow by the book's limits.
--write makes a decision record of it, to be completed and signed.`,
		Example: `  needlebook interval --since 2023-11-01
  needlebook interval --planned-cost 1 --failed-cost 8
  needlebook interval --since 2023-11-01 --write DR-10`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if since != "" {
				day, err := logbook.ParseDay(since)
				if err != nil {
					return use("--since %s: a date of the calendar, written 2023-11-01", since)
				}
				ask.Since = day
			}
			for _, x := range []struct {
				flag string
				cost float64
			}{{"planned-cost", ask.Planned}, {"failed-cost", ask.Failed}, {"bad-hour-cost", ask.BadHour}} {
				if x.cost < 0 || cmd.Flags().Changed(x.flag) && x.cost == 0 {
					return use("--%s %g: a cost above nothing", x.flag, x.cost)
				}
			}
			if write != "" && !decisionID.MatchString(write) {
				return use("--write %s: a short name for the decision, such as DR-10", write)
			}
			return p.answer(&a, func(o *opened) (paper.Paper, error) {
				r := o.evidence().Review(ask)
				out := r.Paper()
				if write == "" {
					return out, nil
				}
				file := filepath.Join(o.dir, "decisions", strings.ToLower(write)+".md")
				if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
					return out, fmt.Errorf("could not write %q: %w", file, err)
				}
				if err := edit.Create(file, []byte(r.Decision(write))); errors.Is(err, fs.ErrExist) {
					return out, use("there is a decision %s already: name another", write)
				} else if err != nil {
					return out, fmt.Errorf("could not write %q: %w", file, err)
				}
				out.Notes = append(out.Notes, "written: decisions/"+strings.ToLower(write)+".md, to be completed (kind, by, agreed) and signed")
				return out, nil
			})
		},
	}
	p.asks(c, &a)
	c.Flags().StringVar(&since, "since", "", "first day of the openings looked at (default: two years before)")
	c.Flags().StringVar(&write, "write", "", "write a decision record of this name, to be completed and signed")
	c.Flags().BoolVar(&ask.Parts, "parts", false, "the drift of each position, holder and nozzle too")
	c.Flags().Float64Var(&ask.Planned, "planned-cost", 0, "cost of a planned opening, in any unit")
	c.Flags().Float64Var(&ask.Failed, "failed-cost", 0, "cost of one after it went bad, in the same unit")
	c.Flags().Float64Var(&ask.BadHour, "bad-hour-cost", 0, "cost of an hour run with a bad valve, in the same unit")
	return c
}
