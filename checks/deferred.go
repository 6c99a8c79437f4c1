package checks

import "needlebook/logbook"

// deferred makes a finding on a limit a note where the record's deferral covers it, and says what a deferral lacks that
// does not. When a deferral runs out, a check of its own stops.
func deferred(c *Case, o *logbook.Overhaul, f *Finding, limit string) {
	d, why := c.Book.DeferralOf(o, limit)
	if d == nil {
		if why != "" {
			f.Next += "; " + why
		}
		return
	}
	f.Grade = Note
	f.Message += ", deferred by " + d.ID.Written + " for " + d.End()
	f.Next = "keep to what the deferral asks for until then"
	f.Related = append(f.Related, Related{d.Opening, "the deferral"})
}
