package checks

import (
	"fmt"
	"strings"
	"testing"

	"needlebook/example-vessel/invent"
	"needlebook/logbook"
)

// years is how long an invented ship's book is followed.
const years = 10

// tenYears is an invented ship whose book holds ten years at least.
func tenYears(t *testing.T, seed uint64, faults ...string) (*invent.Book, *logbook.Book) {
	t.Helper()
	for n := 160; ; n *= 2 {
		v := invent.Vessel(seed, invent.Options{Overhauls: n, Faults: faults})
		b, err := logbook.Read(v.FS())
		if err != nil {
			t.Fatal(err)
		}
		if b.Today().Days(b.Vessel.Opening.Date.Day) >= 366*years {
			return v, b
		}
	}
}

// monthEnd is the last day of a month, counted from the one in which the book begins.
func monthEnd(b *logbook.Book, month int) logbook.Day {
	first := b.Vessel.Opening.Date.Day.Time()
	day, err := logbook.ParseDay(first.AddDate(0, month+1, -first.Day()).Format("2006-01-02"))
	if err != nil {
		panic(err)
	}
	return day
}

// gravest are the findings of grade action or worse that are open.
func gravest(r *Report) (open []Finding) {
	for _, f := range r.Open() {
		if f.Grade >= Action {
			open = append(open, f)
		}
	}
	return open
}

// TestYearsOfAnHonestShip asks on the last days of months what is open on invented ships whose crews do their work well:
// at most two findings of grade action or worse, and not more in the last years than in the first. Outside source: common
// practice, no source.
func TestYearsOfAnHonestShip(t *testing.T) {
	seeds, every := []uint64{7002, 7006}, 30 // small ones
	if long {
		seeds, every = nil, 3
		for i := range 30 {
			seeds = append(seeds, uint64(7000+i))
		}
	}
	ships := len(seeds)
	const most = 2
	first, last := make([]int, ships), make([]int, ships)
	each(ships, func(i int) {
		v, b := tenYears(t, seeds[i])
		seen := map[string]int{}
		for month := every - 1; month < 12*years; month += every {
			on := monthEnd(b, month)
			open := gravest(Run(b, Options{On: on}))
			if month < 12*years/2 {
				first[i] += len(open)
			} else {
				last[i] += len(open)
			}
			if len(open) > most {
				for _, f := range open {
					seen[fmt.Sprintf("%s %s %s of %s: %s", f.Grade, f.Place, f.Check, f.Subject, f.Message)]++
				}
			}
		}
		if len(seen) > 0 {
			var lines []string
			for _, name := range sortedKeys(seen) {
				lines = append(lines, fmt.Sprint(seen[name], " x ", name))
			}
			t.Errorf("seed %d (%s): more than %d open:\n%s", seeds[i], v.Traits, most, strings.Join(lines, "\n"))
		}
	})
	early, late := 0, 0
	for i := range ships {
		early, late = early+first[i], late+last[i]
	}
	t.Logf("%d ships, the last day of every %d. month: %d open in the first half of the years, %d in the second", ships, every, early, late)
	if late > early+ships*12*years/2/every {
		t.Errorf("%d findings open in the first half of the years, %d in the second: they grow", early, late)
	}
}
