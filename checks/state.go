package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"needlebook/logbook"
)

// states gives every finding of a run its subject, its day and its state: the one place that says what is open. said
// are all that the checks said, those too that are folded under another.
func states(c *Case, all, said []Finding) *histories {
	h := newHistories(c, said)
	for i := range all {
		h.about(&all[i])
		all[i].Text = h.digest(&all[i])
		h.texts[all[i].Text] = true
	}
	for i := range all {
		f := &all[i]
		f.State = Open
		if fact, ok := h.deferred(f); ok {
			f.State, f.Ended = Deferred, fact
		} else if fact, ok := h.closed(f); ok {
			f.State, f.Ended = ClosedByWork, fact
		} else if fact, ok := h.answered(f); ok {
			f.State, f.Ended = Answered, fact
		}
	}
	slices.SortStableFunc(all, gravestFirst)
	return h
}

// closed is the fact that closed a finding: the first of what its check states, or the part's end where its wear,
// setting or use was found. A figure that cannot be right ends by the writing alone: a later one says nothing of it.
func (h *histories) closed(f *Finding) (first Fact, ok bool) {
	k := Named(f.Check)
	if k == nil || f.slip {
		return Fact{}, false
	}
	for _, w := range k.Ends.Ways {
		if fact, ended := h.ended(f, w); ended && (!ok || fact.Day < first.Day) {
			first, ok = fact, true
		}
	}
	if ok {
		return first, true
	}
	return h.outOfUse(f, k)
}

// ended is the fact that ended a finding in one way.
func (h *histories) ended(f *Finding, w Way) (fact Fact, ok bool) {
	switch {
	case w.work != nil:
		fact, ok = h.after(f, h.question(f, w.By), w.work)
	case w.fact != nil:
		fact, ok = w.fact(h, f)
	}
	fact.Words = w.By + ": " + fact.Words
	return fact, ok
}

// outOfUse closes what is about a part that has been condemned or scrapped since, unless that is never ended so.
func (h *histories) outOfUse(f *Finding, k *Check) (Fact, bool) {
	kind := f.Subject.Kind
	if k.Ends.Never || kind != OfHolder && kind != OfNozzle {
		return Fact{}, false
	}
	e, ended := h.c.Book.EndBy(kind.String(), f.Subject.Name, h.c.Today)
	if !ended || e.Day < f.Since {
		return Fact{}, false
	}
	return Fact{e.Day, e.Place, f.Subject.String() + " " + e.String()}, true
}

// deferred is the deferral that covers a finding today: approved, begun, neither closed nor run out.
func (h *histories) deferred(f *Finding) (Fact, bool) {
	d := f.Deferral
	if d == nil || !d.Open(h.c.Today) || d.Until.Day != 0 && d.Until.Day < h.c.Today {
		return Fact{}, false
	}
	if periods, _ := deferredPeriods(h.c, d); periods != nil && d.Hours.Quantity.Valid() {
		from := d.From.Day
		if from == 0 {
			from = periods[0].From
		}
		if run, _ := deferredRun(h.c, periods, from, h.c.Today); run > d.Hours.Float() {
			return Fact{}, false
		}
	}
	return Fact{d.From.Day, d.Opening, fmt.Sprintf("deferral %s, for %s", d.ID.Written, d.End())}, true
}

// Whereabouts says where a subject is on the day of judgement.
type Whereabouts struct {
	// "in ME1-4", "ready spare", "in the spares rack, not ready", "pulled from ME1-4 2023-04-20",
	// "landed 2024-06-20", "condemned on 2022-10-14"
	Words   string
	Engines bool // fitted, or a place of an engine
	Ready   bool // booked as a ready spare, which it may not be

	In logbook.Position // where it is fitted
}

// parts are the places of all holders and nozzles on a day.
type parts map[Subject]Whereabouts

// partsOn finds where every part is, in one walk through the service periods.
func partsOn(c *Case) parts {
	all := parts{}
	put := func(holder, nozzle string, w Whereabouts) {
		for _, s := range []Subject{{OfHolder, holder}, {OfNozzle, nozzle}} {
			if s.Name != "" {
				all[s] = w
			}
		}
	}
	for _, p := range c.Lives.ServicePeriods {
		if p.From > c.Today {
			continue
		}
		w := Whereabouts{Words: "in " + p.Position.String(), Engines: true, In: p.Position}
		if p.To != 0 && p.To <= c.Today {
			w = Whereabouts{Words: "pulled from " + p.Position.String() + " " + p.To.String()}
		}
		put(p.Holder, p.Nozzle, w)
	}
	for _, r := range c.Lives.Rack(c.Today) {
		put(r.Holder, r.Nozzle, Whereabouts{Words: "ready spare", Ready: true})
	}
	for _, a := range c.Book.Landed(c.Today) {
		at := all[Subject{OfHolder, a.Holder.Written}]
		switch exchanged := a.Back != nil && a.Back.Holder.Written != a.Holder.Written; {
		case at.Engines || at.Ready: // it has come back since
		case exchanged:
			put(a.Holder.Written, a.NozzleOut(), Whereabouts{Words: "landed " + a.Since.String() + ", exchanged"})
		case a.Waits():
			put(a.Holder.Written, a.NozzleOut(), Whereabouts{Words: "landed " + a.Since.String()})
		}
	}
	maps.Copy(all, headsOn(c.Book, c.Today).where)
	for s, w := range all {
		if e, ended := c.Book.EndBy(s.Kind.String(), s.Name, c.Today); ended && !w.Engines {
			all[s] = Whereabouts{Words: e.String()}
		}
	}
	return all
}

