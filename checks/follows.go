package checks

import (
	"cmp"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"needlebook/logbook"
)

// What follows from one slip is told under it: a record that nobody can read is missing from its round and from the
// lives of its valve, a line torn apart has its cells in the wrong columns, one name that is gone is missed wherever it
// was used. Such findings become places of the one that explains them, so that nothing is hidden and one thing to do is
// one finding. A stop is never told under another finding.

// restsOn are the checks that miss something when a file is not read: the kinds of file in which they look.
var restsOn = map[string][]string{
	fitAndRemoval.Name:        {"overhauls", "book.md"},
	roundIncomplete.Name:      {"overhauls"},
	partInTwoPlaces.Name:      {"overhauls", "book.md"},
	serialUnknown.Name:        {"overhauls", "parts", "stores", "book.md"},
	sparesNotBooked.Name:      {"parts", "stores"},
	instrumentNotProven.Name:  {"instruments"},
	nameUnknown.Name:          {"crew.csv", "book.md", "deferrals", "decisions"},
	notAboard.Name:            {"crew.csv"},
	settingForOtherState.Name: {"book.md"},
	handoverMissing.Name:      {"handovers", "crew.csv"},
	dateOutOfPlace.Name:       {"fuel", "crew.csv", "stores", "running", "hours"},
	counterUnusual.Name:       {"book.md", "hours"},
	counterBackwards.Name:     {"overhauls", "book.md", "hours"},
	overdue.Name:              {"overhauls", "book.md"},
	figureNotBelieved.Name:    {"book.md"},
	limitMissed.Name:          {"book.md", "limits"},
}

// dated are the checks that compare the days, hours and places of records: what they say of one whose own date or place
// cannot be right follows from that.
var dated = []*Check{dateOrder, dateOutOfPlace, dateAhead, lateEntry, hoursDiffer, fitAndRemoval, roundIncomplete,
	partInTwoPlaces, counterBackwards, counterTooFast, counterTooSlow, counterUnusual, hoursAboveCounter,
	instrumentNotProven, notAboard, spareTestTooOld, overdue, recordName, serialUnknown, liftShorter, liftGrew,
	holderWearLess, openingRose, openingLost, leakDownBetter, leakDownLost, runningDataAfterFitting, asFoundMissing,
	entryIncomplete, settingForOtherState, settingOutOfBand, stepMissing, nameUnknown, recordAlike,
	sparesNotBooked, partsNotAsDecided}

// lackers are the checks that miss something in a record, and so miss what could not be read of it.
var lackers = []*Check{entryIncomplete, stepMissing, asFoundMissing, roundIncomplete, fitAndRemoval, partInTwoPlaces,
	tightening, leakCheck, rings, runningDataAfterFitting, placesNotInspected, sealNotRenewed, rowIncomplete,
	decisionWithoutReason, handoverMissing, testNotAsStated}

// cause is a finding that others may follow from.
type cause struct {
	*Finding
	belongs string // where the file belongs
	kind    string // of that place
	whole   bool   // nothing of the file is read, or not all of its lines
	row     bool   // one line of a table
	gone    bool   // it follows from another itself
	of      *logbook.Overhaul
	ids     []string // what the file or line is known by elsewhere
}

// teller holds findings against the book they are of.
type teller struct {
	book    *logbook.Book
	records map[string]*logbook.Overhaul // by path
}

// unreadFile are the checks that say of a file that it is not read, or not to its end.
var unreadFile = []*Check{frontMatter, yamlForm, textEncoding, fileNotRead, recordName}

