// Package transfer holds what travels between two copies of a book: what is missing there, packed; and what came, held
// against every bound beside the book before anything of it is let in.
package transfer

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-billy/v5/util"
	"github.com/go-git/go-git/v5/plumbing"
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"needlebook/logbook/budget"
	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// A HostileError says that what came holds something that no book may hold: a name that is another file on another
// system, or none at all, a link out of the folder, another repository. Nothing of it was written.
type HostileError struct{ Why string }

func (e *HostileError) Error() string { return e.Why }

// Hostile is an error about bytes that no honest program sends.
func Hostile(format string, a ...any) error { return &HostileError{fmt.Sprintf(format, a...)} }

// Incoming is a pack that came in. It lies beside the book until it is found sound and let in.
type Incoming struct {
	r     *exchange.Repository
	store *trace.Store
	aside string // folder, below the shared one of git's
	file  billy.File
	Pack  *packs.Pack
}

// AsideTop is where the folders lie for what is not yet part of the book, below the folder of git that work trees
// share.
const AsideTop = "needlebook"

// AsideFolder is a new folder for what is not yet part of the book. The name holds the number of the process, so that
// the next run can clear away what a killed one left.
func AsideFolder(r *exchange.Repository) (string, error) {
	disk := r.Common
	if err := disk.MkdirAll(AsideTop, 0o777); err != nil {
		return "", err
	}
	left, err := disk.ReadDir(AsideTop)
	if err != nil {
		return "", err
	}
	for _, e := range left {
		if pid, ok := ComingOf(e.Name()); ok && pid != os.Getpid() && !durable.Alive(pid) {
			if err := util.RemoveAll(disk, path.Join(AsideTop, e.Name())); err != nil {
				return "", err
			}
		}
	}
	for n := 0; ; n++ {
		dir := path.Join(AsideTop, fmt.Sprintf("coming-%d-%d-%d", os.Getpid(), time.Now().UnixNano(), n))
		if _, err := disk.Lstat(dir); err == nil {
			continue
		}
		return dir, durable.Begin(disk.Full(dir), func() error { return disk.MkdirAll(dir, 0o777) })
	}
}

// RemoveAside takes such a folder away.
func RemoveAside(r *exchange.Repository, dir string) error {
	return durable.End(r.Common.Full(dir), func() error { return util.RemoveAll(r.Common, dir) })
}

// ComingOf is the process to which a folder for what is coming belongs.
func ComingOf(name string) (pid int, ok bool) {
	n, _ := fmt.Sscanf(name, "coming-%d-", &pid)
	return pid, n == 1
}

// OpenIncoming reads a pack whole and checks every byte of it, and the form of every object. The caller lets it in or
// discards it.
func OpenIncoming(r *exchange.Repository, store *trace.Store, in io.Reader) (*Incoming, error) {
	p, err := ReadIncoming(r, store, in)
	if err != nil {
		return nil, err
	}
	if err := p.forms(); err != nil {
		return nil, errors.Join(err, p.Discard())
	}
	return p, nil
}

// ReadIncoming is openParcel for objects of our own, whatever their form.
func ReadIncoming(r *exchange.Repository, store *trace.Store, in io.Reader) (*Incoming, error) {
	aside, err := AsideFolder(r)
	if err != nil {
		return nil, err
	}
	p := &Incoming{r: r, store: store, aside: aside}
	if p.file, err = r.Common.OpenFile(path.Join(aside, "pack"), os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o444); err != nil {
		return nil, errors.Join(err, p.Discard())
	}
	p.Pack, err = packs.Read(in, p.file, func(id plumbing.Hash) (packs.Object, error) {
		kind, raw, err := store.Object(id)
		if Missing(err) {
			err = plumbing.ErrObjectNotFound
		}
		return packs.Object{Kind: kind, Raw: raw}, err
	})
	if err != nil {
		return nil, errors.Join(err, p.Discard())
	}
	return p, nil
}

// Discard takes away what came.
func (p *Incoming) Discard() error {
	if p.file != nil {
		p.file.Close()
	}
	return RemoveAside(p.r, p.aside)
}

// LetIn makes the pack part of the book's objects. Nothing refers to them yet. All that takes room is written and
// synced beside the book, so that only two names are left to be given: the pack's, then the index's, by which git and
// we know that it is whole.
func (p *Incoming) LetIn() error {
	defer p.Discard()
	if p.Pack.Len() == 0 {
		return nil
	}
	index, err := p.Pack.Index()
	if err != nil {
		return err
	}
	file := p.file
	p.file = nil
	if err := file.Close(); err != nil { // which syncs
		return err
	}
	return PutPack(p.r.Common, p.aside, p.Pack.Sum, index)
}

