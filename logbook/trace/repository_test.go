package trace_test

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/go-git/go-git/v5/plumbing"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

// write puts a file into a folder of a repository.
func write(t testing.TB, dir, name, text string) {
	t.Helper()
	p := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(p), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// appendTo adds to the repository's config.
func appendTo(t testing.TB, dir, name, text string) {
	t.Helper()
	old, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	write(t, dir, name, string(old)+text)
}

func TestRepositoriesThatAreNotRead(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, dir string)
		want  error
	}{
		{"a plain folder", func(t *testing.T, dir string) { os.RemoveAll(filepath.Join(dir, ".git")) }, trace.ErrNotRepository},
		{"a .git without HEAD", func(t *testing.T, dir string) { os.Remove(filepath.Join(dir, ".git/HEAD")) }, trace.ErrNotRepository},
		{"a .git file that leads nowhere", func(t *testing.T, dir string) {
			os.RemoveAll(filepath.Join(dir, ".git"))
			write(t, dir, ".git", "gitdir: ../elsewhere\n")
		}, trace.ErrNotRepository},
		{"no commit yet", func(t *testing.T, dir string) { os.Remove(filepath.Join(dir, ".git/refs/heads/main")) }, trace.ErrUnborn},
		{"D11 a shallow clone", func(t *testing.T, dir string) {
			write(t, dir, ".git/shallow", strings.Repeat("1", 40)+"\n")
		}, trace.ErrShallow},
		{"E20 borrowed objects", func(t *testing.T, dir string) { write(t, dir, ".git/objects/info/alternates", "/else/objects\n") }, trace.ErrAlternates},
		{"E21 SHA-256 names", func(t *testing.T, dir string) {
			appendTo(t, dir, ".git/config", "[extensions]\n\tobjectFormat = sha256\n")
		}, trace.ErrSHA256},
		{"E23 a partial clone", func(t *testing.T, dir string) {
			appendTo(t, dir, ".git/config", "[extensions]\n\tpartialClone = origin\n")
		}, trace.ErrPartial},
		{"E23 a remote that promises", func(t *testing.T, dir string) {
			appendTo(t, dir, ".git/config", "[remote \"origin\"]\n\tpromisor = true\n")
		}, trace.ErrPartial},
		{"E22 another storage", func(t *testing.T, dir string) {
			appendTo(t, dir, ".git/config", "[extensions]\n\trefStorage = reftable\n")
		}, trace.ErrExtension},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, _ := found(shore).book(t)
			c.spoil(t, dir)
			if _, err := trace.Read(dir, trace.Options{}); !errors.Is(err, c.want) {
				t.Errorf("Read: %v, want %v", err, c.want)
			}
			if _, err := trace.FS(dir, ""); !errors.Is(err, c.want) {
				t.Errorf("FS: %v, want %v", err, c.want)
			}
		})
	}
}

// HEAD or the branch file that cannot be read must never look like a book without history.
func TestRefsAreReadStrictly(t *testing.T) {
	for _, c := range []struct{ name, file, text, want string }{
		{"E18 HEAD at a commit that is missing", ".git/HEAD", strings.Repeat("1", 40) + "\n", "is missing"},
		{"E16 an empty branch file", ".git/refs/heads/main", "", "is empty"},
		{"E17 garbage in the branch file", ".git/refs/heads/main", "main\n", "instead of a commit"},
		{"a branch file cut short", ".git/refs/heads/main", "1234567\n", "instead of a commit"},
		{"E18 garbage in HEAD", ".git/HEAD", "what\n", "HEAD holds"},
		{"an empty HEAD", ".git/HEAD", "", "is empty"},
		{"a branch at a commit that is missing", ".git/refs/heads/main", strings.Repeat("1", 40) + "\n", "is missing"},
	} {
		dir, _ := found(shore).book(t)
		write(t, dir, c.file, c.text)
		_, err := trace.Read(dir, trace.Options{})
		var broken *trace.BrokenError
		if !errors.As(err, &broken) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want a broken repository that %s", c.name, err, c.want)
		}
	}
}

