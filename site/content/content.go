// Package content is what each page of a site says: it fills the values of package page from the facts, with the
// addresses. It makes no verdict, contains no limit and knows no HTML.
//
// A finding is shown as its subject's, and on other pages only in words that say whose it is: an order that belongs to
// a valve which has moved on, read on the page of a cylinder, opens a joint for nothing. What has ended stays on the
// page of its record and of its subject with what ended it.
//
// A file page_X.go is about one page, or about pages of one kind, and no other page calls it; what several pages say
// the same way is in the files part_X.go.
//
// Begin with [Writer.Jobs].
package content

import (
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// Writer says what the pages of one book say. It is only read while pages are made.
type Writer struct {
	*facts.Facts
	at *address.Pages
}

// New is a writer of the pages of a book.
func New(k *facts.Facts, at *address.Pages) *Writer { return &Writer{Facts: k, at: at} }

// Job makes one page, or a few that belong together, of which it names the first.
type Job struct {
	Page page.Ref
	Make func() []*page.Page
}

// one is a job of a single page.
func one(to page.Ref, write func() *page.Page) Job {
	return Job{to, func() []*page.Page { return []*page.Page{write()} }}
}

// each are jobs of one page each.
func each(pages []page.Ref, write func(i int) *page.Page) []Job {
	jobs := make([]Job, 0, len(pages))
	for i, to := range pages {
		jobs = append(jobs, one(to, func() *page.Page { return write(i) }))
	}
	return jobs
}

// Jobs are those of all pages.
func (w *Writer) Jobs() []Job {
	jobs := []Job{one(address.Vessel, w.vesselPage), one(address.Cautions, w.cautionsPage),
		one(address.Answers, w.answersPage),
		one(address.Reading, w.readingPage),
		one(address.Rounds, w.roundsPage), one(address.Charts, w.chartsPage), one(address.ChartsValves, w.valvesPage),
		one(address.ChartsLift, w.strokesPage), one(address.Files, w.filesPage)}
	jobs = append(jobs, w.thingJobs()...)
	for _, f := range w.Texts {
		jobs = append(jobs, each(w.at.Leaves[f], func(i int) *page.Page { return w.filePage(f, i) })...)
	}
	jobs = append(jobs, w.paperJobs()...)
	jobs = append(jobs, each(address.Manual, w.manualPage)...)
	jobs = append(jobs, each(w.at.SinceYears, w.sincePage)...)
	jobs = append(jobs, each(w.at.Commits, w.trailPage)...)
	jobs = append(jobs, each(w.at.Findings, w.findingsPage)...)
	jobs = append(jobs, each(w.at.PartLists, w.partsPage)...)
	jobs = append(jobs, each(w.at.Where, w.wherePage)...)
	return append(jobs, each(w.at.Overhauls, w.overhaulsPage)...)
}

// thingJobs are those of the pages about one thing each.
func (w *Writer) thingJobs() []Job {
	var jobs []Job
	for _, p := range w.Positions {
		jobs = append(jobs, each(w.at.Cylinders[p], func(leaf int) *page.Page { return w.cylinderPage(p, leaf) })...)
	}
	for _, o := range w.Book.Overhauls {
		jobs = append(jobs, one(w.at.Overhaul[o], func() *page.Page { return w.overhaulPage(o) }),
			one(w.at.Behind[o], func() *page.Page { return w.behindPage(o) }))
	}
	for _, h := range w.Lives.Holders() {
		jobs = append(jobs, one(w.at.Holder[h], func() *page.Page { return w.holderPage(h) }))
	}
	for _, n := range w.Lives.Nozzles() {
		jobs = append(jobs, one(w.at.Nozzle[n], func() *page.Page { return w.nozzlePage(n) }))
	}
	for name, to := range w.enginePages() {
		jobs = append(jobs, one(to, func() *page.Page { return w.enginePage(name) }))
	}
	for _, i := range w.Instruments {
		jobs = append(jobs, one(w.at.Instrument[i], func() *page.Page { return w.instrumentPage(i) }))
	}
	for i := range w.Book.Bunkers {
		jobs = append(jobs, one(w.at.Bunker[&w.Book.Bunkers[i]], func() *page.Page { return w.bunkerPage(i) }))
	}
	jobs = append(jobs, each(w.at.Sheet, w.sheetPage)...)
	return append(jobs, each(w.at.RoundAt, w.roundPage)...)
}

// Instead is the page in the place of one that could not be made, so that no link leads nowhere and nobody takes it
// for empty.
func Instead(name page.Ref, why string) *page.Page {
	p := &page.Page{Name: name, Title: "this page could not be made", Kind: "list", Way: here("could not be made"),
		Head: "This page could not be made"}
	p.Add(lead(page.Words("needlebook ").Say(why).Say(".")),
		page.Para{Text: page.Words("All that the book holds is there, and the other pages show it. Please report this " +
			"line.")})
	return p
}

// here is the way to a page right below the first.
func here(text string) []page.Step { return []page.Step{{Text: text}} }

func lead(t page.Text) page.Block { return page.Para{Style: page.Lead, Text: t} }

func para(t page.Text) page.Block { return page.Para{Text: t} }

func said(words string) page.Block { return page.Para{Text: page.Words(words)} }

func from(words string) page.Block { return page.Para{Style: page.Source, Text: page.Words(words)} }

// quiet says that there is nothing to say, in grey.
func quiet(words string) page.Block { return page.Para{Style: page.Quiet, Text: page.Words(words)} }
