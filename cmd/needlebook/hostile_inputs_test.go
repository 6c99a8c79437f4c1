package main

import (
	"bytes"
	"compress/zlib"
	"crypto/sha1"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"needlebook/logbook/exchange"
	"needlebook/logbook/exchange/mail"
	"needlebook/logbook/exchange/mailbag"
)

func pick[T any](r *rand.Rand, from []T) T { return from[r.IntN(len(from))] }

// nasty are pieces that readers of texts, tables, YAML, paths and packs have stumbled over: common practice, no source.
var nasty = []string{"", "\x00", "\xff\xfe", "\xef\xbb\xbf", "\r", "\n", "\n---\n", "---\n", "\"", "'", ",", ";", "\t", ":", ": ", "- ", "[", "]", "{", "}", "&a ", "*a", "<<: *a\n", "!!binary ",
	"|\n", ">-\n", "\u202e", "\u2028", "\u200b", "\x1b[2J", "\x1b]0;x\x07", "\ufffd", "\U0001f600", "e\u0301", "-0", "1e999", "NaN", "0x7fffffffffffffff", "99999999999999999999999999", "-1", "4294967296",
	"0,76", "1.234.567,8", "../../../etc/passwd", "/dev/zero", "%2e%2e%2f", "%00", "\\", "con", ".git", "2020-02-30", "0000-00-00", "9999-12-31", "31.12.99999", "=1+1", "@", "`", "<script>", "</title>",
	"<<<<<<< here\n", "=======\n", ">>>>>>> there\n", "\xc3\x28", "\xed\xa0\x80", strings.Repeat("[", 300), strings.Repeat("{a: ", 300), strings.Repeat("a,", 2000), strings.Repeat("-", 5000)}

// mutated is a text with a few changes of the kinds that fuzzers make: bits, cuts, copies, pieces of another text, nasty pieces, and
// now and then very much of one of them.
func mutated(r *rand.Rand, text, other []byte) []byte {
	out := bytes.Clone(text)
	at := func() int { return r.IntN(len(out) + 1) }
	span := func() (int, int) {
		a, b := at(), at()
		if r.IntN(2) == 0 {
			b = min(len(out), a+r.IntN(40))
		}
		return min(a, b), max(a, b)
	}
	insert := func(i int, piece []byte) { out = append(out[:i:i], append(bytes.Clone(piece), out[i:]...)...) }
	for n := 1 << r.IntN(5); n > 0; n-- {
		a, b := span()
		switch r.IntN(9) {
		case 0:
			if a < len(out) {
				out[a] ^= 1 << r.IntN(8)
			}
		case 1:
			out = append(out[:a:a], out[b:]...)
		case 2:
			insert(at(), out[a:b])
		case 3, 4, 5:
			insert(a, []byte(pick(r, nasty)))
		case 6:
			out = append(append(out[:a:a], pick(r, nasty)...), out[b:]...)
		case 7:
			if len(other) > 0 {
				i := r.IntN(len(other))
				insert(a, other[i:min(len(other), i+1+r.IntN(200))])
			}
		case 8:
			if r.IntN(20) == 0 {
				piece := append(bytes.Clone(out[a:min(b, a+30)]), pick(r, nasty)...)
				insert(a, bytes.Repeat(piece, 1+r.IntN(1<<20)/(len(piece)+1)))
			} else if a < len(out) {
				out[a] = byte(r.Uint32())
			}
		}
		if len(out) > 4<<20 {
			out = out[:4<<20]
		}
	}
	return out
}

const (
	oldTable = "Holder,Date,Cyl,Hours,P1,P2,Lift,Tip,Remark\nH-1,03.02.2019,1,41250,300,295 bar,\"0,76\",good,leaking\nH-2,04.02.2019,2,41250,301,299,0.75,good,\n"
	oldMap   = "column,key,form,value\nHolder,holder,,\nDate,removed.date,d.m.y,\nCyl,removed.cylinder,,\n,removed.engine,,ME1\nHours,removed.counter,h,\nP1,as_found.opening_pressure,bar,\n" +
		"P2,as_found.opening_pressure,bar,\nLift,measured.lift,mm,\nTip,inspected.tip,,\n,by,,eng\n"
)

// writeBook writes the small ship into a folder.
func writeBook(t *testing.T, dir string) {
	for name, text := range smallShip(t) {
		write(t, filepath.Join(dir, filepath.FromSlash(name)), text)
	}
}