func TestRefsFound(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	s.by(ivanov, record, overhaul("a", "1"))
	dir, ids := s.book(t)
	write(t, dir, ".git/refs/tags/first", ids[0]+"\n")
	tag := put(t, dir, plumbing.TagObject, []byte("object "+ids[1]+"\ntype commit\ntag t\ntagger x <x> 1704110400 +0000\n\nt\n"))
	os.Remove(filepath.Join(dir, ".git/refs/heads/main"))
	write(t, dir, ".git/packed-refs", "# pack-refs with: peeled\n"+ids[2]+" refs/heads/main\n"+tag+" refs/tags/noted\n^"+ids[1]+"\n")
	for rev, want := range map[string]string{
		"": ids[2], "HEAD": ids[2], "main": ids[2], "refs/heads/main": ids[2], "first": ids[0], "noted": ids[1],
		"HEAD~2": ids[0], "main^": ids[1], "HEAD^^": ids[0], ids[1]: ids[1], ids[1][:9]: ids[1], ids[1][:8] + "^": ids[0],
	} {
		tree, err := trace.FS(dir, rev)
		if err != nil || tree.Commit != want {
			t.Errorf("%q: %v, want %s", rev, err, want)
		}
	}
	for _, rev := range []string{"HEAD~9", "nothing", "../x", "0000000", strings.Repeat("1", 40), "--all", "HEAD:book.md", "~1"} {
		if _, err := trace.FS(dir, rev); !errors.Is(err, trace.ErrNoRevision) {
			t.Errorf("%q: %v, want %v", rev, err, trace.ErrNoRevision)
		}
	}
	t.Run("E19 packed-refs alone", func(t *testing.T) {
		if trail := read(t, dir, ids); trail.Head != ids[2] || trail.Branch != "main" || !trail.Proved {
			t.Errorf("head %s, branch %q: %s", trail.Head, trail.Branch, trail.Headline)
		}
	})
	t.Run("E18 HEAD at a commit, as after a checkout of one", func(t *testing.T) {
		write(t, dir, ".git/HEAD", ids[1]+"\n")
		trail := read(t, dir, ids)
		if trail.Head != ids[1] || trail.Branch != "" || len(trail.Commits) != 2 {
			t.Errorf("detached: head %s, branch %q", trail.Head, trail.Branch)
		}
	})
}

func TestLinkedWorkTree(t *testing.T) { t.Run("M10 a .git that is a file", linkedWorkTree) }

func linkedWorkTree(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul(), "photos/tip.txt", strings.Repeat("a picture is larger than what a storage holds at once\n", 400))
	dir, ids := s.book(t)
	linked := filepath.Join(t.TempDir(), "linked")
	if out, ok := oracle(t, dir, nil, "git", "worktree", "add", "-q", linked, "-b", "side"); !ok {
		t.Fatal(out)
	}
	trail := read(t, linked, ids)
	if !trail.Proved || trail.Branch != "side" || len(trail.WorkTree) != 0 {
		t.Errorf("%s, branch %q, %v", trail.Headline, trail.Branch, trail.WorkTree)
	}
	id, err := exchange.Write(linked, exchange.Draft{Message: "x", Author: exchange.Person{Name: "x", Email: "x", When: zero}, Signer: key(ivanov),
		Changes: []exchange.Change{{Path: record, Text: []byte(overhaul("a", "1"))}}})
	if err != nil {
		t.Fatal(err)
	}
	if out, _ := oracle(t, linked, nil, "git", "log", "-1", "--format=%H %G?"); out != id+" G\n" {
		t.Errorf("git log: %s", out)
	}
	if out, _ := oracle(t, linked, nil, "git", "status", "--porcelain"); out != "" {
		t.Errorf("git status: %s", out)
	}
	oracle(t, dir, nil, "git", "gc", "-q", "--prune=now") // every object in a pack of the folder that both share
	if trail := read(t, linked, ids); !trail.Proved {
		t.Errorf("packed: %s %v", trail.Headline, trail.Broken)
	}
}

// swap stores other bytes under an object's id, as somebody could who edits the disk below git.
func swap(t *testing.T, dir, hex string, kind plumbing.ObjectType, raw []byte) {
	t.Helper()
	swapHeader(t, dir, hex, fmt.Sprintf("%s %d", kind, len(raw)), raw)
}

func swapHeader(t *testing.T, dir, hex, header string, raw []byte) {
	t.Helper()
	var b bytes.Buffer
	z := zlib.NewWriter(&b)
	z.Write(append([]byte(header), 0))
	z.Write(raw)
	z.Close()
	file := filepath.Join(dir, ".git/objects", hex[:2], hex[2:])
	os.Remove(file)
	write(t, dir, ".git/objects/"+hex[:2]+"/"+hex[2:], b.String())
}