// PutPack moves the file "pack" of a folder beside the book, which is synced, to its place among the packs, and its
// index behind it. A pack whose index cannot follow is taken away again.
func PutPack(disk durable.Disk, aside string, sum plumbing.Hash, index []byte) error {
	name := "objects/pack/pack-" + sum.String()
	packWas, packErr := durable.IsThere(disk, name+".pack")
	indexWas, indexErr := durable.IsThere(disk, name+".idx")
	if err := errors.Join(packErr, indexErr); err != nil || packWas && indexWas {
		return err // it is there already
	}
	idx, err := disk.OpenFile(path.Join(aside, "idx"), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o444)
	if err != nil {
		return err
	}
	_, err = idx.Write(index)
	if err := errors.Join(err, idx.Close()); err != nil {
		return err
	}
	if err := disk.Rename(path.Join(aside, "pack"), name+".pack"); err != nil {
		return errors.Join(err, disk.RemoveNew(name+".pack", packWas))
	}
	if err := disk.Rename(path.Join(aside, "idx"), name+".idx"); err != nil {
		return errors.Join(err, disk.RemoveNew(name+".idx", indexWas), disk.RemoveNew(name+".pack", packWas))
	}
	return nil
}

// object finds an object in the parcel, then in the book.
func (p *Incoming) object(id plumbing.Hash, want plumbing.ObjectType) ([]byte, error) {
	var o packs.Object
	var err error
	if p.Pack.Has(id) {
		o, err = p.Pack.Object(id)
	} else {
		o.Kind, o.Raw, err = p.store.Object(id)
	}
	if err == nil {
		err = belongs(id, o.Kind, want)
	}
	return o.Raw, err
}

// belongs refuses an object that is not of the kind that belongs where it is.
func belongs(id plumbing.Hash, kind, want plumbing.ObjectType) error {
	if kind != want {
		return Hostile("object %s is a %s where a %s belongs", id, kind, want)
	}
	return nil
}

var (
	commitForm = regexp.MustCompile(`^tree [0-9a-f]{40}\n(parent [0-9a-f]{40}\n)*author [^<>\n\x00]* ?<[^<>\n\x00]*> (0|[1-9][0-9]{0,11}) [+-][0-9]{4}\ncommitter [^<>\n\x00]* ?<[^<>\n\x00]*> (0|[1-9][0-9]{0,11}) [+-][0-9]{4}\n`)
	tagForm    = regexp.MustCompile(`^object [0-9a-f]{40}\ntype (commit|tree|blob|tag)\ntag [^\n\x00]+\n`)
)

// forms looks at every object but texts by itself: git fsck, run afterwards, must find nothing.
func (p *Incoming) forms() error {
	return p.Pack.Each(func(id plumbing.Hash, o packs.Object) error {
		switch o.Kind {
		case plumbing.CommitObject:
			if !commitForm.Match(o.Raw) || bytes.IndexByte(o.Raw, 0) >= 0 {
				return Hostile("commit %s is not of the form of a commit", id)
			}
		case plumbing.TagObject:
			if !tagForm.Match(o.Raw) {
				return Hostile("tag %s is not of the form of a tag", id)
			}
		case plumbing.TreeObject:
			entries, err := trace.ParseTree(o.Raw)
			if err != nil {
				return Hostile("tree %s is no readable tree", id)
			}
			return folder(entries)
		}
		return nil
	})
}

// folder refuses names and kinds of file that no folder may hold.
func folder(entries []trace.Entry) error {
	fold := cases.Fold()
	seen := make(map[string]string, len(entries))
	for _, e := range entries {
		if why := BadName(e.Name); why != "" {
			return Hostile("the name %q %s", Clip(e.Name), why)
		}
		switch e.Mode {
		case exchange.ModeFile, exchange.ModeTree, "100755":
		case "120000":
			return Hostile("%q is a symbolic link", e.Name)
		case "160000":
			return Hostile("%q is another repository", e.Name)
		default:
			return Hostile("%q has mode %s, which git does not write", e.Name, Clip(e.Mode))
		}
		k := fold.String(norm.NFC.String(e.Name))
		if other, there := seen[k]; there {
			return Hostile("%q and %q are one file on many systems", other, e.Name)
		}
		seen[k] = e.Name
	}
	return nil
}

// Clip is a stranger's text, short enough for a message.
func Clip(s string) string {
	if len(s) > 80 {
		return s[:80] + "…"
	}
	return s
}

var deviceName = regexp.MustCompile(`(?i)^(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)( *\.|$)`)

