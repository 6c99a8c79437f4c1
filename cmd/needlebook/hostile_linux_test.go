package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"needlebook/logbook"
)

// What one input may cost, on a machine that does other things too.
const hostileTime = 60 * time.Second

// hostileMemory is what one input may take in bytes beyond an honest input. The race detector takes five to ten times the memory of
// the program itself (The Go Project, Data Race Detector, "Runtime Overhead").
var hostileMemory = sync.OnceValue(func() int64 {
	const bytes = 256 << 20
	built, _ := debug.ReadBuildInfo()
	if built != nil && slices.Contains(built.Settings, debug.BuildSetting{Key: "-race", Value: "true"}) {
		return 10 * bytes
	}
	return bytes
})

// siege is a run of hostile inputs against one program: as many as a test has time for, or for as long as NEEDLEBOOK_HOSTILE says.
// Input n is made from NEEDLEBOOK_SEED and n alone, and NEEDLEBOOK_INPUT begins with another than the first; of a program that goes on,
// these are what it is given in one life.
type siege struct {
	*testing.T
	seed    uint64
	r       *rand.Rand
	dir     string // scratch, in memory where there is some
	long    bool
	base    int64 // bytes that the program takes for an honest input
	inputs  int
	slowest time.Duration
	largest int64  // growth of memory
	worst   string // which inputs these were
}

// besiege calls attack with one input after the other.
func besiege(t *testing.T, sample int, attack func(s *siege)) {
	s := &siege{T: t, seed: 1, dir: inMemory(t)}
	length, err := time.ParseDuration(os.Getenv("NEEDLEBOOK_HOSTILE"))
	if err != nil && os.Getenv("NEEDLEBOOK_LONG") == "1" {
		length = time.Minute
	}
	if length > 0 {
		s.long, sample = true, 1<<30
		s.seed = uint64(time.Now().UnixNano())
	}
	if given, err := strconv.ParseUint(os.Getenv("NEEDLEBOOK_SEED"), 10, 64); err == nil {
		s.seed = given
	}
	first, _ := strconv.Atoi(os.Getenv("NEEDLEBOOK_INPUT"))
	sample, s.inputs = sample+first, first
	t.Logf("seed %d", s.seed)
	for began := time.Now(); s.inputs < sample && (length == 0 || time.Since(began) < length) && !t.Failed(); {
		s.r = rand.New(rand.NewPCG(s.seed, uint64(s.inputs)))
		attack(s)
		s.inputs++
	}
	s.inputs -= first
	t.Logf("%d inputs, the slowest took %v, memory grew by %d MiB at most%s", s.inputs, s.slowest.Round(time.Millisecond), s.largest>>20, s.worst)
}

