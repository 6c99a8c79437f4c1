package logbook

import (
	"slices"
	"strconv"
)

// Format is the number of the format of books that this program writes. It is raised when a book holds what an older
// program cannot read; a book that states none is of the first.
const Format = 1

// beyond are the slips that a newer format makes: keys, words, columns and files that this program does not know.
var beyond = []string{SlipUnknownKey, SlipWord, SlipHeader, SlipNotARecord}

// Newer says that a slip of this name may be what a newer program writes.
func Newer(slip string) bool { return slices.Contains(beyond, slip) }

// FormatNumber is the number of the book's format.
func (b *Book) FormatNumber() int {
	if f := b.Vessel.Format; f.Valid {
		return f.Int()
	}
	return 1
}

// IsNewer says that the book is of a format that this program knows only in part.
func (b *Book) IsNewer() bool { return b.FormatNumber() > Format }

// TakeNewer makes what a book of a newer format holds and this program does not know no slip of the writer's: nothing
// is proposed in its place, and it stays as it is.
func (b *Book) TakeNewer(problems []Problem) {
	if !b.IsNewer() {
		return
	}
	for i, p := range problems {
		if Newer(p.Slip) && !p.Read {
			problems[i] = Problem{Place: p.Place, Slip: p.Slip, Key: p.Key, Found: p.Found, Newer: true,
				Expected: "needlebook that knows format " + strconv.Itoa(b.FormatNumber())}
		}
	}
}

// newerFormat says that the book is of a newer format.
func (b *Book) newerFormat() {
	if b.IsNewer() {
		f := b.Vessel.Format
		b.Problems = append(b.Problems, Problem{Place: f.Place, Slip: SlipUnknownKey, Key: f.Key, Found: f.Written,
			Expected: strconv.Itoa(Format)})
	}
	b.TakeNewer(b.Problems)
}
