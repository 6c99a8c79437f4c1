package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

var otherPockets = &Check{
	Name:    "other-pockets",
	Subject: OfEngine,
	Ends: &End{Ways: []Way{
		{By: "the rings out of each other pocket of the engine have been counted", fact: othersCounted}}},
	Version: 1,
	Level:   History,
	Doc: "The rings that came out of one pocket were not as many as belong there, and the other pockets of the engine " +
		"have not been counted since. The others were closed in the same way, from the same box of " +
		"rings. Count what comes out of each as its valve is pulled, and look in with a lamp. What another " +
		"of them shows meanwhile is no second finding; a head that was exchanged brings another pocket, " +
		"and is not asked for.",
	Source:  "common practice, no source; how many belong there is a setting of the book",
	Example: `2 rings came out of the pocket at ME2-6: have the others of ME2 as many?`,
	Grade:   Advice,
	Whole: func(c *Case) {
		for _, e := range c.Book.Vessel.Engines {
			for _, s := range pocketSearches(c, e.ID.Written) {
				c.Report(s.finding())
			}
		}
	},
}

// pocketSearch is what a wrong count of rings in one pocket asks of the others of the engine.
type pocketSearch struct {
	first *logbook.Overhaul
	also  []*logbook.Overhaul // that showed the same before it was over
	todo  []logbook.Position  // not counted yet
	ended Fact
}

func (s *pocketSearch) finding() Finding {
	r := s.first.Removed
	at := logbook.Position{Engine: r.Engine.Written, Cylinder: r.Cylinder.Written}
	f := Finding{Place: r.RingsOut.Place, Since: r.Date.Day, About: about(s.first), Message: fmt.Sprintf(
		"%s rings came out of the pocket at %s: have the others of %s as many?", r.RingsOut.Written, at, at.Engine)}
	f.About.Position = at
	var names []string
	for _, p := range s.todo {
		names = append(names, p.String())
	}
	f.Next = "count what comes out of each as its valve is pulled: " + strings.Join(names, ", ")
	for _, o := range s.also {
		f.Related = append(f.Related, Related{o.Removed.RingsOut.Place, o.Removed.RingsOut.Written + " rings as well"})
	}
	return f
}

// pocketSearches follows the pockets of one engine from one wrong count to the day on which each other one has been
// counted. A count of the same round is as good as a later one.
func pocketSearches(c *Case, engine string) (all []*pocketSearch) {
	counts, within := ringsCounted(c, engine), int(c.Settings.RoundWithin.Float())
	var open *pocketSearch
	for i, n := range counts {
		wrong := n.o != nil && n.o.Removed.RingsOut.Value != c.Settings.Rings.Value
		switch {
		case open == nil && wrong:
			open = &pocketSearch{first: n.o, todo: slices.DeleteFunc(c.Book.Positions(), func(p logbook.Position) bool {
				return p.Engine != engine || p == n.at
			})}
			for j := i - 1; j >= 0 && n.day.Days(counts[j].day) <= within; j-- {
				open.counted(counts[j].at)
			}
			if len(open.todo) > 0 {
				all = append(all, open)
			}
		case wrong:
			open.also = append(open.also, n.o)
		}
		if open != nil {
			open.counted(n.at)
			if len(open.todo) == 0 {
				open.ended, open = Fact{n.day, n.place, "the last was " + n.at.String()}, nil
			}
		}
	}
	return all
}

func (s *pocketSearch) counted(at logbook.Position) {
	s.todo = slices.DeleteFunc(s.todo, func(p logbook.Position) bool { return p == at })
}

// ringCount is the day on which the rings out of a pocket were counted, or its head was exchanged.
type ringCount struct {
	day   logbook.Day
	at    logbook.Position
	place logbook.Place
	o     *logbook.Overhaul // nil for a head
}

// ringsCounted are the counts of one engine up to the day of judgement, by day.
func ringsCounted(c *Case, engine string) (all []ringCount) {
	for _, o := range c.Book.Overhauls {
		r := &o.Removed
		if d := r.Date.Day; r.Engine.Written == engine && r.RingsOut.Valid && d != 0 && d <= c.Today {
			at := logbook.Position{Engine: engine, Cylinder: r.Cylinder.Written}
			all = append(all, ringCount{d, at, r.RingsOut.Place, o})
		}
	}
	for i := range c.Book.Vessel.Heads {
		x := &c.Book.Vessel.Heads[i]
		if d := x.Date.Day; x.Engine.Written == engine && d != 0 && d <= c.Today {
			all = append(all, ringCount{d, x.Position(), x.Place, nil})
		}
	}
	slices.SortStableFunc(all, func(x, y ringCount) int {
		return cmp.Or(cmp.Compare(x.day, y.day), x.place.Compare(y.place))
	})
	return all
}

// othersCounted is the last count that a finding asks for.
func othersCounted(h *histories, f *Finding) (Fact, bool) {
	for _, s := range pocketSearches(h.c, f.Subject.Name) {
		if s.first.Removed.RingsOut.Place == f.Place {
			return s.ended, s.ended.Day != 0
		}
	}
	return Fact{}, false
}
