// Package deciding follows the order of decisions that a good engineer goes through with a stripped valve, and says
// what it leads to for nozzle, holder and spring: the word, the reasons in their order, and what the record does not
// say. Beside it stand what was decided, regrinding compared with renewing, and whether the valve is ready. It
// proposes; the engineer decides.
//
// It rests on the verdicts of package judging, by the limits in force on the day, and holds no limit of its own. It
// reports nothing: checks turn a difference without a reason into a finding, pages print the working.
//
// Begin with [Propose].
package deciding

import (
	"slices"

	"needlebook/checks/judging"
	"needlebook/logbook"
)

// Outcome is what one overhaul leads to.
type Outcome struct {
	Nozzle, Holder, Spring Proposal
	// the setting for the parts as proposed: "320 +10/-0 bar (used)"; empty where the limits state none
	Setting string
	// the same for the parts as decided, where every word is written; empty where one is not, and once it is set
	SettingDecided string
	Choices        []Choice // regrind or renew, for each part where that is the question; nozzle first
	Ready          Readiness
}

// Proposals lists the three in the order of the record.
func (o Outcome) Proposals() []Proposal { return []Proposal{o.Nozzle, o.Holder, o.Spring} }

// Propose works out the overhauls given, every one of the book where none are, by the file stem of the record. The map
// and what hangs on it may be read by several goroutines.
func Propose(b *logbook.Book, judged *judging.Judgement, only ...*logbook.Overhaul) map[string]Outcome {
	d := &desk{book: b, judged: judged, settings: b.Vessel.Settings.WithDefaults(),
		found: map[string][]*logbook.Overhaul{}, stock: b.StockByDay()}
	for _, o := range b.Overhauls {
		if o.Nozzle.Found.Stated() {
			d.found[o.Nozzle.Found.Written] = append(d.found[o.Nozzle.Found.Written], o)
		}
	}
	if len(only) == 0 {
		only = b.Overhauls
	}
	all := make(map[string]Outcome, len(only))
	for _, o := range only {
		if _, twice := all[o.Stem]; !twice {
			all[o.Stem] = d.outcome(o)
		}
	}
	return all
}

// desk is what every record is worked out with.
type desk struct {
	book     *logbook.Book
	judged   *judging.Judgement
	settings logbook.Settings
	found    map[string][]*logbook.Overhaul // records by the nozzle that came out, oldest first
	stock    []logbook.StockMove            // by date
}

// work is one record on the desk.
type work struct {
	*desk
	o      *logbook.Overhaul
	day    logbook.Day         // day of the bench work
	in     *logbook.Revision   // limits in force on that day
	any    bool                // there were any
	places []logbook.PlaceSeen // the inspection list
}

// begin lays a record on the desk.
func (d *desk) begin(o *logbook.Overhaul) *work {
	w := &work{desk: d, o: o, places: o.Inspected.Places()}
	w.day = o.BenchOn()
	w.in, w.any = d.book.LimitsFor(o).On(w.day)
	return w
}

func (d *desk) outcome(o *logbook.Overhaul) Outcome {
	w := d.begin(o)
	var out Outcome
	out.Holder = w.compare(w.propose("holder", o.Holder.Written, w.holder))
	out.Choices = w.choices(out.Holder)
	out.Nozzle = w.compare(w.propose("nozzle", o.Nozzle.Found.Written, func() []Step { return w.nozzle(out.Choices) }))
	out.Spring = w.compare(w.propose("spring", "", w.spring))
	out.Choices = slices.DeleteFunc(out.Choices, func(c Choice) bool { // a cracked part is not ground
		return c.Part == "nozzle" && out.Nozzle.stopped() || c.Part == "holder" && out.Holder.stopped()
	})
	out.Setting = w.setting(out, func(p Proposal) string { return p.Word })
	if !o.AsLeft.Stated() {
		out.SettingDecided = w.setting(out, func(p Proposal) string { return p.Decided })
	}
	out.Ready = w.ready(out)
	return out
}

// opened says that the valve was taken apart, as far as the record tells: only then is there something to decide.
func (w *work) opened() bool {
	o := w.o
	return (o.Removed.Stated() || o.Nozzle.Found.Stated()) && (o.Stripped.Stated() || o.Inspected.Stated() ||
		o.Measured.Stated() || o.Decided.Stated())
}

// setting is the band that the valve is set to when it is built by the words for its parts.
func (w *work) setting(out Outcome, word func(Proposal) string) string {
	nozzle, holder, spring := word(out.Nozzle), word(out.Holder), word(out.Spring)
	if nozzle == "" || holder == "" || spring == "" || outOfUse(holder) {
		return ""
	}
	band, class := w.in.Opening.Used, logbook.Used
	switch {
	case outOfUse(nozzle) || outOfUse(spring):
		band, class = w.in.Opening.New, logbook.New
	case nozzle == "grind":
		class = logbook.Reground
		if w.in.Opening.Reground.Span.Valid() {
			band = w.in.Opening.Reground
		}
	}
	if !band.Span.Valid() {
		return ""
	}
	return band.String() + " (" + class.String() + ")"
}

// earlier counts the records before this one that decided a word on the nozzle that came out; this one too where asked
// for.
func (w *work) earlier(word string, thisToo bool) int {
	n := 0
	for _, r := range w.found[w.o.Nozzle.Found.Written] {
		if r == w.o && !thisToo {
			break
		}
		if r.Decided.Nozzle.Is(word) {
			n++
		}
		if r == w.o {
			break
		}
	}
	return n
}
