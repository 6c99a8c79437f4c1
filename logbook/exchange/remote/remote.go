// Package remote fetches from another repository of the same book and pushes to it: over ssh and https by an installed
// git, or by the built-in transport, and into folders.
//
// Where git runs by design: sync lets an installed git carry to a host over ssh or https, in a bare repository of
// ours with the reader's own settings; git config --get is asked for the reader's name and key, which reads files and
// runs nothing.
package remote

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	gitconfig "github.com/go-git/go-git/v5/plumbing/format/config"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// A Remote leads to another repository of the same book.
type Remote struct {
	// Name is what the other side is called in messages: the remote's name, or the address as it was given, without a
	// password.
	Name string
	// URL is where it is: a folder, ssh, https or http.
	URL string
	// Branch is the branch over there.
	Branch string
	// AtMost bounds the bytes of objects that travel one way; 0 does not.
	AtMost int64
	// Progress gets what is going on, in lines or parts of lines; nil for nobody.
	Progress io.Writer
	// known is the remote's name in the book's settings; empty for an address that git has no name for. own is what names
	// our own refs.
	known, Own string
	// Plain leaves out an installed git and uses the built-in transport.
	Plain bool
}

var (
	// ErrNoRemote says that there is no remote of that name, or none at all.
	ErrNoRemote = errors.New("no such remote")
	// ErrConnection says that the connection failed: it dropped, or the other side refused it. The next
	// try begins anew.
	ErrConnection = errors.New("the connection failed")
	// ErrBehind says that the other side has moved meanwhile: take in what is there and push again.
	ErrBehind = errors.New("the other side has moved meanwhile")
	// ErrTooMuch says that more than the bound would travel.
	ErrTooMuch = errors.New("more than was allowed would travel")
)

// Fetched is what a fetch brought.
type Fetched struct {
	// Tip is the other side's commit; empty when it has no such branch yet.
	Tip string
	// Objects and Bytes are what travelled.
	Objects int
	Bytes   int64
	Took    time.Duration
}

// Pushed is what a push carried.
type Pushed struct {
	Bytes int64
	Took  time.Duration
}