// Group is where a finding is listed.
type Group uint8

// The groups, in their order.
const (
	OnEngines     Group = iota + 1 // a part in service, a position, a pocket
	ReadySpares                    // a valve booked as ready
	ShipAndGear                    // instruments, limits, stores, posts, signatures, the book
	RecordsToMend                  // slips, and parts that are neither fitted nor ready
)

// String is the heading of the group.
func (g Group) String() string {
	return [...]string{"", "on the engines now", "ready spares", "ship and instruments", "records to put right"}[g]
}

// Groups are the groups in their order.
var Groups = []Group{OnEngines, ReadySpares, ShipAndGear, RecordsToMend}

// GroupOf is the group of a finding, by where its subject is.
func (r *Report) GroupOf(f *Finding) Group {
	switch f.Subject.Kind {
	case OfPosition:
		return OnEngines
	case OfPocket:
		if w, exchanged := r.where[f.Subject]; exchanged && !w.Engines {
			return RecordsToMend
		}
		return OnEngines
	case OfHolder, OfNozzle:
		switch w := r.where[f.Subject]; {
		case w.Engines:
			return OnEngines
		case w.Ready:
			return ReadySpares
		}
		return RecordsToMend
	case OfRecord:
		if k := Named(f.Check); k != nil && k.Ends.Signature {
			return ShipAndGear
		}
		return RecordsToMend
	}
	return ShipAndGear
}

// Whereabouts says where a holder or a nozzle is; empty for all else, and for one that was never fitted or stored.
func (r *Report) Whereabouts(s Subject) Whereabouts { return r.where[s] }

// Where says where the subject of a finding is, and what it is: "H-110, in ME1-4".
func (r *Report) Where(f *Finding) string {
	name := f.Subject.Name
	switch f.Subject.Kind {
	case OfHolder, OfNozzle:
		if w := r.where[f.Subject].Words; w != "" {
			return name + ", " + w
		}
		return name
	case OfPocket:
		return strings.TrimSuffix("pocket of "+name+", "+r.where[f.Subject].Words, ", ")
	case OfBook:
		return r.Book.Vessel.Name.Written
	}
	return name
}

// Open are the findings that nothing has ended by the day of judgement, gravest first, then newest, then by place.
func (r *Report) Open() []Finding {
	var open []Finding
	for i := range r.Findings {
		if f := &r.Findings[i]; r.IsOpen(f) {
			open = append(open, *f)
		}
	}
	return open
}

// IsOpen says that a finding counts on the day of judgement.
func (r *Report) IsOpen(f *Finding) bool {
	return f.State == Open && (r == nil || !r.past || f.Since <= r.Today)
}

// Standing says how a finding stands on the day of judgement: "open for 13 days", "closed by work 2023-02-12: …".
func (r *Report) Standing(f *Finding) string {
	words := f.Standing()
	if f.State != Open {
		return words
	}
	if n := r.OpenFor(f); n > 0 {
		words += " for " + logbook.Counted(n, "day")
	}
	if f.Office != 0 {
		words += ", with the office since " + f.Office.String()
	}
	return words
}

// Standing is the state of a finding, with what ended it.
func (f *Finding) Standing() string {
	words := f.State.String()
	if f.State == Open || f.State == Corrected {
		return words
	}
	if f.Ended.Day != 0 {
		words += " " + f.Ended.Day.String()
	}
	return words + ": " + f.Ended.Words
}

// OpenFor is how many days a finding has been open, 0 where its day is not known.
func (r *Report) OpenFor(f *Finding) int {
	if f.Since == 0 || f.Since > r.Today {
		return 0
	}
	return r.Today.Days(f.Since)
}

// tested says that a test gave a figure or a look.
func tested(t *logbook.Test) bool {
	return len(t.Opening.Valid()) > 0 || t.LeakDown.Time.Stated() || t.Seat.State.Stated()
}
