package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/draft"
	"needlebook/logbook/edit"
)

// enterHead writes down that another cylinder head came onto a cylinder: one line of heads.csv.
func (p *program) enterHead(o *opened, what, head, off string, day logbook.Day, print bool) error {
	t, err := p.one(o, what, logbook.ThingPosition)
	if err != nil {
		return err
	}
	at := t.Position
	at.Engine = o.book.HostOf(at.Engine) // all valves of a cylinder are in one head
	for i := range o.book.Vessel.Heads {
		if x := &o.book.Vessel.Heads[i]; x.Position() == at && x.Date.Day == day {
			return use("%s: the head of %s that came on on %s is written down already", x.Place, at, day)
		}
	}
	if s, ok := o.book.HeadOn(at, day); ok && s.Head == head {
		return use("head %s is on %s since %s by the book: read its number again", head, at, dash(s.From.String()))
	}
	counter, last := draft.CounterOn(o.book, at.Engine, day)
	row := []string{at.Engine, at.Cylinder, day.String(), counter, head, off}
	full := filepath.Join(o.dir, logbook.HeadsFile)
	src, err := budget.Read(full, logbook.LargestOf(logbook.HeadsFile))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("could not read %q: %w", logbook.HeadsFile, err)
	}
	text, werr := withRow(src, logbook.HeadsFile, row)
	switch {
	case werr != nil:
		return werr
	case print:
		_, err := p.data.Write(text)
		return err
	case err != nil:
		err = edit.Create(full, text)
	default:
		err = edit.Replace(full, src, text)
	}
	if err != nil {
		return fmt.Errorf("could not write %q: %w", logbook.HeadsFile, err)
	}
	fmt.Fprintf(p.out, "%s: head %s came onto %s on %s\n", logbook.HeadsFile, head, at, day)
	if counter == "" {
		fmt.Fprintf(p.out, "write the counter reading of that day into the line (last %s)\n", cmp.Or(last, "none"))
	}
	return nil
}

// withRow is a table with one line more: cells in the order of a book's own columns, and written in that of the table.
// A table that holds nothing gets its first line.
func withRow(text []byte, file string, cells []string) ([]byte, error) {
	b := bytes.NewBuffer(bytes.Clone(text))
	if len(text) > 0 && text[len(text)-1] != '\n' {
		b.WriteByte('\n')
	}
	kind, _ := logbook.KindOf(file)
	own := make([]string, len(kind.Fields))
	for i, f := range kind.Fields {
		own[i] = f.Key
	}
	w := csv.NewWriter(b)
	if len(bytes.TrimSpace(text)) == 0 {
		if err := w.Write(own); err != nil {
			return nil, err
		}
	} else {
		mark, line := logbook.Separator(text)
		w.Comma = mark
		head := strings.Split(strings.TrimPrefix(strings.Split(string(text), "\n")[line-1], "\ufeff"), string(mark))
		placed := make([]string, len(head))
		for i, cell := range cells {
			at := slices.IndexFunc(head, func(name string) bool {
				return strings.EqualFold(strings.Trim(name, "\" \r"), own[i])
			})
			switch {
			case at >= 0:
				placed[at] = cell
			case cell != "":
				return nil, use("%s has no column %s: add it, or write the line by hand", file, own[i])
			}
		}
		cells = placed
	}
	if err := w.Write(cells); err != nil {
		return nil, err
	}
	w.Flush()
	return b.Bytes(), w.Error()
}