// bagMaker makes bags for a small book.
type bagMaker struct {
	t         *testing.T
	dir, here string // folder of keys, and the book
	key, tip  string
	steps     []exchange.Step
	honest    [][]byte // bags that bring one honest commit, in every form
}

func newBagMaker(t *testing.T) *bagMaker {
	m := &bagMaker{t: t, dir: t.TempDir()}
	m.here, m.key = filepath.Join(m.dir, "book"), filepath.Join(m.dir, "eng")
	m.steps = smallHistory(t, m.dir)
	ids, err := exchange.Build(m.here, m.steps)
	if err != nil {
		t.Fatal(err)
	}
	m.tip = ids[len(ids)-1]
	bag := m.packed(stepOf(t, m.dir, "eng", 3, smallRecord("no test oil")))
	small, err := mail.Smaller(bag)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := mailbag.Split(bag, 500)
	if err != nil {
		t.Fatal(err)
	}
	ack := mailbag.Ack{Book: ids[0], From: strings.Repeat("ab", 8), Has: []string{m.tip}}
	m.honest = [][]byte{bag, small, ack.File()}
	for i := range parts {
		m.honest = append(m.honest, parts[i].File())
	}
	return m
}

// packed is a bag of the book with more commits.
func (m *bagMaker) packed(more ...exchange.Step) []byte {
	m.t.Helper()
	there, err := os.MkdirTemp(m.dir, "there-")
	if err != nil {
		m.t.Fatal(err)
	}
	defer os.RemoveAll(there)
	if _, err := exchange.Build(there, append(m.steps[:len(m.steps):len(m.steps)], more...)); err != nil {
		return nil // no such history can be built
	}
	bag, err := mail.PackBag(m.t.Context(), there, []string{m.tip}, "", false)
	if err != nil || bag == nil {
		return nil
	}
	return bag.Text
}

// bags are the files of one input.
func (m *bagMaker) bags(r *rand.Rand) (what string, files [][]byte) {
	switch r.IntN(5) {
	case 0:
		return "damaged", [][]byte{mutated(r, pick(r, m.honest), pick(r, m.honest))}
	case 1:
		for range 1 + r.IntN(4) {
			b := pick(r, m.honest)
			if r.IntN(2) == 0 {
				b = mutated(r, b, pick(r, m.honest))
			}
			files = append(files, b)
		}
		return "several, some of them damaged", files
	case 2: // damage that the checksums do not show
		return "damaged and summed again", [][]byte{summed(mutated(r, m.honest[0], m.honest[1]))}
	case 3:
		return "crafted objects", [][]byte{m.crafted(r)}
	default:
		if bag := m.packed(m.history(r)...); bag != nil {
			return "a strange history", [][]byte{bag}
		}
		return "honest", [][]byte{m.honest[0]}
	}
}

// history are signed commits that bring texts which nobody has written.
func (m *bagMaker) history(r *rand.Rand) (steps []exchange.Step) {
	for n := range 1 + r.IntN(3) {
		var changes []exchange.Change
		for range 1 + r.IntN(3) {
			old := pick(r, m.steps[0].Changes)
			if r.IntN(3) == 0 {
				old = m.steps[1].Changes[0]
			}
			name := old.Path
			if r.IntN(4) == 0 {
				name = pick(r, []string{"signers/withdrawn", "signers/adopted", "stores/stock.csv", "hands/countersigned/x/chief.md", "a/b/c/d/e/f/g/h/i/j/k/l/m/n/o/p/q/r.md", "photos/x.jpg"})
			}
			changes = append(changes, exchange.Change{Path: name, Text: mutated(r, old.Text, m.steps[0].Changes[0].Text)})
		}
		step := stepOf(m.t, m.dir, pick(r, []string{"eng", "chief", "shore", ""}), 3+n, changes...)
		step.Message = string(mutated(r, []byte("step"), nil))
		if r.IntN(4) == 0 {
			step.Author.When = time.Unix(int64(r.Uint64()>>r.IntN(60)), 0).UTC()
		}
		steps = append(steps, step)
	}
	return steps
}

// summed puts the right checksum under the pack of a bundle.
func summed(bundle []byte) []byte {
	at := bytes.Index(bundle, []byte("PACK"))
	if at < 0 || len(bundle) < at+sha1.Size {
		return bundle
	}
	sum := sha1.Sum(bundle[at : len(bundle)-sha1.Size])
	return append(bundle[:len(bundle)-sha1.Size:len(bundle)-sha1.Size], sum[:]...)
}

