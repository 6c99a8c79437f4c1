package checks

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/logbook"
)

// Grade says how serious a finding is. It follows the wording of the source: what the maker forbids is a stop, what he
// advises against asks for an answer, our own advice says that it is ours.
type Grade uint8

// The grades, from the lightest up.
const (
	Note   Grade = iota + 1 // worth knowing
	Advice                  // better done otherwise
	Action                  // to be answered before countersigning
	Stop                    // do not sign, do not fit
)

var gradeWords = [...]string{"", "note", "advice", "action", "stop"}

// String is the word for the grade.
func (g Grade) String() string { return gradeWords[g] }

// GradeNamed finds a grade by its word.
func GradeNamed(word string) (Grade, bool) {
	for g := Note; g <= Stop; g++ {
		if g.String() == word {
			return g, true
		}
	}
	return 0, false
}

// Finding is one thing that a check has to say: where, how serious, why, and what to do next.
type Finding struct {
	Place   logbook.Place // the line at fault; the column counts characters
	Check   string        // the check's name, also the anchor of its section in the manual
	Grade   Grade
	Message string // one clause of at most 100 characters, lower case: quantity, value as written, limit, difference
	// Evidence is what proves the message, a line each: where it comes from, what else was counted.
	Evidence []string
	Next     string // what to do next, one line; empty where the message says it
	// Proposal is what the check knows to belong there, for fix and editors to offer; nil where only the writer knows.
	// Next says it in words: see offer.
	Proposal *logbook.Proposal
	Limit    *Limit    // the limit applied; nil where none
	Rests    Rests     // what it rests on beside the record, where many may rest on it
	Lacks    string    // what the record does not hold, where that is the finding: an old paper is not asked for it
	Related  []Related // earlier or other places that the finding rests on
	About    About     // what the finding concerns, for the pages of those parts
	Facts    []string  // what an answer holds for beside what is written at the places, such as a commit
	// Deferral is the deferral that the decision rests on; the finding is deferred while it is in force.
	Deferral *logbook.Deferral
	defers   string // the key of the limit that a deferral of it names, where the check asks for one

	says  saying      // which of the things it is that its check can say, where others ask for that
	name  string      // the person or the instrument that is not known
	since logbook.Day // the day from which on a position is empty
	// of what cannot be right in itself, whatever the rest of the book says; nil for the others
	origin   *logbook.Problem
	columns  bool               // it is told once for many lines of a table
	misses   []logbook.Position // where a record may be missing, beside the position that it is about
	readWith string             // the instrument whose file it rests on, where it says nothing of that itself
	told     []subordinate      // what is told under it, with its place among the related ones
	alone    bool               // nothing is told under it: it is no longer open, and what followed from it is
	slip     bool               // the figure cannot be right: no later work ends that, only the writing
	// the commit that it is about, where its signer counts as one of the two who sign; nil where there is none
	byCommit *logbook.Commit
	asked    Subject // what an answer names, where the subject is another by now

	// What follows is worked out for all findings of a run together, from the book alone.
	Subject Subject     // what it is about; a check sets it only where it is not of the check's own kind
	Since   logbook.Day // the day from which on it held; 0 where none is known
	State   State
	Ended   Fact   // what ended it, or covers it; empty while it is open
	Text    string // what an answer to it answers to, as a digest
	Held    string // why an answer that is in the book does not count; empty where there is none
	heldBy  string // who gave that answer, where he had no post by the crew list
	// since when the office has it: somebody aboard answered what is answered ashore; 0 where nobody did
	Office logbook.Day
}

// saying is which of the things that a check can say a finding is: what follows from what is told by this, not by the
// words of a message.
type saying uint8

// What is asked for.
const (
	_                saying = iota
	emptyPosition           // a position has no valve on record while its engine ran
	placeNotNamed           // a block names no engine, or no cylinder
	noSuchPlace             // an engine, or a cylinder, is not in book.md
	noSuchPerson            // a person is not in the list of crew
	noSuchInstrument        // an instrument is not in the book
	afterReading            // a date lies behind the last reading of the hour counter
)

// inFull is the message with what proves it.
func (f *Finding) inFull() string {
	return strings.Join(append([]string{f.Message}, f.Evidence...), "; ")
}

// offer says what belongs in the place of what is written, and goes on with further words.
func (f *Finding) offer(c *logbook.Proposal, behind string) {
	f.Proposal, f.Next = c, c.String()+behind
}

// typed is the proposal for a value that is written in one place.
func typed(l logbook.Leaf, text string) *logbook.Proposal {
	return &logbook.Proposal{Place: l.Place, Was: l.Written, Types: []string{text}}
}

// Subject is the thing that a finding is about: a part by its serial, a place by its name, a record or file.
type Subject struct {
	Kind SubjectKind
	Name string
}

// String is the subject in words: "pocket ME2-6".
func (s Subject) String() string { return strings.TrimSpace(s.Kind.String() + " " + s.Name) }

// Asked is the subject as an answer names it: of a pocket the cylinder in which it was found, wherever its head has
// gone since.
func (f *Finding) Asked() Subject { return cmp.Or(f.asked, f.Subject) }

// Fact is what ended a finding, or covers it for now.
type Fact struct {
	Day   logbook.Day
	Place logbook.Place
	Words string
}

// Limit is a limit as a finding shows it.
type Limit struct {
	Name     string        // its key and what is written there: "holes.count 8"; empty where the judgement asks of it
	Text     string        // as written, with the value it was worked out to where it is relative
	Source   string        // document and section, as the limits file gives it
	Revision logbook.Day   // first day of the revision it stands in
	Place    logbook.Place // where it is written
}

// Related is another place, and what stands there.
type Related struct {
	Place logbook.Place
	Words string
}

// About names what a finding concerns. Fields are empty where they do not apply.
type About struct {
	Record         string // file stem of the overhaul
	Position       logbook.Position
	Holder, Nozzle string
	Instrument     string
	Bunker         string
	Person         string
	Round          string // name of the round
}

// sortFindings orders findings: the gravest first, then the newest by the record they are about, then by path, line,
// column and check. It frees them of duplicates. Where all findings of a book are at hand, their own days decide.
func sortFindings(b *logbook.Book, fs []Finding) []Finding {
	day := func(f Finding) logbook.Day {
		if o := b.Overhaul(f.About.Record); o != nil {
			return o.Day()
		}
		return 0
	}
	slices.SortStableFunc(fs, func(x, y Finding) int {
		return cmp.Or(cmp.Compare(y.Grade, x.Grade), cmp.Compare(day(y), day(x)), x.Place.Compare(y.Place),
			cmp.Compare(x.Check, y.Check), cmp.Compare(x.Message, y.Message))
	})
	out := fs[:0]
	for i, f := range fs {
		if i > 0 {
			p := out[len(out)-1]
			if p.Place == f.Place && p.Check == f.Check && p.Message == f.Message && slices.Equal(p.Evidence, f.Evidence) {
				continue
			}
		}
		out = append(out, f)
	}
	return out
}
