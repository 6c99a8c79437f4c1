// Package site makes the pages of a book: static, self-contained, readable from a folder without network or scripts. It knows
// pages, links and drawings; it makes no verdict. What stands on a page was worked out before, by package checks from the records
// and by package trace from the history, and every figure is shown as it was written.
//
// Begin with [Build].
package site

import (
	"context"
	"errors"
	"io/fs"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"

	"needlebook/checks"
	"needlebook/checks/causes"
	"needlebook/checks/deciding"
	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	"needlebook/checks/paper"
	"needlebook/checks/planning"
	"needlebook/logbook"
	"needlebook/logbook/budget"
	"needlebook/logbook/fault"
)

// Input is what pages are made from.
type Input struct {
	Book   *logbook.Book
	Report *checks.Report // what the checks say of the same book
	Trail  *logbook.Trail // what the history shows; nil for a plain folder
	Files  fs.FS          // the book's files, the same that the book was read from: the texts as written, and the pictures
	Before *Before        // an earlier state to compare with; nil for none
	// Context ends the build when it ends, with an error that is budget.ErrStopped and the former pages as they were; nil never does.
	Context context.Context
}

// Before is what the checks said of the book as it stood at an earlier commit.
type Before struct {
	Why    string      // what the reader knows that state by: "review by s.okonjo"
	Commit string      // its id
	Day    logbook.Day // its stated day
	Report *checks.Report
}

// Result says what a build did to the output folder.
type Result struct {
	Pages     int // files of the site: pages, stylesheet, pictures
	Written   int // of them new or changed
	Unchanged int // of them as a former build left them, and not touched
	Removed   int // files of a former build that no longer belong
	// Failed are the pages that this program could not make, and why. Each says so itself, and all others are as they should be.
	Failed []error
}

// Build writes the site of one book into the folder out, which is made where it does not exist. The same input gives the same
// bytes. Files that stand there unchanged are not touched, and pages of a former build that no longer belong are removed.
//
// The error wraps [ErrForeign] for a folder that holds other files than a former build's, and [ErrInsideBook] for one inside a
// book. After an error the former pages stand as they were, unless the disk failed while the new ones were moved to their places.
func Build(in Input, out string) (Result, error) {
	if in.Book == nil || in.Report == nil || in.Files == nil {
		return Result{}, errors.New("could not build the pages: book, report and files are needed")
	}
	folder, err := openFolder(out)
	if err != nil {
		return Result{}, err
	}
	defer folder.close()
	s := newSite(in, folder)
	failed, err := s.write()
	if err != nil {
		return Result{}, err
	}
	r := Result{Pages: len(folder.now), Failed: failed}
	r.Written, r.Removed, err = folder.finish()
	r.Unchanged = r.Pages - r.Written
	return r, err
}

// piece is a holder or a nozzle: the two may bear one number.
type piece struct{ kind, serial string }

// site is one build: the input and all that several pages ask of it. It is read-only while the pages are written.
type site struct {
	Input
	trail    *logbook.Trail
	lives    *logbook.Lives
	judged   *judging.Judgement
	rounds   []logbook.Round
	today    logbook.Day
	vessel   string
	out      *folder
	pages    pages
	found    findings
	byStem   map[string][]*logbook.Overhaul // overhauls by file stem, one but for a mistake of the book
	used     map[string][]use               // by instrument
	changed  map[string]string              // files of the folder that are not as committed, by path, with what is so
	pictures pictures
	runs     map[logbook.Position][]logbook.Run
	plan     *planning.Plan

	// Worked out when the first page asks.
	causes     func() *causes.Causes
	evidence   func() *evidence.Evidence
	associated func() []evidence.Association
	due        func() paper.Paper // on one sheet, what falls together in one row
	dueEach    func() paper.Paper // each by itself
	stores     func() paper.Paper
	changes    func() []yearOfChanges
	trends     func() map[string][]evidence.Trend // of the whole set, by engine
	sisters    func() map[logbook.Position]*sister

	engineClouds    map[string]map[string]cloud    // by engine and key: what was found over its hours
	holderClouds    map[string]cloud               // by key: what was found over the hours of each holder
	onRack          map[piece]deciding.Readiness   // holders and nozzles that are booked as ready, and whether they are
	renewed, pulled int                            // nozzles renewed, and valves pulled, in the whole book
	nozzleBenches   map[string][]*logbook.Overhaul // by nozzle

	folderTexts map[string]map[string]string // values of changed overhauls, by path and key

	ordered   []*checks.Finding               // all findings in the order of their pages
	since     map[*checks.Finding]logbook.Day // of those to answer: the day on which the newest line they rest on was set
	checkAt   map[string]ref                  // the place of each check in the manual, by name
	findingAt map[string]ref                  // where the findings of a grade, and of a check within it, begin

	footShort, footFull []byte
}

