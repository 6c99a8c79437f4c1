package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/card"
	"needlebook/logbook/edit"
)

func (p *program) report() *cobra.Command {
	var a asking
	var out, job string
	c := &cobra.Command{
		Use:   "report ROUND",
		Short: "Report a round: one A4 page, or twenty lines to paste",
		Long: `Reports one round to whoever was not there: hours, serials out and in, as
found and as left against limits, parts used, deviations, calibration dates,
signatures. The verdicts and findings are those of check and of the pages.

Without -o it prints at most twenty lines of plain text, the job number first,
for the ship's maintenance system, a mail to class or the owner's report. With
-o it writes an HTML page that prints on one A4 sheet.`,
		Example: `  needlebook report "ME1 2024-06-11"
  needlebook report "ME1 2024-06-11" --job 24-0611-07
  needlebook report "ME1 2024-06-11" -o me1.html`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(reportKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, err := p.openBook(a.at, a.on, a.proof)
			if err != nil {
				return err
			}
			defer o.close()
			r, err := p.roundNamed(o, strings.Join(args, " "))
			if err != nil {
				return err
			}
			report := o.plan().Round(r)
			if job != "" {
				report.Job = "job " + job
			}
			return p.writeReport(report, out)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "HTML file to write (default: plain text in the terminal)")
	c.Flags().StringVar(&job, "job", "",
		"number of the job in the ship's maintenance system (default: as the records have it)")
	c.Flags().StringVar(&a.on, "on", "", "as it was on this day (default: the last counter reading)")
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	c.Flags().StringVar(&a.at, "at", "", "read this commit instead of the folder")
	proofFlag(c, &a.proof)
	return c
}

// reportKinds are the kinds of things whose round is reported.
var reportKinds = []logbook.ThingKind{logbook.ThingRound, logbook.ThingRecord}

// roundNamed is a round by its name, or by one of its records.
func (p *program) roundNamed(o *opened, what string) (logbook.Round, error) {
	t, err := p.one(o, what, reportKinds...)
	if err != nil {
		return logbook.Round{}, err
	}
	for _, r := range o.report.Rounds {
		if t.Kind == logbook.ThingRound && r.Name == t.Name {
			return r, nil
		}
		for _, rec := range r.Overhauls {
			if t.Kind == logbook.ThingRecord && rec.Stem == t.Name {
				return r, nil
			}
		}
	}
	return logbook.Round{}, use("%s belongs to no round: it was not removed from an engine", t)
}

func (p *program) writeReport(r *card.Report, out string) error {
	if out == "" {
		_, err := p.data.Write([]byte(r.Text()))
		return err
	}
	var page bytes.Buffer
	if err := card.WriteReport(&page, r); err != nil {
		return err
	}
	if err := edit.Create(out, logbook.Visible(page.Bytes())); errors.Is(err, fs.ErrExist) {
		return use("%s is there already: name another file", out)
	} else if err != nil {
		return fmt.Errorf("could not write %q: %w", out, err)
	}
	fmt.Fprintf(p.out, "%s: one A4 page; open it in a browser and print\n", out)
	return nil
}
