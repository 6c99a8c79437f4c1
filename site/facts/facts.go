// Package facts is what the pages of a book rest on: book, report and history, and what several pages ask of them,
// worked out once. It knows no page, no address and no HTML, and makes no verdict.
//
// Begin with [Of].
package facts

import (
	"io/fs"
	"path"
	"strings"

	"needlebook/checks"
	"needlebook/checks/deciding"
	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	"needlebook/checks/paper"
	"needlebook/checks/planning"
	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/fault"
)

// Input is what pages are made from.
type Input struct {
	Book   *logbook.Book
	Report *checks.Report // what the checks say of the same book
	Trail  *logbook.Trail // what the history shows; nil for a plain folder
	Files  fs.FS          // the book's files, the same that the book was read from: the texts as written, and the pictures
	Before *Before        // an earlier state to compare with; nil for none
	// Program is the release that builds the pages: "needlebook 0.2"; empty where it is not told.
	Program string
}

// Before is what the checks said of the book as it stood at an earlier commit.
type Before struct {
	Why    string      // what the reader knows that state by: "review by s.okonjo"
	Commit string      // its id
	Day    logbook.Day // its stated day
	Report *checks.Report
}

// Piece is a holder or a nozzle: the two may bear one number.
type Piece struct{ Kind, Serial string }

// Facts are the facts of one book. They are only read while pages are made.
type Facts struct {
	Input
	Vessel      string // as the book names her
	Lives       *logbook.Lives
	Judged      *judging.Judgement
	Rounds      []logbook.Round
	Today       logbook.Day
	Positions   []logbook.Position // every position of the vessel, then those that only records name
	Instruments []string           // every instrument of the book, then those that only records name
	Texts       []string           // the files that are shown as they are written, by path
	Plan        *planning.Plan

	Found   Findings
	Ordered []*checks.Finding               // all findings, gravest first, check by check in the order of the manual
	Since   map[*checks.Finding]logbook.Day // of those to answer: the day on which the newest line they rest on was set

	Used          map[string][]Use  // by instrument
	Changed       map[string]string // files of the folder that are not as committed, by path, with what is so
	Runs          map[logbook.Position][]logbook.Run
	OnRack        map[Piece]deciding.Readiness   // holders and nozzles that are booked as ready, and whether they are
	NozzleBenches map[string][]*logbook.Overhaul // overhauls that name each nozzle, oldest first
	EngineClouds  map[string]map[string]Cloud    // by engine and key: what was found over its hours
	HolderClouds  map[string]Cloud               // by limits file and key: what was found over the hours of each holder
	Renewal       Renewal                        // of the whole book

	// Worked out when the first page asks.
	Recurring      func() *recurring.Recurring
	Evidence       func() *evidence.Evidence
	Associated     func() []evidence.Association
	Due            func() paper.Paper // on one sheet, what falls together in one row
	DueEach        func() paper.Paper // each by itself
	Stores         func() paper.Paper
	Changes        func() []YearOfChanges
	OtherCylinders func() map[logbook.Position]*OtherCylinder
	trends         func() map[string][]evidence.Trend    // of the whole set, by engine
	exhaust        func() map[logbook.Position][]Reading // of every cylinder

	byStem      map[string][]*logbook.Overhaul // overhauls by file stem, one but for a mistake of the book
	files       map[string]bookFile            // what was read, by path
	folderTexts map[string]map[string]string   // values of changed overhauls, by path and key
}

// Of gathers the facts of a book.
func Of(in Input) *Facts {
	k := &Facts{Input: in, Vessel: in.Book.Vessel.Called(), Lives: in.Book.Lives(), Judged: in.Report.Judgement,
		Rounds: in.Report.Rounds,
		Today:  in.Report.Today}
	if k.Trail == nil {
		k.Trail = logbook.PlainFolder()
	}
	k.sortRecords()
	k.Found = sortOut(k)
	k.Used = k.uses()
	k.Positions, k.Instruments = k.allPositions(), k.allInstruments()
	k.Texts = k.allTexts()
	k.files = k.readFiles()
	k.Ordered = k.listed()
	k.Plan = planning.New(in.Book, in.Report, k.Trail)
	k.askLater()
	k.NozzleBenches = k.benchesOfNozzles()
	k.gatherClouds()
	k.Since = map[*checks.Finding]logbook.Day{}
	k.Changes()
	return k
}

