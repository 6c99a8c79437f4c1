package main

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/pem"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

const recordStem = "2020-07-01-h-1"

// surroundings is a folder with a small book, its hands' keys, a signed record that was changed since, and
// an unsigned commit at the tip.
func surroundings(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if _, err := exchange.Build(filepath.Join(dir, "book"), smallHistory(t, dir)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// keyOf is the key of a hand, which is written into a folder.
func keyOf(t *testing.T, dir, who string) ssh.Signer {
	t.Helper()
	seed := sha256.Sum256([]byte("needlebook test key of " + who))
	secret := ed25519.NewKeyFromSeed(seed[:])
	block, err := ssh.MarshalPrivateKey(secret, who)
	if err != nil {
		t.Fatal(err)
	}
	s, err := ssh.NewSignerFromKey(secret)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(filepath.Join(dir, who), pem.EncodeToMemory(block), 0o600)
	os.WriteFile(filepath.Join(dir, who+".pub"), ssh.MarshalAuthorizedKey(s.PublicKey()), 0o600)
	return s
}

// stepOf is a commit of a signer whose keys lie in a folder, of nobody's when it has no name.
func stepOf(t *testing.T, dir, who string, minute int, changes ...exchange.Change) exchange.Step {
	d := exchange.Draft{Message: "step", Changes: changes, Author: exchange.Person{Name: who, Email: who + "@ashore", When: time.Date(2020, 7, 10, 0, minute, 0, 0, time.UTC)}}
	if who != "" {
		d.Signer = keyOf(t, dir, who)
	}
	return exchange.Step{Draft: d}
}

// smallRecord is the record of the small book, with a reason why nothing was tested.
func smallRecord(why string) exchange.Change {
	return exchange.Change{Path: "overhauls/me1/c1/" + recordStem + ".md", Text: []byte("---\nholder: \"H-1\"\nnozzle: {found: \"N-1\", left: \"N-1\"}\n" +
		"removed: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 1500 h, reason: planned}\nas_found: not tested (" + why + ")\nby: eng\n---\n")}
}

// smallHistory are the commits of the small book; its hands' keys are written into a folder.
func smallHistory(t *testing.T, dir string) []exchange.Step {
	t.Helper()
	signers := ""
	for _, h := range []struct {
		id    string
		roles []string
	}{{"shore", []string{"superintendent"}}, {"chief", []string{"engineer", "chief"}}, {"eng", []string{"engineer"}}, {"office", []string{"receiver"}}} {
		l, err := trace.SignersLine(h.id+"@ashore", h.roles, time.Time{}, time.Time{}, keyOf(t, dir, h.id).PublicKey(), "")
		if err != nil {
			t.Fatal(err)
		}
		signers += l + "\n"
	}
	keyOf(t, dir, "new")
	first := []exchange.Change{{Path: "signers/allowed_signers", Text: []byte(signers)}, {Path: ".gitattributes", Text: []byte(exchange.Attributes)}}
	base := os.DirFS("../../checks/testdata/base")
	fs.WalkDir(base, ".", func(name string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			text, _ := fs.ReadFile(base, name)
			first = append(first, exchange.Change{Path: name, Text: text})
		}
		return err
	})
	return []exchange.Step{stepOf(t, dir, "shore", 0, first...), stepOf(t, dir, "eng", 1, smallRecord("bench out of order")),
		stepOf(t, dir, "", 2, exchange.Change{Path: "handovers/2020-07-08.md", Text: []byte("---\n---\nseen\n")})}
}

func tipOf(book string) string {
	tree, err := trace.FS(book, "")
	if err != nil {
		return ""
	}
	defer tree.Close()
	return tree.Commit
}

// writeStep commits a step in a book and gives its id.
func writeStep(t *testing.T, book string, s exchange.Step) string {
	t.Helper()
	id, err := exchange.Write(book, s.Draft)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// otherSide builds the copy of the book in which another record was written, and gives its tip.
func otherSide(t *testing.T, dir, name string) string {
	t.Helper()
	steps := append(smallHistory(t, dir), stepOf(t, dir, "shore", 5, exchange.Change{Path: "handovers/2020-07-09.md", Text: []byte("---\n---\nfrom the other side\n")}))
	ids, err := exchange.Build(filepath.Join(dir, name), steps)
	if err != nil {
		t.Fatal(err)
	}
	return ids[len(ids)-1]
}
