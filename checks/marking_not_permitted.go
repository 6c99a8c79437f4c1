package checks

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var markingNotPermitted = &Check{
	Name:    "marking-not-permitted",
	Subject: OfNozzle,
	Ends: &End{Never: true, Ways: []Way{
		{By: "both entries in the record book of engine parameters are stated", fact: bothEntered}}},
	Version: 1,
	Level:   Record,
	Doc: "The nozzle left in the valve, or fitted in the engine, bears a marking that is not on the list for this " +
		"engine. Another number or size of holes changes how the " +
		"engine burns and what it emits, and nozzles are parts that the engine's technical file names. Check the technical " +
		"file and the record book of engine parameters before it " +
		"runs, or build in a permitted nozzle. A new nozzle in no record yet is asked about where no engine of the book " +
		"permits its marking. That it is out again ends nothing: both entries in the record book " +
		"are stated in the file of the nozzle.",
	Source: "NOx Technical Code 2008 (resolution MEPC.177(58)), 6.2.2.3.2, injection nozzle, and 2.4.1.1; the list is " +
		"the book's own",
	Example: `marking of the nozzle 9x0.38 is not permitted on this engine, permitted: 9x0.36 C`,
	Each: func(c *Case, o *logbook.Overhaul) {
		n, fitted := o.Nozzle, o.Fitted.Nozzle
		if v := c.Judged.Find(o, keys.NozzleMarking); v.Result.Out() {
			c.Report(notToRun(c, o, onVerdict(o, v, v.Name+" "+v.Written+" is not permitted on this engine, permitted: "+
				v.LimitText, "")))
		}
		if !n.Marking.Present() {
			byPartFile(c, o, n.Left)
		}
		if fitted.Stated() && fitted.Written != n.Left.Written {
			byPartFile(c, o, fitted)
		}
		if m := n.MarkingFound; m.Stated() {
			if list, ok := permitted(c.inForce(o), m.Written); !ok {
				f := Finding{Place: m.Place, Message: "the nozzle that came out is marked " + m.Written +
					", not permitted on this engine", Evidence: []string{"permitted: " + list}, Grade: Action,
					Next:  stateEntries(o.Nozzle.Found.Written),
					Limit: c.limitAt(listed(c.inForce(o).Markings, list)),
					About: about(o)}
				if s := c.Lives.ClosedBy(o); s != nil && s.HoursKnown {
					f.Evidence = append(f.Evidence, fmt.Sprintf("it ran %.0f h", s.Hours))
				}
				c.Report(f)
			}
		}
	},
	Whole: func(c *Case) { c.markingsOnTheShelf() },
	Grade: Stop,
}

// markingsOnTheShelf asks about new nozzles, in no record yet, that are marked as no engine of the book permits.
func (c *Case) markingsOnTheShelf() {
	used := map[string]bool{}
	for _, o := range c.Book.Overhauls {
		for _, n := range []logbook.Serial{o.Nozzle.Found, o.Nozzle.Left, o.Fitted.Nozzle} {
			used[n.Written] = true
		}
	}
	for _, p := range c.Book.Parts {
		_, ended := c.Book.EndBy("nozzle", p.Number(), c.Today)
		if p.Kind.Written != "nozzle" || !p.Marking.Stated() || used[p.Number()] || p.Used.Written != "no" || ended {
			continue
		}
		var lists []string
		somewhere := len(c.Book.Limits) == 0
		for _, name := range slices.Sorted(maps.Keys(c.Book.Limits)) {
			e, _ := c.Book.Limits[name].On(c.Today)
			if e == nil {
				somewhere = true
				continue
			}
			list, ok := permitted(e, p.Marking.Written)
			lists, somewhere = append(lists, list), somewhere || ok
		}
		if !somewhere {
			c.Report(Finding{Place: p.Marking.Place, Grade: Action, Subject: Subject{OfNozzle, p.Number()},
				Message:  "new nozzle " + p.Number() + " is marked " + p.Marking.Written + ", permitted on no engine of the book",
				Evidence: []string{"permitted: " + strings.Join(lists, " or ")},
				Next:     "compare the stamp with the list, and keep it apart: it is not to be fitted"})
		}
	}
}

// byPartFile judges a nozzle by the marking that its own file states.
func byPartFile(c *Case, o *logbook.Overhaul, nozzle logbook.Serial) {
	p := c.Book.Part("nozzle", nozzle.Written)
	if p == nil || !nozzle.Stated() || !p.Marking.Stated() {
		return
	}
	e := c.inForceAsLeft(o, o.Fitted.Date.Day, o.AsLeft.Date.Day)
	if list, ok := permitted(e, p.Marking.Written); !ok {
		c.Report(notToRun(c, o, Finding{Place: nozzle.Place,
			Subject: Subject{OfNozzle, nozzle.Written}, Message: "nozzle " + nozzle.Written + " is marked " +
				p.Marking.Written + ", not permitted on this engine", Evidence: []string{"permitted: " + list},
			Limit: c.limitAt(listed(e.Markings, list)), Related: []Related{{p.Marking.Place, "its marking"}}, About: about(o)}))
	}
}

// listed is the limit with its list in words.
func listed(limit logbook.Texts, list string) logbook.Leaf {
	limit.Leaf.Written = list
	return limit.Leaf
}

// permitted lists the markings that the limits permit, and says whether one is among them; all are where none is
// listed.
func permitted(e *logbook.Revision, marking string) (list string, ok bool) {
	var all []string
	for _, m := range e.Markings.Each {
		all = append(all, m.Written)
		ok = ok || m.Written == marking
	}
	return strings.Join(all, " or "), ok || len(all) == 0
}

// stateEntries says what is to be stated of a nozzle that ran.
func stateEntries(nozzle string) string {
	return "state both entries in the record book: record_book in parts/" + logbook.FileName(nozzle) + ".md"
}

// notToRun says what to do about a nozzle that may not run, or that did.
func notToRun(c *Case, o *logbook.Overhaul, f Finding) Finding {
	f.Next = "check the technical file and the record book of engine parameters before it runs, or build in a " +
		"permitted nozzle"
	if s := c.Lives.OpenedBy(o); s != nil && s.To != 0 {
		f.Next = stateEntries(cmp.Or(f.Subject.Name, o.Nozzle.Left.Written))
		f.Evidence = append(f.Evidence, "taken out "+s.To.String())
	}
	return f
}
