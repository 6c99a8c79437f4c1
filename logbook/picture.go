package logbook

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	_ "image/jpeg" // the two kinds of picture that cameras and scanners on board write
	_ "image/png"
	"io"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"sort"
	"strings"
)

// maxPicture is the size up to which pictures are compared: more is no photograph of a valve.
const maxPicture = 64 << 20

// findTwins finds pictures and traces with the very same bytes. Only those of one size can be, so that hardly any is
// read.
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

// mostPixels is the most that a picture may unfold to: a small file whose header promises more is no photograph.
const mostPixels = 64 << 20

// findNoPictures looks at the header and the end of each picture that a record names, and keeps in words what makes it
// none.
func (b *Book) findNoPictures(fsys fs.FS) {
	b.noPicture, b.formats = map[string]string{}, map[string]string{}
	for _, o := range b.Overhauls {
		for _, p := range o.Attached() {
			if _, known := b.pictures[p.Written]; known {
				if p == o.Received.Scan && strings.EqualFold(path.Ext(p.Written), ".pdf") {
					if why := noDocument(fsys, p.Written); why != "" {
						b.noPicture[p.Written] = "a certificate; it " + why
					}
					continue
				}
				format, why := noPicture(fsys, p.Written)
				if why != "" {
					b.noPicture[p.Written] = "a JPEG or PNG picture; it " + why
				}
				b.formats[p.Written] = format
			}
		}
	}
}

// noDocument says what makes a file no PDF, as far as its first bytes tell; empty for one.
func noDocument(fsys fs.FS, name string) string {
	head := make([]byte, len("%PDF-"))
	f, err := fsys.Open(name)
	if err != nil {
		return "cannot be read"
	}
	defer f.Close()
	if _, err := io.ReadFull(f, head); err != nil || string(head) != "%PDF-" {
		return "is no PDF"
	}
	return ""
}

// noPicture says what makes a file no picture that can be shown; empty for one that can, as far as its header and its
// end tell. format is jpeg or png.
func noPicture(fsys fs.FS, name string) (format, why string) {
	f, err := fsys.Open(name)
	if err != nil {
		return "", "cannot be read"
	}
	defer f.Close()
	c, format, err := image.DecodeConfig(bufio.NewReader(f))
	switch {
	case err != nil:
		return "", "is neither a JPEG nor a PNG picture"
	case c.Width < 1 || c.Height < 1 || c.Width > mostPixels/c.Height:
		return format, fmt.Sprintf("unfolds to %d × %d", c.Width, c.Height)
	case breaksOff(f):
		return format, "breaks off before its end"
	}
	return format, ""
}

// fitPicture is a name that every system holds, every text can name and every command line takes. A blank in it ends
// the name where a record speaks of it, so that a signature would leave the picture behind.
var fitPicture = regexp.MustCompile(`^photos/(?:[A-Za-z0-9][A-Za-z0-9._-]*/)*[A-Za-z0-9][A-Za-z0-9._-]*$`)

// endingsOf are those that a picture of a format may have, the usual one first.
var endingsOf = map[string][]string{"jpeg": {".jpg", ".jpeg"}, "png": {".png"}}

// FitEnding is the usual ending of a picture's name by what is in it; that which it has where nobody looked.
func (b *Book) FitEnding(name string) string {
	if fit := endingsOf[b.formats[name]]; fit != nil && !slices.Contains(fit, strings.ToLower(path.Ext(name))) {
		return fit[0]
	}
	return strings.ToLower(path.Ext(name))
}

// unfitName says what a picture should be called; empty for a fit name.
func (b *Book) unfitName(name string) string {
	switch fit := b.FitEnding(name); {
	case !fitPicture.MatchString(name):
		return "a name under photos/ of letters, digits, points and dashes"
	case fit != strings.ToLower(path.Ext(name)):
		return "a name that ends in " + fit + ", for that is in it"
	}
	return ""
}

// breaksOff tells a picture that was copied in part. One that bears its format's end mark is taken as whole; any other
// is unfolded, since some cameras write more behind the mark.
func breaksOff(f fs.File) bool {
	s, ok := f.(io.ReadSeeker)
	if !ok {
		return false
	}
	var end [12]byte
	if _, err := s.Seek(-int64(len(end)), io.SeekEnd); err == nil {
		if _, err := io.ReadFull(s, end[:]); err == nil && (bytes.HasSuffix(bytes.TrimRight(end[:], "\x00\r\n"),
			[]byte{0xff, 0xd9}) || bytes.Equal(end[4:8], []byte("IEND"))) {
			return false
		}
	}
	if _, err := s.Seek(0, io.SeekStart); err != nil {
		return false
	}
	_, _, err := image.Decode(bufio.NewReader(s))
	return err != nil
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
