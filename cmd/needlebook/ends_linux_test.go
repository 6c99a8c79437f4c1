package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"testing"
)

func init() {
	if os.Getenv(asProgram) != "" {
		// strace counts calls for each thread: what the program writes is then counted on one.
		runtime.LockOSThread()
	}
}

// A deed is one use of a verb that writes. In each %s stands the folder of the book's surroundings.
type deed struct {
	verb string
	args string
	// book is the book's folder there, empty when the deed makes it.
	book string
	done string // pattern of the output that says it is done
}

// deeds are every verb that writes into a book, or beside it what must last.
var deeds = []deed{
	{"sign", "sign --key %s/eng overhauls", "book", "committed [0-9a-f]{12}"},
	{"countersign", "countersign " + recordStem + " --key %s/chief --yes --reason seen", "book", "committed [0-9a-f]{12}"},
	{"review", "review " + recordStem + " --key %s/shore --yes --reason seen", "book", "committed [0-9a-f]{12}"},
	{"enrol", "enrol n.vasquez --role engineer --their-key %s/new.pub --key %s/chief", "book", "let in as engineer"},
	{"withdraw", "withdraw eng --compromised --last-good none --reason stolen --key %s/shore", "book", "committed [0-9a-f]{12}"},
	{"adopt", "adopt HEAD --reason forgotten --key %s/chief", "book", "committed [0-9a-f]{12}"},
	{"commission", "commission %s/fresh --vessel Aurinda --from 2024-01-01 --engine ME1,type=T3,cylinders=3,from=free_end,name=port --founder shore --key %s/shore", "fresh", "founding proof: [0-9a-f]{40}@"},
	{"join", "join %s/book %s/joined --proof %p --key %s/eng", "joined", "the book is here, and its founding proof fits"},
	{"receipt", "receipt --out %s/seen --key %s/office", "book", "received by office@ashore"},
	{"verify", "verify", "book", "not proved since commit"},
}

// copied is a copy of the surroundings in memory, ready for a deed.
func (d deed) copied(t *testing.T, from string) (dir, tip string) {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "needlebook-test-")
	if err != nil {
		dir = t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.CopyFS(dir, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"shore", "chief", "eng", "office", "new"} {
		os.Chmod(filepath.Join(dir, key), 0o600)
	}
	os.Mkdir(filepath.Join(dir, "seen"), 0o755)
	if d.verb == "sign" {
		name := filepath.Join(dir, "book/overhauls/me1/c1", recordStem+".md")
		old, _ := os.ReadFile(name)
		os.WriteFile(name, bytes.Replace(old, []byte("1500 h"), []byte("1501 h"), 1), 0o666)
	}
	return dir, tipOf(filepath.Join(dir, "book"))
}

// run runs the deed, under strace with these flags when there are any.
func (d deed) run(t *testing.T, dir string, flags ...string) (out string, err error) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	args := strings.Fields(strings.ReplaceAll(d.args, "%s", dir))
	for i, a := range args {
		if a == "%p" {
			args[i] = foundingOf(t, filepath.Join(dir, "book"))
		}
	}
	for i, a := range args {
		args[i] = strings.ReplaceAll(a, "free_end", "free end")
	}
	name := self
	if len(flags) > 0 {
		name, args = "strace", append(append([]string{"-f", "-qq"}, flags...), append([]string{self}, args...)...)
	}
	ctx, stop := context.WithTimeoutCause(t.Context(), hostileTime, errors.New("it hung"))
	defer stop()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = filepath.Join(dir, "book")
	cmd.Env = []string{asProgram + "=1", "PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GOMAXPROCS=1", "GIT_CONFIG_NOSYSTEM=1",
		"NEEDLEBOOK_CACHE=" + filepath.Join(dir, "own"), "NEEDLEBOOK_MEMORY=" + filepath.Join(dir, "memory")}
	b, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		t.Errorf("%s: %v\n%s", d.verb, context.Cause(ctx), b)
	}
	return string(b), err
}

// A call is one system call of the program's own thread that changes a disk.
type call struct {
	name string
	n    int // the how many'th of its name
}

var (
	traced   = []string{"openat", "write", "fsync", "renameat", "renameat2", "unlinkat", "mkdirat", "ftruncate", "close"}
	callLine = regexp.MustCompile(`^(\d+) +(\w+)\(([^,)]*)(?:, ([^)]*))?`)
)

// calls lists them, from a run that nothing disturbs, whose folder it gives too.
func (d deed) calls(t *testing.T, from string) (all []call, dir string) {
	t.Helper()
	dir, _ = d.copied(t, from)
	moveRemote(t, dir, from)
	log := filepath.Join(dir, "calls")
	out, err := d.run(t, dir, "-o", log, "-e", "trace="+strings.Join(traced, ","))
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) || !regexp.MustCompile(d.done).MatchString(out) {
		t.Fatalf("%s, undisturbed: %v\n%s", d.verb, err, out)
	}
	text, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	own, count, written := "", map[string]int{}, map[string]bool{}
	for line := range strings.Lines(string(text)) {
		m := callLine.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		if own == "" {
			own = m[1]
		}
		if m[1] != own {
			continue
		}
		count[m[2]]++
		changes := true
		switch m[2] {
		case "openat":
			changes = strings.Contains(line, "O_CREAT") && strings.Contains(line, dir)
			if _, fd, ok := strings.Cut(strings.TrimSpace(line), ") = "); ok && changes {
				written[fd] = true
			}
		case "write":
			changes = written[m[3]]
		case "close":
			changes = written[m[3]]
			delete(written, m[3])
		}
		if changes {
			all = append(all, call{m[2], count[m[2]]})
		}
	}
	return all, dir
}

