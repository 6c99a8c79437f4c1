package checks

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

var notAboard = &Check{
	Name:    "not-aboard",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Level:   Vessel,
	Doc: "Somebody is named for work on a day on which the crew list has them ashore, or for having released work of " +
		"somebody of higher rank. Either the name, the date or the crew list is wrong; whoever asks about the valve later " +
		"asks the wrong person. " +
		"Compare with the crew list and correct what is wrong.",
	Source:  "our own rule",
	Example: `by y.tolvanis on 2023-09-05: not aboard, nearest stay 2023-01-12 to 2023-06-02`,
	Grade:   Action,
	Whole: func(c *Case) {
		for _, o := range c.Book.Overhauls {
			left := o.AsLeft.Date.Day
			if o.Received.Stated() { // as left is of the workshop's day
				left = o.Received.Opened.Date.Day
			}
			if left == 0 {
				left = o.Day()
			}
			c.aboardOn(about(o), "by", o.By, o.Day(), left)
			c.aboardOn(about(o), "fitted_by", o.FittedBy, o.Fitted.Date.Day, o.Fitted.Date.Day)
			c.aboardOn(about(o), "checked_by", o.CheckedBy, o.Day(), left)
			c.checkedAbove(o, left)
		}
		for _, h := range c.Book.Handovers {
			for _, who := range []logbook.Serial{h.From, h.To} {
				if who.Stated() && len(c.Book.Crew) > 0 && len(c.Book.Aboard(who.Written)) == 0 {
					c.Report(Finding{Place: who.Place, Message: who.Key + " " + who.Written + ": no such id in crew.csv",
						says: noSuchPerson, name: who.Written, Next: "correct the id, or add the stay to crew.csv"})
				}
				c.aboardOn(About{Person: who.Written}, who.Key, who, h.Date.Day, h.Date.Day)
			}
		}
	},
}

// ranksUp are the words of ranks that release valves or work under those who do, the lowest first.
var ranksUp = []string{"fourth", "third", "second", "chief", "superintendent"}

// rankOn is how high the rank of a person was on a day; -1 where the crew list does not say.
func (c *Case) rankOn(id string, day logbook.Day) (high int, word string) {
	for _, s := range c.Book.Aboard(id) {
		if s.From.Day <= day && (s.To.Day == 0 || s.To.Day >= day) {
			return slices.IndexFunc(ranksUp, func(r string) bool {
				return strings.Contains(strings.ToLower(s.Rank.Written),
					r)
			}), s.Rank.Written
		}
	}
	return -1, ""
}

// checkedAbove asks that who released the valve is not of lower rank than who did the work.
func (c *Case) checkedAbove(o *logbook.Overhaul, day logbook.Day) {
	if !o.By.Stated() || !o.CheckedBy.Stated() || o.By.Written == o.CheckedBy.Written {
		return
	}
	did, as := c.rankOn(o.By.Written, day)
	checked, rank := c.rankOn(o.CheckedBy.Written, day)
	if did >= 0 && checked >= 0 && checked < did {
		c.Report(Finding{Place: o.CheckedBy.Place, Grade: Advice, About: about(o),
			Message: fmt.Sprintf("checked_by %s, %s; the work was done by %s, %s", o.CheckedBy.Written, rank, o.By.Written, as),
			Related: []Related{{o.By.Place, "who did the work"}},
			Next:    "are the two exchanged?"})
	}
}

// nearestStay is the stay of a person that is nearest to some days, and how many days it is off them, give or take
// slack: 0 where it meets them, where the list does not say, and for a person whom the crew list does not have, of whom
// name-unknown speaks.
func nearestStay(b *logbook.Book, person string, first, last, slack logbook.Day) (*logbook.CrewPeriod, int) {
	var nearest *logbook.CrewPeriod
	best := 0
	for _, s := range b.Aboard(person) {
		off := 0
		switch {
		case s.From.Day == 0:
			return &s, 0
		case s.From.Day-slack > last:
			off = s.From.Day.Days(last)
		case s.To.Day != 0 && s.To.Day+slack < first:
			off = first.Days(s.To.Day)
		}
		if off == 0 {
			return &s, 0
		}
		if nearest == nil || off < best {
			nearest, best = &s, off
		}
	}
	return nearest, best
}

// period says from when to when a person was aboard.
func period(stay *logbook.CrewPeriod) string {
	if stay.To.Day == 0 {
		return "from " + stay.From.Day.String()
	}
	return stay.From.Day.String() + " to " + stay.To.Day.String()
}

// aboardOn asks that a person's stay meets the days of the work, give or take the days of a change of crew.
func (c *Case) aboardOn(ab About, key string, who logbook.Serial, first, last logbook.Day) {
	if !who.Stated() || first == 0 || last == 0 {
		return
	}
	nearest, off := nearestStay(c.Book, who.Written, first, last, logbook.Day(c.Settings.HandoverWithin.Float()))
	if off == 0 {
		return
	}
	c.Report(Finding{Place: who.Place, Grade: Advice, About: ab,
		Message: fmt.Sprintf("%s %s on %s: not aboard, nearest stay %s", key, who.Written, first, period(nearest)),
		Rests:   Rests{Place: nearest.Place, Words: "stays of " + who.Written},
		Related: []Related{{nearest.Place, "nearest stay"}}, Next: "correct the name, the date or the crew list"})
}
