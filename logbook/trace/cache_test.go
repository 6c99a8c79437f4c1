package trace_test

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// cacheFile is the one cache in a folder.
func cacheFile(t *testing.T, folder string) string {
	t.Helper()
	all, _ := filepath.Glob(filepath.Join(folder, "*.cache"))
	if len(all) != 1 {
		t.Fatalf("%d caches in %s", len(all), folder)
	}
	return all[0]
}

// both reads a book without a cache and with one, and fails unless the answers are the same.
func both(t *testing.T, what, dir string, o trace.Options, folder string) (*logbook.Trail, error) {
	t.Helper()
	plain, errPlain := trace.Read(dir, o)
	o.Cache = folder
	cached, errCached := trace.Read(dir, o)
	if (errPlain == nil) != (errCached == nil) || errPlain != nil && errPlain.Error() != errCached.Error() {
		t.Fatalf("%s: without the cache %v, with it %v", what, errPlain, errCached)
	}
	if !reflect.DeepEqual(plain, cached) {
		t.Fatalf("%s: without the cache %+v\nwith it %+v", what, plain, cached)
	}
	return cached, errCached
}

// A cache is only a faster way to the same answer: over honest histories and attacks, first, again, and
// after a further commit.
func TestCacheGivesTheSameAnswer(t *testing.T) {
	for seed := range count(12, 300) {
		f := newFleet(uint64(seed))
		if seed%2 == 1 {
			f.spoil = attacks[seed/2%len(attacks)].make
		}
		f.play(14 + seed%20)
		dir, ids := f.book(t)
		o := trace.Options{FoundingProof: proof(ids), EveryText: seed%3 == 0}
		folder := filepath.Join(t.TempDir(), "own")
		both(t, "first", dir, o, folder)
		if n := trace.Known(folder, dir); n == 0 {
			t.Fatal("nothing is kept")
		}
		both(t, "again", dir, o, folder)
		d := exchange.Draft{Message: "one more", Signer: key(ivanov), Author: exchange.Person{Name: ivanov, Email: "x", When: zero.AddDate(1, 0, 0)},
			Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", "1"))}}}
		if _, err := exchange.Write(dir, d); err != nil {
			t.Fatal(err)
		}
		before := trace.Known(folder, dir)
		both(t, "one more", dir, o, folder)
		if n := trace.Known(folder, dir); n != before+1 {
			t.Fatalf("%d commits known, then %d: the new one was not taken in alone", before, n)
		}
		both(t, "again with it", dir, o, folder)
	}
}

// rotten is a history with commits of every kind that does not stand.
func rotten(t *testing.T) (dir string, ids []string) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	s.by(nobody, record, overhaul("a", "2"))
	s.by(ivanov, record, overhaul("a", "3"))
	s.unsigned()
	s.by(berg, record, overhaul("a", "4"))
	dir, ids = s.book(t)
	loose(t, dir)
	ids[4] = forge(t, dir, ids[4], func(raw []byte) []byte {
		return []byte(strings.Replace(string(raw), "step 4", "step 5", 1)) // the signature is over other bytes
	})
	return dir, ids
}

// Whoever can write the cache, but not read the key that seals it, makes no bad signature good.
func TestForgedCacheIsNotBelieved(t *testing.T) {
	dir, ids := rotten(t)
	o := trace.Options{FoundingProof: proof(ids), EveryText: true}
	mine, his := filepath.Join(t.TempDir(), "own"), filepath.Join(t.TempDir(), "own")
	both(t, "honest", dir, o, mine)

	if err := trace.Forge(his, dir, string(key(shore).PublicKey().Marshal())); err != nil {
		t.Fatal(err)
	}
	forged := o
	forged.Cache = his
	if trail, err := trace.Read(dir, forged); err != nil || !trail.Commits[4].State.Speaks() {
		t.Fatalf("with the key that seals it the forgery must work, or this test shows nothing: %v, %v", trail.Commits[4], err)
	}
	text, err := os.ReadFile(cacheFile(t, his))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(cacheFile(t, mine), text, 0o600); err != nil {
		t.Fatal(err)
	}
	if trail, _ := both(t, "forged", dir, o, mine); trail.Proved || trail.Commits[4].State != logbook.BadSignature {
		t.Errorf("%s: %s", trail.Headline, trail.Commits[4].State)
	}
	if n := trace.Known(mine, dir); n != len(ids) {
		t.Errorf("the forgery was not replaced: %d commits known", n)
	}
}

