package exchange

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// met counts the faults that were really met, by kind, in all tests of this run.
var met = struct {
	sync.Mutex
	of map[string]int
}{of: map[string]int{}}

func (f *faults) meet() {
	kind := "errors"
	switch {
	case f.lie:
		kind = "lies"
	case f.reads:
		kind = "read errors"
	case f.err == nil:
		kind = "kills"
	case f.err == syscall.ENOSPC:
		kind = "no room"
	case f.err == io.ErrShortWrite:
		kind = "short writes"
	}
	met.Lock()
	met.of[kind]++
	met.Unlock()
}

// sayMet prints what all tests together have met, none of which left anything unreadable, torn or falsely told.
func sayMet() {
	all, line := 0, ""
	for _, kind := range []string{"kills", "errors", "no room", "short writes", "read errors"} {
		line += fmt.Sprintf(", %s %d", kind, met.of[kind])
		all += met.of[kind]
	}
	if all > 0 {
		fmt.Printf("%d faults (%s): unreadable 0, torn 0, false success 0\n", all, line[2:])
	}
}

// spread are the calls to try of so many: every one in the long run, else four that stand for them.
func spread(count int64) (at []int64) {
	step := int64(1)
	if !long {
		step = max(1, (count+3)/4)
	}
	for n := 1 + (step-1)/2; n <= count; n += step {
		at = append(at, n)
	}
	return at
}

// kinds are the faults at the calls that change a disk and at those that read it.
func kinds(changes, reads *faults) (all []*faults) {
	for _, n := range spread(changes.count) {
		all = append(all, &faults{at: n}, &faults{at: n, err: syscall.ENOSPC})
		if slices.Contains(changes.writes, n) {
			all = append(all, &faults{at: n, err: io.ErrShortWrite}, &faults{at: n, torn: true})
		}
		if long {
			all = append(all, &faults{at: n, after: true}, &faults{at: n, err: syscall.EIO})
		}
	}
	for _, n := range spread(reads.count) {
		all = append(all, &faults{at: n, err: syscall.EIO, reads: true})
	}
	return all
}

// A work is something that changes a book, and how one sees that it was done.
type work struct {
	name string
	at   string // folder that it is done in a copy of
	do   func(r *repository) error
	done func(dir string) error
}

