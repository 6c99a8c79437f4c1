package logbook

import (
	"cmp"
	"slices"
	"sort"

	"needlebook/logbook/measure"
)

// Valve names the valve by its holder and its nozzle; by the holder alone where no nozzle is stated.
func (s *ServicePeriod) Valve() string {
	if s.Nozzle == "" {
		return s.Holder
	}
	return s.Holder + " / " + s.Nozzle
}

// InPosition lists the service periods in one position, oldest first.
func (l *Lives) InPosition(p Position) []*ServicePeriod { return l.byPosition[p] }

// OfHolder lists the service periods of one holder, oldest first.
func (l *Lives) OfHolder(serial string) []*ServicePeriod { return l.byHolder[serial] }

// OfNozzle lists the service periods of one nozzle, oldest first.
func (l *Lives) OfNozzle(serial string) []*ServicePeriod { return l.byNozzle[serial] }

// OpenedBy is the stay that began with the record's fitting; nil where it was not fitted.
func (l *Lives) OpenedBy(o *Overhaul) *ServicePeriod { return l.opened[o] }

// ClosedBy is the stay that ended with the record's removal; nil where nothing was fitted there.
func (l *Lives) ClosedBy(o *Overhaul) *ServicePeriod { return l.closed[o] }

// At is the stay in a position at the end of a day; nil where it is empty.
func (l *Lives) At(p Position, day Day) *ServicePeriod {
	periods := l.byPosition[p]
	for i := len(periods) - 1; i >= 0; i-- {
		if s := periods[i]; s.From <= day {
			if s.To == 0 || s.To > day {
				return s
			}
			return nil
		}
	}
	return nil
}

// Holders lists every holder that the book names, sorted; Nozzles every nozzle.
func (l *Lives) Holders() []string {
	return slices.Clone(l.holders())
}

// Nozzles lists every nozzle that the book names, sorted.
func (l *Lives) Nozzles() []string {
	return slices.Clone(l.nozzles())
}

// Naming are the overhauls that name a nozzle, as found or as left, in the order of the book. They are not to be
// changed.
func (l *Lives) Naming(nozzle string) []*Overhaul { return l.naming()[nozzle] }

func (l *Lives) nameNozzles() map[string][]*Overhaul {
	all := map[string][]*Overhaul{}
	for _, o := range l.book.Overhauls {
		found, left := o.Nozzle.Found.Written, o.Nozzle.Left.Written
		all[found] = append(all[found], o)
		if left != found {
			all[left] = append(all[left], o)
		}
	}
	return all
}

func (l *Lives) named(periods map[string][]*ServicePeriod, of func(*Overhaul) []Serial) []string {
	set := map[string]bool{}
	for s := range periods {
		if s != "" {
			set[s] = true
		}
	}
	for _, o := range l.book.Overhauls {
		for _, s := range of(o) {
			if s.Stated() {
				set[s.Written] = true
			}
		}
	}
	for _, r := range l.book.Vessel.Opening.Rack {
		for _, s := range of(&Overhaul{Holder: r.Holder, Nozzle: NozzleSerials{Found: r.Nozzle}}) {
			if s.Stated() {
				set[s.Written] = true
			}
		}
	}
	out := make([]string, 0, len(set))
	for s := range set {
		out = append(out, s)
	}
	sort.Strings(out)
	return out
}

// NozzleHours are the running hours of a nozzle up to the end of a day. known is false where a stay has no readings or
// the hours before the book are not stated.
func (l *Lives) NozzleHours(serial string, day Day) (hours float64, known bool) {
	hours, known = l.startHours[serial], true
	if _, stated := l.startHours[serial]; l.usedNozzle[serial] && !stated {
		known = false
	}
	more, ok := l.run(l.byNozzle[serial], day)
	unbegun, counted := unbegunHours(l.unbegunNozzle[serial], day)
	if _, stated := l.startHours[serial]; counted && unbegun > 0 && !stated {
		counted = false // those of one service life: what it had run before it nobody wrote
	}
	return hours + more + unbegun, known && ok && counted
}

