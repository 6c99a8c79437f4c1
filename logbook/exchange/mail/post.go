package mail

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/graph"
	"needlebook/logbook/exchange/mailbag"
	"needlebook/logbook/exchange/remote"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// A Post is the other side of an exchange by mail or stick, and what is known of it. All of it lies below
// .git/needlebook and can be lost without harm: then more travels than has to.
type Post struct {
	r *exchange.Repository
	// Side is the name that the user gives to the other side.
	Side string
}

// OpenPost opens what is known of the other side.
func OpenPost(dir, side string) (*Post, error) {
	r, err := exchange.OpenRepository(dir, durable.New)
	if err != nil {
		return nil, err
	}
	return OpenPostOn(r, side)
}

// OpenPostOn opens it in a repository.
func OpenPostOn(r *exchange.Repository, side string) (*Post, error) {
	if !remote.NameForm.MatchString(side) {
		return nil, fmt.Errorf("%w: %q is no name for the other side: letters, digits, dash and underscore",
			remote.ErrNoRemote, side)
	}
	return &Post{r, side}, nil
}

// From is the ref that remembers the newest tip opened from the other side.
func (p *Post) From() string { return "refs/needlebook/mail/" + p.Side }

// Aside is the ref under which a refused tip is kept.
func (p *Post) Aside(tip string) string {
	return fmt.Sprintf("refs/needlebook/aside/%s-%.12s", p.Side, tip)
}

// Seen is the newest tip opened from the other side; empty when there is none.
func (p *Post) Seen() (string, error) {
	store, err := p.r.Store()
	if err != nil {
		return "", err
	}
	defer store.Close()
	h, err := store.Ref(p.From())
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return remote.HexOf(h), err
}

// known is what is remembered of the other side.
type known struct {
	Has      []string // commits that it holds
	Receipts int      // how many receipts it holds
	Asked    []mailbag.Lack
	Sent     []Parcelled
	Opened   []openedBag // the newest last
}

// openedBag is a bag that was put together of parts, and the tip that it brought.
type openedBag struct{ Bag, Tip string }

// Parcelled is a bag that was made for the other side, and how to make it again.
type Parcelled struct {
	Bag   string // SHA-256 of its bytes
	Has   []string
	UpTo  string
	Size  int64 // of the parts
	Small bool
}

const keptSent = 50

// Copy tells this copy of the book from every other one: by a number drawn once, and by where it lies, so that a copy
// made by copying the folder is another one.
func (p *Post) Copy() (string, error) {
	const name = "needlebook/copy"
	drawn, err := exchange.ReadIfThere(func(name string) ([]byte, error) {
		return durable.ReadPlain(p.r.Common,
			name)
	}, name)
	if err == nil && drawn == nil {
		drawn = []byte(rand.Text() + "\n")
		err = putFile(p.r, name, drawn)
	}
	if err != nil {
		return "", err
	}
	dir, err := filepath.Abs(p.r.Dir)
	if err != nil {
		return "", err
	}
	host, err := os.Hostname()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(fmt.Appendf(drawn, "%s\n%s\n", host, dir))
	return hex.EncodeToString(sum[:8]), nil
}

func (p *Post) file() string { return "needlebook/mail/" + p.Side + ".json" }

func (p *Post) load() (*known, error) {
	k := &known{}
	text, err := exchange.ReadIfThere(func(name string) ([]byte, error) { return durable.ReadPlain(p.r.Common, name) },
		p.file())
	if err != nil || text == nil {
		return k, err
	}
	if json.Unmarshal(text, k) != nil {
		return &known{}, nil // begin anew: more travels, nothing is lost
	}
	return k, nil
}

func (p *Post) save(k *known) error {
	text, err := json.MarshalIndent(k, "", " ")
	if err != nil {
		return err
	}
	return putFile(p.r, p.file(), append(text, '\n'))
}

// putFile writes a file below .git that is no part of git: beside its place, synced, renamed.
func putFile(r *exchange.Repository, name string, text []byte) error {
	f, err := r.Common.OpenFile(name+".tmp", os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, r.Common.Remove(name+".tmp"))
	}
	return r.Common.Rename(name+".tmp", name)
}