// works are those that no other test disturbs at every call.
func works(t *testing.T) (all []work) {
	add := func(name, at string, do func(*repository) error, done func(dir string) error) {
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
	takes := func(tip string) func(*repository) error {
		return func(r *repository) error {
			d := Draft{Author: draft(9).Author, Message: "merge", Signer: testKey}
			_, err := r.takeIn(t.Context(), hashes([]string{tip})[0], &d, anyPath)
			return err
		}
	}
	both, ids := meetingBook(t, side1([]int{0}, set1(recordPath, replaced1("0.76", "0.75"), "parts/n-3.md", "3\n", "hours/me1.csv", "date,counter_h,note\nb\n")...),
		side1([]int{0}, set1("parts/n-1.md", "", "hours/me1.csv", "date,counter_h,note\na\n")...))
	add("take in, a merge", both, takes(ids[1]), stands(ids[1]))

	in := waiting(t)
	if err := in.again(in.from, &faults{}); err != nil {
		t.Fatal(err)
	}
	add("take in, a step", in.from, takes(in.tip), stands(in.tip))

	lots := func(do func(*Post) error) func(*repository) error {
		return func(r *repository) error { return do(&Post{r, "ship"}) }
	}
	says := func(want string, ask func(*Post) (any, error)) func(string) error {
		return func(dir string) error {
			p, err := OpenPost(dir, "ship")
			if err != nil {
				return err
			}
			if got, err := ask(p); err != nil || fmt.Sprint(got) != want {
				return fmt.Errorf("it says %v (%v), want %s", got, err, want)
			}
			return nil
		}
	}
	bag, err := PackBag(t.Context(), both, nil, "", false)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := mailbag.Split(bag.Text, int64(len(bag.Text)/2))
	if err != nil || len(parts) < 2 {
		t.Fatal(len(parts), err)
	}
	sent := Parcelled{Bag: parts[0].Bag, UpTo: bag.Tip, Size: int64(len(bag.Text) / 2)}
	packed := filepath.Join(scratch(t), "book")
	if err := os.CopyFS(packed, os.DirFS(both)); err != nil {
		t.Fatal(err)
	}
	lack := mailbag.Lack{Bag: sent.Bag, Parts: []int{1}}
	wants := func(p *Post) (any, error) { list, err := p.Again(t.Context()); return len(list), err }
	if err := on(packed, &faults{}, lots(func(p *Post) error { return p.Sent(sent) })); err != nil {
		t.Fatal(err)
	}
	add("mailbag: sent", both, lots(func(p *Post) error { return p.Sent(sent) }),
		says("1", func(p *Post) (any, error) { k, err := p.load(); return len(k.Sent), err }))
	add("mailbag: an acknowledgement", packed, lots(func(p *Post) error {
		return errors.Join(p.Holds(ids[1]), p.Asked([]mailbag.Lack{lack}, 3))
	}), func(dir string) error {
		return errors.Join(says("1", wants)(dir), says("["+ids[1]+"]", func(p *Post) (any, error) { return p.Has() })(dir))
	})
	add("mailbag: the parts", both, lots(func(p *Post) error {
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
	}), says("[]", func(p *Post) (any, error) { return p.Waiting() }))
	add("mailbag: opened", both, lots(func(p *Post) error {
		return errors.Join(p.Opened(sent.Bag, ids[1]), p.r.setRef(p.From(), hashes(ids[1:2])[0]))
	}), says(ids[1], func(p *Post) (any, error) { return p.Seen() }))

	harmed := func(name string, harm func(dir string) error) {
		dir := filepath.Join(scratch(t), "book")
		if err := errors.Join(os.CopyFS(dir, os.DirFS(packed)), harm(dir)); err != nil {
			t.Fatal(err)
		}
		add("mend, "+name, dir, func(r *repository) error { return repairAll(r.dir, r.disk) }, stands(ids[2]))
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
func repairAll(dir string, disk func(string) durable) error {
	for range 8 {
		found, err := troubles(dir, disk)
		if err != nil {
			return err
		}
		found = slices.DeleteFunc(found, func(f Trouble) bool { return f.Remedy == "" })
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
			dir := filepath.Join(scratch(t), "book")
			if err := os.CopyFS(dir, os.DirFS(w.at)); err != nil {
				t.Fatal(err)
			}
			return dir
		}
		clean, reads := &faults{}, &faults{reads: true}
		for _, f := range []*faults{clean, reads} {
			dir := fresh()
			if err := errors.Join(on(dir, f, w.do), w.done(dir)); err != nil {
				t.Fatalf("%s, undisturbed: %v", w.name, err)
			}
		}
		if clean.count < 3 || reads.count < 3 {
			t.Errorf("%s: only %d calls that change and %d that read", w.name, clean.count, reads.count)
		}
		for i, f := range kinds(clean, reads) {
			dir := fresh()
			told := on(dir, f, w.do)
			what := fmt.Sprintf("%s, call %d (%v, torn %v, behind %v, reads %v), told %v", w.name, f.at, f.err, f.torn, f.after, f.reads, told)
			if told == nil {
				if err := w.done(dir); err != nil {
					t.Errorf("%s: false success: %v", what, err)
				}
			}
			var needs *NeedsError
			var missing *IncompleteError
			var hostile *HostileError
			var form *packs.FormError
			if errors.As(told, &form) || errors.As(told, &needs) || errors.As(told, &missing) || errors.As(told, &hostile) || errors.Is(told, ErrUnrelated) || errors.Is(told, trace.ErrUnborn) {
				t.Errorf("%s: falsely accused", what)
			}
			if i%2 == 0 || strings.HasPrefix(w.name, "mend") {
				if err := repairAll(dir, newDurable); err != nil {
					t.Errorf("%s: mend: %v", what, err)
				}
			} else {
				unlock(dir)
			}
			if trail, err := trace.Read(dir, trace.Options{EveryText: true}); err != nil || len(trail.Broken) > 0 {
				t.Errorf("%s: the history: %v", what, err)
			}
			if _, err := PackBag(t.Context(), dir, nil, "", false); err != nil {
				t.Errorf("%s: nothing can be sent: %v", what, err)
			}
			if err := on(dir, &faults{}, w.do); err != nil {
				t.Errorf("%s: the next try: %v", what, err)
			} else if err := w.done(dir); err != nil {
				t.Errorf("%s: the next try: %v", what, err)
			}
			os.RemoveAll(filepath.Dir(dir))
		}
	}
}

// unlock takes the locks of a dead program away, as a hand would.
func unlock(dir string) {
	filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if strings.HasSuffix(p, ".lock") {
			os.Remove(p)
		}
		return err
	})
}
