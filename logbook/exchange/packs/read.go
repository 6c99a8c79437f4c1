package packs

import (
	"bufio"
	"bytes"
	"compress/flate"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/idxfile"
)

// A Pack is a pack that was read whole and found sound: every object is there, its id reckoned from its bytes. Its file
// stands alone: what it was a difference to has been added.
type Pack struct {
	// Size is how many bytes came, Count how many objects, before anything was added.
	Size  int64
	Count int
	// Sum is the checksum of the file, which names it.
	Sum plumbing.Hash

	file    File
	objects []object
	byID    map[plumbing.Hash]int
	cache   cache
	work    int64
}

// A File is where a pack is kept while it is read, and after that.
type File interface {
	io.ReadWriteSeeker
	io.ReaderAt
	Truncate(size int64) error
}

// object is one entry of the pack file.
type object struct {
	start, body int64 // where the entry, and its compressed bytes, begin
	crc         uint32
	size        int64 // of the bytes that come out, a delta's for a delta
	kind        plumbing.ObjectType
	base        int           // of a delta: index of the object it is a difference to, -1 while unknown
	baseID      plumbing.Hash // of a delta by name
	id          plumbing.Hash
	whole       plumbing.ObjectType // the kind that comes out
}

// Read reads a pack from a stream into file, which must be empty, and checks it: form, lengths, checksum, and every
// object's bytes against the id by which it is asked for. Objects that deltas refer to and that the pack does not hold
// are taken from outside. The error is a *FormError when the bytes are at fault; io.ErrUnexpectedEOF can be asked for
// when they end too soon.
func Read(r io.Reader, file File, outside Source) (*Pack, error) {
	p := &Pack{file: file, byID: map[plumbing.Hash]int{}}
	t := &tap{in: bufio.NewReaderSize(r, 64<<10), out: bufio.NewWriterSize(file, 64<<10), sum: sha1.New()}
	if err := p.entries(t); err != nil {
		return nil, cut(err)
	}
	if err := t.out.Flush(); err != nil {
		return nil, err
	}
	p.Size, p.Count = t.at, len(p.objects)
	if err := p.resolve(outside); err != nil {
		return nil, err
	}
	return p, nil
}

// cut says of a stream that ended in the middle that it did.
func cut(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return fmt.Errorf("%w: %w", refuse("it is cut short"), io.ErrUnexpectedEOF)
	}
	return err
}

// entries goes through the stream once.
func (p *Pack) entries(t *tap) error {
	var head [12]byte
	if _, err := io.ReadFull(t, head[:]); err != nil {
		return err
	}
	count := binary.BigEndian.Uint32(head[8:])
	switch {
	case string(head[:4]) != "PACK":
		return refuse("it does not begin with PACK")
	case binary.BigEndian.Uint32(head[4:]) != 2:
		return refuse("version %d, version 2 is read", binary.BigEndian.Uint32(head[4:]))
	case count > maxObjects:
		return refuse("it claims to hold %d objects, at most %d are taken", count, maxObjects)
	}
	var unzip io.ReadCloser
	at := map[int64]int{}
	for n := range count {
		o := object{start: t.at, base: -1}
		t.crc = crc32.NewIEEE()
		if err := t.header(&o, at); err != nil {
			return err
		}
		o.body = t.at
		if p.work += o.size; p.work > maxWork(t.at) {
			return refuse("it unpacks to more than %d MiB", maxWork(t.at)>>20)
		}
		var err error
		if unzip == nil {
			unzip, err = zlib.NewReader(t)
		} else {
			err = unzip.(zlib.Resetter).Reset(t, nil)
		}
		if err != nil {
			return badZip(fmt.Sprint("object ", n), err)
		}
		if err := p.whole(&o, unzip, n); err != nil {
			return err
		}
		o.crc = t.crc.Sum32()
		t.crc = nil
		at[o.start] = len(p.objects)
		if o.whole != plumbing.InvalidObject {
			p.byID[o.id] = len(p.objects)
		}
		p.objects = append(p.objects, o)
	}
	sum := t.sum.Sum(nil)
	var trailer [sha1.Size]byte
	if _, err := io.ReadFull(t, trailer[:]); err != nil {
		return err
	}
	if !bytes.Equal(sum, trailer[:]) {
		return refuse("its checksum does not fit")
	}
	p.Sum = plumbing.Hash(trailer)
	if _, err := t.in.ReadByte(); err == nil {
		return refuse("there are bytes behind its end")
	} else if !errors.Is(err, io.EOF) {
		return err
	}
	return nil
}

