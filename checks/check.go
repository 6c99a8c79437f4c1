package checks

import (
	"context"
	"fmt"
	"strings"
	"sync"

	"needlebook/checks/deciding"
	"needlebook/checks/judging"
	"needlebook/checks/recurring"
	"needlebook/logbook"
)

// Level is how wide a check looks.
type Level uint8

// The five levels.
const (
	Field   Level = iota + 1 // one value
	Record                   // one overhaul
	History                  // one part or position through time
	Batch                    // one round, or what was set with one gauge
	Vessel                   // the book as a whole
)

// String is the word for the level.
func (l Level) String() string {
	return [...]string{"", "field", "record", "history", "batch", "vessel"}[l]
}

// Check is one rule: a value, not a class.
type Check struct {
	Name    string // plain words joined by dashes
	Level   Level
	Doc     string // what is judged, why it matters at sea, what to do next; the first sentence stands alone
	Source  string // document and clause, or "common practice, no source", or "from memory"
	Example string // a finding as it is printed
	// One of the two does the work: Each is called for every overhaul in order, Whole once.
	Each  func(c *Case, o *logbook.Overhaul)
	Whole func(c *Case)
	// Slips are the reading problems that the check puts into words; such a check needs neither function.
	Slips []string
	// Words puts a slip into better words than the plain ones that f comes with; nil where those will do.
	Words func(p logbook.Problem, f *Finding)
	Grade Grade // grade of its findings; the gravest, where they differ
	// Subject is what its findings are about, Ends what ends one; both are shown with the documentation.
	Subject SubjectKind
	Ends    *End
	// Version is raised when the same facts are judged otherwise: an answer to an earlier version no longer fits.
	Version int
	// FirstNamed is the name that the check was first given, where it was renamed since: what answers know it by.
	FirstNamed string
	// Needs says that the book and its history hold what the check looks at; nil where what it is about is all.
	Needs func(b *logbook.Book, t *logbook.Trail) bool
	// Holds says that an overhaul holds what the check looks at in it; nil where every one does, and where the check
	// looks at no single overhaul.
	Holds func(o *logbook.Overhaul) bool
	// Yields says that its findings are left out where another check speaks of the same value: it only asks about what
	// nothing else explains.
	Yields bool
}

// Case is what a check is given, and where it reports. It is read-only but for Report.
type Case struct {
	Book      *logbook.Book
	Lives     *logbook.Lives
	Trail     *logbook.Trail // never nil
	Settings  logbook.Settings
	Today     logbook.Day
	Rounds    []logbook.Round
	Judged    *judging.Judgement
	Missed    []judging.MissedLimit       // limits that most values miss; nothing is judged by them
	Recurring func() *recurring.Recurring // what several overhauls show together; worked out when first asked for
	// what the order of decisions leads to, by record; worked out when first asked for
	Outcomes func() map[string]deciding.Outcome

	ctx    context.Context
	check  *Check
	each   []*logbook.Overhaul // those that are looked at one by one
	unread map[string]bool     // the files of which something could not be read, as the reader has said
	// the usual values of the limits beside which most values are not possible
	impossibleUsuals func() []impossibleUsual
	mistakes         *sync.Map // by overhaul, its figures that are mistaken: several checks ask
	findings         []Finding
	inTables         map[string]int                    // how often the check found something in a table, by path
	every            []*Check                          // all there are
	racked           func() map[*logbook.Overhaul]bool // those that left a ready spare; worked out when first asked for
	loosened         []loosening                       // corrections of limits that take stops away
	lacking          map[string][]Related              // where those are counted: what they lack, and at which records
}

