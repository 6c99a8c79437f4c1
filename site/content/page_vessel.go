package content

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"needlebook/checks"
	"needlebook/checks/paper"
	"needlebook/logbook"
	"needlebook/site/address"
	"needlebook/site/facts"
	"needlebook/site/page"
)

// vesselPage is the first page: the engines in plan with what is open on each bore, the open findings in their groups,
// what recurs, what is due, and what was ended since the last review.
func (w *Writer) vesselPage() *page.Page {
	p := &page.Page{Name: address.Vessel, Title: w.Vessel, Kind: "vessel", Head: w.Vessel}
	p.Add(lead(w.engineHours()))
	p.Add(w.proof()...)
	p.Add(w.toDo())
	for _, e := range w.Book.Vessel.Engines {
		p.Add(w.engine(e))
	}
	if len(w.Book.Vessel.Engines) == 0 {
		p.Add(&page.Section{Blocks: []page.Block{
			page.Para{Style: page.Loud, Text: page.Words("book.md names no engine: there is nothing to draw.")}}})
	}
	p.Add(w.strayPositions(), &page.Box{Style: page.Look, Blocks: []page.Block{w.openInGroups(),
		page.Together(w.together(), w.dueNext(), w.endedLately(), w.changedLately())}}, w.spares(), w.lastRecords())
	return p
}

// toDo says in a line what is open and what is past due, and where it is further down: the first question of who opens
// the page.
func (w *Writer) toDo() page.Block {
	var asks []*checks.Finding
	for _, f := range w.Open(w.Ordered) {
		if f.Grade > checks.Note {
			asks = append(asks, f)
		}
	}
	past, _ := facts.NextDue(w.Due())
	if len(asks) == 0 && past == 0 {
		return para(page.Words("Nothing is to be done: no stop, no action, no advice is open, and nothing is past due."))
	}
	t := page.In(page.Bold, "To do: ")
	if len(asks) > 0 {
		t = t.Link(page.Ref("#open"), gradesIn(asks))
	} else {
		t = t.Say("no finding")
	}
	if past > 0 {
		t = t.Say(", ").Link(page.Ref("#due"), page.Grouped(past)+" past due")
	}
	return para(t.Say("."))
}

func (w *Writer) engineHours() page.Text {
	t := page.Words(page.UpperFirst(w.StateDay())).Say(". ")
	engines := w.Book.Vessel.Engines
	for i, e := range engines {
		if i > 0 {
			t = t.Say(" ")
		}
		t = t.Say(e.Called())
		if total, ok := w.Book.TotalOn(e.ID.Written, w.Today); ok {
			t = t.Say(" ").Say(page.Hours(total)).Say(" in all;")
		} else {
			t = t.Say(" hours not known;")
		}
	}
	if len(engines) == 0 {
		t = t.Say("No engine is named;")
	}
	return t.Say(" ").Say(page.Counted(len(w.Book.Overhauls), "one overhaul", "overhauls")).Say(".")
}

// linesInFull is how many findings of grade stop the first page shows.
const linesInFull = 8

// alikeInFull is how many findings of one check a group shows one by one; more are a line with their number.
const alikeInFull = 3

// openInGroups are the open findings in the groups of the terminal, the gravest first. An empty group says what was
// looked at; notes ask nothing of anybody and are a number.
func (w *Writer) openInGroups() page.Block {
	s := page.Under("Open findings").Named("open")
	stops, rest := w.grouped(checks.Stop), w.grouped(checks.Action, checks.Advice)
	if len(stops)+len(rest) == 0 {
		s.Add(quiet("Nothing to do. " + w.lookedAtAll()))
	}
	if len(w.Report.Open()) > 0 {
		s.Add(w.tally())
	}
	s.Add(w.answersLine())
	if len(stops)+len(rest) == 0 {
		return s
	}
	left := linesInFull
	for _, g := range checks.Groups {
		s.Add(page.Heading{Text: page.Words(page.UpperFirst(g.String()))})
		if len(stops[g])+len(rest[g]) == 0 {
			s.Add(quiet("Nothing is open: " + w.lookedAt(g) + "."))
			continue
		}
		n := min(len(stops[g]), left)
		left -= n
		single, alike := parted(rest[g])
		s.Add(w.briefly(append(slices.Clone(stops[g][:n]), single...)), w.byCheck(alike))
	}
	if more := len(w.Open(w.Found.Grade[checks.Stop])) - linesInFull; more > 0 {
		s.Add(para(page.Link(address.Findings.At("stop"), fmt.Sprintf("and %d more of grade stop", more))))
	}
	return s
}

