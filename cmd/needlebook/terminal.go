package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"golang.org/x/term"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/logbook"
)

// A terminal is where words for a person go. Records and names in commits are a stranger's: a control character, or one
// that is hidden or turns the text around it, is shown by its code, so that nothing in a book moves the cursor, colours
// or rewrites what stands there.
type terminal struct {
	io.Writer
	width  int  // columns that lines are wrapped at; 0 where nobody looks on at a screen
	colour bool // grades are coloured
}

// screen is the terminal behind a stream. A pipe or a file gets lines as they are and no colour, and so does a terminal
// that is called dumb. NO_COLOR, set to anything, takes the colour away.
func screen(w io.Writer, env func(string) string) terminal {
	t := terminal{Writer: w}
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) || env("TERM") == "dumb" {
		return t
	}
	if width, _, err := term.GetSize(int(f.Fd())); err == nil {
		t.width = width
	}
	t.colour = env("NO_COLOR") == "" && takesColour(f)
	return t
}

func (t terminal) Write(text []byte) (int, error) {
	if _, err := io.WriteString(t.Writer, wrapped(seen(text), t.width)); err != nil {
		return 0, err
	}
	return len(text), nil
}

// seen is a text with every character that is not seen as its code.
func seen(text []byte) string {
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
	return string(shown)
}

// colours are those of the grades; the word says the same without them. A note has none.
var colours = map[checks.Grade]string{checks.Stop: "\x1b[1;31m", checks.Action: "\x1b[33m", checks.Advice: "\x1b[36m"}

// graded writes a line with the word of a grade in its colour: what stands before it, the grade, and what follows.
func (t terminal) graded(before string, g checks.Grade, after string) {
	before, word := seen([]byte(before)), g.String()
	line := wrapped(before+word+seen([]byte(after))+"\n", t.width)
	if c := colours[g]; t.colour && c != "" {
		// Wrapping only puts a line end and an indent in the place of a blank, so that the word is the first after what
		// stood before it.
		at := strings.Index(line, word)
		for skip := strings.Count(before, word); skip > 0 && at >= 0; skip-- {
			at += len(word) + strings.Index(line[at+len(word):], word)
		}
		line = line[:at] + c + word + "\x1b[0m" + line[at+len(word):]
	}
	_, _ = io.WriteString(t.Writer, line)
}

// wrapped breaks the lines of a text that are longer than a width at a blank, and indents what goes on. A word that is
// longer stays whole, and so does a command that somebody may copy.
func wrapped(text string, width int) string {
	const least = 20 // narrower than this nothing can be read either way
	if width < least {
		return text
	}
	var b strings.Builder
	for line := range strings.Lines(text) {
		bare := strings.TrimLeft(line, " ")
		if utf8.RuneCountInString(strings.TrimRight(line, "\n")) <= width || isCommand(bare) {
			b.WriteString(line)
			continue
		}
		indent := strings.Repeat(" ", min(len(line)-len(bare)+4, width/2))
		b.WriteString(line[:len(line)-len(bare)])
		at, begun := len(line)-len(bare), false
		for _, word := range strings.Split(strings.TrimRight(bare, "\n"), " ") {
			n := utf8.RuneCountInString(word)
			switch {
			case begun && at+1+n > width:
				b.WriteString("\n" + indent + word)
				at = len(indent) + n
			case begun:
				b.WriteString(" " + word)
				at += 1 + n
			default:
				b.WriteString(word)
				at += n
			}
			begun = true
		}
		if strings.HasSuffix(line, "\n") {
			b.WriteString("\n")
		}
	}
	return b.String()
}

func isCommand(line string) bool {
	return strings.HasPrefix(line, "needlebook ") && !strings.HasPrefix(line, "needlebook: ") ||
		strings.HasPrefix(line, "git ")
}

// A columnar is a table for a person: its cells are parted by tabs and stand below one another. Where it is wider than
// the terminal it becomes a list, each row a paragraph, with the names of the columns where the first line holds them.
type columnar struct {
	out    io.Writer
	width  int
	headed bool
	text   strings.Builder
}

func (p *program) table() *columnar  { return &columnar{out: p.out, width: p.out.width} }
func (p *program) headed() *columnar { return &columnar{out: p.out, width: p.out.width, headed: true} }

func (c *columnar) Write(text []byte) (int, error) { return c.text.Write(text) }

// Flush writes the table.
func (c *columnar) Flush() error {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 4, 2, ' ', 0)
	_, _ = io.WriteString(w, c.text.String())
	_ = w.Flush()
	text := b.String()
	if c.width > 0 && paper.Widest(text) > c.width {
		text = c.list()
	}
	_, err := io.WriteString(c.out, text)
	return err
}

func (c *columnar) list() string {
	var b strings.Builder
	var names []string
	for line := range strings.Lines(c.text.String()) {
		cells := strings.Split(strings.TrimRight(line, "\n"), "\t")
		switch {
		case c.headed && names == nil:
			names = cells
		case names != nil:
			paper.ListRow(&b, names, cells)
		default:
			b.WriteString(strings.TrimRight(strings.Join(cells, "  "), " ") + "\n")
		}
	}
	return b.String()
}

// progress is what the other side says while something travels: it may go back to the beginning of its line, and do
// nothing else to the terminal.
type progress struct{ io.Writer }

func (p progress) Write(text []byte) (int, error) {
	parts := strings.Split(string(text), "\r")
	for i, part := range parts {
		parts[i] = seen([]byte(part))
	}
	if _, err := io.WriteString(p.Writer, strings.Join(parts, "\r")); err != nil {
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