// whole reads one entry's bytes, exactly as many as were announced, and names the object when it is no delta.
func (p *Pack) whole(o *object, unzip io.Reader, n uint32) error {
	if o.kind == plumbing.OFSDeltaObject || o.kind == plumbing.REFDeltaObject {
		got, err := io.Copy(io.Discard, io.LimitReader(unzip, o.size+1))
		if err != nil {
			return badZip(fmt.Sprint("object ", n), err)
		}
		if got != o.size {
			return refuse("object %d is not as long as it says", n)
		}
		return nil
	}
	var err error
	if o.id, err = idOf(o.kind, unzip, o.size); err != nil {
		return badZip(fmt.Sprint("object ", n), err)
	}
	o.whole = o.kind
	return nil
}

// badZip tells bytes that cannot be unpacked from a stream that ended, and from a disk that does not take or give them.
func badZip(what string, err error) error {
	var corrupt flate.CorruptInputError
	if errors.As(err, &corrupt) || errors.Is(err, zlib.ErrChecksum) || errors.Is(err, zlib.ErrHeader) ||
		errors.Is(err, zlib.ErrDictionary) {
		return refuse("%s cannot be unpacked: %v", what, err)
	}
	return err
}

// tap hands out a stream byte by byte and keeps what was taken: in the file, the checksum, and the entry's own.
type tap struct {
	in  *bufio.Reader
	out *bufio.Writer
	sum hash.Hash
	crc hash.Hash32
	at  int64
	one [1]byte
}

func (t *tap) taken(b []byte) error {
	t.at += int64(len(b))
	t.sum.Write(b)
	if t.crc != nil {
		t.crc.Write(b)
	}
	_, err := t.out.Write(b)
	return err
}

func (t *tap) Read(b []byte) (int, error) {
	n, err := t.in.Read(b)
	if n > 0 {
		if failed := t.taken(b[:n]); failed != nil {
			return n, failed
		}
	}
	return n, err
}

func (t *tap) ReadByte() (byte, error) {
	c, err := t.in.ReadByte()
	if err != nil {
		return 0, err
	}
	t.one[0] = c
	return c, t.taken(t.one[:])
}

// header reads what stands before an entry's compressed bytes: kind, length and, of a delta, what it is a difference
// to.
func (t *tap) header(o *object, at map[int64]int) error {
	c, err := t.ReadByte()
	if err != nil {
		return err
	}
	o.kind, o.size = plumbing.ObjectType(c>>4&7), int64(c&15)
	for shift := 4; c&0x80 != 0; shift += 7 {
		if c, err = t.ReadByte(); err != nil {
			return err
		}
		if shift > 32 {
			return refuse("the length of an object has too many digits")
		}
		o.size |= int64(c&0x7f) << shift
	}
	if o.size > maxObject {
		return refuse("an object of %d bytes, at most %d MiB are taken", o.size, maxObject>>20)
	}
	switch o.kind {
	case plumbing.CommitObject, plumbing.TreeObject, plumbing.BlobObject, plumbing.TagObject:
	case plumbing.REFDeltaObject:
		_, err = io.ReadFull(t, o.baseID[:])
	case plumbing.OFSDeltaObject:
		var back int64
		if back, err = t.offset(); err != nil {
			return err
		}
		base, ok := at[o.start-back]
		if !ok {
			return refuse("a delta refers to where no object begins")
		}
		o.base = base
	default:
		err = refuse("an object of unknown kind %d", o.kind)
	}
	return err
}