// lookedAt says what the checks of a group had before them: quiet is not the same as not looked at.
func (w *Writer) lookedAt(g checks.Group) string {
	looked := func(n int, one, many string) string { return page.Counted(n, one+" was", many+" were") + " looked at" }
	switch g {
	case checks.OnEngines:
		return looked(len(w.Positions), "one cylinder with the valve in it", "cylinders with the valves in them")
	case checks.ReadySpares:
		return looked(len(w.Report.Spares), "one valve in the spares rack", "valves in the spares rack")
	case checks.ShipAndGear:
		return page.Counted(len(w.Instruments), "one instrument", "instruments") + ", " +
			looked(len(w.Texts), "one file of limits, stores and crew", "files of limits, stores and crew")
	}
	return looked(len(w.Book.Overhauls), "one overhaul", "overhauls")
}

// lookedAtAll says the same of a ship on which nothing is open.
func (w *Writer) lookedAtAll() string {
	if len(w.Book.Overhauls) == 0 {
		return "The book holds no overhaul yet; " + checksRun() + " looked at its other files."
	}
	return page.UpperFirst(checksRun()) + " looked at " + page.Counted(len(w.Positions), "one cylinder", "cylinders") +
		", " + page.Counted(len(w.Report.Spares), "one spare valve", "spare valves") + ", " +
		page.Counted(len(w.Instruments), "one instrument", "instruments") + " and " +
		page.Counted(len(w.Book.Overhauls), "one overhaul", "overhauls") + "."
}

// briefly are findings one under another in a few words each; nil for none.
func (w *Writer) briefly(list []*checks.Finding) page.Block {
	if len(list) == 0 {
		return nil
	}
	all := make(page.Findings, len(list))
	for i, f := range list {
		all[i] = w.shortFinding(f)
	}
	return all
}

// grouped are the open findings of some grades by their group, grade by grade, the newest first.
func (w *Writer) grouped(grades ...checks.Grade) map[checks.Group][]*checks.Finding {
	groups := map[checks.Group][]*checks.Finding{}
	for _, g := range grades {
		list := w.Open(w.Found.Grade[g])
		slices.SortStableFunc(list, func(a, b *checks.Finding) int { return int(b.Since) - int(a.Since) })
		for _, f := range list {
			in := w.Report.GroupOf(f)
			groups[in] = append(groups[in], f)
		}
	}
	return groups
}

// parted are the findings of checks that say little, and those of checks that say the same many times.
func parted(list []*checks.Finding) (single, alike []*checks.Finding) {
	times := map[string]int{}
	for _, f := range list {
		times[f.Check]++
	}
	for _, f := range list {
		if times[f.Check] > alikeInFull {
			alike = append(alike, f)
		} else {
			single = append(single, f)
		}
	}
	return single, alike
}

// byCheck are findings check by check with their number and the records they rest on; nil for none.
func (w *Writer) byCheck(list []*checks.Finding) page.Block {
	if len(list) == 0 {
		return nil
	}
	groups := map[string][]*checks.Finding{}
	var order []string
	for _, f := range list {
		if groups[f.Check] == nil {
			order = append(order, f.Check)
		}
		groups[f.Check] = append(groups[f.Check], f)
	}
	all := page.List{Style: page.Groups}
	for _, name := range order {
		g := groups[name]
		t := grade(g[0].Grade).Say(" ").Link(w.at.OfCheck(name), plainName(name)).Say(": ").Int(len(g)).Say(" times ")
		all.Items = append(all.Items, page.Item{Text: t.Then(w.wheres(g))})
	}
	return all
}

// wheresShown is how many places of one check the first page links.
const wheresShown = 6

// wheres are links to what findings rest on by the shortest name, the newest first.
func (w *Writer) wheres(list []*checks.Finding) page.Text {
	var t page.Text
	seen := map[string]bool{}
	for _, f := range slices.Backward(list) {
		to, name, what := w.at.Line(f.Place), f.Place.Path, f.Place.Path
		o := w.RecordOf(f)
		switch {
		case f.About.Round != "" && w.at.Round[f.About.Round] != "":
			to, name = w.at.Round[f.About.Round], "round "+f.About.Round
			what = name
		case o != nil:
			to, name, what = w.at.Overhaul[o], o.Stem, o.Path
		}
		if seen[what] {
			continue
		}
		if seen[what] = true; len(seen) > wheresShown {
			return t.Link(w.at.OfGroup(f.Grade, f.Check), "all")
		}
		t = t.Put(page.Where, page.Link(to, name)).Say(" ")
	}
	return t
}

