package logbook

import (
	"fmt"
	"time"
)

// Day is a date of the ship's own calendar, counted in days from 1970-01-01; the zero Day is no date.
// The ship's clock crosses time zones: days compare within one day.
type Day int32

// NewDay is the day of a civil date.
func NewDay(year int, month time.Month, day int) Day {
	return Day(time.Date(year, month, day, 0, 0, 0, 0, time.UTC).Unix()/86400) + dayZero
}

// dayZero keeps 1970-01-01 apart from no date.
const dayZero = 1

// ParseDay reads an ISO date, 2024-04-02, that exists in the calendar.
func ParseDay(s string) (Day, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is no date of the calendar", s)
	}
	return DayOf(t), nil
}

// DayOf is the day of a moment in its own zone.
func DayOf(t time.Time) Day { return NewDay(t.Date()) }

// Time is the day's first moment, in UTC.
func (d Day) Time() time.Time { return time.Unix(int64(d-dayZero)*86400, 0).UTC() }

// String is the ISO date, or a dash for no date.
func (d Day) String() string {
	if d == 0 {
		return "–"
	}
	return d.Time().Format(time.DateOnly)
}

// Days is the number of days from e to d.
func (d Day) Days(e Day) int { return int(d - e) }

// Date is a day as written in a file, with the time where one was written.
type Date struct {
	Leaf
	Day  Day
	Time string // "14:30" where the writer gave a time; empty otherwise
}

// String is the date as written.
func (d Date) String() string { return d.Written }
