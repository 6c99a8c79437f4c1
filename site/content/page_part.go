package content

import (
	"slices"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// holderPage is the life of one holder: where it has been, what it did to its nozzles, its wear, its end.
func (w *Writer) holderPage(serial string) *page.Page {
	p := partPage(w.at.Holder[serial], "holder", serial)
	periods, benches := w.Lives.OfHolder(serial), w.Lives.Benches(serial)
	n := facts.RenewalOf(benches)
	ran := figure("has run in this book", "not known", "a counter reading is missing")
	if h, known := w.Lives.HolderHours(serial, w.Today); known {
		ran = figure("has run in this book", page.Hours(h), "")
	}
	others := ratio(w.Renewal.Renewed-n.Renewed, w.Renewal.Of-n.Of)
	p.Add(w.whereNow(periods, benches, "holder", serial),
		page.Figures{figure("nozzles renewed at its overhauls", ratio(n.Renewed, n.Of), "all other holders: "+others), ran,
			meanService(periods)},
		w.strip(w.lifeOfHolder(serial)), w.placesOf(periods, true))
	p.Add(w.findingsOfPart(checks.Subject{Kind: checks.OfHolder, Name: serial}, w.Found.Holder[serial])...)
	p.Add(
		w.overOwnHours(w.lifeOfHolder(serial).lives, serial, "h of this holder in the book", "other holders of its type",
			facts.HolderQuantities),
		w.triesOf(benches), w.itsOverhauls(benches), w.partFile("holder", serial))
	return p
}

// nozzlePage is the life of one nozzle.
func (w *Writer) nozzlePage(serial string) *page.Page {
	p := partPage(w.at.Nozzle[serial], "nozzle", serial)
	periods, benches := w.Lives.OfNozzle(serial), w.NozzleBenches[serial]
	total, known := w.Lives.NozzleHours(serial, w.Today)
	figures := page.Figures{figure("has run", "not known", "a counter reading, or its hours before the book, is missing")}
	if known {
		figures[0] = figure("has run", page.Hours(total), "in all its service lives")
	}
	if mark := facts.LastMarking(benches, serial); mark != "" {
		figures = append(figures, figure("marking", mark, "as stamped"))
	}
	p.Add(w.whereNow(periods, benches, "nozzle", serial), append(figures, meanService(periods)),
		w.strip(w.lifeOfNozzle(serial)), w.placesOf(periods, false))
	p.Add(w.findingsOfPart(checks.Subject{Kind: checks.OfNozzle, Name: serial}, w.Found.Nozzle[serial])...)
	p.Add(w.overOwnHours(w.lifeOfNozzle(serial).lives, "", "h of this nozzle", "",
		facts.NozzleQuantities),
		w.triesOf(benches), w.itsOverhauls(benches), w.partFile("nozzle", serial))
	return p
}

// findingsOfPart are those about a part, and those about other things that name it.
func (w *Writer) findingsOfPart(s checks.Subject, named []*checks.Finding) []page.Block {
	return []page.Block{w.openFindings(w.About(s), s.String(), s.Kind), w.alsoNamed(facts.Naming(named, s), s.String())}
}

func partPage(to page.Ref, kind, serial string) *page.Page {
	return &page.Page{Name: to, Title: kind + " " + serial, Kind: "part", Head: page.UpperFirst(kind) + " " + serial,
		Way: []page.Step{{To: address.Parts, Text: "parts"}, {Text: kind + " " + serial}}}
}

// meanService is the mean of the running hours of the service periods that ended.
func meanService(periods []*logbook.ServicePeriod) page.Figure {
	mean := "–"
	if h, known := facts.MeanStay(periods); known {
		mean = page.Hours(h)
	}
	return figure("mean service", mean, "of the service periods that ended")
}

// whereNow says where a part is today, or how it ended.
func (w *Writer) whereNow(
	periods []*logbook.ServicePeriod, benches []*logbook.Overhaul, kind, serial string,
) page.Block {
	t := w.howEnded(kind, serial)
	for _, st := range periods {
		if st.To == 0 {
			t = t.Say("In ").Then(w.position(st.Position)).Say(" since ").Say(st.From.String()).Say(". ")
		}
	}
	if state, spare := w.OnRack[facts.Piece{Kind: kind, Serial: serial}]; spare && state.Yes() {
		t = t.Say("Ready spare. ")
	} else if spare {
		t = t.Say("In the spares rack, ready: ").Say(state.String()).Say(". ")
	}
	if n := len(periods); n > 0 && periods[n-1].To != 0 {
		st := periods[n-1]
		t = t.Say("Came out of ").Then(w.position(st.Position)).Say(" last, on ").Say(st.To.String()).Say(". ")
	}
	if len(periods) == 0 {
		t = t.Say("Never fitted in this book. ")
	}
	return lead(t.Say(page.UpperFirst(page.Counted(len(benches), "one overhaul", "overhauls"))).Say("."))
}

// howEnded says how the use of a part ended: by its own file, or else by a decision; nothing where it did not.
func (w *Writer) howEnded(kind, serial string) page.Text {
	var t page.Text
	if p := w.Book.Part(kind, serial); p != nil && (p.Condemned.Stated() || p.Scrapped.Stated()) {
		ended := func(e logbook.PartEnd, word string) {
			if e.Stated() {
				t = t.In(page.Strong, word).Say(" on ").Say(facts.Said(e.Date.Leaf)).Say(": ").Say(facts.Said(e.Why.Leaf)).Say(". ")
			}
		}
		ended(p.Condemned, "Condemned")
		ended(p.Scrapped, "Taken out of use")
		return t
	}
	e, out := w.Book.EndBy(kind, serial, w.Today)
	if !out {
		return nil
	}
	t = t.In(page.Strong, page.UpperFirst(e.String()))
	if e.By != nil {
		t = t.Say(": ").Link(w.at.Overhaul[e.By], e.By.Stem)
	}
	return t.Say(". ")
}

// placesOf are the service periods of a part, oldest first, with how the valve was left, how it was found, and what was
// decided; nil for none.
func (w *Writer) placesOf(periods []*logbook.ServicePeriod, holder bool) page.Block {
	if len(periods) == 0 {
		return nil
	}
	other := "holder"
	if holder {
		other = "nozzle"
	}
	t := page.NewTable(page.Listed, "from", "to", "cylinder", other, "ran", "left at", "as found", "leak-down", "wear",
		"effective lift",
		"exhaust", "decided", "pulled for")
	for _, st := range periods {
		to, mate, left := page.Words("in place"), w.holder(st.Holder), ""
		if st.To != 0 {
			to = page.Link(w.at.Overhaul[st.Closed], st.To.String())
		}
		if holder {
			mate = w.nozzle(st.Nozzle)
		}
		l := facts.Life{ServicePeriod: st}
		if v := w.LeftAt(l, facts.OpeningPressure); v != nil {
			left = v.Value.String()
		}
		cells := []page.Cell{page.On(st.From.String()), page.Said(to), page.Said(w.position(st.Position)), page.Said(mate),
			page.Value(stayHours(st)), page.Value(left)}
		for _, q := range []facts.Quantity{facts.OpeningPressure, facts.LeakDown, facts.HolderWear, facts.EffectiveStroke} {
			cells = append(cells, page.Quantity(w.foundValue(l, q)))
		}
		exhaust, decided, reason := "", "", ""
		if o := st.Closed; o != nil {
			exhaust, decided, reason = o.AsFound.RunningBefore.Exhaust.Written, facts.Decision(o), o.Removed.Reason.Written
		}
		t.Row(append(cells, page.Value(exhaust), page.Plainly(decided), page.Plainly(reason))...)
	}
	return page.Under("Where it has been", t)
}

// livesDrawn is how many service lives of a part are in its charts, the newest.
const livesDrawn = 8

// overOwnHours are charts of what is followed on a part over its own hours; behind those of a holder are the other
// holders. Nil for none.
func (w *Writer) overOwnHours(lives []facts.Life, holder, xUnit, others string, list []facts.Quantity) page.Block {
	if len(lives) == 0 {
		return nil
	}
	s := page.Under("Over its own hours")
	if older := len(lives) - livesDrawn; older > 0 {
		s.Add(page.Para{Style: page.Source, Text: page.Words("The newest ").Int(livesDrawn).Say(" service lives; ").
			Say(page.Counted(older, "one earlier is", "earlier ones are")).Say(" in the table of where it has been.")})
		lives = lives[older:]
	}
	charts := &page.Box{Style: page.Charts}
	for _, q := range list {
		p := w.followed(q, lives, xUnit)
		if holder != "" {
			cloud := w.HolderClouds[w.TypeOf(holder)+" "+q.Found]
			p.Others, p.OthersAre = cloud.Others(holder, page.MostOthers), others
		}
		w.inUnitOf(p, lives[len(lives)-1].Engine)
		charts.Add(plotted(p, "", w.livesOf(q, lives)))
	}
	s.Add(page.Legend{Others: others}, charts)
	return s
}

// livesOf are the numbers of a plot.
func (w *Writer) livesOf(q facts.Quantity, lives []facts.Life) *page.Table {
	t := page.NewTable(page.Listed, "valve", "at", "as left", "at", "as found", "limit")
	if q.Left == "" {
		t = page.NewTable(page.Listed, "valve", "at", "as found", "limit")
	}
	for _, l := range slices.Backward(lives) {
		left, found := w.LeftAt(l, q), w.FoundAt(l, q)
		if left == nil && found == nil {
			continue
		}
		cells := []page.Cell{page.Plainly(page.OrDash(l.Holder))}
		if q.Left != "" {
			value := page.Text{}
			if left != nil {
				value = page.Link(w.at.Overhaul[l.Opened], left.Value.String())
			}
			cells = append(cells, page.Value(page.Hours(l.Begin)), page.Quantity(value))
		}
		if found == nil {
			t.Row(append(cells, page.Value(""), page.Cell{}, page.Cell{})...)
			continue
		}
		limit := found.LimitText
		if limit != "" {
			limit += ": " + found.Result.String()
		}
		t.Row(append(cells, page.Value(page.Hours(l.End)), page.Quantity(page.Link(w.at.Overhaul[l.Closed],
			found.Value.String())),
			page.Plainly(limit))...)
	}
	return t
}

// triesOf are the tests on the bench that did not pass, with what was done about each; nil for none.
func (w *Writer) triesOf(benches []*logbook.Overhaul) page.Block {
	t := page.NewTable(page.Listed, "day", "opening pressure", "leak-down", "why it did not pass", "what was done")
	for _, o := range slices.Backward(benches) {
		for i := range o.Tries {
			try := &o.Tries[i]
			t.Row(page.RowHead(page.Link(w.at.Overhaul[o], facts.Said(try.Date.Leaf))),
				page.Value(figureText(try.Opening.Median().Leaf)), page.Value(figureText(try.LeakDown.Time.Leaf)),
				page.Plainly(facts.Said(try.Why.Leaf)), page.Plainly(facts.Said(try.Done.Leaf)))
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return page.Under("Tests that did not pass", t)
}

// itsOverhauls are the overhauls of a part, newest first; nil for none.
func (w *Writer) itsOverhauls(benches []*logbook.Overhaul) page.Block {
	if len(benches) == 0 {
		return nil
	}
	list := slices.Clone(benches)
	slices.Reverse(list)
	return page.Under("Its overhauls", w.records(list))
}

// partFile is what the part's own file says; nil for none.
func (w *Writer) partFile(kind, serial string) page.Block {
	p := w.Book.Part(kind, serial)
	if p == nil {
		return nil
	}
	return page.Under("Its own file", w.fields(p), &page.Box{Style: page.RemarksOf,
		Blocks: []page.Block{page.Remarks{From: p.Path, Body: p.Remarks}}},
		photos(p.Photos, p.Remarks, serial), para(page.Link(w.at.File[p.Path], p.Path)))
}
