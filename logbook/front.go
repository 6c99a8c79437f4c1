package logbook

import (
	"bytes"
	"encoding/binary"
	"errors"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf16"
	"unicode/utf8"

	"needlebook/logbook/tree"
)

// NothingWritten is what a file holds that a computer made and never filled.
const NothingWritten = "nothing but NUL bytes"

// Size caps before parsing, in bytes. A record is a few kilobytes; what is larger was not written by hand.
const (
	maxRecord = tree.Largest
	maxTable  = 8 << 20
)

// File is what every read Markdown file knows of itself.
type File struct {
	Path     string // relative to the book
	Opening  Place  // the opening dashes of the front matter
	BodyLine int    // line on which the Markdown below the front matter begins
}

// document is one file taken apart.
type document struct {
	path     string
	front    string // front matter without its dashes, line ends as \n
	line     int    // line of the opening dashes
	body     string
	bodyLine int
	problems []Problem

	reader *tree.Reader // of the front matter, with its nodes; nil before it is read and once it is released
	root   *tree.Node   // where it is plain YAML
}

func (d *document) problem(line, column int, slip, found, expected, typed string, read bool) {
	d.problems = append(d.problems, Problem{Place: Place{d.path, line, column}, Slip: slip, Found: found,
		Expected: expected, Type: typed, Read: read})
}

// plainText brings the bytes of a file to UTF-8 with \n line ends, and reports what it met. ok is false where the text
// cannot be read.
func (d *document) plainText(src []byte, most int) (text string, ok bool) {
	if len(src) > most {
		d.problem(0, 0, SlipTooLarge, strconv.Itoa(len(src))+" bytes", "at most "+strconv.Itoa(most)+" bytes", "", false)
		return "", false
	}
	// UTF-16 that lost its mark
	if len(src)%2 == 0 && len(src) > 4 && src[0] != 0 && src[1] == 0 && src[2] != 0 && src[3] == 0 {
		src = append([]byte{0xff, 0xfe}, src...)
	}
	switch {
	case bytes.HasPrefix(src, []byte{0xff, 0xfe}), bytes.HasPrefix(src, []byte{0xfe, 0xff}):
		src = fromUTF16(src)
		d.problem(1, 1, SlipEncoding, "UTF-16 text", "UTF-8: choose it when saving", "", true)
	case bytes.HasPrefix(src, tree.Mark):
		src = src[3:]
		d.problem(1, 1, SlipByteOrderMark, "a byte-order mark before the first character", "UTF-8 without a byte-order mark",
			"", true)
	}
	if len(src) > 0 && len(bytes.Trim(src, "\x00")) == 0 {
		d.problem(1, 1, SlipEncoding, NothingWritten, "a text: it was not saved whole", "", false)
		return "", false
	}
	if !utf8.Valid(src) {
		line, column := firstInvalid(src)
		d.problem(line, column, SlipEncoding, "bytes that are not UTF-8", "UTF-8: choose it when saving", "", false)
		return "", false
	}
	text = tree.PlainEnds(string(src))
	d.hidden(text)
	d.misread(text)
	return text, true
}

// PlainText is the text of a file from elsewhere: UTF-8, UTF-16, else Windows-1252, which windows says. ok is false for
// what is no text in any of them, or larger than most.
func PlainText(src []byte, most int) (text string, windows, ok bool) {
	d := &document{}
	if text, ok = d.plainText(src, most); ok {
		return text, false, !strings.ContainsRune(text, 0)
	}
	if len(src) > most || bytes.IndexByte(src, 0) >= 0 {
		return "", false, false
	}
	letters := make([]rune, len(src))
	for i, b := range src {
		letters[i] = rune(b)
		if b >= 0x80 && b < 0xa0 {
			letters[i] = upperOf1252[b-0x80]
		}
	}
	text = string(letters)
	return tree.PlainEnds(text), true, !strings.ContainsRune(text, 0)
}

