package evidence

import (
	"slices"
	"strings"

	"needlebook/checks/judging"
	"needlebook/checks/recurring"
	"needlebook/checks/survival"
	"needlebook/logbook"
	"needlebook/logbook/keys"
)

// Evidence is a book with what its overhauls show. It is read-only once made.
type Evidence struct {
	Book      *logbook.Book
	Judged    *judging.Judgement
	Recurring *recurring.Recurring
	Openings  []Opening // every removal whose age is known, oldest first

	ageless  []Opening // removals whose hours no reading tells, or whose valve never ran: they say nothing of an age
	lives    *logbook.Lives
	settings logbook.Settings
	today    logbook.Day
	signs    map[logbook.Position][]logbook.Run
	named    []Association             // what occurs with findings
	usual    map[logbook.Class]float64 // the ship's habit: how opening pressures come back, in bar
}

// Why a valve was opened: valves opened for their hours say what an age does; those pulled for a symptom do not, and
// are kept apart.
type Why string

// The reasons for an opening.
const (
	ForHours   Why = "for hours"   // planned, trial, survey
	ForSymptom Why = "for symptom" // something was noticed
	ForOther   Why = "other work"  // neither age nor state
)

// State is what an opened valve was.
type State string

// The states of an opened valve.
const (
	Fine    State = "fine"
	Bad     State = "bad"
	Unknown State = "not known" // nothing was looked at as found
)

// Opening is one valve taken out and looked at.
type Opening struct {
	Overhaul      *logbook.Overhaul
	ServicePeriod *logbook.ServicePeriod
	Day           logbook.Day
	Hours         float64
	Why           Why
	State         State
	What          string // what was bad, in words; empty for one that was fine
	Unproven      string // why it is not known whether it was bad; empty where it is
	Special       string // the special cause on record that explains it, or empty
	// hours at which its signs were last seen in order, for one pulled for a symptom; 0 where nobody looked
	LastFine float64
}

// New gathers the evidence of a book by a day.
func New(b *logbook.Book, rounds []logbook.Round, judged *judging.Judgement, today logbook.Day) *Evidence {
	e := &Evidence{Book: b, Judged: judged, Recurring: recurring.Find(b, rounds, judged), lives: b.Lives(),
		settings: b.Vessel.Settings.WithDefaults(), today: today, signs: map[logbook.Position][]logbook.Run{},
		usual: map[logbook.Class]float64{}}
	for class := logbook.Used; class <= logbook.Reground; class++ {
		e.usual[class] = e.Recurring.Usual(class).Median
	}
	for _, r := range b.Running {
		p := logbook.Position{Engine: r.Engine, Cylinder: r.Cylinder.Written}
		e.signs[p] = append(e.signs[p], r)
	}
	for _, o := range b.Overhauls {
		s := e.lives.ClosedBy(o)
		if s == nil && o.Removed.Stated() && o.Removed.Date.Day != 0 { // no fitting on record
			s = &logbook.ServicePeriod{Position: logbook.Position{Engine: o.Removed.Engine.Written,
				Cylinder: o.Removed.Cylinder.Written}, Holder: o.Holder.Written, Nozzle: o.Nozzle.Found.Written,
				To: o.Removed.Date.Day, Closed: o}
		}
		if s == nil || s.To > today {
			continue
		}
		x := Opening{Overhaul: o, ServicePeriod: s, Day: s.To, Hours: s.Hours, Why: ForHours}
		switch {
		case o.Removed.Reason.Is("symptom"):
			x.Why = ForSymptom
			x.LastFine = e.lastFine(s)
		case o.Removed.Reason.Is("other work"):
			x.Why = ForOther
		}
		x.State, x.What, x.Unproven = e.stateOf(o)
		if s.HoursKnown && s.Hours > 0 {
			e.Openings = append(e.Openings, x)
		} else {
			e.ageless = append(e.ageless, x)
		}
	}
	slices.SortStableFunc(e.Openings, func(a, b Opening) int { return int(a.Day - b.Day) })
	e.associate()
	for _, all := range [][]Opening{e.Openings, e.ageless} {
		for i := range all {
			all[i].Special = e.special(all[i].Overhaul)
		}
	}
	return e
}

