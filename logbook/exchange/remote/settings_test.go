package remote_test

import (
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"needlebook/logbook/exchange/remote"
)

// What is read without git is what git says of the same files.
func TestSettings(t *testing.T) {
	git, err := exec.LookPath("git")
	if err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") != "" {
			t.Fatal(err)
		}
		t.Skip("git is not installed")
	}
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("XDG_CONFIG_HOME", "")
	t.Setenv("GIT_CONFIG_NOSYSTEM", "1")
	dir := filepath.Join(home, "book")
	if out, err := exec.Command(git, "init", "-q", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, c := range []struct{ name, person, book string }{
		{"nothing set", "", ""},
		{"the person's own", "[user]\n\tname = \"M. O\\\"\" # of the watch\n\temail = m@ship\n[gpg]\n\tformat = ssh\n", ""},
		{"the book's goes before", "[user]\n\tsigningkey = ~/a\n\tname = A\n", "[user]\n\tsigningkey = key::ssh-ed25519 AAAA\n[gpg]\n\tformat = ssh\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			own := "[core]\n\trepositoryformatversion = 0\n\tbare = false\n" + c.book
			if err := os.WriteFile(filepath.Join(dir, ".git", "config"), []byte(own), 0o644); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(home, ".gitconfig"), []byte(c.person), 0o644); err != nil {
				t.Fatal(err)
			}
			want, err := remote.ReadSettings(dir)
			if err != nil {
				t.Fatal(err)
			}
			t.Setenv("PATH", home)
			got, err := remote.ReadSettings(dir)
			if err != nil || !maps.Equal(got, want) {
				t.Errorf("without git %v, %v; git says %v", got, err, want)
			}
		})
	}
}
