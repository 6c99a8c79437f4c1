package site

import (
	"strconv"
	"unicode/utf8"

	"needlebook/logbook"
)

// markup is HTML written in this package. Only constants of this package become markup: a text of a record is a string, and the
// compiler refuses it here. That, and [sheet.t], is what keeps a hostile record inert.
type markup string

// ref is a link to a page of the site, made by names and nowhere else: letters, digits, dashes, dots and one #.
type ref string

// sheet is one page being written. It belongs to one worker and is used again for the next page.
type sheet struct {
	*site
	b      []byte
	drawn  int      // drawings on the page so far, for their ids
	paged  int      // pagers on the page so far, for their names
	marked *remarks // the Markdown reader of this worker
}

// m appends markup.
func (s *sheet) m(parts ...markup) *sheet {
	for _, p := range parts {
		s.b = append(s.b, p...)
	}
	return s
}

// t appends text, escaped for an element and for a quoted attribute alike. Hidden characters are made visible.
func (s *sheet) t(text string) *sheet {
	s.b = appendText(s.b, text)
	return s
}

// i appends a whole number.
func (s *sheet) i(n int) *sheet {
	s.b = strconv.AppendInt(s.b, int64(n), 10)
	return s
}

// f appends a number of a drawing, with at most one decimal.
func (s *sheet) f(v float64) *sheet {
	s.b = strconv.AppendFloat(s.b, float64(int64(v*10+half(v)))/10, 'f', -1, 64)
	return s
}

func half(v float64) float64 {
	if v < 0 {
		return -0.5
	}
	return 0.5
}

// a appends a link; where there is no page it appends the text alone.
func (s *sheet) a(to ref, text string) *sheet {
	if to == "" || text == "" {
		return s.t(text)
	}
	return s.m(`<a href="`, markup(to), `">`).t(text).m(`</a>`)
}

// table begins a table, which scrolls by itself where the sheet is too narrow for it and becomes a list on a telephone; it ends with </tbody></table></div>.
func (s *sheet) table(class markup, columns ...markup) {
	s.m(`<div class="wide" tabindex="0"><table class="`, class, `"><thead><tr>`)
	for _, c := range columns {
		s.m(`<th scope="col">`, c, `</th>`)
	}
	s.m("</tr></thead><tbody>")
}

// visible is a text with its hidden and control characters written out: "⟨U+202E⟩".
func visible(text string) string {
	if plain(text) && utf8.ValidString(text) {
		return text
	}
	seen := true
	for _, r := range text {
		if r == utf8.RuneError || unseen(r) && r != '\n' && r != '\t' {
			seen = false
			break
		}
	}
	if seen {
		return text
	}
	return string(appendVisible(nil, text, func(b []byte, r rune) []byte { return utf8.AppendRune(b, r) }))
}

// plain says that a text holds neither hidden characters nor anything that HTML takes for markup.
func plain(text string) bool {
	for i := 0; i < len(text); i++ {
		if !quiet[text[i]] {
			return false
		}
	}
	return true
}

// quiet are the bytes that pass as they are: everything but controls, the characters of markup, and the first bytes under which
// hidden characters and C1 controls stand.
var quiet = func() (q [256]bool) {
	for i := 0x20; i < 0x7f; i++ {
		q[i] = true
	}
	for i := 0x80; i < 0x100; i++ {
		q[i] = true
	}
	for _, c := range []byte{'<', '>', '&', '"', '\'', 0xc2, 0xd8, 0xe2, 0xef, 0xc0, 0xc1, 0xf3, 0xf5, 0xff} {
		q[c] = false
	}
	q['\n'], q['\t'] = true, true
	return q
}()

func appendText(b []byte, text string) []byte {
	if plain(text) && utf8.ValidString(text) {
		return append(b, text...)
	}
	return appendVisible(b, text, func(b []byte, r rune) []byte {
		switch r {
		case '<':
			return append(b, "&lt;"...)
		case '>':
			return append(b, "&gt;"...)
		case '&':
			return append(b, "&amp;"...)
		case '"':
			return append(b, "&#34;"...)
		case '\'':
			return append(b, "&#39;"...)
		}
		return utf8.AppendRune(b, r)
	})
}

// appendVisible walks over a text, writes out what cannot be seen, and leaves the rest to put. What is not UTF-8 becomes U+FFFD.
func appendVisible(b []byte, text string, put func([]byte, rune) []byte) []byte {
	for _, r := range text {
		switch {
		case r == '\n' || r == '\t':
			b = append(b, byte(r))
		case unseen(r):
			b = append(b, "⟨U+"...)
			code := strconv.FormatInt(int64(r), 16)
			for range 4 - len(code) {
				b = append(b, '0')
			}
			for _, c := range []byte(code) {
				if c >= 'a' {
					c -= 'a' - 'A'
				}
				b = append(b, c)
			}
			b = append(b, "⟩"...)
		default:
			b = put(b, r)
		}
	}
	return b
}

// unseen says that a reader cannot see the character, or that it turns the order of the others: controls, what logbook calls
// hidden, the tag characters and the non-characters.
func unseen(r rune) bool {
	return r < 0x20 || r >= 0x7f && r < 0xa0 || logbook.Hidden(r) || r&0xfffe == 0xfffe
}
