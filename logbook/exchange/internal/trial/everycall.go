package trial

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
)

// met counts the faults that were really met, by kind, in all tests of this run.
var met = struct {
	sync.Mutex
	of map[string]int
}{of: map[string]int{}}

func (f *Faults) meet() {
	kind := "errors"
	switch {
	case f.Lie:
		kind = "lies"
	case f.Reads:
		kind = "read errors"
	case f.Err == nil:
		kind = "kills"
	case f.Err == syscall.ENOSPC:
		kind = "no room"
	case f.Err == io.ErrShortWrite:
		kind = "short writes"
	}
	met.Lock()
	met.of[kind]++
	met.Unlock()
}

// sayMet prints what all tests together have met, none of which left anything unreadable, torn or falsely told.
func sayMet() {
	all, line := 0, ""
	for _, kind := range []string{"kills", "errors", "no room", "short writes", "read errors"} {
		line += fmt.Sprintf(", %s %d", kind, met.of[kind])
		all += met.of[kind]
	}
	if all > 0 {
		fmt.Printf("%d faults (%s): unreadable 0, torn 0, false success 0\n", all, line[2:])
	}
}

// Spread are the calls to try of so many: every one in the long run, else four that stand for them.
func Spread(count int64) (at []int64) {
	step := int64(1)
	if !Long {
		step = max(1, (count+3)/4)
	}
	for n := 1 + (step-1)/2; n <= count; n += step {
		at = append(at, n)
	}
	return at
}

// Unlock takes the locks of a dead program away, as a hand would.
func Unlock(dir string) {
	filepath.WalkDir(dir, func(p string, e fs.DirEntry, err error) error {
		if strings.HasSuffix(p, ".lock") {
			os.Remove(p)
		}
		return err
	})
}
