package page

import (
	"strings"
	"unicode/utf8"
)

// Slug is an identity in the letters of a file name: lower case, everything else one dash.
func Slug(identity string) string {
	var b strings.Builder
	dash := false
	for _, r := range strings.ToLower(identity) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			if dash && b.Len() > 0 {
				b.WriteByte('-')
			}
			b.WriteRune(r)
			dash = false
		default:
			dash = true
		}
	}
	return b.String()
}

// Cut keeps at most so many bytes of a text, and no half of a character.
func Cut(s string, most int) string {
	if len(s) <= most {
		return s
	}
	for most > 0 && !utf8.RuneStart(s[most]) {
		most--
	}
	return s[:most]
}