// inMemory is a folder of the test's own, in memory where the machine has such a place.
func inMemory(t *testing.T) string {
	dir, err := os.MkdirTemp("/dev/shm", "needlebook-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// took counts what an input cost.
func (s *siege) took(what string, d time.Duration, pmax int64, files ...string) {
	if d > s.slowest {
		s.slowest, s.worst = d, s.worst+fmt.Sprintf("; input %d %s took %v", s.inputs, what, d.Round(time.Millisecond))
	}
	if grown := pmax - s.base; s.base > 0 && grown > s.largest {
		s.largest = grown
	}
	if len(s.worst) > 1000 {
		s.worst = s.worst[len(s.worst)-1000:]
	}
	if s.base > 0 && pmax-s.base > hostileMemory() {
		s.keep(what, fmt.Sprintf("memory grew from %d to %d MiB", s.base>>20, pmax>>20), files...)
	}
}

// keep fails with what went wrong, and keeps the input that did it.
func (s *siege) keep(what, amiss string, files ...string) {
	s.Helper()
	kept, err := os.MkdirTemp("", "needlebook-hostile-")
	if err != nil {
		s.Fatal(err)
	}
	for i, f := range files {
		text, err := os.ReadFile(f)
		if err == nil {
			err = os.WriteFile(filepath.Join(kept, fmt.Sprintf("%d-%s", i, filepath.Base(f))), text, 0o600)
		}
		if err != nil {
			s.Log(err)
		}
	}
	s.Errorf("input %d of seed %d, %s: %s\nkept in %s", s.inputs, s.seed, what, amiss, kept)
}

// head is the beginning of what is written to it.
type head struct{ bytes.Buffer }

func (h *head) Write(p []byte) (int, error) {
	h.Buffer.Write(p[:min(len(p), max(0, 64<<10-h.Len()))])
	return len(p), nil
}

// program is the command line of the program itself; it ends with the test.
func (s *siege) program(ctx context.Context, args ...string) *exec.Cmd {
	self, err := os.Executable()
	if err != nil {
		s.Fatal(err)
	}
	cmd := exec.CommandContext(ctx, self, args...)
	cmd.Dir = s.dir
	cmd.Env = []string{asProgram + "=1", "PATH=" + os.Getenv("PATH"), "HOME=" + s.dir, "TMPDIR=" + s.dir, "GIT_CONFIG_NOSYSTEM=1", "NEEDLEBOOK_CACHE=",
		"NEEDLEBOOK_MEMORY=" + filepath.Join(s.dir, "memory"), "GOMAXPROCS=" + os.Getenv("GOMAXPROCS")}
	return cmd
}

// once runs the program on one input and fails when it hangs, falls over, or takes too much memory.
func (s *siege) once(what string, files []string, args ...string) (status int, said string) {
	s.Helper()
	ctx, stop := context.WithTimeout(context.Background(), hostileTime)
	defer stop()
	cmd := s.program(ctx, args...)
	var out head
	cmd.Stdout, cmd.Stderr = &out, &out
	forgetPeak(s.T)
	began := time.Now()
	err := cmd.Run()
	took := time.Since(began)
	status, said = cmd.ProcessState.ExitCode(), out.String()
	usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		s.Fatal("the system does not say what a process took")
	}
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		s.keep(what, fmt.Sprintf("it hung: %v", err), files...)
	case err != nil && !errors.As(err, &exit):
		s.Fatal(err)
	case status < 0 || status > exitBroken || fellOver(said):
		s.keep(what, fmt.Sprintf("%v: %s", err, said), files...)
	}
	s.took(what, took, usage.Maxrss<<10, files...) // or what this process held when it started the other
	return status, said
}

// forgetPeak lets go of what this process held: to the system, the most that a program took is no less than what the one that
// started it did, up to then (proc(5), clear_refs).
func forgetPeak(t *testing.T) {
	if peak, _ := pmaxOf(t, os.Getpid()); peak > hostileMemory()/4 {
		debug.FreeOSMemory()
		if err := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0); err != nil {
			t.Log(err)
		}
	}
}

// fellOver reports whether a program says that it is at fault.
func fellOver(said string) bool {
	return strings.Contains(said, "fault of the program") || strings.Contains(said, "goroutine ") || strings.Contains(said, "panic:")
}

// pmaxOf is the most memory that a process that runs has taken, and what it takes now.
func pmaxOf(t *testing.T, pid int) (pmax, now int64) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		var kib int64
		if name, rest, _ := strings.Cut(line, ":"); name == "VmHWM" || name == "VmRSS" {
			if _, err := fmt.Sscanf(rest, "%d", &kib); err != nil {
				t.Fatal(err)
			}
			if name == "VmHWM" {
				pmax = kib << 10
			} else {
				now = kib << 10
			}
		}
	}
	return pmax, now
}

// honestly is what a program takes for an honest input, from a process that only does that.
func (s *siege) honestly(args ...string) {
	s.Helper()
	if s.base > 0 {
		return
	}
	cmd := s.program(context.Background(), args...)
	var out head
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		s.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for {
		select {
		case err := <-ended:
			if err != nil && cmd.ProcessState.ExitCode() != exitFindings {
				s.Fatalf("%v: %v: %s", args, err, out.String())
			}
			return
		case <-time.After(5 * time.Millisecond):
			if text, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", cmd.Process.Pid)); err == nil {
				var all, held int64
				if n, _ := fmt.Sscan(string(text), &all, &held); n == 2 {
					s.base = max(s.base, held*int64(os.Getpagesize()))
				}
			}
		}
	}
}

