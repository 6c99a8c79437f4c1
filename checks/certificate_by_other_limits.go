package checks

import (
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

var certificateByOtherLimits = &Check{
	Name:    "certificate-by-other-limits",
	Subject: OfRecord,
	Ends:    writing,
	Version: 2,
	Level:   Record,
	Doc: "The certificate of a valve that came on board names other limits than those in force on that day: an older " +
		"revision, or a source that the limits file does not know. What a workshop sets by an old manual is within for the " +
		"workshop and may be beyond here; needlebook judges it by the limits in force. Ask the workshop, or correct the " +
		"line; where both are the same under two names, write the name as the limits file has it.",
	Source:  "common practice, no source",
	Example: "certificate WC-118 is by limits of 2021-01-01, in force are those of 2022-06-01",
	Holds:   wasReceived,
	Each: func(c *Case, o *logbook.Overhaul) {
		r, l := &o.Received, c.Book.LimitsAsLeft(o)
		if !r.LimitsUsed.Stated() || l == nil {
			return
		}
		var inForce, named *logbook.Revision
		for i := range l.Revisions {
			e := &l.Revisions[i]
			if e.From.Day == 0 || e.From.Day > r.Date.Day {
				continue
			}
			if inForce == nil || e.From.Day >= inForce.From.Day {
				inForce = e
			}
			if names(r.LimitsUsed.Written, e) && (named == nil || e.From.Day >= named.From.Day) {
				named = e
			}
		}
		if inForce == nil || named == inForce {
			return
		}
		is := "is by limits that " + l.Name + " does not have"
		if named != nil {
			is = "is by limits of " + named.From.Written
		}
		c.Report(Finding{Place: r.LimitsUsed.Place, About: about(o),
			Message: logbook.Called("certificate", r.Certificate.Written) + " " + is + ", in force are those of " +
				inForce.From.Written,
			Evidence: []string{"limits used: " + r.LimitsUsed.Written, "in force: " + inForce.Source.Written},
			Related:  []Related{{inForce.Source.Place, "source of the limits in force"}},
			Next:     "ask the workshop; name the limits as the limits file does where they are the same"})
	},
	Grade: Advice,
}

// names says that a text names a revision of limits: its first day, or its source, whatever the letters and the spaces,
// or the setting itself, as certificates state it.
func names(text string, e *logbook.Revision) bool {
	fold := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }
	used, source := fold(text), fold(e.Source.Written)
	span, slips := measure.ParseSpan(text, measure.Pressure)
	if len(slips) == 0 && span.Low.Valid() && span.High.Valid() {
		return slices.ContainsFunc([]logbook.Band{e.Opening.Used, e.Opening.New, e.Opening.Reground},
			func(b logbook.Band) bool {
				return b.Span.Low.Valid() && b.Span.High.Valid() && b.Span.Low.Compare(span.Low) == 0 &&
					b.Span.High.Compare(span.High) == 0
			})
	}
	return strings.Contains(used, e.From.Day.String()) || source != "" && used == source
}
