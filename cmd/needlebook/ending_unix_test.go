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
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		t.Run(sig.String(), func(t *testing.T) {
			t.Parallel()
			var out bytes.Buffer
			cmd := exec.Command(self, "commission", filepath.Join(t.TempDir(), "book"), "--plain")
			cmd.Env = append(os.Environ(), asProgram+"=1")
			never, err := cmd.StdinPipe() // waits for a line for ever
			if err != nil {
				t.Fatal(err)
			}
			defer never.Close()
			asked, err := cmd.StderrPipe()
			if err == nil {
				cmd.Stdout = cmd.Stderr
				err = cmd.Start()
			}
			if err != nil {
				t.Fatal(err)
			}
			if _, err := never.Write([]byte("Aurinda\n")); err != nil {
				t.Fatal(err)
			}
			for one := make([]byte, 1); !bytes.HasSuffix(out.Bytes(), []byte("first day of the book")); out.Write(one) {
				if _, err := asked.Read(one); err != nil {
					t.Fatalf("it ended before it asked: %v: %s", err, out.String())
				}
			}
			ended := make(chan error, 1)
			go func() {
				_, read := out.ReadFrom(asked)
				ended <- errors.Join(cmd.Wait(), read)
			}()
			cmd.Process.Signal(sig)
			select {
			case err = <-ended:
			case <-time.After(time.Minute):
				cmd.Process.Kill()
				t.Fatal("it went on")
			}
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != exitFailed || !bytes.Contains(out.Bytes(), []byte("needlebook: not finished: interrupted")) || !bytes.Contains(out.Bytes(), []byte("what was answered is kept in")) {
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
