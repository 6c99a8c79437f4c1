package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/checks/planning"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/card"
	"needlebook/logbook/draft"
	"needlebook/logbook/edit"
	"needlebook/logbook/rounds"
	"needlebook/logbook/tablet"
)

// roundAsked is what a round is asked for.
type roundAsked struct {
	on, format, cylinders, out string
	fit                        []string
	semicolons, separated      bool // separated: somebody said how
	take, sheet, page          string
	yes                        bool
}

func (p *program) round() *cobra.Command {
	var a roundAsked
	c := &cobra.Command{
		Use:   "round [ENGINE]",
		Short: "Plan a round of an engine, and take its table into the records",
		Long: `Proposes which ready spare goes into which cylinder: by type, marking, hours
left, deferrals and trials, the age of its test, and where it sat before. Beside
it are what comes out, the parts and seals needed against what is on board, the
instruments in date, and how long the last round took.

--sheet writes the sheet of the round for the bench: the cylinders are its
columns, boxes for a pencil with the limits and the last values beside them.

--page writes a page for a tablet that works without a network: the same fields
in the order of the work, a stopwatch, a clock face for spray holes, photos. It
judges nothing; the file that it saves is read by --take, photos with it.

-o writes the round as a table, one row a cylinder, for any spreadsheet or
editor: what the book knows is filled in, the limits are below the names. The
columns are the keys of a record with the unit of a bare number.

A spare that is tested again before it goes in, as it lies, has a row of its own
below, with the word spare for its cylinder.

--take reads such a table back and fills in the records of all its valves, as
far as the work has come: as found, measured, as left, stored, fitted with the
position, after. It shows what it would write, with every doubt, and asks.

What is doubtful stays blank with its reason; what a record has already stays,
byte for byte. The same table can be taken again: only what is missing is
written then.

Behind a value, a remark may follow a blank and a #: it goes into the record.

A comma may be the decimal sign, semicolons may be between the cells, and a file
may be saved as Windows does. A book whose own tables have
semicolons gets the table so, with decimal commas.`,
		Example: `  needlebook round ME1 --on 2024-06-24
  needlebook round ME1 --on 2024-06-24 --fit 3=H-131 -o round.csv
  needlebook round ME1 --on 2024-06-24 --sheet sheet.html
  needlebook round --take round.csv`,
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: p.complete(logbook.ThingEngine),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case a.take != "" && len(args) > 0:
				return use("--take reads engine and cylinders from the table: name no engine beside it")
			case a.take != "":
				return p.takeRound(a.take, a.yes)
			case len(args) == 0:
				return use("name the engine whose round is planned, or the table with --take FILE")
			}
			a.separated = cmd.Flags().Changed("semicolons")
			return p.planRound(args[0], &a)
		},
	}
	c.Flags().StringVar(&a.on, "on", "", "day of the round, as 2024-06-24 (default: the last counter reading)")
	c.Flags().StringVar(&a.cylinders, "cylinders", "", "only these cylinders, with commas between")
	c.Flags().StringArrayVar(&a.fit, "fit", nil, "what goes into a cylinder, as 3=H-131; may be given again")
	c.Flags().StringVar(&a.format, "format", "text", "text or json")
	c.Flags().StringVarP(&a.out, "output", "o", "", "table to write, a .csv file")
	c.Flags().BoolVar(&a.semicolons, "semicolons", false,
		"semicolons between the cells and decimal commas (default: as the book's tables)")
	c.Flags().StringVar(&a.sheet, "sheet", "", "round sheet to write, an HTML file that prints on one landscape A4 sheet")
	c.Flags().StringVar(&a.page, "page", "", "page for a tablet to write, an HTML file that works without a network")
	c.Flags().StringVar(&a.take, "take", "", "table to take into the records")
	c.Flags().BoolVarP(&a.yes, "yes", "y", false, "do not ask")
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
	return c
}

func (p *program) planRound(engine string, a *roundAsked) error {
	if a.format != "text" && a.format != "json" {
		return use("--format %s: the formats are text and json", a.format)
	}
	o, err := p.openBook("", "", provenBy())
	if err != nil {
		return err
	}
	defer o.close()
	plan, err := p.ahead(o, engine, a)
	if err != nil {
		return err
	}
	if err := p.writeRound(o, plan, a); err != nil {
		return err
	}
	paper := plan.Paper()
	if a.format == "json" {
		return paper.WriteJSON(p.data, o.book.Vessel.Name.Written, plan.Day.String())
	}
	return paper.WriteText(p.out, p.out.width)
}

