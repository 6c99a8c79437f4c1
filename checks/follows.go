package checks

import (
	"cmp"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"needlebook/logbook"
	"needlebook/logbook/fault"
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
	nameUnknown.Name:          {"crew.csv", "book.md", "deferrals", "decisions", "limits"},
	notAboard.Name:            {"crew.csv"},
	settingForOtherState.Name: {"book.md"},
	handoverMissing.Name:      {"handovers", "crew.csv"},
	dateOutOfPlace.Name:       {"fuel", "crew.csv", "stores", "running", "hours"},
	counterUnusual.Name:       {"book.md", "hours"},
	counterBackwards.Name:     {"overhauls", "book.md", "hours"},
	overdue.Name:              {"overhauls", "book.md"},
	hoursDiffer.Name:          {"overhauls", "book.md"},
	rings.Name:                {"book.md"},
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
	decisionWithoutReason, handoverMissing}

// lackersToo are checks that miss something among other things that they say.
var lackersToo = []*Check{instrumentNotProven, nutTorque, limitForm, instrumentForm}

// cause is a finding that others may follow from.
type cause struct {
	*Finding
	belongs string // where the file belongs
	kind    string // of that place
	whole   bool   // nothing of the file is read, or not all of its lines
	row     bool   // one line of a table
	line    bool   // what is written in one line of a table does not fit; the line was read
	gone    bool   // it follows from another itself
	of      *logbook.Overhaul
	ids     []string // what the file or line is known by elsewhere
	block   string   // of a value of a record that was not read, the top key that it belongs under
}

// teller holds findings against the book they are of.
type teller struct {
	book    *logbook.Book
	records map[string]*logbook.Overhaul // by path
	keys    map[*logbook.Overhaul][]keyAt
	byFile  map[string][]*cause
	byName  map[string][]*cause                   // by the kind of file and what misses it asks for, see named
	valves  func() map[string][]*logbook.Overhaul // by holder, in the order of the book
}

// unreadFile are the checks that say of a file that it is not read, or not to its end.
var unreadFile = []*Check{frontMatter, yamlForm, textEncoding, fileNotRead, recordName}

// told puts each finding that follows from another under it.
func told(b *logbook.Book, all []Finding) []Finding {
	all = linesTold(repeated(all))
	t := teller{b, map[string]*logbook.Overhaul{}, map[*logbook.Overhaul][]keyAt{}, map[string][]*cause{},
		map[string][]*cause{}, fault.Shared(func() map[string][]*logbook.Overhaul { return recordsOf(b) })}
	for _, o := range b.Overhauls {
		t.records[o.Path] = o
	}
	for i := range all {
		if c := t.causeOf(&all[i]); c != nil {
			t.byFile[c.Place.Path] = append(t.byFile[c.Place.Path], c)
			for _, name := range t.named(c) {
				t.byName[name] = append(t.byName[name], c)
			}
		}
	}
	gone := make([]bool, len(all))
	for i := range all {
		f := &all[i]
		if f.Grade == Stop || f.Check == CheckFailed {
			continue
		}
		by := t.explains(f)
		if by == nil {
			continue
		}
		by.tells(*f, follows)
		gone[i] = true
		for _, c := range t.byFile[f.Place.Path] {
			c.gone = c.gone || c.Finding == f
		}
	}
	return t.recordsTold(placesTold(exchangedTold(without(all, gone))))
}

