package trace_test

import (
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/idxfile"
	"github.com/pjbgf/sha1cd"

	"needlebook/logbook/trace"
)

// packed is one entry of a pack as it is written: kind 1 to 4 whole, 6 and 7 a delta on a base.
type packed struct {
	kind int
	size int    // as the entry claims it
	base []byte // between header and text: an offset, or an id
	text []byte
}

// packAnew puts all objects of a book into one pack, some with other bytes under their old id, some as
// entries that no honest program writes.
func packAnew(t *testing.T, dir string, swapped map[string][]byte, odd map[string]packed) {
	t.Helper()
	type one struct {
		id plumbing.Hash
		packed
	}
	var all []one
	s := storage(dir)
	iter, err := s.IterEncodedObjects(plumbing.AnyObject)
	if err != nil {
		t.Fatal(err)
	}
	iter.ForEach(func(o plumbing.EncodedObject) error {
		r, _ := o.Reader()
		raw, _ := io.ReadAll(r)
		hex := o.Hash().String()
		if other, ok := swapped[hex]; ok {
			raw = other
		}
		p := packed{int(o.Type()), len(raw), nil, raw}
		if other, ok := odd[hex]; ok {
			p = other
		}
		all = append(all, one{o.Hash(), p})
		return nil
	})
	s.Close()
	var file bytes.Buffer
	file.WriteString("PACK\x00\x00\x00\x02")
	binary.Write(&file, binary.BigEndian, uint32(len(all)))
	var idx idxfile.Writer
	for _, o := range all {
		start := file.Len()
		b, rest := byte(o.kind<<4|o.size&0x0f), o.size>>4
		for ; rest > 0; rest >>= 7 {
			file.WriteByte(b | 0x80)
			b = byte(rest & 0x7f)
		}
		file.WriteByte(b)
		file.Write(o.base)
		z := zlib.NewWriter(&file)
		z.Write(o.text)
		z.Close()
		idx.Add(o.id, uint64(start), crc32.ChecksumIEEE(file.Bytes()[start:]))
	}
	sum := sha1.Sum(file.Bytes())
	file.Write(sum[:])
	idx.OnFooter(sum)
	index, err := idx.Index()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	idxfile.NewEncoder(&out).Encode(index)
	os.RemoveAll(filepath.Join(dir, ".git/objects"))
	write(t, dir, fmt.Sprintf(".git/objects/pack/pack-%x.pack", sum), file.String())
	write(t, dir, fmt.Sprintf(".git/objects/pack/pack-%x.idx", sum), out.String())
}

// the one file of a book's packs with this ending.
func packFile(t *testing.T, dir, ending string) string {
	t.Helper()
	all, _ := filepath.Glob(filepath.Join(dir, ".git/objects/pack/*"+ending))
	if len(all) != 1 {
		t.Fatalf("%d files *%s", len(all), ending)
	}
	os.Chmod(all[0], 0o600)
	return all[0]
}

// patch changes a file's bytes in place.
func patch(t *testing.T, file string, f func([]byte) []byte) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, f(raw), 0o600); err != nil {
		t.Fatal(err)
	}
}

