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
	var fit []string
	var head, off string
	var print, received bool
	c := &cobra.Command{
		Use:   "enter WHAT",
		Short: "Begin the record of an overhaul, or add its next step",
		Long: `Writes the next record of a position (ME1-3), of a holder (H-115), of the
valve with a nozzle (N-2115) or of every valve of an engine (ME1): filled in
with what the book knows, blank where the bench must speak, the limit and the
last value beside each blank. Nothing is ever overwritten.

--step adds the next step to a record that has begun, named by its file name,
its position, its holder or its nozzle; of an engine to all of
its last round. fitted goes to the valves that go in: those of the round that
were not stored, and what --fit names. Every byte that is there stays:

` + stepList() + `
--received begins the record of a valve that came on board built and tested by
somebody else, by the serial of its holder: what its certificate says, and what
is looked at on board before it is a ready spare.

--head writes down that another cylinder head came onto a cylinder: one line of
heads.csv. What was found about the pocket goes with the head that came off.

A holder in the spares rack or from new parts begins with its assembly. One
that was condemned or scrapped is not built up again: the entry that says so
is named.`,
		Example: `  needlebook enter ME1-3 --on 2024-06-24
  needlebook enter ME1 --on 2024-06-24
  needlebook enter H-131 --received --on 2024-06-24
  needlebook enter ME1-3 --head CH-22 --off CH-07 --on 2024-06-24
  needlebook enter ME1-3 --step measured
  needlebook enter ME1 --step found
  needlebook enter ME1 --step fitted --fit 3=H-131
  needlebook enter 2024-06-24-h-115 --step left`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: p.complete(stepKinds...),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, day, err := p.openAt(on)
			if err != nil {
				return err
			}
			defer o.close()
			what := strings.Join(args, " ")
			if len(fit) > 0 && step != "fitted" {
				return use("--fit names what goes into a cylinder: with an engine and --step fitted")
			}
			if head != "" {
				return p.enterHead(o, what, head, off, day, print)
			}
			if off != "" {
				return use("--off is the head that came off: name the one that came on with --head")
			}
			if step != "" {
				return p.enterStep(o, what, step, day, fit, print)
			}
			if received {
				sheet, err := p.receivedSheet(o, what, day)
				if err != nil {
					return err
				}
				return p.enterNew(o, []*draft.Sheet{sheet}, print)
			}
			t, err := p.one(o, what, enterKinds...)
			if err != nil {
				return newHolder(err, what)
			}
			sheets, err := o.sheets(t, day)
			if err != nil {
				return err
			}
			if err := o.mayBegin(sheets, p.err); err != nil {
				return err
			}
			if err := p.notReady(o, inRack(sheets)...); err != nil {
				return err
			}
			o.leftOut(t, day, p.err)
			return p.enterNew(o, sheets, print)
		},
	}
	c.Flags().StringVar(&step, "step", "",
		"add this step to a record that has begun: found, received, measured, left, stored, landed, fitted or running_after")
	c.Flags().StringVar(&on, "on", "",
		"day of the work, as 2024-06-24 (default: the last counter reading; with --step: left blank)")
	c.Flags().StringArrayVar(&fit, "fit", nil, "what goes into a cylinder, as 3=H-131; may be given again")
	c.Flags().StringVar(&head, "head", "", "the number of the cylinder head that came onto the cylinder")
	c.Flags().StringVar(&off, "off", "", "with --head: the number of the head that came off")
	c.Flags().BoolVar(&received, "received", false, "the valve of this holder came on board built and tested")
	c.Flags().BoolVar(&print, "print", false, "print instead of writing")
	_ = c.RegisterFlagCompletionFunc("step", cobra.FixedCompletions(stepNames(), cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("on", p.completeFrom(days))
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
		fmt.Fprintf(&b, "  %-14s %s\n%17s%s\n", s.Name, s.Doc, "", strings.Join(s.Keys, ", "))
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
	o := &opened{ctx: p.ctx, dir: dir, files: budget.In(root), close: func() { root.Close() }}
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
		o.on = day
	}
	if day == 0 {
		o.close()
		return nil, 0, use("the book has no counter reading yet to tell the day: name it with --on 2024-06-24")
	}
	return o, day, nil
}

