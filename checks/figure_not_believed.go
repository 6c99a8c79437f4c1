package checks

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var figureNotBelieved = &Check{
	Name:    "figure-not-believed",
	Subject: OfRecord,
	Ends:    writing,
	Version: 6,
	Level:   Vessel,
	Doc: "A figure is far from what its column, its limits or its other half allow: a load of 582 %, an exhaust " +
		"temperature that its own deviation contradicts, a pcomp above the pmax, " +
		"a nozzle younger than its valve or older than its life, more silicon in the fuel than any standard allows, sixty " +
		"pieces of one serial, a setting of the book ten times its default or a tenth of it, a lower bound above its upper " +
		"one, a " +
		"test oil hotter than its thermometer reads or far from the rest of its round, " +
		"running data that are not those of the table for that day, a tag with another opening pressure than was left, " +
		"a place of the spares rack in which another valve is, where each is for one, a " +
		"pressure in the opening state that fits another unit or is no setting, a usual value of the limits beside which " +
		"most values are not possible. A digit too many or two cells exchanged " +
		"look like this, and trends and verdicts are worked out from them. Look at the sheet and correct the figure.",
	Source:  "our own rule; how far is the book's setting not_believed, near the setting near_usual",
	Example: `load_pct 582, the usual one is 81`,
	Grade:   Action,
	Whole: func(c *Case) {
		c.settingsFar()
		c.runFigures()
		c.tableFigures()
		for _, x := range c.Book.Vessel.Opening.Fitted {
			c.openingFigures(x)
		}
		for _, x := range c.Book.Vessel.Opening.Rack {
			c.spareAtStart(x)
		}
		for _, p := range c.Book.Parts {
			c.partFigures(p)
		}
		for _, d := range c.Book.Deferrals {
			c.deferralFigures(d)
		}
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			for _, e := range c.Book.Limits[name].Revisions {
				c.limitFigures(&e)
			}
		}
		for _, u := range c.impossibleUsuals() {
			c.Report(Finding{Place: u.at, Message: fmt.Sprintf("%s %s: %d of %d values are not possible beside it", u.name,
				u.usual, u.mistaken, u.values), Next: "copy it again from the manual: is the unit or the point wrong?"})
		}
		var loads []float64
		for _, o := range c.Book.Overhauls {
			for _, s := range []logbook.RunningData{o.AsFound.RunningBefore, o.RunningAfter} {
				if s.Load.Valid() {
					loads = append(loads, s.Load.Float())
				}
			}
		}
		load := usualAmong(c, loads)
		c.usualMinutes()
		c.runsUnlikeTable()
		c.tagPressures()
		c.placesTaken()
		missed := c.seatTimesMissed()
		for _, o := range c.Book.Overhauls {
			c.recordFigures(o, load, missed)
		}
	},
}

// seatTimesMissed reports the times of the seat test that most tests under them are far from, once each at the limit.
func (c *Case) seatTimesMissed() map[logbook.Place]bool {
	type held struct {
		limit    logbook.Amount
		all, far int
	}
	times := map[logbook.Place]*held{}
	for _, o := range c.Book.Overhauls {
		want := c.inForce(o, o.AsLeft.Date.Day, o.AsFound.Date.Day).Seat.For
		eachTest(o, func(_ string, t *logbook.Test) {
			if !want.Valid() || !t.Seat.For.Valid() {
				return
			}
			h := times[want.Place]
			if h == nil {
				h = &held{limit: want}
				times[want.Place] = h
			}
			if h.all++; c.far(t.Seat.For.Float(), want.Float()) {
				h.far++
			}
		})
	}
	missed := map[logbook.Place]bool{}
	for at, h := range times {
		if float64(h.all) > c.Settings.SetBaseline.Value && 2*h.far > h.all {
			missed[at] = true
			c.Report(Finding{Place: at, Message: fmt.Sprintf("time of the seat test %s: %d of %d tests are far from it",
				h.limit.Quantity, h.far, h.all), Next: "copy it again from the manual"})
		}
	}
	return missed
}

// far says that a value is out of all proportion to its usual one.
func (c *Case) far(v, usual float64) bool {
	times := c.Settings.NotBelieved.Float() / 100
	return usual > 0 && (v > usual*times || v < usual/times)
}

// notUsual reports a figure that is far from the usual one of its column.
func (c *Case) notUsual(n logbook.Number, usual float64) bool {
	if !n.Valid || !c.far(n.Value, usual) {
		return false
	}
	c.Report(Finding{Place: n.Place, Message: fmt.Sprintf("%s %s, the usual one is %s", n.Key, n.Written, trimmed(usual)),
		Next: "look at the sheet; correct the figure"})
	return true
}

func trimmed(v float64) string { return fmt.Sprintf("%.4g", v) }

// usualOf is the middle of the figures of a column; 0 where they are too few to tell.
func usualOf[T any](c *Case, rows []T, of func(T) logbook.Number) float64 {
	var all []float64
	for _, r := range rows {
		if n := of(r); n.Valid {
			all = append(all, n.Value)
		}
	}
	return usualAmong(c, all)
}