// Mailbags that were damaged, cut, forged, or made of histories that no honest hand writes: a bag that is refused leaves the book as it
// was, and every book can be read afterwards.
func TestHostileMailbags(t *testing.T) {
	var made *bagMaker
	besiege(t, 12, func(s *siege) {
		if made == nil {
			made = newBagMaker(t)
		}
		book, file := filepath.Join(s.dir, "book"), filepath.Join(s.dir, "in")
		fresh := func() {
			if err := errors.Join(os.RemoveAll(book), os.RemoveAll(file), os.CopyFS(book, os.DirFS(made.here)), os.Mkdir(file, 0o700)); err != nil {
				t.Fatal(err)
			}
		}
		if s.base == 0 {
			fresh()
			write(t, filepath.Join(file, "0.bundle"), string(made.honest[0]))
			s.honestly("mailbag", "open", filepath.Join(file, "0.bundle"), "--book", book, "--key", made.key)
		}
		fresh()
		what, bags := made.bags(s.r)
		args := []string{"mailbag", "open", "--book", book, "--key", made.key, "--receipts", filepath.Join(s.dir, "receipts")}
		var files []string
		for i, b := range bags {
			name := filepath.Join(file, fmt.Sprintf("%d%s", i, pick(s.r, []string{".bundle", ".part", ".ack", ".gz", ""})))
			write(t, name, string(b))
			files = append(files, name)
		}
		tip := tipOf(book)
		status, said := s.once(what, files, append(args, files...)...)
		switch now := tipOf(book); {
		case now == "":
			s.keep(what, "the book cannot be read afterwards: "+said, files...)
		case now != tip && len(files) == 1 && status >= exitFailed:
			s.keep(what, fmt.Sprintf("refused with %d, and let in: %s", status, said), files...)
		}
		for _, ask := range []string{"verify", "check", "repair", "mailbag pack --dry-run", "sync --dry-run --built-in " + made.here} {
			if status, said := s.once(what+", then "+ask, files, append(strings.Fields(ask), "--book", book)...); status > exitFindings {
				s.keep(what, fmt.Sprintf("%s ends with %d afterwards: %s", ask, status, said), files...)
			}
		}
	})
}

// Tables and maps that nobody can have typed.
func TestHostileImports(t *testing.T) {
	besiege(t, 25, func(s *siege) {
		book, table, columns := filepath.Join(s.dir, "book"), filepath.Join(s.dir, "old.csv"), filepath.Join(s.dir, "map.csv")
		if s.base == 0 {
			writeBook(t, book)
			write(t, table, oldTable)
			write(t, columns, oldMap)
			s.honestly("import", table, "--map", columns, "--book", book)
		}
		what := "table"
		text, m := []byte(oldTable), []byte(oldMap)
		for n := s.r.IntN(3); n >= 0; n-- {
			if s.r.IntN(3) == 0 {
				what, m = "map", mutated(s.r, m, []byte(oldTable))
			} else {
				text = mutated(s.r, text, []byte(oldMap))
			}
		}
		write(t, table, string(text))
		write(t, columns, string(m))
		args := []string{"import", table, "--map", columns, "--book", book}
		if s.r.IntN(4) == 0 {
			what, args = what+", written", append(args, "--write")
		}
		s.once(what, []string{table, columns}, args...)
		if len(args) > 6 {
			s.once(what+", then check", []string{table, columns}, "check", "--book", book)
			if err := os.RemoveAll(book); err != nil {
				t.Fatal(err)
			}
			writeBook(t, book)
		}
	})
}

