package content

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// cylinderPage is the history of one position: the valve that is there and what is open about both, every valve over
// calendar time, each quantity over the engine's hours, the other cylinders, and the overhauls, newest first. Further
// pages hold the earlier valves.
func (w *Writer) cylinderPage(at logbook.Position, leaf int) *page.Page {
	pages := w.at.Cylinders[at]
	p := &page.Page{Name: pages[leaf], Title: "cylinder " + at.String(), Kind: "cylinder",
		Way:  here("cylinder " + at.String()),
		Head: w.CylinderName(at)}
	p.Add(w.neighbours(at))
	periods := w.periodsOn(at, leaf)
	if leaf == 0 {
		p.Add(w.sitsThere(at), w.beforePulling(at))
	}
	p.Add(pager(pages, leaf, func(i int) string {
		if part := w.periodsOn(at, i); len(part) > 0 {
			return "valves from " + part[0].From.String()
		}
		return "–"
	}))
	p.Add(w.years(periods), w.overHours(at, periods))
	if leaf == 0 {
		p.Add(w.amongOthers(at))
	}
	p.Add(w.overhaulsHere(periods))
	if leaf == 0 {
		p.Add(w.earlierFindings(at)...)
	}
	return p
}

// periodsOn are the service periods that one page of a cylinder shows, oldest first: the first page the newest.
func (w *Writer) periodsOn(p logbook.Position, leaf int) []*logbook.ServicePeriod {
	all := w.Lives.InPosition(p)
	end := max(0, len(all)-leaf*address.StaysOnPage)
	return all[max(0, end-address.StaysOnPage):end]
}

// neighbours lead to the other cylinders of the engine, in their order.
func (w *Writer) neighbours(p logbook.Position) page.Block {
	n := page.Nav{Kind: page.Near, Label: "cylinders of this engine"}
	for _, q := range w.Positions {
		if q.Engine != p.Engine {
			continue
		}
		to := w.at.To(q)
		if q == p {
			to = ""
		}
		n.To = append(n.To, page.NavStep{To: to, Text: q.Cylinder})
	}
	if to := w.at.Engine[p.Engine]; to != "" {
		n.To = append(n.To, page.NavStep{To: to, Text: "all over the hours"})
	}
	return n
}

// sitsThere is the valve in the position today.
func (w *Writer) sitsThere(p logbook.Position) page.Block {
	now := w.PresentIn(p)
	s := page.Under("Now")
	period := now.ServicePeriod
	if period == nil {
		s.Add(page.Para{Style: page.Loud, Text: page.Words("No valve is booked into this cylinder on " + w.Today.String() +
			".")})
		if open := w.OpenOn(p); len(open) > 0 {
			s.Add(w.folded(open)...)
		}
		return s
	}
	since := "fitted " + period.From.String()
	if now.Read != 0 && now.Read < w.Today {
		since += ", counter last read " + now.Read.String()
	}
	valve := page.Figure{Name: "valve", Value: w.holder(period.Holder), Small: page.Words("nozzle ").
		Then(w.nozzle(period.Nozzle))}
	s.Add(page.Figures{valve, figure("has run", hoursRun(now.Run, now.RunKnown), since), w.intervalLeft(now),
		w.lastLeft(period)})
	if o := period.Opened; o != nil {
		s.Add(vouched(w.StandingOf(o.Path)))
	}
	s.Add(w.deferrals(period)...)
	if list := w.OpenOn(p); len(list) > 0 {
		s.Add(w.folded(list)...)
	} else {
		did, not := w.Report.LookedAtKinds(checks.OfPosition, checks.OfPocket, checks.OfHolder, checks.OfNozzle)
		s.Add(noneOpen("the cylinder, its pocket and the valve in it", did, not))
	}
	s.Add(w.onItsRecord(period))
	return s
}

