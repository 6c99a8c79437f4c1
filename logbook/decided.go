package logbook

import "strings"

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

// DeferralOf is the deferral that a record names for exceeding a limit, by the limit's key: approved, with an end, and
// for this record or part. why says what a named one lacks; both are empty where the record names none. A deferral that
// has run out still covers the decision of its day.
func (b *Book) DeferralOf(o *Overhaul, limit string) (d *Deferral, why string) {
	if !o.Deferral.Stated() {
		return nil, ""
	}
	name := "deferral " + o.Deferral.Written
	for _, x := range b.Deferrals {
		if x.ID.Written != o.Deferral.Written {
			continue
		}
		switch {
		case x.Limit.Stated() && !strings.HasPrefix(x.Limit.Written, limit):
			return nil, name + " is for another limit, " + x.Limit.Written
		case x.Record.Stated() && x.Record.Written != o.Stem:
			return nil, name + " is for another record, " + x.Record.Written
		case !x.Hours.Quantity.Valid() && x.Until.Day == 0:
			return nil, name + " has no end and is not valid"
		case !x.Approved.By.Stated():
			return nil, name + " is not approved"
		}
		return x, ""
	}
	return nil, name + " is not in the book"
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
