package logbook

import (
	"sort"

	"needlebook/logbook/fault"
)

// ServicePeriod is one service life: a valve in one position, from its fitting to its removal.
type ServicePeriod struct {
	Position
	Holder, Nozzle string  // what sat there; where the removal names another valve than the fitting, what came out
	ReadHolder     string  // the holder as the fitting names it
	ReadNozzle     string  // the nozzle as the fitting names it
	From, To       Day     // To is 0 while it sits there
	FromTotal      float64 // engine hours in all at the fitting
	ToTotal        float64 // engine hours in all at the removal
	Hours          float64 // running hours of the stay, by To or by today, with those before the book; 0 where not known
	HoursKnown     bool    // both ends have a counter reading
	// hours run since the valve was worked on, in this position before the book began, or in others from which it was
	// moved with no work done
	Before float64
	Opened *Overhaul // record whose fitting began the stay; nil for the opening state
	// record whose removal ended it; nil while it sits there, or where another was fitted and no removal is on record
	Closed    *Overhaul
	FromPlace Place // where the fitting is written
	ToPlace   Place // where the removal is written
}

// LifeFault is a contradiction between fittings and removals: a plain fact, graded by a check.
type LifeFault struct {
	Kind           string // one of the Fault constants
	Position       Position
	Holder, Nozzle string // the part that is in two places, or that the entry names
	Other          string // the part or position it is at odds with
	Day            Day
	Place, Related Place // the later and the earlier entry
}

// The contradictions that lives can hold.
const (
	FaultTwoPlaces = "two-places"    // one holder or nozzle in two positions at one time
	FaultOccupied  = "occupied"      // a fitting where another valve sits and was not removed
	FaultOther     = "other-valve"   // a removal names another holder than the fitting
	FaultNothing   = "nothing-there" // a removal where nothing was fitted
	FaultBackwards = "backwards"     // a removal before its fitting, in days or hours
)

// Lives are the service lives of every holder and nozzle, worked out from the opening state, the removals and the
// fittings.
type Lives struct {
	ServicePeriods []*ServicePeriod // by day of fitting, then position
	Faults         []LifeFault

	byPosition map[Position][]*ServicePeriod
	byHolder   map[string][]*ServicePeriod
	byNozzle   map[string][]*ServicePeriod
	opened     map[*Overhaul]*ServicePeriod
	closed     map[*Overhaul]*ServicePeriod
	startHours map[string]float64 // nozzle hours before the book
	// those that had run before the book, or come with hours; a holder and a nozzle may bear one number
	usedHolder map[string]bool
	usedNozzle map[string]bool
	// removals that no fitting of the book began, by holder and by nozzle: what ran there only the record itself may say
	unbegunHolder map[string][]*Overhaul
	unbegunNozzle map[string][]*Overhaul
	benches       map[string][]*Overhaul
	book          *Book
	today         Day

	// worked out when first asked for: every holder and every nozzle that the book names, and the records that name a
	// nozzle as found or as left
	holders, nozzles func() []string
	naming           func() map[string][]*Overhaul
}

// Lives are the service lives of the book.
func (b *Book) Lives() *Lives { return b.lives }

type event struct {
	day      Day
	fit      bool
	total    float64
	hasTotal bool
	holder   string
	nozzle   string
	before   float64
	record   *Overhaul
	place    Place
}