// misread reports the first letter that was written as UTF-8, read as Latin-1 or Windows-1252, and saved so: "Ã©" for
// é.
func (d *document) misread(text string) {
	const letters = "ÂÃÄÅâ" // which begin with the same byte in UTF-8
	for i := 0; ; {
		at := strings.IndexByte(text[i:], letters[0])
		if at < 0 {
			return
		}
		i += at
		r, size := utf8.DecodeRuneInString(text[i:])
		if !strings.ContainsRune(letters, r) {
			i += size
			continue
		}
		if is, meant, ok := misreadAt(text[i:]); ok {
			line := 1 + strings.Count(text[:i], "\n")
			column := 1 + utf8.RuneCountInString(text[strings.LastIndexByte(text[:i], '\n')+1:i])
			d.problem(line, column, SlipEncoding, strconv.Quote(is),
				meant+", as it was before a program read it in another encoding", "", false)
			return
		}
		i += size
	}
}

// upperOf1252 are the characters of Windows-1252 from 0x80 to 0x9f that Latin-1 does not have; 0 where it has none.
var upperOf1252 = []rune("€\x00‚ƒ„…†‡ˆ‰Š‹Œ\x00Ž\x00\x00‘’“”•–—˜™š›œ\x00žŸ")

// misreadAt says what a text begins with where its first characters are the bytes of one letter of Latin script, or of
// a sign of units and of word processors.
func misreadAt(text string) (is, meant string, ok bool) {
	var raw []byte
	for at, r := range text {
		switch i := slices.Index(upperOf1252, r); {
		case r >= 0x80 && r <= 0xff:
			raw = append(raw, byte(r))
		case r > 0xff && i >= 0:
			raw = append(raw, byte(0x80+i))
		default:
			return "", "", false
		}
		if len(raw) == 2 && (raw[0] == 0xc4 || raw[0] == 0xc5) && strings.ContainsRune("“”‘’„‚«»", r) {
			return "", "", false // a letter before a quotation mark
		}
		if len(raw) > 1 && utf8.FullRune(raw) {
			r2, n := utf8.DecodeRune(raw)
			end := at + utf8.RuneLen(r)
			return text[:end], string(r2), n == len(raw) && r2 != utf8.RuneError && (r2 >= 0xa0 && r2 < 0x180 ||
				r2 >= 0x2010 && r2 < 0x2213)
		}
		if len(raw) > 3 {
			return "", "", false
		}
	}
	return "", "", false
}

// hidden reports characters that a reader cannot see, or that turn the order of the others.
func (d *document) hidden(text string) {
	line, column, before := 1, 0, ' '
	for _, r := range text {
		if len(d.problems) > 10*mostSlips {
			return // what holds so many holds none of them by mistake
		}
		column++
		if r == before && r < 0x20 && r != '\n' {
			continue // a run of them is one slip
		}
		before = r
		if r > ' ' && r < 0x7f {
			continue
		}
		switch {
		case r == '\n':
			line, column = line+1, 0
		case r < 0x20 && r != '\t', r >= 0x7f && r < 0xa0:
			d.problem(line, column, SlipControl, "control character "+strconv.QuoteRuneToASCII(r), "plain text", "", false)
		case Hidden(r):
			d.problem(line, column, SlipHidden, "hidden character "+strconv.QuoteRuneToASCII(r), "visible characters only",
				"", true)
		}
	}
}

// Hidden says that a character is invisible or changes the direction of the text around it.
func Hidden(r rune) bool {
	switch {
	case r == 0x00ad, r == 0x061c, r == 0x180e, r >= 0x200b && r <= 0x200f, r >= 0x2028 && r <= 0x202e, r >= 0x2060 &&
		r <= 0x206f,
		r == 0xfeff, r >= 0xfff9 && r <= 0xfffb, r >= 0xe0000 && r <= 0xe007f:
		return true
	}
	return false
}

func fromUTF16(src []byte) []byte {
	var order binary.ByteOrder = binary.LittleEndian
	if src[0] == 0xfe {
		order = binary.BigEndian
	}
	units := make([]uint16, 0, len(src)/2)
	for i := 2; i+1 < len(src); i += 2 {
		units = append(units, order.Uint16(src[i:]))
	}
	return []byte(string(utf16.Decode(units)))
}

func firstInvalid(src []byte) (line, column int) {
	line, column = 1, 1
	for len(src) > 0 {
		r, n := utf8.DecodeRune(src)
		if r == utf8.RuneError && n == 1 {
			return line, column
		}
		if r == '\n' {
			line, column = line+1, 0
		}
		src, column = src[n:], column+1
	}
	return line, column
}

