package checks

import (
	"needlebook/checks/recurring"
	"needlebook/logbook"
)

var nozzlesRejectedInHolder = &Check{
	Name:    "nozzles-rejected-in-holder",
	Subject: OfHolder,
	Ends:    faceGround,
	Version: 3,
	Level:   History,
	Doc: "One holder has had valve after valve fail, whatever cylinder it was in. A crack or a bad joint face in the " +
		"holder spoils every nozzle that is put on it, and looks like a bad cylinder on one engine and then on the other. " +
		"Failed as found, pulled before its time and rejected early count; what a marking or a lift explains does not. " +
		"Holder, position, cylinder head, nozzle batch, round, fuel and chance are compared with one another on the " +
		"ship's own share of failures; the holder is named where it failed in two positions or more. " +
		"Stop changing nozzles: blue the joint face, test the fuel drilling with dye. " + measuredHolder,
	Source:  recurringSource,
	Example: "holder H-109: 6 of 6 valves failed, of the others 12 of 180",
	Grade:   Action,
	Whole: func(c *Case) {
		c.explainedBy([]recurring.Kind{recurring.ByHolder}, func(f *recurring.Failures, out Finding) {
			if out.Next == "" {
				out.Next = "stop changing nozzles: blue the joint face of the holder, test its fuel drilling with dye"
			}
			if at := condemnedHolder(c, f.Name); at != nil {
				out.Grade, out.Next = Note, "the holder is condemned"
				if at.Path != out.Place.Path {
					out.Related = append(out.Related, Related{*at, "condemned"})
				}
			}
			c.Report(out)
		})
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