func (t *tap) offset() (int64, error) {
	c, err := t.ReadByte()
	back := int64(c & 0x7f)
	for n := 0; err == nil && c&0x80 != 0; n++ {
		if n > 6 {
			return 0, refuse("a delta refers too far back")
		}
		c, err = t.ReadByte()
		back = (back+1)<<7 | int64(c&0x7f)
	}
	return back, err
}

// resolve works out every delta and names what comes out. Deltas by name may wait for one another; what no object of
// the pack can be is asked for outside, and added to the file.
func (p *Pack) resolve(outside Source) error {
	var waiting []int
	for i := range p.objects {
		if p.objects[i].whole == plumbing.InvalidObject {
			waiting = append(waiting, i)
		}
	}
	for len(waiting) > 0 {
		var still []int
		for _, i := range waiting {
			o := &p.objects[i]
			if o.kind == plumbing.REFDeltaObject && o.base < 0 {
				if base, ok := p.byID[o.baseID]; ok {
					o.base = base
				}
			}
			if o.base < 0 || p.objects[o.base].whole == plumbing.InvalidObject {
				still = append(still, i)
				continue
			}
			out, err := p.unpack(i)
			if err != nil {
				return err
			}
			if p.work += int64(len(out.Raw)); p.work > maxWork(p.Size) {
				return refuse("its deltas unpack to more than %d MiB", maxWork(p.Size)>>20)
			}
			id, err := ID(out)
			if err != nil {
				return err
			}
			o.id, o.whole = id, out.Kind
			p.byID[id] = i
		}
		if len(still) == len(waiting) {
			added, err := p.complete(still, outside)
			if err != nil {
				return err
			}
			if !added {
				return refuse("%d deltas refer to objects that are nowhere, the first to %s", len(still),
					p.objects[still[0]].baseID)
			}
		}
		waiting = still
	}
	return p.seal()
}

// complete takes in from outside what waiting deltas refer to.
func (p *Pack) complete(waiting []int, outside Source) (added bool, err error) {
	end, err := p.file.Seek(-sha1.Size, io.SeekEnd)
	if err != nil {
		return false, err
	}
	for _, i := range waiting {
		o := &p.objects[i]
		if _, there := p.byID[o.baseID]; there || o.kind != plumbing.REFDeltaObject {
			continue
		}
		base, err := outside(o.baseID)
		if errors.Is(err, plumbing.ErrObjectNotFound) {
			continue // another one may bring it
		} else if err != nil {
			return false, err
		}
		entry, err := encode(base.Kind, base.Raw)
		if err != nil {
			return false, err
		}
		if err := p.writeAt(entry, end); err != nil {
			return false, err
		}
		n := object{start: end, kind: base.Kind, whole: base.Kind, size: int64(len(base.Raw)), id: o.baseID, base: -1,
			crc: crc32.ChecksumIEEE(entry)}
		n.body = end + int64(headerLength(entry))
		p.byID[n.id] = len(p.objects)
		p.objects = append(p.objects, n)
		end += int64(len(entry))
		added = true
	}
	return added, p.file.Truncate(end + sha1.Size)
}

// seal writes count and checksum anew when objects were added.
func (p *Pack) seal() error {
	size, err := p.file.Seek(0, io.SeekEnd)
	if err != nil || size == p.Size {
		return err
	}
	var count [4]byte
	binary.BigEndian.PutUint32(count[:], uint32(len(p.objects)))
	if err := p.writeAt(count[:], 8); err != nil {
		return err
	}
	sum := sha1.New()
	if _, err := io.Copy(sum, io.NewSectionReader(p.file, 0, size-sha1.Size)); err != nil {
		return err
	}
	p.Sum = plumbing.Hash(sum.Sum(nil))
	return p.writeAt(p.Sum[:], size-sha1.Size)
}

