package logbook

import (
	"slices"
	"sort"
	"strings"

	"needlebook/logbook/measure"
)

// ResolveParted says of each number in hours that has one point or comma and three digits behind it which of its two
// readings fits what else is known: the readings of the same counter before and after it, how long an interval can be,
// and the habit of the rest of its file. Where nothing tells, both stay possible. The value itself stays unread: only
// the writer can say it.
func (b *Book) ResolveParted(problems []Problem) {
	var open []*Problem
	for i := range problems {
		p := &problems[i]
		if p.Slip == measure.SlipThousands && p.Type == "" && len(p.Meant) == 2 && b.inHours(p) {
			open = append(open, p)
		}
	}
	if len(open) == 0 {
		return
	}
	known := b.readingsKnown()
	b.addInHabit(known, open)
	habit := partedHabits(problems)
	for _, p := range open {
		if i, told := b.fitting(p, known); told {
			habit.tell(p, i)
			p.choose(i)
		}
	}
	for _, p := range open {
		if i, told := habit.of(p); told && p.Type == "" {
			p.choose(i)
		}
	}
}

// choose makes one of the readings the one to type; the other stays possible.
func (p *Problem) choose(i int) {
	p.Type = p.Meant[i]
	if i == 1 {
		p.Meant = []string{p.Meant[1], p.Meant[0]}
	}
}

// inHours says that a slip is one of running hours.
func (b *Book) inHours(p *Problem) bool {
	k, ok := KindOf(p.Place.Path)
	if !ok {
		return false
	}
	f, ok := k.Field(p.Key)
	return ok && f.Kind == measure.Hours
}

// hoursOf are the hours of a text to type, with their unit or without.
func hoursOf(text string) (float64, bool) {
	q, _ := measure.Parse(strings.TrimSuffix(text, " h")+" h", measure.Hours)
	return q.Float(), q.Valid()
}

// fitting tells which reading of a slip fits what is known; told is false where both may, or neither.
func (b *Book) fitting(p *Problem, known neighbours) (which int, told bool) {
	var fits func(hours float64) bool
	engine, day, ok := b.counterAt(p)
	same := known.of[known.counterOn(engine, day)]
	switch s := b.Settings(); {
	case ok && len(same) > 0:
		fits = func(h float64) bool { return between(same, day, h) }
	case strings.HasSuffix(p.Key, "interval"):
		fits = func(h float64) bool { return s.BelievesInterval(h) }
	default:
		return 0, false
	}
	var can [2]bool
	for i, text := range p.Meant {
		h, ok := hoursOf(text)
		can[i] = ok && fits(h)
	}
	if can[0] == can[1] {
		return 0, false
	}
	return slices.Index(can[:], true), true
}

// between says that a counter may have shown a reading on a day, by its neighbours: it runs neither backwards nor
// faster than the clock.
func between(known []point, day Day, reading float64) bool {
	i := sort.Search(len(known), func(i int) bool { return known[i].day > day })
	if i > 0 {
		if p := known[i-1]; reading < p.total || reading > p.total+24*float64(day-p.day+1) {
			return false
		}
	}
	if i < len(known) {
		if p := known[i]; reading > p.total || reading < p.total-24*float64(p.day-day+1) {
			return false
		}
	}
	return true
}

// counterAt is the engine and day of a slip that stands where a counter reading belongs.
func (b *Book) counterAt(p *Problem) (engine string, day Day, ok bool) {
	if folder, file, in := strings.Cut(p.Place.Path, "/"); in && folder == "hours" && p.Key == "counter_h" {
		name := strings.TrimSuffix(file, ".csv")
		for e, rows := range b.Hours { // a ship has a handful of engines
			if FileName(e) != name {
				continue
			}
			i := sort.Search(len(rows), func(i int) bool { return rows[i].Place.Line >= p.Place.Line })
			if i < len(rows) && rows[i].Place.Line == p.Place.Line {
				return e, rows[i].Date.Day, rows[i].Date.Day != 0
			}
		}
		return "", 0, false
	}
	var at Serial
	var on Date
	is := func(a Amount, e Serial, d Date) {
		if a.Key == p.Key {
			at, on = e, d
		}
	}
	b.eachCounter(p.Place.Path, is)
	return b.HostOf(at.Written), on.Day, at.Written != "" && on.Day != 0
}

// eachCounter goes through the counter readings that stand in records and in the opening state, of one file, or of all
// where path is empty.
func (b *Book) eachCounter(path string, do func(a Amount, engine Serial, on Date)) {
	if path == "" || path == "book.md" {
		o := &b.Vessel.Opening
		for _, f := range o.Fitted {
			do(f.Counter, f.Engine, o.Date)
		}
		for _, r := range o.Rack {
			do(r.Fitted.Counter, r.Fitted.Engine, r.Fitted.Date)
		}
	}
	overhauls := b.Overhauls
	if path != "" {
		overhauls = nil
		if o := b.Overhaul(strings.TrimSuffix(path[strings.LastIndexByte(path, '/')+1:], ".md")); o != nil && o.Path == path {
			overhauls = []*Overhaul{o}
		}
	}
	for _, o := range overhauls {
		do(o.Removed.Counter, o.Removed.Engine, o.Removed.Date)
		do(o.Fitted.Counter, o.Fitted.Engine, o.Fitted.Date)
	}
}

