// Package planning works out what is due and when, what is needed for it, and what the next engineer must know. It
// knows running rates, ages and stores; what a valve showed was judged before. It writes nothing down itself: it makes
// papers.
//
// Begin with [Plan] and its methods.
package planning

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks"
	"needlebook/checks/stores"
	"needlebook/logbook"
)

// Plan is a book seen from one day.
type Plan struct {
	Book     *logbook.Book
	Report   *checks.Report
	Trail    *logbook.Trail // nil for a plain folder
	lives    *logbook.Lives
	settings logbook.Settings
	today    logbook.Day
	paces    map[string]logbook.Pace
	items    []*stores.Item
	gravest  map[string]*checks.Finding // by record, the open finding that is gravest; notes are none
}

// New is the plan of a book that was checked.
func New(b *logbook.Book, r *checks.Report, t *logbook.Trail) *Plan {
	if t == nil {
		t = logbook.PlainFolder()
	}
	p := &Plan{Book: b, Report: r, Trail: t, lives: b.Lives(), settings: b.Vessel.Settings.WithDefaults(), today: r.Today,
		paces: map[string]logbook.Pace{}}
	for _, e := range b.Vessel.Engines {
		p.paces[e.ID.Written] = b.PaceOf(e.ID.Written, p.today)
	}
	p.items = stores.Count(b, p.today)
	p.gravest = gravestOpen(r, func(f *checks.Finding) string { return f.About.Record })
	return p
}

// in is the day on which so many hours have run, at the present rate and at its ends: the soonest and the latest. 0
// where no rate is known.
func (p *Plan) in(engine string, hours float64) (at, soonest, latest logbook.Day) {
	r := p.paces[engine]
	if !r.Known {
		return 0, 0, 0
	}
	day := func(perDay float64) logbook.Day {
		return r.Read + logbook.Day(math.Floor(math.Min(hours/perDay, 1e6)))
	}
	if hours < 0 {
		return day(r.PerDay), day(r.Low), day(r.High)
	}
	return day(r.PerDay), day(r.High), day(r.Low)
}

// on is the day of the plan.
func (p *Plan) on() string { return dayOf(p.today) }

func dayOf(d logbook.Day) string {
	if d == 0 {
		return "a day not known"
	}
	return d.String()
}

// rateText says the rates in words, engine by engine.
func (p *Plan) rateText() string {
	var all []string
	for _, e := range p.Book.Vessel.Engines {
		r := p.paces[e.ID.Written]
		if !r.Known {
			all = append(all, e.Called()+" not known")
			continue
		}
		all = append(all, fmt.Sprintf("%s %.1f h a day (%.1f to %.1f in the months before)", e.ID.Written, r.PerDay, r.Low,
			r.High))
	}
	if len(all) == 0 {
		return "running rate: not known, the book names no engine"
	}
	return "running rate: " + strings.Join(all, "; ")
}

func hoursOf(h float64, known bool) string {
	if !known {
		return "not known"
	}
	return fmt.Sprintf("%.0f h", h)
}

// statedHours are hours that a limit states, or a dash.
func statedHours(h float64) string {
	if h <= 0 {
		return "–"
	}
	return hoursOf(h, true)
}

func dash(s string) string { return logbook.Dash(s) }

// used says which instruments stand in a record of the last year.
func (p *Plan) used() map[string]bool {
	on := map[string]bool{}
	for _, o := range p.Book.Overhauls {
		if o.Day() > p.today || p.today.Days(o.Day()) > 365 {
			continue
		}
		for _, id := range instrumentsOf(o) {
			on[id] = true
		}
	}
	return on
}

// instrumentsOf are the instruments that a record names.
func instrumentsOf(o *logbook.Overhaul) (ids []string) {
	add := func(s logbook.Serial) {
		if s.Stated() { // not recorded (why) is no instrument
			ids = append(ids, s.Written)
		}
	}
	for t := range o.Taken() {
		add(*t.With)
	}
	for _, s := range []logbook.Serial{o.AsFound.Bench, o.AsLeft.Bench, o.Assembled.NozzleNut.Wrench,
		o.AsLeft.EndCap.Wrench, o.Fitted.ClampNuts.Wrench, o.Fitted.PipeNut.Wrench} {
		add(s)
	}
	return ids
}
