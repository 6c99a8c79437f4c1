package checks

import (
	"strings"

	"needlebook/logbook"
)

var assemblyIncorrect = &Check{
	Name:    "assembly-incorrect",
	Subject: OfHolder,
	Ends:    builtAgain,
	Version: 2,
	Level:   Record,
	Doc: "The record says itself that something about the build is not right: dowels not seated, joint faces dirty, the " +
		"lock nut loose after setting, the valve stored open. Dirt between the " +
		"faces leaks and cracks the holder, and a loose lock nut lets the setting go within hours. Put it right and " +
		"test again.",
	Source:  "common practice, no source",
	Example: `the lock nut is loose as left: the setting will not hold`,
	Holds:   wasBuilt,
	Each: func(c *Case, o *logbook.Overhaul) {
		faced, r, f := o.Fitted.PocketFaced, &o.Removed, &o.Fitted
		if strings.EqualFold(r.Pocket.Written, "good") && r.Engine.Written == f.Engine.Written &&
			r.Cylinder.Written == f.Cylinder.Written {
			faced = logbook.Word{} // a good seat is not cut
		}
		for _, x := range []struct {
			word          logbook.Word
			bad           string
			message, next string
			grade         Grade
		}{
			{o.Stripped.SpringReleased, "after the nut", "the nut was slackened under the tension of the spring",
				"next time release the spring first: the parts fly, and the dowels shear", Advice},
			{o.Assembled.Dowels, "loose", "dowels not seated", "take it apart: the nozzle turns under the nut and shears them",
				Action},
			{o.Assembled.Faces, "dirty", "joint faces dirty at assembly",
				"take it apart and clean the faces: dirt leaks, and cracks the holder under the nut", Action},
			{o.AsLeft.LockNut, "loose", "the lock nut is loose as left: the setting will not hold",
				"tighten it and read the opening pressure again", Action},
			{o.Stored.Capped, "no", "the openings were not capped in the spares rack",
				"cap them, and test the valve again before it is fitted", Advice},
			{faced, "no", "the seat of the pocket was not faced",
				"look for blow-by at the next round, and face it then; or write pocket: good", Advice},
		} {
			if x.word.Is(x.bad) {
				c.Report(Finding{Place: x.word.Place, Message: x.message, Next: x.next, Grade: x.grade, About: about(o)})
			}
		}
	},
	Grade: Action,
}
