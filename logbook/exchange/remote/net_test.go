package remote_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cgi"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"needlebook/logbook/budget"
	"needlebook/logbook/ending"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/internal/trial"
	"needlebook/logbook/exchange/remote"
)

// longRun says that the tests may take their time.
var longRun = os.Getenv("NEEDLEBOOK_LONG") != ""

// wider skips what takes a server and its time, but in the wider run.
func wider(t testing.TB) {
	t.Helper()
	if os.Getenv("NEEDLEBOOK_WIDER") == "" && !longRun {
		t.Skip("runs servers: NEEDLEBOOK_WIDER=1")
	}
}

// cutter stands between two ends of a line: it cuts after some bytes in one direction, or lets only so many through a second.
type cutter struct {
	net.Listener
	to     string
	down   atomic.Int64 // bytes towards us before the cut; negative for none
	up     atomic.Int64 // bytes away from us
	rate   atomic.Int64 // bytes a second each way; 0 for as many as come
	passed atomic.Int64 // bytes towards us in all
	away   atomic.Int64
}

func newCutter(t testing.TB, to string) *cutter {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	c := &cutter{Listener: l, to: to}
	c.whole()
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			go c.serve(conn)
		}
	}()
	return c
}

func (c *cutter) whole() { c.down.Store(-1); c.up.Store(-1); c.rate.Store(0) }

func (c *cutter) serve(a net.Conn) {
	b, err := net.Dial("tcp", c.to)
	if err != nil {
		a.Close()
		return
	}
	var once sync.Once
	end := func() { once.Do(func() { a.Close(); b.Close() }) }
	go c.carry(b, a, &c.up, &c.away, end)
	c.carry(a, b, &c.down, &c.passed, end)
}

func (c *cutter) carry(to, from net.Conn, left, passed *atomic.Int64, end func()) {
	defer end()
	buf := make([]byte, 1024)
	for {
		n, err := from.Read(buf)
		if at := left.Load(); at >= 0 && int64(n) >= at {
			to.Write(buf[:at])
			left.Store(0)
			return
		} else if at >= 0 {
			left.Add(int64(-n))
		}
		if r := c.rate.Load(); r > 0 {
			time.Sleep(time.Duration(n) * time.Second / time.Duration(r))
		}
		if _, err := to.Write(buf[:n]); err != nil {
			return
		}
		passed.Add(int64(n))
		if err != nil {
			if w, ok := to.(*net.TCPConn); ok && errors.Is(err, io.EOF) {
				w.CloseWrite()
				time.Sleep(time.Second) // the other direction may have something left to say
			}
			return
		}
	}
}

// smartServer serves the repositories below a folder by git's own http-backend.
func smartServer(t testing.TB, root string) *httptest.Server {
	t.Helper()
	out, err := exec.Command("git", "--exec-path").Output()
	backend := filepath.Join(strings.TrimSpace(string(out)), "git-http-backend")
	if err == nil {
		_, err = os.Stat(backend)
	}
	if err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") != "" {
			t.Fatal(err)
		}
		t.Skip("git's http-backend is not installed")
	}
	h := &cgi.Handler{Path: backend, Env: []string{"GIT_PROJECT_ROOT=" + root, "GIT_HTTP_EXPORT_ALL=1", "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL=/dev/null", "REMOTE_USER=test", "PATH=" + os.Getenv("PATH")}, Stderr: io.Discard}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		// As web servers do: a request that was cut is not handed on. http-backend waits for the rest for ever.
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return
		}
		r.Body, r.ContentLength, r.TransferEncoding = io.NopCloser(bytes.NewReader(body)), int64(len(body)), nil
		h.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	return s
}

// online is a ship, a shore, and a server between them that the ship reaches through a cutter.
func online(t testing.TB, steps int) (ship, shore, between string, line *cutter) {
	t.Helper()
	ship, shore, between = trial.Apart(t, steps)
	trial.Run(t, between, "config", "http.receivepack", "true")
	s := smartServer(t, filepath.Dir(between))
	line = newCutter(t, strings.TrimPrefix(s.URL, "http://"))
	trial.Run(t, ship, "remote", "set-url", "origin", fmt.Sprintf("http://%s/between.git", line.Addr()))
	return ship, shore, between, line
}

