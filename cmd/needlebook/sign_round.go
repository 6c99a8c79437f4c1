package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// holds says which files are about a thing that is to be signed: of a round those of the valves that went in as well.
func (o *opened) holds(t logbook.Thing) func(name string) bool {
	about := o.book.Holds(t)
	if t.Kind != logbook.ThingRound {
		return about
	}
	in := map[string]bool{}
	for _, r := range o.book.Rounds() {
		for _, rec := range o.book.FittedIn(r) {
			in[rec.Path] = in[rec.Path] || r.Name == t.Name
		}
	}
	return func(name string) bool { return about(name) || in[name] }
}

// aRound says that what is named is a round.
func (o *opened) aRound(args []string) bool {
	all := o.book.Things(logbook.ThingRound)
	for _, name := range append(slices.Clone(args), strings.Join(args, " ")) {
		if len(logbook.Find(name, all)) > 0 {
			return true
		}
	}
	return false
}

// withEvidence adds the pictures and logs that the picked records name and that are not committed as they are. missing
// counts those that are not in the book; each is told.
func (p *program) withEvidence(o *opened, picked []string, changed map[string]string) (all []string, missing int) {
	all = picked
	for _, name := range picked {
		if changed[name] == "missing" || path.Ext(name) != ".md" {
			continue
		}
		text, err := fs.ReadFile(o.files, name)
		if err != nil {
			continue // whoever commits it says so
		}
		for _, file := range logbook.EvidenceIn(text) {
			_, there := slices.BinarySearch(o.book.Files, file)
			switch {
			case !there || changed[file] == "missing":
				missing++
				fmt.Fprintf(p.err, "%s: %s is named and is not in the book: it is not signed\n", name, file)
			case changed[file] != "" && !slices.Contains(all, file):
				all = append(all, file)
			}
		}
	}
	return all, missing
}

// showStops prints the open findings of grade stop in some files.
func (p *program) showStops(o *opened, names []string) error {
	stops, err := p.stops(o, names)
	for _, s := range stops {
		fmt.Fprintln(p.out, s.Line)
	}
	return err
}

// showChanges prints what is new in each file of a round, and what its record shows.
func (p *program) showChanges(o *opened, changes []exchange.Change) error {
	tip, err := trace.FS(o.dir, "")
	if err != nil {
		return err
	}
	defer tip.Close()
	for _, c := range changes {
		old, err := tip.ReadFile(c.Path)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		fmt.Fprintf(p.out, "%s\n", c.Path)
		rec := o.book.Overhaul(strings.TrimSuffix(path.Base(c.Path), ".md"))
		if rec == nil || rec.Path != c.Path {
			continue
		}
		fmt.Fprintf(p.out, "  %s: %s\n", o.subject(c), difference(old, c.Text))
		if who := o.countersignedBy(c.Path); who != "" {
			fmt.Fprintf(p.out, "  countersigned by %s: what is added has to be seen again\n", who)
		}
		p.found(o, rec)
	}
	return nil
}
