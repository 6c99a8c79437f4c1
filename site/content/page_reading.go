package content

import (
	"needlebook/checks"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/words"
	"needlebook/site/address"
	"needlebook/site/manual"
	"needlebook/site/page"
)

// term is a word with what it means.
type term struct {
	mark        page.Mark
	word, means string
}

// The words that pages use, each with what it means and, where a reader might think more, what it does not.
var (
	gradeTerms = []term{
		{page.GradeStop, checks.Stop.String(), "do not sign, do not fit."},
		{page.GradeAction, checks.Action.String(), "to be answered before countersigning."},
		{page.GradeAdvice, checks.Advice.String(), "better done otherwise."},
		{page.GradeNote, checks.Note.String(), "worth knowing."},
		{page.NoVerdict, "a dash",
			"the checks looked and have nothing to say. Where nobody could look, the page says “not known” or “not measured”, " +
				"never a dash alone."},
	}
	verdictTerms = []term{
		{page.Within, judging.Within.String(), "inside the limit, clear of the uncertainty of the instrument."},
		{page.WithinDoubt, judging.WithinDoubt.String(),
			"inside the limit, but by less than the uncertainty of the instrument."},
		{page.BeyondDoubt, judging.BeyondDoubt.String(),
			"outside the limit, by less than the uncertainty of the instrument."},
		{page.Beyond, judging.Beyond.String(), "outside the limit, clear of the uncertainty."},
		{page.NotMeasured, judging.NotMeasured.String(),
			"no value is written; the reason beside it where one was written."},
		{page.NotProven, judging.NotProven.String(),
			"a value is written, but its instrument is not in the book, out of calibration, or on record as wrong."},
		{page.NoVerdict, judging.NoLimitThen.String(),
			"no limit was in force on the day of the work. Old work is not judged by new limits here."},
		{page.NoVerdict, judging.NotApplicable.String(), "the limit does not concern this valve."},
	}
	stateTerms = []term{
		{page.StrokeBroken, "not under git",
			"a plain folder: nothing is proved. The same holds for “nothing is committed yet” and “the history could not be " +
				"read”."},
		{page.StrokeBroken, "not committed", "the text is in the folder only."},
		{page.StrokeBroken, string(logbook.Unsigned),
			"the text is there, its writer unproven. It does not mean that the text is false. The same holds for “unknown " +
				"key”, “bad signature”, “other kind of signature” and “malformed”."},
		{page.StrokeBroken, string(logbook.OutsideWindow),
			"the key was that signer's, but without, or no longer provably with, the right. The same holds for “key not " +
				"in force”, " +
				"“unseen at withdrawal” and “compromised”."},
		{page.StrokeBroken, string(logbook.SecondRoot),
			"begins a history beside the founding commit. “not judged” is before the founding commit, or nobody says who " +
				"may sign."},
		{page.StrokeOne, string(logbook.Adopted),
			"another person answers for it, with a reason. It does not mean that they wrote it."},
		{page.StrokeOne, string(logbook.Signed),
			"that signer's key, in force then, over exactly these bytes. It does not mean that they turned the " +
				"spanner, that the " +
				"numbers are true, or that the date is."},
		{page.StrokeOne, string(logbook.MergeEdit),
			"that signer put versions together, and answers for the whole text. It does not mean that the others saw it."},
		{page.StrokeTwo, string(logbook.Countersigned),
			"a chief's key over the digest of exactly one text. What was added since is named."},
		{page.StrokeBroken, string(logbook.ChangedSince),
			"an earlier text was seen, and a value in it is different now. Both texts can be read."},
		{page.StrokeThree, "reviewed", "a superintendent's key over the digest of exactly one text."},
		{page.StrokeBroken, string(logbook.Refused),
			"the text was seen and not signed; the reason is beside it."},
		{page.StrokeBroken, string(logbook.NotCounted),
			"a countersignature by one who may not give it, or over no text of this record."},
		{page.NoVerdict, "received",
			"a receipt ashore held the text by that time at the latest, and, where that is said, not before the other. " +
				"“not yet received ashore”: no receipt holds it. It does not mean that the text existed earlier, or did not."},
		{page.StrokeBroken, "REWRITTEN",
			"what was recorded outside the book, by a receiver or by you as the reader, is not in the history any more. It " +
				"does not say who did it."},
		{page.StrokeBroken, "broken", "stored bytes do not match their name; nothing of them is shown."},
	}
)

// wordTerms are the words of the glossary.
func wordTerms() []term {
	var all []term
	for _, w := range words.All() {
		all = append(all, term{page.NoMark, w.Name, w.Text()})
	}
	return all
}

// readingPage explains the words and marks, and what is not promised.
func (w *Writer) readingPage() *page.Page {
	p := &page.Page{Name: address.Reading, Title: "how to read this", Kind: "plain", Way: here("how to read this"),
		Head: "How to read this"}
	not := page.List{Ordered: true}
	for _, n := range manual.NotPromised() {
		not.Items = append(not.Items, page.Item{Text: page.Words(n)})
	}
	p.Add(lead(page.Words("Every figure is shown as it was written. One click leads from it to its record, its limit, "+
		"its working and the "+
		"commit that set it. Shape and word tell the state; colour only repeats it.")),
		terms("grades", "Grades of open findings", gradeTerms), terms("verdicts", "Verdicts on a value", verdictTerms),
		said("The scale beside a verdict: the heavy line is the permitted stretch, a tick closes it where there is a "+
			"limit, the bar through the "+
			"mark is the uncertainty of the instrument."),
		terms("states", "Who answers for a text", stateTerms),
		page.Under("Charts", page.Legend{Others: "others, for comparison"},
			said("A thin line is one service life, from how the valve was left "+
				"to how it was found. Each limit is drawn where it held: a record is judged by the revision in force on the day "+
				"of the work. Every "+
				"mark is a link to its record, and the numbers are in a table below the chart.")).Named("plots"),
		page.Under("Pictures", said("A picture is shown small; a click shows the whole one, the picture itself untouched, "+
			"without what the "+
			"camera noted of place, owner and time. The file in the book keeps that. A picture that is missing, too large or "+
			"none at all is "+
			"named here in words, and is a finding.")).Named("pictures"),
		terms("words", "Words", wordTerms()),
		page.Under("What is not promised", not, para(page.Link(address.Trail.At("again"),
			"How to look again without this program"))).
			Named("not-promised"))
	return p
}

func terms(id, title string, list []term) page.Block {
	all := page.Terms{Set: true}
	for _, t := range list {
		all.Terms = append(all.Terms, page.Term{Name: page.Text{}.Draw(t.mark).Say(t.word), Says: page.Words(t.means)})
	}
	return page.Under(title, all).Named(id)
}
