package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/draft"
)

// fitting reads what is to go into which cylinder of an engine, each as 3=H-131: the holder by the cylinder.
func (p *program) fitting(o *opened, engine string, named []string) (map[string]string, error) {
	fit := map[string]string{}
	for _, f := range named {
		c, holder, ok := strings.Cut(f, "=")
		if !ok || !o.hasCylinder(engine, c) {
			return nil, use("--fit %s: a cylinder of %s and the holder that goes in, as 3=H-131", f, engine)
		}
		h, err := p.one(o, holder, logbook.ThingHolder)
		if err != nil {
			return nil, err
		}
		fit[c] = h.Name
	}
	return fit, nil
}

func (o *opened) hasCylinder(engine, cylinder string) bool {
	for _, pos := range o.book.Positions() {
		if pos == (logbook.Position{Engine: engine, Cylinder: cylinder}) {
			return true
		}
	}
	return false
}

// goingIn is what goes into the cylinders of a round.
type goingIn struct {
	records []*logbook.Overhaul
	into    map[*logbook.Overhaul]logbook.Position // the cylinder that somebody named one for
	sheets  []*draft.Sheet                         // of valves that go in as they lay in the spares rack
	open    []string                               // cylinders for which nobody named a valve, with the reason
}

// enterFitted adds the step of the fitting to the valves that go into an engine.
func (p *program) enterFitted(o *opened, engine string, day logbook.Day, named []string, print bool) error {
	fit, err := p.fitting(o, engine, named)
	if err != nil {
		return err
	}
	in, err := o.goingIn(engine, day, fit)
	if err != nil {
		return err
	}
	var holders []string
	for _, rec := range in.records {
		holders = append(holders, rec.Holder.Written)
	}
	for _, s := range in.sheets {
		holders = append(holders, s.Holder)
	}
	if err := p.notReady(o, holders...); err != nil {
		return err
	}
	if err := p.enterNew(o, in.sheets, print); err != nil {
		return err
	}
	step, _ := draft.StepNamed("fitted")
	if len(in.records) > 0 {
		if err := p.addSteps(o, in.records, step, in.into, print); err != nil {
			return err
		}
	}
	for _, why := range in.open {
		fmt.Fprintln(p.err, why)
		p.status = exitFindings
	}
	return nil
}

// goingIn works out which valves go into the cylinders of an engine's last round: what somebody named for one, else the
// valve that came out of it, unless its record says that it stays out.
func (o *opened) goingIn(engine string, day logbook.Day, fit map[string]string) (in goingIn, err error) {
	in.into = map[*logbook.Overhaul]logbook.Position{}
	for _, c := range slices.Sorted(maps.Keys(fit)) {
		if err := o.putIn(&in, fit[c], logbook.Position{Engine: engine, Cylinder: c}, day); err != nil {
			return in, err
		}
	}
	for _, rec := range o.goOn(logbook.Thing{Kind: logbook.ThingEngine, Name: engine}, draft.Step{}) {
		at := positionOf(rec)
		if fit[at.Cylinder] != "" {
			continue
		}
		why := staysOut(rec)
		if into, named := in.into[rec]; named {
			why = "goes into " + into.String()
		}
		switch runs := o.runsIn(at); {
		case why == "":
			in.records = append(in.records, rec)
		case runs == nil || fittedIn(runs) != at:
			in.open = append(in.open, fmt.Sprintf("%s: %s %s; name what goes in with --fit %s=HOLDER", at, rec.Holder, why,
				at.Cylinder))
		}
	}
	if len(in.records)+len(in.sheets)+len(in.open) == 0 {
		return in, use("no valve of the last round of %s goes in by its record: name it with --fit 3=HOLDER", engine)
	}
	return in, nil
}

// putIn has a valve go into a cylinder that somebody named it for.
func (o *opened) putIn(in *goingIn, holder string, at logbook.Position, day logbook.Day) error {
	for _, s := range o.book.Lives().OfHolder(holder) {
		if s.To == 0 && s.Position != at {
			return use("%s sits in %s by the book: its removal comes first, or read the stamp", holder, s.Position)
		}
	}
	if s := draft.OfSpare(o.book, holder, day); s != nil {
		for _, other := range in.sheets {
			if other.Holder == holder {
				return use("--fit names %s for two cylinders", holder)
			}
		}
		s.Into(at)
		step, _ := draft.StepNamed("fitted")
		s.On(step, o.on)
		in.sheets = append(in.sheets, s)
		return nil
	}
	rec := o.lastOf(holder)
	if rec == nil {
		return use("the book has no record of %s to go on with, and no such spare: needlebook enter %s", holder, holder)
	}
	if _, twice := in.into[rec]; twice {
		return use("--fit names %s for two cylinders", holder)
	}
	in.into[rec] = at
	in.records = append(in.records, rec)
	return nil
}

// staysOut says why a valve that came out does not go back in, by its own record; empty where it may.
func staysOut(rec *logbook.Overhaul) string {
	switch {
	case rec.Decided.Holder.Is("condemn"):
		return "is condemned"
	case rec.Landed.Stated():
		return "is landed"
	case rec.Stored.Stated():
		return "is stored"
	case fittedIn(rec) != (logbook.Position{}) && fittedIn(rec) != positionOf(rec):
		return "went into " + fittedIn(rec).String()
	}
	return ""
}

// lastOf is the last record of a holder; nil for none.
func (o *opened) lastOf(holder string) *logbook.Overhaul {
	for _, rec := range o.newest(logbook.Thing{Kind: logbook.ThingHolder, Name: holder}) {
		return rec
	}
	return nil
}

// positionOf is where a valve was removed, fittedIn where it went.
func positionOf(rec *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: rec.Removed.Engine.Written, Cylinder: rec.Removed.Cylinder.Written}
}

func fittedIn(rec *logbook.Overhaul) logbook.Position {
	return logbook.Position{Engine: rec.Fitted.Engine.Written, Cylinder: rec.Fitted.Cylinder.Written}
}

// runsIn is the record of the valve that runs in a cylinder: the last that was fitted there, else the last that came
// out of it and does not say where it went. A fitting that has begun and bears no day yet is the last; on one day a
// valve comes out before one goes in.
func (o *opened) runsIn(at logbook.Position) (rec *logbook.Overhaul) {
	var last logbook.Day
	for _, x := range o.book.Overhauls {
		var day logbook.Day
		switch f := x.Fitted; {
		case fittedIn(x) == at && f.Date.Day != 0:
			day = 2*f.Date.Day + 1
		case fittedIn(x) == at && o.lastOf(x.Holder.Written) == x:
			day = math.MaxInt32
		case fittedIn(x) == logbook.Position{} && positionOf(x) == at:
			day = 2 * x.Removed.Date.Day
		}
		if day != 0 && day >= last {
			rec, last = x, day
		}
	}
	return rec
}
