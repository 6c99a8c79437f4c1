package main

import (
	"fmt"
	"io"
	"slices"

	"needlebook/logbook"
	"needlebook/logbook/draft"
)

// outOfUse says where and when a part was taken out of use for good, by a day; ok is false for one that may be used.
// What the record at a path says itself is left out.
func (o *opened) outOfUse(kind, serial string, day logbook.Day, path string) (words string, ok bool) {
	e, ended := o.book.EndBy(kind, serial, day)
	if !ended || e.By != nil && e.By.Path == path {
		return "", false
	}
	return fmt.Sprintf("%s %s was %s (%s)", kind, serial, e, e.Place), true
}

// mayBegin refuses the sheets of parts out of use that are to be built up. Of a valve that sits in its cylinder the
// removal is what has to be written: it is told, and begun. There is no flag to go on: an entry that took a part out of
// use by mistake is put right first.
func (o *opened) mayBegin(sheets []*draft.Sheet, w io.Writer) error {
	for _, s := range sheets {
		for _, part := range []struct{ kind, serial string }{{"holder", s.Holder}, {"nozzle", s.Nozzle}} {
			words, out := o.outOfUse(part.kind, part.serial, s.Day, s.Path)
			switch {
			case !out:
			case s.Position == logbook.Position{}:
				return use("%s: it is not built up again; read the stamp, or correct that entry first", words)
			default:
				fmt.Fprintf(w, "%s, and sits in %s by the book: write its removal only\n", words, s.Position)
			}
		}
	}
	return nil
}

// inRack are the holders of sheets of valves that sit in no cylinder.
func inRack(sheets []*draft.Sheet) (holders []string) {
	for _, s := range sheets {
		if s.Position == (logbook.Position{}) {
			holders = append(holders, s.Holder)
		}
	}
	return holders
}

// notReady says of valves in the spares rack why they are not ready, as all else says it: the whole book, as it was
// read, is judged for it, where such a valve is asked about.
func (p *program) notReady(o *opened, holders ...string) error {
	asked := func(holder string) bool { return slices.Contains(holders, holder) }
	if !slices.ContainsFunc(o.book.Lives().Rack(o.book.Today()), func(r logbook.Ready) bool { return asked(r.Holder) }) {
		return nil
	}
	judged := *o
	var err error
	if judged.trail, err = history(o.ctx, o.dir, "", provenBy(), nil); err == nil {
		err = judged.judge(0)
	}
	if err != nil {
		return err
	}
	p.notLookedAt(judged.report)
	for _, s := range judged.report.Spares {
		if asked(s.Holder) && !s.State.Yes() {
			fmt.Fprintf(p.err, "%s is in the spares rack, ready: %s\n", s.Holder, s.State)
		}
	}
	return nil
}

// mayGoOn refuses the steps that build up, rack or fit a valve whose holder or nozzle is out of use.
func (o *opened) mayGoOn(rec *logbook.Overhaul, step draft.Step) error {
	if !slices.Contains([]string{"left", "stored", "fitted", "running_after"}, step.Name) {
		return nil
	}
	if d := rec.Decided.Holder; d.Is("condemn") {
		return use("holder %s is condemned in this record (%s): it is not built up again; correct the decision first",
			rec.Holder, d.Place)
	}
	for _, part := range []struct {
		kind   string
		serial logbook.Serial
	}{{"holder", rec.Holder}, {"nozzle", rec.Nozzle.Left}} {
		if !part.serial.Stated() {
			continue
		}
		if words, out := o.outOfUse(part.kind, part.serial.Written, max(rec.Day(), o.book.Today()), rec.Path); out {
			return use("%s: it is not built up again; read the stamp, or correct that entry first", words)
		}
	}
	return nil
}
