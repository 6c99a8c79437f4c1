package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

// approvedWithin is how many days lie at most between the approval of a deferral and its first day: from memory.
const approvedWithin = 14

var dateOutOfPlace = &Check{
	Name:    "date-out-of-place",
	Subject: OfRecord,
	Ends:    writing,
	Version: 4,
	Level:   Vessel,
	Doc: "A date does not fit those around it: a bunker in use before it was received or while another was, running " +
		"data on a day on which no bunker was in use or long after the last counter reading of the engine, " +
		"a last reading long after all else of the book, whose counter did not run so long, " +
		"days of a table of hours that begin anew, a crew list with neither chief nor second engineer, " +
		"a stay that ends before it begins or lasts over a year, two chief engineers for months or none, a line of a table " +
		"out of the order of its neighbours, running data of a cylinder from before the valve was in it or long before " +
		"it came out, " +
		"a part received on one day and in the stores on another, " +
		"long before the book or after its last reading, a valve stored, or running data noted, long after the " +
		"work, seals good for decades, a calibration that holds " +
		"before its own day or for many years. " +
		"A wrong year in January is the commonest slip of the pen, a line lost the next; fuel, stores and persons are then " +
		"looked up on days they were not there. Compare with the lines around: correct the date, or enter the line.",
	Source: "our own rule; one chief engineer and one second engineer: STCW regulation III/2; a stay: Maritime Labour " +
		"Convention 2006, standard A2.5.1; both from memory",
	Example: `in_use_from 2004-11-09 is 63 days after in_use_to 2004-09-07`,
	Grade:   Action,
	Whole: func(c *Case) {
		c.bunkerDates()
		var received []logbook.Date
		for _, x := range c.Book.Bunkers {
			received = append(received, x.Received)
		}
		c.inOrder(received, 0)
		c.bunkersCover()
		c.readingsEnd()
		c.readingsAhead()
		c.readingsGoBack()
		c.runsBegin()
		for _, d := range c.Book.Deferrals {
			a := About{Record: d.Record.Written, Holder: d.Holder.Written, Nozzle: d.Nozzle.Written}
			c.follows(d.Until, d.From, a)
			c.follows(d.Closed.Date, d.From, a)
			if off := d.From.Day.Days(d.Approved.Date.Day); d.From.Day != 0 && d.Approved.Date.Day != 0 &&
				(off > approvedWithin || off < -approvedWithin) {
				c.Report(Finding{Place: d.Approved.Date.Place, About: a, Grade: Advice, Message: fmt.Sprintf(
					"approved %s, in force from %s", d.Approved.Date.Written, d.From.Written),
					Related: []Related{{d.From.Place, "first day"}}, Next: "correct the wrong one of the two"})
			}
		}
		for _, x := range c.Book.Vessel.Stopped {
			c.follows(x.To, x.From, About{})
		}
		c.crewDates()
		c.tooLong()
		var stock []logbook.Date
		for _, m := range c.Book.Stock {
			stock = append(stock, m.Date)
		}
		c.inOrder(stock, logbook.Day(c.Settings.LateEntry.Float()))
		runs := map[string][]logbook.Date{}
		for _, r := range c.Book.Running {
			runs[r.Engine] = append(runs[r.Engine], r.Date)
		}
		for _, engine := range slices.Sorted(maps.Keys(runs)) {
			c.inOrder(runs[engine], 0)
		}
		c.partDates()
		for _, o := range c.Book.Overhauls {
			c.signDates(o)
			c.workDates(o)
		}
		for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
			c.calibrationDates(c.Book.Instruments[id])
		}
		c.openingDate()
	},
}

// follows asks that one date is not before another.
func (c *Case) follows(later, earlier logbook.Date, a About) bool {
	if later.Day == 0 || earlier.Day == 0 || later.Day >= earlier.Day {
		return true
	}
	c.Report(Finding{Place: later.Place, About: a, Message: fmt.Sprintf("%s %s is %s before %s %s", later.Key,
		later.Written, daysText(earlier.Day.Days(later.Day)), earlier.Key, earlier.Written),
		Related: []Related{{earlier.Place, earlier.Key}}, Next: "correct the wrong one of the two"})
	return false
}

