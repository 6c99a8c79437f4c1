package content

import (
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// sincePage is what changed, a year to a page: first against the last review, then month by month. A reader picks a
// month by its link; with scripts on also a day.
func (w *Writer) sincePage(i int) *page.Page {
	p := &page.Page{Name: w.at.SinceYears[i], Title: "what changed", Kind: "list", Way: here("what changed"),
		Head: "What changed"}
	years := w.Changes()
	if i == 0 {
		p.Add(w.sinceReview())
	}
	p.Add(lead(page.Words("By the stated day of the commit that brought it. A finding is listed where the newest line " +
		"it rests on was set; advice and notes, and findings that rest on tables alone, are left out.")))
	if !w.Trail.UnderGit {
		p.Add(lead(page.Words(page.UpperFirst(w.Trail.Lacking) + ": the days of the records are taken instead.")))
	}
	if len(years) == 0 {
		p.Add(quiet("Nothing yet."))
		return p
	}
	p.Add(w.months(years))
	for _, m := range years[i].Months {
		s := page.Under(m.ID, page.List{Style: page.Groups, Items: w.changesOf(m)}).Named("m-" + m.ID)
		s.Style = page.Month
		p.Add(s)
	}
	return p
}

// What one day brought is written out so far; when a whole book is committed at once, a number says the rest.
const (
	alikeShown = 4
	filesShown = 40
)

// alike is what changes of one day have in common that are counted together: the check.
type alike struct {
	day   logbook.Day
	grade checks.Grade
	check string
}

func alikeOf(c facts.Change) alike {
	if c.Finding == nil {
		return alike{day: c.Day}
	}
	return alike{c.Day, c.Finding.Grade, c.Finding.Check}
}

// changesOf are the changes of a month.
func (w *Writer) changesOf(m facts.MonthOfChanges) []page.Item {
	count, listed := map[alike]int{}, map[alike]int{}
	for _, c := range m.List {
		count[alikeOf(c)]++
	}
	var items []page.Item
	for i := 0; i < len(m.List); i++ {
		c := m.List[i]
		day := page.Item{Day: c.Day.String(), Text: page.In(page.Day, c.Day.String()).Say(" ")}
		if c.Finding == nil {
			n := 1
			for i+n < len(m.List) && sameChange(c, m.List[i+n]) {
				n++
			}
			day.Text = day.Text.Then(w.filesOf(m.List[i : i+n]))
			items, i = append(items, day), i+n-1
			continue
		}
		kind := alikeOf(c)
		n := listed[kind]
		if listed[kind]++; n > alikeShown {
			continue
		}
		if left := count[kind] - n; n == alikeShown && left > 1 {
			day.Text = day.Text.Then(grade(kind.grade)).Say(" ").Link(w.at.OfGroup(kind.grade, kind.check),
				plainName(kind.check)).
				Say(": ").Say(page.Grouped(left)).Say(" more of that day")
		} else {
			day.Text = day.Text.Then(w.findingOf(c))
		}
		items = append(items, day)
	}
	return items
}

// sameChange says that a file changed on the same day in the same way.
func sameChange(a, b facts.Change) bool {
	return b.Finding == nil && a.Day == b.Day && a.Words == b.Words
}

// findingOf is a finding that came on a day.
func (w *Writer) findingOf(c facts.Change) page.Text {
	t := grade(c.Grade()).Say(" ")
	return t.Then(w.whose(c.Finding)).Say(": ").Link(w.whereOf(c.Finding), c.Words)
}

// filesOf are files that changed on a day in the same way.
func (w *Writer) filesOf(all []facts.Change) page.Text {
	t := page.Words(all[0].Words).Say(": ")
	for i, c := range all[:min(len(all), filesShown)] {
		if i > 0 {
			t = t.Say(", ")
		}
		if c.Record != nil {
			t = t.Link(w.at.Overhaul[c.Record], c.Record.Stem)
		} else {
			t = t.Link(w.at.File[c.File], c.File)
		}
	}
	if more := len(all) - filesShown; more > 0 {
		t = t.Say(", and ").Say(page.Grouped(more)).Say(" more: ").Link(address.Overhauls, "overhauls").Say(", ").
			Link(address.Files, "other files")
	}
	return t
}

// months are the way to every month.
func (w *Writer) months(years []facts.YearOfChanges) page.Block {
	var all page.Months
	for i, y := range years {
		one := page.YearOfMonths{Year: y.Year}
		for _, m := range slices.Backward(y.Months) {
			one.Months = append(one.Months, page.MonthLink{To: w.at.Month(i, m.ID), ID: m.ID})
		}
		all = append(all, one)
	}
	return all
}

// sinceReview says what is new and what is gone since the last review.
func (w *Writer) sinceReview() page.Block {
	b := w.Before
	if b == nil {
		return page.Under("Since the last review", quiet("No review is in the book, or nothing was compared with it.")).
			Named("review")
	}
	at := w.commit(w.at.Commit(b.Commit))
	if at == nil {
		at = page.In(page.Code, address.Short(b.Commit))
	}
	s := page.Under("Since the "+b.Why+" of "+b.Day.String(), page.Para{Style: page.Source,
		Text: page.Words("The same checks, run on the book as it was at commit ").Then(at).
			Say(", and compared with what they say now.")})
	fresh, gone := w.Compared()
	s.Add(page.Heading{Text: page.Words(page.UpperFirst(page.Counted(len(fresh), "one new finding", "new findings")))})
	if len(fresh) > 0 {
		s.Add(w.folded(fresh)...)
	}
	s.Add(page.Heading{Text: page.Words(page.UpperFirst(page.Counted(len(gone), "one finding was corrected",
		"findings were corrected")))})
	if len(gone) > 0 {
		list := page.List{Style: page.Groups}
		for _, f := range gone[:min(len(gone), address.FindingsOnPage)] {
			list.Items = append(list.Items, page.Item{Text: grade(f.Grade).Say(" ").Link(w.at.Stem[f.About.Record], f.Message)})
		}
		s.Add(list)
	}
	return s.Named("review")
}