// ahead is the plan that is asked for.
func (p *program) ahead(o *opened, engine string, a *roundAsked) (*planning.Ahead, error) {
	t, err := p.one(o, engine, logbook.ThingEngine)
	if err != nil {
		return nil, err
	}
	day, err := dayOf("on", a.on)
	if err != nil {
		return nil, err
	}
	if day == 0 {
		day = o.report.Today
	}
	if day == 0 {
		return nil, use("the book has no counter reading yet to tell the day: name it with --on 2024-06-24")
	}
	var cylinders []string
	for c := range strings.SplitSeq(a.cylinders, ",") {
		if c = strings.TrimSpace(c); c == "" {
			continue
		}
		if !o.hasCylinder(t.Name, c) {
			return nil, use("--cylinders %s: %s has no cylinder %s", a.cylinders, t.Name, c)
		}
		cylinders = append(cylinders, c)
	}
	fit, err := p.fitting(o, t.Name, a.fit)
	if err != nil {
		return nil, err
	}
	return o.plan().Ahead(t.Name, day, cylinders, fit), nil
}

// seats are the sheets of a plan, with what goes in.
func (o *opened) seats(plan *planning.Ahead) (all []rounds.Seat) {
	for _, s := range plan.Seats {
		sheet, err := draft.At(o.book, s.Position, plan.Day)
		if err != nil { // nothing is fitted there by the book
			sheet = draft.Read(o.book, s.Position, "", plan.Day)
			delete(sheet.Known, "holder")
		}
		seat := rounds.Seat{Sheet: sheet, InHolder: s.In.Holder, InNozzle: s.In.Nozzle}
		if s.In.Again {
			if again, err := draft.OfHolder(o.book, s.In.Holder, plan.Day); err == nil {
				seat.Again = again
			}
		}
		all = append(all, seat)
		if s.In.Holder == "" && s.Holder != "" { // its own valve goes back
			all[len(all)-1].InHolder = s.Holder
		}
	}
	return all
}

// writeRound writes what is asked for of a plan: its table, its sheet.
func (p *program) writeRound(o *opened, plan *planning.Ahead, a *roundAsked) error {
	seats := o.seats(plan)
	if len(seats) == 0 {
		return use("%s has no cylinders in the book", plan.Engine)
	}
	if a.out != "" {
		if err := p.writeTable(o, seats, a); err != nil {
			return err
		}
	}
	if a.page != "" {
		if err := p.writePage(o, plan, seats, a); err != nil {
			return err
		}
	}
	if a.sheet == "" {
		return nil
	}
	sheet := card.Round{Vessel: o.book.Vessel.Name.Written, Engine: plan.Engine, Day: plan.Day.String(),
		Language: o.book.Languages()[0]}
	for _, s := range seats {
		sheet.Seats = append(sheet.Seats, card.RoundSeat{Sheet: s.Sheet, In: s.InHolder, Nozzle: s.InNozzle, Again: s.Again})
	}
	var page bytes.Buffer
	if err := card.WriteRound(&page, sheet); err != nil {
		return err
	}
	return p.newFile(a.sheet, logbook.Visible(page.Bytes()), "open it in a browser and print both sides on A4 at 100 %")
}

// writePage writes the page of a round for a tablet.
func (p *program) writePage(o *opened, plan *planning.Ahead, seats []rounds.Seat, a *roundAsked) error {
	var page bytes.Buffer
	if err := tablet.Write(&page, tablet.Page{Vessel: o.book.Vessel.Name.Written, Engine: plan.Engine,
		Day: plan.Day.String(), Seats: seats, Language: o.book.Languages()[0]}); err != nil {
		return err
	}
	return p.newFile(a.page, logbook.Visible(page.Bytes()), "open it in the tablet's browser; its file comes back with "+
		"needlebook round --take")
}

// writesSemicolons says that a table of the book has semicolons between its cells, as a spreadsheet with a decimal
// comma saves it.
func (o *opened) writesSemicolons() bool {
	for _, name := range o.book.Files {
		if path.Ext(name) != ".csv" {
			continue
		}
		src, err := budget.ReadFile(o.files, name, budget.MaxFile)
		if err != nil {
			continue // which check tells
		}
		if mark, _ := logbook.Separator(src); mark == ';' {
			return true
		}
	}
	return false
}