// onItsRecord says that the paper of the valve has open findings of its own, which are about the record and ask nothing
// of the engine; nil where it has none.
func (w *Writer) onItsRecord(period *logbook.ServicePeriod) page.Block {
	o := period.Opened
	if o == nil {
		return nil
	}
	open := w.Open(w.About(checks.Subject{Kind: checks.OfRecord, Name: o.Stem}))
	if len(open) == 0 {
		return nil
	}
	return page.Para{Style: page.Source, Text: page.Words("Its record is to be put right, ").Say(gradesIn(open)).
		Say(": ").Link(w.at.Overhaul[o], o.Stem).Say(".")}
}

// intervalLeft is what is left of the interval, or why that is not known.
func (w *Writer) intervalLeft(now facts.Present) page.Figure {
	left, known := now.Left()
	if !known {
		why := "a counter reading is missing"
		if !now.Limited {
			why = "the book states no interval"
		}
		return figure("left to the interval", "not known", why)
	}
	words := "left to the interval"
	if left < 0 {
		words, left = "over the interval", -left
	}
	by := page.Words(now.Interval.Hours.String()+" by ").Link(w.at.Line(now.Interval.Hours.Place),
		w.IntervalFrom(now.Interval))
	return page.Figure{Name: words, Value: page.Words(page.Hours(left)), Small: by}
}

// lastLeft is how the valve was left before it was fitted.
func (w *Writer) lastLeft(period *logbook.ServicePeriod) page.Figure {
	last, _ := w.Lives.LeftBy(period.ReadHolder, period.From)
	o := last.Overhaul
	if o == nil {
		value, _ := w.leftAt(period)
		return figure("left at", cmp.Or(value, "not known"), "starting state of the book")
	}
	small := page.Words(o.AsLeft.Date.Written)
	if by := w.Book.LeftBy(o); by != "" {
		return page.Figure{Name: "left at", Value: page.Link(w.at.Overhaul[o], figureText(o.AsLeft.Opening.Median().Leaf)),
			Small: small.Say(", ").Say(o.Received.By())}
	}
	if o.AsLeft.Gauge.Stated() {
		small = small.Say(", gauge ").Link(w.at.Instrument[o.AsLeft.Gauge.Written], o.AsLeft.Gauge.Written)
	}
	return page.Figure{Name: "left at", Value: page.Link(w.at.Overhaul[o], figureText(o.AsLeft.Opening.Median().Leaf)),
		Small: small.Say(", ").Say(w.Person(o.By.Written, facts.DayOf(o, "as_left")))}
}

// deferrals are the limits knowingly exceeded on the valve that sits there, and until when.
func (w *Writer) deferrals(period *logbook.ServicePeriod) []page.Block {
	var all []page.Block
	for _, d := range w.DeferralsOn(period) {
		t := page.Words("Deferral ").Link(w.at.File[d.Path], page.OrDash(d.ID.Written)).Say(": ").
			Say(page.OrDash(d.Limit.Written)).
			Say(", ").Say(page.OrDash(d.ByHowMuch.Written)).Say("; allowed from ").Say(facts.Said(d.From.Leaf)).
			Say(" for ").Say(facts.Said(d.Hours.Leaf)).Say(" or until ").Say(facts.Said(d.Until.Leaf)).
			Say(", approved by ").Say(page.OrDash(w.Person(d.Approved.By.Written, d.Approved.Date.Day)))
		if lacks := w.Lacks(d); lacks != "" {
			t = t.Say("; it does not hold: it " + lacks)
		}
		all = append(all, page.Para{Style: page.Alarm, Text: t})
	}
	return all
}

