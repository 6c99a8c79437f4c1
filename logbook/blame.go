package logbook

import (
	"fmt"
	"regexp"
	"strings"

	"needlebook/logbook/fault"
	"needlebook/logbook/tree"
)

// typing is a slip of typing that keeps the front matter from being read, at a line of it.
type typing struct {
	line, column           int // from 1
	slip                   string
	found, expected, typed string
}

// reportYAML puts the parser's error at its line and returns that line within the front matter, from 1.
func (d *document) reportYAML(t tree.Trouble) int {
	lines := strings.Split(strings.TrimSuffix(t.Found, "\n"), "\n")
	line := min(max(t.Line, 1), len(lines))
	s := typing{line, t.Column, SlipYAML, strings.TrimSpace(lines[line-1]),
		"a line that can be read as YAML (" + t.Message + ")", ""}
	switch {
	case strings.Contains(t.Message, "multiple documents"), strings.Contains(t.Message, "expected single document"),
		strings.Contains(t.Message, "document start"):
		s.slip, s.expected = SlipDocument, "one block of keys between two lines of ---"
		for i, l := range lines {
			if l == "..." || strings.HasPrefix(l, "---") {
				s.line, s.column, s.found = i+1, 1, l
				break
			}
		}
	case strings.HasPrefix(s.found, "%"):
		s.slip, s.expected = SlipDocument, "no % line: keys only"
	case s.near(lines, line) || s.openAbove(lines, line) || s.indented(lines, line):
	default:
		s.within()
	}
	if s.found == "" {
		s.found = "an empty line"
	}
	d.problem(s.line+d.line, max(s.column, 1), s.slip, s.found, s.expected, s.typed, false)
	return s.line
}

// at puts the slip at a line.
func (s *typing) at(line int, text, expected, typed string) bool {
	s.line, s.column, s.found = line, len(text)-len(strings.TrimLeft(text, " "))+1, strings.TrimSpace(text)
	s.expected, s.typed = expected, strings.TrimSpace(typed)
	return true
}

// near looks for a slip that the parser notices only a line later, or names in words of its own.
func (s *typing) near(lines []string, at int) bool {
	for i, seen := at, 0; i > 0 && seen < 3; i-- {
		text := strings.TrimRight(lines[i-1], " ")
		if text == "" {
			continue
		}
		seen++
		l, keyed := keyedLine(text)
		switch known := keyed && keyNames()[l.Key]; {
		case known && l.Colon && l.Gap == "" && l.Rest != "":
			return s.at(i, text, "a blank behind the colon", l.Lead+l.Key+": "+l.Rest)
		case known && !l.Colon:
			return s.at(i, text, "a colon behind the key", l.Lead+l.Key+": "+l.Rest)
		case keyed && l.Gap != "" && l.Rest == "-":
			return s.at(i, text, "a value, nothing, or why there is none: not measured (why)", "")
		}
		if m := hashInGroup.FindStringSubmatch(text); m != nil {
			if nothingThere.MatchString(m[2]) {
				return s.at(i, text, "the value: "+m[2]+" is what a spreadsheet shows for none", "")
			}
			return s.at(i, text,
				"quotes around a value that begins with #: without them the rest of the line is a remark",
				hashInGroup.ReplaceAllString(text, `${1}"${2}"${3}`))
		}
	}
	return false
}

// openAbove looks for an open quote, which runs on until the next one: the line to correct is where it opens, above a
// further key.
func (s *typing) openAbove(lines []string, at int) bool {
	below := ""
	for i := len(lines); i > 0; i-- {
		text := lines[i-1]
		if i <= at && (below == "" || beginsWithKey(below)) {
			if l, keyed := keyedLine(text); keyed && l.opens() {
				const expected = "the quote that closes it"
				if strings.Contains(strings.TrimSpace(text), " #") { // does a remark begin there, or does the value go on?
					return s.at(i, text, expected, "")
				}
				return s.at(i, text, expected, strings.TrimRight(text, " \t")+l.Rest[:1])
			}
		}
		if strings.TrimSpace(text) != "" {
			below = text
		}
	}
	return false
}

// indented looks for a key that stands deeper or less deep than the one above it, which has its value.
func (s *typing) indented(lines []string, at int) bool {
	l, keyed := keyedLine(lines[at-1])
	if !keyed || l.Lead == "" || !l.single() {
		return false
	}
	for i := at - 1; i > 0; i-- {
		above, keyed := keyedLine(lines[i-1])
		switch {
		case strings.TrimSpace(lines[i-1]) == "":
			continue
		case keyed && above.single() && above.Rest != "" && len(above.Lead) != len(l.Lead):
			return s.at(at, lines[at-1], fmt.Sprintf("%s before it, as many as before %s above, or as before the keys of "+
				"its own group", Counted(len(above.Lead), "blank"), above.Key), "")
		}
		return false
	}
	return false
}

