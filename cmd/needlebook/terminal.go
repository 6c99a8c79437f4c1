package main

import (
	"fmt"
	"io"
	"unicode/utf8"

	"needlebook/logbook"
)

// A terminal is where words for a person go. Records and names in commits are a stranger's: a control character, or one
// that is hidden or turns the text around it, is shown by its code, so that nothing in a book moves the cursor, colours
// or rewrites what stands there.
type terminal struct{ io.Writer }

func (t terminal) Write(text []byte) (int, error) {
	var shown []byte
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		switch {
		case r == utf8.RuneError && size == 1 && utf8.FullRune(text[i:]):
			shown = fmt.Appendf(shown, `\x%02x`, text[i])
		case logbook.Invisible(r):
			code := fmt.Sprintf("%+q", r)
			shown = append(shown, code[1:len(code)-1]...)
		default:
			shown = append(shown, text[i:i+size]...)
		}
		i += size
	}
	if _, err := t.Writer.Write(shown); err != nil {
		return 0, err
	}
	return len(text), nil
}

// A plain stream is where data for another program go: see [logbook.Visible]. Each Write is one whole text.
type plain struct{ io.Writer }

func (p plain) Write(text []byte) (int, error) {
	if _, err := p.Writer.Write(logbook.Visible(text)); err != nil {
		return 0, err
	}
	return len(text), nil
}
