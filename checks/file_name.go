package checks

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"needlebook/logbook"
)

var fileName = &Check{
	Name:    "file-name",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Vessel,
	Doc: "The file of a part, an instrument, a deferral, a decision or a handover is named after something else " +
		"than it holds. " +
		"One of the two has a slip: what a record names is then not found, " +
		"or another is. Correct the one that is wrong; the name is what is inside, in lower case, other signs as dashes.",
	Source:  "our own rule",
	Example: `id TW-11 is in tw-10.md: expected tw-11.md`,
	Grade:   Action,
	Whole: func(c *Case) {
		for _, id := range slices.Sorted(maps.Keys(c.Book.Instruments)) {
			c.fileNamed(c.Book.Instruments[id].Path, c.Book.Instruments[id].ID, About{Instrument: id})
		}
		for _, p := range c.Book.Parts {
			if of := "-" + p.Kind.Written; !strings.HasSuffix(strings.TrimSuffix(p.Path, ".md"), of) {
				c.fileNamed(p.Path, p.Serial, About{})
			}
		}
		for _, d := range c.Book.Deferrals {
			c.fileNamed(d.Path, d.ID, About{})
		}
		for _, d := range c.Book.Decisions {
			c.fileNamed(d.Path, d.ID, About{})
		}
		for _, h := range c.Book.Handovers {
			if day := h.Date.Day; day != 0 && !strings.HasPrefix(path.Base(h.Path), day.String()) {
				c.Report(Finding{Place: h.Date.Place, Grade: Advice, Message: fmt.Sprintf("date %s is in %s", h.Date.Written,
					path.Base(h.Path)), Next: "correct the date, or rename the file: " + day.String() + "-…"})
			} else if day != 0 && h.Rank.Stated() {
				c.rankNamed(h)
			}
		}
	},
}

// rankNamed asks that the name of a handover's file ends with the rank handed over, or with its first words.
func (c *Case) rankNamed(h *logbook.Handover) {
	is := strings.TrimSuffix(strings.TrimPrefix(path.Base(h.Path), h.Date.Day.String()+"-"), ".md")
	rank := logbook.FileName(h.Rank.Written)
	if strings.EqualFold(is, rank) || strings.HasPrefix(rank, is+"-") {
		return
	}
	want := h.Date.Day.String() + "-" + rank + ".md"
	f := Finding{Place: h.Rank.Place, Grade: Advice, Message: "rank " + h.Rank.Written + " is in " + path.Base(h.Path) +
		": expected " + want}
	f.offer(&logbook.Proposal{Place: h.Rank.Place, Was: h.Rank.Written, Path: path.Join(path.Dir(h.Path), want)},
		", or correct the rank")
	c.Report(f)
}

// fileNamed asks that a file is named after its serial or id.
func (c *Case) fileNamed(name string, id logbook.Serial, ab About) {
	if !id.Stated() {
		return
	}
	is, want := path.Base(name), logbook.FileName(id.Written)+".md"
	if strings.EqualFold(is, want) {
		return
	}
	f := Finding{Place: id.Place, About: ab, Message: id.Key + " " + id.Written + " is in " + is + ": expected " + want}
	f.offer(&logbook.Proposal{Place: id.Place, Was: id.Written, Path: path.Join(path.Dir(name), want)},
		", or correct the serial or id")
	c.Report(f)
}