// unbegunHours are the hours that removals state whose fittings are not in the book. known is false where one does not.
func unbegunHours(removals []*Overhaul, day Day) (hours float64, known bool) {
	known = true
	for _, o := range removals {
		if o.Removed.Date.Day > day {
			continue
		}
		if !o.Removed.Hours.Quantity.Valid() {
			known = false
			continue
		}
		hours += o.Removed.Hours.Float()
	}
	return hours, known
}

// HolderHours are the running hours of a holder within the book up to the end of a day.
func (l *Lives) HolderHours(serial string, day Day) (hours float64, known bool) {
	hours, known = l.run(l.byHolder[serial], day)
	unbegun, counted := unbegunHours(l.unbegunHolder[serial], day)
	return hours + unbegun, known && counted
}

func (l *Lives) run(periods []*ServicePeriod, day Day) (hours float64, known bool) {
	known = true
	for _, s := range periods {
		if s.From > day {
			break
		}
		if !s.HoursKnown {
			known = false
			continue
		}
		if s.From == day && day < l.today && s.To != day {
			continue // put back on the day it came out: what the engine ran later that day no reading tells
		}
		if s.To != 0 && s.To <= day || day >= l.today {
			hours += s.Hours - s.Before
			continue
		}
		if total, ok := l.book.TotalOn(s.Engine, day); ok {
			hours += max(0, min(total, s.FromTotal+s.Hours-s.Before)-s.FromTotal)
		}
	}
	return hours, known
}

// HoursOn are the running hours of the stay up to the end of a day, with those since the valve was last worked on.
func (l *Lives) HoursOn(s *ServicePeriod, day Day) (hours float64, known bool) {
	hours, known = l.run([]*ServicePeriod{s}, day)
	return hours + s.Before, known
}

// HoursSince are the running hours of the stay from a day on up to the end of another. Those before it was fitted do
// not count, but for a valve that was in the engine before the book, where the day is before it too.
func (l *Lives) HoursSince(s *ServicePeriod, from, day Day) (hours float64, known bool) {
	hours, known = l.HoursOn(s, day)
	switch before, ok := l.HoursOn(s, from); {
	case from > s.From && ok:
		return hours - before, known
	case from == s.From, s.Opened != nil:
		return hours - s.Before, known
	}
	return hours, known
}

// Class is the state of the parts that the setting goes by.
type Class uint8

// The setting classes: new when nozzle, holder or spring has not run yet.
const (
	Used Class = iota
	New
	Reground
)

// String is the word for the class.
func (c Class) String() string { return [...]string{"used", "new", "reground"}[c] }

// ClassOf is the setting class of the valve as the record leaves it: new when its nozzle or holder has no running hours
// yet, its spring was renewed, or its nozzle is to be renewed and the new one is not named yet; reground when the
// nozzle was ground, otherwise used.
func (l *Lives) ClassOf(o *Overhaul) Class {
	if c, stated := o.Received.class(); stated {
		return c
	}
	day := o.leftDay()
	nozzle := o.Nozzle.Left.Written
	if o.Decided.Spring.Is("renew") || !o.Nozzle.Left.Stated() && o.Decided.Nozzle.Is("renew") ||
		l.unused(l.byNozzle, l.usedNozzle, nozzle, day) ||
		l.unused(l.byHolder, l.usedHolder, o.Holder.Written, day) {
		return New
	}
	if o.Decided.Nozzle.Is("grind") {
		return Reground
	}
	return Used
}

// unused says that a part named in the book had not run by the day it was set.
func (l *Lives) unused(of map[string][]*ServicePeriod, used map[string]bool, serial string, day Day) bool {
	if serial == "" || used[serial] {
		return false
	}
	return len(of[serial]) == 0 || of[serial][0].From >= day
}

