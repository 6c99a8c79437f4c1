package exchange

import (
	"io/fs"

	"github.com/go-git/go-git/v5/plumbing/format/index"
)

// Stamp enters in the index what tells git that a file is the one it knows. All that the system knows of a file is
// entered: git compares it before it looks at the text, and some of its commands do not look.
func Stamp(e *index.Entry, info fs.FileInfo) {
	e.Size, e.ModifiedAt = uint32(info.Size()), info.ModTime()
	stampSystem(e, info.Sys())
}