// sortRecords gathers records, readings and spares by what they are asked for.
func (k *Facts) sortRecords() {
	k.Changed = map[string]string{}
	for _, w := range k.Trail.WorkTree {
		k.Changed[w.Path] = w.What
	}
	k.folderTexts = k.textsOfFolder()
	k.byStem = map[string][]*logbook.Overhaul{}
	for _, o := range k.Book.Overhauls {
		k.byStem[o.Stem] = append(k.byStem[o.Stem], o)
	}
	k.Renewal = RenewalOf(k.Book.Overhauls)
	k.OnRack = map[Piece]deciding.Readiness{}
	for _, r := range k.Report.Spares {
		k.OnRack[Piece{"holder", r.Holder}], k.OnRack[Piece{"nozzle", r.Nozzle}] = r.State, r.State
	}
	k.Runs = map[logbook.Position][]logbook.Run{}
	for _, r := range k.Book.Running {
		p := logbook.Position{Engine: r.Engine, Cylinder: r.Cylinder.Written}
		k.Runs[p] = append(k.Runs[p], r)
	}
}

// askLater says how to work out what only some pages ask.
func (k *Facts) askLater() {
	k.Recurring = fault.Shared(func() *recurring.Recurring { return recurring.Find(k.Book, k.Rounds, k.Judged) })
	k.Evidence = fault.Shared(func() *evidence.Evidence { return evidence.New(k.Book, k.Rounds, k.Judged, k.Today) })
	k.Associated = fault.Shared(func() []evidence.Association {
		found, _ := k.Evidence().Associations()
		return found
	})
	k.trends = fault.Shared(func() map[string][]evidence.Trend { return k.Evidence().WholeSets() })
	k.OtherCylinders = fault.Shared(k.gatherOthers)
	k.exhaust = fault.Shared(k.gatherExhaust)
	k.Due = fault.Shared(func() paper.Paper { return k.Plan.Due(0, false) })
	k.DueEach = fault.Shared(func() paper.Paper { return k.Plan.Due(0, true) })
	k.Stores = fault.Shared(k.Plan.Stores)
	k.Changes = fault.Shared(k.gatherChanges)
}

// StateDay says from which day the pages look at the book.
func (k *Facts) StateDay() string {
	if k.Today == 0 {
		return "no counter reading in the book yet, so it has no day"
	}
	return "state of the book on " + k.Today.String()
}

// SeenRecord is the stem of the record that somebody saw.
func SeenRecord(s *logbook.Seen) string {
	return strings.TrimSuffix(path.Base(s.Record.Written), ".md")
}

// allTexts are the files that are shown as they are written: neither records, nor the small files of those who saw a
// record, which stand with it.
func (k *Facts) allTexts() []string {
	other := map[string]bool{}
	for _, o := range k.Book.Overhauls {
		other[o.Path] = true
	}
	for _, list := range [][]*logbook.Seen{k.Book.Countersigned, k.Book.Reviews} {
		for _, c := range list {
			other[c.Path] = other[c.Path] || k.byStem[SeenRecord(c)] != nil
		}
	}
	var texts []string
	for _, f := range k.Book.Files {
		top, _, _ := strings.Cut(f, "/")
		if other[f] || top == "photos" || top == "logs" || strings.HasPrefix(path.Base(f), ".") {
			continue
		}
		if path.Ext(f) == ".md" || path.Ext(f) == ".csv" {
			texts = append(texts, f)
		}
	}
	return texts
}
