package trace

import (
	"bytes"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// facts keep between two readings of one repository what follows from stored bytes alone: a commit's
// headers, whether its signature is over its bytes and by which key, in which files it differs from its
// parents, the digest and the values of a text. Who may sign, and what stands, is judged afresh each time.
//
// It is a faster way to the same answer because of two bindings. The facts are sealed with a key that
// only the reader's own account can read, so that whoever can write the file, but not read the key, can
// forge nothing; whoever can read it sits at the reader's keyboard and could as well replace the program.
// And the facts hold only as long as the files of the object store hold the bytes they were read from:
// these are hashed on every run, so that a byte changed on the disk is found with the cache as without.
//
// The file only grows, by one sealed part a run, and is written anew when anything about it is in doubt.
type facts struct {
	file string // empty when nothing is kept
	key  []byte
	seal []byte // of the last good part
	size int64  // up to its end; the file is cut there before the next part

	commits map[id]*node
	texts   map[id]text
	stored  map[string]digest // files of the object store, by their names below objects

	fresh   []byte // what this run adds, not yet sealed
	started bool   // whether the file begins with this run
}

// text is what is known of a blob that has been read and hashed.
type text struct {
	sum    digest
	values []string // paths and what is written there, in turn; nil when not asked for yet
	asked  bool
}

type digest = [sha256.Size]byte

// cacheForm is raised when what is kept, or how it is worked out, changes. Another build of the program
// does not believe the cache either.
const cacheForm = "needlebook cache 2"

// openCache finds what is known of the repository whose objects lie below common. Every trouble, a
// forgery among them, leaves the cache empty and never fails: the reading only takes longer.
func openCache(folder, common string) *facts {
	c := &facts{commits: map[id]*node{}, texts: map[id]text{}, stored: map[string]digest{}}
	abs, err := filepath.Abs(common)
	if folder == "" || err != nil {
		return c
	}
	if c.key, err = OwnKey(folder); err != nil {
		return c
	}
	name := sha256.Sum256([]byte(abs))
	c.file = filepath.Join(folder, fmt.Sprintf("%x.cache", name[:16]))
	objects := filepath.Join(common, "objects")
	raw, err := budget.Read(c.file, budget.Bytes)
	if err != nil || !c.load(string(raw)) || !c.holds(objects) {
		c.forget()
		if !c.holds(objects) {
			c.file = ""
		}
	}
	return c
}

// remember opens the cache of the repository of a work tree.
func (s *Store) remember(dir, folder string) error {
	_, common, err := GitDirs(dir)
	if err != nil {
		return err
	}
	s.known = openCache(folder, common)
	if len(s.known.commits) > 0 {
		s.open(false)
	}
	return nil
}

// learn takes in what was found of commits.
func (c *facts) learn(nodes []*node) {
	if c.file == "" {
		return
	}
	for _, n := range nodes {
		if !n.known {
			(*packer)(&c.fresh).commit(n)
		}
	}
}

// learnText takes in what was found of a text.
func (c *facts) learnText(h id, t text) {
	if c.file == "" {
		return
	}
	c.texts[h] = t
	(*packer)(&c.fresh).blob(h, t)
}

// forget begins the cache anew.
func (c *facts) forget() {
	c.commits, c.texts, c.stored = map[id]*node{}, map[id]text{}, map[string]digest{}
	c.fresh, c.size, c.seal, c.started = nil, 0, c.sum(nil, []byte(head())), true
}

// head is what the file begins with: it binds the facts to the program that worked them out.
func head() string { return fmt.Sprintf("%s %s\n", cacheForm, Program()) }

// Program tells this program from every other build of it: by its version and its compiler, by the id that the linker
// gave to its bytes, where there is one, and by the size and the time of its file.
var Program = fault.Shared(func() string {
	version, self := "", ""
	if b, ok := debug.ReadBuildInfo(); ok {
		version = b.Main.Version
	}
	if exe, err := os.Executable(); err == nil {
		if info, err := os.Stat(exe); err == nil {
			self = fmt.Sprint(info.Size(), info.ModTime().UnixNano(), " ", buildID(exe))
		}
	}
	return strings.Join([]string{version, runtime.Version(), self}, " ")
})

// buildID is the id of a program's bytes, as the linker of Go writes it into the first pages of a file; empty where it
// was left out.
func buildID(exe string) string {
	f, err := budget.Open(exe, math.MaxInt64)
	if err != nil {
		return ""
	}
	defer f.Close()
	first, err := io.ReadAll(io.LimitReader(f, 64<<10))
	if err != nil {
		return ""
	}
	return string(idForm.Find(first))
}

var idForm = regexp.MustCompile(`(?:[A-Za-z0-9_-]{20}/){3}[A-Za-z0-9_-]{20}`)

func (c *facts) sum(before, part []byte) []byte {
	m := hmac.New(sha256.New, c.key)
	m.Write(before)
	m.Write(part)
	return m.Sum(nil)
}

// load takes in the parts whose seals hold, each over the seal before it; the first that does not ends it.
func (c *facts) load(raw string) bool {
	begin := head()
	if len(raw) < len(begin) || raw[:len(begin)] != begin {
		return false
	}
	c.seal, c.size = c.sum(nil, []byte(begin)), int64(len(begin))
	for rest := raw[len(begin):]; len(rest) > 4+sha256.Size; {
		n := int(binary.BigEndian.Uint32([]byte(rest[:4])))
		if n > len(rest)-4-sha256.Size {
			break
		}
		part := rest[4 : 4+n]
		seal := c.sum(c.seal, []byte(part))
		if !hmac.Equal(seal, []byte(rest[4+n:4+n+sha256.Size])) || !c.decode(part) {
			break
		}
		c.seal, c.size = seal, c.size+int64(4+n+sha256.Size)
		rest = rest[4+n+sha256.Size:]
	}
	return len(c.commits) > 0
}

// save seals what this run added. A part that cannot be written is only missed the next time.
func (c *facts) save() {
	if c.file == "" || len(c.fresh) == 0 {
		return
	}
	if err := c.append(); err != nil {
		os.Remove(c.file)
	}
	c.fresh = nil
}

func (c *facts) append() error {
	// One writer at a time; the other one's facts are worked out again.
	lock, err := os.OpenFile(c.file+".lock", os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return c.stale()
	} else if err != nil {
		return err
	}
	defer os.Remove(lock.Name())
	defer lock.Close()
	var out bytes.Buffer
	if c.started {
		begin := head()
		out.WriteString(begin)
		c.seal = c.sum(nil, []byte(begin))
	}
	binary.Write(&out, binary.BigEndian, uint32(len(c.fresh)))
	out.Write(c.fresh)
	out.Write(c.sum(c.seal, c.fresh))
	if c.started {
		if _, err := lock.Write(out.Bytes()); err != nil {
			return err
		}
		if err := lock.Close(); err != nil {
			return err
		}
		return os.Rename(lock.Name(), c.file)
	}
	f, err := os.OpenFile(c.file, os.O_WRONLY|budget.NeverWait, 0o600)
	if err != nil {
		return err
	}
	if info, err := f.Stat(); err == nil && info.Size() < c.size {
		return errors.Join(errors.New("the cache was cut meanwhile"), f.Close())
	}
	_, err = f.WriteAt(out.Bytes(), c.size)
	return errors.Join(err, f.Truncate(c.size+int64(out.Len())), f.Close())
}

// stale takes away a lock that a program left behind when it was killed.
func (c *facts) stale() error {
	info, err := os.Stat(c.file + ".lock")
	if err == nil && time.Since(info.ModTime()) > time.Minute {
		return os.Remove(c.file + ".lock")
	}
	return nil
}

// OwnKey is the key in a folder that seals what is kept there for a reader: 32 random bytes that only his account can
// read, made where there is none. One that others could have read seals nothing, and is an error.
func OwnKey(folder string) ([]byte, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	if info, err := os.Stat(folder); err != nil || !ownedAlone(info, 0o022) {
		return nil, errors.Join(err, fmt.Errorf("others can write into %q", folder))
	}
	name := filepath.Join(folder, "key")
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		key := make([]byte, 32)
		rand.Read(key)
		f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
		if err != nil {
			return nil, err
		}
		_, err = f.Write(key)
		return key, errors.Join(err, f.Close())
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular() || info.Size() != 32 || !ownedAlone(info, 0o077):
		return nil, fmt.Errorf("%q is not 32 bytes that only its owner can read", name)
	}
	return budget.Read(name, 32)
}