// bunkerDates asks that each bunker is received, then used, and that one follows the other.
func (c *Case) bunkerDates() {
	for i, x := range c.Book.Bunkers {
		a := About{Bunker: x.Stem.Written}
		if off := x.From.Day.Days(x.Received.Day); x.From.Day != 0 && x.Received.Day != 0 &&
			float64(off) > c.Settings.BunkerWaits.Float() {
			c.Report(Finding{Place: x.Received.Place, Grade: Advice, About: a, Message: fmt.Sprintf("%s %s is %s before %s %s",
				x.Received.Key, x.Received.Written, daysText(off), x.From.Key, x.From.Written),
				Related: []Related{{x.From.Place, x.From.Key}}, Next: "is the month right? correct the wrong one of the two"})
		}
		if !c.follows(x.From, x.Received, a) || !c.follows(x.To, x.From, a) || i == 0 {
			continue
		}
		before := c.Book.Bunkers[i-1]
		if before.To.Day != 0 && before.To.Day < before.From.Day {
			continue // said of that line
		}
		if before.To.Day == 0 || x.From.Day == 0 || before.From.Day == 0 {
			if before.To.Day == 0 && before.From.Day != 0 && x.From.Day != 0 && before.Grade.Written == x.Grade.Written {
				c.Report(Finding{Place: before.Place, Grade: Advice, About: About{Bunker: before.Stem.Written},
					Message: fmt.Sprintf("in_use_to is missing; %s is in use from %s", x.Stem.Written, x.From.Written),
					Related: []Related{{x.From.Place, "the next bunker"}}, Next: "write its last day in use"})
			}
			continue
		}
		f := Finding{Place: x.From.Place, Grade: Advice, About: a,
			Related: []Related{{before.To.Place, "last day of the bunker before"}},
			Next:    "correct the wrong date, or enter the bunker between"}
		switch apart := x.From.Day.Days(before.To.Day); {
		case apart < 0:
			f.Message = fmt.Sprintf("in_use_from %s: %s was in use until %s", x.From.Written, before.Stem.Written,
				before.To.Written)
			c.Report(f)
		case float64(apart) > c.Settings.HandoverWithin.Float():
			f.Message = fmt.Sprintf("in_use_from %s: no bunker was in use since %s", x.From.Written, before.To.Written)
			c.Report(f)
		}
	}
}

// bunkersCover asks that a bunker was in use on each day of running data, before the first bunker and after the last
// once each. Where the running data begin long before the first, the table of bunkers was begun later.
func (c *Case) bunkersCover() {
	if len(c.Book.Bunkers) == 0 {
		return
	}
	first, last, longest := c.Book.Bunkers[0], c.Book.Bunkers[0], 0
	for _, x := range c.Book.Bunkers {
		if x.From.Day == 0 {
			return // said by row-incomplete
		}
		longest = max(longest, x.To.Day.Days(x.From.Day))
		if x.From.Day < first.From.Day {
			first = x
		}
		if x.From.Day >= last.From.Day {
			last = x
		}
	}
	slack := logbook.Day(c.Settings.HandoverWithin.Float())
	var before, after logbook.Date
	for _, d := range c.fuelDates() {
		if d.Day != 0 && d.Day < first.From.Day-slack && (before.Day == 0 || d.Day < before.Day) {
			before = d
		}
		if last.To.Day >= last.From.Day && d.Day > last.To.Day+slack && (after.Day == 0 || d.Day < after.Day) {
			after = d
		}
	}
	const next = "enter the bunker that was in use, or correct the date"
	if off := first.From.Day.Days(before.Day); before.Day != 0 && (longest == 0 || off <= 2*longest) {
		c.Report(Finding{Place: first.From.Place, Grade: Advice, About: About{Bunker: first.Stem.Written},
			Message: fmt.Sprintf("no bunker was in use before %s; running data begin on %s", first.From.Written, before.Written),
			Related: []Related{{before.Place, "first running data"}}, Next: next})
	}
	if after.Day != 0 && after.Day <= c.Book.Until() {
		c.Report(Finding{Place: last.To.Place, Grade: Advice, About: About{Bunker: last.Stem.Written},
			Message: fmt.Sprintf("no bunker was in use since %s; running data of %s", last.To.Written, after.Written),
			Related: []Related{{after.Place, "running data"}}, Next: next})
	}
}

// fuelDates are the days on which running data were noted, in the tables and in the records.
func (c *Case) fuelDates() []logbook.Date {
	var all []logbook.Date
	for _, r := range c.Book.Running {
		all = append(all, r.Date)
	}
	for _, o := range c.Book.Overhauls {
		for _, s := range []logbook.RunningData{o.AsFound.RunningBefore, o.RunningAfter} {
			if s.Fuel.Stated() {
				all = append(all, s.Date)
			}
		}
	}
	return all
}

