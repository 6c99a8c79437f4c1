// Package mail carries a book where no connection does: bundles for the post, and what is known of the side that gets
// them.
package mail

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// A Bundle is what a bundle file says at its head (git's Documentation/gitformat-bundle, version 2): what the reader
// must hold already, and which tips it brings.
type Bundle struct {
	// Needs are the commits that it builds on.
	Needs []string
	// Refs are the tips by their names.
	Refs map[string]string
}

const bundleMark = "# v2 git bundle\n"

var (
	needLine  = regexp.MustCompile(`^-([0-9a-f]{40})( [^\n]*)?$`)
	refLine   = regexp.MustCompile(`^([0-9a-f]{40}) ([^\n]+)$`)
	refParts  = regexp.MustCompile(`^[\p{L}\p{N}_.+@#=,-]+(/[\p{L}\p{N}_.+@#=,-]+)*$`)
	refFields = []string{"refs/heads/", "refs/tags/", "refs/remotes/", "refs/needlebook/"}
)

// ReadBundle reads the head of a bundle; the pack follows in the same reader.
func ReadBundle(in *bufio.Reader) (*Bundle, error) {
	b := &Bundle{Refs: map[string]string{}}
	mark, err := line(in)
	if err != nil || mark+"\n" != bundleMark {
		if err == nil && strings.HasPrefix(mark, "# v3 git bundle") {
			return nil, transfer.Hostile("a bundle of version 3, version 2 is read: write it with git bundle create --version=2")
		}
		return nil, transfer.Hostile("it is no git bundle: it does not begin with %q", strings.TrimSpace(bundleMark))
	}
	for n := 0; ; n++ {
		l, err := line(in)
		if err != nil {
			return nil, err
		}
		if l == "" {
			break
		}
		if n > 1000 {
			return nil, transfer.Hostile("the head of the bundle has more than 1000 lines")
		}
		if m := needLine.FindStringSubmatch(l); m != nil && len(b.Refs) == 0 {
			b.Needs = append(b.Needs, m[1])
		} else if m := refLine.FindStringSubmatch(l); m != nil {
			if err := goodRef(m[2]); err != nil {
				return nil, err
			}
			b.Refs[m[2]] = m[1]
		} else {
			return nil, transfer.Hostile("line %d of the bundle's head is %q: neither what it needs nor what it brings", n+2,
				transfer.Clip(l))
		}
	}
	if len(b.Refs) == 0 {
		return nil, transfer.Hostile("the bundle names no tip")
	}
	return b, nil
}

// line reads one line of the head, without its end. A bundle's lines are short.
func line(in *bufio.Reader) (string, error) {
	var b strings.Builder
	for b.Len() <= 1000 {
		c, err := in.ReadByte()
		if errors.Is(err, io.EOF) {
			return "", fmt.Errorf("%w: %w", transfer.Hostile("the bundle is cut short"), io.ErrUnexpectedEOF)
		} else if err != nil {
			return "", err
		}
		if c == '\n' {
			return b.String(), nil
		}
		b.WriteByte(c)
	}
	return "", transfer.Hostile("the head of the bundle has a line of more than 1000 bytes")
}

// goodRef refuses names that are no plain ref of a place where tips stand.
func goodRef(name string) error {
	if name == "HEAD" {
		return nil
	}
	inField := slices.ContainsFunc(refFields, func(f string) bool { return strings.HasPrefix(name, f) })
	if !inField {
		return transfer.Hostile("the bundle brings %q: only branches, tags and what was fetched are taken",
			transfer.Clip(name))
	}
	if len(name) > 200 || !refParts.MatchString(name) {
		return transfer.Hostile("the bundle brings a ref of the name %q", transfer.Clip(name))
	}
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") || strings.HasSuffix(part, ".") || strings.HasSuffix(part, ".lock") ||
			strings.Contains(part, "..") || transfer.BadName(part) != "" {
			return transfer.Hostile("the bundle brings a ref of the name %q", transfer.Clip(name))
		}
	}
	return nil
}

// tip is the tip meant for a branch: of that name, else HEAD, else the only one.
func (b *Bundle) tip(branch string) (string, error) {
	for _, name := range []string{"refs/heads/" + branch, "HEAD"} {
		if t := b.Refs[name]; t != "" {
			return t, nil
		}
	}
	if len(b.Refs) == 1 {
		for _, t := range b.Refs {
			return t, nil
		}
	}
	return "", transfer.Hostile("the bundle brings %s, none of the branch %s", logbook.Counted(len(b.Refs), "tip"), branch)
}

// An Arrived is a bundle whose objects are in the book.
type Arrived struct {
	Bundle
	// Tip is the tip meant for the book's branch.
	Tip     string
	Objects int
	Bytes   int64
}

// A NeedsError says that a bundle builds on commits that the book does not hold.
type NeedsError struct{ Commits []string }

func (e *NeedsError) Error() string {
	return fmt.Sprintf("it builds on %s not here, the first %.12s", logbook.Counted(len(e.Commits), "commit"),
		e.Commits[0])
}

