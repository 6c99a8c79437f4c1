package repair_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// kinds are the faults at the calls that change a disk and at those that read it.
func kinds(changes, reads *trial.Faults) (all []*trial.Faults) {
	for _, n := range trial.Spread(changes.Count) {
		all = append(all, &trial.Faults{At: n}, &trial.Faults{At: n, Err: syscall.ENOSPC})
		if slices.Contains(changes.Writes, n) {
			all = append(all, &trial.Faults{At: n, Err: io.ErrShortWrite}, &trial.Faults{At: n, Torn: true})
		}
		if trial.Long {
			all = append(all, &trial.Faults{At: n, After: true}, &trial.Faults{At: n, Err: syscall.EIO})
		}
	}
	for _, n := range trial.Spread(reads.Count) {
		all = append(all, &trial.Faults{At: n, Err: syscall.EIO, Reads: true})
	}
	return all
}

// A work is something that changes a book, and how one sees that it was done.
type work struct {
	name string
	at   string // folder that it is done in a copy of
	do   func(r *exchange.Repository) error
	done func(dir string) error
}

// works are those that no other test disturbs at every call.
func works(t *testing.T) (all []work) {
	add := func(name, at string, do func(*exchange.Repository) error, done func(dir string) error) {
		all = append(all, work{name, at, do, done})
	}
	stands := func(tip string) func(string) error {
		return func(dir string) error {
			trail, err := trace.Read(dir, trace.Options{})
			if err != nil {
				return err
			}
			last := trail.At(len(trail.Commits) - 1)
			merged := slices.ContainsFunc(last.Parents, func(p int) bool { return trail.At(p).ID == tip })
			if len(trail.WorkTree) > 0 || tip != "" && last.ID != tip && !merged {
				return fmt.Errorf("the tip is %s, the folder differs at %v", last.ID, trail.WorkTree)
			}
			return nil
		}
	}
	takes := func(tip string) func(*exchange.Repository) error {
		return func(r *exchange.Repository) error {
			d := exchange.Draft{Author: trial.Draft(9).Author, Message: "merge", Signer: trial.Key}
			_, err := joining.TakeInOn(t.Context(), r, graph.Hashes([]string{tip})[0], &d, trial.AnyPath)
			return err
		}
	}
	both, ids := trial.MeetingBook(t, trial.Side([]int{0}, trial.Set(trial.RecordPath, trial.Replaced("0.76", "0.75"), "parts/n-3.md", "3\n", "hours/me1.csv", "date,counter_h,note\nb\n")...),
		trial.Side([]int{0}, trial.Set("parts/n-1.md", "", "hours/me1.csv", "date,counter_h,note\na\n")...))
	add("take in, a merge", both, takes(ids[1]), stands(ids[1]))

	in := waiting(t)
	if err := in.again(in.from, &trial.Faults{}); err != nil {
		t.Fatal(err)
	}
	add("take in, a step", in.from, takes(in.tip), stands(in.tip))

	lots := func(do func(*mail.Post) error) func(*exchange.Repository) error {
		return func(r *exchange.Repository) error {
			p, err := mail.OpenPostOn(r, "ship")
			if err != nil {
				return err
			}
			return do(p)
		}
	}
	says := func(want string, ask func(*mail.Post) (any, error)) func(string) error {
		return func(dir string) error {
			p, err := mail.OpenPost(dir, "ship")
			if err != nil {
				return err
			}
			if got, err := ask(p); err != nil || fmt.Sprint(got) != want {
				return fmt.Errorf("it says %v (%v), want %s", got, err, want)
			}
			return nil
		}
	}
	bag, err := mail.PackBag(t.Context(), both, nil, "", false)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := mailbag.Split(bag.Text, int64(len(bag.Text)/2))
	if err != nil || len(parts) < 2 {
		t.Fatal(len(parts), err)
	}
	sent := mail.Parcelled{Bag: parts[0].Bag, UpTo: bag.Tip, Size: int64(len(bag.Text) / 2)}
	packed := filepath.Join(trial.Scratch(t), "book")
	if err := os.CopyFS(packed, os.DirFS(both)); err != nil {
		t.Fatal(err)
	}
	lack := mailbag.Lack{Bag: sent.Bag, Parts: []int{1}}
	wants := func(p *mail.Post) (any, error) { list, err := p.Again(t.Context()); return len(list), err }
	cut := func(p *mail.Post) error { _, err := p.Split(sent, bag.Text, false); return err }
	if err := on(packed, &trial.Faults{}, lots(cut)); err != nil {
		t.Fatal(err)
	}
	add("mailbag: sent", both, lots(cut),
		func(dir string) error {
			text, err := os.ReadFile(filepath.Join(dir, ".git/needlebook/mail/ship.json"))
			if n := bytes.Count(text, []byte(sent.Bag)); err != nil || n != 1 {
				return fmt.Errorf("%d bags sent: %v", n, err)
			}
			return nil
		})
	add("mailbag: an acknowledgement", packed, lots(func(p *mail.Post) error {
		return errors.Join(p.Holds(ids[1]), p.Asked([]mailbag.Lack{lack}, 3))
	}), func(dir string) error {
		return errors.Join(says("1", wants)(dir), says("["+ids[1]+"]", func(p *mail.Post) (any, error) { return p.Has() })(dir))
	})
	add("mailbag: the parts", both, lots(func(p *mail.Post) error {
		for i := range parts {
			text, err := p.KeepPart(&parts[i])
			if err != nil {
				return err
			}
			if i == len(parts)-1 && string(text) != string(bag.Text) {
				return fmt.Errorf("torn: %d bytes instead of %d", len(text), len(bag.Text))
			}
		}
		return nil
	}), says("[]", func(p *mail.Post) (any, error) { return p.Waiting() }))
	add("mailbag: opened", both, func(r *exchange.Repository) error {
		p, err := mail.OpenPostOn(r, "ship")
		if err != nil {
			return err
		}
		return errors.Join(p.Opened(sent.Bag, ids[1]), transfer.SetRef(r, p.From(), graph.Hashes(ids[1:2])[0]))
	}, says(ids[1], func(p *mail.Post) (any, error) { return p.Seen() }))

	harmed := func(name string, harm func(dir string) error) {
		dir := filepath.Join(trial.Scratch(t), "book")
		if err := errors.Join(os.CopyFS(dir, os.DirFS(packed)), harm(dir)); err != nil {
			t.Fatal(err)
		}
		add("mend, "+name, dir, func(r *exchange.Repository) error { return repairAll(r.Dir, r.Disk) }, stands(ids[2]))
	}
	tip := func(dir, text string) error { return leave(".git/refs/heads/main", text)(dir) }
	harmed("an index cut short", leave(".git/index", "DIRC"))
	harmed("no HEAD", leave(".git/HEAD", ""))
	harmed("a branch of nothing", func(dir string) error {
		line := fmt.Sprintf("%040d %s N <n@ship> 1700000000 +0000\tstep\n", 0, ids[2])
		return errors.Join(leave(".git/logs/refs/heads/main", line)(dir), leave(".git/logs/HEAD", line)(dir), tip(dir, ""))
	})
	harmed("a pack without its index", func(dir string) error {
		list, err := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*.idx"))
		if err != nil || len(list) != 1 {
			return fmt.Errorf("%v: %v", list, err)
		}
		return os.Remove(list[0])
	})
	harmed("locks and halves", func(dir string) error {
		return errors.Join(leave(".git/index.lock", "half")(dir), leave("parts/.n-1.md.coming", "half")(dir), leave(".git/objects/pack/tmp_pack_x", "half")(dir))
	})
	return all
}