// readingsEnd asks that the counter of an engine is read as long as its running data are noted, its valves overhauled
// and other counters read.
func (c *Case) readingsEnd() {
	last, what := map[string]logbook.Date{}, map[string]string{}
	note := func(engine string, d logbook.Date, words string) {
		if d.Day > last[engine].Day && d.Day <= c.Book.Until() {
			last[engine], what[engine] = d, words
		}
	}
	ran := map[string]bool{}
	late := func(engine string) bool { // and the day is later than a reading may be; a record has a reading of its own
		rows := c.Book.Hours[engine]
		if len(rows) == 0 || rows[len(rows)-1].Date.Day == 0 || last[engine].Day == 0 {
			return false
		}
		end := rows[len(rows)-1].Date.Day
		off := last[engine].Day.Days(end) - stoppedDays(c.Book, engine, end, last[engine].Day)
		most := c.Settings.ReadingGap.Float()
		if ran[engine] {
			most = c.Settings.RateOver.Float()
		}
		return off > 2*usualGap(rows) && float64(off) > most
	}
	for _, r := range c.Book.Running {
		note(r.Engine, r.Date, "its running data go on until")
		ran[r.Engine] = true
	}
	for _, engine := range slices.Sorted(maps.Keys(ran)) {
		if !late(engine) {
			delete(ran, engine)
		}
	}
	for _, o := range c.Book.Overhauls {
		if !ran[o.Removed.Engine.Written] {
			note(o.Removed.Engine.Written, o.Removed.Date, "a valve came out on")
		}
		if !ran[o.Fitted.Engine.Written] {
			note(o.Fitted.Engine.Written, o.Fitted.Date, "a valve was fitted on")
		}
	}
	for engine := range c.Book.Hours {
		if late(engine) {
			continue
		}
		for _, other := range slices.Sorted(maps.Keys(c.Book.Hours)) {
			if rows := c.Book.Hours[other]; len(rows) > 0 && other != engine {
				note(engine, rows[len(rows)-1].Date, "that of "+other+" was read on")
			}
		}
	}
	for _, engine := range slices.Sorted(maps.Keys(last)) {
		if late(engine) {
			rows, on := c.Book.Hours[engine], last[engine]
			end := rows[len(rows)-1].Date
			c.Report(Finding{Place: end.Place, Grade: Advice, Message: fmt.Sprintf("last counter reading of %s %s: %s %s",
				engine, end.Written, what[engine], on.Written),
				Related: []Related{{on.Place, "the later day"}}, Next: "enter the counter readings since, or correct the date"})
		}
	}
}

// readingsAhead asks about the last reading of an engine that is long after all else of the book, the readings of
// another engine among it, and whose counter has not run half as long as the days say: the month is a slip, and the day
// of the book goes with it.
func (c *Case) readingsAhead() {
	for _, engine := range slices.Sorted(maps.Keys(c.Book.Hours)) {
		rows := c.Book.Hours[engine]
		n := len(rows) - 1
		if float64(n) < c.Settings.SetBaseline.Value {
			continue
		}
		last, before, first := rows[n], rows[n-1], rows[max(0, n-int(c.Settings.NormalOver.Value))]
		days, usual := last.Date.Day.Days(before.Date.Day), usualGap(rows[:n])
		rate := (before.Counter.Value - first.Counter.Value) / float64(before.Date.Day.Days(first.Date.Day))
		ran := last.Counter.Value - before.Counter.Value
		if days <= 2*usual || !last.Counter.Valid || !before.Counter.Valid || !(rate > 0) || ran < 0 ||
			2*ran > rate*float64(days) {
			continue
		}
		if end, other := c.allElse(engine); other && last.Date.Day.Days(end) > 2*usual {
			c.Report(Finding{Place: last.Date.Place, Grade: Advice,
				Message:  fmt.Sprintf("last reading of %s %s: all else of the book ends %s", engine, last.Date.Written, end),
				Evidence: []string{fmt.Sprintf("%.0f h in %s, %.1f h a day before", ran, daysText(days), rate)},
				Related:  []Related{{before.Date.Place, "the reading before"}},
				Next:     "is the month right? correct the date, or enter what came since"})
		}
	}
}

