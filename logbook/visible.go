package logbook

import (
	"bytes"
	"fmt"
	"unicode"
	"unicode/utf8"
)

var byteOrderMark = []byte("\ufeff")

// Invisible says that a character is a control character, invisible, or turns the text around it; line ends and tabs
// are none.
func Invisible(r rune) bool { return r != '\n' && r != '\t' && (unicode.IsControl(r) || Hidden(r)) }

// Visible is a text for another program or for a file, with each unseen character as its code: what a stranger wrote
// into a record moves nobody's cursor and turns no line round, wherever the text is shown. In JSON the code is JSON's
// own, so that the value stays. A carriage return before a line feed is a line end, and the mark by which spreadsheets
// know UTF-8 stays at the beginning.
func Visible(text []byte) []byte {
	at := 0
	for at < len(text) && text[at] < 0x7f && (text[at] >= ' ' || text[at] == '\n' || text[at] == '\t') {
		at++
	}
	if at == len(text) {
		return text // nearly always
	}
	if at == 0 && bytes.HasPrefix(text, byteOrderMark) {
		at = len(byteOrderMark)
	}
	shown := append(make([]byte, 0, len(text)+64), text[:at]...)
	for at < len(text) {
		r, size := utf8.DecodeRune(text[at:])
		lineEnd := r == '\r' && at+1 < len(text) && text[at+1] == '\n'
		switch {
		case r == utf8.RuneError && size == 1:
			shown = fmt.Appendf(shown, `\x%02x`, text[at])
		case r > 0xffff && Invisible(r): // as JSON has it, in two halves
			shown = fmt.Appendf(shown, `\u%04x\u%04x`, 0xd800+(r-0x10000)>>10, 0xdc00+(r-0x10000)&0x3ff)
		case Invisible(r) && !lineEnd:
			shown = fmt.Appendf(shown, `\u%04x`, r)
		default:
			shown = append(shown, text[at:at+size]...)
		}
		at += size
	}
	return shown
}