// loose takes the pack apart, so that single objects can be reached.
func loose(t *testing.T, dir string) {
	t.Helper()
	packs, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*.pack"))
	for _, p := range packs {
		text, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		os.Remove(p)
		os.Remove(strings.TrimSuffix(p, "pack") + "idx")
		if out, ok := oracle(t, dir, text, "git", "unpack-objects", "-q"); !ok {
			t.Fatal(out)
		}
	}
}

// Git shows swapped bytes with every signature good; only its fsck notices.
func TestSwappedBytes(t *testing.T) {
	t.Run("E01 D08 a text swapped where it lies loose", func(t *testing.T) { swappedBytes(t, loose) })
	t.Run("E02 D08 a text swapped where it lies packed", func(t *testing.T) { swappedBytes(t, nil) })
}

func swappedBytes(t *testing.T, apart func(t *testing.T, dir string)) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("opening_pressure", "340 bar"))
	dir, ids := s.book(t)
	if apart != nil {
		apart(t, dir)
	}
	if trail := read(t, dir, ids); !trail.Proved {
		t.Fatal(trail.Headline)
	}
	text := plumbing.ComputeHash(plumbing.BlobObject, []byte(overhaul("opening_pressure", "340 bar"))).String()
	if forged := []byte(overhaul("opening_pressure", "240 bar")); apart != nil {
		swap(t, dir, text, plumbing.BlobObject, forged)
	} else {
		packAnew(t, dir, map[string][]byte{text: forged}, nil)
	}
	if out, ok := oracle(t, dir, nil, "git", "verify-commit", ids[1]); !ok {
		t.Errorf("git is expected not to notice: %s", out)
	}
	trail := read(t, dir, ids)
	if len(trail.Broken) != 1 || trail.Broken[0].Path != record || trail.Broken[0].Blob != text || trail.Proved ||
		!strings.Contains(trail.Headline, "the stored text of "+record+" is broken: object "+text[:12]+" holds other bytes") {
		t.Errorf("broken %v, headline %q", trail.Broken, trail.Headline)
	}
	// Of a revision every text is looked at, since no folder holds it.
	if trail, err := trace.Read(dir, trace.Options{Rev: "HEAD"}); err != nil || len(trail.Broken) != 1 {
		t.Errorf("at HEAD: broken %v, headline %q, %v", trail.Broken, trail.Headline, err)
	}
	tree, err := trace.FS(dir, "")
	if err != nil {
		t.Fatal(err)
	}
	defer tree.Close()
	got, err := tree.ReadFile(record)
	var broken *trace.BrokenError
	if got != nil || !errors.As(err, &broken) || broken.ID != text {
		t.Errorf("FS gives %q, %v", got, err)
	}
}

func TestBrokenObjects(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, dir string, ids []string)
		want  string
	}{
		{"E08 another kind in the header", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[0])
			swapHeader(t, dir, ids[0], fmt.Sprintf("blob %d", len(raw)), raw)
		}, "holds other bytes"},
		{"E04 a commit swapped", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[0])
			swap(t, dir, ids[0], plumbing.CommitObject, bytes.Replace(raw, []byte("step 0"), []byte("step 7"), 1))
		}, "holds other bytes"},
		{"E03 a tree swapped", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[1])
			swap(t, dir, string(raw[5:45]), plumbing.TreeObject, nil)
		}, "holds other bytes"},
		{"a tree in the place of a commit", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[1])
			setTip(t, dir, string(raw[5:45]))
		}, "is a tree, wanted a commit"},
		{"E05 an object of no bytes", func(t *testing.T, dir string, ids []string) {
			os.Chmod(filepath.Join(dir, ".git/objects", ids[0][:2], ids[0][2:]), 0o600)
			write(t, dir, ".git/objects/"+ids[0][:2]+"/"+ids[0][2:], "")
		}, "cannot be read"},
		{"E06 an object cut short", func(t *testing.T, dir string, ids []string) {
			file := filepath.Join(dir, ".git/objects", ids[0][:2], ids[0][2:])
			text, _ := os.ReadFile(file)
			os.Remove(file)
			write(t, dir, ".git/objects/"+ids[0][:2]+"/"+ids[0][2:], string(text[:len(text)/2]))
		}, "cannot be read"},
		{"E15 a parent that is missing", func(t *testing.T, dir string, ids []string) {
			os.Remove(filepath.Join(dir, ".git/objects", ids[0][:2], ids[0][2:]))
		}, "is missing"},
		{"F17 an unsorted tree", func(t *testing.T, dir string, ids []string) {
			text := hexBytes(put(t, dir, plumbing.BlobObject, []byte("x")))
			raw := append(append([]byte("100644 b.md\x00"), text...), append([]byte("100644 a.md\x00"), text...)...)
			tree := put(t, dir, plumbing.TreeObject, raw)
			forge(t, dir, ids[1], func(raw []byte) []byte { return append([]byte("tree "+tree), raw[45:]...) })
		}, "not in order"},
		{"F15 one name twice in a tree", func(t *testing.T, dir string, ids []string) {
			text := hexBytes(put(t, dir, plumbing.BlobObject, []byte("x")))
			raw := append(append([]byte("100644 a.md\x00"), text...), append([]byte("100644 a.md\x00"), text...)...)
			tree := put(t, dir, plumbing.TreeObject, raw)
			forge(t, dir, ids[1], func(raw []byte) []byte { return append([]byte("tree "+tree), raw[45:]...) })
		}, "not in order"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul())
			dir, ids := s.book(t)
			loose(t, dir)
			c.spoil(t, dir, ids)
			_, err := trace.Read(dir, trace.Options{})
			var broken *trace.BrokenError
			if !errors.As(err, &broken) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %s", err, c.want)
			}
		})
	}
}

