package trace_test

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// gitIn runs git in a book, where there is one.
func gitIn(t testing.TB, dir string, args ...string) {
	t.Helper()
	if out, ok := oracle(t, dir, nil, "git", append([]string{"-c", "gc.auto=0", "-c", "safe.directory=*"}, args...)...); !ok {
		t.Fatalf("git %v: %s", args, out)
	}
}

// grown is a book with some commits, each object in a file of its own but for those that Build packed.
func grown(t *testing.T, commits int) (dir string, ids []string) {
	t.Helper()
	s := found(shore, berg, ivanov)
	for n := range commits {
		s.by(ivanov, fmt.Sprintf("overhauls/me1/c1/2024-01-%02d-h-%d.md", n%28+1, n), overhaul("a", fmt.Sprint(n)))
	}
	return s.book(t)
}

// What is asked for again and again is no object that rests on itself.
func TestAskedManyTimes(t *testing.T) {
	dir, ids := grown(t, 40)
	gitIn(t, dir, "repack", "-a", "-d", "-f", "-q")
	s, err := trace.OpenStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, id := range ids {
		tree, _, err := s.Commit(plumbing.NewHash(id))
		if err != nil {
			t.Fatal(err)
		}
		for n := range 40 {
			if err := s.Has(tree); err != nil {
				t.Fatalf("asked %d times: %v", n, err)
			}
		}
	}
}

// Git packs the objects anew while they are read, and takes away packs and files that were listed and not opened yet: everything is
// still found.
func TestRepackedWhileRead(t *testing.T) {
	dir, ids := grown(t, 2)
	for n := range 4 { // each commit in a pack of its own, but for the last
		gitIn(t, dir, "repack", "-d", "-q")
		d := exchange.Draft{Message: "one more", Signer: key(ivanov), Author: exchange.Person{Name: ivanov, Email: "x", When: zero.AddDate(1, 0, n)},
			Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", fmt.Sprint(n)))}}}
		id, err := exchange.Write(dir, d)
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, id)
	}
	for _, back := range []int{1, 2, 5} {
		s, err := trace.OpenStore(dir)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.Commit(plumbing.NewHash(ids[len(ids)-back])); err != nil {
			t.Fatal(err)
		}
		gitIn(t, dir, "-c", fmt.Sprint("pack.depth=", back), "repack", "-a", "-d", "-f", "-q")
		for n, commit := range ids {
			tree, _, err := s.Commit(plumbing.NewHash(commit))
			if err != nil {
				t.Fatalf("%d back, commit %d: %v", back, n, err)
			}
			if _, err := s.Differences(plumbing.ZeroHash, tree); err != nil {
				t.Errorf("%d back, commit %d: %v", back, n, err)
			}
		}
		s.Close()
	}
}

// Nothing is called broken by whoever reads while git packs without a pause.
func TestReadBesideRepacking(t *testing.T) {
	dir, ids := grown(t, 40)
	gitIn(t, dir, "version")
	runs := 3
	if os.Getenv("NEEDLEBOOK_LONG") != "" {
		runs = 60
	}
	stop, done := make(chan bool), make(chan int)
	go func() {
		n := 0
		for ; ; n++ {
			select {
			case <-stop:
				done <- n
				return
			default:
			}
			// Another depth of differences gives other packs.
			exec.Command("git", "-C", dir, "-c", fmt.Sprintf("pack.depth=%d", 1+n%9), "repack", "-a", "-d", "-f", "-q").Run()
		}
	}()
	for n := range runs {
		trail, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids), EveryText: true})
		if err != nil {
			t.Errorf("run %d: %v", n, err)
		} else if !trail.Proved || len(trail.Broken) > 0 {
			t.Errorf("run %d: %s, %v", n, trail.Headline, trail.Broken)
		}
	}
	close(stop)
	t.Logf("%d times packed beside %d runs", <-done, runs)
}

// A pack alone, or an index alone, is on its way or left behind: nobody reads it. Both together are read as soon as they are there.
func TestHalfAPack(t *testing.T) {
	dir, ids := grown(t, 3)
	whole, err := filepath.Glob(filepath.Join(dir, ".git/objects/pack/pack-*"))
	if err != nil || len(whole) != 2 {
		t.Fatal(whole, err)
	}
	for _, name := range whole {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		other := filepath.Join(filepath.Dir(name), "pack-"+strings.Repeat("ab", 20)+filepath.Ext(name))
		if err := os.WriteFile(other, text, 0o444); err != nil {
			t.Fatal(err)
		}
		if got := read(t, dir, ids); !got.Proved {
			t.Errorf("%s alone: %s", filepath.Ext(name), got.Headline)
		}
		os.Remove(other)
	}
	idx := strings.TrimSuffix(whole[0], filepath.Ext(whole[0])) + ".idx"
	s, err := trace.OpenStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	tip := plumbing.NewHash(ids[len(ids)-1])
	os.Rename(idx, idx+"-")
	if _, _, err := s.Object(tip); err == nil {
		t.Error("read from a pack without an index")
	}
	os.Rename(idx+"-", idx)
	if _, _, err := s.Object(tip); err != nil {
		t.Errorf("the index came: %v", err)
	}
}

// A damaged copy in a file of its own beside a good one in a pack: nothing is lost, whichever is looked at first, and the damaged one
// is named. The same with the good one outside the pack.
func TestDamagedCopies(t *testing.T) {
	dir, ids := grown(t, 3)
	if all, err := trace.DamagedCopies(dir); err != nil || len(all) > 0 {
		t.Errorf("of a good book: %v, %v", all, err)
	}
	tip := ids[len(ids)-1]
	loose := filepath.Join(dir, ".git/objects", tip[:2], tip[2:])
	os.MkdirAll(filepath.Dir(loose), 0o777)
	for _, damage := range []string{"", "garbage", "x\x9c\x03\x00\x00\x00\x00\x01"} {
		os.Remove(loose)
		if err := os.WriteFile(loose, []byte(damage), 0o444); err != nil {
			t.Fatal(err)
		}
		if got := read(t, dir, ids); !got.Proved {
			t.Errorf("%q: %s", damage, got.Headline)
		}
		all, err := trace.DamagedCopies(dir)
		if err != nil || len(all) != 1 || all[0].Path != "objects/"+tip[:2]+"/"+tip[2:] {
			t.Errorf("%q: %v, %v", damage, all, err)
		}
	}
	// The other way round: the pack lies, the file is whole.
	os.Remove(loose)
	s, err := trace.OpenStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, raw, err := s.Object(plumbing.NewHash(tip))
	s.Close()
	if err != nil {
		t.Fatal(err)
	}
	packAnew(t, dir, map[string][]byte{tip: bytes.Replace(raw, []byte("tree"), []byte("TREE"), 1)}, nil)
	os.MkdirAll(filepath.Dir(loose), 0o777)
	var file bytes.Buffer
	z := zlib.NewWriter(&file)
	fmt.Fprintf(z, "commit %d\x00%s", len(raw), raw)
	z.Close()
	if err := os.WriteFile(loose, file.Bytes(), 0o444); err != nil {
		t.Fatal(err)
	}
	if got := read(t, dir, ids); !got.Proved {
		t.Errorf("the pack lies: %s", got.Headline)
	}
}
