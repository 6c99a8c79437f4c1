package main

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"golang.org/x/crypto/ssh"

	"needlebook/example-vessel/invent"
	"needlebook/logbook/answered"
	"needlebook/logbook/exchange"
)

// said is what one run says, and its exit status.
func said(t *testing.T, again bool, args ...string) (text string, status int) {
	t.Helper()
	var out, aside bytes.Buffer
	p := &program{ctx: context.Background(), again: again}
	status = p.run(args, nil, &out, &aside)
	return out.String() + aside.String(), status
}

// signedShip is an invented ship under git, with a commit for each of her overhauls but the last.
func signedShip(t *testing.T, seed uint64, but int) (dir string, overhauls []string) {
	t.Helper()
	sum := sha256.Sum256([]byte("a key for tests"))
	signer, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(sum[:]))
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	v := invent.Vessel(seed, invent.Options{Overhauls: 6})
	v.Files["signers/allowed_signers"] = fmt.Appendf(nil, `a@ship namespaces="git,chief@needlebook,superintendent@needlebook" %s`,
		ssh.MarshalAuthorizedKey(signer.PublicKey()))
	person := exchange.Person{Name: "a", Email: "a@ship", When: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)}
	draft := exchange.Draft{Author: person, Message: "found", Signer: signer}
	for path, text := range v.Files {
		if strings.HasPrefix(path, "overhauls/") && strings.HasSuffix(path, ".md") {
			overhauls = append(overhauls, path)
			continue
		}
		draft.Changes = append(draft.Changes, exchange.Change{Path: path, Text: bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))})
	}
	slices.Sort(overhauls)
	steps := []exchange.Step{{Draft: draft}}
	for i, path := range overhauls {
		d := exchange.Draft{Author: person, Message: path, Signer: signer}
		d.Author.When = person.When.Add(time.Duration(i+1) * time.Hour)
		d.Changes = []exchange.Change{{Path: path, Text: bytes.ReplaceAll(v.Files[path], []byte("\r\n"), []byte("\n"))}}
		steps = append(steps, exchange.Step{Draft: d})
	}
	if _, err := exchange.Build(dir, steps[:len(steps)-but]); err != nil {
		t.Fatal(err)
	}
	return dir, overhauls
}

// A verb says again what it said only while nothing has changed that it depends on: a lie that is kept for a book as it is is told, and
// after any change, and to any other question, what is said is what a program says that remembers nothing.
func TestNothingOldIsSaid(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("NEEDLEBOOK_CACHE", cache)
	from, overhauls := signedShip(t, 5, 1)
	later, _ := signedShip(t, 5, 0)
	const lie = "all is well\n"
	last := overhauls[len(overhauls)-2]
	edit := func(name, old, new string) func(string) error {
		return func(dir string) error {
			name = filepath.Join(dir, filepath.FromSlash(name))
			text, err := os.ReadFile(name)
			if err == nil && !bytes.Contains(text, []byte(old)) {
				return fmt.Errorf("%s holds no %q", name, old)
			}
			if err != nil {
				return err
			}
			info, err := os.Stat(name)
			if err != nil {
				return err
			}
			if err := os.WriteFile(name, bytes.Replace(text, []byte(old), []byte(new), 1), 0o666); err != nil {
				return err
			}
			return os.Chtimes(name, info.ModTime(), info.ModTime()) // file times are nothing to go by
		}
	}
	nothing := func(string) error { return nil }
	for _, c := range []struct {
		name   string
		change func(dir string) error
		more   []string // arguments
	}{
		{"a record", edit(last, "0", "1"), nil},
		{"limits", edit("limits/"+only(t, from, "limits"), "0", "1"), nil},
		{"an instrument", edit("instruments/"+only(t, from, "instruments"), "0", "1"), nil},
		{"hours", edit("hours/"+only(t, from, "hours"), "0", "1"), nil},
		{"the register", edit("signers/allowed_signers", ",superintendent@needlebook", ""), nil},
		{"a record of another name", func(dir string) error {
			return os.Rename(filepath.Join(dir, last), filepath.Join(dir, last[:len(last)-3]+"x.md"))
		}, nil},
		{"a record is gone", func(dir string) error { return os.Remove(filepath.Join(dir, last)) }, nil},
		{"a folder more", func(dir string) error { return os.Mkdir(filepath.Join(dir, "elsewhere"), 0o777) }, nil},
		{"a commit more", func(dir string) error {
			return os.CopyFS(filepath.Join(dir, "new"), os.DirFS(later))
		}, []string{"--book", "new"}},
		{"the branch", func(dir string) error {
			return os.WriteFile(filepath.Join(dir, ".git", "HEAD"), []byte("ref: refs/heads/other\n"), 0o666)
		}, nil},
		{"another day", nothing, []string{"--on", "2019-01-01"}},
		{"today", nothing, []string{"--today", "2019-01-01"}},
		{"a link", func(dir string) error { return os.Symlink("book.md", filepath.Join(dir, "also.md")) }, nil},
		{"a file damaged", func(dir string) error {
			files, err := filepath.Glob(filepath.Join(cache, "*.answers"))
			for _, f := range files {
				text, _ := os.ReadFile(f)
				for i := 0; i < len(text); i += 40 {
					text[i]++
				}
				err = os.WriteFile(f, text, 0o600)
			}
			return err
		}, nil},
		{"another's key", func(dir string) error {
			return os.WriteFile(filepath.Join(cache, "key"), bytes.Repeat([]byte("k"), 32), 0o600)
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
				t.Fatal(err)
			}
			t.Chdir(dir)
			book, err := answered.Look(cache, dir)
			if err != nil {
				t.Fatal(err)
			}
			p := &program{args: []string{"check"}}
			if err := book.Keep(map[answered.Question][]byte{book.Ask(p.surroundings(dir)...): []byte("\x04" + lie)}); err != nil {
				t.Fatal(err)
			}
			if text, status := said(t, true, "check"); text != lie || status != 4 {
				t.Fatalf("what is kept is not said again: %q, status %d", text, status)
			}
			if err := c.change(dir); err != nil {
				t.Fatal(err)
			}
			for _, verb := range []string{"check", "show"} {
				args := append([]string{verb}, c.more...)
				if verb == "show" {
					args = append(args, strings.TrimSuffix(filepath.Base(overhauls[0]), ".md"))
				}
				want, status := said(t, false, args...)
				for range 2 {
					if is, s := said(t, true, args...); is != want || s != status || is == lie {
						t.Errorf("%v: status %d, want %d, and\n%.300s\nwant\n%.300s", args, s, status, is, want)
					}
				}
			}
		})
	}
}

