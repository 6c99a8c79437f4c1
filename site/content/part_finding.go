package content

import (
	"fmt"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// checksRun says how many checks there are: silence means something only where somebody looked.
func checksRun() string {
	return logbook.Counted(len(checks.All()), "check")
}

// noneOpen says that nothing is open about something, how many checks looked at it, and how many had nothing there to
// look at.
func noneOpen(what string, did, not int) page.Block {
	return quiet(fmt.Sprintf("Nothing is open: %s looked at %s, %d not applicable.", logbook.Counted(did, "check"),
		what, not))
}

// findings are findings one under another. own says that they are on the page of the record itself, so that it need
// not be named.
func (w *Writer) findings(list []*checks.Finding, own bool) page.Block {
	all := make(page.Findings, len(list))
	for i, f := range list {
		all[i] = w.finding(f, own)
	}
	return all
}

// heavyShown is how many findings, gravest first, a list that is only part of a page writes out.
const heavyShown = 16

// lightShown is how many findings below an answer are open where a list is only part of a page.
const lightShown = 3

// folded are findings with the lighter ones folded away where there are many: the page has more to say than they.
func (w *Writer) folded(list []*checks.Finding) []page.Block {
	sorted := facts.ByGrade(list)
	n := 0
	for n < len(sorted) && sorted[n].Grade >= checks.Action {
		n++
	}
	if len(sorted)-n <= lightShown {
		n = len(sorted)
	}
	var all []page.Block
	if open := sorted[:min(n, heavyShown)]; len(open) > 0 {
		all = append(all, w.findings(open, false))
	}
	if left := n - heavyShown; left > 0 {
		all = append(all, elsewhere(page.Grouped(left)+" more, "+gradesIn(sorted[heavyShown:n])+","))
	}
	if rest := sorted[n:]; len(rest) > 0 {
		fold := page.Fold{Summary: page.Words(gradesIn(rest)),
			Blocks: []page.Block{w.findings(rest[:min(len(rest), heavyShown)], false)}}
		if left := len(rest) - heavyShown; left > 0 {
			fold.Blocks = append(fold.Blocks, elsewhere(page.Grouped(left)+" more"))
		}
		all = append(all, fold)
	}
	return all
}

// elsewhere says where the findings that have no room are.
func elsewhere(these string) page.Block {
	return para(page.Words(these+" are on their records and under ").Link(address.Findings, "open findings").Say("."))
}

// gradesIn counts findings in words: "3 stop, 6 action".
func gradesIn(list []*checks.Finding) string {
	grades := []checks.Grade{checks.Stop, checks.Action, checks.Advice, checks.Note}
	return strings.Join(tally(list, grades, func(f *checks.Finding) checks.Grade { return f.Grade }), ", ")
}

// tally counts findings by each of some values that there is, in their order: "3 stop".
func tally[T comparable](list []*checks.Finding, values []T, of func(f *checks.Finding) T) (parts []string) {
	for _, v := range values {
		n := 0
		for _, f := range list {
			if of(f) == v {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %v", n, v))
		}
	}
	return parts
}

// relatedShown is how many related places stand open behind a finding.
const relatedShown = 2

// finding is a finding with all that it rests on.
func (w *Writer) finding(f *checks.Finding, own bool) page.Finding {
	one := w.shortFinding(f)
	one.Stands = w.stands(f)
	if own && f.Subject.Kind == checks.OfRecord {
		one.Whose = nil
	}
	t := page.Link(w.at.Line(f.Place), f.Place.String()).Say(" · ").Link(w.at.OfCheck(f.Check), f.Check)
	if l := f.Limit; l != nil {
		text := l.Text
		if text == "" {
			text = l.Place.String()
		}
		t = t.Say(" · limit ").Link(w.at.Line(l.Place), text)
		if l.Source != "" {
			t = t.Say(", ").Say(l.Source)
		}
		if l.Revision != 0 {
			t = t.Say(", in force from ").Say(l.Revision.String())
		}
	}
	for _, line := range f.Evidence {
		t = t.Say(" · ").Say(line)
	}
	for _, r := range f.Related {
		related := page.Words(r.Words).Say(" ").Link(w.at.Line(r.Place), r.Place.String())
		if len(f.Related) <= relatedShown {
			t = t.Say(" · ").Then(related)
		} else {
			one.Related = append(one.Related, related)
		}
	}
	one.Rests = t
	return one
}

// shortFinding is a finding in a few words: whose it is, what it says, what to do, since when, and where it is.
func (w *Writer) shortFinding(f *checks.Finding) page.Finding {
	one := page.Finding{Grade: gradeMark(f.Grade), Message: f.Message, Whose: w.whose(f)}
	if w.Report.IsOpen(f) {
		one.Next = f.Next
	}
	one.Rests = w.stands(f).Say(" · ").Link(w.whereOf(f), recordNamed(f)).Say(" · ").
		Link(w.at.OfCheck(f.Check), plainName(f.Check))
	return one
}

// stands says how long a finding has been open and which answer does not count, or what ended it and where that is.
func (w *Writer) stands(f *checks.Finding) page.Text {
	if f.State == checks.Open {
		t := page.Words(w.Report.Standing(f))
		if f.Held != "" {
			t = t.Say("; ").Link(address.Answers, f.Held)
		}
		return t
	}
	t := page.In(page.Bold, f.State.String())
	if f.Ended.Day != 0 {
		t = t.Say(" " + f.Ended.Day.String())
	}
	return t.Say(": ").Link(w.endedAt(f), f.Ended.Words)
}

// endedAt is the place of what ended a finding, or covers it.
func (w *Writer) endedAt(f *checks.Finding) page.Ref {
	if f.State == checks.Answered {
		return address.Answer(f.Ended.Place)
	}
	return w.at.Line(f.Ended.Place)
}

// whose is what a finding is about and where that is now, as a person would say it: "H-110, pulled from ME1-4
// 2023-04-20".
func (w *Writer) whose(f *checks.Finding) page.Text {
	to, name := w.at.Subject(f), f.Subject.Name
	switch f.Subject.Kind {
	case checks.OfHolder, checks.OfNozzle:
		return w.partNow(f.Subject)
	case checks.OfPocket:
		t := page.Words("pocket of ").Link(to, name)
		if words := w.Report.Whereabouts(f.Subject).Words; words != "" {
			t = t.Say(", ").Say(words)
		}
		return t
	case checks.OfRecord:
		if o := w.RecordOf(f); o != nil && o.Stem == name {
			return w.valveOf(o)
		}
	case checks.OfRound:
		return page.Words("round ").Link(to, name)
	case checks.OfLimits:
		return page.Words("limits ").Link(to, name)
	case checks.OfBook:
		return page.Link(to, "the book")
	}
	return page.Link(to, name)
}

// partNow is a part and where it is.
func (w *Writer) partNow(s checks.Subject) page.Text {
	to := w.at.Holder[s.Name]
	if s.Kind == checks.OfNozzle {
		to = w.at.Nozzle[s.Name]
	}
	t, now := page.Link(to, page.OrDash(s.Name)), w.Report.Whereabouts(s)
	switch {
	case now.Engines:
		return t.Say(", in ").Then(w.position(now.In))
	case now.Words != "":
		return t.Say(", ").Say(now.Words)
	}
	return t
}

// valveOf is the valve of a record and how it came to be overhauled, which is how a person knows the record.
func (w *Writer) valveOf(o *logbook.Overhaul) page.Text {
	day := page.Link(w.at.Overhaul[o], o.Day().String())
	if o.Day() == 0 {
		day = page.Link(w.at.Overhaul[o], o.Stem)
	}
	t := page.Text{}
	if o.Holder.Stated() {
		t = w.holder(o.Holder.Written).Say(", ")
	}
	switch {
	case o.Removed.Stated() && o.Removed.Engine.Stated():
		return t.Say("pulled from ").Then(w.position(facts.RemovedFrom(o))).Say(" ").Then(day)
	case o.Fitted.Stated() && o.Fitted.Engine.Stated():
		return t.Say("fitted in ").Then(w.position(facts.FittedTo(o))).Say(" ").Then(day)
	}
	return t.Say("overhauled ").Then(day)
}

// openFindings are those about one thing that nothing has ended, with the light ones folded away, and so those that
// have ended, with what ended them. looked says what was looked at, kinds are its kinds.
func (w *Writer) openFindings(list []*checks.Finding, looked string, kinds ...checks.SubjectKind) *page.Section {
	s := page.Under("Open findings")
	open := w.Open(list)
	if len(open) == 0 {
		did, not := w.Report.LookedAtKinds(kinds...)
		s.Add(noneOpen(looked, did, not))
	} else {
		s.Add(w.folded(open)...)
	}
	s.Add(w.ended(list))
	return s
}

// ended are those of some findings that are not open any more, folded away, with what ended each; nil for none.
func (w *Writer) ended(list []*checks.Finding) page.Block {
	ended := w.Ended(list)
	if len(ended) == 0 {
		return nil
	}
	return page.Fold{Summary: page.Words(page.Counted(len(ended), "one finding is not open any more",
		"findings are not open any more")).Say(": ").Say(statesIn(ended)),
		Blocks: []page.Block{w.findings(facts.ByGrade(ended), false)}}
}

// statesIn counts findings by what has become of them: "3 closed by work and 1 answered".
func statesIn(list []*checks.Finding) string {
	var states []checks.State
	for s := checks.Deferred; s <= checks.Answered; s++ {
		states = append(states, s)
	}
	return page.Joined(tally(list, states, func(f *checks.Finding) checks.State { return f.State }))
}

// namedShown is how many findings about other things a page names.
const namedShown = 6

// alsoNamed are findings about other things that name the one of the page, a line each with whose it is: what else was
// said, and nothing that is to be done here. Nil for none.
func (w *Writer) alsoNamed(list []*checks.Finding, what string) page.Block {
	if len(list) == 0 {
		return nil
	}
	lines := page.List{Style: page.Groups}
	for _, f := range list[:min(len(list), namedShown)] {
		t := grade(f.Grade).Say(" ").Then(w.whose(f)).Say(": ").Link(w.whereOf(f), f.Message).Say(", " + f.State.String())
		lines.Items = append(lines.Items, page.Item{Text: t})
	}
	fold := page.Fold{Blocks: []page.Block{lines}, Summary: page.Words(page.Counted(len(list), "one finding names ",
		"findings name ") + what + "; each is on the page of what it is about")}
	if more := list[min(len(list), namedShown):]; len(more) > 0 {
		fold.Blocks = append(fold.Blocks, elsewhere(page.Grouped(len(more))+" more, "+gradesIn(more)+","))
	}
	return page.Under("Findings about other things", fold)
}

// answersLine says how many answers the book holds and how many of them do not count; nil for none.
func (w *Writer) answersLine() page.Block {
	given := w.Report.Given()
	if len(given) == 0 {
		return nil
	}
	not := 0
	for _, g := range given {
		if g.Why != "" {
			not++
		}
	}
	t := page.Link(address.Answers, page.UpperFirst(page.Counted(len(given), "one answer", "answers")))
	return page.Para{Style: page.Source, Text: t.Say(" by the persons of the book, ").
		Say(page.Counted(not, "one of which does not count", "of which do not count")).Say(".")}
}

// tally is how many open findings there are of each grade.
func (w *Writer) tally() page.Block {
	var t page.Text
	for g := checks.Stop; g >= checks.Note; g-- {
		one := page.Text{}.Put(page.Bold, page.Text{}.Int(len(w.Open(w.Found.Grade[g])))).Say(" ").Then(grade(g))
		if to := w.at.OfGrade(g); to != "" {
			t = t.Leading(to, one)
		} else {
			t = t.Put(page.OneOf, one)
		}
		t = t.Say(" ")
	}
	return page.Para{Style: page.Tally, Text: t}
}

// plainName is a check's name as words.
func plainName(name string) string { return strings.ReplaceAll(name, "-", " ") }

// whereOf is the page of the record that a finding concerns, or else the line that it names.
func (w *Writer) whereOf(f *checks.Finding) page.Ref {
	if o := w.RecordOf(f); o != nil {
		return w.at.Overhaul[o]
	}
	return w.at.Line(f.Place)
}

// recordNamed is the stem of the record that a finding concerns, or the file it is in.
func recordNamed(f *checks.Finding) string {
	if f.About.Record != "" {
		return f.About.Record
	}
	return page.OrDash(f.Place.Path)
}
