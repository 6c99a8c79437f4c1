package checks

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

// heads are the stays of the cylinder heads that were exchanged, and the pocket of each by its name today: the
// cylinder, or the head where that is on none.
type heads struct {
	stays []logbook.HeadStay
	named []string
	where parts
}

func headsOn(b *logbook.Book, on logbook.Day) *heads {
	h := &heads{stays: b.HeadStays(on), where: parts{}}
	h.named = make([]string, len(h.stays))
	type head struct { // one that no line names is not known again
		number, bore string
		logbook.Position
		from logbook.Day
	}
	last := map[head]string{}
	for i := range slices.Backward(h.stays) {
		s := &h.stays[i]
		id := head{number: s.Head, bore: s.Bore}
		if s.Head == "" {
			id.Position, id.from = s.Position, s.From
		}
		if _, later := last[id]; !later {
			name, w := pocketNow(s)
			last[id], h.where[Subject{OfPocket, name}] = name, w
		}
		h.named[i] = last[id]
	}
	return h
}

// pocketNow names a pocket by the last stay of its head, and says where that is.
func pocketNow(s *logbook.HeadStay) (name string, w Whereabouts) {
	off := "off " + s.Position.String() + " " + s.To.String()
	switch {
	case s.To == 0:
		return s.Position.String(), Whereabouts{Engines: true, In: s.Position}
	case s.Head == "":
		return "head " + off, Whereabouts{}
	}
	return strings.TrimSpace("head " + s.Head + " " + s.Bore), Whereabouts{Words: off}
}

// pocket names the pocket that a valve came out of, or went into.
func (h *heads) pocket(p logbook.Position, o *logbook.Overhaul, left bool) string {
	if o == nil {
		return p.String()
	}
	day := o.Removed.Date.Day
	if left {
		day = o.Fitted.Date.Day
	}
	for i := range h.stays {
		if s := &h.stays[i]; s.Position == p && s.Held(day, left) {
			return h.named[i]
		}
	}
	return p.String()
}

// staysOf are the stays of the head that a pocket is named after, in their order; of a cylinder whose head was never
// exchanged one without an end.
func (h *histories) staysOf(name string) (stays []logbook.HeadStay) {
	for i, named := range h.heads.named {
		if named == name {
			stays = append(stays, h.heads.stays[i])
		}
	}
	if p, ok := h.c.position(name); ok && len(stays) == 0 {
		stays = []logbook.HeadStay{{Position: p}}
	}
	return stays
}

// headsFollow asks that the exchanges of cylinder heads follow from one another.
func headsFollow(c *Case) {
	type onDay struct {
		logbook.Position
		day logbook.Day
	}
	seen, cameOff := map[onDay]bool{}, map[onDay]string{}
	stays := c.Book.HeadStays(c.Today)
	for _, s := range stays {
		cameOff[onDay{s.Position, s.To}] = s.Head
	}
	for i := range c.Book.Vessel.Heads {
		x := &c.Book.Vessel.Heads[i]
		at, off := x.Position(), x.Off.Written
		f := Finding{Place: x.Place, Since: x.Date.Day, About: About{Position: at}}
		on := onDay{at, x.Date.Day}
		switch {
		case !c.known(at.String()): // name-unknown says it
			continue
		case !x.Date.Present():
			f.Message = fmt.Sprintf("%s: a head was exchanged, and no day is named", at)
			f.Next = "write date: <year-month-day>; until then what was found about the pocket stays"
		case on.day == 0:
			continue
		case seen[on]:
			f.Place, f.Message = x.Date.Place, fmt.Sprintf("%s: a second head came on on %s", at, x.Date)
			f.Next = "take out the line that is wrong, or correct its day"
		case !x.Head.Stated():
			f.Message = fmt.Sprintf("%s: the head that came on on %s is not named", at, x.Date)
			f.Next = "write head: <its number>, so that what is found about its pocket goes with it"
		case x.Off.Stated() && on.day <= c.Today && cameOff[on] != off:
			f.Place = x.Off.Place
			f.Message = fmt.Sprintf("%s: head %s came off on %s, %s was there", at, off, x.Date, cameOff[on])
			f.Next = "read the numbers on both heads, and correct the line that is wrong"
		}
		if seen[on] = true; f.Message != "" {
			c.Report(f)
		}
	}
	headsApart(c, stays)
}

// headsApart finds heads that came onto a cylinder while the book has them on another.
func headsApart(c *Case, stays []logbook.HeadStay) {
	before := map[[2]string]*logbook.HeadStay{} // by head and bore
	for i := range stays {
		s := &stays[i]
		if b := before[[2]string{s.Head, s.Bore}]; b != nil && s.Head != "" && b.Position != s.Position &&
			(b.To == 0 || b.To > s.From) {
			c.Report(Finding{Place: s.Place, Since: s.From, About: About{Position: s.Position},
				Message: fmt.Sprintf("%s: head %s came on on %s, and has not come off %s", s.Position, s.Head, s.From,
					b.Position),
				Next:    "read the number on both heads, and correct the line that is wrong or add the one that is missing",
				Related: []Related{{b.Place, "where it was"}}})
		}
		before[[2]string{s.Head, s.Bore}] = s
	}
}
