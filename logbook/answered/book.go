package answered

import (
	"bytes"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"errors"
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
	dir, folder string
	key         []byte
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
	b := &Book{dir: abs, folder: folder}
	if b.key, err = trace.OwnKey(folder); err != nil {
		return nil, err
	}
	b.State, err = stateOf(abs, most)
	return b, err
}

// A Question is all that an answer depends on beside the files of the book, or beside its history alone.
type Question struct {
	sum  digest
	past bool
}

// Ask makes a question of texts. The program is part of each, and so is the folder of the book.
func (b *Book) Ask(parts ...string) Question { return Question{b.sum(parts), false} }

// AskHistory is Ask for what depends on nothing but what lies below .git.
func (b *Book) AskHistory(parts ...string) Question { return Question{b.sum(parts), true} }

func (b *Book) sum(parts []string) digest {
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

// A shelf is a file of answers to one state of a book.
type shelf struct {
	file string
	head []byte // what it begins with: no answer of another state is believed, or kept beside those of this one
	key  []byte
}

func (b *Book) shelf(past bool) *shelf {
	name, files, kind := sha256.Sum256([]byte(b.dir)), b.Files, "answers"
	if past {
		files, kind = digest{}, "history"
	}
	return &shelf{filepath.Join(b.folder, fmt.Sprintf("%x.%s", name[:16], kind)),
		slices.Concat([]byte(form), b.Git[:], files[:]), b.key}
}

// Answer is what was kept for a question, while the book was as it is now.
func (b *Book) Answer(q Question) (answer []byte, ok bool) {
	s := b.shelf(q.past)
	for asked, sealed := range s.entries(s.read()) {
		if asked == q.sum {
			return s.opened(asked, sealed)
		}
	}
	return nil, false
}

// read is the file, where it is of this state of the book.
func (s *shelf) read() []byte {
	raw, err := budget.Read(s.file, largest)
	if err != nil || !bytes.HasPrefix(raw, s.head) {
		return nil
	}
	return raw
}

// entries are the questions of a file with what is sealed for each, up to where the file is cut.
func (s *shelf) entries(raw []byte) func(func(digest, []byte) bool) {
	return func(yield func(digest, []byte) bool) {
		for rest := raw[min(len(s.head), len(raw)):]; len(rest) > 4+sha256.Size; {
			n := int(binary.BigEndian.Uint32(rest))
			whole := 4 + sha256.Size + n
			if n < sha256.Size || n > len(rest)-4-sha256.Size ||
				!yield(digest(rest[4:4+sha256.Size]), rest[4+sha256.Size:whole]) {
				return
			}
			rest = rest[whole:]
		}
	}
}

func (s *shelf) seal(q digest, answer []byte) []byte {
	m := hmac.New(sha256.New, s.key)
	m.Write(s.head)
	m.Write(q[:])
	m.Write(answer)
	return m.Sum(nil)
}

// opened is an answer whose seal holds.
func (s *shelf) opened(q digest, sealed []byte) ([]byte, bool) {
	answer := sealed[sha256.Size:]
	return answer, hmac.Equal(sealed[:sha256.Size], s.seal(q, answer))
}

// Keep keeps answers that were worked out since the book was looked at. Where the folder is not as it was then, nothing
// is kept, for nobody can tell which of the two they are answers to.
func (b *Book) Keep(answers map[Question][]byte) error {
	now, err := stateOf(b.dir, most)
	if err != nil {
		return err
	}
	if now != b.State {
		return fmt.Errorf("%q has changed meanwhile", b.dir)
	}
	for _, past := range []bool{false, true} {
		s := b.shelf(past)
		text, more := s.read(), false
		for q, answer := range answers {
			if q.past == past {
				text, more = s.with(text, q.sum, answer), true
			}
		}
		if more {
			err = errors.Join(err, s.write(text))
		}
	}
	return err
}

// with is the text of a file with one answer more; without the earlier ones where they would be too many.
func (s *shelf) with(text []byte, q digest, answer []byte) []byte {
	if more := len(answer) + 100; text == nil || len(text)+more > largest {
		if text = s.head; len(text)+more > largest {
			return text
		}
	}
	text = binary.BigEndian.AppendUint32(slices.Clip(text), uint32(sha256.Size+len(answer)))
	return slices.Concat(text, q[:], s.seal(q, answer), answer)
}

func (s *shelf) write(text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(s.file), "answers")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), s.file)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
