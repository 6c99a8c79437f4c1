package mailbag

import (
	"bytes"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

// Parts in any order, some twice, make the bundle; a lost one is named; a damaged one is found out by itself. Cutting the heads off
// with a standard tool makes the same bundle.
func TestParts(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	bundle := make([]byte, 12_345)
	r.Read(bundle)
	parts, err := Split(bundle, 1000)
	if err != nil || len(parts) != 16 {
		t.Fatalf("%d parts, %v", len(parts), err)
	}
	dir := t.TempDir()
	var read []*Part
	for i := range parts {
		file := parts[i].File()
		if len(file) > 1000 {
			t.Errorf("part %d has %d bytes", i+1, len(file))
		}
		if err := os.WriteFile(filepath.Join(dir, "bag."+parts[i].Name()), file, 0o666); err != nil {
			t.Fatal(err)
		}
		p, err := ReadPart(file)
		if err != nil {
			t.Fatal(err)
		}
		read = append(read, p, p)
		for n := 0; n < len(file); n += 31 {
			changed := bytes.Clone(file)
			changed[n] ^= 1
			if p, err := ReadPart(changed); err == nil && p.Bag == parts[i].Bag && p.Number == parts[i].Number && p.Of == parts[i].Of && p.Size == parts[i].Size {
				t.Errorf("part %d: byte %d changed, taken all the same", i+1, n)
			}
		}
	}
	r.Shuffle(len(read), func(i, j int) { read[i], read[j] = read[j], read[i] })
	if got, missing, err := Join(read); err != nil || missing != nil || !bytes.Equal(got, bundle) {
		t.Errorf("missing %v, %v", missing, err)
	}
	without := slices.DeleteFunc(slices.Clone(read), func(p *Part) bool { return p.Number == 3 || p.Number == 7 })
	if got, missing, err := Join(without); err != nil || got != nil || !slices.Equal(missing, []int{3, 7}) {
		t.Errorf("missing %v, %v", missing, err)
	}
	if sh, err := exec.LookPath("sh"); err == nil {
		cmd := exec.Command(sh, "-c", "tail -q -n +6 bag.*.part")
		cmd.Dir = dir
		if out, err := cmd.Output(); err != nil || !bytes.Equal(out, bundle) {
			t.Errorf("tail makes %d bytes of it, %v", len(out), err)
		}
	}
}

// A bundle that is cut again, in parts of another size, is put together of both cuts; what is missing is counted by the finer one; a
// part with strange bytes keeps no sound cut back.
func TestPartsOfTwoCuts(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for round := range 300 {
		bundle := make([]byte, 1+r.Intn(9000))
		r.Read(bundle)
		var all, fine []*Part
		for size := range 2 {
			parts, err := Split(bundle, int64([]int{400, 500 + r.Intn(2000)}[size]))
			if err != nil {
				t.Fatal(err)
			}
			for _, p := range parts {
				back, err := ReadPart(p.File())
				if err != nil || back.begin() != p.begin() || back.step() != p.step() {
					t.Fatalf("part %d of %d: %v", p.Number, p.Of, err)
				}
				if r.Intn(3) > 0 {
					all = append(all, back)
				}
				if size == 0 {
					fine = append(fine, back)
				}
			}
		}
		if len(all) == 0 {
			continue
		}
		held := make([]bool, len(bundle))
		for _, p := range all {
			for n := range p.Text {
				held[p.begin()+int64(n)] = true
			}
		}
		got, missing, err := Join(all)
		whole := !slices.Contains(held, false)
		if err != nil || whole != (missing == nil) || whole && !bytes.Equal(got, bundle) {
			t.Fatalf("round %d: whole %v, missing %v, %v", round, whole, missing, err)
		}
		for _, n := range missing { // of the finer cut, where one of its parts is there
			if i := slices.IndexFunc(all, func(p *Part) bool { return p.step() == fine[0].step() }); i >= 0 {
				all = append(all, fine[n-1])
			}
		}
		if got, _, err := Join(append(all, fine...)); err != nil || !bytes.Equal(got, bundle) {
			t.Fatalf("round %d: with what was missing: %v", round, err)
		}
		strange := *all[0]
		strange.Text = bytes.Repeat([]byte{'?'}, len(strange.Text))
		if got, _, err := Join(append([]*Part{&strange}, fine...)); err != nil || !bytes.Equal(got, bundle) {
			t.Fatalf("round %d: beside a strange part: %v", round, err)
		}
	}
}

// An acknowledgement reads back as it was written, and damage is found out, but for line ends that a mail program turned.
func TestAck(t *testing.T) {
	a := Ack{Book: "0123456789012345678901234567890123456789", From: "0123456789abcdef", Has: []string{"abcdefabcdefabcdefabcdefabcdefabcdefabcd"}, Receipts: 7,
		Lacks:  []Lack{{Bag: sum(nil), Parts: []int{2, 5, 17}}},
		Sealed: []Sealed{{Text: []byte("needlebook receipt 1\n"), Signature: []byte("-----BEGIN\nx\n")}, {Text: []byte("t\n"), Signature: []byte("s\n")}}}
	file := a.File()
	for _, f := range [][]byte{file, bytes.ReplaceAll(file, []byte("\n"), []byte("\r\n"))} {
		back, err := ReadAck(f)
		if err != nil || !bytes.Equal(back.File(), file) {
			t.Fatalf("%v\n%s\n%s", err, file, back.File())
		}
	}
	for n := range file {
		changed := bytes.Clone(file)
		changed[n] ^= 1
		if _, err := ReadAck(changed); err == nil {
			t.Errorf("byte %d changed, taken all the same", n)
		}
		if _, err := ReadAck(file[:n]); err == nil {
			t.Errorf("cut at %d, taken all the same", n)
		}
	}
	if got := Numbers([]int{9, 1, 2, 3, 5, 6}); got != "1 to 3, 5, 6, 9" {
		t.Error(got)
	}
}

// FuzzRead: any bytes, and nothing panics; what is taken reads back the same.
func FuzzRead(f *testing.F) {
	a := Ack{Book: "0123456789012345678901234567890123456789", From: "0123456789abcdef", Has: []string{"abcdefabcdefabcdefabcdefabcdefabcdefabcd"}, Lacks: []Lack{{Bag: sum(nil), Parts: []int{2}}}}
	f.Add(a.File())
	p := Part{Bag: sum(nil), Size: 3, Number: 1, Of: 1, Text: []byte("abc")}
	f.Add(p.File())
	f.Fuzz(func(t *testing.T, file []byte) {
		if p, err := ReadPart(file); err == nil && !bytes.Equal(p.File(), file) {
			t.Errorf("%q reads as %q", file, p.File())
		}
		if a, err := ReadAck(file); err == nil {
			if _, err := ReadAck(a.File()); err != nil {
				t.Error(err)
			}
		}
	})
}
