package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/trace"
	"needlebook/site"
)

// opened is a book with all that was worked out from it.
type opened struct {
	ctx    context.Context // ends what is worked out from it
	dir    string
	files  fs.FS // the files the book was read from: the folder's, or a commit's
	book   *logbook.Book
	trail  *logbook.Trail
	report *checks.Report
	lost   map[string]bool // files that are read as they were committed, since the folder has lost them
	// limitsOf is the day whose limits every record was judged by; 0 where each was judged by those of its own day.
	limitsOf logbook.Day
	// on is the day that was asked for; 0 where none was.
	on     logbook.Day
	today  string       // as --today names it; empty where it does not
	before *site.Before // an earlier state for the pages to compare with; nil for none
	close  func()
}

// provenBy is the founding proof that the environment names.
func provenBy() string { return os.Getenv("NEEDLEBOOK_PROOF") }

func proofFlag(c *cobra.Command, proof *string) {
	c.Flags().StringVar(proof, "proof", provenBy(),
		"founding proof, commit@SHA256:fingerprint, as it was given outside the book (also NEEDLEBOOK_PROOF)")
}

// openBook finds, reads, traces and judges the book. at names a commit to read instead of the folder.
func (p *program) openBook(at, on, proof string) (*opened, error) {
	dir, err := p.findBook()
	if err != nil {
		return nil, err
	}
	o, err := openFolder(p.ctx, dir, at, on, p.today, proof)
	if err != nil {
		return nil, err
	}
	if err := o.against(p.receipts); err != nil {
		o.close()
		return nil, err
	}
	p.notLookedAt(o.report)
	if at == "" && on == "" {
		p.keepStops(o, proof)
	}
	return o, nil
}

// openFolder reads and judges a book; today is the day that it is, as --today names it. It ends when the context does.
func openFolder(ctx context.Context, dir, at, on, today, proof string) (*opened, error) {
	o, err := readFolder(ctx, dir, at, on, today, proof)
	if err != nil {
		return nil, err
	}
	if err := o.judge(o.on); err != nil {
		o.close()
		return nil, err
	}
	return o, nil
}

// readFolder reads a book and its history, and leaves the checks out.
func readFolder(ctx context.Context, dir, at, on, today, proof string) (*opened, error) {
	o := &opened{ctx: ctx, dir: dir, today: today, close: func() {}}
	day, err := dayOf("on", on)
	if err != nil {
		return nil, err
	}
	latest, err := dayOf("today", today)
	if err != nil {
		return nil, err
	}
	o.on = day
	if at != "" {
		tree, err := trace.FS(dir, at)
		if errors.Is(err, trace.ErrNoRevision) {
			return nil, use("there is no commit %q in the book's history; git log lists them", at)
		}
		if err != nil {
			return nil, err
		}
		o.files, o.close = tree, func() { tree.Close() }
	} else {
		root, err := os.OpenRoot(dir)
		if err != nil {
			return nil, err
		}
		o.files, o.close = budget.In(root), func() { root.Close() }
	}
	reader := logbook.NewReader(o.files)
	reader.Latest, reader.Context = latest, ctx
	if o.book, err = reader.Read(); err != nil {
		o.close()
		if errors.Is(err, logbook.ErrNoBook) {
			return nil, use("%q holds no book.md", dir)
		}
		return nil, err
	}
	if o.trail, err = history(ctx, dir, at, proof, nil); err == nil {
		err = o.recall(reader)
	}
	if err != nil {
		o.close()
		return nil, err
	}
	return o, nil
}

// recall reads the files that the folder has lost as they were committed.
func (o *opened) recall(reader *logbook.Reader) error {
	if len(o.trail.WorkTree) == 0 {
		return nil
	}
	tip, err := trace.FS(o.dir, o.trail.Head)
	if err != nil {
		return err
	}
	changes := slices.DeleteFunc(slices.Clone(o.trail.WorkTree), func(w logbook.WorkChange) bool {
		return w.What == "missing" && o.trail.CopyOf(w.Path) != "" // what it held is in the other
	})
	book, lost, err := reader.Lost(changes, tip)
	if err != nil || len(lost) == 0 {
		return errors.Join(err, tip.Close())
	}
	closed := o.close
	o.book, o.files, o.lost, o.close = book, recalled{o.files, tip, lost}, lost, func() { tip.Close(); closed() }
	return nil
}

