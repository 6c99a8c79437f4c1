package content

import (
	"fmt"
	"slices"
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
	return para(page.Words(these+" stand on their records and under ").Link(address.Findings, "open findings").Say("."))
}

// gradesIn counts findings in words: "8 advice and 10 note".
func gradesIn(list []*checks.Finding) string {
	var parts []string
	for g := checks.Stop; g >= checks.Note; g-- {
		n := 0
		for _, f := range list {
			if f.Grade == g {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, g))
		}
	}
	return strings.Join(parts, " and ")
}

// relatedShown is how many related places stand open behind a finding.
const relatedShown = 2

func (w *Writer) finding(f *checks.Finding, own bool) page.Finding {
	one := page.Finding{Grade: gradeMark(f.Grade), Message: f.Message, Next: f.Next}
	if !own {
		one.Rests = w.about(f.About)
	}
	if !w.Report.IsOpen(f) {
		one.Next = ""
		one.Rests = one.Rests.Put(page.Bold, page.Words(w.Report.Standing(f))).Say(" · ")
	}
	t := one.Rests.Link(w.at.Line(f.Place), f.Place.String()).Say(" · ").Link(w.at.OfCheck(f.Check), f.Check)
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

// about are links to what a finding concerns.
func (w *Writer) about(a checks.About) page.Text {
	var t page.Text
	add := func(to page.Ref, text string) {
		if text != "" {
			t = t.Link(to, text).Say(" · ")
		}
	}
	if a.Position != (logbook.Position{}) {
		add(w.at.To(a.Position), a.Position.String())
	}
	add(w.at.Holder[a.Holder], a.Holder)
	add(w.at.Nozzle[a.Nozzle], a.Nozzle)
	add(w.at.Instrument[a.Instrument], a.Instrument)
	if a.Round != "" {
		add(w.at.Round[a.Round], "round "+a.Round)
	}
	return t
}

// openFindings are those of one thing, with the light ones folded away, and so those that are not open any more with
// what ended them.
func (w *Writer) openFindings(list []*checks.Finding) *page.Section {
	s := page.Under("Open findings")
	open := w.Open(list)
	if len(open) == 0 {
		s.Add(quiet("Nothing: " + checksRun() + " looked."))
	} else {
		s.Add(w.folded(open)...)
	}
	ended := slices.DeleteFunc(slices.Clone(list), w.Report.IsOpen)
	if n := len(ended); n > 0 {
		s.Add(page.Fold{Summary: page.Words(page.Counted(n, "one that is not open any more", "that are not open any more")),
			Blocks: []page.Block{w.findings(facts.ByGrade(ended), false)}})
	}
	return s
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

// brief is what a finding concerns in a word, and the page on which it is found.
func (w *Writer) brief(f *checks.Finding) (about string, to page.Ref) {
	about = f.About.Holder
	if f.About.Position != (logbook.Position{}) {
		about = strings.TrimSpace(f.About.Position.String() + " " + about)
	}
	return about, w.whereOf(f)
}

// whereOf is the page of the record that a finding concerns, or else the line that it names.
func (w *Writer) whereOf(f *checks.Finding) page.Ref {
	if o := w.RecordOf(f); o != nil {
		return w.at.Overhaul[o]
	}
	return w.at.Line(f.Place)
}
