package mail_test

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/ending"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/exchange/transfer"
)

// every is the digest of every file of a book, git's among them.
func every(t testing.TB, dir string) string {
	t.Helper()
	d := sha256.New()
	err := filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		text, err := os.ReadFile(p)
		fmt.Fprintf(d, "%s %d %x\n", p, len(text), sha256.Sum256(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("%x", d.Sum(nil))
}

// crafted makes objects and a bundle of them.
type crafted struct {
	t     testing.TB
	all   map[plumbing.Hash]packs.Object
	items []packs.Item
}

func newCrafted(t testing.TB) *crafted { return &crafted{t: t, all: map[plumbing.Hash]packs.Object{}} }

func (c *crafted) put(kind plumbing.ObjectType, raw []byte) plumbing.Hash {
	o := packs.Object{Kind: kind, Raw: raw}
	id, err := packs.ID(o)
	if err != nil {
		c.t.Fatal(err)
	}
	if _, there := c.all[id]; !there {
		c.all[id] = o
		c.items = append(c.items, packs.Item{ID: id, Kind: kind})
	}
	return id
}

type Line struct {
	mode, name string
	id         plumbing.Hash
}

func (c *crafted) tree(lines ...Line) plumbing.Hash {
	var b bytes.Buffer
	for _, l := range lines {
		fmt.Fprintf(&b, "%s %s\x00", l.mode, l.name)
		b.Write(l.id[:])
	}
	return c.put(plumbing.TreeObject, b.Bytes())
}

// opened opens a bundle, which comes to its end whatever is in it.
func opened(t *testing.T, what, dir string, bundle []byte) error {
	t.Helper()
	return ending.Within(t, what+", mailbag open", func(ctx context.Context) error {
		_, err := mail.OpenBundle(ctx, dir, bytes.NewReader(bundle))
		return err
	})
}

const somebody = "x <x@y> 1704110400 +0000"

func (c *crafted) commit(tree plumbing.Hash, parents ...string) plumbing.Hash {
	text := fmt.Sprintf("tree %s\n", tree)
	for _, p := range parents {
		text += "parent " + p + "\n"
	}
	return c.put(plumbing.CommitObject, []byte(text+"author "+somebody+"\ncommitter "+somebody+"\n\nhostile\n"))
}

func (c *crafted) bundle(head string) []byte {
	var b bytes.Buffer
	b.WriteString(head)
	_, err := packs.Write(&b, c.items, func(id plumbing.Hash) (packs.Object, error) { return c.all[id], nil }, 9)
	if err != nil {
		c.t.Fatal(err)
	}
	return b.Bytes()
}

// A bundle with something in it that no book may hold is refused with a word on it, and nothing is written, whatever the spelling.
// The names are those that git, Windows and macOS are known to confuse (CVE-2014-9390, CVE-2019-1352, CVE-2019-1353 and git's
// t/t1450-fsck.sh).
func TestHostileTrees(t *testing.T) {
	dir := trial.Founded(t, 3)
	tip := trial.Head(t, dir)
	before := every(t, dir)
	e := []string{".", "..", ".git", ".GIT", ".Git", ".git.", ".git ", ".git . . ", "git~1", "GIT~1", "git~2", ".g\u200cit", ".gi\ufefft", ".git::$INDEX_ALLOCATION",
		".git:x", ".git\\config", "a/b", "../../evil", "/evil", "..\\evil.md", "C:evil", "con", "CON.md", "aux", "nul.txt", "com1", "lpt9.md", "con .md", "a.", "a ", "a.md:evil",
		"a\nb", "a\x1b[2J", "a\u202egpj.exe", "a\xff", "-rf", " a", "a*", "a?", "a\"b", "a<b>", "a|b", "e\u0301.md", strings.Repeat("x", 256), strings.Repeat("x", 5000),
		".gitmodules", ".gitmodules ", ".gitconfig", "a\u00adb", "a\x7f", "a\u0085b"}
	check := func(t *testing.T, c *crafted, id plumbing.Hash, says string) {
		t.Helper()
		text := c.bundle(fmt.Sprintf("# v2 git bundle\n-%s\n%s refs/heads/main\n\n", tip, id))
		err := opened(t, t.Name(), dir, text)
		var hostile *transfer.HostileError
		if !errors.As(err, &hostile) || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want one that says %q", err, says)
		}
	}
	for _, name := range e {
		t.Run(fmt.Sprintf("%.40q", name), func(t *testing.T) {
			c := newCrafted(t)
			blob := c.put(plumbing.BlobObject, []byte("evil\n"))
			check(t, c, c.commit(c.tree(Line{"40000", "overhauls", c.tree(Line{"100644", name, blob})}), tip), "")
			c = newCrafted(t)
			blob = c.put(plumbing.BlobObject, []byte("evil\n"))
			check(t, c, c.commit(c.tree(Line{"40000", name, c.tree(Line{"100644", "config", blob})}), tip), "")
		})
	}
	for _, k := range []struct {
		name, says string
		tree       func(c *crafted, blob plumbing.Hash) plumbing.Hash
	}{
		{"symbolic link", "symbolic link", func(c *crafted, b plumbing.Hash) plumbing.Hash { return c.tree(Line{"120000", "a", b}) }},
		{"another repository", "another repository", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"160000", "a", plumbing.NewHash(tip)})
		}},
		{"mode 100666", "mode", func(c *crafted, b plumbing.Hash) plumbing.Hash { return c.tree(Line{"100666", "a", b}) }},
		{"mode 0100644", "mode", func(c *crafted, b plumbing.Hash) plumbing.Hash { return c.tree(Line{"0100644", "a", b}) }},
		{"mode 777", "mode", func(c *crafted, b plumbing.Hash) plumbing.Hash { return c.tree(Line{"777", "a", b}) }},
		{"two of one name", "no readable tree", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"100644", "a", b}, Line{"100644", "a", b})
		}},
		{"case pair", "one file on many systems", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"100644", "A.md", b}, Line{"100644", "a.md", b})
		}},
		{"not sorted", "no readable tree", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"100644", "b", b}, Line{"100644", "a", b})
		}},
		{"file and folder of one name", "", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"100644", "a", b}, Line{"40000", "a", c.tree(Line{"100644", "x", b})})
		}},
		{"200 deep", "folders more than 16 deep", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			at := c.tree(Line{"100644", "a", b})
			for range 200 {
				at = c.tree(Line{"40000", "a", at})
			}
			return at
		}},
		{"a text where a folder belongs", "belongs", func(c *crafted, b plumbing.Hash) plumbing.Hash { return c.tree(Line{"40000", "a", b}) }},
		{"a folder where a text belongs", "belongs", func(c *crafted, b plumbing.Hash) plumbing.Hash {
			return c.tree(Line{"100644", "a", c.tree(Line{"100644", "x", b})})
		}},
	} {
		t.Run(k.name, func(t *testing.T) {
			c := newCrafted(t)
			check(t, c, c.commit(k.tree(c, c.put(plumbing.BlobObject, []byte("x"))), tip), k.says)
		})
	}
	for name, raw := range map[string]string{
		"no author":      "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent " + tip + "\ncommitter " + somebody + "\n\nx\n",
		"date of 20":     "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent " + tip + "\nauthor x <x@y> 12345678901234567890 +0000\ncommitter " + somebody + "\n\nx\n",
		"NUL in message": "tree 4b825dc642cb6eb9a060e54bf8d69288fbee4904\nparent " + tip + "\nauthor " + somebody + "\ncommitter " + somebody + "\n\nx\x00y\n",
		"garbage":        "garbage",
	} {
		t.Run(name, func(t *testing.T) {
			c := newCrafted(t)
			check(t, c, c.put(plumbing.CommitObject, []byte(raw)), "form of a commit")
		})
	}
	t.Run("missing text", func(t *testing.T) {
		c := newCrafted(t)
		id := c.commit(c.tree(Line{"100644", "a", plumbing.NewHash("1234567890123456789012345678901234567890")}), tip)
		_, err := mail.OpenBundle(t.Context(), dir, bytes.NewReader(c.bundle(fmt.Sprintf("# v2 git bundle\n-%s\n%s refs/heads/main\n\n", tip, id))))
		var missing *transfer.IncompleteError
		if !errors.As(err, &missing) {
			t.Error(err)
		}
	})
	if after := every(t, dir); after != before {
		t.Error("something was written")
	}
	ending.Answers(t, "after hostile trees", dir)
	trial.Sound(t, dir)
}