func (p *program) writeTable(o *opened, seats []rounds.Seat, a *roundAsked) error {
	mark := ','
	if a.semicolons || !a.separated && o.writesSemicolons() {
		mark = ';'
	}
	var text bytes.Buffer
	table := rounds.New(seats)
	if err := table.WriteCSV(&text, seats[0].Sheet, mark); err != nil {
		return err
	}
	return p.newFile(a.out, text.Bytes(), logbook.Counted(len(table.Rows), "row")+
		"; fill it in, then needlebook round --take "+a.out)
}

// newFile writes a file for a person, never over another, and says what it is.
func (p *program) newFile(name string, text []byte, what string) error {
	if err := edit.Create(name, text); errors.Is(err, fs.ErrExist) {
		return use("%s is there already: name another file", name)
	} else if err != nil {
		return fmt.Errorf("could not write %q: %w", name, err)
	}
	fmt.Fprintf(p.err, "%s: %s\n", name, what)
	return nil
}

// takeRound fills the records of a round in from its table.
func (p *program) takeRound(file string, yes bool) error {
	src, err := budget.Read(file, rounds.Largest)
	if errors.Is(err, fs.ErrNotExist) {
		return use("there is no file %q", file)
	}
	if err != nil {
		return err
	}
	table, err := rounds.Read(src)
	if err != nil {
		return use("%s: %v", file, err)
	}
	o, err := p.openBook("", "", provenBy())
	if err != nil {
		return err
	}
	defer o.close()
	r, err := rounds.Take(o.book, table, func(name string) ([]byte, error) {
		return budget.Read(filepath.Join(o.dir, filepath.FromSlash(name)), budget.MaxFile)
	}, o.countersignedBy)
	if err != nil {
		return err
	}
	p.showTaken(o, file, &r)
	if err := p.showFindings(o, r.Records); err != nil {
		return err
	}
	if len(r.Doubts) > 0 {
		p.status = exitFindings
	}
	if len(r.Records)+len(table.Photos) == 0 {
		if len(r.Doubts) > 0 {
			fmt.Fprintf(p.out, "nothing to write: %s not in the records as the table has it\n",
				logbook.Counted(len(r.Doubts), "cell is", "cells are"))
			return nil
		}
		why := "the records have all that the table says"
		if len(r.Out) == 0 {
			why = "the table says nothing that was done"
		}
		fmt.Fprintf(p.out, "nothing to write: %s\n", why)
		return nil
	}
	what := logbook.Counted(len(r.Records), "record")
	if len(table.Photos) > 0 {
		what += " and " + logbook.Counted(len(table.Photos), "photo")
	}
	if !p.agreed("write "+what+"?", yes) {
		return nil
	}
	if err := p.writeTaken(o, r.Records); err != nil {
		return err
	}
	if err := p.takenPhotos(o, table.Photos, r.Out); err != nil {
		return err
	}
	fmt.Fprintln(p.out, "next: needlebook check, then needlebook sign with the name of the round")
	return nil
}

// takenPhotos takes the photos of a table into the records of the valves that came out. Those that are there already
// are not taken twice.
func (p *program) takenPhotos(o *opened, photos []rounds.Photo, out map[logbook.Position]string) error {
	if len(photos) == 0 {
		return nil
	}
	book, names := o.album(), map[string][]string{}
	var order []string
	for _, x := range photos {
		record := ""
		for at, path := range out {
			if at.Cylinder == x.Cylinder {
				record = path
			}
		}
		if record == "" {
			fmt.Fprintf(p.err, "cylinder %s: its photo %s is left out, no record of it has begun\n", x.Cylinder, x.Name)
			p.status = exitFindings
			continue
		}
		name, err := p.keepPhoto(o, strings.TrimSuffix(path.Base(record), ".md"), x.Name, x.Data, book)
		if _, unfit := errors.AsType[useError](err); unfit { // and the others are no worse for it
			fmt.Fprintf(p.err, "cylinder %s: left out: %v\n", x.Cylinder, err)
			p.status = exitFindings
			continue
		}
		if err != nil {
			return err
		}
		if names[record] == nil {
			order = append(order, record)
		}
		names[record] = append(names[record], name)
	}
	for _, record := range order {
		if err := p.enterPhotos(o, record, names[record]); err != nil {
			return err
		}
	}
	return nil
}

