package checks

import "needlebook/logbook"

var effectiveStrokeOver = &Check{
	Name:  "effective-stroke-over",
	Level: Record,
	Doc: "The effective stroke, the nozzle's stroke with the wear of the holder's face, is beyond its limit and the parts go back. A needle that travels too " +
		"far lands too hard: it hammers its seat and breaks the tip, and a broken tip lies in the cylinder. Renew the nozzle, or have it ground and measure again; " +
		"if it must run, an approved deferral with an end is needed, and makes this a note. At a safety limit, and where the limits file names the guarded rule, the doubt of the gauge counts against the part. A stroke alone beyond the limit is beyond it whatever the face has worn.",
	Source:  "common practice, no source; the limit is the book's own",
	Example: `effective stroke 0.94 mm is 0.04 mm above the limit 0.90 mm (stroke 0.91 mm + holder wear 0.03 mm)`,
	Each: func(c *Case, o *logbook.Overhaul) {
		v := c.Judged.Find(o, "effective_stroke")
		if !o.NozzleReturns() || !v.Result.Out() && !v.Unaccepted() {
			return
		}
		stroke, wear := o.Measured.Stroke.Value, o.Measured.HolderWear.Value
		if !o.HolderReturns() && (!stroke.Quantity.Valid() || v.Span.Side(stroke.Quantity) == 0) {
			return // the worn face does not go back, and the stroke alone is within
		}
		if mistaken(c, o)[stroke.Place] {
			return
		}
		f := onVerdict(o, v, beyond(v), "renew the nozzle, or have it ground and measure again; if it must run, an approved deferral is needed")
		if v.Unaccepted() {
			unaccepted(&f, v)
		}
		if stroke.Quantity.Valid() && wear.Quantity.Valid() {
			f.Message += " (stroke " + stroke.String() + " + holder wear " + wear.String() + ")"
		}
		deferred(c, o, &f, "effective_stroke")
		c.Report(f)
	},
	Grade: Stop,
}
