package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"

	"needlebook/cmd/needlebook/watch"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// reopener opens one folder again and again, and works out anew only what has changed.
type reopener struct {
	ctx        context.Context
	dir, proof string
	on         logbook.Day
	today      string // as --today names it
	root       *os.Root
	reader     *logbook.Reader
	trail      *logbook.Trail
}

func newReopener(ctx context.Context, dir, on, today, proof string) (*reopener, error) {
	day, err := dayOf("on", on)
	if err != nil {
		return nil, err
	}
	latest, err := dayOf("today", today)
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	reader := logbook.NewReader(budget.In(root))
	reader.Latest, reader.Context = latest, ctx
	return &reopener{ctx: ctx, dir: dir, proof: proof, on: day, today: today, root: root, reader: reader}, nil
}

func (r *reopener) open() (*opened, error) {
	book, err := r.reader.Read()
	if errors.Is(err, logbook.ErrNoBook) {
		return nil, use("%q holds no book.md", r.dir)
	}
	if err != nil {
		return nil, err
	}
	if r.trail, err = history(r.ctx, r.dir, "", r.proof, r.trail); err != nil {
		return nil, err
	}
	o := &opened{ctx: r.ctx, dir: r.dir, today: r.today, files: budget.In(r.root), book: book, trail: r.trail,
		close: func() {}}
	if err := o.recall(r.reader); err != nil {
		return nil, err
	}
	return o, o.judge(r.on)
}

// afterChanges hands the book over now, and again after every change with the files that changed, until it is
// interrupted. The first time an error ends it, unless it is a fault of this program; later ones are said, and the next
// change waited for.
func (p *program) afterChanges(ctx context.Context, dir, on, proof string,
	answer func(o *opened, changed []string) error) error {
	r, err := newReopener(ctx, dir, on, p.today, proof)
	if err != nil {
		return err
	}
	defer r.root.Close()
	folder := watch.Begin(ctx, dir)
	round := func(changed []string) error {
		return fault.Catch("finish this round", func() error {
			o, err := r.open()
			if err != nil {
				return err
			}
			p.notLookedAt(o.report)
			return answer(o, changed)
		})
	}
	if err := round(nil); isFault(err) {
		p.said(err)
	} else if err != nil {
		return err
	}
	sweepAsUsual()
	for {
		changed, more := folder.Next(ctx)
		if !more {
			return nil
		}
		if err := round(changed); err != nil && ctx.Err() == nil {
			p.said(err)
		}
	}
}

// few names so many, and how many more.
func few(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}
