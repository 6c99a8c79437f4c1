package facts

import (
	"maps"
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Use is one value of a record that an instrument stands behind.
type Use struct {
	Record *logbook.Overhaul
	Key    string // where the record names the instrument
	Day    logbook.Day
}

// uses are the records that each instrument touched, oldest first.
func (k *Facts) uses() map[string][]Use {
	all := map[string][]Use{}
	for _, o := range k.Book.Overhauls {
		EachLeaf(o, func(l LeafAt) {
			if l.Field.As == "instrument" && l.Leaf.Stated() {
				id := l.Leaf.Written
				all[id] = append(all[id], Use{o, l.Leaf.Key, DayOf(o, l.Leaf.Key)})
			}
		})
	}
	return all
}

// DayOf is the day on which the value at a key was taken, as near as the record tells.
func DayOf(o *logbook.Overhaul, key string) logbook.Day {
	block, _, _ := strings.Cut(key, ".")
	days := []logbook.Date{o.AsFound.Date, o.Removed.Date}
	switch block {
	case "as_left", "assembled", "tries", "stored":
		days = []logbook.Date{o.AsLeft.Date, o.Stored.Date, o.AsFound.Date}
	case "fitted", "running_after":
		days = []logbook.Date{o.Fitted.Date}
	}
	for _, d := range days {
		if d.Day != 0 {
			return d.Day
		}
	}
	return o.Day()
}

// ReadValue is one judged value that an instrument stands behind.
type ReadValue struct {
	Record  *logbook.Overhaul
	Day     logbook.Day
	Verdict *judging.Verdict
}

// ReadWith are the judged values read with an instrument, oldest first. A threshold that judges the same value again
// is left out.
func (k *Facts) ReadWith(id string) []ReadValue {
	var all []ReadValue
	var last *logbook.Overhaul
	for _, u := range k.Used[id] {
		if u.Record == last {
			continue
		}
		last = u.Record
		list := k.Judged.Of(u.Record)
		for i := range list {
			v := &list[i]
			if v.Instrument == id && v.Value.Valid() && !strings.Contains(v.Key, "/") {
				all = append(all, ReadValue{u.Record, DayOf(u.Record, v.Key), v})
			}
		}
	}
	return all
}

// RecordsIn counts the records that name an instrument within a time in which it read wrong.
func (k *Facts) RecordsIn(id string, w *logbook.FoundWrong) int {
	n := 0
	var last *logbook.Overhaul
	for _, u := range k.Used[id] {
		if u.Record != last && w.From.Day <= u.Day && (w.To.Day == 0 || u.Day <= w.To.Day) {
			n, last = n+1, u.Record
		}
	}
	return n
}

// allInstruments are the instruments of the book and those that only records name.
func (k *Facts) allInstruments() []string {
	all := slices.Collect(maps.Keys(k.Used))
	for id := range k.Book.Instruments {
		if k.Used[id] == nil {
			all = append(all, id)
		}
	}
	slices.Sort(all)
	return all
}
