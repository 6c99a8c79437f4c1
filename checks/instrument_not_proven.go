package checks

import (
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

var instrumentNotProven = &Check{
	Name:    "instrument-not-proven",
	Subject: OfInstrument,
	Ends:    instrumentProved,
	Version: 2,
	Level:   Record,
	Doc: "A value was taken with an instrument that the book does not know, that is of a kind which cannot do " +
		"that work (a gauge for a lift, a magnifier for a spring), whose calibration had run out, or that was never " +
		"calibrated nor compared; or no instrument " +
		"is named. The value is kept, but a value within its limit then proves nothing. Compare the instrument with a good " +
		"one, enter the result in its file, or correct its name.",
	Source:  "common practice, no source",
	Example: `calibration of PG-02 ran out on 2022-02-28, before the test of 2022-03-16`,
	Each: func(c *Case, o *logbook.Overhaul) {
		seen := map[[2]string]bool{} // name and what it can be: a gauge named as the bench is another question
		for _, u := range instrumentsUsed(o) {
			once := [2]string{u.serial.Written, strings.Join(u.kinds, ", ")}
			theirs := c.Book.ByCertificate(o, u.serial.Key, u.serial.Written) != ""
			if !u.serial.Stated() || seen[once] || theirs {
				continue
			}
			seen[once] = true
			if f, amiss := unproven(c, o.Stem, u); amiss {
				f.About = about(o)
				f.About.Instrument = u.serial.Written
				c.Report(f)
			}
		}
		var nameless []string
		var first logbook.Place
		for t := range o.Taken() {
			theirs := c.Book.ByCertificate(o, t.Amount.Key, t.With.Written) != ""
			if !t.Asks || t.With.Present() || theirs || slices.Contains(nameless, t.Name) {
				continue
			}
			if nameless == nil {
				first = t.Amount.Place
			}
			nameless = append(nameless, t.Name)
		}
		if nameless != nil {
			c.Report(Finding{Place: first, Message: "no instrument named for: " + strings.Join(nameless, ", "), Grade: Advice,
				About: about(o), Lacks: "instruments", Next: "name the gauge, so that its error can be counted in"})
		}
	},
	Grade: Action,
}

type instrumentUsed struct {
	serial *logbook.Serial
	day    logbook.Day
	work   string
	kinds  []string // of instrument that can do that work
}

// What each work can be done with; from memory. A lift and the wear of a holder are depths of some hundredths, a
// spring is longer than a lens sees, and a seat of some millimetres is a line that no feeler meets.
var (
	withBench   = []string{"bench"}
	withGauge   = []string{"gauge", "sensor"}
	withSensor  = []string{"sensor"}
	withWrench  = []string{"torque wrench"}
	withDepth   = []string{"dial gauge", "depth gauge", "micrometer"}
	withLens    = []string{"magnifier", "calliper", "micrometer"}
	withWatch   = []string{"stopwatch"}
	withMercury = []string{"thermometer"}
	withJaws    = []string{"calliper", "micrometer", "depth gauge", "dial gauge"}
)

// instrumentsUsed lists the instruments that a record names, with the day they were used, in the order of the bench.
func instrumentsUsed(o *logbook.Overhaul) []instrumentUsed {
	found, left := firstDate(o.AsFound.Date, o.Removed.Date, o.AsLeft.Date).Day,
		firstDate(o.AsLeft.Date, o.Stored.Date, o.Fitted.Date, o.Removed.Date).Day
	m, fitted := &o.Measured, o.Fitted.Date.Day
	used := make([]instrumentUsed, 0, 24)
	for _, x := range []struct {
		l   *logbook.LeakDown
		day logbook.Day
	}{{&o.AsFound.LeakDown, found}, {&o.AsLeft.LeakDown, left}} {
		used = append(used, instrumentUsed{&x.l.Gauge, x.day, "leak-down", withGauge},
			instrumentUsed{&x.l.Watch, x.day, "leak-down", withWatch},
			instrumentUsed{&x.l.Thermometer, x.day, "leak-down", withMercury})
	}
	for i := range o.Logs {
		day := left
		if o.Logs[i].Test.Is("as found") {
			day = found
		}
		used = append(used, instrumentUsed{&o.Logs[i].With, day, "log", withSensor})
	}
	return append(used, []instrumentUsed{
		{&o.Received.Opened.Bench, o.Received.Opened.Date.Day, "test", withBench},
		{&o.Received.Opened.Gauge, o.Received.Opened.Date.Day, "test", withGauge},
		{&o.AsFound.Bench, found, "test", withBench}, {&o.AsFound.Gauge, found, "test", withGauge},
		{&m.Lift.With, found, "measuring", withDepth}, {&m.HolderWear.With, found, "measuring", withDepth},
		{&m.Effective.With, found, "measuring", withDepth}, {&m.Lift.AgainWith, found, "measuring", withDepth},
		{&m.HolderWear.AgainWith, found, "measuring", withDepth}, {&m.SeatDiameter.AgainWith, found, "measuring", withLens},
		{&m.SeatDiameter.With, found, "measuring", withLens}, {&m.SeatBand.With, found, "measuring", withLens},
		{&m.SpringLength.With, found, "measuring", withJaws},
		{&o.Assembled.NozzleNut.Wrench, left, "tightening", withWrench}, {&o.AsLeft.Bench, left, "test", withBench},
		{&o.AsLeft.Gauge, left, "test", withGauge}, {&o.AsLeft.EndCap.Wrench, left, "tightening", withWrench},
		{&o.Fitted.ClampNuts.Wrench, fitted, "tightening", withWrench},
		{&o.Fitted.PipeNut.Wrench, fitted, "tightening", withWrench},
	}...)
}

func unproven(c *Case, record string, u instrumentUsed) (f Finding, amiss bool) {
	f.Place = u.serial.Place
	i := c.Book.Instruments[u.serial.Written]
	if i == nil {
		f.Message = "instrument " + u.serial.Written + " is not in the book"
		f.Rests.Words, f.says, f.name = f.Message, noSuchInstrument, u.serial.Written
		file := "instruments/" + logbook.FileName(u.serial.Written) + ".md"
		known := slices.Sorted(maps.Keys(c.Book.Instruments))
		switch near := logbook.Nearest(u.serial.Written, known); {
		case near != "":
			f.Message += ": perhaps " + near
			f.offer(typed(u.serial.Leaf, near), ", or add "+file)
		case len(known) > 0:
			f.Next = "correct its name, or add " + file + "; known: " + strings.Join(known, ", ")
		default:
			f.Next = "add " + file
		}
		return f, true
	}
	f.Related = []Related{{i.Opening, "the instrument"}}
	f.Next = "compare it with a good one and enter the result in its file; until then a value within its limit " +
		"proves nothing"
	switch {
	case i.Kind.Stated() && !i.Kind.Is(u.kinds...):
		f.Subject = Subject{OfRecord, record}
		f.Message = u.serial.Key + " names " + u.serial.Written + ", which is a " + i.Kind.Written
		f.Related = []Related{{i.Kind.Place, "kind of " + u.serial.Written}}
		f.Rests = Rests{Place: i.Kind.Place, Words: u.serial.Written + ", a " + i.Kind.Written}
		f.Next = "name the instrument that was used, or correct its kind"
		return f, true
	case c.ranOut(i, u.day) != 0:
		until := c.ranOut(i, u.day).String()
		f.Message = "calibration of " + u.serial.Written + " ran out on " + until + ", before the " + u.work +
			" of " + u.day.String()
		f.Rests = Rests{Place: i.Until.Place, Words: "calibration of " + u.serial.Written + " until " + until}
		return f, true
	case !i.Calibrated.Stated() && !i.Until.Stated() && len(i.Comparisons) == 0 &&
		i.Kind.Is("gauge", "sensor", "dial gauge", "depth gauge", "micrometer", "calliper", "torque wrench"):
		f.Message = u.serial.Written + " was never calibrated nor compared"
		f.Rests = Rests{Place: i.Opening, Words: "no calibration of " + u.serial.Written}
		return f, true
	}
	return f, false
}

// ranOut is the day on which the calibration of an instrument had ended before another: by its file, or, of a
// certificate that a later one has taken the place of there, by the history of that. 0 where it had not ended, as far
// as is known. A later certificate does not prove what was done before it, unless it says how the instrument read as
// found.
func (c *Case) ranOut(i *logbook.Instrument, day logbook.Day) logbook.Day {
	if until := i.Until.Day; until != 0 && day > until {
		return until
	}
	t := c.Trail.Records[i.Path]
	if t == nil || i.Calibrated.Day <= day {
		return 0
	}
	begun, ended := earlierDays(t, "calibrated"), earlierDays(t, "calibrated_until")
	for k := range begun {
		next, until := dayBy{i.Calibrated.Day, t.Values["calibrated"].Commit}, logbook.Day(0)
		if k+1 < len(begun) {
			next = begun[k+1]
		}
		for _, e := range ended { // as it was corrected before the next certificate came
			if e.commit < next.commit {
				until = e.day
			}
		}
		if until != 0 && until < day && day < next.day && begun[k].day <= day {
			return until
		}
	}
	return 0
}

// dayBy is a day and the commit that wrote it.
type dayBy struct {
	day    logbook.Day
	commit int
}

// earlierDays are the days that a key held before, oldest first.
func earlierDays(t *logbook.RecordTrail, key string) (all []dayBy) {
	for _, e := range t.Values[key].Before {
		if day, err := logbook.ParseDay(e.Written); err == nil {
			all = append(all, dayBy{day, e.Commit})
		}
	}
	return all
}