// togetherShown is how many recurring findings the first page names.
const togetherShown = 8

// together is what several records show together; nil for nothing.
func (w *Writer) together() page.Block {
	all := w.recurring()
	if len(all) == 0 {
		return nil
	}
	list := page.List{Style: page.Groups}
	for _, r := range all[:min(len(all), togetherShown)] {
		list.Items = append(list.Items, page.Item{Text: page.Link(r.to, r.what).Say(": ").Say(r.words)})
	}
	ways := page.Link(address.Recurring, "How this was asked, and what else was").Say(" · ").
		Link(address.Charts, "the same as charts")
	return page.Under("Recurring findings", list, para(ways)).Named("together")
}

// How many lines of the due list the first page shows.
const (
	dueShown     = 6
	duePastShown = 12 // where much is past
)

// dueNext is the head of the due list: what is past, and what falls first.
func (w *Writer) dueNext() page.Block {
	s := page.Under("What is due next").Named("due")
	due := w.Due()
	t := due.Table("due")
	if t == nil || len(t.Rows) == 0 {
		s.Add(said("Nothing that the book knows of."))
		return s
	}
	each := w.DueEach()
	s.Add(w.nextValves(each), w.dueLines(due, t))
	unknown := 0
	for _, r := range each.Table("due").Rows {
		if r[2].Text == "valve" && facts.Undated(r) {
			unknown++
		}
	}
	if unknown > 0 {
		s.Add(said("Not known for " + page.Counted(unknown, "one cylinder", "cylinders") +
			": the book holds no valve there, no hours, no running rate or no interval."))
	}
	var ways page.Text
	if short := facts.ToOrder(w.Stores()); len(short) > 0 {
		ways = ways.Say("To order: ").Say(page.Joined(short)).Say(". ")
	}
	s.Add(para(ways.Link(address.Due, "The whole list").Say(" · ").Link(address.Stores, "spares and stores")))
	return s
}

func (w *Writer) dueLines(due paper.Paper, t *paper.Table) page.Block {
	past, _ := facts.NextDue(due)
	list := page.List{Style: page.Groups}
	for i, r := range slices.DeleteFunc(slices.Clone(t.Rows), facts.Undated) {
		if i >= min(max(dueShown, past+2), duePastShown) {
			if past > i {
				list.Items = append(list.Items, page.Item{Style: page.Loud,
					Text: page.Link(address.Due, "and "+page.Grouped(past-i)+" more that are past")})
			}
			break
		}
		t := page.In(page.Day, r[0].Text).Say(" ").Say(r[2].Text).Say(" ").Link(w.at.About(r[3].About), r[3].Text)
		if r[4].Text != "" && r[4].Text != "–" {
			t = t.Say(", ").Link(w.at.About(r[4].About), r[4].Text)
		}
		list.Items = append(list.Items, page.Item{Text: t.Say(": ").In(page.More, r[5].Text)})
	}
	return list
}

// nextValves names the valves that fall due first, those of one day together; nil for none.
func (w *Writer) nextValves(each paper.Paper) page.Block {
	_, next := facts.NextDue(each)
	if next == nil {
		return nil
	}
	var valves page.Text
	n := 0
	for _, r := range each.Table("due").Rows {
		if r[2].Text != "valve" || r[0].Text != next.Day || r[6].Text != next.Left {
			continue
		}
		if n++; n > 1 {
			valves = valves.Say("; ")
		}
		valves = valves.Link(w.at.About(r[4].About), r[4].Text).Say(" ").Link(w.at.About(r[3].About), r[3].Text)
	}
	words := "The next valves: "
	if n == 1 {
		words = "The next valve: "
	}
	return lead(page.Words(words).Then(valves).Say(", about ").Say(next.Day).Say(" (").Say(facts.LeftWords(next.Left)).
		Say(")."))
}

// How much of what was ended lately the first page shows, and how far back where no review is in the book.
const (
	endedShown = 6
	endedDays  = 90
)