// Holds remembers that the other side holds commits, with all behind them. Those that the book does not know are of no
// use yet and are passed over.
func (p *Post) Holds(list ...string) error {
	k, err := p.load()
	if err != nil {
		return err
	}
	store, err := p.r.Store()
	if err != nil {
		return err
	}
	defer store.Close()
	g := graph.New(store)
	all := graph.Set{}
	for _, c := range append(graph.Hashes(list), graph.Hashes(k.Has)...) {
		if _, err := g.At(c); err == nil {
			all[c] = true
		} else if !transfer.Missing(err) {
			return err
		}
	}
	covered := graph.Set{}
	for c := range all {
		past, err := g.Past(nil, g.Known[c].Parents...)
		if err != nil {
			return err
		}
		for p := range past {
			covered[p] = true
		}
	}
	k.Has = nil
	for c := range all {
		if !covered[c] {
			k.Has = append(k.Has, c.String())
		}
	}
	slices.Sort(k.Has)
	return p.save(k)
}

// Has are the commits that the other side is known to hold.
func (p *Post) Has() ([]string, error) {
	k, err := p.load()
	return k.Has, err
}

// Asked takes in what an acknowledgement says beside what its writer holds: the parts that he asks for again and the
// receipts he has.
func (p *Post) Asked(lacks []mailbag.Lack, receipts int) error {
	k, err := p.load()
	if err != nil {
		return err
	}
	for _, l := range lacks {
		known := slices.ContainsFunc(k.Sent, func(s Parcelled) bool { return s.Bag == l.Bag })
		k.Asked = slices.DeleteFunc(k.Asked, func(o mailbag.Lack) bool { return o.Bag == l.Bag })
		if known {
			k.Asked = append(k.Asked, l)
		}
	}
	k.Receipts = max(k.Receipts, receipts)
	return p.save(k)
}

// Receipts is how many receipts the other side is known to hold.
func (p *Post) Receipts() (int, error) {
	k, err := p.load()
	return k.Receipts, err
}

// Again makes the parts once more that the other side asks for; only with the same bytes as before do parts fit
// together, so a bag that comes out otherwise is left out, and goes as a new one.
func (p *Post) Again(ctx context.Context) ([]mailbag.Part, error) {
	k, err := p.load()
	if err != nil || len(k.Asked) == 0 {
		return nil, err
	}
	var parts []mailbag.Part
	for _, l := range k.Asked {
		i := slices.IndexFunc(k.Sent, func(s Parcelled) bool { return s.Bag == l.Bag })
		if i < 0 {
			continue
		}
		s := k.Sent[i]
		bag, err := PackBag(ctx, p.r.Dir, s.Has, s.UpTo, s.Small)
		if err != nil {
			return nil, err
		}
		if bag == nil {
			continue
		}
		text, err := s.form(bag.Text)
		if err != nil {
			return nil, err
		}
		all, err := mailbag.Split(text, s.Size)
		if err != nil || all[0].Bag != l.Bag {
			continue
		}
		for _, n := range l.Parts {
			if n >= 1 && n <= len(all) {
				parts = append(parts, all[n-1])
			}
		}
	}
	return parts, nil
}

// Answered lets the requests for parts go: they are made.
func (p *Post) Answered() error {
	k, err := p.load()
	if err != nil || len(k.Asked) == 0 {
		return err
	}
	k.Asked = nil
	return p.save(k)
}

func (s *Parcelled) form(bundle []byte) ([]byte, error) {
	if s.Small {
		return Smaller(bundle)
	}
	return bundle, nil
}

// Split cuts a bag into parts of at most s.Size bytes and, unless it is only tried, remembers it, so that its parts can
// be made again. One that was cut before is cut as it was where such parts are no larger: what was lost of it and what
// is sent now fit together. The error says that parts of that size are too small.
func (p *Post) Split(bag Parcelled, text []byte, try bool) ([]mailbag.Part, error) {
	k, err := p.load()
	if err != nil {
		return nil, err
	}
	parts, err := mailbag.Split(text, bag.Size)
	if err != nil {
		return nil, PartSizeError{err}
	}
	bag.Bag = parts[0].Bag
	i := slices.IndexFunc(k.Sent, func(o Parcelled) bool { return o.Bag == bag.Bag })
	if i >= 0 && k.Sent[i].Size < bag.Size {
		if before, err := mailbag.Split(text, k.Sent[i].Size); err == nil {
			parts, bag.Size = before, k.Sent[i].Size
		}
	}
	if try {
		return parts, nil
	}
	k.Sent = slices.DeleteFunc(k.Sent, func(o Parcelled) bool { return o.Bag == bag.Bag })
	k.Sent = append(k.Sent, bag)
	if n := len(k.Sent); n > keptSent {
		k.Sent = k.Sent[n-keptSent:]
	}
	return parts, p.save(k)
}

