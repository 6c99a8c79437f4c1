package checks

import (
	"cmp"
	"slices"
	"strings"

	"needlebook/logbook"
)

// deferred names the record's deferral where it covers a finding, and says what a deferral lacks that does not. It
// covers what exceeds the limit that it names, and any stop about a part or its place of the check that it names, but
// for what no later work ends. The finding is deferred while that is in force; when it runs out, a check of its own
// stops.
func (c *Case) deferred(o *logbook.Overhaul, f *Finding) {
	may := f.Grade == Stop && c.check.Subject <= OfPocket && !c.check.Ends.Never
	if o == nil || f.defers == "" && !may {
		return
	}
	d, why := c.Book.DeferralOf(o, cmp.Or(f.defers, c.check.Name), c.check.Name, c.limitKey(f.Limit))
	if d != nil {
		if lacks := c.Trail.Unapproved(d); lacks != "" {
			d, why = nil, "deferral "+d.ID.Written+" "+lacks
		}
	}
	switch {
	case f.defers == "" && !c.namedFor(o, f):
	case d != nil:
		f.Deferral = d
		f.Evidence = append(f.Evidence, "deferred by "+d.ID.Written+" for "+d.End())
		f.Next = "keep to what the deferral asks for until then"
		f.Related = append(f.Related, Related{d.Opening, "the deferral"})
	case why != "":
		f.Next += "; " + why
	}
}

// namedFor says that a deferral of the record names the check of a finding, or its limit.
func (c *Case) namedFor(o *logbook.Overhaul, f *Finding) bool {
	return slices.ContainsFunc(c.Book.DeferralsOf(o), func(d *logbook.Deferral) bool {
		return d.Concerns(c.check.Name, c.limitKey(f.Limit))
	})
}

// limitKey is the key at the top of a limits file's revision under which a limit is written; empty where there is none.
func (c *Case) limitKey(l *Limit) (key string) {
	if l == nil {
		return ""
	}
	for _, file := range c.Book.Limits {
		if file.Path != l.Place.Path {
			continue
		}
		for i := range file.Revisions {
			logbook.Says(&file.Revisions[i], func(s logbook.Said) {
				if s.Leaf.Place == l.Place && s.Leaf.Present() {
					key, _, _ = strings.Cut(s.Key, ".")
				}
			})
		}
	}
	return key
}
