package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/evidence"
	"needlebook/checks/paper"
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
		Use:   "interval [WHAT]",
		Short: "Interval review: how long the next overhaul may wait, and what shows it",
		Long: `Reviews the interval between overhauls on the evidence in the book: what the
overhauls at full age prove, with and without the special causes, each named;
what N overhauls would prove; drift with the hours to each limit; lives, where
the ages are spread enough.

It also says how the service periods were run and on which fuel, and what
trial would prove more. Each type of valve is reviewed by itself: WHAT is its
limits file, an engine, a position or a part. It never proposes more than
maker and class allow by the book's limits.

--write makes a decision record of it, to be completed and signed.`,
		Example: `  needlebook interval --since 2023-11-01
  needlebook interval ME1 --parts --plots
  needlebook interval --planned-cost 1 --failed-cost 8
  needlebook interval --since 2023-11-01 --write DR-10`,
		ValidArgsFunction: p.complete(judgeKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			var err error
			if ask.Since, err = dayOf("since", since); err != nil {
				return err
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
				if o.report.Today != 0 && ask.Since > o.report.Today {
					return paper.Paper{}, use("--since %s: that is after %s, the day of the book", since, o.report.Today)
				}
				if len(args) > 0 {
					t, err := p.one(o, strings.Join(args, " "), judgeKinds...)
					if err != nil {
						return paper.Paper{}, err
					}
					if ask.Type = o.engineOf(t); ask.Type == "" {
						return paper.Paper{}, use("%s belongs to no engine of the book: name one of %s", t,
							strings.Join(o.types(), ", "))
					}
				}
				e := o.evidence()
				reviews := e.Reviews(ask)
				out := e.Paper(ask)
				if write == "" {
					return out, nil
				}
				if o.report.Today == 0 {
					return out, use("--write: the book holds no counter reading, so it has no day; name one with --on")
				}
				if len(reviews) != 1 {
					return out, use("--write: a decision is for one type of valve; name one of %s", strings.Join(o.types(), ", "))
				}
				file, err := p.writeDecision(o, write, reviews[0])
				out.Notes = append(out.Notes, "written: "+file+", to be completed (kind, by, agreed) and signed")
				return out, err
			})
		},
	}
	p.asks(c, &a)
	c.Flags().StringVar(&since, "since", "", "first day of the overhauls looked at (default: two years before)")
	c.Flags().StringVar(&write, "write", "", "write a decision record of this name, to be completed and signed")
	c.Flags().BoolVar(&ask.Parts, "parts", false, "the drift of each position, holder and nozzle too")
	c.Flags().BoolVar(&ask.Plots, "plots", false, "draw the drift of each quantity, with its band and its limit")
	c.Flags().Float64Var(&ask.Planned, "planned-cost", 0, "cost of a planned overhaul, in any unit")
	c.Flags().Float64Var(&ask.Failed, "failed-cost", 0, "cost of one after the valve has failed, in the same unit")
	c.Flags().Float64Var(&ask.BadHour, "bad-hour-cost", 0,
		"cost of an hour run with a valve that has failed, in the same unit")
	return c
}

// types are the names of the limits files that apply on the engines of the book, else of the engines.
func (o *opened) types() []string {
	var all []string
	for _, e := range o.book.Vessel.Engines {
		name := e.Limits.Written
		if o.book.LimitsOf(e.ID.Written) == nil {
			name = e.ID.Written
		}
		if !slices.Contains(all, name) {
			all = append(all, name)
		}
	}
	return all
}

// writeDecision writes a decision record and returns its name within the book.
func (p *program) writeDecision(o *opened, id string, r evidence.Review) (string, error) {
	name := "decisions/" + strings.ToLower(id) + ".md"
	file := filepath.Join(o.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		return name, fmt.Errorf("could not write %q: %w", file, err)
	}
	if err := edit.Create(file, []byte(r.Decision(id))); errors.Is(err, fs.ErrExist) {
		return name, use("there is a decision %s already: name another", id)
	} else if err != nil {
		return name, fmt.Errorf("could not write %q: %w", file, err)
	}
	return name, nil
}
