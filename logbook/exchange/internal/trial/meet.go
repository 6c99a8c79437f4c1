package trial

import (
	"bytes"
	"crypto/ed25519"
	"encoding/pem"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"needlebook/logbook/exchange"
	"needlebook/logbook/trace"
)

const (
	RecordPath = "overhauls/me1/c1/2024-01-01-h-1.md"
	RecordText = "---\nholder: H-1\nby: a\nmeasured:\n  lift: 0.76 mm\n  holder_wear: 0.03 mm\n---\n\nFirst.\n"
)

func Set(pairs ...string) []exchange.Change {
	var list []exchange.Change
	for i := 0; i < len(pairs); i += 2 {
		c := exchange.Change{Path: pairs[i], Text: []byte(pairs[i+1])}
		if pairs[i+1] == "" {
			c = exchange.Change{Path: pairs[i], Delete: true}
		}
		list = append(list, c)
	}
	return list
}

func Replaced(old, new string) string { return strings.Replace(RecordText, old, new, 1) }

// MeetingBook gives a book whose tip is the last of the steps; the founding step holds a register, a record, readings
// and two more files.
func MeetingBook(t *testing.T, steps ...exchange.Step) (dir string, ids []string) {
	t.Helper()
	line, err := trace.SignersLine("berg@chief", []string{"engineer", "chief", "superintendent"}, time.Time{}, time.Time{},
		Key.PublicKey(), "")
	if err != nil {
		t.Fatal(err)
	}
	first := exchange.Step{Draft: Draft(0, Set("book.md", vessel,
		"signers/allowed_signers", line+"\n", ".gitattributes", exchange.Attributes,
		RecordPath, RecordText, "hours/me1.csv", "date,counter_h,note\n",
		"parts/n-1.md", "---\nserial: N-1\n---\n", "photos/a.jpg", "\xff\x001")...)}
	for i := range steps {
		steps[i].Author, steps[i].Signer, steps[i].Message = Draft(i+1).Author, Key, "step"
	}
	dir = filepath.Join(Scratch(t), "book")
	ids, err = exchange.Build(dir, append([]exchange.Step{first}, steps...))
	if err != nil {
		t.Fatal(err)
	}
	return dir, ids
}

func Side(parents []int, changes ...exchange.Change) exchange.Step {
	return exchange.Step{Draft: exchange.Draft{Changes: changes}, Parents: parents}
}

func AnyPath(string) string { return "" }

// KeyFile writes the test's key where git can sign with it.
func KeyFile(t *testing.T) string {
	block, err := ssh.MarshalPrivateKey(ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, 32)), "")
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(name, pem.EncodeToMemory(block), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}