// endedLately is what was ended since the last review, the latest first, with what ended it.
func (w *Writer) endedLately() page.Block {
	since, words := w.Today-endedDays, fmt.Sprintf("Ended in the last %d days", endedDays)
	if w.Before != nil {
		since, words = w.Before.Day, "Ended since the "+w.Before.Why+" of "+w.Before.Day.String()
	}
	s := page.Under(words).Named("ended")
	list := w.EndedSince(since)
	if len(list) == 0 {
		s.Add(quiet("Nothing."))
		return s
	}
	items := page.List{Style: page.Groups}
	for _, f := range list[:min(len(list), endedShown)] {
		ended := page.Link(w.endedAt(f), f.State.String()+" "+f.Ended.Day.String())
		t := w.whose(f).Say(": ").Say(f.Message).Say(" ").Put(page.Where, ended)
		items.Items = append(items.Items, page.Item{Text: t})
	}
	s.Add(items)
	if more := len(list) - endedShown; more > 0 {
		s.Add(para(page.Words("And ").Int(more).Say(" more: ").Link(address.Findings, "all findings").Say(".")))
	}
	return s
}

// changedLately says what changed since the last review, or else in the last month of the book.
func (w *Writer) changedLately() page.Block {
	s := page.Under("What changed").Named("changed")
	if b := w.Before; b != nil {
		fresh, gone := w.Compared()
		s.Add(para(page.Words("Since the ").Say(b.Why).Say(" of ").Say(b.Day.String()).Say(": ").
			Link(address.Since.At("review"), page.Counted(len(fresh), "one new finding", "new findings")+", "+
				page.Counted(len(w.Open(fresh)), "one of them is", "of them are")+" open; "+
				page.Counted(len(gone), "one was corrected", "were corrected")).Say(".")))
	}
	years := w.Changes()
	if len(years) == 0 {
		s.Add(quiet("Nothing is in the book yet."))
		return s
	}
	m := years[0].Months[0]
	files, findings := 0, 0
	for _, c := range m.List {
		if c.Finding != nil {
			findings++
		} else {
			files++
		}
	}
	t := page.Words("In ").Link(w.at.Month(0, m.ID), m.ID).Say(": ").
		Say(page.Counted(files, "one file written or changed", "files written or changed")).Say(", ").
		Say(page.Counted(findings, "one finding", "findings")).Say(". Since when? ")
	for i, y := range years[:min(len(years), 12)] {
		t = t.Link(w.at.SinceYears[i], strconv.Itoa(y.Year)).Say(" ")
	}
	s.Add(para(t))
	return s
}

// strayPositions are positions that records name and book.md does not; nil for none.
func (w *Writer) strayPositions() page.Block {
	stray := w.StrayPositions()
	if len(stray) == 0 {
		return nil
	}
	t := page.Words("book.md does not know them: ")
	for _, p := range stray {
		t = t.Then(w.position(p)).Say(" ")
	}
	return page.Under("Positions that only records name", para(t))
}

// spares are the valves that lie ready, with the age of their test.
func (w *Writer) spares() page.Block {
	spares := w.Report.Spares
	if len(spares) == 0 {
		return page.Under("Ready spares", said("No valve is booked as ready."), w.away())
	}
	t := page.NewTable(page.Listed, "valve", "nozzle", "place", "tested", "age of the test", "left at", "ready",
		"open findings")
	for _, r := range spares {
		tested, left := page.Words(r.Since.String()+" (opening state)"), w.RackLeft(r.Holder)
		if o := r.Overhaul; o != nil {
			tested, left = page.Link(w.at.Overhaul[o], r.Since.String()), figureText(o.AsLeft.Opening.Median().Leaf)
			if by := w.Book.LeftBy(o); by != "" {
				left += ", " + by
			}
		}
		found := gravest(w.Open(w.About(checks.OfValve(r.Holder, r.Nozzle)...)))
		t.Row(page.RowHead(page.Link(w.at.Holder[r.Holder], r.Holder)), page.Said(w.nozzle(r.Nozzle)),
			page.Plainly(page.OrDash(r.Place)),
			page.Said(tested), page.Quantity(page.Text{}.Int(r.Age).Say(" d")), page.Value(left), page.Plainly(r.State.String()),
			page.Marked(found))
	}
	ready := page.Text{}.Put(page.Bold, page.Text{}.Int(w.ReadySpares())).Say(" ready")
	return page.Under("Ready spares", page.Para{Style: page.Tally, Text: ready}, t, w.away())
}

// away are the valves that were landed and may come back; nil where none is.
func (w *Writer) away() page.Block {
	t := page.Words("Landed, no spares until they are received again: ")
	n := 0
	for _, a := range w.Book.Landed(w.Today) {
		if !a.Waits() {
			continue
		}
		if n++; n > 1 {
			t = t.Say("; ")
		}
		t = t.Link(w.at.Overhaul[a.Overhaul], a.Holder.Written).Say(" due back on ").Say(facts.Said(a.Landed.Promised.Leaf))
	}
	if n == 0 {
		return nil
	}
	return para(t.Say("."))
}