// leftDay is the day of the setting, as near as the record tells. Of a received valve it is the day on which it was
// last opened on board.
func (o *Overhaul) leftDay() Day {
	for _, d := range []Date{o.TestedOn(), o.Stored.Date, o.Fitted.Date, o.Removed.Date} {
		if d.Day != 0 {
			return d.Day
		}
	}
	return 0
}

// LastLeft is how a valve was left before its present service life.
type LastLeft struct {
	Opening  measure.Quantity // median of the readings, as written; invalid where not known
	Class    Class
	Day      Day
	Overhaul *Overhaul // nil for the opening state
	Place    Place     // where the opening pressure is written
}

// before are the overhauls of a record's holder that come before it, oldest first.
func (l *Lives) before(o *Overhaul) []*Overhaul {
	benches, day := l.benches[o.Holder.Written], o.Day()
	first := sort.Search(len(benches), func(i int) bool { // they are in order of day and stem, as the book's
		d := benches[i].Day()
		return d > day || d == day && benches[i].Stem >= o.Stem
	})
	return benches[:first]
}

// engineBefore is the engine that the valve of a record was of before: where it was fitted last, for which it came on
// board, or where it came out; empty where the book does not know.
func (l *Lives) engineBefore(o *Overhaul) string {
	for _, p := range slices.Backward(l.before(o)) {
		if engine := cmp.Or(p.Fitted.Engine.Written, p.Received.For.Written, p.Removed.Engine.Written); engine != "" {
			return engine
		}
	}
	for i := range l.book.Vessel.Opening.Fitted {
		if f := &l.book.Vessel.Opening.Fitted[i]; o.Holder.Stated() && f.Holder.Written == o.Holder.Written {
			return f.Engine.Written
		}
	}
	for i := range l.book.Vessel.Opening.Rack {
		if r := &l.book.Vessel.Opening.Rack[i]; o.Holder.Stated() && r.Holder.Written == o.Holder.Written {
			return r.For.Written
		}
	}
	return ""
}

// BuiltBefore is the record that tells of the build in which a record finds its valve: the last before it that holds
// one, or by which the valve came on board. ok is also true where that is the opening state of the book, with no
// record.
func (l *Lives) BuiltBefore(o *Overhaul) (p *Overhaul, ok bool) {
	for _, p := range slices.Backward(l.before(o)) {
		switch {
		case p.Assembled.Stated(), p.Received.Stated():
			return p, true
		case p.Worked() && p.Opened():
			return nil, false // it was taken apart, and nothing is said of the assembly
		}
	}
	open := &l.book.Vessel.Opening
	return nil, l.spareAtStart(o) || o.Holder.Stated() &&
		slices.ContainsFunc(open.Fitted, func(f OpenFit) bool { return f.Holder.Written == o.Holder.Written })
}

// StoodAs is the record that tells how a valve stood that was fitted with no work done on it and had not run since. ok
// is also true where that is the opening state of the book, with no record.
func (l *Lives) StoodAs(o *Overhaul) (p *Overhaul, ok bool) {
	if o.Worked() || o.Removed.Stated() {
		return nil, false
	}
	for _, p := range slices.Backward(l.before(o)) {
		if p.Worked() || p.Removed.Stated() {
			return p, p.Worked()
		}
	}
	return nil, l.spareAtStart(o)
}

// spareAtStart says that the valve of a record was a ready spare when the book began.
func (l *Lives) spareAtStart(o *Overhaul) bool {
	return o.Holder.Stated() && slices.ContainsFunc(l.book.Vessel.Opening.Rack,
		func(r StartSpare) bool { return r.Holder.Written == o.Holder.Written })
}

// LeftBefore is how the holder of a record was left last before the record's removal; ok is false where the book does
// not know.
func (l *Lives) LeftBefore(o *Overhaul) (s LastLeft, ok bool) {
	return l.lastLeft(o.Holder.Written, l.before(o))
}

