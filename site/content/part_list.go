package content

import (
	"time"

	"needlebook/logbook"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// part is the stretch of a list that page i holds.
func part[T any](all []T, i, onPage int) []T {
	from := min(i*onPage, len(all))
	return all[from:min(from+onPage, len(all))]
}

// pager links the pages of a long list; nil for a single page. name says what a page holds, in few words.
func pager(pages []page.Ref, now int, name func(i int) string) page.Block {
	if len(pages) < 2 {
		return nil
	}
	n := page.Nav{Kind: page.Pager, Label: "pages of this list"}
	for i, to := range pages {
		if i == now {
			to = ""
		}
		n.To = append(n.To, page.NavStep{To: to, Text: name(i)})
	}
	return n
}

// records are overhauls in the order given.
func (w *Writer) records(list []*logbook.Overhaul) *page.Table {
	t := page.NewTable(page.Listed, "date", "from", "valve", "to", "open findings", "done by", "who answers for it")
	for _, o := range list {
		from, to := page.Words("–"), page.Words("–")
		if o.Removed.Stated() {
			from = page.Link(w.at.To(facts.RemovedFrom(o)), facts.RemovedFrom(o).String())
		}
		switch {
		case o.Fitted.Stated():
			to = page.Link(w.at.To(facts.FittedTo(o)), facts.FittedTo(o).String())
		case o.Stored.Stated():
			to = page.Words("spares rack")
		}
		t.Row(page.RowHead(page.Link(w.at.Overhaul[o], o.Day().String())), page.Said(from),
			page.Said(w.holder(o.Holder.Written)), page.Said(to),
			page.Marked(w.gravestOf(o)), page.Plainly(page.OrDash(o.By.Written)), page.Said(w.standing(o.Path)))
	}
	return t
}

// holder is a holder as a link; a dash for none.
func (w *Writer) holder(serial string) page.Text {
	return page.Link(w.at.Holder[serial], page.OrDash(serial))
}

// nozzle is a nozzle as a link; a dash for none.
func (w *Writer) nozzle(serial string) page.Text {
	return page.Link(w.at.Nozzle[serial], page.OrDash(serial))
}

// position is a position as a link.
func (w *Writer) position(p logbook.Position) page.Text { return page.Link(w.at.To(p), p.String()) }

// hoursRun are running hours, or that they are not known.
func hoursRun(hours float64, known bool) string {
	if !known {
		return "not known"
	}
	return page.Hours(hours)
}

// leftAt is the opening pressure that the valve of a service period was left with, and by whom where a certificate says
// so; empty where that is not known.
func (w *Writer) leftAt(period *logbook.ServicePeriod) (value, by string) {
	last, ok := w.Lives.LeftBy(period.ReadHolder, period.From)
	switch {
	case !ok:
		return "", ""
	case last.Overhaul == nil:
		return last.Opening.String(), ""
	}
	return figureText(last.Overhaul.AsLeft.Opening.Median().Leaf), w.Book.LeftBy(last.Overhaul)
}

// stayHours are the hours of a service period, or that they are not known.
func stayHours(st *logbook.ServicePeriod) string {
	if st == nil {
		return "not known"
	}
	return hoursRun(st.Hours, st.HoursKnown)
}

// isDay says that a text is a day as a book writes it.
func isDay(text string) bool {
	_, err := time.Parse(time.DateOnly, text)
	return err == nil
}
