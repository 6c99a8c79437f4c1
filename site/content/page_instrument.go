package content

import (
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// instrumentPage is what is known of one instrument, and the records it touched.
func (w *Writer) instrumentPage(id string) *page.Page {
	p := &page.Page{Name: w.at.Instrument[id], Title: "instrument " + id, Kind: "part", Head: "Instrument " + id,
		Way: []page.Step{{To: address.Parts, Text: "parts"}, {Text: "instrument " + id}}}
	own := checks.Subject{Kind: checks.OfInstrument, Name: id}
	found := []page.Block{w.openFindings(w.About(own), own.String(), own.Kind),
		w.alsoNamed(facts.Naming(w.Found.Instrument[id], own), own.String())}
	i := w.Book.Instruments[id]
	if i == nil {
		p.Add(page.Para{Style: page.Loud,
			Text: page.Words("The book has no file for this instrument: nothing that was read with it is proven.")})
		p.Add(append(found, w.touched(id))...)
		return p
	}
	if i.Kind.Stated() {
		p.Head = page.UpperFirst(i.Kind.Written) + " " + id
	}
	p.Add(lead(w.mayBeUsed(i)), w.calibration(i))
	p.Add(found...)
	p.Add(w.comparisons(i), w.foundWrong(i), w.touched(id),
		page.Under("Its own file", w.fields(i), remarks(i.Path, i.Remarks), para(page.Link(w.at.File[i.Path], i.Path))))
	return p
}

// mayBeUsed says first whether the instrument is in calibration today, and whether it ever read wrong.
func (w *Writer) mayBeUsed(i *logbook.Instrument) page.Text {
	t := page.Words("In calibration until ").Say(i.Until.Written).Say(".")
	switch until := i.Until.Day; {
	case until == 0:
		t = page.In(page.Strong, "No calibration is stated").Say(": what is read with it is not proven.")
	case until < w.Today:
		t = page.In(page.Strong, "Out of calibration since "+i.Until.Written).Say(": what is read with it now is not proven.")
	}
	for n := range i.FoundWrong {
		f := &i.FoundWrong[n]
		t = t.Say(" It ").Link("#found-wrong", "read wrong").Say(" from ").Say(facts.Said(f.From.Leaf)).Say(" to ").
			Say(facts.Said(f.To.Leaf)).Say(": ").
			Say(page.Counted(w.RecordsIn(i.ID.Written, f), "one record rests on it", "records rest on it")).Say(".")
	}
	return t
}

func (w *Writer) calibration(i *logbook.Instrument) page.Block {
	var all page.Figures
	switch until := i.Until.Day; {
	case until == 0:
		all = append(all, figure("calibrated until", "not stated", ""))
	case until < w.Today:
		ago := page.Grouped(w.Today.Days(until)) + " days before the state of the book"
		all = append(all, figure("calibration ran out", i.Until.Written, ago))
	default:
		all = append(all, figure("calibrated until", i.Until.Written, page.Grouped(until.Days(w.Today))+" days left"))
	}
	if i.Range.Written != "" {
		all = append(all, figure("range", i.Range.String(), ""))
	}
	switch {
	case i.Class.Valid:
		all = append(all, figure("class", i.Class.Written, "most permissible error in per cent of span"))
	case i.Error.Stated():
		all = append(all, figure("most permissible error", i.Error.String(), ""))
	}
	return append(all, figure("touched", page.Grouped(len(w.Used[i.ID.Written])), "entries in records"))
}

// comparisons are what the instrument showed beside a better one; nil for none.
func (w *Writer) comparisons(i *logbook.Instrument) page.Block {
	if len(i.Comparisons) == 0 {
		return nil
	}
	t := page.NewTable(page.Listed, "date", "against", "true", "showed", "difference", "by")
	for _, c := range i.Comparisons {
		difference := ""
		if c.True.Quantity.Valid() && c.Shows.Quantity.Valid() && c.True.Kind() == c.Shows.Kind() {
			difference = signed(c.Shows.Minus(c.True.Quantity))
		}
		t.Row(page.On(facts.Said(c.Date.Leaf)), page.To(w.at.Instrument[c.Against.Written], facts.Said(c.Against.Leaf)),
			page.Value(facts.Said(c.True.Leaf)), page.Value(facts.Said(c.Shows.Leaf)), page.Value(difference),
			page.Plainly(w.Person(c.By.Written, c.Date.Day)))
	}
	return page.Under("Comparisons", t)
}

func signed(q measure.Quantity) string {
	if text := q.String(); strings.HasPrefix(text, "-") || q.Float() == 0 {
		return text
	}
	return "+" + q.String()
}

// foundWrong are the times in which the instrument read wrong, and every value read with it then beside the probable
// true one; nil for none.
func (w *Writer) foundWrong(i *logbook.Instrument) page.Block {
	if len(i.FoundWrong) == 0 {
		return nil
	}
	s := page.Under("Found wrong").Named("found-wrong")
	for n := range i.FoundWrong {
		wrong := &i.FoundWrong[n]
		how := "by how much is not known"
		switch {
		case wrong.Factor.Valid:
			how = "showed " + wrong.Factor.Written + " times the true value"
		case wrong.Off.Quantity.Valid():
			how = "showed " + wrong.Off.String() + " more than the true value"
		}
		when := facts.Said(wrong.From.Leaf) + " to " + facts.Said(wrong.To.Leaf)
		s.Add(para(page.In(page.Strong, when).Say(": ").Say(how).Say(". ").Say(facts.Said(wrong.Why.Leaf))))
		s.Add(w.readThen(i, wrong)...)
	}
	return s
}

// readThen are the values of one wrong time. The original is as it was written; the probable value is worked out
// beside it.
func (w *Writer) readThen(i *logbook.Instrument, wrong *logbook.FoundWrong) []page.Block {
	records := map[*logbook.Overhaul]bool{}
	t := page.NewTable(page.Listed, "date", "record", "quantity", "as written", "probable true value",
		"verdict on what was written")
	for _, r := range w.ReadWith(i.ID.Written) {
		if in, ok := judging.WrongOn(i, r.Day); !ok || in.Place != wrong.Place {
			continue
		}
		records[r.Record] = true
		probable := "not known"
		if v, ok := judging.TrueValue(*wrong, r.Verdict.Value); ok {
			probable = "about " + v.String()
		}
		to := w.at.Overhaul[r.Record]
		t.Row(page.On(r.Day.String()), page.To(to, r.Record.Stem), page.Plainly(r.Verdict.Name),
			page.Quantity(page.Link(to.At(address.KeyID(r.Verdict.Key)), r.Verdict.Value.String())), page.Value(probable),
			page.Marked(verdict(r.Verdict)))
	}
	return []page.Block{t, said(page.Counted(len(records), "One record was", "records were") +
		" made with it in this time, and are shown as written.")}
}

// usesShown is how many records an instrument's page lists beside those of the times in which it read wrong.
const usesShown = 150

// touched are the records that name the instrument, newest first.
func (w *Writer) touched(id string) page.Block {
	uses := slices.Clone(w.Used[id])
	slices.Reverse(uses)
	if len(uses) == 0 {
		return page.Under("Records it touched", said("No record names it."))
	}
	t := page.NewTable(page.Listed, "date", "record", "used for")
	older := 0
	for i := 0; i < len(uses); {
		o, day := uses[i].Record, uses[i].Day
		var where []string
		for ; i < len(uses) && uses[i].Record == o; i++ {
			where = append(where, usedFor(uses[i].Key))
		}
		slices.Reverse(where)
		if len(t.Rows) == usesShown {
			older++
			continue
		}
		t.Row(page.On(day.String()), page.To(w.at.Overhaul[o], o.Stem), page.Plainly(page.Joined(where)))
	}
	s := page.Under("Records it touched", t)
	if older > 0 {
		s.Add(para(page.Words("and ").Int(older).Say(" older ones")))
	}
	return s
}

// usedFor is a key in words, without the word for the instrument itself: "as left" for as_left.gauge.
func usedFor(key string) string {
	if i := strings.LastIndexByte(key, '.'); i > 0 {
		key = key[:i]
	}
	return strings.ReplaceAll(strings.ReplaceAll(key, "_", " "), ".", ", ")
}
