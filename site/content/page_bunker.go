package content

import (
	"strconv"

	"needlebook/checks/recurring"
	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// bunkerPage is what is known of one bunker: its analysis, when each engine burned it, the valves that ran on it, and
// what they showed against the ship's normal.
func (w *Writer) bunkerPage(n int) *page.Page {
	b := &w.Book.Bunkers[n]
	name := recurring.BunkerName(b)
	p := &page.Page{Name: w.at.Bunker[b], Title: "bunker " + name, Kind: "part", Head: "Bunker " + name,
		Way: []page.Step{{To: w.at.File[b.Place.Path], Text: "bunkers"}, {Text: name}}}
	ran := w.BurnedFrom(b)
	p.Add(lead(w.whatFuelDid(b, ran)), w.besideBunkers(n), w.analysis(b), w.burnedBy(b), w.ranOn(ran),
		para(page.Link(w.at.Line(b.Place), "its line in "+b.Place.Path)))
	return p
}

// whatFuelDid says first what the valves that ran on a bunker showed.
func (w *Writer) whatFuelDid(b *logbook.Bunker, ran []facts.Burned) page.Text {
	failed, looked := facts.FailedOn(ran)
	t := page.Words(page.UpperFirst(page.Counted(len(ran), "one valve", "valves")) +
		" ran on it for a tenth of their days or more. ")
	if looked == 0 {
		return t.Say("None of them has been tested as found yet.")
	}
	restFailed, rest := 0, 0
	for i := range w.Recurring().Visits {
		if v := &w.Recurring().Visits[i]; v.Looked {
			if rest++; v.Failed {
				restFailed++
			}
		}
	}
	t = t.Say("Of those tested as found, ").In(page.Bold, ratio(failed, looked)).Say(" failed; of all other valves ").
		Say(ratio(restFailed-failed, rest-looked)).Say(". ")
	if w.blamedBunkers()[recurring.BunkerName(b)] {
		return t.In(page.Strong, "Failures go with this fuel").Say(": ").
			Link(address.Recurring, "recurring findings").Say(".")
	}
	return t.Say("Nothing on record shows that failures go with it.")
}

// besideBunkers lead to the bunkers before and after.
func (w *Writer) besideBunkers(n int) page.Block {
	nav := page.Nav{Label: "bunkers before and after"}
	for i := max(0, n-1); i < min(n+2, len(w.Book.Bunkers)); i++ {
		b := &w.Book.Bunkers[i]
		to := w.at.Bunker[b]
		if i == n {
			to = ""
		}
		nav.To = append(nav.To, page.NavStep{To: to, Text: recurring.BunkerName(b)})
	}
	return nav
}

// analysis are the laboratory's figures beside the other bunkers of the book.
func (w *Writer) analysis(b *logbook.Bunker) page.Block {
	until := "in use"
	if b.To.Day != 0 {
		until = b.To.Written
	}
	figures := page.Figures{figure("in use from", facts.Said(b.From.Leaf), "received "+facts.Said(b.Received.Leaf)),
		figure("in use until", until, facts.Said(b.Grade.Leaf)),
		figure("aluminium and silicon", withUnit(b.AlSi, "mg/kg"), w.placeAmong(b, func(o *logbook.Bunker) logbook.Number {
			return o.AlSi
		})),
		figure("viscosity", withUnit(b.Viscosity, "mm²/s"),
			w.placeAmong(b, func(o *logbook.Bunker) logbook.Number { return o.Viscosity }))}
	s := page.Under("Analysis", figures)
	if b.Note.Stated() {
		s.Add(para(page.Words(page.UpperFirst(b.Note.Written)).Say(".")))
	}
	return s
}

func withUnit(n logbook.Number, unit string) string {
	if !n.Valid {
		return page.OrDash(n.Written)
	}
	return n.Written + " " + unit
}

// placeAmong says where a figure is among those of all bunkers.
func (w *Writer) placeAmong(b *logbook.Bunker, of func(*logbook.Bunker) logbook.Number) string {
	one := of(b)
	if !one.Valid {
		return ""
	}
	more, all := 0, 0
	for i := range w.Book.Bunkers {
		if n := of(&w.Book.Bunkers[i]); n.Valid {
			if all++; n.Value > one.Value {
				more++
			}
		}
	}
	switch {
	case all < 2:
		return ""
	case more == 0:
		return "the highest of " + page.Grouped(all)
	}
	return page.Grouped(more) + " of " + page.Grouped(all) + " have more"
}

// burnedBy is when and for how long each engine ran on a bunker.
func (w *Writer) burnedBy(b *logbook.Bunker) page.Block {
	t := page.NewTable(page.Listed, "engine", "from", "to", "ran on it")
	for name, to := range w.enginePages() {
		until := w.Today
		if b.To.Day != 0 {
			until = min(until, b.To.Day)
		}
		from, began := w.Book.TotalOn(name, b.From.Day)
		end, ended := w.Book.TotalOn(name, until)
		if b.From.Day == 0 || !began || !ended || end <= from {
			continue
		}
		t.Row(page.RowHead(page.Link(to, name)), page.Value(page.Hours(from)), page.Value(page.Hours(end)),
			page.Value(page.Hours(end-from)))
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return page.Under("In use, by engine", t, from("Hours of each engine in all, right across replaced counters. "+
		"Which engine burned which tank is not in the book: both are shown."))
}

// ranOn are the valves that ran on a bunker, with what they showed.
func (w *Writer) ranOn(all []facts.Burned) page.Block {
	if len(all) == 0 {
		return nil
	}
	t := page.NewTable(page.Listed, "tested", "cylinder", "valve", "days on it", "found less left", "this ship's normal",
		"leak-down as found", "spray as found", "and")
	for _, b := range all {
		o := b.Closed
		if o == nil {
			t.Row(page.On("in service"), page.Said(w.position(b.Position)), page.Said(w.holder(b.Holder)),
				page.Value(daysOf(b)), page.Cell{}, page.Cell{}, page.Cell{}, page.Cell{}, page.Cell{})
			continue
		}
		shift, normal := "", ""
		if b.Shift != nil {
			shift = page.SignedBar(b.Shift.Bar)
		}
		if b.Known {
			normal = page.SignedBar(b.Normal.Median) + " ± " + page.Fixed(2*b.Normal.Spread, 1)
		}
		l := facts.Life{ServicePeriod: b.ServicePeriod}
		t.Row(page.RowHead(page.Link(w.at.Overhaul[o], b.To.String())), page.Said(w.position(b.Position)),
			page.Said(w.holder(b.Holder)), page.Value(daysOf(b)), page.Value(shift), page.Value(normal),
			page.Quantity(w.foundValue(l, facts.LeakDown)), page.Said(w.judgedValue(o, keys.AsFoundSpray)),
			page.Plainly(seenAs(b)))
	}
	return page.Under("Valves that ran on it", t, from("The normal is the middle of this ship's other valves of the same "+
		"setting and a like age, with twice their spread. Not counted: not tested as found, or explained by its own part."))
}

func daysOf(b facts.Burned) string { return strconv.Itoa(b.Days) + " of " + strconv.Itoa(b.Of) }

// seenAs is a valve in words as the recurring findings see it.
func seenAs(b facts.Burned) string {
	switch v := b.Visit; {
	case v == nil:
		return ""
	case !v.Looked:
		return "not counted"
	case v.Failed:
		return "failed as found"
	}
	return "in order"
}
