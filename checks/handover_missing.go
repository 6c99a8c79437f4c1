package checks

import (
	"fmt"
	"sort"
	"strings"

	"needlebook/logbook"
)

var handoverMissing = &Check{
	Name:    "handover-missing",
	Subject: OfPost,
	Ends:    &End{Ways: only("the handover page is written and signed")},
	Version: 1,
	Level:   Vessel,
	Doc: "One person left and another took over in a rank, and no handover page joins the two. What is " +
		"suspect, what was " +
		"promised and which valve waits for what is lost on the quay; the next engineer begins blind. " +
		"Write the page from both sides while both can be asked, and sign it. A rank is asked for pages once the book has " +
		"one of that rank. With a history, the page must be signed by the one who left or the one who took over.",
	Source:  "common practice, no source",
	Example: "second engineer a.brekkestad came on 2023-09-19 without a handover page",
	Grade:   Action,
	Whole: func(c *Case) {
		ranks, first := ranksWithPages(c.Book)
		for _, rank := range ranks {
			periods := periodsInRank(c.Book, rank)
			for i := 1; i < len(periods); i++ {
				if l, j := periods[i-1], periods[i]; l.ID.Written != j.ID.Written && j.From.Day >= first[rank] &&
					j.From.Day <= c.Today {
					handedOver(c, rank, l, j)
				}
			}
		}
	},
}

// ranksWithPages lists the ranks of which the book has handover pages, and the day of the first.
func ranksWithPages(b *logbook.Book) (ranks []string, first map[string]logbook.Day) {
	first = map[string]logbook.Day{}
	for _, h := range b.Handovers {
		rank := strings.ToLower(h.Rank.Written)
		if _, known := first[rank]; !known && rank != "" && h.Date.Day != 0 {
			ranks = append(ranks, rank)
			first[rank] = h.Date.Day
		}
	}
	sort.Strings(ranks)
	return ranks, first
}

func periodsInRank(b *logbook.Book, rank string) []logbook.CrewPeriod {
	var periods []logbook.CrewPeriod
	for _, s := range b.Crew {
		if strings.ToLower(s.Rank.Written) == rank && s.From.Day != 0 {
			periods = append(periods, s)
		}
	}
	sort.SliceStable(periods, func(i, j int) bool { return periods[i].From.Day < periods[j].From.Day })
	return periods
}

// handedOver looks for the page between one who leaves and one who takes over.
func handedOver(c *Case, rank string, l, j logbook.CrewPeriod) {
	left := l.To.Day
	if left == 0 {
		left = j.From.Day
	}
	within := logbook.Day(c.Settings.HandoverWithin.Float())
	for _, h := range c.Book.Handovers {
		if strings.ToLower(h.Rank.Written) != rank || h.Date.Day < min(left, j.From.Day)-within ||
			h.Date.Day > max(left, j.From.Day)+within {
			continue
		}
		if (!h.From.Stated() || h.From.Written == l.ID.Written) && (!h.To.Stated() || h.To.Written == j.ID.Written) {
			signedByEither(c, h, l.ID.Written, j.ID.Written)
			return
		}
	}
	n := 0
	for _, o := range c.Book.Overhauls {
		if d := o.Day(); d >= left && d <= j.From.Day {
			n++
		}
	}
	f := Finding{Place: j.Place, About: About{Person: j.ID.Written}, Related: []Related{{l.Place, "who left"}},
		Message:  fmt.Sprintf("%s %s came on %s without a handover page", rank, j.ID, j.From),
		Evidence: []string{fmt.Sprintf("%s left on %s", l.ID, left)},
		Next:     "write the page from both sides while both can be asked"}
	if n > 0 {
		f.Evidence = append(f.Evidence, numbered(n, "valve was", "valves were")+" handled between")
	} else {
		f.Grade = Advice
	}
	c.Report(f)
}

// signedByEither asks that one of the two answers for the page.
func signedByEither(c *Case, h *logbook.Handover, left, came string) {
	t := c.Trail.Records[h.Path]
	if t == nil {
		return
	}
	for _, s := range t.Signers {
		if person, _, _ := strings.Cut(s, "@"); person == left || person == came {
			return
		}
	}
	c.Report(Finding{Place: h.Opening, About: About{Person: came},
		Message: fmt.Sprintf("handover of %s from %s to %s is signed by neither", h.Date, left, came),
		Next:    "one of the two must sign it"})
}