// Heads of bundles that are none, or that bring refs to places where none may come.
func TestHostileHeads(t *testing.T) {
	dir := trial.Founded(t, 2)
	tip := trial.Head(t, dir)
	before := every(t, dir)
	c := newCrafted(t)
	id := c.commit(c.tree(Line{"100644", "a", c.put(plumbing.BlobObject, []byte("x"))}), tip)
	for _, h := range []struct{ head, says string }{
		{"# v3 git bundle\n@object-format=sha1\n%[1]s refs/heads/main\n\n", "version 3"},
		{"# v9 git bundle\n", "no git bundle"},
		{"", "no git bundle"},
		{"# v2 git bundle\n\n", "names no tip"},
		{"# v2 git bundle\n@filter=blob:none\n%[1]s refs/heads/main\n\n", "neither what it needs"},
		{"# v2 git bundle\nzz refs/heads/main\n\n", "neither what it needs"},
		{"# v2 git bundle\n%[1]s refs/heads/main\n-%[2]s late\n\n", "neither what it needs"},
		{"# v2 git bundle\n%[1]s refs/replace/%[2]s\n\n", "only branches"},
		{"# v2 git bundle\n%[1]s refs/heads/../../config\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s refs/heads/main.lock\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s refs/heads/.git\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s refs/heads/a b\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s refs/heads/-x\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s config\n\n", "only branches"},
		{"# v2 git bundle\n%[1]s refs/heads/a\x1b\n\n", "a ref of the name"},
		{"# v2 git bundle\n%[1]s refs/heads/one\n%[1]s refs/heads/two\n\n", "none of the branch main"},
		{"# v2 git bundle\n" + strings.Repeat("x", 2000), "more than 1000 bytes"},
		{"# v2 git bundle\n" + strings.Repeat("-%[2]s\n", 1002), "more than 1000 lines"},
	} {
		text := h.head
		if strings.Contains(text, "%[") {
			text = strings.NewReplacer("%[1]s", id.String(), "%[2]s", tip).Replace(text)
		}
		err := opened(t, fmt.Sprintf("%.60q", h.head), dir, c.bundle(text))
		var hostile *transfer.HostileError
		if !errors.As(err, &hostile) || !strings.Contains(err.Error(), h.says) {
			t.Errorf("%.60q: %v, want one that says %q", h.head, err, h.says)
		}
	}
	if after := every(t, dir); after != before {
		t.Error("something was written")
	}
}

