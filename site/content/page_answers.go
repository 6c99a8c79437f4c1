package content

import (
	"cmp"
	"slices"

	"needlebook/checks"
	"needlebook/site/address"
	"needlebook/site/page"
)

// answersPage lists every answer of the book by the person who gave it and by day, those too that do not count, with
// why: nobody answers in silence.
func (w *Writer) answersPage() *page.Page {
	p := &page.Page{Name: address.Answers, Title: "answers", Kind: "list", Way: here("answers"), Head: "Answers"}
	p.Add(lead(page.Words("What no work can make good ends with the signed answer of a person. Every answer of the book " +
		"is here, by person and day, the latest first; one that does not count says why.")))
	given := w.Report.Given()
	if len(given) == 0 {
		p.Add(quiet("No finding has been answered."))
		return p
	}
	by := map[string][]checks.Given{}
	var people []string
	for _, g := range given {
		if by[g.By.Written] == nil {
			people = append(people, g.By.Written)
		}
		by[g.By.Written] = append(by[g.By.Written], g)
	}
	slices.Sort(people)
	for _, who := range people {
		p.Add(w.answersOf(who, by[who]))
	}
	p.Add(para(page.Words("As written: ").Link(w.at.File[given[0].Place.Path], given[0].Place.Path).Say(".")))
	return p
}

// answersOf are the answers of one person, the latest first.
func (w *Writer) answersOf(who string, list []checks.Given) page.Block {
	slices.SortStableFunc(list, func(a, b checks.Given) int { return cmp.Compare(b.Date.Day, a.Date.Day) })
	last := list[0].Date.Day
	title := w.Person(who, last)
	if title != who {
		title += " (" + who + ")"
	}
	t := page.NewTable(page.Listed, "day", "about", "finding", "answer", "counts")
	for _, g := range list {
		about, finding := page.Words(g.About.Written), page.Words(plainName(g.Check.Written))
		if f := g.Finding; f != nil {
			about = w.whose(f)
			finding = grade(f.Grade).Say(" ").Link(w.whereOf(f), plainName(f.Check)).Say(": ").Say(f.Message)
		}
		counts := page.Plainly("yes")
		if g.Until.Stated() {
			counts = page.Plainly("yes, until " + g.Until.Written)
		}
		if g.Why != "" {
			counts = page.Cell{Kind: page.OfReason, Text: page.In(page.Strong, "no").Say(": " + g.Why)}
		}
		t.Row(page.On(g.Date.String()), page.Said(about), page.Said(finding), page.Plainly(g.Answer.Answer.Written),
			counts)
		t.Rows[len(t.Rows)-1].ID = address.AnswerID(g.Place)
	}
	return page.Under(title, t)
}