// repairAll does every repair, and looks again until nothing is left that a program may repair.
func repairAll(dir string, disk func(string) durable.Disk) error {
	for range 8 {
		found, err := repair.TroublesOn(dir, disk)
		if err != nil {
			return err
		}
		found = slices.DeleteFunc(found, func(f repair.Trouble) bool { return f.Remedy == "" })
		if len(found) == 0 {
			return nil
		}
		for _, f := range found {
			if err := f.Repair(); err != nil {
				return err
			}
		}
	}
	return errors.New("mend comes to no end")
}

// Whatever fault comes at whatever call: afterwards mend and every reader answer, what was told as done is done, the next try does it,
// and nobody is told that something is missing or is hostile when it only could not be read.
func TestEveryCall(t *testing.T) {
	for _, w := range works(t) {
		fresh := func() string {
			dir := filepath.Join(trial.Scratch(t), "book")
			if err := os.CopyFS(dir, os.DirFS(w.at)); err != nil {
				t.Fatal(err)
			}
			return dir
		}
		clean, reads := &trial.Faults{}, &trial.Faults{Reads: true}
		for _, f := range []*trial.Faults{clean, reads} {
			dir := fresh()
			if err := errors.Join(on(dir, f, w.do), w.done(dir)); err != nil {
				t.Fatalf("%s, undisturbed: %v", w.name, err)
			}
		}
		if clean.Count < 3 || reads.Count < 3 {
			t.Errorf("%s: only %d calls that change and %d that read", w.name, clean.Count, reads.Count)
		}
		for i, f := range kinds(clean, reads) {
			dir := fresh()
			told := on(dir, f, w.do)
			what := fmt.Sprintf("%s, call %d (%v, torn %v, behind %v, reads %v), told %v", w.name, f.At, f.Err, f.Torn, f.After, f.Reads, told)
			if told == nil {
				if err := w.done(dir); err != nil {
					t.Errorf("%s: false success: %v", what, err)
				}
			}
			var needs *mail.NeedsError
			var missing *transfer.IncompleteError
			var hostile *transfer.HostileError
			var form *packs.FormError
			if errors.As(told, &form) || errors.As(told, &needs) || errors.As(told, &missing) || errors.As(told, &hostile) || errors.Is(told, joining.ErrUnrelated) || errors.Is(told, trace.ErrUnborn) {
				t.Errorf("%s: falsely accused", what)
			}
			if i%2 == 0 || strings.HasPrefix(w.name, "mend") {
				if err := repairAll(dir, durable.New); err != nil {
					t.Errorf("%s: mend: %v", what, err)
				}
			} else {
				trial.Unlock(dir)
			}
			ending.Answers(t, what, dir)
			if err := ending.Within(t, what+", the next try", func(context.Context) error { return on(dir, &trial.Faults{}, w.do) }); err != nil {
				t.Errorf("%s: the next try: %v", what, err)
			} else if err := w.done(dir); err != nil {
				t.Errorf("%s: the next try: %v", what, err)
			}
			os.RemoveAll(filepath.Dir(dir))
		}
	}
}