// refs/replace and grafts show another history to git; they are not followed here.
func TestReplacedObjectsAreNotFollowed(t *testing.T) {
	t.Run("D09 D10 refs/replace and grafts", replacedObjects)
}

func replacedObjects(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"))
	dir, ids := s.book(t)
	text := plumbing.ComputeHash(plumbing.BlobObject, []byte(overhaul("a", "1"))).String()
	forged := put(t, dir, plumbing.BlobObject, []byte(overhaul("a", "9")))
	write(t, dir, ".git/refs/replace/"+text, forged+"\n")
	write(t, dir, ".git/info/grafts", ids[1]+"\n")
	tree, err := trace.FS(dir, "")
	if err != nil {
		t.Fatal(err)
	}
	defer tree.Close()
	got, err := fs.ReadFile(tree, record)
	if err != nil || string(got) != overhaul("a", "1") {
		t.Errorf("%q, %v", got, err)
	}
	if trail := read(t, dir, ids); !trail.Proved || len(trail.Commits) != 2 {
		t.Errorf("%s", trail.Headline)
	}
}

func TestFoundingProof(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul())
	dir, ids := s.book(t)
	other, theirs := found(shore, berg).book(t)
	_ = other
	print := ssh.FingerprintSHA256(key(shore).PublicKey())
	for _, c := range []struct {
		name, proof string
		err         error
		headline    string
	}{
		{"none", "", nil, "consistent with itself: 2 commits signed by allowed signers; no founding proof was given"},
		{"the right one", ids[0] + "@" + print, nil, "proved: 2 commits"},
		{"the right one, as it is written on paper", ids[0][:8] + " " + ids[0][8:] + " @ " + print, nil, "proved: 2 commits"},
		{"C20 another book's", theirs[0] + "@" + print, trace.ErrWrongRoot, "not the history of the founding proof: commit " + theirs[0] + " is not in it"},
		{"another key", ids[0] + "@" + ssh.FingerprintSHA256(key(berg).PublicKey()), trace.ErrWrongRoot, "is signed by " + print},
		{"a later commit, by an engineer", ids[1] + "@" + ssh.FingerprintSHA256(key(ivanov).PublicKey()), nil, "no superintendent who signs commits"},
		{"cut short", ids[0][:12] + "@" + print, trace.ErrProofForm, ""},
	} {
		trail, err := trace.Read(dir, trace.Options{FoundingProof: c.proof})
		if !errors.Is(err, c.err) {
			t.Errorf("%s: %v, want %v", c.name, err, c.err)
		}
		if c.headline == "" {
			continue
		}
		if trail == nil || !strings.Contains(trail.Headline, c.headline) || trail.Proved != strings.HasPrefix(c.headline, "proved") {
			t.Errorf("%s: %+v", c.name, trail)
		}
	}
}

// What came before the founding commit is shown and not judged; it does not spoil the proof.
func TestBeforeTheFounding(t *testing.T) {
	s := &tale{}
	s.by(ivanov, "book.md", "---\n---\n")
	s.unsigned()
	s.by(shore, "signers/allowed_signers", lines(shore, ivanov))
	s.by(ivanov, record, overhaul())
	dir, ids := s.book(t)
	trail, err := trace.Read(dir, trace.Options{FoundingProof: ids[1] + "@" + ssh.FingerprintSHA256(key(shore).PublicKey())})
	if err != nil {
		t.Fatal(err)
	}
	if !trail.Proved || trail.Founding != 1 || trail.Commits[0].State != logbook.NotJudged || !strings.Contains(trail.Headline, "2 commits") {
		t.Errorf("%s, founding %d, first commit %s", trail.Headline, trail.Founding, trail.Commits[0].State)
	}
}

