package packs

import (
	"bytes"
	"crypto/sha1"
	"errors"
	"fmt"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/go-git/go-git/v5/plumbing"
)

// made is a set of texts that grow out of one another, and a source that knows them.
func made(t *testing.T, n int) ([]Item, map[plumbing.Hash]Object) {
	t.Helper()
	r := rand.New(rand.NewSource(int64(n)))
	all := map[plumbing.Hash]Object{}
	var items []Item
	text := []byte(strings.Repeat("opening_pressure: [300 bar, 300 bar, 305 bar]\n", 20))
	for i := range n {
		at := r.Intn(len(text))
		text = append(append(append([]byte{}, text[:at]...), fmt.Sprintf("remark %d: seat damp\n", r.Int())...), text[at:]...)
		o := Object{plumbing.BlobObject, text}
		id, err := ID(o)
		if err != nil {
			t.Fatal(err)
		}
		all[id] = o
		items = append(items, Item{ID: id, Kind: o.Kind, Path: fmt.Sprintf("overhauls/me1/c%d/a.md", i%3)})
	}
	return items, all
}

func sourceOf(all map[plumbing.Hash]Object) Source {
	return func(id plumbing.Hash) (Object, error) {
		o, ok := all[id]
		if !ok {
			return o, plumbing.ErrObjectNotFound
		}
		return o, nil
	}
}

func none(plumbing.Hash) (Object, error) { return Object{}, plumbing.ErrObjectNotFound }

func readPack(t *testing.T, raw []byte, outside Source) (*Pack, error) {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "pack"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return Read(bytes.NewReader(raw), f, outside)
}

// What is written is read back object by object, and git's own index-pack (Documentation/git-index-pack) finds the same objects.
func TestWriteAndReadAgain(t *testing.T) {
	for _, level := range []int{9, 0} {
		items, all := made(t, 60)
		var out bytes.Buffer
		n, err := Write(&out, items, sourceOf(all), level)
		if err != nil || n != int64(out.Len()) {
			t.Fatalf("Write = %d, %v; wrote %d", n, err, out.Len())
		}
		p, err := readPack(t, out.Bytes(), none)
		if err != nil {
			t.Fatal(err)
		}
		for id, want := range all {
			got, err := p.Object(id)
			if err != nil || !bytes.Equal(got.Raw, want.Raw) || got.Kind != want.Kind {
				t.Fatalf("object %s: %v", id, err)
			}
		}
		git(t, t.TempDir(), out.Bytes(), "index-pack", "--strict", "--stdin", "--fix-thin")
	}
}

func git(t *testing.T, dir string, in []byte, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		if os.Getenv("NEEDLEBOOK_WIDER") != "" {
			t.Fatal(err)
		}
		t.Skip("git is not installed")
	}
	if _, err := os.Stat(filepath.Join(dir, ".git")); err != nil {
		if out, err := exec.Command("git", "init", "-q", dir).CombinedOutput(); err != nil {
			t.Fatalf("git init: %v: %s", err, out)
		}
	}
	cmd := exec.Command("git", args...)
	cmd.Dir, cmd.Stdin = dir, bytes.NewReader(in)
	var says bytes.Buffer
	cmd.Stderr = &says
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("git %v: %v: %s", args, err, says.String())
	}
	return out
}

// A thin pack is completed from outside, and is then one that git accepts with the index we make of it.
func TestThin(t *testing.T) {
	items, all := made(t, 40)
	items[20].Near = []plumbing.Hash{items[19].ID}
	old := map[plumbing.Hash]Object{}
	for _, it := range items[:20] {
		old[it.ID] = all[it.ID]
	}
	var out bytes.Buffer
	if _, err := Write(&out, items[20:], sourceOf(all), 9); err != nil {
		t.Fatal(err)
	}
	if _, err := readPack(t, out.Bytes(), none); err == nil {
		t.Error("a thin pack was taken without what it refers to")
	}
	p, err := readPack(t, out.Bytes(), sourceOf(old))
	if err != nil {
		t.Fatal(err)
	}
	if p.Len() != 21 || !p.Has(items[19].ID) || p.Size != int64(out.Len()) {
		t.Errorf("%d objects of %d bytes, want 21 of %d", p.Len(), p.Size, out.Len())
	}
	index, err := p.Index()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	git(t, dir, nil, "rev-parse")
	name := filepath.Join(dir, "x.pack")
	whole, err := os.ReadFile(p.file.(*os.File).Name())
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(os.WriteFile(name, whole, 0o666), os.WriteFile(filepath.Join(dir, "x.idx"), index, 0o666)); err != nil {
		t.Fatal(err)
	}
	git(t, dir, nil, "verify-pack", name)
}