// Whatever a pack or its index claims: an error in bounded time and memory, or exactly the bytes that the
// ids name.
func TestHostilePacks(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, dir string, ids []string)
		want  string // of the error; empty where the bytes are still those of their ids
	}{
		{"E09 a pack whose own sum is wrong", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".pack"), func(b []byte) []byte { b[len(b)-1]++; return b })
		}, ""}, // git's fsck says so; every object still hashes to its id
		{"E07 a size that is not the size", func(t *testing.T, dir string, ids []string) {
			loose(t, dir)
			_, raw := object(t, dir, ids[0])
			swapHeader(t, dir, ids[0], fmt.Sprintf("commit %d", len(raw)-1), raw)
		}, ""}, // only the bytes count, and they are those of the id
		{"E07 a size that is not the size, packed", func(t *testing.T, dir string, ids []string) {
			_, raw := object(t, dir, ids[0])
			packAnew(t, dir, nil, map[string]packed{ids[0]: {1, len(raw) + 9, nil, raw}})
		}, ""},
		{"E10 an index of noughts", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".idx"), func(b []byte) []byte { clear(b[8:]); return b })
		}, "broken"},
		{"E10 an index cut short", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".idx"), func(b []byte) []byte { return b[:len(b)/2] })
		}, "broken"},
		{"E10 an index that points elsewhere", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".idx"), func(b []byte) []byte {
				n := int(binary.BigEndian.Uint32(b[8+255*4:]))
				at := b[8+256*4+n*24:][:4*n]
				first := bytes.Clone(at[:4])
				copy(at, at[4:]) // every object where the next one lies
				copy(at[4*n-4:], first)
				return b
			})
		}, "broken"},
		{"E11 an index of version 4", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".idx"), func(b []byte) []byte { b[7] = 4; return b })
		}, "broken"},
		{"E11 an index of four thousand million objects", func(t *testing.T, dir string, ids []string) {
			patch(t, packFile(t, dir, ".idx"), func(b []byte) []byte {
				for i := range 256 {
					binary.BigEndian.PutUint32(b[8+4*i:], 0xffffffff)
				}
				return b
			})
		}, "broken"},
		{"E12 a delta that claims a terabyte", func(t *testing.T, dir string, ids []string) {
			delta := binary.AppendUvarint(binary.AppendUvarint(nil, 4), 1<<40) // on four bytes, a terabyte
			for range 1000 {
				delta = append(delta, 0x91, 0, 4) // copy four bytes
			}
			_, tree := object(t, dir, ids[1])
			packAnew(t, dir, nil, map[string]packed{ids[1]: {7, len(delta), hexBytes(string(tree[5:45])), delta}})
		}, "broken"},
		{"E12 a delta on a delta on a delta, each a thousand times as large", func(t *testing.T, dir string, ids []string) {
			packAnew(t, dir, nil, map[string]packed{ids[1]: {7, 1 << 30, hexBytes(ids[0]), []byte{0xff, 0xff, 0x7f}}})
		}, "broken"},
		{"E13 a delta on itself", func(t *testing.T, dir string, ids []string) {
			packAnew(t, dir, nil, map[string]packed{ids[1]: {7, 3, hexBytes(ids[1]), []byte{4, 4, 0x90}}})
		}, "broken"},
		{"E13 two deltas, each on the other", func(t *testing.T, dir string, ids []string) {
			packAnew(t, dir, nil, map[string]packed{ids[1]: {7, 3, hexBytes(ids[0]), []byte{4, 4, 0x90}}, ids[0]: {7, 3, hexBytes(ids[1]), []byte{4, 4, 0x90}}})
		}, "broken"},
		{"E13 a delta nought bytes back", func(t *testing.T, dir string, ids []string) {
			packAnew(t, dir, nil, map[string]packed{ids[1]: {6, 3, []byte{0}, []byte{4, 4, 0x90}}})
		}, "broken"},
		{"E14 a text that is missing", func(t *testing.T, dir string, ids []string) {
			loose(t, dir)
			text := plumbing.ComputeHash(plumbing.BlobObject, []byte(overhaul())).String()
			os.Remove(filepath.Join(dir, ".git/objects", text[:2], text[2:]))
		}, "the stored text of " + record + " is broken"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := found(shore, berg, ivanov)
			s.by(ivanov, record, overhaul())
			dir, ids := s.book(t)
			c.spoil(t, dir, ids)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			said := ""
			trail, err := trace.Read(dir, trace.Options{FoundingProof: proof(ids), EveryText: true})
			switch {
			case err != nil:
				said = err.Error()
			case !trail.Proved:
				said = trail.Headline
			}
			runtime.ReadMemStats(&after)
			if used := after.TotalAlloc - before.TotalAlloc; used > 256<<20 || time.Since(start) > 20*time.Second {
				t.Errorf("%d MiB in %v", used>>20, time.Since(start))
			}
			if c.want == "" && said != "" || !strings.Contains(said, c.want) {
				t.Errorf("%q, want %q", said, c.want)
			}
			var broken *trace.BrokenError
			if err != nil && !errors.As(err, &broken) {
				t.Errorf("not told as broken: %v", err)
			}
		})
	}
}

// The first 320 bytes of the two files of Stevens, Bursztein, Karpman, Albertini and Markov, "The first
// collision for full SHA-1" (2017), which have one SHA-1: both bear the marks of the attack.
func TestCollisionIsDetected(t *testing.T) {
	t.Run("E24 the published collision", func(t *testing.T) {
		for i, hex := range []string{shattered1, shattered2} {
			d := sha1cd.New().(sha1cd.CollisionResistantHash)
			d.Write(hexBytes(hex))
			if _, collision := d.CollisionResistantSum(nil); !collision {
				t.Errorf("file %d: nothing detected", i+1)
			}
		}
		if sha1.Sum(hexBytes(shattered1)) != sha1.Sum(hexBytes(shattered2)) || shattered1 == shattered2 {
			t.Error("these are not the two files")
		}
	})
}

const shattered1 = "255044462d312e330a25e2e3cfd30a0a0a312030206f626a0a3c3c2f57696474682032203020522f4865696768742033203020522f547970652034203020522f" +
	"537562747970652035203020522f46696c7465722036203020522f436f6c6f7253706163652037203020522f4c656e6774682038203020522f42697473506572" +
	"436f6d706f6e656e7420383e3e0a73747265616d0affd8fffe00245348412d3120697320646561642121212121852fec092339759c39b1a1c63c4c97e1fffe01" +
	"7346dc9166b67e118f029ab621b2560ff9ca67cca8c7f85ba84c79030c2b3de218f86db3a90901d5df45c14f26fedfb3dc38e96ac22fe7bd728f0e45bce046d2" +
	"3c570feb141398bb552ef5a0a82be331fea48037b8b5d71f0e332edf93ac3500eb4ddc0decc1a864790c782c76215660dd309791d06bd0af3f98cda4bc4629b1"

const shattered2 = "255044462d312e330a25e2e3cfd30a0a0a312030206f626a0a3c3c2f57696474682032203020522f4865696768742033203020522f547970652034203020522f" +
	"537562747970652035203020522f46696c7465722036203020522f436f6c6f7253706163652037203020522f4c656e6774682038203020522f42697473506572" +
	"436f6d706f6e656e7420383e3e0a73747265616d0affd8fffe00245348412d3120697320646561642121212121852fec092339759c39b1a1c63c4c97e1fffe01" +
	"7f46dc93a6b67e013b029aaa1db2560b45ca67d688c7f84b8c4c791fe02b3df614f86db1690901c56b45c1530afedfb76038e972722fe7ad728f0e4904e046c2" +
	"30570fe9d41398abe12ef5bc942be33542a4802d98b5d70f2a332ec37fac3514e74ddc0f2cc1a874cd0c78305a21566461309789606bd0bf3f98cda8044629a1"