// A line cut at any byte, either way: the book is as it was, the server is as it was or has the whole, and the next try goes through.
// The battery's K09 and K10; every 397th byte, and of these every one under NEEDLEBOOK_LONG, some otherwise.
func TestCutLine(t *testing.T) {
	wider(t)
	for _, plain := range []bool{false, true} {
		t.Run(fmt.Sprintf("plain %v", plain), func(t *testing.T) {
			ship, shore, between, line := online(t, 6)
			n := 20
			next := func(dir string) {
				n++
				trial.Write(t, dir, n, trial.File(fmt.Sprintf("overhauls/me1/c1/2024-05-01-h-%d.md", n), trial.Overhaul(n, "320")), trial.File(fmt.Sprintf("photos/%d.jpg", n), noise(n, 3000)))
			}
			// How much travels when nothing is cut.
			next(shore)
			if _, err := trial.ExchangeOnce(t, shore, n, false); err != nil {
				t.Fatal(err)
			}
			line.passed.Store(0)
			if _, err := trial.ExchangeOnce(t, ship, n, plain); err != nil {
				t.Fatal(err)
			}
			down := line.passed.Load()
			next(ship)
			line.away.Store(0)
			if _, err := trial.ExchangeOnce(t, ship, n, plain); err != nil {
				t.Fatal(err)
			}
			up := line.away.Load()
			step := int64(397)
			if !longRun {
				step = max(397, down/4+41)
			}
			cuts := 0
			for at := int64(1); at < down; at += step {
				next(shore)
				if _, err := trial.ExchangeOnce(t, shore, n, false); err != nil {
					t.Fatal(err)
				}
				before := trial.Snapshot(t, ship)
				line.down.Store(at)
				_, err := trial.ExchangeOnce(t, ship, n, plain)
				line.whole()
				cuts++
				if err == nil {
					continue // the cut came behind what mattered
				}
				if after := trial.Snapshot(t, ship); after != before {
					t.Fatalf("cut at %d of %d: the book has changed: %v", at, down, err)
				}
				ending.Answers(t, fmt.Sprintf("cut at %d of %d down", at, down), ship)
				if _, err := trial.ExchangeOnce(t, ship, n, plain); err != nil {
					t.Fatalf("cut at %d of %d: the next try: %v", at, down, err)
				}
			}
			for at := int64(1); at < up; at += step {
				next(ship)
				before, there := trial.Snapshot(t, ship), trial.Run(t, between, "rev-parse", "main")
				line.up.Store(at)
				_, err := trial.ExchangeOnce(t, ship, n, plain)
				line.whole()
				cuts++
				if err == nil {
					continue
				}
				if after := trial.Snapshot(t, ship); after != before {
					t.Fatalf("cut at %d of %d: the book has changed: %v", at, up, err)
				}
				if now := trial.Run(t, between, "rev-parse", "main"); now != there && now != trial.Head(t, ship) {
					t.Fatalf("cut at %d of %d: the server stands on %s", at, up, now)
				}
				ending.Answers(t, fmt.Sprintf("cut at %d of %d up", at, up), ship)
				if _, err := trial.ExchangeOnce(t, ship, n, plain); err != nil {
					t.Fatalf("cut at %d of %d: the next try: %v", at, up, err)
				}
				if now := trial.Run(t, between, "rev-parse", "main"); now != trial.Head(t, ship) {
					t.Fatalf("cut at %d of %d: the next try left the server on %s", at, up, now)
				}
			}
			t.Logf("%d cuts of %d bytes down and %d up", cuts, down, up)
			trial.Sound(t, ship, shore, between)
		})
	}
}

// noise is bytes that do not pack, the same for the same number.
func noise(n, size int) []byte {
	b := make([]byte, size)
	x := uint32(n)*2654435761 + 1
	for i := range b {
		x ^= x << 13
		x ^= x >> 17
		x ^= x << 5
		b[i] = byte(x)
	}
	return b
}

// The battery's K11, K12 and K15: a line that stalls ends at the time limit, a slow one goes through, one that brings more than was
// allowed is ended while it travels.
func TestSlowAndEndless(t *testing.T) {
	wider(t)
	for _, plain := range []bool{false, true} {
		t.Run(fmt.Sprintf("plain %v", plain), func(t *testing.T) {
			ship, shore, between, line := online(t, 4)
			trial.Write(t, shore, 20, trial.File("photos/a.jpg", noise(1, 40_000)))
			if _, err := trial.ExchangeOnce(t, shore, 20, false); err != nil {
				t.Fatal(err)
			}
			l, err := remote.Find(ship, "")
			if err != nil {
				t.Fatal(err)
			}
			l.Plain = plain
			before := trial.Snapshot(t, ship)
			line.rate.Store(1)
			ctx, cancel := context.WithTimeoutCause(context.Background(), 700*time.Millisecond, errors.New("the time is up"))
			start := time.Now()
			_, err = l.Fetch(ctx, ship)
			cancel()
			if !errors.Is(err, budget.ErrStopped) || !strings.Contains(err.Error(), "the time is up") || time.Since(start) > 20*time.Second {
				t.Errorf("a stalled line: %v after %s", err, time.Since(start))
			}
			line.rate.Store(8000) // 64 kbit/s
			l.AtMost = 5000
			if _, err = l.Fetch(context.Background(), ship); !errors.Is(err, remote.ErrTooMuch) {
				t.Errorf("more than allowed: %v", err)
			}
			if after := trial.Snapshot(t, ship); after != before {
				t.Error("the book has changed")
			}
			line.rate.Store(30_000)
			if _, err := trial.ExchangeOnce(t, ship, 21, plain); err != nil {
				t.Errorf("a slow line: %v", err)
			}
			trial.Sound(t, ship, shore, between)
		})
	}
}