func usualAmong(c *Case, all []float64) float64 {
	if float64(len(all)) < c.Settings.SetBaseline.Value {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}

// runFigures looks at the running data: each figure against its column, each value against its own deviation, each
// cylinder once a day.
func (c *Case) runFigures() {
	runs := c.Book.Running
	load := usualOf(c, runs, func(r logbook.Run) logbook.Number { return r.Load })
	exhaust := usualOf(c, runs, func(r logbook.Run) logbook.Number { return r.Exhaust })
	pmax := usualOf(c, runs, func(r logbook.Run) logbook.Number { return r.Pmax })
	pcomp := usualOf(c, runs, func(r logbook.Run) logbook.Number { return r.Pcomp })
	near := c.Settings.NearUsual.Float() / 100
	colder := slices.IndexFunc(runs, func(r logbook.Run) bool {
		return r.Exhaust.Valid && r.Pmax.Valid && r.Exhaust.Value < r.Pmax.Value
	})
	// no exhaust is colder in degrees than its pmax is high in bar
	if exhaust > 0 && exhaust < pmax && colder >= 0 {
		first := runs[colder]
		c.Report(Finding{Place: first.Exhaust.Place, Message: fmt.Sprintf("%s %s is below %s %s, as in most lines",
			first.Exhaust.Key, first.Exhaust.Written, first.Pmax.Key, first.Pmax.Written),
			Related: []Related{{first.Pmax.Place, "pmax"}},
			Next:    "are the heads or the cells of the two columns exchanged?"})
		return
	}
	c.loads(runs, load)
	c.apartOnDay(runs)
	c.twiceOnDay(runs)
	c.referenceAlone(runs, func(r logbook.Run) (value, off logbook.Number) { return r.Exhaust, r.Dev })
	c.referenceAlone(runs, func(r logbook.Run) (value, off logbook.Number) { return r.Pmax, r.PmaxDev })
	c.referenceAlone(runs, func(r logbook.Run) (value, off logbook.Number) { return r.Pcomp, r.PcompDev })
	type cylinder struct {
		engine, name string
		day          logbook.Day
	}
	first := map[cylinder]logbook.Run{}
	for _, r := range runs {
		c.notUsual(r.Load, load)
		c.compressionAbove(r)
		for _, x := range []struct {
			value, off logbook.Number
			usual      float64
		}{{r.Exhaust, r.Dev, exhaust}, {r.Pmax, r.PmaxDev, pmax}, {r.Pcomp, r.PcompDev, pcomp}} {
			if c.notUsual(x.value, x.usual) || !x.value.Valid || x.usual == 0 {
				continue
			}
			reference := x.value.Value
			if x.off.Valid {
				reference -= x.off.Value
			}
			if math.Abs(reference-x.usual) > near*x.usual {
				c.Report(Finding{Place: x.value.Place,
					Message: fmt.Sprintf("%s %s with %s %s: its reference would be %s, the usual one is %s", x.value.Key,
						x.value.Written, x.off.Key, x.off.Written, trimmed(reference), trimmed(x.usual)),
					Related: []Related{{x.off.Place, "deviation"}}, Next: "look at the sheet; correct the wrong one of the two"})
			}
		}
		k := cylinder{r.Engine, r.Cylinder.Written, r.Date.Day}
		was, twice := first[k]
		if twice && r.Date.Day != 0 && k.name != "" && was.Load.Written == r.Load.Written &&
			(was.Exhaust.Written != r.Exhaust.Written || was.Pmax.Written != r.Pmax.Written) {
			c.Report(Finding{Place: r.Place, Grade: Advice,
				Message: fmt.Sprintf("cylinder %s has two lines on %s at the same load, with other figures", k.name,
					r.Date.Written),
				Related: []Related{{was.Place, "first line"}}, Next: "correct the cylinder or the date of one of them"})
		}
		first[k] = r
	}
}

// compressionAbove reports a compression pressure above the pmax of its line: burning adds to it.
func (c *Case) compressionAbove(r logbook.Run) {
	if !r.Pcomp.Valid || !r.Pmax.Valid || r.Pcomp.Value <= r.Pmax.Value {
		return
	}
	c.Report(Finding{Place: r.Pcomp.Place, Message: fmt.Sprintf("%s %s exceeds %s %s", r.Pcomp.Key, r.Pcomp.Written,
		r.Pmax.Key, r.Pmax.Written), Related: []Related{{r.Pmax.Place, "pmax"}},
		Next: "are the cells of the two columns exchanged?"})
}

// loads reports the first load above what any engine carries, and how many more are.
func (c *Case) loads(runs []logbook.Run, usual float64) {
	over := slices.DeleteFunc(slices.Clone(runs), func(r logbook.Run) bool {
		return !r.Load.Valid || r.Load.Value <= c.Settings.LoadMost.Float() || c.far(r.Load.Value, usual)
	})
	if len(over) == 0 {
		return
	}
	f := Finding{Place: over[0].Load.Place, Message: fmt.Sprintf("%s %s exceeds %.0f %%", over[0].Load.Key,
		over[0].Load.Written, c.Settings.LoadMost.Float()),
		Next: "look at the sheet; correct the figure, or the heads of the columns"}
	if more := len(over) - 1; more > 0 {
		f.Message += ", as in " + numbered(more, "line", "lines") + " more"
	}
	c.Report(f)
}

// apartOnDay holds what the value and the deviation of a cylinder give as its reference against the other cylinders at
// that load on the day.
func (c *Case) apartOnDay(runs []logbook.Run) {
	type sheet struct {
		engine, load string
		day          logbook.Day
	}
	sheets, order := map[sheet][]logbook.Run{}, []sheet{}
	for _, r := range runs {
		k := sheet{r.Engine, r.Load.Written, r.Date.Day}
		if len(sheets[k]) == 0 {
			order = append(order, k)
		}
		sheets[k] = append(sheets[k], r)
	}
	for _, k := range order {
		c.referenceApart(sheets[k], func(r logbook.Run) (value, off logbook.Number) { return r.Exhaust, r.Dev })
		c.referenceApart(sheets[k], func(r logbook.Run) (value, off logbook.Number) { return r.Pmax, r.PmaxDev })
		c.referenceApart(sheets[k], func(r logbook.Run) (value, off logbook.Number) { return r.Pcomp, r.PcompDev })
		c.fuelApart(sheets[k])
	}
}

// fuelApart reports the one cylinder of a day whose fuel is not that of all others, or whose fuel rack is out of all
// proportion to theirs: an engine has one fuel, and one shaft moves the racks.
func (c *Case) fuelApart(sheet []logbook.Run) {
	if float64(len(sheet)) < c.Settings.SetLeast.Value {
		return
	}
	fuels, racks := map[string]int{}, []float64{}
	for _, r := range sheet {
		fuels[r.Fuel.Written]++
		if r.FuelRack.Valid {
			racks = append(racks, r.FuelRack.Value)
		}
	}
	rack := 0.0
	if float64(len(racks)) >= c.Settings.SetLeast.Value {
		slices.Sort(racks)
		rack = racks[len(racks)/2]
	}
	for _, r := range sheet {
		c.notUsual(r.FuelRack, rack)
		if len(fuels) != 2 || fuels[r.Fuel.Written] != 1 || !r.Fuel.Stated() {
			continue
		}
		c.Report(Finding{Place: r.Fuel.Place, Grade: Advice, Message: fmt.Sprintf(
			"fuel %s of cylinder %s, the others of that day have another", r.Fuel.Written, r.Cylinder.Written),
			Next: "correct the cell: an engine runs on one fuel"})
	}
}

func (c *Case) referenceApart(sheet []logbook.Run, of func(logbook.Run) (value, off logbook.Number)) {
	var all []float64
	for _, r := range sheet {
		if value, off := of(r); value.Valid && off.Valid {
			all = append(all, value.Value-off.Value)
		}
	}
	slices.Sort(all)
	if float64(len(all)) < c.Settings.SetLeast.Value {
		return
	}
	usual := all[len(all)/2]
	most := c.Settings.NearDay.Float() / 100 * usual
	if all[len(all)-1]-all[0] > most && all[len(all)-2]-all[0] > most && all[len(all)-1]-all[1] > most {
		return // each has a reference of its own
	}
	for _, r := range sheet {
		value, off := of(r)
		if is := value.Value - off.Value; value.Valid && off.Valid && math.Abs(is-usual) > most &&
			math.Abs(is-usual) <= c.Settings.NearUsual.Float()/100*usual {
			c.Report(Finding{Place: value.Place, Grade: Advice,
				Message: fmt.Sprintf("%s %s with %s %s: reference %s, the other cylinders' on the day %s", value.Key, value.Written,
					off.Key, off.Written, trimmed(is), trimmed(usual)),
				Related: []Related{{off.Place, "deviation"}}, Next: "look at the sheet; correct the wrong one of the two"})
		}
	}
}

// referenceAlone asks about a line of a cylinder that has its sheet for itself, whose value and deviation give another
// reference than any other line of its engine: further from all of them than they are from one another.
func (c *Case) referenceAlone(runs []logbook.Run, of func(logbook.Run) (value, off logbook.Number)) {
	type line struct {
		reference float64
		run       logbook.Run
	}
	type sheet struct {
		engine, load string
		day          logbook.Day
	}
	engines, lines := map[string][]line{}, map[sheet]int{}
	for _, r := range runs {
		lines[sheet{r.Engine, r.Load.Written, r.Date.Day}]++
		if value, off := of(r); value.Valid && off.Valid {
			engines[r.Engine] = append(engines[r.Engine], line{value.Value - off.Value, r})
		}
	}
	for _, engine := range slices.Sorted(maps.Keys(engines)) {
		all := engines[engine]
		if float64(len(all)) < c.Settings.NormalOver.Value/2 {
			continue
		}
		slices.SortStableFunc(all, func(a, b line) int { return cmp.Compare(a.reference, b.reference) })
		last, usual := len(all)-1, all[len(all)/2].reference
		for _, x := range []struct {
			at        line
			low, high float64
		}{{all[0], all[1].reference, all[last].reference}, {all[last], all[0].reference, all[last-1].reference}} {
			gap := max(x.low-x.at.reference, x.at.reference-x.high)
			if gap <= max((x.high-x.low)*c.Settings.UnlikeTimes.Value, c.Settings.UnlikeLeast.Float()/100*usual) ||
				math.Abs(x.at.reference-usual) > c.Settings.NearUsual.Float()/100*usual ||
				float64(lines[sheet{engine, x.at.run.Load.Written, x.at.run.Date.Day}]) >= c.Settings.SetLeast.Value {
				continue // near enough, or told otherwise
			}
			value, off := of(x.at.run)
			c.Report(Finding{Place: value.Place, Grade: Advice, Related: []Related{{off.Place, "deviation"}},
				Message: fmt.Sprintf("%s %s with %s %s: reference %s, that of %s %s to %s", value.Key, value.Written,
					off.Key, off.Written, trimmed(x.at.reference), logbook.Counted(last, "other line"), trimmed(x.low),
					trimmed(x.high)),
				Next: "look at the sheet; correct the wrong one of the two"})
		}
	}
}

// twiceOnDay asks about the one line of a day at a load of its own, of a cylinder that has its line on that day's
// sheet: the day of another sheet was written. Where more were read at that load, they are a second sheet.
func (c *Case) twiceOnDay(runs []logbook.Run) {
	type sheet struct {
		engine, load string
		day          logbook.Day
	}
	of := func(r logbook.Run) sheet { return sheet{r.Engine, r.Load.Written, r.Date.Day} }
	lines := map[sheet]int{}
	type cylinder struct {
		engine, name string
		day          logbook.Day
	}
	sheets := map[cylinder][]logbook.Run{}
	for _, r := range runs {
		lines[of(r)]++
		k := cylinder{r.Engine, r.Cylinder.Written, r.Date.Day}
		sheets[k] = append(sheets[k], r)
	}
	for _, r := range runs {
		if lines[of(r)] > 1 || r.Date.Day == 0 || !r.Cylinder.Stated() {
			continue
		}
		for _, other := range sheets[cylinder{r.Engine, r.Cylinder.Written, r.Date.Day}] {
			if n := lines[of(other)]; float64(n) >= c.Settings.SetLeast.Value {
				c.Report(Finding{Place: r.Date.Place, Grade: Advice,
					Message: fmt.Sprintf("cylinder %s is at load %s on %s, and among the %s at load %s of that day", r.Cylinder,
						r.Load.Written, r.Date.Written, logbook.Counted(n, "line"), other.Load.Written),
					Related: []Related{{other.Place, "the line of that day"}}, Next: "correct the date or the load of the line"})
				break
			}
		}
	}
}

// tableFigures looks at figures that cannot be negative, or are too high.
func (c *Case) tableFigures() {
	never := func(n logbook.Number) {
		if n.Valid && n.Value < 0 {
			c.Report(Finding{Place: n.Place, Message: n.Key + " " + n.Written + " is negative",
				Next: "correct the sign or the figure"})
		}
	}
	for _, x := range c.Book.Bunkers {
		never(x.AlSi)
		never(x.Viscosity)
		for _, y := range []struct {
			is, most logbook.Number
		}{{x.AlSi, c.Settings.AlSiMost}, {x.Viscosity, c.Settings.ViscosityMost}} {
			if y.is.Valid && y.is.Value > y.most.Value {
				c.Report(Finding{Place: y.is.Place, Grade: Advice, About: About{Bunker: x.Stem.Written},
					Message: fmt.Sprintf("%s %s exceeds %s", y.is.Key, y.is.Written, trimmed(y.most.Value)),
					Next:    "look at the laboratory's sheet; are two figures exchanged?"})
			}
		}
	}
	for _, x := range c.Book.Bunkers {
		if distillate(x.Grade.Written) && x.Viscosity.Valid && x.Viscosity.Value > thickestDistillate {
			c.Report(Finding{Place: x.Viscosity.Place, Grade: Advice, About: About{Bunker: x.Stem.Written},
				Message: fmt.Sprintf("viscosity %s of %s: a distillate has at most %d mm²/s", x.Viscosity.Written,
					x.Grade.Written, thickestDistillate),
				Next: "look at the delivery note; correct the figure, its column or the grade"})
		}
	}
	if a := c.Book.Vessel.Accepts.FailedAsFound; a.Valid() && a.Float() > mostAccepted {
		c.Report(Finding{Place: a.Place, Message: "accepts " + a.Quantity.String() +
			" failed as found: most valves may be bad",
			Next: "correct the share: owners accept a few in a hundred"})
	}
	lead, price := map[string][]float64{}, map[string][]float64{} // by item: each comes from elsewhere
	for _, m := range c.Book.Stock {
		never(m.OnOrder)
		never(m.Price)
		never(m.LeadDays)
		if m.LeadDays.Valid {
			lead[m.Item.Written] = append(lead[m.Item.Written], m.LeadDays.Value)
		}
		if m.Price.Valid {
			price[m.Item.Written] = append(price[m.Item.Written], m.Price.Value)
		}
	}
	c.movements()
	for _, m := range c.Book.Stock {
		if m.LeadDays.Valid && m.LeadDays.Value >= 0 {
			c.notUsual(m.LeadDays, usualAmong(c, slices.Clone(lead[m.Item.Written])))
		}
		if m.Price.Valid && m.Price.Value > 0 {
			c.notUsual(m.Price, usualAmong(c, slices.Clone(price[m.Item.Written])))
		}
	}
}

// movements reports a serial of which more than one came or went, a number out of all proportion to every other of the
// table, and more used at once than the ship has cylinders, where no other use of the item is near it.
func (c *Case) movements() {
	var all []float64
	uses := map[string][]float64{}
	for _, m := range c.Book.Stock {
		if m.Change.Valid {
			all = append(all, math.Abs(m.Change.Value))
			uses[m.Item.Written] = append(uses[m.Item.Written], -m.Change.Value)
		}
	}
	again := c.cameAgain()
	slices.Sort(all)
	for _, u := range uses {
		slices.Sort(u)
	}
	for _, m := range c.Book.Stock {
		u := uses[m.Item.Written]
		f := Finding{Place: m.Change.Place, Grade: Advice, Next: "look at the paper; correct the figure"}
		switch n := math.Abs(m.Change.Value); {
		case !m.Change.Valid:
			continue
		case again[m.Change.Place]:
			f.Message = fmt.Sprintf("%s %s came into the stores again before it went out", m.Item.Written, m.Serial.Written)
			f.Next = "take one of the lines out, or write when it went out between"
		case m.Serial.Stated() && n > 1:
			f.Message = fmt.Sprintf("%s %s of %s %s: a serial is one", m.Change.Key, m.Change.Written, m.Item.Written,
				m.Serial.Written)
		case float64(len(all)) > c.Settings.SetBaseline.Value && n == all[len(all)-1] && c.far(n, all[len(all)-2]):
			f.Message = fmt.Sprintf("%s %s of %s, no other line has more than %s", m.Change.Key, m.Change.Written,
				m.Item.Written, trimmed(all[len(all)-2]))
		case m.Change.Value < 0 && n > float64(len(c.Book.Positions())) && float64(len(u)) > c.Settings.SetLeast.Value &&
			n == u[len(u)-1] && c.far(n, u[len(u)-2]):
			f.Message = fmt.Sprintf("%s %s of %s, no other use was over %s", m.Change.Key, m.Change.Written, m.Item.Written,
				trimmed(u[len(u)-2]))
		default:
			continue
		}
		c.Report(f)
	}
}

// cameAgain are the changes by which a serial came into the stores that was there.
func (c *Case) cameAgain() map[logbook.Place]bool {
	in, again := map[string]float64{}, map[logbook.Place]bool{}
	rows := slices.Clone(c.Book.Stock)
	slices.SortStableFunc(rows, func(a, b logbook.StockMove) int {
		return cmp.Or(cmp.Compare(a.Date.Day, b.Date.Day), cmp.Compare(a.Change.Value, b.Change.Value))
	})
	for _, m := range rows {
		if s := m.Serial; s.Stated() && !s.Unreadable() && m.Change.Valid && math.Abs(m.Change.Value) == 1 {
			in[s.Written] += m.Change.Value
			again[m.Change.Place] = in[s.Written] > 1
		}
	}
	return again
}

// unlike reports an amount that is far from its usual one, with what it may mean.
func (c *Case) unlike(name string, a logbook.Amount, usual measure.Quantity, ab About) {
	if !a.Valid() || !usual.Valid() || a.Kind() != usual.Kind() || !c.far(a.Float(), usual.Float()) {
		return
	}
	f := Finding{Place: a.Place, About: ab, Message: name + " " + a.Quantity.String() + " is far from the usual " +
		usual.String(), Next: "look at the sheet; correct the figure or the unit"}
	if meant := otherwise(c, a.Quantity, usual); len(meant) > 0 {
		f.Message, f.Evidence = name+" "+a.Quantity.String()+" is not possible; "+meant[0], otherMeanings(meant)
	}
	c.Report(f)
}

// openingFigures looks at the opening state of one position.
func (c *Case) openingFigures(x logbook.OpenFit) {
	ab := About{Position: logbook.Position{Engine: x.Engine.Written, Cylinder: x.Cylinder.Written},
		Holder: x.Holder.Written, Nozzle: x.Nozzle.Written}
	e := c.Book.LimitsOf(x.Engine.Written).OnFirst(c.Book.Vessel.Opening.Date.Day)
	c.unlike("opening pressure left", x.Left, middle(e.Opening.Used.Span), ab)
	c.settingAtStart(x.Left, e.Opening, ab)
	most := e.Interval.Float() * (1 + c.Settings.IntervalTolerance.Float()/100)
	if x.Since.Valid() && e.Interval.Valid() && x.Since.Float() > most && !x.SinceAboveCounter() {
		c.Report(Finding{Place: x.Since.Place, About: ab, Grade: Advice, Limit: c.limitAt(e.Interval.Leaf),
			Message: fmt.Sprintf("since %s exceeds the interval %s", x.Since.Quantity, e.Interval.Quantity),
			Next:    "look at the list of the opening state; was the valve overdue then?"})
	}
	c.nozzleAtStart(x.NozzleHours, e, ab)
	if x.Since.Valid() && !x.SinceAboveCounter() && x.NozzleHours.Valid() &&
		x.NozzleHours.Float()+c.Settings.CounterWithin.Float() < x.Since.Float() {
		c.Report(Finding{Place: x.NozzleHours.Place, About: ab, Grade: Advice,
			Message: fmt.Sprintf("nozzle_hours %s is less than since %s", x.NozzleHours.Written, x.Since.Written),
			Related: []Related{{x.Since.Place, "hours since the overhaul"}},
			Next:    "correct the wrong one; a nozzle is new only at an overhaul"})
	}
}

// spareAtStart looks at the opening state of one ready spare.
func (c *Case) spareAtStart(x logbook.StartSpare) {
	ab := About{Holder: x.Holder.Written, Nozzle: x.Nozzle.Written}
	e := c.Book.LimitsOfSpare(&x).OnFirst(c.Book.Vessel.Opening.Date.Day)
	c.unlike("opening pressure left", x.Left, middle(e.Opening.Used.Span), ab)
	c.settingAtStart(x.Left, e.Opening, ab)
	c.nozzleAtStart(x.NozzleHours, e, ab)
}

// nozzleAtStart asks about a nozzle that would have run beyond its life when the book began.
func (c *Case) nozzleAtStart(ran logbook.Amount, in *logbook.Revision, ab About) {
	life := in.NozzleLife.Renew
	most := life.Float() * (1 + c.Settings.IntervalTolerance.Float()/100)
	if ran.Valid() && life.Valid() && ran.Float() > most {
		c.Report(Finding{Place: ran.Place, About: ab, Grade: Advice, Limit: c.limitAt(life.Leaf),
			Message: fmt.Sprintf("nozzle_hours %s exceed the life of a nozzle, %s", ran.Quantity, life.Quantity),
			Next:    "look at the list of the starting state; was the nozzle overdue then?"})
	}
}

// settingAtStart asks about an opening pressure left that is a setting neither of used parts nor of new ones. Which
// of the two a valve had before the book began is not known.
func (c *Case) settingAtStart(left logbook.Amount, in logbook.OpeningLimits, ab About) {
	used, fresh := in.Used, in.New
	if !left.Valid() || !used.Low.Valid() || !used.High.Valid() || !fresh.Low.Valid() || !fresh.High.Valid() {
		return
	}
	within := func(b logbook.Band) bool {
		v, half := left.Float(), left.Step()/2+rounding
		return v >= b.Low.Float()-half && v <= b.High.Float()+half
	}
	if within(used) || within(fresh) || within(in.Reground) {
		return
	}
	if left.Kind() != used.Low.Kind() || c.far(left.Float(), used.Low.Float()) {
		return // another unit, and told as that
	}
	c.Report(Finding{Place: left.Place, About: ab, Grade: Advice, Limit: c.limitOf(used),
		Message: fmt.Sprintf("opening pressure left %s is no setting: used parts %s, new parts %s",
			left.Quantity, used, fresh),
		Next: "look at the list of the starting state; was it set to another figure then?"})
}

// limitFigures holds the halves of a limit against each other: a figure in another unit than its neighbour was copied
// with a slip.
func (c *Case) limitFigures(e *logbook.Revision) {
	for _, x := range []struct {
		name  string
		a     logbook.Amount
		usual measure.Quantity
		at    logbook.Place // of the usual value
	}{
		{"no-go wire", e.Holes.NoGo, e.Holes.Size.Quantity, e.Holes.Size.Place},
		{"largest seat diameter", e.SeatDia.Max, e.SeatDia.Nominal.Quantity, e.SeatDia.Nominal.Place},
		{"least length of the spring", e.Spring.Min, e.Spring.Length.Quantity, e.Spring.Length.Place},
		{"opening pressure to find the cause", e.Opening.AsFound.Cause, middle(e.Opening.Used.Span), e.Opening.Used.Place},
		{"opening pressure to take note", e.Opening.AsFound.Look, middle(e.Opening.Used.Span), e.Opening.Used.Place},
		{"hours never to run beyond", e.NozzleLife.Never, e.NozzleLife.Renew.Quantity, e.NozzleLife.Renew.Place},
		{"effective lift", e.Effective.Max, middle(e.Lift.New.Span), e.Lift.New.Place},
	} {
		if !c.statedAmiss(x.at) {
			c.unlike(x.name, x.a, x.usual, About{})
		}
	}
}

// partFigures looks at the lift on receipt of a new nozzle: one that is outside the band of new ones of any limits of
// the book is a slip.
func (c *Case) partFigures(p *logbook.Part) {
	if !p.Lift.Valid() || p.Used.Written == "yes" {
		return
	}
	var nearest logbook.Band
	for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
		band := c.Book.Limits[name].OnFirst(c.Today).Lift.New
		if !band.Low.Valid() || !band.High.Valid() || band.Low.Kind() != p.Lift.Kind() {
			continue
		}
		if v := p.Lift.Float(); v >= band.Low.Float()-rounding && v <= band.High.Float()+rounding {
			return
		}
		nearest = band
	}
	if !nearest.Low.Valid() {
		return
	}
	f := Finding{Place: p.Lift.Place, Grade: Advice, Limit: c.limitOf(nearest),
		Message: "lift on receipt " + p.Lift.Quantity.String() + " is outside the " + nearest.String() + " of new nozzles",
		Next:    "look at the paper it came with; if it is not new, write used: yes"}
	if meant := otherwise(c, p.Lift.Quantity, nearest.Low); len(meant) > 0 {
		f.Grade, f.Message, f.Next = Action, "lift on receipt "+p.Lift.Quantity.String()+" is not possible; "+meant[0],
			"write the true value with its unit"
	}
	c.Report(f)
}