// recordsShown is how many records the first page lists.
const recordsShown = 12

// lastRecords are the newest overhauls.
func (w *Writer) lastRecords() page.Block {
	n := len(w.Book.Overhauls)
	if n == 0 {
		return page.Under("Newest overhauls", said("The book holds none yet."))
	}
	newest := slices.Clone(w.Book.Overhauls[max(0, n-recordsShown):])
	slices.Reverse(newest)
	return page.Under("Newest overhauls", w.records(newest),
		para(page.Link(address.Overhauls, "All overhauls").Say(" · ").Link(address.Rounds, "by round")))
}

// engine is one engine in plan: its cylinders in their order, bank by bank.
func (w *Writer) engine(e logbook.Engine) page.Block {
	title := e.Called()
	if e.Name.Stated() {
		title += ", " + e.Name.Written
	}
	var t page.Text
	add := func(stated bool, words string, more page.Text) {
		if !stated {
			return
		}
		if len(t) > 0 {
			t = t.Say(" · ")
		}
		t = t.Say(words).Then(more)
	}
	add(e.Type.Stated(), e.Type.Written, nil)
	add(e.Limits.Stated(), "limits ", page.Link(w.at.Limits(e.Limits.Written), e.Limits.Written))
	add(e.From.Stated(), "counted from "+e.From.Written, nil)
	add(len(w.cylindersOf(e.ID.Written)) > 0, "", page.Link(w.at.Engine[e.ID.Written], "all its valves over its hours"))
	plan := page.Plan{}
	for _, b := range facts.BanksOf(e) {
		bank := page.Bank{Name: b.Name}
		for _, c := range b.Cylinders {
			bank.Bores = append(bank.Bores, w.bore(logbook.Position{Engine: e.ID.Written, Cylinder: c}))
		}
		plan.Banks = append(plan.Banks, bank)
	}
	own := w.About(checks.Subject{Kind: checks.OfEngine, Name: e.ID.Written})
	return page.Under(title, page.Para{Style: page.Source, Text: t}, plan, w.briefly(w.Open(own)), w.ended(own)).
		Named(address.EngineID(e.ID.Written))
}

// openShown is how many open findings a bore names.
const openShown = 3

// openOn writes what is open about a cylinder and the valve in it to its bore: each grade with the name of the check.
func (w *Writer) openOn(b *page.Bore, list []*checks.Finding) {
	b.Worst = gradeMark(facts.Gravest(list))
	for i, f := range list {
		if i == openShown {
			b.Open = append(b.Open, page.Words("and ").Int(len(list)-i).Say(" more"))
			return
		}
		b.Open = append(b.Open, grade(f.Grade).Say(" ").Link(b.To, plainName(f.Check)))
	}
}

// bore is one cylinder of the plan.
func (w *Writer) bore(p logbook.Position) page.Bore {
	now := w.PresentIn(p)
	b := page.Bore{Cylinder: p.Cylinder, To: w.at.To(p), Empty: now.ServicePeriod == nil}
	w.openOn(&b, w.OpenOn(p))
	if b.Empty {
		return b
	}
	b.Valve = w.holder(now.ServicePeriod.Holder).Break().Then(w.nozzle(now.ServicePeriod.Nozzle))
	b.Ran = page.Words("hours not known")
	if now.RunKnown {
		b.Ran = page.In(page.Bold, page.Grouped(int(now.Run+0.5))).Say(" h")
	}
	left, known := now.Left()
	switch {
	case !known:
		b.Rest = page.Words("to go: not known")
	case left < 0:
		b.Rest = page.In(page.Bold, page.Hours(-left)+" over")
	default:
		b.Rest = page.Words(page.Hours(left) + " to go")
	}
	if as, by := w.leftAt(now.ServicePeriod); as != "" {
		b.Left = page.Words(strings.TrimSuffix(as+" as left, "+by, ", "))
	}
	if b.Known = known; known {
		b.Share = now.Run / max(now.Interval.Hours.Float(), 1)
	}
	for _, d := range w.DeferralsOn(now.ServicePeriod) {
		t := page.Words("deferral ").Link(w.at.File[d.Path], d.ID.Written)
		if w.Lacks(d) != "" {
			t = t.Say(", does not hold")
		}
		b.More = append(b.More, t)
	}
	return b
}
