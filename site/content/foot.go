package content

import (
	"needlebook/site/address"
	"needlebook/site/manual"
	"needlebook/site/page"
)

// leaves are all pages of a site, by the question of who looks for them.
var leaves = page.Nav{Kind: page.Leaves, Label: "all pages",
	To: []page.NavStep{{To: address.Vessel, Text: "the vessel"},
		{To: address.Findings, Text: "findings"},
		{To: address.Answers, Text: "answers"}, {To: address.Since, Text: "what changed"},
		{To: address.Due, Text: "what is due"},
		{To: address.Interval, Text: "interval review"}, {To: address.Recurring, Text: "recurring findings"},
		{To: address.Charts, Text: "charts"}, {To: address.Stores, Text: "spares and stores"},
		{To: address.Deferrals, Text: "deferrals"},
		{To: address.Handover, Text: "handover"}, {To: address.NOx, Text: "nozzle changes"},
		{To: address.Survey, Text: "for the survey"},
		{To: address.Overhauls, Text: "overhauls"}, {To: address.Rounds, Text: "rounds"},
		{To: address.Parts, Text: "parts and instruments"},
		{To: address.Files, Text: "limits and other files"}, {To: address.Trail, Text: "audit trail"},
		{To: address.Checks, Text: "the checks"},
		{To: address.Reading, Text: "how to read this"}, {To: address.Cautions, Text: "cautions"}}}

// state is the book that the pages are made from: its ship, its day and its newest commit.
func (w *Writer) state() page.Text {
	t := page.Words(w.Vessel).Say(", ").Say(w.StateDay())
	if n := len(w.Trail.Commits); len(w.Trail.Head) >= address.ShortID && n > 0 {
		t = t.Say(", commit ").In(page.Code, address.Short(w.Trail.Head)).Say(" of ").
			Say(w.Trail.Commits[n-1].Stated.UTC().Format("2006-01-02")).Say(" (stated)")
	}
	return t
}

// PrintedFoot is what each printed sheet says at its foot, beside its number.
func (w *Writer) PrintedFoot() string { return w.state().String() }

// Foot is the foot of all pages of a book, full with every caution and short.
func (w *Writer) Foot(full bool) []page.Block {
	t := w.state()
	if w.Program != "" {
		t = t.Say(", built by ").Say(w.Program)
	}
	whole := page.Link(address.Cautions, "The whole text, and the cautions before work on a valve").Say(".")
	all := []page.Block{leaves, para(t.Say(". ").Say(w.ProofLine()).Say(".")),
		page.Para{Style: page.Yield, Text: page.Words(yieldShort + " ").Then(whole)}}
	if full {
		s := page.Under("Cautions", cautionList(page.Plain), said(manual.Before()))
		s.Style = page.FullFoot
		all = append(all, s)
	}
	return all
}

// FleetFoot is the foot of the front page of several ships.
func FleetFoot() []page.Block {
	return []page.Block{
		said("Made from the summaries that each vessel's own build left; the history of a vessel is proved on her own " +
			"pages."),
		page.Para{Style: page.Yield, Text: page.Words(yieldShort)}}
}