// told puts each finding that follows from another under it.
func told(b *logbook.Book, all []Finding) []Finding {
	all = rowsTold(repeated(all))
	t := teller{b, map[string]*logbook.Overhaul{}}
	for _, o := range b.Overhauls {
		t.records[o.Path] = o
	}
	byFile := map[string][]*cause{}
	var causes []*cause
	for i := range all {
		if c := t.causeOf(&all[i]); c != nil {
			byFile[c.Place.Path] = append(byFile[c.Place.Path], c)
			causes = append(causes, c)
		}
	}
	if len(causes) == 0 {
		return all
	}
	gone := make([]bool, len(all))
	for i := range all {
		f := &all[i]
		if f.Grade == Stop || f.Check == CheckFailed {
			continue
		}
		near := byFile[f.Place.Path]
		for _, r := range f.Related {
			near = slices.Concat(near, byFile[r.Place.Path])
		}
		by := slices.IndexFunc(near, func(c *cause) bool { return !c.gone && c.explainsBeside(f) })
		if by < 0 && f.origin == nil {
			near = causes
			by = slices.IndexFunc(near, func(c *cause) bool { return !c.gone && t.missed(c, f) })
		}
		if by < 0 {
			continue
		}
		near[by].tells(f)
		gone[i] = true
		for _, c := range byFile[f.Place.Path] {
			c.gone = c.gone || c.Finding == f
		}
	}
	kept := all[:0:0]
	for i := range all {
		if !gone[i] {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// causeOf is what a finding may explain; nil where it explains nothing but itself.
func (t teller) causeOf(f *Finding) *cause {
	if f.origin == nil || f.origin.Read && f.origin.Slip != logbook.SlipRow {
		return nil
	}
	c := &cause{Finding: f, belongs: f.Place.Path}
	if f.origin.Slip == logbook.SlipMisplaced {
		c.belongs = f.origin.Expected
	}
	c.kind = kindAt(c.belongs)
	k := Named(f.Check)
	switch {
	case k == tableForm && f.origin.Slip == logbook.SlipRow:
		c.row = true
		c.ids = strings.FieldsFunc(f.origin.Found, func(r rune) bool { return strings.ContainsRune(",;\t|", r) })
	case k == yamlForm && f.origin.Slip != logbook.SlipYAML:
		return nil
	case k == tableForm || f.columns || slices.Contains(unreadFile, k):
		c.whole = true
		stem := path.Base(c.belongs)
		for path.Ext(stem) != "" {
			stem = strings.TrimSuffix(stem, path.Ext(stem))
		}
		c.ids = []string{stem}
	}
	if at := t.records[f.Place.Path]; at != nil && !c.whole {
		if c.of = at; !slices.Contains(placing(at), f.Place) {
			return nil
		}
	}
	return c
}

// kindAt is the kind of a file by its path: its top folder, or its name.
func kindAt(name string) string {
	if top, _, below := strings.Cut(name, "/"); below {
		return top
	}
	return name
}

// placing are the places of what puts a record among the others: its days, its hours, its cylinder and its valve.
func placing(o *logbook.Overhaul) []logbook.Place {
	return []logbook.Place{o.Holder.Place, o.Nozzle.Found.Place, o.Nozzle.Left.Place, o.Removed.Place,
		o.Removed.Engine.Place, o.Removed.Cylinder.Place, o.Removed.Date.Place, o.Removed.Counter.Place,
		o.AsFound.Date.Place, o.AsLeft.Date.Place, o.Stored.Date.Place, o.Fitted.Place, o.Fitted.Engine.Place,
		o.Fitted.Cylinder.Place, o.Fitted.Date.Place, o.Fitted.Counter.Place}
}

// explainsBeside says that a finding in the same file, or one that names a place of it, follows from c.
func (c *cause) explainsBeside(f *Finding) bool {
	k := Named(f.Check)
	if f == c.Finding || k == nil {
		return false
	}
	here := f.Place.Path == c.Place.Path
	switch {
	case here && c.whole:
		return slices.Contains(lackers, k) || f.origin != nil && f.Check == c.Check &&
			f.origin.Slip == c.origin.Slip && c.Place.Compare(f.Place) < 0
	case here && c.row && f.Place.Line == c.Place.Line:
		return true
	case here && c.Check == dateOutOfPlace.Name && k == dateOutOfPlace:
		return f.origin == nil
	case c.of != nil && slices.Contains(dated, k) && (f.origin == nil || f.origin.Read || f.Place == c.Place):
		return here || slices.ContainsFunc(f.Related, func(r Related) bool { return r.Place.Path == c.Place.Path })
	}
	return here && f.Place == c.Place && f.origin == nil
}

// missed says that a finding in another file misses what c keeps from being read.
func (t teller) missed(c *cause, f *Finding) bool {
	if !c.whole && !c.row && c.of == nil && c.kind != "book.md" || !slices.Contains(restsOn[f.Check], c.kind) {
		return false
	}
	switch c.kind {
	case "overhauls":
		return t.missedRecord(c, f)
	case "instruments":
		return slices.Contains(c.ids, logbook.FileName(f.About.Instrument))
	case "book.md":
		return true
	}
	if c.whole && strings.HasSuffix(c.Place.Path, ".csv") {
		return true
	}
	for _, id := range []string{f.About.Nozzle, f.About.Holder, f.About.Person, f.About.Bunker, quoted(f.Message)} {
		if id != "" && (slices.Contains(c.ids, id) || slices.Contains(c.ids, logbook.FileName(id))) {
			return true
		}
	}
	return false
}

// missedRecord is missed for a record: the places of its engine, its holder and its nozzle lack it.
func (t teller) missedRecord(c *cause, f *Finding) bool {
	if f.Check != serialUnknown.Name {
		p, ok := t.book.PositionAt(c.belongs)
		engine := f.About.Position.Engine
		if r := t.records[f.Place.Path]; engine == "" && r != nil {
			engine = r.Removed.Engine.Written
		}
		return !ok || engine == "" || p.Engine == engine
	}
	ids := c.ids
	if c.of != nil {
		ids = append(ids, c.of.Holder.Written, c.of.Nozzle.Left.Written)
	}
	return slices.ContainsFunc(ids, func(id string) bool {
		return id == f.About.Nozzle || strings.HasSuffix(id, logbook.FileName(f.About.Holder))
	})
}

// tells takes in a finding that follows.
func (c *cause) tells(f *Finding) {
	c.Related = append(c.Related, Related{f.Place, follows + f.Message})
	for _, r := range f.Related {
		if _, told := r.follows(); told {
			c.Related = append(c.Related, r)
		}
	}
}

// What a finding begins with that is told under another: it follows from it, or it is the same of another line.
const follows, likewise = "follows: ", "likewise: "

// follows is the message of a finding that is told at a related place; told is false where none is.
func (r Related) follows() (message string, told bool) {
	for _, word := range []string{follows, likewise} {
		if message, told = strings.CutPrefix(r.Words, word); told {
			return message, true
		}
	}
	return "", false
}

var quotedText = regexp.MustCompile(`"([^"]*)"`)

// quoted is the first text that a message quotes.
func quoted(message string) string {
	if m := quotedText.FindStringSubmatch(message); m != nil {
		return m[1]
	}
	return ""
}

// rowsTold tells once what is said of more than two cells of a line of a table: by what the reader says of the whole
// line where it does, or else of the first cell.
func rowsTold(all []Finding) []Finding {
	type line struct {
		path string
		line int
	}
	lines := map[line][]int{}
	for i, f := range all {
		if strings.HasSuffix(f.Place.Path, ".csv") && f.Grade != Stop {
			at := line{f.Place.Path, f.Place.Line}
			lines[at] = append(lines[at], i)
		}
	}
	gone := map[int]bool{}
	for _, at := range lines {
		if len(at) <= 2 {
			continue
		}
		first := slices.MinFunc(at, func(i, j int) int {
			return cmp.Or(cmp.Compare(rankInRow(&all[i]), rankInRow(&all[j])), all[i].Place.Compare(all[j].Place), i-j)
		})
		f := &all[first]
		f.Related = slices.Clone(f.Related)
		for _, i := range at {
			if i != first {
				gone[i] = true
				f.Related = append(f.Related, Related{all[i].Place, follows + all[i].Message})
				f.Related = append(f.Related, all[i].Related...)
			}
		}
	}
	kept := all[:0:0]
	for i := range all {
		if !gone[i] {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// rankInRow is the order of those that speak for a line: the whole of it, a cell that could not be read, any other.
func rankInRow(f *Finding) int {
	switch {
	case f.origin != nil && f.origin.Slip == logbook.SlipRow:
		return 0
	case f.origin != nil:
		return 1
	}
	return 2
}

var figuresIn = regexp.MustCompile(`"[^"]*"|\d[\d.,/-]*`)

// repeated tells once what a check says of more than a few lines of one table, of a text that cannot be read, or of one
// name in many records.
func repeated(all []Finding) []Finding {
	groups := map[string][]int{}
	for i, f := range all {
		if key := repeatedBy(&f); key != "" && f.Grade != Stop {
			groups[key] = append(groups[key], i)
		}
	}
	gone := map[int]bool{}
	for _, at := range groups {
		if len(at) <= aColumn {
			continue
		}
		first := slices.MinFunc(at, func(i, j int) int { return all[i].Place.Compare(all[j].Place) })
		f := &all[first]
		f.columns = strings.HasSuffix(f.Place.Path, ".csv")
		f.Related = slices.Clone(f.Related)
		for _, i := range at {
			if i != first {
				gone[i] = true
				f.Related = append(f.Related, Related{all[i].Place, likewise + all[i].Message})
			}
		}
		f.Message += fmt.Sprintf(", as %d more", len(at)-1)
	}
	kept := all[:0:0]
	for i := range all {
		if !gone[i] {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// repeatedBy is what findings of one cause have in common; empty for one that stands for itself.
func repeatedBy(f *Finding) string {
	k := Named(f.Check)
	switch {
	case k == nil:
		return ""
	case strings.HasSuffix(f.Place.Path, ".csv"):
		return f.Check + "\x00" + f.Place.Path + "\x00" + figuresIn.ReplaceAllString(f.Message, "")
	case (k == yamlForm || k == textEncoding) && f.origin != nil:
		return f.Check + "\x00" + f.Place.Path + "\x00" + f.origin.Slip
	case k == unknownKey:
		block, _, _ := strings.Cut(f.Message, ":")
		return f.Check + "\x00" + f.Place.Path + "\x00" + path.Dir(strings.ReplaceAll(block, ".", "/"))
	case k == notAboard:
		_, stays, _ := strings.Cut(f.Message, ": ")
		_, person, _ := strings.Cut(f.Message, " ")
		person, _, _ = strings.Cut(person, " ")
		return f.Check + "\x00" + person + "\x00" + stays
	case k == nameUnknown:
		return f.Check + "\x00" + quoted(f.Message)
	case k == instrumentNotProven && strings.HasPrefix(f.Message, "instrument "):
		return f.Check + "\x00" + f.Message
	}
	return ""
}
