package checks

import (
	"fmt"

	"needlebook/checks/judging"
	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// remeasured is one figure of a part beside the one measured before it.
type remeasured struct {
	record *logbook.Overhaul
	serial string
	was    measure.Quantity
	is     logbook.Amount
	before logbook.Place // where the earlier one is written
	lives  int           // service lives between the two, at least one
	worked bool          // ground or lapped in between
	apart  float64       // how well the difference of the two is known, in mm; 0 where nothing is known of an instrument
}

// knownTo says how well the difference is known, as a line of evidence; none where nothing is known of an instrument.
func (m *remeasured) knownTo() []string {
	if m.apart == 0 {
		return nil
	}
	return []string{fmt.Sprintf("the difference is known to ±%s (k = 2)", m.is.Like(m.apart))}
}

// lifts pairs each lift with the one measured before it on the same nozzle, oldest first. A nozzle's first is that on
// receipt.
func lifts(c *Case) []remeasured {
	return remeasurements(c, func(o *logbook.Overhaul) (string, *logbook.Measurement, logbook.Word) {
		serial := o.Nozzle.Found.Written
		if serial == "" {
			serial = o.Nozzle.Left.Written
		}
		return serial, &o.Measured.Lift, o.Decided.Nozzle
	}, true)
}

// wears pairs each holder wear with the one measured before it on the same holder, oldest first.
func wears(c *Case) []remeasured {
	return remeasurements(c, func(o *logbook.Overhaul) (string, *logbook.Measurement, logbook.Word) {
		return o.Holder.Written, &o.Measured.HolderWear, o.Decided.Holder
	}, false)
}

// lost reports what is less than it was before by more than is allowed, though nobody worked at it. The message has the
// value, its part, by how much, and the value before; the words of the place before have that value.
func lost(c *Case, list []remeasured, allowed logbook.Amount, message, before, next string) {
	for _, m := range list {
		less := m.was.Minus(m.is.Quantity)
		if m.worked || less.Compare(allowed.Quantity) <= 0 || less.Float()-m.apart <= rounding {
			continue
		}
		c.Report(Finding{Place: m.is.Place, About: about(m.record),
			Related: []Related{{m.before, fmt.Sprintf(before, m.was)}}, Evidence: m.knownTo(),
			Message: fmt.Sprintf(message, m.is, m.serial, m.was.Apart(m.is.Quantity), m.was), Next: next})
	}
}

func remeasurements(c *Case, read func(*logbook.Overhaul) (serial string, m *logbook.Measurement,
	decided logbook.Word), nozzle bool) []remeasured {
	type mark struct {
		value  measure.Quantity
		place  logbook.Place
		day    logbook.Day
		worked bool
		with   string
	}
	last := map[string]mark{}
	if nozzle {
		for _, p := range c.Book.Parts {
			if p.Lift.Quantity.Valid() && !p.Kind.Is("holder") {
				last[p.Number()] = mark{p.Lift.Quantity, p.Lift.Place, p.Received.Day, false, ""}
			}
		}
	}
	var all []remeasured
	for _, o := range c.Book.Overhauls {
		serial, measured, decided := read(o)
		if serial == "" {
			continue
		}
		value, with := measured.Value, measured.With.Written
		m, known := last[serial]
		if !value.Quantity.Valid() || value.Kind() != measure.Length || mistaken(c, o)[value.Place] {
			if known && decided.Is("grind", "lap") {
				m.worked = true
				last[serial] = m
			}
			continue
		}
		if known {
			lives, reground := between(c, serial, nozzle, m.day, o.Day())
			apart, _ := judging.Between(c.Book, judging.Taken{Value: value.Quantity, Instrument: with, Day: o.Day()},
				judging.Taken{Value: m.value, Instrument: m.with, Day: m.day})
			all = append(all, remeasured{o, serial, m.value, value, m.place, max(lives, 1), m.worked || reground, apart})
		}
		last[serial] = mark{value.Quantity, value.Place, o.Day(), decided.Is("grind", "lap"), with}
	}
	return all
}

// between counts the service lives of a part that ended in the time after one day up to another, and says whether it
// was ground then.
func between(c *Case, serial string, nozzle bool, after, until logbook.Day) (lives int, ground bool) {
	kind, periods := "holder", c.Lives.OfHolder(serial)
	if nozzle {
		kind, periods = "nozzle", c.Lives.OfNozzle(serial)
	}
	for _, s := range periods {
		if s.To > after && s.To <= until {
			lives++
		}
	}
	if p := c.Book.Part(kind, serial); p != nil {
		for _, r := range p.Regrinds {
			ground = ground || r.Date.Day >= after && r.Date.Day <= until
		}
	}
	return lives, ground
}
