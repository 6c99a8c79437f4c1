package repair_test

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/trace"
)

// stage is a book on the way through a merge that a hand resolves, and the next operation on it.
type stage struct {
	name string
	at   string // folder it is copied from
	do   func(r *exchange.Repository) error
}

const resolved = "---\nholder: H-1\nby: a\nmeasured:\n  lift: 0.76 mm   # read again\n  holder_wear: 0.03 mm\n---\n\nFirst.\n"

// stages are the four operations, each with a book to begin at; ids are the commits of the base, theirs and ours.
func stages(t *testing.T) (all []stage, ids []string) {
	plain, ids := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"), "parts/n-3.md", "3\n", "hours/me1.csv", "date,counter_h,note\nb\n")...),
		trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.77"), "hours/me1.csv", "date,counter_h,note\na\n")...))
	d := exchange.Draft{Author: trial.Draft(9).Author, Message: "merge", Signer: trial.Key}
	begin := func(r *exchange.Repository) error {
		d := d
		_, err := joining.TakeInOn(t.Context(), r, plumbing.NewHash(ids[1]), &d, trial.AnyPath)
		return err
	}
	resolve := func(r *exchange.Repository) error {
		lies, err := os.ReadFile(filepath.Join(r.Dir, trial.RecordPath))
		if err != nil {
			return err
		}
		_, err = joining.ResolveOn(r, trial.RecordPath, lies, []byte(resolved))
		return err
	}
	finish := func(r *exchange.Repository) error {
		d := d
		_, err := joining.FinishOn(r, &d, trial.AnyPath)
		return err
	}
	giveUp := func(r *exchange.Repository) error {
		_, err := joining.GiveUpOn(r)
		return err
	}
	next := func(from string, do func(*exchange.Repository) error) string {
		dir := filepath.Join(trial.Scratch(t), "book")
		if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
			t.Fatal(err)
		}
		if err := on(dir, &trial.Faults{}, do); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	open := next(plain, begin)
	resolved := next(open, resolve)
	return []stage{{"begin", plain, begin}, {"resolve", open, resolve}, {"finish", resolved, finish}, {"give up", open, giveUp}, {"give up when resolved", resolved, giveUp}}, ids
}

// on does one operation on a disk with faults.
func on(dir string, f *trial.Faults, do func(*exchange.Repository) error) error {
	r, err := exchange.OpenRepository(dir, func(dir string) durable.Disk {
		return durable.Disk{Filesystem: trial.Faulty{Filesystem: osfs.New(dir, osfs.WithBoundOS()), F: f}}
	})
	if err != nil {
		return err
	}
	return do(r)
}

// Killed or refused at any operation, the book opens, every file is wholly one of its texts, nothing of the merge is lost, and the
// next try ends where the first would have.
func TestMergeThroughFaults(t *testing.T) {
	all, ids := stages(t)
	begin, resolve, finish, giveUp := all[0].do, all[1].do, all[2].do, all[3].do
	for _, s := range all {
		var clean trial.Faults
		fresh := func() string {
			dir := filepath.Join(trial.Scratch(t), "book")
			if err := os.CopyFS(dir, os.DirFS(s.at)); err != nil {
				t.Fatal(err)
			}
			return dir
		}
		if err := on(fresh(), &clean, s.do); err != nil {
			t.Fatalf("%s: %v", s.name, err)
		}
		reads := &trial.Faults{Reads: true}
		if err := on(fresh(), reads, s.do); err != nil {
			t.Fatalf("%s: %v", s.name, err)
		}
		tries := kinds(&clean, reads)
		for i, f := range tries {
			dir := fresh()
			err := on(dir, f, s.do)
			what := func(format string, a ...any) {
				t.Errorf(s.name+", fault %d of %d (%v), %v: "+format, append([]any{f.At, clean.Count, f.Err, err}, a...)...)
			}
			if f.Err != nil && !f.Reads && err == nil {
				what("the error was not seen")
			}
			oneOf(what, dir, ids)
			ending.Answers(t, fmt.Sprintf("%s, fault %d (%v)", s.name, f.At, f.Err), dir)
			trial.Unlock(dir)
			told := err == nil && (s.name != "begin" || i%2 == 0) // then it is there without another try
			again := func(do func(*exchange.Repository) error, may ...error) {
				if told {
					told = false
					return
				}
				if err := on(dir, &trial.Faults{}, do); err != nil && !slices.ContainsFunc(may, func(m error) bool { return errors.Is(err, m) }) {
					what("the next try: %v", err)
				}
			}
			switch {
			case s.name == "begin" && i%2 == 0:
				again(begin, exchange.ErrUnfinished)
				again(resolve)
				again(finish)
				standsMerged(what, dir, ids)
			case s.name == "resolve":
				again(resolve)
				again(finish)
				standsMerged(what, dir, ids)
			case s.name == "finish":
				again(finish, joining.ErrNoMerge)
				standsMerged(what, dir, ids)
			default:
				again(giveUp, joining.ErrNoMerge)
				standsAsBefore(what, dir, ids)
			}
		}
	}
}