// allElse is the last day of all that is in the book beside the readings of one engine; other says that another engine
// is read.
func (c *Case) allElse(engine string) (last logbook.Day, other bool) {
	note := func(all ...logbook.Date) {
		for _, d := range all {
			last = max(last, d.Day)
		}
	}
	for e, rows := range c.Book.Hours {
		if e != engine && len(rows) > 0 {
			note(rows[len(rows)-1].Date)
			other = true
		}
	}
	for _, r := range c.Book.Running {
		note(r.Date)
	}
	for _, s := range c.Book.Crew {
		note(s.From)
	}
	for _, m := range c.Book.Stock {
		note(m.Date)
	}
	for _, o := range c.Book.Overhauls {
		note(o.Removed.Date, o.Received.Date, o.AsFound.Date, o.AsLeft.Date, o.Stored.Date, o.Fitted.Date)
	}
	return last, other
}

// usualGap is the middle of the days between readings.
func usualGap(rows []logbook.Reading) int {
	var gaps []int
	for i := 1; i < len(rows); i++ {
		gaps = append(gaps, rows[i].Date.Day.Days(rows[i-1].Date.Day))
	}
	if len(gaps) == 0 {
		return 0
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}

// readingsGoBack reports where the days of a table of hours begin anew while its counter goes on: a year was not
// counted on from there.
func (c *Case) readingsGoBack() {
	for _, engine := range slices.Sorted(maps.Keys(c.Book.Hours)) {
		rows := slices.DeleteFunc(slices.Clone(c.Book.Hours[engine]), func(r logbook.Reading) bool {
			return r.Date.Day == 0 || !r.Counter.Valid
		})
		slices.SortStableFunc(rows, func(a, b logbook.Reading) int { return a.Place.Line - b.Place.Line })
		for i := 1; i+1 < len(rows); i++ {
			above, back, next := rows[i-1], rows[i], rows[i+1]
			if back.Date.Day < above.Date.Day && next.Date.Day < above.Date.Day && back.Date.Day < next.Date.Day &&
				back.Counter.Value > above.Counter.Value && next.Counter.Value > back.Counter.Value {
				c.Report(Finding{Place: back.Date.Place,
					Message: fmt.Sprintf("the days of %s go back from %s to %s, the counter on from %s to %s", engine,
						above.Date.Written, back.Date.Written, above.Counter.Written, back.Counter.Written),
					Related: []Related{{above.Date.Place, "the line above"}}, Next: "is the year right from there on?"})
				break
			}
		}
	}
}

// ranksKnown reports a crew list with neither a chief nor a second engineer: what they may do and must answer is looked
// for under these words. One person, or the superintendent alone, makes no crew.
func (c *Case) ranksKnown() {
	persons := map[string]bool{}
	for _, x := range c.Book.Crew {
		if !x.Rank.Stated() || held(x.Rank.Written) {
			return
		}
		if !strings.Contains(x.Rank.Written, "superintendent") {
			persons[x.ID.Written] = true
		}
	}
	if len(persons) < 2 {
		return
	}
	c.Report(Finding{Place: c.Book.Crew[0].Rank.Place, Grade: Advice,
		Message: "no person of crew.csv is chief engineer or second engineer",
		Next:    "write the ranks in full: chief engineer, second engineer"})
}

// runsBegin reports the first line of running data from before the book begins, where most lines are from after that.
func (c *Case) runsBegin() {
	open := c.Book.Vessel.Opening.Date
	before := map[string][]logbook.Run{}
	all := map[string]int{}
	for _, r := range c.Book.Running {
		if all[r.Engine]++; r.Date.Day != 0 && r.Date.Day < open.Day {
			before[r.Engine] = append(before[r.Engine], r)
		}
	}
	for _, engine := range slices.Sorted(maps.Keys(before)) {
		if early := before[engine]; 2*len(early) < all[engine] {
			c.Report(Finding{Place: early[0].Date.Place, Grade: Advice,
				Message: fmt.Sprintf("running data of %s from %s is from before the book begins, %s", engine,
					early[0].Date.Written, open.Written),
				Related: []Related{{open.Place, "first day of the book"}}, Next: "is the year or the month right?"})
		}
	}
}

// crewDates asks that a stay ends after it begins, that nobody has two at once, and that a rank held by one at a time
// is.
func (c *Case) crewDates() {
	ranks, people := map[string][]*logbook.CrewPeriod{}, map[string][]*logbook.CrewPeriod{}
	for i := range c.Book.Crew {
		x := &c.Book.Crew[i]
		if c.follows(x.To, x.From, About{Person: x.ID.Written}) && x.From.Day != 0 {
			ranks[x.Rank.Written] = append(ranks[x.Rank.Written], x)
			people[x.ID.Written] = append(people[x.ID.Written], x)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(people)) {
		periods := byFirstDay(people[id])
		for i := 1; i < len(periods); i++ {
			if was, is := periods[i-1], periods[i]; was.To.Day != 0 && is.From.Day < was.To.Day {
				c.Report(Finding{Place: is.From.Place, About: About{Person: id},
					Message: fmt.Sprintf("%s joins on %s, and is aboard until %s already", id, is.From.Written, was.To.Written),
					Related: []Related{{was.To.Place, "end of that stay"}}, Next: "correct the wrong date, or take the line out"})
			}
		}
	}
	c.crewOrder()
	c.ranksKnown()
	for _, rank := range slices.Sorted(maps.Keys(ranks)) {
		c.oneAtATime(rank, byFirstDay(ranks[rank]))
	}
}

// crewOrder reports the one stay that is listed below a later one of its rank, where the list is in order otherwise.
func (c *Case) crewOrder() {
	above := map[string]logbook.CrewPeriod{}
	var back []Finding
	steps := 0
	for _, x := range c.Book.Crew {
		was, known := above[x.Rank.Written]
		above[x.Rank.Written] = x
		if !known || x.From.Day == 0 || was.From.Day == 0 || x.ID.Written == was.ID.Written {
			continue // of one person, crewDates says it
		}
		if steps++; x.From.Day < was.From.Day {
			back = append(back, Finding{Place: x.From.Place, origin: &logbook.Problem{}, Grade: Advice,
				About: About{Person: x.ID.Written},
				Message: fmt.Sprintf("%s %s from %s is below %s from %s: out of order", x.Rank.Written, x.ID.Written,
					x.From.Written, was.ID.Written, was.From.Written),
				Related: []Related{{was.From.Place, "the line above of that rank"}},
				Next:    "correct the wrong rank or date, or put the line where it belongs"})
		}
	}
	if len(back) == 1 && steps > 1 {
		c.Report(back[0])
	}
}

func byFirstDay(periods []*logbook.CrewPeriod) []*logbook.CrewPeriod {
	slices.SortStableFunc(periods, func(a, b *logbook.CrewPeriod) int { return int(a.From.Day - b.From.Day) })
	return periods
}

// held says that a ship has one person of a rank at a time, and always one.
func held(rank string) bool {
	rank = strings.ToLower(rank)
	return strings.Contains(rank, "chief engineer") || strings.Contains(rank, "second engineer")
}

// oneAtATime looks at a rank whose stays join in most places, and reports where they do not; of a rank that is always
// held, every place where it was not, or two were aboard for longer than a handover takes.
func (c *Case) oneAtATime(rank string, periods []*logbook.CrewPeriod) {
	within, open := int(c.Settings.HandoverWithin.Float()), int(c.Settings.RankOpen.Float())
	var apart, far []int
	for i := 1; i < len(periods); i++ {
		if periods[i-1].To.Day == 0 {
			if !held(rank) {
				return
			}
			c.noEnd(rank, periods[i-1], periods[i])
			continue
		}
		off := periods[i].From.Day.Days(periods[i-1].To.Day)
		if off < -within || off > within {
			apart = append(apart, i)
		}
		if off < -open || off > open {
			far = append(far, i)
		}
	}
	words := "; the other stays join"
	if float64(len(periods)) <= c.Settings.SetLeast.Value || 2*len(apart) >= len(periods) {
		if !held(rank) {
			return // a rank of which several are aboard, or that is not always filled
		}
		apart, words = far, ""
	}
	_, pages := ranksWithPages(c.Book)
	for _, i := range apart {
		was, is := periods[i-1], periods[i]
		first, asked := pages[strings.ToLower(rank)]
		if asked && is.From.Day > was.To.Day && is.From.Day >= first && is.ID.Written != was.ID.Written {
			continue // said by handover-missing
		}
		message := fmt.Sprintf("no %s from %s to %s", rank, was.To.Written, is.From.Written)
		if is.From.Day < was.To.Day {
			message = fmt.Sprintf("two of rank %s from %s to %s", rank, is.From.Written, was.To.Written)
		}
		c.Report(Finding{Place: is.From.Place, Grade: Advice, About: About{Person: is.ID.Written}, Message: message + words,
			Related: []Related{{was.To.Place, "end of the stay before"}},
			Next:    "correct the wrong date, or enter who was aboard"})
	}
}

// noEnd reports a stay without a last day where somebody else took over a rank that one has at a time.
func (c *Case) noEnd(rank string, was, is *logbook.CrewPeriod) {
	if was.ID.Written != is.ID.Written {
		c.Report(Finding{Place: was.Place, Grade: Advice, About: About{Person: was.ID.Written},
			Message: fmt.Sprintf("to is missing; %s is %s from %s", is.ID.Written, rank, is.From.Written),
			Related: []Related{{is.From.Place, "the next stay"}},
			Next:    "write the last day, or correct the rank or the date"})
	}
}

// tooLong reports the stay of an engineer that lasts longer than anybody is kept aboard, on a ship whose service
// periods are short.
func (c *Case) tooLong() {
	longest := c.Settings.PeriodLongest.Float()
	short, long := 0, 0
	for _, x := range c.Book.Crew {
		if x.To.Day == 0 || x.From.Day == 0 {
			continue
		}
		if days := float64(x.To.Day.Days(x.From.Day)); days > longest {
			long++
		} else if 2*days <= longest {
			short++
		}
	}
	if long > 1 && short < long {
		return // who is employed for years, and not who is aboard; one alone is a wrong year
	}
	for _, x := range c.Book.Crew {
		days := x.To.Day.Days(x.From.Day)
		if strings.Contains(strings.ToLower(x.Rank.Written), "engineer") && x.To.Day != 0 && x.From.Day != 0 && days >= 0 &&
			float64(days) < c.Settings.StayShortest.Float() {
			c.Report(Finding{Place: x.From.Place, Grade: Advice, About: About{Person: x.ID.Written},
				Message: fmt.Sprintf("%s aboard from %s to %s: %s", x.ID.Written, x.From.Written, x.To.Written, daysText(days)),
				Next:    "correct the wrong month, or take the line out"})
		}
		if x.To.Day == 0 || x.From.Day == 0 || float64(days) <= longest ||
			!strings.Contains(strings.ToLower(x.Rank.Written), "engineer") {
			continue
		}
		c.Report(Finding{Place: x.From.Place, Grade: Advice, About: About{Person: x.ID.Written},
			Message: fmt.Sprintf("%s aboard from %s to %s: %s, limit %.0f d", x.ID.Written, x.From.Written, x.To.Written,
				daysText(days), longest),
			Next: "correct the wrong year, or enter each stay on a line of its own"})
	}
}

// inOrder reports, at each step back in a column of dates, the one of the two that does not fit between its neighbours.
func (c *Case) inOrder(dates []logbook.Date, slack logbook.Day) {
	dates = slices.DeleteFunc(slices.Clone(dates), func(d logbook.Date) bool { return d.Day == 0 })
	const next = "is the year or the month right? correct the date, or put the line where it belongs"
	told := -1
	for i, d := range dates {
		if i+1 < len(dates) && d.Day > dates[i+1].Day+slack && i != told {
			odd, beside := dates[i+1], d
			told = i + 1
			if tooLate(dates, i, slack) {
				odd, beside, told = d, dates[i+1], i
			}
			c.Report(Finding{Place: odd.Place, origin: &logbook.Problem{},
				Message: fmt.Sprintf("%s %s stands beside %s: out of order", odd.Key, odd.Written,
					beside.Written), Related: []Related{{beside.Place, "the line beside"}}, Next: next})
		}
	}
}

// tooLate says of a step back behind i that it is i that is wrong: what is before fits what comes after, and the next
// but one does not stand beyond it.
func tooLate(dates []logbook.Date, i int, slack logbook.Day) bool {
	fits := i == 0 || dates[i-1].Day <= dates[i+1].Day+slack
	if i+2 == len(dates) {
		return fits && i > 0
	}
	return fits && dates[i+2].Day+slack < dates[i].Day
}

// partDates asks that a part was received before it ended.
func (c *Case) partDates() {
	taken, first := c.takenIn()
	for _, p := range c.Book.Parts {
		c.follows(p.Scrapped.Date, p.Received, About{})
		c.follows(p.Condemned.Date, p.Received, About{})
		c.receivedTwice(p, taken[p.Serial.Written], first)
	}
	c.receivedOutside()
}

// receivedOutside asks about parts that came long before the book begins, or so long after its last counter reading
// that others would have been taken since; the latter once for all.
func (c *Case) receivedOutside() {
	open, most := c.Book.Vessel.Opening.Date, c.readBy()
	var late []*logbook.Part
	for _, p := range c.Book.Parts {
		r := p.Received
		if r.Day > most && r.Day <= c.Book.Until() {
			late = append(late, p)
		}
		if off := open.Day.Days(r.Day); r.Day != 0 && open.Day != 0 && float64(off) > c.Settings.PartOldest.Float() {
			c.Report(Finding{Place: r.Place, Grade: Advice, About: About{Nozzle: p.Serial.Written},
				Message: fmt.Sprintf("%s received %s, %.0f years before the book begins", p.Serial, r.Written,
					float64(off)/365.25),
				Related: []Related{{open.Place, "first day of the book"}}, Next: "is the year right? correct the date"})
		}
	}
	if len(late) == 0 {
		return
	}
	f := Finding{Place: late[0].Received.Place, Grade: Advice, About: About{Nozzle: late[0].Serial.Written},
		Message: fmt.Sprintf("%s received %s: the last counter reading is of %s", late[0].Serial, late[0].Received.Written,
			c.Book.Today()), Next: "enter the counter readings since, or correct the date"}
	for _, p := range late[1:] {
		f.Related = append(f.Related, Related{p.Received.Place, "another part"})
	}
	c.Report(f)
}

// readBy is the day by which a counter of the ship would have been read again.
func (c *Case) readBy() logbook.Day {
	by := c.Book.Until()
	for engine, rows := range c.Book.Hours {
		if len(rows) > 1 {
			wait := max(2*usualGap(rows), int(c.Settings.RateOver.Float()))
			by = min(by, c.Today+logbook.Day(wait+stoppedDays(c.Book, engine, c.Today, c.Book.Until())))
		}
	}
	return by
}

// takenIn is where the stores first took each serial in, and the first day of the stores.
func (c *Case) takenIn() (map[string]logbook.StockMove, logbook.Day) {
	taken, stock := map[string]logbook.StockMove{}, c.Book.StockByDay()
	for _, m := range stock {
		if _, known := taken[m.Serial.Written]; !known && m.Serial.Stated() && m.Change.Value > 0 && m.Date.Day != 0 {
			taken[m.Serial.Written] = m
		}
	}
	if len(stock) == 0 {
		return taken, 0
	}
	return taken, stock[0].Date.Day
}

// receivedTwice asks that the stores first took a part in when its own file says that it came; what was there before
// the stores were counted for the first time came earlier.
func (c *Case) receivedTwice(p *logbook.Part, taken logbook.StockMove, first logbook.Day) {
	if p.Received.Day == 0 || taken.Date.Day == 0 {
		return
	}
	off := taken.Date.Day.Days(p.Received.Day)
	if float64(max(off, -off)) <= c.Settings.StoredWithin.Float() || taken.Date.Day == first && off > 0 {
		return
	}
	c.Report(Finding{Place: p.Received.Place, Grade: Advice, About: About{Nozzle: p.Serial.Written},
		Message: fmt.Sprintf("%s received %s, taken into the stores %s, %s apart", p.Serial, p.Received.Written,
			taken.Date.Written, daysText(max(off, -off))), Related: []Related{{taken.Date.Place, "the line of the stores"}},
		Next: "correct the wrong date"})
}

// calibrationDates asks that a calibration holds for a time that one may hold for.
func (c *Case) calibrationDates(i *logbook.Instrument) {
	a := About{Instrument: i.ID.Written}
	if !c.follows(i.Until, i.Calibrated, a) || i.Until.Day == 0 || i.Calibrated.Day == 0 {
		return
	}
	holds := float64(i.Until.Day.Days(i.Calibrated.Day))
	if holds > c.Settings.CalibrationMost.Float() || holds < c.Settings.CalibrationLeast.Float() {
		c.Report(Finding{Place: i.Until.Place, Grade: Advice, About: a,
			Message: fmt.Sprintf("calibration of %s holds from %s to %s, %s", i.ID.Written, i.Calibrated.Written,
				i.Until.Written, daysText(int(holds))),
			Related: []Related{{i.Calibrated.Place, "day of the calibration"}}, Next: "copy both days from the certificate"})
	}
}

// signDates asks that the running data of a cylinder are of the valve that came out, or of the one that went in.
func (c *Case) signDates(o *logbook.Overhaul) {
	before, after := o.AsFound.RunningBefore.Date, o.RunningAfter.Date
	if before.Day != 0 && o.Removed.Date.Day != 0 {
		if before.Day > o.Removed.Date.Day {
			c.follows(o.Removed.Date, before, about(o))
		} else if s := c.Lives.ClosedBy(o); s != nil && s.From != 0 && before.Day < s.From {
			c.Report(Finding{Place: before.Place, About: about(o),
				Message: fmt.Sprintf("%s %s is before the valve was fitted on %s", before.Key, before.Written, s.From),
				Next:    "is the year or the month right? correct the date"})
		} else if off := o.Removed.Date.Day.Days(before.Day); float64(off) > c.Settings.SignsBefore.Float() {
			c.Report(Finding{Place: before.Place, Grade: Advice, About: about(o),
				Message: fmt.Sprintf("%s %s is %s before the valve came out", before.Key, before.Written, daysText(off)),
				Related: []Related{{o.Removed.Date.Place, "removed"}},
				Next:    "is the month right? correct the date, or write the last ones before removal"})
		}
	}
	if after.Day != 0 && o.Fitted.Date.Day != 0 {
		if !c.follows(after, o.Fitted.Date, about(o)) {
			return
		}
		last := max(c.Today, o.Fitted.Date.Day) + logbook.Day(c.Settings.LateEntry.Float())
		if s := c.Lives.OpenedBy(o); s != nil && s.To != 0 {
			last = s.To
		}
		if c.Today != 0 && after.Day > last {
			c.Report(Finding{Place: after.Place, About: about(o),
				Message: fmt.Sprintf("%s %s is after the valve came out, or after the day of the book, %s", after.Key,
					after.Written, last), Next: "is the year or the month right? correct the date"})
			return
		}
		c.soonAfter(o, after, o.Fitted.Date, "the valve was fitted", c.Settings.SignsBefore.Float())
	}
}

// soonAfter asks that one day of a record follows another within some days.
func (c *Case) soonAfter(o *logbook.Overhaul, later, earlier logbook.Date, was string, most float64) {
	if off := later.Day.Days(earlier.Day); later.Day != 0 && earlier.Day != 0 && float64(off) > most {
		c.Report(Finding{Place: later.Place, Grade: Advice, About: about(o), Message: fmt.Sprintf("%s %s is %s after %s",
			later.Key, later.Written, daysText(off), was), Related: []Related{{earlier.Place, was}},
			Next: "is the month right? correct the date"})
	}
}

// workDates asks that a valve is stored soon after its test, or fitted, and that its seals are good for a time that
// seals are.
func (c *Case) workDates(o *logbook.Overhaul) {
	left, most := firstDate(o.Received.Opened.Date, o.Received.Date, o.AsLeft.Date), c.Settings.StoredWithin.Float()
	c.soonAfter(o, o.Stored.Date, left, "its test as left", most)
	if off := o.Fitted.Date.Day.Days(left.Day); !o.Stored.Present() && left.Day != 0 && o.Fitted.Date.Day != 0 &&
		float64(off) > most {
		c.Report(Finding{Place: o.Fitted.Date.Place, Grade: Advice, About: about(o),
			Message: fmt.Sprintf("fitted %s, %s after its test as left, and stored is missing", o.Fitted.Date.Written,
				daysText(off)), Related: []Related{{left.Place, "tested"}},
			Next: "correct the wrong date, or write where the valve was: stored"})
	}
	good := o.Assembled.Seals.UseBefore
	if off := good.Day.Days(left.Day); good.Day != 0 && left.Day != 0 && float64(off) > c.Settings.SealsMost.Float() {
		c.Report(Finding{Place: good.Place, Grade: Advice, About: about(o),
			Message: fmt.Sprintf("%s %s is %.0f years after the build", good.Key, good.Written, float64(off)/365.25),
			Next:    "is the year right? copy it from the bag"})
	}
}

// openingDate asks that the book begins when its counters do.
func (c *Case) openingDate() {
	open := c.Book.Vessel.Opening.Date
	if open.Day == 0 {
		return
	}
	for _, engine := range slices.Sorted(maps.Keys(c.Book.Hours)) {
		if rows := c.Book.Hours[engine]; len(rows) > 0 && rows[0].Date.Day != 0 {
			if off := rows[0].Date.Day.Days(open.Day); float64(max(off, -off)) > c.Settings.LateEntry.Float() {
				c.Report(Finding{Place: open.Place, Grade: Advice,
					Message: fmt.Sprintf("%s %s is %s from the first counter reading of %s, %s", open.Key, open.Written,
						daysText(max(off, -off)), engine, rows[0].Date.Written),
					Related: []Related{{rows[0].Date.Place, "first counter reading"}}, Next: "correct the wrong date"})
			}
		}
	}
}