// The battery's K16: a server that sends us on to another host gets no more than git's own rules give it, and what it says of its
// refs is not believed further than the objects go (K14).
func TestServerThatLies(t *testing.T) {
	ship, _, _ := trial.Apart(t, 3)
	for name, answer := range map[string]func(w http.ResponseWriter, r *http.Request){
		"redirect to a file": func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Location", "file:///etc/")
			w.WriteHeader(http.StatusFound)
		},
		"a tip that is not there": func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", "application/x-git-upload-pack-advertisement")
			io.WriteString(w, "001e# service=git-upload-pack\n0000004a1234567890123456789012345678901234567890 refs/heads/main\x00 ofs-delta\n0000")
		},
		"no git": func(w http.ResponseWriter, r *http.Request) {
			io.WriteString(w, "<html>welcome aboard, please log in</html>")
		},
		"nothing": func(w http.ResponseWriter, r *http.Request) { w.WriteHeader(http.StatusBadGateway) },
		"endless lines": func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", "application/x-git-upload-pack-advertisement")
			for range 1000 {
				io.WriteString(w, strings.Repeat("x", 1000))
			}
		},
	} {
		s := httptest.NewServer(http.HandlerFunc(answer))
		for _, plain := range []bool{false, true} {
			before := trial.Snapshot(t, ship)
			l, err := remote.Find(ship, s.URL+"/x.git")
			if err != nil {
				t.Fatal(err)
			}
			l.Plain = plain
			ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
			c, err := l.Fetch(ctx, ship)
			cancel()
			if err == nil && c.Tip != "" { // git takes a page without refs for an empty repository
				t.Errorf("%s, plain %v: taken", name, plain)
			}
			if after := trial.Snapshot(t, ship); after != before {
				t.Errorf("%s: the book has changed", name)
			}
			ending.Answers(t, name, ship)
		}
		s.Close()
	}
}

// Several copies that write and sync at once: nothing that was told as written is lost, and all end on the same commit. The battery's
// K01, K02 and K24 for sync.
func TestManyWritersAtOnce(t *testing.T) {
	copies, rounds := 3, 3
	if longRun {
		rounds = 40
	}
	ship, shore, between := trial.Apart(t, 4)
	dirs := []string{ship, shore}
	for len(dirs) < copies {
		dir := filepath.Join(t.TempDir(), "copy")
		trial.Run(t, filepath.Dir(dir), "clone", "-q", between, dir)
		dirs = append(dirs, dir)
	}
	var all sync.Mutex
	written := map[string]bool{}
	var wait sync.WaitGroup
	for who, dir := range dirs {
		wait.Go(func() {
			for n := range rounds {
				name := fmt.Sprintf("handovers/%d-%d.md", who, n)
				id, err := exchange.Write(dir, trial.Draft(100*(who+1)+n, trial.File(name, []byte(name+"\n"))))
				if err != nil {
					t.Errorf("write: %v", err)
					return
				}
				all.Lock()
				written[id] = true
				all.Unlock()
				if _, err := trial.ExchangeOnce(t, dir, 100*(who+1)+n, (who+n)%2 == 0); err != nil && !errors.Is(err, remote.ErrBehind) && !strings.Contains(err.Error(), "always faster") {
					t.Errorf("sync: %v", err)
				}
			}
		})
	}
	wait.Wait()
	for n := range 2 * copies {
		if _, err := trial.ExchangeOnce(t, dirs[n%copies], 900+n, false); err != nil {
			t.Fatal(err)
		}
	}
	tip := trial.Run(t, between, "rev-parse", "main")
	history := trial.Run(t, between, "rev-list", "main")
	for _, dir := range dirs {
		if trial.Head(t, dir) != tip {
			t.Errorf("%s stands on %s, the server on %s", dir, trial.Head(t, dir), tip)
		}
	}
	for id := range written {
		if !strings.Contains(history, id) {
			t.Errorf("commit %s was told as written and is lost", id)
		}
	}
	trial.Sound(t, append(dirs, between)...)
}