func newSite(in Input, out *folder) *site {
	if in.Context == nil {
		in.Context = context.Background()
	}
	s := &site{Input: in, trail: in.Trail, lives: in.Book.Lives(), judged: in.Report.Judgement, rounds: in.Report.Rounds, today: in.Report.Today, out: out}
	if s.trail == nil {
		s.trail = logbook.PlainFolder()
	}
	s.vessel = visible(in.Book.Vessel.Called())
	s.changed = map[string]string{}
	for _, w := range s.trail.WorkTree {
		s.changed[w.Path] = w.What
	}
	s.folderTexts = s.textsOfFolder()
	s.byStem = map[string][]*logbook.Overhaul{}
	for _, o := range in.Book.Overhauls {
		s.byStem[o.Stem] = append(s.byStem[o.Stem], o)
	}
	s.found = sortOut(s)
	s.used = s.uses()
	s.pages = givePages(s)
	s.ordered = s.listed()
	s.findingAt = s.findingPlaces()
	s.checkAt = map[string]ref{}
	for _, k := range checks.All() {
		s.checkAt[k.Name] = checkRef(k.Name)
	}
	s.causes = fault.Shared(func() *causes.Causes { return causes.Find(in.Book, s.rounds, s.judged) })
	s.plan = planning.New(in.Book, in.Report, s.trail)
	s.evidence = fault.Shared(func() *evidence.Evidence { return evidence.New(in.Book, s.rounds, s.judged, s.today) })
	s.associated = fault.Shared(func() []evidence.Association {
		found, _ := s.evidence().Associations()
		return found
	})
	s.trends = fault.Shared(func() map[string][]evidence.Trend { return s.evidence().WholeSets() })
	s.sisters = fault.Shared(s.gatherSisters)
	s.due = fault.Shared(func() paper.Paper { return s.plan.Due(0, false) })
	s.dueEach = fault.Shared(func() paper.Paper { return s.plan.Due(0, true) })
	s.stores = fault.Shared(s.plan.Stores)
	s.since = map[*checks.Finding]logbook.Day{}
	s.changes = fault.Shared(s.gatherChanges)
	for _, o := range in.Book.Overhauls {
		s.renewed, s.pulled = countRenewed(o, s.renewed, s.pulled)
	}
	s.onRack = map[piece]deciding.Readiness{}
	for _, r := range s.Report.Spares {
		s.onRack[piece{"holder", r.Holder}], s.onRack[piece{"nozzle", r.Nozzle}] = r.State, r.State
	}
	s.nozzleBenches = s.benchesOfNozzles()
	s.gatherClouds()
	s.runs = map[logbook.Position][]logbook.Run{}
	for _, r := range in.Book.Running {
		p := logbook.Position{Engine: r.Engine, Cylinder: r.Cylinder.Written}
		s.runs[p] = append(s.runs[p], r)
	}
	s.pages.since = []ref{pageSince}
	for i, y := range s.changes() {
		if i > 0 {
			s.pages.since = append(s.pages.since, ref("since-"+strconv.Itoa(y.year)+".html"))
		}
	}
	s.footShort, s.footFull = s.foot(false), s.foot(true)
	return s
}

// job is one page, or a few that belong together, of which it names the first.
type job struct {
	page ref
	make func(*sheet) error
}

// workers are the most sheets written at once: rendering is bound by two cores on the machines that ships have.
const workers = 2

// write writes every page, and gives the faults of those that it could not make, in their order. Each page depends on the input alone,
// so the order in which the workers take them does not show.
func (s *site) write() (failed []error, err error) {
	if err := errors.Join(s.out.put(string(styleFile), style), s.out.put(string(comfortFile), comfort)); err != nil {
		return nil, err
	}
	if s.trail.UnderGit {
		if err := s.out.put(string(proofScript), []byte(logbook.ProofScript(s.trail.FoundingProof))); err != nil {
			return nil, err
		}
	}
	jobs := s.jobs()
	faults := make([]error, len(jobs))
	var next atomic.Int64
	var group fault.Group
	errs := make([]error, min(workers, runtime.GOMAXPROCS(0)))
	for w := range errs {
		group.Go(func() {
			page := s.sheet()
			for i := int(next.Add(1)) - 1; i < len(jobs) && errs[w] == nil && s.Context.Err() == nil; i = int(next.Add(1)) - 1 {
				var broken *fault.Fault
				err := fault.Catch("make the page "+string(jobs[i].page), func() error { return jobs[i].make(page) })
				if errors.As(err, &broken) {
					page, faults[i] = s.sheet(), broken // nothing of the broken page goes on
					err = page.instead(jobs[i].page, broken)
				}
				errs[w] = err
			}
		})
	}
	group.Wait()
	failed = slices.DeleteFunc(faults, func(err error) bool { return err == nil })
	return failed, errors.Join(budget.Stopped(s.Context), errors.Join(errs...), s.pictures.failed)
}

