package checks

import (
	"fmt"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

var nozzlesRejectedInHolder = &Check{
	Name:    "nozzles-rejected-in-holder",
	Subject: OfHolder,
	Ends:    faceGround,
	Version: 1,
	Level:   History,
	Doc: "One holder has had nozzle after nozzle rejected within a short time, whatever cylinder it sat in. A crack or " +
		"a bad joint face in the holder spoils every nozzle " +
		"that is put on it, and looks like a bad cylinder on one engine and then on the other. Only rejections in the " +
		"first part of a nozzle's life count (early_reject), and none that a fouled round, a crack, " +
		"a lift beyond its limit or a wrong marking explains. Stop changing nozzles: blue the joint face, test the fuel " +
		"drilling with dye, and compare with the other holders, whose count the finding shows.",
	Source:  "common practice, no source",
	Example: "holder H-109 has rejected 2 nozzles within 1015 h",
	Grade:   Action,
	Whole: func(c *Case) {
		for _, t := range c.Recurring().ByHolder() {
			o := t.Last.Overhaul
			var nozzles []string
			f := Finding{Place: o.PlaceOf(keys.DecidedNozzle), About: about(o),
				Next: "stop changing nozzles: blue the joint face of the holder, test its fuel drilling with dye"}
			for _, r := range t.All {
				nozzles = append(nozzles, r.Nozzle)
				if r.Overhaul != o {
					f.Related = append(f.Related, Related{r.Overhaul.PlaceOf(keys.DecidedNozzle),
						fmt.Sprintf("%s in %s on %s: nozzle %s rejected at %.0f h", r.Holder, r.Position, r.Overhaul.Removed.Date,
							r.Nozzle, r.NozzleHours)})
				}
			}
			most, others := c.Recurring().MostElsewhere(t.Last.Holder)
			f.Message = fmt.Sprintf("holder %s has rejected %d nozzles within %.0f h", t.Last.Holder, len(t.All),
				t.Last.HolderHours-t.All[0].HolderHours)
			f.Evidence = []string{strings.Join(nozzles, ", ")}
			if most == 0 {
				f.Evidence = append(f.Evidence, fmt.Sprintf("none of the %d other holders any", others))
			} else {
				f.Evidence = append(f.Evidence, fmt.Sprintf("the %d other holders at most %d", others, most))
			}
			if at := condemnedHolder(c, t.Last.Holder); at != nil {
				f.Grade, f.Next = Note, "the holder is condemned"
				if at.Path != f.Place.Path {
					f.Related = append(f.Related, Related{*at, "condemned"})
				}
			}
			c.Report(f)
		}
	},
}

// condemnedHolder is where it is written that a holder was condemned; nil where it was not.
func condemnedHolder(c *Case, holder string) *logbook.Place {
	for _, o := range c.Lives.Benches(holder) {
		if o.Decided.Holder.Is("condemn") {
			return &o.Decided.Holder.Place
		}
	}
	if p := c.Book.Part("holder", holder); p != nil && p.Condemned.Stated() {
		return &p.Condemned.Place
	}
	return nil
}
