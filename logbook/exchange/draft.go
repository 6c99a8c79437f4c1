package exchange

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/hiddeco/sshsig"
	"golang.org/x/crypto/ssh"

	"needlebook/logbook/trace"
)

// A Draft is what one commit is to hold.
type Draft struct {
	// Author and Committer are named in the commit; the signature alone proves who wrote it. An empty
	// Committer means the Author.
	Author, Committer Person
	// Message is free text; it is written with exactly one line end at its end.
	Message string
	// Changes are made to the first parent's tree; no two may name one path.
	Changes []Change
	// Merge are the full ids of further parents, for a merge.
	Merge []string
	// Signer is the hand's key, of kind ssh-ed25519; nil leaves the commit unsigned.
	Signer ssh.Signer
}

// A Person is who a commit names, and the date he states: whole seconds, in the zone of When.
type Person struct {
	Name, Email string
	When        time.Time
}

// A Change is one file as it is to stand after the commit.
type Change struct {
	// Path is relative to the book, with forward slashes, in lower case.
	Path string
	// Text is the file's whole new text, with bare line feeds unless it is a photo or a bench trace.
	Text []byte
	// From is the path the file moves from; with a nil Text it keeps what it holds.
	From string
	// Delete takes the file out; Text and From are then empty.
	Delete bool
}

// BytesOnly reports whether a path holds bytes rather than lines.
func BytesOnly(p string) bool {
	return strings.HasPrefix(p, "photos/") || strings.HasPrefix(p, "logs/")
}

// Check refuses a draft that would make a commit no reader accepts.
func (d *Draft) Check() error {
	if d.Committer == (Person{}) {
		d.Committer = d.Author
	}
	for _, p := range []Person{d.Author, d.Committer} {
		if strings.ContainsAny(p.Name+p.Email, "<>\n\r\x00") || !utf8.ValidString(p.Name+p.Email) {
			return fmt.Errorf("name %q <%s> may not hold angle brackets or line ends", p.Name, p.Email)
		}
		if s := p.When.Unix(); s <= 0 || s > trace.LastSecond {
			return fmt.Errorf("date %s of %s cannot stand in a commit", p.When, p.Name)
		}
	}
	if !utf8.ValidString(d.Message) || strings.ContainsAny(d.Message, "\r\x00") {
		return fmt.Errorf("the message may not hold carriage returns or NUL")
	}
	if d.Signer != nil && d.Signer.PublicKey().Type() != ssh.KeyAlgoED25519 &&
		d.Signer.PublicKey().Type() != ssh.KeyAlgoSKED25519 {
		return fmt.Errorf("key of kind %s does not sign in a book, use ssh-ed25519", d.Signer.PublicKey().Type())
	}
	seen := map[string]bool{}
	for _, c := range d.Changes {
		for _, p := range []string{c.Path, c.From} {
			if p == "" && c.Path != "" {
				continue
			}
			leaves := c.Delete && fs.ValidPath(p) && !strings.HasPrefix(p, ".") // a name that no book should hold may go
			if err := trace.CheckPath(p); err != nil && !leaves {
				return err
			}
			if seen[p] {
				return fmt.Errorf("path %q stands in two changes of one commit", p)
			}
			seen[p] = true
		}
		if c.Delete && (c.Text != nil || c.From != "") || !c.Delete && c.Text == nil && c.From == "" {
			return fmt.Errorf("change of %q: give a text, a path to move from, or Delete", c.Path)
		}
		if i := bytes.IndexByte(c.Text, '\r'); i >= 0 && !BytesOnly(c.Path) {
			return fmt.Errorf("file %q line %d: a carriage return; a book's lines end in a bare line feed", c.Path,
				1+bytes.Count(c.Text[:i], []byte("\n")))
		}
	}
	return nil
}

// Encode writes the commit's bytes, signed when there is a key.
func (d *Draft) Encode(tree plumbing.Hash, parents []plumbing.Hash) ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "tree %s\n", tree)
	for _, p := range parents {
		fmt.Fprintf(&b, "parent %s\n", p)
	}
	fmt.Fprintf(&b, "author %s\ncommitter %s\n", d.Author, d.Committer)
	head := b.Len()
	fmt.Fprintf(&b, "\n%s\n", strings.TrimRight(d.Message, "\n"))
	if d.Signer == nil {
		return b.Bytes(), nil
	}
	armour, err := Sign(b.Bytes(), d.Signer, "git")
	if err != nil {
		return nil, fmt.Errorf("could not sign the commit: %w", err)
	}
	folded := "gpgsig " + strings.ReplaceAll(strings.TrimSuffix(string(armour), "\n"), "\n", "\n ") + "\n"
	return []byte(b.String()[:head] + folded + b.String()[head:]), nil
}

func (p Person) String() string {
	return fmt.Sprintf("%s <%s> %d %s", p.Name, p.Email, p.When.Unix(), p.When.Format("-0700"))
}

// Sign signs a text as ssh-keygen -Y sign does, byte for byte: digest sha512, lines of 70.
func Sign(text []byte, key ssh.Signer, namespace string) ([]byte, error) {
	sig, err := sshsig.Sign(bytes.NewReader(text), key, sshsig.HashSHA512, namespace)
	if err != nil {
		return nil, err
	}
	return trace.Armour(sig.Marshal()), nil
}

// Attributes is the .gitattributes of a book, whole: lines end the same on every system, two texts of
// a record are never merged by machine, lists grow from both sides, and pictures stay bytes.
const Attributes = `*.md text eol=lf -merge
*.csv text eol=lf merge=union
signers/* text eol=lf merge=union
photos/** -text
logs/** -text
`

// Evidence is a picture or a log that a record names, as it was seen.
type Evidence struct {
	Path  string
	Bytes []byte
}

// Countersigning is the file by which a hand says that he saw a record: the SHA-256 of exactly that
// text and of the pictures and logs that it names, and "as seen", "remarks" or "refused". A chief's stands
// in the folder countersigned, a superintendent's in reviews.
func Countersigning(folder, signer, record string, seen []byte, word, remarks string, with ...Evidence) Change {
	stem := strings.TrimSuffix(path.Base(record), path.Ext(record))
	text := fmt.Sprintf("---\nrecord: %s\nsha256: \"%x\"\nseen: %s\n", record, sha256.Sum256(seen), word)
	if len(with) > 0 {
		text += "evidence:\n"
	}
	for _, e := range with {
		text += fmt.Sprintf("  - {file: %q, sha256: \"%x\"}\n", e.Path, sha256.Sum256(e.Bytes))
	}
	text += "---\n"
	if remarks != "" {
		text += "\n" + strings.TrimRight(remarks, "\n") + "\n"
	}
	return Change{Path: path.Join(folder, stem+"."+signer+".md"), Text: []byte(text)}
}
