package repair_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/go-git/go-billy/v5/osfs"

	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

// An intake is a book, and a bundle that waits to come in; the bundle is thin, so that its pack is completed on the way.
type intake struct {
	from, tip string
	bundle    []byte
}

func waiting(t *testing.T) intake {
	t.Helper()
	ahead := trial.Founded(t, 6)
	in := intake{from: trial.Founded(t, 3), tip: trial.Head(t, ahead)}
	bag, err := mail.PackBag(t.Context(), ahead, []string{trial.Head(t, in.from)}, "", false)
	if err != nil {
		t.Fatal(err)
	}
	in.bundle = bag.Text
	return in
}

// through takes the bundle in on a disk with faults, in a copy of the book.
func (in intake) through(t *testing.T, f *trial.Faults) (dir string, err error) {
	t.Helper()
	dir = filepath.Join(trial.Scratch(t), "book")
	if err := os.CopyFS(dir, os.DirFS(in.from)); err != nil {
		t.Fatal(err)
	}
	return dir, in.again(dir, f)
}

func (in intake) again(dir string, f *trial.Faults) error {
	return on(dir, f, func(r *exchange.Repository) error {
		_, err := mail.OpenBundleOn(context.Background(), r, bytes.NewReader(in.bundle))
		return err
	})
}

// answers fails unless every reader finds the book as it was, and unless the next intake brings what this one did not. Repaired says
// that mend goes over the book before.
func (in intake) answers(t *testing.T, what, dir string, told error, repaired bool) {
	t.Helper()
	var form *packs.FormError
	if errors.As(told, &form) {
		t.Errorf("%s: a sound pack is told as unsound: %v", what, told)
	}
	if repaired {
		found, err := repair.Troubles(dir)
		if err != nil {
			t.Fatalf("%s: mend: %v", what, err)
		}
		for _, f := range found {
			if err := f.Repair(); err != nil {
				t.Errorf("%s: mend: %s: %v", what, f.Path, err)
			}
		}
		left, err := repair.Troubles(dir)
		if err != nil || len(left) > 0 {
			t.Errorf("%s: mend leaves %v, %v", what, left, err)
		}
	}
	if trail, err := trace.Read(dir, trace.Options{EveryText: true}); err != nil || len(trail.Broken)+len(trail.WorkTree) > 0 {
		t.Fatalf("%s: the history cannot be read: %v", what, err)
	}
	ending.Answers(t, what, dir)
	if told == nil {
		in.holds(t, what, dir)
	}
	if err := ending.Within(t, what+", the next intake", func(context.Context) error { return in.again(dir, &trial.Faults{}) }); err != nil {
		t.Fatalf("%s: the next intake fails: %v", what, err)
	}
	in.holds(t, what, dir)
	if _, err := joining.TakeIn(t.Context(), dir, in.tip, trial.Draft(30), nil); err != nil {
		t.Fatalf("%s: what came cannot be taken in: %v", what, err)
	}
	if tip := trial.Head(t, dir); tip != in.tip {
		t.Errorf("%s: the book stands on %s, want %s", what, tip, in.tip)
	}
}

// holds fails unless the bundle's commits are part of the book.
func (in intake) holds(t *testing.T, what, dir string) {
	t.Helper()
	if bag, err := mail.PackBag(t.Context(), dir, nil, in.tip, false); err != nil || bag.Commits != 6 {
		t.Fatalf("%s: told that it came, but %v", what, err)
	}
}

