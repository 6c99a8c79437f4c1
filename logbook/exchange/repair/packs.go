package repair

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"path"

	"github.com/go-git/go-billy/v5/util"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/durable"
	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/exchange/transfer"
	"needlebook/logbook/trace"
)

// halves finds packs without an index, and indexes without a pack: nobody reads either of them.
func (m *mender) halves() error {
	top := path.Join(m.git, "objects/pack")
	files, err := m.list(top)
	if err != nil {
		return err
	}
	whole := map[string]bool{}
	for _, f := range trace.WholePacks(files) {
		whole[f.Name()] = true
	}
	for _, f := range files {
		p := path.Join(top, f.Name())
		ext := path.Ext(p)
		if whole[f.Name()] || ext != ".pack" && ext != ".idx" {
			continue
		}
		sound := false
		if ext == ".pack" {
			if sound, err = m.sound(p); err != nil {
				return err
			}
		}
		switch {
		case ext == ".idx":
			m.say(p, "the index of a pack that is missing: its removal was cut short", "take it away",
				func() error { return m.disk.Remove(p) })
		case sound:
			m.say(p, "a pack without its index: an intake was cut short", "write the index", func() error { return m.finish(p) })
		default:
			m.say(p, "a pack that is cut short, without an index; nothing refers to it", "take it away",
				func() error { return m.disk.Remove(p) })
		}
	}
	return nil
}

// sound reads a pack whole and says whether it is; nothing is kept. An error says nothing of the pack: no room to read
// it, or a disk that does not give it.
func (m *mender) sound(p string) (bool, error) {
	dir, err := os.MkdirTemp("", "needlebook-")
	if err != nil {
		return false, err
	}
	defer os.RemoveAll(dir)
	_, err = m.readPack(p, durable.New(dir), "pack")
	var form *packs.FormError
	if errors.As(err, &form) {
		return false, nil
	}
	return err == nil, err
}

// readPack reads a pack by itself and writes it to a new file.
func (m *mender) readPack(p string, disk durable.Disk, name string) (*packs.Pack, error) {
	in, err := m.disk.Open(p)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	out, err := disk.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o444)
	if err != nil {
		return nil, err
	}
	nowhere := func(plumbing.Hash) (packs.Object, error) { return packs.Object{}, plumbing.ErrObjectNotFound }
	pack, err := packs.Read(bufio.NewReader(in), out, nowhere)
	if err = errors.Join(err, out.Close()); err == nil && path.Base(p) != "pack-"+pack.Sum.String()+".pack" {
		err = &packs.FormError{Why: fmt.Sprintf("%q is not named after what it holds", p)}
	}
	return pack, err
}

// finish gives a pack its index.
func (m *mender) finish(p string) error {
	r, err := exchange.OpenRepository(m.dir, m.on)
	if err != nil {
		return err
	}
	aside, err := transfer.AsideFolder(r)
	if err != nil {
		return err
	}
	defer transfer.RemoveAside(r, aside)
	pack, err := m.readPack(p, r.Common, path.Join(aside, "pack"))
	if err != nil {
		return err
	}
	index, err := pack.Index()
	if err != nil {
		return err
	}
	return transfer.PutPack(r.Common, aside, pack.Sum, index)
}

// coming finds what an intake left that was killed: the next one clears it away, and so does mend.
func (m *mender) coming() error {
	top := path.Join(m.git, transfer.AsideTop)
	left, err := m.list(top)
	if err != nil {
		return err
	}
	for _, e := range left {
		p := path.Join(top, e.Name())
		if pid, ok := transfer.ComingOf(e.Name()); ok && !durable.Alive(pid) {
			m.say(p, "what was coming when an intake was cut short; nothing refers to it", "take it away",
				func() error { return util.RemoveAll(m.disk, p) })
		}
	}
	return nil
}

// damaged names the copies of objects that are not what they are called by, while a pack holds the same object whole.
func (m *mender) damaged() error {
	store, err := m.store()
	if err != nil {
		return err
	}
	defer store.Close()
	all, err := store.DamagedCopies()
	for _, d := range all {
		if d.Unread {
			continue
		}
		p := path.Join(m.git, d.Path)
		m.say(p, "a damaged copy of an object that a pack holds whole: it "+d.Why, "take the damaged copy away",
			func() error { return m.disk.Remove(p) })
	}
	return err
}
