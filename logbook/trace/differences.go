package trace

import (
	"errors"
	"strings"

	"github.com/go-git/go-git/v5/plumbing"
)

// A Difference is one file in which two trees differ.
type Difference struct {
	// Path is where the file stands in the later tree; in the earlier one when it is gone. From is where it stood before,
	// when it moved; else empty.
	Path, From string
	// Was and Is are its text before and after, the zero id where it is not there; Mode is as git writes it, of the later
	// tree where the file is in it.
	Was, Is plumbing.Hash
	Mode    string
}

// Differences lists the files in which the tree now differs from the tree before, moves joined. The cost follows the
// change, not the book.
func (s *Store) Differences(before, now plumbing.Hash) ([]Difference, error) {
	steps, err := s.steps(before, now)
	list := make([]Difference, 0, len(steps))
	for _, st := range steps {
		d := Difference{Path: st.path, From: st.from, Was: st.was.id, Is: st.is.id, Mode: st.is.mode}
		if d.Mode == "" {
			d.Mode = st.was.mode
		}
		list = append(list, d)
	}
	return list, err
}

// At is the text that stands at a path in a tree, the zero id where none does.
func (s *Store) At(tree plumbing.Hash, path string) (plumbing.Hash, error) {
	e, err := s.lookup(tree, strings.Split(path, "/")...)
	if e.isTree() || e.mode == modeChild {
		return plumbing.ZeroHash, err
	}
	return e.id, err
}

// Blob returns a text by its id, hashed again. The error is a *BrokenError when it is not there or not what its id
// says.
func (s *Store) Blob(blob plumbing.Hash) ([]byte, error) { return s.read(blob, plumbing.BlobObject) }

// Has says by a nil error that an object is there; its bytes are not looked at. The error is a *BrokenError otherwise.
func (s *Store) Has(h plumbing.Hash) error {
	return s.looking(func() error {
		// HasEncodedObject passes over packs when the store is opened for one user.
		_, err := s.objects.EncodedObjectSize(h)
		if errors.Is(err, plumbing.ErrObjectNotFound) {
			if _, there := s.common.Stat(loosePath(h)); there == nil {
				return nil // it came since the objects were listed
			}
			return &BrokenError{ID: h.String(), Why: "is missing", Missing: true}
		}
		return err
	})
}
