package planning

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/checks/paper"
	"needlebook/logbook"
)

// promise is one line of the due list.
type dueLine struct {
	kind          string
	what, where   paper.Cell
	state, left   string
	at            logbook.Day // 0 where it has no day
	soonest, last logbook.Day
	always        bool // stands on the list however far off
	endless       bool // must have a day, and states none: it comes first
}

// day is the day by which a line is put in its order: without a rate the soonest, and last of all what has none.
func (x dueLine) day() logbook.Day {
	if d := cmp.Or(x.at, x.soonest); d != 0 || x.endless {
		return d
	}
	return math.MaxInt32
}

// noRate is the soonest day on which so many hours have run on an engine at no known rate: a day has 24 of them.
func (x *dueLine) noRate(today logbook.Day, left float64) {
	if x.at == 0 {
		x.soonest = today + logbook.Day(math.Floor(left/24))
		x.last = x.soonest
	}
}

// horizon is how far the list looks where no day is asked for: a year, so that it stays on one sheet.
const horizon = 365

// sheetLines is how many lines of rows stand on one A4 page in nine points, beside the heading and the notes.
const sheetLines = 45

// The letters that a column of the sheet holds in a line.
const (
	whatLetters  = 18
	whichLetters = 24
	whereLetters = 18
	nowLetters   = 22
)

// lines are how many lines a row takes on the sheet, about.
func (x *dueLine) lines() int {
	n := 1
	if x.soonest != x.last {
		n = 2 // from a day, to a day
	}
	for _, c := range []struct{ letters, room int }{{len(x.kind), whatLetters}, {len(x.what.Text), whichLetters},
		{len(x.where.Text), whereLetters}, {len(x.state), nowLetters}} {
		n = max(n, (c.letters+c.room-1)/c.room)
	}
	return n
}

// beyondSheet are how many rows of a list, the last, find no room on the sheet.
func beyondSheet(list []dueLine) int {
	room := sheetLines
	for i := range list {
		if room -= list[i].lines(); room < 0 {
			return len(list) - i
		}
	}
	return 0
}

// Due lists what is due when, what falls first at the top: valves, nozzle lives, calibrations, deferrals, trials,
// countersignatures, seals, tests in the spares rack and valves promised back from ashore. A day before leaves out
// what falls later even at the fastest rate; 0 looks a year ahead. The list keeps to one A4 page: what falls
// together stands together where there is much, and what falls last is counted only. all lists everything, each by
// itself.
func (p *Plan) Due(before logbook.Day, all bool) paper.Paper {
	list := slices.Concat(p.valves(), p.nozzles(), p.calibrations(), p.deferrals(), p.decisions(), p.countersignatures(),
		p.seals(), p.rack(), p.promisedBack())
	later := 0
	list = slices.DeleteFunc(list, func(x dueLine) bool {
		out := before != 0 && (x.at == 0 && !x.always || x.soonest >= before) || before == 0 && !all && !x.always &&
			x.soonest > p.today+horizon
		if out {
			later++
		}
		return out
	})
	slices.SortStableFunc(list, func(a, b dueLine) int {
		return cmp.Or(cmp.Compare(a.day(), b.day()), cmp.Compare(a.soonest, b.soonest), cmp.Compare(a.kind, b.kind))
	})
	cut := 0
	if !all && beyondSheet(list) > 0 {
		list = together(list)
		cut = beyondSheet(list)
	}
	out := paper.Paper{Name: "due", Title: "What is due on " + p.Book.Vessel.Called() + ", from " + p.on(),
		Lead: []string{p.rateText()}}
	t := paper.Table{Name: "due", Columns: []string{"due about", "between", "what", "which", "where", "now", "left"},
		Empty: "nothing by then, by what the book holds"}
	for _, x := range list[:len(list)-cut] {
		between := "–"
		switch {
		case x.soonest != x.last:
			between = x.soonest.String() + " to " + x.last.String()
		case x.at == 0 && x.soonest != 0:
			between = "not before " + x.soonest.String()
		}
		at, left := paper.Text(x.at.String()), paper.Text(dash(x.left))
		if x.at != 0 && x.at < p.today {
			at.Text += " past"
			at, left = at.Loudly(), left.Loudly()
		}
		t.Add(at, paper.Text(between), paper.Text(x.kind), x.what, x.where, paper.Text(x.state), left)
	}
	out.Tables = append(out.Tables, t)
	switch {
	case before != 0:
		out.Lead = append(out.Lead, "only what may fall before "+before.String()+", at the fastest rate of the months before")
	case later > 0:
		out.Notes = append(out.Notes, fmt.Sprintf("%d more fall later than a year from now", later))
	}
	if cut > 0 {
		out.Notes = append(out.Notes,
			fmt.Sprintf("from %s on %s left out, beyond one page: needlebook due --all lists all",
				list[len(list)-cut].at, logbook.Counted(cut, "row is", "rows are")))
	}
	if n := p.idle(); len(n) > 0 {
		out.Notes = append(out.Notes, "out of calibration and not used for a year, so not listed: "+strings.Join(n, ", "))
	}
	if n := p.uncalibrated(); len(n) > 0 {
		out.Notes = append(out.Notes, "used within a year, and no calibration is stated, so not listed: "+
			strings.Join(n, ", "))
	}
	out.Notes = append(out.Notes, "the maker's manual, class and the safety management system come before this list")
	return out
}

