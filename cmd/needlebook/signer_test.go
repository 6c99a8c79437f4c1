package main

import (
	"encoding/pem"
	"os"
	"os/exec"
	"path"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/crypto/ssh"

	vessel "needlebook/example-vessel"
)

// The verbs of the hands on the example book, each followed by what git and ssh-keygen say of it.
func TestSigners(t *testing.T) {
	if testing.Short() {
		t.Skip("runs many programs one after another")
	}
	for _, tool := range []string{"git", "ssh-keygen", "ssh-agent", "sha256sum"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("NEEDLEBOOK_WIDER") != "" {
				t.Fatal(err)
			}
			t.Skipf("%s is not installed", tool)
		}
	}
	testscript.Run(t, testscript.Params{Dir: "testdata/signers", Cmds: map[string]func(*testscript.TestScript, bool, []string){
		"status": status, "demokey": demoKey, "tidy": tidy, "example": bookOf(exampleBook), "young": bookOf(youngBook),
	}, Setup: func(e *testscript.Env) error {
		e.Setenv("HOME", e.WorkDir)
		e.Setenv("GIT_CONFIG_NOSYSTEM", "1")
		return ownMemory(e)
	}})
}

// bookOf writes a book into a new folder: young there/book.
func bookOf(write func(dir string) ([]string, error)) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, _ bool, args []string) {
		_, err := write(ts.MkAbs(args[0]))
		ts.Check(err)
	}
}

// demoKey writes the key files of a signer of the example vessel: demokey ../o.lindqvist [PASSPHRASE].
func demoKey(ts *testscript.TestScript, _ bool, args []string) {
	who := path.Base(args[0])
	secret := vessel.Secret(who)
	block, err := ssh.MarshalPrivateKey(secret, who)
	if len(args) > 1 {
		block, err = ssh.MarshalPrivateKeyWithPassphrase(secret, who, []byte(args[1]))
	}
	ts.Check(err)
	key, err := vessel.Key(who)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), pem.EncodeToMemory(block), 0o600))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]+".pub"), ssh.MarshalAuthorizedKey(key.PublicKey()), 0o644))
}

// tidy holds a book to what git must say of it after any verb: fsck finds nothing, the tip's signature is good, and status lists
// exactly the files named, each changed or new.
func tidy(ts *testscript.TestScript, _ bool, args []string) {
	git := func(a ...string) string {
		cmd := exec.Command("git", append([]string{"-C", ts.MkAbs(args[0])}, a...)...)
		cmd.Env = append(os.Environ(), "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=/dev/null")
		out, err := cmd.CombinedOutput()
		if err != nil {
			ts.Fatalf("git %v: %v\n%s", a, err, out)
		}
		return strings.TrimRight(string(out), "\n")
	}
	if out := git("fsck", "--strict", "--full", "--no-dangling"); out != "" {
		ts.Fatalf("git fsck: %s", out)
	}
	if out := git("log", "-1", "--format=%G?"); out != "G" {
		ts.Fatalf("git says %s of the tip's signature", out)
	}
	var left []string
	for _, line := range strings.Split(git("status", "--porcelain"), "\n") {
		if line != "" {
			left = append(left, line[3:])
		}
	}
	if got, want := strings.Join(left, " "), strings.Join(args[1:], " "); got != want {
		ts.Fatalf("git status lists %q, want %q", got, want)
	}
}