// recalled are the files of a folder, with those that it has lost as they were committed.
type recalled struct {
	fs.FS
	committed fs.FS
	lost      map[string]bool
}

// Open opens a file by its name.
func (r recalled) Open(name string) (fs.File, error) {
	if r.lost[name] {
		return r.committed.Open(name)
	}
	return r.FS.Open(name)
}

// judge runs the checks, from one day.
func (o *opened) judge(on logbook.Day) error {
	o.report = checks.Run(o.book, o.options(on))
	o.book = o.report.Book
	return o.report.Stopped
}

func (o *opened) options(on logbook.Day) checks.Options {
	return checks.Options{Trail: o.trail, On: on, Context: o.ctx}
}

// later says that a day is after the one that was asked for, which knows nothing of it yet.
func (o *opened) later(d logbook.Day) bool { return o.on != 0 && d > o.on }

// judgeBy judges the book again, by the limits in force on one day; an empty day leaves it as it is.
func (o *opened) judgeBy(on string) error {
	day, err := dayOf("limits-of", on)
	if err != nil || day == 0 {
		return err
	}
	o.limitsOf = day
	for name, l := range o.book.Limits {
		o.book.Limits[name] = l.As(day)
	}
	return o.judge(o.report.Today)
}

// dayOf is the day that a flag names; 0 where it is not given.
func dayOf(flag, text string) (logbook.Day, error) {
	if text == "" {
		return 0, nil
	}
	d, err := logbook.ParseDay(text)
	if err != nil {
		return 0, use("--%s %s: a date of the calendar, written 2024-06-24", flag, text)
	}
	return d, nil
}

// cacheFolder is where what was read of histories is kept between two runs: NEEDLEBOOK_CACHE, nothing when
// that is set and empty, else the place that the system has for it.
func cacheFolder() string {
	if folder, set := os.LookupEnv("NEEDLEBOOK_CACHE"); set {
		return folder
	}
	own, err := os.UserCacheDir()
	if err != nil {
		return "" // without a place of one's own everything is read each time
	}
	return filepath.Join(own, "needlebook")
}

// reading is how the history of a book is read: held against a proof, with what is kept of it.
func reading(proof string) trace.Options {
	return trace.Options{FoundingProof: proof, Cache: cacheFolder()}
}

// inRepository reports whether a folder lies inside a repository.
func inRepository(dir string) bool {
	at, err := filepath.Abs(dir)
	for ; err == nil; at = filepath.Dir(at) {
		if _, err := os.Stat(filepath.Join(at, ".git")); err == nil {
			return true
		} else if at == filepath.Dir(at) {
			break
		}
	}
	return false
}

// history reads the trail of a book. Reading is never blocked but by whoever ends the context: a plain folder, a
// repository without a commit, or one that cannot be read proves nothing, says so in its headline, and the book is
// shown all the same. last is the trail as it was read before; nil the first time.
func history(ctx context.Context, dir, at, proof string, last *logbook.Trail) (*logbook.Trail, error) {
	trail, err := trace.Again(dir, last, trace.Options{FoundingProof: proof, Rev: at, Cache: cacheFolder(), Context: ctx})
	switch {
	case err == nil:
		return trail, nil
	case errors.Is(err, budget.ErrStopped):
		return nil, err
	case errors.Is(err, trace.ErrWrongRoot) && trail != nil: // judged as if no proof had been given
		trail.Headline = "nothing is proved: " + err.Error()
		return trail, nil
	case errors.Is(err, trace.ErrNotRepository) && inRepository(dir):
		return logbook.Without("in the repository of another folder, with none of its own"), nil
	case errors.Is(err, trace.ErrNotRepository):
		return logbook.PlainFolder(), nil
	case errors.Is(err, trace.ErrUnborn):
		return logbook.Without("nothing is committed yet"), nil
	}
	trail = logbook.Without("the history could not be read")
	trail.Headline = "nothing is proved: " + trail.Lacking + ": " + err.Error()
	return trail, nil
}