// enterKinds are the kinds of things that a record is begun of; stepKinds are those whose begun records go on.
var (
	enterKinds = []logbook.ThingKind{logbook.ThingPosition, logbook.ThingEngine, logbook.ThingHolder, logbook.ThingNozzle}
	stepKinds  = append(slices.Clone(enterKinds), logbook.ThingRecord, logbook.ThingRound)
)

// sheets are the next records of a position, of a holder, of the holder that a nozzle is in, or of every valve of an
// engine.
func (o *opened) sheets(t logbook.Thing, day logbook.Day) ([]*draft.Sheet, error) {
	var s *draft.Sheet
	var err error
	switch t.Kind {
	case logbook.ThingPosition:
		s, err = draft.At(o.book, t.Position, day)
	case logbook.ThingHolder:
		s, err = draft.OfHolder(o.book, t.Name, day)
	case logbook.ThingNozzle:
		holder := o.holderOf(t.Name, day)
		if holder == "" {
			return nil, use("nozzle %s is in no holder by the book: name the holder it is built into", t.Name)
		}
		s, err = draft.OfHolder(o.book, holder, day)
	default:
		return o.round(t.Name, day)
	}
	if err != nil {
		return nil, use("%v", err)
	}
	return []*draft.Sheet{s}, nil
}

