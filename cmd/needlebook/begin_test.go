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
var typed = regexp.MustCompile("(?s)(?:In `([^`\n]+)`:\n\n```(?:yaml|csv)\n(.*?)```)|(?:```sh\n(.*?)```)")

// The manual's way from an empty folder to the first judged, signed and countersigned overhaul and its page is true word
// for word, with the verbs and with nothing but files and git: every command of the chapter is given to a shell as it stands there.
func TestManualFromAnEmptyFolder(t *testing.T) {
	for _, tool := range []string{"sh", "git", "ssh-keygen", "sha256sum"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
				t.Fatal(err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
	chapter, err := os.ReadFile(filepath.Join("..", "..", "site", "manual", "own-book.md"))
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
	top := filepath.Join(home, "Bücher an Bord")
	if err := os.Mkdir(top, 0o777); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("NEEDLEBOOK_KEEP"); dir != "" {
		t.Cleanup(func() { os.CopyFS(dir, os.DirFS(top)) })
	}
	at := top
	commands, files := 0, 0
	for _, m := range typed.FindAllStringSubmatch(string(chapter), -1) {
		if m[1] != "" {
			write(t, filepath.Join(top, filepath.FromSlash(m[1])), m[2])
			files++
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
		commands++
		now, err := os.ReadFile(filepath.Join(home, "at"))
		if err != nil {
			t.Fatal(err)
		}
		at = strings.TrimSpace(string(now))
	}
	if commands < 6 || files < 5 {
		t.Fatalf("%d blocks of commands and %d files were typed; the chapter has lost some", commands, files)
	}
	for _, book := range []string{"aurinda", "brig"} {
		page, err := os.ReadFile(filepath.Join(top, book+"-pages", "overhaul-2024-03-05-h-102.html"))
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
