package edit

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/tree"
)

// Choice is one text that somebody may have meant. Which, only he knows.
type Choice struct {
	Type string // what to type: "57705 h"; empty where nothing is typed
	Do   string // where nothing is typed, what is done: "make line 3 a remark"
	Text []byte // the whole file with it
}

// String is the choice in words.
func (c Choice) String() string {
	if c.Type == "" {
		return c.Do
	}
	return "type " + c.Type
}

// Offer puts choices into one line: "type 57705 h, or 57.705 h".
func Offer(choices []Choice) string {
	var words []string
	for i, c := range choices {
		w := c.String()
		if i > 0 && c.Type != "" && choices[i-1].Type != "" {
			w = c.Type
		}
		words = append(words, w)
	}
	return strings.Join(words, ", or ")
}

// Choices are the ways to put a slip right that a human may choose from, the likeliest first: each leads to a text
// without that slip and with no other. There are none where only the writer knows what belongs there. name is the
// file's path in the book.
func Choices(name string, src []byte, p logbook.Problem) []Choice {
	if p.Newer {
		return nil
	}
	before := logbook.Problems(name, src)
	var all []Choice
	offer := func(typed, done string, text []byte) {
		if text != nil && !bytes.Equal(text, src) && cured(name, text, before, p) &&
			!slices.ContainsFunc(all, func(c Choice) bool { return bytes.Equal(c.Text, text) }) {
			all = append(all, Choice{typed, done, text})
		}
	}
	pg := pageOf(name, src)
	if text := restructured(src, p); text != nil {
		offer(p.Type, "", text)
	}
	if from, to, ok := pg.valueAt(p.Place); ok {
		for _, meant := range p.Meant {
			offer(meant, "", splice(src, from, to, meant))
		}
		if from < to && from > 0 && (src[from-1] == '"' || src[from-1] == '\'') && len(p.Meant) > 0 &&
			strings.HasPrefix(p.Meant[0], "[") {
			offer(p.Meant[0], "", splice(src, from-1, to+1, p.Meant[0])) // a list stands without the quotes
		}
	}
	at := pg.lines.Offset(p.Place.Line, p.Place.Column)
	if from, to, ok := token(src, at, p.Found); ok && p.Type != "" { // a key, a column's name
		offer(p.Type, "", splice(src, from, to, p.Type))
	}
	wholeLines(pg, p, func(done string, text []byte) { offer("", done, text) })
	return all
}

// cured says that the slip is gone and nothing else is amiss that was not before.
func cured(name string, text []byte, before []logbook.Problem, p logbook.Problem) bool {
	after := logbook.Problems(name, text)
	count := func(all []logbook.Problem) (n int) {
		for _, x := range all {
			if sameSlip(x, p) {
				n++
			}
		}
		return n
	}
	if count(after) >= count(before) {
		return false
	}
	// Behind these something was not read; what is amiss there shows only now.
	broken := p.Slip == logbook.SlipYAML || p.Slip == logbook.SlipNotClosed || p.Slip == logbook.SlipNoFrontMatter ||
		p.Slip == logbook.SlipDocument || p.Slip == logbook.SlipHeader || p.Slip == logbook.SlipRepeatedKey
	return broken || !brings(after, before)
}

// brings says that something is amiss afterwards that was not before.
func brings(after, before []logbook.Problem) bool {
	return slices.ContainsFunc(after, func(x logbook.Problem) bool {
		return !slices.ContainsFunc(before, func(y logbook.Problem) bool { return sameSlip(x, y) })
	})
}

// sameSlip says that two problems are one in a text before and after a change; of broken YAML the line is what is
// changed.
func sameSlip(x, y logbook.Problem) bool {
	return x.Slip == y.Slip && x.Key == y.Key && (x.Found == y.Found || x.Slip == logbook.SlipYAML)
}

// wholeLines offers what is done to whole lines: a key made a remark, a line of dashes put in, a character taken out.
func wholeLines(pg *page, p logbook.Problem, offer func(done string, text []byte)) {
	src, lines := pg.src, pg.lines
	if !lines.Has(p.Place.Line) {
		return
	}
	remark := func(number int) []byte {
		at := lines.Start(number)
		return splice(src, at, at, "# ")
	}
	eol := tree.LineEnd(src)
	start, text, top := lines.Start(p.Place.Line), lines.Text(p.Place.Line), lines.Start(1)
	switch p.Slip {
	case logbook.SlipUnknownKey, logbook.SlipYAML, logbook.SlipAnchor, logbook.SlipTag, logbook.SlipShape:
		offer(fmt.Sprintf("make line %d a remark", p.Place.Line), remark(p.Place.Line))
	case logbook.SlipRepeatedKey:
		offer(fmt.Sprintf("keep line %d, make line %d a remark", p.Related.Line, p.Place.Line), remark(p.Place.Line))
		if p.Related.Line > 0 {
			offer(fmt.Sprintf("keep line %d, make line %d a remark", p.Place.Line, p.Related.Line), remark(p.Related.Line))
		}
	case logbook.SlipDocument:
		offer("take the line out", splice(src, start, min(start+len(text)+len(eol), len(src)), ""))
	case logbook.SlipDelimiter:
		offer("---", splice(src, start, start+len(text), "---"))
		blank := len(src[top:]) - len(bytes.TrimLeft(src[top:], " \t\r\n"))
		offer("take the blank lines out", splice(src, top, top+blank, ""))
	case logbook.SlipNoFrontMatter:
		offer("--- on the first line", splice(src, top, top, "---"+eol))
		offer("--- before and after", append(splice(src, top, top, "---"+eol), []byte("---"+eol)...))
	case logbook.SlipNotClosed:
		for i := p.Place.Line + 1; i <= lines.Count(); i++ { // the first line that is no key, nor belongs to one
			if text := lines.Text(i); text == "" || !keyLike.MatchString(text) {
				offer(fmt.Sprintf("--- before line %d", i), splice(src, lines.Start(i), lines.Start(i), "---"+eol))
			}
		}
		tail := "---" + eol
		if n := len(src); n > 0 && src[n-1] != '\n' && src[n-1] != '\r' {
			tail = eol + tail
		}
		offer("--- at the end", splice(src, len(src), len(src), tail))
	case logbook.SlipHidden, logbook.SlipControl:
		if at := lines.Offset(p.Place.Line, p.Place.Column); at >= 0 && at < len(src) {
			offer("take the character out", splice(src, at, at+len(string([]rune(string(src[at:]))[:1])), ""))
		}
	case logbook.SlipRow:
		if missing := strings.Count(lines.Text(1), ",") - strings.Count(text, ","); missing > 0 {
			end := start + len(text)
			offer("empty cells at its end", splice(src, end, end, strings.Repeat(",", missing)))
		}
	}
}

var keyLike = regexp.MustCompile(`^( |\t|-|#|[A-Za-z_"'][A-Za-z0-9_ "']*:)`)
