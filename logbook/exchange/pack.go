package exchange

import (
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"fmt"
	"hash/crc32"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/idxfile"

	"needlebook/logbook/trace"
)

// pack gathers the objects of a bulk build into one pack file (git's Documentation/gitformat-pack).
// Objects are stored whole: small books stay small, and git repack finds the deltas of large ones.
type pack struct {
	file  bytes.Buffer
	index idxfile.Writer
	zip   *zlib.Writer
	// texts keeps what was put in, for the trees of later commits and for the folder.
	texts map[plumbing.Hash][]byte
}

func newPack() *pack {
	p := &pack{texts: map[plumbing.Hash][]byte{}}
	p.file.Write([]byte("PACK\x00\x00\x00\x02\x00\x00\x00\x00")) // the count comes last
	p.zip = zlib.NewWriter(&p.file)
	return p
}

func (p *pack) Entries(tree plumbing.Hash) ([]trace.Entry, error) {
	return trace.ParseTree(p.texts[tree])
}

func (p *pack) Put(kind plumbing.ObjectType, raw []byte) (plumbing.Hash, error) {
	h := plumbing.ComputeHash(kind, raw)
	if _, ok := p.texts[h]; ok {
		return h, nil
	}
	p.texts[h] = raw
	start := p.file.Len()
	size := len(raw)
	first := byte(kind)<<4 | byte(size&0x0f)
	for size >>= 4; size > 0; size >>= 7 {
		p.file.WriteByte(first | 0x80)
		first = byte(size & 0x7f)
	}
	p.file.WriteByte(first)
	p.zip.Reset(&p.file)
	if _, err := p.zip.Write(raw); err != nil {
		return h, err
	}
	if err := p.zip.Close(); err != nil {
		return h, err
	}
	p.index.Add(h, uint64(start), crc32.ChecksumIEEE(p.file.Bytes()[start:]))
	return h, nil
}

// finish returns the pack, its index, and the name both go by.
func (p *pack) finish() (file, index []byte, name string, err error) {
	file = p.file.Bytes()
	binary.BigEndian.PutUint32(file[8:], uint32(len(p.texts)))
	sum := sha1.Sum(file)
	file = append(file, sum[:]...)
	if err := p.index.OnFooter(sum); err != nil {
		return nil, nil, "", err
	}
	idx, err := p.index.Index()
	if err != nil {
		return nil, nil, "", err
	}
	var out bytes.Buffer
	_, err = idxfile.NewEncoder(&out).Encode(idx)
	return file, out.Bytes(), fmt.Sprintf("pack-%x", sum), err
}
