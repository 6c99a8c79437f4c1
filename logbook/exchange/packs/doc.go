// Package packs reads and writes git's pack files (Documentation/gitformat-pack of git): a strange one with bounded
// memory and no trust in a single byte of it, an own one as small as deltas against what the other side holds can make
// it. It knows objects and their ids, and leaves to package exchange where packs come from and what a history is.
//
// Begin with Read and Write.
//
// Texts of a strange pack are hashed as they come and never held.
package packs

import (
	"bytes"
	"fmt"
	"io"

	"github.com/go-git/go-git/v5/plumbing"
	"github.com/pjbgf/sha1cd"
)

// An Object is one object of git with its bytes.
type Object struct {
	Kind plumbing.ObjectType
	Raw  []byte
}

// A Source finds objects that are not in the pack at hand. The error is plumbing.ErrObjectNotFound where there surely
// is none of that id; any other says nothing about the pack.
type Source func(id plumbing.Hash) (Object, error)

// A FormError says that bytes are no pack that may be taken in, and why. Nothing of it is used.
type FormError struct{ Why string }

func (e *FormError) Error() string { return "not a pack that can be taken in: " + e.Why }

func refuse(format string, a ...any) error { return &FormError{fmt.Sprintf(format, a...)} }

// The bounds of what is taken in: far above a book's, far below what would fill a computer.
const (
	maxObject  = 64 << 20 // bytes of one object: photos are the largest thing in a book
	maxObjects = 1_000_000
	maxDepth   = 4095 // of deltas upon deltas, as git bounds it
	cacheSize  = 64 << 20
)

// maxWork is how many bytes the objects of a pack may unpack to, deltas counted with what they make: much for a small
// pack, and for a large one ten times what a book of fifty thousand records needs.
func maxWork(came int64) int64 { return 256<<20 + 200*came }

// ID is the name git gives to an object. The error is for bytes that bear the marks of a SHA-1 collision attack.
func ID(o Object) (plumbing.Hash, error) {
	return idOf(o.Kind, bytes.NewReader(o.Raw), int64(len(o.Raw)))
}

// idOf is ID for the bytes of a stream, which must be as many as are said.
func idOf(kind plumbing.ObjectType, raw io.Reader, size int64) (plumbing.Hash, error) {
	d := sha1cd.New().(sha1cd.CollisionResistantHash)
	fmt.Fprintf(d, "%s %d\x00", kind, size)
	got, err := io.Copy(d, io.LimitReader(raw, size+1))
	if err == nil && got != size {
		err = refuse("an object is not as long as it says")
	}
	if err != nil {
		return plumbing.Hash{}, err
	}
	sum, collision := d.CollisionResistantSum(nil)
	if collision {
		return plumbing.Hash{}, refuse("an object bears the marks of a SHA-1 collision attack")
	}
	return plumbing.Hash(sum), nil
}