// only is the first file of a folder.
func only(t *testing.T, dir, folder string) string {
	t.Helper()
	files, err := os.ReadDir(filepath.Join(dir, folder))
	if err != nil {
		t.Fatal(err)
	}
	return files[0].Name()
}

// What was told beside the answer, and what did not reach its reader, is not kept; nor what changed while it was worked out.
func TestOnlyWholeAnswersAreKept(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("NEEDLEBOOK_CACHE", cache)
	dir, overhauls := signedShip(t, 5, 0)
	t.Chdir(dir)
	kept := func() bool {
		book, err := answered.Look(cache, dir)
		if err != nil {
			t.Fatal(err)
		}
		_, ok := book.Answer(book.Ask((&program{args: []string{"due"}}).surroundings(dir)...))
		return ok
	}
	run := func(out *closing) {
		var aside bytes.Buffer
		(&program{ctx: context.Background(), again: true}).run([]string{"due"}, nil, out, &aside)
	}
	if run(&closing{after: 1}); kept() {
		t.Error("an answer that could not be written is kept")
	}
	if run(&closing{after: 1 << 20, then: func() {
		if err := os.WriteFile(overhauls[0], nil, 0o666); err != nil {
			t.Error(err)
		}
	}}); kept() {
		t.Error("an answer is kept for a book that changed meanwhile")
	}
	if run(&closing{after: 1 << 20}); !kept() {
		t.Error("no answer is kept")
	}
}

// closing is a stream that is closed after so many bytes, and does something at the first.
type closing struct {
	after int
	then  func()
}

func (c *closing) Write(text []byte) (int, error) {
	if c.then != nil {
		c.then()
		c.then = nil
	}
	if c.after -= len(text); c.after < 0 {
		return 0, os.ErrClosed
	}
	return len(text), nil
}

// What an edit opened and ended is told alike, whether what was found in the last commit is known or worked out, also when other files
// have changed since and when a commit came.
func TestAnEditIsToldAlike(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("NEEDLEBOOK_CACHE", cache)
	dir := demoBook(t)
	t.Chdir(dir)
	known := func() bool {
		book, err := answered.Look(cache, dir)
		if err != nil {
			t.Fatal(err)
		}
		p := &program{ctx: context.Background(), known: book}
		o, err := readFolder(p.ctx, dir, "", "", "", "")
		if err != nil {
			t.Fatal(err)
		}
		defer o.close()
		found, _ := p.atTip(o, &checking{})
		return found != nil
	}
	const record, second = "overhauls/me1/c3/2024-06-11-h-119.md", "overhauls/me1/c4/2024-01-24-h-104.md"
	for i, change := range []struct{ name, old, new string }{
		{record, "lift:", "lifft:"}, {record, "lifft:", "lift_:"}, {second, "date: 2024-01", "date: 2024-03"},
	} {
		text, err := os.ReadFile(change.name)
		if err == nil && !bytes.Contains(text, []byte(change.old)) {
			t.Fatalf("%s holds no %q", change.name, change.old)
		}
		if err == nil {
			err = os.WriteFile(change.name, bytes.ReplaceAll(text, []byte(change.old), []byte(change.new)), 0o666)
		}
		if err != nil {
			t.Fatal(err)
		}
		if known() != (i > 0) {
			t.Errorf("before edit %d it is known: %v", i, i == 0)
		}
		want, status := said(t, false, "check", change.name)
		if is, s := said(t, true, "check", change.name); is != want || s != status {
			t.Errorf("edit %d: status %d, want %d, and\n%s\nwant\n%s", i, s, status, is, want)
		}
	}
}