// OpenBundle reads a bundle whole, checks every byte of it, and only then makes its objects part of the book in dir; no
// ref is touched. The errors are a *NeedsError, a *HostileError, a *packs.FormError, an *IncompleteError, or
// budget.ErrStopped when the context ends: nothing was written then.
func OpenBundle(ctx context.Context, dir string, in io.Reader) (*Arrived, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	return OpenBundleOn(ctx, r, in)
}

// OpenBundleOn is OpenBundle in an open repository.
func OpenBundleOn(ctx context.Context, r *exchange.Repository, in io.Reader) (*Arrived, error) {
	store, err := r.Store()
	if err != nil {
		return nil, err
	}
	defer store.Close()
	store.Until(ctx)
	_, branch, err := store.Head()
	if err != nil && !errors.Is(err, trace.ErrUnborn) { // a book that is joined has a branch before its first commit
		return nil, err
	}
	buffered := bufio.NewReader(in)
	b, err := ReadBundle(buffered)
	if err != nil {
		return nil, err
	}
	a := &Arrived{Bundle: *b}
	if a.Tip, err = b.tip(branch); err != nil {
		return nil, err
	}
	var needs NeedsError
	for _, c := range b.Needs {
		if _, _, err := store.Commit(plumbing.NewHash(c)); transfer.Missing(err) {
			needs.Commits = append(needs.Commits, c)
		} else if err != nil {
			return nil, err
		}
	}
	if len(needs.Commits) > 0 {
		return nil, &needs
	}
	p, err := transfer.OpenIncoming(r, store, buffered)
	if err != nil {
		return nil, err
	}
	defer p.Discard()
	a.Objects, a.Bytes = p.Pack.Count, p.Pack.Size
	if err := p.Whole(plumbing.NewHash(a.Tip)); err != nil {
		return nil, err
	}
	return a, p.LetIn()
}

// A Bag is a bundle made for the other side.
type Bag struct {
	// Tip is the commit it brings, Needs the ones it builds on.
	Tip   string
	Needs []string
	// Commits counts the commits in it, Behind those of the book that stay behind, Photos those among them that bring
	// photos or bench traces.
	Commits, Behind, Photos int
	// Text is the bundle.
	Text []byte
}

// PackBag makes a bundle of what a side lacks that holds the given commits: up to a commit of the book, the tip when it
// is empty. It is nil when there is nothing to send. Loose leaves the objects unpacked, for a stream that is packed as
// a whole. The same book gives the same bytes.
func PackBag(ctx context.Context, dir string, has []string, upTo string, loose bool) (*Bag, error) {
	book, err := transfer.From(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	tip := book.Tip
	if upTo != "" {
		tip = plumbing.NewHash(upTo)
	}
	l, err := transfer.ContentOf(book.Store, tip, graph.Hashes(has))
	if err != nil || len(l.Commits) == 0 {
		return nil, err
	}
	bag := &Bag{Tip: tip.String(), Commits: len(l.Commits)}
	var b bytes.Buffer
	b.WriteString(bundleMark)
	for _, c := range l.Edge {
		bag.Needs = append(bag.Needs, c.String())
		fmt.Fprintf(&b, "-%s\n", c)
	}
	fmt.Fprintf(&b, "%s refs/heads/%s\n", tip, book.Branch)
	if len(l.Edge) == 0 { // so that git clone knows what to check out
		fmt.Fprintf(&b, "%s HEAD\n", tip)
	}
	b.WriteByte('\n')
	level := 9
	if loose {
		level = 0
	}
	if _, err := l.Write(&b, true, level); err != nil {
		return nil, err
	}
	bag.Text = b.Bytes()
	return bag, nil
}

// WithoutPhotos is the last commit on the way from what the other side has to the tip before the first one that brings
// a photo or a bench trace; empty when the first one does. Only what a commit builds on can be left out of a history,
// so what is newer than a photo waits with it.
func WithoutPhotos(ctx context.Context, dir string, has []string) (string, error) {
	book, err := transfer.From(ctx, dir)
	if err != nil {
		return "", err
	}
	defer book.Close()
	l, err := transfer.ContentOf(book.Store, book.Tip, graph.Hashes(has))
	if err != nil {
		return "", err
	}
	g := graph.New(book.Store)
	heavy := graph.Set{}
	last := ""
	for _, c := range l.Commits {
		n, err := g.At(c)
		if err != nil {
			return "", err
		}
		photo, err := transfer.Brings(book.Store, g, c)
		if err != nil {
			return "", err
		}
		if photo || slices.ContainsFunc(n.Parents, func(p plumbing.Hash) bool { return heavy[p] }) {
			heavy[c] = true
			continue
		}
		last = c.String()
	}
	return last, nil
}

// Holds reports whether a tip is a commit or has it in its past.
func Holds(dir, tip, commit string) (bool, error) {
	store, err := trace.OpenStore(dir)
	if err != nil {
		return false, err
	}
	defer store.Close()
	past, err := graph.New(store).Past(nil, plumbing.NewHash(tip))
	return past[plumbing.NewHash(commit)], err
}
