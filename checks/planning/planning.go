// Package planning works out what is due and when, what is needed for it, and what the next hand must know. It knows running rates, ages
// and stores; what a valve showed was judged before. It writes nothing down itself: it makes papers.
//
// Begin with [Plan] and its methods.
package planning

import (
	"fmt"
	"math"
	"strings"

	"needlebook/checks"
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
	rates    map[string]rate
}

// New is the plan of a book that was checked.
func New(b *logbook.Book, r *checks.Report, t *logbook.Trail) *Plan {
	if t == nil {
		t = logbook.PlainFolder()
	}
	p := &Plan{Book: b, Report: r, Trail: t, lives: b.Lives(), settings: b.Vessel.Settings.WithDefaults(), today: r.Today, rates: map[string]rate{}}
	for _, e := range b.Vessel.Engines {
		p.rates[e.ID.Written] = p.rateOf(e.ID.Written)
	}
	return p
}

// rate is an engine's running hours a day: over the last time, and the least and most of its parts. known is false where the readings do
// not tell.
type rate struct {
	perDay, low, high float64
	known             bool
}

// The rate is taken over three months, and its spread from the months of the half year before: common practice, no source. Months in
// which the engine stood still are no running rate.
const (
	rateDays  = 90
	monthDays = 30
	months    = 6
)

func (p *Plan) rateOf(engine string) rate {
	var r rate
	day := p.lastReading(engine)
	for days := rateDays; days >= monthDays/2 && !r.known; days /= 2 { // a young book has less to go by
		r.perDay, r.known = p.Book.Rate(engine, day, days)
	}
	if !r.known || r.perDay <= 0 {
		return rate{}
	}
	r.low, r.high = r.perDay, r.perDay
	for m := range months {
		if v, ok := p.Book.Rate(engine, day-logbook.Day(m*monthDays), monthDays); ok && v > r.perDay/4 {
			r.low, r.high = math.Min(r.low, v), math.Max(r.high, v)
		}
	}
	return r
}

// lastReading is the day of the last counter reading by today: beyond it the counter tells nothing.
func (p *Plan) lastReading(engine string) logbook.Day {
	var last logbook.Day
	for _, r := range p.Book.Hours[engine] {
		if r.Counter.Valid && r.Date.Day <= p.today {
			last = max(last, r.Date.Day)
		}
	}
	return last
}

// in is the day on which so many hours have run, at the present rate and at its ends: the soonest and the latest. 0 where no rate is known.
func (p *Plan) in(engine string, hours float64) (at, soonest, latest logbook.Day) {
	r := p.rates[engine]
	if !r.known {
		return 0, 0, 0
	}
	day := func(perDay float64) logbook.Day {
		return p.lastReading(engine) + logbook.Day(math.Floor(math.Min(hours/perDay, 1e6)))
	}
	if hours < 0 {
		return day(r.perDay), day(r.low), day(r.high)
	}
	return day(r.perDay), day(r.high), day(r.low)
}

// rateText says the rates in words, engine by engine.
func (p *Plan) rateText() string {
	var all []string
	for _, e := range p.Book.Vessel.Engines {
		r := p.rates[e.ID.Written]
		if !r.known {
			all = append(all, e.ID.Written+" not known")
			continue
		}
		all = append(all, fmt.Sprintf("%s %.1f h a day (%.1f to %.1f in the months before)", e.ID.Written, r.perDay, r.low, r.high))
	}
	return "running rate: " + strings.Join(all, "; ")
}

func hoursOf(h float64, known bool) string {
	if !known {
		return "not known"
	}
	return fmt.Sprintf("%.0f h", h)
}

func dash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// used says which instruments stand in a record of the last year.
func (p *Plan) used() map[string]bool {
	on := map[string]bool{}
	for _, o := range p.Book.Overhauls {
		if o.Day() > p.today || p.today.Days(o.Day()) > 365 {
			continue
		}
		for t := range o.Taken() {
			on[t.With.Written] = true
		}
		for _, s := range []logbook.Serial{o.AsFound.Bench, o.AsLeft.Bench, o.Assembled.NozzleNut.Wrench, o.AsLeft.EndCap.Wrench, o.Fitted.ClampNuts.Wrench, o.Fitted.PipeNut.Wrench} {
			on[s.Written] = true
		}
	}
	delete(on, "")
	return on
}