// longestDeferral is how many days a deferral may be meant to last: two years, from memory.
const longestDeferral = 2 * 366

// deferralFigures asks about a deferral that ends after more hours than a nozzle may ever run, or after years.
func (c *Case) deferralFigures(d *logbook.Deferral) {
	a := About{Record: d.Record.Written, Holder: d.Holder.Written, Nozzle: d.Nozzle.Written}
	if from := cmp.Or(d.From.Day, d.Approved.Date.Day); from != 0 && d.Until.Day > from+longestDeferral {
		c.Report(Finding{Place: d.Until.Place, About: a, Next: "is the year right? a deferral lasts until parts come",
			Message: fmt.Sprintf("until %s: %.0f years after it began", d.Until.Written, float64(d.Until.Day-from)/365)})
	}
	o := c.Book.Overhaul(d.Record.Written)
	if o == nil || !d.Hours.Valid() {
		return
	}
	if most := c.inForce(o, d.From.Day, o.Day()).NozzleLife.Never; most.Valid() && d.Hours.Float() >= most.Float() {
		c.Report(Finding{Place: d.Hours.Place, About: a, Limit: c.limitAt(most.Leaf), Message: fmt.Sprintf(
			"hours %s of a deferral: no nozzle may run longer than %s in all", d.Hours.Quantity, most.Quantity),
			Next: "write the hours that were approved"})
	}
}

