package checks

import (
	"fmt"
	"slices"
	"strings"

	"needlebook/logbook"
)

var correctionNotAsItWas = &Check{
	Name:    "correction-not-as-it-was",
	Subject: OfRecord,
	Ends:    writing,
	Version: 1,
	Needs:   aHistory,
	Level:   Vessel,
	Doc: "A line under corrections states a former value, and the signed text before it held another. What is struck " +
		"through stays legible: a reader of the survey list believes that it stood there. Write what stood there, as it " +
		"was typed.",
	Source:  "common practice, no source: an entry in a logbook is struck through so that it can be read",
	Example: "corrections[0].was 0.97 mm: 0.77 mm stood there",
	Grade:   Action,
	Holds:   wasCorrected,
	Each: func(c *Case, o *logbook.Overhaul) {
		t := c.Trail.Records[o.Path]
		if t == nil {
			return
		}
		for _, x := range o.Corrections {
			s := t.Values[x.What.Written]
			stood := func(e logbook.Earlier) bool { return sameText(e.Written, x.Was.Written) }
			if n := len(s.Before); n > 0 && x.Was.Stated() && !slices.ContainsFunc(s.Before, stood) {
				last := s.Before[n-1].Written
				f := Finding{Place: x.Was.Place, About: about(o), Next: "write what stood there",
					Message: fmt.Sprintf("%s %s: %s stood there", x.Was.Key, x.Was.Written, orGone(last))}
				if k := c.Trail.At(s.Before[n-1].Commit); k != nil {
					f.Evidence = []string{"written " + moment(k) + " " + writtenBy(k)}
				}
				c.Report(f)
			}
		}
	},
}

// sameText says that a former value is written as it stood, but for its marks and blanks, or without its unit.
func sameText(stood, was string) bool {
	a, b := lettersAlone(stood), lettersAlone(was)
	return a == b || b != "" && strings.HasPrefix(a, b) && !strings.ContainsAny(a[len(b):len(b)+1], "0123456789")
}