// FromOpening says that a record fits a valve as it lay in the spares rack when the book began: it was built before.
func (l *Lives) FromOpening(o *Overhaul) bool {
	benches := l.benches[o.Holder.Written]
	return o.Fitted.Stated() && !o.Removed.Stated() && !o.Received.Stated() && len(benches) > 0 && benches[0] == o &&
		l.spareAtStart(o)
}

// LeftBy is how a holder was left last by a day; ok is false where the book does not know.
func (l *Lives) LeftBy(holder string, day Day) (s LastLeft, ok bool) {
	benches := l.benches[holder]
	first := sort.Search(len(benches), func(i int) bool { return benches[i].Day() > day })
	return l.lastLeft(holder, benches[:first])
}

// lastLeft is how a holder was left by the last of its records that says so, or else by the opening state.
func (l *Lives) lastLeft(holder string, benches []*Overhaul) (s LastLeft, ok bool) {
	for _, p := range slices.Backward(benches) {
		if !p.AsLeft.Stated() {
			continue
		}
		m := p.AsLeft.Opening.Median()
		place := m.Place
		if !m.Quantity.Valid() {
			place = p.AsLeft.Place
		}
		return LastLeft{m.Quantity, l.ClassOf(p), p.leftDay(), p, place}, true
	}
	open := l.book.Vessel.Opening
	for _, f := range open.Fitted {
		if f.Holder.Written == holder && f.Left.Quantity.Valid() {
			return LastLeft{f.Left.Quantity, Used, open.Date.Day, nil, f.Left.Place}, true
		}
	}
	for _, r := range open.Rack {
		if r.Holder.Written == holder && r.Left.Quantity.Valid() {
			return LastLeft{r.Left.Quantity, Used, open.Date.Day, nil, r.Left.Place}, true
		}
	}
	return LastLeft{}, false
}

// Benches lists the overhauls of one holder, oldest first.
func (l *Lives) Benches(holder string) []*Overhaul { return l.benches[holder] }

// Ready is a ready spare.
type Ready struct {
	Holder, Nozzle string
	Since          Day       // day of its last test
	Overhaul       *Overhaul // nil for the opening state
	Place          string    // place in the spares rack as written
}

// Rack lists the valves that are booked as ready at the end of a day: built and tested, not fitted since, neither
// holder nor nozzle out of use. By holder.
func (l *Lives) Rack(day Day) []Ready {
	var rack []Ready
	for _, h := range l.Holders() {
		if _, gone := l.book.EndBy("holder", h, day); gone || l.sits(h, day) {
			continue
		}
		r, ok := l.lastBuilt(h, day)
		if _, gone := l.book.EndBy("nozzle", r.Nozzle, day); ok && !gone {
			rack = append(rack, r)
		}
	}
	return rack
}

func (l *Lives) sits(holder string, day Day) bool {
	for _, s := range l.byHolder[holder] {
		if s.From <= day && (s.To == 0 || s.To > day) {
			return true
		}
	}
	return false
}

func (l *Lives) lastBuilt(holder string, day Day) (Ready, bool) {
	benches := l.benches[holder]
	for i := len(benches) - 1; i >= 0; i-- {
		o := benches[i]
		if o.Day() > day {
			continue
		}
		if l.opened[o] != nil { // and came out again on no record
			if o.Day() < l.book.Vessel.Opening.Date.Day {
				break
			}
			return Ready{}, false
		}
		if l := &o.Landed; l.Stated() && l.Date.Day <= day {
			return Ready{}, false
		}
		if o.Decided.Holder.Is("condemn") || !o.AsLeft.Stated() && !o.Stored.Stated() || o.leftDay() > day {
			return Ready{}, false
		}
		return Ready{holder, o.Nozzle.Left.Written, o.leftDay(), o, o.Stored.Spot.Written}, true
	}
	for _, r := range l.book.Vessel.Opening.Rack {
		if r.Holder.Written == holder && l.book.Vessel.Opening.Date.Day <= day {
			return Ready{holder, r.Nozzle.Written, l.book.Vessel.Opening.Date.Day, nil, r.Spot.Written}, true
		}
	}
	return Ready{}, false
}