// thickestDistillate is the viscosity in mm²/s of the thickest distillate grade, DMB: ISO 8217 (at 40 °C; at 50 °C it
// is less).
const thickestDistillate = 11

// distillate says that a grade is called one.
func distillate(grade string) bool {
	grade = strings.ToLower(grade)
	return strings.Contains(grade, "gas oil") || strings.Contains(grade, "distillate")
}

// mostAccepted is the largest share of bad valves in percent that an owner can mean to accept: from memory.
const mostAccepted = 50

// takenApart are the fewest minutes in which a valve is stripped, measured and built up again: from memory.
const takenApart = 10

// usualMinutes reports a time of work that is many times the usual one, or longer than any.
func (c *Case) usualMinutes() {
	var all []float64
	for _, o := range c.Book.Overhauls {
		if o.Minutes.Valid {
			all = append(all, o.Minutes.Value)
		}
	}
	usual := usualAmong(c, all)
	for _, o := range c.Book.Overhauls {
		switch n := o.Minutes; {
		case n.Valid && c.far(n.Value/2, usual) && n.Value > usual: // work varies more than figures do
			c.notUsual(n, usual)
		case n.Valid && c.far(n.Value*4, usual) && n.Value < usual: // a valve that was tested alone takes less
			c.notUsual(n, usual)
		case n.Valid && n.Value > 0 && n.Value < takenApart && o.Measured.Lift.Value.Valid() &&
			o.Assembled.NozzleNut.Torque.Valid():
			c.Report(Finding{Place: n.Place, About: about(o), Grade: Advice, Message: fmt.Sprintf(
				"minutes %s: the valve was stripped, measured and built up again", n.Written),
				Next: "look at the sheet: is a digit missing?"})
		case n.Valid && n.Value > c.Settings.MinutesMost.Value:
			c.Report(Finding{Place: n.Place, About: about(o), Grade: Advice, Message: fmt.Sprintf("minutes %s, limit %s",
				n.Written, c.Settings.MinutesMost.Written), Next: "write the minutes of work on this one valve"})
		}
	}
}

