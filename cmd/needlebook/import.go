package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/edit"
	"needlebook/logbook/intake"
)

func (p *program) importing() *cobra.Command {
	var mapping string
	var write bool
	c := &cobra.Command{
		Use:   "import TABLE.csv --map MAP.csv",
		Short: "Take over a table of older paper records, shown first",
		Long: `Turns each line of a table into an overhaul record, by a map that you write: a
CSV with the columns

  column  name of a column of the table; empty for a value of every record
  key     where it goes, as in a record: as_found.leak_down.time
  form    the unit of bare numbers (bar), or the order of dates (d.m.y, m/d/y,
          y-m-d)
  value   the value that every record gets, where no column is named

Several columns may go to one list of readings. Nothing is guessed: each cell
that cannot be taken as it is is listed with what is expected, and its record
is not made.

Nothing is written unless --write is given, and nothing is overwritten. Each
record says under reconstructed from which line it comes. Exit status 1: cells
are in doubt.`,
		Example: `  needlebook import old-sheets.csv --map map.csv
  needlebook import old-sheets.csv --map map.csv --write`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if mapping == "" {
				return use("name the map of the columns: --map MAP.csv; needlebook import --help shows how it is written")
			}
			return p.importTable(args[0], mapping, write)
		},
	}
	c.Flags().StringVar(&mapping, "map", "", "CSV that says which column goes where")
	c.Flags().BoolVar(&write, "write", false, "write the records (default: only show what would be written)")
	return c
}

func (p *program) importTable(name, mapping string, write bool) error {
	dir, err := p.findBook()
	if err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	book, err := logbook.ReadUntil(p.ctx, budget.In(root), 0)
	if err != nil {
		return err
	}
	text, err := readTable(mapping)
	if err != nil {
		return use("%v", err)
	}
	m, err := intake.ReadMap(text)
	if err != nil {
		return use("%s: %v", mapping, err)
	}
	table, err := readTable(name)
	if err != nil {
		return use("%v", err)
	}
	r, err := intake.Convert(book, m, filepath.Base(name), table)
	if err != nil {
		return use("%s: %v", name, err)
	}
	for _, d := range r.Doubts {
		p.status = exitFindings
		where := fmt.Sprintf("%s line %d", name, d.Line)
		if d.Column != "" {
			where += ", column " + d.Column
		}
		fmt.Fprintf(p.out, "%s: %q: expected %s\n", where, d.Cell, d.Why)
	}
	written := 0
	for _, rec := range r.Records {
		fmt.Fprintf(p.out, "%s: from line %d\n", rec.Path, rec.Line)
		for _, how := range rec.Read {
			fmt.Fprintf(p.out, "    %s\n", how)
		}
		if !write {
			continue
		}
		err := edit.Create(filepath.Join(dir, filepath.FromSlash(rec.Path)), rec.Text)
		if errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("%q is there already, not touched; %s written before it", rec.Path,
				logbook.Counted(written, "record was", "records were"))
		} else if err != nil {
			return fmt.Errorf("could not write %q: %w; %s written before it", rec.Path, err,
				logbook.Counted(written, "record was", "records were"))
		}
		written++
	}
	if len(r.Unused) > 0 {
		fmt.Fprintf(p.out, "columns that the map does not name, not taken over: %s\n", strings.Join(r.Unused, ", "))
	}
	done := "nothing is written, --write writes them"
	if write {
		done = "written; needlebook check says what they lack"
	}
	fmt.Fprintf(p.out, "%s without doubt, %s; %s\n", logbook.Counted(len(r.Records), "record"), done,
		logbook.Counted(len(r.Doubts), "doubtful cell"))
	return nil
}

// readTable reads a file as far as a table may reach, and a byte more by which it is known to be too large.
func readTable(name string) ([]byte, error) {
	f, err := budget.Open(name, math.MaxInt64)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, intake.MaxBytes+1))
}
