package exchange_test

import (
	"crypto/ed25519"
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
)

// key is a test key, the same on every machine.
func key(t testing.TB, name string) ssh.Signer {
	t.Helper()
	seed := sha256.Sum256([]byte("needlebook test key of " + name))
	s, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(seed[:]))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func person(name string, minute int) exchange.Person {
	return exchange.Person{Name: name, Email: name + "@example.org", When: time.Unix(1_704_110_400+int64(minute)*60, 0).UTC()}
}

func signersLine(t testing.TB, name, roles string) string {
	t.Helper()
	pub := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(key(t, name).PublicKey())))
	return fmt.Sprintf("%s namespaces=\"git,%s\" %s\n", name, roles, pub)
}

// oracle runs a program of the system that judges independently of us.
func oracle(t testing.TB, dir, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") == "1" {
			t.Fatalf("%s is wanted for the wider tests: %v", name, err)
		}
		t.Skipf("%s is not installed", name)
	}
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + t.TempDir(), "GIT_CONFIG_NOSYSTEM=1", "TZ=UTC", "LC_ALL=C"}
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return string(out)
}

func small(t testing.TB) []exchange.Step {
	signers := signersLine(t, "shore@superintendent", "superintendent@needlebook") + signersLine(t, "berg@chief", "engineer@needlebook,chief@needlebook")
	return []exchange.Step{
		{Draft: exchange.Draft{Author: person("shore", 0), Message: "Found the book", Signer: key(t, "shore@superintendent"), Changes: []exchange.Change{
			{Path: "signers/allowed_signers", Text: []byte(signers)},
			{Path: ".gitattributes", Text: []byte(exchange.Attributes)},
			{Path: "book.md", Text: []byte("---\nvessel: Test\n---\n")},
		}}},
		{Draft: exchange.Draft{Author: person("berg", 10), Message: "Overhaul", Signer: key(t, "berg@chief"), Changes: []exchange.Change{
			{Path: "overhauls/me1/c1/2024-01-01-h-1.md", Text: []byte("---\nholder: \"H-1\"\n---\n")},
		}}},
		{Draft: exchange.Draft{Author: person("berg", 20), Message: "Move it", Signer: key(t, "berg@chief"), Changes: []exchange.Change{
			{Path: "overhauls/spares/2024-01-01-h-1.md", From: "overhauls/me1/c1/2024-01-01-h-1.md"},
		}}},
	}
}

func TestGitAcceptsABuiltBook(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	ids, err := exchange.Build(dir, small(t))
	if err != nil {
		t.Fatal(err)
	}
	// A value that must not change: the same steps and keys give the same ids on every machine.
	if want := "4c6250e802e42132a50e8244329ddf93f3b2ccdb"; ids[2] != want {
		t.Errorf("tip %s, want %s", ids[2], want)
	}
	if out := oracle(t, dir, "git", "fsck", "--full", "--strict"); strings.TrimSpace(out) != "" {
		t.Errorf("git fsck: %s", out)
	}
	if out := oracle(t, dir, "git", "status", "--porcelain"); out != "" {
		t.Errorf("git status: %s", out)
	}
	if out := oracle(t, dir, "git", "log", "--format=%G? %GS"); out != "G berg@chief\nG berg@chief\nG shore@superintendent\n" {
		t.Errorf("git log: %s", out)
	}
	if out := oracle(t, dir, "git", "ls-files"); !strings.Contains(out, "overhauls/spares/2024-01-01-h-1.md") || strings.Contains(out, "me1") {
		t.Errorf("git ls-files: %s", out)
	}
	if _, err := exchange.Build(dir, small(t)); err == nil {
		t.Error("a second build into the same folder was not refused")
	}
}

func TestWriteGoesThrough(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	ids, err := exchange.Build(dir, small(t))
	if err != nil {
		t.Fatal(err)
	}
	id, err := exchange.Write(dir, exchange.Draft{Author: person("berg", 30), Message: "Change", Signer: key(t, "berg@chief"), Changes: []exchange.Change{
		{Path: "overhauls/spares/2024-01-01-h-1.md", Text: []byte("---\nholder: \"H-2\"\n---\n")},
		{Path: "parts/h-1.md", Text: []byte("---\nserial: \"H-1\"\n---\n")},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if out := oracle(t, dir, "git", "log", "--format=%H %P %G?", "-1"); out != id+" "+ids[2]+" G\n" {
		t.Errorf("git log: %s", out)
	}
	if out := oracle(t, dir, "git", "fsck", "--full", "--strict"); strings.TrimSpace(out) != "" {
		t.Errorf("git fsck: %s", out)
	}
	if out := oracle(t, dir, "git", "reflog", "--format=%H %gs"); !strings.HasPrefix(out, id+" commit: Change") {
		t.Errorf("git reflog: %s", out)
	}
	if out := oracle(t, dir, "git", "status", "--porcelain", "--ignored"); out != "" {
		t.Errorf("left behind: %s", out)
	}
}
