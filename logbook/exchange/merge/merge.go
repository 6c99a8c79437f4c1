// Package merge works out one file that both sides of a book changed: what may stand without anybody looking, and what a hand has
// to decide, with a proposal made field by field. It knows texts and the schema of records, and leaves commits, the index and the
// folder to package exchange, which calls File for each such file when two histories meet.
package merge

import "bytes"

// Sides are the texts of one file: what both sides began with, and what each made of it. Nil where a side has no such file.
type Sides struct {
	// Path is where the file stands; it tells which kind it is.
	Path               string
	Base, Ours, Theirs []byte
}

// An Outcome is what became of one file.
type Outcome struct {
	// Clean says that Text stands without a hand looking at it: a table or a list that grew on both sides.
	// A record that both sides changed is never clean.
	Clean bool
	// Text is the file's whole text: the merged one when Clean, else the proposal that a hand accepts or edits, nil where none
	// can be made. Whatever no side touched stands byte for byte.
	Text []byte
	// Marked is the text with git's standard markers where the sides contradict each other, as it lies in the folder until a hand
	// has decided; nil when Clean.
	Marked []byte
	// Fields are the values that either side changed, in the order of the record.
	Fields []Field
}

// A Field is one value that a side changed. An empty text means that the value is not there.
type Field struct {
	// Path is the value's path as logbook.Values gives it; "remarks" for lines of the free text.
	Path                         string
	Base, Ours, Theirs, Proposed string
	// Contradicted says that both sides changed it, and not to the same.
	Contradicted bool
}

// File works out one file. It is called only when ours and theirs differ from base and from each other.
func File(s Sides) Outcome {
	return Outcome{Marked: whole(s)}
}

// whole sets the two texts one against the other.
func whole(s Sides) []byte {
	var b bytes.Buffer
	for _, part := range []struct {
		mark string
		text []byte
	}{{"<<<<<<< ours\n", s.Ours}, {"=======\n", s.Theirs}} {
		b.WriteString(part.mark)
		b.Write(part.text)
		if n := len(part.text); n > 0 && part.text[n-1] != '\n' {
			b.WriteByte('\n')
		}
	}
	b.WriteString(">>>>>>> theirs\n")
	return b.Bytes()
}