// NameForm is how a remote, or the other side of the post, may be called.
var NameForm = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,40}$`)

// Find finds the remote that is meant: one of the book's by its name, a URL or a folder as it is, and without a
// name the branch's own, origin, or the only one there is.
func Find(dir, name string) (*Remote, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	branch, err := r.Branch()
	if err != nil && !errors.Is(err, trace.ErrUnborn) { // a book that is joined has a branch before its first commit
		return nil, err
	}
	l := &Remote{Branch: branch}
	remotes, own, err := remotes(r, branch)
	if err != nil {
		return nil, err
	}
	if name == "" {
		switch {
		case own != "":
			name = own
		case remotes["origin"] != "":
			name = "origin"
		case len(remotes) == 1:
			for name = range remotes {
			}
		case len(remotes) == 0:
			return nil, fmt.Errorf("%w: none is set; once: git remote add origin ADDRESS; a new folder: git init --bare FOLDER",
				ErrNoRemote)
		default:
			return nil, fmt.Errorf("%w: none of %s is origin; name one, or give its address", ErrNoRemote,
				strings.Join(slices.Sorted(maps.Keys(remotes)), ", "))
		}
	}
	if u := remotes[name]; u != "" {
		l.Name, l.URL, l.known = name, u, name
	} else if strings.ContainsAny(name, "/\\:") || isFolder(name) {
		l.Name, l.URL = withoutPassword(name), name
	} else {
		return nil, fmt.Errorf("%w: %q; git remote -v lists what the book knows", ErrNoRemote, name)
	}
	l.Own = refName(name)
	return l, l.check(dir)
}

func withoutPassword(address string) string {
	if u, err := url.Parse(address); err == nil && u.User != nil {
		return u.Redacted()
	}
	return address
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// refName makes of a remote's name or address a name that may stand in a ref.
func refName(name string) string {
	if NameForm.MatchString(name) {
		return name
	}
	var b strings.Builder
	for _, r := range name {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			b.WriteRune(r)
		} else if s := b.String(); s != "" && !strings.HasSuffix(s, "-") {
			b.WriteByte('-')
		}
	}
	short := strings.Trim(b.String(), "-")
	if len(short) > 32 {
		short = strings.TrimLeft(short[len(short)-32:], "-")
	}
	sum := plumbing.ComputeHash(plumbing.BlobObject, []byte(name)).String()
	return strings.Trim(short+"-"+sum[:6], "-")
}

// schemes are the ways to another repository. Others, such as ext, run what the address names.
var schemes = map[string]bool{"ssh": true, "https": true, "http": true, "file": true}

// check refuses addresses that are none, and finds relative folders from the book.
func (l *Remote) check(dir string) error {
	switch {
	case l.URL == "" || strings.HasPrefix(l.URL, "-") || strings.ContainsAny(l.URL, "\x00\n\r"):
		return fmt.Errorf("%w: %q is no address", ErrNoRemote, l.URL)
	case strings.Contains(l.URL, "::"):
		return fmt.Errorf("%w: %q names a program of its own; use a folder, ssh:// or https://", ErrNoRemote, l.URL)
	}
	if scheme, _, ok := strings.Cut(l.URL, "://"); ok {
		if !schemes[strings.ToLower(scheme)] {
			return fmt.Errorf("%w: %q is reached over %s; use a folder, ssh:// or https://", ErrNoRemote, l.URL, scheme)
		}
		if u, err := url.Parse(l.URL); err != nil || strings.HasPrefix(u.Host, "-") || strings.HasPrefix(u.Path, "-") {
			return fmt.Errorf("%w: %q is no address", ErrNoRemote, l.URL)
		}
		return nil
	}
	// host:path is ssh, unless it is a folder (or a drive).
	if host, _, ok := strings.Cut(l.URL, ":"); ok && !strings.ContainsAny(host, `/\`) && len(host) > 1 &&
		!isFolder(l.URL) {
		return nil
	}
	if !filepath.IsAbs(l.URL) {
		from := dir
		if isFolder(l.URL) { // as typed, else as the book's settings have it
			from, _ = os.Getwd()
		}
		l.URL = filepath.Join(from, l.URL)
	}
	return nil
}

// local reports whether the other side is a folder of this computer.
func (l *Remote) local() bool {
	return filepath.IsAbs(l.URL) || strings.HasPrefix(strings.ToLower(l.URL), "file://")
}

// remotes reads the addresses of the book's remotes, and which one its branch goes to. Nothing else of the book's
// settings is used: they may name programs.
func remotes(r *exchange.Repository, branch string) (map[string]string, string, error) {
	text, err := durable.ReadPlain(r.Common, "config")
	if err != nil {
		return nil, "", fmt.Errorf("could not read the book's settings: %w", err)
	}
	c := gitconfig.New()
	if err := gitconfig.NewDecoder(bytes.NewReader(text)).Decode(c); err != nil {
		return nil, "", fmt.Errorf("could not read the book's settings: %w", err)
	}
	remotes := map[string]string{}
	for _, s := range c.Section("remote").Subsections {
		if u := s.Option("url"); u != "" {
			remotes[s.Name] = u
		}
	}
	return remotes, c.Section("branch").Subsection(branch).Option("remote"), nil
}

// From is the ref under which we keep where the other side stood last.
func (l *Remote) From() string { return "refs/needlebook/from/" + l.Own + "/" + l.Branch }

// Aside is the ref under which a tip is kept that was refused.
func (l *Remote) Aside(tip string) string {
	return fmt.Sprintf("refs/needlebook/aside/%s-%.12s", l.Own, tip)
}

// Fetch asks the other side for its tip and brings what the book lacks into its objects, once every byte of it was
// checked. No branch and no ref is touched. The error may be ErrLine, a *HostileError, a *packs.FormError, an
// *IncompleteError.
func (l *Remote) Fetch(ctx context.Context, dir string) (*Fetched, error) {
	return l.fetch(ctx, dir, true)
}

// Look asks what a fetch would bring, and lets nothing in. Over a network the size is not known before it travels:
// Bytes is then -1, and Objects 0.
func (l *Remote) Look(ctx context.Context, dir string) (*Fetched, error) {
	return l.fetch(ctx, dir, false)
}

func (l *Remote) fetch(ctx context.Context, dir string, keep bool) (*Fetched, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	start := time.Now()
	c := &Fetched{}
	bring := l.carrier()
	if !keep && !l.local() {
		tip, err := bring.tip(ctx, r, l)
		if err != nil {
			return nil, l.explained(lineFailed(ctx, err))
		}
		c.Took = time.Since(start)
		if c.Tip = HexOf(tip); c.Tip != "" && store.Has(tip) != nil {
			c.Bytes = -1
		}
		return c, nil
	}
	var p *transfer.Incoming
	tip, err := bring.fetch(ctx, r, store, l, func(in io.Reader) error {
		var err error
		p, err = transfer.OpenIncoming(r, store, in)
		return err
	})
	if p != nil {
		defer p.Discard()
	}
	if err != nil {
		return nil, l.explained(lineFailed(ctx, err))
	}
	c.Tip, c.Took = HexOf(tip), time.Since(start)
	if p == nil {
		if c.Tip != "" {
			if err := store.Has(tip); err != nil {
				return nil, &transfer.IncompleteError{ID: c.Tip}
			}
		}
		return c, nil
	}
	c.Objects, c.Bytes = p.Pack.Count, p.Pack.Size
	if err := p.Whole(tip); err != nil {
		return nil, err
	}
	if keep {
		err = p.LetIn()
	}
	return c, err
}

// held is what a side that stands on a commit holds, for those who ask by its tips: none of a side that is empty.
func held(tip plumbing.Hash) []plumbing.Hash {
	if tip.IsZero() {
		return nil
	}
	return []plumbing.Hash{tip}
}

// HexOf is an id in words; empty for none.
func HexOf(h plumbing.Hash) string {
	if h.IsZero() {
		return ""
	}
	return h.String()
}

// lineFailed tells what was stopped, or whose time was up, from a line that failed, and leaves what the bytes did as it
// is.
func lineFailed(ctx context.Context, err error) error { return cmp.Or(budget.Stopped(ctx), err) }

// Push moves the other side's branch from where it stands to a commit of ours that has it in its past. Old is empty
// when there is no such branch yet. ErrBehind says that somebody else was faster.
func (l *Remote) Push(ctx context.Context, dir, old, tip string) (*Pushed, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	start := time.Now()
	n, err := l.carrier().push(ctx, r, store, l, plumbing.NewHash(old), plumbing.NewHash(tip))
	if err != nil {
		return nil, l.explained(lineFailed(ctx, err))
	}
	return &Pushed{Bytes: n, Took: time.Since(start)}, nil
}

// Note remembers where the other side stands, for ourselves and, where git knows the remote by a name, for git status
// too.
func (l *Remote) Note(dir, tip string) error {
	err := SetRef(dir, l.From(), tip)
	if git := l.gitsRef(); err == nil && git != "" {
		err = SetRef(dir, git, tip)
	}
	return err
}

// A Sighting is a commit on which the other side once stood, and the ref that remembers it.
type Sighting struct{ Ref, Tip string }

// Seen is where the other side stood: when it was last taken in, and when git last looked. It is empty before the first
// time.
func (l *Remote) Seen(dir string) ([]Sighting, error) {
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	refs := []string{l.From()}
	if git := l.gitsRef(); git != "" {
		refs = append(refs, git)
	}
	var seen []Sighting
	for _, ref := range refs {
		tip, err := store.Ref(ref)
		if err == nil {
			err = store.Has(tip)
		} else if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		seen = append(seen, Sighting{ref, tip.String()})
	}
	return seen, nil
}

// gitsRef is where git remembers the other side; empty where git has no name for it, or one that may not stand in a
// ref.
func (l *Remote) gitsRef() string {
	if l.known == "" || l.known != l.Own {
		return ""
	}
	return "refs/remotes/" + l.known + "/" + l.Branch
}

// SetRef writes a ref that is no branch: one of our own below refs/needlebook, or one of git's below refs/remotes.
func SetRef(dir, ref, tip string) error {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return err
	}
	return transfer.SetRef(r, ref, plumbing.NewHash(tip))
}

// carrier is a way for objects to travel.
type carrier interface {
	// tip asks where the branch stands; zero when there is none.
	tip(ctx context.Context, r *exchange.Repository, l *Remote) (plumbing.Hash, error)
	// fetch asks the same, and hands the pack of what the book lacks, if anything, to take.
	fetch(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote,
		take func(io.Reader) error) (plumbing.Hash, error)
	push(ctx context.Context, r *exchange.Repository, store *trace.Store, l *Remote, old, tip plumbing.Hash) (int64, error)
}

// carrier is an installed git, but for a folder of this computer: git would run there what that folder names, its hooks
// above all.
func (l *Remote) carrier() carrier {
	if git, err := exec.LookPath("git"); err == nil && !l.Plain && !l.local() {
		return native{git}
	}
	return builtIn{}
}

// thin says that what is pushed may build on what the other side holds. The built-in transport cannot do that into a
// folder, where nothing is paid by the byte.
func (l *Remote) thin() bool {
	_, plain := l.carrier().(builtIn)
	return !plain || !l.local()
}
