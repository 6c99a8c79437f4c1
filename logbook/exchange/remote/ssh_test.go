package remote_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/remote"
)

// A real sshd on the loopback, with a port and keys of its own: the same exchange over ssh, cut in the middle and gone on with.
func TestOverSSH(t *testing.T) {
	wider(t)
	const sshd = "/usr/sbin/sshd"
	if _, err := os.Stat(sshd); err != nil {
		t.Fatal(err)
	}
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	if me.Uid == "0" { // where it keeps what it splits off
		if err := os.MkdirAll("/run/sshd", 0o755); err != nil {
			t.Fatal(err)
		}
	}
	ship, shore, between := trial.Apart(t, 5)
	top := t.TempDir()
	for _, k := range []string{"host", "user"} {
		if out, err := exec.Command("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", filepath.Join(top, k)).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := l.Addr().(*net.TCPAddr).Port
	l.Close()
	trial.Put(t, top, "config", fmt.Sprintf("Port %d\nListenAddress 127.0.0.1\nHostKey %s/host\nAuthorizedKeysFile %s/user.pub\nPidFile none\nStrictModes no\nUsePAM no\nPasswordAuthentication no\nPermitRootLogin yes\nLogLevel ERROR\n", port, top, top))
	var says bytes.Buffer
	cmd := exec.Command(sshd, "-D", "-e", "-f", filepath.Join(top, "config"))
	cmd.Stderr = &says
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cmd.Process.Kill(); cmd.Wait() })
	for range 100 {
		c, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		if err == nil {
			c.Close()
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	line := newCutter(t, fmt.Sprintf("127.0.0.1:%d", port))
	t.Setenv("GIT_SSH_COMMAND", fmt.Sprintf("ssh -F none -i %s/user -o IdentitiesOnly=yes -o StrictHostKeyChecking=no -o UserKnownHostsFile=%s/known -o BatchMode=yes", top, top))
	trial.Run(t, ship, "remote", "set-url", "origin", fmt.Sprintf("ssh://%s@%s%s", me.Username, line.Addr(), between))
	trial.Write(t, ship, 20, trial.File("photos/a.jpg", noise(1, 40_000)))
	trial.Write(t, shore, 21, trial.File("handovers/2024-07-01.md", []byte("quiet\n")))
	if _, err := trial.ExchangeOnce(t, shore, 22, false); err != nil {
		t.Fatal(err)
	}
	before := trial.Snapshot(t, ship)
	line.down.Store(3500) // in the middle of what is told before the pack
	if _, err := trial.ExchangeOnce(t, ship, 23, false); err == nil {
		t.Error("a line that was cut brought everything all the same")
	}
	line.whole()
	if after := trial.Snapshot(t, ship); after != before {
		t.Error("the book has changed")
	}
	if _, err := trial.ExchangeOnce(t, ship, 24, false); err != nil {
		t.Fatalf("%v: sshd says %s", err, says.String())
	}
	if a, b := trial.Head(t, ship), trial.Run(t, between, "rev-parse", "main"); a != b {
		t.Errorf("ship %s, server %s", a, b)
	}
	if _, err := trial.ExchangeOnce(t, shore, 25, false); err != nil {
		t.Fatal(err)
	}
	trial.Sound(t, ship, shore, between)

	// The same where no git is installed and no agent runs, with the key from its usual place.
	key, err := os.ReadFile(filepath.Join(top, "user"))
	if err != nil {
		t.Fatal(err)
	}
	trial.Put(t, top, ".ssh/id_ed25519", string(key))
	t.Setenv("HOME", top)
	t.Setenv("SSH_AUTH_SOCK", "")
	t.Setenv("SSH_KNOWN_HOSTS", filepath.Join(top, "known"))
	trial.Write(t, ship, 30, trial.File("handovers/2024-07-02.md", []byte("quiet\n")))
	if _, err := trial.ExchangeOnce(t, ship, 31, true); err != nil {
		t.Fatalf("%v: sshd says %s", err, says.String())
	}
	if a, b := trial.Head(t, ship), trial.Run(t, between, "rev-parse", "main"); a != b {
		t.Errorf("ship %s, server %s", a, b)
	}
	trial.Sound(t, ship, between)
}

// A server that takes a call and says nothing costs no more than the time there is.
func TestSilentServer(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	dir := trial.Founded(t, 1)
	home := t.TempDir()
	trial.Put(t, home, ".ssh/known_hosts", "")
	t.Setenv("HOME", home)
	t.Setenv("SSH_AUTH_SOCK", "")
	line, err := remote.Find(dir, "ssh://nobody@"+l.Addr().String()+"/book.git")
	if err != nil {
		t.Fatal(err)
	}
	line.Plain = true
	if _, err := line.Fetch(context.Background(), dir); err == nil || !strings.Contains(err.Error(), "no ssh-agent and no key") {
		t.Errorf("without a key: %v", err)
	}
	key, err := os.ReadFile(trial.KeyFile(t))
	if err != nil {
		t.Fatal(err)
	}
	trial.Put(t, home, ".ssh/id_ed25519", string(key))
	ctx, stop := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer stop()
	if _, err := line.Fetch(ctx, dir); !errors.Is(err, budget.ErrStopped) || !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("with one: %v", err)
	}
}
