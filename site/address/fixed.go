package address

import "needlebook/site/page"

// The pages that every site has.
const (
	Vessel        page.Ref = "index.html"
	Findings      page.Ref = "findings.html"
	Answers       page.Ref = "answers.html"
	Trail         page.Ref = "audit-trail.html"
	Reading       page.Ref = "how-to-read-this.html"
	Cautions      page.Ref = "cautions.html"
	Checks        page.Ref = "checks.html"
	ChecksRecord  page.Ref = "checks-record.html"
	ChecksHistory page.Ref = "checks-history.html"
	ChecksBook    page.Ref = "checks-book.html"
	Rounds        page.Ref = "rounds.html"
	Parts         page.Ref = "parts.html"
	Overhauls     page.Ref = "overhauls.html"
	Files         page.Ref = "files.html"
	Since         page.Ref = "since.html"
	Charts        page.Ref = "charts.html"
	ChartsValves  page.Ref = "charts-valves.html"
	ChartsLift    page.Ref = "charts-lift.html"
	ChartsWhere   page.Ref = "charts-fitting-history.html"
)

// The pages that answer the questions of planning, relief and survey; each is the paper that the command prints.
const (
	Due       page.Ref = "due.html"
	Interval  page.Ref = "interval.html"
	Recurring page.Ref = "recurring.html"
	Stores    page.Ref = "stores.html"
	Deferrals page.Ref = "deferrals.html"
	Handover  page.Ref = "handover.html"
	NOx       page.Ref = "nox.html"
	Survey    page.Ref = "survey.html"
)

// The files of a site that are no pages.
const (
	Style       page.Ref = "style.css"
	Print       page.Ref = "print.css"
	Comfort     page.Ref = "comfort.js"
	Search      page.Ref = "search-index.js"
	ProofScript page.Ref = "prove-again.sh"
)

// fixed are the names that nothing of a book may take.
var fixed = []page.Ref{Vessel, Findings, Answers, Trail, Reading, Cautions, Checks, ChecksRecord, ChecksHistory,
	ChecksBook, Rounds, Parts, Overhauls, Files, Since, Charts, ChartsValves, ChartsLift, ChartsWhere, Due, Interval,
	Recurring, Stores, Deferrals, Handover, NOx, Survey,
	Style, Print}

// Manual are the pages of the manual of the checks.
var Manual = []page.Ref{Checks, ChecksRecord, ChecksHistory, ChecksBook}
