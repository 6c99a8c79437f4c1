package main

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/pem"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/example-vessel/invent"
	"needlebook/logbook/exchange"
)

type options struct {
	records, rounds    int
	program, dir, only string
}

// workload is a book with its history, and the program.
type workload struct {
	options
	temporary bool
	program   string
	book      string // folder of the book
	key       string // file of the key that signs
	proof     string
	overhauls []string // paths, oldest first
	commits   int
	bytes     int64
	native    cost // of git's own proof of all commits
}

var began = time.Date(2010, 1, 1, 8, 0, 0, 0, time.UTC)

func newWorkload(o options) (*workload, error) {
	w := &workload{options: o, program: o.program}
	if w.dir == "" {
		dir, err := os.MkdirTemp("", "bench")
		if err != nil {
			return nil, err
		}
		w.dir, w.temporary = dir, true
	}
	if err := w.prepare(); err != nil {
		w.close()
		return nil, err
	}
	return w, nil
}

func (w *workload) close() {
	if w.temporary {
		os.RemoveAll(w.dir)
	}
}

// prepare builds the program and the book, unless the folder holds them already.
func (w *workload) prepare() error {
	if w.program == "" {
		w.program = filepath.Join(w.dir, "needlebook")
		if out, err := exec.Command("go", "build", "-o", w.program, "./cmd/needlebook").CombinedOutput(); err != nil {
			return fmt.Errorf("%w: %s", err, out)
		}
	}
	w.book, w.key = filepath.Join(w.dir, fmt.Sprint("book-", w.records)), filepath.Join(w.dir, "key")
	seed := sha256.Sum256([]byte("needlebook benchmark"))
	private := ed25519.NewKeyFromSeed(seed[:])
	signer, err := ssh.NewSignerFromKey(private)
	if err != nil {
		return err
	}
	block, err := ssh.MarshalPrivateKey(private, "")
	if err != nil {
		return err
	}
	if err := os.WriteFile(w.key, pem.EncodeToMemory(block), 0o600); err != nil {
		return err
	}
	if err := os.WriteFile(w.key+".pub", ssh.MarshalAuthorizedKey(signer.PublicKey()), 0o666); err != nil {
		return err
	}
	ship := invent.Vessel(3, invent.Options{Overhauls: w.records})
	ids, err := w.history(ship, signer)
	if err != nil {
		return err
	}
	w.proof = ids + "@" + ssh.FingerprintSHA256(signer.PublicKey())
	w.bytes = 0
	return filepath.WalkDir(w.book, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			if e != nil && e.Name() == ".git" {
				return fs.SkipDir
			}
			return err
		}
		info, err := e.Info()
		if err == nil {
			w.bytes += info.Size()
		}
		return err
	})
}

// history lays the ship down as one signed commit for each overhaul, each sixth edited later, and says the founding one.
func (w *workload) history(ship *invent.Book, signer ssh.Signer) (string, error) {
	person := exchange.Person{Name: "bench", Email: "bench@ship", When: began}
	step := func(message string, changes ...exchange.Change) exchange.Step {
		person.When = person.When.Add(time.Hour)
		return exchange.Step{Draft: exchange.Draft{Author: person, Message: message, Signer: signer, Changes: changes}}
	}
	ship.Files["signers/allowed_signers"] = []byte(`bench@ship namespaces="git,engineer@needlebook,chief@needlebook,superintendent@needlebook" ` +
		string(ssh.MarshalAuthorizedKey(signer.PublicKey())))
	var first []exchange.Change
	for path, text := range ship.Files {
		text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")) // as a book under git holds it
		if strings.HasPrefix(path, "overhauls/") && strings.HasSuffix(path, ".md") {
			w.overhauls = append(w.overhauls, path)
			continue
		}
		first = append(first, exchange.Change{Path: path, Text: text})
	}
	slices.SortFunc(w.overhauls, func(a, b string) int { return strings.Compare(filepath.Base(a), filepath.Base(b)) })
	steps := []exchange.Step{step("found the book", first...)}
	for i, path := range w.overhauls {
		text := bytes.ReplaceAll(ship.Files[path], []byte("\r\n"), []byte("\n"))
		steps = append(steps, step("record "+path, exchange.Change{Path: path, Text: text}))
		if i%6 == 5 {
			steps = append(steps, step("look again at "+path, exchange.Change{Path: path, Text: append(bytes.Clone(text), "\nLooked at again.\n"...)}))
		}
	}
	w.commits = len(steps)
	if id, err := output("git", "-C", w.book, "rev-list", "--max-parents=0", "HEAD"); err == nil {
		return strings.TrimSpace(id), nil
	}
	ids, err := exchange.Build(w.book, steps)
	if err != nil {
		return "", err
	}
	for _, args := range [][]string{
		{"repack", "-adfq"},
		{"config", "user.name", "bench"},
		{"config", "user.email", "bench@ship"},
		{"config", "gpg.format", "ssh"},
		{"config", "user.signingkey", w.key + ".pub"},
		{"config", "gpg.ssh.allowedSignersFile", filepath.Join(w.book, "signers", "allowed_signers")},
	} {
		if _, err := output("git", append([]string{"-C", w.book}, args...)...); err != nil {
			return "", err
		}
	}
	return ids[0], nil
}

