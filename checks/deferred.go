package checks

import "needlebook/logbook"

// deferred names the record's deferral where it covers a finding on a limit, and says what a deferral lacks that does
// not. The finding is deferred while that is in force; when it runs out, a check of its own stops.
func deferred(c *Case, o *logbook.Overhaul, f *Finding, limit string) {
	d, why := c.Book.DeferralOf(o, limit)
	if d == nil {
		if why != "" {
			f.Next += "; " + why
		}
		return
	}
	f.Deferral = d
	f.Evidence = append(f.Evidence, "deferred by "+d.ID.Written+" for "+d.End())
	f.Next = "keep to what the deferral asks for until then"
	f.Related = append(f.Related, Related{d.Opening, "the deferral"})
}
