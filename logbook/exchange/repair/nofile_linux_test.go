package repair_test

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/joining"
	"needlebook/logbook/exchange/repair"
	"needlebook/logbook/trace"
)

// What may lie in the place of a file, and never ends for whoever opens or reads it.
var noFiles = map[string]func(name string) error{
	"a pipe":                 func(name string) error { return syscall.Mkfifo(name, 0o600) },
	"a device":               func(name string) error { return os.Symlink("/dev/zero", name) },
	"a file of no length":    func(name string) error { return os.Symlink("/proc/kmsg", name) },
	"64 GiB of nothing":      func(name string) error { return errors.Join(os.WriteFile(name, nil, 0o600), os.Truncate(name, 64<<30)) },
	"a pipe that is written": writtenPipe,
}

// writtenPipe is a pipe whose other end is held open, so that a reader who does not wait for it waits for its bytes.
func writtenPipe(name string) error {
	if err := syscall.Mkfifo(name, 0o600); err != nil {
		return err
	}
	held, err := os.OpenFile(name, os.O_RDWR, 0)
	time.AfterFunc(time.Minute, func() { held.Close() })
	return err
}

// Whatever lies in the place of a file, in the book or in its repository, reading and writing end; when the file is back, the book is
// as it was, or as it was written.
func TestNoFileIsWaitedFor(t *testing.T) {
	at := func(dir, pattern string) string {
		found, err := filepath.Glob(filepath.Join(dir, pattern))
		if err != nil || len(found) == 0 {
			t.Fatalf("no %s: %v", pattern, err)
		}
		rel, _ := filepath.Rel(dir, found[0])
		return rel
	}
	for _, packed := range []bool{false, true} {
		model, tip, d := trial.Book(t)
		places := []string{".git", ".git/HEAD", ".git/config", ".git/index", ".git/refs/heads/main", ".git/packed-refs", ".git/commondir", ".git/shallow", ".git/objects/info/alternates", ".git/info/exclude",
			".git/MERGE_HEAD", ".git/MERGE_MSG", ".git/logs/HEAD", ".git/logs/refs/heads/main", ".git/needlebook", ".gitignore", trial.Path1, trial.Path2, trial.Path3, "signers/allowed_signers", filepath.Join(".git/objects", tip[:2], tip[2:])}
		if packed {
			if out, err := exec.Command("git", "-C", model, "repack", "-adq").CombinedOutput(); err != nil {
				t.Skipf("git: %v: %s", err, out)
			}
			places = []string{at(model, ".git/objects/pack/*.idx"), at(model, ".git/objects/pack/*.pack")}
		}
		for what, lay := range noFiles {
			for _, place := range places {
				dir := filepath.Join(trial.Scratch(t), "book")
				if err := os.CopyFS(dir, os.DirFS(model)); err != nil {
					t.Fatal(err)
				}
				name, aside := filepath.Join(dir, place), filepath.Join(filepath.Dir(dir), "aside")
				os.MkdirAll(filepath.Dir(name), 0o777)
				moved := os.Rename(name, aside) == nil
				if err := lay(name); err != nil {
					t.Fatal(err)
				}
				ended := make(chan string, 1)
				go func() {
					_, read := trace.Read(dir, trace.Options{EveryText: true})
					_, open := joining.ReadOpen(dir)
					_, troubles := repair.Troubles(dir)
					_, lost := trace.DamagedCopies(dir)
					id, written := exchange.Write(dir, d)
					if written != nil {
						id = ""
					}
					_ = errors.Join(read, open, troubles, lost) // which of them says what is another test's
					ended <- id
				}()
				select {
				case id := <-ended:
					if id == "" {
						id = tip
					}
					if err := os.Remove(name); err == nil && moved {
						err = os.Rename(aside, name)
						if err != nil {
							t.Fatal(err)
						}
					}
					if trail, err := trace.Read(dir, trace.Options{EveryText: true}); err != nil {
						t.Errorf("%s for %s: the book cannot be read afterwards: %v", what, place, err)
					} else if id == tip && trail.Head != tip {
						t.Errorf("%s for %s: not written, and the tip is %s", what, place, trail.Head)
					}
				case <-time.After(time.Minute):
					t.Fatalf("%s for %s: somebody waits", what, place)
				}
			}
		}
	}
}

// Between the look at a file and its opening another one may come to its place.
func TestNoFileThatComesMeanwhile(t *testing.T) {
	dir, _, _ := trial.Book(t)
	store, err := trace.OpenStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	name, file, pipe := filepath.Join(dir, "x"), filepath.Join(dir, "file"), filepath.Join(dir, "pipe")
	if err := errors.Join(os.WriteFile(file, []byte("text"), 0o600), writtenPipe(pipe), os.Link(file, name)); err != nil {
		t.Fatal(err)
	}
	stop, stopped := make(chan bool), make(chan bool)
	go func() {
		defer close(stopped)
		for {
			for _, from := range []string{pipe, file} {
				aside := name + "-aside"
				if os.Link(from, aside) == nil {
					os.Rename(aside, name)
					os.Remove(aside) // a rename onto the same file leaves both
				}
			}
			select {
			case <-stop:
				return
			default:
			}
		}
	}()
	ended := make(chan int)
	go func() {
		n := 0
		for try := 0; try < 3000 || n == 0; try++ { // on a busy machine the other one may not have had its turn yet
			if f, err := durable.New(dir).Open("x"); err == nil {
				text, err := io.ReadAll(f)
				f.Close()
				if err == nil && strings.TrimSpace(string(text)) == "text" {
					n++
				}
			}
		}
		ended <- n
	}()
	select {
	case n := <-ended:
		if n == 0 {
			t.Error("nothing was read")
		}
	case <-time.After(time.Minute):
		t.Error("somebody waits")
	}
	close(stop)
	<-stopped
}
