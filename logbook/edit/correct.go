package edit

import (
	"bytes"
	"cmp"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/measure"
	"needlebook/logbook/tree"
)

// Correction is one change to a file, for a reader to look at before it is made.
type Correction struct {
	Line    int    // line in the text before it, from 1; 0 for the file as a whole
	Name    string // the slips, by the names of their checks and with commas between them; or one of the names below
	Was, Is string // the line before and after; a note of the change in Is alone where the file as a whole is meant
}

// The corrections that no reader asks for by a slip: a book reads such files all the same.
const (
	LineEnds = "line-ends"
	TimeZone = "time-zone"
)

// Safe lists the names of every correction that leaves no choice, in the order they are made.
var Safe = []string{logbook.SlipEncoding, logbook.SlipByteOrderMark, LineEnds, TimeZone, logbook.SlipTab,
	logbook.SlipHeader, logbook.SlipYAML, logbook.SlipUnknownKey, logbook.SlipBrokenReason,
	logbook.SlipShape, logbook.SlipFromNought, measure.SlipDecimalComma, measure.SlipUnitSpelling,
	measure.SlipForeignDigits, logbook.SlipCurly, logbook.SlipUnquoted, logbook.SlipWord, logbook.SlipDate}

// Correct makes the safe corrections of a file that are wanted, and says which. Nothing is guessed: a correction
// replaces the fragment that is at fault and nothing else, and is taken only when every value of the file says
// afterwards what it was read as before. name is the file's path in the book.
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
	for bytes.HasPrefix(bare, tree.Mark) {
		bare = bare[len(tree.Mark):]
	}
	whole(logbook.SlipByteOrderMark, "the byte-order mark is taken out", bare)
	ends := bytes.Count(out, []byte("\r"))
	whole(LineEnds, logbook.Counted(ends, "line end becomes a bare line feed", "line ends become bare line feeds"),
		bytes.ReplaceAll(bytes.ReplaceAll(out, []byte("\r\n"), []byte("\n")), []byte("\r"), []byte("\n")))
	if strings.HasPrefix(name, "signers/") {
		if wanted(TimeZone) {
			out, made = zoned(out, made)
		}
		return out, made
	}
	out, structure := structural(name, out, wanted)
	out, values := fragments(name, out, wanted)
	return out, append(append(made, structure...), values...)
}

// fromUTF16 brings UTF-16 text with its mark to UTF-8; other text is handed back as it is, so is one that does not end
// evenly.
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
	before, after := tree.LinesOf(src), tree.LinesOf(out)
	for i := range before.Count() {
		if was, is := before.Text(i+1), after.Text(i+1); was != is {
			made = append(made, Correction{i + 1, TimeZone, was, is})
		}
	}
	return out, made
}

// structural makes the corrections of keys, indents and quotes, one after another: each may bring values to light that
// were not read.
func structural(name string, src []byte, wanted func(string) bool) (out []byte, made []Correction) {
	refused := map[string]bool{}
	for {
		before, problems := logbook.Meanings(name, src)
		next := src
		for _, p := range problems {
			id := fmt.Sprint(p.Place, p.Slip, p.Found)
			if !wanted(p.Slip) || refused[id] {
				continue
			}
			try := restructured(src, p)
			if try == nil || bytes.Equal(try, src) || !keeps(name, try, before, problems, p) {
				refused[id] = true
				continue
			}
			next = try
			made = append(made, Correction{p.Place.Line, p.Slip, tree.LinesOf(src).Text(p.Place.Line),
				tree.LinesOf(try).Text(p.Place.Line)})
			break
		}
		if bytes.Equal(next, src) {
			return src, made
		}
		src = next
	}
}

// restructured is the text with a slip of keys, indents or quotes put right; nil for a slip of another sort.
func restructured(src []byte, p logbook.Problem) []byte {
	lines := tree.LinesOf(src)
	if !lines.Has(p.Place.Line) {
		return nil
	}
	start, text := lines.Start(p.Place.Line), lines.Text(p.Place.Line)
	found := func() (from, to int, ok bool) {
		return token(src, lines.Offset(p.Place.Line, p.Place.Column), p.Found)
	}
	switch p.Slip {
	case logbook.SlipTab:
		indent := text[:len(text)-len(strings.TrimLeft(text, " \t\u00a0"))]
		return splice(src, start, start+len(indent), tree.PlainIndent.Replace(indent))
	case logbook.SlipUnknownKey: // the key itself, where it was only written another way: As found for as_found
		from, to, ok := found()
		if ok && p.Type != "" && strings.EqualFold(p.Type, strings.NewReplacer(" ", "_", "-", "_").Replace(p.Found)) {
			return splice(src, from, to, p.Type)
		}
	case logbook.SlipHeader: // a column's name written another way; or the mark between the cells
		if from, to, ok := found(); ok && p.Read {
			return splice(src, from, to, p.Type)
		}
		if s, _ := logbook.Separator(src); s != ',' {
			return withCommas(src, byte(s))
		}
	case logbook.SlipYAML: // a text that holds a colon: the whole line is known
		if is, ok := p.Retyped(text); ok {
			return splice(src, start, start+len(text), is)
		}
	case logbook.SlipBrokenReason: // the reason goes on where YAML sees another key
		if from, to, ok := found(); ok {
			return splice(src, from, to, p.Type)
		}
	}
	return nil
}