// strangePack is a pack of objects as they are given, right or wrong.
type strangePack struct {
	body  bytes.Buffer
	count uint32
}

// put adds an object of one of git's kinds that says it is so many bytes more than it is, and gives its name. See gitformat-pack(5).
func (p *strangePack) put(kind byte, name string, raw []byte, more int, base ...byte) []byte {
	size := uint64(max(0, len(raw)+more))
	b := kind<<4 | byte(size&15)
	for size >>= 4; size > 0; size >>= 7 {
		p.body.WriteByte(b | 0x80)
		b = byte(size & 127)
	}
	p.body.WriteByte(b)
	p.body.Write(base)
	z := zlib.NewWriter(&p.body)
	z.Write(raw)
	z.Close()
	p.count++
	id := sha1.Sum(append(fmt.Appendf(nil, "%s %d\x00", name, len(raw)), raw...))
	return id[:]
}

func (p *strangePack) bundle(head string, count uint32) []byte {
	out := append([]byte(head), "PACK\x00\x00\x00\x02"...)
	out = binary.BigEndian.AppendUint32(out, count)
	return summed(append(append(out, p.body.Bytes()...), make([]byte, sha1.Size)...))
}

// crafted is a bundle of one commit whose folders are equal, deep, wide, misnamed or damaged, with texts that say a wrong length and
// differences that grow.
func (m *bagMaker) crafted(r *rand.Rand) []byte {
	var p strangePack
	lie := func() int { return []int{0, 0, 0, 0, 0, 1, -1, 1 << 20, 1 << 40}[r.IntN(9)] }
	small := mutated(r, []byte("text\n"), m.honest[0])
	texts, largest := [][]byte{p.put(3, "blob", small, 0)}, len(small)
	if r.IntN(3) == 0 {
		largest = 1 << r.IntN(27)
		texts = append(texts, p.put(3, "blob", bytes.Repeat([]byte("0"), largest), lie()))
	}
	for range r.IntN(4) { // a difference to the last text, as it may be and as it may not
		size := largest << r.IntN(3)
		delta := binary.AppendUvarint(binary.AppendUvarint(nil, uint64(largest)), uint64(size))
		for left := size; left > 0; left -= min(left, largest, 1<<24-1) {
			n := min(left, largest, 1<<24-1)
			delta = append(delta, 0xf0, byte(n), byte(n>>8), byte(n>>16))
		}
		if r.IntN(2) == 0 {
			delta = mutated(r, delta, nil)
		}
		p.put(7, "blob", delta, lie(), texts[len(texts)-1]...)
	}
	names := []string{"a", "b", "c.md", "signers", "allowed_signers", "overhauls", "me1", ".git", "..", "CON", "A", "book.md", "x\x1b[2J", "\u202e", "%2f", strings.Repeat("n", 300)}
	modes := []string{"100644", "100644", "100644", "100755", "120000", "160000", "0", "100666"}
	folder := texts[0]
	for depth := 1 + r.IntN(18); depth > 0; depth-- {
		var tree []byte
		wide := 1 + r.IntN(12)
		if r.IntN(12) == 0 {
			wide = 50_000
		}
		for i := range wide {
			name, mode, id := fmt.Sprintf("%05d", i), "40000", folder
			if r.IntN(30) == 0 || wide < 3 {
				name = pick(r, names)
			}
			if bytes.Equal(folder, texts[0]) || r.IntN(9) == 0 {
				mode, id = pick(r, modes), pick(r, texts)
			}
			tree = append(fmt.Appendf(tree, "%s %s\x00", mode, name), id...)
		}
		if r.IntN(20) == 0 {
			tree = mutated(r, tree, nil)
		}
		folder = p.put(2, "tree", tree, 0)
	}
	text := fmt.Appendf(nil, "tree %x\nparent %s\nauthor x <x@y> 1704110400 +0000\ncommitter x <x@y> 1704110400 +0000\n\nhostile\n", folder, m.tip)
	if r.IntN(3) == 0 {
		text = mutated(r, text, m.honest[0])
	}
	commit := p.put(1, "commit", text, 0)
	count := p.count
	if r.IntN(6) == 0 {
		count = uint32(r.Uint64() >> r.IntN(64))
	}
	return p.bundle(fmt.Sprintf("# v2 git bundle\n-%s\n%s refs/heads/main\n\n", m.tip, hex.EncodeToString(commit)), count)
}
