package exchange

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"

	"github.com/go-git/go-billy/v5/util"
	"github.com/go-git/go-git/v5/plumbing"

	"needlebook/logbook/exchange/packs"
	"needlebook/logbook/trace"
)

// errElsewhere says of an object that it is not looked for outside its pack.
var errElsewhere = errors.New("the pack does not hold it")

// halves finds packs without an index, and indexes without a pack: nobody reads either of them.
func (m *mender) halves() error {
	top := path.Join(m.git, "objects/pack")
	files, err := os.ReadDir(filepath.Join(m.dir, filepath.FromSlash(top)))
	if err != nil {
		return nil // a repository without packs, or none
	}
	whole := map[string]bool{}
	for _, f := range trace.WholePacks(files) {
		whole[f.Name()] = true
	}
	for _, f := range files {
		p := path.Join(top, f.Name())
		switch ext := path.Ext(p); {
		case whole[f.Name()] || ext != ".pack" && ext != ".idx":
		case ext == ".idx":
			m.say(p, "the index of a pack that is missing: its removal was cut short", "take it away", func() error { return m.disk.Remove(p) })
		case m.sound(p) == nil:
			m.say(p, "a pack without its index: an intake was cut short", "write the index", func() error { return m.finish(p) })
		default:
			m.say(p, "a pack that is cut short, without an index; nothing refers to it", "take it away",
				func() error { return m.disk.Remove(p) })
		}
	}
	return nil
}

// sound reads a pack whole, and says by an error that it is not; nothing is kept.
func (m *mender) sound(p string) error {
	dir, err := os.MkdirTemp("", "needlebook-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	_, err = m.readPack(p, newDurable(dir), "pack")
	return err
}

// readPack reads a pack by itself and writes it to a new file.
func (m *mender) readPack(p string, disk durable, name string) (*packs.Pack, error) {
	in, err := m.disk.Open(p)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	out, err := disk.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o444)
	if err != nil {
		return nil, err
	}
	nowhere := func(plumbing.Hash) (packs.Object, error) { return packs.Object{}, errElsewhere }
	pack, err := packs.Read(bufio.NewReader(in), out, nowhere)
	if err = errors.Join(err, out.Close()); err == nil && path.Base(p) != "pack-"+pack.Sum.String()+".pack" {
		err = fmt.Errorf("%q is not named after what it holds", p)
	}
	return pack, err
}

// finish gives a pack its index.
func (m *mender) finish(p string) error {
	r := &repository{dir: m.dir, common: newDurable(filepath.Join(m.dir, filepath.FromSlash(m.git)))}
	aside, err := r.asideFolder()
	if err != nil {
		return err
	}
	defer r.removeAside(aside)
	pack, err := m.readPack(p, r.common, path.Join(aside, "pack"))
	if err != nil {
		return err
	}
	index, err := pack.Index()
	if err != nil {
		return err
	}
	return putPack(r.common, aside, pack.Sum, index)
}

// coming finds what an intake left that was killed: the next one clears it away, and so does mend.
func (m *mender) coming() {
	top := path.Join(m.git, asideTop)
	left, _ := os.ReadDir(filepath.Join(m.dir, filepath.FromSlash(top)))
	for _, e := range left {
		p := path.Join(top, e.Name())
		if pid, ok := comingOf(e.Name()); ok && !alive(pid) {
			m.say(p, "what was coming when an intake was cut short; nothing refers to it", "take it away",
				func() error { return util.RemoveAll(m.disk, p) })
		}
	}
}

// damaged names the copies of objects that are not what they are called by, while a pack holds the same object whole.
func (m *mender) damaged() error {
	all, err := trace.DamagedCopies(m.dir)
	for _, d := range all {
		p := path.Join(m.git, d.Path)
		m.say(p, "a damaged copy of an object that a pack holds whole: it "+d.Why, "take the damaged copy away",
			func() error { return m.disk.Remove(p) })
	}
	return err
}