func (p *Pack) writeAt(text []byte, at int64) error {
	if _, err := p.file.Seek(at, io.SeekStart); err != nil {
		return err
	}
	_, err := p.file.Write(text)
	return err
}

// Index is the file that git keeps beside the pack.
func (p *Pack) Index() ([]byte, error) {
	var w idxfile.Writer
	for i := range p.objects {
		w.Add(p.objects[i].id, uint64(p.objects[i].start), p.objects[i].crc)
	}
	if err := w.OnFooter(p.Sum); err != nil {
		return nil, err
	}
	idx, err := w.Index()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	_, err = idxfile.NewEncoder(&out).Encode(idx)
	return out.Bytes(), err
}

// Len is the number of objects.
func (p *Pack) Len() int { return len(p.objects) }

// Has reports whether the pack holds an object.
func (p *Pack) Has(id plumbing.Hash) bool { _, ok := p.byID[id]; return ok }

// Object unpacks one object. The error says that the pack does not hold it, or that the file cannot be read.
func (p *Pack) Object(id plumbing.Hash) (Object, error) {
	i, ok := p.byID[id]
	if !ok {
		return Object{}, fmt.Errorf("object %s is not in the pack", id)
	}
	return p.unpack(i)
}

// Kind is the kind of an object that the pack holds.
func (p *Pack) Kind(id plumbing.Hash) plumbing.ObjectType { return p.objects[p.byID[id]].whole }

// Each calls f for every object but texts, in the order of the file.
func (p *Pack) Each(f func(plumbing.Hash, Object) error) error {
	for i := range p.objects {
		if p.objects[i].whole == plumbing.BlobObject {
			continue
		}
		o, err := p.unpack(i)
		if err == nil {
			err = f(p.objects[i].id, o)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// unpack brings out one object, deltas applied from the bottom up.
func (p *Pack) unpack(i int) (Object, error) {
	if o, ok := p.cache.get(i); ok {
		return o, nil
	}
	chain := []int{i}
	var out Object
	for {
		o := &p.objects[chain[len(chain)-1]]
		if o.base < 0 {
			break
		}
		if known, ok := p.cache.get(o.base); ok {
			out = known
			break
		}
		if len(chain) > maxDepth {
			return Object{}, refuse("more than %d deltas upon one another", maxDepth)
		}
		chain = append(chain, o.base)
	}
	for n := len(chain) - 1; n >= 0; n-- {
		o := &p.objects[chain[n]]
		raw, err := p.stored(o)
		if err != nil {
			return Object{}, err
		}
		if o.base < 0 {
			out = Object{o.kind, raw}
		} else {
			if out.Raw, err = patch(out.Raw, raw); err != nil {
				return Object{}, err
			}
		}
		p.cache.put(chain[n], out)
	}
	return out, nil
}

func (p *Pack) stored(o *object) ([]byte, error) {
	unzip, err := zlib.NewReader(bufio.NewReader(io.NewSectionReader(p.file, o.body, 1<<62)))
	if err != nil {
		return nil, badZip("an object", err)
	}
	raw := make([]byte, o.size) // as long as it was found to be when it came
	if _, err := io.ReadFull(unzip, raw); err != nil {
		return nil, badZip("an object", err)
	}
	return raw, nil
}

// cache keeps what was unpacked last, in two steps, so that it needs no order.
type cache struct {
	young, old map[int]Object
	size       int
}

func (c *cache) get(i int) (Object, bool) {
	o, ok := c.young[i]
	if !ok {
		if o, ok = c.old[i]; ok {
			c.put(i, o)
		}
	}
	return o, ok
}

func (c *cache) put(i int, o Object) {
	if c.young == nil || c.size+len(o.Raw) > cacheSize/2 {
		c.young, c.old, c.size = map[int]Object{}, c.young, 0
	}
	if len(o.Raw) > cacheSize/2 {
		c.old = nil
	}
	c.young[i] = o
	c.size += len(o.Raw)
}