// Killed, refused, out of room or unreadable at any call of an intake, the book answers every question as before, and the next try
// brings what this one did not; with mend in between or without.
func TestIntakeThroughFaults(t *testing.T) {
	in := waiting(t)
	var changes, reads trial.Faults
	reads.Reads = true
	for _, f := range []*trial.Faults{&changes, &reads} {
		if dir, err := in.through(t, f); err != nil {
			t.Fatal(err)
		} else {
			in.answers(t, "undisturbed", dir, nil, true)
		}
	}
	counts := map[string]int{}
	try := func(kind string, f trial.Faults, repaired bool) {
		counts[kind]++
		dir, err := in.through(t, &f)
		in.answers(t, fmt.Sprintf("%s at call %d (torn %v, behind %v)", kind, f.At, f.Torn, f.After), dir, err, repaired)
		os.RemoveAll(filepath.Dir(dir))
	}
	for n := int64(1); n <= changes.Count; n++ {
		try("no room", trial.Faults{At: n, Err: syscall.ENOSPC}, n%2 == 0)
		try("kill", trial.Faults{At: n, After: true}, n%2 == 1)
		if !trial.Long {
			continue
		}
		for _, errno := range []error{syscall.ENOSPC, syscall.EIO, syscall.EACCES, syscall.EMFILE, syscall.EROFS, syscall.EDQUOT} {
			try("error", trial.Faults{At: n, Err: errno}, n%2 == 1)
		}
		try("kill", trial.Faults{At: n, After: true}, n%2 == 0)
		for _, repaired := range []bool{false, true} {
			try("kill", trial.Faults{At: n, Torn: true}, repaired)
		}
	}
	try("kill", trial.Faults{At: 1}, true)
	for _, n := range changes.Writes {
		try("short write", trial.Faults{At: n, Err: io.ErrShortWrite}, n%2 == 0)
	}
	for _, n := range trial.Spread(reads.Count) {
		try("read error", trial.Faults{At: n, Err: syscall.EIO, Reads: true}, n%2 == 0)
	}
	if changes.Count < 20 || reads.Count < 20 {
		t.Errorf("only %d calls that change and %d that read: the faults do not reach the intake", changes.Count, reads.Count)
	}
	t.Logf("%d calls that change the disk, %d that read; %v", changes.Count, reads.Count, counts)
}

// Room that ends at any byte of an intake: see TestIntakeThroughFaults. The pack that could not get its index is taken away again, so
// that the disk is no fuller than before.
func TestIntakeTakesItsPackAway(t *testing.T) {
	in := waiting(t)
	var clean trial.Faults
	if _, err := in.through(t, &clean); err != nil {
		t.Fatal(err)
	}
	for n := int64(1); n <= clean.Count; n++ {
		dir, err := in.through(t, &trial.Faults{At: n, Err: syscall.ENOSPC})
		packs, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*"))
		if err != nil && len(packs) != 2 && !strings.Contains(err.Error(), "remove") {
			t.Errorf("call %d: %v, and there lie %q", n, err, packs)
		}
		os.RemoveAll(filepath.Dir(dir))
	}
}

// Power that goes at any call of an intake: the book opens, and what was told as taken in is there.
func TestIntakeThroughPowerLoss(t *testing.T) {
	in := waiting(t)
	r := rand.New(rand.NewPCG(3, 4))
	var clean trial.Faults
	if _, err := in.through(t, &clean); err != nil {
		t.Fatal(err)
	}
	rounds := 1
	if trial.Long {
		rounds = 12
	}
	for n := int64(1); n <= clean.Count+1; n++ {
		for range rounds {
			dir := filepath.Join(trial.Scratch(t), "book")
			if err := os.CopyFS(dir, os.DirFS(in.from)); err != nil {
				t.Fatal(err)
			}
			p := trial.NewPlatter(dir)
			book, err := exchange.OpenRepository(dir, func(root string) durable.Disk {
				return durable.Disk{Filesystem: trial.Faulty{Filesystem: trial.Spinning{Filesystem: osfs.New(root, osfs.WithBoundOS()), Below: root, P: p}, F: &trial.Faults{At: n}}}
			})
			if err != nil {
				t.Fatal(err)
			}
			_, told := mail.OpenBundleOn(t.Context(), book, io.MultiReader(bytes.NewReader(in.bundle)))
			p.Lost(t, r)
			in.answers(t, fmt.Sprintf("power lost at call %d", n), dir, told, n%2 == 0)
			os.RemoveAll(filepath.Dir(dir))
		}
	}
}
