package logbook

import (
	"crypto/sha256"
	"io"
	"io/fs"
	"sort"
)

// maxPicture is the size up to which pictures are compared: more is no photograph of a valve.
const maxPicture = 64 << 20

// findTwins finds pictures and traces with the very same bytes. Only those of one size can be, so that hardly any is read.
func (b *Book) findTwins(fsys fs.FS) {
	bySize := map[int64][]string{}
	for name, size := range b.pictures {
		if size > 0 && size <= maxPicture {
			bySize[size] = append(bySize[size], name)
		}
	}
	b.twins = map[string][]string{}
	for _, names := range bySize {
		if len(names) < 2 {
			continue
		}
		sort.Strings(names)
		bySum := map[[sha256.Size]byte][]string{}
		for _, name := range names {
			if sum, err := sumOf(fsys, name); err == nil {
				bySum[sum] = append(bySum[sum], name)
			}
		}
		for _, same := range bySum {
			for i, name := range same {
				b.twins[name] = append(append([]string{}, same[:i]...), same[i+1:]...)
			}
		}
	}
}

func sumOf(fsys fs.FS, name string) (sum [sha256.Size]byte, err error) {
	f, err := fsys.Open(name)
	if err != nil {
		return sum, err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, io.LimitReader(f, maxPicture)); err != nil {
		return sum, err
	}
	return [sha256.Size]byte(h.Sum(nil)), nil
}

// Twins lists the other pictures and traces of the book that hold the very same bytes, sorted.
func (b *Book) Twins(path string) []string { return b.twins[path] }