// recordFigures looks at figures of a record that no verdict weighs; load is the usual one.
func (c *Case) recordFigures(o *logbook.Overhaul, load float64, missed map[logbook.Place]bool) {
	e := c.inForce(o, o.AsLeft.Date.Day, o.AsFound.Date.Day)
	ab := about(o)
	say := func(l logbook.Leaf, words string) {
		c.Report(Finding{Place: l.Place, About: ab, Message: l.Key + " " + l.Written + " " + words,
			Next: "look at the sheet; correct the figure"})
	}
	if n := o.Minutes; n.Valid && n.Value <= 0 {
		say(n.Leaf, "is no time")
	}
	if a := o.Measured.FaceContact.Value; a.Valid() && (a.Float() < 0 || a.Float() > 100) {
		say(a.Leaf, "is not between 0 and 100 %")
	}
	if a := o.Measured.FaceContact.Value; a.Valid() && a.Float() > 0 && a.Float() <= 1 {
		say(a.Leaf, "is next to nothing: is it a share of 1, as spreadsheets write it?")
	}
	eachTest(o, func(state string, t *logbook.Test) {
		if words := c.oilCannotBe(o, t, state); words != "" {
			c.Report(Finding{Place: t.Oil.Place, About: ab, Message: words,
				Next: "look at the sheet; correct the figure or its unit"})
		}
		l := t.LeakDown
		if l.From.Valid() && l.To.Valid() && l.Time.Valid() && l.From.Kind() == l.To.Kind() &&
			l.From.Compare(l.To.Quantity) < 0 {
			c.Report(Finding{Place: l.From.Place, About: ab, Grade: Advice,
				Message: fmt.Sprintf("leak-down %s falls from %s to %s: the two are exchanged", state, l.From.Quantity,
					l.To.Quantity), Next: fmt.Sprintf("type from: %s, to: %s; the time stays", l.To.Quantity, l.From.Quantity)})
		}
		if open := t.Opening.Median(); !mistaken(c, o)[open.Place] && t.Seat.At.Valid() {
			c.unlike("pressure of the seat test "+state, t.Seat.At, open.Quantity, ab)
		}
	})
	for _, t := range []logbook.Test{o.AsFound, o.AsLeft} {
		if open := t.Opening.Median(); !mistaken(c, o)[open.Place] {
			c.unlike("pressure that leak-down begins at", t.LeakDown.From, open.Quantity, ab)
		}
		if e.Seat.For.Valid() && !missed[e.Seat.For.Place] {
			c.unlike("time of the seat test", t.Seat.For, e.Seat.For.Quantity, ab)
		}
	}
	for i := range o.Tries {
		if try, left := o.Tries[i].LeakDown.Time, o.AsLeft.LeakDown.Time; try.Valid() && left.Valid() &&
			try.Float() > 10*left.Float() {
			c.unlike("time of the leak-down of a try", try, left.Quantity, ab)
		}
	}
	for _, x := range []struct {
		is  logbook.Number
		may logbook.Number
	}{{o.Assembled.NozzleNut.Steps, e.NozzleNut.Steps}, {o.AsLeft.EndCap.Steps, e.EndCap.Steps},
		{o.Fitted.ClampNuts.Steps, e.ClampNuts.Steps}, {o.Fitted.PipeNut.Steps, e.PipeNut.Steps}} {
		if x.is.Valid && x.may.Valid && x.is.Value > x.may.Value {
			c.Report(Finding{Place: x.is.Place, Grade: Note, About: ab, Limit: c.limitAt(x.may.Leaf),
				Message: x.is.Key + " " + x.is.Written + " is more than the " + x.may.Written + " of the limits",
				Next:    "were there so many? if not, correct the figure"})
		}
	}
	for _, s := range []logbook.RunningData{o.AsFound.RunningBefore, o.RunningAfter} {
		if p := s.Pmax; p.Valid() && math.Abs(p.Float()) > c.Settings.PmaxMost.Float() {
			say(p.Leaf, "is more than any valve makes")
		}
		if e := s.Exhaust; e.Valid() && math.Abs(e.Float()) > c.Settings.ExhaustMost.Float() {
			say(e.Leaf, "is more than any valve makes")
		}
		if s.Load.Valid() && c.far(s.Load.Float(), load) {
			say(s.Load.Leaf, "is far from the usual "+trimmed(load)+" %")
		}
	}
}

