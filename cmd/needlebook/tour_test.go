package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write what the program prints into the manual and the golden files")

var console = regexp.MustCompile("(?s)```console\n\\$ needlebook ([^\n]*)\n(.*?)```")

// The printouts of the manual are what the program prints: each console block is run, in order, in one folder.
func TestReadmeTour(t *testing.T) {
	tour := filepath.Join("..", "..", "site", "manual", "tour.md")
	src, err := os.ReadFile(tour)
	if err != nil {
		t.Fatal(err)
	}
	abs, _ := filepath.Abs(tour)
	t.Setenv("NEEDLEBOOK_MEMORY", t.TempDir())
	t.Chdir(t.TempDir())
	ran := 0
	out := console.ReplaceAllFunc(src, func(block []byte) []byte {
		m := console.FindSubmatch(block)
		var said bytes.Buffer
		run(strings.Fields(string(m[1])), strings.NewReader(""), &said, &said)
		ran++
		if got := said.String(); !*update && got != string(m[2]) {
			t.Errorf("needlebook %s prints\n%s\nthe manual says\n%s", m[1], got, m[2])
		}
		return []byte("```console\n$ needlebook " + string(m[1]) + "\n" + said.String() + "```")
	})
	if ran < 6 {
		t.Errorf("%d console blocks in the manual; the tour has lost its output", ran)
	}
	if *update {
		if err := os.WriteFile(abs, out, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}