// together puts what is of one kind, falls on one day and stands alike into one row, in the order of the first of each.
func together(list []dueLine) []dueLine {
	type alike struct {
		kind, state, left string
		at, soonest, last logbook.Day
	}
	var order []alike
	of := map[alike][]dueLine{}
	for _, x := range list {
		k := alike{x.kind, x.state, x.left, x.at, x.soonest, x.last}
		if of[k] == nil {
			order = append(order, k)
		}
		of[k] = append(of[k], x)
	}
	all := make([]dueLine, 0, len(order))
	for _, k := range order {
		rows := of[k]
		x := rows[0]
		if len(rows) > 1 {
			x.what, x.where = joined(rows, func(x dueLine) paper.Cell { return x.what }),
				joined(rows, func(x dueLine) paper.Cell { return x.where })
		}
		all = append(all, x)
	}
	return all
}

// joined names what several rows name, each once: cylinders of one engine after its name, everything else by its own.
func joined(rows []dueLine, cell func(dueLine) paper.Cell) paper.Cell {
	var all []paper.Cell
	engine, cylinders := cell(rows[0]).About.Position.Engine, []string{}
	for _, x := range rows {
		c := cell(x)
		if c.About.Holder != "" {
			c.Text = c.About.Holder // its nozzle has a row of its own
		}
		if slices.ContainsFunc(all, func(other paper.Cell) bool { return other.Text == c.Text }) {
			continue
		}
		all = append(all, c)
		if at := c.About.Position; at.Engine == engine {
			cylinders = append(cylinders, at.Cylinder)
		}
	}
	switch {
	case len(all) == 1:
		return cell(rows[0])
	case engine != "" && len(cylinders) == len(all):
		return paper.Text(engine + "-" + strings.Join(cylinders, " "))
	}
	return paper.Several(all...)
}

func (p *Plan) valves() []dueLine {
	var all []dueLine
	for _, pos := range p.Book.Positions() {
		x := dueLine{kind: "valve", where: paper.At(pos), always: true}
		s := p.lives.At(pos, p.today)
		if s == nil {
			x.what, x.state = paper.Text("none fitted"), p.empty(pos)
			all = append(all, x)
			continue
		}
		x.what = paper.Cell{Text: s.Valve(), About: paper.About{Holder: s.Holder}}
		run, known := p.lives.HoursOn(s, p.today)
		i, stated := p.Book.IntervalOn(pos, p.today)
		switch {
		case !known:
			x.state = "hours not known"
		case !stated:
			x.state = hoursOf(run, true) + ", no interval stated"
			if a := p.Book.DoubtedInterval(pos, p.today); a.Valid() {
				x.state = hoursOf(run, true) + ", interval " + a.String() + " not believed"
			}
		default:
			left := i.Hours.Float() - run
			x.state, x.left = fmt.Sprintf("%.0f h of %s", run, i.Hours), leftText(left, "h")
			if i.Decision != nil {
				x.state += " (" + i.Decision.ID.Written + ")"
			}
			x.at, x.soonest, x.last = p.in(pos.Engine, left)
			x.noRate(p.today, left)
		}
		all = append(all, x)
	}
	return all
}

// empty says since when a position has no valve.
func (p *Plan) empty(pos logbook.Position) string {
	state := "none on record: state it under opening in book.md, or by a record"
	for _, s := range p.lives.InPosition(pos) {
		if s.To != 0 && s.To <= p.today {
			state = "empty since " + s.To.String() + ", when " + s.Holder + " came out"
		}
	}
	return state
}

