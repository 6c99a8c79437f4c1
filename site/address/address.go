// Package address gives every page of a site its name, and says where things of a book stand: a record, a part, a
// line of a file, a commit, a check. It knows what there is, and not what a page says of it.
//
// Begin with [Of].
package address

import (
	"bytes"
	"cmp"
	"path"
	"strconv"
	"strings"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// How many entries of a long list one page holds.
const (
	CommitsOnPage   = 100
	FindingsOnPage  = 45
	OverhaulsOnPage = 90
	NozzlesOnPage   = 90
	StaysOnPage     = 10 // of one cylinder
	LinesOnPage     = 370
	MostLines       = 2000              // of a record, which stands on one page: what is longer than any record is cut
	MostFileLines   = 150 * LinesOnPage // of another file, over its pages: what is longer than any table is cut
	barsOnPage      = 200
)

// Pages are the names of all pages that are about something of a book.
type Pages struct {
	facts *facts.Facts

	position      map[logbook.Position]page.Ref
	positionNamed map[string]page.Ref
	Cylinders     map[logbook.Position][]page.Ref // the pages of each position, the newest valves first
	Overhaul      map[*logbook.Overhaul]page.Ref
	Behind        map[*logbook.Overhaul]page.Ref // what is behind the figures of a record: working, commits, its text
	Stem          map[string]page.Ref            // by file stem, the first of two that share one
	Holder        map[string]page.Ref
	Nozzle        map[string]page.Ref
	Instrument    map[string]page.Ref
	Engine        map[string]page.Ref // the sheet of each engine that has cylinders of its own
	Bunker        map[*logbook.Bunker]page.Ref
	Round         map[string]page.Ref // by name
	Sheet         []page.Ref          // the filled sheet of each round, in the order of the report
	RoundOf       map[*logbook.Overhaul]string
	File          map[string]page.Ref   // the page on which the lines of a file of the book stand, by path
	Leaves        map[string][]page.Ref // the pages of each file that is shown as written
	record        map[string]page.Ref   // the page of a record, by path
	within        map[string]bool       // files whose text does not stand on their page
	RoundAt       []page.Ref            // the page of each round, in the order of the report
	commit        map[string]int        // by id: its place from the newest
	findings      map[string]page.Ref   // where the findings of a grade, and of a check within it, begin
	check         map[string]page.Ref   // the place of each check in the manual

	// Long lists are spread over pages. The first page of each has the fixed name.
	Commits    []page.Ref // the newest first
	Findings   []page.Ref // the gravest first
	Overhauls  []page.Ref // the newest first
	PartLists  []page.Ref // nozzles by serial; the first holds holders and instruments as well
	Where      []page.Ref // which valve was where, engine by engine
	WhereRows  [][]EngineRows
	SinceYears []page.Ref // what changed, a year each, the newest first
}

// Of names the pages of a book.
func Of(k *facts.Facts) *Pages {
	n := newNames()
	p := &Pages{facts: k, Cylinders: map[logbook.Position][]page.Ref{}, position: map[logbook.Position]page.Ref{},
		positionNamed: map[string]page.Ref{},
		Overhaul:      map[*logbook.Overhaul]page.Ref{}, Behind: map[*logbook.Overhaul]page.Ref{},
		Stem: map[string]page.Ref{}, Holder: map[string]page.Ref{},
		Nozzle: map[string]page.Ref{}, Instrument: map[string]page.Ref{}, Engine: map[string]page.Ref{},
		Bunker:  map[*logbook.Bunker]page.Ref{},
		Round:   map[string]page.Ref{},
		RoundOf: map[*logbook.Overhaul]string{}, File: map[string]page.Ref{}, Leaves: map[string][]page.Ref{},
		within: map[string]bool{}, record: map[string]page.Ref{},
		commit: map[string]int{}, findings: map[string]page.Ref{}, check: map[string]page.Ref{}}
	p.things(n)
	p.rounds(n)
	p.seen()
	p.texts(n)
	p.Commits = n.spread(Trail, "trace", len(k.Trail.Commits), CommitsOnPage)
	p.Findings = n.spread(Findings, "findings", len(k.Report.Findings), FindingsOnPage)
	p.Overhauls = n.spread(Overhauls, "overhauls", len(k.Book.Overhauls), OverhaulsOnPage)
	p.PartLists = n.spread(Parts, "parts", len(k.Lives.Nozzles()), NozzlesOnPage)
	p.WhereRows = p.whereRows()
	p.Where = n.spread(ChartsWhere, "drawings-where", len(p.WhereRows), 1)
	p.SinceYears = []page.Ref{Since}
	for i, y := range k.Changes() {
		if i > 0 {
			p.SinceYears = append(p.SinceYears, page.Ref("since-"+strconv.Itoa(y.Year)+".html"))
		}
	}
	p.places()
	return p
}

// things names the pages of positions, records, parts and instruments.
func (p *Pages) things(n *names) {
	k := p.facts
	for _, at := range k.Positions {
		name := at.Engine + " " + at.Cylinder
		p.position[at] = n.give("cylinder", name)
		p.positionNamed[at.String()] = p.position[at]
		p.Cylinders[at] = n.spread(p.position[at], "cylinder-"+page.Slug(name), len(k.Lives.InPosition(at)), StaysOnPage)
	}
	for _, o := range k.Book.Overhauls {
		to := n.give("overhaul", o.Stem)
		p.Overhaul[o], p.Behind[o] = to, n.give("behind", o.Stem)
		p.File[o.Path], p.record[o.Path] = p.Behind[o], to
		if p.Stem[o.Stem] == "" {
			p.Stem[o.Stem] = to
		}
	}
	for _, h := range k.Lives.Holders() {
		p.Holder[h] = n.give("holder", h)
	}
	for _, z := range k.Lives.Nozzles() {
		p.Nozzle[z] = n.give("nozzle", z)
	}
	for _, i := range k.Instruments {
		p.Instrument[i] = n.give("instrument", i)
	}
	for i := range k.Book.Bunkers {
		b := &k.Book.Bunkers[i]
		p.Bunker[b] = n.give("bunker", b.Stem.Written+" "+b.Received.Written)
	}
	for _, e := range k.Book.Vessel.Engines {
		if p.Engine[e.ID.Written] == "" {
			p.Engine[e.ID.Written] = n.give("engine", e.ID.Written)
		}
	}
}

func (p *Pages) rounds(n *names) {
	for _, r := range p.facts.Rounds {
		to := n.give("round", r.Name)
		p.RoundAt, p.Sheet = append(p.RoundAt, to), append(p.Sheet, n.give("sheet", r.Name))
		if p.Round[r.Name] == "" {
			p.Round[r.Name] = to
		}
		for _, o := range r.Overhauls {
			p.RoundOf[o] = r.Name
		}
	}
}

// seen sends the small files of those who saw a record to the record's own page, which shows them under its signatures.
func (p *Pages) seen() {
	for _, list := range [][]*logbook.Seen{p.facts.Book.Countersigned, p.facts.Book.Reviews} {
		for _, c := range list {
			if to := p.Stem[facts.SeenRecord(c)]; to != "" {
				p.File[c.Path], p.within[c.Path] = to.At("signers"), true
			}
		}
	}
}

// texts gives every other file of the book the page on which its text stands.
func (p *Pages) texts(n *names) {
	for _, f := range p.facts.Texts {
		name := strings.TrimSuffix(f, path.Ext(f))
		p.File[f] = n.give("file", name)
		text, _ := budget.ReadFile(p.facts.Files, f, logbook.LargestOf(f)) // what cannot be read is said on the page
		p.Leaves[f] = n.spread(p.File[f], "file-"+page.Slug(name), min(countLines(text), MostFileLines), LinesOnPage)
	}
}

// countLines are the lines of a text.
func countLines(text []byte) int {
	n := bytes.Count(text, []byte("\n"))
	if len(text) > 0 && text[len(text)-1] != '\n' {
		n++
	}
	return n
}

// places are those of commits, findings and checks.
func (p *Pages) places() {
	k := p.facts
	for i, c := range k.Trail.Commits {
		p.commit[c.ID] = len(k.Trail.Commits) - 1 - i
	}
	for i, f := range k.Ordered {
		on := p.Findings[i/FindingsOnPage]
		for _, id := range []string{f.Grade.String(), GroupID(f.Grade, f.Check)} {
			if p.findings[id] == "" {
				p.findings[id] = on.At(id)
			}
		}
	}
	for _, c := range checks.All() {
		for i, levels := range ManualLevels {
			for _, l := range levels {
				if l == c.Level {
					p.check[c.Name] = Manual[i].At(page.Slug(c.Name))
				}
			}
		}
	}
}

// ManualLevels are the levels of checks that stand on each page of the manual, so that none grows too long to read.
var ManualLevels = [][]checks.Level{{checks.Field}, {checks.Record}, {checks.History},
	{checks.Batch, checks.Vessel}}

// GroupID is the id of the findings of one check of one grade.
func GroupID(g checks.Grade, check string) string { return g.String() + "-" + page.Slug(check) }

// OfCheck is the place of a check in the manual; empty for a name that it does not know.
func (p *Pages) OfCheck(name string) page.Ref { return p.check[name] }

// OfGrade is where the findings of a grade begin; empty for none.
func (p *Pages) OfGrade(g checks.Grade) page.Ref { return p.findings[g.String()] }

// OfGroup is where the findings of a check of one grade begin; empty for none.
func (p *Pages) OfGroup(g checks.Grade, check string) page.Ref { return p.findings[GroupID(g, check)] }

// To is the page of a position; empty where the book knows no such position.
func (p *Pages) To(at logbook.Position) page.Ref { return p.position[at] }

// OfFile is the page that shows what a file of the book is about: a record's own, else that of its lines; empty for
// none.
func (p *Pages) OfFile(path string) page.Ref { return cmp.Or(p.record[path], p.File[path]) }

// Line is the place of a line of a file of the book; empty where no page shows the file.
func (p *Pages) Line(at logbook.Place) page.Ref {
	to := p.File[at.Path]
	leaf := (at.Line - 1) / LinesOnPage
	switch leaves := p.Leaves[at.Path]; {
	case to == "" || at.Line < 1 || p.within[at.Path]:
		return to
	case leaves == nil && at.Line > MostLines, leaves != nil && leaf >= len(leaves):
		return to.At("text")
	case leaves != nil:
		to = leaves[leaf]
	}
	return to.At(page.LineID(at.Line))
}

// ShortID is how many digits of a commit's id stand on a page.
const ShortID = 8

// Short is a commit's id as it stands on a page.
func Short(id string) string { return page.Cut(id, ShortID) }

// CommitID is the id of the row that shows a commit.
func CommitID(id string) string { return "c-" + page.Slug(Short(id)) }

// OfCommit is the place of a commit on the pages of the audit trail, which show the newest first.
func (p *Pages) OfCommit(c *logbook.Commit) page.Ref {
	return p.Commits[p.commit[c.ID]/CommitsOnPage].At(CommitID(c.ID))
}

// Commit is a commit of the history by its id; nil for none.
func (p *Pages) Commit(id string) *logbook.Commit {
	i, known := p.commit[id]
	if !known {
		return nil
	}
	return &p.facts.Trail.Commits[len(p.facts.Trail.Commits)-1-i]
}

// Subject is the page of what a finding is about: a part, a cylinder, an instrument, a record, a file.
func (p *Pages) Subject(f *checks.Finding) page.Ref {
	name := f.Subject.Name
	switch f.Subject.Kind {
	case checks.OfHolder:
		return p.Holder[name]
	case checks.OfNozzle:
		return p.Nozzle[name]
	case checks.OfPosition, checks.OfPocket:
		if to := p.positionNamed[name]; to != "" {
			return to
		}
		return p.Overhaul[p.facts.RecordOf(f)] // a head that is on no cylinder
	case checks.OfEngine:
		return Vessel.At(EngineID(name))
	case checks.OfInstrument:
		return p.Instrument[name]
	case checks.OfRecord:
		if o := p.facts.RecordOf(f); o != nil && o.Stem == name {
			return p.Overhaul[o]
		}
		return p.File[name]
	case checks.OfRound:
		return p.Round[name]
	case checks.OfPost:
		return p.File["crew.csv"]
	case checks.OfBook:
		return p.File["book.md"]
	}
	return p.File[f.Place.Path]
}

// EngineID is the id of an engine on the vessel's page.
func EngineID(name string) string { return "engine-" + page.Slug(name) }

// Answer is the place of a line of answers.csv on the page of answers.
func Answer(at logbook.Place) page.Ref { return Answers.At(AnswerID(at)) }

// AnswerID is the id of a line of answers.csv.
func AnswerID(at logbook.Place) string { return "a-" + strconv.Itoa(at.Line) }

// Limits is the page of a limits file, by its name; empty for none.
func (p *Pages) Limits(name string) page.Ref {
	if l := p.facts.Book.Limits[name]; l != nil {
		return p.File[l.Path]
	}
	return ""
}

// Month is the place of a month on the pages of what changed.
func (p *Pages) Month(year int, id string) page.Ref { return p.SinceYears[year].At("m-" + id) }

// KeyID is the id of the row that shows a verdict: its key in the letters of an id.
func KeyID(key string) string { return "v-" + page.Slug(key) }

// EngineRows are cylinders of one engine, a row each.
type EngineRows struct {
	Engine string
	Rows   []logbook.Position
}

// matrixYears is how many years are shown of which valve was where.
const matrixYears = 6

// MatrixFrom is the first day that is shown of which valve was where.
func (p *Pages) MatrixFrom() logbook.Day {
	return logbook.NewDay(p.facts.Today.Time().Year()-matrixYears, 1, 1)
}

// whereRows parts the cylinders of all engines over pages, at least one, so that each shows about as much.
func (p *Pages) whereRows() [][]EngineRows {
	pages := [][]EngineRows{nil}
	bars := 0
	for _, e := range p.facts.Book.Vessel.Engines {
		rows := EngineRows{Engine: e.ID.Written}
		for _, at := range p.facts.Positions {
			if at.Engine != rows.Engine {
				continue
			}
			n := 0
			for _, st := range p.facts.Lives.InPosition(at) {
				if cmp.Or(st.To, p.facts.Today) >= p.MatrixFrom() {
					n++
				}
			}
			if bars += n; bars > barsOnPage && bars > n {
				if len(rows.Rows) > 0 {
					pages[len(pages)-1] = append(pages[len(pages)-1], rows)
				}
				pages, rows.Rows, bars = append(pages, nil), nil, n
			}
			rows.Rows = append(rows.Rows, at)
		}
		pages[len(pages)-1] = append(pages[len(pages)-1], rows)
	}
	return pages
}

// FileNamed is the page of a deferral or a decision, by its id; empty for none.
func (p *Pages) FileNamed(key, id string) page.Ref {
	if key == "deferral" {
		for _, d := range p.facts.Book.Deferrals {
			if d.ID.Written == id {
				return p.File[d.Path]
			}
		}
	}
	for _, d := range p.facts.Book.Decisions {
		if d.ID.Written == id {
			return p.File[d.Path]
		}
	}
	return ""
}

// About is the page of what a cell of a paper names; empty where it names nothing that has one.
func (p *Pages) About(a paper.About) page.Ref {
	switch {
	case a.Record != "":
		return p.Stem[a.Record]
	case a.Holder != "":
		return p.Holder[a.Holder]
	case a.Nozzle != "":
		return p.Nozzle[a.Nozzle]
	case a.Instrument != "":
		return p.Instrument[a.Instrument]
	case a.Position.Engine != "":
		return p.To(a.Position)
	case a.Place.Path != "":
		return p.Line(a.Place)
	}
	return ""
}