func TestNoRegister(t *testing.T) { t.Run("A04 no register", noRegister) }

func noRegister(t *testing.T) {
	s := &tale{}
	s.by(ivanov, record, overhaul())
	dir, _ := s.book(t)
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if trail.Proved || trail.Founding != -1 || trail.Commits[0].State != logbook.NotJudged || !strings.Contains(trail.Headline, "no readable signers/allowed_signers") {
		t.Errorf("%s, %s", trail.Headline, trail.Commits[0].State)
	}
}

// A link that was committed is marked on its commit; in the folder it is what the tip holds.
func TestFolderHoldsTheLink(t *testing.T) {
	dir, _ := found(shore, berg, ivanov).book(t)
	link := func(args ...string) {
		if out, ok := oracle(t, dir, nil, "git", args...); !ok {
			t.Fatal(out)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "parts"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("../book.md", filepath.Join(dir, "parts/h-9.md")); err != nil {
		t.Skip(err)
	}
	link("add", "parts/h-9.md")
	link("-c", "user.name=x", "-c", "user.email=x@x", "-c", "commit.gpgsign=false", "commit", "-qm", "a link")
	trail, err := trace.Read(dir, trace.Options{})
	if err != nil || len(trail.WorkTree) != 0 {
		t.Errorf("%v, %v: want the folder as committed", trail.WorkTree, err)
	}
}

func TestFolderAgainstTip(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul("a", "1"), "parts/h-1.md", overhaul(), "parts/h-2.md", overhaul())
	dir, ids := s.book(t)
	write(t, dir, record, overhaul("a", "2"))
	os.Remove(filepath.Join(dir, "parts/h-1.md"))
	write(t, dir, "parts/h-2.md", strings.ReplaceAll(overhaul(), "\n", "\r\n")) // an editor's line ends
	write(t, dir, "parts/new.md", overhaul())
	write(t, dir, "parts/.h-2.md.swp", "x")
	write(t, dir, "parts/h-2.md~", "x")
	write(t, dir, ".git/info/exclude", "scratch/\n")
	write(t, dir, "scratch/x.md", "x")
	trail := read(t, dir, ids)
	want := []logbook.WorkChange{{Path: record, What: "changed"}, {Path: "parts/h-1.md", What: "missing"}, {Path: "parts/new.md", What: "not committed"}}
	if fmt.Sprint(trail.WorkTree) != fmt.Sprint(want) {
		t.Errorf("%v, want %v", trail.WorkTree, want)
	}
	if _, ok := trail.Records[record].Setting("a", "2"); ok {
		t.Error("a value of the folder is said to be committed")
	}
	if s, ok := trail.Records[record].Setting("a", "1"); !ok || s.Commit != 1 {
		t.Errorf("setting %v %v", s, ok)
	}
	trail, err := trace.Read(dir, trace.Options{Rev: "HEAD"})
	if err != nil || len(trail.WorkTree) != 0 {
		t.Errorf("with a revision the folder was compared all the same: %v, %v", trail.WorkTree, err)
	}
}

func TestVanishedRecords(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul(), "parts/h-1.md", overhaul())
	s.by(ivanov, record, "")
	dir, ids := s.book(t)
	trail := read(t, dir, ids)
	if len(trail.Vanished) != 1 || trail.Vanished[0].Path != record || trail.Vanished[0].Commit != 2 || trail.Vanished[0].Stem != "2024-01-01-h-1" {
		t.Errorf("vanished %+v", trail.Vanished)
	}
}

func TestTreeIsAFileSystem(t *testing.T) {
	s := found(shore, berg, ivanov)
	s.by(ivanov, record, overhaul(), "parts/h-1.md", "x\n", "parts/h-1/a.md", "y\n")
	dir, _ := s.book(t)
	tree, err := trace.FS(dir, "")
	if err != nil {
		t.Fatal(err)
	}
	defer tree.Close()
	if err := fstest.TestFS(tree, record, "parts/h-1.md", "parts/h-1/a.md", "signers/allowed_signers"); err != nil {
		t.Error(err)
	}
}