// stateOf holds a record against what counts as failed as found: any criterion of its own revision failed, or a crack.
// Uncertainty of the gauge does not make a valve bad or fine here: the reading counts.
func (e *Evidence) stateOf(o *logbook.Overhaul) (s State, what, unproven string) {
	looked, tested := false, false
	for _, key := range []string{keys.AsFoundSeatState, keys.AsFoundLeakDownTime, keys.AsFoundSpray,
		keys.AsFoundOpeningPressure} {
		v := e.Judged.Find(o, key)
		if v.Result.Out() {
			return Bad, v.Name, ""
		}
		tested = tested || v.Result == judging.NoLimitThen
		looked = looked || v.Result == judging.Within || v.Result == judging.WithinDoubt || v.Result == judging.NotProven
	}
	if v := e.Judged.LiftOf(o); v.Result.Out() {
		return Bad, v.Name, ""
	}
	for _, p := range o.Inspected.Places() {
		if p.Word.Is("cracked") {
			return Bad, p.Name + " cracked", ""
		}
	}
	if o.Decided.Holder.Is("condemn") || o.Decided.Nozzle.Is("condemn") {
		return Bad, "condemned", ""
	}
	switch {
	case looked:
		return Fine, "", ""
	case tested:
		return Unknown, "", "no limit was in force for what was tested as found"
	}
	return Unknown, "", "nothing was tested as found"
}

// special is a cause on record that is not the age of the valve.
func (e *Evidence) special(o *logbook.Overhaul) string {
	switch {
	case e.Recurring.HolderCondemned(o.Holder.Written):
		return "holder " + o.Holder.Written + " was condemned in the end"
	case e.fouled(o) != "":
		return e.fouled(o)
	case o.Removed.RingsOut.Valid && o.Removed.RingsOut.Value > e.settings.Rings.Value:
		return "more than one ring lay in the pocket"
	case e.marked(o):
		return "its marking is not permitted"
	case e.deferred(o):
		return "it ran under a deferral"
	}
	return ""
}

// fouled says what explains a round that failed as a whole: a fuel that explains it, or an age at which none should be
// bad yet. A round that is bad and that nothing explains may be just the wear of too long an interval, and is counted.
func (e *Evidence) fouled(o *logbook.Overhaul) string {
	f := e.Recurring.FouledWith(o)
	switch {
	case f == nil:
		return ""
	case f.By.Kind == recurring.ByFuel || len(f.Earlier) > 0:
		return "its round failed as a whole, and fuel " + f.Bunkers[0].Bunker.Stem.Written + " explains it"
	case f.Soon:
		return "its round failed below half the interval"
	}
	return ""
}

func (e *Evidence) marked(o *logbook.Overhaul) bool {
	p := e.Book.Part("nozzle", o.Nozzle.Found.Written)
	mark := o.Nozzle.MarkingFound.Written
	if mark == "" && p != nil {
		mark = p.Marking.Written
	}
	l := e.Book.LimitsFor(o)
	if mark == "" || l == nil {
		return false
	}
	in, _ := l.On(o.Day())
	return len(in.Markings.Each) > 0 && !slices.ContainsFunc(in.Markings.Each,
		func(m logbook.Text) bool { return m.Written == mark })
}

// deferred says that the stay which ended began under a deferral: the valve was known to be beyond a limit when it went
// in. What a deferral was granted for, and a valve left in longer than its interval, are no special cause: there the
// age itself shows.
func (e *Evidence) deferred(o *logbook.Overhaul) bool {
	s := e.lives.ClosedBy(o)
	if s == nil || s.Opened == nil {
		return false
	}
	return s.Opened.Deferral.Stated() || slices.ContainsFunc(e.Book.Deferrals, func(d *logbook.Deferral) bool {
		return d.Record.Written == s.Opened.Stem && !strings.HasPrefix(d.Limit.Written, "interval")
	})
}

// lastFine are the hours of a stay at the last reading whose exhaust deviation was in order; 0 where there is none.
func (e *Evidence) lastFine(s *logbook.ServicePeriod) float64 {
	l := e.Book.LimitsOf(s.Engine)
	if l == nil {
		return 0
	}
	last := 0.0
	for _, r := range e.signs[s.Position] {
		in, _ := l.On(r.Date.Day)
		if look := in.Exhaust.Look; r.Date.Day > s.From && r.Date.Day < s.To && r.Dev.Valid && look.Quantity.Valid() &&
			r.Load.Value >= in.Exhaust.Load.Float() && r.Dev.Value <= look.Float() {
			if h, ok := e.lives.HoursOn(s, r.Date.Day); ok && h < s.Hours {
				last = max(last, h)
			}
		}
	}
	return last
}

// life is what an opening says of the age at which the valve went bad.
func (o Opening) life() survival.Life {
	switch {
	case o.State != Bad:
		return survival.LongerThan(o.Hours)
	case o.Why == ForSymptom:
		return survival.EndedWithin(o.LastFine, o.Hours)
	}
	return survival.EndedWithin(0, o.Hours)
}

// knownDay is a day in words, and empty where it is not known.
func knownDay(d logbook.Day) string {
	if d == 0 {
		return ""
	}
	return d.String()
}