// Whoever signs is shown the stops of the files that are signed, and the book is judged only where there may be some.
func TestStopsOfSomeFiles(t *testing.T) {
	t.Setenv("NEEDLEBOOK_CACHE", "")
	dir, overhauls := signedShip(t, 5, 0)
	name := filepath.Join(dir, filepath.FromSlash(overhauls[1]))
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte("---\n"), []byte("---\nholder: \"H-0\"\n"), 1) // given twice: a stop
	if err := os.WriteFile(name, text, 0o666); err != nil {
		t.Fatal(err)
	}
	p := &program{ctx: context.Background(), err: terminal{Writer: os.Stderr}}
	whole, err := openFolder(p.ctx, dir, "", "", "", "")
	if err != nil {
		t.Fatal(err)
	}
	defer whole.close()
	judged := 0
	for _, name := range overhauls {
		var want []stopping
		for _, s := range stopsOf(whole.report) {
			if s.Path == name {
				want = append(want, s)
			}
		}
		o, err := readFolder(p.ctx, dir, "", "", "", "")
		if err != nil {
			t.Fatal(err)
		}
		is, err := p.stops(o, []string{name})
		o.close()
		if err != nil || !slices.Equal(is, want) {
			t.Errorf("%s: %v, %v; want %v", name, is, err, want)
		}
		if o.report != nil {
			judged++
		}
		if name == overhauls[1] && len(want) == 0 {
			t.Error("the record with a key given twice has no stop")
		}
	}
	if judged == 0 || judged == len(overhauls) {
		t.Errorf("the book was judged for %d of %d records", judged, len(overhauls))
	}
}

// Whoever signs is shown the stops that the last check found in the very same bytes, and after any change those that are there.
func TestStopsAreOfWhatIsSigned(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("NEEDLEBOOK_CACHE", cache)
	dir, overhauls := signedShip(t, 5, 0)
	t.Chdir(dir)
	stops := func() []stopping {
		t.Helper()
		p := &program{ctx: context.Background(), again: true, err: terminal{Writer: os.Stderr}}
		o, err := readFolder(p.ctx, dir, "", "", "", "")
		if err != nil {
			t.Fatal(err)
		}
		defer o.close()
		all, err := p.stops(o, overhauls)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	want := stops()
	said(t, true, "check")
	if is := stops(); !slices.Equal(is, want) {
		t.Errorf("after a check: %v, want %v", is, want)
	}
	other := t.TempDir()
	if err := os.CopyFS(other, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	dir = other
	t.Chdir(dir)
	lie := []stopping{{overhauls[0], "all stands still"}}
	text, _ := json.Marshal(lie)
	p := &program{ctx: context.Background(), again: true}
	if !p.remembers(dir) {
		t.Fatal("nothing is remembered")
	}
	if err := p.known.Keep(map[answered.Question][]byte{p.stopsAsked(dir, ""): text}); err != nil {
		t.Fatal(err)
	}
	if is := stops(); !slices.Equal(is, lie) {
		t.Errorf("what was found is not shown: %v", is)
	}
	if err := os.WriteFile(overhauls[0], []byte("---\n---\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if is := stops(); slices.Equal(is, lie) {
		t.Error("a stop of other bytes is shown")
	}
}

// What a verb says again depends on the book, the program and what is typed alone. A flag that is added to such a verb stands here once
// somebody has seen that it names no file to read or to write.
func TestRepeatingVerbsNameNoFile(t *testing.T) {
	seen := strings.Fields("all at before explain fail-on format limits-of on proof propose receipts since table watch help")
	p := &program{ctx: context.Background()}
	found := 0
	for _, c := range p.root().Commands() {
		if !slices.Contains(repeating, c.Name()) {
			continue
		}
		found++
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if !slices.Contains(seen, f.Name) && c.InheritedFlags().Lookup(f.Name) == nil {
				t.Errorf("%s --%s: may what it says be said again?", c.Name(), f.Name)
			}
		})
	}
	if found != len(repeating) {
		t.Errorf("%d of %d verbs are there", found, len(repeating))
	}
}
