package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// exfat mounts a disk as sticks have it: no modes, no links, and Handovers is handovers. It says so where it cannot.
func exfat(t *testing.T) string {
	t.Helper()
	if os.Getenv("NEEDLEBOOK_WIDER") == "" {
		t.Skip("mounts a small disk; runs with NEEDLEBOOK_WIDER=1")
	}
	image, mount, device := filepath.Join(t.TempDir(), "disk"), t.TempDir(), ""
	err := os.WriteFile(image, nil, 0o600)
	if err == nil {
		err = os.Truncate(image, 64<<20)
	}
	run := func(name string, args ...string) {
		if err != nil {
			return
		}
		var out []byte
		if out, err = exec.Command(name, args...).CombinedOutput(); err != nil {
			t.Skipf("the stick did not run: %s: %v: %s", name, err, out)
		}
		device = strings.TrimSpace(string(out))
	}
	run("mkfs.exfat", image)
	run("losetup", "-f", "--show", image)
	loop := device
	t.Cleanup(func() { exec.Command("losetup", "-d", loop).Run() })
	run("mount.exfat-fuse", loop, mount)
	t.Cleanup(func() { exec.Command("umount", mount).Run() })
	if err != nil {
		t.Fatal(err)
	}
	return mount
}

// A book on a stick is signed, synced, sent and read as one on any disk, and a file is one file whatever letters its name is typed in.
func TestBookOnAStick(t *testing.T) {
	stick, from := exfat(t), surroundings(t)
	book, there := filepath.Join(stick, "book"), filepath.Join(stick, "there.git")
	if err := os.CopyFS(book, os.DirFS(filepath.Join(from, "book"))); err != nil {
		t.Fatal(err)
	}
	gitAt(t, stick, "init", "-q", "--bare", "-b", "main", there)
	gitAt(t, book, "remote", "add", "origin", there)
	key := filepath.Join(from, "eng")
	t.Setenv("NEEDLEBOOK_MEMORY", filepath.Join(from, "memory"))
	name := filepath.Join(book, "overhauls/me1/c1", recordStem+".md")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	write(t, name, strings.Replace(string(text), "1500 h", "1501 h", 1))
	for _, k := range []struct{ args, says string }{
		{"sign --all --key " + key, "committed "},
		{"sync --built-in --key " + key, "sent to origin"},
		{"mailbag pack -o " + filepath.Join(stick, "out"), "acknowledgement"},
		{"pages -o " + filepath.Join(stick, "pages"), "files written"},
		{"pages -o " + filepath.Join(stick, "pages"), " 0 files written"},
		{"verify", "not proved since commit"},
		{"repair", "nothing is left behind"},
	} {
		var o, e bytes.Buffer
		status := (&program{ctx: t.Context()}).run(append(strings.Fields(k.args), "--book", book), strings.NewReader(""), &o, &e)
		if status > exitFindings || !strings.Contains(o.String(), k.says) {
			t.Errorf("%s: %d, %s%s", k.args, status, &o, &e)
		}
	}
	gitAt(t, book, "fsck", "--strict", "--no-dangling", "--no-progress")
	tip := tipOf(book)
	write(t, filepath.Join(book, "HANDOVERS", "2024-03-01.md"), "---\n---\nnight\n")
	var o, e bytes.Buffer
	if s := (&program{ctx: t.Context()}).run([]string{"sign", "--key", key, "--all", "--book", book}, strings.NewReader(""), &o, &e); s != 0 {
		t.Errorf("a file typed in capitals: %d, %s%s", s, &o, &e)
	}
	gitAt(t, book, "diff", "--exit-code", tip+":overhauls", "HEAD:overhauls")
	out, err := exec.Command("git", "-c", "safe.directory=*", "-C", book, "ls-tree", "-r", "--name-only", "HEAD", "handovers").Output()
	if err != nil || !strings.Contains(string(out), "handovers/2024-03-01.md") {
		t.Errorf("%v: the tip holds %q", err, out)
	}
}
