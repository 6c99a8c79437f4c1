package trace_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-billy/v5/osfs"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/cache"
	"github.com/go-git/go-git/v5/storage/filesystem"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// The hands of the test book, each with a key of his own that is the same on every machine.
const (
	shore  = "shore@superintendent"
	berg   = "berg@chief-engineer"
	petrov = "petrov@next-chief"
	ivanov = "ivanov@second-engineer"
	reyes  = "reyes@third-engineer"
	nobody = "nobody@nowhere"
)

var roles = map[string][]string{
	shore: {"superintendent"}, berg: {"engineer", "chief"}, petrov: {"engineer", "chief"}, ivanov: {"engineer"}, reyes: {"engineer"},
}

func key(name string) ssh.Signer {
	seed := sha256.Sum256([]byte("needlebook test key of " + name))
	s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(seed[:]))
	if err != nil {
		panic(err)
	}
	return s
}

// zero is the minute from which the test book's commits count.
var zero = time.Date(2024, 1, 1, 12, 0, 0, 0, time.UTC)

// line is a hand's line of the register; a date is as in a line, or empty.
func line(name string, as []string, after, before string) string {
	date := func(s string) (t time.Time) {
		if s != "" {
			t, _ = time.Parse("200601021504"[:len(s)], s)
		}
		return t
	}
	text, err := trace.SignersLine(name, as, date(after), date(before), key(name).PublicKey(), "")
	if err != nil {
		panic(err)
	}
	return text + "\n"
}

func lines(names ...string) string {
	text := ""
	for _, n := range names {
		text += line(n, roles[n], "20240101", "")
	}
	return text
}

// tale is a history in the making.
type tale struct{ steps []exchange.Step }

// found begins a tale with the register of these hands and some limits.
func found(names ...string) *tale {
	t := &tale{}
	t.by(shore, "signers/allowed_signers", lines(names...), "limits/qz.md", "---\ntype: QZ\n---\n", ".gitattributes", exchange.Attributes)
	return t
}

// by adds a commit: paths and texts in turn; an empty text takes the file out, "->PATH" moves it there.
// It returns the commit's number.
func (t *tale) by(name string, changes ...string) int {
	return t.at(name, 10*len(t.steps), nil, changes...)
}

// from is by with the parents given.
func (t *tale) from(parents []int, name string, changes ...string) int {
	return t.at(name, 10*len(t.steps), parents, changes...)
}

func (t *tale) at(name string, minute int, parents []int, changes ...string) int {
	d := exchange.Draft{Message: fmt.Sprintf("step %d", len(t.steps)), Signer: key(name),
		Author: exchange.Person{Name: name, Email: "hand@example.org", When: zero.Add(time.Duration(minute) * time.Minute)}}
	for i := 0; i < len(changes); i += 2 {
		c := exchange.Change{Path: changes[i], Text: []byte(changes[i+1])}
		if to, moves := strings.CutPrefix(changes[i+1], "->"); moves {
			c = exchange.Change{Path: to, From: changes[i]}
		} else if changes[i+1] == "" {
			c = exchange.Change{Path: changes[i], Delete: true}
		}
		d.Changes = append(d.Changes, c)
	}
	t.steps = append(t.steps, exchange.Step{Draft: d, Parents: parents})
	return len(t.steps) - 1
}

// unsigned takes the signature off the last commit.
func (t *tale) unsigned() { t.steps[len(t.steps)-1].Signer = nil }

// scratch is a folder in memory where there is one: hundreds of small books need not wait for a disk.
func scratch(tb testing.TB) string {
	tb.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "needlebook-test-")
	if err != nil {
		return tb.TempDir()
	}
	tb.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// book writes the tale into a folder and returns the ids of its commits.
func (t *tale) book(tb testing.TB) (dir string, ids []string) {
	tb.Helper()
	dir = filepath.Join(scratch(tb), "book")
	ids, err := exchange.Build(dir, t.steps)
	if err != nil {
		tb.Fatal(err)
	}
	return dir, ids
}

func proof(ids []string) string {
	return ids[0] + "@" + ssh.FingerprintSHA256(key(shore).PublicKey())
}

// read reads the book against the founding proof.
func read(tb testing.TB, dir string, ids []string) *logbook.Trail {
	tb.Helper()
	t, err := verified(tb, tb.Name(), dir, ids)
	if err != nil {
		tb.Fatal(err)
	}
	return t
}

// verified reads the book against the founding proof, which comes to its end whatever is in the history.
func verified(tb testing.TB, what, dir string, ids []string) (trail *logbook.Trail, err error) {
	tb.Helper()
	err = ending.Within(tb, what+", verify", func(ctx context.Context) (err error) {
		trail, err = trace.Read(dir, trace.Options{FoundingProof: proof(ids), EveryText: true, Context: ctx})
		return err
	})
	return trail, err
}

// overhaul is a record with one value after the other.
func overhaul(values ...string) string {
	text := "---\nholder: \"H-1\"\n"
	for i := 0; i+1 < len(values); i += 2 {
		text += values[i] + ": " + values[i+1] + "\n"
	}
	return text + "---\n"
}

const record = "overhauls/me1/c1/2024-01-01-h-1.md"

