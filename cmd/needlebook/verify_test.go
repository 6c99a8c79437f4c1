package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	vessel "needlebook/example-vessel"
	"needlebook/logbook/exchange"
)

// The exit status of verify says what a script may rely on: 0 proven, 1 not, 2 wrong use, 3 not done, 4 wrong root, 5 broken.
func TestVerifyStatus(t *testing.T) {
	steps, err := vessel.History()
	if err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "book")
	ids, err := exchange.Build(book, steps[:60])
	if err != nil {
		t.Fatal(err)
	}
	proof, err := foundingProof(ids[0], steps[0].Signer)
	if err != nil {
		t.Fatal(err)
	}
	other, err := foundingProof(strings.Repeat("0123456789", 4), steps[0].Signer)
	if err != nil {
		t.Fatal(err)
	}
	verify := func(want int, words string, args ...string) {
		t.Helper()
		var out bytes.Buffer
		got := run(append([]string{"verify", "--book", book}, args...), strings.NewReader(""), &out, &out)
		if got != want || !strings.Contains(out.String(), words) {
			t.Errorf("verify %v: exit status %d, want %d\n%s", args, got, want, out.String())
		}
	}
	t.Setenv("NEEDLEBOOK_PROOF", "")
	t.Setenv("NEEDLEBOOK_MEMORY", t.TempDir())
	verify(0, "proved", "--proof", proof)
	verify(1, "", "--format", "json")
	var whole bytes.Buffer
	run([]string{"verify", "--book", book, "--format", "json"}, strings.NewReader(""), &whole, &bytes.Buffer{})
	meetsItsSchema(t, "verify.json", whole.Bytes())
	verify(2, "not of the form", "--proof", "nonsense")
	verify(2, "the formats are", "--format", "xml")
	verify(4, "is not in it", "--proof", other)

	// A text changed below git, under its old id, is noticed; the book is still shown.
	packs, _ := filepath.Glob(filepath.Join(book, ".git", "objects", "pack", "*.pack"))
	if len(packs) == 0 {
		t.Fatal("the history has no pack to damage")
	}
	pack, err := os.ReadFile(packs[0])
	if err != nil {
		t.Fatal(err)
	}
	for i := len(pack) / 2; i < len(pack)/2+40; i++ {
		pack[i] ^= 0x55
	}
	if err := os.Chmod(packs[0], 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(packs[0], pack, 0o644); err != nil {
		t.Fatal(err)
	}
	verify(5, "")
	var out bytes.Buffer
	if status := run([]string{"check", "--book", book, "--fail-on", "stop"}, strings.NewReader(""), &out, &out); status > exitFindings || !strings.Contains(out.String(), "proved") {
		t.Errorf("check on a damaged history: exit status %d\n%s", status, out.String())
	}
}
