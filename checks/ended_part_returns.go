package checks

import (
	"needlebook/logbook"
)

var endedPartReturns = &Check{
	Name:  "ended-part-returns",
	Level: History,
	Doc: "A holder or nozzle that was condemned or scrapped, by the decision of an overhaul or in its own file, is set, racked or fitted after all, or by the book still sits in a cylinder. " +
		"What was condemned had its reason, most often a crack, and the next crew does not know it; that is why such parts are destroyed or tagged. Look at the stamp: the part is out and an entry names it wrongly, " +
		"or it is in and must come out. A nozzle decided as renewed while the same one is named as left contradicts itself, and asks for an answer.",
	Source:  "common practice, no source",
	Example: "holder H-109, condemned 2022-10-14, is built up again on 2022-12-07",
	Grade:   Stop,
	Whole: func(c *Case) {
		ends := endsOf(c)
		for _, o := range c.Book.Overhauls {
			if !o.Built() {
				continue
			}
			contradicted(c, o)
			for _, part := range []struct {
				kind   string
				serial logbook.Serial
			}{{"holder", o.Holder}, {"nozzle", o.Nozzle.Left}, {"holder", o.Fitted.Holder}, {"nozzle", o.Fitted.Nozzle}} {
				e, ended := ends[partKey{part.kind, part.serial.Written}]
				last := max(o.AsLeft.Date.Day, o.Racked.Date.Day, o.Fitted.Date.Day)
				if !ended || !part.serial.Stated() || e.day == 0 || last <= e.day || e.by == o {
					continue
				}
				words := " is built up again on "
				if last == o.Fitted.Date.Day {
					words = " is fitted on "
				}
				c.Report(Finding{Place: part.serial.Place, Grade: e.grade, About: about(o), Related: []Related{{e.place, e.word}},
					Message: part.kind + " " + part.serial.Written + ", " + e.word + " " + e.day.String() + "," + words + last.String(),
					Next:    "read the stamp: take the part out, or correct the entry that names it"})
			}
		}
		for _, s := range c.Lives.Stays {
			if s.To == 0 {
				stillSits(c, s, "holder", s.Holder, ends)
				stillSits(c, s, "nozzle", s.Nozzle, ends)
			}
		}
	},
}

type partKey struct{ kind, serial string }

// end is when and where a part was taken out of use for good.
type end struct {
	word  string // condemned or scrapped
	day   logbook.Day
	place logbook.Place
	by    *logbook.Overhaul // nil where the part's own file says so
	grade Grade
}

// endsOf lists the ends of parts, by the decision of an overhaul or by the part's own file, whichever came first.
func endsOf(c *Case) map[partKey]end {
	ends := map[partKey]end{}
	add := func(kind, serial string, e end) {
		if was, known := ends[partKey{kind, serial}]; serial != "" && (!known || e.day < was.day) {
			ends[partKey{kind, serial}] = e
		}
	}
	for _, o := range c.Book.Overhauls {
		if w := o.Decided.Holder; w.Is("condemn") {
			add("holder", o.Holder.Written, end{"condemned", o.Day(), w.Place, o, Stop})
		}
		if w := o.Decided.Nozzle; w.Is("condemn") {
			add("nozzle", o.Nozzle.Found.Written, end{"condemned", o.Day(), w.Place, o, Stop})
		}
	}
	for _, p := range c.Book.Parts {
		for _, kind := range []string{"holder", "nozzle"} {
			if p.Kind.Stated() && !p.Kind.Is(kind) {
				continue
			}
			switch {
			case p.Condemned.Stated():
				add(kind, p.Number(), end{"condemned", p.Condemned.Date.Day, p.Condemned.Place, nil, Stop})
			case p.Scrapped.Stated():
				add(kind, p.Number(), end{"scrapped", p.Scrapped.Date.Day, p.Scrapped.Place, nil, Answer})
			}
		}
	}
	return ends
}

// contradicted reports a record that ends a part and builds it up all the same.
func contradicted(c *Case, o *logbook.Overhaul) {
	const next = "which is it? correct the decision or the serial, and look at the valve"
	if w := o.Decided.Holder; w.Is("condemn") {
		c.Report(Finding{Place: w.Place, About: about(o), Message: "holder " + o.Holder.Written + " is decided condemn, and the record goes on to build it up", Next: next})
	}
	if w, left := o.Decided.Nozzle, o.Nozzle.Left; left.Stated() && left.Written == o.Nozzle.Found.Written && w.Is("condemn", "renew") {
		f := Finding{Place: w.Place, About: about(o), Message: "nozzle " + left.Written + " is decided " + w.Written + ", and the same nozzle is named as left", Next: next}
		if w.Is("renew") {
			f.Grade = Answer
		}
		c.Report(f)
	}
}

// stillSits reports a part that has ended by its own file and by the fittings was never taken out. What was fitted after its end is
// reported at the fitting.
func stillSits(c *Case, s *logbook.Stay, kind, serial string, ends map[partKey]end) {
	e, ended := ends[partKey{kind, serial}]
	if !ended || e.day != 0 && s.From > e.day || e.by != nil {
		return
	}
	words := e.word
	if e.day != 0 {
		words += " " + e.day.String()
	}
	c.Report(Finding{Place: e.place, Grade: e.grade, About: About{Position: s.Position, Holder: s.Holder, Nozzle: s.Nozzle}, Related: []Related{{s.FromPlace, "fitted"}},
		Message: kind + " " + serial + ", " + words + ", still sits in " + s.Position.String() + " by the book",
		Next:    "look at the engine: take the part out and enter its removal, or correct the part's file"})
}