// Report adds a finding. Name and, where not set, grade are the check's own; a finding on what does not stand in a
// record at all gets the record's first line as its place.
func (c *Case) Report(f Finding) {
	f.Check = c.check.Name
	o := c.Book.Overhaul(f.About.Record)
	if o != nil && f.Place.Path == "" {
		f.Place = o.Opening
	}
	if f.Lacks != "" && c.fromOldPaper(o) {
		if on := c.lacking[f.Lacks]; c.lacking != nil && (len(on) == 0 || on[len(on)-1].Place.Path != f.Place.Path) {
			c.lacking[f.Lacks] = append(c.lacking[f.Lacks], Related{Place: f.Place})
		}
		return
	}
	if f.Grade == 0 {
		f.Grade = c.check.Grade
	}
	c.deferred(o, &f)
	if f.Rests.Words == "" && f.Limit != nil {
		f.Rests = Rests{f.Limit.Place, f.Limit.Name, true}
	}
	if strings.HasSuffix(f.Place.Path, ".csv") && !c.roomFor(&f) {
		return
	}
	c.findings = append(c.findings, f)
}

// mostOfTable is how often a check finds something in one table. What holds more is none of a book's, and each finding
// is held against the others.
const mostOfTable = 1000

// roomFor says that a finding in a table is one of those that are listed; the last one says that there are more.
func (c *Case) roomFor(f *Finding) bool {
	if c.inTables == nil {
		c.inTables = map[string]int{}
	}
	c.inTables[f.Place.Path]++
	if c.inTables[f.Place.Path] == mostOfTable {
		f.Message = fmt.Sprintf("%s up to here: those below are not listed", logbook.Counted(mostOfTable, "finding"))
		f.Next, f.Related, f.Evidence = "correct those above first", nil, nil
	}
	return c.inTables[f.Place.Path] <= mostOfTable
}

// inForce gives the limits that applied to a record on the first of the days that is known, or on the record's own.
func (c *Case) inForce(o *logbook.Overhaul, days ...logbook.Day) *logbook.Revision {
	return onFirst(c.Book.LimitsFor(o), o, days)
}

// inForceAsLeft is the same for how the valve was left and fitted.
func (c *Case) inForceAsLeft(o *logbook.Overhaul, days ...logbook.Day) *logbook.Revision {
	return onFirst(c.Book.LimitsAsLeft(o), o, days)
}

func onFirst(l *logbook.Limits, o *logbook.Overhaul, days []logbook.Day) *logbook.Revision {
	for _, d := range days {
		if d != 0 {
			return l.OnFirst(d)
		}
	}
	return l.OnFirst(o.Day())
}

// limitAt shows a limit by where it is written in its limits file.
func (c *Case) limitAt(l logbook.Leaf) *Limit {
	if !l.Stated() {
		return nil
	}
	_, key, _ := strings.Cut(l.Key, ".") // without the revision that it stands in
	limit := &Limit{Name: key + " " + l.Written, Text: l.Written, Place: l.Place}
	for _, file := range c.Book.Limits {
		if e, ok := file.RevisionOf(l.Place); ok {
			limit.Source, limit.Revision = e.Source.Written, e.From.Day
		}
	}
	return limit
}

// limitOf is a limit that is a band, in the plain form.
func (c *Case) limitOf(b logbook.Band) *Limit {
	limit := c.limitAt(b.Leaf)
	if limit != nil {
		limit.Text = b.String()
	}
	return limit
}

// about is what a finding on an overhaul concerns.
func about(o *logbook.Overhaul) About {
	a := About{Record: o.Stem, Holder: o.Holder.Written, Nozzle: o.Nozzle.Found.Written}
	if a.Nozzle == "" {
		a.Nozzle = o.Nozzle.Left.Written
	}
	if o.Removed.Stated() {
		a.Position = logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
	} else if o.Fitted.Stated() {
		a.Position = logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}
	}
	return a
}

// limit shows the limit behind a verdict.
func limit(v *judging.Verdict) *Limit {
	if v.LimitText == "" {
		return nil
	}
	return &Limit{Text: v.LimitText, Source: v.Source, Revision: v.Revision, Place: v.LimitPlace}
}