// keeps says that a correction of structure did what it was for and that every value that was read before is read as it
// was: it may only bring more to light, and of a reason that was cut its end.
func keeps(name string, is []byte, before []logbook.Meaning, problems []logbook.Problem, p logbook.Problem) bool {
	after, left := logbook.Meanings(name, is)
	still := func(x logbook.Problem) bool {
		return x.Slip == p.Slip && x.Place == p.Place && (x.Found == p.Found || p.Slip != logbook.SlipHeader)
	}
	if slices.ContainsFunc(left, still) {
		return false
	}
	known := func(x logbook.Problem) bool {
		return slices.ContainsFunc(problems, func(y logbook.Problem) bool {
			return x.Slip == y.Slip && x.Found == y.Found &&
				x.Key == y.Key
		})
	}
	brings := p.Slip == logbook.SlipYAML || p.Slip == logbook.SlipUnknownKey // what was not read may hold slips of its own
	repeats := func(x logbook.Problem) bool { return x.Slip == logbook.SlipRepeatedKey && !known(x) }
	if !brings && (len(left) >= len(problems) || !all(left, known)) || slices.ContainsFunc(left, repeats) {
		return false
	}
	i := 0
	for _, m := range before {
		for i < len(after) && !(after[i].Key == m.Key && after[i].Says == m.Says) {
			if cut := p.Slip == logbook.SlipBrokenReason && m.At == p.Place && after[i].Key == m.Key; cut {
				break
			}
			i++
		}
		if i == len(after) {
			return false
		}
		i++
	}
	return true
}

func all[T any](list []T, holds func(T) bool) bool {
	return !slices.ContainsFunc(list, func(x T) bool { return !holds(x) })
}

// fragment is one stretch of a text with what belongs in its place.
type fragment struct {
	from, to int
	put      string
	slip     logbook.Problem
}

// fragments makes the corrections within values, as many at a time as can be: a text is only accepted where every value
// of it says what it said before. Where one of several does not, they are tried by halves.
func fragments(name string, src []byte, wanted func(string) bool) (out []byte, made []Correction) {
	refused := map[string]bool{}
	for {
		before, problems := logbook.Meanings(name, src)
		pg := pageOf(name, src)
		var open []fragment
		for _, p := range problems {
			if wanted(p.Slip) && !refused[fmt.Sprint(p.Place, p.Slip, p.Found)] {
				if f, ok := pg.fragment(p); ok {
					open = append(open, f)
				}
			}
		}
		good := pg.sound(before, problems, apart(open), func(f fragment) {
			refused[fmt.Sprint(f.slip.Place, f.slip.Slip,
				f.slip.Found)] = true
		})
		if len(good) == 0 {
			return src, made
		}
		next := pg.with(good)
		made = append(made, shown(src, next, good)...)
		src = next
	}
}

// apart are fragments that do not touch one another, in their order; the others wait.
func apart(open []fragment) (some []fragment) {
	slices.SortStableFunc(open, func(a, b fragment) int { return cmp.Compare(a.from, b.from) })
	for _, f := range open {
		if n := len(some); n == 0 || some[n-1].to <= f.from {
			some = append(some, f)
		}
	}
	return some
}

// page is a file's text with the places of its values.
type page struct {
	name   string
	src    []byte
	lines  tree.Lines
	values map[[2]int]string // as written, by line and column; of a Markdown file
}

func pageOf(name string, src []byte) *page {
	pg := &page{name: name, src: src, lines: tree.LinesOf(src), values: map[[2]int]string{}}
	if !pg.table() {
		for _, v := range logbook.Values(src) {
			if v.Path != "remarks" {
				pg.values[[2]int{v.Line, v.Column}] = v.Written
			}
		}
	}
	return pg
}

func (pg *page) table() bool { return path.Ext(pg.name) == ".csv" }

// valueAt is where the value at a place stands in the bytes, without its quotes; ok is false where the text there is
// not what was read.
func (pg *page) valueAt(at logbook.Place) (from, to int, ok bool) {
	start := pg.lines.Offset(at.Line, at.Column)
	if start < 0 {
		return 0, 0, false
	}
	written := pg.values[[2]int{at.Line, at.Column}]
	if pg.table() {
		written = cell(pg.lines.Text(at.Line)[start-pg.lines.Start(at.Line):])
	}
	return token(pg.src, start, written)
}