// Texts as large as a file of a book may be, of one line over and over: what a row takes, beside its bytes, is bounded too.
func TestHostileRepetitions(t *testing.T) {
	rows := map[string]string{"hours/me1.csv": "date,counter_h,note\n2024-01-02,41250,\n", "stores/stock.csv": "date,item,qty,part_no,serial,note\n2024-01-02,nozzle,+1,,,\n",
		"running/me1.csv": "date,load_pct,fuel,cylinder,exhaust_c,pmax_bar\n2024-01-02,80,HFO,1,350,120\n", "crew.csv": "id,name,rank,from,to\ni.tamm,I. Tamm,chief engineer,2021-01-01,2021-04-03\n",
		"answers.csv": "check,place,text,date,by,answer,until\nrow-incomplete,crew.csv,x,2024-01-02,i.tamm,as it is,\n", "fuel/bunkers.csv": "date,fuel,quantity_t\n2024-01-02,HFO,300\n"}
	type input struct{ name, head, piece string }
	inputs := []input{{name: "hours/me1.csv", head: "date,counter_h\n", piece: "\n"}}
	for _, name := range slices.Sorted(maps.Keys(rows)) {
		head, row, _ := strings.Cut(rows[name], "\n")
		for _, piece := range []string{row, strings.Repeat(",", strings.Count(head, ",")) + "\n", "\n", "x\n", "x", ",", "\"\n", "#\n", "\u202e\n", "\r\n"} {
			inputs = append(inputs, input{name, head + "\n", piece})
		}
	}
	for _, name := range []string{"overhauls/me1/c2/2023-06-25-h-102.md", "instruments/pg-01.md", "limits/6qz31.md", "book.md"} {
		for _, piece := range []string{"\n", "a: 1\n", "- 1\n", "a: {", "[", "#\n", "> ", "|a|b|\n|-|-|\n", "[a](b) ", "*_", "<b>"} {
			inputs = append(inputs, input{name, "---\n", piece}, input{name, "---\nid: X\n---\n", piece})
		}
	}
	besiege(t, 2, func(s *siege) {
		book := filepath.Join(s.dir, "book")
		if s.base == 0 {
			writeBook(t, book)
			s.honestly("check", "--book", book)
		}
		in := inputs[s.inputs%len(inputs)]
		file := filepath.Join(book, filepath.FromSlash(in.name))
		old, _ := os.ReadFile(file)
		size := int(logbook.LargestOf(in.name)) - len(in.head)
		write(t, file, in.head+strings.Repeat(in.piece, size/len(in.piece)))
		s.once(fmt.Sprintf("%s of %q", in.name, in.piece), []string{file}, "check", "--book", book)
		if write(t, file, string(old)); old == nil {
			os.Remove(file)
		}
	})
}

// a server is a program that answers until it is told to end.
type server struct {
	reading sync.Mutex // who drains its output
	s       *siege
	cmd     *exec.Cmd
	in      io.WriteCloser
	out     *bufio.Reader
	errs    *head
	ended   chan error
	first   int64 // bytes it took once it had answered honestly
	steps   []string
}

func (s *siege) serve(args ...string) *server {
	v := &server{s: s, cmd: s.program(context.Background(), args...), errs: &head{}, ended: make(chan error, 1)}
	v.cmd.Stderr = v.errs
	out, err := v.cmd.StdoutPipe()
	if err == nil {
		v.in, err = v.cmd.StdinPipe()
	}
	if err == nil {
		err = v.cmd.Start()
	}
	if err != nil {
		s.Fatal(err)
	}
	v.out = bufio.NewReader(out)
	return v
}

// amiss fails with what the server was given.
func (v *server) amiss(format string, args ...any) {
	v.s.Helper()
	log := filepath.Join(v.s.dir, "steps")
	os.WriteFile(log, []byte(strings.Join(v.steps, "\n")), 0o600)
	v.s.keep(v.steps[len(v.steps)-1][:min(60, len(v.steps[len(v.steps)-1]))], fmt.Sprintf(format, args...)+"\n"+v.errs.String(), log)
}

// grown counts what the server took since it began.
func (v *server) grown(what string, began time.Time) {
	pmax, _ := pmaxOf(v.s.T, v.cmd.Process.Pid)
	v.s.base = v.first
	log := filepath.Join(v.s.dir, "steps")
	os.WriteFile(log, []byte(strings.Join(v.steps, "\n")), 0o600)
	v.s.took(what, time.Since(began), pmax, log)
}

// drain reads what is still to come, one reader at a time.
func (v *server) drain() {
	v.reading.Lock()
	defer v.reading.Unlock()
	io.Copy(io.Discard, v.out)
}

// end ends the server, which must be told only once.
func (v *server) end(tell func()) {
	v.s.Helper()
	tell()
	go func() {
		v.drain()
		v.ended <- v.cmd.Wait()
	}()
	select {
	case <-v.ended:
	case <-time.After(hostileTime):
		v.cmd.Process.Kill()
		v.amiss("it did not end")
	}
	if status := v.cmd.ProcessState.ExitCode(); status < 0 || status > exitBroken || fellOver(v.errs.String()) {
		v.amiss("it ended with %d", status)
	}
}

