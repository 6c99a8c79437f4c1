package trace

import (
	"bytes"
	"compress/zlib"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"github.com/pjbgf/sha1cd"

	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// worthHashing is how many bytes of the object store are hashed for the sake of what is known, and
// worthEach how many more for each commit known: beyond it, as with thousands of photos, reading the
// commits again is the faster way.
const (
	worthHashing = 64 << 20
	worthEach    = 32 << 10
)

// holds reports whether the files below objects are those that the facts were read from. Files that have
// come since are taken in: a loose object when its bytes match its name, for then nobody swapped it; a
// pack only into an empty cache, because it may hold another copy of what is known.
func (c *facts) holds(objects string) bool {
	names, err := storedFiles(objects)
	if err != nil {
		return false
	}
	left := atomic.Int64{}
	left.Store(worthHashing + int64(len(c.commits))*worthEach)
	empty, workers := len(c.stored) == 0, runtime.GOMAXPROCS(0)
	sums, held := make([]digest, len(names)), make([]bool, workers)
	var done fault.Group
	for w := range workers {
		done.Go(func() {
			var buf bytes.Buffer
			for i := w; i < len(names); i += workers {
				old, known := c.stored[names[i]]
				look := !known && !empty
				sum, whole, err := hashStored(objects, names[i], look, &buf, &left)
				if err != nil || known && sum != old || look && !whole {
					return
				}
				sums[i] = sum
			}
			held[w] = true
		})
	}
	done.Wait()
	if slices.Contains(held, false) {
		return false
	}
	for i, name := range names {
		if _, known := c.stored[name]; !known {
			c.stored[name] = sums[i]
			(*packer)(&c.fresh).file(name, sums[i])
		}
	}
	return len(names) == len(c.stored) // none is gone
}

// storedFiles lists what objects are read from: packs with their indexes, and loose objects.
func storedFiles(objects string) (names []string, err error) {
	folders, err := os.ReadDir(objects)
	if err != nil {
		return nil, err
	}
	for _, f := range folders {
		if !f.IsDir() || f.Name() != "pack" && len(f.Name()) != 2 {
			continue
		}
		files, err := os.ReadDir(filepath.Join(objects, f.Name()))
		if err != nil {
			return nil, err
		}
		files = WholePacks(files)
		for _, e := range files {
			inPack := strings.HasSuffix(e.Name(), ".pack") || strings.HasSuffix(e.Name(), ".idx")
			if f.Name() == "pack" && inPack || f.Name() != "pack" && len(e.Name()) == 38 {
				names = append(names, f.Name()+"/"+e.Name())
			}
		}
	}
	return names, nil
}

// errNotWorth says that so much would have to be hashed that reading is the faster way.
var errNotWorth = errors.New("more bytes than it is worth")

// hashStored hashes a file as it lies on the disk. When look is set it also says whether the file is a
// loose object whose bytes match its name.
func hashStored(objects, name string, look bool, buf *bytes.Buffer, left *atomic.Int64) (sum digest, whole bool,
	err error) {
	f, err := budget.Open(filepath.Join(objects, filepath.FromSlash(name)), math.MaxInt64)
	if err != nil {
		return sum, false, err
	}
	defer f.Close()
	h := sha256.New()
	buf.Reset()
	for part := int64(64 << 10); ; {
		if !look {
			buf.Reset()
		}
		n, err := buf.ReadFrom(io.LimitReader(f, part))
		h.Write(buf.Bytes()[buf.Len()-int(n):])
		switch {
		case err != nil:
			return sum, false, err
		case left.Add(-n) < 0:
			return sum, false, errNotWorth
		case n < part:
			return digest(h.Sum(nil)), look && looseID(buf) == strings.Replace(name, "/", "", 1), nil
		}
	}
}

// looseID is the id of the object that a loose file holds, empty when it holds none.
func looseID(raw io.Reader) string {
	z, err := zlib.NewReader(raw)
	if err != nil {
		return ""
	}
	h := sha1cd.New().(sha1cd.CollisionResistantHash)
	if _, err := io.Copy(h, io.LimitReader(z, maxObject+64)); err != nil {
		return ""
	}
	b, collision := h.CollisionResistantSum(nil)
	if collision {
		return ""
	}
	return hex.EncodeToString(b)
}