// beforePulling is what an engineer asks before the valve comes out: what the pocket showed last time, what lies
// ready, and what the limits file says of fitting.
func (w *Writer) beforePulling(p logbook.Position) page.Block {
	var last *logbook.Overhaul
	for _, st := range w.Lives.InPosition(p) {
		if st.Closed != nil {
			last = st.Closed
		}
	}
	pocket := page.Words("no removal is in the book")
	if last != nil {
		pocket = page.Link(w.at.Overhaul[last], last.Day().String()).Say(": rings ").
			Say(facts.Said(last.Removed.RingsOut.Leaf)).
			Say(", pocket ").Say(facts.Said(last.Removed.Pocket.Leaf))
	}
	ready := page.Text{}
	for _, r := range w.Report.Spares {
		if of := w.Book.LimitsOfHolder(r.Holder); of != nil && of != w.Book.LimitsOf(p.Engine) {
			continue // a valve of another type
		}
		if len(ready) > 0 {
			ready = ready.Say(", ")
		}
		ready = ready.Link(w.at.Holder[r.Holder], r.Holder).Say(" (tested ").Int(r.Age).Say(" days ago")
		if !r.State.Yes() {
			ready = ready.Say("; ready: ").Say(r.State.String())
		}
		ready = ready.Say(")")
	}
	if len(ready) == 0 {
		ready = page.Words("none")
	}
	terms := page.Terms{Set: true, Terms: []page.Term{{Name: page.Words("last out of the pocket"), Says: pocket},
		{Name: page.Words("in the spares rack"), Says: ready}}}
	if head := w.headOn(p); head != nil {
		terms.Terms = append(terms.Terms, page.Term{Name: page.Words("cylinder head"), Says: head})
	}
	terms.Terms = append(terms.Terms, w.fittingLimits(p)...)
	return page.Under("Before pulling it", terms)
}

// headOn are the heads that were on the cylinder, the present one first; nil where none was exchanged.
func (w *Writer) headOn(p logbook.Position) (t page.Text) {
	for _, s := range slices.Backward(w.Book.HeadStays(w.Today)) {
		switch name := cmp.Or(s.Head, "no number known"); {
		case s.Position != p:
		case s.To == 0:
			t = page.Words(name+" since ").Link(w.at.Line(s.Place), s.From.String()).Say("; what is known of the pocket is " +
				"of the time since then")
		case s.From == 0:
			t = t.Say("; before it " + name + ", off " + s.To.String())
		default:
			t = t.Say("; before it ").Say(name).Say(" from ").Link(w.at.Line(s.Place), s.From.String()).
				Say(", off " + s.To.String())
		}
	}
	return t
}

// fittingLimits are the limits of fitting in force today, as written.
func (w *Writer) fittingLimits(p logbook.Position) []page.Term {
	none := func(words string) []page.Term {
		return []page.Term{{Name: page.Words("limits"), Says: page.Words(words)}}
	}
	l := w.Book.LimitsOf(p.Engine)
	if l == nil {
		return none("the book states none for this engine")
	}
	in, ok := l.On(w.Today)
	if !ok {
		return none("no revision is in force")
	}
	var all []page.Term
	stated := func(name string, leaf logbook.Leaf, more string) {
		if leaf.Written == "" {
			return
		}
		t := page.Link(w.at.Line(leaf.Place), leaf.Written)
		if more != "" {
			t = t.Say(", ").Say(more)
		}
		if e, ok := l.RevisionOf(leaf.Place); ok {
			t = t.Say(" ").In(page.Source, e.Source.Written)
		}
		all = append(all, page.Term{Name: page.Words(name), Says: t})
	}
	stated("clamp nuts", in.ClampNuts.Torque.Leaf, howTightened(in.ClampNuts))
	stated("pipe nut", in.PipeNut.Torque.Leaf, howTightened(in.PipeNut))
	stated("protrusion", in.Protrusion.Leaf, "")
	stated("setting, used parts", in.Opening.Used.Leaf, "")
	stated("setting, new parts", in.Opening.New.Leaf, "")
	return all
}

func howTightened(t logbook.TorqueLimits) string {
	var parts []string
	if t.Steps.Stated() {
		parts = append(parts, "in "+t.Steps.Written+" steps")
	}
	if t.Lubricant.Stated() {
		parts = append(parts, t.Lubricant.Written)
	}
	return strings.Join(parts, ", ")
}

