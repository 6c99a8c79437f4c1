package logbook

import (
	"context"
	"fmt"
	"io/fs"
	"slices"
)

// A day of the book is one on which a counter was read or a valve handled. The days fall into stretches without a long
// gap; a stretch that only one or two days make is not believed: a year was written wrongly, or the last page of a
// calendar turned back.
const (
	fewGaps     = 3    // with fewer gaps a book has no habit yet
	youngGap    = 1460 // and any gap up to four years is believed: from memory
	enoughDays  = 3    // days that make a stretch of their own, such as after a lay-up: from memory
	gapsBetween = 4    // times the median gap
)

// stretch is a run of days of the book without a long gap.
type stretch struct {
	from, to Day
	days     int
}

// ReadUntil is [Read] for a reader who knows what day it is: nothing of the book counts that is dated later. 0 knows no
// day. The reading ends when the context does, with an error that is [budget.ErrStopped].
func ReadUntil(ctx context.Context, fsys fs.FS, latest Day) (*Book, error) {
	b := newBook()
	b.latest = latest
	if err := b.read(ctx, fsys); err != nil {
		return nil, err
	}
	b.walked = nil
	return b, nil
}

// findToday takes the readings out whose day does not fit its neighbours, each with its finding, and finds the day of
// the book.
func (b *Book) findToday() {
	var days []Day
	var gaps []int
	for e, rows := range b.Hours {
		if len(b.Vessel.Engines) > 0 && b.Engine(e) == nil {
			continue // hours of no engine
		}
		own := daysOf(rows)
		days = append(days, own...)
		for i := range own[min(1, len(own)):] {
			gaps = append(gaps, own[i+1].Days(own[i]))
		}
	}
	for _, o := range b.Overhauls {
		if d := o.Day(); d != 0 {
			days = append(days, d)
		}
	}
	if d := b.Vessel.Opening.Date.Day; d != 0 {
		days = append(days, d)
	}
	slices.Sort(days)
	within := b.longGap(gaps)
	b.ahead = min(within, max(int(b.settings.ReadingGap.Float()), gapsBetween*median(gaps)))
	believed := believed(stretches(slices.Compact(days), within))
	fits := func(d Day) bool {
		if b.latest != 0 && d > b.latest {
			return false
		}
		return slices.ContainsFunc(believed, func(s stretch) bool { return s.from <= d && d <= s.to })
	}
	for e, rows := range b.Hours {
		b.Hours[e] = slices.DeleteFunc(rows, func(r Reading) bool {
			if r.Date.Day == 0 || fits(r.Date.Day) {
				return false
			}
			b.Problems = append(b.Problems, Problem{Place: r.Date.Place, Slip: SlipDayAstray, Key: "date", Found: r.Date.Written,
				Expected: b.neighbour(r.Date.Day, rows, fits), Read: true})
			return true
		})
		b.counters[e] = newCounter(b.Hours[e], b.settings.CounterWithin.Float())
		if known := b.counters[e].known; len(known) > 0 && (len(b.Vessel.Engines) == 0 || b.Engine(e) != nil) {
			b.today = max(b.today, known[len(known)-1].day)
		}
	}
	if b.today == 0 { // a book without counters still has a last day
		for _, o := range b.Overhauls {
			for _, d := range []Date{o.Removed.Date, o.Received.Date, o.AsLeft.Date, o.Stored.Date, o.Fitted.Date} {
				if d.Day != 0 && fits(o.Day()) && d.Day.Days(o.Day()) <= within && (b.latest == 0 || d.Day <= b.latest) {
					b.today = max(b.today, d.Day)
				}
			}
		}
	}
}

// daysOf are the days of some readings, each once, in order: a counter that could not be read was read on its day all
// the same.
func daysOf(rows []Reading) []Day {
	var days []Day
	for _, r := range rows {
		if r.Date.Day != 0 {
			days = append(days, r.Date.Day)
		}
	}
	slices.Sort(days)
	return slices.Compact(days)
}

// longGap is how far a day may be from the one before.
func (b *Book) longGap(gaps []int) int {
	if len(gaps) < fewGaps {
		return youngGap
	}
	return max(int(b.settings.ReadingGap.Float()), gapsBetween*median(gaps))
}

// median is the middle of some gaps, in days; 0 of none.
func median(gaps []int) int {
	if len(gaps) == 0 {
		return 0
	}
	gaps = slices.Sorted(slices.Values(gaps))
	return gaps[len(gaps)/2]
}

func stretches(days []Day, within int) []stretch {
	var all []stretch
	for _, d := range days {
		if n := len(all); n > 0 && d.Days(all[n-1].to) <= within {
			all[n-1].to, all[n-1].days = d, all[n-1].days+1
			continue
		}
		all = append(all, stretch{d, d, 1})
	}
	return all
}

// believed are the stretches that are long enough to speak for themselves, and the longest in any case.
func believed(all []stretch) []stretch {
	most := 0
	for _, s := range all {
		most = max(most, s.days)
	}
	return slices.DeleteFunc(all, func(s stretch) bool { return s.days < enoughDays && s.days < most })
}

// neighbour says in words how far a day is from those that fit.
func (b *Book) neighbour(d Day, rows []Reading, fits func(Day) bool) string {
	if b.latest != 0 && d > b.latest {
		return fmt.Sprintf("no day after %s, which is today", b.latest)
	}
	var before, after Day
	for _, r := range rows {
		switch at := r.Date.Day; {
		case at == 0 || !fits(at):
		case at < d:
			before = max(before, at)
		case after == 0 || at < after:
			after = at
		}
	}
	switch {
	case before != 0:
		return fmt.Sprintf("a day soon after the reading before, %s: it is %d d later", before, d.Days(before))
	case after != 0:
		return fmt.Sprintf("a day soon before the next reading, %s: it is %d d earlier", after, after.Days(d))
	}
	return "a day near the others of the book"
}

// Today is the day of the book: that of the last counter reading that fits its neighbours, of any engine. The book
// knows no clock.
func (b *Book) Today() Day { return b.today }

// Until is the last day on which the next counter reading would still fit: what is dated later lies after the book.
func (b *Book) Until() Day { return b.today + Day(b.ahead) }

// Latest is the day that the reader said it is; 0 where none was named.
func (b *Book) Latest() Day { return b.latest }