// traceLives joins removals and fittings position by position.
func traceLives(b *Book) *Lives {
	l := &Lives{byPosition: map[Position][]*ServicePeriod{}, byHolder: map[string][]*ServicePeriod{},
		byNozzle: map[string][]*ServicePeriod{},
		opened:   map[*Overhaul]*ServicePeriod{}, closed: map[*Overhaul]*ServicePeriod{}, startHours: map[string]float64{},
		usedHolder: map[string]bool{}, usedNozzle: map[string]bool{},
		unbegunHolder: map[string][]*Overhaul{}, unbegunNozzle: map[string][]*Overhaul{},
		benches: map[string][]*Overhaul{}, book: b, today: b.Today()}
	l.holders = fault.Shared(func() []string {
		return l.named(l.byHolder, func(o *Overhaul) []Serial { return []Serial{o.Holder} })
	})
	l.nozzles = fault.Shared(func() []string {
		return l.named(l.byNozzle, func(o *Overhaul) []Serial { return []Serial{o.Nozzle.Found, o.Nozzle.Left} })
	})
	l.naming = fault.Shared(l.nameNozzles)
	events := map[Position][]event{}
	add := func(engine, cylinder string, e event) {
		if engine == "" || cylinder == "" || e.day == 0 {
			return
		}
		p := Position{engine, cylinder}
		events[p] = append(events[p], e)
	}
	l.openingState(add)
	for _, o := range b.Overhauls {
		l.carryReceived(o)
		if o.Holder.Stated() {
			l.benches[o.Holder.Written] = append(l.benches[o.Holder.Written], o)
		}
		if r := o.Removed; r.Stated() {
			e := event{day: r.Date.Day, holder: o.Holder.Written, nozzle: o.Nozzle.Found.Written, record: o, place: r.Place}
			e.total, e.hasTotal = b.totalOf(r.Engine, r.Date, r.Counter)
			add(r.Engine.Written, r.Cylinder.Written, e)
		}
		if f := o.Fitted; f.Stated() {
			e := event{day: f.Date.Day, fit: true, holder: o.Holder.Written, nozzle: o.Nozzle.Left.Written, record: o,
				place: f.Place}
			if f.Holder.Stated() {
				e.holder = f.Holder.Written
			}
			if f.Nozzle.Stated() {
				e.nozzle = f.Nozzle.Written
			}
			e.total, e.hasTotal = b.totalOf(f.Engine, f.Date, f.Counter)
			add(f.Engine.Written, f.Cylinder.Written, e)
		}
	}
	positions := make([]Position, 0, len(events))
	for p := range events {
		positions = append(positions, p)
	}
	sort.Slice(positions, func(i, j int) bool { return lessPosition(positions[i], positions[j]) })
	for _, p := range positions {
		l.walk(p, events[p])
	}
	l.index()
	l.moved()
	l.twoPlaces()
	return l
}

func lessPosition(a, b Position) bool {
	if a.Engine != b.Engine {
		return a.Engine < b.Engine
	}
	if len(a.Cylinder) != len(b.Cylinder) {
		return len(a.Cylinder) < len(b.Cylinder)
	}
	return a.Cylinder < b.Cylinder
}

func (b *Book) totalOf(engine Serial, date Date, counter Amount) (float64, bool) {
	if !counter.Quantity.Valid() || date.Day == 0 {
		return 0, false
	}
	return b.Total(engine.Written, date.Day, counter.Float()), true
}

func (l *Lives) openingState(add func(engine, cylinder string, e event)) {
	b := l.book
	open := b.Vessel.Opening
	for _, f := range open.Fitted {
		e := event{day: open.Date.Day, fit: true, holder: f.Holder.Written, nozzle: f.Nozzle.Written,
			before: f.SinceBelieved(), place: f.Place}
		e.total, e.hasTotal = b.totalOf(f.Engine, open.Date, f.Counter)
		add(f.Engine.Written, f.Cylinder.Written, e)
		l.carry(f.Holder.Written, f.Nozzle.Written, f.NozzleHours)
	}
	for _, r := range open.Rack {
		l.carry(r.Holder.Written, r.Nozzle.Written, r.NozzleHours)
		if f := r.Fitted; f.Stated() {
			e := event{day: f.Date.Day, fit: true, holder: r.Holder.Written, nozzle: r.Nozzle.Written, place: f.Place}
			e.total, e.hasTotal = b.totalOf(f.Engine, f.Date, f.Counter)
			add(f.Engine.Written, f.Cylinder.Written, e)
		}
	}
	for _, p := range b.Parts {
		serial := p.Number()
		if p.Hours.Quantity.Valid() && !p.Kind.Is("holder") {
			l.startHours[serial] = p.Hours.Float()
		}
		if p.Hours.Float() > 0 || p.Used.Is("yes") {
			l.usedHolder[serial] = !p.Kind.Is("nozzle") || l.usedHolder[serial]
			l.usedNozzle[serial] = !p.Kind.Is("holder") || l.usedNozzle[serial]
		}
	}
}

