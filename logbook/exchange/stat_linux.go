package exchange

import (
	"syscall"
	"time"

	"github.com/go-git/go-git/v5/plumbing/format/index"
)

func stampSystem(e *index.Entry, sys any) {
	if s, ok := sys.(*syscall.Stat_t); ok {
		e.CreatedAt = time.Unix(int64(s.Ctim.Sec), int64(s.Ctim.Nsec))
		e.Dev, e.Inode, e.UID, e.GID = uint32(s.Dev), uint32(s.Ino), s.Uid, s.Gid
	}
}
