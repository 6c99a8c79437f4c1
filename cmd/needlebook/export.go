package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/export"
)

func (p *program) export() *cobra.Command {
	var format, out, on, at, proof string
	var columns bool
	c := &cobra.Command{
		Use:   "export TABLE",
		Short: "Write the book as a table for a spreadsheet or another program",
		Long: `Writes one table of the book: overhauls, measurements, lives, verdicts,
findings or stock. --columns says what each column means.

CSV opens right in a spreadsheet: UTF-8, a header with the unit in the name of
each column, numbers with a decimal point, and no text of the book is ever
taken for a formula (it gets an apostrophe before it). JSON Lines holds one
object a line.`,
		Example: `  needlebook export overhauls -o overhauls.csv
  needlebook export verdicts --format jsonl > verdicts.jsonl
  needlebook export lives --columns`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: cobra.FixedCompletions(tableNames, cobra.ShellCompDirectiveNoFileComp),
		RunE: func(cmd *cobra.Command, args []string) error {
			if format != "csv" && format != "jsonl" {
				return use("--format %s: the formats are csv and jsonl", format)
			}
			o, err := p.openBook(at, on, proof)
			if err != nil {
				return err
			}
			defer o.close()
			t, ok := o.tableOf(args[0])
			if !ok {
				return use("there is no table %q; the tables are: %s", args[0], strings.Join(tableNames, ", "))
			}
			var text bytes.Buffer
			switch {
			case columns:
				text.WriteString(t.Documentation())
			case format == "csv":
				err = t.CSV(&text)
			default:
				err = t.JSONLines(&text)
			}
			if err != nil {
				return err
			}
			if out == "" {
				_, err := p.data.Write(text.Bytes())
				return err
			}
			if err := edit.Create(out, logbook.Visible(text.Bytes())); errors.Is(err, fs.ErrExist) {
				return use("%s is there already: name another file", out)
			} else if err != nil {
				return fmt.Errorf("could not write %q: %w", out, err)
			}
			fmt.Fprintf(p.out, "%s: %s\n", out, logbook.Counted(len(t.Rows), "row"))
			return nil
		},
	}
	c.Flags().StringVar(&format, "format", "csv", "csv or jsonl")
	c.Flags().StringVarP(&out, "output", "o", "", "file to write (default: the terminal)")
	c.Flags().BoolVar(&columns, "columns", false, "say what each column means")
	c.Flags().StringVar(&on, "on", "", "judge from this day (default: the last counter reading)")
	c.Flags().StringVar(&at, "at", "", "read this commit instead of the folder")
	proofFlag(c, &proof)
	return c
}

var tableNames = []string{"overhauls", "measurements", "lives", "verdicts", "findings", "stock"}

func (o *opened) tableOf(name string) (export.Table, bool) {
	switch name {
	case "overhauls":
		return export.Overhauls(o.book), true
	case "measurements":
		return export.Measurements(o.book), true
	case "lives":
		return export.Lives(o.book), true
	case "stock":
		return export.Stock(o.book), true
	case "verdicts":
		return o.verdictTable(), true
	case "findings":
		return o.findingTable(), true
	}
	return export.Table{}, false
}

func (o *opened) verdictTable() export.Table {
	t := export.Table{Name: "verdicts", Doc: "one row a measurement against its limit", Columns: []export.Column{
		{Name: "record", Doc: "file name of the record"}, {Name: "key", Doc: "key judged"},
		{Name: "name", Doc: "the trade's name"}, {Name: "value", Number: true, Doc: "number judged"},
		{Name: "unit", Doc: "unit of the number"}, {Name: "written", Doc: "value in words, where it is no quantity"},
		{Name: "result", Doc: "the verdict, or why there is none"},
		{Name: "why", Doc: "why there is no verdict, or what the uncertainty rests on"},
		{Name: "limit", Doc: "limit as applied"}, {Name: "source", Doc: "source of the limit"},
		{Name: "revision", Doc: "first day of its revision"}, {Name: "margin", Number: true,
			Doc: "distance to the nearer limit, negative beyond"}, {Name: "margin_unit", Doc: "unit of the margin"},
		{Name: "instrument", Doc: "instrument it was taken with"}, {Name: "path", Doc: "file"},
		{Name: "line", Number: true, Doc: "line in the file, from 1"},
	}}
	unit := func(ok bool, name func() string) string {
		if !ok {
			return ""
		}
		return name()
	}
	for _, r := range o.book.Overhauls {
		for _, v := range o.report.Judgement.Of(r) {
			limit := v.LimitText
			if limit == "" {
				limit = v.Span.String()
			}
			t.Rows = append(t.Rows, []string{r.Stem, v.Key, v.Name, export.Number(v.Value),
				unit(v.Value.Valid(), func() string { return v.Value.Unit().Name }), v.Written,
				v.Result.String(), v.Why, limit, v.Source, dayOrNothing(v.Revision), export.Number(v.Margin),
				unit(v.Margin.Valid(), func() string { return v.Margin.Unit().Name }),
				v.Instrument, v.Place.Path, lineOrNothing(v.Place.Line)})
		}
	}
	return t
}

func (o *opened) findingTable() export.Table {
	t := export.Table{Name: "findings", Doc: "one row a finding", Columns: []export.Column{
		{Name: "path", Doc: "file"}, {Name: "line", Number: true, Doc: "line, from 1; empty for the file as a whole"},
		{Name: "column", Number: true, Doc: "column, from 1, in characters"},
		{Name: "grade", Doc: "stop, action, advice or note"}, {Name: "check", Doc: "name of the check"},
		{Name: "message", Doc: "what it says"}, {Name: "next", Doc: "what to do next"},
		{Name: "limit", Doc: "limit applied"}, {Name: "source", Doc: "source of the limit"},
		{Name: "record", Doc: "file name of the record"}, {Name: "engine", Doc: "engine concerned"},
		{Name: "cylinder", Doc: "cylinder concerned"}, {Name: "holder", Doc: "holder concerned"},
		{Name: "nozzle", Doc: "nozzle concerned"}, {Name: "instrument", Doc: "instrument concerned"},
		{Name: "state", Doc: "open, deferred, closed by work or answered"},
	}}
	for _, f := range o.report.Findings {
		limit, source := "", ""
		if f.Limit != nil {
			limit, source = f.Limit.Text, f.Limit.Source
		}
		t.Rows = append(t.Rows, []string{f.Place.Path, lineOrNothing(f.Place.Line), lineOrNothing(f.Place.Column),
			f.Grade.String(), f.Check, f.Message, f.Next, limit, source,
			f.About.Record, f.About.Position.Engine, f.About.Position.Cylinder, f.About.Holder, f.About.Nozzle,
			f.About.Instrument, f.State.String()})
	}
	return t
}

func lineOrNothing(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func dayOrNothing(d logbook.Day) string {
	if d == 0 {
		return ""
	}
	return d.String()
}
