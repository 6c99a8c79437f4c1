package tree

import (
	"bufio"
	"strings"
	"sync"

	"github.com/adrg/frontmatter"
)

// Parts are a file between and behind its dashes.
type Parts struct {
	Front    string // front matter without its dashes
	Line     int    // of the opening dashes, from 1
	Body     string
	BodyLine int // on which the body begins

	Opening, Closing string // the two lines of dashes as they are written, with their line ends
}

// ErrNoFront says that a text has no front matter, or one that does not end.
var ErrNoFront = frontmatter.ErrNotFound

// Split parts a text with line ends \n and hands what stands between the dashes to read, which may keep it.
func Split(text string, read func(front string)) (p Parts, err error) {
	in := buffers.Get().(*bufio.Reader)
	defer buffers.Put(in)
	in.Reset(strings.NewReader(text))
	format := frontmatter.NewFormat("---", "---", func(data []byte, _ any) error {
		p.Front = string(data)
		read(p.Front)
		return nil
	})
	body, err := frontmatter.MustParse(in, nil, format)
	if err != nil {
		return p, err
	}
	// The library tells neither where the block began nor how its dashes were written: work it out from what is left
	// over.
	end := len(text) - len(body)
	closing := strings.LastIndexByte(strings.TrimSuffix(text[:end], "\n"), '\n') + 1
	front := max(closing-len(p.Front), 0)
	opening := strings.LastIndexByte(strings.TrimSuffix(text[:front], "\n"), '\n') + 1
	p.Line = strings.Count(text[:front], "\n")
	p.BodyLine = p.Line + strings.Count(text[front:end], "\n") + 1
	p.Body, p.Opening, p.Closing = text[end:], text[opening:front], text[closing:end]
	return p, nil
}

// buffers are kept for the room they have.
var buffers = sync.Pool{New: func() any { return bufio.NewReader(nil) }}