// oneOf looks at the folder behind a fault.
func oneOf(what func(string, ...any), dir string, ids []string) {
	tree, err := trace.FS(dir, "")
	if err != nil {
		what("the book does not open: %v", err)
		return
	}
	tree.Close()
	marked := "---\nholder: H-1\nby: a\nmeasured:\n<<<<<<< here\n  lift: 0.77 mm\n=======\n  lift: 0.75 mm\n>>>>>>> there\n  holder_wear: 0.03 mm\n---\n\nFirst.\n"
	for p, texts := range map[string][]string{
		trial.RecordPath: {trial.Replaced("0.76", "0.77"), marked, resolved},
		"parts/n-3.md":   {"", "3\n"},
		"hours/me1.csv":  {"date,counter_h,note\na\n", "date,counter_h,note\na\nb\n"},
	} {
		text, err := os.ReadFile(filepath.Join(dir, p))
		if err != nil && !errors.Is(err, fs.ErrNotExist) || !slices.Contains(texts, string(text)) {
			what("the folder has %s %q (%v)", p, text, err)
		}
	}
}

func standsMerged(what func(string, ...any), dir string, ids []string) {
	trail, err := trace.Read(dir, trace.Options{EveryText: true})
	if err != nil {
		what("the history: %v", err)
		return
	}
	last := trail.At(len(trail.Commits) - 1)
	if len(last.Parents) != 2 || trail.At(last.Parents[0]).ID != ids[2] || trail.At(last.Parents[1]).ID != ids[1] || len(trail.WorkTree) > 0 {
		what("the tip is %+v, folder %v", last, trail.WorkTree)
	}
	if _, err := exchange.Write(dir, trial.Draft(20, trial.Set("parts/n-8.md", "8\n")...)); err != nil {
		what("the next commit: %v", err)
	}
	noted(what, dir)
}

func standsAsBefore(what func(string, ...any), dir string, ids []string) {
	trail, err := trace.Read(dir, trace.Options{EveryText: true})
	if err != nil || trail.Head != ids[2] || len(trail.WorkTree) > 0 {
		what("given up, the tip is %v (%v), folder %v", trail.Head, err, trail.WorkTree)
		return
	}
	if _, err := exchange.Write(dir, trial.Draft(20, trial.Set("parts/n-8.md", "8\n")...)); err != nil {
		what("the next commit: %v", err)
	}
	noted(what, dir)
}

// noted fails when git would still take the book for being in the middle of a merge, or its index holds something else than the tip.
func noted(what func(string, ...any), dir string) {
	if _, err := os.Stat(filepath.Join(dir, ".git/MERGE_HEAD")); err == nil {
		what("MERGE_HEAD is left")
	}
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		what("%v", err)
		return
	}
	l, err := joining.Take(r)
	if err != nil {
		what("%v", err)
		return
	}
	defer l.Done()
	tree, _, err := l.Store.Commit(l.Tip)
	if err != nil {
		what("%v", err)
		return
	}
	if edits, err := l.Edits(tree); err != nil || len(edits) > 0 {
		what("the index differs from the tip at %v (%v)", edits, err)
	}
}
