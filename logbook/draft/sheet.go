// Package draft knows what the next overhaul record of a valve holds before anybody has touched it: what the book can
// fill in, what the bench must say, which limit stands beside each blank and what the last value there was. It gives
// the record as text for any editor, step by step in the order of the work. It judges nothing and writes no file.
//
// Begin with At, OfHolder and Of.
package draft

import (
	"cmp"
	"fmt"
	"path"
	"strconv"
	"strings"

	"needlebook/logbook"
	"needlebook/logbook/keys"
	"needlebook/logbook/measure"
)

// Sheet is what the book knows of one overhaul beforehand. Keys of the maps are those of the record with the ones above
// them: "as_found.leak_down.time".
type Sheet struct {
	Position   logbook.Position  // where the valve sits or came from; zero for a build without a removal
	Holder     string            // serial, as the book has it
	Nozzle     string            // serial the book expects with it; empty where it knows none
	Day        logbook.Day       // day of the removal, or of the build
	Class      logbook.Class     // setting class; only with ClassKnown
	Revision   logbook.Day       // first day of the limits in force; 0 where none were
	Source     string            // source of that revision
	Path       string            // where the record stands, or is to stand, in the book
	Known      map[string]string // what the book fills in, as it is typed
	Limit      map[string]string // limit beside a blank, as the limits file has it
	Last       map[string]string // last value there, with its day
	Choice     map[string]string // what may be named there: instruments in date, hands aboard
	Received   bool              // it came on board built: the certificate is copied, and the valve looked at
	FromRack   bool              // it is fitted as it was in the spares rack: nothing is built up
	ClassKnown bool              // the parts are decided, so that the setting class is certain
	units      map[string]string // unit of a limit, by the key of its blank
	fields     []logbook.Field
	book       *logbook.Book
}

// At is the sheet of the valve that sits in a position on a day.
func At(b *logbook.Book, p logbook.Position, day logbook.Day) (*Sheet, error) {
	period := b.Lives().At(p, day)
	for _, ended := range b.Lives().InPosition(p) { // the record of that day may have begun already
		if period == nil && ended.To == day {
			period = ended
		}
	}
	if period == nil {
		return nil, fmt.Errorf("the book knows no valve in %s on %s: name the holder instead, or state in book.md under "+
			"opening what sat there", p, day)
	}
	s := newSheet(b, p, period.Holder, period.Nozzle, day)
	s.Path = path.Join(logbook.FolderOf(p), day.String()+"-"+logbook.FileName(period.Holder)+".md")
	s.removed(period)
	s.fill(nil)
	return s, nil
}

// Read is the sheet of a valve that came out of a position where the book has another, or none: its holder was read on
// the stamp.
func Read(b *logbook.Book, p logbook.Position, holder string, day logbook.Day) *Sheet {
	s := newSheet(b, p, holder, "", day)
	s.Path = path.Join(logbook.FolderOf(p), day.String()+"-"+logbook.FileName(holder)+".md")
	s.outOf(p)
	s.fill(nil)
	return s
}

// OfHolder is the sheet of a holder: of the valve in its position where it is fitted, else of a build in the spares
// rack.
func OfHolder(b *logbook.Book, holder string, day logbook.Day) (*Sheet, error) {
	for _, period := range b.Lives().OfHolder(holder) {
		if period.From <= day && (period.To == 0 || period.To >= day) {
			return At(b, period.Position, day)
		}
	}
	nozzle := ""
	for _, r := range b.Lives().Rack(day) {
		if r.Holder == holder {
			nozzle = r.Nozzle
		}
	}
	s := newSheet(b, logbook.Position{}, holder, nozzle, day)
	s.Path = path.Join(logbook.Builds, day.String()+"-"+logbook.FileName(holder)+".md")
	s.fill(nil)
	return s, nil
}

// OfSpare is the sheet of a valve that is fitted as it lay in the spares rack, and has no record there; nil where the
// book knows no such spare.
func OfSpare(b *logbook.Book, holder string, day logbook.Day) *Sheet {
	for _, r := range b.Lives().Rack(day) {
		if r.Holder != holder || r.Overhaul != nil {
			continue
		}
		s := newSheet(b, logbook.Position{}, holder, r.Nozzle, day)
		s.FromRack = true
		s.Path = path.Join(logbook.Builds, day.String()+"-"+logbook.FileName(holder)+".md")
		s.Known[keys.NozzleLeft] = s.Known[keys.NozzleFound]
		s.fill(nil)
		return s
	}
	return nil
}

// OfReceived is the sheet of a valve that came on board built and tested by somebody else.
func OfReceived(b *logbook.Book, holder string, day logbook.Day) *Sheet {
	s := newSheet(b, logbook.Position{}, holder, "", day)
	s.Received = true
	s.Known[keys.ReceivedDate] = day.String()
	s.Path = path.Join(logbook.Builds, day.String()+"-"+logbook.FileName(holder)+".md")
	s.fill(nil)
	for _, key := range []string{keys.AsLeftBench, keys.AsLeftGauge, keys.AsLeftEndCapWrench} {
		s.Choice[key] = "as the certificate names it"
	}
	return s
}