// BadName says what is wrong with one part of a path: what some system would take for another file, for none, or for a
// part of git's own folder. Names that are only unusual in a book are let in and marked, as any change is.
func BadName(name string) string {
	switch {
	case name == "" || name == "." || name == "..":
		return "is no name"
	case len(name) > 255:
		return "is longer than 255 bytes"
	case !utf8.ValidString(name):
		return "is not UTF-8"
	case !norm.NFC.IsNormalString(name):
		return "is written with parts of letters, which some systems join"
	case strings.ContainsAny(name, `/\:*?"<>|`):
		return "holds a character that separates folders or that systems keep for themselves"
	case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
		return "ends in a dot or a blank, which some systems drop"
	case name[0] == '-' || name[0] == ' ':
		return "begins with a dash or a blank, which programs take for something else"
	case deviceName.MatchString(name):
		return "is a device on some systems"
	}
	for _, r := range name {
		if r < 0x20 || r == 0x7f || r >= 0x80 && r < 0xa0 || unseen(r) {
			return "holds a character that is not seen or that turns the line round"
		}
	}
	// git~1 is the short name that Windows gives to .git.
	if l := strings.ToLower(name); l == ".git" || strings.HasPrefix(l, "git~") || strings.HasPrefix(l, ".git") &&
		l != ".gitattributes" && l != ".gitignore" && l != ".gitkeep" {
		return "is git's own"
	}
	return ""
}

// unseen are the marks of width zero and of direction, and the ones that file systems pass over.
func unseen(r rune) bool {
	return r == 0x00ad || r == 0x061c || r == 0x180e || r >= 0x200b && r <= 0x200f || r >= 0x2028 && r <= 0x202e ||
		r >= 0x2060 && r <= 0x206f || r == 0xfeff || r >= 0xfff9 && r <= 0xfffb || r >= 0xe0000 && r <= 0xe0fff
}

// list lists a folder of the parcel or of the book. Everything that a folder of the parcel refers to must be there.
func (p *Incoming) list(tree plumbing.Hash, entry func(int, string, plumbing.Hash) error) (bytes int64, err error) {
	if err := p.store.Stopped(); err != nil {
		return 0, err
	}
	raw, err := p.object(tree, plumbing.TreeObject)
	if err != nil {
		return 0, p.missing(err, tree)
	}
	entries, err := trace.ParseTree(raw)
	came := p.Pack.Has(tree)
	for _, e := range entries {
		if err == nil {
			err = entry(len(e.Name), e.Mode, e.ID)
		}
		switch {
		case err != nil:
			return 0, err
		case e.Mode == exchange.ModeTree:
		case p.Pack.Has(e.ID):
			err = belongs(e.ID, p.Pack.Kind(e.ID), plumbing.BlobObject)
		case came: // what the book has of its own is there
			err = p.missing(p.store.Has(e.ID), e.ID)
		}
	}
	return int64(len(raw)), err
}

// Whole follows the commits of the parcel from the tips on and sees that everything they refer to is there, in the
// parcel or in the book, and that none of their folders goes beyond what a book's may be.
func (p *Incoming) Whole(tips ...plumbing.Hash) error {
	seen, folders := graph.Set{}, trace.NewExtents(p.list)
	for next := tips; len(next) > 0; {
		c := next[len(next)-1]
		next = next[:len(next)-1]
		if seen[c] {
			continue
		}
		seen[c] = true
		raw, err := p.object(c, plumbing.CommitObject)
		if err != nil {
			return p.missing(err, c)
		}
		if !p.Pack.Has(c) {
			continue // of the book: all behind it is there
		}
		lines := strings.Split(string(raw), "\n")
		err = folders.Check(plumbing.NewHash(strings.TrimPrefix(lines[0], "tree ")))
		var exceeded *budget.ExceededError
		if errors.As(err, &exceeded) {
			return Hostile("a folder of commit %.12s %s", c, exceeded.Why)
		} else if err != nil {
			return err
		}
		for _, l := range lines[1:] {
			parent, ok := strings.CutPrefix(l, "parent ")
			if !ok {
				break
			}
			next = append(next, plumbing.NewHash(parent))
		}
	}
	return nil
}

// emptyTree is the tree without entries, which nobody has to store.
var emptyTree = plumbing.NewHash("4b825dc642cb6eb9a060e54bf8d69288fbee4904")

// missing says of an object that is nowhere that what came is not whole.
func (p *Incoming) missing(err error, id plumbing.Hash) error {
	if !Missing(err) {
		return err
	}
	if id == emptyTree {
		return nil
	}
	return &IncompleteError{id.String()}
}

// Missing reports whether an error says that an object is nowhere in the book; one that cannot be read at the moment is
// not missing.
func Missing(err error) bool {
	var broken *trace.BrokenError
	return errors.As(err, &broken) && broken.Missing
}

// An IncompleteError says that what came refers to an object that neither it nor the book holds.
type IncompleteError struct{ ID string }

func (e *IncompleteError) Error() string {
	return fmt.Sprintf("object %s is missing from what came", e.ID)
}

// SetRef writes a ref of our own, for what has come or was put aside. A zero id takes it away.
func SetRef(r *exchange.Repository, name string, to plumbing.Hash) error {
	l, err := r.Common.Lock(name, false)
	if err != nil {
		return err
	}
	if to.IsZero() {
		if err := l.Release(); err != nil {
			return err
		}
		if err := r.Common.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		return nil
	}
	return errors.Join(l.Replace([]byte(to.String()+"\n")), l.Close())
}