// PartSizeError says that a bag cannot be cut into parts of the size asked for.
type PartSizeError struct{ error }

// Opened remembers that a bag was put together and what it brought.
func (p *Post) Opened(bag, tip string) error {
	k, err := p.load()
	if err != nil {
		return err
	}
	k.Opened = append(k.Opened, openedBag{bag, tip})
	if n := len(k.Opened); n > keptSent {
		k.Opened = k.Opened[n-keptSent:]
	}
	return p.save(k)
}

// WasOpened says whether what a bag brought is in the branch: a part of it that comes once more need not wait for
// others.
func (p *Post) WasOpened(bag string) (bool, error) {
	k, err := p.load()
	if err != nil {
		return false, err
	}
	i := slices.IndexFunc(k.Opened, func(o openedBag) bool { return o.Bag == bag })
	if i < 0 {
		return false, nil
	}
	store, err := p.r.Store()
	if err != nil {
		return false, err
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err != nil {
		return false, err
	}
	past, err := graph.New(store).Past(nil, tip)
	return past[plumbing.NewHash(k.Opened[i].Tip)], err
}

const parts = "needlebook/parts"

// KeepPart keeps a part until the others of its bundle are there, and returns the bundle when it was the last one. The
// parts of a bundle that is complete are let go by Forget.
func (p *Post) KeepPart(part *mailbag.Part) (bundle []byte, err error) {
	dir := path.Join(parts, part.Bag)
	if err := putFile(p.r, path.Join(dir, part.Kept()), part.File()); err != nil {
		return nil, err
	}
	all, err := p.kept(part.Bag)
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(o *mailbag.Part) bool { return o.Size != part.Size })
	bundle, _, err = mailbag.Join(all)
	return bundle, err
}

func (p *Post) kept(bag string) ([]*mailbag.Part, error) {
	entries, err := p.r.Common.ReadDir(path.Join(parts, bag))
	if err != nil {
		return nil, err
	}
	var all []*mailbag.Part
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".tmp") {
			continue
		}
		text, err := durable.ReadPlain(p.r.Common, path.Join(parts, bag, e.Name()))
		if err != nil {
			return nil, err
		}
		if o, err := mailbag.ReadPart(text); err == nil && o.Bag == bag {
			all = append(all, o)
		}
	}
	return all, nil
}

// Waiting lists the bundles of which parts are missing.
func (p *Post) Waiting() ([]mailbag.Lack, error) {
	entries, err := p.r.Common.ReadDir(parts)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	var list []mailbag.Lack
	for _, e := range entries {
		all, err := p.kept(e.Name())
		if err != nil {
			return nil, err
		}
		if len(all) == 0 {
			continue
		}
		if _, missing, _ := mailbag.Join(all); len(missing) > 0 {
			list = append(list, mailbag.Lack{Bag: e.Name(), Parts: missing})
		}
	}
	return list, nil
}

// Forget lets the parts of a bundle go.
func (p *Post) Forget(bag string) error {
	dir := path.Join(parts, bag)
	entries, err := p.r.Common.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := p.r.Common.Remove(path.Join(dir, e.Name())); err != nil {
			return err
		}
	}
	return p.r.Common.Remove(dir)
}

// ForgetAll lets all parts go that wait for others.
func (p *Post) ForgetAll() error {
	list, err := p.Waiting()
	for _, l := range list {
		err = errors.Join(err, p.Forget(l.Bag))
	}
	return err
}

// Tips are the tip of the book's branch and the ones given, without those that others have in their past.
func Tips(dir string, more ...string) ([]string, error) {
	store, err := trace.OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	tip, _, err := store.Head()
	if err != nil {
		return nil, err
	}
	list := []string{tip.String()}
	past, err := graph.New(store).Past(nil, tip)
	if err != nil {
		return nil, err
	}
	for _, m := range more {
		if !past[plumbing.NewHash(m)] && !slices.Contains(list, m) {
			list = append(list, m)
		}
	}
	return list, nil
}
