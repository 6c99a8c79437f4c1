package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io/fs"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// showPerson says when a person was aboard, what they did, and what is signed by them.
func (p *program) showPerson(o *opened, t logbook.Thing) error {
	name := ""
	for _, c := range o.book.Aboard(t.Name) {
		name = c.Name.Written
	}
	fmt.Fprintln(p.out, strings.TrimSuffix(t.Name+", "+name, ", "))
	for _, c := range o.book.Aboard(t.Name) {
		if !o.later(c.From.Day) {
			fmt.Fprintf(p.out, "  %s from %s to %s\n", cmp.Or(c.Rank.Written, "rank not stated"), c.From, dash(c.To.Written))
		}
	}
	var done []*logbook.Overhaul
	for _, rec := range o.book.RecordsOf(t) {
		if !o.later(rec.Day()) {
			done = append(done, rec)
		}
	}
	fmt.Fprintf(p.out, "overhauls by %s: %d\n", t.Name, len(done))
	for _, rec := range done[max(len(done)-10, 0):] {
		fmt.Fprintf(p.out, "  %s\n", rec.Stem)
	}
	signed := 0
	for _, c := range o.trail.Commits {
		if c.Person == t.Name && c.State.Speaks() {
			signed++
		}
	}
	fmt.Fprintf(p.out, "commits signed by %s: %d\n", t.Name, signed)
	p.about(o, func(f checks.Finding) bool { return concerns(f, t) })
	return nil
}

// showBunker prints what is written of a delivery of fuel.
func (p *program) showBunker(o *opened, t logbook.Thing) error {
	for _, b := range o.book.Bunkers {
		if b.Place != t.Row {
			continue
		}
		fmt.Fprintf(p.out, "%s, received %s (%s)\n", b.Stem, dash(b.Received.Written), b.Place)
		w := p.table()
		for _, x := range [][2]string{{"in use from", b.From.Written}, {"in use to", b.To.Written},
			{"grade", b.Grade.Written}, {"aluminium and silicon, mg/kg", b.AlSi.Written},
			{"viscosity at 50 °C, mm²/s", b.Viscosity.Written},
			{"note", b.Note.Written}} {
			fmt.Fprintf(w, "  %s\t%s\n", x[0], dash(x[1]))
		}
		w.Flush()
	}
	p.about(o, func(f checks.Finding) bool { return concerns(f, t) })
	return nil
}

// showFile prints what a file says, and how far it is signed.
func (p *program) showFile(o *opened, t logbook.Thing) error {
	text, err := fs.ReadFile(o.files, t.Path)
	if err != nil {
		return fmt.Errorf("could not read %q: %w", t.Path, err)
	}
	fmt.Fprintln(p.out, t.Path)
	if _, err := p.data.Write(append(bytes.TrimRight(text, "\n"), '\n')); err != nil {
		return err
	}
	if o.trail.Records[t.Path] != nil {
		fmt.Fprintln(p.out, o.trail.Standing(t.Path))
	} else {
		fmt.Fprintln(p.out, o.trail.Headline)
	}
	p.about(o, func(f checks.Finding) bool { return f.Place.Path == t.Path })
	return nil
}