// farFromDefault is how many times its default, or which part of it, a setting is asked about: a digit too many, a
// point moved. From memory.
const farFromDefault = 10

// settingsFar asks about settings of the book that are far from their defaults, and about a lower bound above its upper
// one.
func (c *Case) settingsFar() {
	for _, pair := range c.Book.Vessel.Settings.Reversed() {
		low, high := pair[0], pair[1]
		c.Report(Finding{Place: low.Leaf.Place, Related: []Related{{high.Leaf.Place, high.Key}},
			Message: fmt.Sprintf("setting %s %s is above %s %s: exchanged?", low.Key, low.Leaf.Written, high.Key,
				high.Leaf.Written), Next: "write the lower one under " + low.Key + "; until then both have their defaults"})
	}
	type setting struct {
		leaf  *logbook.Leaf
		value float64
	}
	all := func(s *logbook.Settings) map[string]setting {
		by := map[string]setting{}
		logbook.Says(s, func(x logbook.Said) {
			switch v := x.Value.(type) {
			case *logbook.Amount:
				if v.Valid() {
					by[x.Key] = setting{&v.Leaf, v.Float()}
				}
			case *logbook.Number:
				if v.Valid {
					by[x.Key] = setting{&v.Leaf, v.Value}
				}
			}
		})
		return by
	}
	usual := logbook.Settings{}.WithDefaults()
	stated, defaults := all(&c.Book.Vessel.Settings), all(&usual)
	for _, key := range slices.Sorted(maps.Keys(stated)) {
		s, d := stated[key], defaults[key]
		if s.value <= 0 || d.value <= 0 ||
			s.value < farFromDefault*d.value-rounding && s.value*farFromDefault > d.value+rounding {
			continue
		}
		c.Report(Finding{Place: s.leaf.Place, Grade: Advice,
			Message: fmt.Sprintf("setting %s %s is far from its default, %s", key, s.leaf.Written, d.leaf.Written),
			Next:    "is a digit or a point wrong? where it is meant so, answer it"})
	}
}