// A server of pages under requests that no browser makes, while the files of its book are cut, replaced by pipes, links and folders,
// and written over: it answers an honest request at once, gives no file that is not a page, and shows the book again when it is whole.
func TestHostileRequests(t *testing.T) {
	besiege(t, 10, func(s *siege) {
		book := filepath.Join(s.dir, "book")
		writeBook(t, book)
		write(t, filepath.Join(s.dir, "secret"), "not to be shown")
		v := s.serve("view", "--book", book)
		v.steps = []string{"view"}
		address := ""
		for address == "" {
			line, err := v.out.ReadString('\n')
			if err != nil {
				v.amiss("%v", err)
				return
			}
			if _, rest, found := strings.Cut(line, "pages at http://"); found {
				address, _, _ = strings.Cut(rest, "/")
			}
		}
		var drained sync.WaitGroup
		drained.Go(v.drain)
		client := &http.Client{Timeout: hostileTime}
		honest := func() string {
			answer, err := client.Get("http://" + address + "/index.html")
			if err != nil {
				v.amiss("an honest request: %v", err)
				return ""
			}
			defer answer.Body.Close()
			text, err := io.ReadAll(answer.Body)
			if err != nil || answer.StatusCode != http.StatusOK {
				v.amiss("an honest request: %s, %v", answer.Status, err)
			}
			return string(text)
		}
		honest()
		_, v.first = pmaxOf(t, v.cmd.Process.Pid)
		var open []net.Conn
		steps := 12
		if s.long {
			steps = 60
		}
		for n := range steps {
			if t.Failed() {
				break
			}
			began, what := time.Now(), "a request"
			if s.r.IntN(3) > 0 {
				text := request(s.r, address)
				v.steps = append(v.steps, fmt.Sprintf("%q", text[:min(len(text), 2000)]))
				conn, err := net.Dial("tcp", address)
				if err != nil {
					v.amiss("%v", err)
					break
				}
				conn.SetDeadline(time.Now().Add(300 * time.Millisecond))
				conn.Write(text)
				answer, _ := io.ReadAll(io.LimitReader(conn, 1<<20))
				if bytes.Contains(answer, []byte("not to be shown")) || bytes.Contains(answer, []byte("root:x:")) {
					v.amiss("it gave %.200q", answer)
				}
				if open = append(open, conn); s.r.IntN(3) > 0 {
					conn.Close()
				}
			} else {
				what = "a changed file"
				v.steps = append(v.steps, spoiled(s.r, book))
				time.Sleep(time.Duration(s.r.IntN(400)) * time.Millisecond)
			}
			honest()
			if n%12 == 11 { // the book is whole again
				name := fmt.Sprintf("Whole again %d", n)
				v.steps = append(v.steps, name)
				emptied(t, book)
				writeBook(t, book)
				write(t, filepath.Join(book, "book.md"), strings.Replace(oneEngine, "Ostrevane", name, 1))
				what = "the book made whole"
				for !t.Failed() && !strings.Contains(honest(), name) {
					if time.Since(began) > hostileTime {
						v.amiss("the pages do not show the book that is whole again")
					}
					time.Sleep(20 * time.Millisecond)
				}
			}
			v.grown(what, began)
			s.inputs++
		}
		v.end(func() { v.cmd.Process.Signal(os.Interrupt) })
		drained.Wait()
		for _, c := range open {
			c.Close()
		}
		if err := os.RemoveAll(book); err != nil {
			t.Fatal(err)
		}
	})
}

