package export

import (
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/measure"
)

// amount is a quantity's number in the unit named, as written where that is its unit; empty where there is none.
func amount(q measure.Quantity, unit string) string {
	if !q.Valid() {
		return ""
	}
	u := measure.Find(q.Kind(), unit)
	if u == nil {
		return ""
	}
	return Number(q.In(u))
}

// Number is the bare number of a quantity, without a plus sign.
func Number(q measure.Quantity) string {
	if !q.Valid() {
		return ""
	}
	n := q.Number()
	if len(n) > 0 && n[0] == '+' {
		n = n[1:]
	}
	return n
}

func day(d logbook.Day) string {
	if d == 0 {
		return ""
	}
	return d.String()
}

func whole(n logbook.Number) string {
	if !n.Valid {
		return ""
	}
	return strconv.FormatFloat(n.Value, 'f', -1, 64)
}

// Overhauls has one row a record, in the order of the book.
func Overhauls(b *logbook.Book) Table {
	t := Table{Name: "overhauls", Doc: "one row an overhaul", Columns: []Column{
		{"record", false, "file name of the record, without .md"}, {"path", false, "where it stands in the book"},
		{"engine", false, "engine it was removed from"}, {"cylinder", false, "cylinder it was removed from"},
		{"removed", false, "day of the removal"},
		{"counter_h", true, "hour counter at the removal"}, {"reason", false, "why it was pulled"},
		{"holder", false, "serial of the holder"},
		{"nozzle_found", false, "serial of the nozzle as found"}, {"nozzle_left", false, "serial of the nozzle as left"},
		{"marking", false, "marking of the nozzle as left"},
		{"opening_found_bar", true, "opening pressure as found, the middle reading"},
		{"opening_left_bar", true, "opening pressure as left, the middle reading"},
		{"setting_class", false, "used, new or reground: what the setting goes by"},
		{"decided_nozzle", false, "decision on the nozzle"}, {"decided_holder", false, "decision on the holder"},
		{"decided_spring", false, "decision on the spring"}, {"stored", false, "day it went in the spares rack"},
		{"fitted_engine", false, "engine it was fitted in"},
		{"fitted_cylinder", false, "cylinder it was fitted in"}, {"fitted", false, "day of the fitting"},
		{"fitted_counter_h", true, "hour counter at the fitting"},
		{"by", false, "who did the bench work"}, {"checked_by", false, "who released the valve"},
		{"minutes", true, "working time on the bench"}, {"remarks", false, "text below the front matter"},
	}}
	for _, o := range b.Overhauls {
		class := ""
		if o.Built() {
			class = b.Lives().ClassOf(o).String()
		}
		t.Rows = append(t.Rows, []string{o.Stem, o.Path, o.Removed.Engine.Written, o.Removed.Cylinder.Written,
			day(o.Removed.Date.Day), amount(o.Removed.Counter.Quantity, "h"),
			o.Removed.Reason.Written, o.Holder.Written, o.Nozzle.Found.Written, o.Nozzle.Left.Written, o.Nozzle.Marking.Written,
			amount(o.AsFound.Opening.Median().Quantity, "bar"), amount(o.AsLeft.Opening.Median().Quantity, "bar"), class,
			o.Decided.Nozzle.Written, o.Decided.Holder.Written, o.Decided.Spring.Written, day(o.Stored.Date.Day),
			o.Fitted.Engine.Written, o.Fitted.Cylinder.Written,
			day(o.Fitted.Date.Day), amount(o.Fitted.Counter.Quantity, "h"), o.By.Written, o.CheckedBy.Written, whole(o.Minutes),
			strings.TrimSpace(o.Remarks)})
	}
	return t
}

// Measurements has one row a quantity of a record, in the order of the bench; those not taken stand with their reason.
func Measurements(b *logbook.Book) Table {
	t := Table{Name: "measurements", Doc: "one row a quantity as written", Columns: []Column{
		{"record", false, "file name of the record"}, {"day", false, "day the record begins with"},
		{"engine", false, "engine it was removed from"}, {"cylinder", false, "cylinder it was removed from"},
		{"holder", false, "serial of the holder"}, {"nozzle", false, "serial of the nozzle as found"},
		{"key", false, "key in the record, readings counted from 0"},
		{"value", true, "number as written"}, {"unit", false, "unit of the number"}, {"written", false, "text as written"},
		{"not_taken_because", false, "the reason, where it was not taken"},
		{"instrument", false, "instrument it was taken with"}, {"path", false, "file"},
		{"line", true, "line in the file, from 1"},
	}}
	for _, o := range b.Overhauls {
		with := map[logbook.Place]string{}
		for x := range o.Taken() {
			with[x.Amount.Place] = x.With.Written
		}
		for _, a := range o.Amounts() {
			unit := ""
			if a.Quantity.Valid() {
				unit = a.Quantity.Unit().Name
			}
			t.Rows = append(t.Rows, []string{o.Stem, day(o.Day()), o.Removed.Engine.Written, o.Removed.Cylinder.Written,
				o.Holder.Written, o.Nozzle.Found.Written,
				a.Key, Number(a.Quantity), unit, a.Written, a.Why, with[a.Place], a.Place.Path, strconv.Itoa(a.Place.Line)})
		}
	}
	return t
}

// Lives has one row a service life, by day of fitting.
func Lives(b *logbook.Book) Table {
	t := Table{Name: "lives", Doc: "one row a service life of a valve in one position", Columns: []Column{
		{"engine", false, "engine"}, {"cylinder", false, "cylinder"}, {"holder", false, "serial of the holder"},
		{"nozzle", false, "serial of the nozzle"},
		{"from", false, "day of the fitting"}, {"to", false, "day of the removal; empty while it sits there"},
		{"hours", true, "running hours, with those before the book; empty where not known"},
		{"opened_by", false, "record of the fitting; empty for the opening state"},
		{"closed_by", false, "record of the removal"},
	}}
	for _, s := range b.Lives().ServicePeriods {
		hours, opened, closed := "", "", ""
		if s.HoursKnown {
			hours = strconv.FormatFloat(s.Hours, 'f', -1, 64)
		}
		if s.Opened != nil {
			opened = s.Opened.Stem
		}
		if s.Closed != nil {
			closed = s.Closed.Stem
		}
		t.Rows = append(t.Rows, []string{s.Engine, s.Cylinder, s.Holder, s.Nozzle, day(s.From), day(s.To), hours, opened,
			closed})
	}
	return t
}

// Stock has one row a movement of the stores, in the order of the file.
func Stock(b *logbook.Book) Table {
	t := Table{Name: "stock", Doc: "one row a movement of the stores", Columns: []Column{
		{"date", false, "day of the movement"}, {"item", false, "what"}, {"part_no", false, "part number"},
		{"serial", false, "serial, where it has one"},
		{"change", true, "received, or used with a minus"}, {"on_order", true, "ordered, not yet here"},
		{"due", false, "day the order is expected"},
		{"price", true, "price of one"}, {"lead_days", true, "days from order to the ship"}, {"note", false, "remark"},
	}}
	for _, m := range b.Stock {
		t.Rows = append(t.Rows, []string{day(m.Date.Day), m.Item.Written, m.PartNo.Written, m.Serial.Written, whole(m.Change),
			whole(m.OnOrder), day(m.Due.Day), whole(m.Price), whole(m.LeadDays), m.Note.Written})
	}
	return t
}
