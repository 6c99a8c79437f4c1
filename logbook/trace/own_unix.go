//go:build unix

package trace

import (
	"io/fs"
	"os"
	"syscall"
)

// ownedAlone reports whether a file is this account's, and nobody else may do what the bits in mask say.
func ownedAlone(info fs.FileInfo, mask fs.FileMode) bool {
	s, ok := info.Sys().(*syscall.Stat_t)
	return ok && int(s.Uid) == os.Getuid() && info.Mode().Perm()&mask == 0
}