func (s *site) sheet() *sheet { return &sheet{site: s, marked: newRemarks(s)} }

// instead writes what stands in the place of a page that could not be made, so that no link leads nowhere and nobody takes it for empty.
func (s *sheet) instead(page ref, broken *fault.Fault) error {
	if !strings.HasSuffix(string(page), ".html") || s.out.has(string(page)) {
		return nil
	}
	s.begin("this page could not be made", "list", step{"", "could not be made"})
	s.m("<h1>This page could not be made</h1><p class=\"lead\">needlebook ").t(broken.Error()).m(".</p>")
	s.m("<p>All that the book holds is there, and the other pages show it. Please report this line.</p>")
	return s.end(page, s.footShort)
}

func (s *site) jobs() []job {
	jobs := []job{{pageVessel, (*sheet).vesselPage}, {SummaryFile, func(s *sheet) error { return s.writeSummary() }},
		{searchFile, func(s *sheet) error { return s.writeSearch() }}, {pageCautions, (*sheet).cautionsPage}, {pageReading, (*sheet).readingPage},
		{pageRounds, (*sheet).roundsPage}, {pageDrawings, (*sheet).drawingsPage}, {pageDrawnValves, (*sheet).drawnValvesPage},
		{pageDrawnStroke, (*sheet).drawnStrokesPage}, {pageFiles, (*sheet).filesPage}}
	for _, p := range s.pages.positions {
		for leaf := range s.pages.cylinders[p] {
			jobs = append(jobs, job{s.pages.cylinders[p][leaf], func(s *sheet) error { return s.cylinderPage(p, leaf) }})
		}
	}
	for _, o := range s.Book.Overhauls {
		jobs = append(jobs, job{s.pages.overhaul[o], func(s *sheet) error { return s.overhaulPage(o) }})
	}
	for _, h := range s.lives.Holders() {
		jobs = append(jobs, job{s.pages.holder[h], func(s *sheet) error { return s.holderPage(h) }})
	}
	for _, n := range s.lives.Nozzles() {
		jobs = append(jobs, job{s.pages.nozzle[n], func(s *sheet) error { return s.nozzlePage(n) }})
	}
	for _, i := range s.pages.instruments {
		jobs = append(jobs, job{s.pages.instrument[i], func(s *sheet) error { return s.instrumentPage(i) }})
	}
	for i := range s.rounds {
		jobs = append(jobs, job{s.pages.roundAt[i], func(s *sheet) error { return s.roundPage(i) }})
	}
	for _, f := range s.pages.texts {
		for i := range s.pages.leaves[f] {
			jobs = append(jobs, job{s.pages.leaves[f][i], func(s *sheet) error { return s.filePage(f, i) }})
		}
	}
	jobs = append(jobs, s.paperJobs()...)
	for i := range manualPages {
		jobs = append(jobs, job{manualPages[i], func(s *sheet) error { return s.checksPage(i) }})
	}
	for i := range s.pages.since {
		jobs = append(jobs, job{s.pages.since[i], func(s *sheet) error { return s.sincePage(i) }})
	}
	for i := range s.pages.traces {
		jobs = append(jobs, job{s.pages.traces[i], func(s *sheet) error { return s.tracePageNumber(i) }})
	}
	for i := range s.pages.findings {
		jobs = append(jobs, job{s.pages.findings[i], func(s *sheet) error { return s.findingsPage(i) }})
	}
	for i := range s.pages.partLists {
		jobs = append(jobs, job{s.pages.partLists[i], func(s *sheet) error { return s.partsPage(i) }})
	}
	for i := range s.pages.where {
		jobs = append(jobs, job{s.pages.where[i], func(s *sheet) error { return s.drawnWherePage(i) }})
	}
	for i := range s.pages.overhauls {
		jobs = append(jobs, job{s.pages.overhauls[i], func(s *sheet) error { return s.overhaulsPage(i) }})
	}
	return jobs
}