// Packs that git wrote, thin ones too, are read, and what git says of each object is what comes out.
func TestReadsWhatGitWrote(t *testing.T) {
	dir := t.TempDir()
	_, all := made(t, 30)
	var ids bytes.Buffer
	for id, o := range all {
		got := git(t, dir, o.Raw, "hash-object", "-w", "--stdin")
		if strings.TrimSpace(string(got)) != id.String() {
			t.Fatalf("git calls %s %s", id, got)
		}
		fmt.Fprintln(&ids, id)
	}
	for _, flag := range []string{"--delta-base-offset", "--no-reuse-delta"} {
		p, err := readPack(t, git(t, dir, ids.Bytes(), "pack-objects", "--stdout", "-q", flag), none)
		if err != nil {
			t.Fatal(err)
		}
		for id, want := range all {
			if got, err := p.Object(id); err != nil || !bytes.Equal(got.Raw, want.Raw) {
				t.Errorf("%s: %v", id, err)
			}
		}
	}
}

// A pack cut anywhere, or changed anywhere, is refused; nothing panics.
func TestCutAndChanged(t *testing.T) {
	items, all := made(t, 8)
	var out bytes.Buffer
	if _, err := Write(&out, items, sourceOf(all), 9); err != nil {
		t.Fatal(err)
	}
	raw := out.Bytes()
	for n := 0; n < len(raw); n += 1 + len(raw)/400 {
		_, err := readPack(t, raw[:n], none)
		if !errors.Is(err, io.ErrUnexpectedEOF) {
			t.Fatalf("cut at %d of %d: %v", n, len(raw), err)
		}
	}
	for n := 0; n < len(raw); n += 7 {
		changed := bytes.Clone(raw)
		changed[n] ^= 0x20
		if _, err := readPack(t, changed, none); err == nil {
			t.Fatalf("byte %d changed: taken all the same", n)
		}
	}
}

