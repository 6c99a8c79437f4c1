// Package hypertext writes HTML. Only constants become markup: a text of a record is a string, and the compiler refuses
// it where markup is expected. That, and [Pen.T], is what keeps a hostile record inert.
//
// The templates of the standard library are not used: they find methods by their names as the program runs, so that the
// linker has to keep every method of every type that is anywhere a value, 6.7 MB of them.
package hypertext

import (
	"strconv"
	"unicode/utf8"

	"needlebook/logbook"
)

// Markup is HTML written in the source.
type Markup string

// Pen writes HTML to B.
type Pen struct{ B []byte }

// M appends markup.
func (p *Pen) M(parts ...Markup) *Pen {
	for _, s := range parts {
		p.B = append(p.B, s...)
	}
	return p
}

// If appends markup where something holds.
func (p *Pen) If(holds bool, parts ...Markup) *Pen {
	if holds {
		p.M(parts...)
	}
	return p
}

// T appends text within an element. Hidden characters are made visible.
func (p *Pen) T(text string) *Pen {
	p.B = AppendText(p.B, text, false)
	return p
}

// V appends the value of a quoted attribute.
func (p *Pen) V(value string) *Pen {
	p.B = AppendText(p.B, value, true)
	return p
}

// I appends a whole number.
func (p *Pen) I(n int) *Pen {
	p.B = strconv.AppendInt(p.B, int64(n), 10)
	return p
}

// Visible is a text with its hidden and control characters written out: "⟨U+202E⟩".
func Visible(text string) string {
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

// quiet are the bytes that pass as they are: everything but controls, the characters of markup, and the first bytes
// under which hidden characters and C1 controls stand.
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

// AppendText escapes a text for an element, or for a quoted attribute, where quotes are markup as well.
func AppendText(b []byte, text string, quoted bool) []byte {
	if plain(text) && utf8.ValidString(text) {
		return append(b, text...)
	}
	return appendVisible(b, text, func(b []byte, r rune) []byte {
		switch {
		case r == '<':
			return append(b, "&lt;"...)
		case r == '>':
			return append(b, "&gt;"...)
		case r == '&':
			return append(b, "&amp;"...)
		case r == '"' && quoted:
			return append(b, "&#34;"...)
		case r == '\'' && quoted:
			return append(b, "&#39;"...)
		}
		return utf8.AppendRune(b, r)
	})
}

// appendVisible walks over a text, writes out what cannot be seen, and leaves the rest to put. What is not UTF-8
// becomes U+FFFD.
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

// unseen says that a reader cannot see the character, or that it turns the order of the others: controls, what
// logbook calls hidden, the tag characters and the non-characters.
func unseen(r rune) bool {
	return r < 0x20 || r >= 0x7f && r < 0xa0 || logbook.Hidden(r) || r&0xfffe == 0xfffe
}