// runsUnlikeTable holds the deviations in the records against the table of running data: the line of that day, cylinder
// and load. It asks where nearly all others of the book are the same in both.
func (c *Case) runsUnlikeTable() {
	type line struct {
		engine, cylinder string
		day              logbook.Day
		load             float64
	}
	lines := map[line]logbook.Run{}
	for _, r := range c.Book.Running {
		lines[line{r.Engine, r.Cylinder.Written, r.Date.Day, r.Load.Value}] = r
	}
	var unlike []Finding
	same := 0
	compare := func(o *logbook.Overhaul, s *logbook.RunningData, engine, cylinder logbook.Serial) {
		r, noted := lines[line{engine.Written, cylinder.Written, s.Date.Day, s.Load.Float()}]
		if !noted || s.Date.Day == 0 || !s.Load.Valid() {
			return
		}
		for _, x := range []struct {
			is logbook.Amount
			as logbook.Number
		}{{s.Exhaust, r.Dev}, {s.Pmax, r.PmaxDev}} {
			switch apart := math.Abs(x.is.Float() - x.as.Value); {
			case !x.is.Valid() || !x.as.Valid:
			case apart <= 1: // rounded otherwise
				same++
			default:
				unlike = append(unlike, Finding{Place: x.is.Place, Grade: Advice, About: about(o),
					Message: fmt.Sprintf("%s %s, %s of that day has %s", keyInWords(x.is.Key),
						x.is.Written, x.as.Place.Path, x.as.Written),
					Related: []Related{{x.as.Place, "the line of that day"}}, Next: "correct the wrong one of the two"})
			}
		}
	}
	for _, o := range c.Book.Overhauls {
		compare(o, &o.AsFound.RunningBefore, o.Removed.Engine, o.Removed.Cylinder)
		compare(o, &o.RunningAfter, o.Fitted.Engine, o.Fitted.Cylinder)
	}
	c.unlikeTheBook(unlike, same)
}
