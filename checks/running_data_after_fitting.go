package checks

import (
	"fmt"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var runningDataAfterFitting = &Check{
	Name:    "running-data-after-fitting",
	Subject: OfPosition,
	Ends:    valveChanged,
	Version: 1,
	Level:   Record,
	Doc: "The cylinder ran too hot before its valve was changed, and the exhaust temperature after the change was not " +
		"noted in time, or is no better. If it is no better the " +
		"valve was not the fault, and the fault is still running: look at thermocouple, pump, timing and exhaust valve. " +
		"Note load, exhaust and pmax at like load after the fitting.",
	Source:  "common practice, no source; thresholds are the limits file's and the book's settings",
	Example: `ME1-3 ran 34 K above its reference before, and nothing is noted within 72 h after the fitting`,
	Holds:   wasFitted,
	Each: func(c *Case, o *logbook.Overhaul) {
		before, ok := signsBefore(c, o)
		look := c.inForceAsLeft(o, o.Fitted.Date.Day).Exhaust
		if !ok || !deviates(before, look) || o.RunningAfter.Excused() {
			return
		}
		at := logbook.Position{Engine: o.Fitted.Engine.Written, Cylinder: o.Fitted.Cylinder.Written}
		f := Finding{Place: o.Fitted.Place, Limit: c.limitAt(look.Look.Leaf),
			Related: []Related{{before.Exhaust.Place, "before"}}, About: about(o)}
		f.About.Position = at
		after, state := exhaustAfter(c, o, at)
		switch {
		case state == notedInTime && after < before.Exhaust.Float():
			return
		case state == notYetDue:
			return
		case state == notedInTime:
			f.Message = fmt.Sprintf("%s ran %+.0f K off its reference before, and %+.0f K after the fitting: no better", at,
				before.Exhaust.Float(), after)
			f.Next = "the valve was not the fault: swap the thermocouple, look at pump, timing and exhaust valve"
		default:
			f.Message = fmt.Sprintf("%s ran %+.0f K off its reference before, and nothing is noted within %s after the fitting",
				at, before.Exhaust.Float(), c.Settings.SignsWithin.Quantity)
			f.Next = "note load, exhaust and pmax at like load, or why not: was the valve the fault?"
		}
		c.Report(f)
	},
	Grade: Action,
}

// signsBefore are the running data of the cylinder that a valve was fitted in, as noted before the last valve was
// pulled there; ok is false where nothing is known of them.
func signsBefore(c *Case, o *logbook.Overhaul) (logbook.RunningData, bool) {
	now := c.Lives.OpenedBy(o)
	if now == nil {
		return logbook.RunningData{}, false
	}
	var before *logbook.Overhaul
	for _, s := range c.Lives.InPosition(now.Position) {
		if s == now {
			break
		}
		before = s.Closed
	}
	if before == nil || !before.AsFound.RunningBefore.Exhaust.Quantity.Valid() {
		return logbook.RunningData{}, false
	}
	return before.AsFound.RunningBefore, true
}

// deviates says that a cylinder ran hotter than the limits' threshold, at a load at which it counts.
func deviates(s logbook.RunningData, limits logbook.ExhaustLimits) bool {
	if !s.Exhaust.Quantity.Valid() || !limits.Look.Quantity.Valid() || limits.Look.Kind() != measure.Difference {
		return false
	}
	loaded := !s.Load.Quantity.Valid() || !limits.Load.Quantity.Valid() || s.Load.Compare(limits.Load.Quantity) >= 0
	return loaded && s.Exhaust.Compare(limits.Look.Quantity) > 0
}

type afterState uint8

const (
	notNoted afterState = iota
	notYetDue
	notedInTime
)

// exhaustAfter is the exhaust deviation noted after a fitting, in the record or in the running data, and whether it was
// noted within the book's running hours.
func exhaustAfter(c *Case, o *logbook.Overhaul, at logbook.Position) (kelvin float64, state afterState) {
	fit := o.Fitted.Date.Day
	within := func(day logbook.Day) bool {
		start, ok := c.Book.TotalOn(at.Engine, fit)
		total, ok2 := c.Book.TotalOn(at.Engine, day)
		return !ok || !ok2 || total-start <= c.Settings.SignsWithin.Float()
	}
	if a := o.RunningAfter; a.Exhaust.Quantity.Valid() && (a.Date.Day == 0 || within(a.Date.Day)) {
		return a.Exhaust.Float(), notedInTime
	}
	for _, r := range c.Book.Running {
		if r.Engine == at.Engine && r.Cylinder.Written == at.Cylinder && r.Dev.Valid && r.Date.Day > fit &&
			within(r.Date.Day) {
			return r.Dev.Value, notedInTime
		}
	}
	if within(c.Today) {
		return 0, notYetDue
	}
	return 0, notNoted
}