// Soon says what is due within some days, at the fastest rate of the months before, or is past: a line each, what falls
// first at the top.
func (p *Plan) Soon(days logbook.Day) (lines []string) {
	list := slices.Concat(p.valves(), p.nozzles(), p.calibrations(), p.deferrals(), p.decisions(), p.seals(), p.rack(),
		p.promisedBack())
	slices.SortStableFunc(list, func(a, b dueLine) int {
		return cmp.Or(cmp.Compare(a.day(), b.day()), cmp.Compare(a.kind, b.kind))
	})
	for _, x := range list {
		if min(x.day(), cmp.Or(x.soonest, x.day())) > p.today+days {
			continue
		}
		left := x.left
		if left != "" && !strings.HasSuffix(left, " over") {
			left += " left"
		}
		lines = append(lines, strings.Join([]string{x.kind, x.what.Text, x.where.Text}, " ")+": "+
			logbook.Listed(left, x.state))
	}
	return lines
}

// InWork are the last records of the valves that came out of an engine and are neither built up, landed nor out of use:
// they lie on the bench.
func (p *Plan) InWork() (all []*logbook.Overhaul) {
	for _, holder := range p.lives.Holders() {
		benches := slices.DeleteFunc(slices.Clone(p.lives.Benches(holder)), func(o *logbook.Overhaul) bool {
			return o.Day() > p.today
		})
		if len(benches) == 0 {
			continue
		}
		o := benches[len(benches)-1]
		if _, gone := p.Book.EndBy("holder", holder, p.today); gone || !o.Removed.Stated() || o.AsLeft.Stated() ||
			o.Fitted.Stated() || o.Landed.Stated() || o.Decided.Holder.Is("condemn", "renew") {
			continue
		}
		all = append(all, o)
	}
	slices.SortStableFunc(all, func(a, b *logbook.Overhaul) int { return cmp.Compare(a.Day(), b.Day()) })
	return all
}

func (p *Plan) nozzles() []dueLine {
	var all []dueLine
	for _, a := range p.Ages() {
		if a.Position == (logbook.Position{}) || !a.Known || a.Life == 0 {
			continue
		}
		x := dueLine{kind: "nozzle life", what: paper.Nozzle(a.Nozzle), where: paper.At(a.Position),
			state: fmt.Sprintf("%.0f h of %.0f h", a.Hours, a.Life), left: leftText(a.Life-a.Hours, "h")}
		left := p.untilRenewed(a)
		x.at, x.soonest, x.last = p.in(a.Position.Engine, left)
		x.noRate(p.today, left)
		all = append(all, x)
	}
	return all
}

// untilRenewed is in how many hours a fitted nozzle is to be renewed: once its life is over, at the next overhaul of
// its valve, which is when it can be, and before the hours that it is never to run.
func (p *Plan) untilRenewed(a Age) float64 {
	left := a.Life - a.Hours
	interval, stated := p.Book.IntervalOn(a.Position, p.today)
	s := p.lives.At(a.Position, p.today)
	if left >= 0 || !stated || s == nil {
		return left
	}
	if run, known := p.lives.HoursOn(s, p.today); known {
		left = max(left, interval.Hours.Float()-run)
	}
	if a.Never != 0 {
		left = min(left, a.Never-a.Hours)
	}
	return left
}

// idle are instruments out of calibration that no record of the last year names: put away or sent back, as far as the
// book tells.
func (p *Plan) idle() []string {
	var all []string
	used := p.used()
	for _, id := range slices.Sorted(maps.Keys(p.Book.Instruments)) {
		if i := p.Book.Instruments[id]; i.Until.Day != 0 && i.Until.Day < p.today && !used[id] {
			all = append(all, id)
		}
	}
	return all
}

// uncalibrated are instruments in use of which the book states no calibration; a bench is no instrument that is sent to
// have one.
func (p *Plan) uncalibrated() []string {
	var all []string
	used := p.used()
	for _, id := range slices.Sorted(maps.Keys(p.Book.Instruments)) {
		if i := p.Book.Instruments[id]; i.Until.Day == 0 && used[id] && !i.Kind.Is("bench") {
			all = append(all, id)
		}
	}
	return all
}

func (p *Plan) calibrations() []dueLine {
	var all []dueLine
	idle := p.idle()
	for _, id := range slices.Sorted(maps.Keys(p.Book.Instruments)) {
		i := p.Book.Instruments[id]
		if i.Until.Day == 0 || slices.Contains(idle, id) {
			continue
		}
		all = append(all, p.onDay(dueLine{kind: "calibration", what: paper.Instrument(id),
			where: paper.Text(dash(i.Kind.Written)), state: "calibrated " + dash(i.Calibrated.Written)}, i.Until.Day))
	}
	return all
}

// leftText is what is left, or by how much it is over.
func leftText(left float64, unit string) string {
	if left < 0 {
		return fmt.Sprintf("%.0f %s over", -left, unit)
	}
	return fmt.Sprintf("%.0f %s", left, unit)
}