// Any byte changed, any end cut off: the answer stays.
func TestDamagedCacheIsHarmless(t *testing.T) {
	dir, ids := rotten(t)
	o := trace.Options{FoundingProof: proof(ids)}
	folder := filepath.Join(t.TempDir(), "own")
	both(t, "honest", dir, o, folder)
	file := cacheFile(t, folder)
	good, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	step := len(good) / count(60, 2000)
	for at := 0; at < len(good); at += max(1, step) {
		bad := append([]byte{}, good...)
		bad[at] ^= 0x40
		for what, text := range map[string][]byte{"changed": bad, "cut": good[:at], "longer": append(append([]byte{}, good...), good[:at]...)} {
			if err := os.WriteFile(file, text, 0o600); err != nil {
				t.Fatal(err)
			}
			both(t, what, dir, o, folder)
		}
	}
}

// What happens to the object store after the reading is found with the cache as without it.
func TestCacheHoldsNoLongerThanTheBytes(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, dir string, ids []string)
		want  string
	}{
		{"a commit swapped", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[1])
			swap(t, dir, ids[1], plumbing.CommitObject, []byte(strings.Replace(string(raw), "step 1", "step 7", 1)))
		}, "holds other bytes"},
		{"a commit gone", func(t *testing.T, dir string, ids []string) {
			os.Remove(filepath.Join(dir, ".git/objects", ids[1][:2], ids[1][2:]))
		}, "is missing"},
		{"a commit gone from where it lies packed as well, and a swapped one put in", func(t *testing.T, dir string, ids []string) {
			oracle(t, dir, nil, "git", "repack", "-adq")
			trace.Read(dir, trace.Options{Cache: filepath.Join(dir, "../own")})
			_, raw := object(t, dir, ids[1])
			swap(t, dir, ids[1], plumbing.CommitObject, []byte(strings.Replace(string(raw), "step 1", "step 7", 1)))
		}, ""}, // the pack's is read, and the swapped one named: see TestDamagedCopies
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul("a", "1"))
			dir, ids := s.book(t)
			loose(t, dir)
			o, folder := trace.Options{FoundingProof: proof(ids)}, filepath.Join(dir, "../own")
			both(t, "before", dir, o, folder)
			c.spoil(t, dir, ids)
			_, err := both(t, "after", dir, o, folder)
			if damaged, _ := trace.DamagedCopies(dir); c.want == "" && (err != nil || len(damaged) != 1) {
				t.Errorf("%v, damaged %v", err, damaged)
			}
			var broken *trace.BrokenError
			if c.want != "" && (!errors.As(err, &broken) || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%v, want %s", err, c.want)
			}
		})
	}
}

// A key that others can read, and a folder that others can write, seal nothing.
func TestCacheNeedsAKeyOfItsOwn(t *testing.T) {
	dir, ids := rotten(t)
	o := trace.Options{FoundingProof: proof(ids)}
	for _, c := range []struct {
		name  string
		spoil func(folder string) error
	}{
		{"a key that the group can read", func(f string) error { return os.Chmod(filepath.Join(f, "key"), 0o640) }},
		{"a folder that all can write", func(f string) error { return os.Chmod(f, 0o777) }},
		{"a key cut short", func(f string) error { return os.Truncate(filepath.Join(f, "key"), 5) }},
		{"a key that is a link", func(f string) error {
			os.Rename(filepath.Join(f, "key"), filepath.Join(f, "elsewhere"))
			return os.Symlink("elsewhere", filepath.Join(f, "key"))
		}},
	} {
		folder := filepath.Join(t.TempDir(), "own")
		both(t, "before", dir, o, folder)
		if err := c.spoil(folder); err != nil {
			t.Fatal(err)
		}
		if n := trace.Known(folder, dir); n != 0 {
			t.Errorf("%s: %d commits are believed", c.name, n)
		}
		both(t, c.name, dir, o, folder)
	}
}
