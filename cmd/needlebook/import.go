package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
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
		Use:   "import SHEET",
		Short: "Take over a sheet of older paper records, shown first",
		Long: `Turns each row of a sheet (xlsx, CSV or tabs) into an overhaul record, and asks
about the rest. The first run proposes a map of the columns, by their names and
contents, and writes it into the book: imports/SHEET.map.csv. Correct it in any
editor or spreadsheet; its columns are

  sheet    worksheet that the line is about; empty for all
  column   column of the sheet; empty for a value of every record
  key      where it goes, as in a record: as_found.leak_down.time; or remarks,
           removed.position, - for nowhere
  form     unit of bare numbers (bar, 1/100 mm), or the order of dates (d.m.y,
           m/d/y, y-m-d) with the first year that two digits mean (d.m.y 1990)
  carry    dittos, or blanks: what stands for the value above
  written  a word of the column; value is then what a record says for it
  value    the value of every record, where no column is named

Several columns may go to one list of readings, one column to several keys.

Nothing is guessed: a cell that cannot be taken for sure is left out of its
record and asked about in imports/SHEET.questions.txt. Answer there, in any
editor, and run the same again. Only a row without holder, date or cylinder
waits as a whole.

Records are written with --write only. One that is there keeps what it has; it
gets the values that were answered since. Each says under reconstructed from
which row of which bytes it comes. Exit status 1: something is asked.`,
		Example: `  needlebook import old-sheet.xlsx
  needlebook import old-sheet.xlsx --write
  needlebook import old.csv --map map.csv`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return p.importTable(args[0], mapping, write)
		},
	}
	c.Flags().StringVar(&mapping, "map", "", "another map of the columns than that in the book")
	c.Flags().BoolVar(&write, "write", false, "write the records (default: only show what would be written)")
	return c
}

// imported is one sheet on its way into a book.
type imported struct {
	*program
	dir     string // of the book
	book    *logbook.Book
	src     intake.Source
	result  intake.Result
	mapping string // files of the book, with slashes
	asking  string
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
	text, err := readTable(name)
	if err != nil {
		return use("%v", err)
	}
	grids, notes, err := intake.Read(text)
	if err != nil {
		return use("%s: %v", name, err)
	}
	for _, n := range notes {
		fmt.Fprintf(p.err, "%s: %s\n", name, n)
	}
	base := filepath.Base(name)
	stem := path.Join(logbook.Imports, logbook.FileName(strings.TrimSuffix(base, filepath.Ext(base))))
	i := &imported{program: p, dir: dir, book: book, src: intake.Source{Name: base, Grids: grids, Bytes: text},
		mapping: stem + ".map.csv", asking: stem + ".questions.txt"}
	m, err := i.columns(mapping)
	if err != nil {
		return err
	}
	if err := i.convert(m); err != nil {
		return err
	}
	i.show()
	return i.records(write)
}

func (i *imported) at(name string) string { return filepath.Join(i.dir, filepath.FromSlash(name)) }

// columns is the map: the one that is named, the one in the book, or one that is proposed and written there.
func (i *imported) columns(named string) (intake.Map, error) {
	shown := named
	if named == "" {
		named, shown = i.at(i.mapping), i.mapping
	}
	text, err := readTable(named)
	if errors.Is(err, fs.ErrNotExist) && shown == i.mapping {
		m, err := intake.Propose(i.book, i.src)
		if err != nil {
			return nil, use("%s: %v", i.src.Name, err)
		}
		if err := edit.Create(named, m.Text()); err != nil {
			return nil, fmt.Errorf("could not write %q: %w", shown, err)
		}
		fmt.Fprintf(i.out, "%s: proposed, look it through\n", shown)
		for _, e := range m {
			fmt.Fprintln(i.out, e.Said())
		}
		return intake.ReadMap(m.Text())
	}
	if err != nil {
		return nil, use("%v", err)
	}
	m, err := intake.ReadMap(text)
	if err != nil {
		return nil, use("%s: %v", shown, err)
	}
	return m, nil
}

// convert reads the sheet by the map and the answers, and keeps the file of questions true.
func (i *imported) convert(m intake.Map) error {
	was, err := budget.Read(i.at(i.asking), budget.MaxFile)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("could not read %q: %w", i.asking, err)
	}
	there := err == nil
	answers, err := intake.ReadAnswers(was)
	if err != nil {
		return use("%s: %v", i.asking, err)
	}
	if i.result, err = intake.Convert(i.book, m, i.src, answers); err != nil {
		return use("%s: %v", i.src.Name, err)
	}
	switch is := i.result.Sheet(i.src.Name); {
	case there && string(is) != string(was):
		err = edit.Replace(i.at(i.asking), was, is)
	case !there && len(i.result.Questions) > 0:
		err = edit.Create(i.at(i.asking), is)
	}
	if err != nil {
		return fmt.Errorf("could not write %q: %w", i.asking, err)
	}
	return nil
}

// shownQuestions is how many questions the terminal shows: the file has them all.
const shownQuestions = 10

func (i *imported) show() {
	for _, text := range i.result.Passed {
		fmt.Fprintf(i.out, "passed over, %s\n", text)
	}
	if len(i.result.Unused) > 0 {
		fmt.Fprintf(i.out, "columns that are not taken over: %s\n", strings.Join(i.result.Unused, ", "))
	}
	for n, q := range i.result.Questions {
		i.status = exitFindings
		if n == shownQuestions {
			fmt.Fprintf(i.out, "and %s more\n", logbook.Counted(len(i.result.Questions)-n, "question"))
			break
		}
		fmt.Fprintln(i.out, q)
	}
}

// records shows the records, and writes those that are to be written: new ones, and what was answered since into those
// that are there.
func (i *imported) records(write bool) error {
	made, more := 0, 0
	for _, rec := range i.result.Records {
		name := i.at(rec.Path)
		was, err := budget.Read(name, budget.MaxFile)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("could not read %q: %w", rec.Path, err)
		}
		text, said := rec.Text, fmt.Sprintf("from row %s", rec.Row)
		if err == nil {
			again, err := intake.Renew(was, rec)
			if err != nil {
				return fmt.Errorf("%q: %w", rec.Path, err)
			}
			for _, what := range again.Differs {
				fmt.Fprintf(i.out, "%s: %s: left as it is\n", rec.Path, what)
			}
			if again.Moved { // the map has changed since: who wants it anew takes the record away first
				i.status = exitFindings
			}
			if len(again.Added) == 0 {
				continue
			}
			text, said = again.Text, "gets "+strings.Join(again.Added, ", ")
			more++
		} else {
			made++
		}
		fmt.Fprintf(i.out, "%s: %s\n", rec.Path, said)
		for _, how := range rec.Read {
			fmt.Fprintf(i.out, "    %s\n", how)
		}
		if !write {
			continue
		}
		if was != nil {
			err = edit.Replace(name, was, text)
		} else {
			err = edit.Create(name, text)
		}
		if err != nil {
			return fmt.Errorf("could not write %q: %w; %s written before it", rec.Path, err,
				logbook.Counted(made+more-1, "record was", "records were"))
		}
	}
	done := "nothing is written, --write writes them"
	if write {
		done = "written; needlebook check says what they lack"
	}
	if made+more == 0 {
		done = "nothing to write"
	}
	fmt.Fprintf(i.out, "%s, %s with more values; %s\n", logbook.Counted(made, "new record"),
		logbook.Counted(more, "record"), done)
	if n := len(i.result.Questions); n > 0 {
		fmt.Fprintf(i.out, "%s in %s: answer there, and run the same again\n", logbook.Counted(n, "question"), i.asking)
	}
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
