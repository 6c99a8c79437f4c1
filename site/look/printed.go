package look

import (
	"fmt"

	"needlebook/logbook/hypertext"
	"needlebook/site/page"
)

// PrintFile is the style sheet for the printer alone, which the other one asks for: it says at the foot of each printed
// sheet what it was made from.
const PrintFile page.Ref = "print.css"

// Printed is that style sheet, with words of the book, and which sheet of how many it is.
func Printed(foot string) []byte {
	return []byte(`@page { @bottom-left { content: "` + quotedInStyle(foot) + `"; ` +
		`text-align: left; font: 9pt sans-serif; } @bottom-right { content: "page " counter(page) " of " counter(pages); ` +
		`width: 6em; white-space: nowrap; text-align: right; font: 9pt sans-serif; } }` + "\n")
}

// quotedInStyle is a text within a quoted string of a style sheet: whatever it holds, it stays a text.
func quotedInStyle(text string) string {
	var b []byte
	for _, r := range hypertext.Visible(text) {
		switch {
		case 'a' <= r && r <= 'z', 'A' <= r && r <= 'Z', '0' <= r && r <= '9', r == ' ', r == '-', r == '.', r == ',':
			b = append(b, byte(r))
		default:
			b = fmt.Appendf(b, `\%06X`, r)
		}
	}
	return string(b)
}
