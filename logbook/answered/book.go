package answered

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"needlebook/logbook/budget"
	"needlebook/logbook/trace"
)

// Book is a book at one moment, and what was answered of it. It belongs to one goroutine.
type Book struct {
	State
	dir, file string
	key       []byte
}

// Look reads every byte of the book in a folder; folder is where answers are kept. The error says why nothing can be
// remembered of it.
func Look(folder, dir string) (*Book, error) {
	if folder == "" {
		return nil, fmt.Errorf("no folder %w", errNotAll)
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	b := &Book{dir: abs}
	if b.key, err = trace.OwnKey(folder); err != nil {
		return nil, err
	}
	if b.State, err = stateOf(abs, most); err != nil {
		return nil, err
	}
	name := sha256.Sum256([]byte(abs))
	b.file = filepath.Join(folder, fmt.Sprintf("%x.answers", name[:16]))
	return b, nil
}

// A Question is all that an answer depends on beside the files of the book.
type Question = digest

// Ask makes a question of texts. The program is part of each, and so is the folder of the book.
func (b *Book) Ask(parts ...string) Question {
	h := sha256.New()
	for _, p := range slices.Concat([]string{trace.Program(), b.dir}, parts) {
		fmt.Fprintf(h, "%d %s ", len(p), p)
	}
	return sum(h)
}

// form is raised when the form of the file changes.
const form = "needlebook answers 1\n"

// largest is how many bytes the file has at most.
const largest = 8 << 20

// head is what the file begins with: no answer of another state is believed, or kept beside those of this one.
func (b *Book) head() []byte { return slices.Concat([]byte(form), b.Git[:], b.Files[:]) }

// Answer is what was kept for a question, while the book was as it is now.
func (b *Book) Answer(q Question) (answer []byte, ok bool) {
	for asked, sealed := range b.entries(b.read()) {
		if asked == q {
			return b.opened(q, sealed)
		}
	}
	return nil, false
}

// read is the file, where it is of this state of the book.
func (b *Book) read() []byte {
	raw, err := budget.Read(b.file, largest)
	if err != nil || !bytes.HasPrefix(raw, b.head()) {
		return nil
	}
	return raw
}

// entries are the questions of a file with what is sealed for each, up to where the file is cut.
func (b *Book) entries(raw []byte) func(func(Question, []byte) bool) {
	return func(yield func(Question, []byte) bool) {
		for rest := raw[min(len(b.head()), len(raw)):]; len(rest) > 4+sha256.Size; {
			n := int(binary.BigEndian.Uint32(rest))
			whole := 4 + sha256.Size + n
			if n < sha256.Size || n > len(rest)-4-sha256.Size ||
				!yield(Question(rest[4:4+sha256.Size]), rest[4+sha256.Size:whole]) {
				return
			}
			rest = rest[whole:]
		}
	}
}

func (b *Book) seal(q Question, answer []byte) []byte {
	m := hmac.New(sha256.New, b.key)
	m.Write(b.head())
	m.Write(q[:])
	m.Write(answer)
	return m.Sum(nil)
}

// opened is an answer whose seal holds.
func (b *Book) opened(q Question, sealed []byte) ([]byte, bool) {
	answer := sealed[sha256.Size:]
	return answer, hmac.Equal(sealed[:sha256.Size], b.seal(q, answer))
}

// Keep keeps an answer that was worked out since the book was looked at. Where the folder is not as it was then,
// nothing is kept, for nobody can tell which of the two it is an answer to.
func (b *Book) Keep(q Question, answer []byte) error {
	now, err := stateOf(b.dir, most)
	if err != nil {
		return err
	}
	if now != b.State {
		return fmt.Errorf("%q has changed meanwhile", b.dir)
	}
	text := b.read()
	if text == nil || len(text)+len(answer)+100 > largest {
		text = b.head()
	}
	if len(text)+len(answer)+100 > largest {
		return fmt.Errorf("an answer of %d bytes is too long to be kept", len(answer))
	}
	text = binary.BigEndian.AppendUint32(text, uint32(sha256.Size+len(answer)))
	text = slices.Concat(text, q[:], b.seal(q, answer), answer)
	f, err := os.CreateTemp(filepath.Dir(b.file), "answers")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), b.file)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
