package checks

import (
	"needlebook/logbook"
)

var condemnedPartReturns = &Check{
	Name:    "condemned-part-returns",
	Subject: OfNozzle,
	Ends:    scrapped,
	Version: 2,
	Level:   History,
	Doc: "A holder or nozzle that was condemned or scrapped, by the decision of an overhaul or in its own file, is set, " +
		"stored or fitted after all, or by the book still sits in a cylinder. " +
		"What was condemned had its reason, most often a crack, and the next crew does not know it; that is why such parts " +
		"are destroyed or tagged. Look at the stamp: the part is out and an entry names it wrongly, " +
		"or it is in and must come out. A nozzle decided as renewed while the same one is named as left contradicts " +
		"itself, and asks for an answer.",
	Source:  "common practice, no source",
	Example: "holder H-109, condemned 2022-10-14, is built up again on 2022-12-07",
	Grade:   Stop,
	Whole: func(c *Case) {
		for _, o := range c.Book.Overhauls {
			if !o.Built() {
				continue
			}
			contradicted(c, o)
			for _, part := range []struct {
				kind   string
				serial logbook.Serial
			}{{"holder", o.Holder}, {"nozzle", o.Nozzle.Left}, {"holder", o.Fitted.Holder}, {"nozzle", o.Fitted.Nozzle}} {
				e, ended := c.Book.EndOf(part.kind, part.serial.Written)
				last := max(o.AsLeft.Date.Day, o.Stored.Date.Day, o.Fitted.Date.Day)
				if !ended || !part.serial.Stated() || e.Day == 0 || last <= e.Day || e.By == o {
					continue
				}
				words := " is built up again on "
				if last == o.Fitted.Date.Day {
					words = " is fitted on "
				}
				c.Report(Finding{Place: part.serial.Place, Grade: gradeOfEnd(e), About: about(o),
					Subject: partSubject(part.kind, part.serial.Written),
					Related: []Related{{e.Place, e.Word}},
					Message: part.kind + " " + part.serial.Written + ", " + e.Word + " " + e.Day.String() + "," +
						words + last.String(),
					Next: "read the stamp: take the part out, or correct the entry that names it"})
			}
		}
		for _, s := range c.Lives.ServicePeriods {
			stillSits(c, s, "holder", s.Holder)
			stillSits(c, s, "nozzle", s.Nozzle)
		}
	},
}

// gradeOfEnd is the grade of a part that came back: scrapped parts are seldom a danger, and often only a slip of the
// stores.
func gradeOfEnd(e logbook.End) Grade {
	if e.Word == "scrapped" {
		return Action
	}
	return Stop
}

// contradicted reports a record that ends a part and builds it up all the same.
func contradicted(c *Case, o *logbook.Overhaul) {
	const next = "which is it? correct the decision or the serial, and look at the valve"
	if w := o.Decided.Holder; w.Is("condemn") {
		c.Report(Finding{Place: w.Place, About: about(o), Subject: Subject{OfHolder, o.Holder.Written}, Message: "holder " +
			o.Holder.Written +
			" is decided condemn, and the record goes on to build it up", Next: next})
	}
	if putBack(o) {
		c.Report(Finding{Place: o.Fitted.Nozzle.Place, About: about(o),
			Subject: Subject{OfNozzle, o.Fitted.Nozzle.Written}, Related: []Related{{o.Decided.Nozzle.Place, "the decision"}},
			Message: "nozzle " + o.Fitted.Nozzle.Written + " is decided " + o.Decided.Nozzle.Written +
				", and was read at the engine as fitted", Next: next})
	}
	if w, left := o.Decided.Nozzle, o.Nozzle.Left; left.Stated() && left.Written == o.Nozzle.Found.Written &&
		w.Is("condemn", "renew") {
		f := Finding{Place: w.Place, About: about(o), Subject: Subject{OfNozzle, left.Written},
			Message: "nozzle " + left.Written + " is decided " + w.Written +
				", and the same nozzle is named as left", Next: next}
		if w.Is("renew") {
			f.Grade = Action
		}
		c.Report(f)
	}
}

// stillSits reports a part that has ended by its own file and by the fittings was not taken out then: that it is out
// since ends nothing. What was fitted after its end is reported at the fitting.
func stillSits(c *Case, s *logbook.ServicePeriod, kind, serial string) {
	e, ended := c.Book.EndOf(kind, serial)
	out := s.To != 0 && s.To <= c.Today
	if !ended || e.Day != 0 && s.From > e.Day || e.By != nil || out && s.To <= max(e.Day, s.From) || out && e.Day == 0 ||
		max(e.Day, s.From) > c.Today {
		return
	}
	words := e.Word
	if e.Day != 0 {
		words += " " + e.Day.String()
	}
	f := Finding{Place: e.Place, Grade: gradeOfEnd(e), Subject: partSubject(kind, serial),
		About:   About{Position: s.Position, Holder: s.Holder, Nozzle: s.Nozzle},
		Related: []Related{{s.FromPlace, "fitted"}},
		Message: kind + " " + serial + ", " + words + ", still sits in " + s.Position.String() + " by the book",
		Next:    "look at the engine: take the part out and enter its removal, or correct the part's file"}
	if out {
		f.Message = kind + " " + serial + ", " + words + ", was in " + s.Position.String() + " until " + s.To.String()
		f.Next = "scrap it or land it, or correct the part's file"
		f.Related = append(f.Related, Related{s.ToPlace, "came out"})
	}
	c.Report(f)
}

// putBack says that the nozzle read at the engine is the one that the record condemned or
// renewed.
func putBack(o *logbook.Overhaul) bool {
	read := o.Fitted.Nozzle
	return read.Stated() && read.Written == o.Nozzle.Found.Written &&
		read.Written != o.Nozzle.Left.Written && o.Decided.Nozzle.Is("condemn", "renew")
}
