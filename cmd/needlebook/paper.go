package main

import (
	"bytes"
	"github.com/spf13/cobra"

	"needlebook/checks/paper"
	"needlebook/checks/planning"
)

// asking are the flags that every verb that answers with a paper has.
type asking struct{ format, table, on, at, proof string }

func (p *program) asks(c *cobra.Command, a *asking) {
	c.Flags().StringVar(&a.format, "format", "text", "text, json or csv")
	c.Flags().StringVar(&a.table, "table", "", "with --format csv: the table to write (default: the first)")
	c.Flags().StringVar(&a.on, "on", "", "as it was on this day (default: the last counter reading)")
	c.Flags().StringVar(&a.at, "at", "", "read this commit instead of the folder")
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	_ = c.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json", "csv"},
		cobra.ShellCompDirectiveNoFileComp))
	proofFlag(c, &a.proof)
}

// answer opens the book, makes the paper and writes it as asked.
func (p *program) answer(a *asking, make func(*opened) (paper.Paper, error)) error {
	if a.format != "text" && a.format != "json" && a.format != "csv" {
		return use("--format %s: the formats are text, json and csv", a.format)
	}
	if a.table != "" && a.format != "csv" {
		return use("--table goes with --format csv: the other formats hold all tables")
	}
	o, err := p.openBook(a.at, a.on, a.proof)
	if err != nil {
		return err
	}
	defer o.close()
	made, err := make(o)
	if err != nil {
		return err
	}
	switch a.format {
	case "json":
		return made.WriteJSON(p.data, o.book.Vessel.Name.Written, o.report.Today.String())
	case "csv":
		if a.table != "" && made.Table(a.table) == nil {
			return use("%v", made.WriteCSV(p.data, a.table))
		}
		var text bytes.Buffer
		if err := made.WriteCSV(&text, a.table); err != nil {
			return err
		}
		_, err := p.data.Write(text.Bytes())
		return err
	}
	return made.WriteText(p.out, p.out.width)
}

func (o *opened) plan() *planning.Plan { return planning.New(o.book, o.report, o.trail) }