// showTaken says what would be written, and each doubt.
func (p *program) showTaken(o *opened, file string, r *rounds.Result) {
	for _, rec := range r.Records {
		how := "goes on"
		if rec.Was == nil {
			how = "begins"
		}
		fmt.Fprintf(p.out, "%s: %s for %s, %s\n", rec.Path, how, rec.Holder, logbook.Counted(len(rec.Wrote), "value"))
		if who := o.countersignedBy(rec.Path); who != "" {
			fmt.Fprintf(p.out, "  countersigned by %s: what is added has to be seen again\n", who)
		}
		for _, line := range bySteps(rec.Wrote) {
			fmt.Fprintf(p.out, "  %s\n", line)
		}
	}
	for _, c := range r.Idle {
		fmt.Fprintf(p.out, "%s: nothing was done yet\n", c)
	}
	for _, n := range r.Notes {
		fmt.Fprintf(p.out, "%s\n", n)
	}
	for _, d := range r.Doubts {
		fmt.Fprintf(p.out, "%s:%d: %s: not written: %s\n", file, d.Line, d.Position, d)
	}
}

// showFindings says what a check would say of the figures that are to be written: the book is judged as it would be
// then.
func (p *program) showFindings(o *opened, records []rounds.Record) error {
	if len(records) == 0 {
		return nil
	}
	reader := logbook.NewReader(o.files)
	reader.Latest, _ = dayOf("today", p.today) // which has been read once, and was a day
	if _, err := reader.Read(); err != nil {
		return err
	}
	texts, lines := map[string][]byte{}, map[logbook.Place]bool{}
	for _, r := range records {
		texts[r.Path] = r.Is
		for _, v := range logbook.Values(r.Is) {
			key, _, _ := strings.Cut(v.Path, "[")
			if slices.ContainsFunc(r.Wrote, func(w rounds.Value) bool { return w.Key == key }) {
				lines[logbook.Place{Path: r.Path, Line: v.Line}] = true
			}
		}
	}
	b, err := reader.With(texts)
	if err != nil {
		return err
	}
	report := checks.Run(b, checks.Options{Context: o.ctx})
	n := 0
	for _, f := range report.Open() {
		if f.Grade < checks.Action || !lines[logbook.Place{Path: f.Place.Path, Line: f.Place.Line}] {
			continue
		}
		n++
		fmt.Fprintf(p.out, "%s: %s: %s\n", f.Place, f.Grade, f.Message)
	}
	if n > 0 {
		fmt.Fprintf(p.out, "%s about the figures that are to be written\n", logbook.Counted(n, "finding"))
	}
	return report.Stopped
}

// bySteps puts values into a line for each group of keys.
func bySteps(values []rounds.Value) (lines []string) {
	last := ""
	for _, v := range values {
		top, key, nested := strings.Cut(v.Key, ".")
		if !nested {
			key = top
		}
		text := plainKey.Replace(key) + " " + v.Text
		if top == last && nested {
			lines[len(lines)-1] += ", " + text
			continue
		}
		if last = top; nested {
			text = plainKey.Replace(top) + ": " + text
		}
		lines = append(lines, text)
	}
	return lines
}

// plainKey makes words of a key.
var plainKey = strings.NewReplacer("_", " ", ".", " ")

// countersignedBy names who has countersigned a record; empty where nobody has.
func (o *opened) countersignedBy(path string) string {
	r := o.trail.Records[path]
	if r == nil {
		return ""
	}
	var who []string
	for _, c := range r.Countersignatures {
		if !slices.Contains(who, c.Person) {
			who = append(who, c.Person)
		}
	}
	return strings.Join(who, " and ")
}

// writeTaken writes the records one after another, each whole or not at all: what a power cut leaves out, the same
// table brings again.
func (p *program) writeTaken(o *opened, records []rounds.Record) error {
	for _, r := range records {
		full := filepath.Join(o.dir, filepath.FromSlash(r.Path))
		err := edit.Create(full, r.Is)
		if r.Was != nil {
			err = edit.Replace(full, r.Was, r.Is)
		}
		switch {
		case errors.Is(err, edit.ErrChanged), errors.Is(err, fs.ErrExist):
			return fmt.Errorf("%s was written by somebody else meanwhile: take the table again", r.Path)
		case err != nil:
			return fmt.Errorf("could not write %q: %w", r.Path, err)
		}
		fmt.Fprintf(p.out, "%s: written\n", r.Path)
	}
	return nil
}
