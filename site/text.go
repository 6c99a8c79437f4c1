package site

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

// Longer texts are shown in part: the beginning, the end, and the lines that a finding or a limit points to.
const (
	mostLines  = 500
	firstLines = 60
	lastLines  = 120
	mostBytes  = 256 << 10
)

// textOf writes a file of the book as it is written, each line with an id, so that a finding can point to it.
func (s *sheet) textOf(path string) {
	s.m(`<section class="text" id="text"><h2>As written</h2>`)
	src, err := fs.ReadFile(s.Files, path)
	if err != nil {
		s.m(`<p class="loud">The file could not be read.</p></section>`)
		return
	}
	sum := sha256.Sum256(src)
	s.m(`<p class="src"><code>`).t(path).m(`</code> · `).i(len(src)).m(` bytes · SHA-256 <code class="digest">`).t(hex.EncodeToString(sum[:])).m("</code></p>")
	if len(src) > mostBytes*64 {
		s.m("<p>The file is too large to be shown here.</p></section>")
		return
	}
	text := strings.TrimSuffix(strings.ReplaceAll(string(src), "\r\n", "\n"), "\n")
	lines := strings.Split(text, "\n")
	marked := s.linesPointedAt(path, len(lines))
	show := func(int) bool { return true }
	if len(lines) > mostLines || len(src) > mostBytes {
		show = func(n int) bool {
			return n <= firstLines || n > len(lines)-lastLines || nearMark(marked, n)
		}
	}
	s.m("<pre>")
	gap := false
	for i, line := range lines {
		n := i + 1
		if !show(n) {
			gap = true
			continue
		}
		if gap {
			s.m("<i>…</i>\n")
			gap = false
		}
		s.m(`<span id="`, markup(lineID(n)), `"`)
		if _, hit := slices.BinarySearch(marked, n); hit {
			s.m(` class="hit"`)
		}
		s.m(`><b>`).t(strconv.Itoa(n)).m("</b>").t(cut(line, 4000)).m("</span>\n")
	}
	s.m("</pre></section>")
}

// linesPointedAt are the lines of a file that a finding names, in order.
func (s *site) linesPointedAt(path string, most int) []int {
	var lines []int
	for _, f := range s.found.path[path] {
		if f.Place.Line > 0 && f.Place.Line <= most {
			lines = append(lines, f.Place.Line)
		}
	}
	slices.Sort(lines)
	return slices.Compact(lines)
}

func nearMark(marked []int, n int) bool {
	i, _ := slices.BinarySearch(marked, n-1)
	return i < len(marked) && marked[i] <= n+1
}
