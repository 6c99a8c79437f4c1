package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var deferralRunOut = &Check{
	Name:    "deferral-run-out",
	Subject: OfNozzle,
	Ends:    &End{Ways: only("its approver answers"), Never: true, Answer: Approver},
	Version: 2,
	Needs:   deferrals,
	Level:   History,
	Doc: "A part runs, or ran, beyond what its deferral allowed, by hours or by date, whichever came first. A deferral " +
		"is a limit knowingly exceeded for a " +
		"stated time, with the risk assessed for that time only; beyond it nobody has agreed to anything. While the part " +
		"is fitted: stop, take it out at the next chance or have " +
		"the deferral renewed ashore before it runs on. That it is out again ends nothing: whoever approved " +
		"answers for the " +
		"time that nobody had agreed to. A deferral without any end, or one that names no part, holds nothing.",
	Source:  "common practice, no source",
	Example: "deferral D-07 allowed 500 h: N-2024 has run 1408 h in ME2-2, 908 h over",
	Grade:   Stop,
	Whole: func(c *Case) {
		for _, d := range c.Book.Deferrals {
			deferralHolds(c, d)
		}
	},
}

// deferralHolds follows the part of one deferral from its first day.
func deferralHolds(c *Case, d *logbook.Deferral) {
	f := Finding{Place: d.Opening, Grade: Action, About: About{Record: d.Record.Written, Holder: d.Holder.Written,
		Nozzle: d.Nozzle.Written}}
	name := d.Called()
	if !d.Hours.Quantity.Valid() && d.Until.Day == 0 {
		f.Message, f.Next = name+" states neither hours nor a last day", "state both: one without an end is not valid"
		c.Report(f)
	}
	periods, part := deferredPeriods(c, d)
	if periods == nil {
		f.Message = name + " names no record, holder or nozzle of this book"
		f.Next = "name the record (record: <its file name without .md>) or the part"
		c.Report(f)
		return
	}
	from := d.From.Day
	if from == 0 {
		from = periods[0].From
	}
	end := c.Today
	if d.Closed.Stated() && d.Closed.Date.Day != 0 {
		end = min(end, d.Closed.Date.Day)
	}
	run, last := deferredRun(c, periods, from, end)
	if last == nil {
		return
	}
	fitted := (last.To == 0 || last.To > end) && end == c.Today
	over := deferralOver(c, d, run, last, end, fitted)
	if len(over) == 0 {
		return
	}
	f.Place, f.Grade, f.About.Position, f.Subject = deferralEnd(d), Stop, last.Position, part
	f.Message, f.Evidence = fmt.Sprintf("%s: %s %s", name, part.Name, over[0]), over[1:]
	f.Next = "it came out since: the approver of the deferral answers for that time"
	f.Related = []Related{{last.FromPlace, "fitted in " + last.Position.String()}}
	if fitted {
		f.Next = "take it out at the next chance, or have the deferral renewed ashore before it runs on"
	} else if last.Closed != nil {
		f.Related = append(f.Related, Related{last.ToPlace, "came out"})
	}
	c.Report(f)
}

// deferralEnd is the line that states the end: the hours, else the day.
func deferralEnd(d *logbook.Deferral) logbook.Place {
	if d.Hours.Present() {
		return d.Hours.Place
	}
	return d.Until.Place
}

// deferredPeriods are the service lives that a deferral concerns, and the part: those of the nozzle or holder it names,
// else of the nozzle that its record left in the valve.
func deferredPeriods(c *Case, d *logbook.Deferral) ([]*logbook.ServicePeriod, Subject) {
	nozzle, holder := d.Nozzle.Written, d.Holder.Written
	if o := c.Book.Overhaul(d.Record.Written); o != nil && nozzle == "" && holder == "" {
		nozzle, holder = o.Nozzle.Left.Written, o.Holder.Written
	}
	if s := c.Lives.OfNozzle(nozzle); nozzle != "" && s != nil {
		return s, Subject{OfNozzle, nozzle}
	}
	if s := c.Lives.OfHolder(holder); holder != "" && s != nil {
		return s, Subject{OfHolder, holder}
	}
	return nil, Subject{}
}

// deferredRun adds up the hours from the first day of the deferral to its end or today, and gives the last stay in that
// time.
func deferredRun(c *Case, periods []*logbook.ServicePeriod, from, end logbook.Day) (hours float64,
	last *logbook.ServicePeriod) {
	for _, s := range periods {
		if s.From > end || s.To != 0 && s.To <= from {
			continue
		}
		last = s
		run, _ := c.Lives.HoursSince(s, from, end)
		hours += run
	}
	return hours, last
}

func deferralOver(c *Case, d *logbook.Deferral, run float64, last *logbook.ServicePeriod, end logbook.Day,
	fitted bool) []string {
	ran, had := "has run", "is still fitted"
	if !fitted {
		ran, had = "ran", "came out on"
		if last.To != 0 {
			end = min(end, last.To)
		}
	}
	var over []string
	hours := func(h float64) string { return measure.FromFloat(h, 0, measure.Hours).String() }
	if allowed := d.Hours; allowed.Quantity.Valid() && run > allowed.Float() {
		over = append(over, fmt.Sprintf("%s %s in %s, %s allowed, %s over", ran, hours(run), last.Position, allowed,
			hours(run-allowed.Float())))
	}
	if until := d.Until.Day; until != 0 && end > until {
		if !fitted {
			had += " " + end.String()
		}
		over = append(over, fmt.Sprintf("%s, allowed until %s, %s over", had, until,
			numbered(end.Days(until), "day", "days")))
	}
	return over
}