// carryReceived notes what the parts of a received valve had run before they came, unless the book has seen them run.
func (l *Lives) carryReceived(o *Overhaul) {
	r := &o.Received
	if !r.Stated() {
		return
	}
	used := r.State.Is("used", "reground") || r.Hours.Float() > 0
	l.usedHolder[o.Holder.Written] = l.usedHolder[o.Holder.Written] || used
	nozzle := o.Nozzle.Left.Written
	if _, known := l.startHours[nozzle]; r.Hours.Quantity.Valid() && !known {
		l.startHours[nozzle] = r.Hours.Float()
	}
	l.usedNozzle[nozzle] = l.usedNozzle[nozzle] || used
}

// carry notes what a part had run before the book. A valve of the opening state is a used one unless it is stated with
// no hours.
func (l *Lives) carry(holder, nozzle string, hours Amount) {
	l.usedHolder[holder] = true
	if hours.Quantity.Valid() {
		l.startHours[nozzle] = hours.Float()
	}
	if !hours.Quantity.Valid() || hours.Float() > 0 {
		l.usedNozzle[nozzle] = true
	}
}

// walk turns the events of one position into stays. On one day a removal comes before a fitting.
func (l *Lives) walk(p Position, events []event) {
	sort.SliceStable(events, func(i, j int) bool {
		if events[i].day != events[j].day {
			return events[i].day < events[j].day
		}
		return !events[i].fit && events[j].fit
	})
	var now *ServicePeriod
	for _, e := range events {
		if e.fit {
			if now != nil {
				l.Faults = append(l.Faults, LifeFault{Kind: FaultOccupied, Position: p, Holder: e.holder, Nozzle: e.nozzle,
					Other: now.Holder, Day: e.day, Place: e.place, Related: now.FromPlace})
				now.To, now.HoursKnown = e.day, false // it came out some day before, nobody wrote when
			}
			now = &ServicePeriod{Position: p, Holder: e.holder, Nozzle: e.nozzle, ReadHolder: e.holder, ReadNozzle: e.nozzle,
				From: e.day, FromTotal: e.total,
				HoursKnown: e.hasTotal, Before: e.before, Opened: e.record, FromPlace: e.place}
			l.ServicePeriods = append(l.ServicePeriods, now)
			if e.record != nil {
				l.opened[e.record] = now
			}
			continue
		}
		if now == nil {
			l.Faults = append(l.Faults, LifeFault{Kind: FaultNothing, Position: p, Holder: e.holder, Nozzle: e.nozzle,
				Day: e.day, Place: e.place})
			l.unbegunHolder[e.holder] = append(l.unbegunHolder[e.holder], e.record)
			l.unbegunNozzle[e.nozzle] = append(l.unbegunNozzle[e.nozzle], e.record)
			continue
		}
		l.closePeriod(now, e)
		now = nil
	}
	if now != nil && now.HoursKnown {
		if total, ok := l.book.TotalOn(p.Engine, l.today); ok && total >= now.FromTotal {
			now.ToTotal, now.Hours = total, total-now.FromTotal+now.Before
		} else { // without a later reading nobody knows what it has run since
			now.HoursKnown = false
		}
	}
}

// moved adds to the stays of valves that went on with no work done what they had run before: a fitting is no overhaul.
// The record has to say so, as in "as_left: not done (lent)": where nothing is said, steps of the work are missing, and
// a check asks for them.
func (l *Lives) moved() {
	last := map[string]*ServicePeriod{}  // by holder, the stay that ended last
	for _, s := range l.ServicePeriods { // by day, so that what one has carried is carried on
		before := last[s.Holder]
		if s.To != 0 && s.Holder != "" && (before == nil || s.To >= before.To) {
			last[s.Holder] = s
		}
		if before == nil || s.Opened == nil || before.Closed == nil || before.To > s.From || before.Nozzle != s.Nozzle ||
			!s.Opened.saysUntouched() || l.workedOn(before, s) {
			continue
		}
		if s.HoursKnown = s.HoursKnown && before.HoursKnown; s.HoursKnown {
			s.Before = before.Hours
			s.Hours += before.Hours
		}
	}
}

// workedOn says that work was done on a valve between two of its stays.
func (l *Lives) workedOn(before, s *ServicePeriod) bool {
	benches := l.benches[s.Holder] // in order of day
	first := sort.Search(len(benches), func(i int) bool { return benches[i].Day() >= before.To })
	for _, o := range benches[first:] {
		if o.Day() > s.From {
			break
		}
		if o.Worked() && o != before.Opened && o != s.Closed {
			return true
		}
	}
	return false
}