// without are the findings that are not gone.
func without(all []Finding, gone []bool) []Finding {
	kept := all[:0:0]
	for i := range all {
		if !gone[i] {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// recordsOf are the records of each holder, in the order of their days.
func recordsOf(b *logbook.Book) map[string][]*logbook.Overhaul {
	all := map[string][]*logbook.Overhaul{}
	for _, o := range b.Overhauls {
		all[o.Holder.Written] = append(all[o.Holder.Written], o)
	}
	for _, of := range all {
		slices.SortStableFunc(of, func(x, y *logbook.Overhaul) int { return cmp.Compare(x.Day(), y.Day()) })
	}
	return all
}

// explains is the cause that a finding follows from: one in its file or in one that it names a place of, or one in
// another file that keeps from being read what it misses.
func (t teller) explains(f *Finding) *cause {
	files := []string{f.Place.Path}
	for _, r := range f.Related {
		if !slices.Contains(files, r.Place.Path) {
			files = append(files, r.Place.Path)
		}
	}
	for _, path := range files {
		for _, c := range t.byFile[path] {
			if !c.gone && t.explainsBeside(c, f) {
				return c
			}
		}
	}
	if f.origin != nil {
		return nil
	}
	for _, kind := range restsOn[f.Check] {
		for _, name := range t.missing(kind, f) {
			for _, c := range t.byName[name] {
				if !c.gone && c.Finding != f {
					return c
				}
			}
		}
	}
	return nil
}

// misdated are the checks that say that what a file states of its own day or persons cannot be right, each before those
// that follow from it.
var misdated = []*Check{fileName, dateAhead, nameUnknown, notAboard}

// causeOf is what a finding may explain; nil where it explains nothing but itself.
func (t teller) causeOf(f *Finding) *cause {
	k := Named(f.Check)
	c := &cause{Finding: f, belongs: f.Place.Path, kind: kindAt(f.Place.Path)}
	if f.origin == nil {
		at := t.records[f.Place.Path]
		switch {
		case c.kind == "handovers" && slices.Contains(misdated, k):
			c.ids = []string{dayOf(c.belongs)}
			return c
		case at != nil && k == nameUnknown && slices.Contains(placing(at), f.Place):
			c.of = at
			return c
		case f.columns:
			c.whole = true
			return c
		case k != nil && k.Ends == writing && strings.HasSuffix(c.Place.Path, ".csv"):
			c.line = true
			return c
		}
		return nil
	}
	if f.origin.Read && f.origin.Slip != logbook.SlipRow {
		return nil
	}
	if f.origin.Slip == logbook.SlipMisplaced {
		c.belongs = f.origin.Expected
		c.kind = kindAt(c.belongs)
	}
	switch {
	case c.kind == "handovers" && !slices.Contains(unreadFile, k):
		c.ids = []string{dayOf(c.belongs)}
	case k == tableForm && f.origin.Slip == logbook.SlipRow:
		c.row = true
		c.ids = strings.FieldsFunc(f.origin.Found, func(r rune) bool { return strings.ContainsRune(",;\t|", r) })
	case k == yamlForm && f.origin.Slip != logbook.SlipYAML && c.kind != "book.md" && t.records[f.Place.Path] == nil:
		return nil
	case k == yamlForm && f.origin.Slip != logbook.SlipYAML:
	case k == textEncoding && strings.HasPrefix(f.origin.Found, `"`): // letters of another encoding, some are read
	case k == tableForm || f.columns || slices.Contains(unreadFile, k):
		c.whole = true
		stem := path.Base(c.belongs)
		for path.Ext(stem) != "" {
			stem = strings.TrimSuffix(stem, path.Ext(stem))
		}
		c.ids = []string{stem}
		if c.kind == "handovers" {
			c.ids = append(c.ids, dayOf(c.belongs))
		}
	}
	if at := t.records[f.Place.Path]; at != nil && !c.whole {
		if c.of = at; !slices.Contains(placing(at), f.Place) {
			c.of = nil
			c.block, _, _ = strings.Cut(f.origin.Key, ".")
			if k == unknownKey && !strings.Contains(f.origin.Key, ".") {
				c.block = f.origin.Expected
			}
		}
	}
	return c
}

// dayOf is the day that the name of a file begins with; empty where it begins with none.
func dayOf(name string) string {
	base := path.Base(name)
	if len(base) < len(time.DateOnly) {
		return ""
	}
	return base[:len(time.DateOnly)]
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
func (t teller) explainsBeside(c *cause, f *Finding) bool {
	k := Named(f.Check)
	if f == c.Finding || k == nil {
		return false
	}
	here := f.Place.Path == c.Place.Path
	names := slices.ContainsFunc(f.Related, func(r Related) bool {
		return r.Place.Path == c.Place.Path && r.Place.Line == c.Place.Line
	})
	switch {
	case c.columns:
		return k.Ends == writing
	case c.line:
		return f.origin == nil && (names && f.Grade <= c.Grade || here && k == dateOutOfPlace && f.Grade < c.Grade)
	case here && c.Check == textEncoding.Name && k == unitUnknown:
		return strings.ContainsAny(f.origin.Found, mojibake)
	case here && c.whole:
		return slices.Contains(lackers, k) || c.Check == frontMatter.Name && k == textEncoding ||
			f.origin != nil && f.Check == c.Check && f.origin.Slip == c.origin.Slip && c.Place.Compare(f.Place) < 0
	case here && c.kind == "handovers" && slices.Contains(misdated, k):
		return c.origin != nil || slices.Index(misdated, Named(c.Check)) < slices.Index(misdated, k)
	case here && c.block != "" && f.origin == nil &&
		(slices.Contains(lackers, k) || slices.Contains(lackersToo, k) || k == figureUnlike):
		moved := []*Check{unknownKey, repeatedKey, yamlForm} // a line that belongs elsewhere, where it is missing
		return slices.Contains(moved, Named(c.Check)) || strings.Contains(f.Message, c.block) || t.block(f.Place) == c.block
	case here && c.origin != nil && !c.origin.Read && k == entryIncomplete:
		return c.of == nil && c.block == "" // the file of something else than an overhaul
	case here && c.row && f.Place.Line == c.Place.Line:
		return true
	case here && k == dateOutOfPlace && (c.Check == k.Name || strings.HasSuffix(c.Place.Path, ".csv")):
		return f.origin == nil
	case here && c.origin != nil && slices.Contains(lackersToo, k) && t.records[f.Place.Path] == nil:
		return f.origin == nil && c.belongs == f.Place.Path // a line of a limits file or an instrument that is not read
	case c.of != nil && slices.Contains(dated, k) && (c.origin != nil || k != nameUnknown) &&
		(f.origin == nil || f.origin.Read || f.Place == c.Place):
		return here || slices.ContainsFunc(f.Related, func(r Related) bool { return r.Place.Path == c.Place.Path })
	}
	return here && f.Place == c.Place && f.origin == nil
}

// block is the top key of a record under which a place stands: of the first value there or behind it.
func (t teller) block(at logbook.Place) string {
	o := t.records[at.Path]
	if o == nil {
		return ""
	}
	all, known := t.keys[o]
	if !known {
		all = keysOf(o)
		t.keys[o] = all
	}
	i, _ := slices.BinarySearchFunc(all, at, func(k keyAt, at logbook.Place) int { return k.place.Compare(at) })
	if i == len(all) {
		return ""
	}
	top, _, _ := strings.Cut(all[i].key, ".")
	return top
}

// named is what findings in other files that miss what c keeps from being read ask for: the book, all records or those
// of an engine, one of a serial, a whole table, what bears an id.
func (t teller) named(c *cause) (names []string) {
	if c.kind == "book.md" {
		return []string{c.kind}
	}
	if !c.whole && !c.row && c.of == nil && c.ids == nil {
		return nil
	}
	ids := c.ids
	if c.kind == "overhauls" {
		names = append(names, "overhauls")
		p, ok := t.book.PositionAt(c.belongs)
		if ok {
			names = append(names, "overhauls "+p.Engine)
		} else if c.of == nil { // where the record belongs is not known
			names = append(names, "overhauls ?")
		}
		if c.of != nil {
			ids = append(slices.Clone(ids), c.of.Holder.Written, c.of.Nozzle.Left.Written)
		}
		for _, id := range c.ids {
			if rest := strings.TrimPrefix(id, dayOf(id)); len(rest) > 1 {
				ids = append(slices.Clone(ids), rest[1:])
			}
		}
	}
	if c.whole && strings.HasSuffix(c.Place.Path, ".csv") {
		names = append(names, c.kind)
	}
	for _, id := range ids {
		if id != "" {
			names = append(names, c.kind+" # "+logbook.FileName(id))
		}
	}
	return names
}

var dayIn = regexp.MustCompile(`\d{4}-\d{2}-\d{2}`)

// missing is what a finding asks for in one kind of file.
func (t teller) missing(kind string, f *Finding) (names []string) {
	ids := []string{f.About.Nozzle, f.About.Holder}
	switch {
	case kind == "book.md":
		return []string{kind}
	case kind == "overhauls" && f.Check != serialUnknown.Name:
		engine := f.About.Position.Engine
		if r := t.records[f.Place.Path]; engine == "" && r != nil {
			engine = r.Removed.Engine.Written
		}
		if engine == "" {
			return []string{kind}
		}
		names = append(names, kind+" "+engine, kind+" ?")
	case kind == "instruments":
		ids = []string{f.About.Instrument}
	case kind == "handovers":
		ids = dayIn.FindAllString(f.Message, -1)
	case kind != "overhauls":
		names = append(names, kind)
		on, _, _ := strings.Cut(f.Rests.Words, ":")
		ids = append(ids, f.About.Person, f.About.Bunker, quoted(f.Message), on)
	}
	for _, id := range ids {
		if id != "" {
			names = append(names, kind+" # "+logbook.FileName(id))
		}
	}
	return names
}

// tells takes in a finding that follows from f, or is the same of another line, with what is told under that. Where
// that asks for action, so does f.
func (f *Finding) tells(of Finding, as string) {
	f.Grade = max(f.Grade, min(of.Grade, Action))
	f.told = append(append(slices.Clip(f.told), subordinate{of.Check, of.Place}), of.told...)
	f.Related = append(slices.Clip(f.Related), Related{of.Place, as + of.Message})
	for _, r := range of.Related {
		if _, told := r.Follows(); told {
			f.Related = append(f.Related, r)
		}
	}
}

// subordinate is what is told under a finding: the check that said it, and where.
type subordinate struct {
	check string
	at    logbook.Place
}

// What a finding begins with that is told under another: it follows from it, or it is the same of another line.
const follows, likewise = "follows: ", "likewise: "

// Follows is the message of a finding that is told at a related place; told is false where none is.
func (r Related) Follows() (message string, told bool) {
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

// linesTold tells once what is said of one line of a table, or of lines of it that name each other, and of the form of
// one line of any file: by what the reader says of the whole line where it does, or else of the
// gravest cell.
func linesTold(all []Finding) []Finding {
	groups, order := lineGroups(all)
	gone := map[int]bool{}
	for _, line := range order {
		at := groups[line]
		if len(at) < 2 {
			continue
		}
		first := slices.MinFunc(at, func(i, j int) int {
			return cmp.Or(cmp.Compare(rankInRow(&all[i]), rankInRow(&all[j])), cmp.Compare(all[j].Grade, all[i].Grade),
				all[i].Place.Compare(all[j].Place), i-j)
		})
		for _, i := range at {
			if i != first {
				gone[i] = true
				all[first].tells(all[i], follows)
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

// lineGroups are the findings by the line that they are told at, and these lines in the order in which they were met.
// What is not a matter of the writing stands for itself. Lines of a table that name each other are one, and so is one
// with the line beside it that could not be read.
func lineGroups(all []Finding) (groups map[fileLine][]int, order []fileLine) {
	joined := map[fileLine]fileLine{}
	head := func(l fileLine) fileLine {
		for next, ok := joined[l]; ok && next != l; next, ok = joined[l] {
			l = next
		}
		return l
	}
	lines, unread, names := make([]fileLine, len(all)), map[fileLine]bool{}, map[[2]fileLine]bool{}
	for i := range all {
		f := &all[i]
		k := Named(f.Check)
		if f.Grade < Stop && k != nil && k.Ends == writing && (strings.HasSuffix(f.Place.Path, ".csv") || k == yamlForm) {
			lines[i] = fileLine{f.Place.Path, f.Place.Line}
			unread[lines[i]] = unread[lines[i]] || f.origin != nil && !f.origin.Read
		}
	}
	for i := range all {
		for _, r := range all[i].Related {
			if l := (fileLine{r.Place.Path, r.Place.Line}); lines[i].path == l.path {
				names[[2]fileLine{lines[i], l}] = true
			}
		}
	}
	for pair := range names {
		mine, other := head(pair[0]), head(pair[1])
		if mine != other && (unread[pair[1]] || names[[2]fileLine{pair[1], pair[0]}]) {
			joined[mine] = other
		}
	}
	groups = map[fileLine][]int{}
	for i := range all {
		if lines[i].path == "" {
			continue
		}
		l := head(lines[i])
		if groups[l] == nil {
			order = append(order, l)
		}
		groups[l] = append(groups[l], i)
	}
	return groups, order
}

// fileLine is a line of a file.
type fileLine struct {
	path string
	line int
}

// rankInRow is the order of those that speak for a line: the whole of it, a cell that could not be read, one
// that was read and is written amiss, any other.
func rankInRow(f *Finding) int {
	switch {
	case f.origin != nil && f.origin.Slip == logbook.SlipRow:
		return 0
	case f.origin != nil && !f.origin.Read:
		return 1
	case f.origin != nil:
		return 2
	}
	return 3
}

var figuresIn = regexp.MustCompile(`"[^"]*"|\d[\d.,/-]*`)

// mojibake are the letters that UTF-8 begins with where it is taken for Latin-1.
const mojibake = "ÂÃ"

// ofAList is the key of one value of a list.
var ofAList = regexp.MustCompile(`\[\d+\]$`)

// origin is what the reader met where a finding puts that into words; nothing where it does not.
func origin(f Finding) logbook.Problem {
	if f.origin == nil {
		return logbook.Problem{}
	}
	return *f.origin
}

// repeated tells once what a check says of several lines of one table, of a text that cannot be read, of one name in
// many records, or of the values of one list.
func repeated(all []Finding) []Finding {
	groups := map[string][]int{}
	for i, f := range all {
		if key := repeatedBy(&f); key != "" && f.Grade != Stop {
			groups[key] = append(groups[key], i)
		}
	}
	gone := map[int]bool{}
	for _, at := range groups {
		if len(at) == 1 {
			continue
		}
		first := slices.MinFunc(at, func(i, j int) int {
			return cmp.Or(cmp.Compare(all[j].Grade, all[i].Grade), all[i].Place.Compare(all[j].Place))
		})
		f := &all[first]
		f.columns = strings.HasSuffix(f.Place.Path, ".csv") && len(at) > aColumn
		for _, i := range at {
			if i != first {
				gone[i] = true
				f.tells(all[i], likewise)
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

// inOrder are the checks that hold the lines of a table against one another: what is at two wrong places is out of
// order at both.
var inOrder = []*Check{dateOutOfPlace, counterBackwards, cellInWrongColumn, serialLetters}

// repeatedBy is what findings of one cause have in common; empty for one that stands for itself.
func repeatedBy(f *Finding) string {
	k := Named(f.Check)
	switch {
	case k == nil:
		return ""
	case strings.HasSuffix(f.Place.Path, ".csv") && f.origin == nil && slices.Contains(inOrder, k):
		return f.Check + "\x00" + f.Place.Path
	case strings.HasSuffix(f.Place.Path, ".csv"):
		return f.Check + "\x00" + f.Place.Path + "\x00" + figuresIn.ReplaceAllString(f.Message, "")
	case (k == yamlForm || k == textEncoding) && f.origin != nil:
		return f.Check + "\x00" + f.Place.Path + "\x00" + f.origin.Slip
	case k == unitUnknown && f.origin != nil && strings.ContainsAny(f.origin.Found, mojibake):
		return f.Check + "\x00" + f.Place.Path
	case k == unknownKey:
		block, _, _ := strings.Cut(f.Message, ":")
		return f.Check + "\x00" + f.Place.Path + "\x00" + path.Dir(strings.ReplaceAll(block, ".", "/"))
	case k == notAboard && strings.HasSuffix(f.Message, noSuchID):
		fields := strings.Fields(strings.TrimSuffix(f.Message, noSuchID))
		return "no such person\x00" + fields[len(fields)-1]
	case k == nameUnknown && strings.Contains(f.Message, "no person of that id"):
		return "no such person\x00" + quoted(f.Message)
	case k == notAboard:
		_, stays, _ := strings.Cut(f.Message, ": ")
		_, person, _ := strings.Cut(f.Message, " ")
		person, _, _ = strings.Cut(person, " ")
		return f.Check + "\x00" + person + "\x00" + stays
	case k == nameUnknown:
		return f.Check + "\x00" + quoted(f.Message)
	case ofAList.MatchString(origin(*f).Key):
		return fmt.Sprint(f.Check, "\x00", f.Place.Path, "\x00", f.Place.Line, "\x00", f.origin.Slip, "\x00",
			ofAList.ReplaceAllString(f.origin.Key, ""))
	case k == instrumentNotProven && strings.HasPrefix(f.Message, "instrument "):
		return f.Check + "\x00" + f.Message
	}
	return ""
}
