package main

import (
	"strings"

	"needlebook/checks"
	"needlebook/logbook"
)

// showJSON, thingJSON, periodJSON and verdictJSON are the stable form of show --format json; the manual documents it
// in formats.md.
type showJSON struct {
	Format   string      `json:"format"` // "needlebook show 1"
	Program  string      `json:"program"`
	Vessel   string      `json:"vessel"`
	On       string      `json:"on"`
	History  string      `json:"history"`
	Things   []thingJSON `json:"things"`
	Deferral string      `json:"deferral"`
}

type thingJSON struct {
	Kind     string        `json:"kind"`
	Name     string        `json:"name"`
	Path     string        `json:"path,omitempty"`  // of a record
	State    string        `json:"state,omitempty"` // who answers for its text
	Hours    *float64      `json:"hours,omitempty"` // of a holder or nozzle, where they are known
	Periods  []periodJSON  `json:"periods"`         // oldest first
	Verdicts []verdictJSON `json:"verdicts"`        // of a record
	Findings []findingJSON `json:"findings"`        // open ones
}

type periodJSON struct {
	Position string   `json:"position"`
	Holder   string   `json:"holder"`
	Nozzle   string   `json:"nozzle"`
	From     string   `json:"from"`
	To       string   `json:"to,omitempty"` // not while it is in place
	Hours    *float64 `json:"hours,omitempty"`
	Fitted   string   `json:"fitted_by,omitempty"`  // record of its fitting
	Removed  string   `json:"removed_by,omitempty"` // and of its removal
}

type verdictJSON struct {
	Key     string `json:"key"`
	Name    string `json:"name"`
	Written string `json:"written,omitempty"`
	Verdict string `json:"verdict"`
	Limit   string `json:"limit,omitempty"`
	Source  string `json:"source,omitempty"`
	Why     string `json:"why,omitempty"`
}

// showAsJSON shows what bears a name to other programs.
func (p *program) showAsJSON(o *opened, what string) error {
	found, err := p.things(o, what, nil, showKinds...)
	if err != nil {
		return err
	}
	out := showJSON{Format: "needlebook show 1", Program: programName(), Vessel: o.book.Vessel.Name.Written,
		On: o.report.Today.String(), History: o.trail.Headline, Deferral: oneLine(deferralLine)}
	for _, t := range found {
		out.Things = append(out.Things, o.thingJSON(t))
	}
	return p.json(out)
}

func (o *opened) thingJSON(t logbook.Thing) thingJSON {
	name := t.Name
	if t.Kind == logbook.ThingPosition {
		name = t.Position.String()
	}
	j := thingJSON{Kind: string(t.Kind), Name: name, Periods: []periodJSON{}, Verdicts: []verdictJSON{},
		Findings: []findingJSON{}}
	lives, day := o.book.Lives(), o.report.Today
	periods := o.periodsOf(t)
	switch t.Kind {
	case logbook.ThingPosition:
		periods = lives.InPosition(t.Position)
	case logbook.ThingHolder:
		j.Hours = knownHours(lives.HolderHours(name, day))
	case logbook.ThingNozzle:
		j.Hours = knownHours(lives.NozzleHours(name, day))
	case logbook.ThingRecord:
		periods = nil
		rec := o.book.Overhaul(name)
		j.Path, j.State = rec.Path, o.trail.Standing(rec.Path).String()
		for _, v := range o.report.Judgement.Of(rec) {
			j.Verdicts = append(j.Verdicts, verdictJSON{v.Key, v.Name, v.Written, v.Shows(), v.LimitText,
				strings.TrimSpace(v.Source), v.Why})
		}
	}
	for _, s := range periods {
		if !o.later(s.From) {
			j.Periods = append(j.Periods, o.periodJSON(s))
		}
	}
	for _, f := range o.report.Open() {
		if o.asksFor(t, f) {
			j.Findings = append(j.Findings, jsonFinding(o, f))
		}
	}
	return j
}

// asksFor says that a finding is about a thing, or in its file.
func (o *opened) asksFor(t logbook.Thing, f checks.Finding) bool {
	return concerns(f, t) || o.book.Holds(t)(f.Place.Path) && t.Kind == logbook.ThingRecord
}

func (o *opened) periodJSON(s *logbook.ServicePeriod) periodJSON {
	j := periodJSON{Position: s.Position.String(), Holder: s.Holder, Nozzle: s.Nozzle, From: s.From.String(),
		Hours: knownHours(o.book.Lives().HoursOn(s, o.report.Today))}
	if s.Opened != nil {
		j.Fitted = s.Opened.Stem
	}
	if s.To != 0 && !o.later(s.To) {
		j.To = s.To.String()
		if j.Hours = knownHours(s.Hours, s.HoursKnown); s.Closed != nil {
			j.Removed = s.Closed.Stem
		}
	}
	return j
}

func knownHours(hours float64, known bool) *float64 {
	if !known {
		return nil
	}
	return &hours
}