// saysUntouched says that a record states that nothing was set or built.
func (o *Overhaul) saysUntouched() bool {
	return o.AsLeft.Not != "" || o.Assembled.Not != ""
}

// Opened says that a valve was taken apart, or built up of other parts, by its record.
func (o *Overhaul) Opened() bool {
	return o.Stripped.Stated() || o.Inspected.Stated() || o.Measured.Stated() || o.Assembled.Stated() ||
		o.Nozzle.Found.Stated() && o.Nozzle.Left.Stated() && o.Nozzle.Found.Written != o.Nozzle.Left.Written
}

// Worked says that a record holds work on the valve: it was opened, built or set, or came on board so. A valve that is
// taken out and put in again, here or elsewhere, goes on as it was.
func (o *Overhaul) Worked() bool {
	return o.Opened() || o.Cleaned.Stated() || o.Decided.Stated() || len(o.Tries) > 0 || o.AsLeft.Stated() ||
		o.Received.Stated() || o.Landed.Stated()
}

func (l *Lives) closePeriod(s *ServicePeriod, e event) {
	s.To, s.Closed, s.ToPlace, s.ToTotal = e.day, e.record, e.place, e.total
	l.closed[e.record] = s
	s.HoursKnown = s.HoursKnown && e.hasTotal
	if s.HoursKnown {
		s.Hours = e.total - s.FromTotal + s.Before
	}
	if s.HoursKnown && e.total < s.FromTotal {
		l.Faults = append(l.Faults, LifeFault{Kind: FaultBackwards, Position: s.Position, Holder: e.holder, Day: e.day,
			Place: e.place, Related: s.FromPlace})
		s.Hours, s.HoursKnown = 0, false
	}
	if e.holder != "" && e.holder != s.Holder {
		l.Faults = append(l.Faults, LifeFault{Kind: FaultOther, Position: s.Position, Holder: e.holder, Other: s.Holder,
			Day: e.day, Place: e.place, Related: s.FromPlace})
		s.Holder = e.holder
	}
	if e.nozzle != "" {
		s.Nozzle = e.nozzle
	}
}

func (l *Lives) index() {
	sort.SliceStable(l.ServicePeriods, func(i, j int) bool {
		a, c := l.ServicePeriods[i], l.ServicePeriods[j]
		if a.From != c.From {
			return a.From < c.From
		}
		return lessPosition(a.Position, c.Position)
	})
	for _, s := range l.ServicePeriods {
		l.byPosition[s.Position] = append(l.byPosition[s.Position], s)
		if s.Holder != "" {
			l.byHolder[s.Holder] = append(l.byHolder[s.Holder], s)
		}
		if s.Nozzle != "" {
			l.byNozzle[s.Nozzle] = append(l.byNozzle[s.Nozzle], s)
		}
	}
}

// twoPlaces finds parts that the fittings put in two positions at one time.
func (l *Lives) twoPlaces() {
	find := func(name func(*ServicePeriod) string, fault func(f *LifeFault, part string)) {
		open := map[string][]*ServicePeriod{}
		for _, s := range l.ServicePeriods {
			part := name(s)
			if part == "" {
				continue
			}
			for _, t := range open[part] {
				if t.Position != s.Position && (t.To == 0 || t.To > s.From) && (s.To == 0 || s.To > t.From) {
					f := LifeFault{Kind: FaultTwoPlaces, Position: s.Position, Other: t.Position.String(), Day: max(s.From, t.From),
						Place: s.FromPlace, Related: t.FromPlace}
					fault(&f, part)
					l.Faults = append(l.Faults, f)
				}
			}
			open[part] = append(open[part], s)
		}
	}
	find(func(s *ServicePeriod) string { return s.ReadHolder }, func(f *LifeFault, part string) { f.Holder = part })
	holders := len(l.Faults)
	find(func(s *ServicePeriod) string { return s.ReadNozzle }, func(f *LifeFault, part string) { f.Nozzle = part })
	// A nozzle goes where its holder goes: one fault is enough for the pair.
	kept := l.Faults[:holders]
	for _, f := range l.Faults[holders:] {
		covered := false
		for _, h := range l.Faults[:holders] {
			covered = covered || h.Kind == FaultTwoPlaces && h.Position == f.Position && h.Other == f.Other && h.Day == f.Day
		}
		if !covered {
			kept = append(kept, f)
		}
	}
	l.Faults = kept
}
