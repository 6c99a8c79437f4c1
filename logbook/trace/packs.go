package trace

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
	"syscall"

	"github.com/go-git/go-billy/v5"
	"github.com/go-git/go-git/v5/plumbing"
	"github.com/go-git/go-git/v5/plumbing/format/objfile"
)

// packFolder is where the packs lie, below the folder that work trees share.
const packFolder = "objects/pack"

// PackFolder reports whether a folder of a repository is the one of the packs.
func PackFolder(dir string) bool { return path.Clean(strings.ReplaceAll(dir, `\`, "/")) == packFolder }

// WholePacks leaves out of the files of a folder of packs each pack without its index, and each index without its pack.
// A pack is put in place before its index and taken away behind it, so that one alone is on its way, or was left by a
// program that was killed: git looks for packs by their indexes, while the storage looks for them by themselves.
func WholePacks[F interface{ Name() string }](files []F) []F {
	there := map[string]bool{}
	for _, f := range files {
		there[f.Name()] = true
	}
	whole := files[:0:0]
	for _, f := range files {
		stem, isPack := strings.CutSuffix(f.Name(), ".pack")
		if !isPack {
			stem = strings.TrimSuffix(f.Name(), ".idx")
		}
		if stem == f.Name() || there[stem+".pack"] && there[stem+".idx"] {
			whole = append(whole, f)
		}
	}
	return whole
}

func (b bounded) ReadDir(dir string) ([]fs.FileInfo, error) {
	files, err := b.Filesystem.ReadDir(dir)
	if PackFolder(dir) {
		files = WholePacks(files)
	}
	return files, err
}

// packsNow tells the packs that lie there, so that two looks can be compared.
func packsNow(common billy.Filesystem) string {
	files, _ := common.ReadDir(packFolder) // what cannot be listed is said where it is read
	var b strings.Builder
	for _, f := range files {
		if strings.HasSuffix(f.Name(), ".pack") || strings.HasSuffix(f.Name(), ".idx") {
			fmt.Fprintf(&b, "%s %d %d\n", f.Name(), f.Size(), f.ModTime().UnixNano())
		}
	}
	return b.String()
}

// The bounds of looking again: how often in all where the packs have not changed, since one error in listing them stays
// with the storage, and how often for one object where they change and change.
const (
	maxLooks   = 3
	maxChanges = 1000
)

// again opens the objects anew where that may help: git packs them anew while they are read, and takes the old packs
// away.
func (s *Store) again(err error) bool {
	var broken *BrokenError
	if now := packsNow(s.common); now == s.packs {
		if s.looks == maxLooks || errors.As(err, &broken) && broken.Missing {
			return false
		}
		s.looks++
	}
	s.objects.Close() // what was read is in memory
	s.open(s.all)
	return true
}

// looking tries a look at the objects until it succeeds or nothing speaks for another one. Each look has all of its
// bounds.
func (s *Store) looking(look func() error) error {
	for n := 0; ; n++ {
		s.search.begin()
		err := look()
		if err == nil || n == maxChanges || !s.again(err) {
			return err
		}
	}
}

// looseBytes reads the copy of an object that lies in a file of its own, whatever the packs hold. It is not hashed yet.
func (s *Store) looseBytes(h id) (kind plumbing.ObjectType, raw []byte, err error) {
	f, err := s.common.Open(loosePath(h))
	if err != nil {
		return kind, nil, err
	}
	defer f.Close()
	disk := &noting{Reader: f}
	defer func() {
		if err != nil && disk.failed != nil {
			err = disk.failed // the unpacking tells it as a fault of the bytes
		}
	}()
	r, err := objfile.NewReader(disk)
	if err != nil {
		return kind, nil, err
	}
	defer r.Close()
	kind, size, err := r.Header()
	if err != nil {
		return kind, nil, err
	}
	if size > maxObject {
		return kind, nil, errTooLarge
	}
	raw = make([]byte, size)
	_, err = io.ReadFull(r, raw)
	return kind, raw, err
}

// noting notes the error of a disk.
type noting struct {
	io.Reader
	failed error
}

func (n *noting) Read(b []byte) (int, error) {
	got, err := n.Reader.Read(b)
	if err != nil && err != io.EOF {
		n.failed = err
	}
	return got, err
}

func loosePath(h id) string {
	hex := h.String()
	return "objects/" + hex[:2] + "/" + hex[2:]
}

// passing reports whether an error says nothing of the bytes: this account may not read them, or too much is open at
// the moment.
func passing(err error) bool {
	for _, e := range []error{fs.ErrPermission, syscall.EMFILE, syscall.ENFILE, syscall.ENOMEM, syscall.EINTR} {
		if errors.Is(err, e) {
			return true
		}
	}
	return false
}

// unread reports whether an error is the disk's, and not one of the bytes that it gave.
func unread(err error) bool {
	var disk syscall.Errno
	return errors.As(err, &disk) && !errors.Is(err, fs.ErrNotExist)
}

// A DamagedCopy is an object in a file of its own that is not what its name says, while a pack holds the same object
// whole: nothing is lost, and whoever looks into the file first is misled.
type DamagedCopy struct {
	// Path is the file, below the folder that work trees share. Why says what is wrong with it.
	Path, Why string
	// Unread is true when the disk did not give its bytes, which may be whole.
	Unread bool
}

// DamagedCopies names the damaged copies in the repository whose work tree is dir.
func DamagedCopies(dir string) ([]DamagedCopy, error) {
	s, err := OpenStore(dir)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	return s.DamagedCopies()
}

// DamagedCopies names the damaged copies in the repository. Where there are packs, every object in a file of its
// own is read; git keeps few of them beside packs.
func (s *Store) DamagedCopies() ([]DamagedCopy, error) {
	if s.packs == "" {
		return nil, nil
	}
	names, err := storedFiles(s.common.Join(s.common.Root(), "objects"))
	if err != nil {
		return nil, err
	}
	var damaged []DamagedCopy
	for _, name := range names {
		hex := strings.Replace(name, "/", "", 1)
		if !hexID.MatchString(hex) {
			continue
		}
		h := plumbing.NewHash(hex)
		kind, raw, err := s.looseBytes(h)
		why := whole(h, kind, raw, err)
		var broken *BrokenError
		if !errors.As(why, &broken) || errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if _, _, err := s.Object(h); err == nil {
			damaged = append(damaged, DamagedCopy{"objects/" + name, broken.Why, broken.Unread})
		}
	}
	return damaged, nil
}