// Of is the sheet of a record that has begun, for its next steps.
func Of(b *logbook.Book, o *logbook.Overhaul) *Sheet {
	p := logbook.Position{Engine: o.Removed.Engine.Written, Cylinder: o.Removed.Cylinder.Written}
	nozzle := o.Nozzle.Found.Written
	if o.Nozzle.Left.Stated() {
		nozzle = o.Nozzle.Left.Written
	}
	s := newSheet(b, p, o.Holder.Written, nozzle, o.Day())
	s.Path, s.Received = o.Path, o.Received.Stated()
	// what takes the place of a condemned nozzle may be a new one or a used one
	out := o.Decided.Nozzle.Is("condemn") && (!o.Nozzle.Left.Stated() || o.Nozzle.Left.Written == o.Nozzle.Found.Written)
	if o.Decided.Stated() && !out {
		s.Class, s.ClassKnown = b.Lives().ClassOf(o), true
	}
	s.fill(o)
	return s
}

func newSheet(b *logbook.Book, p logbook.Position, holder, nozzle string, day logbook.Day) *Sheet {
	s := &Sheet{Position: p, Holder: holder, Nozzle: nozzle, Day: day, book: b,
		Known: map[string]string{}, Limit: map[string]string{}, Last: map[string]string{}, Choice: map[string]string{},
		units: map[string]string{}, fields: logbook.KindNamed("overhaul").Fields}
	s.Known["holder"] = quoted(holder)
	if nozzle != "" {
		s.Known[keys.NozzleFound] = quoted(nozzle)
	}
	return s
}

// removed fills in where the valve came from, and the counter where it was read on that very day.
func (s *Sheet) removed(period *logbook.ServicePeriod) {
	s.outOf(s.Position)
	if hours, known := s.book.Lives().HoursOn(period, s.Day); known {
		s.Last[keys.RemovedHours] = fmt.Sprintf("by the book %.0f h on %s", hours, s.Day)
	}
}

// outOf fills in where and when a valve was removed.
func (s *Sheet) outOf(p logbook.Position) {
	s.Known[keys.RemovedEngine], s.Known[keys.RemovedCylinder] = plain(p.Engine), plain(p.Cylinder)
	s.Known[keys.RemovedDate] = s.Day.String()
	s.counter(keys.RemovedCounter, p.Engine)
}

// counter fills in a reading of that very day; an older one is only shown, since nobody has read the counter yet.
func (s *Sheet) counter(key, engine string) {
	read, last := CounterOn(s.book, engine, s.Day)
	if read != "" {
		s.Known[key] = read
	}
	if last != "" {
		s.Last[key] = last
	}
}

// CounterOn is what an engine's hour counter read on a day, empty where nobody read it then, and its last reading by
// then with its day: "48332 h", "48332 h on 2026-11-04".
func CounterOn(b *logbook.Book, engine string, day logbook.Day) (read, last string) {
	for _, r := range b.Hours[b.HostOf(engine)] {
		if !r.Counter.Valid || r.Date.Day > day {
			continue
		}
		if r.Date.Day == day {
			read = r.Counter.Written + " h"
		}
		last = r.Counter.Written + " h on " + r.Date.Day.String()
	}
	return read, last
}

// fill puts limits, last values and instruments beside the blanks. o is nil for a record that has not begun.
func (s *Sheet) fill(o *logbook.Overhaul) {
	limits := s.book.LimitsOf(s.Position.Engine)
	if limits == nil {
		limits = s.book.LimitsFor(&logbook.Overhaul{})
	}
	if limits != nil {
		if e, ok := limits.On(s.Day); ok {
			for _, x := range limits.Revisions {
				if x.From.Day <= s.Day && x.From.Day >= s.Revision {
					s.Revision, s.Source = x.From.Day, x.Source.Written
				}
			}
			s.limits(e)
		}
	}
	s.lasts(o)
	s.instruments()
	s.signers()
	if o != nil && o.Removed.Stated() && o.Nozzle.Left.Written == "" {
		s.Last[keys.NozzleLeft] = o.Nozzle.Found.Written
	}
}

// Pressure is the unit of the pressures of the bench: that of the limits, so that a blank asks for what the gauge
// shows.
func (s *Sheet) Pressure() string { return cmp.Or(s.units["opening_pressure"], measure.Bar.Name) }

// Torque is the unit of the torque of a nut, by the key of its blank: that of its limit.
func (s *Sheet) Torque(key string) string { return cmp.Or(s.units[key], measure.NewtonMetre.Name) }

// quoted is an identity as a record writes it.
func quoted(id string) string { return `"` + strings.ReplaceAll(id, `"`, `\"`) + `"` }

// plain is the name of an engine or cylinder: without quotes where no reader can take it for anything else.
func plain(id string) string {
	for _, r := range id {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return id
		}
	}
	if n, err := strconv.Atoi(id); err == nil && strconv.Itoa(n) == id {
		return id
	}
	return quoted(id)
}