// lasting fails unless what is on the disk after a disturbed deed is wholly old or wholly new, and goes on.
func (d deed) lasting(t *testing.T, what, dir, tip, out string) {
	t.Helper()
	book := filepath.Join(dir, d.book)
	told := regexp.MustCompile(d.done).MatchString(out)
	now := tipOf(book)
	git := func(args ...string) string {
		cmd := exec.Command("git", append([]string{"-c", "safe.directory=*", "-C", book}, args...)...)
		cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1"}
		b, err := cmd.CombinedOutput()
		if err != nil {
			return fmt.Sprintf("%s (%v)", b, err)
		}
		return string(b)
	}
	switch {
	case d.makes():
		if now == "" && told {
			t.Errorf("%s: told that the book is there, and it is not: %s", what, out)
		}
		if now == "" {
			d.onceMore(t, what, dir)
			return
		}
	case now == "":
		t.Errorf("%s: the book does not open", what)
		return
	case d.verb == "receipt":
		if _, err := os.Stat(filepath.Join(dir, "seen/0001.receipt")); told != (err == nil) && told {
			t.Errorf("%s: told of a receipt that is not there", what)
		}
	case d.verb != "verify" && told && now == tip:
		t.Errorf("%s: told that it is committed, but the tip is the old one: %s", what, out)
	}
	if said := git("fsck", "--strict", "--no-dangling", "--no-progress"); said != "" {
		t.Errorf("%s: git fsck: %s", what, said)
	}
	locksGone(dir)
	if now != tip && !d.makes() {
		if said := git("status", "--porcelain"); said != "" {
			t.Errorf("%s: committed, but git status says %s", what, said)
		}
	}
	// What was begun can be done, or is done.
	if d.makes() {
		return
	}
	again, err := d.run(t, dir)
	if strings.Contains(again, "cannot be believed") {
		t.Errorf("%s: the reader's memory was torn: %s", what, again)
	}
	var exit *exec.ExitError
	repeated := now != tip && errors.As(err, &exit) && exit.ExitCode() == exitUse
	if err != nil && !repeated && d.verb != "verify" || err == nil && !regexp.MustCompile(d.done).MatchString(again) {
		t.Errorf("%s: once more: %v\n%s", what, err, again)
	}
}

// makes says that the deed makes a book.
func (d deed) makes() bool { return d.verb == "commission" || d.verb == "join" }

// onceMore fails unless the deed, done again after it left no book, makes one: what a kill left behind is in no way.
func (d deed) onceMore(t *testing.T, what, dir string) {
	t.Helper()
	out, err := d.run(t, dir)
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == exitFindings {
		err = nil // the book that is joined holds an unsigned commit
	}
	if err != nil || !regexp.MustCompile(d.done).MatchString(out) {
		t.Errorf("%s: once more: %v\n%s", what, err, out)
	}
}

// foundingOf is the founding proof of a book, by its first commit: its 40 digits are enough.
func foundingOf(t *testing.T, book string) string {
	t.Helper()
	out, err := exec.Command("git", "-c", "safe.directory=*", "-C", book, "rev-list", "--max-parents=0", "HEAD").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

// Every verb that writes, ended at a call that changes the disk, or answered by an error: 0 torn, 0 broken,
// 0 told and not done. A sample in the wider run, all of them in the long one.
func TestEndsAndErrors(t *testing.T) {
	if os.Getenv("NEEDLEBOOK_WIDER") == "" {
		t.Skip("ends programs by strace; runs with NEEDLEBOOK_WIDER=1")
	}
	for _, tool := range []string{"strace", "git"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatal(err)
		}
	}
	from := surroundings(t)
	for _, d := range deeds {
		t.Run(d.verb, func(t *testing.T) {
			all, _ := d.calls(t, from)
			if len(all) < 5 {
				t.Fatalf("only %d calls change the disk: %v", len(all), all)
			}
			r := rand.New(rand.NewPCG(1, uint64(len(d.verb))))
			blows := blowsAt(all)
			if os.Getenv("NEEDLEBOOK_LONG") == "" {
				r.Shuffle(len(blows), func(i, j int) { blows[i], blows[j] = blows[j], blows[i] })
				blows = blows[:min(len(blows), 10)]
			}
			for _, b := range blows {
				dir, tip := d.copied(t, from)
				what := fmt.Sprintf("%s, %s at the %s number %s", d.verb, b.how, b.name, strconv.Itoa(b.n))
				out, _ := d.run(t, dir, "-o", "/dev/null", "-e", "trace="+b.name, "-e", "inject="+b.name+":"+b.how+":when="+strconv.Itoa(b.n))
				d.lasting(t, what, dir, tip, out)
				os.RemoveAll(dir)
			}
			t.Logf("%d of %d", len(blows), len(all))
		})
	}
}
