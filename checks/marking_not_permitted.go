package checks

import "needlebook/logbook"

var markingNotPermitted = &Check{
	Name:  "marking-not-permitted",
	Level: Record,
	Doc: "The nozzle left in the valve bears a marking that is not on the list for this engine. Another number or size of holes changes how the engine burns and " +
		"what it emits, and nozzles are parts that the engine's technical file names. Check the technical file and the record book of engine parameters before it runs, or build in a permitted nozzle.",
	Source:  "NOx Technical Code 2008 (resolution MEPC.177(58)), 6.2.2.3.2, injection nozzle, and 2.4.1.1; the list is the book's own",
	Example: `marking of the nozzle 9x0.38 is not permitted on this engine, permitted: 9x0.36 C`,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, "nozzle.marking")
		if !v.Result.Out() {
			return
		}
		c.Report(onVerdict(o, v, v.Name+" "+v.Written+" is not permitted on this engine, permitted: "+v.LimitText,
			"check the technical file and the record book of engine parameters before it runs, or build in a permitted nozzle"))
	},
	Grade: Stop,
}
