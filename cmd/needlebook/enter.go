package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/draft"
	"needlebook/logbook/edit"
)

func (p *program) enter() *cobra.Command {
	var step, on string
	var print bool
	c := &cobra.Command{
		Use:   "enter WHAT",
		Short: "Begin the record of an overhaul, or add its next step",
		Long: `Writes the next record of a position (ME1-3), of a holder (H-115) or of every
valve of an engine (ME1): filled in with what the book knows, blank where the
bench must speak, the limit and the last value beside each blank. Nothing is
ever overwritten.

--step adds the blocks of the next step to a record that has begun, named by its
file name, its position or its holder; of an engine to all of its last round.
Every byte that stands there stays:

` + stepList() + `
A holder in the spares rack or from new parts begins with its assembly. One that was
condemned or scrapped is not built up again: the entry that says so is named.`,
		Example: `  needlebook enter ME1-3 --on 2024-06-24
  needlebook enter ME1 --on 2024-06-24
  needlebook enter ME1-3 --step measured
  needlebook enter ME1 --step found
  needlebook enter 2024-06-24-h-115 --step left`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: p.complete(positions, holders, engines, openRecords),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, day, err := p.openAt(on)
			if err != nil {
				return err
			}
			defer o.close()
			if step != "" {
				return p.enterStep(o, args[0], step, print)
			}
			sheets, err := o.sheets(args[0], day)
			if err != nil {
				return err
			}
			if err := o.mayBegin(sheets, p.err); err != nil {
				return err
			}
			o.leftOut(args[0], day, p.err)
			return p.enterNew(o, sheets, print)
		},
	}
	c.Flags().StringVar(&step, "step", "",
		"add this step to a record that has begun: found, measured, left, stored, fitted or after")
	c.Flags().StringVar(&on, "on", "", "day of the removal, as 2024-06-24 (default: the last counter reading)")
	c.Flags().BoolVar(&print, "print", false, "print instead of writing")
	_ = c.RegisterFlagCompletionFunc("step", cobra.FixedCompletions(stepNames(), cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("on", p.complete(days))
	return c
}

func stepNames() []string {
	var names []string
	for _, s := range draft.Steps {
		names = append(names, s.Name)
	}
	return names
}

func stepList() string {
	var b strings.Builder
	for _, s := range draft.Steps {
		fmt.Fprintf(&b, "  %-9s %s: %s\n", s.Name, s.Doc, strings.Join(s.Keys, ", "))
	}
	return b.String()
}

// openAt reads the book without running the checks, and the day the work was done: the one named, else the last of the
// book.
func (p *program) openAt(on string) (*opened, logbook.Day, error) {
	dir, err := p.findBook()
	if err != nil {
		return nil, 0, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, 0, err
	}
	o := &opened{ctx: p.ctx, dir: dir, files: budget.Plain(root.FS()), close: func() { root.Close() }}
	latest, err := dayOf("today", p.today)
	if err == nil {
		o.book, err = logbook.ReadUntil(p.ctx, o.files, latest)
	}
	if err != nil {
		o.close()
		return nil, 0, err
	}
	o.book, _, _ = judging.Trusted(o.book)
	day := o.book.Today()
	if on != "" {
		if day, err = dayOf("on", on); err != nil {
			o.close()
			return nil, 0, err
		}
	}
	if day == 0 {
		o.close()
		return nil, 0, use("the book has no counter reading yet to tell the day: name it with --on 2024-06-24")
	}
	return o, day, nil
}

// sheets are the next records of what is named: a position, a holder, or every valve of an engine. A name as the book
// spells it comes before those that differ from it in their dashes alone: 1-12 is not the holder 11-2, nor 112.
func (o *opened) sheets(what string, day logbook.Day) ([]*draft.Sheet, error) {
	for _, same := range []func(a, b string) bool{strings.EqualFold, sameName} {
		if found, err := o.sheetsNamed(what, day, same); found != nil || err != nil {
			return found, err
		}
	}
	return nil, use("the book knows no position, engine or holder %q; a new holder gets its file "+
		"parts/<serial>.md first", what)
}

// sheetsNamed are those of what has the same name; nil where nothing has.
func (o *opened) sheetsNamed(what string, day logbook.Day, same func(a, b string) bool) ([]*draft.Sheet, error) {
	b := o.book
	for _, pos := range b.Positions() {
		if same(what, pos.String()) {
			s, err := draft.At(b, pos, day)
			if err != nil {
				return nil, use("%v", err)
			}
			return []*draft.Sheet{s}, nil
		}
	}
	var round []*draft.Sheet
	for _, e := range b.Vessel.Engines {
		if !same(what, e.ID.Written) {
			continue
		}
		for _, pos := range b.Positions() {
			if s, err := draft.At(b, pos, day); err == nil && pos.Engine == e.ID.Written {
				round = append(round, s)
			}
		}
		if len(round) == 0 {
			return nil, use("the book knows no valve in %s on %s: state in book.md under opening what sat there",
				e.ID.Written, day)
		}
		return round, nil
	}
	for _, h := range b.Lives().Holders() {
		if same(what, h) {
			s, err := draft.OfHolder(b, h, day)
			if err != nil {
				return nil, use("%v", err)
			}
			return []*draft.Sheet{s}, nil
		}
	}
	for _, part := range b.Parts { // a holder that has not been used yet
		if part.Kind.Is("holder") && same(what, part.Number()) {
			s, err := draft.OfHolder(b, part.Number(), day)
			return []*draft.Sheet{s}, err
		}
	}
	return nil, nil
}

// leftOut says which positions of a named engine have no sheet, and why.
func (o *opened) leftOut(engine string, day logbook.Day, w io.Writer) {
	for _, pos := range o.book.Positions() {
		if !sameName(engine, pos.Engine) {
			continue
		}
		if _, err := draft.At(o.book, pos, day); err != nil {
			fmt.Fprintf(w, "%s is left out: %v\n", pos, err)
		}
	}
}

func (p *program) enterNew(o *opened, sheets []*draft.Sheet, print bool) error {
	for _, s := range sheets {
		if print {
			fmt.Fprintf(p.out, "%s", s.Record())
			continue
		}
		if old := o.book.Overhaul(strings.TrimSuffix(filepath.Base(s.Path), ".md")); old != nil {
			fmt.Fprintf(p.out, "%s: there already, not touched\n", old.Path)
			continue
		}
		err := edit.Create(filepath.Join(o.dir, filepath.FromSlash(s.Path)), s.Record())
		switch {
		case errors.Is(err, fs.ErrExist):
			fmt.Fprintf(p.out, "%s: there already, not touched\n", s.Path)
		case err != nil:
			return fmt.Errorf("could not write %q: %w", s.Path, err)
		default:
			fmt.Fprintf(p.out, "%s: begun for %s on %s; fill in the blanks, then needlebook check %s\n", s.Path, s.Holder, s.Day,
				s.Path)
		}
	}
	return nil
}

func (p *program) enterStep(o *opened, what, name string, print bool) error {
	step, ok := draft.StepNamed(name)
	if !ok {
		return use("--step %s: the steps are %s", name, strings.Join(stepNames(), ", "))
	}
	records := o.open(what, step)
	if len(records) == 0 {
		return use("no record of %q has begun; needlebook enter %s begins one", what, what)
	}
	full := 0 // records that hold the step already
	for _, rec := range records {
		added, err := p.addStep(o, rec, step, print)
		if err != nil {
			return err
		}
		if !added {
			full++
		}
	}
	if full == len(records) {
		return use("%s holds every block of the step %s already", records[0].Path, name)
	}
	return nil
}

// addStep adds the blocks of a step to one record; added is false where it holds them all.
func (p *program) addStep(o *opened, rec *logbook.Overhaul, step draft.Step, print bool) (added bool, err error) {
	if err := o.mayGoOn(rec, step); err != nil {
		return false, err
	}
	full := filepath.Join(o.dir, filepath.FromSlash(rec.Path))
	src, err := os.ReadFile(full)
	if err != nil {
		return false, err
	}
	keys, err := edit.Keys(src)
	if err != nil {
		return false, use("%s: %v", rec.Path, err)
	}
	sheet, text := draft.Of(o.book, rec), src
	var blocks []string
	for _, key := range step.Keys {
		if slices.Contains(keys, key) {
			fmt.Fprintf(p.err, "%s: %s stands there already, not touched\n", rec.Path, key)
			continue
		}
		if text, err = edit.Insert(text, key, sheet.Block(key), sheet.Order()); err != nil {
			return false, fmt.Errorf("%s: %w", rec.Path, err)
		}
		blocks = append(blocks, key)
	}
	if print {
		_, err := p.data.Write(text)
		return true, err
	}
	if len(blocks) == 0 {
		return false, nil
	}
	if err := edit.Replace(full, src, text); err != nil {
		return false, fmt.Errorf("could not write %q: %w", rec.Path, err)
	}
	fmt.Fprintf(p.out, "%s: added %s\n", rec.Path, strings.Join(blocks, ", "))
	return true, nil
}

// open is the record that is named, the newest of a position or holder, or of an engine those of the round that began
// last.
func (o *opened) open(what string, step draft.Step) []*logbook.Overhaul {
	stem := strings.TrimSuffix(filepath.Base(filepath.ToSlash(what)), ".md")
	if rec := o.book.Overhaul(stem); rec != nil {
		return []*logbook.Overhaul{rec}
	}
	for _, r := range slices.Backward(o.book.Rounds()) {
		if sameName(what, r.Engine) || sameName(what, r.Name) {
			return r.Overhauls
		}
	}
	for _, rec := range slices.Backward(o.book.Overhauls) {
		from, to := rec.Removed.Engine.Written+rec.Removed.Cylinder.Written,
			rec.Fitted.Engine.Written+rec.Fitted.Cylinder.Written
		at := from
		if step.Name == "running_after" && to != "" { // the signs are those of the cylinder it went to
			at = to
		}
		if sameName(what, at) || sameName(what, rec.Holder.Written) {
			return []*logbook.Overhaul{rec}
		}
	}
	return nil
}