// cell is the text of a cell that begins a line, without its quotes.
func cell(rest string) string {
	if quoted, ok := strings.CutPrefix(rest, `"`); ok {
		in, _, _ := strings.Cut(quoted, `"`)
		return in
	}
	if end := strings.IndexAny(rest, ",;"); end >= 0 {
		rest = rest[:end]
	}
	return strings.TrimRight(rest, " \t")
}

// fragment is what a slip's correction changes; ok is false where it has none that leaves no choice.
func (pg *page) fragment(p logbook.Problem) (f fragment, ok bool) {
	if !slices.Contains(Safe, p.Slip) || p.Instead == "" || !p.Read && p.Slip != logbook.SlipDate {
		return f, false
	}
	from, to, ok := pg.valueAt(p.Place)
	if !ok || from+p.At+p.Len > to {
		return f, false
	}
	return fragment{from + p.At, from + p.At + p.Len, p.Instead, p}, true
}

// with is the text with fragments put in, which stand apart and in order.
func (pg *page) with(some []fragment) []byte {
	var out []byte
	at := 0
	for _, f := range some {
		out = append(append(out, pg.src[at:f.from]...), f.put...)
		at = f.to
	}
	return append(out, pg.src[at:]...)
}

// sound are those of some fragments that change the meaning of nothing.
func (pg *page) sound(before []logbook.Meaning, problems []logbook.Problem, some []fragment,
	refuse func(fragment)) []fragment {
	switch {
	case len(some) == 0 || pg.same(before, problems, some):
		return some
	case len(some) == 1:
		refuse(some[0])
		return nil
	}
	half := len(some) / 2
	good := pg.sound(before, problems, some[:half], refuse)
	good = append(slices.Clone(good), pg.sound(before, problems, some[half:], refuse)...)
	if len(good) > 0 && !pg.same(before, problems, good) { // each by itself, but not together
		return good[:1]
	}
	return good
}

// same says that the text with fragments put in says in every value what it said before, with fewer slips and none that
// is new. A date that could not be read says the one day that it can be.
func (pg *page) same(before []logbook.Meaning, problems []logbook.Problem, some []fragment) bool {
	is := pg.with(some)
	after, left := logbook.Meanings(pg.name, is)
	known := map[[3]string]int{}
	for _, p := range problems {
		known[[3]string{p.Slip, p.Key, p.Found}]++
	}
	for _, p := range left {
		id := [3]string{p.Slip, p.Key, p.Found}
		if known[id]--; known[id] < 0 {
			return false
		}
	}
	if len(left) > len(problems)-len(some) || len(after) != len(before) {
		return false
	}
	days := map[logbook.Place]string{}
	for _, f := range some {
		if f.slip.Slip == logbook.SlipDate {
			days[f.slip.Place] = logbook.DayMeant(f.slip.Type)
		}
	}
	for i, m := range before {
		if day, ok := days[m.At]; ok && !m.Read() {
			m.Says = day
		}
		if after[i].Says != m.Says || keyOf(after[i].Key) != keyOf(m.Key) {
			return false
		}
	}
	return pg.table() || sameElsewhere(pg.src, is, some)
}

// keyOf is a key without the number of its item: a list that was written as a single value gets its items by being put
// in brackets.
func keyOf(key string) string {
	if i := strings.LastIndexByte(key, '['); i >= 0 && strings.HasSuffix(key, "]") {
		return key[:i]
	}
	return key
}

// sameElsewhere says that on every line without a fragment each value is written as it was, also under keys that nobody
// knows; those on the lines of the fragments are held by what they say.
func sameElsewhere(was, is []byte, some []fragment) bool {
	lines := map[int]bool{}
	for _, f := range some {
		lines[f.slip.Place.Line] = true
	}
	rest := func(src []byte) []logbook.ValueAt {
		return slices.DeleteFunc(logbook.Values(src), func(v logbook.ValueAt) bool { return lines[v.Line] })
	}
	return slices.Equal(rest(was), rest(is))
}

// shown are the corrections line by line.
func shown(was, is []byte, some []fragment) (made []Correction) {
	before, after := tree.LinesOf(was), tree.LinesOf(is)
	for _, f := range some {
		n := f.slip.Place.Line
		if last := len(made) - 1; last >= 0 && made[last].Line == n {
			if !strings.Contains(made[last].Name, f.slip.Slip) {
				made[last].Name += ", " + f.slip.Slip
			}
			continue
		}
		made = append(made, Correction{n, f.slip.Slip, before.Text(n), after.Text(n)})
	}
	return made
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
	if strings.HasPrefix(name, "signers/") {
		return nil
	}
	left := logbook.Problems(name, src)
	slices.SortStableFunc(left, func(a, b logbook.Problem) int { return cmp.Compare(a.Place.Line, b.Place.Line) })
	return left
}