// Hostile packs, each with what is said of it.
func TestHostile(t *testing.T) {
	head := func(n byte) []byte { return append([]byte("PACK\x00\x00\x00\x02\x00\x00\x00"), n) }
	entry := func(kind plumbing.ObjectType, raw, base []byte) []byte {
		b, err := encodeAt(kind, raw, base, 9)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	longer := bytes.Clone(entry(plumbing.BlobObject, []byte("short"), nil))
	longer[0] += 3
	zeros := entry(plumbing.BlobObject, make([]byte, 60<<20), nil)
	self := bytes.Repeat([]byte{0xab}, 20)
	blob := entry(plumbing.BlobObject, bytes.Repeat([]byte("x"), 1000), nil)
	// 64 copies of the whole text, again and again: each step 64 times larger.
	bomb := [][]byte{blob}
	size := 1000
	for range 4 {
		d := append(number(size), number(size*64)...)
		for range 64 {
			d = append(d, 0x80|0x70, byte(size), byte(size>>8), byte(size>>16))
		}
		bomb = append(bomb, entry(plumbing.OFSDeltaObject, d, offset(int64(len(bomb[len(bomb)-1])))))
		size *= 64
	}
	for _, c := range []struct {
		name, says string
		parts      [][]byte
	}{
		{"not a pack", "does not begin", [][]byte{[]byte("PUCK\x00\x00\x00\x02\x00\x00\x00\x01")}},
		{"version 3", "version 3", [][]byte{[]byte("PACK\x00\x00\x00\x03\x00\x00\x00\x01")}},
		{"oversized count", "claims to hold", [][]byte{[]byte("PACK\x00\x00\x00\x02\xff\xff\xff\xff")}},
		{"more than there is", "an object", [][]byte{head(9), blob}},
		{"huge object", "at most 64 MiB", [][]byte{head(1), {0xbf, 0xff, 0xff, 0xff, 0x7f}}},
		{"endless length", "digits", [][]byte{head(1), bytes.Repeat([]byte{0xbf}, 30)}},
		{"shorter than it says", "not as long", [][]byte{head(1), longer}},
		{"unknown kind", "unknown kind", [][]byte{head(1), {0x51}}},
		{"base before the pack", "where no object begins", [][]byte{head(1), entry(plumbing.OFSDeltaObject, []byte("d"), offset(5000))}},
		{"base inside an object", "where no object begins", [][]byte{head(2), blob, entry(plumbing.OFSDeltaObject, []byte("d"), offset(3))}},
		{"delta to itself", "nowhere", [][]byte{head(1), entry(plumbing.REFDeltaObject, []byte("d"), self)}},
		{"copies from beyond", "beyond the text", [][]byte{head(2), blob, entry(plumbing.OFSDeltaObject, append(append(number(1000), number(50)...), 0x92, 0xff, 50), offset(int64(len(blob))))}},
		{"for another text", "another text", [][]byte{head(2), blob, entry(plumbing.OFSDeltaObject, append(append(number(999), number(1)...), 1, 'x'), offset(int64(len(blob))))}},
		{"delta bomb", "larger than 64 MiB", append([][]byte{head(5)}, bomb...)},
		{"much out of little", "unpacks to more than", [][]byte{head(9), zeros, zeros, zeros, zeros, zeros, zeros, zeros, zeros, zeros}},
		{"bytes behind", "behind its end", [][]byte{head(0), nil, []byte("more")}},
	} {
		t.Run(c.name, func(t *testing.T) {
			raw := sealed(c.parts, c.name == "bytes behind")
			var was, is runtime.MemStats
			runtime.ReadMemStats(&was)
			_, err := readPack(t, raw, none)
			runtime.ReadMemStats(&is)
			if grown := int64(is.HeapSys) - int64(was.HeapSys); grown > 512<<20 {
				t.Errorf("%d MiB more memory", grown>>20)
			}
			var form *FormError
			if !errors.As(err, &form) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v, want one that says %q", err, c.says)
			}
		})
	}
}

func number(n int) []byte {
	var b []byte
	for ; n > 0x7f; n >>= 7 {
		b = append(b, byte(n)|0x80)
	}
	return append(b, byte(n))
}

// sealed puts the checksum behind the parts, or before the last one.
func sealed(parts [][]byte, beforeLast bool) []byte {
	var b bytes.Buffer
	for i, p := range parts {
		if beforeLast && i == len(parts)-1 {
			sum := sha1.Sum(b.Bytes())
			b.Write(sum[:])
		}
		b.Write(p)
	}
	if !beforeLast {
		sum := sha1.Sum(b.Bytes())
		b.Write(sum[:])
	}
	return b.Bytes()
}

// FuzzRead: any bytes, and reading never panics, never fills the memory, and what is taken is what its ids say.
func FuzzRead(f *testing.F) {
	for _, n := range []int{1, 5} {
		items, all := made(&testing.T{}, n)
		var out bytes.Buffer
		if _, err := Write(&out, items, sourceOf(all), 9); err != nil {
			f.Fatal(err)
		}
		f.Add(out.Bytes())
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		p, err := readPack(t, raw, none)
		if err != nil {
			return
		}
		for id := range p.byID {
			o, err := p.Object(id)
			if err != nil {
				t.Fatal(err)
			}
			if got, _ := ID(o); got != id {
				t.Fatalf("%s reads as %s", id, got)
			}
		}
	})
}
