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

// The printouts of the manual are what the program prints: each console block of a chapter is run, in order, in one folder.
func TestReadmeTour(t *testing.T) {
	chapters, err := filepath.Glob(filepath.Join("..", "..", "site", "manual", "*.md"))
	if err != nil {
		t.Fatal(err)
	}
	t.Setenv("NEEDLEBOOK_MEMORY", t.TempDir())
	ran := 0
	for _, chapter := range chapters {
		src, err := os.ReadFile(chapter)
		if err != nil {
			t.Fatal(err)
		}
		out := printouts(t, chapter, src)
		ran += len(console.FindAll(out, -1))
		if !*update || bytes.Equal(src, out) {
			continue
		}
		if err := os.WriteFile(chapter, out, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if ran < 7 {
		t.Errorf("%d console blocks in the manual; it has lost its printouts", ran)
	}
}

// printouts is the text of a chapter with what the program prints now.
func printouts(t *testing.T, chapter string, src []byte) []byte {
	t.Helper()
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chdir(t.TempDir()); err != nil {
		t.Fatal(err)
	}
	defer os.Chdir(here)
	return console.ReplaceAllFunc(src, func(block []byte) []byte {
		m := console.FindSubmatch(block)
		var said bytes.Buffer
		run(strings.Fields(string(m[1])), strings.NewReader(""), &said, &said)
		if got := said.String(); !*update && got != string(m[2]) {
			t.Errorf("needlebook %s prints\n%s\n%s says\n%s", m[1], got, chapter, m[2])
		}
		return []byte("```console\n$ needlebook " + string(m[1]) + "\n" + said.String() + "```")
	})
}
