//go:build unix

package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// A verb that does not come back ends all the same when it is told to, with the status of what could not be done, and no verdict.
func TestSignalsEndEveryVerb(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	base, err := filepath.Abs("../../checks/testdata/base")
	if err != nil {
		t.Fatal(err)
	}
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		t.Run(sig.String(), func(t *testing.T) {
			t.Parallel()
			never := filepath.Join(t.TempDir(), "never")
			if err := syscall.Mkfifo(never, 0o600); err != nil {
				t.Skip(err)
			}
			var out bytes.Buffer
			cmd := exec.Command(self, "import", never, "--map", never, "--book", base) // waits for a line for ever
			cmd.Env = append(os.Environ(), asProgram+"=1")
			cmd.Stdout, cmd.Stderr = &out, &out
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			ended := make(chan error, 1)
			go func() { ended <- cmd.Wait() }()
			begun := make(chan *os.File, 1)
			go func() { // opens once the program reads
				if w, err := os.OpenFile(never, os.O_WRONLY, 0); err == nil {
					begun <- w
				}
			}()
			var err error
			select {
			case w := <-begun:
				defer w.Close()
			case err := <-ended:
				t.Fatalf("it ended before it read: %v: %s", err, out.String())
			}
			cmd.Process.Signal(sig)
			select {
			case err = <-ended:
			case <-time.After(time.Minute):
				cmd.Process.Kill()
				t.Fatal("it went on")
			}
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != exitFailed || !bytes.Contains(out.Bytes(), []byte("needlebook: not finished: interrupted")) {
				t.Errorf("%v: %s", err, out.String())
			}
		})
	}
}

// The end of a time limit is told to whoever ends the program; the end of the work before it is not.
func TestTimeLimit(t *testing.T) {
	ended := make(chan error, 2)
	p := &program{ctx: t.Context(), endSoon: func(_ io.Writer, why error) { ended <- why }}
	_, done := p.within(time.Hour)
	done()
	ctx, stop := p.within(time.Millisecond)
	defer stop()
	<-ctx.Done()
	select {
	case why := <-ended:
		if why.Error() != "the time limit of 1ms is up" {
			t.Error(why)
		}
	case <-time.After(time.Minute):
		t.Error("nobody was told")
	}
}
