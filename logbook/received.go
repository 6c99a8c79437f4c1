package logbook

import (
	"cmp"
	"strings"

	"needlebook/logbook/measure"
)

// Received is a complete valve that came on board built, set and tested by somebody else: an exchange unit of a
// workshop, or a valve of another ship. What its record holds as left is theirs.
type Received struct {
	Block
	Date        Date         `key:"date" doc:"day it came on board"`
	From        Text         `key:"from" doc:"workshop or ship it came from"`
	Certificate Text         `key:"certificate" doc:"number of the certificate: as left is by it"`
	Scan        Text         `key:"file" doc:"the certificate as a file of the book: photos/…"`
	LimitsUsed  Text         `key:"limits_used" doc:"limits that it was set and tested by, as the certificate names them"`
	Uncertainty CertifiedFor `key:"uncertainty" doc:"expanded uncertainty (k = 2) that the certificate states"`
	For         Serial       `key:"for" doc:"engine it is meant for" as:"engine"`
	State       Word         `key:"state" words:"new|used|reground" doc:"what it is set as: new where nozzle, holder or spring is new"`
	Hours       Amount       `key:"nozzle_hours" unit:"h" doc:"hours the nozzle had run by then"`
	InPlaceOf   Serial       `key:"in_place_of" doc:"holder that was landed, and for which this one came"`
	Marking     Word         `key:"marking" words:"as certified|differs|not readable" doc:"marking of the nozzle, looked at on board"`
	Caps        Word         `key:"caps" words:"in place|missing" doc:"caps of the openings, looked at on board"`
	Opened      OpenedAboard `key:"opened_aboard" doc:"one opening on the bench on board"`
}

// CertifiedFor is the uncertainty that a certificate states, by what was measured.
type CertifiedFor struct {
	Block
	Pressure Amount `key:"pressure" unit:"bar" doc:"of its pressures"`
	Time     Amount `key:"time" unit:"s" doc:"of its times"`
	Length   Amount `key:"length" unit:"mm" doc:"of its lengths"`
	Torque   Amount `key:"torque" unit:"N·m" doc:"of its torques"`
}

// OpenedAboard is the opening of a received valve on the bench on board.
type OpenedAboard struct {
	Block
	Date    Date    `key:"date" doc:"day"`
	Bench   Serial  `key:"bench" doc:"test bench, an instrument of the book" as:"instrument"`
	Gauge   Serial  `key:"gauge" doc:"pressure gauge, an instrument of the book" as:"instrument"`
	Opening Amounts `key:"opening_pressure" unit:"bar" doc:"opening pressure; one reading is enough"`
}

// By says in words whose figures those of a received valve are: "by certificate WC-118".
func (r *Received) By() string {
	if r.Certified() {
		return certified + " " + r.Certificate.Written
	}
	return "by " + cmp.Or(r.From.Written, "its sender") + ", no certificate"
}

// Certified says that a certificate came along: none (test sheet lost) is none.
func (r *Received) Certified() bool {
	return r.Certificate.Stated() && !strings.HasPrefix(strings.ToLower(r.Certificate.Written), "none")
}

// certified marks a value that a certificate states and nobody on board has taken.
const certified = "by certificate"

// ByCertificate marks the value at a key of a record that is not the ship's own: "by certificate", or "by its
// sender" where no certificate came along; empty for what was taken on board. The build and the test as left of a
// received valve are its sender's, unless an instrument of this book is named there; so is a measured value without
// an instrument.
func (b *Book) ByCertificate(o *Overhaul, key, instrument string) string {
	if !o.Received.Stated() {
		return ""
	}
	block, _, _ := strings.Cut(key, ".")
	switch {
	case (block == "as_left" || block == "assembled") && b.Instruments[instrument] == nil,
		(block == "measured" || block == "effective_lift") && instrument == "":
		if o.Received.Certified() {
			return certified
		}
		return "by its sender"
	}
	return ""
}

// class is the setting class that a received valve is said to be of.
func (r *Received) class() (c Class, stated bool) {
	for _, c := range []Class{Used, New, Reground} {
		if r.State.Is(c.String()) {
			return c, true
		}
	}
	return Used, false
}

// LeftOn is the day whose limits hold for how a record leaves the valve: that of the test, or on which a valve that
// was built elsewhere came on board.
func (o *Overhaul) LeftOn() Day {
	return cmp.Or(o.Received.Date.Day, o.AsLeft.Date.Day, o.Stored.Date.Day, o.Fitted.Date.Day, o.Day())
}

// Of is the uncertainty of a kind of quantity; it has no valid quantity where the certificate states none.
func (c *CertifiedFor) Of(kind measure.Kind) Amount {
	for _, a := range []Amount{c.Pressure, c.Time, c.Length, c.Torque} {
		if a.Quantity.Valid() && a.Kind() == kind {
			return a
		}
	}
	return Amount{}
}

// BenchOn is the day of the bench work of a record: of a valve that was built elsewhere, that on which it came
// on board.
func (o *Overhaul) BenchOn() Day {
	return cmp.Or(o.Received.Date.Day, o.AsFound.Date.Day, o.AsLeft.Date.Day, o.Day())
}

// At is where a key of the block is written, or the block itself where it is not.
func (r *Received) At(l Leaf) Place {
	if l.Present() {
		return l.Place
	}
	return r.Place
}

// TestedOn is the day of the last test of the valve as the record leaves it: of a received one, of its opening
// on board.
func (o *Overhaul) TestedOn() Date {
	if d := o.Received.Opened.Date; d.Day != 0 {
		return d
	}
	return o.AsLeft.Date
}

// LeftBy marks how a record leaves the valve, where that is not the ship's own work: see [Book.ByCertificate].
func (b *Book) LeftBy(o *Overhaul) string {
	return b.ByCertificate(o, "as_left", o.AsLeft.Gauge.Written)
}
