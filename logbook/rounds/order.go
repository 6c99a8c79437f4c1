package rounds

import (
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// order is what comes first in the dates of a table, as far as the table proves it, by the sign between their parts:
// the day, the month, or both where the table proves both.
type order map[string]string

// ordered finds the order of the dates of a table. A part above twelve is the day; and where the program wrote the day
// of the removal itself, and a spreadsheet gave it back in another form, it is that day.
func ordered(t *Table) order {
	o := order{}
	for i, c := range t.Columns {
		if f, _ := logbook.KindNamed("overhaul").Field(c.Key); f.Shape != logbook.ShapeDate {
			continue
		}
		for _, r := range t.Rows {
			cell := r.Cells[i]
			day, month, ok := logbook.EitherOrder(atMidnight(cell))
			is := func(text string) bool { return c.Key == keys.RemovedDate && t.Day != 0 && text == t.Day.String() }
			switch {
			case !ok || day == month:
			case month == "" || is(day):
				o.proves(sign(cell), "day")
			case day == "" || is(month):
				o.proves(sign(cell), "month")
			}
		}
	}
	return o
}

func (o order) proves(sign, first string) {
	if was := o[sign]; was != "" && was != first {
		first = "both"
	}
	o[sign] = first
}

// one is the day that a cell means by the order of its table; the cell itself where that proves none.
func (o order) one(cell string) string {
	day, month, ok := logbook.EitherOrder(atMidnight(cell))
	switch first := o[sign(cell)]; {
	case ok && first == "day" && day != "":
		return day
	case ok && first == "month" && month != "":
		return month
	}
	return cell
}

// sign is what is between the parts of a date.
func sign(cell string) string {
	rest := strings.TrimLeft(cell, "0123456789")
	return rest[:min(1, len(rest))]
}

// atMidnight is a day without the time of day that a spreadsheet shows behind it.
func atMidnight(cell string) string { return strings.TrimSuffix(cell, " 00:00:00") }
