package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// typed are the blocks of the manual that a newcomer types: commands, and texts of files named just above them.
var typed = regexp.MustCompile("(?s)(?:In `([^`\n]+)`:\n\n```(?:yaml|csv)\n(.*?)```)|(?:```sh\n(.*?)```)|(?:```text\n(.*?)```)")

// The manual's way from an empty folder to the first judged, signed and countersigned overhaul and its page is true word
// for word, with the verbs and with nothing but files and git: every command of the chapter is given to a shell as it stands there.
func TestManualFromAnEmptyFolder(t *testing.T) {
	c := typeChapter(t, "own-book.md")
	if c.commands < 6 || c.files < 5 {
		t.Fatalf("%d blocks of commands and %d files were typed; the chapter has lost some", c.commands, c.files)
	}
	for _, book := range []string{"aurinda", "brig"} {
		page, err := os.ReadFile(filepath.Join(c.top, book+"-pages", "overhaul-2024-03-05-h-102.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"effective lift", "0.90 mm", "countersigned", "a.berg"} {
			if !strings.Contains(string(page), want) {
				t.Errorf("the page of %s does not say %q", book, want)
			}
		}
	}
}

// What the manual says of exchange units, landed and borrowed valves, cylinder heads and jobs is true word for word.
func TestManualOfWhatComesAndGoes(t *testing.T) {
	if c := typeChapter(t, "comes-and-goes.md"); c.commands < 6 || c.files < 10 || c.printouts < 6 {
		t.Errorf("%d blocks of commands, %d files, %d printouts; the chapter has lost some", c.commands, c.files, c.printouts)
	}
}

// typedChapter is what typing a chapter came to: the folder in which it was typed, and how much of each kind there was.
type typedChapter struct {
	top                        string
	commands, files, printouts int
}

// typeChapter gives every command of a chapter to a shell, and writes every file; a printout is part of what the commands before it
// print.
func typeChapter(t *testing.T, name string) (c typedChapter) {
	t.Helper()
	for _, tool := range []string{"sh", "git", "ssh-keygen", "sha256sum"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
				t.Fatal(err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
	chapter, err := os.ReadFile(filepath.Join("..", "..", "site", "manual", name))
	if err != nil {
		t.Fatal(err)
	}
	home := t.TempDir()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := filepath.Join(home, "bin")
	write(t, filepath.Join(bin, "needlebook"), "#!/bin/sh\n"+asProgram+"=1 exec '"+exe+"' \"$@\"\n")
	if err := os.Chmod(filepath.Join(bin, "needlebook"), 0o755); err != nil {
		t.Fatal(err)
	}
	c.top = filepath.Join(home, "Bücher an Bord")
	if err := os.Mkdir(c.top, 0o777); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("NEEDLEBOOK_KEEP"); dir != "" {
		t.Cleanup(func() { os.CopyFS(dir, os.DirFS(c.top)) })
	}
	at, said := c.top, ""
	for _, m := range typed.FindAllStringSubmatch(string(chapter), -1) {
		if m[4] != "" {
			if c.printouts++; !strings.Contains(said, m[4]) {
				t.Errorf("the chapter says\n%s\nwhat was printed is\n%s", m[4], said)
			}
			continue
		}
		if m[1] != "" {
			write(t, filepath.Join(c.top, filepath.FromSlash(m[1])), m[2])
			c.files++
			continue
		}
		cmd := exec.Command("sh", "-e", "-c", m[3]+"\npwd > '"+filepath.Join(home, "at")+"'\n")
		cmd.Dir = at
		cmd.Env = append(os.Environ(), "HOME="+home, "XDG_CONFIG_HOME="+home, "NEEDLEBOOK_MEMORY="+filepath.Join(home, "memory"), "GIT_CONFIG_NOSYSTEM=1", "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"))
		cmd.Stdin = strings.NewReader("y\n")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s\n%v\n%s", m[3], err, out)
		}
		t.Logf("%s%s", m[3], out)
		said = string(out)
		c.commands++
		now, err := os.ReadFile(filepath.Join(home, "at"))
		if err != nil {
			t.Fatal(err)
		}
		at = strings.TrimSpace(string(now))
	}
	return c
}
