package site

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"slices"
)

// How many lines of a file one page shows. A record stands on one page, and what is longer than any record is cut; other files go on
// over several pages.
const (
	linesOnPage = 370
	mostLines   = 2000
	mostColumn  = 4000
)

// countLines are the lines of a text.
func countLines(text []byte) int {
	n := bytes.Count(text, []byte("\n"))
	if len(text) > 0 && text[len(text)-1] != '\n' {
		n++
	}
	return n
}

// textOf writes lines from and up to of a file of the book as it is written, each with an id, so that a finding can point to it.
func (s *sheet) textOf(path string, from, upto int) {
	s.m(`<section class="text" id="text"><h2>As written</h2>`)
	src, err := fs.ReadFile(s.Files, path)
	if err != nil {
		s.m(`<p class="loud">The file could not be read.</p></section>`)
		return
	}
	sum := sha256.Sum256(src)
	s.m(`<p class="src"><code>`).t(path).m(`</code> · `).i(len(src)).m(` bytes · SHA-256 <code class="digest">`).t(hex.EncodeToString(sum[:])).m("</code></p><pre>")
	marked := s.linesPointedAt(path)
	n := 0
	for line := range bytes.Lines(src) {
		if n++; n < from {
			continue
		}
		if n > upto {
			break
		}
		s.m(`<span id="`, markup(lineID(n)), `"`)
		if _, hit := slices.BinarySearch(marked, n); hit {
			s.m(` class="hit"`)
		}
		s.m(`><b>`).i(n).m("</b>").t(cut(string(bytes.TrimRight(line, "\r\n")), mostColumn)).m("</span>\n")
	}
	s.m("</pre>")
	if n > upto && upto == mostLines {
		s.m("<p>The file goes on; no record is that long.</p>")
	}
	s.m("</section>")
}

// linesPointedAt are the lines of a file that a finding names, in order.
func (s *site) linesPointedAt(path string) []int {
	var lines []int
	for _, f := range s.found.path[path] {
		lines = append(lines, f.Place.Line)
	}
	slices.Sort(lines)
	return slices.Compact(lines)
}
