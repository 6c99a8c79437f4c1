package edit

import (
	"bytes"
	"cmp"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// Correction is one change to a file, for a reader to look at before it is made.
type Correction struct {
	Line    int    // line in the text before it, from 1; 0 for the file as a whole
	Name    string // the slip, by the name of its check; or one of the names below
	Was, Is string // the line before and after; a note of the change in Is alone where the file as a whole is meant
}

// The corrections that no reader asks for by a slip: a book reads such files all the same.
const (
	LineEnds = "line-ends"
	TimeZone = "time-zone"
)

// Safe lists the names of every correction that leaves no choice, in the order they are made.
var Safe = []string{logbook.SlipEncoding, logbook.SlipByteOrderMark, LineEnds, TimeZone, logbook.SlipTab, logbook.SlipYAML, logbook.SlipUnknownKey, logbook.SlipBrokenReason, measure.SlipDecimalComma, measure.SlipUnitSpelling,
	measure.SlipForeignDigits, logbook.SlipCurly, logbook.SlipUnquoted, logbook.SlipWord, logbook.SlipDate}

// Correct makes the safe corrections of a file that are wanted, and says which. Nothing is guessed: each one is taken only
// when the text can be read afterwards without that slip, when no other value of the file has changed by it, and when the
// digits of a number are the ones that stood there. name is the file's path in the book.
func Correct(name string, src []byte, wanted func(name string) bool) (out []byte, made []Correction) {
	out = src
	whole := func(which, note string, text []byte) {
		if wanted(which) && !bytes.Equal(text, out) {
			out, made = text, append(made, Correction{Name: which, Is: note})
		}
	}
	whole(logbook.SlipEncoding, "UTF-16 becomes UTF-8", fromUTF16(out))
	if !utf8.Valid(out) {
		return src, nil // no text that anybody can read: the writer must save it again
	}
	bare := out
	for bytes.HasPrefix(bare, mark) {
		bare = bare[len(mark):]
	}
	whole(logbook.SlipByteOrderMark, "the byte-order mark is taken out", bare)
	ends := bytes.Count(out, []byte("\r"))
	whole(LineEnds, fmt.Sprintf("%d line ends become bare line feeds", ends), bytes.ReplaceAll(bytes.ReplaceAll(out, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n")))
	if strings.HasPrefix(name, "hands/") {
		if wanted(TimeZone) {
			out, made = zoned(out, made)
		}
		return out, made
	}
	refused := map[string]bool{}
	for {
		next, c := one(name, out, wanted, refused)
		if next == nil {
			return out, made
		}
		out, made = next, append(made, c)
	}
}

// fromUTF16 brings UTF-16 text with its mark to UTF-8; other text is handed back as it is, so is one that does not end evenly.
func fromUTF16(src []byte) []byte {
	if len(src)%2 != 0 || !bytes.HasPrefix(src, []byte{0xff, 0xfe}) && !bytes.HasPrefix(src, []byte{0xfe, 0xff}) {
		return src
	}
	low := 0
	if src[0] == 0xfe {
		low = 1
	}
	var units []uint16
	for i := 2; i < len(src); i += 2 {
		units = append(units, uint16(src[i+low])|uint16(src[i+1-low])<<8)
	}
	return []byte(string(utf16.Decode(units)))
}

var unzoned = regexp.MustCompile(`(valid-(?:after|before)="[0-9]{8}(?:[0-9]{4}(?:[0-9]{2})?)?)"`)

// zoned adds the Z to dates of the register: without it each reader takes them for his own local time.
func zoned(src []byte, made []Correction) ([]byte, []Correction) {
	out := unzoned.ReplaceAll(src, []byte(`${1}Z"`))
	for i := range lineStarts(src) {
		if was, is := line(src, i+1), line(out, i+1); was != is {
			made = append(made, Correction{i + 1, TimeZone, was, is})
		}
	}
	return out, made
}

// one makes the first correction that can be made; next is nil where there is none left.
func one(name string, src []byte, wanted func(string) bool, refused map[string]bool) (next []byte, c Correction) {
	problems := logbook.Problems(name, src)
	for _, p := range problems {
		id := fmt.Sprint(p.Place, p.Slip, p.Found)
		if !wanted(p.Slip) || !slices.Contains(Safe, p.Slip) || refused[id] {
			continue
		}
		for _, try := range candidates(name, src, p) {
			if bytes.Equal(try, src) || !sound(name, src, try, problems, p) {
				continue
			}
			return try, Correction{p.Place.Line, p.Slip, line(src, p.Place.Line), line(try, p.Place.Line)}
		}
		refused[id] = true
	}
	return nil, c
}

// candidates are the texts that a correction may lead to, the likeliest first.
func candidates(name string, src []byte, p logbook.Problem) [][]byte {
	switch p.Slip {
	case logbook.SlipTab:
		start := offset(src, p.Place.Line, 1)
		if start < 0 {
			return nil
		}
		end := start + len(line(src, p.Place.Line)) - len(strings.TrimLeft(line(src, p.Place.Line), " \t\u00a0"))
		return [][]byte{splice(src, start, end, strings.NewReplacer("\t", "  ", "\u00a0", " ").Replace(string(src[start:end])))}
	case logbook.SlipUnknownKey: // the key itself, where it was only written another way: As found for as_found
		at := offset(src, p.Place.Line, p.Place.Column)
		if from, to, ok := token(src, at, p.Found); ok && p.Type != "" && strings.EqualFold(p.Type, strings.NewReplacer(" ", "_", "-", "_").Replace(p.Found)) {
			return [][]byte{splice(src, from, to, p.Type)}
		}
		return nil
	case logbook.SlipYAML: // a text that holds a colon: the whole line is known
		start := offset(src, p.Place.Line, 1)
		if p.Type == "" || start < 0 {
			return nil
		}
		text := line(src, p.Place.Line)
		i := strings.Index(text, p.Found)
		if i < 0 {
			return nil
		}
		return [][]byte{splice(src, start+i, start+i+len(p.Found), p.Type)}
	}
	if p.Type == "" || !p.Read && p.Slip != logbook.SlipDate && p.Slip != logbook.SlipBrokenReason {
		return nil
	}
	at := offset(src, p.Place.Line, p.Place.Column)
	written := writtenAt(name, src, p)
	if p.Slip == logbook.SlipBrokenReason {
		written = p.Found
	}
	from, to, ok := token(src, at, written)
	if !ok {
		return nil
	}
	texts := []string{p.Type}
	if strings.Count(written, p.Found) == 1 && p.Found != written {
		texts = append(texts, strings.Replace(written, p.Found, p.Type, 1), strings.Replace(written, p.Found, p.Expected, 1))
		if bare, _, cut := strings.Cut(p.Type, " "); cut {
			texts = append(texts, strings.Replace(written, p.Found, bare, 1))
		}
	}
	var all [][]byte
	for _, t := range texts {
		all = append(all, splice(src, from, to, t))
	}
	return all
}

// writtenAt is the value that stands at a problem's place, as written.
func writtenAt(name string, src []byte, p logbook.Problem) string {
	if path.Ext(name) == ".csv" {
		rest := line(src[max(offset(src, p.Place.Line, p.Place.Column), 0):], 1)
		if quoted, ok := strings.CutPrefix(rest, `"`); ok {
			in, _, _ := strings.Cut(quoted, `"`)
			return in
		}
		end := strings.IndexAny(rest, ",;")
		if end < 0 {
			end = len(rest)
		}
		return strings.TrimRight(rest[:end], " \t")
	}
	for _, v := range logbook.Values(src) {
		if v.Line == p.Place.Line && v.Column == p.Place.Column && v.Path != "remarks" {
			return v.Written
		}
	}
	return ""
}

// sound says that a correction did what it was for and nothing else.
func sound(name string, was, is []byte, before []logbook.Problem, p logbook.Problem) bool {
	after := logbook.Problems(name, is)
	if p.Slip == logbook.SlipUnknownKey { // what stands under the key was not read before, and may hold slips of its own
		same := func(x logbook.Problem) bool {
			return x.Slip == logbook.SlipRepeatedKey || x.Slip == p.Slip && x.Place == p.Place
		}
		if slices.ContainsFunc(after, same) {
			return false
		}
	} else if len(after) >= len(before) {
		return false
	}
	for _, x := range after { // nothing new is amiss
		if !slices.ContainsFunc(before, func(y logbook.Problem) bool { return x.Slip == y.Slip && x.Found == y.Found && x.Key == y.Key }) {
			if p.Slip != logbook.SlipYAML && p.Slip != logbook.SlipUnknownKey { // behind broken YAML, or an unknown key, nothing was read before
				return false
			}
		}
	}
	if p.Slip != logbook.SlipDate && p.Slip != measure.SlipForeignDigits && digits(was) != digits(is) {
		return false
	}
	if path.Ext(name) == ".csv" || p.Slip == logbook.SlipYAML || p.Slip == logbook.SlipUnknownKey || p.Slip == logbook.SlipBrokenReason || p.Type == "[]" {
		return true
	}
	old, now := logbook.Values(was), logbook.Values(is)
	if len(old) != len(now) {
		return false
	}
	changed := 0
	for i := range old {
		if old[i].Path != now[i].Path {
			return false
		}
		if old[i].Written != now[i].Written {
			changed++
		}
	}
	return changed <= 1
}

// digits are the digits of a text in their order: what a correction of form must not touch.
func digits(src []byte) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '²': // of a unit that is spelled cm2 by habit
			return '2'
		case r == '³':
			return '3'
		case unicode.IsDigit(r):
			return r
		}
		return -1
	}, string(src))
}

// Shown is a correction in words, ready to print below the file's name.
func (c Correction) Shown() string {
	if c.Line == 0 {
		return fmt.Sprintf("  %s: %s\n", c.Name, c.Is)
	}
	return fmt.Sprintf("  line %d, %s\n  - %s\n  + %s\n", c.Line, c.Name, c.Was, c.Is)
}

// Left lists what a file still has amiss for a human to decide, by line.
func Left(name string, src []byte) []logbook.Problem {
	if strings.HasPrefix(name, "hands/") {
		return nil
	}
	left := logbook.Problems(name, src)
	slices.SortStableFunc(left, func(a, b logbook.Problem) int { return cmp.Compare(a.Place.Line, b.Place.Line) })
	return left
}
