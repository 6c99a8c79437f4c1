package site

import (
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
)

// pages are the names of all pages that are about something of the book.
type pages struct {
	positions   []logbook.Position // every position of the vessel, then those that only records name
	instruments []string           // every instrument of the book, then those that only records name
	texts       []string           // the files that are shown as they are written, by path

	position   map[logbook.Position]ref
	cylinders  map[logbook.Position][]ref // the pages of each position, the newest valves first
	overhaul   map[*logbook.Overhaul]ref
	stem       map[string]ref // by file stem, the first of two that share one
	holder     map[string]ref
	nozzle     map[string]ref
	instrument map[string]ref
	round      map[string]ref // by name
	roundOf    map[*logbook.Overhaul]string
	file       map[string]ref   // the page on which the lines of a file of the book stand, by path
	leaves     map[string][]ref // the pages of each file that is shown as written
	within     map[string]bool  // files whose text does not stand on their page
	roundAt    []ref            // the page of each round, in the order of the report
	commit     map[string]int   // by id: its place from the newest

	// Long lists are spread over pages. The first page of each has the fixed name.
	traces    []ref // commits, the newest first
	findings  []ref // findings, the gravest first
	overhauls []ref // overhauls, the newest first
	partLists []ref // nozzles by serial; the first holds holders and instruments as well
	where     []ref // who sat where, engine by engine
	since     []ref // what changed, a year each, the newest first
}

func givePages(s *site) pages {
	n := newNames()
	p := pages{cylinders: map[logbook.Position][]ref{}, position: map[logbook.Position]ref{}, overhaul: map[*logbook.Overhaul]ref{}, stem: map[string]ref{}, holder: map[string]ref{},
		nozzle: map[string]ref{}, instrument: map[string]ref{}, round: map[string]ref{}, roundOf: map[*logbook.Overhaul]string{}, file: map[string]ref{}, leaves: map[string][]ref{}, within: map[string]bool{}}
	p.positions = s.allPositions()
	for _, at := range p.positions {
		p.position[at] = n.give("cylinder", at.Engine+" "+at.Cylinder)
		p.cylinders[at] = n.spread(p.position[at], "cylinder-"+slugOf(at.Engine+" "+at.Cylinder), len(s.lives.InPosition(at)), staysOnPage)
	}
	for _, o := range s.Book.Overhauls {
		to := n.give("overhaul", o.Stem)
		p.overhaul[o], p.file[o.Path] = to, to
		if p.stem[o.Stem] == "" {
			p.stem[o.Stem] = to
		}
	}
	for _, h := range s.lives.Holders() {
		p.holder[h] = n.give("holder", h)
	}
	for _, z := range s.lives.Nozzles() {
		p.nozzle[z] = n.give("nozzle", z)
	}
	p.instruments = s.allInstruments()
	for _, i := range p.instruments {
		p.instrument[i] = n.give("instrument", i)
	}
	for _, r := range s.rounds {
		to := n.give("round", r.Name)
		p.roundAt = append(p.roundAt, to)
		if p.round[r.Name] == "" {
			p.round[r.Name] = to
		}
		for _, o := range r.Overhauls {
			p.roundOf[o] = r.Name
		}
	}
	p.seen(s)
	p.parts(s, n)
	p.commit = map[string]int{}
	for i, c := range s.trail.Commits {
		p.commit[c.ID] = len(s.trail.Commits) - 1 - i
	}
	p.traces = n.spread(pageTrace, "trace", len(s.trail.Commits), commitsOnPage)
	p.findings = n.spread(pageFindings, "findings", len(s.Report.Findings), findingsOnPage)
	p.overhauls = n.spread(pageOverhauls, "overhauls", len(s.Book.Overhauls), overhaulsOnPage)
	p.partLists = n.spread(pageParts, "parts", len(s.lives.Nozzles()), nozzlesOnPage)
	p.where = n.spread(pageDrawnWhere, "drawings-where", len(s.whereDrawn(p.positions)), 1)
	return p
}

// seen sends the small files of those who saw a record to the record's own page, which shows them under its hands.
func (p *pages) seen(s *site) {
	for _, list := range [][]*logbook.Seen{s.Book.Countersigned, s.Book.Reviews} {
		for _, c := range list {
			stem := strings.TrimSuffix(path.Base(c.Record.Written), ".md")
			if to := p.stem[stem]; to != "" {
				p.file[c.Path], p.within[c.Path] = to.at("hands"), true
			}
		}
	}
}

// parts gives every other file of the book the page on which its text stands.
func (p *pages) parts(s *site, n *names) {
	for _, f := range s.Book.Files {
		top, _, _ := strings.Cut(f, "/")
		switch {
		case p.file[f] != "", top == "photos", top == "traces", strings.HasPrefix(path.Base(f), "."):
		case path.Ext(f) == ".md" || path.Ext(f) == ".csv":
			name := strings.TrimSuffix(f, path.Ext(f))
			p.file[f] = n.give("file", name)
			p.texts = append(p.texts, f)
			text, _ := fs.ReadFile(s.Files, f) // what cannot be read is said on the page
			p.leaves[f] = n.spread(p.file[f], "file-"+slugOf(name), countLines(text), linesOnPage)
		}
	}
}

// allPositions are the vessel's positions in their order, then those that only the records know, in the order of their names.
func (s *site) allPositions() []logbook.Position {
	all := s.Book.Positions()
	known := map[logbook.Position]bool{}
	for _, p := range all {
		known[p] = true
	}
	var more []logbook.Position
	note := func(e, c logbook.Serial) {
		p := logbook.Position{Engine: e.Written, Cylinder: c.Written}
		if e.Stated() && c.Stated() && !known[p] {
			known[p] = true
			more = append(more, p)
		}
	}
	for _, o := range s.Book.Overhauls {
		note(o.Removed.Engine, o.Removed.Cylinder)
		note(o.Fitted.Engine, o.Fitted.Cylinder)
	}
	for _, f := range s.Book.Vessel.Opening.Fitted {
		note(f.Engine, f.Cylinder)
	}
	for _, f := range s.Book.Vessel.Opening.Rack {
		note(f.Fitted.Engine, f.Fitted.Cylinder)
	}
	slices.SortFunc(more, func(a, b logbook.Position) int { return strings.Compare(positionKey(a), positionKey(b)) })
	return append(dedupe(all), more...)
}

// dedupe drops a position that the vessel names twice.
func dedupe(all []logbook.Position) []logbook.Position {
	seen := map[logbook.Position]bool{}
	var once []logbook.Position
	for _, p := range all {
		if !seen[p] {
			seen[p] = true
			once = append(once, p)
		}
	}
	return once
}

// allInstruments are the instruments of the book and those that only records name.
func (s *site) allInstruments() []string {
	all := slices.Collect(maps.Keys(s.used))
	for id := range s.Book.Instruments {
		if s.used[id] == nil {
			all = append(all, id)
		}
	}
	slices.Sort(all)
	return all
}

// to is the page of a position; empty where the book knows no such position.
func (p *pages) to(at logbook.Position) ref { return p.position[at] }

// line is the place of a line of a file of the book; empty where no page shows the file.
func (p *pages) line(at logbook.Place) ref {
	to := p.file[at.Path]
	leaf := (at.Line - 1) / linesOnPage
	switch leaves := p.leaves[at.Path]; {
	case to == "" || at.Line < 1 || p.within[at.Path]:
		return to
	case leaves == nil && at.Line > mostLines, leaves != nil && leaf >= len(leaves):
		return to.at("text")
	case leaves != nil:
		to = leaves[leaf]
	}
	return to.at(lineID(at.Line))
}
