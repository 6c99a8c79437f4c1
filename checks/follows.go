package checks

import (
	"cmp"
	"fmt"
	"math"
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
// one finding. A stop is told under another finding only where it misses what that one says cannot be read, and then
// that one is a stop.

// restsOn are the checks that miss something when a file is not read: the kinds of file in which they look, of book.md
// the block.
var restsOn = map[string][]string{
	fitAndRemoval.Name:        {"overhauls", inOpening},
	roundIncomplete.Name:      {"overhauls", "decisions"},
	serialUnknown.Name:        {"overhauls", "parts", "stores", inOpening},
	sparesNotBooked.Name:      {"parts", "stores"},
	instrumentNotProven.Name:  {"instruments"},
	nameUnknown.Name:          {"crew.csv", inEngines, "deferrals", "decisions", "limits", "instruments"},
	gaugeTooCoarse.Name:       {"instruments"},
	notAboard.Name:            {"crew.csv"},
	settingForOtherState.Name: {inOpening},
	handoverMissing.Name:      {"handovers", "crew.csv"},
	dateOutOfPlace.Name:       {"fuel", "crew.csv", "stores", "running", "hours"},
	counterUnusual.Name:       {inOpening, inStopped, "hours"},
	counterTooFast.Name:       {inOpening},
	dateOrder.Name:            {inOpening},
	counterBackwards.Name:     {inOpening, "hours"},
	overdue.Name:              {"overhauls", inOpening},
	hoursDiffer.Name:          {inOpening, "overhauls"},
	dateAhead.Name:            {"hours"},
	rings.Name:                {wholeBook},
	figureNotBelieved.Name:    {inOpening, wholeBook},
	limitMissed.Name:          {wholeBook, "limits"},
	stockLow.Name:             {"stores"},
}

// inOpening, inEngines and inStopped are blocks of book.md in which checks look; wholeBook is all of it: where nothing
// of it can be read, its settings have their defaults.
const inOpening, inEngines, inStopped, wholeBook = "book.md opening", "book.md engines", "book.md stopped", "book.md"

// dated are the checks that compare the days, hours and places of records: what they say of one whose own date or place
// cannot be right follows from that.
var dated = []*Check{dateOrder, dateOutOfPlace, dateAhead, lateEntry, hoursDiffer, fitAndRemoval, roundIncomplete,
	partInTwoPlaces, counterBackwards, counterTooFast, counterTooSlow, counterUnusual, hoursAboveCounter,
	instrumentNotProven, notAboard, spareTestTooOld, overdue, recordName, serialUnknown, liftShorter, liftGrew,
	holderWearLess, openingRose, openingLost, leakDownBetter, leakDownLost, runningDataAfterFitting, asFoundMissing,
	entryIncomplete, settingForOtherState, settingOutOfBand, stepMissing, nameUnknown, recordAlike,
	sparesNotBooked, partsNotAsDecided}

// datedTests are those of them that look at the days of its tests.
var datedTests = []*Check{dateOrder, dateOutOfPlace, dateAhead, lateEntry, instrumentNotProven, spareTestTooOld,
	settingForOtherState, settingOutOfBand, asFoundAfterAsLeft, recordAlike}

// lackers are the checks that miss something in a record, and so miss what could not be read of it.
var lackers = []*Check{entryIncomplete, stepMissing, asFoundMissing, roundIncomplete, fitAndRemoval, partInTwoPlaces,
	tightening, leakCheck, rings, runningDataAfterFitting, placesNotInspected, sealNotRenewed, rowIncomplete,
	decisionWithoutReason, handoverMissing, testAsLeftMissing}

// lackersToo are checks that miss something among other things that they say.
var lackersToo = []*Check{instrumentNotProven, nutTorque, limitForm, instrumentForm}

// judgesFigures are the checks that weigh the values of one record against one another.
var judgesFigures = []*Check{effectiveLiftSum, decisionWithoutReason}

// cause is a finding that others may follow from.
type cause struct {
	*Finding
	belongs   string // where the file belongs
	kind      string // of that place
	whole     bool   // nothing of the file is read, or not all of its lines
	row       bool   // one line of a table
	figure    bool   // a value of a record that cannot be what it says
	line      bool   // what is written in one line of a table does not fit; the line was read
	gone      bool   // it follows from another itself
	of        *logbook.Overhaul
	ids       []string // what the file or line is known by elsewhere
	block     string   // of a value of a record that was not read, the top key that it belongs under
	lost      bool     // nothing of the file's own text is left, or not the fitting
	taken     bool     // it is the record that a position has not, and so no other one's
	placeless bool     // it is one of the blocks that put a record among the others
}

// teller holds findings against the book they are of.
type teller struct {
	book    *logbook.Book
	records map[string]*logbook.Overhaul // by path
	keys    map[*logbook.Overhaul][]keyAt
	byFile  map[string][]*cause
	byName  map[string][]*cause                   // by the kind of file and what misses it asks for, see named
	valves  func() map[string][]*logbook.Overhaul // by holder, in the order of the book
	unread  []*cause                              // what keeps a file or lines of it from being read
	sources []*cause                              // of the places where identities are given: a person's, a part's
}

// givesIDs are the kinds of file in which persons, engines, parts and instruments get their ids.
var givesIDs = []string{"crew.csv", "book.md", "parts", "instruments", "stores"}

// unreadFile are the checks that say of a file that it is not read, or not to its end.
var unreadFile = []*Check{frontMatter, yamlForm, textEncoding, fileNotRead, recordName}

// told puts each finding that follows from another under it. What is in alone speaks for itself only.
func told(b *logbook.Book, all []Finding, alone map[subordinate]bool) []Finding {
	for i := range all {
		all[i].alone = alone[subordinate{all[i].Check, all[i].Place}]
	}
	all = linesTold(repeated(all))
	t := teller{b, map[string]*logbook.Overhaul{}, map[*logbook.Overhaul][]keyAt{}, map[string][]*cause{},
		map[string][]*cause{}, fault.Shared(func() map[string][]*logbook.Overhaul { return recordsOf(b) }), nil, nil}
	for _, o := range b.Overhauls {
		t.records[o.Path] = o
	}
	for i := range all {
		if c := t.causeOf(&all[i]); c != nil && all[i].leads() {
			t.byFile[c.Place.Path] = append(t.byFile[c.Place.Path], c)
			if c.origin != nil && !c.origin.Read {
				t.unread = append(t.unread, c)
			}
			if c.ids != nil && slices.Contains(givesIDs, c.kind) && c.Check != instrumentForm.Name {
				t.sources = append(t.sources, c)
			}
			for _, name := range t.named(c) {
				t.byName[name] = append(t.byName[name], c)
			}
		}
	}
	gone := make([]bool, len(all))
	for i := range all {
		f := &all[i]
		if f.Check == CheckFailed {
			continue
		}
		by := t.explains(f)
		if by == nil {
			continue
		}
		gone[i] = by.tells(*f, follows)
		by.taken = by.taken || by.lost && f.says == emptyPosition
		for _, c := range t.byFile[f.Place.Path] {
			c.gone = c.gone || gone[i] && c.Finding == f
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
			if !c.gone && t.explainsBeside(c, f) && (f.Grade < Stop || t.missesOf(c, f) || exchangedWith(c, f)) {
				return c
			}
		}
	}
	if f.origin != nil && !f.origin.Read && f.origin.Slip != "" ||
		f.Grade == Stop && f.Check != settingForOtherState.Name { // which rests on the opening state that was not read
		return nil
	}
	kinds := restsOn[f.Check]
	if f.readWith != "" {
		kinds = append(slices.Clip(kinds), "instruments")
	}
	for _, kind := range kinds {
		for _, name := range t.missing(kind, f) {
			for _, c := range t.byName[name] {
				if !c.gone && c.Finding != f && t.near(c, f) {
					return c
				}
			}
		}
	}
	if len(t.unread) <= mostHeld {
		if by := cmp.Or(t.unreadNaming(f), t.unreadOf(f)); by != nil {
			return by
		}
	}
	if len(t.sources) <= mostHeld {
		return t.nearlyNamed(f)
	}
	return nil
}

// exchangedWith says that a finding is about one of two values that are told to be exchanged.
func exchangedWith(c *cause, f *Finding) bool {
	return c.Check == unitMistaken.Name && (f.Place == c.Place ||
		slices.ContainsFunc(c.Related, func(r Related) bool { return r.Place == f.Place }))
}

// nearlyNamed is the finding about an identity at its source, where that is one slip of the finger from the name which
// another does not know.
func (t teller) nearlyNamed(f *Finding) *cause {
	names := []string{cmp.Or(f.name, quoted(f.Message)), f.About.Nozzle}
	if f.Check == notAboard.Name && f.name == "" {
		names = strings.FieldsFunc(f.Message, func(r rune) bool { return strings.ContainsRune(" ,:", r) })
	}
	if !slices.Contains(missesNames, Named(f.Check)) {
		return nil
	}
	for _, c := range t.sources {
		for _, id := range c.ids {
			for _, name := range names {
				if !c.gone && c.Finding != f && len(name) > shortestName &&
					(logbook.OneApart(id, name) || lettersAlone(id) == lettersAlone(name)) {
					return c
				}
			}
		}
	}
	return nil
}

// missesOf says that what a finding misses in a record stands in the block that could not be read.
func (t teller) missesOf(c *cause, f *Finding) bool {
	if !slices.Contains(lackers, Named(f.Check)) || c.Place.Path != f.Place.Path {
		return false
	}
	if c.block != "" && t.block(f.Place) == c.block {
		return true
	}
	if c.origin == nil || c.Check != unknownKey.Name {
		return false
	}
	last := c.origin.Key[strings.LastIndexByte(c.origin.Key, '.')+1:]
	return strings.Contains(f.Message, last) // it stands, under another key
}

// unreadNaming is what keeps a file or a line from being read that holds the name which a finding does not know.
func (t teller) unreadNaming(f *Finding) *cause {
	name := quoted(f.Message)
	if f.Check == serialUnknown.Name {
		name = cmp.Or(name, f.About.Nozzle, f.About.Holder)
	}
	if len(name) < shortestName || !slices.Contains(missesNames, Named(f.Check)) {
		return nil
	}
	for _, c := range t.unread {
		if !c.gone && c.Finding != f && t.book.Unread(c.Place.Path, name) {
			return c
		}
	}
	return nil
}

// kept is how many days a valve that was overhauled may wait until it is fitted, for a record of which nothing is left:
// from memory.
const kept = 400

// unreadOf is what keeps a record from being read that may be the one of a valve which a position has not: it names
// both the engine and the cylinder, or nothing of it is left, and then it is the one of a single position.
func (t teller) unreadOf(f *Finding) *cause {
	p := f.About.Position
	if f.says != emptyPosition || p.Engine == "" {
		return nil
	}
	for _, c := range t.unread {
		day, _ := logbook.ParseDay(dayOf(c.belongs))
		switch {
		case c.gone:
		case c.lost && !c.taken && day != 0 && day <= f.since && f.since <= day+kept:
			return c
		case c.kind == "overhauls" && (c.whole || c.placeless) && t.book.Unread(c.Place.Path, p.Engine) &&
			t.book.Unread(c.Place.Path, p.Cylinder):
			return c
		}
	}
	return nil
}

// missesNames are the checks that do not know a name which may stand in what could not be read.
var missesNames = []*Check{serialUnknown, nameUnknown, notAboard, instrumentNotProven, sparesNotBooked}

// shortestName is the fewest characters of a name that a file is searched for: a shorter one is met by chance.
const shortestName = 3

// misdated are the checks that say that what a file states of its own day or persons cannot be right, each before those
// that follow from it.
var misdated = []*Check{fileName, dateAhead, nameUnknown, notAboard}

// causeOf is what a finding may explain; nil where it explains nothing but itself.
func (t teller) causeOf(f *Finding) *cause {
	k := Named(f.Check)
	c := &cause{Finding: f, belongs: f.Place.Path, kind: kindAt(f.Place.Path)}
	if k == reasonMissing {
		if c.block = t.block(f.Place); t.records[f.Place.Path] == nil {
			c.block, _, _ = strings.Cut(f.Message, " ")
		} else if o := t.records[f.Place.Path]; slices.Contains(placing(o), f.Place) {
			c.of = o
		}
		return c
	}
	if f.origin == nil {
		at := t.records[f.Place.Path]
		switch {
		case c.kind == "handovers" && slices.Contains(misdated, k):
			c.ids = []string{dayOf(c.belongs)}
			return c
		case c.kind == "book.md" && (k == nameUnknown || k == serialLetters || k == spellingDiffers):
			c.ids = []string{quoted(f.Message)}
			return c
		case c.kind == "instruments" && k == instrumentForm: // what it reads is as uncertain as its file is wrong
			c.ids = []string{stemOf(c.belongs)}
			return c
		case at == nil && (k == fileName || k == serialLetters) && strings.HasSuffix(c.Place.Path, ".md"):
			c.ids = []string{stemOf(c.belongs)}
			return c
		case at != nil && slices.Contains(misplacing, k) && slices.Contains(placing(at), f.Place):
			c.of = at
			return c
		case at != nil && (k == unitMistaken || k == figureNotBelieved):
			c.figure = true
			return c
		case k == dateOutOfPlace && f.Place == t.book.Vessel.Opening.Date.Place:
			return c
		case f.columns:
			c.whole = true
			return c
		case k != nil && k.Ends == writing && strings.HasSuffix(c.Place.Path, ".csv"):
			c.line = true
			switch c.kind {
			case "crew.csv":
				c.ids = t.persons(f)
			case "stores":
				c.ids = []string{quoted(f.Message)}
			}
			return c
		}
		return nil
	}
	if f.origin.Slip == logbook.SlipLost {
		return c
	}
	if f.origin.Newer || f.origin.Slip == logbook.SlipCopy {
		return nil // what is there once more keeps nothing from being read
	}
	if f.origin.Read && f.origin.Slip != logbook.SlipRow {
		if at := t.records[f.Place.Path]; at != nil && slices.Contains(misplacing, k) &&
			slices.Contains(placing(at), f.Place) {
			c.of = at
			return c
		}
		return nil
	}
	switch {
	case c.kind == "parts" || c.kind == "instruments":
		c.ids = []string{stemOf(c.belongs)}
	case c.kind == "crew.csv" && k == serialLetters:
		c.ids, c.line = t.persons(f), true
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
	case k == yamlForm && f.origin.Slip != logbook.SlipYAML && c.kind == "decisions":
		c.whole = true
	case k == yamlForm && f.origin.Slip != logbook.SlipYAML:
	case k == textEncoding && strings.HasPrefix(f.origin.Found, `"`): // letters of another encoding, some are read
	case k == tableForm || f.columns || slices.Contains(unreadFile, k):
		c.whole = true
		c.lost = c.kind == "overhauls" && (k == recordName || f.origin.Found == logbook.NothingWritten ||
			k == frontMatter && !t.book.Unread(f.Place.Path, "fitted"))
		c.ids = []string{stemOf(c.belongs)}
		if c.kind == "handovers" {
			c.ids = append(c.ids, dayOf(c.belongs))
		}
	}
	if at := t.records[f.Place.Path]; at != nil && (!c.whole || k == yamlForm) {
		if c.block, _, _ = strings.Cut(f.origin.Key, "."); k == yamlForm && c.block == "" {
			c.block = t.blockAbove(f.Place)
		}
		if k == unknownKey && !strings.Contains(f.origin.Key, ".") {
			c.block = f.origin.Expected
		}
		if slices.Contains(placing(at), f.Place) {
			c.of, c.block = at, ""
		}
		c.placeless = slices.Contains(placingBlocks, c.block)
	}
	return c
}

// misplacing are the checks that say of a day, a place or a valve of a record that it cannot be right.
var misplacing = []*Check{nameUnknown, dateOrder, dateOutOfPlace, dateAhead, recordName, serialLetters}

// persons are the ids of the lines of the crew list that a finding is about, and what it proposes for one.
func (t teller) persons(f *Finding) (ids []string) {
	for _, x := range t.book.Crew {
		here := func(at logbook.Place) bool { return at.Path == x.Place.Path && at.Line == x.Place.Line }
		if here(f.Place) || slices.ContainsFunc(f.Related, func(r Related) bool { return here(r.Place) }) {
			ids = append(ids, x.ID.Written, x.Name.Written)
		}
	}
	if f.Proposal != nil {
		ids = append(ids, f.Proposal.Types...)
	}
	return ids
}

// placingBlocks are the top keys under which stands what puts a record among the others.
var placingBlocks = []string{"holder", "nozzle", "removed", "fitted"}

// stemOf is the name of a file without what computers put behind it.
func stemOf(name string) string {
	stem := path.Base(name)
	for _, ending := range []string{".bak", ".txt", ".md", ".csv"} {
		stem = strings.TrimSuffix(stem, ending)
	}
	return stem
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

// testDays are the places of the days of a record's tests, which say nothing of where its valve was.
func testDays(o *logbook.Overhaul) []logbook.Place {
	return []logbook.Place{o.AsFound.Date.Place, o.AsLeft.Date.Place, o.Stored.Date.Place}
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
	case c.origin != nil && c.origin.Slip == logbook.SlipLost: // it is under another name
		return k == recordName && names
	case c.columns:
		return k.Ends == writing
	case c.figure:
		return here && (f.Place == c.Place || slices.Contains(judgesFigures, k) ||
			slices.ContainsFunc(c.Related, func(r Related) bool { return r.Place == f.Place }))
	case c.line:
		return f.origin == nil && (names && f.Grade <= c.Grade || here && k == dateOutOfPlace && f.Grade < c.Grade)
	case here && c.Check == textEncoding.Name && k == unitUnknown:
		return strings.ContainsAny(f.origin.Found, mojibake)
	case here && k == yamlForm && c.Check == k.Name && f.origin.Read:
		return f.Place.Line == c.Place.Line-1 // the blanks before a line, for which the next is not read
	case here && c.whole:
		return slices.Contains(lackers, k) || k == deferralRunOut || c.Check == frontMatter.Name && k == textEncoding ||
			f.origin != nil && f.Check == c.Check && f.origin.Slip == c.origin.Slip && c.Place.Compare(f.Place) < 0
	case here && c.kind == "handovers" && slices.Contains(misdated, k):
		return c.origin != nil || slices.Index(misdated, Named(c.Check)) < slices.Index(misdated, k)
	case here && c.block != "" && f.origin == nil &&
		(slices.Contains(lackers, k) || slices.Contains(lackersToo, k) || k == figureUnlike ||
			f.says == placeNotNamed):
		moved := []*Check{unknownKey, repeatedKey, yamlForm} // a line that belongs elsewhere, where it is missing
		return slices.Contains(moved, Named(c.Check)) || strings.Contains(f.Message, c.block) || t.block(f.Place) == c.block
	case here && c.origin != nil && !c.origin.Read && k == entryIncomplete:
		return c.of == nil && c.block == "" // the file of something else than an overhaul
	case here && c.row && f.Place.Line == c.Place.Line:
		return true
	case here && c.row && c.origin.Found == logbook.NamesAgain && k == dateOutOfPlace:
		return c.Place.Line < f.Place.Line // the table stands there twice
	case here && k == dateOutOfPlace && (c.Check == k.Name || strings.HasSuffix(c.Place.Path, ".csv")):
		return f.origin == nil
	case here && c.origin != nil && slices.Contains(lackersToo, k) && t.records[f.Place.Path] == nil:
		return f.origin == nil && c.belongs == f.Place.Path // a line of a limits file or an instrument that is not read
	case c.of != nil && slices.Contains(testDays(c.of), c.Place) && (f.Place != c.Place || f.origin != nil):
		return here && f.origin == nil && slices.Contains(datedTests, k)
	case c.of != nil && slices.Contains(dated, k) && (c.origin != nil || k != nameUnknown) &&
		(f.origin == nil || f.origin.Read || f.Place == c.Place):
		return here || slices.ContainsFunc(f.Related, func(r Related) bool { return r.Place.Path == c.Place.Path })
	}
	return here && f.Place == c.Place && f.origin == nil
}

// block is the top key of a record under which a place stands: of the first value there or behind it.
func (t teller) block(at logbook.Place) string { return t.topKey(at, 0) }

// blockAbove is the top key of the last value before a place.
func (t teller) blockAbove(at logbook.Place) string { return t.topKey(at, -1) }

func (t teller) topKey(at logbook.Place, beside int) string {
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
	if i += beside; i < 0 || i >= len(all) {
		return ""
	}
	top, _, _ := strings.Cut(all[i].key, ".")
	return top
}

// named is what findings in other files that miss what c keeps from being read ask for: a block of book.md, a position,
// a serial, a whole table, what bears an id.
func (t teller) named(c *cause) (names []string) {
	if c.kind == "book.md" {
		return t.namedInBook(c)
	}
	if !c.whole && !c.row && c.of == nil && c.ids == nil && !c.placeless {
		return nil
	}
	ids := c.ids
	if c.kind == "overhauls" {
		for _, p := range t.positionsOf(c) {
			names = append(names, "at "+p.String())
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
	if c.row {
		names = append(names, "a row of "+c.kind)
	}
	if c.whole && (strings.HasSuffix(c.Place.Path, ".csv") || c.kind == "decisions") {
		names = append(names, c.kind)
	}
	for _, id := range ids {
		if id != "" {
			names = append(names, c.kind+" # "+logbook.FileName(id))
		}
	}
	return names
}

// namedInBook are the blocks of book.md that c keeps from being read.
func (t teller) namedInBook(c *cause) (names []string) {
	if c.whole {
		return []string{inOpening, inEngines, wholeBook}
	}
	key, _, _ := strings.Cut(c.Message, " ")
	if c.origin != nil {
		key = c.origin.Key
	}
	top, _, _ := strings.Cut(key, ".")
	top, _, _ = strings.Cut(top, "[")
	if c.Check == serialLetters.Name || c.says == noSuchPlace { // an engine, a cylinder or a valve under another name
		names = append(names, inEngines, inOpening)
	}
	if at := "book.md " + top; (c.origin != nil || c.Check == dateOutOfPlace.Name) && !slices.Contains(names, at) {
		names = append(names, at)
	}
	return names
}

// positionsOf are the positions that a record at fault belongs to: its folder's, and those it states.
func (t teller) positionsOf(c *cause) (all []logbook.Position) {
	add := func(p logbook.Position) {
		p.Engine, p.Cylinder = latinAlike.Replace(p.Engine), latinAlike.Replace(p.Cylinder)
		if p.Engine != "" && p.Cylinder != "" && !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	if p, ok := t.book.PositionAt(c.belongs); ok {
		add(p)
	}
	if o := t.records[c.Place.Path]; o != nil {
		add(logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written})
		add(logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written})
	}
	return all
}

var dayIn = regexp.MustCompile(`\d{4}-\d{2}-\d{2}`)

// missing is what a finding asks for in one kind of file.
func (t teller) missing(kind string, f *Finding) (names []string) {
	ids, k := []string{f.About.Nozzle, f.About.Holder}, Named(f.Check)
	switch {
	case kind == inOpening && (k == dateOrder || k == counterTooFast):
		if strings.Contains(f.Message, t.book.Vessel.Opening.Date.Written) {
			return []string{kind}
		}
	case strings.HasPrefix(kind, "book.md"):
		return []string{kind}
	case kind == "overhauls" && f.Check != serialUnknown.Name:
		for _, p := range append(slices.Clip(f.misses), f.About.Position) {
			names = append(names, "at "+p.String())
		}
	case kind == "instruments":
		ids = []string{f.About.Instrument, f.readWith}
		if f.Check == nameUnknown.Name {
			ids = append(ids, quoted(f.Message))
		}
	case kind == "handovers":
		ids = dayIn.FindAllString(f.Message, -1)
	case kind != "overhauls":
		names = append(names, kind)
		if f.Check == stockLow.Name || f.Check == sparesNotBooked.Name || f.Check == dateAhead.Name {
			names = append(names, "a row of "+kind)
		}
		on, _, _ := strings.Cut(f.Rests.Words, ":")
		ids = append(ids, f.About.Person, f.About.Bunker, quoted(f.Message), on)
		if kind == "crew.csv" {
			for _, word := range strings.Fields(f.Message) {
				ids = append(ids, strings.Trim(word, ",:"))
			}
		}
	}
	for _, id := range ids {
		if id != "" {
			names = append(names, kind+" # "+logbook.FileName(id))
		}
	}
	return names
}

// near says that a finding is of the days of a record at fault that was read: within a month of one that it states, or
// that its file is named after. What keeps a record from being read may concern any day; where the day of its fitting
// is what was not read, any from its removal to the next one of the valve.
func (t teller) near(c *cause, f *Finding) bool {
	o := t.records[c.Place.Path]
	if o == nil || c.whole || c.kind != "overhauls" {
		return true
	}
	const month = 31
	named, _ := logbook.ParseDay(dayOf(c.Place.Path))
	for _, text := range dayIn.FindAllString(f.Message, -1) {
		day, _ := logbook.ParseDay(text)
		for _, is := range []logbook.Day{named, o.Removed.Date.Day, o.Fitted.Date.Day} {
			if is != 0 && is-month <= day && day <= is+month {
				return true
			}
		}
		if o.Fitted.Present() && o.Fitted.Date.Day == 0 && o.Day() != 0 && o.Day() <= day && day <= t.until(o) {
			return true
		}
	}
	return false
}

// until is the day of the next record of a valve; without one, beyond all days.
func (t teller) until(o *logbook.Overhaul) logbook.Day {
	for _, next := range t.valves()[o.Holder.Written] {
		if next.Day() > o.Day() {
			return next.Day()
		}
	}
	return math.MaxInt32
}

// leads says that what follows from a finding may be told under it: it is open, or nothing has said yet that it is not.
func (f *Finding) leads() bool { return !f.alone }

// tells takes in a finding that follows from f, or is the same of another line, with what is told under that. It
// is as grave as that. It says whether it did: what does not lead takes in nothing that follows.
func (f *Finding) tells(of Finding, as string) bool {
	if as == follows && !f.leads() {
		return false
	}
	f.Grade = max(f.Grade, of.Grade)
	f.told = append(append(slices.Clip(f.told), subordinate{of.Check, of.Place}), of.told...)
	f.Related = append(slices.Clip(f.Related), Related{of.Place, as + of.Message})
	for _, r := range of.Related {
		if _, told := r.Follows(); told {
			f.Related = append(f.Related, r)
		}
	}
	return true
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
			if i != first && all[first].tells(all[i], follows) {
				gone[i] = true
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
		if f.Grade < Stop && k != nil && k.Ends == writing && (strings.HasSuffix(f.Place.Path, ".csv") || k == yamlForm ||
			k == figureNotBelieved && f.Place.Path == "book.md") {
			lines[i] = fileLine{f.Place.Path, f.Place.Line}
			unread[lines[i]] = unread[lines[i]] || f.origin != nil && !f.origin.Read && !f.origin.Newer
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

// testWord says which test a figure is of.
var testWord = regexp.MustCompile(` as (found|left)\b`)

// inOrder are the checks that hold the lines of a table against one another: what is at two wrong places is out of
// order at both.
var inOrder = []*Check{dateOutOfPlace, counterBackwards, cellInWrongColumn, serialLetters}

// repeatedBy is what findings of one cause have in common; empty for one that stands for itself.
func repeatedBy(f *Finding) string {
	k := Named(f.Check)
	switch {
	case k == nil:
		return ""
	case origin(*f).Slip == logbook.SlipLost:
		return f.Check + "\x00" + path.Dir(f.Place.Path)
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
	case f.says == noSuchPerson:
		return "no such person\x00" + f.name
	case k == countersignerNotAboard && f.Rests.Words != "":
		return f.Check + "\x00" + f.Rests.Words
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
	case f.says == afterReading:
		return f.Check + "\x00" + f.About.Position.Engine
	case k == figureUnlike && testWord.MatchString(f.Message):
		return f.Check + "\x00" + f.Place.Path + "\x00" + testWord.FindString(f.Message)
	case f.says == noSuchInstrument:
		return f.Check + "\x00" + f.name
	}
	return ""
}
