package merge

import (
	"bytes"
	"fmt"
	"path"
	"strings"
	"unicode/utf8"

	"needlebook/logbook"
	"needlebook/logbook/events"
)

// Sides are the texts of one file: what both sides began with, and what each made of it. Nil where a side has no such
// file.
type Sides struct {
	// Path is where the file stands; it tells which kind it is.
	Path               string
	Base, Ours, Theirs []byte
	// Here and There are what the two sides are called at the markers; empty means here and there.
	Here, There string
	// Past is what is known of the items of a table or list; nil where the base is all that both sides know.
	Past *Past
}

// An Outcome is what became of one file.
type Outcome struct {
	// Clean says that Text stands without a hand looking at it: a table or a list that grew on both sides.
	// A record that both sides changed is never clean.
	Clean bool
	// Text is the file's whole text: the merged one when Clean, else the proposal that a hand accepts or edits, nil where
	// none can be made. Whatever no side touched stands byte for byte.
	Text []byte
	// Marked is the text with git's standard markers where the sides contradict each other, as it lies in the folder until
	// a hand has decided; nil when Clean. Without a contradiction it is the proposal.
	Marked []byte
	// Fields are the values that either side changed, in the order of the record.
	Fields []Field
	// Twice are equal rows that both sides really brought: both stand, and somebody has to say whether they are one.
	Twice []Twice
	// Plain says that a file was compared by its lines alone, or not even by them, and why; empty where its keys were.
	Plain string

	rows []*events.Item // of a table: all that either side brought and none took out
}

// Twice is a row that both sides brought.
type Twice struct {
	// Line is where it stands in the text, First where the one that it equals does; Row is the row as written.
	Line, First int
	Row         string
}

// A Field is one value that a side changed. An empty text means that the value is not there.
type Field struct {
	// Path is the value's path as logbook.Values gives it; "remarks" for lines of the free text, "line 12" for lines of a
	// file without keys, "row 2024-06-01 3" for a row of a table, "file" where one side took the file out.
	Path                         string
	Base, Ours, Theirs, Proposed string
	// Contradicted says that both sides changed it, and not to the same.
	Contradicted bool
}

// File works out one file. It is called only when ours and theirs differ from base and from each other.
func File(s Sides) Outcome {
	if s.Here == "" {
		s.Here = "here"
	}
	if s.There == "" {
		s.There = "there"
	}
	eol := lineEnd(s.Ours)
	switch {
	case s.Ours == nil || s.Theirs == nil:
		return s.oneTookOut()
	case s.Bytes():
		return Outcome{Marked: s.Ours, Plain: "it is bytes, not lines: choose one side's",
			Fields: []Field{{Path: "file", Base: size(s.Base), Ours: size(s.Ours), Theirs: size(s.Theirs), Contradicted: true}}}
	}
	// The two sides of one file may end their lines differently; that is no change. The lines of ours stay as they are.
	s.Base, s.Theirs = withLineEnd(s.Base, eol), withLineEnd(s.Theirs, eol)
	if events.Joins(s.Path) {
		return s.items(eol)
	}
	if path.Ext(s.Path) != ".md" {
		return s.byLines("", eol)
	}
	kind, _ := logbook.KindOf(s.Path)
	m := &merger{}
	p, why := m.record(kind.Fields, s.Base, s.Ours, s.Theirs)
	if why != "" {
		return s.byLines(why, eol)
	}
	return s.outcome(p, m.fields, "", eol)
}

func (s Sides) outcome(p pieces, fields []Field, plain, eol string) Outcome {
	out := Outcome{Marked: p.marked(s.Here, s.There, eol), Fields: fields, Plain: plain}
	if p.clean() {
		out.Text = out.Marked
	}
	return out
}

// byLines compares the whole file line by line.
func (s Sides) byLines(why, eol string) Outcome {
	if why == "" {
		why = "it has no keys"
	}
	var p pieces
	var fields []Field
	line := 1
	p.texts(s.Base, s.Ours, s.Theirs, false, func(c section, _ bool) {
		f := Field{Path: fmt.Sprint("line ", line), Base: squeezed(c.b...), Ours: squeezed(c.o...), Theirs: squeezed(c.t...),
			Contradicted: c.who == apart}
		if f.Proposed = f.Ours; c.who == theirs {
			f.Proposed = f.Theirs
		}
		if c.who == apart {
			f.Proposed = ""
		}
		if c.who != nobody {
			fields = append(fields, f)
		}
		line += len(c.o)
	})
	return s.outcome(p, fields, "compared by its lines alone: "+why, eol)
}

// oneTookOut is a file that one side took out and the other changed: nothing that was written vanishes, so what is left
// is proposed.
func (s Sides) oneTookOut() Outcome {
	f := Field{Path: "file", Base: size(s.Base), Ours: size(s.Ours), Theirs: size(s.Theirs), Contradicted: true}
	left := s.Ours
	if left == nil {
		left = s.Theirs
	}
	f.Proposed = size(left)
	return Outcome{Text: left, Marked: left, Fields: []Field{f},
		Plain: "one side took it out, and the other wrote into it"}
}

func size(text []byte) string {
	if text == nil {
		return ""
	}
	return fmt.Sprintf("%d bytes", len(text))
}

// Bytes says that the file is no text that lines can be told in, so that it is one side's or the other's.
func (s Sides) Bytes() bool {
	if strings.HasPrefix(s.Path, "photos/") || strings.HasPrefix(s.Path, "logs/") {
		return true
	}
	for _, text := range [][]byte{s.Base, s.Ours, s.Theirs} {
		if !utf8.Valid(text) || bytes.ContainsRune(text, 0) {
			return true
		}
	}
	return false
}

// lineEnd is the line end that a text uses: the one of its first line.
func lineEnd(text []byte) string {
	if i := bytes.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

func withLineEnd(text []byte, eol string) []byte {
	if text == nil || lineEnd(text) == eol {
		return text
	}
	plain := bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(plain, []byte("\n"), []byte(eol))
}
