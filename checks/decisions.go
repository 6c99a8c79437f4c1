package checks

import (
	"maps"
	"slices"

	"needlebook/checks/deciding"
	"needlebook/logbook"
)

// holdBack adds to what is known of each spare the stops that are open about its holder or nozzle, whatever record they
// are of: a nozzle that leaked in another holder is no better in this one. A part that is not ready is called a ready
// spare nowhere.
func (r *Report) holdBack() {
	stops := map[Subject][]*Finding{}
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Grade == Stop && r.IsOpen(f) {
			stops[f.Subject] = append(stops[f.Subject], f)
		}
	}
	for i := range r.Spares {
		s := &r.Spares[i]
		for _, part := range []Subject{{OfHolder, s.Holder}, {OfNozzle, s.Nozzle}} {
			for _, f := range stops[part] {
				s.State.Because = slices.Clone(s.State.Because)
				s.State.Add(f.Message, f.Place)
			}
		}
		if s.Overhaul != nil {
			out := r.Decisions[s.Overhaul.Stem]
			out.Ready = s.State
			r.Decisions[s.Overhaul.Stem] = out
		}
		for _, part := range []Subject{{OfHolder, s.Holder}, {OfNozzle, s.Nozzle}} {
			if w := r.where[part]; w.Ready && !s.State.Yes() {
				w.Words = "in the spares rack, " + s.State.Word()
				r.where[part] = w
			}
		}
	}
}

// decisions are the outcomes of every overhaul, with what the checks found to stop a valve added to what the bench
// shows: a value that stands twice, say, is no value. What was left undone at the engine does not undo the work on the
// bench. The record of a valve that is booked as ready answers as the spare does, and whoever asks whether a part is
// ready asks here.
func decisions(c *Case, found []Finding) (map[string]deciding.Outcome, []deciding.Spare) {
	all := maps.Clone(c.Outcomes())
	for _, f := range found {
		k := Named(f.Check)
		out, known := all[f.About.Record]
		if k == nil || k == tightening || k == leakCheck || k.Level > Record || f.Grade != Stop || f.Deferral != nil ||
			!known {
			continue
		}
		if out.Ready.Tested || len(out.Ready.Because) > 0 {
			out.Ready.Add(f.Message, f.Place)
			all[f.About.Record] = out
		}
	}
	last := map[string]*logbook.Overhaul{}
	for _, o := range c.Book.Overhauls {
		last[o.Holder.Written] = o
	}
	for _, o := range c.Book.Overhauls {
		out, day := all[o.Stem], max(o.AsLeft.Date.Day, o.Stored.Date.Day, o.Fitted.Date.Day)
		if last[o.Holder.Written] == o {
			day = c.Today // nothing was done with it since: what is known of it today holds
		}
		if o.Built() {
			out.Ready.Because = slices.Clone(out.Ready.Because)
			out.Ready.OutOfUse(c.Book, o, day)
			all[o.Stem] = out
		}
	}
	spares := deciding.Spares(c.Book, all, c.Today)
	for _, s := range spares {
		if s.Overhaul != nil {
			out := all[s.Overhaul.Stem]
			out.Ready = s.State
			all[s.Overhaul.Stem] = out
		}
	}
	return all, spares
}
