package evidence_test

import (
	"testing"

	"needlebook/checks/evidence"
	"needlebook/checks/judging"
	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// BenchmarkEvidence is the review and the causes of ten thousand overhauls; a second on one core is the aim.
func BenchmarkEvidence(b *testing.B) {
	book, err := logbook.Read(invent.Vessel(3, invent.Options{Overhauls: 10000}).FS())
	if err != nil {
		b.Fatal(err)
	}
	rounds, judged := book.Rounds(), judging.Judge(book)
	b.ReportMetric(float64(len(book.Overhauls)), "overhauls")
	for b.Loop() {
		e := evidence.New(book, rounds, judged, book.Today())
		e.Paper(evidence.Ask{Parts: true, Plots: true})
		e.RecurringPaper()
	}
}
