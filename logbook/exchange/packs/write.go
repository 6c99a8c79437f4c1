package packs

import (
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"io"
	"path"
	"sync"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/packfile"
)

// An Item is one object to be sent.
type Item struct {
	ID   plumbing.Hash
	Kind plumbing.ObjectType
	// Path is where a tree or a text stands in the book: its like is looked for there first. Empty for a commit.
	Path string
	// Near are objects that the other side holds and that this one may be much alike.
	Near []plumbing.Hash
}

// Write writes a pack of the items, in their order, each whole or as a difference to one that stands before it or that
// the other side holds, whichever is shorter. Level is that of zlib; 0 packs nothing, for a stream that is packed as a
// whole afterwards. The same items give the same bytes with the same version of Go. It returns how many bytes were
// written.
func Write(w io.Writer, items []Item, get Source, level int) (int64, error) {
	p := &writer{out: w, sum: sha1.New(), get: get, level: level, recent: map[string][]*written{}}
	p.tries = 6
	if len(items) > 20_000 { // a whole book: the minutes are worth more than the last tenth
		p.tries = 2
	}
	head := binary.BigEndian.AppendUint32([]byte("PACK\x00\x00\x00\x02"), uint32(len(items)))
	if err := p.write(head); err != nil {
		return p.at, err
	}
	for i := range items {
		if err := p.item(&items[i]); err != nil {
			return p.at, err
		}
	}
	sum := p.sum.Sum(nil)
	err := p.write(sum)
	return p.at, err
}

// largeText is where texts end and pictures begin.
const largeText = 1 << 20

// deepest is how many differences may stand upon one another: reading the last one means reading them all.
const deepest = 50

type writer struct {
	out io.Writer
	sum interface {
		io.Writer
		Sum([]byte) []byte
	}
	get    Source
	level  int
	tries  int
	at     int64
	recent map[string][]*written // what was written last, by path, by folder and by kind
}

// written is an object that later ones may be a difference to.
type written struct {
	id    plumbing.Hash
	raw   []byte
	at    int64 // in the pack; 0 for an object of the other side
	depth int
}

func (p *writer) write(b []byte) error {
	n, err := p.out.Write(b)
	p.at += int64(n)
	p.sum.Write(b[:n])
	return err
}

func (p *writer) item(it *Item) error {
	o, err := p.get(it.ID)
	if err != nil {
		return err
	}
	here := &written{id: it.ID, raw: o.Raw, at: p.at}
	if len(o.Raw) > largeText {
		here.raw = nil
	}
	var base *written
	var delta []byte
	candidates := p.candidates(it)
	if len(o.Raw) > largeText { // a photo is a difference to nothing
		candidates = nil
	}
	for n, c := range candidates {
		// A difference that is no shorter than the best one so far, or half the text, is not worth its header.
		if d := packfile.DiffDelta(c.raw, o.Raw); len(d) < len(o.Raw)*3/4 && (base == nil || len(d) < len(delta)) {
			base, delta = c, d
		}
		if base != nil && (short(delta, o.Raw) || n >= enough(o.Kind)) {
			break
		}
	}
	var entry []byte
	if base == nil || !short(delta, o.Raw) {
		if entry, err = encodeAt(o.Kind, o.Raw, nil, p.level); err != nil {
			return err
		}
	}
	if base != nil {
		kind, to := plumbing.REFDeltaObject, base.id[:]
		if base.at > 0 {
			kind, to = plumbing.OFSDeltaObject, offset(p.at-base.at)
		}
		as, err := encodeAt(kind, delta, to, p.level)
		if err != nil {
			return err
		}
		if entry == nil || len(as) < len(entry) {
			entry, here.depth = as, base.depth+1
		}
	}
	for _, k := range places(it) {
		p.recent[k] = append(p.recent[k], here)
		if n := len(p.recent[k]); n > p.tries {
			p.recent[k] = p.recent[k][n-p.tries:]
		}
	}
	return p.write(entry)
}

// short says that a difference is so short that neither another one nor the text itself, packed, would be much shorter.
func short(delta, text []byte) bool { return len(delta) <= len(text)/8 }

// enough is how many differences are tried after the first where one was found: of a folder the text before is the one
// that is like it; the rest of a text's neighbours save a hundredth of the bytes for a third of the time.
func enough(kind plumbing.ObjectType) int {
	if kind == plumbing.TreeObject {
		return 1
	}
	return 8
}

// places are where an object's like is looked for, the nearest first.
func places(it *Item) []string {
	kind := it.Kind.String()
	if it.Path == "" {
		return []string{kind}
	}
	return []string{kind + "/" + it.Path, kind + " in " + path.Dir(it.Path), kind}
}

// candidates are the objects that one may be a difference to.
func (p *writer) candidates(it *Item) []*written {
	var list []*written
	seen := map[plumbing.Hash]bool{it.ID: true}
	for _, k := range places(it) {
		last := p.recent[k]
		for i := len(last) - 1; i >= 0; i-- {
			if c := last[i]; !seen[c.id] && c.depth < deepest {
				seen[c.id] = true
				list = append(list, c)
			}
		}
	}
	for _, id := range it.Near {
		if seen[id] {
			continue
		}
		seen[id] = true
		if o, err := p.get(id); err == nil && o.Kind == it.Kind {
			list = append(list, &written{id: id, raw: o.Raw})
		}
	}
	return list
}

// encode is one object as an entry of a pack.
func encode(kind plumbing.ObjectType, raw []byte) ([]byte, error) {
	return encodeAt(kind, raw, nil, zlib.DefaultCompression)
}

func encodeAt(kind plumbing.ObjectType, raw, base []byte, level int) ([]byte, error) {
	var b bytes.Buffer
	size := len(raw)
	first := byte(kind)<<4 | byte(size&0x0f)
	for size >>= 4; size > 0; size >>= 7 {
		b.WriteByte(first | 0x80)
		first = byte(size & 0x7f)
	}
	b.WriteByte(first)
	b.Write(base)
	err := zip(&b, raw, level)
	return b.Bytes(), err
}

// zippers are the ones that are free again, by their level: a new one takes a megabyte, a text a few hundred bytes.
var zippers [zlib.BestCompression - zlib.HuffmanOnly + 1]sync.Pool

func zip(out *bytes.Buffer, raw []byte, level int) (err error) {
	free := &zippers[level-zlib.HuffmanOnly]
	z, is := free.Get().(*zlib.Writer)
	if is {
		z.Reset(out)
	} else if z, err = zlib.NewWriterLevel(out, level); err != nil {
		return err
	}
	defer free.Put(z)
	if _, err := z.Write(raw); err != nil {
		return err
	}
	return z.Close()
}

// headerLength is the length of what stands before the compressed bytes of an entry that is no delta.
func headerLength(entry []byte) int {
	n := 1
	for entry[n-1]&0x80 != 0 {
		n++
	}
	return n
}

// offset is how far back a base lies, as a pack holds it.
func offset(n int64) []byte {
	b := []byte{byte(n & 0x7f)}
	for n >>= 7; n > 0; n >>= 7 {
		n--
		b = append([]byte{byte(n&0x7f) | 0x80}, b...)
	}
	return b
}
