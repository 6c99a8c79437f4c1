package remote

import (
	"cmp"
	"errors"
	"net/url"
	"slices"
	"strings"
)

// A Failure is why nothing could be carried, in words that somebody can act on.
type Failure struct {
	Why   string // one clause
	Do    string // what to do; may end in one command, indented on a line of its own; empty where nothing but to wait
	Again bool   // the next try may succeed although nobody does anything
	Said  string // the words of git, ssh or the other side; empty where Why has them
}

func (f *Failure) Error() string { return f.Why }

// Unwrap says that the connection failed.
func (f *Failure) Unwrap() error { return ErrConnection }

// cause is one way in which a line fails, told by what ssh, git, go-git or the system say of it, in lower case.
type cause struct {
	marks []string
	why   string // HOST, USER, PATH, ADDRESS and REMOTE stand for those of the line
	do    string
	again bool
}

const setAddress = "git remote set-url REMOTE NEW-ADDRESS"

// causes are told apart in this order: what is said of a changed key also says that none was verified.
var causes = []cause{
	{marks: []string{"dubious ownership"}, why: "the folder PATH belongs to another user, and git does not read it",
		do: "if it is yours, type:\n    git config --global --add safe.directory PATH"},
	{marks: []string{"identification has changed", "key mismatch"}, why: "HOST shows another key than before",
		do: "it may be another computer: ask ashore whether its key was changed, and only then type:\n" +
			"    ssh-keygen -R HOST"},
	{marks: []string{"host key verification failed", "key is unknown", "no hostkey", "known_hosts: no such file",
		"unable to find any valid known_hosts"}, why: "this computer has not met HOST yet",
		do: "type this, and compare the fingerprint with the one that you were given before you answer yes:\n" +
			"    ssh USER@HOST"},
	{marks: []string{"permission denied (", "unable to authenticate", "no supported methods remain",
		"too many authentication failures"}, why: "HOST does not let your key in",
		do: "have the public key let in there; this lists what is offered:\n    ssh-add -l"},
	{marks: []string{"authentication failed", "authentication required", "authorization failed", "could not read username",
		"could not read password", "invalid credentials", "error: 401", "error: 403", "status code: 401",
		"status code: 403"}, why: "HOST does not take the user or the password",
		do: "this asks for them again:\n    git ls-remote ADDRESS"},
	{marks: []string{"certificate", "x509:"}, why: "the certificate of HOST is not one that this computer trusts",
		do: "put the certificate that you were given into a file, then type:\n    git config --global http.sslCAInfo FILE"},
	{marks: []string{"could not resolve", "no such host", "name or service not known", "name resolution",
		"nodename nor servname"}, why: "no computer is found under the name HOST",
		do: "is there a connection? If there is, write the address anew:\n    " + setAddress, again: true},
	{marks: []string{"does not appear to be a git repository", "repository not found", "repository does not exist",
		"error: 404", "not found: did you run", "no such repository"}, why: "there is no book at PATH on HOST",
		do: "write the address anew:\n    " + setAddress},
	{marks: []string{"no space left", "disk quota", "not enough space"}, why: "a disk is full, here or over there",
		do: "this shows the one here:\n    df -h ."},
	{marks: []string{"hook declined", "protected branch", "not allowed to push", "read-only", "access denied"},
		why: "HOST does not let you write there", do: "ask ashore for leave to write"},
	{marks: []string{"connection refused", "failed to connect to"}, why: "HOST does not answer at this address",
		again: true},
	{marks: []string{"no route to host", "network is unreachable"}, why: "there is no connection to HOST", again: true},
	{marks: []string{"connection reset", "closed by remote", "connection closed", "closed connection", "timed out",
		"timeout", "broken pipe", "early eof", "unexpected disconnect", "hung up", "rpc failed", "unexpected eof",
		": eof", "kex_exchange"}, why: "the connection to HOST was cut", again: true},
}

// explained says of a failure of the connection why it failed, and what to do; any other error stays.
func (l *Remote) explained(err error) error {
	var known *Failure
	if !errors.Is(err, ErrConnection) || errors.As(err, &known) {
		return err
	}
	said := strings.TrimPrefix(err.Error(), ErrConnection.Error()+": ")
	if c := causeOf(said); c != nil {
		return &Failure{Why: l.named(c.why), Do: l.named(c.do), Again: c.again, Said: said}
	}
	return &Failure{Why: said, Again: true}
}

// causeOf is the cause that a text speaks of; nil for none that is known.
func causeOf(said string) *cause {
	said = strings.ToLower(said)
	for i := range causes {
		if slices.ContainsFunc(causes[i].marks, func(m string) bool { return strings.Contains(said, m) }) {
			return &causes[i]
		}
	}
	return nil
}

// named puts the line's own names into a text. An address that was typed is not written down anywhere.
func (l *Remote) named(text string) string {
	user, host, path := l.parts()
	if host == "" {
		text = strings.ReplaceAll(text, " on HOST", "")
	}
	if l.known == "" {
		text = strings.ReplaceAll(text, "write the address anew:\n    "+setAddress, "is the address typed right?")
	}
	at := ""
	if user != "" {
		at = user + "@"
	}
	return strings.NewReplacer("USER@", at, "HOST", cmp.Or(host, "the other side"), "PATH", path,
		"REMOTE", l.known, "NEW-ADDRESS", "NEW-ADDRESS", "ADDRESS", withoutPassword(l.URL)).Replace(text)
}

// parts takes an address apart; of a folder only the path is there.
func (l *Remote) parts() (user, host, path string) {
	if l.local() {
		return "", "", strings.TrimPrefix(l.URL, "file://")
	}
	if u, err := url.Parse(l.URL); err == nil && u.Host != "" {
		return u.User.Username(), u.Hostname(), u.Path
	}
	host, path, _ = strings.Cut(l.URL, ":")
	if name, rest, ok := strings.Cut(host, "@"); ok {
		return name, rest, path
	}
	return "", host, path
}
