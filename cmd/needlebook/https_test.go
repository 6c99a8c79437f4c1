package main

import (
	"encoding/pem"
	"io"
	"log"
	"net/http"
	"net/http/cgi"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
)

// A book goes to and fro over https, by the built-in transport and by an installed git, when the server's certificate is one that the
// reader trusts; and not a byte goes where it is not. The server is git's own (git-http-backend).
func TestSyncOverHTTPS(t *testing.T) {
	plainTools(t)
	git := "git"
	where, err := exec.Command(git, "--exec-path").Output()
	if err != nil {
		t.Fatal(err)
	}
	backend := filepath.Join(strings.TrimSpace(string(where)), "git-http-backend")
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, way := range []string{"--built-in", ""} {
		dir := surroundings(t)
		gitAs := func(at string, args ...string) string {
			t.Helper()
			cmd := exec.Command(git, args...)
			cmd.Dir, cmd.Env = at, []string{"PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1"}
			out, err := cmd.CombinedOutput()
			if err != nil {
				t.Fatalf("git %v: %v: %s", args, err, out)
			}
			return strings.TrimSpace(string(out))
		}
		gitAs(dir, "clone", "-q", "--bare", "book", "between.git")
		gitAs(filepath.Join(dir, "between.git"), "config", "http.receivepack", "true")
		var asked atomic.Int64
		server := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			asked.Add(1)
			(&cgi.Handler{Path: backend, Env: []string{"GIT_PROJECT_ROOT=" + dir, "GIT_HTTP_EXPORT_ALL=1", "HOME=" + dir}}).ServeHTTP(w, r)
		}))
		server.Config.ErrorLog = log.New(io.Discard, "", 0)
		server.StartTLS()
		defer server.Close()
		trusted := filepath.Join(dir, "trusted.pem")
		write(t, trusted, string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: server.Certificate().Raw})))
		gitAs(filepath.Join(dir, "book"), "remote", "add", "origin", server.URL+"/between.git")
		s := stepOf(t, dir, "eng", 6, smallRecord("no test oil"))
		tip := writeStep(t, filepath.Join(dir, "book"), s)
		sync := func(certificate string) (string, error) {
			cmd := exec.Command(self, strings.Fields("sync --key "+dir+"/eng "+way)...)
			cmd.Dir = filepath.Join(dir, "book")
			cmd.Env = []string{asProgram + "=1", "PATH=" + os.Getenv("PATH"), "HOME=" + dir, "GIT_CONFIG_NOSYSTEM=1", "NEEDLEBOOK_CACHE=",
				"NEEDLEBOOK_MEMORY=" + filepath.Join(dir, "memory"), "SSL_CERT_FILE=" + certificate, "GIT_SSL_CAINFO=" + certificate}
			out, err := cmd.CombinedOutput()
			return string(out), err
		}
		none := filepath.Join(dir, "none.pem")
		write(t, none, "")
		if out, err := sync(none); err == nil || asked.Load() > 0 {
			t.Errorf("%q, a certificate that nobody vouches for: %v, asked %d times: %s", way, err, asked.Load(), out)
		}
		out, err := sync(trusted)
		if now := gitAs(filepath.Join(dir, "between.git"), "rev-parse", "main"); now != tip {
			t.Fatalf("%q: %v: the server is on %s, want %s: %s", way, err, now, tip, out)
		}
		other := filepath.Join(dir, "other")
		gitAs(dir, "clone", "-q", "between.git", other)
		theirs := writeStep(t, other, stepOf(t, dir, "chief", 7, smallRecord("no test pump")))
		gitAs(other, "push", "-q", "origin", "main")
		if out, err := sync(trusted); tipOf(filepath.Join(dir, "book")) != theirs {
			t.Errorf("%q: %v: the book is on %s, want %s: %s", way, err, tipOf(filepath.Join(dir, "book")), theirs, out)
		}
	}
}