// round is the next record of every valve of an engine.
func (o *opened) round(engine string, day logbook.Day) (all []*draft.Sheet, err error) {
	for _, pos := range o.book.Positions() {
		if s, err := draft.At(o.book, pos, day); err == nil && pos.Engine == engine {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return nil, use("the book knows no valve in %s on %s: state in book.md under opening what was fitted", engine, day)
	}
	return all, nil
}

// holderOf is the holder that a nozzle was last built into, by a day.
func (o *opened) holderOf(nozzle string, day logbook.Day) string {
	periods := o.book.Lives().OfNozzle(nozzle)
	for _, s := range slices.Backward(periods) {
		if s.From <= day {
			return s.Holder
		}
	}
	for _, rec := range slices.Backward(o.book.Overhauls) {
		if rec.Nozzle.Left.Written == nozzle {
			return rec.Holder.Written
		}
	}
	return ""
}

// newHolder adds to what is said of an unknown name how a new holder comes into the book.
func newHolder(err error, what string) error {
	var said useError
	if errors.As(err, &said) && !strings.ContainsAny(what, " /") {
		return use("%s; a new holder gets its file parts/SERIAL.md first", said.text)
	}
	return err
}

// receivedSheet is the next record of a valve that came on board: of a holder that the book knows, or of a new one. One
// that sits in a cylinder by the book cannot have come on board.
func (p *program) receivedSheet(o *opened, what string, day logbook.Day) (*draft.Sheet, error) {
	holder := what
	if t, err := p.one(o, what, enterKinds...); err == nil {
		if t.Kind != logbook.ThingHolder {
			return nil, use("%s is no holder: name the serial of the holder that came on board", what)
		}
		holder = t.Name
	}
	for _, s := range o.book.Lives().OfHolder(holder) {
		if s.To == 0 || s.To > day {
			return nil, use("%s sits in %s by the book: read the stamp, or write its removal first", holder, s.Position)
		}
	}
	s := draft.OfReceived(o.book, holder, day)
	return s, o.mayBegin([]*draft.Sheet{s}, p.err)
}

// leftOut says which positions of a named engine have no sheet, and why.
func (o *opened) leftOut(t logbook.Thing, day logbook.Day, w io.Writer) {
	for _, pos := range o.book.Positions() {
		if t.Kind != logbook.ThingEngine || pos.Engine != t.Name {
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
			if _, err := p.data.Write(s.Record()); err != nil {
				return err
			}
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

func (p *program) enterStep(o *opened, what, name string, day logbook.Day, fit []string, print bool) error {
	step, ok := draft.StepNamed(name)
	if !ok {
		return use("--step %s: the steps are %s", name, strings.Join(stepNames(), ", "))
	}
	t, err := p.one(o, what, stepKinds...)
	if err != nil {
		return err
	}
	switch ofEngine := t.Kind == logbook.ThingEngine; {
	case ofEngine && step.Name == "fitted":
		return p.enterFitted(o, t.Name, day, fit, print)
	case len(fit) > 0:
		return use("--fit goes with an engine, as enter ME1 --step fitted --fit 3=H-131; %s is none", t.Name)
	}
	records := o.goOn(t, step)
	if len(records) == 0 && t.Kind == logbook.ThingHolder && step.Name == "fitted" {
		if s := draft.OfSpare(o.book, t.Name, day); s != nil {
			s.On(step, o.on)
			return p.enterNew(o, []*draft.Sheet{s}, print)
		}
	}
	if len(records) == 0 {
		return use("no record of %s has begun; needlebook enter %s begins one", t.Name, t.Name)
	}
	if step.Name == "fitted" {
		var holders []string
		for _, rec := range records {
			holders = append(holders, rec.Holder.Written)
		}
		if err := p.notReady(o, holders...); err != nil {
			return err
		}
	}
	into := map[*logbook.Overhaul]logbook.Position{}
	if t.Kind == logbook.ThingPosition {
		for _, rec := range records {
			into[rec] = t.Position
		}
	}
	return p.addSteps(o, records, step, into, print)
}

// addSteps adds the blocks of a step to records; into says in which cylinder one goes that somebody named for it.
func (p *program) addSteps(o *opened, records []*logbook.Overhaul, step draft.Step,
	into map[*logbook.Overhaul]logbook.Position, print bool) error {
	full := 0 // records that hold the step already
	for _, rec := range records {
		added, err := p.addStep(o, rec, step, into[rec], print)
		if err != nil {
			return err
		}
		if !added {
			full++
		}
	}
	if full == len(records) {
		return use("%s holds every block of the step %s already", records[0].Path, step.Name)
	}
	return nil
}

// addStep adds the blocks of a step to one record; added is false where it holds them all.
func (p *program) addStep(o *opened, rec *logbook.Overhaul, step draft.Step, into logbook.Position, print bool) (
	added bool, err error) {
	if err := o.mayGoOn(rec, step); err != nil {
		return false, err
	}
	full := filepath.Join(o.dir, filepath.FromSlash(rec.Path))
	src, err := budget.Read(full, budget.MaxFile)
	if err != nil {
		return false, err
	}
	keys, err := edit.Keys(src)
	if err != nil {
		return false, use("%s: %v", rec.Path, err)
	}
	sheet, text := draft.Of(o.book, rec), src
	sheet.Into(into)
	sheet.On(step, o.on)
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

// goOn are the records that a step is added to: the newest of a position, a holder or a nozzle; of an engine those of
// the round that began last.
func (o *opened) goOn(t logbook.Thing, step draft.Step) (all []*logbook.Overhaul) {
	switch {
	case t.Kind == logbook.ThingEngine:
		for _, r := range slices.Backward(o.book.Rounds()) {
			if r.Engine != t.Name {
				continue
			}
			if step.Name != "running_after" {
				return r.Overhauls
			}
			for _, out := range r.Overhauls {
				if rec := o.runsIn(positionOf(out)); rec != nil && !slices.Contains(all, rec) {
					all = append(all, rec)
				}
			}
			return all
		}
		return nil
	case t.Kind == logbook.ThingPosition && step.Name == "running_after":
		if rec := o.runsIn(t.Position); rec != nil {
			return []*logbook.Overhaul{rec}
		}
		return nil
	}
	return o.newest(t)
}

// newest is the last record of a thing that has several over the years; all of a round, and below a folder.
func (o *opened) newest(t logbook.Thing) []*logbook.Overhaul {
	all := o.book.RecordsOf(t)
	switch t.Kind {
	case logbook.ThingPosition, logbook.ThingHolder, logbook.ThingNozzle:
		return all[max(len(all)-1, 0):]
	}
	return all
}