// emptied takes away all that is in a folder, and keeps the folder.
func emptied(t *testing.T, dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if err := os.RemoveAll(filepath.Join(dir, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
}

// spoiled spoils something in a book and says what.
func spoiled(r *rand.Rand, book string) string {
	names := []string{"book.md", "limits/6qz31.md", "instruments/pg-01.md", "overhauls/me1/c2/2023-06-25-h-102.md", "crew.csv", "hours/me1.csv", "stores/stock.csv", "overhauls", "limits", "photos/x.jpg",
		"new.md", "overhauls/me1/c3/new.md", ".git", ".git/HEAD", ".git/refs/heads/main", "reviews/x.md", "signers/allowed_signers"}
	rel := pick(r, names)
	name := filepath.Join(book, filepath.FromSlash(rel))
	for up := filepath.Dir(name); up != book; up = filepath.Dir(up) {
		if info, err := os.Lstat(up); err == nil && !info.IsDir() { // a pipe in the place of a folder would hold this test up
			os.Remove(up)
		}
	}
	old := []byte(oneEngine)
	if info, err := os.Lstat(name); err == nil && info.Mode().IsRegular() && info.Size() < 8<<20 {
		old, _ = os.ReadFile(name)
	}
	how := r.IntN(13)
	if info, err := os.Lstat(name); how >= 3 || err == nil && !info.Mode().IsRegular() { // a pipe would hold this test up
		os.RemoveAll(name)
	}
	os.MkdirAll(filepath.Dir(name), 0o777)
	switch how {
	case 0, 1:
		os.WriteFile(name, mutated(r, old, []byte(oldTable)), 0o666)
		return "mutated " + rel
	case 2:
		os.Truncate(name, int64(r.IntN(len(old)+1)))
		return "cut " + rel
	case 3:
		return "took away " + rel
	case 4:
		os.MkdirAll(filepath.Join(name, "a", "b"), 0o777)
		return "a folder for " + rel
	case 5:
		syscall.Mkfifo(name, 0o666)
		return "a pipe for " + rel
	case 6:
		target := pick(r, []string{"/dev/zero", "/proc/self/mem", "/proc/kmsg", "/", "..", ".", filepath.Base(name), "/etc/passwd", "/dev/tty", book + "/../secret", "/dev/stdin"})
		os.Symlink(target, name)
		return "a link to " + target + " for " + rel
	case 7:
		if l, err := net.Listen("unix", name); err == nil {
			l.(*net.UnixListener).SetUnlinkOnClose(false)
			l.Close()
		}
		return "a socket for " + rel
	case 8:
		if f, err := os.Create(name); err == nil {
			f.Truncate(64 << 30)
			f.Close()
		}
		return "64 GiB of nothing for " + rel
	case 9:
		deep := name
		for range 1 + r.IntN(60) {
			deep = filepath.Join(deep, "d")
		}
		os.MkdirAll(deep, 0o777)
		os.WriteFile(filepath.Join(deep, "x.md"), old, 0o666)
		return "deep folders under " + rel
	case 10:
		os.MkdirAll(name, 0o777)
		for i := range r.IntN(3000) {
			os.WriteFile(filepath.Join(name, fmt.Sprintf("%d%s.md", i, pick(r, []string{"", "", "\x1b[2J", "\u202e", " ", "\n", "\xff"}))), nil, 0o666)
		}
		return "many files under " + rel
	case 11:
		os.WriteFile(name, bytes.Repeat([]byte(pick(r, nasty)+"\n"), 1+r.IntN(1<<17)), 0o666)
		return "much of one thing in " + rel
	default:
		os.WriteFile(name, mutated(r, mutated(r, old, nil), nil), os.FileMode(r.IntN(0o1000)))
		return "mutated twice, with other rights, " + rel
	}
}

// request is what a browser would never send.
func request(r *rand.Rand, address string) []byte {
	paths := []string{"/", "/index.html", "/../secret", "/..%2f..%2fsecret", "/%2e%2e/%2e%2e/secret", "/..\\..\\secret", "//etc/passwd", "/.needlebook", "/search-index.js", "/style.css", "/%00",
		"http://" + address + "/", "*", "/" + strings.Repeat("a/", 5000), "/?" + strings.Repeat("x=1&", 5000), "/index.html/", "/./././index.html", "/....//secret"}
	host := pick(r, []string{address, address, address, "localhost", "elsewhere.example", "127.0.0.1.elsewhere.example", "[::1]", "", "127.0.0.1:0", "127.0.0.1, elsewhere"})
	text := fmt.Sprintf("%s %s HTTP/%s\r\nHost: %s\r\n", pick(r, []string{"GET", "GET", "HEAD", "POST", "PUT", "DELETE", "CONNECT", "OPTIONS", "PRI", "get"}), pick(r, paths), pick(r, []string{"1.1", "1.1", "1.0", "2.0", "0.9", "9"}), host)
	for range r.IntN(6) {
		text += pick(r, []string{"Range: bytes=0-0,1-1,2-2,3-3,0-,0-,0-", "Range: bytes=-99999999999999999999", "Range: bytes=" + strings.Repeat("0-,", 2000), "Content-Length: 99999999999", "Content-Length: -1",
			"Transfer-Encoding: chunked", "Connection: keep-alive, close", "Expect: 100-continue", "If-Modified-Since: " + strings.Repeat("9", 400), "If-None-Match: *", "Upgrade: h2c", "X: " + strings.Repeat("y", 3000), "Accept-Encoding: gzip;q=\x00"}) + "\r\n"
	}
	text += pick(r, []string{"\r\n", "\r\n", "\r\n", "", "\n\n", "\r\nffffffffffffffff\r\n", "\r\n" + strings.Repeat("x", 100_000)})
	if r.IntN(3) == 0 {
		return mutated(r, []byte(text), nil)
	}
	return []byte(text)
}

// An editor's server that is sent texts nobody has typed, places outside of them and messages that are none: every request is
// answered, and only what is no message at all ends it.
func TestHostileEditors(t *testing.T) {
	besiege(t, 10, func(s *siege) {
		book := filepath.Join(s.dir, "book")
		writeBook(t, book)
		v := s.serve("lsp")
		v.steps = []string{"lsp"}
		e := talk{v: v, answers: make(chan int, 1000)}
		var read sync.WaitGroup
		read.Go(e.listen)
		e.send(message(map[string]any{"id": e.next(), "method": "initialize", "params": map[string]any{}}))
		record := uriOf(filepath.Join(book, "overhauls/me1/c2/2023-06-25-h-102.md"))
		text, err := os.ReadFile(filepath.Join(book, "overhauls/me1/c2/2023-06-25-h-102.md"))
		if err != nil {
			t.Fatal(err)
		}
		e.send(message(map[string]any{"method": "textDocument/didOpen", "params": map[string]any{"textDocument": map[string]any{"uri": record, "version": 1, "text": string(text)}}}))
		honest := func() bool {
			id := e.next()
			e.send(message(map[string]any{"id": id, "method": "textDocument/documentSymbol", "params": map[string]any{"textDocument": map[string]any{"uri": record}}}))
			for late := time.After(hostileTime); ; {
				select {
				case got, more := <-e.answers:
					if got == id || !more {
						return more
					}
				case <-late:
					v.amiss("an honest request was not answered")
					return false
				}
			}
		}
		if !honest() {
			v.amiss("no answer")
		}
		time.Sleep(200 * time.Millisecond) // it has checked the book once
		_, v.first = pmaxOf(t, v.cmd.Process.Pid)
		steps := 60
		if s.long {
			steps = 400
		}
		for range steps {
			if t.Failed() {
				break
			}
			began := time.Now()
			what, in := e.hostile(s.r, book, record, text)
			v.steps = append(v.steps, fmt.Sprintf("%q", in[:min(len(in), 4000)]))
			e.send(in)
			if s.r.IntN(5) == 0 {
				time.Sleep(time.Duration(s.r.IntN(200)) * time.Millisecond)
			}
			if !honest() {
				break // what was no message has ended it
			}
			v.grown(what, began)
			s.inputs++
		}
		v.end(func() { v.in.Close(); read.Wait() })
	})
}

func uriOf(file string) string { return (&url.URL{Scheme: "file", Path: file}).String() }

// talk is what an editor and the server say to one another.
type talk struct {
	v       *server
	id      int
	answers chan int // ids of the requests that were answered
}

func (e *talk) next() int { e.id++; return e.id }

// send sends what a server may have ended before it has read.
func (e *talk) send(text []byte) { e.v.in.Write(text) }

// listen reads answers until there are none, and ends them.
func (e *talk) listen() {
	defer close(e.answers)
	for {
		length := 0
		for {
			line, err := e.v.out.ReadString('\n')
			if err != nil {
				return
			}
			fmt.Sscanf(line, "Content-Length: %d", &length)
			if line == "\r\n" {
				break
			}
		}
		body := make([]byte, length)
		if _, err := io.ReadFull(e.v.out, body); err != nil {
			return
		}
		var answer struct {
			ID     *int
			Method string
		}
		if json.Unmarshal(body, &answer) == nil && answer.ID != nil && answer.Method == "" {
			select {
			case e.answers <- *answer.ID:
			default: // nobody waits for it
			}
		}
	}
}

func message(fields map[string]any) []byte {
	fields["jsonrpc"] = "2.0"
	body, _ := json.Marshal(fields)
	return framedAs(len(body), body)
}

func framedAs(length int, body []byte) []byte {
	return append(fmt.Appendf(nil, "Content-Length: %d\r\n\r\n", length), body...)
}

// hostile is one message that no editor sends.
func (e *talk) hostile(r *rand.Rand, book, record string, text []byte) (what string, in []byte) {
	number := func() int { return []int{0, 1, 5, 17, -1, 1 << 31, -1 << 31, 1 << 62, len(text)}[r.IntN(9)] }
	at := map[string]any{"line": number(), "character": number()}
	uri := pick(r, []string{record, record, record, record, uriOf(filepath.Join(book, "book.md")), uriOf(filepath.Join(book, "crew.csv")), uriOf(filepath.Join(book, "limits/6qz31.md")), uriOf(book), "file:///", "file:///dev/zero",
		"", "untitled:x", "file://%zz", "file:///" + strings.Repeat("a/", 3000), uriOf(filepath.Join(book, "overhauls/me1/c1/x.md")), uriOf(book + "/../secret"), "file:" + filepath.Join(book, "hours/me1.csv")})
	doc := map[string]any{"uri": uri, "version": number()}
	switch r.IntN(12) {
	case 0, 1, 2, 3:
		changed := mutated(r, text, []byte(oldTable))
		doc["text"] = string(changed)
		if r.IntN(2) == 0 {
			return "a text", message(map[string]any{"method": "textDocument/didOpen", "params": map[string]any{"textDocument": doc}})
		}
		return "a text", message(map[string]any{"method": "textDocument/didChange", "params": map[string]any{"textDocument": doc, "contentChanges": []any{map[string]any{"text": string(changed)}}}})
	case 4, 5, 6:
		method := pick(r, []string{"hover", "completion", "codeAction", "documentSymbol", "definition", "references", "didClose", "didSave", "rename", "formatting"})
		return "a question", message(map[string]any{"id": 1_000_000 + r.IntN(9), "method": "textDocument/" + method, "params": map[string]any{"textDocument": doc, "position": at, "range": map[string]any{"start": at, "end": at}}})
	case 7:
		id := pick(r, []any{nil, "x", -1, 1.5, map[string]any{}, []any{}, strings.Repeat("i", 100_000)})
		return "an odd id", message(map[string]any{"id": id, "method": pick(r, []string{"initialize", "workspace/didChangeWatchedFiles", "$/cancelRequest", "", "textDocument/hover", strings.Repeat("m", 10_000)}), "params": pick(r, []any{nil, 1, "x", []any{}, map[string]any{"textDocument": 1}})})
	case 8:
		whole := message(map[string]any{"id": 1_000_000, "method": "textDocument/hover", "params": map[string]any{"textDocument": doc, "position": at}})
		_, body, _ := bytes.Cut(whole, []byte("\r\n\r\n"))
		if r.IntN(8) > 0 { // broken within its frame
			body = bytes.Replace(body, []byte("textDocument"), []byte(pick(r, []string{"textDocument\\u0000", "text", "\\ud800"})), 1)
			return "a changed message", framedAs(len(body), body)
		}
		body = mutated(r, body, nil)
		return "a damaged message", framedAs(len(body), body)
	case 9:
		if r.IntN(20) == 0 {
			return "a damaged frame", framedAs(pick(r, []int{-1, 0, 1, 1 << 40, 1 << 62}), []byte("{}"))
		}
		return "white space", message(map[string]any{"method": "$/setTrace", "params": strings.Repeat(" ", r.IntN(1<<20))})
	case 10:
		deep := strings.Repeat("[", 1+r.IntN(9000))
		body := fmt.Appendf(nil, `{"jsonrpc":"2.0","id":%d,"method":"textDocument/hover","params":{"x":%s%s}}`, 1_000_000, deep, strings.Repeat("]", len(deep)))
		return "deep brackets", framedAs(len(body), body)
	default:
		spoiled := filepath.Join(book, pick(r, []string{"crew.csv", "limits/6qz31.md", "hours/me1.csv", "new.md"}))
		os.WriteFile(spoiled, mutated(r, []byte(oldTable), text), 0o666)
		return "a file saved elsewhere", message(map[string]any{"method": "workspace/didChangeWatchedFiles", "params": map[string]any{}})
	}
}
