package remote

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Each way in which a line fails has its own sentence and command, whichever transport says it. Outside source: the words
// of OpenSSH, git, curl, golang.org/x/crypto/ssh and go-git as these programs print them.
func TestEachFailureHasItsCure(t *testing.T) {
	origin := &Remote{Name: "origin", known: "origin", URL: "ssh://git@office.example/books/ostrevane.git"}
	for _, c := range []struct{ said, why, do string }{
		{"git@office.example: Permission denied (publickey).", "does not let your key in", "ssh-add -l"},
		{"ssh: handshake failed: ssh: unable to authenticate, attempted methods [none publickey], no supported methods remain",
			"does not let your key in", "ssh-add -l"},
		{"Host key verification failed.", "has not met office.example", "ssh git@office.example"},
		{"ssh: handshake failed: knownhosts: key is unknown", "has not met office.example", "ssh git@office.example"},
		{"@ WARNING: REMOTE HOST IDENTIFICATION HAS CHANGED! @\nHost key verification failed.", "another key than before",
			"ssh-keygen -R office.example"},
		{"ssh: handshake failed: knownhosts: key mismatch", "another key than before", "ssh-keygen -R office.example"},
		{"ssh: Could not resolve hostname office.example: Name or service not known", "no computer is found", "git remote set-url origin"},
		{"dial tcp: lookup office.example: no such host", "no computer is found", "git remote set-url origin"},
		{"fatal: '/books/ostrevane.git' does not appear to be a git repository", "no book at /books/ostrevane.git on office.example",
			"git remote set-url origin"},
		{"repository not found", "no book at /books/ostrevane.git", "git remote set-url origin"},
		{"fatal: detected dubious ownership in repository at '/books/ostrevane.git'", "belongs to another user",
			"git config --global --add safe.directory /books/ostrevane.git"},
		{"fatal: Authentication failed for 'https://office.example/'", "user or the password", "git ls-remote ssh://git@office.example"},
		{"authentication required", "user or the password", "git ls-remote"},
		{"server certificate verification failed. CAfile: none", "certificate of office.example", "http.sslCAInfo"},
		{"tls: failed to verify certificate: x509: certificate signed by unknown authority", "certificate of office.example",
			"http.sslCAInfo"},
		{"fatal: write error: No space left on device", "a disk is full", "df -h ."},
		{"! [remote rejected] main -> main (pre-receive hook declined)", "does not let you write", "ask ashore"},
		{"ssh: connect to host office.example port 22: Connection refused", "does not answer", ""},
		{"Connection to office.example closed by remote host.\nfatal: early EOF", "was cut", ""},
		{"read tcp 10.0.0.1:1->10.0.0.2:22: read: connection reset by peer", "was cut", ""},
		{"something that nobody has seen", "something that nobody has seen", ""},
	} {
		err := origin.explained(fmt.Errorf("%w: %s", ErrConnection, c.said))
		var f *Failure
		if !errors.As(err, &f) || !errors.Is(err, ErrConnection) || !strings.Contains(f.Why, c.why) || !strings.Contains(f.Do, c.do) {
			t.Errorf("%s\n\tis %+v, want %q and %q", c.said, err, c.why, c.do)
			continue
		}
		if wait := c.do == ""; wait != (f.Do == "") || wait && !f.Again {
			t.Errorf("%s\n\tis %+v: what nobody can mend is tried again, and only that is left without a command", c.said, f)
		}
	}
	if other := errors.New("another error"); !errors.Is(origin.explained(other), other) {
		t.Error("an error that is no failure of the line does not stay as it is")
	}
}

// What ssh says stands without a mark in front; it is kept all the same.
func TestWordsOfSSHAreKept(t *testing.T) {
	const text = "git@office.example: Permission denied (publickey).\r\nfatal: Could not read from remote repository.\n\nPlease make sure " +
		"you have the correct access rights\nand the repository exists.\n"
	if got := lastWords(text); !strings.Contains(got, "Permission denied") {
		t.Errorf("kept: %q", got)
	}
}

// Addresses in the three ways that git knows.
func TestPartsOfAnAddress(t *testing.T) {
	for address, want := range map[string]string{
		"ssh://git@office.example:2222/books/o.git": "git office.example /books/o.git",
		"git@office.example:books/o.git":            "git office.example books/o.git",
		"office.example:books/o.git":                " office.example books/o.git",
		"https://office.example/o.git":              " office.example /o.git",
		"/media/stick/o.git":                        "  /media/stick/o.git",
	} {
		user, host, path := (&Remote{URL: address}).parts()
		if got := user + " " + host + " " + path; got != want {
			t.Errorf("%s: %q, want %q", address, got, want)
		}
	}
}