// readers are kept for the nodes they have.
var readers = sync.Pool{New: func() any { return new(tree.Reader) }}

// take reads the front matter where it is plain.
func (d *document) take(front string) {
	d.front, d.reader = front, readers.Get().(*tree.Reader)
	d.root, _ = d.reader.Read(front)
}

// nodes are the front matter's, whatever it holds; they hold until they are released.
func (d *document) nodes() *tree.Node {
	if d.reader == nil {
		d.take(d.front)
	}
	if d.root == nil {
		d.root = d.reader.ReadBroken(d.front, d.trouble)
	}
	return d.root
}

func (d *document) release() {
	if d.reader != nil {
		readers.Put(d.reader)
	}
	d.reader, d.root = nil, nil
}

// open takes a Markdown file apart. ok is false where there is no front matter to read.
func open(path string, src []byte) (d *document, ok bool) {
	d = &document{path: path}
	text, ok := d.plainText(src, maxRecord)
	if !ok {
		return d, false
	}
	parts, err := tree.Split(text, d.take)
	if err != nil {
		return d, d.notFound(text, err)
	}
	d.line, d.body, d.bodyLine = parts.Line, parts.Body, parts.BodyLine
	if d.line > 1 {
		d.problem(1, 1, SlipDelimiter, "blank lines before the front matter", "--- on the first line", "---", true)
	}
	d.delimiter(d.line, parts.Opening, "")
	d.delimiter(d.bodyLine-1, parts.Closing, "the front matter was cut at this line")
	return d, true
}

// delimiter reports dashes that stand indented: inside a block of text they end the front matter too early.
func (d *document) delimiter(line int, written, consequence string) {
	s := strings.TrimRight(written, "\n")
	if trimmed := strings.TrimLeft(s, " \t\u00a0"); trimmed != s {
		expected := "--- at the beginning of the line"
		if consequence != "" {
			expected = "other characters than --- inside a text, or --- at the beginning of the line: " + consequence
		}
		d.problem(line, len([]rune(s))-len([]rune(trimmed))+1, SlipDelimiter, s, expected, "---", true)
	}
}

func (d *document) notFound(text string, err error) bool {
	if !errors.Is(err, tree.ErrNoFront) {
		d.problem(1, 1, SlipNoFrontMatter, err.Error(), "front matter between two lines of ---", "", false)
		return false
	}
	line := 1
	for s := range strings.Lines(text) {
		if t := strings.TrimSpace(s); t != "" {
			if t == "---" {
				d.problem(line, 1, SlipNotClosed, "an opening --- and no closing one", closing(text, line), "", false)
				return false
			}
			found := []rune(strings.TrimRight(s, "\n"))
			if len(found) > 60 {
				found = append(found[:59], '…')
			}
			d.problem(line, 1, SlipNoFrontMatter, string(found), "--- on the first line, then the keys, then --- again",
				"", false)
			return false
		}
		line++
	}
	d.problem(1, 1, SlipNoFrontMatter, "an empty file", "--- on the first line, then the keys, then --- again", "", false)
	return false
}

// closing says what a front matter without its second line of dashes lacks: that line, where a text follows the keys,
// or the rest of the file, where it ends among them.
func closing(text string, line int) string {
	after := line + keyLines(text, line)
	if rest := strings.Split(text, "\n")[min(after-1, strings.Count(text, "\n")):]; strings.TrimSpace(strings.Join(rest,
		"")) == "" {
		return EndsAmongKeys
	}
	return "--- on a line of its own after the last key (about line " + strconv.Itoa(after) + ")"
}

// EndsAmongKeys is what a file lacks that was not saved whole.
const EndsAmongKeys = "the rest of it: the file ends among its keys"

// keyLines guesses where the keys end: at the first blank line, or at the end.
func keyLines(text string, from int) int {
	lines := strings.Split(text, "\n")
	for i := from; i < len(lines); i++ {
		if strings.TrimSpace(lines[i]) == "" || strings.HasPrefix(lines[i], "# ") {
			return i - from + 1
		}
	}
	return len(lines) - from
}
