package content

import (
	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// partsPage is a list of holders and instruments, and so many nozzles as have room; the others go on over further
// pages.
func (w *Writer) partsPage(i int) *page.Page {
	p := &page.Page{Name: w.at.PartLists[i], Title: "parts and instruments", Kind: "list",
		Way:  here("parts and instruments"),
		Head: "Parts and instruments"}
	all := w.Lives.Nozzles()
	nozzles := func(i int) []string { return part(all, i, address.NozzlesOnPage) }
	pages := pager(w.at.PartLists, i, func(i int) string {
		if some := nozzles(i); len(some) > 0 {
			return "nozzles " + some[0] + " to " + some[len(some)-1]
		}
		return "–"
	})
	p.Add(pages)
	if i == 0 {
		p.Add(w.holderList())
	}
	t := page.NewTable(page.Listed, "serial", "where", "service periods", "has run", "open findings")
	for _, n := range nozzles(i) {
		run, known := w.Lives.NozzleHours(n, w.Today)
		periods := w.Lives.OfNozzle(n)
		t.Row(w.partRow(page.Link(w.at.Nozzle[n], n), w.whereIs("nozzle", n, periods), len(periods), hoursRun(run, known),
			w.Open(w.About(checks.Subject{Kind: checks.OfNozzle, Name: n})))...)
	}
	p.Add(page.Under("Nozzles", t))
	if i == 0 {
		p.Add(w.instrumentList())
	}
	p.Add(pages)
	return p
}

func (w *Writer) holderList() page.Block {
	t := page.NewTable(page.Listed, "serial", "where", "overhauls", "ran in this book", "open findings")
	for _, h := range w.Lives.Holders() {
		run, known := w.Lives.HolderHours(h, w.Today)
		where := w.whereIs("holder", h, w.Lives.OfHolder(h))
		t.Row(w.partRow(page.Link(w.at.Holder[h], h), where, len(w.Lives.Benches(h)), hoursRun(run, known),
			w.Open(w.About(checks.Subject{Kind: checks.OfHolder, Name: h})))...)
	}
	return page.Under("Holders", t)
}

func (w *Writer) partRow(name, where page.Text, times int, run string, found []*checks.Finding) []page.Cell {
	return []page.Cell{page.RowHead(name), page.Said(where), page.Number(times), page.Value(run),
		page.Marked(gravest(found))}
}

// whereIs is where a part is on the day of the book, in a word.
func (w *Writer) whereIs(kind, serial string, periods []*logbook.ServicePeriod) page.Text {
	end, ended := w.Book.EndBy(kind, serial, w.Today)
	state, spare := w.OnRack[facts.Piece{Kind: kind, Serial: serial}]
	switch {
	case ended:
		return page.Words(end.String())
	case spare && state.Yes():
		return page.Words("ready spare")
	case spare:
		return page.Words("in the spares rack, ready: " + state.String())
	case len(periods) == 0:
		return page.Words("never fitted here")
	}
	last := periods[len(periods)-1]
	if last.To == 0 {
		return w.position(last.Position)
	}
	return page.Words("out of " + last.Position.String() + " " + last.To.String())
}

func (w *Writer) instrumentList() page.Block {
	t := page.NewTable(page.Listed, "id", "what", "calibrated until", "found wrong", "entries")
	for _, id := range w.Instruments {
		i := w.Book.Instruments[id]
		name, entries := page.RowHead(page.Link(w.at.Instrument[id], id)), page.Number(len(w.Used[id]))
		if i == nil {
			t.Row(name, page.Cell{Kind: page.OfAlarm, Text: page.Words("not in the book")}, page.Plainly("–"),
				page.Plainly("–"), entries)
			continue
		}
		until := page.Words(page.OrDash(i.Until.Written))
		if i.Until.Day != 0 && i.Until.Day < w.Today {
			until = until.Say(" ").In(page.Loud, "ran out")
		}
		var wrong page.Text
		for n, f := range i.FoundWrong {
			if n > 0 {
				wrong = wrong.Say(", ")
			}
			wrong = wrong.Link(w.at.Instrument[id].At("found-wrong"), f.From.Written+" to "+f.To.Written)
		}
		t.Row(name, page.Plainly(i.Kind.Written), page.Said(until), page.Said(wrong), entries)
	}
	return page.Under("Instruments", t)
}
