// Package words is the glossary: the one table behind needlebook help words, the manual page and the page on how to
// read the book.
//
// Begin with [All]. Which word is what in Go:
//
//	book                  logbook.Book
//	limits                logbook.Limits, Revision
//	overhaul              logbook.Overhaul
//	round                 logbook.Round
//	holder, nozzle        Lives.OfHolder, OfNozzle
//	position              logbook.Position
//	service period        logbook.ServicePeriod
//	as found, as left     Overhaul.AsFound, AsLeft
//	lift, effective lift  Measured.Lift, verdict effective_lift
//	leak-down             Test.LeakDown
//	setting class         logbook.Class
//	verdict               judging.Verdict
//	finding               checks.Finding
//	grade                 checks.Grade
//	here, there           merge.Sides
//	slip                  logbook.Problem, measure.Slip
//	signer                Commit.Person
//	audit trail           logbook.Trail
//	deferral              logbook.Deferral
package words