func (p *Plan) onDay(x dueLine, day logbook.Day) dueLine {
	x.at, x.soonest, x.last, x.left = day, day, day, leftText(float64(day.Days(p.today)), "d")
	return x
}

func (p *Plan) deferrals() []dueLine {
	var all []dueLine
	for _, d := range p.Book.Deferrals {
		lacks := p.Trail.Unapproved(d)
		if !d.Open(p.today) && (lacks == "" || d.Closed.Stated()) {
			continue
		}
		x := dueLine{kind: "deferral", what: paper.Placed(d.ID.Written, d.Opening),
			where: paper.Text(dash(strings.TrimSpace(d.Holder.Written + " " + d.Nozzle.Written))),
			state: "until " + d.End(), always: true}
		if d.End() == "" {
			x.endless, x.state = true, "states no end, so it does not hold"
		}
		if d.Until.Day != 0 {
			x = p.onDay(x, d.Until.Day)
		}
		if s := p.deferred(d); s != nil && d.Hours.Quantity.Valid() {
			x.where = paper.At(s.Position)
			run, known := p.lives.HoursSince(s, cmp.Or(d.From.Day, s.From), p.today)
			if left := d.Hours.Float() - run; known {
				at, soonest, last := p.in(s.Engine, left)
				x.state = fmt.Sprintf("%.0f h of %s", run, d.Hours)
				if d.Until.Day != 0 {
					x.state += ", until " + d.Until.Written
				}
				if at != 0 && (x.at == 0 || at < x.at) {
					x.at, x.soonest, x.last, x.left = at, soonest, last, leftText(left, "h")
				}
			}
		}
		if lacks != "" { // it lets nothing wait: its approver's word is due
			x = p.onDay(x, p.today)
			x.left, x.state = "", "does not hold"+p.allowedBy(d)+", "+x.state
		} else {
			x.state += p.allowedBy(d)
		}
		all = append(all, x)
	}
	return all
}

// allowedBy says who let a limit be exceeded, or what their word lacks.
func (p *Plan) allowedBy(d *logbook.Deferral) string {
	if lacks := p.Trail.Unapproved(d); lacks != "" {
		return ", it " + lacks
	}
	if !d.Approved.By.Stated() {
		return ", allowed by nobody on record"
	}
	return ", allowed by " + d.Approved.By.Written
}

// deferred is the stay that a deferral runs in today; nil where its part is not fitted.
func (p *Plan) deferred(d *logbook.Deferral) *logbook.ServicePeriod {
	nozzle, holder := d.Nozzle.Written, d.Holder.Written
	if o := p.Book.Overhaul(d.Record.Written); o != nil && nozzle == "" && holder == "" {
		nozzle, holder = o.Nozzle.Left.Written, o.Holder.Written
	}
	for _, periods := range [][]*logbook.ServicePeriod{p.lives.OfNozzle(nozzle), p.lives.OfHolder(holder)} {
		for _, s := range periods {
			if s.From <= p.today && (s.To == 0 || s.To > p.today) {
				return s
			}
		}
	}
	return nil
}

func (p *Plan) decisions() []dueLine {
	var all []dueLine
	for _, d := range p.Book.Decisions {
		if d.Date.Day > p.today || d.Closed.Stated() && (d.Closed.Date.Day == 0 || d.Closed.Date.Day <= p.today) {
			continue
		}
		where := paper.Text("all engines")
		if len(d.Engines.Each) > 0 {
			where = paper.Text(strings.Trim(list(d.Engines)+" cylinders "+list(d.Cylinders), " "))
			if len(d.Cylinders.Each) == 0 {
				where = paper.Text(list(d.Engines))
			}
		}
		if d.Until.Day != 0 {
			all = append(all, p.onDay(dueLine{kind: "end of " + d.Kind.Written, what: paper.Placed(d.ID.Written, d.Opening),
				where: where, state: dash(d.Interval.String())}, d.Until.Day))
		}
		if d.Review.Day != 0 && !p.superseded(d) {
			all = append(all, p.onDay(dueLine{kind: "review of " + d.Kind.Written, what: paper.Placed(d.ID.Written, d.Opening),
				where: where, state: dash(d.Interval.String())}, d.Review.Day))
		}
	}
	return all
}

// superseded says that a later decision of the kind covers the same engines and cylinders, so that the earlier review
// is answered.
func (p *Plan) superseded(d *logbook.Decision) bool {
	for _, l := range p.Book.Decisions {
		if l != d && l.Kind.Written == d.Kind.Written && l.Date.Day > d.Date.Day && l.Date.Day <= p.today &&
			list(l.Engines) == list(d.Engines) && list(l.Cylinders) == list(d.Cylinders) {
			return true
		}
	}
	return false
}