// within looks for a slip in the value of the line itself.
func (s *typing) within() {
	const quotes = "quotes around a text that holds a colon and a space"
	l, keyed := keyedLine(s.found)
	m := colonInGroup.FindStringSubmatch(s.found)
	switch {
	case strings.ContainsRune(s.found, '{') && m != nil:
		s.expected = quotes
		if key := joinedKey(m[2]); key != "" {
			s.expected = "a comma before " + key + ", or quotes around a text that holds a colon"
		} else {
			s.typed = colonInGroup.ReplaceAllString(s.found, `${1}"${2}"${3}`)
		}
	case keyed && l.opens() && l.Rest[0] == '"' && !strings.ContainsAny(l.Rest, `\#`):
		// where the value ends that has a remark behind it only the writer knows
		s.expected, s.typed = "the quote that is opened to be closed", s.found+`"`
	case keyed && l.textWithColon():
		s.expected = quotes
		if key := joinedKey(l.Gap[1:] + l.Rest); key != "" {
			s.expected = "a line of its own for " + key + ", or quotes around a text that holds a colon"
		} else {
			s.typed = strings.TrimSuffix(s.found, l.Rest) + `"` + strings.ReplaceAll(l.Rest, `"`, `\"`) + `"`
		}
	}
}

// A keyed line begins with a key as a record has them, behind blanks or a dash.
type keyed struct{ tree.Line }

// keyedLine takes such a line apart; ok is false for another.
func keyedLine(text string) (l keyed, ok bool) {
	l = keyed{tree.LineOf(text)}
	lead, behind := strings.TrimLeft(l.Lead, " "), strings.TrimPrefix(text[len(l.Lead):], l.Key)
	return l, l.Key != "" && strings.Trim(l.Key, "abcdefghijklmnopqrstuvwxyz_") == "" && (lead == "" || lead == "- ") &&
		l.Colon == strings.HasPrefix(behind, ":")
}

// beginsWithKey says that a line begins with a key and its colon.
func beginsWithKey(text string) bool {
	l, ok := keyedLine(text)
	return ok && l.Colon && (l.Gap != "" || l.Rest == "")
}

// single says that the line is a key with nothing, or with a single value, and no item of a list.
func (l keyed) single() bool {
	return l.Colon && !strings.Contains(l.Lead, "-") &&
		(l.Rest == "" || l.Gap != "" && strings.IndexByte("{[|>#", l.Rest[0]) < 0)
}

// opens says that the value begins with a quote and the line holds no second one.
func (l keyed) opens() bool {
	return l.Colon && l.Gap != "" && l.Rest != "" && strings.IndexByte(`"'`, l.Rest[0]) >= 0 &&
		strings.Count(l.Rest, l.Rest[:1]) == 1
}

// textWithColon says that the value is a text without quotes that holds a colon and a blank.
func (l keyed) textWithColon() bool {
	return l.Colon && l.Gap != "" && l.Rest != "" && strings.IndexByte(`"'{[`, l.Rest[0]) < 0 &&
		strings.Contains(l.Rest[1:], ": ")
}

// What no line tells by itself: values in brackets, and keys within a value.
var (
	// colonInGroup is a text with a colon in it as the value of a key within a group, up to the comma or bracket that ends
	// it.
	colonInGroup = regexp.MustCompile(`([a-z_]+: )([^"'{}\[\],]+: [^"'{}\[\],]+)([,}\]]|$)`)
	hashInGroup  = regexp.MustCompile(`([{\[,:] *)(#[^\s,}\]]+)(.*[}\]])$`)
	nothingThere = regexp.MustCompile(`^#(#+|N/A|REF!|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)$`)
	innerKey     = regexp.MustCompile(`([ ,]?)([A-Za-z_]+):(?: |$)`)
)

// joinedKey is a key of the schema that is within the value of another: two lines have become one, or a comma was lost
// between two keys. It is empty where the value holds none. A key that clings to the word before it must be too long to
// be the end of one by chance.
func joinedKey(value string) string {
	for _, m := range innerKey.FindAllStringSubmatchIndex(value, -1) {
		word := value[m[4]:m[5]]
		if alone := m[2] != m[3] || m[4] > 0 && value[m[4]-1] >= '0' && value[m[4]-1] <= '9'; alone && keyNames()[word] {
			return word
		}
		for i := 1; i+4 <= len(word); i++ {
			if keyNames()[word[i:]] {
				return word[i:]
			}
		}
	}
	return ""
}

// keyNames are the keys of every kind of file.
var keyNames = fault.Shared(func() map[string]bool {
	names := map[string]bool{}
	for _, k := range Kinds() {
		if !k.Table {
			k.Walk(func(_ string, f Field) { names[f.Key] = true })
		}
	}
	return names
})