// storage opens a repository for what a history must not hold.
func storage(dir string) *filesystem.Storage {
	return filesystem.NewStorage(osfs.New(filepath.Join(dir, ".git"), osfs.WithBoundOS()), cache.NewObjectLRUDefault())
}

func object(tb testing.TB, dir, hex string) (plumbing.ObjectType, []byte) {
	tb.Helper()
	s := storage(dir)
	defer s.Close()
	o, err := s.EncodedObject(plumbing.AnyObject, plumbing.NewHash(hex))
	if err != nil {
		tb.Fatal(err)
	}
	r, err := o.Reader()
	if err != nil {
		tb.Fatal(err)
	}
	raw, err := io.ReadAll(r)
	if err != nil {
		tb.Fatal(err)
	}
	return o.Type(), raw
}

// put stores an object and returns its id.
func put(tb testing.TB, dir string, kind plumbing.ObjectType, raw []byte) string {
	tb.Helper()
	s := storage(dir)
	defer s.Close()
	o := s.NewEncodedObject()
	o.SetType(kind)
	w, _ := o.Writer()
	w.Write(raw)
	w.Close()
	h, err := s.SetEncodedObject(o)
	if err != nil {
		tb.Fatal(err)
	}
	return h.String()
}

func setTip(tb testing.TB, dir, hex string) {
	tb.Helper()
	if err := os.WriteFile(filepath.Join(dir, ".git/refs/heads/main"), []byte(hex+"\n"), 0o666); err != nil {
		tb.Fatal(err)
	}
}

// forge replaces the tip by a commit made of its bytes.
func forge(tb testing.TB, dir, tip string, f func([]byte) []byte) string {
	tb.Helper()
	_, raw := object(tb, dir, tip)
	hex := put(tb, dir, plumbing.CommitObject, f(bytes.Clone(raw)))
	setTip(tb, dir, hex)
	return hex
}

// commitOn makes a commit on the tip that only adds a file, without asking whether the tip makes sense.
func commitOn(tb testing.TB, dir, who, path, text string) string {
	tb.Helper()
	tip, err := os.ReadFile(filepath.Join(dir, ".git/refs/heads/main"))
	if err != nil {
		tb.Fatal(err)
	}
	parent := strings.TrimSpace(string(tip))
	_, raw := object(tb, dir, parent)
	_, root := object(tb, dir, string(raw[5:45]))
	id, names := put(tb, dir, plumbing.BlobObject, []byte(text)), strings.Split(path, "/")
	for i := len(names) - 1; i > 0; i-- {
		mode := "40000"
		if i == len(names)-1 {
			mode = "100644"
		}
		id = put(tb, dir, plumbing.TreeObject, leaf(tb, mode, names[i], id))
	}
	entries, err := trace.ParseTree(root)
	if err != nil {
		tb.Fatal(err)
	}
	entries = append(entries, trace.Entry{Name: names[0], Mode: "40000", ID: plumbing.NewHash(id)})
	sort.Slice(entries, func(i, j int) bool { return entries[i].Name < entries[j].Name })
	var tree []byte
	for _, e := range entries {
		tree = append(tree, leaf(tb, e.Mode, e.Name, e.ID.String())...)
	}
	at := zero.Add(2 * time.Hour).Unix()
	commit := fmt.Appendf(nil, "tree %s\nparent %s\nauthor %s <x> %d +0000\ncommitter %s <x> %d +0000\n\nmore\n", put(tb, dir, plumbing.TreeObject, tree), parent, who, at, who, at)
	hex := put(tb, dir, plumbing.CommitObject, resign(tb, commit, key(who), "git"))
	setTip(tb, dir, hex)
	return hex
}

// resign signs a commit's bytes anew.
func resign(tb testing.TB, raw []byte, signer ssh.Signer, namespace string) []byte {
	tb.Helper()
	armour, err := exchange.Sign(raw, signer, namespace)
	if err != nil {
		tb.Fatal(err)
	}
	return withHeader(raw, "gpgsig", armour)
}

// withHeader puts a folded header behind the committer's.
func withHeader(raw []byte, name string, value []byte) []byte {
	head, body, _ := bytes.Cut(raw, []byte("\n\n"))
	folded := strings.ReplaceAll(strings.TrimSuffix(string(value), "\n"), "\n", "\n ")
	return fmt.Appendf(nil, "%s\n%s %s\n\n%s", head, name, folded, body)
}

// withoutSignature takes the gpgsig header off.
func withoutSignature(raw []byte) []byte {
	head, body, _ := bytes.Cut(raw, []byte("\n\n"))
	before, _, _ := bytes.Cut(head, []byte("\ngpgsig "))
	return fmt.Appendf(nil, "%s\n\n%s", before, body)
}

// oracle runs a program of the system that judges independently of this one; it says how it ended.
func oracle(tb testing.TB, dir string, stdin []byte, name string, args ...string) (out string, ok bool) {
	tb.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			tb.Fatalf("%s is wanted for the wider tests: %v", name, err)
		}
		tb.Skipf("%s is not installed", name)
	}
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Stdin = dir, bytes.NewReader(stdin)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1", "GIT_NO_REPLACE_OBJECTS=1", "TZ=UTC", "LC_ALL=C"}
	b, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		tb.Fatal(err)
	}
	return string(b), err == nil
}
