package content

import (
	"slices"
	"strings"

	"needlebook/checks/implied"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// overhaulPage is one record as a bench report: what counts in large figures, the findings, every verdict beside the
// valve in section, then the record in the order of the work, and who vouches for it. What each figure rests on is on
// the page behind it.
func (w *Writer) overhaulPage(o *logbook.Overhaul) *page.Page {
	p := &page.Page{Name: w.at.Overhaul[o], Title: "overhaul " + o.Stem, Kind: "bench", Way: w.wayTo(o), Head: titleOf(o),
		Full: true}
	p.Add(lead(w.journey(o)), vouched(w.StandingOf(o.Path)), w.benchFigures(o), w.recordFindings(o), w.verdicts(o),
		w.youAreHere(o), w.logsOf(o), w.papersOf(o), page.Under("The record", w.fields(o)), w.remarksOf(o),
		w.corrections(o), w.signatures(o), para(page.Link(w.at.Behind[o],
			"Behind the figures: how each verdict was worked out, which commit set it, and the record as written").Say(".")))
	return p
}

// behindPage is what is behind the figures of a record: the working of each verdict with the source of its limit and
// the commit that set the value, what the figures imply, the commits, and the text as written.
func (w *Writer) behindPage(o *logbook.Overhaul) *page.Page {
	way := w.wayTo(o)
	way[len(way)-1].To = w.at.Overhaul[o]
	p := &page.Page{Name: w.at.Behind[o], Title: "behind overhaul " + o.Stem, Kind: "behind",
		Way: append(way, page.Step{Text: "behind the figures"}), Head: "Behind the figures of " + o.Stem}
	p.Add(lead(w.journey(o)), vouched(w.StandingOf(o.Path)), w.workings(o), w.impliedBy(o), w.traceOf(o.Path),
		w.textOf(o.Path, 1, address.MostLines))
	return p
}

func titleOf(o *logbook.Overhaul) string {
	holder, nozzle := o.Holder.Written, o.Nozzle.Left.Written
	if holder == "" {
		holder = "holder not stated"
	}
	if nozzle == "" {
		nozzle = o.Nozzle.Found.Written
	}
	if nozzle == "" {
		return holder
	}
	return holder + " with " + nozzle
}

// wayTo is the way to a record: its round where it has one, else where it came from.
func (w *Writer) wayTo(o *logbook.Overhaul) []page.Step {
	var way []page.Step
	if name := w.at.RoundOf[o]; name != "" {
		way = append(way, page.Step{To: w.at.Round[name], Text: "round " + name})
	}
	if at := facts.RemovedFrom(o); at != (logbook.Position{}) {
		way = append(way, page.Step{To: w.at.To(at), Text: "cylinder " + at.String()})
	}
	return append(way, page.Step{Text: o.Stem})
}

// journey says in one sentence where the valve came from and where it went.
func (w *Writer) journey(o *logbook.Overhaul) page.Text {
	t := w.cameFrom(o).Then(w.wentTo(o)).Say(".")
	if o.Reconstructed.Stated() {
		r := &o.Reconstructed
		t = t.Say(" ").In(page.Strong, "Reconstructed").Say(" on ").Say(facts.Said(r.Date.Leaf)).Say(" by ").
			Say(w.Person(r.By.Written, r.Date.Day)).Say(" from ").Say(facts.Said(r.From.Leaf)).Say(".")
	}
	return t
}

func (w *Writer) cameFrom(o *logbook.Overhaul) page.Text {
	switch {
	case o.Removed.Stated():
	case o.Received.Stated():
		r := &o.Received
		return page.Words("Received from ").Say(facts.Said(r.From.Leaf)).Say(" on ").Say(facts.Said(r.Date.Leaf)).
			Say(", as left ").Say(r.By())
	case o.Removed.Present():
		return page.Words("Removal: ").Say(o.Removed.Written)
	default:
		return page.Words("Built without a removal")
	}
	t := page.Words("Removed from ").Then(w.position(facts.RemovedFrom(o))).Say(" on ").
		Say(facts.Said(o.Removed.Date.Leaf))
	if o.Removed.Counter.Stated() {
		t = t.Say(" at ").Say(o.Removed.Counter.String())
	}
	if period := w.Lives.ClosedBy(o); period != nil && period.HoursKnown {
		t = t.Say(" after ").In(page.Bold, page.Hours(period.Hours)).Say(" in service")
	}
	if o.Removed.Reason.Stated() {
		t = t.Say(" (").Say(o.Removed.Reason.Written).Say(")")
	}
	return t
}

func (w *Writer) wentTo(o *logbook.Overhaul) page.Text {
	switch {
	case o.Fitted.Stated():
		t := page.Words("; fitted to ").Then(w.position(facts.FittedTo(o))).Say(" on ").Say(facts.Said(o.Fitted.Date.Leaf))
		if o.Fitted.Counter.Stated() {
			t = t.Say(" at ").Say(o.Fitted.Counter.String())
		}
		return t
	case o.Fitted.Present():
		return page.Words("; fitting: ").Say(o.Fitted.Written)
	case o.Decided.Holder.Is("condemn"):
		return page.Words("; the holder is condemned")
	case o.Landed.Stated():
		l := &o.Landed
		return page.Words("; landed on ").Say(facts.Said(l.Date.Leaf)).Say(" to ").Say(facts.Said(l.To.Leaf)).
			Say(", due back on ").Say(facts.Said(l.Promised.Leaf))
	case o.Stored.Stated():
		return page.Words("; in the spares rack since ").Say(facts.Said(o.Stored.Date.Leaf))
	}
	return page.Words("; not fitted since")
}

// benchFigures are the few numbers that a reader looks for first, as found and as left.
func (w *Writer) benchFigures(o *logbook.Overhaul) page.Block {
	all := page.Figures{}
	two := func(name string, found, left logbook.Leaf) {
		if found.Present() || left.Present() {
			all = append(all, page.Figure{Name: name, Small: page.Words("as found → as left"),
				Value: page.Words(figureText(found)).Say(" ").In(page.Arrow, "→").Say(" ").Say(figureText(left))})
		}
	}
	two("opening pressure", o.AsFound.Opening.Median().Leaf, o.AsLeft.Opening.Median().Leaf)
	two("leak-down", o.AsFound.LeakDown.Time.Leaf, o.AsLeft.LeakDown.Time.Leaf)
	if v := w.Judged.LiftOf(o); v.Value.Valid() {
		all = append(all, figure(v.Name, v.Value.String(), ""))
	}
	h, known := w.Lives.NozzleHours(o.Nozzle.Found.Written, o.Removed.Date.Day)
	if known && o.Removed.Stated() && o.Nozzle.Found.Stated() {
		all = append(all, figure("nozzle has run", page.Hours(h), o.Nozzle.Found.Written))
	}
	return all
}

// recordFindings are those on a record: the open ones, each with whose it is where that is not the record itself, and
// what ended the others.
func (w *Writer) recordFindings(o *logbook.Overhaul) page.Block {
	s := page.Under("Open findings")
	list := w.Found.Record[o]
	if open := w.Open(list); len(open) > 0 {
		s.Add(w.findings(facts.ByGrade(open), true))
	} else {
		did, not := w.Report.LookedAt(o)
		s.Add(noneOpen("this record", did, not))
	}
	s.Add(w.ended(list))
	return s
}

// impliedBy is what the figures of a record imply by the physics of the valve: closed, for who looks for a cause.
func (w *Writer) impliedBy(o *logbook.Overhaul) page.Block {
	lines := implied.Of(w.Book, o, w.Judged)
	if len(lines) == 0 {
		return nil
	}
	t := page.NewTable(page.Listed, "what", "worked out", "how")
	for _, l := range lines {
		value := page.Words(l.Value)
		if l.Value == "" {
			value = page.Words("– ").Say(l.Cannot)
		}
		var how page.Text
		for i, one := range l.Working {
			if i > 0 {
				how = how.Break()
			}
			how = how.Say(one)
		}
		t.Row(page.RowHead(page.Link(w.at.Line(l.Place), l.Name)), page.Said(value), page.Said(how))
	}
	s := page.Under("What the figures imply", page.Fold{Blocks: []page.Block{t},
		Summary: page.Words("worked out by the physics of the valve, to look for a cause; judged by nobody")})
	s.TitleID = "implied"
	return s
}

// remarksOf are the remarks of a record with their pictures.
func (w *Writer) remarksOf(o *logbook.Overhaul) page.Block {
	scan := certificate(o)
	if strings.TrimSpace(o.Remarks) == "" && len(o.Photos.Each) == 0 && scan == nil {
		return nil
	}
	s := page.Under("Remarks and pictures", page.Remarks{From: o.Path, Body: o.Remarks},
		photos(o.Photos, o.Remarks, o.Holder.Written, o.Nozzle.Found.Written, o.Nozzle.Left.Written))
	if scan != nil {
		s.Blocks = append(s.Blocks, scan)
	}
	s.Style = page.RemarksOf
	return s
}

// certificate is the file of the certificate that a valve came with: shown as a picture, or linked; nil for none.
func certificate(o *logbook.Overhaul) page.Block {
	scan := o.Received.Scan
	if !scan.Stated() || slices.ContainsFunc(o.Photos.Each, func(p logbook.Text) bool {
		return p.Written == scan.Written
	}) {
		return nil
	}
	b := &page.Box{Style: page.Pictures}
	b.Add(page.Picture{Path: scan.Written, Words: strings.TrimSpace("certificate " + o.Received.Certificate.Written)})
	return b
}

// corrections are the figures struck through: what stood there stays readable.
func (w *Writer) corrections(o *logbook.Overhaul) page.Block {
	if len(o.Corrections) == 0 {
		return nil
	}
	t := page.NewTable(page.Simple, "date", "what", "former value", "why", "by")
	for _, c := range o.Corrections {
		t.Row(page.On(facts.Said(c.Date.Leaf)), page.Plainly(facts.Said(c.What.Leaf)),
			page.Said(page.In(page.Struck, facts.Said(c.Was.Leaf))),
			page.Plainly(facts.Said(c.Why.Leaf)), page.Plainly(w.Person(c.By.Written, c.Date.Day)))
	}
	return page.Under("Corrections", t)
}
