package logbook

import (
	"cmp"
	"slices"
	"strings"
)

// NozzleReturns says that the nozzle measured goes back into service as it was measured: decided so, or left in the
// valve without a decision. One that is to be ground goes back only after it is measured again.
func (o *Overhaul) NozzleReturns() bool {
	if o.Decided.Nozzle.Stated() {
		return o.Decided.Nozzle.Is("reuse", "clean", "lap")
	}
	return o.Built() && o.Nozzle.Left.Stated() && o.Nozzle.Left.Written == o.Nozzle.Found.Written
}

// HolderReturns says that the holder goes back with its face as it was measured.
func (o *Overhaul) HolderReturns() bool {
	if o.Decided.Holder.Stated() {
		return o.Decided.Holder.Is("reuse", "clean")
	}
	return o.Built()
}

// SpringReturns says that the spring goes back.
func (o *Overhaul) SpringReturns() bool {
	if o.Decided.Spring.Stated() {
		return o.Decided.Spring.Is("reuse")
	}
	return o.Built()
}

// Built says that the record claims a valve set and tested, in the spares rack or fitted.
func (o *Overhaul) Built() bool { return o.AsLeft.Stated() || o.Stored.Stated() || o.Fitted.Stated() }

// DeferralOf is the deferral of a record for exceeding a limit, by the limit's key: approved, with an end, and for this
// record or part. The record names it, or it names the record: one that the office gives later changes no record that
// was countersigned. why says what it lacks; both are empty where there is none. A deferral that has run out still
// covers the decision of its day.
func (b *Book) DeferralOf(o *Overhaul, limits ...string) (d *Deferral, why string) {
	for _, x := range b.DeferralsOf(o) {
		name := "deferral " + x.ID.Written
		lacks := b.Lacks(x)
		switch {
		case x.Limit.Stated() && !x.Concerns(limits...):
			lacks = name + " is for another limit, " + x.Limit.Written
		case x.Record.Stated() && x.Record.Written != o.Stem:
			lacks = name + " is for another record, " + x.Record.Written
		case lacks != "":
			lacks = name + " " + lacks
		default:
			return x, ""
		}
		if why == "" {
			why = lacks
		}
	}
	if why == "" && o.Deferral.Stated() {
		why = "deferral " + o.Deferral.Written + " is not in the book"
	}
	if why == "" {
		why = b.unnamed(o, limits...)
	}
	return nil, why
}

// DeferralsOf are the deferrals of a record: what it names, else those that name the record.
func (b *Book) DeferralsOf(o *Overhaul) []*Deferral {
	var all []*Deferral
	for _, x := range b.Deferrals {
		if o.Deferral.Stated() && x.ID.Written == o.Deferral.Written ||
			!o.Deferral.Stated() && x.Record.Stated() && x.Record.Written == o.Stem {
			all = append(all, x)
		}
	}
	return all
}

// unnamed says that a deferral is for a part of the record and the limit, and names no record.
func (b *Book) unnamed(o *Overhaul, limits ...string) string {
	for _, x := range b.Deferrals {
		part := x.Nozzle.Stated() && x.Nozzle.Written == o.NozzleOut() ||
			!x.Nozzle.Stated() && x.Holder.Stated() && x.Holder.Written == o.Holder.Written
		if part && !x.Record.Stated() && x.Concerns(limits...) {
			return "deferral " + x.ID.Written + " names no record: write record: " + o.Stem + " in it"
		}
	}
	return ""
}

// Concerns says that a deferral names one of some limits, or one that stands below it.
func (d *Deferral) Concerns(limits ...string) bool {
	return slices.ContainsFunc(limits, func(l string) bool { return l != "" && strings.HasPrefix(d.Limit.Written, l) })
}

// Lacks says why a deferral covers nothing: "is not approved"; empty where it does. The chief engineer alone may give a
// provisional one, no longer than the book's settings allow, and one for a part.
func (b *Book) Lacks(d *Deferral) string {
	switch {
	case d.End() == "":
		return "has no end and is not valid"
	case !d.Approved.By.Stated():
		return "is not approved"
	case b.neitherChiefNorAshore(d):
		return "was approved by " + d.Approved.By.Written + ", neither chief engineer that day nor ashore"
	case !b.byChief(d):
		return ""
	}
	most := b.Vessel.Settings.WithDefaults().ProvisionalMost
	if !d.within(most.Float()) {
		return "is by the chief alone, and is longer than " + most.String()
	}
	before := func(e *Deferral) bool {
		return cmp.Or(cmp.Compare(e.From.Day, d.From.Day), cmp.Compare(e.Path, d.Path)) < 0
	}
	for _, e := range b.Deferrals {
		if part := b.partOf(d); e != d && part != "" && before(e) && b.partOf(e) == part && b.byChief(e) &&
			e.within(most.Float()) {
			return "is the chief's second for " + part + ", after " + e.ID.Written + ": the office gives it"
		}
	}
	return ""
}

// neitherChiefNorAshore says that whoever approved a deferral was of the crew, and not the chief engineer that day. Who
// is not in the list of the crew is ashore.
func (b *Book) neitherChiefNorAshore(d *Deferral) bool {
	periods := b.Aboard(d.Approved.By.Written)
	office := slices.ContainsFunc(periods, func(p CrewPeriod) bool {
		return strings.Contains(strings.ToLower(p.Rank.Written), "superintendent")
	})
	return len(periods) > 0 && !office && !b.byChief(d)
}

// byChief says that whoever approved a deferral was the chief engineer then.
func (b *Book) byChief(d *Deferral) bool {
	day := cmp.Or(d.Approved.Date.Day, d.From.Day)
	return slices.ContainsFunc(b.Aboard(d.Approved.By.Written), func(p CrewPeriod) bool {
		aboard := day == 0 || p.From.Day <= day && (p.To.Day == 0 || day <= p.To.Day)
		return aboard && strings.EqualFold(p.Rank.Written, "chief engineer")
	})
}

// within says that a deferral ends, by its hours or by its day, within some hours.
func (d *Deferral) within(hours float64) bool {
	from := cmp.Or(d.From.Day, d.Approved.Date.Day)
	return d.Hours.Quantity.Valid() && d.Hours.Float() <= hours ||
		d.Until.Day != 0 && from != 0 && float64(24*d.Until.Day.Days(from)) <= hours
}

// partOf is the part that a deferral is about, in words: its nozzle or holder, else the nozzle that its record left in
// the valve, else the holder.
func (b *Book) partOf(d *Deferral) string {
	nozzle, holder := d.Nozzle.Written, d.Holder.Written
	if o := b.Overhaul(d.Record.Written); o != nil && nozzle == "" && holder == "" {
		nozzle, holder = o.Nozzle.Left.Written, o.Holder.Written
	}
	switch {
	case nozzle != "":
		return "nozzle " + nozzle
	case holder != "":
		return "holder " + holder
	}
	return ""
}

// Open says that the deferral has begun on a day and is not closed. It may have run out all the same.
func (d *Deferral) Open(on Day) bool {
	closed := d.Closed.Stated() && d.Closed.Date.Day <= on // closed on no stated day is closed
	return d.From.Day <= on && !closed
}

// End is when the deferral ends, in words: "500 h or 2023-08-09".
func (d *Deferral) End() string {
	var ends []string
	if d.Hours.Quantity.Valid() {
		ends = append(ends, d.Hours.String())
	}
	if d.Until.Day != 0 {
		ends = append(ends, d.Until.Written)
	}
	return strings.Join(ends, " or ")
}
