package checks

import "needlebook/logbook"

var cleaning = &Check{
	Name:    "cleaning",
	Subject: OfHolder,
	Ends:    builtAgain,
	Version: 1,
	Level:   Record,
	Doc: "The valve was cleaned in a way that harms it, or not to the end. A steel brush rounds the edges of the spray " +
		"holes and scratches the tip, where cracks begin; " +
		"carbon left in the nut tilts the nozzle, and what stays in the drillings blocks a hole at the first injection. " +
		"Use brass or wood, rinse and blow the drillings through, and wet the needle.",
	Source:  "common practice, no source",
	Example: `a steel brush was used: it harms the tip and the edges of the holes`,
	Holds:   wasCleaned,
	Each: func(c *Case, o *logbook.Overhaul) {
		cl := o.Cleaned
		for _, x := range []struct {
			word          logbook.Word
			bad           string
			message, next string
			grade         Grade
		}{
			{cl.Brush, "steel", "a steel brush was used: it harms the tip and the edges of the holes",
				"look at tip and holes under a lens; use brass or wood", Action},
			{cl.Nut, "carbon left", "carbon was left inside the nozzle nut: the nozzle sits askew",
				"clean the nut before the valve is built", Action},
			{cl.ChannelsBlown, "no", "the drillings were not blown through", "rinse and blow them before the valve is built",
				Advice},
			{cl.NeedleWetted, "no", "the needle went in dry", "wet the needle with clean oil, and note how it falls", Advice},
		} {
			if x.word.Is(x.bad) {
				c.Report(Finding{Place: x.word.Place, Message: x.message, Next: x.next, Grade: x.grade, About: about(o)})
			}
		}
	},
	Grade: Action,
}