// amongOthers sets the cylinder beside the others of its engine, and beside those of the same number on the other
// engines; nil where there are none.
func (w *Writer) amongOthers(p logbook.Position) page.Block {
	t := page.NewTable(page.Listed, "cylinder", "opened", "mean service", "failed as found", "pulled for a symptom",
		"nozzles renewed",
		"setting lost, median", "exhaust deviation, middle half", "to answer")
	for _, q := range w.Positions {
		if q.Engine == p.Engine || q.Cylinder == p.Cylinder {
			w.otherCylinder(t, p, w.OtherCylinders()[q])
		}
	}
	if len(t.Rows) < 2 {
		return nil
	}
	note := page.Words("The other cylinders of ").Say(p.Engine).
		Say(", and those of the same number elsewhere, over the whole book. "+
			"A few valves prove little: see ").Link(address.Recurring, "recurring findings").Say(".")
	return page.Under("Beside the other cylinders", page.Para{Style: page.Source, Text: note}, t).Named("other-cylinders")
}

func (w *Writer) otherCylinder(t *page.Table, this logbook.Position, one *facts.OtherCylinder) {
	name := w.position(one.At)
	if one.At == this {
		name = page.In(page.Here, this.String()+" (this one)")
	}
	mean, lost, exhaust := page.Words("–"), page.Words("–"), page.Words("–")
	if one.Overhauls > 0 {
		mean = page.Words(page.Hours(one.ServiceHours / float64(one.Overhauls)))
	}
	if n := len(one.Lost); n > 0 {
		lost = page.Words(page.Fixed(facts.Quantile(one.Lost, 0.5), 0)+" bar ").Put(page.More, page.Words("of ").Int(n))
	}
	if n := len(one.Exhaust); n > 0 {
		low, high := facts.Quantile(one.Exhaust, 0.25), facts.Quantile(one.Exhaust, 0.75)
		exhaust = page.Words(page.SignedKelvin(low)+" to "+page.SignedKelvin(high)+" K ").
			Put(page.More, page.Words("of ").Int(n))
	}
	t.Row(page.RowHead(name), page.Number(one.Overhauls), page.Quantity(mean),
		page.Quantity(page.Text{}.Int(one.Failed).Say(" of ").Int(one.Judged)), page.Number(one.Symptom),
		page.Number(one.Renewed),
		page.Quantity(lost), page.Quantity(exhaust), page.Number(one.ToAnswer))
}

// overhaulsHere are the overhauls of the valves that came out of the cylinder, the newest first.
func (w *Writer) overhaulsHere(periods []*logbook.ServicePeriod) page.Block {
	t := page.NewTable(page.Listed, "removed", "valve", "ran", "as found", "leak-down", "decided", "open findings",
		"done by",
		"who answers for it", "commit")
	for _, period := range slices.Backward(periods) {
		o := period.Closed
		if o == nil {
			continue
		}
		commit := page.Words("–")
		if r := w.Trail.Records[o.Path]; r != nil {
			commit = w.commit(w.Trail.At(r.Now().Commit))
		}
		valve := w.holder(o.Holder.Written).Say(" ").Link(w.at.Nozzle[o.Nozzle.Found.Written], o.Nozzle.Found.Written)
		t.Row(page.RowHead(page.Link(w.at.Overhaul[o], o.Day().String())), page.Said(valve), page.Value(stayHours(period)),
			page.Value(figureText(o.AsFound.Opening.Median().Leaf)), page.Value(figureText(o.AsFound.LeakDown.Time.Leaf)),
			page.Plainly(facts.Decision(o)), page.Marked(w.gravestOf(o)), page.Plainly(page.OrDash(o.By.Written)),
			page.Said(w.standing(o.Path)), page.Said(commit))
	}
	if len(t.Rows) == 0 {
		t.Row(page.Cell{Wide: 10, Text: page.Words("none yet")})
	}
	return page.Under("Overhauls of the valves that came out", t)
}

// earlierFindings are those about the cylinder and its valve that are not open any more, and those about other things
// that name the cylinder: former valves, records.
func (w *Writer) earlierFindings(p logbook.Position) []page.Block {
	things := w.Cylinder(p)
	var all []page.Block
	if ended := w.ended(w.About(things...)); ended != nil {
		all = append(all, page.Under("What has ended here", ended))
	}
	return append(all, w.alsoNamed(facts.Naming(w.Found.Position[p], things...), "this cylinder"))
}