// cost is what something took: seconds on the clock and of processors, and the most memory it held, in bytes.
type cost struct {
	wall, cpu float64
	most      int64
}

func (c cost) in(cpu bool) float64 {
	if cpu {
		return c.cpu
	}
	return c.wall
}

// child runs a command and says what it took. Statuses in okay are no failure.
func (w *workload) child(dir string, okay []int, name string, args ...string) (cost, error) {
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "NEEDLEBOOK_MEMORY="+filepath.Join(w.dir, "memory"),
		"NEEDLEBOOK_CACHE="+filepath.Join(w.dir, "cache"), "NEEDLEBOOK_RECEIPTS=", "GIT_CONFIG_GLOBAL=/dev/null", "GIT_CONFIG_SYSTEM=/dev/null")
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = io.Discard, &said
	start := time.Now()
	err := cmd.Run()
	wall := time.Since(start).Seconds()
	state := cmd.ProcessState
	if state == nil || err != nil && !slices.Contains(okay, state.ExitCode()) {
		return cost{}, fmt.Errorf("%s %s: %w: %s", name, strings.Join(args, " "), err, said.String())
	}
	used := state.SysUsage().(*syscall.Rusage)
	return cost{wall, (state.UserTime() + state.SystemTime()).Seconds(), int64(used.Maxrss) << 10}, nil
}

// ours runs a verb of the program in the book.
func (w *workload) ours(args ...string) (cost, error) {
	return w.child(w.book, []int{0, 1}, w.program, args...)
}

func (w *workload) git(args ...string) (cost, error) { return w.child(w.book, nil, "git", args...) }

func output(name string, args ...string) (string, error) {
	out, err := exec.Command(name, args...).Output()
	return string(out), err
}

// within measures work of this process.
func within(f func() error) (cost, error) {
	used := func() float64 {
		var r syscall.Rusage
		syscall.Getrusage(syscall.RUSAGE_SELF, &r) // its own process is always there
		return time.Duration(r.Utime.Nano() + r.Stime.Nano()).Seconds()
	}
	before, start := used(), time.Now()
	err := f()
	return cost{wall: time.Since(start).Seconds(), cpu: used() - before}, err
}

// bytesRead reads every file of the book, and hashes it where asked.
func (w *workload) bytesRead(hash bool) (cost, error) {
	return within(func() error {
		return filepath.WalkDir(w.book, func(path string, e fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if e.IsDir() {
				if e.Name() == ".git" {
					return fs.SkipDir
				}
				return nil
			}
			text, err := os.ReadFile(path)
			if err == nil && hash {
				sha256.Sum256(text)
			}
			return err
		})
	})
}

// medians measures a row as often as asked, ours and theirs in turn, and takes the middle of each.
func (w *workload) medians(r row) (ours, theirs cost, err error) {
	var a, b []cost
	for range w.rounds {
		x, y, err := r.measure()
		if err != nil {
			return ours, theirs, err
		}
		a, b = append(a, x), append(b, y)
	}
	return middle(a), middle(b), nil
}

func middle(costs []cost) cost {
	of := func(what func(cost) float64) float64 {
		var all []float64
		for _, c := range costs {
			all = append(all, what(c))
		}
		slices.Sort(all)
		return all[len(all)/2]
	}
	return cost{of(func(c cost) float64 { return c.wall }), of(func(c cost) float64 { return c.cpu }), int64(of(func(c cost) float64 { return float64(c.most) }))}
}

// token is a text that was never there before.
func token() string { return rand.Text() }

func matches(name, part string) bool { return strings.Contains(name, part) }