// neighbours are the readings of each counter in the order of their days, and the days on which counters were replaced.
type neighbours struct {
	of       map[string][]point // by counter: see counterOn
	replaced map[string][]Day   // by engine, sorted
}

// counterOn tells the counters of an engine apart by a day: a replaced one begins anew.
func (n neighbours) counterOn(engine string, day Day) string {
	days := n.replaced[engine]
	return engine + strings.Repeat("+", sort.Search(len(days), func(i int) bool { return days[i] > day }))
}

// readingsKnown are the counter readings of the book that could be read, by counter, in the order of their days.
func (b *Book) readingsKnown() neighbours {
	known := neighbours{map[string][]point{}, map[string][]Day{}}
	for engine, rows := range b.Hours {
		for _, r := range rows {
			if r.Date.Day != 0 && replacedNote.MatchString(r.Note.Written) {
				known.replaced[engine] = append(known.replaced[engine], r.Date.Day)
			}
		}
		slices.Sort(known.replaced[engine])
		for _, r := range rows {
			if r.Counter.Valid && r.Date.Day != 0 {
				id := known.counterOn(engine, r.Date.Day)
				known.of[id] = append(known.of[id], point{r.Date.Day, r.Counter.Value})
			}
		}
	}
	b.eachCounter("", func(a Amount, engine Serial, on Date) {
		if a.Quantity.Valid() && on.Day != 0 {
			id := known.counterOn(b.HostOf(engine.Written), on.Day)
			known.of[id] = append(known.of[id], point{on.Day, a.Float()})
		}
	})
	for _, all := range known.of {
		sort.SliceStable(all, func(i, j int) bool { return all[i].day < all[j].day })
	}
	return known
}

// addInHabit adds what the slips themselves tell of a counter of which nothing is read: its readings, all with
// thousands parted or all with a fraction, must follow one another as those of an engine that runs.
func (b *Book) addInHabit(known neighbours, open []*Problem) {
	both := map[string][2][]point{}
	for _, p := range open {
		engine, day, ok := b.counterAt(p)
		id := known.counterOn(engine, day)
		if !ok || len(known.of[id]) > 0 {
			continue
		}
		readings := both[id]
		for i, text := range p.Meant {
			if h, ok := hoursOf(text); ok {
				readings[i] = append(readings[i], point{day, h})
			}
		}
		both[id] = readings
	}
	least := b.Settings().RateLeast.Float()
	for id, readings := range both {
		var runs [2]bool
		for i, all := range readings {
			sort.SliceStable(all, func(i, j int) bool { return all[i].day < all[j].day })
			runs[i] = running(all, least)
		}
		if runs[0] != runs[1] {
			known.of[id] = readings[slices.Index(runs[:], true)]
		}
	}
}

// running says that the readings may be those of one counter of an engine that ran, at least so many hours a day.
func running(all []point, least float64) bool {
	for i := 1; i < len(all); i++ {
		if gained := all[i].total - all[i-1].total; gained < 0 || gained > 24*float64(all[i].day-all[i-1].day+1) {
			return false
		}
	}
	n := len(all) - 1
	return n > 0 && all[n].total-all[0].total >= least*float64(all[n].day-all[0].day)
}

// habits are what the files of a book prove of a point or comma with three digits behind it: 0 that it parts thousands,
// 1 that it is a decimal sign.
type habits map[string][2]int

func habitOf(p *Problem) string {
	return p.Place.Path + string(p.Found[strings.IndexAny(p.Found, ".,")])
}

// partedHabits are the habits that the other slips of each file prove: 1.234.567 and 19.120,5 part thousands by points.
func partedHabits(problems []Problem) habits {
	h := habits{}
	for i := range problems {
		p := &problems[i]
		sign := strings.IndexAny(p.Found, ".,")
		switch {
		case sign < 0:
		case p.Slip == measure.SlipThousands && len(p.Meant) == 1:
			h.tell(p, 0)
		case p.Slip == measure.SlipDecimalComma: // then a point is none
			point := *p
			point.Found = "."
			h.tell(&point, 0)
		}
	}
	return h
}

func (h habits) tell(p *Problem, which int) {
	told := h[habitOf(p)]
	told[which]++
	h[habitOf(p)] = told
}

// of is what a file proves for a slip; ok is false where it proves nothing, or both.
func (h habits) of(p *Problem) (which int, ok bool) {
	told := h[habitOf(p)]
	switch {
	case told[0] > 0 && told[1] == 0:
		return 0, true
	case told[1] > 0 && told[0] == 0:
		return 1, true
	}
	return 0, false
}
