package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/edit"
	"needlebook/logbook/exchange"
	"needlebook/logbook/keys"
	"needlebook/logbook/trace"
)

// unconfirmed is the deferral of a file whose approver has not signed its terms; nil where there is none.
func (o *opened) unconfirmed(t logbook.Thing) *logbook.Deferral {
	for _, d := range o.book.Deferrals {
		if d.Path == t.Path && o.trail.ToConfirm(d, d.Approved.By.Written) {
			return d
		}
	}
	return nil
}

// confirmations are the changes by which a signer confirms deferrals that are committed as they are: the day under
// confirmed. The terms, and what was changed since that signer's last signature, are shown.
func (p *program) confirmations(o *opened, h *ownSigner, all []*logbook.Deferral) (changes []exchange.Change,
	err error) {
	day, err := dayOf("today", p.today)
	if err != nil {
		return nil, err
	}
	day = cmp.Or(day, o.book.Today())
	for _, d := range all {
		if !o.trail.ToConfirm(d, h.line.ID) {
			return nil, use("%s: nothing to sign, it is committed as it stands; it waits for %s, who approved it",
				d.Path, d.Approved.By.Written)
		}
		text, err := o.text(d.Path)
		if err != nil {
			return nil, err
		}
		if err := p.showTerms(o, d); err != nil {
			return nil, err
		}
		is, err := confirmed(d, text, max(day, d.Approved.Date.Day).String())
		if err != nil {
			return nil, err
		}
		p.showLines(text, is)
		changes = append(changes, exchange.Change{Path: d.Path, Text: is})
	}
	return changes, nil
}

// showTerms prints the terms of a deferral, and beside each what was signed by whoever approved it.
func (p *program) showTerms(o *opened, d *logbook.Deferral) error {
	last := o.trail.ConfirmedIn(d)
	was := map[string]string{}
	if last != nil {
		then, err := trace.FS(o.dir, last.ID)
		if err != nil {
			return err
		}
		defer then.Close()
		old, err := fs.ReadFile(then, d.Path)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("could not read %q: %w", d.Path, err)
		}
		was = valuesOf(old)
	}
	fmt.Fprintf(p.out, "%s: %s, approved by %s\n", d.Path, d.Called(), d.Approved.By.Written)
	logbook.Says(d, func(x logbook.Said) {
		before, since := was[x.Key]
		switch is := x.Leaf.Written; {
		case !d.ATerm(x.Key) || is == "" && before == "":
		case last == nil || before == is:
			fmt.Fprintf(p.out, "  %s: %s\n", x.Key, is)
		case !since || before == "":
			fmt.Fprintf(p.out, "  %s: %s, which was not there when you signed\n", x.Key, is)
		case is == "":
			fmt.Fprintf(p.out, "  %s: taken out, was %s when you signed\n", x.Key, before)
		default:
			fmt.Fprintf(p.out, "  %s: %s, was %s when you signed\n", x.Key, is, before)
		}
	})
	return nil
}

// confirmed is a deferral's text with the day under confirmed. Where that day is there already, a line below says so.
func confirmed(d *logbook.Deferral, text []byte, day string) ([]byte, error) {
	was := d.Approved.Confirmed
	switch {
	case was.Written == day:
		return fmt.Appendf(bytes.TrimRight(text, "\n"),
			"\n\n*%s, %s:* the terms were read as they are now, and confirmed.\n",
			day, d.Approved.By.Written), nil
	case !was.Present():
		return edit.Fill(d.Path, text, keys.ApprovedConfirmed, day, nil)
	}
	typed := edit.Typed(d.Path, text, &logbook.Proposal{Place: was.Place, Was: was.Written, Types: []string{day}})
	if len(typed) == 0 {
		return nil, use("%s: write %s in place of %s, and sign it", was.Place, day, was.Written)
	}
	return typed[0].Text, nil
}

// confirming is the message of a commit that confirms deferrals and does nothing else.
func confirming(all []*logbook.Deferral) string {
	var names []string
	for _, d := range all {
		names = append(names, d.Called())
	}
	return few(names, len(names)) + " confirmed"
}

// showLines prints the lines that are otherwise in a text after a change; blank ones show nothing.
func (p *program) showLines(was, is []byte) {
	before, after := strings.Split(string(was), "\n"), strings.Split(string(is), "\n")
	blank := func(x string) bool { return x == "" }
	for len(before) > 0 && len(after) > 0 && before[0] == after[0] {
		before, after = before[1:], after[1:]
	}
	for len(before) > 0 && len(after) > 0 && before[len(before)-1] == after[len(after)-1] {
		before, after = before[:len(before)-1], after[:len(after)-1]
	}
	for _, x := range slices.DeleteFunc(before, blank) {
		fmt.Fprintf(p.out, "  - %s\n", x)
	}
	for _, x := range slices.DeleteFunc(after, blank) {
		fmt.Fprintf(p.out, "  + %s\n", x)
	}
}