// A bundle cut at every tenth byte, or changed there, is refused, and nothing is written.
func TestCutBundles(t *testing.T) {
	dir := trial.Founded(t, 6)
	other := trial.Founded(t, 3)
	bag, err := mail.PackBag(t.Context(), dir, []string{trial.Head(t, other)}, "", false)
	if err != nil {
		t.Fatal(err)
	}
	before := every(t, other)
	step := 10
	if testing.Short() {
		step = 200
	}
	for n := 0; n < len(bag.Text); n += step {
		if err := opened(t, fmt.Sprint("cut at ", n), other, bag.Text[:n]); err == nil {
			t.Errorf("cut at %d of %d: taken", n, len(bag.Text))
		}
		if n < bytes.Index(bag.Text, []byte("PACK")) { // another name of the branch is no damage
			continue
		}
		changed := bytes.Clone(bag.Text)
		changed[n] ^= 4
		if err := opened(t, fmt.Sprint("changed at ", n), other, changed); err == nil {
			t.Errorf("byte %d changed: taken", n)
		}
	}
	if after := every(t, other); after != before {
		t.Error("something was written")
	}
	if _, err := mail.OpenBundle(t.Context(), other, bytes.NewReader(bag.Text)); err != nil {
		t.Error(err)
	}
}

// FuzzBundleHead: any bytes, and reading the head never panics; what is taken names refs that stay where refs are.
func FuzzBundleHead(f *testing.F) {
	f.Add([]byte("# v2 git bundle\n-0123456789012345678901234567890123456789 x\n0123456789012345678901234567890123456789 refs/heads/main\n\nPACK"))
	f.Fuzz(func(t *testing.T, text []byte) {
		b, err := mail.ReadBundle(bufio.NewReader(bytes.NewReader(text)))
		if err != nil {
			return
		}
		for name := range b.Refs {
			if name != "HEAD" && (!fs.ValidPath(name) || !strings.HasPrefix(name, "refs/")) {
				t.Errorf("took a ref of the name %q", name)
			}
		}
	})
}
