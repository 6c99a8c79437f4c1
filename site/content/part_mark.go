package content

import (
	"needlebook/checks"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// gradeMark is the mark of a grade; none for no grade.
func gradeMark(g checks.Grade) page.Mark {
	switch g {
	case checks.Stop:
		return page.GradeStop
	case checks.Action:
		return page.GradeAction
	case checks.Advice:
		return page.GradeAdvice
	case checks.Note:
		return page.GradeNote
	}
	return page.NoMark
}

// grade is a grade: its mark and its word.
func grade(g checks.Grade) page.Text { return page.Text{}.Grade(gradeMark(g)) }

// gravest is the gravest grade of some findings; a dash for none.
func gravest(list []*checks.Finding) page.Text {
	if g := facts.Gravest(list); g != 0 {
		return grade(g)
	}
	return page.Text{}.Nothing("nothing")
}

// gravestOf is the gravest open finding of a record in a word, with their number where there are more; a dash for none.
func (w *Writer) gravestOf(o *logbook.Overhaul) page.Text {
	list := w.Open(w.Found.Record[o])
	t := gravest(list)
	if n := len(list); n > 1 {
		t = t.Say(" ").Put(page.More, page.Words("of ").Int(n))
	}
	return t
}

var verdictMarks = map[judging.Result]page.Mark{judging.Within: page.Within, judging.WithinDoubt: page.WithinDoubt,
	judging.BeyondDoubt: page.BeyondDoubt, judging.Beyond: page.Beyond, judging.NotMeasured: page.NotMeasured,
	judging.NotProven: page.NotProven, judging.NotApplicable: page.NoVerdict, judging.NoLimitThen: page.NoVerdict,
	judging.None: page.NoVerdict}

// verdict is a verdict: its mark and its word.
func verdict(v *judging.Verdict) page.Text {
	word := v.Result.String()
	if v.Result == judging.None {
		word = "no verdict"
	}
	t := page.Text{}.Verdict(verdictMarks[v.Result], word)
	if v.Theirs != "" {
		t = t.Say(" ").In(page.By, v.Theirs)
	}
	return t
}

// lifts are the marks of who vouches for a text, by the number of their lifts.
var strokes = [...]page.Mark{page.StrokeBroken, page.StrokeOne, page.StrokeTwo, page.StrokeThree}

// vouched is the standing of a record: its lifts and its words.
func vouched(st facts.Standing) page.Block {
	return page.Para{Style: standingStyle(st.Loud), Text: page.Text{}.Draw(strokes[st.Strokes]).Say(st.Words).Say(" ").
		Then(page.Text{{Style: page.How, To: address.Reading.At("states"), Words: "what this means"}})}
}

func standingStyle(loud bool) page.Style {
	if loud {
		return page.Alarm
	}
	return page.Standing
}

// standing says in a row of a table who vouches for a record.
func (w *Writer) standing(path string) page.Text {
	st := w.StandingOf(path)
	t := page.Text{}.Draw(strokes[st.Strokes]).Say(st.Words)
	if st.Loud {
		return page.Text{}.Put(page.Loud, t)
	}
	return t
}

// commit is a commit as a link: its short id.
func (w *Writer) commit(c *logbook.Commit) page.Text {
	if c == nil {
		return nil
	}
	return page.Text{{Style: page.Commit, To: w.at.OfCommit(c), Words: address.Short(c.ID)}}
}

// proof says whether the history is proved: quietly when it is, loudly when it is not.
func (w *Writer) proof() []page.Block {
	mark := page.StrokeOne
	if !w.Trail.Proved {
		mark = page.StrokeBroken
	}
	t := page.Text{}.Draw(mark).Say(w.ProofLine())
	if c := w.Trail.At(w.Trail.First); c != nil {
		t = t.Say(" (").Then(w.commit(c)).Say(")")
	}
	all := []page.Block{page.Para{Style: standingStyle(!w.Trail.Proved), Text: t.Say(". ").
		Link(address.Trail, "The audit trail")}}
	if n := len(w.Trail.WorkTree); n > 0 {
		t := page.Text{}.Draw(page.StrokeBroken).Say(page.Counted(n, "One file of the folder is", "files of the folder are")).
			Say(" not as committed: ").Link(address.Trail.At("work-tree"), "which")
		all = append(all, page.Para{Style: page.Alarm, Text: t})
	}
	return all
}

// whoWrote is who stands behind a commit: the person whose key signed, or who is merely named in it.
func whoWrote(c *logbook.Commit) string {
	switch {
	case c.AdoptedBy != "":
		return "adopted by " + c.AdoptedBy
	case c.State.Speaks() && c.Pending:
		return c.Signer + ", " + logbook.PendingWords
	case c.State.Speaks() && c.Signer != "":
		return c.Signer
	case c.Signer != "":
		return "key of " + c.Signer
	}
	return "named " + c.CommitterName + " (proves nothing)"
}

func why(text string) string {
	if text == "" {
		return ""
	}
	return ": " + text
}

// oneLine shortens a value of several lines to its beginning.
func oneLine(text string) string {
	for i, r := range text {
		if r == '\n' || i >= 120 {
			return text[:i] + " …"
		}
	}
	return text
}

// figureText is a value as a large figure; a dash where nothing stands, and its words where there is a reason.
func figureText(l logbook.Leaf) string {
	switch {
	case l.Not != "":
		return l.Not
	case l.Written == "":
		return "–"
	}
	return l.Written
}

// figure is a number that a reader looks for first.
func figure(name, value, small string) page.Figure {
	return page.Figure{Name: name, Value: page.Words(value), Small: page.Words(small)}
}