func list(s logbook.Serials) string {
	var all []string
	for _, x := range s.Each {
		all = append(all, x.Written)
	}
	return strings.Join(all, ", ")
}

// awaits says of each record that waits for a chief, what is missing. Only a history can tell.
func (p *Plan) awaits() (stems []string, why map[string]string) {
	why = map[string]string{}
	if !p.Trail.UnderGit {
		return nil, why
	}
	for _, o := range p.Book.Overhauls {
		t := p.Trail.Records[o.Path]
		if t == nil {
			continue
		}
		text := "never countersigned"
		for _, s := range t.Countersignatures {
			switch {
			case s.State == logbook.Refused:
				text = "refused by " + s.Person
			case s.State == logbook.ChangedSince:
				text = "changed since " + s.Person + " saw it"
			case s.State == logbook.Countersigned && len(s.Added) == 0:
				text = ""
			case s.State == logbook.Countersigned && text != "":
				text = "added to since " + s.Person + " saw it"
			}
			if text == "" {
				break
			}
		}
		if text != "" {
			stems, why[o.Stem] = append(stems, o.Stem), text
		}
	}
	return stems, why
}

// countersignatures are one line for each thing missing, so that the list stays on its sheet; the page of the relief
// names all.
func (p *Plan) countersignatures() []dueLine {
	stems, why := p.awaits()
	var order []string
	of := map[string][]string{}
	for _, s := range stems {
		kind, _, later := strings.Cut(why[s], " since")
		if later {
			kind += " since seen"
		}
		if of[kind] == nil {
			order = append(order, kind)
		}
		of[kind] = append(of[kind], s)
	}
	var all []dueLine
	for _, kind := range order {
		list := of[kind]
		named := strings.Join(list[max(0, len(list)-2):], ", ")
		if len(list) > 2 {
			named = fmt.Sprintf("%d, last %s", len(list), list[len(list)-1])
		}
		o := p.Book.Overhaul(list[0])
		day := o.Day() + logbook.Day(p.settings.CountersignWithin.Float())
		all = append(all, p.onDay(dueLine{kind: "countersignature", what: paper.Text(named), where: paper.Text("–"),
			state: kind, always: true}, day))
	}
	return all
}

// seals are those whose shelf life the record of a fitted or ready valve states, when it ends before the valve is due
// out.
func (p *Plan) seals() []dueLine {
	var all []dueLine
	add := func(o *logbook.Overhaul, where paper.Cell) {
		if o == nil || o.Assembled.Seals.UseBefore.Day == 0 {
			return
		}
		all = append(all, p.onDay(dueLine{kind: "shelf life of seals", what: paper.Record(o.Stem), where: where,
			state: dash(o.Assembled.Seals.PartNo.Written)}, o.Assembled.Seals.UseBefore.Day))
	}
	for _, pos := range p.Book.Positions() {
		if s := p.lives.At(pos, p.today); s != nil {
			add(s.Opened, paper.At(pos))
		}
	}
	for _, r := range p.lives.Rack(p.today) {
		add(r.Overhaul, paper.Text("rack "+dash(r.Place)))
	}
	return all
}

// promisedBack are the valves that were landed, by the days on which they are promised back.
func (p *Plan) promisedBack() []dueLine {
	var all []dueLine
	for _, a := range p.Book.Landed(p.today) {
		if a.Waits() && a.Landed.Promised.Day != 0 {
			all = append(all, p.onDay(dueLine{kind: "back from ashore", what: paper.Holder(a.Holder.Written),
				where: paper.Text(dash(a.Landed.To.Written)), always: true,
				state: "landed " + a.Since.String() + ", delivery note " + dash(a.Landed.Note.Written)}, a.Landed.Promised.Day))
		}
	}
	return all
}

func (p *Plan) rack() []dueLine {
	var all []dueLine
	for _, r := range p.Report.Spares {
		day, tested := r.Since+logbook.Day(p.settings.SpareTestAge.Float()),
			fmt.Sprintf("tested %s, %d d ago", r.Since, r.Age)
		switch {
		case r.Since == 0:
			day, tested = p.today, "not tested"
		case r.Overhaul == nil:
			tested = fmt.Sprintf("no test on record, on board since %s", r.Since)
		}
		all = append(all, p.onDay(dueLine{kind: "test in the spares rack", what: paper.Holder(r.Holder),
			where: paper.Text("spares rack " + dash(r.Place)), always: true,
			state: tested + ", " + r.State.Word()}, day))
	}
	return all
}
