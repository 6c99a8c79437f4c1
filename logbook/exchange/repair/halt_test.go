package repair_test

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/transfer"
)

// A program that is halted in the middle of a commit leaves no lock, and puts nothing in place any more.
func TestHalt(t *testing.T) {
	if dir := os.Getenv("NEEDLEBOOK_TEST_HALT"); dir != "" {
		haltedIn(t, dir)
		return
	}
	dir, tip, d := trial.Book(t)
	cmd := exec.Command(os.Args[0], "-test.run=^TestHalt$")
	cmd.Env = append(os.Environ(), "NEEDLEBOOK_TEST_HALT="+dir)
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.ExitCode() != 7 {
		t.Fatalf("%v: %s", err, out)
	}
	for _, name := range []string{"index.lock", "refs/heads/main.lock", "HEAD.lock"} {
		if _, err := os.Lstat(filepath.Join(dir, ".git", name)); err == nil {
			t.Errorf("%s is left", name)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".git/needlebook/coming-*")); len(left) > 0 {
		t.Errorf("left: %q", left)
	}
	if now := trial.Head(t, dir); now != tip {
		t.Errorf("it stands on %s, want %s", now, tip)
	}
	if _, err := exchange.Write(dir, d); err != nil {
		t.Errorf("the next commit: %v", err)
	}
}

func haltedIn(t *testing.T, dir string) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := joining.Take(r); err != nil {
		t.Fatal(err)
	}
	if _, err := transfer.AsideFolder(r); err != nil {
		t.Fatal(err)
	}
	head, err := r.Git.Lock("HEAD", true)
	if err != nil {
		t.Fatal(err)
	}
	head.Write([]byte("nothing\n"))
	durable.Halt()
	go head.Close()
	time.Sleep(50 * time.Millisecond)
	os.Exit(7)
}
